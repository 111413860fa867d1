/* recording/fit_record.c: plans, and the loop that follows them. */
#include "recording/fit_record.h"
#include "recording/fit_profile.h"

#include <math.h>
#include <string.h>
#include <strings.h>

enum step_kind {
    STEP_SMALL,      /* an integer of 1, 2 or 4 bytes */
    STEP_NUMBER,     /* any other number type */
    STEP_DEVELOPER,  /* any number type, with a scale of its own */
    STEP_BALANCE,    /* bit 7 says the right side, bits 0-6 % */
    STEP_CADENCE256, /* 1/256 rpm */
    STEP_SPEED_DISTANCE,
};

void fit_records_begin(struct fit_records *records)
{
    *records = (struct fit_records){ 0 };
}

void fit_records_make(struct arena *arena, struct fit_records *records)
{
    const size_t n = records->count;
    const uint32_t columns = records->columns;
    *records = (struct fit_records){ .filling = true, .capacity = n, .columns = columns };
    records->time = ARENA_ARRAY(arena, uint32_t, n);
    records->flags = ARENA_ARRAY(arena, uint8_t, n);
    for (size_t c = 0; c < FIT_COLUMNS; c++) {
        if ((columns >> c & 1u) != 0) {
            records->column[c] = ARENA_ARRAY(arena, int32_t, n);
            for (size_t i = 0; i < n; i++) {
                records->column[c][i] = RECORDING_MISSING;
            }
        }
    }
}

static struct fit_plan_step *add_step(struct fit_plan *plan, const struct fit_field *field,
                                      enum step_kind kind, size_t column)
{
    /* A full plan overwrites its last step: only a definition that names one field again and
     * again gets there. */
    plan->n_steps += plan->n_steps < FIT_PLAN_STEPS;
    struct fit_plan_step *step = &plan->steps[plan->n_steps - 1];
    *step = (struct fit_plan_step){ .offset = field->offset,
                                    .kind = (uint8_t)kind,
                                    .size = field->size,
                                    .base = field->base,
                                    .column = (uint8_t)column,
                                    .lowest = (int64_t)INT32_MIN + 1 };
    if (column <= CHANNEL_DISTANCE || column >= CHANNEL_COUNT) {
        step->lowest = 0; /* power, heart rate, cadence, speed, distance */
    }
    plan->columns |= 1u << column;
    return step;
}

/* A field of one number whose size is its type's: what the tables know. */
static bool is_scalar(const struct fit_field *field)
{
    return field->base < FIT_BASE_COUNT && field->base != FIT_STRING &&
           field->size == fit_base_size((enum fit_base)field->base);
}

static void add_scalar(struct fit_plan *plan, const struct fit_field *field,
                       const struct fit_record_row *row)
{
    /* A scalar has the size of its type: 1, 2, 4 or 8 bytes. */
    const bool is_small = field->size <= 4 && field->base != FIT_FLOAT32;
    struct fit_plan_step *step =
        add_step(plan, field, is_small ? STEP_SMALL : STEP_NUMBER, row->channel);
    step->times = row->times;
    step->plus = row->plus;
    if (!is_small) {
        return; /* fit_number knows what such a type doesn't know */
    }
    const uint32_t all = UINT32_MAX >> (32 - 8 * (uint32_t)field->size);
    const bool is_signed =
        field->base == FIT_SINT8 || field->base == FIT_SINT16 || field->base == FIT_SINT32;
    const bool zero_is_unknown =
        field->base == FIT_UINT8Z || field->base == FIT_UINT16Z || field->base == FIT_UINT32Z;
    step->unknown = is_signed ? all >> 1 : zero_is_unknown ? 0 : all;
    step->is_signed = is_signed;
}

/* Fields of the native profile, worse sources of a channel first, so that better ones win. */
static void plan_native(struct fit_plan *plan, const struct fit_definition *definition)
{
    for (size_t i = 0; i < definition->n_fields; i++) {
        const struct fit_field *field = &definition->fields[i];
        if (field->number == FIT_RECORD_COMPRESSED_SPEED_DISTANCE && field->size == 3 &&
            fit_base_size((enum fit_base)field->base) == 1) {
            add_step(plan, field, STEP_SPEED_DISTANCE, CHANNEL_SPEED);
            plan->columns |= 1u << CHANNEL_DISTANCE;
        } else if (field->number == FIT_RECORD_CADENCE256 && field->base == FIT_UINT16 &&
                   field->size == 2) {
            add_step(plan, field, STEP_CADENCE256, CHANNEL_CADENCE);
        } else if (field->number == FIT_RECORD_BALANCE && field->size == 1 && is_scalar(field)) {
            add_step(plan, field, STEP_BALANCE, CHANNEL_BALANCE);
        }
    }
    for (size_t r = 0; r < n_fit_record_rows; r++) {
        for (size_t i = 0; i < definition->n_fields; i++) {
            const struct fit_field *field = &definition->fields[i];
            if (field->number == fit_record_rows[r].field && is_scalar(field)) {
                add_scalar(plan, field, &fit_record_rows[r]);
            }
        }
    }
}

static bool is_meant(const struct fit_developer_meaning *meaning,
                     const struct fit_developer_field *own)
{
    return own->index == meaning->index && own->number == meaning->number &&
           own->size == fit_base_size((enum fit_base)meaning->base);
}

static void plan_developer(struct fit_plan *plan, const struct fit_records *records,
                           const struct fit_definition *definition)
{
    /* The meaning that was described first comes last, so that it wins. */
    for (size_t m = records->n_meanings; m > 0; m--) {
        const struct fit_developer_meaning *meaning = &records->meanings[m - 1];
        for (size_t i = 0; i < definition->n_developer; i++) {
            const struct fit_developer_field *own = &definition->developer[i];
            if (meaning->column < FIT_COLUMNS && is_meant(meaning, own)) {
                const struct fit_field field = { own->number, own->size, meaning->base,
                                                 own->offset };
                struct fit_plan_step *step =
                    add_step(plan, &field, STEP_DEVELOPER, meaning->column);
                step->scale = meaning->scale;
                step->shift = meaning->offset;
            }
        }
    }
}

static const struct fit_plan *plan_of(struct fit_records *records,
                                      const struct fit_message *message)
{
    struct fit_plan *plan = &records->plans[message->local];
    const struct fit_definition *definition = message->definition;
    if (plan->version != definition->version ||
        (definition->n_developer > 0 && plan->meanings != records->meanings_version)) {
        plan->version = definition->version;
        plan->meanings = records->meanings_version;
        plan->columns = 0;
        plan->n_steps = 0;
        plan_native(plan, definition);
        plan_developer(plan, records, definition);
        size_t round = 0;
        for (size_t s = 0; s < plan->n_steps; s++) {
            round += plan->steps[s].kind == STEP_SPEED_DISTANCE;
        }
        plan->one_by_one = round > 1;
    }
    return plan;
}

static void put(struct fit_records *records, size_t column, size_t i, int64_t step, int64_t lowest)
{
    if (step >= lowest && step <= INT32_MAX) {
        records->column[column][i] = (int32_t)step;
    }
}

/* A number rounded to a step, halves away from zero; too large for any channel: never put. */
static int64_t rounded(double number)
{
    return fabs(number) < 4e18 ? llround(number) : INT64_MAX;
}

/* 12 bits of speed in cm/s, then 12 bits of distance in sixteenths of a metre, low bits first. */
static void take_speed_distance(struct fit_records *records, const uint8_t *at, size_t i)
{
    if ((at[0] & at[1] & at[2]) == 0xFF) {
        return;
    }
    const uint32_t speed = (uint32_t)at[0] | (uint32_t)(at[1] & 0x0Fu) << 8;
    const uint32_t raw = (uint32_t)at[1] >> 4 | (uint32_t)at[2] << 4;
    if (speed != 0xFFF) {
        put(records, CHANNEL_SPEED, i, (int64_t)speed * 10, 0);
    }
    /* The counter's first value is the distance itself; from then on it is followed round. */
    records->distance_16ths += records->has_distance ? (raw - records->distance_raw) & 0xFFFu : raw;
    records->has_distance = true;
    records->distance_raw = raw;
    put(records, CHANNEL_DISTANCE, i, (int64_t)((records->distance_16ths * 100 + 8) / 16), 0);
}

/* One step of gathered messages whose first is row `from`; `size` and `big_endian` are constants
 * where it is called, and it is always inlined, so that the loop holds nothing but the sum. */
static inline __attribute__((always_inline)) void follow_small(int32_t *column,
                                                               const struct fit_plan_step *step,
                                                               const uint8_t *const data[],
                                                               size_t n, size_t size,
                                                               bool big_endian)
{
    /* Of a signed type: the middle of its range.  (raw ^ half) - half is the number. */
    const int64_t half = step->is_signed ? INT64_C(1) << (8 * size - 1) : 0;
    const int64_t lowest = step->lowest;
    const uint32_t unknown = step->unknown;
    const int32_t times = step->times;
    const int32_t plus = step->plus;
    const uint32_t offset = step->offset;
    for (size_t i = 0; i < n; i++) {
        const uint8_t *at = data[i] + offset;
        const uint32_t raw = size == 1   ? at[0]
                             : size == 2 ? fit_load16(at, big_endian)
                                         : fit_load32(at, big_endian);
        const int64_t value = (((int64_t)raw ^ half) - half) * times + plus;
        if (raw != unknown && value >= lowest && value <= INT32_MAX) {
            column[i] = (int32_t)value;
        }
    }
}

static void follow_smalls(int32_t *column, const struct fit_plan_step *step,
                          const uint8_t *const data[], size_t n, bool big_endian)
{
    if (step->size == 1) {
        follow_small(column, step, data, n, 1, false);
    } else if (step->size == 2 && big_endian) {
        follow_small(column, step, data, n, 2, true);
    } else if (step->size == 2) {
        follow_small(column, step, data, n, 2, false);
    } else if (big_endian) {
        follow_small(column, step, data, n, 4, true);
    } else {
        follow_small(column, step, data, n, 4, false);
    }
}

static void take_step(struct fit_records *records, const struct fit_plan_step *step,
                      const uint8_t *at, bool big_endian, size_t i)
{
    double number = 0;
    int64_t whole = 0;
    switch ((enum step_kind)step->kind) {
    case STEP_SMALL: return; /* followed by follow_smalls */
    case STEP_NUMBER:
        if (fit_number((enum fit_base)step->base, at, big_endian, &number)) {
            put(records, step->column, i, rounded(number * step->times + step->plus), step->lowest);
        }
        return;
    case STEP_DEVELOPER:
        if (fit_number((enum fit_base)step->base, at, big_endian, &number)) {
            put(records, step->column, i, rounded(number / step->scale - step->shift),
                step->lowest);
        }
        return;
    case STEP_BALANCE:
        if (at[0] != 0xFF && (at[0] & 0x7Fu) <= 100) {
            const int64_t percent = at[0] & 0x7F;
            put(records, CHANNEL_BALANCE, i, ((at[0] & 0x80u) != 0 ? 100 - percent : percent) * 10,
                0);
        }
        return;
    case STEP_CADENCE256:
        if (fit_integer(FIT_UINT16, at, big_endian, &whole)) {
            put(records, CHANNEL_CADENCE, i, (whole + 128) / 256, 0);
        }
        return;
    case STEP_SPEED_DISTANCE: take_speed_distance(records, at, i); return;
    }
}

/* Puts what was gathered into the columns. */
static void follow(struct fit_records *records)
{
    const size_t n = records->n_gathered;
    const size_t from = records->count - n;
    const struct fit_plan *plan = records->gathered_plan;
    const bool big_endian = records->gathered_big_endian;
    for (size_t s = 0; n > 0 && s < plan->n_steps; s++) {
        const struct fit_plan_step *step = &plan->steps[s];
        if (step->kind == STEP_SMALL) {
            follow_smalls(records->column[step->column] + from, step, records->gathered, n,
                          big_endian);
            continue;
        }
        for (size_t i = 0; i < n; i++) {
            take_step(records, step, records->gathered[i] + step->offset, big_endian, from + i);
        }
    }
    records->n_gathered = 0;
}

void fit_records_end(struct fit_records *records)
{
    follow(records);
}

/* Whether a message can be gathered with those before it: a plan is changed in place when its
 * definition is, and one definition has one byte order. */
static bool goes_with(const struct fit_records *records, const struct fit_message *message)
{
    const struct fit_plan *plan = &records->plans[message->local];
    const bool same_meanings =
        message->definition->n_developer == 0 || plan->meanings == records->meanings_version;
    return records->gathered_plan == plan && plan->version == message->definition->version &&
           same_meanings && !plan->one_by_one && records->n_gathered < FIT_GATHERED;
}

void fit_records_take(struct fit_records *records, const struct fit_message *message)
{
    if (records->n_gathered > 0 && !goes_with(records, message)) {
        follow(records);
    }
    const struct fit_plan *plan = plan_of(records, message);
    if (!records->filling) {
        records->count++;
        records->columns |= plan->columns;
        return;
    }
    /* The walks agree but where turned byte orders end one sooner than the other. */
    if (records->count == records->capacity || (plan->columns & ~records->columns) != 0) {
        return;
    }
    records->gathered_plan = plan;
    records->gathered_big_endian = message->definition->big_endian;
    records->gathered[records->n_gathered++] = message->data;
    records->time[records->count] = message->time;
    records->flags[records->count] = message->has_time ? 0 : FIT_NO_TIME | FIT_DROPPED;
    records->count++;
}

static bool is_one_of(const char *text, size_t length, const char *const words[])
{
    for (size_t i = 0; words[i] != NULL; i++) {
        if (text != NULL && strlen(words[i]) == length &&
            strncasecmp(text, words[i], length) == 0) {
            return true;
        }
    }
    return false;
}

/* The column that a description speaks of, or FIT_COLUMNS. */
static enum fit_column meant_column(const struct fit_message *message)
{
    static const struct {
        enum fit_column column;
        int64_t native_field;
        const char *names[5];
        const char *units[5];
    } quantities[] = {
        { FIT_DEVELOPER_POWER, FIT_RECORD_POWER, { "power" }, { "watts", "watt", "w" } },
        { FIT_DEVELOPER_HEART_RATE,
          FIT_RECORD_HEART_RATE,
          { "heart rate", "heart_rate", "heartrate" },
          { "bpm" } },
        { FIT_DEVELOPER_CADENCE, FIT_RECORD_CADENCE, { "cadence" }, { "rpm" } },
    };
    const int64_t native_message =
        fit_message_integer_or(message, FIT_DESCRIPTION_NATIVE_MESSAGE, -1);
    const int64_t native_field = fit_message_integer_or(message, FIT_DESCRIPTION_NATIVE_FIELD, -1);
    size_t name_length = 0;
    size_t unit_length = 0;
    const char *name = fit_message_string(message, FIT_DESCRIPTION_NAME, &name_length);
    const char *unit = fit_message_string(message, FIT_DESCRIPTION_UNITS, &unit_length);
    for (size_t i = 0; i < sizeof quantities / sizeof quantities[0]; i++) {
        if ((native_message == FIT_RECORD && native_field == quantities[i].native_field) ||
            (is_one_of(name, name_length, quantities[i].names) &&
             is_one_of(unit, unit_length, quantities[i].units))) {
            return quantities[i].column;
        }
    }
    static const char *const offsets[] = { "calibration", "zero offset",    "zero_offset",
                                           "zerooffset",  "leftzerooffset", NULL };
    return is_one_of(name, name_length, offsets) ? FIT_ZERO_OFFSET : FIT_COLUMNS;
}

/* Takes a field's former meaning away: it is described anew.  True if it had one. */
static bool forget_meaning(struct fit_records *records, int64_t index, int64_t number)
{
    for (size_t i = 0; i < records->n_meanings; i++) {
        if (records->meanings[i].index == index && records->meanings[i].number == number) {
            records->n_meanings--;
            memmove(&records->meanings[i], &records->meanings[i + 1],
                    (records->n_meanings - i) * sizeof records->meanings[0]);
            return true;
        }
    }
    return false;
}

void fit_records_describe(struct fit_records *records, const struct fit_message *message)
{
    int64_t index = 0;
    int64_t number = 0;
    int64_t type = 0;
    if (!fit_message_integer(message, FIT_DESCRIPTION_DEVELOPER_INDEX, &index) ||
        !fit_message_integer(message, FIT_DESCRIPTION_NUMBER, &number) ||
        !fit_message_integer(message, FIT_DESCRIPTION_BASE_TYPE, &type) || index < 0 ||
        index > UINT8_MAX || number < 0 || number > UINT8_MAX || type < 0 || type > UINT8_MAX) {
        return;
    }
    const enum fit_base base = fit_base_of((uint8_t)type);
    const enum fit_column column = meant_column(message);
    if (forget_meaning(records, index, number)) {
        records->meanings_version++;
    }
    if (column == FIT_COLUMNS || base == FIT_BASE_COUNT || base == FIT_STRING ||
        records->n_meanings == FIT_MEANINGS) {
        return;
    }
    const int64_t scale = fit_message_integer_or(message, FIT_DESCRIPTION_SCALE, 1);
    records->meanings[records->n_meanings++] = (struct fit_developer_meaning){
        .index = (uint8_t)index,
        .number = (uint8_t)number,
        .base = (uint8_t)base,
        .column = (uint8_t)column,
        .scale = scale == 0 ? 1.0 : (double)scale,
        .offset = (double)fit_message_integer_or(message, FIT_DESCRIPTION_OFFSET, 0),
    };
    records->meanings_version++;
}

bool fit_records_zero_offset(const struct fit_records *records, const struct fit_message *message,
                             double *value)
{
    const struct fit_definition *definition = message->definition;
    for (size_t m = 0; m < records->n_meanings; m++) {
        const struct fit_developer_meaning *meaning = &records->meanings[m];
        for (size_t i = 0; meaning->column == FIT_ZERO_OFFSET && i < definition->n_developer; i++) {
            const struct fit_developer_field *own = &definition->developer[i];
            if (is_meant(meaning, own) &&
                fit_number((enum fit_base)meaning->base, message->data + own->offset,
                           definition->big_endian, value)) {
                *value = *value / meaning->scale - meaning->offset;
                return true;
            }
        }
    }
    return false;
}
