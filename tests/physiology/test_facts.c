/* tests/physiology/test_facts.c: what was asked, in watts. */
#include "check.h"

#include "physiology/facts.h"

static void test_facts__unknown_is_unknown_everywhere(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    const struct rider_facts facts = facts_unknown();
    const double numbers[] = { facts.threshold_w,      facts.threshold_low_w,
                               facts.threshold_high_w, facts.max_heart_rate_bpm,
                               facts.weight_kg,        facts.rest_heart_rate_bpm,
                               facts.target.low_pct,   facts.target.high_pct,
                               facts.target.low_w,     facts.target.high_w,
                               facts.rep_duration_s };
    for (size_t i = 0; i < COUNT(numbers); i++) {
        check(isnan(numbers[i]));
    }
    check_integer("kind", facts.kind, KIND_UNKNOWN);
    check_integer("zones", (int64_t)facts.zones.count, 7);
    double low_w = 1;
    double high_w = 1;
    check(!facts_target_w(&facts, &limits, &low_w, &high_w));
    check(isnan(low_w) && isnan(high_w));
}

static void test_facts__every_kind_has_a_name_that_finds_it(void **state)
{
    (void)state;
    enum work_kind kind = KIND_UNKNOWN;
    for (size_t i = KIND_UNKNOWN + 1; i < KIND_COUNT; i++) {
        check(work_kind_find(work_kind_name((enum work_kind)i), &kind));
        check_integer(work_kind_name((enum work_kind)i), kind, (int64_t)i);
    }
    check(!work_kind_find("unknown", &kind));
    check(!work_kind_find("", &kind));
}

/* Common practice, no source: the ranges of the trade.  Watts by hand at a threshold of 250 W. */
static void test_facts__a_kind_implies_its_range(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double low_w;
        double high_w;
        double shortest_s;
        double longest_s;
    } rows[] = {
        { "easy", 0, 187.5, (double)NAN, (double)NAN },
        { "base-test", 162.5, 187.5, (double)NAN, (double)NAN },
        { "tempo", 190, 225, 600, 3600 },
        { "sweet-spot", 220, 235, 480, 1800 },
        { "threshold", 227.5, 262.5, 360, 1800 },
        { "over-unders", 220, 275, 360, 1800 },
        { "vo2max", 265, 300, 120, 360 },
        { "short-vo2max", 265, 300, 15, 60 },
        { "anaerobic", 302.5, 375, 20, 120 },
        { "sprint", 375, (double)INFINITY, 0, 20 },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct rider_facts facts = facts_unknown();
        check(work_kind_find(rows[i].name, &facts.kind));
        double low_w = 0;
        double high_w = 0;
        check(!facts_target_w(&facts, &limits, &low_w, &high_w));
        facts.threshold_w = 250;
        check(facts_target_w(&facts, &limits, &low_w, &high_w));
        check_near(rows[i].name, low_w, rows[i].low_w, 0);
        check(high_w == rows[i].high_w);
        const struct kind_range range = work_kind_range(facts.kind, &limits);
        check_near(rows[i].name, range.shortest_s, rows[i].shortest_s, 0);
        check_near(rows[i].name, range.longest_s, rows[i].longest_s, 0);
    }
}

static void test_facts__what_was_asked_wins_over_the_kind(void **state)
{
    (void)state;
    const double none = (double)NAN;
    const struct {
        const char *name;
        double threshold_w;
        struct target target;
        bool known;
        double low_w;
        double high_w;
    } rows[] = {
        { "watts over pct", 250, { 106, 120, 280, 290 }, true, 280, 290 },
        { "watts need no threshold", none, { none, none, 280, 290 }, true, 280, 290 },
        { "pct over kind", 250, { 100, 110, none, none }, true, 250, 275 },
        { "pct without threshold", none, { 100, 110, none, none }, false, none, none },
        { "at least", 250, { none, none, 300, none }, true, 300, (double)INFINITY },
        { "at most", 250, { none, 80, none, none }, true, 0, 200 },
        { "the kind", 250, { none, none, none, none }, true, 265, 300 },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct rider_facts facts = facts_unknown();
        facts.kind = KIND_VO2MAX;
        facts.threshold_w = rows[i].threshold_w;
        facts.target = rows[i].target;
        double low_w = 0;
        double high_w = 0;
        check_integer(rows[i].name, facts_target_w(&facts, &limits, &low_w, &high_w),
                      rows[i].known);
        check_near(rows[i].name, low_w, rows[i].low_w, 0);
        check(high_w == rows[i].high_w || (isnan(high_w) && isnan(rows[i].high_w)));
    }
}

static void test_facts__a_changed_limit_changes_the_range(void **state)
{
    (void)state;
    struct limits limits = limits_default();
    struct rider_facts facts = facts_unknown();
    facts.kind = KIND_VO2MAX;
    facts.threshold_w = 200;
    limits.value[LIMIT_KIND_VO2MAX_LOW_PCT] = 108;
    double low_w = 0;
    double high_w = 0;
    check(facts_target_w(&facts, &limits, &low_w, &high_w));
    check_near("low", low_w, 216, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_facts__unknown_is_unknown_everywhere),
        cmocka_unit_test(test_facts__every_kind_has_a_name_that_finds_it),
        cmocka_unit_test(test_facts__a_kind_implies_its_range),
        cmocka_unit_test(test_facts__what_was_asked_wins_over_the_kind),
        cmocka_unit_test(test_facts__a_changed_limit_changes_the_range),
    };
    return cmocka_run_group_tests_name("facts", tests, NULL, NULL);
}
