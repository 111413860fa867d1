/* tests/coaching/test_rider_weeks.c: what is said of a rider over weeks.  Histories by hand; the
 * verdicts wanted are those of the rules in the headers (common practice, no source). */
#include "check.h"

#include "coaching/base_state.h"
#include "coaching/gauge.h"
#include "coaching/rider_progress.h"

#include <math.h>
#include <string.h>

enum { TODAY = 20500, MOST = 40 };

/* One letter a judged test: p passed, l on the line, n not passed, c cannot tell (asked for), s a
 * pass that was spoiled, . a ride without a test. */
struct day {
    int64_t ago;
    char test;
};

static struct past_ride ride_of(const struct day *day)
{
    const double none = (double)NAN;
    struct past_ride ride = { .id = 1000 - day->ago,
                              .day = TODAY - day->ago,
                              .is_ride = true,
                              .has_power = true,
                              .hours = 1,
                              .work_kj = none,
                              .effort_0_10 = none };
    ride.base.is_asked = day->test != '.';
    ride.is_base_test = ride.base.is_asked;
    ride.spoiled = day->test == 's';
    ride.base.estimate = day->test == 'n' ? 14 : day->test == 'l' ? 10 : 6;
    ride.base.low = ride.base.estimate - 2;
    ride.base.high = ride.base.estimate + 2;
    ride.base.verdict = day->test == 'p' || day->test == 's' ? VERDICT_PASSED
                        : day->test == 'l'                   ? VERDICT_ON_THE_LINE
                        : day->test == 'n'                   ? VERDICT_NOT_PASSED
                                                             : VERDICT_CANNOT_TELL;
    return ride;
}

/* Days from long ago to today; a ride every third day besides, so that there is no break. */
static struct rider_history history_of(struct arena *arena, const struct day days[], size_t n,
                                       bool steady)
{
    struct past_ride *rides = ARENA_ARRAY(arena, struct past_ride, MOST + n);
    struct rider_history history = { .today = TODAY, .power_since_day = INT64_MIN, .rides = rides };
    int64_t filled = 99;
    for (size_t i = 0; i < n; i++) {
        while (steady && filled > days[i].ago + 1) {
            rides[history.n_rides++] = ride_of(&(struct day){ filled, '.' });
            filled -= 3;
        }
        rides[history.n_rides++] = ride_of(&days[i]);
        filled = steady ? days[i].ago - 1 : filled;
    }
    while (steady && filled > 0) {
        rides[history.n_rides++] = ride_of(&(struct day){ filled, '.' });
        filled -= 3;
    }
    return history;
}

static void test_base_state__two_passes_apart_build_it(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        struct day days[5];
        enum verdict want;
        const char *says; /* NULL = only the verdict matters */
    } rows[] = {
        { "none", { { 0, 0 } }, VERDICT_NOT_TESTED, "Give a base test" },
        { "one pass", { { 10, 'p' } }, VERDICT_TO_CONFIRM, "5 days or more after it" },
        { "two passes", { { 20, 'p' }, { 10, 'p' } }, VERDICT_BUILT, "So did that of" },
        { "two in one good week", { { 12, 'p' }, { 10, 'p' } }, VERDICT_TO_CONFIRM, NULL },
        { "three, the middle one too near",
          { { 20, 'p' }, { 12, 'p' }, { 10, 'p' } },
          VERDICT_BUILT,
          NULL },
        { "a fail between", { { 30, 'p' }, { 20, 'n' }, { 10, 'p' } }, VERDICT_TO_CONFIRM, NULL },
        { "on the line between",
          { { 30, 'p' }, { 20, 'l' }, { 10, 'p' } },
          VERDICT_TO_CONFIRM,
          NULL },
        { "one that couldn't be judged between",
          { { 30, 'p' }, { 20, 'c' }, { 10, 'p' } },
          VERDICT_BUILT,
          NULL },
        { "a fail last", { { 20, 'p' }, { 10, 'n' } }, VERDICT_STILL_BUILDING, "did not pass" },
        { "on the line last",
          { { 20, 'p' }, { 10, 'l' } },
          VERDICT_STILL_BUILDING,
          "was on the line" },
        { "a spoiled pass counts for nothing",
          { { 20, 'n' }, { 10, 's' } },
          VERDICT_STILL_BUILDING,
          NULL },
        { "nine weeks ago", { { 70, 'p' }, { 63, 'p' } }, VERDICT_OUT_OF_DATE, "63 days ago" },
        { "eight weeks ago", { { 70, 'p' }, { 56, 'p' } }, VERDICT_BUILT, NULL },
        { "never judged", { { 20, 'c' }, { 10, 'c' } }, VERDICT_CANNOT_TELL, "None of the 2" },
        { "only one, and spoiled", { { 10, 's' } }, VERDICT_CANNOT_TELL, "could not be judged" },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        size_t n = 0;
        while (n < 5 && rows[i].days[n].test != 0) {
            n++;
        }
        const struct rider_history history = history_of(arena, rows[i].days, n, true);
        const struct reading reading = base_state_read(arena, &history, &limits);
        check_text(rows[i].name, verdict_name(reading.verdict), verdict_name(rows[i].want));
        if (rows[i].says != NULL && strstr(reading.text, rows[i].says) == NULL) {
            check_text(rows[i].name, reading.text, rows[i].says);
        }
        struct gauge gauge = { 0 };
        check_integer("gauge", reading_gauge(arena, &reading, &gauge),
                      !isnan(reading.estimate) || reading.limit_value > 0);
        arena_close(arena);
    }
}

static void test_base_state__a_break_makes_it_old(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    static const struct day tests[] = { { 30, 'p' }, { 20, 'p' } };
    /* Nothing ridden since: 20 days. */
    struct rider_history history = history_of(arena, tests, 2, false);
    struct reading reading = base_state_read(arena, &history, &limits);
    check_text("no ride since", verdict_name(reading.verdict), "out of date");
    check(strstr(reading.text, "a break since") != NULL);
    /* Riding on, but ill for some days. */
    history = history_of(arena, tests, 2, true);
    struct past_span ill = { OFF_ILL, TODAY - 8, TODAY - 5 };
    history.off = &ill;
    history.n_off = 1;
    reading = base_state_read(arena, &history, &limits);
    check_text("ill since", verdict_name(reading.verdict), "out of date");
    /* Ill before the test: said by the test. */
    ill = (struct past_span){ OFF_ILL, TODAY - 28, TODAY - 25 };
    reading = base_state_read(arena, &history, &limits);
    check_text("ill before", verdict_name(reading.verdict), "built");
    ill.kind = OFF_AWAY;
    ill.from_day = TODAY - 8;
    ill.to_day = TODAY - 5;
    check_text("away, and riding", verdict_name(base_state_read(arena, &history, &limits).verdict),
               "built");
    arena_close(arena);
}

/* ---- progress ---- */

/* Efforts of 5, 10 and 20 min: n in each window, a power each. */
static struct rider_history trying_of(struct arena *arena, size_t n_before, double before_w,
                                      size_t n_recent, double recent_w)
{
    struct past_ride *rides = ARENA_ARRAY(arena, struct past_ride, MOST);
    struct rider_history history = { .today = TODAY, .power_since_day = INT64_MIN, .rides = rides };
    for (int64_t ago = 83; ago >= 0; ago -= 7) {
        const bool recent = ago < 42;
        const size_t place = (size_t)((recent ? 41 : 83) - ago) / 7;
        struct past_ride *ride = &rides[history.n_rides++];
        *ride = ride_of(&(struct day){ ago, '.' });
        ride->meter = 1;
        if (place < (recent ? n_recent : n_before)) {
            static const int32_t durations[] = { 300, 600, 1200 };
            for (size_t i = 0; i < 3; i++) {
                ride->efforts[ride->n_efforts++] =
                    (struct effort){ .duration_s = durations[i],
                                     .power_w = (recent ? recent_w : before_w) - 10.0 * (double)i,
                                     .evidence = EFFORT_HEART };
            }
        }
    }
    return history;
}

static void check_says(const char *name, const struct reading *reading, const char *verdict,
                       const char *says)
{
    check_text(name, verdict_name(reading->verdict), verdict);
    if (says != NULL && strstr(reading->text, says) == NULL) {
        check_text(name, reading->text, says);
    }
}

static void test_progress__says_better_lower_and_why_not(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        size_t n_before;
        double before_w;
        size_t n_recent;
        double recent_w;
        const char *verdict;
        const char *says;
        const char *stalled;
        const char *why;
    } rows[] = {
        { "a tenth more", 3, 250, 3, 275, "better", "by 10.", "no", "bests have risen" },
        { "a tenth less", 3, 250, 3, 225, "lower", "Lower, by", "yes", "reconsider" },
        { "the same", 3, 250, 3, 250, "no clear change", "about equally likely", "cannot tell",
          "A gain of up to" },
        { "a little more", 3, 250, 3, 255, "no clear change", "More likely better than not",
          "cannot tell", "A gain of up to" },
        { "a little less, often tried", 6, 250, 6, 243, "no clear change", NULL, "yes",
          "Stalled: trying hard" },
        { "none lately", 3, 250, 0, 0, "not tested", "Give a test", "cannot tell",
          "Not tried is not" },
        { "one lately", 3, 250, 1, 275, "cannot tell", "1 all-out effort in these weeks",
          "cannot tell", "Not tried" },
        { "none at all", 0, 0, 0, 0, "not tested", NULL, "cannot tell", NULL },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct rider_progress progress;
        const struct rider_history history = trying_of(arena, rows[i].n_before, rows[i].before_w,
                                                       rows[i].n_recent, rows[i].recent_w);
        rider_progress_read(arena, &history, PROGRESS_BEFORE, &limits, &progress);
        check_says(rows[i].name, &progress.joint, rows[i].verdict, rows[i].says);
        check_says(rows[i].name, &progress.stalled, rows[i].stalled, rows[i].why);
        check_integer("durations", (int64_t)progress.n, EFFORT_DURATIONS);
        /* 10 s, 15 s and a minute were never tried. */
        check_text("short", verdict_name(progress.each[0].verdict), "not tested");
        arena_close(arena);
    }
}

/* The effort that the change is counted from; without one the greatest that was ridden. */
static void test_progress__names_the_best_of_both_windows(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider_progress progress;
    struct rider_history history = trying_of(arena, 3, 250, 3, 255);
    history.rides[history.n_rides - 4].efforts[0].power_w = 400;
    history.rides[history.n_rides - 4].efforts[0].evidence = 0;
    rider_progress_read(arena, &history, PROGRESS_BEFORE, &limits, &progress);
    const struct progress_best *five = &progress.recent[3];
    check_integer("5 min", progress.each[3].set, 300);
    check(five->known && five->evidence == EFFORT_HEART);
    check_near("the best that was all-out", five->power_w, 255, 1e-9);
    check_near("before", progress.before[3].power_w, 250, 1e-9);
    check(progress.before[3].day < progress.recent_from && five->day >= progress.recent_from);
    check(!progress.recent[0].known && !progress.before[0].known);
    for (size_t i = 0; i < history.n_rides; i++) {
        for (size_t k = 0; k < history.rides[i].n_efforts; k++) {
            history.rides[i].efforts[k].evidence = 0;
        }
    }
    rider_progress_read(arena, &history, PROGRESS_BEFORE, &limits, &progress);
    check_near("the greatest ridden", progress.recent[3].power_w, 400, 1e-9);
    check_integer("by nothing", progress.recent[3].evidence, 0);
    arena_close(arena);
}

/* The last six weeks and those before, asked for by their days, are what they are by name; and
 * nothing after today counts. */
static void test_progress__goes_over_any_two_ranges(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider_progress named;
    struct rider_progress asked;
    const struct rider_history history = trying_of(arena, 3, 250, 3, 275);
    rider_progress_read(arena, &history, PROGRESS_BEFORE, &limits, &named);
    const struct progress_windows same = { named.before_from, named.before_to, named.recent_from,
                                           named.recent_to + 100 };
    rider_progress_between(arena, &history, &same, &limits, &asked);
    check_text("text", asked.joint.text, named.joint.text);
    check_near("estimate", asked.joint.estimate, named.joint.estimate, 1e-12);
    check_integer("to", asked.recent_to, TODAY + 1);
    const struct progress_windows swapped = { named.recent_from, named.recent_to, named.before_from,
                                              named.before_to };
    rider_progress_between(arena, &history, &swapped, &limits, &asked);
    check_text("swapped", verdict_name(asked.joint.verdict), "lower");
    check_near("ratio", asked.joint_change.ratio, -named.joint_change.ratio, 1e-12);
    arena_close(arena);
}

static void test_progress__stalled_needs_usual_weeks(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider_progress progress;
    struct rider_history history = trying_of(arena, 6, 250, 6, 235);
    struct past_span ill = { OFF_ILL, TODAY - 30, TODAY - 26 };
    history.off = &ill;
    history.n_off = 1;
    rider_progress_read(arena, &history, PROGRESS_BEFORE, &limits, &progress);
    check_says("ill", &progress.stalled, "cannot tell", "Days ill");
    history.n_off = 0;
    struct past_note hot = { .day = TODAY - 10, .hot = true };
    history.notes = &hot;
    history.n_notes = 1;
    rider_progress_read(arena, &history, PROGRESS_BEFORE, &limits, &progress);
    check_says("hot", &progress.stalled, "cannot tell", "hot");
    history.n_notes = 0;
    for (size_t i = 0; i < history.n_rides; i++) {
        history.rides[i].meter = history.rides[i].day < TODAY - 41 ? 1 : 2;
    }
    rider_progress_read(arena, &history, PROGRESS_BEFORE, &limits, &progress);
    check_says("other meter", &progress.stalled, "cannot tell", "different power meters");
    check(strstr(progress.joint.text, "different power meters") != NULL);
    check(strstr(progress.joint.text, "3.2 %, the published trueness") != NULL);
    /* Checked and alike: what is left open is little. */
    struct meter_link link = { 1, 2, 0.0, 0.001, TODAY - 20, INT64_MIN };
    history.links = &link;
    history.n_links = 1;
    rider_progress_read(arena, &history, PROGRESS_BEFORE, &limits, &progress);
    check_says("checked", &progress.stalled, "yes", NULL);
    check(strstr(progress.joint.text, "20 days ago") != NULL);
    check(strstr(progress.joint.text, "check them anew") == NULL);
    link.changed_day = TODAY - 5;
    rider_progress_read(arena, &history, PROGRESS_BEFORE, &limits, &progress);
    check_says("changed since", &progress.stalled, "yes", NULL);
    check(strstr(progress.joint.text, "check them anew") != NULL);
    /* The new meter reads 6 % high: what looked like standing still was falling. */
    link.log_ratio = log(1.06);
    const double before = progress.joint.estimate;
    rider_progress_read(arena, &history, PROGRESS_BEFORE, &limits, &progress);
    check_near("taken out", progress.joint.estimate, 100.0 * ((1.0 + before / 100.0) / 1.06 - 1.0),
               1e-9);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_base_state__two_passes_apart_build_it),
        cmocka_unit_test(test_base_state__a_break_makes_it_old),
        cmocka_unit_test(test_progress__says_better_lower_and_why_not),
        cmocka_unit_test(test_progress__names_the_best_of_both_windows),
        cmocka_unit_test(test_progress__goes_over_any_two_ranges),
        cmocka_unit_test(test_progress__stalled_needs_usual_weeks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
