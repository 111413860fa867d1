/* server/problem.c: an error as the answer to a request. */
#include "server/problem.h"

#include "base/json.h"

#include <string.h>

int problem_status(enum error_kind kind)
{
    switch (kind) {
    case ERROR_NONE: return 200;
    case ERROR_USAGE: return 400;
    case ERROR_INPUT: return 422;
    case ERROR_TOO_LARGE: return 413;
    case ERROR_NOT_FOUND: return 404;
    case ERROR_CONFLICT: return 409;
    case ERROR_BUSY: return 503;
    case ERROR_STORAGE: return 507;
    case ERROR_DENIED: return 403;
    case ERROR_INTERNAL: break;
    }
    return 500;
}

/* Source: RFC 9110, section 15; 428, 429 and 431 RFC 6585; 507 RFC 4918. */
const char *problem_title(int status)
{
    static const struct {
        int status;
        const char *title;
    } titles[] = {
        { 400, "Bad Request" },
        { 401, "Unauthorized" },
        { 403, "Forbidden" },
        { 404, "Not Found" },
        { 405, "Method Not Allowed" },
        { 409, "Conflict" },
        { 411, "Length Required" },
        { 412, "Precondition Failed" },
        { 413, "Content Too Large" },
        { 414, "URI Too Long" },
        { 415, "Unsupported Media Type" },
        { 421, "Misdirected Request" },
        { 422, "Unprocessable Content" },
        { 428, "Precondition Required" },
        { 429, "Too Many Requests" },
        { 431, "Request Header Fields Too Large" },
        { 500, "Internal Server Error" },
        { 503, "Service Unavailable" },
        { 507, "Insufficient Storage" },
    };
    for (size_t i = 0; i < sizeof titles / sizeof titles[0]; i++) {
        if (titles[i].status == status) {
            return titles[i].title;
        }
    }
    return "Error";
}

/* The line without its brackets: the store's own words stand in them. */
static const char *without_brackets(struct arena *arena, const char *line)
{
    struct text out = text_begin(arena, 1000);
    int depth = 0;
    for (const char *c = line; *c != '\0'; c++) {
        depth += *c == '(' ? 1 : 0;
        if (depth == 0 && !(*c == ' ' && c[1] == '(')) {
            text_add_bytes(&out, c, 1);
        }
        depth -= *c == ')' && depth > 0 ? 1 : 0;
    }
    return out.bytes == NULL ? "" : out.bytes;
}

/* Of a path the last part alone: where things lie on the machine is nobody's business. */
static const char *without_folders(struct arena *arena, const char *line)
{
    struct text out = text_begin(arena, 1000);
    for (const char *c = line; *c != '\0';) {
        const bool begins = c == line || strchr(" \"'(", c[-1]) != NULL;
        const size_t n = *c == '/' && begins ? strcspn(c, " :;,\"')") : 0;
        const char *last = c;
        for (size_t i = 0; i < n; i++) {
            last = c[i] == '/' ? c + i + 1 : last;
        }
        text_add_bytes(&out, last, n > 0 ? (size_t)(c + n - last) : 1);
        c += n > 0 ? n : 1;
    }
    return out.bytes == NULL ? "" : out.bytes;
}

/* The line without what to type: who reads a page has no command line before them. */
static const char *without_command(struct arena *arena, const char *line)
{
    const char *at = strstr(line, "; plumbline ");
    return at == NULL ? line : arena_format(arena, "%.*s", (int)(at - line), line);
}

const char *problem_detail(struct arena *arena, const struct error *err, const char *place)
{
    const char *line = without_command(arena, err->message);
    const char *at = place != NULL && place[0] != '\0' ? strstr(line, place) : NULL;
    if (err->kind == ERROR_INTERNAL) {
        return "something went wrong inside Plumbline; the terminal where it runs says more";
    }
    if (at == NULL) {
        return without_folders(arena, line);
    }
    const char *plain = without_brackets(arena, at + strlen(place));
    return arena_format(arena, "%.*sthe roster%s", (int)(at - line), line, plain);
}

void problem_write(struct text *out, int status, const struct error *err, const char *place)
{
    struct json json = json_begin(out);
    json_begin_object(&json, NULL);
    json_string(&json, "title", problem_title(status));
    json_integer(&json, "status", status);
    json_string(&json, "kind", error_kind_name(err->kind));
    json_string(&json, "detail", problem_detail(out->arena, err, place));
    json_end_object(&json);
}
