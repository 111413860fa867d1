/* coaching/words/test_words.c: sentences about tests that were recognised. */
#include "coaching/words/test_words.h"

#include "coaching/words/words.h"

#include <math.h>
#include <string.h>

char *words_test_ridden(struct arena *arena, const struct protocol_test *test)
{
    const char *parts[TEST_EFFORTS];
    if (test->protocol == PROTOCOL_RAMP) {
        return arena_format(arena, "a best minute of %s W at the end of %s",
                            words_whole(arena, test->mean_w),
                            words_duration(arena, test->span.to_s - test->span.from_s));
    }
    if (test->protocol == PROTOCOL_ALL_OUT) {
        return arena_format(arena, "%s W in the last 30 s", words_whole(arena, test->mean_w));
    }
    for (size_t i = 0; i < test->n_efforts; i++) {
        const struct test_effort *effort = &test->efforts[i];
        parts[i] = arena_format(arena, "%s at %s W",
                                words_duration(arena, effort->span.to_s - effort->span.from_s),
                                words_whole(arena, effort->mean_w));
    }
    return words_list(arena, parts, test->n_efforts, " and ");
}

char *words_test_makes(struct arena *arena, const struct protocol_test *test)
{
    const struct ranged *w = &test->estimate_w;
    if (isnan(w->value)) {
        return NULL;
    }
    const bool is_critical = protocol_gives(test->protocol) == GIVES_CRITICAL_POWER;
    char *words = arena_format(
        arena, "%s %s W (likely %s to %s)", is_critical ? "critical power" : "threshold",
        words_whole(arena, w->value), words_whole(arena, w->low), words_whole(arena, w->high));
    return isnan(test->w_prime_kj) ? words
                                   : arena_format(arena, "%s, W' %.1f kJ", words, test->w_prime_kj);
}

char *words_test_reason(struct arena *arena, const struct test_reason *reason)
{
    const double value = reason->value;
    const double limit = reason->limit;
    const struct {
        const char *code;
        const char *words;
    } rows[] = {
        { "halves",
          arena_format(arena, "its halves differ by %.0f %% (%.0f at most)", value, limit) },
        { "second-weaker",
          arena_format(arena, "the second was %.0f %% of the first (%.0f at least)", value,
                       limit) },
        { "not-maximal",
          arena_format(arena, "heart rate ended at %.0f %% of maximal (%.0f at least)", value,
                       limit) },
        { "no-heart", "without heart rate nothing shows that it was all-out" },
        { "no-maximal", "maximal heart rate isn't known, so nothing shows that it was all-out" },
        { "uneven",
          limit < 1.0
              ? arena_format(arena, "its steps were uneven (r squared %.3f)", value)
              : arena_format(arena, "power scattered by %.0f %% (%.0f at most)", value, limit) },
        { "stopped", arena_format(arena, "the timer stood for %s", words_duration(arena, value)) },
        { "power-missing", arena_format(arena, "%.0f %% of its power can't be used", value) },
        { "spoiled", "the coach says that something spoiled it" },
        { "not-fitted", "its efforts don't tell critical power" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(rows[i].code, reason->code) == 0) {
            return arena_string(arena, rows[i].words);
        }
    }
    return arena_string(arena, reason->code);
}
