/* server/store.c: the roster, for many requests at once. */
#include "server/store.h"

#include "base/clock.h"
#include "roster/password.h"
#include "roster/settings.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* As many as read at once; more wait for nothing, since each thread has at most one. */
enum { READERS_MOST = 64 };

struct store {
    char *place;
    char named_today[11]; /* "" = not named */

    pthread_mutex_t lock; /* the pool */
    struct roster *readers[READERS_MOST];
    size_t n_readers;

    pthread_mutex_t writing; /* the writer */
    struct roster *writer;

    pthread_mutex_t watching; /* all below */
    struct roster *watcher;
    int64_t mark;
    uint64_t generation; /* 0 = not looked yet */
    char own_today[11];
    char password[129];
};

struct roster_now store_now(void)
{
    return (struct roster_now){ .utc_s = (int64_t)time(NULL), .who = getenv("PLUMBLINE_WHO") };
}

const char *store_place(const struct store *store)
{
    return store->place;
}

const char *store_said_place(const struct store *store)
{
    return db_place(roster_db(store->writer));
}

bool store_open(const char *place, const char *today, struct store **out, struct error *err)
{
    struct store *store = calloc(1, sizeof *store);
    char *kept = strdup(place);
    if (store == NULL || kept == NULL) {
        abort();
    }
    store->place = kept;
    pthread_mutex_init(&store->lock, NULL);
    pthread_mutex_init(&store->writing, NULL);
    pthread_mutex_init(&store->watching, NULL);
    if (today != NULL) {
        strncpy(store->named_today, today, sizeof store->named_today - 1);
    }
    struct store_state state;
    if (!roster_open(place, ROSTER_OPEN, store_now(), &store->writer, err) ||
        !roster_open(place, ROSTER_OPEN, store_now(), &store->watcher, err) ||
        !store_look(store, &state, err)) {
        store_close(store);
        return false;
    }
    *out = store;
    return true;
}

void store_close(struct store *store)
{
    if (store == NULL) {
        return;
    }
    for (size_t i = 0; i < store->n_readers; i++) {
        roster_close(store->readers[i]);
    }
    roster_close(store->writer);
    roster_close(store->watcher);
    pthread_mutex_destroy(&store->lock);
    pthread_mutex_destroy(&store->writing);
    pthread_mutex_destroy(&store->watching);
    free(store->place);
    free(store);
}

/* ---- what holds now ---- */

static bool take_setting(struct store *store, struct arena *arena, const char *name, char out[],
                         size_t room, struct error *err)
{
    const char *content = NULL;
    if (!settings_get(store->watcher, arena, name, &content, err)) {
        return false;
    }
    out[0] = '\0';
    if (content != NULL && strlen(content) < room) {
        memcpy(out, content, strlen(content) + 1);
    }
    return true;
}

static bool look_again(struct store *store, struct error *err)
{
    int64_t mark = 0;
    if (!db_mark(roster_db(store->watcher), &mark, err)) {
        return false;
    }
    if (store->generation != 0 && mark == store->mark) {
        return true;
    }
    struct arena *arena = arena_open();
    const bool done =
        take_setting(store, arena, SETTING_TODAY, store->own_today, sizeof store->own_today, err) &&
        take_setting(store, arena, SETTING_PASSWORD, store->password, sizeof store->password, err);
    arena_close(arena);
    /* What was committed between the two is seen, and the mark moves again: nothing is missed. */
    store->mark = mark;
    store->generation += done ? 1 : 0;
    return done;
}

const char *store_folder(struct arena *arena, const char *place)
{
    const char *slash = strrchr(place, '/');
    if (db_place_is_postgres(place)) {
        return NULL;
    }
    return slash == NULL    ? "."
           : slash == place ? "/"
                            : arena_format(arena, "%.*s", (int)(slash - place), place);
}

bool store_look(struct store *store, struct store_state *out, struct error *err)
{
    *out = (struct store_state){ 0 };
    pthread_mutex_lock(&store->watching);
    const bool done = look_again(store, err);
    if (done) {
        const char *own = store->named_today[0] != '\0' ? store->named_today : store->own_today;
        out->generation = store->generation;
        out->is_example = store->own_today[0] != '\0';
        out->today_is_own = own[0] != '\0';
        memcpy(out->password, store->password, sizeof out->password);
        memcpy(out->today, own, sizeof out->today);
    }
    pthread_mutex_unlock(&store->watching);
    if (done && !out->today_is_own) {
        clock_local_day(out->today);
    }
    return done;
}

/* ---- handles ---- */

bool store_reader(struct store *store, struct roster **out, struct error *err)
{
    struct roster *reader = NULL;
    pthread_mutex_lock(&store->lock);
    if (store->n_readers > 0) {
        reader = store->readers[--store->n_readers];
    }
    pthread_mutex_unlock(&store->lock);
    if (reader == NULL && !roster_open(store->place, ROSTER_OPEN, store_now(), &reader, err)) {
        return false;
    }
    *out = reader;
    return true;
}

void store_reader_back(struct store *store, struct roster *reader)
{
    bool is_kept = false;
    pthread_mutex_lock(&store->lock);
    if (store->n_readers < READERS_MOST) {
        store->readers[store->n_readers++] = reader;
        is_kept = true;
    }
    pthread_mutex_unlock(&store->lock);
    if (!is_kept) {
        roster_close(reader);
    }
}

struct roster *store_writer(struct store *store)
{
    pthread_mutex_lock(&store->writing);
    return store->writer;
}

void store_writer_back(struct store *store)
{
    pthread_mutex_unlock(&store->writing);
}
