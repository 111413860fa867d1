/* server/routes_ride.c: a ride, its traces, and what the coach says of it. */
#include "server/routes.h"

#include "coaching/words/words.h"
#include "drawing/scene_json.h"
#include "roster/came_back.h"
#include "roster/day_notes.h"
#include "roster/readings.h"
#include "roster/ride_read.h"
#include "roster/same_ride.h"
#include "server/answers/gauges.h"
#include "server/answers/notes.h"
#include "server/answers/response_figure.h"
#include "server/answers/said.h"
#include "server/answers/traces.h"
#include "server/write.h"

#include <math.h>
#include <sodium.h>
#include <string.h>

static bool find_row(struct api_call *call, struct ride_row *out, struct error *err)
{
    int64_t id = 0;
    return api_path_id(call, "ride", &id, err) &&
           recordings_row(roster_db(call->roster), call->arena, id, out, err);
}

/* ---- the ride ---- */

/* What the answer needs of the store. */
struct ride_told {
    struct ride_row row;
    struct ride_read read;
    bool is_current; /* what is stored of it */
    struct asked asked;
    bool is_asked; /* something was said of it */
};

static struct ride_facts place_of(const struct ride_row *row)
{
    return (struct ride_facts){ .rider = row->rider, .day = row->local_day, .recording = row->id };
}

static bool take(struct api_call *call, struct ride_told *out, struct error *err)
{
    struct db *db = roster_db(call->roster);
    struct arena *arena = call->arena;
    *out = (struct ride_told){ .is_asked = false };
    if (!find_row(call, &out->row, err)) {
        return false;
    }
    struct reading_source source = { .part = out->row.part };
    memcpy(source.sha256, out->row.sha256, sizeof source.sha256);
    return ride_read_row(call->roster, arena, &out->row, &out->read, err) &&
           readings_are_current(db, arena, out->row.id, &source, &out->read.facts,
                                &out->read.limits, &out->is_current, err) &&
           asked_find(db, arena, out->row.id, &out->asked, &out->is_asked, err);
}

/* The rider's rides before and after it. */
static bool neighbours_json(struct api_call *call, struct json *json, const struct ride_row *row,
                            struct error *err)
{
    const struct ride_query query = { .rider = row->rider };
    const int64_t id = row->same_as == 0 ? row->id : row->same_as;
    struct ride_row *rows = NULL;
    size_t count = 0;
    size_t at = 0;
    if (!recordings_list(roster_db(call->roster), call->arena, &query, &rows, &count, err)) {
        return false;
    }
    while (at < count && rows[at].id != id) {
        at++;
    }
    id_json(json, "earlier", at > 0 && at < count ? rows[at - 1].id : 0);
    id_json(json, "later", at + 1 < count ? rows[at + 1].id : 0);
    return true;
}

static bool recordings_json(struct api_call *call, struct json *json, const struct ride_row *row,
                            struct error *err)
{
    struct db *db = roster_db(call->roster);
    int64_t *ids = NULL;
    size_t count = 0;
    if (!same_ride_recordings(db, call->arena, row, &ids, &count, err)) {
        return false;
    }
    json_begin_array(json, "recordings");
    for (size_t i = 0; i < count; i++) {
        struct ride_row one = { 0 };
        if (!recordings_row(db, call->arena, ids[i], &one, err)) {
            return false;
        }
        const bool has_product = one.device_product != NULL;
        json_begin_object(json, NULL);
        json_integer(json, "id", one.id);
        json_string(json, "file", one.name);
        json_string(json, "format", one.format);
        json_string(json, "device",
                    one.device_maker == NULL ? one.device_product
                                             : arena_format(call->arena, "%s%s%s", one.device_maker,
                                                            has_product ? " " : "",
                                                            has_product ? one.device_product : ""));
        json_bool(json, "main", one.same_as == 0);
        json_end_object(json);
    }
    json_end_array(json);
    return true;
}

static void said_json(struct json *json, const struct ride_told *told)
{
    struct arena *arena = json->out->arena;
    const struct asked *asked = &told->asked;
    const char *words = asked_words(arena, asked);
    json_begin_object(json, "mark");
    mark_json(json, asked);
    json_string(json, "words", asked_marks_words(arena, asked));
    id_json(json, "version", told->is_asked ? asked->version : 0);
    json_end_object(json);
    json_begin_object(json, "asked");
    asked_json(json, asked);
    json_string(json, "words", strcmp(words, "nothing") == 0 ? NULL : words);
    id_json(json, "version", told->is_asked ? asked->version : 0);
    json_end_object(json);
}

static bool notes_json(struct api_call *call, struct json *json, const struct ride_row *row,
                       struct error *err)
{
    const struct ride_facts place = place_of(row);
    struct day_note *notes = NULL;
    size_t count = 0;
    if (!day_notes_of_ride(roster_db(call->roster), call->arena, &place, &notes, &count, err)) {
        return false;
    }
    json_begin_array(json, "notes");
    for (size_t i = 0; i < count; i++) {
        note_json(json, NULL, &notes[i], JSON_TO_EDIT);
    }
    json_end_array(json);
    return true;
}

/* The element of `read --json`, without the brackets of its array. */
static void element_json(struct json *json, const struct ride_told *told,
                         const struct gauges *gauges)
{
    char sha256[65];
    sodium_bin2hex(sha256, sizeof sha256, told->row.sha256, sizeof told->row.sha256);
    const struct ride_source source = { PLUMBLINE_VERSION, told->row.name, sha256 };
    ride_json_add_with(json, "ride", &source, told->read.recording, &told->read.facts,
                       &told->read.readings, &told->read.readings.bests, &gauges->more);
}

bool route_get_ride(struct api_call *call, struct error *err)
{
    struct ride_told told;
    struct gauges gauges;
    if (!take(call, &told, err) || !gauges_begin(call->arena, GAUGE_WIDE, &gauges, err) ||
        !came_back_line(call->roster, call->arena, &told.row, call->today, &told.read.readings.came,
                        err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_integer(&json, "id", told.row.id);
    json_integer(&json, "rider", told.row.rider);
    json_string(&json, "name", told.read.rider.name);
    json_string(&json, "day", told.row.local_day);
    json_string(&json, "title", words_title(call->arena, told.read.recording));
    json_string(&json, "contents", words_contents(call->arena, told.read.recording));
    id_json(&json, "same_as", told.row.same_as);
    json_bool(&json, "current", told.is_current);
    said_json(&json, &told);
    if (!neighbours_json(call, &json, &told.row, err) ||
        !recordings_json(call, &json, &told.row, err) || !notes_json(call, &json, &told.row, err)) {
        return false;
    }
    element_json(&json, &told, &gauges);
    json_end_object(&json);
    return true;
}

/* ---- traces ---- */

bool route_get_traces(struct api_call *call, struct error *err)
{
    enum { POINTS_LEAST = 16, POINTS_MOST = 4096, POINTS = 1000 };
    struct ride_row row = { 0 };
    struct recording recording;
    int64_t from = 0;
    int64_t to = INT32_MAX;
    int64_t points = POINTS;
    if (!api_query_number(call, "from", 0, INT32_MAX, &from, err) ||
        !api_query_number(call, "to", 1, INT32_MAX, &to, err) ||
        !api_query_number(call, "points", POINTS_LEAST, POINTS_MOST, &points, err) ||
        !find_row(call, &row, err) ||
        !recordings_load(roster_db(call->roster), call->arena, row.id, &recording, err)) {
        return false;
    }
    const int64_t end = (int64_t)recording.n_seconds;
    to = to < end ? to : end;
    if (from >= to) {
        return error_set(err, ERROR_USAGE,
                         "from=%lld: no second of the ride lies between it and to",
                         (long long)from);
    }
    const struct traces_wish wish = { { (int32_t)from, (int32_t)to }, (int32_t)points };
    traces_answer(&call->out, &recording, &wish);
    call->type = "application/octet-stream";
    return true;
}

/* ---- figures ---- */

bool route_get_ride_figure(struct api_call *call, struct error *err)
{
    struct ride_row row = { 0 };
    struct gauges gauges;
    struct scene scene;
    int64_t width = 520;
    if (!api_query_number(call, "width", FIGURE_NARROWEST, FIGURE_WIDEST, &width, err) ||
        !find_row(call, &row, err) || !gauges_begin(call->arena, (double)width, &gauges, err) ||
        !response_figure_ride(call->roster, &row, api_path(call, "figure"), call->today,
                              &gauges.maker, &scene, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    scene_json(&json, NULL, &scene);
    return true;
}

/* ---- what the coach says of it ---- */

/* A version that was seen is the one that stands; none was seen where nothing was said. */
static bool check_version(struct api_call *call, const struct ride_row *row, struct error *err)
{
    struct asked asked;
    bool found = false;
    if (!asked_find(roster_db(call->roster), call->arena, row->id, &asked, &found, err)) {
        return false;
    }
    return (found ? asked.version : 0) == call->version ||
           error_set(err, ERROR_CONFLICT,
                     "somebody said something of this ride meanwhile; look at it again");
}

static bool end(struct api_call *call, struct write_done *done, const struct ride_row *row,
                struct error *err)
{
    struct asked asked;
    bool found = false;
    if (!asked_find(roster_db(call->roster), call->arena, row->id, &asked, &found, err)) {
        return false;
    }
    done->number = row->id;
    done->version = found ? asked.version : 0;
    return write_end(call, done, err);
}

bool route_post_mark(struct api_call *call, struct error *err)
{
    static const char *const keys[] = { "was", "spoiled_by" };
    struct ride_row row = { 0 };
    struct asked marks = asked_nothing();
    struct write_done done = { 0 };
    marks.version = call->version;
    if (!body_only(call->body, keys, 2, err) ||
        !body_text(call->body, "was", BODY_MAY_LACK, &marks.was, err) ||
        !body_text(call->body, "spoiled_by", BODY_MAY_LACK, &marks.spoiled_by, err) ||
        !write_words(call->arena, "spoiled_by", &marks.spoiled_by, err)) {
        return false;
    }
    if (marks.was != NULL && strcmp(marks.was, "test") != 0 && strcmp(marks.was, "race") != 0) {
        return error_set(err, ERROR_USAGE, "was %.40s: is neither test nor race", marks.was);
    }
    return find_row(call, &row, err) && check_version(call, &row, err) &&
           write_begin(call, &done, err) &&
           asked_mark(call->roster, call->arena, call->now, &row, &marks, &done.words, err) &&
           end(call, &done, &row, err);
}

/* A range has two ends, both of one kind. */
static bool check_target(const struct target *target, struct error *err)
{
    const bool has_w = !isnan(target->low_w) || !isnan(target->high_w);
    const bool has_pct = !isnan(target->low_pct) || !isnan(target->high_pct);
    if (has_w && has_pct) {
        return error_set(err, ERROR_USAGE, "a range: say it in W or in %% of threshold, not both");
    }
    const double low = has_w ? target->low_w : target->low_pct;
    const double high = has_w ? target->high_w : target->high_pct;
    const int most = has_w ? ASKED_W_MOST : ASKED_PCT_MOST;
    return (!has_w && !has_pct) || (low >= ASKED_LEAST && low < high && high <= most) ||
           error_set(err, ERROR_USAGE, "a range: low and high, the first the smaller, %d to %d",
                     ASKED_LEAST, most);
}

static bool read_asked(struct api_call *call, struct asked *asked, struct error *err)
{
    static const char *const keys[] = { "kind",   "low_pct", "high_pct",      "low_w",
                                        "high_w", "reps",    "rep_duration_s" };
    const struct body *body = call->body;
    const char *kind = NULL;
    int64_t reps = 0;
    if (!body_only(body, keys, sizeof keys / sizeof keys[0], err) ||
        !body_text(body, "kind", BODY_MAY_LACK, &kind, err) ||
        !body_integer(body, "reps", BODY_MAY_LACK, &reps, err) ||
        !body_number(body, "low_pct", BODY_MAY_LACK, &asked->target.low_pct, err) ||
        !body_number(body, "high_pct", BODY_MAY_LACK, &asked->target.high_pct, err) ||
        !body_number(body, "low_w", BODY_MAY_LACK, &asked->target.low_w, err) ||
        !body_number(body, "high_w", BODY_MAY_LACK, &asked->target.high_w, err) ||
        !body_number(body, "rep_duration_s", BODY_MAY_LACK, &asked->rep_duration_s, err)) {
        return false;
    }
    if (kind != NULL && !work_kind_find(kind, &asked->kind)) {
        return error_set(err, ERROR_USAGE, "kind %.40s: there is no such kind of work", kind);
    }
    if (reps < 0 || reps > ASKED_REPS_MOST || (reps > 0) != (asked->rep_duration_s >= 1.0) ||
        asked->rep_duration_s > ASKED_REP_S_MOST) {
        return error_set(err, ERROR_USAGE,
                         "reps and rep_duration_s: both or none, 1 to %d of at most %d s",
                         ASKED_REPS_MOST, ASKED_REP_S_MOST);
    }
    asked->reps = (int)reps;
    return check_target(&asked->target, err);
}

static bool is_nothing(const struct asked *asked)
{
    return asked->kind == KIND_UNKNOWN && asked->reps == 0 && isnan(asked->target.low_w) &&
           isnan(asked->target.low_pct);
}

bool route_post_asked(struct api_call *call, struct error *err)
{
    struct ride_row row = { 0 };
    struct asked asked = asked_nothing();
    struct write_done done = { 0 };
    asked.version = call->version;
    if (!read_asked(call, &asked, err) || !find_row(call, &row, err) ||
        !check_version(call, &row, err) || !write_begin(call, &done, err)) {
        return false;
    }
    const bool written =
        is_nothing(&asked)
            ? asked_remove(call->roster, call->arena, call->now, &row, &done.words, err)
            : asked_set(call->roster, call->arena, call->now, &row, &asked, &done.words, err);
    return written && end(call, &done, &row, err);
}

bool route_post_main_recording(struct api_call *call, struct error *err)
{
    struct ride_row row = { 0 };
    struct write_done done = { 0 };
    return find_row(call, &row, err) && write_begin(call, &done, err) &&
           same_ride_choose(call->roster, call->arena, call->now, &row, &done.words, err) &&
           end(call, &done, &row, err);
}

bool route_post_own_ride(struct api_call *call, struct error *err)
{
    struct ride_row row = { 0 };
    struct write_done done = { 0 };
    return find_row(call, &row, err) && write_begin(call, &done, err) &&
           same_ride_split(call->roster, call->arena, call->now, &row, &done.words, err) &&
           end(call, &done, &row, err);
}
