/* bench/bench.h: time two ways of doing one thing, check that they agree, print their ratio.
 *
 *   ours  peer  ours  peer  ours  peer ...      interleaved: what else the machine does meets both
 *     r1          r2          r3                a ratio each; their median, lowest and highest
 *
 * Figures are ratios within one run on one machine; milliseconds and counts only show the scale.
 * The two read the same bytes, and a ratio is printed only when their answers agree; otherwise the
 * difference is.  Times are processor times, so that others on the machine count as little as can
 * be; counts of instructions (callgrind, less what getting ready takes) don't feel them at all.
 *
 * Every row goes to standard output and, where PLUMBLINE_BENCH_ROWS names a file, as one line of
 * tab-separated values to its end (columns: bench/README.md). */
#ifndef BENCH_BENCH_H
#define BENCH_BENCH_H

#include "base/arena.h"
#include "base/error.h"
#include "base/files.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

/* Call first.  Tells the allocator to keep what is freed: a call that is timed often shouldn't pay
 * the kernel for the same pages each time.  Peers are started with the same. */
void bench_begin(void);

/* Ends the program with the error when it wasn't done. */
void bench_must(bool done, const struct error *err);

/* A number from the environment, at least 1. */
size_t bench_asked(const char *name, size_t usual, size_t most);

/* ---- measuring ---- */

struct bench_way {
    void (*call)(void *with);
    void *with;
};

struct bench_spread {
    double middle; /* median */
    double low;
    double high;
};

/* One call in seconds, peer / ours run by run. */
struct bench_pair {
    double ours_s;
    double peer_s;
    struct bench_spread ratio;
};

/* Interleaved runs, each of as many calls as fill some milliseconds. */
struct bench_pair bench_pair(struct bench_way ours, struct bench_way peer);

/* Processor time of this thread for one call, the median of a few runs. */
double bench_seconds(struct bench_way way);

/* One run of it: as many calls as fill some milliseconds. */
double bench_seconds_once(struct bench_way way);

/* Sorts values [n > 0]. */
struct bench_spread bench_spread_of(double values[], size_t n);

/* Instructions of `this program once WAY SIZE` less those of `once none SIZE`, by callgrind; NAN
 * where valgrind isn't installed (said once). */
double bench_instructions(const char *way, size_t size);

/* The path of this program. */
const char *bench_self(void);

struct bench_usage {
    double cpu_s;      /* user and system */
    double peak_bytes; /* resident */
    bool ended_well;
};
/* Runs a command to its end, its output thrown away. */
struct bench_usage bench_usage(const char *const command[]);

/* ---- rows ---- */

enum bench_sense { BENCH_SHOWN, BENCH_AT_LEAST, BENCH_AT_MOST };

struct bench_row {
    const char *goal; /* number in bench/README.md; "" none */
    const char *what;
    const char *peer;
    double ours;
    double peer_value;
    const char *unit; /* of both: "s", "instructions", "bytes", "" */
    struct bench_spread ratio;
    enum bench_sense sense;
    double wanted;
};

void bench_title(const char *title);
void bench_row(const struct bench_row *row);

/* Rows for the usual cases: peer / ours at least `wanted`; ours / reference at most `wanted`.
 * wanted NAN = shown only. */
void bench_faster(const char *goal, const char *what, const char *peer, struct bench_pair pair,
                  double wanted);
void bench_within(const char *goal, const char *what, const char *peer, struct bench_pair pair,
                  double wanted);
/* Two counts, such as instructions of two ways (at least) or of two sizes (at most). */
void bench_counts(const char *goal, const char *what, const char *peer, double ours, double peer_n,
                  const char *unit, enum bench_sense sense, double wanted);

/* How far two answers lie apart, and how far they may. */
void bench_agrees(const char *goal, const char *what, const char *peer, double difference,
                  double allowed);

/* In place of a row's figures: the answers differ, and how. */
void bench_differs(const char *goal, const char *what, const char *peer, const char *how);
/* Or the peer isn't there. */
void bench_absent(const char *goal, const char *what, const char *peer);

/* A line about what is measured. */
void bench_note(const char *format, ...) __attribute__((format(printf, 1, 2)));

/* ---- answers ---- */

/* Greatest |a - b| / max(|b|, floor). */
double bench_difference(const double a[], const double b[], size_t n, double floor);

/* ---- files for the peer to read ---- */

/* Writes bytes to a file of this run's folder, which is removed when the program ends; its path. */
const char *bench_file(struct arena *arena, const char *name, const void *bytes, size_t size);

#endif
