/* recording/recording.c: names, sums, and the door from bytes to recordings. */
#include "recording/recording.h"

#include "recording/csv_read.h"
#include "recording/fit_read.h"
#include "recording/gpx_read.h"
#include "recording/trust.h"

#include <math.h>
#include <string.h>

const struct format_row recording_formats[] = {
    { "fit", fit_probe, fit_read },
    { "gpx", gpx_probe, gpx_read },
    { "csv", csv_probe, csv_read },
};
const size_t n_recording_formats = sizeof recording_formats / sizeof recording_formats[0];

const struct channel_row *channel_row(enum channel channel)
{
    static const struct channel_row rows[CHANNEL_COUNT] = {
        [CHANNEL_POWER] = { "power_w", 1.0, 2 },
        [CHANNEL_HEART_RATE] = { "heart_rate_bpm", 1.0, 2 },
        [CHANNEL_CADENCE] = { "cadence_rpm", 1.0, 2 },
        [CHANNEL_SPEED] = { "speed_ms", 0.001, 3 },
        [CHANNEL_DISTANCE] = { "distance_m", 0.01, 2 },
        [CHANNEL_ALTITUDE] = { "altitude_m", 0.1, 1 },
        [CHANNEL_TEMPERATURE] = { "temperature_c", 0.1, 1 },
        [CHANNEL_LATITUDE] = { "latitude_deg", 180.0 / 2147483648.0, 5 },
        [CHANNEL_LONGITUDE] = { "longitude_deg", 180.0 / 2147483648.0, 5 },
        [CHANNEL_BALANCE] = { "balance_left_pct", 0.1, 1 },
    };
    return &rows[channel];
}

const char *mask_reason_name(enum mask_reason reason)
{
    switch (reason) {
    case MASK_NONE: return "none";
    case MASK_BRIDGED: return "bridged";
    case MASK_ABSENT: return "absent";
    case MASK_PAUSED: return "paused";
    case MASK_DROPOUT: return "dropout";
    case MASK_SPIKE: return "spike";
    case MASK_STUCK: return "stuck";
    case MASK_ARTEFACT: break;
    }
    return "artefact";
}

bool mask_is_usable(uint8_t reason)
{
    return reason == MASK_NONE || reason == MASK_BRIDGED;
}

const char *recording_format_name(enum recording_format format)
{
    switch (format) {
    case FORMAT_FIT: return "fit";
    case FORMAT_CSV: return "csv";
    case FORMAT_GPX: return "gpx";
    case FORMAT_COUNT: break;
    }
    return "unknown";
}

const char *sport_name(enum sport sport)
{
    static const char *const names[] = {
        [SPORT_UNKNOWN] = "unknown",       [SPORT_CYCLING] = "cycling",
        [SPORT_RUNNING] = "running",       [SPORT_SWIMMING] = "swimming",
        [SPORT_WALKING] = "walking",       [SPORT_HIKING] = "hiking",
        [SPORT_ROWING] = "rowing",         [SPORT_SKIING] = "skiing",
        [SPORT_TRANSITION] = "transition", [SPORT_DIVING] = "diving",
        [SPORT_TRAINING] = "training",     [SPORT_OTHER] = "other",
    };
    return names[sport];
}

const char *finding_effect_name(enum finding_effect effect)
{
    switch (effect) {
    case EFFECT_NOTED: return "noted";
    case EFFECT_MASKED: return "masked";
    case EFFECT_SPOILS: break;
    }
    return "spoils";
}

/* What came out of a gzip that ends early or is damaged may lack its end. */
static void report_packing(struct arena *arena, const struct read_options *options,
                           struct recordings *out)
{
    const char *clause = options->packing_damage;
    if (clause == NULL) {
        return;
    }
    for (size_t i = 0; i < out->count; i++) {
        struct finding *finding =
            recording_add_finding(arena, out->items[i], "damage", -1, EFFECT_NOTED);
        finding->detail = clause;
    }
    const char *damage = out->damage;
    const size_t name = strlen(options->file) + 2;
    out->damage = damage == NULL
                      ? arena_format(arena, "%s: %s; copy the file from the device again.",
                                     options->file, clause)
                      : arena_format(arena, "%s: %s: %s", options->file, clause, damage + name);
}

/* The format's reader, then stage 1 of trust on all that it gave. */
static bool read_as(const struct format_row *format, struct arena *arena, struct bytes bytes,
                    const struct read_options *options, const struct limits *limits,
                    struct recordings *out, struct error *err)
{
    if (!format->read(arena, bytes, options, limits, out, err)) {
        return false;
    }
    report_packing(arena, options, out);
    for (size_t i = 0; i < out->count; i++) {
        trust_check(arena, out->items[i], limits);
    }
    return true;
}

bool recording_read(struct arena *arena, struct bytes bytes, const struct read_options *options,
                    const struct limits *limits, struct recordings *out, struct error *err)
{
    *out = (struct recordings){ 0 };
    if (bytes.size == 0 && options->packing_damage != NULL) {
        return error_set(err, ERROR_INPUT, "%s: %s, before its first byte; copy the file again",
                         options->file, options->packing_damage);
    }
    if (bytes.size == 0) {
        return error_set(err, ERROR_INPUT, "%s: is empty; copy the file from the device again",
                         options->file);
    }
    for (size_t i = 0; i < n_recording_formats; i++) {
        if (recording_formats[i].probe(bytes)) {
            return read_as(&recording_formats[i], arena, bytes, options, limits, out, err);
        }
    }
    return error_set(err, ERROR_INPUT,
                     "%s: is no recording that can be read (FIT, GPX or CSV); export it again",
                     options->file);
}

const char *weight_source_name(enum weight_source source)
{
    static const char *const names[] = {
        [WEIGHT_UNKNOWN] = "unknown", [WEIGHT_SET] = "device", [WEIGHT_WEIGHED] = "scale"
    };
    return names[source];
}

struct recording recording_unknown(void)
{
    const double unknown = (double)NAN;
    return (struct recording){ .sport = SPORT_UNKNOWN,
                               .place = PLACE_UNKNOWN,
                               .device_timer_s = unknown,
                               .device_elapsed_s = unknown,
                               .device_work_kj = unknown,
                               .device_distance_m = unknown,
                               .device_mean_power_w = unknown,
                               .device_threshold_w = unknown,
                               .effort_0_10 = unknown,
                               .feel_0_100 = unknown,
                               .weight_kg = unknown };
}

struct finding *recording_add_finding(struct arena *arena, struct recording *recording,
                                      const char *code, int channel, enum finding_effect effect)
{
    recording->findings = arena_grow(arena, recording->findings, recording->n_findings,
                                     &recording->findings_capacity, sizeof recording->findings[0]);
    struct finding *finding = &recording->findings[recording->n_findings++];
    *finding =
        (struct finding){ .code = code, .channel = channel, .effect = effect, .whole_ride = true };
    return finding;
}

void finding_add_number(struct finding *finding, const char *name, double value)
{
    if (finding->n_numbers < FINDING_NUMBERS) {
        finding->numbers[finding->n_numbers++] = (struct number){ name, value };
    }
}

double numbers_find(const struct number numbers[], size_t n, const char *name)
{
    for (size_t i = 0; i < n; i++) {
        if (strcmp(numbers[i].name, name) == 0) {
            return numbers[i].value;
        }
    }
    return (double)NAN;
}

double finding_value(const struct finding *finding, const char *name)
{
    return numbers_find(finding->numbers, finding->n_numbers, name);
}

const struct finding *recording_finding(const struct recording *recording, const char *code)
{
    for (size_t i = 0; i < recording->n_findings; i++) {
        if (strcmp(recording->findings[i].code, code) == 0) {
            return &recording->findings[i];
        }
    }
    return NULL;
}

double *recording_series(struct arena *arena, const struct recording *recording,
                         enum channel channel)
{
    const int32_t *value = recording->value[channel];
    if (value == NULL) {
        return NULL;
    }
    const double step = channel_row(channel)->step;
    const uint8_t *mask = recording->mask[channel];
    double *series = ARENA_ARRAY(arena, double, recording->n_seconds);
    for (size_t i = 0; i < recording->n_seconds; i++) {
        series[i] = mask_is_usable(mask[i]) && value[i] != RECORDING_MISSING
                        ? (double)value[i] * step
                        : (double)NAN;
    }
    return series;
}

double recording_coverage(const struct recording *recording, enum channel channel)
{
    size_t running = 0;
    size_t usable = 0;
    for (size_t i = 0; i < recording->n_seconds; i++) {
        if (recording->paused[i]) {
            continue;
        }
        running++;
        if (recording->value[channel] != NULL && mask_is_usable(recording->mask[channel][i])) {
            usable++;
        }
    }
    return running == 0 ? (double)NAN : (double)usable / (double)running;
}

struct channel_summary recording_summary(const struct recording *recording, enum channel channel)
{
    struct channel_summary summary = { .mean = (double)NAN,
                                       .max = (double)NAN,
                                       .coverage = recording_coverage(recording, channel) };
    const int32_t *value = recording->samples.value[channel];
    if (value == NULL) {
        return summary;
    }
    int64_t sum = 0;
    int32_t max = INT32_MIN;
    for (size_t i = 0; i < recording->samples.count; i++) {
        if (value[i] == RECORDING_MISSING || (channel == CHANNEL_HEART_RATE && value[i] == 0)) {
            continue;
        }
        summary.samples++;
        sum += value[i];
        if (value[i] > max) {
            max = value[i];
        }
    }
    if (summary.samples > 0) {
        const double step = channel_row(channel)->step;
        summary.mean = (double)sum / (double)summary.samples * step;
        summary.max = max * step;
    }
    return summary;
}

double recording_work_kj(const struct recording *recording)
{
    if (recording->value[CHANNEL_POWER] == NULL) {
        return (double)NAN;
    }
    int64_t joules = 0;
    for (size_t i = 0; i < recording->n_seconds; i++) {
        if (mask_is_usable(recording->mask[CHANNEL_POWER][i])) {
            joules += recording->value[CHANNEL_POWER][i];
        }
    }
    return (double)joules / 1000.0;
}

double recording_distance_m(const struct recording *recording)
{
    const int32_t *distance = recording->value[CHANNEL_DISTANCE];
    if (distance != NULL) {
        int32_t first = RECORDING_MISSING;
        int32_t last = RECORDING_MISSING;
        for (size_t i = 0; i < recording->n_seconds; i++) {
            if (distance[i] != RECORDING_MISSING) {
                first = first == RECORDING_MISSING ? distance[i] : first;
                last = distance[i];
            }
        }
        if (last != RECORDING_MISSING) {
            return ((double)last - (double)first) * channel_row(CHANNEL_DISTANCE)->step;
        }
    }
    const int32_t *speed = recording->value[CHANNEL_SPEED];
    if (speed == NULL) {
        return (double)NAN;
    }
    int64_t mm = 0;
    for (size_t i = 0; i < recording->n_seconds; i++) {
        if (mask_is_usable(recording->mask[CHANNEL_SPEED][i])) {
            mm += speed[i];
        }
    }
    return (double)mm / 1000.0;
}
