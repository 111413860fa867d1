/* server/rereader.h: rides that wait are read again while the server runs, newest first.
 *
 * Whenever the roster has changed, by a page, a command or another program, it looks which rides'
 * readings are old now, and reads them again a few at a time.  How far it is goes to all listeners:
 *
 *     event: rereading
 *     data: {"done":12,"all":96,"waiting":84}
 *
 * and after each change of the roster, by whoever:
 *
 *     event: changed
 *     data: {"generation":8} */
#ifndef SERVER_REREADER_H
#define SERVER_REREADER_H

#include "server/events.h"
#include "server/store.h"

#include <stdatomic.h>

struct rereader;

/* Tells of it while *is_heard. */
struct rereader *rereader_open(struct store *store, struct events *events,
                               const atomic_bool *is_heard);

/* Gives back what is not yet read, and waits for the thread; NULL is accepted. */
void rereader_close(struct rereader *rereader);

/* Something changed: don't wait for the next look. */
void rereader_kick(struct rereader *rereader);

/* So often it looks without being kicked: other programs change the roster too. */
#define REREADER_LOOK_MS 1000

#endif
