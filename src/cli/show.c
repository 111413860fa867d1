/* cli/show.c: plumbline show: a ride of the roster, as `read` would print it. */
#include "cli/read_words.h"
#include "cli/roster_call.h"
#include "coaching/words/came_words.h"
#include "roster/came_back.h"
#include "roster/day_notes.h"
#include "roster/recordings.h"
#include "roster/ride_read.h"

#include <sodium.h>
#include <string.h>

struct show_values {
    struct roster_values common;
    const char *bests;
};

static const struct option_row options[] = {
    { "bests", OPTION_TEXT, "all", "every second instead of the usual durations",
      offsetof(struct show_values, bests), 0, 0 },
    ROSTER_OPTIONS,
};

static bool check_options(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct show_values *values = raw;
    (void)call;
    return values->bests == NULL || strcmp(values->bests, "all") == 0 ||
           error_set(err, ERROR_USAGE, "--bests %s: only \"all\" is known", values->bests);
}

/* What coach and rider noted of the ride and its day: some of it is part of the verdicts. */
static bool add_notes(struct roster_call *call, const struct ride_row *row, struct error *err)
{
    const struct ride_facts ride = { .rider = row->rider,
                                     .day = row->local_day,
                                     .recording = row->id };
    struct day_note *notes = NULL;
    size_t count = 0;
    if (!day_notes_of_ride(roster_db(call->roster), call->arena, &ride, &notes, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        text_add(&call->out, i == 0 ? "\n  Notes\n    " : "    ");
        text_add_wrapped(&call->out,
                         arena_format(call->arena, "%lld, %s: %s", (long long)notes[i].id,
                                      notes[i].recording == 0 ? "the day" : "this ride",
                                      day_note_say(call->arena, &notes[i])),
                         4, 6, 80);
    }
    return true;
}

static bool show(struct roster_call *call, const void *raw, struct error *err)
{
    const struct show_values *values = raw;
    struct arena *arena = call->arena;
    struct ride_row row = { 0 };
    struct ride_read read;
    if (!recordings_find(call->roster, arena, call->words[0], &row, err) ||
        !ride_read_row(call->roster, arena, &row, &read, err) ||
        !came_back_line(call->roster, arena, &row, call->today, &read.readings.came, err)) {
        return false;
    }
    char sha256[65];
    sodium_bin2hex(sha256, sizeof sha256, row.sha256, sizeof row.sha256);
    const struct ride_source source = { PLUMBLINE_VERSION, row.name, sha256 };
    const bool all = values->bests != NULL && read.recording->is_ride;
    const struct bests bests = all ? bests_all(arena, read.recording) : read.readings.bests;
    if (call->json) {
        text_add(&call->out, "[");
        struct json json = json_begin(&call->out);
        ride_json_add(&json, &source, read.recording, &read.facts, &read.readings, &bests);
        text_add(&call->out, "]");
    } else {
        read_words_add(&call->out, &source, read.recording, &read.facts, &read.readings, &bests);
    }
    if (call->json) {
        return true;
    }
    if (read.readings.came != NULL) {
        text_add(&call->out, "\n  What came back\n    ");
        text_add_wrapped(&call->out, came_words_line(arena, read.readings.came), 4, 4, 80);
    }
    return add_notes(call, &row, err);
}

static const struct roster_work work = {
    .command = &command_show, .least_words = 1, .most_words = 1, .check = check_options, .run = show
};

static int show_run(int argc, char *const argv[])
{
    struct show_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_show = {
    .name = "show",
    .usage = "RIDE [options]",
    .summary = "a ride of the roster, with its verdicts",
    .about = "Prints a ride of the roster as read prints a file, with what was true of the rider "
             "on its day. RIDE is the number that rides prints, or RIDER@2026-03-14, or "
             "RIDER@2026-03-14/2 for the second of the day.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = show_run,
};
