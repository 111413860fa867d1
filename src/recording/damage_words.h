/* recording/damage_words.h: numbers in the lines that say what is wrong with a file's bytes. */
#ifndef RECORDING_DAMAGE_WORDS_H
#define RECORDING_DAMAGE_WORDS_H

#include "base/arena.h"

#include <stddef.h>
#include <stdint.h>

/* 12113 as "12,113". */
const char *damage_grouped(struct arena *arena, size_t number);

/* "95 s" below two minutes, then "35 min". */
const char *damage_duration(struct arena *arena, int64_t seconds);

#endif
