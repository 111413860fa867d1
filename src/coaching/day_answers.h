/* coaching/day_answers.h: what a rider can say of a day or of a ride.
 *
 * One table for the store's columns, the command's options, JSON and the reader of replies.  Each
 * answer is a number: a scale, a quantity, or a truth (0 no, 1 yes); NAN = not said.  Caffeine is
 * -1 less, 0 as usual, 1 more than the habit. */
#ifndef COACHING_DAY_ANSWERS_H
#define COACHING_DAY_ANSWERS_H

#include "base/arena.h"

#include <stdbool.h>

enum answer {
    ANSWER_EFFORT, /* the first five are the questions of a card, in its order */
    ANSWER_LEGS,
    ANSWER_SLEEP,
    ANSWER_STRESS,
    ANSWER_SORENESS,
    ANSWER_SLEEP_H,
    ANSWER_FAN,
    ANSWER_HOT,
    ANSWER_TEMPERATURE,
    ANSWER_DEHYDRATED,
    ANSWER_DRINK,
    ANSWER_CAFFEINE,
    ANSWER_ILL,
    ANSWER_HARD_BEFORE,
    ANSWERS
};

/* 1 effort, 2 legs, 3 sleep, 4 stress, 5 soreness: answers may come back as numbers alone. */
#define CARD_QUESTIONS 5

enum answer_kind {
    ANSWER_IS_NUMBER,
    ANSWER_IS_WHOLE, /* a scale of whole numbers */
    ANSWER_IS_TRUTH,
    ANSWER_IS_CAFFEINE,
};

struct answer_row {
    const char *name;    /* "legs_1_5": column of day_note, key of JSON */
    const char *subject; /* "legs" */
    const char *unit;    /* "of 5", "h"; "" none */
    double lowest;       /* both included */
    double highest;
    const char *ends; /* what a scale's ends mean; NULL no scale */
    enum answer_kind kind;
    bool unsaid_is_no; /* the store can't hold "not said": it becomes no */
};
const struct answer_row *answer_row(enum answer answer);

struct day_answers {
    double value[ANSWERS];
};

/* Nothing said. */
struct day_answers answers_none(void);

/* True if something was said. */
bool answers_any(const struct day_answers *answers);

/* True if the value is one that the answer can have. */
bool answer_is_sound(enum answer answer, double value);

/* "legs 2 of 5", "sleep 6.5 h", "fan no", "caffeine more than usual". */
const char *answer_say(struct arena *arena, enum answer answer, double value);

/* "less", "usual", "more". */
const char *answer_caffeine_name(double value);
bool answer_caffeine_find(const char *name, double *value);

#endif
