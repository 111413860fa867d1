/* server/router.c: addresses, taken apart.  Source: RFC 3986, sections 2.1, 3.3 and 3.4; in the
 * query a plus is a blank, as forms write it (URL Standard, application/x-www-form-urlencoded). */
#include "server/router.h"

#include <string.h>

int router_hex_digit(char c)
{
    if (c >= '0' && c <= '9') {
        return c - '0';
    }
    if (c >= 'a' && c <= 'f') {
        return c - 'a' + 10;
    }
    return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

static bool is_control(unsigned char c)
{
    return c < 0x20u || c == 0x7Fu;
}

/* One part, decoded into the arena.  The message doesn't repeat what may be no text. */
static bool decode(struct arena *arena, const char *from, size_t n, bool plus_is_blank,
                   const char **out, struct error *err)
{
    char *text = ARENA_ARRAY(arena, char, n + 1);
    size_t length = 0;
    for (size_t i = 0; i < n; i++) {
        char c = from[i];
        if (c == '%') {
            const int high = i + 2 < n ? router_hex_digit(from[i + 1]) : -1;
            const int low = i + 2 < n ? router_hex_digit(from[i + 2]) : -1;
            if (high < 0 || low < 0) {
                return error_set(err, ERROR_USAGE, "the address has a %% without two hex digits");
            }
            c = (char)(high * 16 + low);
            i += 2;
        } else if (c == '+' && plus_is_blank) {
            c = ' ';
        }
        if (is_control((unsigned char)c)) {
            return error_set(err, ERROR_USAGE, "the address has a control character in it");
        }
        text[length++] = c;
    }
    if (!text_is_utf8(text, length)) {
        return error_set(err, ERROR_USAGE, "the address is not UTF-8");
    }
    *out = text_clean(arena, text, length);
    return true;
}

static bool is_dots(const char *part)
{
    return strcmp(part, ".") == 0 || strcmp(part, "..") == 0;
}

static bool read_path(struct arena *arena, const char *at, const char *end,
                      struct router_address *out, struct error *err)
{
    while (at < end) {
        const char *slash = memchr(at, '/', (size_t)(end - at));
        const char *stop = slash == NULL ? end : slash;
        const char *part = "";
        if (out->n_parts == ROUTER_PARTS_MOST) {
            return error_set(err, ERROR_TOO_LARGE, "the address has more than %u parts",
                             ROUTER_PARTS_MOST);
        }
        if (!decode(arena, at, (size_t)(stop - at), false, &part, err)) {
            return false;
        }
        if (part[0] == '\0' || is_dots(part)) {
            return error_set(err, ERROR_USAGE, "the address has an empty part, or dots for one");
        }
        out->parts[out->n_parts++] = part;
        at = stop + (slash == NULL ? 0 : 1);
        if (slash != NULL && at == end) {
            return error_set(err, ERROR_USAGE, "the address ends with a slash");
        }
    }
    return true;
}

static bool is_named(const struct api_word *items, size_t n, const char *name)
{
    for (size_t i = 0; i < n; i++) {
        if (strcmp(items[i].name, name) == 0) {
            return true;
        }
    }
    return false;
}

static bool read_query(struct arena *arena, const char *at, const char *end,
                       struct router_address *out, struct error *err)
{
    struct api_word *items = ARENA_ARRAY(arena, struct api_word, ROUTER_QUERY_MOST);
    size_t n = 0;
    while (at < end) {
        const char *and = memchr(at, '&', (size_t)(end - at));
        const char *stop = and == NULL ? end : and;
        const char *equals = memchr(at, '=', (size_t)(stop - at));
        const char *name_end = equals == NULL ? stop : equals;
        const char *value = name_end + (equals == NULL ? 0 : 1);
        struct api_word word = { 0 };
        if (n == ROUTER_QUERY_MOST) {
            return error_set(err, ERROR_TOO_LARGE, "the query has more than %u names",
                             ROUTER_QUERY_MOST);
        }
        if (!decode(arena, at, (size_t)(name_end - at), true, &word.name, err) ||
            !decode(arena, value, (size_t)(stop - value), true, &word.value, err)) {
            return false;
        }
        if (is_named(items, n, word.name)) {
            return error_set(err, ERROR_USAGE, "%.80s: stands twice in the query", word.name);
        }
        items[n++] = word;
        at = stop + (and == NULL ? 0 : 1);
    }
    out->query = (struct api_words){ items, n };
    return true;
}

bool router_read(struct arena *arena, const char *address, struct router_address *out,
                 struct error *err)
{
    const size_t length = strlen(address);
    *out = (struct router_address){ .path = "/" };
    if (length > ROUTER_BYTES_MOST) {
        return error_set(err, ERROR_TOO_LARGE, "the address is longer than %u bytes",
                         ROUTER_BYTES_MOST);
    }
    if (address[0] != '/') {
        return error_set(err, ERROR_USAGE, "the address doesn't begin with a slash");
    }
    const char *end = address + length;
    const char *question = memchr(address, '?', length);
    const char *path_end = question == NULL ? end : question;
    if (!read_path(arena, address + 1, path_end, out, err) ||
        (question != NULL && !read_query(arena, question + 1, end, out, err))) {
        return false;
    }
    struct text path = text_begin(arena, (size_t)ROUTER_BYTES_MOST * 4u);
    for (size_t i = 0; i < out->n_parts; i++) {
        text_add_format(&path, "/%s", out->parts[i]);
    }
    out->path = out->n_parts > 0 ? path.bytes : "/";
    return true;
}

/* Whether the parts fit the pattern; fills words[ROUTER_PARTS_MOST]. */
static bool fits(struct arena *arena, const char *pattern, const char *const parts[], size_t n,
                 struct api_word words[], size_t *n_words)
{
    const char *at = pattern;
    *n_words = 0;
    for (size_t i = 0; i < n; i++) {
        const size_t length = strcspn(at, "/");
        if (length == 0) {
            return false;
        }
        if (at[0] == '{') {
            char *name = arena_copy(arena, at + 1, length - 1);
            name[length - 2] = '\0'; /* the closing brace */
            words[(*n_words)++] = (struct api_word){ name, parts[i] };
        } else if (strlen(parts[i]) != length || memcmp(parts[i], at, length) != 0) {
            return false;
        }
        at += length;
        if (*at == '/') {
            at++;
        } else if (i + 1 < n) {
            return false;
        }
    }
    return *at == '\0';
}

enum router_found router_find(struct arena *arena, const struct api_route routes[], size_t n_routes,
                              const char *method, const char *const parts[], size_t n,
                              const struct api_route **route, struct api_words *path)
{
    enum router_found found = ROUTER_NONE;
    const struct api_route *best = NULL;
    for (size_t i = 0; i < n_routes; i++) {
        struct api_word words[ROUTER_PARTS_MOST];
        size_t n_words = 0;
        if (!fits(arena, routes[i].pattern, parts, n, words, &n_words)) {
            continue;
        }
        if (strcmp(routes[i].method, method) != 0) {
            found = best == NULL ? ROUTER_OTHER_METHOD : found;
        } else if (best == NULL || n_words < path->n) {
            /* "riders/new" goes before "riders/{rider}", wherever they stand. */
            best = &routes[i];
            path->items = arena_copy(arena, words, n_words * sizeof words[0]);
            path->n = n_words;
            found = ROUTER_ROUTE;
        }
    }
    *route = best;
    return found;
}

const char *router_allowed(struct arena *arena, const struct api_route routes[], size_t n_routes,
                           const char *const parts[], size_t n)
{
    struct text out = text_begin(arena, 1000);
    for (size_t i = 0; i < n_routes; i++) {
        struct api_word words[ROUTER_PARTS_MOST];
        size_t n_words = 0;
        if (fits(arena, routes[i].pattern, parts, n, words, &n_words)) {
            text_add_format(&out, "%s%s", out.length > 0 ? ", " : "", routes[i].method);
        }
    }
    return out.bytes == NULL ? "" : out.bytes;
}

bool router_query_is_known(const struct api_route *route, const struct api_words *query,
                           struct error *err)
{
    for (size_t i = 0; i < query->n; i++) {
        const char *name = query->items[i].name;
        const size_t length = strlen(name);
        bool is_known = false;
        for (const char *at = route->query == NULL ? "" : route->query; *at != '\0';) {
            const size_t word = strcspn(at, " ");
            is_known = is_known || (word == length && memcmp(at, name, word) == 0);
            at += word + (at[word] == ' ' ? 1 : 0);
        }
        if (!is_known) {
            return error_set(err, ERROR_USAGE, "%.80s: no such name in the query of %s", name,
                             route->pattern);
        }
    }
    return true;
}
