/* fuzz/activity.c: an activity out of any bytes, and whether a reader gave it back. */
#include "activity.h"

#include <math.h>
#include <string.h>

#define SAMPLES_MAX 600
#define EVENTS_MAX  8
#define LAPS_MAX    5

/* No more than a day in all, so that no step is taken for a clock that was set. */
static const int32_t LONGEST_S = 80000;

static uint32_t take_byte(struct bytes *bytes)
{
    if (bytes->size == 0) {
        return 0;
    }
    bytes->size--;
    return *bytes->at++;
}

/* 0 .. below - 1 */
static int32_t take(struct bytes *bytes, int32_t below)
{
    uint32_t value = take_byte(bytes);
    if (below > 256) {
        value = value << 8 | take_byte(bytes);
    }
    if (below > 65536) {
        value = value << 15 ^ (take_byte(bytes) << 8 | take_byte(bytes));
    }
    return (int32_t)(value % (uint32_t)below);
}

static bool take_bit(struct bytes *bytes)
{
    return take(bytes, 2) == 1;
}

/* A value in the channel's steps that a field of the protocol holds exactly.  Heart rate 0 says
 * "absent", so it isn't asked to come back. */
static int32_t take_value(struct bytes *bytes, enum channel channel)
{
    if (take(bytes, 16) == 15) {
        return RECORDING_MISSING;
    }
    switch (channel) {
    case CHANNEL_POWER: return take(bytes, 65535);
    case CHANNEL_HEART_RATE: return 1 + take(bytes, 254);
    case CHANNEL_CADENCE: return take(bytes, 255);
    case CHANNEL_SPEED: return take(bytes, 65535);
    case CHANNEL_DISTANCE: return take(bytes, INT32_MAX);
    case CHANNEL_ALTITUDE: return 2 * take(bytes, 65535) - 5000;
    case CHANNEL_TEMPERATURE: return 10 * (take(bytes, 255) - 128);
    case CHANNEL_LATITUDE: return take(bytes, INT32_MAX) - (1 << 30);
    case CHANNEL_LONGITUDE: return take(bytes, INT32_MAX) * (take_bit(bytes) ? -1 : 1);
    case CHANNEL_BALANCE: return 10 * take(bytes, 101);
    case CHANNEL_COUNT: break;
    }
    return RECORDING_MISSING;
}

static void take_times(struct bytes *bytes, int32_t time_s[], size_t count)
{
    const bool every_second = take_bit(bytes);
    int32_t now_s = 0;
    for (size_t i = 0; i < count; i++) {
        time_s[i] = now_s;
        int32_t step_s = 1;
        if (!every_second) {
            const int32_t kind = take(bytes, 64);
            step_s = kind < 60 ? kind % 6 : take(bytes, 3000);
        }
        now_s += now_s + step_s > LONGEST_S ? 0 : step_s;
    }
}

/* A start at the first record, then stops and starts in turn, at times of records. */
static void take_events(struct arena *arena, struct bytes *bytes, struct fit_activity *activity)
{
    const size_t pairs = (size_t)take(bytes, EVENTS_MAX / 2);
    if (pairs == 0) {
        return;
    }
    struct fit_event *events = ARENA_ARRAY(arena, struct fit_event, 2 * pairs);
    const struct samples *samples = &activity->samples;
    const size_t last = samples->count - 1;
    size_t at = 0;
    for (size_t i = 0; i < 2 * pairs; i++) {
        events[i] = (struct fit_event){ samples->time_s[at], i % 2 == 0 };
        at += (size_t)take(bytes, (int32_t)(last - at) + 1);
    }
    events[2 * pairs - 1].at_s = samples->time_s[last];
    activity->events = events;
    activity->n_events = 2 * pairs;
}

static void take_laps(struct arena *arena, struct bytes *bytes, struct fit_activity *activity)
{
    const size_t n = (size_t)take(bytes, LAPS_MAX);
    if (n == 0) {
        return;
    }
    struct lap *laps = ARENA_ARRAY(arena, struct lap, n);
    const struct samples *samples = &activity->samples;
    const size_t last = samples->count - 1;
    size_t at = 0;
    for (size_t i = 0; i < n; i++) {
        const size_t next = i + 1 == n ? last : at + (size_t)take(bytes, (int32_t)(last - at) + 1);
        laps[i] = (struct lap){ samples->time_s[at], samples->time_s[next], take_bit(bytes),
                                take(bytes, 4) - 1 };
        at = next;
    }
    activity->laps = laps;
    activity->n_laps = n;
}

struct fit_activity activity_from_bytes(struct arena *arena, struct bytes bytes)
{
    static const enum sport sports[] = { SPORT_CYCLING, SPORT_UNKNOWN, SPORT_RUNNING, SPORT_OTHER };
    struct fit_activity activity = {
        .big_endian = take_bit(&bytes),
        .compressed_timestamps = take_bit(&bytes),
        .old_header = take_bit(&bytes),
        .power_as_developer_field = take_bit(&bytes),
        .has_utc_offset = take_bit(&bytes),
        .sport = sports[take(&bytes, 4)],
    };
    activity.utc_offset_s = activity.has_utc_offset ? 900 * (take(&bytes, 105) - 48) : 0;
    activity.start_utc = INT64_C(946684800) + take(&bytes, INT32_MAX); /* from 2000 on */
    activity.place = take_bit(&bytes) ? PLACE_INDOORS : PLACE_UNKNOWN;
    activity.serial = (uint32_t)take(&bytes, 65536);
    activity.effort_0_10 = take(&bytes, 101) / 10.0;
    activity.weight_kg = take(&bytes, 1000) / 10.0;
    struct samples *samples = &activity.samples;
    samples->count = 1 + (size_t)take(&bytes, SAMPLES_MAX);
    samples->time_s = ARENA_ARRAY(arena, int32_t, samples->count);
    take_times(&bytes, samples->time_s, samples->count);
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        /* A ride has power at least, or nothing would be left of it. */
        if (c == CHANNEL_POWER || take_bit(&bytes)) {
            samples->value[c] = ARENA_ARRAY(arena, int32_t, samples->count);
        }
    }
    take_events(arena, &bytes, &activity);
    take_laps(arena, &bytes, &activity);
    for (size_t i = 0; i < samples->count; i++) {
        for (int c = 0; c < CHANNEL_COUNT; c++) {
            if (samples->value[c] != NULL) {
                samples->value[c][i] = take_value(&bytes, (enum channel)c);
            }
        }
    }
    return activity;
}

static const char *samples_differ(struct arena *arena, const struct samples *wrote,
                                  const struct samples *read)
{
    if (wrote->count != read->count) {
        return arena_format(arena, "%zu samples written, %zu read", wrote->count, read->count);
    }
    for (size_t i = 0; i < wrote->count; i++) {
        if (wrote->time_s[i] != read->time_s[i] || read->dropped[i] != 0) {
            return arena_format(arena, "sample %zu: time %d written, %d read%s", i,
                                wrote->time_s[i], read->time_s[i],
                                read->dropped[i] != 0 ? " and dropped" : "");
        }
        for (int c = 0; c < CHANNEL_COUNT; c++) {
            const int32_t w = wrote->value[c] == NULL ? RECORDING_MISSING : wrote->value[c][i];
            const int32_t r = read->value[c] == NULL ? RECORDING_MISSING : read->value[c][i];
            if (w != r) {
                return arena_format(arena, "sample %zu: %s %d written, %d read", i,
                                    channel_row((enum channel)c)->name, w, r);
            }
        }
    }
    return NULL;
}

static const char *laps_differ(struct arena *arena, const struct fit_activity *wrote,
                               const struct recording *read)
{
    const struct samples *samples = &wrote->samples;
    const struct lap whole = { samples->time_s[0], samples->time_s[samples->count - 1], false, -1 };
    const struct lap *laps = wrote->n_laps > 0 ? wrote->laps : &whole;
    const size_t n = wrote->n_laps > 0 ? wrote->n_laps : 1;
    if (n != read->n_laps) {
        return arena_format(arena, "%zu laps written, %zu read", n, read->n_laps);
    }
    for (size_t i = 0; i < n; i++) {
        if (laps[i].start_s != read->laps[i].start_s || laps[i].end_s != read->laps[i].end_s ||
            laps[i].by_hand != read->laps[i].by_hand ||
            laps[i].workout_step != read->laps[i].workout_step) {
            return arena_format(arena, "lap %zu: %d to %d, step %d written, %d to %d, step %d read",
                                i, laps[i].start_s, laps[i].end_s, laps[i].workout_step,
                                read->laps[i].start_s, read->laps[i].end_s,
                                read->laps[i].workout_step);
        }
    }
    return NULL;
}

/* Stops that are followed by a start. */
static const char *pauses_differ(struct arena *arena, const struct fit_activity *wrote,
                                 const struct recording *read)
{
    if (wrote->n_events < 4) {
        return NULL; /* none were asked for: gaps may be pauses */
    }
    const size_t n = wrote->n_events / 2 - 1;
    if (n != read->n_pauses) {
        return arena_format(arena, "%zu pauses written, %zu read", n, read->n_pauses);
    }
    for (size_t i = 0; i < n; i++) {
        const int32_t from_s = wrote->events[2 * i + 1].at_s;
        const int32_t to_s = wrote->events[2 * i + 2].at_s;
        if (read->pauses[i].from_s != from_s || read->pauses[i].to_s != to_s) {
            return arena_format(arena, "pause %zu: %d to %d written, %d to %d read", i, from_s,
                                to_s, read->pauses[i].from_s, read->pauses[i].to_s);
        }
    }
    return NULL;
}

const char *activity_differs(struct arena *arena, const struct fit_activity *wrote,
                             const struct recordings *read)
{
    if (read->count != 1) {
        return arena_format(arena, "one recording written, %zu read", read->count);
    }
    if (read->damage != NULL) {
        return arena_format(arena, "damage told: %s", read->damage);
    }
    const struct recording *recording = read->items[0];
    if (recording->sport != wrote->sport) {
        return arena_format(arena, "%s written, %s read", sport_name(wrote->sport),
                            sport_name(recording->sport));
    }
    const bool has_place = wrote->sport == SPORT_CYCLING || wrote->sport == SPORT_RUNNING;
    if ((wrote->place == PLACE_INDOORS && has_place) != (recording->place == PLACE_INDOORS)) {
        return "indoors differs";
    }
    if (!recording->has_start_utc || recording->start_utc != wrote->start_utc) {
        return arena_format(arena, "start %lld written, %lld read", (long long)wrote->start_utc,
                            (long long)recording->start_utc);
    }
    if (recording->has_utc_offset != wrote->has_utc_offset ||
        (wrote->has_utc_offset && recording->utc_offset_s != wrote->utc_offset_s)) {
        return arena_format(arena, "offset %d written, %d read", wrote->utc_offset_s,
                            recording->utc_offset_s);
    }
    if (wrote->effort_0_10 > 0.0 && !(fabs(recording->effort_0_10 - wrote->effort_0_10) < 1e-9)) {
        return arena_format(arena, "effort %g written, %g read", wrote->effort_0_10,
                            recording->effort_0_10);
    }
    const bool has_weight = wrote->weight_kg >= 30.0; /* limit weight_lowest_kg */
    if (has_weight ? !(fabs(recording->weight_kg - wrote->weight_kg) < 1e-9)
                   : !isnan(recording->weight_kg)) {
        return arena_format(arena, "weight %g written, %g read", wrote->weight_kg,
                            recording->weight_kg);
    }
    if (recording->device.serial != wrote->serial) {
        return arena_format(arena, "serial %u written, %u read", wrote->serial,
                            recording->device.serial);
    }
    const char *differs = samples_differ(arena, &wrote->samples, &recording->samples);
    differs = differs == NULL ? laps_differ(arena, wrote, recording) : differs;
    return differs == NULL ? pauses_differ(arena, wrote, recording) : differs;
}
