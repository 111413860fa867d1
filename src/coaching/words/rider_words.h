/* coaching/words/rider_words.h: what is said of a rider, over weeks. */
#ifndef COACHING_WORDS_RIDER_WORDS_H
#define COACHING_WORDS_RIDER_WORDS_H

#include "coaching/reading.h"

/* Fills the text of a rider's reading and of each of its causes, from codes and numbers. */
void words_rider_fill(struct arena *arena, struct reading *reading);

/* "14 March 2026". */
char *words_day(struct arena *arena, int64_t day);

#endif
