/* coaching/comeback.h: back after illness or a break: what isn't proposed, and until when.
 *
 *     ride ride | ill ill ill ill ill | easy, half the hours | three quarters | one hard | test
 *               from                  to                     easy_until       hard_from  test_from
 *
 * A break is LIMIT_BREAK_DAYS without a ride; illness and injury are what the coach or the rider
 * said.  Offs with no more than LIMIT_COMEBACK_FREE_DAYS between them are one, and words of illness
 * within those days make it last.  What was known before it (threshold, base) reads "from before
 * the break" until tested again.
 *
 *     break, injury   easy for LIMIT_COMEBACK_BREAK_EASY_DAYS from the first day back
 *     ill             easy for as many days as ill, at least LIMIT_COMEBACK_FREE_DAYS
 *     ill for more than LIMIT_COMEBACK_ILL_DAYS, or with fever or words of the heart: easy for as
 *                     long with half the usual hours; as long again with three quarters
 *     then            one short hard session, and after it a test
 *
 * (common practice, no source.)  Chest pain, palpitations, faintness or breathlessness in words, or
 * unwell for more than LIMIT_COMEBACK_DOCTOR_DAYS: see a doctor before training.  These are facts
 * for the coach; nothing is prescribed. */
#ifndef COACHING_COMEBACK_H
#define COACHING_COMEBACK_H

#include "coaching/rider_history.h"

enum comeback_kind { COMEBACK_NONE, COMEBACK_BREAK, COMEBACK_INJURY, COMEBACK_ILL };

/* Each day is the first on which its rule no longer holds; INT64_MIN = there is no such rule,
 * INT64_MAX = it can't be said yet (still off, or a hard session is missing). */
struct comeback {
    struct reading reading; /* no break, off, coming back, back */
    enum comeback_kind kind;
    int64_t from_day; /* [from, to); to INT64_MAX while it lasts */
    int64_t to_day;
    int64_t ill_from;   /* the first day ill; INT64_MIN = not ill */
    int64_t ill_days;   /* from the first to the last of them; 0 = not ill */
    bool is_slow;       /* with the hours' rules */
    bool needs_doctor;  /* before training; until the coach has marked it as asked */
    int64_t easy_until; /* easy only */
    int64_t more_until; /* three quarters of the hours */
    int64_t hard_from;  /* nothing hard before */
    int64_t test_from;  /* no test before */
    double usual_hours; /* a week, before it; NAN = not known */
    bool threshold_from_before;
    bool base_from_before;
};

void comeback_read(struct arena *arena, const struct rider_history *history,
                   const struct limits *limits, struct comeback *out);

#endif
