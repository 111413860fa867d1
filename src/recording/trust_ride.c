/* recording/trust_ride.c: what is to be known of the ride as a whole. */
#include "recording/trust_parts.h"

#include <math.h>

/* ---- time that the device didn't write ---- */

void trust_gaps(struct arena *arena, struct recording *recording, const uint8_t recorded[],
                const struct limits *limits)
{
    const int32_t n = (int32_t)recording->n_seconds;
    struct trust_run run =
        trust_run_begin(arena, recording, "gap", CHANNEL_POWER, EFFECT_MASKED, NULL, limits);
    run.channel = -1;
    for (int32_t t = 0; t < n;) {
        const int32_t from = t;
        while (t < n && recorded[t] == TRUST_UNRECORDED && recording->paused[t] == 0) {
            t++;
        }
        if (t == from) {
            t++;
        } else if ((double)(t - from) >= limits->value[LIMIT_GAP_LEAST_S]) {
            trust_run_add(&run, (struct span){ from, t }, 0.0);
        }
    }
    trust_run_end(&run);
}

/* ---- the device's own summary ---- */

static void compare(struct arena *arena, struct recording *recording, int channel,
                    const char *quantity, struct number device, struct number series,
                    const struct limits *limits)
{
    if (isnan(device.value) || isnan(series.value) || device.value <= 0.0) {
        return;
    }
    const double differs_pct = 100.0 * (series.value - device.value) / device.value;
    if (fabs(differs_pct) <= limits->value[LIMIT_SUMMARY_DIFFERS_PCT]) {
        return;
    }
    struct finding *finding =
        recording_add_finding(arena, recording, "summary-differs", channel, EFFECT_NOTED);
    finding->detail = quantity;
    finding_add_number(finding, device.name, device.value);
    finding_add_number(finding, series.name, series.value);
    finding_add_number(finding, "differs_pct", differs_pct);
}

/* Power over the seconds that aren't paused. */
struct power_sums {
    int64_t all_w;    /* as the device wrote it, spikes and all */
    int64_t usable_w; /* without what trust masked */
    int32_t n_s;
    int32_t n_usable_s;
    int32_t n_pedalling_s; /* seconds above 0 W */
};

static struct power_sums sum_power(const struct recording *recording)
{
    struct power_sums sums = { 0 };
    for (size_t t = 0; t < recording->n_seconds; t++) {
        const int32_t value = recording->value[CHANNEL_POWER][t];
        if (value == RECORDING_MISSING || recording->paused[t]) {
            continue;
        }
        sums.all_w += value;
        sums.n_s++;
        sums.n_pedalling_s += value > 0;
        if (trust_is_usable(recording, CHANNEL_POWER, t)) {
            sums.usable_w += value;
            sums.n_usable_s++;
        }
    }
    return sums;
}

static bool is_near(double a, double b, const struct limits *limits)
{
    return fabs(a - b) <= limits->value[LIMIT_SUMMARY_DIFFERS_PCT] / 100.0 * fabs(b);
}

/* Work first; mean power only where it isn't the same difference told again.  A device may have
 * counted the spikes or not: either way its sum is right as far as it goes. */
static void compare_power(struct arena *arena, struct recording *recording,
                          const struct limits *limits)
{
    if (recording->value[CHANNEL_POWER] == NULL || recording->timer_s == 0) {
        return;
    }
    const struct power_sums sums = sum_power(recording);
    /* With seconds missing, the two couldn't agree. */
    const double missing_pct = 100.0 * (1.0 - (double)sums.n_s / (double)recording->timer_s);
    if (sums.n_usable_s == 0 || sums.n_pedalling_s == 0 ||
        missing_pct > 0.5 * limits->value[LIMIT_SUMMARY_DIFFERS_PCT]) {
        return;
    }
    const double all_kj = (double)sums.all_w / 1000.0;
    const double usable_kj = (double)sums.usable_w / 1000.0;
    const double device_kj = recording->device_work_kj;
    const double device_w = recording->device_mean_power_w;
    const double all_w = (double)sums.all_w / (double)sums.n_s;
    const double usable_w = (double)sums.usable_w / (double)sums.n_usable_s;
    if (device_kj > 0.0 && !is_near(all_kj, device_kj, limits) &&
        !is_near(usable_kj, device_kj, limits)) {
        compare(arena, recording, CHANNEL_POWER, "work", (struct number){ "device_kj", device_kj },
                (struct number){ "series_kj", usable_kj }, limits);
        return;
    }
    if (!(device_w > 0.0) || is_near(all_w, device_w, limits) ||
        is_near(usable_w, device_w, limits)) {
        return;
    }
    const double pedalling_w = (double)sums.all_w / (double)sums.n_pedalling_s;
    compare(arena, recording, CHANNEL_POWER,
            is_near(pedalling_w, device_w, limits) ? "mean power without coasting" : "mean power",
            (struct number){ "device_w", device_w }, (struct number){ "series_w", usable_w },
            limits);
}

static void compare_distance(struct arena *arena, struct recording *recording,
                             const struct limits *limits)
{
    const int32_t *distance = recording->value[CHANNEL_DISTANCE];
    if (distance == NULL) {
        return;
    }
    int32_t first = RECORDING_MISSING;
    int32_t last = RECORDING_MISSING;
    for (size_t t = 0; t < recording->n_seconds; t++) {
        if (distance[t] != RECORDING_MISSING) {
            first = first == RECORDING_MISSING ? distance[t] : first;
            last = distance[t];
        }
    }
    const double series_m = ((double)last - (double)first) * 0.01;
    if (recording->device_distance_m >= limits->value[LIMIT_SUMMARY_LEAST_M]) {
        compare(arena, recording, CHANNEL_DISTANCE, "distance",
                (struct number){ "device_m", recording->device_distance_m },
                (struct number){ "series_m", series_m }, limits);
    }
}

void trust_summary(struct arena *arena, struct recording *recording, const struct limits *limits)
{
    if (recording->device_timer_s >= limits->value[LIMIT_SUMMARY_LEAST_S]) {
        compare(arena, recording, -1, "time",
                (struct number){ "device_s", recording->device_timer_s },
                (struct number){ "series_s", (double)recording->timer_s }, limits);
    }
    compare_distance(arena, recording, limits);
    if (recording->is_ride) {
        compare_power(arena, recording, limits);
    }
}

/* ---- heat and height ---- */

/* The mean of a channel over the usable seconds of a span, in its unit; NAN if there is none. */
static double span_mean(const struct recording *recording, enum channel channel, int32_t from,
                        int32_t to)
{
    int64_t sum = 0;
    int32_t n_s = 0;
    for (int32_t t = from; t < to; t++) {
        if (trust_is_usable(recording, channel, (size_t)t)) {
            sum += recording->value[channel][t];
            n_s++;
        }
    }
    return n_s == 0 ? (double)NAN : (double)sum / (double)n_s * channel_row(channel)->step;
}

enum { HOT_ENDS_S = 300 };

void trust_hot(struct arena *arena, struct recording *recording, const struct limits *limits)
{
    const int32_t n = (int32_t)recording->n_seconds;
    const int32_t after_s = (int32_t)limits->value[LIMIT_HOT_AFTER_S];
    if (recording->value[CHANNEL_TEMPERATURE] == NULL || n < after_s + 2 * HOT_ENDS_S) {
        return;
    }
    const double mean_c = span_mean(recording, CHANNEL_TEMPERATURE, after_s, n);
    const double start_c = span_mean(recording, CHANNEL_TEMPERATURE, after_s, after_s + HOT_ENDS_S);
    const double end_c = span_mean(recording, CHANNEL_TEMPERATURE, n - HOT_ENDS_S, n);
    const bool warm = mean_c >= limits->value[LIMIT_HOT_MEAN_C];
    const bool warmed = end_c - start_c >= limits->value[LIMIT_HOT_RISE_C] &&
                        end_c >= limits->value[LIMIT_HOT_RISE_ENDS_C];
    if (!warm && !warmed) {
        return;
    }
    struct finding *finding =
        recording_add_finding(arena, recording, "hot", CHANNEL_TEMPERATURE, EFFECT_SPOILS);
    finding->whole_ride = false;
    finding->span = (struct span){ after_s, n };
    finding->detail = warm ? NULL : "warmed";
    finding_add_number(finding, "mean_c", mean_c);
    finding_add_number(finding, "start_c", start_c);
    finding_add_number(finding, "end_c", end_c);
}

/* Where the threshold was tested isn't in the file: the ride's own height is all that is said. */
void trust_high(struct arena *arena, struct recording *recording, const struct limits *limits)
{
    const int32_t *altitude = recording->value[CHANNEL_ALTITUDE];
    if (altitude == NULL) {
        return;
    }
    const double line_m = limits->value[LIMIT_HIGH_M];
    struct span span = { 0, 0 };
    double above_s = 0.0;
    double highest_m = 0.0;
    for (size_t t = 0; t < recording->n_seconds; t++) {
        const double m = 0.1 * (double)altitude[t];
        if (!trust_is_usable(recording, CHANNEL_ALTITUDE, t) || m < line_m) {
            continue;
        }
        span.from_s = span.to_s == 0 ? (int32_t)t : span.from_s;
        span.to_s = (int32_t)t + 1;
        above_s += 1.0;
        highest_m = fmax(highest_m, m);
    }
    if (above_s < limits->value[LIMIT_HIGH_LEAST_S]) {
        return;
    }
    struct finding *finding =
        recording_add_finding(arena, recording, "high", CHANNEL_ALTITUDE, EFFECT_NOTED);
    finding->whole_ride = false;
    finding->span = span;
    finding_add_number(finding, "seconds", above_s);
    finding_add_number(finding, "highest_m", highest_m);
    finding_add_number(finding, "line_m", line_m);
}
