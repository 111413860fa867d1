/* honesty/second/heart.c: two compartments, heat, and what a heart does besides.
 *
 *     power -- bent gain --+-- fast: quick on, slower off --+
 *                          +-- slow: slow on, slower off  --+-- below the maximum -- heart rate
 *     power^1.6 -- heat stored, going by itself ------------+
 *
 * Two components and quicker on than off: Bearden and Moffatt 2001, J Appl Physiol 90:2081, and the
 * fast withdrawal of the vagus before slow drive (Robinson et al. 1966, Circ Res 19:400); from
 * memory.  The figures are assumed, so that together they settle like published first-order ones.
 */
#include "honesty/second/ride.h"

#include "honesty/second/random.h"

#include <math.h>

enum { RIDER = 0x31, NOISE = 0x32 };

static double limit(double x, double low, double high)
{
    return x < low ? low : (x > high ? high : x);
}

struct second_rider second_rider_draw(uint64_t seed)
{
    struct second_random r = second_random_begin(seed, RIDER);
    struct second_rider rider = { 0 };
    rider.threshold_w = floor(limit(215.0 * exp(0.22 * second_normal(&r)), 120.0, 380.0));
    rider.max_bpm = floor(limit(184.0 + 10.0 * second_heavy(&r), 160.0, 208.0));
    rider.rise_bpm = limit(84.0 * exp(0.18 * second_normal(&r)), 52.0, 118.0);
    const double at_threshold = rider.max_bpm * second_between(&r, 0.86, 0.94);
    rider.idle_bpm = limit(at_threshold - rider.rise_bpm, 58.0, 112.0);
    rider.bend = second_between(&r, -0.10, 0.25);
    rider.fast_share = second_between(&r, 0.40, 0.70);
    rider.fast_on_s = second_between(&r, 10.0, 28.0);
    rider.fast_off_s = rider.fast_on_s * second_between(&r, 1.0, 1.8);
    rider.slow_on_s = second_between(&r, 60.0, 130.0);
    rider.slow_off_s = rider.slow_on_s * second_between(&r, 1.0, 1.4);
    rider.heat_s = second_between(&r, 2400.0, 7200.0);
    rider.heat_bpm_per_h = second_between(&r, 4.0, 26.0);
    rider.noise_bpm = second_between(&r, 0.7, 2.2);
    rider.cadence_rpm = second_between(&r, 74.0, 97.0);
    rider.mass_kg = second_between(&r, 65.0, 110.0);
    return rider;
}

/* What a watt less or more is worth, as share of the rise to threshold: 0 at none, 1 there. */
static double demand(const struct second_rider *rider, double power_w)
{
    /* Bursts are over before a heart can ask for what they would take. */
    const double x = limit(power_w / rider->threshold_w, 0.0, 1.5);
    return x * (1.0 + rider->bend - rider->bend * x);
}

static double follow(double at, double to, double on_s, double off_s)
{
    const double tau_s = to > at ? on_s : off_s;
    return to + (at - to) * exp(-1.0 / tau_s);
}

static double heat_after(const struct second_rider *rider, double heat_bpm, double power_w)
{
    const double x = limit(power_w / rider->threshold_w, 0.0, 1.5);
    const double stored = rider->heat_bpm_per_h / 3600.0 * pow(x, 1.6);
    return heat_bpm + stored - heat_bpm / rider->heat_s;
}

/* Smoothly below the maximum: 3 beats under it where a straight line would reach it. */
static double below(double bpm, double max_bpm)
{
    const double soft = 4.0;
    return max_bpm - soft * log1p(exp((max_bpm - bpm) / soft));
}

void second_heart_follow(const struct second_rider *rider, const double power_w[], size_t n,
                         double heart_bpm[], double heat_bpm[])
{
    double fast = 0.08;
    double slow = 0.08;
    double heat = 0.0;
    for (size_t t = 0; t < n; t++) {
        const double most = rider->max_bpm;
        const double up =
            rider->rise_bpm * (rider->fast_share * fast + (1.0 - rider->fast_share) * slow);
        heart_bpm[t] = below(rider->idle_bpm + rider->day_bpm + up + heat, most);
        heat_bpm[t] = heat;
        const double asked = demand(rider, power_w[t]);
        fast = follow(fast, asked, rider->fast_on_s, rider->fast_off_s);
        slow = follow(slow, asked, rider->slow_on_s, rider->slow_off_s);
        heat = heat_after(rider, heat, power_w[t]);
    }
}

double second_rise_bpm(const struct second_rider *rider, const struct second_ride *ride,
                       struct span span)
{
    double mean_w = 0.0;
    for (int32_t t = span.from_s; t < span.to_s; t++) {
        mean_w += ride->power_w[t] / (double)(span.to_s - span.from_s);
    }
    double heat = ride->heat_bpm[span.from_s];
    for (int32_t t = span.from_s; t < span.to_s; t++) {
        heat = heat_after(rider, heat, mean_w);
    }
    return heat - ride->heat_bpm[span.from_s];
}

/* Half of the variance quick (12 s) with heavy tails, half slow (4 min); all of it in proportion
 * to how far the heart is from its maximum, as beats vary less the faster it goes. */
void second_heart_wander(const struct second_rider *rider, const double heart_bpm[], size_t n,
                         uint64_t seed, double out[])
{
    struct second_random r = second_random_begin(seed, NOISE);
    const double quick_keeps = exp(-1.0 / 12.0);
    const double slow_keeps = exp(-1.0 / 240.0);
    double quick = second_heavy(&r);
    double slow = second_normal(&r);
    for (size_t t = 0; t < n; t++) {
        quick = quick_keeps * quick + sqrt(1.0 - quick_keeps * quick_keeps) * second_heavy(&r);
        slow = slow_keeps * slow + sqrt(1.0 - slow_keeps * slow_keeps) * second_heavy(&r);
        const double room = (rider->max_bpm - heart_bpm[t]) / (0.3 * rider->max_bpm);
        out[t] = rider->noise_bpm * limit(room, 0.25, 1.6) * sqrt(0.5) * (quick + slow);
    }
}
