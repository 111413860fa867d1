/* recording/fit_recording.c: samples, sport and the device's own figures of one recording. */
#include "recording/fit_recording.h"
#include "recording/fit_profile.h"
#include "recording/fit_timer.h"
#include "recording/grid.h"
#include "recording/stretches.h"

#include <math.h>
#include <string.h>

static int32_t saturated(int64_t seconds)
{
    return seconds > INT32_MAX ? INT32_MAX : seconds < -INT32_MAX ? -INT32_MAX : (int32_t)seconds;
}

/* Where records of other sessions stand between: copies of those that belong here. */
static void gather(struct arena *arena, const struct fit_records *records,
                   const struct fit_windows *windows, const struct fit_range *range,
                   struct fit_records *own)
{
    *own = (struct fit_records){ .count = range->count, .columns = records->columns };
    own->time = ARENA_ARRAY(arena, uint32_t, range->count);
    own->flags = ARENA_ARRAY(arena, uint8_t, range->count);
    for (size_t c = 0; c < FIT_COLUMNS; c++) {
        if (records->column[c] != NULL) {
            own->column[c] = ARENA_ARRAY(arena, int32_t, range->count);
        }
    }
    size_t n = 0;
    const struct fit_session *current = range->session;
    for (size_t i = range->first; i <= range->last && n < range->count; i++) {
        if ((records->flags[i] & FIT_DROPPED) == 0) {
            const long s = fit_windows_find(windows, records->time[i]);
            current = s < 0 ? NULL : &windows->sessions[s];
        }
        if (current != range->session) {
            continue;
        }
        own->time[n] = records->time[i];
        own->flags[n] = records->flags[i];
        for (size_t c = 0; c < FIT_COLUMNS; c++) {
            if (records->column[c] != NULL) {
                own->column[c][n] = records->column[c][i];
            }
        }
        n++;
    }
    own->count = n;
}

/* A view of the records of the range: no copy where they stand together. */
static void cut_out(struct arena *arena, const struct fit_records *records,
                    const struct fit_windows *windows, const struct fit_range *range,
                    struct fit_records *own)
{
    if (range->count != range->last - range->first + 1) {
        gather(arena, records, windows, range, own);
        return;
    }
    *own = (struct fit_records){ .count = range->count, .columns = records->columns };
    own->time = records->time + range->first;
    own->flags = records->flags + range->first;
    for (size_t c = 0; c < FIT_COLUMNS; c++) {
        own->column[c] = records->column[c] == NULL ? NULL : records->column[c] + range->first;
    }
}

/* Native values win, sample by sample; says what the developer field was used for. */
static void merge_developer(struct arena *arena, struct recording *recording,
                            struct fit_records *own, size_t column, enum channel channel,
                            const char *code, const struct limits *limits)
{
    int32_t *developer = own->column[column];
    int32_t *native = own->column[channel];
    if (developer == NULL) {
        return;
    }
    int64_t native_sum = 0;
    int64_t developer_sum = 0;
    size_t both = 0;
    size_t used = 0;
    for (size_t i = 0; i < own->count; i++) {
        if (developer[i] == RECORDING_MISSING) {
            continue;
        }
        if (native == NULL || native[i] == RECORDING_MISSING) {
            used++;
        } else {
            native_sum += native[i];
            developer_sum += developer[i];
            both++;
        }
    }
    const double difference = fabs((double)developer_sum - (double)native_sum);
    if (both > 0 && difference * 100.0 >
                        limits->value[LIMIT_DEVELOPER_DIFFERS_PCT] * fabs((double)native_sum)) {
        struct finding *finding = recording_add_finding(arena, recording, "developer-differs",
                                                        (int)channel, EFFECT_NOTED);
        finding_add_number(finding, "native_mean", (double)native_sum / (double)both);
        finding_add_number(finding, "developer_mean", (double)developer_sum / (double)both);
    }
    if (used == 0) {
        return;
    }
    struct finding *finding =
        recording_add_finding(arena, recording, code, (int)channel, EFFECT_NOTED);
    finding_add_number(finding, "samples", (double)used);
    if (native == NULL) {
        own->column[channel] = developer;
        return;
    }
    for (size_t i = 0; i < own->count; i++) {
        native[i] = native[i] == RECORDING_MISSING ? developer[i] : native[i];
    }
}

/* False if no record has a time. */
static bool fill_samples(struct arena *arena, struct recording *recording,
                         const struct fit_records *own, uint32_t *origin, int64_t *last_s)
{
    size_t first = 0;
    while (first < own->count && (own->flags[first] & FIT_DROPPED) != 0) {
        first++;
    }
    if (first == own->count) {
        return false;
    }
    *origin = own->time[first];
    *last_s = 0;
    struct samples *samples = &recording->samples;
    samples->count = own->count;
    samples->time_s = ARENA_ARRAY(arena, int32_t, own->count);
    samples->dropped = ARENA_ARRAY(arena, uint8_t, own->count);
    for (size_t i = 0; i < own->count; i++) {
        const int64_t time_s = (int64_t)own->time[i] - (int64_t)*origin;
        samples->time_s[i] = saturated(time_s);
        samples->dropped[i] = (own->flags[i] & FIT_DROPPED) != 0;
        *last_s = !samples->dropped[i] && time_s > *last_s ? time_s : *last_s;
    }
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        int32_t *column = own->column[c];
        samples->value[c] = column != NULL && stretch_has_value(column, own->count) ? column : NULL;
    }
    return true;
}

static double known(int64_t value, double unit)
{
    return value < 0 ? (double)NAN : (double)value * unit;
}

static void fill_device_figures(struct recording *recording, const struct fit_part *part,
                                const struct fit_range *range)
{
    const struct fit_session none = { .elapsed_ms = -1,
                                      .timer_ms = -1,
                                      .distance_cm = -1,
                                      .work_j = -1,
                                      .mean_power_w = -1,
                                      .threshold_w = -1,
                                      .rpe_tenths = -1,
                                      .feel = -1 };
    const struct fit_session *session = range->session == NULL ? &none : range->session;
    const struct fit_session *totals = range->whole_session ? session : &none;
    recording->device_elapsed_s = known(totals->elapsed_ms, 1e-3);
    recording->device_timer_s = known(totals->timer_ms, 1e-3);
    recording->device_distance_m = known(totals->distance_cm, 1e-2);
    recording->device_work_kj = known(totals->work_j, 1e-3);
    recording->device_mean_power_w = known(totals->mean_power_w, 1.0);
    recording->device_threshold_w =
        known(session->threshold_w > 0 ? session->threshold_w : part->threshold_w, 1.0);
    if (recording->device_threshold_w <= 0) {
        recording->device_threshold_w = (double)NAN;
    }
    recording->effort_0_10 =
        session->rpe_tenths <= 100 ? known(session->rpe_tenths, 0.1) : (double)NAN;
    recording->feel_0_100 = session->feel <= 100 ? known(session->feel, 1.0) : (double)NAN;
}

/* A scale's of the ride's own day before what somebody once set in the device. */
static void fill_weight(struct recording *recording, const struct fit_part *part, uint32_t origin,
                        const struct limits *limits)
{
    const double *v = limits->value;
    const int64_t apart_s = (int64_t)part->weighed_time - (int64_t)origin;
    const bool weighed =
        part->weighed_dag >= 0 && fabs((double)apart_s) <= v[LIMIT_WEIGHED_REACH_S];
    const double kg = weighed ? (double)part->weighed_dag / 100.0 : (double)part->weight_hg / 10.0;
    const bool can_be = kg >= v[LIMIT_WEIGHT_LOWEST_KG] && kg <= v[LIMIT_WEIGHT_HIGHEST_KG];
    recording->weight_kg = can_be ? kg : (double)NAN;
    recording->weight_source = !can_be ? WEIGHT_UNKNOWN : weighed ? WEIGHT_WEIGHED : WEIGHT_SET;
}

static void fill_sport(struct arena *arena, struct recording *recording,
                       const struct fit_part *part, const struct fit_range *range)
{
    const struct fit_session *session = range->session;
    const bool session_says = session != NULL && session->sport >= 0;
    const int64_t sport = session_says ? session->sport : part->sport;
    const int64_t sub_sport =
        session != NULL && session->sub_sport >= 0 ? session->sub_sport : part->sub_sport;
    recording->sport = fit_sport(sport, sub_sport);
    recording->place = fit_place(sub_sport);
    if (recording->place == PLACE_UNKNOWN && recording->samples.value[CHANNEL_LATITUDE] != NULL) {
        recording->place = PLACE_OUTDOORS;
    }
    recording->is_ride = recording->sport == SPORT_CYCLING;
    if (recording->sport == SPORT_UNKNOWN && (recording->samples.value[CHANNEL_POWER] != NULL ||
                                              recording->samples.value[CHANNEL_CADENCE] != NULL)) {
        recording->is_ride = true;
        recording_add_finding(arena, recording, "sport-assumed", -1, EFFECT_NOTED);
    }
}

static void fill_clock(struct arena *arena, struct recording *recording,
                       const struct fit_part *part, const struct fit_range *range, uint32_t origin)
{
    recording->has_start_utc = origin >= FIT_POWER_ON_BELOW;
    if (recording->has_start_utc) {
        recording->start_utc = (int64_t)origin + FIT_EPOCH_UTC_S;
        recording->has_utc_offset = part->has_utc_offset;
        recording->utc_offset_s = part->utc_offset_s;
    } else {
        stretch_clock_finding(arena, recording, "counts from switching on, no date is known",
                              "since_power_on_s", (double)origin);
    }
    const struct fit_run *run = range->run;
    const struct stretch_clock clock = { .set_before = run->after_jump,
                                         .set_after = range->jump_after,
                                         .before_s = (double)run->jump_s,
                                         .after_s = (double)range->jump_after_s,
                                         .n_back = run->ran_back,
                                         .n_wild = run->wild };
    stretch_clock_findings(arena, &clock, recording);
    if (run->time_less > 0) {
        stretch_clock_finding(arena, recording, "is missing in some records", "records",
                              (double)run->time_less);
    }
}

/* The first interval that was read after `seq` or more records. */
static size_t first_pulse_at(const struct fit_part *part, size_t seq)
{
    size_t low = 0;
    size_t high = part->n_pulse;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (part->pulse_seq[middle] < seq) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

static void fill_pulses(struct recording *recording, const struct fit_part *part,
                        const struct fit_ranges *ranges, size_t own)
{
    /* Intervals stand in file order, ranges too: one stretch each.  A message that came before
     * the first record belongs to the first range. */
    const size_t from_seq = own == 0 ? 0 : ranges->items[own].first + 1;
    const size_t to_seq = own + 1 == ranges->count ? SIZE_MAX : ranges->items[own + 1].first + 1;
    const size_t from = first_pulse_at(part, from_seq);
    const size_t to = first_pulse_at(part, to_seq);
    recording->n_pulse = to - from;
    recording->pulse_ms = to > from ? part->pulse_ms + from : NULL;
}

struct recording *fit_recording_make(struct arena *arena, struct fit_part *part,
                                     const struct fit_windows *windows,
                                     const struct fit_ranges *ranges, size_t i, const char *file,
                                     const struct limits *limits, struct fit_budget *budget,
                                     struct error *err)
{
    const struct fit_range *range = &ranges->items[i];
    struct recording *recording = ARENA_ARRAY(arena, struct recording, 1);
    struct fit_records own;
    uint32_t origin = 0;
    int64_t last_s = 0;
    *err = (struct error){ 0 };
    cut_out(arena, &part->records, windows, range, &own);
    recording->format = FORMAT_FIT;
    recording->device = part->device;
    recording->sensors = part->sensors;
    recording->n_sensors = part->n_sensors;
    recording->steps = part->steps;
    recording->n_steps = part->n_steps;
    merge_developer(arena, recording, &own, FIT_DEVELOPER_POWER, CHANNEL_POWER, "developer-power",
                    limits);
    merge_developer(arena, recording, &own, FIT_DEVELOPER_HEART_RATE, CHANNEL_HEART_RATE,
                    "developer-heart-rate", limits);
    merge_developer(arena, recording, &own, FIT_DEVELOPER_CADENCE, CHANNEL_CADENCE,
                    "developer-cadence", limits);
    if (!fill_samples(arena, recording, &own, &origin, &last_s)) {
        return NULL;
    }
    if (last_s >= (int64_t)limits->value[LIMIT_CAP_RECORDING_S]) {
        (void)stretch_refuse_long(file, last_s, limits, err);
        return NULL;
    }
    if ((size_t)last_s >= budget->seconds) {
        error_set(err, ERROR_TOO_LARGE,
                  "%s: holds more hours than one file may; split it into its activities", file);
        return NULL;
    }
    budget->seconds -= (size_t)last_s + 1;
    fill_device_figures(recording, part, range);
    fill_weight(recording, part, origin, limits);
    fill_sport(arena, recording, part, range);
    fill_clock(arena, recording, part, range, origin);
    if (range->left_out > 0) {
        struct finding *finding =
            recording_add_finding(arena, recording, "outside-session", -1, EFFECT_NOTED);
        finding_add_number(finding, "records", (double)range->left_out);
    }
    fill_pulses(recording, part, ranges, i);
    fit_timer_fill(arena, recording, part, ranges, i, origin, last_s, limits);
    grid_fill(arena, recording, limits);
    return recording;
}
