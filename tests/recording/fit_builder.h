/* tests/recording/fit_builder.h: FIT files byte by byte, for tests of the reader.
 *
 * Shares no code with the reader or the writer: its own checksum, one bit a step. */
#ifndef TESTS_FIT_BUILDER_H
#define TESTS_FIT_BUILDER_H

#include "check.h"
#include "recording/recording.h"

#include <math.h>
#include <string.h>

/* 2019-09-28T16:29:19Z in seconds from the protocol's epoch (check SD-04). */
#define T0 UINT32_C(938622559)

struct builder {
    struct arena *arena;
    uint8_t *bytes;
    size_t size;
    size_t capacity;
    size_t begin; /* of the file that is being built */
    size_t header_size;
    bool big_endian;
};

static inline struct builder build_begin(struct arena *arena)
{
    struct builder b = { .arena = arena, .capacity = 4096 };
    b.bytes = arena_alloc(arena, b.capacity, 1);
    return b;
}

static inline void put8(struct builder *b, uint32_t value)
{
    if (b->size == b->capacity) {
        uint8_t *wider = arena_alloc(b->arena, b->capacity * 2, 1);
        memcpy(wider, b->bytes, b->size);
        b->bytes = wider;
        b->capacity *= 2;
    }
    b->bytes[b->size++] = (uint8_t)value;
}

/* An integer of `size` bytes in the builder's byte order. */
static inline void put(struct builder *b, uint64_t value, size_t size)
{
    for (size_t i = 0; i < size; i++) {
        put8(b, (uint32_t)(value >> 8 * (b->big_endian ? size - 1 - i : i)) & 0xFFu);
    }
}

static inline void put_text(struct builder *b, const char *text, size_t size)
{
    const size_t n = strlen(text);
    for (size_t i = 0; i < size; i++) {
        put8(b, i < n ? (uint8_t)text[i] : 0);
    }
}

static inline uint16_t build_crc(const uint8_t *bytes, size_t size)
{
    uint16_t crc = 0;
    for (size_t i = 0; i < size; i++) {
        crc = (uint16_t)(crc ^ bytes[i]);
        for (int bit = 0; bit < 8; bit++) {
            crc = (uint16_t)((crc & 1) != 0 ? (crc >> 1) ^ 0xA001 : crc >> 1);
        }
    }
    return crc;
}

static inline void build_file(struct builder *b, size_t header_size)
{
    b->begin = b->size;
    b->header_size = header_size;
    for (size_t i = 0; i < header_size; i++) {
        put8(b, 0);
    }
}

static inline void store16(uint8_t *at, uint16_t value)
{
    at[0] = (uint8_t)(value & 0xFF);
    at[1] = (uint8_t)(value >> 8);
}

/* The header and the checksums of the file that was begun last. */
static inline void build_end(struct builder *b)
{
    uint8_t *header = b->bytes + b->begin;
    const size_t data = b->size - b->begin - b->header_size;
    header[0] = (uint8_t)b->header_size;
    header[1] = 0x20;
    store16(header + 2, 2078);
    for (size_t i = 0; i < 4; i++) {
        header[4 + i] = (uint8_t)(data >> 8 * i);
    }
    memcpy(header + 8, ".FIT", 4);
    if (b->header_size >= 14) {
        store16(header + 12, build_crc(header, 12));
    }
    const uint16_t crc = build_crc(header, b->size - b->begin);
    put8(b, crc & 0xFFu);
    put8(b, (uint32_t)crc >> 8);
}

/* Rows of {number, size, base type}; a developer row is {number, size, developer index}. */
static inline void define_all(struct builder *b, unsigned local, unsigned message,
                              const uint8_t fields[][3], size_t n, const uint8_t developer[][3],
                              size_t n_developer)
{
    put8(b, 0x40u | (n_developer > 0 ? 0x20u : 0u) | local);
    put8(b, 0);
    put8(b, b->big_endian ? 1 : 0);
    put(b, message, 2);
    put8(b, (uint32_t)n);
    for (size_t i = 0; i < 3 * n; i++) {
        put8(b, fields[i / 3][i % 3]);
    }
    if (n_developer > 0) {
        put8(b, (uint32_t)n_developer);
        for (size_t i = 0; i < 3 * n_developer; i++) {
            put8(b, developer[i / 3][i % 3]);
        }
    }
}

#define DEFINE(b, local, message, ...)                                                             \
    do {                                                                                           \
        static const uint8_t define_rows[][3] = { __VA_ARGS__ };                                   \
        define_all((b), (local), (message), define_rows, COUNT(define_rows), NULL, 0);             \
    } while (0)

static inline void add_file_id(struct builder *b, unsigned type)
{
    DEFINE(b, 15, 0, { 0, 1, 0x00 }, { 1, 2, 0x84 }, { 2, 2, 0x84 }, { 3, 4, 0x8C });
    put8(b, 15);
    put8(b, type);
    put(b, 255, 2);
    put(b, 7, 2);
    put(b, 4711, 4);
}

/* An activity: a header of 14 bytes and file_id. */
static inline struct builder build_activity(struct arena *arena)
{
    struct builder b = build_begin(arena);
    build_file(&b, 14);
    add_file_id(&b, 4);
    return b;
}

/* Records of time, power, heart rate, cadence on local 1. */
static inline void define_records(struct builder *b)
{
    DEFINE(b, 1, 20, { 253, 4, 0x86 }, { 7, 2, 0x84 }, { 3, 1, 0x02 }, { 4, 1, 0x02 });
}

static inline void add_record(struct builder *b, uint32_t time, unsigned power, unsigned heart,
                              unsigned cadence)
{
    put8(b, 1);
    put(b, time, 4);
    put(b, power, 2);
    put8(b, heart);
    put8(b, cadence);
}

/* n records from `time` on, one a second: power 100, 101, ... */
static inline void add_records(struct builder *b, uint32_t time, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        add_record(b, time + (uint32_t)i, 100 + (unsigned)(i % 200), 120, 90);
    }
}

static inline void add_event(struct builder *b, uint32_t time, unsigned event, unsigned type)
{
    DEFINE(b, 2, 21, { 253, 4, 0x86 }, { 0, 1, 0x00 }, { 1, 1, 0x00 });
    put8(b, 2);
    put(b, time, 4);
    put8(b, event);
    put8(b, type);
}

/* A session whose own time is its end. */
static inline void add_session(struct builder *b, uint32_t start, uint32_t elapsed_s,
                               uint32_t timer_s, unsigned sport, unsigned sub_sport)
{
    DEFINE(b, 3, 18, { 253, 4, 0x86 }, { 2, 4, 0x86 }, { 7, 4, 0x86 }, { 8, 4, 0x86 },
           { 5, 1, 0x00 }, { 6, 1, 0x00 });
    put8(b, 3);
    put(b, start + elapsed_s, 4);
    put(b, start, 4);
    put(b, (uint64_t)elapsed_s * 1000, 4);
    put(b, (uint64_t)timer_s * 1000, 4);
    put8(b, sport);
    put8(b, sub_sport);
}

static inline void add_lap(struct builder *b, uint32_t start, uint32_t elapsed_s, unsigned trigger)
{
    DEFINE(b, 4, 19, { 253, 4, 0x86 }, { 2, 4, 0x86 }, { 7, 4, 0x86 }, { 24, 1, 0x00 });
    put8(b, 4);
    put(b, start + elapsed_s, 4);
    put(b, start, 4);
    put(b, (uint64_t)elapsed_s * 1000, 4);
    put8(b, trigger);
}

static inline void add_activity(struct builder *b, uint32_t time, uint32_t local_time)
{
    DEFINE(b, 5, 34, { 253, 4, 0x86 }, { 5, 4, 0x86 });
    put8(b, 5);
    put(b, time, 4);
    put(b, local_time, 4);
}

static inline bool build_read(const struct builder *b, struct recordings *recordings,
                              struct error *err)
{
    const struct limits limits = limits_default();
    const struct read_options options = { .file = "x.fit" };
    return recording_read(b->arena, (struct bytes){ b->bytes, b->size }, &options, &limits,
                          recordings, err);
}

/* Reads what must be readable. */
static inline struct recordings read_built(const struct builder *b)
{
    struct recordings recordings;
    struct error err = { 0 };
    if (!build_read(b, &recordings, &err)) {
        print_error("# %s\n", err.message);
        fail();
    }
    return recordings;
}

/* What must be refused. */
static inline const char *refuse_built(const struct builder *b, enum error_kind kind)
{
    struct recordings recordings;
    struct error err = { 0 };
    check(!build_read(b, &recordings, &err));
    check_integer("kind of error", err.kind, kind);
    return arena_string(b->arena, err.message);
}

/* The first finding of a code, with that detail unless NULL. */
static inline const struct finding *find_finding(const struct recording *recording,
                                                 const char *code, const char *detail)
{
    for (size_t i = 0; i < recording->n_findings; i++) {
        const struct finding *finding = &recording->findings[i];
        if (strcmp(finding->code, code) == 0 &&
            (detail == NULL || (finding->detail != NULL && strcmp(finding->detail, detail) == 0))) {
            return finding;
        }
    }
    return NULL;
}

/* The first number of the first finding of a code, or NAN. */
static inline double number_of(const struct recording *recording, const char *code)
{
    const struct finding *finding = find_finding(recording, code, NULL);
    return finding == NULL || finding->n_numbers == 0 ? (double)NAN : finding->numbers[0].value;
}

static inline int32_t sample_of(const struct recording *recording, enum channel channel, size_t i)
{
    const int32_t *value = recording->samples.value[channel];
    return value == NULL || i >= recording->samples.count ? RECORDING_MISSING : value[i];
}

#endif
