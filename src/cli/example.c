/* cli/example.c: plumbline example: a roster of invented riders, for trying everything out.
 *
 *     stories ── rides, on every core ──> FIT files in DIR/rides/RIDER
 *        │                                     │  the same import as a coach's
 *        └─ facts, with the tests ridden ──> DIR/example.plumbline */
#include "base/dates.h"
#include "base/json.h"
#include "cli/example.h"
#include "cli/example_asked.h"
#include "cli/example_facts.h"
#include "cli/example_sessions.h"
#include "cli/plain.h"
#include "roster/import.h"
#include "roster/rereading.h"
#include "roster/settings.h"
#include "roster/usual.h"

#include <dirent.h>
#include <errno.h>
#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct example_values {
    double riders;
    double threads;
    bool json;
    bool help;
};

#define ROW(field) offsetof(struct example_values, field)

static const struct option_row options[] = {
    { "riders", OPTION_NUMBER, "N", "only the first so many of the fourteen", ROW(riders), 1, 14 },
    { "threads", OPTION_NUMBER, "N", "work on so many rides at once; else one a processor core",
      ROW(threads), 1, 64 },
    { "json", OPTION_FLAG, NULL, "what was made, as JSON", ROW(json), 0, 0 },
    { "help", OPTION_FLAG, NULL, "this page", ROW(help), 0, 0 },
};

enum { THREADS_MOST = 64, WIDE = 30 };

/* What a ride gave besides its files. */
struct made {
    double test_w;
    double heart_max_bpm;
    size_t n_reps; /* meant, of rep_s each */
    double rep_s;
};

struct example {
    struct arena *arena;
    const char *folder;
    const char *place; /* of the roster */
    unsigned n_threads;
    size_t n_stories;
    struct season_ride *rides; /* [n_rides] story by story */
    struct made *made;         /* [n_rides] */
    size_t n_rides;
    size_t *first; /* [n_stories + 1] a story's first ride */
    struct import_sum sum;
    bool has_bar;
    const struct example_listener *listener; /* NULL = nobody but the bar */

    pthread_mutex_t lock; /* all below */
    size_t next;
    struct error failed;
};

static bool is_stopped(void *context)
{
    const struct example_listener *listener = ((const struct example *)context)->listener;
    return listener != NULL && listener->stopped(listener->context);
}

static bool fail_stopped(struct error *err)
{
    return error_set(err, ERROR_CONFLICT, "stopped; the example was not made");
}

static void draw_bar(const struct example *example, const char *what, size_t done, size_t all)
{
    if (example->listener != NULL) {
        example->listener->tell(example->listener->context, what, done, all);
    }
    if (example->has_bar) {
        const size_t full = done * WIDE / (all > 0 ? all : 1);
        fprintf(stderr, "\r%-8s[%.*s%*s] %zu of %zu", what, (int)full,
                "##############################", (int)(WIDE - full), "", done, all);
    }
}

/* ---- files ---- */

static bool make_folder(const char *path, struct error *err)
{
    return mkdir(path, 0700) == 0 || errno == EEXIST ||
           error_set(err, ERROR_STORAGE, "%s: cannot be made: %s", path, strerror(errno));
}

/* New, or empty: nothing that is there is ever mixed with an example. */
static bool begin_folder(const char *path, struct error *err)
{
    if (!make_folder(path, err)) {
        return false;
    }
    DIR *dir = opendir(path);
    if (dir == NULL) {
        return error_set(err, ERROR_STORAGE, "%s: cannot be read as a folder: %s", path,
                         strerror(errno));
    }
    bool is_empty = true;
    for (const struct dirent *entry = readdir(dir); entry != NULL; entry = readdir(dir)) {
        is_empty =
            is_empty && (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0);
    }
    closedir(dir);
    return is_empty || error_set(err, ERROR_CONFLICT,
                                 "%s: is not empty; name a folder that is new or empty", path);
}

static bool make_ride(const struct example *example, struct arena *arena, size_t i,
                      struct error *err)
{
    const struct season_ride *ride = &example->rides[i];
    struct made *made = &example->made[i];
    struct season_files files = { 0 };
    if (!season_write(arena, ride, &files, err)) {
        return false;
    }
    *made = (struct made){ files.test_w, files.heart_max_bpm, files.n_reps, files.rep_s };
    const char *folder = arena_format(arena, "%s/rides/%s", example->folder, ride->story->folder);
    return files_write(arena_format(arena, "%s/%s", folder, files.name), files.bytes, err) &&
           (files.watch_name == NULL ||
            files_write(arena_format(arena, "%s/%s", folder, files.watch_name), files.watch_bytes,
                        err));
}

static void *make_rides(void *context)
{
    struct example *example = context;
    pthread_mutex_lock(&example->lock);
    while (example->next < example->n_rides && example->failed.kind == ERROR_NONE) {
        const size_t i = example->next++;
        draw_bar(example, "rides", i, example->n_rides);
        pthread_mutex_unlock(&example->lock);
        struct arena *arena = arena_open();
        struct error err = { 0 };
        const bool made =
            is_stopped(example) ? fail_stopped(&err) : make_ride(example, arena, i, &err);
        arena_close(arena);
        pthread_mutex_lock(&example->lock);
        if (!made && example->failed.kind == ERROR_NONE) {
            example->failed = err;
        }
    }
    pthread_mutex_unlock(&example->lock);
    return NULL;
}

static bool make_all_rides(struct example *example, struct error *err)
{
    pthread_t threads[THREADS_MOST];
    unsigned begun = 0;
    pthread_mutex_init(&example->lock, NULL);
    while (begun < example->n_threads &&
           pthread_create(&threads[begun], NULL, make_rides, example) == 0) {
        begun++;
    }
    for (unsigned i = 0; i < begun; i++) {
        pthread_join(threads[i], NULL);
    }
    pthread_mutex_destroy(&example->lock);
    if (begun == 0) {
        return error_set(err, ERROR_INTERNAL, "no thread could be started; try again");
    }
    if (example->failed.kind != ERROR_NONE) {
        *err = example->failed;
        return false;
    }
    return true;
}

static bool make_folders(struct example *example, struct error *err)
{
    if (!begin_folder(example->folder, err) ||
        !make_folder(arena_format(example->arena, "%s/rides", example->folder), err)) {
        return false;
    }
    for (size_t s = 0; s < example->n_stories; s++) {
        if (!make_folder(arena_format(example->arena, "%s/rides/%s", example->folder,
                                      simulated_stories[s].folder),
                         err)) {
            return false;
        }
    }
    return true;
}

static void plan_rides(struct example *example)
{
    size_t capacity = 0;
    example->first = ARENA_ARRAY(example->arena, size_t, example->n_stories + 1);
    for (size_t s = 0; s < example->n_stories; s++) {
        struct season_ride *rides = NULL;
        size_t n = 0;
        season_rides(example->arena, &simulated_stories[s], &rides, &n);
        example->first[s] = example->n_rides;
        for (size_t i = 0; i < n; i++) {
            example->rides = arena_grow(example->arena, example->rides, example->n_rides, &capacity,
                                        sizeof rides[0]);
            example->rides[example->n_rides++] = rides[i];
        }
    }
    example->first[example->n_stories] = example->n_rides;
    example->made = ARENA_ARRAY(example->arena, struct made, example->n_rides);
}

/* ---- the roster ---- */

static bool add_riders(const struct example *example, struct roster *roster, struct roster_now now,
                       struct error *err)
{
    int64_t first_day = 0;
    (void)dates_parse_day(SEASON_FIRST_DAY, &first_day);
    for (size_t s = 0; s < example->n_stories; s++) {
        struct example_test tests[STORY_TESTS];
        size_t n = 0;
        for (size_t i = example->first[s]; i < example->first[s + 1]; i++) {
            const bool is_efforts = example->rides[i].outing == SIMULATED_OUTING_EFFORTS;
            if ((is_efforts || !isnan(example->made[i].test_w)) && n < STORY_TESTS) {
                char day[11];
                dates_format_day(first_day + example->rides[i].day, day);
                tests[n++] = (struct example_test){ arena_string(example->arena, day),
                                                    example->made[i].test_w,
                                                    example->made[i].heart_max_bpm };
            }
        }
        if (!example_facts_add(roster, example->arena, now, s, tests, n,
                               &example->rides[example->first[s]],
                               example->first[s + 1] - example->first[s], err)) {
            return false;
        }
    }
    return true;
}

static void tell(void *context, const struct imported_file *file)
{
    draw_bar(context, "import", file->place + 1, file->n_files);
}

static bool import_rides(struct example *example, struct roster *roster, struct roster_now now,
                         struct error *err)
{
    const struct import_call call = { .roster = roster,
                                      .place = example->place,
                                      .now = now,
                                      .n_threads = example->n_threads,
                                      .stopped = is_stopped,
                                      .tell = tell,
                                      .context = example };
    const char *const paths[] = { arena_format(example->arena, "%s/rides", example->folder) };
    if (!import_paths(example->arena, &call, paths, 1, &example->sum, err)) {
        return false;
    }
    if (example->sum.was_stopped) {
        return fail_stopped(err);
    }
    return example->sum.files[IMPORT_TAKEN] == example->sum.n_listed ||
           error_set(err, ERROR_INTERNAL, "%zu of %zu files were not taken",
                     example->sum.n_listed - example->sum.files[IMPORT_TAKEN],
                     example->sum.n_listed);
}

/* ---- what was asked ---- */

/* What the coach said of them once they were there. */
static bool ask_rides(const struct example *example, struct roster *roster, struct roster_now now,
                      struct error *err)
{
    for (size_t s = 0; s < example->n_stories; s++) {
        struct example_asked *meant = ARENA_ARRAY(example->arena, struct example_asked,
                                                  example->first[s + 1] - example->first[s]);
        size_t n = 0;
        for (size_t i = example->first[s]; i < example->first[s + 1]; i++) {
            meant[n++] = (struct example_asked){ &example->rides[i], example->made[i].n_reps,
                                                 example->made[i].rep_s };
        }
        if (!example_asked_add(roster, example->arena, now, s, meant, n, err)) {
            return false;
        }
    }
    return true;
}

typedef bool add_sessions(struct roster *roster, struct arena *arena, struct roster_now now,
                          size_t story, struct error *err);

static bool plan_sessions(const struct example *example, add_sessions *add, struct roster *roster,
                          struct roster_now now, struct error *err)
{
    bool done = true;
    for (size_t s = 0; done && s < example->n_stories; s++) {
        done = add(roster, example->arena, now, s, err);
    }
    return done;
}

static void tell_rereading(void *context, size_t done, size_t all)
{
    draw_bar(context, "asked", done, all);
}

static bool read_again(struct example *example, struct roster *roster, struct roster_now now,
                       struct error *err)
{
    struct rereading_jobs jobs = { 0 };
    struct rereading_sum sum = { 0 };
    const struct rereading_call call = { .roster = roster,
                                         .place = example->place,
                                         .now = now,
                                         .n_threads = example->n_threads,
                                         .stopped = is_stopped,
                                         .tell = tell_rereading,
                                         .context = example };
    const struct usual_call usual = { roster, now, is_stopped, example };
    size_t n_held = 0;
    return rereading_look(roster, example->arena, now, &jobs, err) &&
           rereading_run(example->arena, &call, &jobs, &sum, err) &&
           (!sum.was_stopped || fail_stopped(err)) && usual_keep(&usual, &n_held, err);
}

/* What the facts of the season may have touched is looked at while there is nothing: ride by ride
 * it would be each ride several times. */
static bool look_before_rides(const struct example *example, struct roster *roster,
                              struct roster_now now, struct error *err)
{
    struct rereading_jobs none = { 0 };
    return rereading_look(roster, example->arena, now, &none, err);
}

static bool fill_roster(struct example *example, struct error *err)
{
    int64_t today = 0;
    struct roster *roster = NULL;
    (void)dates_parse_day(SEASON_TODAY, &today);
    /* Noon of its today: nothing in the example depends on when it is made. */
    const struct roster_now now = { .utc_s = 86400 * today + 43200, .who = "example" };
    const bool done = roster_open(example->place, ROSTER_CREATE, now, &roster, err) &&
                      settings_set(roster, example->arena, now, SETTING_ZONE, SEASON_ZONE, err) &&
                      settings_set(roster, example->arena, now, SETTING_TODAY, SEASON_TODAY, err) &&
                      add_riders(example, roster, now, err) &&
                      plan_sessions(example, example_sessions_past, roster, now, err) &&
                      look_before_rides(example, roster, now, err) &&
                      import_rides(example, roster, now, err) &&
                      ask_rides(example, roster, now, err) &&
                      plan_sessions(example, example_sessions_coming, roster, now, err) &&
                      read_again(example, roster, now, err);
    roster_close(roster);
    return done;
}

/* ---- what is said ---- */

static void add_words(const struct example *example, struct text *out)
{
    text_add_wrapped(
        out,
        arena_format(example->arena,
                     "%zu invented riders, %zu rides from %s to %s; today is %s there. The files "
                     "are in %s/rides, the roster is %s.",
                     example->n_stories, example->sum.rides - example->sum.same, SEASON_FIRST_DAY,
                     "2026-08-30", SEASON_TODAY, example->folder, example->place),
        0, 0, 80);
    text_add(out, "\nLook around:\n");
    static const char *const calls[] = { "rider list", "rides maren --from 2026-08-01",
                                         "bests maren --from 2026-06-01 --against before" };
    for (size_t i = 0; i < sizeof calls / sizeof calls[0]; i++) {
        text_add_format(out, "  plumbline %s \\\n    --roster %s\n", calls[i], example->place);
    }
}

static void add_json(const struct example *example, struct text *out)
{
    struct json json = json_begin(out);
    json_begin_object(&json, NULL);
    json_string(&json, "roster", example->place);
    json_string(&json, "today", SEASON_TODAY);
    json_integer(&json, "riders", (int64_t)example->n_stories);
    json_integer(&json, "files", (int64_t)example->sum.files[IMPORT_TAKEN]);
    json_integer(&json, "rides", (int64_t)(example->sum.rides - example->sum.same));
    json_end_object(&json);
    text_add(out, "\n");
}

/* ---- the call ---- */

static unsigned threads_wanted(const struct example_values *values)
{
    const long cores = sysconf(_SC_NPROCESSORS_ONLN);
    const unsigned found = cores < 1 ? 1 : (unsigned)cores;
    const unsigned wanted = values->threads > 0.0 ? (unsigned)values->threads : found;
    return wanted < THREADS_MOST ? wanted : THREADS_MOST;
}

static bool make_example(struct arena *arena, const char *folder,
                         const struct example_values *values, struct text *out, struct error *err)
{
    struct example example = {
        .arena = arena,
        .folder = folder,
        .place = arena_format(arena, "%s/example.plumbline", folder),
        .n_threads = threads_wanted(values),
        .n_stories = values->riders > 0.0 ? (size_t)values->riders : simulated_story_count,
        .has_bar = isatty(STDERR_FILENO) == 1,
    };
    plan_rides(&example);
    const bool done =
        make_folders(&example, err) && make_all_rides(&example, err) && fill_roster(&example, err);
    if (example.has_bar) {
        fprintf(stderr, "\r%*s\r", 79, "");
    }
    if (done && values->json) {
        add_json(&example, out);
    } else if (done) {
        add_words(&example, out);
    }
    return done;
}

bool example_make(struct arena *arena, const char *folder, const struct example_listener *listener,
                  struct error *err)
{
    const struct example_values values = { 0 };
    struct example example = {
        .arena = arena,
        .folder = folder,
        .place = arena_format(arena, "%s/example.plumbline", folder),
        .n_threads = threads_wanted(&values),
        .n_stories = simulated_story_count,
        .listener = listener,
    };
    plan_rides(&example);
    return make_folders(&example, err) && make_all_rides(&example, err) &&
           fill_roster(&example, err);
}

static bool do_example(struct arena *arena, int argc, char *const argv[],
                       struct example_values *values, struct text *out, struct error *err)
{
    const char **words = ARENA_ARRAY(arena, const char *, (size_t)argc + 1);
    size_t n_words = 0;
    if (!options_parse(argc, argv, options, sizeof options / sizeof options[0], values, words,
                       &n_words, err)) {
        return false;
    }
    if (values->help) {
        command_add_help(out, &command_example);
        return true;
    }
    return n_words == 1 ? make_example(arena, words[0], values, out, err)
                        : error_set(err, ERROR_USAGE, "%s; plumbline example --help",
                                    n_words == 0 ? "a word is missing" : "too many words");
}

static int example_run(int argc, char *const argv[])
{
    struct example_values values = { 0 };
    struct arena *arena = arena_open();
    struct error err = { 0 };
    struct text out = text_begin(arena, 65536);
    int status = 0;
    if (!do_example(arena, argc, argv, &values, &out, &err)) {
        status = command_fail("example", &err);
    } else {
        if (!values.json && !values.help && !plain_locale_is_utf8()) {
            out = plain_page(arena, out.bytes, 80);
        }
        status = command_print(out.bytes, out.length);
    }
    arena_close(arena);
    return status;
}

const struct command command_example = {
    .name = "example",
    .usage = "DIR [options]",
    .summary = "a roster of invented riders to try everything on",
    .about =
        "Makes fourteen invented riders with nine months of rides, as files of a head unit in "
        "DIR/rides, and takes them into a roster, DIR/example.plumbline, by the same import as "
        "any; with their last six weeks of sessions and the coming one. DIR is new or empty. The "
        "example has a today of its own, 2026-08-31, and is the "
        "same whenever and wherever it is made. It takes a minute or two; some 400 MB.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = example_run,
};
