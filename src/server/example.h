/* server/example.h: the example roster, in the place of the coach's own, by one click.
 *
 * It is a file of its own, in the folder `example` beside the coach's roster, made when it is first
 * asked for.  How it is made is the command line's: server/ knows no invented riders. */
#ifndef SERVER_EXAMPLE_H
#define SERVER_EXAMPLE_H

#include "base/arena.h"
#include "base/error.h"

#include <stddef.h>

struct example_listener {
    void (*tell)(void *context, const char *what, size_t done, size_t all);
    bool (*stopped)(void *context);
    void *context;
};

/* Makes FOLDER with example.plumbline in it; FOLDER isn't there, or empty.  From any thread.  When
 * it was stopped it is ERROR_CONFLICT, and what is in FOLDER is worth nothing. */
typedef bool example_maker(struct arena *arena, const char *folder,
                           const struct example_listener *listener, struct error *err);

struct server;
struct task;

/* Shows the example from now on, made first if it isn't there. */
MUST_USE bool example_show(struct server *server, struct arena *arena, struct task *task,
                           struct error *err);

/* Shows the coach's own again. */
void example_leave(struct server *server);

#endif
