/* recording/fit_crc.c: eight bytes a step ("slicing by 8": Kounavis and Berry 2005, Intel). */
#include "recording/fit_crc.h"

/* The checksum is linear: the entry of a byte is the exclusive or of the entries of its bits, so
 * eight numbers make a table, and the compiler makes it.  e0 belongs to bit 0. */
#define BIT(b, i, e) ((((b) >> (i)) & 1) != 0 ? (e) : 0)
#define ENTRY(b, e0, e1, e2, e3, e4, e5, e6, e7)                                                   \
    (uint16_t)(BIT(b, 0, e0) ^ BIT(b, 1, e1) ^ BIT(b, 2, e2) ^ BIT(b, 3, e3) ^ BIT(b, 4, e4) ^     \
               BIT(b, 5, e5) ^ BIT(b, 6, e6) ^ BIT(b, 7, e7))
#define TABLE_2(b, ...) ENTRY(b, __VA_ARGS__), ENTRY((b) + 1, __VA_ARGS__)
#define TABLE_8(b, ...)                                                                            \
    TABLE_2(b, __VA_ARGS__), TABLE_2((b) + 2, __VA_ARGS__), TABLE_2((b) + 4, __VA_ARGS__),         \
        TABLE_2((b) + 6, __VA_ARGS__)
#define TABLE_32(b, ...)                                                                           \
    TABLE_8(b, __VA_ARGS__), TABLE_8((b) + 8, __VA_ARGS__), TABLE_8((b) + 16, __VA_ARGS__),        \
        TABLE_8((b) + 24, __VA_ARGS__)
#define TABLE_128(b, ...)                                                                          \
    TABLE_32(b, __VA_ARGS__), TABLE_32((b) + 32, __VA_ARGS__), TABLE_32((b) + 64, __VA_ARGS__),    \
        TABLE_32((b) + 96, __VA_ARGS__)
#define TABLE(...)                                                                                 \
    {                                                                                              \
        TABLE_128(0, __VA_ARGS__), TABLE_128(128, __VA_ARGS__)                                     \
    }

/* slice[k][b]: the checksum of byte b followed by k zero bytes. */
static const uint16_t slice[8][256] = {
    TABLE(0xC0C1, 0xC181, 0xC301, 0xC601, 0xCC01, 0xD801, 0xF001, 0xA001),
    TABLE(0x9001, 0x6001, 0xC002, 0xC007, 0xC00D, 0xC019, 0xC031, 0xC061),
    TABLE(0xC051, 0xC0A1, 0xC141, 0xC281, 0xC501, 0xCA01, 0xD401, 0xE801),
    TABLE(0xFC01, 0xB801, 0x3001, 0x6002, 0xC004, 0xC00B, 0xC015, 0xC029),
    TABLE(0xC03D, 0xC079, 0xC0F1, 0xC1E1, 0xC3C1, 0xC781, 0xCF01, 0xDE01),
    TABLE(0xD101, 0xE201, 0x8401, 0x4801, 0x9002, 0x6007, 0xC00E, 0xC01F),
    TABLE(0xC010, 0xC023, 0xC045, 0xC089, 0xC111, 0xC221, 0xC441, 0xC881),
    TABLE(0xCCC1, 0xD981, 0xF301, 0xA601, 0x0C01, 0x1802, 0x3004, 0x6008),
};

uint16_t fit_crc16(uint16_t crc, const uint8_t *bytes, size_t size)
{
    size_t i = 0;
    for (; size - i >= 8; i += 8) {
        const uint8_t *b = bytes + i;
        crc = (uint16_t)(slice[7][b[0] ^ (crc & 0xFF)] ^ slice[6][b[1] ^ (crc >> 8)] ^
                         slice[5][b[2]] ^ slice[4][b[3]] ^ slice[3][b[4]] ^ slice[2][b[5]] ^
                         slice[1][b[6]] ^ slice[0][b[7]]);
    }
    for (; i < size; i++) {
        crc = (uint16_t)((crc >> 8) ^ slice[0][(crc ^ bytes[i]) & 0xFF]);
    }
    return crc;
}
