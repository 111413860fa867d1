/* base/data.h: where the program's own data lie (fonts, man pages). */
#ifndef BASE_DATA_H
#define BASE_DATA_H

#include "base/arena.h"
#include "base/error.h"

/* The folder of that name in the first of: $PLUMBLINE_DATA, ../share/plumbline beside the program,
 * the build tree it was built in.  False (ERROR_NOT_FOUND) names the three. */
MUST_USE bool data_find(struct arena *arena, const char *name, const char **out, struct error *err);

#endif
