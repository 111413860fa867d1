/* fuzz/mend.h: sizes and checksums of a FIT file set right, so that changed bytes get past them. */
#ifndef FUZZ_MEND_H
#define FUZZ_MEND_H

#include <stddef.h>
#include <stdint.h>

/* Writes header size (12 or 14), ".FIT", data size and both checksums over bytes [size], in place.
 * Where a second header stands after the first part's end, each part is mended for itself. */
void fit_mend(uint8_t *bytes, size_t size);

#endif
