/* What came back of sessions, from the store.
 *
 * Expected values: by hand, from rides written second by second with the powers and days below. */
#include "roster/store.h"

#include "base/dates.h"
#include "base/text.h"
#include "coaching/words/came_words.h"
#include "roster/came_back.h"
#include "roster/facts.h"
#include "roster/health.h"
#include "roster/import.h"
#include "roster/past.h"
#include "roster/rereading.h"
#include "roster/readings.h"
#include "roster/roll.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

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
    struct screening none = { .day = "2026-01-05" };
    struct fact threshold = { .day = "2026-01-05", .value = 250, .low = 240, .high = 260 };
    (void)state;
    snprintf(name, sizeof name, "came-%d", n++);
    arena = arena_open();
    folder = store_path(name);
    place = store_place();
    ada = (struct rider){ .name = "Ada Berg", .training_since_day = "2020-01-01" };
    return mkdir(folder, 0700) == 0 && roster_open(place, ROSTER_CREATE, now, &roster, &err) &&
                   riders_add(roster, arena, now, &ada, &err) &&
                   health_screen(roster, arena, now, &ada, &none, &err) &&
                   facts_set(roster, arena, now, &ada, FACT_THRESHOLD, &threshold, &err)
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

/* A ride from 9:00 and so much later on, of 10 min at 140 W, then n_reps of 4 min at hard_w with 4
 * min at 125 W after each. */
static void import_ride_at(const char *day, int after_s, int n_reps, int hard_w)
{
    struct text out = text_begin(arena, 1000000);
    const char *path = arena_format(arena, "%s/%s-%d-%d.csv", folder, day, n_reps, after_s);
    struct error err = { 0 };
    uint32_t noise = (uint32_t)(n_reps + after_s + 7);
    text_add(&out, "time,power,heart_rate,cadence\n");
    for (int t = 0; t < 600 + n_reps * 480; t++) {
        noise = noise * 1664525u + 1013904223u;
        const bool hard = t >= 600 && (t - 600) % 480 < 240;
        const int watts = (t < 600 ? 140 : hard ? hard_w : 125) + (int)(noise >> 28) - 8;
        const int at = t + after_s;
        text_add_format(&out, "%sT%02d:%02d:%02dZ,%d,%d,88\n", day, 9 + at / 3600, at / 60 % 60,
                        at % 60, watts, hard ? 165 : 130);
    }
    must(files_write(path, (struct bytes){ (const uint8_t *)out.bytes, out.length }, &err), &err);
    struct import_sum sum = { 0 };
    const struct import_call call = {
        .roster = roster, .place = place, .now = now, .rider = &ada, .n_threads = 1
    };
    must(import_paths(arena, &call, &path, 1, &sum, &err), &err);
    read_again();
}

static void import_ride(const char *day, int n_reps, int hard_w)
{
    import_ride_at(day, 0, n_reps, hard_w);
}

static const char vo2max[] = "10 min at 50-60 %\n4 times (4 min at 106-112 %, rest 4 min at 50 %)";

static struct rider_session give(const char *day, const char *kind, const char *words,
                                 const char *state)
{
    struct error err = { 0 };
    struct rider_session row = { .day = day,
                                 .name = "one",
                                 .kind = kind,
                                 .words = words,
                                 .state = state,
                                 .confirmed = "safe_hard_gap_h" };
    must(sessions_save(roster, arena, now, &ada, &row, &err), &err);
    read_again();
    return row;
}

static const char *outcome(const struct rider_session *row, const char *today)
{
    struct error err = { 0 };
    struct came_back came;
    bool found = false;
    must(came_back_of(roster, arena, ada.id, row, today, &came, &found, &err), &err);
    return found ? came_words_short(arena, &came) : "not given";
}

/* The last weeks, in words. */
static const char *counted(const char *today)
{
    struct error err = { 0 };
    struct came_weeks weeks;
    struct came_session *all = NULL;
    size_t n = 0;
    must(came_back_list(roster, arena, ada.id, today, today, today, &all, &n, &weeks, &err), &err);
    check_integer("none of its days were asked for", (int64_t)n, 0);
    return came_words_counts(arena, &weeks.counts, weeks.weeks);
}

static void undo(void)
{
    struct error err = { 0 };
    struct change_line undone = { 0 };
    must(changes_undo(roster, arena, now, 0, &undone, &err), &err);
    read_again();
}

static int64_t newest_ride(void)
{
    struct error err = { 0 };
    struct db_rows rows = { 0 };
    must(db_query(roster_db(roster), arena, "SELECT MAX(id) FROM recording", "i", DB_NONE, &rows,
                  &err),
         &err);
    return db_integer_at(&rows, 0, 0);
}

/* What stands in a stored reading from these words on, to the end of the text; "" = they don't, or
 * there is no such reading. */
static const char *stored(int64_t ride, enum question question, const char *from)
{
    struct error err = { 0 };
    const char *content = NULL;
    must(readings_content(roster_db(roster), arena, ride, question, &content, &err), &err);
    const char *at = content == NULL ? NULL : strstr(content, from);
    return at == NULL ? "" : arena_format(arena, "%.*s", (int)strcspn(at + 1, "\""), at + 1);
}

/* What the newest ride is read as having been asked; "" = nothing, or no such reading. */
static const char *intent(enum question question)
{
    return stored(newest_ride(), question, "\"asked: ");
}

static void test_came_back__by_what_was_given_and_ridden(void **state)
{
    (void)state;
    struct rider_session row = give("2026-03-03", "vo2max", vo2max, "drafted");
    check_text("drafted", outcome(&row, "2026-03-05"), "not given");
    row.state = "given";
    struct error err = { 0 };
    must(sessions_save(roster, arena, now, &ada, &row, &err), &err);
    check_text("before", outcome(&row, "2026-03-03"), "not yet");
    check_text("after", outcome(&row, "2026-03-05"), "missed");
    import_ride("2026-03-04", 4, 273);
    check_text("a day late", outcome(&row, "2026-03-05"), "moved to 2026-03-04");
    check_text("not seen yet", outcome(&row, "2026-03-03"), "not yet");
    import_ride("2026-03-03", 4, 273);
    check_text("ridden", outcome(&row, "2026-03-05"), "ridden");
    row.state = "withdrawn";
    must(sessions_save(roster, arena, now, &ada, &row, &err), &err);
    check_text("withdrawn", outcome(&row, "2026-03-05"), "not given");
}

static void test_came_back__a_ride_is_of_one_session_only_and_the_coach_wins(void **state)
{
    (void)state;
    struct error err = { 0 };
    import_ride("2026-03-05", 4, 273);
    struct rider_session first = give("2026-03-03", "vo2max", vo2max, "given");
    struct rider_session own = give("2026-03-05", "vo2max", vo2max, "given");
    check_text("its own day", outcome(&own, "2026-03-07"), "ridden");
    check_text("the other", outcome(&first, "2026-03-07"), "missed");
    first.state = "done";
    must(sessions_save(roster, arena, now, &ada, &first, &err), &err);
    check_text("said", outcome(&first, "2026-03-07"), "done, by the coach's word");
    check_text("counted", counted("2026-03-07"), "Of 2 sessions given in 4 weeks 2 were ridden.");
    undo();
    check_text("taken back", counted("2026-03-07"),
               "Of 2 sessions given in 4 weeks 1 was ridden and 1 missed.");
}

static void test_came_back__hard_and_easy_work_are_judged_by_what_was_given(void **state)
{
    (void)state;
    import_ride("2026-03-05", 4, 273);
    check_text("nothing asked", intent(QUESTION_HARD_WORK), "");
    (void)give("2026-03-05", "vo2max", vo2max, "given");
    check_text("given", intent(QUESTION_HARD_WORK), "asked: 106-112 %");
    undo();
    check_text("taken back", intent(QUESTION_HARD_WORK), "");
    (void)give("2026-03-05", "threshold", "10 min at 50-60 %\n2 times (20 min at 95-100 %, 5 min)",
               "given");
    check_text("another session's ride", intent(QUESTION_HARD_WORK), "");
    import_ride("2026-03-07", 0, 0);
    (void)give("2026-03-07", "easy", "10 min at 50-60 %", "given");
    check_text("easy", intent(QUESTION_EASY_WORK), "asked: easy");
}

/* Tuesday the 3rd is given and Wednesday the 4th ridden.  What is read of Wednesday's ride follows
 * every change of what is around it. */
static void test_came_back__a_ride_that_moved_is_read_with_its_session(void **state)
{
    (void)state;
    struct error err = { 0 };
    import_ride("2026-03-04", 4, 273);
    const int64_t ride = newest_ride();
    check_text("nothing given", stored(ride, QUESTION_HARD_WORK, "\"asked: "), "");
    struct rider_session row = give("2026-03-03", "vo2max", vo2max, "given");
    check_text("given", stored(ride, QUESTION_HARD_WORK, "\"asked: "), "asked: 106-112 %");
    check_text("by its steps", stored(ride, QUESTION_HARD_WORK, "\"the session's"),
               "the session's steps, laid along power");
    row.state = "withdrawn";
    must(sessions_save(roster, arena, now, &ada, &row, &err), &err);
    read_again();
    check_text("withdrawn", stored(ride, QUESTION_HARD_WORK, "\"asked: "), "");
    undo();
    check_text("taken back", stored(ride, QUESTION_HARD_WORK, "\"asked: "), "asked: 106-112 %");
    /* A file that comes late: the session was ridden on its day after all. */
    import_ride("2026-03-03", 4, 275);
    const int64_t own = newest_ride();
    check_text("its own", stored(own, QUESTION_HARD_WORK, "\"asked: "), "asked: 106-112 %");
    check_text("no longer", stored(ride, QUESTION_HARD_WORK, "\"asked: "), "");
    check_text("by power alone", stored(ride, QUESTION_HARD_WORK, "\"power alone"), "power alone");
    /* A session nearer takes it. */
    (void)give("2026-03-04", "vo2max", "10 min at 50-60 %\n4 times (4 min at 105-113 %, 4 min)",
               "given");
    check_text("a nearer one", stored(ride, QUESTION_HARD_WORK, "\"asked: "), "asked: 105-113 %");
    undo();
    check_text("taken away", stored(ride, QUESTION_HARD_WORK, "\"asked: "), "");
}

/* The ride between decides: it is the session, so the later one isn't. */
static void test_came_back__the_first_ride_after_a_missed_day_is_it(void **state)
{
    (void)state;
    (void)give("2026-03-03", "vo2max", vo2max, "given");
    import_ride("2026-03-06", 4, 274);
    const int64_t late = newest_ride();
    check_text("alone", stored(late, QUESTION_HARD_WORK, "\"asked: "), "asked: 106-112 %");
    import_ride("2026-03-05", 4, 271);
    const int64_t first = newest_ride();
    check_text("the first", stored(first, QUESTION_HARD_WORK, "\"asked: "), "asked: 106-112 %");
    check_text("the second", stored(late, QUESTION_HARD_WORK, "\"asked: "), "");
    struct error err = { 0 };
    struct ride_row row = { 0 };
    struct came_session session;
    bool found = false;
    must(recordings_row(roster_db(roster), arena, first, &row, &err), &err);
    must(came_back_of_ride(roster, arena, &row, "2026-03-09", &session, &found, &err), &err);
    check_integer("of the first", found, 1);
    check_text("moved", came_outcome_name(session.came.outcome), "moved");
    must(recordings_row(roster_db(roster), arena, late, &row, &err), &err);
    must(came_back_of_ride(roster, arena, &row, "2026-03-09", &session, &found, &err), &err);
    check_integer("of the second", found, 0);
}

/* Nothing is stored that a reading from nothing wouldn't say. */
static void test_came_back__import_reads_a_moved_ride_as_reading_again_does(void **state)
{
    (void)state;
    struct error err = { 0 };
    const char *content[2] = { NULL, NULL };
    (void)give("2026-03-03", "vo2max", vo2max, "given");
    import_ride("2026-03-05", 4, 273);
    const int64_t ride = newest_ride();
    must(readings_content(roster_db(roster), arena, ride, QUESTION_HARD_WORK, &content[0], &err),
         &err);
    (void)give("2026-03-01", "vo2max", vo2max, "given");
    undo();
    must(readings_content(roster_db(roster), arena, ride, QUESTION_HARD_WORK, &content[1], &err),
         &err);
    check_text("the same", content[1], content[0]);
    check(strstr(content[0], "asked: 106-112 %") != NULL);
}

/* Two files of one ride, half of the time in common: too little to be one (80 %). */
static void import_two_parts(void)
{
    import_ride_at("2026-03-04", 0, 4, 273);
    import_ride_at("2026-03-04", 1200, 4, 273);
}

static bool is_of_a_session(int64_t ride)
{
    struct error err = { 0 };
    struct ride_row row = { 0 };
    struct came_session session;
    bool found = false;
    must(recordings_row(roster_db(roster), arena, ride, &row, &err), &err);
    check_integer("it is a ride of its own", row.same_as, 0);
    must(came_back_of_ride(roster, arena, &row, "2026-03-09", &session, &found, &err), &err);
    return found;
}

/* Nobody rides twice at once: the second file isn't the session of the day before. */
static void test_came_back__two_parts_of_a_ride_are_one_session(void **state)
{
    (void)state;
    struct rider_session missed = give("2026-03-03", "vo2max", vo2max, "given");
    struct rider_session own = give("2026-03-04", "vo2max", vo2max, "given");
    import_two_parts();
    const int64_t second = newest_ride();
    check_text("its day", outcome(&own, "2026-03-09"), "ridden");
    check_text("the day before", outcome(&missed, "2026-03-09"), "missed");
    check_text("counted", counted("2026-03-09"),
               "Of 2 sessions given in 4 weeks 1 was ridden and 1 missed.");
    check_integer("one of them is of a session",
                  is_of_a_session(second) + is_of_a_session(second - 1), 1);
    own.state = "withdrawn";
    struct error err = { 0 };
    must(sessions_save(roster, arena, now, &ada, &own, &err), &err);
    check_text("then it moved", outcome(&missed, "2026-03-09"), "moved to 2026-03-04");
    check_integer("one of them alone", is_of_a_session(second) + is_of_a_session(second - 1), 1);
}

/* Nor does what comes after one hard session see two. */
static void test_came_back__two_parts_of_a_ride_are_done_once(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct rider_session own = give("2026-03-04", "vo2max", vo2max, "given");
    import_two_parts();
    struct rider_history history;
    size_t n_waiting = 0;
    size_t n_hard = 0;
    must(past_load(roster_db(roster), arena, &ada, "2026-03-09", &history, &n_waiting, &err), &err);
    check_integer("both are there", (int64_t)history.n_rides, 2);
    for (size_t i = 0; i < history.n_rides; i++) {
        n_hard += history.rides[i].hard.is_asked ? 1 : 0;
    }
    check_integer("one hard session", (int64_t)n_hard, 1);
    /* Its own day's other part is no hard day beside it. */
    struct safe_breach breaches[SAFE_BREACHES];
    size_t n = 0;
    own.confirmed = NULL;
    must(sessions_safe(roster, arena, &ada, &own, breaches, &n, &err), &err);
    check_integer("no breach of its own", (int64_t)n, 0);
}

/* The same bytes under another name are no second ride. */
static void test_came_back__a_file_under_two_names_is_one_ride(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct rider_session missed = give("2026-03-03", "vo2max", vo2max, "given");
    struct rider_session own = give("2026-03-04", "vo2max", vo2max, "given");
    struct bytes bytes = { 0 };
    import_ride("2026-03-04", 4, 273);
    const int64_t ride = newest_ride();
    const char *path = arena_format(arena, "%s/2026-03-04-4-0.csv", folder);
    const char *again = arena_format(arena, "%s/again.csv", folder);
    must(files_read(arena, path, 1000000, &bytes, &err), &err);
    must(files_write(again, bytes, &err), &err);
    struct import_sum sum = { 0 };
    const struct import_call call = {
        .roster = roster, .place = place, .now = now, .rider = &ada, .n_threads = 1
    };
    must(import_paths(arena, &call, &again, 1, &sum, &err), &err);
    check_integer("no other ride", newest_ride(), ride);
    check_text("its day", outcome(&own, "2026-03-09"), "ridden");
    check_text("the day before", outcome(&missed, "2026-03-09"), "missed");
}

static void test_who__asks_after_two_missed_and_knows_the_last_given_session(void **state)
{
    (void)state;
    struct error err = { 0 };
    static const char easy[] = "60 min at 50-60 %";
    int64_t days[4];
    size_t count = 0;
    import_ride("2026-03-02", 4, 273);
    (void)give("2026-03-08", "easy", easy, "given");
    (void)give("2026-03-10", "easy", easy, "given");
    (void)give("2026-03-12", "easy", easy, "given");
    (void)give("2026-03-14", "easy", easy, "drafted");
    must(came_back_missed(roster_db(roster), arena, ada.id, "2026-03-10", days, 4, &count, &err),
         &err);
    check_integer("one is none", (int64_t)count, 0);
    must(came_back_missed(roster_db(roster), arena, ada.id, "2026-03-11", days, 4, &count, &err),
         &err);
    check_integer("two", (int64_t)count, 2);
    check_integer("the last first", days[0] - days[1], 2);
    import_ride("2026-03-10", 0, 0);
    must(came_back_missed(roster_db(roster), arena, ada.id, "2026-03-11", days, 4, &count, &err),
         &err);
    check_integer("the day has a ride", (int64_t)count, 0);
    int64_t until = 0;
    must(sessions_plan_until(roster_db(roster), arena, ada.id, &until, &err), &err);
    check_integer("a draft is no plan", until, dates_day_number("2026-03-12"));
    struct roll roll;
    must(roll_take(roster, arena, "2026-03-11", NULL, &roll, &err), &err);
    check_integer("until", roll.riders[0].has_plan_until_day, dates_day_number("2026-03-12"));
    undo(); /* the draft */
    undo(); /* the 12th */
    must(roll_take(roster, arena, "2026-03-11", NULL, &roll, &err), &err);
    check_integer("until, taken back", roll.riders[0].has_plan_until_day,
                  dates_day_number("2026-03-10"));
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_came_back__by_what_was_given_and_ridden, begin, end),
        cmocka_unit_test_setup_teardown(
            test_came_back__a_ride_is_of_one_session_only_and_the_coach_wins, begin, end),
        cmocka_unit_test_setup_teardown(
            test_came_back__hard_and_easy_work_are_judged_by_what_was_given, begin, end),
        cmocka_unit_test_setup_teardown(test_came_back__a_ride_that_moved_is_read_with_its_session,
                                        begin, end),
        cmocka_unit_test_setup_teardown(test_came_back__the_first_ride_after_a_missed_day_is_it,
                                        begin, end),
        cmocka_unit_test_setup_teardown(
            test_came_back__import_reads_a_moved_ride_as_reading_again_does, begin, end),
        cmocka_unit_test_setup_teardown(test_came_back__two_parts_of_a_ride_are_one_session, begin,
                                        end),
        cmocka_unit_test_setup_teardown(test_came_back__two_parts_of_a_ride_are_done_once, begin,
                                        end),
        cmocka_unit_test_setup_teardown(test_came_back__a_file_under_two_names_is_one_ride, begin,
                                        end),
        cmocka_unit_test_setup_teardown(
            test_who__asks_after_two_missed_and_knows_the_last_given_session, begin, end),
    };
    if (!store_begin(argc, argv)) {
        return 0;
    }
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
