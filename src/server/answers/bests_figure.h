/* server/answers/bests_figure.h: bests of a range, for the figures that show them. */
#ifndef SERVER_ANSWERS_BESTS_FIGURE_H
#define SERVER_ANSWERS_BESTS_FIGURE_H

#include "coaching/rider_progress.h"
#include "drawing/power_curves.h"
#include "server/answers/bests.h"

/* Every duration that is kept, and the days in words. */
struct power_curve bests_curve(struct arena *arena, const struct best_side *side);

/* One range against the other, by efforts with evidence of being all-out. */
void bests_progress(struct arena *arena, const struct bests_told *told,
                    const struct rider_history *history, const struct limits *limits,
                    struct rider_progress *out);

#endif
