/* honesty/table.h: shares with their uncertainty, as cells of a table. */
#ifndef HONESTY_TABLE_H
#define HONESTY_TABLE_H

#include "base/arena.h"
#include "base/text.h"

/* The 95 % interval of a share, in %: Wilson 1927, J. Am. Stat. Assoc. 22:209-212 (from memory).
 * part of whole; whole 0 gives 0 and 100. */
void table_wilson(double part, double whole, double *low_pct, double *high_pct);

/* "91.2 (89.8-92.4)", or "-" when there is nothing to count. */
const char *table_share(struct arena *arena, double part, double whole);

/* "91.2", without interval. */
const char *table_plain_share(struct arena *arena, double part, double whole);

/* The 95 % interval of events counted in so many hours, per 100 h: exact Poisson limits by their
 * Wilson-Hilferty form (Breslow and Day 1987, from memory).  "1.2 (0.3-3.5)". */
const char *table_rate(struct arena *arena, double events, double hours);

/* Reasons that were counted, most frequent first: "power-coverage 12, too-short 3"; "-" if none. */
struct reasons {
    const char *code[16];
    int count[16];
    size_t n;
};
void reasons_add(struct reasons *reasons, const char *code);
const char *reasons_text(struct arena *arena, const struct reasons *reasons);

#endif
