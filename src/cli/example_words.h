/* cli/example_words.h: a ride of the example, as the session in which its coach asked for it.
 *
 *     blocks that the rider sets out to ride ──> warm-up, efforts, rests, lengths
 *     ranges that the plan draws from         ──> ranges in % (simulated/plans, simulated/outings)
 *
 * Habits are left out: whoever starts too hard was asked to ride evenly. */
#ifndef CLI_EXAMPLE_WORDS_H
#define CLI_EXAMPLE_WORDS_H

#include "simulated/season.h"

/* Words as coaching/session_text reads them. */
struct example_session {
    const char *name;
    const char *kind; /* one of session_kinds */
    const char *words;
    const char *meant_for; /* of the library; NULL = nothing to say */
};

/* False for what is no ride to plan: a run. */
bool example_words(struct arena *arena, const struct season_ride *ride,
                   struct example_session *out);

/* An easy ride in its place, of an hour. */
void example_words_easy(struct arena *arena, struct example_session *out);

#endif
