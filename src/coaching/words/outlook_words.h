/* coaching/words/outlook_words.h: what a session will bring, in sentences. */
#ifndef COACHING_WORDS_OUTLOOK_WORDS_H
#define COACHING_WORDS_OUTLOOK_WORDS_H

#include "coaching/outlook.h"

/* Fills text, warnings and missing from the numbers.
 *   rider   whose numbers they are; its response NULL where heart rate isn't read */
void words_outlook_fill(struct arena *arena, struct session_outlook *outlook,
                        const struct expected_rider *rider, const struct limits *limits);

/* "The newest ride on file is of 31 August 2026, 93 days before it: ..." */
char *words_outlook_old(struct arena *arena, int64_t known_day, int64_t days);

#endif
