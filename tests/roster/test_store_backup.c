/* tests/roster/test_store_backup.c: a backup is whole or isn't there; a restore gives the whole old
 * or the whole new roster, wherever it stops. */
#include "roster/small_roster.h"

#include "base/dates.h"
#include "maths/maths.h"
#include "roster/about.h"
#include "roster/backup.h"
#include "roster/changes.h"
#include "roster/facts.h"
#include "roster/kept_copies.h"
#include "roster/settings.h"

#include <fcntl.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static struct small_roster small;

static int begin(void **state)
{
    (void)state;
    small = small_with_rides();
    return 0;
}

static int end(void **state)
{
    (void)state;
    small_end(&small);
    return 0;
}

static bool make(const char *path, bool overwrite, struct error *err)
{
    const struct backup_call call = {
        .roster = small.roster, .now = small_now, .path = path, .overwrite = overwrite
    };
    struct backup_about about = { 0 };
    const char *made = NULL;
    return backup_make(small.arena, &call, &made, &about, err);
}

static const char *make_backup(const char *name)
{
    struct error err = { 0 };
    const char *path = small_path(&small, name);
    must(make(path, false, &err), &err);
    return path;
}

static void set_weight(const char *day, double kg)
{
    struct error err = { 0 };
    struct fact fact = { .day = day, .value = kg, .low = (double)NAN, .high = (double)NAN };
    must(facts_set(small.roster, small.arena, small_now, &small.ada, FACT_WEIGHT, &fact, &err),
         &err);
}

static bool exists(const char *path)
{
    return access(path, F_OK) == 0;
}

/* A store of a server has its own tools, and is told so. */
static bool is_file_or_refused(void)
{
    struct error err = { 0 };
    if (store_is_file()) {
        return true;
    }
    check(!make(small_path(&small, "of-server"), false, &err));
    check_integer("kind", err.kind, ERROR_USAGE);
    check(strstr(err.message, "pg_dump") != NULL);
    check(!exists(small_path(&small, "of-server")));
    return false;
}

/* ---- backup ---- */

static void test_backup__is_whole_private_and_written_down(void **state)
{
    (void)state;
    if (!is_file_or_refused()) {
        return;
    }
    const char *path = make_backup("a.plumbline");
    struct stat status = { 0 };
    struct backup_about about = { 0 };
    struct kept_copy *copies = NULL;
    size_t count = 0;
    struct error err = { 0 };
    check(stat(path, &status) == 0);
    check_integer("mode", status.st_mode & 0777, 0600);
    check(!exists(arena_format(small.arena, "%s.unchecked", path)));
    check(!exists(arena_format(small.arena, "%s-wal", path)));
    must(backup_look(small.arena, path, &about, NULL, NULL, &err), &err);
    check_integer("riders", about.riders, 2);
    check_integer("recordings", about.recordings, 4);
    check_text("newest", about.newest_day, "2026-03-10");
    must(kept_copies_list(small.roster, small.arena, 0, &copies, &count, &err), &err);
    check_integer("copies", (int64_t)count, 1);
    check_text("path", copies[0].path, path);
    check_integer("last rider", copies[0].last_rider, small.ben.id);
    /* A rider who came later is in none of them. */
    struct rider late = { .name = "Cleo Late" };
    must(riders_add(small.roster, small.arena, small_now, &late, &err), &err);
    must(kept_copies_list(small.roster, small.arena, late.id, &copies, &count, &err), &err);
    check_integer("copies with the late one", (int64_t)count, 0);
}

static void test_backup__writes_over_nothing_unasked(void **state)
{
    (void)state;
    if (!is_file_or_refused()) {
        return;
    }
    static const char words[] = "somebody's letter";
    const char *path = small_path(&small, "letter");
    struct error err = { 0 };
    must(files_write(path, (struct bytes){ (const uint8_t *)words, sizeof words - 1 }, &err), &err);
    check(!make(path, false, &err));
    check_integer("kind", err.kind, ERROR_CONFLICT);
    check(strstr(err.message, "--yes") != NULL);
    struct bytes kept = { 0 };
    err = (struct error){ 0 };
    must(files_read(small.arena, path, 1000, &kept, &err), &err);
    check_integer("size", (int64_t)kept.size, (int64_t)sizeof words - 1);
    must(make(path, true, &err), &err);
    check(!make(small.place, true, &err));
    check(strstr(err.message, "the roster itself") != NULL);
    check(!make(small.folder, true, &err));
    check(!make(small_path(&small, "nowhere/a"), true, &err));
    check_integer("kind", err.kind, ERROR_NOT_FOUND);
}

static void test_backup__of_a_damaged_roster_is_not_kept(void **state)
{
    (void)state;
    if (!is_file_or_refused()) {
        return;
    }
    struct error err = { 0 };
    const char *path = small_path(&small, "bad.plumbline");
    small_run(&small, "UPDATE original SET content = zeroblob(length(content)) WHERE id = 2");
    check(!make(path, false, &err));
    check_integer("kind", err.kind, ERROR_STORAGE);
    check(strstr(err.message, "original 2") != NULL);
    check(!exists(path) && !exists(arena_format(small.arena, "%s.unchecked", path)));
    check_integer("written down", small_number(&small, "SELECT COUNT(*) FROM kept_copy"), 0);
}

static _Noreturn void write_without_end(void)
{
    struct roster *mine = NULL;
    struct error err = { 0 };
    /* Not longer than the test, however it ends. */
    if (prctl(PR_SET_PDEATHSIG, SIGKILL) != 0 ||
        !roster_open(small.place, ROSTER_OPEN, small_now, &mine, &err)) {
        _exit(1);
    }
    for (int i = 0;; i++) {
        char day[11];
        dates_format_day(i, day);
        struct fact fact = {
            .day = day, .value = 60 + i % 9, .low = (double)NAN, .high = (double)NAN
        };
        struct arena *own = arena_open();
        if (!facts_set(mine, own, small_now, &small.ben, FACT_WEIGHT, &fact, &err)) {
            _exit(1);
        }
        arena_close(own);
        /* SQLite's queue of writers is not fair: leave the others a gap. */
        nanosleep(&(struct timespec){ .tv_nsec = 5000000 }, NULL);
    }
}

/* Another process edits all the while: each backup holds whole edits. */
static void test_backup__is_of_one_moment_while_others_write(void **state)
{
    (void)state;
    if (!is_file_or_refused()) {
        return;
    }
    const pid_t child = fork();
    if (child == 0) {
        write_without_end();
    }
    int64_t before = -1;
    int grew = 0;
    for (int i = 0; i < 8; i++) {
        const char *path = make_backup(arena_format(small.arena, "busy-%d", i));
        struct db *db = NULL;
        struct db_rows rows = { 0 };
        struct error err = { 0 };
        must(db_open_still(path, &db, &err), &err);
        must(db_query(db, small.arena,
                      "SELECT (SELECT COUNT(*) FROM weight), (SELECT COUNT(*) FROM change_row "
                      "WHERE table_name = 'weight')",
                      "ii", DB_NONE, &rows, &err),
             &err);
        db_close(db);
        const int64_t weights = db_integer_at(&rows, 0, 0);
        check_integer("each with its record", db_integer_at(&rows, 0, 1), weights);
        grew += weights > before && before >= 0;
        before = weights;
    }
    kill(child, SIGKILL);
    check(waitpid(child, NULL, 0) == child);
    printf("# note: %d of 7 backups hold more than the one before\n", grew);
    check(grew > 0);
}

/* ---- restore ---- */

static bool restore(const char *backup, struct restore_done *done, struct error *err)
{
    const struct restore_call call = { .place = small.place, .backup = backup, .now = small_now };
    roster_close(small.roster);
    small.roster = NULL;
    const bool restored = restore_run(small.arena, &call, done, err);
    struct error again = { 0 };
    if (!roster_open(small.place, ROSTER_OPEN, small_now, &small.roster, &again)) {
        small.roster = NULL;
    }
    return restored;
}

static size_t problems_of(struct roster *roster)
{
    struct audit_sum sum = { 0 };
    struct error err = { 0 };
    const struct audit_call call = { .roster = roster, .all = true };
    must(audit_run(small.arena, &call, &sum, &err), &err);
    check_text("problem", sum.n_listed > 0 ? sum.list[0].what : "", "");
    return audit_problems(&sum);
}

static void test_restore__gives_what_was_and_keeps_what_is(void **state)
{
    (void)state;
    if (!store_is_file()) {
        return;
    }
    const char *path = make_backup("b.plumbline");
    struct restore_done done = { 0 };
    struct error err = { 0 };
    struct rider late = { .name = "Cleo Late" };
    set_weight("2026-02-01", 60);
    must(riders_add(small.roster, small.arena, small_now, &late, &err), &err);
    must(restore(path, &done, &err), &err);
    check_integer("weights", small_number(&small, "SELECT COUNT(*) FROM weight"), 1);
    check_integer("problems", (int64_t)problems_of(small.roster), 0);
    check(!done.was_damaged);
    /* The old one beside holds what came later. */
    struct roster *old = NULL;
    struct rider found = { 0 };
    must(roster_open(done.kept, ROSTER_OPEN, small_now, &old, &err), &err);
    must(riders_find(old, small.arena, "cleo", &found, &err), &err);
    roster_close(old);
    /* And both are written down; the number of a rider is not given to another. */
    struct kept_copy *copies = NULL;
    size_t count = 0;
    must(kept_copies_list(small.roster, small.arena, late.id, &copies, &count, &err), &err);
    check_integer("copies with the late one", (int64_t)count, 1);
    check_text("which", copies[0].path, done.kept);
    struct rider next = { .name = "Dora Next" };
    must(riders_add(small.roster, small.arena, small_now, &next, &err), &err);
    check(next.id > late.id);
}

static enum restore_step stop_at;

static void stop(enum restore_step step)
{
    if (step == stop_at) {
        raise(SIGKILL);
    }
}

/* An edit by a program that is killed before it closes: it lies in the log alone. */
static void edit_and_leave_a_log(void)
{
    const pid_t child = fork();
    if (child == 0) {
        struct roster *mine = NULL;
        struct error err = { 0 };
        struct fact fact = {
            .day = "2026-02-01", .value = 60, .low = (double)NAN, .high = (double)NAN
        };
        if (roster_open(small.place, ROSTER_OPEN, small_now, &mine, &err) &&
            facts_set(mine, small.arena, small_now, &small.ada, FACT_WEIGHT, &fact, &err)) {
            raise(SIGKILL);
        }
        _exit(1);
    }
    int status = 0;
    check(waitpid(child, &status, 0) == child && WIFSIGNALED(status));
    check(exists(arena_format(small.arena, "%s-wal", small.place)));
}

static _Noreturn void restore_and_stop(const char *backup)
{
    struct restore_done done = { 0 };
    struct error err = { 0 };
    const struct restore_call call = {
        .place = small.place, .backup = backup, .now = small_now, .reached = stop
    };
    _exit(restore_run(small.arena, &call, &done, &err) ? 1 : 2); /* it was to be killed */
}

/* Killed at each step: what the name stands for is sound, and is the old one until the rename, the
 * new one after it; restoring again then goes through. */
static void test_restore__killed_at_any_step_leaves_the_old_or_the_new(void **state)
{
    (void)state;
    if (!store_is_file()) {
        return;
    }
    const char *path = make_backup("c.plumbline");
    for (int step = 0; step < RESTORE_STEPS; step++) {
        struct restore_done done = { 0 };
        struct error err = { 0 };
        roster_close(small.roster);
        small.roster = NULL;
        edit_and_leave_a_log();
        stop_at = (enum restore_step)step;
        const pid_t child = fork();
        if (child == 0) {
            restore_and_stop(path);
        }
        int status = 0;
        check(waitpid(child, &status, 0) == child);
        check(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL);
        must(roster_open(small.place, ROSTER_OPEN, small_now, &small.roster, &err), &err);
        check_integer("problems", (int64_t)problems_of(small.roster), 0);
        check_integer(step == RESTORE_DONE ? "weights of the new" : "weights of the old",
                      small_number(&small, "SELECT COUNT(*) FROM weight"),
                      step == RESTORE_DONE ? 1 : 2);
        must(restore(path, &done, &err), &err);
        check_integer("then", small_number(&small, "SELECT COUNT(*) FROM weight"), 1);
        check_integer("problems", (int64_t)problems_of(small.roster), 0);
    }
}

static void copy_file(const char *from, const char *to)
{
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    must(files_read(small.arena, from, 100000000, &bytes, &err), &err);
    must(files_write(to, bytes, &err), &err);
}

static bool same_bytes(const char *a, const char *b)
{
    struct bytes one = { 0 };
    struct bytes two = { 0 };
    struct error err = { 0 };
    must(files_read(small.arena, a, 100000000, &one, &err), &err);
    must(files_read(small.arena, b, 100000000, &two, &err), &err);
    return one.size == two.size && memcmp(one.at, two.at, one.size) == 0;
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

/* The roster stays, byte for byte, when the backup can't be used. */
static void test_restore__refuses_what_is_no_whole_backup(void **state)
{
    (void)state;
    if (!store_is_file()) {
        return;
    }
    static const char words[] = "time,power\n0,150\n";
    static const struct {
        const char *name;
        const char *said;
    } rows[] = { { "words", "no roster" },
                 { "cut", "damaged" },
                 { "page", "damaged" },
                 { "foreign", "no roster" },
                 { "newer", "newer Plumbline" },
                 { "nothing", "empty" },
                 { "original", "not those that" },
                 { "in-use", "lies beside it" },
                 { "missing", "No such file" },
                 { "itself", "itself" } };
    const char *good = make_backup("good.plumbline");
    set_weight("2026-02-01", 60);
    roster_close(small.roster);
    small.roster = NULL;
    const char *before = small_path(&small, "before");
    copy_file(small.place, before);
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *path = small_path(&small, rows[i].name);
        struct restore_done done = { 0 };
        struct error err = { 0 };
        struct db *db = NULL;
        if (strcmp(rows[i].name, "words") == 0) {
            must(
                files_write(path, (struct bytes){ (const uint8_t *)words, sizeof words - 1 }, &err),
                &err);
        } else if (strcmp(rows[i].name, "nothing") == 0) {
            must(files_write(path, (struct bytes){ (const uint8_t *)words, 0 }, &err), &err);
        } else if (strcmp(rows[i].name, "itself") == 0) {
            path = small.place;
        } else if (strcmp(rows[i].name, "missing") != 0) {
            copy_file(good, path);
        }
        if (strcmp(rows[i].name, "cut") == 0) {
            check(truncate(path, 50000) == 0);
        } else if (strcmp(rows[i].name, "page") == 0) {
            overwrite(path, 3L * 4096, 0xFF, 3000);
        } else if (strcmp(rows[i].name, "in-use") == 0) {
            copy_file(good, arena_format(small.arena, "%s-wal", path));
        } else if (strcmp(rows[i].name, "newer") == 0 || strcmp(rows[i].name, "foreign") == 0 ||
                   strcmp(rows[i].name, "original") == 0) {
            must(db_open(path, &db, &err), &err);
            store_run(db, "PRAGMA foreign_keys=OFF");
            store_run(db, rows[i].name[0] == 'n'   ? "UPDATE roster_state SET schema_number = 99"
                          : rows[i].name[0] == 'f' ? "ALTER TABLE roster_state RENAME TO other"
                                                   : "UPDATE original SET content = x'00'");
            db_close(db);
        }
        const struct restore_call call = { .place = small.place, .backup = path, .now = small_now };
        check(!restore_run(small.arena, &call, &done, &err));
        check_text(rows[i].name, strstr(err.message, rows[i].said) != NULL ? "" : err.message, "");
        check(same_bytes(small.place, before));
        check(!exists(arena_format(small.arena, "%s.restoring", small.place)));
    }
}

/* Words in the place of the roster are somebody's, and stay. */
static void test_restore__replaces_nothing_but_a_roster(void **state)
{
    (void)state;
    if (!store_is_file()) {
        return;
    }
    static const char words[] = "Dear Ada, this is no roster at all, but a letter.";
    const char *good = make_backup("good.plumbline");
    const char *place = small_path(&small, "letter.txt");
    struct error err = { 0 };
    struct restore_done done = { 0 };
    must(files_write(place, (struct bytes){ (const uint8_t *)words, sizeof words - 1 }, &err),
         &err);
    const struct restore_call call = { .place = place, .backup = good, .now = small_now };
    check(!restore_run(small.arena, &call, &done, &err));
    check_integer("kind", err.kind, ERROR_CONFLICT);
    struct bytes kept = { 0 };
    err = (struct error){ 0 };
    must(files_read(small.arena, place, 1000, &kept, &err), &err);
    check_integer("size", (int64_t)kept.size, (int64_t)sizeof words - 1);
    /* To a place where nothing lies yet it goes, folder and all. */
    const struct restore_call anew = { .place = small_path(&small, "new/folder/r.plumbline"),
                                       .backup = good,
                                       .now = small_now };
    must(restore_run(small.arena, &anew, &done, &err), &err);
    check_text("kept", done.kept, NULL);
}

/* A roster that can't be read is what a backup is for; it is kept with its log, and a log that
 * stayed behind alone doesn't get into the new one. */
static void test_restore__over_a_damaged_roster_keeps_it_whole_as_it_was(void **state)
{
    (void)state;
    if (!store_is_file()) {
        return;
    }
    const char *good = make_backup("good.plumbline");
    struct restore_done done = { 0 };
    struct error err = { 0 };
    roster_close(small.roster);
    small.roster = NULL;
    overwrite(small.place, 100, 0xFF, 3900); /* the first page, but for the file's own header */
    const char *before = small_path(&small, "before");
    copy_file(small.place, before);
    must(restore(good, &done, &err), &err);
    check(done.was_damaged);
    check(same_bytes(done.kept, before));
    check_integer("problems", (int64_t)problems_of(small.roster), 0);
    /* A log without its file: the new one must not take it for its own. */
    roster_close(small.roster);
    small.roster = NULL;
    edit_and_leave_a_log();
    check(unlink(small.place) == 0);
    must(restore(good, &done, &err), &err);
    check_integer("problems", (int64_t)problems_of(small.roster), 0);
    check_integer("weights", small_number(&small, "SELECT COUNT(*) FROM weight"), 1);
}

static void test_restore__waits_for_nobody_forever(void **state)
{
    (void)state;
    if (!store_is_file()) {
        return;
    }
    const char *good = make_backup("good.plumbline");
    struct restore_done done = { 0 };
    struct error err = { 0 };
    const struct restore_call call = { .place = small.place, .backup = good, .now = small_now };
    set_weight("2026-02-01", 60);
    check(!restore_run(small.arena, &call, &done, &err));
    check_integer("kind", err.kind, ERROR_BUSY);
    /* A program that holds no folder is noticed by SQLite's own lock. */
    struct db *db = NULL;
    check(!db_open_settled(small.place, &db, &err));
    check_integer("kind", err.kind, ERROR_BUSY);
    check_integer("weights", small_number(&small, "SELECT COUNT(*) FROM weight"), 2);
}

/* ---- about, and the zone ---- */

static void test_about__counts_what_is_there(void **state)
{
    (void)state;
    struct about about = { 0 };
    struct error err = { 0 };
    must(about_read(small.roster, small.arena, &about, &err), &err);
    check_integer("riders", about.riders, 2);
    check_integer("rides", about.rides, 4);
    check_integer("originals", about.originals, 4);
    check_text("first", about.first_day, "2026-01-14");
    check_text("last", about.last_day, "2026-03-10");
    check(about.bytes > 50000 && about.original_bytes > 100000 && about.changes > 0);
    check_text("zone", about.zone_name, NULL);
}

static void test_about__the_zone_is_set_and_taken_back(void **state)
{
    (void)state;
    struct about about = { 0 };
    struct error err = { 0 };
    struct change_line undone = { 0 };
    must(settings_set(small.roster, small.arena, small_now, SETTING_ZONE, "Europe/Vienna", &err),
         &err);
    must(settings_set(small.roster, small.arena, small_now, SETTING_ZONE, "Europe/Oslo", &err),
         &err);
    must(settings_set(small.roster, small.arena, small_now, SETTING_ZONE, "Europe/Oslo", &err),
         &err);
    check(
        !settings_set(small.roster, small.arena, small_now, SETTING_ZONE, "Europe/Nowhere", &err));
    check_integer("kind", err.kind, ERROR_USAGE);
    must(changes_undo(small.roster, small.arena, small_now, 0, &undone, &err), &err);
    check_text("words", undone.words, "Time zone of the roster: Europe/Oslo (was Europe/Vienna)");
    must(about_read(small.roster, small.arena, &about, &err), &err);
    check_text("zone", about.zone_name, "Europe/Vienna");
    must(changes_undo(small.roster, small.arena, small_now, 0, &undone, &err), &err);
    must(about_read(small.roster, small.arena, &about, &err), &err);
    check_text("zone", about.zone_name, NULL);
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    maths_begin();
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(test_backup__is_whole_private_and_written_down),
        TEST(test_backup__writes_over_nothing_unasked),
        TEST(test_backup__of_a_damaged_roster_is_not_kept),
        TEST(test_backup__is_of_one_moment_while_others_write),
        TEST(test_restore__gives_what_was_and_keeps_what_is),
        TEST(test_restore__killed_at_any_step_leaves_the_old_or_the_new),
        TEST(test_restore__refuses_what_is_no_whole_backup),
        TEST(test_restore__replaces_nothing_but_a_roster),
        TEST(test_restore__over_a_damaged_roster_keeps_it_whole_as_it_was),
        TEST(test_restore__waits_for_nobody_forever),
        TEST(test_about__counts_what_is_there),
        TEST(test_about__the_zone_is_set_and_taken_back),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
