/* coaching/words/rider_words.c: what is said of a rider, over weeks. */
#include "coaching/words/rider_words.h"

#include "base/dates.h"
#include "base/text.h"
#include "coaching/words/meter_words.h"
#include "coaching/words/sayings.h"
#include "coaching/words/words.h"

#include <math.h>
#include <string.h>

enum { WORDS_CAP = 4000 };

char *words_day(struct arena *arena, int64_t day)
{
    static const char *const months[] = { "January",   "February", "March",    "April",
                                          "May",       "June",     "July",     "August",
                                          "September", "October",  "November", "December" };
    const struct civil civil = dates_civil_from_utc(day * 86400);
    return arena_format(arena, "%d %s %lld", civil.day, months[civil.month - 1],
                        (long long)civil.year);
}

static char *day_of(struct arena *arena, const struct cause *cause)
{
    return words_day(arena, (int64_t)cause_value(cause, "day"));
}

/* "6 beats (likely 4 to 8)". */
static char *beats(struct arena *arena, const struct cause *cause)
{
    return arena_format(
        arena, "%s beats (likely %s to %s)", sayings_whole(arena, cause, "drift_bpm"),
        sayings_whole(arena, cause, "low_bpm"), sayings_whole(arena, cause, "high_bpm"));
}

/* "1 effort", "3 efforts". */
static char *efforts(struct arena *arena, const struct cause *cause, const char *name)
{
    const double n = cause_value(cause, name);
    return arena_format(arena, "%s %s%s", words_whole(arena, n),
                        cause_value(cause, "tests") > 0.0 ? "test" : "all-out effort",
                        n > 0.5 && n < 1.5 ? "" : "s");
}

/* ---- base ---- */

static char *test_passed(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "The test of %s passed: heart rate rose %s in the hour.",
                        day_of(arena, cause), beats(arena, cause));
}

static char *passed_before(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "So did that of %s: %s.", day_of(arena, cause), beats(arena, cause));
}

static char *trend_falls(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "And heart rate at that power falls, by %s rides and with bests held: by "
                        "%.1f beats in 4 weeks (likely %.1f to %.1f).",
                        sayings_whole(arena, cause, "rides"), -cause_value(cause, "bpm_in_4_weeks"),
                        -cause_value(cause, "high_bpm"), -cause_value(cause, "low_bpm"));
}

static char *test_on_the_line(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "The test of %s was on the line: heart rate rose %s in the hour.",
                        day_of(arena, cause), beats(arena, cause));
}

static char *test_not_passed(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "The test of %s did not pass: heart rate rose %s in the hour.",
                        day_of(arena, cause), beats(arena, cause));
}

static char *test_old(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "That was %s days ago.", sayings_whole(arena, cause, "days"));
}

static char *break_since(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "That was %s days ago, and there was a break since.",
                        sayings_whole(arena, cause, "days"));
}

static char *tests_not_judged(struct arena *arena, const struct cause *cause)
{
    const double n = cause_value(cause, "count");
    return n < 1.5 ? arena_string(arena, "The one base test on file could not be judged.")
                   : arena_format(arena, "None of the %s base tests on file could be judged.",
                                  words_whole(arena, n));
}

static char *passes(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "a rider usually just on the line passes one test about %s times in "
                        "100, two running about %s",
                        sayings_whole(arena, cause, "passes_pct"),
                        sayings_whole(arena, cause, "passes_twice_pct"));
}

char *words_test_repeats(struct arena *arena, const struct cause *cause, bool is_known)
{
    if (!is_known) {
        return arena_format(arena,
                            "How far two tests of one rider lie apart isn't known in this roster: "
                            "%s of the %s repeat pairs that would tell.",
                            sayings_whole(arena, cause, "repeat_pairs"),
                            sayings_whole(arena, cause, "needed"));
    }
    return arena_format(arena,
                        "From one test to the next of a rider the rise scatters by about %.1f "
                        "beats (likely %.1f to %.1f, by %s repeat pairs of this roster).",
                        cause_value(cause, "sd_bpm"), cause_value(cause, "low_bpm"),
                        cause_value(cause, "high_bpm"),
                        sayings_whole(arena, cause, "repeat_pairs"));
}

static char *test_repeats(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "In this roster a test's rise scatters by %.1f beats from test to test "
                        "(likely %.1f to %.1f, by %s repeat pairs): %s.",
                        cause_value(cause, "sd_bpm"), cause_value(cause, "low_bpm"),
                        cause_value(cause, "high_bpm"), sayings_whole(arena, cause, "repeat_pairs"),
                        passes(arena, cause));
}

static char *repeat_assumed(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "A test's rise is assumed to scatter by %s beats from day to day (%s of "
                        "the %s repeat pairs that would tell): %s.",
                        sayings_whole(arena, cause, "sd_bpm"),
                        sayings_whole(arena, cause, "repeat_pairs"),
                        sayings_whole(arena, cause, "needed"), passes(arena, cause));
}

static char *confirm_test(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "One pass may be a good day: one more test, %s days or more after it, "
                        "settles it.",
                        sayings_whole(arena, cause, "days"));
}

/* ---- progress ---- */

static char *said_efforts(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "From %s in these weeks and %s in those before.",
                        efforts(arena, cause, "recent"), efforts(arena, cause, "before"));
}

static char *trend(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "From a line through all tests of both windows (%s and %s).",
                        sayings_whole(arena, cause, "before"),
                        sayings_whole(arena, cause, "recent"));
}

static char *few_efforts(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%s in these weeks and %s in those before; %s in each are needed.",
                        efforts(arena, cause, "recent"), efforts(arena, cause, "before"),
                        sayings_whole(arena, cause, "least"));
}

/* Odds in fifths: more would claim too much. */
static char *odds(struct arena *arena, const struct cause *cause)
{
    const double chance = cause_value(cause, "chance");
    const bool up = chance >= 0.5;
    const double share = up ? chance : 1.0 - chance;
    const double fifths = fmax(round(5.0 * share), 3.0);
    if (share < 0.55) {
        return arena_string(arena, "Better and lower are about equally likely.");
    }
    if (fifths > 4.1) {
        return arena_format(arena, "More likely %s than not, more than 4 in 5.",
                            up ? "better" : "lower");
    }
    return arena_format(arena, "More likely %s than not, about %.0f in 5.", up ? "better" : "lower",
                        fifths);
}

static char *not_tried(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "%s in these weeks and %s in those before; %s in each would tell. Not "
                        "tried is not the same as not improved.",
                        efforts(arena, cause, "recent"), efforts(arena, cause, "before"),
                        sayings_whole(arena, cause, "least"));
}

static char *could_be_gaining(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "A gain of up to %s %% fits what was ridden.",
                        words_whole(arena, ceil(cause_value(cause, "high_pct"))));
}

/* ---- the table ---- */

static const struct saying rows[] = {
    { "test-passed", test_passed, NULL },
    { "passed-before", passed_before, NULL },
    { "trend-falls", trend_falls, NULL },
    { "test-on-the-line", test_on_the_line, NULL },
    { "test-not-passed", test_not_passed, NULL },
    { "test-old", test_old, NULL },
    { "break-since", break_since, NULL },
    { "tests-not-judged", tests_not_judged, NULL },
    { "test-repeats", test_repeats, NULL },
    { "repeat-assumed", repeat_assumed, NULL },
    { "confirm-test", confirm_test, NULL },
    { "give-base-test", NULL,
      "Give a base test: an hour at 70 % of threshold, with a fan and a drink, on a usual day." },
    { "repeat-base-test", NULL, "Repeat the base test." },
    { "build-and-test", NULL,
      "Two or three base rides a week at 70 % of threshold, then test again in 4 to 6 weeks." },
    { "efforts", said_efforts, NULL },
    { "trend-of-tests", trend, NULL },
    { "few-efforts", few_efforts, NULL },
    { "odds", odds, NULL },
    { "one-more-test", NULL, "One more test would help to settle it." },
    { "give-test", NULL, "Give a test of the durations that matter to this rider." },
    { "meters-checked", words_meters_checked, NULL },
    { "other-meter", words_meters_unchecked, NULL },
    { "check-meters", NULL, "Ride once with both meters, and compare them." },
    { "first-retest", NULL, "It was the first retest: part of a gain is practice, about 1 %." },
    { "not-tried", not_tried, NULL },
    { "break-between", NULL, "Days ill, away or without rides lie in these weeks." },
    { "heat-between", NULL, "Some of these weeks were hot." },
    { "could-be-gaining", could_be_gaining, NULL },
    { "change-training", NULL, "Time to reconsider the training: another stimulus, and rest." },
};

/* ---- the main sentence ---- */

/* "4 % (likely 1 to 7)", without its sign. */
static char *size(struct arena *arena, const struct reading *reading)
{
    const double sign = reading->verdict == VERDICT_LOWER ? -1.0 : 1.0;
    const double low = sign * (sign > 0.0 ? reading->low : reading->high);
    const double high = sign * (sign > 0.0 ? reading->high : reading->low);
    return arena_format(arena, "by %.1f %% (likely %.1f to %.1f)", sign * reading->estimate, low,
                        high);
}

static char *lead_of(struct arena *arena, const struct reading *reading)
{
    const char *of = reading->question != QUESTION_PROGRESS || reading->set == 0
                         ? ""
                         : arena_format(arena, " over %s", words_duration(arena, reading->set));
    switch ((int)reading->verdict) {
    case VERDICT_BUILT: return arena_string(arena, "The base is built.");
    case VERDICT_TO_CONFIRM: return arena_string(arena, "The base is to confirm.");
    case VERDICT_STILL_BUILDING: return arena_string(arena, "The base is still building.");
    case VERDICT_OUT_OF_DATE: return arena_string(arena, "The base test is out of date.");
    case VERDICT_NOT_TESTED:
        return reading->question == QUESTION_BASE_STATE
                   ? arena_string(arena, "The base is not tested.")
                   : arena_format(arena, "Not tested%s in these weeks.", of);
    case VERDICT_BETTER: return arena_format(arena, "Better%s, %s.", of, size(arena, reading));
    case VERDICT_LOWER: return arena_format(arena, "Lower%s, %s.", of, size(arena, reading));
    case VERDICT_NO_CLEAR_CHANGE:
        return arena_format(arena, "No clear change%s: %+.1f %% (likely %+.1f to %+.1f).", of,
                            reading->estimate, reading->low, reading->high);
    case VERDICT_YES:
        return arena_format(arena,
                            "Stalled: trying hard, and a gain of more than %.0f %% can be ruled "
                            "out.",
                            reading->limit_value);
    case VERDICT_NO: return arena_string(arena, "Not stalled: bests have risen.");
    default: break;
    }
    return reading->question == QUESTION_BASE_STATE ? arena_string(arena, "Can't tell if the base "
                                                                          "is built.")
           : reading->question == QUESTION_STALLED
               ? arena_string(arena, "Can't tell if progress has stalled.")
               : arena_format(arena, "Can't tell%s.", of);
}

void words_rider_fill(struct arena *arena, struct reading *reading)
{
    sayings_compose(arena, reading, lead_of(arena, reading), rows, sizeof rows / sizeof rows[0]);
}

/* ---- beside the readings ---- */

char *words_threshold_age(struct arena *arena, int64_t day, int64_t today)
{
    return arena_format(arena, "The threshold in force is of %s, %lld days ago.",
                        words_day(arena, day), (long long)(today - day));
}

const char *words_several_durations(void)
{
    return "Several durations are looked at one by one: now and then one of them differs by "
           "chance. The verdict above takes 5, 10 and 20 min together.";
}

char *words_being_read_again(struct arena *arena, size_t n)
{
    return arena_format(arena,
                        "%zu of the rides %s being read again: what is said here may change.", n,
                        n == 1 ? "is" : "are");
}

char *words_usual_being_made(struct arena *arena, size_t n)
{
    return arena_format(arena,
                        "Heart rate against usual is being made: %zu %s. Until then what rests on "
                        "it can't be told.",
                        n, n == 1 ? "ride waits" : "rides wait");
}
