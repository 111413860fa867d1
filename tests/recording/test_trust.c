/* tests/recording/test_trust.c: each fault of the table is found, and its neighbour on the other
 * side of the limit isn't.
 *
 * Every case is the same honest ride with a few edits.  The limits are rows of limits/rows.def;
 * what is wanted is worked out by hand from them. */
#include "check.h"

#include "recording/grid.h"
#include "recording/trust.h"

#include <math.h>
#include <string.h>

enum { RIDE_S = 3600, EDITS = 6 };

#define NONE RECORDING_MISSING

enum edit_kind {
    NO_EDIT,
    SET,       /* value */
    ADD,       /* value on top */
    MISSING,   /* records without the channel */
    AS_OTHER,  /* the channel follows cadence, plus value */
    WAVE,      /* value +- 4, up and down over ten minutes */
    STEP_BY,   /* +value from `from` on, growing evenly to `to` */
    UNWRITTEN, /* no records at all */
};

struct edit {
    enum edit_kind kind;
    enum channel channel;
    int32_t from;
    int32_t to;
    int32_t value;
};

/* Up and down between -1 and 1 with the period, in thousandths. */
static int32_t zigzag(int32_t t, int32_t period)
{
    const int32_t phase = t % period;
    return phase < period / 2 ? -1000 + 4000 * phase / period : 3000 - 4000 * phase / period;
}

static uint32_t next(uint32_t *state)
{
    *state = *state * 1664525u + 1013904223u; /* Numerical Recipes' quick generator */
    return *state >> 16;
}

/* One hour outdoors: 200 W with swings of 30 W and scatter, heart rate near 140, cadence near 88.
 */
static struct samples honest_ride(struct arena *arena)
{
    struct samples samples = { .count = RIDE_S };
    samples.time_s = ARENA_ARRAY(arena, int32_t, RIDE_S);
    samples.dropped = ARENA_ARRAY(arena, uint8_t, RIDE_S);
    static const enum channel channels[] = {
        CHANNEL_POWER, CHANNEL_HEART_RATE,  CHANNEL_CADENCE, CHANNEL_DISTANCE,
        CHANNEL_SPEED, CHANNEL_TEMPERATURE, CHANNEL_BALANCE, CHANNEL_ALTITUDE,
    };
    for (size_t i = 0; i < COUNT(channels); i++) {
        samples.value[channels[i]] = ARENA_ARRAY(arena, int32_t, RIDE_S);
    }
    uint32_t state = 7;
    for (int32_t t = 0; t < RIDE_S; t++) {
        const int32_t scatter = (int32_t)(next(&state) % 41) - 20;
        samples.time_s[t] = t;
        samples.value[CHANNEL_POWER][t] = 200 + 30 * zigzag(t, 97) / 1000 + scatter;
        samples.value[CHANNEL_HEART_RATE][t] = 140 + 5 * zigzag(t + 40, 211) / 1000;
        samples.value[CHANNEL_CADENCE][t] =
            88 + 4 * zigzag(t, 53) / 1000 + (int32_t)(next(&state) % 3) - 1;
        samples.value[CHANNEL_SPEED][t] = 8500;
        samples.value[CHANNEL_DISTANCE][t] = 850 * t;
        samples.value[CHANNEL_TEMPERATURE][t] = 200;
        samples.value[CHANNEL_BALANCE][t] = 500 + 10 * zigzag(t, 31) / 1000;
        samples.value[CHANNEL_ALTITUDE][t] = 1200;
    }
    return samples;
}

static void apply(struct samples *samples, const struct edit *edit)
{
    int32_t *value = samples->value[edit->channel];
    for (int32_t t = edit->from; t < edit->to; t++) {
        switch (edit->kind) {
        case NO_EDIT: break;
        case SET: value[t] = edit->value; break;
        case ADD: value[t] += edit->value; break;
        case MISSING: value[t] = NONE; break;
        case AS_OTHER: value[t] = samples->value[CHANNEL_CADENCE][t] + edit->value; break;
        case WAVE: value[t] = edit->value + 3 * zigzag(t, 600) / 1000 + t % 3 - 1; break;
        case STEP_BY: value[t] += edit->value * (t - edit->from) / (edit->to - edit->from); break;
        case UNWRITTEN: samples->dropped[t] = 1; break;
        }
    }
}

static struct recording *checked(struct arena *arena, const struct edit edits[], size_t n)
{
    struct recording *recording = ARENA_ARRAY(arena, struct recording, 1);
    recording->is_ride = true;
    recording->sport = SPORT_CYCLING;
    recording->samples = honest_ride(arena);
    recording->device_timer_s = (double)NAN;
    recording->device_work_kj = (double)NAN;
    recording->device_distance_m = (double)NAN;
    recording->device_mean_power_w = (double)NAN;
    for (size_t i = 0; i < n; i++) {
        apply(&recording->samples, &edits[i]);
    }
    const struct limits limits = limits_default();
    grid_fill(arena, recording, &limits);
    trust_check(arena, recording, &limits);
    return recording;
}

static const struct finding *find(const struct recording *recording, const char *code)
{
    for (size_t i = 0; i < recording->n_findings; i++) {
        if (strcmp(recording->findings[i].code, code) == 0) {
            return &recording->findings[i];
        }
    }
    return NULL;
}

static double number_of(const struct finding *finding, const char *name)
{
    for (size_t i = 0; i < finding->n_numbers; i++) {
        if (strcmp(finding->numbers[i].name, name) == 0) {
            return finding->numbers[i].value;
        }
    }
    return (double)NAN;
}

static void test_trust__an_honest_ride_has_no_finding(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct recording *recording = checked(arena, NULL, 0);
    check_integer("findings", (int64_t)recording->n_findings, 0);
    check_near("power", recording_coverage(recording, CHANNEL_POWER), 1.0, 0.0);
    check_near("heart rate", recording_coverage(recording, CHANNEL_HEART_RATE), 1.0, 0.0);
    arena_close(arena);
}

#define P CHANNEL_POWER
#define H CHANNEL_HEART_RATE
#define C CHANNEL_CADENCE

/* code NULL: the edits must raise no finding at all.  seconds: masked, from the finding. */
static const struct {
    const char *name;
    struct edit edits[EDITS];
    const char *code;
    int32_t from;
    int32_t to;
    double seconds;
    double count;
    enum finding_effect effect;
} rows[] = {
    /* power-spike */
    { "47 kW for a second",
      { { SET, P, 1000, 1001, 47140 } },
      "power-spike",
      1000,
      1001,
      1,
      1,
      EFFECT_MASKED },
    { "above 2000 W for five seconds",
      { { SET, P, 1000, 1005, 2001 } },
      "power-spike",
      1000,
      1005,
      5,
      1,
      EFFECT_MASKED },
    { "2000 W for five seconds may be a sprint",
      { { SET, P, 1000, 1005, 2000 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "two seconds alone far above",
      { { SET, P, 1000, 1002, 900 } },
      "power-spike",
      1000,
      1002,
      2,
      1,
      EFFECT_MASKED },
    { "three seconds are an effort",
      { { SET, P, 1000, 1003, 900 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "one second with a flank is an effort",
      { { SET, P, 1000, 1001, 900 }, { SET, P, 1001, 1002, 400 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "not far enough above the median",
      { { SET, P, 1000, 1001, 760 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "spikes a minute apart are one finding",
      { { SET, P, 1000, 1001, 3000 }, { SET, P, 1060, 1061, 3351 } },
      "power-spike",
      1000,
      1061,
      2,
      2,
      EFFECT_MASKED },
    { "beside a gap nobody knows the flank",
      { { SET, P, 1000, 1001, 900 }, { MISSING, P, 1001, 1003, 0 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    /* power-dropout */
    { "power missing for five seconds",
      { { MISSING, P, 1000, 1005, 0 } },
      "power-dropout",
      1000,
      1005,
      5,
      1,
      EFFECT_MASKED },
    { "three missing seconds are bridged",
      { { MISSING, P, 1000, 1003, 0 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "0 W for five seconds while the legs turn",
      { { SET, P, 1000, 1005, 0 } },
      "power-dropout",
      1000,
      1005,
      5,
      1,
      EFFECT_MASKED },
    { "a second bridged from the zeros goes with them",
      { { SET, P, 1000, 1010, 0 }, { MISSING, P, 999, 1000, 0 } },
      "power-dropout",
      999,
      1010,
      11,
      1,
      EFFECT_MASKED },
    { "0 W for four seconds is soft-pedalling",
      { { SET, P, 1000, 1004, 0 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "0 W with the legs still is coasting",
      { { SET, P, 1000, 1030, 0 }, { SET, C, 1001, 1029, 0 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "0 W at 59 rpm once is coasting to a stop",
      { { SET, P, 1000, 1010, 0 }, { SET, C, 1005, 1006, 59 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "power that fades out and in is soft-pedalling",
      { { SET, P, 1000, 1010, 0 }, { SET, P, 998, 1000, 60 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "no power from half way on",
      { { MISSING, P, 1800, RIDE_S, 0 } },
      "power-dropout",
      1800,
      RIDE_S,
      1800,
      1,
      EFFECT_MASKED },
    /* power-stuck */
    { "one value for fifteen seconds",
      { { SET, P, 1000, 1015, 333 } },
      "power-stuck",
      1000,
      1015,
      15,
      1,
      EFFECT_MASKED },
    { "one value for fourteen seconds",
      { { SET, P, 999, 1000, 190 }, { SET, P, 1000, 1014, 333 }, { SET, P, 1014, 1015, 230 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "0 W for a minute is coasting",
      { { SET, P, 1000, 1060, 0 }, { SET, C, 1000, 1060, 0 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "nothing moves: no fault of power to see",
      { { SET, P, 1000, 1015, 333 }, { SET, C, 1000, 1015, 88 }, { SET, H, 1000, 1015, 140 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "a whole ride of it is the trainer's target",
      { { SET, P, 0, 1200, 150 }, { SET, P, 1200, 2400, 250 }, { SET, P, 2400, RIDE_S, 120 } },
      "power-stuck",
      -1,
      -1,
      3600,
      0,
      EFFECT_SPOILS },
    /* heart-dropout */
    { "heart rate missing for eleven seconds",
      { { MISSING, H, 1000, 1011, 0 } },
      "heart-dropout",
      1000,
      1011,
      11,
      1,
      EFFECT_MASKED },
    { "ten are bridged", { { MISSING, H, 1000, 1010, 0 } }, NULL, 0, 0, 0, 0, EFFECT_NOTED },
    { "heart rate 0 for a minute is missing",
      { { SET, H, 1000, 1060, 0 } },
      "heart-dropout",
      1000,
      1060,
      60,
      1,
      EFFECT_MASKED },
    { "two dropouts ten minutes apart are two",
      { { MISSING, H, 1000, 1020, 0 }, { MISSING, H, 1600, 1620, 0 } },
      "heart-dropout",
      1000,
      1020,
      20,
      1,
      EFFECT_MASKED },
    /* heart-low */
    { "55 beats at 200 W for half a minute",
      { { SET, H, 1000, 1030, 55 } },
      "heart-low",
      1000,
      1030,
      30,
      1,
      EFFECT_MASKED },
    { "55 beats at 140 W may be a slow heart",
      { { SET, H, 900, 1900, 55 }, { ADD, P, 700, 1900, -70 }, { STEP_BY, H, 900, 1900, 20 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "72 beats at 200 W needs the rider's history",
      { { SET, H, 900, 1900, 72 }, { STEP_BY, H, 900, 1900, 20 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    /* heart-flat */
    { "one value for a minute while power doubles",
      { { SET, H, 1000, 1060, 142 },
        { SET, H, 999, 1000, 141 },
        { SET, H, 1060, 1061, 141 },
        { ADD, P, 1030, 1060, 200 } },
      "heart-flat",
      1000,
      1060,
      60,
      1,
      EFFECT_MASKED },
    { "59 seconds",
      { { SET, H, 1000, 1059, 142 },
        { SET, H, 999, 1000, 141 },
        { SET, H, 1059, 1060, 141 },
        { ADD, P, 1030, 1060, 200 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "flat at even power is a steady heart",
      { { SET, H, 1000, 1120, 142 }, { WAVE, P, 1000, 1120, 200 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    /* heart-jump */
    { "up 40 for 20 s and back",
      { { ADD, H, 1000, 1020, 40 } },
      "heart-jump",
      1000,
      1020,
      20,
      1,
      EFFECT_MASKED },
    { "down 40 for 20 s and back",
      { { ADD, H, 1000, 1020, -40 } },
      "heart-jump",
      1000,
      1020,
      20,
      1,
      EFFECT_MASKED },
    { "up 18 is a heart", { { ADD, H, 1000, 1020, 18 } }, NULL, 0, 0, 0, 0, EFFECT_NOTED },
    { "up 40 within ten seconds is no jump of the strap",
      { { STEP_BY, H, 1000, 1010, 40 }, { ADD, H, 1010, 1030, 40 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "up 40 and not back within a minute",
      { { ADD, H, 1000, 1070, 40 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    /* cadence-lock */
    { "heart rate follows cadence for two minutes",
      { { AS_OTHER, H, 1000, 1120, 1 } },
      "cadence-lock",
      1000,
      1120,
      120,
      1,
      EFFECT_MASKED },
    { "through a short coast",
      { { AS_OTHER, H, 1000, 1130, 1 }, { SET, C, 1050, 1060, 0 }, { SET, P, 1050, 1060, 0 } },
      "cadence-lock",
      1000,
      1130,
      130,
      1,
      EFFECT_MASKED },
    { "follows cadence five beats above",
      { { AS_OTHER, H, 0, RIDE_S, 5 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "near cadence but not with it",
      { { WAVE, H, 0, RIDE_S, 88 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "a still cadence can't be told from a still heart",
      { { SET, C, 0, RIDE_S, 90 },
        { SET, H, 0, RIDE_S, 91 },
        { WAVE, P, 0, RIDE_S, 120 },
        { STEP_BY, P, 0, RIDE_S, 10 } },
      "trainer-held",
      -2,
      -2,
      (double)NAN,
      0,
      EFFECT_NOTED },
    /* gap */
    { "nothing written for a minute",
      { { UNWRITTEN, P, 1000, 1060, 0 } },
      "gap",
      1000,
      1060,
      60,
      1,
      EFFECT_MASKED },
    { "nothing written for twenty seconds",
      { { UNWRITTEN, P, 1000, 1020, 0 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    /* the ride as a whole */
    { "27.1 degrees",
      { { SET, CHANNEL_TEMPERATURE, 0, RIDE_S, 271 } },
      "hot",
      900,
      RIDE_S,
      (double)NAN,
      0,
      EFFECT_SPOILS },
    { "26.9 degrees",
      { { SET, CHANNEL_TEMPERATURE, 0, RIDE_S, 269 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "30 degrees in the house, then cool",
      { { SET, CHANNEL_TEMPERATURE, 0, 900, 300 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "warming by 5 to 25",
      { { STEP_BY, CHANNEL_TEMPERATURE, 900, RIDE_S, 55 } },
      "hot",
      900,
      RIDE_S,
      (double)NAN,
      0,
      EFFECT_SPOILS },
    { "warming by 3 to 23",
      { { STEP_BY, CHANNEL_TEMPERATURE, 900, RIDE_S, 33 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "half an hour at 1600 m",
      { { SET, CHANNEL_ALTITUDE, 1000, 2800, 16000 } },
      "high",
      1000,
      2800,
      1800,
      0,
      EFFECT_NOTED },
    { "half an hour at 1490 m",
      { { SET, CHANNEL_ALTITUDE, 1000, 2800, 14900 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    { "over a pass in ten minutes",
      { { SET, CHANNEL_ALTITUDE, 1000, 1600, 19000 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    /* balance */
    { "left leg only",
      { { SET, CHANNEL_BALANCE, 0, RIDE_S, 1000 } },
      "one-sided",
      -1,
      -1,
      (double)NAN,
      0,
      EFFECT_NOTED },
    { "five points over the hour",
      { { STEP_BY, CHANNEL_BALANCE, 0, RIDE_S, 50 } },
      "balance-drift",
      0,
      RIDE_S,
      (double)NAN,
      0,
      EFFECT_NOTED },
    { "three points over the hour",
      { { STEP_BY, CHANNEL_BALANCE, 0, RIDE_S, 30 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
    /* trainer-held */
    { "power within three watts for half the ride",
      { { WAVE, P, 900, 2700, 200 } },
      "trainer-held",
      900,
      2700,
      (double)NAN,
      0,
      EFFECT_NOTED },
    { "three minutes of it may be chance",
      { { WAVE, P, 900, 1075, 200 } },
      NULL,
      0,
      0,
      0,
      0,
      EFFECT_NOTED },
};

static void check_row(size_t i, const struct recording *recording)
{
    const char *name = rows[i].name;
    if (rows[i].code == NULL) {
        check_text(name, recording->n_findings == 0 ? NULL : recording->findings[0].code, NULL);
        return;
    }
    const struct finding *finding = find(recording, rows[i].code);
    check_text(name, finding == NULL ? NULL : finding->code, rows[i].code);
    if (finding == NULL || rows[i].from == -2) {
        return;
    }
    check_integer(name, finding->whole_ride, rows[i].from < 0);
    check_integer(name, finding->effect, rows[i].effect);
    if (rows[i].from >= 0) {
        /* findings about a state of things have edges on blocks of a minute */
        const double tolerance = rows[i].seconds > 0 ? 0.0 : 60.0;
        check_near(name, finding->span.from_s, rows[i].from, tolerance);
        check_near(name, finding->span.to_s, rows[i].to, tolerance);
    }
    if (!isnan(rows[i].seconds)) {
        check_near(name, number_of(finding, "seconds"), rows[i].seconds, 0.0);
    }
    if (rows[i].count > 0) {
        check_near(name, number_of(finding, "count"), rows[i].count, 0.0);
    }
}

static void test_trust__each_fault_on_both_sides_of_its_limit(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        check_row(i, checked(arena, rows[i].edits, EDITS));
        arena_close(arena);
    }
}

/* What is masked is exactly what the finding says, with its reason, and the value stays. */
static void test_trust__masks_say_why_and_keep_the_value(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        struct edit edit;
        enum channel channel;
        int32_t at;
        enum mask_reason reason;
    } cases[] = {
        { "spike", { SET, P, 1000, 1001, 3000 }, P, 1000, MASK_SPIKE },
        { "dropout", { SET, P, 1000, 1010, 0 }, P, 1005, MASK_DROPOUT },
        { "missing", { MISSING, P, 1000, 1010, 0 }, P, 1005, MASK_DROPOUT },
        { "stuck", { SET, P, 1000, 1030, 333 }, P, 1005, MASK_STUCK },
        { "jump", { ADD, H, 1000, 1020, 40 }, H, 1005, MASK_ARTEFACT },
        { "lock", { AS_OTHER, H, 1000, 1120, 0 }, H, 1060, MASK_ARTEFACT },
    };
    for (size_t i = 0; i < COUNT(cases); i++) {
        struct arena *arena = arena_open();
        const struct recording *recording = checked(arena, &cases[i].edit, 1);
        check_integer(cases[i].name, recording->mask[cases[i].channel][cases[i].at],
                      cases[i].reason);
        check_integer(cases[i].name, recording->mask[cases[i].channel][cases[i].edit.from - 1],
                      MASK_NONE);
        check_integer(cases[i].name, recording->mask[cases[i].channel][cases[i].edit.to],
                      MASK_NONE);
        check_integer(cases[i].name, recording->value[cases[i].channel][cases[i].at],
                      recording->samples.value[cases[i].channel][cases[i].at]);
        arena_close(arena);
    }
}

/* Twelve dropouts three minutes apart: one finding that counts them. */
static void test_trust__many_of_a_kind_are_told_as_one(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct edit edits[12] = { 0 };
    for (int32_t i = 0; i < 12; i++) {
        edits[i] = (struct edit){ MISSING, P, 100 + 200 * i, 110 + 200 * i, 0 };
    }
    const struct recording *eight = checked(arena, edits, 8);
    check_integer("eight", (int64_t)eight->n_findings, 8);
    const struct recording *twelve = checked(arena, edits, 12);
    check_integer("twelve", (int64_t)twelve->n_findings, 1);
    check_near("count", number_of(&twelve->findings[0], "count"), 12.0, 0.0);
    check_near("seconds", number_of(&twelve->findings[0], "seconds"), 120.0, 0.0);
    check_integer("from", twelve->findings[0].span.from_s, 100);
    check_integer("to", twelve->findings[0].span.to_s, 2310);
    arena_close(arena);
}

/* An hour under a trainer that holds 100 W to within 0.6 of the meter's steps (one sd), which shows
 * the mean of three seconds: six in ten seconds repeat the one before them. */
static struct samples held_ride(struct arena *arena, int32_t step_w)
{
    struct samples samples = honest_ride(arena);
    uint32_t state = 11;
    int32_t last[3] = { 0 }; /* thousandths of a step */
    for (int32_t t = 0; t < RIDE_S; t++) {
        last[t % 3] = (int32_t)(next(&state) % 2079) - 1039;
        const double mean = (double)(last[0] + last[1] + last[2]) / 3000.0;
        samples.value[P][t] = 100 + step_w * (int32_t)lround(mean);
    }
    return samples;
}

static void test_trust__what_a_trainer_holds_is_not_stuck(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int32_t step_w;
        int32_t from; /* stuck from .. to; 0 = not */
        int32_t to;
        bool is_found;
    } cases[] = {
        { "steps of 1 W", 1, 0, 0, false },
        { "steps of 5 W", 5, 0, 0, false },
        { "steps of 1 W, stuck for three minutes", 1, 1000, 1180, true },
        { "steps of 5 W, stuck for three minutes", 5, 1000, 1180, true },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(cases); i++) {
        struct arena *arena = arena_open();
        struct recording recording = { .is_ride = true,
                                       .samples = held_ride(arena, cases[i].step_w) };
        for (int32_t t = cases[i].from; t < cases[i].to; t++) {
            recording.samples.value[P][t] = 100;
        }
        grid_fill(arena, &recording, &limits);
        trust_check(arena, &recording, &limits);
        check_integer(cases[i].name, find(&recording, "power-stuck") != NULL, cases[i].is_found);
        arena_close(arena);
    }
}

/* Two faults in one ride don't excuse one another. */
static void test_trust__a_stuck_meter_is_no_excuse_for_another_time(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    static const struct edit edits[] = { { SET, P, 600, 780, 210 },
                                         { SET, P, 1500, 1520, 190 },
                                         { SET, P, 2400, 2580, 205 } };
    const struct recording *recording = checked(arena, edits, COUNT(edits));
    check_integer("findings", (int64_t)recording->n_findings, 3);
    check_integer("the short one", recording->mask[P][1510], MASK_STUCK);
    arena_close(arena);
}

/* A record missing beside a spike is bridged from it: the bridge goes with the spike. */
static void test_trust__a_bridge_to_a_spike_is_masked_too(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    static const struct edit edits[] = { { SET, P, 1000, 1001, 5000 },
                                         { MISSING, P, 1001, 1003, 0 } };
    const struct recording *recording = checked(arena, edits, 2);
    check_integer("bridge", recording->mask[P][1001], MASK_SPIKE);
    check_integer("after", recording->mask[P][1003], MASK_NONE);
    arena_close(arena);
}

/* Recording every 1 to 7 s: missing seconds are no fault of a sensor, and equal values at both
 * ends of a bridge are not a stuck meter. */
static void test_trust__irregular_recording_is_no_fault(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct recording recording = { .is_ride = true, .samples = honest_ride(arena) };
    uint32_t seed = 3;
    int32_t keep = 0;
    for (int32_t t = 0; t < RIDE_S; t++) {
        recording.samples.dropped[t] = t != keep;
        if (t == keep) {
            keep += 1 + (int32_t)(next(&seed) % 7);
            recording.samples.value[P][t] = recording.samples.value[P][t] / 20 * 20;
        }
    }
    recording.samples.dropped[RIDE_S - 1] = 0;
    const struct limits limits = limits_default();
    grid_fill(arena, &recording, &limits);
    trust_check(arena, &recording, &limits);
    check_text("finding", recording.n_findings == 0 ? NULL : recording.findings[0].code, NULL);
    arena_close(arena);
}

/* 200 W +- for an hour is 720 kJ; 850 cm/s make 30.6 km. */
static void test_trust__the_devices_summary_is_compared(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double timer_s;
        double work_kj;
        double distance_m;
        double mean_w;
        const char *detail;
    } cases[] = {
        { "all as ridden", 3600, 720, 30600, 200, NULL },
        { "timer 3 % off", 3710, 720, 30600, 200, "time" },
        { "work 3 % off", 3600, 742, 30600, 200, "work" },
        { "distance 3 % off", 3600, 720, 29700, 200, "distance" },
        { "mean 3 % off", 3600, 720, 30600, 206, "mean power" },
        { "mean 1.5 % off", 3600, 720, 30600, 203, NULL },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(cases); i++) {
        struct arena *arena = arena_open();
        struct recording recording = {
            .is_ride = true,
            .samples = honest_ride(arena),
            .device_timer_s = cases[i].timer_s,
            .device_work_kj = cases[i].work_kj,
            .device_distance_m = cases[i].distance_m,
            .device_mean_power_w = cases[i].mean_w,
        };
        grid_fill(arena, &recording, &limits);
        trust_check(arena, &recording, &limits);
        const struct finding *finding = find(&recording, "summary-differs");
        check_text(cases[i].name, finding == NULL ? NULL : finding->detail, cases[i].detail);
        check_integer(cases[i].name, (int64_t)recording.n_findings, cases[i].detail != NULL);
        arena_close(arena);
    }
}

/* A run isn't judged as a ride: its power and cadence mean other things. */
static void test_trust__other_sports_are_not_judged_by_power(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct recording recording = { .sport = SPORT_RUNNING, .samples = honest_ride(arena) };
    static const struct edit edit = { SET, P, 1000, 1040, 333 };
    apply(&recording.samples, &edit);
    const struct limits limits = limits_default();
    grid_fill(arena, &recording, &limits);
    trust_check(arena, &recording, &limits);
    check_integer("findings", (int64_t)recording.n_findings, 0);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_trust__an_honest_ride_has_no_finding),
        cmocka_unit_test(test_trust__each_fault_on_both_sides_of_its_limit),
        cmocka_unit_test(test_trust__masks_say_why_and_keep_the_value),
        cmocka_unit_test(test_trust__many_of_a_kind_are_told_as_one),
        cmocka_unit_test(test_trust__what_a_trainer_holds_is_not_stuck),
        cmocka_unit_test(test_trust__a_stuck_meter_is_no_excuse_for_another_time),
        cmocka_unit_test(test_trust__a_bridge_to_a_spike_is_masked_too),
        cmocka_unit_test(test_trust__irregular_recording_is_no_fault),
        cmocka_unit_test(test_trust__the_devices_summary_is_compared),
        cmocka_unit_test(test_trust__other_sports_are_not_judged_by_power),
    };
    return cmocka_run_group_tests_name("trust", tests, NULL, NULL);
}
