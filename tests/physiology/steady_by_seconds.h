/* tests/physiology/steady_by_seconds.h: the longest steady span with every level walked second by
 * second; what physiology/steady_search.c must equal on rides too long for every start and end. */
#ifndef TESTS_PHYSIOLOGY_STEADY_BY_SECONDS_H
#define TESTS_PHYSIOLOGY_STEADY_BY_SECONDS_H

#include "base/arena.h"
#include "limits/limits.h"
#include "physiology/steady.h"

#include <math.h>
#include <stdlib.h>

enum {
    LEVELS = 560,
    PER_MILLE = 1000, /* shares of seconds in whole thousandths, so that sums are exact */
};

/* qsort has no context: a key travels with its position. */
struct keyed {
    int64_t key;
    size_t position;
};

/* Prefix sums turn "at most a share of the seconds" into "the sum does not rise":
 *   bad[b] - bad[a] = 1000 x bad seconds of [a, b) - allowed per mille x (b - a) <= 0. */
struct by_seconds {
    const struct steady_second *seconds;
    size_t n;
    int64_t bad_per_mille;   /* allowed share of seconds outside the band */
    int64_t coast_per_mille; /* and of coasting */
    double band_ratio;
    int64_t *bad;         /* [n + 1] */
    int64_t *coast;       /* [n + 1] */
    uint8_t *good;        /* [n] 1 = inside the band of the level at hand */
    size_t *stack;        /* [n + 1] */
    struct keyed *events; /* [2n + 2] */
    struct keyed *ranks;  /* [n + 1] */
    size_t *tree;         /* [n + 2] */
    struct span best;
    int32_t level_cw; /* of best */
};

static int64_t length_of(struct span span)
{
    return (int64_t)span.to_s - (int64_t)span.from_s;
}

/* Takes a span if it is better: longer, else earlier, else of a lower level. */
static void offer(struct by_seconds *search, struct span span, int32_t level_cw)
{
    const int64_t more = length_of(span) - length_of(search->best);
    const bool earlier = span.from_s < search->best.from_s;
    const bool lower = span.from_s == search->best.from_s && level_cw < search->level_cw;
    if (more > 0 || (more == 0 && length_of(span) > 0 && (earlier || lower))) {
        search->best = span;
        search->level_cw = level_cw;
    }
}

/* The longest span of the piece [from, to) by bad seconds alone; ties: the earliest.
 * A start is worth keeping only where the prefix is higher than at every earlier start; seen from
 * the right, the first end whose prefix isn't above a start's is the farthest of that start. */
static struct span longest_by_bad(const struct by_seconds *search, size_t from, size_t to)
{
    size_t kept = 0;
    for (size_t a = from; a < to; a++) {
        if (search->good[a] != 0 &&
            (kept == 0 || search->bad[a] > search->bad[search->stack[kept - 1]])) {
            search->stack[kept++] = a;
        }
    }
    struct span best = { 0, 0 };
    for (size_t b = to; b > from && kept > 0; b--) {
        while (search->good[b - 1] != 0 && kept > 0 &&
               search->bad[b] <= search->bad[search->stack[kept - 1]]) {
            const struct span span = { (int32_t)search->stack[--kept], (int32_t)b };
            if (length_of(span) > 0 && length_of(span) >= length_of(best)) {
                best = span;
            }
        }
    }
    return best;
}

static int by_key_down(const void *a, const void *b)
{
    const struct keyed *x = a;
    const struct keyed *y = b;
    if (x->key != y->key) {
        return x->key > y->key ? -1 : 1;
    }
    return (x->position > y->position) - (x->position < y->position);
}

/* The places (from 1) that a key takes among ranks sorted downwards: how many are >= key. */
static size_t rank_of(const struct keyed ranks[], size_t n, int64_t key)
{
    size_t low = 0;
    size_t high = n;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (ranks[middle].key >= key) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

/* The longest span of the piece that obeys both shares; ties: the earliest.  Starts and ends are
 * walked by falling bad prefix, so that every start seen so far obeys the first share; a Fenwick
 * tree over the coasting prefix then gives the earliest start that obeys the second. */
static struct span longest_by_both(struct by_seconds *search, size_t from, size_t to)
{
    size_t n_events = 0;
    size_t n_ranks = 0;
    const size_t ends = search->n + 1; /* positions from here on are ends: sorted after starts */
    for (size_t t = from; t <= to; t++) {
        if (t < to && search->good[t] != 0) {
            search->events[n_events++] = (struct keyed){ search->bad[t], t };
            search->ranks[n_ranks++] = (struct keyed){ search->coast[t], t };
        }
        if (t > from && search->good[t - 1] != 0) {
            search->events[n_events++] = (struct keyed){ search->bad[t], ends + t };
        }
    }
    qsort(search->events, n_events, sizeof search->events[0], by_key_down);
    qsort(search->ranks, n_ranks, sizeof search->ranks[0], by_key_down);
    for (size_t i = 0; i <= n_ranks; i++) {
        search->tree[i] = to;
    }
    struct span best = { 0, 0 };
    for (size_t e = 0; e < n_events; e++) {
        const size_t position = search->events[e].position;
        if (position < ends) {
            const size_t rank = rank_of(search->ranks, n_ranks, search->coast[position]);
            for (size_t i = rank; i <= n_ranks; i += i & (~i + 1)) {
                search->tree[i] = position < search->tree[i] ? position : search->tree[i];
            }
            continue;
        }
        const size_t b = position - ends;
        size_t a = to;
        for (size_t i = rank_of(search->ranks, n_ranks, search->coast[b]); i > 0; i &= i - 1) {
            a = search->tree[i] < a ? search->tree[i] : a;
        }
        const struct span span = { (int32_t)a, (int32_t)b };
        const int64_t more = length_of(span) - length_of(best);
        if (length_of(span) > 0 && (more > 0 || (more == 0 && span.from_s < best.from_s))) {
            best = span;
        }
    }
    return best;
}

/* Tries one level over every piece between stops. */
static void try_level(struct by_seconds *search, int32_t level_cw)
{
    int32_t low_cw = 0;
    int32_t high_cw = 0;
    steady_band(level_cw, search->band_ratio, &low_cw, &high_cw);
    for (size_t t = 0; t < search->n; t++) {
        const struct steady_second *s = &search->seconds[t];
        const bool good =
            s->known && !s->stopped && s->filtered_cw >= low_cw && s->filtered_cw <= high_cw;
        search->good[t] = good;
        search->bad[t + 1] = search->bad[t] - search->bad_per_mille + (good ? 0 : PER_MILLE);
    }
    for (size_t from = 0; from < search->n;) {
        size_t to = from;
        while (to < search->n && !search->seconds[to].stopped) {
            to++;
        }
        struct span span = longest_by_bad(search, from, to);
        if (length_of(span) >= length_of(search->best)) {
            if (search->coast[span.to_s] > search->coast[span.from_s]) {
                span = longest_by_both(search, from, to);
            }
            offer(search, span, level_cw);
        }
        from = to + 1;
    }
}

/* A level can't give a span longer than its good seconds allow: most levels end here. */
static bool can_win(const struct by_seconds *search, const int32_t sorted_cw[], size_t n_sorted,
                    int32_t level_cw)
{
    int32_t low_cw = 0;
    int32_t high_cw = 0;
    steady_band(level_cw, search->band_ratio, &low_cw, &high_cw);
    size_t counts[2] = { 0, 0 }; /* seconds below low, seconds at most high */
    for (size_t side = 0; side < 2; side++) {
        const int32_t edge = side == 0 ? low_cw - 1 : high_cw;
        size_t low = 0;
        size_t high = n_sorted;
        while (low < high) {
            const size_t middle = low + (high - low) / 2;
            if (sorted_cw[middle] <= edge) {
                low = middle + 1;
            } else {
                high = middle;
            }
        }
        counts[side] = low;
    }
    const int64_t good = (int64_t)(counts[1] - counts[0]);
    return good > 0 &&
           good * PER_MILLE >= (PER_MILLE - search->bad_per_mille) * length_of(search->best);
}

static int by_size(const void *a, const void *b)
{
    const int32_t x = *(const int32_t *)a;
    const int32_t y = *(const int32_t *)b;
    return (x > y) - (x < y);
}

static inline struct span steady_by_seconds(const struct steady_second seconds[], size_t n,
                                            double low_w, double high_w,
                                            const struct limits *limits, double *level_w)
{
    struct arena *scratch = arena_open();
    struct by_seconds search = {
        .seconds = seconds,
        .n = n,
        .bad_per_mille = PER_MILLE - lround(limits->value[LIMIT_STEADY_IN_BAND_RATIO] * PER_MILLE),
        .coast_per_mille = lround(limits->value[LIMIT_STEADY_COASTING_RATIO] * PER_MILLE),
        .band_ratio = limits->value[LIMIT_STEADY_BAND_PCT] / 100.0,
        .bad = ARENA_ARRAY(scratch, int64_t, n + 1),
        .coast = ARENA_ARRAY(scratch, int64_t, n + 1),
        .good = ARENA_ARRAY(scratch, uint8_t, n),
        .stack = ARENA_ARRAY(scratch, size_t, n + 1),
        .events = ARENA_ARRAY(scratch, struct keyed, 2 * n + 2),
        .ranks = ARENA_ARRAY(scratch, struct keyed, n + 1),
        .tree = ARENA_ARRAY(scratch, size_t, n + 2),
    };
    int32_t *sorted_cw = ARENA_ARRAY(scratch, int32_t, n);
    size_t n_sorted = 0;
    for (size_t t = 0; t < n; t++) {
        search.coast[t + 1] =
            search.coast[t] - search.coast_per_mille + (seconds[t].coasting ? PER_MILLE : 0);
        if (seconds[t].known && !seconds[t].stopped) {
            sorted_cw[n_sorted++] = seconds[t].filtered_cw;
        }
    }
    qsort(sorted_cw, n_sorted, sizeof sorted_cw[0], by_size);
    for (size_t k = 0; k < LEVELS; k++) {
        const int32_t level_cw = steady_level_cw(k);
        const double level = (double)level_cw / 100.0;
        if (level >= low_w && level <= high_w && can_win(&search, sorted_cw, n_sorted, level_cw)) {
            try_level(&search, level_cw);
        }
    }
    if (length_of(search.best) > 0) {
        *level_w = (double)search.level_cw / 100.0;
    }
    const struct span best = search.best;
    arena_close(scratch);
    return best;
}

#endif
