/* Drift against rides whose truth is known: how often the likely range holds it.  The trials are
 * those of the long run (honesty/base_trial.h), which docs/honesty.md comes from. */
#include "check.h"

#include "honesty/base_trial.h"

#include <math.h>
#include <stdio.h>

enum { RIDES_A_KIND = 90 };

static const double LINE_BPM = 10.0;

struct tally {
    double rides;
    double known;
    double held;    /* truth inside the 90 % interval */
    double width;   /* sum, bpm */
    double error;   /* sum of estimate - truth */
    double decided; /* interval wholly on one side of the line */
    double wrong;   /* and the truth on the other */
};

static void add(struct tally *to, const struct tally *from)
{
    to->rides += from->rides;
    to->known += from->known;
    to->held += from->held;
    to->width += from->width;
    to->error += from->error;
    to->decided += from->decided;
    to->wrong += from->wrong;
}

static void note(const char *name, const struct tally *t)
{
    printf("# note: %-12s %4.0f rides, held %.1f %%, width %.1f bpm, bias %+.2f, wrong side "
           "%.1f %%, on the line %.0f %%, no drift %.1f %%\n",
           name, t->rides, 100.0 * t->held / t->known, t->width / t->known, t->error / t->known,
           100.0 * t->wrong / t->known, 100.0 * (1.0 - t->decided / t->known),
           100.0 * (1.0 - t->known / t->rides));
}

static struct tally judge(const struct base_case *c, const struct limits *limits)
{
    const struct base_outcome o = base_trial(c, limits);
    struct tally tally = { .rides = 1.0, .known = o.known };
    if (o.known) {
        tally.held = o.low_bpm <= o.truth_bpm && o.truth_bpm <= o.high_bpm;
        tally.width = o.high_bpm - o.low_bpm;
        tally.error = o.estimate_bpm - o.truth_bpm;
        tally.decided = o.high_bpm < LINE_BPM || o.low_bpm > LINE_BPM;
        tally.wrong = (o.high_bpm < LINE_BPM && o.truth_bpm > LINE_BPM) ||
                      (o.low_bpm > LINE_BPM && o.truth_bpm < LINE_BPM);
    }
    return tally;
}

static void test_drift__likely_range_holds_the_truth_nine_times_in_ten(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct tally all = { 0 };
    struct tally by_place[2] = { 0 };
    struct tally by_shape[3] = { 0 };
    struct tally eased = { 0 };
    struct tally gaps = { 0 };
    double lowest = 1.0;
    for (int kind = 0; kind < SIMULATED_NOISE_COUNT; kind++) {
        struct tally tally = { 0 };
        for (int i = 0; i < RIDES_A_KIND; i++) {
            const uint64_t seed = (uint64_t)(kind * 100000 + i + 1);
            const struct base_case s = base_case_draw(seed, i, (enum simulated_noise)kind);
            const struct tally one = judge(&s, &limits);
            add(&tally, &one);
            add(&by_place[s.outdoors], &one);
            add(&by_shape[s.shape], &one);
            if (s.eases_off) {
                add(&eased, &one);
            }
            if (s.missing) {
                add(&gaps, &one);
            }
        }
        note(simulated_noise_name((enum simulated_noise)kind), &tally);
        lowest = fmin(lowest, tally.held / tally.known);
        add(&all, &tally);
    }
    note("indoors", &by_place[0]);
    note("outdoors", &by_place[1]);
    note("straight", &by_shape[0]);
    note("early", &by_shape[1]);
    note("late", &by_shape[2]);
    note("eases off", &eased);
    note("gaps", &gaps);
    note("all", &all);
    check(all.rides >= 500.0);
    /* Outdoors a road with hills and junctions isn't steady, and that is said instead. */
    check(by_place[0].known >= 0.99 * by_place[0].rides);
    check(by_place[1].known >= 0.5 * by_place[1].rides);
    check(lowest >= 0.85);
    check(all.held >= 0.88 * all.known && all.held <= 0.95 * all.known);
    check(all.wrong <= 0.05 * all.known);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_drift__likely_range_holds_the_truth_nine_times_in_ten),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
