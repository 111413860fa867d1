/* server/events.c: what happens, told to the pages that listen. */
#include "server/events.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct listener {
    struct events *events;
    int64_t topic;
    const struct listener_calls *calls;
    void *context;
    bool is_asleep;
    bool is_ended;
    size_t length;
    char buffer[EVENTS_BUFFER_BYTES];
};

struct events {
    pthread_mutex_t lock; /* all below, and what is in the listeners */
    struct listener *listeners[EVENTS_LISTENERS_MOST];
    bool is_ended;
};

struct events *events_open(void)
{
    struct events *events = calloc(1, sizeof *events);
    if (events == NULL) {
        abort();
    }
    pthread_mutex_init(&events->lock, NULL);
    return events;
}

void events_close(struct events *events)
{
    if (events != NULL) {
        pthread_mutex_destroy(&events->lock);
        free(events);
    }
}

/* ---- under the lock ---- */

static void wake(struct listener *listener)
{
    if (listener->is_asleep) {
        listener->is_asleep = false;
        listener->calls->wake(listener->context);
    }
}

static void put(struct listener *listener, const char *bytes, size_t n)
{
    if (listener->is_ended) {
        return;
    }
    if (listener->length + n > sizeof listener->buffer) {
        listener->is_ended = true; /* too slow: it asks again */
    } else {
        memcpy(listener->buffer + listener->length, bytes, n);
        listener->length += n;
    }
    wake(listener);
}

static void put_event(struct listener *listener, const char *name, const char *data)
{
    char head[80];
    const int n = snprintf(head, sizeof head, "event: %.60s\ndata: ", name);
    const size_t size = strlen(data);
    /* Wholly or not at all: half an event would be read as another one. */
    if (listener->length + (size_t)n + size + 2 > sizeof listener->buffer) {
        listener->is_ended = true;
        wake(listener);
        return;
    }
    put(listener, head, (size_t)n);
    put(listener, data, size);
    put(listener, "\n\n", 2);
}

/* Pages that were left since the last sign of life give their places up. */
static void clear_gone(struct events *events)
{
    for (size_t i = 0; i < EVENTS_LISTENERS_MOST; i++) {
        struct listener *listener = events->listeners[i];
        if (listener != NULL && listener->calls->is_gone != NULL &&
            listener->calls->is_gone(listener->context)) {
            listener->is_ended = true;
            wake(listener); /* leaves by itself, later */
            events->listeners[i] = NULL;
        }
    }
}

static bool take_place(struct events *events, struct listener *listener)
{
    for (size_t i = 0; i < EVENTS_LISTENERS_MOST && !events->is_ended; i++) {
        if (events->listeners[i] == NULL) {
            events->listeners[i] = listener;
            return true;
        }
    }
    return false;
}

/* ---- the calls ---- */

struct listener *events_listen(struct events *events, int64_t topic,
                               const struct listener_calls *calls, void *context)
{
    struct listener *listener = calloc(1, sizeof *listener);
    if (listener == NULL) {
        abort();
    }
    listener->events = events;
    listener->topic = topic;
    listener->calls = calls;
    listener->context = context;
    pthread_mutex_lock(&events->lock);
    bool has_place = take_place(events, listener);
    if (!has_place) {
        clear_gone(events);
        has_place = take_place(events, listener);
    }
    pthread_mutex_unlock(&events->lock);
    if (!has_place) {
        free(listener);
        return NULL;
    }
    return listener;
}

void events_leave(struct listener *listener)
{
    if (listener == NULL) {
        return;
    }
    struct events *events = listener->events;
    pthread_mutex_lock(&events->lock);
    for (size_t i = 0; i < EVENTS_LISTENERS_MOST; i++) {
        if (events->listeners[i] == listener) {
            events->listeners[i] = NULL;
        }
    }
    pthread_mutex_unlock(&events->lock);
    free(listener);
}

ssize_t events_take(struct listener *listener, char *out, size_t room)
{
    ssize_t taken = 0;
    pthread_mutex_lock(&listener->events->lock);
    if (listener->length > 0) {
        const size_t n = listener->length < room ? listener->length : room;
        memcpy(out, listener->buffer, n);
        memmove(listener->buffer, listener->buffer + n, listener->length - n);
        listener->length -= n;
        taken = (ssize_t)n;
    } else if (listener->is_ended) {
        taken = -1;
    } else {
        /* Under the lock: who tells something now finds it asleep, and wakes it. */
        listener->is_asleep = true;
        listener->calls->sleep(listener->context);
    }
    pthread_mutex_unlock(&listener->events->lock);
    return taken;
}

void events_tell(struct events *events, int64_t topic, const char *name, const char *data)
{
    pthread_mutex_lock(&events->lock);
    for (size_t i = 0; i < EVENTS_LISTENERS_MOST; i++) {
        struct listener *listener = events->listeners[i];
        if (listener != NULL && (listener->topic == 0 || listener->topic == topic)) {
            put_event(listener, name, data);
        }
    }
    pthread_mutex_unlock(&events->lock);
}

void events_greet(struct listener *listener, const char *name, const char *data)
{
    pthread_mutex_lock(&listener->events->lock);
    put_event(listener, name, data);
    pthread_mutex_unlock(&listener->events->lock);
}

void events_beat(struct events *events)
{
    pthread_mutex_lock(&events->lock);
    for (size_t i = 0; i < EVENTS_LISTENERS_MOST; i++) {
        if (events->listeners[i] != NULL) {
            put(events->listeners[i], ":\n\n", 3);
        }
    }
    pthread_mutex_unlock(&events->lock);
}

void events_end(struct events *events, int64_t topic)
{
    pthread_mutex_lock(&events->lock);
    events->is_ended = events->is_ended || topic == 0;
    for (size_t i = 0; i < EVENTS_LISTENERS_MOST; i++) {
        struct listener *listener = events->listeners[i];
        if (listener != NULL && (topic == 0 || listener->topic == topic)) {
            listener->is_ended = true;
            wake(listener);
        }
    }
    pthread_mutex_unlock(&events->lock);
}

size_t events_listeners(struct events *events)
{
    size_t n = 0;
    pthread_mutex_lock(&events->lock);
    for (size_t i = 0; i < EVENTS_LISTENERS_MOST; i++) {
        n += events->listeners[i] != NULL ? 1 : 0;
    }
    pthread_mutex_unlock(&events->lock);
    return n;
}
