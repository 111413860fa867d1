/* coaching/words/record_words.h: what the program's record on a roster says. */
#ifndef COACHING_WORDS_RECORD_WORDS_H
#define COACHING_WORDS_RECORD_WORDS_H

#include "coaching/record.h"

/* "Of 20 base tests passed, the next within 56 days passed too in 15 and did not pass in 1; 4 were
 * on the line. That is 94 % of the clear ones (likely 76 to 99)."  With too few the counts, and
 * "Too few to tell: 7 clear cases, 10 are needed." */
char *words_record_row(struct arena *arena, enum record_claim claim, const struct record_row *row,
                       const struct limits *limits);

/* How a base test repeats, with how it is known and what that is worth. */
char *words_drift_repeat(struct arena *arena, const struct drift_repeat *repeat,
                         const struct limits *limits);

/* What counts of what came next are worth. */
const char *words_record_worth(void);

/* "Of 14 riders, from 1 December 2025 to 31 August 2026." */
char *words_record_head(struct arena *arena, const struct record *record);

#endif
