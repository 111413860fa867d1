/* cli/recordings.c: plumbline recordings: the recordings of one ride, and which of them counts. */
#include "roster/recordings.h"

#include "base/json.h"
#include "cli/roster_call.h"
#include "coaching/words/words.h"
#include "roster/same_ride.h"

#include <string.h>

struct recordings_values {
    struct roster_values common;
    bool main;
    bool split;
};

#define ROW(field) offsetof(struct recordings_values, field), 0, 0

static const struct option_row options[] = {
    { "main", OPTION_FLAG, NULL, "this one stands for the ride, whatever comes later", ROW(main) },
    { "split", OPTION_FLAG, NULL, "this one is a ride of its own", ROW(split) },
    ROSTER_LATER,
    ROSTER_OPTIONS,
};

static const struct roster_work work;

static bool check(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct recordings_values *values = raw;
    (void)call;
    return !(values->main && values->split) ||
           roster_usage(&work, "--main and --split: say one of them", err);
}

static void add_json(struct json *json, const struct ride_row *row)
{
    json_begin_object(json, NULL);
    json_integer(json, "ride", row->id);
    json_string(json, "day", row->local_day);
    json_bool(json, "main", row->same_as == 0);
    json_bool(json, "by_hand", row->same_by_hand);
    json_string(json, "format", row->format);
    json_string(json, "device_maker", row->device_maker);
    json_string(json, "device_product", row->device_product);
    json_integer(json, "timer_s", row->timer_s);
    json_string(json, "file", row->name);
    json_end_object(json);
}

/* The file's name without its folders: those can be longer than a line. */
static const char *base_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash == NULL || slash[1] == '\0' ? path : slash + 1;
}

static void add_words(struct roster_call *call, const struct ride_row *row)
{
    text_add_format(&call->out, "%6lld  %-10s %8s  ", (long long)row->id,
                    row->local_day == NULL ? "no day" : row->local_day,
                    words_clock(call->arena, row->timer_s));
    text_add_wrapped(&call->out,
                     arena_format(call->arena, "%s%s; %s",
                                  row->same_as == 0 ? "counts" : "does not",
                                  row->same_by_hand ? " by hand" : "", base_name(row->name)),
                     28, 28, 80);
}

static bool list(struct roster_call *call, int64_t recording, struct error *err)
{
    struct db *db = roster_db(call->roster);
    struct ride_row row = { 0 };
    int64_t *ids = NULL;
    size_t count = 0;
    if (!recordings_row(db, call->arena, recording, &row, err) ||
        !same_ride_recordings(db, call->arena, &row, &ids, &count, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_array(&json, NULL);
    }
    for (size_t i = 0; i < count; i++) {
        if (!recordings_row(db, call->arena, ids[i], &row, err)) {
            return false;
        }
        if (call->json) {
            add_json(&json, &row);
        } else {
            add_words(call, &row);
        }
    }
    if (call->json) {
        json_end_array(&json);
    }
    return true;
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct recordings_values *values = raw;
    struct ride_row row = { 0 };
    const char *said = NULL;
    if (!recordings_find(call->roster, call->arena, call->words[0], &row, err)) {
        return false;
    }
    if (values->main || values->split) {
        const bool done =
            values->main ? same_ride_choose(call->roster, call->arena, call->now, &row, &said, err)
                         : same_ride_split(call->roster, call->arena, call->now, &row, &said, err);
        if (!done) {
            return false;
        }
        if (!call->json) {
            text_add_wrapped(&call->out, said, 0, 2, 80);
        }
    }
    return list(call, row.id, err);
}

static const struct roster_work work = {
    .command = &command_recordings, .least_words = 1, .most_words = 1, .check = check, .run = run
};

static int recordings_run(int argc, char *const argv[])
{
    struct recordings_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_recordings = {
    .name = "recordings",
    .usage = "RIDE [options]",
    .summary = "the recordings of one ride, and which of them counts",
    .about = "Two devices on one ride are one ride: the recording with the better cover of power "
             "counts. --main lets another one stand for it, --split makes one a ride of its own; "
             "bests follow, imports never change what was said, and undo takes it back. RIDE is "
             "the number that rides --all prints, or RIDER@2026-03-14.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = recordings_run,
};
