/* A session made a step harder, easier, longer or shorter.
 *
 * Expected words: by hand from what coaching/session_nudge.h says, with the limit's default step of
 * 2 % of threshold. */
#include "check.h"

#include "coaching/session_nudge.h"
#include "coaching/session_text.h"

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
    check_text(text, session_read(arena, text, &session, &fault) ? "" : fault.why, "");
    return session;
}

static const struct {
    const char *name;
    const char *words;
    enum session_nudge nudge;
    const char *made; /* NULL = nothing can be changed */
} rows[] = {
    { "the efforts alone are raised",
      "warm up 15 min at 50-65 %\n5 times (4 min at 106-112 %, rest 4 min at 50 %)\ncool down 10 "
      "min at 45 %",
      SESSION_HARDER,
      "warm up 15 min at 50-65 %\n5 times (4 min at 108-114 %, rest 4 min at 50 %)\ncool down 10 "
      "min at 45 %" },
    { "rests that aren't called so stay", "5 times (4 min at 106-112 %, 4 min at 50 %)",
      SESSION_EASIER, "5 times (4 min at 104-110 %, 4 min at 50 %)" },
    { "over and under: both are hard", "3 times (3 min at 95 %, 1 min at 110 %)", SESSION_HARDER,
      "3 times (3 min at 97 %, 1 min at 112 %)" },
    { "where nothing is hard the riding is raised", "warm up 10 min at 50 %, 60 min at 56-75 %",
      SESSION_HARDER, "warm up 10 min at 50 %, 60 min at 58-77 %" },
    /* 2 % of 250 W. */
    { "in watts by the threshold", "4 times (4 min at 270-280 W, rest 4 min at 120 W)",
      SESSION_HARDER, "4 times (4 min at 275-285 W, rest 4 min at 120 W)" },
    { "by feel one of ten", "3 times (8 min at effort 7-8, rest 4 min at effort 2)", SESSION_EASIER,
      "3 times (8 min at effort 6-7, rest 4 min at effort 2)" },
    { "effort ends at ten", "3 times (2 min at effort 9-10, rest 4 min at effort 2)",
      SESSION_HARDER, NULL },
    { "heart rate isn't moved", "60 min at 130-145 bpm", SESSION_HARDER, NULL },
    { "all out isn't moved", "5 times (30 s all out, rest 4 min)", SESSION_EASIER, NULL },
    { "plan B stays",
      "4 times (4 min at 106-112 %, rest 4 min at 50 %)\nplan B over 26 C: 60 min at 56-65 %",
      SESSION_HARDER,
      "4 times (4 min at 108-114 %, rest 4 min at 50 %)\nplan B over 26 C: 60 min at 56-65 %" },
    { "longer: an effort more", "4 times (4 min at 106-112 %, rest 4 min at 50 %)", SESSION_LONGER,
      "5 times (4 min at 106-112 %, rest 4 min at 50 %)" },
    { "of two blocks of eight the eight",
      "2 times (8 times (40 s at 120 %, 20 s at 50 %), rest 5 min at 50 %)", SESSION_LONGER,
      "2 times (9 times (40 s at 120 %, 20 s at 50 %), rest 5 min at 50 %)" },
    { "shorter: an effort fewer", "2 times (20 min at 95 %, rest 5 min at 50 %)", SESSION_SHORTER,
      "1 times (20 min at 95 %, rest 5 min at 50 %)" },
    { "one effort is the least", "1 times (20 min at 95 %, rest 5 min at 50 %)", SESSION_SHORTER,
      NULL },
    { "strides in an easy ride aren't its length",
      "60 min at 56-65 %, then 4 times (15 s all out, 2 min at 50 %)", SESSION_LONGER,
      "70 min at 56-65 %, then 4 times (15 s all out, 2 min at 50 %)" },
    { "by heart rate: ten minutes", "60 min at 130-145 bpm", SESSION_LONGER,
      "70 min at 130-145 bpm" },
    { "a ride: ten minutes", "warm up 10 min at 50 %\n90 min at 56-65 %", SESSION_LONGER,
      "warm up 10 min at 50 %\n100 min at 56-65 %" },
    { "a ride isn't cut to less than ten minutes", "15 min at 50 %", SESSION_SHORTER, NULL },
    { "nothing has a length", "until the button at 50-65 %", SESSION_LONGER, NULL },
};

static void test_session_nudge__one_step_is_made(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct session session = read_it(rows[i].words);
        const bool made = session_nudge_make(&session, rows[i].nudge, 250.0, &limits);
        check_text(rows[i].name, made ? session_write(arena, &session) : "nothing",
                   rows[i].made == NULL ? "nothing" : rows[i].made);
    }
}

/* What is refused leaves the session as it was. */
static void test_session_nudge__what_is_refused_changes_nothing(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct session session = read_it(rows[i].words);
        if (!session_nudge_make(&session, rows[i].nudge, 250.0, &limits)) {
            check_text(rows[i].name, session_write(arena, &session), rows[i].words);
        }
    }
}

static void test_session_nudge__there_and_back_is_where_it_began(void **state)
{
    (void)state;
    static const enum session_nudge back[SESSION_NUDGES] = { SESSION_EASIER, SESSION_HARDER,
                                                             SESSION_SHORTER, SESSION_LONGER };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct session session = read_it(rows[i].words);
        if (session_nudge_make(&session, rows[i].nudge, 250.0, &limits) &&
            session_nudge_make(&session, back[rows[i].nudge], 250.0, &limits)) {
            check_text(rows[i].name, session_write(arena, &session), rows[i].words);
        }
    }
}

/* Without a threshold watts can't be told hard from easy: the role alone says what is work. */
static void test_session_nudge__watts_without_a_threshold(void **state)
{
    (void)state;
    struct session session = read_it("4 times (4 min at 300 W, rest 4 min at 100 W)");
    check(session_nudge_make(&session, SESSION_HARDER, (double)NAN, &limits));
    check_text("2 % of its own", session_write(arena, &session),
               "4 times (4 min at 306 W, rest 4 min at 100 W)");
}

/* Expected: by hand; what a coach sets is what the act does. */
static void test_session_nudge__steps_are_the_coachs_own(void **state)
{
    (void)state;
    struct session ride = read_it("60 min at 50-65 %");
    struct session sets = read_it("3 times (8 times (40 s at 120 %, 20 s at 50 %), 5 min at 50 %)");
    limits.value[LIMIT_NUDGE_LENGTH_S] = 900;
    limits.value[LIMIT_NUDGE_LEAST_S] = 3000;
    limits.value[LIMIT_NUDGE_REPS_FEW] = 4;
    check(!session_nudge_make(&ride, SESSION_SHORTER, 250.0, &limits));
    check(session_nudge_make(&ride, SESSION_LONGER, 250.0, &limits));
    check_text("15 min", session_write(arena, &ride), "75 min at 50-65 %");
    check(session_nudge_make(&sets, SESSION_LONGER, 250.0, &limits));
    check_text("three sets", session_write(arena, &sets),
               "3 times (9 times (40 s at 120 %, 20 s at 50 %), 5 min at 50 %)");
}

static void test_session_nudge__names(void **state)
{
    (void)state;
    enum session_nudge nudge = SESSION_NUDGES;
    check(session_nudge_find("longer", &nudge) && nudge == SESSION_LONGER);
    check(!session_nudge_find("long", &nudge));
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(test_session_nudge__one_step_is_made),
        TEST(test_session_nudge__what_is_refused_changes_nothing),
        TEST(test_session_nudge__there_and_back_is_where_it_began),
        TEST(test_session_nudge__watts_without_a_threshold),
        TEST(test_session_nudge__steps_are_the_coachs_own),
        TEST(test_session_nudge__names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
