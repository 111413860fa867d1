/* coaching/came_back.c: what came back of a session. */
#include "coaching/came_back.h"

#include "base/dates.h"
#include "coaching/came_align.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"
#include "coaching/words/came_words.h"

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

struct done {
    const struct recording *recording;
    const double *power_w;  /* [n] NULL = none came */
    const double *effort_w; /* the same, 0 while the timer stood */
    const double *smooth_w;
    const double *heart_bpm;
    double threshold_w;
    double scale_w;
    bool only_easy; /* no work was asked: then riding easier than asked is below */
    const struct limits *limits;
};

static double mean_of(const double x[], struct span span, double least_coverage)
{
    double sum = 0.0;
    double known = 0.0;
    for (int32_t t = span.from_s; x != NULL && t < span.to_s; t++) {
        if (!isnan(x[t])) {
            sum += x[t];
            known += 1.0;
        }
    }
    const double seconds = (double)(span.to_s - span.from_s);
    return known > 0.0 && known >= least_coverage * seconds ? sum / known : (double)NAN;
}

static void count_sides(const struct done *done, struct came_step *step)
{
    step->below_s = 0.0;
    step->in_s = 0.0;
    step->above_s = 0.0;
    for (int32_t t = step->span.from_s; t < step->span.to_s; t++) {
        const double w = done->smooth_w[t];
        step->below_s += w < step->low_w ? 1.0 : 0.0;
        step->above_s += w > step->high_w ? 1.0 : 0.0;
        step->in_s += w >= step->low_w && w <= step->high_w ? 1.0 : 0.0;
    }
}

static enum came_verdict verdict_of(const struct done *done, const struct came_step *step)
{
    const double *v = done->limits->value;
    const double slack = v[LIMIT_HARD_LINE_PCT] / 100.0;
    const double seconds = (double)(step->span.to_s - step->span.from_s);
    if (!(seconds > 0.0)) {
        return CAME_STEP_NOT_DONE;
    }
    if (isnan(step->mean_w)) {
        return CAME_STEP_UNKNOWN;
    }
    if (step->is_hard &&
        seconds + v[LIMIT_HARD_EDGE_S] < v[LIMIT_HARD_CUT_SHORT_RATIO] * (double)step->asked_s) {
        return CAME_STEP_SHORT;
    }
    if (isnan(step->low_w) || step->asked->aim == AIM_ALL_OUT) {
        return CAME_STEP_RIDDEN;
    }
    const bool from_below = step->is_hard || (done->only_easy && step->asked->role == ROLE_NONE);
    if (from_below && step->mean_w < step->low_w * (1.0 - slack)) {
        return CAME_STEP_BELOW;
    }
    return step->mean_w > step->high_w * (1.0 + slack) ? CAME_STEP_ABOVE : CAME_STEP_IN;
}

static void measure_step(const struct done *done, struct came_step *step)
{
    const double least = done->limits->value[LIMIT_REPS_COVERAGE];
    if (step->span.to_s > step->span.from_s) {
        step->mean_w = mean_of(done->power_w, step->span, least);
        step->pct = 100.0 * step->mean_w / done->threshold_w;
        step->heart_bpm = mean_of(done->heart_bpm, step->span, least);
        if (!isnan(step->low_w) && !isnan(step->mean_w)) {
            count_sides(done, step);
        }
    }
    step->verdict = verdict_of(done, step);
}

/* Hard riding that belongs to no step of work, or goes on when one should have ended. */
static double extra_hard(const struct done *done, const struct came_back *out)
{
    const double line_w = done->limits->value[LIMIT_SAFE_HARD_PCT] * done->scale_w / 100.0;
    double seconds = 0.0;
    size_t j = 0;
    for (int32_t t = 0; t < (int32_t)done->recording->n_seconds; t++) {
        while (j < out->n_steps && out->steps[j].span.to_s <= t) {
            j++;
        }
        const struct came_step *step = j < out->n_steps ? &out->steps[j] : NULL;
        const bool within = step != NULL && step->is_hard && t >= step->span.from_s &&
                            (step->asked_s == 0 || t < step->span.from_s + step->asked_s);
        seconds += !within && done->smooth_w[t] >= line_w ? 1.0 : 0.0;
    }
    return seconds;
}

/* What counts as the work of the session: its hard steps, or all where none is. */
static void count_work(const struct limits *limits, struct came_back *out, bool only_easy)
{
    const double least = limits->value[LIMIT_REPS_ASKED_POWER_LOW_RATIO];
    for (size_t j = 0; j < out->n_steps; j++) {
        const struct came_step *step = &out->steps[j];
        if (step->asked_s == 0 || (!only_easy && !step->is_hard)) {
            continue;
        }
        const double length = (double)(step->span.to_s - step->span.from_s);
        const bool tried =
            length > 0.0 && (only_easy || isnan(step->low_w) || step->asked->aim == AIM_ALL_OUT ||
                             isnan(step->mean_w) || step->mean_w >= least * step->low_w);
        out->n_hard++;
        out->asked_s += (double)step->asked_s;
        out->done_s += tried ? fmin(length, (double)step->asked_s) : 0.0;
        out->n_hard_done += tried && step->verdict != CAME_STEP_SHORT ? 1 : 0;
    }
}

/* With the timer stopped legs stand still; what is missing is not known. */
static double *effort_of(struct arena *arena, const struct recording *recording,
                         const double power_w[])
{
    double *effort_w = ARENA_ARRAY(arena, double, recording->n_seconds + 1);
    for (size_t t = 0; t < recording->n_seconds; t++) {
        effort_w[t] = recording->paused[t] ? 0.0 : power_w[t];
    }
    return effort_w;
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

static void lay_steps(struct arena *arena, struct done *done, struct came_back *out)
{
    struct came_want *wants = ARENA_ARRAY(arena, struct came_want, out->n_steps + 1);
    struct span *spans = ARENA_ARRAY(arena, struct span, out->n_steps + 1);
    for (size_t j = 0; j < out->n_steps; j++) {
        const struct came_step *step = &out->steps[j];
        wants[j] = (struct came_want){ step->asked_s, step->low_w, step->high_w, step->is_hard };
        done->only_easy = done->only_easy && !step->is_hard;
    }
    done->smooth_w =
        came_align_smooth(arena, wants, out->n_steps, done->effort_w, done->recording->n_seconds);
    (void)came_align(arena, wants, out->n_steps, done->effort_w, done->recording->n_seconds,
                     done->scale_w, done->limits, spans);
    for (size_t j = 0; j < out->n_steps; j++) {
        out->steps[j].span = spans[j];
        measure_step(done, &out->steps[j]);
    }
}

void came_back_compare(struct arena *arena, const struct session *session,
                       const struct came_ride *ride, const struct limits *limits,
                       struct came_back *out)
{
    *out = (struct came_back){ .ride = ride->ride,
                               .ride_day = ride->day,
                               .ride_s = (double)ride->recording->timer_s };
    take_steps(arena, session, ride->threshold_w, limits, out);
    const double scale_w = scale_of(ride, out);
    const double *power_w = recording_series(arena, ride->recording, CHANNEL_POWER);
    out->cannot = cannot_because(ride, out, power_w, scale_w, limits);
    if (out->cannot != NULL) {
        compare_time(ride, limits, out);
        return;
    }
    struct done done = { .recording = ride->recording,
                         .power_w = power_w,
                         .effort_w = effort_of(arena, ride->recording, power_w),
                         .heart_bpm = recording_series(arena, ride->recording, CHANNEL_HEART_RATE),
                         .threshold_w = ride->threshold_w,
                         .scale_w = scale_w,
                         .only_easy = true,
                         .limits = limits };
    lay_steps(arena, &done, out);
    count_work(limits, out, done.only_easy);
    out->extra_hard_s = extra_hard(&done, out);
    const double *v = limits->value;
    const double most =
        fmax(v[LIMIT_HARD_DAY_S], done.only_easy ? 0.0 : v[LIMIT_CAME_BACK_SHARE] * out->asked_s);
    out->outcome =
        out->done_s >= v[LIMIT_CAME_BACK_SHARE] * out->asked_s && out->extra_hard_s < most
            ? CAME_RIDDEN
            : CAME_CHANGED;
}

/* ---- which it was ---- */

/* Not much longer than the session: of a ride of another day, or a plan B, nothing else says that
 * it was meant. */
static bool is_as_long(const struct came_back *came, const struct limits *limits)
{
    return came->ride_s <= limits->value[LIMIT_CAME_BACK_TIME_HIGH_RATIO] * asked_seconds(came);
}

static bool is_better(const struct came_back *a, const struct came_back *b)
{
    const bool a_fits = a->outcome == CAME_RIDDEN;
    const bool b_fits = b->outcome == CAME_RIDDEN;
    return a_fits != b_fits ? a_fits : a->done_s > b->done_s;
}

/* The best ride of the session's own day; false = there is none. */
static bool of_its_day(struct arena *arena, const struct came_ask *ask, const struct limits *limits,
                       struct came_back *out, const struct came_ride **ride)
{
    *ride = NULL;
    for (size_t i = 0; i < ask->n_rides; i++) {
        struct came_back one;
        if (ask->rides[i].day != ask->day || ask->rides[i].is_taken) {
            continue;
        }
        came_back_compare(arena, ask->session, &ask->rides[i], limits, &one);
        if (*ride == NULL || is_better(&one, out)) {
            *out = one;
            *ride = &ask->rides[i];
        }
    }
    return *ride != NULL;
}

static bool is_plan_b(struct arena *arena, const struct came_ask *ask, const struct came_ride *ride,
                      const struct limits *limits, struct came_back *out)
{
    for (size_t i = 0; i < ask->session->n_lines; i++) {
        const struct session_line *line = &ask->session->lines[i];
        struct came_back one;
        if (line->kind != LINE_PLAN_B) {
            continue;
        }
        const struct session session = session_of_line(arena, line);
        came_back_compare(arena, &session, ride, limits, &one);
        if (one.outcome == CAME_RIDDEN && is_as_long(&one, limits)) {
            *out = one;
            out->outcome = CAME_CHANGED;
            out->plan_b = line;
            return true;
        }
    }
    return false;
}

/* What the ride looks like, by the library: the session of which most was ridden; NULL = none. */
static const char *looks_like(struct arena *arena, const struct came_ride *ride,
                              const struct limits *limits)
{
    const double least = limits->value[LIMIT_CAME_BACK_OTHER_SHARE];
    const char *best = NULL;
    double extra = (double)INFINITY;
    for (size_t i = 0; i < session_library_count; i++) {
        struct session session;
        struct session_fault fault = { 0 };
        struct came_back one;
        if (!session_read(arena, session_library[i].words, &session, &fault)) {
            continue;
        }
        came_back_compare(arena, &session, ride, limits, &one);
        const bool fits = one.outcome == CAME_RIDDEN && !one.by_time && is_as_long(&one, limits) &&
                          one.done_s >= least * one.asked_s;
        /* The least hard riding left over; ties: the first of the library. */
        if (fits && one.extra_hard_s < extra) {
            best = session_library[i].title;
            extra = one.extra_hard_s;
        }
    }
    return best;
}

/* The nearest day; ties: the day before, then the first ride of it. */
static bool was_moved(struct arena *arena, const struct came_ask *ask, const struct limits *limits,
                      struct came_back *out)
{
    const int64_t days = (int64_t)limits->value[LIMIT_CAME_BACK_DAYS];
    for (int64_t off = 1; off <= days; off++) {
        for (size_t i = 0; i < ask->n_rides; i++) {
            const struct came_ride *ride = &ask->rides[i];
            struct came_back one;
            if (llabs(ride->day - ask->day) != off || ride->is_taken || ride->day > ask->today) {
                continue;
            }
            came_back_compare(arena, ask->session, ride, limits, &one);
            /* By time alone any ride would do. */
            if (one.outcome == CAME_RIDDEN && !one.by_time && is_as_long(&one, limits)) {
                *out = one;
                out->outcome = CAME_MOVED;
                return true;
            }
        }
    }
    return false;
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
    const struct came_ride *ride = NULL;
    const bool has_ride = of_its_day(arena, ask, limits, out, &ride);
    if (has_ride && out->outcome == CAME_RIDDEN) {
        return;
    }
    struct came_back moved;
    if (ask->day < ask->today && was_moved(arena, ask, limits, &moved)) {
        *out = moved;
        return;
    }
    if (!has_ride) {
        nothing_came(arena, ask, limits, out);
    } else if (!is_plan_b(arena, ask, ride, limits, out)) {
        out->like = out->by_time ? NULL : looks_like(arena, ride, limits);
    }
}

void came_back_read(struct arena *arena, const struct came_ask *ask, const struct limits *limits,
                    struct came_back *out)
{
    find_outcome(arena, ask, limits, out);
    if (ask->said == CAME_SAID_DONE && out->outcome != CAME_RIDDEN && out->outcome != CAME_MOVED) {
        out->outcome = CAME_RIDDEN;
        out->by_word = true;
    }
    out->text = came_words(arena, ask, out, limits);
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
    json_bool(json, "plan_b", came->plan_b != NULL);
    json_string(json, "looks_like", came->like);
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

/* ---- over weeks ---- */

void came_counts_add(struct came_counts *counts, const struct came_back *came)
{
    counts->of[came->outcome]++;
    counts->given += came->outcome == CAME_NOT_YET ? 0 : 1;
}
