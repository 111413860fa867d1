/* coaching/session_feel.c: how hard each part of a session feels. */
#include "coaching/session_feel.h"

#include <math.h>

const char *feel_talk_name(enum feel_talk talk)
{
    static const char *const names[TALKS] = {
        NULL, "freely", "sentences", "short-sentences", "few-words", "single-words", "none",
    };
    return names[talk];
}

/* ---- classes ---- */

enum { EFFORT_LEAST = 1 }; /* above "nothing at all" */

/* The most effort of a class; the class before it ends where it begins. */
static double most_of(enum feel_talk talk, const struct limits *limits)
{
    const double *value = limits->value;
    switch (talk) {
    case TALK_FREELY: return value[LIMIT_CARD_EFFORT_EASY];
    case TALK_SENTENCES: return value[LIMIT_CARD_EFFORT_BASE];
    case TALK_SHORT: return value[LIMIT_CARD_EFFORT_TEMPO];
    case TALK_FEW: return value[LIMIT_CARD_EFFORT_THRESHOLD];
    case TALK_SINGLE: return value[LIMIT_CARD_EFFORT_VO2MAX];
    case TALK_NOTHING: return SESSION_EFFORT_MOST;
    case TALK_UNKNOWN:
    case TALKS: break;
    }
    return (double)NAN;
}

static struct session_feel whole(enum feel_talk talk, const struct limits *limits)
{
    const double low = talk == TALK_FREELY    ? EFFORT_LEAST
                       : talk == TALK_UNKNOWN ? (double)NAN
                                              : most_of((enum feel_talk)(talk - 1), limits);
    return (struct session_feel){ low, most_of(talk, limits), talk, true };
}

/* As long as such efforts last at the least; what is easy or a sprint is so at once. */
static double comes_after_s(enum feel_talk talk, double pct, const struct limits *limits)
{
    const double *value = limits->value;
    switch (talk) {
    case TALK_SHORT: return value[LIMIT_KIND_TEMPO_SHORTEST_S];
    case TALK_FEW: return value[LIMIT_KIND_THRESHOLD_SHORTEST_S];
    case TALK_SINGLE: return value[LIMIT_KIND_VO2MAX_SHORTEST_S];
    case TALK_NOTHING:
        return pct > value[LIMIT_KIND_ANAEROBIC_HIGH_PCT] ? 0.0
                                                          : value[LIMIT_KIND_ANAEROBIC_SHORTEST_S];
    case TALK_UNKNOWN:
    case TALK_FREELY:
    case TALK_SENTENCES:
    case TALKS: break;
    }
    return 0.0;
}

static enum feel_talk class_of_share(double pct, const struct limits *limits)
{
    const double *value = limits->value;
    return isnan(pct)                                    ? TALK_UNKNOWN
           : pct < value[LIMIT_KIND_BASE_TEST_LOW_PCT]   ? TALK_FREELY
           : pct <= value[LIMIT_KIND_BASE_TEST_HIGH_PCT] ? TALK_SENTENCES
           : pct <= value[LIMIT_KIND_TEMPO_HIGH_PCT]     ? TALK_SHORT
           : pct <= value[LIMIT_KIND_THRESHOLD_HIGH_PCT] ? TALK_FEW
           : pct <= value[LIMIT_KIND_VO2MAX_HIGH_PCT]    ? TALK_SINGLE
                                                         : TALK_NOTHING;
}

static enum feel_talk class_of_heart(double max_pct, const struct limits *limits)
{
    return isnan(max_pct)                                         ? TALK_UNKNOWN
           : max_pct < limits->value[LIMIT_CARD_MODERATE_MAX_PCT] ? TALK_FREELY
           : max_pct < limits->value[LIMIT_CARD_VIGOROUS_MAX_PCT] ? TALK_SENTENCES
           : max_pct < limits->value[LIMIT_CARD_NEAR_MAX_PCT]     ? TALK_FEW
                                                                  : TALK_SINGLE;
}

static enum feel_talk class_of_effort(double effort, const struct limits *limits)
{
    enum feel_talk talk = TALK_FREELY;
    while (talk < TALK_NOTHING && effort > most_of(talk, limits)) {
        talk++;
    }
    return talk;
}

/* ---- one part, and what went before it ---- */

/* How far along the efforts of one block have come: 0 = just begun, 1 = as hard as it gets. */
struct block {
    double done;
    double lasted_s;
};

static double middle_of(const struct session_ridden *ridden)
{
    return 0.5 * ((double)ridden->low + (double)ridden->high);
}

/* What it comes to, however long it lasts. */
static enum feel_talk class_of(const struct session_ridden *ridden, double threshold_w,
                               double max_heart_bpm, const struct limits *limits)
{
    const double middle = middle_of(ridden);
    switch (ridden->step->aim) {
    case AIM_PCT:
    case AIM_W: return class_of_share(session_asked_pct(ridden, threshold_w), limits);
    case AIM_BPM: return class_of_heart(100.0 * middle / max_heart_bpm, limits);
    case AIM_MAX_PCT: return class_of_heart(middle, limits);
    case AIM_EFFORT: return class_of_effort(middle, limits);
    case AIM_ALL_OUT: return TALK_NOTHING;
    case AIM_FREE:
    case AIMS: break;
    }
    return TALK_UNKNOWN;
}

static struct session_feel feel_of(const struct session_ridden *ridden, enum feel_talk talk,
                                   double threshold_w, struct block *block,
                                   const struct limits *limits)
{
    const double pct = session_asked_pct(ridden, threshold_w);
    const double after_s = comes_after_s(talk, pct, limits);
    struct session_feel feel = whole(talk, limits);
    /* What ends with the button lasts as long as it takes. */
    const bool is_timed = !isnan(pct) && after_s > 0.0 && ridden->seconds > 0;
    block->done = is_timed ? block->done + ridden->seconds / after_s : 1.0;
    block->lasted_s += ridden->seconds;
    if (ridden->step->aim == AIM_EFFORT) {
        feel.low = ridden->low;
        feel.high = ridden->high;
    } else if (ridden->step->aim == AIM_ALL_OUT) {
        feel.low = SESSION_EFFORT_MOST;
    } else if (block->done < 1.0) {
        const struct session_feel from = whole(TALK_SENTENCES, limits);
        feel.low = from.low + block->done * (feel.low - from.low);
        feel.high = from.high + block->done * (feel.high - from.high);
        feel.talk = class_of_effort(feel.high, limits);
    }
    feel.talk_tells = ridden->seconds == 0 || block->lasted_s >= limits->value[LIMIT_CARD_TALK_S];
    return feel;
}

struct session_feel *session_feels(struct arena *arena, const struct session_ridden ridden[],
                                   size_t n, double threshold_w, double max_heart_bpm,
                                   const struct limits *limits)
{
    static const struct block NEW = { 0.0, 0.0 };
    struct session_feel *feels = ARENA_ARRAY(arena, struct session_feel, n + 1);
    struct block block = NEW;
    int32_t effort_s = 0; /* of the last effort */
    int32_t rest_s = 0;   /* since it */
    for (size_t i = 0; i < n; i++) {
        const enum feel_talk talk = class_of(&ridden[i], threshold_w, max_heart_bpm, limits);
        if (talk > TALK_SENTENCES) {
            block = rest_s > effort_s ? NEW : block;
            effort_s = rest_s == 0 ? effort_s + ridden[i].seconds : ridden[i].seconds;
            rest_s = 0;
            feels[i] = feel_of(&ridden[i], talk, threshold_w, &block, limits);
            continue;
        }
        struct block alone = NEW;
        feels[i] = feel_of(&ridden[i], talk, threshold_w, &alone, limits);
        /* A rest until the button is as long as it takes. */
        rest_s += ridden[i].seconds > 0 ? ridden[i].seconds : SESSION_SECONDS_MOST;
    }
    return feels;
}

struct session_feel session_feel_alone(const struct session_step *step, double threshold_w,
                                       double max_heart_bpm, const struct limits *limits)
{
    const int32_t low = step->rises ? step->high : step->low;
    const struct session_ridden ridden = {
        .step = step, .low = low, .high = step->high, .seconds = step->seconds
    };
    struct block block = { 0.0, 0.0 };
    return feel_of(&ridden, class_of(&ridden, threshold_w, max_heart_bpm, limits), threshold_w,
                   &block, limits);
}
