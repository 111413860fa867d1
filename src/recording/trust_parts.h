/* recording/trust_parts.h: the checks of trust, one subject a file; only trust.c calls them.
 *
 * Each check walks the grid once or a few times, masks what can't be used, and gathers what it
 * found in a struct trust_run, so that ten drops of a sensor within a few minutes are one finding
 * with a count. */
#ifndef RECORDING_TRUST_PARTS_H
#define RECORDING_TRUST_PARTS_H

#include "recording/recording.h"

/* One fault, or several that lie near each other. */
struct trust_fault {
    struct span span;
    double seconds; /* touched, without what lies between */
    double extreme; /* the largest of those given */
    int32_t count;
};

/* Faults of one kind, in time order, merged where they lie near each other; if a ride still has
 * more than LIMIT_TRUST_MOST of them, they become one finding from the first to the last.
 * A finding's numbers: "seconds", "count", and the extreme under its own name. */
struct trust_run {
    struct arena *arena;
    struct recording *recording;
    const struct limits *limits;
    const char *code;
    int channel;
    enum finding_effect effect;
    const char *extreme_name; /* "max_w"; NULL = none kept */
    struct trust_fault *faults;
    size_t n_faults;
    size_t capacity;
};

struct trust_run trust_run_begin(struct arena *arena, struct recording *recording, const char *code,
                                 enum channel channel, enum finding_effect effect,
                                 const char *extreme_name, const struct limits *limits);
void trust_run_add(struct trust_run *run, struct span span, double extreme);
void trust_run_end(struct trust_run *run);

/* Masks the usable seconds of the span with the reason, in one channel. */
void trust_mask(struct recording *recording, enum channel channel, struct span span,
                enum mask_reason reason);

/* Whether the device wrote this very second of the channel (not bridged, not masked). */
bool trust_is_real(const struct recording *recording, enum channel channel, size_t second);
bool trust_is_usable(const struct recording *recording, enum channel channel, size_t second);

/* What a second is to the device's records. */
enum trust_recorded {
    TRUST_UNRECORDED, /* in a gap between records */
    TRUST_OWN,        /* a record was written for it */
    TRUST_AFTER,      /* shortly after a record, in irregular recording */
};

/* Seconds whose record lacks this channel: masked MASK_DROPOUT, one finding of the code for a run.
 *   recorded  [n_seconds] enum trust_recorded */
void trust_missing(struct arena *arena, struct recording *recording, enum channel channel,
                   const char *code, const uint8_t recorded[], const struct limits *limits);

/* trust_power.c: power-spike, power-dropout (0 W while the legs turn). */
void trust_power_spikes(struct arena *arena, struct recording *recording,
                        const struct limits *limits);
void trust_power_dropouts(struct arena *arena, struct recording *recording,
                          const struct limits *limits);

/* trust_stuck.c: power-stuck. */
void trust_power_stuck(struct arena *arena, struct recording *recording,
                       const struct limits *limits);

/* trust_trainer.c: trainer-held, one-sided, balance-drift: how the power came about. */
void trust_trainer_held(struct arena *arena, struct recording *recording,
                        const struct limits *limits);
void trust_balance(struct arena *arena, struct recording *recording, const struct limits *limits);

/* trust_heart.c: heart-low, heart-flat, heart-jump, cadence-lock. */
void trust_heart_low(struct arena *arena, struct recording *recording, const struct limits *limits);
void trust_heart_flat(struct arena *arena, struct recording *recording,
                      const struct limits *limits);
void trust_heart_jump(struct arena *arena, struct recording *recording,
                      const struct limits *limits);
void trust_cadence_lock(struct arena *arena, struct recording *recording,
                        const struct limits *limits);

/* trust_ride.c: gap, sparse, summary-differs, hot, high: about the ride as a whole. */
void trust_gaps(struct arena *arena, struct recording *recording, const uint8_t recorded[],
                const struct limits *limits);
void trust_summary(struct arena *arena, struct recording *recording, const struct limits *limits);
void trust_hot(struct arena *arena, struct recording *recording, const struct limits *limits);
void trust_high(struct arena *arena, struct recording *recording, const struct limits *limits);

#endif
