/* cli/bests.c: plumbline bests: the greatest mean power of a rider over a range of days. */
#include "base/dates.h"
#include "base/json.h"
#include "cli/roster_call.h"
#include "coaching/words/words.h"
#include "physiology/bests.h"
#include "roster/best_months.h"
#include "roster/facts.h"
#include "roster/recordings.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct bests_values {
    struct roster_values common;
    const char *from;
    const char *to;
    const char *against;
    bool all;
};

#define ROW(field) offsetof(struct bests_values, field), 0, 0

static const struct option_row options[] = {
    { "from", OPTION_TEXT, "DATE", "the first day", ROW(from) },
    { "to", OPTION_TEXT, "DATE", "the first day that no longer counts; else the day after today",
      ROW(to) },
    { "against", OPTION_TEXT, "RANGE",
      "beside them those of: before (as many days before --from), last-year (the same days), or "
      "FROM..TO",
      ROW(against) },
    { "all", OPTION_FLAG, NULL,
      "every duration that is kept: each second to 10 min, then steps of at most 1 %", ROW(all) },
    ROSTER_OPTIONS,
};

struct range {
    char from[11];
    char to[11];
};

static bool parse_day(const char *option, const char *text, int64_t *days, struct error *err)
{
    return dates_parse_day(text, days) ||
           error_set(err, ERROR_USAGE, "--%s %s: is no day; write it as 2026-03-14", option, text);
}

/* What the options say; without --from all days. */
static bool find_range(const struct bests_values *values, const char *today, struct range *out,
                       struct error *err)
{
    int64_t from = dates_days_from_civil(1, 1, 1);
    int64_t to = 0;
    int64_t last = 0;
    if ((values->from != NULL && !parse_day("from", values->from, &from, err)) ||
        !parse_day("today", today, &last, err)) {
        return false;
    }
    to = last + 1;
    if (values->to != NULL && !parse_day("to", values->to, &to, err)) {
        return false;
    }
    if (from >= to) {
        return error_set(err, ERROR_USAGE, "--from %s: no day lies between it and --to",
                         values->from == NULL ? "0001-01-01" : values->from);
    }
    /* Nothing dated after today is used. */
    dates_format_day(from, out->from);
    dates_format_day(to <= last ? to : last + 1, out->to);
    return true;
}

static int64_t a_year_before(const char *day)
{
    int64_t days = 0;
    if (!dates_parse_day(day, &days)) {
        return 0;
    }
    const struct civil civil = dates_civil_from_utc(days * 86400);
    /* 29 February becomes 1 March. */
    return dates_days_from_civil(civil.year - 1, civil.month, civil.day);
}

static bool parse_pair(const char *text, struct range *out, struct error *err)
{
    char words[24];
    int64_t from = 0;
    int64_t to = 0;
    const char *dots = strstr(text, "..");
    if (dots == NULL || strlen(text) >= sizeof words) {
        return error_set(err, ERROR_USAGE,
                         "--against %s: write before, last-year, or 2025-01-01..2025-03-14", text);
    }
    memcpy(words, text, strlen(text) + 1);
    words[dots - text] = '\0';
    if (!parse_day("against", words, &from, err) ||
        !parse_day("against", words + (dots - text) + 2, &to, err)) {
        return false;
    }
    dates_format_day(from, out->from);
    dates_format_day(to, out->to);
    return from < to ||
           error_set(err, ERROR_USAGE, "--against %s: its first day comes after its last", text);
}

static bool find_against(const struct bests_values *values, const struct range *range,
                         struct range *out, struct error *err)
{
    const bool is_before = strcmp(values->against, "before") == 0;
    if (!is_before && strcmp(values->against, "last-year") != 0) {
        return parse_pair(values->against, out, err);
    }
    int64_t from = 0;
    int64_t to = 0;
    if (values->from == NULL) {
        return error_set(err, ERROR_USAGE, "--against %s: needs --from", values->against);
    }
    if (!dates_parse_day(range->from, &from) || !dates_parse_day(range->to, &to)) {
        return error_set(err, ERROR_INTERNAL, "a range of days got lost");
    }
    dates_format_day(is_before ? from - (to - from) : a_year_before(range->from), out->from);
    dates_format_day(is_before ? from : a_year_before(range->to), out->to);
    return true;
}

/* ---- one side: the bests of a range ---- */

struct side {
    struct range range;
    struct best_envelope *bests;
    size_t n_rides; /* with power */
    struct ride_row *rows;
    size_t n_rows;
};

static bool find_side(struct roster_call *call, const struct rider *rider, struct side *side,
                      struct error *err)
{
    struct db *db = roster_db(call->roster);
    const struct ride_query query = { .rider = rider->id,
                                      .from_day = side->range.from,
                                      .to_day = side->range.to };
    side->bests = arena_alloc(call->arena, 1, sizeof *side->bests);
    if (!best_months_range(db, call->arena, rider->id, side->range.from, side->range.to,
                           side->bests, err) ||
        !recordings_list(db, call->arena, &query, &side->rows, &side->n_rows, err)) {
        return false;
    }
    for (size_t i = 0; i < side->n_rows; i++) {
        side->n_rides += side->rows[i].is_ride && !isnan(side->rows[i].work_kj) ? 1 : 0;
    }
    return true;
}

static const char *day_of(const struct side *side, int64_t recording)
{
    for (size_t i = 0; i < side->n_rows; i++) {
        if (side->rows[i].id == recording) {
            return side->rows[i].local_day;
        }
    }
    return NULL;
}

/* The weights of the rider, the newest first: the one in force on a day. */
struct weights {
    struct fact *items;
    size_t count;
};

static double weight_on(const struct weights *weights, const char *day)
{
    for (size_t i = 0; day != NULL && i < weights->count; i++) {
        if (strcmp(weights->items[i].day, day) <= 0) {
            return weights->items[i].value;
        }
    }
    return (double)NAN;
}

struct shown {
    bool known;
    double power_w;
    double w_per_kg;
    const char *day;
    int64_t ride;
    bool at_least;
};

static struct shown shown_of(const struct side *side, const struct weights *weights, size_t place,
                             int32_t duration_s)
{
    if (side->bests == NULL || place >= side->bests->count) {
        return (struct shown){ .power_w = (double)NAN, .w_per_kg = (double)NAN };
    }
    const struct best_envelope *bests = side->bests;
    const double power_w = (double)bests->work_j[place] / (double)duration_s;
    const char *day = day_of(side, bests->recording[place]);
    return (struct shown){ true,
                           power_w,
                           power_w / weight_on(weights, day),
                           day,
                           bests->recording[place],
                           (bests->marks[place] & BEST_AT_LEAST) != 0 };
}

/* ---- what is printed ---- */

static void add_shown_json(struct json *json, const struct shown *shown)
{
    json_number(json, "power_w", shown->power_w, 3);
    json_number(json, "w_per_kg", shown->w_per_kg, 3);
    json_integer(json, "ride", shown->ride);
    json_string(json, "day", shown->day);
    json_bool(json, "at_least", shown->at_least);
}

static void add_line_json(struct json *json, int32_t duration_s, const struct shown *shown,
                          const struct shown *against, bool compares)
{
    json_begin_object(json, NULL);
    json_integer(json, "duration_s", duration_s);
    add_shown_json(json, shown);
    if (compares && against->known) {
        json_begin_object(json, "against");
        add_shown_json(json, against);
        json_number(json, "change_w", shown->power_w - against->power_w, 3);
        json_number(json, "change_pct", (shown->power_w / against->power_w - 1.0) * 100.0, 2);
        json_end_object(json);
    } else if (compares) {
        json_null(json, "against");
    }
    json_end_object(json);
}

static void add_line_words(struct text *out, struct arena *arena, int32_t duration_s,
                           const struct shown *shown, const struct shown *against, bool compares)
{
    text_add_format(out, "%12s  %7.0f", words_duration(arena, duration_s), shown->power_w);
    if (isnan(shown->w_per_kg)) {
        text_add_format(out, "  %5s", "-");
    } else {
        text_add_format(out, "  %5.2f", shown->w_per_kg);
    }
    text_add_format(out, "  %-10s %6lld", shown->day, (long long)shown->ride);
    if (compares && against->known) {
        text_add_format(out, "  %7.0f %+6.0f %+6.1f %%", against->power_w,
                        shown->power_w - against->power_w,
                        (shown->power_w / against->power_w - 1.0) * 100.0);
    } else if (compares) {
        text_add_format(out, "  %7s", "-");
    }
    const bool is_open = shown->at_least || (compares && against->known && against->at_least);
    text_add(out, is_open ? " *\n" : "\n");
}

static bool is_wanted(const struct bests_values *values, int32_t duration_s)
{
    size_t n = 0;
    const size_t *shown = bests_shown_durations(&n);
    for (size_t i = 0; i < n; i++) {
        if (shown[i] == (size_t)duration_s) {
            return true;
        }
    }
    return values->all;
}

static void add_side_json(struct json *json, const char *key, const struct side *side)
{
    json_begin_object(json, key);
    json_string(json, "from", side->range.from);
    json_string(json, "to", side->range.to);
    json_integer(json, "rides", (int64_t)side->n_rides);
    json_end_object(json);
}

static void add_side_words(struct text *out, const char *before, const struct side *side)
{
    const bool all = strcmp(side->range.from, "0001-01-01") == 0;
    text_add_format(out, "%s%s%s before %s, of %zu %s with power", before, all ? "" : " from ",
                    all ? "" : side->range.from, side->range.to, side->n_rides,
                    side->n_rides == 1 ? "ride" : "rides");
}

static void begin_page(struct roster_call *call, struct json *json, const struct rider *rider,
                       const struct side *side, const struct side *against, bool compares)
{
    if (call->json) {
        json_begin_object(json, NULL);
        json_begin_object(json, "rider");
        json_integer(json, "id", rider->id);
        json_string(json, "name", rider->name);
        json_end_object(json);
        add_side_json(json, "range", side);
        if (compares) {
            add_side_json(json, "against", against);
        }
        json_begin_array(json, "bests");
        return;
    }
    text_add_format(&call->out, "%s: bests", rider->name);
    add_side_words(&call->out, "", side);
    if (compares) {
        add_side_words(&call->out, ";\nagainst those", against);
    }
    text_add(&call->out, ".\n\n");
    text_add_format(&call->out, "%12s  %7s  %5s  %-10s %6s", "", "W", "W/kg", "day", "ride");
    text_add(&call->out, compares ? "  against      W      %\n" : "\n");
}

static bool print(struct roster_call *call, const void *raw, struct error *err)
{
    const struct bests_values *values = raw;
    const bool compares = values->against != NULL;
    struct rider rider = { 0 };
    struct side side = { 0 };
    struct side against = { 0 };
    struct weights weights = { 0 };
    if (!find_range(values, call->today, &side.range, err) ||
        (compares && !find_against(values, &side.range, &against.range, err)) ||
        !riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !find_side(call, &rider, &side, err) ||
        (compares && !find_side(call, &rider, &against, err)) ||
        !facts_list(call->roster, call->arena, rider.id, FACT_WEIGHT, call->today, &weights.items,
                    &weights.count, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    begin_page(call, &json, &rider, &side, &against, compares);
    int32_t durations[BEST_GRID_MOST];
    const size_t n = best_grid_durations(SIZE_MAX, durations);
    bool is_open = false;
    for (size_t i = 0; i < n && i < side.bests->count; i++) {
        if (!is_wanted(values, durations[i])) {
            continue;
        }
        const struct shown one = shown_of(&side, &weights, i, durations[i]);
        const struct shown two = shown_of(&against, &weights, i, durations[i]);
        is_open = is_open || one.at_least || two.at_least;
        if (call->json) {
            add_line_json(&json, durations[i], &one, &two, compares);
        } else {
            add_line_words(&call->out, call->arena, durations[i], &one, &two, compares);
        }
    }
    if (call->json) {
        json_end_array(&json);
        json_end_object(&json);
    } else if (side.bests->count == 0) {
        text_add(&call->out, "No ride with power in these days.\n");
    } else if (is_open) {
        text_add(&call->out, "\n* at least: seconds without power could hide a better one.\n");
    }
    return true;
}

/* Before the roster is opened. */
static bool check_options(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct bests_values *values = raw;
    struct range range;
    struct range against;
    return find_range(values, call->today, &range, err) &&
           (values->against == NULL || find_against(values, &range, &against, err));
}

static const struct roster_work work = { .command = &command_bests,
                                         .least_words = 1,
                                         .most_words = 1,
                                         .check = check_options,
                                         .run = print };

static int bests_run(int argc, char *const argv[])
{
    struct bests_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_bests = {
    .name = "bests",
    .usage = "RIDER [options]",
    .summary = "a rider's greatest mean power, over any range of days",
    .about = "Lists the greatest mean power of a rider for the usual durations, over all days up "
             "to today or a range of them, with the ride each is of, and W/kg with the weight in "
             "force that day. --against sets another range beside it. A greater best may only mean "
             "that it was tried more often.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = bests_run,
};
