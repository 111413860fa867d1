/* coaching/words/came_words.h: what is said of what came back of a session. */
#ifndef COACHING_WORDS_CAME_WORDS_H
#define COACHING_WORDS_CAME_WORDS_H

#include "coaching/came_back.h"

/* "Ridden: all 4 efforts whole, 16 of 16 min of hard work; 1 below the range."
 *   day  of the session */
char *came_words(struct arena *arena, int64_t day, const struct came_back *came,
                 const struct limits *limits);

/* "ridden", "ridden on 2026-03-14", "changed: plan B", "not yet": for a line of a list. */
char *came_words_short(struct arena *arena, const struct came_back *came);

/* "2026-03-14 VO2max, 4 x 4 min. Ridden: all 4 efforts whole, ..." */
char *came_words_line(struct arena *arena, const struct came_line *line);

/* "4 min at 106-112 %: 3 min 50 s at 268 W (107 %), in the range; heart rate 171." */
char *came_words_step(struct arena *arena, const struct came_step *step);

/* "Of 12 sessions given in 4 weeks 9 were ridden, 1 moved and 2 missed." */
char *came_words_counts(struct arena *arena, const struct came_counts *counts, int weeks);

/* Why steps can't be judged. */
const char *came_words_no_power(void);
const char *came_words_bad_power(void);
const char *came_words_no_threshold(void);
const char *came_words_no_range(void);
const char *came_words_few_power(void); /* of a step */

#endif
