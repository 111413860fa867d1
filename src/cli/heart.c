/* cli/heart.c: plumbline heart: what heart rate usually answers to power, and a ride against it. */
#include "base/dates.h"
#include "cli/roster_call.h"
#include "coaching/heart_json.h"
#include "coaching/words/power_words.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/words.h"
#include "roster/recordings.h"
#include "roster/responses.h"
#include "roster/usual.h"
#include "server/answers/weeks.h"

#include <math.h>

struct heart_values {
    struct roster_values common;
};

static const struct option_row options[] = { ROSTER_OPTIONS };

enum { DAYS_SHOWN = 12 };

static const char NOT_ASKED[] =
    "Not asked: no ride by bicycle, or another recording stands for it.";

struct heart {
    struct weeks weeks;
    struct response_found found;
    bool is_ride; /* a ride was asked for, not a rider */
    struct ride_row row;
    bool is_asked; /* false: no ride that heart rate could be held against usual on */
    struct reading today;
};

static bool find(struct roster_call *call, struct heart *heart, struct rider *rider,
                 struct error *err)
{
    const char *word = call->words[0];
    heart->is_ride = recordings_names_one(word);
    if (!heart->is_ride) {
        return riders_find(call->roster, call->arena, word, rider, err);
    }
    if (!recordings_find(call->roster, call->arena, word, &heart->row, err)) {
        return false;
    }
    if (heart->row.local_day == NULL) {
        return error_set(err, ERROR_INPUT,
                         "ride %s: its clock didn't know the day, so nothing is usual before it",
                         word);
    }
    return riders_row(roster_db(call->roster), call->arena, heart->row.rider, rider, err);
}

static bool read_all(struct roster_call *call, struct heart *heart, struct error *err)
{
    struct rider rider = { 0 };
    struct weeks *weeks = &heart->weeks;
    *heart = (struct heart){ 0 };
    if (!find(call, heart, &rider, err) ||
        !weeks_take(call->roster, call->arena, &rider, call->today, weeks, err)) {
        return false;
    }
    const int64_t day =
        heart->is_ride ? dates_day_number(heart->row.local_day) : weeks->history.today + 1;
    if (!responses_fit(call->roster, call->arena, &weeks->rider, &weeks->history, &weeks->limits,
                       day, &heart->found, err)) {
        return false;
    }
    return !heart->is_ride ||
           usual_ride(call->roster, call->arena, &weeks->rider, &weeks->history, &weeks->limits,
                      heart->row.same_as == 0 ? heart->row.id : heart->row.same_as,
                      &heart->is_asked, &heart->today, err);
}

/* ---- words ---- */

static void add_days(struct roster_call *call, const struct heart *heart)
{
    const struct response_found *found = &heart->found;
    const size_t from = found->n > DAYS_SHOWN ? found->n - DAYS_SHOWN : 0;
    text_add_format(&call->out, "\n  %6s  %-28s %10s  %s\n", "ride", "day", "power, W",
                    "beats against usual");
    for (size_t i = from; i < found->n; i++) {
        text_add_format(&call->out, "  %6lld  %-28s %10.0f  %+7.0f\n",
                        (long long)found->rides[i].id, words_day(call->arena, found->rides[i].day),
                        found->rides[i].mean_w,
                        round(found->response.day_bpm[i]) + 0.0 /* no -0 */);
    }
    roster_call_sentence(call, "Each against a usual that was fitted without it.");
}

static void print_words(struct roster_call *call, const struct heart *heart)
{
    text_add_format(&call->out, "%s, %s\n", heart->weeks.rider.name,
                    heart->is_ride ? words_day(call->arena, dates_day_number(heart->row.local_day))
                                   : words_day(call->arena, heart->weeks.history.today));
    if (heart->weeks.n_waiting > 0) {
        roster_call_sentence(call, words_being_read_again(call->arena, heart->weeks.n_waiting));
    }
    if (heart->found.is_withheld) {
        roster_call_sentence(call, words_heart_withheld());
        return;
    }
    if (heart->is_ride) {
        roster_call_sentence(call, heart->is_asked ? heart->today.text : NOT_ASKED);
    }
    roster_call_sentence(
        call, words_heart_response(call->arena, &heart->found.response, &heart->weeks.limits));
    if (!heart->is_ride && heart->found.response.end == RESPONSE_FITTED) {
        add_days(call, heart);
    }
}

/* ---- JSON ---- */

static void add_ride(struct json *json, const struct heart *heart)
{
    const struct reading *today = &heart->today;
    const double none = (double)NAN;
    json_integer(json, "ride", heart->row.id);
    json_string(json, "day", heart->row.local_day);
    json_string(json, "verdict",
                verdict_name(heart->is_asked ? today->verdict : VERDICT_CANNOT_TELL));
    json_number(json, "against_usual_bpm", heart->is_asked ? today->estimate : none, 1);
    json_number(json, "low_bpm", heart->is_asked ? today->low : none, 1);
    json_number(json, "high_bpm", heart->is_asked ? today->high : none, 1);
    json_number(json, "line_bpm", heart->is_asked ? today->limit_value : none, 1);
}

static const char *text_of(struct roster_call *call, const struct heart *heart)
{
    return heart->found.is_withheld ? words_heart_withheld()
           : !heart->is_ride
               ? words_heart_response(call->arena, &heart->found.response, &heart->weeks.limits)
           : heart->is_asked ? heart->today.text
                             : NOT_ASKED;
}

static void print_json(struct roster_call *call, const struct heart *heart)
{
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    weeks_head_json(&json, &heart->weeks, call->today);
    json_bool(&json, "withheld", heart->found.is_withheld);
    if (heart->is_ride) {
        add_ride(&json, heart);
    }
    heart_json_response(&json, "response", &heart->found.response);
    if (!heart->is_ride) {
        heart_json_rides(&json, "rides", &heart->found.response, heart->found.rides,
                         heart->found.n);
    }
    json_string(&json, "text", text_of(call, heart));
    json_end_object(&json);
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    struct heart heart;
    (void)raw;
    if (!read_all(call, &heart, err)) {
        return false;
    }
    if (call->json) {
        print_json(call, &heart);
    } else {
        print_words(call, &heart);
    }
    return true;
}

static const struct roster_work work = {
    .command = &command_heart, .least_words = 1, .most_words = 1, .run = run
};

static int heart_run(int argc, char *const argv[])
{
    struct heart_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_heart = {
    .name = "heart",
    .usage = "RIDER|RIDE [options]",
    .summary = "how heart rate answers power, and a ride against usual",
    .about = "Fits the rider's heart rate to power over the trusted rides of the last 90 days: how "
             "far it rises, how late, and how it lies from day to day. Of a ride (its number, or "
             "RIDER@DATE) it says how heart rate ran against what was usual before it. A plain "
             "number is a ride's.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = heart_run,
};
