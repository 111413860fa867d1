/* coaching/words/easy_words.c: easy work in words. */
#include "coaching/words/sayings.h"
#include "coaching/words/words.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

enum { WORDS_CAP = 2000 };

/* ---- sentences ---- */

static char *share_above(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "%s of %s of pedalling were above %s %% of threshold, taken over 30 s.",
                        words_duration(arena, cause_value(cause, "seconds")),
                        words_duration(arena, cause_value(cause, "pedalling_s")),
                        sayings_whole(arena, cause, "above_pct"));
}

static char *far_above(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%s were above %s %% of threshold; %s is the most for an easy ride.",
                        words_duration(arena, cause_value(cause, "seconds")),
                        sayings_whole(arena, cause, "far_pct"),
                        words_duration(arena, cause_value(cause, "allowed_s")));
}

static char *hilly(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "A hilly ride, %s m climbed a kilometre: on climbs easy is harder to hold.",
                        sayings_whole(arena, cause, "climbed_m_per_km"));
}

static char *threshold_uncertain(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "The threshold is known to %s to %s W only, and its ends say different "
                        "things of this ride.",
                        sayings_whole(arena, cause, "low_w"),
                        sayings_whole(arena, cause, "high_w"));
}

static char *heart_looks_hard(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "It looks too hard: heart rate was above %s %% of maximal for %s %% of the "
                        "time after minute 10. Heart rate alone can't say.",
                        sayings_whole(arena, cause, "line_pct"),
                        sayings_whole(arena, cause, "share_pct"));
}

static char *heart_looks_easy(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "It looks easy: heart rate was above %s %% of maximal for %s %% of the "
                        "time after minute 10. Heart rate alone can't say.",
                        sayings_whole(arena, cause, "line_pct"),
                        sayings_whole(arena, cause, "share_pct"));
}

static char *power_coverage(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Power is known for %s %% of the riding time only: %s %% is needed.",
                        words_whole(arena, floor(cause_value(cause, "coverage_pct"))),
                        sayings_whole(arena, cause, "least_pct"));
}

static char *cap_power(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Next time stay under %s W, on climbs too.",
                        sayings_whole(arena, cause, "cap_w"));
}

static const struct saying rows[] = {
    { "share-above", share_above, NULL },
    { "far-above", far_above, NULL },
    { "hilly", hilly, NULL },
    { "threshold-uncertain", threshold_uncertain, NULL },
    { "heart-looks-hard", heart_looks_hard, NULL },
    { "heart-looks-easy", heart_looks_easy, NULL },
    { "no-power", NULL, "No power in this ride." },
    { "power-coverage", power_coverage, NULL },
    { "no-threshold", NULL, "No threshold on file: how hard this was is not known." },
    { "no-pedalling", NULL, "No pedalling in this ride." },
    { "measure-power", NULL, "Ride with a power meter, or a trainer that measures." },
    { "talk-test", NULL, "Until then: easy is where whole sentences can be spoken." },
    { "check-meter", NULL,
      "Check the power meter: battery, zero offset, and that the device is paired with it alone." },
    { "give-threshold", NULL, "Give the rider's threshold, from a test." },
    { "test-threshold", NULL, "Test the threshold." },
    { "cap-power", cap_power, NULL },
};

const char *words_easy_cause(struct arena *arena, const struct cause *cause)
{
    return sayings_find(arena, rows, sizeof rows / sizeof rows[0], cause);
}

/* ---- the main sentence ---- */

/* "6 % of the pedalling was above 80 % of threshold (line 10 %)": a share that isn't nothing is
 * never said as 0, and one over a line never as on it. */
static char *share_of(struct arena *arena, const struct reading *reading)
{
    const struct cause *cause = causes_find(&reading->because, "share-above");
    const double share = reading->estimate;
    const bool exact = fabs(round(share) - share) < 1e-9;
    const bool decimal = !exact && (share < 1.0 || fabs(share - reading->limit_value) < 1.0);
    char *digits = decimal ? arena_format(arena, "%.1f", share) : words_whole(arena, share);
    return arena_format(arena, "%s %% of the pedalling was above %s %% of threshold", digits,
                        cause == NULL ? "?" : sayings_whole(arena, cause, "above_pct"));
}

static void add_causes(struct text *text, const struct causes *causes)
{
    for (size_t i = 0; i < causes->count; i++) {
        if (causes->items[i].text != NULL && strcmp(causes->items[i].code, "share-above") != 0) {
            text_add_format(text, " %s", causes->items[i].text);
        }
    }
}

char *words_easy(struct arena *arena, const struct reading *reading)
{
    struct text text = text_begin(arena, WORDS_CAP);
    if (reading->verdict == VERDICT_CANNOT_TELL) {
        text_add(&text, "Can't tell if the easy ride was easy.");
        add_causes(&text, &reading->cannot_because);
        add_causes(&text, &reading->because);
        if (reading->settle_by.count > 0 && reading->settle_by.items[0].text != NULL) {
            text_add_format(&text, " %s", reading->settle_by.items[0].text);
        }
        return text.bytes;
    }
    const char *lead = "Easy enough";
    if (reading->verdict == VERDICT_TOO_HARD) {
        lead = "Too hard for an easy ride";
    } else if (reading->verdict == VERDICT_ON_THE_LINE) {
        lead = "On the line for an easy ride";
    }
    text_add_format(&text, "%s: %s; up to %s %% is easy.", lead, share_of(arena, reading),
                    words_whole(arena, reading->limit_value));
    add_causes(&text, &reading->because);
    if (reading->settle_by.count > 0 && reading->settle_by.items[0].text != NULL) {
        text_add_format(&text, " %s", reading->settle_by.items[0].text);
    }
    return text.bytes;
}
