/* server/answers/imported.c: what became of files that were imported, as JSON and in words. */
#include "server/answers/imported.h"

#include "server/answers/said.h"

static void ride_json(struct json *json, const struct imported_ride *ride)
{
    json_begin_object(json, NULL);
    json_integer(json, "id", ride->id);
    json_string(json, "day", ride->day);
    json_string(json, "sport", ride->sport);
    json_bool(json, "ride", ride->is_ride);
    id_json(json, "same_as", ride->same_as);
    json_end_object(json);
}

void imported_file_json(struct json *json, const struct imported_file *file)
{
    json_begin_object(json, NULL);
    json_string(json, "file", file->name);
    json_string(json, "outcome", import_outcome_name(file->outcome));
    json_string(json, "rider", file->rider);
    json_string(json, "text", file->line);
    json_bool(json, "remembered", file->remembered);
    json_begin_array(json, "rides");
    for (size_t i = 0; i < file->n_rides; i++) {
        ride_json(json, &file->rides[i]);
    }
    json_end_array(json);
    json_end_object(json);
}

void imported_sum_json(struct json *json, const struct import_sum *sum)
{
    json_begin_object(json, "counts");
    for (int i = 0; i < IMPORT_OUTCOMES; i++) {
        json_integer(json, import_outcome_name((enum import_outcome)i), (int64_t)sum->files[i]);
    }
    json_integer(json, "recordings", (int64_t)sum->rides);
    json_integer(json, "same", (int64_t)sum->same);
    json_end_object(json);
    json_bool(json, "stopped", sum->was_stopped);
}

static void add_count(struct text *out, size_t n, const char *what)
{
    if (n > 0) {
        text_add_format(out, ", %zu %s", n, what);
    }
}

const char *imported_words(struct arena *arena, const struct import_sum *sum)
{
    struct text out = text_begin(arena, 1000);
    text_add_format(&out, "%zu taken", sum->files[IMPORT_TAKEN]);
    add_count(&out, sum->files[IMPORT_KNOWN], "known");
    add_count(&out, sum->files[IMPORT_CONFLICT], "another rider's");
    add_count(&out, sum->files[IMPORT_UNREADABLE], "unreadable");
    add_count(&out, sum->files[IMPORT_OTHER_THING],
              sum->files[IMPORT_OTHER_THING] == 1 ? "not a recording" : "not recordings");
    add_count(&out, sum->files[IMPORT_NO_RIDER], "of nobody known");
    text_add(&out, ".");
    return out.bytes;
}
