/* recording/fit_bytes.c: base types, byte orders, and the patterns that mean nothing. */
#include "recording/fit_bytes.h"

#include <math.h>
#include <string.h>

static const struct {
    uint8_t size;
    bool is_signed;
    bool zero_is_unknown;
} types[FIT_BASE_COUNT] = {
    [FIT_ENUM] = { 1, false, false },    [FIT_SINT8] = { 1, true, false },
    [FIT_UINT8] = { 1, false, false },   [FIT_SINT16] = { 2, true, false },
    [FIT_UINT16] = { 2, false, false },  [FIT_SINT32] = { 4, true, false },
    [FIT_UINT32] = { 4, false, false },  [FIT_STRING] = { 1, false, false },
    [FIT_FLOAT32] = { 4, false, false }, [FIT_FLOAT64] = { 8, false, false },
    [FIT_UINT8Z] = { 1, false, true },   [FIT_UINT16Z] = { 2, false, true },
    [FIT_UINT32Z] = { 4, false, true },  [FIT_BYTE] = { 1, false, false },
    [FIT_SINT64] = { 8, true, false },   [FIT_UINT64] = { 8, false, false },
    [FIT_UINT64Z] = { 8, false, true },
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

static uint64_t load(const uint8_t *at, size_t size, bool big_endian)
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

bool fit_integer(enum fit_base base, const uint8_t *at, bool big_endian, int64_t *value)
{
    if (base >= FIT_BASE_COUNT || base == FIT_STRING || base == FIT_FLOAT32 ||
        base == FIT_FLOAT64) {
        return false;
    }
    const size_t size = types[base].size;
    const uint64_t raw = load(at, size, big_endian);
    const uint64_t all = size >= 8 ? UINT64_MAX : (UINT64_C(1) << (8 * size)) - 1;
    if (types[base].is_signed) {
        if (raw == all >> 1) {
            return false;
        }
        /* Above the middle of the range the number is negative: raw - 2^bits, without passing
         * through a value that int64 can't hold. */
        *value = raw > all >> 1 ? -(int64_t)(all - raw) - 1 : (int64_t)raw;
        return true;
    }
    if (raw == (types[base].zero_is_unknown ? 0 : all)) {
        return false;
    }
    *value = raw > INT64_MAX ? INT64_MAX : (int64_t)raw;
    return true;
}

bool fit_number(enum fit_base base, const uint8_t *at, bool big_endian, double *value)
{
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
    int64_t whole = 0;
    if (!fit_integer(base, at, big_endian, &whole)) {
        return false;
    }
    *value = (double)whole;
    return true;
}
