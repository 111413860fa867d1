/* Critical power from rides that were marked as tests, from the store.
 *
 * The tests are those of the literature, ridden second by second: 12, 7 and 3 min with half an hour
 * between (Karsten et al. 2015, Eur J Appl Physiol 115:197) and 3 min all-out (Vanhatalo, Doust and
 * Burnley 2007, Med Sci Sports Exerc 39:548).  Expected values: by hand. */
#include "roster/store.h"

#include "base/dates.h"
#include "base/text.h"
#include "coaching/words/power_words.h"
#include "roster/asked.h"
#include "roster/facts.h"
#include "roster/import.h"
#include "roster/past.h"
#include "roster/readings.h"
#include "roster/rereading.h"
#include "roster/ride_power.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

enum { MAX_BPM = 190, PIECES = 9 };

/* So long, from one power to another; seconds 0 ends. */
struct piece {
    int seconds;
    int from_w;
    int to_w;
};

#define WARM                                                                                       \
    {                                                                                              \
        900, 130, 130                                                                              \
    }
#define EASY                                                                                       \
    {                                                                                              \
        600, 90, 90                                                                                \
    }
#define HALF_HOUR                                                                                  \
    {                                                                                              \
        1800, 90, 90                                                                               \
    }

/* Watts against one over time: 250 W and 14.3 kJ. */
static const struct piece efforts[PIECES] = {
    WARM, { 720, 270, 270 }, HALF_HOUR, { 420, 285, 285 }, HALF_HOUR, { 180, 330, 330 }, EASY
};
/* The same curve on days of their own: 250 W + 14.3 kJ over the time. */
static const struct piece four[PIECES] = { WARM, { 240, 310, 310 }, EASY };
static const struct piece seven[PIECES] = { WARM, { 420, 284, 284 }, EASY };
static const struct piece twelve[PIECES] = { WARM, { 720, 270, 270 }, EASY };

/* 267 W in the last 30 s. */
static const struct piece all_out[PIECES] = {
    WARM,
    { 10, 640, 600 },
    { 20, 560, 480 },
    { 30, 460, 380 },
    { 30, 370, 320 },
    { 30, 310, 285 },
    { 60, 270, 265 },
    { 600, 70, 70 },
};

static struct arena *arena;
static struct roster *roster;
static struct rider ada;
static const char *folder;
static const char *place;
static const struct roster_now now = { 1773480413, "tester" }; /* 2026-03-14 */

static int begin(void **state)
{
    static int n;
    char name[32];
    struct error err = { 0 };
    struct fact threshold = { .day = "2026-01-05", .value = 250, .low = 240, .high = 260 };
    struct fact maximum = {
        .day = "2026-01-05", .value = MAX_BPM, .low = (double)NAN, .high = (double)NAN
    };
    (void)state;
    snprintf(name, sizeof name, "power-%d", n++);
    arena = arena_open();
    folder = store_path(name);
    place = store_place();
    ada = (struct rider){ .name = "Ada Berg", .training_since_day = "2020-01-01" };
    return mkdir(folder, 0700) == 0 && roster_open(place, ROSTER_CREATE, now, &roster, &err) &&
                   riders_add(roster, arena, now, &ada, &err) &&
                   facts_set(roster, arena, now, &ada, FACT_THRESHOLD, &threshold, &err) &&
                   facts_set(roster, arena, now, &ada, FACT_MAX_HEART_RATE, &maximum, &err)
               ? 0
               : 1;
}

static int end(void **state)
{
    (void)state;
    roster_close(roster);
    arena_close(arena);
    return 0;
}

static void read_again(void)
{
    struct error err = { 0 };
    struct rereading_jobs jobs = { 0 };
    struct rereading_sum sum = { 0 };
    const struct rereading_call call = {
        .roster = roster, .place = place, .now = now, .n_threads = 1
    };
    must(rereading_look(roster, arena, now, &jobs, &err), &err);
    must(rereading_run(arena, &call, &jobs, &sum, &err), &err);
    check_integer("failed", (int64_t)sum.failed, 0);
}

/* Heart rate follows power with a time constant of 40 s and comes to hard_bpm in the efforts. */
static void import_ride(const char *day, const struct piece pieces[PIECES], double hard_bpm)
{
    struct text out = text_begin(arena, 2000000);
    const char *path = arena_format(arena, "%s/%s.csv", folder, day);
    struct error err = { 0 };
    uint32_t noise = 7;
    double bpm = 100.0;
    int t = 0;
    text_add(&out, "time,power,heart_rate,cadence\n");
    for (int i = 0; i < PIECES && pieces[i].seconds > 0; i++) {
        const struct piece *piece = &pieces[i];
        for (int s = 0; s < piece->seconds; s++, t++) {
            noise = noise * 1664525u + 1013904223u;
            const int watts = piece->from_w + (piece->to_w - piece->from_w) * s / piece->seconds;
            const double goal = watts > 250 ? hard_bpm : 80.0 + 0.3 * watts;
            bpm += (goal - bpm) / 40.0;
            text_add_format(&out, "%sT%02d:%02d:%02dZ,%d,%.0f,88\n", day, 9 + t / 3600, t / 60 % 60,
                            t % 60, watts + (int)(noise >> 30) - 1, bpm);
        }
    }
    must(files_write(path, (struct bytes){ (const uint8_t *)out.bytes, out.length }, &err), &err);
    struct import_sum sum = { 0 };
    const struct import_call call = {
        .roster = roster, .place = place, .now = now, .rider = &ada, .n_threads = 1
    };
    must(import_paths(arena, &call, &path, 1, &sum, &err), &err);
    read_again();
}

/* The newest ride. */
static void mark(const char *was, const char *spoiled_by)
{
    struct error err = { 0 };
    struct db_rows rows = { 0 };
    struct ride_row row = { 0 };
    struct asked marks = asked_nothing();
    const char *said = NULL;
    marks.was = was;
    marks.spoiled_by = spoiled_by;
    must(db_query(roster_db(roster), arena, "SELECT MAX(id) FROM recording", "i", DB_NONE, &rows,
                  &err),
         &err);
    must(recordings_row(roster_db(roster), arena, db_integer_at(&rows, 0, 0), &row, &err), &err);
    must(asked_mark(roster, arena, now, &row, &marks, &said, &err), &err);
    read_again();
}

/* At the end of a day, or of the day before a ride's. */
static struct rider_power power_on(const char *today, const char *before)
{
    struct error err = { 0 };
    struct limits limits;
    struct rider_history history;
    struct rider_power power = { 0 };
    size_t n_waiting = 0;
    must(readings_limits(roster_db(roster), arena, ada.id, &limits, &err), &err);
    must(past_load(roster_db(roster), arena, &ada, today, &history, &n_waiting, &err), &err);
    if (before == NULL) {
        must(ride_power_of_rider(roster, arena, &history, &limits, &power, &err), &err);
    } else {
        must(ride_power_before(roster, arena, &history, dates_day_number(before), &limits, &power,
                               &err),
             &err);
    }
    return power;
}

static const char *end_on(const char *today)
{
    const struct rider_power power = power_on(today, NULL);
    return duration_end_name(power.curve.end);
}

static void test_ride_power__efforts_of_a_marked_test_tell(void **state)
{
    (void)state;
    import_ride("2026-02-10", efforts, 186.0);
    check_text("nobody said that it was a test", end_on("2026-03-14"), "too-few");
    mark("test", NULL);
    const struct rider_power power = power_on("2026-03-14", NULL);
    check_text("a test", duration_end_name(power.curve.end), "known");
    check_integer("efforts", (int64_t)power.n_efforts, 3);
    for (size_t i = 0; i < power.n_efforts; i++) {
        check_text("said by", duration_said_name(power.efforts[i].said_by), "test");
    }
    check_near("shortest", power.efforts[0].duration_s, 180, 12);
    check_near("longest", power.efforts[2].duration_s, 720, 12);
    check_near("CP", power.curve.cp_w, 250, 3);
    check_near("W'", power.curve.w_prime_j, 14300, 1000);
    check(power.curve.cp_low_w < 250 && 250 < power.curve.cp_high_w);
    check(!power.is_all_out && power.n_held_back == 0);
    /* On its own day it tells nothing of that ride's W', from the next day on it does; and no
     * longer than the window. */
    const struct rider_power own = power_on("2026-03-14", "2026-02-10");
    const struct rider_power next = power_on("2026-03-14", "2026-02-11");
    check_text("before it", duration_end_name(own.curve.end), "too-few");
    check_text("behind it", duration_end_name(next.curve.end), "known");
    check_text("56 days later", end_on("2026-04-06"), "known");
    check_text("57 days later", end_on("2026-04-07"), "too-few");
    mark("test", "a puncture");
    check_text("spoiled", end_on("2026-03-14"), "too-few");
    mark("race", NULL);
    check_text("a race", end_on("2026-03-14"), "too-few");
}

/* What `critical` asks for when it can't tell, ridden. */
static void test_ride_power__efforts_on_days_of_their_own_tell(void **state)
{
    (void)state;
    import_ride("2026-02-10", four, 186.0);
    mark("test", NULL);
    import_ride("2026-02-17", seven, 186.0);
    mark("test", NULL);
    check_text("two", end_on("2026-03-14"), "too-few");
    import_ride("2026-02-24", twelve, 186.0);
    mark("test", NULL);
    const struct rider_power power = power_on("2026-03-14", NULL);
    check_text("three", duration_end_name(power.curve.end), "known");
    check_integer("efforts", (int64_t)power.n_efforts, 3);
    check_near("CP", power.curve.cp_w, 250, 4);
    check_near("W'", power.curve.w_prime_j, 14300, 1200);
}

static void test_ride_power__efforts_held_back_are_refused_as_such(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct limits limits;
    must(readings_limits(roster_db(roster), arena, ada.id, &limits, &err), &err);
    /* 87 % of maximal. */
    import_ride("2026-02-10", four, 165.0);
    mark("test", NULL);
    import_ride("2026-02-17", seven, 165.0);
    mark("test", NULL);
    check_text("too few as well", end_on("2026-03-14"), "too-few");
    import_ride("2026-02-24", twelve, 165.0);
    mark("test", NULL);
    const struct rider_power power = power_on("2026-03-14", NULL);
    check_text("end", duration_end_name(power.curve.end), "not-maximal");
    check_integer("held back", (int64_t)power.n_held_back, 3);
    check(isnan(power.curve.cp_w) && isnan(power.curve.w_prime_j));
    check(strstr(words_critical_power(arena, &power, &limits), "something was kept back") != NULL);
}

static void test_ride_power__three_minutes_all_out_stand_in(void **state)
{
    (void)state;
    import_ride("2026-02-10", all_out, 188.0);
    check_text("nobody said that it was a test", end_on("2026-03-14"), "too-few");
    mark("test", NULL);
    const struct rider_power power = power_on("2026-03-14", NULL);
    check(power.is_all_out && power.curve.end == DURATION_KNOWN);
    check_near("CP: the last 30 s", power.curve.cp_w, 266.5, 1.5);
    /* 10 s at 620, 20 at 520, 30 at 420, 345 and 297.5, 30 of 60 at 268.75: less 266 each */
    check_near("W': the work above it in 150 s", power.curve.w_prime_j,
               10 * 354 + 20 * 254 + 30 * 154 + 30 * 79 + 30 * 31.5 + 30 * 2.75, 400);
    check(power.curve.cp_low_w < power.curve.cp_w && power.curve.cp_w < power.curve.cp_high_w);
    /* Efforts of several lengths tell more. */
    import_ride("2026-02-24", efforts, 186.0);
    mark("test", NULL);
    const struct rider_power both = power_on("2026-03-14", NULL);
    check(!both.is_all_out && both.curve.end == DURATION_KNOWN);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_ride_power__efforts_of_a_marked_test_tell, begin, end),
        cmocka_unit_test_setup_teardown(test_ride_power__efforts_on_days_of_their_own_tell, begin,
                                        end),
        cmocka_unit_test_setup_teardown(test_ride_power__efforts_held_back_are_refused_as_such,
                                        begin, end),
        cmocka_unit_test_setup_teardown(test_ride_power__three_minutes_all_out_stand_in, begin,
                                        end),
    };
    if (!store_begin(argc, argv)) {
        return 0;
    }
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
