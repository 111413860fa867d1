/* honesty/easy_trial.c: one simulated easy ride. */
#include "honesty/easy_trial.h"

#include "simulated/random.h"

#include <math.h>

enum { STREAM = 0x4541, BLOCKS_MOST = 64, HALF_S = 15 };

/* 1 to 2.5 h at 55-74 % of threshold; between none and half of it in blocks of 2-8 min at 76-96 %,
 * as hills, wind and company make them. */
static size_t write_blocks(struct simulated_random *r, double threshold_w,
                           struct simulated_block blocks[BLOCKS_MOST])
{
    const double length_s = simulated_random_between(r, 3600.0, 9000.0);
    const double hard_share = 0.5 * simulated_random_unit(r) * simulated_random_unit(r);
    const double top = simulated_random_between(r, 0.82, 0.96);
    size_t n = 0;
    for (double at_s = 0.0; at_s < length_s && n < BLOCKS_MOST;) {
        const bool hard = n > 0 && simulated_random_chance(r, 2.0 * hard_share);
        const double low = hard ? 0.76 : 0.55;
        const double share = simulated_random_between(r, low, hard ? top : 0.74);
        const double duration_s =
            floor(simulated_random_between(r, hard ? 120.0 : 180.0, hard ? 480.0 : 600.0));
        blocks[n++] = (struct simulated_block){
            .duration_s = duration_s,
            .power_w = share * threshold_w,
            .end_power_w = (double)NAN,
            .cadence_rpm = (double)NAN,
        };
        at_s += duration_s;
    }
    return n;
}

void easy_find_truth(const double power_w[], size_t n_seconds, double threshold_w,
                     const struct limits *limits, struct easy_outcome *out)
{
    const double *v = limits->value;
    const int64_t n = (int64_t)n_seconds;
    double pedalling = 0.0;
    double above = 0.0;
    double far_above = 0.0;
    for (int64_t t = 0; t < n; t++) {
        double sum = 0.0;
        double count = 0.0;
        for (int64_t s = t - HALF_S; s < t + HALF_S; s++) {
            if (s >= 0 && s < n) {
                sum += power_w[s];
                count += 1.0;
            }
        }
        const double pct = 100.0 * sum / count / threshold_w;
        const bool pedals = power_w[t] > 0.0;
        pedalling += pedals;
        above += pedals && pct > v[LIMIT_EASY_ABOVE_PCT];
        far_above += pedals && pct > v[LIMIT_EASY_FAR_ABOVE_PCT];
    }
    out->truth_pct = 100.0 * above / pedalling;
    const bool hard =
        out->truth_pct > v[LIMIT_EASY_HARD_SHARE_PCT] || far_above > v[LIMIT_EASY_FAR_ABOVE_S];
    const bool easy = out->truth_pct <= v[LIMIT_EASY_SHARE_PCT];
    out->truth = hard ? VERDICT_TOO_HARD : (easy ? VERDICT_EASY_ENOUGH : VERDICT_ON_THE_LINE);
}

struct easy_outcome easy_trial(const struct easy_case *c, const struct limits *limits)
{
    struct arena *arena = arena_open();
    struct simulated_random r = simulated_random_begin(c->seed, STREAM);
    const struct simulated_rider rider = simulated_rider_draw(c->seed);
    struct simulated_block blocks[BLOCKS_MOST];
    const size_t n = write_blocks(&r, rider.threshold_w, blocks);
    struct simulated_plan plan = {
        .blocks = blocks,
        .n_blocks = n,
        .temperature_c = 18.0,
        .seed = c->seed,
        .device = simulated_device_draw(c->seed),
    };
    reps_place_choose(&plan, c->place, c->seed);
    const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    struct easy_outcome out = { .verdict = VERDICT_CANNOT_TELL };
    easy_find_truth(ride.second_power_w, ride.n_seconds, rider.threshold_w, limits, &out);

    const struct recording *recording = simulated_recording(arena, &ride, &plan, limits);
    const double off = c->threshold_known ? 1.0 : 1.0 + 0.032 * simulated_random_normal(&r);
    easy_read(arena, recording, rider.threshold_w * off, c->threshold_known, limits, &out);
    arena_close(arena);
    return out;
}

void easy_read(struct arena *arena, const struct recording *recording, double threshold_w,
               bool threshold_known, const struct limits *limits, struct easy_outcome *out)
{
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = threshold_w;
    facts.threshold_known_by = "given";
    if (!threshold_known) {
        facts.threshold_low_w = facts.threshold_w * (1.0 - 1.645 * 0.032);
        facts.threshold_high_w = facts.threshold_w * (1.0 + 1.645 * 0.032);
    }
    facts.kind = KIND_EASY;
    struct ride_readings readings = { 0 };
    struct error err = { 0 };
    if (reading_make(arena, recording, &facts, limits, &readings, &err)) {
        for (size_t i = 0; i < readings.count; i++) {
            const struct reading *reading = &readings.items[i];
            if (reading->question == QUESTION_EASY_WORK) {
                out->verdict = reading->verdict;
                out->why_not = reading->cannot_because.count > 0
                                   ? reading->cannot_because.items[0].code
                                   : NULL;
            }
        }
    }
}
