/* simulated/rider.c: invented riders. */
#include "simulated/rider.h"

#include "simulated/random.h"

#include <math.h>

enum { STREAM_RIDER = 0x5249 };

struct simulated_rider simulated_rider_default(void)
{
    return (struct simulated_rider){
        .threshold_w = 246.0,
        .critical_power_w = 251.0,
        .w_prime_j = 17500.0,
        .max_heart_rate_bpm = 189.0,
        .rest_heart_rate_bpm = 87.0,
        .gain_bpm_per_w = 82.0 / 246.0,
        .tau_up_s = 60.0,
        .tau_down_s = 68.0,
        .dead_time_s = 5.0,
        .day_bpm = 0.0,
        .slow_gain_bpm_per_w = 0.2,
        .slow_tau_s = 180.0,
        .cadence_rpm = 86.0,
        .mass_kg = 84.0,
    };
}

static double clamp(double x, double low, double high)
{
    return x < low ? low : (x > high ? high : x);
}

/* Normal, kept within its bounds: nobody's heart is outside them. */
static double draw(struct simulated_random *random, double mean, double sd, double low, double high)
{
    return clamp(mean + sd * simulated_random_normal(random), low, high);
}

struct simulated_rider simulated_rider_draw(uint64_t seed)
{
    struct simulated_random r = simulated_random_begin(seed, STREAM_RIDER);
    struct simulated_rider rider = { 0 };
    rider.threshold_w = floor(simulated_random_between(&r, 140.0, 341.0));
    rider.critical_power_w = rider.threshold_w * draw(&r, 1.03, 0.03, 0.96, 1.12);
    rider.w_prime_j = rider.threshold_w * draw(&r, 70.0, 18.0, 35.0, 120.0);
    rider.max_heart_rate_bpm = floor(draw(&r, 186.0, 9.0, 165.0, 205.0));
    rider.gain_bpm_per_w = draw(&r, 82.0, 14.0, 55.0, 112.0) / rider.threshold_w;
    /* At threshold the heart runs at 86 to 94 % of its maximum (common practice, no source): what
     * is left of that after the gain is heart rate on the bike without pedalling. */
    const double at_threshold = rider.max_heart_rate_bpm * draw(&r, 0.90, 0.02, 0.86, 0.94);
    rider.rest_heart_rate_bpm =
        clamp(at_threshold - rider.gain_bpm_per_w * rider.threshold_w, 60.0, 110.0);
    rider.tau_up_s = clamp(58.0 * exp(0.35 * simulated_random_normal(&r)), 21.0, 120.0);
    rider.tau_down_s = clamp(rider.tau_up_s * exp(0.15 * simulated_random_normal(&r)), 18.0, 150.0);
    rider.dead_time_s = simulated_random_between(&r, 0.0, 15.0);
    rider.day_bpm = draw(&r, 0.0, 4.0, -9.0, 9.0);
    rider.slow_gain_bpm_per_w = simulated_random_between(&r, 0.0, 0.35);
    rider.slow_tau_s = simulated_random_between(&r, 120.0, 300.0);
    rider.cadence_rpm = draw(&r, 86.0, 6.0, 70.0, 100.0);
    rider.mass_kg = draw(&r, 83.0, 11.0, 60.0, 112.0);
    return rider;
}
