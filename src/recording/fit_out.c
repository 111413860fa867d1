/* recording/fit_out.c: definition and data messages of the FIT protocol. */
#include "recording/fit_out.h"

#include <assert.h>

/* Header bits of the protocol. */
static const uint8_t HEADER_DEFINITION = 0x40;
static const uint8_t HEADER_DEVELOPER = 0x20;
static const uint8_t HEADER_COMPRESSED = 0x80;

/* What fits in a type, and the mark for "no value" (SD-05 in the published facts: the protocol's
 * base types). */
struct base_row {
    enum fit_out_base base;
    uint8_t size;
    int64_t lowest;
    int64_t highest;
    int64_t invalid;
};

static const struct base_row *base_row(uint8_t base)
{
    static const struct base_row rows[] = {
        { FIT_OUT_ENUM, 1, 0, 0xFE, 0xFF },
        { FIT_OUT_SINT8, 1, INT8_MIN, INT8_MAX - 1, INT8_MAX },
        { FIT_OUT_UINT8, 1, 0, 0xFE, 0xFF },
        { FIT_OUT_UINT16, 2, 0, 0xFFFE, 0xFFFF },
        { FIT_OUT_SINT32, 4, INT32_MIN, INT32_MAX - 1, INT32_MAX },
        { FIT_OUT_UINT32, 4, 0, 0xFFFFFFFE, 0xFFFFFFFF },
        { FIT_OUT_UINT32Z, 4, 1, 0xFFFFFFFF, 0 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (rows[i].base == base) {
            return &rows[i];
        }
    }
    return &rows[0];
}

static struct fit_out_field *add(struct fit_out_message *message, uint8_t number,
                                 enum fit_out_base base)
{
    assert(message->n_fields < FIT_OUT_FIELDS);
    struct fit_out_field *field = &message->fields[message->n_fields++];
    *field = (struct fit_out_field){ .number = number, .base = (uint8_t)base };
    return field;
}

void fit_out_add(struct fit_out_message *message, uint8_t number, enum fit_out_base base,
                 int64_t value)
{
    struct fit_out_field *field = add(message, number, base);
    field->size = base_row((uint8_t)base)->size;
    field->value = value;
}

void fit_out_add_developer(struct fit_out_message *message, uint8_t number, enum fit_out_base base,
                           int64_t value)
{
    fit_out_add(message, number, base, value);
    message->fields[message->n_fields - 1].developer = true;
}

void fit_out_add_raw(struct fit_out_message *message, uint8_t number, enum fit_out_base base,
                     const void *raw, uint8_t size)
{
    struct fit_out_field *field = add(message, number, base);
    field->raw = raw;
    field->size = size;
}

static void put_byte(struct fit_out_file *writer, uint8_t byte)
{
    writer->bytes = arena_grow(writer->arena, writer->bytes, writer->size, &writer->capacity, 1);
    writer->bytes[writer->size++] = byte;
}

void fit_out_put(struct fit_out_file *writer, uint64_t value, size_t size)
{
    for (size_t i = 0; i < size; i++) {
        put_byte(writer, (uint8_t)(value >> (8 * i)));
    }
}

/* In the order of the file's messages. */
static void put_number(struct fit_out_file *writer, uint64_t value, size_t size)
{
    for (size_t i = 0; i < size; i++) {
        const size_t place = writer->big_endian ? size - 1 - i : i;
        put_byte(writer, (uint8_t)(value >> (8 * place)));
    }
}

static void put_definition(struct fit_out_file *writer, const struct fit_out_message *message)
{
    uint8_t n_own = 0;
    while (n_own < message->n_fields && !message->fields[n_own].developer) {
        n_own++;
    }
    const uint8_t n_developer = (uint8_t)(message->n_fields - n_own);
    put_byte(writer, (uint8_t)(HEADER_DEFINITION | (n_developer > 0 ? HEADER_DEVELOPER : 0) |
                               message->local));
    put_byte(writer, 0); /* reserved */
    put_byte(writer, writer->big_endian ? 1 : 0);
    put_number(writer, message->global, 2);
    put_byte(writer, n_own);
    for (size_t i = 0; i < n_own; i++) {
        put_byte(writer, message->fields[i].number);
        put_byte(writer, message->fields[i].size);
        put_byte(writer, message->fields[i].base);
    }
    if (n_developer > 0) {
        put_byte(writer, n_developer);
        for (size_t i = n_own; i < message->n_fields; i++) {
            put_byte(writer, message->fields[i].number);
            put_byte(writer, message->fields[i].size);
            put_byte(writer, 0); /* developer data index */
        }
    }
    writer->defined = (uint16_t)(writer->defined | 1u << message->local);
}

static void put_field(struct fit_out_file *writer, const struct fit_out_field *field)
{
    if (field->raw != NULL) {
        for (size_t i = 0; i < field->size; i++) {
            put_byte(writer, field->raw[i]);
        }
        return;
    }
    const struct base_row *row = base_row(field->base);
    const bool fits = field->value >= row->lowest && field->value <= row->highest;
    put_number(writer, (uint64_t)(fits ? field->value : row->invalid), field->size);
}

static void put_message(struct fit_out_file *writer, const struct fit_out_message *message,
                        uint8_t header)
{
    if (((unsigned)writer->defined >> message->local & 1u) == 0) {
        put_definition(writer, message);
    }
    put_byte(writer, header);
    for (size_t i = 0; i < message->n_fields; i++) {
        put_field(writer, &message->fields[i]);
    }
}

void fit_out_write(struct fit_out_file *writer, const struct fit_out_message *message)
{
    put_message(writer, message, message->local);
    for (size_t i = 0; i < message->n_fields; i++) {
        if (message->fields[i].number == FIT_OUT_TIME && !message->fields[i].developer) {
            writer->last_time = message->fields[i].value;
        }
    }
}

bool fit_out_can_compress(const struct fit_out_file *writer, int64_t time)
{
    return writer->last_time != FIT_OUT_NONE && time >= writer->last_time &&
           time - writer->last_time < 32;
}

void fit_out_write_compressed(struct fit_out_file *writer, const struct fit_out_message *message,
                              int64_t time)
{
    assert(message->local < 4 && fit_out_can_compress(writer, time));
    put_message(writer, message,
                (uint8_t)(HEADER_COMPRESSED | message->local << 5 | (time & 0x1F)));
    writer->last_time = time;
}
