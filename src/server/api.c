/* server/api.c: what a handler reads of its call. */
#include "server/api.h"

#include "base/dates.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

static const char *word_named(const struct api_words *words, const char *name)
{
    for (size_t i = 0; i < words->n; i++) {
        if (strcmp(words->items[i].name, name) == 0) {
            return words->items[i].value;
        }
    }
    return NULL;
}

const char *api_path(const struct api_call *call, const char *name)
{
    const char *value = word_named(&call->path, name);
    return value == NULL ? "" : value;
}

const char *api_query(const struct api_call *call, const char *name)
{
    return word_named(&call->query, name);
}

/* Digits alone, and a sign: strtoll would take blanks too. */
static bool read_whole(const char *text, int64_t *out)
{
    const char *digits = text[0] == '-' ? text + 1 : text;
    if (digits[0] == '\0' || digits[strspn(digits, "0123456789")] != '\0') {
        return false;
    }
    errno = 0;
    *out = strtoll(text, NULL, 10);
    return errno == 0;
}

bool api_path_id(const struct api_call *call, const char *name, int64_t *out, struct error *err)
{
    const char *text = api_path(call, name);
    int64_t id = 0;
    if (!read_whole(text, &id) || id < 1) {
        return error_set(err, ERROR_NOT_FOUND, "%s %.80s: there is none", name, text);
    }
    *out = id;
    return true;
}

bool api_query_is_true(const struct api_call *call, const char *name)
{
    const char *word = api_query(call, name);
    return word != NULL && strcmp(word, "true") == 0;
}

bool api_query_number(const struct api_call *call, const char *name, int64_t lowest,
                      int64_t highest, int64_t *out, struct error *err)
{
    const char *text = api_query(call, name);
    int64_t value = 0;
    if (text == NULL) {
        return true;
    }
    if (!read_whole(text, &value) || value < lowest || value > highest) {
        return error_set(err, ERROR_USAGE, "%s=%.80s: is no whole number from %lld to %lld", name,
                         text, (long long)lowest, (long long)highest);
    }
    *out = value;
    return true;
}

bool api_query_day(const struct api_call *call, const char *name, const char **out,
                   struct error *err)
{
    const char *text = api_query(call, name);
    int64_t days = 0;
    if (text == NULL) {
        return true;
    }
    if (!dates_parse_day(text, &days)) {
        return error_set(err, ERROR_USAGE, "%s=%.80s: is no day; write it as 2026-03-14", name,
                         text);
    }
    *out = text;
    return true;
}
