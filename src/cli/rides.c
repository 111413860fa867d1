/* cli/rides.c: plumbline rides: what a rider sent, and the verdicts on it. */
#include "base/dates.h"
#include "base/json.h"
#include "cli/roster_call.h"
#include "coaching/words/words.h"
#include "roster/facts.h"
#include "roster/readings.h"
#include "roster/recordings.h"

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

struct verdicts {
    struct stored_reading items[RIDE_QUESTIONS];
};

/* Stored verdicts, current or not by what was true of the ride. */
static bool find_verdicts(struct roster_call *call, const struct ride_row *row,
                          const struct limits *limits, struct verdicts *out, struct error *err)
{
    struct rider_facts facts;
    const struct ride_facts ride = { .rider = row->rider,
                                     .day = row->local_day,
                                     .recording = row->id };
    if (!facts_of_ride(call->roster, call->arena, &ride, &facts, err)) {
        return false;
    }
    struct reading_source source = { .part = row->part };
    memcpy(source.sha256, row->sha256, sizeof source.sha256);
    return readings_find(roster_db(call->roster), call->arena, row->id, &source, &facts, limits,
                         out->items, err);
}

static void add_json(struct json *json, const struct ride_row *row, const struct verdicts *verdicts)
{
    json_begin_object(json, NULL);
    json_integer(json, "id", row->id);
    json_string(json, "day", row->local_day);
    if (row->has_start_utc) {
        json_integer(json, "start_utc", row->start_utc_s);
    } else {
        json_null(json, "start_utc");
    }
    json_string(json, "sport", row->sport);
    json_bool(json, "ride", row->is_ride);
    json_integer(json, "seconds", row->n_seconds == 0 ? 0 : (int64_t)row->n_seconds - 1);
    json_integer(json, "timer_s", row->timer_s);
    json_number(json, "work_kj", row->work_kj, 1);
    json_number(json, "distance_m", row->distance_m, 1);
    json_string(json, "format", row->format);
    json_string(json, "file", row->name);
    if (row->same_as == 0) {
        json_null(json, "same_as");
    } else {
        json_integer(json, "same_as", row->same_as);
    }
    json_begin_array(json, "readings");
    for (int q = QUESTION_TRUST; q < RIDE_QUESTIONS; q++) {
        const struct stored_reading *reading = &verdicts->items[q];
        if (reading->verdict != NULL) {
            json_begin_object(json, NULL);
            json_string(json, "question", question_name((enum question)q));
            json_string(json, "verdict", reading->is_current ? reading->verdict : NULL);
            json_bool(json, "current", reading->is_current);
            json_end_object(json);
        }
    }
    json_end_array(json);
    json_end_object(json);
}

/* "usable; base passed; hard work faded": what could be told. */
static const char *say_verdicts(struct arena *arena, const struct ride_row *row,
                                const struct verdicts *verdicts)
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
                      const struct verdicts *verdicts)
{
    text_add_format(out, "%6lld  %-10s %8s %7s %6s  ", (long long)row->id,
                    row->local_day == NULL ? "no day" : row->local_day,
                    words_clock(arena, row->timer_s), or_dash(arena, row->work_kj),
                    or_dash(arena, row->distance_m / 1000.0));
    text_add_wrapped(out, say_verdicts(arena, row, verdicts), 44, 44, 80);
}

/* The earlier of --to and the day after today. */
static const char *last_day(struct arena *arena, const char *to, const char *today)
{
    int64_t days = 0;
    char after[11];
    if (!dates_parse_day(today, &days)) {
        return to;
    }
    dates_format_day(days + 1, after);
    return to != NULL && strcmp(to, after) < 0 ? to : arena_string(arena, after);
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
                                      .to_day = last_day(arena, values->to, call->today),
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
        struct verdicts verdicts = { 0 };
        if (!find_verdicts(call, &rows[i], &limits, &verdicts, err)) {
            return false;
        }
        if (call->json) {
            add_json(&json, &rows[i], &verdicts);
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
