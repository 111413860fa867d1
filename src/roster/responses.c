/* roster/responses.c: the heart's response from stored recordings. */
#include "roster/responses.h"

#include "base/dates.h"
#include "roster/facts.h"
#include "roster/past.h"
#include "roster/recordings.h"
#include "roster/ride_sums.h"

#include <math.h>

static bool facts_of_day(struct roster *roster, struct arena *arena, int64_t rider, int64_t day,
                         struct rider_facts *out, struct error *err)
{
    char text[11];
    *out = facts_unknown();
    dates_format_day(day, text);
    return facts_on(roster, arena, rider, text, out, err);
}

/* Read before sums were kept: from its stored series. */
static bool sums_of_series(struct roster *roster, struct arena *scratch, int64_t rider,
                           const struct limits *limits, struct response_ride *out,
                           enum response_unfit *unfit, struct error *err)
{
    struct rider_facts facts;
    struct recording loaded = { 0 };
    if (!facts_of_day(roster, scratch, rider, out->day, &facts, err) ||
        !recordings_load(roster_db(roster), scratch, out->id, &loaded, err)) {
        return false;
    }
    *unfit = response_ride_of(scratch, &loaded, facts.max_heart_rate_bpm, limits, out);
    return true;
}

bool responses_ride(struct roster *roster, int64_t rider, int64_t recording, int64_t day,
                    const struct limits *limits, struct response_ride *out,
                    enum response_unfit *unfit, struct error *err)
{
    /* The grid of a ride is large and its sums are small. */
    struct arena *scratch = arena_open();
    bool is_there = false;
    out->id = recording;
    out->day = day;
    const bool ok =
        ride_sums_find(roster_db(roster), scratch, recording, &is_there, out, unfit, err) &&
        (is_there || sums_of_series(roster, scratch, rider, limits, out, unfit, err));
    arena_close(scratch);
    return ok;
}

bool responses_may_use(const struct rider_history *history, const struct past_ride *ride)
{
    return ride->is_ride && ride->has_power && !ride->spoiled && ride->trust.is_asked &&
           (ride->trust.verdict == VERDICT_USABLE ||
            ride->trust.verdict == VERDICT_USABLE_IN_PART) &&
           !history_is_ill(history, ride->day);
}

bool responses_fit(struct roster *roster, struct arena *arena, const struct rider *rider,
                   const struct rider_history *history, const struct limits *limits,
                   int64_t before_day, struct response_found *out, struct error *err)
{
    const int64_t from_day = before_day - (int64_t)limits->value[LIMIT_RESPONSE_WINDOW_DAYS];
    const size_t from = history_ride_from(history, from_day);
    const size_t to = history_ride_from(history, before_day);
    struct rider_facts facts;
    *out = (struct response_found){ 0 };
    if (!facts_of_day(roster, arena, rider->id, before_day - 1, &facts, err)) {
        return false;
    }
    out->is_withheld = facts.heart_medicine || facts.pregnant;
    out->rides = ARENA_ARRAY(arena, struct response_ride, to - from + 1);
    for (size_t i = from; i < to && !out->is_withheld; i++) {
        const struct past_ride *ride = &history->rides[i];
        enum response_unfit unfit = RIDE_FITS;
        if (!responses_may_use(history, ride)) {
            continue;
        }
        if (!responses_ride(roster, rider->id, ride->id, ride->day, limits, &out->rides[out->n],
                            &unfit, err)) {
            return false;
        }
        out->n += unfit == RIDE_FITS ? 1 : 0;
    }
    out->response = heart_response_fit(arena, out->rides, out->n, facts.threshold_w, limits);
    return true;
}

bool responses_known(struct roster *roster, struct arena *arena, const struct rider *rider,
                     int64_t day, const struct limits *limits, struct rider_history *history,
                     int64_t *known_day, struct response_found *out, struct error *err)
{
    size_t n_waiting = 0;
    char before[11];
    dates_format_day(day - 1, before);
    if (!past_load(roster_db(roster), arena, rider, before, history, &n_waiting, err)) {
        return false;
    }
    *known_day = history->n_rides > 0 ? history->rides[history->n_rides - 1].day : day - 1;
    return responses_fit(roster, arena, rider, history, limits, *known_day + 1, out, err);
}
