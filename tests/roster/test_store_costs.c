/* tests/roster/test_store_costs.c: what keeping readings true costs, counted in steps of the
 * store's machine: it grows with the rides that are touched, not with the years that lie behind.
 *
 * Rides of the past are rows without a file, readings, curves and months like real ones. */
#include "roster/kept_true.h"

#include "maths/maths.h"
#include "roster/best_months.h"
#include "roster/facts.h"

#include "base/dates.h"

#include <math.h>
#include <string.h>

/* The day before the newest ride's. */
static const char newest_before[] = "2026-04-01";

struct past {
    int64_t n;
    int64_t model; /* the ride whose rows are copied */
};

static void day_back(int64_t back, char out[11])
{
    int64_t days = 0;
    check(dates_parse_day(newest_before, &days));
    dates_format_day(days - back, out);
}

/* A ride a day, its original, curve and readings as the model's; a threshold every ten days. */
static bool add_past(struct db *db, void *context, struct error *err)
{
    const struct past *past = context;
    for (int64_t i = 0; i < past->n; i++) {
        char day[11];
        struct db_rows rows = { 0 };
        day_back(i, day);
        if (!db_query(db, arena,
                      "INSERT INTO recording (rider, original, part, parts, same_by_hand, format, "
                      "method, sport, is_ride, place, start_utc_s, utc_offset_s, local_day, "
                      "n_seconds, timer_s) SELECT rider, original, $2, parts, same_by_hand, "
                      "format, method, sport, is_ride, place, start_utc_s - 86400 * (1 + $2), "
                      "utc_offset_s, $3, n_seconds, timer_s FROM recording WHERE id = $1 RETURNING "
                      "id",
                      "i", DB_ARGS(db_integer(past->model), db_integer(i + 10), db_text(day)),
                      &rows, err)) {
            return false;
        }
        const struct db_value id = db_integer(db_integer_at(&rows, 0, 0));
        const struct db_value model = db_integer(past->model);
        if (!db_run(db,
                    "INSERT INTO best_curve (recording, grid, work_j, at_least) SELECT $2, grid, "
                    "work_j, at_least FROM best_curve WHERE recording = $1",
                    DB_ARGS(model, id), err) ||
            !db_run(db,
                    "INSERT INTO reading (rider, question, subject_kind, subject, set_number, "
                    "rep_number, day, verdict, method, basis_hash, content, made_utc_s) SELECT "
                    "rider, question, subject_kind, $2, set_number, rep_number, $3, verdict, "
                    "method, basis_hash, content, made_utc_s FROM reading WHERE subject = $1",
                    DB_ARGS(model, id, db_text(day)), err) ||
            (i % 10 == 0 &&
             !db_run(db,
                     "INSERT INTO threshold (rider, day, value_w, protocol) VALUES ($1, $2, $3, "
                     "'given')",
                     DB_ARGS(db_integer(riders[0].id), db_text(day), db_real(240)), err)) ||
            (i % 30 == 0 && !best_months_rebuild(db, arena, riders[0].id,
                                                 arena_format(arena, "%.7s", day), err))) {
            return false;
        }
    }
    return true;
}

static void live_through(int64_t n)
{
    struct error err = { 0 };
    import_ride(&made[0]);
    struct past past = { n, number("SELECT MIN(id) FROM recording") };
    must(db_write(roster_db(roster), add_past, &past, &err), &err);
    look();
}

static uint64_t steps_since(uint64_t before)
{
    return db_steps(roster_db(roster)) - before;
}

static void set_threshold(const char *day, double watts)
{
    struct error err = { 0 };
    struct fact fact = { .day = day, .value = watts, .low = (double)NAN, .high = (double)NAN };
    must(facts_set(roster, arena, now, &riders[0], FACT_THRESHOLD, &fact, &err), &err);
}

/* The newest ride taken in, looked at, and read again alone. */
struct cost {
    uint64_t import;
    uint64_t look;
    uint64_t read;
    size_t touched;
};

static struct cost cost_of_newest(int64_t n)
{
    struct cost cost = { 0 };
    live_through(n);
    uint64_t before = db_steps(roster_db(roster));
    import_ride(&made[8]);
    look();
    cost.import = steps_since(before);
    set_threshold("2026-04-02", 250);
    before = db_steps(roster_db(roster));
    cost.touched = look().count;
    cost.look = steps_since(before);
    before = db_steps(roster_db(roster));
    check_integer("read again", (int64_t)run_jobs(1).done, 1);
    cost.read = steps_since(before);
    return cost;
}

static void again(void)
{
    check(kept_end(NULL) == 0);
    check(kept_begin(NULL) == 0);
}

static void at_most(const char *what, uint64_t got, uint64_t base, double ratio)
{
    if ((double)got > ratio * (double)base) {
        print_error("# %s: %llu steps, and %llu with the shorter past\n", what,
                    (unsigned long long)got, (unsigned long long)base);
    }
    check((double)got <= ratio * (double)base);
}

static void test_costs__the_newest_ride_does_not_pay_for_the_past(void **state)
{
    (void)state;
    const struct cost young = cost_of_newest(125);
    again();
    const struct cost old = cost_of_newest(1250);
    check_integer("one ride", (int64_t)young.touched, 1);
    check_integer("one ride", (int64_t)old.touched, 1);
    at_most("taking it in", old.import, young.import, 1.2);
    at_most("looking", old.look, young.look, 1.2);
    at_most("reading it again", old.read, young.read, 1.2);
}

/* A threshold set n days back, the next entry at most ten days later. */
static uint64_t cost_of_threshold(int64_t back, const char *until, size_t *touched)
{
    char day[11];
    day_back(back, day);
    if (until != NULL) {
        set_threshold(until, 260);
        look();
    }
    set_threshold(day, 255);
    const uint64_t before = db_steps(roster_db(roster));
    *touched = look().count;
    return steps_since(before);
}

static void test_costs__a_threshold_pays_for_the_rides_it_touches(void **state)
{
    (void)state;
    size_t few = 0;
    size_t many = 0;
    live_through(300);
    store_run(roster_db(roster), "DELETE FROM threshold");
    const uint64_t of_few = cost_of_threshold(200, "2025-10-04", &few); /* 13 September */
    check_integer("21 days", (int64_t)few, 21);
    again();
    live_through(300);
    store_run(roster_db(roster), "DELETE FROM threshold");
    const uint64_t of_many = cost_of_threshold(200, "2026-02-06", &many);
    check_integer("146 days", (int64_t)many, 146);
    /* Linear: a ride's share no greater than among few. */
    at_most("a ride", of_many / many, of_few / few, 1.1);
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    maths_begin();
    const struct CMUnitTest tests[] = {
#define TEST(name) cmocka_unit_test_setup_teardown(name, kept_begin, kept_end)
        TEST(test_costs__the_newest_ride_does_not_pay_for_the_past),
        TEST(test_costs__a_threshold_pays_for_the_rides_it_touches),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
