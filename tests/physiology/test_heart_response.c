/* tests/physiology/test_heart_response.c: one rider's heart against power: recovered on riders made
 * by the simulator, whose heart is another (up and down differ, a ceiling, drift of several shapes,
 * autocorrelated noise); subtractions against fits made anew. */
#include "check.h"

#include "maths/maths.h"
#include "maths/random.h"
#include "maths/distributions.h"
#include "physiology/heart_response.h"
#include "simulated/ride.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { RIDES = 12, RIDERS = 24 };

static const double DAY_SD = 4.5;

/* A ride of one of four kinds, about an hour, on a day whose heart lies `day_bpm` off. */
static struct recording *ridden(struct arena *arena, const struct simulated_rider *usual,
                                double day_bpm, int kind, uint64_t seed)
{
    const double w = usual->threshold_w;
    const double nan = (double)NAN;
    struct simulated_block blocks[16] = { 0 };
    size_t n = 0;
    blocks[n++] = (struct simulated_block){ 900, 0.5 * w, 0.6 * w, nan, .is_rep = false };
    if (kind == 0) {
        blocks[n++] = (struct simulated_block){ 3000, 0.7 * w, nan, nan, .is_rep = false };
    } else if (kind == 1) {
        for (int i = 0; i < 4; i++) {
            blocks[n++] = (struct simulated_block){ 240, 1.08 * w, nan, nan, .is_rep = true };
            blocks[n++] = (struct simulated_block){ 240, 0.5 * w, nan, nan, .is_rep = false };
        }
    } else if (kind == 2) {
        for (int i = 0; i < 2; i++) {
            blocks[n++] = (struct simulated_block){ 900, 0.92 * w, nan, nan, .is_rep = true };
            blocks[n++] = (struct simulated_block){ 300, 0.5 * w, nan, nan, .is_rep = false };
        }
    } else {
        blocks[n++] = (struct simulated_block){ 4200, 0.6 * w, nan, nan, .is_rep = false };
    }
    blocks[n++] = (struct simulated_block){ 600, 0.45 * w, nan, nan, .is_rep = false };
    struct simulated_rider rider = *usual;
    rider.day_bpm = day_bpm;
    const struct simulated_plan plan = { .blocks = blocks,
                                         .n_blocks = n,
                                         .outdoors = kind == 3,
                                         .drift_bpm = 7.0 + (double)(seed % 4),
                                         .drift_shape = kind % 3,
                                         .noise = (enum simulated_noise)(seed % 3),
                                         .temperature_c = nan,
                                         .start_utc = 1800000000,
                                         .seed = seed };
    const struct limits limits = limits_default();
    const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    return simulated_recording(arena, &ride, &plan, &limits);
}

/* A rider's rides as sums, days four apart; `days` [n] gets the truth. */
static struct response_ride *rides_of(struct arena *arena, const struct simulated_rider *rider,
                                      size_t n, uint64_t seed, double days[])
{
    const struct limits limits = limits_default();
    struct random random = random_begin(seed);
    struct response_ride *rides = arena_alloc(arena, n, sizeof *rides);
    for (size_t i = 0; i < n; i++) {
        struct arena *scratch = arena_open();
        days[i] = DAY_SD * random_normal(&random);
        const struct recording *recording =
            ridden(scratch, rider, days[i], (int)(i % 4), seed * 100 + i);
        check(response_ride_of(scratch, recording, rider->max_heart_rate_bpm, &limits, &rides[i]) ==
              RIDE_FITS);
        rides[i].id = (int64_t)i + 1;
        rides[i].day = 100 + 4 * (int64_t)i;
        arena_close(scratch);
    }
    return rides;
}

static void test_heart_response__recovers_riders_it_shares_no_code_with(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    size_t held = 0;
    size_t unusual = 0;
    size_t n_days = 0;
    size_t n_fitted = 0;
    double tau_off = 0.0;
    double day_off = 0.0;
    double error = 0.0;
    for (uint64_t seed = 1; seed <= RIDERS; seed++) {
        struct arena *arena = arena_open();
        const struct simulated_rider rider = simulated_rider_draw(seed);
        double days[RIDES + 1];
        const struct response_ride *rides = rides_of(arena, &rider, RIDES + 1, seed, days);
        const struct heart_response response =
            heart_response_fit(arena, rides, RIDES, rider.threshold_w, &limits);
        if (response.end == RESPONSE_FITTED) {
            n_fitted++;
            held += response.gain_low <= rider.gain_bpm_per_w &&
                            rider.gain_bpm_per_w <= response.gain_high
                        ? 1
                        : 0;
            const double tau = (rider.tau_up_s + rider.tau_down_s) / 2.0;
            tau_off += fabs(log(response.tau_s / tau));
            error += response.error_bpm;
            double mean = 0.0;
            for (size_t i = 0; i < RIDES; i++) {
                mean += days[i] / RIDES;
            }
            for (size_t i = 0; i < RIDES; i++) {
                day_off += pow(response.day_bpm[i] - (days[i] - mean) * RIDES / (RIDES - 1.0), 2);
            }
            const struct response_day day =
                heart_response_day(&response, &rides[RIDES], false, &limits);
            n_days++;
            unusual += day.verdict != USUAL ? 1 : 0;
        }
        arena_close(arena);
    }
    printf("# note: %zu of %d fitted; gain held by %zu; tau off by a factor %.2f; days off by %.1f "
           "bpm; error %.1f bpm; %zu of %zu days called unusual\n",
           n_fitted, RIDERS, held, exp(tau_off / (double)n_fitted),
           sqrt(day_off / (double)(n_fitted * RIDES)), error / (double)n_fitted, unusual, n_days);
    check(n_fitted >= RIDERS - 2);
    check(held * 100 >= n_fitted * 80);
    check(exp(tau_off / (double)n_fitted) < 1.35);
    check(sqrt(day_off / (double)(n_fitted * RIDES)) < 4.0);
    check(unusual <= 3);
}

static void test_heart_response__sees_a_day_well_off_usual(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    size_t higher = 0;
    size_t lower = 0;
    for (uint64_t seed = 1; seed <= 10; seed++) {
        struct arena *arena = arena_open();
        const struct simulated_rider rider = simulated_rider_draw(seed);
        double days[RIDES];
        const struct response_ride *rides = rides_of(arena, &rider, RIDES, seed, days);
        const struct heart_response response =
            heart_response_fit(arena, rides, RIDES, rider.threshold_w, &limits);
        check(response.end == RESPONSE_FITTED);
        for (int sign = -1; sign <= 1; sign += 2) {
            struct response_ride ride;
            const struct recording *recording = ridden(arena, &rider, sign * 18.0, 0, 900 + seed);
            check(response_ride_of(arena, recording, rider.max_heart_rate_bpm, &limits, &ride) ==
                  RIDE_FITS);
            ride.day = response.last_day + 1;
            const struct response_day day = heart_response_day(&response, &ride, false, &limits);
            higher += sign > 0 && day.verdict == USUAL_HIGHER ? 1 : 0;
            lower += sign < 0 && day.verdict == USUAL_LOWER ? 1 : 0;
        }
        arena_close(arena);
    }
    printf("# note: of 10 days at +18 bpm %zu were called higher, of 10 at -18 bpm %zu lower\n",
           higher, lower);
    check(higher >= 8 && lower >= 8);
}

/* The days come from fits without the ride: subtracted, they must be what a fit to the others
 * says, up to the node and the memory that the others alone would choose. */
static void test_heart_response__leaving_out_is_a_subtraction(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct simulated_rider rider = simulated_rider_default();
    double days[RIDES];
    const struct response_ride *rides = rides_of(arena, &rider, RIDES, 5, days);
    const struct heart_response all =
        heart_response_fit(arena, rides, RIDES, rider.threshold_w, &limits);
    check(all.end == RESPONSE_FITTED);
    struct response_ride *others = arena_alloc(arena, RIDES, sizeof *others);
    for (size_t out = 0; out < RIDES; out++) {
        size_t n = 0;
        for (size_t i = 0; i < RIDES; i++) {
            if (i != out) {
                others[n++] = rides[i];
            }
        }
        const struct heart_response without =
            heart_response_fit(arena, others, n, rider.threshold_w, &limits);
        const struct response_day day = heart_response_day(&without, &rides[out], false, &limits);
        check_near("day", all.day_bpm[out], day.bpm + day.trend_bpm, 1.0);
    }
    arena_close(arena);
}

/* Both lines at once: the chance that a standard normal day, or the mean of two over its own sd,
 * lies above the quantile of 1 / (looks x rarity), by summing over the day before.  What is wanted
 * is one in `rarity`: the normal integral, no table. */
static void test_heart_response__two_looks_share_one_rarity(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    const double rarity = limits.value[LIMIT_TODAY_RARITY];
    const double line =
        distributions_normal_quantile(1.0 - 1.0 / (limits.value[LIMIT_TODAY_LOOKS] * rarity));
    double share = 0.0;
    for (double before = -8.0; before < 8.0; before += 0.001) {
        const double needed = fmin(line, sqrt(2.0) * line - before);
        share += 0.001 * exp(-0.5 * before * before) / sqrt(2.0 * acos(-1.0)) *
                 (1.0 - distributions_normal_cdf(needed));
    }
    check_near("of rides", 1.0 / share, rarity, 0.1);
}

/* Days that fall by 0.2 a day are followed, at some distance: so steep a line isn't believed whole.
 * Days that come in threes are alike; days that alternate aren't. */
static void test_heart_response__usual_moves_with_its_days(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct simulated_rider rider = simulated_rider_default();
    struct response_ride rides[RIDES + 1];
    const struct {
        const char *name;
        double fall_bpm; /* from ride to ride */
        double swing_bpm;
        int stays; /* rides */
    } cases[] = { { "falling", -0.8, 0.0, 1 },
                  { "in threes", 0.0, 6.0, 3 },
                  { "to and fro", 0.0, 6.0, 1 } };
    double alike[COUNT(cases)];
    for (size_t k = 0; k < COUNT(cases); k++) {
        double mean = 0.0;
        double last = 0.0;
        for (int i = 0; i <= RIDES; i++) {
            const double swing = i / cases[k].stays % 2 == 0 ? 0.5 : -0.5;
            last = cases[k].fall_bpm * i + cases[k].swing_bpm * swing;
            mean += i < RIDES ? last / RIDES : 0.0;
            const struct recording *recording =
                ridden(arena, &rider, last, i % 4, 70 + (uint64_t)i);
            check(response_ride_of(arena, recording, rider.max_heart_rate_bpm, &limits,
                                   &rides[i]) == RIDE_FITS);
            rides[i].id = i + 1;
            rides[i].day = 100 + 4 * i;
        }
        const struct heart_response response =
            heart_response_fit(arena, rides, RIDES, rider.threshold_w, &limits);
        const struct response_day day = heart_response_day(&response, &rides[RIDES], true, &limits);
        printf("# note: %s: trend %+.3f a day, alike %.2f, moved %+.1f, against usual %+.1f\n",
               cases[k].name, response.trend_bpm, response.alike, day.trend_bpm, day.bpm);
        if (k == 0) {
            check(response.trend_bpm < -0.02 && response.trend_bpm > -0.2);
            check(day.trend_bpm < 0.0 && fabs(day.bpm) < fabs(last - mean));
        }
        alike[k] = response.alike;
    }
    check(alike[1] > 2.0 * alike[2]);
    arena_close(arena);
}

static void test_heart_response__order_changes_nothing(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct simulated_rider rider = simulated_rider_default();
    double days[6];
    struct response_ride *rides = rides_of(arena, &rider, 6, 7, days);
    const struct heart_response a = heart_response_fit(arena, rides, 6, rider.threshold_w, &limits);
    const struct response_ride kept = rides[0];
    rides[0] = rides[5];
    rides[5] = kept;
    const struct heart_response b = heart_response_fit(arena, rides, 6, rider.threshold_w, &limits);
    check(memcmp(&a.gain_bpm_per_w, &b.gain_bpm_per_w, sizeof a.gain_bpm_per_w) == 0);
    check(memcmp(&a.day_bpm[0], &b.day_bpm[5], sizeof a.day_bpm[0]) == 0);
    arena_close(arena);
}

static void test_heart_response__refuses_with_its_reason(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct simulated_rider rider = simulated_rider_default();
    double days[4];
    struct response_ride *rides = rides_of(arena, &rider, 4, 3, days);
    check(heart_response_fit(arena, rides, 2, 246, &limits).end == RESPONSE_TOO_FEW);
    check(heart_response_fit(arena, rides, 4, (double)NAN, &limits).end == RESPONSE_NO_THRESHOLD);
    const struct heart_response none = heart_response_fit(arena, rides, 0, 246, &limits);
    check(none.end == RESPONSE_TOO_FEW && isnan(none.gain_bpm_per_w));
    check(heart_response_day(&none, &rides[0], false, &limits).verdict == USUAL_UNKNOWN);
    /* The same even hour, over and over: no power to compare with. */
    for (size_t i = 0; i < 4; i++) {
        rides[i].spread_w = 5.0;
    }
    check(heart_response_fit(arena, rides, 4, 246, &limits).end == RESPONSE_TOO_EVEN);
    arena_close(arena);
}

static void test_heart_response__constant_heart_rate_is_absurd(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct simulated_rider rider = simulated_rider_default();
    struct response_ride rides[4];
    for (size_t i = 0; i < 4; i++) {
        struct recording *recording = ridden(arena, &rider, 0, (int)i, 40 + i);
        for (size_t t = 0; t < recording->n_seconds; t++) {
            recording->value[CHANNEL_HEART_RATE][t] = 140;
            recording->mask[CHANNEL_HEART_RATE][t] = MASK_NONE;
        }
        check(response_ride_of(arena, recording, 189, &limits, &rides[i]) == RIDE_FITS);
        rides[i].id = (int64_t)i;
        rides[i].day = (int64_t)i;
    }
    const struct heart_response out = heart_response_fit(arena, rides, 4, 246, &limits);
    check_text("end", response_end_name(out.end), "absurd");
    check(isnan(out.gain_low) && isnan(out.tau_s));
    arena_close(arena);
}

static void test_heart_response__rides_without_a_channel_do_not_fit(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct simulated_rider rider = simulated_rider_default();
    struct response_ride ride;
    struct recording *recording = ridden(arena, &rider, 0, 0, 1);
    int32_t *kept = recording->value[CHANNEL_HEART_RATE];
    recording->value[CHANNEL_HEART_RATE] = NULL;
    check(response_ride_of(arena, recording, 189, &limits, &ride) == RIDE_NO_HEART);
    recording->value[CHANNEL_HEART_RATE] = kept;
    recording->value[CHANNEL_POWER] = NULL;
    check(response_ride_of(arena, recording, 189, &limits, &ride) == RIDE_NO_POWER);
    struct recording *brief = ridden(arena, &rider, 0, 0, 1);
    brief->n_seconds = 600;
    check(response_ride_of(arena, brief, 189, &limits, &ride) == RIDE_TOO_SHORT);
    arena_close(arena);
}

/* PH-17's numbers: 110 to 150 bpm with a time constant of 60 s. */
static void test_heart_response__what_is_expected_follows_a_step(void **state)
{
    (void)state;
    enum { N = 600 };
    const struct heart_response response = { .end = RESPONSE_FITTED,
                                             .threshold_w = 250,
                                             .tau_s = 60,
                                             .dead_s = 0,
                                             .gain_bpm_per_w = 0.4,
                                             .rest_bpm = 110,
                                             .error_bpm = 3,
                                             .day_sd_bpm = 4 };
    double power[N];
    double bpm[N];
    double low[N];
    double high[N];
    for (size_t i = 0; i < N; i++) {
        power[i] = 100;
    }
    heart_response_expect(&response, power, N, bpm, low, high);
    check_near("at 30 s", bpm[29], 125.738774, 1e-6);
    check_near("at 60 s", bpm[59], 135.284822, 1e-6);
    check_near("at 180 s", bpm[179], 148.008517, 1e-6);
    check_near("half the band", high[0] - bpm[0], 1.6448536269514722 * 5.0, 1e-9);
    check_near("the other half", bpm[0] - low[0], 1.6448536269514722 * 5.0, 1e-9);
}

int main(void)
{
    maths_begin();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_heart_response__recovers_riders_it_shares_no_code_with),
        cmocka_unit_test(test_heart_response__sees_a_day_well_off_usual),
        cmocka_unit_test(test_heart_response__leaving_out_is_a_subtraction),
        cmocka_unit_test(test_heart_response__two_looks_share_one_rarity),
        cmocka_unit_test(test_heart_response__usual_moves_with_its_days),
        cmocka_unit_test(test_heart_response__order_changes_nothing),
        cmocka_unit_test(test_heart_response__refuses_with_its_reason),
        cmocka_unit_test(test_heart_response__constant_heart_rate_is_absurd),
        cmocka_unit_test(test_heart_response__rides_without_a_channel_do_not_fit),
        cmocka_unit_test(test_heart_response__what_is_expected_follows_a_step),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
