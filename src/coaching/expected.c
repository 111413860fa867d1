/* coaching/expected.c: what a planned session will bring. */
#include "coaching/expected.h"

#include "maths/summary.h"

#include <math.h>

enum { MINUTE_S = 60 };

static void fill_heart(struct arena *arena, const struct expected_rider *rider,
                       struct expected *out)
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
}

static double mean_or_none(const double x[], size_t from, size_t n)
{
    return x == NULL ? (double)NAN : summary_mean(x + from, n);
}

static void fill_minutes(struct arena *arena, struct expected *out)
{
    out->n_minutes = (out->n + MINUTE_S - 1) / MINUTE_S;
    out->minutes = ARENA_ARRAY(arena, struct expected_minute, out->n_minutes);
    for (size_t i = 0; i < out->n_minutes; i++) {
        const size_t from = i * MINUTE_S;
        const size_t n = out->n - from < MINUTE_S ? out->n - from : MINUTE_S;
        out->minutes[i] = (struct expected_minute){
            .power_w = summary_mean(out->power_w + from, n),
            .heart_bpm = mean_or_none(out->heart_bpm, from, n),
            .heart_low_bpm = mean_or_none(out->heart_low_bpm, from, n),
            .heart_high_bpm = mean_or_none(out->heart_high_bpm, from, n),
        };
    }
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
        work_wh += out->power_w[i] / 3600.0;
    }
    rep->heart_end_bpm = out->heart_bpm[to - 1];
    rep->reads_low_s = (double)(to - from);
    for (size_t i = from; i < to; i++) {
        rep->heart_settle_bpm =
            settles_at(rider->response, rider->max_heart_bpm, rep->power_w, work_wh);
        if (out->heart_bpm[i] >= rep->heart_settle_bpm - near_bpm) {
            rep->reads_low_s = (double)(i - from);
            break;
        }
        work_wh += out->power_w[i] / 3600.0;
    }
}

static struct expected_rep rep_of(const struct expected *out, const struct expected_rider *rider,
                                  struct span span, const struct limits *limits)
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
            out->reps[out->n_reps++] = rep_of(out, rider, span, limits);
        }
    }
}

struct expected expected_read(struct arena *arena, const struct expected_rider *rider,
                              const double power_w[], size_t n, const struct span reps[],
                              size_t n_reps, const struct limits *limits)
{
    struct expected out = { .n = n, .power_w = power_w };
    fill_heart(arena, rider, &out);
    out.balance = w_balance_read(arena, &rider->w, power_w, n, limits);
    fill_minutes(arena, &out);
    fill_reps(arena, rider, reps, n_reps, limits, &out);
    for (size_t i = 0; i < ZONES_MOST; i++) {
        out.zone_s[i] = (double)NAN;
    }
    if (rider->zones != NULL && rider->threshold_w > 0.0) {
        zones_count(rider->zones, power_w, n, rider->threshold_w, out.zone_s);
    }
    for (size_t i = 0; i < n; i++) {
        out.work_kj += power_w[i] / 1000.0;
    }
    return out;
}
