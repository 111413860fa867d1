/* server/example.c: the example roster, in the place of the coach's own. */
#include "server/example.h"

#include "server/server.h"

#include <errno.h>
#include <ftw.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* ---- what is shown ---- */

static void show(struct server *server, struct house *house)
{
    atomic_store(&server->own.is_shown, house == &server->own);
    atomic_store(&server->example.is_shown, house == &server->example);
    atomic_store(&server->shown, house);
    events_tell(server->events, 0, "changed", "{\"generation\":0}");
}

void example_leave(struct server *server)
{
    show(server, &server->own);
}

/* ---- making it ---- */

static void tell(void *context, const char *what, size_t done, size_t all)
{
    task_tell(context, done, all, what);
}

static int remove_one(const char *path, const struct stat *status, int kind, struct FTW *where)
{
    (void)status;
    (void)kind;
    (void)where;
    return remove(path);
}

/* What an earlier try left; links are taken away, not followed. */
static bool remove_tree(const char *folder, struct error *err)
{
    return access(folder, F_OK) != 0 || nftw(folder, remove_one, 16, FTW_DEPTH | FTW_PHYS) == 0 ||
           error_set(err, ERROR_STORAGE, "what an earlier try left can't be removed: %s",
                     strerror(errno));
}

/* Under another name until it is whole. */
static bool make(struct server *server, struct arena *arena, const char *folder, struct task *task,
                 struct error *err)
{
    const char *part = arena_format(arena, "%s.part", folder);
    const struct example_listener listener = { tell, task_stopped, task };
    struct error unheard = { 0 };
    if (server->make_example == NULL) {
        return error_set(err, ERROR_INTERNAL, "nobody here knows how to make an example");
    }
    if (!remove_tree(part, err)) {
        return false;
    }
    if (!server->make_example(arena, part, &listener, err)) {
        (void)remove_tree(part, &unheard);
        return false;
    }
    return rename(part, folder) == 0 ||
           error_set(err, ERROR_STORAGE, "the example can't be put in its place: %s",
                     strerror(errno));
}

static const char *example_folder(struct server *server, struct arena *arena)
{
    const char *beside = store_folder(arena, store_place(server->own.store));
    return beside == NULL ? "example" : arena_format(arena, "%s/example", beside);
}

static bool open_it(struct server *server, struct arena *arena, struct task *task,
                    struct error *err)
{
    const char *folder = example_folder(server, arena);
    const char *place = arena_format(arena, "%s/example.plumbline", folder);
    if (access(place, F_OK) != 0 && !make(server, arena, folder, task, err)) {
        return false;
    }
    if (!store_open(place, NULL, &server->example.store, err)) {
        return false;
    }
    server->example.rereader =
        rereader_open(server->example.store, server->events, &server->example.is_shown);
    return true;
}

bool example_show(struct server *server, struct arena *arena, struct task *task, struct error *err)
{
    struct store_state state;
    if (!store_look(server->own.store, &state, err)) {
        return false;
    }
    if (state.is_example) {
        return true; /* the coach's own is one */
    }
    pthread_mutex_lock(&server->example_lock);
    const bool done = server->example.store != NULL || open_it(server, arena, task, err);
    pthread_mutex_unlock(&server->example_lock);
    if (done) {
        show(server, &server->example);
    }
    return done;
}
