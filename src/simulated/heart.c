/* simulated/heart.c: how heart rate answers power. */
#include "simulated/heart.h"

#include <math.h>

/* Power `dead_s` before the second t, straight between seconds; nothing before the start. */
static double power_before(const double power_w[], size_t t, double dead_s)
{
    const double whole = floor(dead_s);
    const double part = dead_s - whole;
    const size_t back = (size_t)whole;
    const double near = t >= back ? power_w[t - back] : 0.0;
    const double far = t >= back + 1 ? power_w[t - back - 1] : 0.0;
    return (1.0 - part) * near + part * far;
}

/* What the heart is asked for: beyond 1.4 x threshold most of a sprint is paid without oxygen, and
 * the heart hardly hears of it (common practice, no source). */
static double felt_power(const struct simulated_rider *rider, double power)
{
    const double knee = 1.4 * rider->threshold_w;
    return power > knee ? knee + 0.2 * (power - knee) : power;
}

/* The share of the way that a first-order system goes in one second. */
static double step_share(double tau_s)
{
    return tau_s > 0.0 ? 1.0 - exp(-1.0 / tau_s) : 1.0;
}

void simulated_heart_follow(const struct simulated_rider *rider, const double power_w[], size_t n,
                            double out[])
{
    const double base = rider->rest_heart_rate_bpm + rider->day_bpm;
    const double up = step_share(rider->tau_up_s);
    const double down = step_share(rider->tau_down_s);
    const double slowly = step_share(rider->slow_tau_s);
    double fast = 0.0;
    double slow = 0.0;
    for (size_t t = 0; t < n; t++) {
        out[t] = base + fast + slow;
        const double power = felt_power(rider, power_before(power_w, t, rider->dead_time_s));
        /* The ceiling is on what the heart makes for, so that it falls as soon as power does. */
        const double goal = simulated_heart_ceiling(base + rider->gain_bpm_per_w * power,
                                                    rider->max_heart_rate_bpm) -
                            base;
        fast += (goal - fast) * (goal > fast ? up : down);
        const double above =
            power > rider->critical_power_w ? power - rider->critical_power_w : 0.0;
        const double room = rider->max_heart_rate_bpm - base - goal;
        const double wanted = rider->slow_gain_bpm_per_w * above;
        slow += ((wanted < room ? wanted : room) - slow) * slowly;
    }
}

static const double SETTLE_S = 360.0;
static const double HOUR_S = 3600.0;

static double drift_form(enum simulated_drift_shape shape, double span_s, double s)
{
    const double at_s = s < 0.0 ? 0.0 : (s > span_s ? span_s : s);
    switch (shape) {
    case SIMULATED_DRIFT_EARLY: return 1.0 - exp(-at_s / 1200.0);
    case SIMULATED_DRIFT_LATE: {
        const double late_s = 0.4 * span_s < 1500.0 ? 0.4 * span_s : 1500.0;
        return at_s > late_s ? at_s - late_s : 0.0;
    }
    case SIMULATED_DRIFT_STRAIGHT:
    case SIMULATED_DRIFT_SHAPE_COUNT: break;
    }
    return at_s;
}

double simulated_heart_drift(enum simulated_drift_shape shape, double size_bpm, double span_s,
                             double since_s)
{
    if (span_s <= 0.0) {
        return 0.0;
    }
    const double from_s = span_s > SETTLE_S ? SETTLE_S : 0.0;
    const double to_s = span_s < HOUR_S ? span_s : HOUR_S;
    const double unit = drift_form(shape, span_s, to_s) - drift_form(shape, span_s, from_s);
    return unit > 0.0 ? size_bpm * drift_form(shape, span_s, since_s) / unit : 0.0;
}

double simulated_heart_ceiling(double bpm, double max_bpm)
{
    const double bend = 8.0;
    const double over = bpm - (max_bpm - bend);
    return over > 0.0 ? max_bpm - bend * exp(-over / bend) : bpm;
}
