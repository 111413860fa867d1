/* tests/roster/test_store_password.c: what is asked beyond the machine, and whether a store
 * changed. */
#include "roster/store.h"

#include "roster/changes.h"
#include "roster/password.h"
#include "roster/settings.h"

#include <string.h>

static const struct roster_now now = { 1773480413, "tester" };

static void test_password__only_what_it_can_be_compared_with_is_kept(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct roster *roster = NULL;
    struct error err = { 0 };
    const char *first = NULL;
    const char *second = NULL;
    struct change_line *changes = NULL;
    size_t n_changes = 0;
    must(roster_open(store_place(), ROSTER_CREATE, now, &roster, &err), &err);
    must(password_get(roster, arena, &first, &err), &err);
    check(first == NULL);
    must(password_set(roster, "correct horse", &err), &err);
    must(password_get(roster, arena, &first, &err), &err);
    check(strncmp(first, "$argon2id$v=19$m=65536,t=2,p=1$", 31) == 0);
    check(strstr(first, "correct") == NULL);
    check(password_is(first, "correct horse"));
    check(!password_is(first, "correct horsf"));
    check(!password_is("", "correct horse"));
    must(password_set(roster, "correct horse", &err), &err);
    must(password_get(roster, arena, &second, &err), &err);
    check(strcmp(first, second) != 0); /* another salt */
    /* No undo brings an old one back. */
    must(changes_list(roster, arena, 10, &changes, &n_changes, &err), &err);
    check_integer("changes", (int64_t)n_changes, 0);
    must(password_set(roster, NULL, &err), &err);
    must(password_get(roster, arena, &first, &err), &err);
    check(first == NULL);
    roster_close(roster);
    arena_close(arena);
}

static void test_password__short_long_and_broken_ones_are_refused(void **state)
{
    (void)state;
    struct roster *roster = NULL;
    struct error err = { 0 };
    char too_long[PASSWORD_LONGEST + 2];
    memset(too_long, 'a', sizeof too_long);
    too_long[sizeof too_long - 1] = '\0';
    must(roster_open(store_place(), ROSTER_CREATE, now, &roster, &err), &err);
    check(!password_set(roster, "", &err));
    check(!password_set(roster, "nine char", &err));
    check(!password_set(roster, too_long, &err));
    check(!password_set(roster, "ten bytes \xC0\xAF", &err));
    check_integer("kind", err.kind, ERROR_USAGE);
    roster_close(roster);
}

static void test_db__a_mark_moves_with_the_commits_of_others(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct roster *watcher = NULL;
    struct roster *writer = NULL;
    struct error err = { 0 };
    int64_t before = 0;
    int64_t after = 0;
    const char *place = store_place();
    must(roster_open(place, ROSTER_CREATE, now, &writer, &err), &err);
    must(roster_open(place, ROSTER_OPEN, now, &watcher, &err), &err);
    must(db_mark(roster_db(watcher), &before, &err), &err);
    must(db_mark(roster_db(watcher), &after, &err), &err);
    check_integer("nothing happened", before == after, true);
    must(settings_set(writer, arena, now, SETTING_TODAY, "2026-03-14", &err), &err);
    must(db_mark(roster_db(watcher), &after, &err), &err);
    check_integer("a commit", before == after, false);
    roster_close(watcher);
    roster_close(writer);
    arena_close(arena);
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_password__only_what_it_can_be_compared_with_is_kept),
        cmocka_unit_test(test_password__short_long_and_broken_ones_are_refused),
        cmocka_unit_test(test_db__a_mark_moves_with_the_commits_of_others),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
