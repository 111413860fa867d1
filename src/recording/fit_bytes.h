/* recording/fit_bytes.h: single values of a FIT message.
 *
 * A value is a base type in a byte order.  Each type has one pattern that means "not known"
 * (check SD-05); it is never a number here.
 *
 *   type      bytes  not known      type      bytes  not known
 *   enum        1    FF             uint8z      1    0
 *   sint8       1    7F             uint16z     2    0
 *   uint8       1    FF             uint32z     4    0
 *   sint16      2    7FFF           byte        1    FF (an array only when every byte is FF)
 *   uint16      2    FFFF           sint64      8    7FFF FFFF FFFF FFFF
 *   sint32      4    7FFFFFFF       uint64      8    all F
 *   uint32      4    FFFFFFFF       uint64z     8    0
 *   string      n    empty          float32/64  4/8  all F (and whatever is no finite number) */
#ifndef RECORDING_FIT_BYTES_H
#define RECORDING_FIT_BYTES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The low five bits of the byte that names a base type; the top bit of that byte says only that
 * byte order matters, and devices get it wrong. */
enum fit_base {
    FIT_ENUM,
    FIT_SINT8,
    FIT_UINT8,
    FIT_SINT16,
    FIT_UINT16,
    FIT_SINT32,
    FIT_UINT32,
    FIT_STRING,
    FIT_FLOAT32,
    FIT_FLOAT64,
    FIT_UINT8Z,
    FIT_UINT16Z,
    FIT_UINT32Z,
    FIT_BYTE,
    FIT_SINT64,
    FIT_UINT64,
    FIT_UINT64Z,
    FIT_BASE_COUNT, /* and above: no type of the protocol */
};

/* The type that a definition's byte names; FIT_BASE_COUNT for none. */
enum fit_base fit_base_of(uint8_t byte);

/* Bytes of one value; 1 for strings and for what is no type. */
size_t fit_base_size(enum fit_base base);

static inline uint16_t fit_load16(const uint8_t *at, bool big_endian)
{
    return big_endian ? (uint16_t)((unsigned)at[0] << 8 | at[1])
                      : (uint16_t)((unsigned)at[1] << 8 | at[0]);
}

static inline uint32_t fit_load32(const uint8_t *at, bool big_endian)
{
    return big_endian
               ? (uint32_t)at[0] << 24 | (uint32_t)at[1] << 16 | (uint32_t)at[2] << 8 | at[3]
               : (uint32_t)at[3] << 24 | (uint32_t)at[2] << 16 | (uint32_t)at[1] << 8 | at[0];
}

/* One value of an integer type at `at` (fit_base_size bytes).  False: not known, or no integer
 * type.  Unsigned 64-bit values above the range of int64 become its largest. */
bool fit_integer(enum fit_base base, const uint8_t *at, bool big_endian, int64_t *value);

/* One value of any number type as a double.  False: not known, or no number. */
bool fit_number(enum fit_base base, const uint8_t *at, bool big_endian, double *value);

#endif
