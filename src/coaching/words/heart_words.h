/* coaching/words/heart_words.h: heart rate against usual, in sentences. */
#ifndef COACHING_WORDS_HEART_WORDS_H
#define COACHING_WORDS_HEART_WORDS_H

#include "coaching/reading.h"

/* Fills the text of a reading on QUESTION_TODAY and of each of its causes. */
void words_heart_today_fill(struct arena *arena, struct reading *reading);

/* What to ask when it was higher: "Ask about heat, ..." */
const char *words_ask_higher(void);
const char *words_ask_lower(void);

/* "12 beats above", "1 beat below": against what a power usually brings. */
char *words_beats_against(struct arena *arena, double bpm);

#endif
