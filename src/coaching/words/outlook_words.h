/* coaching/words/outlook_words.h: what a session will bring, in sentences. */
#ifndef COACHING_WORDS_OUTLOOK_WORDS_H
#define COACHING_WORDS_OUTLOOK_WORDS_H

#include "coaching/outlook.h"

/* Fills heading, text, warnings and missing from the numbers, in words that fit wherever they
 * stand: no command and no button is named. rider   whose numbers they are; its response NULL where
 * heart rate isn't read */
void words_outlook_fill(struct arena *arena, struct session_outlook *outlook,
                        const struct expected_rider *rider, const struct limits *limits);

/* Where W' is short: "effort 5", "efforts 3 to 6", "at 320 W, from 32:00 on". */
const char *words_outlook_short(struct arena *arena, const struct session_outlook *outlook);

/* "Expected heart rate, minute by minute: 98 112 118 ...", a dash where it isn't told; NULL where
 * it is nowhere. */
const char *words_outlook_minutes(struct arena *arena, const struct session_outlook *outlook);

/* "The newest ride on file before it is of 31 August 2026, 93 days before: ..." */
char *words_outlook_old(struct arena *arena, int64_t known_day, int64_t days, bool is_past);

#endif
