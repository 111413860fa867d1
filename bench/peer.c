/* bench/peer.c: starting peers and talking to them. */
#include "peer.h"

#include <fcntl.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum { MOST_ARGUMENTS = 72, RUNS = 7, FEW_RUNS = 5 };

/* A peer that takes longer than this for one call is run less often. */
static const double LONG_S = 2.0;

struct bench_peer {
    pid_t process;
    FILE *to;
    FILE *from;
    char *line; /* of getline */
    size_t room;
    char name[64];
    double *answer; /* [capacity] */
    size_t capacity;
};

static const char *interpreter_of(const char *script)
{
    const char *end = strrchr(script, '.');
    return end == NULL                ? NULL
           : strcmp(end, ".py") == 0  ? "/usr/bin/python3"
           : strcmp(end, ".mjs") == 0 ? "node"
           : strcmp(end, ".R") == 0   ? "Rscript"
                                      : NULL;
}

/* One thread, as ours; and freed memory is kept, as bench_begin tells our own allocator. */
static const char *const surroundings[][2] = {
    { "OPENBLAS_NUM_THREADS", "1" },
    { "OMP_NUM_THREADS", "1" },
    { "MKL_NUM_THREADS", "1" },
    { "MALLOC_MMAP_THRESHOLD_", "1073741824" },
    { "MALLOC_TRIM_THRESHOLD_", "1073741824" },
};

static _Noreturn void become(const char *script, const char *const arguments[], int in, int out)
{
    char path[4096];
    const char *command[MOST_ARGUMENTS + 3] = { interpreter_of(script), path };
    snprintf(path, sizeof path, "%s/bench/peers/%s", PLUMBLINE_SOURCE, script);
    for (size_t i = 0; i < MOST_ARGUMENTS && arguments[i] != NULL; i++) {
        command[i + 2] = arguments[i];
    }
    for (size_t i = 0; i < COUNT(surroundings); i++) {
        setenv(surroundings[i][0], surroundings[i][1], 1);
    }
    if (command[0] != NULL && dup2(in, STDIN_FILENO) >= 0 && dup2(out, STDOUT_FILENO) >= 0) {
        execvp(command[0], (char *const *)(uintptr_t)command);
    }
    _exit(127);
}

/* The next line without its end; NULL when the peer has ended. */
static char *next_line(struct bench_peer *peer)
{
    const ssize_t length = getline(&peer->line, &peer->room, peer->from);
    if (length <= 0) {
        return NULL;
    }
    peer->line[strcspn(peer->line, "\n")] = '\0';
    return peer->line;
}

struct bench_peer *bench_peer_open(struct arena *arena, const char *script,
                                   const char *const arguments[])
{
    int to[2];
    int from[2];
    signal(SIGPIPE, SIG_IGN);
    if (pipe2(to, O_CLOEXEC) != 0 || pipe2(from, O_CLOEXEC) != 0) {
        return NULL;
    }
    fflush(NULL);
    struct bench_peer *peer = ARENA_ARRAY(arena, struct bench_peer, 1);
    peer->process = fork();
    if (peer->process == 0) {
        become(script, arguments, to[0], from[1]);
    }
    close(to[0]);
    close(from[1]);
    peer->to = fdopen(to[1], "w");
    peer->from = fdopen(from[0], "r");
    const char *line = next_line(peer);
    if (line == NULL || strncmp(line, "ready ", 6) != 0) {
        bench_peer_close(peer);
        return NULL;
    }
    snprintf(peer->name, sizeof peer->name, "%s", line + 6);
    return peer;
}

void bench_peer_close(struct bench_peer *peer)
{
    if (peer == NULL) {
        return;
    }
    fclose(peer->to);
    fclose(peer->from);
    waitpid(peer->process, NULL, 0);
    free(peer->line);
    free(peer->answer);
}

const char *bench_peer_name(const struct bench_peer *peer)
{
    return peer->name;
}

bool bench_peer_run(struct bench_peer *peer, double *seconds, const double **answer, size_t *n)
{
    if (fputs("run\n", peer->to) < 0 || fflush(peer->to) != 0) {
        return false;
    }
    char *at = next_line(peer);
    if (at == NULL) {
        return false;
    }
    *seconds = strtod(at, &at);
    *n = (size_t)strtoul(at, &at, 10);
    if (*n > peer->capacity) {
        double *larger = realloc(peer->answer, *n * sizeof larger[0]);
        if (larger == NULL) {
            return false;
        }
        peer->answer = larger;
        peer->capacity = *n;
    }
    for (size_t i = 0; i < *n; i++) {
        char *end = at;
        peer->answer[i] = strtod(at, &end);
        if (end == at) {
            return false;
        }
        at = end;
    }
    *answer = peer->answer;
    return true;
}

/* Empty, or how the answers differ. */
static void compare(const struct bench_with_peer *row, const double *answer, size_t n, char *how,
                    size_t room)
{
    how[0] = '\0';
    if (n != row->n) {
        snprintf(how, room, "%zu numbers here, %zu there", row->n, n);
        return;
    }
    const double off = bench_difference(row->answer, answer, n, row->floor);
    if (!(off <= row->tolerance)) {
        snprintf(how, room, "by up to %.2g of their size, %.2g is allowed", off, row->tolerance);
    }
}

struct both {
    struct bench_peer *peer;
    const struct bench_with_peer *row;
    double peer_s;
    char how[160];
};

static void run_peer(void *with)
{
    struct both *both = with;
    const double *answer = NULL;
    size_t n = 0;
    if (!bench_peer_run(both->peer, &both->peer_s, &answer, &n)) {
        snprintf(both->how, sizeof both->how, "it ended without an answer");
        return;
    }
    compare(both->row, answer, n, both->how, sizeof both->how);
}

void bench_against(const struct bench_with_peer *row, struct bench_peer *peer, const char *named)
{
    if (peer == NULL) {
        bench_absent(row->goal, row->what, named);
        return;
    }
    double ours_s[RUNS];
    double peer_s[RUNS];
    double ratio[RUNS];
    struct both both = { .peer = peer, .row = row };
    const double scale = row->scale > 0 ? row->scale : 1.0;
    size_t runs = RUNS;
    row->ours.call(row->ours.with);
    run_peer(&both); /* warm */
    for (size_t i = 0; i < runs && both.how[0] == '\0'; i++) {
        ours_s[i] = bench_seconds_once(row->ours);
        run_peer(&both);
        peer_s[i] = both.peer_s / scale;
        ratio[i] = peer_s[i] / ours_s[i];
        runs = both.peer_s > LONG_S ? FEW_RUNS : RUNS;
    }
    if (both.how[0] != '\0') {
        bench_differs(row->goal, row->what, bench_peer_name(peer), both.how);
        return;
    }
    const struct bench_pair pair = { bench_spread_of(ours_s, runs).middle,
                                     bench_spread_of(peer_s, runs).middle,
                                     bench_spread_of(ratio, runs) };
    bench_faster(row->goal, row->what, bench_peer_name(peer), pair, row->wanted);
}
