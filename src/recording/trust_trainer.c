/* recording/trust_trainer.c: how the power came about: a trainer that holds it, one leg, a meter
 * whose halves drift apart. */
#include "recording/trust.h"

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

enum { HELD_BLOCK_S = 10, HELD_BLOCKS = 6, HELD_WINDOW_S = HELD_BLOCK_S * HELD_BLOCKS };

/* The mean of the usable power of a block; NAN where too much of it is missing. */
static double held_block_mean(const struct recording *recording, size_t from)
{
    int64_t sum = 0;
    int32_t usable_s = 0;
    for (size_t t = from; t < from + HELD_BLOCK_S; t++) {
        if (trust_is_usable(recording, CHANNEL_POWER, t)) {
            sum += recording->value[CHANNEL_POWER][t];
            usable_s++;
        }
    }
    return (double)usable_s >= BLOCK_FULL_RATIO * HELD_BLOCK_S ? (double)sum / (double)usable_s
                                                               : (double)NAN;
}

/* Hardly any scatter from second to second, and none to speak of between 10-s means.  The second is
 * what smoothing in a device can't feign: a mean of 10 s is the same whatever was smoothed below
 * it. */
bool trust_minute_is_held(const struct recording *recording, int32_t from_s,
                          const struct limits *limits)
{
    if (recording->value[CHANNEL_POWER] == NULL || from_s < 0 ||
        (size_t)from_s + HELD_WINDOW_S > recording->n_seconds) {
        return false;
    }
    double means[HELD_BLOCKS];
    double sum = 0.0;
    for (size_t k = 0; k < HELD_BLOCKS; k++) {
        means[k] = held_block_mean(recording, (size_t)from_s + k * HELD_BLOCK_S);
        sum += means[k];
    }
    const double mean = sum / HELD_BLOCKS;
    if (isnan(mean) || mean < limits->value[LIMIT_HELD_LEAST_W]) {
        return false;
    }
    double squares = 0.0;
    for (size_t k = 0; k < HELD_BLOCKS; k++) {
        squares += (means[k] - mean) * (means[k] - mean);
    }
    const double means_sd_pct = 100.0 * sqrt(squares / (HELD_BLOCKS - 1)) / mean;
    double second_squares = 0.0;
    double n_s = 0.0;
    for (size_t t = (size_t)from_s; t < (size_t)from_s + HELD_WINDOW_S; t++) {
        if (trust_is_usable(recording, CHANNEL_POWER, t)) {
            const double off = (double)recording->value[CHANNEL_POWER][t] - mean;
            second_squares += off * off;
            n_s += 1.0;
        }
    }
    const double second_sd_pct = 100.0 * sqrt(second_squares / (n_s - 1.0)) / mean;
    return means_sd_pct < limits->value[LIMIT_HELD_MEANS_SD_PCT] &&
           second_sd_pct < limits->value[LIMIT_HELD_SD_PCT];
}

/* How much of the ride at about the power of the held minutes, or above, was held. */
struct held_sums {
    struct span span;
    double held_s;
    double as_hard_s;
};

static struct held_sums sum_held(const struct block_means *blocks, const uint8_t held[],
                                 double as_hard_ratio)
{
    struct held_sums sums = { 0 };
    double held_w = 0.0;
    for (size_t i = 0; i < blocks->n; i++) {
        if (held[i]) {
            sums.span.from_s = sums.held_s > 0.0 ? sums.span.from_s : (int32_t)i * HELD_BLOCK_S;
            sums.span.to_s = (int32_t)(i + 1) * HELD_BLOCK_S;
            sums.held_s += HELD_BLOCK_S;
            held_w += blocks->mean[i] * HELD_BLOCK_S;
        }
    }
    for (size_t i = 0; i < blocks->n; i++) {
        if (blocks->mean[i] * sums.held_s >= as_hard_ratio * held_w) {
            sums.as_hard_s += HELD_BLOCK_S;
        }
    }
    return sums;
}

/* Held minutes must add up and be most of what was ridden as hard as they: on 45 h of real rides
 * without a held trainer no minute looks held.  A trainer that scatters more, and efforts shorter
 * than a minute, aren't seen. */
void trust_trainer_held(struct arena *arena, struct recording *recording,
                        const struct limits *limits)
{
    const struct block_means blocks = block_means(arena, recording, CHANNEL_POWER, HELD_BLOCK_S);
    uint8_t *held = ARENA_ARRAY(arena, uint8_t, blocks.n);
    for (size_t i = 0; i + HELD_BLOCKS <= blocks.n; i++) {
        if (trust_minute_is_held(recording, (int32_t)(i * HELD_BLOCK_S), limits)) {
            for (size_t k = i; k < i + HELD_BLOCKS; k++) {
                held[k] = 1;
            }
        }
    }
    const struct held_sums sums = sum_held(&blocks, held, limits->value[LIMIT_HELD_AS_HARD_RATIO]);
    if (sums.held_s < limits->value[LIMIT_HELD_LEAST_S] ||
        sums.held_s < limits->value[LIMIT_HELD_LEAST_RATIO] * sums.as_hard_s) {
        return;
    }
    struct finding *finding =
        recording_add_finding(arena, recording, "trainer-held", CHANNEL_POWER, EFFECT_NOTED);
    finding->whole_ride = false;
    finding->span = sums.span;
    finding_add_number(finding, "seconds", sums.held_s);
    finding_add_number(finding, "share_pct", fmin(100.0, 100.0 * sums.held_s / sums.as_hard_s));
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

/* A straight line through the balance of the blocks ridden near the usual power: left and right
 * share power differently at other powers, so only like is compared with like. */
struct balance_line {
    struct span blocks; /* from the first such block to the last */
    int32_t n;
    double first_pct; /* the line at both ends */
    double last_pct;
};

static struct balance_line fit_balance(const struct block_means *power,
                                       const struct block_means *balance, double usual_w,
                                       double band)
{
    struct balance_line line = { 0 };
    double sum_i = 0.0;
    double sum_pct = 0.0;
    double squares = 0.0;
    double products = 0.0;
    for (size_t i = 0; i < power->n; i++) {
        /* NAN is near nothing */
        if (isnan(balance->mean[i]) || !(fabs(power->mean[i] - usual_w) <= band * usual_w)) {
            continue;
        }
        line.blocks.from_s = line.n == 0 ? (int32_t)i : line.blocks.from_s;
        line.blocks.to_s = (int32_t)i + 1;
        line.n++;
        sum_i += (double)i;
        sum_pct += balance->mean[i];
        squares += (double)i * (double)i;
        products += (double)i * balance->mean[i];
    }
    if (line.n < 2) {
        return line;
    }
    const double mean_i = sum_i / line.n;
    const double slope = (products - mean_i * sum_pct) / (squares - mean_i * sum_i);
    const double mean_pct = sum_pct / line.n;
    line.first_pct = mean_pct + slope * ((double)line.blocks.from_s - 0.5 - mean_i);
    line.last_pct = mean_pct + slope * ((double)line.blocks.to_s - 0.5 - mean_i);
    return line;
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
    const struct balance_line line = fit_balance(&power, &balance, block_median(arena, &power),
                                                 limits->value[LIMIT_BALANCE_BAND_PCT] / 100.0);
    if (line.n * BALANCE_BLOCK_S < (int32_t)limits->value[LIMIT_BALANCE_LEAST_S] ||
        fabs(line.last_pct - line.first_pct) <= limits->value[LIMIT_BALANCE_DRIFT_PCT]) {
        return;
    }
    struct finding *finding =
        recording_add_finding(arena, recording, "balance-drift", CHANNEL_BALANCE, EFFECT_NOTED);
    finding->whole_ride = false;
    finding->span =
        (struct span){ line.blocks.from_s * BALANCE_BLOCK_S, line.blocks.to_s * BALANCE_BLOCK_S };
    finding_add_number(finding, "first_pct", line.first_pct);
    finding_add_number(finding, "last_pct", line.last_pct);
}
