/* server/log.c: what the server says on stderr. */
#include "server/log.h"

#include "base/json.h"
#include "base/dates.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

static bool is_json; /* set once, before threads are */

void log_begin(bool as_json)
{
    is_json = as_json;
}

/* One call, so that lines of several threads don't mix. */
static void put_line(struct text *line)
{
    text_add(line, "\n");
    fwrite(line->bytes, 1, line->length, stderr);
    fflush(stderr);
}

static struct json begin_line(struct text *line, const char *level)
{
    char moment[32];
    struct json json = json_begin(line);
    dates_format_utc((int64_t)time(NULL), moment);
    json_begin_object(&json, NULL);
    json_string(&json, "utc", moment);
    json_string(&json, "level", level);
    return json;
}

__attribute__((format(printf, 2, 0))) static void say(const char *level, const char *format,
                                                      va_list args)
{
    char words[600];
    vsnprintf(words, sizeof words, format, args);
    struct arena *arena = arena_open();
    struct text line = text_begin(arena, 4000);
    if (is_json) {
        struct json json = begin_line(&line, level);
        json_string(&json, "text", text_clean(arena, words, strlen(words)));
        json_end_object(&json);
    } else {
        text_add_format(&line, "plumbline serve: %s", words);
    }
    put_line(&line);
    arena_close(arena);
}

void log_error(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    say("error", format, args);
    va_end(args);
}

void log_info(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    say("info", format, args);
    va_end(args);
}

void log_request(const char *method, const char *pattern, int status, double ms)
{
    if (!is_json) {
        return;
    }
    struct arena *arena = arena_open();
    struct text line = text_begin(arena, 2000);
    struct json json = begin_line(&line, "info");
    json_string(&json, "request", text_clean(arena, method, strnlen(method, 20)));
    json_string(&json, "route", pattern);
    json_integer(&json, "status", status);
    json_number(&json, "ms", ms, 3);
    json_end_object(&json);
    put_line(&line);
    arena_close(arena);
}
