/* cli/rides.c: plumbline rides: what a rider sent, and the verdicts on it. */
#include "base/dates.h"
#include "cli/roster_call.h"
#include "coaching/words/words.h"
#include "server/answers/rides.h"

#include <math.h>
#include <string.h>

struct rides_values {
    struct roster_values common;
    const char *from;
    const char *to;
    bool all;
};

#define ROW(field) offsetof(struct rides_values, field), 0, 0

static const struct option_row options[] = {
    { "from", OPTION_TEXT, "DATE", "the first day", ROW(from) },
    { "to", OPTION_TEXT, "DATE", "the first day that no longer counts", ROW(to) },
    { "all", OPTION_FLAG, NULL, "also a second device's recording of the same ride", ROW(all) },
    ROSTER_OPTIONS,
};

static bool is_day(const char *option, const char *day, struct error *err)
{
    int64_t days = 0;
    return day == NULL || dates_parse_day(day, &days) ||
           error_set(err, ERROR_USAGE, "--%s %s: is no day; write it as 2026-03-14", option, day);
}

static bool check_options(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct rides_values *values = raw;
    (void)call;
    return is_day("from", values->from, err) && is_day("to", values->to, err);
}

/* "usable; base passed; hard work faded": what could be told. */
static const char *say_verdicts(struct arena *arena, const struct ride_row *row,
                                const struct ride_verdicts *verdicts)
{
    struct text out = text_begin(arena, 1000);
    if (!row->is_ride) {
        text_add(&out, row->sport);
    }
    if (row->same_as != 0) {
        text_add_format(&out, "%ssame ride as %lld", out.length > 0 ? "; " : "",
                        (long long)row->same_as);
    }
    for (int q = QUESTION_TRUST; q < RIDE_QUESTIONS; q++) {
        const struct stored_reading *reading = &verdicts->items[q];
        if (reading->verdict == NULL) {
            continue;
        }
        if (!reading->is_current) {
            text_add_format(&out, "%sbeing read again", out.length > 0 ? "; " : "");
            break;
        }
        if (q == QUESTION_HARD_DAY) {
            const bool is_hard = strcmp(reading->verdict, verdict_name(VERDICT_HARD_DAY)) == 0;
            text_add_format(&out, "%s%s", is_hard && out.length > 0 ? "; " : "",
                            is_hard ? reading->verdict : "");
        } else if (strcmp(reading->verdict, verdict_name(VERDICT_CANNOT_TELL)) != 0) {
            text_add_format(&out, "%s%s%s%s", out.length > 0 ? "; " : "",
                            q == QUESTION_TRUST ? "" : question_name((enum question)q),
                            q == QUESTION_TRUST ? "" : " ", reading->verdict);
        }
    }
    return out.length > 0 ? out.bytes : "-";
}

static const char *or_dash(struct arena *arena, double value)
{
    return isnan(value) ? "-" : words_whole(arena, value);
}

static void add_words(struct text *out, struct arena *arena, const struct ride_row *row,
                      const struct ride_verdicts *verdicts)
{
    text_add_format(out, "%6lld  %-10s %8s %7s %6s  ", (long long)row->id,
                    row->local_day == NULL ? "no day" : row->local_day,
                    words_clock(arena, row->timer_s), or_dash(arena, row->work_kj),
                    or_dash(arena, row->distance_m / 1000.0));
    text_add_wrapped(out, say_verdicts(arena, row, verdicts), 44, 44, 80);
}

static bool list(struct roster_call *call, const void *raw, struct error *err)
{
    const struct rides_values *values = raw;
    struct arena *arena = call->arena;
    struct rider rider = { 0 };
    struct limits limits;
    struct ride_row *rows = NULL;
    size_t count = 0;
    if (!riders_find(call->roster, arena, call->words[0], &rider, err) ||
        !readings_limits(roster_db(call->roster), arena, rider.id, &limits, err)) {
        return false;
    }
    const struct ride_query query = { .rider = rider.id,
                                      .from_day = values->from,
                                      .to_day = rides_last_day(arena, values->to, call->today),
                                      .with_same = values->all,
                                      .with_undated = values->from == NULL && values->to == NULL };
    if (!recordings_list(roster_db(call->roster), arena, &query, &rows, &count, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_array(&json, NULL);
    } else if (count > 0) {
        text_add_format(&call->out, "%6s  %-10s %8s %7s %6s  %s\n", "ride", "day", "riding", "kJ",
                        "km", "verdicts");
    } else {
        text_add_format(&call->out, "No rides of %s; plumbline import FOLDER --rider NAME\n",
                        rider.name);
    }
    for (size_t i = 0; i < count; i++) {
        struct ride_verdicts verdicts = { 0 };
        if (!ride_verdicts_find(call->roster, arena, &rows[i], &limits, &verdicts, err)) {
            return false;
        }
        if (call->json) {
            ride_row_json(&json, &rows[i], &verdicts, false);
        } else {
            add_words(&call->out, arena, &rows[i], &verdicts);
        }
    }
    if (call->json) {
        json_end_array(&json);
    }
    return true;
}

static const struct roster_work work = { .command = &command_rides,
                                         .least_words = 1,
                                         .most_words = 1,
                                         .check = check_options,
                                         .run = list };

static int rides_run(int argc, char *const argv[])
{
    struct rides_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_rides = {
    .name = "rides",
    .usage = "RIDER [options]",
    .summary = "the rides of a rider, and the verdicts on them",
    .about = "Lists the rides of a rider, the earliest first, with the time the clock ran, work, "
             "distance, and what could be told of each. A verdict that rests on facts which have "
             "changed since is not shown, but that it is being read again: plumbline jobs.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = rides_run,
};
