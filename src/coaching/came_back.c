/* coaching/came_back.c: what came back of a session. */
#include "coaching/came_back.h"

#include "base/dates.h"
#include "coaching/came_align.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"
#include "coaching/words/came_words.h"
#include "physiology/zones.h"

#include <math.h>
#include <stdlib.h>

static const char *const outcome_names[CAME_OUTCOMES] = {
    [CAME_NOT_YET] = "not-yet", [CAME_RIDDEN] = "ridden", [CAME_CHANGED] = "changed",
    [CAME_MOVED] = "moved",     [CAME_MISSED] = "missed",
};

static const char *const verdict_names[CAME_STEP_VERDICTS] = {
    [CAME_STEP_IN] = "in",
    [CAME_STEP_BELOW] = "below",
    [CAME_STEP_ABOVE] = "above",
    [CAME_STEP_SHORT] = "cut-short",
    [CAME_STEP_NOT_DONE] = "not-done",
    [CAME_STEP_RIDDEN] = "ridden",
    [CAME_STEP_UNKNOWN] = "cannot-tell",
};

const char *came_outcome_name(enum came_outcome outcome)
{
    return outcome_names[outcome];
}

const char *came_verdict_name(enum came_verdict verdict)
{
    return verdict_names[verdict];
}

/* ---- what was asked ---- */

/* The range of a step in watts; all out is whatever lies above the lower edge of hard riding, up to
 * anything. */
static void range_of(const struct session_ridden *ridden, double threshold_w,
                     const struct limits *limits, struct came_step *out)
{
    const double low = fmin(ridden->step->low, ridden->step->high);
    const double high = fmax(ridden->step->low, ridden->step->high);
    out->low_w = (double)NAN;
    out->high_w = (double)NAN;
    if (ridden->step->aim == AIM_W) {
        out->low_w = low;
        out->high_w = high;
    } else if (ridden->step->aim == AIM_PCT) {
        out->low_w = low * threshold_w / 100.0;
        out->high_w = high * threshold_w / 100.0;
    } else if (ridden->step->aim == AIM_ALL_OUT) {
        out->low_w = limits->value[LIMIT_SAFE_HARD_PCT] * threshold_w / 100.0;
        out->high_w = isnan(threshold_w) ? (double)NAN : (double)INFINITY;
    }
}

static bool is_hard_step(const struct came_step *step, double threshold_w,
                         const struct limits *limits)
{
    const struct session_step *asked = step->asked;
    const double line = limits->value[LIMIT_EASY_ASKED_PCT];
    switch (asked->aim) {
    case AIM_ALL_OUT: return true;
    case AIM_EFFORT: return asked->high >= limits->value[LIMIT_HARD_DAY_EFFORT];
    case AIM_PCT: return 0.5 * (asked->low + asked->high) > line;
    case AIM_W: return 50.0 * (step->low_w + step->high_w) > line * threshold_w;
    case AIM_FREE:
    case AIM_BPM:
    case AIM_MAX_PCT:
    case AIMS: break;
    }
    return false;
}

/* The steps as they are compared: what rises is one step over its whole range, and a button that
 * was never pressed is none. */
static void take_steps(struct arena *arena, const struct session *session, double threshold_w,
                       const struct limits *limits, struct came_back *out)
{
    size_t n = 0;
    int32_t rung_s = 0;
    const struct session_ridden *ridden = session_unroll(arena, session, &n);
    out->steps = ARENA_ARRAY(arena, struct came_step, n + 1);
    out->n_steps = 0;
    for (size_t i = 0; i < n; i++) {
        const bool goes_on = ridden[i].step->rises && rung_s > 0 && i > 0 &&
                             ridden[i].step == ridden[i - 1].step &&
                             rung_s < ridden[i].step->seconds;
        rung_s = (goes_on ? rung_s : 0) + ridden[i].seconds;
        if (goes_on) {
            continue;
        }
        const double none = (double)NAN;
        struct came_step *step = &out->steps[out->n_steps++];
        *step = (struct came_step){ .asked = ridden[i].step,
                                    .asked_s = ridden[i].step->seconds,
                                    .mean_w = none,
                                    .pct = none,
                                    .below_s = none,
                                    .in_s = none,
                                    .above_s = none,
                                    .heart_bpm = none,
                                    .verdict = CAME_STEP_UNKNOWN };
        range_of(&ridden[i], threshold_w, limits, step);
        step->is_hard = is_hard_step(step, threshold_w, limits);
    }
}

/* A session of a plan B alone. */
static struct session session_of_line(struct arena *arena, const struct session_line *line)
{
    struct session_line *block = ARENA_ARRAY(arena, struct session_line, 1);
    *block = *line;
    block->kind = LINE_BLOCK;
    return (struct session){ block, 1 };
}

/* ---- what was done ---- */

/* A ride as steps are laid along it: its seconds but for the longer part of each pause.  A rest may
 * have been a pause, so LIMIT_CAME_BACK_PAUSE_S of each stay, as standing still; a stop at a café
 * is no part of any step. */
struct done {
    size_t n;
    int32_t *at;       /* [n] second of the recording */
    bool *paused;      /* [n] */
    double *power_w;   /* [n] NAN = not known, or the timer stood */
    double *effort_w;  /* [n] the same, 0 while the timer stood */
    double *heart_bpm; /* [n] */
    const double *smooth_w;
    double threshold_w;
    double scale_w;
    const struct limits *limits;
};

static struct done done_of(struct arena *arena, const struct came_ride *ride,
                           const double power_w[], double scale_w, const struct limits *limits)
{
    const struct recording *recording = ride->recording;
    const size_t n = recording->n_seconds;
    const double *heart_bpm = recording_series(arena, recording, CHANNEL_HEART_RATE);
    struct done done = { .at = ARENA_ARRAY(arena, int32_t, n + 1),
                         .paused = ARENA_ARRAY(arena, bool, n + 1),
                         .power_w = ARENA_ARRAY(arena, double, n + 1),
                         .effort_w = ARENA_ARRAY(arena, double, n + 1),
                         .heart_bpm = ARENA_ARRAY(arena, double, n + 1),
                         .threshold_w = ride->threshold_w,
                         .scale_w = scale_w,
                         .limits = limits };
    double paused_s = 0.0;
    for (size_t t = 0; t < n; t++) {
        const bool paused = recording->paused[t] != 0;
        paused_s = paused ? paused_s + 1.0 : 0.0;
        if (paused_s > limits->value[LIMIT_CAME_BACK_PAUSE_S]) {
            continue;
        }
        const size_t k = done.n++;
        done.at[k] = (int32_t)t;
        done.paused[k] = paused;
        done.power_w[k] = paused ? (double)NAN : power_w[t];
        done.effort_w[k] = paused ? 0.0 : power_w[t];
        done.heart_bpm[k] = paused || heart_bpm == NULL ? (double)NAN : heart_bpm[t];
    }
    return done;
}

/* Of x over a span of `done`; NAN where too few of its seconds by the timer are known. */
static double mean_of(const double x[], struct span span, int32_t seconds, double least_coverage)
{
    double sum = 0.0;
    double known = 0.0;
    for (int32_t k = span.from_s; k < span.to_s; k++) {
        if (!isnan(x[k])) {
            sum += x[k];
            known += 1.0;
        }
    }
    return known > 0.0 && known >= least_coverage * (double)seconds ? sum / known : (double)NAN;
}

static void count_sides(const struct done *done, struct span span, struct came_step *step)
{
    step->below_s = 0.0;
    step->in_s = 0.0;
    step->above_s = 0.0;
    for (int32_t k = span.from_s; k < span.to_s; k++) {
        const double w = done->paused[k] ? (double)NAN : done->smooth_w[k];
        step->below_s += w < step->low_w ? 1.0 : 0.0;
        step->above_s += w > step->high_w ? 1.0 : 0.0;
        step->in_s += w >= step->low_w && w <= step->high_w ? 1.0 : 0.0;
    }
}

/* Whether easy riding left the zone it was asked in; a rest a few watts over its line is a rest. */
static bool is_in_zone(const struct came_step *step)
{
    const struct zones zones = zones_default();
    const double threshold_w = 100.0 * step->mean_w / step->pct;
    return !isnan(step->pct) && zones_of(&zones, step->mean_w, threshold_w) <=
                                    zones_of(&zones, step->high_w, threshold_w);
}

static enum came_verdict verdict_of(const struct came_step *step, bool only_easy,
                                    const struct limits *limits)
{
    const double *v = limits->value;
    const double slack = v[LIMIT_HARD_LINE_PCT] / 100.0;
    if (step->seconds == 0) {
        return CAME_STEP_NOT_DONE;
    }
    if (isnan(step->mean_w)) {
        return CAME_STEP_UNKNOWN;
    }
    if (step->is_hard && (double)step->seconds + v[LIMIT_HARD_EDGE_S] <
                             v[LIMIT_HARD_CUT_SHORT_RATIO] * (double)step->asked_s) {
        return CAME_STEP_SHORT;
    }
    if (isnan(step->low_w) || step->asked->aim == AIM_ALL_OUT) {
        return CAME_STEP_RIDDEN;
    }
    const bool from_below = step->is_hard || (only_easy && step->asked->role == ROLE_NONE);
    if (from_below && step->mean_w < step->low_w * (1.0 - slack)) {
        return CAME_STEP_BELOW;
    }
    const bool above = step->mean_w > step->high_w * (1.0 + slack);
    return above && (from_below || !is_in_zone(step)) ? CAME_STEP_ABOVE : CAME_STEP_IN;
}

/* span: of `done`. */
static void measure_step(const struct done *done, struct span span, bool only_easy,
                         struct came_step *step)
{
    const double least = done->limits->value[LIMIT_REPS_COVERAGE];
    for (int32_t k = span.from_s; k < span.to_s; k++) {
        step->seconds += done->paused[k] ? 0 : 1;
    }
    if (step->seconds > 0) {
        step->span = (struct span){ done->at[span.from_s], done->at[span.to_s - 1] + 1 };
        step->stopped_s = step->span.to_s - step->span.from_s - step->seconds;
        step->mean_w = mean_of(done->power_w, span, step->seconds, least);
        step->pct = 100.0 * step->mean_w / done->threshold_w;
        step->heart_bpm = mean_of(done->heart_bpm, span, step->seconds, least);
        if (!isnan(step->low_w) && !isnan(step->mean_w)) {
            count_sides(done, span, step);
        }
    }
    step->verdict = verdict_of(step, only_easy, done->limits);
}

/* Hard riding that belongs to no step of work, or goes on when one should have ended.
 *   spans  [n_steps] of `done` */
static double extra_hard(const struct done *done, const struct came_back *out,
                         const struct span spans[])
{
    const double line_w = done->limits->value[LIMIT_SAFE_HARD_PCT] * done->scale_w / 100.0;
    double seconds = 0.0;
    size_t j = 0;
    for (int32_t k = 0; k < (int32_t)done->n; k++) {
        while (j < out->n_steps && spans[j].to_s <= k) {
            j++;
        }
        const struct came_step *step = j < out->n_steps ? &out->steps[j] : NULL;
        const bool within = step != NULL && step->is_hard && k >= spans[j].from_s &&
                            (step->asked_s == 0 || k < spans[j].from_s + step->asked_s);
        seconds += !within && !done->paused[k] && done->smooth_w[k] >= line_w ? 1.0 : 0.0;
    }
    return seconds;
}

/* Ridden as what was asked, or tried: a step far below its range was not. */
static bool is_tried(const struct came_step *step, bool only_easy, const struct limits *limits)
{
    const double least = limits->value[LIMIT_REPS_ASKED_POWER_LOW_RATIO];
    return step->seconds > 0 &&
           (only_easy || isnan(step->low_w) || step->asked->aim == AIM_ALL_OUT ||
            isnan(step->mean_w) || step->mean_w >= least * step->low_w);
}

bool came_step_is_tried(const struct came_step *step, const struct limits *limits)
{
    return is_tried(step, false, limits);
}

/* What counts as the work of the session: its hard steps, or all where none is. */
static void count_work(const struct limits *limits, struct came_back *out)
{
    bool whole = false; /* the effort in hand */
    bool follows = false;
    for (size_t j = 0; j < out->n_steps; j++) {
        const struct came_step *step = &out->steps[j];
        if (step->asked_s == 0 || (!out->only_easy && !step->is_hard)) {
            follows = false;
            continue;
        }
        const bool tried = is_tried(step, out->only_easy, limits);
        const bool done = tried && step->verdict != CAME_STEP_SHORT;
        if (out->only_easy || !follows) {
            out->n_efforts++;
            whole = false;
        }
        /* Whole only with all its parts: counted with the first, taken back with one that isn't. */
        if (!follows || out->only_easy) {
            whole = done;
            out->n_whole += done ? 1 : 0;
        } else if (whole && !done) {
            whole = false;
            out->n_whole--;
        }
        follows = true;
        out->asked_s += (double)step->asked_s;
        out->done_s += tried ? fmin((double)step->seconds, (double)step->asked_s) : 0.0;
    }
}

static bool any_needs_threshold(const struct came_back *out)
{
    for (size_t j = 0; j < out->n_steps; j++) {
        if (out->steps[j].asked->aim == AIM_PCT || out->steps[j].asked->aim == AIM_ALL_OUT) {
            return true;
        }
    }
    return false;
}

/* What stands in for an unknown threshold: the hardest range asked in watts. */
static double scale_of(const struct came_ride *ride, const struct came_back *out)
{
    double scale = ride->threshold_w;
    for (size_t j = 0; isnan(ride->threshold_w) && j < out->n_steps; j++) {
        scale = fmax(scale, out->steps[j].low_w);
    }
    return scale;
}

/* Why power can't be laid beside the steps; NULL = it can. */
static const char *cannot_because(const struct came_ride *ride, const struct came_back *out,
                                  const double power_w[], double scale_w,
                                  const struct limits *limits)
{
    if (power_w == NULL) {
        return came_words_no_power();
    }
    if (!(recording_coverage(ride->recording, CHANNEL_POWER) >=
          limits->value[LIMIT_CAME_BACK_COVERAGE])) {
        return came_words_bad_power();
    }
    if (isnan(ride->threshold_w) && any_needs_threshold(out)) {
        return came_words_no_threshold();
    }
    return scale_w > 0.0 ? NULL : came_words_no_range();
}

static double asked_seconds(const struct came_back *came)
{
    double sum = 0.0;
    for (size_t j = 0; j < came->n_steps; j++) {
        sum += (double)came->steps[j].asked_s;
    }
    return sum;
}

/* By its time alone. */
static void compare_time(const struct came_ride *ride, const struct limits *limits,
                         struct came_back *out)
{
    const double *v = limits->value;
    const double asked_s = asked_seconds(out);
    out->by_time = true;
    out->asked_s = asked_s;
    out->done_s = fmin((double)ride->recording->timer_s, asked_s);
    out->outcome = out->ride_s >= v[LIMIT_CAME_BACK_TIME_LOW_RATIO] * asked_s &&
                           out->ride_s <= v[LIMIT_CAME_BACK_TIME_HIGH_RATIO] * asked_s
                       ? CAME_RIDDEN
                       : CAME_CHANGED;
}

/* From the first second of riding to the last. */
static struct span whole_ride(const struct done *done)
{
    struct span span = { 0, (int32_t)done->n };
    while (span.from_s < span.to_s && !(done->effort_w[span.from_s] > 0.0)) {
        span.from_s++;
    }
    while (span.to_s > span.from_s && !(done->effort_w[span.to_s - 1] > 0.0)) {
        span.to_s--;
    }
    return span;
}

static bool is_short(const struct came_step *step, struct span span, const struct limits *limits)
{
    return (double)(span.to_s - span.from_s) <
           limits->value[LIMIT_HARD_CUT_SHORT_RATIO] * (double)step->asked_s;
}

/* One effort laid as two, for want of the second: a rest that was ridden as hard as the work is
 * none.  Then the first has it all, and the second wasn't ridden. */
static void join_halves(const struct done *done, const struct came_back *out, struct span spans[])
{
    const double least = done->limits->value[LIMIT_REPS_ASKED_POWER_LOW_RATIO];
    size_t last = out->n_steps; /* the step of work before, where it was found */
    for (size_t j = 0; j < out->n_steps; j++) {
        if (!out->steps[j].is_hard || spans[j].to_s <= spans[j].from_s) {
            continue;
        }
        const struct span rest = { last < out->n_steps ? spans[last].to_s : 0, spans[j].from_s };
        const bool halves = last < out->n_steps && j > last + 1 && rest.to_s > rest.from_s &&
                            is_short(&out->steps[last], spans[last], done->limits) &&
                            is_short(&out->steps[j], spans[j], done->limits) &&
                            mean_of(done->effort_w, rest, rest.to_s - rest.from_s, 0.0) >=
                                least * out->steps[last].low_w;
        if (!halves) {
            last = j;
            continue;
        }
        spans[last].to_s = spans[j].to_s;
        for (size_t k = last + 1; k <= j; k++) {
            spans[k] = (struct span){ spans[last].to_s, spans[last].to_s };
        }
    }
}

/* Work that went on belongs to its effort: the programme, which counts every second more than was
 * asked, leaves it to no step. */
static void go_on(const struct done *done, const struct came_back *out, struct span spans[])
{
    const double *v = done->limits->value;
    int32_t before_s = 0; /* the end of the step before */
    for (size_t j = 0; j < out->n_steps; j++) {
        const struct came_step *step = &out->steps[j];
        struct span *span = &spans[j];
        if (span->to_s <= span->from_s) {
            continue;
        }
        int32_t next_s = (int32_t)done->n;
        for (size_t k = out->n_steps; k > j + 1; k--) {
            next_s = spans[k - 1].to_s > spans[k - 1].from_s ? spans[k - 1].from_s : next_s;
        }
        const double most = v[LIMIT_CAME_BACK_MOST_RATIO] * (double)step->asked_s;
        const double line_w = v[LIMIT_REPS_ASKED_POWER_LOW_RATIO] * step->low_w;
        const bool grows = step->is_hard && !isnan(step->low_w) && step->asked_s > 0;
        while (grows && span->from_s > before_s && (double)(span->to_s - span->from_s) < most &&
               done->smooth_w[span->from_s - 1] >= line_w) {
            span->from_s--;
        }
        while (grows && span->to_s < next_s && (double)(span->to_s - span->from_s) < most &&
               done->smooth_w[span->to_s] >= line_w) {
            span->to_s++;
        }
        before_s = span->to_s;
    }
}

/* Halfway between work as it was ridden and the rest beside it, as asked or as ridden. */
static double halfway(const struct done *done, const struct came_step *easy, struct span work,
                      struct span rest)
{
    const double work_w = mean_of(done->effort_w, work, work.to_s - work.from_s, 0.0);
    const double rest_w = mean_of(done->effort_w, rest, rest.to_s - rest.from_s, 0.0);
    return 0.5 * (work_w + fmax(rest_w, 0.5 * (easy->low_w + easy->high_w)));
}

/* Where between work and rest the one ends: on its side of the cut the most seconds lie beyond
 * halfway, on the other the fewest.  Seconds are counted, for roads make some of them nothing; the
 * time asked counts as it does where the steps are laid.
 *   short_s  seconds that the work lacks at the gap's start, or at its end where it comes second */
static int32_t cut_at(const struct done *done, double halfway_w, struct span gap, bool work_first,
                      int32_t short_s)
{
    const double time_cost = done->limits->value[LIMIT_CAME_BACK_TIME_COST];
    int32_t best = 0;
    double sum = 0.0;
    double most = 0.0;
    for (int32_t i = 0; i < gap.to_s - gap.from_s; i++) {
        const int32_t k = work_first ? gap.from_s + i : gap.to_s - 1 - i;
        if (!isnan(done->effort_w[k])) {
            sum += done->effort_w[k] >= halfway_w ? 1.0 : -1.0;
        }
        sum += i < short_s ? time_cost : -time_cost;
        if (sum > most) {
            most = sum;
            best = i + 1;
        }
    }
    return work_first ? gap.from_s + best : gap.to_s - best;
}

/* A step and the one that follows it, with what lies between. */
struct neighbours {
    const struct came_step *a;
    const struct came_step *b;
    struct span *span_a;
    struct span *span_b;
    struct span gap;
};

/* Both were ridden, one of them isn't work, and so little lies between that nothing else was. */
static bool is_shared(const struct neighbours *two, const struct limits *limits)
{
    const double most_s = limits->value[LIMIT_CAME_BACK_SHARE] *
                          fmax((double)two->a->asked_s, (double)two->b->asked_s);
    return two->span_a->to_s > two->span_a->from_s && two->span_b->to_s > two->span_b->from_s &&
           two->gap.to_s > two->gap.from_s && (double)(two->gap.to_s - two->gap.from_s) <= most_s &&
           !(two->a->is_hard && two->b->is_hard);
}

/* Where the gap is cut; of two easy steps the first has its time. */
static int32_t cut_of(const struct done *done, const struct neighbours *two)
{
    const struct span gap = two->gap;
    const int32_t asked_to_s = two->span_a->from_s + two->a->asked_s;
    if (!two->a->is_hard && !two->b->is_hard) {
        return asked_to_s < gap.from_s ? gap.from_s : asked_to_s > gap.to_s ? gap.to_s : asked_to_s;
    }
    const bool first = two->a->is_hard;
    const double halfway_w = first ? halfway(done, two->b, *two->span_a, *two->span_b)
                                   : halfway(done, two->a, *two->span_b, *two->span_a);
    const int32_t short_s =
        first ? asked_to_s - gap.from_s : gap.to_s - (two->span_b->to_s - two->b->asked_s);
    return isnan(halfway_w) ? gap.from_s : cut_at(done, halfway_w, gap, first, short_s);
}

static bool is_too_long(const struct came_step *step, int32_t seconds, const struct limits *limits)
{
    return step->is_hard &&
           (double)seconds > limits->value[LIMIT_CAME_BACK_MOST_RATIO] * (double)step->asked_s;
}

/* Seconds between two steps that follow each other are of the one or of the other, unless there are
 * so many that something else was ridden there: the programme leaves out what is cheaper so, such
 * as the end of an effort that sank, or a rest on a descent. */
static void settle_edges(const struct done *done, const struct came_back *out, struct span spans[])
{
    for (size_t j = 0; j + 1 < out->n_steps; j++) {
        struct neighbours two = { &out->steps[j],
                                  &out->steps[j + 1],
                                  &spans[j],
                                  &spans[j + 1],
                                  { spans[j].to_s, spans[j + 1].from_s } };
        if (!is_shared(&two, done->limits)) {
            continue;
        }
        const int32_t cut = cut_of(done, &two);
        if (!is_too_long(two.a, cut - spans[j].from_s, done->limits) &&
            !is_too_long(two.b, spans[j + 1].to_s - cut, done->limits)) {
            spans[j].to_s = cut;
            spans[j + 1].from_s = cut;
        }
    }
}

/* Who warms up before the device starts, or rolls home after it, has done no less work. */
static void open_ends(const struct came_back *out, struct came_want wants[])
{
    for (size_t j = 0; !out->only_easy && j < out->n_steps && !out->steps[j].is_hard; j++) {
        wants[j].is_open = true;
    }
    for (size_t j = out->n_steps; !out->only_easy && j > 0 && !out->steps[j - 1].is_hard; j--) {
        wants[j - 1].is_open = true;
    }
}

/* A warm-up of some seconds is none: that is how near an edge is known. */
static void drop_slivers(const struct came_back *out, const struct limits *limits,
                         const struct came_want wants[], struct span spans[])
{
    for (size_t j = 0; j < out->n_steps; j++) {
        const int32_t length = spans[j].to_s - spans[j].from_s;
        if (wants[j].is_open && (double)length <= 2.0 * limits->value[LIMIT_HARD_EDGE_S]) {
            spans[j].to_s = spans[j].from_s;
        }
    }
}

/* Returns the spans of `done`, [n_steps]. */
static const struct span *lay_steps(struct arena *arena, struct done *done, struct came_back *out)
{
    struct came_want *wants = ARENA_ARRAY(arena, struct came_want, out->n_steps + 1);
    struct span *spans = ARENA_ARRAY(arena, struct span, out->n_steps + 1);
    out->only_easy = true;
    for (size_t j = 0; j < out->n_steps; j++) {
        const struct came_step *step = &out->steps[j];
        wants[j] = (struct came_want){ .seconds = step->asked_s,
                                       .low_w = step->low_w,
                                       .high_w = step->high_w,
                                       .is_hard = step->is_hard };
        out->only_easy = out->only_easy && !step->is_hard;
    }
    open_ends(out, wants);
    done->smooth_w = came_align_smooth(arena, wants, out->n_steps, done->effort_w, done->n);
    if (out->n_steps == 1 && out->only_easy) {
        spans[0] = whole_ride(done);
    } else {
        (void)came_align(arena, wants, out->n_steps, done->effort_w, done->n, done->scale_w,
                         done->limits, spans);
        drop_slivers(out, done->limits, wants, spans);
        join_halves(done, out, spans);
        go_on(done, out, spans);
        settle_edges(done, out, spans);
    }
    for (size_t j = 0; j < out->n_steps; j++) {
        measure_step(done, spans[j], out->only_easy, &out->steps[j]);
    }
    return spans;
}

/* So much hard riding beside the work is another ride. */
static double most_extra(const struct came_back *came, const struct limits *limits)
{
    const double *v = limits->value;
    return fmax(v[LIMIT_HARD_DAY_S],
                came->only_easy ? 0.0 : v[LIMIT_CAME_BACK_SHARE] * came->asked_s);
}

static void compare_power(struct arena *scratch, const struct came_ride *ride,
                          const double power_w[], double scale_w, const struct limits *limits,
                          struct came_back *out)
{
    struct done done = done_of(scratch, ride, power_w, scale_w, limits);
    const struct span *spans = lay_steps(scratch, &done, out);
    count_work(limits, out);
    out->extra_hard_s = extra_hard(&done, out, spans);
    /* Half of the efforts are half, though each edge is known to some seconds only. */
    const double slack_s = limits->value[LIMIT_HARD_EDGE_S] * (double)out->n_efforts;
    out->outcome = out->done_s + slack_s >= limits->value[LIMIT_CAME_BACK_SHARE] * out->asked_s &&
                           out->extra_hard_s < most_extra(out, limits)
                       ? CAME_RIDDEN
                       : CAME_CHANGED;
}

void came_back_compare(struct arena *arena, const struct session *session,
                       const struct came_ride *ride, const struct limits *limits,
                       struct came_back *out)
{
    /* The programme's tables are far larger than what is kept of them. */
    struct arena *scratch = arena_open();
    *out = (struct came_back){ .ride = ride->ride,
                               .ride_day = ride->day,
                               .ride_s = (double)ride->recording->timer_s };
    take_steps(arena, session, ride->threshold_w, limits, out);
    const double scale_w = scale_of(ride, out);
    const double *power_w = recording_series(scratch, ride->recording, CHANNEL_POWER);
    out->cannot = cannot_because(ride, out, power_w, scale_w, limits);
    if (out->cannot != NULL) {
        compare_time(ride, limits, out);
    } else {
        compare_power(scratch, ride, power_w, scale_w, limits, out);
    }
    arena_close(scratch);
}

/* ---- which it was ---- */

/* Not much longer than the session: of a ride of another day, or a plan B, nothing else says that
 * it was meant. */
static bool is_as_long(const struct came_back *came, const struct limits *limits)
{
    return came->ride_s <= limits->value[LIMIT_CAME_BACK_TIME_HIGH_RATIO] * asked_seconds(came);
}

bool came_back_may_be_moved(const struct came_back *came, const struct limits *limits)
{
    /* Of an easy ride nothing but its time says that it was meant. */
    const double least =
        came->only_easy ? limits->value[LIMIT_CAME_BACK_TIME_LOW_RATIO] * came->asked_s : 0.0;
    return came->outcome == CAME_RIDDEN && !came->by_time && is_as_long(came, limits) &&
           came->done_s >= least;
}

static bool is_plan_b(struct arena *arena, const struct came_ask *ask, const struct limits *limits,
                      struct came_back *out)
{
    for (size_t i = 0; i < ask->session->n_lines; i++) {
        const struct session_line *line = &ask->session->lines[i];
        struct came_back one;
        if (line->kind != LINE_PLAN_B) {
            continue;
        }
        const struct session session = session_of_line(arena, line);
        came_back_compare(arena, &session, ask->own, limits, &one);
        if (one.outcome == CAME_RIDDEN && is_as_long(&one, limits)) {
            *out = one;
            out->outcome = CAME_CHANGED;
            out->plan_b = line;
            return true;
        }
    }
    return false;
}

/* A ride before any session is laid along it. */
struct looks {
    const struct came_ride *ride;
    struct done done;
    size_t n;        /* seconds with power */
    double *most_ws; /* [n + 1] sum of its k hardest seconds */
};

static int hardest_first(const void *a, const void *b)
{
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x < y) - (x > y);
}

static struct looks looks_of(struct arena *arena, const struct came_ride *ride,
                             const struct limits *limits)
{
    const double *power_w = recording_series(arena, ride->recording, CHANNEL_POWER);
    struct looks looks = { ride, done_of(arena, ride, power_w, ride->threshold_w, limits), 0,
                           NULL };
    double *sorted_w = ARENA_ARRAY(arena, double, looks.done.n + 1);
    for (size_t k = 0; k < looks.done.n; k++) {
        if (!isnan(looks.done.power_w[k])) {
            sorted_w[looks.n++] = looks.done.power_w[k];
        }
    }
    qsort(sorted_w, looks.n, sizeof sorted_w[0], hardest_first);
    looks.most_ws = ARENA_ARRAY(arena, double, looks.n + 1);
    for (size_t k = 0; k < looks.n; k++) {
        looks.most_ws[k + 1] = looks.most_ws[k] + sorted_w[k];
    }
    return looks;
}

/* The least hard riding that any way to lay the session leaves beside its steps. */
static double least_extra(struct arena *arena, const struct looks *looks,
                          const struct came_back *asked, double work_s)
{
    const struct done *done = &looks->done;
    const double line_w = done->limits->value[LIMIT_SAFE_HARD_PCT] * done->scale_w / 100.0;
    struct came_want *wants = ARENA_ARRAY(arena, struct came_want, asked->n_steps + 1);
    double hard_s = 0.0;
    for (size_t j = 0; j < asked->n_steps; j++) {
        wants[j].seconds = asked->steps[j].asked_s;
    }
    const double *smooth_w =
        came_align_smooth(arena, wants, asked->n_steps, done->effort_w, done->n);
    for (size_t k = 0; k < done->n; k++) {
        hard_s += !done->paused[k] && smooth_w[k] >= line_w ? 1.0 : 0.0;
    }
    return hard_s - work_s;
}

/* False: however the session is laid along the ride, it can't fit.  Of a ride that isn't what was
 * asked that leaves two or three of the library's sessions to be laid along it. */
static bool may_be_like(struct arena *arena, const struct looks *looks,
                        const struct session *session)
{
    const struct limits *limits = looks->done.limits;
    const double *v = limits->value;
    struct came_back asked = { .ride_s = (double)looks->ride->recording->timer_s,
                               .only_easy = true };
    bool is_open = false; /* work until the button: it may take up any hard riding */
    double all_s = 0.0;
    double work_s = 0.0;
    double low_w = (double)INFINITY; /* of its easiest work */
    take_steps(arena, session, looks->ride->threshold_w, limits, &asked);
    for (size_t j = 0; j < asked.n_steps; j++) {
        const struct came_step *step = &asked.steps[j];
        const bool is_bound = step->asked->aim != AIM_ALL_OUT && step->low_w > 0.0;
        all_s += (double)step->asked_s;
        if (step->is_hard) {
            asked.only_easy = false;
            is_open = is_open || step->asked_s == 0;
            work_s += (double)step->asked_s;
            low_w = fmin(low_w, is_bound ? step->low_w : 0.0);
        }
    }
    const double least = v[LIMIT_CAME_BACK_OTHER_SHARE];
    asked.asked_s = asked.only_easy ? all_s : work_s;
    if (!is_as_long(&asked, limits) || asked.ride_s < least * asked.asked_s ||
        (!is_open && least_extra(arena, looks, &asked, work_s) >= most_extra(&asked, limits))) {
        return false;
    }
    /* Its work is as hard as the hardest seconds of the ride, at most. */
    const double need_s = least * v[LIMIT_REPS_COVERAGE] * work_s;
    const size_t k = (size_t)fmin(floor(need_s), (double)looks->n);
    return looks->most_ws[k] >= v[LIMIT_REPS_ASKED_POWER_LOW_RATIO] * fmin(low_w, 1e6) * (double)k;
}

/* Whether the ride is the session, or most of it; *extra: hard riding left over. */
static bool is_like(struct arena *arena, const struct looks *looks, const struct session *session,
                    const struct limits *limits, double *extra)
{
    struct came_back one;
    if (!may_be_like(arena, looks, session)) {
        return false;
    }
    came_back_compare(arena, session, looks->ride, limits, &one);
    *extra = one.extra_hard_s;
    return came_back_may_be_moved(&one, limits) &&
           one.done_s >= limits->value[LIMIT_CAME_BACK_OTHER_SHARE] * one.asked_s;
}

/* What the ride looks like, by the library: the session of which most was ridden; NULL = none. */
static const char *looks_like(const struct came_ride *ride, const struct limits *limits)
{
    struct arena *scratch = arena_open();
    const struct looks looks = looks_of(scratch, ride, limits);
    const char *best = NULL;
    double least = (double)INFINITY;
    for (size_t i = 0; i < session_library_count; i++) {
        struct session session;
        struct session_fault fault = { 0 };
        double extra = 0.0;
        if (session_read(scratch, session_library[i].words, &session, &fault) &&
            is_like(scratch, &looks, &session, limits, &extra) && extra < least) {
            /* The least hard riding left over; ties: the first of the library. */
            best = session_library[i].title;
            least = extra;
        }
    }
    arena_close(scratch);
    return best;
}

static void nothing_came(struct arena *arena, const struct came_ask *ask,
                         const struct limits *limits, struct came_back *out)
{
    *out = (struct came_back){ .outcome = ask->day < ask->today ? CAME_MISSED : CAME_NOT_YET,
                               .ride_s = (double)NAN };
    take_steps(arena, ask->session, (double)NAN, limits, out);
    for (size_t j = 0; j < out->n_steps; j++) {
        out->steps[j].verdict =
            out->outcome == CAME_MISSED ? CAME_STEP_NOT_DONE : CAME_STEP_UNKNOWN;
    }
}

static void find_outcome(struct arena *arena, const struct came_ask *ask,
                         const struct limits *limits, struct came_back *out)
{
    if (ask->own != NULL && ask->as_own->outcome == CAME_RIDDEN) {
        *out = *ask->as_own;
    } else if (ask->as_moved != NULL) {
        *out = *ask->as_moved;
        out->outcome = CAME_MOVED;
    } else if (ask->own == NULL) {
        nothing_came(arena, ask, limits, out);
    } else if (!is_plan_b(arena, ask, limits, out)) {
        *out = *ask->as_own;
        out->ride_is_of = ask->own_is_of;
        out->like = out->by_time ? NULL : looks_like(ask->own, limits);
    }
}

void came_back_tell(struct arena *arena, const struct came_ask *ask, const struct limits *limits,
                    struct came_back *out)
{
    find_outcome(arena, ask, limits, out);
    if (ask->said_done && out->outcome != CAME_RIDDEN && out->outcome != CAME_MOVED) {
        out->outcome = CAME_RIDDEN;
        out->by_word = true;
    }
    out->text = came_words(arena, ask->day, out, limits);
}

/* ---- JSON ---- */

static void step_json(struct arena *arena, struct json *json, const struct came_step *step)
{
    struct text asked = text_begin(arena, SESSION_BYTES_MOST);
    const bool done = step->span.to_s > step->span.from_s;
    session_write_step(&asked, step->asked);
    json_begin_object(json, NULL);
    json_string(json, "asked", asked.bytes);
    json_integer(json, "asked_s", step->asked_s);
    json_number(json, "low_w", step->low_w, 1);
    json_number(json, "high_w", step->high_w, 1);
    json_bool(json, "is_work", step->is_hard);
    if (done) {
        json_integer(json, "from_s", step->span.from_s);
        json_integer(json, "to_s", step->span.to_s);
    } else {
        json_null(json, "from_s");
        json_null(json, "to_s");
    }
    json_integer(json, "seconds", step->seconds);
    json_integer(json, "stopped_s", step->stopped_s);
    json_number(json, "mean_w", step->mean_w, 1);
    json_number(json, "pct_of_threshold", step->pct, 1);
    json_number(json, "below_s", step->below_s, 0);
    json_number(json, "in_s", step->in_s, 0);
    json_number(json, "above_s", step->above_s, 0);
    json_number(json, "heart_bpm", step->heart_bpm, 1);
    json_string(json, "verdict", came_verdict_name(step->verdict));
    json_string(json, "text", came_words_step(arena, step));
    json_end_object(json);
}

void came_back_json(struct arena *arena, struct json *json, const char *key,
                    const struct came_back *came)
{
    json_begin_object(json, key);
    json_string(json, "outcome", came_outcome_name(came->outcome));
    json_bool(json, "by_word", came->by_word);
    json_bool(json, "by_time", came->by_time);
    json_string(json, "cannot_because", came->cannot);
    if (came->ride != 0) {
        json_integer(json, "ride", came->ride);
        char day[11];
        dates_format_day(came->ride_day, day);
        json_string(json, "ride_day", day);
    } else {
        json_null(json, "ride");
        json_null(json, "ride_day");
    }
    char is_of[11];
    dates_format_day(came->ride_is_of, is_of);
    json_string(json, "ride_is_session_of", came->ride_is_of == 0 ? NULL : is_of);
    json_bool(json, "plan_b", came->plan_b != NULL);
    json_string(json, "looks_like", came->like);
    json_integer(json, "efforts", (int64_t)came->n_efforts);
    json_integer(json, "efforts_whole", (int64_t)came->n_whole);
    json_number(json, "asked_s", came->asked_s, 0);
    json_number(json, "done_s", came->done_s, 0);
    json_number(json, "ride_s", came->ride_s, 0);
    json_number(json, "extra_hard_s", came->extra_hard_s, 0);
    json_string(json, "text", came->text);
    json_begin_array(json, "steps");
    for (size_t j = 0; j < came->n_steps; j++) {
        step_json(arena, json, &came->steps[j]);
    }
    json_end_array(json);
    json_end_object(json);
}

void came_line_json(struct json *json, const char *key, const struct came_line *line)
{
    json_begin_object(json, key);
    json_integer(json, "session", line->session);
    json_string(json, "day", line->day);
    json_string(json, "name", line->name);
    json_string(json, "outcome", came_outcome_name(line->came->outcome));
    if (line->came->ride != 0) {
        json_integer(json, "ride", line->came->ride);
    } else {
        json_null(json, "ride");
    }
    json_string(json, "text", came_words_line(json->out->arena, line));
    json_end_object(json);
}

/* ---- over weeks ---- */

void came_counts_add(struct came_counts *counts, const struct came_back *came)
{
    counts->of[came->outcome]++;
    counts->given += came->outcome == CAME_NOT_YET ? 0 : 1;
}
