/* simulated/road.c: what the legs did, second by second, and what the road did to them. */
#include "simulated/road.h"

#include "simulated/random.h"

#include <math.h>

enum {
    STREAM_HILLS = 0x4849,
    STREAM_STOPS = 0x5354,
    STREAM_SCATTER = 0x5343,
    STREAM_EDGES = 0x4544,
    STREAM_CADENCE = 0x4341
};

static const double TWO_PI = 6.283185307179586;

/* The plan laid on seconds, and what the later steps need to know of it. */
struct sketch {
    const struct simulated_plan *plan;
    size_t n;
    double *asked_w;   /* [n] */
    double *asked_rpm; /* [n], NAN = as the rider likes */
    double *hill;      /* [n] about -1 .. 1: up is positive */
    double *surge;     /* [n] factor on power after stops and corners */
    uint32_t *block;   /* [n] */
    size_t *start;     /* [n_blocks + 1] first second of each block */
    double cv;         /* < 0: none */
};

static size_t whole_seconds(double s)
{
    return s > 0.0 ? (size_t)(s + 0.5) : 0;
}

static struct sketch sketch_make(struct arena *arena, const struct simulated_plan *plan)
{
    struct sketch k = { .plan = plan };
    k.start = ARENA_ARRAY(arena, size_t, plan->n_blocks + 1);
    for (size_t b = 0; b < plan->n_blocks; b++) {
        k.start[b + 1] = k.start[b] + whole_seconds(plan->blocks[b].duration_s);
    }
    k.n = k.start[plan->n_blocks];
    k.asked_w = ARENA_ARRAY(arena, double, k.n);
    k.asked_rpm = ARENA_ARRAY(arena, double, k.n);
    k.hill = ARENA_ARRAY(arena, double, k.n);
    k.surge = ARENA_ARRAY(arena, double, k.n);
    k.block = ARENA_ARRAY(arena, uint32_t, k.n);
    for (size_t b = 0; b < plan->n_blocks; b++) {
        const struct simulated_block *block = &plan->blocks[b];
        const bool stands = block->is_stop || block->timer_off;
        const double from = stands ? 0.0 : block->power_w;
        const double to = stands || isnan(block->end_power_w) ? from : block->end_power_w;
        const double length = (double)(k.start[b + 1] - k.start[b]);
        for (size_t t = k.start[b]; t < k.start[b + 1]; t++) {
            /* The middle of the second, so that the block's mean is the middle of both ends. */
            const double share = ((double)(t - k.start[b]) + 0.5) / length;
            k.asked_w[t] = from + (to - from) * share;
            k.asked_rpm[t] = block->cadence_rpm;
            k.surge[t] = 1.0;
            k.block[t] = (uint32_t)b;
        }
    }
    return k;
}

static const struct simulated_block *block_at(const struct sketch *k, size_t t)
{
    return &k->plan->blocks[k->block[t]];
}

/* Hills and dales as three waves of some minutes, so that what goes up comes down. */
static void draw_hills(struct sketch *k)
{
    struct simulated_random r = simulated_random_begin(k->plan->seed, STREAM_HILLS);
    static const double shortest_s[3] = { 60.0, 180.0, 500.0 };
    static const double longest_s[3] = { 180.0, 500.0, 1300.0 };
    for (int i = 0; i < 3; i++) {
        const double period = simulated_random_between(&r, shortest_s[i], longest_s[i]);
        const double phase = simulated_random_between(&r, 0.0, TWO_PI);
        const double size = simulated_random_between(&r, 0.3, 0.7);
        for (size_t t = 0; t < k->n; t++) {
            k->hill[t] += size * sin(TWO_PI * (double)t / period + phase);
        }
    }
}

static void mark_blocks(const struct sketch *k, struct simulated_road *road)
{
    for (size_t t = 0; t < k->n; t++) {
        const struct simulated_block *block = block_at(k, t);
        road->in_rep[t] = block->is_rep;
        road->motion[t] = SIMULATED_PEDALLING;
        if (block->timer_off) {
            road->motion[t] = SIMULATED_TIMER_STOOD;
        } else if (block->is_stop) {
            road->motion[t] = SIMULATED_STANDING;
        }
    }
}

/* Whether from .. to holds nothing but plain riding outside efforts. */
static bool is_free(const struct sketch *k, const struct simulated_road *road, size_t from,
                    size_t to)
{
    if (to > k->n) {
        return false;
    }
    for (size_t t = from; t < to; t++) {
        if (road->motion[t] != SIMULATED_PEDALLING || road->in_rep[t]) {
            return false;
        }
    }
    return true;
}

static void put_motion(struct simulated_road *road, size_t from, size_t length,
                       enum simulated_motion motion)
{
    for (size_t t = from; t < from + length && t < road->n; t++) {
        road->motion[t] = (uint8_t)motion;
    }
}

/* Harder for some seconds from t on, fading to nothing. */
static void put_surge(struct sketch *k, struct simulated_random *r, size_t t)
{
    const double size = simulated_random_between(r, 0.3, 0.9);
    const size_t length = (size_t)simulated_random_whole(r, 3, 9);
    for (size_t s = 0; s < length && t + s < k->n; s++) {
        k->surge[t + s] = 1.0 + size * (1.0 - (double)s / (double)length);
    }
}

static void put_junctions(struct sketch *k, struct simulated_road *road)
{
    struct simulated_random r = simulated_random_begin(k->plan->seed, STREAM_STOPS);
    const double between_s = 3600.0 / k->plan->junctions_per_h;
    double at_s = 60.0;
    for (;;) {
        at_s += between_s * simulated_random_wait(&r);
        if (at_s >= (double)k->n) {
            return;
        }
        const size_t t = (size_t)at_s;
        const size_t brake = (size_t)simulated_random_whole(&r, 3, 6);
        const size_t stand = (size_t)simulated_random_whole(&r, 5, 40);
        if (!is_free(k, road, t, t + brake + stand + 20)) {
            continue;
        }
        put_motion(road, t, brake, SIMULATED_COASTING);
        put_motion(road, t + brake, stand, SIMULATED_STANDING);
        put_surge(k, &r, t + brake + stand);
    }
}

/* Bouts of 2-20 s, downhill now and then of up to 80 s, without pressure until the asked share is
 * reached; more of them downhill; some are corners and end in a surge; some begin or pass with the
 * legs still turning. */
static void put_coasting(struct sketch *k, struct simulated_road *road)
{
    struct simulated_random r = simulated_random_begin(k->plan->seed, STREAM_STOPS + 1);
    size_t open = 0;
    for (size_t t = 0; t < k->n; t++) {
        open += road->motion[t] == SIMULATED_PEDALLING && !road->in_rep[t];
    }
    const size_t wanted = (size_t)(k->plan->coasting_ratio * (double)open + 0.5);
    size_t have = 0;
    const double usual_s = simulated_random_between(&r, 2.0, 6.0);
    for (size_t tries = 0; have < wanted && tries < 200 * k->n; tries++) {
        const size_t t = (size_t)((double)k->n * simulated_random_unit(&r));
        const double wait = usual_s * simulated_random_wait(&r);
        size_t length = 2 + (size_t)(wait < 18.0 ? wait : 18.0);
        if (k->hill[t] < -0.4 && simulated_random_chance(&r, 0.2 * k->plan->hilliness)) {
            length *= 4; /* a long way down */
        }
        length = length > wanted - have ? wanted - have : length;
        const double welcome = 0.55 - 0.45 * k->plan->hilliness * k->hill[t];
        const size_t before = t < 2 ? t : 2;
        if (!simulated_random_chance(&r, welcome) ||
            !is_free(k, road, t - before, t + length + 2)) {
            continue;
        }
        put_motion(road, t, length, SIMULATED_COASTING);
        if (simulated_random_chance(&r, 0.4)) {
            put_motion(road, t, length < 3 ? length : (size_t)simulated_random_whole(&r, 1, 3),
                       SIMULATED_SOFT);
        }
        if (simulated_random_chance(&r, 0.35)) {
            put_surge(k, &r, t + length);
        }
        have += length;
    }
}

/* In an effort on the road some seconds go missing here and there: a corner, a gear, a car. */
static void put_slips(const struct sketch *k, struct simulated_road *road)
{
    struct simulated_random r = simulated_random_begin(k->plan->seed, STREAM_STOPS + 2);
    const double chance = simulated_random_between(&r, 0.03, 0.15) * k->plan->coasting_ratio;
    for (size_t t = 4; t + 4 < k->n; t++) {
        const bool inside = road->in_rep[t - 4] && road->in_rep[t + 4];
        if (inside && simulated_random_chance(&r, chance)) {
            put_motion(road, t, (size_t)simulated_random_whole(&r, 1, 4), SIMULATED_COASTING);
            t += 20;
        }
    }
}

/* How pedalling scatters, another way for every seed.  Real rides (16 of them, windows of 60 s
 * without coasting) have a share of spread of 6-8 % indoors and 10-40 % outdoors, with correlation
 * 0.2-0.4 from one second to the next indoors, where the trainer evens out what lasts, and
 * 0.55-0.85 outdoors. */
struct scatter_kind {
    double share[3]; /* of variance, with memory tau_s */
    double tau_s[3];
    double white;      /* of variance: single strokes */
    double restless;   /* how the size of scatter itself wanders: sd of its logarithm */
    double restless_s; /* and its memory */
};

static struct scatter_kind draw_scatter(const struct sketch *k)
{
    struct simulated_random r = simulated_random_begin(k->plan->seed, STREAM_SCATTER + 2);
    struct scatter_kind kind = { .restless_s = 120.0 };
    const bool outdoors = k->plan->outdoors;
    kind.white = simulated_random_between(&r, outdoors ? 0.05 : 0.25, outdoors ? 0.25 : 0.60);
    kind.share[2] = simulated_random_between(&r, 0.05, outdoors ? 0.14 : 0.22);
    const double quick = simulated_random_between(&r, 0.35, 0.75);
    kind.share[0] = (1.0 - kind.white - kind.share[2]) * quick;
    kind.share[1] = (1.0 - kind.white - kind.share[2]) * (1.0 - quick);
    kind.tau_s[0] = simulated_random_between(&r, 1.5, 4.0);
    kind.tau_s[1] = simulated_random_between(&r, 6.0, 15.0);
    kind.tau_s[2] = simulated_random_between(&r, 40.0, 90.0);
    kind.restless = simulated_random_between(&r, 0.05, outdoors ? 0.40 : 0.20);
    return kind;
}

/* Log-normal, so that power stays positive while its share of spread is cv. */
static void scatter(const struct sketch *k, struct simulated_road *road)
{
    struct simulated_random r = simulated_random_begin(k->plan->seed, STREAM_SCATTER);
    const struct scatter_kind kind = draw_scatter(k);
    const double sigma = sqrt(log(1.0 + k->cv * k->cv));
    double x[3];
    for (int i = 0; i < 3; i++) {
        x[i] = simulated_random_normal(&r);
    }
    double mood = simulated_random_normal(&r);
    for (size_t t = 0; t < k->n; t++) {
        double z = sqrt(kind.white) * simulated_random_normal(&r);
        for (int i = 0; i < 3; i++) {
            const double phi = exp(-1.0 / kind.tau_s[i]);
            x[i] = phi * x[i] + sqrt(1.0 - phi * phi) * simulated_random_normal(&r);
            /* In an effort she watches the display: what would last is mended. */
            const double held = i == 2 && road->in_rep[t] ? 0.4 : 1.0;
            z += held * sqrt(kind.share[i]) * x[i];
        }
        const double phi = exp(-1.0 / kind.restless_s);
        mood = phi * mood + sqrt(1.0 - phi * phi) * simulated_random_normal(&r);
        /* E exp(2 a m) = exp(2 a^2) for standard normal m: the mean variance stays. */
        const double now = sigma * exp(kind.restless * mood - kind.restless * kind.restless);
        const double factor = exp(now * z - 0.5 * now * now);
        road->power_w[t] *= factor < 2.0 ? factor : 2.0;
    }
}

/* Legs take a few seconds from one block's power to the next, and the first seconds of a block
 * outdoors miss the mark. */
static void soften_edges(const struct sketch *k, double power_w[])
{
    struct simulated_random r = simulated_random_begin(k->plan->seed, STREAM_EDGES);
    for (size_t b = 1; b < k->plan->n_blocks; b++) {
        const size_t at = k->start[b];
        const size_t shorter = at - k->start[b - 1] < k->start[b + 1] - at ? at - k->start[b - 1]
                                                                           : k->start[b + 1] - at;
        size_t length = (size_t)(k->plan->outdoors ? simulated_random_whole(&r, 2, 6)
                                                   : simulated_random_whole(&r, 1, 3));
        length = length > shorter / 3 ? shorter / 3 : length;
        const double miss = k->plan->outdoors ? 0.10 * simulated_random_normal(&r) : 0.0;
        if (length == 0) {
            continue;
        }
        const double from_w = k->asked_w[at - 1];
        const double to_w = k->asked_w[at];
        for (size_t s = 0; s < length; s++) {
            const double share = ((double)s + 0.5) / (double)length;
            power_w[at - length / 2 + s] = from_w + (to_w - from_w) * share;
        }
        for (size_t s = at + length; s < at + 2 * length && s < k->start[b + 1]; s++) {
            power_w[s] *= 1.0 + miss;
        }
    }
}

static void lay_power(const struct sketch *k, struct simulated_road *road)
{
    struct simulated_random r = simulated_random_begin(k->plan->seed, STREAM_HILLS + 1);
    const double hilly = k->plan->outdoors ? 0.28 * k->plan->hilliness : 0.0;
    /* A rider looks for a road that suits the effort, with more or less luck. */
    const double hilly_in_rep = hilly * simulated_random_between(&r, 0.2, 0.7);
    for (size_t t = 0; t < k->n; t++) {
        road->power_w[t] = k->asked_w[t];
    }
    if (k->cv >= 0.0) {
        soften_edges(k, road->power_w);
    }
    for (size_t t = 0; t < k->n; t++) {
        const double swing = 1.0 + (road->in_rep[t] ? hilly_in_rep : hilly) * k->hill[t];
        road->power_w[t] *= k->surge[t] * (swing < 0.2 ? 0.2 : swing);
    }
    if (k->cv > 0.0) {
        scatter(k, road);
    }
    for (size_t t = 0; t < k->n; t++) {
        if (road->motion[t] != SIMULATED_PEDALLING) {
            road->power_w[t] = 0.0;
        }
    }
}

/* Watching the display, the rider comes out near the mean that she set out to ride: within about
 * 1 % in an effort or indoors, 2 % otherwise.  Standing seconds are no part of it. */
static void hold_means(const struct sketch *k, struct simulated_road *road)
{
    struct simulated_random r = simulated_random_begin(k->plan->seed, STREAM_EDGES + 1);
    for (size_t b = 0; b < k->plan->n_blocks; b++) {
        double asked = 0.0;
        double ridden = 0.0;
        for (size_t t = k->start[b]; t < k->start[b + 1]; t++) {
            if (road->motion[t] < SIMULATED_STANDING) {
                asked += k->asked_w[t];
                ridden += road->power_w[t];
            }
        }
        const bool close = k->plan->blocks[b].is_rep || !k->plan->outdoors;
        const double miss = k->cv < 0.0 ? 0.0 : (close ? 0.007 : 0.015);
        double factor = 1.0 + miss * simulated_random_normal(&r);
        factor *= ridden > 0.0 ? asked / ridden : 1.0;
        factor = factor < 0.6 ? 0.6 : (factor > 1.5 ? 1.5 : factor);
        for (size_t t = k->start[b]; t < k->start[b + 1]; t++) {
            road->power_w[t] *= factor;
        }
    }
}

static void turn_cadence(const struct sketch *k, const struct simulated_rider *rider,
                         struct simulated_road *road)
{
    struct simulated_random r = simulated_random_begin(k->plan->seed, STREAM_CADENCE);
    const double usual = rider->cadence_rpm > 0.0 ? rider->cadence_rpm : 85.0;
    const double sd = k->cv < 0.0 ? 0.0 : (k->plan->outdoors ? 4.0 : 2.0);
    const double phi = exp(-1.0 / 15.0);
    double x = simulated_random_normal(&r);
    for (size_t t = 0; t < k->n; t++) {
        x = phi * x + sqrt(1.0 - phi * phi) * simulated_random_normal(&r);
        const double jitter = 0.45 * sd * simulated_random_normal(&r);
        const double asked =
            isnan(k->asked_rpm[t]) || k->asked_rpm[t] <= 0.0 ? usual : k->asked_rpm[t];
        const double hilly = k->plan->outdoors ? 7.0 * k->plan->hilliness * k->hill[t] : 0.0;
        const double rpm = asked - hilly + sd * x + jitter;
        const bool turns = road->motion[t] <= SIMULATED_SOFT &&
                           road->motion[t] != SIMULATED_COASTING && k->asked_w[t] > 0.0;
        road->cadence_rpm[t] = turns ? (rpm < 35.0 ? 35.0 : rpm) : 0.0;
    }
}

/* Scatter when the plan leaves it open. */
static double scatter_share(const struct simulated_plan *plan)
{
    if (plan->power_cv > 0.0 || plan->power_cv < 0.0) {
        return plan->power_cv;
    }
    struct simulated_random r = simulated_random_begin(plan->seed, STREAM_SCATTER + 1);
    if (plan->outdoors) {
        return simulated_random_between(&r, 0.10, 0.25);
    }
    const bool smooth = simulated_random_chance(&r, 0.25);
    return simulated_random_between(&r, smooth ? 0.035 : 0.05, smooth ? 0.05 : 0.085);
}

struct simulated_road simulated_road_make(struct arena *arena, const struct simulated_rider *rider,
                                          const struct simulated_plan *plan)
{
    struct sketch k = sketch_make(arena, plan);
    k.cv = scatter_share(plan);
    struct simulated_road road = { .n = k.n };
    road.power_w = ARENA_ARRAY(arena, double, k.n);
    road.cadence_rpm = ARENA_ARRAY(arena, double, k.n);
    road.grade_ratio = ARENA_ARRAY(arena, double, k.n);
    road.motion = ARENA_ARRAY(arena, uint8_t, k.n);
    road.in_rep = ARENA_ARRAY(arena, uint8_t, k.n);
    draw_hills(&k);
    mark_blocks(&k, &road);
    if (plan->outdoors) {
        if (plan->junctions_per_h > 0.0) {
            put_junctions(&k, &road);
        }
        if (plan->coasting_ratio > 0.0) {
            put_coasting(&k, &road);
            put_slips(&k, &road);
        }
        for (size_t t = 0; t < k.n; t++) {
            road.grade_ratio[t] = 0.05 * plan->hilliness * k.hill[t];
        }
    }
    lay_power(&k, &road);
    hold_means(&k, &road);
    turn_cadence(&k, rider, &road);
    return road;
}
