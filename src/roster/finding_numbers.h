/* roster/finding_numbers.h: a finding's numbers as JSON text, and back. */
#ifndef ROSTER_FINDING_NUMBERS_H
#define ROSTER_FINDING_NUMBERS_H

#include "recording/recording.h"

/* {"max_w":2100,"seconds":3}: every digit that a double has, unknown as null. */
const char *finding_numbers_write(struct arena *arena, const struct finding *finding);

/* Fills numbers and n_numbers; names lie in the arena.  False if it isn't what write gives. */
bool finding_numbers_read(struct arena *arena, const char *text, struct finding *finding);

#endif
