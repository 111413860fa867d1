/* recording/trust.c: stage 1 of trust, in the order in which one check needs another's masks. */
#include "recording/trust.h"

#include "recording/trust_parts.h"

#include <math.h>

struct trust_run trust_run_begin(struct arena *arena, struct recording *recording, const char *code,
                                 enum channel channel, enum finding_effect effect,
                                 const char *extreme_name, const struct limits *limits)
{
    return (struct trust_run){
        .arena = arena,
        .recording = recording,
        .limits = limits,
        .code = code,
        .channel = (int)channel,
        .effect = effect,
        .extreme_name = extreme_name,
    };
}

static void take_in(struct trust_fault *fault, const struct trust_fault *other)
{
    fault->span.to_s = other->span.to_s;
    fault->seconds += other->seconds;
    fault->extreme = fmax(fault->extreme, other->extreme);
    fault->count += other->count;
}

void trust_run_add(struct trust_run *run, struct span span, double extreme)
{
    const struct trust_fault fault = {
        .span = span, .seconds = (double)(span.to_s - span.from_s), .extreme = extreme, .count = 1
    };
    struct trust_fault *last = run->n_faults > 0 ? &run->faults[run->n_faults - 1] : NULL;
    if (last != NULL &&
        (double)(span.from_s - last->span.to_s) <= run->limits->value[LIMIT_TRUST_MERGE_S]) {
        take_in(last, &fault);
        return;
    }
    run->faults =
        arena_grow(run->arena, run->faults, run->n_faults, &run->capacity, sizeof run->faults[0]);
    run->faults[run->n_faults++] = fault;
}

void trust_run_end(struct trust_run *run)
{
    if (run->faults == NULL) {
        return;
    }
    if ((double)run->n_faults > run->limits->value[LIMIT_TRUST_MOST]) {
        for (size_t i = 1; i < run->n_faults; i++) {
            take_in(&run->faults[0], &run->faults[i]);
        }
        run->n_faults = 1;
    }
    for (size_t i = 0; i < run->n_faults; i++) {
        const struct trust_fault *fault = &run->faults[i];
        struct finding *finding =
            recording_add_finding(run->arena, run->recording, run->code, run->channel, run->effect);
        finding->whole_ride = false;
        finding->span = fault->span;
        finding_add_number(finding, "seconds", fault->seconds);
        finding_add_number(finding, "count", (double)fault->count);
        if (run->extreme_name != NULL) {
            finding_add_number(finding, run->extreme_name, fault->extreme);
        }
    }
}

bool trust_is_real(const struct recording *recording, enum channel channel, size_t second)
{
    return recording->mask[channel][second] == MASK_NONE;
}

bool trust_is_usable(const struct recording *recording, enum channel channel, size_t second)
{
    return mask_is_usable(recording->mask[channel][second]);
}

void trust_mask(struct recording *recording, enum channel channel, struct span span,
                enum mask_reason reason)
{
    uint8_t *mask = recording->mask[channel];
    for (int32_t t = span.from_s; t < span.to_s; t++) {
        if (mask_is_usable(mask[t])) {
            mask[t] = (uint8_t)reason;
        }
    }
}

/* Marks the seconds that belong to a record: its own with TRUST_OWN, and those up to the next
 * record with TRUST_AFTER if that comes soon enough to be the same recording rather than a gap in
 * it. */
static uint8_t *find_recorded(struct arena *arena, const struct recording *recording,
                              const struct limits *limits)
{
    const size_t n = recording->n_seconds;
    const struct samples *samples = &recording->samples;
    uint8_t *recorded = ARENA_ARRAY(arena, uint8_t, n);
    for (size_t i = 0; i < samples->count; i++) {
        const int32_t t = samples->time_s[i];
        const bool kept = samples->dropped == NULL || samples->dropped[i] == 0;
        if (kept && t >= 0 && (size_t)t < n) {
            recorded[t] = TRUST_OWN;
        }
    }
    const size_t longest = (size_t)limits->value[LIMIT_PAUSE_GAP_S];
    size_t last = 0;
    for (size_t t = 0; t < n; t++) {
        if (recorded[t] == TRUST_UNRECORDED) {
            continue;
        }
        if (t - last <= longest) {
            for (size_t s = last + 1; s < t; s++) {
                recorded[s] = TRUST_AFTER;
            }
        }
        last = t;
    }
    return recorded;
}

/* Turns MASK_ABSENT to MASK_DROPOUT where the record that a second belongs to lacks the channel:
 * the device was awake and the sensor wasn't heard. */
static void mark_missing(const struct recording *recording, enum channel channel,
                         const uint8_t recorded[])
{
    uint8_t *mask = recording->mask[channel];
    bool lacking = false;
    for (size_t t = 0; t < recording->n_seconds; t++) {
        if (recorded[t] != TRUST_AFTER) {
            lacking = recorded[t] == TRUST_OWN && mask[t] == MASK_ABSENT;
        }
        if (lacking && mask[t] == MASK_ABSENT) {
            mask[t] = MASK_DROPOUT;
        }
    }
}

void trust_missing(struct arena *arena, struct recording *recording, enum channel channel,
                   const char *code, const uint8_t recorded[], const struct limits *limits)
{
    mark_missing(recording, channel, recorded);
    const int32_t n = (int32_t)recording->n_seconds;
    const int32_t least_s = (int32_t)limits->value[LIMIT_DROPOUT_LEAST_S];
    const uint8_t *mask = recording->mask[channel];
    struct trust_run run =
        trust_run_begin(arena, recording, code, channel, EFFECT_MASKED, NULL, limits);
    for (int32_t t = 0; t < n;) {
        const int32_t from = t;
        while (t < n && mask[t] == MASK_DROPOUT) {
            t++;
        }
        if (t - from >= least_s) {
            trust_run_add(&run, (struct span){ from, t }, 0.0);
        }
        t += t == from;
    }
    trust_run_end(&run);
}

void trust_check(struct arena *arena, struct recording *recording, const struct limits *limits)
{
    if (recording->n_seconds == 0) {
        return;
    }
    const uint8_t *recorded = find_recorded(arena, recording, limits);
    trust_gaps(arena, recording, recorded, limits);
    /* Spikes first: the means of every later check leave them out. */
    if (recording->is_ride && recording->value[CHANNEL_POWER] != NULL) {
        trust_power_spikes(arena, recording, limits);
        trust_missing(arena, recording, CHANNEL_POWER, "power-dropout", recorded, limits);
        trust_power_dropouts(arena, recording, limits);
        trust_power_stuck(arena, recording, limits);
        trust_trainer_held(arena, recording, limits);
        trust_balance(arena, recording, limits);
    }
    if (recording->value[CHANNEL_HEART_RATE] != NULL) {
        trust_missing(arena, recording, CHANNEL_HEART_RATE, "heart-dropout", recorded, limits);
        /* The lock before jump and flat: where heart rate is cadence, the rest follows from it. */
        if (recording->is_ride) {
            trust_cadence_lock(arena, recording, limits);
            trust_heart_low(arena, recording, limits);
        }
        trust_heart_jump(arena, recording, limits);
        trust_heart_flat(arena, recording, limits);
    }
    trust_summary(arena, recording, limits);
    if (recording->is_ride) {
        trust_hot(arena, recording, limits);
        trust_high(arena, recording, limits);
    }
}
