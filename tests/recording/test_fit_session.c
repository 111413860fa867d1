/* tests/recording/test_fit_session.c: sessions by time, clocks, the timer, chains, developer
 * fields. Files are built in the test; expected values by hand from the rules in recording/fit_*.h.
 */
#include "fit_builder.h"

#include <math.h>

static void test_fit_session__records_go_to_sessions_by_time(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        bool summary_first;
    } rows[] = { { "summary last", false }, { "summary first", true } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct builder b = build_activity(arena);
        for (int round = 0; round < 2; round++) {
            if (rows[i].summary_first == (round == 0)) {
                /* in the file's order, not by time */
                add_session(&b, T0 + 110, 50, 50, 1, 0);
                add_session(&b, T0, 100, 100, 2, 7);
                add_lap(&b, T0, 60, 0);
                add_lap(&b, T0 + 60, 40, 7);
                add_lap(&b, T0 + 110, 50, 7);
            } else {
                define_records(&b);
                add_records(&b, T0, 106); /* 100, and 6 after the ride: 3 within the slack */
                add_records(&b, T0 + 110, 50);
            }
        }
        build_end(&b);
        const struct recordings recordings = read_built(&b);
        check_integer(rows[i].name, (int64_t)recordings.count, 2);
        const struct recording *ride = recordings.items[0];
        const struct recording *run = recordings.items[1];
        check_integer(rows[i].name, ride->sport, SPORT_CYCLING);
        check_integer(rows[i].name, run->sport, SPORT_RUNNING);
        check_integer(rows[i].name, (int64_t)ride->samples.count, 103);
        check_integer(rows[i].name, (int64_t)run->samples.count, 50);
        check_integer(rows[i].name, run->start_utc - ride->start_utc, 110);
        check_integer(rows[i].name, (int64_t)ride->n_laps, 2);
        check_integer(rows[i].name, (int64_t)run->n_laps, 1);
        check_integer(rows[i].name, ride->laps[0].by_hand, true);
        check_integer(rows[i].name, ride->laps[1].start_s, 60);
        check_integer(rows[i].name, ride->laps[1].end_s, 100);
        check_integer(rows[i].name, run->laps[0].start_s, 0);
        check_near(rows[i].name, run->device_timer_s, 50, 0);
        check_near("left out", number_of(ride, "outside-session"), 3, 0);
        check_integer("parts", (int64_t)run->part * 10 + (int64_t)run->parts, 22);
        arena_close(arena);
    }
}

/* A session within another: the inner one takes its records, the outer one keeps the rest. */
static void test_fit_session__a_session_within_another_is_cut_out(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    add_session(&b, T0, 99, 99, 2, 0);
    add_session(&b, T0 + 40, 19, 19, 1, 0);
    define_records(&b);
    add_records(&b, T0, 100);
    build_end(&b);
    const struct recordings recordings = read_built(&b);
    check_integer("recordings", (int64_t)recordings.count, 2);
    const struct recording *outer = recordings.items[0];
    const struct recording *inner = recordings.items[1];
    check_integer("outer", (int64_t)outer->samples.count, 80);
    check_integer("inner", (int64_t)inner->samples.count, 20);
    check_integer("outer", sample_of(outer, CHANNEL_POWER, 39), 139);
    check_integer("outer", sample_of(outer, CHANNEL_POWER, 40), 160);
    check_integer("outer", outer->samples.time_s[40], 60);
    check_integer("inner", sample_of(inner, CHANNEL_POWER, 0), 140);
    check_integer("inner", inner->samples.time_s[19], 19);
    arena_close(arena);
}

static void test_fit_session__without_a_session_all_is_one(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    DEFINE(&b, 6, 12, { 0, 1, 0x00 }, { 1, 1, 0x00 });
    put8(&b, 6);
    put8(&b, 2);
    put8(&b, 6);
    define_records(&b);
    add_records(&b, T0, 20);
    add_records(&b, T0 + 7200, 20);
    build_end(&b);
    const struct recordings recordings = read_built(&b);
    check_integer("recordings", (int64_t)recordings.count, 1);
    check_integer("samples", (int64_t)recordings.items[0]->samples.count, 40);
    check_integer("sport message", recordings.items[0]->sport, SPORT_CYCLING);
    check_integer("place", recordings.items[0]->place, PLACE_INDOORS);
    check_near("timer", recordings.items[0]->device_timer_s, (double)NAN, 0);
    arena_close(arena);
}

/* Devices that count only moving time as elapsed still end the session at its message's time. */
static void test_fit_session__elapsed_that_is_too_short_loses_nothing(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    define_records(&b);
    add_records(&b, T0, 50);
    add_records(&b, T0 + 500, 50);
    DEFINE(&b, 3, 18, { 253, 4, 0x86 }, { 2, 4, 0x86 }, { 7, 4, 0x86 });
    put8(&b, 3);
    put(&b, T0 + 560, 4);
    put(&b, T0, 4);
    put(&b, 100000, 4);
    build_end(&b);
    check_integer("samples", (int64_t)read_built(&b).items[0]->samples.count, 100);
    arena_close(arena);
}

/* Clocks: records at these seconds after T0, in file order. */
static const struct {
    const char *name;
    size_t n;
    int64_t at[12];
    size_t recordings;
    size_t samples[3];
    size_t n_seconds[3];
    const char *detail; /* of a clock finding on the first recording, or NULL for none */
} clocks[] = {
    { "plain", 4, { 0, 1, 2, 3 }, 1, { 4 }, { 4 }, NULL },
    { "two in one second", 5, { 0, 1, 1, 2, 3 }, 1, { 5 }, { 4 }, NULL },
    { "back by 60 s", 6, { 0, 1, 70, 10, 71, 72 }, 1, { 6 }, { 73 }, "ran back a little" },
    { "back by more",
      7,
      { 100, 101, 102, 0, 1, 2, 3 },
      2,
      { 3, 4 },
      { 3, 4 },
      "was set after this recording" },
    { "ahead by 12 h", 4, { 0, 1, 43201, 43202 }, 1, { 4 }, { 43203 }, NULL },
    { "ahead by more",
      5,
      { 0, 1, 43202, 43203, 43204 },
      2,
      { 2, 3 },
      { 2, 3 },
      "was set after this recording" },
    { "one wild time ahead",
      6,
      { 0, 1, 90000, 2, 3, 4 },
      1,
      { 6 },
      { 5 },
      "was far off for single records" },
    { "one wild time back",
      6,
      { 5000, 5001, 7, 5002, 5003, 5004 },
      1,
      { 6 },
      { 5 },
      "was far off for single records" },
    { "one time ahead by less than a jump",
      6,
      { 0, 1, 9000, 2, 3, 4 },
      1,
      { 6 },
      { 5 },
      "was far off for single records" },
    { "the first is wild",
      4,
      { 900000, 0, 1, 2 },
      1,
      { 4 },
      { 3 },
      "was far off for single records" },
    { "the last is wild",
      4,
      { 0, 1, 2, 900000 },
      1,
      { 4 },
      { 3 },
      "was far off for single records" },
    { "two wild times far apart",
      9,
      { 0, 1, 90000, 2, 3, 4, -90000, 5, 6 },
      1,
      { 9 },
      { 7 },
      "was far off for single records" },
    { "set twice",
      9,
      { 0, 1, 2, 500000, 500001, 500002, 10, 11, 12 },
      3,
      { 3, 3, 3 },
      { 3, 3, 3 },
      "was set after this recording" },
};

static void test_fit_session__a_set_clock_begins_a_recording_a_wild_one_does_not(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(clocks); i++) {
        struct arena *arena = arena_open();
        struct builder b = build_activity(arena);
        define_records(&b);
        for (size_t k = 0; k < clocks[i].n; k++) {
            add_record(&b, (uint32_t)(T0 + clocks[i].at[k]), 100, 120, 90);
        }
        build_end(&b);
        const struct recordings recordings = read_built(&b);
        check_integer(clocks[i].name, (int64_t)recordings.count, (int64_t)clocks[i].recordings);
        for (size_t k = 0; k < recordings.count; k++) {
            check_integer(clocks[i].name, (int64_t)recordings.items[k]->samples.count,
                          (int64_t)clocks[i].samples[k]);
            check_integer(clocks[i].name, (int64_t)recordings.items[k]->n_seconds,
                          (int64_t)clocks[i].n_seconds[k]);
        }
        const struct finding *finding = find_finding(recordings.items[0], "clock", NULL);
        check_text(clocks[i].name, finding == NULL ? NULL : finding->detail, clocks[i].detail);
        if (recordings.count == 2) {
            check(find_finding(recordings.items[1], "clock", "was set before this recording") !=
                  NULL);
        }
        arena_close(arena);
    }
}

static void test_fit_session__a_set_clock_splits_a_session_and_its_totals(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    define_records(&b);
    add_records(&b, T0, 20);
    add_event(&b, T0 + 19, 0, 4);
    add_event(&b, T0 + 2000000, 0, 0);
    define_records(&b);
    add_records(&b, T0 + 2000000, 30);
    add_event(&b, T0 + 2000010, 0, 4);
    add_event(&b, T0 + 2000015, 0, 0);
    add_lap(&b, T0, 20, 0);
    add_lap(&b, T0 + 2000000, 30, 7);
    add_session(&b, T0, 50, 45, 2, 7);
    build_end(&b);
    const struct recordings recordings = read_built(&b);
    check_integer("recordings", (int64_t)recordings.count, 2);
    for (size_t i = 0; i < 2; i++) {
        check_integer("sport", recordings.items[i]->sport, SPORT_CYCLING);
        check_integer("laps", (int64_t)recordings.items[i]->n_laps, 1);
        check_near("timer", recordings.items[i]->device_timer_s, (double)NAN, 0);
    }
    check_integer("pauses", (int64_t)recordings.items[1]->n_pauses, 2);
    check_integer("timer", recordings.items[1]->timer_s, 25);
    arena_close(arena);
}

static void test_fit_session__power_on_time_is_no_date(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    define_records(&b);
    add_records(&b, 0x0FFFFFF0, 5);
    add_activity(&b, 0x0FFFFFF5, T0);
    build_end(&b);
    const struct recording *ride = read_built(&b).items[0];
    check(!ride->has_start_utc);
    check(!ride->has_utc_offset);
    check(find_finding(ride, "clock", "counts from switching on, no date is known") != NULL);
    arena_close(arena);
}

static void test_fit_session__local_time_gives_the_offset(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int64_t ahead_s;
        bool has;
        int32_t want_s;
    } rows[] = {
        { "two hours", 7200, true, 7200 },
        { "a quarter, some seconds late", 20700 + 13, true, 20700 },
        { "west", -18000 - 7, true, -18000 },
        { "none", 0, true, 0 },
        { "farthest east", 50400, true, 50400 },
        { "beyond any zone", 60000, false, 0 },
        { "not written", -(int64_t)T0, false, 0 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct builder b = build_activity(arena);
        define_records(&b);
        add_records(&b, T0, 5);
        add_activity(&b, T0 + 5, (uint32_t)((int64_t)T0 + 5 + rows[i].ahead_s));
        build_end(&b);
        const struct recording *ride = read_built(&b).items[0];
        check_integer(rows[i].name, ride->has_utc_offset, rows[i].has);
        check_integer(rows[i].name, ride->utc_offset_s, rows[i].want_s);
        arena_close(arena);
    }
}

/* Timer events at these seconds; records every second from 10 to 99. */
static const struct {
    const char *name;
    size_t n;
    int at[6];
    unsigned type[6]; /* 0 start, 1 stop, 4 stop_all, 8 and 9 stop for good */
    size_t pauses;
    int32_t from_s;
    int32_t to_s;
    int32_t timer_s;
} timers[] = {
    { "start and stop", 2, { 10, 99 }, { 0, 4 }, 0, 0, 0, 90 },
    { "a pause", 4, { 10, 30, 50, 99 }, { 0, 1, 0, 4 }, 1, 20, 40, 70 },
    { "stop_all", 4, { 10, 30, 50, 99 }, { 0, 4, 0, 4 }, 1, 20, 40, 70 },
    { "stop_disable", 4, { 10, 30, 50, 99 }, { 0, 8, 0, 9 }, 1, 20, 40, 70 },
    { "stopped twice", 5, { 10, 30, 40, 50, 99 }, { 0, 1, 4, 0, 4 }, 1, 20, 40, 70 },
    { "started twice", 5, { 10, 20, 30, 50, 99 }, { 0, 0, 4, 0, 4 }, 1, 20, 40, 70 },
    { "before the first record", 4, { 2, 4, 8, 99 }, { 0, 1, 0, 4 }, 1, 0, 0, 90 },
    { "over the first record", 4, { 2, 4, 15, 99 }, { 0, 1, 0, 4 }, 1, 0, 5, 85 },
    { "stopped, and written on", 2, { 10, 80 }, { 0, 4 }, 0, 0, 0, 70 },
    { "other events aren't the timer", 3, { 10, 40, 99 }, { 0, 3, 4 }, 0, 0, 0, 90 },
};

static void test_fit_session__the_timer_makes_pauses(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(timers); i++) {
        struct arena *arena = arena_open();
        struct builder b = build_activity(arena);
        for (size_t k = 0; k < timers[i].n; k++) {
            add_event(&b, T0 + (uint32_t)timers[i].at[k], 0, timers[i].type[k]);
        }
        define_records(&b);
        add_records(&b, T0 + 10, 90);
        build_end(&b);
        const struct recording *ride = read_built(&b).items[0];
        check_integer(timers[i].name, (int64_t)ride->n_pauses, (int64_t)timers[i].pauses);
        if (timers[i].pauses > 0) {
            check_integer(timers[i].name, ride->pauses[0].from_s, timers[i].from_s);
            check_integer(timers[i].name, ride->pauses[0].to_s, timers[i].to_s);
            check_integer(timers[i].name, ride->value[CHANNEL_POWER][25], 125);
        }
        check_integer(timers[i].name, ride->timer_s, timers[i].timer_s);
        arena_close(arena);
    }
}

static void test_fit_session__a_gap_is_a_pause_only_if_the_timer_says_so(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        uint32_t gap_s;
        uint32_t elapsed_s;
        uint32_t timer_s;
        size_t pauses;
    } rows[] = {
        { "the timer stood", 300, 400, 100, 1 },
        { "the timer stood 5 s less", 300, 400, 106, 1 },
        { "the timer stood 10 s less", 300, 400, 111, 0 },
        { "the timer ran", 300, 400, 400, 0 },
        { "a gap of 10 s", 10, 110, 100, 0 },
        { "a gap of 11 s", 11, 111, 100, 1 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct builder b = build_activity(arena);
        define_records(&b);
        add_records(&b, T0, 50);
        add_records(&b, T0 + 49 + rows[i].gap_s, 50);
        add_session(&b, T0, rows[i].elapsed_s, rows[i].timer_s, 2, 7);
        build_end(&b);
        const struct recording *ride = read_built(&b).items[0];
        check_integer(rows[i].name, (int64_t)ride->n_pauses, (int64_t)rows[i].pauses);
        check_integer(rows[i].name, ride->timer_s,
                      rows[i].pauses == 0 ? 99 + (int32_t)rows[i].gap_s : 100);
        arena_close(arena);
    }
}

static void test_fit_session__more_than_48_hours_are_refused_with_their_length(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    define_records(&b);
    for (uint32_t h = 0; h <= 49; h++) {
        add_record(&b, T0 + h * 3600 + (h == 49 ? 300 : 0), 100, 120, 90);
    }
    build_end(&b);
    check_text("line", refuse_built(&b, ERROR_TOO_LARGE),
               "x.fit: a recording of 49 h 05 min; 48 h is the most that is read, so split it");
    arena_close(arena);
}

static void test_fit_session__chained_files_know_nothing_of_each_other(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    define_records(&b);
    add_records(&b, T0, 10);
    add_session(&b, T0, 10, 10, 2, 7);
    build_end(&b);
    build_file(&b, 12);
    add_file_id(&b, 5); /* a workout between: skipped, since others are activities */
    build_end(&b);
    build_file(&b, 14); /* local 1 is used without a definition of this file */
    add_file_id(&b, 4);
    add_records(&b, T0 + 1000, 10);
    build_end(&b);
    build_file(&b, 14);
    add_file_id(&b, 4);
    define_records(&b);
    add_records(&b, T0 - 5000, 7); /* older than the first: no matter */
    build_end(&b);
    const struct recordings recordings = read_built(&b);
    check_integer("recordings", (int64_t)recordings.count, 2);
    check_integer("first", (int64_t)recordings.items[0]->samples.count, 10);
    check_integer("last", (int64_t)recordings.items[1]->samples.count, 7);
    check_integer("part", (int64_t)recordings.items[1]->part, 2);
    check_integer("parts", (int64_t)recordings.items[1]->parts, 2);
    check(find_finding(recordings.items[1], "clock", NULL) == NULL);
    check_integer("sport of the second", recordings.items[1]->sport, SPORT_UNKNOWN);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fit_session__records_go_to_sessions_by_time),
        cmocka_unit_test(test_fit_session__a_session_within_another_is_cut_out),
        cmocka_unit_test(test_fit_session__without_a_session_all_is_one),
        cmocka_unit_test(test_fit_session__elapsed_that_is_too_short_loses_nothing),
        cmocka_unit_test(test_fit_session__a_set_clock_begins_a_recording_a_wild_one_does_not),
        cmocka_unit_test(test_fit_session__a_set_clock_splits_a_session_and_its_totals),
        cmocka_unit_test(test_fit_session__power_on_time_is_no_date),
        cmocka_unit_test(test_fit_session__local_time_gives_the_offset),
        cmocka_unit_test(test_fit_session__the_timer_makes_pauses),
        cmocka_unit_test(test_fit_session__a_gap_is_a_pause_only_if_the_timer_says_so),
        cmocka_unit_test(test_fit_session__more_than_48_hours_are_refused_with_their_length),
        cmocka_unit_test(test_fit_session__chained_files_know_nothing_of_each_other),
    };
    return cmocka_run_group_tests_name("fit_session", tests, NULL, NULL);
}
