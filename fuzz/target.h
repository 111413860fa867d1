/* fuzz/target.h: what a fuzz target is.  The same file is linked with libFuzzer, or with replay.c
 * as a test program of the suite. */
#ifndef FUZZ_TARGET_H
#define FUZZ_TARGET_H

#include <stddef.h>
#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#endif
