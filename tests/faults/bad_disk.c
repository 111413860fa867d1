/* tests/faults/bad_disk.c: a disk that stops, fills up or forgets at its n-th operation. */
#include "faults/bad_disk.h"

#include "faults/disk_files.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <sqlite3.h>

enum { MADE_MOST = 8 };

static struct {
    sqlite3_vfs vfs;
    sqlite3_vfs *real;
    pthread_mutex_t lock; /* all below */
    bool is_on;
    enum bad_how how;
    long at;
    long count;
    char made[MADE_MOST][PATH_MAX]; /* folders; "" = none, or durable */
} disk = { .lock = PTHREAD_MUTEX_INITIALIZER };

const char *bad_disk_name(enum bad_how how)
{
    static const char *const names[BAD_HOWS] = { "nothing", "stops", "tears", "is full",
                                                 "fails once" };
    return names[how];
}

int __real_open64(const char *path, int flags, ...);
int __real_fsync(int fd);
int __real_rename(const char *from, const char *to);
int __real_unlink(const char *path);

void bad_disk_cut(void)
{
    disk.is_on = false;
    sqlite3_vfs_register(disk.real, 1);
    /* After a mere stop the shared memory of SQLite may be there or not. */
    if (disk.how == BAD_TORN || (disk.how == BAD_STOP && disk_chance(2) == 0)) {
        disk_drop_shared_memory();
    }
    /* The power may also go when all is done: at is beyond the last operation then. */
    if (disk.how == BAD_TORN) {
        disk_files_cut();
    }
    disk_files_forget(0);
}

/* ---- counting ---- */

/* Counts one operation, under the lock: true if it is to fail.  grows: the file gets longer. */
static bool fails(bool grows)
{
    disk.count++;
    switch (disk.how) {
    case BAD_STOP:
    case BAD_TORN: return disk.count >= disk.at;
    case BAD_FULL: return disk.count >= disk.at && grows;
    case BAD_FULL_ONCE: return disk.count == disk.at;
    case BAD_NOTHING:
    case BAD_HOWS: return false;
    }
    return false;
}

static bool is_stopped(void)
{
    return (disk.how == BAD_STOP || disk.how == BAD_TORN) && disk.count >= disk.at;
}

static bool is_first(void)
{
    return disk.count == disk.at;
}

long bad_disk_count(void)
{
    return disk.count;
}

/* ---- SQLite's files ---- */

struct shim {
    sqlite3_file base;
    struct disk_file *at; /* NULL = no name */
    sqlite3_file *real;
    bool names; /* SQLite syncs the folder with its first sync */
};

static sqlite3_file *real_of(sqlite3_file *file)
{
    return ((struct shim *)file)->real;
}

static int shim_close(sqlite3_file *file)
{
    return real_of(file)->pMethods->xClose(real_of(file));
}

static int shim_read(sqlite3_file *file, void *bytes, int n, sqlite3_int64 at)
{
    pthread_mutex_lock(&disk.lock);
    const bool stopped = is_stopped();
    pthread_mutex_unlock(&disk.lock);
    return stopped ? SQLITE_IOERR_READ
                   : real_of(file)->pMethods->xRead(real_of(file), bytes, n, at);
}

static int shim_write(sqlite3_file *file, const void *bytes, int n, sqlite3_int64 at)
{
    struct shim *shim = (struct shim *)file;
    sqlite3_file *real = shim->real;
    pthread_mutex_lock(&disk.lock);
    sqlite3_int64 size = 0;
    (void)real->pMethods->xFileSize(real, &size);
    int code = SQLITE_OK;
    int part = n;
    if (fails(at + n > size)) {
        /* The write that was under way may have got as far as some sector. */
        part = is_stopped() && is_first()
                   ? (int)disk_chance(((uint64_t)n + DISK_SECTOR - 1) / DISK_SECTOR) * DISK_SECTOR
                   : 0;
        code = is_stopped() ? SQLITE_IOERR_WRITE : SQLITE_FULL;
    }
    if (part > 0 && shim->at != NULL) {
        disk_file_write(shim->at, (size_t)at, bytes, (size_t)part);
    }
    const int done = part > 0 ? real->pMethods->xWrite(real, bytes, part, at) : SQLITE_OK;
    pthread_mutex_unlock(&disk.lock);
    return code != SQLITE_OK ? code : done;
}

static int shim_truncate(sqlite3_file *file, sqlite3_int64 size)
{
    struct shim *shim = (struct shim *)file;
    pthread_mutex_lock(&disk.lock);
    int code = SQLITE_IOERR_TRUNCATE;
    if (!fails(false)) {
        if (shim->at != NULL) {
            disk_file_write(shim->at, (size_t)size, NULL, 0);
        }
        code = shim->real->pMethods->xTruncate(shim->real, size);
    }
    pthread_mutex_unlock(&disk.lock);
    return code;
}

/* The real sync is left out: the machine of the test keeps its power. */
static int shim_sync(sqlite3_file *file, int flags)
{
    struct shim *shim = (struct shim *)file;
    (void)flags;
    pthread_mutex_lock(&disk.lock);
    const bool failed = fails(false);
    if (!failed && shim->at != NULL) {
        disk_file_sync(shim->at);
    }
    if (!failed && shim->names) {
        disk_sync_folder_of(shim->at);
        shim->names = false;
    }
    pthread_mutex_unlock(&disk.lock);
    return failed ? SQLITE_IOERR_FSYNC : SQLITE_OK;
}

static int shim_file_size(sqlite3_file *file, sqlite3_int64 *size)
{
    return real_of(file)->pMethods->xFileSize(real_of(file), size);
}

static int shim_lock(sqlite3_file *file, int level)
{
    return real_of(file)->pMethods->xLock(real_of(file), level);
}

static int shim_unlock(sqlite3_file *file, int level)
{
    return real_of(file)->pMethods->xUnlock(real_of(file), level);
}

static int shim_check_reserved(sqlite3_file *file, int *out)
{
    return real_of(file)->pMethods->xCheckReservedLock(real_of(file), out);
}

static int shim_control(sqlite3_file *file, int operation, void *context)
{
    return real_of(file)->pMethods->xFileControl(real_of(file), operation, context);
}

static int shim_sector_size(sqlite3_file *file)
{
    return real_of(file)->pMethods->xSectorSize(real_of(file));
}

static int shim_characteristics(sqlite3_file *file)
{
    return real_of(file)->pMethods->xDeviceCharacteristics(real_of(file));
}

static int shim_shm_map(sqlite3_file *file, int region, int size, int extend, void volatile **out)
{
    return real_of(file)->pMethods->xShmMap(real_of(file), region, size, extend, out);
}

static int shim_shm_lock(sqlite3_file *file, int offset, int n, int flags)
{
    return real_of(file)->pMethods->xShmLock(real_of(file), offset, n, flags);
}

static void shim_shm_barrier(sqlite3_file *file)
{
    real_of(file)->pMethods->xShmBarrier(real_of(file));
}

static int shim_shm_unmap(sqlite3_file *file, int deletes)
{
    return real_of(file)->pMethods->xShmUnmap(real_of(file), deletes);
}

static const sqlite3_io_methods shim_methods = {
    .iVersion = 2,
    .xClose = shim_close,
    .xRead = shim_read,
    .xWrite = shim_write,
    .xTruncate = shim_truncate,
    .xSync = shim_sync,
    .xFileSize = shim_file_size,
    .xLock = shim_lock,
    .xUnlock = shim_unlock,
    .xCheckReservedLock = shim_check_reserved,
    .xFileControl = shim_control,
    .xSectorSize = shim_sector_size,
    .xDeviceCharacteristics = shim_characteristics,
    .xShmMap = shim_shm_map,
    .xShmLock = shim_shm_lock,
    .xShmBarrier = shim_shm_barrier,
    .xShmUnmap = shim_shm_unmap,
};

static int shim_open(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags,
                     int *out_flags)
{
    (void)vfs;
    struct shim *shim = (struct shim *)file;
    const int journals = SQLITE_OPEN_WAL | SQLITE_OPEN_MAIN_JOURNAL | SQLITE_OPEN_SUPER_JOURNAL;
    *shim = (struct shim){ .real = (sqlite3_file *)(shim + 1),
                           .names = name != NULL && (flags & journals) != 0 };
    *shim->real = (sqlite3_file){ 0 };
    pthread_mutex_lock(&disk.lock);
    const bool makes = name != NULL && (flags & SQLITE_OPEN_CREATE) != 0 && access(name, F_OK) != 0;
    int code = SQLITE_CANTOPEN;
    if (!fails(makes)) {
        if (name != NULL) {
            disk_file_make(name);
            shim->at = disk_file_at(name);
        }
        code = disk.real->xOpen(disk.real, name, shim->real, flags, out_flags);
    }
    pthread_mutex_unlock(&disk.lock);
    shim->base.pMethods = code == SQLITE_OK || shim->real->pMethods != NULL ? &shim_methods : NULL;
    return code;
}

static int shim_delete(sqlite3_vfs *vfs, const char *name, int sync_folder)
{
    (void)vfs;
    pthread_mutex_lock(&disk.lock);
    int code = SQLITE_IOERR_DELETE;
    if (!fails(false)) {
        struct disk_file *file = disk_file_at(name);
        disk_file_delete(file);
        if (sync_folder != 0) {
            disk_file_name(file);
        }
        code = disk.real->xDelete(disk.real, name, 0);
    }
    pthread_mutex_unlock(&disk.lock);
    return code;
}

void bad_disk_begin(void)
{
    disk.real = sqlite3_vfs_find(NULL);
    disk.vfs = *disk.real;
    disk.vfs.zName = "bad-disk";
    disk.vfs.szOsFile = (int)sizeof(struct shim) + disk.real->szOsFile;
    disk.vfs.xOpen = shim_open;
    disk.vfs.xDelete = shim_delete;
}

void bad_disk_set(enum bad_how how, long at, uint64_t seed)
{
    pthread_mutex_lock(&disk.lock);
    disk_files_forget(seed);
    disk.is_on = true;
    disk.how = how;
    disk.at = at;
    disk.count = 0;
    memset(disk.made, 0, sizeof disk.made);
    pthread_mutex_unlock(&disk.lock);
    sqlite3_vfs_register(&disk.vfs, 1);
}

/* ---- the store's own calls ---- */

int __wrap_open64(const char *path, int flags, ...);
int __wrap_fsync(int fd);
int __wrap_rename(const char *from, const char *to);
int __wrap_unlink(const char *path);
int __wrap_mkdir(const char *path, mode_t mode);
int __real_mkdir(const char *path, mode_t mode);

static int no(int code)
{
    errno = code;
    return -1;
}

int __wrap_open64(const char *path, int flags, ...)
{
    mode_t mode = 0;
    if ((flags & O_CREAT) != 0) {
        va_list rest;
        va_start(rest, flags);
        mode = va_arg(rest, mode_t);
        va_end(rest);
    }
    if ((flags & O_CREAT) == 0 || !disk.is_on) {
        return __real_open64(path, flags, mode);
    }
    pthread_mutex_lock(&disk.lock);
    const bool failed = fails(true);
    const bool stopped = is_stopped();
    if (!failed) {
        disk_file_make(path); /* not there yet: so it may be gone after a cut */
    }
    pthread_mutex_unlock(&disk.lock);
    return failed ? no(stopped ? EIO : ENOSPC) : __real_open64(path, flags, mode);
}

int bad_disk_lost_folders(void)
{
    int lost = 0;
    for (int i = 0; i < MADE_MOST; i++) {
        lost += disk.made[i][0] != '\0' ? 1 : 0;
    }
    return lost;
}

/* Those of the folders that lie in this one. */
static void names_are_durable(const char *folder)
{
    const size_t length = strlen(folder);
    for (int i = 0; i < MADE_MOST; i++) {
        char *made = disk.made[i];
        if (strncmp(made, folder, length) == 0 && made[length] == '/' &&
            strchr(made + length + 1, '/') == NULL) {
            made[0] = '\0';
        }
    }
}

int __wrap_mkdir(const char *path, mode_t mode)
{
    pthread_mutex_lock(&disk.lock);
    const bool failed = disk.is_on && fails(true);
    const int done = failed ? no(EIO) : __real_mkdir(path, mode);
    for (int i = 0; done == 0 && disk.is_on && i < MADE_MOST; i++) {
        if (disk.made[i][0] == '\0') {
            snprintf(disk.made[i], sizeof disk.made[i], "%s", path);
            break;
        }
    }
    pthread_mutex_unlock(&disk.lock);
    return done;
}

int __wrap_fsync(int fd)
{
    if (!disk.is_on) {
        return __real_fsync(fd);
    }
    char link[64];
    char path[PATH_MAX] = "";
    struct stat status = { 0 };
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    const bool is_known = readlink(link, path, sizeof path - 1) > 0 && fstat(fd, &status) == 0;
    pthread_mutex_lock(&disk.lock);
    const bool failed = fails(false);
    if (is_known && !failed) {
        disk_sync_path(path, S_ISDIR(status.st_mode));
        names_are_durable(path);
    }
    pthread_mutex_unlock(&disk.lock);
    return failed ? no(EIO) : 0;
}

int __wrap_rename(const char *from, const char *to)
{
    if (!disk.is_on) {
        return __real_rename(from, to);
    }
    pthread_mutex_lock(&disk.lock);
    const bool failed = fails(false);
    if (!failed) {
        disk_file_rename(from, to);
    }
    pthread_mutex_unlock(&disk.lock);
    return failed ? no(EIO) : __real_rename(from, to);
}

int __wrap_unlink(const char *path)
{
    if (!disk.is_on) {
        return __real_unlink(path);
    }
    pthread_mutex_lock(&disk.lock);
    const bool failed = fails(false);
    if (!failed) {
        disk_file_delete(disk_file_at(path));
    }
    pthread_mutex_unlock(&disk.lock);
    return failed ? no(EIO) : __real_unlink(path);
}
