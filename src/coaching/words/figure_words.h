/* coaching/words/figure_words.h: what figures say in words. */
#ifndef COACHING_WORDS_FIGURE_WORDS_H
#define COACHING_WORDS_FIGURE_WORDS_H

#include "base/arena.h"

#include <stdbool.h>
#include <stdint.h>

/* In place of a panel. */
const char *words_no_power(void);
const char *words_no_heart_rate(void);

/* What the traces are, for who can't see them; seconds is how much of the ride they show. */
char *words_traces(struct arena *arena, bool has_power, bool has_heart_rate, double seconds);

/* "Hatched in power" and "Tinted in heart rate": what a list of spans begins with. */
char *words_hatched(struct arena *arena, const char *channel);
char *words_tinted(struct arena *arena, const char *channel);

/* "spike at 12:10", "spike (3 places)". */
char *words_masked(struct arena *arena, const char *what, int32_t first_s, int places);

/* What rep rows are: "12 reps against their target range." */
char *words_rep_rows(struct arena *arena, int n_reps);
/* Above rows that stand for several reps each. */
char *words_reps_grouped(struct arena *arena, int n_reps);

/* What a ladder is, for who can't see it. */
char *words_ladder(struct arena *arena, int n_durations, bool compared);

#endif
