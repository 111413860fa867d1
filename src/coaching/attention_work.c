/* coaching/attention_work.c: situations of the work that was done, and of tests that are missing.
 */
#include "coaching/attention_rules.h"

#include <math.h>

static bool is_hard_asked(const struct past_ride *ride)
{
    return ride->hard.is_asked && ride->hard.verdict != VERDICT_CANNOT_TELL &&
           ride->hard.verdict != VERDICT_DESCRIBED;
}

static bool is_base_judged(const struct past_ride *ride)
{
    return ride->base.is_asked && !ride->spoiled && ride->base.verdict != VERDICT_CANNOT_TELL;
}

static bool is_base_try(const struct past_ride *ride)
{
    return ride->is_base_test;
}

static bool is_any_ride(const struct past_ride *ride)
{
    return ride->is_ride;
}

static bool has_effort(const struct past_ride *ride)
{
    for (size_t i = 0; i < ride->n_efforts; i++) {
        if (ride->efforts[i].evidence != 0) {
            return true;
        }
    }
    return false;
}

/* Rides with power: only who sends them can be tested by it. */
static bool sends_power(const struct attention_look *look)
{
    const struct rider_history *history = attention_history(look);
    const int64_t least = attention_days(look, LIMIT_ATTENTION_RIDES);
    int64_t n = 0;
    for (size_t i = history->n_rides; i > 0 && n < least; i--) {
        const struct past_ride *ride = &history->rides[i - 1];
        n += ride->is_ride && ride->has_power ? 1 : 0;
    }
    return n >= least;
}

/* ---- decide this week ---- */

bool attention_find_unusable(const struct attention_look *look, const struct attention_rule *rule,
                             struct attention_found *found, struct cause *why)
{
    (void)rule;
    const struct past_ride *ride = attention_newest(attention_history(look), is_any_ride);
    if (ride == NULL || !attention_is_recent(look, ride) || !ride->trust.is_asked ||
        ride->trust.verdict != VERDICT_NOT_USABLE) {
        return false;
    }
    attention_about(ride, found, why);
    return true;
}

/* The newest hard ride, by its verdict. */
bool attention_find_hard(const struct attention_look *look, const struct attention_rule *rule,
                         struct attention_found *found, struct cause *why)
{
    const struct past_ride *ride = attention_newest(attention_history(look), is_hard_asked);
    if (ride == NULL || !attention_is_recent(look, ride) || ride->hard.verdict != rule->verdict) {
        return false;
    }
    attention_about(ride, found, why);
    return true;
}

/* The newest base test that was judged, by its verdict. */
bool attention_find_base(const struct attention_look *look, const struct attention_rule *rule,
                         struct attention_found *found, struct cause *why)
{
    const struct past_ride *ride = attention_newest(attention_history(look), is_base_judged);
    if (ride == NULL || !attention_is_recent(look, ride) || ride->base.verdict != rule->verdict) {
        return false;
    }
    attention_about(ride, found, why);
    cause_number(why, "drift_bpm", ride->base.estimate);
    cause_number(why, "low_bpm", ride->base.low);
    cause_number(why, "high_bpm", ride->base.high);
    found->reading = &look->rider->readings->base_state;
    return true;
}

/* A base test that was meant, and says nothing. */
bool attention_find_base_unjudged(const struct attention_look *look,
                                  const struct attention_rule *rule, struct attention_found *found,
                                  struct cause *why)
{
    (void)rule;
    const struct past_ride *ride = attention_newest(attention_history(look), is_base_try);
    if (ride == NULL || !attention_is_recent(look, ride) || is_base_judged(ride)) {
        return false;
    }
    attention_about(ride, found, why);
    cause_number(why, "spoiled", ride->spoiled ? 1.0 : 0.0);
    return true;
}

/* The base by all of its tests.  Evidence: the newest judged test; 0 without one. */
bool attention_find_base_state(const struct attention_look *look, const struct attention_rule *rule,
                               struct attention_found *found, struct cause *why)
{
    const struct reading *state = &look->rider->readings->base_state;
    if (state->verdict != rule->verdict || !sends_power(look)) {
        return false;
    }
    const struct past_ride *ride = attention_newest(attention_history(look), is_base_judged);
    found->reading = state;
    if (ride != NULL) {
        attention_about(ride, found, why);
        cause_number(why, "days", (double)(attention_history(look)->today - ride->day));
        cause_number(why, "apart", look->limits->value[LIMIT_STATE_APART_DAYS]);
    }
    return true;
}

/* One pass is news on its day, and asks for another once enough days went by. */
bool attention_find_base_to_confirm(const struct attention_look *look,
                                    const struct attention_rule *rule,
                                    struct attention_found *found, struct cause *why)
{
    return attention_find_base_state(look, rule, found, why) &&
           cause_value(why, "days") >= look->limits->value[LIMIT_STATE_APART_DAYS];
}

bool attention_find_base_news(const struct attention_look *look, const struct attention_rule *rule,
                              struct attention_found *found, struct cause *why)
{
    return attention_find_base_state(look, rule, found, why) &&
           cause_value(why, "days") < look->limits->value[LIMIT_ATTENTION_RIDE_DAYS];
}

/* Evidence: the last easy ride that was too hard. */
bool attention_find_easy(const struct attention_look *look, const struct attention_rule *rule,
                         struct attention_found *found, struct cause *why)
{
    (void)rule;
    const struct reading *easy = &look->rider->readings->easy_weeks;
    const struct cause *last = causes_find(&easy->because, "easy-last");
    if (easy->verdict != VERDICT_TOO_HARD || last == NULL ||
        !attention_by_cause(&easy->because, "easy-rides", why)) {
        return false;
    }
    found->evidence = (int64_t)cause_value(last, "ride");
    found->ride = found->evidence;
    found->order = -(int64_t)cause_value(last, "day");
    found->reading = easy;
    return true;
}

/* This week, or the last one while it is still news.  Evidence: its Monday. */
bool attention_find_jump(const struct attention_look *look, const struct attention_rule *rule,
                         struct attention_found *found, struct cause *why)
{
    (void)rule;
    enum { NEWS_DAYS = 2 };
    const struct load_weeks *load = &look->rider->readings->load;
    const int64_t monday = load->weeks[load->n - 1].monday;
    const bool is_new = attention_history(look)->today < monday + NEWS_DAYS;
    const struct reading *week = load->now.verdict == VERDICT_JUMP              ? &load->now
                                 : is_new && load->last.verdict == VERDICT_JUMP ? &load->last
                                                                                : NULL;
    if (week == NULL || !attention_by_cause(&week->because, "week-against-usual", why)) {
        return false;
    }
    found->evidence = (int64_t)cause_value(why, "monday");
    found->order = -found->evidence;
    found->reading = week;
    return true;
}

/* More hard days than a beginner should have.  Evidence: the last of them. */
bool attention_find_hard_days(const struct attention_look *look, const struct attention_rule *rule,
                              struct attention_found *found, struct cause *why)
{
    (void)rule;
    enum { WEEK_DAYS = 7 };
    const struct rider_history *history = attention_history(look);
    int64_t last_day = INT64_MIN;
    double count = 0.0;
    for (size_t i = history_ride_from(history, history->today + 1 - WEEK_DAYS);
         i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        if (ride->is_hard_day && ride->day != last_day) {
            count += 1.0;
            last_day = ride->day;
        }
    }
    if (!history_is_first_year(history) || count <= look->limits->value[LIMIT_HARD_DAYS_WEEK]) {
        return false;
    }
    attention_about(attention_newest(history, attention_is_hard_day), found, why);
    cause_number(why, "count", count);
    cause_number(why, "most", look->limits->value[LIMIT_HARD_DAYS_WEEK]);
    return true;
}

/* Stalled, lower, better.  Evidence: the newest ride with an all-out effort. */
static bool of_bests(const struct attention_look *look, const struct reading *reading,
                     struct attention_found *found, struct cause *why)
{
    const struct past_ride *ride = attention_newest(attention_history(look), has_effort);
    if (ride == NULL) {
        return false;
    }
    attention_about(ride, found, why);
    found->ride = 0; /* it is about all of them */
    cause_number(why, "change_pct", reading->estimate);
    cause_number(why, "low_pct", reading->low);
    cause_number(why, "high_pct", reading->high);
    found->reading = reading;
    return true;
}

bool attention_find_stalled(const struct attention_look *look, const struct attention_rule *rule,
                            struct attention_found *found, struct cause *why)
{
    const struct reading *stalled = &look->rider->readings->progress.stalled;
    /* lower bests say it already */
    return stalled->verdict == rule->verdict &&
           look->rider->readings->progress.joint.verdict != VERDICT_LOWER &&
           of_bests(look, stalled, found, why);
}

bool attention_find_progress(const struct attention_look *look, const struct attention_rule *rule,
                             struct attention_found *found, struct cause *why)
{
    const struct reading *joint = &look->rider->readings->progress.joint;
    return joint->verdict == rule->verdict && of_bests(look, joint, found, why);
}

static bool has_effort_by_meter(const struct past_ride *ride)
{
    return ride->meter != 0 && has_effort(ride);
}

/* Bests of two meters are compared that were never ridden against each other.  Evidence: the first
 * ride by the meter of the newest best, so that only one more meter makes it new. */
bool attention_find_meters(const struct attention_look *look, const struct attention_rule *rule,
                           struct attention_found *found, struct cause *why)
{
    (void)rule;
    const struct rider_history *history = attention_history(look);
    const struct rider_progress *progress = &look->rider->readings->progress;
    const struct past_ride *newest = attention_newest(history, has_effort_by_meter);
    bool is_unchecked = false;
    for (size_t i = 0; i < progress->n; i++) {
        is_unchecked = is_unchecked || progress->changes[i].other_meter;
    }
    if (!is_unchecked || newest == NULL) {
        return false;
    }
    const struct past_ride *first = newest;
    for (size_t i = 0; i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        first = ride->meter == newest->meter && ride->id < first->id ? ride : first;
    }
    attention_about(first, found, why);
    found->ride = 0; /* it is about the meters */
    cause_number(why, "trueness_pct", look->limits->value[LIMIT_METER_TRUENESS_PCT]);
    return true;
}

bool attention_find_proposed(const struct attention_look *look, const struct attention_rule *rule,
                             struct attention_found *found, struct cause *why)
{
    (void)rule;
    (void)why;
    found->evidence = look->rider->proposed_test_ride;
    found->ride = found->evidence;
    found->order = -found->evidence;
    return found->evidence != 0;
}

/* Evidence: none that could be newer; done means that the coach has decided. */
bool attention_find_no_threshold(const struct attention_look *look,
                                 const struct attention_rule *rule, struct attention_found *found,
                                 struct cause *why)
{
    (void)rule;
    (void)found;
    (void)why;
    return attention_history(look)->threshold_day == INT64_MIN && sends_power(look);
}

/* Evidence: the day of the threshold. */
bool attention_find_old_threshold(const struct attention_look *look,
                                  const struct attention_rule *rule, struct attention_found *found,
                                  struct cause *why)
{
    (void)rule;
    const struct rider_history *history = attention_history(look);
    const int64_t most =
        attention_days(look, history_is_first_year(history) ? LIMIT_THRESHOLD_OLD_FIRST_DAYS
                                                            : LIMIT_THRESHOLD_OLD_DAYS);
    if (history->threshold_day == INT64_MIN || history->today - history->threshold_day <= most ||
        !sends_power(look)) {
        return false;
    }
    cause_number(why, "days", (double)(history->today - history->threshold_day));
    found->evidence = history->threshold_day;
    found->order = history->threshold_day;
    return true;
}

/* ---- plan, good news ---- */

/* Evidence: the last day with something given. */
bool attention_find_plan_ends(const struct attention_look *look, const struct attention_rule *rule,
                              struct attention_found *found, struct cause *why)
{
    (void)rule;
    const int64_t until = look->rider->has_plan_until_day;
    if (until == INT64_MIN ||
        until - attention_history(look)->today > attention_days(look, LIMIT_PLAN_DAYS)) {
        return false;
    }
    cause_number(why, "day", (double)until);
    cause_number(why, "is_over", until < attention_history(look)->today ? 1.0 : 0.0);
    found->evidence = until;
    found->order = until;
    return true;
}

/* Sessions missed in a row; days ill or off excuse theirs.  Evidence: the last day that isn't
 * excused. */
bool attention_find_missed(const struct attention_look *look, const struct attention_rule *rule,
                           struct attention_found *found, struct cause *why)
{
    (void)rule;
    const struct attention_rider *rider = look->rider;
    const struct rider_history *history = attention_history(look);
    int64_t first = 0;
    int64_t last = 0;
    double count = 0.0;
    for (size_t i = 0; i < rider->n_missed; i++) {
        const int64_t day = rider->missed[i];
        if (history_is_ill(history, day) || history_off_on(history, day, ~0u) != NULL) {
            continue;
        }
        first = day;
        last = count > 0.0 ? last : day;
        count += 1.0;
    }
    if (count < look->limits->value[LIMIT_ATTENTION_MISSED]) {
        return false;
    }
    cause_number(why, "count", count);
    cause_number(why, "first_day", (double)first);
    cause_number(why, "day", (double)last);
    found->evidence = last;
    found->order = -last;
    return true;
}

static bool is_hard_done(const struct past_ride *ride)
{
    return ride->hard.verdict == VERDICT_DONE || ride->hard.verdict == VERDICT_DONE_FAST_START;
}

/* The last two hard rides, or the last alone, done; one of more than a year ago is none of them.
 * Evidence: the newest. */
static bool find_done(const struct attention_look *look, size_t wanted,
                      struct attention_found *found, struct cause *why)
{
    const struct rider_history *history = attention_history(look);
    const struct past_ride *last = attention_newest(history, is_hard_asked);
    size_t running = 0;
    for (size_t i = history->n_rides; i > history_ride_from(history, history->today - HISTORY_DAYS);
         i--) {
        const struct past_ride *ride = &history->rides[i - 1];
        if (is_hard_asked(ride)) {
            if (!is_hard_done(ride)) {
                break;
            }
            running++;
        }
    }
    if (last == NULL || !attention_is_recent(look, last) ||
        (wanted == 1 ? running != 1 : running < wanted)) {
        return false;
    }
    attention_about(last, found, why);
    return true;
}

bool attention_find_done_once(const struct attention_look *look, const struct attention_rule *rule,
                              struct attention_found *found, struct cause *why)
{
    (void)rule;
    return find_done(look, 1, found, why);
}

bool attention_find_done_twice(const struct attention_look *look, const struct attention_rule *rule,
                               struct attention_found *found, struct cause *why)
{
    (void)rule;
    return find_done(look, 2, found, why);
}
