/* coaching/outlook.h: what a session will bring this rider, and whether it can be ridden as asked.
 *
 *   W' left |---.   .-.   .-.                      predicted from the middle of each range asked:
 *           |    \ /   \ /   \   .-.               heart rate minute by minute, W' left, seconds
 *           |     '     '     \ /   \              by zone, kJ
 *         0 +------------------'-----\-------
 *                              efforts 4 and 5: likely not to be finished as asked
 *
 * It speaks of the numbers on file, never of the rider: a W' below nought says that the session is
 * too much for these numbers, or that they are out of date.  What can't be told is left out and
 * `missing` says why, and what would tell. */
#ifndef COACHING_OUTLOOK_H
#define COACHING_OUTLOOK_H

#include "base/json.h"
#include "coaching/expected.h"
#include "coaching/session.h"
#include "physiology/facts.h"

enum outlook_verdict {
    OUTLOOK_UNKNOWN,    /* W' can't be told: nothing to say whether it can be finished */
    OUTLOOK_NONE_HARD,  /* nothing above critical power at the ends of its interval */
    OUTLOOK_WITHIN,     /* W' stays above nought over its whole range */
    OUTLOOK_MAY_NOT,    /* the range goes below nought, its middle doesn't: may not be finished */
    OUTLOOK_LIKELY_NOT, /* the middle, or the form that spends joule for joule with the middle
                           numbers, goes below nought: likely not to be finished as asked */
    OUTLOOK_RISES,      /* below nought only where power rises: it ends where it ends */
};
const char *outlook_verdict_name(enum outlook_verdict verdict); /* "unknown", "none-hard", ... */

enum outlook_heart {
    OUTLOOK_HEART_TOLD,
    OUTLOOK_HEART_WITHHELD, /* a medicine that alters heart rate, or pregnancy */
    OUTLOOK_HEART_NO_RESPONSE,
    OUTLOOK_HEART_NO_POWER, /* no step of it has watts */
};
const char *outlook_heart_name(enum outlook_heart heart);

struct outlook_said {
    const char *name;  /* "likely-not-finished", for programs */
    const char *words; /* a sentence or two, coaching/words/outlook_words */
};

enum { OUTLOOK_SAID_MOST = 8 };

struct session_outlook {
    struct session_dose dose;
    /* n 0 = no step has both a length and watts; reps are the efforts, counted from one in words.
     * power_w is NAN where no watts are asked (by heart rate, by feel, all out, as liked), and so
     * is heart rate there and for LIMIT_RESPONSE_SETTLE_S after.  zone_s, work_kj: of the seconds
     * with watts. */
    struct expected expected;
    struct zones zones;  /* that zone_s counts; count 0 = none */
    double threshold_w;  /* in force; NAN = not known */
    int32_t without_w_s; /* seconds that have a length but no watts */
    int32_t n_buttons;   /* steps that end with the button: no length */
    enum outlook_heart heart;
    enum outlook_verdict verdict;
    size_t first_short; /* efforts, from 0: the first and the last in which W' is short, as the
                           verdict has it; n_short of them; 0 = none, or not in an effort */
    size_t last_short;
    size_t n_short;
    int32_t short_at_s; /* second at which it is first short; -1 = never */
    double short_at_w;  /* power asked then */
    const char *text;   /* what it will bring, in sentences; never NULL */
    struct outlook_said warnings[OUTLOOK_SAID_MOST]; /* [n_warnings] what to mind, hardest first */
    size_t n_warnings;
    struct outlook_said missing[OUTLOOK_SAID_MOST]; /* [n_missing] what can't be told, why, and
                                                       what would tell */
    size_t n_missing;
};

/* Pure.
 *   rider   its response is not read where facts say that heart rate isn't (facts_read_heart)
 *   facts   of the session's day */
struct session_outlook outlook_read(struct arena *arena, const struct session *session,
                                    const struct expected_rider *rider,
                                    const struct rider_facts *facts, const struct limits *limits);

/* Adds to `missing` that the numbers are old: more than LIMIT_BREAK_DAYS lie between the last day
 * that they rest on and the session's. */
void outlook_say_age(struct arena *arena, struct session_outlook *outlook, int64_t known_day,
                     int64_t day, const struct limits *limits);

/* {"verdict", "text", "warnings": [{"name", "words"}], "missing": [...], "seconds", "work_kj",
 *  "hard_s", ..., "zones": [{"name", "seconds"}], "w_prime": {...} or null, "efforts": [...],
 *  "heart", "minutes": [...]}; docs/sessions.md has all of it. */
void outlook_json(struct json *json, const char *key, const struct session_outlook *outlook);

/* "minutes": an array of {"power_w", "heart_rate_bpm", and its low and high}. */
void expected_minutes_json(struct json *json, const struct expected *expected);

#endif
