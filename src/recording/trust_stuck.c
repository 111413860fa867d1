/* recording/trust_stuck.c: one value of power for long: is it stuck, or does a trainer hold it?
 *
 *   W  |  .'.' '_______.'. '      stuck: what lies beside it moves by many of the meter's steps
 *      |  --__-----------_-       held: it moves by one step or none, and may stand still by chance
 *
 * A meter of coarse steps, averaged, under a trainer's hand writes one value for a quarter of a
 * minute, and nothing is wrong.  So a run is a fault only where it is no chance, by either way of
 * reckoning:
 *   - what changes beside it changes mostly by more than one of the meter's steps, and runs as long
 *     aren't to be expected of seconds that repeat the one before them as often as those do;
 *   - it is too long for the runs of one value that the rest of the ride holds: their length beyond
 *     half the least is exponential (excesses over a high line: Pickands 1975, Ann Stat 3:119, from
 *     memory).
 * A meter that sticks under a trainer that holds the power is seen by the second way alone, late,
 * and then little is lost: the true watts lay within a step or two.  Sooner where the meter tells
 * left from right: what it repeats, it repeats with its balance, and a sound one's balance hardly
 * stands still so long as well.  Cadence and speed come from elsewhere and say nothing. */
#include "recording/trust_parts.h"

#include <math.h>
#include <stdlib.h>

/* Whether the channel holds two different values inside the span. */
static bool moves(const struct recording *recording, enum channel channel, struct span span)
{
    if (recording->value[channel] == NULL) {
        return false;
    }
    int32_t first = RECORDING_MISSING;
    for (int32_t s = span.from_s; s < span.to_s; s++) {
        if (!trust_is_real(recording, channel, (size_t)s)) {
            continue;
        }
        const int32_t value = recording->value[channel][s];
        if (first == RECORDING_MISSING) {
            first = value;
        } else if (value != first) {
            return true;
        }
    }
    return false;
}

/* The run of one non-zero value that begins at t; *n_real counts the seconds that the device wrote
 * (a bridge between two equal values is equal too, and proves nothing). */
static struct span one_value(const struct recording *recording, int32_t t, int32_t *n_real)
{
    const int32_t n = (int32_t)recording->n_seconds;
    const int32_t *power = recording->value[CHANNEL_POWER];
    struct span run = { t, t };
    *n_real = 0;
    while (run.to_s < n && trust_is_usable(recording, CHANNEL_POWER, (size_t)run.to_s) &&
           power[run.to_s] == power[t]) {
        *n_real += trust_is_real(recording, CHANNEL_POWER, (size_t)run.to_s);
        run.to_s++;
    }
    return run;
}

/* ---- what the meter does where it isn't stuck ---- */

struct changes {
    int32_t pairs;   /* real seconds of pedalling, each with the one before it */
    int32_t changed; /* of them */
    int32_t far;     /* of these, by more than one step */
};

/* Over seconds [from, to) but those of the runs; *least_w is drawn down to the least change. */
static struct changes changes_in(const struct recording *recording, const uint8_t in_run[],
                                 int32_t from, int32_t to, int32_t step_w, int32_t *least_w)
{
    const int32_t *power = recording->value[CHANNEL_POWER];
    struct changes out = { 0 };
    int32_t before = 0;
    for (int32_t t = from; t < to; t++) {
        if (in_run[t] || !trust_is_usable(recording, CHANNEL_POWER, (size_t)t) || power[t] == 0) {
            before = 0;
        } else if (trust_is_real(recording, CHANNEL_POWER, (size_t)t)) {
            const int32_t change = abs(power[t] - before);
            if (before > 0) {
                out.pairs++;
                out.changed += change > 0;
                out.far += change > step_w;
                *least_w = change > 0 && change < *least_w ? change : *least_w;
            }
            before = power[t];
        }
    }
    return out;
}

static bool is_mostly_far(const struct changes *changes)
{
    return 2 * changes->far > changes->changed;
}

struct meter {
    const uint8_t *in_run; /* [n_seconds] */
    int32_t step_w;
    struct changes ride;
    int32_t long_s;         /* runs of one value that last so long, those looked at among them: */
    double n_long;          /* how many */
    double past_s;          /* and their seconds past it, in sum */
    double balance_repeats; /* share of seconds whose balance is the one before; 1 = none told */
};

static void add_long_runs(const struct recording *recording, struct meter *meter)
{
    for (int32_t t = 0; t < (int32_t)recording->n_seconds;) {
        if (!trust_is_real(recording, CHANNEL_POWER, (size_t)t) ||
            recording->value[CHANNEL_POWER][t] == 0) {
            t++;
            continue;
        }
        int32_t n_real = 0;
        t = one_value(recording, t, &n_real).to_s;
        if (n_real >= meter->long_s) {
            meter->n_long += 1.0;
            meter->past_s += (double)(n_real - meter->long_s);
        }
    }
}

/* Outside the runs. */
static double balance_repeats(const struct recording *recording, const uint8_t in_run[])
{
    double pairs = 0.0;
    double same = 0.0;
    const int32_t *balance = recording->value[CHANNEL_BALANCE];
    for (size_t t = 1; balance != NULL && t < recording->n_seconds; t++) {
        if (!in_run[t] && !in_run[t - 1] && trust_is_real(recording, CHANNEL_BALANCE, t - 1) &&
            trust_is_real(recording, CHANNEL_BALANCE, t)) {
            pairs += 1.0;
            same += balance[t] == balance[t - 1];
        }
    }
    return pairs > 0.0 ? same / pairs : 1.0;
}

static struct meter meter_of(struct arena *arena, const struct recording *recording,
                             const struct span runs[], size_t n_runs, const struct limits *limits)
{
    const int32_t n = (int32_t)recording->n_seconds;
    uint8_t *in_run = ARENA_ARRAY(arena, uint8_t, recording->n_seconds + 1);
    struct meter meter = { .in_run = in_run,
                           .step_w = (int32_t)limits->value[LIMIT_STUCK_STEP_W],
                           .long_s = (int32_t)limits->value[LIMIT_STUCK_LEAST_S] / 2 };
    for (size_t i = 0; i < n_runs; i++) {
        for (int32_t t = runs[i].from_s; t < runs[i].to_s; t++) {
            in_run[t] = 1;
        }
    }
    int32_t unused = INT32_MAX;
    (void)changes_in(recording, in_run, 0, n, 0, &meter.step_w);
    meter.ride = changes_in(recording, in_run, 0, n, meter.step_w, &unused);
    add_long_runs(recording, &meter);
    meter.balance_repeats = balance_repeats(recording, in_run);
    return meter;
}

/* Runs as long that the whole ride would hold by chance, from what lies beside this one. */
static double expected_beside(const struct recording *recording, const struct meter *meter,
                              struct span run, int32_t n_real, const struct limits *limits)
{
    const int32_t near_s = (int32_t)limits->value[LIMIT_STUCK_BESIDE_S];
    const int32_t n = (int32_t)recording->n_seconds;
    int32_t unused = INT32_MAX;
    struct changes beside =
        changes_in(recording, meter->in_run, run.from_s > near_s ? run.from_s - near_s : 0,
                   run.to_s < n - near_s ? run.to_s + near_s : n, meter->step_w, &unused);
    if ((double)beside.changed < limits->value[LIMIT_STUCK_CHANGES]) {
        beside = meter->ride; /* too little beside it to tell */
    }
    if (beside.changed == 0 || !is_mostly_far(&beside)) {
        return (double)INFINITY;
    }
    const double repeats = 1.0 - (double)beside.changed / (double)beside.pairs;
    return (double)meter->ride.pairs * pow(repeats, (double)(n_real - 1));
}

/* The same from the other long runs of the ride; without any, their mean is taken as a second. */
static double expected_as_others(const struct meter *meter, int32_t n_real)
{
    const double past_s = (double)(n_real - meter->long_s);
    const double others = meter->n_long - 1.0;
    const double mean_s = (meter->past_s - past_s + 1.0) / (others + 1.0);
    return others * exp(-past_s / mean_s);
}

/* How often a run of this length has one balance too, where this one has; else 1. */
static double balance_by_chance(const struct recording *recording, const struct meter *meter,
                                struct span run)
{
    const int32_t *balance = recording->value[CHANNEL_BALANCE];
    double n = 0.0;
    for (int32_t t = run.from_s; balance != NULL && t < run.to_s; t++) {
        if (!trust_is_real(recording, CHANNEL_BALANCE, (size_t)t) ||
            balance[t] != balance[run.from_s]) {
            return 1.0;
        }
        n += 1.0;
    }
    return n > 0.0 ? pow(meter->balance_repeats, n - 1.0) : 1.0;
}

static bool is_no_chance(const struct recording *recording, const struct meter *meter,
                         struct span run, int32_t n_real, const struct limits *limits)
{
    /* Runs of one value as long: never more by chance than the ride holds. */
    const double by_power = fmin(fmin(expected_as_others(meter, n_real),
                                      expected_beside(recording, meter, run, n_real, limits)),
                                 meter->n_long);
    return by_power * balance_by_chance(recording, meter, run) <
           limits->value[LIMIT_STUCK_BY_CHANCE];
}

/* ---- the whole ride ---- */

/* Seconds with power above 0. */
static int32_t count_pedalling(const struct recording *recording)
{
    int32_t pedalling_s = 0;
    for (size_t t = 0; t < recording->n_seconds; t++) {
        pedalling_s +=
            trust_is_usable(recording, CHANNEL_POWER, t) && recording->value[CHANNEL_POWER][t] > 0;
    }
    return pedalling_s;
}

/* Most of the ride is runs of one value: the file holds what the trainer was asked for.  Then what
 * lies between the runs is no measurement either. */
static void add_whole_ride_stuck(struct arena *arena, struct recording *recording, double stuck_s,
                                 double pedalling_s)
{
    trust_mask(recording, CHANNEL_POWER, (struct span){ 0, (int32_t)recording->n_seconds },
               MASK_STUCK);
    struct finding *finding =
        recording_add_finding(arena, recording, "power-stuck", CHANNEL_POWER, EFFECT_SPOILS);
    finding_add_number(finding, "seconds", stuck_s);
    finding_add_number(finding, "share_pct", 100.0 * stuck_s / pedalling_s);
}

/* Where what changes between the runs is one step of the meter, a trainer holds the power well; a
 * target moves by more. */
static bool is_target(const struct recording *recording, const struct limits *limits)
{
    int32_t step_w = (int32_t)limits->value[LIMIT_STUCK_STEP_W];
    int32_t unused = INT32_MAX;
    struct arena *scratch = arena_open();
    const int32_t n = (int32_t)recording->n_seconds;
    const uint8_t *none = ARENA_ARRAY(scratch, uint8_t, recording->n_seconds + 1);
    (void)changes_in(recording, none, 0, n, 0, &step_w);
    const struct changes changes = changes_in(recording, none, 0, n, step_w, &unused);
    arena_close(scratch);
    return changes.changed == 0 || is_mostly_far(&changes);
}

struct runs {
    struct span *spans;
    int32_t *n_real;
    size_t n;
    double seconds;
};

/* Runs of one value that are long enough, while cadence or heart rate move. */
static struct runs find_runs(struct arena *arena, const struct recording *recording,
                             int32_t least_s)
{
    const int32_t n = (int32_t)recording->n_seconds;
    const int32_t *power = recording->value[CHANNEL_POWER];
    struct runs runs = { 0 };
    size_t spans_room = 0;
    size_t real_room = 0;
    for (int32_t t = 0; t < n;) {
        if (!trust_is_real(recording, CHANNEL_POWER, (size_t)t) || power[t] == 0) {
            t++;
            continue;
        }
        int32_t n_real = 0;
        const struct span run = one_value(recording, t, &n_real);
        if (n_real >= least_s &&
            (moves(recording, CHANNEL_CADENCE, run) || moves(recording, CHANNEL_HEART_RATE, run))) {
            runs.spans = arena_grow(arena, runs.spans, runs.n, &spans_room, sizeof runs.spans[0]);
            runs.n_real = arena_grow(arena, runs.n_real, runs.n, &real_room, sizeof runs.n_real[0]);
            runs.spans[runs.n] = run;
            runs.n_real[runs.n++] = n_real;
            runs.seconds += (double)(run.to_s - run.from_s);
        }
        t = run.to_s;
    }
    return runs;
}

void trust_power_stuck(struct arena *arena, struct recording *recording,
                       const struct limits *limits)
{
    const struct runs runs =
        find_runs(arena, recording, (int32_t)limits->value[LIMIT_STUCK_LEAST_S]);
    if (runs.n == 0) {
        return;
    }
    const double pedalling_s = (double)count_pedalling(recording);
    if (runs.seconds >= limits->value[LIMIT_STUCK_WHOLE_RATIO] * pedalling_s &&
        is_target(recording, limits)) {
        add_whole_ride_stuck(arena, recording, runs.seconds, pedalling_s);
        return;
    }
    struct arena *scratch = arena_open();
    const struct meter meter = meter_of(scratch, recording, runs.spans, runs.n, limits);
    struct trust_run found = trust_run_begin(arena, recording, "power-stuck", CHANNEL_POWER,
                                             EFFECT_MASKED, "at_w", limits);
    for (size_t i = 0; i < runs.n; i++) {
        if (is_no_chance(recording, &meter, runs.spans[i], runs.n_real[i], limits)) {
            trust_run_add(&found, runs.spans[i],
                          (double)recording->value[CHANNEL_POWER][runs.spans[i].from_s]);
            trust_mask(recording, CHANNEL_POWER, runs.spans[i], MASK_STUCK);
        }
    }
    trust_run_end(&found);
    arena_close(scratch);
}
