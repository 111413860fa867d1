/* coaching/hard_work.c: the readings of ride, sets and reps. */
#include "coaching/hard_work.h"

#include "coaching/hard_parts.h"
#include "coaching/words/words.h"

#include <math.h>

static double length_of(const struct rep *rep)
{
    return (double)(rep->span.to_s - rep->span.from_s);
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

/* Whether the group's reps were assumed to be of several kinds. */
static bool kinds_differ(const struct group *group)
{
    const struct judged *first = NULL;
    bool differ = false;
    for (size_t i = 0; i < group->count; i++) {
        if (group->items[i].part && group->items[i].assumed) {
            first = first == NULL ? &group->items[i] : first;
            differ = differ || group->items[i].kind != first->kind;
        }
    }
    return differ;
}

static void set_basis(struct arena *arena, const struct rider_facts *facts,
                      const struct intent *intent, const struct group *group,
                      struct reading *reading)
{
    const struct judged *first = first_part(group);
    reading->basis.intent = intent->text;
    reading->basis.response = reading_own_response(arena, facts);
    reading->basis.efforts_by =
        facts->n_laid > 0 ? "the session's steps, laid along power" : "power alone";
    if (hard_is_marked(facts, intent)) {
        reading->basis.intent = HARD_MARKED;
    } else if (kinds_differ(group)) {
        reading->basis.intent = "assumed: by set";
    } else if (first != NULL && first->assumed && first->kind != KIND_UNKNOWN) {
        reading->basis.intent = arena_format(arena, "assumed: %s", work_kind_name(first->kind));
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
    if (!isnan(first->target_low_w) && !kinds_differ(group)) {
        reading->range_low = first->target_low_w * scale;
        reading->range_high = first->target_high_w * scale;
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
    reading->set = group->set;
    reading->verdict = hard_sum_up(group->items, group->count, group->missing, limits);
    (void)reading_limit(reading, limits, LIMIT_HARD_DONE_SHARE);
    (void)reading_limit(reading, limits, LIMIT_HARD_SOME_SHARE);
    (void)reading_limit(reading, limits, LIMIT_HARD_CUT_SHORT_RATIO);
    set_basis(arena, facts, intent, group, reading);
    set_estimate(group, facts, limits, reading);
    add_spans(arena, group, reading);
    hard_add_shapes(arena, group, facts, first_of_ride, reading);
    hard_add_counts(arena, group, facts, reading);
    hard_add_set_change(arena, group, reading);
    if (group->set == 0) {
        hard_add_rests(arena, facts, limits, reading);
    }
    hard_heart_add(arena, group->items, group->count, facts, limits, reading);
    hard_add_doubts(arena, group, limits, reading);
    if (group->set == 0 && reading->basis.threshold_w > 0.0 && intent->range) {
        hard_add_range_doubt(arena, facts, limits, reading);
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
    set_basis(arena, facts, intent, &one, reading);
    set_estimate(&one, facts, limits, reading);
    (void)reading_limit(reading, limits, LIMIT_HARD_CUT_SHORT_RATIO);
    reading->spans = ARENA_ARRAY(arena, struct span, 1);
    reading->spans[reading->n_spans++] = judged->rep->span;
    if (!judged->part) {
        causes_add(arena, &reading->because, judged->rep->laid ? "asked-beside" : "not-asked");
    }
    hard_add_doubts(arena, &one, limits, reading);
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
    struct judged *judged = hard_prepare(arena, recording, facts, limits, intent, &out->reps);
    const int missing = hard_missing(facts, limits, judged, n);
    for (size_t i = 0; i < n; i++) {
        judged[i].heart_is_late = recording_finding(recording, "late-heart") != NULL;
    }
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
    const struct intent intent = hard_intent_of(arena, facts, limits);
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
