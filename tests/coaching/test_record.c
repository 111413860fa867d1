/* tests/coaching/test_record.c: what came next, counted, and how a base test repeats.
 *
 * Outside: with stretches of two tests as far apart the mixed model's scatter is the typical error,
 * sd of the differences / sqrt 2 (Hopkins 2000, Sports Med 30:1-15); with one rider's scatter known
 * the interval must hold it as often as it says.  Rows of the record are counted by hand. */
#include "check.h"

#include "coaching/base_state.h"
#include "coaching/record.h"
#include "maths/maths.h"
#include "maths/random.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { TODAY = 20500, MOST = 200 };

/* ---- how a test repeats ---- */

static double noise(struct random *random)
{
    return random_normal(random);
}

/* Riders of their own level, n tests each, two weeks apart; then nothing for months. */
static size_t made_tests(struct repeat_test tests[], size_t riders, size_t each, double sd,
                         uint64_t seed)
{
    struct random random = random_begin(seed);
    size_t n = 0;
    for (size_t r = 0; r < riders; r++) {
        const double level = 9.0 + 4.0 * noise(&random);
        for (size_t i = 0; i < each; i++) {
            const double drift = level + sd * noise(&random);
            tests[n++] = (struct repeat_test){ (int64_t)r + 1, 20000 + 14 * (int64_t)i, drift,
                                               drift - 2.0, drift + 2.0 };
        }
    }
    return n;
}

static void test_drift_repeat__pairs_give_the_typical_error(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct repeat_test tests[MOST];
    const size_t n = made_tests(tests, 30, 2, 3.0, 11);
    const struct drift_repeat repeat = drift_repeat_of(arena, tests, n, &limits);
    double mean = 0.0;
    double squares = 0.0;
    for (size_t i = 0; i < n; i += 2) {
        mean += (tests[i + 1].drift_bpm - tests[i].drift_bpm) / 30.0;
    }
    for (size_t i = 0; i < n; i += 2) {
        const double off = tests[i + 1].drift_bpm - tests[i].drift_bpm - mean;
        squares += off * off;
    }
    check(repeat.is_own);
    check_integer("pairs", (int64_t)repeat.n_pairs, 30);
    check_integer("riders", (int64_t)repeat.n_riders, 30);
    check_close("typical error", repeat.sd_bpm, sqrt(squares / 29.0 / 2.0), 1e-4);
    check_close("a week", repeat.trend_bpm, mean / 2.0, 1e-4);
    check(repeat.low_bpm < repeat.sd_bpm && repeat.sd_bpm < repeat.high_bpm);
    check_near("half", repeat.half_bpm, 2.0, 1e-9);
    arena_close(arena);
}

static void test_drift_repeat__interval_holds_the_truth_as_often_as_it_says(void **state)
{
    (void)state;
    enum { ROSTERS = 300 };
    const struct limits limits = limits_default();
    size_t held = 0;
    double sum = 0.0;
    for (uint64_t seed = 1; seed <= ROSTERS; seed++) {
        struct arena *arena = arena_open();
        struct repeat_test tests[MOST];
        const size_t n = made_tests(tests, 12, 4, 3.0, 100 + seed);
        const struct drift_repeat repeat = drift_repeat_of(arena, tests, n, &limits);
        check(repeat.is_own);
        sum += repeat.sd_bpm;
        held += repeat.low_bpm <= 3.0 && 3.0 <= repeat.high_bpm ? 1 : 0;
        arena_close(arena);
    }
    printf("# note: 90 %% interval held a scatter of 3 beats %zu times in %d, mean %.2f\n", held,
           ROSTERS, sum / ROSTERS);
    check((double)held >= 0.84 * ROSTERS && (double)held <= 0.95 * ROSTERS);
    check_near("mean", sum / ROSTERS, 3.0, 0.1);
}

static void test_drift_repeat__too_few_pairs_are_assumed_and_say_so(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct repeat_test tests[MOST];
    const size_t n = made_tests(tests, 19, 2, 3.0, 5);
    const struct drift_repeat few = drift_repeat_of(arena, tests, n, &limits);
    check(!few.is_own);
    check_integer("pairs", (int64_t)few.n_pairs, 19);
    check_near("sd", few.sd_bpm, 3.0, 1e-12);
    check(isnan(few.low_bpm) && isnan(few.trend_bpm));
    /* "At a usual drift of 10, one test passes 26 % of the time, two agree 7 %." */
    check_near("one", few.pass_pct, 26.0, 0.5);
    check_near("two", few.twice_pct, 7.0, 0.5);
    const struct drift_repeat none = drift_repeat_of(arena, NULL, 0, &limits);
    check(!none.is_own && none.n_pairs == 0);
    arena_close(arena);
}

/* Beside a verdict: the scatter in its text once it is known, else among the reasons how many pairs
 * there are of those needed; a test that wasn't judged is left alone. */
static void test_drift_repeat__stands_beside_the_verdict_of_a_test(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        enum verdict verdict;
        bool is_own;
        const char *code; /* NULL = none */
        const char *text;
    } rows[] = {
        { "known", VERDICT_PASSED, true, "test-repeats",
          "Passed. From one test to the next of a rider the rise scatters by about 3.5 beats "
          "(likely 3.1 to 3.9, by 126 repeat pairs of this roster)." },
        { "too few pairs", VERDICT_NOT_PASSED, false, "repeat-unknown", "Passed." },
        { "not judged", VERDICT_CANNOT_TELL, true, NULL, "Passed." },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct drift_repeat repeat = { .is_own = rows[i].is_own,
                                       .n_pairs = rows[i].is_own ? 126 : 4,
                                       .sd_bpm = 3.46,
                                       .low_bpm = 3.12,
                                       .high_bpm = 3.88 };
        struct reading reading = reading_begin(QUESTION_BASE);
        reading.verdict = rows[i].verdict;
        reading.estimate = 8.0;
        reading.text = arena_string(arena, "Passed.");
        drift_repeat_beside(arena, &repeat, &limits, &reading);
        check_text(rows[i].name, reading.text, rows[i].text);
        check_integer(rows[i].name, (int64_t)reading.because.count, rows[i].code != NULL);
        if (rows[i].code != NULL) {
            check_text(rows[i].name, reading.because.items[0].code, rows[i].code);
        }
        if (rows[i].code != NULL && !rows[i].is_own) {
            check_text(rows[i].name, reading.because.items[0].text,
                       "How far two tests of one rider lie apart isn't known in this roster: 4 of "
                       "the 20 repeat pairs that would tell.");
        }
        arena_close(arena);
    }
}

static void test_drift_repeat__far_apart_is_no_pair_and_no_scatter_no_number(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct repeat_test tests[MOST];
    size_t n = made_tests(tests, 30, 2, 3.0, 7);
    for (size_t i = 1; i < n; i += 2) {
        tests[i].day += 100;
    }
    check_integer("pairs", (int64_t)drift_repeat_of(arena, tests, n, &limits).n_pairs, 0);
    /* All alike, or without a number: assumed, never NAN beside "own". */
    n = made_tests(tests, 30, 2, 3.0, 7);
    for (size_t i = 0; i < n; i++) {
        tests[i].drift_bpm = 8.0;
    }
    check(!drift_repeat_of(arena, tests, n, &limits).is_own);
    for (size_t i = 0; i < n; i++) {
        tests[i].drift_bpm = (double)NAN;
    }
    const struct drift_repeat odd = drift_repeat_of(arena, tests, n, &limits);
    check(!odd.is_own && isfinite(odd.sd_bpm) && isfinite(odd.pass_pct));
    arena_close(arena);
}

/* ---- the record ---- */

/* A letter a fortnight: p passed, l on the line, n not passed, c cannot tell; D a hard session done
 * and felt to be hard, d done and felt easy, H started too hard, L on the line. */
static struct rider_history history_of(struct arena *arena, const char *letters)
{
    const size_t n = strlen(letters);
    struct rider_history history = { .today = TODAY, .power_since_day = INT64_MIN };
    history.rides = ARENA_ARRAY(arena, struct past_ride, n);
    history.n_rides = n;
    for (size_t i = 0; i < n; i++) {
        struct past_ride *ride = &history.rides[i];
        *ride = past_ride_begin((int64_t)i + 1, TODAY - 14 * (int64_t)(n - i));
        const bool is_base = strchr("plnc", letters[i]) != NULL;
        ride->is_ride = true;
        ride->base.is_asked = is_base;
        ride->hard.is_asked = !is_base;
        ride->base.verdict = letters[i] == 'p'   ? VERDICT_PASSED
                             : letters[i] == 'l' ? VERDICT_ON_THE_LINE
                             : letters[i] == 'n' ? VERDICT_NOT_PASSED
                                                 : VERDICT_CANNOT_TELL;
        ride->base.estimate = 8.0;
        ride->base.low = 6.0;
        ride->base.high = 10.0;
        ride->hard.verdict = letters[i] == 'H'   ? VERDICT_STARTED_TOO_HARD
                             : letters[i] == 'L' ? VERDICT_ON_THE_LINE
                                                 : VERDICT_DONE;
        ride->effort_0_10 = letters[i] == 'D' ? 8.0 : letters[i] == 'd' ? 4.0 : (double)NAN;
    }
    return history;
}

static struct record record_of(struct arena *arena, const char *letters)
{
    const struct limits limits = limits_default();
    const struct rider_history history = history_of(arena, letters);
    struct record record = { 0 };
    record_add(arena, &record, 1, &history, &limits);
    record_finish(arena, &record, &limits);
    return record;
}

static void check_row(const char *what, const struct record_row *row, size_t of, size_t agreed,
                      size_t against, size_t between, size_t untold)
{
    const size_t got[] = { row->of, row->agreed, row->against, row->between, row->untold };
    const size_t want[] = { of, agreed, against, between, untold };
    for (size_t i = 0; i < COUNT(got); i++) {
        check_integer(what, (int64_t)got[i], (int64_t)want[i]);
    }
}

static void test_record__next_base_tests_are_counted(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct record record = record_of(arena, "ppcplnnpl");
    check_row("passed", &record.rows[RECORD_BASE_PASSED], 4, 2, 0, 2, 0);
    check_row("not passed", &record.rows[RECORD_BASE_NOT_PASSED], 2, 1, 1, 0, 0);
    check(!record.rows[RECORD_BASE_PASSED].is_enough);
    check_text("words", record.rows[RECORD_BASE_PASSED].text,
               "Of 4 base tests passed, the next within 56 days passed too in 2 and did not pass "
               "in 0; 2 were on the line. Too few to tell: 2 clear cases, 10 are needed.");
    check(strstr(record.rows[RECORD_BETTER].text, "Too few to tell, of times") != NULL);
    arena_close(arena);
}

static void test_record__the_last_test_has_none_after_it(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    /* The second stands alone for more than 56 days. */
    const struct record record = record_of(arena, "lpDDDDp");
    check_row("passed", &record.rows[RECORD_BASE_PASSED], 0, 0, 0, 0, 2);
    arena_close(arena);
}

static void test_record__hard_work_is_held_against_the_next_and_the_riders_word(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct record record = record_of(arena, "DDdHHDL");
    check_row("done", &record.rows[RECORD_HARD_DONE], 4, 2, 1, 1, 0);
    check_row("too hard", &record.rows[RECORD_HARD_TOO_HARD], 2, 1, 1, 0, 0);
    check_row("felt", &record.rows[RECORD_HARD_FELT], 4, 3, 1, 0, 0);
    arena_close(arena);
}

static void test_record__a_share_has_its_range(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct record record = record_of(arena, "ppppppppppppppppppppp");
    const struct record_row *row = &record.rows[RECORD_BASE_PASSED];
    check_row("passed", row, 20, 20, 0, 0, 1);
    check(row->is_enough);
    /* All of 20: Wilson's lower end is n / (n + z^2). */
    check_near("low", row->low_pct, 100.0 * 20.0 / (20.0 + 1.6448536 * 1.6448536), 1e-4);
    check_near("high", row->high_pct, 100.0, 1e-9);
    check(strstr(row->text, "That is 100 % (likely 88 to 100).") != NULL);
    arena_close(arena);
}

static void test_record__unusual_days_are_held_against_notes(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider_history history = history_of(arena, "DDDD");
    struct past_note notes[] = { { .id = 1, .day = TODAY - 54, .ill = true },
                                 { .id = 2, .day = TODAY - 14, .sleep_1_5 = 4 } };
    struct past_span off[] = { { OFF_ILL, TODAY - 27, TODAY - 25 } };
    history.notes = notes;
    history.n_notes = COUNT(notes);
    history.off = off;
    history.n_off = COUNT(off);
    static const enum verdict days[] = { VERDICT_HIGHER_THAN_USUAL, VERDICT_USUAL,
                                         VERDICT_LOWER_THAN_USUAL, VERDICT_HIGHER_THAN_USUAL };
    for (size_t i = 0; i < COUNT(days); i++) {
        history.rides[i].today.is_asked = true;
        history.rides[i].today.verdict = days[i];
    }
    struct record record = { 0 };
    record_add(arena, &record, 1, &history, &limits);
    record_finish(arena, &record, &limits);
    check_row("unusual", &record.rows[RECORD_TODAY_UNUSUAL], 3, 2, 1, 0, 0);
    check_row("usual", &record.rows[RECORD_TODAY_USUAL], 1, 0, 1, 0, 0);
    arena_close(arena);
}

/* A gain that stays: six weeks at 250 W, then 290 W for twelve; and one that was lost again. */
static void test_record__a_gain_is_held_against_the_span_after(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    for (int lost = 0; lost < 2; lost++) {
        enum { RIDES = 18 };
        struct rider_history history = { .today = TODAY, .power_since_day = 17000 };
        history.rides = ARENA_ARRAY(arena, struct past_ride, RIDES);
        history.n_rides = RIDES;
        for (size_t i = 0; i < RIDES; i++) {
            struct past_ride *ride = &history.rides[i];
            *ride = past_ride_begin((int64_t)i + 1, TODAY - 126 + 7 * (int64_t)i + 1);
            ride->is_ride = true;
            ride->marked = true;
            static const int32_t durations[] = { 300, 600, 1200 };
            for (size_t k = 0; k < COUNT(durations); k++) {
                const double gain = i < 6 || (lost == 1 && i >= 12) ? 1.0 : 1.16;
                ride->efforts[ride->n_efforts++] =
                    (struct effort){ .duration_s = durations[k],
                                     .power_w = 250.0 * gain - 20.0 * (double)k,
                                     .evidence = EFFORT_MARKED,
                                     .heart_end_bpm = (double)NAN,
                                     .fall_ratio = (double)NAN };
            }
        }
        struct record record = { 0 };
        record_add(arena, &record, 1, &history, &limits);
        record_finish(arena, &record, &limits);
        const struct record_row *row = &record.rows[RECORD_BETTER];
        print_message("# note: lost %d: of %zu agreed %zu against %zu between %zu untold %zu\n",
                      lost, row->of, row->agreed, row->against, row->between, row->untold);
        check(row->of >= 1 && row->agreed == (lost == 0 ? row->of : 0));
    }
    arena_close(arena);
}

static void test_record__nothing_on_file_says_so(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct record record = record_of(arena, "");
    for (size_t i = 0; i < RECORD_CLAIMS; i++) {
        check(!record.rows[i].is_enough && isnan(record.rows[i].low_pct));
        check(strstr(record.rows[i].text, "nan") == NULL);
    }
    check(!record.repeat.is_own);
    check(strstr(record.repeat_text, "assumed") != NULL);
    arena_close(arena);
}

static void test_base_state__says_how_a_test_repeats(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider_history history = history_of(arena, "lp");
    struct repeat_test tests[MOST];
    const size_t n = made_tests(tests, 30, 2, 3.0, 11);
    const struct drift_repeat repeat = drift_repeat_of(arena, tests, n, &limits);
    const struct reading assumed = base_state_read(arena, &history, &limits);
    check(strstr(assumed.text, "assumed to scatter by 3 beats") != NULL);
    check(strstr(assumed.text, "one test about 26 times in 100, two running about 7") != NULL);
    history.repeat = &repeat;
    const struct reading own = base_state_read(arena, &history, &limits);
    check(strstr(own.text, "by 30 repeat pairs") != NULL);
    check(strstr(own.text, "assumed") == NULL);
    check(own.verdict == assumed.verdict);
    arena_close(arena);
}

int main(void)
{
    maths_begin();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_drift_repeat__pairs_give_the_typical_error),
        cmocka_unit_test(test_drift_repeat__interval_holds_the_truth_as_often_as_it_says),
        cmocka_unit_test(test_drift_repeat__too_few_pairs_are_assumed_and_say_so),
        cmocka_unit_test(test_drift_repeat__stands_beside_the_verdict_of_a_test),
        cmocka_unit_test(test_drift_repeat__far_apart_is_no_pair_and_no_scatter_no_number),
        cmocka_unit_test(test_record__next_base_tests_are_counted),
        cmocka_unit_test(test_record__the_last_test_has_none_after_it),
        cmocka_unit_test(test_record__hard_work_is_held_against_the_next_and_the_riders_word),
        cmocka_unit_test(test_record__a_share_has_its_range),
        cmocka_unit_test(test_record__unusual_days_are_held_against_notes),
        cmocka_unit_test(test_record__a_gain_is_held_against_the_span_after),
        cmocka_unit_test(test_record__nothing_on_file_says_so),
        cmocka_unit_test(test_base_state__says_how_a_test_repeats),
    };
    return cmocka_run_group_tests_name("record", tests, NULL, NULL);
}
