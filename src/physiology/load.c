/* physiology/load.c: how much was ridden, in plain amounts. */
#include "physiology/load.h"

#include "maths/summary.h"

#include <math.h>

static const char *const zone_names[HEART_ZONES] = { "very light", "light", "moderate", "vigorous",
                                                     "near maximal" };

const char *heart_zone_name(enum heart_zone zone)
{
    return zone_names[zone];
}

enum heart_zone heart_zone_of(double reserve_ratio)
{
    /* Lower ends, ACSM as in the header. */
    static const double from[HEART_ZONES] = { -(double)INFINITY, 0.30, 0.40, 0.60, 0.90 };
    int zone = HEART_ZONES - 1;
    while (zone > 0 && reserve_ratio < from[zone]) {
        zone--;
    }
    return (enum heart_zone)zone;
}

double load_reserve_ratio(double heart_bpm, double rest_bpm, double max_bpm)
{
    return max_bpm > rest_bpm ? (heart_bpm - rest_bpm) / (max_bpm - rest_bpm) : (double)NAN;
}

double load_impulse(double minutes, double reserve_ratio, enum rider_sex sex)
{
    if (isnan(reserve_ratio) || sex == SEX_UNSET) {
        return (double)NAN;
    }
    const double x = fmin(fmax(reserve_ratio, 0.0), 1.0);
    return sex == SEX_MALE ? minutes * x * 0.64 * exp(1.92 * x)
                           : minutes * x * 0.86 * exp(1.67 * x);
}

/* ---- a ride ---- */

static void fill(double values[], size_t n, double value)
{
    for (size_t i = 0; i < n; i++) {
        values[i] = value;
    }
}

/* Seconds whose mean of the last 30 known seconds is above threshold; a window that is not wholly
 * known says nothing. */
static double seconds_above(const double power_w[], size_t n, double threshold_w)
{
    enum { WINDOW = 30 };
    double sum = 0.0;
    size_t known = 0;
    double above = 0.0;
    for (size_t i = 0; i < n; i++) {
        if (isnan(power_w[i])) {
            known = 0;
            sum = 0.0;
            continue;
        }
        sum += power_w[i];
        known++;
        if (known > WINDOW) {
            sum -= power_w[i - WINDOW];
        }
        above += known >= WINDOW && sum > threshold_w * WINDOW ? 1.0 : 0.0;
    }
    return above;
}

static void add_power(struct arena *arena, const struct recording *recording,
                      const struct rider_facts *facts, const struct limits *limits,
                      struct ride_load *load)
{
    const double *power_w = recording_series(arena, recording, CHANNEL_POWER);
    if (power_w == NULL || !recording->is_ride) {
        return;
    }
    load->power_coverage = recording_coverage(recording, CHANNEL_POWER);
    if (!(load->power_coverage >= limits->value[LIMIT_LOAD_COVERAGE_RATIO])) {
        return;
    }
    load->work_kj = recording_work_kj(recording);
    if (facts->threshold_w > 0.0) {
        zones_count(&facts->zones, power_w, recording->n_seconds, facts->threshold_w, load->zone_s);
        load->above_threshold_s = seconds_above(power_w, recording->n_seconds, facts->threshold_w);
    }
}

static void add_heart(struct arena *arena, const struct recording *recording,
                      const struct rider_facts *facts, const struct limits *limits,
                      struct ride_load *load)
{
    const double *heart_bpm = recording_series(arena, recording, CHANNEL_HEART_RATE);
    if (heart_bpm == NULL || facts->heart_medicine || facts->pregnant) {
        return;
    }
    load->heart_coverage = recording_coverage(recording, CHANNEL_HEART_RATE);
    if (!(load->heart_coverage >= limits->value[LIMIT_LOAD_COVERAGE_RATIO]) ||
        !(facts->max_heart_rate_bpm > facts->rest_heart_rate_bpm)) {
        return;
    }
    double impulse_male = 0.0;
    double impulse_female = 0.0;
    fill(load->heart_zone_s, HEART_ZONES, 0.0);
    for (size_t i = 0; i < recording->n_seconds; i++) {
        if (!isnan(heart_bpm[i])) {
            const double x = load_reserve_ratio(heart_bpm[i], facts->rest_heart_rate_bpm,
                                                facts->max_heart_rate_bpm);
            load->heart_zone_s[heart_zone_of(x)] += 1.0;
            impulse_male += load_impulse(1.0 / 60.0, x, SEX_MALE);
            impulse_female += load_impulse(1.0 / 60.0, x, SEX_FEMALE);
        }
    }
    load->impulse_low = fmin(impulse_male, impulse_female);
    load->impulse_high = fmax(impulse_male, impulse_female);
    if (facts->sex != SEX_UNSET) {
        load->impulse_low = facts->sex == SEX_MALE ? impulse_male : impulse_female;
        load->impulse_high = load->impulse_low;
    }
}

struct ride_load load_of(struct arena *arena, const struct recording *recording,
                         const struct rider_facts *facts, const struct limits *limits,
                         double effort_0_10)
{
    const double none = (double)NAN;
    struct ride_load load = { .hours = recording->timer_s / 3600.0,
                              .work_kj = none,
                              .impulse_low = none,
                              .impulse_high = none,
                              .above_threshold_s = none,
                              .power_coverage = none,
                              .heart_coverage = none };
    fill(load.zone_s, ZONES_MOST, none);
    fill(load.heart_zone_s, HEART_ZONES, none);
    add_power(arena, recording, facts, limits, &load);
    add_heart(arena, recording, facts, limits, &load);
    const double effort = isnan(effort_0_10) ? recording->effort_0_10 : effort_0_10;
    load.session_rpe = effort * recording->timer_s / 60.0;
    return load;
}

/* ---- weeks ---- */

struct load_week load_week(const double days[7])
{
    const double mean = summary_mean(days, 7);
    const double sd = summary_sd(days, 7);
    const double monotony = sd > 0.0 ? mean / sd : (double)NAN;
    return (struct load_week){ 7.0 * mean, mean, monotony, 7.0 * mean * monotony };
}

struct load_jump load_jump(double hours, const double before[], size_t n,
                           const struct limits *limits)
{
    enum { WEEKS = 4 };
    double sum = 0.0;
    size_t used = 0;
    for (size_t i = 0; i < n && used < WEEKS; i++) {
        if (!isnan(before[i])) {
            sum += before[i];
            used++;
        }
    }
    struct load_jump jump = { (double)NAN, (double)NAN, false };
    if ((double)used >= limits->value[LIMIT_LOAD_JUMP_WEEKS]) {
        jump.usual_hours = sum / (double)used;
        jump.line_hours = fmax(limits->value[LIMIT_LOAD_JUMP_RATIO] * jump.usual_hours,
                               jump.usual_hours + limits->value[LIMIT_LOAD_JUMP_HOURS]);
        jump.is_jump = hours > jump.line_hours;
    }
    return jump;
}
