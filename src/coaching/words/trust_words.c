/* coaching/words/trust_words.c: what may be trusted, in words; findings are in finding_words.c. */
#include "coaching/words/sayings.h"
#include "coaching/words/words.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

enum { WORDS_CAP = 2000 };

/* "all", "nearly all" or "97 %": rounded down, so that nothing short of all is called so. */
static char *share(struct arena *arena, double pct)
{
    if (pct >= 99.0) {
        return arena_string(arena, pct >= 100.0 ? "all" : "nearly all");
    }
    return arena_format(arena, "%s %%", words_whole(arena, floor(pct)));
}

/* ---- power and heart rate ---- */

static char *power_usable(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Power can be used for %s of the riding time: it answers hard work and "
                        "bests.",
                        share(arena, cause_value(cause, "coverage_pct")));
}

static char *power_in_part(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Power is missing or left out for %s: hard work is read outside that, and "
                        "a best beside it is \"at least\".",
                        words_duration(arena, cause_value(cause, "lost_s")));
}

static char *power_lost(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Power can't be used: only %s of the riding time is left.",
                        share(arena, cause_value(cause, "coverage_pct")));
}

static char *heart_usable(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Heart rate can be used for %s of the riding time: beside power it answers "
                        "the base test.",
                        share(arena, cause_value(cause, "coverage_pct")));
}

static char *heart_in_part(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Heart rate is missing or left out for %s: the base test is read only if "
                        "its hour is clear of that.",
                        words_duration(arena, cause_value(cause, "lost_s")));
}

static char *heart_lost(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Heart rate can't be used: only %s of the riding time is left. The base "
                        "test can't be read.",
                        share(arena, cause_value(cause, "coverage_pct")));
}

/* ---- reasons with numbers ---- */

static char *irregular(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "The device wrote a record every %s s or so, not every second: longer gaps "
                        "stay empty.",
                        words_whole(arena, cause_value(cause, "every_s")));
}

static char *above_max(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Heart rate reached %s, above the maximal of %s on file, for %s: that "
                        "maximal is out of date, or the strap is.",
                        words_whole(arena, cause_value(cause, "peak_bpm")),
                        words_whole(arena, cause_value(cause, "max_bpm")),
                        words_duration(arena, cause_value(cause, "seconds")));
}

static char *too_short(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Only %s were ridden.",
                        words_duration(arena, cause_value(cause, "seconds")));
}

/* ---- cautions: a question to ask, never a diagnosis ---- */

#define ASK                                                                                        \
    "Ask whether there were palpitations, dizziness, chest pain or breathlessness: if so, "        \
    "nothing "                                                                                     \
    "hard until a doctor has seen the rider."

/* " twice, the longest time" */
static char *how_often(struct arena *arena, const struct cause *cause)
{
    const double count = cause_value(cause, "count");
    return count > 1.0 ? arena_format(arena, " %s, the longest time", words_times(arena, count))
                       : arena_string(arena, "");
}

static char *heart_leap(struct arena *arena, const struct cause *cause)
{
    const double seconds = cause_value(cause, "seconds");
    char *stayed = seconds > cause_value(cause, "peak_within_s")
                       ? arena_string(arena, "and stayed up")
                       : arena_format(arena, "for %s", words_duration(arena, seconds));
    const double power_w = cause_value(cause, "power_w");
    char *at = isnan(power_w) ? arena_string(arena, "power unknown")
                              : arena_format(arena, "at %s W", words_whole(arena, power_w));
    return arena_format(arena,
                        "Heart rate jumped%s from %s to %s %s, %s, %s into the ride. Usually the "
                        "strap. " ASK,
                        how_often(arena, cause), words_whole(arena, cause_value(cause, "from_bpm")),
                        words_whole(arena, cause_value(cause, "peak_bpm")), stayed, at,
                        words_clock(arena, (int32_t)cause_value(cause, "from_s")));
}

static char *far_above_max(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Heart rate stood%s above the maximal of %s on file: up to %s for %s, %s "
                        "into the ride. The maximal is out of date, or it was the strap. " ASK,
                        how_often(arena, cause), words_whole(arena, cause_value(cause, "max_bpm")),
                        words_whole(arena, cause_value(cause, "peak_bpm")),
                        words_duration(arena, cause_value(cause, "seconds")),
                        words_clock(arena, (int32_t)cause_value(cause, "from_s")));
}

/* ---- the table ---- */

const char *words_trust_cause(struct arena *arena, const struct cause *cause)
{
    static const struct saying rows[] = {
        { "power-usable", power_usable, NULL },
        { "power-in-part", power_in_part, NULL },
        { "power-lost", power_lost, NULL },
        { "power-absent", NULL, "No power: the base test and hard work can't be read." },
        { "power-target", NULL,
          "Power is the trainer's target, not a measurement: neither the base test nor hard work "
          "nor bests are read from it." },
        { "heart-usable", heart_usable, NULL },
        { "heart-in-part", heart_in_part, NULL },
        { "heart-lost", heart_lost, NULL },
        { "heart-absent", NULL,
          "No heart rate: the base test can't be read, nor what heart rate alone would have said "
          "of hard work." },
        { "heart-alone", NULL,
          "Heart rate is there, but no verdict rests on heart rate without power beside it." },
        { "heart-not-read", NULL, "Heart rate is there, but no verdict rests on it in pregnancy." },
        { "irregular", irregular, NULL },
        { "heart-above-max", above_max, NULL },
        { "heart-medicine", NULL,
          "Medicine that alters heart rate: nothing is read as a share of maximal heart rate." },
        { "pregnant", NULL, "Pregnancy: heart-rate verdicts are off." },
        { "meter-left-only", NULL,
          "The meter measures the left leg alone and doubles it: it may read high or low." },
        { "meter-right-only", NULL,
          "The meter measures the right leg alone and doubles it: it may read high or low." },
        { "heart-at-wrist", NULL,
          "Heart rate was taken at the wrist: late and sometimes wrong in intervals, better on "
          "steady rides." },
        { "too-short", too_short, NULL },
        { "check-meter", NULL,
          "Check the power meter: battery, zero offset, and that the device is paired with it "
          "alone." },
        { "wet-strap", NULL, "Wet the strap before the ride, and ride some minutes before work." },
        { "check-strap", NULL, "Check the strap: wet it, tighten it, change its battery." },
        { "wear-strap", NULL, "Ride with a heart-rate strap." },
        { "measure-power", NULL, "Ride with a power meter, or a trainer that measures." },
        { "record-every-second", NULL, "Set the device to record every second." },
        { "ride-cool", NULL,
          "Repeat it cool: 18 to 24 \xC2\xB0"
          "C, with a fan indoors." },
        { "heart-leap", heart_leap, NULL },
        { "heart-far-above-max", far_above_max, NULL },
    };
    return sayings_find(arena, rows, sizeof rows / sizeof rows[0], cause);
}

char *words_not_a_ride(struct arena *arena, enum sport sport)
{
    static const char *const kinds[] = {
        [SPORT_UNKNOWN] = "a recording of an unknown sport",
        [SPORT_CYCLING] = "a ride",
        [SPORT_RUNNING] = "a run",
        [SPORT_SWIMMING] = "a swim",
        [SPORT_WALKING] = "a walk",
        [SPORT_HIKING] = "a hike",
        [SPORT_ROWING] = "rowing",
        [SPORT_SKIING] = "skiing",
        [SPORT_TRANSITION] = "the change between two sports",
        [SPORT_DIVING] = "a dive",
        [SPORT_TRAINING] = "training off the bike",
        [SPORT_OTHER] = "another sport",
    };
    return arena_format(arena, "This is %s, not a ride.", kinds[sport]);
}

/* The verdict, then the channels, then at most two more reasons: the rest stands in the list. */
char *words_trust(struct arena *arena, const struct reading *reading)
{
    enum { MOST_REASONS = 4 };
    const char *lead = "Can't tell.";
    if (reading->verdict == VERDICT_USABLE) {
        lead = "Usable.";
    } else if (reading->verdict == VERDICT_USABLE_IN_PART) {
        lead = "Usable in part.";
    } else if (reading->verdict == VERDICT_NOT_USABLE) {
        lead = "Not usable.";
    }
    struct text text = text_begin(arena, WORDS_CAP);
    text_add(&text, lead);
    const struct causes *causes =
        reading->verdict == VERDICT_CANNOT_TELL ? &reading->cannot_because : &reading->because;
    for (size_t i = 0; i < causes->count && i < MOST_REASONS; i++) {
        if (causes->items[i].text != NULL) {
            text_add_format(&text, " %s", causes->items[i].text);
        }
    }
    return text.bytes;
}
