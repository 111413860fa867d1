/* server/answers/rides.c: a rider's rides and the verdicts on them, as JSON. */
#include "server/answers/rides.h"

#include "coaching/gauge.h"
#include "roster/entries.h"
#include "roster/facts.h"
#include "server/answers/said.h"

#include <string.h>

bool ride_verdicts_find(struct roster *roster, struct arena *arena, const struct ride_row *row,
                        const struct limits *limits, struct ride_verdicts *out, struct error *err)
{
    struct rider_facts facts;
    const struct ride_facts ride = { .rider = row->rider,
                                     .day = row->local_day,
                                     .recording = row->id };
    *out = (struct ride_verdicts){ 0 };
    if (!facts_of_ride(roster, arena, &ride, &facts, err)) {
        return false;
    }
    struct reading_source source = { .part = row->part };
    memcpy(source.sha256, row->sha256, sizeof source.sha256);
    return readings_find(roster_db(roster), arena, row->id, &source, &facts, limits, out->items,
                         err);
}

static void verdict_json(struct json *json, enum question question,
                         const struct stored_reading *reading, bool with_mark)
{
    enum verdict verdict = VERDICT_CANNOT_TELL;
    json_begin_object(json, NULL);
    json_string(json, "question", question_name(question));
    json_string(json, "verdict", reading->is_current ? reading->verdict : NULL);
    json_bool(json, "current", reading->is_current);
    if (with_mark) {
        const bool has = reading->is_current && verdict_find(reading->verdict, &verdict);
        json_string(json, "answer", has ? verdict_answer_name(verdict_answer(verdict)) : NULL);
    }
    json_end_object(json);
}

void ride_row_json(struct json *json, const struct ride_row *row,
                   const struct ride_verdicts *verdicts, bool with_marks)
{
    json_begin_object(json, NULL);
    json_integer(json, "id", row->id);
    json_string(json, "day", row->local_day);
    if (row->has_start_utc) {
        json_integer(json, "start_utc", row->start_utc_s);
    } else {
        json_null(json, "start_utc");
    }
    json_string(json, "sport", row->sport);
    json_bool(json, "ride", row->is_ride);
    json_integer(json, "seconds", row->n_seconds == 0 ? 0 : (int64_t)row->n_seconds - 1);
    json_integer(json, "timer_s", row->timer_s);
    json_number(json, "work_kj", row->work_kj, 1);
    json_number(json, "distance_m", row->distance_m, 1);
    json_string(json, "format", row->format);
    json_string(json, "file", row->name);
    id_json(json, "same_as", row->same_as);
    json_begin_array(json, "readings");
    for (int q = QUESTION_TRUST; q < RIDE_QUESTIONS; q++) {
        const struct stored_reading *reading = &verdicts->items[q];
        if (reading->verdict != NULL) {
            verdict_json(json, (enum question)q, reading, with_marks);
        }
    }
    json_end_array(json);
    json_end_object(json);
}

const char *rides_last_day(struct arena *arena, const char *to, const char *today)
{
    const char *after = entry_day_after(arena, today, 1);
    return to != NULL && strcmp(to, after) < 0 ? to : after;
}
