/* coaching/hard_intent.c: what was meant, asked or assumed. */
#include "coaching/hard_parts.h"

#include <math.h>
#include <stdlib.h>

static bool is_easy_kind(enum work_kind kind)
{
    return kind == KIND_EASY || kind == KIND_BASE_TEST;
}

static const char *range_text(struct arena *arena, double low, double high, const char *unit)
{
    if (isnan(high) || isinf(high)) {
        return arena_format(arena, "asked: at least %.0f%s", low, unit);
    }
    if (isnan(low) || low <= 0.0) {
        return arena_format(arena, "asked: at most %.0f%s", high, unit);
    }
    return arena_format(arena, "asked: %.0f-%.0f%s", low, high, unit);
}

struct intent hard_intent_of(struct arena *arena, const struct rider_facts *facts,
                             const struct limits *limits)
{
    const struct target *target = &facts->target;
    struct intent intent = { 0 };
    const bool in_w = !isnan(target->low_w) || !isnan(target->high_w);
    const bool in_pct = !in_w && (!isnan(target->low_pct) || !isnan(target->high_pct));
    const bool kind = facts->kind != KIND_UNKNOWN;
    if (in_w) {
        intent.text = range_text(arena, target->low_w, target->high_w, " W");
    } else if (in_pct) {
        intent.text = range_text(arena, target->low_pct, target->high_pct, " %");
    } else if (kind) {
        intent.text = arena_format(arena, "asked: %s", work_kind_name(facts->kind));
    }
    intent.range = in_w || in_pct || kind;
    intent.in_pct = !in_w && (in_pct || kind);
    /* An easy range or kind asks for no hard work: easy work answers it. */
    const bool easy = is_easy_kind(facts->kind) ||
                      (in_pct && target->high_pct <= limits->value[LIMIT_KIND_EASY_HIGH_PCT]);
    const bool counted = facts->reps_asked > 0 || !isnan(facts->rep_duration_s);
    if (easy) {
        return (struct intent){ .text = NULL };
    }
    intent.anything = intent.range || counted;
    if (intent.text == NULL && counted) {
        intent.text = "asked: number or length of reps";
    }
    return intent;
}

/* ---- what each rep is judged by ---- */

static double length_of(const struct rep *rep)
{
    return (double)(rep->span.to_s - rep->span.from_s);
}

/* How far a rep of this length and level lies from a kind: 10 % of threshold outside its range and
 * twice outside its time count as 1 each. */
static double distance_to(enum work_kind kind, const struct rep *rep, const struct limits *limits)
{
    const struct kind_range range = work_kind_range(kind, limits);
    const double pct = rep->pct_of_threshold;
    /* A block's efforts are what the kind speaks of. */
    const double length =
        rep->is_block ? (double)(rep->efforts[0].to_s - rep->efforts[0].from_s) : length_of(rep);
    const double off_pct = fmax(fmax(range.low_pct - pct, pct - range.high_pct), 0.0) / 10.0;
    const double short_by = range.shortest_s > 0.0 ? log2(range.shortest_s / length) : 0.0;
    const double off_time = fmax(fmax(short_by, log2(length / range.longest_s)), 0.0);
    return sqrt(off_pct * off_pct + off_time * off_time);
}

/* The nearest kind, or unknown: none is near.  Over-unders can't be told from threshold work by
 * their mean, so they must be asked.  Ties: the easier kind. */
static enum work_kind nearest_kind(const struct rep *rep, const struct limits *limits)
{
    static const enum work_kind kinds[] = { KIND_TEMPO,  KIND_SWEET_SPOT, KIND_THRESHOLD,
                                            KIND_VO2MAX, KIND_ANAEROBIC,  KIND_SPRINT };
    if (isnan(rep->pct_of_threshold)) {
        return KIND_UNKNOWN;
    }
    if (rep->is_block) {
        return distance_to(KIND_SHORT_VO2MAX, rep, limits) <= limits->value[LIMIT_HARD_KIND_FAR]
                   ? KIND_SHORT_VO2MAX
                   : KIND_UNKNOWN;
    }
    double nearest = limits->value[LIMIT_HARD_KIND_FAR];
    enum work_kind best = KIND_UNKNOWN;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        const double distance = distance_to(kinds[i], rep, limits);
        if (distance < nearest) {
            nearest = distance;
            best = kinds[i];
        }
    }
    return best;
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The time that the reps of a set were meant to last, by the set itself: the middle one, when three
 * or more are there and most are as long.  NAN else. */
static double own_duration(struct arena *arena, const struct reps *reps, int set,
                           const struct limits *limits)
{
    double *lengths = ARENA_ARRAY(arena, double, reps->count);
    size_t n = 0;
    for (size_t i = 0; i < reps->count; i++) {
        if (reps->items[i].set == set) {
            lengths[n++] = length_of(&reps->items[i]);
        }
    }
    qsort(lengths, n, sizeof lengths[0], by_value);
    const double middle = lengths[n / 2];
    size_t equal = 0;
    for (size_t i = 0; i < n; i++) {
        equal +=
            fabs(lengths[i] - middle) <= limits->value[LIMIT_HARD_EQUAL_RATIO] * middle ? 1 : 0;
    }
    const bool long_enough = middle >= limits->value[LIMIT_HARD_OWN_SHORTEST_S];
    return n >= 3 && 2 * equal > n && long_enough ? middle : (double)NAN;
}

/* The kind of a set without a range asked: that of its middle rep by power. */
static enum work_kind assumed_kind(struct arena *arena, const struct reps *reps, int set,
                                   const struct limits *limits)
{
    double *levels = ARENA_ARRAY(arena, double, reps->count);
    size_t n = 0;
    for (size_t i = 0; i < reps->count; i++) {
        if (reps->items[i].set == set && !isnan(reps->items[i].pct_of_threshold)) {
            levels[n++] = reps->items[i].pct_of_threshold;
        }
    }
    if (n == 0) {
        return KIND_UNKNOWN;
    }
    qsort(levels, n, sizeof levels[0], by_value);
    for (size_t i = 0; i < reps->count; i++) {
        const struct rep *rep = &reps->items[i];
        if (rep->set == set && rep->pct_of_threshold >= levels[n / 2] &&
            rep->pct_of_threshold <= levels[n / 2]) {
            return nearest_kind(rep, limits);
        }
    }
    return KIND_UNKNOWN;
}

/* Judges against an assumed kind's range, in watts. */
static void assume(struct arena *arena, const struct recording *recording,
                   const struct rider_facts *facts, const struct limits *limits,
                   enum work_kind kind, struct rep *rep)
{
    const struct kind_range range = work_kind_range(kind, limits);
    rep_measure_range(arena, recording, limits, range.low_pct * facts->threshold_w / 100.0,
                      range.high_pct * facts->threshold_w / 100.0, rep);
}

static double asked_duration(const struct rep *rep, const struct rider_facts *facts,
                             const struct limits *limits)
{
    /* A short time asked is that of a block's efforts, not of the block. */
    const bool of_efforts =
        rep->is_block && facts->rep_duration_s <= limits->value[LIMIT_KIND_SHORT_VO2MAX_LONGEST_S];
    return of_efforts ? (double)NAN : facts->rep_duration_s;
}

bool hard_is_marked(const struct rider_facts *facts, const struct intent *intent)
{
    return facts->marked && !intent->anything;
}

struct judged *hard_prepare(struct arena *arena, const struct recording *recording,
                            const struct rider_facts *facts, const struct limits *limits,
                            const struct intent *intent, struct reps *reps)
{
    struct judged *judged = ARENA_ARRAY(arena, struct judged, reps->count);
    for (size_t i = 0; i < reps->count; i++) {
        struct rep *rep = &reps->items[i];
        struct judged *j = &judged[i];
        const double asked_s = asked_duration(rep, facts, limits);
        *j = (struct judged){ .rep = rep, .part = true, .kind = facts->kind };
        j->duration_asked = !isnan(asked_s);
        j->duration_s = j->duration_asked ? asked_s : own_duration(arena, reps, rep->set, limits);
        if (intent->range) {
            j->part = rep->as_asked;
        } else {
            j->part = rep->as_asked || !intent->anything;
            j->assumed = true;
            j->kind = hard_is_marked(facts, intent) ? KIND_UNKNOWN
                                                    : assumed_kind(arena, reps, rep->set, limits);
            if (j->kind != KIND_UNKNOWN) {
                assume(arena, recording, facts, limits, j->kind, rep);
            } else {
                rep_measure_range(arena, recording, limits, (double)NAN, (double)NAN, rep);
            }
        }
    }
    return judged;
}

/* Reps asked and not found; a block's short efforts count one by one when they were asked so. */
int hard_missing(const struct rider_facts *facts, const struct limits *limits,
                 const struct judged judged[], size_t n)
{
    const bool by_effort =
        facts->rep_duration_s <= limits->value[LIMIT_KIND_SHORT_VO2MAX_LONGEST_S];
    int found = 0;
    for (size_t i = 0; i < n; i++) {
        found += judged[i].part ? (by_effort ? judged[i].rep->n_efforts : 1) : 0;
    }
    return facts->reps_asked > found ? facts->reps_asked - found : 0;
}
