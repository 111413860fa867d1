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
#include "faults/points.h"

#include "base/text.h"
#include "maths/maths.h"
#include "roster/changes.h"
#include "roster/facts.h"
#include "roster/import.h"
#include "roster/rereading.h"
#include "roster/usual.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const struct roster_now now = { 1773480413, "tester" };

/* ---- errands ---- */

static void use_roster(enum roster_how how, struct roster **roster, struct error *err, bool *done)
{
    *done = roster_open(points.place, how, now, roster, err);
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
    if (done && n_steps > 1 && !riders_find(roster, points.arena, "Ada", &found, &none)) {
        done = riders_add(roster, points.arena, now, &rider, err);
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
    if (!facts_list(roster, points.arena, rider->id, edits[i].kind, NULL, &facts, &count, err)) {
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
    done = done && riders_find(roster, points.arena, "Ada", &ada, err);
    for (int i = 0; done && i < n_steps; i++) {
        bool is_known = false;
        struct fact fact = {
            .day = edits[i].day, .value = edits[i].value, .low = (double)NAN, .high = (double)NAN
        };
        done = is_set(roster, &ada, i, &is_known, err) &&
               (is_known || facts_set(roster, points.arena, now, &ada, edits[i].kind, &fact, err));
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
    done = done && riders_find(roster, points.arena, "Ada", &ada, err);
    if (done) {
        const struct import_call call = { .roster = roster,
                                          .place = points.place,
                                          .now = now,
                                          .rider = &ada,
                                          .n_threads = threads,
                                          .tell = count_told,
                                          .context = told };
        done = import_paths(points.arena, &call, rides, (size_t)n_steps, &sum, err);
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

/* A threshold that makes the readings of all rides old, and their reading again. */
static bool read_again(int n_steps, int *told, struct error *err)
{
    struct roster *roster = NULL;
    struct rider ada = { 0 };
    struct rereading_jobs jobs = { 0 };
    struct rereading_sum sum = { 0 };
    bool is_known = false;
    bool done = false;
    struct fact fact = {
        .day = edits[2].day, .value = edits[2].value, .low = (double)NAN, .high = (double)NAN
    };
    *told = 0;
    use_roster(ROSTER_OPEN, &roster, err, &done);
    done = done && riders_find(roster, points.arena, "Ada", &ada, err) &&
           is_set(roster, &ada, 2, &is_known, err) &&
           (is_known || facts_set(roster, points.arena, now, &ada, edits[2].kind, &fact, err));
    *told = done ? 1 : 0;
    /* What a dead program was at is anyone's after ten minutes. */
    done = done &&
           db_run(roster_db(roster), "UPDATE job SET lease_until_utc_s = 0", DB_NONE, err) &&
           (n_steps < 2 || (rereading_look(roster, points.arena, now, &jobs, err) &&
                            rereading_waiting(roster, points.arena, true, &jobs, err)));
    if (done && n_steps > 1) {
        const struct rereading_call call = {
            .roster = roster, .place = points.place, .now = now, .n_threads = 1
        };
        done = rereading_run(points.arena, &call, &jobs, &sum, err);
        /* A ride that the disk kept from being read is a job that failed. */
        if (done && sum.failed > 0) {
            done = error_set(err, ERROR_STORAGE, "%s", sum.first_error);
        }
        const struct usual_call usual = { .roster = roster, .now = now };
        size_t n_held = 0;
        done = done && usual_keep(&usual, &n_held, err);
    }
    *told += done && n_steps > 1 ? 1 : 0;
    roster_close(roster);
    return done;
}

static int steps_of_reading_again(const struct store_sums *sums)
{
    const int64_t thresholds = rows_of(sums, "threshold");
    return thresholds == 1 ? 0 : rows_of(sums, "job") > 0 ? -1 : 2;
}

static const char *wrong_readings(int told)
{
    struct store_sums sums;
    store_sums_of(points.place, &sums);
    return told > 0 && rows_of(&sums, "threshold") != 2 ? "a threshold told as set is gone" : NULL;
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
    const bool done = db_open(points.place, &db, err) &&
                      schema_open(db, &newer, false, now.utc_s + *told, &schema, err);
    *told = done ? n_steps : 0;
    db_close(db);
    return done;
}

static struct store_sums older; /* the store before it was migrated, or the one that is backed up */

/* Copies before a migration: whole, and one there once the store is new. */
static const char *wrong_copies(int told)
{
    const char *base = strrchr(points.place, '/') + 1;
    const char *start = arena_format(points.arena, "%s.before-schema-", base);
    const char *problem = NULL;
    int copies = 0;
    DIR *open = opendir(points.folder);
    check(open != NULL);
    for (const struct dirent *entry = readdir(open); entry != NULL; entry = readdir(open)) {
        const size_t length = strlen(entry->d_name);
        if (strncmp(entry->d_name, start, strlen(start)) != 0 || entry->d_name[length - 1] != 'Z') {
            continue;
        }
        struct store_sums sums;
        copies++;
        const char *path = points_path(entry->d_name);
        problem = problem != NULL ? problem : points_unsound(path);
        store_sums_of(path, &sums);
        if (problem == NULL && store_difference(&older, &sums) != NULL) {
            problem = "the copy is not the store before";
        }
    }
    closedir(open);
    struct store_sums sums;
    store_sums_of(points.place, &sums);
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
    done = done &&
           db_copy_to(roster_db(roster), arena_format(points.arena, "%s.copy", points.place), err);
    *told = done ? n_steps : 0;
    roster_close(roster);
    return done;
}

static const char *wrong_backup(int told)
{
    const char *copy = arena_format(points.arena, "%s.copy", points.place);
    struct store_sums sums;
    const char *problem = points_unsound(copy);
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
    struct text out = text_begin(points.arena, 1000000);
    struct error err = { 0 };
    text_add(&out, "time,power,heart_rate,cadence\n");
    uint32_t seed = (uint32_t)(watts * 100 + day);
    for (int i = 0; i < seconds; i++) {
        seed = seed * 1664525U + 1013904223U;
        text_add_format(&out, "2026-02-%02dT%02d:%02d:%02dZ,%d,%d,%d\n", day, hour, i / 60, i % 60,
                        watts + (int)(seed >> 27), 130 + i / 60, 88);
    }
    points_must(files_write(path, (struct bytes){ (const uint8_t *)out.bytes, out.length }, &err),
                &err);
}

/* Rides, the same ride by another device, and now and then a file that is none: more than share a
 * transaction. */
enum { RIDES = IMPORT_FILES_MOST + 12 };

static void write_rides(void)
{
    struct error err = { 0 };
    for (int i = 0; i < RIDES; i++) {
        rides[i] = points_path(arena_format(points.arena, "ride-%02d.csv", i));
        if (i % 20 == 5) {
            const char *words = arena_format(points.arena, "bring %d pumps", i);
            points_must(files_write(rides[i],
                                    (struct bytes){ (const uint8_t *)words, strlen(words) }, &err),
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
    const char *work_place = points.place;
    points.place = points_path("start.plumbline");
    points_must(make_roster(2, &told, &err), &err);
    points_must(edit_facts(1, &told, &err), &err);
    const char *start = points.place;
    points.place = work_place;
    return start;
}

static int begin(void **state)
{
    (void)state;
    points_begin();
    write_rides();
    return 0;
}

static int end(void **state)
{
    (void)state;
    return points_end();
}

/* ---- the tests ---- */

static struct errand errand;

static void test_disk__a_roster_is_made_wholly_or_not_at_all(void **state)
{
    (void)state;
    errand = (struct errand){ .name = "making a roster", .n_steps = 2, .work = make_roster };
    points_try_some(&errand, 100);
}

/* SQLite syncs the folder that the file lies in; those on the way are ours. */
static void test_disk__folders_made_for_a_roster_are_durable(void **state)
{
    (void)state;
    struct roster *roster = NULL;
    struct error err = { 0 };
    bad_disk_set(BAD_NOTHING, 0, 0);
    check(mkdir(points_path("by-hand"), 0700) == 0);
    check_integer("a folder that nobody syncs", bad_disk_lost_folders(), 1);
    bad_disk_set(BAD_NOTHING, 0, 0);
    points_must(
        roster_open(points_path("new/folder/r.plumbline"), ROSTER_CREATE, now, &roster, &err),
        &err);
    check_integer("those of a roster", bad_disk_lost_folders(), 0);
    roster_close(roster);
    bad_disk_cut();
}

static void test_disk__an_edit_told_as_done_is_there(void **state)
{
    (void)state;
    errand = (struct errand){
        .name = "edits", .start = start_with_rider(), .n_steps = 4, .work = edit_facts
    };
    points_try_some(&errand, 120);
}

static void test_disk__one_file_is_taken_wholly_or_not_at_all(void **state)
{
    (void)state;
    threads = 1;
    errand = (struct errand){ .name = "import of one file",
                              .start = start_with_rider(),
                              .n_steps = 1,
                              .work = import_rides };
    points_try_all(&errand);
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
    points_try_some(&errand, 40);
}

static void test_disk__readings_made_old_are_all_read_again(void **state)
{
    (void)state;
    int told = 0;
    struct error err = { 0 };
    const char *start = start_with_rider();
    const char *work_place = points.place;
    threads = 1;
    points.place = start;
    points_must(import_rides(8, &told, &err), &err);
    points.place = work_place;
    errand = (struct errand){ .name = "reading again",
                              .start = start,
                              .n_steps = 2,
                              .work = read_again,
                              .wrong = wrong_readings,
                              .steps_in = steps_of_reading_again };
    points_try_some(&errand, 100);
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
    points_try_some(&errand, 100);
}

static void test_disk__a_backup_is_whole_or_not_there(void **state)
{
    (void)state;
    int told = 0;
    struct error err = { 0 };
    const char *start = start_with_rider();
    const char *work_place = points.place;
    points.place = start;
    threads = 1;
    points_must(import_rides(3, &told, &err), &err);
    points.place = work_place;
    errand = (struct errand){
        .name = "backup", .start = start, .n_steps = 1, .work = back_up, .wrong = wrong_backup
    };
    store_sums_of(start, &older);
    points_try_some(&errand, 100);
}

int main(int argc, char *argv[])
{
    maths_begin();
    bad_disk_begin();
    if (argc > 1) {
        cmocka_set_test_filter(argv[1]); /* "*backup*" */
    }
    points.is_long = getenv("PLUMBLINE_FAULTS_LONG") != NULL;
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(test_disk__a_roster_is_made_wholly_or_not_at_all),
        TEST(test_disk__folders_made_for_a_roster_are_durable),
        TEST(test_disk__an_edit_told_as_done_is_there),
        TEST(test_disk__one_file_is_taken_wholly_or_not_at_all),
        TEST(test_disk__a_longer_import_keeps_what_it_told),
        TEST(test_disk__readings_made_old_are_all_read_again),
        TEST(test_disk__a_migration_is_wholly_there_after_a_copy),
        TEST(test_disk__a_backup_is_whole_or_not_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
