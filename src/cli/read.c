/* cli/read.c: plumbline read FILE...: from files to verdicts, with no roster behind it. */
#include "cli/command.h"
#include "cli/plain.h"
#include "cli/read_columns.h"
#include "cli/read_facts.h"
#include "cli/read_figure.h"
#include "cli/read_words.h"

#include "base/files.h"
#include "coaching/reading.h"
#include "coaching/ride_json.h"
#include "recording/container.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* Words or JSON of one recording; more than any ride with every best needs. */
static const size_t OUTPUT_CAP = 64u * 1000u * 1000u;

#define ROW(field, type, value, help, low, high)                                                   \
    type, value, help, offsetof(struct read_values, field), low, high

static const struct option_row options[] = {
    { "threshold",
      ROW(threshold_w, OPTION_NUMBER, "W", "threshold power on the day of the ride", 50, 600) },
    { "max-heart-rate", ROW(max_heart_rate_bpm, OPTION_NUMBER, "BPM",
                            "the rider's maximal heart rate, as measured", 100, 230) },
    { "rest-heart-rate",
      ROW(rest_heart_rate_bpm, OPTION_NUMBER, "BPM", "resting heart rate", 25, 120) },
    { "weight",
      ROW(weight_kg, OPTION_NUMBER, "KG", "weight on the day: bests also in W/kg", 25, 250) },
    { "target", ROW(target, OPTION_TEXT, "LOW-HIGH",
                    "the range asked: 106-120 in % of threshold, 225-245W in watts", 0, 0) },
    { "kind", ROW(kind, OPTION_TEXT, "NAME",
                  "what was asked: easy, base-test, tempo, sweet-spot, threshold, over-unders, "
                  "vo2max, short-vo2max, anaerobic, sprint",
                  0, 0) },
    { "reps", ROW(reps, OPTION_TEXT, "NxTIME", "efforts asked: 4x4min, 10x30s", 0, 0) },
    { "day", ROW(day, OPTION_TEXT, "WORDS",
                 "what was so on the day, by commas: hot, fan, no-fan, dehydrated, ill, caffeine, "
                 "hard-day-before",
                 0, 0) },
    { "heart-medicine", ROW(heart_medicine, OPTION_FLAG, NULL,
                            "the rider takes a medicine that alters heart rate: nothing is judged "
                            "by it",
                            0, 0) },
    { "pregnant", ROW(pregnant, OPTION_FLAG, NULL, "verdicts from heart rate are left out", 0, 0) },
    { "indoors", ROW(indoors, OPTION_FLAG, NULL, "ridden indoors, whatever the file says", 0, 0) },
    { "outdoors",
      ROW(outdoors, OPTION_FLAG, NULL, "ridden outdoors, whatever the file says", 0, 0) },
    { "zones", ROW(zones, OPTION_TEXT, "FILE",
                   "zones of your own: a line each, name and upper % (\"-\" for the last)", 0, 0) },
    { "column", ROW(columns, OPTION_LIST, "MEANING=NAME",
                    "which column of a table is what: time, date, power, heart-rate, cadence, "
                    "speed, distance, altitude, temperature, latitude, longitude, balance; give it "
                    "again for another, or add it by a comma",
                    0, 0) },
    { "limit", ROW(limit, OPTION_TEXT, "NAME=VALUE",
                   "another value for one limit; plumbline limits lists them", 0, 0) },
    { "bests",
      ROW(bests, OPTION_TEXT, "all", "every second instead of the usual durations", 0, 0) },
    { "figure", ROW(figure.path, OPTION_TEXT, "OUT",
                    "the reading as a page beside the words: OUT.svg, OUT.png or OUT.pdf; of "
                    "several recordings the second goes to OUT-2, and so on",
                    0, 0) },
    { "dark", ROW(figure.dark, OPTION_FLAG, NULL, "the figure on dark ground", 0, 0) },
    { "json", ROW(json, OPTION_FLAG, NULL, "the same readings as JSON", 0, 0) },
    { "help", ROW(help, OPTION_FLAG, NULL, "this page", 0, 0) },
};

/* What one call has in hand. */
struct call {
    struct read_values values;
    struct rider_facts facts;
    struct limits limits;
    struct read_options tables; /* what the call says of every table's columns */
    bool first;                 /* nothing printed yet */
    int refused;                /* files, or files in a zip, that gave no recording */
    int status;                 /* of the output: 1 when it can't be written */
    struct read_figure figure;
    bool undrawn; /* a figure couldn't be written */
    bool ascii;   /* words for a terminal without UTF-8; JSON is UTF-8 everywhere (RFC 8259, 8.1) */
};

static void put(struct call *call, const struct text *out)
{
    if (call->status == 0) {
        call->status = command_print(out->bytes, out->length);
    }
    call->first = false;
}

static void begin_item(const struct call *call, struct text *out)
{
    if (call->values.json) {
        text_add(out, call->first ? "[" : ",\n");
    } else if (!call->first) {
        text_add(out, "\n");
    }
}

static void refuse(struct call *call, const char *file, const struct error *err)
{
    call->refused++;
    fprintf(stderr, "plumbline read: %s\n", err->message);
    if (!call->values.json) {
        return;
    }
    struct arena *arena = arena_open();
    struct text out = text_begin(arena, OUTPUT_CAP);
    begin_item(call, &out);
    struct json json = json_begin(&out);
    ride_json_add_error(&json, text_clean(arena, file, strlen(file)), err);
    put(call, &out);
    arena_close(arena);
}

/* A figure that can't be written leaves no file behind, and ends the drawing: the next one would
 * hardly fare better.  The words go on. */
static void draw(struct call *call, const struct ride_page *page)
{
    struct error err = { 0 };
    if (!read_figure_write(&call->figure, page, &err)) {
        (void)command_fail("read", &err);
        call->figure.out.path = NULL;
        call->undrawn = true;
    }
}

/* One recording: readings, then words or JSON.  Its memory goes before the next one. */
static bool print_recording(struct call *call, const struct ride_source *source,
                            const struct recording *recording, struct error *err)
{
    struct arena *arena = arena_open();
    struct ride_readings readings = { 0 };
    const bool made = reading_make(arena, recording, &call->facts, &call->limits, &readings, err);
    if (made) {
        const bool all = call->values.bests != NULL && recording->is_ride;
        const struct bests bests = all ? bests_all(arena, recording) : readings.bests;
        struct text out = text_begin(arena, OUTPUT_CAP);
        begin_item(call, &out);
        if (call->values.json) {
            struct json json = json_begin(&out);
            ride_json_add(&json, source, recording, &call->facts, &readings, &bests);
        } else {
            read_words_add(&out, source, recording, &call->facts, &readings, &bests);
        }
        if (call->ascii && !call->values.json) {
            out = plain_page(arena, out.bytes, 80);
        }
        put(call, &out);
        draw(call, &(struct ride_page){ source, recording, &call->facts, &readings });
    }
    arena_close(arena);
    return made;
}

/* One recording file's bytes, wherever they came from. */
static bool read_entry(struct call *call, struct arena *arena, const struct container_entry *entry,
                       struct error *err)
{
    struct read_options read_options = call->tables;
    read_options.file = entry->name;
    read_options.packing_damage = entry->damage;
    struct recordings recordings = { 0 };
    if (entry->error.kind != ERROR_NONE) {
        *err = entry->error;
        return false;
    }
    if (!recording_read(arena, entry->bytes, &read_options, &call->limits, &recordings, err)) {
        return false;
    }
    if (recordings.damage != NULL) {
        fprintf(stderr, "plumbline read: %s\n", recordings.damage);
    }
    char sha256[65];
    files_sha256(entry->bytes, sha256);
    const struct ride_source source = { PLUMBLINE_VERSION, entry->name, sha256 };
    for (size_t i = 0; i < recordings.count; i++) {
        if (!print_recording(call, &source, recordings.items[i], err)) {
            return false;
        }
    }
    return true;
}

/* A file, or every file in it; each refusal is printed here. */
static void read_file(struct call *call, const char *file)
{
    struct arena *arena = arena_open();
    struct bytes packed = { 0 };
    struct container *container = NULL;
    struct error err = { 0 };
    if (!files_read(arena, file, (size_t)call->limits.value[LIMIT_CAP_FILE_BYTES], &packed, &err) ||
        !container_open(arena, packed, file, &call->limits, &container, &err)) {
        refuse(call, file, &err);
        arena_close(arena);
        return;
    }
    for (;;) {
        struct arena *of_entry = arena_open();
        struct container_entry entry = { 0 };
        const bool more = container_next(container, of_entry, &entry);
        if (more && entry.note != NULL) {
            fprintf(stderr, "plumbline read: %s\n", entry.note);
        }
        if (more && !read_entry(call, of_entry, &entry, &err)) {
            refuse(call, entry.name, &err);
        }
        arena_close(of_entry);
        if (!more) {
            break;
        }
    }
    container_close(container);
    arena_close(arena);
}

static int read_run(int argc, char *const argv[])
{
    struct call call = { .values = read_values_unknown(),
                         .first = true,
                         .ascii = !plain_locale_is_utf8() };
    struct error err = { 0 };
    struct arena *arena = arena_open();
    const char **files = ARENA_ARRAY(arena, const char *, (size_t)argc + 1);
    size_t n_files = 0;
    int status = 0;
    bool understood = options_parse(argc, argv, options, sizeof options / sizeof options[0],
                                    &call.values, files, &n_files, &err);
    if (understood && !call.values.help) {
        understood =
            n_files > 0
                ? read_facts_make(arena, &call.values, &call.facts, &call.limits, &err) &&
                      read_columns_make(arena, &call.values.columns, &call.tables, &err) &&
                      figure_out_open(arena, &call.values.figure, &call.figure.out, &err)
                : error_set(&err, ERROR_USAGE, "name at least one file; plumbline read --help");
    }
    if (!understood) {
        status = command_fail("read", &err);
    } else if (call.values.help) {
        status = command_help(&command_read);
    } else {
        for (size_t i = 0; i < n_files; i++) {
            read_file(&call, files[i]);
        }
        if (call.values.json) {
            const char *end = call.first ? "[]\n" : "]\n";
            call.status = call.status != 0 ? call.status : command_print(end, strlen(end));
        }
        const int read_status = call.undrawn ? 1 : (call.refused > 0 ? 3 : 0);
        status = call.status != 0 ? call.status : read_status;
    }
    figure_out_close(&call.figure.out);
    arena_close(arena);
    return status;
}

const struct command command_read = {
    .name = "read",
    .usage = "FILE... [options]",
    .summary = "what a recording is, what in it may be trusted, and its verdicts",
    .about = "Reads recordings of any bike computer (FIT, GPX, CSV; also inside gzip or zip) and "
             "says what each "
             "is, what in it may be trusted, whether it passes the base test, whether its hard "
             "work was done as asked and what heart rate alone would have said, and its bests. "
             "Numbers in brackets are likely ranges: the truth lies inside 9 times in 10. "
             "--figure draws the same reading as a page, beside the words. Nothing else is "
             "stored. Exit status 3 if a file gave no recording.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = read_run,
};
