/* coaching/words/response_words.c: what the figures of response and power say in words. */
#include "coaching/words/response_words.h"

#include "coaching/words/words.h"

#include <math.h>

char *words_cell(struct arena *arena, double value, int decimals)
{
    const double scale = pow(10.0, decimals);
    return isfinite(value)
               ? arena_format(arena, "%.*f", decimals, round(value * scale) / scale + 0.0)
               : arena_string(arena, "–");
}

char *words_signed(struct arena *arena, double value)
{
    const double whole = round(value);
    return !isfinite(value) ? arena_string(arena, "–")
           : whole > 0.0    ? arena_format(arena, "+%.0f", whole)
           : whole < 0.0    ? arena_format(arena, "−%.0f", -whole)
                            : arena_string(arena, "0");
}

/* ---- heart rate over a ride ---- */

char *words_heart_figure(struct arena *arena, double seconds)
{
    return arena_format(arena,
                        "Power, under it heart rate with what this power usually brings, under "
                        "that the difference of the two, over %s.",
                        words_duration(arena, seconds));
}

const char *words_heart_band(void)
{
    return "Pale: what this power brings on 9 usual days in 10. The lowest panel is what was "
           "measured less the middle of it: at the line heart rate ran as usual.";
}

const char *words_heart_nothing_expected(void)
{
    return "What is usual isn't known, so heart rate stands beside power alone.";
}

/* ---- over weeks ---- */

char *words_usual_days(struct arena *arena, size_t n, size_t n_beyond, double line_bpm)
{
    return arena_format(arena,
                        "Heart rate against usual in %zu %s, with the mean power of each: %zu "
                        "beyond %.0f beats, the line of unusual.",
                        n, n == 1 ? "ride" : "rides", n_beyond, line_bpm);
}

const char *words_usual_nothing(void)
{
    return "No ride yet that could be held against usual.";
}

const char *words_usual_above(void)
{
    return "▴ unusual";
}

const char *words_usual_below(void)
{
    return "▾ unusual";
}

const char *words_usual_dot(bool with_line)
{
    return with_line
               ? "dot: a ride, against what the others show; line: likely range, 9 times in 10"
               : "dot: a ride, against what the others show; its likely range is no larger";
}

const char *words_usual_hatched(void)
{
    return "hatched: ill, injured, or no rides";
}

const char *words_day_ill(void)
{
    return "ill";
}

const char *words_day_injured(void)
{
    return "injured";
}

const char *words_day_break(void)
{
    return "no rides";
}

/* ---- power and duration ---- */

char *words_durations_figure(struct arena *arena, size_t n_efforts, bool is_known)
{
    return arena_format(arena, "Mean power against duration of %zu all-out %s%s.", n_efforts,
                        n_efforts == 1 ? "effort" : "efforts",
                        is_known ? ", with the forms fitted to them and their range"
                                 : "; nothing could be fitted to them");
}

char *words_form(struct arena *arena, const char *form, double cp_w, double w_prime_j, bool decides)
{
    return arena_format(arena, "%s%s: %.0f W and %.1f kJ", form, decides ? ", which decides" : "",
                        cp_w, w_prime_j / 1000.0);
}

char *words_critical_mark(struct arena *arena, double cp_w, double low_w, double high_w)
{
    return arena_format(arena, "critical power %.0f W (likely %.0f to %.0f)", cp_w, low_w, high_w);
}

const char *words_forms_band(void)
{
    return "tinted: what the forms and their likely ranges span, paler where no effort was";
}

const char *words_effort_dot(void)
{
    return "dot: an all-out effort";
}

/* ---- W' left ---- */

char *words_left_figure(struct arena *arena, double least_j, double low_j, double high_j,
                        double at_s)
{
    return arena_format(arena,
                        "Power, and under it what was left of the work above critical power: "
                        "least about %.1f kJ (the forms span %.1f to %.1f) at %s.",
                        least_j / 1000.0, low_j / 1000.0, high_j / 1000.0,
                        words_clock(arena, (int32_t)at_s));
}

const char *words_left_band(void)
{
    return "Tinted: what both forms of recovery span, with critical power and W' at the ends of "
           "their likely ranges; line: the middle. Read all of it as \"about\".";
}

const char *words_left_wrong(void)
{
    return "Below nought even at the highest: critical power or W' is set wrong. It says nothing "
           "about the rider.";
}

const char *words_left_nothing(void)
{
    return "What was left of W' can't be told for this ride.";
}

const char *words_left_why(enum balance_end end)
{
    switch (end) {
    case BALANCE_KNOWN: break;
    case BALANCE_NO_CURVE:
        return "Can't tell what was left of W': no critical power was known before this ride.";
    case BALANCE_NO_POWER: return "Can't tell what was left of W': no power was recorded.";
    case BALANCE_GAPS:
        return "Can't tell what was left of W': too much of the ride's power is unknown.";
    }
    return NULL;
}

char *words_critical_target(struct arena *arena, double cp_w)
{
    return arena_format(arena, "critical power %.0f W", cp_w);
}

/* ---- the same session twice ---- */

const char *words_ridden_to(bool heart)
{
    return heart ? "Ridden to heart rate" : "Ridden to power";
}

char *words_teaching_ride(struct arena *arena, double mean_w, double in_target_s, double at_90_s,
                          double least_j)
{
    return arena_format(arena,
                        "Efforts of %.0f W on average, %s of them in the target range; %s at 90 %% "
                        "of maximal heart rate or above; W' least about %s kJ.",
                        mean_w, words_duration(arena, in_target_s), words_duration(arena, at_90_s),
                        words_cell(arena, least_j / 1000.0, 1));
}

char *words_teaching_target(struct arena *arena, double value, bool heart)
{
    return heart ? arena_format(arena, "asked: %.0f beats", value)
                 : arena_format(arena, "asked: %.0f W", value);
}

char *words_teaching_beside(struct arena *arena, double value_w)
{
    return arena_format(arena, "%.0f W, as above", value_w);
}

const char *words_teaching_simulated(void)
{
    return "Simulated with this rider's numbers on a usual day: a picture of how it comes about, "
           "not a forecast.";
}

const char *words_teaching_nothing(void)
{
    return "The comparison can't be drawn: the rider's numbers for it aren't known.";
}
