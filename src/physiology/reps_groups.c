/* physiology/reps_groups.c: efforts to reps: blocks, what may have been asked, sets. */
#include "physiology/reps_parts.h"

#include <math.h>
#include <stdlib.h>

static double length_of(const struct effort *e)
{
    return (double)(e->to_s - e->from_s);
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

/* ---- blocks of short efforts ---- */

/* A session that counts its short efforts one by one has no blocks. */
static bool may_hold_blocks(const struct reps_ride *ride)
{
    const struct rider_facts *facts = ride->facts;
    if (facts->kind == KIND_SHORT_VO2MAX) {
        return true;
    }
    const double *v = ride->limits->value;
    const bool counted =
        facts->rep_duration_s <= v[LIMIT_REPS_BLOCK_SLACK] * v[LIMIT_KIND_SHORT_VO2MAX_LONGEST_S];
    return facts->kind != KIND_ANAEROBIC && facts->kind != KIND_SPRINT && !counted;
}

static bool is_short(const struct reps_ride *ride, const struct effort *e)
{
    const double *v = ride->limits->value;
    const double slack = v[LIMIT_REPS_BLOCK_SLACK];
    return length_of(e) * slack >= v[LIMIT_KIND_SHORT_VO2MAX_SHORTEST_S] &&
           length_of(e) <= slack * v[LIMIT_KIND_SHORT_VO2MAX_LONGEST_S];
}

/* Whether the rest between two short efforts may be one within a block: as a whole the rests must
 * be no longer than the efforts, but an edge here and there is known badly. */
static bool follows_at_once(const struct reps_ride *ride, const struct effort *a,
                            const struct effort *b)
{
    return (double)(b->from_s - a->to_s) <=
           ride->limits->value[LIMIT_REPS_BLOCK_REST_RATIO] * fmax(length_of(a), length_of(b));
}

/* Whether the middle rest is no longer than the middle effort. */
static bool rests_are_short(struct arena *arena, const struct reps_ride *ride,
                            const struct effort efforts[], size_t n)
{
    double *works = ARENA_ARRAY(arena, double, n);
    double *rests = ARENA_ARRAY(arena, double, n);
    for (size_t i = 0; i < n; i++) {
        works[i] = length_of(&efforts[i]);
        if (i + 1 < n) {
            rests[i] = (double)(efforts[i + 1].from_s - efforts[i].to_s);
        }
    }
    return n >= 2 && reps_middle(rests, n - 1) <=
                         ride->limits->value[LIMIT_REPS_BLOCK_SLACK] * reps_middle(works, n);
}

static void mark_blocks(struct arena *arena, const struct reps_ride *ride, struct efforts *efforts)
{
    const size_t least = (size_t)ride->limits->value[LIMIT_REPS_BLOCK_EFFORTS];
    int blocks = 0;
    for (size_t i = 0; i < efforts->count;) {
        size_t n = is_short(ride, &efforts->items[i]) ? 1 : 0;
        while (n > 0 && i + n < efforts->count && is_short(ride, &efforts->items[i + n]) &&
               follows_at_once(ride, &efforts->items[i + n - 1], &efforts->items[i + n])) {
            n++;
        }
        if (n >= least && rests_are_short(arena, ride, &efforts->items[i], n)) {
            blocks++;
            for (size_t k = 0; k < n; k++) {
                efforts->items[i + k].block = blocks;
            }
        }
        i += n == 0 ? 1 : n;
    }
}

static struct rep rep_of(struct arena *arena, const struct efforts *efforts, size_t first, size_t n)
{
    struct rep rep = { .as_asked = efforts->items[first].laid != LAID,
                       .laid = efforts->items[first].laid != NOT_LAID,
                       .edges_sure = true };
    rep.span = (struct span){ efforts->items[first].from_s, efforts->items[first + n - 1].to_s };
    rep.is_block = efforts->items[first].block > 0;
    rep.n_efforts = (int)n;
    rep.efforts = ARENA_ARRAY(arena, struct span, n);
    double sum = 0.0;
    double seconds = 0.0;
    for (size_t i = 0; i < n; i++) {
        const struct effort *e = &efforts->items[first + i];
        rep.efforts[i] = (struct span){ e->from_s, e->to_s };
        rep.edges_sure = rep.edges_sure && e->from_sure && e->to_sure;
        sum += e->mean_w * length_of(e);
        seconds += length_of(e);
    }
    rep.mean_power_w = sum / seconds; /* measured anew later; what grouping goes by */
    return rep;
}

static struct reps join_blocks(struct arena *arena, const struct reps_ride *ride,
                               struct efforts *efforts)
{
    struct reps reps = { .items = ARENA_ARRAY(arena, struct rep, efforts->count),
                         .work_line_w = ride->line_w };
    if (may_hold_blocks(ride)) {
        mark_blocks(arena, ride, efforts);
    }
    bool micro = false;
    bool laid = false;
    for (size_t i = 0; i < efforts->count;) {
        size_t n = 1;
        while (efforts->items[i].block > 0 && i + n < efforts->count &&
               efforts->items[i + n].block == efforts->items[i].block) {
            n++;
        }
        micro = micro || efforts->items[i].micro;
        laid = laid || efforts->items[i].laid != NOT_LAID;
        reps.items[reps.count++] = rep_of(arena, efforts, i, n);
        i += n;
    }
    reps.found_by = reps.count == 0 ? NULL : laid ? "session" : micro ? "micro" : "change-points";
    return reps;
}

/* ---- what may be the asked work ---- */

static double rep_length(const struct rep *rep)
{
    return (double)(rep->span.to_s - rep->span.from_s);
}

/* The length at which half of the time of work is reached: of the clear reps that may be what was
 * asked, or of all such if none is clear. */
static double usual_length(const struct reps *reps, double lengths[])
{
    bool any_clear = false;
    for (size_t i = 0; i < reps->count; i++) {
        any_clear = any_clear || (reps->items[i].as_asked && reps->items[i].clear);
    }
    double total = 0.0;
    for (size_t i = 0; i < reps->count; i++) {
        const struct rep *rep = &reps->items[i];
        lengths[i] = rep->as_asked && (rep->clear || !any_clear) ? rep_length(rep) : 0.0;
        total += lengths[i];
    }
    qsort(lengths, reps->count, sizeof lengths[0], by_value);
    double sum = 0.0;
    for (size_t i = 0; i < reps->count; i++) {
        sum += lengths[i];
        if (2.0 * sum >= total) {
            return lengths[i];
        }
    }
    return 0.0;
}

/* The lengths that a try at the asked work may have. */
static bool fits_time(const struct reps_ride *ride, const struct rep *rep, double usual)
{
    const double *v = ride->limits->value;
    const double low = v[LIMIT_REPS_ASKED_TIME_LOW_RATIO];
    const double high = v[LIMIT_REPS_ASKED_TIME_HIGH_RATIO];
    const struct kind_range kind = work_kind_range(ride->facts->kind, ride->limits);
    const double length = rep_length(rep);
    /* A block is asked by the time of its efforts, or by its own. */
    if (rep->is_block || ride->facts->kind == KIND_SHORT_VO2MAX) {
        return rep->is_block;
    }
    const bool by_kind = isnan(kind.longest_s) || !isnan(ride->facts->rep_duration_s) ||
                         (length >= low * kind.shortest_s && length <= high * kind.longest_s);
    return by_kind && length >= low * usual && length <= high * usual;
}

/* Clear, or even and in the company of a clear one: the rep in which a session failed is alone. */
static bool is_of_session(const struct reps_ride *ride, const struct reps *reps, size_t i)
{
    const double longest = ride->limits->value[LIMIT_REPS_SET_LONG_S];
    const struct rep *rep = &reps->items[i];
    bool company = false;
    for (size_t j = 0; j < reps->count; j++) {
        const struct rep *other = &reps->items[j];
        company =
            company || (other->clear && (double)(rep->span.from_s - other->span.to_s) <= longest &&
                        (double)(other->span.from_s - rep->span.to_s) <= longest);
    }
    return rep->clear || (rep->even && company);
}

/* Returns whether anything hard was asked. */
static bool mark_asked(struct arena *arena, const struct reps_ride *ride, struct reps *reps)
{
    const double *v = ride->limits->value;
    const bool by_power = ride->asked_low_w > 0.0;
    const bool by_time = !isnan(ride->facts->rep_duration_s);
    for (size_t i = 0; by_power && i < reps->count; i++) {
        struct rep *rep = &reps->items[i];
        if (rep->laid) {
            continue; /* the session's own step says so */
        }
        /* What may be the road's doing must at least come near the range. */
        const double least = v[is_of_session(ride, reps, i) ? LIMIT_REPS_ASKED_POWER_LOW_RATIO
                                                            : LIMIT_REPS_ASKED_UNCLEAR_RATIO];
        rep->as_asked =
            rep->mean_power_w >= least * ride->asked_low_w &&
            rep->mean_power_w <= v[LIMIT_REPS_ASKED_POWER_HIGH_RATIO] * ride->asked_high_w;
    }
    if (by_power || by_time) {
        double *lengths = ARENA_ARRAY(arena, double, reps->count);
        const double usual = by_time ? ride->facts->rep_duration_s : usual_length(reps, lengths);
        for (size_t i = 0; i < reps->count; i++) {
            struct rep *rep = &reps->items[i];
            rep->as_asked = rep->as_asked && (rep->laid || fits_time(ride, rep, usual));
        }
    }
    return by_power || by_time || ride->facts->reps_asked > 0;
}

/* Where nothing was asked, and of what wasn't, only clear work is kept. */
static void keep_clear(bool asked, struct reps *reps)
{
    size_t kept = 0;
    for (size_t i = 0; i < reps->count; i++) {
        if (reps->items[i].clear || reps->items[i].laid || (asked && reps->items[i].as_asked)) {
            reps->items[kept++] = reps->items[i];
        }
    }
    reps->count = kept;
    reps->found_by = kept == 0 ? NULL : reps->found_by;
}

/* ---- sets ---- */

/* The middle of the rests between neighbouring reps, but for one of them (count: none). */
static double usual_rest(const struct reps *reps, size_t but, double rests[])
{
    size_t n = 0;
    for (size_t i = 1; i < reps->count; i++) {
        if (i != but) {
            rests[n++] = (double)(reps->items[i].span.from_s - reps->items[i - 1].span.to_s);
        }
    }
    return n == 0 ? (double)NAN : reps_middle(rests, n);
}

static double ratio_of(double a, double b)
{
    return fmax(a, b) / fmin(a, b);
}

/* The written rule.  A new set begins
 * - after a rest longer than LIMIT_REPS_SET_REST_FACTOR times the middle of the other rests and by
 *   at least LIMIT_REPS_SET_REST_S longer; or longer than LIMIT_REPS_SET_LONG_S whatever the
 * others;
 * - where reps that may be what was asked meet others;
 * - where the work is of another kind: more than LIMIT_REPS_SET_LENGTH_FACTOR times as long or
 *   short, and LIMIT_REPS_SET_LEVEL_FACTOR times as hard or easy. */
static void number_sets(struct arena *arena, const struct reps_ride *ride, struct reps *reps)
{
    const double *v = ride->limits->value;
    double *rests = ARENA_ARRAY(arena, double, reps->count);
    for (size_t i = 0; i < reps->count; i++) {
        struct rep *rep = &reps->items[i];
        if (i == 0) {
            rep->set = 1;
            continue;
        }
        const struct rep *last = &reps->items[i - 1];
        const double rest = (double)(rep->span.from_s - last->span.to_s);
        const double usual = usual_rest(reps, i, rests);
        const bool rested =
            rest > v[LIMIT_REPS_SET_LONG_S] || (rest > v[LIMIT_REPS_SET_REST_FACTOR] * usual &&
                                                rest > usual + v[LIMIT_REPS_SET_REST_S]);
        const bool other =
            rep->as_asked != last->as_asked || rep->is_block != last->is_block ||
            (ratio_of(rep_length(rep), rep_length(last)) > v[LIMIT_REPS_SET_LENGTH_FACTOR] &&
             ratio_of(rep->mean_power_w, last->mean_power_w) > v[LIMIT_REPS_SET_LEVEL_FACTOR]);
        rep->set = last->set + (rested || other ? 1 : 0);
    }
    reps->n_sets = reps->count == 0 ? 0 : reps->items[reps->count - 1].set;
}

struct reps reps_group(struct arena *arena, const struct reps_ride *ride, struct efforts *efforts)
{
    struct reps reps = join_blocks(arena, ride, efforts);
    reps_mark_clear(arena, ride, &reps);
    keep_clear(mark_asked(arena, ride, &reps), &reps);
    number_sets(arena, ride, &reps);
    return reps;
}
