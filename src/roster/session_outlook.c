/* roster/session_outlook.c: what a session will bring a rider, by the numbers on file on its day.
 */
#include "roster/session_outlook.h"

#include "base/dates.h"
#include "coaching/ride_balance.h"
#include "roster/facts.h"
#include "roster/responses.h"
#include "roster/ride_power.h"

bool session_outlook_of(struct roster *roster, struct arena *arena, const struct rider *rider,
                        const char *day, bool is_past, const struct session *session,
                        const struct limits *limits, struct session_outlook *out, struct error *err)
{
    struct rider_facts facts;
    struct rider_history history;
    struct rider_power power;
    struct response_found found;
    int64_t known_day = 0;
    const int64_t number = dates_day_number(day);
    if (!facts_for_session(roster, arena, rider->id, day, &facts, err) ||
        !responses_known(roster, arena, rider, number, limits, &history, &known_day, &found, err) ||
        !ride_power_before(roster, arena, &history, known_day + 1, limits, &power, err)) {
        return false;
    }
    const struct expected_rider numbers = { .response = &found.response,
                                            .w = w_rider_of(&power.curve),
                                            .threshold_w = facts.threshold_w,
                                            .max_heart_bpm = facts.max_heart_rate_bpm,
                                            .zones = &facts.zones };
    const struct outlook_ask ask = { session, &numbers, &facts, is_past };
    *out = outlook_read(arena, &ask, limits);
    outlook_say_age(arena, out, known_day, number, limits);
    return true;
}
