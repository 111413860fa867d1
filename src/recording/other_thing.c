/* recording/other_thing.c: files that lie among recordings and are none. */
#include "recording/other_thing.h"

#include "recording/csv_layout.h"
#include "recording/csv_read.h"
#include "recording/csv_text.h"
#include "recording/fit_message.h"
#include "recording/fit_profile.h"
#include "recording/fit_read.h"
#include "recording/gpx_parse.h"
#include "recording/gpx_read.h"

#include <string.h>
#include <strings.h>

/* FIT: the type in the file_id says what the file is; it should stand first, and mostly does. */
static bool is_other_fit(struct bytes bytes)
{
    enum { MESSAGES_LOOKED_AT = 100 };
    struct arena *scratch = arena_open();
    struct fit_walk *walk = arena_alloc(scratch, 1, sizeof *walk);
    struct fit_message message = { 0 };
    int64_t type = FIT_FILE_TYPE_ACTIVITY;
    fit_walk_begin(walk, bytes.at, bytes.at[0] < bytes.size ? bytes.at[0] : bytes.size, bytes.size,
                   bytes.size, 0, false);
    for (int i = 0; i < MESSAGES_LOOKED_AT && fit_walk_next(walk, &message); i++) {
        if (message.definition->message == FIT_FILE_ID &&
            fit_message_integer(&message, FIT_FILE_ID_TYPE, &type)) {
            break;
        }
    }
    arena_close(scratch);
    return type != FIT_FILE_TYPE_ACTIVITY;
}

/* Whether the outermost element is called so, whatever its prefix. */
static bool has_root(struct bytes bytes, const char *name)
{
    for (size_t i = 0; i + 1 < bytes.size; i++) {
        if (bytes.at[i] != '<' || bytes.at[i + 1] == '?' || bytes.at[i + 1] == '!') {
            continue;
        }
        size_t from = i + 1;
        size_t to = from;
        while (to < bytes.size && strchr(" \t\r\n/>", bytes.at[to]) == NULL) {
            from = bytes.at[to] == ':' ? to + 1 : from;
            to++;
        }
        return to - from == strlen(name) &&
               strncasecmp((const char *)bytes.at + from, name, to - from) == 0;
    }
    return false;
}

/* XML: a plan, or not GPX at all; a web page was meant to be a ride. */
static bool is_other_xml(struct bytes bytes, const char *file, const struct limits *limits)
{
    struct arena *scratch = arena_open();
    struct gpx_file gpx = { 0 };
    struct error err = { 0 };
    bool is_other = false;
    if (gpx_parse(scratch, bytes, file, limits, &gpx, &err)) {
        is_other = gpx.end == GPX_WHOLE && gpx.n_points == 0 && gpx.n_bad_times == 0;
    } else {
        is_other = err.kind == ERROR_INPUT && !has_root(bytes, "gpx") && !has_root(bytes, "html");
    }
    arena_close(scratch);
    return is_other;
}

static bool is_other_table(struct bytes bytes, const struct read_options *options,
                           const struct limits *limits)
{
    struct arena *scratch = arena_open();
    struct csv_rows rows;
    struct csv_layout layout = { 0 };
    struct error err = { 0 };
    (void)!csv_layout_find(scratch, csv_text_plain(scratch, bytes), options, limits, &rows, &layout,
                           &err);
    bool has_time = false;
    bool has_channel = false;
    bool has_measure = false;
    for (size_t i = 0; i < layout.n_columns; i++) {
        const int meaning = layout.columns[i].meaning;
        has_time = has_time || meaning == CSV_TIME;
        has_channel = has_channel || meaning < CHANNEL_COUNT;
        has_measure = has_measure || meaning == CHANNEL_POWER || meaning == CHANNEL_HEART_RATE;
    }
    arena_close(scratch);
    return !has_measure && !(has_time && has_channel);
}

bool other_thing_is(struct bytes bytes, const struct read_options *options,
                    const struct limits *limits)
{
    if (bytes.size == 0 || options->packing_damage != NULL) {
        return false;
    }
    if (fit_probe(bytes)) {
        return is_other_fit(bytes);
    }
    if (gpx_probe(bytes)) {
        return is_other_xml(bytes, options->file, limits);
    }
    return csv_probe(bytes) ? is_other_table(bytes, options, limits) : !has_root(bytes, "html");
}
