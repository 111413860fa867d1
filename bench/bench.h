/* bench/bench.h: time two ways of doing one thing and print their ratio.
 *
 * Figures are ratios within one run on one machine; milliseconds only show the scale.  A ratio is
 * printed only after the answers were found equal. */
#ifndef BENCH_BENCH_H
#define BENCH_BENCH_H

#include <stdbool.h>
#include <stddef.h>

/* Median processor time of one call in ms, of `rounds` calls (at most 101). */
double bench_ms(void (*call)(void *with), void *with, size_t rounds);

void bench_title(const char *title, const char *ours, const char *peer);

/* peer / ours, and whether it reaches the goal; goal NAN = shown only. */
void bench_row(const char *name, double ours_ms, double peer_ms, double goal);

/* A ratio that must not be exceeded, such as growth. */
void bench_most(const char *name, double ratio, double most);

/* Ends the program with one line when the answers differ: the figures would mean nothing. */
void bench_equal(const char *name, bool equal);

#endif
