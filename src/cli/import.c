/* cli/import.c: plumbline import: recordings into the roster. */
#include "base/json.h"
#include "cli/import_told.h"
#include "cli/read_columns.h"
#include "cli/reread.h"
#include "cli/review.h"
#include "cli/stop.h"
#include "roster/import.h"
#include "roster/watch.h"

#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

struct import_result {
    struct import_sum sum;
    bool is_watch;
};

struct import_values {
    struct roster_values common;
    const char *rider;
    double threads;
    bool watch;
    struct option_list columns;
    struct review_values review;
    struct import_result *result;
};

#define ROW(field) offsetof(struct import_values, field)

static const struct option_row options[] = {
    { "rider", OPTION_TEXT, "NAME", "whose rides they are; kept for the folders named", ROW(rider),
      0, 0 },
    { "threads", OPTION_NUMBER, "N", "read so many files at once; else one a processor core",
      ROW(threads), 1, 64 },
    { "watch", OPTION_FLAG, NULL,
      "stay, and take what falls into the folder, until interrupted or ended", ROW(watch), 0, 0 },
    { "column", OPTION_LIST, "MEANING=NAME",
      "which column of a table is what, as plumbline read --column; kept with the rides",
      ROW(columns), 0, 0 },
    { "review", OPTION_FLAG, NULL,
      "no import: what the rides of --rider let propose, to be accepted together",
      ROW(review.shows), 0, 0 },
    { "page", OPTION_TEXT, "MARK", "review: the page that was shown; numbers hold for it alone",
      ROW(review.mark), 0, 0 },
    { "accept", OPTION_TEXT, "NUMBERS", "review: take these, as one change: 1,3 or all",
      ROW(review.accept), 0, 0 },
    { "decline", OPTION_TEXT, "NUMBERS", "review: don't show these again: 2 or all",
      ROW(review.decline), 0, 0 },
    ROSTER_LATER,
    ROSTER_OPTIONS,
};

/* ---- the call ---- */

/* A second recording of a ride is read with what was asked of the ride.  Rides that an older
 * program read are only asked for: that may be the whole roster. */
static bool keep_true(struct roster_call *call, bool later, struct error *err)
{
    struct rereading_jobs jobs = { 0 };
    bool is_newer = false;
    reread_after(call, "import", later);
    if (!rereading_ask_if_newer(call->roster, call->arena, call->now, &is_newer, err) ||
        (is_newer && !rereading_look(call->roster, call->arena, call->now, &jobs, err))) {
        return false;
    }
    if (jobs.count > 0) {
        fprintf(stderr,
                "plumbline import: %s read by another version wait to be read again: plumbline "
                "jobs --run\n",
                reread_rides(call->arena, jobs.count));
    }
    return true;
}

static bool watch_folder(struct roster_call *call, const struct import_call *wanted,
                         struct import_result *result, struct error *err);

/* Many rides of one rider at once are a history: its page follows.  Of several riders, or of few
 * rides, where to find it is said. */
static bool add_review(struct roster_call *call, const struct import_told *told, struct json *json,
                       struct error *err)
{
    const double least = limits_default().value[LIMIT_HISTORY_RIDES];
    const struct rider_count *of = NULL;
    size_t n = 0;
    for (size_t i = 0; i < told->n_riders; i++) {
        if ((double)told->riders[i].n_rides >= least) {
            of = &told->riders[i];
            n++;
        }
    }
    for (size_t i = 0; n > 1 && i < told->n_riders; i++) {
        if ((double)told->riders[i].n_rides >= least && !call->json) {
            text_add_wrapped(&call->out,
                             arena_format(call->arena,
                                          "What the %zu rides of %s show: plumbline import "
                                          "--review --rider \"%s\"",
                                          told->riders[i].n_rides, told->riders[i].rider,
                                          told->riders[i].rider),
                             0, 2, 80);
        }
    }
    struct rider rider = { 0 };
    if (n != 1) {
        return true;
    }
    if (!call->json) {
        text_add(&call->out, "\n");
    }
    return riders_find(call->roster, call->arena, of->rider, &rider, err) &&
           review_show(call, &rider, json, "review", err);
}

static bool take_files(struct roster_call *call, const struct import_values *values,
                       const struct rider *rider, struct error *err)
{
    struct read_options tables = { 0 };
    if (!read_columns_make(call->arena, &values->columns, &tables, err)) {
        return false;
    }
    struct import_told told;
    import_told_begin(call->arena, &told);
    const struct import_call wanted = { .roster = call->roster,
                                        .place = call->place,
                                        .now = call->now,
                                        .rider = rider,
                                        .n_threads = (unsigned)values->threads,
                                        .columns = tables.columns,
                                        .n_columns = tables.n_columns,
                                        .stopped = stop_is_asked,
                                        .tell = import_told_file,
                                        .context = &told };
    if (values->watch) {
        return watch_folder(call, &wanted, values->result, err);
    }
    struct import_sum *sum = &values->result->sum;
    stop_begin();
    const bool done = import_paths(call->arena, &wanted, call->words, call->n_words, sum, err);
    stop_end();
    import_told_end(&told, sum);
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_object(&json, NULL);
        import_told_json(&told, sum, &json);
    } else {
        import_told_words(&told, sum, &call->out);
    }
    bool kept = done && (sum->was_stopped || keep_true(call, values->common.later, err));
    kept = kept && (sum->was_stopped || add_review(call, &told, &json, err));
    if (call->json) {
        json_end_object(&json);
    }
    return kept;
}

static bool import(struct roster_call *call, const void *raw, struct error *err)
{
    const struct import_values *values = raw;
    struct rider rider = { 0 };
    if (values->rider != NULL &&
        !riders_find(call->roster, call->arena, values->rider, &rider, err)) {
        return false;
    }
    if (!values->review.shows) {
        return take_files(call, values, values->rider != NULL ? &rider : NULL, err);
    }
    struct json json = json_begin(&call->out);
    return values->review.mark != NULL ? review_answer(call, &values->review, &rider, err)
                                       : review_show(call, &rider, &json, NULL, err);
}

static const struct roster_work work;

static bool check_call(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct import_values *values = raw;
    if (!values->review.shows && call->n_words == 0) {
        return roster_usage(&work, "a word is missing", err);
    }
    return review_check(&values->review, values->rider, call->n_words, err);
}

/* ---- watching ---- */

static double now_s(void)
{
    struct timespec now = { 0 };
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

/* What came together is told together, one line a file. */
static bool take_ready(struct roster_call *call, const struct import_call *wanted,
                       const char *const paths[], size_t n, struct import_result *result,
                       struct error *err)
{
    struct import_sum sum = { 0 };
    struct roster_call now = *call;
    struct import_call again = *wanted;
    struct import_told told;
    now.arena = arena_open();
    now.now.utc_s = (int64_t)time(NULL);
    again.now = now.now;
    import_told_begin(now.arena, &told);
    told.has_bar = false;
    again.context = &told;
    const bool done = import_paths(now.arena, &again, paths, n, &sum, err);
    import_told_end(&told, &sum);
    struct text out = text_begin(now.arena, 64u * 1000u * 1000u);
    if (call->json) {
        struct json json = json_begin(&out);
        json_begin_object(&json, NULL);
        import_told_json(&told, &sum, &json);
        json_end_object(&json);
        text_add(&out, "\n");
    } else {
        import_told_words(&told, &sum, &out);
    }
    const int printed = command_print(out.bytes, out.length);
    for (size_t i = 0; i < IMPORT_OUTCOMES; i++) {
        result->sum.files[i] += sum.files[i];
    }
    const bool kept = done && printed == 0 && keep_true(&now, false, err);
    arena_close(now.arena);
    return kept;
}

static bool watch_loop(struct roster_call *call, const struct import_call *wanted,
                       struct watch *watch, struct import_result *result, struct error *err)
{
    while (!stop_is_asked(NULL)) {
        struct arena *arena = arena_open();
        const char **paths = NULL;
        size_t n = 0;
        bool done = watch_look(watch, arena, now_s(), &paths, &n, err) &&
                    (n == 0 || take_ready(call, wanted, paths, n, result, err));
        arena_close(arena);
        if (!done) {
            return false;
        }
        struct pollfd wait = { .fd = watch_descriptor(watch), .events = POLLIN };
        const double seconds = watch_wait_s(watch, now_s());
        /* A signal ends the wait; one that comes just before it costs half a second. */
        poll(&wait, 1, (int)(1000.0 * (seconds < 0.5 ? seconds : 0.5)));
    }
    return true;
}

static bool watch_folder(struct roster_call *call, const struct import_call *wanted,
                         struct import_result *result, struct error *err)
{
    struct watch *watch = NULL;
    if (call->n_words != 1) {
        return roster_usage(&work, "--watch: name one folder", err);
    }
    if (!watch_open(call->words[0], &watch, err)) {
        return false;
    }
    stop_begin_with_end();
    fprintf(stderr, "plumbline import: watching %s; interrupt to end\n", call->words[0]);
    const bool done = watch_loop(call, wanted, watch, result, err);
    stop_end();
    watch_close(watch);
    result->is_watch = true;
    return done;
}

static const struct roster_work work = {
    .command = &command_import, .most_words = 100000, .check = check_call, .run = import
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
    if (values.review.shows) {
        return 0;
    }
    if (result.is_watch) {
        return stop_was_end() ? 0 : stop_tell("import", "what was taken is kept");
    }
    if (sum->was_stopped) {
        return stop_tell("import", "what was taken is kept");
    }
    return sum->files[IMPORT_TAKEN] + sum->files[IMPORT_KNOWN] > 0 ? 0 : 3;
}

const struct command command_import = {
    .name = "import",
    .usage = "PATH... [options]",
    .summary = "recordings into the roster: files, folders, zips",
    .about =
        "Takes recordings (FIT, GPX, CSV; also inside gzip or zip) into the roster, each read "
        "with what was true of its rider that day. A folder is read with all that lies in it, "
        "but hidden names and symbolic links. Whose rides they are, --rider says, or their "
        "folder: one that was named with --rider before, or one that is called as a rider is. "
        "Files that are known are passed over; two devices on one ride are one ride. Exit "
        "status 3 if nothing was taken and nothing was known. When 20 rides or more of one rider "
        "came at once, a page follows of what they let propose: thresholds by the tests in "
        "them, maximal heart rates, meters, and rides to look at. --review shows it again any "
        "time; nothing of it holds until it is accepted, and undo takes that back.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = import_run,
};
