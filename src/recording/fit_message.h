/* recording/fit_message.h: the messages of one FIT file, one after the other.
 *
 *   header | definition 0 | data 0 | definition 1 | data 1 | data 1 | data 0 | ... | CRC
 *            `which fields, how long, which byte order': stays in force for its local number
 *            (0..15) until it is defined anew
 *
 * fit_walk_next gives data messages and keeps definitions to itself.  It never reads past `end`,
 * never allocates, and takes at least one byte a message, so a walk is linear in the bytes. */
#ifndef RECORDING_FIT_MESSAGE_H
#define RECORDING_FIT_MESSAGE_H

#include "recording/fit_bytes.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define FIT_LOCALS 16
#define FIT_FIELDS 255

struct fit_field {
    uint8_t number;
    uint8_t size;    /* bytes */
    uint8_t base;    /* enum fit_base */
    uint32_t offset; /* from the message's first byte of data */
};

/* A field whose meaning a field_description message gives. */
struct fit_developer_field {
    uint8_t number;
    uint8_t size;
    uint8_t index; /* developer_data_index */
    uint32_t offset;
};

struct fit_definition {
    bool defined;
    bool big_endian;
    uint16_t message; /* enum fit_message_number, or one that isn't known here */
    uint32_t size;    /* bytes of data, header byte not counted */
    uint32_t version; /* differs between any two definitions of a walk */
    size_t n_fields;
    struct fit_field fields[FIT_FIELDS];
    size_t n_developer;
    struct fit_developer_field developer[FIT_FIELDS];
    bool has_time; /* a usable field 253 */
    uint32_t time_offset;
};

struct fit_message {
    const struct fit_definition *definition;
    const uint8_t *data; /* [definition->size] */
    unsigned local;
    bool has_time; /* of its own, or by a compressed header */
    uint32_t time; /* seconds from the protocol's epoch, or from power-on */
};

enum fit_stop {
    FIT_STOP_NOT_YET,
    FIT_STOP_END,      /* the last message ended where it should */
    FIT_STOP_SHORT,    /* a message would run past the end */
    FIT_STOP_NONSENSE, /* a local number without definition, an impossible definition, a wild time
                        */
    FIT_STOP_NEXT,     /* another FIT header stands here (seen only where the end isn't trusted) */
};

struct fit_walk {
    const uint8_t *bytes;
    size_t at;           /* of the next message */
    size_t end;          /* first byte that isn't a message's */
    size_t trusted_end;  /* beyond it each message must make sense by itself */
    int64_t widest_step; /* s: beyond trusted_end a time further off than this is nonsense */
    bool flip;           /* the file's byte-order flags are all wrong */
    bool saw_wrong_flag; /* a definition whose flag can't be right */
    bool saw_right_flag; /* one whose flag can't be wrong */
    bool saw_file_id;
    bool has_time;
    uint32_t time; /* last one seen: what compressed headers count from */
    uint32_t version;
    enum fit_stop stop;
    struct fit_definition locals[FIT_LOCALS];
};

/* A walk over bytes [at, end).  The struct is large (about 70 kB): keep one. */
void fit_walk_begin(struct fit_walk *walk, const uint8_t *bytes, size_t at, size_t end,
                    size_t trusted_end, int64_t widest_step, bool flip);

/* The next data message; false at the end, walk->stop says which and walk->at where. */
bool fit_walk_next(struct fit_walk *walk, struct fit_message *message);

/* Whether a FIT header stands at `at`: its size (12 or more) and ".FIT". */
bool fit_is_header(const uint8_t *bytes, size_t size, size_t at);

/* A single integer of a field.  False: no such field, an array, a wrong size, or not known. */
bool fit_message_integer(const struct fit_message *message, uint8_t field, int64_t *value);

/* The same, or `otherwise`. */
int64_t fit_message_integer_or(const struct fit_message *message, uint8_t field, int64_t otherwise);

/* A string field: *length bytes without the zero that ends it.  NULL: no such field, empty, or
 * not ended (a string that runs to the end of its field can't be told from a cut one). */
const char *fit_message_string(const struct fit_message *message, uint8_t field, size_t *length);

/* The field's row in the definition, or NULL. */
const struct fit_field *fit_message_field(const struct fit_message *message, uint8_t field);

#endif
