/* coaching/words/record_words.c: what the program's record on a roster says. */
#include "coaching/words/record_words.h"

#include "coaching/words/rider_words.h"

#include <math.h>

/* One template for all: "Of N <these>, <agreed> in A and <against> in B[; C were <between>]". */
struct claim_words {
    const char *these;
    const char *agreed;
    const char *against;
    const char *between; /* NULL = there is nothing between */
};

static struct claim_words words_of(struct arena *arena, enum record_claim claim,
                                   const struct limits *limits)
{
    static const char on_the_line[] = "on the line";
    const double next_days = limits->value[LIMIT_STATE_OLD_DAYS];
    const char *effort =
        arena_format(arena, "effort was %.0f of 10 or more", limits->value[LIMIT_HARD_DAY_EFFORT]);
    const char *noted =
        arena_format(arena, "illness, heat, bad sleep or bad legs were noted within %.0f days",
                     limits->value[LIMIT_RECORD_NOTE_DAYS]);
    const char *passed = arena_format(arena, "the next within %.0f days passed too", next_days);
    const char *failed =
        arena_format(arena, "the next within %.0f days did not pass either", next_days);
    const struct claim_words rows[RECORD_CLAIMS] = {
        [RECORD_BASE_PASSED] = { "base tests passed", passed, "did not pass", on_the_line },
        [RECORD_BASE_NOT_PASSED] = { "base tests not passed", failed,
                                     "passed, as it may after training,", on_the_line },
        [RECORD_BETTER] = { "times that progress was better",
                            "the same span after was better than before the gain too", "was lower",
                            "without clear change" },
        [RECORD_HARD_DONE] = { "hard sessions done", "the next was done too", "was not",
                               on_the_line },
        [RECORD_HARD_TOO_HARD] = { "hard sessions started too hard or faded", "the next was so too",
                                   "was not", on_the_line },
        [RECORD_HARD_FELT] = { "hard sessions done that the rider rated", effort, "less", NULL },
        [RECORD_TODAY_UNUSUAL] = { "days with a heart rate off usual", noted, "nothing", NULL },
        [RECORD_TODAY_USUAL] = { "days with a heart rate as usual", noted, "nothing", NULL },
    };
    return rows[claim];
}

char *words_record_row(struct arena *arena, enum record_claim claim, const struct record_row *row,
                       const struct limits *limits)
{
    const struct claim_words words = words_of(arena, claim, limits);
    const size_t clear = row->agreed + row->against;
    const char *between = words.between == NULL || row->between == 0
                              ? ""
                              : arena_format(arena, "; %zu %s %s", row->between,
                                             row->between == 1 ? "was" : "were", words.between);
    const char *counts =
        row->of == 0
            ? ""
            : arena_format(arena, "Of %zu %s, %s in %zu and %s in %zu%s. ", row->of, words.these,
                           words.agreed, row->agreed, words.against, row->against, between);
    if (!row->is_enough) {
        return arena_format(arena, "%sToo few to tell%s%s: %zu clear %s, %.0f are needed.", counts,
                            row->of == 0 ? ", of " : "", row->of == 0 ? words.these : "", clear,
                            clear == 1 ? "case" : "cases", limits->value[LIMIT_RECORD_LEAST]);
    }
    return arena_format(arena, "%sThat is %.0f %%%s (likely %.0f to %.0f).", counts,
                        100.0 * (double)row->agreed / (double)clear,
                        row->between == 0 ? "" : " of the clear ones", row->low_pct, row->high_pct);
}

char *words_drift_repeat(struct arena *arena, const struct drift_repeat *repeat,
                         const struct limits *limits)
{
    const char *worth = arena_format(arena,
                                     "With a usual rise just on the line one test then passes "
                                     "about %.0f times in 100, two running about %.0f.",
                                     repeat->pass_pct, repeat->twice_pct);
    if (!repeat->is_own) {
        return arena_format(arena,
                            "How a base test repeats is assumed: the rise scatters by %.0f beats "
                            "from day to day. Nobody has published it, and this roster holds %zu "
                            "of the %.0f repeat pairs that would tell. %s",
                            repeat->sd_bpm, repeat->n_pairs, limits->value[LIMIT_REPEAT_PAIRS],
                            worth);
    }
    return arena_format(arena,
                        "From one base test to the next of a rider the rise scatters by %.1f beats "
                        "(likely %.1f to %.1f), by %zu repeat pairs of %zu riders: mixed model "
                        "with an intercept a stretch of tests, REML, chi-square "
                        "interval. Within a stretch it changed by %+.1f beats a week (likely "
                        "%+.1f to %+.1f; Satterthwaite's t). %s",
                        repeat->sd_bpm, repeat->low_bpm, repeat->high_bpm, repeat->n_pairs,
                        repeat->n_riders, repeat->trend_bpm, repeat->trend_low_bpm,
                        repeat->trend_high_bpm, worth);
}

const char *words_record_worth(void)
{
    return "What came next is all there is to hold a verdict against: a pass that the next test "
           "doesn't repeat may have been wrong, or the day bad, or the rider changed. The counts "
           "say what weight the next verdict deserves, with the readings as they stand today.";
}

char *words_record_head(struct arena *arena, const struct record *record)
{
    if (record->n_rides == 0) {
        return arena_string(arena, "There are no rides yet: nothing to hold verdicts against.");
    }
    return arena_format(arena,
                        "What the next ride said of the program's verdicts: %zu rider%s, "
                        "%zu activities, %s to %s.",
                        record->n_riders, record->n_riders == 1 ? "" : "s", record->n_rides,
                        words_day(arena, record->first_day), words_day(arena, record->last_day));
}
