/* fuzz/whole.h: all that is done with a file's bytes, and what must hold of it. */
#ifndef FUZZ_WHOLE_H
#define FUZZ_WHOLE_H

#include "recording/recording.h"

/* Stops the program with a line that says what doesn't hold: the fuzzer takes it for a crash. */
_Noreturn void fuzz_broken(const char *what, const char *detail);

/* Reads the bytes as a recording, and everything of each recording that comes out of it. */
void whole_read(struct bytes bytes);

/* Checks a recording whose grid and trust are done; its readings too if asked. */
void whole_recording(const struct recording *recording, bool with_readings);

#endif
