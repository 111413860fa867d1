/* tests/recordings/test_response_lab.c: the heart's response, as the program fits it, on people in
 * a laboratory: step tests on an ergometer (data of the R package doremi 1.0.0; Mongin et al. 2020,
 * Sci Rep, doi 10.1038/s41598-020-69218-1) beside first-order fits by scipy of the same tests
 * (lab/cardio_fit_expected.csv), a graded test up and down, and 5-minute steps of trained cyclists
 * (Sylta et al. 2016, Med Sci Sports Exerc 48:2165).  What the model misses is printed; the checks
 * are that it lies where the others do. */
#include "check.h"

#include "maths/maths.h"
#include "maths/regression.h"
#include "physiology/heart_response.h"
#include "simulated/ride.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PEOPLE = 13, LONGEST_S = 3000, TIMES = 3 };

/* A test second by second: power holds to the next row, heart rate is drawn straight between rows.
 */
struct lab_test {
    size_t n;
    double peak_w;
    int32_t power_w[LONGEST_S];
    int32_t heart_bpm[LONGEST_S];
    uint8_t mask[LONGEST_S];
};

static void read_test(const double time_s[], const double power_w[], const double heart_bpm[],
                      size_t rows, struct lab_test *out)
{
    memset(out, 0, sizeof *out);
    for (size_t i = 0; i + 1 < rows; i++) {
        const size_t from = (size_t)(time_s[i] - time_s[0]);
        const size_t to = (size_t)(time_s[i + 1] - time_s[0]);
        check(to < LONGEST_S);
        for (size_t t = from; t < to; t++) {
            const double share = (double)(t - from) / (double)(to - from);
            out->power_w[t] = (int32_t)lround(power_w[i]);
            out->heart_bpm[t] =
                (int32_t)lround(heart_bpm[i] + share * (heart_bpm[i + 1] - heart_bpm[i]));
        }
        out->peak_w = fmax(out->peak_w, power_w[i]);
        out->n = to;
    }
}

/* As the program fits; one test counted three times, for a fit asks for three rides: its values are
 * those of the test, its interval means nothing. */
static struct heart_response fit_of(struct arena *arena, struct lab_test *test, size_t seconds)
{
    struct limits limits = limits_default();
    limits.value[LIMIT_RESPONSE_RIDE_S] = 120.0;
    limits.value[LIMIT_RESPONSE_SETTLE_S] = 30.0;
    struct recording recording = { .n_seconds = seconds };
    recording.value[CHANNEL_POWER] = test->power_w;
    recording.value[CHANNEL_HEART_RATE] = test->heart_bpm;
    recording.mask[CHANNEL_POWER] = test->mask;
    recording.mask[CHANNEL_HEART_RATE] = test->mask;
    struct response_ride *rides = ARENA_ARRAY(arena, struct response_ride, TIMES);
    for (size_t i = 0; i < TIMES; i++) {
        if (response_ride_of(arena, &recording, (double)NAN, &limits, &rides[i]) != RIDE_FITS) {
            return (struct heart_response){ .end = RESPONSE_TOO_FEW };
        }
        rides[i].id = (int64_t)i + 1;
        rides[i].day = (int64_t)i;
    }
    return heart_response_fit(arena, rides, TIMES, test->peak_w, &limits);
}

/* Root mean square of what is left after the test's own offset over [own_from, own_to), in [from,
 * to); the mean of it where `which` says so. */
struct missed {
    double error_bpm;
    double rising_bpm; /* observed - expected, while power is above that of the 2 min before */
    double falling_bpm;
    double high_bpm; /* at 85 % of the peak and more */
    double low_bpm;  /* at 50 % and less */
};

static double mean_of(double sum, size_t n)
{
    return n > 0 ? sum / (double)n : (double)NAN;
}

static struct missed missed_of(struct arena *arena, const struct heart_response *response,
                               const struct lab_test *test, size_t own_to, size_t from, size_t to)
{
    enum { SETTLE = 120, BEFORE = 120 };
    double *power = ARENA_ARRAY(arena, double, test->n);
    double *bpm = ARENA_ARRAY(arena, double, test->n);
    double *low = ARENA_ARRAY(arena, double, test->n);
    double *high = ARENA_ARRAY(arena, double, test->n);
    for (size_t t = 0; t < test->n; t++) {
        power[t] = (double)test->power_w[t];
    }
    heart_response_expect(response, power, test->n, bpm, low, high);
    double own = 0.0;
    for (size_t t = SETTLE; t < own_to; t++) {
        own += ((double)test->heart_bpm[t] - bpm[t]) / (double)(own_to - SETTLE);
    }
    double squares = 0.0;
    double sums[4] = { 0 };
    size_t n[4] = { 0 };
    for (size_t t = from < SETTLE ? SETTLE : from; t < to; t++) {
        const double off = (double)test->heart_bpm[t] - bpm[t] - own;
        double before = 0.0;
        for (size_t k = 1; k <= BEFORE && k <= t; k++) {
            before += power[t - k] / fmin(BEFORE, (double)t);
        }
        const bool is[4] = { power[t] > before + 5.0, power[t] < before - 5.0,
                             power[t] >= 0.85 * test->peak_w, power[t] <= 0.5 * test->peak_w };
        for (size_t k = 0; k < COUNT(is); k++) {
            sums[k] += is[k] ? off : 0.0;
            n[k] += is[k] ? 1 : 0;
        }
        squares += off * off / (double)(to - (from < SETTLE ? SETTLE : from));
    }
    return (struct missed){ sqrt(squares), mean_of(sums[0], n[0]), mean_of(sums[1], n[1]),
                            mean_of(sums[2], n[2]), mean_of(sums[3], n[3]) };
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median_of(double values[], size_t n)
{
    qsort(values, n, sizeof values[0], by_value);
    return n == 0 ? (double)NAN : 0.5 * (values[n / 2] + values[(n - 1) / 2]);
}

/* ---- step tests ---- */

static size_t rows_of(const struct table *table, const double subject[], double wanted,
                      size_t *first)
{
    size_t n = 0;
    for (size_t i = 0; i < table->rows; i++) {
        if (fabs(subject[i] - wanted) < 0.5) {
            *first = n == 0 ? i : *first;
            n++;
        }
    }
    return n;
}

static void test_response_lab__step_tests_beside_fits_of_others(void **state)
{
    (void)state;
    static struct lab_test test;
    struct arena *arena = arena_open();
    const struct table data =
        check_table(arena, "recordings/lab/ergometer-steps-hr-13-subjects.csv");
    const struct table want = check_table(arena, "checks/lab/cardio_fit_expected.csv");
    const double *subject = check_column(arena, &data, "subject");
    const double *time_s = check_column(arena, &data, "time_s");
    const double *power = check_column(arena, &data, "power_w");
    const double *heart = check_column(arena, &data, "heart_rate_bpm");
    const double *tau = check_column(arena, &want, "tau_s");
    const double *gain = check_column(arena, &want, "gain_bpm_per_w");
    const double *rmse = check_column(arena, &want, "rmse_bpm");
    double taus[2][PEOPLE];
    double gains[2][PEOPLE];
    double within[PEOPLE];
    double ahead[PEOPLE];
    double rise[PEOPLE];
    double fall[PEOPLE];
    double high[PEOPLE];
    double low[PEOPLE];
    size_t n = 0;
    size_t n_ahead = 0;
    size_t n_refused = 0;
    for (size_t i = 0; i < PEOPLE; i++) {
        size_t first = 0;
        const size_t rows = rows_of(&data, subject, (double)i + 1.0, &first);
        read_test(&time_s[first], &power[first], &heart[first], rows, &test);
        const struct heart_response all = fit_of(arena, &test, test.n);
        if (all.end != RESPONSE_FITTED) {
            printf("# note: person %zu: %s\n", i + 1, response_end_name(all.end));
            n_refused++;
            continue;
        }
        const struct missed whole = missed_of(arena, &all, &test, test.n, 0, test.n);
        printf(
            "# note: person %2zu: tau %3.0f + %2.0f s (scipy %3.0f), gain %.2f bpm/W (%.2f), left "
            "over %.1f bpm (%.1f), rising %+.1f, falling %+.1f, high %+.1f, low %+.1f\n",
            i + 1, all.tau_s, all.dead_s, tau[i], all.gain_bpm_per_w, gain[i], whole.error_bpm,
            rmse[i], whole.rising_bpm, whole.falling_bpm, whole.high_bpm, whole.low_bpm);
        taus[0][n] = all.tau_s + all.dead_s;
        taus[1][n] = tau[i];
        gains[0][n] = all.gain_bpm_per_w;
        gains[1][n] = gain[i];
        rise[n] = whole.rising_bpm;
        fall[n] = whole.falling_bpm;
        high[n] = whole.high_bpm;
        low[n] = whole.low_bpm;
        within[n++] = whole.error_bpm;
        const size_t part = test.n * 6 / 10;
        const struct heart_response early = fit_of(arena, &test, part);
        if (early.end == RESPONSE_FITTED) {
            ahead[n_ahead++] = missed_of(arena, &early, &test, part, part, test.n).error_bpm;
        }
    }
    printf("# note: medians of %zu people: tau with dead time %.0f s (scipy %.0f; published 68.7, "
           "Hunt et al. 2019), gain %.2f bpm/W (scipy %.2f; published 0.39), left over %.1f bpm "
           "(published 2.5), the last 4 tenths from the first 6: %.1f bpm (%zu people)\n",
           n, median_of(taus[0], n), median_of(taus[1], n), median_of(gains[0], n),
           median_of(gains[1], n), median_of(within, n), median_of(ahead, n_ahead), n_ahead);
    printf(
        "# note: missed, medians: rising %+.1f, falling %+.1f, high power %+.1f, low %+.1f bpm\n",
        median_of(rise, n), median_of(fall, n), median_of(high, n), median_of(low, n));
    check(n >= 10 && n + n_refused == PEOPLE);
    check_close("gain", median_of(gains[0], n), median_of(gains[1], n), 0.2);
    check_close("tau", median_of(taus[0], n), median_of(taus[1], n), 0.35);
    check(median_of(within, n) < 8.0);
    arena_close(arena);
}

/* ---- the same steps, simulated ---- */

static void test_response_lab__the_same_of_simulated_riders(void **state)
{
    (void)state;
    static struct lab_test test;
    const struct limits limits = limits_default();
    double within[PEOPLE];
    double ahead[PEOPLE];
    size_t n = 0;
    for (uint64_t seed = 1; seed <= PEOPLE; seed++) {
        struct arena *arena = arena_open();
        struct simulated_rider rider = simulated_rider_draw(seed);
        struct simulated_block blocks[13] = { 0 };
        for (size_t b = 0; b < COUNT(blocks); b++) {
            const double level = 0.25 + 0.1 * (double)(b < 7 ? b : 12 - b);
            blocks[b] = (struct simulated_block){ 120, level * rider.threshold_w, (double)NAN,
                                                  (double)NAN, .is_rep = false };
        }
        const struct simulated_plan plan = { .blocks = blocks,
                                             .n_blocks = COUNT(blocks),
                                             .noise = (enum simulated_noise)(seed % 3),
                                             .temperature_c = (double)NAN,
                                             .start_utc = 1800000000,
                                             .seed = seed };
        const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
        const struct recording *recording = simulated_recording(arena, &ride, &plan, &limits);
        memset(&test, 0, sizeof test);
        test.n = recording->n_seconds < LONGEST_S ? recording->n_seconds : LONGEST_S;
        for (size_t t = 0; t < test.n; t++) {
            test.power_w[t] = recording->value[CHANNEL_POWER][t];
            test.heart_bpm[t] = recording->value[CHANNEL_HEART_RATE][t];
        }
        test.peak_w = rider.threshold_w;
        const struct heart_response all = fit_of(arena, &test, test.n);
        const struct heart_response early = fit_of(arena, &test, test.n * 6 / 10);
        if (all.end == RESPONSE_FITTED && early.end == RESPONSE_FITTED) {
            within[n] = missed_of(arena, &all, &test, test.n, 0, test.n).error_bpm;
            ahead[n++] =
                missed_of(arena, &early, &test, test.n * 6 / 10, test.n * 6 / 10, test.n).error_bpm;
        }
        arena_close(arena);
    }
    printf("# note: simulated steps, medians of %zu riders: left over %.1f bpm, the last 4 tenths "
           "from the first 6: %.1f bpm\n",
           n, median_of(within, n), median_of(ahead, n));
    check(n >= 10);
}

/* ---- a graded test, up and down ---- */

static void test_response_lab__a_graded_test(void **state)
{
    (void)state;
    static struct lab_test test;
    struct arena *arena = arena_open();
    const struct table data = check_table(arena, "recordings/lab/graded-test-hr-vo2-1-subject.csv");
    read_test(check_column(arena, &data, "time_s"), check_column(arena, &data, "power_w"),
              check_column(arena, &data, "heart_rate_bpm"), data.rows, &test);
    const struct heart_response all = fit_of(arena, &test, test.n);
    if (all.end == RESPONSE_FITTED) {
        const struct missed whole = missed_of(arena, &all, &test, test.n, 0, test.n);
        printf(
            "# note: graded test: tau %.0f + %.0f s, gain %.2f bpm/W, left over %.1f bpm, rising "
            "%+.1f, falling %+.1f, high %+.1f\n",
            all.tau_s, all.dead_s, all.gain_bpm_per_w, whole.error_bpm, whole.rising_bpm,
            whole.falling_bpm, whole.high_bpm);
        check(whole.error_bpm < 12.0);
    } else {
        printf("# note: graded test: %s\n", response_end_name(all.end));
    }
    arena_close(arena);
}

/* ---- 5-minute steps: does a line hold at high power? Later steps also hold what drifts. ---- */

static void test_response_lab__hard_steps_against_a_line_through_easy_ones(void **state)
{
    (void)state;
    static const double STEPS[] = { 250, 275, 300, 325, 350 };
    struct arena *arena = arena_open();
    const struct table data =
        check_table(arena, "recordings/lab/cyclists-5min-steps-hr-vo2-lactate-11-subjects.csv");
    const double *subject = check_column(arena, &data, "subject");
    const double *power = check_column(arena, &data, "power_w");
    const double *heart = check_column(arena, &data, "heart_rate_bpm");
    double sums[COUNT(STEPS)] = { 0 };
    size_t n[COUNT(STEPS)] = { 0 };
    for (size_t from = 0; from < data.rows;) {
        size_t to = from + 1;
        while (to < data.rows && fabs(subject[to] - subject[from]) < 0.5 &&
               strcmp(check_cell(&data, to, "timepoint"), check_cell(&data, from, "timepoint")) ==
                   0) {
            to++;
        }
        double x[3];
        double y[3];
        size_t easy = 0;
        for (size_t i = from; i < to; i++) {
            if (power[i] <= 225.0 && !isnan(heart[i]) && easy < 3) {
                x[easy] = power[i];
                y[easy++] = heart[i];
            }
        }
        if (easy == 3) {
            const struct regression_line line = regression_fit_line(x, y, 3);
            for (size_t i = from; i < to; i++) {
                for (size_t s = 0; s < COUNT(STEPS); s++) {
                    if (fabs(power[i] - STEPS[s]) < 0.5 && !isnan(heart[i])) {
                        sums[s] += heart[i] - line.intercept - line.slope * power[i];
                        n[s]++;
                    }
                }
            }
        }
        from = to;
    }
    for (size_t s = 0; s < COUNT(STEPS); s++) {
        printf("# note: %.0f W: %+.1f bpm against the line of 125 to 225 W (%zu tests)\n", STEPS[s],
               mean_of(sums[s], n[s]), n[s]);
    }
    check(n[0] > 5 && n[2] > 5);
    check(fabs(mean_of(sums[0], n[0])) < 5.0);
    arena_close(arena);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    maths_begin();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_response_lab__step_tests_beside_fits_of_others),
        cmocka_unit_test(test_response_lab__the_same_of_simulated_riders),
        cmocka_unit_test(test_response_lab__a_graded_test),
        cmocka_unit_test(test_response_lab__hard_steps_against_a_line_through_easy_ones),
    };
    return cmocka_run_group_tests_name("response_lab", tests, NULL, NULL);
}
