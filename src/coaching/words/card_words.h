/* coaching/words/card_words.h: the sentences of a session's card.
 *
 * Read by the rider, on the bars or in the kitchen: short, no jargon, ranges with an en dash. */
#ifndef COACHING_WORDS_CARD_WORDS_H
#define COACHING_WORDS_CARD_WORDS_H

#include "coaching/session_card.h"

/* "warm up 4 min", "until the button". */
const char *card_length(struct arena *arena, const struct session_step *step);

/* The same within a sentence: "warm up 4 min". */
const char *card_length_within(struct arena *arena, const struct session_step *step);

/* "90–100 rpm". */
const char *card_rpm(struct arena *arena, int32_t low, int32_t high);

const char *card_zone(struct arena *arena, size_t number); /* "zone 5", from 1 */

const char *card_rises(void); /* what rises, and how */
const char *card_free(void);  /* what has no range */

/* "effort 8–9". */
const char *card_effort(struct arena *arena, const struct session_feel *feel);

/* "Plan B over 26 C"; when NULL: "Plan B". */
const char *card_plan_when(struct arena *arena, const char *when);

/* "261–276 W", "effort 3–4"; "" where nothing is asked. */
const char *card_range(struct arena *arena, enum session_aim aim, double low, double high);

/* The first and the last time that a part is ridden; of what rises, its first and last minute. */
struct card_feel {
    struct session_feel first;
    struct session_feel last;
    bool rises;
};

/* "Effort 8–9, single words.", "Effort 4–5, 8–9 the last time."; NULL where it can't be told. */
const char *card_feel_words(struct arena *arena, const struct card_feel *feel);

/* What heart rate brings at one part, ridden `times` times. */
struct card_heart {
    double first_bpm; /* at its end, first and last time */
    double last_bpm;
    double low_bpm; /* of usual days, over all times */
    double high_bpm;
    double reads_low_s; /* from its start until it has nearly come up; NAN = not told */
    double seconds;
    bool is_steady; /* first_bpm is when it has settled */
};
const char *card_heart_words(struct arena *arena, const struct card_heart *heart);

/* "Heart rate about 118–142: ..." of a rider without power, low NAN = at most high. */
const char *card_heart_range_words(struct arena *arena, double low_bpm, double high_bpm);

const char *card_about(struct arena *arena, double seconds, double hard_s, bool has_open);
const char *card_under(struct arena *arena, int64_t day, const char *rider);
const char *card_times(struct arena *arena, int32_t times);    /* "5 times:" */
const char *card_times_of(struct arena *arena, int32_t times); /* "5 times" */

/* NULL for none. */
const char *card_prepare(const char *kind);

enum card_way {
    WAY_POWER,           /* to power; heart rate comes late */
    WAY_BASE_TEST,       /* the same, and heart rate is only written down */
    WAY_POWER_NO_HEART,  /* to power and feel: no heart rate is given */
    WAY_HEART,           /* no power: ranges of heart rate for what lasts, feel for the rest */
    WAY_FEEL,            /* no power, and no heart rate known */
    WAY_FEEL_EXPECTED,   /* no power; what heart rate does is known, but nothing lasts */
    WAY_FEEL_NO_HEART,   /* no power, and none is given */
    WAY_NO_TARGET_HEART, /* its range of heart rate is left out */
    WAY_NO_BASE_TEST,    /* without power it can't be judged */
    WAY_NOT_EXPECTED,    /* heart rate can't be foretold: no part has watts */
    WAY_NO_RESPONSE,     /* nor is it known how it answers power */
    WAY_RISES,           /* it ends where it can't be held */
};
const char *card_way_words(enum card_way way);

/* Where the rider's numbers say that it may not, or likely can't, be finished as asked.
 *   where   "efforts 4 and 5" */
const char *card_short_words(struct arena *arena, bool is_likely, const char *where);

enum card_caution {
    CARD_ADVICE_FIRST, /* questions before hard work */
    CARD_GUARDIAN,
    CARD_STOP,
    CARD_ALL_OUT,
    CARD_TRAFFIC_HARD,
    CARD_TRAFFIC,
    CARD_ILL,
};
const char *card_caution_words(enum card_caution caution);

const char *card_ask(void);

const char *card_note_label(void);
const char *card_page_words(struct arena *arena, size_t page, size_t n); /* "1 of 2" */

/* ---- on its profile ---- */

enum card_profile_word {
    PROFILE_WATTS, /* over the scale */
    PROFILE_PCT,
    PROFILE_EFFORT,
    PROFILE_HEART,   /* over the heart's own panel */
    PROFILE_LEFT,    /* over that of W' */
    PROFILE_ALL_OUT, /* on a block */
    PROFILE_BUTTON,  /* under it: what a dashed line means */
    PROFILE_OPEN,    /* what hatching means */
    PROFILE_NONE,    /* instead: nothing has a length */
    PROFILE_WHEN,    /* heads of its table */
    PROFILE_LENGTH,
    PROFILE_ASKED,
};
const char *card_profile_words(enum card_profile_word word);

/* "4 times", or narrow "4\u00d7". */
const char *card_profile_times(struct arena *arena, int32_t times, bool narrow);

/* For who can't see it. */
const char *card_profile_label(struct arena *arena, const struct session *session);

/* "1) Effort: 0 = none, 10 = all there was". */
const char *card_question(struct arena *arena, enum answer answer);

#endif
