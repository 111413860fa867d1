/* recording/gpx_encoding.c: bytes to characters. */
#include "recording/gpx_encoding.h"

#include <stddef.h>
#include <strings.h>

/* Bytes 0x80 to 0x9F; -1 = no character.  Source: the mapping that the Unicode Consortium publishes
 * for code page 1252. */
static const int windows_1252[32] = {
    0x20AC, -1,     0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, -1,     0x017D, -1,     -1,     0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, -1,     0x017E, 0x0178,
};

/* Where ISO-8859-15 differs from ISO-8859-1.  Source: ISO/IEC 8859-15:1999. */
static const struct {
    unsigned char byte;
    int character;
} iso_8859_15[] = {
    { 0xA4, 0x20AC }, { 0xA6, 0x0160 }, { 0xA8, 0x0161 }, { 0xB4, 0x017D },
    { 0xB8, 0x017E }, { 0xBC, 0x0152 }, { 0xBD, 0x0153 }, { 0xBE, 0x0178 },
};

bool gpx_encoding_fill(const char *name, XML_Encoding *out)
{
    const bool is_1252 = strcasecmp(name, "windows-1252") == 0 || strcasecmp(name, "cp1252") == 0;
    if (!is_1252 && strcasecmp(name, "iso-8859-15") != 0) {
        return false;
    }
    *out = (XML_Encoding){ 0 };
    for (int i = 0; i < 256; i++) {
        out->map[i] = i;
    }
    for (size_t i = 0; is_1252 && i < sizeof windows_1252 / sizeof windows_1252[0]; i++) {
        out->map[0x80 + i] = windows_1252[i];
    }
    for (size_t i = 0; !is_1252 && i < sizeof iso_8859_15 / sizeof iso_8859_15[0]; i++) {
        out->map[iso_8859_15[i].byte] = iso_8859_15[i].character;
    }
    return true;
}
