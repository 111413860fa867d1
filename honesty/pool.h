/* honesty/pool.h: many trials on several processes, with the same results as on one.
 *
 * Trial i writes result i and nothing else, so that neither the number of processes nor their pace
 * can change a figure. */
#ifndef HONESTY_POOL_H
#define HONESTY_POOL_H

#include <stddef.h>

/* Fills result i, zeroed before.  Results hold no pointers but to static text. */
typedef void pool_trial(size_t i, const void *context, void *result);

/* Results of n trials, `size` bytes each, made by `jobs` processes (at least 1).  Ends the program
 * with one line on stderr when a process dies.  The caller gives them back with pool_free. */
void *pool_run(int jobs, size_t n, size_t size, pool_trial *trial, const void *context);
void pool_free(void *results, size_t n, size_t size);

#endif
