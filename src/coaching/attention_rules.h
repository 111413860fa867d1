/* coaching/attention_rules.h: the situations, most urgent first; shared by attention*.c only. */
#ifndef COACHING_ATTENTION_RULES_H
#define COACHING_ATTENTION_RULES_H

#include "coaching/attention.h"

/* While this holds, a situation isn't shown; added. */
enum attention_quiet {
    QUIET_OFF = 1,     /* ill, injured, away, on a break or without rides today */
    QUIET_BACK = 2,    /* coming back: no tests, nothing hard */
    QUIET_UNASKED = 4, /* something that must be asked about first, and wasn't yet */
    QUIET_AWAY = 8     /* somebody said that the rider is off: silence is expected */
};

struct attention_look {
    struct arena *arena;
    const struct attention_rider *rider;
    const struct limits *limits;
};

/* What a situation is made of; the table fills in the rest. */
struct attention_found {
    int64_t evidence;
    int64_t ride;  /* 0 = none */
    int64_t order; /* smaller comes first within the rank */
    const struct reading *reading;
};

struct attention_rule {
    const char *code;
    enum attention_group group;
    enum attention_act act;
    unsigned quiet;       /* enum attention_quiet, added */
    bool is_asked_first;  /* it makes QUIET_UNASKED while it stands unmarked */
    enum verdict verdict; /* for rules that differ by nothing else */
    /* True if it is so; adds its numbers to the cause. */
    bool (*find)(const struct attention_look *look, const struct attention_rule *rule,
                 struct attention_found *found, struct cause *why);
};

extern const struct attention_rule attention_rules[];
extern const size_t attention_rules_count;

/* ---- for the finders ---- */

const struct rider_history *attention_history(const struct attention_look *look);
int64_t attention_days(const struct attention_look *look, enum limit_id id);

/* Fills evidence, ride and order, and adds the ride's day. */
void attention_about(const struct past_ride *ride, struct attention_found *found,
                     struct cause *why);

/* No older than LIMIT_ATTENTION_RIDE_DAYS. */
bool attention_is_recent(const struct attention_look *look, const struct past_ride *ride);

/* Copies the numbers of the cause with that code; false if there is none. */
bool attention_by_cause(const struct causes *causes, const char *code, struct cause *why);

/* The newest ride for which something is true; NULL if there is none. */
const struct past_ride *attention_newest(const struct rider_history *history,
                                         bool (*is)(const struct past_ride *ride));
bool attention_is_hard_day(const struct past_ride *ride);

/* ---- finders, by the code of their row ---- */

typedef bool attention_find(const struct attention_look *look, const struct attention_rule *rule,
                            struct attention_found *found, struct cause *why);
attention_find attention_find_how_note;
attention_find attention_find_cautions;
attention_find attention_find_caution;
attention_find attention_find_unwell_long;
attention_find attention_find_hard_too_soon;
attention_find attention_find_hard;
attention_find attention_find_ill;
attention_find attention_find_ill_words;
attention_find attention_find_effort;
attention_find attention_find_heart;
attention_find attention_find_feels_worse;
attention_find attention_find_coming_back;
attention_find attention_find_screening;
attention_find attention_find_unusable;
attention_find attention_find_base;
attention_find attention_find_base_unjudged;
attention_find attention_find_base_state;
attention_find attention_find_base_to_confirm;
attention_find attention_find_base_news;
attention_find attention_find_easy;
attention_find attention_find_jump;
attention_find attention_find_hard_days;
attention_find attention_find_stalled;
attention_find attention_find_progress;
attention_find attention_find_meters;
attention_find attention_find_proposed;
attention_find attention_find_no_threshold;
attention_find attention_find_old_threshold;
attention_find attention_find_plan_ends;
attention_find attention_find_missed;
attention_find attention_find_done_once;
attention_find attention_find_done_twice;

#endif
