/* roster/ride_power.c: a rider's critical power from the store, and what a ride took of W'. */
#include "roster/ride_power.h"

#include "base/dates.h"
#include "coaching/ride_balance.h"
#include "physiology/protocols.h"
#include "roster/facts.h"

#include <math.h>

/* ---- marked tests ---- */

static void add_effort(struct power_tests *tests, const struct past_ride *ride, struct span span,
                       double mean_w, bool is_maximal)
{
    tests->efforts[tests->n++] =
        (struct duration_effort){ .duration_s = (double)(span.to_s - span.from_s),
                                  .mean_w = mean_w,
                                  .ride = ride->id,
                                  .start_s = span.from_s,
                                  .day = ride->day,
                                  .is_maximal = is_maximal,
                                  .said_by = DURATION_SAID_TEST };
}

/* Ridden as hard a second time: something was kept back. */
static bool is_again(const struct reps *reps, size_t which, const struct limits *limits)
{
    const struct rep *one = &reps->items[which];
    const int32_t length = one->span.to_s - one->span.from_s;
    for (size_t i = 0; i < reps->count; i++) {
        const struct rep *other = &reps->items[i];
        if (i != which && other->span.to_s - other->span.from_s >= length &&
            other->mean_power_w >= limits->value[LIMIT_EFFORT_AGAIN_RATIO] * one->mean_power_w) {
            return true;
        }
    }
    return false;
}

/* Efforts of any length: all-out are those that drove heart rate near maximal. */
static void add_reps(struct arena *scratch, const struct past_ride *ride,
                     const struct recording *recording, const struct rider_facts *facts,
                     const struct limits *limits, struct power_tests *tests)
{
    const double *v = limits->value;
    const struct reps reps = reps_find(scratch, recording, facts, limits);
    for (size_t i = 0; i < reps.count && tests->n < tests->most; i++) {
        const struct rep *rep = &reps.items[i];
        const double length_s = (double)(rep->span.to_s - rep->span.from_s);
        const double share = rep->heart_peak_bpm / facts->max_heart_rate_bpm; /* NAN unknown */
        if (!rep->is_block && !isnan(rep->mean_power_w) && !isnan(share) &&
            length_s >= v[LIMIT_TEST_MANY_LEAST_S]) {
            add_effort(tests, ride, rep->span, rep->mean_power_w,
                       share >= v[LIMIT_EFFORT_HEART_RATIO] && !is_again(&reps, i, limits));
        }
    }
}

/* The coach's word stands unless the heart says otherwise: known at its end, and not near maximal.
 * Under LIMIT_EFFORT_HEART_LEAST_S it comes too late to say anything. */
static bool is_believed(const struct test_effort *effort, const struct rider_facts *facts,
                        const struct limits *limits)
{
    const double *v = limits->value;
    return (double)(effort->span.to_s - effort->span.from_s) < v[LIMIT_EFFORT_HEART_LEAST_S] ||
           !(effort->heart_end_bpm < v[LIMIT_TEST_HEART_RATIO] * facts->max_heart_rate_bpm);
}

static void add_tests(struct arena *scratch, const struct past_ride *ride,
                      const struct recording *recording, const struct rider_facts *facts,
                      const struct limits *limits, struct power_tests *tests)
{
    const struct protocol_tests found = protocols_find(scratch, recording, facts, limits);
    bool is_many = false;
    for (size_t i = 0; i < found.count; i++) {
        const struct protocol_test *test = &found.items[i];
        for (size_t k = 0; test->protocol == PROTOCOL_MANY && k < test->n_efforts; k++) {
            is_many = true;
            if (tests->n < tests->most) {
                add_effort(tests, ride, test->efforts[k].span, test->efforts[k].mean_w,
                           is_believed(&test->efforts[k], facts, limits));
            }
        }
        if (test->protocol == PROTOCOL_ALL_OUT && test->valid) {
            tests->all_out = (struct power_all_out){ .is_found = true,
                                                     .ride = ride->id,
                                                     .day = ride->day,
                                                     .cp_w = test->estimate_w,
                                                     .w_prime_j = 1000.0 * test->w_prime_kj };
        }
    }
    if (!is_many) {
        add_reps(scratch, ride, recording, facts, limits, tests);
    }
}

static bool look_into(struct roster *roster, const struct past_ride *ride,
                      const struct limits *limits, struct power_tests *tests, struct error *err)
{
    struct arena *scratch = arena_open();
    struct db *db = roster_db(roster);
    struct ride_row row = { 0 };
    struct rider_facts facts = facts_unknown();
    struct recording recording = { 0 };
    bool ok = recordings_row(db, scratch, ride->id, &row, err);
    if (ok) {
        const struct ride_facts place = { .rider = row.rider,
                                          .day = row.local_day,
                                          .recording = row.id };
        ok = facts_of_ride(roster, scratch, &place, &facts, err) &&
             recordings_load(db, scratch, ride->id, &recording, err);
    }
    if (ok) {
        /* What was asked is no hint here: a test is told by what was ridden. */
        facts.kind = KIND_UNKNOWN;
        facts.reps_asked = 0;
        facts.n_given = 0;
        facts.rep_duration_s = (double)NAN;
        facts.target = facts_unknown().target;
        add_tests(scratch, ride, &recording, &facts, limits, tests);
    }
    arena_close(scratch);
    return ok;
}

bool ride_power_of_rider(struct roster *roster, struct arena *arena,
                         const struct rider_history *history, const struct limits *limits,
                         struct rider_power *out, struct error *err)
{
    enum { EFFORTS_A_RIDE = 8 };
    const size_t from = history_ride_from(
        history, history->today + 1 - (int64_t)limits->value[LIMIT_CP_WINDOW_DAYS]);
    struct power_tests tests = { .most = (history->n_rides - from) * EFFORTS_A_RIDE + 1 };
    tests.efforts = ARENA_ARRAY(arena, struct duration_effort, tests.most);
    for (size_t i = from; i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        if (ride->is_ride && ride->has_power && ride->marked && !ride->race && !ride->spoiled &&
            !look_into(roster, ride, limits, &tests, err)) {
            return false;
        }
    }
    rider_power_read_with(arena, history, &tests, limits, out);
    return true;
}

/* ---- a ride ---- */

bool ride_power_before(struct roster *roster, struct arena *arena,
                       const struct rider_history *history, int64_t day,
                       const struct limits *limits, struct rider_power *out, struct error *err)
{
    struct rider_history before = *history;
    before.n_rides = history_ride_from(&before, day);
    before.today = day - 1;
    return ride_power_of_rider(roster, arena, &before, limits, out, err);
}

bool ride_power_add(struct roster *roster, struct arena *arena, const struct rider_history *history,
                    const struct ride_row *row, const struct limits *limits,
                    const struct recording *recording, struct ride_readings *readings,
                    struct error *err)
{
    struct rider_power power;
    if (row->local_day == NULL || !recording->is_ride) {
        return true;
    }
    if (!ride_power_before(roster, arena, history, dates_day_number(row->local_day), limits, &power,
                           err)) {
        return false;
    }
    struct ride_balance *balance = ARENA_ARRAY(arena, struct ride_balance, 1);
    *balance = ride_balance_read(arena, recording, &readings->reps, &power.curve, limits);
    readings->balance = balance;
    return true;
}
