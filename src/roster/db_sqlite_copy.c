/* roster/db_sqlite_copy.c: a whole copy of a file, made while others go on working. */
#include "roster/db_parts.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include <sqlite3.h>

static int64_t pragma_integer(struct db *db, const char *sql)
{
    sqlite3_stmt *statement = NULL;
    int64_t value = -1;
    if (sqlite3_prepare_v2(db->connection, sql, -1, &statement, NULL) == SQLITE_OK &&
        sqlite3_step(statement) == SQLITE_ROW) {
        value = sqlite3_column_int64(statement, 0);
    }
    sqlite3_finalize(statement);
    return value;
}

/* Room for the whole file and a tenth more, where the copy is to lie. */
static bool has_room(struct db *db, const char *path, struct error *err)
{
    const int64_t pages = pragma_integer(db, "PRAGMA page_count");
    const int64_t page_size = pragma_integer(db, "PRAGMA page_size");
    if (pages < 0 || page_size < 0) {
        return db_sqlite_fail(db, err);
    }
    char folder[PATH_MAX];
    snprintf(folder, sizeof folder, "%s", path);
    struct statvfs disk = { 0 };
    if (statvfs(dirname(folder), &disk) != 0) {
        return error_set(err, ERROR_STORAGE, "%s: cannot be written: %s", path, strerror(errno));
    }
    const double need = 1.1 * (double)pages * (double)page_size;
    const double room = (double)disk.f_bavail * (double)disk.f_frsize;
    if (room < need) {
        return error_set(err, ERROR_STORAGE,
                         "%s: a copy needs %.0f MB and the disk has %.0f MB; make room and try "
                         "again",
                         path, ceil(need / 1e6), floor(room / 1e6));
    }
    return true;
}

static bool copy_pages(struct db *db, const char *part, struct error *err)
{
    sqlite3 *to = NULL;
    bool done =
        sqlite3_open_v2(part, &to, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL) == SQLITE_OK;
    if (done) {
        sqlite3_backup *backup = sqlite3_backup_init(to, "main", db->connection, "main");
        done = backup != NULL && sqlite3_backup_step(backup, -1) == SQLITE_DONE;
        done = sqlite3_backup_finish(backup) == SQLITE_OK && done;
    }
    if (!done) {
        error_set(err, ERROR_STORAGE, "%s: the copy failed (%s); nothing was left behind", part,
                  sqlite3_errmsg(to));
    }
    (void)sqlite3_close(to);
    return done;
}

static bool sync_path(const char *path, int flags)
{
    const int fd = open(path, flags | O_CLOEXEC);
    const bool synced = fd >= 0 && fsync(fd) == 0;
    if (fd >= 0) {
        close(fd);
    }
    return synced;
}

bool db_sqlite_copy_to(struct db *db, const char *path, struct error *err)
{
    char part[PATH_MAX];
    char folder[PATH_MAX];
    if (snprintf(part, sizeof part, "%s.part", path) >= (int)sizeof part) {
        return error_set(err, ERROR_USAGE, "%s: the path is too long", path);
    }
    snprintf(folder, sizeof folder, "%s", path);
    if (!has_room(db, path, err)) {
        return false;
    }
    /* What an interrupted copy left is of no use to anyone. */
    (void)unlink(part);
    const int fd = open(part, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd < 0) {
        return error_set(err, ERROR_STORAGE, "%s: cannot be written: %s", path, strerror(errno));
    }
    close(fd);
    if (!copy_pages(db, part, err)) {
        (void)unlink(part);
        return false;
    }
    if (!sync_path(part, O_RDWR) || rename(part, path) != 0 ||
        !sync_path(dirname(folder), O_RDONLY | O_DIRECTORY)) {
        const int cause = errno;
        (void)unlink(part);
        return error_set(err, ERROR_STORAGE, "%s: cannot be written: %s", path, strerror(cause));
    }
    return true;
}
