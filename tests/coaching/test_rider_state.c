/* tests/coaching/test_rider_state.c: how is the rider?  The verdicts wanted are those of the rules
 * in the headers (common practice, no source); that an unchanged rider is seldom called changed is
 * tried on random efforts. */
#include "check.h"

#include "coaching/gauge.h"
#include "coaching/rider_state.h"
#include "coaching/symptoms.h"
#include "coaching/usual_effort.h"
#include "maths/distributions.h"
#include "maths/random.h"

#include <math.h>
#include <string.h>

enum { TODAY = 20500, MOST = 60 };

/* ---- words ---- */

static void test_symptoms__finds_what_must_be_asked_about(void **state)
{
    (void)state;
    enum {
        NONE = 0,
        CHEST = SYMPTOM_CHEST,
        HEART = SYMPTOM_HEART,
        FAINT = SYMPTOM_FAINT,
        BREATH = SYMPTOM_BREATH,
        FEVER = SYMPTOM_FEVER,
        ILL = SYMPTOM_ILL,
        FALL = SYMPTOM_FALL
    };
    static const struct {
        const char *words;
        unsigned want;
    } rows[] = {
        { NULL, NONE },
        { "", NONE },
        { "Felt good, tail wind home.", NONE },
        { "Chest pain on the last climb", CHEST },
        { "a tight CHEST when I pushed", CHEST },
        { "some pressure on my chest.", CHEST },
        { "my chest strap died again", NONE },
        { "Chest-strap slipped; reading was odd", NONE },
        { "chest strap slipped and my chest hurt", CHEST },
        { "no chest pain this time", NONE },
        { "No power meter today, chest pain after an hour", CHEST },
        { "not tired but chest felt tight", CHEST },
        { "palpitations in bed", HEART },
        { "My heart was racing at the lights", HEART },
        { "heart skipped a few times", HEART },
        { "saw a racing heart rate, strap?", HEART },
        { "went dizzy at the top", FAINT },
        { "didn't feel dizzy", NONE },
        { "didn\xE2\x80\x99t feel dizzy", NONE },
        { "nearly passed out.", FAINT },
        { "felt light-headed, sat down", FAINT },
        { "blacked out for a second", FAINT },
        { "was faint", FAINT },
        { "faintly tired", NONE },
        { "couldn't breathe properly", BREATH },
        { "couldn\xE2\x80\x99t breathe", BREATH },
        { "Short of breath on the flat", BREATH },
        { "wheezing all night", BREATH },
        { "out of breath at the top, as one is", NONE },
        { "had a fever on Monday", FEVER },
        { "ran a temperature", FEVER },
        { "temperature was 28", NONE },
        { "feeling ill", ILL },
        { "I'll ride tomorrow", NONE },
        { "I\xE2\x80\x99ll ride tomorrow", NONE },
        { "ill be away", NONE },
        { "caught a cold", ILL },
        { "what a cold day", NONE },
        { "had a cold start", NONE },
        { "had a cold", ILL },
        { "sick since Tuesday", ILL },
        { "sick of the trainer", NONE },
        { "cough and sore throat", ILL },
        { "on antibiotics for a chest infection", ILL },
        { "flu, with chills", ILL | FEVER },
        { "crashed on the wet corner, hit my head", FALL },
        { "never ill, never dizzy", NONE },
        { "chest pain; dizzy; breathless; fever", CHEST | FAINT | BREATH | FEVER },
        { "line one fine\nchest pressure", CHEST },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_integer(rows[i].words == NULL ? "NULL" : rows[i].words, symptoms_in(rows[i].words),
                      rows[i].want);
    }
}

/* What a rider may write is any bytes: never past the end of anything. */
static void test_symptoms__takes_any_words(void **state)
{
    (void)state;
    static const char *const parts[] = {
        "chest ", "'", "\xE2\x80\x99", "no ",  ".",     "I'll ",     "but ", "dizzy", "  ",
        "\n",     "*", "\xC3\xA9",     "ill ", "pain ", "black out "
    };
    struct random random = random_begin(7);
    char words[9000];
    for (int round = 0; round < 300; round++) {
        size_t n = 0;
        words[0] = '\0';
        const size_t length = (size_t)(random_uniform(&random) * 8000.0);
        while (n < length) {
            const char *part = parts[(size_t)(random_uniform(&random) * (double)COUNT(parts))];
            memcpy(words + n, part, strlen(part) + 1);
            n += strlen(part);
        }
        check(symptoms_in(words) < 128);
    }
}

/* ---- the reading ---- */

/* Six weeks of rides, three a week of an hour at 150 W, effort 4 or 5 in turn; the last `n` of the
 * last week get `effort` (NAN = none given). */
struct rider {
    struct past_ride rides[MOST];
    struct past_note notes[MOST];
    struct past_span off[4];
    struct rider_history history;
};

static struct rider rider_of(void)
{
    struct rider rider = { .history = { .today = TODAY, .power_since_day = INT64_MIN } };
    for (int64_t ago = 82; ago >= 0; ago -= 2) {
        struct past_ride *ride = &rider.rides[rider.history.n_rides++];
        *ride = past_ride_begin(1000 - ago, TODAY - ago);
        ride->has_power = true;
        ride->hours = 1.0 + (ago % 3 == 0 ? 0.2 : 0.0);
        ride->work_kj = 540.0 * ride->hours;
        ride->above_threshold_s = 0.0;
    }
    return rider;
}

static void link_up(struct rider *rider)
{
    rider->history.rides = rider->rides;
    rider->history.notes = rider->notes;
    rider->history.off = rider->off;
}

static void give_efforts(struct rider *rider, double before, double recent, size_t n_recent)
{
    size_t given = 0;
    for (size_t i = rider->history.n_rides; i > 0; i--) {
        struct past_ride *ride = &rider->rides[i - 1];
        if (ride->day > TODAY - 7) {
            ride->effort_0_10 = given < n_recent ? recent : (double)NAN;
            given++;
        } else {
            ride->effort_0_10 = isnan(before) ? before : before + (i % 2 == 0 ? 0.5 : -0.5);
        }
    }
}

/* An answer every third day: usual ones, then of the last week. */
static void give_notes(struct rider *rider, const int usual[4], const int recent[4])
{
    for (int64_t ago = 30; ago >= 0; ago -= 3) {
        const int *said = ago < 7 ? recent : usual;
        rider->notes[rider->history.n_notes++] = (struct past_note){ .id = 100 - ago,
                                                                     .day = TODAY - ago,
                                                                     .effort_0_10 = (double)NAN,
                                                                     .legs_1_5 = said[0],
                                                                     .sleep_1_5 = said[1],
                                                                     .stress_1_5 = said[2],
                                                                     .soreness_1_5 = said[3] };
    }
}

static void test_how__says_usual_look_or_ask_first(void **state)
{
    (void)state;
    const double none = (double)NAN;
    static const int nothing[4] = { 0 };
    (void)nothing;
    const struct {
        const char *name;
        double before; /* effort; NAN = none given */
        double recent;
        size_t n_recent;
        int usual[4]; /* legs, sleep, stress, soreness */
        int now[4];
        const char *words; /* of a note three days ago */
        bool ill;
        const char *verdict;
        const char *says;
        const char *not_said;
    } rows[] = {
        { "silence",
          none,
          none,
          0,
          { 0 },
          { 0 },
          NULL,
          false,
          "cannot tell",
          "Too little was said in the last 7 days",
          NULL },
        { "usual efforts", 5, 5, 3, { 0 }, { 0 }, NULL, false, "usual", "Much as usual", "Ask" },
        { "harder",
          5,
          8,
          3,
          { 0 },
          { 0 },
          NULL,
          false,
          "look",
          "Effort 8.0 of 10 over 3 rides; usually 5.",
          NULL },
        { "a little harder", 5, 5.9, 3, { 0 }, { 0 }, NULL, false, "usual", "Effort 5.9", NULL },
        { "easier", 6, 3, 3, { 0 }, { 0 }, NULL, false, "usual", "Effort 3.0", NULL },
        { "one ride, one day",
          5,
          9,
          1,
          { 0 },
          { 0 },
          NULL,
          false,
          "cannot tell",
          "1 ride came with an effort; too few rides like it",
          NULL },
        { "nothing to compare",
          none,
          9,
          3,
          { 0 },
          { 0 },
          NULL,
          false,
          "cannot tell",
          "too few rides like these",
          NULL },
        { "legs as ever",
          none,
          none,
          0,
          { 3, 3, 3, 3 },
          { 3, 3, 3, 3 },
          NULL,
          false,
          "usual",
          "Much as usual",
          "Legs" },
        { "legs a little worse",
          none,
          none,
          0,
          { 4, 4, 2, 2 },
          { 3, 4, 2, 2 },
          NULL,
          false,
          "usual",
          "Legs 3.0 of 5; usually 4.0",
          NULL },
        { "legs far worse",
          none,
          none,
          0,
          { 4, 4, 2, 2 },
          { 2, 4, 2, 2 },
          NULL,
          false,
          "look",
          "Legs 2.0 of 5",
          NULL },
        { "legs and sleep",
          none,
          none,
          0,
          { 4, 4, 2, 2 },
          { 3, 3, 2, 2 },
          NULL,
          false,
          "look",
          "Sleep 3.0 of 5",
          "Stress" },
        { "stress and soreness",
          none,
          none,
          0,
          { 4, 4, 2, 2 },
          { 4, 4, 3, 3 },
          NULL,
          false,
          "look",
          "Soreness 3.0 of 5; usually 2.0",
          "Legs" },
        { "better all round",
          none,
          none,
          0,
          { 2, 2, 4, 4 },
          { 5, 5, 1, 1 },
          NULL,
          false,
          "usual",
          "Much as usual",
          "of 5" },
        { "never good, and no worse",
          none,
          none,
          0,
          { 1, 1, 5, 5 },
          { 1, 1, 5, 5 },
          NULL,
          false,
          "usual",
          NULL,
          "of 5" },
        { "efforts usual, legs gone",
          5,
          5,
          3,
          { 4, 4, 2, 2 },
          { 2, 4, 2, 2 },
          NULL,
          false,
          "look",
          "Ask how the rider is",
          NULL },
        { "ill", 5, 5, 3, { 0 }, { 0 }, NULL, true, "ask first", "Noted as ill on", NULL },
        { "chest",
          5,
          5,
          3,
          { 0 },
          { 0 },
          "Bit of chest pain on the hill",
          false,
          "ask first",
          "speaks of the chest",
          NULL },
        { "chest: a doctor",
          none,
          none,
          0,
          { 0 },
          { 0 },
          "chest pain, dizzy",
          false,
          "ask first",
          "nothing hard until a doctor has seen the rider",
          "diagnos" },
        { "two at once",
          none,
          none,
          0,
          { 0 },
          { 0 },
          "chest pain, dizzy",
          false,
          "ask first",
          "the chest and faintness or dizziness",
          NULL },
        { "strap", 5, 5, 3, { 0 }, { 0 }, "chest strap slipped", false, "usual", NULL, "doctor" },
        { "a cold",
          none,
          none,
          0,
          { 0 },
          { 0 },
          "caught a cold",
          false,
          "ask first",
          "easy day or none",
          "doctor" },
        { "a fall",
          none,
          none,
          0,
          { 0 },
          { 0 },
          "crashed on ice",
          false,
          "look",
          "speaks of a fall",
          NULL },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct rider rider = rider_of();
        give_efforts(&rider, rows[i].before, rows[i].recent, rows[i].n_recent);
        if (rows[i].usual[0] > 0) {
            give_notes(&rider, rows[i].usual, rows[i].now);
        }
        if (rows[i].words != NULL || rows[i].ill) {
            rider.notes[rider.history.n_notes++] = (struct past_note){
                .id = 500, .day = TODAY - 3, .words = rows[i].words, .ill = rows[i].ill
            };
        }
        link_up(&rider);
        const struct reading reading = rider_state_read(arena, &rider.history, &limits);
        check_text(rows[i].name, verdict_name(reading.verdict), rows[i].verdict);
        if (rows[i].says != NULL && strstr(reading.text, rows[i].says) == NULL) {
            check_text(rows[i].name, reading.text, rows[i].says);
        }
        if (rows[i].not_said != NULL && strstr(reading.text, rows[i].not_said) != NULL) {
            check_text(rows[i].name, reading.text, "nothing of it");
        }
        arena_close(arena);
    }
}

static void test_how__old_words_and_old_illness_are_over(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    static const struct {
        int64_t ago;
        bool ill;
        const char *verdict;
    } rows[] = { { 13, false, "ask first" },
                 { 14, false, "usual" },
                 { 6, true, "ask first" },
                 { 7, true, "usual" } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct rider rider = rider_of();
        give_efforts(&rider, 5, 5, 3);
        rider.notes[rider.history.n_notes++] =
            (struct past_note){ .id = 1,
                                .day = TODAY - rows[i].ago,
                                .ill = rows[i].ill,
                                .words = rows[i].ill ? NULL : "palpitations" };
        link_up(&rider);
        check_text("words", verdict_name(rider_state_read(arena, &rider.history, &limits).verdict),
                   rows[i].verdict);
    }
    /* Ill by a span, with nothing written. */
    struct rider rider = rider_of();
    rider.off[rider.history.n_off++] = (struct past_span){ OFF_ILL, TODAY - 2, INT64_MAX };
    link_up(&rider);
    const struct reading reading = rider_state_read(arena, &rider.history, &limits);
    check_text("span", verdict_name(reading.verdict), "ask first");
    check(strstr(reading.text, "Noted as ill.") != NULL);
    arena_close(arena);
}

/* The newest ride of the week that could be held against usual speaks; usual decides nothing. */
static void test_how__heart_rate_far_from_usual_is_a_look(void **state)
{
    (void)state;
    static const struct {
        enum verdict verdicts[2]; /* 4 days ago, 2 days ago */
        const char *want;
        const char *says;
    } rows[] = {
        { { VERDICT_USUAL, VERDICT_HIGHER_THAN_USUAL }, "look", "12 beats above usual on" },
        { { VERDICT_USUAL, VERDICT_LOWER_THAN_USUAL }, "look", "12 beats below usual on" },
        { { VERDICT_HIGHER_THAN_USUAL, VERDICT_CANNOT_TELL }, "look", "Ask about heat, illness" },
        { { VERDICT_HIGHER_THAN_USUAL, VERDICT_USUAL },
          "cannot tell",
          "isn't the same as being well" },
        { { VERDICT_CANNOT_TELL, VERDICT_CANNOT_TELL }, "cannot tell", "Too little was said" },
    };
    const struct limits limits = limits_default();
    struct arena *arena = arena_open();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct rider rider = rider_of();
        link_up(&rider);
        for (size_t k = 0; k < 2; k++) {
            struct past_ride *ride = &rider.rides[rider.history.n_rides - 3 + k];
            ride->today.is_asked = true;
            ride->today.verdict = rows[i].verdicts[k];
            ride->today.estimate = rows[i].verdicts[k] == VERDICT_LOWER_THAN_USUAL ? -12.0 : 12.0;
        }
        const struct reading reading = rider_state_read(arena, &rider.history, &limits);
        check_text(rows[i].says, verdict_name(reading.verdict), rows[i].want);
        check_text(rows[i].says, strstr(reading.text, rows[i].says) == NULL ? reading.text : "",
                   "");
    }
    arena_close(arena);
}

static void test_how__the_gauge_shows_effort_only_where_it_decided(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct gauge gauge = { 0 };
    struct rider rider = rider_of();
    give_efforts(&rider, 5, 8, 3);
    link_up(&rider);
    struct reading reading = rider_state_read(arena, &rider.history, &limits);
    check(reading_gauge(arena, &reading, &gauge));
    check(gauge.low > 0.0 && gauge.estimate > 2.0);
    check_text("side", gauge.sides[1], "harder");
    give_efforts(&rider, 5, 5, 3);
    static const int usual[4] = { 4, 4, 2, 2 };
    static const int now[4] = { 2, 2, 2, 2 };
    give_notes(&rider, usual, now);
    reading = rider_state_read(arena, &rider.history, &limits);
    check_text("legs", verdict_name(reading.verdict), "look");
    check(!reading_gauge(arena, &reading, &gauge));
    arena_close(arena);
}

/* ---- effort ---- */

/* A ride counts as like only if length, work an hour and hard minutes are near, and if both have
 * power or neither. */
static void test_usual_effort__compares_like_with_like(void **state)
{
    (void)state;
    const double none = (double)NAN;
    const struct {
        const char *name;
        double hours;
        double work_kj;
        double above_s;
        bool is_ride;
        bool known;
    } rows[] = {
        { "the same", 1.0, 540, 0, true, true },
        { "half as long again", 1.5, 810, 0, true, true },
        { "longer still", 1.9, 1026, 0, true, false },
        { "a little harder", 1.0, 600, 0, true, true },
        { "much harder", 1.0, 700, 0, true, false },
        { "with intervals", 1.0, 540, 900, true, false },
        { "without power", 1.0, none, none, true, false },
        { "without threshold", 1.0, 540, none, true, false },
        { "a run", 1.0, 540, 0, false, false },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct rider rider = rider_of();
        give_efforts(&rider, 5, 6, 3);
        for (size_t k = 0; k < rider.history.n_rides; k++) {
            struct past_ride *ride = &rider.rides[k];
            if (ride->day > TODAY - 7) {
                ride->hours = rows[i].hours;
                ride->work_kj = rows[i].work_kj;
                ride->above_threshold_s = rows[i].above_s;
                ride->is_ride = rows[i].is_ride;
            }
        }
        link_up(&rider);
        const struct usual_effort effort = usual_effort_of(&rider.history, &limits);
        check_integer(rows[i].name, effort.is_known, rows[i].known);
        if (rows[i].known) {
            check_near(rows[i].name, effort.more, 1.0, 0.3);
        }
    }
    /* Without power, among rides without power: by hours alone. */
    struct rider rider = rider_of();
    give_efforts(&rider, 5, 6, 3);
    for (size_t k = 0; k < rider.history.n_rides; k++) {
        rider.rides[k].work_kj = none;
        rider.rides[k].above_threshold_s = none;
    }
    link_up(&rider);
    check(usual_effort_of(&rider.history, &limits).is_known);
}

/* By hand: two recent rides of 7, three like ones of 4, 5, 6: difference 2; pooled variance
 * (4 x 1 + 2) / (4 + 2) = 1; t(0.95, 6) = 1.943 (any table of Student's t);
 * 1.943 sqrt(1/2 + 1/3) = 1.774. */
static void test_usual_effort__follows_its_formula(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct past_ride rides[5];
    static const double efforts[5] = { 4, 5, 6, 7, 7 };
    static const int64_t ago[5] = { 30, 20, 10, 3, 1 };
    for (size_t i = 0; i < 5; i++) {
        rides[i] = past_ride_begin((int64_t)i + 1, TODAY - ago[i]);
        rides[i].hours = 1.0;
        rides[i].effort_0_10 = efforts[i];
    }
    const struct rider_history history = { .today = TODAY, .rides = rides, .n_rides = 5 };
    const struct usual_effort effort = usual_effort_of(&history, &limits);
    check(effort.is_known);
    check_near("more", effort.more, 2.0, 1e-12);
    check_near("low", effort.low, 2.0 - 1.774, 0.002);
    check_near("high", effort.high, 2.0 + 1.774, 0.002);
    check_integer("compared", (int64_t)effort.n_compared, 2);
    check_integer("like", (int64_t)effort.n_like, 3);
    check_integer("last", effort.last_ride, 5);
}

/* Riders whose effort only scatters: by 1 point as assumed, and by half as much again. */
static void test_usual_effort__seldom_calls_an_unchanged_rider_changed(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    static const struct {
        double sd;
        double rise;
        double least; /* share called harder */
        double most;
    } rows[] = { { 1.0, 0, 0, 0.05 },
                 { 1.5, 0, 0, 0.05 },
                 { 0.6, 0, 0, 0.03 },
                 { 1.0, 2.0, 0.6, 1.0 },
                 { 1.0, 3.0, 0.9, 1.0 } };
    struct random random = random_begin(20);
    for (size_t i = 0; i < COUNT(rows); i++) {
        enum { RIDERS = 400 };
        int harder = 0;
        for (int k = 0; k < RIDERS; k++) {
            struct rider rider = rider_of();
            for (size_t r = 0; r < rider.history.n_rides; r++) {
                struct past_ride *ride = &rider.rides[r];
                const double scatter = rows[i].sd * random_normal(&random);
                const double rise = ride->day > TODAY - 7 ? rows[i].rise : 0.0;
                ride->effort_0_10 = fmin(fmax(round(4.0 + rise + scatter), 0.0), 10.0);
            }
            link_up(&rider);
            const struct usual_effort effort = usual_effort_of(&rider.history, &limits);
            harder += effort.low > 0.0 && effort.more >= 1.0 ? 1 : 0;
        }
        const double share = (double)harder / RIDERS;
        if (share < rows[i].least || share > rows[i].most) {
            check_near("share called harder", share, rows[i].least, 0.0);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_symptoms__finds_what_must_be_asked_about),
        cmocka_unit_test(test_symptoms__takes_any_words),
        cmocka_unit_test(test_how__says_usual_look_or_ask_first),
        cmocka_unit_test(test_how__old_words_and_old_illness_are_over),
        cmocka_unit_test(test_how__heart_rate_far_from_usual_is_a_look),
        cmocka_unit_test(test_how__the_gauge_shows_effort_only_where_it_decided),
        cmocka_unit_test(test_usual_effort__compares_like_with_like),
        cmocka_unit_test(test_usual_effort__follows_its_formula),
        cmocka_unit_test(test_usual_effort__seldom_calls_an_unchanged_rider_changed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
