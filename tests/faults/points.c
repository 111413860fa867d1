/* tests/faults/points.c: one errand on the roster, tried at operations of a disk that fails. */
#include "faults/points.h"

#include "check.h"

#include "faults/bad_disk.h"
#include "roster/db.h"

#include <dirent.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

struct points points;

const char *points_path(const char *name)
{
    return arena_format(points.arena, "%s/%s", points.folder, name);
}

void points_must(bool done, const struct error *err)
{
    check_text("error", done ? "" : err->message, "");
}

void points_begin(void)
{
    points.arena = arena_open();
    /* In memory where there is such a place: the bad disk is played, not the real one. */
    snprintf(points.folder, sizeof points.folder, "%s/pl-disk.XXXXXX",
             access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    check(mkdtemp(points.folder) != NULL);
    points.place = points_path("work.plumbline");
}

int points_end(void)
{
    const int status = system(arena_format(points.arena, "rm -rf %s", points.folder));
    arena_close(points.arena);
    return status;
}

/* ---- files ---- */

static void copy_file(const char *from, const char *to)
{
    struct arena *own = arena_open();
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    points_must(files_read(own, from, 100000000, &bytes, &err), &err);
    FILE *out = fopen(to, "wb");
    check(out != NULL && fwrite(bytes.at, 1, bytes.size, out) == bytes.size && fclose(out) == 0);
    arena_close(own);
}

/* Everything that begins with the place's name. */
static void clear_place(void)
{
    DIR *open = opendir(points.folder);
    check(open != NULL);
    const char *base = strrchr(points.place, '/') + 1;
    for (const struct dirent *entry = readdir(open); entry != NULL; entry = readdir(open)) {
        if (strncmp(entry->d_name, base, strlen(base)) == 0) {
            char path[400];
            snprintf(path, sizeof path, "%s/%s", points.folder, entry->d_name);
            check(unlink(path) == 0);
        }
    }
    closedir(open);
}

static void begin_place(const struct errand *errand)
{
    clear_place();
    if (errand->start != NULL) {
        copy_file(errand->start, points.place);
    }
}

/* ---- one point ---- */

static void say(const struct errand *errand, enum bad_how how, long at, uint64_t seed,
                const char *what)
{
    print_error("# %s: the disk %s at %ld of %ld, seed %llu: %s\n", errand->name,
                bad_disk_name(how), at, errand->operations, (unsigned long long)seed, what);
    check(false);
}

/* The file is sound, by the store's own words; NULL, or what isn't. */
const char *points_unsound(const char *path)
{
    struct db *db = NULL;
    struct error err = { 0 };
    const char *problem = NULL;
    if (access(path, F_OK) != 0) {
        return NULL;
    }
    if (!db_open(path, &db, &err)) {
        return arena_string(points.arena, err.message);
    }
    if (!db_check(db, points.arena, &problem, &err)) {
        problem = arena_string(points.arena, err.message);
    }
    db_close(db);
    return problem;
}

static void learn(struct errand *errand, int k);

static int state_of(struct errand *errand, const struct store_sums *sums)
{
    const int most = errand->steps_in == NULL ? errand->n_steps : errand->steps_in(sums);
    const int least = errand->steps_in == NULL ? 0 : most;
    for (int k = most; k >= least; k--) {
        learn(errand, k);
        if (store_difference(errand->states[k], sums) == NULL) {
            return k;
        }
    }
    return -1;
}

static void try_point(struct errand *errand, enum bad_how how, long at, uint64_t seed)
{
    struct error err = { 0 };
    struct store_sums sums;
    int told = 0;
    begin_place(errand);
    bad_disk_set(how, at, seed);
    const bool done = errand->work(errand->n_steps, &told, &err);
    bad_disk_cut();
    errand->tried++;
    if (!done && (err.kind == ERROR_NONE || err.message[0] == '\0')) {
        say(errand, how, at, seed, "failed without a line");
    }
    const char *problem = points_unsound(points.place);
    if (problem != NULL) {
        say(errand, how, at, seed, problem);
    }
    store_sums_of(points.place, &sums);
    learn(errand, 0);
    const char *table = store_difference(errand->states[0], &sums);
    const bool is_between = errand->steps_in != NULL && errand->steps_in(&sums) < 0;
    const int k = is_between ? told : state_of(errand, &sums);
    if (k < told || (done && k < errand->n_steps)) {
        say(errand, how, at, seed,
            k < 0 ? arena_format(points.arena, "half: %s is neither as before nor as after", table)
                  : arena_format(points.arena, "%d told as done, %d there", told, k));
    }
    if (!done && k > told && errand->steps_in == NULL &&
        strstr(err.message, "is not kept") != NULL) {
        say(errand, how, at, seed, arena_format(points.arena, "kept, but said: %s", err.message));
    }
    errand->kept += k > told ? 1 : 0;
    problem = errand->wrong == NULL ? NULL : errand->wrong(told);
    if (problem != NULL) {
        say(errand, how, at, seed, problem);
    }
    err = (struct error){ 0 };
    bad_disk_set(BAD_NOTHING, 0, 0);
    if (!errand->work(errand->n_steps, &told, &err)) {
        say(errand, how, at, seed, arena_format(points.arena, "then: %s", err.message));
    }
    bad_disk_cut();
    store_sums_of(points.place, &sums);
    table = store_difference(errand->states[errand->n_steps], &sums);
    if (table != NULL) {
        say(errand, how, at, seed, arena_format(points.arena, "then %s differs", table));
    }
    problem = errand->wrong == NULL ? NULL : errand->wrong(told);
    if (problem != NULL) {
        say(errand, how, at, seed, problem);
    }
}

/* ---- all points ---- */

/* The undisturbed run: what is there after k steps, and how many operations they take. */
static void learn(struct errand *errand, int k)
{
    struct error err = { 0 };
    int told = 0;
    if (errand->states[k] != NULL) {
        return;
    }
    const char *tried = points.place; /* stays as it is */
    points.place = points_path("undisturbed.plumbline");
    begin_place(errand);
    bad_disk_set(BAD_NOTHING, 0, 0);
    if (k > 0) {
        points_must(errand->work(k, &told, &err), &err);
        check_integer("told", told, k);
    }
    errand->operations = k == errand->n_steps ? bad_disk_count() : errand->operations;
    bad_disk_cut();
    errand->states[k] = calloc(1, sizeof *errand->states[k]);
    check(errand->states[k] != NULL);
    store_sums_of(points.place, errand->states[k]);
    check(k == 0 || errand->wrong == NULL || errand->wrong(told) == NULL);
    points.place = tried;
}

static void forget_states(struct errand *errand)
{
    for (int k = 0; k <= errand->n_steps; k++) {
        free(errand->states[k]);
        errand->states[k] = NULL;
    }
}

static void report(const struct errand *errand, const char *which)
{
    printf("# note: %s: %ld operations, %ld points tried (%s); at %ld more was kept than told\n",
           errand->name, errand->operations, errand->tried, which, errand->kept);
}

/* A point of its own arena. */
static void try_alone(struct errand *errand, enum bad_how how, long at, uint64_t seed)
{
    struct arena *whole = points.arena;
    points.arena = arena_open();
    try_point(errand, how, at, seed);
    arena_close(points.arena);
    points.arena = whole;
}

/* The power goes when all is done and told. */
static void try_after(struct errand *errand)
{
    for (uint64_t seed = 1; seed <= 10; seed++) {
        try_alone(errand, BAD_TORN, errand->operations + 1000, seed);
    }
}

/* Every operation, every way to fail; more seeds for a disk that forgets. */
void points_try_all(struct errand *errand)
{
    learn(errand, errand->n_steps);
    const uint64_t seeds = points.is_long ? 20 : 2;
    for (long at = 1; at <= errand->operations; at++) {
        for (int how = BAD_STOP; how < BAD_HOWS; how++) {
            const uint64_t n = how == BAD_TORN || how == BAD_STOP ? seeds : 1;
            for (uint64_t seed = 1; seed <= n; seed++) {
                try_alone(errand, (enum bad_how)how, at, seed * 1000 + (uint64_t)at);
            }
        }
    }
    try_after(errand);
    report(errand, "all");
    forget_states(errand);
}

/* So many points, spread over operations and ways by a seed. */
void points_try_some(struct errand *errand, long n)
{
    learn(errand, errand->n_steps);
    uint32_t seed = 20260314;
    for (long i = 0; i < (points.is_long ? 20 * n : n); i++) {
        seed = seed * 1664525U + 1013904223U;
        const long at = 1 + (long)((seed >> 8) % (uint32_t)errand->operations);
        try_alone(errand, (enum bad_how)(BAD_STOP + i % 4), at, seed);
    }
    try_after(errand);
    report(errand, "a seeded sample");
    forget_states(errand);
}
