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
const char *words_trust_cause(struct arena *arena, const struct cause *cause);
char *words_base_cause(struct arena *arena, const struct cause *cause);
const char *words_easy_cause(struct arena *arena, const struct cause *cause);
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

/* Fills the text of the reading on the hard day and of each of its causes. */
void words_load_fill(struct arena *arena, struct reading *reading);

/* A question as a heading: "Is the base there?" */
const char *words_question(enum question question);

/* How many bytes of a reading's text are its verdict, for setting them apart: "Base test passed:",
 * "Usable.", of "If these were meant as VO2max work: done: 4 of 4 reps." all up to "done:". */
size_t words_lead(const char *text);

/* What the recording is and its day, for a title: "Indoor ride, 10 March 2026". */
char *words_title(struct arena *arena, const struct recording *recording);

/* What else there is to say of it under such a title: "54 min, with power and heart rate; 2 pauses
 * (3 min)." */
char *words_contents(struct arena *arena, const struct recording *recording);

/* "In the zones of 246 W: 30 min recovery, 8 min 16 s endurance."; NULL without threshold, power or
 * time in any zone. */
char *words_zones(struct arena *arena, const struct rider_facts *facts,
                  const struct ride_readings *readings);

/* The verdict as a reader meets it: its name, with a comma where one is due. */
const char *words_verdict(enum verdict verdict);

/* "106–120 %" with "of threshold", or "225–245 W", "at least 300 W"; NULL without a range. */
char *words_range(struct arena *arena, const struct reading *reading);

/* What a best means that is only known to be reached. */
const char *words_at_least(void);

/* "7 more are told with the ride, not here." */
char *words_more_findings(struct arena *arena, size_t n);

/* Why seconds of a channel can't be used, in two or three words: "strap slipped". */
const char *words_mask(enum channel channel, enum mask_reason reason);

/* What the recording is: "Outdoor ride, 1 h 28 min, 14 March 2026, power and heart rate." */
char *words_summary(struct arena *arena, const struct recording *recording);

/* The caution for a reply that speaks of chest pain, fainting and the like; quote: its words. */
char *words_reply_alarm(struct arena *arena, const char *quote);

#endif
