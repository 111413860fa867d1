/* tests/roster/next_scene.h: a rider with weeks of rides on file, for tests of what is proposed.
 *
 * Rides are rows alone, as a reading of them would have left them; days are counted back from
 * NEXT_TODAY, a Monday. */
#ifndef TESTS_ROSTER_NEXT_SCENE_H
#define TESTS_ROSTER_NEXT_SCENE_H

#include "roster/store.h"

#include "roster/next.h"

#define NEXT_TODAY "2026-03-16"

struct next_scene {
    struct arena *arena;
    struct roster *roster;
    struct rider rider;
    int64_t today;
    int64_t model; /* a recording that rows are copied from, years ago */
};

extern const struct roster_now next_now;

/* A roster with that rider and the model. */
struct next_scene next_scene_begin(struct rider rider);
void next_scene_end(struct next_scene *scene);

/* One more rider; the model is of the first. */
void next_scene_rider(struct next_scene *scene, struct rider rider);

/* A ride as read; what is 0 or NULL was not asked, or not so. */
struct next_ride {
    double hours;
    const char *base; /* verdicts of its readings */
    const char *easy;
    const char *hard;
    bool is_hard_day;
    double effort_0_10;
    int best_w;        /* of 5, 10 and 20 min, more for the shorter ones */
    unsigned evidence; /* that they were all-out */
    const char *was;   /* "test", "race" */
    const char *asked; /* a kind of work */
    int reps;
    int rep_s;
};
int64_t next_scene_ride(struct next_scene *scene, int days_ago, struct next_ride ride);

/* "2026-03-14" of 2 days ago; -2 = in two days. */
const char *next_scene_day(const struct next_scene *scene, int days_ago);

/* An SQL statement of words and numbers as printf takes them. */
void next_scene_run(const struct next_scene *scene, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
int64_t next_scene_number(const struct next_scene *scene, const char *sql);

/* What is proposed.  Checks that nothing was written for it. */
struct next_answer *next_scene_ask(struct next_scene *scene, int ahead);

/* "rule:session+2/change", by day from today, as tests/coaching/test_next.c writes them; words
 * alone: "rule". */
const char *next_scene_proposed(const struct next_scene *scene, const struct next_answer *answer);

/* Every sentence of the answer, a line each. */
const char *next_scene_told(const struct next_scene *scene, const struct next_answer *answer);

#endif
