/* coaching/words/attention_words.c: why a rider is on the list, and what to do next. */
#include "coaching/words/attention_words.h"

#include "coaching/words/heart_words.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/weeks_words.h"
#include "coaching/words/sayings.h"
#include "coaching/words/words.h"

#include <math.h>
#include <string.h>

const char *words_attention_group(enum attention_group group)
{
    static const char *const headings[] = {
        [GROUP_LOOK_NOW] = "Look now",
        [GROUP_DECIDE] = "Decide this week",
        [GROUP_NEEDS_PLAN] = "Needs a plan",
        [GROUP_GOOD_NEWS] = "Good news to pass on",
        [GROUP_WAITING] = "Waiting for an answer",
        [GROUP_NOT_HEARD] = "Not heard from",
        [GROUP_AWAY] = "Away",
    };
    return headings[group];
}

const char *words_attention_act(enum attention_act act)
{
    static const char *const acts[] = {
        [ACT_ASK_HOW] = "Ask how the rider is",
        [ACT_ASK_DOCTOR] = "Ask if a doctor has been seen",
        [ACT_ASK_SCREENING] = "Ask the questions before hard work",
        [ACT_ASK_RECORDINGS] = "Ask for the recordings",
        [ACT_ASK_AGAIN] = "Ask again",
        [ACT_READ_RIDE] = "Read the ride",
        [ACT_READ_ANSWER] = "Read the answer",
        [ACT_READ_BESTS] = "Read the bests",
        [ACT_PLAN_RETURN] = "Plan the return",
        [ACT_HOLD_HOURS] = "Hold the hours",
        [ACT_PLAN_EASY_DAYS] = "Plan easy days",
        [ACT_CAP_EASY_RIDES] = "Cap the easy rides",
        [ACT_CHECK_METERS] = "Ask for a ride with both meters",
        [ACT_CHANGE_TRAINING] = "Change the training",
        [ACT_ACCEPT_TEST] = "Accept the test, or not",
        [ACT_GIVE_TEST] = "Give a test",
        [ACT_DRAFT_WEEK] = "Draft a week",
        [ACT_ADD_A_LITTLE] = "Add a little",
        [ACT_TELL] = "Tell the rider",
        [ACT_WAIT] = "Wait",
    };
    return acts[act];
}

static char *day_named(struct arena *arena, const struct cause *cause, const char *name)
{
    return words_day(arena, (int64_t)cause_value(cause, name));
}

/* "1 day", "9 days". */
static char *days(struct arena *arena, const struct cause *cause, const char *name)
{
    const double n = cause_value(cause, name);
    return arena_format(arena, "%s day%s", words_whole(arena, n), n > 0.5 && n < 1.5 ? "" : "s");
}

/* ---- look now ---- */

static char *wrote(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Wrote of %s on %s.",
                        words_symptoms(arena, (unsigned)cause_value(cause, "symptoms")),
                        day_named(arena, cause, "day"));
}

static char *wrote_of_heart(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%s Nothing hard before it is asked about.", wrote(arena, cause));
}

/* What heart rate did on that day. */
static const char *what_heart(const struct cause *cause)
{
    const unsigned cautions = (unsigned)cause_value(cause, "cautions");
    return cautions == CAUTION_HEART_LEAP ? "leapt though power did not"
           : cautions == CAUTION_HEART_ABOVE_MAX
               ? "stood far above the maximum on file"
               : "leapt though power did not, and stood far above the maximum on file";
}

static char *caution_twice(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Heart rate %s on %s, one of %s such rides in two months. "
                        "Usually the strap; ask before anything hard.",
                        what_heart(cause), day_named(arena, cause, "day"),
                        sayings_whole(arena, cause, "count"));
}

static char *unwell_long(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Unwell for %s: a doctor before training.",
                        days(arena, cause, "days"));
}

static char *hard_too_soon(struct arena *arena, const struct cause *cause)
{
    const char *after = cause_value(cause, "ill") > 0.5 ? "illness" : "injury";
    return isnan(cause_value(cause, "hard_from"))
               ? arena_format(arena, "Rode hard on %s, while ill or off.",
                              day_named(arena, cause, "day"))
               : arena_format(arena, "Rode hard on %s; after %s nothing hard was due before %s.",
                              day_named(arena, cause, "day"), after,
                              day_named(arena, cause, "hard_from"));
}

static char *ill(struct arena *arena, const struct cause *cause)
{
    return cause_value(cause, "now") > 0.5
               ? arena_format(arena, "Ill since %s.", day_named(arena, cause, "day"))
               : arena_format(arena, "Was ill for %s, from %s.", days(arena, cause, "days"),
                              day_named(arena, cause, "day"));
}

static char *effort_higher(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Finds work harder than usual: effort %.1f of 10, usually %.1f for "
                        "rides like these.",
                        cause_value(cause, "effort"), cause_value(cause, "usual"));
}

/* "Heart rate 12 beats above usual on 14 March 2026, and 9 the ride before. ..." */
static char *heart_unusual(struct arena *arena, const struct cause *cause)
{
    const double bpm = cause_value(cause, "bpm");
    const double before = cause_value(cause, "before_bpm");
    return arena_format(arena, "Heart rate %s usual on %s%s. %s", words_beats_against(arena, bpm),
                        day_named(arena, cause, "day"),
                        isnan(before) ? ""
                                      : arena_format(arena, ", and %s the ride before",
                                                     words_whole(arena, fabs(before))),
                        bpm > 0.0 ? words_ask_higher() : words_ask_lower());
}

/* "Legs and sleep worse than usual: 2.0 and 1.5 of 5." */
static char *feels_worse(struct arena *arena, const struct cause *cause)
{
    const char *names[CAUSE_NUMBERS];
    const char *values[CAUSE_NUMBERS];
    for (size_t i = 0; i < cause->n_numbers; i++) {
        names[i] = cause->numbers[i].name;
        values[i] = arena_format(arena, "%.1f", cause->numbers[i].value);
    }
    char *list = words_list(arena, names, cause->n_numbers, " and ");
    list[0] = (char)(list[0] - 'a' + 'A');
    return arena_format(arena, "%s worse than usual: %s of 5.", list,
                        words_list(arena, values, cause->n_numbers, " and "));
}

/* ---- decide ---- */

static char *coming_back(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Back since %s after %s: nothing hard before %s.",
                        day_named(arena, cause, "to_day"),
                        cause_value(cause, "ill") > 0.5 ? "illness" : "a break",
                        day_named(arena, cause, "hard_from"));
}

static char *on_day(struct arena *arena, const struct cause *cause, const char *what)
{
    return arena_format(arena, "%s on %s.", what, day_named(arena, cause, "day"));
}

static char *screening(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Rode hard on %s, and the questions before hard work are not answered or "
                        "not cleared: medical advice first.",
                        day_named(arena, cause, "day"));
}

static char *caution(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Heart rate %s on %s. Usually the strap; ask about palpitations, "
                        "dizziness, chest pain or breathlessness.",
                        what_heart(cause), day_named(arena, cause, "day"));
}

static char *hard_days(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%s hard days in the last 7; in the first year %s are enough.",
                        sayings_whole(arena, cause, "count"), sayings_whole(arena, cause, "most"));
}

static char *week_jump(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%s h %s; usually %s.",
                        words_hours(arena, cause_value(cause, "hours")),
                        cause_value(cause, "is_over") > 0.5 ? "last week" : "so far this week",
                        words_hours(arena, cause_value(cause, "usual_hours")));
}

static char *not_usable(struct arena *arena, const struct cause *cause)
{
    return on_day(arena, cause, "Nothing can be read from the ride");
}

static char *hard_started(struct arena *arena, const struct cause *cause)
{
    return on_day(arena, cause, "Started the hard work too hard");
}

static char *hard_stopped(struct arena *arena, const struct cause *cause)
{
    return on_day(arena, cause, "Stopped in the hard work");
}

static char *hard_cut(struct arena *arena, const struct cause *cause)
{
    return on_day(arena, cause, "Cut the hard work short");
}

static char *hard_faded(struct arena *arena, const struct cause *cause)
{
    return on_day(arena, cause, "Faded in the hard work");
}

static char *hard_below(struct arena *arena, const struct cause *cause)
{
    return on_day(arena, cause, "Rode the hard work below its range");
}

static char *hard_above(struct arena *arena, const struct cause *cause)
{
    return on_day(arena, cause, "Rode the hard work above its range");
}

static char *easy_too_hard(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Easy rides too hard: %s of %s in the last weeks.",
                        sayings_whole(arena, cause, "too_hard"),
                        sayings_whole(arena, cause, "judged"));
}

static char *beats(struct arena *arena, const struct cause *cause)
{
    return arena_format(
        arena, "%s beats (likely %s to %s)", sayings_whole(arena, cause, "drift_bpm"),
        sayings_whole(arena, cause, "low_bpm"), sayings_whole(arena, cause, "high_bpm"));
}

static char *base_not_passed(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Base test of %s not passed: %s.", day_named(arena, cause, "day"),
                        beats(arena, cause));
}

static char *base_on_the_line(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Base test of %s on the line: %s. One more steady hour would settle it.",
                        day_named(arena, cause, "day"), beats(arena, cause));
}

static char *base_not_judged(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Base test of %s %s.", day_named(arena, cause, "day"),
                        cause_value(cause, "spoiled") > 0.5 ? "was spoiled"
                                                            : "could not be judged");
}

/* "by 4 % (likely 1 to 7)": without its sign. */
static char *change(struct arena *arena, const struct cause *cause)
{
    const double value = cause_value(cause, "change_pct");
    const double low = cause_value(cause, "low_pct");
    const double high = cause_value(cause, "high_pct");
    const bool is_up = value >= 0.0;
    return arena_format(arena, "by %.1f %% (likely %.1f to %.1f)", fabs(value), is_up ? low : -high,
                        is_up ? high : -low);
}

static char *meters_unchecked(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Rides with another power meter since %s, not checked against the one "
                        "before: each may be off by %.1f %%, so bests tell little.",
                        day_named(arena, cause, "day"), cause_value(cause, "trueness_pct"));
}

static char *lower(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Bests lower %s than in the weeks before.", change(arena, cause));
}

static char *threshold_old(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "The threshold is %s old.", days(arena, cause, "days"));
}

static char *base_to_confirm(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "One base test passed, %s ago; a second settles it.",
                        days(arena, cause, "days"));
}

static char *base_out_of_date(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "The base test of %s is out of date.",
                        day_named(arena, cause, "day"));
}

static char *sessions_missed(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%.0f sessions in a row not ridden, from %s to %s.",
                        cause_value(cause, "count"), day_named(arena, cause, "first_day"),
                        day_named(arena, cause, "day"));
}

static char *plan_ends(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        cause_value(cause, "is_over") > 0.5 ? "Nothing given since %s."
                                                            : "Nothing given after %s.",
                        day_named(arena, cause, "day"));
}

/* ---- good news, silence, away ---- */

static char *base_built(struct arena *arena, const struct cause *cause)
{
    return on_day(arena, cause, "The base is built: a second test passed");
}

static char *base_passed(struct arena *arena, const struct cause *cause)
{
    return on_day(arena, cause, "Passed the base test");
}

static char *better(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Better %s than in the weeks before.", change(arena, cause));
}

static char *done(struct arena *arena, const struct cause *cause)
{
    return on_day(arena, cause, "Did the hard work as asked");
}

static char *done_twice(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Did the hard work as asked again, on %s: room for a rep or 2 %% more.",
                        day_named(arena, cause, "day"));
}

static char *not_heard(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Nothing for %s, since %s.", days(arena, cause, "days"),
                        day_named(arena, cause, "day"));
}

static char *away(struct arena *arena, const struct cause *cause)
{
    static const char *const kinds[] = { [OFF_ILL] = "Ill",
                                         [OFF_INJURED] = "Injured",
                                         [OFF_AWAY] = "Away",
                                         [OFF_BREAK] = "On a break",
                                         [OFF_OTHER] = "Off" };
    const char *kind = kinds[(size_t)cause_value(cause, "kind")];
    const double to = cause_value(cause, "to_day");
    return isnan(to)
               ? arena_format(arena, "%s since %s.", kind, day_named(arena, cause, "from_day"))
               : arena_format(arena, "%s until %s.", kind, words_day(arena, (int64_t)to - 1));
}

/* ---- the table ---- */

static const struct saying rows[] = {
    { "words-of-heart", wrote_of_heart, NULL },
    { "heart-caution-twice", caution_twice, NULL },
    { "unwell-long", unwell_long, NULL },
    { "hard-too-soon", hard_too_soon, NULL },
    { "ill", ill, NULL },
    { "words-of-illness", wrote, NULL },
    { "words-of-fall", wrote, NULL },
    { "effort-higher", effort_higher, NULL },
    { "heart-unusual", heart_unusual, NULL },
    { "feels-worse", feels_worse, NULL },
    { "coming-back", coming_back, NULL },
    { "advice-first", screening, NULL },
    { "heart-caution", caution, NULL },
    { "hard-days", hard_days, NULL },
    { "week-jump", week_jump, NULL },
    { "recording-not-usable", not_usable, NULL },
    { "hard-started-too-hard", hard_started, NULL },
    { "hard-stopped", hard_stopped, NULL },
    { "hard-cut-short", hard_cut, NULL },
    { "hard-faded", hard_faded, NULL },
    { "hard-below", hard_below, NULL },
    { "hard-above", hard_above, NULL },
    { "easy-too-hard", easy_too_hard, NULL },
    { "test-proposed", NULL, "A ride looks like a test." },
    { "base-not-passed", base_not_passed, NULL },
    { "base-on-the-line", base_on_the_line, NULL },
    { "base-not-judged", base_not_judged, NULL },
    { "lower", lower, NULL },
    { "stalled", NULL, "Tries hard and gains nothing to speak of." },
    { "meters-unchecked", meters_unchecked, NULL },
    { "no-threshold", NULL, "No threshold is known." },
    { "threshold-old", threshold_old, NULL },
    { "base-to-confirm", base_to_confirm, NULL },
    { "base-out-of-date", base_out_of_date, NULL },
    { "base-not-tested", NULL, "The base is not tested." },
    { "plan-ends", plan_ends, NULL },
    { "sessions-missed", sessions_missed, NULL },
    { "base-built", base_built, NULL },
    { "better", better, NULL },
    { "base-passed", base_passed, NULL },
    { "hard-done-twice", done_twice, NULL },
    { "hard-done", done, NULL },
    { "nothing-on-file", NULL, "Nothing on file yet." },
    { "not-heard", not_heard, NULL },
    { "away", away, NULL },
};

/* "Asked 3 days ago: how are the legs?" */
static char *asked(struct arena *arena, const struct attention_item *item)
{
    const struct cause *why = &item->why;
    const double waited = cause_value(why, "days");
    const char *line = item->mark->line == NULL ? "" : item->mark->line;
    const char *colon = line[0] == '\0' ? "" : ": ";
    const char *when = waited < 0.5   ? "today"
                       : waited < 1.5 ? "yesterday"
                                      : arena_format(arena, "%s ago", days(arena, why, "days"));
    return item->act == ACT_READ_ANSWER
               ? arena_format(arena, "An answer came on %s; asked %s%s%s.",
                              day_named(arena, why, "answer_day"), when, colon, line)
               : arena_format(arena, "Asked %s%s%s.", when, colon, line);
}

char *words_attention(struct arena *arena, const struct attention_item *item)
{
    if (item->mark != NULL && !item->is_again) {
        return asked(arena, item);
    }
    const char *words = sayings_find(arena, rows, sizeof rows / sizeof rows[0], &item->why);
    return arena_string(arena, words != NULL ? words : item->why.code);
}
