/* coaching/words/sayings.h: from a cause's code to its sentence, and from causes to a reading's
 * text.
 *
 * Every question has a table of its own codes; looking up, filling in and lining up is the same. */
#ifndef COACHING_WORDS_SAYINGS_H
#define COACHING_WORDS_SAYINGS_H

#include "coaching/reading.h"

/* A row: a function of the cause's numbers, or fixed words where none is needed. */
struct saying {
    const char *code;
    char *(*say)(struct arena *arena, const struct cause *cause);
    const char *text;
};

/* The sentence of a cause by rows[n]; NULL if its code isn't there. */
const char *sayings_find(struct arena *arena, const struct saying rows[], size_t n,
                         const struct cause *cause);

/* The text of every cause that has none yet, and the reading's: the lead, why it can't be told,
 * because, what would settle it. */
void sayings_compose(struct arena *arena, struct reading *reading, const char *lead,
                     const struct saying rows[], size_t n);

/* A number of the cause as words_whole. */
char *sayings_whole(struct arena *arena, const struct cause *cause, const char *name);

#endif
