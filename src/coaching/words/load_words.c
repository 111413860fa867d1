/* coaching/words/load_words.c: how much a ride was, in words. */
#include "coaching/words/sayings.h"
#include "coaching/words/words.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

enum { WORDS_CAP = 2000 };

/* "1 h 24 min, 812 kJ, training impulse 75 (by the two published formulas 75 to 85)". */
static char *amounts(struct arena *arena, const struct cause *cause)
{
    struct text text = text_begin(arena, WORDS_CAP);
    const double low = cause_value(cause, "impulse_low");
    const double high = cause_value(cause, "impulse_high");
    /* From the first record to the last, as the ride's summary counts. */
    text_add(&text, words_duration(arena, 3600.0 * cause_value(cause, "hours") - 1.0));
    if (!isnan(cause_value(cause, "work_kj"))) {
        text_add_format(&text, ", %s kJ", sayings_whole(arena, cause, "work_kj"));
    }
    if (!isnan(low)) {
        const bool one = high - low < 0.5;
        text_add_format(&text, ", training impulse %s%s", words_whole(arena, low),
                        one ? "" : arena_format(arena, " to %s", words_whole(arena, high)));
    }
    if (!isnan(cause_value(cause, "session_rpe"))) {
        text_add_format(&text, ", effort times minutes %s",
                        sayings_whole(arena, cause, "session_rpe"));
    }
    text_add(&text, ".");
    return text.bytes;
}

static char *above_threshold(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%s above threshold, taken over 30 s.",
                        words_duration(arena, cause_value(cause, "seconds")));
}

static char *anaerobic_set(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "A set of %s anaerobic efforts.",
                        sayings_whole(arena, cause, "efforts"));
}

static char *hard_effort(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "The rider gave it %s of 10.",
                        sayings_whole(arena, cause, "effort"));
}

static const struct saying rows[] = {
    { "amounts", amounts, NULL },
    { "marked", NULL, "A test or a race." },
    { "above-threshold", above_threshold, NULL },
    { "anaerobic-set", anaerobic_set, NULL },
    { "hard-effort", hard_effort, NULL },
    { "no-power-no-effort", NULL, "Neither power nor the rider's effort is known." },
    { "ask-effort", NULL, "Ask how hard it was, from 0 to 10." },
};

static const char *lead_of(enum verdict verdict)
{
    return verdict == VERDICT_HARD_DAY      ? "A hard day."
           : verdict == VERDICT_NO_HARD_DAY ? "Not a hard day."
                                            : "Can't tell if it was a hard day.";
}

void words_load_fill(struct arena *arena, struct reading *reading)
{
    sayings_compose(arena, reading, lead_of(reading->verdict), rows, sizeof rows / sizeof rows[0]);
}
