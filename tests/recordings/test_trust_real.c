/* tests/recordings/test_trust_real.c: what trust says of real rides.
 *
 * The table (honesty/real_rides.c) holds the findings of each recording as they stand after someone
 * looked at every one beside its data; a change of any of them fails here and must be looked at
 * again.  The second test puts the simulator's faults into the real rides: the ride is real, the
 * fault is known. */
#include "check.h"

#include "honesty/real_rides.h"
#include "honesty/trust_trial.h"

#include <stdio.h>

static struct recording *read_one(struct arena *arena, const struct real_ride *row)
{
    const struct limits limits = limits_default();
    struct recording *recording = NULL;
    struct error err = { 0 };
    if (!real_ride_read(arena, check_shared(), row, &limits, &recording, &err)) {
        print_error("# %s\n", err.message);
        fail();
    }
    return recording;
}

static const char *codes_of(struct arena *arena, const struct recording *recording)
{
    const char *codes = "";
    for (size_t i = 0; i < recording->n_findings; i++) {
        codes = arena_format(arena, "%s%s%s", codes, i > 0 ? " " : "", recording->findings[i].code);
    }
    return codes;
}

static int count_words(const char *words)
{
    int count = 0;
    for (size_t i = 0; words[i] != '\0'; i++) {
        count += words[i] != ' ' && (i == 0 || words[i - 1] == ' ');
    }
    return count;
}

static void test_trust_real__findings_are_those_that_were_looked_at(void **state)
{
    (void)state;
    double hours = 0.0;
    int n_false = 0;
    int n_found = 0;
    size_t n_rows = 0;
    const struct real_ride *rows = real_rides(&n_rows);
    for (size_t i = 0; i < n_rows; i++) {
        struct arena *arena = arena_open();
        const struct recording *recording = read_one(arena, &rows[i]);
        check_text(rows[i].file, codes_of(arena, recording), rows[i].codes);
        if (recording->is_ride) {
            hours += (double)recording->timer_s / 3600.0;
            n_found += (int)recording->n_findings;
            n_false += count_words(rows[i].false_codes);
        }
        arena_close(arena);
    }
    printf("# note: %.1f h of real rides: %d findings, %d of them false\n", hours, n_found,
           n_false);
    check(n_false * 20.0 <= hours); /* fewer than one in 20 h, all kinds together */
}

/* ---- known faults in real rides ---- */

struct tally {
    int put;
    int found;
};

/* Puts the fault into the ride with the seed; adds to the tally if there was a place for it. */
static void try_fault(const struct recording *real, enum simulated_fault fault, uint64_t seed,
                      const char *file, struct tally *tally)
{
    const struct limits limits = limits_default();
    const struct trust_outcome out = trust_trial_in_real(real, fault, seed, &limits);
    if (out.put && !out.found) {
        printf("# note: %s, seed %d: %s not found in %d..%d\n", file, (int)seed,
               simulated_fault_name(fault), out.touched.from_s, out.touched.to_s);
    }
    tally->put += out.put;
    tally->found += out.put && out.found;
}

static void test_trust_real__known_faults_put_into_real_rides_are_found(void **state)
{
    (void)state;
    static const enum simulated_fault faults[] = {
        SIMULATED_FAULT_POWER_SPIKE,        SIMULATED_FAULT_POWER_DROPOUT_MISSING,
        SIMULATED_FAULT_POWER_DROPOUT_ZERO, SIMULATED_FAULT_POWER_STUCK,
        SIMULATED_FAULT_HEART_DROPOUT,      SIMULATED_FAULT_HEART_FLAT,
        SIMULATED_FAULT_HEART_JUMP,         SIMULATED_FAULT_CADENCE_LOCK,
    };
    struct tally tallies[COUNT(faults)] = { 0 };
    size_t n_rows = 0;
    const struct real_ride *rows = real_rides(&n_rows);
    for (size_t i = 0; i < n_rows; i++) {
        struct arena *arena = arena_open();
        const struct recording *real = read_one(arena, &rows[i]);
        const bool complete = real->is_ride && real->value[CHANNEL_POWER] != NULL &&
                              real->value[CHANNEL_HEART_RATE] != NULL &&
                              real->value[CHANNEL_CADENCE] != NULL;
        for (size_t f = 0; complete && f < COUNT(faults); f++) {
            for (uint64_t seed = 1; seed <= 3; seed++) {
                try_fault(real, faults[f], seed, rows[i].file, &tallies[f]);
            }
        }
        arena_close(arena);
    }
    for (size_t f = 0; f < COUNT(faults); f++) {
        const char *code = simulated_fault_name(faults[f]);
        printf("# note: %s in real rides: %d of %d found\n", code, tallies[f].found,
               tallies[f].put);
        check(tallies[f].put >= 30); /* else the trial says little */
        check_integer(code, tallies[f].found, tallies[f].put);
    }
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_trust_real__findings_are_those_that_were_looked_at),
        cmocka_unit_test(test_trust_real__known_faults_put_into_real_rides_are_found),
    };
    return cmocka_run_group_tests_name("trust of real rides", tests, NULL, NULL);
}
