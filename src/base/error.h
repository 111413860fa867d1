/* base/error.h: how a function says that it failed.
 *
 * A function that can fail returns bool and fills one struct error: one line that says what is
 * wrong, where, and what to do.  Nothing below server/ and cli/ prints or exits.  "Unknown" is not
 * an error: it is NAN in numbers and a reason code in a reading. */
#ifndef BASE_ERROR_H
#define BASE_ERROR_H

#include <stdbool.h>

#define MUST_USE __attribute__((warn_unused_result))

enum error_kind {
    ERROR_NONE,
    ERROR_USAGE,     /* the call's words are off: exit 2 */
    ERROR_INPUT,     /* the bytes cannot be read: exit 3 */
    ERROR_TOO_LARGE, /* over a reader's cap: exit 3 */
    ERROR_NOT_FOUND,
    ERROR_CONFLICT,
    ERROR_BUSY,
    ERROR_STORAGE,
    ERROR_DENIED,
    ERROR_INTERNAL,
};

struct error {
    enum error_kind kind;
    char message[480]; /* one line, UTF-8, no newline at the end */
};

/* Fills *err with kind and the formatted line; a longer line is cut at a character's edge.
 * Line breaks and control characters that came from outside are shown as '?'.
 * Always returns false, so that callers can write: return error_set(err, ...). */
bool error_set(struct error *err, enum error_kind kind, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* The exit status of the command line for a kind: 0 none, 2 usage, 3 input or too large, else 1. */
int error_exit_status(enum error_kind kind);

/* The name of a kind in JSON: "usage", "input", "too-large", "not-found", ... */
const char *error_kind_name(enum error_kind kind);

#endif
