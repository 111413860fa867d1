/* honesty/day_trial.c: half a year of one simulated rider. */
#include "honesty/day_trial.h"

#include "coaching/heart_today.h"
#include "honesty/outings.h"
#include "physiology/doubt.h"

#include <math.h>

enum {
    WARM_WEEKS = 6, /* before anything is looked at, where there are more than twice as many */
    EVERY = 4,      /* so many rides, one is tried with days put in */
    AFTER_DAYS = 28,
    RIDES_MOST = DAY_WEEKS_MOST * 6,
};

double day_effect_bpm(int effect)
{
    static const double bpm[DAY_EFFECTS] = { 5.0, 8.0, 12.0 };
    return bpm[effect];
}

static struct outing_rider rider_of(const struct day_case *c)
{
    return (struct outing_rider){ c->seed, c->rides_a_week, c->second };
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
    const struct outing_rider of = rider_of(c);
    for (int effect = 0; effect < DAY_EFFECTS; effect++) {
        struct arena *arena = arena_open();
        struct outing off = *usual;
        struct response_ride ride;
        double max_bpm = (double)NAN;
        off.day_bpm += day_effect_bpm(effect);
        const struct recording *recording = outing_ride(arena, &of, &off, limits, &max_bpm);
        if (outing_sums(arena, recording, max_bpm, &off, limits, &ride)) {
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
    const struct outing_rider of = rider_of(c);
    const bool is_hard = outing_place_in_week(&of, outing) % 2 == 1;
    struct arena *arena = arena_open();
    double max_bpm = (double)NAN;
    struct recording *recording = outing_ride(arena, &of, outing, limits, &max_bpm);
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
    const struct outing_rider of = rider_of(c);
    struct arena *arena = arena_open();
    struct response_ride *rides = ARENA_ARRAY(arena, struct response_ride, RIDES_MOST);
    struct outing_days days = outing_days_begin(c->seed);
    struct day_outcome out = { 0 };
    const int all = c->weeks * c->rides_a_week;
    const int warm = (c->weeks > 2 * WARM_WEEKS ? WARM_WEEKS : 1) * c->rides_a_week;
    const double threshold_w = outing_threshold_w(&of);
    struct heart_before before = { 0 };
    size_t n = 0;
    for (int number = 0; number < all; number++) {
        const bool is_stepped = number >= all / 2 && fabs(c->step - 1.0) > 1e-9;
        const struct outing outing = { .number = number,
                                       .day = outing_day(c->rides_a_week, number),
                                       .day_bpm = outing_next_day_bpm(&of, &days),
                                       .fitter = (double)number / all,
                                       .scale = is_stepped ? c->step : 1.0 };
        struct arena *scratch = arena_open();
        double max_bpm = (double)NAN;
        struct recording *recording = outing_ride(scratch, &of, &outing, limits, &max_bpm);
        const bool fits = outing_sums(scratch, recording, max_bpm, &outing, limits, &rides[n]);
        if (fits && number >= warm) {
            const struct response_ride *past = NULL;
            const size_t n_past = past_of(rides, n, outing.day, limits, &past);
            const struct heart_response response =
                heart_response_fit(scratch, past, n_past, threshold_w, limits);
            const int64_t since =
                is_stepped ? outing.day - outing_day(c->rides_a_week, all / 2) : -1;
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
