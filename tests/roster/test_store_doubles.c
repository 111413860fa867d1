/* tests/roster/test_store_doubles.c: what a coach says of the recordings of a ride. */
#include "roster/kept_true.h"

#include "base/text.h"
#include "maths/maths.h"
#include "roster/asked.h"
#include "roster/changes.h"
#include "roster/same_ride.h"

static int64_t same_as(const char *name)
{
    return number(arena_format(arena,
                               "SELECT r.same_as FROM recording r JOIN original o ON o.id = "
                               "r.original WHERE o.name LIKE '%%/%s.csv'",
                               name));
}

static struct ride_row ride_named(const char *name)
{
    struct ride_row row = { 0 };
    struct error err = { 0 };
    const int64_t id = number(arena_format(arena,
                                           "SELECT r.id FROM recording r JOIN original o ON o.id "
                                           "= r.original WHERE o.name LIKE '%%/%s.csv'",
                                           name));
    must(recordings_row(roster_db(roster), arena, id, &row, &err), &err);
    return row;
}

static void take_back_last(void)
{
    struct change_line undone = { 0 };
    struct error err = { 0 };
    must(changes_undo(roster, arena, now, 0, &undone, &err), &err);
    keep_true(1);
    check_all_made_again();
}

static void test_doubles__the_coach_chooses_and_no_import_overrides(void **state)
{
    (void)state;
    struct error err = { 0 };
    const char *said = NULL;
    import_ride(&made[2]); /* c */
    import_ride(&made[3]); /* c2 */
    const int64_t first = ride_named("c").id;
    const int64_t second = ride_named("c2").id;
    check_integer("c counts", same_as("c"), 0);
    check_integer("c2 is the same", same_as("c2"), first);
    struct ride_row row = ride_named("c2");
    must(same_ride_choose(roster, arena, now, &row, &said, &err), &err);
    check_text("said", said,
               arena_format(arena, "Ride %lld of 2026-03-05 stands for its ride (was %lld)",
                            (long long)second, (long long)first));
    check_integer("c2 counts", same_as("c2"), 0);
    check_integer("c is the same", same_as("c"), second);
    keep_true(1);
    check_all_made_again();
    import_ride(&made[5]); /* c3 would have joined c or c2, and joins the chosen one */
    check_integer("c3 joins", same_as("c3"), second);
    check_integer("c2 still counts", same_as("c2"), 0);
    keep_true(1);
    check_all_made_again();
    take_back_last();
    check_integer("c counts again", same_as("c"), 0);
}

static void test_doubles__a_split_ride_is_its_own(void **state)
{
    (void)state;
    struct error err = { 0 };
    const char *said = NULL;
    import_ride(&made[2]);
    import_ride(&made[3]);
    struct ride_row row = ride_named("c2");
    must(same_ride_split(roster, arena, now, &row, &said, &err), &err);
    check_integer("c counts", same_as("c"), 0);
    check_integer("c2 counts", same_as("c2"), 0);
    keep_true(1);
    check_all_made_again();
    row = ride_named("c");
    check(!same_ride_split(roster, arena, now, &row, &said, &err));
    check_integer("alone now", err.kind, ERROR_NOT_FOUND);
    take_back_last();
    check_integer("c2 is the same again", same_as("c2"), ride_named("c").id);
}

static void test_doubles__what_was_asked_is_asked_of_the_ride(void **state)
{
    (void)state;
    struct error err = { 0 };
    const char *said = NULL;
    struct asked asked = asked_nothing();
    bool found = false;
    import_ride(&made[2]);
    struct ride_row row = ride_named("c");
    asked.kind = KIND_TEMPO;
    must(asked_set(roster, arena, now, &row, &asked, &said, &err), &err);
    keep_true(1);
    import_ride(&made[3]);
    keep_true(1);
    row = ride_named("c2");
    must(asked_find(roster_db(roster), arena, row.id, &asked, &found, &err), &err);
    check(found && asked.kind == KIND_TEMPO);
    check_all_made_again();
    must(same_ride_split(roster, arena, now, &row, &said, &err), &err);
    keep_true(1);
    must(asked_find(roster_db(roster), arena, row.id, &asked, &found, &err), &err);
    check(!found);
    check_all_made_again();
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    maths_begin();
    const struct CMUnitTest tests[] = {
#define TEST(name) cmocka_unit_test_setup_teardown(name, kept_begin, kept_end)
        TEST(test_doubles__the_coach_chooses_and_no_import_overrides),
        TEST(test_doubles__a_split_ride_is_its_own),
        TEST(test_doubles__what_was_asked_is_asked_of_the_ride),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
