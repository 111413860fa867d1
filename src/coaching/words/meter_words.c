/* coaching/words/meter_words.c: what is said of two power meters. */
#include "coaching/words/meter_words.h"

#include "coaching/words/rider_words.h"
#include "coaching/words/sayings.h"
#include "coaching/words/words.h"

#include <math.h>

static double value(const struct cause *cause, const char *name)
{
    return cause_value(cause, name);
}

/* "2.1 % above", "0.4 % below". */
static char *above(struct arena *arena, double pct)
{
    return arena_format(arena, "%.1f %% %s", fabs(pct), pct < 0.0 ? "below" : "above");
}

/* "likely 0.4 to 3.8 %", "likely 1.2 % below to 0.8 % above", "likely 0.4 to 3.8 % below". */
static char *likely(struct arena *arena, double pct, double low, double high)
{
    if (low < 0.0 && high > 0.0) {
        return arena_format(arena, "likely %.1f %% below to %.1f %% above", -low, high);
    }
    return pct < 0.0 ? arena_format(arena, "likely %.1f to %.1f", -high, -low)
                     : arena_format(arena, "likely %.1f to %.1f", low, high);
}

char *words_meters_apart(struct arena *arena, const char *first, const char *second, double pct,
                         double low, double high)
{
    const char *range = low < 0.0 && high > 0.0
                            ? arena_format(arena, "%.1f %% less to %.1f %% more", -low, high)
                            : arena_format(arena, "%.1f to %.1f", fmin(fabs(low), fabs(high)),
                                           fmax(fabs(low), fabs(high)));
    return arena_format(arena, "%.1f %% %s by %s than by %s (likely %s)", fabs(pct),
                        pct < 0.0 ? "less" : "more", second, first, range);
}

/* ---- the reading ---- */

static char *minutes_compared(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "%s min of one ride were compared, %s W on average. The two rise and fall "
                        "together (%.2f)%s",
                        sayings_whole(arena, cause, "minutes"),
                        sayings_whole(arena, cause, "mean_w"), value(cause, "correlation"),
                        fabs(value(cause, "lag_s")) < 0.5
                            ? "."
                            : arena_format(arena, " when they are put %s apart.",
                                           words_duration(arena, fabs(value(cause, "lag_s")))));
}

static char *that_day(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "On that ride alone it was %+.1f to %+.1f %%; on another day a meter "
                        "repeats itself to %.1f %%.",
                        value(cause, "low_pct"), value(cause, "high_pct"),
                        value(cause, "precision_pct"));
}

static char *halves(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "%+.1f %% (%+.1f to %+.1f) in the easier half, at %s W; %+.1f %% (%+.1f to "
                        "%+.1f) in the harder, at %s W",
                        value(cause, "easy_pct"), value(cause, "easy_low_pct"),
                        value(cause, "easy_high_pct"), sayings_whole(arena, cause, "easy_w"),
                        value(cause, "hard_pct"), value(cause, "hard_low_pct"),
                        value(cause, "hard_high_pct"), sayings_whole(arena, cause, "hard_w"));
}

static char *by_power(struct arena *arena, const struct cause *cause)
{
    const bool fades = fabs(value(cause, "hard_pct")) < fabs(value(cause, "easy_pct"));
    return arena_format(arena, "It changes with power: %s.%s", halves(arena, cause),
                        fades ? " A zero offset of one of them does that." : "");
}

static char *alike_by_power(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "At low and high power it is the same within what can be seen: %s.",
                        halves(arena, cause));
}

static char *even_power(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Power was even (%s W in the easier half of the minutes, %s W in the "
                        "harder): whether it is the same at other powers isn't told.",
                        sayings_whole(arena, cause, "easy_w"),
                        sayings_whole(arena, cause, "hard_w"));
}

static char *for_bests(struct arena *arena, const struct cause *cause)
{
    return arena_format(
        arena, "For bests and thresholds the harder half counts: %s (%s on any day).",
        above(arena, value(cause, "pct")),
        likely(arena, value(cause, "pct"), value(cause, "low_pct"), value(cause, "high_pct")));
}

static char *no_power(struct arena *arena, const struct cause *cause)
{
    const bool both = value(cause, "first") > 0.5 && value(cause, "second") > 0.5;
    return arena_format(arena, "%s without power.",
                        both                          ? "Both recordings are"
                        : value(cause, "first") > 0.5 ? "The first recording is"
                                                      : "The second recording is");
}

static char *too_short(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Too short: the two share %s min with power; %s whole minutes above %s W "
                        "are needed.",
                        words_whole(arena, floor(value(cause, "minutes"))),
                        sayings_whole(arena, cause, "least"), sayings_whole(arena, cause, "watts"));
}

static char *too_even(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Power was too even (it spreads by %.0f %%) to see that the two rise and "
                        "fall together.",
                        value(cause, "spread_pct"));
}

static char *not_one_ride(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "The two don't rise and fall together (%.2f; %.2f is needed): not one "
                        "ride, or clocks more than %s apart.",
                        value(cause, "correlation"), value(cause, "least"),
                        words_duration(arena, value(cause, "lag_s")));
}

static char *too_uneven(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "They wander against each other: anything from %+.1f to %+.1f %% fits, no "
                        "better than of two meters that were never compared (%.1f %% either way).",
                        value(cause, "low_pct"), value(cause, "high_pct"),
                        value(cause, "open_pct"));
}

static const struct saying rows[] = {
    { "minutes-compared", minutes_compared, NULL },
    { "that-day", that_day, NULL },
    { "by-power", by_power, NULL },
    { "alike-by-power", alike_by_power, NULL },
    { "even-power", even_power, NULL },
    { "for-bests", for_bests, NULL },
    { "no-halves", NULL, "Too few minutes to tell low power from high." },
    { "neither-is-right", NULL, "Which of the two is right this does not say." },
    { "no-power", no_power, NULL },
    { "one-meter", NULL, "Both recordings are of one and the same meter." },
    { "too-short", too_short, NULL },
    { "too-even", too_even, NULL },
    { "not-one-ride", not_one_ride, NULL },
    { "too-uneven", too_uneven, NULL },
    { "ride-with-both", NULL,
      "Ride half an hour or more with both meters, easy and hard by turns, each recorded by a "
      "device of its own; warm up and set both to zero before." },
    { "ride-easy-and-hard", NULL, "Ride with both once more, easy and hard by turns." },
};

static char *lead_of(struct arena *arena, const struct reading *reading)
{
    const char *by =
        isnan(reading->estimate)
            ? ""
            : arena_format(arena, "the second reads %s the first (%s on any day)",
                           above(arena, reading->estimate),
                           likely(arena, reading->estimate, reading->low, reading->high));
    switch ((int)reading->verdict) {
    case VERDICT_DIFFER: return arena_format(arena, "The meters differ: %s.", by);
    case VERDICT_NO_CLEAR_DIFFERENCE: return arena_format(arena, "No clear difference: %s.", by);
    default: break;
    }
    return arena_string(arena, "Can't tell if the meters agree.");
}

void words_meters_fill(struct arena *arena, struct reading *reading)
{
    sayings_compose(arena, reading, lead_of(arena, reading), rows, sizeof rows / sizeof rows[0]);
}

/* ---- where powers of two meters are compared ---- */

char *words_meters_changed(struct arena *arena, const struct meter_link *link)
{
    return link->changed_day == INT64_MIN || link->changed_day <= link->day
               ? NULL
               : arena_format(arena, "one of the two was changed on %s, after it",
                              words_day(arena, link->changed_day));
}

char *words_meters_checked(struct arena *arena, const struct cause *cause)
{
    const double pct = value(cause, "taken_out_pct");
    const double changed = value(cause, "changed_day");
    return arena_format(
        arena,
        "The bests are from different power meters. By the check of %s, %s days ago, the later one "
        "reads %s the earlier (%s): that is taken out.%s",
        words_day(arena, (int64_t)value(cause, "day")), sayings_whole(arena, cause, "days"),
        above(arena, pct),
        likely(arena, pct, value(cause, "taken_out_low_pct"), value(cause, "taken_out_high_pct")),
        isnan(changed) ? ""
                       : arena_format(arena, " One of the two was changed on %s: check them anew.",
                                      words_day(arena, (int64_t)changed)));
}

char *words_meters_unchecked(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "The bests are from different power meters, which were not ridden against "
                        "each other: each is taken to be off by %.1f %%, the published trueness.",
                        value(cause, "trueness_pct"));
}

char *words_meters_bests(struct arena *arena, const struct meter_link *link, double pct, double low,
                         double high)
{
    return link == NULL
               ? arena_format(
                     arena,
                     "m by two power meters that were not ridden against each other: %+.1f "
                     "to %+.1f %% of such a change may be theirs (their published "
                     "trueness).",
                     low, high)
               : arena_format(arena,
                              "m by two power meters: by their check of %s %+.1f %% of such a "
                              "change (likely %+.1f to %+.1f) is theirs.",
                              words_day(arena, link->day), pct, low, high);
}
