/* coaching/rider_readings.c: every reading about a rider over weeks, made in one go. */
#include "coaching/rider_readings.h"

#include "coaching/base_state.h"
#include "coaching/easy_weeks.h"
#include "coaching/rider_state.h"

void rider_readings_make(struct arena *arena, const struct rider_history *history, size_t n_weeks,
                         const struct limits *limits, struct rider_readings *out)
{
    *out = (struct rider_readings){
        .how = rider_state_read(arena, history, limits),
        .easy_weeks = easy_weeks_read(arena, history, limits),
    };
    comeback_read(arena, history, limits, &out->comeback);
    load_weeks_read(arena, history, n_weeks, limits, &out->load);
    rider_progress_read(arena, history, PROGRESS_BEFORE, limits, &out->progress);
    const struct base_trend_beside beside = { &out->progress.joint, &out->load.last };
    base_trend_read(arena, history, &beside, limits, &out->base_trend);
    out->base_state = base_state_read_with(arena, history, &out->base_trend, limits);
}
