/* server/events.h: what happens, told to the pages that listen (server-sent events).
 *
 *     events_tell ──> topic 7 (a job) ───> its listeners ──┐
 *                 └─> topic 0 ───────────> all listeners ──┴─> each has a buffer, which http
 * empties
 *
 *     event: job
 *     data: {"id":7,"done":3,"all":12,...}
 *
 * A listener that doesn't empty its buffer in time is let go: its page asks again, and learns then
 * what is true.  Source of the format: HTML Standard, section 9.2, server-sent events. */
#ifndef SERVER_EVENTS_H
#define SERVER_EVENTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

#define EVENTS_LISTENERS_MOST 8
#define EVENTS_BUFFER_BYTES   65536u
#define EVENTS_BEAT_S         15 /* a comment so often: who is gone is noticed */

struct events;
struct listener;

/* How a listener's connection is put to sleep and woken, and whether its page has left (NULL = it
 * never tells): a connection that sleeps isn't looked at.  Called under the lock of events. */
struct listener_calls {
    void (*sleep)(void *context);
    void (*wake)(void *context);
    bool (*is_gone)(void *context);
};

struct events *events_open(void);
void events_close(struct events *events); /* NULL is accepted; nobody may be listening */

/* topic 0 = everything.  NULL when EVENTS_LISTENERS_MOST are there already, none of them gone, or
 * it has ended. */
struct listener *events_listen(struct events *events, int64_t topic,
                               const struct listener_calls *calls, void *context);
void events_leave(struct listener *listener); /* NULL is accepted */

/* Bytes for the connection: 0 = it was put to sleep, -1 = there will be no more. */
ssize_t events_take(struct listener *listener, char *out, size_t room);

/* data is JSON on one line. */
void events_tell(struct events *events, int64_t topic, const char *name, const char *data);

/* The same to one listener, such as what is true when it begins. */
void events_greet(struct listener *listener, const char *name, const char *data);

/* A sign of life to all. */
void events_beat(struct events *events);

/* No more for listeners of a topic, after what they still have to take; for all (topic 0). */
void events_end(struct events *events, int64_t topic);

size_t events_listeners(struct events *events);

#endif
