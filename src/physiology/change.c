/* physiology/change.c: by how much bests changed from one window to the next. */
#include "physiology/change.h"

#include "maths/distributions.h"

#include <math.h>

/* Half the width of a 90 % interval, in standard deviations. */
static const double NINETY = 1.6448536269514722;

/* ---- one window ---- */

struct window {
    size_t n;
    size_t n_marked;
    size_t best; /* index */
};

static bool is_in(const struct change_effort *effort, int64_t from, int64_t to)
{
    return effort->day >= from && effort->day < to;
}

/* The earlier of equal efforts. */
static bool is_better(const struct change_effort *a, const struct change_effort *b)
{
    return a->power_w > b->power_w || (!(a->power_w < b->power_w) && a->day < b->day);
}

static struct window look(const struct change_ask *ask, int64_t from, int64_t to, bool marked_only)
{
    struct window window = { 0 };
    for (size_t i = 0; i < ask->n; i++) {
        const struct change_effort *effort = &ask->efforts[i];
        if (!is_in(effort, from, to) || (marked_only && !effort->marked)) {
            continue;
        }
        if (window.n == 0 || is_better(effort, &ask->efforts[window.best])) {
            window.best = i;
        }
        window.n++;
        window.n_marked += effort->marked ? 1 : 0;
    }
    return window;
}

/* ---- errors ---- */

/* Typical error of one effort, as a ratio. */
static double typical_error(const struct change_ask *ask, const struct bests_change *change,
                            const struct limits *limits)
{
    const double *v = limits->value;
    double error = v[change->by_tests ? LIMIT_CHANGE_ERROR_TEST_PCT : LIMIT_CHANGE_ERROR_FIELD_PCT];
    error *= ask->first_year ? v[LIMIT_CHANGE_FIRST_RATIO] : 1.0;
    error *= change->first_retest ? v[LIMIT_CHANGE_FIRST_RATIO] : 1.0;
    return error / 100.0;
}

static bool is_other_meter(const struct change_ask *ask, size_t a, size_t b)
{
    const int64_t first = ask->efforts[a].meter;
    const int64_t second = ask->efforts[b].meter;
    return !ask->meters_checked && first != 0 && second != 0 && first != second;
}

static void set_interval(struct bests_change *change)
{
    change->low = change->ratio - NINETY * change->sd;
    change->high = change->ratio + NINETY * change->sd;
}

/* ---- a line through tests ---- */

/* ln power of all marked tests from the earlier window on, against the day, each with the same
 * error; the change is the line's over the days between the middles of the windows. */
static void by_trend(const struct change_ask *ask, double error, struct bests_change *change)
{
    double n = 0.0;
    double sum_t = 0.0;
    double sum_y = 0.0;
    for (size_t i = 0; i < ask->n; i++) {
        if (ask->efforts[i].marked && is_in(&ask->efforts[i], ask->before_from, ask->recent_to)) {
            n += 1.0;
            sum_t += (double)ask->efforts[i].day;
            sum_y += log(ask->efforts[i].power_w);
        }
    }
    const double mean_t = sum_t / n;
    const double mean_y = sum_y / n;
    double tt = 0.0;
    double ty = 0.0;
    for (size_t i = 0; i < ask->n; i++) {
        if (ask->efforts[i].marked && is_in(&ask->efforts[i], ask->before_from, ask->recent_to)) {
            const double t = (double)ask->efforts[i].day - mean_t;
            tt += t * t;
            ty += t * (log(ask->efforts[i].power_w) - mean_y);
        }
    }
    const double days =
        (double)(ask->recent_from + ask->recent_to - ask->before_from - ask->before_to) / 2.0;
    change->ratio = days * ty / tt;
    change->sd = days * error / sqrt(tt);
}

/* ---- the change ---- */

static void by_difference(const struct change_ask *ask, double error, struct bests_change *change)
{
    double e_new = 0.0;
    double v_new = 0.0;
    double e_old = 0.0;
    double v_old = 0.0;
    distributions_normal_largest(change->n_recent, &e_new, &v_new);
    distributions_normal_largest(change->n_before, &e_old, &v_old);
    change->ratio =
        log(ask->efforts[change->best_recent].power_w / ask->efforts[change->best_before].power_w) -
        error * (e_new - e_old);
    change->sd = error * sqrt(v_new + v_old);
}

struct bests_change change_of(const struct change_ask *ask, const struct limits *limits)
{
    const double none = (double)NAN;
    struct bests_change change = { .ratio = none, .sd = none, .low = none, .high = none };
    struct window before = look(ask, ask->before_from, ask->before_to, false);
    struct window recent = look(ask, ask->recent_from, ask->recent_to, false);
    change.by_tests = before.n_marked > 0 && recent.n_marked > 0;
    if (change.by_tests) {
        /* A test is compared with tests: how many chance efforts lie beside it says nothing. */
        before = look(ask, ask->before_from, ask->before_to, true);
        recent = look(ask, ask->recent_from, ask->recent_to, true);
    }
    change.n_before = before.n;
    change.n_recent = recent.n;
    change.best_before = before.best;
    change.best_recent = recent.best;
    if (recent.n == 0) {
        change.state = CHANGE_NOT_TESTED;
        return change;
    }
    const double least = limits->value[LIMIT_CHANGE_EFFORTS];
    if (!change.by_tests && ((double)before.n < least || (double)recent.n < least)) {
        change.state = CHANGE_TOO_FEW;
        return change;
    }
    const struct window life = look(ask, INT64_MIN, ask->recent_to, true);
    change.first_retest = change.by_tests && life.n == 2;
    change.other_meter = is_other_meter(ask, before.best, recent.best);
    const double error = typical_error(ask, &change, limits);
    const struct window tests = look(ask, ask->before_from, ask->recent_to, true);
    change.by_trend = change.by_tests && (double)tests.n >= limits->value[LIMIT_CHANGE_TREND_TESTS];
    if (change.by_trend) {
        by_trend(ask, error, &change);
    } else {
        by_difference(ask, error, &change);
    }
    if (change.other_meter) {
        /* Each of the two is off by an error of its own. */
        const double meter = limits->value[LIMIT_METER_TRUENESS_PCT] / 100.0;
        change.sd = sqrt(change.sd * change.sd + 2.0 * meter * meter);
    }
    set_interval(&change);
    return change;
}

struct bests_change change_joint(const struct bests_change changes[], size_t n,
                                 const struct limits *limits)
{
    const double none = (double)NAN;
    const double shared = limits->value[LIMIT_CHANGE_SHARED_RATIO];
    struct bests_change joint = {
        .state = CHANGE_NOT_TESTED, .ratio = none, .sd = none, .low = none, .high = none
    };
    double used = 0.0;
    double sum = 0.0;
    double sum_sd = 0.0;
    double sum_variance = 0.0;
    for (size_t i = 0; i < n; i++) {
        const struct bests_change *change = &changes[i];
        if (change->state == CHANGE_TOO_FEW && joint.state != CHANGE_KNOWN) {
            /* The duration that was tried most is nearest to known. */
            const bool more = joint.state == CHANGE_NOT_TESTED ||
                              change->n_recent + change->n_before > joint.n_recent + joint.n_before;
            joint.state = CHANGE_TOO_FEW;
            joint.n_before = more ? change->n_before : joint.n_before;
            joint.n_recent = more ? change->n_recent : joint.n_recent;
        }
        if (change->state != CHANGE_KNOWN) {
            continue;
        }
        joint.state = CHANGE_KNOWN;
        joint.n_before =
            used > 0.0 && joint.n_before < change->n_before ? joint.n_before : change->n_before;
        joint.n_recent =
            used > 0.0 && joint.n_recent < change->n_recent ? joint.n_recent : change->n_recent;
        joint.first_retest = joint.first_retest || change->first_retest;
        joint.other_meter = joint.other_meter || change->other_meter;
        joint.by_tests = (joint.by_tests || !(used > 0.0)) && change->by_tests;
        joint.by_trend = (joint.by_trend || !(used > 0.0)) && change->by_trend;
        used += 1.0;
        sum += change->ratio;
        sum_sd += change->sd;
        sum_variance += change->sd * change->sd;
    }
    if (joint.state == CHANGE_KNOWN) {
        joint.ratio = sum / used;
        joint.sd = sqrt((1.0 - shared) * sum_variance + shared * sum_sd * sum_sd) / used;
        set_interval(&joint);
    }
    return joint;
}

double change_chance_better(const struct bests_change *change)
{
    return change->state == CHANGE_KNOWN ? distributions_normal_cdf(change->ratio / change->sd)
                                         : (double)NAN;
}

bool change_is_stalled(const struct bests_change *change, const struct limits *limits)
{
    const double *v = limits->value;
    return change->state == CHANGE_KNOWN && !change->other_meter &&
           (double)change->n_before >= v[LIMIT_STALLED_EFFORTS] &&
           (double)change->n_recent >= v[LIMIT_STALLED_EFFORTS] &&
           change->high < log1p(v[LIMIT_STALLED_GAIN_PCT] / 100.0);
}
