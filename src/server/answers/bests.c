/* server/answers/bests.c: a rider's bests over a range of days, beside another. */
#include "server/answers/bests.h"

#include "base/dates.h"
#include "coaching/words/answer_words.h"
#include "physiology/bests.h"
#include "physiology/effort.h"
#include "roster/best_months.h"
#include "roster/facts.h"
#include "roster/past.h"

#include <math.h>
#include <string.h>

/* ---- which days ---- */

static bool parse_day(const struct bests_wish *wish, const char *option, const char *text,
                      int64_t *days, struct error *err)
{
    return dates_parse_day(text, days) ||
           error_set(err, ERROR_USAGE, "%s%s %s: is no day; write it as 2026-03-14", wish->dashes,
                     option, text);
}

/* What is wished; without a first day all days. */
static bool find_range(const struct bests_wish *wish, const char *today, struct days_range *out,
                       struct error *err)
{
    int64_t from = dates_days_from_civil(1, 1, 1);
    int64_t to = 0;
    int64_t last = 0;
    if ((wish->from != NULL && !parse_day(wish, "from", wish->from, &from, err)) ||
        !parse_day(wish, "today", today, &last, err)) {
        return false;
    }
    to = last + 1;
    if (wish->to != NULL && !parse_day(wish, "to", wish->to, &to, err)) {
        return false;
    }
    if (from >= to) {
        return error_set(err, ERROR_USAGE, "%sfrom %s: no day lies between it and %sto",
                         wish->dashes, wish->from == NULL ? "0001-01-01" : wish->from,
                         wish->dashes);
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

static bool parse_pair(const struct bests_wish *wish, struct days_range *out, struct error *err)
{
    const char *text = wish->against;
    char words[24];
    int64_t from = 0;
    int64_t to = 0;
    const char *dots = strstr(text, "..");
    if (dots == NULL || strlen(text) >= sizeof words) {
        return error_set(err, ERROR_USAGE,
                         "%sagainst %s: write before, last-year, or 2025-01-01..2025-03-14",
                         wish->dashes, text);
    }
    memcpy(words, text, strlen(text) + 1);
    words[dots - text] = '\0';
    if (!parse_day(wish, "against", words, &from, err) ||
        !parse_day(wish, "against", words + (dots - text) + 2, &to, err)) {
        return false;
    }
    dates_format_day(from, out->from);
    dates_format_day(to, out->to);
    return from < to ||
           error_set(err, ERROR_USAGE, "%sagainst %s: its first day comes after its last",
                     wish->dashes, text);
}

static bool find_against(const struct bests_wish *wish, const struct days_range *range,
                         struct days_range *out, struct error *err)
{
    const bool is_before = strcmp(wish->against, "before") == 0;
    if (!is_before && strcmp(wish->against, "last-year") != 0) {
        return parse_pair(wish, out, err);
    }
    int64_t from = 0;
    int64_t to = 0;
    if (wish->from == NULL) {
        return error_set(err, ERROR_USAGE, "%sagainst %s: needs %sfrom", wish->dashes,
                         wish->against, wish->dashes);
    }
    if (!dates_parse_day(range->from, &from) || !dates_parse_day(range->to, &to)) {
        return error_set(err, ERROR_INTERNAL, "a range of days got lost");
    }
    dates_format_day(is_before ? from - (to - from) : a_year_before(range->from), out->from);
    dates_format_day(is_before ? from : a_year_before(range->to), out->to);
    return true;
}

bool bests_ranges(const struct bests_wish *wish, const char *today, struct days_range *range,
                  struct days_range *against, struct error *err)
{
    return find_range(wish, today, range, err) &&
           (wish->against == NULL || find_against(wish, range, against, err));
}

/* ---- one side: the bests of a range ---- */

static bool find_side(struct db *db, struct arena *arena, int64_t rider, struct best_side *side,
                      struct error *err)
{
    const struct ride_query query = { .rider = rider,
                                      .from_day = side->range.from,
                                      .to_day = side->range.to };
    side->bests = arena_alloc(arena, 1, sizeof *side->bests);
    if (!best_months_range(db, arena, rider, side->range.from, side->range.to, side->bests, err) ||
        !recordings_list(db, arena, &query, &side->rows, &side->n_rows, err)) {
        return false;
    }
    for (size_t i = 0; i < side->n_rows; i++) {
        side->n_rides += side->rows[i].is_ride && !isnan(side->rows[i].work_kj) ? 1 : 0;
    }
    return true;
}

static const struct ride_row *row_of(const struct best_side *side, int64_t recording)
{
    for (size_t i = 0; i < side->n_rows; i++) {
        if (side->rows[i].id == recording) {
            return &side->rows[i];
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

static struct best_told told_of(const struct best_side *side, const struct weights *weights,
                                size_t place, int32_t duration_s)
{
    if (side->bests == NULL || place >= side->bests->count) {
        return (struct best_told){ .power_w = (double)NAN, .w_per_kg = (double)NAN, .start_s = -1 };
    }
    const struct best_envelope *bests = side->bests;
    const double power_w = (double)bests->work_j[place] / (double)duration_s;
    const struct ride_row *row = row_of(side, bests->recording[place]);
    const char *day = row == NULL ? NULL : row->local_day;
    return (struct best_told){ .known = true,
                               .power_w = power_w,
                               .w_per_kg = power_w / weight_on(weights, day),
                               .day = day,
                               .ride = bests->recording[place],
                               .at_least = (bests->marks[place] & BEST_AT_LEAST) != 0,
                               .start_s = -1 };
}

static bool is_wanted(const struct bests_wish *wish, int32_t duration_s)
{
    size_t n = 0;
    const size_t *shown = bests_shown_durations(&n);
    for (size_t i = 0; i < n; i++) {
        if (shown[i] == (size_t)duration_s) {
            return true;
        }
    }
    return wish->all;
}

/* ---- where in its ride, and was it all-out ---- */

static const struct past_ride *past_of(const struct rider_history *history, int64_t ride)
{
    for (size_t i = 0; i < history->n_rides; i++) {
        if (history->rides[i].id == ride) {
            return &history->rides[i];
        }
    }
    return NULL;
}

static void take_evidence(const struct rider_history *history, int32_t duration_s,
                          struct best_told *best)
{
    const struct past_ride *ride = best->known ? past_of(history, best->ride) : NULL;
    for (size_t i = 0; ride != NULL && i < ride->n_efforts; i++) {
        if (ride->efforts[i].duration_s == duration_s) {
            best->evidence_is_asked = true;
            best->evidence = ride->efforts[i].evidence;
        }
    }
}

/* The side of a line. */
static struct best_told *told_in(struct bests_told *told, size_t i, int side)
{
    return side == 0 ? &told->lines[i].one : &told->lines[i].two;
}

/* One ride is unpacked once, for all its bests.  Of the durations that aren't shown by default the
 * beginning isn't looked for. */
static bool take_starts(struct db *db, struct arena *arena, const struct best_side *of,
                        struct bests_told *told, int side, struct error *err)
{
    for (size_t i = 0; i < told->n; i++) {
        const struct best_told *first = told_in(told, i, side);
        const struct ride_row *row = first->known ? row_of(of, first->ride) : NULL;
        if (row == NULL || first->start_s >= 0) {
            continue;
        }
        struct recording recording;
        if (!recordings_load_effort(db, arena, row, &recording, err)) {
            return false;
        }
        const struct bests bests = bests_shown(arena, &recording);
        for (size_t k = i; k < told->n; k++) {
            struct best_told *best = told_in(told, k, side);
            for (size_t b = 0; best->ride == row->id && b < bests.count; b++) {
                if (bests.items[b].duration_s == told->lines[k].duration_s) {
                    best->start_s = bests.items[b].start_s;
                }
            }
        }
    }
    return true;
}

static bool find_starts(struct db *db, struct arena *arena, const char *today,
                        struct bests_told *told, struct error *err)
{
    struct rider_history history;
    size_t n_waiting = 0;
    if (!past_load(db, arena, told->rider, today, &history, &n_waiting, err)) {
        return false;
    }
    for (size_t i = 0; i < told->n; i++) {
        take_evidence(&history, told->lines[i].duration_s, &told->lines[i].one);
        take_evidence(&history, told->lines[i].duration_s, &told->lines[i].two);
    }
    return take_starts(db, arena, &told->side, told, 0, err) &&
           take_starts(db, arena, &told->against, told, 1, err);
}

bool bests_told_take(struct roster *roster, struct arena *arena, const struct rider *rider,
                     const struct bests_wish *wish, const char *today, struct bests_told *out,
                     struct error *err)
{
    struct db *db = roster_db(roster);
    struct weights weights = { 0 };
    *out = (struct bests_told){ .rider = rider, .compares = wish->against != NULL };
    if (!bests_ranges(wish, today, &out->side.range, &out->against.range, err) ||
        !find_side(db, arena, rider->id, &out->side, err) ||
        (out->compares && !find_side(db, arena, rider->id, &out->against, err)) ||
        !facts_list(roster, arena, rider->id, FACT_WEIGHT, today, &weights.items, &weights.count,
                    err)) {
        return false;
    }
    int32_t durations[BEST_GRID_MOST];
    const size_t n = best_grid_durations(SIZE_MAX, durations);
    out->lines = ARENA_ARRAY(arena, struct best_line, n);
    for (size_t i = 0; i < n && i < out->side.bests->count; i++) {
        if (is_wanted(wish, durations[i])) {
            out->lines[out->n++] =
                (struct best_line){ .duration_s = durations[i],
                                    .one = told_of(&out->side, &weights, i, durations[i]),
                                    .two = told_of(&out->against, &weights, i, durations[i]) };
        }
    }
    return bests_meters_take(db, arena, today, out, err) &&
           (!wish->finds_starts || find_starts(db, arena, today, out, err));
}

/* ---- JSON ---- */

static void evidence_json(struct json *json, const struct best_told *best)
{
    static const struct {
        enum effort_evidence evidence;
        const char *name;
    } names[] = { { EFFORT_MARKED, "marked" },
                  { EFFORT_HEART, "heart" },
                  { EFFORT_FADED, "faded" } };
    if (best->start_s < 0) {
        json_null(json, "start_s");
    } else {
        json_integer(json, "start_s", best->start_s);
    }
    if (!best->evidence_is_asked) {
        json_null(json, "evidence");
        json_null(json, "evidence_words");
        return;
    }
    json_begin_array(json, "evidence");
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        if ((best->evidence & (unsigned)names[i].evidence) != 0) {
            json_string(json, NULL, names[i].name);
        }
    }
    json_end_array(json);
    json_string(json, "evidence_words", words_evidence(json->out->arena, best->evidence));
}

static void told_json(struct json *json, const struct best_told *best, bool with_more)
{
    json_number(json, "power_w", best->power_w, 3);
    json_number(json, "w_per_kg", best->w_per_kg, 3);
    json_integer(json, "ride", best->ride);
    json_string(json, "day", best->day);
    json_bool(json, "at_least", best->at_least);
    if (with_more) {
        evidence_json(json, best);
    }
}

static void line_json(struct json *json, const struct best_line *line, bool compares,
                      bool with_more)
{
    const struct best_told *one = &line->one;
    const struct best_told *two = &line->two;
    json_begin_object(json, NULL);
    json_integer(json, "duration_s", line->duration_s);
    told_json(json, one, with_more);
    if (compares && two->known) {
        json_begin_object(json, "against");
        told_json(json, two, with_more);
        json_number(json, "change_w", one->power_w - two->power_w, 3);
        json_number(json, "change_pct", (one->power_w / two->power_w - 1.0) * 100.0, 2);
        bests_meters_json(json, &line->meters);
        json_end_object(json);
    } else if (compares || with_more) {
        json_null(json, "against");
    }
    json_end_object(json);
}

static void side_json(struct json *json, const char *key, const struct best_side *side)
{
    json_begin_object(json, key);
    json_string(json, "from", side->range.from);
    json_string(json, "to", side->range.to);
    json_integer(json, "rides", (int64_t)side->n_rides);
    json_end_object(json);
}

void bests_told_json(struct json *json, const struct bests_told *told, bool with_more)
{
    json_begin_object(json, "rider");
    json_integer(json, "id", told->rider->id);
    json_string(json, "name", told->rider->name);
    json_end_object(json);
    side_json(json, "range", &told->side);
    if (told->compares) {
        side_json(json, "against", &told->against);
    } else if (with_more) {
        json_null(json, "against");
    }
    json_begin_array(json, "bests");
    for (size_t i = 0; i < told->n; i++) {
        line_json(json, &told->lines[i], told->compares, with_more);
    }
    json_end_array(json);
}
