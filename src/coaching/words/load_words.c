/* coaching/words/load_words.c: how much a ride was, in words. */
#include "coaching/words/words.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

enum { WORDS_CAP = 2000 };

static char *whole(struct arena *arena, const struct cause *cause, const char *name)
{
    return words_whole(arena, cause_value(cause, name));
}

/* "1 h 24 min, 812 kJ, training impulse 75 (by the two published formulas 75 to 85)". */
static char *amounts(struct arena *arena, const struct cause *cause)
{
    struct text text = text_begin(arena, WORDS_CAP);
    const double low = cause_value(cause, "impulse_low");
    const double high = cause_value(cause, "impulse_high");
    /* From the first record to the last, as the ride's summary counts. */
    text_add(&text, words_duration(arena, 3600.0 * cause_value(cause, "hours") - 1.0));
    if (!isnan(cause_value(cause, "work_kj"))) {
        text_add_format(&text, ", %s kJ", whole(arena, cause, "work_kj"));
    }
    if (!isnan(low)) {
        const bool one = high - low < 0.5;
        text_add_format(&text, ", training impulse %s%s", words_whole(arena, low),
                        one ? "" : arena_format(arena, " to %s", words_whole(arena, high)));
    }
    if (!isnan(cause_value(cause, "session_rpe"))) {
        text_add_format(&text, ", effort times minutes %s", whole(arena, cause, "session_rpe"));
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
    return arena_format(arena, "A set of %s anaerobic efforts.", whole(arena, cause, "efforts"));
}

static char *hard_effort(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "The rider gave it %s of 10.", whole(arena, cause, "effort"));
}

static const struct {
    const char *code;
    char *(*say)(struct arena *arena, const struct cause *cause);
    const char *text; /* where no number is needed */
} rows[] = {
    { "amounts", amounts, NULL },
    { "marked", NULL, "A test or a race." },
    { "above-threshold", above_threshold, NULL },
    { "anaerobic-set", anaerobic_set, NULL },
    { "hard-effort", hard_effort, NULL },
    { "no-power-no-effort", NULL, "Neither power nor the rider's effort is known." },
    { "ask-effort", NULL, "Ask how hard it was, from 0 to 10." },
};

char *words_load_cause(struct arena *arena, const struct cause *cause)
{
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(rows[i].code, cause->code) == 0) {
            return rows[i].say != NULL ? rows[i].say(arena, cause)
                                       : arena_string(arena, rows[i].text);
        }
    }
    return NULL;
}

static void add(struct text *text, const struct causes *causes)
{
    for (size_t i = 0; i < causes->count; i++) {
        if (causes->items[i].text != NULL) {
            text_add_format(text, " %s", causes->items[i].text);
        }
    }
}

char *words_load(struct arena *arena, const struct reading *reading)
{
    struct text text = text_begin(arena, WORDS_CAP);
    text_add(&text, reading->verdict == VERDICT_HARD_DAY      ? "A hard day."
                    : reading->verdict == VERDICT_NO_HARD_DAY ? "Not a hard day."
                                                              : "Can't tell if it was a hard day.");
    add(&text, &reading->cannot_because);
    add(&text, &reading->because);
    add(&text, &reading->settle_by);
    return text.bytes;
}
