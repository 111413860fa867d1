/* coaching/reading_make.c: the one way from a recording to readings. */
#include "coaching/reading.h"

#include "base/dates.h"
#include "coaching/aerobic_base.h"
#include "coaching/came_back.h"
#include "coaching/easy_work.h"
#include "coaching/hard_work.h"
#include "coaching/ride_load.h"
#include "coaching/ride_trust.h"
#include "coaching/words/words.h"
#include "physiology/doubt.h"

#include <math.h>

/* Seconds in each zone, where power and threshold are known. */
static void count_zones(struct arena *arena, const struct recording *recording,
                        const struct rider_facts *facts, struct ride_readings *out)
{
    for (size_t i = 0; i < ZONES_MOST; i++) {
        out->zone_s[i] = (double)NAN;
    }
    const double *power_w =
        recording->is_ride ? recording_series(arena, recording, CHANNEL_POWER) : NULL;
    if (power_w != NULL && !isnan(facts->threshold_w)) {
        zones_count(&facts->zones, power_w, recording->n_seconds, facts->threshold_w, out->zone_s);
    }
}

/* What the rider's heart response is fitted to, from many rides. */
static void sum_heart(struct arena *arena, const struct recording *recording,
                      const struct rider_facts *facts, const struct limits *limits,
                      struct ride_readings *out)
{
    out->heart_unfit = RIDE_NO_POWER;
    if (recording->is_ride) {
        struct response_ride *sums = arena_alloc(arena, 1, sizeof *sums);
        out->heart_unfit =
            response_ride_of(arena, recording, facts->max_heart_rate_bpm, limits, sums);
        out->heart = out->heart_unfit == RIDE_FITS ? sums : NULL;
    }
}

const char *reading_own_response(struct arena *arena, const struct rider_facts *facts)
{
    const struct heart_response *response = facts->response;
    if (response == NULL || response->end != RESPONSE_FITTED || !facts_read_heart(facts)) {
        return NULL;
    }
    char day[11];
    dates_format_day(response->last_day, day);
    return arena_format(arena, BASIS_OWN_RESPONSE "%.0f s, by %zu rides to %s",
                        response->tau_s + response->dead_s, response->n_rides, day);
}

/* The recording without heart rate that, by the rider's own response, no heart made. */
static const struct recording *without_doubtful(struct arena *arena,
                                                const struct recording *recording,
                                                const struct rider_facts *facts,
                                                const struct limits *limits)
{
    return recording->mask[CHANNEL_HEART_RATE] == NULL || facts->response == NULL ||
                   !facts_read_heart(facts)
               ? recording
               : doubt_checked(arena, recording, facts->response, facts->max_heart_rate_bpm,
                               limits);
}

static void make_work(struct arena *arena, const struct recording *recording,
                      const struct rider_facts *facts, const struct limits *limits,
                      struct ride_readings *out)
{
    const struct recording *believed = without_doubtful(arena, recording, facts, limits);
    out->bests = bests_shown(arena, recording); /* a threshold that is too low shows in them */
    out->steady = aerobic_base_span(arena, believed, facts, limits);
    out->drift = drift_fit_with(arena, believed, &out->steady, facts->threshold_w,
                                facts_read_heart(facts) ? facts->response : NULL, limits);
    aerobic_base_read(arena, believed, facts, limits, out);
    easy_work_read(arena, recording, facts, limits, out);
    /* An easy ride has no efforts to judge; what was too hard in it, the reading above says. */
    if (!facts_asked_easy(facts, limits)) {
        out->reps = reps_find(arena, believed, facts, limits);
        hard_work_read(arena, believed, facts, limits, out);
    }
}

void reading_make_work(struct arena *arena, const struct recording *recording,
                       const struct rider_facts *facts, const struct limits *limits,
                       struct ride_readings *out)
{
    struct rider_facts with_asked;
    make_work(arena, recording, came_back_asked(arena, recording, facts, limits, &with_asked),
              limits, out);
}

bool reading_make(struct arena *arena, const struct recording *recording,
                  const struct rider_facts *facts, const struct limits *limits,
                  struct ride_readings *out, struct error *err)
{
    struct rider_facts with_asked;
    facts = came_back_asked(arena, recording, facts, limits, &with_asked);
    (void)err; /* nothing in here can fail yet; readers of a rider's history will */
    *out = (struct ride_readings){ 0 };
    out->summary = words_summary(arena, recording);
    ride_trust_read(arena, recording, facts, limits, out);
    count_zones(arena, recording, facts, out);
    sum_heart(arena, recording, facts, limits, out);
    if (!recording->is_ride) {
        ride_load_read(arena, recording, facts, limits, out);
        return true;
    }
    make_work(arena, recording, facts, limits, out);
    ride_load_read(arena, recording, facts, limits, out);
    return true;
}
