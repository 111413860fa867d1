/* maths/gls_parts.h: what the pass of maths/gls.h leaves for its fits.  For gls*.c alone. */
#ifndef MATHS_GLS_PARTS_H
#define MATHS_GLS_PARTS_H

#include "maths/gls.h"

/* The constant, x and y; of their products the lower triangle, by row. */
enum {
    GLS_MOST = GLS_COLUMNS + 2,
    GLS_PRODUCTS = GLS_MOST * (GLS_MOST + 1) / 2,
};

/* Pairs of observed neighbours that are `steps` apart: r[t] after r[s], D = r[t] - r[s]. */
struct gls_neighbours {
    size_t steps;
    double count;
    double changes[GLS_PRODUCTS]; /* sum DD' */
    double ends[GLS_PRODUCTS];    /* sum r[t]r[t]' - r[s]r[s]' */
    double before[GLS_PRODUCTS];  /* sum r[s]r[s]' */
};

struct gls_moments {
    size_t n;                    /* steps observed */
    size_t k;                    /* columns of x */
    double centre[GLS_MOST];     /* taken from x and y beforehand; of the constant 0 */
    double firsts[GLS_PRODUCTS]; /* sum rr' of the first step of each group */
    struct gls_neighbours *gaps; /* [gap_count] one for each number of steps apart */
    size_t gap_count;
};

/* Place of row i, column j <= i of a lower triangle. */
static inline size_t gls_place(size_t i, size_t j)
{
    return i * (i + 1) / 2 + j;
}

#endif
