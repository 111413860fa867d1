/* coaching/hard_evidence.c: the reasons beside a verdict, most telling first. */
#include "coaching/hard_parts.h"

#include "maths/distributions.h"

#include <math.h>

static double length_of(const struct rep *rep)
{
    return (double)(rep->span.to_s - rep->span.from_s);
}

static double pct(const struct rider_facts *facts, double watts)
{
    return 100.0 * watts / facts->threshold_w;
}

/* Means over the reps with this verdict, and which they are. */
static void add_shape(struct arena *arena, const struct group *group,
                      const struct rider_facts *facts, enum verdict verdict, const char *code,
                      const struct judged *first_of_ride, struct reading *reading)
{
    double sums[4] = { 0 };
    double n = 0.0;
    double first = (double)NAN;
    double last = (double)NAN;
    for (size_t i = 0; i < group->count; i++) {
        const struct judged *j = &group->items[i];
        if (!j->part || j->verdict != verdict) {
            continue;
        }
        const double number = (double)(j - first_of_ride) + 1.0;
        first = isnan(first) ? number : first;
        last = number;
        sums[0] += j->rep->first_third_w;
        sums[1] += j->rep->last_third_w;
        sums[2] += j->rep->mean_power_w;
        sums[3] += length_of(j->rep);
        n += 1.0;
    }
    if (n <= 0.0) {
        return;
    }
    struct cause *cause = causes_add(arena, &reading->because, code);
    cause_number(cause, "reps", n);
    cause_number(cause, "first_rep", first);
    cause_number(cause, "last_rep", last);
    const bool in_pct = facts->threshold_w > 0.0;
    cause_number(cause, in_pct ? "first_third_pct" : "first_third_w",
                 in_pct ? pct(facts, sums[0] / n) : sums[0] / n);
    cause_number(cause, in_pct ? "last_third_pct" : "last_third_w",
                 in_pct ? pct(facts, sums[1] / n) : sums[1] / n);
    cause_number(cause, in_pct ? "mean_pct" : "mean_w",
                 in_pct ? pct(facts, sums[2] / n) : sums[2] / n);
    cause_number(cause, "length_s", sums[3] / n);
}

void hard_add_shapes(struct arena *arena, const struct group *group,
                     const struct rider_facts *facts, const struct judged *first_of_ride,
                     struct reading *reading)
{
    static const struct {
        enum verdict verdict;
        const char *code;
    } rows[] = {
        { VERDICT_STARTED_TOO_HARD, "started-too-hard" },
        { VERDICT_STOPPED, "stopped" },
        { VERDICT_CUT_SHORT, "cut-short" },
        { VERDICT_FADED, "faded" },
        { VERDICT_BELOW, "below" },
        { VERDICT_ABOVE, "above" },
        { VERDICT_ON_THE_LINE, "on-the-line" },
        { VERDICT_DONE_FAST_START, "fast-start" },
        { VERDICT_DONE, "done" },
        { VERDICT_DESCRIBED, "described" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        add_shape(arena, group, facts, rows[i].verdict, rows[i].code, first_of_ride, reading);
    }
}

/* Of a block the on-parts alone. */
static double work_seconds(const struct rep *rep)
{
    double seconds = 0.0;
    for (int e = 0; e < rep->n_efforts; e++) {
        seconds += (double)(rep->efforts[e].to_s - rep->efforts[e].from_s);
    }
    return seconds;
}

void hard_add_counts(struct arena *arena, const struct group *group,
                     const struct rider_facts *facts, struct reading *reading)
{
    double done = 0.0;
    double found = 0.0;
    double seconds[4] = { 0 };
    for (size_t i = 0; i < group->count; i++) {
        const struct judged *j = &group->items[i];
        if (!j->part) {
            continue;
        }
        found += 1.0;
        done += j->verdict == VERDICT_DONE || j->verdict == VERDICT_DONE_FAST_START ? 1.0 : 0.0;
        seconds[0] += j->rep->below_s;
        seconds[1] += j->rep->in_s;
        seconds[2] += j->rep->above_s;
        seconds[3] += isnan(facts->rep_duration_s) || !j->duration_asked ? work_seconds(j->rep)
                                                                         : facts->rep_duration_s;
    }
    /* Who was asked nothing has done nothing of it. */
    if (reading->verdict == VERDICT_DESCRIBED) {
        cause_number(causes_add(arena, &reading->because, "work"), "work_s", seconds[3]);
        return;
    }
    struct cause *cause = causes_add(arena, &reading->because, "reps-done");
    cause_number(cause, "done", done);
    cause_number(cause, "found", found);
    cause_number(cause, "asked", found + (double)group->missing);
    cause_number(cause, "missing", (double)group->missing);
    cause = causes_add(arena, &reading->because, "minutes");
    const bool asked = !isnan(facts->rep_duration_s);
    cause_number(cause, asked ? "asked_s" : "work_s",
                 seconds[3] + (asked ? (double)group->missing * facts->rep_duration_s : 0.0));
    cause_number(cause, "below_s", seconds[0]);
    cause_number(cause, "in_s", seconds[1]);
    cause_number(cause, "above_s", seconds[2]);
}

static bool same_edge(double a, double b)
{
    return (isnan(a) && isnan(b)) || !(a < b || a > b);
}

/* Whether all reps were judged against one range: work of several kinds has no first and last. */
static bool is_one_kind(const struct group *group)
{
    const struct rep *first = NULL;
    for (size_t i = 0; i < group->count; i++) {
        const struct rep *rep = group->items[i].rep;
        if (!group->items[i].part) {
            continue;
        }
        first = first == NULL ? rep : first;
        if (!same_edge(rep->target_low_w, first->target_low_w) ||
            !same_edge(rep->target_high_w, first->target_high_w)) {
            return false;
        }
    }
    return true;
}

/* The change from the first rep to the last, by a straight line through their means. */
void hard_add_set_change(struct arena *arena, const struct group *group, struct reading *reading)
{
    if (!is_one_kind(group)) {
        return;
    }
    double n = 0.0;
    double sx = 0.0;
    double sy = 0.0;
    for (size_t i = 0; i < group->count; i++) {
        if (group->items[i].part && !isnan(group->items[i].rep->mean_power_w)) {
            sx += n;
            sy += group->items[i].rep->mean_power_w;
            n += 1.0;
        }
    }
    if (n < 2.0) {
        return;
    }
    double sxx = 0.0;
    double sxy = 0.0;
    double syy = 0.0;
    double x = 0.0;
    for (size_t i = 0; i < group->count; i++) {
        if (group->items[i].part && !isnan(group->items[i].rep->mean_power_w)) {
            const double dx = x - sx / n;
            const double dy = group->items[i].rep->mean_power_w - sy / n;
            sxx += dx * dx;
            sxy += dx * dy;
            syy += dy * dy;
            x += 1.0;
        }
    }
    const double change = sxy / sxx * (n - 1.0);
    struct cause *cause = causes_add(arena, &reading->because, "first-to-last-rep");
    cause_number(cause, "change_w", change);
    if (n >= 3.0) {
        const double rest = fmax(syy - sxy * sxy / sxx, 0.0);
        const double half =
            distributions_t_quantile(0.95, n - 2.0) * sqrt(rest / (n - 2.0) / sxx) * (n - 1.0);
        cause_number(cause, "low_w", change - half);
        cause_number(cause, "high_w", change + half);
    }
    cause_number(cause, "reps", n);
}

/* Rests that weren't what was asked: what they were on average, and which way. */
void hard_add_rests(struct arena *arena, const struct rider_facts *facts,
                    const struct limits *limits, struct reading *reading)
{
    const double ratio = limits->value[LIMIT_HARD_REST_RATIO];
    struct {
        double n;
        double asked_s;
        double rest_s;
    } sides[2] = { { 0 } }; /* longer, shorter */
    double n = 0.0;
    for (size_t i = 0; i < facts->n_laid; i++) {
        const struct laid_effort *laid = &facts->laid[i];
        const bool longer = laid->rest_s > ratio * laid->rest_asked_s;
        n += isnan(laid->rest_asked_s) ? 0.0 : 1.0;
        if (longer || laid->rest_s * ratio < laid->rest_asked_s) {
            sides[longer ? 0 : 1].n += 1.0;
            sides[longer ? 0 : 1].asked_s += laid->rest_asked_s;
            sides[longer ? 0 : 1].rest_s += laid->rest_s;
        }
    }
    for (int k = 0; k < 2; k++) {
        if (sides[k].n > 0.0) {
            (void)reading_limit(reading, limits, LIMIT_HARD_REST_RATIO);
            struct cause *cause =
                causes_add(arena, &reading->because, k == 0 ? "rests-longer" : "rests-shorter");
            cause_number(cause, "rests", sides[k].n);
            cause_number(cause, "all", n);
            cause_number(cause, "asked_s", sides[k].asked_s / sides[k].n);
            cause_number(cause, "rest_s", sides[k].rest_s / sides[k].n);
        }
    }
}

void hard_add_doubts(struct arena *arena, const struct group *group, const struct limits *limits,
                     struct reading *reading)
{
    double unknown = 0.0;
    double loose = 0.0;
    double held = 0.0;
    double tired = 0.0;
    double own_s = (double)NAN;
    const double fall = limits->value[LIMIT_HARD_CADENCE_FALL_RPM];
    for (size_t i = 0; i < group->count; i++) {
        const struct judged *j = &group->items[i];
        const struct rep *rep = j->rep;
        if (!j->part) {
            continue;
        }
        unknown += isnan(rep->mean_power_w) ? 1.0 : 0.0;
        loose += rep->edges_sure ? 0.0 : 1.0;
        held += rep->trainer_held ? 1.0 : 0.0;
        tired +=
            rep->trainer_held && rep->cadence_first_rpm - rep->cadence_last_rpm >= fall ? 1.0 : 0.0;
        own_s = j->verdict == VERDICT_CUT_SHORT && !j->duration_asked ? j->duration_s : own_s;
    }
    if (held > 0.0) {
        cause_number(causes_add(arena, &reading->because, "trainer-held"), "reps", held);
    }
    if (tired > 0.0) {
        (void)reading_limit(reading, limits, LIMIT_HARD_CADENCE_FALL_RPM);
        cause_number(causes_add(arena, &reading->because, "cadence-fell"), "reps", tired);
    }
    if (!isnan(own_s)) {
        cause_number(causes_add(arena, &reading->because, "length-from-others"), "seconds", own_s);
    }
    if (unknown > 0.0) {
        cause_number(causes_add(arena, &reading->because, "power-missing"), "reps", unknown);
    }
    if (loose > 0.0) {
        cause_number(causes_add(arena, &reading->because, "edges-loose"), "reps", loose);
    }
}

/* Were they the right watts?  Said once, when the range comes from a threshold. */
void hard_add_range_doubt(struct arena *arena, const struct rider_facts *facts,
                          const struct limits *limits, struct reading *reading)
{
    double doubt = reading_limit(reading, limits, LIMIT_HARD_RANGE_PCT);
    if (!isnan(facts->threshold_low_w) && !isnan(facts->threshold_high_w)) {
        doubt = 50.0 * (facts->threshold_high_w - facts->threshold_low_w) / facts->threshold_w;
    }
    cause_number(causes_add(arena, &reading->because, "range-known-to"), "pct", doubt);
}
