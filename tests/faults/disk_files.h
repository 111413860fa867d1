/* tests/faults/disk_files.h: what a disk has of each file for certain, and what only perhaps.
 *
 * Beside the real file each has its content as of its last sync and a list of what was written
 * since.  disk_files_cut puts into the real files what a disk may have after a power cut: each
 * sector as some write since the sync left it, the length as some write left it; a name that was
 * not made durable stands for the new file or for what it stood for before.
 *
 * One set of files, no locks: tests/faults/bad_disk.c has one. */
#ifndef TESTS_FAULTS_DISK_FILES_H
#define TESTS_FAULTS_DISK_FILES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define DISK_SECTOR 512

struct disk_file;

/* Forgets all, and begins chance anew. */
void disk_files_forget(uint64_t seed);

/* A number from 0, less than below. */
uint64_t disk_chance(uint64_t below);

/* The file by its path; made known, as it lies there now, when it isn't yet. */
struct disk_file *disk_file_at(const char *path);
/* Begun at a path where nothing lies. */
void disk_file_make(const char *path);

/* bytes NULL = cut to the length `at`. */
void disk_file_write(struct disk_file *file, size_t at, const void *bytes, size_t size);
void disk_file_delete(struct disk_file *file);
void disk_file_rename(const char *from, const char *to);

void disk_file_sync(struct disk_file *file); /* what is in it */
void disk_file_name(struct disk_file *file); /* that its name stands for it */
/* A file's content, or the names in a folder. */
void disk_sync_path(const char *path, bool is_folder);
void disk_sync_folder_of(const struct disk_file *file);

void disk_files_cut(void);
void disk_drop_shared_memory(void);

#endif
