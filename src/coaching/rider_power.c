/* coaching/rider_power.c: critical power from a rider's history. */
#include "coaching/rider_power.h"

#include <math.h>

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

/* All efforts of the window on the meter in use. */
static size_t gather(const struct rider_history *history, size_t from, const struct limits *limits,
                     struct rider_power *out, struct duration_effort all[])
{
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
    return n;
}

static int64_t meter_of(const struct rider_history *history, int64_t ride)
{
    for (size_t i = history->n_rides; i-- > 0;) {
        if (history->rides[i].id == ride) {
            return history->rides[i].meter;
        }
    }
    return 0;
}

static bool is_on_meter(const struct rider_history *history, int64_t ride, int64_t meter)
{
    const int64_t own = meter_of(history, ride);
    return own == 0 || own == meter;
}

static bool share_a_second(const struct duration_effort *a, const struct duration_effort *b)
{
    return a->ride == b->ride && a->start_s < b->start_s + (int32_t)b->duration_s &&
           b->start_s < a->start_s + (int32_t)a->duration_s;
}

/* Critical power of all maximal efforts but those that share a second with `which`. */
static struct power_duration of_others(struct arena *arena, const struct duration_effort all[],
                                       size_t n, size_t which, int64_t to_day,
                                       const struct limits *limits)
{
    struct duration_effort *others = ARENA_ARRAY(arena, struct duration_effort, n + 1);
    struct duration_effort *chosen = ARENA_ARRAY(arena, struct duration_effort, n + 1);
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        if (i != which && all[i].is_maximal && !share_a_second(&all[i], &all[which])) {
            others[count++] = all[i];
        }
    }
    count = power_duration_choose(others, count, to_day, limits, chosen);
    return power_duration_read(arena, chosen, count, limits);
}

/* Marks those at whose end W' was nearly gone.  Each is held against what was maximal before any
 * was marked, so that none speaks for another. */
static size_t mark_spent(struct arena *arena, struct duration_effort all[], size_t n,
                         int64_t to_day, const struct limits *limits)
{
    bool *spent = ARENA_ARRAY(arena, bool, n + 1);
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        if (all[i].is_maximal || !duration_effort_tells(&all[i], limits)) {
            continue;
        }
        const struct power_duration curve = of_others(arena, all, n, i, to_day, limits);
        const double left_j = curve.w_prime_j - (all[i].mean_w - curve.cp_w) * all[i].duration_s;
        spent[i] = curve.end == DURATION_KNOWN &&
                   left_j < limits->value[LIMIT_W_SPENT_RATIO] * curve.w_prime_j;
    }
    for (size_t i = 0; i < n; i++) {
        if (spent[i]) {
            all[i].is_maximal = true;
            all[i].said_by = DURATION_SAID_SPENT;
            count++;
        }
    }
    return count;
}

/* Efforts of tests that were long enough, and not ridden all-out. */
static size_t count_held_back(const struct duration_effort all[], size_t n,
                              const struct limits *limits)
{
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        const bool is = all[i].said_by == DURATION_SAID_TEST && !all[i].is_maximal &&
                        duration_effort_tells(&all[i], limits);
        count += is ? 1 : 0;
    }
    return count;
}

/* W' of the all-out test is the work above critical power in the 150 s before its last 30: a watt
 * more of the one is 150 J less of the other. */
static void take_all_out(const struct power_all_out *test, struct rider_power *out)
{
    static const double ALL_OUT_S = 150.0;
    struct power_duration *curve = &out->curve;
    const struct ranged *cp = &test->cp_w;
    out->is_all_out = true;
    curve->end = DURATION_KNOWN;
    curve->n = 1;
    curve->cp_w = cp->value;
    curve->cp_low_w = cp->low;
    curve->cp_high_w = cp->high;
    curve->w_prime_j = test->w_prime_j;
    curve->w_prime_low_j = fmax(test->w_prime_j - (cp->high - cp->value) * ALL_OUT_S, 0.0);
    curve->w_prime_high_j = test->w_prime_j + (cp->value - cp->low) * ALL_OUT_S;
    curve->first_day = test->day;
    curve->last_day = test->day;
    for (int form = 0; form < DURATION_FORMS; form++) {
        curve->forms[form].is_fitted = false;
    }
}

void rider_power_read_with(struct arena *arena, const struct rider_history *history,
                           const struct power_tests *tests, const struct limits *limits,
                           struct rider_power *out)
{
    *out = (struct rider_power){ .meter = meter_in_use(history) };
    const int64_t to_day = history->today + 1;
    const size_t from =
        history_ride_from(history, to_day - (int64_t)limits->value[LIMIT_CP_WINDOW_DAYS]);
    struct duration_effort *all = ARENA_ARRAY(
        arena, struct duration_effort, (history->n_rides - from) * EFFORT_DURATIONS + tests->n + 1);
    size_t n = gather(history, from, limits, out, all);
    for (size_t i = 0; i < tests->n; i++) {
        if (is_on_meter(history, tests->efforts[i].ride, out->meter)) {
            all[n++] = tests->efforts[i];
        }
    }
    out->n_spent = mark_spent(arena, all, n, to_day, limits);
    out->n_held_back = count_held_back(all, n, limits);
    out->efforts = ARENA_ARRAY(arena, struct duration_effort, n + 1);
    out->n_efforts = power_duration_choose(all, n, to_day, limits, out->efforts);
    out->curve = power_duration_read(arena, out->efforts, out->n_efforts, limits);
    if (out->curve.end == DURATION_TOO_FEW &&
        out->curve.n + out->n_held_back >= (size_t)limits->value[LIMIT_CP_EFFORTS]) {
        out->curve.end = DURATION_NOT_MAXIMAL;
    }
    if (out->curve.end != DURATION_KNOWN && tests->all_out.is_found &&
        is_on_meter(history, tests->all_out.ride, out->meter) && tests->all_out.cp_w.value > 0.0 &&
        tests->all_out.w_prime_j > 0.0) {
        take_all_out(&tests->all_out, out);
    }
}

void rider_power_read(struct arena *arena, const struct rider_history *history,
                      const struct limits *limits, struct rider_power *out)
{
    const struct power_tests none = { 0 };
    rider_power_read_with(arena, history, &none, limits, out);
}
