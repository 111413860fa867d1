/* What the simulator promises to those who test against it. */
#include "check.h"

#include "simulated/heart.h"
#include "simulated/noise.h"
#include "simulated/random.h"
#include "simulated/ride.h"
#include "simulated/rider.h"

#include <math.h>
#include <string.h>

/* A rider who is first order and nothing else. */
static struct simulated_rider plain_rider(double tau_s)
{
    return (struct simulated_rider){
        .threshold_w = 250.0,
        .critical_power_w = 1e9,
        .max_heart_rate_bpm = 300.0,
        .rest_heart_rate_bpm = 110.0,
        .gain_bpm_per_w = 0.2,
        .tau_up_s = tau_s,
        .tau_down_s = tau_s,
    };
}

/* Source: shared checks PH-17, first-order step 110 -> 150 bpm (computed there with scipy; tau:
 * Hunt, Grunder and Zahnd 2019, PLoS ONE 14:e0220826). */
static void test_heart__first_order_step_follows_published_values(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double tau_s;
        size_t at_s;
        double want_bpm;
    } rows[] = {
        { "tau 60, 30 s", 60.0, 30, 125.738774 },   { "tau 60, 60 s", 60.0, 60, 135.284822 },
        { "tau 60, 120 s", 60.0, 120, 144.586589 }, { "tau 60, 180 s", 60.0, 180, 148.008517 },
        { "tau 68.7, 60 s", 68.7, 60, 133.298191 }, { "tau 68.7, 180 s", 68.7, 180, 147.088140 },
    };
    double power_w[400];
    double bpm[400];
    for (size_t t = 0; t < COUNT(power_w); t++) {
        power_w[t] = t < 100 ? 0.0 : 200.0;
    }
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct simulated_rider rider = plain_rider(rows[i].tau_s);
        simulated_heart_follow(&rider, power_w, COUNT(power_w), bpm);
        check_near("before the step", bpm[100], 110.0, 1e-12);
        check_near(rows[i].name, bpm[100 + rows[i].at_s], rows[i].want_bpm, 1e-6);
    }
}

static void test_heart__dead_time_shifts_the_answer(void **state)
{
    (void)state;
    struct simulated_rider rider = plain_rider(60.0);
    double power_w[300];
    double early[300];
    double late[300];
    for (size_t t = 0; t < COUNT(power_w); t++) {
        power_w[t] = t < 50 ? 0.0 : 180.0;
    }
    simulated_heart_follow(&rider, power_w, COUNT(power_w), early);
    rider.dead_time_s = 12.0;
    simulated_heart_follow(&rider, power_w, COUNT(power_w), late);
    for (size_t t = 12; t < COUNT(power_w); t++) {
        check_near("12 s later", late[t], early[t - 12], 1e-12);
    }
}

static void test_heart__falls_with_its_own_time_constant(void **state)
{
    (void)state;
    struct simulated_rider rider = plain_rider(40.0);
    rider.tau_down_s = 80.0;
    double power_w[2000];
    double bpm[2000];
    for (size_t t = 0; t < COUNT(power_w); t++) {
        power_w[t] = t < 1000 ? 200.0 : 0.0;
    }
    simulated_heart_follow(&rider, power_w, COUNT(power_w), bpm);
    /* By hand: 40 bpm x e^-1 above rest after one time constant, up and down. */
    check_near("up", bpm[40], 150.0 - 40.0 * exp(-1.0), 1e-9);
    check_near("down", bpm[1080], 110.0 + 40.0 * exp(-1.0), 1e-6);
}

static void test_heart__ceiling_bends_and_is_never_reached(void **state)
{
    (void)state;
    check_near("well below", simulated_heart_ceiling(170.0, 189.0), 170.0, 0.0);
    check_near("at the bend", simulated_heart_ceiling(181.0, 189.0), 181.0, 1e-12);
    double before = 180.0;
    for (double bpm = 181.0; bpm < 215.0; bpm += 1.0) {
        const double bent = simulated_heart_ceiling(bpm, 189.0);
        check(bent > before && bent < 189.0 && bent <= bpm);
        before = bent;
    }
}

static void test_heart__drift_has_the_asked_size_in_every_shape(void **state)
{
    (void)state;
    static const double spans_s[] = { 1800.0, 2400.0, 3300.0, 3600.0, 5400.0 };
    for (int row = 0; row < SIMULATED_DRIFT_SHAPE_COUNT; row++) {
        const enum simulated_drift_shape shape = (enum simulated_drift_shape)row;
        for (size_t i = 0; i < COUNT(spans_s); i++) {
            const double end_s = spans_s[i] < 3600.0 ? spans_s[i] : 3600.0;
            const double from = simulated_heart_drift(shape, 9.0, spans_s[i], 360.0);
            const double to = simulated_heart_drift(shape, 9.0, spans_s[i], end_s);
            check_near("minute 6 to 60 or the end", to - from, 9.0, 1e-12);
            check_near("before", simulated_heart_drift(shape, 9.0, spans_s[i], -5.0), 0.0, 0.0);
            check_near("after", simulated_heart_drift(shape, 9.0, spans_s[i], 9999.0),
                       simulated_heart_drift(shape, 9.0, spans_s[i], spans_s[i]), 0.0);
        }
    }
    const double half_straight = simulated_heart_drift(SIMULATED_DRIFT_STRAIGHT, 9.0, 3600, 1980);
    const double half_early = simulated_heart_drift(SIMULATED_DRIFT_EARLY, 9.0, 3600, 1980) -
                              simulated_heart_drift(SIMULATED_DRIFT_EARLY, 9.0, 3600, 360);
    const double half_late = simulated_heart_drift(SIMULATED_DRIFT_LATE, 9.0, 3600, 1980);
    check_near("straight: half way at half time", half_straight - 1.0, 4.5, 1e-12);
    check(half_early > 5.5);
    check(half_late < 3.0);
}

/* The sample mean and standard deviation over many rides come near 0 and the asked size.  By hand:
 * 400 independent hours; the slowest kind (15 min memory) has about 2 independent values an hour,
 * so the mean is known to about 1 / sqrt(800) = 0.035 sd; bounds are four times that. */
static void test_noise__every_kind_has_mean_zero_and_the_asked_sd(void **state)
{
    (void)state;
    static double x[3600];
    for (int row = 0; row < SIMULATED_NOISE_COUNT; row++) {
        const enum simulated_noise kind = (enum simulated_noise)row;
        double sum = 0.0;
        double squares = 0.0;
        for (uint64_t seed = 0; seed < 400; seed++) {
            simulated_noise_make(kind, 2.0, 1000 + seed, x, COUNT(x));
            for (size_t t = 0; t < COUNT(x); t++) {
                sum += x[t];
                squares += x[t] * x[t];
            }
        }
        const double n = 400.0 * (double)COUNT(x);
        check_near(simulated_noise_name(kind), sum / n, 0.0, 0.28);
        check_near(simulated_noise_name(kind), sqrt(squares / n), 2.0, 0.12);
    }
}

/* By hand: correlation at lag k of AR(1) is exp(-k / tau). */
static void test_noise__remembers_as_long_as_it_says(void **state)
{
    (void)state;
    static const struct {
        enum simulated_noise kind;
        size_t lag_s;
        double want;
    } rows[] = {
        { SIMULATED_NOISE_WHITE, 1, 0.0 },
        { SIMULATED_NOISE_AR1_SHORT, 20, 0.3679 },
        { SIMULATED_NOISE_AR1_LONG, 120, 0.3679 },
        { SIMULATED_NOISE_HEAVY_TAILS, 10, 0.3679 },
        { SIMULATED_NOISE_RANDOM_WALK, 900, 0.3679 },
    };
    static double x[7200];
    for (size_t i = 0; i < COUNT(rows); i++) {
        double products = 0.0;
        double squares = 0.0;
        for (uint64_t seed = 0; seed < 100; seed++) {
            simulated_noise_make(rows[i].kind, 1.0, seed, x, COUNT(x));
            for (size_t t = rows[i].lag_s; t < COUNT(x); t++) {
                products += x[t] * x[t - rows[i].lag_s];
                squares += x[t] * x[t];
            }
        }
        check_near(simulated_noise_name(rows[i].kind), products / squares, rows[i].want, 0.09);
    }
}

static void test_random__streams_and_seeds_differ_and_repeat(void **state)
{
    (void)state;
    struct simulated_random a = simulated_random_begin(7, 1);
    struct simulated_random again = simulated_random_begin(7, 1);
    struct simulated_random stream = simulated_random_begin(7, 2);
    struct simulated_random seed = simulated_random_begin(8, 1);
    int same_stream = 0;
    int same_seed = 0;
    for (int i = 0; i < 1000; i++) {
        const uint64_t bits = simulated_random_bits(&a);
        check(bits == simulated_random_bits(&again));
        same_stream += bits == simulated_random_bits(&stream);
        same_seed += bits == simulated_random_bits(&seed);
    }
    check_integer("stream", same_stream, 0);
    check_integer("seed", same_seed, 0);
}

static void test_random__numbers_stay_in_their_bounds(void **state)
{
    (void)state;
    struct simulated_random r = simulated_random_begin(3, 3);
    int seen[6] = { 0 };
    double sum = 0.0;
    double squares = 0.0;
    for (int i = 0; i < 60000; i++) {
        const double unit = simulated_random_unit(&r);
        check(unit >= 0.0 && unit < 1.0);
        seen[simulated_random_whole(&r, 0, 5)]++;
        const double z = simulated_random_normal(&r);
        sum += z;
        squares += z * z;
        check(simulated_random_wait(&r) >= 0.0);
    }
    for (int i = 0; i < 6; i++) {
        /* Binomial: sd 91 around 10000. */
        check_near("each whole number as often", seen[i], 10000.0, 460.0);
    }
    check_near("normal mean", sum / 60000.0, 0.0, 0.02);
    check_near("normal variance", squares / 60000.0, 1.0, 0.03);
}

static const struct simulated_block HOUR[] = {
    { .duration_s = 600, .power_w = 120, .end_power_w = 160, .cadence_rpm = (double)NAN },
    { .duration_s = 3600, .power_w = 172, .end_power_w = (double)NAN, .cadence_rpm = (double)NAN },
    { .duration_s = 300, .power_w = 110, .end_power_w = (double)NAN, .cadence_rpm = (double)NAN },
};

static struct simulated_plan hour_plan(uint64_t seed)
{
    return (struct simulated_plan){
        .blocks = HOUR,
        .n_blocks = COUNT(HOUR),
        .drift_bpm = 8.0,
        .drift_from_s = 600.0,
        .drift_to_s = 4200.0,
        .temperature_c = 21.0,
        .noise = SIMULATED_NOISE_AR1_SHORT,
        .seed = seed,
    };
}

static void check_same_samples(const struct samples *a, const struct samples *b)
{
    check_integer("rows", (int64_t)a->count, (int64_t)b->count);
    check(memcmp(a->time_s, b->time_s, a->count * sizeof a->time_s[0]) == 0);
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        check((a->value[c] == NULL) == (b->value[c] == NULL));
        if (a->value[c] != NULL) {
            check(memcmp(a->value[c], b->value[c], a->count * sizeof a->value[c][0]) == 0);
        }
    }
}

static void test_ride__same_seed_gives_the_same_ride(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct simulated_rider rider = simulated_rider_default();
    struct simulated_plan plan = hour_plan(11);
    plan.outdoors = true;
    plan.hilliness = 0.5;
    plan.coasting_ratio = 0.08;
    plan.junctions_per_h = 6.0;
    plan.device = simulated_device_draw(4);
    const struct simulated_ride a = simulated_ride_make(arena, &rider, &plan);
    const struct simulated_ride b = simulated_ride_make(arena, &rider, &plan);
    check_same_samples(&a.samples, &b.samples);
    plan.seed = 12;
    const struct simulated_ride c = simulated_ride_make(arena, &rider, &plan);
    check(memcmp(a.samples.value[CHANNEL_POWER], c.samples.value[CHANNEL_POWER],
                 1000 * sizeof(int32_t)) != 0);
    arena_close(arena);
}

static void test_ride__truth_rises_by_the_drift_at_constant_power(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct simulated_rider rider = simulated_rider_default();
    for (int shape = 0; shape < SIMULATED_DRIFT_SHAPE_COUNT; shape++) {
        struct simulated_plan plan = hour_plan(5);
        plan.power_cv = -1.0;
        plan.noise_bpm = -1.0;
        plan.drift_shape = shape;
        const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
        check_near("asked", ride.drift_bpm, 8.0, 0.0);
        /* What is left of the settling after 6 min is under 0.1 beat with these numbers. */
        const double rise = ride.second_heart_bpm[4199] - ride.second_heart_bpm[960];
        check_near("true rise", rise, 8.0, 0.1);
        /* Without noise the device shows the truth in whole beats. */
        for (size_t i = 0; i < ride.samples.count; i++) {
            check_near("whole beats", ride.samples.value[CHANNEL_HEART_RATE][i],
                       ride.true_heart_bpm[i], 0.5);
        }
    }
    arena_close(arena);
}

static void test_ride__without_scatter_power_is_the_plan(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct simulated_rider rider = simulated_rider_default();
    struct simulated_plan plan = hour_plan(5);
    plan.power_cv = -1.0;
    const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    check_integer("rows", (int64_t)ride.samples.count, 4500);
    for (size_t t = 600; t < 4200; t++) {
        check_integer("hour", ride.samples.value[CHANNEL_POWER][t], 172);
    }
    check_integer("ramp starts", ride.samples.value[CHANNEL_POWER][0], 120);
    check_integer("ramp ends", ride.samples.value[CHANNEL_POWER][599], 160);
    check_integer("cool down", ride.samples.value[CHANNEL_POWER][4200], 110);
    arena_close(arena);
}

static void mean_and_cv(const double x[], size_t n, double *mean, double *cv)
{
    double sum = 0.0;
    double squares = 0.0;
    for (size_t i = 0; i < n; i++) {
        sum += x[i];
    }
    *mean = sum / (double)n;
    for (size_t i = 0; i < n; i++) {
        squares += (x[i] - *mean) * (x[i] - *mean);
    }
    *cv = sqrt(squares / (double)(n - 1)) / *mean;
}

static void test_ride__scatter_and_mean_are_as_asked(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct simulated_rider rider = simulated_rider_default();
    static const struct {
        const char *name;
        bool outdoors;
        double asked;
        double lowest;
        double highest;
    } rows[] = {
        { "asked 4 % indoors", false, 0.04, 0.036, 0.044 },
        { "by seed indoors", false, 0.0, 0.027, 0.10 },
        { "asked 15 % outdoors, flat", true, 0.15, 0.12, 0.18 },
        { "by seed outdoors, flat", true, 0.0, 0.08, 0.30 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        for (uint64_t seed = 0; seed < 5; seed++) {
            struct simulated_plan plan = hour_plan(seed);
            plan.outdoors = rows[i].outdoors;
            plan.power_cv = rows[i].asked;
            const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
            double mean = (double)NAN;
            double cv = (double)NAN;
            mean_and_cv(ride.second_power_w + 610, 3580, &mean, &cv);
            check(cv > rows[i].lowest && cv < rows[i].highest);
            check_close(rows[i].name, mean, 172.0, 0.06);
        }
    }
    arena_close(arena);
}

static void test_ride__coasts_and_stops_as_often_as_asked(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct simulated_rider rider = simulated_rider_default();
    double stops = 0.0;
    for (uint64_t seed = 0; seed < 20; seed++) {
        struct simulated_plan plan = hour_plan(seed);
        plan.outdoors = true;
        plan.hilliness = 0.6;
        plan.coasting_ratio = 0.10;
        const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
        size_t zeros = 0;
        for (size_t t = 0; t < ride.n_seconds; t++) {
            zeros += ride.second_power_w[t] <= 0.0;
        }
        check_near("share of zeros", (double)zeros / (double)ride.n_seconds, 0.10, 0.002);

        plan.junctions_per_h = 8.0;
        const struct simulated_ride busy = simulated_ride_make(arena, &rider, &plan);
        const int32_t *speed = busy.samples.value[CHANNEL_SPEED];
        for (size_t t = 100; t < busy.samples.count; t++) {
            stops += speed[t] == 0 && speed[t - 1] != 0;
        }
    }
    /* 8 an hour, 1.25 h, 20 rides: 200; some fall away where one stands already. */
    check_near("junctions", stops, 185.0, 45.0);
    arena_close(arena);
}

static void test_ride__rests_of_the_legs_show_in_cadence_and_speed(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct simulated_rider rider = simulated_rider_default();
    struct simulated_plan plan = hour_plan(2);
    plan.outdoors = true;
    plan.coasting_ratio = 0.12;
    plan.junctions_per_h = 10.0;
    const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    const int32_t *power = ride.samples.value[CHANNEL_POWER];
    const int32_t *cadence = ride.samples.value[CHANNEL_CADENCE];
    const int32_t *distance = ride.samples.value[CHANNEL_DISTANCE];
    size_t soft = 0;
    size_t still = 0;
    for (size_t t = 1; t < ride.samples.count; t++) {
        check(cadence[t] > 0 || power[t] == 0);
        check(distance[t] >= distance[t - 1]);
        soft += power[t] == 0 && cadence[t] > 0;
        still += power[t] == 0 && cadence[t] == 0;
    }
    check(still > 4 * soft);
    check(soft > 0);
    /* 172 W on the flat: about 30 km/h (common practice, no source). */
    const double km_h = (distance[4199] - distance[600]) / 100.0 / 3600.0 * 3.6;
    check(km_h > 24.0 && km_h < 36.0);
    arena_close(arena);
}

static const struct simulated_block FOUR_BY_FOUR[] = {
    { .duration_s = 900, .power_w = 120, .end_power_w = 170, .cadence_rpm = (double)NAN },
    { .duration_s = 240,
      .power_w = 280,
      .end_power_w = (double)NAN,
      .cadence_rpm = 95,
      .is_rep = true },
    { .duration_s = 180, .power_w = 110, .end_power_w = (double)NAN, .cadence_rpm = (double)NAN },
    { .duration_s = 240, .power_w = 300, .end_power_w = 260, .cadence_rpm = 95, .is_rep = true },
    { .duration_s = 180, .is_stop = true, .timer_off = true },
    { .duration_s = 240,
      .power_w = 280,
      .end_power_w = (double)NAN,
      .cadence_rpm = 95,
      .is_rep = true },
    { .duration_s = 300, .power_w = 110, .end_power_w = (double)NAN, .cadence_rpm = (double)NAN },
};

static void test_ride__knows_where_its_efforts_are(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct simulated_rider rider = simulated_rider_default();
    for (int outdoors = 0; outdoors < 2; outdoors++) {
        const struct simulated_plan plan = {
            .blocks = FOUR_BY_FOUR,
            .n_blocks = COUNT(FOUR_BY_FOUR),
            .outdoors = outdoors != 0,
            .hilliness = 0.5,
            .coasting_ratio = 0.06,
            .junctions_per_h = 10.0,
            .temperature_c = (double)NAN,
            .seed = 21,
        };
        const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
        check_integer("efforts", (int64_t)ride.n_reps, 3);
        check_integer("first starts", ride.reps[0].start_s, 900);
        check_integer("first ends", ride.reps[0].end_s, 1140);
        check_integer("second starts", ride.reps[1].start_s, 1320);
        check_integer("third starts", ride.reps[2].start_s, 1740);
        for (size_t i = 0; i < ride.n_reps; i++) {
            /* She comes out within 0.7 % (one sd) of what she set out to ride. */
            check_close("mean of an effort", ride.reps[i].mean_power_w, 280.0, 0.03);
        }
        check_integer("timer stops", (int64_t)ride.n_timer_stops, 1);
        check_integer("stop from", ride.timer_stops[0].from_s, 1560);
        check_integer("stop to", ride.timer_stops[0].to_s, 1740);
        check_integer("no row while the timer stood", (int64_t)ride.samples.count,
                      (int64_t)ride.n_seconds - 180);
        check(ride.samples.value[CHANNEL_TEMPERATURE] == NULL);
        check((ride.samples.value[CHANNEL_LATITUDE] != NULL) == plan.outdoors);
    }
    arena_close(arena);
}

static void test_ride__device_quirks_leave_the_truth_alone(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct simulated_rider rider = simulated_rider_default();
    struct simulated_plan plan = hour_plan(9);
    const struct simulated_ride clean = simulated_ride_make(arena, &rider, &plan);
    plan.device = (struct simulated_device){ .missing_per_h = 20.0,
                                             .jitter_per_h = 20.0,
                                             .heart_hold_s = 3,
                                             .heart_lag_s = 2,
                                             .power_average_s = 3,
                                             .without_balance = true };
    const struct simulated_ride odd = simulated_ride_make(arena, &rider, &plan);
    check(memcmp(clean.second_power_w, odd.second_power_w, 4500 * sizeof(double)) == 0);
    check(memcmp(clean.second_heart_bpm, odd.second_heart_bpm, 4500 * sizeof(double)) == 0);
    check_integer("clean rows", (int64_t)clean.samples.count, 4500);
    check(odd.samples.count < 4490 && odd.samples.count > 4400);
    size_t doubled = 0;
    for (size_t i = 1; i < odd.samples.count; i++) {
        check(odd.samples.time_s[i] >= odd.samples.time_s[i - 1]);
        doubled += odd.samples.time_s[i] == odd.samples.time_s[i - 1];
    }
    check(doubled > 5 && doubled < 60);
    check(odd.samples.value[CHANNEL_BALANCE] == NULL);
    arena_close(arena);
}

static void test_rider__drawn_riders_span_the_range(void **state)
{
    (void)state;
    double lowest = 1e9;
    double highest = 0.0;
    double gain = 0.0;
    for (uint64_t seed = 0; seed < 500; seed++) {
        const struct simulated_rider rider = simulated_rider_draw(seed);
        lowest = fmin(lowest, rider.threshold_w);
        highest = fmax(highest, rider.threshold_w);
        gain += rider.gain_bpm_per_w * rider.threshold_w / 500.0;
        const double at_70 =
            rider.rest_heart_rate_bpm + 0.7 * rider.gain_bpm_per_w * rider.threshold_w;
        check(at_70 > 0.55 * rider.max_heart_rate_bpm && at_70 < 0.9 * rider.max_heart_rate_bpm);
    }
    check(lowest >= 140.0 && lowest < 150.0);
    check(highest <= 340.0 && highest > 330.0);
    check_near("gain x threshold", gain, 82.0, 3.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_heart__first_order_step_follows_published_values),
        cmocka_unit_test(test_heart__dead_time_shifts_the_answer),
        cmocka_unit_test(test_heart__falls_with_its_own_time_constant),
        cmocka_unit_test(test_heart__ceiling_bends_and_is_never_reached),
        cmocka_unit_test(test_heart__drift_has_the_asked_size_in_every_shape),
        cmocka_unit_test(test_noise__every_kind_has_mean_zero_and_the_asked_sd),
        cmocka_unit_test(test_noise__remembers_as_long_as_it_says),
        cmocka_unit_test(test_random__streams_and_seeds_differ_and_repeat),
        cmocka_unit_test(test_random__numbers_stay_in_their_bounds),
        cmocka_unit_test(test_ride__same_seed_gives_the_same_ride),
        cmocka_unit_test(test_ride__truth_rises_by_the_drift_at_constant_power),
        cmocka_unit_test(test_ride__without_scatter_power_is_the_plan),
        cmocka_unit_test(test_ride__scatter_and_mean_are_as_asked),
        cmocka_unit_test(test_ride__coasts_and_stops_as_often_as_asked),
        cmocka_unit_test(test_ride__rests_of_the_legs_show_in_cadence_and_speed),
        cmocka_unit_test(test_ride__knows_where_its_efforts_are),
        cmocka_unit_test(test_ride__device_quirks_leave_the_truth_alone),
        cmocka_unit_test(test_rider__drawn_riders_span_the_range),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
