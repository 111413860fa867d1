/* coaching/words/attention_words.h: why a rider is on the list, and what to do next. */
#ifndef COACHING_WORDS_ATTENTION_WORDS_H
#define COACHING_WORDS_ATTENTION_WORDS_H

#include "coaching/attention.h"

/* One sentence or two; the name stands beside it, not in it. */
char *words_attention(struct arena *arena, const struct attention_item *item);

/* "Look now", "Decide this week": a group as a heading. */
const char *words_attention_group(enum attention_group group);

/* "Ask how the rider is", "Read the ride": what the button says. */
const char *words_attention_act(enum attention_act act);

#endif
