/* coaching/words/session_words.h: a session in a line, and why it can't be changed in one step. */
#ifndef COACHING_WORDS_SESSION_WORDS_H
#define COACHING_WORDS_SESSION_WORDS_H

#include "coaching/session_nudge.h"

/* "46 min, 20 min of it hard"; "until the button" where nothing has a length. */
char *words_session_brief(struct arena *arena, const struct session_dose *dose);

/* Why session_nudge_make changed nothing: what it looked for, and what to do instead. */
const char *words_session_nudge_none(enum session_nudge nudge);

#endif
