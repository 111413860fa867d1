/* roster/best_grid.c: a recording's bests on a grid of durations. */
#include "roster/best_grid.h"

#include "physiology/bests.h"

#include <string.h>

/* Up to `until` in steps of `step`: each step at most 1 % of where it begins. */
static const struct {
    int32_t until;
    int32_t step;
} steps[] = {
    { 600, 1 },    { 1200, 6 },    { 1800, 12 },   { 3600, 18 },   { 7200, 36 },
    { 10800, 72 }, { 21600, 108 }, { 43200, 216 }, { 86400, 432 }, { 172800, 864 },
};

size_t best_grid_durations(size_t longest_s, int32_t out[BEST_GRID_MOST])
{
    size_t n = 0;
    int32_t at = 0;
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        while (at < steps[i].until) {
            at += steps[i].step;
            if ((size_t)at > longest_s || n == BEST_GRID_MOST) {
                return n;
            }
            out[n++] = at;
        }
    }
    return n;
}

bool best_curve_make(struct arena *arena, const struct recording *recording, struct best_curve *out,
                     struct error *err)
{
    *out = (struct best_curve){ 0 };
    if (!recording->is_ride) {
        return true;
    }
    struct arena *scratch = arena_open();
    const struct bests bests = bests_all(scratch, recording);
    int32_t durations[BEST_GRID_MOST];
    const size_t n = best_grid_durations(bests.count, durations);
    struct best_curve curve = { n, ARENA_ARRAY(arena, int32_t, n), ARENA_ARRAY(arena, uint8_t, n) };
    bool fits = true;
    for (size_t i = 0; i < n; i++) {
        const struct best *best = &bests.items[durations[i] - 1];
        /* A whole number of joules, since samples are whole watts: the product is off by rounding
         * alone. */
        const double work = best->power_w * (double)durations[i];
        fits = fits && work < (double)INT32_MAX && work > (double)INT32_MIN;
        curve.work_j[i] = fits ? (int32_t)(work < 0 ? work - 0.5 : work + 0.5) : 0;
        curve.marks[i] = (uint8_t)((best->at_least ? BEST_AT_LEAST : 0) |
                                   (best->touches_mask ? BEST_TOUCHES : 0));
    }
    arena_close(scratch);
    if (!fits) {
        return error_set(err, ERROR_INPUT, "its power is beyond what any rider makes");
    }
    *out = curve;
    return true;
}

static bool is_better(const struct best_envelope *envelope, size_t i, int32_t work_j,
                      int64_t recording, int64_t start_utc_s)
{
    if (work_j != envelope->work_j[i]) {
        return work_j > envelope->work_j[i];
    }
    if (start_utc_s != envelope->start_utc_s[i]) {
        return start_utc_s < envelope->start_utc_s[i];
    }
    return recording < envelope->recording[i];
}

void best_envelope_add(struct best_envelope *envelope, const struct best_curve *curve,
                       int64_t recording, int64_t start_utc_s)
{
    for (size_t i = 0; i < curve->count; i++) {
        if (i < envelope->count &&
            !is_better(envelope, i, curve->work_j[i], recording, start_utc_s)) {
            continue;
        }
        envelope->work_j[i] = curve->work_j[i];
        envelope->recording[i] = recording;
        envelope->start_utc_s[i] = start_utc_s;
        envelope->marks[i] = curve->marks[i];
    }
    envelope->count = curve->count > envelope->count ? curve->count : envelope->count;
}
