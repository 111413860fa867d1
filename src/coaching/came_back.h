/* coaching/came_back.h: what came back of a session: asked against done.
 *
 *     session of a day ──┬── the day's ride fits it ........................ ridden
 *                        ├── a ride of another day does (came_match) ....... moved
 *                        ├── it doesn't: another session, or plan B ........ changed
 *                        ├── nothing fits and the day has passed ........... missed
 *                        └── else .......................................... not yet
 *
 * A ride fits when LIMIT_CAME_BACK_SHARE of the work asked is found in it (coaching/came_align) and
 * it holds less hard riding beside than LIMIT_HARD_DAY_S, or that share of the work asked.  Below
 * its range, above it, or cut short, it is still the session, and each step says so.
 *
 * Seconds of a step, and of what was done, are those of the timer, as a device counts a workout's:
 * pauses are told beside them.  A session of one easy part is the whole ride: nothing else in it
 * could be meant.
 *
 * Without usable power, or without a threshold for ranges in %, only the ride's time can be held
 * against the session: then no step is judged, and it says why.  Heart rate stands beside power and
 * decides nothing. */
#ifndef COACHING_CAME_BACK_H
#define COACHING_CAME_BACK_H

#include "base/json.h"
#include "coaching/session.h"
#include "physiology/facts.h"
#include "recording/recording.h"

enum came_outcome {
    CAME_NOT_YET,
    CAME_RIDDEN,
    CAME_CHANGED,
    CAME_MOVED,
    CAME_MISSED,
    CAME_OUTCOMES
};
const char *came_outcome_name(enum came_outcome outcome); /* "not-yet", "ridden", ... */

enum came_verdict {
    CAME_STEP_IN,    /* mean within its range, give or take LIMIT_HARD_LINE_PCT */
    CAME_STEP_BELOW, /* never of easy riding beside hard work, nor of a warm-up */
    CAME_STEP_ABOVE,
    CAME_STEP_SHORT,    /* under LIMIT_HARD_CUT_SHORT_RATIO of its time; of hard steps */
    CAME_STEP_NOT_DONE, /* not found in the ride */
    CAME_STEP_RIDDEN,   /* nothing was asked in watts */
    CAME_STEP_UNKNOWN,  /* too little usable power */
    CAME_STEP_VERDICTS
};
const char *came_verdict_name(enum came_verdict verdict); /* "in", "below", ... */

struct came_step {
    const struct session_step *asked;
    int32_t asked_s;   /* 0 = until the button */
    double low_w;      /* NAN, both = nothing asked in watts, or no threshold */
    double high_w;     /* INFINITY = no upper end */
    bool is_hard;      /* counts as work */
    struct span span;  /* of the ride, pauses too; empty = not done */
    int32_t seconds;   /* of it by the timer */
    int32_t stopped_s; /* of it with the timer stopped */
    double mean_w;     /* NAN = not done, or under LIMIT_REPS_COVERAGE of its seconds known */
    double pct;        /* of threshold */
    double below_s;    /* on the 10-s centred mean; NAN without a range */
    double in_s;
    double above_s;
    double heart_bpm; /* mean, beside power; NAN = not known */
    enum came_verdict verdict;
};

/* A ride that may be it. */
struct came_ride {
    int64_t ride; /* as lists number it */
    int64_t day;  /* since 1970 */
    const struct recording *recording;
    double threshold_w; /* in force for it; NAN = not known */
};

struct came_back {
    enum came_outcome outcome;
    bool by_word;       /* the coach said done, and no ride shows it */
    bool by_time;       /* only the time could be compared */
    const char *cannot; /* why steps can't be judged, in words; NULL = they were */
    int64_t ride;       /* which came back, or stands in its place; 0 = none */
    int64_t ride_day;   /* of it */
    int64_t ride_is_of; /* changed: the day of the session that the ride is instead; 0 = none */
    const struct session_line *plan_b; /* changed: the line that was ridden; NULL = none */
    const char *like;        /* changed: what it looks like, in words; NULL = nothing known */
    struct came_step *steps; /* [n_steps] of the session, or of plan B where that was ridden */
    size_t n_steps;
    bool only_easy;      /* no step of it is work: then all with a length are what was asked */
    size_t n_efforts;    /* runs of work without a rest between; of an easy session its parts */
    size_t n_whole;      /* found with every part, and none cut short */
    double asked_s;      /* of the parts of work */
    double done_s;       /* of those by the timer, at most what was asked of each */
    double ride_s;       /* how long the ride was by the timer; NAN = none */
    double extra_hard_s; /* hard riding beside the parts */
    const char *text;    /* in a sentence or two */
};

/* How well one ride fits one session; the outcome is left at CAME_RIDDEN or CAME_CHANGED. */
void came_back_compare(struct arena *arena, const struct session *session,
                       const struct came_ride *ride, const struct limits *limits,
                       struct came_back *out);

/* True if the step, one of work, was ridden or tried: far below its range it was not. */
bool came_step_is_tried(const struct came_step *step, const struct limits *limits);

/* True if a ride of another day that came_back_compare found to fit may be the session: by time
 * alone any ride would do, and one that is much longer was meant for something else. */
bool came_back_may_be_moved(const struct came_back *came, const struct limits *limits);

/* What is known of a session when it is told (coaching/came_match gathers it). */
struct came_ask {
    const struct session *session;
    int64_t day;
    int64_t today;                    /* nothing dated later is used */
    bool said_done;                   /* by the coach, which wins over what is found */
    const struct came_ride *own;      /* the ride of its day that fits best; NULL = none */
    const struct came_back *as_own;   /* how it does */
    int64_t own_is_of;                /* the day of the session that it is instead; 0 = none */
    const struct came_back *as_moved; /* how a ride of another day fits; NULL = none does */
};
void came_back_tell(struct arena *arena, const struct came_ask *ask, const struct limits *limits,
                    struct came_back *out);

/* True if something was asked of the ride itself. */
bool came_back_is_asked(const struct rider_facts *facts);

/* The facts that the ride is read with: where nothing was asked of the ride itself, and it is found
 * to be a session given for its day, or one that was moved to it, what that asks for (kind, range,
 * how many efforts and how long: of what holds most of its work) and where its efforts are, in
 * *with; else facts as they are.  In the arena. */
const struct rider_facts *came_back_asked(struct arena *arena, const struct recording *recording,
                                          const struct rider_facts *facts,
                                          const struct limits *limits, struct rider_facts *with);

void came_back_json(struct arena *arena, struct json *json, const char *key,
                    const struct came_back *came);

/* A session with what came back of it, where only a line is said of it. */
struct came_line {
    int64_t session; /* as lists number it */
    const char *day;
    const char *name;
    const struct came_back *came;
};
/* {"session", "day", "name", "outcome", "ride", "text"}; the text is came_words_line. */
void came_line_json(struct json *json, const char *key, const struct came_line *line);

/* ---- over weeks ---- */

struct came_counts {
    size_t given; /* whose day has come, or that came back */
    size_t of[CAME_OUTCOMES];
};
void came_counts_add(struct came_counts *counts, const struct came_back *came);

#endif
