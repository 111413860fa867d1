/* tests/coaching/test_outlook.c: what a session will bring, and whether it can be ridden as asked.
 *
 * Against something outside: W' of rows PH-08 and PH-09 of the shared checks (Skiba et al. 2015),
 * whose numbers stand here too; a slow twin of the forms, heart and zones second by second, written
 * from their published formulas and not from the program. */
#include "check.h"

#include "base/text.h"
#include "coaching/outlook.h"
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

static const struct heart_response response = { .end = RESPONSE_FITTED,
                                                .n_rides = 10,
                                                .threshold_w = 250,
                                                .tau_s = 40,
                                                .dead_s = 5,
                                                .gain_bpm_per_w = 0.35,
                                                .rest_bpm = 75,
                                                .drift_bpm_per_h = 6,
                                                .error_bpm = 3,
                                                .day_sd_bpm = 4 };
static struct zones seven;

static struct expected_rider rider_of(void)
{
    seven = zones_default();
    return (struct expected_rider){ .response = &response,
                                    .w = { 250, 244, 256, 20000, 17000, 23000 },
                                    .threshold_w = 250,
                                    .max_heart_bpm = 190,
                                    .zones = &seven };
}

static struct session session_of(const char *words)
{
    struct session session;
    struct session_fault fault = { 0 };
    const bool read = session_read(arena, words, &session, &fault);
    check(read);
    return session;
}

static struct session_outlook told_of(const char *words, const struct expected_rider *rider,
                                      const struct rider_facts *facts, bool is_past)
{
    struct session *session = ARENA_ARRAY(arena, struct session, 1);
    *session = session_of(words);
    const struct outlook_ask ask = { session, rider, facts, is_past };
    return outlook_read(arena, &ask, &limits);
}

static struct session_outlook told(const char *words, const struct expected_rider *rider,
                                   const struct rider_facts *facts)
{
    return told_of(words, rider, facts, false);
}

static const char *words_of(const struct outlook_said said[], size_t n, const char *name)
{
    for (size_t i = 0; i < n; i++) {
        if (strcmp(said[i].name, name) == 0) {
            return said[i].words;
        }
    }
    return NULL;
}

static void check_said(const char *name, const char *words, const char *part)
{
    check_text(name, words != NULL && strstr(words, part) != NULL ? part : words, part);
}

/* PH-08, PH-09: 350 W and 150 W, two minutes each, CP 250 W, W' 20 kJ: in the published form 8000,
 * 1414, -2200 and -4184 J are left at the ends of the efforts. */
static void test_outlook__efforts_that_the_published_form_has_below_nought_are_named(void **state)
{
    (void)state;
    struct expected_rider rider = rider_of();
    const struct rider_facts facts = facts_unknown();
    rider.w = (struct w_rider){ 250, (double)NAN, (double)NAN, 20000, (double)NAN, (double)NAN };
    const struct session_outlook out =
        told("4 times (2 min at 350 W, rest 2 min at 150 W)", &rider, &facts);
    check_integer("efforts", (int64_t)out.expected.n_reps, 4);
    check(out.expected.reps[2].left_low_j <= -2200.07 &&
          out.expected.reps[3].left_low_j <= -4183.65);
    check_text("verdict", outlook_verdict_name(out.verdict), "likely-not");
    const char *words = words_of(out.warnings, out.n_warnings, "likely-not-finished");
    check_said("which", words, "Likely not to be finished as asked: efforts 3 and 4.");
    check_said("numbers", words, "about 250 W of critical power and 20 kJ above that");
    check_integer("of them", (int64_t)out.n_short, 2);
    /* The same with two efforts is told to be within. */
    const struct session_outlook two =
        told("2 times (2 min at 350 W, rest 2 min at 150 W)", &rider, &facts);
    check_text("verdict", outlook_verdict_name(two.verdict), "within");
    check(words_of(two.warnings, two.n_warnings, "likely-not-finished") == NULL);
}

/* ---- a slow twin ---- */

/* Differential form: what is missing shrinks by exp(-below / W') each second below CP; integral:
 * each joule spent fades with tau = 546 exp(-0.01 mean below) + 316 s (Skiba et al. 2012, 2015). */
static void twin_left(const double power[], size_t n, double cp, double w_prime, double *least)
{
    double below = 0.0;
    double n_below = 0.0;
    for (size_t i = 0; i < n; i++) {
        below += power[i] < cp ? cp - power[i] : 0.0;
        n_below += power[i] < cp ? 1.0 : 0.0;
    }
    const double tau = 546.0 * exp(-0.01 * below / fmax(n_below, 1.0)) + 316.0;
    for (size_t t = 0; t < n; t++) {
        double spent = 0.0;
        double missing = 0.0;
        for (size_t u = 0; u <= t; u++) {
            spent += power[u] > cp ? (power[u] - cp) * exp(-(double)(t - u) / tau) : 0.0;
            missing =
                power[u] >= cp ? missing + power[u] - cp : missing * exp((power[u] - cp) / w_prime);
        }
        *least = fmin(*least, fmin(w_prime - spent, w_prime - missing));
    }
}

/* The seconds of each effort that come before heart rate is first within `near` beats of where this
 * power would settle, with the work done by then (heart rate itself is held to its own twin). */
static void check_reads_low(const struct expected *expected, double near)
{
    for (size_t i = 0; i < expected->n_reps; i++) {
        const struct expected_rep *rep = &expected->reps[i];
        int32_t s = rep->span.from_s;
        for (; s < rep->span.to_s; s++) {
            double wh = 0.0;
            for (int32_t u = 0; u < s; u++) {
                wh += expected->power_w[u] / 3600.0;
            }
            const double settles = fmin(75.0 + 0.35 * rep->power_w + 6.0 / 250.0 * wh, 190.0);
            if (expected->heart_bpm[s] >= settles - near) {
                break;
            }
        }
        check_near("reads low", rep->reads_low_s, s - rep->span.from_s, 1.0);
    }
}

static void test_outlook__a_slow_twin_finds_the_same(void **state)
{
    (void)state;
    struct random dice = random_begin(11);
    struct expected_rider rider = rider_of();
    const struct rider_facts facts = facts_unknown();
    /* A higher CP goes with a smaller W': the middle and both ends. */
    static const double corners[][2] = { { 250, 20000 }, { 244, 23000 }, { 256, 17000 } };
    rider.w = (struct w_rider){ 250, 244, 256, 20000, 17000, 23000 };
    for (int trial = 0; trial < 40; trial++) {
        const int on = 20 + (int)random_below(&dice, 200);
        const int watts = 255 + (int)random_below(&dice, 150);
        const int times = 1 + (int)random_below(&dice, 5);
        const int easy = 60 + (int)random_below(&dice, 170);
        char *words =
            arena_format(arena, "5 min at 120 W, %d times (%d s at %d W, rest 90 s at %d W)", times,
                         on, watts, easy);
        const struct session_outlook out = told(words, &rider, &facts);
        const size_t n = out.expected.n;
        double *power = ARENA_ARRAY(arena, double, n);
        double least = 17000.0;
        double kj = 0.0;
        double zone[8] = { 0 };
        static const double upper[] = { 55, 75, 90, 105, 120, 150, 1e9 }; /* % of 250 W */
        for (size_t i = 0; i < n; i++) {
            const size_t in = i < 300 ? 0 : (i - 300) % (size_t)(on + 90);
            power[i] = i < 300 ? 120.0 : in < (size_t)on ? watts : easy;
            size_t z = 0;
            while (power[i] > upper[z] * 2.5) {
                z++;
            }
            zone[z] += 1.0;
            kj += power[i] / 1000.0;
        }
        for (size_t c = 0; c < COUNT(corners); c++) {
            twin_left(power, n, corners[c][0], corners[c][1], &least);
        }
        check_near("W' at the least", out.expected.balance.least_low_j, least, 1e-6);
        check_near("kJ", out.expected.work_kj, kj, 1e-9);
        for (size_t z = 0; z < 7; z++) {
            check_near("zone", out.expected.zone_s[z], zone[z], 1e-9);
        }
        /* Heart rate: power 5 s ago through a lag of 40 s, and 6 beats for each hour at 250 W. */
        double lag = 0.0;
        double wh = 0.0;
        for (size_t i = 0; i < n; i++) {
            lag += (power[i >= 5 ? i - 5 : 0] - lag) * (1.0 - exp(-1.0 / 40.0));
            check_near("heart", out.expected.heart_bpm[i],
                       fmin(75.0 + 0.35 * lag + 6.0 / 250.0 * wh, 190.0), 1e-6);
            wh += power[i] / 3600.0;
        }
        check_reads_low(&out.expected, 5.0);
    }
}

/* ---- verdicts ---- */

static void test_outlook__verdicts(void **state)
{
    (void)state;
    static const struct {
        const char *words;
        const char *verdict;
        const char *warning; /* NULL = none of W' */
    } rows[] = {
        { "60 min at 70 %", "none-hard", NULL },
        { "10 min at 60 %, 5 min at 105 %", "within", NULL },
        { "10 min at 60 %, 20 min at 107 %", "likely-not", "likely-not-finished" },
        { "10 min at 60 %, 17 min at 107 %", "may-not", "may-not-be-finished" },
        { "10 min at 50 %, 25 min rising from 46 to 166 %", "rises", "ends-while-rising" },
        { "20 min at effort 8-9", "unknown", NULL },
        { "30 min at 130-140 bpm", "unknown", NULL },
        { "until the button at 110 %", "unknown", NULL },
    };
    const struct expected_rider rider = rider_of();
    const struct rider_facts facts = facts_unknown();
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct session_outlook out = told(rows[i].words, &rider, &facts);
        check_text(rows[i].words, outlook_verdict_name(out.verdict), rows[i].verdict);
        const char *first = out.n_warnings == 0 ? "reads-low" : out.warnings[0].name;
        check_text(rows[i].words, first, rows[i].warning == NULL ? "reads-low" : rows[i].warning);
    }
}

static void test_outlook__steps_without_watts_are_left_out_and_said(void **state)
{
    (void)state;
    const struct expected_rider rider = rider_of();
    const struct rider_facts facts = facts_unknown();
    struct session_outlook out =
        told("warm up 15 min, 2 times (4 min at 300 W, rest 4 min at 120 W), 10 min at effort 2-3",
             &rider, &facts);
    check_integer("without", out.without_w_s, 25 * 60);
    check_said("said", words_of(out.missing, out.n_missing, "without-power"), "25 min");
    check_near("kJ", out.expected.work_kj, 2 * 240 * 0.42, 1e-9);
    /* What comes before the first watts leaves W' full: 240 s of 50 W. */
    check(out.expected.balance.is_known);
    check_near("full", out.expected.balance.middle_j[15 * 60 - 1], 20000, 1e-9);
    check(out.expected.reps[0].left_low_j <= 8000 && out.expected.reps[0].left_high_j >= 8000);
    check(isnan(out.expected.heart_bpm[0]) && isnan(out.expected.heart_bpm[15 * 60 + 60]));
    check(!isnan(out.expected.heart_bpm[15 * 60 + 130]));
    check(isnan(out.expected.heart_bpm[out.expected.n - 1]));
    /* In the middle it can't be told. */
    out = told("4 min at 300 W, 10 min, 4 min at 300 W", &rider, &facts);
    check_text("verdict", outlook_verdict_name(out.verdict), "unknown");
    check_said("why", words_of(out.missing, out.n_missing, "too-much-without-power"), "no watts");
    out = told("20 min at 130-140 bpm", &rider, &facts);
    check_text("heart", outlook_heart_name(out.heart), "no-power");
    out = told("until the button at 110 %", &rider, &facts);
    check_said("button", words_of(out.missing, out.n_missing, "until-the-button"), "One part");
    check_said("text", out.text, "every part ends with the button");
}

static void test_outlook__what_is_missing_says_what_would_tell(void **state)
{
    (void)state;
    const char *words = "15 min at 60 %, 4 times (4 min at 110 %, rest 4 min at 50 %)";
    struct expected_rider rider = rider_of();
    struct rider_facts facts = facts_unknown();
    rider.w.cp_w = (double)NAN;
    struct session_outlook out = told(words, &rider, &facts);
    check_said("critical power", words_of(out.missing, out.n_missing, "no-critical-power"),
               "All-out efforts of several lengths would tell");
    rider = rider_of();
    rider.threshold_w = (double)NAN;
    out = told(words, &rider, &facts);
    check_said("threshold", words_of(out.missing, out.n_missing, "no-threshold"), "test");
    check_integer("no seconds", (int64_t)out.expected.n, 0);
    rider = rider_of();
    const struct heart_response few = { .end = RESPONSE_TOO_FEW };
    rider.response = &few;
    out = told(words, &rider, &facts);
    check_said("response", words_of(out.missing, out.n_missing, "no-response"), "Can't tell");
}

/* Under a medicine that alters heart rate, and in pregnancy, none is foretold, in any output. */
static void test_outlook__heart_rate_is_withheld(void **state)
{
    (void)state;
    const struct expected_rider rider = rider_of();
    for (int which = 0; which < 2; which++) {
        struct rider_facts facts = facts_unknown();
        facts.heart_medicine = which == 0;
        facts.pregnant = which == 1;
        const struct session_outlook out =
            told("15 min at 60 %, 4 times (4 min at 110 %, rest 4 min at 50 %)", &rider, &facts);
        check_text("heart", outlook_heart_name(out.heart), "withheld");
        check(out.expected.heart_bpm == NULL && out.expected.n_reps == 4);
        check_said("why", words_of(out.missing, out.n_missing, "heart-withheld"), "medical advice");
        check(words_of(out.warnings, out.n_warnings, "reads-low") == NULL);
        struct text text = text_begin(arena, 1 << 20);
        struct json json = json_begin(&text);
        outlook_json(&json, NULL, &out);
        check_said("json", text.bytes, "\"heart_rate_bpm\":null");
        check(strstr(text.bytes, ":nan") == NULL && strstr(text.bytes, ":inf") == NULL);
    }
}

static void test_outlook__reads_low_and_openers_are_no_efforts(void **state)
{
    (void)state;
    const struct expected_rider rider = rider_of();
    const struct rider_facts facts = facts_unknown();
    const struct session_outlook out =
        told("warm up 15 min at 50-65 %\n3 times (30 s at 100 %, 90 s at 50 %)\n"
             "3 times (3 times (2 min at 92 %, 1 min at 106 %), rest 5 min at 50 %)",
             &rider, &facts);
    check_integer("efforts", (int64_t)out.expected.n_reps, 3);
    check_integer("long", out.expected.reps[0].span.to_s - out.expected.reps[0].span.from_s, 540);
    check_said("words", words_of(out.warnings, out.n_warnings, "reads-low"),
               "of each effort: don't chase it.");
}

/* A test asks for no watts: heart rate is told of all else, and it is said of what it isn't. */
static void test_outlook__heart_rate_is_told_where_watts_are_asked(void **state)
{
    (void)state;
    const struct expected_rider rider = rider_of();
    const struct rider_facts facts = facts_unknown();
    struct session_outlook out =
        told("15 min at 60 %, 5 min all out, rest 10 min at 50 %, 20 min all out, 12 min at 80 %, "
             "4 min at 110 %",
             &rider, &facts);
    check_text("heart", outlook_heart_name(out.heart), "told");
    check_said("which", words_of(out.missing, out.n_missing, "heart-parts"),
               "in \u201c5 min all out\u201d and \u201c20 min all out\u201d, whose watts");
    check_said("after", words_of(out.missing, out.n_missing, "heart-parts"), "nor for 2 min after");
    static const struct {
        bool end;
        bool settled;
    } known[] = { { true, true },   { false, false }, { true, true },
                  { false, false }, { true, true },   { true, false } };
    check_integer("parts", (int64_t)out.n_parts, COUNT(known));
    for (size_t i = 0; i < COUNT(known); i++) {
        const struct outlook_part *part = &out.parts[i];
        check(!isnan(part->end_bpm) == known[i].end);
        check(!isnan(part->settled_bpm) == known[i].settled);
        check(!isnan(part->low_bpm) == known[i].end);
        check(!(part->low_bpm > part->end_bpm) && !(part->high_bpm < part->end_bpm));
        check(!known[i].end ||
              part->end_bpm == out.expected.heart_bpm[part->from_s + part->seconds - 1]);
        check(!known[i].settled || part->settled_bpm == out.expected.heart_bpm[part->from_s + 300]);
    }
    check(isnan(out.parts[4].reads_low_s) && out.parts[5].reads_low_s > 0.0);
    out = told("10 min at 60 %, 1 min all out, 2 min at effort 8, 2 min, 3 min at effort 7, until "
               "the button at 200 W",
               &rider, &facts);
    check_said("many", words_of(out.missing, out.n_missing, "heart-parts"),
               "\u201c1 min all out\u201d, \u201c2 min at effort 8\u201d and 3 other parts");
    check_said("not the whole", told("10 min at 60 %, 20 min all out", &rider, &facts).text,
               "Heart rate at its highest where it can be foretold, on a usual day");
    /* Too short for the heart to answer between what has no watts. */
    out = told("1 min all out, 1 min at 50 %", &rider, &facts);
    check_text("none", outlook_heart_name(out.heart), "no-power");
    check(words_of(out.missing, out.n_missing, "heart-parts") == NULL);
}

/* How long it lasts isn't known, so neither is what follows at once. */
static void test_outlook__heart_rate_is_unknown_behind_the_button(void **state)
{
    (void)state;
    const struct expected_rider rider = rider_of();
    const struct rider_facts facts = facts_unknown();
    const struct session_outlook out =
        told("10 min at 60 %, until the button at 110 %, 10 min at 60 %", &rider, &facts);
    check(!isnan(out.expected.heart_bpm[599]) && isnan(out.expected.heart_bpm[600]));
    check(isnan(out.expected.heart_bpm[719]) && !isnan(out.expected.heart_bpm[720]));
    check(isnan(out.expected.minutes[10].heart_bpm) && isnan(out.expected.minutes[11].heart_bpm));
    check(!isnan(out.expected.minutes[9].heart_bpm) && !isnan(out.expected.minutes[12].heart_bpm));
    check_said("which", words_of(out.missing, out.n_missing, "heart-parts"),
               "\u201cuntil the button at 110 %\u201d");
}

/* The same numbers in words for what is over: nothing is asked of anybody any more. */
static void test_outlook__of_what_is_over_it_says_what_was_expected(void **state)
{
    (void)state;
    const struct expected_rider rider = rider_of();
    const struct rider_facts facts = facts_unknown();
    static const char *const sessions[] = {
        "60 min at 70 %",
        "10 min at 60 %, 5 min at 105 %",
        "10 min at 60 %, 20 min at 107 %",
        "10 min at 60 %, 17 min at 107 %",
        "10 min at 50 %, 25 min rising from 46 to 166 %",
    };
    static const char *const now[] = { "don't chase", " will ",   "takes",
                                       "Say which",   "would do", "is as asked" };
    for (size_t i = 0; i < COUNT(sessions); i++) {
        const struct session_outlook coming = told_of(sessions[i], &rider, &facts, false);
        const struct session_outlook over = told_of(sessions[i], &rider, &facts, true);
        check_text("coming", coming.heading, "What it would bring");
        check_text("over", over.heading, "What it was expected to bring");
        check_text("the same", outlook_verdict_name(over.verdict),
                   outlook_verdict_name(coming.verdict));
        check_integer("the same", (int64_t)over.n_warnings, (int64_t)coming.n_warnings);
        for (size_t w = 0; w < COUNT(now); w++) {
            check(strstr(over.text, now[w]) == NULL);
            for (size_t k = 0; k < over.n_warnings; k++) {
                check(strstr(over.warnings[k].words, now[w]) == NULL);
            }
        }
    }
}

/* Read by a coach on the page, in a terminal and in a browser: no command is named. */
static void test_outlook__no_sentence_names_a_command(void **state)
{
    (void)state;
    struct expected_rider rider = rider_of();
    const struct heart_response few = { .end = RESPONSE_TOO_FEW };
    const struct rider_facts facts = facts_unknown();
    rider.w.cp_w = (double)NAN;
    for (int way = 0; way < 3; way++) {
        rider.response = way == 0 ? NULL : way == 1 ? &few : &response;
        rider.threshold_w = way == 0 ? (double)NAN : 250.0;
        const struct session_outlook out =
            told("15 min at 60 %, 4 min at 300 W, 4 min all out, until the button", &rider, &facts);
        check(out.n_missing >= 3);
        for (size_t i = 0; i < out.n_missing; i++) {
            check(strstr(out.missing[i].words, "plumbline") == NULL);
        }
    }
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(test_outlook__efforts_that_the_published_form_has_below_nought_are_named),
        TEST(test_outlook__a_slow_twin_finds_the_same),
        TEST(test_outlook__verdicts),
        TEST(test_outlook__steps_without_watts_are_left_out_and_said),
        TEST(test_outlook__what_is_missing_says_what_would_tell),
        TEST(test_outlook__heart_rate_is_withheld),
        TEST(test_outlook__reads_low_and_openers_are_no_efforts),
        TEST(test_outlook__heart_rate_is_told_where_watts_are_asked),
        TEST(test_outlook__heart_rate_is_unknown_behind_the_button),
        TEST(test_outlook__of_what_is_over_it_says_what_was_expected),
        TEST(test_outlook__no_sentence_names_a_command),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
