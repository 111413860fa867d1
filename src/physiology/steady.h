/* physiology/steady.h: the part of a ride that was ridden at one power.
 *
 *   power      ▁▂▃▅▆▆▅▆▇▆▅▆▁▆▆▆▅▆▆▂▁▁▅█▁▅█
 *   filtered   ▁▁▂▃▅▆▆▆▆▆▆▆▄▅▆▆▆▆▆▅▃▂▃▅▄▄▅     first order, as heart rate answers it
 *   in band        ├───────────────┤            + - 15 % of a level, 95 % of the seconds
 *
 * A span is steady at a level when the filtered power is within LIMIT_STEADY_BAND_PCT of the level
 * for LIMIT_STEADY_IN_BAND_RATIO of its seconds, coasting is at most LIMIT_STEADY_COASTING_RATIO,
 * and no stop exceeds LIMIT_STEADY_STOP_S, indoors and out; it begins and ends inside the band.
 * Second by second:
 *   known power   counts as it is, zeros included;
 *   paused        the rider stood: 0 W, coasting; a pause longer than LIMIT_STEADY_STOP_S ends a
 *                 span, and so does standing that long with the timer running;
 *   masked or missing  the filter holds, and the second counts as outside the band: nobody can
 *                 show that it was inside.  So the power of a span is known for at least
 *                 LIMIT_STEADY_IN_BAND_RATIO of it.
 * The filter begins at the ride's own first seconds (its weights add up to one from the start):
 * a ride that begins at its power is steady from the first second. */
#ifndef PHYSIOLOGY_STEADY_H
#define PHYSIOLOGY_STEADY_H

#include "base/arena.h"
#include "limits/limits.h"
#include "recording/recording.h"

struct steady {
    bool found;            /* false: no span of at least LIMIT_STEADY_SHORTEST_S */
    struct span span;      /* the longest steady span, also when it is too short to be called
                              found; empty if there is none.  Ties: the earliest, then the lowest
                              level */
    double level_w;        /* the level of the grid; NAN without a span, as the rest */
    double mean_power_w;   /* coasting zeros count; masked and paused seconds left out */
    double sd_30s_w;       /* of 30-s means: how steady */
    double in_band_ratio;  /* seconds of filtered power within the band */
    double coasting_ratio; /* seconds at 0 W, pauses included */
    double power_coverage; /* usable seconds over the seconds of the span that aren't paused */
    double heart_coverage;
    int32_t longest_stop_s;
};

/* The longest steady span of the ride.  Needs power; without it found is false.
 *
 * The span of the search is then given the ends that a coach would give it.  A warm-up or cool-down
 * near the level lies inside the wide band and would be taken along: the ends are cut back to the
 * first and last second within half the band of the span's own middle (median) when
 * LIMIT_STEADY_WHOLE_S or more remains, lone pieces shorter than the gap behind them too.  And the
 * filter comes late: the start goes back, over at most three time constants, while the half minute
 * around it was ridden within half the band; the end goes back to the last such half minute; where
 * power steps within half a minute of an end, the end is the step.  So in_band_ratio may be a
 * little under its limit, and coasting_ratio over. */
struct steady steady_find(struct arena *arena, const struct recording *recording,
                          const struct limits *limits);

/* The longest steady span at a level in low_w..high_w: the hour that was asked, though an easier
 * part of the ride was longer. */
struct steady steady_find_between(struct arena *arena, const struct recording *recording,
                                  double low_w, double high_w, const struct limits *limits);

/* One second of the ride as the search sees it. */
struct steady_second {
    int32_t filtered_cw; /* filtered power in hundredths of a watt */
    bool known;          /* power is known here, or the rider stood */
    bool coasting;       /* 0 W or paused */
    bool standing;       /* paused, or nothing moves */
    bool stopped;        /* part of a stop that ends a span */
};

/* The longest steady span of prepared seconds: the search alone, levels on a 1 % grid in
 * low_w..high_w.  Every level sees the band as runs of seconds inside it; all runs of all levels
 * together are about as many as the seconds of a real ride (at worst 30 times as many, where power
 * is known every other second), and a level takes time linear in its runs (n log n of what is left
 * at the few levels where coasting decides).  *level_w is set when the span isn't empty. */
struct span steady_longest(const struct steady_second seconds[], size_t n, double low_w,
                           double high_w, const struct limits *limits, double *level_w);

/* Level k of the grid in hundredths of a watt: 10 W x 1.01^k, rounded. */
int32_t steady_level_cw(size_t k);

/* The edges of the band around a level, in hundredths of a watt, both included.
 *   ratio  half the band over the level, 0 to 1 */
void steady_band(int32_t level_cw, double ratio, int32_t *low_cw, int32_t *high_cw);

/* Power as heart rate answers it: first order with tau_s, delayed by dead_s.
 *   power_w  [n] NAN = unknown, where the filter holds
 *   paused   [n] nonzero = the timer stood: 0 W
 *   out      [n] NAN before the first known second */
void steady_filter(const double power_w[], const uint8_t paused[], size_t n, double tau_s,
                   size_t dead_s, double out[]);

#endif
