/* tests/roster/test_store_sessions.c: sessions by rider and day; held against what is on file. */
#include "roster/store.h"

#include "roster/facts.h"
#include "roster/health.h"
#include "roster/season.h"
#include "roster/sessions.h"

#include <math.h>
#include <string.h>

static struct arena *arena;
static struct roster *roster;
static struct rider ada;
static const struct roster_now now = { 1773480413, "tester" };

static int begin(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct screening none = { .day = "2026-01-05" };
    arena = arena_open();
    ada = (struct rider){ .name = "Ada Berg", .training_since_day = "2026-01-01" };
    return roster_open(store_place(), ROSTER_CREATE, now, &roster, &err) &&
                   riders_add(roster, arena, now, &ada, &err) &&
                   health_screen(roster, arena, now, &ada, &none, &err)
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

static struct rider_session draft(const char *day, const char *kind, const char *words)
{
    return (struct rider_session){ .day = day, .name = "one", .kind = kind, .words = words };
}

/* What saving says: the change in words, or "! " and the error. */
static const char *save(struct rider_session *row)
{
    struct error err = { 0 };
    return sessions_save(roster, arena, now, &ada, row, &err)
               ? row->entry.said
               : arena_format(arena, "! %s", err.message);
}

static void undo(void)
{
    struct error err = { 0 };
    struct change_line undone = { 0 };
    must(changes_undo(roster, arena, now, 0, &undone, &err), &err);
}

static struct rider_session found(int64_t id)
{
    struct error err = { 0 };
    struct rider_session row = { 0 };
    must(entries_find(roster, arena, &session_kind, &ada, id, &row, &err), &err);
    return row;
}

static void holds(const char *said, const char *words)
{
    check_text("said", strstr(said, words) != NULL ? words : said, words);
}

static void test_session__is_kept_as_it_is_written_and_taken_back(void **state)
{
    (void)state;
    struct rider_session row = draft("2026-03-17", "vo2max", "4x4min at 110%\nplan B: 30 min");
    holds(save(&row), "Session of Ada Berg: 2026-03-17 one (VO2max, drafted): 4 times (4 min at "
                      "110 %) / plan B: 30 min");
    check_text("words", found(row.entry.id).words, "4 times (4 min at 110 %)\nplan B: 30 min");
    holds(save(&row), "(as it was)");
    row.why = "you fade";
    row.state = "given";
    holds(save(&row), "why: you fade");
    check_integer("version", found(row.entry.id).entry.version, 2);
    undo();
    check_text("state", found(row.entry.id).state, "drafted");
    check_integer("version", found(row.entry.id).entry.version, 3);
    holds(save(&row), "! "); /* somebody changed it since */
    undo();
    struct rider_session *rows = NULL;
    size_t count = 0;
    struct error err = { 0 };
    must(entries_list(roster, arena, &session_kind, ada.id, &rows, &count, &err), &err);
    check_integer("sessions", (int64_t)count, 0);
}

static void test_session__what_is_off_is_said(void **state)
{
    (void)state;
    struct rider_session row = draft("2026-03-17", "vo2mx", "4 min at 110 %");
    holds(save(&row), "! vo2mx: no kind of session; did you mean vo2max?");
    row = draft("2026-03-17", "vo2max", "4 mn at 110 %");
    holds(save(&row), "! line 1, column 3: \"mn\" isn't understood here; did you mean \"min\"?");
    row = draft("17.3.2026", "vo2max", "4 min at 110 %");
    holds(save(&row), "! ");
    row = draft("2026-03-17", "vo2max", "4 min at 110 %");
    row.state = "lost";
    holds(save(&row), "! lost: drafted, given, withdrawn or done");
}

static void test_session__is_held_against_what_is_on_file(void **state)
{
    (void)state;
    static const char hard[] = "4 times (4 min at 110 %, 4 min)";
    struct error err = { 0 };
    struct rider_session first = draft("2026-03-17", "vo2max", hard);
    struct rider_session next = draft("2026-03-18", "vo2max", hard);
    struct rider_session early = draft("2026-01-04", "vo2max", hard);
    holds(save(&early), "! not offered: Medical advice first"); /* asked on 5 January */
    holds(save(&first), "drafted");
    holds(save(&next), "safe_hard_gap_h");
    next.confirmed = "safe_hard_gap_h safe_vo2max_s";
    holds(save(&next), "knowingly past safe_hard_gap_h");
    check_text("kept", found(next.entry.id).confirmed, "safe_hard_gap_h");
    first.state = "withdrawn";
    holds(save(&first), "withdrawn");
    next.confirmed = NULL;
    holds(save(&next), "drafted"); /* the day before is free now */
    struct day_off ill = { .kind = "ill", .from_day = "2026-03-25", .to_day = "2026-03-28" };
    must(entries_save(roster, arena, now, &day_off_kind, &ada, &ill, &err), &err);
    struct rider_session in_bed = draft("2026-03-26", "vo2max", hard);
    holds(save(&in_bed), "! not offered: Ill on that day");
}

static void test_session__what_was_given_is_withdrawn_not_taken_away(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct calendar_entry entry = { 0 };
    struct calendar_entry again = { 0 };
    struct rider_session row = draft("2026-03-17", "easy", "60 min at 50-60 %");
    row.state = "given";
    holds(save(&row), "given");
    check(!sessions_remove(roster, arena, now, &ada, &row, &err));
    check_integer("refused", err.kind, ERROR_CONFLICT);
    row = found(row.entry.id);
    must(sessions_entry(roster, arena, &row, 246, &entry, &err), &err);
    check(!entry.is_cancelled && strstr(entry.description, "246 W") != NULL);
    row.state = "withdrawn";
    holds(save(&row), "withdrawn");
    row = found(row.entry.id);
    must(sessions_entry(roster, arena, &row, (double)NAN, &again, &err), &err);
    check(again.is_cancelled && again.sequence > entry.sequence);
    check_text("uid", again.uid, entry.uid);
    undo();
    row = found(row.entry.id);
    must(sessions_entry(roster, arena, &row, (double)NAN, &entry, &err), &err);
    check(!entry.is_cancelled && entry.sequence > again.sequence);
    int64_t until = 0;
    must(sessions_plan_until(roster_db(roster), arena, ada.id, &until, &err), &err);
    check_integer("plan until", until, entry.day);
    struct rider_session other = draft("2026-03-18", "easy", "60 min");
    holds(save(&other), "drafted");
    must(sessions_remove(roster, arena, now, &ada, &other, &err), &err);
    row.state = "withdrawn";
    holds(save(&row), "withdrawn");
    must(sessions_plan_until(roster_db(roster), arena, ada.id, &until, &err), &err);
    check(until == INT64_MIN);
}

static size_t count_of(const struct rider *rider)
{
    struct error err = { 0 };
    struct rider_session *rows = NULL;
    size_t count = 0;
    must(entries_list(roster, arena, &session_kind, rider->id, &rows, &count, &err), &err);
    return count;
}

static void test_session__several_riders_are_drafted_for_in_one_change_or_none(void **state)
{
    (void)state;
    static const char hard[] = "4 times (4 min at 110 %, 4 min)";
    struct error err = { 0 };
    struct screening none = { .day = "2026-01-05" };
    struct rider bea = { .name = "Bea Lind", .training_since_day = "2026-01-01" };
    const char *said = NULL;
    must(riders_add(roster, arena, now, &bea, &err) &&
             health_screen(roster, arena, now, &bea, &none, &err),
         &err);
    struct session_for rows[] = {
        { &ada, draft("2026-03-17", "vo2max", hard) },
        { &bea, draft("2026-03-17", "vo2max", hard) },
        { &bea, draft("2026-03-18", "vo2max", hard) },
    };
    check(!sessions_draft_for(roster, arena, now, rows, COUNT(rows), &said, &err));
    holds(err.message, "Bea Lind, 2026-03-18: ");
    holds(err.message, "safe_hard_gap_h");
    check_integer("Ada's", (int64_t)count_of(&ada), 0);
    rows[2].row.confirmed = "safe_hard_gap_h";
    must(sessions_draft_for(roster, arena, now, rows, COUNT(rows), &said, &err), &err);
    check_text("said", said,
               "3 sessions drafted: Ada Berg 2026-03-17 one; Bea Lind 2026-03-17 one; Bea Lind "
               "2026-03-18 one");
    check_integer("Ada's", (int64_t)count_of(&ada), 1);
    check_integer("Bea's", (int64_t)count_of(&bea), 2);
    undo();
    check_integer("Ada's", (int64_t)count_of(&ada), 0);
    check_integer("Bea's", (int64_t)count_of(&bea), 0);
}

static void test_session__the_next_is_the_first_that_stands(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct rider_session gone = draft("2026-03-10", "easy", "60 min at 50 %");
    struct rider_session later = draft("2026-03-20", "easy", "60 min at 50 %");
    struct rider_session first = draft("2026-03-12", "easy", "90 min at 50 %");
    struct rider_session next = { 0 };
    bool is_there = true;
    struct db *db = roster_db(roster);
    must(sessions_next(db, arena, ada.id, "2026-03-01", &next, &is_there, &err), &err);
    check(!is_there);
    gone.state = "withdrawn";
    first.state = "given";
    holds(save(&gone), "withdrawn");
    holds(save(&later), "drafted");
    holds(save(&first), "given");
    must(sessions_next(db, arena, ada.id, "2026-03-01", &next, &is_there, &err), &err);
    check(is_there);
    check_text("day", next.day, "2026-03-12");
    check_text("state", next.state, "given");
    check_integer("number", next.entry.id, first.entry.id);
    must(sessions_next(db, arena, ada.id, "2026-03-13", &next, &is_there, &err), &err);
    check_text("day", next.day, "2026-03-20");
    must(sessions_next(db, arena, ada.id, "2026-03-21", &next, &is_there, &err), &err);
    check(!is_there);
}

static void test_session__the_coachs_own_have_names(void **state)
{
    (void)state;
    struct error err = { 0 };
    const char *said = NULL;
    bool is_found = false;
    struct own_session got = { 0 };
    struct own_session own = { .name = "mill hills", .kind = "easy", .words = "60min at 50%" };
    must(sessions_own_keep(roster, arena, now, &own, &said, &err), &err);
    holds(said, "Session of your own, mill hills (easy): 60 min at 50 %");
    own.words = "70 min at 50 %";
    must(sessions_own_keep(roster, arena, now, &own, &said, &err), &err);
    must(sessions_own_find(roster, arena, "mill hills", &got, &is_found, &err), &err);
    check_text("words", got.words, "70 min at 50 %");
    undo();
    must(sessions_own_find(roster, arena, "mill hills", &got, &is_found, &err), &err);
    check_text("words", got.words, "60 min at 50 %");
    own = (struct own_session){ .name = "vo2max", .words = "60 min" };
    check(!sessions_own_keep(roster, arena, now, &own, &said, &err));
    must(sessions_own_drop(roster, arena, now, "mill hills", &said, &err), &err);
    check(!sessions_own_drop(roster, arena, now, "mill hills", &said, &err));
    check_integer("gone", err.kind, ERROR_NOT_FOUND);
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, begin, end)

int main(int argc, char *argv[])
{
    const struct CMUnitTest tests[] = {
        TEST(test_session__is_kept_as_it_is_written_and_taken_back),
        TEST(test_session__what_is_off_is_said),
        TEST(test_session__is_held_against_what_is_on_file),
        TEST(test_session__what_was_given_is_withdrawn_not_taken_away),
        TEST(test_session__several_riders_are_drafted_for_in_one_change_or_none),
        TEST(test_session__the_next_is_the_first_that_stands),
        TEST(test_session__the_coachs_own_have_names),
    };
    if (!store_begin(argc, argv)) {
        return 0;
    }
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
