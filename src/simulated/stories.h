/* simulated/stories.h: fourteen invented riders and what became of them in nine months.
 *
 * A story says how a rider's threshold and the rise of her heart rate go over the weeks, what she
 * rides, with which meters, and what came between.  simulated/season makes rides of it.  Names and
 * people are invented. */
#ifndef SIMULATED_STORIES_H
#define SIMULATED_STORIES_H

#include "simulated/outings.h"

enum { STORY_POINTS = 6, STORY_SLOTS = 5, STORY_PHASES = 4, STORY_SPANS = 3, STORY_TESTS = 6 };

/* A value from a week on, straight to the next; week 0 is the first.  A value of 0 ends the row. */
struct story_point {
    double week;
    double value;
};

struct story_slot {
    int weekday; /* 1 = Monday; 0 ends the row */
    enum simulated_outing outing;
};

/* What the weeks look like from one on. */
struct story_phase {
    int from_week;
    struct story_slot slots[STORY_SLOTS];
};

enum story_span_kind { STORY_SPAN_NONE, STORY_ILL, STORY_AWAY, STORY_BREAK, STORY_SILENT };

/* Days on which nothing is ridden; half open, counted from the first. */
struct story_span {
    enum story_span_kind kind;
    int from_day;
    int to_day;
};

struct story_meter {
    int from_week;
    uint32_t serial; /* 0 ends the row */
    double scale;    /* what it shows over the truth */
    bool one_sided;
};

struct simulated_story {
    const char *name;
    const char *folder;
    uint64_t seed;
    double body_kg;
    double max_heart_rate_bpm;
    struct story_point threshold_w[STORY_POINTS];
    struct story_point drift_bpm[STORY_POINTS]; /* of an hour at 70 % */
    struct story_phase phases[STORY_PHASES];
    struct story_span spans[STORY_SPANS];
    int tests[STORY_TESTS]; /* weeks, from 1; 0 ends */
    int efforts_week;       /* of the day with efforts of several lengths, from 1; 0 = none */
    int base_every;         /* weeks between base hours; 0 = none */
    struct simulated_habits habits;
    double missed;     /* share of rides that are not ridden */
    int outdoors_week; /* weekends are ridden outdoors from this week on, weekdays 6 weeks later */
    bool trainer_only; /* no meter on the road */
    uint16_t maker;    /* of the head unit */
    struct story_meter meters[2];
    int strap_fails_from; /* weeks; 0 = never */
    int strap_fails_to;
    double watch; /* share of rides that a watch records as well */
};

extern const struct simulated_story simulated_stories[];
extern const size_t simulated_story_count;

/* The story's day of the week's threshold, and so on. */
double story_value(const struct story_point points[STORY_POINTS], double week);

#endif
