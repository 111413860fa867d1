/* coaching/words/next_words.c: what is said of the coming days. */
#include "coaching/words/next_words.h"

#include "base/text.h"
#include "coaching/session_library.h"

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
    { "back-easy", "Back from illness or a break: easy only, half of the usual hours.", PRACTICE },
    { "back-more", "Coming back: three quarters of the usual hours, still easy.", PRACTICE },
    { "back-one-hard", "Coming back: one short hard session.", PRACTICE },
    { "started-too-hard",
      "Started too hard: the same again, the first third no harder than the middle of the range.",
      PRACTICE },
    { "started-too-hard-and-fell",
      "Started too hard and fell below: the range a step lower, the first third capped.",
      PRACTICE },
    { "faded", "Faded or cut short: an effort fewer.", PRACTICE },
    { "above-range", "Harder than asked: the same again, within the range.", PRACTICE },
    { "on-the-line",
      "Whether the last one was done can't be told, it lies on the line: the same again.",
      PRACTICE },
    { "done-twice", "Done as asked time and again: one effort more, or a step harder.", PRACTICE },
    { "done-once", "Done as asked: the same once more before it grows.", PRACTICE },
    { "first-hard", "The base is built: hard work may begin, short efforts first.", PRACTICE },
    { "event-near", "An event is near: intensity kept, less of it, nothing new.",
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
    { "test-due", "The threshold is out of date or not known: test it.", PRACTICE },
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
} changes[NEXT_CHANGES] = {
    [NEXT_AS_IT_IS] = { NULL, NULL },
    [NEXT_CAP_START] = { "start capped", "The first third is capped at the middle of the range." },
    [NEXT_LOWER] = { "a step lower",
                     "The range is a step lower, and the first third capped at its middle." },
    [NEXT_FEWER] = { "an effort fewer", "An effort fewer than last time." },
    [NEXT_ONE_MORE] = { "an effort more", "An effort more than last time." },
    [NEXT_HARDER] = { "a step harder", "A step harder: an effort more would pass a safe limit." },
    [NEXT_CAP_EASY] = { "under a cap", NULL },
    [NEXT_SHORTER] = { "shorter", NULL },
};

const char *words_next_how(enum next_change change, const char *shortened)
{
    static const struct {
        const char *by;
        const char *words;
    } rows[] = { { "event-near", "Shorter: an event is near." },
                 { "lighter-week", "Shorter: a lighter week, after some that were not." },
                 { "week-jump", "Shorter: the hours jumped." } };
    for (size_t i = 0; change == NEXT_SHORTER && shortened != NULL && i < 3; i++) {
        if (strcmp(rows[i].by, shortened) == 0) {
            return rows[i].words;
        }
    }
    return changes[change].sentence;
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

const char *words_next_left(struct arena *arena, const char *session, bool had_time)
{
    const char *title = session_library_find(session)->title;
    return had_time ? arena_format(arena,
                                   "%s: each day with time for it is taken, or too near other hard "
                                   "or maximal days.",
                                   title)
                    : arena_format(arena, "%s: no day has the time for it.", title);
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
