/* server/answers/said.c: what the coach said of a ride, and the changes of the roster, as JSON. */
#include "server/answers/said.h"

#include "base/dates.h"

void id_json(struct json *json, const char *key, int64_t id)
{
    if (id == 0) {
        json_null(json, key);
    } else {
        json_integer(json, key, id);
    }
}

void mark_json(struct json *json, const struct asked *marks)
{
    json_string(json, "was", marks->was);
    json_string(json, "spoiled_by", marks->spoiled_by);
}

void asked_json(struct json *json, const struct asked *asked)
{
    json_string(json, "kind", asked->kind == KIND_UNKNOWN ? NULL : work_kind_name(asked->kind));
    json_number(json, "low_pct", asked->target.low_pct, 3);
    json_number(json, "high_pct", asked->target.high_pct, 3);
    json_number(json, "low_w", asked->target.low_w, 3);
    json_number(json, "high_w", asked->target.high_w, 3);
    id_json(json, "reps", asked->reps);
    json_number(json, "rep_duration_s", asked->rep_duration_s, 3);
}

void change_json(struct json *json, const struct change_line *line)
{
    char made[32];
    dates_format_utc(line->made_utc_s, made);
    json_begin_object(json, NULL);
    json_integer(json, "id", line->id);
    json_string(json, "made_utc", made);
    json_string(json, "who", line->who);
    json_string(json, "words", line->words);
    if (line->undoes > 0) {
        json_integer(json, "undoes", line->undoes);
    }
    if (line->undone_by > 0) {
        json_integer(json, "undone_by", line->undone_by);
    }
    json_end_object(json);
}
