/* tests/coaching/test_rider_cautions.c: what stands over a rider.
 *
 * The rules: what is on file of screening, age, guardian, medicine, pregnancy and first year
 * decides (common practice, no source); each situation by hand. */
#include "check.h"

#include "base/text.h"
#include "coaching/words/caution_words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A grown-up who answered no to everything, three years into training. */
static struct rider_facts sound(void)
{
    struct rider_facts facts = facts_unknown();
    facts.screened = SCREENED_ALL_NO;
    facts.age_y = 30;
    facts.training_y = 3;
    facts.screened_days = 10;
    return facts;
}

static const char *names(struct arena *arena, const struct rider_facts *facts)
{
    struct limits limits = limits_default();
    const struct rider_cautions cautions = rider_cautions_find(facts, &limits);
    struct text out = text_begin(arena, 1000);
    for (size_t i = 0; i < cautions.count; i++) {
        text_add_format(&out, "%s%s", i > 0 ? " " : "", rider_caution_name(cautions.list[i]));
    }
    return out.bytes;
}

static void test_rider_cautions__follow_what_is_on_file(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct rider_facts unknown = facts_unknown();
    check_text("nothing known", names(arena, &unknown), "not-screened age-unknown");
    struct rider_facts facts = sound();
    check_text("sound", names(arena, &facts), "");
    static const struct {
        const char *name;
        enum screened screened;
        double age_y;
        double training_y;
        bool guardian;
        bool medicine;
        bool pregnant;
        const char *want;
    } rows[] = {
        { "a yes", SCREENED_YES, 30, 3, false, false, false, "not-cleared" },
        { "cleared", SCREENED_CLEARED, 30, 3, false, false, false, "" },
        { "17", SCREENED_ALL_NO, 17, 3, false, false, false, "guardian-missing under-18" },
        { "17, agreed", SCREENED_ALL_NO, 17, 3, true, false, false, "under-18" },
        { "18", SCREENED_ALL_NO, 18, 3, false, false, false, "" },
        { "medicine", SCREENED_CLEARED, 30, 3, false, true, false, "heart-medicine" },
        { "pregnant", SCREENED_CLEARED, 30, 3, false, false, true, "pregnant" },
        { "new", SCREENED_ALL_NO, 30, 0, false, false, false, "first-year" },
        { "a year", SCREENED_ALL_NO, 30, 1, false, false, false, "" },
        { "since when isn't known", SCREENED_ALL_NO, 30, (double)NAN, false, false, false, "" },
        { "all at once", SCREENED_NOT, 16, 0, false, true, true,
          "not-screened guardian-missing under-18 heart-medicine pregnant first-year" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        facts = sound();
        facts.screened = rows[i].screened;
        facts.age_y = rows[i].age_y;
        facts.training_y = rows[i].training_y;
        facts.guardian_agreed = rows[i].guardian;
        facts.heart_medicine = rows[i].medicine;
        facts.pregnant = rows[i].pregnant;
        check_text(rows[i].name, names(arena, &facts), rows[i].want);
    }
    facts = sound();
    facts.screened_days = 365;
    check_text("a year ago", names(arena, &facts), "");
    facts.screened_days = 366;
    check_text("more than a year ago", names(arena, &facts), "screened-long-ago");
    arena_close(arena);
}

/* Only a whole no, or a doctor's word, lets hard work be offered. */
static void test_rider_cautions__allow_hard_work_only_after_the_questions(void **state)
{
    (void)state;
    static const struct {
        enum screened screened;
        bool allowed;
    } rows[] = { { SCREENED_NOT, false },
                 { SCREENED_YES, false },
                 { SCREENED_CLEARED, true },
                 { SCREENED_ALL_NO, true } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct rider_facts facts = sound();
        facts.screened = rows[i].screened;
        check_integer("allowed", rider_cautions_allow_hard(&facts), rows[i].allowed);
    }
    const struct rider_facts unknown = facts_unknown();
    check(!rider_cautions_allow_hard(&unknown));
}

/* Sentences end; the two that hold hard work back begin with medical advice; none diagnoses. */
static void test_rider_cautions__send_to_advice_and_diagnose_nothing(void **state)
{
    (void)state;
    static const char *const never[] = { "disease", "you have", "suffers", "diagnos", "symptom" };
    for (int c = 0; c < RIDER_CAUTIONS; c++) {
        const char *text = words_rider_caution((enum rider_caution)c);
        check(text != NULL && text[strlen(text) - 1] == '.');
        check_integer(text, strncmp(text, "Medical advice first: ", 22) == 0,
                      c == RIDER_NOT_SCREENED || c == RIDER_NOT_CLEARED);
        for (size_t i = 0; i < COUNT(never); i++) {
            check(strstr(text, never[i]) == NULL);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rider_cautions__follow_what_is_on_file),
        cmocka_unit_test(test_rider_cautions__allow_hard_work_only_after_the_questions),
        cmocka_unit_test(test_rider_cautions__send_to_advice_and_diagnose_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
