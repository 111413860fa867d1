/* server/answers/heart.c: what heart rate usually answers to power, as JSON. */
#include "server/answers/heart.h"

#include "base/dates.h"
#include "coaching/heart_json.h"
#include "coaching/words/power_words.h"
#include "roster/usual.h"

#include <math.h>

bool heart_take_rider(struct roster *roster, struct arena *arena, const struct rider *rider,
                      const char *today, struct heart_told *out, struct error *err)
{
    *out = (struct heart_told){ 0 };
    struct weeks *weeks = &out->weeks;
    return weeks_take(roster, arena, rider, today, weeks, err) &&
           responses_fit(roster, arena, &weeks->rider, &weeks->history, &weeks->limits,
                         weeks->history.today + 1, &out->found, err);
}

bool heart_take_ride(struct roster *roster, struct arena *arena, const struct ride_row *row,
                     const char *today, struct heart_told *out, struct error *err)
{
    struct rider rider = { 0 };
    struct weeks *weeks = &out->weeks;
    *out = (struct heart_told){ .is_ride = true, .row = *row };
    if (row->local_day == NULL) {
        return error_set(err, ERROR_INPUT,
                         "ride %lld: its clock didn't know the day, so nothing is usual before it",
                         (long long)row->id);
    }
    const int64_t day = dates_day_number(row->local_day);
    if (!riders_row(roster_db(roster), arena, row->rider, &rider, err) ||
        !weeks_take(roster, arena, &rider, today, weeks, err) ||
        !responses_fit(roster, arena, &weeks->rider, &weeks->history, &weeks->limits, day,
                       &out->found, err)) {
        return false;
    }
    return usual_ride(roster, arena, &weeks->rider, &weeks->history, &weeks->limits,
                      row->same_as == 0 ? row->id : row->same_as, &out->found, NULL, &out->is_asked,
                      &out->today, err);
}

const char *heart_ride_text(const struct heart_told *told)
{
    return told->is_asked ? told->today.text
                          : "Not asked: no ride by bicycle, or another recording stands for it.";
}

static void ride_json(struct json *json, const struct heart_told *told)
{
    const struct reading *today = &told->today;
    const bool is_read = told->is_asked && !told->found.is_withheld;
    const double none = (double)NAN;
    json_integer(json, "ride", told->row.id);
    json_string(json, "day", told->row.local_day);
    json_string(json, "verdict", verdict_name(is_read ? today->verdict : VERDICT_CANNOT_TELL));
    json_number(json, "against_usual_bpm", is_read ? today->estimate : none, 1);
    json_number(json, "low_bpm", is_read ? today->low : none, 1);
    json_number(json, "high_bpm", is_read ? today->high : none, 1);
    json_number(json, "line_bpm", is_read ? today->limit_value : none, 1);
}

void heart_json(struct json *json, const struct heart_told *told, const char *today)
{
    struct arena *arena = json->out->arena;
    weeks_head_json(json, &told->weeks, today);
    json_bool(json, "withheld", told->found.is_withheld);
    if (told->is_ride) {
        ride_json(json, told);
    }
    heart_json_response(json, "response", &told->found.response);
    if (!told->is_ride) {
        heart_json_rides(json, "rides", &told->found.response, told->found.rides, told->found.n);
    }
    json_string(json, "text",
                told->found.is_withheld ? words_heart_withheld()
                : told->is_ride
                    ? heart_ride_text(told)
                    : words_heart_response(arena, &told->found.response, &told->weeks.limits));
}
