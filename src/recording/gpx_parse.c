/* recording/gpx_parse.c: expat's events to track points. */
#include "recording/gpx_parse.h"

#include "base/text.h"
#include "recording/gpx_encoding.h"
#include "recording/gpx_fields.h"

#include <expat.h>
#include <string.h>
#include <strings.h>

/* Expat is fed piece by piece, so that a tag that never ends is seen before it is all in memory. */
static const size_t PIECE = 64u * 1024u;

/* One bit a hash of a name: when the count of set bits reaches the cap, collisions are still rare.
 */
#define NAME_BITS 65536u

/* The deepest that the stack of elements is kept; the cap is a limit row below it. */
#define DEPTH_ROOM 256

enum element { OTHER, ROOT, TRACK, SEGMENT, POINT, ROUTE };

enum field { NO_FIELD, FIELD_TIME, FIELD_CHANNEL, FIELD_TYPE };

struct walk {
    struct arena *arena;
    const char *file;
    const struct limits *limits;
    struct gpx_file *out;
    struct error *err; /* filled: stop, and refuse */
    XML_Parser xml;

    uint8_t stack[DEPTH_ROOM];
    size_t depth;
    bool closed; /* the root has ended */
    uint8_t names[NAME_BITS / 8];
    size_t n_names;

    /* the open field */
    enum field field;
    enum channel channel;
    size_t field_depth;
    char *text; /* [text_room] */
    size_t text_room;
    size_t length;
    bool too_long;

    /* the open point */
    struct gpx_point point;
    size_t point_depth; /* 0 = none */
    bool has_time;
    bool has_bad_time;
    size_t n_bad_values;

    uint32_t n_segments;
    struct gpx_block *last;
    size_t tracks_capacity;
};

static void stop(struct walk *walk)
{
    (void)XML_StopParser(walk->xml, XML_FALSE);
}

/* A name from the file as it may be shown. */
static const char *shown(const struct walk *walk, const char *name)
{
    static const size_t MOST = 60;
    const size_t length = strlen(name);
    return text_clean(walk->arena, name, length < MOST ? length : MOST);
}

/* Expat keeps every name that it has met: a file of nothing but new names is stopped. */
static bool is_usual_name(struct walk *walk, const char *name)
{
    uint32_t hash = 2166136261u; /* FNV-1a */
    for (; *name != '\0'; name++) {
        hash = (hash ^ (uint8_t)*name) * 16777619u;
    }
    hash = (hash ^ hash >> 16) % NAME_BITS;
    const uint8_t bit = (uint8_t)(1u << hash % 8);
    if ((walk->names[hash / 8] & bit) == 0) {
        walk->names[hash / 8] |= bit;
        walk->n_names++;
    }
    return walk->n_names <= (size_t)walk->limits->value[LIMIT_CAP_GPX_NAMES];
}

static bool are_usual_names(struct walk *walk, const char *name, const char **attributes)
{
    bool usual = is_usual_name(walk, name);
    for (size_t i = 0; usual && attributes[i] != NULL; i += 2) {
        usual = is_usual_name(walk, attributes[i]);
    }
    return usual;
}

static bool refuse_root(struct walk *walk, const char *local)
{
    if (strcasecmp(local, "html") == 0) {
        return error_set(walk->err, ERROR_INPUT,
                         "%s: is a web page, not a recording; log in where it came from and "
                         "download the ride again",
                         walk->file);
    }
    return error_set(walk->err, ERROR_INPUT,
                     "%s: is XML of another kind (<%s>), not GPX; export the ride as FIT or GPX",
                     walk->file, shown(walk, local));
}

static void set_value(struct walk *walk, enum channel channel, const char *text)
{
    int32_t value = 0;
    if (walk->point.value[channel] != RECORDING_MISSING) {
        return; /* the first one counts */
    }
    switch (gpx_field_value(text, channel, &value)) {
    case GPX_VALUE: walk->point.value[channel] = value; break;
    case GPX_VALUE_NONE: break;
    case GPX_VALUE_BAD: walk->n_bad_values++; break;
    }
}

static void begin_point(struct walk *walk, const char **attributes)
{
    walk->point = (struct gpx_point){ .track = (uint32_t)(walk->out->n_tracks - 1),
                                      .segment = walk->n_segments };
    walk->point_depth = walk->depth;
    walk->has_time = false;
    walk->has_bad_time = false;
    walk->n_bad_values = 0;
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        walk->point.value[c] = RECORDING_MISSING;
    }
    for (size_t i = 0; attributes[i] != NULL; i += 2) {
        if (strcmp(attributes[i], "lat") == 0) {
            set_value(walk, CHANNEL_LATITUDE, attributes[i + 1]);
        } else if (strcmp(attributes[i], "lon") == 0) {
            set_value(walk, CHANNEL_LONGITUDE, attributes[i + 1]);
        }
    }
}

static void end_point(struct walk *walk)
{
    struct gpx_file *out = walk->out;
    walk->point_depth = 0;
    if (!walk->has_time) {
        out->n_bad_times += walk->has_bad_time ? 1 : 0;
        out->n_timeless += walk->has_bad_time ? 0 : 1;
        return;
    }
    const size_t most = (size_t)walk->limits->value[LIMIT_CAP_GPX_POINTS];
    if (out->n_points == most) {
        error_set(walk->err, ERROR_TOO_LARGE,
                  "%s: holds more than %zu track points; split it into its rides", walk->file,
                  most);
        stop(walk);
        return;
    }
    if (out->n_points % GPX_BLOCK_POINTS == 0) {
        struct gpx_block *block = ARENA_ARRAY(walk->arena, struct gpx_block, 1);
        if (walk->last == NULL) {
            out->blocks = block;
        } else {
            walk->last->next = block;
        }
        walk->last = block;
    }
    /* One half of a position is none. */
    if ((walk->point.value[CHANNEL_LATITUDE] == RECORDING_MISSING) !=
        (walk->point.value[CHANNEL_LONGITUDE] == RECORDING_MISSING)) {
        walk->point.value[CHANNEL_LATITUDE] = RECORDING_MISSING;
        walk->point.value[CHANNEL_LONGITUDE] = RECORDING_MISSING;
    }
    walk->last->points[out->n_points++ % GPX_BLOCK_POINTS] = walk->point;
    out->n_bad_values += walk->n_bad_values;
}

static void begin_field(struct walk *walk, enum field field, enum channel channel)
{
    walk->field = field;
    walk->channel = channel;
    walk->field_depth = walk->depth;
    walk->length = 0;
    walk->too_long = false;
}

static void end_field(struct walk *walk)
{
    const enum field field = walk->field;
    walk->field = NO_FIELD;
    walk->text[walk->too_long ? 0 : walk->length] = '\0';
    if (field == FIELD_CHANNEL) {
        if (walk->too_long) {
            walk->n_bad_values++;
        } else {
            set_value(walk, walk->channel, walk->text);
        }
    } else if (field == FIELD_TIME && !walk->has_time) {
        walk->has_time = gpx_field_time(walk->text, &walk->point.utc_ms, &walk->point.has_offset,
                                        &walk->point.offset_s);
        walk->has_bad_time = !walk->has_time;
    } else if (field == FIELD_TYPE) {
        struct gpx_track *track = &walk->out->tracks[walk->out->n_tracks - 1];
        const size_t length = strlen(walk->text);
        const size_t kept = length < sizeof track->type ? length : sizeof track->type - 1;
        memcpy(track->type, walk->text, kept);
        track->type[kept] = '\0';
    }
}

static bool begin_track(struct walk *walk)
{
    struct gpx_file *out = walk->out;
    const size_t most = (size_t)walk->limits->value[LIMIT_CAP_FILE_ITEMS];
    if (out->n_tracks == most) {
        return error_set(walk->err, ERROR_TOO_LARGE,
                         "%s: holds more than %zu tracks; split it into its rides", walk->file,
                         most);
    }
    out->tracks = arena_grow(walk->arena, out->tracks, out->n_tracks, &walk->tracks_capacity,
                             sizeof out->tracks[0]);
    out->tracks[out->n_tracks++] = (struct gpx_track){ "" };
    walk->n_segments++; /* what stands before its first segment is none of the last track's */
    return true;
}

/* An element below a track point; fields don't hold fields. */
static void begin_below_point(struct walk *walk, const char *local)
{
    enum channel channel = CHANNEL_POWER;
    const bool is_child = walk->depth == walk->point_depth + 1;
    if (walk->field != NO_FIELD) {
        return;
    }
    if (is_child && strcasecmp(local, "time") == 0) {
        begin_field(walk, FIELD_TIME, channel);
    } else if (is_child && strcasecmp(local, "ele") == 0) {
        begin_field(walk, FIELD_CHANNEL, CHANNEL_ALTITUDE);
    } else if (gpx_field_channel(local, &channel)) {
        begin_field(walk, FIELD_CHANNEL, channel);
    }
}

/* What an element is, by its name and by what holds it. */
static enum element element_of(enum element parent, const char *local)
{
    switch (parent) {
    case ROOT:
        return strcasecmp(local, "trk") == 0   ? TRACK
               : strcasecmp(local, "rte") == 0 ? ROUTE
                                               : OTHER;
    case TRACK:
        return strcasecmp(local, "trkseg") == 0  ? SEGMENT
               : strcasecmp(local, "trkpt") == 0 ? POINT
                                                 : OTHER;
    case SEGMENT: return strcasecmp(local, "trkpt") == 0 ? POINT : OTHER;
    case OTHER:
    case POINT:
    case ROUTE: break;
    }
    return OTHER;
}

static bool begin_element(struct walk *walk, const char *local, const char **attributes)
{
    const enum element parent =
        walk->depth == 1 ? OTHER : (enum element)walk->stack[walk->depth - 2];
    enum element element = element_of(parent, local);
    if (walk->depth == 1) {
        if (strcasecmp(local, "gpx") != 0) {
            return refuse_root(walk, local);
        }
        element = ROOT;
    }
    walk->stack[walk->depth - 1] = (uint8_t)element;
    if (walk->point_depth != 0) {
        begin_below_point(walk, local);
        return true;
    }
    switch (element) {
    case TRACK: return begin_track(walk);
    case SEGMENT: walk->n_segments++; return true;
    case POINT: begin_point(walk, attributes); return true;
    case ROUTE: walk->out->n_routes++; return true;
    case ROOT:
    case OTHER: break;
    }
    walk->out->n_waypoints += parent == ROOT && strcasecmp(local, "wpt") == 0 ? 1 : 0;
    walk->out->n_route_points += parent == ROUTE && strcasecmp(local, "rtept") == 0 ? 1 : 0;
    if (parent == TRACK && strcasecmp(local, "type") == 0 && walk->field == NO_FIELD) {
        begin_field(walk, FIELD_TYPE, CHANNEL_POWER);
    }
    return true;
}

static void XMLCALL on_start(void *data, const XML_Char *name, const XML_Char **attributes)
{
    struct walk *walk = data;
    const size_t deepest = (size_t)walk->limits->value[LIMIT_CAP_GPX_DEPTH];
    if (walk->err->kind != ERROR_NONE) {
        return;
    }
    walk->depth++;
    bool goes_on = false;
    if (walk->depth > deepest || walk->depth > DEPTH_ROOM) {
        error_set(walk->err, ERROR_TOO_LARGE,
                  "%s: has elements inside one another %zu deep; export it again", walk->file,
                  walk->depth);
    } else if (!are_usual_names(walk, name, attributes)) {
        error_set(walk->err, ERROR_TOO_LARGE,
                  "%s: has more than %.0f kinds of elements; is it a recording?", walk->file,
                  walk->limits->value[LIMIT_CAP_GPX_NAMES]);
    } else {
        goes_on = begin_element(walk, gpx_local_name(name), attributes);
    }
    if (!goes_on) {
        stop(walk);
    }
}

static void XMLCALL on_end(void *data, const XML_Char *name)
{
    struct walk *walk = data;
    (void)name;
    if (walk->err->kind != ERROR_NONE) {
        return;
    }
    if (walk->field != NO_FIELD && walk->depth == walk->field_depth) {
        end_field(walk);
    } else if (walk->depth == walk->point_depth) {
        end_point(walk);
    }
    walk->depth--;
    walk->closed = walk->depth == 0;
}

static void XMLCALL on_text(void *data, const XML_Char *text, int length)
{
    struct walk *walk = data;
    if (walk->field == NO_FIELD) {
        return;
    }
    if ((size_t)length > walk->text_room - 1 - walk->length) {
        walk->too_long = true;
        return;
    }
    memcpy(walk->text + walk->length, text, (size_t)length);
    walk->length += (size_t)length;
}

static void XMLCALL on_doctype(void *data, const XML_Char *name, const XML_Char *system,
                               const XML_Char *public, int has_internal_subset)
{
    struct walk *walk = data;
    (void)system;
    (void)public;
    (void)has_internal_subset;
    if (walk->err->kind == ERROR_NONE) {
        if (strcasecmp(gpx_local_name(name), "html") == 0) {
            (void)refuse_root(walk, "html");
        } else {
            error_set(walk->err, ERROR_INPUT,
                      "%s: has a document type (<!DOCTYPE %s>), which no recording needs; export "
                      "it again",
                      walk->file, shown(walk, name));
        }
    }
    stop(walk);
}

static int XMLCALL on_encoding(void *data, const XML_Char *name, XML_Encoding *out)
{
    struct walk *walk = data;
    if (gpx_encoding_fill(name, out)) {
        return XML_STATUS_OK;
    }
    error_set(walk->err, ERROR_INPUT,
              "%s: its letters are coded as \"%s\", which isn't known here; export it as UTF-8",
              walk->file, shown(walk, name));
    return XML_STATUS_ERROR;
}

/* Blanks before the declaration are no XML, but some exporters leave an empty line there. */
static size_t skip_blanks(struct bytes bytes, size_t *lines)
{
    static const uint8_t mark[3] = { 0xEF, 0xBB, 0xBF };
    size_t at = bytes.size >= sizeof mark && memcmp(bytes.at, mark, sizeof mark) == 0 ? 3 : 0;
    *lines = 0;
    for (; at < bytes.size && strchr(" \t\r\n", bytes.at[at]) != NULL && bytes.at[at] != 0; at++) {
        *lines += bytes.at[at] == '\n' ? 1 : 0;
    }
    return at;
}

static bool is_all_zero(struct bytes bytes, size_t from)
{
    for (size_t i = from; i < bytes.size; i++) {
        if (bytes.at[i] != 0) {
            return false;
        }
    }
    return true;
}

/* How the document ended, from expat's word for it; `at` = where, in bytes. */
static enum gpx_end end_of(enum XML_Error error, bool closed, struct bytes bytes, size_t at)
{
    if (closed) {
        return GPX_TRAILING;
    }
    switch ((int)error) {
    case XML_ERROR_NO_ELEMENTS:
    case XML_ERROR_UNCLOSED_TOKEN:
    case XML_ERROR_PARTIAL_CHAR:
    case XML_ERROR_UNCLOSED_CDATA_SECTION: return GPX_CUT; /* only ever at the end of all bytes */
    default: break;
    }
    /* A device that lost its power leaves zeros where the rest should be. */
    return is_all_zero(bytes, at) ? GPX_CUT : GPX_MALFORMED;
}

struct attempt {
    enum XML_Error error;
    size_t at; /* bytes, where it failed */
};

/* Feeds all bytes; the first failure is told. */
static struct attempt feed(struct walk *walk, struct bytes bytes)
{
    const size_t longest = (size_t)walk->limits->value[LIMIT_CAP_GPX_TAG_BYTES];
    struct attempt attempt = { .error = XML_ERROR_NONE };
    for (size_t fed = 0; fed < bytes.size;) {
        const size_t left = bytes.size - fed;
        const size_t piece = left < PIECE ? left : PIECE;
        const enum XML_Status status =
            XML_Parse(walk->xml, (const char *)bytes.at + fed, (int)piece, piece == left);
        fed += piece;
        const XML_Index index = XML_GetCurrentByteIndex(walk->xml);
        attempt.at = index < 0 ? 0 : (size_t)index;
        if (status != XML_STATUS_OK) {
            attempt.error = XML_GetErrorCode(walk->xml);
            break;
        }
        if (piece < left && fed - attempt.at > longest) {
            error_set(walk->err, ERROR_TOO_LARGE,
                      "%s: line %lu begins an element of more than %zu bytes; export it again",
                      walk->file, (unsigned long)XML_GetCurrentLineNumber(walk->xml), longest);
            break;
        }
    }
    return attempt;
}

/* One go over the bytes; `encoding` overrules what the file says, NULL = as it says. */
static bool parse_once(struct walk *walk, struct bytes bytes, const char *encoding,
                       struct attempt *attempt)
{
    size_t lines = 0;
    const size_t from = skip_blanks(bytes, &lines);
    const struct bytes document = { bytes.at + from, bytes.size - from };
    walk->xml = XML_ParserCreate(encoding);
    if (walk->xml == NULL) {
        return error_set(walk->err, ERROR_INTERNAL, "%s: the XML parser could not start",
                         walk->file);
    }
    walk->text_room = (size_t)walk->limits->value[LIMIT_CAP_GPX_TEXT_BYTES] + 1;
    walk->text = ARENA_ARRAY(walk->arena, char, walk->text_room);
    XML_SetUserData(walk->xml, walk);
    XML_SetElementHandler(walk->xml, on_start, on_end);
    XML_SetCharacterDataHandler(walk->xml, on_text);
    XML_SetStartDoctypeDeclHandler(walk->xml, on_doctype);
    XML_SetUnknownEncodingHandler(walk->xml, on_encoding, walk);
    *attempt = feed(walk, document);
    struct gpx_file *out = walk->out;
    if (walk->err->kind == ERROR_NONE && attempt->error != XML_ERROR_NONE) {
        out->end = end_of(attempt->error, walk->closed, document, attempt->at);
        out->line = lines + (size_t)XML_GetCurrentLineNumber(walk->xml);
        out->column = (size_t)XML_GetCurrentColumnNumber(walk->xml) + 1;
        out->trailing = document.size - attempt->at;
    }
    XML_ParserFree(walk->xml);
    return walk->err->kind == ERROR_NONE;
}

static bool has_utf16_mark(struct bytes bytes)
{
    return bytes.size >= 2 && ((bytes.at[0] == 0xFF && bytes.at[1] == 0xFE) ||
                               (bytes.at[0] == 0xFE && bytes.at[1] == 0xFF));
}

bool gpx_parse(struct arena *arena, struct bytes bytes, const char *file,
               const struct limits *limits, struct gpx_file *out, struct error *err)
{
    struct attempt attempt = { .error = XML_ERROR_NONE };
    struct walk *walk = ARENA_ARRAY(arena, struct walk, 1);
    *out = (struct gpx_file){ 0 };
    *err = (struct error){ 0 };
    *walk = (struct walk){ .arena = arena, .file = file, .limits = limits, .out = out, .err = err };
    if (!parse_once(walk, bytes, NULL, &attempt)) {
        return false;
    }
    /* Names in another encoding than the file says are no reason to lose the ride behind them. */
    const char *other = NULL;
    if (attempt.error == XML_ERROR_INCORRECT_ENCODING) {
        other = "UTF-8";
    } else if (attempt.error == XML_ERROR_INVALID_TOKEN && !has_utf16_mark(bytes) &&
               !text_is_utf8((const char *)bytes.at, bytes.size)) {
        other = "windows-1252";
    }
    if (other == NULL) {
        return true;
    }
    struct gpx_file second = { 0 };
    struct error second_err = { 0 };
    *walk = (struct walk){
        .arena = arena, .file = file, .limits = limits, .out = &second, .err = &second_err
    };
    const bool read = parse_once(walk, bytes, other, &attempt);
    if (read && (second.end == GPX_WHOLE || second.n_points > out->n_points)) {
        *out = second;
        out->other_letters = true;
    } else if (!read && out->n_points == 0) {
        *err = second_err;
        return false;
    }
    return true;
}
