/* tests/simulated/test_numbers.c: what docs/honesty.md holds fitted numbers against is the truth.
 *
 * By hand: a first-order heart with dead time is at 63.2 % of a step after dead time and time
 * constant; two compartments settle where power asks, whatever their pace. */
#include "check.h"

#include "honesty/numbers_trial.h"
#include "honesty/second/ride.h"
#include "simulated/rider.h"

#include <math.h>

enum { RIDERS = 40 };

static void test_numbers__a_first_order_heart_is_its_own_truth(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= RIDERS; seed++) {
        const struct simulated_rider rider = simulated_rider_draw(seed);
        const struct heart_truth truth = heart_truth_of(seed, false);
        /* Below the soft ceiling, which begins 8 beats under the maximum. */
        const double at_90 =
            rider.rest_heart_rate_bpm + 0.9 * rider.gain_bpm_per_w * rider.threshold_w;
        if (at_90 < rider.max_heart_rate_bpm - 8.0) {
            check_close("gain", truth.gain_bpm_per_w, rider.gain_bpm_per_w, 1e-6);
            /* Whole seconds, and the dead time's second counts. */
            check_near("lag", truth.lag_s,
                       rider.dead_time_s + (rider.tau_up_s + rider.tau_down_s) / 2.0, 1.5);
        }
        check_near("level", truth.level_bpm,
                   rider.rest_heart_rate_bpm + 0.7 * rider.gain_bpm_per_w * rider.threshold_w,
                   0.05);
    }
}

static void test_numbers__two_compartments_settle_where_power_asks(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= RIDERS; seed++) {
        const struct second_rider rider = second_rider_draw(seed);
        const struct heart_truth truth = heart_truth_of(seed, true);
        const double up = 0.9 * (1.0 + 0.1 * rider.bend) - 0.5 * (1.0 + 0.5 * rider.bend);
        /* Near the maximum the heart stays a little below: 0.4 beats at most here. */
        check_near("gain, beats from 50 to 90 %", truth.gain_bpm_per_w * 0.4 * rider.threshold_w,
                   rider.rise_bpm * up, 0.4);
        check_near("level", truth.level_bpm,
                   rider.idle_bpm + rider.rise_bpm * 0.7 * (1.0 + 0.3 * rider.bend), 0.1);
        const double least = fmin(rider.fast_on_s, rider.slow_on_s);
        const double most = rider.slow_off_s + 5.0;
        check(truth.lag_s > least && truth.lag_s < most);
    }
}

static void test_numbers__efforts_without_error_give_the_curve_back(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    for (uint64_t seed = 1; seed <= RIDERS; seed++) {
        const struct power_case exact = { 5, 0.0, false };
        const struct power_recovered out = power_recover(seed, &exact, &limits);
        check(out.is_known && out.cp_held && out.w_held);
        check_near("CP", out.cp_ratio, 0.0, 1e-6);
        check_near("W'", out.w_ratio, 0.0, 1e-5);
        /* A highest power takes from short efforts: less W', more CP. */
        const struct power_case with_peak = { 5, 0.0, true };
        const struct power_recovered bent = power_recover(seed, &with_peak, &limits);
        check(bent.is_known && bent.cp_ratio > 0.0 && bent.w_ratio < 0.0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_numbers__a_first_order_heart_is_its_own_truth),
        cmocka_unit_test(test_numbers__two_compartments_settle_where_power_asks),
        cmocka_unit_test(test_numbers__efforts_without_error_give_the_curve_back),
    };
    return cmocka_run_group_tests_name("numbers", tests, NULL, NULL);
}
