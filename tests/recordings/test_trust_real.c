/* tests/recordings/test_trust_real.c: what trust says of real rides.
 *
 * The table holds the findings of each recording as they stand after someone looked at every one
 * beside its data; a change of any of them fails here and must be looked at again.  The second
 * test puts the simulator's faults into the real rides: the ride is real, the fault is known. */
#include "check.h"

#include "recording/grid.h"
#include "recording/trust.h"
#include "simulated/faults.h"

#include <stdio.h>
#include <string.h>

/* codes: in the order found.  n_false: those that aren't so, by the data beside them.
 *   power-dropout       missing in the file while other channels came
 *   ride-road-88min     the 1336 W stand alone between zeros, cadence from 0 to 177 and back; 110
 *                       beats for 75 s while power went from 100 to 210 W, then up 12 within 4 s
 *   ride-3h48           heart rate 37 to 67 at 230 to 450 W after the strap fell out; the device's
 *                       mean of 203 W is the one without coasting
 *   steady-76min        spikes with cadence 11 or 215 beside; its own sums are of less than the
 * file short-efforts       all power on the right side, byte 228, in every record hot, high as the
 * thermometer and the altimeter say */
static const struct {
    const char *file;
    const char *codes;
    int n_false;
} rows[] = {
    { "dive-computer-53min-hr.fit", "heart-dropout", 0 },
    { "footpod-run-57min-power-hr-devfields.fit", "", 0 },
    { "hard-ride-78min-power-hr-balance.fit", "heart-dropout", 0 },
    { "indoor-intervals-38min-power-hr.fit", "power-dropout", 0 },
    { "indoor-steady-then-intervals-48min-power-hr.fit", "hot", 0 },
    { "long-ride-6h-power-hr-balance-b.fit",
      "power-dropout power-dropout power-dropout heart-dropout", 0 },
    { "long-ride-6h-power-hr-balance.fit", "", 0 },
    { "ride-2h08-power-hr-zones.fit", "", 0 },
    { "ride-2h39-power-no-hr-balance.fit", "high", 0 },
    { "ride-2h50-power-hr.fit", "", 0 },
    { "ride-3h31-hr-no-power.fit", "hot", 0 },
    { "ride-3h48-power-hr-spikes.fit",
      "power-spike heart-dropout heart-low heart-low summary-differs", 0 },
    { "ride-3h50-power-hr.fit", "", 0 },
    { "ride-55min-power-no-hr.fit", "", 0 },
    { "ride-57min-power-hr.fit", "", 0 },
    { "ride-60min-no-sensors.fit", "", 0 },
    { "ride-79min-power-hr.fit", "summary-differs", 0 },
    { "ride-7h-hr-hrv.fit", "", 0 },
    { "ride-8h-hr-116-stops.fit", "", 0 },
    { "ride-92min-power-hr.fit", "power-dropout", 0 },
    { "ride-97min-power-hr.fit", "summary-differs", 0 },
    { "ride-road-88min-power-hr.fit", "power-spike heart-flat", 0 },
    { "run-47min-hr.fit", "", 0 },
    { "run-intervals-75min-power-hr.fit", "", 0 },
    { "short-efforts-18min-power-hr-hrv.fit", "one-sided", 0 },
    { "short-ride-6min-power-hr.fit", "summary-differs", 0 },
    { "steady-76min-power-hr-spikes.fit", "power-spike power-spike summary-differs summary-differs",
      0 },
    { "steady-ride-2h15-power-hr-hrv.fit", "", 0 },
    { "csv-ride-2020-08-18-power-hr.csv", "sport-assumed", 0 },
    { "csv-ride-2020-08-20-power-hr.csv", "sport-assumed", 0 },
};

static struct recording *read_one(struct arena *arena, const char *file)
{
    const struct bytes bytes =
        check_shared_file(arena, arena_format(arena, "recordings/real/%s", file));
    const struct read_options options = { .file = file };
    const struct limits limits = limits_default();
    struct recordings out = { 0 };
    struct error err = { 0 };
    if (!recording_read(arena, bytes, &options, &limits, &out, &err)) {
        print_error("# %s\n", err.message);
        fail();
    }
    check(out.count >= 1);
    return out.items[0];
}

static const char *codes_of(struct arena *arena, const struct recording *recording)
{
    const char *codes = "";
    for (size_t i = 0; i < recording->n_findings; i++) {
        codes = arena_format(arena, "%s%s%s", codes, i > 0 ? " " : "", recording->findings[i].code);
    }
    return codes;
}

static void test_trust_real__findings_are_those_that_were_looked_at(void **state)
{
    (void)state;
    double hours = 0.0;
    int n_false = 0;
    int n_found = 0;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct recording *recording = read_one(arena, rows[i].file);
        check_text(rows[i].file, codes_of(arena, recording), rows[i].codes);
        if (recording->is_ride) {
            hours += (double)recording->timer_s / 3600.0;
            n_found += (int)recording->n_findings;
            n_false += rows[i].n_false;
        }
        arena_close(arena);
    }
    printf("# note: %.1f h of real rides: %d findings, %d of them false\n", hours, n_found,
           n_false);
    check(n_false * 20.0 <= hours); /* fewer than one in 20 h, all kinds together */
}

/* ---- known faults in real rides ---- */

static struct samples copy_samples(struct arena *arena, const struct samples *samples)
{
    struct samples copy = *samples;
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        if (samples->value[c] != NULL) {
            copy.value[c] = arena_copy(arena, samples->value[c], samples->count * sizeof(int32_t));
        }
    }
    return copy;
}

static bool is_found(const struct recording *recording, const char *code, struct span touched)
{
    for (size_t i = 0; i < recording->n_findings; i++) {
        const struct finding *finding = &recording->findings[i];
        if (strcmp(finding->code, code) == 0 && !finding->whole_ride &&
            finding->span.from_s < touched.to_s && finding->span.to_s > touched.from_s) {
            return true;
        }
    }
    return false;
}

/* Power is known beside the place: between missing seconds nobody could tell a spike. */
static bool is_recorded_around(const struct recording *real, struct span touched)
{
    for (int32_t t = touched.from_s - 3; t < touched.to_s + 3; t++) {
        const bool beside = t < touched.from_s || t >= touched.to_s;
        if (beside && (t < 0 || (size_t)t >= real->n_seconds ||
                       real->value[CHANNEL_POWER][t] == RECORDING_MISSING)) {
            return false;
        }
    }
    return true;
}

struct tally {
    int put;
    int found;
};

/* Puts the fault into the ride with the seed; adds to the tally if there was a place for it. */
static void try_fault(const struct recording *real, enum simulated_fault fault, uint64_t seed,
                      const char *file, struct tally *tally)
{
    struct arena *arena = arena_open();
    struct simulated_ride ride = { .samples = copy_samples(arena, &real->samples) };
    const struct span touched = simulated_fault_add(arena, &ride, fault, seed);
    if (touched.to_s > touched.from_s && is_recorded_around(real, touched)) {
        struct recording recording = *real;
        recording.samples = ride.samples;
        recording.findings = NULL;
        recording.n_findings = 0;
        recording.findings_capacity = 0;
        const struct limits limits = limits_default();
        grid_fill(arena, &recording, &limits);
        trust_check(arena, &recording, &limits);
        const bool found = is_found(&recording, simulated_fault_name(fault), touched);
        if (!found) {
            printf("# note: %s, seed %d: %s not found in %d..%d\n", file, (int)seed,
                   simulated_fault_name(fault), touched.from_s, touched.to_s);
        }
        tally->put++;
        tally->found += found;
    }
    arena_close(arena);
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
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct recording *real = read_one(arena, rows[i].file);
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
