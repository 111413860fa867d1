/* server/answers/imports.c: a file that a browser sent, into the roster. */
#include "server/answers/answers.h"

#include "base/json.h"
#include "server/answers/imported.h"
#include "server/tasks.h"

#include <string.h>

enum { NAME_LONGEST = 255 };

/* What is told of each file goes into the answer as it comes. */
struct taking {
    struct api_call *call;
    struct json json; /* the list of files */
    size_t files[IMPORT_OUTCOMES];
};

static void take_file(void *context, const struct imported_file *file)
{
    struct taking *taking = context;
    struct json *json = &taking->json;
    taking->files[file->outcome]++;
    imported_file_json(json, file);
    /* Of a zip it isn't known how many are still to come. */
    size_t done = 0;
    for (size_t i = 0; i < IMPORT_OUTCOMES; i++) {
        done += taking->files[i];
    }
    task_tell(taking->call->task, done, 0, file->name);
}

static bool is_stopped(void *context)
{
    return task_stopped(((struct taking *)context)->call->task);
}

static void write_answer(struct api_call *call, const struct import_sum *sum,
                         const struct text *files)
{
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    imported_sum_json(&json, sum);
    json_string(&json, "words", imported_words(call->arena, sum));
    json_raw(&json, "files", files->bytes);
    json_end_object(&json);
}

/* A name alone: where the file lay is the browser's business. */
static bool read_name(const struct api_call *call, const char **out, struct error *err)
{
    const char *name = api_query(call, "name");
    if (name == NULL || name[0] == '\0' || strlen(name) > NAME_LONGEST) {
        return error_set(err, ERROR_USAGE, "name: say how the file is called, in %d bytes at most",
                         NAME_LONGEST);
    }
    const char *slash = strrchr(name, '/');
    *out = slash == NULL ? name : slash + 1;
    return true;
}

bool answer_import(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct import_sum sum = { 0 };
    struct text files = text_begin(call->arena, 60u * 1000u * 1000u);
    struct taking taking = { .call = call, .json = json_begin(&files) };
    const char *name = NULL;
    int64_t id = 0;
    if (!read_name(call, &name, err) || !api_query_number(call, "rider", 1, INT64_MAX, &id, err)) {
        return false;
    }
    if (id == 0) {
        return error_set(err, ERROR_USAGE, "rider: say whose it is");
    }
    if (!riders_row(roster_db(call->roster), call->arena, id, &rider, err)) {
        return false;
    }
    const struct import_call wanted = { .roster = call->roster,
                                        .place = call->place,
                                        .now = call->now,
                                        .rider = &rider,
                                        .stopped = is_stopped,
                                        .tell = take_file,
                                        .context = &taking };
    json_begin_array(&taking.json, NULL);
    task_tell(call->task, 0, 0, name);
    const bool done = import_open_file(call->arena, &wanted, call->upload->fd, name, &sum, err);
    json_end_array(&taking.json);
    if (done) {
        write_answer(call, &sum, &files);
    }
    return done;
}
