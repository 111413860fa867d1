/* cli/import.c: plumbline import: recordings into the roster. */
#include "base/json.h"
#include "cli/roster_call.h"
#include "roster/import.h"

#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

struct import_result {
    struct import_sum sum;
};

struct import_values {
    struct roster_values common;
    const char *rider;
    double threads;
    struct import_result *result;
};

#define ROW(field) offsetof(struct import_values, field)

static const struct option_row options[] = {
    { "rider", OPTION_TEXT, "NAME", "whose rides they are; kept for the folders named", ROW(rider),
      0, 0 },
    { "threads", OPTION_NUMBER, "N", "read so many files at once; else one a processor core",
      ROW(threads), 1, 64 },
    ROSTER_OPTIONS,
};

/* Set by a signal, read by everybody: the one thing here that changes. */
static volatile sig_atomic_t asked_to_stop;

static void stop_soon(int signal_number)
{
    (void)signal_number;
    asked_to_stop = 1;
}

static bool is_stopped(void *context)
{
    (void)context;
    return asked_to_stop != 0;
}

/* ---- what is said meanwhile, and at the end ---- */

struct listener {
    struct arena *arena;
    struct text lines; /* of what was not taken, and of damage */
    struct json json;
    struct text json_text;
    bool has_bar;
    size_t taken;
};

static void draw_bar(const struct listener *listener, const struct imported_file *file)
{
    enum { WIDE = 30 };
    const size_t done = file->place + 1;
    const size_t full = done * WIDE / file->n_files;
    fprintf(stderr, "\r[%.*s%*s] %zu of %zu", (int)full, "##############################",
            (int)(WIDE - full), "", done, file->n_files);
    (void)listener;
}

static void tell(void *context, const struct imported_file *file)
{
    struct listener *listener = context;
    struct json *json = &listener->json;
    if (listener->has_bar) {
        draw_bar(listener, file);
    }
    if (file->line != NULL) {
        text_add(&listener->lines, "  ");
        text_add_wrapped(&listener->lines,
                         arena_format(listener->arena, "%s%s", file->line,
                                      file->remembered ? " (as before: not read again)" : ""),
                         2, 4, 80);
    }
    json_begin_object(json, NULL);
    json_string(json, "file", file->name);
    json_string(json, "outcome", import_outcome_name(file->outcome));
    json_string(json, "rider", file->rider);
    json_string(json, "text", file->line);
    json_bool(json, "remembered", file->remembered);
    json_begin_array(json, "rides");
    for (size_t i = 0; i < file->n_rides; i++) {
        const struct imported_ride *ride = &file->rides[i];
        json_begin_object(json, NULL);
        json_integer(json, "id", ride->id);
        json_string(json, "day", ride->day);
        json_string(json, "sport", ride->sport);
        json_bool(json, "ride", ride->is_ride);
        if (ride->same_as == 0) {
            json_null(json, "same_as");
        } else {
            json_integer(json, "same_as", ride->same_as);
        }
        json_end_object(json);
    }
    json_end_array(json);
    json_end_object(json);
}

static void add_count(struct text *out, size_t n, const char *what)
{
    if (n > 0) {
        text_add_format(out, "%s%zu %s", out->length > 0 ? ", " : "", n, what);
    }
}

static void add_words(struct text *out, struct arena *arena, const struct import_sum *sum,
                      const struct listener *listener)
{
    struct text counts = text_begin(arena, 1000);
    text_add_format(&counts, "%zu taken", sum->files[IMPORT_TAKEN]);
    add_count(&counts, sum->files[IMPORT_KNOWN], "known");
    add_count(&counts, sum->files[IMPORT_CONFLICT], "another rider's");
    add_count(&counts, sum->files[IMPORT_UNREADABLE], "unreadable");
    add_count(&counts, sum->files[IMPORT_NO_RIDER], "of nobody known");
    text_add_format(out, "%s.", counts.bytes);
    if (sum->rides != sum->files[IMPORT_TAKEN]) {
        text_add_format(out, " %zu recordings.", sum->rides);
    }
    if (sum->same > 0) {
        text_add_format(out, " %zu of a ride that another recording stands for.", sum->same);
    }
    text_add(out, "\n");
    text_add(out, listener->lines.bytes);
}

static void add_json(struct text *out, const struct import_sum *sum,
                     const struct listener *listener)
{
    struct json json = json_begin(out);
    json_begin_object(&json, NULL);
    json_begin_object(&json, "counts");
    for (int i = 0; i < IMPORT_OUTCOMES; i++) {
        json_integer(&json, import_outcome_name((enum import_outcome)i), (int64_t)sum->files[i]);
    }
    json_integer(&json, "recordings", (int64_t)sum->rides);
    json_integer(&json, "same", (int64_t)sum->same);
    json_end_object(&json);
    json_bool(&json, "stopped", sum->was_stopped);
    json_end_object(&json);
    /* The list was written while it came: it goes in before the last brace. */
    out->length--;
    text_add_format(out, ",\"files\":");
    text_add_bytes(out, listener->json_text.bytes, listener->json_text.length);
    text_add(out, "}");
}

/* ---- the call ---- */

static bool import(struct roster_call *call, const void *raw, struct error *err)
{
    const struct import_values *values = raw;
    struct rider rider = { 0 };
    if (values->rider != NULL &&
        !riders_find(call->roster, call->arena, values->rider, &rider, err)) {
        return false;
    }
    struct listener listener = { .arena = call->arena,
                                 .lines = text_begin(call->arena, 50u * 1000u * 1000u),
                                 .json_text = text_begin(call->arena, 60u * 1000u * 1000u),
                                 .has_bar = isatty(STDERR_FILENO) == 1 };
    listener.json = json_begin(&listener.json_text);
    json_begin_array(&listener.json, NULL);
    const struct import_call wanted = { .roster = call->roster,
                                        .place = call->place,
                                        .now = call->now,
                                        .rider = values->rider != NULL ? &rider : NULL,
                                        .n_threads = (unsigned)values->threads,
                                        .stopped = is_stopped,
                                        .tell = tell,
                                        .context = &listener };
    struct sigaction before = { 0 };
    struct sigaction action = { .sa_handler = stop_soon, .sa_flags = SA_RESTART };
    sigemptyset(&action.sa_mask);
    const bool watched = sigaction(SIGINT, NULL, &before) == 0 && before.sa_handler != SIG_IGN;
    if (watched) {
        sigaction(SIGINT, &action, NULL);
    }
    struct import_sum *sum = &values->result->sum;
    const bool done = import_paths(call->arena, &wanted, call->words, call->n_words, sum, err);
    if (watched) {
        sigaction(SIGINT, &before, NULL);
    }
    if (listener.has_bar && sum->n_listed > 0) {
        fprintf(stderr, "\r%*s\r", 79, "");
    }
    json_end_array(&listener.json);
    if (call->json) {
        add_json(&call->out, sum, &listener);
    } else {
        add_words(&call->out, call->arena, sum, &listener);
    }
    return done;
}

static const struct roster_work work = {
    .command = &command_import, .least_words = 1, .most_words = 100000, .run = import
};

static int import_run(int argc, char *const argv[])
{
    struct import_result result = { 0 };
    struct import_values values = { .result = &result };
    const int status = roster_call(&work, argc, argv, &values);
    const struct import_sum *sum = &result.sum;
    if (status != 0 || values.common.help) {
        return status;
    }
    if (sum->was_stopped) {
        fprintf(stderr, "plumbline import: interrupted; what was taken is kept\n");
        return 128 + SIGINT;
    }
    return sum->files[IMPORT_TAKEN] + sum->files[IMPORT_KNOWN] > 0 ? 0 : 3;
}

const struct command command_import = {
    .name = "import",
    .usage = "PATH... [options]",
    .summary = "recordings into the roster: files, folders, zips",
    .about = "Takes recordings (FIT, GPX, CSV; also inside gzip or zip) into the roster, each read "
             "with what was true of its rider that day. A folder is read with all that lies in it, "
             "but hidden names and symbolic links. Whose rides they are, --rider says, or their "
             "folder: one that was named with --rider before, or one that is called as a rider is. "
             "Files that are known are passed over; two devices on one ride are one ride. Exit "
             "status 3 if nothing was taken and nothing was known.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = import_run,
};
