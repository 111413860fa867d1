/* coaching/teaching.c: one session ridden twice by a simulated rider. */
#include "coaching/teaching.h"

#include "maths/summary.h"
#include "physiology/facts.h"

#include <math.h>

const char *teaching_end_name(enum teaching_end end)
{
    static const char *const names[] = {
        [TEACHING_TOLD] = "told",
        [TEACHING_NO_RESPONSE] = "no-response",
        [TEACHING_NO_POWER] = "no-critical-power",
        [TEACHING_NO_THRESHOLD] = "no-threshold",
        [TEACHING_NO_MAX_HEART] = "no-maximal-heart-rate",
        [TEACHING_OUT_OF_REACH] = "out-of-reach",
        [TEACHING_TOO_HARD] = "too-hard",
        [TEACHING_BAD_SESSION] = "no-session",
    };
    return names[end];
}

const char *teaching_way_name(enum teaching_way way)
{
    static const char *const names[TEACH_WAYS] = {
        [TEACH_POWER] = "power", [TEACH_HEART] = "heart rate"
    };
    return names[way];
}

struct teaching_session teaching_session_default(double threshold_w, double max_heart_bpm,
                                                 const struct limits *limits)
{
    const double *v = limits->value;
    const struct kind_range range = work_kind_range(KIND_VO2MAX, limits);
    return (struct teaching_session){
        .reps = (int)v[LIMIT_TEACH_REPS],
        .rep_s = v[LIMIT_TEACH_REP_S],
        .rest_s = v[LIMIT_TEACH_REST_S],
        .warm_s = v[LIMIT_TEACH_WARM_S],
        .target_w = threshold_w * (range.low_pct + range.high_pct) / 2.0 / 100.0,
        .easy_w = threshold_w * v[LIMIT_TEACH_EASY_PCT] / 100.0,
        .heart_bpm = max_heart_bpm * v[LIMIT_TEACH_HEART_PCT] / 100.0,
    };
}

/* ---- the simulated rider ---- */

struct riding {
    const struct heart_response *response;
    const struct teaching *teaching;
    const struct limits *limits;
    enum teaching_way way;
    struct teaching_ride *ride;
    double f_w;     /* power, late and lagged */
    double work_wh; /* so far */
    double left_j;
};

/* Power of second t, from what was seen until then. */
static double choose(const struct riding *riding, size_t t, size_t rep_from, bool in_rep)
{
    const struct teaching_session *session = &riding->teaching->session;
    const double *v = riding->limits->value;
    if (!in_rep) {
        return session->easy_w;
    }
    if (riding->way == TEACH_POWER || t == rep_from) {
        return session->target_w;
    }
    double power = riding->ride->power_w[t - 1];
    const size_t look_s = (size_t)v[LIMIT_TEACH_LOOK_S];
    if ((t - rep_from) % look_s == 0) {
        const double missing_bpm = session->heart_bpm - riding->ride->heart_bpm[t - 1];
        power += missing_bpm / riding->response->gain_bpm_per_w * v[LIMIT_TEACH_CHASE_PCT] / 100.0 *
                 (double)look_s;
    }
    const double most_w = v[LIMIT_TEACH_MOST_PCT] * riding->teaching->threshold_w / 100.0;
    power = fmin(fmax(power, session->easy_w), fmax(most_w, session->target_w));
    return riding->left_j > 0.0 ? power : fmin(power, riding->teaching->cp_w);
}

/* One second at that power: heart rate by the response's equation, W' by the differential form. */
static void ride_second(struct riding *riding, size_t t, double power_w)
{
    const struct teaching *teaching = riding->teaching;
    const struct heart_response *response = riding->response;
    const size_t dead = (size_t)response->dead_s;
    struct teaching_ride *ride = riding->ride;
    const double above_w = power_w - teaching->cp_w;
    ride->power_w[t] = power_w;
    riding->f_w += (ride->power_w[t >= dead ? t - dead : 0] - riding->f_w) *
                   (1.0 - exp(-1.0 / response->tau_s));
    ride->heart_bpm[t] =
        fmin(response->rest_bpm + response->gain_bpm_per_w * riding->f_w +
                 response->drift_bpm_per_h / response->threshold_w * riding->work_wh,
             teaching->max_heart_bpm);
    riding->work_wh += power_w / 3600.0;
    riding->left_j = above_w >= 0.0 ? riding->left_j - above_w
                                    : teaching->w_prime_j - (teaching->w_prime_j - riding->left_j) *
                                                                exp(above_w / teaching->w_prime_j);
    ride->left_j[t] = riding->left_j;
}

static struct span rep_span(const struct teaching_session *session, int rep)
{
    const int32_t from =
        (int32_t)session->warm_s + rep * ((int32_t)session->rep_s + (int32_t)session->rest_s);
    return (struct span){ from, from + (int32_t)session->rep_s };
}

static struct teaching_rep measure(const struct teaching *teaching,
                                   const struct teaching_ride *ride, struct span span,
                                   const struct limits *limits)
{
    const size_t n = (size_t)(span.to_s - span.from_s);
    const size_t third = n / 3 > 0 ? n / 3 : n;
    const double *power = ride->power_w + span.from_s;
    const double line = limits->value[LIMIT_REPS_NEAR_MAX_RATIO] * teaching->max_heart_bpm;
    struct teaching_rep rep = {
        .span = span,
        .mean_w = summary_mean(power, n),
        .first_third_w = summary_mean(power, third),
        .last_third_w = summary_mean(power + n - third, third),
        .heart_end_bpm = ride->heart_bpm[span.to_s - 1],
        .left_j = ride->left_j[span.to_s - 1],
    };
    for (int32_t t = span.from_s; t < span.to_s; t++) {
        rep.heart_peak_bpm = fmax(rep.heart_peak_bpm, ride->heart_bpm[t]);
        rep.at_90_s += ride->heart_bpm[t] >= line ? 1.0 : 0.0;
    }
    return rep;
}

static void ride_session(struct arena *arena, const struct expected_rider *rider,
                         enum teaching_way way, const struct limits *limits,
                         struct teaching *teaching)
{
    const struct teaching_session *session = &teaching->session;
    struct teaching_ride *ride = &teaching->rides[way];
    const double line = limits->value[LIMIT_REPS_NEAR_MAX_RATIO] * teaching->max_heart_bpm;
    const int32_t end_s = rep_span(session, session->reps - 1).to_s + (int32_t)session->rest_s;
    ride->n = (size_t)end_s;
    ride->power_w = ARENA_ARRAY(arena, double, ride->n);
    ride->heart_bpm = ARENA_ARRAY(arena, double, ride->n);
    ride->left_j = ARENA_ARRAY(arena, double, ride->n);
    ride->reps = ARENA_ARRAY(arena, struct teaching_rep, (size_t)session->reps);
    ride->least_j = teaching->w_prime_j;
    struct riding riding = { .response = rider->response,
                             .teaching = teaching,
                             .limits = limits,
                             .way = way,
                             .ride = ride,
                             .left_j = teaching->w_prime_j };
    int rep = 0;
    for (size_t t = 0; t < ride->n; t++) {
        while (rep + 1 < session->reps && (int32_t)t >= rep_span(session, rep + 1).from_s) {
            rep++;
        }
        const struct span span = rep_span(session, rep);
        const bool in_rep = (int32_t)t >= span.from_s && (int32_t)t < span.to_s;
        ride_second(&riding, t, choose(&riding, t, (size_t)span.from_s, in_rep));
        ride->at_90_s += ride->heart_bpm[t] >= line ? 1.0 : 0.0;
        ride->least_j = fmin(ride->least_j, ride->left_j[t]);
    }
    for (int i = 0; i < session->reps; i++) {
        ride->reps[i] = measure(teaching, ride, rep_span(session, i), limits);
        ride->mean_w += ride->reps[i].mean_w / session->reps;
    }
}

/* ---- what can't be told ---- */

static bool is_session(const struct teaching_session *session, const struct limits *limits)
{
    const double *v = limits->value;
    const double seconds = session->warm_s + session->reps * (session->rep_s + session->rest_s);
    return session->reps >= 1 && session->rep_s >= 2.0 * v[LIMIT_TEACH_LOOK_S] &&
           session->rest_s >= 0.0 && session->warm_s >= 0.0 &&
           seconds <= v[LIMIT_TEACH_LONGEST_S] && session->easy_w >= 0.0 &&
           session->target_w > session->easy_w;
}

static enum teaching_end refusal(const struct expected_rider *rider,
                                 const struct teaching_session *session,
                                 const struct limits *limits)
{
    const struct heart_response *response = rider->response;
    if (!(rider->threshold_w > 0.0)) {
        return TEACHING_NO_THRESHOLD;
    }
    if (response == NULL || response->end != RESPONSE_FITTED) {
        return TEACHING_NO_RESPONSE;
    }
    if (!(rider->max_heart_bpm > 0.0)) {
        return TEACHING_NO_MAX_HEART;
    }
    if (!(rider->w.cp_w > 0.0) || !(rider->w.w_prime_j > 0.0)) {
        return TEACHING_NO_POWER;
    }
    if (!is_session(session, limits)) {
        return TEACHING_BAD_SESSION;
    }
    const double most_w =
        fmax(limits->value[LIMIT_TEACH_MOST_PCT] * rider->threshold_w / 100.0, session->target_w);
    const double easy_bpm = response->rest_bpm + response->gain_bpm_per_w * session->easy_w;
    const double most_bpm = response->rest_bpm + response->gain_bpm_per_w * most_w;
    return session->heart_bpm > easy_bpm && session->heart_bpm < rider->max_heart_bpm &&
                   session->heart_bpm < most_bpm
               ? TEACHING_TOLD
               : TEACHING_OUT_OF_REACH;
}

/* Ridden to power, W' must last: else the session isn't this rider's, or the numbers are wrong. */
static bool lasts(struct teaching *teaching)
{
    const struct teaching_ride *ride = &teaching->rides[TEACH_POWER];
    for (int i = 0; i < teaching->session.reps; i++) {
        if (ride->reps[i].left_j < 0.0) {
            teaching->gone_in_rep = i + 1;
            return false;
        }
    }
    return true;
}

struct teaching teaching_make(struct arena *arena, const struct expected_rider *rider,
                              const struct teaching_session *session, const struct limits *limits)
{
    struct teaching out = { .end = refusal(rider, session, limits),
                            .session = *session,
                            .threshold_w = rider->threshold_w,
                            .max_heart_bpm = rider->max_heart_bpm,
                            .cp_w = rider->w.cp_w,
                            .w_prime_j = rider->w.w_prime_j };
    for (int way = 0; out.end == TEACHING_TOLD && way < TEACH_WAYS; way++) {
        ride_session(arena, rider, (enum teaching_way)way, limits, &out);
    }
    if (out.end == TEACHING_TOLD && !lasts(&out)) {
        out.end = TEACHING_TOO_HARD;
        for (int way = 0; way < TEACH_WAYS; way++) {
            out.rides[way] = (struct teaching_ride){ 0 };
        }
    }
    return out;
}
