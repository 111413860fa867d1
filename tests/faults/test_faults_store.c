/* tests/faults/test_faults_store.c: the roster file when the machine fails.
 *
 * A full disk, a kill at any moment, a damaged page: what was confirmed stays, what was not is gone
 * wholly, and what can't be read is refused with a line. */
#include "check.h"

#include "base/dates.h"
#include "roster/changes.h"
#include "roster/facts.h"

#include <fcntl.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static struct arena *arena;
static char folder[64];
static const struct roster_now now = { 1773480413, NULL };

static int begin(void **state)
{
    (void)state;
    arena = arena_open();
    snprintf(folder, sizeof folder, "/tmp/pl-faults.XXXXXX");
    return mkdtemp(folder) == NULL ? 1 : 0;
}

static int end(void **state)
{
    (void)state;
    const char *command = arena_format(arena, "rm -rf %s", folder);
    const int status = system(command);
    arena_close(arena);
    return status;
}

static const char *path_of(const char *name)
{
    return arena_format(arena, "%s/%s", folder, name);
}

static struct roster *open_roster(const char *name)
{
    struct roster *roster = NULL;
    struct error err = { 0 };
    if (!roster_open(path_of(name), ROSTER_CREATE, now, &roster, &err)) {
        check_text("open", err.message, "");
    }
    return roster;
}

static bool set_weight(struct roster *roster, const struct rider *rider, int i, struct error *err)
{
    struct arena *own = arena_open();
    char day[11];
    dates_format_day(i - 25000, day); /* from 1901-07-22 on */
    struct fact fact = {
        .day = day, .value = 60 + i % 10, .low = (double)NAN, .high = (double)NAN
    };
    const bool done = facts_set(roster, own, now, rider, FACT_WEIGHT, &fact, err);
    arena_close(own);
    return done;
}

static int64_t one_integer(struct roster *roster, const char *sql)
{
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    if (!db_query(roster_db(roster), arena, sql, "i", DB_NONE, &rows, &err)) {
        check_text(sql, err.message, "");
    }
    return db_integer_at(&rows, 0, 0);
}

/* Sound, and every edit has its record: a row, a change and a change_row each. */
static int64_t weights_if_whole(struct roster *roster)
{
    const char *problem = NULL;
    struct error err = { 0 };
    check(db_check(roster_db(roster), arena, &problem, &err));
    check_text("integrity", problem, NULL);
    const int64_t weights = one_integer(roster, "SELECT COUNT(*) FROM weight");
    check_integer("changes",
                  one_integer(roster, "SELECT COUNT(*) FROM change WHERE words LIKE "
                                      "'Weight%'"),
                  weights);
    check_integer("rows",
                  one_integer(roster, "SELECT COUNT(*) FROM change_row WHERE table_name = "
                                      "'weight'"),
                  weights);
    check_integer("values",
                  one_integer(roster, "SELECT COUNT(*) FROM change_value v JOIN "
                                      "change_row r ON r.id = v.change_row WHERE "
                                      "r.table_name = 'weight'"),
                  weights * 4);
    return weights;
}

/* The child writes the number of each edit down a pipe once it is confirmed; it is killed after 1
 * to 94 ms.  All that was confirmed must be there, and at most one more. */
static void test_faults__a_kill_at_any_moment_loses_nothing_confirmed(void **state)
{
    (void)state;
    struct rider rider = { .name = "Ada Berg" };
    struct error err = { 0 };
    struct roster *roster = open_roster("killed");
    check(riders_add(roster, arena, now, &rider, &err));
    roster_close(roster);
    int confirmed = 0;
    int killed_within = 0;
    for (int round = 0; round < 40; round++) {
        int pipes[2];
        check(pipe(pipes) == 0);
        const pid_t child = fork();
        if (child == 0) {
            close(pipes[0]);
            struct roster *mine = open_roster("killed");
            const int ready = -1;
            if (write(pipes[1], &ready, sizeof ready) != sizeof ready) {
                _exit(1);
            }
            for (int i = confirmed;; i++) {
                struct error mine_err = { 0 };
                if (!set_weight(mine, &rider, i, &mine_err) ||
                    write(pipes[1], &i, sizeof i) != sizeof i) {
                    _exit(1);
                }
            }
        }
        close(pipes[1]);
        int ready = 0;
        check(read(pipes[0], &ready, sizeof ready) == sizeof ready && ready == -1);
        nanosleep(&(struct timespec){ .tv_nsec = 1000000 + round * 2370011L }, NULL);
        check(kill(child, SIGKILL) == 0);
        int status = 0;
        check(waitpid(child, &status, 0) == child);
        check(WIFSIGNALED(status));
        int last = confirmed - 1;
        for (int i = 0; read(pipes[0], &i, sizeof i) == sizeof i;) {
            last = i;
        }
        close(pipes[0]);
        roster = open_roster("killed");
        const int64_t stored = weights_if_whole(roster);
        roster_close(roster);
        check(stored == last + 1 || stored == last + 2);
        killed_within += stored == last + 2;
        confirmed = (int)stored;
    }
    printf("# note: 40 kills, %d edits kept, %d stored but not yet confirmed\n", confirmed,
           killed_within);
    check(confirmed > 0);
}

/* The same for making the store: it is there with all its tables, or is made the next time. */
static void test_faults__a_kill_while_it_is_made_leaves_no_half_schema(void **state)
{
    (void)state;
    for (int round = 0; round < 30; round++) {
        const char *name = arena_format(arena, "made-%d", round);
        const pid_t child = fork();
        if (child == 0) {
            roster_close(open_roster(name));
            _exit(0);
        }
        nanosleep(&(struct timespec){ .tv_nsec = 200000 + round * 700000L }, NULL);
        kill(child, SIGKILL);
        int status = 0;
        check(waitpid(child, &status, 0) == child);
        struct roster *roster = open_roster(name);
        check_integer("riders", weights_if_whole(roster), 0);
        check_integer("tables", one_integer(roster, "SELECT COUNT(*) FROM job"), 0);
        roster_close(roster);
    }
}

/* No file may grow past a limit: the store says so, and keeps what it had. */
static void test_faults__a_full_disk_takes_nothing_and_says_so(void **state)
{
    (void)state;
    struct rider rider = { .name = "Ada Berg" };
    struct error err = { 0 };
    struct roster *roster = open_roster("full");
    check(riders_add(roster, arena, now, &rider, &err));
    int stored = 0;
    struct rlimit before = { 0 };
    check(getrlimit(RLIMIT_FSIZE, &before) == 0);
    signal(SIGXFSZ, SIG_IGN);
    const struct rlimit small = { 2400 * 1024, before.rlim_max };
    check(setrlimit(RLIMIT_FSIZE, &small) == 0);
    while (stored < 20000 && set_weight(roster, &rider, stored, &err)) {
        stored++;
    }
    const bool restored = setrlimit(RLIMIT_FSIZE, &before) == 0;
    check(restored);
    check_integer("kind", err.kind, ERROR_STORAGE);
    check(strstr(err.message, "what was being stored is not kept") != NULL);
    check(stored > 20 && stored < 20000);
    check_integer("kept", weights_if_whole(roster), stored);
    /* With room again it goes on in the same process, and in a new one. */
    err = (struct error){ 0 };
    check(set_weight(roster, &rider, stored, &err));
    roster_close(roster);
    roster = open_roster("full");
    check_integer("kept", weights_if_whole(roster), stored + 1);
    roster_close(roster);
}

/* A copy before a migration that does not fit is refused, and no part of it stays. */
static void test_faults__a_copy_that_does_not_fit_leaves_nothing_behind(void **state)
{
    (void)state;
    struct roster *roster = open_roster("copied");
    struct error err = { 0 };
    struct rlimit before = { 0 };
    check(getrlimit(RLIMIT_FSIZE, &before) == 0);
    signal(SIGXFSZ, SIG_IGN);
    const struct rlimit small = { 8192, before.rlim_max };
    check(setrlimit(RLIMIT_FSIZE, &small) == 0);
    const bool copied = db_copy_to(roster_db(roster), path_of("copy"), &err);
    check(setrlimit(RLIMIT_FSIZE, &before) == 0);
    check(!copied);
    check_integer("kind", err.kind, ERROR_STORAGE);
    check(access(path_of("copy"), F_OK) != 0);
    check(access(path_of("copy.part"), F_OK) != 0);
    roster_close(roster);
}

/* ---- damage ---- */

static void copy_file(const char *from, const char *to)
{
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    check(files_read(arena, from, 50000000, &bytes, &err));
    check(files_write(to, bytes, &err));
}

static void overwrite(const char *path, long at, int byte, size_t n)
{
    FILE *file = fopen(path, "r+b");
    check(file != NULL);
    fseek(file, at, SEEK_SET);
    for (size_t i = 0; i < n; i++) {
        fputc(byte, file);
    }
    check(fclose(file) == 0);
}

/* Uses all of it: opens, lists, reads facts, writes.  True if it went well, else err has the line.
 */
static bool use(const char *path, struct error *err)
{
    struct roster *roster = NULL;
    struct arena *own = arena_open();
    struct rider *riders = NULL;
    struct change_line *lines = NULL;
    size_t count = 0;
    const char *problem = NULL;
    struct rider_facts facts;
    bool used = roster_open(path, ROSTER_OPEN, now, &roster, err) &&
                db_check(roster_db(roster), own, &problem, err) &&
                changes_list(roster, own, 100000, &lines, &count, err) &&
                riders_list(roster, own, true, &riders, &count, err);
    for (size_t i = 0; used && i < count; i++) {
        used = facts_on(roster, own, riders[i].id, "1950-01-01", &facts, err) &&
               set_weight(roster, &riders[i], 7, err);
    }
    if (used && problem != NULL) {
        used = error_set(err, ERROR_STORAGE, "damaged: %s", problem);
    }
    roster_close(roster);
    arena_close(own);
    return used;
}

/* Every page in turn overwritten in part: no crash, no endless work, and a line unless the bytes
 * did not matter. */
static void test_faults__damaged_pages_are_refused_with_a_line(void **state)
{
    (void)state;
    struct rider rider = { .name = "Ada Berg" };
    struct error err = { 0 };
    struct roster *roster = open_roster("sound");
    check(riders_add(roster, arena, now, &rider, &err));
    for (int i = 0; i < 60; i++) {
        check(set_weight(roster, &rider, i, &err));
    }
    const long page_size = (long)one_integer(roster, "SELECT page_size FROM pragma_page_size");
    const long pages = (long)one_integer(roster, "SELECT page_count FROM pragma_page_count");
    roster_close(roster); /* the log is folded in */
    check(use(path_of("sound"), &err));
    int refused = 0;
    int tried = 0;
    for (long page = 0; page < pages; page += page < 8 ? 1 : 5) {
        for (int how = 0; how < 2; how++) {
            const char *path = path_of(arena_format(arena, "page-%ld-%d", page, how));
            copy_file(path_of("sound"), path);
            /* The head of the page, or all of it but the head. */
            overwrite(path, page * page_size + (how == 0 ? 0 : 200), how == 0 ? 0xFF : 0x5A,
                      how == 0 ? 100 : (size_t)page_size - 200);
            err = (struct error){ 0 };
            tried++;
            if (!use(path, &err)) {
                refused++;
                check(err.message[0] != '\0' && strchr(err.message, '\n') == NULL);
                check(err.kind == ERROR_STORAGE || err.kind == ERROR_CONFLICT ||
                      err.kind == ERROR_NOT_FOUND || err.kind == ERROR_INTERNAL);
            }
            unlink(path);
            unlink(arena_format(arena, "%s-wal", path));
            unlink(arena_format(arena, "%s-shm", path));
        }
    }
    printf("# note: %d of %d damaged stores were refused\n", refused, tried);
    check(refused > tried / 2);
}

static void test_faults__what_is_no_store_is_refused_with_a_line(void **state)
{
    (void)state;
    static const char words[] = "seconds,power\n0,150\n1,151\n2,152\n";
    struct error err = { 0 };
    check(files_write(path_of("csv"), (struct bytes){ (const uint8_t *)words, sizeof words - 1 },
                      &err));
    check(!use(path_of("csv"), &err));
    check_integer("kind", err.kind, ERROR_STORAGE);
    check(strstr(err.message, "damaged or no roster") != NULL);
    struct bytes bytes = { 0 };
    err = (struct error){ 0 };
    check(files_read(arena, path_of("csv"), 1000, &bytes, &err));
    check_integer("left as it was", (int64_t)bytes.size, (int64_t)sizeof words - 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_faults__a_kill_at_any_moment_loses_nothing_confirmed,
                                        begin, end),
        cmocka_unit_test_setup_teardown(test_faults__a_kill_while_it_is_made_leaves_no_half_schema,
                                        begin, end),
        cmocka_unit_test_setup_teardown(test_faults__a_full_disk_takes_nothing_and_says_so, begin,
                                        end),
        cmocka_unit_test_setup_teardown(test_faults__a_copy_that_does_not_fit_leaves_nothing_behind,
                                        begin, end),
        cmocka_unit_test_setup_teardown(test_faults__damaged_pages_are_refused_with_a_line, begin,
                                        end),
        cmocka_unit_test_setup_teardown(test_faults__what_is_no_store_is_refused_with_a_line, begin,
                                        end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
