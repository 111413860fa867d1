/* coaching/words/meter_words.h: what is said of two power meters. */
#ifndef COACHING_WORDS_METER_WORDS_H
#define COACHING_WORDS_METER_WORDS_H

#include "coaching/reading.h"
#include "physiology/meter_link.h"

/* Fills the text of the reading on two meters and of each of its causes. */
void words_meters_fill(struct arena *arena, struct reading *reading);

/* "2.1 % more by pedals than by crank (likely 0.4 to 3.8)". */
char *words_meters_apart(struct arena *arena, const char *first, const char *second, double pct,
                         double low, double high);

/* "one of the two was changed on 5 June 2026, after it"; NULL if none was. */
char *words_meters_changed(struct arena *arena, const struct meter_link *link);

/* What a comparison of bests by two meters carries: cause "meters-checked" or "other-meter". */
char *words_meters_checked(struct arena *arena, const struct cause *cause);
char *words_meters_unchecked(struct arena *arena, const struct cause *cause);

/* Beside a list of bests, some of which (marked "m") are of two meters: what of the change may be
 * the meters'.  link NULL = they were not checked. */
char *words_meters_bests(struct arena *arena, const struct meter_link *link, double pct, double low,
                         double high);

#endif
