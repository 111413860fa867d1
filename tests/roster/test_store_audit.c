/* tests/roster/test_store_audit.c: the check of a roster finds what was planted, each in its step,
 * and nothing in a sound one. */
#include "roster/small_roster.h"

#include "maths/maths.h"
#include "roster/audit.h"

#include <string.h>

static struct small_roster small;

static int begin(void **state)
{
    (void)state;
    small = small_with_rides();
    return 0;
}

static int end(void **state)
{
    (void)state;
    small_end(&small);
    return 0;
}

static struct audit_sum audit(bool all, size_t n_rides, uint64_t seed)
{
    struct audit_sum sum = { 0 };
    struct error err = { 0 };
    const struct audit_call call = {
        .roster = small.roster, .all = all, .n_rides = n_rides, .seed = seed
    };
    must(audit_run(small.arena, &call, &sum, &err), &err);
    return sum;
}

static void test_audit__a_sound_roster_has_no_problem(void **state)
{
    (void)state;
    const struct audit_sum sum = audit(true, 0, 0);
    check_text("first", sum.n_listed > 0 ? sum.list[0].what : "", "");
    check_integer("problems", (int64_t)audit_problems(&sum), 0);
    check_integer("originals", (int64_t)sum.looked[AUDIT_ORIGINALS], 4);
    check_integer("read again", (int64_t)sum.looked[AUDIT_READ_AGAIN], 4);
    check_integer("months", (int64_t)sum.looked[AUDIT_BESTS], 3);
    check(sum.looked[AUDIT_TEXT] > 20 || !store_is_file());
    check_integer("out of date", (int64_t)sum.n_out_of_date, 0);
}

/* One fault each, planted behind the program's back. */
static const struct {
    const char *name;
    enum audit_step step;
    const char *sql[2]; /* DB_SQLITE, DB_POSTGRES; the second NULL = the same */
    const char *said;
} faults[] = {
    { "bytes of a file",
      AUDIT_ORIGINALS,
      { "UPDATE original SET content = (SELECT content FROM original WHERE id = 2) WHERE id = 1",
        NULL },
      "are not those that came" },
    { "a series",
      AUDIT_READ_AGAIN,
      { "UPDATE series SET content = (SELECT s.content FROM series s WHERE s.recording = 2 AND "
        "s.channel = 'power_w') WHERE recording = 1 AND channel = 'power_w'",
        NULL },
      "power_w" },
    { "a mask",
      AUDIT_READ_AGAIN,
      { "UPDATE series SET mask = content WHERE recording = 1 AND channel = 'cadence_rpm'", NULL },
      "cadence_rpm" },
    { "work",
      AUDIT_READ_AGAIN,
      { "UPDATE recording SET work_kj = work_kj + 0.001 WHERE id = 1", NULL },
      "its work" },
    { "a verdict",
      AUDIT_READ_AGAIN,
      { "UPDATE reading SET verdict = 'as-never-said' WHERE id = 2", NULL },
      "its readings" },
    { "the words of a reading",
      AUDIT_READ_AGAIN,
      { "UPDATE reading SET content = '{}' WHERE id = 1", NULL },
      "its readings" },
    { "bests of a ride",
      AUDIT_READ_AGAIN,
      { "UPDATE best_curve SET work_j = (SELECT b.work_j FROM best_curve b WHERE b.recording = 2) "
        "WHERE recording = 1",
        NULL },
      "its bests" },
    { "a month that is gone",
      AUDIT_BESTS,
      { "DELETE FROM best_month WHERE month = '2026-01'", NULL },
      "Ada Berg in 2026-01" },
    { "a month that never was",
      AUDIT_BESTS,
      { "INSERT INTO best_month (rider, month, grid, work_j, recordings) SELECT rider, '2026-02', "
        "grid, work_j, recordings FROM best_month WHERE id = 1",
        NULL },
      "2026-02" },
    { "a change of a row that never was",
      AUDIT_REFERENCES,
      { "UPDATE change_row SET row_id = 7777 WHERE table_name = 'threshold' AND kind = 'add'",
        NULL },
      "threshold that never was" },
    { "a change of no table",
      AUDIT_REFERENCES,
      { "UPDATE change_row SET table_name = 'nothing' WHERE id = 1", NULL },
      "table that isn't one" },
    { "a note of a ride that is gone",
      AUDIT_REFERENCES,
      { "UPDATE threshold SET recording = 7777 WHERE id = 1", NULL },
      "thresholds of a ride" },
    { "a reading of another",
      AUDIT_REFERENCES,
      { "UPDATE reading SET rider = 2 WHERE subject = 1", NULL },
      "another rider" },
    { "a file of nobody",
      AUDIT_REFERENCES,
      { "INSERT INTO original (sha256, name, size, packing, content, taken_utc_s) SELECT "
        "zeroblob(32), 'x', 0, 'none', zeroblob(0), 0",
        "INSERT INTO original (sha256, name, size, packing, content, taken_utc_s) SELECT "
        "decode(repeat('00', 32), 'hex'), 'x', 0, 'none', decode('', 'hex'), 0" },
      "no recording names" },
    { "the same as none that counts",
      AUDIT_REFERENCES,
      { "UPDATE recording SET same_as = 4 WHERE id = 1", NULL },
      "doesn't count" },
};

static void test_audit__finds_each_planted_fault_in_its_step(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(faults); i++) {
        small_end(&small);
        small = small_with_rides();
        const char *server = faults[i].sql[1];
        small_run(&small, store_is_file() || server == NULL ? faults[i].sql[0] : server);
        const struct audit_sum sum = audit(true, 0, 0);
        bool said = false;
        for (size_t k = 0; k < sum.n_listed; k++) {
            said = said || (sum.list[k].step == faults[i].step &&
                            strstr(sum.list[k].what, faults[i].said) != NULL);
            check(sum.list[k].todo[0] != '\0');
        }
        check_text(faults[i].name,
                   said               ? faults[i].said
                   : sum.n_listed > 0 ? sum.list[0].what
                                      : "no problem",
                   faults[i].said);
    }
}

/* SQLite alone can hold such text: a server refuses it. */
static void test_audit__text_that_is_none_is_named(void **state)
{
    (void)state;
    if (!store_is_file()) {
        return;
    }
    small_run(&small, "UPDATE rider SET note = CAST(x'41ff41' AS TEXT) WHERE id = 2");
    const struct audit_sum sum = audit(false, 0, 0);
    check_integer("problems", (int64_t)sum.problems[AUDIT_TEXT], 1);
    check_text("line", sum.list[0].what, "note of rider 2 is no text");
}

/* Facts that came later make readings out of date; that is no fault of the store. */
static void test_audit__readings_out_of_date_are_no_problem(void **state)
{
    (void)state;
    small_run(&small, "UPDATE threshold SET value_w = 255 WHERE rider = 1");
    const struct audit_sum sum = audit(true, 0, 0);
    check_integer("problems", (int64_t)audit_problems(&sum), 0);
    check(sum.n_out_of_date > 0);
}

/* The same seed chooses the same rides, and each ride comes sometime. */
static void test_audit__the_sample_is_the_seeds(void **state)
{
    (void)state;
    small_run(&small, "UPDATE recording SET timer_s = timer_s + 1 WHERE id = 2");
    size_t found = 0;
    for (uint64_t seed = 0; seed < 16; seed++) {
        const struct audit_sum one = audit(false, 1, seed);
        const struct audit_sum two = audit(false, 1, seed);
        check_integer("looked at", (int64_t)one.looked[AUDIT_READ_AGAIN], 1);
        check_integer("again", (int64_t)two.n_listed, (int64_t)one.n_listed);
        found += one.n_listed;
    }
    check(found > 0 && found < 16);
    const struct audit_sum none = audit(false, 0, 1);
    check_integer("none", (int64_t)none.looked[AUDIT_READ_AGAIN], 0);
    check_integer("of", (int64_t)none.n_rides, 4);
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    maths_begin();
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(test_audit__a_sound_roster_has_no_problem),
        TEST(test_audit__finds_each_planted_fault_in_its_step),
        TEST(test_audit__text_that_is_none_is_named),
        TEST(test_audit__readings_out_of_date_are_no_problem),
        TEST(test_audit__the_sample_is_the_seeds),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
