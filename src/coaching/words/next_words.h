/* coaching/words/next_words.h: what is said of the coming days. */
#ifndef COACHING_WORDS_NEXT_WORDS_H
#define COACHING_WORDS_NEXT_WORDS_H

#include "coaching/next.h"
#include "coaching/rider_history.h"

/* Why a rule proposes what it does, and where the rule comes from. */
const char *words_next_why(const char *rule);
const char *words_next_source(const char *rule);

/* "An effort fewer than last time." of a session that was changed; NULL for one that was not.
 *   shortened   by what ("event-near", "lighter-week", "week-jump"); NULL = the rule says it
 *   is_known    the efforts of the last one; else those of the library are compared with */
const char *words_next_how(struct arena *arena, enum next_change change, const char *shortened,
                           bool is_known);

/* "An event is near. At most 3.0 h in these 7 days with what stands, 50 % of the usual 6.0 a
 * week." */
const char *words_next_hours(struct arena *arena, const char *shortened, double most_hours,
                             int days, double share, double usual_hours);

/* "VO2max, an effort fewer" of "VO2max, 4 x 4 min"; is_asked = with another count or range than the
 * library's. */
const char *words_next_name(struct arena *arena, const char *title, enum next_change change,
                            bool is_asked);

/* "The last hard work was VO2max, 4 x 4 min, on Thursday 27 August 2026: started too hard."
 *   what   its name or kind; NULL = not known */
const char *words_next_last(struct arena *arena, const char *what, const struct past_ride *ride);

/* The last all-out effort of a length that was chosen. */
struct next_tested {
    int32_t seconds;
    int64_t day; /* INT64_MIN = none on file */
};

/* "All-out efforts chosen: 5 min last on 27 August 2026; 20 min none on file." */
const char *words_next_tests(struct arena *arena, const struct next_tested tests[], size_t n);

/* Why something was left out; hours: what must be kept to, as above, NULL = no such. */
const char *words_next_left(struct arena *arena, const char *session, enum next_why_left why,
                            const char *hours);

/* Why what stands no longer fits, by its code. */
const char *words_next_unfit(const char *code);

/* Nothing at all is proposed: why; NULL = something is.  any_time = a day has time, or something
 * stands on one. */
const char *words_next_nothing(const struct next_plan *plan, bool any_time);

#endif
