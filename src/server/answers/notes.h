/* server/answers/notes.h: what was so on a day or on a ride, as JSON (`note` of
 * api/roster.schema.json). */
#ifndef SERVER_ANSWERS_NOTES_H
#define SERVER_ANSWERS_NOTES_H

#include "roster/day_notes.h"
#include "server/answers/entries.h"

/* One note; key NULL inside an array and at the top. */
void note_json(struct json *json, const char *key, const struct day_note *note, enum json_for whom);

#endif
