/* roster/import.c: from files to the roster.
 *
 *     source (one lock)      readers (a thread each)         writer (the caller's thread)
 *     next file or entry ──> bytes to packed rows ──> slot n ──> in order ──> batch ──> COMMIT
 *
 * Readers run at most JOBS_AHEAD jobs ahead of the writer, which bounds memory. */
#include "roster/import.h"

#include "base/text.h"
#include "recording/container.h"
#include "roster/folders.h"
#include "roster/import_job.h"
#include "roster/import_list.h"

#include <pthread.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { JOBS_AHEAD = 32, THREADS_MOST = 64 };

const char *import_outcome_name(enum import_outcome outcome)
{
    static const char *const names[] = {
        [IMPORT_TAKEN] = "taken",
        [IMPORT_KNOWN] = "known",
        [IMPORT_CONFLICT] = "conflict",
        [IMPORT_UNREADABLE] = "unreadable",
        [IMPORT_OTHER_THING] = "not-a-recording",
        [IMPORT_NO_RIDER] = "no-rider",
        [IMPORT_OUTCOMES] = "",
    };
    return names[outcome];
}

struct import {
    const struct import_call *call;
    struct arena *arena; /* the writer's alone */
    struct listed_files files;
    const struct rider **riders; /* [files.count] whose each is; NULL = nobody's */
    struct limits limits;

    pthread_mutex_t lock; /* all below */
    pthread_cond_t moved; /* a slot was filled, emptied, or it is over */
    size_t next_file;
    size_t file; /* of the open container */
    struct arena *of_container;
    struct container *container;
    struct import_job *slots[JOBS_AHEAD];
    size_t n_begun; /* jobs handed out */
    size_t n_taken; /* by the writer */
    bool is_over;   /* no more jobs: all handed out, stopped, or failed */
    struct error failed;
};

/* ---- the source, under the lock ---- */

static struct import_job *job_of(const struct import *import, size_t file)
{
    struct import_job *job = import_job_open();
    const struct listed_file *listed = &import->files.items[file];
    job->name = text_clean(job->arena, listed->name, strlen(listed->name));
    job->path = text_clean(job->arena, listed->path, strlen(listed->path));
    job->rider = import->riders[file];
    job->place = file;
    job->columns = import->call->columns;
    job->n_columns = import->call->n_columns;
    return job;
}

static void close_container(struct import *import)
{
    container_close(import->container);
    arena_close(import->of_container);
    import->container = NULL;
    import->of_container = NULL;
}

/* The next entry of the open container; NULL when it has no more. */
static struct import_job *next_entry(struct import *import)
{
    struct import_job *job = job_of(import, import->file);
    struct container_entry entry = { 0 };
    if (!container_next(import->container, job->scratch, &entry)) {
        import_job_close(job);
        close_container(import);
        return NULL;
    }
    /* "rides.zip: june/a.fit" is "/home/coach/rides.zip: june/a.fit" to the roster. */
    const size_t length = strlen(job->name);
    if (strncmp(entry.name, job->name, length) == 0) {
        job->path = arena_format(job->arena, "%s%s", job->path, entry.name + length);
    }
    job->name = arena_string(job->arena, entry.name);
    job->damage = arena_string(job->arena, entry.damage);
    job->note = arena_string(job->arena, entry.note);
    job->failed = entry.error;
    /* Bytes of a plain file are the container's. */
    job->bytes = (struct bytes){ arena_copy(job->scratch, entry.bytes.at, entry.bytes.size),
                                 entry.bytes.size };
    return job;
}

/* Opens the next file; a job with its error if it can't be. */
static struct import_job *open_file(struct import *import)
{
    const size_t file = import->next_file++;
    const struct listed_file *listed = &import->files.items[file];
    struct import_job *job = job_of(import, file);
    struct bytes packed = { 0 };
    import->file = file;
    import->of_container = arena_open();
    const char *name = arena_string(import->of_container, job->name);
    if (import->riders[file] == NULL ||
        !files_read(import->of_container, listed->opened != NULL ? listed->opened : listed->path,
                    (size_t)import->limits.value[LIMIT_CAP_FILE_BYTES], &packed, &job->failed) ||
        !container_open(import->of_container, packed, name, &import->limits, &import->container,
                        &job->failed)) {
        close_container(import);
        return job;
    }
    import_job_close(job);
    return NULL;
}

static struct import_job *next_job(struct import *import)
{
    for (;;) {
        struct import_job *job = NULL;
        if (import->container != NULL) {
            job = next_entry(import);
        } else if (import->next_file < import->files.count) {
            job = open_file(import);
        } else {
            return NULL;
        }
        if (job != NULL) {
            return job;
        }
    }
}

static bool is_stopped(const struct import *import)
{
    return import->call->stopped != NULL && import->call->stopped(import->call->context);
}

/* ---- readers ---- */

static void read_jobs(struct import *import, struct roster *roster)
{
    pthread_mutex_lock(&import->lock);
    for (;;) {
        while (!import->is_over && import->n_begun >= import->n_taken + JOBS_AHEAD) {
            pthread_cond_wait(&import->moved, &import->lock);
        }
        struct import_job *job = import->is_over || is_stopped(import) ? NULL : next_job(import);
        if (job == NULL) {
            break;
        }
        const size_t number = import->n_begun++;
        struct error err = { 0 };
        pthread_mutex_unlock(&import->lock);
        const bool done = import_job_read(job, roster, &err);
        arena_close(job->scratch);
        job->scratch = NULL;
        pthread_mutex_lock(&import->lock);
        import->slots[number % JOBS_AHEAD] = job;
        if (!done && import->failed.kind == ERROR_NONE) {
            import->failed = err;
        }
        import->is_over = import->is_over || !done;
        pthread_cond_broadcast(&import->moved);
    }
    import->is_over = true;
    pthread_cond_broadcast(&import->moved);
    pthread_mutex_unlock(&import->lock);
}

static void *reader(void *context)
{
    struct import *import = context;
    struct roster *roster = NULL;
    struct error err = { 0 };
    if (roster_open(import->call->place, ROSTER_OPEN, import->call->now, &roster, &err)) {
        read_jobs(import, roster);
        roster_close(roster);
        return NULL;
    }
    pthread_mutex_lock(&import->lock);
    import->failed = err;
    import->is_over = true;
    pthread_cond_broadcast(&import->moved);
    pthread_mutex_unlock(&import->lock);
    return NULL;
}

/* ---- the writer ---- */

struct batch {
    struct import *import;
    struct import_job *jobs[IMPORT_FILES_MOST];
    size_t count;
};

static bool store_batch(struct db *db, void *context, struct error *err)
{
    struct batch *batch = context;
    for (size_t i = 0; i < batch->count; i++) {
        if (!import_job_store(batch->jobs[i], db, batch->import->call->now.utc_s, err)) {
            return false;
        }
    }
    return true;
}

static void count_file(struct import_sum *sum, const struct imported_file *file)
{
    sum->files[file->outcome]++;
    for (size_t i = 0; i < file->n_rides && file->outcome == IMPORT_TAKEN; i++) {
        sum->rides++;
        sum->same += file->rides[i].same_as != 0 ? 1 : 0;
    }
}

/* Commits what is there, and only then says so. */
static bool flush(struct batch *batch, struct import_sum *sum, struct error *err)
{
    const struct import_call *call = batch->import->call;
    const bool done =
        batch->count == 0 || db_write(roster_db(call->roster), store_batch, batch, err);
    for (size_t i = 0; i < batch->count; i++) {
        struct import_job *job = batch->jobs[i];
        if (done) {
            job->done.n_files = batch->import->files.count;
            count_file(sum, &job->done);
            if (call->tell != NULL) {
                call->tell(call->context, &job->done);
            }
        }
        import_job_close(job);
    }
    batch->count = 0;
    return done;
}

static bool is_before(const struct timespec *a, const struct timespec *b)
{
    return a->tv_sec < b->tv_sec || (a->tv_sec == b->tv_sec && a->tv_nsec < b->tv_nsec);
}

/* The next job in order.  NULL when there is none by `due`, or no more at all (*is_last). */
static struct import_job *take_job(struct import *import, const struct timespec *due, bool *is_last)
{
    struct import_job *job = NULL;
    *is_last = false;
    pthread_mutex_lock(&import->lock);
    for (;;) {
        struct import_job **slot = &import->slots[import->n_taken % JOBS_AHEAD];
        if (*slot != NULL) {
            job = *slot;
            *slot = NULL;
            import->n_taken++;
            pthread_cond_broadcast(&import->moved);
            break;
        }
        if (import->is_over && import->n_taken == import->n_begun) {
            *is_last = true;
            break;
        }
        struct timespec now = { 0 };
        clock_gettime(CLOCK_MONOTONIC, &now);
        if (due != NULL && !is_before(&now, due)) {
            break;
        }
        if (due == NULL) {
            pthread_cond_wait(&import->moved, &import->lock);
        } else {
            pthread_cond_timedwait(&import->moved, &import->lock, due);
        }
    }
    pthread_mutex_unlock(&import->lock);
    return job;
}

static bool write_jobs(struct import *import, struct import_sum *sum, struct error *err)
{
    struct batch batch = { .import = import };
    struct timespec due = { 0 };
    for (;;) {
        bool is_last = false;
        struct import_job *job = take_job(import, batch.count > 0 ? &due : NULL, &is_last);
        if (job != NULL) {
            if (batch.count == 0) {
                clock_gettime(CLOCK_MONOTONIC, &due);
                due.tv_sec += IMPORT_SECONDS_MOST;
            }
            batch.jobs[batch.count++] = job;
        }
        struct timespec now = { 0 };
        clock_gettime(CLOCK_MONOTONIC, &now);
        const bool is_due = batch.count == IMPORT_FILES_MOST || !is_before(&now, &due);
        if ((is_last || is_due) && !flush(&batch, sum, err)) {
            return false;
        }
        if (is_last) {
            return true;
        }
    }
}

/* After a failure jobs may still be on their way. */
static void drop_jobs(struct import *import)
{
    for (size_t i = 0; i < JOBS_AHEAD; i++) {
        import_job_close(import->slots[i]);
        import->slots[i] = NULL;
    }
    if (import->of_container != NULL) {
        close_container(import);
    }
}

static unsigned threads_wanted(const struct import_call *call)
{
    const long cores = sysconf(_SC_NPROCESSORS_ONLN);
    const unsigned wanted =
        call->n_threads > 0 ? call->n_threads : (unsigned)(cores > 0 ? cores : 1);
    return wanted > THREADS_MOST ? THREADS_MOST : wanted;
}

static bool run(struct import *import, struct import_sum *sum, struct error *err)
{
    pthread_t threads[THREADS_MOST];
    const unsigned wanted = threads_wanted(import->call);
    unsigned begun = 0;
    while (begun < wanted && pthread_create(&threads[begun], NULL, reader, import) == 0) {
        begun++;
    }
    if (begun == 0) {
        return error_set(err, ERROR_INTERNAL, "no thread could be started; try again");
    }
    bool done = write_jobs(import, sum, err);
    pthread_mutex_lock(&import->lock);
    import->is_over = true;
    pthread_cond_broadcast(&import->moved);
    pthread_mutex_unlock(&import->lock);
    for (unsigned i = 0; i < begun; i++) {
        pthread_join(threads[i], NULL);
    }
    if (done && import->failed.kind != ERROR_NONE) {
        *err = import->failed;
        done = false;
    }
    sum->was_stopped = is_stopped(import);
    drop_jobs(import);
    return done;
}

/* ---- before ---- */

static bool find_riders(struct import *import, struct error *err)
{
    const struct import_call *call = import->call;
    struct folders *folders = NULL;
    import->riders = ARENA_ARRAY(import->arena, const struct rider *, import->files.count);
    if (!folders_open(call->roster, import->arena, &folders, err)) {
        return false;
    }
    for (size_t i = 0; i < import->files.count; i++) {
        import->riders[i] = call->rider != NULL ? call->rider
                                                : folders_rider(folders, import->arena,
                                                                import->files.items[i].path);
    }
    return true;
}

static bool keep_folders(struct import *import, struct error *err)
{
    const struct import_call *call = import->call;
    for (size_t i = 0; call->rider != NULL && i < import->files.n_folders; i++) {
        if (!folders_keep(call->roster, import->arena, call->now, import->files.folders[i],
                          call->rider, err)) {
            return false;
        }
    }
    return true;
}

static bool run_list(struct import *import, struct import_sum *sum, struct error *err)
{
    if (!keep_folders(import, err) || !find_riders(import, err)) {
        return false;
    }
    sum->n_listed = import->files.count;
    pthread_condattr_t monotonic;
    pthread_condattr_init(&monotonic);
    pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
    pthread_cond_init(&import->moved, &monotonic);
    pthread_condattr_destroy(&monotonic);
    pthread_mutex_init(&import->lock, NULL);
    const bool done = run(import, sum, err);
    pthread_cond_destroy(&import->moved);
    pthread_mutex_destroy(&import->lock);
    return done;
}

bool import_paths(struct arena *arena, const struct import_call *call, const char *const paths[],
                  size_t n, struct import_sum *sum, struct error *err)
{
    struct import import = { .call = call, .arena = arena, .limits = limits_default() };
    *sum = (struct import_sum){ 0 };
    return import_list(arena, paths, n, &import.files, err) && run_list(&import, sum, err);
}

bool import_open_file(struct arena *arena, const struct import_call *call, int fd, const char *name,
                      struct import_sum *sum, struct error *err)
{
    struct import import = { .call = call, .arena = arena, .limits = limits_default() };
    struct listed_file file = { .name = name,
                                .path = name,
                                .opened = arena_format(arena, "/proc/self/fd/%d", fd) };
    *sum = (struct import_sum){ 0 };
    import.files.items = &file;
    import.files.count = 1;
    return run_list(&import, sum, err);
}
