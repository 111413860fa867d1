/* tests/simulated/test_faults_found.c: every fault put into a simulated ride is found where it was
 * put, and a ride without one raises nothing.  The simulator shares no code with what it tests. */
#include "check.h"

#include "honesty/trust_trial.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { SEEDS = 20, CLEAN_RIDES = 200 };

struct tally {
    int put;
    int found;
    int others; /* findings of another code than the fault's */
};

static void count_others(const struct trust_outcome *o, const char *code, uint64_t seed,
                         struct tally *tally)
{
    for (size_t i = 0; i < TRUST_CODES; i++) {
        if (o->findings[i] > 0 && strcmp(trust_code(i), code) != 0) {
            tally->others += o->findings[i];
            printf("# note: %s, seed %d: also %s\n", code, (int)seed, trust_code(i));
        }
    }
}

static struct tally try_fault(enum simulated_fault fault)
{
    struct tally tally = { 0 };
    const struct limits limits = limits_default();
    const char *code = simulated_fault_name(fault);
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        const struct trust_case c = trust_case_of((int)fault, (double)NAN, seed);
        const struct trust_outcome o = trust_trial(&c, &limits);
        if (!o.put) {
            continue;
        }
        tally.put++;
        tally.found += o.found;
        if (!o.found) {
            printf("# note: %s, seed %d, %s: not found in %d..%d\n", code, (int)seed,
                   simulated_session_name(c.session), o.touched.from_s, o.touched.to_s);
        }
        count_others(&o, code, seed, &tally);
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
    const struct limits limits = limits_default();
    int with_finding = 0;
    double hours = 0.0;
    for (uint64_t seed = 1; seed <= CLEAN_RIDES; seed++) {
        struct trust_case c = trust_case_of(TRUST_NO_FAULT, (double)NAN, 1000 + seed);
        c.session = (enum simulated_session)(seed / 2 % SIMULATED_SESSION_COUNT);
        const struct trust_outcome o = trust_trial(&c, &limits);
        hours += o.hours;
        int findings = 0;
        for (size_t i = 0; i < TRUST_CODES; i++) {
            findings += o.findings[i];
            if (o.findings[i] > 0) {
                printf("# note: clean %s, seed %d: %s at %d\n", simulated_session_name(c.session),
                       (int)seed, trust_code(i), o.first[i].from_s);
            }
        }
        with_finding += findings > 0;
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
