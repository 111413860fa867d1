/* server/store.h: the roster, for many requests at once.
 *
 *     readers   a pool of handles, one a thread that reads; opened when first needed
 *     writer    one handle under one lock: writes of the API follow one another
 *     watcher   a handle that only asks whether anything was committed, by whoever
 *
 * The generation goes up whenever the roster changed, by this program or another: what was
 * answered in the same generation, for the same day, is still true. */
#ifndef SERVER_STORE_H
#define SERVER_STORE_H

#include "roster/roster.h"

struct store;

/* today NULL = the roster's own, else the machine's. */
MUST_USE bool store_open(const char *place, const char *today, struct store **out,
                         struct error *err);
void store_close(struct store *store); /* NULL is accepted; nobody may be reading */

const char *store_place(const struct store *store);

/* Where the file of a place lies; NULL = it is no file. */
const char *store_folder(struct arena *arena, const char *place);

/* As messages name it: of a server without its password. */
const char *store_said_place(const struct store *store);

/* When it is, and by whom something is done here. */
struct roster_now store_now(void);

/* What holds now. */
struct store_state {
    uint64_t generation;
    char today[11];
    bool today_is_own;  /* an example's, or named */
    bool is_example;    /* the roster has a today of its own */
    char password[129]; /* as roster/settings keeps it; "" = none */
};
MUST_USE bool store_look(struct store *store, struct store_state *out, struct error *err);

/* A handle for reading; what went wrong with it doesn't matter to the next. */
MUST_USE bool store_reader(struct store *store, struct roster **out, struct error *err);
void store_reader_back(struct store *store, struct roster *reader);

/* The one writer: nobody else has it until it is given back. */
struct roster *store_writer(struct store *store);
void store_writer_back(struct store *store);

#endif
