/* coaching/words/trend_words.h: what is said of heart rate at one power, over weeks. */
#ifndef COACHING_WORDS_TREND_WORDS_H
#define COACHING_WORDS_TREND_WORDS_H

#include "coaching/reading.h"

/* Fills the text of a reading on QUESTION_BASE_TREND and of each of its causes. */
void words_trend_fill(struct arena *arena, struct reading *reading);

#endif
