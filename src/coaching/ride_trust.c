/* coaching/ride_trust.c: what in this recording may be trusted? */
#include "coaching/ride_trust.h"

#include "coaching/cautions.h"
#include "coaching/words/words.h"

#include <math.h>
#include <string.h>

/* How much of a channel is left. */
enum part { PART_NONE, PART_LOST, PART_SOME, PART_WHOLE };

/* ---- the two channels ---- */

static enum part part_left(const struct recording *recording, enum channel channel,
                           struct reading *reading, const struct limits *limits)
{
    const double whole = reading_limit(reading, limits, LIMIT_TRUST_USABLE_RATIO);
    const double some = reading_limit(reading, limits, LIMIT_TRUST_PART_RATIO);
    if (recording->value[channel] == NULL) {
        return PART_NONE;
    }
    const double coverage = recording_coverage(recording, channel);
    if (coverage >= whole) {
        return PART_WHOLE;
    }
    return coverage >= some ? PART_SOME : PART_LOST;
}

static void add_part(struct arena *arena, const struct recording *recording, enum channel channel,
                     const char *code, struct causes *causes)
{
    struct cause *cause = causes_add(arena, causes, code);
    if (recording->value[channel] != NULL) {
        const double coverage = recording_coverage(recording, channel);
        cause_number(cause, "coverage_pct", 100.0 * coverage);
        cause_number(cause, "lost_s", (1.0 - coverage) * (double)recording->timer_s);
    }
}

static bool is_trainers_target(const struct recording *recording)
{
    const struct finding *stuck = recording_finding(recording, "power-stuck");
    return stuck != NULL && stuck->whole_ride;
}

static const char *power_code(const struct recording *recording, enum part power)
{
    static const char *const codes[] = {
        [PART_NONE] = "power-absent",
        [PART_LOST] = "power-lost",
        [PART_SOME] = "power-in-part",
        [PART_WHOLE] = "power-usable",
    };
    return is_trainers_target(recording) ? "power-target" : codes[power];
}

/* Heart rate answers questions only beside power, and not at all where it was told not to. */
static const char *heart_code(const struct rider_facts *facts, enum part power, enum part heart)
{
    static const char *const codes[] = {
        [PART_NONE] = "heart-absent",
        [PART_LOST] = "heart-lost",
        [PART_SOME] = "heart-in-part",
        [PART_WHOLE] = "heart-usable",
    };
    if (heart >= PART_SOME && facts->pregnant) {
        return "heart-not-read";
    }
    if (heart >= PART_SOME && power < PART_SOME) {
        return "heart-alone";
    }
    return codes[heart];
}

static enum verdict judge(enum part power, enum part heart)
{
    if (power == PART_WHOLE && heart == PART_WHOLE) {
        return VERDICT_USABLE;
    }
    return power >= PART_SOME || heart >= PART_SOME ? VERDICT_USABLE_IN_PART : VERDICT_NOT_USABLE;
}

/* ---- further reasons ---- */

/* Irregular recording explains why seconds are missing that no sensor lost; where none is missing
 * after bridges, it explains nothing. */
static void add_irregular(struct arena *arena, const struct recording *recording,
                          struct reading *reading, const struct limits *limits)
{
    if (reading->verdict == VERDICT_USABLE || recording->samples.count == 0) {
        return;
    }
    const double share = (double)recording->samples.count / (double)recording->timer_s;
    if (share < reading_limit(reading, limits, LIMIT_IRREGULAR_RATIO)) {
        struct cause *cause = causes_add(arena, &reading->because, "irregular");
        cause_number(cause, "every_s", 1.0 / share);
        causes_add(arena, &reading->settle_by, "record-every-second");
    }
}

/* The highest heart rate of those that stood above maximal + some for long enough; not of a jump of
 * the strap, which has its own finding. */
static void add_above_max(struct arena *arena, const struct recording *recording,
                          const struct rider_facts *facts, const struct limits *limits,
                          struct reading *reading)
{
    if (isnan(facts->max_heart_rate_bpm) || recording->value[CHANNEL_HEART_RATE] == NULL) {
        return;
    }
    const int32_t *heart = recording->value[CHANNEL_HEART_RATE];
    const uint8_t *mask = recording->mask[CHANNEL_HEART_RATE];
    const double line_bpm =
        facts->max_heart_rate_bpm + reading_limit(reading, limits, LIMIT_ABOVE_MAX_BPM);
    const int32_t least_s = (int32_t)reading_limit(reading, limits, LIMIT_ABOVE_MAX_S);
    int32_t run_s = 0;
    int32_t run_peak = 0;
    int32_t peak = 0;
    double seconds = 0.0;
    for (size_t t = 0; t < recording->n_seconds; t++) {
        const bool told = mask_is_usable(mask[t]) || mask[t] == MASK_STUCK;
        const bool above = told && (double)heart[t] > line_bpm;
        run_s = above ? run_s + 1 : 0;
        run_peak = !above ? 0 : (heart[t] > run_peak ? heart[t] : run_peak);
        if (run_s >= least_s) {
            seconds += run_s == least_s ? (double)least_s : 1.0;
            peak = run_peak > peak ? run_peak : peak;
        }
    }
    if (seconds > 0.0) {
        struct cause *cause = causes_add(arena, &reading->because, "heart-above-max");
        cause_number(cause, "max_bpm", facts->max_heart_rate_bpm);
        cause_number(cause, "peak_bpm", (double)peak);
        cause_number(cause, "seconds", seconds);
    }
}

/* Findings that a coach must know before using the ride, as reasons of their own; what was masked
 * is counted in the coverage already. */
static bool is_reason(const struct finding *finding)
{
    static const char *const codes[] = { "trainer-held", "one-sided", "balance-drift",
                                         "high",         "clock",     "damage" };
    if (finding->effect == EFFECT_SPOILS) {
        return strcmp(finding->code, "power-stuck") != 0; /* said as power-target */
    }
    for (size_t i = 0; i < sizeof codes / sizeof codes[0]; i++) {
        if (strcmp(finding->code, codes[i]) == 0) {
            return true;
        }
    }
    return false;
}

static void add_findings(struct arena *arena, const struct recording *recording,
                         struct reading *reading)
{
    for (size_t i = 0; i < recording->n_findings; i++) {
        const struct finding *finding = &recording->findings[i];
        if (!is_reason(finding) || causes_find(&reading->because, finding->code) != NULL) {
            continue;
        }
        struct cause *cause = causes_add(arena, &reading->because, finding->code);
        for (size_t k = 0; k < finding->n_numbers; k++) {
            cause_number(cause, finding->numbers[k].name, finding->numbers[k].value);
        }
        cause->text = words_finding(arena, finding);
    }
}

/* What a coach can do so that the next recording tells more.  A sensor that lost a few seconds
 * needs no remedy; one that made things up does. */
static void add_settle_by(struct arena *arena, const struct recording *recording, enum part power,
                          enum part heart, struct reading *reading)
{
    enum when { WHEN_FOUND, WHEN_POWER_LACKS, WHEN_HEART_LACKS };
    static const struct {
        const char *code;
        enum when when;
        const char *remedy;
    } remedies[] = {
        { "power-spike", WHEN_POWER_LACKS, "check-meter" },
        { "power-dropout", WHEN_POWER_LACKS, "check-meter" },
        { "power-stuck", WHEN_FOUND, "check-meter" },
        { "balance-drift", WHEN_FOUND, "check-meter" },
        { "heart-dropout", WHEN_HEART_LACKS, "check-strap" },
        { "heart-jump", WHEN_HEART_LACKS, "check-strap" },
        { "heart-low", WHEN_FOUND, "check-strap" },
        { "dry-strap", WHEN_FOUND, "wet-strap" },
        { "late-heart", WHEN_FOUND, "wear-strap" },
        { "heart-flat", WHEN_FOUND, "check-strap" },
        { "cadence-lock", WHEN_FOUND, "check-strap" },
        { "hot", WHEN_FOUND, "ride-cool" },
    };
    for (size_t i = 0; i < sizeof remedies / sizeof remedies[0]; i++) {
        const bool is_target =
            strcmp(remedies[i].code, "power-stuck") == 0 && is_trainers_target(recording);
        const char *remedy = is_target ? "measure-power" : remedies[i].remedy;
        const bool due = remedies[i].when == WHEN_FOUND ||
                         (remedies[i].when == WHEN_POWER_LACKS && power != PART_WHOLE) ||
                         (remedies[i].when == WHEN_HEART_LACKS && heart != PART_WHOLE);
        if (due && recording_finding(recording, remedies[i].code) != NULL &&
            causes_find(&reading->settle_by, remedy) == NULL) {
            causes_add(arena, &reading->settle_by, remedy);
        }
    }
    if (power == PART_NONE) {
        causes_add(arena, &reading->settle_by, "measure-power");
    }
    if (heart == PART_NONE) {
        causes_add(arena, &reading->settle_by, "wear-strap");
    }
}

/* The spans that were masked, as evidence. */
static void add_spans(struct arena *arena, const struct recording *recording,
                      struct reading *reading)
{
    reading->spans = ARENA_ARRAY(arena, struct span, recording->n_findings);
    for (size_t i = 0; i < recording->n_findings; i++) {
        const struct finding *finding = &recording->findings[i];
        if (finding->effect == EFFECT_MASKED && !finding->whole_ride) {
            reading->spans[reading->n_spans++] = finding->span;
        }
    }
}

static void add_flags(struct arena *arena, const struct rider_facts *facts, struct reading *reading)
{
    if (facts->heart_medicine) {
        causes_add(arena, &reading->because, "heart-medicine");
    }
    if (facts->pregnant) {
        causes_add(arena, &reading->because, "pregnant");
    }
}

/* What the roster knows of meter and sensor, where the recording doesn't say it by itself. */
static void add_equipment(struct arena *arena, const struct recording *recording,
                          const struct rider_facts *facts, struct reading *reading)
{
    const bool is_one_sided = facts->meter_sides == SIDES_LEFT || facts->meter_sides == SIDES_RIGHT;
    if (is_one_sided && recording->value[CHANNEL_POWER] != NULL &&
        causes_find(&reading->because, "one-sided") == NULL) {
        causes_add(arena, &reading->because,
                   facts->meter_sides == SIDES_LEFT ? "meter-left-only" : "meter-right-only");
    }
    if (facts->heart_at == HEART_AT_WRIST && recording->value[CHANNEL_HEART_RATE] != NULL) {
        causes_add(arena, &reading->because, "heart-at-wrist");
        causes_add(arena, &reading->settle_by, "wear-strap");
    }
}

/* ---- the reading ---- */

static void read_ride(struct arena *arena, const struct recording *recording,
                      const struct rider_facts *facts, const struct limits *limits,
                      struct reading *reading)
{
    /* the trainer's target is masked whole, so its coverage is nothing */
    const enum part power = part_left(recording, CHANNEL_POWER, reading, limits);
    const enum part heart = part_left(recording, CHANNEL_HEART_RATE, reading, limits);
    reading->verdict = judge(power, heart);
    add_part(arena, recording, CHANNEL_POWER, power_code(recording, power), &reading->because);
    add_part(arena, recording, CHANNEL_HEART_RATE, heart_code(facts, power, heart),
             &reading->because);
    add_irregular(arena, recording, reading, limits);
    add_above_max(arena, recording, facts, limits, reading);
    add_findings(arena, recording, reading);
    add_flags(arena, facts, reading);
    add_settle_by(arena, recording, power, heart, reading);
    add_equipment(arena, recording, facts, reading);
}

static void say(struct arena *arena, struct causes *causes)
{
    for (size_t i = 0; i < causes->count; i++) {
        if (causes->items[i].text == NULL) {
            causes->items[i].text = words_trust_cause(arena, &causes->items[i]);
        }
    }
}

void ride_trust_read(struct arena *arena, const struct recording *recording,
                     const struct rider_facts *facts, const struct limits *limits,
                     struct ride_readings *out)
{
    out->finding_texts = ARENA_ARRAY(arena, const char *, recording->n_findings);
    for (size_t i = 0; i < recording->n_findings; i++) {
        out->finding_texts[i] = words_finding(arena, &recording->findings[i]);
    }
    struct reading *reading = readings_add(arena, out, QUESTION_TRUST);
    if (!recording->is_ride) {
        struct cause *cause = causes_add(arena, &reading->cannot_because, "not-a-ride");
        cause->text = words_not_a_ride(arena, recording->sport);
    } else if ((double)recording->timer_s <
               reading_limit(reading, limits, LIMIT_TRUST_SHORTEST_S)) {
        struct cause *cause = causes_add(arena, &reading->cannot_because, "too-short");
        cause_number(cause, "seconds", (double)recording->timer_s);
    } else {
        read_ride(arena, recording, facts, limits, reading);
    }
    if (recording->is_ride) {
        cautions_find(arena, recording, facts, limits, &out->cautions);
    }
    add_spans(arena, recording, reading);
    say(arena, &reading->because);
    say(arena, &reading->cannot_because);
    say(arena, &reading->settle_by);
    say(arena, &out->cautions);
    reading->text = words_trust(arena, reading);
}
