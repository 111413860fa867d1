/* coaching/words/weeks_words.h: what is said of easy rides, of how the rider is, of hours, and of
 * coming back. */
#ifndef COACHING_WORDS_WEEKS_WORDS_H
#define COACHING_WORDS_WEEKS_WORDS_H

#include "coaching/reading.h"

/* As words_rider_fill, for these questions. */
void words_weeks_fill(struct arena *arena, struct reading *reading);

/* "chest pain or pressure, and faintness": enum symptom, added. */
char *words_symptoms(struct arena *arena, unsigned symptoms);

/* "6.5". */
char *words_hours(struct arena *arena, double hours);

#endif
