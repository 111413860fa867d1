/* coaching/expected.c: what a planned session will bring. */
#include "coaching/expected.h"

#include "maths/summary.h"

#include <math.h>

enum { MINUTE_S = 60 };

/* Nothing is foretold from watts that nobody asked for, nor while the heart still answers them. */
static void leave_out_unknown(struct expected *out, double settle_s)
{
    double left_s = 0.0;
    for (size_t i = 0; i < out->n; i++) {
        left_s = isnan(out->power_w[i]) ? settle_s + 1.0 : left_s;
        if (left_s > 0.0) {
            out->heart_bpm[i] = out->heart_low_bpm[i] = out->heart_high_bpm[i] = (double)NAN;
            left_s -= 1.0;
        }
    }
}

static void fill_heart(struct arena *arena, const struct expected_rider *rider,
                       const struct limits *limits, struct expected *out)
{
    if (rider->response == NULL || rider->response->end != RESPONSE_FITTED) {
        return;
    }
    out->heart_bpm = arena_alloc(arena, out->n, sizeof *out->heart_bpm);
    out->heart_low_bpm = arena_alloc(arena, out->n, sizeof *out->heart_low_bpm);
    out->heart_high_bpm = arena_alloc(arena, out->n, sizeof *out->heart_high_bpm);
    heart_response_expect(rider->response, out->power_w, out->n, out->heart_bpm, out->heart_low_bpm,
                          out->heart_high_bpm);
    for (size_t i = 0; !isnan(rider->max_heart_bpm) && i < out->n; i++) {
        out->heart_bpm[i] = fmin(out->heart_bpm[i], rider->max_heart_bpm);
        out->heart_low_bpm[i] = fmin(out->heart_low_bpm[i], rider->max_heart_bpm);
        out->heart_high_bpm[i] = fmin(out->heart_high_bpm[i], rider->max_heart_bpm);
    }
    leave_out_unknown(out, limits->value[LIMIT_RESPONSE_SETTLE_S]);
}

static double mean_or_none(const double x[], size_t from, size_t n)
{
    return x == NULL ? (double)NAN : summary_mean(x + from, n);
}

static struct expected_minute minute_of(const struct expected *out, size_t i)
{
    const size_t from = i * MINUTE_S;
    const size_t n = out->n - from < MINUTE_S ? out->n - from : MINUTE_S;
    return (struct expected_minute){
        .power_w = summary_mean(out->power_w + from, n),
        .heart_bpm = mean_or_none(out->heart_bpm, from, n),
        .heart_low_bpm = mean_or_none(out->heart_low_bpm, from, n),
        .heart_high_bpm = mean_or_none(out->heart_high_bpm, from, n),
    };
}

static void fill_minutes(struct arena *arena, struct expected *out)
{
    out->n_minutes = (out->n + MINUTE_S - 1) / MINUTE_S;
    out->minutes = ARENA_ARRAY(arena, struct expected_minute, out->n_minutes);
    for (size_t i = 0; i < out->n_minutes; i++) {
        out->minutes[i] = minute_of(out, i);
    }
}

/* ---- W' ---- */

/* A trace of the seconds from `first` on, put where it belongs: full before it, unknown after. */
static double *padded(struct arena *arena, const double x[], size_t first, size_t n, size_t whole,
                      double full_j)
{
    double *out = arena_alloc(arena, whole, sizeof *out);
    for (size_t i = 0; i < whole; i++) {
        out[i] = i < first ? full_j : i < first + n ? x[i - first] : (double)NAN;
    }
    return out;
}

static double least_known(double a, double b, double c)
{
    return fmin(a, fmin(b, c)); /* NAN is passed over */
}

static void fill_balance(struct arena *arena, const struct expected_rider *rider,
                         const struct limits *limits, struct expected *out)
{
    const struct w_rider *w = &rider->w;
    size_t first = 0;
    size_t end = out->n;
    while (first < end && isnan(out->power_w[first])) {
        first++;
    }
    while (end > first && isnan(out->power_w[end - 1])) {
        end--;
    }
    out->balance = w_balance_read(arena, w, out->power_w + first, end - first, limits);
    struct w_balance *balance = &out->balance;
    if (!balance->is_known || end - first == out->n) {
        return;
    }
    balance->low_j = padded(arena, balance->low_j, first, end - first, out->n,
                            least_known(w->w_prime_j, w->w_prime_low_j, w->w_prime_high_j));
    balance->high_j = padded(arena, balance->high_j, first, end - first, out->n,
                             fmax(w->w_prime_j, fmax(w->w_prime_low_j, w->w_prime_high_j)));
    balance->middle_j = padded(arena, balance->middle_j, first, end - first, out->n, w->w_prime_j);
    balance->n = out->n;
    balance->least_at_s += (int32_t)first;
}

/* ---- efforts ---- */

/* Where heart rate would settle at the effort's power with the work done at second t. */
static double settles_at(const struct heart_response *response, double max_heart_bpm,
                         double power_w, double work_wh)
{
    const double bpm = response->rest_bpm + response->gain_bpm_per_w * power_w +
                       response->drift_bpm_per_h / response->threshold_w * work_wh;
    return isnan(max_heart_bpm) ? bpm : fmin(bpm, max_heart_bpm);
}

static void fill_rep_heart(const struct expected *out, const struct expected_rider *rider,
                           double near_bpm, struct expected_rep *rep)
{
    const size_t from = (size_t)rep->span.from_s;
    const size_t to = (size_t)rep->span.to_s;
    double work_wh = 0.0;
    for (size_t i = 0; i < from; i++) {
        work_wh += isnan(out->power_w[i]) ? 0.0 : out->power_w[i] / 3600.0;
    }
    rep->heart_end_bpm = out->heart_bpm[to - 1];
    rep->reads_low_s = isnan(out->heart_bpm[from]) ? (double)NAN : (double)(to - from);
    for (size_t i = from; i < to; i++) {
        rep->heart_settle_bpm =
            settles_at(rider->response, rider->max_heart_bpm, rep->power_w, work_wh);
        if (!isnan(rep->reads_low_s) && out->heart_bpm[i] >= rep->heart_settle_bpm - near_bpm) {
            rep->reads_low_s = (double)(i - from);
            break;
        }
        work_wh += isnan(out->power_w[i]) ? 0.0 : out->power_w[i] / 3600.0;
    }
}

struct expected_rep expected_rep_read(const struct expected *out,
                                      const struct expected_rider *rider, struct span span,
                                      const struct limits *limits)
{
    const double none = (double)NAN;
    const size_t from = (size_t)span.from_s;
    const size_t to = (size_t)span.to_s;
    struct expected_rep rep = { span, none, none, none, none, none, none, none, none };
    rep.power_w = summary_mean(out->power_w + from, to - from);
    if (out->heart_bpm != NULL) {
        fill_rep_heart(out, rider, limits->value[LIMIT_EXPECT_NEAR_BPM], &rep);
    }
    if (out->balance.is_known) {
        rep.cost_j = w_balance_cost_j(rider->w.cp_w, out->power_w, from, to);
        rep.left_j = out->balance.middle_j[to - 1];
        rep.left_low_j = out->balance.low_j[to - 1];
        rep.left_high_j = out->balance.high_j[to - 1];
    }
    return rep;
}

static void fill_reps(struct arena *arena, const struct expected_rider *rider,
                      const struct span reps[], size_t n_reps, const struct limits *limits,
                      struct expected *out)
{
    const int32_t end_s = (int32_t)out->n;
    out->reps = ARENA_ARRAY(arena, struct expected_rep, n_reps + 1);
    for (size_t i = 0; i < n_reps; i++) {
        const struct span span = { reps[i].from_s < 0 ? 0 : reps[i].from_s,
                                   reps[i].to_s > end_s ? end_s : reps[i].to_s };
        if (span.from_s < span.to_s) {
            out->reps[out->n_reps++] = expected_rep_read(out, rider, span, limits);
        }
    }
}

void expected_forget_heart(struct expected *expected, const struct expected_rider *rider,
                           int32_t from_s, const struct limits *limits)
{
    const size_t from = (size_t)from_s;
    const size_t settled = from + (size_t)limits->value[LIMIT_RESPONSE_SETTLE_S];
    const size_t to = settled < expected->n ? settled : expected->n;
    if (expected->heart_bpm == NULL || from >= to) {
        return;
    }
    for (size_t i = from; i < to; i++) {
        expected->heart_bpm[i] = (double)NAN;
        expected->heart_low_bpm[i] = expected->heart_high_bpm[i] = (double)NAN;
    }
    for (size_t i = from / MINUTE_S; i <= (to - 1) / MINUTE_S; i++) {
        expected->minutes[i] = minute_of(expected, i);
    }
    for (size_t i = 0; i < expected->n_reps; i++) {
        const struct span span = expected->reps[i].span;
        expected->reps[i] = expected_rep_read(expected, rider, span, limits);
    }
}

struct expected expected_read(struct arena *arena, const struct expected_rider *rider,
                              const double power_w[], size_t n, const struct span reps[],
                              size_t n_reps, const struct limits *limits)
{
    struct expected out = { .n = n, .power_w = power_w };
    fill_heart(arena, rider, limits, &out);
    fill_balance(arena, rider, limits, &out);
    fill_minutes(arena, &out);
    fill_reps(arena, rider, reps, n_reps, limits, &out);
    for (size_t i = 0; i < ZONES_MOST; i++) {
        out.zone_s[i] = (double)NAN;
    }
    if (rider->zones != NULL && rider->threshold_w > 0.0) {
        zones_count(rider->zones, power_w, n, rider->threshold_w, out.zone_s);
    }
    for (size_t i = 0; i < n; i++) {
        out.work_kj += isnan(power_w[i]) ? 0.0 : power_w[i] / 1000.0;
    }
    return out;
}
