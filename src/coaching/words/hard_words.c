/* coaching/words/hard_words.c: was the hard work done, in words. */
#include "coaching/words/words.h"

#include "base/text.h"
#include "coaching/hard_work.h"
#include "coaching/words/kind_words.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

enum { WORDS_CAP = 2000 };

static long count_of(const struct cause *cause, const char *name)
{
    const double value = cause_value(cause, name);
    return isnan(value) ? 0 : lround(value);
}

/* "131 %", or "322 W" where no threshold is known: from `name`_pct or `name`_w. */
static char *level(struct arena *arena, const struct cause *cause, const char *name)
{
    const double pct = cause_value(cause, arena_format(arena, "%s_pct", name));
    if (!isnan(pct)) {
        return arena_format(arena, "%s %%", words_whole(arena, pct));
    }
    const double watts = cause_value(cause, arena_format(arena, "%s_w", name));
    return isnan(watts) ? arena_string(arena, "unknown power")
                        : arena_format(arena, "%s W", words_whole(arena, watts));
}

/* "rep 2", "reps 1 to 3", "3 of reps 1 to 5". */
static char *which(struct arena *arena, const struct cause *cause)
{
    const long n = count_of(cause, "reps");
    const long first = count_of(cause, "first_rep");
    const long last = count_of(cause, "last_rep");
    if (n <= 1) {
        return arena_format(arena, "rep %ld", first);
    }
    if (n == 2) {
        return arena_format(arena, "reps %ld and %ld", first, last);
    }
    if (n == last - first + 1) {
        return arena_format(arena, "reps %ld to %ld", first, last);
    }
    return arena_format(arena, "%ld of reps %ld to %ld", n, first, last);
}

static char *capital(char *words)
{
    if (words != NULL) {
        words[0] = (char)toupper((unsigned char)words[0]);
    }
    return words;
}

static const char *plural(long n, const char *one, const char *many)
{
    return n == 1 ? one : many;
}

/* ---- one sentence a cause ---- */

static char *shape_fell(struct arena *arena, const struct cause *cause)
{
    return capital(arena_format(arena, "%s: %s in the first third, %s in the last.",
                                which(arena, cause), level(arena, cause, "first_third"),
                                level(arena, cause, "last_third")));
}

static char *shape_mean(struct arena *arena, const struct cause *cause, const char *what)
{
    return capital(arena_format(arena, "%s %s: %s%s.", which(arena, cause), what,
                                level(arena, cause, "mean"),
                                count_of(cause, "reps") > 1 ? " on average" : ""));
}

static char *shape_ended(struct arena *arena, const struct cause *cause, const char *what)
{
    return capital(arena_format(arena, "%s %s after %s%s.", which(arena, cause), what,
                                words_duration(arena, cause_value(cause, "length_s")),
                                count_of(cause, "reps") > 1 ? " on average" : ""));
}

static char *shape_cause(struct arena *arena, const struct cause *cause)
{
    static const struct {
        const char *code;
        char kind; /* 'f' fell, 'm' by its mean, 'e' ended early */
        const char *what;
    } rows[] = {
        { "started-too-hard", 'f', NULL },
        { "faded", 'f', NULL },
        { "stopped", 'e', "ended in a standstill" },
        { "cut-short", 'e', "ended early," },
        { "below", 'm', "lay below the range" },
        { "above", 'm', "lay above the range" },
        { "on-the-line", 'm', "lay on the line" },
        { "fast-start", 'm', "began above the range and came out in it" },
        { "done", 'm', "lay in the range" },
        { "described", 'm', "can only be described" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(rows[i].code, cause->code) == 0) {
            switch (rows[i].kind) {
            case 'f': return shape_fell(arena, cause);
            case 'e': return shape_ended(arena, cause, rows[i].what);
            default: return shape_mean(arena, cause, rows[i].what);
            }
        }
    }
    return NULL;
}

static char *reps_done(struct arena *arena, const struct cause *cause)
{
    const long missing = count_of(cause, "missing");
    const long asked = count_of(cause, "asked");
    char *words = arena_format(arena, "%ld of %ld %s done", count_of(cause, "done"), asked,
                               plural(asked, "rep", "reps"));
    return missing > 0 ? arena_format(arena, "%s; %ld %s not found.", words, missing,
                                      plural(missing, "was", "were"))
                       : arena_format(arena, "%s.", words);
}

/* "12 min asked: 5 min below, 4 min in, 3 min above": empty parts are left out. */
static char *minutes(struct arena *arena, const struct cause *cause)
{
    static const struct {
        const char *name;
        const char *where;
    } rows[] = { { "below_s", "below" }, { "in_s", "in" }, { "above_s", "above" } };
    const double asked_s = cause_value(cause, "asked_s");
    const double work_s = cause_value(cause, "work_s");
    if (isnan(cause_value(cause, "in_s"))) {
        return arena_format(arena, "%s of work.", words_duration(arena, work_s));
    }
    const char *parts[3];
    size_t n = 0;
    for (size_t i = 0; i < 3; i++) {
        const double seconds = cause_value(cause, rows[i].name);
        if (seconds >= 0.5) {
            parts[n++] =
                arena_format(arena, "%s %s", words_duration(arena, seconds), rows[i].where);
        }
    }
    return arena_format(arena, "%s %s: %s.",
                        words_duration(arena, isnan(asked_s) ? work_s : asked_s),
                        isnan(asked_s) ? "of work" : "asked", words_list(arena, parts, n, ", "));
}

static char *set_change(struct arena *arena, const struct cause *cause)
{
    const double change = cause_value(cause, "change_w");
    const double low = cause_value(cause, "low_w");
    const double high = cause_value(cause, "high_w");
    if (fabs(change) < 0.5) {
        return arena_string(arena, "Power stayed the same from the first rep to the last.");
    }
    const bool fell = change < 0.0;
    if (!isnan(low) && low < 0.0 && high > 0.0) {
        return arena_format(arena,
                            "No clear change from the first rep to the last: %s W (likely %s to "
                            "%s).",
                            words_whole(arena, change), words_whole(arena, low),
                            words_whole(arena, high));
    }
    return arena_format(arena, "From the first rep to the last power %s by %s W.",
                        fell ? "fell" : "rose",
                        words_likely(arena, fabs(change), fell ? -high : low, fell ? -low : high));
}

static char *near_maximal(struct arena *arena, const struct cause *cause)
{
    const double seconds = cause_value(cause, "at_90_s");
    return seconds < 1.0 ? arena_string(arena, "no time") : words_duration(arena, seconds);
}

static char *heart_alone(struct arena *arena, const struct cause *cause, bool done)
{
    return arena_format(arena,
                        "Heart rate alone would have said %s: %s at %s bpm or more, in %ld of %ld "
                        "reps for a third or more.",
                        done ? "well done" : "not hard enough", near_maximal(arena, cause),
                        words_whole(arena, ceil(cause_value(cause, "line_bpm"))),
                        count_of(cause, "reps_done"), count_of(cause, "reps"));
}

static char *heart_late(struct arena *arena, const struct cause *cause)
{
    const double lag = cause_value(cause, "lag_s");
    const double usual = cause_value(cause, "usual_lag_s");
    char *peak = words_whole(arena, cause_value(cause, "peak_bpm"));
    if (!isnan(lag) && !isnan(usual)) {
        return arena_format(arena,
                            "Heart rate ran about %s late (to 63 %% of its rise; by this rider's "
                            "other rides about %s) and peaked at %s.",
                            words_duration(arena, lag), words_duration(arena, round(usual)), peak);
    }
    return isnan(lag) ? arena_format(arena, "Heart rate peaked at %s.", peak)
                      : arena_format(arena,
                                     "Heart rate ran about %s late (to 63 %% of its rise) and "
                                     "peaked at %s.",
                                     words_duration(arena, lag), peak);
}

static char *heart_shown(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%s It can't judge work of this kind.", heart_late(arena, cause));
}

static char *paced(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Power was let down as heart rate came to its target in %ld of %ld reps: "
                        "they were paced by heart rate. The minutes weren't worthless.",
                        count_of(cause, "reps_paced"), count_of(cause, "reps"));
}

/* "3 of 3 rests were longer than asked: about 6 min, where 4 min were." */
static char *rests(struct arena *arena, const struct cause *cause)
{
    const long n = count_of(cause, "rests");
    return arena_format(
        arena, "%ld of %ld rests %s than asked: about %s, where %s %s.", n, count_of(cause, "all"),
        strcmp(cause->code, "rests-longer") == 0 ? plural(n, "was longer", "were longer")
                                                 : plural(n, "was shorter", "were shorter"),
        words_duration(arena, round(cause_value(cause, "rest_s"))),
        words_duration(arena, cause_value(cause, "asked_s")), plural(n, "was asked", "were asked"));
}

static char *doubt_cause(struct arena *arena, const struct cause *cause)
{
    static const struct {
        const char *code;
        const char *one;
        const char *lead; /* of many: lead, number, tail */
        const char *tail;
    } rows[] = {
        { "trainer-held",
          "The trainer held the power: how the rep was paced says nothing of the rider.",
          "The trainer held the power in", "reps: how they were paced says nothing of the rider." },
        { "cadence-fell", "Cadence fell by 10 or more over the rep: a sign of tiring.",
          "Cadence fell by 10 or more over", "reps: a sign of tiring." },
        { "power-missing", "Too much power is missing or left out in the rep.",
          "Too much power is missing or left out in", "reps." },
        { "edges-loose", "Start and end of the rep are known to about 10 s only.",
          "Start and end are known to about 10 s only in", "reps." },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(rows[i].code, cause->code) == 0) {
            const long n = count_of(cause, "reps");
            return n == 1 ? arena_string(arena, rows[i].one)
                          : arena_format(arena, "%s %ld %s", rows[i].lead, n, rows[i].tail);
        }
    }
    return NULL;
}

static char *plain_cause(struct arena *arena, const struct cause *cause)
{
    static const struct {
        const char *code;
        const char *words;
    } rows[] = {
        { "heart-too-short", "Heart rate can't judge efforts this short or this hard." },
        { "heart-medicine", "Heart rate is not read beside it: medicine changes it." },
        { "heart-pregnant", "Heart rate is not read beside it in pregnancy." },
        { "heart-absent", "No heart rate to set beside it." },
        { "heart-at-wrist", "Heart rate is not read beside it: a sensor at the wrist comes late in "
                            "intervals." },
        { "heart-sensor-late",
          "Heart rate is not read beside it: it came later on this ride than a "
          "heart does, so the sensor or what sits behind it lags." },
        { "heart-no-max", "What heart rate alone would have said needs the maximal heart rate." },
        { "not-asked", "Not part of what was asked." },
        { "asked-beside", "Another part of the session, beside its main efforts." },
        { "none-found", "No effort that could be what was asked was found." },
        { "no-power", "Hard work can't be judged without power." },
        { "no-threshold", "The range is in % of threshold, and no threshold is known." },
        { "power-lost", "Too much power is missing or left out." },
        { "power-meter", "Power would tell; until then ask how hard it was, 0 to 10." },
        { "give-threshold", "Give the threshold of that day, or ask in watts." },
        { "check-meter", "Check battery and pairing of the power meter." },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(rows[i].code, cause->code) == 0) {
            return arena_string(arena, rows[i].words);
        }
    }
    return NULL;
}

char *words_hard_cause(struct arena *arena, const struct cause *cause)
{
    if (strcmp(cause->code, "reps-done") == 0) {
        return reps_done(arena, cause);
    }
    if (strcmp(cause->code, "work") == 0) {
        return arena_format(arena, "%s of work.",
                            words_duration(arena, cause_value(cause, "work_s")));
    }
    if (strcmp(cause->code, "minutes") == 0 && isnan(cause_value(cause, "in_s"))) {
        return minutes(arena, cause);
    }
    if (strcmp(cause->code, "minutes") == 0) {
        return arena_format(arena, "%s Only what lies below is missing work.",
                            minutes(arena, cause));
    }
    if (strcmp(cause->code, "first-to-last-rep") == 0) {
        return set_change(arena, cause);
    }
    if (strncmp(cause->code, "heart-alone-", 12) == 0) {
        return heart_alone(arena, cause, strcmp(cause->code, "heart-alone-done") == 0);
    }
    if (strcmp(cause->code, "heart-late") == 0) {
        return heart_late(arena, cause);
    }
    if (strcmp(cause->code, "heart-shown") == 0) {
        return heart_shown(arena, cause);
    }
    if (strcmp(cause->code, "paced-by-heart") == 0) {
        return paced(arena, cause);
    }
    if (strncmp(cause->code, "rests-", 6) == 0) {
        return rests(arena, cause);
    }
    if (strcmp(cause->code, "range-known-to") == 0) {
        return arena_format(arena, "The range itself is known to about ± %s %%.",
                            words_whole(arena, cause_value(cause, "pct")));
    }
    if (strcmp(cause->code, "length-from-others") == 0) {
        return arena_format(arena, "The other reps of the set lasted about %s.",
                            words_duration(arena, cause_value(cause, "seconds")));
    }
    char *words = shape_cause(arena, cause);
    words = words == NULL ? doubt_cause(arena, cause) : words;
    return words == NULL ? plain_cause(arena, cause) : words;
}

/* ---- the main sentences ---- */

/* "VO2max work" from "assumed: vo2max"; NULL if the range was asked. */
static const char *assumed_kind(const struct reading *reading)
{
    static const char lead[] = "assumed: ";
    const char *intent = reading->basis.intent;
    if (intent == NULL || strncmp(intent, lead, sizeof lead - 1) != 0) {
        return NULL;
    }
    return words_kind(intent + sizeof lead - 1);
}

/* "asked: VO2max" of "asked: vo2max"; a range is its own words. */
static const char *intent_words(struct arena *arena, const char *intent)
{
    static const char asked[] = "asked: ";
    return intent == NULL ? "asked"
           : strncmp(intent, asked, sizeof asked - 1) == 0
               ? arena_format(arena, "%s%s", asked, words_kind(intent + sizeof asked - 1))
               : intent;
}

static char *fell_phrase(struct arena *arena, const struct cause *cause, const char *what)
{
    return arena_format(arena, "%s in %s: %s in the first third, %s in the last.", what,
                        which(arena, cause), level(arena, cause, "first_third"),
                        level(arena, cause, "last_third"));
}

/* "Done: 4 of 4 reps.", "Cut short: 2 of 3 reps done." */
static char *verdict_phrase(struct arena *arena, const struct reading *reading)
{
    static const struct {
        enum verdict verdict;
        const char *lead;
        const char *shape; /* the cause that says how it fell; NULL = the counts say enough */
    } rows[] = {
        { VERDICT_DONE, "Done", NULL },
        { VERDICT_DONE_FAST_START, "Done, with a fast start", NULL },
        { VERDICT_STARTED_TOO_HARD, "Started too hard", "started-too-hard" },
        { VERDICT_FADED, "Faded", "faded" },
        { VERDICT_BELOW, "Below the range", NULL },
        { VERDICT_ABOVE, "Above the range", NULL },
        { VERDICT_STOPPED, "Ended in a standstill", NULL },
        { VERDICT_CUT_SHORT, "Cut short", NULL },
        { VERDICT_ON_THE_LINE, "On the line", NULL },
    };
    const struct cause *done = causes_find(&reading->because, "reps-done");
    char *counts = done == NULL ? arena_string(arena, "") : reps_done(arena, done);
    const bool all_said =
        reading->verdict == VERDICT_DONE || reading->verdict == VERDICT_DONE_FAST_START;
    if (all_said && count_of(done, "missing") == 0) {
        const long asked = count_of(done, "asked");
        counts = arena_format(arena, "%ld of %ld %s.", count_of(done, "done"), asked,
                              plural(asked, "rep", "reps"));
    }
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (rows[i].verdict == reading->verdict) {
            const struct cause *shape =
                rows[i].shape == NULL ? NULL : causes_find(&reading->because, rows[i].shape);
            return shape == NULL ? arena_format(arena, "%s: %s", rows[i].lead, counts)
                                 : fell_phrase(arena, shape, rows[i].lead);
        }
    }
    return counts;
}

static char *heart_phrase(struct arena *arena, const struct reading *reading)
{
    const struct cause *done = causes_find(&reading->because, "heart-alone-done");
    const struct cause *below = causes_find(&reading->because, "heart-alone-below");
    const struct cause *cause = done != NULL ? done : below;
    if (cause == NULL) {
        return NULL;
    }
    const double lag = cause_value(causes_find(&reading->because, "heart-late"), "lag_s");
    struct text text = text_begin(arena, WORDS_CAP);
    text_add_format(&text, " Heart rate alone would have said %s %s", near_maximal(arena, cause),
                    done != NULL ? "well done" : "near maximal, not hard enough");
    if (!isnan(lag)) {
        text_add_format(&text, ": it ran about %s late", words_duration(arena, lag));
    }
    if (causes_find(&reading->because, "paced-by-heart") != NULL) {
        text_add(&text, ", and the rider paced by it");
    }
    text_add(&text, ".");
    return text.bytes;
}

static char *described(struct arena *arena, const struct reading *reading)
{
    const struct cause *cause = causes_find(&reading->because, "described");
    if (cause == NULL) {
        return arena_string(arena, "Nothing was asked, so it is only described.");
    }
    const long n = count_of(cause, "reps");
    const char *intent = reading->basis.intent;
    const bool is_marked = intent != NULL && strcmp(intent, HARD_MARKED) == 0;
    return arena_format(arena, "%ld %s of %s%s at %s%s. %s", n, plural(n, "effort", "efforts"),
                        n > 1 ? "about " : "",
                        words_duration(arena, cause_value(cause, "length_s")),
                        level(arena, cause, "mean"), n > 1 ? " on average" : "",
                        is_marked ? "It was marked a test or a race, so its efforts aren't judged "
                                    "as interval work."
                                  : "Nothing was asked that it could be judged by.");
}

static char *words_of_group(struct arena *arena, const struct reading *reading)
{
    struct text text = text_begin(arena, WORDS_CAP);
    const char *kind = assumed_kind(reading);
    char *phrase = verdict_phrase(arena, reading);
    if (kind != NULL) {
        phrase[0] = (char)tolower((unsigned char)phrase[0]);
        if (strcmp(kind, "by set") == 0) {
            text_add(&text, "If each set was meant as the kind of work nearest to it: ");
        } else {
            text_add_format(&text, "If these were meant as %s work: ", kind);
        }
    }
    text_add(&text, phrase);
    const struct cause *time = causes_find(&reading->because, "minutes");
    if (time != NULL) {
        text_add_format(&text, " %s", minutes(arena, time));
    }
    char *heart = heart_phrase(arena, reading);
    if (heart != NULL) {
        text_add(&text, heart);
    }
    return text.bytes;
}

static char *words_of_rep(struct arena *arena, const struct reading *reading,
                          const struct ride_readings *readings)
{
    const struct rep *rep = &readings->reps.items[reading->rep - 1];
    const bool in_pct = reading->unit != NULL && strcmp(reading->unit, "%") == 0;
    const double scale = in_pct ? reading->estimate / rep->mean_power_w : 1.0;
    const char *unit = in_pct ? "%" : "W";
    struct text text = text_begin(arena, WORDS_CAP);
    text_add_format(&text, "Rep %d at %s, %s", reading->rep, words_clock(arena, rep->span.from_s),
                    words_duration(arena, rep->span.to_s - rep->span.from_s));
    if (rep->is_block) {
        text_add_format(&text, " (%d short efforts)", rep->n_efforts);
    }
    if (!isnan(rep->mean_power_w)) {
        text_add_format(&text, " at %s %s", words_whole(arena, rep->mean_power_w * scale), unit);
    }
    text_add_format(&text, ": %s", words_verdict(reading->verdict));
    const bool fell = reading->verdict == VERDICT_STARTED_TOO_HARD ||
                      reading->verdict == VERDICT_FADED ||
                      reading->verdict == VERDICT_DONE_FAST_START;
    if (fell && !isnan(rep->first_third_w) && !isnan(rep->last_third_w)) {
        text_add_format(&text, ", %s %s in the first third, %s %s in the last",
                        words_whole(arena, rep->first_third_w * scale), unit,
                        words_whole(arena, rep->last_third_w * scale), unit);
    }
    text_add(&text, ".");
    return text.bytes;
}

char *words_hard(struct arena *arena, const struct reading *reading,
                 const struct ride_readings *readings)
{
    if (reading->rep > 0) {
        return words_of_rep(arena, reading, readings);
    }
    if (reading->verdict == VERDICT_CANNOT_TELL) {
        return arena_format(arena, "Can't tell: %s",
                            reading->cannot_because.count > 0
                                ? reading->cannot_because.items[0].text
                                : "something is missing.");
    }
    if (causes_find(&reading->because, "none-found") != NULL) {
        return arena_format(arena, "Not ridden: %s; no such effort was found.",
                            intent_words(arena, reading->basis.intent));
    }
    if (reading->verdict == VERDICT_DESCRIBED) {
        return described(arena, reading);
    }
    return words_of_group(arena, reading);
}
