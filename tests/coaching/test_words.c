/* tests/coaching/test_words.c: how numbers and recordings are said.  Expected words by hand, from
 * the examples in coaching/words/words.h. */
#include "check.h"

#include "base/dates.h"
#include "coaching/session_library.h"
#include "coaching/words/kind_words.h"
#include "coaching/words/words.h"

#include <math.h>
#include <string.h>

static void test_words__durations_are_said_as_people_do(void **state)
{
    (void)state;
    static const struct {
        double seconds;
        const char *want;
    } rows[] = {
        { 0, "0 s" },           { 45, "45 s" },
        { 59.4, "59 s" },       { 60, "1 min" },
        { 75, "1 min 15 s" },   { 599, "9 min 59 s" },
        { 600, "10 min" },      { 3240, "54 min" },
        { 3569, "59 min" },     { 3570, "1 h" },
        { 5040, "1 h 24 min" }, { 7200, "2 h" },
        { 2199286, "25 days" }, { (double)NAN, "an unknown time" },
    };
    struct arena *arena = arena_open();
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_text(rows[i].want, words_duration(arena, rows[i].seconds), rows[i].want);
    }
    arena_close(arena);
}

static void test_words__clocks_and_ranges(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    check_text("minutes", words_clock(arena, 240), "4:00");
    check_text("hours", words_clock(arena, 3723), "1:02:03");
    check_text("range", words_likely(arena, 6.2, 4.4, 7.6), "6 (likely 4 to 8)");
    check_text("below 0", words_likely(arena, -0.3, -2.6, 1.0), "0 (likely -3 to 1)");
    check_text("no range", words_likely(arena, 6.2, (double)NAN, (double)NAN), "6");
    check_text("thousands", words_whole(arena, 47140.0), "47,140");
    check_text("a million", words_whole(arena, -1234567.0), "-1,234,567");
    check_text("small", words_whole(arena, 999.4), "999");
    check_text("unknown", words_whole(arena, (double)NAN), "unknown");
    static const char *const three[] = { "a", "b", "c" };
    check_text("list", words_list(arena, three, 3, " and "), "a, b and c");
    check_text("one", words_list(arena, three, 1, " and "), "a");
    arena_close(arena);
}

static void test_words__a_summary_says_what_the_recording_is(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    int32_t one = 0;
    struct recording ride = {
        .sport = SPORT_CYCLING,
        .is_ride = true,
        .place = PLACE_OUTDOORS,
        .parts = 1,
        .part = 1,
        .n_seconds = 5281,
        .timer_s = 4741,
        .n_pauses = 6,
        .has_start_utc = true,
        .start_utc = dates_utc_from_civil(&(struct civil){ 2026, 1, 18, 23, 30, 0 }),
        .has_utc_offset = true,
        .utc_offset_s = 3600,
    };
    ride.value[CHANNEL_POWER] = &one;
    ride.value[CHANNEL_HEART_RATE] = &one;
    check_text("outdoors", words_summary(arena, &ride),
               "Outdoor ride, 1 h 28 min on 19 January 2026, with power and heart rate; "
               "6 pauses (9 min).");
    ride.place = PLACE_UNKNOWN;
    ride.n_pauses = 0;
    ride.has_start_utc = false;
    ride.value[CHANNEL_HEART_RATE] = NULL;
    check_text("no heart rate", words_summary(arena, &ride),
               "Ride, 1 h 28 min, day unknown, with power, without heart rate.");
    ride.is_ride = false;
    ride.sport = SPORT_RUNNING;
    ride.part = 4;
    ride.parts = 4;
    ride.value[CHANNEL_POWER] = NULL;
    check_text("a run", words_summary(arena, &ride),
               "Run, 1 h 28 min, day unknown, without power or heart rate. Not a ride: nothing is "
               "read from it. Part 4 of 4 of the file.");
    arena_close(arena);
}

/* No name of a file or a command stands where people read. */
static void test_words__kinds_are_called_as_people_call_them(void **state)
{
    (void)state;
    check_text("of capitals", words_kind("vo2max"), "VO2max");
    check_text("short", words_kind("short-vo2max"), "short VO2max");
    check_text("its own word", words_kind("threshold"), "threshold");
    for (size_t i = 0; session_kinds[i] != NULL; i++) {
        const char *words = words_kind(session_kinds[i]);
        check(strstr(words, "vo2") == NULL && strstr(words, "base-") == NULL &&
              strstr(words, "sweet-") == NULL && strstr(words, "short-") == NULL);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_words__durations_are_said_as_people_do),
        cmocka_unit_test(test_words__clocks_and_ranges),
        cmocka_unit_test(test_words__kinds_are_called_as_people_call_them),
        cmocka_unit_test(test_words__a_summary_says_what_the_recording_is),
    };
    return cmocka_run_group_tests_name("words", tests, NULL, NULL);
}
