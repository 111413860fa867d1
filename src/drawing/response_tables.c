/* drawing/response_tables.c: the numbers of the response's figures as tables. */
#include "drawing/response_tables.h"

#include "coaching/words/response_words.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/words.h"
#include "drawing/duration_forms.h"

#include <math.h>

enum { ROWS_MOST = 60 };

static int32_t step_of(size_t seconds)
{
    static const int32_t steps[] = { 60, 120, 300, 600, 1200, 1800, 3600 };
    size_t i = 0;
    while (i + 1 < sizeof steps / sizeof steps[0] &&
           seconds > (size_t)steps[i] * (size_t)ROWS_MOST) {
        i++;
    }
    return steps[i];
}

static double mean_of(const double values[], size_t from, size_t to)
{
    double sum = 0.0;
    size_t n = 0;
    for (size_t i = from; values != NULL && i < to; i++) {
        if (!isnan(values[i])) {
            sum += values[i];
            n++;
        }
    }
    return n > 0 ? sum / (double)n : (double)NAN;
}

static const char *range_of(struct arena *arena, double low, double high, int decimals)
{
    return isfinite(low) && isfinite(high)
               ? arena_format(arena, "%s to %s", words_cell(arena, low, decimals),
                              words_cell(arena, high, decimals))
               : words_cell(arena, (double)NAN, 0);
}

/* The seconds of a row. */
struct row {
    size_t from;
    size_t to;
};

static size_t n_rows_of(const struct traces *traces, int32_t step)
{
    return (traces->n_seconds + (size_t)step - 1) / (size_t)step;
}

static struct row row_of(const struct traces *traces, int32_t step, size_t i)
{
    const size_t from = i * (size_t)step;
    const size_t to = from + (size_t)step;
    return (struct row){ from, to < traces->n_seconds ? to : traces->n_seconds };
}

const struct scene_table *response_table_heart(struct arena *arena, const struct traces *traces)
{
    static const char *const heads[] = { "from", "power, W", "heart rate, beats/min",
                                         "usual, beats/min", "against usual, beats" };
    enum { COLUMNS = sizeof heads / sizeof heads[0] };
    const bool is_known = traces->expected_low_bpm != NULL;
    const int32_t step = step_of(traces->n_seconds);
    const size_t n = n_rows_of(traces, step);
    const size_t columns = is_known ? COLUMNS : 3;
    struct scene_table *table = scene_table_begin(
        arena, arena_format(arena, "Means of %s", words_duration(arena, step)), heads, columns, n);
    for (size_t i = 0; i < n; i++) {
        const struct row row = row_of(traces, step, i);
        const char **cells = &table->cells[i * columns];
        cells[0] = words_clock(arena, (int32_t)row.from);
        cells[1] = words_cell(arena, mean_of(traces->power_w, row.from, row.to), 0);
        cells[2] = words_cell(arena, mean_of(traces->heart_bpm, row.from, row.to), 0);
        if (is_known) {
            cells[3] = range_of(arena, mean_of(traces->expected_low_bpm, row.from, row.to),
                                mean_of(traces->expected_high_bpm, row.from, row.to), 0);
            cells[4] = words_signed(arena, mean_of(traces->third, row.from, row.to));
        }
    }
    return table;
}

/* What else there was on a day. */
static const char *noted(struct arena *arena, const struct usual_days *days, int64_t day)
{
    for (size_t i = 0; i < days->n_tests; i++) {
        if (days->tests[i].day == day) {
            return arena_format(arena, "base test: %s", days->tests[i].verdict);
        }
    }
    for (size_t i = 0; i < days->n_gaps; i++) {
        if (day >= days->gaps[i].from_day && day < days->gaps[i].to_day) {
            return days->gaps[i].words;
        }
    }
    return words_cell(arena, (double)NAN, 0);
}

const struct scene_table *response_table_weeks(struct arena *arena, const struct usual_days *days)
{
    static const char *const heads[] = { "day",    "power, W",    "against usual, beats",
                                         "likely", "is it usual", "noted" };
    enum { COLUMNS = sizeof heads / sizeof heads[0] };
    struct scene_table *table = scene_table_begin(
        arena, arena_format(arena, "Rides; beyond %.0f beats is unusual", days->line_bpm), heads,
        COLUMNS, days->n);
    for (size_t i = 0; i < days->n; i++) {
        const struct usual_day *day = &days->days[i];
        const char **cells = &table->cells[i * COLUMNS];
        cells[0] = words_day(arena, day->day);
        cells[1] = words_cell(arena, day->power_w, 0);
        cells[2] = words_signed(arena, day->bpm);
        cells[3] = isfinite(day->low_bpm) && isfinite(day->high_bpm)
                       ? arena_format(arena, "%s to %s", words_signed(arena, day->low_bpm),
                                      words_signed(arena, day->high_bpm))
                       : words_cell(arena, (double)NAN, 0);
        cells[4] = isnan(day->bpm)                   ? "not known"
                   : fabs(day->bpm) > days->line_bpm ? "unusual"
                                                     : "usual";
        cells[5] = noted(arena, days, day->day);
    }
    return table;
}

const struct scene_table *response_table_durations(struct arena *arena,
                                                   const struct rider_power *power)
{
    static const char *const heads[] = { "lasting", "power, W", "day", "the form that decides, W" };
    const bool is_known = power->curve.end == DURATION_KNOWN;
    const size_t columns = is_known ? 4 : 3;
    struct scene_table *table =
        scene_table_begin(arena, "All-out efforts", heads, columns, power->n_efforts);
    for (size_t i = 0; i < power->n_efforts; i++) {
        const struct duration_effort *effort = &power->efforts[i];
        const char **cells = &table->cells[i * columns];
        cells[0] = words_duration(arena, effort->duration_s);
        cells[1] = words_cell(arena, effort->mean_w, 0);
        cells[2] = words_day(arena, effort->day);
        if (is_known) {
            cells[3] = words_cell(
                arena, power->curve.cp_w + power->curve.w_prime_j / effort->duration_s, 0);
        }
    }
    return table;
}

static const struct scene_table *left_by_minutes(struct arena *arena, const struct traces *traces)
{
    static const char *const heads[] = { "from", "power, W", "W' left, kJ", "the forms span, kJ" };
    enum { COLUMNS = sizeof heads / sizeof heads[0] };
    const int32_t step = step_of(traces->n_seconds);
    const size_t n = n_rows_of(traces, step);
    struct scene_table *table = scene_table_begin(
        arena, arena_format(arena, "Means of %s", words_duration(arena, step)), heads, COLUMNS, n);
    for (size_t i = 0; i < n; i++) {
        const struct row row = row_of(traces, step, i);
        const char **cells = &table->cells[i * COLUMNS];
        cells[0] = words_clock(arena, (int32_t)row.from);
        cells[1] = words_cell(arena, mean_of(traces->power_w, row.from, row.to), 0);
        cells[2] = words_cell(arena, mean_of(traces->third, row.from, row.to), 1);
        cells[3] = range_of(arena, mean_of(traces->third_low, row.from, row.to),
                            mean_of(traces->third_high, row.from, row.to), 1);
    }
    return table;
}

const struct scene_table *response_table_left(struct arena *arena,
                                              const struct ride_balance *balance,
                                              const struct traces *traces)
{
    static const char *const heads[] = { "rep",         "from",           "lasting",
                                         "it took, kJ", "left after, kJ", "the forms span, kJ" };
    enum { COLUMNS = sizeof heads / sizeof heads[0] };
    if (balance->n_reps == 0) {
        return left_by_minutes(arena, traces);
    }
    struct scene_table *table =
        scene_table_begin(arena, "Reps and W'", heads, COLUMNS, balance->n_reps);
    for (size_t i = 0; i < balance->n_reps; i++) {
        const struct rep_balance *rep = &balance->reps[i];
        const char **cells = &table->cells[i * COLUMNS];
        cells[0] = arena_format(arena, "%zu", i + 1);
        cells[1] = words_clock(arena, rep->span.from_s);
        cells[2] = words_duration(arena, rep->span.to_s - rep->span.from_s);
        cells[3] = words_cell(arena, rep->cost_j / 1000.0, 1);
        cells[4] = words_cell(arena, rep->left_j / 1000.0, 1);
        cells[5] = range_of(arena, rep->left_low_j / 1000.0, rep->left_high_j / 1000.0, 1);
    }
    return table;
}

const struct scene_table *response_table_teaching(struct arena *arena,
                                                  const struct teaching *teaching)
{
    static const char *const heads[] = { "rep",
                                         "mean, W",
                                         "first third, W",
                                         "last third, W",
                                         "heart rate at its end",
                                         "at 90 % of maximal",
                                         "W' left, kJ" };
    enum { COLUMNS = sizeof heads / sizeof heads[0] };
    const size_t n = (size_t)teaching->session.reps;
    struct scene_table *table =
        scene_table_begin(arena, "The reps of both", heads, COLUMNS, n * TEACH_WAYS);
    for (int way = 0; way < TEACH_WAYS; way++) {
        for (size_t i = 0; i < n; i++) {
            const struct teaching_rep *rep = &teaching->rides[way].reps[i];
            const char **cells = &table->cells[((size_t)way * n + i) * COLUMNS];
            cells[0] = arena_format(arena, "%zu, to %s", i + 1,
                                    way == TEACH_HEART ? "heart rate" : "power");
            cells[1] = words_cell(arena, rep->mean_w, 0);
            cells[2] = words_cell(arena, rep->first_third_w, 0);
            cells[3] = words_cell(arena, rep->last_third_w, 0);
            cells[4] = words_cell(arena, rep->heart_end_bpm, 0);
            cells[5] = words_duration(arena, rep->at_90_s);
            cells[6] = words_cell(arena, rep->left_j / 1000.0, 1);
        }
    }
    return table;
}
