/* What the rider's own response is good for, on simulated riders whose truth is known: drift with
 * its gain in place of that of all riders; the trend at base-test power; a meter that reads high.
 * The simulator shares no code with what it tests. */
#include "check.h"

#include "coaching/base_trend.h"
#include "maths/maths.h"
#include "maths/random.h"
#include "physiology/drift.h"
#include "physiology/steady.h"
#include "simulated/plans.h"

#include <math.h>
#include <stdio.h>

enum { RIDERS = 10, RIDES = 8, HOURS_A_RIDER = 6, TREND_RIDERS = 8, TREND_RIDES = 30 };

static const double DAY_SD = 4.5; /* F-30 */

static enum simulated_session any_session(size_t i)
{
    static const enum simulated_session any[] = { SIMULATED_BASE_HOUR, SIMULATED_VO2MAX_DONE,
                                                  SIMULATED_THRESHOLD_2X20,
                                                  SIMULATED_SWEET_SPOT_3X12 };
    return any[i % 4];
}

/* A ride as sums.  `day_bpm` is all that differs from usual, `scale` what the meter shows. */
static bool sums_of(const struct simulated_rider *usual, enum simulated_session session,
                    double day_bpm, double scale, uint64_t seed, struct response_ride *out)
{
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct simulated_rider rider = *usual;
    rider.day_bpm = day_bpm;
    struct simulated_plan plan = simulated_plan_make(arena, &rider, session, false, seed);
    plan.device.power_scale = scale;
    const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    const bool fits = response_ride_of(arena, simulated_recording(arena, &ride, &plan, &limits),
                                       rider.max_heart_rate_bpm, &limits, out) == RIDE_FITS;
    arena_close(arena);
    return fits;
}

static struct heart_response response_of(struct arena *arena, const struct simulated_rider *rider,
                                         uint64_t seed)
{
    const struct limits limits = limits_default();
    struct random random = random_begin(seed);
    struct response_ride *rides = arena_alloc(arena, RIDES, sizeof *rides);
    size_t n = 0;
    for (size_t i = 0; i < RIDES; i++) {
        rides[n].id = rides[n].day = (int64_t)i + 1;
        n += sums_of(rider, any_session(i), DAY_SD * random_normal(&random), 1.0, seed * 100 + i,
                     &rides[n]);
    }
    return heart_response_fit(arena, rides, n, rider->threshold_w, &limits);
}

struct tally {
    double n;
    double held;
    double width;
    double off;
};

static void add(struct tally *tally, const struct drift *drift, double truth)
{
    tally->n += 1.0;
    tally->held += drift->low_bpm <= truth && truth <= drift->high_bpm ? 1.0 : 0.0;
    tally->width += drift->high_bpm - drift->low_bpm;
    tally->off += fabs(drift->drift_bpm - truth);
}

static void note(const char *name, const struct tally *t)
{
    printf("# note: %-22s %3.0f hours: held %.0f %%, width %.1f bpm, off by %.2f\n", name, t->n,
           100.0 * t->held / t->n, t->width / t->n, t->off / t->n);
}

/* The true rise over the minutes that were fitted. */
static double truth_of(const struct simulated_plan *plan, const struct drift *drift)
{
    const enum simulated_drift_shape shape = (enum simulated_drift_shape)plan->drift_shape;
    const double length_s = plan->drift_to_s - plan->drift_from_s;
    return simulated_heart_drift(shape, plan->drift_bpm, length_s,
                                 drift->fitted.to_s - plan->drift_from_s) -
           simulated_heart_drift(shape, plan->drift_bpm, length_s,
                                 drift->fitted.from_s - plan->drift_from_s);
}

/* Hours in which power was let down: there the gain decides. */
static void test_drift__own_gain_is_surer_and_no_less_honest(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct tally tally[2][2] = { { { 0 } } };
    for (uint64_t r = 1; r <= RIDERS; r++) {
        struct arena *arena = arena_open();
        const struct simulated_rider rider = simulated_rider_draw(300 + r);
        const struct heart_response response = response_of(arena, &rider, 300 + r);
        for (uint64_t i = 0; i < HOURS_A_RIDER && response.end == RESPONSE_FITTED; i++) {
            struct arena *scratch = arena_open();
            const size_t eased = i % 2;
            const struct simulated_plan plan = simulated_plan_make(
                scratch, &rider, eased ? SIMULATED_BASE_LET_DOWN : SIMULATED_BASE_HOUR, false,
                700000 + r * 100 + i);
            const struct simulated_ride ride = simulated_ride_make(scratch, &rider, &plan);
            const struct recording *recording = simulated_recording(scratch, &ride, &plan, &limits);
            const struct steady steady = steady_find(scratch, recording, &limits);
            const struct drift all =
                drift_fit(scratch, recording, &steady, rider.threshold_w, &limits);
            const struct drift own =
                drift_fit_with(scratch, recording, &steady, rider.threshold_w, &response, &limits);
            if (all.known && own.known) {
                add(&tally[0][eased], &all, truth_of(&plan, &all));
                add(&tally[1][eased], &own, truth_of(&plan, &own));
            }
            arena_close(scratch);
        }
        arena_close(arena);
    }
    note("gain of all, held", &tally[0][0]);
    note("own gain, held", &tally[1][0]);
    note("gain of all, let down", &tally[0][1]);
    note("own gain, let down", &tally[1][1]);
    check(tally[0][1].n >= 15.0);
    check(tally[1][1].width < tally[0][1].width);
    check(tally[1][1].held + tally[1][0].held >= 0.8 * (tally[1][1].n + tally[1][0].n));
}

/* ---- weeks ---- */

/* What is done to the meter half-way. */
enum done { ANOTHER_METER, ZERO_OFFSET, NOTHING_SEEN };

/* Thirty rides in twelve weeks, heart rate going by `bpm` over them, the meter of the later half
 * showing `scale` times the truth; through the fit of the response, as the roster does. */
static bool weeks_of(struct arena *arena, uint64_t seed, double bpm, double scale, enum done done,
                     struct base_trend *out)
{
    const struct limits limits = limits_default();
    const struct simulated_rider rider = simulated_rider_draw(seed);
    struct random random = random_begin(seed);
    struct response_ride *sums = arena_alloc(arena, TREND_RIDES, sizeof *sums);
    struct past_ride *rides = ARENA_ARRAY(arena, struct past_ride, TREND_RIDES);
    size_t n = 0;
    for (size_t i = 0; i < TREND_RIDES; i++) {
        const double share = (double)i / (TREND_RIDES - 1) - 0.5;
        const int64_t day = 20000 + (int64_t)(84.0 * (share + 0.5));
        if (sums_of(&rider, any_session(i), bpm * share + DAY_SD * random_normal(&random),
                    i < TREND_RIDES / 2 ? 1.0 : scale, seed * 1000 + i, &sums[n])) {
            sums[n].id = (int64_t)n + 1;
            sums[n].day = day;
            rides[n] = past_ride_begin(sums[n].id, day);
            rides[n].felt_w = sums[n].mean_w;
            const bool is_later = i >= TREND_RIDES / 2;
            rides[n].meter = is_later && done == ANOTHER_METER ? 2 : 1;
            rides[n].zero_offset = 800.0 + 10.0 * random_normal(&random) +
                                   (is_later && done == ZERO_OFFSET ? 300.0 : 0.0);
            n++;
        }
    }
    const struct heart_response response =
        heart_response_fit(arena, sums, n, rider.threshold_w, &limits);
    if (response.end != RESPONSE_FITTED) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        rides[i].day_bpm = response.day_bpm[i];
    }
    const struct rider_history history = {
        .today = 20085,
        .power_since_day = INT64_MIN,
        .heart = { response.threshold_w, response.gain_bpm_per_w, response.rest_bpm,
                   response.day_sd_bpm, true },
        .rides = rides,
        .n_rides = n,
    };
    struct reading progress = reading_begin(QUESTION_PROGRESS);
    progress.verdict = VERDICT_BETTER;
    const struct base_trend_beside beside = { &progress, NULL };
    base_trend_read(arena, &history, &beside, &limits, out);
    return true;
}

struct weeks {
    int n;
    int falling;
    int rising;
    int shifts;
    int at_offsets; /* of them */
};

static struct weeks try_weeks(double bpm, double scale, enum done done)
{
    struct weeks weeks = { 0 };
    for (uint64_t r = 1; r <= TREND_RIDERS; r++) {
        struct arena *arena = arena_open();
        struct base_trend trend;
        if (weeks_of(arena, 500 + r, bpm, scale, done, &trend)) {
            weeks.n++;
            weeks.falling += trend.reading.verdict == VERDICT_FALLING ? 1 : 0;
            weeks.rising += trend.reading.verdict == VERDICT_RISING ? 1 : 0;
            weeks.shifts += trend.shift.state == SHIFT_FOUND ? 1 : 0;
            weeks.at_offsets +=
                trend.shift.state == SHIFT_FOUND && !isnan(trend.shift.offset_after) ? 1 : 0;
        }
        arena_close(arena);
    }
    static const char *const names[] = { "another meter", "zero offset", "nothing seen" };
    printf("# note: %+.0f beats in 12 weeks, %s, x %.2f: of %d riders %d falling, %d rising, %d "
           "steps, %d of them at an offset\n",
           bpm, names[done], scale, weeks.n, weeks.falling, weeks.rising, weeks.shifts,
           weeks.at_offsets);
    return weeks;
}

static void test_weeks__trend_and_meter_through_the_fitted_response(void **state)
{
    (void)state;
    const struct weeks still = try_weeks(0.0, 1.0, ANOTHER_METER);
    const struct weeks fitter = try_weeks(-12.0, 1.0, ANOTHER_METER);
    const struct weeks high = try_weeks(0.0, 1.3, ANOTHER_METER);
    check(still.n >= TREND_RIDERS - 1);
    check(still.falling + still.rising <= 2 && still.shifts == 0);
    check(fitter.falling * 4 >= fitter.n * 3 && fitter.rising == 0);
    check(high.shifts * 4 >= high.n * 3 && high.falling <= 1);
    /* A zero offset that changed: with a step, without one; and a step that nothing dates. */
    const struct weeks set_wrong = try_weeks(0.0, 1.3, ZERO_OFFSET);
    const struct weeks set_right = try_weeks(0.0, 1.0, ZERO_OFFSET);
    const struct weeks undated = try_weeks(0.0, 1.3, NOTHING_SEEN);
    check(set_wrong.shifts * 4 >= set_wrong.n * 3 && set_wrong.at_offsets == set_wrong.shifts);
    check(set_right.shifts == 0 && set_right.falling + set_right.rising <= 2);
    check(undated.shifts == 0);
}

int main(void)
{
    maths_begin();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_drift__own_gain_is_surer_and_no_less_honest),
        cmocka_unit_test(test_weeks__trend_and_meter_through_the_fitted_response),
    };
    return cmocka_run_group_tests_name("response uses", tests, NULL, NULL);
}
