/* recording/trust_power.c: power that no rider made. */
#include "recording/trust_parts.h"

#include <math.h>

enum { MEDIAN_REACH_S = 7, SPIKE_NEAR_S = 2, MEDIAN_MOST = 2 * MEDIAN_REACH_S + 1 };

/* The median of the real seconds within 7 s of t; false with fewer than 8 of the 15. */
static bool local_median(const struct recording *recording, int32_t t, int32_t *median)
{
    const int32_t n = (int32_t)recording->n_seconds;
    int32_t sorted[MEDIAN_MOST];
    int kept = 0;
    for (int32_t s = t - MEDIAN_REACH_S; s <= t + MEDIAN_REACH_S; s++) {
        if (s < 0 || s >= n || !trust_is_real(recording, CHANNEL_POWER, (size_t)s)) {
            continue;
        }
        const int32_t value = recording->value[CHANNEL_POWER][s];
        int i = kept++;
        for (; i > 0 && sorted[i - 1] > value; i--) {
            sorted[i] = sorted[i - 1];
        }
        sorted[i] = value;
    }
    if (2 * kept <= MEDIAN_MOST) {
        return false;
    }
    *median = kept % 2 == 1 ? sorted[kept / 2] : (sorted[kept / 2 - 1] + sorted[kept / 2]) / 2;
    return true;
}

static bool stands_out(const struct recording *recording, int32_t t, double above_w)
{
    if (t < 0 || (size_t)t >= recording->n_seconds ||
        !trust_is_real(recording, CHANNEL_POWER, (size_t)t)) {
        return false;
    }
    const double value = (double)recording->value[CHANNEL_POWER][t];
    int32_t median = 0;
    /* power isn't negative: the cheap test spares nearly every median */
    return value > above_w && local_median(recording, t, &median) &&
           value > (double)median + above_w;
}

/* The next two seconds on one side of a run are known and far below its peak: a rider's effort has
 * flanks.  One bridged second is stepped over (a record that came late left it empty). */
static bool falls_away(const struct recording *recording, int32_t from, int32_t step, double line_w)
{
    const int32_t n = (int32_t)recording->n_seconds;
    const uint8_t *mask = recording->mask[CHANNEL_POWER];
    int32_t seen = 0;
    int32_t stepped_over = 0;
    for (int32_t s = from; seen < SPIKE_NEAR_S; s += step) {
        if (s < 0 || s >= n) {
            return false;
        }
        if (mask[s] == MASK_BRIDGED && stepped_over == 0) {
            stepped_over++;
            continue;
        }
        if (mask[s] != MASK_NONE || (double)recording->value[CHANNEL_POWER][s] >= line_w) {
            return false;
        }
        seen++;
    }
    return true;
}

static bool stands_alone(const struct recording *recording, struct span run, double line_w)
{
    return falls_away(recording, run.from_s - 1, -1, line_w) &&
           falls_away(recording, run.to_s, 1, line_w);
}

/* The run of at most two standing-out seconds that begins at t; empty if they are no spike. */
static struct span find_short_spike(const struct recording *recording, int32_t t,
                                    const struct limits *limits, double *peak_w)
{
    const double above_w = limits->value[LIMIT_SPIKE_ABOVE_W];
    const int32_t longest_s = (int32_t)limits->value[LIMIT_SPIKE_LONGEST_S];
    struct span run = { t, t };
    *peak_w = 0.0;
    while (run.to_s - t <= longest_s && stands_out(recording, run.to_s, above_w)) {
        *peak_w = fmax(*peak_w, (double)recording->value[CHANNEL_POWER][run.to_s]);
        run.to_s++;
    }
    const bool is_spike =
        run.to_s > t && run.to_s - t <= longest_s &&
        stands_alone(recording, run, limits->value[LIMIT_SPIKE_NEIGHBOUR_RATIO] * *peak_w);
    return is_spike ? run : (struct span){ t, t };
}

/* The span and the bridged seconds that touch it: they were drawn from it. */
static struct span with_bridges(const struct recording *recording, struct span span)
{
    const uint8_t *mask = recording->mask[CHANNEL_POWER];
    while (span.from_s > 0 && mask[span.from_s - 1] == MASK_BRIDGED) {
        span.from_s--;
    }
    while (span.to_s < (int32_t)recording->n_seconds && mask[span.to_s] == MASK_BRIDGED) {
        span.to_s++;
    }
    return span;
}

void trust_power_spikes(struct arena *arena, struct recording *recording,
                        const struct limits *limits)
{
    const int32_t n = (int32_t)recording->n_seconds;
    const int32_t *power = recording->value[CHANNEL_POWER];
    const double most_w = limits->value[LIMIT_SPIKE_MOST_W];
    struct trust_run run = trust_run_begin(arena, recording, "power-spike", CHANNEL_POWER,
                                           EFFECT_MASKED, "max_w", limits);
    for (int32_t t = 0; t < n; t++) {
        if (!trust_is_real(recording, CHANNEL_POWER, (size_t)t)) {
            continue;
        }
        double peak_w = (double)power[t];
        struct span spike = { t, t + 1 };
        if (peak_w > most_w) {
            while (spike.to_s < n && trust_is_real(recording, CHANNEL_POWER, (size_t)spike.to_s) &&
                   (double)power[spike.to_s] > most_w) {
                peak_w = fmax(peak_w, (double)power[spike.to_s]);
                spike.to_s++;
            }
        } else {
            spike = find_short_spike(recording, t, limits, &peak_w);
        }
        if (spike.to_s > spike.from_s) {
            trust_mask(recording, CHANNEL_POWER, with_bridges(recording, spike), MASK_SPIKE);
            trust_run_add(&run, spike, peak_w);
            t = spike.to_s - 1;
        }
    }
    trust_run_end(&run);
}

/* Whether the legs were at work over the seconds [from, to) beside a dropout: mean power, and that
 * of the second that touches it, above the line.  Soft-pedalling fades in and out.  A pause or the
 * end of the recording is no work. */
static bool is_at_work(const struct recording *recording, int32_t from, int32_t to,
                       int32_t touching, double above_w)
{
    if (from < 0 || to > (int32_t)recording->n_seconds) {
        return false;
    }
    const int32_t *power = recording->value[CHANNEL_POWER];
    int64_t sum = 0;
    for (int32_t s = from; s < to; s++) {
        if (!trust_is_usable(recording, CHANNEL_POWER, (size_t)s)) {
            return false;
        }
        sum += power[s];
    }
    return (double)sum > above_w * (double)(to - from) && (double)power[touching] > above_w;
}

static bool legs_turn(const struct recording *recording, int32_t t, double least_rpm)
{
    return trust_is_usable(recording, CHANNEL_CADENCE, (size_t)t) &&
           (double)recording->value[CHANNEL_CADENCE][t] >= least_rpm;
}

void trust_power_dropouts(struct arena *arena, struct recording *recording,
                          const struct limits *limits)
{
    if (recording->value[CHANNEL_CADENCE] == NULL) {
        return;
    }
    const int32_t n = (int32_t)recording->n_seconds;
    const int32_t *power = recording->value[CHANNEL_POWER];
    const int32_t least_s = (int32_t)limits->value[LIMIT_DROPOUT_LEAST_S];
    const int32_t beside_s = (int32_t)limits->value[LIMIT_DROPOUT_BESIDE_S];
    const double beside_w = limits->value[LIMIT_DROPOUT_BESIDE_W];
    const double cadence_rpm = limits->value[LIMIT_DROPOUT_CADENCE_RPM];
    struct trust_run run = trust_run_begin(arena, recording, "power-dropout", CHANNEL_POWER,
                                           EFFECT_MASKED, NULL, limits);
    for (int32_t t = 0; t < n;) {
        const int32_t from = t;
        bool turning = true;
        while (t < n && trust_is_usable(recording, CHANNEL_POWER, (size_t)t) && power[t] == 0) {
            turning = turning && legs_turn(recording, t, cadence_rpm);
            t++;
        }
        if (t == from) {
            t++;
            continue;
        }
        const struct span drop = with_bridges(recording, (struct span){ from, t });
        if (turning && t - from >= least_s &&
            is_at_work(recording, drop.from_s - beside_s, drop.from_s, drop.from_s - 1, beside_w) &&
            is_at_work(recording, drop.to_s, drop.to_s + beside_s, drop.to_s, beside_w)) {
            trust_mask(recording, CHANNEL_POWER, drop, MASK_DROPOUT);
            trust_run_add(&run, drop, 0.0);
        }
    }
    trust_run_end(&run);
}
