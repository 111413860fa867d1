/* tests/coaching/test_expected.c: what a planned session brings, and a session taught.
 *
 * Against something outside: W' of rows PH-08 and PH-09 of the shared checks (Skiba et al. 2015),
 * whose numbers stand here too; heart rate after a step by the closed form of a first-order lag. */
#include "check.h"

#include "coaching/ride_balance.h"
#include "coaching/teaching.h"
#include "coaching/words/power_words.h"
#include "coaching/words/response_words.h"
#include "coaching/words/teaching_words.h"
#include "physiology/made_ride.h"

#include <math.h>
#include <string.h>

static struct heart_response response_of(void)
{
    return (struct heart_response){ .end = RESPONSE_FITTED,
                                    .n_rides = 10,
                                    .threshold_w = 240,
                                    .tau_s = 40,
                                    .dead_s = 5,
                                    .gain_bpm_per_w = 0.35,
                                    .rest_bpm = 85,
                                    .error_bpm = 3,
                                    .day_sd_bpm = 4 };
}

static struct expected_rider rider_of(const struct heart_response *response)
{
    return (struct expected_rider){ .response = response,
                                    .w = { 250, 244, 256, 20000, 17000, 23000 },
                                    .threshold_w = 240,
                                    .max_heart_bpm = 190 };
}

static void fill(double power[], size_t from, size_t to, double watts)
{
    for (size_t i = from; i < to; i++) {
        power[i] = watts;
    }
}

static void test_expected__heart_rate_follows_a_step_as_a_first_order_lag(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct heart_response response = response_of();
    const struct expected_rider rider = rider_of(&response);
    double power[1200];
    fill(power, 0, 900, 120);
    fill(power, 900, 1200, 270);
    const struct span rep = { 900, 1200 };
    const struct expected out = expected_read(arena, &rider, power, 1200, &rep, 1, &limits);
    const double easy = 85 + 0.35 * 120;
    const double settled = 85 + 0.35 * 270;
    for (int t = 0; t < 300; t += 30) {
        const double since = fmax(t + 1 - 5, 0);
        check_near("by the closed form", out.heart_bpm[900 + t],
                   settled - (settled - easy) * exp(-since / 40.0), 1e-6);
    }
    /* Within 5 beats of where it settles: dead time + tau ln(rise / 5), to the second. */
    check_near("reads low", out.reps[0].reads_low_s, 5 + 40 * log((settled - easy) / 5.0), 1.0);
    check_near("kJ", out.work_kj, (900 * 120 + 300 * 270) / 1000.0, 1e-9);
    check_integer("minutes", (int64_t)out.n_minutes, 20);
    check_near("a minute's power", out.minutes[19].power_w, 270, 1e-9);
    check(out.minutes[19].heart_low_bpm < out.minutes[19].heart_bpm &&
          out.minutes[19].heart_bpm < out.minutes[19].heart_high_bpm);
    check_text("words", words_reads_low(arena, &out),
               "Heart rate will read low until about 1:40 of each effort: don't chase it.");
    arena_close(arena);
}

/* PH-08, PH-09: both forms lie within the range, the cost is exact. */
static void test_expected__w_prime_holds_the_published_rows(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    static const double LEFT[] = { 8000, 1414.260367, -2200.070176, -4183.656835 };
    struct expected_rider rider = rider_of(NULL);
    double power[960];
    double trace[960];
    struct span reps[4];
    for (size_t i = 0; i < 4; i++) {
        fill(power, i * 240, i * 240 + 120, 350);
        fill(power, i * 240 + 120, i * 240 + 240, 150);
        reps[i] = (struct span){ (int32_t)i * 240, (int32_t)i * 240 + 120 };
    }
    const struct expected out = expected_read(arena, &rider, power, 960, reps, 4, &limits);
    w_balance_trace(W_DIFFERENTIAL, 250, 20000, power, 960, trace);
    for (size_t i = 0; i < 4; i++) {
        const struct expected_rep *rep = &out.reps[i];
        check_near("the published form", trace[reps[i].to_s - 1], LEFT[i], 1e-5);
        check(rep->left_low_j <= LEFT[i] + 1e-5 && LEFT[i] - 1e-5 <= rep->left_high_j);
        check_near("cost", rep->cost_j, 12000, 1e-9);
        check(isnan(rep->heart_end_bpm)); /* no response, no heart rate */
    }
    check(out.heart_bpm == NULL && isnan(out.minutes[0].heart_bpm));
    check_near("least", out.balance.least_low_j, out.reps[3].left_low_j, 1e-9);
    arena_close(arena);
}

static void test_expected__what_is_not_known_is_left_out(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct heart_response response = { .end = RESPONSE_TOO_FEW };
    struct expected_rider rider = rider_of(&response);
    double power[90];
    rider.w.cp_w = (double)NAN;
    fill(power, 0, 90, 200);
    const struct span beyond = { 60, 500 };
    const struct expected out = expected_read(arena, &rider, power, 90, &beyond, 1, &limits);
    check(out.heart_bpm == NULL && !out.balance.is_known && isnan(out.zone_s[0]));
    check_integer("cut", out.reps[0].span.to_s, 90);
    check(isnan(out.reps[0].left_j) && words_reads_low(arena, &out) == NULL);
    check_integer("minutes", (int64_t)out.n_minutes, 2);
    arena_close(arena);
}

/* ---- taught ---- */

static void test_teaching__chasing_heart_rate_starts_hard_and_lets_down(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct heart_response response = response_of();
    const struct expected_rider rider = rider_of(&response);
    const struct teaching_session session = teaching_session_default(240, 190, &limits);
    const struct teaching out = teaching_make(arena, &rider, &session, &limits);
    check_text("end", teaching_end_name(out.end), "told");
    const struct teaching_ride *power = &out.rides[TEACH_POWER];
    const struct teaching_ride *heart = &out.rides[TEACH_HEART];
    check_integer("as long", (int64_t)power->n, (int64_t)heart->n);
    for (int i = 0; i < session.reps; i++) {
        check_near("even", power->reps[i].first_third_w, power->reps[i].last_third_w, 1e-9);
        check_near("as asked", power->reps[i].mean_w, session.target_w, 1e-9);
        check(heart->reps[i].first_third_w > session.target_w);
        check(heart->reps[i].last_third_w < heart->reps[i].first_third_w);
    }
    check(heart->least_j < power->least_j);
    /* The simulated rider's heart is the response's own. */
    double *bpm = ARENA_ARRAY(arena, double, power->n);
    double *low = ARENA_ARRAY(arena, double, power->n);
    double *high = ARENA_ARRAY(arena, double, power->n);
    for (int way = 0; way < TEACH_WAYS; way++) {
        heart_response_expect(&response, out.rides[way].power_w, power->n, bpm, low, high);
        for (size_t t = 0; t < power->n; t++) {
            check_near("heart rate", out.rides[way].heart_bpm[t], fmin(bpm[t], 190), 1e-9);
        }
    }
    arena_close(arena);
}

static void test_teaching__refuses_with_a_reason(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct heart_response response = response_of();
    const struct teaching_session session = teaching_session_default(240, 190, &limits);
    struct teaching_session other = session;
    struct expected_rider rider = rider_of(NULL);
    check(teaching_make(arena, &rider, &session, &limits).end == TEACHING_NO_RESPONSE);
    rider = rider_of(&response);
    rider.w.cp_w = (double)NAN;
    check(teaching_make(arena, &rider, &session, &limits).end == TEACHING_NO_POWER);
    rider = rider_of(&response);
    rider.max_heart_bpm = (double)NAN;
    check(teaching_make(arena, &rider, &session, &limits).end == TEACHING_NO_MAX_HEART);
    rider = rider_of(&response);
    rider.threshold_w = (double)NAN;
    check(teaching_make(arena, &rider, &session, &limits).end == TEACHING_NO_THRESHOLD);
    rider = rider_of(&response);
    other.heart_bpm = 189.9;
    check(teaching_make(arena, &rider, &other, &limits).end == TEACHING_TOLD ||
          teaching_make(arena, &rider, &other, &limits).end == TEACHING_OUT_OF_REACH);
    other.heart_bpm = 100;
    check(teaching_make(arena, &rider, &other, &limits).end == TEACHING_OUT_OF_REACH);
    other = session;
    other.target_w = 400;
    const struct teaching hard = teaching_make(arena, &rider, &other, &limits);
    check(hard.end == TEACHING_TOO_HARD && hard.gone_in_rep == 1 && hard.rides[0].n == 0);
    other = session;
    other.reps = 0;
    check(teaching_make(arena, &rider, &other, &limits).end == TEACHING_BAD_SESSION);
    const struct expected none = { 0 };
    for (int end = TEACHING_NO_RESPONSE; end <= TEACHING_BAD_SESSION; end++) {
        const struct teaching refused = { .end = (enum teaching_end)end, .session = session };
        const char *words = words_teaching(arena, &refused, &none);
        check(strncmp(words, "Can't show it: ", 15) == 0 && strstr(words, "nan") == NULL);
        check(words_teaching_message(arena, &refused, &none) == NULL);
    }
    arena_close(arena);
}

/* ---- a ride that was ridden ---- */

/* PH-09 as a recording: what each rep took is the work above critical power, and the published
 * form's rest lies within the range. */
static void test_teaching__nothing_left_has_no_sign(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    check(strstr(words_teaching_ride(arena, 250, 120, 900, -20), "about 0.0 kJ") != NULL);
    check(strstr(words_teaching_ride(arena, 250, 120, 900, -420), "about -0.4 kJ") != NULL);
    arena_close(arena);
}

static void test_ride_balance__reps_of_a_recording(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    static const double LEFT[] = { 8000, 1414.260367 };
    const struct piece pieces[] = { { 120, 350, 0, false },
                                    { 120, 150, 0, false },
                                    { 120, 350, 0, false },
                                    { 120, 150, 0, false } };
    struct recording *ride = made_ride(arena, pieces, 4, 0.0);
    struct rep two[2] = { { .span = { 0, 120 } }, { .span = { 240, 360 } } };
    const struct reps reps = { .items = two, .count = 2 };
    struct power_duration curve = { .end = DURATION_KNOWN,
                                    .cp_w = 250,
                                    .cp_low_w = 245,
                                    .cp_high_w = 255,
                                    .w_prime_j = 20000,
                                    .w_prime_low_j = 18000,
                                    .w_prime_high_j = 22000 };
    const struct ride_balance out = ride_balance_read(arena, ride, &reps, &curve, &limits);
    check_text("end", balance_end_name(out.end), "known");
    for (size_t i = 0; i < 2; i++) {
        const struct rep_balance *rep = &out.reps[i];
        check_near("took", rep->cost_j, 12000, 1e-9);
        check_near("took, at a higher critical power", rep->cost_low_j, 11400, 1e-9);
        check_near("took, at a lower one", rep->cost_high_j, 12600, 1e-9);
        check(rep->left_low_j <= LEFT[i] && LEFT[i] <= rep->left_high_j);
    }
    check(!out.trace.is_wrong);
    check(strstr(words_ride_balance(arena, &out), "about") != NULL);
    curve.cp_w = curve.cp_low_w = curve.cp_high_w = 150;
    const struct ride_balance wrong = ride_balance_read(arena, ride, &reps, &curve, &limits);
    check(wrong.trace.is_wrong);
    check(strstr(words_ride_balance(arena, &wrong), "says nothing of the rider") != NULL);
    curve.end = DURATION_TOO_FEW;
    const struct ride_balance none = ride_balance_read(arena, ride, &reps, &curve, &limits);
    check(none.end == BALANCE_NO_CURVE && none.n_reps == 0 && isnan(none.trace.least_j));
    check(strstr(words_ride_balance(arena, &none), "nan") == NULL);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_expected__heart_rate_follows_a_step_as_a_first_order_lag),
        cmocka_unit_test(test_expected__w_prime_holds_the_published_rows),
        cmocka_unit_test(test_expected__what_is_not_known_is_left_out),
        cmocka_unit_test(test_teaching__chasing_heart_rate_starts_hard_and_lets_down),
        cmocka_unit_test(test_teaching__refuses_with_a_reason),
        cmocka_unit_test(test_teaching__nothing_left_has_no_sign),
        cmocka_unit_test(test_ride_balance__reps_of_a_recording),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
