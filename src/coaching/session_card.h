/* coaching/session_card.h: what a rider takes along: a session as one card.
 *
 *     title, day, rider            VO2max, 4 x 4 min · Tuesday 1 December 2026 · Ada Berg
 *     profile                      drawn from the session (drawing/session_profile)
 *     parts                        4 min at 261–276 W   106–112 %. Effort 8–9, single words.
 *                                  Heart rate about 166 at its end; reads low until about 1:40 ...
 *     cautions, plan B, notes, why
 *     five questions               answered by number; coaching/reply reads them
 *
 * Three ways to ride it: to power; to heart rate and feel, where there is no power; by feel alone,
 * where no heart rate is given (heart-altering medicine, pregnancy; the card doesn't say which: it
 * lies about).  What it foretells is the outlook's (coaching/outlook), number for number.
 * Everything is words; whoever prints it only lays them out. */
#ifndef COACHING_SESSION_CARD_H
#define COACHING_SESSION_CARD_H

#include "coaching/day_answers.h"
#include "coaching/outlook.h"
#include "coaching/session.h"
#include "physiology/facts.h"

/* One line of what is ridden. */
struct card_part {
    int depth;         /* repeats that it stands in */
    bool repeats;      /* "5 times:", and the parts after it, deeper, are repeated */
    const char *lead;  /* "4 min at 261–276 W" */
    const char *rest;  /* "106–112 %. Effort 8–9, single words."; NULL = nothing */
    const char *heart; /* what heart rate is expected, or asked for; NULL = nothing */
};

struct card_asked {
    const char *name;
    const char *kind; /* one of session_kinds */
    const char *why;  /* NULL = not said */
    const char *rider;
    int64_t day;
    const struct session *session;
    const struct rider_facts *facts;       /* of that day */
    const struct session_outlook *outlook; /* of the same session: all that the card foretells */
    bool no_power;                         /* ridden without a power meter */
};

struct session_card {
    const char *title;
    int64_t day;               /* since 1970 */
    const char *under;         /* day and rider */
    const char *about;         /* how long, how much of it hard */
    const char *const *alarms; /* [n_alarms] before all else: medical advice first */
    size_t n_alarms;
    const char *prepare; /* a base test's conditions; NULL = nothing */
    struct card_part *parts;
    size_t n_parts;
    const char *const *ways; /* [n_ways] how it is ridden, and what can't be told */
    size_t n_ways;
    const char *const *cautions;
    size_t n_cautions;
    const char *const *plan_b;
    size_t n_plan_b;
    const char *const *notes;
    size_t n_notes;
    const char *why; /* NULL = not said */
    const char *ask; /* how to answer */
    const char *questions[CARD_QUESTIONS];
    /* for its profile */
    const struct session *session;
    double threshold_w;        /* NAN = by feel */
    const struct zones *zones; /* NULL = none */
    const struct session_outlook *outlook;
    bool by_power;
};

/* Pure; everything in the arena but the session and the outlook, which it points to. */
struct session_card session_card_make(struct arena *arena, const struct card_asked *asked,
                                      const struct limits *limits);

#endif
