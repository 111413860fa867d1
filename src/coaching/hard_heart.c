/* coaching/hard_heart.c: what heart rate alone would have said of hard work.
 *
 * Heart rate answers late (F-20, F-21: time constants near a minute), so a rep begun too hard fills
 * the end of it with the right heart rate while power is below the range.  That is shown beside
 * every verdict by power, and never decides one. */
#include "coaching/hard_parts.h"

#include "physiology/heart_response.h"

#include <math.h>
#include <stdlib.h>

/* Efforts too short, or too hard, for heart rate to say anything. */
static bool too_short(const struct judged *judged, const struct rider_facts *facts,
                      const struct limits *limits)
{
    const struct rep *rep = judged->rep;
    const double anaerobic_w = limits->value[LIMIT_KIND_ANAEROBIC_LOW_PCT] * facts->threshold_w;
    const double length = (double)(rep->span.to_s - rep->span.from_s);
    return judged->kind == KIND_ANAEROBIC || judged->kind == KIND_SPRINT ||
           (!rep->is_block && length < limits->value[LIMIT_HARD_HEART_SHORTEST_S]) ||
           100.0 * rep->target_low_w >= anaerobic_w;
}

/* Whether such work is aimed near maximal heart rate. */
static bool near_max_meant(const struct judged *judged, const struct rider_facts *facts,
                           const struct limits *limits)
{
    return judged->kind == KIND_VO2MAX || judged->kind == KIND_SHORT_VO2MAX ||
           100.0 * judged->rep->target_low_w >=
               limits->value[LIMIT_HARD_HEART_LOW_PCT] * facts->threshold_w;
}

static bool was_paced(const struct rep *rep, double target_bpm, const struct limits *limits)
{
    const double before_w = rep->first_third_w;
    return !rep->trainer_held &&
           rep->let_down_w >= limits->value[LIMIT_HARD_PACED_DROP_RATIO] * before_w &&
           fabs(rep->let_down_heart_bpm - target_bpm) <= limits->value[LIMIT_HARD_PACED_BPM];
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

struct heard {
    size_t reps;  /* judged, with heart rate */
    size_t done;  /* near maximal for long enough */
    size_t paced; /* power let down as heart rate came to its target */
    double at_90_s;
    double peak_bpm;
    double *lags; /* [n_lags] */
    size_t n_lags;
};

static struct heard listen(struct arena *arena, const struct judged reps[], size_t n,
                           const struct rider_facts *facts, const struct limits *limits)
{
    struct heard heard = { .lags = ARENA_ARRAY(arena, double, n), .peak_bpm = (double)NAN };
    const double target_bpm = limits->value[LIMIT_REPS_NEAR_MAX_RATIO] * facts->max_heart_rate_bpm;
    for (size_t i = 0; i < n; i++) {
        const struct rep *rep = reps[i].rep;
        if (!reps[i].part || isnan(rep->heart_peak_bpm)) {
            continue;
        }
        const double length = (double)(rep->span.to_s - rep->span.from_s);
        heard.reps++;
        heard.peak_bpm = fmax(heard.peak_bpm, rep->heart_peak_bpm);
        heard.at_90_s += isnan(rep->heart_at_90_s) ? 0.0 : rep->heart_at_90_s;
        heard.done += rep->heart_at_90_s >= limits->value[LIMIT_HARD_HEART_SHARE] * length ? 1 : 0;
        heard.paced += was_paced(rep, target_bpm, limits) ? 1 : 0;
        if (!isnan(rep->heart_lag_s)) {
            heard.lags[heard.n_lags++] = rep->heart_lag_s;
        }
    }
    qsort(heard.lags, heard.n_lags, sizeof heard.lags[0], by_value);
    return heard;
}

/* To 63 % of a rise, by the rider's rides before this one; NAN where that isn't known. */
static double usual_lag_s(const struct rider_facts *facts)
{
    const struct heart_response *response = facts->response;
    return response != NULL && response->end == RESPONSE_FITTED ? response->tau_s + response->dead_s
                                                                : (double)NAN;
}

static void add_numbers(struct arena *arena, const struct heard *heard, const char *code,
                        const struct rider_facts *facts, struct reading *reading)
{
    struct cause *cause = causes_add(arena, &reading->because, code);
    cause_number(cause, "peak_bpm", heard->peak_bpm);
    cause_number(cause, "lag_s", heard->n_lags == 0 ? (double)NAN : heard->lags[heard->n_lags / 2]);
    cause_number(cause, "reps", (double)heard->reps);
    if (!isnan(usual_lag_s(facts))) {
        cause_number(cause, "usual_lag_s", usual_lag_s(facts));
    }
}

static void add_near_max(struct arena *arena, const struct judged reps[], size_t n,
                         const struct heard *heard, const struct rider_facts *facts,
                         const struct limits *limits, struct reading *reading)
{
    const double share = reading_limit(reading, limits, LIMIT_HARD_HEART_DONE_SHARE);
    (void)reading_limit(reading, limits, LIMIT_REPS_NEAR_MAX_RATIO);
    (void)reading_limit(reading, limits, LIMIT_HARD_HEART_SHARE);
    double work_s = 0.0;
    for (size_t i = 0; i < n; i++) {
        work_s += reps[i].part ? (double)(reps[i].rep->span.to_s - reps[i].rep->span.from_s) : 0.0;
    }
    const bool says_done = (double)heard->done >= share * (double)heard->reps;
    struct cause *cause =
        causes_add(arena, &reading->because, says_done ? "heart-alone-done" : "heart-alone-below");
    cause_number(cause, "at_90_s", heard->at_90_s);
    cause_number(cause, "work_s", work_s);
    cause_number(cause, "reps_done", (double)heard->done);
    cause_number(cause, "reps", (double)heard->reps);
    cause_number(cause, "line_bpm",
                 limits->value[LIMIT_REPS_NEAR_MAX_RATIO] * facts->max_heart_rate_bpm);
    add_numbers(arena, heard, "heart-late", facts, reading);
    const double paced_share = reading_limit(reading, limits, LIMIT_HARD_PACED_SHARE);
    (void)reading_limit(reading, limits, LIMIT_HARD_PACED_BPM);
    if (heard->paced > 0 && (double)heard->paced >= paced_share * (double)heard->reps) {
        cause = causes_add(arena, &reading->because, "paced-by-heart");
        cause_number(cause, "reps_paced", (double)heard->paced);
        cause_number(cause, "reps", (double)heard->reps);
    }
}

void hard_heart_add(struct arena *arena, const struct judged reps[], size_t n,
                    const struct rider_facts *facts, const struct limits *limits,
                    struct reading *reading)
{
    const struct judged *first = NULL;
    bool short_work = false;
    for (size_t i = n; i-- > 0;) {
        if (reps[i].part) {
            first = &reps[i];
            short_work = short_work || too_short(first, facts, limits);
        }
    }
    if (first == NULL) {
        return;
    }
    if (short_work) {
        causes_add(arena, &reading->because, "heart-too-short");
        return;
    }
    if (facts->heart_medicine || facts->pregnant) {
        causes_add(arena, &reading->because,
                   facts->heart_medicine ? "heart-medicine" : "heart-pregnant");
        return;
    }
    const struct heard heard = listen(arena, reps, n, facts, limits);
    if (heard.reps == 0) {
        causes_add(arena, &reading->because, "heart-absent");
        return;
    }
    if (facts->heart_at == HEART_AT_WRIST) {
        /* its own lag adds to the heart's: neither can be told from the other */
        causes_add(arena, &reading->because, "heart-at-wrist");
        return;
    }
    if (first->heart_is_late) {
        causes_add(arena, &reading->because, "heart-sensor-late");
        return;
    }
    if (!near_max_meant(first, facts, limits)) {
        add_numbers(arena, &heard, "heart-shown", facts, reading);
        return;
    }
    if (isnan(facts->max_heart_rate_bpm)) {
        causes_add(arena, &reading->because, "heart-no-max");
        add_numbers(arena, &heard, "heart-late", facts, reading);
        return;
    }
    add_near_max(arena, reps, n, &heard, facts, limits, reading);
}
