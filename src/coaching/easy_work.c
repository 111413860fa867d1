/* coaching/easy_work.c: was the easy ride easy? */
#include "coaching/easy_work.h"

#include "coaching/words/words.h"

#include <math.h>
#include <string.h>

enum {
    HALF_WINDOW_S = 15, /* a 30-s mean: the measure's own definition */
    SETTLED_S = 600,    /* heart rate is judged after minute 10 */
    SHORTEST_M = 5000,  /* climbing a km over less says nothing */
};

/* What the ride shows at one threshold. */
struct share {
    double pedalling_s;
    double above_s;
    double far_above_s;
    double pct; /* above of pedalling; NAN without pedalling */
};

/* ---- was it asked? ---- */

static const char *intent_of(struct arena *arena, const struct rider_facts *facts)
{
    if (facts->kind != KIND_UNKNOWN) {
        return arena_format(arena, "asked: %s", work_kind_name(facts->kind));
    }
    return isnan(facts->target.high_pct) ? arena_format(arena, "asked: at most %s W",
                                                        words_whole(arena, facts->target.high_w))
                                         : arena_format(arena, "asked: at most %s %%",
                                                        words_whole(arena, facts->target.high_pct));
}

/* ---- power ---- */

static struct share count_above(const struct recording *recording, const double power_w[],
                                double line_w, double far_w)
{
    struct share share = { .pct = (double)NAN };
    const int32_t n = (int32_t)recording->n_seconds;
    double sum = 0.0;
    int known = 0;
    for (int32_t t = 0; t < n + HALF_WINDOW_S; t++) {
        /* The window [middle - 15, middle + 15) moves on by a second. */
        for (int end = 0; end < 2; end++) {
            const int32_t at = end == 0 ? t : t - 2 * HALF_WINDOW_S;
            if (at >= 0 && at < n) {
                const double now = recording->paused[at] != 0 ? 0.0 : power_w[at];
                sum += isnan(now) ? 0.0 : (end == 0 ? now : -now);
                known += isnan(now) ? 0 : (end == 0 ? 1 : -1);
            }
        }
        const int32_t middle = t - HALF_WINDOW_S + 1;
        if (middle < 0 || middle >= n || recording->paused[middle] != 0 ||
            !(power_w[middle] > 0.0)) {
            continue;
        }
        share.pedalling_s += 1.0;
        share.above_s += known >= HALF_WINDOW_S && sum > line_w * known;
        share.far_above_s += known >= HALF_WINDOW_S && sum > far_w * known;
    }
    if (share.pedalling_s > 0.0) {
        share.pct = 100.0 * share.above_s / share.pedalling_s;
    }
    return share;
}

static struct share share_at(const struct recording *recording, const double power_w[],
                             double threshold_w, const struct limits *limits)
{
    return count_above(recording, power_w,
                       threshold_w * limits->value[LIMIT_EASY_ABOVE_PCT] / 100.0,
                       threshold_w * limits->value[LIMIT_EASY_FAR_ABOVE_PCT] / 100.0);
}

static enum verdict verdict_of(const struct share *share, const struct limits *limits)
{
    if (share->pct > limits->value[LIMIT_EASY_HARD_SHARE_PCT] ||
        share->far_above_s > limits->value[LIMIT_EASY_FAR_ABOVE_S]) {
        return VERDICT_TOO_HARD;
    }
    return share->pct <= limits->value[LIMIT_EASY_SHARE_PCT] ? VERDICT_EASY_ENOUGH
                                                             : VERDICT_ON_THE_LINE;
}

/* ---- evidence ---- */

/* Metres climbed in steps above the noise, over kilometres ridden; NAN where either is unknown. */
static double climbed_m_per_km(const struct recording *recording, double step_m)
{
    const int32_t *altitude_dm = recording->value[CHANNEL_ALTITUDE];
    const double distance_m = recording_distance_m(recording);
    if (altitude_dm == NULL || !(distance_m >= SHORTEST_M)) {
        return (double)NAN;
    }
    double climbed_dm = 0.0;
    int32_t low_dm = RECORDING_MISSING;
    for (size_t t = 0; t < recording->n_seconds; t++) {
        if (!mask_is_usable(recording->mask[CHANNEL_ALTITUDE][t])) {
            continue;
        }
        const int32_t now_dm = altitude_dm[t];
        if (low_dm == RECORDING_MISSING || now_dm < low_dm) {
            low_dm = now_dm;
        } else if ((double)(now_dm - low_dm) >= 10.0 * step_m) {
            climbed_dm += (double)(now_dm - low_dm);
            low_dm = now_dm;
        }
    }
    return climbed_dm / 10.0 / (distance_m / 1000.0);
}

static void add_hilly(struct arena *arena, const struct recording *recording,
                      const struct limits *limits, struct reading *reading)
{
    const double climbed =
        climbed_m_per_km(recording, reading_limit(reading, limits, LIMIT_EASY_CLIMB_STEP_M));
    if (climbed >= reading_limit(reading, limits, LIMIT_EASY_HILLY_M_PER_KM)) {
        cause_number(causes_add(arena, &reading->because, "hilly"), "climbed_m_per_km", climbed);
    }
}

static void add_share(struct arena *arena, const struct share *share, const struct limits *limits,
                      struct reading *reading)
{
    struct cause *cause = causes_add(arena, &reading->because, "share-above");
    cause_number(cause, "above_pct", reading_limit(reading, limits, LIMIT_EASY_ABOVE_PCT));
    cause_number(cause, "share_pct", share->pct);
    cause_number(cause, "seconds", share->above_s);
    cause_number(cause, "pedalling_s", share->pedalling_s);
    const double far_s = reading_limit(reading, limits, LIMIT_EASY_FAR_ABOVE_S);
    const double far_pct = reading_limit(reading, limits, LIMIT_EASY_FAR_ABOVE_PCT);
    if (share->far_above_s > far_s) {
        cause = causes_add(arena, &reading->because, "far-above");
        cause_number(cause, "far_pct", far_pct);
        cause_number(cause, "seconds", share->far_above_s);
        cause_number(cause, "allowed_s", far_s);
    }
}

/* Without power: what heart rate suggests, never a verdict. */
static void add_heart(struct arena *arena, const struct recording *recording,
                      const struct rider_facts *facts, const struct limits *limits,
                      struct reading *reading)
{
    if (recording->value[CHANNEL_HEART_RATE] == NULL || isnan(facts->max_heart_rate_bpm) ||
        facts->heart_medicine || facts->pregnant) {
        return;
    }
    const double line_pct = reading_limit(reading, limits, LIMIT_EASY_HEART_PCT);
    double known = 0.0;
    double above = 0.0;
    for (size_t t = SETTLED_S; t < recording->n_seconds; t++) {
        if (mask_is_usable(recording->mask[CHANNEL_HEART_RATE][t])) {
            known += 1.0;
            above += (double)recording->value[CHANNEL_HEART_RATE][t] * 100.0 >
                     line_pct * facts->max_heart_rate_bpm;
        }
    }
    if (known > 0.0) {
        const double share_pct = 100.0 * above / known;
        const bool high = share_pct > reading_limit(reading, limits, LIMIT_EASY_HARD_SHARE_PCT);
        struct cause *cause =
            causes_add(arena, &reading->because, high ? "heart-looks-hard" : "heart-looks-easy");
        cause_number(cause, "share_pct", share_pct);
        cause_number(cause, "line_pct", line_pct);
    }
}

/* ---- the reading ---- */

/* What is missing; true if nothing is. */
static bool check_needs(struct arena *arena, const struct recording *recording,
                        const struct rider_facts *facts, const struct limits *limits,
                        struct reading *reading)
{
    const double coverage = recording_coverage(recording, CHANNEL_POWER);
    const double least = reading_limit(reading, limits, LIMIT_EASY_COVERAGE_RATIO);
    if (recording->value[CHANNEL_POWER] == NULL) {
        causes_add(arena, &reading->cannot_because, "no-power");
        causes_add(arena, &reading->settle_by, "measure-power");
        causes_add(arena, &reading->settle_by, "talk-test");
        add_heart(arena, recording, facts, limits, reading);
    } else if (!(coverage >= least)) {
        struct cause *cause = causes_add(arena, &reading->cannot_because, "power-coverage");
        cause_number(cause, "coverage_pct", 100.0 * coverage);
        cause_number(cause, "least_pct", 100.0 * least);
        causes_add(arena, &reading->settle_by, "check-meter");
        add_heart(arena, recording, facts, limits, reading);
    }
    if (isnan(facts->threshold_w)) {
        causes_add(arena, &reading->cannot_because, "no-threshold");
        causes_add(arena, &reading->settle_by, "give-threshold");
    }
    return reading->cannot_because.count == 0;
}

/* At both ends of the threshold's likely range; a higher threshold makes the ride easier. */
static void judge(struct arena *arena, const struct recording *recording,
                  const struct rider_facts *facts, const struct limits *limits,
                  struct reading *reading)
{
    struct arena *scratch = arena_open();
    const double *power_w = recording_series(scratch, recording, CHANNEL_POWER);
    const struct share share = share_at(recording, power_w, facts->threshold_w, limits);
    if (isnan(share.pct)) {
        causes_add(arena, &reading->cannot_because, "no-pedalling");
        arena_close(scratch);
        return;
    }
    reading->estimate = share.pct;
    reading->verdict = verdict_of(&share, limits);
    add_share(arena, &share, limits, reading);
    if (!isnan(facts->threshold_low_w) && !isnan(facts->threshold_high_w)) {
        const struct share most = share_at(recording, power_w, facts->threshold_low_w, limits);
        const struct share least = share_at(recording, power_w, facts->threshold_high_w, limits);
        reading->low = least.pct;
        reading->high = most.pct;
        if (verdict_of(&most, limits) != verdict_of(&least, limits)) {
            reading->verdict = VERDICT_ON_THE_LINE;
            struct cause *cause = causes_add(arena, &reading->because, "threshold-uncertain");
            cause_number(cause, "low_w", facts->threshold_low_w);
            cause_number(cause, "high_w", facts->threshold_high_w);
            causes_add(arena, &reading->settle_by, "test-threshold");
        }
    }
    add_hilly(arena, recording, limits, reading);
    if (reading->verdict != VERDICT_EASY_ENOUGH) {
        struct cause *cause = causes_add(arena, &reading->settle_by, "cap-power");
        cause_number(cause, "cap_w",
                     facts->threshold_w * limits->value[LIMIT_EASY_ABOVE_PCT] / 100.0);
    }
    arena_close(scratch);
}

static void say(struct arena *arena, struct causes *causes)
{
    for (size_t i = 0; i < causes->count; i++) {
        causes->items[i].text = words_easy_cause(arena, &causes->items[i]);
    }
}

void easy_work_read(struct arena *arena, const struct recording *recording,
                    const struct rider_facts *facts, const struct limits *limits,
                    struct ride_readings *out)
{
    if (!facts_asked_easy(facts, limits)) {
        return;
    }
    struct reading *reading = readings_add(arena, out, QUESTION_EASY_WORK);
    reading->unit = "%";
    reading->limit_value = reading_limit(reading, limits, LIMIT_EASY_SHARE_PCT);
    reading->limit_source = limits_row(LIMIT_EASY_SHARE_PCT)->source;
    (void)reading_limit(reading, limits, LIMIT_EASY_ASKED_PCT);
    (void)reading_limit(reading, limits, LIMIT_EASY_HARD_SHARE_PCT);
    reading->basis.intent = intent_of(arena, facts);
    reading->basis.threshold_w = facts->threshold_w;
    reading->basis.threshold_known_by =
        isnan(facts->threshold_w) ? NULL : facts->threshold_known_by;
    if (check_needs(arena, recording, facts, limits, reading)) {
        judge(arena, recording, facts, limits, reading);
    }
    say(arena, &reading->because);
    say(arena, &reading->cannot_because);
    say(arena, &reading->settle_by);
    reading->text = words_easy(arena, reading);
}
