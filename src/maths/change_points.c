/* maths/change_points.c: exact partitions by squared error, with functional pruning. */
#include "maths/change_points.h"

#include <assert.h>
#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

/* Sums of the samples before i, [n + 1] each, about a whole number near the mean: whole samples
 * give exact sums, and a ride's level doesn't eat the digits of its noise. */
struct sums {
    double *known; /* samples that aren't gaps */
    double *first; /* of x - centre */
    double *second;
    double lowest; /* of x - centre; 0 without samples */
    double highest;
};

/* Adds with the rounding error carried along (Neumaier 1974): a prefix sum is then right to its
 * last digit however many samples came before. */
struct carry {
    double sum;
    double lost;
};

static double carry_add(struct carry *carry, double term)
{
    const double sum = carry->sum + term;
    carry->lost +=
        fabs(carry->sum) >= fabs(term) ? (carry->sum - sum) + term : (term - sum) + carry->sum;
    carry->sum = sum;
    return sum + carry->lost;
}

static double centre_of(const double x[], size_t n)
{
    struct carry total = { 0 };
    double known = 0;
    for (size_t i = 0; i < n; i++) {
        if (!isnan(x[i])) {
            carry_add(&total, x[i]);
            known += 1.0;
        }
    }
    return known > 0 ? rint((total.sum + total.lost) / known) : 0.0;
}

static struct sums sums_make(struct arena *arena, const double x[], size_t n)
{
    struct sums sums = {
        .known = ARENA_ARRAY(arena, double, n + 1),
        .first = ARENA_ARRAY(arena, double, n + 1),
        .second = ARENA_ARRAY(arena, double, n + 1),
        .lowest = (double)INFINITY,
        .highest = -(double)INFINITY,
    };
    const double centre = centre_of(x, n);
    struct carry first = { 0 };
    struct carry second = { 0 };
    for (size_t i = 0; i < n; i++) {
        sums.known[i + 1] = sums.known[i];
        sums.first[i + 1] = sums.first[i];
        sums.second[i + 1] = sums.second[i];
        if (!isnan(x[i])) {
            const double d = x[i] - centre;
            sums.known[i + 1] += 1.0;
            sums.first[i + 1] = carry_add(&first, d);
            sums.second[i + 1] = carry_add(&second, d * d);
            sums.lowest = d < sums.lowest ? d : sums.lowest;
            sums.highest = d > sums.highest ? d : sums.highest;
        }
    }
    if (sums.lowest > sums.highest) {
        sums.lowest = 0;
        sums.highest = 0;
    }
    return sums;
}

/* before + squared error of samples from..to-1 about their mean.  The one formula of this file:
 * whatever is compared is compared through it. */
static inline double total_at(const struct sums *sums, double before, size_t from, size_t to)
{
    const double known = sums->known[to] - sums->known[from];
    const double first = sums->first[to] - sums->first[from];
    const double second = before + (sums->second[to] - sums->second[from]);
    return known > 0 ? second - first * first / known : second;
}

/* ---- functional pruning ---- */

/* Means of the last segment for which this start may still be the best one. */
struct piece {
    size_t start;
    double low;
    double high;
};

struct pieces {
    struct piece *items;
    size_t count;
    size_t capacity;
};

/* What all steps share. */
struct search {
    struct sums sums;
    double *before; /* [n + 1] the least total of the samples before i, and the penalty of a segment
                       that starts there; INFINITY where no segment may start */
    double margin;  /* by how much a start must lose before it is dropped */
    struct pieces now;
    struct pieces next;
};

static void pieces_reserve(struct arena *arena, struct pieces *pieces, size_t most)
{
    if (pieces->capacity < most) {
        pieces->capacity = 2 * most;
        pieces->items = ARENA_ARRAY(arena, struct piece, pieces->capacity);
        pieces->count = 0;
    }
}

static void pieces_add(struct pieces *pieces, struct piece piece)
{
    assert(pieces->count < pieces->capacity);
    pieces->items[pieces->count++] = piece;
}

/* As fmin and fmax without their care for NAN, and inlined: a tenth of the search's time. */
static inline double lesser(double a, double b)
{
    return a < b ? a : b;
}

static inline double greater(double a, double b)
{
    return a > b ? a : b;
}

/* What is left of an old piece below the level line of a new start. */
struct left {
    bool stays;
    bool covers; /* and surely wins from cover_low to cover_high */
    double low;  /* stays here: the line raised by the margin */
    double high;
    double cover_low; /* wins here: the line lowered by it */
    double cover_high;
};

static struct left piece_below(const struct search *search, const struct piece *piece, size_t at,
                               double line)
{
    const struct sums *sums = &search->sums;
    const double margin = search->margin;
    const double known = sums->known[at] - sums->known[piece->start];
    const double first = sums->first[at] - sums->first[piece->start];
    const double second =
        search->before[piece->start] + (sums->second[at] - sums->second[piece->start]) - line;
    const double at_low = (known * piece->low - 2.0 * first) * piece->low + second;
    const double at_high = (known * piece->high - 2.0 * first) * piece->high + second;
    struct left left = { true, true, piece->low, piece->high, piece->low, piece->high };
    /* A parabola that is below the line at both ends is below it between them: most are. */
    if (at_low <= -margin && at_high <= -margin) {
        return left;
    }
    if (!(known > 0)) {
        left.stays = second <= margin;
        left.covers = false;
        return left;
    }
    const double middle = first / known;
    const double bottom = second - first * middle;
    if (bottom > margin) {
        return (struct left){ 0 };
    }
    const double wide = sqrt((margin - bottom) / known);
    left.low = greater(piece->low, middle - wide);
    left.high = lesser(piece->high, middle + wide);
    left.stays = left.low <= left.high;
    left.covers = left.stays && bottom <= -margin;
    if (left.covers) {
        const double narrow = sqrt((-margin - bottom) / known);
        left.cover_low = greater(piece->low, middle - narrow);
        left.cover_high = lesser(piece->high, middle + narrow);
        left.covers = left.cover_low <= left.cover_high;
    }
    return left;
}

/* Lets the start s in: old pieces keep what lies below its level line, and s gets the ground that
 * none of them surely holds.  Ground near a crossing belongs to both, so that rounding can drop
 * neither; pieces that come out of order only give s more than it needs. */
static void pieces_let_in(struct arena *arena, struct search *search, size_t s, double lowest,
                          double highest)
{
    struct pieces *next = &search->next;
    next->count = 0;
    pieces_reserve(arena, next, 2 * search->now.count + 1);
    double covered = lowest;
    for (size_t i = 0; i < search->now.count; i++) {
        const struct piece *piece = &search->now.items[i];
        const struct left left = piece_below(search, piece, s, search->before[s]);
        if (left.covers) {
            if (left.cover_low > covered) {
                pieces_add(next, (struct piece){ s, covered, left.cover_low });
            }
            covered = greater(covered, left.cover_high);
        }
        if (left.stays) {
            pieces_add(next, (struct piece){ piece->start, left.low, left.high });
        }
    }
    if (highest > covered) {
        pieces_add(next, (struct piece){ s, covered, highest });
    }
    const struct pieces swap = search->now;
    search->now = search->next;
    search->next = swap;
}

/* The ends of the segments, from the chain of starts that leads back from n. */
static size_t follow_back(const size_t from[], size_t n, size_t ends[])
{
    size_t count = 0;
    for (size_t at = n; at > 0; at = from[at]) {
        ends[count++] = at;
    }
    for (size_t i = 0; i < count / 2; i++) {
        const size_t swap = ends[i];
        ends[i] = ends[count - 1 - i];
        ends[count - 1 - i] = swap;
    }
    return count;
}

size_t change_points_find(struct arena *arena, const double x[], size_t n, double penalty,
                          size_t shortest, size_t ends[])
{
    assert(penalty >= 0 && shortest >= 1);
    if (n == 0) {
        return 0;
    }
    if (n / 2 < shortest) {
        ends[0] = n;
        return 1;
    }
    struct search search = { .sums = sums_make(arena, x, n) };
    size_t *from = ARENA_ARRAY(arena, size_t, n + 1);
    search.before = ARENA_ARRAY(arena, double, n + 1);
    /* Rounding of a total stays below a few x sqrt(n) x DBL_EPSILON of the whole sum of squares
     * (the prefix sums are right to their last digit); this is 64 x sqrt(n) as much, and still far
     * below any penalty that means something. */
    search.margin = 64.0 * (double)n * DBL_EPSILON * (search.sums.second[n] + penalty);
    /* A little more ground than the samples span, so that no mean lies on its edge. */
    const double reach = greater(fabs(search.sums.lowest), fabs(search.sums.highest)) / 16.0;
    const double lowest = search.sums.lowest - reach;
    const double highest = search.sums.highest + reach;
    pieces_reserve(arena, &search.now, 32);
    pieces_add(&search.now, (struct piece){ 0, lowest, highest });
    for (size_t to = 1; to <= n; to++) {
        search.before[to] = (double)INFINITY;
        if (to < shortest) {
            continue;
        }
        /* The start that may be used from now on.  Behind a gap it is the sample before it again,
         * and loses every tie against that. */
        const size_t s = to - shortest;
        const bool is_repeat = s > 0 && isnan(x[s - 1]) && search.before[s] >= search.before[s - 1];
        if (s > 0 && isfinite(search.before[s]) && !is_repeat) {
            pieces_let_in(arena, &search, s, lowest, highest);
        }
        double best = (double)INFINITY;
        for (size_t i = 0; i < search.now.count; i++) {
            const size_t start = search.now.items[i].start;
            const double total = total_at(&search.sums, search.before[start], start, to);
            if (total < best || (total <= best && start < from[to])) {
                best = total;
                from[to] = start;
            }
        }
        search.before[to] = best + penalty;
    }
    return follow_back(from, n, ends);
}

/* ---- a fixed number of segments ---- */

size_t change_points_split(struct arena *arena, const double x[], size_t n, size_t count,
                           size_t shortest, size_t ends[])
{
    assert(shortest >= 1);
    if (count == 0 || n == 0 || n / count < shortest) {
        return 0;
    }
    const struct sums sums = sums_make(arena, x, n);
    double *now = ARENA_ARRAY(arena, double, n + 1);
    double *before = ARENA_ARRAY(arena, double, n + 1);
    uint32_t *from = ARENA_ARRAY(arena, uint32_t, count * (n + 1));
    for (size_t to = 0; to <= n; to++) {
        before[to] = to == 0 ? 0.0 : (double)INFINITY;
    }
    for (size_t k = 0; k < count; k++) {
        for (size_t to = 0; to <= n; to++) {
            now[to] = (double)INFINITY;
            for (size_t start = 0; start + shortest <= to; start++) {
                const double total = total_at(&sums, before[start], start, to);
                if (total < now[to]) {
                    now[to] = total;
                    from[k * (n + 1) + to] = (uint32_t)start;
                }
            }
        }
        double *swap = before;
        before = now;
        now = swap;
    }
    size_t at = n;
    for (size_t k = count; k > 0; k--) {
        ends[k - 1] = at;
        at = from[(k - 1) * (n + 1) + at];
    }
    return count;
}

double change_points_cost(const double x[], const size_t ends[], size_t count)
{
    double cost = 0;
    size_t start = 0;
    for (size_t k = 0; k < count; k++) {
        double sum = 0;
        double known = 0;
        for (size_t i = start; i < ends[k]; i++) {
            sum += isnan(x[i]) ? 0.0 : x[i];
            known += isnan(x[i]) ? 0.0 : 1.0;
        }
        const double mean = known > 0 ? sum / known : 0.0;
        for (size_t i = start; i < ends[k]; i++) {
            cost += isnan(x[i]) ? 0.0 : (x[i] - mean) * (x[i] - mean);
        }
        start = ends[k];
    }
    return cost;
}
