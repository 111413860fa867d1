/* cli/heart.c: plumbline heart: what heart rate usually answers to power, and a ride against it. */
#include "base/dates.h"
#include "cli/hints.h"
#include "cli/response_draw.h"
#include "coaching/words/power_words.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/words.h"
#include "server/answers/heart.h"

#include <math.h>

struct heart_values {
    struct roster_values common;
    struct figure_values figure;
};

static const struct option_row options[] = { FIGURE_OPTIONS(offsetof(struct heart_values, figure)),
                                             ROSTER_OPTIONS };

enum { DAYS_SHOWN = 12 };

/* A plain number is a ride's. */
static bool take(struct roster_call *call, struct heart_told *heart, struct error *err)
{
    const char *word = call->words[0];
    struct rider rider = { 0 };
    struct ride_row row = { 0 };
    if (recordings_names_one(word)) {
        return recordings_find(call->roster, call->arena, word, &row, err) &&
               heart_take_ride(call->roster, call->arena, &row, call->today, heart, err);
    }
    return riders_find(call->roster, call->arena, word, &rider, err) &&
           heart_take_rider(call->roster, call->arena, &rider, call->today, heart, err);
}

/* ---- words ---- */

static void add_days(struct roster_call *call, const struct heart_told *heart)
{
    const struct response_found *found = &heart->found;
    const size_t from = found->n > DAYS_SHOWN ? found->n - DAYS_SHOWN : 0;
    text_add_format(&call->out, "\n  %6s  %-28s %10s  %s\n", "ride", "day", "power, W",
                    "beats against usual");
    for (size_t i = from; i < found->n; i++) {
        const double bpm = round(found->response.day_bpm[i]);
        const char *against =
            bpm > 0.0 || bpm < 0.0 ? arena_format(call->arena, "%+.0f", bpm) : "0";
        text_add_format(&call->out, "  %6lld  %-28s %10.0f  %7s\n", (long long)found->rides[i].id,
                        words_day(call->arena, found->rides[i].day), found->rides[i].mean_w,
                        against);
    }
    roster_call_sentence(call, "Each against a usual that was fitted without it.");
}

static void print_words(struct roster_call *call, const struct heart_told *heart)
{
    text_add_format(&call->out, "%s, %s\n", heart->weeks.rider.name,
                    heart->is_ride ? words_day(call->arena, dates_day_number(heart->row.local_day))
                                   : words_day(call->arena, heart->weeks.history.today));
    if (heart->weeks.n_waiting > 0) {
        roster_call_sentence(call,
                             hint_after(call->arena,
                                        words_being_read_again(call->arena, heart->weeks.n_waiting),
                                        HINT_WAITING));
    }
    if (heart->weeks.n_unheld > 0) {
        roster_call_sentence(call,
                             hint_after(call->arena,
                                        words_usual_being_made(call->arena, heart->weeks.n_unheld),
                                        HINT_WAITING));
    }
    if (heart->found.is_withheld) {
        roster_call_sentence(call, words_heart_withheld());
        return;
    }
    if (heart->is_ride) {
        roster_call_sentence(call, heart_ride_text(heart));
    }
    roster_call_sentence(
        call, words_heart_response(call->arena, &heart->found.response, &heart->weeks.limits));
    if (!heart->is_ride && heart->found.response.end == RESPONSE_FITTED) {
        add_days(call, heart);
    }
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    struct heart_told heart;
    const struct heart_values *values = raw;
    if (!take(call, &heart, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        heart_json(&json, &heart, call->today);
        json_end_object(&json);
    } else {
        print_words(call, &heart);
    }
    return response_draw_heart(call, &values->figure, &heart, err);
}

/* Before the roster is opened. */
static bool check_options(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct heart_values *values = raw;
    (void)call;
    return figure_out_check(&values->figure, err);
}

static const struct roster_work work = {
    .command = &command_heart, .least_words = 1, .most_words = 1, .check = check_options, .run = run
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
