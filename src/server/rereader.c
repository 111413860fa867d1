/* server/rereader.c: rides that wait are read again while the server runs. */
#include "server/rereader.h"

#include "roster/rereading.h"
#include "roster/usual.h"
#include "server/log.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

struct rereader {
    struct store *store;
    struct events *events;
    const atomic_bool *is_heard;
    pthread_t thread;
    bool has_thread;
    atomic_bool is_closing;

    pthread_mutex_t lock; /* both below */
    pthread_cond_t moved;
    bool is_kicked;

    /* the thread's own */
    uint64_t generation; /* that was looked at */
    bool asked_if_newer;
    size_t done; /* since nothing waited last */
    size_t all;
};

static void tell(const struct rereader *rereader, const char *name, const char *data)
{
    if (atomic_load(rereader->is_heard)) {
        events_tell(rereader->events, 0, name, data);
    }
}

static void tell_progress(struct rereader *rereader, size_t done)
{
    char data[120];
    const size_t all = rereader->all > done ? rereader->all : done;
    snprintf(data, sizeof data, "{\"done\":%zu,\"all\":%zu,\"waiting\":%zu}", done, all,
             all - done);
    tell(rereader, "rereading", data);
}

static void tell_ride(void *context, size_t done, size_t all)
{
    struct rereader *rereader = context;
    (void)all;
    tell_progress(rereader, rereader->done + done);
}

static bool is_closing(void *context)
{
    return atomic_load(&((struct rereader *)context)->is_closing);
}

/* Those that are due: not given up, with nobody at them, and not waiting after a failure. */
static bool find_due(struct roster *roster, struct arena *arena, struct roster_now now,
                     struct rereading_jobs *out, size_t *waiting, struct error *err)
{
    struct job *jobs = NULL;
    size_t count = 0;
    if (!jobs_list(roster_db(roster), arena, JOB_READ, SIZE_MAX >> 1, &jobs, &count, err)) {
        return false;
    }
    out->ids = ARENA_ARRAY(arena, int64_t, JOBS_AT_ONCE_MOST);
    out->count = 0;
    *waiting = 0;
    for (size_t i = 0; i < count; i++) {
        if (jobs[i].tries >= JOBS_TRIES_MOST || jobs[i].lease_until_utc_s > now.utc_s) {
            continue;
        }
        (*waiting)++;
        if (out->count < JOBS_AT_ONCE_MOST) {
            out->ids[out->count++] = jobs[i].id;
        }
    }
    return true;
}

/* A core is left for those who ask meanwhile. */
static unsigned threads_wanted(void)
{
    const long cores = sysconf(_SC_NPROCESSORS_ONLN);
    return cores > 2 ? (unsigned)cores - 1 : 1;
}

/* One handful; *more when others wait. */
static bool read_some(struct rereader *rereader, struct roster *roster, bool *more,
                      struct error *err)
{
    struct arena *arena = arena_open();
    const struct roster_now now = store_now();
    struct rereading_jobs asked = { 0 };
    struct rereading_jobs due = { 0 };
    struct rereading_sum sum = { 0 };
    bool is_newer = false;
    size_t waiting = 0;
    bool done =
        (rereader->asked_if_newer || rereading_ask_if_newer(roster, arena, now, &is_newer, err)) &&
        rereading_look(roster, arena, now, &asked, err) &&
        find_due(roster, arena, now, &due, &waiting, err);
    rereader->asked_if_newer = rereader->asked_if_newer || done;
    if (done && due.count > 0) {
        const struct rereading_call call = { .roster = roster,
                                             .place = store_place(rereader->store),
                                             .now = now,
                                             .n_threads = threads_wanted(),
                                             .stopped = is_closing,
                                             .tell = tell_ride,
                                             .context = rereader };
        rereader->all = rereader->done + waiting;
        tell_progress(rereader, rereader->done);
        done = rereading_run(arena, &call, &due, &sum, err);
        rereader->done += sum.done + sum.failed + sum.elsewhere;
        tell_progress(rereader, rereader->done);
    }
    if (done && !is_closing(rereader)) {
        const struct usual_call usual = { roster, now, is_closing, rereader };
        size_t n_held = 0;
        done = usual_keep(&usual, &n_held, err);
    }
    /* What waits for another process's lease is looked at again by and by. */
    *more = done && due.count > 0 && sum.done + sum.failed > 0;
    arena_close(arena);
    return done;
}

static void read_waiting(struct rereader *rereader)
{
    struct roster *roster = NULL;
    struct error err = { 0 };
    bool more = true;
    bool done = store_reader(rereader->store, &roster, &err);
    rereader->done = 0;
    rereader->all = 0;
    while (done && more && !is_closing(rereader)) {
        done = read_some(rereader, roster, &more, &err);
    }
    if (roster != NULL) {
        store_reader_back(rereader->store, roster);
    }
    if (!done) {
        log_error("rides could not be read again: %s", err.message);
    }
}

static void look(struct rereader *rereader, int64_t *next_try_s)
{
    struct store_state state;
    struct error err = { 0 };
    const int64_t now_s = store_now().utc_s;
    if (!store_look(rereader->store, &state, &err)) {
        log_error("the roster can't be looked at: %s", err.message);
        return;
    }
    if (state.generation != rereader->generation) {
        char data[60];
        snprintf(data, sizeof data, "{\"generation\":%llu}", (unsigned long long)state.generation);
        tell(rereader, "changed", data);
        rereader->generation = state.generation;
    } else if (now_s < *next_try_s) {
        return;
    }
    *next_try_s = now_s + JOBS_WAIT_S; /* those that failed before are due by then */
    read_waiting(rereader);
}

static void *run(void *context)
{
    struct rereader *rereader = context;
    int64_t next_try_s = 0;
    pthread_mutex_lock(&rereader->lock);
    while (!is_closing(rereader)) {
        rereader->is_kicked = false;
        pthread_mutex_unlock(&rereader->lock);
        look(rereader, &next_try_s);
        pthread_mutex_lock(&rereader->lock);
        struct timespec due = { 0 };
        clock_gettime(CLOCK_REALTIME, &due);
        due.tv_sec += REREADER_LOOK_MS / 1000;
        while (!rereader->is_kicked && !is_closing(rereader) &&
               pthread_cond_timedwait(&rereader->moved, &rereader->lock, &due) == 0) {
        }
    }
    pthread_mutex_unlock(&rereader->lock);
    return NULL;
}

struct rereader *rereader_open(struct store *store, struct events *events,
                               const atomic_bool *is_heard)
{
    struct rereader *rereader = calloc(1, sizeof *rereader);
    if (rereader == NULL) {
        abort();
    }
    rereader->store = store;
    rereader->events = events;
    rereader->is_heard = is_heard;
    atomic_init(&rereader->is_closing, false);
    pthread_mutex_init(&rereader->lock, NULL);
    pthread_cond_init(&rereader->moved, NULL);
    rereader->has_thread = pthread_create(&rereader->thread, NULL, run, rereader) == 0;
    return rereader;
}

void rereader_close(struct rereader *rereader)
{
    if (rereader == NULL) {
        return;
    }
    atomic_store(&rereader->is_closing, true);
    rereader_kick(rereader);
    if (rereader->has_thread) {
        pthread_join(rereader->thread, NULL);
    }
    pthread_cond_destroy(&rereader->moved);
    pthread_mutex_destroy(&rereader->lock);
    free(rereader);
}

void rereader_kick(struct rereader *rereader)
{
    pthread_mutex_lock(&rereader->lock);
    rereader->is_kicked = true;
    pthread_cond_signal(&rereader->moved);
    pthread_mutex_unlock(&rereader->lock);
}
