/* server/problem.h: an error as the answer to a request.  Source: RFC 9457.
 *
 *     { "title": "Not Found", "status": 404, "kind": "not-found", "detail": "nobody here is called
 *       ida" }
 *
 * detail is the line that the command line would say, without the command that it may end in.  What
 * it may not say is where things lie on the machine, and the store's own words: those go to the log
 * alone. */
#ifndef SERVER_PROBLEM_H
#define SERVER_PROBLEM_H

#include "base/error.h"
#include "base/text.h"

/* The status of a kind of error. */
int problem_status(enum error_kind kind);

/* "Not Found". */
const char *problem_title(int status);

/* Writes it as JSON.
 *   place   of the roster: never told */
void problem_write(struct text *out, int status, const struct error *err, const char *place);

/* The line that may be told; in the arena. */
const char *problem_detail(struct arena *arena, const struct error *err, const char *place);

#endif
