/* coaching/attention_rules.c: the situations, most urgent first.
 *
 * The order of the table below is the order of the list.  In short: health before training, what
 * may harm before what is merely wrong, what the coach must decide before what can be told. */
#include "coaching/attention_rules.h"

#include <math.h>
#include <string.h>

/* ---- helpers ---- */

const struct rider_history *attention_history(const struct attention_look *look)
{
    return look->rider->history;
}

int64_t attention_days(const struct attention_look *look, enum limit_id id)
{
    return (int64_t)look->limits->value[id];
}

/* About a ride: what happened last comes first. */
void attention_about(const struct past_ride *ride, struct attention_found *found, struct cause *why)
{
    found->evidence = ride->id;
    found->ride = ride->id;
    found->order = -ride->day;
    cause_number(why, "day", (double)ride->day);
}

bool attention_is_recent(const struct attention_look *look, const struct past_ride *ride)
{
    return attention_history(look)->today - ride->day <
           attention_days(look, LIMIT_ATTENTION_RIDE_DAYS);
}

/* The cause of a reading with that code, its numbers copied. */
bool attention_by_cause(const struct causes *causes, const char *code, struct cause *why)
{
    const struct cause *cause = causes_find(causes, code);
    if (cause == NULL) {
        return false;
    }
    memcpy(why->numbers, cause->numbers, sizeof why->numbers);
    why->n_numbers = cause->n_numbers;
    return true;
}

/* The newest ride for which something is true; NULL if there is none. */
const struct past_ride *attention_newest(const struct rider_history *history,
                                         bool (*is)(const struct past_ride *ride))
{
    for (size_t i = history->n_rides; i > 0; i--) {
        if (is(&history->rides[i - 1])) {
            return &history->rides[i - 1];
        }
    }
    return NULL;
}

bool attention_is_hard_day(const struct past_ride *ride)
{
    return ride->is_hard_day;
}

/* ---- silence, and away ---- */

static int64_t later(int64_t a, int64_t b)
{
    return a > b ? a : b;
}

static int64_t last_heard(const struct attention_look *look)
{
    const struct rider_history *history = attention_history(look);
    int64_t day = look->rider->last_contact_day;
    if (history->n_rides > 0) {
        day = later(day, history->rides[history->n_rides - 1].day);
    }
    if (history->n_notes > 0) {
        day = later(day, history->notes[history->n_notes - 1].day);
    }
    return day;
}

/* Evidence: the last day with any word; a new silence after a new word is new. */
static bool find_not_heard(const struct attention_look *look, const struct attention_rule *rule,
                           struct attention_found *found, struct cause *why)
{
    (void)rule;
    const int64_t day = last_heard(look);
    const int64_t silent = day == INT64_MIN ? 0 : attention_history(look)->today - day;
    if (silent < attention_days(look, LIMIT_NOT_HEARD_DAYS)) {
        return false;
    }
    cause_number(why, "days", (double)silent);
    cause_number(why, "day", (double)day);
    found->evidence = day;
    found->order = day;
    return true;
}

static bool find_nothing(const struct attention_look *look, const struct attention_rule *rule,
                         struct attention_found *found, struct cause *why)
{
    (void)rule;
    (void)why;
    found->order = INT64_MIN;
    return last_heard(look) == INT64_MIN;
}

/* Evidence: its first day. */
static bool find_away(const struct attention_look *look, const struct attention_rule *rule,
                      struct attention_found *found, struct cause *why)
{
    (void)rule;
    const unsigned kinds = 1U << OFF_AWAY | 1U << OFF_BREAK | 1U << OFF_INJURED | 1U << OFF_ILL;
    const struct past_span *off =
        history_off_on(attention_history(look), attention_history(look)->today, kinds);
    if (off == NULL) {
        return false;
    }
    cause_number(why, "kind", (double)off->kind);
    cause_number(why, "from_day", (double)off->from_day);
    cause_number(why, "to_day", off->to_day == INT64_MAX ? (double)NAN : (double)off->to_day);
    found->evidence = off->from_day;
    found->order = off->to_day;
    return true;
}

/* ---- the table: the order of the list ---- */

#define NO_RIDING  (QUIET_OFF)
#define NO_TESTING (QUIET_OFF | QUIET_BACK | QUIET_UNASKED)

const struct attention_rule attention_rules[] = {
    /* Chest, heart, faintness, breath in the rider's own words: nothing comes before it. */
    { "words-of-heart", GROUP_LOOK_NOW, ACT_ASK_HOW, 0, true, 0, attention_find_how_note },
    /* Mostly the strap; twice in two months is asked about before anything hard. */
    { "heart-caution-twice", GROUP_LOOK_NOW, ACT_ASK_HOW, 0, true, 0, attention_find_cautions },
    /* So long unwell is a doctor's question, not a coach's. */
    { "unwell-long", GROUP_LOOK_NOW, ACT_ASK_DOCTOR, 0, true, 0, attention_find_unwell_long },
    /* Hard riding while ill or too soon after is what harms; it goes on unless somebody asks. */
    { "hard-too-soon", GROUP_LOOK_NOW, ACT_ASK_HOW, 0, false, 0, attention_find_hard_too_soon },
    /* Ill: the next days change, whatever was planned. */
    { "ill", GROUP_LOOK_NOW, ACT_ASK_HOW, 0, true, 0, attention_find_ill },
    { "words-of-illness", GROUP_LOOK_NOW, ACT_ASK_HOW, 0, true, 0, attention_find_ill_words },
    /* A fall may hide more than it shows. */
    { "words-of-fall", GROUP_LOOK_NOW, ACT_ASK_HOW, 0, true, 0, attention_find_how_note },
    /* Tired or more: measured by the rider's own effort before by single answers. */
    { "effort-higher", GROUP_LOOK_NOW, ACT_ASK_HOW, QUIET_OFF, false, 0, attention_find_effort },
    /* Heart rate far from usual, or twice running: asked about, never read as this or that. */
    { "heart-unusual", GROUP_LOOK_NOW, ACT_ASK_HOW, QUIET_OFF, false, 0, attention_find_heart },
    { "feels-worse", GROUP_LOOK_NOW, ACT_ASK_HOW, QUIET_OFF, false, 0, attention_find_feels_worse },

    /* What isn't to be proposed yet must be known before a week is drafted. */
    { "coming-back", GROUP_DECIDE, ACT_PLAN_RETURN, 0, false, 0, attention_find_coming_back },
    /* Hard work without the questions answered: medical advice first. */
    { "advice-first", GROUP_DECIDE, ACT_ASK_SCREENING, QUIET_OFF, false, 0,
      attention_find_screening },
    { "heart-caution", GROUP_DECIDE, ACT_READ_RIDE, 0, false, 0, attention_find_caution },
    /* Too much: hours and hard days do harm sooner than a session done badly. */
    { "hard-days", GROUP_DECIDE, ACT_PLAN_EASY_DAYS, NO_RIDING, false, 0,
      attention_find_hard_days },
    { "week-jump", GROUP_DECIDE, ACT_HOLD_HOURS, NO_RIDING, false, 0, attention_find_jump },
    /* Not ridden what was given: something stands in the way, and the next week rests on it. */
    { "sessions-missed", GROUP_DECIDE, ACT_ASK_HOW, QUIET_OFF | QUIET_BACK, false, 0,
      attention_find_missed },
    /* A meter or a strap that fails makes everything after it unreadable. */
    { "recording-not-usable", GROUP_DECIDE, ACT_READ_RIDE, 0, false, 0, attention_find_unusable },
    /* The last hard session: the next one is changed by it; causes before consequences. */
    { "hard-started-too-hard", GROUP_DECIDE, ACT_READ_RIDE, NO_RIDING, false,
      VERDICT_STARTED_TOO_HARD, attention_find_hard },
    { "hard-stopped", GROUP_DECIDE, ACT_READ_RIDE, NO_RIDING, false, VERDICT_STOPPED,
      attention_find_hard },
    { "hard-cut-short", GROUP_DECIDE, ACT_READ_RIDE, NO_RIDING, false, VERDICT_CUT_SHORT,
      attention_find_hard },
    { "hard-faded", GROUP_DECIDE, ACT_READ_RIDE, NO_RIDING, false, VERDICT_FADED,
      attention_find_hard },
    { "hard-below", GROUP_DECIDE, ACT_READ_RIDE, NO_RIDING, false, VERDICT_BELOW,
      attention_find_hard },
    { "hard-above", GROUP_DECIDE, ACT_READ_RIDE, NO_RIDING, false, VERDICT_ABOVE,
      attention_find_hard },
    /* The beginner's commonest fault, over weeks. */
    { "easy-too-hard", GROUP_DECIDE, ACT_CAP_EASY_RIDES, NO_RIDING, false, 0, attention_find_easy },
    /* A test that was ridden, before tests that are missing. */
    { "test-proposed", GROUP_DECIDE, ACT_ACCEPT_TEST, 0, false, 0, attention_find_proposed },
    { "base-not-passed", GROUP_DECIDE, ACT_READ_RIDE, NO_RIDING, false, VERDICT_NOT_PASSED,
      attention_find_base },
    { "base-on-the-line", GROUP_DECIDE, ACT_GIVE_TEST, NO_TESTING, false, VERDICT_ON_THE_LINE,
      attention_find_base },
    { "base-not-judged", GROUP_DECIDE, ACT_GIVE_TEST, NO_TESTING, false, 0,
      attention_find_base_unjudged },
    /* Where training goes on without effect. */
    { "lower", GROUP_DECIDE, ACT_READ_BESTS, QUIET_OFF | QUIET_BACK, false, VERDICT_LOWER,
      attention_find_progress },
    { "stalled", GROUP_DECIDE, ACT_CHANGE_TRAINING, QUIET_OFF | QUIET_BACK, false, VERDICT_YES,
      attention_find_stalled },
    /* Between meters that were not checked neither is known well. */
    { "meters-unchecked", GROUP_DECIDE, ACT_CHECK_METERS, NO_RIDING, false, 0,
      attention_find_meters },
    /* What is missing for any of these to be known; never urgent. */
    { "no-threshold", GROUP_DECIDE, ACT_GIVE_TEST, NO_TESTING, false, 0,
      attention_find_no_threshold },
    { "threshold-old", GROUP_DECIDE, ACT_GIVE_TEST, NO_TESTING, false, 0,
      attention_find_old_threshold },
    { "base-to-confirm", GROUP_DECIDE, ACT_GIVE_TEST, NO_TESTING, false, VERDICT_TO_CONFIRM,
      attention_find_base_to_confirm },
    { "base-out-of-date", GROUP_DECIDE, ACT_GIVE_TEST, NO_TESTING, false, VERDICT_OUT_OF_DATE,
      attention_find_base_state },
    { "base-not-tested", GROUP_DECIDE, ACT_GIVE_TEST, NO_TESTING, false, VERDICT_NOT_TESTED,
      attention_find_base_state },

    { "plan-ends", GROUP_NEEDS_PLAN, ACT_DRAFT_WEEK, NO_RIDING, false, 0,
      attention_find_plan_ends },

    /* Weeks of work before one session. */
    { "base-built", GROUP_GOOD_NEWS, ACT_TELL, 0, false, VERDICT_BUILT, attention_find_base_news },
    { "better", GROUP_GOOD_NEWS, ACT_TELL, 0, false, VERDICT_BETTER, attention_find_progress },
    { "base-passed", GROUP_GOOD_NEWS, ACT_TELL, 0, false, VERDICT_TO_CONFIRM,
      attention_find_base_news },
    { "hard-done-twice", GROUP_GOOD_NEWS, ACT_ADD_A_LITTLE, NO_TESTING, false, 0,
      attention_find_done_twice },
    { "hard-done", GROUP_GOOD_NEWS, ACT_TELL, 0, false, 0, attention_find_done_once },

    { "nothing-on-file", GROUP_NOT_HEARD, ACT_ASK_RECORDINGS, QUIET_AWAY, false, 0, find_nothing },
    { "not-heard", GROUP_NOT_HEARD, ACT_ASK_HOW, QUIET_AWAY, false, 0, find_not_heard },

    { "away", GROUP_AWAY, ACT_WAIT, 0, false, 0, find_away },
};
const size_t attention_rules_count = sizeof attention_rules / sizeof attention_rules[0];
