/* server/tasks.c: work that takes longer than a request may wait. */
#include "server/tasks.h"

#include "base/clock.h"
#include "server/problem.h"
#include "server/answering.h"

#include <errno.h>
#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { TASKS_THREADS = TASKS_AT_ONCE + TASKS_ANSWERS };

enum task_state { TASK_WAITS, TASK_RUNS, TASK_DONE, TASK_FAILED, TASK_STOPPED };

static const char *const state_names[] = {
    [TASK_WAITS] = "waiting", [TASK_RUNS] = "running",    [TASK_DONE] = "done",
    [TASK_FAILED] = "failed", [TASK_STOPPED] = "stopped",
};

enum { TASK_KEY = 1000 }; /* bytes of an answer's key that others may find it by */

struct task {
    struct tasks *tasks;
    struct store *store;
    int64_t id; /* 0 = a free place */
    const struct api_route *route;
    struct api_call call; /* while it waits or runs, its thread's; then its result alone */
    struct api_upload upload;
    struct kept *kept;  /* of an answer, as all to the next blank line; NULL = it is none */
    char key[TASK_KEY]; /* "" = nobody else may have it */
    uint64_t generation;

    atomic_bool is_stopped;

    /* under the lock of tasks */
    enum task_state state;
    size_t done;
    size_t all;
    char words[240];
    int64_t began_ms;
    int64_t told_ms;
    char *result; /* JSON; NULL = none */
    struct kept_answer *answer;
    size_t waiters; /* for the answer, now */
    bool is_told;   /* somebody was told of the job: always, but for an answer */
    struct error error;
};

struct tasks {
    struct events *events;
    pthread_t threads[TASKS_THREADS];
    size_t n_threads;

    pthread_mutex_t lock; /* all below */
    pthread_cond_t moved;
    bool is_closing;
    int64_t last_id;
    struct task items[TASKS_KEPT];
};

static bool is_over(const struct task *task)
{
    return task->state != TASK_WAITS && task->state != TASK_RUNS;
}

/* ---- what is told of it; under the lock ---- */

/* What a job of a route is called. */
static const char *kind_of(const struct api_route *route)
{
    return route->kind == API_READ                  ? "answer"
           : strcmp(route->pattern, "imports") == 0 ? "import"
                                                    : route->pattern;
}

/* By how long it took so far; NAN before that says much. */
static double left_s(const struct task *task)
{
    const double took_s = (double)(clock_steady_ms() - task->began_ms) / 1000.0;
    return task->state != TASK_RUNS || task->done == 0 || task->done > task->all || took_s < 1.0
               ? (double)NAN
               : took_s * (double)(task->all - task->done) / (double)task->done;
}

static void write_task(const struct task *task, struct json *json, bool with_result)
{
    char url[60];
    struct text problem = text_begin(json->out->arena, 4000);
    snprintf(url, sizeof url, "/api/1/jobs/%lld", (long long)task->id);
    if (task->error.kind != ERROR_NONE) {
        problem_write(&problem, problem_status(task->error.kind), &task->error,
                      store_said_place(task->store));
    }
    json_begin_object(json, NULL);
    json_integer(json, "id", task->id);
    json_string(json, "url", url);
    json_string(json, "kind", kind_of(task->route));
    json_string(json, "state", state_names[task->state]);
    json_integer(json, "done", (int64_t)task->done);
    json_integer(json, "all", (int64_t)task->all);
    json_number(json, "left_s", left_s(task), 0);
    json_string(json, "words", task->words[0] == '\0' ? NULL : task->words);
    json_raw(json, "error", problem.bytes);
    json_raw(json, "result", with_result ? task->result : NULL);
    json_end_object(json);
}

static void tell(struct task *task)
{
    if (!task->is_told) {
        return;
    }
    struct arena *arena = arena_open();
    struct text out = text_begin(arena, 8000);
    struct json json = json_begin(&out);
    write_task(task, &json, false);
    events_tell(task->tasks->events, task->id, "job", out.bytes);
    if (is_over(task)) {
        events_end(task->tasks->events, task->id);
    }
    arena_close(arena);
}

/* ---- for handlers ---- */

void task_tell(struct task *task, size_t done, size_t all, const char *words)
{
    const int64_t now = clock_steady_ms();
    pthread_mutex_lock(&task->tasks->lock);
    task->done = done;
    task->all = all;
    if (words != NULL) {
        struct arena *arena = arena_open();
        strncpy(task->words, text_clean(arena, words, strnlen(words, 200)), sizeof task->words - 1);
        arena_close(arena);
    }
    if (now - task->told_ms >= TASKS_EVENT_MS || done == all) {
        task->told_ms = now;
        tell(task);
    }
    pthread_mutex_unlock(&task->tasks->lock);
}

bool task_stopped(void *task)
{
    return atomic_load(&((struct task *)task)->is_stopped);
}

bool task_goes_on(struct task *task, size_t n, size_t all, const char *words, struct error *err)
{
    if (task == NULL) {
        return true;
    }
    task_tell(task, n, all, words);
    return !task_stopped(task) || error_set(err, ERROR_BUSY, "stopped before it was done");
}

/* ---- its thread ---- */

static void let_go(struct task *task)
{
    task->key[0] = '\0';
    if (task->call.upload != NULL) {
        close(task->upload.fd);
        task->call.upload = NULL;
    }
    arena_close(task->call.arena);
    task->call.arena = NULL;
}

static bool make(struct task *task, struct error *err)
{
    struct roster *roster = NULL;
    if (task->kept != NULL) {
        return answering_make(task->store, task->route, &task->call, err);
    }
    if (!store_reader(task->store, &roster, err)) {
        return false;
    }
    task->call.roster = roster;
    task->call.now = store_now();
    const bool done = task->route->handler(&task->call, err);
    store_reader_back(task->store, roster);
    return done;
}

/* An answer that nobody was told of leaves no trace; under the lock. */
static void free_if_unheard(struct task *task)
{
    if (task->kept != NULL && is_over(task) && task->waiters == 0) {
        kept_let_go(task->answer);
        task->answer = NULL;
        task->id = task->is_told ? task->id : 0;
    }
}

static void run(struct task *task)
{
    struct error err = { 0 };
    const bool done = make(task, &err);
    struct text result = { 0 };
    struct kept_answer *answer = NULL;
    if (done && task->kept != NULL) {
        answer = answering_keep(task->kept, task->key[0] == '\0' ? NULL : task->key,
                                task->generation, &task->call);
    } else if (done) {
        result = task->call.out;
    }
    const bool was_stopped = atomic_load(&task->is_stopped);
    pthread_mutex_lock(&task->tasks->lock);
    task->answer = answer;
    if (!was_stopped) {
        task->error = err;
    }
    task->result = answering_copy(&result);
    task->state = was_stopped ? TASK_STOPPED : done ? TASK_DONE : TASK_FAILED;
    let_go(task);
    tell(task);
    pthread_cond_broadcast(&task->tasks->moved);
    free_if_unheard(task);
    pthread_mutex_unlock(&task->tasks->lock);
}

/* The one that waits for longest; under the lock. */
static struct task *next_task(struct tasks *tasks, bool is_answer)
{
    struct task *next = NULL;
    for (size_t i = 0; i < TASKS_KEPT; i++) {
        struct task *one = &tasks->items[i];
        if (one->id != 0 && one->state == TASK_WAITS && (one->kept != NULL) == is_answer &&
            (next == NULL || one->id < next->id)) {
            next = one;
        }
    }
    return next;
}

/* Imports don't hold answers up: each kind has its threads. */
static void work(struct tasks *tasks, bool is_answer)
{
    pthread_mutex_lock(&tasks->lock);
    while (!tasks->is_closing) {
        struct task *task = next_task(tasks, is_answer);
        if (task == NULL) {
            pthread_cond_wait(&tasks->moved, &tasks->lock);
            continue;
        }
        task->state = TASK_RUNS;
        task->began_ms = clock_steady_ms();
        tell(task);
        pthread_mutex_unlock(&tasks->lock);
        run(task);
        pthread_mutex_lock(&tasks->lock);
    }
    pthread_mutex_unlock(&tasks->lock);
}

static void *worker(void *tasks)
{
    work(tasks, false);
    return NULL;
}

static void *answerer(void *tasks)
{
    work(tasks, true);
    return NULL;
}

/* ---- the server's calls ---- */

struct tasks *tasks_open(struct events *events)
{
    struct tasks *tasks = calloc(1, sizeof *tasks);
    if (tasks == NULL) {
        abort();
    }
    tasks->events = events;
    pthread_mutex_init(&tasks->lock, NULL);
    pthread_condattr_t steady;
    pthread_condattr_init(&steady);
    pthread_condattr_setclock(&steady, CLOCK_MONOTONIC);
    pthread_cond_init(&tasks->moved, &steady);
    pthread_condattr_destroy(&steady);
    while (tasks->n_threads < TASKS_THREADS &&
           pthread_create(&tasks->threads[tasks->n_threads], NULL,
                          tasks->n_threads < TASKS_AT_ONCE ? worker : answerer, tasks) == 0) {
        tasks->n_threads++;
    }
    return tasks;
}

void tasks_close(struct tasks *tasks)
{
    if (tasks == NULL) {
        return;
    }
    pthread_mutex_lock(&tasks->lock);
    tasks->is_closing = true;
    for (size_t i = 0; i < TASKS_KEPT; i++) {
        atomic_store(&tasks->items[i].is_stopped, true);
    }
    pthread_cond_broadcast(&tasks->moved);
    pthread_mutex_unlock(&tasks->lock);
    for (size_t i = 0; i < tasks->n_threads; i++) {
        pthread_join(tasks->threads[i], NULL);
    }
    for (size_t i = 0; i < TASKS_KEPT; i++) {
        let_go(&tasks->items[i]);
        free(tasks->items[i].result);
        kept_let_go(tasks->items[i].answer);
    }
    pthread_cond_destroy(&tasks->moved);
    pthread_mutex_destroy(&tasks->lock);
    free(tasks);
}

/* A free place, else that of the one which has been over for longest; NULL when none is over. */
static struct task *find_place(struct tasks *tasks)
{
    struct task *place = NULL;
    for (size_t i = 0; i < TASKS_KEPT; i++) {
        struct task *one = &tasks->items[i];
        if (one->id == 0) {
            return one;
        }
        if (is_over(one) && one->waiters == 0 && (place == NULL || one->id < place->id)) {
            place = one;
        }
    }
    return place;
}

/* Files lie on the disk until they are taken; under the lock. */
static size_t files_waiting(const struct tasks *tasks)
{
    size_t n = 0;
    for (size_t i = 0; i < TASKS_KEPT; i++) {
        const struct task *one = &tasks->items[i];
        n += one->id != 0 && !is_over(one) && one->upload.fd > 0 ? 1 : 0;
    }
    return n;
}

static void fill(struct task *task, struct tasks *tasks, struct store *store,
                 const struct api_route *route, const struct api_call *call)
{
    free(task->result);
    memset(task, 0, sizeof *task);
    task->tasks = tasks;
    task->store = store;
    task->id = ++tasks->last_id;
    task->route = route;
    task->call = *call;
    task->call.task = task;
    task->is_told = true;
    atomic_init(&task->is_stopped, tasks->is_closing);
    if (call->upload != NULL) {
        task->upload = *call->upload;
        task->call.upload = &task->upload;
    }
}

static bool refuse(struct api_call *call, struct error *err)
{
    if (call->upload != NULL) {
        close(call->upload->fd);
    }
    arena_close(call->arena);
    return error_set(err, ERROR_BUSY, "too much waits to be done already; try again in a minute");
}

bool tasks_begin(struct tasks *tasks, struct store *store, const struct api_route *route,
                 struct api_call *call, int64_t *id, struct error *err)
{
    pthread_mutex_lock(&tasks->lock);
    const bool has_room = call->upload == NULL || files_waiting(tasks) < TASKS_FILES_MOST;
    struct task *place = tasks->n_threads == TASKS_THREADS && has_room ? find_place(tasks) : NULL;
    if (place != NULL) {
        fill(place, tasks, store, route, call);
        *id = place->id;
        tell(place);
        pthread_cond_broadcast(&tasks->moved);
    }
    pthread_mutex_unlock(&tasks->lock);
    const bool begun = place != NULL || refuse(call, err);
    *call = (struct api_call){ 0 };
    return begun;
}

/* Under the lock. */
static struct task *find(struct tasks *tasks, int64_t id, struct error *err)
{
    for (size_t i = 0; i < TASKS_KEPT && id > 0; i++) {
        if (tasks->items[i].id == id) {
            return &tasks->items[i];
        }
    }
    error_set(err, ERROR_NOT_FOUND, "job %lld: there is none, or it is long over", (long long)id);
    return NULL;
}

/* The one that makes that answer already; under the lock. */
static struct task *find_answer(struct tasks *tasks, const struct task_answer *answer)
{
    for (size_t i = 0; i < TASKS_KEPT; i++) {
        struct task *one = &tasks->items[i];
        if (one->id != 0 && one->key[0] != '\0' && !is_over(one) &&
            one->generation == answer->generation && strcmp(one->key, answer->key) == 0 &&
            !atomic_load(&one->is_stopped)) {
            return one;
        }
    }
    return NULL;
}

bool tasks_begin_answer(struct tasks *tasks, struct store *store, const struct api_route *route,
                        struct api_call *call, const struct task_answer *answer, int64_t *id,
                        struct error *err)
{
    pthread_mutex_lock(&tasks->lock);
    struct task *task = find_answer(tasks, answer);
    const bool is_new = task == NULL;
    task = is_new && tasks->n_threads == TASKS_THREADS ? find_place(tasks) : task;
    if (task != NULL && is_new) {
        fill(task, tasks, store, route, call);
        task->is_told = false;
        task->kept = answer->kept;
        /* Of a longer one the next who asks has a job of its own. */
        if (strlen(answer->key) < sizeof task->key) {
            memcpy(task->key, answer->key, strlen(answer->key) + 1);
        }
        task->generation = answer->generation;
        pthread_cond_broadcast(&tasks->moved);
    }
    if (task != NULL) {
        task->waiters++;
        *id = task->id;
    }
    pthread_mutex_unlock(&tasks->lock);
    const bool begun = task != NULL || refuse(call, err);
    if (begun && !is_new) {
        arena_close(call->arena);
    }
    *call = (struct api_call){ 0 };
    return begun;
}

bool tasks_take_answer(struct tasks *tasks, int64_t id, int64_t wait_ms, struct kept_answer **out,
                       struct error *err)
{
    struct timespec due;
    clock_gettime(CLOCK_MONOTONIC, &due);
    due.tv_sec += wait_ms / 1000 + (due.tv_nsec + wait_ms % 1000 * 1000000) / 1000000000;
    due.tv_nsec = (due.tv_nsec + wait_ms % 1000 * 1000000) % 1000000000;
    *out = NULL;
    pthread_mutex_lock(&tasks->lock);
    struct task *task = find(tasks, id, err);
    bool is_late = task == NULL;
    while (!is_late && !is_over(task) && !tasks->is_closing) {
        is_late = pthread_cond_timedwait(&tasks->moved, &tasks->lock, &due) == ETIMEDOUT;
    }
    bool done = task != NULL;
    if (done && is_over(task)) {
        done = task->answer != NULL;
        *out = done ? kept_hold(task->answer) : NULL;
        if (!done && task->error.kind != ERROR_NONE) {
            *err = task->error;
        } else if (!done) {
            error_set(err, ERROR_BUSY, "stopped before it was done; ask again");
        }
    } else if (done) {
        task->is_told = true;
        tell(task);
    }
    if (task != NULL) {
        task->waiters--;
        free_if_unheard(task);
    }
    pthread_mutex_unlock(&tasks->lock);
    return done;
}

bool tasks_write(struct tasks *tasks, int64_t id, bool with_result, struct json *json,
                 struct error *err)
{
    pthread_mutex_lock(&tasks->lock);
    const struct task *task = find(tasks, id, err);
    if (task != NULL) {
        write_task(task, json, with_result);
    }
    pthread_mutex_unlock(&tasks->lock);
    return task != NULL;
}

/* The newest job older than an id; under the lock. */
static const struct task *told_before(const struct tasks *tasks, int64_t id)
{
    const struct task *newest = NULL;
    for (size_t i = 0; i < TASKS_KEPT; i++) {
        const struct task *one = &tasks->items[i];
        if (one->id != 0 && one->id < id && one->is_told &&
            (newest == NULL || one->id > newest->id)) {
            newest = one;
        }
    }
    return newest;
}

void tasks_write_all(struct tasks *tasks, struct json *json)
{
    pthread_mutex_lock(&tasks->lock);
    for (const struct task *task = told_before(tasks, INT64_MAX); task != NULL;
         task = told_before(tasks, task->id)) {
        write_task(task, json, false);
    }
    pthread_mutex_unlock(&tasks->lock);
}

bool tasks_cancel(struct tasks *tasks, int64_t id, struct error *err)
{
    pthread_mutex_lock(&tasks->lock);
    struct task *task = find(tasks, id, err);
    if (task != NULL && !is_over(task)) {
        atomic_store(&task->is_stopped, true);
    }
    if (task != NULL && task->state == TASK_WAITS) {
        task->state = TASK_STOPPED;
        let_go(task);
        tell(task);
        pthread_cond_broadcast(&tasks->moved);
    }
    pthread_mutex_unlock(&tasks->lock);
    return task != NULL;
}

bool tasks_is_over(struct tasks *tasks, int64_t id)
{
    struct error unheard = { 0 };
    pthread_mutex_lock(&tasks->lock);
    const struct task *task = find(tasks, id, &unheard);
    const bool over = task == NULL || is_over(task);
    pthread_mutex_unlock(&tasks->lock);
    return over;
}
