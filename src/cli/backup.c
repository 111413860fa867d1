/* cli/backup.c: plumbline backup: a whole copy of the roster. */
#include "roster/backup.h"
#include "base/json.h"
#include "cli/ask.h"
#include "cli/roster_call.h"

struct backup_values {
    struct roster_values common;
    bool yes;
};

static const struct option_row options[] = {
    { "yes", OPTION_FLAG, NULL, "write over what is there already",
      offsetof(struct backup_values, yes), 0, 0 },
    ROSTER_OPTIONS,
};

static bool make(struct roster_call *call, const void *raw, struct error *err)
{
    const struct backup_values *values = raw;
    const struct backup_call wanted = { .roster = call->roster,
                                        .now = call->now,
                                        .path = call->words[0],
                                        .overwrite = values->yes,
                                        .tell = bar_tell };
    const char *path = NULL;
    struct backup_about about = { 0 };
    const bool done = backup_make(call->arena, &wanted, &path, &about, err);
    bar_clear();
    if (!done) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        json_string(&json, "backup", path);
        json_integer(&json, "bytes", about.bytes);
        json_integer(&json, "schema", about.schema);
        json_integer(&json, "riders", about.riders);
        json_integer(&json, "recordings", about.recordings);
        json_string(&json, "newest_day", about.newest_day);
        json_end_object(&json);
        return true;
    }
    text_add_wrapped(&call->out,
                     arena_format(call->arena,
                                  "%s: whole and checked: %s, %lld rider%s, %lld recording%s.",
                                  path, size_words(call->arena, about.bytes),
                                  (long long)about.riders, about.riders == 1 ? "" : "s",
                                  (long long)about.recordings, about.recordings == 1 ? "" : "s"),
                     0, 2, 80);
    text_add(&call->out, "It holds riders' health data: keep it where only you can read it.\n");
    return true;
}

static const struct roster_work work = {
    .command = &command_backup, .least_words = 1, .most_words = 1, .run = make
};

static int backup_run(int argc, char *const argv[])
{
    struct backup_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_backup = {
    .name = "backup",
    .usage = "FILE [options]",
    .summary = "a whole copy of the roster, checked",
    .about =
        "Copies the roster to FILE while others may go on working, opens the copy, checks every "
        "page and every file in it, and only then says that it is done. What is there already "
        "is not written over without --yes. Where backups lie is written down, so that forget "
        "can name those that still hold a rider. A server's roster is copied with the server's "
        "own pg_dump.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = backup_run,
};
