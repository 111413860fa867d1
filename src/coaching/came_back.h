/* coaching/came_back.h: what came back of a session: asked against done.
 *
 *     session of a day ──┬── the day's ride fits it ........................ ridden
 *                        ├── it doesn't: another session, or plan B ........ changed
 *                        ├── a ride within LIMIT_CAME_BACK_DAYS fits it .... moved
 *                        ├── nothing fits and the day has passed ........... missed
 *                        └── else .......................................... not yet
 *
 * A ride fits when LIMIT_CAME_BACK_SHARE of the work asked is found in it (coaching/came_align) and
 * it holds less hard riding beside than LIMIT_HARD_DAY_S, or that share of the work asked.  Below
 * its range, above it, or cut short, it is still the session, and each step says so.
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
    int32_t asked_s;  /* 0 = until the button */
    double low_w;     /* NAN, both = nothing asked in watts, or no threshold */
    double high_w;    /* INFINITY = no upper end */
    bool is_hard;     /* counts as work */
    struct span span; /* of the ride; empty = not done */
    double mean_w;    /* NAN = not done, or under LIMIT_REPS_COVERAGE of its seconds known */
    double pct;       /* of threshold */
    double below_s;   /* on the 10-s centred mean; NAN without a range */
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
    bool is_taken;      /* another session's, of its own day */
};

/* What the coach said wins over what is found. */
enum came_said {
    CAME_SAID_NOTHING,
    CAME_SAID_DONE,
};

struct came_ask {
    const struct session *session;
    int64_t day;
    int64_t today; /* nothing dated later is used */
    enum came_said said;
    const struct came_ride *rides; /* [n_rides] by day, then as they were ridden */
    size_t n_rides;
};

struct came_back {
    enum came_outcome outcome;
    bool by_word;                      /* the coach said done */
    bool by_time;                      /* only the time could be compared */
    const char *cannot;                /* why steps can't be judged, in words; NULL = they were */
    int64_t ride;                      /* which came back, or stands in its place; 0 = none */
    int64_t ride_day;                  /* of it */
    const struct session_line *plan_b; /* changed: the line that was ridden; NULL = none */
    const char *like;        /* changed: what it looks like, in words; NULL = nothing known */
    struct came_step *steps; /* [n_steps] of the session, or of plan B where that was ridden */
    size_t n_steps;
    size_t n_hard;       /* steps of work asked; all with a length where none is hard */
    size_t n_hard_done;  /* found, and not cut short */
    double asked_s;      /* of those steps */
    double done_s;       /* of those steps, at most what was asked of each */
    double ride_s;       /* how long the ride was; NAN = none */
    double extra_hard_s; /* hard riding beside the steps */
    const char *text;    /* in a sentence or two */
};

void came_back_read(struct arena *arena, const struct came_ask *ask, const struct limits *limits,
                    struct came_back *out);

/* How well one ride fits one session; the outcome is left at CAME_RIDDEN or CAME_CHANGED. */
void came_back_compare(struct arena *arena, const struct session *session,
                       const struct came_ride *ride, const struct limits *limits,
                       struct came_back *out);

/* The facts that the ride is read with: where nothing was asked of the ride itself, and it is found
 * to be a session given for its day, what that asks for (kind, range, how many efforts and how
 * long: of what holds most of its work), in *with; else facts as they are. */
const struct rider_facts *came_back_asked(const struct recording *recording,
                                          const struct rider_facts *facts,
                                          const struct limits *limits, struct rider_facts *with);

void came_back_json(struct arena *arena, struct json *json, const char *key,
                    const struct came_back *came);

/* ---- over weeks ---- */

struct came_counts {
    size_t given; /* whose day has come, or that came back */
    size_t of[CAME_OUTCOMES];
};
void came_counts_add(struct came_counts *counts, const struct came_back *came);

#endif
