/* What the rider's own response is good for, on simulated riders whose truth is known: drift with
 * its gain in place of that of all riders; the trend at base-test power; a meter that reads high.
 * The simulator shares no code with what it tests. */
#include "check.h"

#include "honesty/trend_trial.h"
#include "maths/maths.h"
#include "maths/random.h"
#include "physiology/drift.h"
#include "physiology/steady.h"
#include "simulated/plans.h"

#include <math.h>
#include <stdio.h>

enum { RIDERS = 10, RIDES = 8, HOURS_A_RIDER = 6, TREND_RIDERS = 4 };

static const double DAY_SD = 4.5; /* F-30 */

static enum simulated_session any_session(size_t i)
{
    static const enum simulated_session any[] = { SIMULATED_BASE_HOUR, SIMULATED_VO2MAX_DONE,
                                                  SIMULATED_THRESHOLD_2X20,
                                                  SIMULATED_SWEET_SPOT_3X12 };
    return any[i % 4];
}

/* A ride as sums.  `day_bpm` is all that differs from usual. */
static bool sums_of(const struct simulated_rider *usual, enum simulated_session session,
                    double day_bpm, uint64_t seed, struct response_ride *out)
{
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct simulated_rider rider = *usual;
    rider.day_bpm = day_bpm;
    const struct simulated_plan plan = simulated_plan_make(arena, &rider, session, false, seed);
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
        n += sums_of(rider, any_session(i), DAY_SD * random_normal(&random), seed * 100 + i,
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

struct weeks {
    int n;
    int falling;
    int rising;
    int shifts;
};

/* What is said of each cell of weeks, over some riders of both simulators. */
static void ride_weeks(struct weeks weeks[TREND_CELLS])
{
    const struct limits limits = limits_default();
    for (uint64_t r = 0; r < 2 * TREND_RIDERS; r++) {
        const struct trend_case c = { .seed = 500 + r,
                                      .weeks = TREND_WEEKS_MOST,
                                      .second = r >= TREND_RIDERS };
        const struct trend_outcomes out = trend_trial(&c, &limits);
        for (int k = 0; k < TREND_CELLS; k++) {
            weeks[k].n += out.of[k].is_read;
            weeks[k].falling += out.of[k].verdict == VERDICT_FALLING;
            weeks[k].rising += out.of[k].verdict == VERDICT_RISING;
            weeks[k].shifts += out.of[k].shift != SHIFT_NONE;
        }
    }
}

static void test_weeks__trend_and_meter_through_the_fitted_response(void **state)
{
    (void)state;
    struct weeks weeks[TREND_CELLS] = { { 0 } };
    ride_weeks(weeks);
    for (int k = 0; k < TREND_CELLS; k++) {
        const struct trend_cell *cell = trend_cell(k);
        const struct weeks *w = &weeks[k];
        const bool is_stepped = fabs(cell->step - 1.0) > 1e-9;
        printf("# note: %+.0f beats in 12 weeks, %s, x %.1f: of %d riders %d falling, %d rising, "
               "%d steps\n",
               cell->bpm, trend_done_name(cell->done), cell->step, w->n, w->falling, w->rising,
               w->shifts);
        check(w->n >= 2 * TREND_RIDERS - 1);
        if (cell->bpm < -10.0) {
            check(w->falling * 4 >= w->n * 3 && w->rising == 0);
        } else if (cell->bpm > 10.0) {
            check(w->rising * 4 >= w->n * 3 && w->falling == 0);
        } else if (fabs(cell->bpm) < 1.0 && !is_stepped) {
            check(w->falling + w->rising <= 2);
        }
        if (cell->done != TREND_NOTHING) {
            check(w->falling + w->rising <= 3); /* all of them where the step isn't allowed for */
        }
        /* A step is found where something dates it, and only where there is one. */
        if (cell->done == TREND_NOTHING || !is_stepped) {
            check_integer("steps where there is none, or nothing dates it", w->shifts, 0);
        } else if (cell->step >= 1.3) {
            check(w->shifts * 4 >= w->n * 3);
        }
    }
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
