/* simulated/season.h: nine months of an invented rider, ride by ride, as files of a device.
 *
 *     story ── which days, what, how she is ──> outings ── ride ── device ──> FIT
 *
 * 39 weeks from Monday, 1 December 2025; the same bytes every time.  Place and clock are those of
 * an island in the ocean that keeps UTC-1 in winter and UTC in summer. */
#ifndef SIMULATED_SEASON_H
#define SIMULATED_SEASON_H

#include "base/error.h"
#include "base/files.h"
#include "simulated/stories.h"

#define SEASON_FIRST_DAY "2025-12-01"
#define SEASON_TODAY     "2026-08-31" /* the Monday after its last week */
#define SEASON_ZONE      "Atlantic/Azores"
enum { SEASON_WEEKS = 39 };

/* A ride to come. */
struct season_ride {
    const struct simulated_story *story;
    int number; /* among the story's, from 0 */
    int day;    /* from the first */
    enum simulated_outing outing;
    enum simulated_outing meant; /* without what lighter weeks take back */
    bool outdoors;
    bool missed; /* in season_planned only */
    uint64_t seed;
};

/* The days of a story, in order of time. */
void season_rides(struct arena *arena, const struct simulated_story *story,
                  struct season_ride **out, size_t *count);

/* What was planned from a week up to another, ridden or missed; weeks from SEASON_WEEKS on are
 * those to come. Days off are left out; of who isn't heard from all is missed. */
void season_planned(struct arena *arena, const struct simulated_story *story, int from_week,
                    int to_week, struct season_ride **out, size_t *count);

/* What a rider sets out to do on a ride: blocks [*n], in watts of season_rider's threshold on that
 * day.  Habits are in it: who starts too hard sets out to. */
const struct simulated_block *season_blocks(struct arena *arena, const struct season_ride *ride,
                                            size_t *n);

/* The rider as she is in that week. */
struct simulated_rider season_rider(const struct simulated_story *story, double week);

/* A day just before or after an illness; a day with more caffeine than usual: both are in the heart
 * rate. */
bool season_is_poorly(const struct season_ride *ride);
bool season_is_caffeine(const struct season_ride *ride);

/* The serial of the heart sensor: of the first, or of the one that came for it. */
int64_t season_strap_serial(const struct simulated_story *story, bool renewed);

/* A ride as files: the head unit's, and a watch's where one ran along. */
struct season_files {
    const char *name; /* "2026-03-14-1.fit" */
    struct bytes bytes;
    const char *watch_name; /* NULL = none */
    struct bytes watch_bytes;
    size_t n_reps;        /* efforts that were meant, all alike */
    double rep_s;         /* and how long each; NAN when they differ, or there is none */
    double test_w;        /* of a test: mean of its 20 min as the meter showed it; else NAN */
    double heart_max_bpm; /* highest that was recorded; NAN without a heart rate */
};
MUST_USE bool season_write(struct arena *arena, const struct season_ride *ride,
                           struct season_files *out, struct error *err);

#endif
