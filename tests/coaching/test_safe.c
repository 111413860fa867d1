/* The library of sessions, and the limits that nothing passes unseen.
 *
 * Expected values: doses summed by hand; limits as limits/rows.def has them (common practice); and
 * the property that whatever passes breaks none, told by a slow twin that counts day by day. */
#include "check.h"

#include "coaching/safe.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"
#include "maths/random.h"

#include <math.h>
#include <string.h>

static struct arena *arena;
static struct limits limits;

static int begin(void **state)
{
    (void)state;
    arena = arena_open();
    limits = limits_default();
    return 0;
}

static int end(void **state)
{
    (void)state;
    arena_close(arena);
    return 0;
}

static struct session read_it(const char *text)
{
    struct session session;
    struct session_fault fault = { 0 };
    const bool read = session_read(arena, text, &session, &fault);
    check_text(text, read ? "" : session_fault_words(arena, &fault), "");
    return session;
}

static struct rider_facts beginner(void)
{
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 200;
    facts.age_y = 30;
    facts.training_y = 0;
    facts.screened = SCREENED_ALL_NO;
    return facts;
}

/* Names of what it breaks, blanks between. */
static const char *breaks(const char *words, const char *kind, const struct rider_facts *facts,
                          const struct safe_day days[], size_t n)
{
    struct safe_breach out[SAFE_BREACHES];
    const struct session session = read_it(words);
    const struct safe_case c = {
        .session = &session, .kind = kind, .day = 100, .facts = facts, .days = days, .n_days = n
    };
    struct text names = text_begin(arena, 1000);
    const size_t count = safe_find(arena, &c, &limits, out);
    for (size_t i = 0; i < count; i++) {
        text_add_format(&names, "%s%s%s", i > 0 ? " " : "", out[i].name,
                        out[i].is_refused ? "!" : "");
        check(strlen(out[i].words) > 20);
    }
    return names.bytes;
}

static void test_library__every_session_reads_and_is_safe_for_a_beginner(void **state)
{
    (void)state;
    const struct rider_facts facts = beginner();
    check(session_library_count >= 11);
    for (size_t i = 0; i < session_library_count; i++) {
        const struct library_session *row = &session_library[i];
        const struct session session = read_it(row->words);
        check_text(row->name, session_write(arena, &session), row->words);
        check_text(row->name, breaks(row->words, row->kind, &facts, NULL, 0), "");
        check(session_kind_is_known(row->kind));
        check(session_library_find(row->name) == row);
        check(strlen(row->dose) > 0 && strlen(row->cautions) > 0 && strlen(row->source) > 0);
        const struct session_dose dose = session_dose_of(arena, &session, 200, &limits);
        if (dose.is_hard) {
            check_text(row->name,
                       strstr(row->cautions, "chest pain") != NULL ? "says when to stop"
                                                                   : "doesn't",
                       "says when to stop");
            check(session_kind_is_hard(row->kind));
        }
    }
}

static void test_library__the_work_of_each_is_what_its_kind_asks(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int32_t threshold_s;
        int32_t vo2max_s;
        int32_t anaerobic_s;
        bool maximal;
    } rows[] = {
        { "base-test", 0, 0, 0, false },        { "base-ride", 0, 0, 0, false },
        { "vo2max", 90, 960, 0, false },        { "short-vo2max", 90, 480, 0, false },
        { "anaerobic", 90, 0, 270, false },     { "threshold", 1890, 0, 0, false },
        { "over-unders", 1170, 540, 0, false }, { "test-20-min", 90, 0, 0, true },
        { "test-2x8", 90, 0, 0, true },         { "test-efforts", 90, 0, 0, true },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct library_session *row = session_library_find(rows[i].name);
        check(row != NULL);
        const struct session session = read_it(row->words);
        const struct session_dose dose = session_dose_of(arena, &session, 200, &limits);
        check_integer(row->name, dose.threshold_s, rows[i].threshold_s);
        check_integer(row->name, dose.vo2max_s, rows[i].vo2max_s);
        check_integer(row->name, dose.anaerobic_s, rows[i].anaerobic_s);
        check_integer(row->name, dose.is_maximal, rows[i].maximal);
    }
}

static const char hard[] = "4 times (4 min at 106-112 %, 4 min at 50 %)";

static void test_safe__medical_advice_comes_first(void **state)
{
    (void)state;
    struct rider_facts facts = beginner();
    facts.screened = SCREENED_NOT;
    check_text("not asked", breaks(hard, "vo2max", &facts, NULL, 0), "screening!");
    check_text("a test", breaks("20 min", "test", &facts, NULL, 0), "screening!");
    check_text("hard by feel", breaks("30 min at effort 8", "other", &facts, NULL, 0),
               "screening!");
    check_text("easy", breaks("60 min at 70 %", "easy", &facts, NULL, 0), "");
    facts.screened = SCREENED_YES;
    check_text("not cleared", breaks(hard, "vo2max", &facts, NULL, 0), "screening!");
    facts.screened = SCREENED_CLEARED;
    check_text("cleared", breaks(hard, "vo2max", &facts, NULL, 0), "");
    facts.day.ill = true;
    check_text("ill", breaks(hard, "vo2max", &facts, NULL, 0), "ill!");
    check_text("ill, easy", breaks("30 min at 50 %", "easy", &facts, NULL, 0), "");
    facts = beginner();
    facts.pregnant = true;
    check_text("pregnant", breaks("20 min all out", "test", &facts, NULL, 0), "pregnant!");
    facts = beginner();
    facts.heart_medicine = true;
    check_text("medicine", breaks("60 min at 120-130 bpm", "easy", &facts, NULL, 0),
               "heart-medicine!");
    facts = beginner();
    check_text("first year", breaks("3 min all out", "test", &facts, NULL, 0), "first-year!");
    facts.age_y = 16;
    facts.training_y = 4;
    check_text("under 18", breaks("60 min all out", "test", &facts, NULL, 0), "under-18!");
    facts.age_y = 30;
    check_text("grown, trained", breaks("3 min all out", "test", &facts, NULL, 0), "");
}

static void test_safe__doses_and_spacing_ask_for_a_word(void **state)
{
    (void)state;
    struct rider_facts facts = beginner();
    const struct safe_day yesterday[] = { { 99, true, false } };
    const struct safe_day two_before[] = { { 98, true, false }, { 95, true, false } };
    const struct safe_day week_ago[] = { { 93, true, false }, { 102, true, false } };
    const struct safe_day test[] = { { 87, true, true } };
    check_text("dose", breaks("6 times (4 min at 110 %, 4 min)", "vo2max", &facts, NULL, 0),
               "safe_vo2max_s");
    check_text("threshold", breaks("50 min at 95 %", "threshold", &facts, NULL, 0),
               "safe_threshold_s");
    check_text("day before", breaks(hard, "vo2max", &facts, yesterday, 1), "safe_hard_gap_h");
    check_text("third in a week", breaks(hard, "vo2max", &facts, two_before, 2), "hard_days_week");
    check_text("not in one week", breaks(hard, "vo2max", &facts, week_ago, 2), "");
    check_text("13 days", breaks("20 min all out", "test", &facts, test, 1), "safe_maximal_days");
    check_text("easy between", breaks("60 min at 70 %", "easy", &facts, yesterday, 1), "");
    facts.training_y = 3;
    check_text("trained", breaks("6 times (4 min at 110 %, 4 min)", "vo2max", &facts, NULL, 0), "");
    facts.training_y = (double)NAN;
    check_text("not known", breaks("6 times (4 min at 110 %, 4 min)", "vo2max", &facts, NULL, 0),
               "safe_vo2max_s");
}

/* ---- a case for each limit ---- */

/* A session past one limit alone, and the same just within it; what differs from a beginner of 30
 * who answered the questions. */
struct at_limit {
    const char *name; /* of safe_limits */
    const char *past;
    const char *within;
    const char *kind;
    struct safe_day days[2];
    size_t n_days;
    struct safe_day days_within[2]; /* in their place; n_days of them */
    void (*differs)(struct rider_facts *facts);
    void (*differs_within)(struct rider_facts *facts);
};

static void not_asked(struct rider_facts *facts)
{
    facts->screened = SCREENED_NOT;
}

static void ill(struct rider_facts *facts)
{
    facts->day.ill = true;
}

static void pregnant(struct rider_facts *facts)
{
    facts->pregnant = true;
}

static void medicine(struct rider_facts *facts)
{
    facts->heart_medicine = true;
}

static void minor(struct rider_facts *facts)
{
    facts->age_y = 16;
    facts->training_y = 4;
}

static void of_age(struct rider_facts *facts)
{
    facts->age_y = 18;
    facts->training_y = 4;
}

static void as_is(struct rider_facts *facts)
{
    (void)facts;
}

#define DAY_0 100
static const struct at_limit at_limits[] = {
    { "screening", hard, hard, "vo2max", .differs = not_asked, .differs_within = as_is },
    { "ill", hard, hard, "vo2max", .differs = ill, .differs_within = as_is },
    { "pregnant", "20 min all out", "20 min all out", "test", .differs = pregnant,
      .differs_within = as_is },
    { "heart-medicine", "60 min at 120-130 bpm", "60 min at 65-72 %", "easy", .differs = medicine,
      .differs_within = medicine },
    { "under-18", "60 min all out", "60 min all out", "test", .differs = minor,
      .differs_within = of_age },
    { "first-year", "3 min all out", "4 min all out", "test", .differs = as_is,
      .differs_within = as_is },
    { "safe_threshold_s", "41 min at 95 %", "40 min at 95 %", "threshold", .differs = as_is,
      .differs_within = as_is },
    { "safe_vo2max_s", "7 times (3 min at 110 %, 3 min)", "5 times (4 min at 110 %, 4 min)",
      "vo2max", .differs = as_is, .differs_within = as_is },
    { "safe_anaerobic_s", "9 times (1 min at 140 %, 4 min)", "8 times (1 min at 140 %, 4 min)",
      "anaerobic", .differs = as_is, .differs_within = as_is },
    { "safe_hard_gap_h",
      hard,
      hard,
      "vo2max",
      { { DAY_0 - 1, true, false } },
      1,
      { { DAY_0 - 2, true, false } },
      as_is,
      as_is },
    { "hard_days_week",
      hard,
      hard,
      "vo2max",
      { { DAY_0 - 6, true, false }, { DAY_0 - 3, true, false } },
      2,
      { { DAY_0 - 7, true, false }, { DAY_0 - 3, true, false } },
      as_is,
      as_is },
    { "safe_maximal_days",
      "20 min all out",
      "20 min all out",
      "test",
      { { DAY_0 - 13, true, true } },
      1,
      { { DAY_0 - 14, true, true } },
      as_is,
      as_is },
};

static const struct at_limit *case_of(const char *name)
{
    for (size_t i = 0; i < COUNT(at_limits); i++) {
        if (strcmp(at_limits[i].name, name) == 0) {
            return &at_limits[i];
        }
    }
    fail_msg("%s: a safe limit without a case in this table", name);
    return NULL;
}

static const char *breaks_at(const struct at_limit *at, bool past)
{
    struct rider_facts facts = beginner();
    (past ? at->differs : at->differs_within)(&facts);
    return breaks(past ? at->past : at->within, at->kind, &facts, past ? at->days : at->days_within,
                  at->n_days);
}

static void test_safe__every_limit_holds_from_its_value_on(void **state)
{
    (void)state;
    check_integer("cases", (int64_t)COUNT(at_limits), (int64_t)safe_limits_count);
    for (size_t i = 0; i < safe_limits_count; i++) {
        const struct at_limit *at = case_of(safe_limits[i].name);
        check_text(at->name, breaks_at(at, true),
                   arena_format(arena, "%s%s", at->name, safe_limits[i].is_refused ? "!" : ""));
        check_text(arena_format(arena, "just within %s", at->name), breaks_at(at, false), "");
    }
}

/* Rows that say what counts as hard, and for whom; a session that they decide over. */
static const struct {
    const char *name;
    double set;
    const char *words;
    const char *before; /* what it breaks, a hard day the day before */
    const char *after;
} what_counts[] = {
    { "safe_hard_pct", 80, "20 min at 85 %", "", "safe_hard_gap_h" },
    { "safe_hard_s", 300, "6 min at 95 %", "", "safe_hard_gap_h" },
    { "safe_beginner_years", 0, "50 min at 95 %", "safe_threshold_s safe_hard_gap_h",
      "safe_hard_gap_h" },
};

/* A new row of limits/ that is called safe_ is one of the two, or this fails. */
static void test_safe__every_row_of_limits_is_tried(void **state)
{
    (void)state;
    const struct rider_facts facts = beginner();
    const struct safe_day yesterday = { DAY_0 - 1, true, false };
    size_t n = 0;
    for (size_t i = 0; i < LIMITS_COUNT; i++) {
        const struct limit_row *row = limits_row((enum limit_id)i);
        if (strncmp(row->name, "safe_", 5) != 0) {
            continue;
        }
        size_t c = 0;
        while (c < COUNT(what_counts) && strcmp(what_counts[c].name, row->name) != 0) {
            c++;
        }
        n++;
        if (c == COUNT(what_counts)) {
            (void)case_of(row->name);
            continue;
        }
        check_text(row->name, breaks(what_counts[c].words, "other", &facts, &yesterday, 1),
                   what_counts[c].before);
        limits.value[i] = what_counts[c].set;
        check_text(row->name, breaks(what_counts[c].words, "other", &facts, &yesterday, 1),
                   what_counts[c].after);
        limits = limits_default();
    }
    check(n > COUNT(what_counts));
    /* And what can be gone past is a row that a coach may change. */
    for (size_t i = 0; i < safe_limits_count; i++) {
        enum limit_id id;
        check_integer(safe_limits[i].name, limits_find(safe_limits[i].name, &id),
                      !safe_limits[i].is_refused);
    }
}

/* A coach who drafts at random, and never goes past anything. */
static void test_safe__what_passes_breaks_nothing(void **state)
{
    (void)state;
    enum { RIDERS = 200, DRAFTS = 60, DAYS = 40 };
    struct random dice = random_begin(5);
    int taken = 0;
    for (int r = 0; r < RIDERS; r++) {
        struct safe_day days[DRAFTS];
        size_t n = 0;
        struct rider_facts facts = beginner();
        facts.screened = (enum screened)random_below(&dice, 4);
        facts.training_y = (double)random_below(&dice, 3);
        for (int d = 0; d < DRAFTS; d++) {
            const struct library_session *row =
                &session_library[random_below(&dice, session_library_count)];
            struct arena *outer = arena;
            arena = arena_open();
            const struct session session = read_it(row->words);
            const struct safe_case c = { .session = &session,
                                         .kind = row->kind,
                                         .day = (int64_t)random_below(&dice, DAYS),
                                         .facts = &facts,
                                         .days = days,
                                         .n_days = n };
            struct safe_breach out[SAFE_BREACHES];
            if (safe_find(arena, &c, &limits, out) == 0) {
                days[n++] = safe_day_of(arena, &session, row->kind, c.day, 200, &limits);
            }
            arena_close(arena);
            arena = outer;
        }
        int in_week[DAYS + 7] = { 0 };
        for (size_t i = 0; i < n; i++) {
            taken += days[i].is_hard ? 1 : 0;
            check(!days[i].is_hard || facts.screened == SCREENED_ALL_NO ||
                  facts.screened == SCREENED_CLEARED);
            for (int w = 0; w < 7 && days[i].is_hard; w++) {
                in_week[days[i].day + w]++;
            }
            for (size_t k = 0; k < i; k++) {
                const int64_t apart = llabs(days[i].day - days[k].day);
                check(!(days[i].is_hard && days[k].is_hard) || apart >= 2);
                check(!(days[i].is_maximal && days[k].is_maximal) || apart >= 14);
            }
        }
        for (int w = 0; w < DAYS + 7 && facts.training_y < 1; w++) {
            check(in_week[w] <= 2);
        }
    }
    check(taken > RIDERS);
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(test_library__every_session_reads_and_is_safe_for_a_beginner),
        TEST(test_library__the_work_of_each_is_what_its_kind_asks),
        TEST(test_safe__medical_advice_comes_first),
        TEST(test_safe__doses_and_spacing_ask_for_a_word),
        TEST(test_safe__every_limit_holds_from_its_value_on),
        TEST(test_safe__every_row_of_limits_is_tried),
        TEST(test_safe__what_passes_breaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
