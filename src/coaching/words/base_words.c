/* coaching/words/base_words.c: the base test in words. */
#include "coaching/words/sayings.h"
#include "coaching/words/words.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

enum { WORDS_CAP = 2000 };

/* ---- sentences with numbers ---- */

static char *drift(struct arena *arena, const struct cause *cause)
{
    return arena_format(
        arena,
        "At constant power heart rate went from %s to %s in the %s min that count; "
        "the first %s min are left out.",
        sayings_whole(arena, cause, "start_bpm"), sayings_whole(arena, cause, "end_bpm"),
        sayings_whole(arena, cause, "minutes"), sayings_whole(arena, cause, "left_out_min"));
}

static char *intensity(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Ridden at %s W, %s %% of threshold.",
                        sayings_whole(arena, cause, "mean_power_w"),
                        sayings_whole(arena, cause, "pct_of_threshold"));
}

static char *plus_minus(struct arena *arena, double value)
{
    return arena_format(arena, "%s%s", value >= 0.5 ? "+" : "", words_whole(arena, value));
}

static char *eased_off(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Eased off by %s W (likely %s to %s): as ridden heart rate changed by %s "
                        "beats; at constant power it would have changed by about %s.",
                        words_whole(arena, -cause_value(cause, "power_change_w")),
                        words_whole(arena, -cause_value(cause, "high_w")),
                        words_whole(arena, -cause_value(cause, "low_w")),
                        plus_minus(arena, cause_value(cause, "plain_bpm")),
                        plus_minus(arena, cause_value(cause, "drift_bpm")));
}

static char *picked_up(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Power rose by %s W (likely %s to %s): as ridden heart rate changed by %s "
                        "beats; at constant power it would have changed by about %s.",
                        sayings_whole(arena, cause, "power_change_w"),
                        sayings_whole(arena, cause, "low_w"), sayings_whole(arena, cause, "high_w"),
                        plus_minus(arena, cause_value(cause, "plain_bpm")),
                        plus_minus(arena, cause_value(cause, "drift_bpm")));
}

static char *hot(struct arena *arena, const struct cause *cause)
{
    const double mean = cause_value(cause, "mean_c");
    return isnan(mean) ? arena_string(arena, "It was hot: heat alone pushes heart rate up.")
                       : arena_format(arena,
                                      "It was hot (%s \xC2\xB0"
                                      "C on the device): heat alone pushes heart rate up.",
                                      words_whole(arena, mean));
}

static char *harder_than_test(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "At %s %% of threshold it was harder than the test at %s %%: heart rate "
                        "rises more.",
                        sayings_whole(arena, cause, "pct_of_threshold"),
                        sayings_whole(arena, cause, "aim_pct"));
}

static char *easier_than_test(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "At %s %% of threshold it was easier than the test at %s %%: heart rate "
                        "rises less.",
                        sayings_whole(arena, cause, "pct_of_threshold"),
                        sayings_whole(arena, cause, "aim_pct"));
}

static char *threshold_low(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "The threshold of %s W looks too low: %s at %s W in this very ride. So the "
                        "test was easier than it looks.",
                        sayings_whole(arena, cause, "threshold_w"),
                        words_duration(arena, cause_value(cause, "best_s")),
                        sayings_whole(arena, cause, "best_w"));
}

static char *late_drift(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "After the hour heart rate went on by %s beats an hour: shown, not judged.",
                        plus_minus(arena, cause_value(cause, "bpm_per_h")));
}

static char *no_steady_span(struct arena *arena, const struct cause *cause)
{
    const double longest_s = cause_value(cause, "longest_s");
    if (!(longest_s >= 60.0)) {
        return arena_string(arena, "No part of the ride was steady.");
    }
    return arena_format(arena, "The longest steady part was %s at %s W; the test takes an hour.",
                        words_duration(arena, longest_s),
                        sayings_whole(arena, cause, "mean_power_w"));
}

static char *too_short(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Steady for %s only: the test takes an hour, at least %s.",
                        words_duration(arena, cause_value(cause, "seconds")),
                        words_duration(arena, cause_value(cause, "least_s")));
}

static char *outside(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Ridden at %s %% of threshold (%s W): the test needs %s to %s %%.",
                        sayings_whole(arena, cause, "pct_of_threshold"),
                        sayings_whole(arena, cause, "mean_power_w"),
                        sayings_whole(arena, cause, "low_pct"),
                        sayings_whole(arena, cause, "high_pct"));
}

static char *power_coverage(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Power is known for %s %% of the steady part only: %s %% is needed.",
                        words_whole(arena, floor(cause_value(cause, "coverage_pct"))),
                        sayings_whole(arena, cause, "least_pct"));
}

static char *heart_coverage(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Heart rate can be used for %s %% of the steady part only: %s %% is "
                        "needed.",
                        words_whole(arena, floor(cause_value(cause, "coverage_pct"))),
                        sayings_whole(arena, cause, "least_pct"));
}

static char *hard_before(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "%s above threshold came before it: heart rate after that is neither "
                        "higher nor lower in a known way.",
                        words_duration(arena, cause_value(cause, "seconds")));
}

static char *hard_inside(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "%s above threshold by the end of it: short efforts and rests are not the "
                        "test.",
                        words_duration(arena, cause_value(cause, "seconds")));
}

/* "70 % of threshold, about 172 W": without a threshold there are no watts. */
static char *aim(struct arena *arena, const struct cause *cause)
{
    const double aim_w = cause_value(cause, "aim_w");
    char *share = arena_format(arena, "%s %% of threshold", sayings_whole(arena, cause, "aim_pct"));
    return isnan(aim_w) ? share
                        : arena_format(arena, "%s, about %s W", share, words_whole(arena, aim_w));
}

static char *ride_base_test(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "A base test is an hour without a stop at a steady %s, with a fan "
                        "indoors or on a quiet flat road.",
                        aim(arena, cause));
}

static char *ride_at_aim(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Repeat it at %s.", aim(arena, cause));
}

static char *hold_full_hour(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Hold the full hour at %s.", aim(arena, cause));
}

static char *test_threshold(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Test the threshold first, then ride the base test at %s %% of it.",
                        sayings_whole(arena, cause, "aim_pct"));
}

static char *one_more_test(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "One more test on a usual day may settle it, at %s.",
                        aim(arena, cause));
}

/* ---- the table ---- */

/* Each code with its sentence, and the few words that stand after "can't tell:". */
static const struct base_row {
    const char *code;
    char *(*say)(struct arena *arena, const struct cause *cause);
    const char *text;   /* where no number is needed */
    const char *phrase; /* NULL = the sentence itself */
} rows[] = {
    /* evidence */
    { "drift", drift, NULL, NULL },
    { "intensity", intensity, NULL, NULL },
    { "eased-off", eased_off, NULL, NULL },
    { "picked-up", picked_up, NULL, NULL },
    { "late-drift", late_drift, NULL, NULL },
    { "hard-day-before", NULL, "The day before was hard: said, it decides nothing.", NULL },
    { "heart-medicine", NULL,
      "Medicine that alters heart rate: the line of the trade was drawn without it.", NULL },
    { "high", NULL,
      "Ridden high up: against a threshold tested lower down it was harder than it looks.", NULL },
    { "conditions-unknown", NULL, "Conditions not known: was there a fan, and how warm was it?",
      NULL },
    { "weather-unknown", NULL, "Conditions not known: was it hot?", NULL },
    /* one way only */
    { "hot", hot, NULL, "heat pushes heart rate up" },
    { "no-fan", NULL, "There was no fan: still air pushes heart rate up.",
      "without a fan heart rate is pushed up" },
    { "dehydrated", NULL, "Too little to drink pushes heart rate up.",
      "too little to drink pushes heart rate up" },
    { "harder-than-test", harder_than_test, NULL, NULL },
    { "easier-than-test", easier_than_test, NULL, NULL },
    { "threshold-low", threshold_low, NULL, NULL },
    /* either way */
    { "ill", NULL, "Ridden while ill: heart rate is not the rider's usual.", "illness" },
    { "caffeine", NULL, "Caffeine out of habit: it alters heart rate at this power.",
      "caffeine out of habit" },
    { "hard-before", hard_before, NULL, "hard riding before it" },
    { "hard-inside", hard_inside, NULL, "hard efforts in it" },
    /* what is missing */
    { "no-power", NULL, "No power: heart rate alone can't say whether the test was passed.",
      "no power" },
    { "power-target", NULL,
      "Power is the trainer's target, not a measurement: what was ridden is not known.",
      "power is the trainer's target, not a measurement" },
    { "no-heart-rate", NULL, "No heart rate.", "no heart rate" },
    { "pregnant", NULL, "Pregnancy: heart-rate verdicts are off.",
      "heart-rate verdicts are off in pregnancy" },
    { "no-threshold", NULL, "No threshold on file: how hard this was is not known.",
      "no threshold on file" },
    { "no-steady-span", no_steady_span, NULL, NULL },
    { "too-short", too_short, NULL, NULL },
    { "too-easy", outside, NULL, NULL },
    { "too-hard", outside, NULL, NULL },
    { "power-coverage", power_coverage, NULL, NULL },
    { "heart-coverage", heart_coverage, NULL, NULL },
    { "heart-stuck", NULL,
      "Heart rate is one and the same value throughout: the strap repeats itself.", NULL },
    /* what would settle it */
    { "measure-power", NULL, "Ride with a power meter, or a trainer that measures.", NULL },
    { "steady-speed", NULL,
      "On a wheel-on trainer a steady speed, tyre and gear may stand for power, as a trend only.",
      NULL },
    { "wear-strap", NULL, "Ride with a heart-rate strap.", NULL },
    { "give-threshold", NULL, "Give the rider's threshold, from a test.", NULL },
    { "ride-base-test", ride_base_test, NULL, NULL },
    { "ride-at-aim", ride_at_aim, NULL, NULL },
    { "hold-full-hour", hold_full_hour, NULL, NULL },
    { "one-more-test", one_more_test, NULL, NULL },
    { "test-threshold", test_threshold, NULL, NULL },
    { "repeat-usual", NULL,
      "Repeat on a usual day: usual coffee, nothing hard before it, and healthy.", NULL },
    { "repeat-cool", NULL,
      "Repeat it cool: 18 to 24 \xC2\xB0"
      "C, with a fan indoors, enough to drink, no harder than the test.",
      NULL },
    { "check-meter", NULL,
      "Check the power meter: battery, zero offset, and that the device is paired with it alone.",
      NULL },
    { "check-strap", NULL, "Check the strap: wet it, tighten it, change its battery.", NULL },
    { "ask-fan", NULL, "Ask whether there was a fan, and how warm the room was.", NULL },
    { "ask-weather", NULL, "Ask how warm it was.", NULL },
};

static const struct base_row *row_of(const char *code)
{
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(rows[i].code, code) == 0) {
            return &rows[i];
        }
    }
    return NULL;
}

char *words_base_cause(struct arena *arena, const struct cause *cause)
{
    const struct base_row *row = row_of(cause->code);
    if (row == NULL) {
        return NULL;
    }
    return row->say != NULL ? row->say(arena, cause) : arena_string(arena, row->text);
}

/* ---- the main sentence ---- */

/* "in the hour at 70 %", "in 48 min at 172 W". */
static char *where(struct arena *arena, const struct reading *reading,
                   const struct ride_readings *readings)
{
    /* An hour to a coach: what rounds to it at the quarter. */
    enum { NEARLY_HOUR_S = 3420, BEYOND_S = 4200 };
    const struct steady *steady = &readings->steady;
    const int32_t length_s = steady->span.to_s - steady->span.from_s;
    const char *time = "in the hour";
    if (length_s >= BEYOND_S) {
        time =
            arena_format(arena, "in the first hour of %s", words_duration(arena, (double)length_s));
    } else if (length_s < NEARLY_HOUR_S) {
        time = arena_format(arena, "in %s", words_duration(arena, (double)length_s));
    }
    const struct cause *at = causes_find(&reading->because, "intensity");
    if (at != NULL) {
        return arena_format(arena, "%s at %s %%", time,
                            sayings_whole(arena, at, "pct_of_threshold"));
    }
    return arena_format(arena, "%s at %s W", time,
                        words_whole(arena, readings->drift.mean_power_w));
}

/* A decimal where whole beats would put the likely range on the wrong side of the line, or on
 * it. */
static bool needs_decimal(const struct reading *reading)
{
    const double line = reading->limit_value;
    const bool low_over = reading->low > line;
    const bool high_under = reading->high < line;
    return (low_over && round(reading->low) <= line) ||
           (high_under && round(reading->high) >= line) ||
           (!low_over && !high_under &&
            (round(reading->low) > line || round(reading->high) < line));
}

static char *likely(struct arena *arena, double value, double low, double high, bool decimal,
                    const char *unit)
{
    if (decimal) {
        return arena_format(arena, "%.1f%s (likely %.1f to %.1f)", value, unit, low, high);
    }
    return arena_format(arena, "%s%s (likely %s to %s)", words_whole(arena, value), unit,
                        words_whole(arena, low), words_whole(arena, high));
}

/* "rose 6 beats (likely 4 to 8)", "fell 3 beats (likely 1 to 5)", "stayed level (likely -2 to 2
 * beats)"; with another verb for what it would have done. */
static char *moved(struct arena *arena, const struct reading *reading, bool would)
{
    const bool decimal = needs_decimal(reading);
    const double size = fabs(reading->estimate);
    const bool fell = reading->estimate < 0.0;
    const double low = fell ? -reading->high : reading->low;
    const double high = fell ? -reading->low : reading->high;
    if (lround(size) == 0 && !decimal) {
        return arena_format(arena, "%s level (likely %s to %s beats)",
                            would ? "would have stayed" : "stayed",
                            words_whole(arena, reading->low), words_whole(arena, reading->high));
    }
    const char *unit = lround(size) == 1 && !decimal ? " beat" : " beats";
    const char *verb = would ? (fell ? "would have fallen by about" : "would have risen by about")
                             : (fell ? "fell" : "rose");
    return arena_format(arena, "%s %s", verb, likely(arena, size, low, high, decimal, unit));
}

/* "heart rate rose 6 beats (likely 4 to 8) in the hour at 70 %", and at constant power where power
 * changed meanwhile. */
static char *rise(struct arena *arena, const struct reading *reading,
                  const struct ride_readings *readings)
{
    const struct cause *eased = causes_find(&reading->because, "eased-off");
    const struct cause *changed =
        eased != NULL ? eased : causes_find(&reading->because, "picked-up");
    char *beats = moved(arena, reading, changed != NULL);
    char *place = where(arena, reading, readings);
    if (changed == NULL) {
        return arena_format(arena, "heart rate %s %s", beats, place);
    }
    return arena_format(arena, "%s by %s W; at constant power heart rate %s %s",
                        eased != NULL ? "eased off" : "power rose",
                        words_whole(arena, fabs(cause_value(changed, "power_change_w"))), beats,
                        place);
}

static const char *const pushes_up[] = { "hot", "no-fan", "dehydrated", "harder-than-test" };
static const char *const in_spite_of[] = { "the heat", "riding without a fan",
                                           "too little to drink", "riding harder than the test" };

/* " In spite of the heat and having no fan." after a pass. */
static void add_in_spite(struct arena *arena, struct text *text, const struct reading *reading)
{
    const char *items[sizeof pushes_up / sizeof pushes_up[0]];
    size_t n = 0;
    for (size_t i = 0; i < sizeof pushes_up / sizeof pushes_up[0]; i++) {
        if (causes_find(&reading->because, pushes_up[i]) != NULL) {
            items[n++] = in_spite_of[i];
        }
    }
    if (n > 0) {
        text_add_format(text, " Passed in spite of %s.", words_list(arena, items, n, " and "));
    }
}

static void add_judged(struct arena *arena, struct text *text, const struct reading *reading,
                       const struct ride_readings *readings)
{
    char *line = words_whole(arena, reading->limit_value);
    char *what = rise(arena, reading, readings);
    if (reading->verdict == VERDICT_PASSED) {
        text_add_format(text, "Base test passed: %s. The line is %s.", what, line);
        add_in_spite(arena, text, reading);
    } else if (reading->verdict == VERDICT_NOT_PASSED) {
        text_add_format(text, "Base test not passed: %s. The line is %s.", what, line);
    } else {
        text_add_format(text, "Base test on the line: %s. The line of %s lies inside that range.",
                        what, line);
    }
    const struct cause *asked = causes_find(&reading->because, "conditions-unknown");
    asked = asked == NULL ? causes_find(&reading->because, "weather-unknown") : asked;
    if (asked != NULL) {
        text_add_format(text, " %s", asked->text);
    }
}

/* "Can't tell if the base test was passed: caffeine out of habit and hard riding before it." */
static void add_withheld(struct arena *arena, struct text *text, const struct reading *reading)
{
    const struct causes *why = &reading->cannot_because;
    const char *phrases[8];
    size_t n = 0;
    for (size_t i = 0; i < why->count && n < sizeof phrases / sizeof phrases[0]; i++) {
        const struct base_row *row = row_of(why->items[i].code);
        if (row != NULL && row->phrase != NULL) {
            phrases[n++] = row->phrase;
        }
    }
    text_add(text, "Can't tell if the base test was passed");
    if (n > 0) {
        text_add_format(text, ": %s", words_list(arena, phrases, n, " and "));
    }
    text_add(text, ".");
    for (size_t i = 0; i < why->count; i++) {
        const struct base_row *row = row_of(why->items[i].code);
        if (row != NULL && row->phrase == NULL && why->items[i].text != NULL) {
            text_add_format(text, " %s", why->items[i].text);
        }
    }
}

/* The drift as it is shown without a verdict. */
static void add_shown(struct arena *arena, struct text *text, const struct reading *reading,
                      const struct ride_readings *readings)
{
    char *what = rise(arena, reading, readings);
    what[0] = (char)(what[0] - 'a' + 'A');
    text_add_format(text, " %s.", what);
}

char *words_base(struct arena *arena, const struct reading *reading,
                 const struct ride_readings *readings)
{
    struct text text = text_begin(arena, WORDS_CAP);
    const struct cause *unsteady = causes_find(&reading->cannot_because, "no-steady-span");
    if (reading->verdict != VERDICT_CANNOT_TELL) {
        add_judged(arena, &text, reading, readings);
    } else if (unsteady != NULL && reading->cannot_because.count == 1 &&
               reading->basis.intent == NULL) {
        /* Nobody asked for a test: no advice on how to ride one. */
        text_add_format(&text, "No base test in this ride. %s", unsteady->text);
        return text.bytes;
    } else {
        add_withheld(arena, &text, reading);
        if (!isnan(reading->estimate)) {
            add_shown(arena, &text, reading, readings);
        }
    }
    const bool judged =
        reading->verdict == VERDICT_PASSED || reading->verdict == VERDICT_NOT_PASSED;
    if (!judged && reading->settle_by.count > 0 && reading->settle_by.items[0].text != NULL) {
        text_add_format(&text, " %s", reading->settle_by.items[0].text);
    }
    return text.bytes;
}
