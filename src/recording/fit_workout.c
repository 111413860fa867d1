/* recording/fit_workout.c: a FIT workout file.
 * Numbers of messages, fields and enumerations are those of the FIT protocol's public profile. */
#include "recording/fit_workout.h"

#include "recording/fit_crc.h"
#include "recording/fit_out.h"
#include "recording/fit_profile.h"

#include <string.h>

enum { GLOBAL_FILE_ID = 0, GLOBAL_WORKOUT = 26, GLOBAL_STEP = 27 };
enum { LOCAL_FILE_ID, LOCAL_WORKOUT, LOCAL_STEP };
enum { FILE_WORKOUT = 5, MAKER_DEVELOPMENT = 255, SPORT_CYCLING_NUMBER = 2 };
enum { DURATION_TIME = 0, DURATION_OPEN = 5, DURATION_REPEAT = 6 };
enum { TARGET_HEART_RATE = 1, TARGET_OPEN = 2, TARGET_CADENCE = 3, TARGET_POWER = 4 };
enum { PROTOCOL = 0x10, HEADER = 14, MESSAGE_INDEX = 254 };
static const uint16_t PROFILE = 2132;

/* Watts and beats stand above the shares, in one field. */
enum { OFFSET_W = 1000, OFFSET_BPM = 100, MS = 1000 };

/* Bytes that a text takes with the zero behind it; longer ones are cut at a letter's edge. */
static size_t text_size(const char *text, size_t most)
{
    size_t size = text == NULL ? 0 : strlen(text);
    if (size > most) {
        size = most;
        while (size > 0 && ((unsigned char)text[size] & 0xC0) == 0x80) {
            size--;
        }
    }
    return size + 1;
}

/* All steps share one definition: a field of text is as long as the longest needs. */
struct sizes {
    uint8_t name;
    uint8_t words;
};

static const uint8_t *padded(struct arena *arena, const char *text, size_t most, uint8_t size)
{
    uint8_t *bytes = ARENA_ARRAY(arena, uint8_t, size);
    const size_t used = text_size(text, most) - 1;
    if (used > 0) {
        memcpy(bytes, text, used);
    }
    return bytes;
}

static int64_t target_type(enum fit_aim aim)
{
    switch (aim) {
    case FIT_AIM_W:
    case FIT_AIM_PCT: return TARGET_POWER;
    case FIT_AIM_BPM:
    case FIT_AIM_MAX_PCT: return TARGET_HEART_RATE;
    case FIT_AIM_OPEN: break;
    }
    return TARGET_OPEN;
}

static int64_t target_value(enum fit_aim aim, uint32_t value)
{
    switch (aim) {
    case FIT_AIM_W: return (int64_t)value + OFFSET_W;
    case FIT_AIM_BPM: return (int64_t)value + OFFSET_BPM;
    case FIT_AIM_PCT:
    case FIT_AIM_MAX_PCT: return value;
    case FIT_AIM_OPEN: break;
    }
    return FIT_OUT_NONE;
}

static void write_step(struct fit_out_file *writer, const struct fit_step *step, size_t index,
                       struct sizes sizes)
{
    const bool repeats = step->times > 0;
    const bool asks = !repeats && step->aim != FIT_AIM_OPEN;
    const bool legs = !repeats && step->rpm_high > 0;
    struct fit_out_message m = { .local = LOCAL_STEP, .global = GLOBAL_STEP };
    fit_out_add(&m, MESSAGE_INDEX, FIT_OUT_UINT16, (int64_t)index);
    fit_out_add_raw(&m, 0, FIT_OUT_STRING,
                    padded(writer->arena, step->name, FIT_WORKOUT_NAME_MOST, sizes.name),
                    sizes.name);
    fit_out_add(&m, 1, FIT_OUT_ENUM,
                repeats              ? DURATION_REPEAT
                : step->seconds == 0 ? DURATION_OPEN
                                     : DURATION_TIME);
    fit_out_add(&m, 2, FIT_OUT_UINT32,
                repeats              ? (int64_t)step->first
                : step->seconds == 0 ? FIT_OUT_NONE
                                     : (int64_t)step->seconds * MS);
    fit_out_add(&m, 3, FIT_OUT_ENUM, repeats ? FIT_OUT_NONE : target_type(step->aim));
    /* 0 = no zone of the device's: the range that follows. */
    fit_out_add(&m, 4, FIT_OUT_UINT32, repeats ? (int64_t)step->times : 0);
    fit_out_add(&m, 5, FIT_OUT_UINT32, asks ? target_value(step->aim, step->low) : FIT_OUT_NONE);
    fit_out_add(&m, 6, FIT_OUT_UINT32, asks ? target_value(step->aim, step->high) : FIT_OUT_NONE);
    fit_out_add(&m, 7, FIT_OUT_ENUM, repeats ? FIT_OUT_NONE : (int64_t)step->intensity);
    fit_out_add_raw(&m, 8, FIT_OUT_STRING,
                    padded(writer->arena, step->words, FIT_WORKOUT_WORDS_MOST, sizes.words),
                    sizes.words);
    fit_out_add(&m, 19, FIT_OUT_ENUM, legs ? TARGET_CADENCE : FIT_OUT_NONE);
    fit_out_add(&m, 20, FIT_OUT_UINT32, legs ? 0 : FIT_OUT_NONE);
    fit_out_add(&m, 21, FIT_OUT_UINT32, legs ? (int64_t)step->rpm_low : FIT_OUT_NONE);
    fit_out_add(&m, 22, FIT_OUT_UINT32, legs ? (int64_t)step->rpm_high : FIT_OUT_NONE);
    fit_out_write(writer, &m);
}

static void write_head(struct fit_out_file *writer, const struct fit_workout *workout)
{
    struct fit_out_message id = { .local = LOCAL_FILE_ID, .global = GLOBAL_FILE_ID };
    fit_out_add(&id, 0, FIT_OUT_ENUM, FILE_WORKOUT);
    fit_out_add(&id, 1, FIT_OUT_UINT16, MAKER_DEVELOPMENT);
    fit_out_add(&id, 2, FIT_OUT_UINT16, 0);
    fit_out_add(&id, 3, FIT_OUT_UINT32Z, workout->serial);
    fit_out_add(&id, 4, FIT_OUT_UINT32, workout->made_utc - FIT_EPOCH_UTC_S);
    fit_out_write(writer, &id);
    const uint8_t size = (uint8_t)text_size(workout->name, FIT_WORKOUT_NAME_MOST);
    struct fit_out_message head = { .local = LOCAL_WORKOUT, .global = GLOBAL_WORKOUT };
    fit_out_add(&head, 4, FIT_OUT_ENUM, SPORT_CYCLING_NUMBER);
    fit_out_add(&head, 6, FIT_OUT_UINT16, (int64_t)workout->n_steps);
    fit_out_add_raw(&head, 8, FIT_OUT_STRING,
                    padded(writer->arena, workout->name, FIT_WORKOUT_NAME_MOST, size), size);
    fit_out_write(writer, &head);
}

static bool is_sound(const struct fit_workout *workout, struct error *err)
{
    if (workout->n_steps == 0 || workout->n_steps > FIT_WORKOUT_STEPS_MOST) {
        return error_set(err, ERROR_USAGE, "a device takes from 1 to %d steps, these are %zu",
                         FIT_WORKOUT_STEPS_MOST, workout->n_steps);
    }
    for (size_t i = 0; i < workout->n_steps; i++) {
        if (workout->steps[i].times > 0 && workout->steps[i].first >= i) {
            return error_set(err, ERROR_USAGE, "step %zu repeats a step that comes later", i + 1);
        }
    }
    const int64_t made = workout->made_utc - FIT_EPOCH_UTC_S;
    return (made > 0 && made < UINT32_MAX) ||
           error_set(err, ERROR_USAGE, "a FIT file can't hold that time");
}

bool fit_workout_write(struct arena *arena, const struct fit_workout *workout, struct bytes *out,
                       struct error *err)
{
    struct fit_out_file writer = { .arena = arena, .last_time = FIT_OUT_NONE };
    struct sizes sizes = { 1, 1 };
    if (!is_sound(workout, err)) {
        return false;
    }
    fit_out_put(&writer, HEADER, 1);
    fit_out_put(&writer, PROTOCOL, 1);
    fit_out_put(&writer, PROFILE, 2);
    fit_out_put(&writer, 0, 4);          /* size of the data, known at the end */
    fit_out_put(&writer, 0x5449462E, 4); /* ".FIT" */
    fit_out_put(&writer, 0, 2);          /* CRC of these, likewise */
    write_head(&writer, workout);
    for (size_t i = 0; i < workout->n_steps; i++) {
        const size_t name = text_size(workout->steps[i].name, FIT_WORKOUT_NAME_MOST);
        const size_t words = text_size(workout->steps[i].words, FIT_WORKOUT_WORDS_MOST);
        sizes.name = name > sizes.name ? (uint8_t)name : sizes.name;
        sizes.words = words > sizes.words ? (uint8_t)words : sizes.words;
    }
    for (size_t i = 0; i < workout->n_steps; i++) {
        write_step(&writer, &workout->steps[i], i, sizes);
    }
    const size_t data = writer.size - HEADER;
    for (size_t i = 0; i < 4; i++) {
        writer.bytes[4 + i] = (uint8_t)(data >> (8 * i));
    }
    const uint16_t crc = fit_crc16(0, writer.bytes, HEADER - 2);
    writer.bytes[HEADER - 2] = (uint8_t)(crc & 0xFF);
    writer.bytes[HEADER - 1] = (uint8_t)(crc >> 8);
    fit_out_put(&writer, fit_crc16(0, writer.bytes, writer.size), 2);
    *out = (struct bytes){ writer.bytes, writer.size };
    return true;
}
