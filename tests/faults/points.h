/* tests/faults/points.h: one errand on the roster, tried at every operation of a disk at which it
 * may fail, or at some of them. */
#ifndef TESTS_FAULTS_POINTS_H
#define TESTS_FAULTS_POINTS_H

#include "faults/whole_store.h"

#include "base/arena.h"
#include "base/error.h"

#include <stdbool.h>

enum { STATES_MOST = 80 };

struct errand {
    const char *name;
    const char *start; /* the file before; NULL = none */
    int n_steps;
    /* Does the first n_steps, each told as done in *told; false with a line when it can't. */
    bool (*work)(int n_steps, int *told, struct error *err);
    /* What is wrong with other files than the roster's; NULL = nothing, or nothing to look at. */
    const char *(*wrong)(int told);
    /* How many steps this much is, where a run says them in groups; -1 = on the way, and only
     * `wrong` and doing it again can tell; NULL = any number. */
    int (*steps_in)(const struct store_sums *sums);
    struct store_sums *states[STATES_MOST]; /* [n_steps + 1], NULL = not looked at yet */
    long operations;
    long tried;
    long kept; /* points after which more was there than was told */
};

/* What the tests share: set by points_begin, gone after points_end. */
struct points {
    struct arena *arena; /* of the point that is tried */
    char folder[64];
    const char *place; /* what the errand works on: a file in the folder */
    bool is_long;      /* twenty times as many points */
};
extern struct points points;

void points_begin(void);
int points_end(void);
const char *points_path(const char *name);

/* True, or the test fails with the line. */
void points_must(bool done, const struct error *err);

/* What the store says is wrong with a file; NULL = nothing, or no such file. */
const char *points_unsound(const char *path);

/* Every operation, every way to fail; or n of them, spread by a seed; and a power cut when all is
 * done.  Prints how many. */
void points_try_all(struct errand *errand);
void points_try_some(struct errand *errand, long n);

#endif
