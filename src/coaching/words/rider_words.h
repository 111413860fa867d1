/* coaching/words/rider_words.h: what is said of a rider, over weeks. */
#ifndef COACHING_WORDS_RIDER_WORDS_H
#define COACHING_WORDS_RIDER_WORDS_H

#include "coaching/reading.h"

/* Fills the text of a rider's reading and of each of its causes, from codes and numbers. */
void words_rider_fill(struct arena *arena, struct reading *reading);

/* "The threshold in force is of 6 August 2026, 25 days ago." */
char *words_threshold_age(struct arena *arena, int64_t day, int64_t today);

/* What looking at several durations one by one means. */
const char *words_several_durations(void);

/* Readings that may change, because n rides wait to be read again. */
char *words_being_read_again(struct arena *arena, size_t n);

/* How far base tests of one rider scatter, beside the verdict of one; or, where that isn't known,
 * how many repeat pairs there are of those needed. */
char *words_test_repeats(struct arena *arena, const struct cause *cause, bool is_known);

/* "Heart rate against usual is being made: 12 rides wait. ..." */
char *words_usual_being_made(struct arena *arena, size_t n);

/* "14 March 2026". */
char *words_day(struct arena *arena, int64_t day);

#endif
