/* bench/years.h: a roster of many riders and years, as rows alone: what `who` reads, without the
 * recordings behind it. */
#ifndef BENCH_YEARS_H
#define BENCH_YEARS_H

#include <stddef.h>

/* Three rides a week of every rider to 31 August 2026, each with readings (content like a real
 * one's in size), load, six bests and a sensor; an asked ride, a note and now and then a mark or
 * days off.  Writes into the roster at `place`, which has been opened once and closed. */
void years_write(const char *place, size_t riders, size_t years);

#define YEARS_TODAY "2026-08-31"
enum { YEARS_RIDES = 156 }; /* a rider's in a year */

/* Every row of those tables, every column that `who` reads of it, by a plain loop over each table
 * in its own order: a bare scan. */
struct years_scan {
    size_t rides;
    size_t rows;
    double sum; /* so that nothing is left out */
};
struct years_scan years_scan(void *sqlite);

#endif
