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
#include "coaching/session_feel.h"
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
    OUTLOOK_HEART_NO_POWER, /* no step of it has watts, or too little for the heart to answer */
};
const char *outlook_heart_name(enum outlook_heart heart);

struct outlook_said {
    const char *name;  /* "likely-not-finished", for programs */
    const char *words; /* a sentence or two, coaching/words/outlook_words */
};

enum { OUTLOOK_SAID_MOST = 8 };

/* A step as it is ridden, each time that it is. */
struct outlook_part {
    int32_t from_s;
    int32_t seconds;    /* 0 = until the button */
    double power_w;     /* mean; NAN = no watts are asked, or no length is known */
    bool comes_up;      /* harder than what is ridden before it, as far as both are known */
    bool is_after_dark; /* what is ridden before it asks for no watts */
    /* Heart rate; NAN = not told, each by itself. */
    double settled_bpm; /* of what lasts LIMIT_CARD_STEADY_S: half of that into it */
    double end_bpm;
    double low_bpm; /* of usual days, over both */
    double high_bpm;
    double reads_low_s; /* from its start; its own length: all the way; NAN: doesn't come up */
    struct session_feel feel;
};

struct session_outlook {
    bool is_past;        /* its day is over, or it was ridden */
    const char *heading; /* "What it would bring", "What it was expected to bring" */
    struct session_dose dose;
    const struct session_ridden *ridden; /* [n_parts] session_unroll */
    struct outlook_part *parts;          /* [n_parts] */
    size_t n_parts;
    /* [n_dark] steps for which no heart rate is told since they ask for no watts, each once; only
     * where heart rate is told of others. */
    const struct session_step **dark;
    size_t n_dark;
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

struct outlook_ask {
    const struct session *session;
    const struct expected_rider *rider; /* its response is not read where facts say that heart rate
                                           isn't (facts_read_heart) */
    const struct rider_facts *facts;    /* of the session's day */
    bool is_past;
};

/* Pure; the session must outlive it. */
struct session_outlook outlook_read(struct arena *arena, const struct outlook_ask *ask,
                                    const struct limits *limits);

/* Adds to `missing` that the numbers are old: more than LIMIT_BREAK_DAYS lie between the last day
 * that they rest on and the session's. */
void outlook_say_age(struct arena *arena, struct session_outlook *outlook, int64_t known_day,
                     int64_t day, const struct limits *limits);

/* {"heading", "verdict", "text", "warnings": [{"name", "words"}], "missing": [...], "seconds",
 *  "work_kj", "hard_s", ..., "zones": [{"name", "seconds"}], "w_prime": {...} or null,
 *  "efforts": [...], "parts": [...], "heart", "minutes": [...]}; docs/sessions.md has all of it. */
void outlook_json(struct json *json, const char *key, const struct session_outlook *outlook);

/* "minutes": an array of {"power_w", "heart_rate_bpm", and its low and high}. */
void expected_minutes_json(struct json *json, const struct expected *expected);

#endif
