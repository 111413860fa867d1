/* coaching/words/power_words.c: critical power and heart response in sentences. */
#include "coaching/words/power_words.h"

#include "coaching/words/rider_words.h"
#include "coaching/words/words.h"

#include <math.h>

static char *weeks_of(struct arena *arena, double days)
{
    return arena_format(arena, "%.0f weeks", days / 7.0);
}

/* What would tell, whatever was missing: the library's test-efforts.  A lone effort of less than 4
 * minutes is taken for the road, so none is asked for. */
static const char *TESTS =
    "Efforts of about 4, 7 and 12 minutes, each all-out, with half an hour's "
    "rest between them or on days of their own, would tell; they are "
    "maximal, so the questions before hard work come first.";

/* "0 efforts of 2 to 21 minutes ... with evidence of being all-out; 3 are needed ..." */
static char *too_few(struct arena *arena, const struct rider_power *power,
                     const struct limits *limits)
{
    const double *v = limits->value;
    return arena_format(
        arena,
        "%s of %.0f to %.0f minutes in the last %s with evidence of being all-out; %.0f are needed "
        "that share no second.",
        power->curve.n == 1 ? "one effort" : arena_format(arena, "%zu efforts", power->curve.n),
        v[LIMIT_TEST_MANY_LEAST_S] / 60.0, v[LIMIT_TEST_MANY_MOST_S] / 60.0,
        weeks_of(arena, v[LIMIT_CP_WINDOW_DAYS]), v[LIMIT_CP_EFFORTS]);
}

static char *refusal(struct arena *arena, const struct rider_power *power,
                     const struct limits *limits)
{
    const double *v = limits->value;
    switch (power->curve.end) {
    case DURATION_KNOWN: break;
    case DURATION_TOO_FEW:
        return arena_format(arena, "Can't tell: %s %s", too_few(arena, power, limits), TESTS);
    case DURATION_NOT_MAXIMAL:
        return arena_format(arena,
                            "Can't tell: %s %zu more in rides marked as tests didn't bring heart "
                            "rate near maximal, or were ridden as hard a second time: something "
                            "was kept back. %s",
                            too_few(arena, power, limits), power->n_held_back, TESTS);
    case DURATION_OVERLAP:
        return arena_format(arena, "Can't tell: two of the efforts share seconds of one ride. %s",
                            TESTS);
    case DURATION_TOO_SHORT:
        return arena_format(arena,
                            "Can't tell: the longest all-out effort lasted %s; without one of 12 "
                            "minutes or more critical power comes out too high. %s",
                            words_duration(arena, power->curve.longest_s), TESTS);
    case DURATION_TOO_ALIKE:
        return arena_format(arena,
                            "Can't tell: the efforts are too much of one length (%s to %s). %s",
                            words_duration(arena, power->curve.shortest_s),
                            words_duration(arena, power->curve.longest_s), TESTS);
    case DURATION_TOO_WIDE:
        return arena_format(arena, "Can't tell: more than %s lie between the efforts. %s",
                            weeks_of(arena, v[LIMIT_CP_WINDOW_DAYS]), TESTS);
    case DURATION_NOT_FALLING:
        return arena_format(
            arena,
            "Can't tell: the longer efforts aren't weaker than the shorter ones, so "
            "some weren't all-out. %s",
            TESTS);
    case DURATION_NOT_TOLD:
        return arena_format(arena,
                            "Can't tell: power hardly falls from the short efforts to the long "
                            "ones, less than it scatters. %s",
                            TESTS);
    }
    return arena_string(arena, "Can't tell.");
}

char *words_critical_power(struct arena *arena, const struct rider_power *power,
                           const struct limits *limits)
{
    const struct power_duration *curve = &power->curve;
    if (curve->end != DURATION_KNOWN) {
        return refusal(arena, power, limits);
    }
    if (power->is_all_out) {
        return arena_format(arena,
                            "Critical power about %.0f W (likely %.0f to %.0f), and about %.0f kJ "
                            "above it (likely %.0f to %.0f), from the 3-minute all-out test of %s. "
                            "Efforts of several lengths would make it surer.",
                            curve->cp_w, curve->cp_low_w, curve->cp_high_w,
                            curve->w_prime_j / 1000.0, curve->w_prime_low_j / 1000.0,
                            curve->w_prime_high_j / 1000.0, words_day(arena, curve->last_day));
    }
    const char *days = words_day(arena, curve->last_day);
    if (curve->first_day < curve->last_day) {
        days = arena_format(arena, "%s to %s", words_day(arena, curve->first_day), days);
    }
    return arena_format(arena,
                        "Critical power about %.0f W (likely %.0f to %.0f), and about %.0f kJ "
                        "above it (likely %.0f to %.0f), from %zu all-out efforts of %s to %s, %s.",
                        curve->cp_w, curve->cp_low_w, curve->cp_high_w, curve->w_prime_j / 1000.0,
                        curve->w_prime_low_j / 1000.0, curve->w_prime_high_j / 1000.0, curve->n,
                        words_duration(arena, curve->shortest_s),
                        words_duration(arena, curve->longest_s), days);
}

static char *lack_of(struct arena *arena, enum duration_form form, const struct duration_fit *fit,
                     const struct limits *limits)
{
    const char *shortest = words_duration(arena, limits->value[LIMIT_CP_PEAK_S]);
    switch (fit->lack) {
    case DURATION_LACKS_NOTHING: break;
    case DURATION_LACKS_EFFORTS:
        return arena_format(
            arena, "it takes %zu all-out efforts of different length%s, and there %s %zu",
            duration_form_least(form),
            form == DURATION_PEAK ? arena_format(arena, ", one of them of %s or less", shortest)
                                  : "",
            fit->n == 1 ? "is" : "are", fit->n);
    case DURATION_LACKS_SHORT:
        return arena_format(arena,
                            "none of the %zu all-out efforts lasts %s or less, so that nothing "
                            "tells the highest power",
                            fit->n, shortest);
    case DURATION_LACKS_FALL:
        return arena_string(arena, "the longer efforts aren't weaker than the shorter ones");
    case DURATION_LACKS_END:
        return arena_format(arena, "the %zu efforts don't settle on one answer", fit->n);
    case DURATION_LACKS_CRITICAL:
        return arena_format(arena,
                            "the %zu efforts fit best with a critical power that can't be: nought, "
                            "or as high as the weakest of them",
                            fit->n);
    case DURATION_LACKS_BEND:
        return arena_format(
            arena, "the short ones of the %zu efforts don't bend towards a highest power", fit->n);
    }
    return NULL;
}

char *words_form_lack(struct arena *arena, enum duration_form form, const struct duration_fit *fit,
                      const struct limits *limits)
{
    const char *why = lack_of(arena, form, fit, limits);
    return why == NULL ? NULL
                       : arena_format(arena, "The form \"%s\" isn't fitted: %s.",
                                      duration_form_name(form), why);
}

char *words_critical_and_threshold(struct arena *arena, double threshold_w)
{
    return isnan(threshold_w)
               ? arena_string(arena, "It isn't threshold, and isn't turned into it.")
               : arena_format(arena,
                              "It isn't threshold (%.0f W on file): critical power usually comes "
                              "out some watts above it, and neither is turned into the other.",
                              threshold_w);
}

char *words_ride_balance(struct arena *arena, const struct ride_balance *balance)
{
    const struct w_balance *trace = &balance->trace;
    switch (balance->end) {
    case BALANCE_KNOWN: break;
    case BALANCE_NO_CURVE:
        return arena_string(arena, "Work above critical power isn't told: before this day critical "
                                   "power wasn't known.");
    case BALANCE_NO_POWER:
        return arena_string(arena, "Work above critical power isn't told: this ride has no power.");
    case BALANCE_GAPS:
        return arena_string(arena, "Work above critical power isn't told: too much of this ride's "
                                   "power is missing.");
    }
    if (trace->is_wrong) {
        return arena_string(arena, "By the numbers on file more work above critical power was done "
                                   "than there is, so critical power or the work above it is out "
                                   "of date: a new test would tell. It says nothing of the rider.");
    }
    return arena_format(
        arena,
        "Of about %.0f kJ above critical power about %.0f were left at the least, at %s: %.0f "
        "to %.0f by two ways of counting what comes back and the doubt in the numbers.",
        balance->rider.w_prime_j / 1000.0, fmax(trace->least_j, 0.0) / 1000.0,
        words_clock(arena, trace->least_at_s), fmax(trace->least_low_j, 0.0) / 1000.0,
        fmax(trace->least_high_j, 0.0) / 1000.0);
}

/* ---- the heart ---- */

static char *no_response(struct arena *arena, const struct heart_response *response,
                         const struct limits *limits)
{
    switch (response->end) {
    case RESPONSE_FITTED: break;
    case RESPONSE_TOO_FEW:
        return arena_format(arena,
                            "Can't tell what is usual: fewer than %.0f rides of the last %.0f days "
                            "hold %s of power and heart rate that can be trusted.",
                            limits->value[LIMIT_RESPONSE_RIDES],
                            limits->value[LIMIT_RESPONSE_WINDOW_DAYS],
                            words_duration(arena, limits->value[LIMIT_RESPONSE_RIDE_S]));
    case RESPONSE_TOO_EVEN:
        return arena_string(arena, "Can't tell what is usual: power hardly changed in these rides, "
                                   "so how heart rate answers it doesn't show.");
    case RESPONSE_NO_THRESHOLD:
        return arena_string(arena, "Can't tell what is usual: no threshold is on file.");
    case RESPONSE_ABSURD:
        return arena_string(arena,
                            "Can't tell what is usual: heart rate doesn't rise with power as "
                            "a heart does. Look at the strap first.");
    }
    return arena_string(arena, "Can't tell what is usual.");
}

char *words_heart_response(struct arena *arena, const struct heart_response *response,
                           const struct limits *limits)
{
    if (response->end != RESPONSE_FITTED) {
        return no_response(arena, response, limits);
    }
    return arena_format(
        arena,
        "Heart rate rises by about %.0f beats for 100 W (likely %.0f to %.0f), about %.0f s late, "
        "and by about %.0f for each hour at threshold; from day to day it lies within %.0f beats "
        "of usual two days in three. From %zu rides, %s to %s; on a ride that it hasn't seen it is "
        "off by about %.0f beats.",
        100.0 * response->gain_bpm_per_w, 100.0 * response->gain_low, 100.0 * response->gain_high,
        response->tau_s + response->dead_s, response->drift_bpm_per_h, response->day_sd_bpm,
        response->n_rides, words_day(arena, response->first_day),
        words_day(arena, response->last_day), response->error_bpm);
}

const char *words_heart_withheld(void)
{
    return "Not read: under a medicine that alters heart rate, or in pregnancy, heart rate says "
           "other things than it does otherwise. Go by feel and by medical advice.";
}
