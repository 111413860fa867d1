/* fuzz/mend.c: sizes and checksums of a FIT file set right. */
#include "mend.h"

#include "recording/fit_crc.h"

#include <string.h>

static const char MARK[4] = { '.', 'F', 'I', 'T' };

static size_t data_size(const uint8_t *header)
{
    return (size_t)header[4] | (size_t)header[5] << 8 | (size_t)header[6] << 16 |
           (size_t)header[7] << 24;
}

static void put_crc(uint8_t *at, uint16_t crc)
{
    at[0] = (uint8_t)(crc & 0xFF);
    at[1] = (uint8_t)(crc >> 8);
}

/* Where the next part of a chain begins, or size. */
static size_t part_end(const uint8_t *bytes, size_t size)
{
    const size_t header = bytes[0];
    const size_t data = data_size(bytes);
    if (data > size || header + data + 2 + 12 > size) {
        return size;
    }
    const size_t next = header + data + 2;
    return memcmp(bytes + next + 8, MARK, sizeof MARK) == 0 ? next : size;
}

static void mend_part(uint8_t *bytes, size_t size)
{
    const size_t header = bytes[0];
    const size_t data = size - header - 2;
    memcpy(bytes + 8, MARK, sizeof MARK);
    for (size_t i = 0; i < 4; i++) {
        bytes[4 + i] = (uint8_t)(data >> (8 * i));
    }
    if (header == 14) {
        put_crc(bytes + 12, fit_crc16(0, bytes, 12));
    }
    put_crc(bytes + size - 2, fit_crc16(0, bytes, size - 2));
}

void fit_mend(uint8_t *bytes, size_t size)
{
    while (size >= 14 + 2) {
        bytes[0] = bytes[0] == 12 ? 12 : 14;
        const size_t end = part_end(bytes, size);
        if (end < 14 + 2) {
            mend_part(bytes, size);
            return;
        }
        mend_part(bytes, end);
        bytes += end;
        size -= end;
    }
}
