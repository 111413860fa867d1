/* coaching/words/outlook_words.c: what a session will bring, in sentences. */
#include "coaching/words/outlook_words.h"

#include "coaching/session_text.h"
#include "coaching/words/power_words.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/teaching_words.h"
#include "coaching/words/words.h"

#include <math.h>

enum { TEXT_MOST = 4000 };

static void add(struct outlook_said said[OUTLOOK_SAID_MOST], size_t *n, const char *name,
                const char *words)
{
    if (words != NULL && *n < OUTLOOK_SAID_MOST) {
        said[(*n)++] = (struct outlook_said){ name, words };
    }
}

/* ---- what it will bring ---- */

static void add_heart(struct text *out, const struct session_outlook *outlook)
{
    const struct expected *expected = &outlook->expected;
    double low = (double)NAN;
    double high = (double)NAN;
    for (size_t i = 0; i < expected->n_reps; i++) {
        low = fmin(low, expected->reps[i].heart_end_bpm); /* NAN is passed over */
        high = fmax(high, expected->reps[i].heart_end_bpm);
    }
    if (round(low) < round(high)) {
        text_add_format(
            out, " Heart rate at the end of its efforts, on a usual day: about %.0f to %.0f.", low,
            high);
    } else if (!isnan(low)) {
        text_add_format(out, " Heart rate at the end of its efforts, on a usual day: about %.0f.",
                        high);
    } else {
        double highest = (double)NAN;
        for (size_t i = 0; i < expected->n_minutes; i++) {
            highest = fmax(highest, expected->minutes[i].heart_bpm);
        }
        if (!isnan(highest)) {
            text_add_format(out, " Heart rate at its highest%s, on a usual day: about %.0f.",
                            outlook->n_dark > 0 ? " where it can be foretold" : "", highest);
        }
    }
}

/* " By zone: 30 min recovery, 16 min VO2max."; what is under half a minute isn't worth a word. */
static void add_zones(struct text *out, const struct session_outlook *outlook)
{
    static const double LEAST_S = 30.0;
    size_t n = 0;
    for (size_t i = 0; outlook->expected.n > 0 && i < outlook->zones.count; i++) {
        const double seconds = outlook->expected.zone_s[i];
        if (seconds >= LEAST_S) { /* NAN: no */
            text_add_format(out, "%s%s %s", n++ == 0 ? " By zone: " : ", ",
                            words_duration(out->arena, seconds), outlook->zones.name[i]);
        }
    }
    text_add(out, n > 0 ? "." : "");
}

static double shown_kj(double joules)
{
    return fmax(joules, 0.0) / 1000.0;
}

static void add_w_prime(struct text *out, const struct session_outlook *outlook,
                        const struct expected_rider *rider)
{
    const struct w_balance *balance = &outlook->expected.balance;
    const char *will = outlook->is_past ? "would" : "will";
    if (outlook->verdict == OUTLOOK_NONE_HARD) {
        text_add_format(out, " Nothing of it %s above critical power.",
                        outlook->is_past ? "lay" : "lies");
    } else if (outlook->verdict == OUTLOOK_RISES) {
        return; /* it is ridden until nothing is left */
    } else if (balance->is_known && outlook->short_at_s >= 0 &&
               round(shown_kj(balance->least_high_j)) < 1.0) {
        text_add_format(out, " Nothing %s be left of about %.0f kJ above critical power.", will,
                        rider->w.w_prime_j / 1000.0);
    } else if (balance->is_known && outlook->short_at_s >= 0) {
        text_add_format(out,
                        " Of about %.0f kJ above critical power %.0f to %.0f %s be left at the "
                        "least, by two ways of counting what comes back and the doubt in the "
                        "numbers.",
                        rider->w.w_prime_j / 1000.0, shown_kj(balance->least_low_j),
                        shown_kj(balance->least_high_j), will);
    } else if (balance->is_known) {
        text_add_format(out,
                        " Of about %.0f kJ above critical power about %.0f %s be left at the "
                        "least, at %s: %.0f to %.0f by two ways of counting what comes back and "
                        "the doubt in the numbers.",
                        rider->w.w_prime_j / 1000.0, shown_kj(balance->least_j), will,
                        words_clock(out->arena, balance->least_at_s),
                        shown_kj(balance->least_low_j), shown_kj(balance->least_high_j));
    }
}

static const char *brings(struct arena *arena, const struct session_outlook *outlook,
                          const struct expected_rider *rider)
{
    struct text out = text_begin(arena, TEXT_MOST);
    if (outlook->dose.seconds == 0) {
        text_add(&out, "Its length isn't set: every part ends with the button.");
        return out.bytes;
    }
    text_add_format(&out, "%s", words_duration(arena, outlook->dose.seconds));
    if (outlook->expected.n > 0) {
        text_add_format(&out, ", about %s kJ", words_whole(arena, outlook->expected.work_kj));
    }
    if (outlook->dose.hard_s > 0) {
        text_add_format(&out, ", of it %s hard", words_duration(arena, outlook->dose.hard_s));
    }
    text_add(&out, ".");
    add_zones(&out, outlook);
    if (outlook->expected.heart_bpm != NULL) {
        add_heart(&out, outlook);
    }
    add_w_prime(&out, outlook, rider);
    return out.bytes;
}

/* ---- what to mind ---- */

/* "effort 5", "efforts 4 and 5", "efforts 3 to 6", "3 of its efforts, from effort 2 on". */
static const char *which_efforts(struct arena *arena, const struct session_outlook *outlook)
{
    const size_t first = outlook->first_short + 1;
    const size_t last = outlook->last_short + 1;
    if (outlook->n_short == 1) {
        return arena_format(arena, "effort %zu", first);
    }
    if (last - first + 1 > outlook->n_short) {
        return arena_format(arena, "%zu efforts, from effort %zu on", outlook->n_short, first);
    }
    return arena_format(arena, outlook->n_short == 2 ? "efforts %zu and %zu" : "efforts %zu to %zu",
                        first, last);
}

const char *words_outlook_short(struct arena *arena, const struct session_outlook *outlook)
{
    return outlook->n_short > 0 ? which_efforts(arena, outlook)
                                : arena_format(arena, "at %.0f W, from %s on", outlook->short_at_w,
                                               words_clock(arena, outlook->short_at_s));
}

static const char *numbers(struct arena *arena, const struct expected_rider *rider)
{
    return arena_format(arena, "about %.0f W of critical power and %.0f kJ above that",
                        rider->w.cp_w, rider->w.w_prime_j / 1000.0);
}

/* Why the middle numbers alone don't decide. */
static const char *doubt(struct arena *arena, const struct expected_rider *rider)
{
    return isnan(rider->w.cp_low_w) || isnan(rider->w.cp_high_w)
               ? "but not by both ways of counting what comes back"
               : arena_format(arena, "but not over their whole likely range (%.0f to %.0f W)",
                              rider->w.cp_low_w, rider->w.cp_high_w);
}

static const char *may_not(struct arena *arena, const struct session_outlook *outlook,
                           const struct expected_rider *rider)
{
    return arena_format(arena, "%s be finished as asked: %s. With %s it would just do, %s.%s",
                        outlook->is_past ? "Might not" : "May not",
                        words_outlook_short(arena, outlook), numbers(arena, rider),
                        doubt(arena, rider),
                        outlook->is_past ? "" : " Say which effort may be left out.");
}

static const char *likely_not(struct arena *arena, const struct session_outlook *outlook,
                              const struct expected_rider *rider)
{
    return arena_format(
        arena, "Likely not to be finished as asked: %s. It %s more than %s allow%s. %s",
        words_outlook_short(arena, outlook), outlook->is_past ? "took" : "takes",
        numbers(arena, rider),
        outlook->expected.balance.is_wrong ? ", over their whole likely range" : "",
        outlook->is_past ? "Where it was finished, the numbers are too low: a new test would tell."
                         : "Fewer or shorter efforts, less power or longer rests would do; or the "
                           "numbers are out of date, and a new test would tell.");
}

static const char *rises(struct arena *arena, const struct session_outlook *outlook,
                         const struct expected_rider *rider)
{
    return arena_format(arena,
                        "It rises until it can't be held: with %s, to about %.0f W, %s into the "
                        "session.%s",
                        numbers(arena, rider), outlook->short_at_w,
                        words_clock(arena, outlook->short_at_s),
                        outlook->is_past ? "" : " Stopping there is as asked.");
}

static void warn_of_w_prime(struct arena *arena, struct session_outlook *outlook,
                            const struct expected_rider *rider)
{
    const char *name = NULL;
    const char *words = NULL;
    switch (outlook->verdict) {
    case OUTLOOK_UNKNOWN:
    case OUTLOOK_NONE_HARD:
    case OUTLOOK_WITHIN: return;
    case OUTLOOK_MAY_NOT:
        name = "may-not-be-finished";
        words = may_not(arena, outlook, rider);
        break;
    case OUTLOOK_LIKELY_NOT:
        name = "likely-not-finished";
        words = likely_not(arena, outlook, rider);
        break;
    case OUTLOOK_RISES:
        name = "ends-while-rising";
        words = rises(arena, outlook, rider);
        break;
    }
    add(outlook->warnings, &outlook->n_warnings, name, words);
}

/* ---- what can't be told ---- */

static void add_missing(struct session_outlook *outlook, const char *name, const char *words)
{
    add(outlook->missing, &outlook->n_missing, name, words);
}

static void miss_watts(struct arena *arena, struct session_outlook *outlook)
{
    const bool no_threshold = !(outlook->threshold_w > 0.0);
    if (no_threshold) {
        add_missing(outlook, "no-threshold",
                    "No threshold is on file, so ranges in % have no watts. A threshold test would "
                    "tell.");
    }
    if (outlook->without_w_s > 0 && !no_threshold) {
        add_missing(outlook, "without-power",
                    arena_format(arena,
                                 "%s of it ask for no watts (by heart rate, by feel, all out, or "
                                 "as the rider likes): what they cost isn't foretold, and kJ and "
                                 "zones leave them out.",
                                 words_duration(arena, outlook->without_w_s)));
    }
    if (outlook->n_buttons > 0) {
        add_missing(outlook, "until-the-button",
                    outlook->n_buttons == 1
                        ? "One part ends with the button: its length isn't known, and it is left "
                          "out."
                        : arena_format(arena,
                                       "%d parts end with the button: their length isn't known, "
                                       "and they are left out.",
                                       (int)outlook->n_buttons));
    }
}

static void miss_w_prime(struct session_outlook *outlook, const struct expected_rider *rider)
{
    if (outlook->expected.n == 0 || outlook->expected.balance.is_known) {
        return;
    }
    if (!(rider->w.cp_w > 0.0) || !(rider->w.w_prime_j > 0.0)) {
        add_missing(outlook, "no-critical-power",
                    "Whether it can be finished can't be told: critical power isn't known. "
                    "All-out efforts of several lengths would tell: of 2 to 20 min, the longest at "
                    "least 12, and ridden as a test.");
    } else {
        add_missing(outlook, "too-much-without-power",
                    "Whether it can be finished can't be told: too much of it asks for no watts.");
    }
}

enum { DARK_NAMED = 3 };

/* "“5 min all out”, “20 min all out” and 2 other parts". */
static const char *dark_steps(struct arena *arena, const struct session_outlook *outlook)
{
    struct text out = text_begin(arena, TEXT_MOST);
    const size_t others = outlook->n_dark > DARK_NAMED ? outlook->n_dark - DARK_NAMED + 1 : 0;
    const size_t named = outlook->n_dark - others;
    for (size_t i = 0; i < named; i++) {
        struct session_step step = *outlook->dark[i];
        step.words = NULL;
        text_add(&out, i == 0                          ? "\u201c"
                       : i + 1 == named && others == 0 ? " and \u201c"
                                                       : ", \u201c");
        session_write_step(&out, &step);
        text_add(&out, "\u201d");
    }
    if (others > 0) {
        text_add_format(&out, " and %zu other parts", others);
    }
    return out.bytes;
}

static void miss_dark_parts(struct arena *arena, struct session_outlook *outlook,
                            const struct limits *limits)
{
    if (outlook->n_dark > 0) {
        add_missing(outlook, "heart-parts",
                    arena_format(arena,
                                 "Heart rate can't be foretold in %s, whose watts or length aren't "
                                 "set, nor for %s after.",
                                 dark_steps(arena, outlook),
                                 words_duration(arena, limits->value[LIMIT_RESPONSE_SETTLE_S])));
    }
}

static void miss_heart(struct arena *arena, struct session_outlook *outlook,
                       const struct expected_rider *rider, const struct limits *limits)
{
    switch (outlook->heart) {
    case OUTLOOK_HEART_TOLD:
        if (isnan(rider->max_heart_bpm)) {
            add_missing(outlook, "no-max-heart",
                        "Maximal heart rate isn't on file: what is expected isn't held below it.");
        }
        miss_dark_parts(arena, outlook, limits);
        break;
    case OUTLOOK_HEART_WITHHELD:
        add_missing(outlook, "heart-withheld",
                    arena_format(arena, "Heart rate isn't foretold. %s", words_heart_withheld()));
        break;
    case OUTLOOK_HEART_NO_RESPONSE:
        add_missing(outlook, "no-response",
                    arena_format(arena, "Heart rate can't be foretold. %s",
                                 rider->response == NULL
                                     ? "How it answers power isn't known."
                                     : words_heart_response(arena, rider->response, limits)));
        break;
    case OUTLOOK_HEART_NO_POWER:
        add_missing(outlook, "heart-no-power",
                    "Heart rate can't be foretold: it follows power, and no watts are asked.");
        break;
    }
}

void words_outlook_fill(struct arena *arena, struct session_outlook *outlook,
                        const struct expected_rider *rider, const struct limits *limits)
{
    outlook->heading = outlook->is_past ? "What it was expected to bring" : "What it would bring";
    outlook->text = brings(arena, outlook, rider);
    warn_of_w_prime(arena, outlook, rider);
    if (outlook->heart == OUTLOOK_HEART_TOLD) {
        add(outlook->warnings, &outlook->n_warnings, "reads-low",
            outlook->is_past ? words_read_low_then(arena, &outlook->expected)
                             : words_reads_low(arena, &outlook->expected));
    }
    miss_watts(arena, outlook);
    miss_w_prime(outlook, rider);
    miss_heart(arena, outlook, rider, limits);
}

const char *words_outlook_minutes(struct arena *arena, const struct session_outlook *outlook)
{
    const struct expected *expected = &outlook->expected;
    struct text out = text_begin(arena, TEXT_MOST);
    if (outlook->heart != OUTLOOK_HEART_TOLD) {
        return NULL;
    }
    text_add(&out, "Expected heart rate, minute by minute:");
    for (size_t i = 0; i < expected->n_minutes; i++) {
        const double bpm = expected->minutes[i].heart_bpm;
        text_add(&out, isnan(bpm) ? " \u2013" : arena_format(arena, " %.0f", bpm));
    }
    text_add(&out, ".");
    return out.bytes;
}

char *words_outlook_old(struct arena *arena, int64_t known_day, int64_t days, bool is_past)
{
    return arena_format(
        arena,
        "The newest ride on file%s is of %s, %lld days before it: these numbers may "
        "no longer %s.",
        is_past ? " from before" : "", words_day(arena, known_day), (long long)days,
        is_past ? "have held" : "hold");
}
