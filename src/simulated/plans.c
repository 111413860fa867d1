/* simulated/plans.c: the sessions that riders ride. */
#include "simulated/plans.h"

#include "simulated/random.h"

#include <math.h>

enum {
    STREAM_PLAN = 0x504e,
    FIRST_SESSIONS = 12, /* what every ride's own numbers are counted by: see ride_number */
};

/* A plan being written. */
struct draft {
    struct arena *arena;
    const struct simulated_rider *rider;
    struct simulated_random random;
    struct simulated_block *blocks;
    size_t count;
    size_t capacity;
    double at_s;
    struct simulated_plan plan;
};

static double between(struct draft *d, double low, double high)
{
    return simulated_random_between(&d->random, low, high);
}

static int whole_between(struct draft *d, int low, int high)
{
    return simulated_random_whole(&d->random, low, high);
}

/* A block from one share of threshold to another; returns it to be marked. */
static struct simulated_block *ride(struct draft *d, double duration_s, double from, double to)
{
    d->blocks =
        arena_grow(d->arena, d->blocks, d->count, &d->capacity, sizeof(struct simulated_block));
    struct simulated_block *block = &d->blocks[d->count++];
    const double whole_s = floor(duration_s + 0.5);
    *block = (struct simulated_block){
        .duration_s = whole_s,
        .power_w = from * d->rider->threshold_w,
        .end_power_w = to * d->rider->threshold_w,
        .cadence_rpm = (double)NAN,
    };
    d->at_s += whole_s;
    return block;
}

static struct simulated_block *effort(struct draft *d, double duration_s, double from, double to)
{
    struct simulated_block *block = ride(d, duration_s, from, to);
    block->is_rep = true;
    const double usual = d->rider->cadence_rpm > 0.0 ? d->rider->cadence_rpm : 85.0;
    block->cadence_rpm = usual + simulated_random_between(&d->random, 0.0, 8.0);
    return block;
}

static void warm_up(struct draft *d)
{
    const double from = between(d, 0.40, 0.50);
    const double to = between(d, 0.60, 0.68);
    ride(d, between(d, 480.0, 900.0), from, to);
}

static void cool_down(struct draft *d)
{
    const double from = between(d, 0.45, 0.55);
    ride(d, between(d, 240.0, 720.0), from, 0.40);
}

static void rest(struct draft *d, double duration_s)
{
    const double share = between(d, 0.40, 0.55);
    ride(d, duration_s, share, share);
}

static void base_hour(struct draft *d)
{
    const double share = between(d, 0.68, 0.72);
    warm_up(d);
    d->plan.drift_from_s = d->at_s;
    ride(d, between(d, 3600.0, 3900.0), share, share);
    d->plan.drift_to_s = d->at_s;
    cool_down(d);
    d->plan.drift_bpm = between(d, 0.0, 18.0);
}

/* Watts are given away as heart rate rises, after some minutes of goodwill. */
static void base_let_down(struct draft *d)
{
    const double share = between(d, 0.70, 0.73);
    const double drift_bpm = between(d, 8.0, 18.0);
    const double held = between(d, 0.6, 1.1);
    double given = held * drift_bpm / (d->rider->gain_bpm_per_w * d->rider->threshold_w);
    given = given > 0.16 ? 0.16 : given;
    warm_up(d);
    d->plan.drift_from_s = d->at_s;
    ride(d, between(d, 600.0, 1200.0), share, share);
    ride(d, d->plan.drift_from_s + between(d, 3600.0, 3900.0) - d->at_s, share, share - given);
    d->plan.drift_to_s = d->at_s;
    cool_down(d);
    d->plan.drift_bpm = drift_bpm;
}

/* How an effort of the set with that number runs: shares at its start and end. */
typedef void shape_of(struct draft *d, int number, double mean, double *from, double *to);

static void shape_even(struct draft *d, int number, double mean, double *from, double *to)
{
    (void)number;
    const double lean = between(d, -0.02, 0.02);
    *from = mean - lean;
    *to = mean + lean;
}

static void shape_too_hard(struct draft *d, int number, double mean, double *from, double *to)
{
    (void)number;
    (void)mean;
    *from = between(d, 1.30, 1.40);
    *to = between(d, 0.84, 0.93);
}

static void shape_faded(struct draft *d, int number, double mean, double *from, double *to)
{
    if (number == 0) {
        shape_even(d, number, mean, from, to);
        return;
    }
    *from = between(d, 1.12, 1.18);
    *to = between(d, 0.88, 0.96);
}

static void vo2max(struct draft *d, shape_of *shape)
{
    const int count = whole_between(d, 3, 6);
    const double length_s = 30.0 * (double)whole_between(d, 6, 10);
    const double rest_s = 30.0 * (double)whole_between(d, 4, 8);
    const double mean = between(d, 1.10, 1.16);
    warm_up(d);
    rest(d, between(d, 120.0, 240.0));
    for (int i = 0; i < count; i++) {
        double from = 0.0;
        double to = 0.0;
        shape(d, i, mean + between(d, -0.01, 0.01), &from, &to);
        effort(d, length_s, from, to);
        if (i + 1 < count) {
            rest(d, rest_s);
        }
    }
    cool_down(d);
}

static void short_efforts(struct draft *d, double on_s, double off_s, int most)
{
    const int blocks = whole_between(d, 2, 3);
    const int count = whole_between(d, 8, most);
    const double on = between(d, 1.10, 1.16);
    const double off = between(d, 0.45, 0.55);
    warm_up(d);
    rest(d, 180.0);
    for (int b = 0; b < blocks; b++) {
        for (int i = 0; i < count; i++) {
            const double share = on + between(d, -0.02, 0.02);
            effort(d, on_s, share, share);
            ride(d, off_s, off, off);
        }
        rest(d, between(d, 180.0, 360.0));
    }
    cool_down(d);
}

static void over_unders(struct draft *d)
{
    const int count = whole_between(d, 3, 4);
    const int turns = whole_between(d, 3, 4);
    const double under = between(d, 0.91, 0.95);
    const double over = between(d, 1.04, 1.09);
    warm_up(d);
    for (int i = 0; i < count; i++) {
        rest(d, between(d, 240.0, 300.0));
        for (int k = 0; k < turns; k++) {
            effort(d, 120.0, under, under)->goes_on = k > 0;
            effort(d, 60.0, over, over)->goes_on = true;
        }
    }
    cool_down(d);
}

static void two_by_twenty(struct draft *d)
{
    const double share = between(d, 0.95, 1.01);
    warm_up(d);
    for (int i = 0; i < 2; i++) {
        rest(d, between(d, 240.0, 420.0));
        const double from = share + between(d, -0.01, 0.01);
        const double to = share + between(d, -0.02, 0.01);
        effort(d, 1200.0, from, to);
    }
    cool_down(d);
}

static void sprints(struct draft *d)
{
    const int count = whole_between(d, 6, 10);
    const double length_s = (double)whole_between(d, 8, 12);
    warm_up(d);
    for (int i = 0; i < count; i++) {
        const double peak = between(d, 2.8, 3.8);
        rest(d, between(d, 180.0, 300.0));
        effort(d, length_s, peak, peak * between(d, 0.65, 0.85))->cadence_rpm = 112.0;
    }
    cool_down(d);
}

static void sweet_spot(struct draft *d)
{
    const double share = between(d, 0.90, 0.92);
    warm_up(d);
    for (int i = 0; i < 3; i++) {
        rest(d, between(d, 240.0, 300.0));
        const double from = share + between(d, -0.01, 0.01);
        const double to = share + between(d, -0.01, 0.01);
        effort(d, 720.0, from, to);
    }
    cool_down(d);
}

static void eight_by_one(struct draft *d)
{
    const double share = between(d, 1.30, 1.42);
    const double rest_s = 30.0 * (double)whole_between(d, 4, 6);
    warm_up(d);
    for (int i = 0; i < 8; i++) {
        rest(d, rest_s);
        const double from = share + between(d, 0.0, 0.03);
        const double to = share + between(d, -0.04, 0.0);
        effort(d, 60.0, from, to);
    }
    cool_down(d);
}

static void long_ride(struct draft *d, bool cafe)
{
    const double length_s = between(d, 9000.0, 16200.0);
    const double cafe_s = cafe ? length_s * between(d, 0.35, 0.65) : (double)INFINITY;
    bool been = false;
    warm_up(d);
    d->plan.drift_from_s = d->at_s;
    while (d->at_s < length_s) {
        if (!been && d->at_s > cafe_s) {
            struct simulated_block *stop = ride(d, between(d, 600.0, 2100.0), 0.0, 0.0);
            stop->is_stop = true;
            stop->timer_off = simulated_random_chance(&d->random, 0.67);
            been = true;
        }
        const bool climbs = simulated_random_chance(&d->random, 0.25);
        const double share = climbs ? between(d, 0.75, 0.92) : between(d, 0.50, 0.75);
        struct simulated_block *block =
            ride(d, climbs ? between(d, 240.0, 1200.0) : between(d, 400.0, 1800.0), share, share);
        block->cadence_rpm = climbs ? between(d, 68.0, 80.0) : (double)NAN;
    }
    cool_down(d);
    d->plan.drift_bpm = between(d, 0.0, 9.0);
}

static void write_session(struct draft *d, enum simulated_session session)
{
    switch (session) {
    case SIMULATED_BASE_LET_DOWN: base_let_down(d); return;
    case SIMULATED_VO2MAX_DONE: vo2max(d, shape_even); return;
    case SIMULATED_VO2MAX_TOO_HARD: vo2max(d, shape_too_hard); return;
    case SIMULATED_VO2MAX_FADED: vo2max(d, shape_faded); return;
    case SIMULATED_SHORT_30_30: short_efforts(d, 30.0, 30.0, 13); return;
    case SIMULATED_SHORT_40_20: short_efforts(d, 40.0, 20.0, 12); return;
    case SIMULATED_OVER_UNDERS: over_unders(d); return;
    case SIMULATED_THRESHOLD_2X20: two_by_twenty(d); return;
    case SIMULATED_SPRINTS: sprints(d); return;
    case SIMULATED_LONG_RIDE: long_ride(d, false); return;
    case SIMULATED_CAFE_STOP: long_ride(d, true); return;
    case SIMULATED_SWEET_SPOT_3X12: sweet_spot(d); return;
    case SIMULATED_ANAEROBIC_8X1: eight_by_one(d); return;
    case SIMULATED_BASE_HOUR:
    case SIMULATED_SESSION_COUNT: break;
    }
    base_hour(d);
}

/* Road, weather and device. */
static void draw_surroundings(struct draft *d, enum simulated_session session, bool outdoors)
{
    struct simulated_plan *plan = &d->plan;
    const bool tour = session == SIMULATED_LONG_RIDE || session == SIMULATED_CAFE_STOP;
    plan->outdoors = outdoors;
    plan->noise = (enum simulated_noise)whole_between(d, 0, SIMULATED_NOISE_COUNT - 1);
    plan->noise_bpm = between(d, 0.8, 2.2);
    plan->drift_shape = whole_between(d, 0, SIMULATED_DRIFT_SHAPE_COUNT - 1);
    plan->temperature_c = between(d, outdoors ? 6.0 : 17.0, outdoors ? 23.0 : 22.0);
    plan->temperature_rise_c = between(d, 0.0, 3.0);
    if (simulated_random_chance(&d->random, 0.25)) {
        plan->temperature_c = (double)NAN;
    }
    if (tour) {
        /* What flattens doesn't run away with the hours. */
        plan->drift_shape = SIMULATED_DRIFT_EARLY;
        plan->hilliness = between(d, 0.2, 0.9);
        plan->coasting_ratio = between(d, 0.05, 0.18);
        plan->junctions_per_h = between(d, 2.0, 12.0);
    } else if (simulated_random_chance(&d->random, 0.5)) {
        /* Some find a road without junctions for their tests and efforts, some don't. */
        plan->hilliness = between(d, 0.0, 0.2);
        plan->coasting_ratio = between(d, 0.0, 0.04);
    } else {
        plan->hilliness = between(d, 0.1, 0.4);
        plan->coasting_ratio = between(d, 0.02, 0.09);
        plan->junctions_per_h = between(d, 0.5, 5.0);
    }
}

/* A number of its own for every ride.  Sessions that came later are counted apart, so that the
 * first twelve stay what they were. */
static uint64_t ride_number(enum simulated_session session, uint64_t seed)
{
    const uint64_t apart = (int)session < (int)FIRST_SESSIONS ? 0 : (uint64_t)1 << 60;
    return apart + seed * FIRST_SESSIONS + (uint64_t)session % FIRST_SESSIONS;
}

struct simulated_plan simulated_plan_make(struct arena *arena, const struct simulated_rider *rider,
                                          enum simulated_session session, bool outdoors,
                                          uint64_t seed)
{
    struct draft d = {
        .arena = arena,
        .rider = rider,
        .random = simulated_random_begin(seed, STREAM_PLAN + (uint64_t)session),
    };
    draw_surroundings(&d, session, outdoors);
    write_session(&d, session);
    d.plan.blocks = d.blocks;
    d.plan.n_blocks = d.count;
    d.plan.seed = ride_number(session, seed);
    d.plan.device = simulated_device_draw(d.plan.seed);
    /* 2026-01-05, a Monday, at 16:30 UTC; a day later for every seed. */
    d.plan.start_utc = 1767630600 + 86400 * (int64_t)(seed % 300);
    return d.plan;
}

const char *simulated_session_name(enum simulated_session session)
{
    static const char *const names[SIMULATED_SESSION_COUNT] = {
        [SIMULATED_BASE_HOUR] = "base-hour",
        [SIMULATED_BASE_LET_DOWN] = "base-let-down",
        [SIMULATED_VO2MAX_DONE] = "vo2max-done",
        [SIMULATED_VO2MAX_TOO_HARD] = "vo2max-too-hard",
        [SIMULATED_VO2MAX_FADED] = "vo2max-faded",
        [SIMULATED_SHORT_30_30] = "short-30-30",
        [SIMULATED_SHORT_40_20] = "short-40-20",
        [SIMULATED_OVER_UNDERS] = "over-unders",
        [SIMULATED_THRESHOLD_2X20] = "threshold-2x20",
        [SIMULATED_SPRINTS] = "sprints",
        [SIMULATED_LONG_RIDE] = "long-ride",
        [SIMULATED_CAFE_STOP] = "cafe-stop",
        [SIMULATED_SWEET_SPOT_3X12] = "sweet-spot-3x12",
        [SIMULATED_ANAEROBIC_8X1] = "anaerobic-8x1",
    };
    return names[session];
}
