/* What a session would bring, from the store: by what was known before its day, never by its own
 * ride; and that ride is no breach of the session's own safe limits.
 *
 * Expected values: by hand, from the thresholds and the days below. */
#include "roster/small_roster.h"

#include "coaching/safe.h"
#include "coaching/session_text.h"
#include "roster/facts.h"
#include "roster/health.h"
#include "roster/readings.h"
#include "roster/session_cards.h"
#include "roster/session_outlook.h"
#include "roster/sessions.h"

#include <math.h>
#include <string.h>

static const char hard[] = "15 min at 60 %\n4 times (4 min at 110 %, rest 4 min at 50 %)";

static void screened(struct small_roster *small)
{
    struct error err = { 0 };
    struct screening none = { .day = "2026-01-05" };
    must(health_screen(small->roster, small->arena, small_now, &small->ada, &none, &err), &err);
}

/* 50 min at 260 W and more, of 240. */
static void ride_hard(struct small_roster *small, const char *day)
{
    small_import(
        small, &small->ada,
        small_write_ride(small, arena_format(small->arena, "%s.csv", day), day, 9, 3000, 260));
}

static struct rider_session save(struct small_roster *small, const char *day, const char *state)
{
    struct error err = { 0 };
    struct rider_session row = { .day = day,
                                 .name = "one",
                                 .kind = "vo2max",
                                 .words = hard,
                                 .state = state,
                                 .confirmed = "safe_hard_gap_h" };
    must(sessions_save(small->roster, small->arena, small_now, &small->ada, &row, &err), &err);
    return row;
}

static bool breaks_gap(struct small_roster *small, const struct rider_session *row)
{
    struct error err = { 0 };
    struct safe_breach breaches[SAFE_BREACHES];
    size_t n = 0;
    must(sessions_safe(small->roster, small->arena, &small->ada, row, breaches, &n, &err), &err);
    for (size_t i = 0; i < n; i++) {
        if (strcmp(breaches[i].name, "safe_hard_gap_h") == 0) {
            return true;
        }
    }
    return false;
}

static void test_sessions_safe__own_ride_is_no_breach(void **state)
{
    (void)state;
    struct small_roster small = small_begin();
    screened(&small);
    const struct rider_session given = save(&small, "2026-03-10", "given");
    const struct rider_session draft = save(&small, "2026-03-20", "drafted");
    check(!breaks_gap(&small, &given) && !breaks_gap(&small, &draft));
    ride_hard(&small, "2026-03-10");
    check(!breaks_gap(&small, &given)); /* it came back of this session */
    struct rider_session other = {
        .day = "2026-03-10", .name = "two", .kind = "vo2max", .words = hard, .state = "drafted"
    };
    check(breaks_gap(&small, &other)); /* two on one day */
    other.day = "2026-03-11";
    check(breaks_gap(&small, &other));
    ride_hard(&small, "2026-03-09");
    check(breaks_gap(&small, &given)); /* the day before is another's */
    /* A draft: what was ridden that day may be another ride, until the day is over. */
    ride_hard(&small, "2026-03-20");
    check(breaks_gap(&small, &draft));
    small_import(&small, &small.ada,
                 small_write_ride(&small, "easy.csv", "2026-03-25", 9, 3000, 120));
    check(!breaks_gap(&small, &draft));
    small_end(&small);
}

/* Given today, once a hard ride of today is there: it isn't the session's own yet. */
static void test_sessions_safe__what_is_given_after_a_hard_ride_is_held_against_it(void **state)
{
    (void)state;
    struct small_roster small = small_begin();
    screened(&small);
    struct error err = { 0 };
    struct rider_session row = save(&small, "2026-03-10", "drafted");
    ride_hard(&small, "2026-03-10");
    row.state = "given";
    row.confirmed = NULL;
    check(!sessions_save(small.roster, small.arena, small_now, &small.ada, &row, &err));
    check(strstr(err.message, "safe_hard_gap_h") != NULL);
    small_end(&small);
}

static struct session_outlook outlook_of(struct small_roster *small, const char *day)
{
    struct error err = { 0 };
    struct session_outlook out;
    struct session_fault fault = { 0 };
    struct session *session = ARENA_ARRAY(small->arena, struct session, 1);
    const struct limits limits = limits_default();
    check(session_read(small->arena, hard, session, &fault));
    must(session_outlook_of(small->roster, small->arena, &small->ada, day, true, session, &limits,
                            &out, &err),
         &err);
    return out;
}

/* kJ by hand, of a threshold: 15 min at 60 %, 16 at 110 and 16 at 50. */
static double kj_of(double threshold_w)
{
    return threshold_w / 1000.0 * 60.0 * (15 * 0.6 + 16 * 1.1 + 16 * 0.5);
}

static void set_threshold(struct small_roster *small, const char *day, double watts,
                          int64_t recording)
{
    struct error err = { 0 };
    struct fact fact = {
        .day = day, .value = watts, .low = (double)NAN, .high = (double)NAN, .recording = recording
    };
    must(
        facts_set(small->roster, small->arena, small_now, &small->ada, FACT_THRESHOLD, &fact, &err),
        &err);
}

static void test_session_outlook__is_of_what_was_known_before_the_ride(void **state)
{
    (void)state;
    struct small_roster small = small_begin();
    small_import(&small, &small.ada,
                 small_write_ride(&small, "base.csv", "2026-03-01", 9, 3000, 150));
    const struct session_outlook before = outlook_of(&small, "2026-03-10");
    check_near("240 W", before.expected.work_kj, kj_of(240), 1e-9);
    /* The day's ride, and later ones, and the threshold that it showed, change nothing. */
    ride_hard(&small, "2026-03-10");
    ride_hard(&small, "2026-03-14");
    set_threshold(&small, "2026-03-10", 265,
                  small_number(&small, "SELECT MIN(id) FROM recording WHERE local_day = "
                                       "'2026-03-10'"));
    const struct session_outlook after = outlook_of(&small, "2026-03-10");
    check_near("240 W still", after.expected.work_kj, kj_of(240), 1e-9);
    check_text("words", after.text, before.text);
    check_integer("missing", (int64_t)after.n_missing, (int64_t)before.n_missing);
    /* From the day after it holds. */
    check_near("265 W", outlook_of(&small, "2026-03-11").expected.work_kj, kj_of(265), 1e-9);
    /* What the coach said in the morning holds at once. */
    set_threshold(&small, "2026-03-12", 250, 0);
    check_near("250 W", outlook_of(&small, "2026-03-12").expected.work_kj, kj_of(250), 1e-9);
    small_end(&small);
}

/* Both are made of one outlook: the card's profile and the numbers that it tells. */
static void test_session_cards__tell_what_the_outlook_tells(void **state)
{
    (void)state;
    struct small_roster small = small_begin();
    screened(&small);
    struct error err = { 0 };
    const struct limits limits = limits_default();
    for (int i = 0; i < 6; i++) {
        small_import(&small, &small.ada,
                     small_write_ride(&small, arena_format(small.arena, "r%d.csv", i),
                                      arena_format(small.arena, "2026-03-0%d", i + 1), 9,
                                      3000 + 60 * i, 120 + 20 * i));
    }
    const struct rider_session row = save(&small, "2026-03-10", "drafted");
    struct card_made made;
    must(session_cards_make(small.roster, small.arena, &small.ada, &row,
                            (struct card_wanted){ false, true }, &limits, &made, &err),
         &err);
    const struct session_outlook outlook = outlook_of(&small, "2026-03-10");
    const struct expected *expected = &made.card.outlook->expected;
    check_integer("seconds", (int64_t)expected->n, (int64_t)outlook.expected.n);
    check_near("kJ", expected->work_kj, outlook.expected.work_kj, 0.0);
    check((expected->heart_bpm == NULL) == (outlook.expected.heart_bpm == NULL));
    for (size_t i = 0; expected->heart_bpm != NULL && i < expected->n; i++) {
        check_near("heart", expected->heart_bpm[i], outlook.expected.heart_bpm[i], 0.0);
    }
    small_end(&small);
}

int main(int argc, char *argv[])
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sessions_safe__own_ride_is_no_breach),
        cmocka_unit_test(test_sessions_safe__what_is_given_after_a_hard_ride_is_held_against_it),
        cmocka_unit_test(test_session_outlook__is_of_what_was_known_before_the_ride),
        cmocka_unit_test(test_session_cards__tell_what_the_outlook_tells),
    };
    if (!store_begin(argc, argv)) {
        return 0;
    }
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
