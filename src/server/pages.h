/* server/pages.h: the few pages that the program writes itself, in plain words. */
#ifndef SERVER_PAGES_H
#define SERVER_PAGES_H

#include "base/text.h"

/* Who isn't let in by a cookie.
 *   was_token   a token came, and was spent or wrong */
void pages_no_way_in(struct text *out, bool was_token);

/* The form of the password.  why NULL = nothing went wrong yet. */
void pages_password(struct text *out, const char *why);

/* The page wasn't built. */
void pages_not_built(struct text *out);

/* Nothing is there, or it went wrong. */
void pages_problem(struct text *out, int status, const char *why);

/* Their look: type text/css. */
extern const char pages_style[];
#define PAGES_STYLE_PATH "/plain.css"

#endif
