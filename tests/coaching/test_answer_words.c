/* Short lines beside a page's sentences, by day and count.  Weekdays: ISO 8601. */
#include "check.h"

#include "base/dates.h"
#include "coaching/words/answer_words.h"
#include "coaching/words/worth_words.h"
#include "physiology/effort.h"

#include <math.h>
#include <string.h>

static int64_t day(const char *text)
{
    return dates_day_number(text);
}

static void test_answer_words__when_is_said_as_people_say_it(void **state)
{
    static const struct {
        const char *day;
        const char *words;
    } rows[] = {
        { "2026-08-31", "today" },
        { "2026-08-30", "yesterday" },
        { "2026-08-29", "last Saturday" },
        { "2026-08-25", "last Tuesday" },
        { "2026-08-24", "24 August 2026" },
        { "2025-12-01", "1 December 2025" },
        { "2026-09-02", "2 September 2026" },
    };
    struct arena *arena = arena_open();
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_text(rows[i].day, words_when(arena, day(rows[i].day), day("2026-08-31")),
                   rows[i].words);
    }
    check_text("weekday", words_weekday_of(arena, day("2026-08-31")), "Monday 31 August 2026");
    check_text("last ride", words_last_ride(arena, day("2026-08-30"), day("2026-08-31"), 4931.0),
               "yesterday, 1 h 22 min");
    arena_close(arena);
}

static void test_answer_words__what_came_is_counted(void **state)
{
    static const struct {
        const char *looked;
        struct since_count count;
        const char *words;
    } rows[] = {
        { "2026-08-30", { 0, 0, 0 }, "since you looked yesterday: nothing new" },
        { "2026-08-28", { 1, 0, 0 }, "since you looked last Friday: 1 new ride" },
        { "2026-08-28",
          { 31, 2, 1 },
          "since you looked last Friday: 31 new rides, 2 files could not be read, 1 answer came "
          "back" },
        { "2026-08-20",
          { 0, 1, 2 },
          "since you looked on 20 August 2026: 1 file could not be read, 2 answers came back" },
    };
    struct arena *arena = arena_open();
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_text(rows[i].looked,
                   words_since(arena, day(rows[i].looked), day("2026-08-31"), &rows[i].count),
                   rows[i].words);
    }
    arena_close(arena);
}

static void test_answer_words__a_threshold_has_its_range_and_its_age(void **state)
{
    const double none = (double)NAN;
    struct arena *arena = arena_open();
    const struct threshold_words known = { 246.4, 231.0, 261.0, "20-minute test",
                                           day("2026-08-15") };
    const struct threshold_words given = { 240.0, none, none, "given", day("2026-08-31") };
    (void)state;
    check_text("known", words_threshold_told(arena, &known, day("2026-08-31")),
               "246 W (likely 231 to 261), 20-minute test, 15 August 2026, 16 days ago");
    check_text("given", words_threshold_told(arena, &given, day("2026-08-31")),
               "240 W, 31 August 2026, today");
    arena_close(arena);
}

static void test_answer_words__a_head_says_what_is_known(void **state)
{
    struct arena *arena = arena_open();
    const int64_t today = day("2026-08-31");
    const struct rider_head nothing = { .power_since = INT64_MIN, .last_ride = INT64_MIN };
    const struct rider_head all = { .power_since = day("2026-05-04"),
                                    .event = "Three Lakes",
                                    .event_day = day("2026-10-22"),
                                    .last_ride = day("2026-08-30"),
                                    .last_ride_s = 2170.0,
                                    .week_rides = 1,
                                    .week_hours = 1.5 };
    (void)state;
    check_text("nothing", words_rider_head(arena, &nothing, today), NULL);
    check_text("all", words_rider_head(arena, &all, today),
               "riding with power since May 2026 · Three Lakes in 52 days · last ride yesterday, "
               "36 min · this week 1 ride, 1.5 h");
    arena_close(arena);
}

static void test_answer_words__evidence_is_named_or_missed(void **state)
{
    struct arena *arena = arena_open();
    (void)state;
    check_text("none", words_evidence(arena, 0), "Nothing says that it was all-out.");
    check_text("marked", words_evidence(arena, EFFORT_MARKED), "All-out: it was a test or a race.");
    check_text("all", words_evidence(arena, EFFORT_MARKED | EFFORT_HEART | EFFORT_FADED),
               "All-out: it was a test or a race, heart rate was near maximal at its end, and it "
               "was far above threshold, and fell.");
    arena_close(arena);
}

/* One click from every verdict stands what its rule is worth. */
static void test_worth__is_said_of_every_question(void **state)
{
    (void)state;
    for (int question = QUESTION_TRUST; question <= QUESTION_TODAY; question++) {
        const char *worth = words_worth((enum question)question);
        check(strlen(worth) > 40 && worth[strlen(worth) - 1] == '.');
        check(strchr(worth, '!') == NULL);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_answer_words__when_is_said_as_people_say_it),
        cmocka_unit_test(test_answer_words__what_came_is_counted),
        cmocka_unit_test(test_answer_words__a_threshold_has_its_range_and_its_age),
        cmocka_unit_test(test_answer_words__a_head_says_what_is_known),
        cmocka_unit_test(test_answer_words__evidence_is_named_or_missed),
        cmocka_unit_test(test_worth__is_said_of_every_question),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
