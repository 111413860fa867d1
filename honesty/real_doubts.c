/* honesty/real_doubts.c: doubts on real rides. */
#include "honesty/real_doubts.h"

#include "honesty/real_rides.h"
#include "physiology/doubt.h"

#include <math.h>

enum { PARTS_EACH = 4, RIDES_MOST = 16, BEST_S = 1200 };

static const struct real_doubt rows[] = {
    { "ride-97min-power-hr.fit", 1, "", "" },
    { "ride-3h50-power-hr.fit", 1, "", "" },
    { "short-ride-6min-power-hr.fit", 1, "", "" },
    { "ride-79min-power-hr.fit", 1, "", "" },
    { "ride-2h50-power-hr.fit", 1, "", "" },
    { "ride-57min-power-hr.fit", 1, "", "" },
    { "ride-92min-power-hr.fit", 1, "", "" },
    { "csv-ride-2020-08-18-power-hr.csv", 2, "", "" },
    { "csv-ride-2020-08-20-power-hr.csv", 2, "", "" },
    { "ride-road-88min-power-hr.fit", 3, "", "" },
    { "ride-2h08-power-hr-zones.fit", 3, "", "" },
    { "hard-ride-78min-power-hr-balance.fit", 4, "", "" },
    { "indoor-intervals-38min-power-hr.fit", 5, "", "" },
    { "indoor-steady-then-intervals-48min-power-hr.fit", 6, "", "" },
    { "long-ride-6h-power-hr-balance-b.fit", 7, "", "" },
    { "long-ride-6h-power-hr-balance.fit", 8, "", "" },
    { "ride-3h48-power-hr-spikes.fit", 9, "heart-low", "" },
    { "short-efforts-18min-power-hr-hrv.fit", 10, "", "" },
    { "steady-76min-power-hr-spikes.fit", 11, "", "" },
    { "steady-ride-2h15-power-hr-hrv.fit", 12, "", "" },
};
enum { N_ROWS = sizeof rows / sizeof rows[0] };

const struct real_doubt *real_doubts(size_t *count)
{
    *count = N_ROWS;
    return rows;
}

static bool read_row(struct arena *arena, const char *shared, size_t at,
                     const struct limits *limits, struct recording **out, struct error *err)
{
    const struct real_ride row = { rows[at].file, "", "" };
    return real_ride_read(arena, shared, &row, limits, out, err);
}

/* What a rider's rides tell of the rider. */
struct rider {
    double best_w; /* mean of the best 20 min */
    double max_bpm;
};

static void learn(struct arena *arena, const struct recording *recording, struct rider *rider)
{
    const double *power = recording_series(arena, recording, CHANNEL_POWER);
    const double *heart = recording_series(arena, recording, CHANNEL_HEART_RATE);
    double sum = 0.0;
    for (size_t t = 0; t < recording->n_seconds; t++) {
        sum += isnan(power[t]) ? 0.0 : power[t];
        sum -= t < BEST_S || isnan(power[t - BEST_S]) ? 0.0 : power[t - BEST_S];
        rider->best_w = fmax(rider->best_w, sum / BEST_S);
        rider->max_bpm = fmax(rider->max_bpm, heart[t]); /* of a NAN the other */
    }
}

/* Seconds [from, to) of a recording, as a recording of its own. */
static struct recording cut(const struct recording *whole, size_t from, size_t to)
{
    struct recording part = *whole;
    part.n_seconds = to - from;
    part.paused += from;
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        part.value[c] = whole->value[c] != NULL ? whole->value[c] + from : NULL;
        part.mask[c] = whole->mask[c] != NULL ? whole->mask[c] + from : NULL;
    }
    return part;
}

struct sums {
    struct response_ride *rides; /* [RIDES_MOST] */
    size_t n;
};

static void add_sums(struct arena *arena, const struct recording *recording, double max_bpm,
                     const struct limits *limits, struct sums *sums)
{
    struct response_ride *to = &sums->rides[sums->n];
    if (sums->n < RIDES_MOST &&
        response_ride_of(arena, recording, max_bpm, limits, to) == RIDE_FITS) {
        sums->n++;
        to->id = to->day = (int64_t)sums->n;
    }
}

static struct sums sums_of(struct arena *arena, struct recording *const recordings[],
                           const bool is_of[], bool by_others, size_t at, double max_bpm,
                           const struct limits *limits)
{
    struct sums sums = { ARENA_ARRAY(arena, struct response_ride, RIDES_MOST), 0 };
    for (size_t i = 0; i < N_ROWS; i++) {
        if (!is_of[i] || (by_others && i == at)) {
            continue;
        }
        const size_t parts = by_others ? 1 : PARTS_EACH;
        const size_t n = recordings[i]->n_seconds;
        for (size_t k = 0; k < parts; k++) {
            const struct recording part = cut(recordings[i], n * k / parts, n * (k + 1) / parts);
            add_sums(arena, &part, max_bpm, limits, &sums);
        }
    }
    return sums;
}

bool real_doubt_look(struct arena *arena, const char *shared, size_t at,
                     const struct limits *limits, struct real_doubt_outcome *out, struct error *err)
{
    struct recording *recordings[N_ROWS] = { NULL };
    bool is_of[N_ROWS] = { false };
    struct rider rider = { 0.0, 0.0 };
    size_t n = 0;
    for (size_t i = 0; i < N_ROWS; i++) {
        is_of[i] = rows[i].rider == rows[at].rider;
        if (is_of[i] && !read_row(arena, shared, i, limits, &recordings[i], err)) {
            return false;
        }
        if (is_of[i]) {
            learn(arena, recordings[i], &rider);
            n++;
        }
    }
    const bool by_others = (double)n > limits->value[LIMIT_RESPONSE_RIDES];
    const struct sums sums =
        sums_of(arena, recordings, is_of, by_others, at, rider.max_bpm, limits);
    /* 0.95 of the best 20 min: common practice; a scale for priors, no more. */
    const struct heart_response response =
        heart_response_fit(arena, sums.rides, sums.n, 0.95 * rider.best_w, limits);
    *out = (struct real_doubt_outcome){ .recording = recordings[at],
                                        .n_before = recordings[at]->n_findings,
                                        .hours = (double)recordings[at]->timer_s / 3600.0,
                                        .is_looked_at = response.end == RESPONSE_FITTED,
                                        .by_others = by_others,
                                        .n_rides = sums.n };
    doubt_check(arena, recordings[at], &response, rider.max_bpm, limits);
    return true;
}
