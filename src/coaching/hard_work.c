/* coaching/hard_work.c: what was meant, and the readings of ride, sets and reps. */
#include "coaching/hard_work.h"

#include "coaching/hard_parts.h"
#include "coaching/words/words.h"
#include "maths/distributions.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What was asked of the ride. */
struct intent {
    bool range;    /* a range, or a kind that has one */
    bool anything; /* anything hard: a range, a number of reps, a duration */
    bool in_pct;   /* the range needs a threshold */
    const char *text;
};

static bool is_easy_kind(enum work_kind kind)
{
    return kind == KIND_EASY || kind == KIND_BASE_TEST;
}

static const char *range_text(struct arena *arena, double low, double high, const char *unit)
{
    if (isnan(high) || isinf(high)) {
        return arena_format(arena, "asked: at least %.0f%s", low, unit);
    }
    if (isnan(low) || low <= 0.0) {
        return arena_format(arena, "asked: at most %.0f%s", high, unit);
    }
    return arena_format(arena, "asked: %.0f-%.0f%s", low, high, unit);
}

static struct intent intent_of(struct arena *arena, const struct rider_facts *facts,
                               const struct limits *limits)
{
    const struct target *target = &facts->target;
    struct intent intent = { 0 };
    const bool in_w = !isnan(target->low_w) || !isnan(target->high_w);
    const bool in_pct = !in_w && (!isnan(target->low_pct) || !isnan(target->high_pct));
    const bool kind = facts->kind != KIND_UNKNOWN;
    if (in_w) {
        intent.text = range_text(arena, target->low_w, target->high_w, " W");
    } else if (in_pct) {
        intent.text = range_text(arena, target->low_pct, target->high_pct, " %");
    } else if (kind) {
        intent.text = arena_format(arena, "asked: %s", work_kind_name(facts->kind));
    }
    intent.range = in_w || in_pct || kind;
    intent.in_pct = !in_w && (in_pct || kind);
    /* An easy range or kind asks for no hard work: easy work answers it. */
    const bool easy = is_easy_kind(facts->kind) ||
                      (in_pct && target->high_pct <= limits->value[LIMIT_KIND_EASY_HIGH_PCT]);
    const bool counted = facts->reps_asked > 0 || !isnan(facts->rep_duration_s);
    if (easy) {
        return (struct intent){ .text = NULL };
    }
    intent.anything = intent.range || counted;
    if (intent.text == NULL && counted) {
        intent.text = "asked: number or length of reps";
    }
    return intent;
}

/* ---- what each rep is judged by ---- */

static double length_of(const struct rep *rep)
{
    return (double)(rep->span.to_s - rep->span.from_s);
}

/* How far a rep of this length and level lies from a kind: 10 % of threshold outside its range and
 * twice outside its time count as 1 each. */
static double distance_to(enum work_kind kind, const struct rep *rep, const struct limits *limits)
{
    const struct kind_range range = work_kind_range(kind, limits);
    const double pct = rep->pct_of_threshold;
    /* A block's efforts are what the kind speaks of. */
    const double length =
        rep->is_block ? (double)(rep->efforts[0].to_s - rep->efforts[0].from_s) : length_of(rep);
    const double off_pct = fmax(fmax(range.low_pct - pct, pct - range.high_pct), 0.0) / 10.0;
    const double short_by = range.shortest_s > 0.0 ? log2(range.shortest_s / length) : 0.0;
    const double off_time = fmax(fmax(short_by, log2(length / range.longest_s)), 0.0);
    return sqrt(off_pct * off_pct + off_time * off_time);
}

/* The nearest kind, or unknown: none is near.  Over-unders can't be told from threshold work by
 * their mean, so they must be asked.  Ties: the easier kind. */
static enum work_kind nearest_kind(const struct rep *rep, const struct limits *limits)
{
    static const enum work_kind kinds[] = { KIND_TEMPO,  KIND_SWEET_SPOT, KIND_THRESHOLD,
                                            KIND_VO2MAX, KIND_ANAEROBIC,  KIND_SPRINT };
    if (isnan(rep->pct_of_threshold)) {
        return KIND_UNKNOWN;
    }
    if (rep->is_block) {
        return distance_to(KIND_SHORT_VO2MAX, rep, limits) <= limits->value[LIMIT_HARD_KIND_FAR]
                   ? KIND_SHORT_VO2MAX
                   : KIND_UNKNOWN;
    }
    double nearest = limits->value[LIMIT_HARD_KIND_FAR];
    enum work_kind best = KIND_UNKNOWN;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        const double distance = distance_to(kinds[i], rep, limits);
        if (distance < nearest) {
            nearest = distance;
            best = kinds[i];
        }
    }
    return best;
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The time that the reps of a set were meant to last, by the set itself: the middle one, when three
 * or more are there and most are as long.  NAN else. */
static double own_duration(struct arena *arena, const struct reps *reps, int set,
                           const struct limits *limits)
{
    double *lengths = ARENA_ARRAY(arena, double, reps->count);
    size_t n = 0;
    for (size_t i = 0; i < reps->count; i++) {
        if (reps->items[i].set == set) {
            lengths[n++] = length_of(&reps->items[i]);
        }
    }
    qsort(lengths, n, sizeof lengths[0], by_value);
    const double middle = lengths[n / 2];
    size_t equal = 0;
    for (size_t i = 0; i < n; i++) {
        equal +=
            fabs(lengths[i] - middle) <= limits->value[LIMIT_HARD_EQUAL_RATIO] * middle ? 1 : 0;
    }
    const bool long_enough = middle >= limits->value[LIMIT_HARD_OWN_SHORTEST_S];
    return n >= 3 && 2 * equal > n && long_enough ? middle : (double)NAN;
}

/* The kind of a set without a range asked: that of its middle rep by power. */
static enum work_kind assumed_kind(struct arena *arena, const struct reps *reps, int set,
                                   const struct limits *limits)
{
    double *levels = ARENA_ARRAY(arena, double, reps->count);
    size_t n = 0;
    for (size_t i = 0; i < reps->count; i++) {
        if (reps->items[i].set == set && !isnan(reps->items[i].pct_of_threshold)) {
            levels[n++] = reps->items[i].pct_of_threshold;
        }
    }
    if (n == 0) {
        return KIND_UNKNOWN;
    }
    qsort(levels, n, sizeof levels[0], by_value);
    for (size_t i = 0; i < reps->count; i++) {
        const struct rep *rep = &reps->items[i];
        if (rep->set == set && rep->pct_of_threshold >= levels[n / 2] &&
            rep->pct_of_threshold <= levels[n / 2]) {
            return nearest_kind(rep, limits);
        }
    }
    return KIND_UNKNOWN;
}

/* Judges against an assumed kind's range, in watts. */
static void assume(struct arena *arena, const struct recording *recording,
                   const struct rider_facts *facts, const struct limits *limits,
                   enum work_kind kind, struct rep *rep)
{
    const struct kind_range range = work_kind_range(kind, limits);
    rep_measure_range(arena, recording, limits, range.low_pct * facts->threshold_w / 100.0,
                      range.high_pct * facts->threshold_w / 100.0, rep);
}

static double asked_duration(const struct rep *rep, const struct rider_facts *facts,
                             const struct limits *limits)
{
    /* A short time asked is that of a block's efforts, not of the block. */
    const bool of_efforts =
        rep->is_block && facts->rep_duration_s <= limits->value[LIMIT_KIND_SHORT_VO2MAX_LONGEST_S];
    return of_efforts ? (double)NAN : facts->rep_duration_s;
}

static struct judged *prepare(struct arena *arena, const struct recording *recording,
                              const struct rider_facts *facts, const struct limits *limits,
                              const struct intent *intent, struct reps *reps)
{
    struct judged *judged = ARENA_ARRAY(arena, struct judged, reps->count);
    for (size_t i = 0; i < reps->count; i++) {
        struct rep *rep = &reps->items[i];
        struct judged *j = &judged[i];
        const double asked_s = asked_duration(rep, facts, limits);
        *j = (struct judged){ .rep = rep, .part = true, .kind = facts->kind };
        j->duration_asked = !isnan(asked_s);
        j->duration_s = j->duration_asked ? asked_s : own_duration(arena, reps, rep->set, limits);
        if (intent->range) {
            j->part = rep->as_asked;
        } else {
            j->part = rep->as_asked || !intent->anything;
            j->assumed = true;
            j->kind = assumed_kind(arena, reps, rep->set, limits);
            if (j->kind != KIND_UNKNOWN) {
                assume(arena, recording, facts, limits, j->kind, rep);
            } else {
                rep_measure_range(arena, recording, limits, (double)NAN, (double)NAN, rep);
            }
        }
    }
    return judged;
}

/* Reps asked and not found; a block's short efforts count one by one when they were asked so. */
static int missing_of(const struct rider_facts *facts, const struct limits *limits,
                      const struct judged judged[], size_t n)
{
    const bool by_effort =
        facts->rep_duration_s <= limits->value[LIMIT_KIND_SHORT_VO2MAX_LONGEST_S];
    int found = 0;
    for (size_t i = 0; i < n; i++) {
        found += judged[i].part ? (by_effort ? judged[i].rep->n_efforts : 1) : 0;
    }
    return facts->reps_asked > found ? facts->reps_asked - found : 0;
}

/* ---- evidence ---- */

/* The reps that a reading is about: of one set, or of the ride (set 0). */
struct group {
    const struct judged *items;
    size_t count;
    int set;
    int missing;
};

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

static void add_counts(struct arena *arena, const struct group *group,
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
        seconds[3] += isnan(facts->rep_duration_s) || !j->duration_asked ? length_of(j->rep)
                                                                         : facts->rep_duration_s;
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

/* The change from the first rep to the last, by a straight line through their means. */
static void add_set_change(struct arena *arena, const struct group *group, struct reading *reading)
{
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

static void add_doubts(struct arena *arena, const struct group *group,
                       const struct rider_facts *facts, const struct limits *limits,
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
    (void)facts;
}

/* Were they the right watts?  Said once, when the range comes from a threshold. */
static void add_range_doubt(struct arena *arena, const struct rider_facts *facts,
                            const struct limits *limits, struct reading *reading)
{
    double doubt = reading_limit(reading, limits, LIMIT_HARD_RANGE_PCT);
    if (!isnan(facts->threshold_low_w) && !isnan(facts->threshold_high_w)) {
        doubt = 50.0 * (facts->threshold_high_w - facts->threshold_low_w) / facts->threshold_w;
    }
    cause_number(causes_add(arena, &reading->because, "range-known-to"), "pct", doubt);
}

/* ---- the readings ---- */

static void set_basis(struct arena *arena, const struct rider_facts *facts,
                      const struct intent *intent, const struct judged *judged,
                      struct reading *reading)
{
    reading->basis.intent = intent->text;
    if (judged != NULL && judged->assumed) {
        reading->basis.intent =
            judged->kind == KIND_UNKNOWN
                ? intent->text
                : arena_format(arena, "assumed: %s", work_kind_name(judged->kind));
    }
    if (facts->threshold_w > 0.0 && (!intent->range || intent->in_pct)) {
        reading->basis.threshold_w = facts->threshold_w;
        reading->basis.threshold_known_by = facts->threshold_known_by;
    }
}

/* Mean power over the reps, in % of threshold where that is known; its range is the meter's own
 * precision, which is the 2 % of the line. */
static void set_estimate(const struct group *group, const struct rider_facts *facts,
                         const struct limits *limits, struct reading *reading)
{
    double sum = 0.0;
    double seconds = 0.0;
    const struct rep *first = NULL;
    for (size_t i = 0; i < group->count; i++) {
        const struct rep *rep = group->items[i].rep;
        if (group->items[i].part && !isnan(rep->mean_power_w)) {
            sum += rep->mean_power_w * length_of(rep);
            seconds += length_of(rep);
            first = first == NULL ? rep : first;
        }
    }
    if (first == NULL) {
        return;
    }
    const bool in_pct = facts->threshold_w > 0.0;
    const double scale = in_pct ? 100.0 / facts->threshold_w : 1.0;
    const double share = reading_limit(reading, limits, LIMIT_HARD_LINE_PCT) / 100.0;
    reading->estimate = sum / seconds * scale;
    reading->low = reading->estimate * (1.0 - share);
    reading->high = reading->estimate * (1.0 + share);
    reading->unit = in_pct ? "%" : "W";
    if (!isnan(first->target_low_w)) {
        const bool upper = reading->verdict == VERDICT_ABOVE && !isinf(first->target_high_w);
        reading->limit_value = (upper ? first->target_high_w : first->target_low_w) * scale;
        reading->limit_source =
            group->items[0].assumed ? "common practice, no source" : "what was asked";
    }
}

static void add_spans(struct arena *arena, const struct group *group, struct reading *reading)
{
    reading->spans = ARENA_ARRAY(arena, struct span, group->count);
    for (size_t i = 0; i < group->count; i++) {
        if (group->items[i].part) {
            reading->spans[reading->n_spans++] = group->items[i].rep->span;
        }
    }
}

static void say(struct arena *arena, const struct ride_readings *out, struct reading *reading)
{
    struct causes *all[] = { &reading->because, &reading->cannot_because, &reading->settle_by };
    for (size_t k = 0; k < sizeof all / sizeof all[0]; k++) {
        for (size_t i = 0; i < all[k]->count; i++) {
            all[k]->items[i].text = words_hard_cause(arena, &all[k]->items[i]);
        }
    }
    reading->text = words_hard(arena, reading, out);
}

static void add_shapes(struct arena *arena, const struct group *group,
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

static const struct judged *first_part(const struct group *group)
{
    for (size_t i = 0; i < group->count; i++) {
        if (group->items[i].part) {
            return &group->items[i];
        }
    }
    return group->count == 0 ? NULL : &group->items[0];
}

static void cannot_tell_power(struct arena *arena, const struct group *group,
                              struct reading *reading)
{
    double unknown = 0.0;
    for (size_t i = 0; i < group->count; i++) {
        unknown += group->items[i].verdict == VERDICT_CANNOT_TELL ? 1.0 : 0.0;
    }
    cause_number(causes_add(arena, &reading->cannot_because, "power-missing"), "reps", unknown);
    causes_add(arena, &reading->settle_by, "check-meter");
}

/* The ride, or one set of it. */
static void read_group(struct arena *arena, const struct group *group,
                       const struct judged *first_of_ride, const struct rider_facts *facts,
                       const struct limits *limits, const struct intent *intent,
                       struct ride_readings *out)
{
    struct reading *reading = readings_add(arena, out, QUESTION_HARD_WORK);
    const struct judged *first = first_part(group);
    reading->set = group->set;
    reading->verdict = hard_sum_up(group->items, group->count, group->missing, limits);
    (void)reading_limit(reading, limits, LIMIT_HARD_DONE_SHARE);
    (void)reading_limit(reading, limits, LIMIT_HARD_SOME_SHARE);
    (void)reading_limit(reading, limits, LIMIT_HARD_CUT_SHORT_RATIO);
    set_basis(arena, facts, intent, first, reading);
    set_estimate(group, facts, limits, reading);
    add_spans(arena, group, reading);
    add_shapes(arena, group, facts, first_of_ride, reading);
    add_counts(arena, group, facts, reading);
    add_set_change(arena, group, reading);
    hard_heart_add(arena, group->items, group->count, facts, limits, reading);
    add_doubts(arena, group, facts, limits, reading);
    if (group->set == 0 && reading->basis.threshold_w > 0.0 && intent->range) {
        add_range_doubt(arena, facts, limits, reading);
    }
    if (reading->verdict == VERDICT_CANNOT_TELL) {
        cannot_tell_power(arena, group, reading);
    }
    say(arena, out, reading);
}

static void read_rep(struct arena *arena, const struct judged *judged, size_t number,
                     const struct rider_facts *facts, const struct limits *limits,
                     const struct intent *intent, struct ride_readings *out)
{
    struct reading *reading = readings_add(arena, out, QUESTION_HARD_WORK);
    const struct group one = { judged, 1, judged->rep->set, 0 };
    reading->set = judged->rep->set;
    reading->rep = (int)number;
    reading->verdict = judged->verdict;
    set_basis(arena, facts, intent, judged, reading);
    set_estimate(&one, facts, limits, reading);
    (void)reading_limit(reading, limits, LIMIT_HARD_CUT_SHORT_RATIO);
    reading->spans = ARENA_ARRAY(arena, struct span, 1);
    reading->spans[reading->n_spans++] = judged->rep->span;
    if (!judged->part) {
        causes_add(arena, &reading->because, "not-asked");
    }
    add_doubts(arena, &one, facts, limits, reading);
    if (judged->verdict == VERDICT_CANNOT_TELL) {
        cannot_tell_power(arena, &one, reading);
    }
    say(arena, out, reading);
}

/* Nothing can be told, or nothing was found. */
static void read_nothing(struct arena *arena, enum verdict verdict, const char *because,
                         const char *settle, const struct intent *intent, struct ride_readings *out)
{
    struct reading *reading = readings_add(arena, out, QUESTION_HARD_WORK);
    reading->verdict = verdict;
    reading->basis.intent = intent->text;
    causes_add(arena, verdict == VERDICT_CANNOT_TELL ? &reading->cannot_because : &reading->because,
               because);
    if (settle != NULL) {
        causes_add(arena, &reading->settle_by, settle);
    }
    say(arena, out, reading);
}

/* The verdicts of the reps, when only their description can be given. */
static void fill_verdicts(struct arena *arena, enum verdict verdict, struct ride_readings *out)
{
    out->rep_verdicts = ARENA_ARRAY(arena, enum verdict, out->reps.count);
    for (size_t i = 0; i < out->reps.count; i++) {
        out->rep_verdicts[i] = verdict;
    }
}

static size_t count_parts(const struct judged judged[], size_t n)
{
    size_t parts = 0;
    for (size_t i = 0; i < n; i++) {
        parts += judged[i].part ? 1 : 0;
    }
    return parts;
}

static void read_all(struct arena *arena, const struct recording *recording,
                     const struct rider_facts *facts, const struct limits *limits,
                     const struct intent *intent, struct ride_readings *out)
{
    const size_t n = out->reps.count;
    struct judged *judged = prepare(arena, recording, facts, limits, intent, &out->reps);
    const int missing = missing_of(facts, limits, judged, n);
    hard_judge_reps(judged, n, missing, limits);
    for (size_t i = 0; i < n; i++) {
        out->rep_verdicts[i] = judged[i].verdict;
    }
    const struct group ride = { judged, n, 0, missing };
    if (intent->anything && count_parts(judged, n) == 0) {
        read_nothing(arena, VERDICT_BELOW, "none-found", NULL, intent, out);
    } else {
        read_group(arena, &ride, judged, facts, limits, intent, out);
    }
    for (size_t i = 0; i < n;) {
        size_t end = i;
        while (end < n && judged[end].rep->set == judged[i].rep->set) {
            end++;
        }
        const struct group set = { &judged[i], end - i, judged[i].rep->set, 0 };
        read_group(arena, &set, judged, facts, limits, intent, out);
        i = end;
    }
    for (size_t i = 0; i < n; i++) {
        read_rep(arena, &judged[i], i + 1, facts, limits, intent, out);
    }
}

void hard_work_read(struct arena *arena, const struct recording *recording,
                    const struct rider_facts *facts, const struct limits *limits,
                    struct ride_readings *out)
{
    const struct intent intent = intent_of(arena, facts, limits);
    fill_verdicts(arena, VERDICT_DESCRIBED, out);
    if (!intent.anything && out->reps.count == 0) {
        return;
    }
    if (recording->value[CHANNEL_POWER] == NULL) {
        read_nothing(arena, VERDICT_CANNOT_TELL, "no-power", "power-meter", &intent, out);
    } else if (intent.range && intent.in_pct && !(facts->threshold_w > 0.0)) {
        fill_verdicts(arena, VERDICT_CANNOT_TELL, out);
        read_nothing(arena, VERDICT_CANNOT_TELL, "no-threshold", "give-threshold", &intent, out);
    } else if (out->reps.count == 0 &&
               recording_coverage(recording, CHANNEL_POWER) < limits->value[LIMIT_REPS_COVERAGE]) {
        read_nothing(arena, VERDICT_CANNOT_TELL, "power-lost", "check-meter", &intent, out);
    } else if (out->reps.count == 0) {
        read_nothing(arena, VERDICT_BELOW, "none-found", NULL, &intent, out);
    } else {
        read_all(arena, recording, facts, limits, &intent, out);
    }
}
