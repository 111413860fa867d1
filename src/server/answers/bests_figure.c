/* server/answers/bests_figure.c: bests of a range, for the figures that show them. */
#include "server/answers/bests_figure.h"

#include "base/dates.h"
#include "coaching/words/figure_words.h"

#include <string.h>

/* "All days" begin with the first that has a ride. */
static int64_t first_day(const struct best_side *side)
{
    int64_t first = INT64_MAX;
    if (strcmp(side->range.from, "0001-01-01") != 0) {
        return dates_day_number(side->range.from);
    }
    for (size_t i = 0; i < side->n_rows; i++) {
        const int64_t day = dates_day_number(side->rows[i].local_day);
        first = day != INT64_MIN && day < first ? day : first;
    }
    return first == INT64_MAX ? dates_day_number(side->range.to) - 1 : first;
}

struct power_curve bests_curve(struct arena *arena, const struct best_side *side)
{
    const size_t n = side->bests->count;
    int32_t *durations = ARENA_ARRAY(arena, int32_t, BEST_GRID_MOST);
    double *power_w = ARENA_ARRAY(arena, double, n);
    (void)best_grid_durations(SIZE_MAX, durations);
    for (size_t i = 0; i < n; i++) {
        power_w[i] = (double)side->bests->work_j[i] / (double)durations[i];
    }
    const int64_t to = dates_day_number(side->range.to);
    return (struct power_curve){ durations, power_w, n, words_days(arena, first_day(side), to) };
}

void bests_progress(struct arena *arena, const struct bests_told *told,
                    const struct rider_history *history, const struct limits *limits,
                    struct rider_progress *out)
{
    const struct progress_windows windows = { first_day(&told->against),
                                              dates_day_number(told->against.range.to),
                                              first_day(&told->side),
                                              dates_day_number(told->side.range.to) };
    rider_progress_between(arena, history, &windows, limits, out);
}
