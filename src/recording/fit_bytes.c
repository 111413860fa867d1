/* recording/fit_bytes.c: base types, byte orders, and the patterns that mean nothing. */
#include "recording/fit_bytes.h"

#include <math.h>
#include <string.h>

/* What a pattern of a whole number means.  Known numbers are (pattern ^ sign) - sign. */
static const struct {
    uint64_t unknown; /* the pattern that says nothing */
    uint64_t sign;    /* the highest bit of signed types, else 0 */
    uint8_t size;
    bool is_integer;
} types[FIT_BASE_COUNT] = {
    [FIT_ENUM] = { UINT8_MAX, 0, 1, true },
    [FIT_SINT8] = { INT8_MAX, 0x80, 1, true },
    [FIT_UINT8] = { UINT8_MAX, 0, 1, true },
    [FIT_SINT16] = { INT16_MAX, 0x8000, 2, true },
    [FIT_UINT16] = { UINT16_MAX, 0, 2, true },
    [FIT_SINT32] = { INT32_MAX, 0x80000000, 4, true },
    [FIT_UINT32] = { UINT32_MAX, 0, 4, true },
    [FIT_STRING] = { 0, 0, 1, false },
    [FIT_FLOAT32] = { 0, 0, 4, false },
    [FIT_FLOAT64] = { 0, 0, 8, false },
    [FIT_UINT8Z] = { 0, 0, 1, true },
    [FIT_UINT16Z] = { 0, 0, 2, true },
    [FIT_UINT32Z] = { 0, 0, 4, true },
    [FIT_BYTE] = { UINT8_MAX, 0, 1, true },
    [FIT_SINT64] = { INT64_MAX, UINT64_C(1) << 63, 8, true },
    [FIT_UINT64] = { UINT64_MAX, 0, 8, true },
    [FIT_UINT64Z] = { 0, 0, 8, true },
};

enum fit_base fit_base_of(uint8_t byte)
{
    /* Bits 5 and 6 are reserved: set in a definition they mean that it is none. */
    const unsigned base = byte & 0x1Fu;
    return (byte & 0x60u) != 0 || base >= FIT_BASE_COUNT ? FIT_BASE_COUNT : (enum fit_base)base;
}

size_t fit_base_size(enum fit_base base)
{
    return base < FIT_BASE_COUNT ? types[base].size : 1;
}

static inline uint64_t load(const uint8_t *at, size_t size, bool big_endian)
{
    switch (size) {
    case 1: return at[0];
    case 2: return fit_load16(at, big_endian);
    case 4: return fit_load32(at, big_endian);
    default: {
        const uint64_t first = fit_load32(at, big_endian);
        const uint64_t second = fit_load32(at + 4, big_endian);
        return big_endian ? first << 32 | second : second << 32 | first;
    }
    }
}

/* A value of a type that is an integer's. */
static inline bool load_integer(enum fit_base base, const uint8_t *at, bool big_endian,
                                int64_t *value)
{
    const uint64_t raw = load(at, types[base].size, big_endian);
    const uint64_t sign = types[base].sign;
    if (raw == types[base].unknown) {
        return false;
    }
    *value = sign == 0 && raw > INT64_MAX ? INT64_MAX : (int64_t)((raw ^ sign) - sign);
    return true;
}

bool fit_integer(enum fit_base base, const uint8_t *at, bool big_endian, int64_t *value)
{
    return base < FIT_BASE_COUNT && types[base].is_integer &&
           load_integer(base, at, big_endian, value);
}

bool fit_number(enum fit_base base, const uint8_t *at, bool big_endian, double *value)
{
    if (base < FIT_BASE_COUNT && types[base].is_integer) {
        int64_t whole = 0;
        if (!load_integer(base, at, big_endian, &whole)) {
            return false;
        }
        *value = (double)whole;
        return true;
    }
    if (base == FIT_FLOAT32) {
        const uint32_t raw = fit_load32(at, big_endian);
        float number = 0;
        memcpy(&number, &raw, sizeof number);
        *value = (double)number;
        return isfinite(*value);
    }
    if (base == FIT_FLOAT64) {
        const uint64_t raw = load(at, 8, big_endian);
        memcpy(value, &raw, sizeof *value);
        return isfinite(*value);
    }
    return false;
}
