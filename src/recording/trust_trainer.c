/* recording/trust_trainer.c: how the power came about: a trainer that holds it, one leg, a meter
 * whose halves drift apart. */
#include "recording/trust_parts.h"

#include <math.h>

/* Means over neighbouring blocks of the ride, as long as whole blocks go; NAN where less than
 * nine tenths of a block's seconds are usable. */
struct block_means {
    double *mean;
    size_t n;
    int32_t block_s;
};

static const double BLOCK_FULL_RATIO = 0.9; /* a block with more gaps is no mean of its time */

static struct block_means block_means(struct arena *arena, const struct recording *recording,
                                      enum channel channel, int32_t block_s)
{
    struct block_means blocks = { .n = recording->n_seconds / (size_t)block_s, .block_s = block_s };
    blocks.mean = ARENA_ARRAY(arena, double, blocks.n);
    for (size_t i = 0; i < blocks.n; i++) {
        int64_t sum = 0;
        int32_t usable_s = 0;
        for (size_t t = i * (size_t)block_s; t < (i + 1) * (size_t)block_s; t++) {
            if (trust_is_usable(recording, channel, t)) {
                sum += recording->value[channel][t];
                usable_s++;
            }
        }
        blocks.mean[i] = (double)usable_s >= BLOCK_FULL_RATIO * (double)block_s
                             ? (double)sum / (double)usable_s
                             : (double)NAN;
    }
    return blocks;
}

enum { HELD_BLOCK_S = 10, HELD_BLOCKS = 6 };

/* Whether the six 10-s means from block i on are those of a trainer that holds its target: their
 * standard deviation is below `ratio` of their mean. */
static bool is_held(const struct block_means *blocks, size_t i, double least_w, double ratio)
{
    double sum = 0.0;
    for (size_t k = i; k < i + HELD_BLOCKS; k++) {
        sum += blocks->mean[k];
    }
    const double mean = sum / HELD_BLOCKS;
    if (isnan(mean) || mean < least_w) {
        return false;
    }
    double squares = 0.0;
    for (size_t k = i; k < i + HELD_BLOCKS; k++) {
        squares += (blocks->mean[k] - mean) * (blocks->mean[k] - mean);
    }
    return sqrt(squares / (HELD_BLOCKS - 1)) < ratio * mean;
}

/* A free rider's 10-s means scatter by 3 % and more; one minute in a hundred looks held by chance.
 * So held minutes must add up, and be a good part of the pedalling. */
void trust_trainer_held(struct arena *arena, struct recording *recording,
                        const struct limits *limits)
{
    const struct block_means blocks = block_means(arena, recording, CHANNEL_POWER, HELD_BLOCK_S);
    const double ratio = limits->value[LIMIT_HELD_SD_PCT] / 100.0;
    const double least_w = limits->value[LIMIT_HELD_LEAST_W];
    uint8_t *held = ARENA_ARRAY(arena, uint8_t, blocks.n);
    for (size_t i = 0; i + HELD_BLOCKS <= blocks.n; i++) {
        for (size_t k = i; k < i + HELD_BLOCKS && is_held(&blocks, i, least_w, ratio); k++) {
            held[k] = 1;
        }
    }
    struct span span = { 0, 0 };
    double held_s = 0.0;
    double ridden_s = 0.0;
    for (size_t i = 0; i < blocks.n; i++) {
        ridden_s += blocks.mean[i] >= least_w ? HELD_BLOCK_S : 0.0;
        if (held[i]) {
            span.from_s = span.to_s == 0 ? (int32_t)i * HELD_BLOCK_S : span.from_s;
            span.to_s = (int32_t)(i + 1) * HELD_BLOCK_S;
            held_s += HELD_BLOCK_S;
        }
    }
    if (held_s >= limits->value[LIMIT_HELD_LEAST_S] &&
        held_s >= limits->value[LIMIT_HELD_LEAST_RATIO] * ridden_s) {
        struct finding *finding =
            recording_add_finding(arena, recording, "trainer-held", CHANNEL_POWER, EFFECT_NOTED);
        finding->whole_ride = false;
        finding->span = span;
        finding_add_number(finding, "seconds", held_s);
        finding_add_number(finding, "share_pct", 100.0 * held_s / ridden_s);
    }
}

enum { BALANCE_BLOCK_S = 300 };

/* Balance counts only under power: a foot that rests says nothing. */
static struct block_means balance_means(struct arena *arena, const struct recording *recording,
                                        double least_w)
{
    struct block_means blocks = { .n = recording->n_seconds / BALANCE_BLOCK_S,
                                  .block_s = BALANCE_BLOCK_S };
    blocks.mean = ARENA_ARRAY(arena, double, blocks.n);
    for (size_t i = 0; i < blocks.n; i++) {
        int64_t sum = 0;
        int32_t usable_s = 0;
        for (size_t t = i * BALANCE_BLOCK_S; t < (i + 1) * BALANCE_BLOCK_S; t++) {
            if (trust_is_usable(recording, CHANNEL_POWER, t) &&
                (double)recording->value[CHANNEL_POWER][t] >= least_w &&
                trust_is_usable(recording, CHANNEL_BALANCE, t)) {
                sum += recording->value[CHANNEL_BALANCE][t];
                usable_s++;
            }
        }
        /* tenths of a percent of the left side; half a block under power will do */
        blocks.mean[i] =
            2 * usable_s >= BALANCE_BLOCK_S ? 0.1 * (double)sum / (double)usable_s : (double)NAN;
    }
    return blocks;
}

static void sort_ascending(double x[], size_t n)
{
    for (size_t i = 1; i < n; i++) {
        const double value = x[i];
        size_t k = i;
        for (; k > 0 && x[k - 1] > value; k--) {
            x[k] = x[k - 1];
        }
        x[k] = value;
    }
}

/* The median of the blocks that are known; NAN if none is. */
static double block_median(struct arena *arena, const struct block_means *blocks)
{
    double *sorted = ARENA_ARRAY(arena, double, blocks->n);
    size_t kept = 0;
    for (size_t i = 0; i < blocks->n; i++) {
        if (!isnan(blocks->mean[i])) {
            sorted[kept++] = blocks->mean[i];
        }
    }
    if (kept == 0) {
        return (double)NAN;
    }
    sort_ascending(sorted, kept); /* at most 576 blocks in 48 h */
    return kept % 2 == 1 ? sorted[kept / 2] : 0.5 * (sorted[kept / 2 - 1] + sorted[kept / 2]);
}

/* The longest run of 5-min blocks whose power lies within the band around the ride's usual: left
 * and right share power differently at other powers, so only like is compared with like. */
static struct span longest_even_run(const struct block_means *power,
                                    const struct block_means *balance, double usual_w, double band)
{
    struct span best = { 0, 0 };
    int32_t from = 0;
    for (size_t i = 0; i < power->n; i++) {
        const bool even =
            !isnan(balance->mean[i]) && fabs(power->mean[i] - usual_w) <= band * usual_w;
        if (!even) {
            from = (int32_t)i + 1;
        } else if ((int32_t)i + 1 - from > best.to_s - best.from_s) {
            best = (struct span){ from, (int32_t)i + 1 };
        }
    }
    return best;
}

static double mean_of(const double x[], int32_t from, int32_t to)
{
    double sum = 0.0;
    for (int32_t i = from; i < to; i++) {
        sum += x[i];
    }
    return sum / (double)(to - from);
}

static void add_balance_drift(struct arena *arena, struct recording *recording,
                              const struct block_means *balance, struct span run,
                              const struct limits *limits)
{
    const int32_t third = (run.to_s - run.from_s) / 3;
    const double first_pct = mean_of(balance->mean, run.from_s, run.from_s + third);
    const double last_pct = mean_of(balance->mean, run.to_s - third, run.to_s);
    if (fabs(last_pct - first_pct) <= limits->value[LIMIT_BALANCE_DRIFT_PCT]) {
        return;
    }
    struct finding *finding =
        recording_add_finding(arena, recording, "balance-drift", CHANNEL_BALANCE, EFFECT_NOTED);
    finding->whole_ride = false;
    finding->span = (struct span){ run.from_s * BALANCE_BLOCK_S, run.to_s * BALANCE_BLOCK_S };
    finding_add_number(finding, "first_pct", first_pct);
    finding_add_number(finding, "last_pct", last_pct);
}

void trust_balance(struct arena *arena, struct recording *recording, const struct limits *limits)
{
    if (recording->value[CHANNEL_BALANCE] == NULL) {
        return;
    }
    const struct block_means balance =
        balance_means(arena, recording, limits->value[LIMIT_HELD_LEAST_W]);
    const double usual_pct = block_median(arena, &balance);
    const double one_sided_pct = limits->value[LIMIT_ONE_SIDED_PCT];
    if (usual_pct >= one_sided_pct || usual_pct <= 100.0 - one_sided_pct) {
        struct finding *finding =
            recording_add_finding(arena, recording, "one-sided", CHANNEL_BALANCE, EFFECT_NOTED);
        finding_add_number(finding, "left_pct", usual_pct);
        return;
    }
    const struct block_means power = block_means(arena, recording, CHANNEL_POWER, BALANCE_BLOCK_S);
    const struct span run = longest_even_run(&power, &balance, block_median(arena, &power),
                                             limits->value[LIMIT_BALANCE_BAND_PCT] / 100.0);
    if ((run.to_s - run.from_s) * BALANCE_BLOCK_S >=
        (int32_t)limits->value[LIMIT_BALANCE_LEAST_S]) {
        add_balance_drift(arena, recording, &balance, run, limits);
    }
}
