/* tests/roster/test_store_settings.c: what holds for the whole roster. */
#include "roster/store.h"

#include "roster/changes.h"
#include "roster/settings.h"

static const struct roster_now now = { 1773480413, "tester" };

static const char *get(struct roster *roster, struct arena *arena, const char *name)
{
    const char *content = "not asked";
    struct error err = { 0 };
    must(settings_get(roster, arena, name, &content, &err), &err);
    return content;
}

static void test_settings__are_kept_edited_and_taken_back(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct roster *roster = NULL;
    struct error err = { 0 };
    struct change_line undone = { 0 };
    must(roster_open(store_place(), ROSTER_CREATE, now, &roster, &err), &err);
    check_text("unset", get(roster, arena, SETTING_TODAY), NULL);
    must(settings_set(roster, arena, now, SETTING_TODAY, "2026-03-14", &err), &err);
    must(settings_set(roster, arena, now, SETTING_TODAY, "2026-03-15", &err), &err);
    must(settings_set(roster, arena, now, SETTING_ZONE, "UTC", &err), &err);
    check_text("today", get(roster, arena, SETTING_TODAY), "2026-03-15");
    check_text("zone", get(roster, arena, SETTING_ZONE), "UTC");
    must(changes_undo(roster, arena, now, 2, &undone, &err), &err);
    check_text("words", undone.words, "Setting today of the roster: 2026-03-15");
    check_text("today again", get(roster, arena, SETTING_TODAY), "2026-03-14");
    roster_close(roster);
    arena_close(arena);
}

static void test_settings__what_is_no_setting_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        const char *content;
        const char *message;
    } rows[] = {
        { SETTING_TODAY, "yesterday", "yesterday is no day; write it as 2026-03-14" },
        { "colour", "red", "colour: there is no such setting; there are zone and today" },
    };
    struct arena *arena = arena_open();
    struct roster *roster = NULL;
    struct error err = { 0 };
    must(roster_open(store_place(), ROSTER_CREATE, now, &roster, &err), &err);
    for (size_t i = 0; i < COUNT(rows); i++) {
        check(!settings_set(roster, arena, now, rows[i].name, rows[i].content, &err));
        check_integer(rows[i].name, err.kind, ERROR_USAGE);
        check_text(rows[i].name, err.message, rows[i].message);
    }
    check(!settings_set(roster, arena, now, SETTING_ZONE, "Nowhere/Else", &err));
    check_text("unset", get(roster, arena, SETTING_ZONE), NULL);
    roster_close(roster);
    arena_close(arena);
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_settings__are_kept_edited_and_taken_back),
        cmocka_unit_test(test_settings__what_is_no_setting_is_refused),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
