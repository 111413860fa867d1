/* coaching/words/test_words.h: sentences about tests that were recognised. */
#ifndef COACHING_WORDS_TEST_WORDS_H
#define COACHING_WORDS_TEST_WORDS_H

#include "base/arena.h"
#include "physiology/protocols.h"

/* What was ridden: "20 min at 271 W", "12 min at 270, 7 min at 285 and 3 min at 330 W". */
char *words_test_ridden(struct arena *arena, const struct protocol_test *test);

/* What it makes: "threshold 251 W (likely 224 to 278)", "critical power 254 W (likely 245 to 263),
 * W' 14.9 kJ"; NULL where nothing is computed. */
char *words_test_makes(struct arena *arena, const struct protocol_test *test);

/* Why it isn't valid, after a comma: "its halves differ by 9 % (6 at most)"; never NULL. */
char *words_test_reason(struct arena *arena, const struct test_reason *reason);

#endif
