/* tests/drawing/response_samples.h: a made rider's rides, response, efforts and sessions, for the
 * figures of what only a model can say. */
#ifndef TESTS_DRAWING_RESPONSE_SAMPLES_H
#define TESTS_DRAWING_RESPONSE_SAMPLES_H

#include "drawing/draw_check.h"

#include "drawing/response_figures.h"
#include "maths/random.h"
#include "simulated/ride.h"

enum { SAMPLE_TODAY = 20700, SAMPLE_KINDS = 4 };

/* About an hour: steady, 4 x 4 min, 2 x 15 min, or easy. */
static inline struct recording *sample_recording(struct arena *arena, double day_bpm, int kind,
                                                 uint64_t seed)
{
    const double nan = (double)NAN;
    struct simulated_rider rider = simulated_rider_draw(3);
    const double w = rider.threshold_w;
    struct simulated_block blocks[16] = { 0 };
    size_t n = 0;
    blocks[n++] = (struct simulated_block){ 900, 0.5 * w, 0.6 * w, nan, .is_rep = false };
    if (kind == 0) {
        blocks[n++] = (struct simulated_block){ 3000, 0.7 * w, nan, nan, .is_rep = false };
    }
    for (int i = 0; kind == 1 && i < 4; i++) {
        blocks[n++] = (struct simulated_block){ 240, 1.12 * w, nan, nan, .is_rep = true };
        blocks[n++] = (struct simulated_block){ 180, 0.5 * w, nan, nan, .is_rep = false };
    }
    for (int i = 0; kind == 2 && i < 2; i++) {
        blocks[n++] = (struct simulated_block){ 900, 0.92 * w, nan, nan, .is_rep = true };
        blocks[n++] = (struct simulated_block){ 300, 0.5 * w, nan, nan, .is_rep = false };
    }
    if (kind == 3) {
        blocks[n++] = (struct simulated_block){ 4200, 0.6 * w, nan, nan, .is_rep = false };
    }
    blocks[n++] = (struct simulated_block){ 600, 0.45 * w, nan, nan, .is_rep = false };
    rider.day_bpm = day_bpm;
    const struct simulated_plan plan = { .blocks = blocks,
                                         .n_blocks = n,
                                         .drift_bpm = 8.0,
                                         .temperature_c = nan,
                                         .start_utc = 1800000000,
                                         .seed = seed };
    const struct limits limits = limits_default();
    const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    return simulated_recording(arena, &ride, &plan, &limits);
}

static inline double sample_threshold_w(void)
{
    return simulated_rider_draw(3).threshold_w;
}

static inline double sample_max_bpm(void)
{
    return simulated_rider_draw(3).max_heart_rate_bpm;
}

/* n rides on days that never fall back, the last of them today; those beyond the first twelve have
 * the sums of one of these. */
static inline struct response_ride *sample_rides(struct arena *arena, size_t n, int64_t days)
{
    enum { OWN = 12 };
    const struct limits limits = limits_default();
    struct random random = random_begin(11);
    struct response_ride *rides = ARENA_ARRAY(arena, struct response_ride, n);
    for (size_t i = 0; i < n; i++) {
        if (i < OWN) {
            struct arena *scratch = arena_open();
            const struct recording *recording =
                sample_recording(scratch, 5.0 * random_normal(&random), (int)(i % SAMPLE_KINDS), i);
            check(response_ride_of(scratch, recording, sample_max_bpm(), &limits, &rides[i]) ==
                  RIDE_FITS);
            arena_close(scratch);
        } else {
            rides[i] = rides[i % OWN];
        }
        rides[i].id = (int64_t)i + 1;
        rides[i].day = SAMPLE_TODAY - days + (int64_t)((double)days * (double)(i + 1) / (double)n);
    }
    return rides;
}

static inline struct duration_effort sample_effort(double duration_s, double mean_w, int64_t ride)
{
    return (struct duration_effort){
        duration_s, mean_w, ride, 100, SAMPLE_TODAY - 20 + ride, true, DURATION_SAID_EVIDENCE
    };
}

static inline struct rider_power sample_power(struct arena *arena, size_t n, double scatter)
{
    static const double durations[] = { 180, 420, 720, 300, 1200, 12, 600, 240, 150, 1080 };
    const struct limits limits = limits_default();
    struct random random = random_begin(5);
    struct duration_effort *efforts = ARENA_ARRAY(arena, struct duration_effort, n);
    for (size_t i = 0; i < n; i++) {
        const double t = durations[i % COUNT(durations)];
        efforts[i] = sample_effort(
            t, (250.0 + 18000.0 / (t + 25.0)) * (1.0 + scatter * random_normal(&random)),
            (int64_t)i);
    }
    return (struct rider_power){ .curve = power_duration_read(arena, efforts, n, &limits),
                                 .efforts = efforts,
                                 .n_efforts = n };
}

/* The balance of a recording with one rep a fifth of it. */
static inline struct ride_balance sample_balance(struct arena *arena,
                                                 const struct recording *recording, double cp_w,
                                                 double w_prime_j, size_t n_reps)
{
    const struct limits limits = limits_default();
    const double *power_w = recording_series(arena, recording, CHANNEL_POWER);
    struct ride_balance balance = { .end = BALANCE_KNOWN,
                                    .rider = { cp_w, cp_w - 7.0, cp_w + 7.0, w_prime_j,
                                               0.8 * w_prime_j, 1.2 * w_prime_j },
                                    .reps = ARENA_ARRAY(arena, struct rep_balance, n_reps),
                                    .n_reps = n_reps };
    balance.trace = w_balance_read(arena, &balance.rider, power_w, recording->n_seconds, &limits);
    check(balance.trace.is_known);
    for (size_t i = 0; i < n_reps; i++) {
        const int32_t from = 900 + 420 * (int32_t)i;
        const int32_t to = from + 240;
        balance.reps[i] = (struct rep_balance){
            .span = { from, to },
            .cost_j = w_balance_cost_j(cp_w, power_w, (size_t)from, (size_t)to),
            .cost_low_j = 0.0,
            .cost_high_j = 0.0,
            .left_j = balance.trace.middle_j[to],
            .left_low_j = balance.trace.low_j[to],
            .left_high_j = balance.trace.high_j[to],
        };
    }
    return balance;
}

/* Both ways of 5 x 4 min, drawn by hand: to power even, to heart rate falling. */
static inline struct teaching sample_teaching(struct arena *arena, int reps)
{
    const double easy_w = 120.0;
    struct teaching out = { .end = TEACHING_TOLD,
                            .session = { reps, 240, 180, 900, 280, easy_w, 170 },
                            .threshold_w = 246,
                            .max_heart_bpm = 189,
                            .cp_w = 255,
                            .w_prime_j = 18000 };
    for (int way = 0; way < TEACH_WAYS; way++) {
        struct teaching_ride *ride = &out.rides[way];
        ride->n = (size_t)(900 + 420 * reps);
        ride->power_w = ARENA_ARRAY(arena, double, ride->n);
        ride->heart_bpm = ARENA_ARRAY(arena, double, ride->n);
        ride->left_j = ARENA_ARRAY(arena, double, ride->n);
        ride->reps = ARENA_ARRAY(arena, struct teaching_rep, (size_t)reps);
        double heart = 110.0;
        for (size_t i = 0; i < ride->n; i++) {
            const double in_rep = i < 900 ? -1.0 : (double)((i - 900) % 420);
            const bool works = in_rep >= 0.0 && in_rep < 240.0;
            const double hard_w = way == TEACH_POWER ? 280.0 : 245.0 + 85.0 * exp(-in_rep / 60.0);
            ride->power_w[i] = works ? hard_w : easy_w;
            heart += (60.0 + 0.4 * ride->power_w[i] - heart) / 50.0;
            ride->heart_bpm[i] = heart;
            ride->left_j[i] = 10000.0;
        }
        for (int i = 0; i < reps; i++) {
            const int32_t from = 900 + 420 * i;
            ride->reps[i] =
                (struct teaching_rep){ { from, from + 240 }, 280, 285, 275, 170, 172, 60, 9000 };
        }
        ride->at_90_s = 300;
        ride->least_j = 4000;
        ride->mean_w = way == TEACH_POWER ? 280 : 268;
    }
    return out;
}

/* Base tests, an illness and a break. */
static inline struct rider_history sample_history(struct arena *arena)
{
    static const enum verdict verdicts[] = { VERDICT_NOT_PASSED, VERDICT_CANNOT_TELL,
                                             VERDICT_PASSED };
    struct rider_history history = { .today = SAMPLE_TODAY,
                                     .power_since_day = INT64_MIN,
                                     .threshold_day = INT64_MIN,
                                     .rides = ARENA_ARRAY(arena, struct past_ride, 40),
                                     .off = ARENA_ARRAY(arena, struct past_span, 1) };
    for (int64_t i = 0; i < 40; i++) {
        const int64_t day = SAMPLE_TODAY - 90 + 2 * i + (i > 20 ? 12 : 0);
        struct past_ride ride = past_ride_begin(i + 1, day);
        ride.is_base_test = i % 14 == 6;
        if (ride.is_base_test) {
            ride.base = (struct past_reading){ true, verdicts[i / 14], 8.0, 5.0, 11.0, NULL };
        }
        if (day <= SAMPLE_TODAY) {
            history.rides[history.n_rides++] = ride;
        }
    }
    history.off[history.n_off++] =
        (struct past_span){ OFF_ILL, SAMPLE_TODAY - 70, SAMPLE_TODAY - 64 };
    return history;
}

#endif
