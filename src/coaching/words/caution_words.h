/* coaching/words/caution_words.h: what stands over a rider, in words. */
#ifndef COACHING_WORDS_CAUTION_WORDS_H
#define COACHING_WORDS_CAUTION_WORDS_H

#include "coaching/rider_cautions.h"

const char *words_rider_caution(enum rider_caution caution);

#endif
