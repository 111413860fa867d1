/* tests/faults/test_faults_disk.c: an errand on the roster, on a disk that fails at its n-th
 * operation, for every n or a seeded sample.
 *
 * After each: the file is opened again on a sound disk and is sound itself; it is, row by row, as
 * an undisturbed run had it after some number of things done, at least as many as were told as
 * done; and the errand done once more ends where the undisturbed run ended.
 *
 * PLUMBLINE_FAULTS_LONG=1 tries twenty times as many points. */
#include "check.h"

#include "faults/bad_disk.h"
#include "faults/whole_store.h"

#include "base/text.h"
#include "maths/maths.h"
#include "roster/changes.h"
#include "roster/facts.h"
#include "roster/import.h"

#include <dirent.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static const struct roster_now now = { 1773480413, "tester" };
static struct arena *arena;
static char folder[64];
static const char *place; /* what the errand works on */
static bool is_long;

enum { STATES_MOST = 80 };

struct errand {
    const char *name;
    const char *start; /* the file before; NULL = none */
    int n_steps;
    /* Does the first n_steps, each told as done in *told; false with a line when it can't. */
    bool (*work)(int n_steps, int *told, struct error *err);
    /* What is wrong with other files than the roster's; NULL = nothing, or nothing to look at. */
    const char *(*wrong)(int told);
    /* How many steps this much is, where a run says them in groups; NULL = any number. */
    int (*steps_in)(const struct store_sums *sums);
    struct store_sums *states[STATES_MOST]; /* [n_steps + 1], NULL = not looked at yet */
    long operations;
    long tried;
    long kept; /* points after which more was there than was told */
};

static const char *path_of(const char *name)
{
    return arena_format(arena, "%s/%s", folder, name);
}

static void must(bool done, const struct error *err)
{
    check_text("error", done ? "" : err->message, "");
}

/* ---- files ---- */

static void copy_file(const char *from, const char *to)
{
    struct arena *own = arena_open();
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    must(files_read(own, from, 100000000, &bytes, &err), &err);
    FILE *out = fopen(to, "wb");
    check(out != NULL && fwrite(bytes.at, 1, bytes.size, out) == bytes.size && fclose(out) == 0);
    arena_close(own);
}

/* Everything that begins with the place's name. */
static void clear_place(void)
{
    DIR *open = opendir(folder);
    check(open != NULL);
    const char *base = strrchr(place, '/') + 1;
    for (const struct dirent *entry = readdir(open); entry != NULL; entry = readdir(open)) {
        if (strncmp(entry->d_name, base, strlen(base)) == 0) {
            char path[400];
            snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
            check(unlink(path) == 0);
        }
    }
    closedir(open);
}

static void begin_place(const struct errand *errand)
{
    clear_place();
    if (errand->start != NULL) {
        copy_file(errand->start, place);
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
static const char *unsound(const char *path)
{
    struct db *db = NULL;
    struct error err = { 0 };
    const char *problem = NULL;
    if (access(path, F_OK) != 0) {
        return NULL;
    }
    if (!db_open(path, &db, &err)) {
        return arena_string(arena, err.message);
    }
    if (!db_check(db, arena, &problem, &err)) {
        problem = arena_string(arena, err.message);
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
    const char *problem = unsound(place);
    if (problem != NULL) {
        say(errand, how, at, seed, problem);
    }
    store_sums_of(place, &sums);
    learn(errand, 0);
    const char *table = store_difference(errand->states[0], &sums);
    const int k = state_of(errand, &sums);
    if (k < told || (done && k < errand->n_steps)) {
        say(errand, how, at, seed,
            k < 0 ? arena_format(arena, "half: %s is neither as before nor as after", table)
                  : arena_format(arena, "%d told as done, %d there", told, k));
    }
    if (!done && k > told && strstr(err.message, "nothing was changed") != NULL) {
        say(errand, how, at, seed, arena_format(arena, "changed, but said: %s", err.message));
    }
    errand->kept += k > told ? 1 : 0;
    problem = errand->wrong == NULL ? NULL : errand->wrong(told);
    if (problem != NULL) {
        say(errand, how, at, seed, problem);
    }
    err = (struct error){ 0 };
    bad_disk_set(BAD_NOTHING, 0, 0);
    if (!errand->work(errand->n_steps, &told, &err)) {
        say(errand, how, at, seed, arena_format(arena, "then: %s", err.message));
    }
    bad_disk_cut();
    store_sums_of(place, &sums);
    table = store_difference(errand->states[errand->n_steps], &sums);
    if (table != NULL) {
        say(errand, how, at, seed, arena_format(arena, "then %s differs", table));
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
    begin_place(errand);
    bad_disk_set(BAD_NOTHING, 0, 0);
    if (k > 0) {
        must(errand->work(k, &told, &err), &err);
        check_integer("told", told, k);
    }
    errand->operations = k == errand->n_steps ? bad_disk_count() : errand->operations;
    bad_disk_cut();
    errand->states[k] = calloc(1, sizeof *errand->states[k]);
    check(errand->states[k] != NULL);
    store_sums_of(place, errand->states[k]);
    check(k == 0 || errand->wrong == NULL || errand->wrong(told) == NULL);
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

/* Every operation, every way to fail; more seeds for a disk that forgets. */
static void try_all(struct errand *errand)
{
    learn(errand, errand->n_steps);
    const uint64_t seeds = is_long ? 20 : 2;
    for (long at = 1; at <= errand->operations; at++) {
        for (int how = BAD_STOP; how < BAD_HOWS; how++) {
            const uint64_t n = how == BAD_TORN || how == BAD_STOP ? seeds : 1;
            for (uint64_t seed = 1; seed <= n; seed++) {
                struct arena *whole = arena;
                arena = arena_open();
                try_point(errand, (enum bad_how)how, at, seed * 1000 + (uint64_t)at);
                arena_close(arena);
                arena = whole;
            }
        }
    }
    report(errand, "all");
    forget_states(errand);
}

/* So many points, spread over operations and ways by a seed. */
static void try_some(struct errand *errand, long n)
{
    learn(errand, errand->n_steps);
    uint32_t seed = 20260314;
    for (long i = 0; i < (is_long ? 20 * n : n); i++) {
        seed = seed * 1664525U + 1013904223U;
        const long at = 1 + (long)((seed >> 8) % (uint32_t)errand->operations);
        struct arena *whole = arena;
        arena = arena_open();
        try_point(errand, (enum bad_how)(BAD_STOP + i % 4), at, seed);
        arena_close(arena);
        arena = whole;
    }
    report(errand, "a seeded sample");
    forget_states(errand);
}

/* ---- errands ---- */

static void use_roster(enum roster_how how, struct roster **roster, struct error *err, bool *done)
{
    *done = roster_open(place, how, now, roster, err);
}

static bool make_roster(int n_steps, int *told, struct error *err)
{
    struct roster *roster = NULL;
    struct rider rider = { .name = "Ada Berg", .zone_name = "Europe/Berlin" };
    struct rider found = { 0 };
    struct error none = { 0 };
    bool done = false;
    use_roster(ROSTER_CREATE, &roster, err, &done);
    *told = done ? 1 : 0;
    if (done && n_steps > 1 && !riders_find(roster, arena, "Ada", &found, &none)) {
        done = riders_add(roster, arena, now, &rider, err);
    }
    *told += done && n_steps > 1 ? 1 : 0;
    roster_close(roster);
    return done;
}

static const struct {
    enum fact_kind kind;
    const char *day;
    double value;
} edits[] = {
    { FACT_THRESHOLD, "2026-02-01", 240 },
    { FACT_WEIGHT, "2026-02-03", 61.5 },
    { FACT_THRESHOLD, "2026-02-04", 251 },
    { FACT_MAX_HEART_RATE, "2026-02-05", 189 },
};

static bool is_set(struct roster *roster, const struct rider *rider, int i, bool *out,
                   struct error *err)
{
    struct fact *facts = NULL;
    size_t count = 0;
    if (!facts_list(roster, arena, rider->id, edits[i].kind, NULL, &facts, &count, err)) {
        return false;
    }
    *out = false;
    for (size_t f = 0; f < count; f++) {
        *out =
            *out || (strcmp(facts[f].day, edits[i].day) == 0 && facts[f].value == edits[i].value);
    }
    return true;
}

/* Edits in words, each its own transaction; what is there already is not done again. */
static bool edit_facts(int n_steps, int *told, struct error *err)
{
    struct roster *roster = NULL;
    struct rider ada = { 0 };
    bool done = false;
    *told = 0;
    use_roster(ROSTER_OPEN, &roster, err, &done);
    done = done && riders_find(roster, arena, "Ada", &ada, err);
    for (int i = 0; done && i < n_steps; i++) {
        bool is_known = false;
        struct fact fact = {
            .day = edits[i].day, .value = edits[i].value, .low = (double)NAN, .high = (double)NAN
        };
        done = is_set(roster, &ada, i, &is_known, err) &&
               (is_known || facts_set(roster, arena, now, &ada, edits[i].kind, &fact, err));
        *told += done ? 1 : 0;
    }
    roster_close(roster);
    return done;
}

static const char *rides[STATES_MOST];
static unsigned threads = 1;

static void count_told(void *context, const struct imported_file *file)
{
    int *told = context;
    *told += 1;
    (void)file;
}

static bool import_rides(int n_steps, int *told, struct error *err)
{
    struct roster *roster = NULL;
    struct rider ada = { 0 };
    struct import_sum sum = { 0 };
    bool done = false;
    *told = 0;
    use_roster(ROSTER_OPEN, &roster, err, &done);
    done = done && riders_find(roster, arena, "Ada", &ada, err);
    if (done) {
        const struct import_call call = { .roster = roster,
                                          .place = place,
                                          .now = now,
                                          .rider = &ada,
                                          .n_threads = threads,
                                          .tell = count_told,
                                          .context = told };
        done = import_paths(arena, &call, rides, (size_t)n_steps, &sum, err);
    }
    roster_close(roster);
    return done;
}

static int64_t rows_of(const struct store_sums *sums, const char *table)
{
    for (size_t i = 0; i < sums->count; i++) {
        if (strcmp(sums->tables[i].name, table) == 0) {
            return sums->tables[i].rows;
        }
    }
    return 0;
}

static int files_in(const struct store_sums *sums)
{
    return (int)(rows_of(sums, "original") + rows_of(sums, "failed_file"));
}

static const char *const second[] = {
    "CREATE TABLE later (id {ID}, words {TEXT} NOT NULL) {STRICT}",
    "INSERT INTO later (words) SELECT name FROM rider",
    "UPDATE rider SET note = 'moved'",
    NULL,
};

static bool migrate(int n_steps, int *told, struct error *err)
{
    const struct migration two[] = { schema_migrations.items[0], { second } };
    const struct migrations newer = { two, 2 };
    struct schema_done schema = { 0 };
    struct db *db = NULL;
    const bool done =
        db_open(place, &db, err) && schema_open(db, &newer, false, now.utc_s + *told, &schema, err);
    *told = done ? n_steps : 0;
    db_close(db);
    return done;
}

static struct store_sums older; /* the store before it was migrated, or the one that is backed up */

/* Copies before a migration: whole, and one there once the store is new. */
static const char *wrong_copies(int told)
{
    const char *base = strrchr(place, '/') + 1;
    const char *start = arena_format(arena, "%s.before-schema-", base);
    const char *problem = NULL;
    int copies = 0;
    DIR *open = opendir(folder);
    check(open != NULL);
    for (const struct dirent *entry = readdir(open); entry != NULL; entry = readdir(open)) {
        const size_t length = strlen(entry->d_name);
        if (strncmp(entry->d_name, start, strlen(start)) != 0 || entry->d_name[length - 1] != 'Z') {
            continue;
        }
        struct store_sums sums;
        copies++;
        const char *path = path_of(entry->d_name);
        problem = problem != NULL ? problem : unsound(path);
        store_sums_of(path, &sums);
        if (problem == NULL && store_difference(&older, &sums) != NULL) {
            problem = "the copy is not the store before";
        }
    }
    closedir(open);
    struct store_sums sums;
    store_sums_of(place, &sums);
    const bool is_new = store_difference(&older, &sums) != NULL;
    return problem != NULL                       ? problem
           : (told > 0 || is_new) && copies == 0 ? "migrated without a copy"
                                                 : NULL;
}

static bool back_up(int n_steps, int *told, struct error *err)
{
    struct roster *roster = NULL;
    bool done = false;
    use_roster(ROSTER_OPEN, &roster, err, &done);
    done = done && db_copy_to(roster_db(roster), arena_format(arena, "%s.copy", place), err);
    *told = done ? n_steps : 0;
    roster_close(roster);
    return done;
}

static const char *wrong_backup(int told)
{
    const char *copy = arena_format(arena, "%s.copy", place);
    struct store_sums sums;
    const char *problem = unsound(copy);
    if (problem != NULL) {
        return problem;
    }
    store_sums_of(copy, &sums);
    if (sums.count == 0 && access(copy, F_OK) != 0) {
        return told > 0 ? "told as copied, and no copy" : NULL;
    }
    return store_difference(&older, &sums) != NULL ? "half a copy" : NULL;
}

/* ---- what they begin with ---- */

static void write_ride(const char *path, int day, int hour, int seconds, int watts)
{
    struct text out = text_begin(arena, 1000000);
    struct error err = { 0 };
    text_add(&out, "time,power,heart_rate,cadence\n");
    uint32_t seed = (uint32_t)(watts * 100 + day);
    for (int i = 0; i < seconds; i++) {
        seed = seed * 1664525U + 1013904223U;
        text_add_format(&out, "2026-02-%02dT%02d:%02d:%02dZ,%d,%d,%d\n", day, hour, i / 60, i % 60,
                        watts + (int)(seed >> 27), 130 + i / 60, 88);
    }
    must(files_write(path, (struct bytes){ (const uint8_t *)out.bytes, out.length }, &err), &err);
}

/* Rides, the same ride by another device, and now and then a file that is none: more than share a
 * transaction. */
enum { RIDES = IMPORT_FILES_MOST + 12 };

static void write_rides(void)
{
    struct error err = { 0 };
    for (int i = 0; i < RIDES; i++) {
        rides[i] = path_of(arena_format(arena, "ride-%02d.csv", i));
        if (i % 20 == 5) {
            const char *words = arena_format(arena, "bring %d pumps", i);
            must(files_write(rides[i], (struct bytes){ (const uint8_t *)words, strlen(words) },
                             &err),
                 &err);
        } else {
            const int ride = i % 4 == 3 ? i - 1 : i;
            write_ride(rides[i], 1 + ride / 3, 6 + ride % 3 * 4, i % 4 == 3 ? 100 : 60 + i,
                       150 + i);
        }
    }
}

static const char *start_with_rider(void)
{
    struct error err = { 0 };
    int told = 0;
    const char *work_place = place;
    place = path_of("start.plumbline");
    must(make_roster(2, &told, &err), &err);
    must(edit_facts(1, &told, &err), &err);
    const char *start = place;
    place = work_place;
    return start;
}

static int begin(void **state)
{
    (void)state;
    arena = arena_open();
    /* In memory where there is such a place: the bad disk is played, not the real one. */
    snprintf(folder, sizeof folder, "%s/pl-disk.XXXXXX",
             access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    check(mkdtemp(folder) != NULL);
    place = path_of("work.plumbline");
    write_rides();
    return 0;
}

static int end(void **state)
{
    (void)state;
    const int status = system(arena_format(arena, "rm -rf %s", folder));
    arena_close(arena);
    return status;
}

/* ---- the tests ---- */

static struct errand errand;

static void test_disk__a_roster_is_made_wholly_or_not_at_all(void **state)
{
    (void)state;
    errand = (struct errand){ .name = "making a roster", .n_steps = 2, .work = make_roster };
    try_some(&errand, 150);
}

static void test_disk__an_edit_told_as_done_is_there(void **state)
{
    (void)state;
    errand = (struct errand){
        .name = "edits", .start = start_with_rider(), .n_steps = 4, .work = edit_facts
    };
    try_some(&errand, 200);
}

static void test_disk__one_file_is_taken_wholly_or_not_at_all(void **state)
{
    (void)state;
    threads = 1;
    errand = (struct errand){ .name = "import of one file",
                              .start = start_with_rider(),
                              .n_steps = 1,
                              .work = import_rides };
    try_all(&errand);
}

static void test_disk__a_longer_import_keeps_what_it_told(void **state)
{
    (void)state;
    threads = 2;
    errand = (struct errand){ .name = "import of many files",
                              .start = start_with_rider(),
                              .n_steps = RIDES,
                              .work = import_rides,
                              .steps_in = files_in };
    try_some(&errand, 40);
}

static void test_disk__a_migration_is_wholly_there_after_a_copy(void **state)
{
    (void)state;
    errand = (struct errand){ .name = "migration",
                              .start = start_with_rider(),
                              .n_steps = 1,
                              .work = migrate,
                              .wrong = wrong_copies };
    store_sums_of(errand.start, &older);
    try_some(&errand, 150);
}

static void test_disk__a_backup_is_whole_or_not_there(void **state)
{
    (void)state;
    int told = 0;
    struct error err = { 0 };
    const char *start = start_with_rider();
    const char *work_place = place;
    place = start;
    threads = 1;
    must(import_rides(3, &told, &err), &err);
    place = work_place;
    errand = (struct errand){
        .name = "backup", .start = start, .n_steps = 1, .work = back_up, .wrong = wrong_backup
    };
    store_sums_of(start, &older);
    try_some(&errand, 100);
}

int main(void)
{
    maths_begin();
    bad_disk_begin();
    is_long = getenv("PLUMBLINE_FAULTS_LONG") != NULL;
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(test_disk__a_roster_is_made_wholly_or_not_at_all),
        TEST(test_disk__an_edit_told_as_done_is_there),
        TEST(test_disk__one_file_is_taken_wholly_or_not_at_all),
        TEST(test_disk__a_longer_import_keeps_what_it_told),
        TEST(test_disk__a_migration_is_wholly_there_after_a_copy),
        TEST(test_disk__a_backup_is_whole_or_not_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
