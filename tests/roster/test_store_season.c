/* tests/roster/test_store_season.c: goals, events, blocks, days off, time, contacts; taken back. */
#include "roster/store.h"

#include "base/dates.h"
#include "roster/availability.h"
#include "roster/contacts.h"
#include "roster/facts.h"
#include "roster/season.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct arena *arena;
static struct roster *roster;
static struct rider ada;
static const struct roster_now now = { 1773480413, "tester" };

static int begin(void **state)
{
    (void)state;
    struct error err = { 0 };
    arena = arena_open();
    ada = (struct rider){ .name = "Ada Berg" };
    return roster_open(store_place(), ROSTER_CREATE, now, &roster, &err) &&
                   riders_add(roster, arena, now, &ada, &err)
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

/* What saving says: the change in words, or "! " and the error. */
static const char *save(const struct entry_kind *kind, void *row)
{
    struct error err = { 0 };
    struct entry entry;
    if (!entries_save(roster, arena, now, kind, &ada, row, &err)) {
        return arena_format(arena, "! %s", err.message);
    }
    memcpy(&entry, row, sizeof entry);
    return entry.said;
}

static const char *take_away(const struct entry_kind *kind, void *row)
{
    struct error err = { 0 };
    struct entry entry;
    if (!entries_remove(roster, arena, now, kind, &ada, row, &err)) {
        return arena_format(arena, "! %s", err.message);
    }
    memcpy(&entry, row, sizeof entry);
    return entry.said;
}

static size_t count_of(const struct entry_kind *kind)
{
    void *rows = NULL;
    size_t count = 0;
    struct error err = { 0 };
    must(entries_list(roster, arena, kind, ada.id, &rows, &count, &err), &err);
    return count;
}

static const char *undo(void)
{
    struct change_line line = { 0 };
    struct error err = { 0 };
    return changes_undo(roster, arena, now, 0, &line, &err)
               ? line.words
               : arena_format(arena, "! %s", err.message);
}

/* ---- entries ---- */

static void test_entries__say_what_was_added_edited_and_taken_away(void **state)
{
    (void)state;
    struct event race = { .day = "2026-06-14", .name = " Three  Lakes ", .priority = "a" };
    check_text("added", save(&event_kind, &race), "Event of Ada Berg: 2026-06-14 Three  Lakes (A)");
    race.note = "hilly";
    check_text(
        "edited", save(&event_kind, &race),
        "Event of Ada Berg: 2026-06-14 Three  Lakes (A); hilly (was: 2026-06-14 Three  Lakes "
        "(A))");
    check_text("the same again", save(&event_kind, &race),
               "Event of Ada Berg: 2026-06-14 Three  Lakes (A); hilly (as it was)");
    check_text("taken away", take_away(&event_kind, &race),
               "Event of Ada Berg taken away: 2026-06-14 Three  Lakes (A); hilly");
    check_integer("left", (int64_t)count_of(&event_kind), 0);
    check_text("gone", take_away(&event_kind, &race),
               "! number 1: Ada Berg has no such event; rider event lists them");
}

static void test_entries__each_act_is_taken_back(void **state)
{
    (void)state;
    struct goal goal = { .words = "finish the 120 km ride", .from_day = "2026-01-05" };
    save(&goal_kind, &goal);
    goal.due_day = "2026-08-01";
    save(&goal_kind, &goal);
    take_away(&goal_kind, &goal);
    struct goal *goals = NULL;
    size_t count = 0;
    struct error err = { 0 };
    check_text("removing", undo(),
               "Goal of Ada Berg taken away: finish the 120 km ride, by 2026-08-01 (set "
               "2026-01-05)");
    must(entries_list(roster, arena, &goal_kind, ada.id, &goals, &count, &err), &err);
    check_text("due", goals[0].due_day, "2026-08-01");
    undo();
    must(entries_list(roster, arena, &goal_kind, ada.id, &goals, &count, &err), &err);
    check_text("due", goals[0].due_day, NULL);
    check_text("adding", undo(), "Goal of Ada Berg: finish the 120 km ride (set 2026-01-05)");
    check_integer("left", (int64_t)count_of(&goal_kind), 0);
}

static void test_entries__two_coaches_do_not_overwrite_each_other(void **state)
{
    (void)state;
    struct event race = { .day = "2026-06-14", .name = "Three Lakes", .priority = "A" };
    save(&event_kind, &race);
    struct event first = race;
    struct event second = race;
    first.priority = "B";
    second.note = "hilly";
    save(&event_kind, &first);
    check(strncmp(save(&event_kind, &second), "! somebody changed this event", 29) == 0);
    check(strncmp(take_away(&event_kind, &second), "! somebody changed this event", 29) == 0);
}

static void test_entries__of_another_rider_are_out_of_reach(void **state)
{
    (void)state;
    struct rider bo = { .name = "Bo Lind" };
    struct event race = { .day = "2026-06-14", .name = "Three Lakes", .priority = "A" };
    struct error err = { 0 };
    must(riders_add(roster, arena, now, &bo, &err), &err);
    save(&event_kind, &race);
    check(!entries_remove(roster, arena, now, &event_kind, &bo, &race, &err));
    check_integer("kind", err.kind, ERROR_NOT_FOUND);
    check(!entries_save(roster, arena, now, &event_kind, &bo, &race, &err));
    check_integer("kind", err.kind, ERROR_NOT_FOUND);
}

static void test_season__refuses_what_can_not_be(void **state)
{
    (void)state;
    struct goal set = { .words = "ride to work", .from_day = "2026-01-05" };
    struct block base = { .name = "base", .from_day = "2026-01-05", .to_day = "2026-02-02" };
    save(&goal_kind, &set);
    save(&block_kind, &base);
    struct goal goals[] = {
        { .words = "  ", .from_day = "2026-01-05" },
        { .words = "x", .from_day = "2026-01-32" },
        { .words = "x", .from_day = "2026-01-05", .due_day = "2026-01-04" },
        { .words = "x", .from_day = "2026-01-05", .reached_day = "2026-01-04" },
        { .words = "x", .from_day = "0026-01-05" },
        { .words = "ride to work", .from_day = "2026-03-05" },
    };
    static const char *const of_goals[] = {
        "! goal: no words",
        "! from 2026-01-32: is no day; write it as 2026-03-14",
        "! due 2026-01-04: is before it was set (2026-01-05)",
        "! reached 2026-01-04: is before it was set (2026-01-05)",
        "! from 0026-01-05: that year can't be meant",
        "! that goal was set on 2026-01-05 already",
    };
    for (size_t i = 0; i < COUNT(goals); i++) {
        check_text(of_goals[i], save(&goal_kind, &goals[i]), of_goals[i]);
    }
    struct event event = { .day = "2026-06-14", .name = "Three Lakes" };
    check_text("weight", save(&event_kind, &event),
               "! an event's weight is A (the season's aim), B or C");
    struct block block = { .name = "build", .from_day = "2026-02-01", .to_day = "2026-03-01" };
    check_text("overlap", save(&block_kind, &block),
               "! the block base runs from 2026-01-05 to 2026-02-01; end that one first, or begin "
               "this one later");
    struct day_off off = { .kind = "tired", .from_day = "2026-02-01" };
    check_text("kind", save(&day_off_kind, &off), "! tired: ill, injured, away, break or other");
    off = (struct day_off){ .kind = "ill", .from_day = "2026-02-01", .to_day = "2026-02-01" };
    check_text("nothing", save(&day_off_kind, &off), "! it ends before it begins, on 2026-02-01");
    off = (struct day_off){ .kind = "away", .from_day = "2026-02-01", .to_day = "2029-02-08" };
    check_text("three years", save(&day_off_kind, &off),
               "! from 2026-02-01 to 2029-02-07: more than two years; is a year mistyped?");
}

/* The twin: a day is taken once for each kind, looked up day by day. */
static void test_days_off__overlap_exactly_when_they_share_a_day(void **state)
{
    (void)state;
    enum { DAYS = 60, TRIES = 120 };
    static const char *const kinds[] = { "ill", "away" };
    bool taken[2][DAYS + 1] = { { false } };
    unsigned seed = 20260314;
    size_t saved = 0;
    for (int i = 0; i < TRIES; i++) {
        seed = seed * 1103515245u + 12345u;
        const unsigned kind = seed >> 16 & 1u;
        const unsigned from = (seed >> 17) % (DAYS - 1);
        const unsigned length = 1 + (seed >> 24) % 4;
        const unsigned to = from + length > DAYS ? DAYS : from + length;
        const bool open = i > TRIES / 2 && (seed >> 5) % 8 == 0;
        bool shares = false;
        for (unsigned day = from; day < (open ? DAYS + 1 : to); day++) {
            shares = shares || taken[kind][day];
        }
        struct day_off off = {
            .kind = kinds[kind],
            .from_day = entry_day_after(arena, "2026-01-01", from),
            .to_day = open ? NULL : entry_day_after(arena, "2026-01-01", to),
        };
        const char *said = save(&day_off_kind, &off);
        check_integer(said, said[0] == '!', shares);
        for (unsigned day = from; !shares && day < (open ? DAYS + 1 : to); day++) {
            taken[kind][day] = true;
        }
        saved += !shares;
    }
    check_integer("saved", (int64_t)count_of(&day_off_kind), (int64_t)saved);
    check(saved > 10 && saved < TRIES - 10);
}

static void test_days_off__end_with_the_first_day_of_training_again(void **state)
{
    (void)state;
    struct day_off ill = { .kind = "ill", .from_day = "2026-03-01" };
    struct day_off away = { .kind = "away", .from_day = "2026-03-03", .to_day = "2026-03-20" };
    struct day_off later = { .kind = "away", .from_day = "2026-07-01", .to_day = "2026-07-15" };
    check_text("said", save(&day_off_kind, &ill), "Days off of Ada Berg: ill from 2026-03-01 on");
    check_text("said", save(&day_off_kind, &away),
               "Days off of Ada Berg: away from 2026-03-03 to 2026-03-19");
    save(&day_off_kind, &later);
    const char *said = NULL;
    struct error err = { 0 };
    must(season_back(roster, arena, now, &ada, "2026-03-08", &said, &err), &err);
    check_text("said", said,
               "Ada Berg trains again from 2026-03-08; until then ill from 2026-03-01, away from "
               "2026-03-03");
    struct day_off *offs = NULL;
    size_t count = 0;
    must(entries_list(roster, arena, &day_off_kind, ada.id, &offs, &count, &err), &err);
    check_integer("count", (int64_t)count, 3);
    check_text("ill", offs[0].to_day, "2026-03-08");
    check_text("away", offs[1].to_day, "2026-03-08");
    check_text("later", offs[2].to_day, "2026-07-15");
    check(!season_back(roster, arena, now, &ada, "2026-03-09", &said, &err));
    check_integer("kind", err.kind, ERROR_NOT_FOUND);
    undo();
    must(entries_list(roster, arena, &day_off_kind, ada.id, &offs, &count, &err), &err);
    check_text("ill", offs[0].to_day, NULL);
    check_text("away", offs[1].to_day, "2026-03-20");
}

static void test_days_off__for_illness_mark_the_days_of_rides(void **state)
{
    (void)state;
    struct day_off ill = { .kind = "ill", .from_day = "2026-03-01", .to_day = "2026-03-04" };
    struct day_off away = { .kind = "away", .from_day = "2026-03-10" };
    save(&day_off_kind, &ill);
    save(&day_off_kind, &away);
    static const struct {
        const char *day;
        bool ill;
    } rows[] = { { "2026-02-28", false },
                 { "2026-03-01", true },
                 { "2026-03-03", true },
                 { "2026-03-04", false },
                 { "2026-03-11", false } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct rider_facts facts = facts_unknown();
        struct error err = { 0 };
        must(facts_on(roster, arena, ada.id, rows[i].day, &facts, &err), &err);
        check_integer(rows[i].day, facts.day.ill, rows[i].ill);
    }
}

/* ---- time ---- */

static void test_availability__is_read_as_it_is_typed(void **state)
{
    (void)state;
    static const struct {
        const char *words;
        const char *want; /* or the error after "! " */
    } rows[] = {
        { "mon 60 indoors, sat 180 outdoors", "Mon 1 h indoors, Sat 3 h outdoors; 4 h a week" },
        { "Monday 60min in,SAT 3h out,", "Mon 1 h indoors, Sat 3 h outdoors; 4 h a week" },
        { "mon-fri 45; weekend 1h30",
          "Mon to Fri 45 min, Sat and Sun 1 h 30 min; 6 h 45 min a week" },
        { "daily 1:15", "Mon to Sun 1 h 15 min; 8 h 45 min a week" },
        { "tue 1.5 h, thu 90 minutes either", "Tue 1 h 30 min, Thu 1 h 30 min; 3 h a week" },
        { "tue 0, wed 30", "Wed 30 min; 30 min a week" },
        { "none", "no time on any day" },
        { "NONE", "no time on any day" },
        { "", "! : begins with no weekday; write it as: mon 60 indoors, sat 180" },
        { ",", "! : begins with no weekday; write it as: mon 60 indoors, sat 180" },
        { "mon 60,, tue 60", "! : begins with no weekday; write it as: mon 60 indoors, sat 180" },
        { "60 mon", "! 60 mon: begins with no weekday; write it as: mon 60 indoors, sat 180" },
        { "t 60", "! t 60: begins with no weekday; write it as: mon 60 indoors, sat 180" },
        { "fri-mon 60",
          "! fri-mon 60: the weekdays are the wrong way round; write it as: mon 60 indoors, sat "
          "180" },
        { "mon", "! mon: no time such as 60, 90min or 1h30; write it as: mon 60 indoors, sat 180" },
        { "mon -60",
          "! mon -60: no time such as 60, 90min or 1h30; write it as: mon 60 indoors, sat 180" },
        { "mon 1:75",
          "! mon 1:75: no time such as 60, 90min or 1h30; write it as: mon 60 indoors, sat 180" },
        { "mon 1.2.3",
          "! mon 1.2.3: no time such as 60, 90min or 1h30; write it as: mon 60 indoors, sat 180" },
        { "mon 1441",
          "! mon 1441: a day has whole minutes, 1440 at most; write it as: mon 60 indoors, sat "
          "180" },
        { "mon 0.5",
          "! mon 0.5: a day has whole minutes, 1440 at most; write it as: mon 60 indoors, sat "
          "180" },
        { "mon 60 upstairs",
          "! mon 60 upstairs: ends with indoors, outdoors or nothing; write it as: mon 60 indoors, "
          "sat 180" },
        { "mon 60 in the hall",
          "! mon 60 in the hall: too many words; write it as: mon 60 indoors, sat 180" },
        { "mon 60, mon 30", "! Mon is named twice" },
        { "mon-fri 60, wed 30", "! Wed is named twice" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct week week = { 0 };
        struct error err = { 0 };
        const bool done = availability_parse(arena, rows[i].words, &week, &err);
        check_text(rows[i].words,
                   done ? availability_in_words(arena, &week)
                        : arena_format(arena, "! %s", err.message),
                   rows[i].want);
    }
}

static struct week week_of(const char *from_day, const char *words)
{
    struct week week = { 0 };
    struct error err = { 0 };
    must(availability_parse(arena, words, &week, &err), &err);
    week.from_day = from_day;
    return week;
}

static const char *set(const char *from_day, const char *words)
{
    struct week week = week_of(from_day, words);
    struct error err = { 0 };
    must(availability_set(roster, arena, now, &ada, &week, &err), &err);
    return week.said;
}

static const char *in_force(const char *day)
{
    struct week *weeks = NULL;
    size_t count = 0;
    struct error err = { 0 };
    must(availability_list(roster, arena, ada.id, day, &weeks, &count, &err), &err);
    return count == 0 ? NULL : availability_in_words(arena, &weeks[0]);
}

static void test_availability__holds_as_a_whole_week_until_the_next(void **state)
{
    (void)state;
    check_text("said", set("2026-01-05", "mon 60 indoors, sat 180"),
               "Time of Ada Berg from 2026-01-05: Mon 1 h indoors, Sat 3 h; 4 h a week");
    set("2026-04-06", "wed 90");
    check_text("before", in_force("2026-01-04"), NULL);
    check_text("first", in_force("2026-01-05"), "Mon 1 h indoors, Sat 3 h; 4 h a week");
    check_text("last day", in_force("2026-04-05"), "Mon 1 h indoors, Sat 3 h; 4 h a week");
    check_text("next", in_force("2026-04-06"), "Wed 1 h 30 min; 1 h 30 min a week");
    check_text("edited", set("2026-04-06", "wed 60"),
               "Time of Ada Berg from 2026-04-06: Wed 1 h; 1 h a week (was: Wed 1 h 30 min; 1 h 30 "
               "min a week)");
    check_text("as it was", set("2026-04-06", "wed 1h"),
               "Time of Ada Berg from 2026-04-06: Wed 1 h; 1 h a week (as it was)");
    undo();
    check_text("taken back", in_force("2026-04-06"), "Wed 1 h 30 min; 1 h 30 min a week");
    struct week week = { .from_day = "2026-04-06" };
    struct error err = { 0 };
    must(availability_remove(roster, arena, now, &ada, &week, &err), &err);
    check_text("the earlier again", in_force("2026-05-01"), "Mon 1 h indoors, Sat 3 h; 4 h a week");
    check(!availability_remove(roster, arena, now, &ada, &week, &err));
    check_integer("kind", err.kind, ERROR_NOT_FOUND);
    undo();
    check_text("back", in_force("2026-05-01"), "Wed 1 h 30 min; 1 h 30 min a week");
}

/* ---- contacts ---- */

static void test_contacts__are_listed_by_day(void **state)
{
    (void)state;
    struct contact second = { .day = "2026-03-10", .how = "phone", .words = "knee is fine" };
    struct contact first = { .day = "2026-02-01", .words = "sent the plan" };
    check_text("said", save(&contact_kind, &second),
               "Contact of Ada Berg: 2026-03-10, phone: knee is fine");
    save(&contact_kind, &first);
    struct contact *all = NULL;
    size_t count = 0;
    struct error err = { 0 };
    must(entries_list(roster, arena, &contact_kind, ada.id, &all, &count, &err), &err);
    check_integer("count", (int64_t)count, 2);
    check_text("first", all[0].words, "sent the plan");
    check_text("second", all[1].words, "knee is fine");
}

/* ---- the rider ---- */

static void test_riders__say_who_they_are_and_refuse_what_can_not_be(void **state)
{
    (void)state;
    struct rider rider = ada;
    struct error err = { 0 };
    rider.born_day = "2001-05-31";
    rider.sex = "female";
    rider.power_since_day = "2025-11-01";
    rider.address = "Hill Road 3\n12345 Town";
    rider.accepts = "Calendar,fit fit";
    rider.tests = "20MIN, 15s 5min,20min";
    must(riders_edit(roster, arena, now, &rider, &err), &err);
    must(riders_find(roster, arena, "ada", &rider, &err), &err);
    check_text("sex", rider.sex, "female");
    check_text("power", rider.power_since_day, "2025-11-01");
    check_text("address", rider.address, "Hill Road 3, 12345 Town");
    check_text("accepts", rider.accepts, "fit calendar");
    check_text("tests", rider.tests, "15s 5min 20min");
    int32_t seconds[EFFORT_DURATIONS];
    check_integer("tests chosen", (int64_t)riders_tests(&rider, seconds), 3);
    check_integer("the shortest", seconds[0], 15);
    check_integer("the longest", seconds[2], 1200);
    check_text(
        "undo", undo(),
        "Rider Ada Berg: born 2001-05-31 (was none), sex female (was none), power since "
        "2025-11-01 (was none), address Hill Road 3, 12345 Town (was none), device takes fit "
        "calendar (was none), tests chosen 15s 5min 20min (was none)");
    must(riders_find(roster, arena, "ada", &rider, &err), &err);
    check_text("taken back", rider.tests, NULL);
    check_integer("none", (int64_t)riders_tests(&rider, seconds), 0);
    static const struct {
        struct rider rider;
        const char *words;
    } rows[] = {
        { { .name = "Bo", .sex = "f" },
          "sex f: female or male, for published formulas that ask it; or none" },
        { { .name = "Bo", .accepts = "fax" }, "accepts fax: a device takes fit, calendar or card" },
        { { .name = "Bo", .tests = "5min 3min" },
          "tests 3min: efforts last 10s, 15s, 1min, 5min, 10min or 20min" },
        { { .name = "Bo", .born_day = "2026-04-14" },
          "born 2026-04-14: no rider's day of birth; is a digit mistyped?" },
        { { .name = "Bo", .born_day = "1901-05-31" },
          "born 1901-05-31: no rider's day of birth; is a digit mistyped?" },
        { { .name = "Bo", .born_day = "2001-05-31", .power_since_day = "2000-01-01" },
          "power since 2000-01-01: is before the day of birth (2001-05-31)" },
        { { .name = "Bo", .power_since_day = "yesterday" },
          "power since: yesterday is no day; write it as 2001-05-31" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct rider bo = rows[i].rider;
        check(!riders_add(roster, arena, now, &bo, &err));
        check_text(rows[i].words, err.message, rows[i].words);
    }
}

/* ---- thresholds and meters ---- */

static const char *set_threshold(const char *day, double value_w, int64_t meter)
{
    struct fact fact = {
        .day = day, .value = value_w, .low = (double)NAN, .high = (double)NAN, .meter = meter
    };
    struct error err = { 0 };
    return facts_set(roster, arena, now, &ada, FACT_THRESHOLD, &fact, &err)
               ? fact.said
               : arena_format(arena, "! %s", err.message);
}

static void test_thresholds__belong_to_a_meter(void **state)
{
    (void)state;
    store_run(roster_db(roster),
              "INSERT INTO equipment (rider, kind, name, serial) VALUES (1, 'power-meter', "
              "'Crank', 41877), (NULL, 'power-meter', 'Trainer', NULL), (1, 'bike', 'Crank bike', "
              "NULL), (1, 'power-meter', 'Crank of winter', 2)");
    static const struct {
        const char *word;
        int64_t id; /* 0 = refused */
    } rows[] = { { "41877", 1 }, { "trainer", 2 },  { "TRAI", 2 }, { "1", 1 }, { "2", 4 },
                 { "crank", 0 }, { "crank of", 4 }, { "bike", 0 }, { "", 0 },  { "3", 0 } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        int64_t id = 0;
        struct error err = { 0 };
        const bool done = facts_find_meter(roster, arena, &ada, rows[i].word, &id, &err);
        check_integer(rows[i].word, done ? id : 0, rows[i].id);
    }
    check_text("said", set_threshold("2026-03-14", 246, 1),
               "Threshold of Ada Berg: 246 W from 2026-03-14, by the Crank (serial 41877)");
    check_text("said", set_threshold("2026-03-14", 239, 2),
               "Threshold of Ada Berg: 239 W from 2026-03-14, by the Trainer");
    check_text("edited", set_threshold("2026-03-14", 240, 2),
               "Threshold of Ada Berg: 240 W from 2026-03-14, by the Trainer (was 239 W)");
    check_text("none", set_threshold("2026-03-14", 240, 3), "! there is no power meter 3");
    struct fact *facts = NULL;
    size_t count = 0;
    struct error err = { 0 };
    must(facts_list(roster, arena, ada.id, FACT_THRESHOLD, NULL, &facts, &count, &err), &err);
    check_integer("count", (int64_t)count, 2);
    check_text("name", facts[1].meter_name, "Crank (serial 41877)");
    check(!facts_remove(roster, arena, now, &ada, FACT_THRESHOLD, "2026-03-14", 0, &err));
    check_integer("kind", err.kind, ERROR_CONFLICT);
    must(facts_remove(roster, arena, now, &ada, FACT_THRESHOLD, "2026-03-14", 1, &err), &err);
    must(facts_list(roster, arena, ada.id, FACT_THRESHOLD, NULL, &facts, &count, &err), &err);
    check_integer("count", (int64_t)count, 1);
    check_near("left", facts[0].value, 240, 0);
    undo();
    undo();
    must(facts_list(roster, arena, ada.id, FACT_THRESHOLD, NULL, &facts, &count, &err), &err);
    check_near("taken back", facts[0].value, 239, 0);
}

/* The facts of a ride with the sensor of that serial (0 = none recorded). */
static struct rider_facts of_ride(const char *day, uint32_t serial)
{
    const struct device sensor = { .kind = "power", .serial = serial };
    const struct ride_facts ride = {
        .rider = ada.id, .day = day, .sensors = &sensor, .n_sensors = serial > 0 ? 1 : 0
    };
    struct rider_facts facts = facts_unknown();
    struct error err = { 0 };
    must(facts_of_ride(roster, arena, &ride, &facts, &err), &err);
    return facts;
}

static void test_thresholds__of_the_rides_own_meter_are_used(void **state)
{
    (void)state;
    store_run(
        roster_db(roster),
        "INSERT INTO equipment (rider, kind, name, serial) VALUES (1, 'power-meter', "
        "'Crank', 41877), (1, 'power-meter', 'Trainer', 77), (1, 'power-meter', 'Pedals', 5)");
    set_threshold("2026-01-10", 240, 0);
    set_threshold("2026-02-01", 250, 1);
    set_threshold("2026-02-10", 238, 2);
    static const struct {
        const char *day;
        uint32_t serial;
        double want_w;
        const char *known_by;
    } rows[] = {
        { "2026-01-20", 41877, 240, "given of 2026-01-10" },
        { "2026-02-05", 41877, 250, "given of 2026-02-01" },
        { "2026-02-05", 77, 240, "given of 2026-01-10" }, /* the one of no meter is nearer */
        { "2026-02-20", 41877, 250, "given of 2026-02-01" },
        { "2026-02-20", 77, 238, "given of 2026-02-10" },
        { "2026-02-20", 0, 238, "given of 2026-02-10" },   /* none recorded: the newest */
        { "2026-02-20", 999, 238, "given of 2026-02-10" }, /* nobody knows that serial */
        { "2026-02-20", 5, 240, "given of 2026-01-10" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct rider_facts facts = of_ride(rows[i].day, rows[i].serial);
        check_near(rows[i].known_by, facts.threshold_w, rows[i].want_w, 0);
        check_text(rows[i].day, facts.threshold_known_by, rows[i].known_by);
    }
    struct error err = { 0 };
    must(facts_remove(roster, arena, now, &ada, FACT_THRESHOLD, "2026-01-10", 0, &err), &err);
    const struct rider_facts facts = of_ride("2026-02-20", 5);
    check_near("only of others", facts.threshold_w, 238, 0);
    check_text("and said so", facts.threshold_known_by,
               "given of 2026-02-10, with another meter that was not checked against this one");
    /* The published trueness of both, 3.2 %: 1.645 x sqrt(2) x 3.2 % = 7.44 %. */
    check_near("low", facts.threshold_low_w, 238 * exp(-0.07444), 0.01);
    check_near("high", facts.threshold_high_w, 238 * exp(0.07444), 0.01);
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
        TEST(test_entries__say_what_was_added_edited_and_taken_away),
        TEST(test_entries__each_act_is_taken_back),
        TEST(test_entries__two_coaches_do_not_overwrite_each_other),
        TEST(test_entries__of_another_rider_are_out_of_reach),
        TEST(test_season__refuses_what_can_not_be),
        TEST(test_days_off__overlap_exactly_when_they_share_a_day),
        TEST(test_days_off__end_with_the_first_day_of_training_again),
        TEST(test_days_off__for_illness_mark_the_days_of_rides),
        TEST(test_availability__is_read_as_it_is_typed),
        TEST(test_availability__holds_as_a_whole_week_until_the_next),
        TEST(test_contacts__are_listed_by_day),
        TEST(test_riders__say_who_they_are_and_refuse_what_can_not_be),
        TEST(test_thresholds__belong_to_a_meter),
        TEST(test_thresholds__of_the_rides_own_meter_are_used),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
