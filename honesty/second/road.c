/* honesty/second/road.c: what the legs did on a road made of waves. */
#include "honesty/second/ride.h"

#include "honesty/second/random.h"

#include <math.h>

enum { PROFILE = 0x41, LEGS = 0x42, LIGHTS = 0x43, WAVES = 14 };

static const double TWO_PI = 6.283185307179586;

struct waves {
    double height_m[WAVES];
    double length_m[WAVES];
    double phase[WAVES];
};

/* Heights in proportion to lengths: hills look alike at every scale. */
static struct waves draw_waves(uint64_t seed, double steepness)
{
    struct second_random r = second_random_begin(seed, PROFILE);
    struct waves waves = { 0 };
    for (int i = 0; i < WAVES; i++) {
        waves.length_m[i] = 250.0 * pow(40.0, second_unit(&r));
        waves.phase[i] = TWO_PI * second_unit(&r);
        /* The slope of each is its share of the whole. */
        waves.height_m[i] = steepness / sqrt(0.5 * WAVES) * waves.length_m[i] / TWO_PI;
    }
    return waves;
}

static double slope_at(const struct waves *waves, double at_m, double *height_m)
{
    double slope = 0.0;
    *height_m = 0.0;
    for (int i = 0; i < WAVES; i++) {
        const double turn = TWO_PI * at_m / waves->length_m[i] + waves->phase[i];
        *height_m += waves->height_m[i] * sin(turn);
        slope += waves->height_m[i] * TWO_PI / waves->length_m[i] * cos(turn);
    }
    return slope;
}

/* What a place does to the watts. */
struct habits {
    double steepness; /* standard deviation of the slope */
    double by_slope;  /* watts more for each unit of slope, as share */
    double gust;      /* scatter of some seconds */
    double stroke;    /* scatter of each second */
    double lights_per_h;
};
static const struct habits habits[SECOND_PLACES] = {
    [SECOND_TRAINER] = { 0.0, 0.0, 0.0, 0.010, 0.0 },
    [SECOND_ROLLERS] = { 0.0, 0.0, 0.02, 0.045, 0.0 },
    [SECOND_FLAT] = { 0.004, 1.5, 0.05, 0.10, 0.3 },
    [SECOND_ROLLING] = { 0.022, 4.0, 0.06, 0.11, 0.6 },
    [SECOND_TOWN] = { 0.006, 2.0, 0.06, 0.12, 7.0 },
};

const char *second_place_name(enum second_place place)
{
    static const char *const names[SECOND_PLACES] = {
        [SECOND_TRAINER] = "indoors, trainer holds the power",
        [SECOND_ROLLERS] = "indoors, free",
        [SECOND_FLAT] = "outdoors, flat",
        [SECOND_ROLLING] = "outdoors, rolling",
        [SECOND_TOWN] = "outdoors, town",
    };
    return names[place];
}

/* ---- the legs ---- */

struct legs {
    struct second_random random;
    struct second_random lights;
    const struct second_rider *rider;
    const struct habits *habits;
    double gust;
    double speed_ms;
    double shown_w;  /* ramps towards what is meant: nobody changes in a second */
    double stands_s; /* at a light, with the roll towards it */
};

static double meant_w(const struct second_block *block, double since_s)
{
    const double share = since_s / block->duration_s;
    const double way = block->decays ? 1.0 - exp(-3.0 * share) : share;
    return block->from_w + (block->to_w - block->from_w) * way;
}

/* Rider and bicycle by mass and air: 0.32 m2 of drag, 0.5 % rolling. */
static void roll(struct legs *legs, double power_w, double slope)
{
    const double v = fmax(legs->speed_ms, 1.0);
    const double mass = legs->rider->mass_kg;
    const double air = 0.5 * 1.2 * 0.32 * v * v;
    const double ground = mass * 9.81 * (slope + 0.005);
    legs->speed_ms = fmax(1.5, v + (power_w / v - air - ground) / mass);
}

static double gust(struct legs *legs)
{
    const double keeps = exp(-1.0 / 9.0);
    legs->gust = keeps * legs->gust + sqrt(1.0 - keeps * keeps) * second_normal(&legs->random);
    return 1.0 + legs->habits->gust * legs->gust;
}

/* True while she stands, or rolls to a light without pedalling; never in an effort. */
static bool waits(struct legs *legs, bool is_rep)
{
    if (legs->stands_s > 0.0) {
        legs->stands_s -= 1.0;
        return true;
    }
    if (!is_rep && second_chance(&legs->lights, legs->habits->lights_per_h / 3600.0)) {
        legs->stands_s = floor(second_between(&legs->lights, 8.0, 45.0));
        return true;
    }
    return false;
}

/* One second of pedalling at what is meant. */
static double tread(struct legs *legs, const struct second_block *block, double want_w,
                    double slope)
{
    const double steady = block->is_rep ? 0.5 : 1.0;
    const double uphill = 1.0 + steady * legs->habits->by_slope * slope;
    const double to_w = want_w * fmin(fmax(uphill, 0.55), 1.35);
    legs->shown_w += (to_w - legs->shown_w) / 1.6;
    const double stroke = exp(legs->habits->stroke * second_heavy(&legs->random));
    const double power_w = legs->shown_w * gust(legs) * fmin(fmax(stroke, 0.5), 1.6);
    const bool coasts = !block->is_rep && slope < -0.035 && second_chance(&legs->random, 0.6);
    return coasts ? 0.0 : fmax(power_w, 0.0);
}

/* How far the mean so far is behind what was meant: she looks down now and then. */
static double steer(double meant_j, double done_j)
{
    return meant_j > 0.0 ? fmin(fmax(1.0 + 0.6 * (meant_j - done_j) / meant_j, 0.9), 1.1) : 1.0;
}

static struct second_road room_for(struct arena *arena, const struct second_plan *plan)
{
    double length_s = 0.0;
    for (size_t b = 0; b < plan->n_blocks; b++) {
        length_s += plan->blocks[b].duration_s;
    }
    const size_t n = (size_t)length_s;
    return (struct second_road){ .n = 0,
                                 .power_w = ARENA_ARRAY(arena, double, n + 1),
                                 .cadence_rpm = ARENA_ARRAY(arena, double, n + 1),
                                 .speed_ms = ARENA_ARRAY(arena, double, n + 1),
                                 .height_m = ARENA_ARRAY(arena, double, n + 1) };
}

static void ride_block(struct legs *legs, const struct second_block *block,
                       const struct waves *waves, double *at_m, struct second_road *road)
{
    double meant_j = 0.0;
    double done_j = 0.0;
    double factor = 1.0;
    for (double s = 0.0; s + 0.5 < block->duration_s; s += 1.0) {
        const size_t t = road->n++;
        const double slope = slope_at(waves, *at_m, &road->height_m[t]);
        const double want_w = meant_w(block, s);
        const bool stands = waits(legs, block->is_rep);
        road->power_w[t] = stands ? 0.0 : tread(legs, block, want_w * factor, slope);
        road->cadence_rpm[t] = road->power_w[t] > 0.0
                                   ? legs->rider->cadence_rpm * (1.0 - 2.0 * slope) +
                                         2.0 * second_normal(&legs->random)
                                   : 0.0;
        roll(legs, stands ? 0.0 : road->power_w[t], slope);
        legs->speed_ms = stands && legs->stands_s < 30.0 ? 0.0 : legs->speed_ms;
        road->speed_ms[t] = legs->speed_ms;
        *at_m += legs->speed_ms;
        meant_j += stands ? 0.0 : want_w;
        done_j += road->power_w[t];
        if (road->n % 20 == 0 && block->is_rep) {
            factor = steer(meant_j, done_j);
        }
    }
}

struct second_road second_road_ride(struct arena *arena, const struct second_rider *rider,
                                    const struct second_plan *plan)
{
    struct second_road road = room_for(arena, plan);
    const struct waves waves = draw_waves(plan->seed, habits[plan->place].steepness);
    struct legs legs = { .random = second_random_begin(plan->seed, LEGS),
                         .lights = second_random_begin(plan->seed, LIGHTS),
                         .rider = rider,
                         .habits = &habits[plan->place],
                         .speed_ms = 5.0,
                         .shown_w = plan->blocks[0].from_w };
    double at_m = 0.0;
    for (size_t b = 0; b < plan->n_blocks; b++) {
        ride_block(&legs, &plan->blocks[b], &waves, &at_m, &road);
    }
    return road;
}
