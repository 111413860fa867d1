/* coaching/came_align.h: the steps of a session laid along the power of a ride.
 *
 *     asked     warm-up      | rep  | rest | rep  | rest |  cool-down
 *     power    ___....-..___  ______        ____          ...___
 *                           |      |______|    |_________|
 *     found     [ warm-up ][b][ rep ][ rest ][rp][  rest  ][ cool-down ]     b: between, of no step
 *
 * Dynamic programming over the ride: of all ways to lay the steps in their order, without overlap,
 * the cheapest.  A step costs its seconds outside the range asked (power as a 10-s mean), and those
 * by which it was shorter or longer; time between steps and steps left out cost as well.  Ties: the
 * earliest.  It is the whole programme: no path is pruned but by the shortest and longest that a
 * step may be (LIMIT_CAME_BACK_LEAST_RATIO, but for what may lie outside the file, _MOST_RATIO). */
#ifndef COACHING_CAME_ALIGN_H
#define COACHING_CAME_ALIGN_H

#include "base/arena.h"
#include "limits/limits.h"
#include "recording/recording.h"

/* A step as power is held against it. */
struct came_want {
    int32_t seconds; /* 0 = until the button: any length */
    double low_w;    /* NAN, both = nothing asked in watts: any power fits */
    double high_w;   /* INFINITY = no upper end */
    bool is_hard;    /* riding easier than an easy step asks is no miss */
    bool is_open;    /* a warm-up or cool-down that may lie outside the file, or for a part: any
                      * shorter time */
};

/* Lays wants[n_wants] along power_w[n] (NAN = not known: costs nothing either way).
 *   scale_w  threshold, or what stands in for it; above 0
 *   spans    [n_wants] out, in order, none overlaps; empty (from = to) = not ridden
 * Returns what it costs, in seconds. */
double came_align(struct arena *arena, const struct came_want wants[], size_t n_wants,
                  const double power_w[], size_t n, double scale_w, const struct limits *limits,
                  struct span spans[]);

/* The cost of one step over [from_s, to_s) of power as came_align smooths it: for its test. */
double came_align_cost(const struct came_want *want, const double smooth_w[], int32_t from_s,
                       int32_t to_s, double scale_w, const struct limits *limits);

/* The 10-s centred mean that is compared; of shorter steps a shorter one. */
double *came_align_smooth(struct arena *arena, const struct came_want wants[], size_t n_wants,
                          const double power_w[], size_t n);

#endif
