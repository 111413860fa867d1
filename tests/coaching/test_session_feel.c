/* How hard each part feels: short efforts as little of what long ones come to.
 *
 * Numbers by hand from the rows of limits/rows.def (card_effort_*, kind_*_shortest_s; common
 * practice): a part at x % ends a share t / T of the way from 3-4 (base riding) to its class's
 * effort, T the shortest time that such efforts last.  That it is a straight line: Horstman et al.
 * 1979, Percept Mot Skills 48:1111. */
#include "check.h"

#include "coaching/session_feel.h"
#include "coaching/session_text.h"

#include <math.h>

static struct session_feel *feels_of(struct arena *arena, const char *words, size_t *n)
{
    struct session *session = ARENA_ARRAY(arena, struct session, 1);
    struct session_fault fault = { 0 };
    const struct limits limits = limits_default();
    const bool read = session_read(arena, words, session, &fault);
    check_text(words, read ? "" : session_fault_words(arena, &fault), "");
    const struct session_ridden *ridden = session_unroll(arena, session, n);
    return session_feels(arena, ridden, *n, 250.0, 190.0, &limits);
}

static const char *talk_of(const struct session_feel *feel)
{
    const char *name = feel->talk_tells ? feel_talk_name(feel->talk) : NULL;
    return name == NULL ? "" : name;
}

static void test_session_feel__effort_goes_by_power_and_time(void **state)
{
    (void)state;
    static const struct {
        const char *words;
        size_t part;
        double low;
        double high;
        const char *talk; /* "" = it is too short for talk to tell */
    } rows[] = {
        { "30 s at 100 %", 0, 3.25, 4 + 4 / 12.0, "" },
        { "30 s at 250 W", 0, 3.25, 4 + 4 / 12.0, "" },
        { "10 min at 100 %", 0, 6, 8, "few-words" },
        { "3 min at 95 %", 0, 4.5, 6, "short-sentences" },
        { "60 s at 110 %", 0, 5.5, 6.5, "" },
        { "4 min at 106-112 %", 0, 8, 9, "single-words" },
        { "10 s at 130 %", 0, 6, 7, "" },
        { "45 s at 125-150 %", 0, 9, 10, "" },
        { "15 s at 300 %", 0, 9, 10, "" },
        { "60 min at 70 %", 0, 3, 4, "sentences" },
        { "45 min at 50 %", 0, 1, 3, "freely" },
        { "20 min at 85 %", 0, 4, 6, "short-sentences" },
        { "5 min at 85 %", 0, 3.5, 5, "short-sentences" },
        { "until the button at 100 %", 0, 6, 8, "few-words" },
        { "20 min all out", 0, 10, 10, "none" },
        { "30 s all out", 0, 10, 10, "" },
        { "20 min at effort 3-4", 0, 3, 4, "sentences" },
        { "20 min at 150-160 bpm", 0, 6, 8, "few-words" }, /* 81.6 % of 190: vigorous */
        /* Rests no longer than the efforts: a block is one effort, ... */
        { "8 times (30 s at 115 %, 30 s at 50 %)", 0, 4.25, 5.25, "" },
        { "8 times (30 s at 115 %, 30 s at 50 %)", 6, 8, 9, "single-words" },
        { "8 times (30 s at 115 %, 30 s at 50 %)", 14, 8, 9, "single-words" },
        /* ... else each begins anew. */
        { "8 times (30 s at 115 %, 31 s at 50 %)", 14, 4.25, 5.25, "" },
        /* Without rests: over-unders. */
        { "3 times (2 min at 92 %, 1 min at 107 %)", 0, 4, 4 + 4 / 3.0, "short-sentences" },
        { "3 times (2 min at 92 %, 1 min at 107 %)", 1, 3 + 5 / 1.2, 4 + 5 / 1.2, "single-words" },
        { "3 times (2 min at 92 %, 1 min at 107 %)", 4, 6, 8, "few-words" },
        { "3 times (2 min at 92 %, 1 min at 107 %)", 5, 8, 9, "single-words" },
    };
    struct arena *arena = arena_open();
    for (size_t i = 0; i < COUNT(rows); i++) {
        size_t n = 0;
        const struct session_feel *feels = feels_of(arena, rows[i].words, &n);
        check(rows[i].part < n);
        check_near(rows[i].words, feels[rows[i].part].low, rows[i].low, 1e-9);
        check_near(rows[i].words, feels[rows[i].part].high, rows[i].high, 1e-9);
        check_text(rows[i].words, talk_of(&feels[rows[i].part]), rows[i].talk);
    }
    arena_close(arena);
}

/* 12.9 at a quarter of the time and 18.9 at its end, of Borg's scale: on a straight line a half
 * lies a third of the way between (14.9). */
static void test_session_feel__effort_rises_in_a_straight_line(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    size_t n = 0;
    const double quarter = feels_of(arena, "90 s at 100 %", &n)->high;
    const double half = feels_of(arena, "3 min at 100 %", &n)->high;
    const double whole = feels_of(arena, "6 min at 100 %", &n)->high;
    check_near("half", (half - quarter) / (whole - quarter), (14.9 - 12.9) / (18.9 - 12.9), 1e-9);
    arena_close(arena);
}

static void test_session_feel__what_is_not_known_is_not_told(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    size_t n = 0;
    check(isnan(feels_of(arena, "10 min", &n)->low));
    check(feel_talk_name(feels_of(arena, "10 min", &n)->talk) == NULL);
    const struct session_step step = { .aim = AIM_W, .low = 200, .high = 200, .seconds = 600 };
    const struct session_feel feel = session_feel_alone(&step, (double)NAN, (double)NAN, &limits);
    check(isnan(feel.low) && isnan(feel.high) && feel.talk == TALK_UNKNOWN);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_session_feel__effort_goes_by_power_and_time),
        cmocka_unit_test(test_session_feel__effort_rises_in_a_straight_line),
        cmocka_unit_test(test_session_feel__what_is_not_known_is_not_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
