/* physiology/power_duration.c: critical power from all-out efforts. */
#include "physiology/power_duration.h"

#include "maths/distributions.h"
#include "maths/least_squares.h"
#include "maths/regression.h"

#include <math.h>
#include <string.h>

const char *duration_form_name(enum duration_form form)
{
    static const char *const names[DURATION_FORMS] = {
        [DURATION_WORK] = "work against time",
        [DURATION_INVERSE] = "power against one over time",
        [DURATION_HYPERBOLA] = "time against power",
        [DURATION_PEAK] = "time against power, with a highest power",
    };
    return names[form];
}

const char *duration_said_name(enum duration_said said)
{
    static const char *const names[] = { [DURATION_SAID_EVIDENCE] = "evidence",
                                         [DURATION_SAID_TEST] = "test",
                                         [DURATION_SAID_SPENT] = "spent" };
    return names[said];
}

const char *duration_end_name(enum duration_end end)
{
    static const char *const names[] = {
        [DURATION_KNOWN] = "known",
        [DURATION_TOO_FEW] = "too-few",
        [DURATION_NOT_MAXIMAL] = "not-maximal",
        [DURATION_OVERLAP] = "overlap",
        [DURATION_TOO_SHORT] = "too-short",
        [DURATION_TOO_ALIKE] = "too-alike",
        [DURATION_TOO_WIDE] = "too-wide",
        [DURATION_NOT_FALLING] = "not-falling",
        [DURATION_NOT_TOLD] = "not-told",
    };
    return names[end];
}

const char *duration_lack_name(enum duration_lack lack)
{
    static const char *const names[] = {
        [DURATION_LACKS_NOTHING] = "nothing", [DURATION_LACKS_EFFORTS] = "efforts",
        [DURATION_LACKS_SHORT] = "short",     [DURATION_LACKS_FALL] = "fall",
        [DURATION_LACKS_END] = "end",         [DURATION_LACKS_CRITICAL] = "critical",
        [DURATION_LACKS_BEND] = "bend",
    };
    return names[lack];
}

size_t duration_form_least(enum duration_form form)
{
    return form == DURATION_PEAK ? 5 : 2;
}

double power_duration_lasts_s(double power_w, double cp_w, double w_prime_j)
{
    return power_w > cp_w ? w_prime_j / (power_w - cp_w) : (double)INFINITY;
}

/* ---- the forms ---- */

static struct duration_fit lacking(enum duration_lack lack, size_t n)
{
    const double none = (double)NAN;
    return (struct duration_fit){ .lack = lack,
                                  .n = n,
                                  .cp_w = none,
                                  .cp_se_w = none,
                                  .w_prime_j = none,
                                  .w_prime_se_j = none,
                                  .peak_w = none,
                                  .peak_se_w = none,
                                  .residual_squares = none,
                                  .r_squared = none };
}

static struct duration_fit fitted(size_t n)
{
    struct duration_fit fit = lacking(DURATION_LACKS_NOTHING, n);
    fit.is_fitted = true;
    return fit;
}

/* Work against time, or power against one over time: CP and W' are the two ends of a line. */
static struct duration_fit fit_line(struct arena *arena, enum duration_form form,
                                    const struct duration_effort efforts[], size_t n)
{
    double *x = arena_alloc(arena, n, sizeof *x);
    double *y = arena_alloc(arena, n, sizeof *y);
    for (size_t i = 0; i < n; i++) {
        const double t = efforts[i].duration_s;
        x[i] = form == DURATION_WORK ? t : 1.0 / t;
        y[i] = form == DURATION_WORK ? efforts[i].mean_w * t : efforts[i].mean_w;
    }
    const struct regression_line line = regression_fit_line(x, y, n);
    if (!isfinite(line.slope)) {
        return lacking(DURATION_LACKS_EFFORTS, n); /* of different length */
    }
    const bool by_work = form == DURATION_WORK;
    struct duration_fit fit = fitted(n);
    fit.cp_w = by_work ? line.slope : line.intercept;
    fit.cp_se_w = by_work ? line.slope_se : line.intercept_se;
    fit.w_prime_j = by_work ? line.intercept : line.slope;
    fit.w_prime_se_j = by_work ? line.intercept_se : line.slope_se;
    fit.residual_squares = line.residual_squares;
    fit.r_squared = line.r_squared;
    return fit;
}

struct powers {
    const double *w;
    size_t n;
};

/* t = W' / (P - CP) - W' / (peak - CP); without a third parameter its term is left out. */
static bool lasting(const double p[], const struct powers *powers, bool has_peak, double value[],
                    double slope[])
{
    const size_t k = has_peak ? 3 : 2;
    const double rest = has_peak ? 1.0 / (p[2] - p[0]) : 0.0;
    for (size_t i = 0; i < powers->n; i++) {
        const double share = 1.0 / (powers->w[i] - p[0]);
        if (!(share > 0.0) || !isfinite(rest)) {
            return false;
        }
        if (value != NULL) {
            value[i] = p[1] * (share - rest);
        }
        if (slope != NULL) {
            slope[i * k] = p[1] * (share * share - rest * rest);
            slope[i * k + 1] = share - rest;
            if (has_peak) {
                slope[i * k + 2] = p[1] * rest * rest;
            }
        }
    }
    return true;
}

static bool lasting_two(const double p[], void *with, double value[], double slope[])
{
    return lasting(p, with, false, value, slope);
}

static bool lasting_three(const double p[], void *with, double value[], double slope[])
{
    return lasting(p, with, true, value, slope);
}

static void most_and_least(const double x[], size_t n, double *least, double *most)
{
    *least = x[0];
    *most = x[0];
    for (size_t i = 1; i < n; i++) {
        *least = fmin(*least, x[i]);
        *most = fmax(*most, x[i]);
    }
}

/* The fit of the least squares from several beginnings of the highest power, in hardest efforts:
 * from the first alone the search stood still on efforts made by the form itself. */
static enum least_squares_end search(struct arena *arena, struct least_squares_problem *problem,
                                     double start[3], double most_w, struct least_squares_fit *best)
{
    static const double BEGINNINGS[] = { 1.5, 1.1, 2.0, 3.0 };
    const size_t n = problem->k == 3 ? sizeof BEGINNINGS / sizeof BEGINNINGS[0] : 1;
    enum least_squares_end end = LEAST_SQUARES_NO_END;
    for (size_t i = 0; i < n; i++) {
        struct least_squares_fit found;
        start[2] = most_w * BEGINNINGS[i];
        const enum least_squares_end here = least_squares_fit(arena, problem, &found);
        const bool is_fitted = here == LEAST_SQUARES_FITTED;
        if (is_fitted &&
            (end != LEAST_SQUARES_FITTED || found.residual_squares < best->residual_squares)) {
            *best = found;
        }
        end = is_fitted || end != LEAST_SQUARES_FITTED ? here : end;
    }
    return end;
}

/* The forms with time on the left, from where the line through one over time lies. */
static struct duration_fit fit_curve(struct arena *arena, enum duration_form form,
                                     const struct duration_effort efforts[], size_t n)
{
    const bool has_peak = form == DURATION_PEAK;
    const struct duration_fit line = fit_line(arena, DURATION_INVERSE, efforts, n);
    if (!line.is_fitted || !(line.w_prime_j > 0.0)) {
        return lacking(line.is_fitted ? DURATION_LACKS_FALL : line.lack, n);
    }
    double *w = arena_alloc(arena, n, sizeof *w);
    double *t = arena_alloc(arena, n, sizeof *t);
    for (size_t i = 0; i < n; i++) {
        w[i] = efforts[i].mean_w;
        t[i] = efforts[i].duration_s;
    }
    double least;
    double most;
    most_and_least(w, n, &least, &most);
    /* CP stays below every effort, the highest power above every one: by a thousandth. */
    const double low[3] = { 0.0, 0.0, most * 1.001 };
    const double high[3] = { least * 0.999, (double)INFINITY, most * 20.0 };
    double start[3] = { fmin(fmax(line.cp_w, least * 0.5), least * 0.97), line.w_prime_j, 0.0 };
    struct powers powers = { w, n };
    struct least_squares_problem problem = {
        .model = has_peak ? lasting_three : lasting_two,
        .with = &powers,
        .n = n,
        .k = has_peak ? 3 : 2,
        .y = t,
        .start = start,
        .low = low,
        .high = high,
    };
    struct least_squares_fit found = { 0 };
    if (search(arena, &problem, start, most, &found) != LEAST_SQUARES_FITTED) {
        return lacking(DURATION_LACKS_END, n);
    }
    if (found.at_bound[0] || found.at_bound[1]) {
        return lacking(DURATION_LACKS_CRITICAL, n);
    }
    if (has_peak && found.at_bound[2]) {
        return lacking(DURATION_LACKS_BEND, n);
    }
    struct duration_fit fit = fitted(n);
    fit.cp_w = found.parameter[0];
    fit.cp_se_w = found.se[0];
    fit.w_prime_j = found.parameter[1];
    fit.w_prime_se_j = found.se[1];
    fit.peak_w = has_peak ? found.parameter[2] : (double)NAN;
    fit.peak_se_w = has_peak ? found.se[2] : (double)NAN;
    fit.residual_squares = found.residual_squares;
    return fit;
}

struct duration_fit power_duration_fit(struct arena *arena, enum duration_form form,
                                       const struct duration_effort efforts[], size_t n)
{
    if (n < duration_form_least(form)) {
        return lacking(DURATION_LACKS_EFFORTS, n);
    }
    return form == DURATION_WORK || form == DURATION_INVERSE ? fit_line(arena, form, efforts, n)
                                                             : fit_curve(arena, form, efforts, n);
}

/* ---- the form that decides: ln P = ln(CP + W' / t) + error of one spread ---- */

/* CP and W' as two numbers that are searched one at a time. */
enum which { SEARCH_CP, SEARCH_W_PRIME };

struct deciding {
    const struct duration_effort *efforts;
    size_t n;
    double most_cp_w;
    double most_w_prime_j;
};

static double squares(const struct deciding *d, double cp, double w_prime)
{
    double sum = 0.0;
    for (size_t i = 0; i < d->n; i++) {
        const double model = cp + w_prime / d->efforts[i].duration_s;
        const double error = log(d->efforts[i].mean_w / model);
        sum += error * error;
    }
    return sum;
}

/* The place where f is least between 0 and `high`, by golden section; *least gets f there. */
typedef double function_of_one(const void *with, double at);
static double place_of_least(function_of_one *f, const void *with, double high, double *least)
{
    static const double GOLDEN = 0.6180339887498949;
    double low = 0.0;
    double a = high - GOLDEN * (high - low);
    double b = low + GOLDEN * (high - low);
    double at_a = f(with, a);
    double at_b = f(with, b);
    for (int step = 0; step < 60; step++) {
        if (at_a <= at_b) {
            high = b;
            b = a;
            at_b = at_a;
            a = high - GOLDEN * (high - low);
            at_a = f(with, a);
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + GOLDEN * (high - low);
            at_b = f(with, b);
        }
    }
    *least = fmin(at_a, at_b);
    return (low + high) / 2.0;
}

struct held {
    const struct deciding *deciding;
    enum which which;
    double at;
};

static double squares_of_other(const void *with, double other)
{
    const struct held *held = with;
    return held->which == SEARCH_CP ? squares(held->deciding, held->at, other)
                                    : squares(held->deciding, other, held->at);
}

/* The least sum with one of the two held; *other gets the other.  (ln x)^2 of a line is convex as
 * long as no model is 2.7 times its effort, so the sum has one hollow there. */
static double least_with(const struct deciding *d, enum which held, double at, double *other)
{
    const struct held one = { d, held, at };
    double least;
    *other = place_of_least(squares_of_other, &one,
                            held == SEARCH_CP ? d->most_w_prime_j : d->most_cp_w, &least);
    return least;
}

static double least_at_cp(const void *with, double cp)
{
    double w_prime;
    return least_with(with, SEARCH_CP, cp, &w_prime);
}

/* Where the least sum reaches `line`, between a place below it and one above it. */
static double crossing(const struct deciding *d, enum which which, double line, double inside,
                       double outside)
{
    for (int step = 0; step < 50; step++) {
        const double middle = (inside + outside) / 2.0;
        double other;
        if (least_with(d, which, middle, &other) <= line) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    return (inside + outside) / 2.0;
}

/* The profile interval of one of the two; false where it has no end within what is possible. */
static bool interval_of(const struct deciding *d, enum which which, double best, double line,
                        double *low, double *high)
{
    const double most = which == SEARCH_CP ? d->most_cp_w : d->most_w_prime_j;
    double other;
    if (least_with(d, which, 0.0, &other) <= line || least_with(d, which, most, &other) <= line) {
        return false;
    }
    *low = crossing(d, which, line, best, 0.0);
    *high = crossing(d, which, line, best, most);
    return true;
}

static void decide(struct power_duration *out, const struct duration_effort efforts[], size_t n,
                   const struct limits *limits)
{
    /* With all of an effort's work above it, CP would be nought. */
    struct deciding d = { .efforts = efforts, .n = n };
    for (size_t i = 0; i < n; i++) {
        d.most_cp_w = fmax(d.most_cp_w, efforts[i].mean_w);
        d.most_w_prime_j = fmax(d.most_w_prime_j, efforts[i].mean_w * efforts[i].duration_s);
    }
    double w_prime = 0.0;
    double least;
    const double cp = place_of_least(least_at_cp, &d, d.most_cp_w, &least);
    least = least_with(&d, SEARCH_CP, cp, &w_prime);
    const double prior = limits->value[LIMIT_CP_EFFORT_SD_PCT] / 100.0;
    const double prior_freedom = limits->value[LIMIT_CP_EFFORT_FREEDOM];
    const double freedom = prior_freedom + (double)n - 2.0;
    const double variance = (prior_freedom * prior * prior + least) / freedom;
    const double t = distributions_t_quantile(0.95, freedom);
    const double line = least + variance * t * t;
    out->effort_sd_ratio = sqrt(variance);
    out->cp_w = cp;
    out->w_prime_j = w_prime;
    if (!interval_of(&d, SEARCH_CP, cp, line, &out->cp_low_w, &out->cp_high_w) ||
        !interval_of(&d, SEARCH_W_PRIME, w_prime, line, &out->w_prime_low_j,
                     &out->w_prime_high_j)) {
        out->end = DURATION_NOT_TOLD;
    }
}

/* ---- which efforts ---- */

static bool is_before(const struct duration_effort *a, const struct duration_effort *b)
{
    if (a->duration_s < b->duration_s || a->duration_s > b->duration_s) {
        return a->duration_s < b->duration_s;
    }
    if (a->mean_w < b->mean_w || a->mean_w > b->mean_w) {
        return a->mean_w > b->mean_w;
    }
    if (a->day != b->day) {
        return a->day < b->day;
    }
    return a->ride != b->ride ? a->ride < b->ride : a->start_s < b->start_s;
}

/* By duration: a handful, so by insertion. */
static void put_in_order(struct duration_effort efforts[], size_t n)
{
    for (size_t i = 1; i < n; i++) {
        const struct duration_effort moved = efforts[i];
        size_t at = i;
        while (at > 0 && is_before(&moved, &efforts[at - 1])) {
            efforts[at] = efforts[at - 1];
            at--;
        }
        efforts[at] = moved;
    }
}

static bool shares_a_second(const struct duration_effort *a, const struct duration_effort *b)
{
    return a->ride == b->ride && (double)a->start_s < (double)b->start_s + b->duration_s &&
           (double)b->start_s < (double)a->start_s + a->duration_s;
}

static bool is_usable(const struct duration_effort *effort)
{
    return isfinite(effort->duration_s) && isfinite(effort->mean_w) && effort->duration_s >= 1.0 &&
           effort->mean_w > 0.0;
}

bool duration_effort_tells(const struct duration_effort *effort, const struct limits *limits)
{
    return effort->duration_s >= limits->value[LIMIT_TEST_MANY_LEAST_S] &&
           effort->duration_s <= limits->value[LIMIT_TEST_MANY_MOST_S];
}

/* Refusals that need no fit; DURATION_KNOWN if there is none. */
static enum duration_end refusal(struct power_duration *out, const struct duration_effort used[],
                                 size_t n, size_t n_ridden, const struct limits *limits)
{
    const size_t least = (size_t)limits->value[LIMIT_CP_EFFORTS];
    if (n < least) {
        return n_ridden >= least ? DURATION_NOT_MAXIMAL : DURATION_TOO_FEW;
    }
    out->shortest_s = used[0].duration_s;
    out->longest_s = used[n - 1].duration_s;
    out->first_day = used[0].day;
    out->last_day = used[0].day;
    for (size_t i = 0; i < n; i++) {
        out->first_day = used[i].day < out->first_day ? used[i].day : out->first_day;
        out->last_day = used[i].day > out->last_day ? used[i].day : out->last_day;
        for (size_t j = 0; j < i; j++) {
            if (shares_a_second(&used[i], &used[j])) {
                return DURATION_OVERLAP;
            }
        }
    }
    if (out->longest_s < limits->value[LIMIT_TEST_MANY_LONGEST_S]) {
        return DURATION_TOO_SHORT;
    }
    if (out->longest_s < limits->value[LIMIT_TEST_MANY_SPAN_RATIO] * out->shortest_s) {
        return DURATION_TOO_ALIKE;
    }
    if ((double)(out->last_day - out->first_day) > limits->value[LIMIT_CP_WINDOW_DAYS]) {
        return DURATION_TOO_WIDE;
    }
    return DURATION_KNOWN;
}

static void forget_numbers(struct power_duration *out)
{
    out->cp_w = out->cp_low_w = out->cp_high_w = (double)NAN;
    out->w_prime_j = out->w_prime_low_j = out->w_prime_high_j = (double)NAN;
    out->effort_sd_ratio = (double)NAN;
}

struct power_duration power_duration_read(struct arena *arena,
                                          const struct duration_effort efforts[], size_t n,
                                          const struct limits *limits)
{
    struct power_duration out = { .end = DURATION_TOO_FEW };
    out.shortest_s = out.longest_s = (double)NAN;
    forget_numbers(&out);
    for (size_t i = 0; i < DURATION_FORMS; i++) {
        out.forms[i] = lacking(DURATION_LACKS_EFFORTS, 0);
    }
    /* Those too short for CP stand before those of its length: one array serves both. */
    struct duration_effort *maximal = arena_alloc(arena, n + 1, sizeof *maximal);
    size_t n_maximal = 0;
    size_t n_ridden = 0;
    for (size_t i = 0; i < n; i++) {
        if (is_usable(&efforts[i])) {
            n_ridden += duration_effort_tells(&efforts[i], limits) ? 1 : 0;
            if (efforts[i].is_maximal &&
                efforts[i].duration_s <= limits->value[LIMIT_TEST_MANY_MOST_S]) {
                maximal[n_maximal++] = efforts[i];
            }
        }
    }
    put_in_order(maximal, n_maximal);
    size_t n_short = 0;
    while (n_short < n_maximal && !duration_effort_tells(&maximal[n_short], limits)) {
        n_short++;
    }
    const struct duration_effort *used = maximal + n_short;
    out.n = n_maximal - n_short;
    out.end = refusal(&out, used, out.n, n_ridden, limits);
    if (out.end != DURATION_KNOWN) {
        return out;
    }
    const bool sees_peak = maximal[0].duration_s <= limits->value[LIMIT_CP_PEAK_S];
    for (size_t i = 0; i < DURATION_PEAK; i++) {
        out.forms[i] = power_duration_fit(arena, (enum duration_form)i, used, out.n);
    }
    out.forms[DURATION_PEAK] = power_duration_fit(arena, DURATION_PEAK, maximal, n_maximal);
    if (!sees_peak && n_maximal >= duration_form_least(DURATION_PEAK)) {
        out.forms[DURATION_PEAK] = lacking(DURATION_LACKS_SHORT, n_maximal);
    }
    if (!(out.forms[DURATION_INVERSE].w_prime_j > 0.0)) {
        out.end = DURATION_NOT_FALLING;
        return out;
    }
    decide(&out, used, out.n, limits);
    if (out.end != DURATION_KNOWN) {
        forget_numbers(&out);
    }
    return out;
}

/* No harder than a longer one that is taken: who holds that power longer holds it as long too, so
 * it wasn't all-out, whatever the heart did.  A test is left to tell its own scatter. */
static bool is_outlasted(const struct duration_effort *effort, const struct duration_effort taken[],
                         size_t n)
{
    bool is = false;
    for (size_t i = 0; i < n && effort->said_by != DURATION_SAID_TEST; i++) {
        is = is || effort->mean_w <= taken[i].mean_w;
    }
    return is;
}

size_t power_duration_choose(const struct duration_effort efforts[], size_t n, int64_t to_day,
                             const struct limits *limits, struct duration_effort kept[])
{
    const double window = limits->value[LIMIT_CP_WINDOW_DAYS];
    size_t n_kept = 0;
    size_t n_able = 0;
    for (size_t i = 0; i < n; i++) {
        const double age = (double)(to_day - efforts[i].day);
        if (efforts[i].is_maximal && is_usable(&efforts[i]) && age > 0.0 && age <= window &&
            efforts[i].duration_s <= limits->value[LIMIT_TEST_MANY_MOST_S]) {
            kept[n_able++] = efforts[i];
        }
    }
    put_in_order(kept, n_able);
    /* From the longest down; of one duration the hardest stands first.  What is taken gathers at
     * the array's end. */
    size_t place = n_able;
    for (size_t end = n_able; end > 0;) {
        size_t from = end - 1;
        while (from > 0 && kept[end - 1].duration_s - kept[from - 1].duration_s < 0.1) {
            from--;
        }
        for (size_t i = from; i < end; i++) {
            bool is_free = !is_outlasted(&kept[i], kept + place, n_able - place);
            for (size_t j = place; j < n_able; j++) {
                is_free = is_free && !shares_a_second(&kept[i], &kept[j]);
            }
            if (is_free) {
                const struct duration_effort taken = kept[i];
                kept[--place] = taken;
                n_kept++;
                break;
            }
        }
        end = from;
    }
    memmove(kept, kept + place, n_kept * sizeof *kept);
    return n_kept;
}
