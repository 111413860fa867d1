/* coaching/hard_parts.h: what the parts of hard work share.  Not for other rooms.
 *
 *   hard_intent.c   what was meant, asked or assumed
 *   hard_verdict.c  the verdict of a rep, in the written order, and of many reps
 *   hard_heart.c    what heart rate alone would have said
 *   hard_evidence.c the reasons beside a verdict
 *   hard_work.c     the readings */
#ifndef COACHING_HARD_PARTS_H
#define COACHING_HARD_PARTS_H

#include "coaching/reading.h"

/* A rep with what it is judged by. */
struct judged {
    const struct rep *rep;
    bool part;           /* of the work that is judged; false: described only */
    bool heart_is_late;  /* the sensor or the sums behind it lag: heart rate isn't read */
    bool assumed;        /* the range wasn't asked: shape verdicts only */
    enum work_kind kind; /* asked or assumed; unknown when a range was asked without a kind */
    double duration_s;   /* asked, or the others' own; NAN = not known */
    bool duration_asked;
    enum verdict verdict;
};

/* What was asked of the ride. */
struct intent {
    bool range;    /* a range, or a kind that has one */
    bool anything; /* anything hard: a range, a number of reps, a duration */
    bool in_pct;   /* the range needs a threshold */
    const char *text;
};

struct intent hard_intent_of(struct arena *arena, const struct rider_facts *facts,
                             const struct limits *limits);

/* A test or a race by the coach's word, of which nothing else was asked: its efforts are told, and
 * not held against a kind of work that nobody meant. */
bool hard_is_marked(const struct rider_facts *facts, const struct intent *intent);

/* What each rep is judged by, [reps->count]; where no range was asked the nearest kind's is assumed
 * and measured against. */
struct judged *hard_prepare(struct arena *arena, const struct recording *recording,
                            const struct rider_facts *facts, const struct limits *limits,
                            const struct intent *intent, struct reps *reps);

/* Reps asked and not found; a block's short efforts count one by one when they were asked so. */
int hard_missing(const struct rider_facts *facts, const struct limits *limits,
                 const struct judged judged[], size_t n);

/* Fills the verdicts; missing: reps asked but not found, which count as later failures. */
void hard_judge_reps(struct judged reps[], size_t n, int missing, const struct limits *limits);

/* One verdict for many: what spoiled at least LIMIT_HARD_SOME_SHARE of them, the cause before the
 * consequence (started too hard, then what was cut short, missed or stopped, then faded); done when
 * LIMIT_HARD_DONE_SHARE of them are; else the commonest. */
enum verdict hard_sum_up(const struct judged reps[], size_t n, int missing,
                         const struct limits *limits);

/* The reps that a reading is about: of one set, or of the ride (set 0). */
struct group {
    const struct judged *items;
    size_t count;
    int set;
    int missing;
};

/* The reasons: shapes of the reps by their verdicts (numbered from first_of_ride), how many and how
 * long, the change from the first rep to the last, the rests of a session that was laid along the
 * ride, what makes it doubtful, and how well the range itself is known. */
void hard_add_shapes(struct arena *arena, const struct group *group,
                     const struct rider_facts *facts, const struct judged *first_of_ride,
                     struct reading *reading);
void hard_add_counts(struct arena *arena, const struct group *group,
                     const struct rider_facts *facts, struct reading *reading);
void hard_add_set_change(struct arena *arena, const struct group *group, struct reading *reading);
void hard_add_rests(struct arena *arena, const struct rider_facts *facts,
                    const struct limits *limits, struct reading *reading);
void hard_add_doubts(struct arena *arena, const struct group *group, const struct limits *limits,
                     struct reading *reading);
void hard_add_range_doubt(struct arena *arena, const struct rider_facts *facts,
                          const struct limits *limits, struct reading *reading);

/* Adds to the reading what heart rate alone would have said of these reps, or why it isn't asked.
 */
void hard_heart_add(struct arena *arena, const struct judged reps[], size_t n,
                    const struct rider_facts *facts, const struct limits *limits,
                    struct reading *reading);

#endif
