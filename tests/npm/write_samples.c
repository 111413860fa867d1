/* tests/npm/write_samples.c: FOLDER/NAME.fit for every option of the writer, and beside each
 * FOLDER/NAME.json: what was asked, told from the request and never from the bytes.
 * tests/npm/fit_written.test.mjs reads both.
 *
 * usage: write_samples FOLDER */
#include "base/files.h"
#include "base/json.h"
#include "recording/fit_write.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define SAMPLES_MAX 700

/* One request.  Every sample and every number in it is invented. */
struct variant {
    const char *name;
    bool big_endian;
    bool compressed;
    bool old_header;
    bool developer;
    bool few_channels; /* heart rate only */
    int32_t step_s;    /* between records */
    int32_t gap_s;     /* after the 100th record */
    size_t count;
    bool with_events;
    bool with_laps;
    enum sport sport;
    enum ride_place place;
    bool has_offset;
    int32_t offset_s;
    double effort;
    double weight_kg;
    double weighed_kg;
    int64_t start_utc;
};

static const struct variant variants[] = {
    { .name = "plain", .step_s = 1, .count = 400, .sport = SPORT_CYCLING, .start_utc = 1773480413 },
    { .name = "big-endian",
      .big_endian = true,
      .step_s = 1,
      .count = 400,
      .sport = SPORT_CYCLING,
      .place = PLACE_OUTDOORS,
      .with_events = true,
      .with_laps = true,
      .has_offset = true,
      .offset_s = 3600,
      .effort = 7.0,
      .weight_kg = 61.5,
      .start_utc = 1773480413 },
    { .name = "compressed",
      .compressed = true,
      .step_s = 3,
      .gap_s = 200,
      .count = 300,
      .sport = SPORT_CYCLING,
      .with_events = true,
      .start_utc = 1773480443 },
    { .name = "compressed-big-endian",
      .big_endian = true,
      .compressed = true,
      .step_s = 1,
      .gap_s = 31,
      .count = 300,
      .sport = SPORT_CYCLING,
      .with_laps = true,
      .start_utc = 1773480414 },
    { .name = "compressed-edge",
      .compressed = true,
      .step_s = 31,
      .gap_s = 32,
      .count = 120,
      .sport = SPORT_CYCLING,
      .start_utc = 1773480415 },
    { .name = "old-header",
      .old_header = true,
      .step_s = 1,
      .count = 120,
      .sport = SPORT_CYCLING,
      .place = PLACE_INDOORS,
      .start_utc = 1773480413 },
    { .name = "developer-power",
      .developer = true,
      .step_s = 1,
      .count = 200,
      .sport = SPORT_CYCLING,
      .start_utc = 1773480413 },
    { .name = "developer-power-compressed-big-endian",
      .developer = true,
      .compressed = true,
      .big_endian = true,
      .step_s = 2,
      .count = 200,
      .sport = SPORT_CYCLING,
      .start_utc = 1773480413 },
    { .name = "run-heart-rate-only",
      .few_channels = true,
      .step_s = 1,
      .count = 90,
      .sport = SPORT_RUNNING,
      .place = PLACE_INDOORS,
      .has_offset = true,
      .offset_s = -12600,
      .effort = 3.5,
      .weighed_kg = 72.34,
      .start_utc = 1709222400 },
    { .name = "one-record",
      .step_s = 1,
      .count = 1,
      .sport = SPORT_CYCLING,
      .start_utc = 1773480413 },
    { .name = "all-on",
      .big_endian = true,
      .compressed = true,
      .old_header = true,
      .developer = true,
      .step_s = 1,
      .gap_s = 64,
      .count = 700,
      .with_events = true,
      .with_laps = true,
      .sport = SPORT_CYCLING,
      .place = PLACE_INDOORS,
      .has_offset = true,
      .offset_s = 20700,
      .effort = 10.0,
      .weight_kg = 100.1,
      .weighed_kg = 99.99,
      .start_utc = 4102444800 },
};

/* A number of 0..n-1 that looks random and is the same everywhere (Knuth's multiplier, TAOCP 2,
 * section 3.3.4). */
static int32_t draw(uint64_t *state, int32_t n)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return (int32_t)((*state >> 33) % (uint64_t)n);
}

/* In the writer's steps: rounded to what the fields hold, so that the outside reads them equal. */
static int32_t invented(uint64_t *state, enum channel channel, size_t i)
{
    if (draw(state, 12) == 0) {
        return RECORDING_MISSING;
    }
    const int32_t place = (int32_t)i;
    switch (channel) {
    case CHANNEL_POWER: return draw(state, 50) == 0 ? 65534 : draw(state, 1500);
    case CHANNEL_HEART_RATE: return 60 + draw(state, 195);
    case CHANNEL_CADENCE: return draw(state, 255);
    case CHANNEL_SPEED: return draw(state, 25000);
    case CHANNEL_DISTANCE: return place * 873;
    case CHANNEL_ALTITUDE: return -4000 + 2 * draw(state, 30000);
    case CHANNEL_TEMPERATURE: return 10 * (draw(state, 80) - 25);
    case CHANNEL_LATITUDE: return 536870912 - place * 1000;
    case CHANNEL_LONGITUDE: return -1073741824 + place * 1000;
    case CHANNEL_BALANCE: return 10 * draw(state, 101);
    case CHANNEL_COUNT: break;
    }
    return RECORDING_MISSING;
}

static void fill(struct arena *arena, const struct variant *variant, struct fit_activity *activity)
{
    uint64_t state = (uint64_t)variant->start_utc + variant->count;
    struct samples *samples = &activity->samples;
    samples->count = variant->count;
    samples->time_s = ARENA_ARRAY(arena, int32_t, variant->count);
    for (size_t i = 0; i < variant->count; i++) {
        samples->time_s[i] = (int32_t)i * variant->step_s + (i >= 100 ? variant->gap_s : 0);
    }
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        if (variant->few_channels && c != CHANNEL_HEART_RATE) {
            continue;
        }
        samples->value[c] = ARENA_ARRAY(arena, int32_t, variant->count);
        for (size_t i = 0; i < variant->count; i++) {
            samples->value[c][i] = invented(&state, (enum channel)c, i);
        }
    }
    if (variant->with_events) {
        struct fit_event *events = ARENA_ARRAY(arena, struct fit_event, 4);
        events[0] = (struct fit_event){ 0, true };
        events[1] = (struct fit_event){ samples->time_s[99], false };
        events[2] = (struct fit_event){ samples->time_s[100], true };
        events[3] = (struct fit_event){ samples->time_s[variant->count - 1], false };
        activity->events = events;
        activity->n_events = 4;
    }
    if (variant->with_laps) {
        struct lap *laps = ARENA_ARRAY(arena, struct lap, 3);
        const int32_t end_s = samples->time_s[variant->count - 1];
        laps[0] = (struct lap){ 0, 40, true, 2 };
        laps[1] = (struct lap){ 40, 250, false, -1 };
        laps[2] = (struct lap){ 250, end_s, false, 3 };
        activity->laps = laps;
        activity->n_laps = 3;
    }
}

static void tell_records(struct json *json, const struct fit_activity *activity)
{
    const struct samples *samples = &activity->samples;
    json_begin_array(json, "records");
    for (size_t i = 0; i < samples->count; i++) {
        json_begin_object(json, NULL);
        json_integer(json, "time_utc", activity->start_utc + samples->time_s[i]);
        for (int c = 0; c < CHANNEL_COUNT; c++) {
            if (samples->value[c] == NULL || samples->value[c][i] == RECORDING_MISSING) {
                continue;
            }
            const struct channel_row *row = channel_row((enum channel)c);
            json_number(json, row->name, samples->value[c][i] * row->step, 9);
        }
        json_end_object(json);
    }
    json_end_array(json);
}

static void tell_events_and_laps(struct json *json, const struct fit_activity *activity)
{
    const int32_t last_s = activity->samples.time_s[activity->samples.count - 1];
    const struct fit_event whole[2] = { { 0, true }, { last_s, false } };
    const struct lap one = { 0, last_s, false, -1 };
    const bool has_events = activity->n_events > 0;
    const struct fit_event *events = has_events ? activity->events : whole;
    json_begin_array(json, "events");
    for (size_t i = 0; i < (has_events ? activity->n_events : 2); i++) {
        json_begin_object(json, NULL);
        json_integer(json, "time_utc", activity->start_utc + events[i].at_s);
        json_bool(json, "starts", events[i].starts);
        json_end_object(json);
    }
    json_end_array(json);
    const struct lap *laps = activity->n_laps > 0 ? activity->laps : &one;
    json_begin_array(json, "laps");
    for (size_t i = 0; i < (activity->n_laps > 0 ? activity->n_laps : 1); i++) {
        json_begin_object(json, NULL);
        json_integer(json, "start_utc", activity->start_utc + laps[i].start_s);
        json_integer(json, "end_utc", activity->start_utc + laps[i].end_s);
        json_bool(json, "by_hand", laps[i].by_hand);
        json_integer(json, "workout_step", laps[i].workout_step);
        json_end_object(json);
    }
    json_end_array(json);
}

static void tell(struct text *text, const struct variant *variant,
                 const struct fit_activity *activity)
{
    struct json json = json_begin(text);
    json_begin_object(&json, NULL);
    json_bool(&json, "big_endian", variant->big_endian);
    json_bool(&json, "compressed", variant->compressed);
    json_bool(&json, "old_header", variant->old_header);
    json_bool(&json, "developer", variant->developer);
    json_string(&json, "sport", sport_name(variant->sport));
    json_string(&json, "place",
                variant->place == PLACE_INDOORS    ? "indoors"
                : variant->place == PLACE_OUTDOORS ? "outdoors"
                                                   : "unknown");
    json_integer(&json, "maker", activity->maker);
    json_integer(&json, "product", activity->product);
    json_integer(&json, "serial", activity->serial);
    json_number(&json, "utc_offset_s", variant->has_offset ? variant->offset_s : (double)NAN, 0);
    json_number(&json, "effort", variant->effort > 0 ? variant->effort : (double)NAN, 1);
    json_number(&json, "weight_kg", variant->weight_kg > 0 ? variant->weight_kg : (double)NAN, 1);
    json_number(&json, "weighed_kg", variant->weighed_kg > 0 ? variant->weighed_kg : (double)NAN,
                2);
    tell_records(&json, activity);
    tell_events_and_laps(&json, activity);
    json_end_object(&json);
}

static bool write_variant(const char *folder, const struct variant *variant, struct error *err)
{
    struct arena *arena = arena_open();
    struct fit_activity activity = { .start_utc = variant->start_utc,
                                     .has_utc_offset = variant->has_offset,
                                     .utc_offset_s = variant->offset_s,
                                     .sport = variant->sport,
                                     .place = variant->place,
                                     .big_endian = variant->big_endian,
                                     .compressed_timestamps = variant->compressed,
                                     .old_header = variant->old_header,
                                     .maker = 255,
                                     .product = 7,
                                     .serial = 123456789,
                                     .power_as_developer_field = variant->developer,
                                     .effort_0_10 = variant->effort,
                                     .weight_kg = variant->weight_kg,
                                     .weighed_kg = variant->weighed_kg };
    fill(arena, variant, &activity);
    struct text text = text_begin(arena, 4u << 20);
    tell(&text, variant, &activity);
    struct bytes bytes = { 0 };
    const bool ok =
        fit_write(arena, &activity, &bytes, err) &&
        files_write(arena_format(arena, "%s/%s.fit", folder, variant->name), bytes, err) &&
        files_write(arena_format(arena, "%s/%s.json", folder, variant->name),
                    (struct bytes){ (const uint8_t *)text.bytes, text.length }, err);
    arena_close(arena);
    return ok;
}

int main(int argc, char **argv)
{
    if (argc != 2) {
        fprintf(stderr, "usage: write_samples FOLDER\n");
        return 2;
    }
    for (size_t i = 0; i < sizeof variants / sizeof variants[0]; i++) {
        struct error err = { 0 };
        if (!write_variant(argv[1], &variants[i], &err)) {
            fprintf(stderr, "write_samples: %s: %s\n", variants[i].name, err.message);
            return 1;
        }
    }
    return 0;
}
