/* coaching/words/session_words.c: a session in a line, and why it can't be changed in one step. */
#include "coaching/words/session_words.h"

#include "coaching/words/words.h"

char *words_session_brief(struct arena *arena, const struct session_dose *dose)
{
    if (dose->seconds == 0) {
        return arena_format(arena, "until the button");
    }
    const char *whole = words_duration(arena, dose->seconds);
    return dose->hard_s == 0 ? arena_format(arena, "%s", whole)
                             : arena_format(arena, "%s, %s of it hard", whole,
                                            words_duration(arena, dose->hard_s));
}

const char *words_session_nudge_none(enum session_nudge nudge)
{
    switch (nudge) {
    case SESSION_HARDER:
    case SESSION_EASIER:
        return "nothing in it has a range in % of threshold, in watts or in effort that could be "
               "moved a step: write the range";
    case SESSION_LONGER: return "it can't be made longer by a step: write the length";
    case SESSION_SHORTER: return "it can't be made shorter by a step: write the length";
    case SESSION_NUDGES: break;
    }
    return "";
}
