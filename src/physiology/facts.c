/* physiology/facts.c: what was true of the rider on the day, and what was asked. */
#include "physiology/facts.h"

#include <string.h>

/* As on the command line and in JSON; the ranges are rows of limits/rows.def. */
static const char *const kind_names[KIND_COUNT] = {
    [KIND_UNKNOWN] = "unknown",
    [KIND_EASY] = "easy",
    [KIND_BASE_TEST] = "base-test",
    [KIND_TEMPO] = "tempo",
    [KIND_SWEET_SPOT] = "sweet-spot",
    [KIND_THRESHOLD] = "threshold",
    [KIND_OVER_UNDERS] = "over-unders",
    [KIND_VO2MAX] = "vo2max",
    [KIND_SHORT_VO2MAX] = "short-vo2max",
    [KIND_ANAEROBIC] = "anaerobic",
    [KIND_SPRINT] = "sprint",
};

const char *work_kind_name(enum work_kind kind)
{
    return kind_names[kind];
}

bool work_kind_find(const char *name, enum work_kind *kind)
{
    for (size_t i = KIND_UNKNOWN + 1; i < KIND_COUNT; i++) {
        if (strcmp(kind_names[i], name) == 0) {
            *kind = (enum work_kind)i;
            return true;
        }
    }
    return false;
}

struct kind_range work_kind_range(enum work_kind kind, const struct limits *limits)
{
    const double *v = limits->value;
    const double none = (double)NAN;
    switch (kind) {
    case KIND_EASY: return (struct kind_range){ 0, v[LIMIT_KIND_EASY_HIGH_PCT], none, none };
    case KIND_BASE_TEST:
        return (struct kind_range){ v[LIMIT_KIND_BASE_TEST_LOW_PCT],
                                    v[LIMIT_KIND_BASE_TEST_HIGH_PCT], none, none };
    case KIND_TEMPO:
        return (struct kind_range){ v[LIMIT_KIND_TEMPO_LOW_PCT], v[LIMIT_KIND_TEMPO_HIGH_PCT],
                                    v[LIMIT_KIND_TEMPO_SHORTEST_S], v[LIMIT_KIND_TEMPO_LONGEST_S] };
    case KIND_SWEET_SPOT:
        return (struct kind_range){ v[LIMIT_KIND_SWEET_SPOT_LOW_PCT],
                                    v[LIMIT_KIND_SWEET_SPOT_HIGH_PCT],
                                    v[LIMIT_KIND_SWEET_SPOT_SHORTEST_S],
                                    v[LIMIT_KIND_SWEET_SPOT_LONGEST_S] };
    case KIND_THRESHOLD:
        return (struct kind_range){ v[LIMIT_KIND_THRESHOLD_LOW_PCT],
                                    v[LIMIT_KIND_THRESHOLD_HIGH_PCT],
                                    v[LIMIT_KIND_THRESHOLD_SHORTEST_S],
                                    v[LIMIT_KIND_THRESHOLD_LONGEST_S] };
    case KIND_OVER_UNDERS:
        return (struct kind_range){ v[LIMIT_KIND_OVER_UNDERS_LOW_PCT],
                                    v[LIMIT_KIND_OVER_UNDERS_HIGH_PCT],
                                    v[LIMIT_KIND_OVER_UNDERS_SHORTEST_S],
                                    v[LIMIT_KIND_OVER_UNDERS_LONGEST_S] };
    case KIND_VO2MAX:
        return (struct kind_range){ v[LIMIT_KIND_VO2MAX_LOW_PCT], v[LIMIT_KIND_VO2MAX_HIGH_PCT],
                                    v[LIMIT_KIND_VO2MAX_SHORTEST_S],
                                    v[LIMIT_KIND_VO2MAX_LONGEST_S] };
    case KIND_SHORT_VO2MAX:
        return (struct kind_range){ v[LIMIT_KIND_SHORT_VO2MAX_LOW_PCT],
                                    v[LIMIT_KIND_SHORT_VO2MAX_HIGH_PCT],
                                    v[LIMIT_KIND_SHORT_VO2MAX_SHORTEST_S],
                                    v[LIMIT_KIND_SHORT_VO2MAX_LONGEST_S] };
    case KIND_ANAEROBIC:
        return (struct kind_range){ v[LIMIT_KIND_ANAEROBIC_LOW_PCT],
                                    v[LIMIT_KIND_ANAEROBIC_HIGH_PCT],
                                    v[LIMIT_KIND_ANAEROBIC_SHORTEST_S],
                                    v[LIMIT_KIND_ANAEROBIC_LONGEST_S] };
    case KIND_SPRINT:
        return (struct kind_range){ v[LIMIT_KIND_SPRINT_LOW_PCT], (double)INFINITY, 0,
                                    v[LIMIT_KIND_SPRINT_LONGEST_S] };
    case KIND_UNKNOWN:
    case KIND_COUNT: break;
    }
    return (struct kind_range){ none, none, none, none };
}

struct rider_facts facts_unknown(void)
{
    const double unknown = (double)NAN;
    return (struct rider_facts){
        .threshold_w = unknown,
        .threshold_low_w = unknown,
        .threshold_high_w = unknown,
        .max_heart_rate_bpm = unknown,
        .rest_heart_rate_bpm = unknown,
        .weight_kg = unknown,
        .age_y = unknown,
        .training_y = unknown,
        .screened_days = unknown,
        .zones = zones_default(),
        .place = PLACE_UNKNOWN,
        .kind = KIND_UNKNOWN,
        .target = { unknown, unknown, unknown, unknown },
        .effort_0_10 = (double)NAN,
        .rep_duration_s = unknown,
    };
}

/* Takes a range of which at least one end is known; the other end is open. */
static bool take_range(double low, double high, double *low_out, double *high_out)
{
    if (isnan(low) && isnan(high)) {
        return false;
    }
    *low_out = isnan(low) ? 0.0 : low;
    *high_out = isnan(high) ? (double)INFINITY : high;
    return true;
}

bool facts_asked_easy(const struct rider_facts *facts, const struct limits *limits)
{
    const double most_pct = limits->value[LIMIT_EASY_ASKED_PCT];
    if (facts->kind != KIND_UNKNOWN) {
        return facts->kind == KIND_EASY || facts->kind == KIND_BASE_TEST;
    }
    return facts->target.high_pct <= most_pct ||
           facts->target.high_w <= facts->threshold_w * most_pct / 100.0;
}

bool facts_target_w(const struct rider_facts *facts, const struct limits *limits, double *low_w,
                    double *high_w)
{
    const struct target *asked = &facts->target;
    const struct kind_range kind = work_kind_range(facts->kind, limits);
    *low_w = (double)NAN;
    *high_w = (double)NAN;
    if (take_range(asked->low_w, asked->high_w, low_w, high_w)) {
        return true;
    }
    if (!isnan(facts->threshold_w) && (take_range(asked->low_pct, asked->high_pct, low_w, high_w) ||
                                       take_range(kind.low_pct, kind.high_pct, low_w, high_w))) {
        /* Divided last: 106 % of 250 W is 265 W exactly. */
        *low_w = *low_w * facts->threshold_w / 100.0;
        *high_w = *high_w * facts->threshold_w / 100.0;
        return true;
    }
    return false;
}

bool facts_read_heart(const struct rider_facts *facts)
{
    return !facts->heart_medicine && !facts->pregnant;
}
