/* tests/roster/store.c: the same test program on a file and on a server. */
#include "roster/store.h"

#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define PLACES_MOST 200

static struct {
    bool is_file;
    char folder[64];
    char server[256];
    char places[PLACES_MOST][256];
    int n_places;
} run;

bool store_begin(int argc, char *argv[])
{
    run.is_file = argc < 2 || strcmp(argv[1], "postgresql") != 0;
    snprintf(run.folder, sizeof run.folder, "/tmp/pl-store.XXXXXX");
    if (mkdtemp(run.folder) == NULL) {
        printf("1..1\nnot ok 1 - no folder for the test in /tmp\n");
        return false;
    }
    if (run.is_file) {
        return true;
    }
    const char *server = getenv("PLUMBLINE_TEST_POSTGRES");
#ifndef PLUMBLINE_POSTGRES
    server = NULL;
#endif
    if (server == NULL) {
        printf("1..0 # SKIP no PostgreSQL on this machine, or built without libpq\n");
        rmdir(run.folder);
        return false;
    }
    snprintf(run.server, sizeof run.server, "%s", server);
    return true;
}

bool store_is_file(void)
{
    return run.is_file;
}

static bool on_server(const char *sql)
{
    struct error err = { 0 };
    struct db *db = NULL;
    const bool done = db_open(run.server, &db, &err) && db_run(db, sql, DB_NONE, &err);
    if (!done) {
        print_error("# %s\n", err.message);
    }
    db_close(db);
    return done;
}

const char *store_place(void)
{
    check(run.n_places < PLACES_MOST);
    char *place = run.places[run.n_places++];
    if (run.is_file) {
        snprintf(place, sizeof run.places[0], "%s/%d.plumbline", run.folder, run.n_places);
        return place;
    }
    char sql[128];
    char name[64];
    snprintf(name, sizeof name, "t%ld_%d", (long)getpid(), run.n_places);
    snprintf(sql, sizeof sql, "CREATE DATABASE %s", name);
    check(on_server(sql));
    const char *rest = strchr(run.server, '?');
    snprintf(place, sizeof run.places[0], "postgresql:///%s%.150s", name, rest);
    return place;
}

const char *store_path(const char *name)
{
    check(run.n_places < PLACES_MOST);
    char *path = run.places[run.n_places++];
    snprintf(path, sizeof run.places[0], "%s/%s", run.folder, name);
    return path;
}

struct db *store_open_empty(void)
{
    const char *place = store_place();
    if (run.is_file) {
        const int fd = open(place, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
        check(fd >= 0);
        close(fd);
    }
    struct db *db = NULL;
    struct error err = { 0 };
    if (!db_open(place, &db, &err)) {
        print_error("# %s\n", err.message);
        check(false);
    }
    return db;
}

void store_run(struct db *db, const char *sql)
{
    struct error err = { 0 };
    if (!db_run(db, sql, DB_NONE, &err)) {
        print_error("# %s: %s\n", sql, err.message);
        check(false);
    }
}

int store_end(int status)
{
    char command[128];
    snprintf(command, sizeof command, "rm -rf %s", run.folder);
    const bool removed = system(command) == 0;
    for (int i = 0; !run.is_file && i < run.n_places; i++) {
        char name[64];
        if (sscanf(run.places[i], "postgresql:///%63[a-z0-9_]", name) == 1) {
            char sql[128];
            snprintf(sql, sizeof sql, "DROP DATABASE %s WITH (FORCE)", name);
            (void)on_server(sql);
        }
    }
    return removed ? status : 1;
}
