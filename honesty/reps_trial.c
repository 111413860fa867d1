/* honesty/reps_trial.c: one simulated ride with efforts. */
#include "honesty/reps_trial.h"

#include "simulated/random.h"

#include <math.h>
#include <stdlib.h>

enum {
    WITHIN_S = 3,
    SET_REST_S = 150,
    SHORTEST_S = 20,
    SHORT_S = 60,
    FOUND_MOST = 1000,
    STREAM = 0x5250
};

const char *reps_place_name(enum reps_place place)
{
    static const char *const names[REPS_PLACE_COUNT] = {
        [REPS_AS_DRAWN_INDOORS] = "indoors",
        [REPS_AS_DRAWN_OUTDOORS] = "outdoors",
        [REPS_INDOORS_HELD] = "indoors, trainer holds the power",
        [REPS_INDOORS_FREE] = "indoors, free",
        [REPS_FLAT] = "outdoors, flat",
        [REPS_HILLY] = "outdoors, hilly",
        [REPS_TOWN] = "outdoors, town",
        [REPS_TOWN_AUTO_PAUSE] = "outdoors, town, auto-pause",
        [REPS_FLAT_SMART] = "outdoors, flat, a row every 2-5 s",
    };
    return names[place];
}

/* A small generator of its own, for loose durations. */
static double unit_of(uint64_t seed, size_t i)
{
    uint64_t x = seed * 0x9e3779b97f4a7c15u + i * 0xbf58476d1ce4e5b9u;
    x ^= x >> 31;
    x *= 0x94d049bb133111ebu;
    x ^= x >> 29;
    return (double)(x >> 11) / 9007199254740992.0;
}

static void loosen(struct arena *arena, struct simulated_plan *plan, uint64_t seed)
{
    struct simulated_block *blocks =
        arena_copy(arena, plan->blocks, plan->n_blocks * sizeof plan->blocks[0]);
    for (size_t i = 0; i < plan->n_blocks; i++) {
        if (blocks[i].is_rep) {
            blocks[i].duration_s = floor(blocks[i].duration_s * (0.9 + 0.2 * unit_of(seed, i)));
        }
    }
    plan->blocks = blocks;
}

static void lay_road(struct simulated_plan *plan, struct simulated_random *r, double hilly_low,
                     double hilly_high, double coasting_low, double coasting_high)
{
    plan->hilliness = simulated_random_between(r, hilly_low, hilly_high);
    plan->coasting_ratio = simulated_random_between(r, coasting_low, coasting_high);
    plan->junctions_per_h = 0.0;
}

bool reps_place_is_outdoors(enum reps_place place)
{
    return place == REPS_AS_DRAWN_OUTDOORS || place >= REPS_FLAT;
}

void reps_place_choose(struct simulated_plan *plan, enum reps_place place, uint64_t seed)
{
    plan->outdoors = reps_place_is_outdoors(place);
    struct simulated_random r = simulated_random_begin(seed, STREAM);
    switch (place) {
    case REPS_INDOORS_HELD: plan->power_cv = 0.008; break;
    case REPS_INDOORS_FREE: plan->power_cv = simulated_random_between(&r, 0.05, 0.08); break;
    case REPS_FLAT: lay_road(plan, &r, 0.0, 0.1, 0.0, 0.03); break;
    case REPS_FLAT_SMART:
        lay_road(plan, &r, 0.0, 0.1, 0.0, 0.03);
        plan->device.smart_interval_s = simulated_random_between(&r, 2.0, 5.0);
        break;
    case REPS_HILLY: lay_road(plan, &r, 0.3, 0.7, 0.04, 0.10); break;
    case REPS_TOWN:
    case REPS_TOWN_AUTO_PAUSE:
        lay_road(plan, &r, 0.0, 0.2, 0.04, 0.10);
        plan->junctions_per_h = simulated_random_between(&r, 4.0, 10.0);
        plan->device.auto_pause = place == REPS_TOWN_AUTO_PAUSE;
        break;
    case REPS_AS_DRAWN_INDOORS:
    case REPS_AS_DRAWN_OUTDOORS:
    case REPS_PLACE_COUNT: break;
    }
}

/* All short efforts of the reps, in order. */
struct found {
    struct span span[FOUND_MOST];
    bool sure[FOUND_MOST];
    size_t count;
};

static void collect(const struct reps *reps, struct found *found)
{
    for (size_t i = 0; i < reps->count; i++) {
        for (int e = 0; e < reps->items[i].n_efforts && found->count < FOUND_MOST; e++) {
            found->span[found->count] = reps->items[i].efforts[e];
            found->sure[found->count++] = reps->items[i].edges_sure;
        }
    }
}

static int32_t overlap(struct span a, struct span b)
{
    const int32_t from = a.from_s > b.from_s ? a.from_s : b.from_s;
    const int32_t to = a.to_s < b.to_s ? a.to_s : b.to_s;
    return to - from;
}

/* The effort found that shares most with the true one, if that is half of it; else count. */
static size_t match(const struct found *found, struct span truth)
{
    size_t best = 0;
    for (size_t k = 1; k < found->count; k++) {
        best = overlap(found->span[k], truth) > overlap(found->span[best], truth) ? k : best;
    }
    const bool half =
        found->count > 0 && 2 * overlap(found->span[best], truth) >= truth.to_s - truth.from_s;
    return half ? best : found->count;
}

static void score(const struct span reps[], size_t n_reps, const struct found *found,
                  struct reps_outcome *out)
{
    bool set_found = true;
    size_t matched = 0;
    for (size_t i = 0; i < n_reps; i++) {
        const struct span truth = reps[i];
        const int32_t rest = i == 0 ? 0 : truth.from_s - reps[i - 1].to_s;
        const int32_t length = truth.to_s - truth.from_s;
        if (i > 0 && rest > SET_REST_S && length >= SHORTEST_S && length <= SHORT_S) {
            out->sets++; /* a block of short efforts is a set of its own */
            out->sets_found += set_found;
            set_found = true;
        }
        const size_t best = match(found, truth);
        out->edges += 2;
        if (best == found->count) {
            set_found = false;
            continue;
        }
        matched++;
        const int near = (abs(found->span[best].from_s - truth.from_s) <= WITHIN_S) +
                         (abs(found->span[best].to_s - truth.to_s) <= WITHIN_S);
        out->edges_found += near;
        out->sure += found->sure[best] ? 2 : 0;
        out->sure_found += found->sure[best] ? near : 0;
        set_found = set_found && near == 2;
    }
    out->right_number = found->count == n_reps && matched == n_reps;
    out->extra = (int)(found->count > matched ? found->count - matched : 0);
    if (n_reps > 0) {
        out->sets++;
        out->sets_found += set_found && found->count <= n_reps;
    }
}

struct reps_outcome reps_trial(const struct reps_case *c, const struct limits *limits)
{
    struct arena *arena = arena_open();
    const struct simulated_rider rider = simulated_rider_draw(c->seed);
    struct simulated_plan plan =
        simulated_plan_make(arena, &rider, c->session, reps_place_is_outdoors(c->place), c->seed);
    reps_place_choose(&plan, c->place, c->seed);
    if (c->loose) {
        loosen(arena, &plan, c->seed);
    }
    const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    const struct recording *recording = simulated_recording(arena, &ride, &plan, limits);
    struct span *truth = ARENA_ARRAY(arena, struct span, ride.n_reps + 1);
    for (size_t i = 0; i < ride.n_reps; i++) {
        truth[i] = (struct span){ ride.reps[i].start_s, ride.reps[i].end_s };
    }
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = rider.threshold_w;
    facts.threshold_known_by = "given";
    facts.max_heart_rate_bpm = rider.max_heart_rate_bpm;
    facts.kind = c->asked;
    const struct reps_outcome out = reps_read(arena, recording, &facts, truth, ride.n_reps, limits);
    arena_close(arena);
    return out;
}

/* The verdict on each true effort that was found as one. */
static void score_verdicts(const struct span reps[], size_t n_reps,
                           const struct ride_readings *readings, struct reps_outcome *out)
{
    out->n_each = n_reps < REPS_EACH ? n_reps : REPS_EACH;
    for (size_t i = 0; i < out->n_each; i++) {
        out->each[i] = VERDICT_CANNOT_TELL;
        for (size_t k = 0; k < readings->reps.count; k++) {
            if (2 * overlap(readings->reps.items[k].span, reps[i]) >=
                reps[i].to_s - reps[i].from_s) {
                out->each[i] = readings->rep_verdicts[k];
            }
        }
    }
}

struct reps_outcome reps_read(struct arena *arena, const struct recording *recording,
                              const struct rider_facts *facts, const struct span reps[],
                              size_t n_reps, const struct limits *limits)
{
    struct ride_readings readings = { 0 };
    struct error err = { 0 };
    struct reps_outcome out = { .verdict = VERDICT_CANNOT_TELL };
    out.hours = (double)recording->timer_s / 3600.0;
    if (reading_make(arena, recording, facts, limits, &readings, &err)) {
        struct found *found = ARENA_ARRAY(arena, struct found, 1);
        collect(&readings.reps, found);
        score(reps, n_reps, found, &out);
        score_verdicts(reps, n_reps, &readings, &out);
        for (size_t i = 0; i < readings.count; i++) {
            const struct reading *reading = &readings.items[i];
            if (reading->question == QUESTION_HARD_WORK && reading->set == 0 && reading->rep == 0) {
                out.verdict = reading->verdict;
            }
        }
    }
    return out;
}
