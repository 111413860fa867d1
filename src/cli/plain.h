/* cli/plain.h: a page for a terminal without UTF-8. */
#ifndef CLI_PLAIN_H
#define CLI_PLAIN_H

#include "base/text.h"

/* True if the user's locale (LC_ALL, LC_CTYPE, LANG) writes UTF-8. */
bool plain_locale_is_utf8(void);

/* The page in ASCII: marks become words ("+/-"), letters lose their accents, what has no likeness
 * becomes '?'.  A line that grew past `width` columns is broken at a blank, and goes on under the
 * words of the line above.  page is well-formed UTF-8. */
struct text plain_page(struct arena *arena, const char *page, size_t width);

#endif
