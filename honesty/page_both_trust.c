/* honesty/page_both_trust.c: trust on the first simulator and on the second. */
#include "honesty/page_both.h"
#include "honesty/pool.h"
#include "honesty/table.h"

#include <math.h>
#include <string.h>

struct trials {
    const struct limits *limits;
    uint64_t first;
    bool second; /* simulator */
};

enum reps_place page_both_place(enum second_place place)
{
    static const enum reps_place places[SECOND_PLACES] = {
        [SECOND_TRAINER] = REPS_INDOORS_HELD,
        [SECOND_ROLLERS] = REPS_INDOORS_FREE,
        [SECOND_FLAT] = REPS_FLAT,
        [SECOND_ROLLING] = REPS_HILLY,
        [SECOND_TOWN] = REPS_TOWN,
    };
    return places[place];
}

static void try_clean(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const uint64_t seed = trials->first + PAGE_BOTH + 7 * (uint64_t)PAGE_BOTH_APART + i;
    const enum second_session session = (enum second_session)(i % SECOND_SESSIONS);
    const enum second_place place = (enum second_place)(i / SECOND_SESSIONS % SECOND_PLACES);
    const struct trust_case c = {
        .seed = seed,
        .fault = TRUST_NO_FAULT,
        .size = (double)NAN,
        .session = (enum simulated_session)(i % SIMULATED_SESSION_COUNT),
        .place = page_both_place(place),
    };
    *(struct trust_outcome *)result = trials->second
                                          ? second_clean_trial(seed, session, place, trials->limits)
                                          : trust_trial(&c, trials->limits);
}

/* Findings of clean rides: a trainer that holds the power is one, and true where it did. */
struct clean {
    double rides;
    double hours;
    double with;
    double findings;
    struct reasons which;
};

static void add_clean(struct clean *t, const struct trust_outcome *o, bool is_held)
{
    int here = 0;
    for (size_t c = 0; c < TRUST_CODES; c++) {
        const bool is_true = is_held && strcmp(trust_code(c), "trainer-held") == 0;
        for (int k = 0; !is_true && k < o->findings[c]; k++) {
            reasons_add(&t->which, trust_code(c));
            here++;
        }
    }
    t->rides += 1.0;
    t->hours += o->hours;
    t->with += here > 0;
    t->findings += here;
}

static void write_clean(struct page *page, const struct limits *limits)
{
    const size_t n = SECOND_SESSIONS * page_count(page, (size_t)SECOND_PLACES * 8, 1);
    text_add(&page->text,
             "\n### Trust\n\n"
             "Rides without a fault, but with all that devices do; every finding is a false one, "
             "but *trainer-held* where the trainer held the power.\n\n"
             "| ridden, simulator | rides | hours | rides with a finding, % | false findings in "
             "100 h | which |\n| --- | --- | --- | --- | --- | --- |\n");
    for (int s = 0; s < PAGE_SIMULATORS; s++) {
        const struct trials trials = { .limits = limits, .first = page->first, .second = s == 1 };
        struct trust_outcome *out = pool_run(page->jobs, n, sizeof *out, try_clean, &trials);
        struct clean places[2] = { 0 };
        for (size_t i = 0; i < n; i++) {
            const bool is_held = i / SECOND_SESSIONS % SECOND_PLACES == SECOND_TRAINER;
            add_clean(&places[is_held], &out[i], is_held);
        }
        for (int k = 0; k < 2; k++) {
            const struct clean *t = &places[k];
            const char *name = arena_format(page->arena, "%s, %s simulator",
                                            k == 1 ? "the trainer holds the power" : "all else",
                                            page_both_simulator(s == 1));
            text_add_format(&page->text, "| %s | %.0f | %.0f | %s | %s | %s |\n", name, t->rides,
                            t->hours, table_share(page->arena, t->with, t->rides),
                            table_rate(page->arena, t->findings, t->hours),
                            reasons_text(page->arena, &t->which));
            page_aim(page,
                     arena_format(page->arena, "both: trust, %s: clean rides with a finding", name),
                     0.0, 5.0, t->with, t->rides);
        }
        pool_free(out, n, sizeof *out);
    }
}

static const enum simulated_fault put[] = {
    SIMULATED_FAULT_POWER_SPIKE,        SIMULATED_FAULT_POWER_DROPOUT_MISSING,
    SIMULATED_FAULT_POWER_DROPOUT_ZERO, SIMULATED_FAULT_POWER_STUCK,
    SIMULATED_FAULT_HEART_DROPOUT,      SIMULATED_FAULT_HEART_FLAT,
    SIMULATED_FAULT_HEART_JUMP,         SIMULATED_FAULT_CADENCE_LOCK,
};
static const char *const put_names[] = {
    "power spike",         "power missing",         "0 W while the legs turn",
    "power stuck",         "heart rate missing",    "heart rate stands still",
    "heart rate jumps up", "heart rate is cadence",
};
#define N_PUT (sizeof put / sizeof put[0])

static void try_fault(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    *(struct trust_outcome *)result =
        second_fault_trial(trials->first + PAGE_BOTH + 8 * (uint64_t)PAGE_BOTH_APART + i,
                           put[i % N_PUT], trials->limits);
}

static void write_faults(struct page *page, const struct limits *limits)
{
    const size_t n = N_PUT * page_count(page, 90, 1);
    const struct trials trials = { .limits = limits, .first = page->first, .second = true };
    struct trust_outcome *out = pool_run(page->jobs, n, sizeof *out, try_fault, &trials);
    text_add(&page->text, "\nKnown faults put into the second simulator's rides:\n\n"
                          "| fault | put in | found, % |\n| --- | --- | --- |\n");
    for (size_t f = 0; f < N_PUT; f++) {
        double tried = 0.0;
        double found = 0.0;
        for (size_t i = f; i < n; i += N_PUT) {
            tried += out[i].put;
            found += out[i].put && out[i].found;
        }
        text_add_format(&page->text, "| %s | %.0f | %s |\n", put_names[f], tried,
                        table_share(page->arena, found, tried));
        page_aim(
            page,
            arena_format(page->arena, "both: trust, second simulator: found: %s", put_names[f]),
            99.0, 100.0, found, tried);
    }
    pool_free(out, n, sizeof *out);
}

void page_both_trust(struct page *page, const struct limits *limits)
{
    write_clean(page, limits);
    write_faults(page, limits);
}
