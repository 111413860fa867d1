/* coaching/base_trend.c: heart rate at base-test power, over weeks. */
#include "coaching/base_trend.h"

#include "coaching/words/trend_words.h"
#include "maths/gls.h"
#include "maths/gls_mixture.h"
#include "maths/robust.h"

#include <math.h>

enum { MONTH_DAYS = 28 };
static const double LEVEL = 0.9;
/* To one: from 10 on evidence is strong (Jeffreys 1961, Theory of Probability, appendix B, from
 * memory).  Part of the method, not a limit of coaching: what it costs and what it saves was
 * measured with it (docs/honesty.md). */
static const double STEP_ODDS = 10.0;
/* More is told as "more than". */
static const double LARGEST_ODDS = 100.0;

struct line {
    double slope; /* beats a day */
    double low;
    double high;
};

struct look {
    struct arena *arena;
    const struct rider_history *history;
    const struct limits *limits;
    struct base_trend *out;
    double *day;           /* [n] from the first */
    double *heart_bpm;     /* [n] less what warmth did, once the lines are fitted */
    double *temperature_c; /* [n] less their mean; NAN = not known */
    size_t n_warm;
    struct line plain; /* Theil and Sen */
    struct line least; /* least squares */
    struct line alone; /* the same with no step beside it */
    bool has_step;     /* something was done to the meter that may have left one */
};

static double limit(struct look *look, enum limit_id id)
{
    return reading_limit(&look->out->reading, look->limits, id);
}

static struct cause *withhold(struct look *look, const char *code)
{
    return causes_add(look->arena, &look->out->reading.cannot_because, code);
}

/* ---- the rides ---- */

static bool is_told(const struct past_ride *ride)
{
    return ride->is_ride && !isnan(ride->day_bpm) && ride->felt_w > 0.0;
}

/* Meters are compared before rides are: one that reads otherwise would be a trend. */
static void find_shift(struct look *look)
{
    const struct rider_history *history = look->history;
    struct shift_ride *rides = ARENA_ARRAY(look->arena, struct shift_ride, history->n_rides + 1);
    const double gain = history->heart.gain_bpm_per_w;
    size_t n = 0;
    for (size_t i = 0; i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        if (is_told(ride)) {
            rides[n++] = (struct shift_ride){
                .day = ride->day,
                .meter = ride->meter,
                .above_pct = meter_shift_above_pct(ride->day_bpm, gain, ride->felt_w),
                .sd_pct = 100.0 * history->heart.day_sd_bpm / (gain * ride->felt_w),
                .offset_counts = ride->zero_offset,
            };
        }
    }
    look->out->shift = meter_shift_find(rides, n, look->limits);
}

static void take_rides(struct look *look)
{
    const struct rider_history *history = look->history;
    struct base_trend *out = look->out;
    double sum_c = 0.0;
    out->points = ARENA_ARRAY(look->arena, struct base_trend_point, history->n_rides + 1);
    look->day = ARENA_ARRAY(look->arena, double, history->n_rides + 1);
    look->heart_bpm = ARENA_ARRAY(look->arena, double, history->n_rides + 1);
    look->temperature_c = ARENA_ARRAY(look->arena, double, history->n_rides + 1);
    for (size_t i = 0; i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        if (!is_told(ride)) {
            continue;
        }
        struct base_trend_point *point = &out->points[out->n];
        *point = (struct base_trend_point){ ride->id, ride->day,
                                            history->heart.rest_bpm + ride->day_bpm +
                                                history->heart.gain_bpm_per_w * out->power_w,
                                            ride->is_base_test };
        look->day[out->n] = (double)(ride->day - out->points[0].day);
        look->heart_bpm[out->n] = point->heart_bpm;
        look->temperature_c[out->n] = ride->temperature_c;
        if (!isnan(ride->temperature_c)) {
            sum_c += ride->temperature_c;
            look->n_warm++;
        }
        out->n++;
    }
    for (size_t i = 0; i < out->n; i++) {
        look->temperature_c[i] -= look->n_warm > 0 ? sum_c / (double)look->n_warm : 0.0;
    }
}

/* ---- the lines ---- */

/* What is taken out of heart rate beside the line, where it can be fitted. */
struct beside {
    bool is_warm;
    bool has_step;
    double per_c;    /* beats a degree */
    double step_bpm; /* from the day of the change on */
};

/* How much a day is like the one before it isn't known: what is mixed over.  Part of the method,
 * not a limit of coaching: one best-fitting memory made 90 % ranges that held the truth on 86 % of
 * simulated riders whose days are alike (by 0.4 from ride to ride), and 81 % with a step beside the
 * line; this grid 90 and 86 %. */
enum { MEMORIES = 20 };
static const double MOST_MEMORY = 0.95;

struct memories {
    double rho[MEMORIES];
    double log_prior[MEMORIES];
    double weight[MEMORIES];
    double location[MEMORIES];
    double scale[MEMORIES];
};

/* Evenly from none on, by the reference prior of a first-order autoregression. */
static struct memories *memories_make(struct arena *arena)
{
    struct memories *out = ARENA_ARRAY(arena, struct memories, 1);
    for (size_t i = 0; i < MEMORIES; i++) {
        const double rho = MOST_MEMORY * (double)i / (MEMORIES - 1);
        out->rho[i] = rho;
        out->log_prior[i] = -0.5 * log(1.0 - rho * rho);
    }
    return out;
}

/* Least squares on a grid of days: rides lie days apart, and errors of near days are alike.  With
 * temperatures on enough rides, those rides alone.  False when it can't be solved. */
static bool fit_least(struct look *look, struct beside *beside, struct line *line)
{
    const struct base_trend *out = look->out;
    const size_t days = (size_t)look->day[out->n - 1] + 1;
    const size_t k = 2 + (size_t)beside->is_warm + (size_t)beside->has_step;
    const double step_from = (double)(out->shift.day - out->points[0].day);
    double *y = ARENA_ARRAY(look->arena, double, days);
    double *x = ARENA_ARRAY(look->arena, double, days *k);
    double *n = ARENA_ARRAY(look->arena, double, days);
    for (size_t i = 0; i < out->n; i++) {
        if (beside->is_warm && isnan(look->temperature_c[i])) {
            continue;
        }
        const size_t at = (size_t)look->day[i];
        y[at] += look->heart_bpm[i];
        n[at] += 1.0;
        if (beside->is_warm) {
            x[at * k + 2] += look->temperature_c[i];
        }
    }
    for (size_t at = 0; at < days; at++) {
        y[at] = n[at] > 0.0 ? y[at] / n[at] : (double)NAN;
        x[at * k] = 1.0;
        x[at * k + 1] = (double)at;
        if (beside->is_warm) {
            x[at * k + 2] = n[at] > 0.0 ? x[at * k + 2] / n[at] : 0.0;
        }
        if (beside->has_step) {
            x[at * k + k - 1] = (double)at >= step_from ? 1.0 : 0.0;
        }
    }
    static const double none[] = { 0.0 };
    static const double slope[GLS_MIXTURE_COLUMNS] = { 0.0, 1.0 };
    const struct gls_mixture_model model = { .y = y, .x = x, .n = days, .k = k };
    struct memories *memories = memories_make(look->arena);
    const struct gls_mixture_grid grid = { memories->rho, memories->log_prior,
                                           MEMORIES,      none,
                                           none,          1 };
    struct gls_mixture mixture = { .weight = memories->weight,
                                   .location = memories->location,
                                   .scale = memories->scale };
    double *work = ARENA_ARRAY(look->arena, double, gls_mixture_work(&model));
    if (!gls_mixture_fit(&model, &grid, slope, 0.0, work, &mixture)) {
        return false;
    }
    *line = (struct line){ mixture.estimate, mixture.low, mixture.high };
    beside->per_c = beside->is_warm ? mixture.mean[2] : 0.0;
    beside->step_bpm = beside->has_step ? mixture.mean[k - 1] : 0.0;
    return true;
}

static void add_beside(struct look *look, const struct beside *beside)
{
    struct base_trend *out = look->out;
    if (beside->is_warm && fabs(beside->per_c) > 0.0) {
        cause_number(causes_add(look->arena, &out->reading.because, "temperature"), "bpm_per_c",
                     beside->per_c);
    }
    if (beside->has_step) {
        cause_number(causes_add(look->arena, &out->reading.because, "step-allowed"), "day",
                     (double)out->shift.day);
    }
}

/* A step that is too small to be claimed would tilt the line: it is fitted beside it, and what is
 * not known of it widens the line's likely range. */
static bool fit_line(struct look *look, struct beside *beside)
{
    if (!fit_least(look, beside, &look->least)) {
        *beside = (struct beside){ .has_step = beside->has_step };
        if (!fit_least(look, beside, &look->least)) {
            return false;
        }
    }
    look->alone = look->least;
    struct beside alone = { .is_warm = beside->is_warm };
    return !beside->has_step || fit_least(look, &alone, &look->alone);
}

static bool fit_lines(struct look *look)
{
    struct base_trend *out = look->out;
    look->has_step = !isnan(out->shift.pct) && out->shift.day > out->points[0].day &&
                     out->shift.day <= out->points[out->n - 1].day;
    struct beside beside = { .is_warm =
                                 (double)look->n_warm >= limit(look, LIMIT_BASE_TREND_WARM_RIDES),
                             .has_step = look->has_step };
    if (!fit_line(look, &beside)) {
        return false;
    }
    double *level = ARENA_ARRAY(look->arena, double, out->n);
    for (size_t i = 0; i < out->n; i++) {
        const double warm = look->temperature_c[i];
        const bool is_after = beside.has_step && out->points[i].day >= out->shift.day;
        look->heart_bpm[i] -= isnan(warm) ? 0.0 : beside.per_c * warm;
        level[i] = look->heart_bpm[i] - (is_after ? beside.step_bpm : 0.0);
    }
    const struct robust_line line = robust_fit_line(look->arena, look->day, level, out->n, LEVEL);
    look->plain = (struct line){ line.slope, line.low, line.high };
    if (isnan(line.slope)) {
        return false;
    }
    out->start_bpm = line.intercept;
    out->end_bpm = line.intercept + line.slope * look->day[out->n - 1];
    add_beside(look, &beside);
    return true;
}

/* ---- a step, or a line ---- */

struct step {
    double likelihood; /* its logarithm */
    double bpm;
    size_t from; /* the first ride of those after it */
};

/* The rides by a line, or by a step from a ride on; both have a column beside the level, and the
 * same grid of days. */
struct days {
    size_t n;
    double *y;
    double *x;
    double *rides; /* on each day */
};

static struct days days_make(struct look *look)
{
    const struct base_trend *out = look->out;
    const size_t n = (size_t)look->day[out->n - 1] + 1;
    struct days days = { n, ARENA_ARRAY(look->arena, double, n),
                         ARENA_ARRAY(look->arena, double, n), ARENA_ARRAY(look->arena, double, n) };
    for (size_t i = 0; i < out->n; i++) {
        days.y[(size_t)look->day[i]] += look->heart_bpm[i];
        days.rides[(size_t)look->day[i]] += 1.0;
    }
    for (size_t at = 0; at < n; at++) {
        days.y[at] = days.rides[at] > 0.0 ? days.y[at] / days.rides[at] : (double)NAN;
    }
    return days;
}

/* By likelihood, not the restricted one: the two are models of other columns. */
static struct step weigh(const struct days *days)
{
    struct arena *scratch = arena_open();
    const struct gls_model model = { .y = days->y, .x = days->x, .n = days->n, .k = 1 };
    struct gls_fit fit;
    const bool is_fitted = gls_fit(gls_moments_make(scratch, &model), GLS_ML, &fit);
    const bool is_known = is_fitted && isfinite(fit.log_likelihood);
    arena_close(scratch);
    return (struct step){ .likelihood = is_known ? fit.log_likelihood : -(double)INFINITY,
                          .bpm = is_fitted ? fit.coefficient[1] : (double)NAN };
}

/* How many times as likely the best step is as the line, none known to be likelier before: its
 * place was looked for, so it shares its weight with all the places that were tried. */
static double step_odds(struct look *look, struct step *best)
{
    const struct base_trend *out = look->out;
    const size_t side = (size_t)limit(look, LIMIT_SHIFT_RIDES);
    const struct days days = days_make(look);
    for (size_t at = 0; at < days.n; at++) {
        days.x[at] = (double)at;
    }
    const struct step line = weigh(&days);
    size_t n_places = 0;
    *best = (struct step){ .likelihood = -(double)INFINITY };
    for (size_t i = side; i + side <= out->n; i++) {
        if (out->points[i].day == out->points[i - 1].day) {
            continue;
        }
        for (size_t at = 0; at < days.n; at++) {
            days.x[at] = (double)at >= look->day[i] ? 1.0 : 0.0;
        }
        struct step step = weigh(&days);
        step.from = i;
        n_places++;
        if (step.likelihood > best->likelihood) {
            *best = step;
        }
    }
    return n_places > 0 && isfinite(line.likelihood)
               ? exp(best->likelihood - line.likelihood) / (double)n_places
               : 0.0;
}

/* Heart rate that steps on one day isn't a trend: meters, or something else, changed at once.  And
 * a trend that shows only beside a step at the meter may be that step's other side. */
static bool may_be_step(struct look *look, bool falls)
{
    struct base_trend *out = look->out;
    const bool is_alone = falls ? look->alone.high < 0.0 : look->alone.low > 0.0;
    if (look->has_step && !is_alone) {
        cause_number(withhold(look, "step-or-trend"), "day", (double)out->shift.day);
        causes_add(look->arena, &out->reading.settle_by, "check-meters");
        return true;
    }
    struct step step;
    const double odds = step_odds(look, &step);
    if (!(odds > STEP_ODDS)) {
        return false;
    }
    struct cause *cause = withhold(look, "step-likelier");
    cause_number(cause, "day", (double)out->points[step.from].day);
    cause_number(cause, "bpm", step.bpm);
    cause_number(cause, "odds", fmin(odds, LARGEST_ODDS));
    causes_add(look->arena, &out->reading.settle_by, "check-meters");
    causes_add(look->arena, &out->reading.settle_by, "ask-what-changed");
    return true;
}

/* ---- fitter or tired ---- */

/* Points of effort by which the later half of easy rides felt harder than the earlier one. */
static double effort_rise(struct look *look)
{
    const double least = limit(look, LIMIT_BASE_TREND_EFFORT_RIDES);
    const struct base_trend *out = look->out;
    const int64_t from = out->points[0].day;
    const int64_t middle = from + (out->points[out->n - 1].day - from) / 2;
    double sum[2] = { 0.0, 0.0 };
    double n[2] = { 0.0, 0.0 };
    for (size_t i = history_ride_from(look->history, from); i < look->history->n_rides; i++) {
        const struct past_ride *ride = &look->history->rides[i];
        const size_t half = ride->day > middle ? 1 : 0;
        if (ride->is_ride && !ride->is_hard_day && !isnan(ride->effort_0_10)) {
            sum[half] += ride->effort_0_10;
            n[half] += 1.0;
        }
    }
    return n[0] >= least && n[1] >= least ? sum[1] / n[1] - sum[0] / n[0] : (double)NAN;
}

/* Ill, or a caution at the top of a ride, of late; or a jump of hours. */
static bool is_careful_week(struct look *look, const struct base_trend_beside *beside)
{
    const struct rider_history *history = look->history;
    const int64_t from = history->today - (int64_t)limit(look, LIMIT_BASE_TREND_CAREFUL_DAYS);
    bool is_careful = beside->load != NULL && beside->load->verdict == VERDICT_JUMP;
    for (int64_t day = from; day <= history->today; day++) {
        is_careful = is_careful || history_is_ill(history, day);
    }
    for (size_t i = history_ride_from(history, from); i < history->n_rides; i++) {
        is_careful = is_careful || history->rides[i].cautions != 0;
    }
    return is_careful;
}

static void judge_fall(struct look *look, const struct base_trend_beside *beside)
{
    struct reading *reading = &look->out->reading;
    const enum verdict bests =
        beside->progress == NULL ? VERDICT_CANNOT_TELL : beside->progress->verdict;
    const double rise = effort_rise(look);
    if (bests == VERDICT_LOWER) {
        withhold(look, "bests-lower");
    }
    if (rise >= limit(look, LIMIT_BASE_TREND_EFFORT_POINTS)) {
        cause_number(withhold(look, "effort-higher"), "points", rise);
    }
    if (is_careful_week(look, beside)) {
        withhold(look, "careful-week");
    }
    if (reading->cannot_because.count > 0) {
        causes_add(look->arena, &reading->settle_by, "ask-legs-and-sleep");
        return;
    }
    reading->verdict = VERDICT_FALLING;
    const bool holds = bests == VERDICT_BETTER || bests == VERDICT_NO_CLEAR_CHANGE;
    causes_add(look->arena, &reading->because, holds ? "bests-hold" : "bests-unknown");
    if (!holds) {
        causes_add(look->arena, &reading->settle_by, "test-bests");
    }
}

/* ---- the verdict ---- */

static bool is_enough(struct look *look)
{
    struct base_trend *out = look->out;
    const double rides = limit(look, LIMIT_BASE_TREND_RIDES);
    const double days = limit(look, LIMIT_BASE_TREND_DAYS);
    const double spanned = out->n == 0 ? 0.0 : look->day[out->n - 1];
    if ((double)out->n >= rides && spanned >= days) {
        return true;
    }
    struct cause *cause = withhold(look, "few-rides");
    cause_number(cause, "rides", (double)out->n);
    cause_number(cause, "least", rides);
    cause_number(cause, "days", spanned);
    cause_number(cause, "least_days", days);
    causes_add(look->arena, &out->reading.settle_by, "ride-on");
    return false;
}

static void add_shift(struct look *look)
{
    const struct meter_shift *shift = &look->out->shift;
    if (shift->state == SHIFT_NONE) {
        return;
    }
    struct cause *cause = shift->state == SHIFT_FOUND
                              ? withhold(look, "power-shift")
                              : causes_add(look->arena, &look->out->reading.because, "power-may");
    cause_number(cause, "pct", shift->pct);
    cause_number(cause, "low_pct", shift->low_pct);
    cause_number(cause, "high_pct", shift->high_pct);
    cause_number(cause, "day", (double)shift->day);
    cause_number(cause, "before", (double)shift->n_before);
    cause_number(cause, "after", (double)shift->n_after);
    if (!isnan(shift->offset_after)) {
        cause_number(cause, "offset_before", shift->offset_before);
        cause_number(cause, "offset_after", shift->offset_after);
    }
    causes_add(look->arena, &look->out->reading.settle_by, "check-meters");
}

static void judge(struct look *look, const struct base_trend_beside *beside)
{
    struct base_trend *out = look->out;
    struct reading *reading = &out->reading;
    const double days = look->day[out->n - 1];
    const double flat = limit(look, LIMIT_BASE_TREND_FLAT_BPM);
    const double low = fmin(look->plain.low, look->least.low);
    const double high = fmax(look->plain.high, look->least.high);
    reading->estimate = MONTH_DAYS * look->plain.slope;
    reading->low = MONTH_DAYS * low;
    reading->high = MONTH_DAYS * high;
    reading->unit = "bpm in 4 weeks";
    struct cause *cause = causes_add(look->arena, &reading->because, "line");
    cause_number(cause, "power_w", out->power_w);
    cause_number(cause, "start_bpm", out->start_bpm);
    cause_number(cause, "end_bpm", out->end_bpm);
    cause_number(cause, "rides", (double)out->n);
    cause_number(cause, "days", days);
    if (reading->cannot_because.count > 0) {
        return;
    }
    if ((high < 0.0 || low > 0.0) && may_be_step(look, high < 0.0)) {
        return;
    }
    if (high < 0.0) {
        judge_fall(look, beside);
    } else if (low > 0.0) {
        reading->verdict = VERDICT_RISING;
        causes_add(look->arena, &reading->settle_by, "ask-heat-and-rest");
    } else if (low * days >= -flat && high * days <= flat) {
        reading->verdict = VERDICT_FLAT;
    } else {
        cause_number(withhold(look, "scatter"), "flat_bpm", flat);
        causes_add(look->arena, &reading->settle_by, "ride-on");
    }
}

void base_trend_read(struct arena *arena, const struct rider_history *history,
                     const struct base_trend_beside *beside, const struct limits *limits,
                     struct base_trend *out)
{
    const double none = (double)NAN;
    *out = (struct base_trend){ .reading = reading_begin(QUESTION_BASE_TREND),
                                .power_w = none,
                                .start_bpm = none,
                                .end_bpm = none };
    struct look look = { .arena = arena, .history = history, .limits = limits, .out = out };
    if (!history->heart.is_known) {
        withhold(&look, "no-response");
    } else {
        out->power_w = limit(&look, LIMIT_BASE_AIM_PCT) / 100.0 * history->heart.threshold_w;
        out->reading.basis.threshold_w = history->heart.threshold_w;
        find_shift(&look);
        take_rides(&look);
        add_shift(&look);
        if (is_enough(&look)) {
            if (fit_lines(&look)) {
                judge(&look, beside);
            } else {
                withhold(&look, "scatter");
            }
        }
    }
    words_trend_fill(arena, &out->reading);
}

bool base_trend_counts(const struct base_trend *trend)
{
    return trend->reading.verdict == VERDICT_FALLING &&
           causes_find(&trend->reading.because, "bests-hold") != NULL;
}
