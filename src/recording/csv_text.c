/* recording/csv_text.c: the characters of a table, however it was saved. */
#include "recording/csv_text.h"

#include "base/text.h"

#include <string.h>

/* Windows-1252 from 0x80 to 0x9F; 0 = no character.  Elsewhere a byte is the character of that
 * number.  Source: Unicode Consortium, MAPPINGS/VENDORS/MICSFT/WINDOWS/CP1252.TXT. */
static const uint16_t windows[32] = { 0x20AC, 0,      0x201A, 0x0192, 0x201E, 0x2026, 0x2020,
                                      0x2021, 0x02C6, 0x2030, 0x0160, 0x2039, 0x0152, 0,
                                      0x017D, 0,      0,      0x2018, 0x2019, 0x201C, 0x201D,
                                      0x2022, 0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A,
                                      0x0153, 0,      0x017E, 0x0178 };

static const uint32_t REPLACEMENT = 0xFFFD;

static uint32_t point_of(uint8_t c)
{
    return c >= 0x80 && c <= 0x9F ? windows[c - 0x80] : c;
}

/* Puts a character in out and returns its bytes, 1 to 4. */
static size_t put_point(uint32_t point, uint8_t out[4])
{
    if (point < 0x80) {
        out[0] = (uint8_t)point;
        return 1;
    }
    if (point < 0x800) {
        out[0] = (uint8_t)(0xC0 | point >> 6);
        out[1] = (uint8_t)(0x80 | (point & 0x3F));
        return 2;
    }
    if (point < 0x10000) {
        out[0] = (uint8_t)(0xE0 | point >> 12);
        out[1] = (uint8_t)(0x80 | (point >> 6 & 0x3F));
        out[2] = (uint8_t)(0x80 | (point & 0x3F));
        return 3;
    }
    out[0] = (uint8_t)(0xF0 | point >> 18);
    out[1] = (uint8_t)(0x80 | (point >> 12 & 0x3F));
    out[2] = (uint8_t)(0x80 | (point >> 6 & 0x3F));
    out[3] = (uint8_t)(0x80 | (point & 0x3F));
    return 4;
}

static uint32_t unit_at(struct bytes bytes, size_t i, bool big_endian)
{
    const uint32_t first = bytes.at[i];
    const uint32_t second = bytes.at[i + 1];
    return big_endian ? first << 8 | second : second << 8 | first;
}

static struct bytes from_utf16(struct arena *arena, struct bytes bytes, bool big_endian)
{
    /* Two bytes become at most three, four become four. */
    uint8_t *out = arena_alloc(arena, bytes.size / 2 * 3 + 1, 1);
    size_t n = 0;
    for (size_t i = 0; i + 1 < bytes.size; i += 2) {
        uint32_t point = unit_at(bytes, i, big_endian);
        const bool is_high = point >= 0xD800 && point < 0xDC00;
        const uint32_t low = is_high && i + 3 < bytes.size ? unit_at(bytes, i + 2, big_endian) : 0;
        if (low >= 0xDC00 && low < 0xE000) {
            point = 0x10000 + ((point - 0xD800) << 10) + (low - 0xDC00);
            i += 2;
        } else if (point >= 0xD800 && point < 0xE000) {
            point = REPLACEMENT;
        }
        n += put_point(point, out + n);
    }
    return (struct bytes){ out, n };
}

struct bytes csv_text_plain(struct arena *arena, struct bytes bytes)
{
    if (bytes.size >= 3 && memcmp(bytes.at, "\xEF\xBB\xBF", 3) == 0) {
        return (struct bytes){ bytes.at + 3, bytes.size - 3 };
    }
    const bool little = bytes.size >= 2 && memcmp(bytes.at, "\xFF\xFE", 2) == 0;
    const bool big = bytes.size >= 2 && memcmp(bytes.at, "\xFE\xFF", 2) == 0;
    if (little || big) {
        return from_utf16(arena, (struct bytes){ bytes.at + 2, bytes.size - 2 }, big);
    }
    return bytes;
}

bool csv_text_is_text(struct bytes bytes)
{
    bool is_windows = true;
    for (size_t i = 0; i < bytes.size; i++) {
        const uint8_t c = bytes.at[i];
        if (c < 0x20 && c != '\t' && c != '\n' && c != '\r') {
            return false;
        }
        is_windows = is_windows && c != 0x7F && point_of(c) != 0;
    }
    return is_windows || text_is_utf8((const char *)bytes.at, bytes.size);
}

const char *csv_text_show(struct arena *arena, const char *cell)
{
    const size_t length = strlen(cell);
    if (text_is_utf8(cell, length)) {
        return text_clean(arena, cell, length);
    }
    uint8_t *out = arena_alloc(arena, 3 * length + 1, 1);
    size_t n = 0;
    for (size_t i = 0; i < length; i++) {
        const uint32_t point = point_of((uint8_t)cell[i]);
        n += put_point(point != 0 ? point : REPLACEMENT, out + n);
    }
    return text_clean(arena, (const char *)out, n);
}
