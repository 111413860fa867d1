/* physiology/change.c: by how much bests changed from one window to the next. */
#include "physiology/change.h"

#include "maths/distributions.h"

#include <math.h>

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

/* The check between an effort's meter and the one that all are put on the scale of; NULL if they
 * are one, or were not checked, or one isn't known. */
static const struct meter_link *link_of(const struct change_ask *ask, int64_t scale, int64_t meter)
{
    return scale == 0 || meter == 0 || scale == meter
               ? NULL
               : meter_link_find(ask->links, ask->n_links, scale, meter);
}

/* ln of the effort's power on that scale. */
static double log_power(const struct change_ask *ask, int64_t scale, size_t i)
{
    const struct change_effort *effort = &ask->efforts[i];
    const struct meter_link *link = link_of(ask, scale, effort->meter);
    return log(effort->power_w) - (link == NULL ? 0.0 : meter_link_ratio(link, effort->meter));
}

/* scale: a meter; 0 = as measured. */
static struct window look(const struct change_ask *ask, int64_t scale, int64_t from, int64_t to,
                          bool marked_only)
{
    struct window window = { 0 };
    double best = 0.0;
    for (size_t i = 0; i < ask->n; i++) {
        const struct change_effort *effort = &ask->efforts[i];
        if (!is_in(effort, from, to) || (marked_only && !effort->marked)) {
            continue;
        }
        const double its = log_power(ask, scale, i);
        /* The earlier of equal efforts. */
        if (window.n == 0 || its > best ||
            (!(its < best) && effort->day < ask->efforts[window.best].day)) {
            window.best = i;
            best = its;
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

/* The typical errors are those of others: the rider's own is known as badly as a spread of so many
 * degrees of freedom. */
static void set_interval(struct bests_change *change, const struct limits *limits)
{
    const double ninety = distributions_t_quantile(0.95, limits->value[LIMIT_CHANGE_ERROR_FREEDOM]);
    change->low = change->ratio - ninety * change->sd;
    change->high = change->ratio + ninety * change->sd;
}

/* ---- a line through tests ---- */

/* ln power of all marked tests from the earlier window on, against the day, each with the same
 * error; the change is the line's over the days between the middles of the windows. */
struct line {
    double mean_t;
    double tt;   /* sum of squared distances from it */
    double days; /* between the middles of the windows */
};

static bool is_on_line(const struct change_ask *ask, size_t i)
{
    return ask->efforts[i].marked && is_in(&ask->efforts[i], ask->before_from, ask->recent_to);
}

static struct line line_of(const struct change_ask *ask)
{
    double n = 0.0;
    double sum_t = 0.0;
    for (size_t i = 0; i < ask->n; i++) {
        n += is_on_line(ask, i) ? 1.0 : 0.0;
        sum_t += is_on_line(ask, i) ? (double)ask->efforts[i].day : 0.0;
    }
    struct line line = { .mean_t = sum_t / n };
    line.days =
        (double)(ask->recent_from + ask->recent_to - ask->before_from - ask->before_to) / 2.0;
    for (size_t i = 0; i < ask->n; i++) {
        const double t = (double)ask->efforts[i].day - line.mean_t;
        line.tt += is_on_line(ask, i) ? t * t : 0.0;
    }
    return line;
}

/* By how much the change rises with the logarithm of that effort. */
static double weight_of(const struct change_ask *ask, const struct bests_change *change,
                        const struct line *line, size_t i)
{
    if (change->by_trend) {
        return is_on_line(ask, i)
                   ? line->days * ((double)ask->efforts[i].day - line->mean_t) / line->tt
                   : 0.0;
    }
    return (i == change->best_recent ? 1.0 : 0.0) - (i == change->best_before ? 1.0 : 0.0);
}

static void by_trend(const struct change_ask *ask, int64_t scale, const struct line *line,
                     double error, struct bests_change *change)
{
    double sum = 0.0;
    double n = 0.0;
    for (size_t i = 0; i < ask->n; i++) {
        sum += is_on_line(ask, i) ? log_power(ask, scale, i) : 0.0;
        n += is_on_line(ask, i) ? 1.0 : 0.0;
    }
    change->ratio = 0.0;
    for (size_t i = 0; i < ask->n; i++) {
        if (is_on_line(ask, i)) {
            change->ratio += weight_of(ask, change, line, i) * (log_power(ask, scale, i) - sum / n);
        }
    }
    change->sd = line->days * error / sqrt(line->tt);
}

/* ---- the change ---- */

static void by_difference(const struct change_ask *ask, int64_t scale, double error,
                          struct bests_change *change)
{
    double e_new = 0.0;
    double v_new = 0.0;
    double e_old = 0.0;
    double v_old = 0.0;
    distributions_normal_largest(change->n_recent, &e_new, &v_new);
    distributions_normal_largest(change->n_before, &e_old, &v_old);
    change->ratio = log_power(ask, scale, change->best_recent) -
                    log_power(ask, scale, change->best_before) - error * (e_new - e_old);
    change->sd = error * sqrt(v_new + v_old);
}

/* ---- meters ---- */

/* The weight of all efforts of the meter of effort i; 0 unless i is the first of them. */
static double meter_weight(const struct change_ask *ask, const struct bests_change *change,
                           const struct line *line, size_t i)
{
    const int64_t meter = ask->efforts[i].meter;
    double sum = 0.0;
    for (size_t k = 0; k < ask->n; k++) {
        const double weight = weight_of(ask, change, line, k);
        if (ask->efforts[k].meter == meter && fabs(weight) > 0.0) {
            if (k < i) {
                return 0.0;
            }
            sum += weight;
        }
    }
    return fabs(sum) > 1e-9 ? sum : 0.0; /* those of a line cancel out */
}

/* Each meter is off by an error of its own (trueness); those that were checked against the scale
 * are off by that of the scale, and by what the check leaves open. */
static void add_meters(const struct change_ask *ask, int64_t scale, const struct line *line,
                       const struct limits *limits, struct bests_change *change)
{
    const double unchecked = meter_link_unchecked_sd(limits) / sqrt(2.0);
    double together = 0.0;
    double loose = 0.0;
    double open = 0.0;
    size_t n = 0;
    for (size_t i = 0; i < ask->n; i++) {
        const int64_t meter = ask->efforts[i].meter;
        if (meter == 0 || !(fabs(weight_of(ask, change, line, i)) > 0.0)) {
            continue;
        }
        const double weight = meter_weight(ask, change, line, i);
        const struct meter_link *link = link_of(ask, scale, meter);
        n += fabs(weight) > 0.0 ? 1 : 0;
        if (link == NULL && meter != scale) {
            loose += weight * weight;
            continue;
        }
        together += weight;
        if (link != NULL && fabs(weight) > 0.0) {
            const double sd = weight * meter_link_sd(link, limits);
            open += sd * sd;
            change->meter_ratio += weight * meter_link_ratio(link, meter);
            change->link = link;
        }
    }
    if (n < 2) { /* one meter, or the others aren't known */
        change->link = NULL;
        change->meter_ratio = 0.0;
        return;
    }
    change->other_meter = loose > 0.0;
    loose += change->other_meter ? together * together : 0.0;
    change->meter_sd = sqrt(open + loose * unchecked * unchecked);
    change->sd = sqrt(change->sd * change->sd + change->meter_sd * change->meter_sd);
}

/* ---- all of it ---- */

struct bests_change change_of(const struct change_ask *ask, const struct limits *limits)
{
    const double none = (double)NAN;
    struct bests_change change = { .ratio = none, .sd = none, .low = none, .high = none };
    struct window before = look(ask, 0, ask->before_from, ask->before_to, false);
    struct window recent = look(ask, 0, ask->recent_from, ask->recent_to, false);
    /* A test is compared with tests: how many chance efforts lie beside it says nothing. */
    change.by_tests = before.n_marked > 0 && recent.n_marked > 0;
    recent = look(ask, 0, ask->recent_from, ask->recent_to, change.by_tests);
    const int64_t scale = recent.n == 0 ? 0 : ask->efforts[recent.best].meter;
    before = look(ask, scale, ask->before_from, ask->before_to, change.by_tests);
    recent = look(ask, scale, ask->recent_from, ask->recent_to, change.by_tests);
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
    const struct window life = look(ask, 0, INT64_MIN, ask->recent_to, true);
    change.first_retest = change.by_tests && life.n == 2;
    const double error = typical_error(ask, &change, limits);
    const struct window tests = look(ask, 0, ask->before_from, ask->recent_to, true);
    change.by_trend = change.by_tests && (double)tests.n >= limits->value[LIMIT_CHANGE_TREND_TESTS];
    const struct line line = change.by_trend ? line_of(ask) : (struct line){ 0 };
    if (change.by_trend) {
        by_trend(ask, scale, &line, error, &change);
    } else {
        by_difference(ask, scale, error, &change);
    }
    add_meters(ask, scale, &line, limits, &change);
    set_interval(&change, limits);
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
    double sum_meter_sd = 0.0;
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
        joint.link = joint.link == NULL ? change->link : joint.link;
        joint.meter_ratio += change->meter_ratio;
        sum += change->ratio;
        sum_meter_sd += change->meter_sd;
        const double variance = change->sd * change->sd - change->meter_sd * change->meter_sd;
        sum_sd += sqrt(fmax(variance, 0.0));
        sum_variance += fmax(variance, 0.0);
    }
    if (joint.state == CHANGE_KNOWN) {
        joint.ratio = sum / used;
        joint.sd = sqrt((1.0 - shared) * sum_variance + shared * sum_sd * sum_sd) / used;
        /* A meter is off alike over all durations. */
        joint.meter_ratio /= used;
        joint.meter_sd = sum_meter_sd / used;
        joint.sd = sqrt(joint.sd * joint.sd + joint.meter_sd * joint.meter_sd);
        set_interval(&joint, limits);
    }
    return joint;
}

double change_chance_better(const struct bests_change *change, const struct limits *limits)
{
    return change->state == CHANGE_KNOWN
               ? distributions_t_cdf(change->ratio / change->sd,
                                     limits->value[LIMIT_CHANGE_ERROR_FREEDOM])
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
