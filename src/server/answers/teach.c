/* server/answers/teach.c: a session ridden to power and to heart rate, as JSON. */
#include "server/answers/teach.h"

#include "coaching/outlook.h"
#include "coaching/ride_balance.h"
#include "coaching/words/power_words.h"
#include "coaching/words/teaching_words.h"
#include "server/answers/rider.h"

#include <math.h>

struct teach_wish teach_wish_none(void)
{
    const double none = (double)NAN;
    return (struct teach_wish){ 0, none, none, none, none, none };
}

static void apply(const struct teach_wish *wish, double threshold_w,
                  struct teaching_session *session)
{
    session->reps = wish->reps > 0 ? wish->reps : session->reps;
    session->rep_s = isnan(wish->rep_s) ? session->rep_s : wish->rep_s;
    session->rest_s = isnan(wish->rest_s) ? session->rest_s : wish->rest_s;
    session->heart_bpm = isnan(wish->heart_bpm) ? session->heart_bpm : wish->heart_bpm;
    session->target_w = !isnan(wish->target_w)     ? wish->target_w
                        : !isnan(wish->target_pct) ? wish->target_pct * threshold_w / 100.0
                                                   : session->target_w;
}

/* What the ride to power brings, with its bands. */
static void foretell(struct arena *arena, const struct expected_rider *rider,
                     const struct limits *limits, struct teach_told *out)
{
    const struct teaching_ride *ride = &out->teaching.rides[TEACH_POWER];
    const size_t n = (size_t)out->teaching.session.reps;
    struct span *spans = ARENA_ARRAY(arena, struct span, n);
    for (size_t i = 0; i < n; i++) {
        spans[i] = ride->reps[i].span;
    }
    out->expected = expected_read(arena, rider, ride->power_w, ride->n, spans, n, limits);
}

bool teach_take(struct roster *roster, struct arena *arena, const struct rider *rider,
                const struct teach_wish *wish, const char *today, struct teach_told *out,
                struct error *err)
{
    *out = (struct teach_told){ 0 };
    struct critical_told *critical = &out->critical;
    struct weeks *weeks = &critical->weeks;
    const struct rider_facts *facts = &critical->facts;
    if (!critical_take(roster, arena, rider, today, critical, err) ||
        !responses_fit(roster, arena, rider, &weeks->history, &weeks->limits,
                       weeks->history.today + 1, &out->found, err)) {
        return false;
    }
    const struct expected_rider numbers = { .response = &out->found.response,
                                            .w = w_rider_of(&critical->power.curve),
                                            .threshold_w = facts->threshold_w,
                                            .max_heart_bpm = facts->max_heart_rate_bpm,
                                            .zones = &facts->zones };
    struct teaching_session session =
        teaching_session_default(facts->threshold_w, facts->max_heart_rate_bpm, &weeks->limits);
    apply(wish, facts->threshold_w, &session);
    out->allows_hard = rider_cautions_allow_hard(facts);
    out->teaching = teaching_make(arena, &numbers, &session, &weeks->limits);
    if (out->teaching.end == TEACHING_TOLD) {
        foretell(arena, &numbers, &weeks->limits, out);
    }
    return true;
}

const char *teach_text(struct arena *arena, const struct teach_told *told)
{
    return told->found.is_withheld ? words_heart_withheld()
                                   : words_teaching(arena, &told->teaching, &told->expected);
}

const char *teach_message(struct arena *arena, const struct teach_told *told)
{
    return told->found.is_withheld || !told->allows_hard
               ? NULL
               : words_teaching_message(arena, &told->teaching, &told->expected);
}

/* ---- JSON ---- */

static void session_json(struct json *json, const struct teaching_session *session)
{
    json_begin_object(json, "session");
    json_integer(json, "reps", session->reps);
    json_number(json, "rep_s", session->rep_s, 0);
    json_number(json, "rest_s", session->rest_s, 0);
    json_number(json, "warm_s", session->warm_s, 0);
    json_number(json, "target_w", session->target_w, 0);
    json_number(json, "easy_w", session->easy_w, 0);
    json_number(json, "heart_rate_bpm", session->heart_bpm, 0);
    json_end_object(json);
}

static void way_json(struct json *json, const struct teaching *teaching, enum teaching_way way)
{
    const struct teaching_ride *ride = &teaching->rides[way];
    json_begin_object(json, NULL);
    json_string(json, "way", teaching_way_name(way));
    json_number(json, "mean_power_w", ride->mean_w, 1);
    json_number(json, "heart_at_90_s", ride->at_90_s, 0);
    json_number(json, "least_w_prime_j", ride->least_j, 0);
    json_begin_array(json, "reps");
    for (int i = 0; i < teaching->session.reps; i++) {
        const struct teaching_rep *rep = &ride->reps[i];
        json_begin_object(json, NULL);
        json_integer(json, "start_s", rep->span.from_s);
        json_integer(json, "duration_s", rep->span.to_s - rep->span.from_s);
        json_number(json, "mean_power_w", rep->mean_w, 1);
        json_number(json, "first_third_w", rep->first_third_w, 1);
        json_number(json, "last_third_w", rep->last_third_w, 1);
        json_number(json, "heart_end_bpm", rep->heart_end_bpm, 1);
        json_number(json, "heart_peak_bpm", rep->heart_peak_bpm, 1);
        json_number(json, "heart_at_90_s", rep->at_90_s, 0);
        json_number(json, "w_prime_left_j", rep->left_j, 0);
        json_end_object(json);
    }
    json_end_array(json);
    json_end_object(json);
}

static void expected_json(struct json *json, const struct expected *expected)
{
    const struct w_balance *balance = &expected->balance;
    json_begin_object(json, "expected");
    json_number(json, "work_kj", expected->work_kj, 0);
    json_number(json, "least_w_prime_j", balance->least_j, 0);
    json_number(json, "least_w_prime_low_j", balance->least_low_j, 0);
    json_number(json, "least_w_prime_high_j", balance->least_high_j, 0);
    json_number(json, "reads_low_s",
                expected->n_reps > 0 ? expected->reps[0].reads_low_s : (double)NAN, 0);
    expected_minutes_json(json, expected);
    json_end_object(json);
}

void teach_json(struct json *json, const struct teach_told *told, const char *today)
{
    struct arena *arena = json->out->arena;
    const struct teaching *teaching = &told->teaching;
    const bool is_told = teaching->end == TEACHING_TOLD && !told->found.is_withheld;
    weeks_head_json(json, &told->critical.weeks, today);
    json_bool(json, "withheld", told->found.is_withheld);
    json_string(json, "end", teaching_end_name(teaching->end));
    session_json(json, &teaching->session);
    json_number(json, "threshold_w", teaching->threshold_w, 1);
    json_number(json, "max_heart_rate_bpm", teaching->max_heart_bpm, 0);
    json_number(json, "cp_w", teaching->cp_w, 1);
    json_number(json, "w_prime_j", teaching->w_prime_j, 0);
    json_begin_array(json, "ways");
    for (int way = 0; is_told && way < TEACH_WAYS; way++) {
        way_json(json, teaching, (enum teaching_way)way);
    }
    json_end_array(json);
    if (is_told) {
        expected_json(json, &told->expected);
    } else {
        json_null(json, "expected");
    }
    rider_cautions_json(json, &told->critical.cautions);
    json_string(json, "text", teach_text(arena, told));
    json_string(json, "message", teach_message(arena, told));
    json_string(json, "basis_text", words_teaching_basis());
}
