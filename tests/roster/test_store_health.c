/* tests/roster/test_store_health.c: the questions before hard work, flags, consents, age. */
#include "roster/store.h"

#include "roster/facts.h"
#include "roster/health.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct arena *arena;
static struct roster *roster;
static struct rider ada; /* 24 */
static struct rider kim; /* 16 */
static const struct roster_now now = { 1773480413, "tester" };

static int begin(void **state)
{
    (void)state;
    struct error err = { 0 };
    arena = arena_open();
    ada = (struct rider){ .name = "Ada Berg", .born_day = "2001-05-31" };
    kim = (struct rider){ .name = "Kim Lund", .born_day = "2009-06-01", .sex = "male" };
    return roster_open(store_place(), ROSTER_CREATE, now, &roster, &err) &&
                   riders_add(roster, arena, now, &ada, &err) &&
                   riders_add(roster, arena, now, &kim, &err)
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

static const char *save(const struct entry_kind *kind, const struct rider *rider, void *row)
{
    struct error err = { 0 };
    struct entry entry;
    if (!entries_save(roster, arena, now, kind, rider, row, &err)) {
        return arena_format(arena, "! %s", err.message);
    }
    memcpy(&entry, row, sizeof entry);
    return entry.said;
}

static const char *screen(const struct rider *rider, struct screening *screening)
{
    struct error err = { 0 };
    return health_screen(roster, arena, now, rider, screening, &err)
               ? screening->entry.said
               : arena_format(arena, "! %s", err.message);
}

static struct health health(const struct rider *rider, const char *day)
{
    struct health out = { 0 };
    struct error err = { 0 };
    must(health_on(roster_db(roster), arena, rider, day, &out, &err), &err);
    return out;
}

static const char *undo(void)
{
    struct change_line line = { 0 };
    struct error err = { 0 };
    return changes_undo(roster, arena, now, 0, &line, &err)
               ? line.words
               : arena_format(arena, "! %s", err.message);
}

/* ---- age ---- */

/* The twin: one more for every day of the calendar that is a birthday (on 1 March where 29 February
 * is missing). */
static void test_age__rises_on_birthdays_alone(void **state)
{
    (void)state;
    static const char *const born[] = { "2001-05-31", "2004-02-29", "2008-01-01", "2007-12-31",
                                        "2008-03-01" };
    for (size_t i = 0; i < COUNT(born); i++) {
        int age = 0;
        const char *day = born[i];
        check_integer(born[i], health_age(born[i], day), 0);
        while (strcmp(day, "2026-03-14") < 0) {
            const char *next = entry_day_after(arena, day, 1);
            const bool leap_rest = strcmp(born[i] + 5, "02-29") == 0 &&
                                   strcmp(next + 5, "03-01") == 0 && strcmp(day + 5, "02-28") == 0;
            age += strcmp(next + 5, born[i] + 5) == 0 || leap_rest;
            check_integer(next, health_age(born[i], next), age);
            day = next;
        }
    }
    check_integer("not born", health_age("2008-01-01", "2007-12-31"), -1);
    check_integer("not known", health_age(NULL, "2026-03-14"), -1);
}

/* ---- screening ---- */

static void test_screening__decides_whether_advice_comes_first(void **state)
{
    (void)state;
    check(health(&ada, "2026-03-14").advice_first && !health(&ada, "2026-03-14").is_screened);
    struct screening all_no = { .day = "2026-01-04" };
    check_text("said", screen(&ada, &all_no),
               "Screening of Ada Berg: 2026-01-04, no to all seven questions");
    struct screening chest = { .day = "2026-02-01", .yes = { [SCREENING_CHEST_PAIN] = true } };
    check_text("said", screen(&ada, &chest),
               "Screening of Ada Berg: 2026-02-01, yes to chest pain; not cleared");
    chest.cleared_by = "Dr Lund";
    chest.cleared_day = "2026-02-20";
    check_text("said", screen(&ada, &chest),
               "Screening of Ada Berg: 2026-02-01, yes to chest pain; cleared by Dr Lund on "
               "2026-02-20 (was: 2026-02-01, yes to chest pain; not cleared)");
    static const struct {
        const char *day;
        bool is_screened;
        bool advice_first;
    } rows[] = {
        { "2026-01-03", false, true }, { "2026-01-04", true, false }, { "2026-01-31", true, false },
        { "2026-02-01", true, true },  { "2026-02-19", true, true },  { "2026-02-20", true, false },
    };
    struct rider_facts facts = facts_unknown();
    struct error err = { 0 };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct health got = health(&ada, rows[i].day);
        check_integer(rows[i].day, got.is_screened, rows[i].is_screened);
        check_integer(rows[i].day, got.advice_first, rows[i].advice_first);
        must(facts_on(roster, arena, ada.id, rows[i].day, &facts, &err), &err);
        check_integer(rows[i].day, facts.screened <= SCREENED_YES, rows[i].advice_first);
    }
    check_integer("unknown", facts_unknown().screened, SCREENED_NOT);
    must(facts_on(roster, arena, ada.id, "2026-03-01", &facts, &err), &err);
    check_near("days since", facts.screened_days, 28, 0);
}

/* Each of the seven answers alone sends to a doctor. */
static void test_screening__any_yes_is_enough(void **state)
{
    (void)state;
    struct rider dot = { .name = "Dot Old", .born_day = "1960-01-01" };
    struct error err = { 0 };
    must(riders_add(roster, arena, now, &dot, &err), &err);
    for (int q = 0; q < SCREENING_QUESTIONS; q++) {
        const char *day = entry_day_after(arena, "2026-01-01", q);
        struct screening one = { .day = day };
        one.yes[q] = true;
        const char *said = screen(&dot, &one);
        check(strstr(said, screening_row((enum screening_question)q)->words) != NULL);
        check(health(&dot, day).advice_first);
    }
}

static void test_screening__a_yes_to_medicine_or_pregnancy_raises_the_flag(void **state)
{
    (void)state;
    struct screening yes = { .day = "2026-02-01",
                             .yes = { [SCREENING_MEDICINE] = true, [SCREENING_PREGNANCY] = true } };
    check_text("said", screen(&ada, &yes),
               "Screening of Ada Berg: 2026-02-01, yes to blood-pressure or heart medicine, "
               "pregnancy; not cleared. Flag raised: heart-altering medicine from 2026-02-01 on. "
               "Flag raised: pregnant from 2026-02-01 on");
    struct rider_facts facts = facts_unknown();
    struct error err = { 0 };
    must(facts_on(roster, arena, ada.id, "2026-02-01", &facts, &err), &err);
    check(facts.heart_medicine && facts.pregnant && facts.screened == SCREENED_YES);
    must(facts_on(roster, arena, ada.id, "2026-01-31", &facts, &err), &err);
    check(!facts.heart_medicine && !facts.pregnant);
    check_text("as it was", screen(&ada, &yes),
               "Screening of Ada Berg: 2026-02-01, yes to blood-pressure or heart medicine, "
               "pregnancy; not cleared (as it was)");
    struct screening again = { .day = "2026-03-01", .yes = { [SCREENING_MEDICINE] = true } };
    check_text("raised once", screen(&ada, &again),
               "Screening of Ada Berg: 2026-03-01, yes to blood-pressure or heart medicine; not "
               "cleared");
    undo();
    undo();
    check(!health(&ada, "2026-03-14").heart_medicine && !health(&ada, "2026-03-14").is_screened);
}

static void test_screening__refuses_contradictions(void **state)
{
    (void)state;
    struct screening first = { .day = "2026-01-04" };
    screen(&ada, &first);
    struct {
        const struct rider *rider;
        struct screening screening;
        const char *want;
    } rows[] = {
        { &ada,
          { .day = "2026-01-04" },
          "! a screening of 2026-01-04 is on file already; change that one (number 1)" },
        { &ada,
          { .day = "2026-02-30" },
          "! screening 2026-02-30: is no day; write it as 2026-03-14" },
        { &ada,
          { .day = "2026-02-01", .cleared_by = "Dr Lund", .cleared_day = "2026-02-02" },
          "! no to all questions needs no clearance; say which answer was yes" },
        { &ada,
          { .day = "2026-02-01", .yes = { [SCREENING_FAINTING] = true }, .cleared_by = "Dr Lund" },
          "! a clearance has both: who cleared it, and on what day" },
        { &ada,
          { .day = "2026-02-01", .yes = { [SCREENING_NEW_OVER_45] = true } },
          "! Ada Berg is 24 on 2026-02-01: not over 45" },
        { &kim,
          { .day = "2026-02-01", .yes = { [SCREENING_PREGNANCY] = true } },
          "! Kim Lund is on file as male; yes to pregnancy can't be" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_text(rows[i].want, screen(rows[i].rider, &rows[i].screening), rows[i].want);
    }
}

/* ---- flags ---- */

static void test_flags__hold_on_their_days_and_do_not_overlap(void **state)
{
    (void)state;
    struct flag medicine = { .kind = "heart-medicine",
                             .from_day = "2026-02-01",
                             .note = "since the operation" };
    check_text("said", save(&flag_kind, &ada, &medicine),
               "Flag of Ada Berg: heart-altering medicine from 2026-02-01 on; since the operation");
    struct flag again = { .kind = "heart-medicine", .from_day = "2026-03-01" };
    check_text("again", save(&flag_kind, &ada, &again),
               "! heart-altering medicine is on file from 2026-02-01 on already; change that entry "
               "instead");
    medicine.to_day = "2026-03-01";
    check_text("ended", save(&flag_kind, &ada, &medicine),
               "Flag of Ada Berg: heart-altering medicine from 2026-02-01 to 2026-02-28; since the "
               "operation (was: heart-altering medicine from 2026-02-01 on; since the operation)");
    save(&flag_kind, &ada, &again);
    check(!health(&ada, "2026-01-31").heart_medicine);
    check(health(&ada, "2026-02-28").heart_medicine && health(&ada, "2026-03-01").heart_medicine);
    struct flag wrong = { .kind = "tired", .from_day = "2026-03-01" };
    check_text("kind", save(&flag_kind, &ada, &wrong),
               "! tired: heart-medicine, pregnant or guardian-agreed");
    struct flag male = { .kind = "pregnant", .from_day = "2026-03-01" };
    check_text("male", save(&flag_kind, &kim, &male),
               "! Kim Lund is on file as male; pregnant can't be");
}

static void test_minors__need_a_guardian(void **state)
{
    (void)state;
    struct flag agreed = { .kind = "guardian-agreed",
                           .from_day = "2026-03-01",
                           .note = "mother, by phone" };
    check_text("grown up", save(&flag_kind, &ada, &agreed),
               "! Ada Berg is 24 on 2026-03-01: no guardian is asked");
    check(health(&kim, "2026-03-14").is_minor && !health(&kim, "2026-03-14").guardian_agreed);
    save(&flag_kind, &kim, &agreed);
    check(health(&kim, "2026-03-14").guardian_agreed);
    check(health(&kim, "2027-05-31").is_minor && !health(&kim, "2027-06-01").is_minor);
    struct rider_facts facts = facts_unknown();
    struct error err = { 0 };
    must(facts_on(roster, arena, kim.id, "2026-03-14", &facts, &err), &err);
    check_near("age", facts.age_y, 16, 0);
    check(facts.guardian_agreed && isnan(facts.training_y));
    struct consent letters = { .kind = "letters", .given_day = "2026-03-01" };
    check_text("alone", save(&consent_kind, &kim, &letters),
               "! Kim Lund is 16 on 2026-03-01: a guardian agrees as well; say who, with --by");
    letters.given_by = "Eva Lund, mother";
    check_text(
        "with", save(&consent_kind, &kim, &letters),
        "Consent of Kim Lund: letters, given on 2026-03-01 by Eva Lund, mother (letters about "
        "the rider's own training)");
}

/* ---- consents ---- */

static void test_consents__are_given_once_and_withdrawn(void **state)
{
    (void)state;
    struct consent studies = { .kind = "studies",
                               .given_day = "2026-01-04",
                               .words = "drift study, by e-mail" };
    check_text("said", save(&consent_kind, &ada, &studies),
               "Consent of Ada Berg: studies, given on 2026-01-04 (drift study, by e-mail)");
    struct consent again = { .kind = "studies", .given_day = "2026-02-01" };
    check_text("again", save(&consent_kind, &ada, &again),
               "! consent to studies was given on 2026-01-04 already");
    studies.withdrawn_day = "2026-01-03";
    check_text("before", save(&consent_kind, &ada, &studies),
               "! withdrawn 2026-01-03: is before it was given (2026-01-04)");
    studies.withdrawn_day = "2026-01-20";
    check_text("withdrawn", save(&consent_kind, &ada, &studies),
               "Consent of Ada Berg: studies, given on 2026-01-04, withdrawn on 2026-01-20 (drift "
               "study, by e-mail) (was: studies, given on 2026-01-04 (drift study, by e-mail))");
    check_text(
        "anew", save(&consent_kind, &ada, &again),
        "Consent of Ada Berg: studies, given on 2026-02-01 (the rider's data in studies, under "
        "a pseudonym)");
    struct consent wrong = { .kind = "films", .given_day = "2026-02-01" };
    check_text("kind", save(&consent_kind, &ada, &wrong), "! films: letters, handouts or studies");
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
        TEST(test_age__rises_on_birthdays_alone),
        TEST(test_screening__decides_whether_advice_comes_first),
        TEST(test_screening__any_yes_is_enough),
        TEST(test_screening__a_yes_to_medicine_or_pregnancy_raises_the_flag),
        TEST(test_screening__refuses_contradictions),
        TEST(test_flags__hold_on_their_days_and_do_not_overlap),
        TEST(test_minors__need_a_guardian),
        TEST(test_consents__are_given_once_and_withdrawn),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
