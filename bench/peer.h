/* bench/peer.h: a program of others that does the same thing, in a process of its own.
 *
 *   bench                          peer (bench/peers/NAME.py, .mjs, .R)
 *     |  starts it, with a file  -->  reads the file
 *     |  <--  "ready numpy 1.24.2"
 *     |  "run"                   -->  does it once (or often, and divides)
 *     |  <--  "0.00123 3 1.5 2 7"     seconds of one call; how many numbers; the answer
 *     |  "run" ...                    again; end of input ends it
 *
 * Seconds are processor time in Python and R, which use one thread; in Node.js, which collects its
 * garbage on other threads, the lesser of processor and wall-clock time. */
#ifndef BENCH_PEER_H
#define BENCH_PEER_H

#include "bench.h"

struct bench_peer;

/* Starts bench/peers/SCRIPT with arguments (NULL at the end).  NULL when it can't be: a row then
 * says so.  The peer is ended with the arena's user calling bench_peer_close. */
struct bench_peer *bench_peer_open(struct arena *arena, const char *script,
                                   const char *const arguments[]);
void bench_peer_close(struct bench_peer *peer);

/* "numpy 1.24.2" */
const char *bench_peer_name(const struct bench_peer *peer);

/* Runs once.  False when it broke.  answer [*n] is the peer's own, good until the next run. */
bool bench_peer_run(struct bench_peer *peer, double *seconds, const double **answer, size_t *n);

struct bench_with_peer {
    const char *goal;
    const char *what;
    struct bench_way ours;
    const double *answer; /* [n] ours, filled when ours was called */
    size_t n;
    double tolerance; /* relative, of each number */
    double floor;     /* and absolute below this size */
    double wanted;
    double scale; /* the peer did this share of the work; 0 = 1, all of it */
};

/* Interleaved runs of both, compared each time, and the row.  peer NULL: the row says that `named`
 * isn't there. */
void bench_against(const struct bench_with_peer *row, struct bench_peer *peer, const char *named);

#endif
