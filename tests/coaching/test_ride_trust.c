/* tests/coaching/test_ride_trust.c: the verdict of trust, its reasons, and the cautions that stand
 * at the top.  Verdicts by hand from the table in coaching/ride_trust.h. */
#include "check.h"

#include "coaching/reading.h"
#include "coaching/ride_trust.h"
#include "coaching/words/words.h"
#include "recording/grid.h"
#include "recording/trust.h"

#include <math.h>
#include <string.h>

enum { RIDE_S = 2400 };

#define NONE RECORDING_MISSING
#define P    CHANNEL_POWER
#define H    CHANNEL_HEART_RATE

struct edit {
    enum channel channel;
    int32_t from;
    int32_t to;
    int32_t value; /* set */
    int32_t add;   /* else added, when not 0 */
};

/* Forty minutes at about 150 W and 130 bpm, changed by the edits, then as a reader gives it. */
static struct recording *ride(struct arena *arena, const struct edit edits[], size_t n)
{
    struct recording *recording = ARENA_ARRAY(arena, struct recording, 1);
    recording->is_ride = true;
    recording->sport = SPORT_CYCLING;
    struct samples *samples = &recording->samples;
    samples->count = RIDE_S;
    samples->time_s = ARENA_ARRAY(arena, int32_t, RIDE_S);
    for (int c = CHANNEL_POWER; c <= CHANNEL_CADENCE; c++) {
        samples->value[c] = ARENA_ARRAY(arena, int32_t, RIDE_S);
    }
    for (int32_t t = 0; t < RIDE_S; t++) {
        samples->time_s[t] = t;
        samples->value[P][t] = 150 + t * 37 % 29 - 14 + t / 60 % 2 * 20;
        samples->value[H][t] = 130 + t / 45 % 3;
        samples->value[CHANNEL_CADENCE][t] = 85 + t * 11 % 7 - 3;
    }
    for (size_t i = 0; i < n; i++) {
        for (int32_t t = edits[i].from; t < edits[i].to; t++) {
            int32_t *value = &samples->value[edits[i].channel][t];
            *value = edits[i].add != 0 ? *value + edits[i].add : edits[i].value;
        }
    }
    const struct limits limits = limits_default();
    grid_fill(arena, recording, &limits);
    trust_check(arena, recording, &limits);
    return recording;
}

static struct ride_readings read_trust(struct arena *arena, const struct recording *recording,
                                       const struct rider_facts *facts)
{
    const struct limits limits = limits_default();
    struct ride_readings readings = { 0 };
    ride_trust_read(arena, recording, facts, &limits, &readings);
    return readings;
}

static const struct cause *find(const struct causes *causes, const char *code)
{
    for (size_t i = 0; i < causes->count; i++) {
        if (strcmp(causes->items[i].code, code) == 0) {
            return &causes->items[i];
        }
    }
    return NULL;
}

static void test_ride_trust__the_verdict_goes_by_what_is_left(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        struct edit edits[3];
        enum verdict verdict;
        const char *power;
        const char *heart;
    } rows[] = {
        { "clean", { { 0 } }, VERDICT_USABLE, "power-usable", "heart-usable" },
        { "heart rate gone for 4 %",
          { { H, 1000, 1096, NONE, 0 } },
          VERDICT_USABLE,
          "power-usable",
          "heart-usable" },
        { "heart rate gone for 6 %",
          { { H, 1000, 1144, NONE, 0 } },
          VERDICT_USABLE_IN_PART,
          "power-usable",
          "heart-in-part" },
        { "no heart rate",
          { { H, 0, RIDE_S, NONE, 0 } },
          VERDICT_USABLE_IN_PART,
          "power-usable",
          "heart-absent" },
        { "no power",
          { { P, 0, RIDE_S, NONE, 0 } },
          VERDICT_USABLE_IN_PART,
          "power-absent",
          "heart-alone" },
        { "neither",
          { { P, 0, RIDE_S, NONE, 0 }, { H, 0, RIDE_S, NONE, 0 } },
          VERDICT_NOT_USABLE,
          "power-absent",
          "heart-absent" },
        { "a tenth of power, no heart rate",
          { { P, 240, RIDE_S, NONE, 0 }, { H, 0, RIDE_S, NONE, 0 } },
          VERDICT_NOT_USABLE,
          "power-lost",
          "heart-absent" },
        { "the trainer's target",
          { { P, 0, 1200, 150, 0 }, { P, 1200, RIDE_S, 200, 0 } },
          VERDICT_USABLE_IN_PART,
          "power-target",
          "heart-alone" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct rider_facts facts = facts_unknown();
        const struct ride_readings got = read_trust(arena, ride(arena, rows[i].edits, 3), &facts);
        const struct reading *reading = &got.items[0];
        check_text(rows[i].name, verdict_name(reading->verdict), verdict_name(rows[i].verdict));
        check_text(rows[i].name, reading->because.items[0].code, rows[i].power);
        check_text(rows[i].name, reading->because.items[1].code, rows[i].heart);
        for (size_t k = 0; k < reading->because.count; k++) {
            check(reading->because.items[k].text != NULL);
        }
        for (size_t k = 0; k < reading->settle_by.count; k++) {
            check(reading->settle_by.items[k].text != NULL);
        }
        check_integer(rows[i].name, (int64_t)got.cautions.count, 0);
        arena_close(arena);
    }
}

static void test_ride_trust__what_cant_be_told_says_why(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct rider_facts facts = facts_unknown();
    struct recording *run = ride(arena, NULL, 0);
    run->is_ride = false;
    run->sport = SPORT_RUNNING;
    const struct ride_readings got = read_trust(arena, run, &facts);
    check_integer("run", got.items[0].verdict, VERDICT_CANNOT_TELL);
    check_text("run", got.items[0].text, "Can't tell. This is a run, not a ride.");
    struct recording *brief = ride(arena, NULL, 0);
    brief->timer_s = 45;
    const struct ride_readings short_ride = read_trust(arena, brief, &facts);
    check_text("short", short_ride.items[0].text, "Can't tell. Only 45 s were ridden.");
    arena_close(arena);
}

/* Science section 16: more than 30 bpm up within 10 s at unchanged power for 10 s or longer, or
 * more than 5 above maximal for 30 s; whatever was masked. */
static void test_ride_trust__cautions_stand_whatever_was_masked(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        struct edit edits[3];
        double max_bpm;
        const char *caution;
    } rows[] = {
        { "up 60 for 40 s", { { H, 1000, 1040, 0, 60 } }, (double)NAN, "heart-leap" },
        { "up 60 for 9 s", { { H, 1000, 1009, 0, 60 } }, (double)NAN, NULL },
        { "up 28 for 40 s", { { H, 1000, 1040, 0, 28 } }, (double)NAN, NULL },
        { "up 60 with a sprint",
          { { H, 1000, 1040, 0, 60 }, { P, 995, 1020, 0, 200 } },
          (double)NAN,
          NULL },
        { "up 60, power not recorded",
          { { H, 1000, 1040, 0, 60 }, { P, 0, RIDE_S, NONE, 0 } },
          (double)NAN,
          "heart-leap" },
        { "up 60 while power falls",
          { { H, 1000, 1040, 0, 60 }, { P, 990, 1040, 0, -120 } },
          (double)NAN,
          "heart-leap" },
        { "down 40 and back is no leap of the heart",
          { { H, 1000, 1040, 0, -40 } },
          (double)NAN,
          NULL },
        { "6 above maximal for 30 s",
          { { H, 1000, 1030, 191, 0 }, { H, 990, 1000, 161, 0 } },
          185,
          "heart-far-above-max" },
        { "6 above maximal for 29 s",
          { { H, 1000, 1029, 191, 0 }, { H, 990, 1000, 165, 0 }, { H, 980, 990, 145, 0 } },
          185,
          NULL },
        { "5 above maximal for a minute",
          { { H, 1000, 1060, 190, 0 }, { H, 990, 1000, 165, 0 }, { H, 980, 990, 145, 0 } },
          185,
          NULL },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct rider_facts facts = facts_unknown();
        facts.max_heart_rate_bpm = rows[i].max_bpm;
        facts.heart_medicine = true; /* switches no caution off */
        facts.pregnant = true;
        const struct ride_readings got = read_trust(arena, ride(arena, rows[i].edits, 3), &facts);
        const bool found = rows[i].caution != NULL;
        if (found) {
            const struct cause *caution = find(&got.cautions, rows[i].caution);
            check_text(rows[i].name, caution == NULL ? NULL : caution->code, rows[i].caution);
        } else {
            check_text(rows[i].name, got.cautions.count == 0 ? NULL : got.cautions.items[0].code,
                       NULL);
        }
        arena_close(arena);
    }
}

static void test_ride_trust__a_caution_asks_and_never_diagnoses(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct rider_facts facts = facts_unknown();
    static const struct edit edit = { H, 1000, 1040, 0, 60 };
    const struct ride_readings got = read_trust(arena, ride(arena, &edit, 1), &facts);
    check_text("caution", got.cautions.items[0].text,
               "Heart rate jumped from 131 to 192 for 40 s, at 150 W, 16:40 into the ride. "
               "Usually the strap. Ask whether there were palpitations, dizziness, chest pain or "
               "breathlessness: if so, nothing hard until a doctor has seen the rider.");
    arena_close(arena);
}

static void test_ride_trust__heart_rate_above_maximal_is_a_reason(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct rider_facts facts = facts_unknown();
    facts.max_heart_rate_bpm = 185;
    /* in steps that no jump of the strap makes */
    static const struct edit edits[] = { { H, 900, 1100, 160, 0 },
                                         { H, 1000, 1012, 176, 0 },
                                         { H, 1003, 1009, 189, 0 } };
    const struct ride_readings got = read_trust(arena, ride(arena, edits, 3), &facts);
    const struct cause *cause = find(&got.items[0].because, "heart-above-max");
    check_text("words", cause == NULL ? NULL : cause->text,
               "Heart rate reached 189, above the maximal of 185 on file, for 6 s: that maximal is "
               "out of date, or the strap is.");
    facts.max_heart_rate_bpm = 186; /* 189 isn't more than 3 above it */
    const struct ride_readings near = read_trust(arena, ride(arena, edits, 3), &facts);
    check(find(&near.items[0].because, "heart-above-max") == NULL);
    arena_close(arena);
}

static void test_ride_trust__pregnancy_and_medicine_are_respected(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct rider_facts facts = facts_unknown();
    facts.pregnant = true;
    facts.heart_medicine = true;
    const struct ride_readings got = read_trust(arena, ride(arena, NULL, 0), &facts);
    check(find(&got.items[0].because, "heart-not-read") != NULL);
    check(find(&got.items[0].because, "pregnant") != NULL);
    check(find(&got.items[0].because, "heart-medicine") != NULL);
    arena_close(arena);
}

/* The sentences of findings: by hand, from the numbers. */
static void test_words__findings_are_said_plainly(void **state)
{
    (void)state;
    static const struct {
        struct finding finding;
        const char *want;
    } rows[] = {
        { { .code = "power-spike",
            .span = { 2050, 2051 },
            .numbers = { { "seconds", 1 }, { "count", 1 }, { "max_w", 3351 } },
            .n_numbers = 3 },
          "A power spike to 3,351 W at 34:10: no rider made it. Left out." },
        { { .code = "power-spike",
            .span = { 720, 2050 },
            .numbers = { { "seconds", 9 }, { "count", 8 }, { "max_w", 47140 } },
            .n_numbers = 3 },
          "8 power spikes, up to 47,140 W, between 12:00 and 34:10: no rider made them. Left "
          "out." },
        { { .code = "heart-dropout",
            .span = { 560, 930 },
            .numbers = { { "seconds", 370 }, { "count", 1 } },
            .n_numbers = 2 },
          "No heart rate for 6 min 10 s at 9:20. Left out." },
        { { .code = "summary-differs",
            .whole_ride = true,
            .numbers = { { "device_m", 31200 }, { "series_m", 30200 }, { "differs_pct", -3.2 } },
            .n_numbers = 3 },
          "The device's own distance, 31.2 km, is 3 % off what its seconds add up to, 30.2 km. The "
          "seconds are used." },
        { { .code = "clock",
            .whole_ride = true,
            .channel = -1,
            .detail = "ran back a little",
            .numbers = { { "records", 3 } },
            .n_numbers = 1 },
          "The device's clock ran back a little (3 records)." },
        { { .code = "a-new-one", .channel = -1, .span = { 60, 120 }, .effect = EFFECT_MASKED },
          "The recording: a-new-one, from 1:00 to 2:00. Left out." },
        { { .code = "a-new-one",
            .channel = CHANNEL_SPEED,
            .whole_ride = true,
            .detail = "in knots" },
          "Speed: a-new-one, in knots." },
    };
    struct arena *arena = arena_open();
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_text(rows[i].finding.code, words_finding(arena, &rows[i].finding), rows[i].want);
    }
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ride_trust__the_verdict_goes_by_what_is_left),
        cmocka_unit_test(test_ride_trust__what_cant_be_told_says_why),
        cmocka_unit_test(test_ride_trust__cautions_stand_whatever_was_masked),
        cmocka_unit_test(test_ride_trust__a_caution_asks_and_never_diagnoses),
        cmocka_unit_test(test_ride_trust__heart_rate_above_maximal_is_a_reason),
        cmocka_unit_test(test_ride_trust__pregnancy_and_medicine_are_respected),
        cmocka_unit_test(test_words__findings_are_said_plainly),
    };
    return cmocka_run_group_tests_name("ride trust", tests, NULL, NULL);
}
