/* roster/usual_own.c: base and hard work of a ride read again by the rider's own response. */
#include "roster/came_back.h"
#include "roster/readings.h"
#include "roster/usual_parts.h"

#include <string.h>

#define IS_ANSWER                                                                                  \
    "subject_kind = 'recording' AND subject = $1 AND question IN ('base', 'hard work')"

/* The response changes nothing where no steady span and no effort was ridden. */
static bool may_differ(const char *question, int64_t set, const char *content)
{
    return strcmp(question, question_name(QUESTION_BASE)) == 0
               ? strstr(content, "\"no-steady-span\"") == NULL &&
                     strstr(content, "\"no-power\"") == NULL
               : set > 0;
}

bool usual_own_is_wanted(struct db *db, struct arena *scratch, int64_t recording, bool has_own,
                         bool *is_wanted, struct error *err)
{
    struct db_rows rows = { 0 };
    *is_wanted = false;
    if (!db_query(db, scratch, "SELECT question, set_number, content FROM reading WHERE " IS_ANSWER,
                  "tit", DB_ARGS(db_integer(recording)), &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count && !*is_wanted; i++) {
        const char *content = db_text_at(&rows, i, 2);
        *is_wanted =
            strstr(content, BASIS_OWN_RESPONSE) != NULL ||
            (has_own && may_differ(db_text_at(&rows, i, 0), db_integer_at(&rows, i, 1), content));
    }
    return true;
}

static bool is_question(const char *question)
{
    return strcmp(question, question_name(QUESTION_BASE)) == 0 ||
           strcmp(question, question_name(QUESTION_HARD_WORK)) == 0;
}

bool usual_source_read(const struct usual_look *look, int64_t recording,
                       struct usual_source *source, struct error *err)
{
    struct db *db = roster_db(look->roster);
    struct recording *read = NULL;
    if (source->read != NULL) {
        return true;
    }
    if (!recordings_row(db, source->arena, recording, &source->row, err) ||
        !recordings_reread(db, source->arena, &source->row, look->limits, &read, err)) {
        return false;
    }
    source->read = read;
    return true;
}

static bool read_again(const struct usual_look *look, struct arena *arena, struct arena *scratch,
                       const struct usual_source *from, const struct heart_response *response,
                       struct usual_own *out, struct error *err)
{
    const struct ride_row *row = &from->row;
    struct rider_facts facts;
    struct ride_readings readings = { 0 };
    const struct ride_facts ride = { .rider = row->rider,
                                     .day = row->local_day,
                                     .recording = row->id };
    struct reading_source source = { .part = row->part };
    memcpy(source.sha256, row->sha256, sizeof source.sha256);
    if (!came_back_facts(look->roster, scratch, &ride, from->read, look->limits, &facts, err)) {
        return false;
    }
    facts.response = response;
    reading_make_work(scratch, from->read, &facts, look->limits, &readings);
    const struct packed_readings packed =
        readings_pack(arena, &readings, &source, &facts, look->limits);
    out->items = ARENA_ARRAY(arena, struct packed_reading, packed.count);
    out->day = arena_string(arena, row->local_day);
    for (size_t i = 0; i < packed.count; i++) {
        if (is_question(packed.items[i].question)) {
            out->items[out->n++] = packed.items[i];
        }
    }
    return true;
}

bool usual_own_make(const struct usual_look *look, struct arena *arena, int64_t recording,
                    const struct heart_response *response, struct usual_source *source,
                    struct usual_own *out, struct error *err)
{
    struct arena *scratch = arena_open();
    const bool has_own = response != NULL && response->end == RESPONSE_FITTED;
    bool wanted = false;
    *out = (struct usual_own){ 0 };
    const bool done =
        usual_own_is_wanted(roster_db(look->roster), scratch, recording, has_own, &wanted, err) &&
        (!wanted ||
         (usual_source_read(look, recording, source, err) &&
          read_again(look, arena, scratch, source, has_own ? response : NULL, out, err)));
    arena_close(scratch);
    return done;
}

bool usual_own_store(struct db *db, int64_t rider, int64_t recording, const struct usual_own *own,
                     int64_t now_utc_s, struct error *err)
{
    for (size_t i = 0; i < own->n; i++) {
        if (!readings_put(db, rider, recording, own->day, &own->items[i], now_utc_s, err)) {
            return false;
        }
    }
    return true;
}
