/* server/answers/notes.c: what was so on a day or on a ride, as JSON. */
#include "server/answers/notes.h"

#include "server/answers/said.h"

#include <math.h>

void note_json(struct json *json, const char *key, const struct day_note *note, enum json_for whom)
{
    json_begin_object(json, key);
    json_integer(json, "id", note->id);
    json_string(json, "day", note->day);
    id_json(json, "ride", note->recording);
    for (int a = 0; a < ANSWERS; a++) {
        const struct answer_row *row = answer_row((enum answer)a);
        const double value = note->answers.value[a];
        if (row->kind == ANSWER_IS_TRUTH && (!isnan(value) || row->unsaid_is_no)) {
            json_bool(json, row->name, value > 0.0);
        } else if (row->kind == ANSWER_IS_CAFFEINE) {
            json_string(json, row->name, isnan(value) ? NULL : answer_caffeine_name(value));
        } else {
            json_number(json, row->name, value, 3);
        }
    }
    json_string(json, "words", note->words);
    if (whom == JSON_TO_EDIT) {
        json_integer(json, "version", note->version);
        json_string(json, "text", day_note_say(json->out->arena, note));
    }
    json_end_object(json);
}
