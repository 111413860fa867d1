/* coaching/words/next_words.c: what is said of the coming days. */
#include "coaching/words/next_words.h"

#include "base/text.h"
#include "coaching/session_library.h"
#include "coaching/words/answer_words.h"
#include "coaching/words/words.h"

#include <string.h>

#define PRACTICE "common practice, no source"

static const struct {
    const char *rule;
    const char *why;
    const char *source;
} rules[] = {
    { "doctor", "See a doctor before training goes on.", PRACTICE },
    { "ill", "Ill: nothing is proposed until well again. Sessions already given may be withdrawn.",
      PRACTICE },
    { "injured",
      "Injured: nothing is proposed until riding is allowed again. Sessions already given may be "
      "withdrawn.",
      PRACTICE },
    { "back-easy", "Back from illness or a break: easy only, and at most half of the usual hours.",
      PRACTICE },
    { "back-more", "Coming back: at most three quarters of the usual hours, still easy.",
      PRACTICE },
    { "back-one-hard", "Coming back: one short hard session before anything else hard.", PRACTICE },
    { "back-test",
      "Coming back, the first hard session done: the threshold is from before; test it.",
      PRACTICE },
    { "started-too-hard",
      "The last one was started too hard, and its end held the range: the same again.", PRACTICE },
    { "started-too-hard-and-fell",
      "The last one was started too hard, and its end fell below the range.", PRACTICE },
    { "faded", "The last one faded, stayed below or was cut short.", PRACTICE },
    { "above-range", "The last one was harder than asked: the same again, within the range.",
      PRACTICE },
    { "on-the-line",
      "Whether the last one was done can't be told, it lies on the line: the same again.",
      PRACTICE },
    { "done-twice", "Done as asked at least twice: time for a little more.", PRACTICE },
    { "done-once", "Done as asked: the same once more before it grows.", PRACTICE },
    { "hard-not-known",
      "What the last hard work was meant to be isn't known, or is none of the library's: short "
      "efforts, that the next can be judged by.",
      PRACTICE },
    { "first-hard", "The base is built: hard work may begin, short efforts first.", PRACTICE },
    { "event-near", "An event is near: what is known, as hard as ever, less of it; nothing new.",
      "Bosquet 2007, from memory" },
    { "stalled", "Trying hard and not getting better: another kind of work, and fewer hard days.",
      PRACTICE },
    { "base-not-tested", "The base was never tested.", PRACTICE },
    { "base-not-judged", "No base test so far could be judged: another one, on a good day.",
      PRACTICE },
    { "base-retest", "Weeks of base rides since the last base test: time to look again.",
      PRACTICE },
    { "base-to-confirm", "One base test passed: another, days apart, confirms it.", PRACTICE },
    { "base-out-of-date", "The last base test is out of date.", PRACTICE },
    { "base-building", "The base is still being built: to power, heart rate only as an alarm.",
      PRACTICE },
    { "easy-rides", "Easy riding carries the rest.", PRACTICE },
    { "easy-capped", "Easy rides were too hard: ridden under a cap.", PRACTICE },
    { "medical-advice-first",
      "Medical advice first: nothing hard or maximal is proposed until the questions before hard "
      "work are answered and clear.",
      PRACTICE },
    { "caution-open", "Ask about the heart rate that jumped first: nothing hard until then.",
      PRACTICE },
    { "ask-first", "Something was said that must be asked about first: nothing hard until then.",
      PRACTICE },
    { "today-high", "Heart rate higher than usual, or unwell: an easy day, and ask first.",
      PRACTICE },
    { "test-due", "The threshold is out of date: test it again.", PRACTICE },
    { "effort-due",
      "An all-out effort of this length was chosen for this rider, and none of late tells what the "
      "rider can do.",
      PRACTICE },
    { "hard-again",
      "Weeks without hard work: begin again with less of the last session, once a week.",
      PRACTICE },
    { "sessions-missed",
      "Sessions in a row were missed: ask what stands in the way. Nothing hard until you have, or "
      "until one is ridden.",
      PRACTICE },
    { "short-easy", "After sessions that were missed: few rides, short and easy.", PRACTICE },
    { "test-due-first", "The threshold isn't known: test it.", PRACTICE },
};

static size_t rule_at(const char *rule)
{
    size_t i = 0;
    while (i + 1 < sizeof rules / sizeof rules[0] && strcmp(rules[i].rule, rule) != 0) {
        i++;
    }
    return i;
}

const char *words_next_why(const char *rule)
{
    return rules[rule_at(rule)].why;
}

const char *words_next_source(const char *rule)
{
    return rules[rule_at(rule)].source;
}

static const struct {
    const char *name; /* after the session's */
    const char *sentence;
    const char *of_library; /* where the last one's efforts aren't known; NULL = the same */
} changes[NEXT_CHANGES] = {
    [NEXT_AS_IT_IS] = { NULL, NULL, NULL },
    [NEXT_CAP_START] = { "start capped", "The first third is capped at the middle of the range.",
                         NULL },
    [NEXT_LOWER] = { "a step lower",
                     "The range is a step lower, and the first third capped at its middle.", NULL },
    [NEXT_FEWER] = { "an effort fewer", "An effort fewer than last time.",
                     "An effort fewer than the library's session." },
    [NEXT_ONE_MORE] = { "an effort more", "An effort more than last time.",
                        "An effort more than the library's session." },
    [NEXT_HARDER] = { "a step harder", "A step harder: an effort more would pass a safe limit.",
                      NULL },
    [NEXT_CAP_EASY] = { "under a cap", NULL, NULL },
    [NEXT_SHORTER] = { "shorter", "Shorter: the usual hours aren't known, so each ride is cut.",
                       NULL },
};

static const struct {
    const char *by;
    const char *begins;
} reasons[] = { { "event-near", "an event is near" },
                { "lighter-week", "a lighter week, after several that were not" },
                { "week-jump", "the hours jumped" },
                { "one-hard", "half of its efforts" } };

/* NULL = the rule says it. */
static const char *reason_of(const char *shortened)
{
    for (size_t i = 0; shortened != NULL && i < sizeof reasons / sizeof reasons[0]; i++) {
        if (strcmp(reasons[i].by, shortened) == 0) {
            return reasons[i].begins;
        }
    }
    return NULL;
}

const char *words_next_how(struct arena *arena, enum next_change change, const char *shortened,
                           bool is_known)
{
    const char *reason = reason_of(shortened);
    if (change == NEXT_SHORTER && reason != NULL) {
        return arena_format(arena, "Shorter: %s.", reason);
    }
    return !is_known && changes[change].of_library != NULL ? changes[change].of_library
                                                           : changes[change].sentence;
}

const char *words_next_hours(struct arena *arena, const char *shortened, double most_hours,
                             int days, double share, double usual_hours)
{
    const char *reason = reason_of(shortened);
    const char *begins =
        reason == NULL ? "" : arena_format(arena, "%c%s. ", reason[0] - 'a' + 'A', reason + 1);
    return arena_format(arena,
                        "%sAt most %.1f h in these %d days with what stands, %.0f %% of the usual "
                        "%.1f a week.",
                        begins, most_hours, days, 100.0 * share, usual_hours);
}

const char *words_next_name(struct arena *arena, const char *title, enum next_change change,
                            bool is_asked)
{
    const char *what = changes[change].name;
    if (what == NULL && !is_asked) {
        return title;
    }
    const int head = (int)strcspn(title, ",");
    return what == NULL ? arena_format(arena, "%.*s", head, title)
                        : arena_format(arena, "%.*s, %s", head, title, what);
}

const char *words_next_last(struct arena *arena, const char *what, const struct past_ride *ride)
{
    const bool fast = ride->hard.verdict == VERDICT_DONE_FAST_START;
    return arena_format(arena, "The last hard work was %s%son %s: %s.", what == NULL ? "" : what,
                        what == NULL ? "" : ", ", words_weekday_of(arena, ride->day),
                        fast ? "done, after a fast start" : verdict_name(ride->hard.verdict));
}

const char *words_next_tests(struct arena *arena, const struct next_tested tests[], size_t n)
{
    struct text out = text_begin(arena, 1000);
    text_add(&out, "All-out efforts chosen: ");
    for (size_t i = 0; i < n; i++) {
        text_add_format(&out, "%s%s %s%s", i > 0 ? "; " : "",
                        words_duration(arena, tests[i].seconds),
                        tests[i].day == INT64_MIN ? "none on file" : "last on ",
                        tests[i].day == INT64_MIN ? "" : words_weekday_of(arena, tests[i].day));
    }
    text_add(&out, ".");
    return out.bytes;
}

const char *words_next_left(struct arena *arena, const char *session, enum next_why_left why,
                            const char *hours)
{
    static const char *const words[] = {
        [NEXT_LEFT_NO_TIME] = "no day has the time for it",
        [NEXT_LEFT_TAKEN] =
            "each day with time for it is taken, or too near other hard days, tests or events",
        [NEXT_LEFT_HOURS] = "it would be too many hours",
    };
    return arena_format(arena, "%s: %s.%s%s", session_library_find(session)->title, words[why],
                        why == NEXT_LEFT_HOURS && hours != NULL ? " " : "",
                        why == NEXT_LEFT_HOURS && hours != NULL ? hours : "");
}

const char *words_next_unfit(const char *code)
{
    static const struct {
        const char *code;
        const char *words;
    } rows[] = {
        { "doctor", "A doctor first: no training until then." },
        { "ill", "Ill: no training until well again." },
        { "injured", "Injured: no training until it is allowed again." },
        { "off", "No training on that day: away, or off." },
        { "coming-back", "Coming back from illness or a break: nothing hard so soon." },
        { "event-day", "An event is on that day." },
        { "event-near", "So near an event there is no test, and nothing hard on the day before." },
        { "ask-first", "Something must be asked about first: nothing hard until then." },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(rows[i].code, code) == 0) {
            return rows[i].words;
        }
    }
    return code;
}

const char *words_next_nothing(const struct next_plan *plan, bool any_time)
{
    for (size_t i = 0; i < plan->n; i++) {
        if (plan->items[i].session != NULL) {
            return NULL;
        }
    }
    if (plan->n > 0) {
        return plan->items[0].why;
    }
    return !any_time ? "No day of these has time for riding: all are taken, away, or without time."
           : plan->n_left > 0 ? "No day of these takes what would be proposed."
                              : "Nothing more is needed: enough is planned already.";
}
