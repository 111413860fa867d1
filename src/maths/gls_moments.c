/* maths/gls_moments.c: the one pass over the data. */
#include "maths/gls_parts.h"

#include <assert.h>
#include <math.h>

#define INLINE static inline __attribute__((always_inline))

/* Steps from .. to - 1 are all observed, of one group. */
struct run {
    size_t from;
    size_t to;
    bool starts_group;
};

/* Walks observed steps from `from`, adding x and y to sums; returns where the first missing one or
 * `end` is.  Inlined for a known k. */
INLINE size_t walk_observed(const struct gls_model *model, size_t from, size_t end, double sums[],
                            size_t k)
{
    double sum[GLS_MOST] = { 0.0 };
    size_t i = from;
    for (; i < end; i++) {
        const double *x = model->x + i * k;
        double probe = 0.0 * model->y[i]; /* NAN unless finite */
        for (size_t j = 0; j < k; j++) {
            probe += 0.0 * x[j];
        }
        if (isnan(probe)) {
            break;
        }
        for (size_t j = 0; j < k; j++) {
            sum[j] += x[j];
        }
        sum[k] += model->y[i];
    }
    for (size_t j = 0; j <= k; j++) {
        sums[j] += sum[j];
    }
    return i;
}

static size_t walk(const struct gls_model *model, size_t from, size_t end, double sums[])
{
    switch (model->k) {
    case 0: return walk_observed(model, from, end, sums, 0);
    case 1: return walk_observed(model, from, end, sums, 1);
    case 2: return walk_observed(model, from, end, sums, 2);
    case 3: return walk_observed(model, from, end, sums, 3);
    default: return walk_observed(model, from, end, sums, model->k);
    }
}

/* Finds the runs, and the means of what was observed. */
static struct run *find_runs(struct arena *arena, const struct gls_model *model,
                             struct gls_moments *moments, size_t *count)
{
    size_t capacity = 8;
    struct run *runs = ARENA_ARRAY(arena, struct run, capacity);
    const size_t groups = model->groups > 0 ? model->groups : 1;
    size_t i = 0;
    *count = 0;
    for (size_t group = 0; group < groups; group++) {
        const size_t end = model->groups > 0 ? model->group_ends[group] : model->n;
        bool starts_group = true;
        while (i < end) {
            const size_t to = walk(model, i, end, moments->centre + 1);
            if (to > i) {
                runs = arena_grow(arena, runs, *count, &capacity, sizeof *runs);
                runs[(*count)++] = (struct run){ i, to, starts_group };
                moments->n += to - i;
                starts_group = false;
            }
            i = to + 1 < end ? to + 1 : end; /* what stopped the walk is missing */
        }
    }
    for (size_t j = 1; j < model->k + 2 && moments->n > 0; j++) {
        moments->centre[j] /= (double)moments->n;
    }
    return runs;
}

static void row_of(const struct gls_model *model, const struct gls_moments *moments, size_t i,
                   double r[])
{
    r[0] = 1.0;
    for (size_t j = 0; j < model->k; j++) {
        r[1 + j] = model->x[i * model->k + j] - moments->centre[1 + j];
    }
    r[1 + model->k] = model->y[i] - moments->centre[1 + model->k];
}

static void add_product(double sum[], const double r[], size_t q, double sign)
{
    for (size_t i = 0; i < q; i++) {
        for (size_t j = 0; j <= i; j++) {
            sum[gls_place(i, j)] += sign * (r[i] * r[j]);
        }
    }
}

/* The pairs of one run, one step apart: everything but their ends.  m = k + 1 columns move, the
 * constant doesn't: its products are plain sums.  Inlined for a known m. */
INLINE void add_steps(struct gls_neighbours *pairs, const struct gls_model *model,
                      const double centre[], const struct run *run, size_t m)
{
    double sums[GLS_MOST] = { 0.0 };
    double before[GLS_PRODUCTS] = { 0.0 };
    double changes[GLS_PRODUCTS] = { 0.0 };
    double r[GLS_MOST];
    const double *x = model->x + run->from * (m - 1);
    for (size_t j = 0; j + 1 < m; j++) {
        r[j] = x[j] - centre[1 + j];
    }
    r[m - 1] = model->y[run->from] - centre[m];
    for (size_t t = run->from + 1; t < run->to; t++) {
        double d[GLS_MOST];
        x += m - 1;
        for (size_t j = 0; j < m; j++) {
            const double now = (j + 1 < m ? x[j] : model->y[t]) - centre[1 + j];
            d[j] = now - r[j];
            sums[j] += r[j];
        }
        for (size_t i = 0; i < m; i++) {
            for (size_t j = 0; j <= i; j++) {
                before[gls_place(i, j)] += r[i] * r[j];
                changes[gls_place(i, j)] += d[i] * d[j];
            }
        }
        for (size_t j = 0; j < m; j++) {
            r[j] += d[j];
        }
    }
    pairs->before[0] += (double)(run->to - run->from - 1);
    for (size_t i = 0; i < m; i++) {
        pairs->before[gls_place(i + 1, 0)] += sums[i];
        for (size_t j = 0; j <= i; j++) {
            pairs->before[gls_place(i + 1, j + 1)] += before[gls_place(i, j)];
            pairs->changes[gls_place(i + 1, j + 1)] += changes[gls_place(i, j)];
        }
    }
}

static struct gls_neighbours *pairs_of(struct arena *arena, struct gls_moments *moments,
                                       size_t *capacity, size_t steps)
{
    for (size_t i = moments->gap_count; i-- > 0;) {
        if (moments->gaps[i].steps == steps) {
            return &moments->gaps[i];
        }
    }
    moments->gaps =
        arena_grow(arena, moments->gaps, moments->gap_count, capacity, sizeof *moments->gaps);
    struct gls_neighbours *pairs = &moments->gaps[moments->gap_count++];
    *pairs = (struct gls_neighbours){ .steps = steps };
    return pairs;
}

/* One pair of rows, s before t. */
static void add_jump(struct gls_neighbours *pairs, const double before[], const double after[],
                     size_t q)
{
    double change[GLS_MOST];
    for (size_t j = 0; j < q; j++) {
        change[j] = after[j] - before[j];
    }
    pairs->count += 1.0;
    add_product(pairs->changes, change, q, 1.0);
    add_product(pairs->before, before, q, 1.0);
    add_product(pairs->ends, after, q, 1.0);
    add_product(pairs->ends, before, q, -1.0);
}

/* The pairs inside a run of two steps or more, whose end rows are given. */
static void add_run(struct gls_neighbours *pairs, const struct gls_model *model,
                    const double centre[], const struct run *run, const double first[],
                    const double last[])
{
    const size_t q = model->k + 2;
    pairs->count += (double)(run->to - run->from - 1);
    add_product(pairs->ends, last, q, 1.0);
    add_product(pairs->ends, first, q, -1.0);
    switch (model->k) {
    case 0: add_steps(pairs, model, centre, run, 1); break;
    case 1: add_steps(pairs, model, centre, run, 2); break;
    case 2: add_steps(pairs, model, centre, run, 3); break;
    case 3: add_steps(pairs, model, centre, run, 4); break;
    default: add_steps(pairs, model, centre, run, q - 1); break;
    }
}

struct gls_moments *gls_moments_make(struct arena *arena, const struct gls_model *model)
{
    assert(model->k <= GLS_COLUMNS);
    /* Without columns x may be NULL; it is stepped by 0 then, and never read. */
    struct gls_model with_x = *model;
    with_x.x = model->k > 0 ? model->x : model->y;
    struct gls_moments *moments = ARENA_ARRAY(arena, struct gls_moments, 1);
    const size_t q = model->k + 2;
    moments->k = model->k;
    size_t run_count = 0;
    const struct run *runs = find_runs(arena, &with_x, moments, &run_count);
    double first[GLS_MOST];
    double last[GLS_MOST] = { 0.0 };
    size_t last_step = 0;
    size_t capacity = 1;
    moments->gaps = ARENA_ARRAY(arena, struct gls_neighbours, capacity);
    for (size_t i = 0; i < run_count; i++) {
        row_of(&with_x, moments, runs[i].from, first);
        if (runs[i].starts_group) {
            add_product(moments->firsts, first, q, 1.0);
        } else {
            add_jump(pairs_of(arena, moments, &capacity, runs[i].from - last_step), last, first, q);
        }
        last_step = runs[i].to - 1;
        row_of(&with_x, moments, last_step, last);
        if (runs[i].to - runs[i].from > 1) {
            add_run(pairs_of(arena, moments, &capacity, 1), &with_x, moments->centre, &runs[i],
                    first, last);
        }
    }
    return moments;
}
