/* tests/physiology/test_bests.c: bests, and what unknown seconds do to them. */
#include "check.h"

#include "maths/random.h"
#include "physiology/bests.h"

#include <string.h>

/* A recording of power alone, from one letter a second in `what`: '.' usable, 'p' paused, 'P'
 * paused though the mask doesn't say so, 'a' absent, 'd' dropout, 's' spike, 'k' stuck, 'b'
 * bridged. */
static struct recording *ride(struct arena *arena, const int32_t power[], const char *what)
{
    struct recording *recording = ARENA_ARRAY(arena, struct recording, 1);
    const size_t n = strlen(what);
    recording->n_seconds = n;
    recording->value[CHANNEL_POWER] = arena_copy(arena, power, n * sizeof power[0]);
    recording->mask[CHANNEL_POWER] = ARENA_ARRAY(arena, uint8_t, n);
    recording->paused = ARENA_ARRAY(arena, uint8_t, n);
    for (size_t i = 0; i < n; i++) {
        uint8_t *mask = &recording->mask[CHANNEL_POWER][i];
        switch (what[i]) {
        case 'p': *mask = MASK_PAUSED; break;
        case 'a': *mask = MASK_ABSENT; break;
        case 'd': *mask = MASK_DROPOUT; break;
        case 's': *mask = MASK_SPIKE; break;
        case 'k': *mask = MASK_STUCK; break;
        case 'b': *mask = MASK_BRIDGED; break;
        default: break;
        }
        recording->paused[i] = what[i] == 'p' || what[i] == 'P' ? 1 : 0;
        if (what[i] == 'a') {
            recording->value[CHANNEL_POWER][i] = RECORDING_MISSING;
        }
    }
    return recording;
}

/* By hand. */
static void test_bests__pauses_and_masked_seconds_count_as_zero(void **state)
{
    (void)state;
    static const struct {
        const char *what;
        int32_t power[8];
        double want_w[8]; /* of 1, 2, ... seconds */
        int32_t start_s[8];
    } rows[] = {
        { "....", { 100, 300, 200, 100 }, { 300, 250, 200, 175 }, { 1, 1, 0, 0 } },
        { ".pp.", { 100, 900, 900, 100 }, { 100, 50, 100.0 / 3, 50 }, { 0, 0, 0, 0 } },
        { ".pP.", { 100, 900, 900, 100 }, { 100, 50, 100.0 / 3, 50 }, { 0, 0, 0, 0 } },
        { ".ss.", { 100, 9000, 9000, 200 }, { 200, 100, 200.0 / 3, 75 }, { 3, 2, 1, 0 } },
        { ".aa.", { 100, 0, 0, 200 }, { 200, 100, 200.0 / 3, 75 }, { 3, 2, 1, 0 } },
        { ".bk.", { 100, 150, 150, 200 }, { 200, 125, 350.0 / 3, 112.5 }, { 3, 0, 1, 0 } },
    };
    struct arena *arena = arena_open();
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct bests bests = bests_all(arena, ride(arena, rows[i].power, rows[i].what));
        check_integer(rows[i].what, (int64_t)bests.count, 4);
        for (size_t d = 0; d < 4; d++) {
            check_integer(rows[i].what, bests.items[d].duration_s, (int64_t)d + 1);
            check_near(rows[i].what, bests.items[d].power_w, rows[i].want_w[d], 1e-12);
            check_integer(rows[i].what, bests.items[d].start_s, rows[i].start_s[d]);
        }
    }
    arena_close(arena);
}

/* By hand: '1' where it must be marked, by duration. */
static void test_bests__unknown_seconds_mark_what_they_could_lift(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        const char *what;
        int32_t power[10];
        const char *at_least;
        const char *touches;
    } rows[] = {
        { "all known", "..........", { 9, 9, 9, 9, 1, 1, 1, 1, 1, 1 }, "0000000000", "0000000000" },
        { "a pause isn't unknown",
          "....pp....",
          { 9, 9, 9, 9, 1, 1, 1, 1, 1, 1 },
          "0000000000",
          "0000000000" },
        /* 10 W at most in second 6: of 5 seconds 30 against 37, of 6 seconds 39 against 38. */
        { "one second far from the best",
          "......d...",
          { 9, 9, 9, 9, 1, 1, 1, 1, 1, 1 },
          "1000011111",
          "0000001111" },
        /* The same second beside the best ones: every window may take it in. */
        { "one second within the best",
          "..d.......",
          { 9, 9, 9, 9, 1, 1, 1, 1, 1, 1 },
          "1111111111",
          "0011111111" },
        { "bridged is known",
          "..b.......",
          { 9, 9, 9, 9, 1, 1, 1, 1, 1, 1 },
          "0000000000",
          "0000000000" },
    };
    struct arena *arena = arena_open();
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct bests bests = bests_all(arena, ride(arena, rows[i].power, rows[i].what));
        char at_least[11] = { 0 };
        char touches[11] = { 0 };
        for (size_t d = 0; d < bests.count; d++) {
            at_least[d] = bests.items[d].at_least ? '1' : '0';
            touches[d] = bests.items[d].touches_mask ? '1' : '0';
        }
        check_text(rows[i].name, at_least, rows[i].at_least);
        check_text(rows[i].name, touches, rows[i].touches);
    }
    arena_close(arena);
}

/* The definition, tried out: put any power up to the hardest known second's (and a watt) in the
 * unknown seconds; no best that isn't "at least" may rise. */
static void test_bests__what_is_not_at_least_stands_whatever_was_hidden(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct random random = random_begin(3);
    int sure = 0;
    int unsure = 0;
    for (int round = 0; round < 200; round++) {
        enum { N = 120 };
        int32_t power[N];
        char what[N + 1] = { 0 };
        int32_t hardest = 0;
        for (size_t i = 0; i < N; i++) {
            power[i] = (int32_t)random_below(&random, i > 60 && i < 80 ? 400 : 200);
            what[i] = random_below(&random, 40) == 0 ? 'd' : '.';
            hardest = what[i] == '.' && power[i] > hardest ? power[i] : hardest;
        }
        const struct bests before = bests_all(arena, ride(arena, power, what));
        for (int guess = 0; guess < 5; guess++) {
            for (size_t i = 0; i < N; i++) {
                power[i] = what[i] == 'd' ? (int32_t)random_below(&random, (uint64_t)hardest + 2)
                                          : power[i];
            }
            char known[N + 1] = { 0 };
            memset(known, '.', N);
            const struct bests after = bests_all(arena, ride(arena, power, known));
            for (size_t d = 0; d < N; d++) {
                check(after.items[d].power_w >= before.items[d].power_w);
                if (!before.items[d].at_least) {
                    check(after.items[d].power_w == before.items[d].power_w);
                }
                sure += before.items[d].at_least ? 0 : 1;
                unsure += before.items[d].at_least ? 1 : 0;
            }
        }
    }
    check(sure > 1000 && unsure > 1000);
    arena_close(arena);
}

static void test_bests__shown_durations_fit_the_recording_and_equal_the_whole_curve(void **state)
{
    (void)state;
    static const struct {
        size_t n;
        size_t count;
        int32_t longest_s;
    } rows[] = { { 1, 1, 1 },        { 9, 9, 9 },          { 14, 10, 10 },
                 { 15, 11, 15 },     { 3599, 21, 1800 },   { 3600, 22, 3600 },
                 { 7201, 23, 7200 }, { 11000, 24, 10800 }, { 20000, 24, 10800 } };
    struct random random = random_begin(4);
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        int32_t *power = ARENA_ARRAY(arena, int32_t, rows[i].n);
        char *what = ARENA_ARRAY(arena, char, rows[i].n + 1);
        for (size_t t = 0; t < rows[i].n; t++) {
            power[t] = (int32_t)random_below(&random, t / 600 % 3 == 1 ? 300 : 200);
            what[t] = t / 100 == 7 ? 'p' : t % 1000 == 3 ? 'd' : '.';
        }
        const struct recording *recording = ride(arena, power, what);
        const struct bests shown = bests_shown(arena, recording);
        const struct bests all = bests_all(arena, recording);
        check_integer("count", (int64_t)shown.count, (int64_t)rows[i].count);
        check_integer("all", (int64_t)all.count, (int64_t)rows[i].n);
        check_integer("longest", shown.items[shown.count - 1].duration_s, rows[i].longest_s);
        for (size_t k = 0; k < shown.count; k++) {
            const struct best *a = &shown.items[k];
            const struct best *b = &all.items[a->duration_s - 1];
            check(a->power_w == b->power_w && a->start_s == b->start_s);
            check(a->at_least == b->at_least && a->touches_mask == b->touches_mask);
        }
        arena_close(arena);
    }
}

static void test_bests__without_power_there_is_none(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const int32_t power[] = { 100, 100, 100 };
    struct recording *recording = ride(arena, power, "aaa");
    check_integer("nothing usable", (int64_t)bests_all(arena, recording).count, 0);
    check_integer("nothing usable", (int64_t)bests_shown(arena, recording).count, 0);
    recording->value[CHANNEL_POWER] = NULL;
    recording->mask[CHANNEL_POWER] = NULL;
    check_integer("no channel", (int64_t)bests_all(arena, recording).count, 0);
    const struct recording empty = { 0 };
    check_integer("empty", (int64_t)bests_shown(arena, &empty).count, 0);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_bests__pauses_and_masked_seconds_count_as_zero),
        cmocka_unit_test(test_bests__unknown_seconds_mark_what_they_could_lift),
        cmocka_unit_test(test_bests__what_is_not_at_least_stands_whatever_was_hidden),
        cmocka_unit_test(test_bests__shown_durations_fit_the_recording_and_equal_the_whole_curve),
        cmocka_unit_test(test_bests__without_power_there_is_none),
    };
    return cmocka_run_group_tests_name("bests", tests, NULL, NULL);
}
