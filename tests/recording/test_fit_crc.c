/* tests/recording/test_fit_crc.c: the checksum of FIT files. */
#include "check.h"

#include "recording/fit_crc.h"

#include <string.h>

/* SD-01: the FIT protocol's checksum is CRC-16/ARC; values seen in public tests of other decoders
 * of the protocol. */
static const struct {
    const char *text;
    uint16_t want;
} published[] = {
    { "", 0x0000 },           { "a", 0xE8C1 },         { "abc", 0x9738 },
    { "abcdefghij", 0xC8B1 }, { "123456789", 0xBB3D },
};

static void test_fit_crc__follows_published_values(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(published); i++) {
        check_integer(published[i].text,
                      fit_crc16(0, (const uint8_t *)published[i].text, strlen(published[i].text)),
                      published[i].want);
    }
}

/* One bit a step, from the definition: the slow twin. */
static uint16_t slow_crc(uint16_t crc, const uint8_t *bytes, size_t size)
{
    for (size_t i = 0; i < size; i++) {
        crc = (uint16_t)(crc ^ bytes[i]);
        for (int bit = 0; bit < 8; bit++) {
            crc = (uint16_t)((crc & 1) != 0 ? (crc >> 1) ^ 0xA001 : crc >> 1);
        }
    }
    return crc;
}

static void test_fit_crc__equals_the_bitwise_twin_at_any_cut(void **state)
{
    (void)state;
    uint8_t bytes[300] = { 0 };
    uint32_t seed = 12345;
    for (size_t i = 0; i < sizeof bytes; i++) {
        seed = seed * 1664525u + 1013904223u;
        bytes[i] = (uint8_t)(seed >> 24);
    }
    for (size_t cut = 0; cut <= sizeof bytes; cut++) {
        const uint16_t whole = slow_crc(0, bytes, sizeof bytes);
        const uint16_t head = fit_crc16(0, bytes, cut);
        check_integer("head", head, slow_crc(0, bytes, cut));
        check_integer("whole", fit_crc16(head, bytes + cut, sizeof bytes - cut), whole);
    }
}

/* Every byte in every place of a step of eight. */
static void test_fit_crc__every_entry_of_the_tables_is_right(void **state)
{
    (void)state;
    for (size_t place = 0; place < 8; place++) {
        for (unsigned byte = 0; byte < 256; byte++) {
            uint8_t bytes[8] = { 0 };
            bytes[place] = (uint8_t)byte;
            check_integer("entry", fit_crc16(0, bytes, 8), slow_crc(0, bytes, 8));
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fit_crc__follows_published_values),
        cmocka_unit_test(test_fit_crc__equals_the_bitwise_twin_at_any_cut),
        cmocka_unit_test(test_fit_crc__every_entry_of_the_tables_is_right),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
