/* roster/pack.c: a channel of a ride in few bytes, and back. */
#include "roster/pack.h"

#include <endian.h>
#include <stdlib.h>
#include <string.h>

#define BLOCK 128u

/* ---- writing ---- */

static size_t put_varint(uint8_t *at, uint64_t value)
{
    size_t n = 0;
    while (value >= 0x80) {
        at[n++] = (uint8_t)(value | 0x80);
        value >>= 7;
    }
    at[n++] = (uint8_t)value;
    return n;
}

/* Differences wrap around: every int32 follows every other. */
static uint32_t zigzag(uint32_t from, uint32_t to)
{
    const uint32_t delta = to - from;
    return (delta << 1) ^ (0u - (delta >> 31));
}

static uint32_t unzigzag(uint32_t from, uint32_t coded)
{
    return from + ((coded >> 1) ^ (0u - (coded & 1)));
}

static unsigned width_of(const uint32_t coded[], size_t n)
{
    uint32_t all = 0;
    for (size_t i = 0; i < n; i++) {
        all |= coded[i];
    }
    return all == 0 ? 0 : 32u - (unsigned)__builtin_clz(all);
}

static size_t put_block(uint8_t *at, const uint32_t coded[], size_t n)
{
    const unsigned width = width_of(coded, n);
    uint64_t bits = 0;
    unsigned held = 0;
    size_t size = 0;
    at[size++] = (uint8_t)width;
    for (size_t i = 0; i < n; i++) {
        bits |= (uint64_t)coded[i] << held;
        held += width;
        while (held >= 8) {
            at[size++] = (uint8_t)bits;
            bits >>= 8;
            held -= 8;
        }
    }
    if (held > 0) {
        at[size++] = (uint8_t)bits;
    }
    return size;
}

/* Lengths of the runs there, not there, there, ...; the first may be 0. */
static size_t put_runs(uint8_t *at, const int32_t values[], size_t n, int32_t missing,
                       size_t *n_runs)
{
    size_t size = 0;
    *n_runs = 0;
    for (size_t i = 0; i < n;) {
        const bool there = *n_runs % 2 == 0;
        const size_t from = i;
        while (i < n && (values[i] != missing) == there) {
            i++;
        }
        size += put_varint(at + size, i - from);
        (*n_runs)++;
    }
    return size;
}

struct bytes pack_series(struct arena *arena, const int32_t values[], size_t n, int32_t missing)
{
    if (n > PACK_MOST) {
        abort(); /* a grid is bounded by its reader, far below */
    }
    /* A run takes at most a byte a value (longer runs fewer), a value at most 4 and its share of
     * the widths. */
    uint8_t *runs = arena_alloc(arena, n + 16, 1);
    uint8_t *out = arena_alloc(arena, n * 5 + n / BLOCK + 64, 1);
    size_t n_runs = 0;
    const size_t runs_size = put_runs(runs, values, n, missing, &n_runs);
    size_t size = 0;
    out[size++] = 1;
    size += put_varint(out + size, n);
    size += put_varint(out + size, n_runs);
    memcpy(out + size, runs, runs_size);
    size += runs_size;

    uint32_t coded[BLOCK];
    size_t held = 0;
    bool has_last = false;
    uint32_t last = 0;
    for (size_t i = 0; i < n; i++) {
        const uint32_t value = (uint32_t)values[i];
        if (values[i] == missing) {
            continue;
        }
        if (!has_last) {
            for (unsigned byte = 0; byte < 4; byte++) {
                out[size++] = (uint8_t)(value >> (8 * byte));
            }
            has_last = true;
        } else {
            coded[held++] = zigzag(last, value);
        }
        last = value;
        if (held == BLOCK) {
            size += put_block(out + size, coded, held);
            held = 0;
        }
    }
    if (held > 0) {
        size += put_block(out + size, coded, held);
    }
    return (struct bytes){ out, size };
}

/* ---- reading ---- */

/* Past the end getters give 0 and set the flag. */
struct cursor {
    const uint8_t *at;
    const uint8_t *end;
    bool bad;
};

static uint64_t get_varint(struct cursor *c)
{
    uint64_t value = 0;
    for (unsigned shift = 0; shift < 35; shift += 7) {
        if (c->at == c->end) {
            break;
        }
        const uint8_t byte = *c->at++;
        value |= (uint64_t)(byte & 0x7F) << shift;
        if ((byte & 0x80) == 0) {
            return value;
        }
    }
    c->bad = true;
    return 0;
}

static bool damaged(struct error *err)
{
    return error_set(err, ERROR_STORAGE,
                     "a packed series of the roster is damaged; read the ride again from its "
                     "original, or go back to a backup");
}

bool pack_count(struct bytes packed, size_t *n, struct error *err)
{
    struct cursor c = { packed.at, packed.at + packed.size, false };
    if (packed.size < 2 || *c.at++ != 1) {
        return damaged(err);
    }
    *n = get_varint(&c);
    return (!c.bad && *n <= PACK_MOST) || damaged(err);
}

/* The number of `width` bits that begins at bit `at`; 8 bytes are there.  A number and its shift
 * fit in 39 bits. */
static inline uint32_t number_at(const uint8_t *from, size_t at, unsigned width)
{
    uint64_t word = 0;
    memcpy(&word, from + at / 8, sizeof word);
    return (uint32_t)(le64toh(word) >> (at % 8) & ((1ull << width) - 1));
}

/* 128 numbers, read 8 bytes at a time: with the width a constant the compiler unrolls the shifts,
 * 8 numbers in `width` bytes. */
static inline __attribute__((always_inline)) void take_128(const uint8_t *from, unsigned width,
                                                           uint32_t coded[])
{
    for (size_t group = 0; group < BLOCK / 8; group++) {
        for (unsigned i = 0; i < 8; i++) {
            coded[group * 8 + i] = number_at(from + group * width, (size_t)i * width, width);
        }
    }
}

#define WIDTH(n)                                                                                   \
    case n: take_128(from, n, coded); break

/* A whole block with 8 bytes to spare behind it; wide ones (leaps) are rare. */
static void take_whole(const uint8_t *from, unsigned width, uint32_t coded[])
{
    switch (width) {
        WIDTH(0);
        WIDTH(1);
        WIDTH(2);
        WIDTH(3);
        WIDTH(4);
        WIDTH(5);
        WIDTH(6);
        WIDTH(7);
        WIDTH(8);
        WIDTH(9);
        WIDTH(10);
        WIDTH(11);
        WIDTH(12);
    default: take_128(from, width, coded);
    }
}

/* n numbers that lie in the size bytes at `from`, not a byte beyond. */
static void take_some(const uint8_t *from, size_t size, unsigned width, size_t n, uint32_t coded[])
{
    uint8_t padded[BLOCK * 4 + 8] = { 0 };
    memcpy(padded, from, size);
    for (size_t i = 0; i < n; i++) {
        coded[i] = number_at(padded, i * width, width);
    }
}

/* The values that are there, close together; false past the end. */
static bool get_values(struct cursor *c, size_t n, int32_t values[])
{
    if (n == 0) {
        return true;
    }
    if (c->end - c->at < 4) {
        return false;
    }
    uint32_t last = 0;
    for (unsigned byte = 0; byte < 4; byte++) {
        last |= (uint32_t)*c->at++ << (8 * byte);
    }
    values[0] = (int32_t)last;
    for (size_t done = 1; done < n;) {
        const size_t count = n - done < BLOCK ? n - done : BLOCK;
        if (c->at == c->end || *c->at > 32) {
            return false;
        }
        const unsigned width = *c->at++;
        const size_t size = (count * width + 7) / 8;
        if ((size_t)(c->end - c->at) < size) {
            return false;
        }
        uint32_t coded[BLOCK];
        if (count == BLOCK && (size_t)(c->end - c->at) >= size + 8) {
            take_whole(c->at, width, coded);
        } else {
            take_some(c->at, size, width, count, coded);
        }
        c->at += size;
        for (size_t i = 0; i < count; i++) {
            last = unzigzag(last, coded[i]);
            values[done + i] = (int32_t)last;
        }
        done += count;
    }
    return true;
}

bool pack_read_series(struct arena *arena, struct bytes packed, size_t n, int32_t missing,
                      int32_t **out, struct error *err)
{
    struct cursor c = { packed.at, packed.at + packed.size, false };
    if (n > PACK_MOST || packed.size < 3 || *c.at++ != 1 || get_varint(&c) != n) {
        return damaged(err);
    }
    const uint64_t n_runs = get_varint(&c);
    struct cursor runs = c;
    size_t covered = 0;
    size_t there = 0;
    for (uint64_t i = 0; i < n_runs && !c.bad; i++) {
        const uint64_t length = get_varint(&c);
        if (length > n - covered || (length == 0 && i > 0)) {
            return damaged(err);
        }
        covered += length;
        there += i % 2 == 0 ? length : 0;
    }
    if (c.bad || covered != n) {
        return damaged(err);
    }
    /* The values stand at the end first, close together, and move forward to their places: no value
     * is overwritten before it moved. */
    int32_t *values = ARENA_ARRAY(arena, int32_t, n);
    const int32_t *next = values + (n - there);
    if (!get_values(&c, there, values + (n - there)) || c.at != c.end) {
        return damaged(err);
    }
    size_t at = 0;
    for (uint64_t i = 0; there < n && i < n_runs; i++) {
        const size_t length = get_varint(&runs);
        if (i % 2 == 0) {
            memmove(values + at, next, length * sizeof *values);
            next += length;
        } else {
            for (size_t k = 0; k < length; k++) {
                values[at + k] = missing;
            }
        }
        at += length;
    }
    *out = values;
    return true;
}

/* ---- masks ---- */

struct bytes pack_mask(struct arena *arena, const uint8_t mask[], size_t n)
{
    if (n > PACK_MOST) {
        abort(); /* a grid is bounded by its reader, far below */
    }
    uint8_t *out = arena_alloc(arena, n * 2 + 16, 1);
    size_t size = 0;
    out[size++] = 1;
    size += put_varint(out + size, n);
    for (size_t i = 0; i < n;) {
        const size_t from = i;
        while (i < n && mask[i] == mask[from]) {
            i++;
        }
        out[size++] = mask[from];
        size += put_varint(out + size, i - from);
    }
    return (struct bytes){ out, size };
}

bool pack_read_mask(struct arena *arena, struct bytes packed, size_t n, uint8_t **out,
                    struct error *err)
{
    struct cursor c = { packed.at, packed.at + packed.size, false };
    if (n > PACK_MOST || packed.size < 2 || *c.at++ != 1 || get_varint(&c) != n) {
        return damaged(err);
    }
    uint8_t *mask = ARENA_ARRAY(arena, uint8_t, n);
    size_t at = 0;
    while (c.at != c.end) {
        const uint8_t value = *c.at++;
        const uint64_t length = get_varint(&c);
        if (c.bad || length == 0 || length > n - at) {
            return damaged(err);
        }
        memset(mask + at, value, length);
        at += length;
    }
    if (at != n) {
        return damaged(err);
    }
    *out = mask;
    return true;
}
