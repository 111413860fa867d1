/* tests/faults/disk_files.c: what a disk has of each file for certain, and what only perhaps. */
#include "faults/disk_files.h"

#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { SECTOR = DISK_SECTOR, FILES_MOST = 32 };

/* Bytes of a file, or that it isn't there. */
struct content {
    bool is_there;
    uint8_t *bytes;
    size_t size;
};

/* Not synced yet: a write, or a truncation (bytes NULL) to `at`. */
struct pending {
    size_t at;
    uint8_t *bytes;
    size_t size;
};

struct disk_file {
    char path[PATH_MAX];
    struct content durable; /* of this file, as of its last sync */
    struct content before;  /* what the name stood for while is_named is false */
    bool is_named;          /* that this file has the name is durable */
    bool is_deleted;
    struct pending *pending;
    size_t n_pending;
};

static struct {
    struct disk_file *items[FILES_MOST];
    size_t count;
    uint64_t seed;
    char renamed_from[PATH_MAX];
    struct disk_file *renamed; /* NULL = no rename that isn't durable */
} all;

/* xorshift64*.  Source: Vigna 2016, "An experimental exploration of Marsaglia's xorshift
 * generators, scrambled". */
uint64_t disk_chance(uint64_t below)
{
    all.seed ^= all.seed >> 12;
    all.seed ^= all.seed << 25;
    all.seed ^= all.seed >> 27;
    return (all.seed * 0x2545F4914F6CDD1DU >> 32) % below;
}

static void *must_have(void *memory)
{
    if (memory == NULL) {
        abort();
    }
    return memory;
}

/* ---- real files, by the plain calls ---- */

static struct content read_content(const char *path)
{
    struct content content = { 0 };
    const int fd = open(path, O_RDONLY | O_CLOEXEC);
    struct stat status = { 0 };
    if (fd >= 0 && fstat(fd, &status) == 0) {
        content.is_there = true;
        content.size = (size_t)status.st_size;
        content.bytes = must_have(malloc(content.size + 1));
        if (pread(fd, content.bytes, content.size, 0) != (ssize_t)content.size) {
            abort();
        }
    }
    if (fd >= 0) {
        close(fd);
    }
    return content;
}

static void write_content(const char *path, const struct content *content)
{
    (void)unlink(path);
    if (!content->is_there) {
        return;
    }
    const int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    if (fd < 0 || write(fd, content->bytes, content->size) != (ssize_t)content->size) {
        abort();
    }
    close(fd);
}

static struct content copy_of(const struct content *content)
{
    struct content copy = *content;
    copy.bytes = must_have(malloc(content->size + 1));
    if (content->size > 0) {
        memcpy(copy.bytes, content->bytes, content->size);
    }
    return copy;
}

/* ---- what is durable ---- */

static void resize(struct content *content, size_t size)
{
    if (size > content->size) {
        content->bytes = must_have(realloc(content->bytes, size + 1));
        memset(content->bytes + content->size, 0, size - content->size);
    }
    content->size = size;
}

static void apply(struct content *content, const struct pending *pending)
{
    if (pending->bytes == NULL) {
        resize(content, pending->at);
        return;
    }
    if (pending->at + pending->size > content->size) {
        resize(content, pending->at + pending->size);
    }
    memcpy(content->bytes + pending->at, pending->bytes, pending->size);
}

static void drop_pending(struct disk_file *file)
{
    for (size_t i = 0; i < file->n_pending; i++) {
        free(file->pending[i].bytes);
    }
    free(file->pending);
    file->pending = NULL;
    file->n_pending = 0;
}

/* Its content is. */
void disk_file_sync(struct disk_file *file)
{
    for (size_t i = 0; i < file->n_pending; i++) {
        apply(&file->durable, &file->pending[i]);
    }
    drop_pending(file);
}

/* What its name stands for is. */
void disk_file_name(struct disk_file *file)
{
    file->is_named = true;
    free(file->before.bytes);
    file->before = (struct content){ 0 };
}

void disk_file_write(struct disk_file *file, size_t at, const void *bytes, size_t size)
{
    /* In steps: a file has thousands of them. */
    if ((file->n_pending & 63U) == 0) {
        file->pending =
            must_have(realloc(file->pending, (file->n_pending + 64) * sizeof file->pending[0]));
    }
    struct pending *pending = &file->pending[file->n_pending++];
    *pending = (struct pending){ at, NULL, size };
    if (bytes != NULL) {
        pending->bytes = must_have(malloc(size + 1));
        memcpy(pending->bytes, bytes, size);
    }
}

/* The file by its path; made known, as it lies there now, when it isn't yet. */
struct disk_file *disk_file_at(const char *path)
{
    for (size_t i = 0; i < all.count; i++) {
        if (strcmp(all.items[i]->path, path) == 0) {
            return all.items[i];
        }
    }
    if (all.count == FILES_MOST) {
        abort();
    }
    struct disk_file *file = must_have(calloc(1, sizeof *file));
    snprintf(file->path, sizeof file->path, "%s", path);
    file->durable = read_content(path);
    /* That nothing is there is not durable once something is. */
    file->is_named = file->durable.is_there;
    all.items[all.count++] = file;
    return file;
}

void disk_file_make(const char *path)
{
    disk_file_at(path)->is_deleted = false;
}

/* The name goes, or another file gets it: until the folder is synced the old one may be back. */
static void unname(struct disk_file *file)
{
    if (file->is_named) {
        file->before = file->durable;
        file->before.is_there = !file->is_deleted;
    } else {
        free(file->durable.bytes);
    }
    file->durable = (struct content){ 0 };
    file->is_named = false;
    drop_pending(file);
}

void disk_file_delete(struct disk_file *file)
{
    unname(file);
    file->is_deleted = true;
}

void disk_file_rename(const char *from, const char *to)
{
    struct disk_file *source = disk_file_at(from);
    struct disk_file *target = disk_file_at(to);
    unname(target);
    target->durable = source->durable;
    target->pending = source->pending;
    target->n_pending = source->n_pending;
    target->is_deleted = false;
    source->durable = (struct content){ 0 };
    source->pending = NULL;
    source->n_pending = 0;
    source->is_named = true;
    source->is_deleted = true;
    all.renamed = target;
    snprintf(all.renamed_from, sizeof all.renamed_from, "%s", from);
}

void disk_sync_path(const char *path, bool is_folder)
{
    const size_t length = strlen(path);
    for (size_t i = 0; i < all.count; i++) {
        struct disk_file *file = all.items[i];
        if (strcmp(file->path, path) == 0) {
            disk_file_sync(file);
        } else if (is_folder && strncmp(file->path, path, length) == 0 &&
                   strchr(file->path + length + 1, '/') == NULL) {
            disk_file_name(file);
        }
    }
    all.renamed = is_folder ? NULL : all.renamed;
}

void disk_sync_folder_of(const struct disk_file *file)
{
    char folder[PATH_MAX];
    snprintf(folder, sizeof folder, "%s", file->path);
    *strrchr(folder, '/') = '\0';
    disk_sync_path(folder, true);
}

static void forget(struct disk_file *file)
{
    drop_pending(file);
    free(file->durable.bytes);
    free(file->before.bytes);
    free(file);
}

void disk_files_forget(uint64_t seed)
{
    for (size_t i = 0; i < all.count; i++) {
        forget(all.items[i]);
    }
    all.count = 0;
    all.renamed = NULL;
    all.seed = seed * 0x9E3779B97F4A7C15U | 1U;
}

/* ---- what the power cut leaves ---- */

/* Each sector got as far as some write to it; the length as far as some change of it. */
static void tear(struct content *content, const struct disk_file *file)
{
    const uint64_t seed = disk_chance(1U << 30);
    const size_t lengths = (size_t)disk_chance(file->n_pending + 1);
    size_t size = content->size;
    for (size_t i = 0; i < file->n_pending; i++) {
        const struct pending *pending = &file->pending[i];
        const size_t end = pending->at + pending->size;
        if (i < lengths && (pending->bytes == NULL || end > size)) {
            size = pending->bytes == NULL ? pending->at : end;
        }
        for (size_t from = pending->at; pending->bytes != NULL && from < end;) {
            const size_t sector = from / SECTOR;
            const size_t to = (sector + 1) * SECTOR < end ? (sector + 1) * SECTOR : end;
            /* One draw a sector, the same for every write: 0 = nothing, n = the first n writes. */
            const uint64_t draw = (seed + sector) * 0x9E3779B97F4A7C15U >> 33;
            if (i < draw % (file->n_pending + 1)) {
                if (to > content->size) {
                    resize(content, to);
                }
                memcpy(content->bytes + from, pending->bytes + (from - pending->at), to - from);
            }
            from = to;
        }
    }
    resize(content, size);
}

static void cut_file(const struct disk_file *file)
{
    const bool is_undone = !file->is_named && disk_chance(2) == 0;
    struct content content = copy_of(&file->durable);
    content.is_there = !file->is_deleted;
    tear(&content, file);
    if (is_undone && file == all.renamed) {
        write_content(all.renamed_from, &content);
    }
    write_content(file->path, is_undone ? &file->before : &content);
    free(content.bytes);
}

void disk_files_cut(void)
{
    for (size_t i = 0; i < all.count; i++) {
        cut_file(all.items[i]);
    }
}

/* SQLite's own shared memory does not outlive the machine. */
void disk_drop_shared_memory(void)
{
    for (size_t i = 0; i < all.count; i++) {
        char path[PATH_MAX + 8];
        snprintf(path, sizeof path, "%s-shm", all.items[i]->path);
        (void)unlink(path);
    }
}
