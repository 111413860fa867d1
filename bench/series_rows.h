/* bench/series_rows.h: the same rides in SQLite twice: a packed blob a channel, and a row a second.
 * What a general-purpose store would do, and what it costs. */
#ifndef BENCH_SERIES_ROWS_H
#define BENCH_SERIES_ROWS_H

#include "roster/recordings.h"

struct series_rows;

struct series_rows *series_rows_make(struct arena *arena, struct recording *const recordings[],
                                     const struct packed_recording packed[], size_t n);

/* Of the two files, vacuumed. */
double series_rows_blob_bytes(const struct series_rows *rows);
double series_rows_row_bytes(const struct series_rows *rows);

/* Power, heart rate and cadence of one ride into memory, either way. */
void series_rows_by_blobs(struct series_rows *rows);
void series_rows_by_rows(struct series_rows *rows);

/* True if the two ways did not give the same numbers. */
bool series_rows_differ(const struct series_rows *rows);

#endif
