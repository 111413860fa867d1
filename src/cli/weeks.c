/* cli/weeks.c: plumbline week, progress, load: what a rider's weeks say. */
#include "base/json.h"
#include "cli/read_words.h"
#include "cli/roster_call.h"
#include "coaching/ride_json.h"
#include "coaching/rider_readings.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/words.h"
#include "roster/past.h"
#include "roster/readings.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct weeks_values {
    struct roster_values common;
    const char *against;
    const char *weeks;
};

#define ROW(field) offsetof(struct weeks_values, field), 0, 0

/* A rider, the history up to today, and the limits in force. */
struct weeks {
    struct rider rider;
    struct rider_history history;
    struct limits limits;
    size_t n_waiting;
    struct json json;
};

static bool begin(struct roster_call *call, struct weeks *weeks, struct error *err)
{
    struct db *db = roster_db(call->roster);
    *weeks = (struct weeks){ 0 };
    if (!riders_find(call->roster, call->arena, call->words[0], &weeks->rider, err) ||
        !readings_limits(db, call->arena, weeks->rider.id, &weeks->limits, err) ||
        !past_load(db, call->arena, &weeks->rider, call->today, &weeks->history, &weeks->n_waiting,
                   err)) {
        return false;
    }
    if (call->json) {
        weeks->json = json_begin(&call->out);
        json_begin_object(&weeks->json, NULL);
        json_integer(&weeks->json, "rider", weeks->rider.id);
        json_string(&weeks->json, "name", weeks->rider.name);
        json_string(&weeks->json, "today", call->today);
        json_integer(&weeks->json, "rides_being_read_again", (int64_t)weeks->n_waiting);
        return true;
    }
    text_add_format(&call->out, "%s, %s\n", weeks->rider.name,
                    words_day(call->arena, weeks->history.today));
    if (weeks->n_waiting > 0) {
        text_add(&call->out, "  ");
        text_add_wrapped(&call->out, words_being_read_again(call->arena, weeks->n_waiting), 2, 2,
                         80);
    }
    return true;
}

static void finish(struct roster_call *call, struct weeks *weeks)
{
    if (call->json) {
        json_end_object(&weeks->json);
    }
}

static void add(struct roster_call *call, struct weeks *weeks, const struct reading *reading)
{
    if (call->json) {
        reading_json_add(&weeks->json, reading);
    } else {
        read_words_add_reading(&call->out, words_question(reading->question), reading);
    }
}

/* ---- week ---- */

static const struct option_row week_options[] = { ROSTER_OPTIONS };

static bool week(struct roster_call *call, const void *raw, struct error *err)
{
    (void)raw;
    struct arena *arena = call->arena;
    struct weeks weeks;
    struct rider_readings all;
    if (!begin(call, &weeks, err)) {
        return false;
    }
    rider_readings_make(arena, &weeks.history, 2, &weeks.limits, &all);
    const struct reading *const readings[] = {
        &all.how,        &all.comeback.reading, &all.base_state,
        &all.easy_weeks, &all.progress.joint,   &all.progress.stalled,
        &all.load.last,  &all.load.now,
    };
    if (call->json) {
        json_begin_array(&weeks.json, "readings");
    }
    for (size_t i = 0; i < sizeof readings / sizeof readings[0]; i++) {
        /* Who has had no break needn't be told of coming back. */
        if (call->json || readings[i]->verdict != VERDICT_NO_BREAK) {
            add(call, &weeks, readings[i]);
        }
    }
    if (call->json) {
        json_end_array(&weeks.json);
    } else if (weeks.history.threshold_day != INT64_MIN) {
        text_add_format(
            &call->out, "\n  %s\n",
            words_threshold_age(arena, weeks.history.threshold_day, weeks.history.today));
    }
    finish(call, &weeks);
    return true;
}

/* ---- progress ---- */

static const struct option_row progress_options[] = {
    { "against", OPTION_TEXT, "WHEN", "before (the six weeks before these), or last-year",
      ROW(against) },
    ROSTER_OPTIONS,
};

static const struct roster_work progress_work;

static bool take_against(const struct weeks_values *values, enum progress_against *out,
                         struct error *err)
{
    const char *word = values->against == NULL ? "before" : values->against;
    *out = strcmp(word, "last-year") == 0 ? PROGRESS_LAST_YEAR : PROGRESS_BEFORE;
    if (*out == PROGRESS_BEFORE && strcmp(word, "before") != 0) {
        return roster_usage(&progress_work, "--against: say before or last-year", err);
    }
    return true;
}

static bool progress_check(const struct roster_call *call, const void *raw, struct error *err)
{
    enum progress_against against;
    (void)call;
    return take_against(raw, &against, err);
}

/* The windows, for people: both ends included. */
static const char *span_words(struct arena *arena, int64_t from, int64_t to)
{
    return arena_format(arena, "%s to %s", words_day(arena, from), words_day(arena, to - 1));
}

static void add_durations(struct roster_call *call, struct weeks *weeks,
                          const struct rider_progress *progress)
{
    struct arena *arena = call->arena;
    if (call->json) {
        json_begin_array(&weeks->json, "durations");
        for (size_t i = 0; i < progress->n; i++) {
            reading_json_add(&weeks->json, &progress->each[i]);
        }
        json_end_array(&weeks->json);
        return;
    }
    text_add_format(&call->out, "\n  %8s  %-15s %10s %17s  %s\n", "over", "", "change", "likely",
                    "all-out efforts");
    for (size_t i = 0; i < progress->n; i++) {
        const struct reading *each = &progress->each[i];
        const struct bests_change *change = &progress->changes[i];
        const bool known = change->state == CHANGE_KNOWN;
        text_add_format(&call->out, "  %8s  %-15s %10s %17s  %zu before, %zu now\n",
                        words_duration(arena, each->set), words_verdict(each->verdict),
                        known ? arena_format(arena, "%+.1f %%", each->estimate) : "-",
                        known ? arena_format(arena, "%+.1f to %+.1f", each->low, each->high) : "-",
                        change->n_before, change->n_recent);
    }
    text_add(&call->out, "\n  ");
    text_add_wrapped(&call->out, words_several_durations(), 2, 2, 80);
}

static bool progress(struct roster_call *call, const void *raw, struct error *err)
{
    struct weeks weeks;
    struct rider_progress progress;
    enum progress_against against;
    if (!take_against(raw, &against, err) || !begin(call, &weeks, err)) {
        return false;
    }
    rider_progress_read(call->arena, &weeks.history, against, &weeks.limits, &progress);
    if (call->json) {
        json_begin_array(&weeks.json, "readings");
    } else {
        text_add_format(&call->out, "  %s\n  against %s\n",
                        span_words(call->arena, progress.recent_from, progress.recent_to),
                        span_words(call->arena, progress.before_from, progress.before_to));
    }
    add(call, &weeks, &progress.joint);
    add(call, &weeks, &progress.stalled);
    if (call->json) {
        json_end_array(&weeks.json);
    }
    add_durations(call, &weeks, &progress);
    finish(call, &weeks);
    return true;
}

/* ---- load ---- */

static const struct option_row load_options[] = {
    { "weeks", OPTION_TEXT, "N", "how many weeks, 2 to 104; 8 unless said", ROW(weeks) },
    ROSTER_OPTIONS,
};

static const struct roster_work load_work;

static bool take_weeks(const struct weeks_values *values, size_t *n, struct error *err)
{
    const char *word = values->weeks == NULL ? "8" : values->weeks;
    const size_t length = strlen(word);
    *n = length > 0 && length < 4 && strspn(word, "0123456789") == length
             ? (size_t)strtoul(word, NULL, 10)
             : 0;
    return (*n >= 2 && *n <= 104) ||
           roster_usage(&load_work, "--weeks: a whole number from 2 to 104", err);
}

static bool load_check(const struct roster_call *call, const void *raw, struct error *err)
{
    size_t n = 0;
    (void)call;
    return take_weeks(raw, &n, err);
}

/* "1,598", "> 1,598" where some rides don't tell it, "-" where none does. */
static const char *amount(struct arena *arena, const struct week_amount *amount, size_t n_rides,
                          double unit)
{
    return isnan(amount->sum) ? "-"
                              : arena_format(arena, "%s%s", amount->known < n_rides ? "> " : "",
                                             words_whole(arena, amount->sum / unit));
}

static const char *impulse(struct arena *arena, const struct week_load *week)
{
    const char *low = amount(arena, &week->impulse_low, week->n_rides, 1.0);
    const bool one =
        isnan(week->impulse_low.sum) || week->impulse_high.sum - week->impulse_low.sum < 0.5;
    return one ? low
               : arena_format(arena, "%s-%s", low, words_whole(arena, week->impulse_high.sum));
}

static void add_amount(struct json *json, const char *name, const struct week_amount *amount)
{
    json_begin_object(json, name);
    json_number(json, "sum", amount->sum, 1);
    json_integer(json, "rides", (int64_t)amount->known);
    json_end_object(json);
}

static void add_week_json(struct json *json, const struct week_load *week)
{
    char monday[11];
    dates_format_day(week->monday, monday);
    json_begin_object(json, NULL);
    json_string(json, "monday", monday);
    json_integer(json, "iso_year", week->iso.year);
    json_integer(json, "iso_week", week->iso.week);
    json_integer(json, "rides", (int64_t)week->n_rides);
    json_number(json, "hours", week->hours, 3);
    add_amount(json, "work_kj", &week->work_kj);
    add_amount(json, "impulse_low", &week->impulse_low);
    add_amount(json, "impulse_high", &week->impulse_high);
    add_amount(json, "session_rpe", &week->session_rpe);
    json_begin_array(json, "zone_s");
    for (size_t i = 0; i < ZONES_MOST; i++) {
        json_number(json, NULL, week->zone_s[i].sum, 0);
    }
    json_end_array(json);
    json_begin_array(json, "heart_zone_s");
    for (size_t i = 0; i < HEART_ZONES; i++) {
        json_number(json, NULL, week->heart_zone_s[i].sum, 0);
    }
    json_end_array(json);
    json_number(json, "monotony", week->by_effort.monotony, 3);
    json_number(json, "strain", week->by_effort.strain, 1);
    json_integer(json, "hard_days", (int64_t)week->n_hard_days);
    json_integer(json, "days_off", (int64_t)week->off_days);
    json_bool(json, "over", week->is_over);
    json_end_object(json);
}

static void add_week_row(struct roster_call *call, const struct week_load *week)
{
    struct arena *arena = call->arena;
    char monday[11];
    dates_format_day(week->monday, monday);
    text_add_format(
        &call->out, "  %-10s %5zu %6.1f %8s %9s %8s %5zu  %5s %6s%s\n", monday, week->n_rides,
        week->hours, amount(arena, &week->work_kj, week->n_rides, 1.0), impulse(arena, week),
        amount(arena, &week->session_rpe, week->n_rides, 1.0), week->n_hard_days,
        isnan(week->by_effort.monotony) ? "-"
                                        : arena_format(arena, "%.1f", week->by_effort.monotony),
        isnan(week->by_effort.strain) ? "-" : words_whole(arena, week->by_effort.strain),
        week->is_over ? "" : " so far");
}

static bool load(struct roster_call *call, const void *raw, struct error *err)
{
    struct weeks weeks;
    struct load_weeks load;
    size_t n = 0;
    if (!take_weeks(raw, &n, err) || !begin(call, &weeks, err)) {
        return false;
    }
    load_weeks_read(call->arena, &weeks.history, n, &weeks.limits, &load);
    if (call->json) {
        json_begin_array(&weeks.json, "weeks");
        for (size_t i = 0; i < load.n; i++) {
            add_week_json(&weeks.json, &load.weeks[i]);
        }
        json_end_array(&weeks.json);
        json_begin_array(&weeks.json, "readings");
    } else {
        text_add_format(&call->out, "\n  %-10s %5s %6s %8s %9s %8s %5s  %5s %6s\n", "week of",
                        "rides", "hours", "kJ", "impulse", "effort", "hard", "mono-", "strain");
        text_add_format(&call->out, "  %-10s %5s %6s %8s %9s %8s %5s  %5s\n", "", "", "", "", "",
                        "x min", "days", "tony");
        for (size_t i = 0; i < load.n; i++) {
            add_week_row(call, &load.weeks[i]);
        }
    }
    add(call, &weeks, &load.last);
    add(call, &weeks, &load.now);
    if (call->json) {
        json_end_array(&weeks.json);
    }
    finish(call, &weeks);
    return true;
}

/* ---- the commands ---- */

static const struct roster_work week_work = {
    .command = &command_week, .least_words = 1, .most_words = 1, .run = week
};
static const struct roster_work progress_work = { .command = &command_progress,
                                                  .least_words = 1,
                                                  .most_words = 1,
                                                  .check = progress_check,
                                                  .run = progress };
static const struct roster_work load_work = {
    .command = &command_load, .least_words = 1, .most_words = 1, .check = load_check, .run = load
};

static int week_run(int argc, char *const argv[])
{
    struct weeks_values values = { 0 };
    return roster_call(&week_work, argc, argv, &values);
}

static int progress_run(int argc, char *const argv[])
{
    struct weeks_values values = { 0 };
    return roster_call(&progress_work, argc, argv, &values);
}

static int load_run(int argc, char *const argv[])
{
    struct weeks_values values = { 0 };
    return roster_call(&load_work, argc, argv, &values);
}

const struct command command_week = {
    .name = "week",
    .usage = "RIDER [options]",
    .summary = "how a rider is, base, easy work, progress and load, this week",
    .about = "Says how the rider is, whether the base is built, whether easy rides were easy, "
             "whether bests got better or stalled, and how much was ridden, each with its "
             "evidence and what would settle it. Nothing later than --today is used.",
    .options = week_options,
    .n_options = sizeof week_options / sizeof week_options[0],
    .run = week_run,
};

const struct command command_progress = {
    .name = "progress",
    .usage = "RIDER [options]",
    .summary = "is the rider getting better, over each duration and together",
    .about = "Compares the bests of the last six weeks with those of the six before, or with the "
             "same weeks a year ago: only those with evidence of being all-out, corrected for how "
             "often each was tried. Also says whether progress has stalled.",
    .options = progress_options,
    .n_options = sizeof progress_options / sizeof progress_options[0],
    .run = progress_run,
};

const struct command command_load = {
    .name = "load",
    .usage = "RIDER [options]",
    .summary = "hours, work, training impulse and hard days, week by week",
    .about = "Lists weeks by ISO 8601, from Monday: rides of any sport, hours, work, training "
             "impulse (two figures where the rider's sex is not set), effort times minutes, hard "
             "days, monotony and strain. No score is made of them. \"> \" means that some rides of "
             "the week don't tell it.",
    .options = load_options,
    .n_options = sizeof load_options / sizeof load_options[0],
    .run = load_run,
};
