/* server/tasks.h: work that takes longer than a request may wait, and how far it is.
 *
 *     POST imports ─> 202, Location: /api/1/jobs/7 ─> GET jobs/7, or its stream of events
 *
 * A job of the server lives as long as the server: the last TASKS_KEPT are kept for those who ask
 * what came of them.  What is left undone when the server stops waits in the roster, or is told as
 * not done; nothing is half done. */
#ifndef SERVER_TASKS_H
#define SERVER_TASKS_H

#include "base/json.h"
#include "server/api.h"
#include "server/events.h"
#include "server/kept.h"
#include "server/store.h"

#define TASKS_KEPT       64 /* those that wait or run among them */
#define TASKS_AT_ONCE    2
#define TASKS_ANSWERS    4   /* answers that are made at once, besides */
#define TASKS_FILES_MOST 8   /* that came and aren't taken yet */
#define TASKS_EVENT_MS   100 /* progress is told so often at most */

/* ---- for handlers of API_JOB ---- */

/* How far it is; words are one line for people ("evening.fit: taken"), NULL = as before. */
void task_tell(struct task *task, size_t done, size_t all, const char *words);

/* True when it was cancelled or the server stops: give back what is half done, and return true
 * with what was done so far.  Takes a struct task, so that it fits where a question with a context
 * is asked. */
bool task_stopped(void *task);

/* For reads: tells that the nth thing (a rider's name, NULL = not said) of all is next, where there
 * is a task at all.  False (ERROR_BUSY) when nobody wants the answer any more. */
MUST_USE bool task_goes_on(struct task *task, size_t n, size_t all, const char *words,
                           struct error *err);

/* ---- for the server ---- */

struct tasks;

struct tasks *tasks_open(struct events *events);

/* Asks all to stop and waits for them; NULL is accepted. */
void tasks_close(struct tasks *tasks);

/* Takes the call over with its arena and its upload, whatever comes; *id names the job.  False
 * (ERROR_BUSY) when too many wait. */
MUST_USE bool tasks_begin(struct tasks *tasks, struct store *store, const struct api_route *route,
                          struct api_call *call, int64_t *id, struct error *err);

/* The same for an answer to a read, which is kept under its key when it is made; all who ask for
 * the same meanwhile have one job. */
struct task_answer {
    struct kept *kept;
    const char *key;
    uint64_t generation;
};
MUST_USE bool tasks_begin_answer(struct tasks *tasks, struct store *store,
                                 const struct api_route *route, struct api_call *call,
                                 const struct task_answer *answer, int64_t *id, struct error *err);

/* Waits so long at most for an answer that was begun: *out is the caller's to let go, or NULL when
 * it takes longer, and from then on it is a job that is told of.  False with what went wrong. */
MUST_USE bool tasks_take_answer(struct tasks *tasks, int64_t id, int64_t wait_ms,
                                struct kept_answer **out, struct error *err);

/* One job, or all without their results, newest first.  False (ERROR_NOT_FOUND) if there is none
 * with that id. */
MUST_USE bool tasks_write(struct tasks *tasks, int64_t id, bool with_result, struct json *json,
                          struct error *err);
void tasks_write_all(struct tasks *tasks, struct json *json);

/* It is asked to stop; one that is over stays as it is. */
MUST_USE bool tasks_cancel(struct tasks *tasks, int64_t id, struct error *err);

/* Whether it has come to its end, and no more is told of it. */
bool tasks_is_over(struct tasks *tasks, int64_t id);

#endif
