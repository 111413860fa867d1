/* honesty/trust_trial.c: one ride with a known fault, or with none. */
#include "honesty/trust_trial.h"

#include "recording/grid.h"
#include "recording/trust.h"

#include <math.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

const char *trust_code(size_t i)
{
    static const char *const codes[TRUST_CODES] = {
        "power-spike", "power-dropout", "power-stuck",     "gap",       "trainer-held",
        "one-sided",   "balance-drift", "heart-dropout",   "heart-low", "heart-flat",
        "heart-jump",  "cadence-lock",  "heart-above-max", "clock",     "summary-differs",
        "hot",         "high",          "sport-assumed",   "other",
    };
    return codes[i];
}

static size_t row_of(const char *code)
{
    size_t i = 0;
    while (i + 1 < TRUST_CODES && strcmp(trust_code(i), code) != 0) {
        i++;
    }
    return i;
}

static void note(const char *code, struct span span, struct trust_outcome *out)
{
    const size_t row = row_of(code);
    if (out->findings[row]++ == 0) {
        out->first[row] = span;
    }
}

void trust_count(const struct recording *recording, const struct ride_readings *readings,
                 struct trust_outcome *out)
{
    for (size_t i = 0; i < recording->n_findings; i++) {
        note(recording->findings[i].code, recording->findings[i].span, out);
    }
    /* Heart rate above maximal needs the rider's facts: a reason of the reading. */
    for (size_t i = 0; i < readings->count; i++) {
        const struct reading *reading = &readings->items[i];
        if (reading->question == QUESTION_TRUST &&
            causes_find(&reading->because, "heart-above-max") != NULL) {
            note("heart-above-max", (struct span){ 0, 0 }, out);
        }
    }
}

static bool is_found(const struct recording *recording, const char *code, struct span touched)
{
    for (size_t i = 0; i < recording->n_findings; i++) {
        const struct finding *finding = &recording->findings[i];
        if (strcmp(finding->code, code) == 0 &&
            (finding->whole_ride ||
             (finding->span.from_s < touched.to_s && finding->span.to_s > touched.from_s))) {
            return true;
        }
    }
    return false;
}

struct trust_case trust_case_of(int fault, double size, uint64_t seed)
{
    static const enum simulated_session any[] = { SIMULATED_VO2MAX_DONE, SIMULATED_BASE_HOUR,
                                                  SIMULATED_THRESHOLD_2X20, SIMULATED_OVER_UNDERS,
                                                  SIMULATED_SHORT_40_20 };
    static const enum simulated_session with_reps[] = { SIMULATED_VO2MAX_DONE,
                                                        SIMULATED_VO2MAX_FADED,
                                                        SIMULATED_THRESHOLD_2X20 };
    struct trust_case c = {
        .seed = seed,
        .fault = fault,
        .size = size,
        .session = any[seed % COUNT(any)],
        .place = seed % 2 == 1 ? REPS_AS_DRAWN_OUTDOORS : REPS_AS_DRAWN_INDOORS,
    };
    if (fault == SIMULATED_FAULT_TRAINER_HELD) {
        c.session = with_reps[seed % COUNT(with_reps)];
        c.place = REPS_AS_DRAWN_INDOORS;
    } else if (fault == SIMULATED_FAULT_BALANCE_DRIFT) {
        c.session = SIMULATED_BASE_HOUR;
    }
    return c;
}

static struct rider_facts facts_of(const struct simulated_rider *rider)
{
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = rider->threshold_w;
    facts.threshold_known_by = "given";
    facts.max_heart_rate_bpm = rider->max_heart_rate_bpm;
    return facts;
}

struct trust_outcome trust_trial(const struct trust_case *c, const struct limits *limits)
{
    struct arena *arena = arena_open();
    const struct simulated_rider rider = simulated_rider_draw(c->seed);
    struct simulated_plan plan =
        simulated_plan_make(arena, &rider, c->session, reps_place_is_outdoors(c->place), c->seed);
    reps_place_choose(&plan, c->place, c->seed);
    struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    struct trust_outcome out = { 0 };
    if (c->fault >= 0) {
        out.touched = simulated_fault_add_sized(arena, &ride, (enum simulated_fault)c->fault,
                                                c->size, c->seed);
        out.put = out.touched.to_s > out.touched.from_s;
    }
    const struct recording *recording = simulated_recording(arena, &ride, &plan, limits);
    const struct rider_facts facts = facts_of(&rider);
    struct ride_readings readings = { 0 };
    struct error err = { 0 };
    out.hours = (double)recording->timer_s / 3600.0;
    if (reading_make(arena, recording, &facts, limits, &readings, &err)) {
        trust_count(recording, &readings, &out);
    }
    if (out.put) {
        const char *code = simulated_fault_name((enum simulated_fault)c->fault);
        out.found = c->fault == SIMULATED_FAULT_HEART_ABOVE_MAX
                        ? out.findings[row_of(code)] > 0
                        : is_found(recording, code, out.touched);
    }
    arena_close(arena);
    return out;
}

/* ---- in rides that somebody rode ---- */

static struct samples copy_samples(struct arena *arena, const struct samples *samples)
{
    struct samples copy = *samples;
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        if (samples->value[c] != NULL) {
            copy.value[c] = arena_copy(arena, samples->value[c], samples->count * sizeof(int32_t));
        }
    }
    return copy;
}

static bool is_recorded_around(const struct recording *real, struct span touched)
{
    for (int32_t t = touched.from_s - 3; t < touched.to_s + 3; t++) {
        const bool beside = t < touched.from_s || t >= touched.to_s;
        if (beside && (t < 0 || (size_t)t >= real->n_seconds ||
                       real->value[CHANNEL_POWER][t] == RECORDING_MISSING)) {
            return false;
        }
    }
    return true;
}

struct trust_outcome trust_trial_in_real(const struct recording *real, enum simulated_fault fault,
                                         uint64_t seed, const struct limits *limits)
{
    struct arena *arena = arena_open();
    struct simulated_ride ride = { .samples = copy_samples(arena, &real->samples) };
    struct trust_outcome out = { .hours = (double)real->timer_s / 3600.0 };
    out.touched = simulated_fault_add(arena, &ride, fault, seed);
    out.put = out.touched.to_s > out.touched.from_s && is_recorded_around(real, out.touched);
    if (out.put) {
        struct recording recording = *real;
        recording.samples = ride.samples;
        recording.findings = NULL;
        recording.n_findings = 0;
        recording.findings_capacity = 0;
        grid_fill(arena, &recording, limits);
        trust_check(arena, &recording, limits);
        out.found = is_found(&recording, simulated_fault_name(fault), out.touched);
    }
    arena_close(arena);
    return out;
}
