/* honesty/second/device.c: what strap, meter and head unit make of a ride. */
#include "honesty/second/ride.h"

#include "honesty/second/random.h"

#include <math.h>

enum { QUIRKS = 0x51, ROWS = 0x52, BEATS = 0x53, SPIKES_MOST = 64, LONGEST_S = 8 };

struct second_device second_device_draw(uint64_t seed)
{
    struct second_random r = second_random_begin(seed, QUIRKS);
    return (struct second_device){
        .power_repeat_s = second_chance(&r, 0.25) ? 2 : 1,
        .power_mean_s = second_chance(&r, 0.3) ? 3 : 1,
        .power_step_w = second_chance(&r, 0.2) ? 2.0 : (second_chance(&r, 0.15) ? 5.0 : 1.0),
        .beats = 3 + (int)(10.0 * second_unit(&r)),
        .heart_late_s = (int)(5.0 * second_unit(&r)),
        .heart_repeat_s = second_chance(&r, 0.3) ? 2 + (int)(3.0 * second_unit(&r)) : 1,
        .cadence_zero_per_h = second_chance(&r, 0.25) ? second_between(&r, 1.0, 8.0) : 0.0,
        .without_cadence = second_chance(&r, 0.1),
        .lost_per_h = second_chance(&r, 0.5) ? second_between(&r, 0.5, 6.0) : 0.0,
    };
}

/* ---- the strap: beats one by one ---- */

/* The mean rate over the last `beats` whole beats, as it stands in each second. */
static void count_beats(const double heart_bpm[], size_t n, int beats, double out[])
{
    enum { KEPT = 32 };
    double at[KEPT] = { 0 };
    size_t count = 0;
    double part = 0.0;
    double shown = heart_bpm[0];
    for (size_t t = 0; t < n; t++) {
        const double rate = heart_bpm[t] / 60.0;
        double from = 0.0;
        for (double left = (1.0 - part) / rate; from + left <= 1.0; left = 1.0 / rate) {
            from += left;
            part = 0.0;
            at[count++ % KEPT] = (double)t + from;
            if (count > (size_t)beats) {
                const double since =
                    at[(count - 1) % KEPT] - at[(count - 1 - (size_t)beats) % KEPT];
                shown = 60.0 * beats / since;
            }
        }
        part += (1.0 - from) * rate;
        out[t] = shown;
    }
}

/* ---- one second of a channel, as shown ---- */

static int32_t whole(double x)
{
    return (int32_t)lround(x);
}

static size_t back(size_t t, int seconds)
{
    const size_t by = (size_t)seconds;
    return t >= by ? t - by : 0;
}

static size_t renewed(size_t t, int every_s)
{
    return every_s > 1 ? t - t % (size_t)every_s : t;
}

static int32_t power_at(const struct second_device *device, const double power_w[], size_t t)
{
    const size_t at = renewed(t, device->power_repeat_s);
    const int width = device->power_mean_s > 1 ? device->power_mean_s : 1;
    double sum = 0.0;
    for (int k = 0; k < width; k++) {
        sum += power_w[back(at, k)];
    }
    const double step = device->power_step_w > 0.0 ? device->power_step_w : 1.0;
    const double scale = device->power_scale > 0.0 ? device->power_scale : 1.0;
    return whole(step * round(scale * sum / width / step));
}

struct shown {
    size_t n;
    int32_t *power;
    int32_t *heart;
    int32_t *cadence;
    uint8_t *lost;
};

static void lose(const struct second_plan *plan, struct shown *shown)
{
    struct second_random r = second_random_begin(plan->seed, ROWS);
    const struct second_device *device = &plan->device;
    int zero_s = 0;
    int lost_s = 0;
    for (size_t t = 1; t < shown->n; t++) {
        if (zero_s == 0 && second_chance(&r, device->cadence_zero_per_h / 3600.0)) {
            zero_s = 3 + (int)(10.0 * second_unit(&r));
        }
        if (lost_s == 0 && second_chance(&r, device->lost_per_h / 3600.0)) {
            lost_s = 1 + (int)(3.0 * second_unit(&r));
        }
        shown->cadence[t] = zero_s > 0 ? 0 : shown->cadence[t];
        shown->lost[t] = lost_s > 0;
        zero_s -= zero_s > 0;
        lost_s -= lost_s > 0;
    }
}

static void add_spikes(struct arena *arena, const struct second_plan *plan, struct shown *shown,
                       struct second_ride *ride)
{
    struct second_random r = second_random_begin(plan->seed, ROWS + 1);
    ride->spikes = ARENA_ARRAY(arena, struct span, SPIKES_MOST);
    for (size_t t = 60; t + 60 < shown->n && ride->n_spikes < SPIKES_MOST; t++) {
        if (shown->lost[t] == 0 && second_chance(&r, plan->device.spikes_per_h / 3600.0)) {
            shown->power[t] = whole(2100.0 * pow(14.0, second_unit(&r)));
            ride->spikes[ride->n_spikes++] = (struct span){ (int32_t)t, (int32_t)t + 1 };
        }
    }
}

/* Whether something changed since the row before that is worth a row. */
static bool is_news(const struct shown *shown, size_t t, size_t before)
{
    return t - before >= LONGEST_S || shown->heart[t] != shown->heart[before] ||
           fabs((double)(shown->power[t] - shown->power[before])) >
               0.25 * (double)shown->power[before] + 5.0;
}

static size_t choose_rows(const struct second_plan *plan, const struct shown *shown, size_t rows[])
{
    size_t count = 0;
    for (size_t t = 0; t < shown->n; t++) {
        const bool ends = t == 0 || t + 1 == shown->n;
        const bool is_written =
            !plan->device.by_change || ends || is_news(shown, t, rows[count - 1]);
        if (shown->lost[t] == 0 && is_written) {
            rows[count++] = t;
        }
    }
    return count;
}

static void write_rows(struct arena *arena, const struct second_plan *plan,
                       const struct second_road *road, const struct shown *shown,
                       struct samples *samples)
{
    size_t *rows = ARENA_ARRAY(arena, size_t, shown->n);
    const bool outdoors = plan->place >= SECOND_FLAT;
    samples->count = choose_rows(plan, shown, rows);
    samples->time_s = ARENA_ARRAY(arena, int32_t, samples->count);
    for (int c = CHANNEL_POWER; c <= CHANNEL_TEMPERATURE; c++) {
        const bool has = (c != CHANNEL_CADENCE || !plan->device.without_cadence) &&
                         (c != CHANNEL_ALTITUDE || outdoors) &&
                         (c != CHANNEL_TEMPERATURE || !isnan(plan->temperature_c));
        samples->value[c] = has ? ARENA_ARRAY(arena, int32_t, samples->count) : NULL;
    }
    double way_m = 0.0;
    for (size_t i = 0, t = 0; i < samples->count; i++) {
        for (; t <= rows[i]; t++) {
            way_m += road->speed_ms[t];
        }
        const size_t at = rows[i];
        samples->time_s[i] = (int32_t)at;
        samples->value[CHANNEL_POWER][i] = shown->power[at];
        samples->value[CHANNEL_HEART_RATE][i] = shown->heart[at];
        samples->value[CHANNEL_SPEED][i] = whole(1000.0 * road->speed_ms[at]);
        samples->value[CHANNEL_DISTANCE][i] = whole(100.0 * way_m);
        if (samples->value[CHANNEL_CADENCE] != NULL) {
            samples->value[CHANNEL_CADENCE][i] = shown->cadence[at];
        }
        if (samples->value[CHANNEL_ALTITUDE] != NULL) {
            samples->value[CHANNEL_ALTITUDE][i] = whole(10.0 * (300.0 + road->height_m[at]));
        }
        if (samples->value[CHANNEL_TEMPERATURE] != NULL) {
            samples->value[CHANNEL_TEMPERATURE][i] = 10 * whole(plan->temperature_c);
        }
    }
}

void second_device_write(struct arena *arena, const struct second_plan *plan,
                         const struct second_road *road, const double heart_bpm[],
                         struct samples *samples, struct second_ride *ride)
{
    const struct second_device *device = &plan->device;
    const size_t n = road->n;
    struct shown shown = { .n = n,
                           .power = ARENA_ARRAY(arena, int32_t, n),
                           .heart = ARENA_ARRAY(arena, int32_t, n),
                           .cadence = ARENA_ARRAY(arena, int32_t, n),
                           .lost = ARENA_ARRAY(arena, uint8_t, n) };
    double *counted = ARENA_ARRAY(arena, double, n);
    count_beats(heart_bpm, n, device->beats > 0 ? device->beats : 4, counted);
    for (size_t t = 0; t < n; t++) {
        const size_t heart_at = renewed(back(t, device->heart_late_s), device->heart_repeat_s);
        shown.power[t] = power_at(device, road->power_w, t);
        shown.heart[t] = whole(counted[heart_at]);
        shown.cadence[t] = whole(road->cadence_rpm[t]);
    }
    lose(plan, &shown);
    add_spikes(arena, plan, &shown, ride);
    write_rows(arena, plan, road, &shown, samples);
}
