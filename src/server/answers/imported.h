/* server/answers/imported.h: what became of files that were imported, as JSON and in words
 * (`import_result` of api/openapi.yaml). */
#ifndef SERVER_ANSWERS_IMPORTED_H
#define SERVER_ANSWERS_IMPORTED_H

#include "base/json.h"
#include "roster/import.h"

/* One file, with its rides, inside an array. */
void imported_file_json(struct json *json, const struct imported_file *file);

/* "counts" and "stopped" into an open object. */
void imported_sum_json(struct json *json, const struct import_sum *sum);

/* "3 taken, 1 known, 1 unreadable." */
const char *imported_words(struct arena *arena, const struct import_sum *sum);

#endif
