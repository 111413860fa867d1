/* coaching/words/figure_words.c: what figures say in words. */
#include "coaching/words/figure_words.h"

#include "coaching/words/words.h"

const char *words_no_power(void)
{
    return "No power was recorded: heart rate alone doesn't say what work was done.";
}

const char *words_no_heart_rate(void)
{
    return "No heart rate was recorded.";
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
