/* fuzz/whole.c: all that is done with a file's bytes, and what must hold of it. */
#include "whole.h"

#include "base/text.h"
#include "coaching/reading.h"
#include "coaching/ride_json.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

_Noreturn void fuzz_broken(const char *what, const char *detail)
{
    fprintf(stderr, "fuzz: does not hold: %s (%s)\n", what, detail);
    abort();
}

/* A file of a thousand recordings has all of them read, and the readings of the first few. */
static const size_t READINGS_MAX = 4;

#define HOLDS(claim)                                                                               \
    do {                                                                                           \
        if (!(claim)) {                                                                            \
            fuzz_broken(#claim, __func__);                                                         \
        }                                                                                          \
    } while (0)

static void check_text(const char *text)
{
    HOLDS(text == NULL || text_is_utf8(text, strlen(text)));
}

static void check_grid(const struct recording *recording, const struct limits *limits)
{
    const size_t n = recording->n_seconds;
    HOLDS(n >= 1 && n <= (size_t)limits->value[LIMIT_CAP_RECORDING_S]);
    HOLDS(recording->paused != NULL && recording->timer_s >= 0);
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        if (recording->value[c] == NULL) {
            continue;
        }
        HOLDS(recording->mask[c] != NULL && recording->samples.value[c] != NULL);
        for (size_t i = 0; i < n; i++) {
            HOLDS(recording->mask[c][i] <= MASK_ARTEFACT);
            HOLDS(!mask_is_usable(recording->mask[c][i]) ||
                  recording->value[c][i] != RECORDING_MISSING);
        }
    }
    for (size_t i = 0; i < recording->n_pauses; i++) {
        const struct span *pause = &recording->pauses[i];
        HOLDS(pause->from_s >= 0 && pause->from_s <= pause->to_s && (size_t)pause->to_s <= n);
    }
}

static void check_samples(const struct recording *recording)
{
    const struct samples *samples = &recording->samples;
    HOLDS(samples->count >= 1);
    for (size_t i = 0; i < samples->count; i++) {
        HOLDS(samples->dropped[i] <= 1);
        HOLDS(samples->dropped[i] == 1 || samples->time_s[i] < (int64_t)recording->n_seconds);
    }
}

static void check_findings(const struct recording *recording)
{
    for (size_t i = 0; i < recording->n_findings; i++) {
        const struct finding *finding = &recording->findings[i];
        HOLDS(finding->code != NULL && finding->n_numbers <= FINDING_NUMBERS);
        HOLDS(finding->channel >= -1 && finding->channel < CHANNEL_COUNT);
        check_text(finding->detail);
    }
    check_text(recording->device.maker);
    check_text(recording->device.product);
    for (size_t i = 0; i < recording->n_sensors; i++) {
        check_text(recording->sensors[i].maker);
        check_text(recording->sensors[i].product);
    }
    for (size_t i = 0; i < recording->n_steps; i++) {
        check_text(recording->steps[i].name);
    }
}

static void read_channels(struct arena *arena, const struct recording *recording)
{
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        const struct channel_summary summary = recording_summary(recording, (enum channel)c);
        HOLDS(isnan(summary.coverage) || (summary.coverage >= 0.0 && summary.coverage <= 1.0));
        HOLDS(summary.samples <= recording->samples.count);
        (void)recording_series(arena, recording, (enum channel)c);
    }
    (void)recording_work_kj(recording);
    (void)recording_distance_m(recording);
}

/* A rider for whom every question can be asked. */
static struct rider_facts some_facts(void)
{
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 246;
    facts.threshold_known_by = "given";
    facts.max_heart_rate_bpm = 189;
    facts.target.low_pct = 106;
    facts.target.high_pct = 120;
    return facts;
}

/* A sentence never shows a number that isn't one. */
static void check_sentence(const char *text)
{
    HOLDS(text != NULL && text[0] != '\0');
    HOLDS(strstr(text, " nan") == NULL && strstr(text, " -nan") == NULL);
    HOLDS(strstr(text, " inf ") == NULL && strstr(text, " -inf") == NULL);
}

static void check_causes(const struct causes *causes)
{
    for (size_t i = 0; i < causes->count; i++) {
        HOLDS(causes->items[i].code != NULL);
        check_sentence(causes->items[i].text);
    }
}

/* Every reading, its sentences, and all of it as JSON. */
static void read_whole(struct arena *arena, const struct recording *recording,
                       const struct limits *limits)
{
    const struct rider_facts facts = some_facts();
    const struct ride_source source = { .version = "0", .file = "fuzz", .sha256 = "" };
    struct ride_readings readings = { 0 };
    struct error err = { 0 };
    HOLDS(reading_make(arena, recording, &facts, limits, &readings, &err));
    struct text text = text_begin(arena, 100u * 1000u * 1000u);
    struct json json = json_begin(&text);
    ride_json_add(&json, &source, recording, &facts, &readings, &readings.bests);
    HOLDS(!text.cut && text.length > 0);
    HOLDS(text_is_utf8(text.bytes, text.length));
    for (size_t i = 0; i < readings.count; i++) {
        const struct reading *reading = &readings.items[i];
        check_sentence(reading->text);
        check_causes(&reading->because);
        check_causes(&reading->cannot_because);
        check_causes(&reading->settle_by);
    }
    check_causes(&readings.cautions);
}

void whole_recording(const struct recording *recording, bool with_readings)
{
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    check_samples(recording);
    check_grid(recording, &limits);
    check_findings(recording);
    read_channels(arena, recording);
    if (with_readings) {
        read_whole(arena, recording, &limits);
    }
    arena_close(arena);
}

void whole_read(struct bytes bytes)
{
    struct arena *arena = arena_open();
    const struct read_options options = { .file = "fuzz" };
    const struct limits limits = limits_default();
    struct recordings out = { 0 };
    struct error err = { 0 };
    if (recording_read(arena, bytes, &options, &limits, &out, &err)) {
        HOLDS(out.count >= 1 && out.count <= (size_t)limits.value[LIMIT_CAP_FILE_RECORDINGS]);
        check_text(out.damage);
    } else {
        HOLDS(err.kind == ERROR_INPUT || err.kind == ERROR_TOO_LARGE);
        HOLDS(err.message[0] != '\0');
        check_text(err.message);
        out.count = 0;
    }
    /* The readers' own promise: 64 MB and four times the bytes. */
    HOLDS((double)arena_bytes(arena) <= 64e6 + 4.0 * (double)bytes.size);
    for (size_t i = 0; i < out.count; i++) {
        whole_recording(out.items[i], i < READINGS_MAX);
    }
    arena_close(arena);
}
