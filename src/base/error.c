/* base/error.c: one line that says what failed. */
#include "base/error.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

bool error_set(struct error *err, enum error_kind kind, const char *format, ...)
{
    err->kind = kind;
    va_list args;
    va_start(args, format);
    const int wanted = vsnprintf(err->message, sizeof err->message, format, args);
    va_end(args);
    if (wanted >= (int)sizeof err->message) {
        /* Cut back over the continuation bytes of a character that was split. */
        size_t n = strlen(err->message);
        while (n > 0 && ((unsigned char)err->message[n - 1] & 0xC0u) == 0x80u) {
            n--;
        }
        if (n > 0 && (unsigned char)err->message[n - 1] >= 0xC0u) {
            n--;
        }
        err->message[n] = '\0';
    }
    for (char *c = err->message; *c != '\0'; c++) {
        if ((unsigned char)*c < 0x20u || *c == 0x7F) {
            *c = '?';
        }
    }
    return false;
}

int error_exit_status(enum error_kind kind)
{
    switch (kind) {
    case ERROR_NONE: return 0;
    case ERROR_USAGE: return 2;
    case ERROR_INPUT:
    case ERROR_TOO_LARGE: return 3;
    case ERROR_NOT_FOUND:
    case ERROR_CONFLICT:
    case ERROR_BUSY:
    case ERROR_STORAGE:
    case ERROR_DENIED:
    case ERROR_INTERNAL: break;
    }
    return 1;
}

const char *error_kind_name(enum error_kind kind)
{
    switch (kind) {
    case ERROR_NONE: return "none";
    case ERROR_USAGE: return "usage";
    case ERROR_INPUT: return "input";
    case ERROR_TOO_LARGE: return "too-large";
    case ERROR_NOT_FOUND: return "not-found";
    case ERROR_CONFLICT: return "conflict";
    case ERROR_BUSY: return "busy";
    case ERROR_STORAGE: return "storage";
    case ERROR_DENIED: return "denied";
    case ERROR_INTERNAL: break;
    }
    return "internal";
}
