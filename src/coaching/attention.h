/* coaching/attention.h: whom to see first, and why.
 *
 *     riders, each with history and readings ─┐   a table of situations, most urgent first
 *     what was asked and done (marks) ────────┴─> one ordered list: group, person, sentence, act
 *
 * The order is written down, not computed: attention_rules.c holds a row a situation, and a row's
 * place is its rank, with the reason beside it.  Within a rank: what happened last comes first;
 * then by name, then by number.  Who waits, wasn't heard from or is away: the longest first (away:
 * back soonest).  The same riders and the same `today` give the same list, in whatever order they
 * come.
 *
 * **Evidence.**  Every situation has one number that grows when something new happens: the number
 * of the newest ride or note that makes it (numbers grow as things are put into the roster), or a
 * day.  A mark keeps that of when it was set; the item comes back only with a greater one:
 *
 *     done              gone
 *     asked             in "waiting for an answer"; a note put down later is the answer
 *     not before DAY    gone until that day
 *
 * Late mail about an older day is new (its number is), a ride taken away is not. */
#ifndef COACHING_ATTENTION_H
#define COACHING_ATTENTION_H

#include "coaching/rider_readings.h"

enum attention_group {
    GROUP_LOOK_NOW,
    GROUP_DECIDE,
    GROUP_NEEDS_PLAN,
    GROUP_GOOD_NEWS,
    GROUP_WAITING,
    GROUP_NOT_HEARD,
    GROUP_AWAY,
    GROUPS
};
const char *attention_group_name(enum attention_group group); /* "look now", ... */

/* The one next act. */
enum attention_act {
    ACT_ASK_HOW,
    ACT_ASK_DOCTOR,
    ACT_ASK_SCREENING,
    ACT_ASK_RECORDINGS,
    ACT_ASK_AGAIN,
    ACT_READ_RIDE,
    ACT_READ_ANSWER,
    ACT_READ_BESTS,
    ACT_PLAN_RETURN,
    ACT_HOLD_HOURS,
    ACT_PLAN_EASY_DAYS,
    ACT_CAP_EASY_RIDES,
    ACT_CHANGE_TRAINING,
    ACT_CHECK_METERS,
    ACT_ACCEPT_TEST,
    ACT_GIVE_TEST,
    ACT_DRAFT_WEEK,
    ACT_ADD_A_LITTLE,
    ACT_TELL,
    ACT_WAIT,
    ACTS
};
const char *attention_act_name(enum attention_act act); /* "ask-how", "read-ride", ... */

enum attention_state { MARK_DONE, MARK_ASKED, MARK_NOT_BEFORE };
const char *attention_state_name(enum attention_state state); /* "done", "asked", "not before" */

/* What the coach did about one situation of one rider.  The newest of a rider and code counts: by
 * evidence, then by day. */
struct attention_mark {
    int64_t rider;
    const char *code; /* of the item; one that is not known any more is kept waiting for */
    enum attention_state state;
    int64_t evidence;  /* of the item when it was set */
    int64_t last_note; /* number of the rider's newest note then; 0 = none.  Later ones answer */
    int64_t set_day;
    int64_t not_before_day;
    const char *line; /* the coach's; NULL = none */
};

/* So many sessions missed are told apart; more are as many. */
#define ATTENTION_MISSED_MOST 31

struct attention_rider {
    int64_t id;
    const char *name;
    const struct rider_history *history;
    const struct rider_readings *readings; /* of that history */
    int64_t has_plan_until_day; /* the last day with something given; INT64_MIN = not known: then
                                   nothing is said of plans */
    int64_t
        missed[ATTENTION_MISSED_MOST]; /* days of the sessions missed in a row, the last first */
    size_t n_missed;                   /* up to the last whose day has passed */
    int64_t last_contact_day;          /* INT64_MIN = none */
    int64_t proposed_test_ride; /* a test found in a ride that waits for the coach; 0 = none */
    bool advice_first; /* medical advice first: the questions aren't answered, or not cleared */
};

struct attention_item {
    int64_t rider;
    const char *name;
    enum attention_group group;
    enum attention_act act;
    struct cause why;                  /* code, numbers, and the sentence */
    int64_t ride;                      /* it is about; 0 = none */
    int64_t evidence;                  /* for the mark */
    bool is_first;                     /* of this rider */
    bool is_again;                     /* marked before, and back on new evidence or on its day */
    const struct attention_mark *mark; /* that it stands under or came back from; NULL = none */
    const struct reading *reading;     /* whose gauge stands beside it; NULL = none */
};

struct attention {
    struct attention_item *items; /* by group, then as written */
    size_t count;
    size_t in_group[GROUPS]; /* items */
};

/* Riders in any order, marks in any order; `out` points into the arena, to the riders' readings and
 * to the texts of riders and marks. */
void attention_read(struct arena *arena, const struct attention_rider riders[], size_t n,
                    const struct attention_mark marks[], size_t n_marks,
                    const struct limits *limits, struct attention *out);

#endif
