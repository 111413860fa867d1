/* roster/restore.c: taking the roster back from a backup. */
#include "roster/backup.h"
#include "roster/db_folder.h"
#include "roster/file_system.h"
#include "roster/kept_copies.h"

#include "base/dates.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* The highest id that each table of the old roster gave out: the new one must not give one of them
 * to somebody else, since copies that lie elsewhere are told by it. */
struct given_ids {
    struct db_rows rows; /* table, id */
};

struct restore {
    const struct restore_call *call;
    struct arena *arena;
    struct restore_done *done;
    const char *fresh; /* PLACE.restoring */
    bool is_there;     /* an old roster */
    struct given_ids given;
    int64_t last_rider; /* of the old one */
};

static void reach(const struct restore *restore, enum restore_step step)
{
    if (restore->call->reached != NULL) {
        restore->call->reached(step);
    }
}

/* ---- before anything is touched ---- */

static bool is_same_file(const char *a, const char *b)
{
    struct stat one = { 0 };
    struct stat two = { 0 };
    return stat(a, &one) == 0 && stat(b, &two) == 0 && one.st_dev == two.st_dev &&
           one.st_ino == two.st_ino;
}

static bool is_possible(struct restore *restore, struct error *err)
{
    const struct restore_call *call = restore->call;
    struct stat status = { 0 };
    if (db_place_is_postgres(call->place)) {
        return error_set(err, ERROR_USAGE,
                         "a server's roster is restored with the server's own pg_restore");
    }
    if (is_same_file(call->place, call->backup)) {
        return error_set(err, ERROR_USAGE, "%s: is the roster itself; name its backup",
                         call->backup);
    }
    restore->is_there = stat(call->place, &status) == 0;
    if (restore->is_there && !S_ISREG(status.st_mode)) {
        return error_set(err, ERROR_USAGE, "%s: is no file; name the roster's file", call->place);
    }
    return backup_look(restore->arena, call->backup, &restore->done->about, call->tell,
                       call->context, err);
}

/* The new one beside the old, whole and synced. */
static bool copy_beside(struct restore *restore, struct error *err)
{
    struct db *backup = NULL;
    struct db *copy = NULL;
    const char *problem = NULL;
    bool whole = db_open_still(restore->call->backup, &backup, err) &&
                 db_copy_to(backup, restore->fresh, err) &&
                 db_open_still(restore->fresh, &copy, err) &&
                 db_check(copy, restore->arena, &problem, err);
    if (whole && problem != NULL) {
        whole = error_set(err, ERROR_STORAGE,
                          "%s: did not come out whole (%.200s); nothing was changed",
                          restore->fresh, problem);
    }
    db_close(copy);
    db_close(backup);
    return whole;
}

/* ---- the old one ---- */

static bool read_old(struct restore *restore, struct db *old, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(old, restore->arena, "SELECT name, seq FROM sqlite_sequence ORDER BY name", "ti",
                  DB_NONE, &restore->given.rows, err) ||
        !db_query(old, restore->arena, "SELECT COALESCE(MAX(id), 0) FROM rider", "i", DB_NONE,
                  &rows, err)) {
        return false;
    }
    restore->last_rider = db_integer_at(&rows, 0, 0);
    return true;
}

/* An empty file is what a roster begins as. */
static bool begins_as_store(const char *path)
{
    static const char magic[16] = "SQLite format 3"; /* its file format, section 1.3.1 */
    char head[16] = { 0 };
    const int fd = open(path, O_RDONLY | O_CLOEXEC);
    const ssize_t got = fd < 0 ? -1 : read(fd, head, sizeof head);
    if (fd >= 0) {
        close(fd);
    }
    return got == 0 || (got == (ssize_t)sizeof head && memcmp(head, magic, sizeof magic) == 0);
}

static bool refuse_foreign(const char *place, struct error *err)
{
    return error_set(err, ERROR_CONFLICT,
                     "%s: what lies there is no roster; nothing was changed: move it away, or name "
                     "another --roster",
                     place);
}

/* Folds its log in.  Only what is a roster may be replaced; a damaged one is just what a backup is
 * for, and is kept as it is, log and all. */
static bool settle(struct restore *restore, struct error *err)
{
    const char *place = restore->call->place;
    struct db *old = NULL;
    struct db_rows rows = { 0 };
    struct error odd = { 0 };
    if (!begins_as_store(place)) {
        return refuse_foreign(place, err);
    }
    if (!db_open_settled(place, &old, &odd)) {
        restore->done->was_damaged = true;
        if (odd.kind == ERROR_BUSY || odd.kind == ERROR_DENIED) {
            *err = odd;
        }
        return err->kind == ERROR_NONE;
    }
    const bool is_readable =
        db_query(old, restore->arena,
                 "SELECT COUNT(*), COALESCE(SUM(name = 'roster_state'), 0) FROM sqlite_schema",
                 "ii", DB_NONE, &rows, &odd);
    const bool is_foreign =
        is_readable && db_integer_at(&rows, 0, 0) > 0 && db_integer_at(&rows, 0, 1) == 0;
    const bool is_empty = is_readable && db_integer_at(&rows, 0, 0) == 0;
    restore->done->was_damaged =
        !is_readable || (!is_foreign && !is_empty && !read_old(restore, old, &odd));
    db_close(old);
    return !is_foreign || refuse_foreign(place, err);
}

static const char *name_for_kept(const struct restore *restore)
{
    const struct civil c = dates_civil_from_utc(restore->call->now.utc_s);
    const char *name = arena_format(
        restore->arena, "%s.before-restore-%04lld%02d%02dT%02d%02d%02dZ", restore->call->place,
        (long long)c.year, c.month, c.day, c.hour, c.minute, c.second);
    const char *free_name = name;
    for (int i = 2; access(free_name, F_OK) == 0 && i < 1000; i++) {
        free_name = arena_format(restore->arena, "%s-%d", name, i);
    }
    return free_name;
}

/* A second name for the same file: nothing is copied, and the first stays until the rename. */
static bool keep_old(struct restore *restore, struct error *err)
{
    const char *place = restore->call->place;
    const char *kept = name_for_kept(restore);
    struct db *old = NULL;
    bool is_kept = link(place, kept) == 0;
    if (!is_kept && (errno == EPERM || errno == EOPNOTSUPP || errno == ENOSYS)) {
        /* a disk without second names */
        is_kept = db_open_still(place, &old, err) && db_copy_to(old, kept, err);
        db_close(old);
        if (!is_kept) {
            return false;
        }
    }
    if (!is_kept) {
        return error_set(err, ERROR_STORAGE, "%s: the old roster cannot be kept there: %s", kept,
                         strerror(errno));
    }
    restore->done->kept = kept;
    return true;
}

/* What an unsettled roster left beside would be taken for the new one's: it goes with the old. */
static bool clear_logs(const struct restore *restore, struct error *err)
{
    static const char *const endings[] = { "-wal", "-journal" };
    const char *place = restore->call->place;
    const char *kept = restore->done->kept != NULL ? restore->done->kept : name_for_kept(restore);
    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++) {
        const char *log = arena_format(restore->arena, "%s%s", place, endings[i]);
        if (access(log, F_OK) == 0 &&
            rename(log, arena_format(restore->arena, "%s%s", kept, endings[i])) != 0) {
            return error_set(err, ERROR_STORAGE, "%s: cannot be moved away: %s", log,
                             strerror(errno));
        }
    }
    (void)unlink(arena_format(restore->arena, "%s-shm", place));
    return true;
}

/* ---- the new one ---- */

static bool sync_folder(const char *place)
{
    char folder[PATH_MAX];
    snprintf(folder, sizeof folder, "%s", place);
    const int fd = open(dirname(folder), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    const bool synced = fd >= 0 && fsync(fd) == 0;
    if (fd >= 0) {
        close(fd);
    }
    return synced;
}

static bool replace(struct restore *restore, struct error *err)
{
    const char *place = restore->call->place;
    if (!sync_folder(place) || rename(restore->fresh, place) != 0 || !sync_folder(place)) {
        return error_set(err, ERROR_STORAGE, "%s: cannot be put in place: %s", place,
                         strerror(errno));
    }
    return true;
}

static bool in_the_folder(struct restore *restore, struct error *err)
{
    reach(restore, RESTORE_ALONE);
    if (!copy_beside(restore, err)) {
        return false;
    }
    reach(restore, RESTORE_COPIED);
    if (restore->is_there && !settle(restore, err)) {
        return false;
    }
    reach(restore, RESTORE_SETTLED);
    if (restore->is_there && !keep_old(restore, err)) {
        return false;
    }
    reach(restore, RESTORE_KEPT);
    if (!clear_logs(restore, err)) {
        return false;
    }
    reach(restore, RESTORE_CLEARED);
    if (!replace(restore, err)) {
        return false;
    }
    reach(restore, RESTORE_DONE);
    return true;
}

/* ---- and then ---- */

static bool raise_ids(struct db *db, void *context, struct error *err)
{
    const struct db_rows *given = context;
    for (size_t i = 0; i < given->count; i++) {
        const char *table = db_text_at(given, i, 0);
        const int64_t highest = db_integer_at(given, i, 1);
        struct arena *scratch = arena_open();
        struct db_rows rows = { 0 };
        bool done = db_query(db, scratch,
                             "UPDATE sqlite_sequence SET seq = CASE WHEN seq < $2 THEN $2 ELSE "
                             "seq END WHERE name = $1 RETURNING seq",
                             "i", DB_ARGS(db_text(table), db_integer(highest)), &rows, err);
        if (done && rows.count == 0) {
            done = db_run(db, "INSERT INTO sqlite_sequence (name, seq) VALUES ($1, $2)",
                          DB_ARGS(db_text(table), db_integer(highest)), err);
        }
        arena_close(scratch);
        if (!done) {
            return false;
        }
    }
    return true;
}

/* When the backup was written, as its file says. */
static int64_t made_utc_s(const struct restore *restore)
{
    struct stat status = { 0 };
    return stat(restore->call->backup, &status) == 0 ? (int64_t)status.st_mtime
                                                     : restore->call->now.utc_s;
}

static bool write_down(const struct restore *restore, struct roster *roster, struct error *err)
{
    const struct restore_done *done = restore->done;
    const struct kept_copy from = { .kind = "backup",
                                    .last_rider = done->about.last_rider,
                                    .made_utc_s = made_utc_s(restore) };
    struct kept_copy copy = from;
    if (!kept_copies_path(restore->arena, restore->call->backup, &copy.path, err) ||
        !kept_copies_add(roster, &copy, err)) {
        return false;
    }
    if (done->kept == NULL) {
        return true;
    }
    copy.last_rider = restore->last_rider > from.last_rider ? restore->last_rider : from.last_rider;
    return kept_copies_path(restore->arena, done->kept, &copy.path, err) &&
           kept_copies_add(roster, &copy, err);
}

/* The new roster is in its place: what fails now is said, and takes nothing back. */
static bool open_anew(struct restore *restore, struct error *err)
{
    struct roster *roster = NULL;
    struct error wrong = { 0 };
    const bool done =
        roster_open(restore->call->place, ROSTER_OPEN, restore->call->now, &roster, &wrong) &&
        db_write(roster_db(roster), raise_ids, &restore->given.rows, &wrong) &&
        write_down(restore, roster, &wrong);
    if (roster != NULL) {
        restore->done->schema = *roster_schema(roster);
    }
    roster_close(roster);
    return done ||
           error_set(err, wrong.kind,
                     "%s is restored, but where copies lie couldn't be written down: %.300s",
                     restore->call->place, wrong.message);
}

bool restore_run(struct arena *arena, const struct restore_call *call, struct restore_done *done,
                 struct error *err)
{
    char real[PATH_MAX];
    struct restore_call own = *call;
    /* A link stays one: what it leads to is replaced. */
    if (!db_place_is_postgres(call->place) && realpath(call->place, real) != NULL) {
        own.place = arena_string(arena, real);
    }
    struct restore restore = { .call = &own,
                               .arena = arena,
                               .done = done,
                               .fresh = arena_format(arena, "%s.restoring", own.place) };
    int folder = -1;
    *done = (struct restore_done){ 0 };
    if (!is_possible(&restore, err) || !roster_make_folders(own.place, err) ||
        !file_system_may_hold(own.place, file_system_of, err) ||
        !db_folder_hold(own.place, DB_FOLDER_ALONE, &folder, err)) {
        return false;
    }
    const bool replaced = in_the_folder(&restore, err);
    if (!replaced) {
        (void)unlink(restore.fresh);
    }
    db_folder_let_go(folder);
    return replaced && open_anew(&restore, err);
}
