/* tests/simulated/test_faults_found.c: every fault put into a simulated ride is found where it was
 * put, and a ride without one raises nothing.  The simulator shares no code with what it tests. */
#include "check.h"

#include "coaching/ride_trust.h"
#include "simulated/faults.h"
#include "simulated/plans.h"

#include <stdio.h>
#include <string.h>

enum { SEEDS = 20, CLEAN_RIDES = 200 };

/* The sessions a fault is tried on: one each seed, in turn. */
static const enum simulated_session any[] = { SIMULATED_VO2MAX_DONE, SIMULATED_BASE_HOUR,
                                              SIMULATED_THRESHOLD_2X20, SIMULATED_OVER_UNDERS,
                                              SIMULATED_SHORT_40_20 };
/* The trainer's hand is seen in efforts of a minute and more. */
static const enum simulated_session with_reps[] = { SIMULATED_VO2MAX_DONE, SIMULATED_VO2MAX_FADED,
                                                    SIMULATED_THRESHOLD_2X20 };
static const enum simulated_session steady[] = { SIMULATED_BASE_HOUR };

static struct recording *make(struct arena *arena, enum simulated_session session, bool outdoors,
                              uint64_t seed, int fault, struct span *touched, double *max_bpm)
{
    const struct limits limits = limits_default();
    const struct simulated_rider rider = simulated_rider_draw(seed);
    const struct simulated_plan plan = simulated_plan_make(arena, &rider, session, outdoors, seed);
    struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    *max_bpm = ride.max_heart_rate_bpm;
    if (fault >= 0) {
        *touched = simulated_fault_add(arena, &ride, (enum simulated_fault)fault, seed);
    }
    return simulated_recording(arena, &ride, &plan, &limits);
}

static bool is_found(const struct recording *recording, const char *code, struct span touched)
{
    for (size_t i = 0; i < recording->n_findings; i++) {
        const struct finding *finding = &recording->findings[i];
        if (strcmp(finding->code, code) == 0 &&
            (finding->whole_ride ||
             (finding->span.from_s < touched.to_s && finding->span.to_s > touched.from_s))) {
            return true;
        }
    }
    return false;
}

/* Heart rate above maximal needs the rider's facts: a reason of the reading, not a finding. */
static bool is_reason(struct arena *arena, const struct recording *recording, const char *code,
                      double max_bpm)
{
    const struct limits limits = limits_default();
    struct rider_facts facts = facts_unknown();
    facts.max_heart_rate_bpm = max_bpm;
    struct ride_readings readings = { 0 };
    ride_trust_read(arena, recording, &facts, &limits, &readings);
    for (size_t i = 0; i < readings.items[0].because.count; i++) {
        if (strcmp(readings.items[0].because.items[i].code, code) == 0) {
            return true;
        }
    }
    return false;
}

struct tally {
    int put;
    int found;
    int others; /* findings of another code than the fault's */
};

static void count_others(const struct recording *recording, const char *code, uint64_t seed,
                         struct tally *tally)
{
    for (size_t i = 0; i < recording->n_findings; i++) {
        if (strcmp(recording->findings[i].code, code) != 0) {
            tally->others++;
            printf("# note: %s, seed %d: also %s\n", code, (int)seed, recording->findings[i].code);
        }
    }
}

static struct tally try_fault(enum simulated_fault fault)
{
    struct tally tally = { 0 };
    const char *code = simulated_fault_name(fault);
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        struct arena *arena = arena_open();
        enum simulated_session session = any[seed % COUNT(any)];
        bool outdoors = seed % 2 == 1;
        if (fault == SIMULATED_FAULT_TRAINER_HELD) {
            session = with_reps[seed % COUNT(with_reps)];
            outdoors = false;
        } else if (fault == SIMULATED_FAULT_BALANCE_DRIFT) {
            session = steady[seed % COUNT(steady)];
        }
        struct span touched = { 0, 0 };
        double max_bpm = 0.0;
        const struct recording *recording =
            make(arena, session, outdoors, seed, (int)fault, &touched, &max_bpm);
        if (touched.to_s > touched.from_s) {
            const bool found = fault == SIMULATED_FAULT_HEART_ABOVE_MAX
                                   ? is_reason(arena, recording, code, max_bpm)
                                   : is_found(recording, code, touched);
            tally.put++;
            tally.found += found;
            if (!found) {
                printf("# note: %s, seed %d, %s: not found in %d..%d\n", code, (int)seed,
                       simulated_session_name(session), touched.from_s, touched.to_s);
            }
            count_others(recording, code, seed, &tally);
        }
        arena_close(arena);
    }
    return tally;
}

static void test_faults_found__every_fault_of_every_seed(void **state)
{
    (void)state;
    struct tally sum = { 0 };
    for (int fault = 0; fault < SIMULATED_FAULT_COUNT; fault++) {
        const struct tally tally = try_fault((enum simulated_fault)fault);
        printf("# note: %s: %d of %d found\n", simulated_fault_name((enum simulated_fault)fault),
               tally.found, tally.put);
        check(tally.put >= SEEDS / 2); /* else the trial says little */
        check_integer(simulated_fault_name((enum simulated_fault)fault), tally.found, tally.put);
        sum.put += tally.put;
        sum.others += tally.others;
    }
    /* a fault may shake another check, but not often */
    printf("# note: %d rides with a fault, %d findings of another kind\n", sum.put, sum.others);
    check(sum.others * 20 <= sum.put);
}

/* Clean rides of every session, half of them outdoors. */
static void test_faults_found__a_clean_ride_has_no_finding(void **state)
{
    (void)state;
    int with_finding = 0;
    double hours = 0.0;
    for (uint64_t seed = 1; seed <= CLEAN_RIDES; seed++) {
        struct arena *arena = arena_open();
        const enum simulated_session session =
            (enum simulated_session)(seed / 2 % SIMULATED_SESSION_COUNT);
        struct span touched = { 0, 0 };
        double max_bpm = 0.0;
        const struct recording *recording =
            make(arena, session, seed % 2 == 1, 1000 + seed, -1, &touched, &max_bpm);
        hours += (double)recording->timer_s / 3600.0;
        with_finding += recording->n_findings > 0;
        for (size_t i = 0; i < recording->n_findings; i++) {
            printf("# note: clean %s, seed %d: %s at %d\n", simulated_session_name(session),
                   (int)seed, recording->findings[i].code, recording->findings[i].span.from_s);
        }
        arena_close(arena);
    }
    printf("# note: %d of %d clean rides (%.0f h) with a finding\n", with_finding, CLEAN_RIDES,
           hours);
    check(with_finding * 50 <= CLEAN_RIDES);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_faults_found__every_fault_of_every_seed),
        cmocka_unit_test(test_faults_found__a_clean_ride_has_no_finding),
    };
    return cmocka_run_group_tests_name("faults found", tests, NULL, NULL);
}
