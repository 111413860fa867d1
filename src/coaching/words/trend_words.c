/* coaching/words/trend_words.c: what is said of heart rate at one power, over weeks. */
#include "coaching/words/trend_words.h"

#include "base/text.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/sayings.h"

#include <math.h>

static char *line(struct arena *arena, const struct cause *cause)
{
    return arena_format(
        arena, "At %s W it went from %s to %s in %.0f weeks, by the line through %s rides.",
        sayings_whole(arena, cause, "power_w"), sayings_whole(arena, cause, "start_bpm"),
        sayings_whole(arena, cause, "end_bpm"), cause_value(cause, "days") / 7.0,
        sayings_whole(arena, cause, "rides"));
}

static char *temperature(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Warmth is allowed for: %.1f beats a degree.",
                        cause_value(cause, "bpm_per_c"));
}

static char *step_allowed(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Something was done to the meter on %s: a step there is allowed for, and "
                        "the line is known less surely.",
                        words_day(arena, (int64_t)cause_value(cause, "day")));
}

static char *step_or_trend(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Something was done to the meter on %s. Heart rate goes one way only where "
                        "a step there is allowed for: it may be the meter, or the rider.",
                        words_day(arena, (int64_t)cause_value(cause, "day")));
}

static char *step_likelier(struct arena *arena, const struct cause *cause)
{
    const double bpm = cause_value(cause, "bpm");
    const double odds = cause_value(cause, "odds");
    return arena_format(arena,
                        "It looks like a step of about %.0f beats %s on %s, %s%.0f times as likely "
                        "as a steady change: the meter may read otherwise since, or something "
                        "else changed at once.",
                        fabs(bpm), bpm < 0.0 ? "down" : "up",
                        words_day(arena, (int64_t)cause_value(cause, "day")),
                        odds < 100.0 ? "" : "more than ", odds);
}

static char *few_rides(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "%s rides over %s days can be held against usual; %s over %s days are "
                        "needed.",
                        sayings_whole(arena, cause, "rides"), sayings_whole(arena, cause, "days"),
                        sayings_whole(arena, cause, "least"),
                        sayings_whole(arena, cause, "least_days"));
}

static char *scatter(struct arena *arena, const struct cause *cause)
{
    const double flat = cause_value(cause, "flat_bpm");
    return isnan(flat) ? arena_string(arena, "The rides scatter too much for a line.")
                       : arena_format(
                             arena,
                             "The rides scatter too much: neither a change nor its absence (within "
                             "%.0f beats) can be shown.",
                             flat);
}

/* "the change of meter", "the meter's zero offset went from 812 to 1240": as the device shows it */
static const char *what_changed(struct arena *arena, const struct cause *cause)
{
    return isnan(cause_value(cause, "offset_after"))
               ? "the change of meter"
               : arena_format(arena, "the meter's zero offset went from %.0f to %.0f",
                              cause_value(cause, "offset_before"),
                              cause_value(cause, "offset_after"));
}

static char *shift(struct arena *arena, const struct cause *cause, const char *how)
{
    const double pct = cause_value(cause, "pct");
    return arena_format(
        arena,
        "Since %s power %s %s by about %.0f %% (likely %.0f to %.0f) against heart "
        "rate, with %s rides before and %s after %s.",
        words_day(arena, (int64_t)cause_value(cause, "day")), how, pct > 0.0 ? "high" : "low",
        fabs(pct), fmin(fabs(cause_value(cause, "low_pct")), fabs(cause_value(cause, "high_pct"))),
        fmax(fabs(cause_value(cause, "low_pct")), fabs(cause_value(cause, "high_pct"))),
        sayings_whole(arena, cause, "before"), sayings_whole(arena, cause, "after"),
        what_changed(arena, cause));
}

static char *power_shift(struct arena *arena, const struct cause *cause)
{
    return shift(arena, cause, "reads");
}

static char *power_may(struct arena *arena, const struct cause *cause)
{
    return shift(arena, cause, "may read");
}

static char *effort_higher(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "It falls, but easy rides feel harder than before, by %.1f points of 10.",
                        cause_value(cause, "points"));
}

static const struct saying rows[] = {
    { "line", line, NULL },
    { "temperature", temperature, NULL },
    { "step-allowed", step_allowed, NULL },
    { "step-or-trend", step_or_trend, NULL },
    { "step-likelier", step_likelier, NULL },
    { "few-rides", few_rides, NULL },
    { "scatter", scatter, NULL },
    { "power-shift", power_shift, NULL },
    { "power-may", power_may, NULL },
    { "effort-higher", effort_higher, NULL },
    { "no-response", NULL,
      "How this rider's heart answers power isn't known: it takes some rides with power and heart "
      "rate." },
    { "bests-lower", NULL, "It falls, but bests are lower too." },
    { "careful-week", NULL,
      "It falls, but the last weeks held illness, a caution or a jump of hours." },
    { "bests-hold", NULL, "Bests hold: it is evidence of a growing base." },
    { "bests-unknown", NULL,
      "Whether bests hold isn't known, so it isn't yet evidence of a growing base." },
    { "ride-on", NULL, "More rides with power and heart rate will tell." },
    { "ask-legs-and-sleep", NULL, "Fitter or tired? Ask about legs and sleep." },
    { "ask-heat-and-rest", NULL, "Ask about heat, sleep, illness and drink." },
    { "ask-what-changed", NULL,
      "Ask what changed then: meter, bike, place, heat, sleep, illness or medicine." },
    { "test-bests", NULL, "All-out efforts in both spans of weeks would tell fitter from tired." },
    { "check-meters", NULL, "Ask for a meter check: ride with both, or set the zero offset." },
};

static const char *lead_of(enum verdict verdict)
{
    return verdict == VERDICT_FALLING  ? "Heart rate at base-test power falls."
           : verdict == VERDICT_RISING ? "Heart rate at base-test power rises."
           : verdict == VERDICT_FLAT   ? "Heart rate at base-test power stays."
                                       : "Can't tell if heart rate at base-test power changes.";
}

void words_trend_fill(struct arena *arena, struct reading *reading)
{
    sayings_compose(arena, reading, lead_of(reading->verdict), rows, sizeof rows / sizeof rows[0]);
}
