/* coaching/session.h: a session to be ridden, as steps.
 *
 *     15 min at 50-65 %, then 5 times (4 min at 106-112 %, 4 min at 50 %), 10 min at 45 %
 *     plan B over 26 C: 60 min at 50-60 %
 *
 *     session ── lines ── items ─┬─ a step: how long, at what, how fast the legs, words
 *                                └─ a repeat of items, one in another
 *
 * A session is small and plain: what a rider can keep in mind, and a device can hold.  Text and
 * steps say the same, and each is made from the other without loss (coaching/session_text). */
#ifndef COACHING_SESSION_H
#define COACHING_SESSION_H

#include "base/arena.h"
#include "limits/limits.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* What is taken (this project: more than any session needs, less than a device refuses). */
#define SESSION_BYTES_MOST    4000  /* of text */
#define SESSION_LINES_MOST    20    /* plan B lines and notes counted */
#define SESSION_ITEMS_MOST    40    /* side by side */
#define SESSION_DEPTH_MOST    3     /* repeats in one another */
#define SESSION_TIMES_MOST    99    /* of one repeat */
#define SESSION_STEPS_MOST    400   /* as they are ridden, repeats unrolled */
#define SESSION_SECONDS_MOST  43200 /* of the whole, and of a step */
#define SESSION_WORDS_MOST    120   /* bytes of a step's words, of what a plan B is for */
#define SESSION_PCT_MOST      400   /* of threshold */
#define SESSION_W_MOST        2500
#define SESSION_EFFORT_MOST   10 /* the scale's end */
#define SESSION_BPM_LEAST     40
#define SESSION_BPM_MOST      240
#define SESSION_MAX_PCT_LEAST 30 /* of maximal heart rate */
#define SESSION_RPM_LEAST     20
#define SESSION_RPM_MOST      200

enum session_role { ROLE_NONE, ROLE_WARM_UP, ROLE_REST, ROLE_COOL_DOWN, ROLES };

enum session_aim {
    AIM_FREE,    /* nothing asked */
    AIM_PCT,     /* % of threshold */
    AIM_W,       /* watts */
    AIM_BPM,     /* heart rate */
    AIM_MAX_PCT, /* % of maximal heart rate */
    AIM_EFFORT,  /* by feel, 0 to 10 */
    AIM_ALL_OUT,
    AIMS
};

struct session_step {
    enum session_role role;
    int32_t seconds; /* 0 = until the button is pressed */
    enum session_aim aim;
    int32_t low; /* of the aim; 0 where it has no numbers */
    int32_t high;
    bool rises;      /* from low to high, a step each minute; AIM_PCT and AIM_W only */
    int32_t rpm_low; /* 0 = any cadence */
    int32_t rpm_high;
    const char *words; /* said to the rider; NULL = none */
};

struct session_item {
    int32_t times; /* 0 = a step */
    struct session_step step;
    struct session_item *items; /* [n_items] of a repeat */
    size_t n_items;
};

enum session_line_kind {
    LINE_BLOCK,
    LINE_PLAN_B, /* what else to ride, and when */
    LINE_NOTE,
};

struct session_line {
    enum session_line_kind kind;
    const char *words;          /* of a note; of a plan B: when; NULL = whenever needed */
    struct session_item *items; /* [n_items] of a block and a plan B */
    size_t n_items;
};

struct session {
    struct session_line *lines; /* [n_lines]: blocks, then plan B lines and notes as they came */
    size_t n_lines;
};

/* A step as it is ridden. */
struct session_ridden {
    const struct session_step *step;
    int32_t from_s; /* what ends with the button counts as 0 s */
    int32_t low;    /* of the aim: one of the rungs where the step rises */
    int32_t high;
    int32_t seconds;
};

/* The middle of what is asked, in % of threshold; NAN = not asked in power, or not known. */
double session_asked_pct(const struct session_ridden *ridden, double threshold_w);

/* The blocks' steps in the order in which they are ridden, repeats unrolled, what rises as rungs
 * of a minute. */
const struct session_ridden *session_unroll(struct arena *arena, const struct session *session,
                                            size_t *count);

/* What rises as rungs: a minute each, the last what is left; returns how many.  Rung r asks for
 * *level.  A step that doesn't rise has one. */
int32_t session_rungs(const struct session_step *step);
void session_rung(const struct session_step *step, int32_t r, struct session_ridden *out);

/* How much of what it asks for, in seconds; what can't be told without the rider's threshold
 * (watts) is left out when threshold_w is NAN. */
struct session_dose {
    int32_t seconds; /* of all steps with a length */
    int32_t
        threshold_s;  /* middle of the range from LIMIT_SAFE_HARD_PCT to threshold's upper edge */
    int32_t vo2max_s; /* above that, to VO2max's upper edge */
    int32_t anaerobic_s; /* above that */
    int32_t hard_s;      /* the three, and steps by feel from LIMIT_HARD_DAY_EFFORT on */
    bool is_maximal;     /* an all-out step of a minute or longer */
    bool is_hard;        /* makes the day a hard one */
    double highest_pct;  /* NAN = nothing in % or watts */
};
struct session_dose session_dose_of(struct arena *arena, const struct session *session,
                                    double threshold_w, const struct limits *limits);

/* Planned power for each second: the middle of each range; NAN where nothing tells.  What ends
 * with the button is left out. */
double *session_seconds_w(struct arena *arena, const struct session *session, double threshold_w,
                          size_t *n);

/* True if both say the same, word for word. */
bool session_is_same(const struct session *a, const struct session *b);

#endif
