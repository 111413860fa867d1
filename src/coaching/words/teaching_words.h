/* coaching/words/teaching_words.h: a session ridden to power and to heart rate, in sentences. */
#ifndef COACHING_WORDS_TEACHING_WORDS_H
#define COACHING_WORDS_TEACHING_WORDS_H

#include "coaching/teaching.h"
#include "coaching/words/hint.h"

/* What the two rides show; or why there is nothing to show, and what would change that. */
char *words_teaching(struct arena *arena, const struct teaching *teaching,
                     const struct expected *expected);

/* Where that is explained, if it is. */
enum hint words_teaching_hint(const struct teaching *teaching);

/* What a coach may send the rider; NULL unless it is told. */
char *words_teaching_message(struct arena *arena, const struct teaching *teaching,
                             const struct expected *expected);

/* What the picture is made of, and what it isn't. */
const char *words_teaching_basis(void);

/* "Heart rate will read low until about 1:40 of each effort: don't chase it."  NULL = no response,
 * or no effort. */
char *words_reads_low(struct arena *arena, const struct expected *expected);

/* The same of a session that is over: "Heart rate was to read low until about 1:40 of each effort."
 */
char *words_read_low_then(struct arena *arena, const struct expected *expected);

#endif
