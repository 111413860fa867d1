/* physiology/reps_rows.c: rows of short efforts, which the coarse cut takes for one level. */
#include "physiology/reps_parts.h"

#include <math.h>
#include <stdlib.h>

struct row {
    size_t first; /* of the fine runs */
    size_t count; /* works */
};

static bool all_within(const double values[], size_t n, double factor, double work[])
{
    for (size_t i = 0; i < n; i++) {
        work[i] = values[i];
    }
    const double middle = reps_middle(work, n);
    for (size_t i = 0; i < n; i++) {
        if (values[i] > factor * middle || values[i] * factor < middle) {
            return false;
        }
    }
    return true;
}

/* The longest regular row of short works and rests that begins with run `first`. */
static struct row longest_row(const struct reps_ride *ride, const struct efforts *runs,
                              size_t first)
{
    enum { MOST = 200 };
    const double *v = ride->limits->value;
    double works[MOST];
    double rests[MOST];
    double scratch[MOST];
    struct row best = { first, 0 };
    for (size_t n = 0; n < MOST && first + n < runs->count; n++) {
        const struct effort *run = &runs->items[first + n];
        works[n] = (double)(run->to_s - run->from_s);
        if (works[n] > v[LIMIT_REPS_MICRO_LONGEST_S]) {
            break;
        }
        if (n > 0) {
            rests[n - 1] = (double)(run->from_s - runs->items[first + n - 1].to_s);
            if (rests[n - 1] > v[LIMIT_REPS_MICRO_LONGEST_S]) {
                break;
            }
        }
        /* Works and the rests between them: 2 n + 1 pieces. */
        if (2.0 * (double)n + 1.0 >= v[LIMIT_REPS_MICRO_PIECES] &&
            all_within(works, n + 1, v[LIMIT_REPS_MICRO_WORK_FACTOR], scratch) &&
            all_within(rests, n, v[LIMIT_REPS_MICRO_REST_FACTOR], scratch)) {
            best.count = n + 1;
        }
    }
    return best;
}

/* Whether the row's works stand out from its rests, and those are rests. */
static bool row_stands_out(const struct reps_ride *ride, const struct efforts *runs,
                           const struct row *row, double rest_line_w)
{
    double work = 0.0;
    double rest = 0.0;
    double work_s = 0.0;
    double rest_s = 0.0;
    for (size_t i = 0; i < row->count; i++) {
        const struct effort *run = &runs->items[row->first + i];
        work += reps_mean(ride->effort_w, run->from_s, run->to_s, NULL);
        work_s += (double)(run->to_s - run->from_s);
        if (i + 1 < row->count) {
            const int32_t next_s = runs->items[row->first + i + 1].from_s;
            rest += reps_mean(ride->effort_w, run->to_s, next_s, NULL);
            rest_s += (double)(next_s - run->to_s);
        }
    }
    const double *v = ride->limits->value;
    rest /= (double)(row->count - 1);
    const double contrast = work / (double)row->count - rest;
    return rest <= rest_line_w && rest_s >= v[LIMIT_REPS_MICRO_REST_RATIO] * work_s &&
           contrast >= v[LIMIT_REPS_MICRO_CONTRAST_RATIO] * ride->scale_w;
}

/* What of the coarse efforts lies outside from .. to stays, if it is long enough to be one. */
static struct efforts cut_out(struct arena *arena, const struct reps_ride *ride,
                              const struct efforts *coarse, int32_t from_s, int32_t to_s)
{
    const double longest = ride->limits->value[LIMIT_REPS_MICRO_LONGEST_S];
    struct efforts kept = { 0 };
    for (size_t i = 0; i < coarse->count; i++) {
        const struct effort *c = &coarse->items[i];
        if (c->to_s <= from_s || c->from_s >= to_s) {
            reps_add_effort(arena, &kept, c->from_s, c->to_s);
            kept.items[kept.count - 1].micro = c->micro;
            continue;
        }
        if ((double)(from_s - c->from_s) > longest) {
            reps_add_effort(arena, &kept, c->from_s, from_s);
        }
        if ((double)(c->to_s - to_s) > longest) {
            reps_add_effort(arena, &kept, to_s, c->to_s);
        }
    }
    return kept;
}

static int by_start(const void *a, const void *b)
{
    const struct effort *x = a;
    const struct effort *y = b;
    return (x->from_s > y->from_s) - (x->from_s < y->from_s);
}

/* What a row repeats: how long its works last, how far they are apart, how much they stand out. */
struct beat {
    double work_s;
    double period_s;
    double contrast_w;
};

static struct beat beat_of(struct arena *arena, const struct reps_ride *ride,
                           const struct efforts *runs, const struct row *row)
{
    double *works = ARENA_ARRAY(arena, double, row->count);
    double *periods = ARENA_ARRAY(arena, double, row->count);
    double *contrasts = ARENA_ARRAY(arena, double, row->count);
    for (size_t i = 0; i < row->count; i++) {
        const struct effort *run = &runs->items[row->first + i];
        works[i] = (double)(run->to_s - run->from_s);
        if (i + 1 < row->count) {
            const int32_t next = runs->items[row->first + i + 1].from_s;
            periods[i] = (double)(next - run->from_s);
            contrasts[i] = reps_mean(ride->effort_w, run->from_s, run->to_s, NULL) -
                           reps_mean(ride->effort_w, run->to_s, next, NULL);
        }
    }
    return (struct beat){ reps_middle(works, row->count), reps_middle(periods, row->count - 1),
                          reps_middle(contrasts, row->count - 1) };
}

/* How much a work that began at from_s would stand out from the rests before and after it, the
 * lesser of both; NAN = outside the ride or unknown. */
static double stands_out(const struct reps_ride *ride, const struct beat *beat, int32_t from_s)
{
    const int32_t work = (int32_t)(beat->work_s + 0.5);
    const int32_t rest = (int32_t)(beat->period_s - beat->work_s + 0.5);
    if (from_s < rest || from_s + work + rest > (int32_t)ride->n) {
        return (double)NAN;
    }
    const double on = reps_mean(ride->effort_w, from_s, from_s + work, NULL);
    return on - fmax(reps_mean(ride->effort_w, from_s - rest, from_s, NULL),
                     reps_mean(ride->effort_w, from_s + work, from_s + work + rest, NULL));
}

/* The best place for one more work near at_s; -1 if none stands out enough. */
static int32_t one_more(const struct reps_ride *ride, const struct beat *beat, int32_t at_s)
{
    const double *v = ride->limits->value;
    const int32_t slack = (int32_t)(v[LIMIT_REPS_MICRO_SLACK_RATIO] * beat->period_s);
    double best = v[LIMIT_REPS_MICRO_KEEP_RATIO] * beat->contrast_w;
    int32_t place = -1;
    for (int32_t from = at_s - slack; from <= at_s + slack; from++) {
        const double out = stands_out(ride, beat, from);
        if (out > best) {
            best = out;
            place = from;
        }
    }
    return place;
}

static void add_micro(struct arena *arena, struct efforts *row, int32_t from_s, int32_t to_s)
{
    reps_add_effort(arena, row, from_s, to_s);
    row->items[row->count - 1].micro = true;
}

/* The row, with works added at both ends for as long as its beat goes on: a short effort that
 * faltered breaks the regular part, not the session. */
static struct efforts whole_row(struct arena *arena, const struct reps_ride *ride,
                                const struct efforts *runs, const struct row *row)
{
    const struct beat beat = beat_of(arena, ride, runs, row);
    const int32_t work = (int32_t)(beat.work_s + 0.5);
    const int32_t period = (int32_t)(beat.period_s + 0.5);
    struct efforts out = { 0 };
    for (int32_t at = runs->items[row->first].from_s - period; at > 0;) {
        const int32_t from = one_more(ride, &beat, at);
        if (from < 0) {
            break;
        }
        add_micro(arena, &out, from, from + work);
        at = from - period;
    }
    for (size_t k = 0; k < row->count; k++) {
        const struct effort *run = &runs->items[row->first + k];
        add_micro(arena, &out, run->from_s, run->to_s);
    }
    for (int32_t at = runs->items[row->first + row->count - 1].from_s + period;
         at < (int32_t)ride->n;) {
        const int32_t from = one_more(ride, &beat, at);
        if (from < 0) {
            break;
        }
        add_micro(arena, &out, from, from + work);
        at = from + period;
    }
    if (out.count > 0) {
        qsort(out.items, out.count, sizeof out.items[0], by_start);
    }
    return out;
}

/* Puts a row in the place of what lay there. */
static void put_row(struct arena *arena, const struct reps_ride *ride, const struct efforts *row,
                    struct efforts *coarse)
{
    const int32_t from_s = row->items[0].from_s;
    const int32_t to_s = row->items[row->count - 1].to_s;
    *coarse = cut_out(arena, ride, coarse, from_s, to_s);
    for (size_t k = 0; k < row->count; k++) {
        add_micro(arena, coarse, row->items[k].from_s, row->items[k].to_s);
    }
    if (coarse->items != NULL) {
        qsort(coarse->items, coarse->count, sizeof coarse->items[0], by_start);
    }
}

/* A long effort in a ride that holds a row may be another one, too ragged to be found by itself:
 * it is when the beat of the first fits most of it. */
static bool follow_beat(struct arena *arena, const struct reps_ride *ride, const struct beat *beat,
                        const struct effort *effort, struct efforts *row)
{
    const double *v = ride->limits->value;
    const int32_t work = (int32_t)(beat->work_s + 0.5);
    const int32_t period = (int32_t)(beat->period_s + 0.5);
    *row = (struct efforts){ 0 };
    for (int32_t at = effort->from_s; at < effort->to_s;) {
        const int32_t from = one_more(ride, beat, at);
        if (from >= 0) {
            add_micro(arena, row, from, from + work);
        }
        at = (from < 0 ? at : from) + period;
    }
    const double wanted =
        v[LIMIT_REPS_MICRO_COVER_RATIO] * (double)(effort->to_s - effort->from_s) / beat->period_s;
    return (double)row->count >= fmax(v[LIMIT_REPS_BLOCK_EFFORTS], wanted);
}

static void follow_all(struct arena *arena, const struct reps_ride *ride, const struct beat *beat,
                       struct efforts *coarse)
{
    for (size_t i = 0; i < coarse->count; i++) {
        const struct effort effort = coarse->items[i];
        struct efforts row = { 0 };
        if (!effort.micro && follow_beat(arena, ride, beat, &effort, &row)) {
            put_row(arena, ride, &row, coarse);
        }
    }
}

struct efforts reps_rescue_rows(struct arena *arena, const struct reps_ride *ride,
                                const struct efforts *runs, double rest_line_w,
                                struct efforts coarse)
{
    int32_t done_s = 0;
    struct row longest = { 0, 0 };
    for (size_t i = 0; i < runs->count;) {
        const struct row row =
            runs->items[i].from_s < done_s ? (struct row){ 0, 0 } : longest_row(ride, runs, i);
        if (row.count == 0 || !row_stands_out(ride, runs, &row, rest_line_w)) {
            i++;
            continue;
        }
        const struct efforts whole = whole_row(arena, ride, runs, &row);
        put_row(arena, ride, &whole, &coarse);
        done_s = whole.items[whole.count - 1].to_s;
        longest = row.count > longest.count ? row : longest;
        i += row.count;
    }
    if (longest.count > 0) {
        const struct beat beat = beat_of(arena, ride, runs, &longest);
        follow_all(arena, ride, &beat, &coarse);
    }
    return coarse;
}
