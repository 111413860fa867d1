/* honesty/numbers_trial.c: what is fitted against what was put in. */
#include "honesty/numbers_trial.h"

#include "honesty/outings.h"
#include "honesty/second/ride.h"
#include "physiology/power_duration.h"
#include "simulated/heart.h"

#include <math.h>

enum { RIDES_A_WEEK = 4, RIDES = 36, SETTLE_S = 1800, STEPS_S = 3 * SETTLE_S, STREAM = 0xc3 };

/* 1 - 1/e: how far a first-order step has come after its time constant. */
static const double SHARE_AT_TAU = 0.6321205588285577;

int numbers_window(int which)
{
    static const int rides[NUMBERS_WINDOWS] = { 6, 12, RIDES };
    return rides[which];
}

/* ---- the truth ---- */

static void follow(uint64_t seed, bool second, const double power_w[], double out[])
{
    if (second) {
        double heat[STEPS_S];
        struct second_rider rider = second_rider_draw(seed);
        rider.heat_bpm_per_h = 0.0;
        rider.day_bpm = 0.0;
        second_heart_follow(&rider, power_w, STEPS_S, out, heat);
    } else {
        struct simulated_rider rider = simulated_rider_draw(seed);
        rider.day_bpm = 0.0;
        simulated_heart_follow(&rider, power_w, STEPS_S, out);
    }
}

/* Half an hour each, in shares of threshold. */
static void follow_steps(uint64_t seed, bool second, double threshold_w, const double shares[3],
                         double out[])
{
    double power[STEPS_S];
    for (int t = 0; t < STEPS_S; t++) {
        power[t] = threshold_w * shares[t / SETTLE_S];
    }
    follow(seed, second, power, out);
}

/* Seconds from the change at `from` to 63.2 % of the way to where it settles. */
static double lag_after(const double heart_bpm[], int from)
{
    const double begins = heart_bpm[from];
    const double ends = heart_bpm[from + SETTLE_S - 1];
    int t = from;
    while (t + 1 < from + SETTLE_S && (heart_bpm[t] - begins) / (ends - begins) < SHARE_AT_TAU) {
        t++;
    }
    return t - from;
}

struct heart_truth heart_truth_of(uint64_t seed, bool second)
{
    static const double change[3] = { 0.5, 0.9, 0.5 };
    static const double level[3] = { 0.7, 0.7, 0.7 };
    double heart[STEPS_S];
    const struct outing_rider of = { seed, RIDES_A_WEEK, second };
    struct heart_truth truth = { .threshold_w = outing_threshold_w(&of) };
    follow_steps(seed, second, truth.threshold_w, change, heart);
    truth.gain_bpm_per_w =
        (heart[2 * SETTLE_S - 1] - heart[SETTLE_S - 1]) / (0.4 * truth.threshold_w);
    truth.lag_s = (lag_after(heart, SETTLE_S) + lag_after(heart, 2 * SETTLE_S)) / 2.0;
    truth.lag_s += second ? second_device_draw(seed).heart_late_s : 0;
    follow_steps(seed, second, truth.threshold_w, level, heart);
    truth.level_bpm = heart[STEPS_S - 1];
    return truth;
}

/* ---- the response ---- */

static double mean_of(const double x[], int n)
{
    double sum = 0.0;
    for (int i = 0; i < n; i++) {
        sum += x[i];
    }
    return sum / n;
}

/* A day is held against a fit without it, so the truth is against the mean of the others. */
static double days_off(const struct heart_response *response, const double days[], int n)
{
    const double mean = mean_of(days, n);
    double squares = 0.0;
    for (int i = 0; i < n; i++) {
        const double want = (days[i] - mean) * n / (n - 1.0);
        squares += pow(response->day_bpm[i] - want, 2);
    }
    return sqrt(squares / n);
}

/* Root of the mean square of what is left of a ride, its mean taken out: as error_bpm has it. */
static double left_of(const struct heart_response *response, const struct response_ride *ride)
{
    const double(*s)[RESPONSE_COLUMNS] = ride->at[response->node].plain;
    const double b[RESPONSE_COLUMNS] = { -response->rest_bpm, -response->gain_bpm_per_w,
                                         -response->drift_bpm_per_h / response->threshold_w, 1.0 };
    double squares = 0.0;
    double sum = 0.0;
    for (int i = 0; i < RESPONSE_COLUMNS; i++) {
        sum += b[i] * s[0][i];
        for (int j = 0; j < RESPONSE_COLUMNS; j++) {
            squares += b[i] * b[j] * s[i][j];
        }
    }
    const double n = (double)ride->n;
    return sqrt(fmax(squares / n - pow(sum / n, 2), 0.0));
}

static struct response_recovered recover(const struct response_ride rides[], const double days[],
                                         int n, const struct heart_truth *truth,
                                         const struct limits *limits)
{
    struct arena *arena = arena_open();
    struct response_recovered out = { 0 };
    const struct heart_response response =
        heart_response_fit(arena, rides, (size_t)n, truth->threshold_w, limits);
    if (response.end == RESPONSE_FITTED) {
        const double level = response.rest_bpm + response.gain_bpm_per_w * 0.7 * truth->threshold_w;
        out = (struct response_recovered){
            .is_fitted = true,
            .gain_held = response.gain_low <= truth->gain_bpm_per_w &&
                         truth->gain_bpm_per_w <= response.gain_high,
            .gain_ratio = response.gain_bpm_per_w / truth->gain_bpm_per_w - 1.0,
            .lag_s = response.tau_s + response.dead_s - truth->lag_s,
            .level_bpm = level - (truth->level_bpm + mean_of(days, n)),
            .days_bpm = days_off(&response, days, n),
            .error_bpm = response.error_bpm,
            .new_ride_bpm = left_of(&response, &rides[n]),
        };
    }
    arena_close(arena);
    return out;
}

struct responses_recovered response_recover(uint64_t seed, bool second, const struct limits *limits)
{
    const struct heart_truth truth = heart_truth_of(seed, second);
    const struct outing_rider of = { seed, RIDES_A_WEEK, second };
    struct arena *arena = arena_open();
    struct response_ride *rides = ARENA_ARRAY(arena, struct response_ride, RIDES + 1);
    double days[RIDES + 1];
    struct outing_days next = outing_days_begin(seed);
    int n = 0;
    for (int number = 0; n < RIDES + 1 && number < 2 * RIDES; number++) {
        struct arena *scratch = arena_open();
        const struct outing outing = { .number = number,
                                       .day = outing_day(RIDES_A_WEEK, number),
                                       .day_bpm = outing_next_day_bpm(&of, &next),
                                       .scale = 1.0 };
        double max_bpm = (double)NAN;
        const struct recording *recording = outing_ride(scratch, &of, &outing, limits, &max_bpm);
        if (outing_sums(scratch, recording, max_bpm, &outing, limits, &rides[n])) {
            days[n++] = outing.day_bpm;
        }
        arena_close(scratch);
    }
    struct responses_recovered out = { 0 };
    for (int w = 0; n == RIDES + 1 && w < NUMBERS_WINDOWS; w++) {
        const int from = RIDES - numbers_window(w);
        out.at[w] = recover(&rides[from], &days[from], numbers_window(w), &truth, limits);
    }
    arena_close(arena);
    return out;
}

/* ---- critical power ---- */

const struct power_case *power_case_of(int which)
{
    /* F-50: 2.4 % a day, 3.5 % of bests from riding, 6.5 % on separate days. */
    static const struct power_case cases[POWER_CASES] = {
        { 3, 0.0225, false }, { 4, 0.0225, false }, { 5, 0.0225, false }, { 5, 0.035, false },
        { 5, 0.065, false },  { 3, 0.0225, true },  { 5, 0.0225, true },
    };
    return &cases[which];
}

struct power_recovered power_recover(uint64_t seed, const struct power_case *of,
                                     const struct limits *limits)
{
    static const double seconds[] = { 180, 720, 420, 1190, 300 };
    const struct simulated_rider rider = simulated_rider_draw(seed);
    const double cp = rider.critical_power_w;
    const double w = rider.w_prime_j;
    struct simulated_random r = simulated_random_begin(seed, STREAM);
    const double peak = cp * simulated_random_between(&r, 2.5, 4.5);
    /* Morton 1996: with a highest power, t = W' / (P - CP) - W' / (peak - CP). */
    const double earlier_s = of->with_peak ? w / (peak - cp) : 0.0;
    struct duration_effort efforts[5];
    for (int i = 0; i < of->efforts; i++) {
        efforts[i] = (struct duration_effort){
            .duration_s = seconds[i],
            .mean_w =
                (cp + w / (seconds[i] + earlier_s)) * exp(of->error * simulated_random_normal(&r)),
            .ride = i + 1,
            .day = 100 + i,
            .is_maximal = true,
        };
    }
    struct arena *arena = arena_open();
    const struct power_duration out =
        power_duration_read(arena, efforts, (size_t)of->efforts, limits);
    arena_close(arena);
    return out.end != DURATION_KNOWN
               ? (struct power_recovered){ 0 }
               : (struct power_recovered){ .is_known = true,
                                           .cp_held = out.cp_low_w <= cp && cp <= out.cp_high_w,
                                           .w_held =
                                               out.w_prime_low_j <= w && w <= out.w_prime_high_j,
                                           .cp_ratio = out.cp_w / cp - 1.0,
                                           .w_ratio = out.w_prime_j / w - 1.0 };
}
