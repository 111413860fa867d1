/* coaching/hard_parts.h: what the parts of hard work share.  Not for other rooms.
 *
 *   hard_verdict.c  the verdict of a rep, in the written order, and of many reps
 *   hard_heart.c    what heart rate alone would have said
 *   hard_work.c     what was meant, and the readings */
#ifndef COACHING_HARD_PARTS_H
#define COACHING_HARD_PARTS_H

#include "coaching/reading.h"

/* A rep with what it is judged by. */
struct judged {
    const struct rep *rep;
    bool part;           /* of the work that is judged; false: described only */
    bool assumed;        /* the range wasn't asked: shape verdicts only */
    enum work_kind kind; /* asked or assumed; unknown when a range was asked without a kind */
    double duration_s;   /* asked, or the others' own; NAN = not known */
    bool duration_asked;
    enum verdict verdict;
};

/* Fills the verdicts; missing: reps asked but not found, which count as later failures. */
void hard_judge_reps(struct judged reps[], size_t n, int missing, const struct limits *limits);

/* One verdict for many: what spoiled at least LIMIT_HARD_SOME_SHARE of them, the cause before the
 * consequence (started too hard, then what was cut short, missed or stopped, then faded); done when
 * LIMIT_HARD_DONE_SHARE of them are; else the commonest. */
enum verdict hard_sum_up(const struct judged reps[], size_t n, int missing,
                         const struct limits *limits);

/* Adds to the reading what heart rate alone would have said of these reps, or why it isn't asked.
 */
void hard_heart_add(struct arena *arena, const struct judged reps[], size_t n,
                    const struct rider_facts *facts, const struct limits *limits,
                    struct reading *reading);

#endif
