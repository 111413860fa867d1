/* coaching/words/words.h: the only sentences about riders.
 *
 * Plain words of the trade, short sentences, first what it means, then the number; British
 * spelling; "likely 4 to 8" is the 90 % interval.  Every function returns text of the arena's.
 * Formatting helpers are shared here so that a minute looks the same everywhere. */
#ifndef COACHING_WORDS_WORDS_H
#define COACHING_WORDS_WORDS_H

#include "base/arena.h"
#include "coaching/reading.h"

/* "3,351", "-4": rounded to a whole number, halves away from zero; "unknown" for NAN. */
char *words_whole(struct arena *arena, double value);
/* "once", "twice", "3 times". */
char *words_times(struct arena *arena, double count);
/* "45 s", "4 min 30 s" (below 10 min), "54 min", "1 h 24 min"; "an unknown time" for NAN. */
char *words_duration(struct arena *arena, double seconds);
/* "4:00", "1:02:03": a clock inside a ride. */
char *words_clock(struct arena *arena, int32_t seconds);
/* "6 (likely 4 to 8)": rounded to whole units; unit added by the caller's sentence.  Without an
 * interval (NAN) the value alone. */
char *words_likely(struct arena *arena, double value, double low, double high);
/* "a, b and c" with last " and ". */
char *words_list(struct arena *arena, const char *const items[], size_t n, const char *last);

/* The sentence of a cause of any question, from its code and numbers; each question's file holds
 * its own codes.  NULL if the code isn't known there. */
char *words_trust_cause(struct arena *arena, const struct cause *cause);
char *words_base_cause(struct arena *arena, const struct cause *cause);
char *words_easy_cause(struct arena *arena, const struct cause *cause);
char *words_hard_cause(struct arena *arena, const struct cause *cause);

/* "This is a run, not a ride." */
char *words_not_a_ride(struct arena *arena, enum sport sport);

/* The sentence of a finding; a code that isn't known here gets a plain one from what it holds. */
char *words_finding(struct arena *arena, const struct finding *finding);

/* The main sentence(s) of a reading. */
char *words_trust(struct arena *arena, const struct reading *reading);
char *words_base(struct arena *arena, const struct reading *reading,
                 const struct ride_readings *readings);
char *words_easy(struct arena *arena, const struct reading *reading);
char *words_hard(struct arena *arena, const struct reading *reading,
                 const struct ride_readings *readings);

/* What the recording is: "Outdoor ride, 1 h 28 min, 14 March 2026, power and heart rate." */
char *words_summary(struct arena *arena, const struct recording *recording);

#endif
