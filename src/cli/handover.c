/* cli/handover.c: plumbline handover: a rider on one page. */
#include "roster/handover.h"

#include "base/json.h"
#include "cli/ask.h"
#include "cli/roster_call.h"
#include "coaching/words/test_words.h"
#include "coaching/words/words.h"
#include "roster/readings.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

struct handover_values {
    struct roster_values common;
};

static const struct option_row options[] = { ROSTER_OPTIONS };

/* ---- words ---- */

static const char *open_words(struct arena *arena, const struct handover_open *open)
{
    const struct {
        const char *code;
        const char *words;
    } rows[] = {
        { "no-rides", "There are no rides: nothing can be told." },
        { "no-threshold", "No threshold is on file: base, intensity and hard days can't be told." },
        { "threshold-from",
          arena_format(arena,
                       "The first threshold is from %s: base, intensity and hard days before "
                       "can't be told.",
                       open->day == NULL ? "" : open->day) },
        { "no-weight", "No weight is on file: W/kg can't be told." },
        { "weight-from", arena_format(arena,
                                      "The first weight is from %s: W/kg before can't be "
                                      "told.",
                                      open->day == NULL ? "" : open->day) },
        { "no-max-heart-rate",
          "No maximal heart rate is on file: how near a heart rate came to it can't be told." },
        { "max-at-least", "Maximal heart rate is only known to be reached: it may be higher." },
        { "no-power",
          arena_format(arena,
                       "%zu of %zu rides have no power: no bests and no verdict on base or "
                       "hard work from them.",
                       open->n, open->of) },
        { "no-heart-rate", arena_format(arena,
                                        "%zu of %zu rides have no heart rate: no base test "
                                        "among them.",
                                        open->n, open->of) },
        { "undated", arena_format(arena,
                                  "%zu of unknown day: in no month, and read without the "
                                  "facts of their day.",
                                  open->n) },
        { "meters", arena_format(arena,
                                 "%zu power meters, unchecked against each other: bests and "
                                 "thresholds of one may read some per cent off another's.",
                                 open->n) },
        { "no-tests", "No test was recognised, and no threshold is on file." },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(rows[i].code, open->code) == 0) {
            return arena_string(arena, rows[i].words);
        }
    }
    return open->code;
}

static const char *test_words(struct arena *arena, const struct handover_test *one)
{
    const struct fact *fact = one->threshold;
    struct text out = text_begin(arena, 2000);
    if (fact != NULL) {
        text_add_format(&out, "threshold %.0f W", fact->value);
        if (!isnan(fact->low)) {
            text_add_format(&out, " (likely %.0f to %.0f)", fact->low, fact->high);
        }
        text_add_format(&out, ", %s%s%s", fact->protocol == NULL ? "given" : fact->protocol,
                        fact->meter_name == NULL ? "" : ", by ",
                        fact->meter_name == NULL ? "" : fact->meter_name);
    }
    if (one->test != NULL) {
        const char *makes = words_test_makes(arena, one->test);
        text_add_format(&out, "%s%s, ride %lld: %s%s%s", fact != NULL ? "; recognised: " : "",
                        protocol_name(one->test->protocol), (long long)one->ride,
                        words_test_ridden(arena, one->test), makes == NULL ? "" : ", ",
                        makes == NULL ? "" : makes);
        for (size_t i = 0; i < one->test->n_reasons; i++) {
            text_add_format(&out, "; %s", words_test_reason(arena, &one->test->reasons[i]));
        }
        if (fact == NULL && protocol_gives(one->test->protocol) == GIVES_THRESHOLD) {
            text_add(&out, "; not on file");
        }
    }
    return out.bytes;
}

static void add_months(struct text *out, const struct handover *page)
{
    bool is_open = false;
    text_add_format(out, "\n%-9s %7s %6s %8s %7s %10s\n", "month", "hours", "rides", "kJ", "power",
                    "hard days");
    for (size_t i = 0; i < page->n_months; i++) {
        const struct handover_month *m = &page->months[i];
        if (m->hours <= 0.0) {
            continue; /* the list of gaps says so */
        }
        char work[24] = "-";
        char power[24] = "-";
        if (!isnan(m->work_kj)) {
            snprintf(work, sizeof work, "%.0f", m->work_kj);
        }
        if (!isnan(m->power_ratio)) {
            snprintf(power, sizeof power, "%.0f %%", 100.0 * m->power_ratio);
        }
        text_add_format(out, "%-9s %7.1f %6zu %8s %7s %9zu%s\n", m->month, m->hours, m->rides, work,
                        power, m->hard_days, m->hard_days_unknown ? " *" : "");
        is_open = is_open || m->hard_days_unknown;
    }
    if (is_open) {
        text_add(out, "* at least: some days have neither power with a threshold nor an effort.\n");
    }
}

static void add_seasons(struct text *out, struct arena *arena, const struct handover *page)
{
    bool is_open = false;
    for (size_t s = 0; s < page->n_seasons; s++) {
        const struct handover_season *season = &page->seasons[s];
        text_add_format(out, "\nBests %-6s  %5s  %5s  %-10s %7s\n", season->year, "W", "W/kg",
                        "day", "ride");
        for (size_t i = 0; i < season->n_bests; i++) {
            const struct handover_best *best = &season->bests[i];
            char per_kg[24] = "-";
            if (!isnan(best->w_per_kg)) {
                snprintf(per_kg, sizeof per_kg, "%.2f", best->w_per_kg);
            }
            text_add_format(out, "%12s  %5.0f  %5s  %-10s %7lld%s\n",
                            words_duration(arena, best->duration_s), best->power_w, per_kg,
                            best->day, (long long)best->ride, best->at_least ? " *" : "");
            is_open = is_open || best->at_least;
        }
    }
    if (is_open) {
        text_add(out, "* at least: seconds without power could hide a better one.\n");
    }
}

static void add_words(struct roster_call *call, const struct rider *rider,
                      const struct handover *page)
{
    struct text *out = &call->out;
    struct arena *arena = call->arena;
    text_add_format(out, "%s (rider %lld)", rider->name, (long long)rider->id);
    if (page->n_rides > 0) {
        text_add_format(out, ": %zu %s, %s to %s", page->n_rides,
                        page->n_rides == 1 ? "activity" : "activities", page->first_day,
                        page->last_day);
    }
    text_add(out, "\n");
    if (page->n_months > 0) {
        add_months(out, page);
    }
    add_seasons(out, arena, page);
    if (page->n_tests > 0) {
        text_add(out, "\nThresholds and tests\n");
    }
    for (size_t i = 0; i < page->n_tests; i++) {
        text_add_format(out, "  %s  ", page->tests[i].day);
        text_add_wrapped(out, test_words(arena, &page->tests[i]), 14, 14, 80);
    }
    if (page->n_gaps > 0) {
        text_add(out, "\nWithout any activity\n");
    }
    for (size_t i = 0; i < page->n_gaps; i++) {
        const struct handover_gap *gap = &page->gaps[i];
        text_add_format(out, "  %s to %s  %lld days%s\n", gap->from_day, gap->last_day,
                        (long long)gap->days, gap->goes_on ? ", up to today" : "");
    }
    if (page->n_open > 0) {
        text_add(out, "\nWhat can't be told\n");
    }
    for (size_t i = 0; i < page->n_open; i++) {
        text_add(out, "  ");
        text_add_wrapped(out, open_words(arena, &page->open[i]), 2, 2, 80);
    }
}

/* ---- JSON ---- */

static void add_month_json(struct json *json, const struct handover_month *month)
{
    json_begin_object(json, NULL);
    json_string(json, "month", month->month);
    json_number(json, "hours", month->hours, 2);
    json_integer(json, "rides", (int64_t)month->rides);
    json_number(json, "other_hours", month->other_hours, 2);
    json_number(json, "work_kj", month->work_kj, 1);
    json_number(json, "power_share", month->power_ratio, 3);
    json_integer(json, "hard_days", (int64_t)month->hard_days);
    json_bool(json, "hard_days_at_least", month->hard_days_unknown);
    json_end_object(json);
}

static void add_season_json(struct json *json, const struct handover_season *season)
{
    json_begin_object(json, NULL);
    json_string(json, "season", season->year);
    json_begin_array(json, "bests");
    for (size_t i = 0; i < season->n_bests; i++) {
        const struct handover_best *best = &season->bests[i];
        json_begin_object(json, NULL);
        json_integer(json, "duration_s", best->duration_s);
        json_number(json, "power_w", best->power_w, 3);
        json_number(json, "w_per_kg", best->w_per_kg, 3);
        json_string(json, "day", best->day);
        json_integer(json, "ride", best->ride);
        json_bool(json, "at_least", best->at_least);
        json_end_object(json);
    }
    json_end_array(json);
    json_end_object(json);
}

static void add_test_json(struct json *json, struct arena *arena, const struct handover_test *one)
{
    const struct fact *fact = one->threshold;
    json_begin_object(json, NULL);
    json_string(json, "day", one->day);
    json_bool(json, "on_file", fact != NULL);
    json_number(json, "threshold_w", fact == NULL ? (double)NAN : fact->value, 1);
    json_number(json, "low_w", fact == NULL ? (double)NAN : fact->low, 1);
    json_number(json, "high_w", fact == NULL ? (double)NAN : fact->high, 1);
    json_string(json, "known_by", fact == NULL ? NULL : fact->protocol);
    if (one->test == NULL) {
        json_null(json, "recognised");
        json_null(json, "valid");
        json_null(json, "estimate_w");
        json_null(json, "ride");
    } else {
        json_string(json, "recognised", protocol_name(one->test->protocol));
        json_bool(json, "valid", one->test->valid);
        json_number(json, "estimate_w", one->test->estimate_w.value, 1);
        json_integer(json, "ride", one->ride);
    }
    json_string(json, "text", test_words(arena, one));
    json_end_object(json);
}

static void add_json(struct roster_call *call, const struct rider *rider,
                     const struct handover *page)
{
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_begin_object(&json, "rider");
    json_integer(&json, "id", rider->id);
    json_string(&json, "name", rider->name);
    json_end_object(&json);
    json_integer(&json, "activities", (int64_t)page->n_rides);
    json_string(&json, "first_day", page->first_day);
    json_string(&json, "last_day", page->last_day);
    json_begin_array(&json, "months");
    for (size_t i = 0; i < page->n_months; i++) {
        add_month_json(&json, &page->months[i]);
    }
    json_end_array(&json);
    json_begin_array(&json, "seasons");
    for (size_t i = 0; i < page->n_seasons; i++) {
        add_season_json(&json, &page->seasons[i]);
    }
    json_end_array(&json);
    json_begin_array(&json, "tests");
    for (size_t i = 0; i < page->n_tests; i++) {
        add_test_json(&json, call->arena, &page->tests[i]);
    }
    json_end_array(&json);
    json_begin_array(&json, "gaps");
    for (size_t i = 0; i < page->n_gaps; i++) {
        json_begin_object(&json, NULL);
        json_string(&json, "from", page->gaps[i].from_day);
        json_string(&json, "last", page->gaps[i].last_day);
        json_integer(&json, "days", page->gaps[i].days);
        json_bool(&json, "goes_on", page->gaps[i].goes_on);
        json_end_object(&json);
    }
    json_end_array(&json);
    json_begin_array(&json, "cannot_tell");
    for (size_t i = 0; i < page->n_open; i++) {
        json_begin_object(&json, NULL);
        json_string(&json, "code", page->open[i].code);
        json_integer(&json, "n", (int64_t)page->open[i].n);
        json_integer(&json, "of", (int64_t)page->open[i].of);
        json_string(&json, "day", page->open[i].day);
        json_string(&json, "text", open_words(call->arena, &page->open[i]));
        json_end_object(&json);
    }
    json_end_array(&json);
    json_end_object(&json);
}

/* ---- the call ---- */

static void tell(void *context, size_t done, size_t all)
{
    (void)context;
    bar_draw("rides", done, all);
}

static bool print(struct roster_call *call, const void *raw, struct error *err)
{
    struct rider rider = { 0 };
    struct limits limits;
    struct handover page = { 0 };
    (void)raw;
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !readings_limits(roster_db(call->roster), call->arena, rider.id, &limits, err)) {
        return false;
    }
    const struct scan_call scan = { .roster = call->roster,
                                    .rider = &rider,
                                    .today = call->today,
                                    .limits = &limits,
                                    .tell = tell };
    const bool done = handover_make(call->arena, &scan, &page, err);
    bar_clear();
    if (done && call->json) {
        add_json(call, &rider, &page);
    } else if (done) {
        add_words(call, &rider, &page);
    }
    return done;
}

static const struct roster_work work = {
    .command = &command_handover, .least_words = 1, .most_words = 1, .run = print
};

static int handover_run(int argc, char *const argv[])
{
    struct handover_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_handover = {
    .name = "handover",
    .usage = "RIDER [options]",
    .summary = "a rider on one page: months, bests, tests, gaps, what can't be told",
    .about = "For a coach who takes a rider over, or looks back: hours, rides, work and hard days "
             "of each month, the bests of each calendar year, thresholds and the tests recognised "
             "in rides, stretches without activity, and what can't be told and why. Other sports "
             "count for hours and hard days, never for bests.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = handover_run,
};
