/* coaching/hard_verdict.c: the verdict of a rep, in the written order, and of many reps. */
#include "coaching/hard_parts.h"

#include <math.h>

/* Where a value lies to the range with its edges moved out by `slack` (0.02 = 2 %). */
static int side_of(const struct rep *rep, double value, double slack)
{
    if (value < rep->target_low_w * (1.0 - slack)) {
        return -1;
    }
    return value > rep->target_high_w * (1.0 + slack) ? 1 : 0;
}

static double length_of(const struct rep *rep)
{
    return (double)(rep->span.to_s - rep->span.from_s);
}

static bool is_stopped(const struct judged *judged, const struct limits *limits)
{
    /* Who stands after the whole time has done the rep. */
    const double whole = limits->value[LIMIT_HARD_WHOLE_RATIO] * judged->duration_s;
    return judged->rep->ended_by_stop && !(length_of(judged->rep) >= whole);
}

static bool is_cut_short(const struct judged *judged, const struct limits *limits)
{
    /* Edges are known to some seconds, which matters in short efforts. */
    return length_of(judged->rep) + limits->value[LIMIT_HARD_EDGE_S] <
           limits->value[LIMIT_HARD_CUT_SHORT_RATIO] * judged->duration_s;
}

static bool is_covered(const struct rep *rep)
{
    return !isnan(rep->mean_power_w);
}

/* Below, cut short or stopped: what a start too hard leads to. */
static bool has_failed(const struct judged *judged, const struct limits *limits)
{
    const double slack = limits->value[LIMIT_HARD_LINE_PCT] / 100.0;
    return judged->part && is_covered(judged->rep) &&
           (is_stopped(judged, limits) || is_cut_short(judged, limits) ||
            side_of(judged->rep, judged->rep->mean_power_w, slack) < 0);
}

/* The first that fits, from power alone.  `falls`: the change from first to last third counts as
 * a fall. */
static enum verdict by_power(const struct rep *rep, bool later_failed, bool falls, double slack)
{
    const bool shape =
        !rep->trainer_held && !isnan(rep->first_third_w) && !isnan(rep->last_third_w);
    const int first = shape ? side_of(rep, rep->first_third_w, slack) : 0;
    const int last = shape ? side_of(rep, rep->last_third_w, slack) : 0;
    const int mean = side_of(rep, rep->mean_power_w, slack);
    if (falls && first > 0 && (last < 0 || later_failed)) {
        return VERDICT_STARTED_TOO_HARD;
    }
    if (falls && first == 0 && last < 0) {
        return VERDICT_FADED;
    }
    if (mean != 0) {
        return mean < 0 ? VERDICT_BELOW : VERDICT_ABOVE;
    }
    return first > 0 && last == 0 ? VERDICT_DONE_FAST_START : VERDICT_DONE;
}

static bool is_done(enum verdict verdict)
{
    return verdict == VERDICT_DONE || verdict == VERDICT_DONE_FAST_START;
}

static enum verdict judge(const struct judged *judged, bool later_failed,
                          const struct limits *limits)
{
    const struct rep *rep = judged->rep;
    if (!judged->part) {
        return VERDICT_DESCRIBED;
    }
    if (!is_covered(rep)) {
        return VERDICT_CANNOT_TELL;
    }
    if (!judged->assumed || judged->duration_asked) {
        if (is_stopped(judged, limits)) {
            return VERDICT_STOPPED;
        }
        if (is_cut_short(judged, limits)) {
            return VERDICT_CUT_SHORT;
        }
    }
    if (isnan(rep->target_low_w)) {
        return VERDICT_DESCRIBED;
    }
    const double slack = limits->value[LIMIT_HARD_LINE_PCT] / 100.0;
    const bool falls = rep->first_to_last_w.high < 0.0;
    const enum verdict strict = by_power(rep, later_failed, falls, 0.0);
    enum verdict verdict = by_power(rep, later_failed, falls, slack);
    /* Decisive: it would be done by one reading of the edge and not by the other. */
    if (is_done(strict) != is_done(verdict)) {
        verdict = VERDICT_ON_THE_LINE;
    }
    /* The thirds say fallen, their interval doesn't: neither done nor not. */
    const bool may_fall = rep->first_to_last_w.value < 0.0;
    if (is_done(verdict) && may_fall && !falls &&
        !is_done(by_power(rep, later_failed, true, slack))) {
        verdict = VERDICT_ON_THE_LINE;
    }
    const bool of_shape =
        is_done(verdict) || verdict == VERDICT_STARTED_TOO_HARD || verdict == VERDICT_FADED;
    return judged->assumed && !of_shape ? VERDICT_DESCRIBED : verdict;
}

void hard_judge_reps(struct judged reps[], size_t n, int missing, const struct limits *limits)
{
    for (size_t i = 0; i < n; i++) {
        bool later_failed = missing > 0;
        for (size_t j = i + 1; j < n; j++) {
            later_failed = later_failed ||
                           (reps[j].rep->set == reps[i].rep->set && has_failed(&reps[j], limits));
        }
        reps[i].verdict = judge(&reps[i], later_failed, limits);
    }
}

/* The commonest of those not done; ties: the cause before the consequence. */
static enum verdict commonest(const double counts[VERDICT_DESCRIBED + 1])
{
    static const enum verdict order[] = {
        VERDICT_STARTED_TOO_HARD, VERDICT_FADED,      VERDICT_BELOW, VERDICT_ABOVE,
        VERDICT_ON_THE_LINE,      VERDICT_CANNOT_TELL
    };
    enum verdict best = order[0];
    for (size_t i = 1; i < sizeof order / sizeof order[0]; i++) {
        if (counts[order[i]] > counts[best]) {
            best = order[i];
        }
    }
    return best;
}

enum verdict hard_sum_up(const struct judged reps[], size_t n, int missing,
                         const struct limits *limits)
{
    double counts[VERDICT_DESCRIBED + 1] = { 0 };
    double judged = 0.0;
    double parts = 0.0;
    for (size_t i = 0; i < n; i++) {
        counts[reps[i].verdict] += reps[i].part ? 1.0 : 0.0;
        parts += reps[i].part ? 1.0 : 0.0;
        judged += reps[i].part && reps[i].verdict != VERDICT_DESCRIBED ? 1.0 : 0.0;
    }
    if (parts > 0.0 && 2.0 * judged < parts) {
        return VERDICT_DESCRIBED;
    }
    if (parts <= 0.0) {
        return missing > 0 ? VERDICT_BELOW : VERDICT_DESCRIBED;
    }
    const double all = judged + (double)missing;
    const double some = limits->value[LIMIT_HARD_SOME_SHARE] * all;
    const double done = counts[VERDICT_DONE] + counts[VERDICT_DONE_FAST_START];
    if (counts[VERDICT_STARTED_TOO_HARD] > 0.0 && counts[VERDICT_STARTED_TOO_HARD] >= some) {
        return VERDICT_STARTED_TOO_HARD;
    }
    if (counts[VERDICT_STOPPED] > 0.0) {
        return VERDICT_STOPPED;
    }
    if (counts[VERDICT_CUT_SHORT] > 0.0 || missing > 0) {
        return VERDICT_CUT_SHORT;
    }
    if (counts[VERDICT_FADED] > 0.0 && counts[VERDICT_FADED] >= some) {
        return VERDICT_FADED;
    }
    if (done >= limits->value[LIMIT_HARD_DONE_SHARE] * all) {
        return 2.0 * counts[VERDICT_DONE_FAST_START] > done ? VERDICT_DONE_FAST_START
                                                            : VERDICT_DONE;
    }
    return commonest(counts);
}
