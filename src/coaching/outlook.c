/* coaching/outlook.c: what a session will bring, and whether it can be ridden as asked. */
#include "coaching/outlook.h"

#include "coaching/words/outlook_words.h"

#include <math.h>
#include <string.h>

const char *outlook_verdict_name(enum outlook_verdict verdict)
{
    static const char *const names[] = { "unknown", "none-hard",  "within",
                                         "may-not", "likely-not", "rises" };
    return names[verdict];
}

const char *outlook_heart_name(enum outlook_heart heart)
{
    static const char *const names[] = { "told", "withheld", "no-response", "no-power" };
    return names[heart];
}

/* ---- efforts ---- */

struct run {
    struct span span;
    double work_j;
    bool is_open; /* what comes next may still belong to it */
};

/* Ridden as work: not a warm-up, a rest or a cool-down, nor rising, from tempo on. */
static bool is_effort(const struct session_ridden *ridden, double watts, double threshold_w,
                      const struct limits *limits)
{
    const struct session_step *step = ridden->step;
    return step->role == ROLE_NONE && !step->rises && ridden->seconds > 0 &&
           100.0 * watts >= limits->value[LIMIT_KIND_TEMPO_LOW_PCT] * threshold_w;
}

/* A short effort at no more than threshold only wakes the legs: it isn't one to be counted. */
static bool is_opener(const struct run *run, double threshold_w, const struct limits *limits)
{
    const double seconds = (double)(run->span.to_s - run->span.from_s);
    return seconds < limits->value[LIMIT_RESPONSE_SETTLE_S] &&
           100.0 * run->work_j / seconds <=
               limits->value[LIMIT_KIND_THRESHOLD_HIGH_PCT] * threshold_w;
}

/* Parts that follow one another without a rest are one effort (over-unders). */
static struct span *find_efforts(struct arena *arena, const struct session *session,
                                 const double power_w[], double threshold_w,
                                 const struct limits *limits, size_t *n)
{
    size_t count = 0;
    const struct session_ridden *ridden = session_unroll(arena, session, &count);
    struct span *spans = ARENA_ARRAY(arena, struct span, count + 1);
    struct run run = { .is_open = false };
    *n = 0;
    for (size_t i = 0; i <= count; i++) {
        const double watts =
            i < count && ridden[i].seconds > 0 ? power_w[ridden[i].from_s] : (double)NAN;
        const bool is = i < count && is_effort(&ridden[i], watts, threshold_w, limits);
        if (run.is_open && !is) {
            spans[*n] = run.span;
            *n += is_opener(&run, threshold_w, limits) ? 0 : 1;
            run.is_open = false;
        }
        if (is) {
            const int32_t to_s = ridden[i].from_s + ridden[i].seconds;
            run = run.is_open ? run : (struct run){ { ridden[i].from_s, to_s }, 0.0, true };
            run.span.to_s = to_s;
            run.work_j += watts * ridden[i].seconds;
        }
    }
    return spans;
}

/* ---- the verdict ---- */

static bool rises_at(struct arena *arena, const struct session *session, int32_t at_s)
{
    size_t count = 0;
    const struct session_ridden *ridden = session_unroll(arena, session, &count);
    for (size_t i = 0; i < count; i++) {
        if (at_s >= ridden[i].from_s && at_s < ridden[i].from_s + ridden[i].seconds) {
            return ridden[i].step->rises;
        }
    }
    return false;
}

/* Where what is left first goes below nought; -1 = nowhere. */
static int32_t first_below(const double left_j[], size_t from, size_t to)
{
    for (size_t i = from; i < to; i++) {
        if (left_j[i] < 0.0) {
            return (int32_t)i;
        }
    }
    return -1;
}

static void find_short(struct session_outlook *out, const double left_j[])
{
    const struct expected *expected = &out->expected;
    out->short_at_s = first_below(left_j, 0, expected->n);
    out->short_at_w = out->short_at_s < 0 ? (double)NAN : expected->power_w[out->short_at_s];
    for (size_t i = 0; i < expected->n_reps; i++) {
        const struct span span = expected->reps[i].span;
        if (first_below(left_j, (size_t)span.from_s, (size_t)span.to_s) >= 0) {
            out->first_short = out->n_short == 0 ? i : out->first_short;
            out->last_short = i;
            out->n_short++;
        }
    }
}

static bool is_any_above_cp(const struct expected *expected, const struct w_rider *w)
{
    const double cp_w = fmin(w->cp_w, w->cp_low_w); /* NAN is passed over */
    for (size_t i = 0; i < expected->n; i++) {
        if (expected->power_w[i] > cp_w) {
            return true;
        }
    }
    return false;
}

/* The lower of the middle and of the differential form with the middle numbers.  The integral form
 * has W' come back even above critical power, so by it, and by the mean with it, a long effort just
 * above (30 min at 107 %) never ends; the other spends joule for joule, as critical power has it.
 */
static const double *likely_left(struct arena *arena, const struct w_rider *w,
                                 const struct expected *expected)
{
    double *left_j = ARENA_ARRAY(arena, double, expected->n);
    w_balance_trace(W_DIFFERENTIAL, w->cp_w, w->w_prime_j, expected->power_w, expected->n, left_j);
    for (size_t i = 0; i < expected->n; i++) {
        left_j[i] = fmin(left_j[i], expected->balance.middle_j[i]); /* NAN is passed over */
    }
    return left_j;
}

static void find_verdict(struct arena *arena, const struct session *session,
                         const struct w_rider *w, struct session_outlook *out)
{
    const struct w_balance *balance = &out->expected.balance;
    if (!balance->is_known) {
        return;
    }
    if (!is_any_above_cp(&out->expected, w)) {
        out->verdict = OUTLOOK_NONE_HARD;
        return;
    }
    const double *likely_j = likely_left(arena, w, &out->expected);
    out->verdict = first_below(likely_j, 0, balance->n) >= 0 ? OUTLOOK_LIKELY_NOT
                   : balance->least_low_j < 0.0              ? OUTLOOK_MAY_NOT
                                                             : OUTLOOK_WITHIN;
    if (out->verdict != OUTLOOK_WITHIN) {
        find_short(out, out->verdict == OUTLOOK_LIKELY_NOT ? likely_j : balance->low_j);
        if (out->n_short == 0 && rises_at(arena, session, out->short_at_s)) {
            out->verdict = OUTLOOK_RISES;
        }
    }
}

/* ---- its parts ---- */

/* Told of what lasts, once it has settled, and of its end. */
static void fill_part_heart(const struct session_outlook *out, const struct expected_rider *rider,
                            const struct limits *limits, struct outlook_part *part)
{
    const struct expected *expected = &out->expected;
    const struct span span = { part->from_s, part->from_s + part->seconds };
    const struct expected_rep rep = expected_rep_read(expected, rider, span, limits);
    const int32_t steady_s = (int32_t)limits->value[LIMIT_CARD_STEADY_S];
    const int32_t last = span.to_s - 1;
    part->end_bpm = expected->heart_bpm[last];
    part->low_bpm = expected->heart_low_bpm[last];
    part->high_bpm = expected->heart_high_bpm[last];
    part->reads_low_s = part->comes_up ? rep.reads_low_s : (double)NAN;
    if (part->seconds >= steady_s) {
        const int32_t settled = span.from_s + steady_s / 2;
        part->settled_bpm = expected->heart_bpm[settled];
        part->low_bpm = fmin(part->low_bpm, expected->heart_low_bpm[settled]);
        part->high_bpm = fmax(part->high_bpm, expected->heart_high_bpm[settled]);
    }
}

static void fill_parts(struct arena *arena, const struct outlook_ask *ask,
                       const struct expected_rider *rider, const double power_w[],
                       const struct limits *limits, struct session_outlook *out)
{
    static const double NONE = (double)NAN;
    const struct session_feel *feels =
        session_feels(arena, out->ridden, out->n_parts, ask->facts->threshold_w,
                      ask->facts->max_heart_rate_bpm, limits);
    out->parts = ARENA_ARRAY(arena, struct outlook_part, out->n_parts + 1);
    for (size_t i = 0; i < out->n_parts; i++) {
        const struct session_ridden *ridden = &out->ridden[i];
        struct outlook_part *part = &out->parts[i];
        *part = (struct outlook_part){
            ridden->from_s, ridden->seconds, NONE, false, false, NONE, NONE, NONE, NONE,
            NONE,           feels[i]
        };
        part->power_w = ridden->seconds > 0 ? power_w[ridden->from_s] : NONE;
        part->is_after_dark = i > 0 && isnan(out->parts[i - 1].power_w);
        part->comes_up = i > 0 && part->power_w > out->parts[i - 1].power_w; /* NAN: false */
        if (out->expected.heart_bpm != NULL && !isnan(part->power_w)) {
            fill_part_heart(out, rider, limits, part);
        }
    }
}

static bool is_among(const struct session_step *const steps[], size_t n,
                     const struct session_step *step)
{
    for (size_t i = 0; i < n; i++) {
        if (steps[i] == step) {
            return true;
        }
    }
    return false;
}

static void find_dark(struct arena *arena, struct session_outlook *out)
{
    out->dark = ARENA_ARRAY(arena, const struct session_step *, out->n_parts + 1);
    for (size_t i = 0; i < out->n_parts; i++) {
        const struct session_step *step = out->ridden[i].step;
        if (isnan(out->parts[i].power_w) && !is_among(out->dark, out->n_dark, step)) {
            out->dark[out->n_dark++] = step;
        }
    }
}

/* ---- all of it ---- */

static void count_unknown(const double power_w[], size_t n, struct session_outlook *out)
{
    for (size_t i = 0; i < out->n_parts; i++) {
        out->n_buttons += out->ridden[i].seconds == 0 ? 1 : 0;
    }
    for (size_t i = 0; i < n; i++) {
        out->without_w_s += isnan(power_w[i]) ? 1 : 0;
    }
}

static void forget_after_buttons(struct session_outlook *out, const struct expected_rider *rider,
                                 const struct limits *limits)
{
    for (size_t i = 0; i < out->n_parts; i++) {
        if (out->ridden[i].seconds == 0) {
            expected_forget_heart(&out->expected, rider, out->ridden[i].from_s, limits);
        }
    }
}

static bool is_any_told(const struct expected *expected)
{
    for (size_t i = 0; expected->heart_bpm != NULL && i < expected->n; i++) {
        if (!isnan(expected->heart_bpm[i])) {
            return true;
        }
    }
    return false;
}

static enum outlook_heart heart_of(const struct session_outlook *out,
                                   const struct expected_rider *rider,
                                   const struct rider_facts *facts)
{
    return !facts_read_heart(facts) ? OUTLOOK_HEART_WITHHELD
           : out->expected.n == 0   ? OUTLOOK_HEART_NO_POWER
           : rider->response == NULL || rider->response->end != RESPONSE_FITTED
               ? OUTLOOK_HEART_NO_RESPONSE
           : is_any_told(&out->expected) ? OUTLOOK_HEART_TOLD
                                         : OUTLOOK_HEART_NO_POWER;
}

static struct session_outlook nothing_told(double threshold_w)
{
    struct session_outlook out = { .threshold_w = threshold_w, .short_at_s = -1 };
    out.short_at_w = (double)NAN;
    out.expected.balance.least_j = (double)NAN;
    out.expected.balance.least_low_j = (double)NAN;
    out.expected.balance.least_high_j = (double)NAN;
    return out;
}

struct session_outlook outlook_read(struct arena *arena, const struct outlook_ask *ask,
                                    const struct limits *limits)
{
    const struct session *session = ask->session;
    struct session_outlook out = nothing_told(ask->rider->threshold_w);
    struct expected_rider rider = *ask->rider;
    size_t n = 0;
    size_t n_efforts = 0;
    const double *power_w = session_seconds_w(arena, session, rider.threshold_w, &n);
    out.is_past = ask->is_past;
    out.dose = session_dose_of(arena, session, rider.threshold_w, limits);
    out.ridden = session_unroll(arena, session, &out.n_parts);
    count_unknown(power_w, n, &out);
    rider.response = facts_read_heart(ask->facts) ? rider.response : NULL;
    if (rider.zones != NULL) {
        out.zones = *rider.zones;
    }
    if ((size_t)out.without_w_s < n) {
        const struct span *efforts =
            find_efforts(arena, session, power_w, rider.threshold_w, limits, &n_efforts);
        out.expected = expected_read(arena, &rider, power_w, n, efforts, n_efforts, limits);
        forget_after_buttons(&out, &rider, limits);
    }
    out.heart = heart_of(&out, &rider, ask->facts);
    fill_parts(arena, ask, &rider, power_w, limits, &out);
    if (out.heart == OUTLOOK_HEART_TOLD) {
        find_dark(arena, &out);
    }
    find_verdict(arena, session, &rider.w, &out);
    words_outlook_fill(arena, &out, &rider, limits);
    return out;
}

void outlook_say_age(struct arena *arena, struct session_outlook *outlook, int64_t known_day,
                     int64_t day, const struct limits *limits)
{
    if (outlook->expected.n > 0 && outlook->n_missing < OUTLOOK_SAID_MOST &&
        (double)(day - known_day) > limits->value[LIMIT_BREAK_DAYS]) {
        outlook->missing[outlook->n_missing++] = (struct outlook_said){
            "old-numbers", words_outlook_old(arena, known_day, day - known_day, outlook->is_past)
        };
    }
}
