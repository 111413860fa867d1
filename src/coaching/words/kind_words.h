/* coaching/words/kind_words.h: what work is called where people read it. */
#ifndef COACHING_WORDS_KIND_WORDS_H
#define COACHING_WORDS_KIND_WORDS_H

/* "VO2max" of "vo2max", "base test" of "base-test": the names of physiology/facts and of
 * coaching/session_library; any other is its own word. */
const char *words_kind(const char *name);

#endif
