/* bench/rides.h: the files that are read: real rides where the shared folder is at hand, else
 * simulated ones; which of them is printed.  Nothing is copied into the project. */
#ifndef BENCH_RIDES_H
#define BENCH_RIDES_H

#include "bench.h"
#include "recording/recording.h"

struct rides_file {
    const char *path; /* for peers to read */
    const char *name; /* "long-ride-6h-power-hr-balance-b.fit" or "simulated, 6.5 h" */
    struct bytes bytes;
};

/* The real recording of that name ($PLUMBLINE_SHARED or ../shared, recordings/real); without it a
 * simulated ride of so many hours. */
struct rides_file rides_fit(struct arena *arena, const char *name, double hours);

/* A real recording of any kind; false where it isn't at hand. */
bool rides_real(struct arena *arena, const char *name, struct rides_file *file);

/* A ride outdoors of so many hours, all channels, 1 Hz: the same bytes every time. */
struct rides_file rides_simulated(struct arena *arena, double hours);

/* The same ride's rows as a table of comma-separated values: seconds and `n_columns` of
 * rides_table_columns. */
struct rides_file rides_table(struct arena *arena, double hours);
extern const char *const rides_table_columns[]; /* NULL at the end; the first two are power and
                                                    heart rate */

/* Samples of the simulated ride. */
struct samples rides_samples(struct arena *arena, double hours);

/* Paths of all real FIT recordings, or of simulated rides; `at_least` of them, files named again
 * where there are fewer. */
const char **rides_batch(struct arena *arena, size_t at_least, size_t *count, const char **what);

#endif
