/* coaching/ride_load.c: how much was this ride, and was it a hard day? */
#include "coaching/ride_load.h"

#include "coaching/words/words.h"

#include <math.h>

/* Efforts of a rep at anaerobic power and length: a block of short ones has several. */
static int anaerobic_of(const struct rep *rep, const struct rider_facts *facts,
                        const struct limits *limits)
{
    const double *v = limits->value;
    int n = 0;
    for (int i = 0; i < rep->n_efforts; i++) {
        const struct span *effort = &rep->efforts[i];
        n += (double)(effort->to_s - effort->from_s) >= v[LIMIT_KIND_ANAEROBIC_SHORTEST_S] ? 1 : 0;
    }
    /* At an unknown threshold none. */
    return 100.0 * rep->mean_power_w >= v[LIMIT_KIND_ANAEROBIC_LOW_PCT] * facts->threshold_w ? n
                                                                                             : 0;
}

/* The most of any set. */
static int anaerobic_efforts(const struct ride_readings *out, const struct rider_facts *facts,
                             const struct limits *limits)
{
    int most = 0;
    for (int set = 1; set <= out->reps.n_sets; set++) {
        int n = 0;
        for (size_t i = 0; i < out->reps.count; i++) {
            const struct rep *rep = &out->reps.items[i];
            n += rep->set == set ? anaerobic_of(rep, facts, limits) : 0;
        }
        most = n > most ? n : most;
    }
    return most;
}

static void add_amounts(struct arena *arena, const struct ride_load *load, struct reading *reading)
{
    struct cause *cause = causes_add(arena, &reading->because, "amounts");
    cause_number(cause, "hours", load->hours);
    cause_number(cause, "work_kj", load->work_kj);
    cause_number(cause, "impulse_low", load->impulse_low);
    cause_number(cause, "impulse_high", load->impulse_high);
    cause_number(cause, "session_rpe", load->session_rpe);
}

static void judge(struct arena *arena, const struct ride_readings *out,
                  const struct rider_facts *facts, const struct limits *limits, double effort,
                  struct reading *reading)
{
    const struct ride_load *load = &out->load;
    const double above_s = reading_limit(reading, limits, LIMIT_HARD_DAY_S);
    const double least = reading_limit(reading, limits, LIMIT_HARD_DAY_ANAEROBIC);
    const double hard_effort = reading_limit(reading, limits, LIMIT_HARD_DAY_EFFORT);
    const int anaerobic = anaerobic_efforts(out, facts, limits);
    reading->estimate = load->above_threshold_s / 60.0;
    reading->unit = "min";
    reading->limit_value = above_s / 60.0;
    reading->limit_source = limits_row(LIMIT_HARD_DAY_S)->source;
    size_t reasons = 0;
    if (facts->marked) {
        causes_add(arena, &reading->because, "marked");
        reasons++;
    }
    if (load->above_threshold_s >= above_s) {
        cause_number(causes_add(arena, &reading->because, "above-threshold"), "seconds",
                     load->above_threshold_s);
        reasons++;
    }
    if (anaerobic >= least) {
        cause_number(causes_add(arena, &reading->because, "anaerobic-set"), "efforts", anaerobic);
        reasons++;
    }
    if (effort >= hard_effort) {
        cause_number(causes_add(arena, &reading->because, "hard-effort"), "effort", effort);
        reasons++;
    }
    if (reasons > 0) {
        reading->verdict = VERDICT_HARD_DAY;
    } else if (!isnan(load->above_threshold_s) || !isnan(effort)) {
        reading->verdict = VERDICT_NO_HARD_DAY;
    } else {
        causes_add(arena, &reading->cannot_because, "no-power-no-effort");
        causes_add(arena, &reading->settle_by, "ask-effort");
    }
}

void ride_load_read(struct arena *arena, const struct recording *recording,
                    const struct rider_facts *facts, const struct limits *limits,
                    struct ride_readings *out)
{
    const double effort = isnan(facts->effort_0_10) ? recording->effort_0_10 : facts->effort_0_10;
    out->load = load_of(arena, recording, facts, limits, effort);
    out->n_efforts =
        efforts_of(arena, recording, &out->bests, facts, limits, facts->marked, out->efforts);
    struct reading *reading = readings_add(arena, out, QUESTION_HARD_DAY);
    if (!isnan(out->load.above_threshold_s)) {
        reading->basis.threshold_w = facts->threshold_w;
        reading->basis.threshold_known_by = facts->threshold_known_by;
    }
    judge(arena, out, facts, limits, effort, reading);
    add_amounts(arena, &out->load, reading);
    words_load_fill(arena, reading);
}
