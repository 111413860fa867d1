/* recording/fit_message.c: definitions, headers, and where messages end. */
#include "recording/fit_message.h"
#include "recording/fit_profile.h"

#include <string.h>

/* Bits of a message's header byte.  Source: FIT protocol, record header. */
enum {
    HEADER_COMPRESSED = 0x80, /* bits 5-6 local number, bits 0-4 seconds */
    HEADER_DEFINITION = 0x40,
    HEADER_DEVELOPER = 0x20, /* of a definition: developer fields follow */
    HEADER_LOCAL = 0x0F,
    COMPRESSED_SECONDS = 0x1F,
};

/* The public profile's numbers stay well below this; above it, up to the makers' own, a number is
 * taken for one read in the wrong byte order if the other order gives a number below. */
static const uint16_t LIKELY_MESSAGES = 1024;

void fit_walk_begin(struct fit_walk *walk, const uint8_t *bytes, size_t at, size_t end,
                    size_t trusted_end, int64_t widest_step, bool flip)
{
    walk->bytes = bytes;
    walk->at = at;
    walk->end = end;
    walk->trusted_end = trusted_end;
    walk->widest_step = widest_step;
    walk->flip = flip;
    walk->saw_wrong_flag = false;
    walk->saw_right_flag = false;
    walk->saw_file_id = false;
    walk->has_time = false;
    walk->time = 0;
    walk->version = 0;
    walk->stop = FIT_STOP_NOT_YET;
    for (size_t i = 0; i < FIT_LOCALS; i++) {
        walk->locals[i].defined = false;
    }
}

bool fit_is_header(const uint8_t *bytes, size_t size, size_t at)
{
    return at <= size && size - at >= 12 && bytes[at] >= 12 &&
           memcmp(bytes + at + 8, ".FIT", 4) == 0;
}

static bool stop_walk(struct fit_walk *walk, enum fit_stop stop)
{
    walk->stop = stop;
    return false;
}

/* The byte order of a definition: its flag, unless the message number speaks against it. */
static bool order_is_big(struct fit_walk *walk, uint8_t flag, const uint8_t *number)
{
    const bool flagged = (flag != 0) != walk->flip;
    const uint16_t as_flagged = fit_load16(number, flagged);
    const uint16_t otherwise = fit_load16(number, !flagged);
    if (as_flagged >= LIKELY_MESSAGES && as_flagged < FIT_MAKERS_OWN &&
        otherwise < LIKELY_MESSAGES) {
        walk->saw_wrong_flag = true;
        return !flagged;
    }
    if (as_flagged < LIKELY_MESSAGES && otherwise >= LIKELY_MESSAGES &&
        otherwise < FIT_MAKERS_OWN) {
        walk->saw_right_flag = true;
    }
    return flagged;
}

/* Reads the 3-byte rows of a definition.  True if they could be fields at all.  Fields of no bytes
 * are left out, so that a message never has more fields than bytes and looking one up stays cheap
 * whatever a definition says. */
static bool read_fields(struct fit_definition *definition, const uint8_t *rows, size_t n)
{
    size_t unknown = 0;
    definition->n_fields = 0;
    definition->has_time = false;
    for (size_t i = 0; i < n; i++) {
        const enum fit_base base = fit_base_of(rows[3 * i + 2]);
        const struct fit_field field = { rows[3 * i], rows[3 * i + 1], (uint8_t)base,
                                         definition->size };
        unknown += base == FIT_BASE_COUNT;
        if (field.size == 0) {
            continue;
        }
        definition->fields[definition->n_fields++] = field;
        definition->size += field.size;
        if (field.number == FIT_TIMESTAMP && field.size == 4 &&
            (base == FIT_UINT32 || base == FIT_UINT32Z || base == FIT_SINT32)) {
            definition->has_time = true;
            definition->time_offset = field.offset;
        }
    }
    /* One odd type may be a device's slip; most of them odd means that this is no definition. */
    return 2 * unknown <= n;
}

static void read_developer_fields(struct fit_definition *definition, const uint8_t *rows, size_t n)
{
    definition->n_developer = 0;
    for (size_t i = 0; i < n; i++) {
        const uint8_t *row = rows + 3 * i;
        if (row[1] > 0) {
            definition->developer[definition->n_developer++] =
                (struct fit_developer_field){ row[0], row[1], row[2], definition->size };
            definition->size += row[1];
        }
    }
}

static bool take_definition(struct fit_walk *walk, uint8_t header)
{
    const uint8_t *at = walk->bytes + walk->at;
    const size_t left = walk->end - walk->at;
    if (left < 6) {
        return stop_walk(walk, FIT_STOP_SHORT);
    }
    const size_t n_fields = at[5];
    size_t size = 6 + 3 * n_fields;
    size_t n_developer = 0;
    if ((header & HEADER_DEVELOPER) != 0) {
        if (left < size + 1) {
            return stop_walk(walk, FIT_STOP_SHORT);
        }
        n_developer = at[size];
        size += 1 + 3 * n_developer;
    }
    if (left < size) {
        return stop_walk(walk, FIT_STOP_SHORT);
    }
    struct fit_definition *definition = &walk->locals[header & HEADER_LOCAL];
    definition->big_endian = order_is_big(walk, at[2], at + 3);
    definition->message = fit_load16(at + 3, definition->big_endian);
    definition->size = 0;
    definition->version = ++walk->version;
    definition->defined = read_fields(definition, at + 6, n_fields);
    if (!definition->defined) {
        return stop_walk(walk, FIT_STOP_NONSENSE);
    }
    read_developer_fields(definition, at + size - 3 * n_developer, n_developer);
    walk->at += size;
    return true;
}

static void take_time(struct fit_walk *walk, uint8_t header, struct fit_message *message)
{
    const struct fit_definition *definition = message->definition;
    if (definition->has_time) {
        const uint32_t time =
            fit_load32(message->data + definition->time_offset, definition->big_endian);
        if (time != UINT32_MAX && time != 0) {
            message->has_time = true;
            message->time = time;
        }
    }
    if (!message->has_time && (header & HEADER_COMPRESSED) != 0 && walk->has_time) {
        /* Check SD-06: the next instant whose low five bits are these. */
        const uint32_t seconds = header & COMPRESSED_SECONDS;
        const uint32_t low = walk->time & COMPRESSED_SECONDS;
        message->has_time = true;
        message->time = walk->time - low + seconds + (seconds < low ? 32u : 0u);
    }
}

/* Beyond the trusted end only what continues the recording counts: old contents of a device's
 * memory often follow. */
static bool makes_sense(const struct fit_walk *walk, const struct fit_message *message)
{
    if (message->definition->message == FIT_FILE_ID && walk->saw_file_id) {
        return false;
    }
    if (message->definition->message == FIT_RECORD && !message->has_time) {
        return false;
    }
    if (message->has_time && walk->has_time) {
        const int64_t step = (int64_t)message->time - (int64_t)walk->time;
        return step <= walk->widest_step && -step <= walk->widest_step;
    }
    return true;
}

static bool take_data(struct fit_walk *walk, uint8_t header, struct fit_message *message)
{
    const unsigned local =
        (header & HEADER_COMPRESSED) != 0 ? (header >> 5) & 3u : header & HEADER_LOCAL;
    const struct fit_definition *definition = &walk->locals[local];
    if (!definition->defined) {
        return stop_walk(walk, FIT_STOP_NONSENSE);
    }
    if (walk->end - walk->at < 1 + (size_t)definition->size) {
        return stop_walk(walk, FIT_STOP_SHORT);
    }
    *message = (struct fit_message){ .definition = definition,
                                     .data = walk->bytes + walk->at + 1,
                                     .local = local };
    take_time(walk, header, message);
    if (walk->at + 1 + definition->size > walk->trusted_end && !makes_sense(walk, message)) {
        return stop_walk(walk, FIT_STOP_NONSENSE);
    }
    walk->at += 1 + (size_t)definition->size;
    walk->saw_file_id = walk->saw_file_id || definition->message == FIT_FILE_ID;
    if (message->has_time) {
        walk->has_time = true;
        walk->time = message->time;
    }
    return true;
}

bool fit_walk_next(struct fit_walk *walk, struct fit_message *message)
{
    while (walk->at < walk->end) {
        if (walk->at >= walk->trusted_end && fit_is_header(walk->bytes, walk->end, walk->at)) {
            return stop_walk(walk, FIT_STOP_NEXT);
        }
        const uint8_t header = walk->bytes[walk->at];
        if ((header & (HEADER_COMPRESSED | HEADER_DEFINITION)) == HEADER_DEFINITION) {
            if (!take_definition(walk, header)) {
                return false;
            }
            continue;
        }
        return take_data(walk, header, message);
    }
    return stop_walk(walk, FIT_STOP_END);
}

const struct fit_field *fit_message_field(const struct fit_message *message, uint8_t field)
{
    const struct fit_definition *definition = message->definition;
    for (size_t i = 0; i < definition->n_fields; i++) {
        if (definition->fields[i].number == field) {
            return &definition->fields[i];
        }
    }
    return NULL;
}

bool fit_message_integer(const struct fit_message *message, uint8_t field, int64_t *value)
{
    const struct fit_field *row = fit_message_field(message, field);
    if (row == NULL || row->base >= FIT_BASE_COUNT ||
        row->size != fit_base_size((enum fit_base)row->base)) {
        return false;
    }
    return fit_integer((enum fit_base)row->base, message->data + row->offset,
                       message->definition->big_endian, value);
}

int64_t fit_message_integer_or(const struct fit_message *message, uint8_t field, int64_t otherwise)
{
    int64_t value = otherwise;
    return fit_message_integer(message, field, &value) ? value : otherwise;
}

const char *fit_message_string(const struct fit_message *message, uint8_t field, size_t *length)
{
    const struct fit_field *row = fit_message_field(message, field);
    if (row == NULL || row->base != FIT_STRING || row->size == 0) {
        return NULL;
    }
    const char *text = (const char *)message->data + row->offset;
    const char *end = memchr(text, '\0', row->size);
    if (end == NULL || end == text) {
        return NULL;
    }
    *length = (size_t)(end - text);
    return text;
}
