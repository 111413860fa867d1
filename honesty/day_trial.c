/* honesty/day_trial.c: half a year of one simulated rider. */
#include "honesty/day_trial.h"

#include "coaching/heart_today.h"
#include "honesty/second/random.h"
#include "honesty/second/sessions.h"
#include "physiology/doubt.h"
#include "simulated/outings.h"
#include "simulated/random.h"

#include <math.h>

enum {
    STREAM = 0xa1,
    WARM_WEEKS = 6, /* before anything is looked at, where there are more than twice as many */
    EVERY = 4,      /* so many rides, one is tried with days put in */
    AFTER_DAYS = 28,
    FIRST_DAY = 20000,
    RIDES_MOST = DAY_WEEKS_MOST * 6,
};

static const double DAY_SD_BPM = 4.5;

double day_effect_bpm(int effect)
{
    static const double bpm[DAY_EFFECTS] = { 5.0, 8.0, 12.0 };
    return bpm[effect];
}

/* One ride of the season. */
struct outing {
    int number;
    int64_t day;
    double day_bpm;
    double fitter; /* 0 at the first day .. 1 at the last */
    double scale;  /* of the meter */
};

static int place_in_week(const struct day_case *c, const struct outing *outing)
{
    return outing->number % c->rides_a_week;
}

/* Two hard days a week, one long, the rest easy. */
static struct recording *first_ride(struct arena *arena, const struct day_case *c,
                                    const struct outing *outing, const struct limits *limits,
                                    double *max_bpm)
{
    static const struct simulated_habits habits = {
        .eases_off = 0.2, .too_hard = 0.2, .starts_hard = 0.2, .fades = 0.2, .long_h = { 1.5, 2.5 }
    };
    static const enum simulated_outing week[] = { SIMULATED_OUTING_EASY, SIMULATED_OUTING_HARD,
                                                  SIMULATED_OUTING_LONG, SIMULATED_OUTING_STEADY,
                                                  SIMULATED_OUTING_EASY, SIMULATED_OUTING_BASE };
    const uint64_t seed = c->seed * 512 + (uint64_t)outing->number;
    struct simulated_random r = simulated_random_begin(seed, STREAM);
    struct simulated_rider rider = simulated_rider_draw(c->seed);
    rider.day_bpm = outing->day_bpm;
    const double drift_bpm = simulated_random_between(&r, 4.0, 12.0);
    struct simulated_plan plan =
        simulated_outing_make(arena, &rider, &habits, week[place_in_week(c, outing)],
                              outing->number % 3 != 0, drift_bpm, seed);
    plan.device.power_scale = outing->scale;
    const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    *max_bpm = rider.max_heart_rate_bpm;
    return simulated_recording(arena, &ride, &plan, limits);
}

static struct recording *second_ride(struct arena *arena, const struct day_case *c,
                                     const struct outing *outing, const struct limits *limits,
                                     double *max_bpm)
{
    static const enum second_session week[] = { SECOND_EASY_RIDE, SECOND_VO2MAX,
                                                SECOND_EASY_RIDE, SECOND_THRESHOLD,
                                                SECOND_EASY_RIDE, SECOND_BASE_HOUR };
    const uint64_t seed = c->seed * 512 + (uint64_t)outing->number;
    struct second_random r = second_random_begin(seed, STREAM);
    struct second_rider rider = second_rider_draw(c->seed);
    rider.day_bpm = outing->day_bpm;
    rider.rise_bpm *= 1.0 - 0.05 * outing->fitter;
    rider.heat_bpm_per_h *= exp(0.2 * second_normal(&r));
    const enum second_place place = (enum second_place)(outing->number % SECOND_PLACES);
    struct second_plan plan =
        second_plan_make(arena, &rider, week[place_in_week(c, outing)], place, seed);
    /* One rider has one device. */
    plan.device = second_device_draw(c->seed);
    plan.device.power_scale = outing->scale;
    *max_bpm = rider.max_bpm;
    return second_ride_make(arena, &rider, &plan, limits).recording;
}

static struct recording *ride_out(struct arena *arena, const struct day_case *c,
                                  const struct outing *outing, const struct limits *limits,
                                  double *max_bpm)
{
    return c->second ? second_ride(arena, c, outing, limits, max_bpm)
                     : first_ride(arena, c, outing, limits, max_bpm);
}

static bool sums_of(struct arena *arena, const struct recording *recording, double max_bpm,
                    const struct outing *outing, const struct limits *limits,
                    struct response_ride *out)
{
    const bool fits = response_ride_of(arena, recording, max_bpm, limits, out) == RIDE_FITS;
    out->id = 1 + outing->number;
    out->day = outing->day;
    return fits;
}

/* ---- days ---- */

struct days {
    struct simulated_random one;
    struct second_random two;
    double last;
};

static double next_day_bpm(const struct day_case *c, struct days *days)
{
    const double keeps = c->second ? 0.4 : 0.0;
    const double fresh = c->second ? second_heavy(&days->two) : simulated_random_normal(&days->one);
    days->last = keeps * days->last + sqrt(1.0 - keeps * keeps) * fresh;
    return DAY_SD_BPM * days->last;
}

static int64_t day_of(int rides_a_week, int number)
{
    static const int days[7][6] = {
        [4] = { 0, 2, 4, 6 }, [5] = { 0, 1, 3, 5, 6 }, [6] = { 0, 1, 2, 3, 5, 6 }
    };
    return FIRST_DAY + 7 * (number / rides_a_week) +
           days[rides_a_week % 7][number % rides_a_week % 6];
}

/* ---- what is said ---- */

/* A ride with what is known before it. */
struct known {
    const struct heart_response *response;
    struct heart_before before;
};

static enum verdict said(const struct known *known, const struct response_ride *ride,
                         const struct limits *limits, struct response_day *alone)
{
    struct arena *arena = arena_open();
    const struct heart_today today = { .is_trusted = true,
                                       .unfit = RIDE_FITS,
                                       .ride = ride,
                                       .response = known->response,
                                       .before = known->before };
    const enum verdict verdict = heart_today_read(arena, &today, limits, alone).verdict;
    arena_close(arena);
    return verdict;
}

static void look(const struct known *known, const struct response_ride *ride, bool is_after,
                 const struct limits *limits, struct response_day *alone, struct day_outcome *out)
{
    const enum verdict verdict = said(known, ride, limits, alone);
    const int higher = verdict == VERDICT_HIGHER_THAN_USUAL;
    const int lower = verdict == VERDICT_LOWER_THAN_USUAL;
    if (is_after) {
        out->after++;
        out->after_higher += higher;
        out->after_lower += lower;
        return;
    }
    out->rides++;
    out->higher += higher;
    out->lower += lower;
    out->alone += alone->verdict == USUAL_HIGHER || alone->verdict == USUAL_LOWER;
    out->unknown += verdict == VERDICT_CANNOT_TELL;
}

/* The same ride on days that are further off, the one before it as it was, and as far off too. */
static void try_effects(const struct day_case *c, const struct outing *usual,
                        const struct known *known, const struct limits *limits,
                        struct day_outcome *out)
{
    for (int effect = 0; effect < DAY_EFFECTS; effect++) {
        struct arena *arena = arena_open();
        struct outing off = *usual;
        struct response_ride ride;
        double max_bpm = (double)NAN;
        off.day_bpm += day_effect_bpm(effect);
        const struct recording *recording = ride_out(arena, c, &off, limits, &max_bpm);
        if (sums_of(arena, recording, max_bpm, &off, limits, &ride)) {
            struct known pair = *known;
            pair.before.bpm += day_effect_bpm(effect);
            out->tried[effect]++;
            out->seen[effect] += said(known, &ride, limits, NULL) == VERDICT_HIGHER_THAN_USUAL;
            out->pairs[effect] += pair.before.ride != 0;
            out->pairs_seen[effect] += pair.before.ride != 0 && said(&pair, &ride, limits, NULL) ==
                                                                    VERDICT_HIGHER_THAN_USUAL;
        }
        arena_close(arena);
    }
}

/* ---- doubts ---- */

enum { LOW, DRY, LATE };

const char *day_doubt_code(int doubt)
{
    static const char *const codes[DAY_DOUBTS] = { "heart-low", "dry-strap", "late-heart" };
    return codes[doubt];
}

/* How far a fault takes heart rate off in that second, in beats. */
static double off_bpm(int fault, int32_t t)
{
    if (fault == LOW) {
        return t >= 900 && t < 1080 ? -45.0 : 0.0;
    }
    return t < 540 ? 45.0 * fmin((double)t / 60.0, 1.0) : fmax(45.0 - 1.5 * (t - 540), 0.0);
}

/* 45 beats low for three minutes; 45 high for nine, then down within 30 s; 50 s late. */
static void put_fault(struct recording *recording, int fault)
{
    int32_t *heart = recording->value[CHANNEL_HEART_RATE];
    for (int32_t t = (int32_t)recording->n_seconds - 1; t >= 0; t--) {
        if (fault == LATE) {
            heart[t] = heart[t >= 50 ? t - 50 : 0];
        } else if (heart[t] != RECORDING_MISSING) {
            heart[t] += (int32_t)off_bpm(fault, t);
        }
    }
}

/* A late heart shows where power changes: on hard days. */
static void try_fault(const struct day_case *c, const struct outing *outing, int fault,
                      const struct heart_response *response, const struct limits *limits,
                      struct day_outcome *out)
{
    const bool is_hard = place_in_week(c, outing) % 2 == 1;
    struct arena *arena = arena_open();
    double max_bpm = (double)NAN;
    struct recording *recording = ride_out(arena, c, outing, limits, &max_bpm);
    if ((fault != LATE || is_hard) && recording->n_seconds > 1500 &&
        response->end == RESPONSE_FITTED) {
        put_fault(recording, fault);
        doubt_check(arena, recording, response, max_bpm, limits);
        out->put[fault]++;
        out->found[fault] += recording_finding(recording, day_doubt_code(fault)) != NULL;
    }
    arena_close(arena);
}

static void doubt(struct arena *arena, struct recording *recording, double max_bpm,
                  const struct heart_response *response, const struct limits *limits,
                  struct day_outcome *out)
{
    doubt_check(arena, recording, response, max_bpm, limits);
    out->hours += (double)recording->timer_s / 3600.0;
    for (int k = 0; k < DAY_DOUBTS; k++) {
        out->doubted[k] += recording_finding(recording, day_doubt_code(k)) != NULL;
    }
}

/* One ride in four with days, another with a fault put in. */
static void try_more(const struct day_case *c, const struct outing *outing,
                     const struct known *known, const struct limits *limits,
                     struct day_outcome *out)
{
    if (outing->number % EVERY == 0) {
        try_effects(c, outing, known, limits, out);
    } else if (outing->number % EVERY == 2) {
        try_fault(c, outing, outing->number / EVERY % DAY_DOUBTS, known->response, limits, out);
    }
}

/* ---- half a year ---- */

static double threshold_of(const struct day_case *c)
{
    return c->second ? second_rider_draw(c->seed).threshold_w
                     : simulated_rider_draw(c->seed).threshold_w;
}

/* Rides of the window before that day. */
static size_t past_of(const struct response_ride rides[], size_t n, int64_t day,
                      const struct limits *limits, const struct response_ride **from)
{
    size_t first = 0;
    while (first < n &&
           (double)(day - rides[first].day) > limits->value[LIMIT_RESPONSE_WINDOW_DAYS]) {
        first++;
    }
    *from = rides + first;
    return n - first;
}

/* The ride before, unless it is too long ago or could not be told. */
static struct heart_before near(const struct heart_before *before, int64_t day,
                                const struct limits *limits)
{
    const bool counts =
        !isnan(before->bpm) && (double)(day - before->day) <= limits->value[LIMIT_TODAY_PAIR_DAYS];
    return counts ? *before : (struct heart_before){ 0 };
}

struct day_outcome day_trial(const struct day_case *c, const struct limits *limits)
{
    struct arena *arena = arena_open();
    struct response_ride *rides = ARENA_ARRAY(arena, struct response_ride, RIDES_MOST);
    struct days days = { .one = simulated_random_begin(c->seed, STREAM + 1),
                         .two = second_random_begin(c->seed, STREAM + 1) };
    struct day_outcome out = { 0 };
    const int all = c->weeks * c->rides_a_week;
    const int warm = (c->weeks > 2 * WARM_WEEKS ? WARM_WEEKS : 1) * c->rides_a_week;
    const double threshold_w = threshold_of(c);
    struct heart_before before = { 0 };
    size_t n = 0;
    for (int number = 0; number < all; number++) {
        const bool is_stepped = number >= all / 2 && fabs(c->step - 1.0) > 1e-9;
        const struct outing outing = { .number = number,
                                       .day = day_of(c->rides_a_week, number),
                                       .day_bpm = next_day_bpm(c, &days),
                                       .fitter = (double)number / all,
                                       .scale = is_stepped ? c->step : 1.0 };
        struct arena *scratch = arena_open();
        double max_bpm = (double)NAN;
        struct recording *recording = ride_out(scratch, c, &outing, limits, &max_bpm);
        const bool fits = sums_of(scratch, recording, max_bpm, &outing, limits, &rides[n]);
        if (fits && number >= warm) {
            const struct response_ride *past = NULL;
            const size_t n_past = past_of(rides, n, outing.day, limits, &past);
            const struct heart_response response =
                heart_response_fit(scratch, past, n_past, threshold_w, limits);
            const int64_t since = is_stepped ? outing.day - day_of(c->rides_a_week, all / 2) : -1;
            const struct known known = { &response, near(&before, outing.day, limits) };
            struct response_day alone;
            look(&known, &rides[n], since >= 0 && since < AFTER_DAYS, limits, &alone, &out);
            before = (struct heart_before){ rides[n].id, outing.day, alone.bpm };
            if (!is_stepped) {
                doubt(scratch, recording, max_bpm, &response, limits, &out);
                try_more(c, &outing, &known, limits, &out);
            }
        }
        n += fits;
        arena_close(scratch);
    }
    arena_close(arena);
    return out;
}
