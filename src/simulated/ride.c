/* simulated/ride.c: from truth to what a device writes. */
#include "simulated/ride.h"

#include "recording/grid.h"
#include "recording/trust.h"
#include "simulated/random.h"
#include "simulated/road.h"

#include <math.h>

/* A timer that pauses itself waits so long; a "smart" device writes a row at least so often. */
enum { AUTO_PAUSE_AFTER_S = 3, SMART_LONGEST_S = 8 };

enum {
    STREAM_DEVICE = 0x4445,
    STREAM_ROWS = 0x524f,
    STREAM_SMART = 0x534d,
    STREAM_BALANCE = 0x4241,
    STREAM_PLACE = 0x504c
};

/* A ride with its truth on every second, before the device has seen it. */
struct truth {
    struct simulated_road road;
    double *heart_bpm; /* [n] the truth */
    double *read_bpm;  /* [n] with noise: what the sensor feels */
    double *speed_ms;  /* [n] */
    double *distance_m;
    double *altitude_m;
    double *north_m; /* [n] from the start */
    double *east_m;
};

static void make_heart(struct arena *arena, const struct simulated_rider *rider,
                       const struct simulated_plan *plan, struct truth *truth)
{
    const size_t n = truth->road.n;
    truth->heart_bpm = ARENA_ARRAY(arena, double, n);
    truth->read_bpm = ARENA_ARRAY(arena, double, n);
    simulated_heart_follow(rider, truth->road.power_w, n, truth->heart_bpm);
    const double to_s = plan->drift_to_s > plan->drift_from_s ? plan->drift_to_s : (double)n;
    const double noise_bpm = plan->noise_bpm > 0.0 ? plan->noise_bpm : 1.5;
    simulated_noise_make(plan->noise, plan->noise_bpm < 0.0 ? 0.0 : noise_bpm, plan->seed,
                         truth->read_bpm, n);
    const double highest = rider->max_heart_rate_bpm;
    struct simulated_random r = simulated_random_begin(plan->seed, STREAM_DEVICE + 1);
    for (size_t t = 0; t < n; t++) {
        const double drift =
            simulated_heart_drift((enum simulated_drift_shape)plan->drift_shape, plan->drift_bpm,
                                  to_s - plan->drift_from_s, (double)t - plan->drift_from_s);
        truth->heart_bpm[t] = simulated_heart_ceiling(truth->heart_bpm[t] + drift, highest);
        /* Noise is the heart's own as much as the strap's: it doesn't lift it above its maximum.
         * Folded back, not cut off: a strap at the maximum still flickers. */
        const double jitter = plan->device.heart_jitter_bpm * simulated_random_normal(&r);
        const double noisy = truth->heart_bpm[t] + truth->read_bpm[t] + jitter;
        truth->read_bpm[t] = noisy > highest ? highest - 0.5 * (noisy - highest) : noisy;
    }
}

/* Speed from power: a mass on a slope with rolling and air resistance, one step a second.
 * Coefficients of an upright road rider: common practice, no source. */
static void make_speed(struct arena *arena, const struct simulated_rider *rider,
                       struct truth *truth)
{
    const size_t n = truth->road.n;
    const double mass = rider->mass_kg > 0.0 ? rider->mass_kg : 82.0;
    const double g = 9.80665;
    truth->speed_ms = ARENA_ARRAY(arena, double, n);
    truth->distance_m = ARENA_ARRAY(arena, double, n);
    truth->altitude_m = ARENA_ARRAY(arena, double, n);
    double v = 0.0;
    double distance = 0.0;
    double height = 0.0;
    for (size_t t = 0; t < n; t++) {
        truth->speed_ms[t] = v;
        truth->distance_m[t] = distance;
        truth->altitude_m[t] = height;
        const double grade = truth->road.grade_ratio[t];
        const double push = truth->road.power_w[t] * 0.97 / (v > 2.0 ? v : 2.0);
        const double air = 0.5 * 1.2 * 0.36 * v * v;
        double force = push - air - mass * g * (0.005 + grade);
        bool stands = truth->road.motion[t] >= SIMULATED_STANDING;
        /* Brakes come on over the last seconds before a stop. */
        for (size_t ahead = 1; ahead <= 4 && t + ahead < n && !stands; ahead++) {
            stands = truth->road.motion[t + ahead] >= SIMULATED_STANDING;
        }
        force -= stands ? 2.5 * mass : 0.0;
        v += force / mass;
        v = v < 0.0 || truth->road.motion[t] >= SIMULATED_STANDING ? 0.0 : v;
        distance += v;
        height += v * grade;
    }
}

/* A winding way over the plain of a place that isn't: a heading that wanders and comes back. */
static void make_way(struct arena *arena, const struct simulated_plan *plan, struct truth *truth)
{
    const size_t n = truth->road.n;
    struct simulated_random r = simulated_random_begin(plan->seed, STREAM_PLACE);
    truth->north_m = ARENA_ARRAY(arena, double, n);
    truth->east_m = ARENA_ARRAY(arena, double, n);
    double heading = simulated_random_between(&r, 0.0, 6.2);
    double turn = 0.0;
    double north = 0.0;
    double east = 0.0;
    for (size_t t = 0; t < n; t++) {
        truth->north_m[t] = north;
        truth->east_m[t] = east;
        turn = 0.95 * turn + 0.004 * simulated_random_normal(&r);
        heading += truth->speed_ms[t] > 0.5 ? turn : 0.0;
        north += truth->speed_ms[t] * cos(heading);
        east += truth->speed_ms[t] * sin(heading);
    }
}

struct simulated_device simulated_device_draw(uint64_t seed)
{
    struct simulated_random r = simulated_random_begin(seed, STREAM_DEVICE);
    struct simulated_device device = { 0 };
    /* In 19 real rides heart rate changes in 23 % of the seconds or more. */
    device.heart_jitter_bpm = simulated_random_between(&r, 0.1, 0.4);
    if (simulated_random_chance(&r, 0.2)) {
        return device;
    }
    if (simulated_random_chance(&r, 0.5)) {
        device.missing_per_h = simulated_random_between(&r, 0.5, 12.0);
    }
    if (simulated_random_chance(&r, 0.3)) {
        device.jitter_per_h = simulated_random_between(&r, 1.0, 30.0);
    }
    device.heart_hold_s = simulated_random_chance(&r, 0.4) ? simulated_random_whole(&r, 2, 4) : 1;
    device.heart_lag_s = simulated_random_chance(&r, 0.5) ? simulated_random_whole(&r, 1, 4) : 0;
    device.power_average_s =
        simulated_random_chance(&r, 0.35) ? simulated_random_whole(&r, 2, 3) : 1;
    device.without_balance = simulated_random_chance(&r, 0.6);
    device.without_cadence = simulated_random_chance(&r, 0.05);
    return device;
}

/* Which seconds get a row, and the time written in it. */
struct rows {
    size_t count;
    size_t *second; /* [count] what the row tells of */
    int32_t *time_s;
};

/* Seconds until a "smart" device writes again: what it waits for comes at random. */
static size_t smart_silence(struct simulated_random *r, double interval_s)
{
    if (interval_s <= 1.0) {
        return 0;
    }
    const double wait_s = (interval_s - 1.0) * simulated_random_wait(r) + 0.5;
    const size_t most = SMART_LONGEST_S - 1;
    return wait_s < (double)most ? (size_t)wait_s : most;
}

/* Stops that the device noticed: no rows from then until the wheels turn. */
static void pause_itself(struct simulated_road *road)
{
    size_t stood = 0;
    for (size_t t = 0; t < road->n; t++) {
        stood = road->motion[t] >= SIMULATED_STANDING ? stood + 1 : 0;
        if (stood > AUTO_PAUSE_AFTER_S) {
            road->motion[t] = SIMULATED_TIMER_STOOD;
        }
    }
}

static void note_timer_stops(struct arena *arena, const struct simulated_road *road,
                             struct simulated_ride *ride)
{
    size_t capacity = 0;
    for (size_t t = 0; t < road->n; t++) {
        if (road->motion[t] != SIMULATED_TIMER_STOOD) {
            continue;
        }
        const size_t from = t;
        while (t < road->n && road->motion[t] == SIMULATED_TIMER_STOOD) {
            t++;
        }
        ride->timer_stops = arena_grow(arena, ride->timer_stops, ride->n_timer_stops, &capacity,
                                       sizeof(struct span));
        ride->timer_stops[ride->n_timer_stops++] = (struct span){ (int32_t)from, (int32_t)t };
    }
}

static struct rows choose_rows(struct arena *arena, const struct simulated_plan *plan,
                               const struct simulated_road *road)
{
    struct simulated_random r = simulated_random_begin(plan->seed, STREAM_ROWS);
    struct rows rows = { 0 };
    rows.second = ARENA_ARRAY(arena, size_t, road->n);
    rows.time_s = ARENA_ARRAY(arena, int32_t, road->n);
    const double missing = plan->device.missing_per_h / 3600.0;
    const double jitter = plan->device.jitter_per_h / 3600.0;
    struct simulated_random smart = simulated_random_begin(plan->seed, STREAM_SMART);
    size_t gone = 0;
    size_t silent = 0;
    for (size_t t = 0; t < road->n; t++) {
        if (simulated_random_chance(&r, missing)) {
            gone = (size_t)simulated_random_whole(&r, 1, 2);
        }
        const bool late = simulated_random_chance(&r, jitter);
        const bool last = t + 1 == road->n;
        const bool kept = t == 0 || last || (gone == 0 && silent == 0);
        gone -= gone > 0;
        silent = silent > 0 ? silent - 1 : smart_silence(&smart, plan->device.smart_interval_s);
        if (!kept || road->motion[t] == SIMULATED_TIMER_STOOD) {
            continue;
        }
        const bool may_be_late =
            late && t > 0 && !last && road->motion[t + 1] != SIMULATED_TIMER_STOOD;
        rows.second[rows.count] = t;
        rows.time_s[rows.count] = (int32_t)(may_be_late ? t + 1 : t);
        rows.count++;
    }
    return rows;
}

static int32_t whole(double x)
{
    return (int32_t)lround(x);
}

/* Power as the device averages it; what it averages over a stop of the timer isn't mixed in. */
static double shown_power(const struct truth *truth, const struct simulated_device *device,
                          size_t t)
{
    const size_t span = device->power_average_s > 1 ? (size_t)device->power_average_s : 1;
    double sum = 0.0;
    size_t n = 0;
    for (size_t back = 0; back < span && back <= t; back++) {
        if (truth->road.motion[t - back] == SIMULATED_TIMER_STOOD) {
            break;
        }
        sum += truth->road.power_w[t - back];
        n++;
    }
    const double scale = device->power_scale > 0.0 ? device->power_scale : 1.0;
    return n > 0 ? scale * sum / (double)n : 0.0;
}

static double shown_heart(const struct truth *truth, const struct simulated_device *device,
                          size_t t)
{
    const size_t hold = device->heart_hold_s > 1 ? (size_t)device->heart_hold_s : 1;
    const size_t lag = device->heart_lag_s > 0 ? (size_t)device->heart_lag_s : 0;
    const size_t renewed = t - t % hold;
    return truth->read_bpm[renewed >= lag ? renewed - lag : 0];
}

static int32_t *column(struct arena *arena, struct samples *samples, enum channel channel)
{
    samples->value[channel] = ARENA_ARRAY(arena, int32_t, samples->count);
    return samples->value[channel];
}

static void write_motion(struct arena *arena, const struct simulated_plan *plan,
                         const struct truth *truth, const struct rows *rows,
                         struct samples *samples)
{
    int32_t *speed = column(arena, samples, CHANNEL_SPEED);
    int32_t *distance = column(arena, samples, CHANNEL_DISTANCE);
    if (!plan->device.without_power) {
        int32_t *power = column(arena, samples, CHANNEL_POWER);
        for (size_t i = 0; i < rows->count; i++) {
            power[i] = whole(shown_power(truth, &plan->device, rows->second[i]));
        }
    }
    if (!plan->device.without_heart) {
        int32_t *heart = column(arena, samples, CHANNEL_HEART_RATE);
        for (size_t i = 0; i < rows->count; i++) {
            heart[i] = whole(shown_heart(truth, &plan->device, rows->second[i]));
        }
    }
    for (size_t i = 0; i < rows->count; i++) {
        const size_t t = rows->second[i];
        speed[i] = whole(truth->speed_ms[t] * 1000.0);
        distance[i] = whole(truth->distance_m[t] * 100.0);
    }
    if (!plan->device.without_cadence) {
        int32_t *cadence = column(arena, samples, CHANNEL_CADENCE);
        for (size_t i = 0; i < rows->count; i++) {
            cadence[i] = whole(truth->road.cadence_rpm[rows->second[i]]);
        }
    }
}

/* The plain lies in the open ocean (46 N, 31 W), where nobody rides. */
static void write_place(struct arena *arena, const struct simulated_plan *plan,
                        const struct truth *truth, const struct rows *rows, struct samples *samples)
{
    if (!plan->outdoors) {
        return;
    }
    const double semicircles_per_degree = 2147483648.0 / 180.0;
    const double m_per_degree = 111320.0;
    const double east_m_per_degree = m_per_degree * 0.6947; /* cos 46 degrees */
    int32_t *latitude = column(arena, samples, CHANNEL_LATITUDE);
    int32_t *longitude = column(arena, samples, CHANNEL_LONGITUDE);
    int32_t *altitude = column(arena, samples, CHANNEL_ALTITUDE);
    struct simulated_random r = simulated_random_begin(plan->seed, STREAM_PLACE + 1);
    const double start_m = simulated_random_between(&r, 150.0, 500.0);
    for (size_t i = 0; i < rows->count; i++) {
        const size_t t = rows->second[i];
        latitude[i] = whole((46.0 + truth->north_m[t] / m_per_degree) * semicircles_per_degree);
        longitude[i] =
            whole((-31.0 + truth->east_m[t] / east_m_per_degree) * semicircles_per_degree);
        /* Barometers are written in steps of 0.2 m. */
        altitude[i] = 2 * whole((start_m + truth->altitude_m[t]) * 5.0);
    }
}

static void write_rest(struct arena *arena, const struct simulated_plan *plan,
                       const struct truth *truth, const struct rows *rows, struct samples *samples)
{
    struct simulated_random r = simulated_random_begin(plan->seed, STREAM_BALANCE);
    if (!isnan(plan->temperature_c)) {
        int32_t *temperature = column(arena, samples, CHANNEL_TEMPERATURE);
        const double length = (double)truth->road.n;
        for (size_t i = 0; i < rows->count; i++) {
            const double share = (double)rows->second[i] / length;
            /* Quickest at the start; whole degrees, as devices write it. */
            const double risen = plan->temperature_rise_c * (2.0 * share - share * share);
            temperature[i] = 10 * whole(plan->temperature_c + risen);
        }
    }
    if (!plan->device.without_balance && !plan->device.without_power) {
        int32_t *balance = column(arena, samples, CHANNEL_BALANCE);
        const double left = 50.0 + 1.5 * simulated_random_normal(&r);
        for (size_t i = 0; i < rows->count; i++) {
            const double pct = left + 1.2 * simulated_random_normal(&r);
            const bool pedals = truth->road.motion[rows->second[i]] == SIMULATED_PEDALLING;
            balance[i] = pedals ? 10 * whole(pct) : RECORDING_MISSING;
        }
    }
}

static void note_reps(struct arena *arena, const struct simulated_plan *plan,
                      const struct simulated_road *road, struct simulated_ride *ride)
{
    ride->reps = ARENA_ARRAY(arena, struct simulated_rep, plan->n_blocks);
    size_t t = 0;
    for (size_t b = 0; b < plan->n_blocks; b++) {
        const struct simulated_block *block = &plan->blocks[b];
        const size_t from = t;
        t += block->duration_s > 0.0 ? (size_t)(block->duration_s + 0.5) : 0;
        if (block->is_rep && t > from) {
            struct simulated_rep rep = { (int32_t)from, (int32_t)t, 0.0 };
            if (block->goes_on && ride->n_reps > 0) {
                rep.start_s = ride->reps[--ride->n_reps].start_s;
            }
            for (int32_t s = rep.start_s; s < rep.end_s; s++) {
                rep.mean_power_w += road->power_w[s] / (double)(rep.end_s - rep.start_s);
            }
            ride->reps[ride->n_reps++] = rep;
        }
    }
}

struct simulated_ride simulated_ride_make(struct arena *arena, const struct simulated_rider *rider,
                                          const struct simulated_plan *plan)
{
    struct truth truth = { .road = simulated_road_make(arena, rider, plan) };
    if (plan->device.auto_pause) {
        pause_itself(&truth.road);
    }
    make_heart(arena, rider, plan, &truth);
    make_speed(arena, rider, &truth);
    make_way(arena, plan, &truth);
    const struct rows rows = choose_rows(arena, plan, &truth.road);

    struct simulated_ride ride = { .n_seconds = truth.road.n };
    ride.samples.count = rows.count;
    ride.samples.time_s = rows.time_s;
    write_motion(arena, plan, &truth, &rows, &ride.samples);
    write_place(arena, plan, &truth, &rows, &ride.samples);
    write_rest(arena, plan, &truth, &rows, &ride.samples);
    ride.second_power_w = truth.road.power_w;
    ride.second_heart_bpm = truth.heart_bpm;
    ride.true_heart_bpm = ARENA_ARRAY(arena, double, rows.count);
    for (size_t i = 0; i < rows.count; i++) {
        ride.true_heart_bpm[i] = truth.heart_bpm[rows.second[i]];
    }
    note_reps(arena, plan, &truth.road, &ride);
    note_timer_stops(arena, &truth.road, &ride);
    ride.drift_bpm = plan->drift_bpm;
    ride.max_heart_rate_bpm = rider->max_heart_rate_bpm;
    return ride;
}

struct recording *simulated_recording(struct arena *arena, const struct simulated_ride *ride,
                                      const struct simulated_plan *plan,
                                      const struct limits *limits)
{
    struct recording *recording = ARENA_ARRAY(arena, struct recording, 1);
    *recording = recording_unknown();
    recording->format = FORMAT_FIT;
    recording->part = 1;
    recording->parts = 1;
    recording->sport = SPORT_CYCLING;
    recording->is_ride = true;
    recording->place = plan->outdoors ? PLACE_OUTDOORS : PLACE_INDOORS;
    recording->has_start_utc = true;
    recording->start_utc = plan->start_utc;
    recording->samples = ride->samples;
    recording->pauses = ride->timer_stops;
    recording->n_pauses = ride->n_timer_stops;
    grid_fill(arena, recording, limits);
    trust_check(arena, recording, limits);
    return recording;
}
