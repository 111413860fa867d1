/* maths/best_means.c: the greatest mean of every window length, by bounded tiles. */
#include "maths/best_means.h"

#include <assert.h>
#include <stdbool.h>
#include <string.h>

/* The kernels are compiled for newer processors too and picked when the program starts; whole
 * numbers give the same bits on every path.  Address checks begin too late for that picking. */
#if defined(KERNEL) /* one path only: how bench/best_means compares them */
#elif defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__) &&                           \
    !defined(__SANITIZE_ADDRESS__)
#define KERNEL                                                                                     \
    __attribute__((optimize("O3"), target_clones("default", "arch=x86-64-v2", "arch=x86-64-v3")))
#else
#define KERNEL
#endif
#define INLINE static inline __attribute__((always_inline))

/* The shape of the search: tuned once, changes speed and never the answer. */
enum {
    TILE = 64,         /* starts and lengths of a tile */
    SUB_STARTS = 8,    /* of the parts that are computed */
    SUB_LENGTHS = 32,  /* 8 registers of 4 numbers, or 4 of 8 */
    SEED_EVERY = 128,  /* starts computed beforehand */
    CHECK_EVERY = 4,   /* blocks of starts between two looks at whether bounds pay */
    GIVE_UP_PCT = 40,  /* of windows computed so far, from which a plain scan is quicker */
    BLOCK = 512,       /* starts looked through at once for a few lengths */
    TOGETHER = 3,      /* lengths that share a pass: their bests stay in registers */
    PADDING = 4 * TILE /* places beyond the last sum that tiles may read */
};

/* Surpluses lie in 0 .. SPREAD, so that differences with OUTSIDE stay in 32 bits and below every
 * real one. */
static const int64_t SPREAD = (int64_t)1 << 29;
static const int32_t OUTSIDE = -((int32_t)1 << 30);

struct search {
    size_t n;
    int64_t mean;    /* m of the header, whole */
    int32_t *q;      /* [n + 1 + PADDING] Q, its least value 0; OUTSIDE behind the end */
    int32_t *above8; /* [n + 1 + PADDING] greatest of q[i] .. q[i + 7] */
    int32_t *above64;
    int32_t *below8; /* [n / 8 + 1] least of q over starts 8 i .. 8 i + 7 */
    int32_t *below64;
    int32_t *best; /* [n + 1 + PADDING] greatest surplus of each length so far; INT32_MAX outside */
    int32_t *worst_best; /* [n / TILE + 1] the least best of a tile's lengths */
};

/* ---- kernels ---- */

/* Raises best[0..31], the bests of lengths d .. d + 31, by the windows that start at every step-th
 * place of from..to-1.  Always inlined: with whole constants the loops unroll into registers. */
INLINE void raise_bests(const int32_t *restrict q, size_t from, size_t to, size_t step, size_t d,
                        int32_t *restrict best)
{
    int32_t most[SUB_LENGTHS];
    for (int j = 0; j < SUB_LENGTHS; j++) {
        most[j] = best[j];
    }
    for (size_t a = from; a < to; a += step) {
        const int32_t *end = q + a + d;
        const int32_t begin = q[a];
        for (int j = 0; j < SUB_LENGTHS; j++) {
            const int32_t surplus = end[j] - begin;
            most[j] = surplus > most[j] ? surplus : most[j];
        }
    }
    for (int j = 0; j < SUB_LENGTHS; j++) {
        best[j] = most[j];
    }
}

/* Every window whose start is `from` or later. */
KERNEL static void scan_from(const struct search *search, size_t from)
{
    for (size_t d = 1; d + from <= search->n; d += SUB_LENGTHS) {
        raise_bests(search->q, from, search->n - d + 1, 1, d, search->best + d);
    }
}

/* Every SEED_EVERY-th start, so that bounds bite from the first tile. */
KERNEL static void seed(const struct search *search)
{
    for (size_t d = 1; d <= search->n; d += SUB_LENGTHS) {
        raise_bests(search->q, 0, search->n - d + 1, SEED_EVERY, d, search->best + d);
    }
}

/* Could a window beat its best?  above - below bounds the windows of each of `count` lengths. */
INLINE bool any_above(const int32_t *above, int32_t below, const int32_t *best, int count)
{
    int32_t any = 0;
    for (int j = 0; j < count; j++) {
        any |= -(int32_t)(above[j] - below > best[j]);
    }
    return any != 0;
}

INLINE int32_t least(const int32_t *values, int count)
{
    int32_t least = values[0];
    for (int j = 1; j < count; j++) {
        least = values[j] < least ? values[j] : least;
    }
    return least;
}

/* The first window that reached a new best among starts from..to-1: its start, once a length.  The
 * length then needs nothing more, which INT32_MAX says. */
static void note_starts(const struct search *search, size_t from, size_t to, size_t d,
                        const int32_t before[], size_t starts[])
{
    for (size_t j = d; j < d + SUB_LENGTHS && j <= search->n; j++) {
        if (search->best[j] > before[j - d]) {
            size_t a = from;
            while (a + 1 < to && search->q[a + j] - search->q[a] != search->best[j]) {
                a++;
            }
            starts[j - 1] = a;
            search->best[j] = INT32_MAX;
        }
    }
}

/* One tile that its first bound couldn't skip: returns the windows computed. */
INLINE size_t tile_look(const struct search *search, size_t a, size_t d, size_t starts[])
{
    size_t computed = 0;
    for (size_t half = d; half < d + TILE; half += SUB_LENGTHS) {
        int32_t *best = search->best + half;
        if (!any_above(search->above64 + a + half, search->below64[a / TILE], best, SUB_LENGTHS)) {
            continue;
        }
        for (size_t sub = a; sub < a + TILE && sub < search->n; sub += SUB_STARTS) {
            if (!any_above(search->above8 + sub + half, search->below8[sub / SUB_STARTS], best,
                           SUB_LENGTHS)) {
                continue;
            }
            const size_t to = sub + SUB_STARTS < search->n ? sub + SUB_STARTS : search->n;
            int32_t before[SUB_LENGTHS];
            for (int j = 0; starts != NULL && j < SUB_LENGTHS; j++) {
                before[j] = best[j];
            }
            if (to == sub + SUB_STARTS) {
                raise_bests(search->q, sub, sub + SUB_STARTS, 1, half, best);
            } else {
                raise_bests(search->q, sub, to, 1, half, best);
            }
            computed += (size_t)SUB_STARTS * SUB_LENGTHS;
            if (starts != NULL) {
                note_starts(search, sub, to, half, before, starts);
            }
        }
    }
    if (computed > 0) {
        search->worst_best[d / TILE] = least(search->best + d, TILE);
    }
    return computed;
}

/* All tiles, starts in order.  With starts == NULL it may give up and returns the first start that
 * it hasn't done; else n. */
KERNEL static size_t tiles_walk(const struct search *search, size_t starts[])
{
    const size_t n = search->n;
    size_t seen = 0;
    size_t computed = 0;
    for (size_t a = 0; a < n; a += TILE) {
        if (starts == NULL && a % ((size_t)CHECK_EVERY * TILE) == 0 &&
            computed * 100 > seen * GIVE_UP_PCT) {
            return a;
        }
        const int32_t below = search->below64[a / TILE];
        for (size_t d = 1; a + d <= n; d += TILE) {
            const int32_t *above = search->above64 + a + d;
            const int32_t above_all = above[0] > above[TILE - 1] ? above[0] : above[TILE - 1];
            seen += (size_t)TILE * TILE;
            if (above_all - below > search->worst_best[d / TILE]) {
                computed += tile_look(search, a, d, starts);
            }
        }
    }
    return n;
}

/* ---- few lengths ---- */

/* Greatest of all |x|; 2^31 for the least int32. */
KERNEL static uint32_t largest_size(const int32_t *x, size_t n)
{
    uint32_t largest = 0;
    for (size_t i = 0; i < n; i++) {
        const uint32_t size = x[i] < 0 ? 0 - (uint32_t)x[i] : (uint32_t)x[i];
        largest = size > largest ? size : largest;
    }
    return largest;
}

/* Four numbers in one register, each of the sums of the places up to its own. */
typedef uint32_t lanes __attribute__((vector_size(16)));

/* Prefix sums that may go round: a window's own sum fits, so its difference is right.  Four at a
 * time: the sum so far is waited for once, not four times. */
KERNEL static void make_prefix(const int32_t *restrict x, size_t n, uint32_t *restrict prefix)
{
    enum { STEP = 4 };
    const lanes none = { 0 };
    lanes sum = { 0 };
    size_t i = 0;
    prefix[0] = 0;
    for (; i + STEP <= n; i += STEP) {
        lanes part;
        memcpy(&part, x + i, sizeof part);
        part += __builtin_shufflevector(none, part, 0, 4, 5, 6);
        part += __builtin_shufflevector(none, part, 0, 1, 4, 5);
        part += sum;
        memcpy(prefix + i + 1, &part, sizeof part);
        sum = __builtin_shufflevector(part, part, 3, 3, 3, 3);
    }
    for (; i < n; i++) {
        prefix[i + 1] = prefix[i] + (uint32_t)x[i];
    }
}

/* Least negative sum of the windows that start at from..to-1, of some lengths at once: begin less
 * end, so that the ends are read by the subtraction itself. */
INLINE void least_of(const uint32_t *restrict prefix, size_t from, size_t to,
                     const size_t lengths[], size_t count, int32_t least_sum[])
{
    int32_t low[TOGETHER];
    for (size_t i = 0; i < count; i++) {
        low[i] = INT32_MAX;
    }
    for (size_t a = from; a < to; a++) {
        for (size_t i = 0; i < count; i++) {
            const int32_t sum = (int32_t)(prefix[a] - prefix[a + lengths[i]]);
            low[i] = sum < low[i] ? sum : low[i];
        }
    }
    for (size_t i = 0; i < count; i++) {
        least_sum[i] = low[i];
    }
}

/* One block of starts and some lengths: keeps the greatest sums and the first block that has each.
 */
INLINE void few_block(const uint32_t *prefix, size_t from, size_t to, const size_t lengths[],
                      size_t count, int32_t most[], size_t block[])
{
    int32_t least_sum[TOGETHER];
    least_of(prefix, from, to, lengths, count, least_sum);
    for (size_t i = 0; i < count; i++) {
        if (-least_sum[i] > most[i]) {
            most[i] = -least_sum[i];
            block[i] = from;
        }
    }
}

/* Greatest sums of up to TOGETHER lengths.
 *   block  [count] filled with the first block that has it, as its first start */
KERNEL static void few_scan(const uint32_t *prefix, size_t n, const size_t lengths[], size_t count,
                            int32_t most[], size_t block[])
{
    size_t whole = n; /* starts that all of the lengths have */
    for (size_t i = 0; i < count; i++) {
        most[i] = INT32_MIN;
        block[i] = 0;
        whole = n - lengths[i] + 1 < whole ? n - lengths[i] + 1 : whole;
    }
    whole = count == TOGETHER ? whole - whole % BLOCK : 0;
    for (size_t a = 0; a < whole; a += BLOCK) {
        few_block(prefix, a, a + BLOCK, lengths, TOGETHER, most, block);
    }
    for (size_t i = 0; i < count; i++) {
        const size_t windows = n - lengths[i] + 1;
        for (size_t a = whole; a < windows; a += BLOCK) {
            few_block(prefix, a, a + BLOCK < windows ? a + BLOCK : windows, &lengths[i], 1,
                      &most[i], &block[i]);
        }
    }
}

/* ---- preparing ---- */

static int64_t floor_mean(int64_t sum, size_t n)
{
    const int64_t count = (int64_t)n;
    return sum / count - (sum % count < 0 ? 1 : 0);
}

/* Q in 32 bits; false when it doesn't fit. */
KERNEL static bool make_q(struct arena *arena, const int32_t x[], size_t n, struct search *search)
{
    int64_t sum = 0;
    for (size_t i = 0; i < n; i++) {
        sum += x[i];
    }
    const int64_t mean = floor_mean(sum, n);
    int64_t at = 0;
    int64_t lowest = 0;
    int64_t highest = 0;
    for (size_t i = 0; i < n; i++) {
        at += x[i] - mean;
        lowest = at < lowest ? at : lowest;
        highest = at > highest ? at : highest;
    }
    if (highest - lowest >= SPREAD) {
        return false;
    }
    const size_t places = n + 1 + PADDING;
    search->n = n;
    search->mean = mean;
    search->q = ARENA_RAW(arena, int32_t, places);
    at = -lowest;
    search->q[0] = (int32_t)at;
    for (size_t i = 0; i < n; i++) {
        at += x[i] - mean;
        search->q[i + 1] = (int32_t)at;
    }
    for (size_t i = n + 1; i < places; i++) {
        search->q[i] = OUTSIDE;
    }
    return true;
}

/* Greatest of each 2 x width neighbours from those of each width, in place. */
KERNEL static void widen(int32_t values[], size_t count, size_t width)
{
    for (size_t i = 0; i + width < count; i++) {
        values[i] = values[i + width] > values[i] ? values[i + width] : values[i];
    }
}

static int32_t *block_minima(struct arena *arena, const struct search *search, size_t width)
{
    int32_t *minima = ARENA_ARRAY(arena, int32_t, search->n / width + 1);
    for (size_t a = 0; a <= search->n; a += width) {
        const size_t count = search->n + 1 - a < width ? search->n + 1 - a : width;
        minima[a / width] = least(search->q + a, (int)count);
    }
    return minima;
}

static void make_bests(struct arena *arena, struct search *search)
{
    const size_t places = search->n + 1 + PADDING;
    search->best = ARENA_RAW(arena, int32_t, places);
    for (size_t d = 0; d < places; d++) {
        const bool real = d >= 1 && d <= search->n;
        search->best[d] = real ? search->q[d] - search->q[0] : INT32_MAX;
    }
}

static void make_bounds(struct arena *arena, struct search *search)
{
    const size_t places = search->n + 1 + PADDING;
    search->above8 = arena_copy(arena, search->q, places * sizeof search->q[0]);
    for (size_t width = 1; width < SUB_STARTS; width *= 2) {
        widen(search->above8, places, width);
    }
    search->above64 = arena_copy(arena, search->above8, places * sizeof search->q[0]);
    for (size_t width = SUB_STARTS; width < TILE; width *= 2) {
        widen(search->above64, places, width);
    }
    search->below8 = block_minima(arena, search, SUB_STARTS);
    search->below64 = block_minima(arena, search, TILE);
    search->worst_best = ARENA_ARRAY(arena, int32_t, search->n / TILE + 1);
}

KERNEL static void make_worst_bests(const struct search *search)
{
    for (size_t d = 1; d <= search->n; d += TILE) {
        search->worst_best[d / TILE] = least(search->best + d, TILE);
    }
}

/* ---- 64 bits ---- */

static int64_t slide(const int32_t x[], size_t n, size_t length, size_t *start)
{
    int64_t sum = 0;
    for (size_t i = 0; i < length; i++) {
        sum += x[i];
    }
    int64_t most = sum;
    *start = 0;
    for (size_t a = 1; a + length <= n; a++) {
        sum += (int64_t)x[a + length - 1] - x[a - 1];
        if (sum > most) {
            most = sum;
            *start = a;
        }
    }
    return most;
}

static void slide_all(const int32_t x[], size_t n, int64_t sums[], size_t starts[])
{
    for (size_t d = 1; d <= n; d++) {
        size_t start = 0;
        sums[d - 1] = slide(x, n, d, &start);
        if (starts != NULL) {
            starts[d - 1] = start;
        }
    }
}

/* ---- the calls ---- */

KERNEL static void take_sums(const struct search *search, int64_t sums[])
{
    for (size_t d = 1; d <= search->n; d++) {
        sums[d - 1] = search->best[d] + search->mean * (int64_t)d;
    }
}

void best_means_all(struct arena *arena, const int32_t x[], size_t n, int64_t sums[],
                    size_t starts[])
{
    struct search search = { 0 };
    if (n == 0) {
        return;
    }
    if (!make_q(arena, x, n, &search)) {
        slide_all(x, n, sums, starts);
        return;
    }
    make_bests(arena, &search);
    make_bounds(arena, &search);
    seed(&search);
    make_worst_bests(&search);
    const size_t done = tiles_walk(&search, NULL);
    if (done < n) {
        scan_from(&search, done);
    }
    take_sums(&search, sums);
    if (starts != NULL) {
        /* The same walk again with every best one too low: the first window to beat that is the
         * earliest of the best.  With the bests known it skips more than the first walk did. */
        for (size_t d = 1; d <= n; d++) {
            search.best[d]--;
        }
        make_worst_bests(&search);
        tiles_walk(&search, starts);
    }
}

/* What was greatest before, as a surplus about this mean; INT32_MAX where none can reach it.  False
 * if a length had none. */
static bool begin_with(const struct search *search, const int64_t sums[])
{
    bool all_known = true;
    for (size_t d = 1; d <= search->n; d++) {
        if (sums[d - 1] == BEST_MEANS_NONE) {
            all_known = false;
            continue;
        }
        const int64_t surplus = sums[d - 1] - search->mean * (int64_t)d;
        if (surplus >= SPREAD) {
            search->best[d] = INT32_MAX;
        } else if (surplus > search->best[d]) {
            search->best[d] = (int32_t)surplus;
        }
    }
    return all_known;
}

static void raise_by(const int64_t own[], size_t n, int64_t sums[])
{
    for (size_t i = 0; i < n; i++) {
        sums[i] = own[i] > sums[i] ? own[i] : sums[i];
    }
}

void best_means_raise(struct arena *arena, const int32_t x[], size_t n, int64_t sums[])
{
    struct search search = { 0 };
    if (n == 0) {
        return;
    }
    if (!make_q(arena, x, n, &search)) {
        int64_t *own = ARENA_ARRAY(arena, int64_t, n);
        slide_all(x, n, own, NULL);
        raise_by(own, n, sums);
        return;
    }
    make_bests(arena, &search);
    const bool is_near = begin_with(&search, sums);
    make_bounds(arena, &search);
    if (!is_near) {
        seed(&search);
    }
    make_worst_bests(&search);
    const size_t done = tiles_walk(&search, NULL);
    if (done < n) {
        scan_from(&search, done);
    }
    for (size_t d = 1; d <= n; d++) {
        const int64_t sum = search.best[d] + search.mean * (int64_t)d;
        sums[d - 1] = search.best[d] != INT32_MAX && sum > sums[d - 1] ? sum : sums[d - 1];
    }
}

void best_means_scan(struct arena *arena, const int32_t x[], size_t n, int64_t sums[])
{
    struct search search = { 0 };
    if (n == 0) {
        return;
    }
    if (!make_q(arena, x, n, &search)) {
        slide_all(x, n, sums, NULL);
        return;
    }
    make_bests(arena, &search);
    scan_from(&search, 0);
    take_sums(&search, sums);
}

void best_means_few(struct arena *arena, const int32_t x[], size_t n, const size_t lengths[],
                    size_t count, int64_t sums[], size_t starts[])
{
    size_t longest = 0;
    for (size_t i = 0; i < count; i++) {
        assert(lengths[i] >= 1 && lengths[i] <= n);
        longest = lengths[i] > longest ? lengths[i] : longest;
    }
    if (count == 0) {
        return;
    }
    if (longest > INT32_MAX / ((uint64_t)largest_size(x, n) + 1)) {
        for (size_t i = 0; i < count; i++) {
            size_t start = 0;
            sums[i] = slide(x, n, lengths[i], &start);
            if (starts != NULL) {
                starts[i] = start;
            }
        }
        return;
    }
    uint32_t *prefix = ARENA_RAW(arena, uint32_t, n + 1);
    make_prefix(x, n, prefix);
    for (size_t i = 0; i < count; i += TOGETHER) {
        const size_t some = count - i < TOGETHER ? count - i : TOGETHER;
        int32_t most[TOGETHER] = { 0 };
        size_t start[TOGETHER] = { 0 }; /* of the block first */
        few_scan(prefix, n, lengths + i, some, most, start);
        for (size_t j = 0; j < some; j++) {
            sums[i + j] = most[j];
            if (starts != NULL) {
                while ((int32_t)(prefix[start[j] + lengths[i + j]] - prefix[start[j]]) != most[j]) {
                    start[j]++;
                }
                starts[i + j] = start[j];
            }
        }
    }
}
