/* coaching/words/worth_words.h: what the rule behind a verdict is worth, one click away from it.
 *
 * Measured where this project measured it (docs/honesty.md, which a program writes); published
 * where others did; else said to be the trade's habit, which nobody has measured here. */
#ifndef COACHING_WORDS_WORTH_WORDS_H
#define COACHING_WORDS_WORTH_WORDS_H

#include "coaching/reading.h"

/* A few sentences; never NULL. */
const char *words_worth(enum question question);

#endif
