/* coaching/words/next_words.h: what is said of the coming days. */
#ifndef COACHING_WORDS_NEXT_WORDS_H
#define COACHING_WORDS_NEXT_WORDS_H

#include "coaching/next.h"

/* Why a rule proposes what it does, and where the rule comes from. */
const char *words_next_why(const char *rule);
const char *words_next_source(const char *rule);

/* "An effort fewer than last time." of a session that was changed; NULL for one that was not.
 *   shortened   by what ("event-near", "lighter-week", "week-jump"); NULL = the rule says it */
const char *words_next_how(enum next_change change, const char *shortened);

/* "VO2max, an effort fewer" of "VO2max, 4 x 4 min"; is_asked = with another count or range than the
 * library's. */
const char *words_next_name(struct arena *arena, const char *title, enum next_change change,
                            bool is_asked);

/* Why something was left out: of time, or of what stands about it. */
const char *words_next_left(struct arena *arena, const char *session, bool had_time);

/* Why what stands no longer fits, by its code. */
const char *words_next_unfit(const char *code);

/* Nothing at all is proposed: why.  had_rules = rules asked for something, and no day took it. */
const char *words_next_nothing(const struct next_plan *plan, bool any_time);

#endif
