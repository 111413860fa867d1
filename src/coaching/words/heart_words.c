/* coaching/words/heart_words.c: heart rate against usual, in sentences. */
#include "coaching/words/heart_words.h"

#include "coaching/words/rider_words.h"
#include "coaching/words/sayings.h"
#include "coaching/words/words.h"

#include <math.h>

const char *words_ask_higher(void)
{
    return "Ask about heat, illness, tiredness, sleep and drink before anything hard.";
}

const char *words_ask_lower(void)
{
    return "Ask about caffeine and tiredness, and look at the meter and the strap.";
}

char *words_beats_against(struct arena *arena, double bpm)
{
    const double whole = round(fabs(bpm));
    return arena_format(arena, "%.0f %s %s", whole, whole > 0.5 && whole < 1.5 ? "beat" : "beats",
                        bpm >= 0.0 ? "above" : "below");
}

/* What fitness, or tiredness, had made of usual by that day; "" under a beat. */
static char *moved(struct arena *arena, const struct cause *cause)
{
    const double bpm = cause_value(cause, "trend_bpm");
    return !(fabs(bpm) >= 1.0)
               ? arena_string(arena, "")
               : arena_format(arena, " By then it had moved to %s its mean, which is taken out.",
                              words_beats_against(arena, bpm));
}

static char *against_usual(struct arena *arena, const struct cause *cause)
{
    return arena_format(
        arena,
        "Heart rate ran %s what this power usually brings; under %.0f is no news. Usual is from "
        "%.0f rides, %s to %s.%s",
        words_beats_against(arena, cause_value(cause, "bpm")),
        floor(cause_value(cause, "line_bpm")), cause_value(cause, "rides"),
        words_day(arena, (int64_t)cause_value(cause, "from_day")),
        words_day(arena, (int64_t)cause_value(cause, "to_day")), moved(arena, cause));
}

static char *two_running(struct arena *arena, const struct cause *cause)
{
    return arena_format(
        arena, "With the ride of %s, two running: %s on average, where %.0f is unusual.",
        words_day(arena, (int64_t)cause_value(cause, "day")),
        words_beats_against(arena, cause_value(cause, "mean_bpm")), cause_value(cause, "line_bpm"));
}

static char *too_few(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Fewer than %.0f rides of the %.0f days before it hold %s of power and "
                        "heart rate that can be trusted.",
                        cause_value(cause, "rides"), cause_value(cause, "days"),
                        words_duration(arena, cause_value(cause, "seconds")));
}

static char *too_short(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "It holds less than %s of power and heart rate that can be used.",
                        words_duration(arena, cause_value(cause, "seconds")));
}

static char *ask_higher(struct arena *arena, const struct cause *cause)
{
    (void)cause;
    return arena_string(arena, words_ask_higher());
}

static char *ask_lower(struct arena *arena, const struct cause *cause)
{
    (void)cause;
    return arena_string(arena, words_ask_lower());
}

static const struct saying rows[] = {
    { "against-usual", against_usual, NULL },
    { "two-running", two_running, NULL },
    { "ask-higher", ask_higher, NULL },
    { "ask-lower", ask_lower, NULL },
    { "check-strap", NULL, "Check the strap: wet it, tighten it, change its battery." },
    { "medicine", NULL,
      "Under a medicine that alters heart rate, or in pregnancy, heart rate says other things than "
      "it does otherwise. Go by feel and by medical advice." },
    { "no-power", NULL, "It has no power, and heart rate is never read without it." },
    { "no-heart-rate", NULL, "It has no heart rate." },
    { "too-short", too_short, NULL },
    { "not-trusted", NULL, "Its recording can't be trusted." },
    { "too-few-rides", too_few, NULL },
    { "power-too-even", NULL,
      "Power hardly changed in the rides before it, so how heart rate answers it doesn't show." },
    { "no-threshold", NULL, "No threshold was on file." },
    { "no-heart-answers-so", NULL,
      "In the rides before it heart rate doesn't rise with power as a heart does. Look at the "
      "strap first." },
};

static const char *lead_of(enum verdict verdict)
{
    return verdict == VERDICT_USUAL               ? "As usual."
           : verdict == VERDICT_HIGHER_THAN_USUAL ? "Higher than usual."
           : verdict == VERDICT_LOWER_THAN_USUAL  ? "Lower than usual."
                                                  : "Can't tell if heart rate was as usual.";
}

void words_heart_today_fill(struct arena *arena, struct reading *reading)
{
    sayings_compose(arena, reading, lead_of(reading->verdict), rows, sizeof rows / sizeof rows[0]);
    if (reading->verdict == VERDICT_USUAL) {
        reading->text =
            arena_format(arena, "%s Usual isn't the same as being well.", reading->text);
    }
}
