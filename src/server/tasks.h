/* server/tasks.h: work that takes longer than a request may wait, and how far it is.
 *
 *     POST imports ─> 202, Location: /api/1/jobs/7 ─> GET jobs/7, or its stream of events
 *
 * A job lives as long as the server: its result is kept for those who ask, the last TASKS_KEPT of
 * them.  What is left undone when the server stops waits in the roster. */
#ifndef SERVER_TASKS_H
#define SERVER_TASKS_H

#include "server/api.h"

/* ---- for handlers of API_JOB ---- */

/* How far it is; words are one line for people ("evening.fit: taken"), NULL = as before. */
void task_tell(struct task *task, size_t done, size_t all, const char *words);

/* True when it was cancelled or the server stops: give back what is half done, and return true
 * with what was done so far.  Takes a struct task, so that it fits where a question with a context
 * is asked. */
bool task_stopped(void *task);

#endif
