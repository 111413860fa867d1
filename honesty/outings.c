/* honesty/outings.c: rides of one simulated rider, day by day. */
#include "honesty/outings.h"

#include "honesty/second/sessions.h"
#include "simulated/outings.h"

#include <math.h>

enum { STREAM = 0xa1, FIRST_DAY = 20000 };

static const double DAY_SD_BPM = 4.5; /* F-30 */

int outing_place_in_week(const struct outing_rider *rider, const struct outing *outing)
{
    return outing->number % rider->rides_a_week;
}

/* Two hard days a week, one long, the rest easy. */
static struct recording *first_ride(struct arena *arena, const struct outing_rider *of,
                                    const struct outing *outing, const struct limits *limits,
                                    double *max_bpm)
{
    static const struct simulated_habits habits = {
        .eases_off = 0.2, .too_hard = 0.2, .starts_hard = 0.2, .fades = 0.2, .long_h = { 1.5, 2.5 }
    };
    static const enum simulated_outing week[] = { SIMULATED_OUTING_EASY, SIMULATED_OUTING_HARD,
                                                  SIMULATED_OUTING_LONG, SIMULATED_OUTING_STEADY,
                                                  SIMULATED_OUTING_EASY, SIMULATED_OUTING_BASE };
    const uint64_t seed = of->seed * 512 + (uint64_t)outing->number;
    struct simulated_random r = simulated_random_begin(seed, STREAM);
    struct simulated_rider rider = simulated_rider_draw(of->seed);
    rider.day_bpm = outing->day_bpm;
    const double drift_bpm = simulated_random_between(&r, 4.0, 12.0);
    struct simulated_plan plan =
        simulated_outing_make(arena, &rider, &habits, week[outing_place_in_week(of, outing)],
                              outing->number % 3 != 0, drift_bpm, seed);
    plan.device.power_scale = outing->scale;
    const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    *max_bpm = rider.max_heart_rate_bpm;
    return simulated_recording(arena, &ride, &plan, limits);
}

static struct recording *second_ride(struct arena *arena, const struct outing_rider *of,
                                     const struct outing *outing, const struct limits *limits,
                                     double *max_bpm)
{
    static const enum second_session week[] = { SECOND_EASY_RIDE, SECOND_VO2MAX,
                                                SECOND_EASY_RIDE, SECOND_THRESHOLD,
                                                SECOND_EASY_RIDE, SECOND_BASE_HOUR };
    const uint64_t seed = of->seed * 512 + (uint64_t)outing->number;
    struct second_random r = second_random_begin(seed, STREAM);
    struct second_rider rider = second_rider_draw(of->seed);
    rider.day_bpm = outing->day_bpm;
    rider.rise_bpm *= 1.0 - 0.05 * outing->fitter;
    rider.heat_bpm_per_h *= exp(0.2 * second_normal(&r));
    const enum second_place place = (enum second_place)(outing->number % SECOND_PLACES);
    struct second_plan plan =
        second_plan_make(arena, &rider, week[outing_place_in_week(of, outing)], place, seed);
    /* One rider has one device. */
    plan.device = second_device_draw(of->seed);
    plan.device.power_scale = outing->scale;
    *max_bpm = rider.max_bpm;
    return second_ride_make(arena, &rider, &plan, limits).recording;
}

struct recording *outing_ride(struct arena *arena, const struct outing_rider *of,
                              const struct outing *outing, const struct limits *limits,
                              double *max_bpm)
{
    return of->second ? second_ride(arena, of, outing, limits, max_bpm)
                      : first_ride(arena, of, outing, limits, max_bpm);
}

bool outing_sums(struct arena *arena, const struct recording *recording, double max_bpm,
                 const struct outing *outing, const struct limits *limits,
                 struct response_ride *out)
{
    const bool fits = response_ride_of(arena, recording, max_bpm, limits, out) == RIDE_FITS;
    out->id = 1 + outing->number;
    out->day = outing->day;
    return fits;
}

/* ---- days ---- */

struct outing_days outing_days_begin(uint64_t seed)
{
    return (struct outing_days){ .one = simulated_random_begin(seed, STREAM + 1),
                                 .two = second_random_begin(seed, STREAM + 1) };
}

double outing_next_day_bpm(const struct outing_rider *of, struct outing_days *days)
{
    const double keeps = of->second ? 0.4 : 0.0;
    const double fresh =
        of->second ? second_heavy(&days->two) : simulated_random_normal(&days->one);
    days->last = keeps * days->last + sqrt(1.0 - keeps * keeps) * fresh;
    return DAY_SD_BPM * days->last;
}

int64_t outing_day(int rides_a_week, int number)
{
    static const int days[7][6] = {
        [4] = { 0, 2, 4, 6 }, [5] = { 0, 1, 3, 5, 6 }, [6] = { 0, 1, 2, 3, 5, 6 }
    };
    return FIRST_DAY + 7 * (number / rides_a_week) +
           days[rides_a_week % 7][number % rides_a_week % 6];
}

double outing_threshold_w(const struct outing_rider *of)
{
    return of->second ? second_rider_draw(of->seed).threshold_w
                      : simulated_rider_draw(of->seed).threshold_w;
}
