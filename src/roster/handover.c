/* roster/handover.c: a rider on one page. */
#include "roster/handover.h"

#include "base/dates.h"
#include "roster/best_months.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The usual durations of bests: common practice. */
static const int32_t durations[HANDOVER_BESTS] = { 10, 60, 300, 480, 1200, 3600, 7200 };

struct work {
    struct db *db;
    struct arena *arena;
    const struct scan_call *call;
    struct scan scan;
    struct fact *weights; /* [n_weights] the newest first */
    size_t n_weights;
    struct handover *out;
};

/* ---- months ---- */

/* A valid test makes a day hard that its reading knows nothing of. */
static enum scan_hard hardness_of(const struct scanned_ride *ride)
{
    for (size_t i = 0; i < ride->tests.count; i++) {
        if (ride->tests.items[i].valid) {
            return SCAN_HARD;
        }
    }
    return ride->hard;
}

static int64_t months_of(int64_t days)
{
    const struct civil civil = dates_civil_from_utc(days * 86400);
    return civil.year * 12 + civil.month - 1;
}

static void add_ride(struct handover_month *month, const struct scanned_ride *ride,
                     double power_hours[2])
{
    const double hours = ride->row.timer_s / 3600.0;
    month->hours += hours;
    if (!ride->row.is_ride) {
        month->other_hours += hours;
        return;
    }
    month->rides++;
    power_hours[1] += hours;
    if (!isnan(ride->row.work_kj)) {
        power_hours[0] += hours;
        month->work_kj = (isnan(month->work_kj) ? 0.0 : month->work_kj) + ride->row.work_kj;
    }
}

static void add_months(struct work *work)
{
    const struct scan *scan = &work->scan;
    struct handover *out = work->out;
    enum { MONTHS_MOST = 12 * 200 };
    if (scan->count == 0) {
        return;
    }
    int64_t first = INT64_MAX;
    int64_t last = INT64_MIN;
    for (size_t i = 0; i < scan->count; i++) {
        const int64_t month = months_of(scan->rides[i].days);
        first = month < first ? month : first;
        last = month > last ? month : last;
    }
    /* A clock that was years off must not make a page of empty months. */
    first = last - first >= MONTHS_MOST ? last - MONTHS_MOST + 1 : first;
    out->n_months = (size_t)(last - first + 1);
    out->months = ARENA_ARRAY(work->arena, struct handover_month, out->n_months);
    double(*power_hours)[2] = arena_alloc(work->arena, out->n_months, sizeof *power_hours);
    for (size_t i = 0; i < out->n_months; i++) {
        const int64_t month = first + (int64_t)i;
        char day[11];
        dates_format_day(dates_days_from_civil(month / 12, (int)(month % 12) + 1, 1), day);
        memcpy(out->months[i].month, day, 7);
        out->months[i].work_kj = (double)NAN;
    }
    for (size_t i = 0; i < scan->count;) {
        const int64_t day = scan->rides[i].days;
        const int64_t place = months_of(day) - first;
        enum scan_hard hard = SCAN_NOT_HARD;
        for (; i < scan->count && scan->rides[i].days == day; i++) {
            const enum scan_hard one = hardness_of(&scan->rides[i]);
            hard = one > hard ? one : hard;
            if (place >= 0) {
                add_ride(&out->months[place], &scan->rides[i], power_hours[place]);
            }
        }
        if (place >= 0) {
            out->months[place].hard_days += hard == SCAN_HARD ? 1 : 0;
            out->months[place].hard_days_unknown =
                out->months[place].hard_days_unknown || hard == SCAN_HARD_UNKNOWN;
        }
    }
    for (size_t i = 0; i < out->n_months; i++) {
        out->months[i].power_ratio =
            power_hours[i][1] > 0.0 ? power_hours[i][0] / power_hours[i][1] : (double)NAN;
    }
}

/* ---- seasons ---- */

static const struct ride_row *row_of(const struct scan *scan, int64_t id)
{
    for (size_t i = 0; i < scan->count; i++) {
        if (scan->rides[i].row.id == id) {
            return &scan->rides[i].row;
        }
    }
    return NULL;
}

static void add_bests(const struct work *work, const struct best_envelope *bests,
                      struct handover_season *season)
{
    int32_t grid[BEST_GRID_MOST];
    const size_t n = best_grid_durations(SIZE_MAX, grid);
    for (size_t d = 0; d < HANDOVER_BESTS; d++) {
        for (size_t i = 0; i < n && i < bests->count; i++) {
            const struct ride_row *row =
                grid[i] == durations[d] ? row_of(&work->scan, bests->recording[i]) : NULL;
            if (row == NULL || row->local_day == NULL) {
                continue;
            }
            const struct fact *weight =
                scan_fact_on(work->weights, work->n_weights, row->local_day);
            const double power_w = (double)bests->work_j[i] / grid[i];
            season->bests[season->n_bests++] = (struct handover_best){
                .duration_s = grid[i],
                .power_w = power_w,
                .w_per_kg = weight == NULL ? (double)NAN : power_w / weight->value,
                .day = row->local_day,
                .ride = row->id,
                .at_least = (bests->marks[i] & BEST_AT_LEAST) != 0,
            };
        }
    }
}

static bool add_seasons(struct work *work, struct error *err)
{
    struct handover *out = work->out;
    struct best_envelope *bests = arena_alloc(work->arena, 1, sizeof *bests);
    int64_t after = 0;
    char tomorrow[11];
    if (out->n_months == 0 || !dates_parse_day(work->call->today, &after)) {
        return true;
    }
    dates_format_day(after + 1, tomorrow);
    const int first = (int)strtol(out->months[0].month, NULL, 10);
    const int last = (int)strtol(out->months[out->n_months - 1].month, NULL, 10);
    out->seasons = ARENA_ARRAY(work->arena, struct handover_season, (size_t)(last - first + 1));
    for (int year = first; year <= last && year < 9999; year++) {
        struct handover_season *season = &out->seasons[out->n_seasons];
        const char *from = arena_format(work->arena, "%04d-01-01", year);
        const char *to = arena_format(work->arena, "%04d-01-01", year + 1);
        if (!best_months_range(work->db, work->arena, work->call->rider->id, from,
                               strcmp(to, tomorrow) < 0 ? to : tomorrow, bests, err)) {
            return false;
        }
        memcpy(season->year, from, 4);
        add_bests(work, bests, season);
        out->n_seasons += season->n_bests > 0 ? 1 : 0;
    }
    return true;
}

/* ---- gaps ---- */

static const char *day_text(struct arena *arena, int64_t days)
{
    char text[11];
    dates_format_day(days, text);
    return arena_string(arena, text);
}

static void add_gaps(struct work *work)
{
    const struct scan *scan = &work->scan;
    struct handover *out = work->out;
    const int64_t least = (int64_t)work->call->limits->value[LIMIT_GAP_DAYS];
    int64_t today = 0;
    out->gaps = ARENA_ARRAY(work->arena, struct handover_gap, scan->count);
    for (size_t i = 0; i < scan->count && dates_parse_day(work->call->today, &today); i++) {
        const bool is_last = i + 1 == scan->count;
        const int64_t next = is_last ? today + 1 : scan->rides[i + 1].days;
        const int64_t days = next - scan->rides[i].days - 1;
        if (days >= least) {
            out->gaps[out->n_gaps++] =
                (struct handover_gap){ day_text(work->arena, scan->rides[i].days + 1),
                                       day_text(work->arena, next - 1), days, is_last };
        }
    }
}

/* ---- thresholds and tests ---- */

static int by_day(const void *left, const void *right)
{
    const struct handover_test *a = left;
    const struct handover_test *b = right;
    const int days = strcmp(a->day, b->day);
    return days != 0 ? days : (a->ride > b->ride) - (a->ride < b->ride);
}

static void add_tests(struct work *work)
{
    const struct scan *scan = &work->scan;
    struct handover *out = work->out;
    size_t most = scan->n_thresholds;
    for (size_t i = 0; i < scan->count; i++) {
        most += scan->rides[i].tests.count;
    }
    out->tests = ARENA_ARRAY(work->arena, struct handover_test, most);
    for (size_t i = 0; i < scan->n_thresholds; i++) {
        out->tests[out->n_tests++] = (struct handover_test){ .day = scan->thresholds[i].day,
                                                             .threshold = &scan->thresholds[i] };
    }
    for (size_t i = 0; i < scan->count; i++) {
        const struct scanned_ride *ride = &scan->rides[i];
        for (size_t k = 0; k < ride->tests.count; k++) {
            struct handover_test *of_day = NULL;
            for (size_t t = 0; t < scan->n_thresholds; t++) {
                const bool is_same = strcmp(out->tests[t].day, ride->row.local_day) == 0 &&
                                     out->tests[t].test == NULL;
                of_day = is_same ? &out->tests[t] : of_day;
            }
            of_day = of_day != NULL ? of_day : &out->tests[out->n_tests++];
            of_day->day = ride->row.local_day;
            of_day->test = &ride->tests.items[k];
            of_day->ride = ride->row.id;
        }
    }
    if (out->n_tests > 0) {
        qsort(out->tests, out->n_tests, sizeof out->tests[0], by_day);
    }
}

/* ---- what can't be told ---- */

static void add_open(struct handover *out, const char *code, size_t n, size_t of, const char *day)
{
    if (out->n_open < HANDOVER_OPEN_MOST) {
        out->open[out->n_open++] = (struct handover_open){ code, n, of, day };
    }
}

/* None, or none before the rides began. */
static void check_fact(struct handover *out, const struct fact facts[], size_t n, const char *none,
                       const char *late)
{
    const char *first = n == 0 ? NULL : facts[n - 1].day;
    if (first == NULL) {
        add_open(out, none, 0, 0, NULL);
    } else if (out->first_day != NULL && strcmp(first, out->first_day) > 0) {
        add_open(out, late, 0, 0, first);
    }
}

static bool count_meters(const struct work *work, size_t *n, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(work->db, work->arena,
                  "SELECT COUNT(DISTINCT s.serial) FROM sensor s JOIN recording r ON r.id = "
                  "s.recording WHERE r.rider = $1 AND s.kind = 'power' AND r.local_day <= $2",
                  "i", DB_ARGS(db_integer(work->call->rider->id), db_text(work->call->today)),
                  &rows, err)) {
        return false;
    }
    *n = (size_t)db_integer_at(&rows, 0, 0);
    return true;
}

static bool add_all_open(struct work *work, struct error *err)
{
    const struct scan *scan = &work->scan;
    struct handover *out = work->out;
    size_t rides = 0;
    size_t powerless = 0;
    size_t heartless = 0;
    size_t undated = 0;
    size_t meters = 0;
    for (size_t i = 0; i < scan->count; i++) {
        const struct scanned_ride *ride = &scan->rides[i];
        rides += ride->row.is_ride ? 1 : 0;
        powerless += ride->row.is_ride && isnan(ride->row.work_kj) ? 1 : 0;
        heartless += ride->row.is_ride && isnan(ride->heart_highest_bpm) ? 1 : 0;
    }
    for (size_t i = 0; i < scan->n_others; i++) {
        undated += scan->others[i].local_day == NULL ? 1 : 0;
    }
    if (!count_meters(work, &meters, err)) {
        return false;
    }
    if (rides == 0) {
        add_open(out, "no-rides", 0, 0, NULL);
    }
    check_fact(out, scan->thresholds, scan->n_thresholds, "no-threshold", "threshold-from");
    check_fact(out, work->weights, work->n_weights, "no-weight", "weight-from");
    if (scan->n_maxima == 0 || scan->maxima[0].at_least) {
        add_open(out, scan->n_maxima == 0 ? "no-max-heart-rate" : "max-at-least", 0, 0, NULL);
    }
    const struct {
        const char *code;
        size_t n;
    } counts[] = { { "no-power", powerless },
                   { "no-heart-rate", heartless },
                   { "undated", undated } };
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++) {
        if (counts[i].n > 0) {
            add_open(out, counts[i].code, counts[i].n, rides, NULL);
        }
    }
    if (meters > 1) {
        add_open(out, "meters", meters, 0, NULL);
    }
    if (out->n_tests == 0) {
        add_open(out, "no-tests", 0, 0, NULL);
    }
    return true;
}

bool handover_make(struct arena *arena, const struct scan_call *call, struct handover *out,
                   struct error *err)
{
    struct work work = { .db = roster_db(call->roster), .arena = arena, .call = call, .out = out };
    *out = (struct handover){ 0 };
    if (!scan_rides(arena, call, &work.scan, err) ||
        !facts_list(call->roster, arena, call->rider->id, FACT_WEIGHT, call->today, &work.weights,
                    &work.n_weights, err)) {
        return false;
    }
    const struct scan *scan = &work.scan;
    out->n_rides = scan->count;
    out->first_day = scan->count == 0 ? NULL : scan->rides[0].row.local_day;
    out->last_day = scan->count == 0 ? NULL : scan->rides[scan->count - 1].row.local_day;
    add_months(&work);
    if (!add_seasons(&work, err)) {
        return false;
    }
    add_gaps(&work);
    add_tests(&work);
    return add_all_open(&work, err);
}
