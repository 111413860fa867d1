/* roster/backup.c: a whole copy of the roster. */
#include "roster/backup.h"

#include "roster/kept_copies.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* ---- looking ---- */

static bool ask_about(struct db *db, struct arena *arena, struct backup_about *about,
                      struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT (SELECT COUNT(*) FROM rider), (SELECT COUNT(*) FROM recording), (SELECT "
                  "COALESCE(MAX(id), 0) FROM rider), (SELECT MAX(local_day) FROM recording)",
                  "iiiT", DB_NONE, &rows, err)) {
        return false;
    }
    about->riders = db_integer_at(&rows, 0, 0);
    about->recordings = db_integer_at(&rows, 0, 1);
    about->last_rider = db_integer_at(&rows, 0, 2);
    about->newest_day = db_text_at(&rows, 0, 3);
    return true;
}

bool backup_look(struct arena *arena, const char *path, struct backup_about *about,
                 backup_tell *tell, void *context, struct error *err)
{
    struct db *db = NULL;
    struct stat status = { 0 };
    const char *problem = NULL;
    *about = (struct backup_about){ 0 };
    if (!db_open_still(path, &db, err)) {
        return false;
    }
    bool whole = schema_look(db, &schema_migrations, &about->schema, err) &&
                 audit_copy(db, arena, &problem, tell, context, err);
    if (whole && problem != NULL) {
        whole =
            error_set(err, ERROR_STORAGE,
                      "%s: is damaged (%.200s); take another backup, this one was left as it is",
                      path, problem);
    }
    whole = whole && ask_about(db, arena, about, err);
    db_close(db);
    if (whole && stat(path, &status) == 0) {
        about->bytes = (int64_t)status.st_size;
    }
    return whole;
}

/* ---- making ---- */

static bool is_roster_itself(struct db *db, const char *path)
{
    static const char *const endings[] = { "", "-wal", "-shm", "-journal" };
    struct stat there = { 0 };
    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++) {
        char own[PATH_MAX + 16];
        struct stat roster = { 0 };
        snprintf(own, sizeof own, "%s%s", db_place(db), endings[i]);
        if (stat(own, &roster) == 0 && stat(path, &there) == 0 && roster.st_dev == there.st_dev &&
            roster.st_ino == there.st_ino) {
            return true;
        }
    }
    return false;
}

static bool may_be_written(const struct backup_call *call, const char *path, struct error *err)
{
    struct stat status = { 0 };
    if (stat(path, &status) != 0) {
        return true;
    }
    if (!S_ISREG(status.st_mode)) {
        return error_set(err, ERROR_USAGE, "%s: is no file; name the backup's file", path);
    }
    if (is_roster_itself(roster_db(call->roster), path)) {
        return error_set(err, ERROR_USAGE, "%s: is the roster itself; name another file", path);
    }
    return call->overwrite || error_set(err, ERROR_CONFLICT,
                                        "%s: is there already; another name, or --yes to write "
                                        "over it",
                                        path);
}

static bool sync_folder(const char *path)
{
    char folder[PATH_MAX];
    snprintf(folder, sizeof folder, "%s", path);
    const int fd = open(dirname(folder), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    const bool synced = fd >= 0 && fsync(fd) == 0;
    if (fd >= 0) {
        close(fd);
    }
    return synced;
}

/* Its name last, when it is whole.  Without leave to overwrite the name must be free at that very
 * moment: a second name says so.  Sticks have no second names; there a look must do. */
static bool give_name(const char *unchecked, const char *path, bool overwrite, struct error *err)
{
    bool named = false;
    if (overwrite) {
        named = rename(unchecked, path) == 0;
    } else if (link(unchecked, path) == 0) {
        named = true;
        (void)unlink(unchecked);
    } else if (errno == EPERM || errno == EOPNOTSUPP || errno == ENOSYS) {
        named = access(path, F_OK) != 0 && rename(unchecked, path) == 0;
    }
    if (named && sync_folder(path)) {
        return true;
    }
    const int cause = errno;
    (void)unlink(unchecked);
    return cause == EEXIST
               ? error_set(err, ERROR_CONFLICT,
                           "%s: is there already; another name, or --yes to write over "
                           "it",
                           path)
               : error_set(err, ERROR_STORAGE, "%s: cannot be written: %s", path, strerror(cause));
}

bool backup_make(struct arena *arena, const struct backup_call *call, const char **path,
                 struct backup_about *about, struct error *err)
{
    struct db *db = roster_db(call->roster);
    if (!kept_copies_path(arena, call->path, path, err) || !may_be_written(call, *path, err)) {
        return false;
    }
    const char *unchecked = arena_format(arena, "%s.unchecked", *path);
    if (!db_copy_to(db, unchecked, err)) {
        return false;
    }
    struct error wrong = { 0 };
    if (!backup_look(arena, unchecked, about, call->tell, call->context, &wrong)) {
        (void)unlink(unchecked);
        return error_set(err, ERROR_STORAGE,
                         "%s: the copy is not whole, and was taken away (%.300s); plumbline check "
                         "looks at the roster",
                         *path, wrong.message);
    }
    if (!give_name(unchecked, *path, call->overwrite, err)) {
        return false;
    }
    const struct kept_copy copy = { .kind = "backup",
                                    .path = *path,
                                    .last_rider = about->last_rider,
                                    .made_utc_s = call->now.utc_s };
    if (!kept_copies_add(call->roster, &copy, &wrong)) {
        return error_set(err, wrong.kind, "%s: is whole, but couldn't be written down: %.300s",
                         *path, wrong.message);
    }
    return true;
}
