/* tests/faults/test_store_server.c: the server goes away in the middle of an import: one line, and
 * nothing half.  On a file there is no server to lose: tests/faults/test_faults_disk.c has its
 * bad days. */
#include "roster/store.h"

#include "base/text.h"
#include "maths/maths.h"
#include "roster/import.h"

#include <pthread.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

enum { RIDES = 24 };

static struct arena *arena;
static const struct roster_now now = { 1773480413, "tester" };

static const char *write_rides(void)
{
    const char *folder = store_path("rides");
    struct error err = { 0 };
    check(mkdir(folder, 0700) == 0);
    for (int i = 0; i < RIDES; i++) {
        struct text out = text_begin(arena, 1000000);
        text_add(&out, "time,power,heart_rate\n");
        for (int s = 0; s < 120 + i; s++) {
            text_add_format(&out, "2026-02-%02dT08:%02d:%02dZ,%d,130\n", 1 + i, s / 60, s % 60,
                            150 + (s * 7 + i) % 40);
        }
        must(files_write(arena_format(arena, "%s/%02d.csv", folder, i),
                         (struct bytes){ (const uint8_t *)out.bytes, out.length }, &err),
             &err);
    }
    return folder;
}

struct cut {
    const char *place;
    long after_ms;
    bool was_cut;
};

/* Ends every other connection to the same database, as a server that is stopped does. */
static void *cut_connections(void *context)
{
    struct cut *cut = context;
    struct arena *own = arena_open();
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    struct db *db = NULL;
    nanosleep(&(struct timespec){ .tv_nsec = cut->after_ms * 1000000L }, NULL);
    cut->was_cut = db_open(cut->place, &db, &err) &&
                   db_query(db, own,
                            "SELECT COUNT(*) FROM (SELECT pg_terminate_backend(pid) AS gone FROM "
                            "pg_stat_activity WHERE datname = current_database() AND pid <> "
                            "pg_backend_pid()) ended WHERE gone",
                            "i", DB_NONE, &rows, &err) &&
                   db_integer_at(&rows, 0, 0) > 0;
    db_close(db);
    arena_close(own);
    return NULL;
}

static void count_told(void *context, const struct imported_file *file)
{
    int *told = context;
    *told += file->outcome == IMPORT_TAKEN || file->outcome == IMPORT_KNOWN ? 1 : 0;
}

static bool import_into(const char *place, const char *folder, int *told, struct error *err)
{
    struct roster *roster = NULL;
    struct rider ada = { 0 };
    struct import_sum sum = { 0 };
    bool done = roster_open(place, ROSTER_OPEN, now, &roster, err) &&
                riders_find(roster, arena, "Ada", &ada, err);
    if (done) {
        const struct import_call call = { .roster = roster,
                                          .place = place,
                                          .now = now,
                                          .rider = &ada,
                                          .n_threads = 2,
                                          .tell = count_told,
                                          .context = told };
        done = import_paths(arena, &call, &folder, 1, &sum, err);
    }
    roster_close(roster);
    return done;
}

static int64_t number(struct db *db, const char *sql)
{
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    must(db_query(db, arena, sql, "i", DB_NONE, &rows, &err), &err);
    return db_integer_at(&rows, 0, 0);
}

/* As many as were told, or one group of files more; each with all that belongs to it. */
static int64_t whole_recordings(const char *place)
{
    struct db *db = NULL;
    struct error err = { 0 };
    must(db_open(place, &db, &err), &err);
    const int64_t recordings = number(db, "SELECT COUNT(*) FROM recording");
    check_integer("originals", number(db, "SELECT COUNT(*) FROM original"), recordings);
    check_integer("bests", number(db, "SELECT COUNT(*) FROM best_curve"), recordings);
    check_integer("readings",
                  number(db, "SELECT COUNT(DISTINCT subject) FROM reading WHERE subject_kind = "
                             "'recording'"),
                  recordings);
    check_integer("series", number(db, "SELECT COUNT(DISTINCT recording) FROM series"), recordings);
    db_close(db);
    return recordings;
}

static void test_server__goes_away_in_an_import_and_nothing_is_half(void **state)
{
    (void)state;
    if (store_is_file()) {
        return;
    }
    const char *folder = write_rides();
    int refused = 0;
    for (int round = 0; round < 12; round++) {
        const char *place = store_place();
        struct roster *roster = NULL;
        struct error err = { 0 };
        struct rider ada = { .name = "Ada Berg", .zone_name = "Europe/Berlin" };
        must(roster_open(place, ROSTER_CREATE, now, &roster, &err), &err);
        must(riders_add(roster, arena, now, &ada, &err), &err);
        roster_close(roster);
        struct cut cut = { place, 20 + round * 37, false };
        pthread_t thread;
        int told = 0;
        check(pthread_create(&thread, NULL, cut_connections, &cut) == 0);
        err = (struct error){ 0 };
        const bool done = import_into(place, folder, &told, &err);
        pthread_join(thread, NULL);
        if (!done) {
            refused++;
            check_integer("kind", err.kind, ERROR_STORAGE);
            check(strstr(err.message, "went away") != NULL ||
                  strstr(err.message, "no connection") != NULL);
            check(strchr(err.message, '\n') == NULL);
        }
        const int64_t kept = whole_recordings(place);
        check(kept >= told && (kept == told || !done));
        told = 0;
        err = (struct error){ 0 };
        must(import_into(place, folder, &told, &err), &err);
        check_integer("then", whole_recordings(place), RIDES);
    }
    printf("# note: 12 imports, %d lost their server on the way\n", refused);
    check(refused > 0);
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    maths_begin();
    arena = arena_open();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_server__goes_away_in_an_import_and_nothing_is_half),
    };
    const int status = cmocka_run_group_tests(tests, NULL, NULL);
    arena_close(arena);
    return store_end(status);
}
