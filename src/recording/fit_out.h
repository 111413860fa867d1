/* recording/fit_out.h: messages of the FIT protocol as bytes, for the writer.
 *
 * A message is a list of fields.  Its first use under a local number writes the definition, later
 * uses write data only: so a local number belongs to one shape of message through the file.
 * Values outside what the field's type holds are written as the type's invalid mark. */
#ifndef RECORDING_FIT_OUT_H
#define RECORDING_FIT_OUT_H

#include "base/arena.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Base types as numbered by the protocol; bit 7 = the order of bytes matters. */
enum fit_out_base {
    FIT_OUT_ENUM = 0x00,
    FIT_OUT_SINT8 = 0x01,
    FIT_OUT_UINT8 = 0x02,
    FIT_OUT_STRING = 0x07,
    FIT_OUT_BYTE = 0x0D,
    FIT_OUT_UINT16 = 0x84,
    FIT_OUT_SINT32 = 0x85,
    FIT_OUT_UINT32 = 0x86,
    FIT_OUT_UINT32Z = 0x8C,
};

/* No value: written as the invalid mark of the type. */
#define FIT_OUT_NONE INT64_MIN

/* The field number of a message's own time. */
#define FIT_OUT_TIME 253

#define FIT_OUT_FIELDS 24

struct fit_out_field {
    uint8_t number;
    uint8_t base;       /* enum fit_out_base */
    uint8_t size;       /* bytes */
    bool developer;     /* of developer 0; stands behind every other field */
    int64_t value;      /* unless raw */
    const uint8_t *raw; /* [size] bytes as they are: strings and byte arrays */
};

struct fit_out_message {
    uint8_t local;   /* 0..15; 0..3 when compressed */
    uint16_t global; /* the protocol's number of the message */
    size_t n_fields;
    struct fit_out_field fields[FIT_OUT_FIELDS];
};

struct fit_out_file {
    struct arena *arena;
    uint8_t *bytes; /* [size] so far */
    size_t size;
    size_t capacity;
    bool big_endian;
    uint16_t defined;  /* bit n: local number n has its definition in the file */
    int64_t last_time; /* the newest time written, FIT seconds; FIT_OUT_NONE before the first */
};

void fit_out_add(struct fit_out_message *message, uint8_t number, enum fit_out_base base,
                 int64_t value);
void fit_out_add_developer(struct fit_out_message *message, uint8_t number, enum fit_out_base base,
                           int64_t value);
void fit_out_add_raw(struct fit_out_message *message, uint8_t number, enum fit_out_base base,
                     const void *raw, uint8_t size);

/* Plain header; a field FIT_OUT_TIME becomes the writer's last time. */
void fit_out_write(struct fit_out_file *writer, const struct fit_out_message *message);

/* True if `time` can stand as a 5-bit offset in the header: 0..31 s after the last time. */
bool fit_out_can_compress(const struct fit_out_file *writer, int64_t time);

/* Compressed-timestamp header; the message has no FIT_OUT_TIME of its own. */
void fit_out_write_compressed(struct fit_out_file *writer, const struct fit_out_message *message,
                              int64_t time);

/* Raw bytes, little endian, whatever the order of the messages: for the file header and CRC. */
void fit_out_put(struct fit_out_file *writer, uint64_t value, size_t size);

#endif
