/* recording/fit_part.c: what each message of a part says. */
#include "recording/fit_part.h"
#include "base/text.h"
#include "recording/fit_profile.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Offsets of civil time lie within these, in steps of a quarter of an hour.
 * Source: IANA time zone database, -12:00 to +14:00. */
static const int64_t OFFSET_LOWEST_S = -12 * 3600;
static const int64_t OFFSET_HIGHEST_S = 14 * 3600;
static const int64_t OFFSET_STEP_S = 15 * 60;

/* True if one more small item may be kept. */
static bool take_item(struct fit_budget *budget)
{
    if (budget->items == 0) {
        return false;
    }
    budget->items--;
    return true;
}

/* Device text into a field of the struct, made clean, cut at a character's edge. */
static void keep_text(struct arena *arena, char *out, size_t room, const char *text, size_t length)
{
    if (text == NULL) {
        return;
    }
    const char *clean = text_clean(arena, text, length);
    size_t n = strlen(clean);
    if (n >= room) {
        n = room - 1;
        while (n > 0 && ((unsigned char)clean[n] & 0xC0u) == 0x80u) {
            n--;
        }
    }
    memcpy(out, clean, n);
    out[n] = '\0';
}

/* Makers and products stay numbers: a table of names would be out of date and is nobody's need. */
static void keep_number(char *out, size_t room, int64_t number)
{
    if (number >= 0) {
        snprintf(out, room, "%lld", (long long)number);
    }
}

static void keep_device(struct arena *arena, struct device *device,
                        const struct fit_message *message, uint8_t maker, uint8_t product,
                        uint8_t serial, uint8_t product_name)
{
    size_t length = 0;
    keep_number(device->maker, sizeof device->maker, fit_message_integer_or(message, maker, -1));
    if (device->product[0] == '\0') {
        keep_number(device->product, sizeof device->product,
                    fit_message_integer_or(message, product, -1));
    }
    const char *name = fit_message_string(message, product_name, &length);
    keep_text(arena, device->product, sizeof device->product, name, length);
    const int64_t number = fit_message_integer_or(message, serial, 0);
    if (number > 0 && number <= UINT32_MAX) {
        device->serial = (uint32_t)number;
    }
}

static void take_file_id(struct arena *arena, struct fit_part *part,
                         const struct fit_message *message)
{
    if (!part->has_type) {
        part->has_type = fit_message_integer(message, FIT_FILE_ID_TYPE, &part->type);
    }
    keep_device(arena, &part->device, message, FIT_FILE_ID_MAKER, FIT_FILE_ID_PRODUCT,
                FIT_FILE_ID_SERIAL, FIT_FILE_ID_PRODUCT_NAME);
}

static void take_session(struct arena *arena, struct fit_part *part, struct fit_budget *budget,
                         const struct fit_message *message)
{
    if (!take_item(budget)) {
        return;
    }
    part->sessions = arena_grow(arena, part->sessions, part->n_sessions, &part->session_capacity,
                                sizeof part->sessions[0]);
    struct fit_session *session = &part->sessions[part->n_sessions++];
    int64_t start = 0;
    *session = (struct fit_session){
        .has_start = fit_message_integer(message, FIT_SESSION_START_TIME, &start),
        .has_end = message->has_time,
        .end = message->time,
        .elapsed_ms = fit_message_integer_or(message, FIT_SESSION_ELAPSED, -1),
        .timer_ms = fit_message_integer_or(message, FIT_SESSION_TIMER, -1),
        .sport = fit_message_integer_or(message, FIT_SESSION_SPORT, -1),
        .sub_sport = fit_message_integer_or(message, FIT_SESSION_SUB_SPORT, -1),
        .distance_cm = fit_message_integer_or(message, FIT_SESSION_DISTANCE, -1),
        .work_j = fit_message_integer_or(message, FIT_SESSION_WORK, -1),
        .mean_power_w = fit_message_integer_or(message, FIT_SESSION_MEAN_POWER, -1),
        .threshold_w = fit_message_integer_or(message, FIT_SESSION_THRESHOLD_POWER, -1),
        .rpe_tenths = fit_message_integer_or(message, FIT_SESSION_RPE, -1),
        .feel = fit_message_integer_or(message, FIT_SESSION_FEEL, -1),
    };
    session->start = (uint32_t)start;
}

static void take_lap(struct arena *arena, struct fit_part *part, struct fit_budget *budget,
                     const struct fit_message *message)
{
    if (part->sport < 0) {
        part->sport = fit_message_integer_or(message, FIT_LAP_SPORT, -1);
        part->sub_sport = fit_message_integer_or(message, FIT_LAP_SUB_SPORT, -1);
    }
    if (!take_item(budget)) {
        return;
    }
    part->laps =
        arena_grow(arena, part->laps, part->n_laps, &part->lap_capacity, sizeof part->laps[0]);
    struct fit_lap *lap = &part->laps[part->n_laps++];
    int64_t start = 0;
    const int64_t step = fit_message_integer_or(message, FIT_LAP_WORKOUT_STEP, -1);
    *lap = (struct fit_lap){
        .has_start = fit_message_integer(message, FIT_LAP_START_TIME, &start),
        .has_end = message->has_time,
        .end = message->time,
        .elapsed_ms = fit_message_integer_or(message, FIT_LAP_ELAPSED, -1),
        .by_hand = fit_message_integer_or(message, FIT_LAP_TRIGGER, -1) == FIT_LAP_BY_HAND,
        .workout_step = step >= 0 && step < UINT16_MAX ? (int32_t)step : -1,
        .seq = (uint32_t)part->records.count,
    };
    lap->start = (uint32_t)start;
}

static void take_timer(struct arena *arena, struct fit_part *part, struct fit_budget *budget,
                       const struct fit_message *message)
{
    const int64_t type = fit_message_integer_or(message, FIT_EVENT_TYPE, -1);
    const bool starts = type == FIT_EVENT_START;
    const bool stops = type == FIT_EVENT_STOP || type == FIT_EVENT_STOP_ALL ||
                       type == FIT_EVENT_STOP_DISABLE || type == FIT_EVENT_STOP_DISABLE_ALL;
    if (!message->has_time || !(starts || stops) || !take_item(budget)) {
        return;
    }
    part->timers = arena_grow(arena, part->timers, part->n_timers, &part->timer_capacity,
                              sizeof part->timers[0]);
    part->timers[part->n_timers++] =
        (struct fit_timer){ message->time, starts, (uint32_t)part->records.count };
}

/* Devices repeat what they know: only a change is kept. */
static void keep_zero_offset(struct arena *arena, struct fit_part *part, struct fit_budget *budget,
                             const struct fit_message *message, int64_t value)
{
    const size_t n = part->n_zero_offsets;
    if (value > INT32_MAX || value < INT32_MIN ||
        (n > 0 && part->zero_offsets[n - 1].value == value) || !take_item(budget)) {
        return;
    }
    part->zero_offsets = arena_grow(arena, part->zero_offsets, part->n_zero_offsets,
                                    &part->zero_capacity, sizeof part->zero_offsets[0]);
    part->zero_offsets[part->n_zero_offsets++] = (struct fit_zero_offset){
        .time = message->time, .value = (int32_t)value, .seq = (uint32_t)part->records.count
    };
}

static void take_zero_offset(struct arena *arena, struct fit_part *part, struct fit_budget *budget,
                             const struct fit_message *message)
{
    int64_t value = 0;
    if (!message->has_time || (!fit_message_integer(message, FIT_EVENT_DATA, &value) &&
                               !fit_message_integer(message, FIT_EVENT_DATA16, &value))) {
        return;
    }
    /* The field has no sign, zero offsets have: a number in the upper half is a negative one. */
    if (value > INT32_MAX) {
        value -= INT64_C(1) << 32;
    }
    keep_zero_offset(arena, part, budget, message, value);
}

static void take_event(struct arena *arena, struct fit_part *part, struct fit_budget *budget,
                       const struct fit_message *message)
{
    const int64_t event = fit_message_integer_or(message, FIT_EVENT_EVENT, -1);
    if (event == FIT_EVENT_TIMER) {
        take_timer(arena, part, budget, message);
    } else if (event == FIT_EVENT_CALIBRATION) {
        take_zero_offset(arena, part, budget, message);
    }
}

/* Devices repeat their sensors; a later message of the same index adds to the first. */
static void take_device_info(struct arena *arena, struct fit_part *part, struct fit_budget *budget,
                             const struct fit_message *message)
{
    const int64_t index = fit_message_integer_or(message, FIT_DEVICE_INDEX, -1);
    const int64_t source = fit_message_integer_or(message, FIT_DEVICE_SOURCE, -1);
    const int64_t type = fit_message_integer_or(message, FIT_DEVICE_TYPE, -1);
    if (part->records.count > 0 && message->has_time &&
        (message->time >= FIT_POWER_ON_BELOW) != part->records_absolute) {
        return; /* another clock than the records': old bytes of the device's memory */
    }
    double offset = 0;
    if (message->has_time && fit_records_zero_offset(&part->records, message, &offset) &&
        fabs(offset) <= INT32_MAX) {
        keep_zero_offset(arena, part, budget, message, llround(offset));
    }
    struct device *device = &part->device;
    if (index != 0) {
        const char *kind = fit_sensor_kind(source, type);
        if (index < 0 || source == FIT_SOURCE_LOCAL) {
            return;
        }
        size_t i = 0;
        while (i < part->n_sensors && part->sensor_index[i] != index) {
            i++;
        }
        if (i == FIT_SENSORS) {
            return;
        }
        if (part->sensors == NULL) {
            part->sensors = ARENA_ARRAY(arena, struct device, FIT_SENSORS);
        }
        part->n_sensors += i == part->n_sensors;
        part->sensor_index[i] = index;
        device = &part->sensors[i];
        if (kind[0] != '\0') {
            snprintf(device->kind, sizeof device->kind, "%s", kind);
        }
    }
    keep_device(arena, device, message, FIT_DEVICE_MAKER, FIT_DEVICE_PRODUCT, FIT_DEVICE_SERIAL,
                FIT_DEVICE_PRODUCT_NAME);
}

static void take_workout_step(struct arena *arena, struct fit_part *part, struct fit_budget *budget,
                              const struct fit_message *message)
{
    if (!take_item(budget)) {
        return;
    }
    part->steps =
        arena_grow(arena, part->steps, part->n_steps, &part->step_capacity, sizeof part->steps[0]);
    struct workout_step *step = &part->steps[part->n_steps++];
    *step = (struct workout_step){ (double)NAN, (double)NAN, (double)NAN,
                                   (double)NAN, (double)NAN, "" };
    size_t length = 0;
    const char *name = fit_message_string(message, FIT_STEP_NAME, &length);
    keep_text(arena, step->name, sizeof step->name, name, length);
    int64_t value = 0;
    if (fit_message_integer_or(message, FIT_STEP_DURATION_TYPE, -1) == FIT_STEP_BY_TIME &&
        fit_message_integer(message, FIT_STEP_DURATION, &value)) {
        step->duration_s = (double)value / 1000.0;
    }
    /* A target of a numbered zone means whatever the device's zones were: not read. */
    if (!fit_step_target_is_power(fit_message_integer_or(message, FIT_STEP_TARGET_TYPE, -1)) ||
        fit_message_integer_or(message, FIT_STEP_TARGET, 0) != 0) {
        return;
    }
    const int64_t low = fit_message_integer_or(message, FIT_STEP_TARGET_LOW, -1);
    const int64_t high = fit_message_integer_or(message, FIT_STEP_TARGET_HIGH, -1);
    if (low < 0 || high < low) {
        return;
    }
    if (low > FIT_STEP_POWER_WATTS_FROM) {
        step->target_low_w = (double)(low - FIT_STEP_POWER_WATTS_FROM);
        step->target_high_w = (double)(high - FIT_STEP_POWER_WATTS_FROM);
    } else if (high <= FIT_STEP_POWER_WATTS_FROM) {
        step->target_low_pct = (double)low;
        step->target_high_pct = (double)high;
    }
}

static void take_activity(struct fit_part *part, const struct fit_message *message)
{
    part->is_finished = part->records.count > 0;
    int64_t local = 0;
    if (!message->has_time || message->time < FIT_POWER_ON_BELOW ||
        !fit_message_integer(message, FIT_ACTIVITY_LOCAL_TIMESTAMP, &local)) {
        return;
    }
    const int64_t offset_s = local - (int64_t)message->time;
    if (offset_s < OFFSET_LOWEST_S - OFFSET_STEP_S / 2 ||
        offset_s > OFFSET_HIGHEST_S + OFFSET_STEP_S / 2) {
        return;
    }
    const int64_t half = offset_s < 0 ? -OFFSET_STEP_S / 2 : OFFSET_STEP_S / 2;
    part->has_utc_offset = true;
    part->utc_offset_s = (int32_t)((offset_s + half) / OFFSET_STEP_S * OFFSET_STEP_S);
}

static void take_sport(struct fit_part *part, const struct fit_message *message)
{
    const int64_t sport = fit_message_integer_or(message, FIT_SPORT_SPORT, -1);
    if (sport >= 0) {
        part->sport = sport;
        part->sub_sport = fit_message_integer_or(message, FIT_SPORT_SUB_SPORT, -1);
    }
}

/* Only what has a time: a scale's weight says something of its own day alone. */
static void take_weight_scale(struct fit_part *part, const struct fit_message *message)
{
    const int64_t dag = fit_message_integer_or(message, FIT_WEIGHT_SCALE_WEIGHT, -1);
    if (message->has_time && dag >= 0 && dag != FIT_WEIGHT_SCALE_NOT_YET) {
        part->weighed_dag = dag;
        part->weighed_time = message->time;
    }
}

/* How many intervals a message may hold; 0 where its field is none of 16 bits. */
static size_t count_pulses(const struct fit_message *message)
{
    const struct fit_field *field = fit_message_field(message, FIT_HRV_TIME);
    return field != NULL && field->base == FIT_UINT16 && field->size % 2 == 0 ? field->size / 2u
                                                                              : 0;
}

static void take_pulses(struct fit_part *part, const struct fit_message *message, size_t room)
{
    const struct fit_field *field = fit_message_field(message, FIT_HRV_TIME);
    const size_t n = count_pulses(message);
    for (size_t i = 0; i < n && part->n_pulse < room; i++) {
        const uint16_t ms =
            fit_load16(message->data + field->offset + 2 * i, message->definition->big_endian);
        if (ms != UINT16_MAX) {
            part->pulse_ms[part->n_pulse] = ms;
            part->pulse_seq[part->n_pulse++] = (uint32_t)part->records.count;
        }
    }
}

static void take_message(struct arena *arena, struct fit_part *part, struct fit_budget *budget,
                         const struct fit_message *message, size_t pulse_room)
{
    switch (message->definition->message) {
    case FIT_FILE_ID: take_file_id(arena, part, message); break;
    case FIT_USER_PROFILE:
        part->weight_hg = fit_message_integer_or(message, FIT_USER_PROFILE_WEIGHT, part->weight_hg);
        break;
    case FIT_WEIGHT_SCALE: take_weight_scale(part, message); break;
    case FIT_ZONES_TARGET:
        part->threshold_w =
            fit_message_integer_or(message, FIT_ZONES_TARGET_THRESHOLD_POWER, part->threshold_w);
        break;
    case FIT_SPORT: take_sport(part, message); break;
    case FIT_SESSION: take_session(arena, part, budget, message); break;
    case FIT_LAP: take_lap(arena, part, budget, message); break;
    case FIT_RECORD:
        if (part->records.count == 0) {
            part->records_absolute = message->has_time && message->time >= FIT_POWER_ON_BELOW;
        }
        fit_records_take(&part->records, message);
        part->is_finished = false;
        break;
    case FIT_EVENT: take_event(arena, part, budget, message); break;
    case FIT_DEVICE_INFO: take_device_info(arena, part, budget, message); break;
    case FIT_WORKOUT_STEP: take_workout_step(arena, part, budget, message); break;
    case FIT_ACTIVITY: take_activity(part, message); break;
    case FIT_HRV: take_pulses(part, message, pulse_room); break;
    case FIT_FIELD_DESCRIPTION: fit_records_describe(&part->records, message); break;
    default: break;
    }
}

static void begin(struct fit_walk *walk, const struct fit_extent *extent, bool flip)
{
    fit_walk_begin(walk, extent->bytes, extent->at, extent->end, extent->trusted_end,
                   extent->widest_step, flip);
}

bool fit_part_read(struct arena *arena, struct fit_walk *walk, const struct fit_extent *extent,
                   struct fit_budget *budget, struct fit_part *part)
{
    struct fit_message message;
    *part = (struct fit_part){
        .sport = -1, .sub_sport = -1, .threshold_w = -1, .weight_hg = -1, .weighed_dag = -1
    };
    fit_records_begin(&part->records);
    size_t pulses = 0;
    begin(walk, extent, false);
    while (fit_walk_next(walk, &message)) {
        if (message.definition->message == FIT_RECORD) {
            fit_records_take(&part->records, &message);
        } else if (message.definition->message == FIT_FIELD_DESCRIPTION) {
            fit_records_describe(&part->records, &message);
        } else if (message.definition->message == FIT_HRV) {
            pulses += count_pulses(&message);
        }
    }
    if (part->records.count > budget->records) {
        return false;
    }
    budget->records -= part->records.count;
    pulses = pulses > budget->pulses ? budget->pulses : pulses;
    budget->pulses -= pulses;
    fit_records_make(arena, &part->records);
    part->pulse_ms = ARENA_ARRAY(arena, uint16_t, pulses);
    part->pulse_seq = ARENA_ARRAY(arena, uint32_t, pulses);
    /* All flags wrong: then file_id, whose number reads the same both ways, is turned as well. */
    const bool flip = walk->saw_wrong_flag && !walk->saw_right_flag;
    begin(walk, extent, flip);
    while (fit_walk_next(walk, &message)) {
        take_message(arena, part, budget, &message, pulses);
    }
    fit_records_end(&part->records);
    walk->saw_wrong_flag = walk->saw_wrong_flag || flip;
    return true;
}
