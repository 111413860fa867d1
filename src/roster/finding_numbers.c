/* roster/finding_numbers.c: a finding's numbers as JSON text, and back. */
#include "roster/finding_numbers.h"

#include "base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Names are small letters, digits and '_': nothing to escape. */
static const char NAME_LETTERS[] = "abcdefghijklmnopqrstuvwxyz0123456789_";

const char *finding_numbers_write(struct arena *arena, const struct finding *finding)
{
    struct text out = text_begin(arena, 4096);
    text_add(&out, "{");
    for (size_t i = 0; i < finding->n_numbers; i++) {
        const struct number *number = &finding->numbers[i];
        text_add_format(&out, "%s\"%s\":", i > 0 ? "," : "", number->name);
        if (isfinite(number->value)) {
            text_add_format(&out, "%.17g", number->value);
        } else {
            text_add(&out, "null");
        }
    }
    text_add(&out, "}");
    return out.bytes;
}

static bool read_value(const char **at, double *value)
{
    if (strncmp(*at, "null", 4) == 0) {
        *value = (double)NAN;
        *at += 4;
        return true;
    }
    char *end = NULL;
    *value = strtod(*at, &end);
    const bool read = end != *at && isfinite(*value);
    *at = end;
    return read;
}

bool finding_numbers_read(struct arena *arena, const char *text, struct finding *finding)
{
    const char *at = text;
    finding->n_numbers = 0;
    if (*at++ != '{') {
        return false;
    }
    while (*at != '}') {
        const size_t n = finding->n_numbers;
        if (n == FINDING_NUMBERS || (n > 0 && *at++ != ',') || *at++ != '"') {
            return false;
        }
        const size_t length = strspn(at, NAME_LETTERS);
        if (length == 0 || strncmp(at + length, "\":", 2) != 0) {
            return false;
        }
        char *name = arena_alloc(arena, length + 1, 1);
        memcpy(name, at, length);
        at += length + 2;
        finding->numbers[n].name = name;
        if (!read_value(&at, &finding->numbers[n].value)) {
            return false;
        }
        finding->n_numbers++;
    }
    return at[1] == '\0';
}
