/* coaching/words/figure_words.c: what figures say in words. */
#include "coaching/words/figure_words.h"

#include "coaching/words/rider_words.h"
#include "coaching/words/words.h"
#include "physiology/effort.h"

#include <math.h>

const char *words_no_power(void)
{
    return "No power was recorded: heart rate alone doesn't say what work was done.";
}

const char *words_no_heart_rate(void)
{
    return "No heart rate was recorded.";
}

const char *words_no_traces(void)
{
    return "Neither power nor heart rate was recorded.";
}

const char *words_no_reps(void)
{
    return "No reps were found in this ride.";
}

char *words_traces(struct arena *arena, bool has_power, bool has_heart_rate, double seconds)
{
    const char *what = has_power && has_heart_rate ? "Power, and heart rate under it,"
                       : has_power                 ? "Power"
                       : has_heart_rate            ? "Heart rate"
                                                   : "No power and no heart rate";
    return arena_format(arena, "%s over %s.", what, words_duration(arena, seconds));
}

char *words_hatched(struct arena *arena, const char *channel)
{
    return arena_format(arena, "Hatched in %s", channel);
}

char *words_tinted(struct arena *arena, const char *channel)
{
    return arena_format(arena, "Tinted in %s", channel);
}

char *words_masked(struct arena *arena, const char *what, int32_t first_s, int places)
{
    if (places == 1) {
        return arena_format(arena, "%s at %s", what, words_clock(arena, first_s));
    }
    return arena_format(arena, "%s (%d places)", what, places);
}

char *words_rep_rows(struct arena *arena, int n_reps)
{
    return n_reps == 1 ? arena_string(arena, "One rep against its target range.")
                       : arena_format(arena, "%d reps against their target range.", n_reps);
}

char *words_reps_grouped(struct arena *arena, int n_reps)
{
    return arena_format(arena,
                        "%d reps. Neighbours with the same verdict share a row, drawn one over "
                        "the other.",
                        n_reps);
}

char *words_ladder(struct arena *arena, int n_durations, bool compared)
{
    return arena_format(arena, "Best power over %d durations, from short to long%s.", n_durations,
                        compared ? ", and how it changed" : "");
}

char *words_days(struct arena *arena, int64_t from, int64_t to)
{
    return to - from <= 1
               ? words_day(arena, from)
               : arena_format(arena, "%s to %s", words_day(arena, from), words_day(arena, to - 1));
}

char *words_ranges(struct arena *arena, int64_t from, int64_t to, int64_t before_from,
                   int64_t before_to)
{
    return arena_format(arena, "%s, against %s", words_days(arena, from, to),
                        words_days(arena, before_from, before_to));
}

char *words_best_place(struct arena *arena, const char *day, bool race, unsigned evidence)
{
    const char *by = (evidence & EFFORT_MARKED) != 0  ? (race ? ", a race" : ", a test")
                     : (evidence & EFFORT_HEART) != 0 ? ", all-out by heart rate"
                     : (evidence & EFFORT_FADED) != 0 ? ", all-out and fading"
                                                      : "";
    return arena_format(arena, "%s%s", day, by);
}

const char *words_not_tested(bool whole)
{
    return whole ? "not tested: nothing near all-out in these days" : "not tested";
}

char *words_few_all_out(struct arena *arena, size_t before, size_t recent)
{
    return arena_format(arena, "can't tell: %zu all-out before, %zu now", before, recent);
}

const char *words_none_so_long(void)
{
    return "none ridden so long";
}

const char *words_no_bests(void)
{
    return "No ride with power in these days.";
}

const char *words_likely_bar(void)
{
    return "bar: likely range, 9 times in 10";
}

char *words_base_tests(struct arena *arena, size_t n, size_t judged, double line_bpm)
{
    const char *tests = n == 1 ? "One base test" : arena_format(arena, "%zu base tests", n);
    const char *rest =
        judged < n ? arena_format(arena, ", %zu of them not judged", n - judged) : "";
    return arena_format(arena, "%s over time, against the line of %s beats%s.", tests,
                        words_whole(arena, line_bpm), rest);
}

const char *words_no_base_tests(void)
{
    return "No base test in these days.";
}

const char *words_not_judged(void)
{
    return "couldn't be judged";
}

const char *words_spoiled(void)
{
    return "spoiled";
}

const char *words_likely_change(bool with_bar)
{
    return with_bar ? "bar, and in brackets: likely range, 9 times in 10"
                    : "in brackets: likely range, 9 times in 10";
}

const char *words_beats_over_the_hour(void)
{
    return "beats that heart rate rose in the hour";
}

char *words_threshold(struct arena *arena, double power_w, bool is_first)
{
    return arena_format(arena, "%s%s W", is_first ? "threshold " : "", words_whole(arena, power_w));
}

char *words_week_load(struct arena *arena, size_t n_weeks)
{
    return arena_format(arena,
                        "Hours of %zu %s, with hard days, days off, and the line beyond which a "
                        "week is a jump.",
                        n_weeks, n_weeks == 1 ? "week" : "weeks");
}

const char *words_no_rides(void)
{
    return "No ride in these weeks.";
}

char *words_week(struct arena *arena, bool is_over, size_t n_rides, size_t n_with_power)
{
    const char *so_far = is_over ? "" : "so far";
    if (n_rides == 0) {
        return arena_string(arena, is_over ? "no ride" : "no ride so far");
    }
    if (n_with_power == n_rides) {
        return is_over ? NULL : arena_string(arena, so_far);
    }
    const char *missing = n_with_power == 0 && n_rides > 1 ? "no power in any ride"
                          : n_rides == 1                   ? "no power in its ride"
                                         : arena_format(arena, "no power in %zu of %zu rides",
                                                        n_rides - n_with_power, n_rides);
    return arena_format(arena, "%s%s%s", so_far, is_over ? "" : "; ", missing);
}

const char *words_week_of(void)
{
    return "week of";
}

const char *words_hard_days(bool whole)
{
    return whole ? "hard days" : "hard";
}

const char *words_days_off(bool whole)
{
    return whole ? "days off" : "off";
}

const char *words_jump_side(bool right)
{
    return right ? "▸ week jump" : "week jump ▸";
}

const char *words_hours_scale(void)
{
    return "bars: hours ridden";
}

const char *words_jump_line(void)
{
    return "line: more hours than this are a week jump";
}

const char *words_no_jump_line(void)
{
    return "no line of a week jump: too few usual weeks before";
}

const char *words_hollow_week(void)
{
    return "open bar: the week isn't over";
}

char *words_power_curves(struct arena *arena, const char *days, const char *against)
{
    return arena_format(arena, "Greatest mean power against how long it was held, %s%s%s.", days,
                        against == NULL ? "" : ", against ", against == NULL ? "" : against);
}
