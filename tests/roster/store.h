/* tests/roster/store.h: the same test program on a file and on a server. */
#ifndef TESTS_ROSTER_STORE_H
#define TESTS_ROSTER_STORE_H

#include "check.h"

#include "roster/db.h"

/* Reads the program's argument, "sqlite" (also when there is none) or "postgresql"; false prints
 * "1..0 # SKIP reason" when there is no server at hand, and the program then returns 0. */
bool store_begin(int argc, char *argv[]);

/* Gives back every place and folder; returns the tests' status, for the end of main. */
int store_end(int status);

bool store_is_file(void);

/* A new, empty place: a path at which nothing lies yet, or a new database. */
const char *store_place(void);

/* A path in the folder of this run. */
const char *store_path(const char *name);

/* A place opened; a file is made first.  Fails the test if it can't be. */
struct db *store_open_empty(void);

/* Statements without rows, which must work. */
void store_run(struct db *db, const char *sql);

#endif
