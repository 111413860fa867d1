/* coaching/rider_power.c: critical power from a rider's history. */
#include "coaching/rider_power.h"

/* The meter of the latest ride that has one: what is ridden now is what is asked about. */
static int64_t meter_in_use(const struct rider_history *history)
{
    for (size_t i = history->n_rides; i-- > 0;) {
        if (history->rides[i].is_ride && history->rides[i].meter != 0) {
            return history->rides[i].meter;
        }
    }
    return 0;
}

static struct duration_effort effort_of(const struct past_ride *ride, const struct effort *effort)
{
    return (struct duration_effort){ .duration_s = (double)effort->duration_s,
                                     .mean_w = effort->power_w,
                                     .ride = ride->id,
                                     .start_s = effort->start_s,
                                     .day = ride->day,
                                     .is_maximal = effort->evidence != 0 };
}

void rider_power_read(struct arena *arena, const struct rider_history *history,
                      const struct limits *limits, struct rider_power *out)
{
    *out = (struct rider_power){ .meter = meter_in_use(history) };
    const size_t from = history_ride_from(
        history, history->today + 1 - (int64_t)limits->value[LIMIT_CP_WINDOW_DAYS]);
    struct duration_effort *all = ARENA_ARRAY(arena, struct duration_effort,
                                              (history->n_rides - from) * EFFORT_DURATIONS + 1);
    size_t n = 0;
    for (size_t i = from; i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        for (size_t j = 0; ride->is_ride && !ride->spoiled && j < ride->n_efforts; j++) {
            const struct duration_effort effort = effort_of(ride, &ride->efforts[j]);
            const bool counts = effort.is_maximal && duration_effort_tells(&effort, limits);
            /* A ride whose meter isn't known is taken for the one in use. */
            if (ride->meter != 0 && ride->meter != out->meter) {
                out->n_other_meter += counts ? 1 : 0;
                continue;
            }
            all[n++] = effort;
        }
    }
    out->efforts = ARENA_ARRAY(arena, struct duration_effort, n + 1);
    out->n_efforts = power_duration_choose(all, n, history->today + 1, limits, out->efforts);
    out->curve = power_duration_read(arena, out->efforts, out->n_efforts, limits);
}
