/* coaching/rider_cautions.h: what stands over everything that is proposed to a rider.
 *
 * From what the coach recorded, never from recordings, and never a diagnosis: the sentences
 * (coaching/words/caution_words.c) say what isn't offered, and send to medical advice. */
#ifndef COACHING_RIDER_CAUTIONS_H
#define COACHING_RIDER_CAUTIONS_H

#include "limits/limits.h"
#include "physiology/facts.h"

enum rider_caution {
    RIDER_NOT_SCREENED,      /* "not-screened": the questions before hard work are unanswered */
    RIDER_NOT_CLEARED,       /* "not-cleared": one was answered yes, and nobody cleared it */
    RIDER_SCREENED_LONG_AGO, /* "screened-long-ago": ask again */
    RIDER_GUARDIAN_MISSING,  /* "guardian-missing": under 18, no guardian's consent on file */
    RIDER_UNDER_18,          /* "under-18" */
    RIDER_AGE_UNKNOWN,       /* "age-unknown" */
    RIDER_HEART_MEDICINE,    /* "heart-medicine" */
    RIDER_PREGNANT,          /* "pregnant" */
    RIDER_FIRST_YEAR,        /* "first-year" of training */
    RIDER_CAUTIONS
};

struct rider_cautions {
    enum rider_caution list[RIDER_CAUTIONS]; /* in the order above */
    size_t count;
};

struct rider_cautions rider_cautions_find(const struct rider_facts *facts,
                                          const struct limits *limits);

/* "not-screened", for programs. */
const char *rider_caution_name(enum rider_caution caution);

/* Whether hard or maximal work may be offered: "medical advice first" if not. */
bool rider_cautions_allow_hard(const struct rider_facts *facts);

#endif
