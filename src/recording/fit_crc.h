/* recording/fit_crc.h: the checksum of FIT files.
 *
 * CRC-16 with polynomial 0x8005 reflected, start 0, as the FIT protocol defines it (the same as
 * CRC-16/ARC).  The file's checksum runs from the first byte of the header to the last before the
 * two bytes that hold it, whatever the size of the header. */
#ifndef RECORDING_FIT_CRC_H
#define RECORDING_FIT_CRC_H

#include <stddef.h>
#include <stdint.h>

/* The checksum of bytes [size], continued from crc (0 at the start). */
uint16_t fit_crc16(uint16_t crc, const uint8_t *bytes, size_t size);

#endif
