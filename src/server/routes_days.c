/* server/routes_days.c: the time a rider has by weekday, and notes of days and rides. */
#include "server/routes.h"

#include "roster/availability.h"
#include "roster/day_notes.h"
#include "server/answers/notes.h"
#include "server/answers/rides.h"
#include "server/write.h"

#include <math.h>
#include <string.h>

/* ---- availability ---- */

static bool read_weekday(const struct body *item, struct week *week, struct error *err)
{
    static const char *const keys[] = { "weekday", "minutes", "place" };
    int64_t weekday = 0;
    int64_t minutes = 0;
    const char *place = "either";
    if (item->kind != BODY_OBJECT) {
        return error_set(err, ERROR_USAGE, "days: a list of weekday, minutes and place");
    }
    if (!body_only(item, keys, 3, err) ||
        !body_integer(item, "weekday", BODY_NEEDED, &weekday, err) ||
        !body_integer(item, "minutes", BODY_NEEDED, &minutes, err) ||
        !body_text(item, "place", BODY_MAY_LACK, &place, err)) {
        return false;
    }
    if (weekday < 1 || weekday > WEEKDAYS || minutes < 1 || minutes > 1440) {
        return error_set(err, ERROR_USAGE, "days: weekday 1 to 7 (1 = Monday), minutes 1 to 1440");
    }
    week->minutes[weekday - 1] = (int)minutes;
    week->places[weekday - 1] = place;
    return true;
}

static bool read_week(struct api_call *call, struct week *week, struct error *err)
{
    static const char *const keys[] = { "days" };
    const struct body *days = NULL;
    if (!body_only(call->body, keys, 1, err) ||
        !body_list(call->body, "days", BODY_NEEDED, &days, err)) {
        return false;
    }
    for (size_t i = 0; i < days->n_items; i++) {
        if (!read_weekday(&days->items[i], week, err)) {
            return false;
        }
    }
    return true;
}

/* The week that stands from that day on; false in *found where there is none. */
static bool find_week(struct api_call *call, const struct rider *rider, const char *from,
                      struct week *out, bool *found, struct error *err)
{
    struct week *weeks = NULL;
    size_t count = 0;
    *found = false;
    if (!availability_list(call->roster, call->arena, rider->id, from, &weeks, &count, err)) {
        return false;
    }
    if (count > 0 && strcmp(weeks[0].from_day, from) == 0) {
        *out = weeks[0];
        *found = true;
    }
    return true;
}

bool route_put_availability(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct week week = { .from_day = api_path(call, "from"), .version = call->version };
    struct week now = { 0 };
    struct write_done done = { 0 };
    bool found = false;
    if (!write_rider(call, &rider, err) || !read_week(call, &week, err) ||
        !entry_day_is_sound("from", week.from_day, true, err) ||
        !find_week(call, &rider, week.from_day, &now, &found, err)) {
        return false;
    }
    if (found && call->version == 0) {
        return error_set(err, ERROR_CONFLICT,
                         "somebody set the time from %s meanwhile; look at it again",
                         week.from_day);
    }
    if (!write_begin(call, &done, err) ||
        !availability_set(call->roster, call->arena, call->now, &rider, &week, err) ||
        !find_week(call, &rider, week.from_day, &now, &found, err)) {
        return false;
    }
    done.words = week.said;
    done.version = now.version;
    return write_end(call, &done, err);
}

bool route_delete_availability(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct week week = { .from_day = api_path(call, "from"), .version = call->version };
    struct write_done done = { 0 };
    if (!write_rider(call, &rider, err) || !write_begin(call, &done, err) ||
        !availability_remove(call->roster, call->arena, call->now, &rider, &week, err)) {
        return false;
    }
    done.words = week.said;
    return write_end(call, &done, err);
}

/* ---- notes ---- */

bool route_get_notes(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct day_note *notes = NULL;
    size_t count = 0;
    const char *from = NULL;
    const char *to = NULL;
    if (!api_query_day(call, "from", &from, err) || !api_query_day(call, "to", &to, err) ||
        !write_rider(call, &rider, err) ||
        !day_notes_list(call->roster, call->arena, rider.id, from,
                        rides_last_day(call->arena, to, call->today), &notes, &count, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_integer(&json, "rider", rider.id);
    json_string(&json, "name", rider.name);
    json_begin_array(&json, "notes");
    for (size_t i = 0; i < count; i++) {
        note_json(&json, NULL, &notes[i], JSON_TO_EDIT);
    }
    json_end_array(&json);
    json_end_object(&json);
    return true;
}

/* An answer that is null isn't said. */
static bool read_answer(const struct body *body, enum answer answer, double *out, struct error *err)
{
    const struct answer_row *row = answer_row(answer);
    const char *word = NULL;
    bool truth = false;
    const struct body *value = body_find(body, row->name);
    *out = (double)NAN;
    if (value == NULL || value->kind == BODY_NULL) {
        return true;
    }
    switch (row->kind) {
    case ANSWER_IS_TRUTH:
        if (!body_bool(body, row->name, BODY_NEEDED, &truth, err)) {
            return false;
        }
        *out = truth ? 1.0 : 0.0;
        return true;
    case ANSWER_IS_CAFFEINE:
        return body_text(body, row->name, BODY_NEEDED, &word, err) &&
               (answer_caffeine_find(word, out) ||
                error_set(err, ERROR_USAGE, "caffeine %.40s: is none of less, usual, more", word));
    case ANSWER_IS_NUMBER:
    case ANSWER_IS_WHOLE: break;
    }
    return body_number(body, row->name, BODY_NEEDED, out, err) &&
           (answer_is_sound(answer, *out) ||
            error_set(err, ERROR_USAGE, "%s: %g is none from %g to %g", row->name, *out,
                      row->lowest, row->highest));
}

static bool read_note(struct api_call *call, struct day_note *note, struct error *err)
{
    const char *keys[ANSWERS + 3] = { "day", "ride", "words" };
    const char *words = NULL;
    for (int a = 0; a < ANSWERS; a++) {
        keys[3 + a] = answer_row((enum answer)a)->name;
    }
    if (!body_only(call->body, keys, ANSWERS + 3, err) ||
        !write_day(call->body, "day", BODY_MAY_LACK, &note->day, err) ||
        !body_integer(call->body, "ride", BODY_MAY_LACK, &note->recording, err) ||
        !body_text(call->body, "words", BODY_MAY_LACK, &words, err)) {
        return false;
    }
    for (int a = 0; a < ANSWERS; a++) {
        if (!read_answer(call->body, (enum answer)a, &note->answers.value[a], err)) {
            return false;
        }
    }
    note->words = words == NULL ? NULL : day_notes_words(call->arena, words);
    return true;
}

static bool end(struct api_call *call, struct write_done *done, const struct rider *rider,
                const struct day_note *note, struct error *err)
{
    struct day_note now = { 0 };
    if (!day_notes_find(call->roster, call->arena, rider, note->id, &now, err)) {
        return false;
    }
    done->words = note->said;
    done->number = note->id;
    done->version = now.version;
    return write_end(call, done, err);
}

bool route_post_note(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct write_done done = { 0 };
    struct day_note note = { 0 };
    if (!write_rider(call, &rider, err) || !read_note(call, &note, err)) {
        return false;
    }
    if (note.day == NULL && note.recording == 0) {
        note.day = call->today;
    }
    if (!write_begin(call, &done, err) ||
        !day_notes_add(call->roster, call->arena, call->now, &rider, &note, err)) {
        return false;
    }
    call->location = arena_format(call->arena, "/api/1/riders/%lld/notes/%lld", (long long)rider.id,
                                  (long long)note.id);
    return end(call, &done, &rider, &note, err);
}

/* All of it but where it stands: its day and its ride stay unless they are said. */
bool route_put_note(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct write_done done = { 0 };
    struct day_note note = { 0 };
    int64_t id = 0;
    if (!write_rider(call, &rider, err) || !api_path_id(call, "number", &id, err) ||
        !day_notes_find(call->roster, call->arena, &rider, id, &note, err) ||
        !read_note(call, &note, err)) {
        return false;
    }
    note.version = call->version;
    return write_begin(call, &done, err) &&
           day_notes_edit(call->roster, call->arena, call->now, &rider, &note, err) &&
           end(call, &done, &rider, &note, err);
}

bool route_delete_note(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct write_done done = { 0 };
    struct day_note note = { 0 };
    int64_t id = 0;
    if (!write_rider(call, &rider, err) || !api_path_id(call, "number", &id, err) ||
        !day_notes_find(call->roster, call->arena, &rider, id, &note, err)) {
        return false;
    }
    if (note.version != call->version) {
        return error_set(err, ERROR_CONFLICT,
                         "somebody changed this note meanwhile; look at it again");
    }
    if (!write_begin(call, &done, err) ||
        !day_notes_remove(call->roster, call->arena, call->now, &rider, id, &note, err)) {
        return false;
    }
    done.words = note.said;
    return write_end(call, &done, err);
}
