/* tests/roster/test_store_looked.c: what came since the coach looked at the list. */
#include "roster/store.h"

#include "roster/day_notes.h"
#include "roster/looked.h"

#define DAY 86400
/* Saturday, 14 March 2026, 9:26:53 UTC. */
#define SATURDAY 1773480413

static struct looked read_at(struct roster *roster, struct arena *arena, int64_t utc_s)
{
    struct looked looked;
    struct error err = { 0 };
    must(looked_read(roster_db(roster), arena, (struct roster_now){ utc_s, NULL }, &looked, &err),
         &err);
    return looked;
}

static void look_at(struct roster *roster, struct arena *arena, int64_t utc_s)
{
    struct error err = { 0 };
    must(looked_now(roster, arena, (struct roster_now){ utc_s, NULL }, &err), &err);
}

static void add_note(struct roster *roster, struct arena *arena, const struct rider *rider,
                     int64_t utc_s)
{
    struct error err = { 0 };
    struct day_note note = { .day = "2026-03-10", .answers = answers_none(), .words = "fine" };
    must(day_notes_add(roster, arena, (struct roster_now){ utc_s, NULL }, rider, &note, &err),
         &err);
}

/*   Sat 9:26 look   Sat 15:00 note, look   Mon 9:26 note, look, look */
static void test_looked__new_is_what_came_after_the_last_look_of_an_earlier_day(void **state)
{
    struct arena *arena = arena_open();
    struct roster *roster = NULL;
    struct error err = { 0 };
    struct rider ada = { .name = "Ada Berg" };
    (void)state;
    must(roster_open(store_place(), ROSTER_CREATE, (struct roster_now){ SATURDAY, NULL }, &roster,
                     &err),
         &err);
    must(riders_add(roster, arena, (struct roster_now){ SATURDAY, NULL }, &ada, &err), &err);
    check(!read_at(roster, arena, SATURDAY).is_known);
    look_at(roster, arena, SATURDAY);
    check(!read_at(roster, arena, SATURDAY + 60).is_known);
    add_note(roster, arena, &ada, SATURDAY + 5 * 3600);
    look_at(roster, arena, SATURDAY + 6 * 3600);

    const int64_t monday = SATURDAY + 2 * DAY;
    add_note(roster, arena, &ada, monday - 3600);
    struct looked looked = read_at(roster, arena, monday);
    check(looked.is_known);
    check_text("day", looked.day, "2026-03-14");
    check_integer("since the evening", looked.since_utc_s, SATURDAY + 6 * 3600);
    check_integer("answers", (int64_t)looked.answers, 1);

    look_at(roster, arena, monday);
    look_at(roster, arena, monday + 2 * LOOKED_AGAIN_S);
    looked = read_at(roster, arena, monday + 3 * LOOKED_AGAIN_S);
    check_integer("reading it twice loses nothing", looked.since_utc_s, SATURDAY + 6 * 3600);
    looked = read_at(roster, arena, monday + DAY);
    check_integer("a day later", looked.since_utc_s, monday + 2 * LOOKED_AGAIN_S);
    check_integer("answers a day later", (int64_t)looked.answers, 0);
    roster_close(roster);
    arena_close(arena);
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_looked__new_is_what_came_after_the_last_look_of_an_earlier_day),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
