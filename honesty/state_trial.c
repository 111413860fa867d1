/* honesty/state_trial.c: one simulated rider's base tests. */
#include "honesty/state_trial.h"

#include "coaching/base_state.h"
#include "honesty/second/random.h"
#include "honesty/second_trial.h"
#include "simulated/random.h"

#include <math.h>

enum { STREAM = 0x91, TODAY = 20500, TESTS_MOST = 4, EVERYDAY = 3, SPAN_DAYS = 90 };
enum { RIDES_MOST = TESTS_MOST + SPAN_DAYS / EVERYDAY + 1 };

static const double DAY_SD_BPM = 3.0;

/* Own numbers for each simulator, so that they share none. */
struct dice {
    bool second;
    struct simulated_random one;
    struct second_random two;
};

static double unit(struct dice *dice)
{
    return dice->second ? second_unit(&dice->two) : simulated_random_unit(&dice->one);
}

static double stray(struct dice *dice)
{
    return dice->second ? second_heavy(&dice->two) : simulated_random_normal(&dice->one);
}

static struct base_outcome ride_test(const struct state_case *c, struct dice *dice, int number,
                                     const struct limits *limits)
{
    const uint64_t seed = c->seed * 8 + (uint64_t)number;
    const double rise_bpm = fmax(c->usual_bpm + DAY_SD_BPM * stray(dice), -1.0);
    if (c->second) {
        const struct second_base_case base = { .seed = seed,
                                               .drift_bpm = rise_bpm,
                                               .ease = 1.0,
                                               .place = SECOND_ROLLERS,
                                               .quirk = (enum second_quirk)(seed %
                                                                            SECOND_QUIRK_CHANGES) };
        return second_base_trial(&base, limits);
    }
    struct base_case base =
        base_case_draw(seed, 0, (enum simulated_noise)(seed / 8 % SIMULATED_NOISE_COUNT));
    base.drift_bpm = rise_bpm;
    base.missing = false;
    return base_trial(&base, limits);
}

static void count(const struct base_outcome *outcome, bool *last_passed, struct state_outcome *out)
{
    out->tests++;
    if (outcome->verdict == VERDICT_CANNOT_TELL) {
        return;
    }
    const bool passed = outcome->verdict == VERDICT_PASSED;
    out->judged++;
    out->passed += passed;
    out->pairs += *last_passed;
    out->agreed += *last_passed && passed;
    *last_passed = passed;
}

/* Easy rides in between, so that there is no break. */
static size_t add_easy(struct past_ride rides[], size_t n, int64_t *next, int64_t until)
{
    for (; *next < until; *next += EVERYDAY) {
        rides[n] = past_ride_begin(1000 + *next, *next);
        rides[n].is_ride = rides[n].has_power = true;
        n++;
    }
    return n;
}

struct state_outcome state_trial(const struct state_case *c, const struct limits *limits)
{
    struct dice dice = { .second = c->second,
                         .one = simulated_random_begin(c->seed, STREAM),
                         .two = second_random_begin(c->seed, STREAM) };
    struct past_ride rides[RIDES_MOST];
    struct state_outcome out = { .verdict = VERDICT_CANNOT_TELL };
    const int n_tests = 2 + (int)(3.0 * unit(&dice));
    int64_t day[TESTS_MOST] = { 0 };
    int64_t at = TODAY - 2 - (int64_t)(10.0 * unit(&dice));
    for (int i = n_tests; i-- > 0;) {
        day[i] = at;
        at -= 8 + (int64_t)(17.0 * unit(&dice));
    }
    size_t n = 0;
    int64_t next = day[0] - 1;
    bool last_passed = false;
    for (int i = 0; i < n_tests; i++) {
        const struct base_outcome outcome = ride_test(c, &dice, i, limits);
        n = add_easy(rides, n, &next, day[i]);
        rides[n] = past_ride_begin(1 + i, day[i]);
        rides[n].is_ride = rides[n].has_power = rides[n].is_base_test = true;
        rides[n].base = (struct past_reading){ .is_asked = true,
                                               .verdict = outcome.verdict,
                                               .estimate = outcome.estimate_bpm,
                                               .low = outcome.low_bpm,
                                               .high = outcome.high_bpm };
        n++;
        count(&outcome, &last_passed, &out);
    }
    n = add_easy(rides, n, &next, TODAY + 1);
    struct arena *arena = arena_open();
    const struct rider_history history = { .today = TODAY,
                                           .power_since_day = INT64_MIN,
                                           .threshold_day = INT64_MIN,
                                           .rides = rides,
                                           .n_rides = n };
    out.verdict = base_state_read(arena, &history, limits).verdict;
    arena_close(arena);
    return out;
}
