/* coaching/safe.c: limits that nothing passes unseen. */
#include "coaching/safe.h"

#include "base/text.h"
#include "coaching/rider_cautions.h"
#include "coaching/session_library.h"
#include "coaching/words/caution_words.h"

#include <math.h>
#include <string.h>

struct found {
    struct safe_breach *out;
    size_t count;
};

enum safe {
    SAFE_SCREENING,
    SAFE_ILL,
    SAFE_PREGNANT,
    SAFE_HEART_MEDICINE,
    SAFE_UNDER_18,
    SAFE_FIRST_YEAR,
    SAFE_THRESHOLD,
    SAFE_VO2MAX,
    SAFE_ANAEROBIC,
    SAFE_HARD_GAP,
    SAFE_HARD_DAYS,
    SAFE_MAXIMAL,
    SAFES
};

const struct safe_limit safe_limits[SAFES] = {
    [SAFE_SCREENING] = { "screening", true },
    [SAFE_ILL] = { "ill", true },
    [SAFE_PREGNANT] = { "pregnant", true },
    [SAFE_HEART_MEDICINE] = { "heart-medicine", true },
    [SAFE_UNDER_18] = { "under-18", true },
    [SAFE_FIRST_YEAR] = { "first-year", true },
    [SAFE_THRESHOLD] = { "safe_threshold_s", false },
    [SAFE_VO2MAX] = { "safe_vo2max_s", false },
    [SAFE_ANAEROBIC] = { "safe_anaerobic_s", false },
    [SAFE_HARD_GAP] = { "safe_hard_gap_h", false },
    [SAFE_HARD_DAYS] = { "hard_days_week", false },
    [SAFE_MAXIMAL] = { "safe_maximal_days", false },
};
const size_t safe_limits_count = SAFES;
_Static_assert(SAFES <= SAFE_BREACHES, "each may be broken at once");

static void add(struct found *found, enum safe safe, const char *words)
{
    found->out[found->count++] =
        (struct safe_breach){ safe_limits[safe].name, safe_limits[safe].is_refused, words };
}

static bool is_test(const char *kind)
{
    return strcmp(kind, "test") == 0;
}

static bool asks_heart(struct arena *arena, const struct session *session)
{
    size_t count = 0;
    bool asks = false;
    const struct session_ridden *ridden = session_unroll(arena, session, &count);
    for (size_t i = 0; i < count; i++) {
        asks = asks || ridden[i].step->aim == AIM_BPM || ridden[i].step->aim == AIM_MAX_PCT;
    }
    return asks;
}

enum { THREE_MIN_S = 180, HOUR_S = 3600 };

/* An all-out step of just three minutes, or of an hour and more. */
static bool asks_all_out(struct arena *arena, const struct session *session, bool three, bool hour)
{
    size_t count = 0;
    bool asks = false;
    const struct session_ridden *ridden = session_unroll(arena, session, &count);
    for (size_t i = 0; i < count; i++) {
        const bool out = ridden[i].step->aim == AIM_ALL_OUT;
        asks = asks || (out && three && ridden[i].seconds == THREE_MIN_S) ||
               (out && hour && ridden[i].seconds >= HOUR_S);
    }
    return asks;
}

static void find_refusals(struct found *found, struct arena *arena, const struct safe_case *c,
                          const struct session_dose *dose, const struct limits *limits)
{
    const struct rider_facts *facts = c->facts;
    const bool maximal = dose->is_maximal || is_test(c->kind);
    const bool hard = dose->is_hard || maximal || session_kind_is_hard(c->kind);
    const bool minor = facts->age_y < ADULT_YEARS;
    const bool first = facts->training_y < limits->value[LIMIT_CAUTION_FIRST_YEARS];
    if (hard && !rider_cautions_allow_hard(facts)) {
        add(found, SAFE_SCREENING,
            words_rider_caution(facts->screened == SCREENED_YES ? RIDER_NOT_CLEARED
                                                                : RIDER_NOT_SCREENED));
    }
    if (hard && facts->day.ill) {
        add(found, SAFE_ILL,
            "Ill on that day: nothing hard, and no test, until well again; easy riding comes "
            "first.");
    }
    if (maximal && facts->pregnant) {
        add(found, SAFE_PREGNANT, words_rider_caution(RIDER_PREGNANT));
    }
    if (facts->heart_medicine && asks_heart(arena, c->session)) {
        add(found, SAFE_HEART_MEDICINE, words_rider_caution(RIDER_HEART_MEDICINE));
    }
    if (asks_all_out(arena, c->session, minor || first, minor)) {
        add(found, minor ? SAFE_UNDER_18 : SAFE_FIRST_YEAR,
            words_rider_caution(minor ? RIDER_UNDER_18 : RIDER_FIRST_YEAR));
    }
}

static void find_dose(struct found *found, struct arena *arena, const struct session_dose *dose,
                      const struct rider_facts *facts, const struct limits *limits)
{
    const struct {
        const char *what;
        int32_t seconds;
        enum limit_id limit;
        enum safe safe;
    } rows[] = {
        { "threshold work", dose->threshold_s, LIMIT_SAFE_THRESHOLD_S, SAFE_THRESHOLD },
        { "VO2max work", dose->vo2max_s, LIMIT_SAFE_VO2MAX_S, SAFE_VO2MAX },
        { "work above 120 %", dose->anaerobic_s, LIMIT_SAFE_ANAEROBIC_S, SAFE_ANAEROBIC },
    };
    /* Who isn't known to train for longer is held to a beginner's doses. */
    if (facts->training_y >= limits->value[LIMIT_SAFE_BEGINNER_YEARS]) {
        return;
    }
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (rows[i].seconds > limits->value[rows[i].limit]) {
            add(found, rows[i].safe,
                arena_format(arena, "%.0f min of %s: in the first year at most %.0f in a session.",
                             rows[i].seconds / 60.0, rows[i].what,
                             limits->value[rows[i].limit] / 60.0));
        }
    }
}

enum { WEEK_DAYS = 7, DAY_H = 24 };

/* The most hard days in any seven that hold the session's own, that one counted. */
static int hard_days_around(const struct safe_case *c)
{
    int most = 0;
    for (int64_t from = c->day - WEEK_DAYS + 1; from <= c->day; from++) {
        bool is_hard[WEEK_DAYS] = { false };
        int n = 0;
        is_hard[c->day - from] = true;
        for (size_t i = 0; i < c->n_days; i++) {
            if (c->days[i].is_hard && c->days[i].day >= from && c->days[i].day < from + WEEK_DAYS) {
                is_hard[c->days[i].day - from] = true;
            }
        }
        for (int d = 0; d < WEEK_DAYS; d++) {
            n += is_hard[d] ? 1 : 0;
        }
        most = n > most ? n : most;
    }
    return most;
}

static void find_spacing(struct found *found, struct arena *arena, const struct safe_case *c,
                         bool hard, bool maximal, const struct limits *limits)
{
    double nearest = (double)INFINITY; /* days to the nearest hard day */
    double test = (double)INFINITY;
    for (size_t i = 0; i < c->n_days; i++) {
        const double away = fabs((double)(c->days[i].day - c->day));
        nearest = c->days[i].is_hard ? fmin(nearest, away) : nearest;
        test = c->days[i].is_maximal ? fmin(test, away) : test;
    }
    if (hard && nearest * DAY_H < limits->value[LIMIT_SAFE_HARD_GAP_H]) {
        add(found, SAFE_HARD_GAP,
            arena_format(arena, "Another hard day lies %s: %.0f hours should lie between.",
                         nearest < 1 ? "on the same day" : "on the day before or after",
                         limits->value[LIMIT_SAFE_HARD_GAP_H]));
    }
    const int days = hard ? hard_days_around(c) : 0;
    if (days > limits->value[LIMIT_HARD_DAYS_WEEK] &&
        !(c->facts->training_y >= limits->value[LIMIT_SAFE_BEGINNER_YEARS])) {
        add(found, SAFE_HARD_DAYS,
            arena_format(arena, "%d hard days in seven: in the first year at most %.0f.", days,
                         limits->value[LIMIT_HARD_DAYS_WEEK]));
    }
    if (maximal && test < limits->value[LIMIT_SAFE_MAXIMAL_DAYS]) {
        add(found, SAFE_MAXIMAL,
            arena_format(arena, "Another maximal session lies %.0f days away: %.0f should.", test,
                         limits->value[LIMIT_SAFE_MAXIMAL_DAYS]));
    }
}

size_t safe_find(struct arena *arena, const struct safe_case *c, const struct limits *limits,
                 struct safe_breach out[SAFE_BREACHES])
{
    struct found found = { .out = out };
    const struct session_dose dose =
        session_dose_of(arena, c->session, c->facts->threshold_w, limits);
    const bool maximal = dose.is_maximal || is_test(c->kind);
    find_refusals(&found, arena, c, &dose, limits);
    if (!is_test(c->kind)) { /* a test ends by itself, and has its own limit */
        find_dose(&found, arena, &dose, c->facts, limits);
    }
    find_spacing(&found, arena, c, dose.is_hard || maximal || session_kind_is_hard(c->kind),
                 maximal, limits);
    return found.count;
}

struct safe_day safe_day_of(struct arena *arena, const struct session *session, const char *kind,
                            int64_t day, double threshold_w, const struct limits *limits)
{
    const struct session_dose dose = session_dose_of(arena, session, threshold_w, limits);
    const bool maximal = dose.is_maximal || is_test(kind);
    return (struct safe_day){ day, dose.is_hard || maximal || session_kind_is_hard(kind), maximal };
}
