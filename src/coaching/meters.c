/* coaching/meters.c: do two power meters agree? */
#include "coaching/meters.h"

#include "coaching/words/meter_words.h"
#include "maths/distributions.h"

#include <math.h>

static const double NO_DIFFERENCE = 0.0;

static bool has_power(const struct recording *recording)
{
    const double covered = recording_coverage(recording, CHANNEL_POWER);
    return recording->value[CHANNEL_POWER] != NULL && covered > 0.0;
}

/* By the clocks, where both know the day; else they are taken to have begun together. */
static int32_t guess_lag(const struct recording *a, const struct recording *b)
{
    const int64_t most = INT32_MAX / 4;
    if (!a->has_start_utc || !b->has_start_utc) {
        return 0;
    }
    const int64_t lag = a->start_utc - b->start_utc;
    return (int32_t)(lag > most ? most : lag < -most ? -most : lag);
}

static double sd_of(const struct meter_offset *offset)
{
    return (log1p(offset->high / 100.0) - log1p(offset->low / 100.0)) / 2.0 /
           distributions_normal_quantile(0.95);
}

/* Beyond what the two halves leave open. */
static bool differs_by_power(const struct meter_check *check)
{
    const double step = log1p(check->hard.pct / 100.0) - log1p(check->gentle.pct / 100.0);
    const double sd = hypot(sd_of(&check->gentle), sd_of(&check->hard));
    return fabs(step) > distributions_normal_quantile(0.95) * sd;
}

static void add_halves(struct arena *arena, const struct meter_check *check,
                       const struct limits *limits, struct reading *reading)
{
    if (isnan(check->gentle.pct) || isnan(check->hard.pct)) {
        causes_add(arena, &reading->because, "no-halves");
        return;
    }
    const double least = reading_limit(reading, limits, LIMIT_METER_APART_RATIO);
    const bool apart = check->hard.mean_w >= least * check->gentle.mean_w;
    struct cause *cause = causes_add(arena, &reading->because,
                                     !apart                    ? "even-power"
                                     : differs_by_power(check) ? "by-power"
                                                               : "alike-by-power");
    cause_number(cause, "easy_w", check->gentle.mean_w);
    cause_number(cause, "easy_pct", check->gentle.pct);
    cause_number(cause, "easy_low_pct", check->gentle.low);
    cause_number(cause, "easy_high_pct", check->gentle.high);
    cause_number(cause, "hard_w", check->hard.mean_w);
    cause_number(cause, "hard_pct", check->hard.pct);
    cause_number(cause, "hard_low_pct", check->hard.low);
    cause_number(cause, "hard_high_pct", check->hard.high);
    if (!apart) {
        causes_add(arena, &reading->settle_by, "ride-easy-and-hard");
    }
}

static void cannot(struct arena *arena, const struct meter_check *check,
                   const struct limits *limits, struct reading *reading)
{
    struct cause *cause = NULL;
    switch (check->state) {
    case METER_CHECK_APART:
        cause = causes_add(arena, &reading->cannot_because, "too-short");
        cause_number(cause, "minutes", check->shared_min);
        cause_number(cause, "least", reading_limit(reading, limits, LIMIT_METER_BLOCKS));
        cause_number(cause, "watts", reading_limit(reading, limits, LIMIT_METER_LEAST_W));
        break;
    case METER_CHECK_EVEN:
        cause = causes_add(arena, &reading->cannot_because, "too-even");
        cause_number(cause, "spread_pct", check->spread_pct);
        cause_number(cause, "least_pct", reading_limit(reading, limits, LIMIT_METER_EVEN_PCT));
        break;
    case METER_CHECK_NO_MATCH:
    case METER_CHECK_KNOWN:
        cause = causes_add(arena, &reading->cannot_because, "not-one-ride");
        cause_number(cause, "correlation", check->correlation);
        cause_number(cause, "least", reading_limit(reading, limits, LIMIT_METER_CORRELATION));
        cause_number(cause, "lag_s", reading_limit(reading, limits, LIMIT_METER_LAG_S));
        break;
    }
    causes_add(arena, &reading->settle_by, "ride-with-both");
}

static void say(struct arena *arena, const struct meter_check *check, const struct limits *limits,
                struct reading *reading)
{
    const struct meter_offset *all = &check->all;
    reading->unit = "%";
    reading->estimate = all->pct;
    reading->low = all->any_day_low;
    reading->high = all->any_day_high;
    reading->limit_value = NO_DIFFERENCE;
    reading->limit_source = "no difference";
    /* Known no better than of two meters that were never compared: then it wasn't worth it. */
    const double open =
        100.0 * expm1(distributions_normal_quantile(0.95) * meter_link_unchecked_sd(limits));
    (void)reading_limit(reading, limits, LIMIT_METER_TRUENESS_PCT);
    (void)reading_limit(reading, limits, LIMIT_METER_PRECISION_PCT);
    if (reading->high - reading->low > 2.0 * open) {
        struct cause *cause = causes_add(arena, &reading->cannot_because, "too-uneven");
        cause_number(cause, "low_pct", reading->low);
        cause_number(cause, "high_pct", reading->high);
        cause_number(cause, "open_pct", open);
        causes_add(arena, &reading->settle_by, "ride-with-both");
        return;
    }
    reading->verdict =
        reading->low > 0.0 || reading->high < 0.0 ? VERDICT_DIFFER : VERDICT_NO_CLEAR_DIFFERENCE;
    struct cause *cause = causes_add(arena, &reading->because, "minutes-compared");
    cause_number(cause, "minutes", (double)all->minutes);
    cause_number(cause, "mean_w", all->mean_w);
    cause_number(cause, "correlation", check->correlation);
    cause_number(cause, "lag_s", check->lag_s);
    cause = causes_add(arena, &reading->because, "that-day");
    cause_number(cause, "low_pct", all->low);
    cause_number(cause, "high_pct", all->high);
    cause_number(cause, "precision_pct", limits->value[LIMIT_METER_PRECISION_PCT]);
    add_halves(arena, check, limits, reading);
    const struct meter_link link = meters_link(check, 1, 2, 0);
    const double half = distributions_normal_quantile(0.95) * meter_link_sd(&link, limits);
    if (meters_offset(check) != all) {
        cause = causes_add(arena, &reading->because, "for-bests");
        cause_number(cause, "pct", check->hard.pct);
        cause_number(cause, "low_pct", 100.0 * expm1(link.log_ratio - half));
        cause_number(cause, "high_pct", 100.0 * expm1(link.log_ratio + half));
    }
    causes_add(arena, &reading->because, "neither-is-right");
}

struct reading meters_read(struct arena *arena, const struct meters_ask *ask,
                           const struct limits *limits, struct meter_check *check)
{
    struct reading reading = reading_begin(QUESTION_METERS);
    const struct recording *a = ask->recordings[0];
    const struct recording *b = ask->recordings[1];
    *check = (struct meter_check){ .state = METER_CHECK_APART };
    if (ask->same_meter) {
        causes_add(arena, &reading.cannot_because, "one-meter");
        causes_add(arena, &reading.settle_by, "ride-with-both");
    } else if (!has_power(a) || !has_power(b)) {
        struct cause *cause = causes_add(arena, &reading.cannot_because, "no-power");
        cause_number(cause, "first", has_power(a) ? 0.0 : 1.0);
        cause_number(cause, "second", has_power(b) ? 0.0 : 1.0);
        causes_add(arena, &reading.settle_by, "ride-with-both");
    } else {
        *check = meter_check(arena, recording_series(arena, a, CHANNEL_POWER), a->n_seconds,
                             recording_series(arena, b, CHANNEL_POWER), b->n_seconds,
                             guess_lag(a, b), limits);
        if (check->state == METER_CHECK_KNOWN) {
            say(arena, check, limits, &reading);
        } else {
            cannot(arena, check, limits, &reading);
        }
    }
    words_meters_fill(arena, &reading);
    return reading;
}

const struct meter_offset *meters_offset(const struct meter_check *check)
{
    return isnan(check->hard.pct) ? &check->all : &check->hard;
}

struct meter_link meters_link(const struct meter_check *check, int64_t first, int64_t second,
                              int64_t day)
{
    const struct meter_offset *offset = meters_offset(check);
    return (struct meter_link){ .first = first,
                                .second = second,
                                .log_ratio = log1p(offset->pct / 100.0),
                                .day_sd = sd_of(offset),
                                .day = day,
                                .changed_day = INT64_MIN };
}
