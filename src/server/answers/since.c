/* server/answers/since.c: what the page's head lines say. */
#include "server/answers/since.h"

#include "base/dates.h"
#include "coaching/words/answer_words.h"

#include <math.h>

void today_json(struct json *json, const char *today)
{
    json_string(json, "today", today);
    json_string(json, "today_words", words_weekday_of(json->out->arena, dates_day_number(today)));
}

void since_json(struct json *json, const char *key, const struct looked *looked)
{
    const struct since_count count = { looked->rides, looked->unreadable, looked->answers };
    json_begin_object(json, key);
    json_string(json, "day", looked->is_known ? looked->day : NULL);
    json_integer(json, "rides", (int64_t)looked->rides);
    json_integer(json, "unreadable", (int64_t)looked->unreadable);
    json_integer(json, "answers", (int64_t)looked->answers);
    json_string(json, "words",
                looked->is_known ? words_since(json->out->arena, dates_day_number(looked->day),
                                               dates_day_number(looked->now_day), &count)
                                 : NULL);
    json_end_object(json);
}

const struct past_ride *last_ride_of(const struct rider_history *history)
{
    return history->n_rides == 0 ? NULL : &history->rides[history->n_rides - 1];
}

void last_ride_json(struct json *json, const struct rider_history *history)
{
    const struct past_ride *ride = last_ride_of(history);
    char day[11];
    if (ride == NULL) {
        json_null(json, "last_ride");
        return;
    }
    dates_format_day(ride->day, day);
    json_begin_object(json, "last_ride");
    json_integer(json, "ride", ride->id);
    json_string(json, "day", day);
    json_integer(json, "minutes", llround(ride->hours * 60.0));
    json_string(json, "words",
                words_last_ride(json->out->arena, ride->day, history->today, ride->hours * 3600.0));
    json_end_object(json);
}
