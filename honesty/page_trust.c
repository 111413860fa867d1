/* honesty/page_trust.c: trust, against known faults, clean rides and real ones. */
#include "honesty/day_trial.h"
#include "honesty/page.h"
#include "honesty/pool.h"
#include "honesty/real_doubts.h"
#include "honesty/real_rides.h"
#include "honesty/table.h"
#include "honesty/trust_trial.h"

#include <math.h>
#include <string.h>

enum { FAULTS = 0x9000000, CLEAN = 0xa000000, REAL = 0xb000000, SIZES = 6, PLACES = 5 };

/* Each fault at several sizes, some of them below what is looked for; NAN ends a row. */
static const struct fault_row {
    enum simulated_fault fault;
    const char *name;
    const char *unit;
    double size[SIZES];
} faults[SIMULATED_FAULT_COUNT] = {
    { SIMULATED_FAULT_POWER_SPIKE,
      "power spike above what is around it",
      "W",
      { 300, 500, 700, 1500, 5000, 40000 } },
    { SIMULATED_FAULT_POWER_DROPOUT_MISSING,
      "power missing",
      "s",
      { 1, 3, 8, 30, 90, (double)NAN } },
    { SIMULATED_FAULT_POWER_DROPOUT_ZERO,
      "0 W while the legs turn",
      "s",
      { 3, 5, 7, 20, 60, (double)NAN } },
    { SIMULATED_FAULT_POWER_STUCK, "power stuck", "s", { 8, 15, 20, 60, 180, (double)NAN } },
    { SIMULATED_FAULT_TRAINER_HELD,
      "trainer holds the power, scatter",
      "%",
      { 0.4, 1.0, 1.4, 2.0, 3.0, (double)NAN } },
    { SIMULATED_FAULT_HEART_DROPOUT,
      "heart rate missing or 0",
      "s",
      { 3, 15, 60, 300, (double)NAN, (double)NAN } },
    { SIMULATED_FAULT_HEART_FLAT,
      "heart rate stands still while power changes",
      "s",
      { 60, 75, 120, 240, (double)NAN, (double)NAN } },
    { SIMULATED_FAULT_HEART_JUMP,
      "heart rate jumps up",
      "beats",
      { 15, 20, 25, 40, 70, (double)NAN } },
    { SIMULATED_FAULT_CADENCE_LOCK,
      "heart rate is cadence",
      "s",
      { 60, 90, 120, 300, 900, (double)NAN } },
    { SIMULATED_FAULT_HEART_ABOVE_MAX,
      "heart rate above the maximum",
      "beats",
      { 2, 4, 6, 10, (double)NAN, (double)NAN } },
    { SIMULATED_FAULT_BALANCE_DRIFT,
      "left and right part ways",
      "points",
      { 3, 5, 9, 15, (double)NAN, (double)NAN } },
    { SIMULATED_FAULT_HOT, "hot all along", "degrees", { 25, 26, 28, 32, 37, (double)NAN } },
};

struct trials {
    const struct limits *limits;
    uint64_t first;
    size_t each;
};

/* ---- known faults ---- */

static void try_fault(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const size_t cell = i / trials->each;
    const struct fault_row *fault = &faults[cell / SIZES];
    const double size = fault->size[cell % SIZES];
    if (isnan(size)) {
        return;
    }
    const struct trust_case c = trust_case_of((int)fault->fault, size, trials->first + FAULTS + i);
    *(struct trust_outcome *)result = trust_trial(&c, trials->limits);
}

static void write_faults(struct page *page, const struct trials *trials)
{
    const size_t n = (size_t)SIMULATED_FAULT_COUNT * SIZES * trials->each;
    struct trust_outcome *out = pool_run(page->jobs, n, sizeof *out, try_fault, trials);
    text_add(&page->text,
             "\n### Known faults in simulated rides\n\n"
             "*Other findings*: of another code than the fault's, in the same rides. A size below "
             "the limit should not be found: what is small is not claimed.\n\n"
             "| fault | size | code | rides | found, % | other findings |\n"
             "| --- | --- | --- | --- | --- | --- |\n");
    for (size_t cell = 0; cell < (size_t)SIMULATED_FAULT_COUNT * SIZES; cell++) {
        const struct fault_row *fault = &faults[cell / SIZES];
        if (isnan(fault->size[cell % SIZES])) {
            continue;
        }
        const char *code = simulated_fault_name(fault->fault);
        double put = 0.0;
        double found = 0.0;
        struct reasons others = { 0 };
        for (size_t k = 0; k < trials->each; k++) {
            const struct trust_outcome *o = &out[cell * trials->each + k];
            put += o->put;
            found += o->put && o->found;
            for (size_t c = 0; c < TRUST_CODES && o->put; c++) {
                if (o->findings[c] > 0 && strcmp(trust_code(c), code) != 0) {
                    reasons_add(&others, trust_code(c));
                }
            }
        }
        text_add_format(&page->text, "| %s | %g %s | %s | %.0f | %s | %s |\n", fault->name,
                        fault->size[cell % SIZES], fault->unit, code, put,
                        table_share(page->arena, found, put), reasons_text(page->arena, &others));
    }
    pool_free(out, n, sizeof *out);
}

/* ---- clean rides ---- */

static const enum reps_place clean_places[PLACES] = { REPS_AS_DRAWN_INDOORS, REPS_AS_DRAWN_OUTDOORS,
                                                      REPS_TOWN, REPS_TOWN_AUTO_PAUSE,
                                                      REPS_FLAT_SMART };

static void try_clean(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const struct trust_case c = {
        .seed = trials->first + CLEAN + i,
        .fault = TRUST_NO_FAULT,
        .size = (double)NAN,
        .session = (enum simulated_session)(i / PLACES % SIMULATED_SESSION_COUNT),
        .place = clean_places[i % PLACES],
    };
    *(struct trust_outcome *)result = trust_trial(&c, trials->limits);
}

static void write_clean(struct page *page, const struct trials *trials)
{
    const size_t n = (size_t)PLACES * SIMULATED_SESSION_COUNT * page_count(page, 10, 1);
    struct trust_outcome *out = pool_run(page->jobs, n, sizeof *out, try_clean, trials);
    text_add(&page->text,
             "\n### Clean simulated rides\n\n"
             "Every session, with nothing wrong but what devices do; every finding is "
             "a false one.\n\n"
             "| ride | rides | hours | rides with a finding, % | false findings in 100 "
             "h | which |\n| --- | --- | --- | --- | --- | --- |\n");
    for (size_t p = 0; p <= PLACES; p++) {
        double rides = 0.0;
        double hours = 0.0;
        double with = 0.0;
        double findings = 0.0;
        struct reasons which = { 0 };
        for (size_t i = 0; i < n; i++) {
            if (p < PLACES && i % PLACES != p) {
                continue;
            }
            int here = 0;
            for (size_t c = 0; c < TRUST_CODES; c++) {
                here += out[i].findings[c];
                for (int k = 0; k < out[i].findings[c]; k++) {
                    reasons_add(&which, trust_code(c));
                }
            }
            rides += 1.0;
            hours += out[i].hours;
            with += here > 0;
            findings += here;
        }
        if (p == PLACES) {
            page_aim(page, "trust: clean simulated rides with a false finding", 0.0, 5.0, with,
                     rides);
        }
        text_add_format(&page->text, "| %s | %.0f | %.0f | %s | %s | %s |\n",
                        p < PLACES ? reps_place_name(clean_places[p]) : "all", rides, hours,
                        table_share(page->arena, with, rides),
                        table_rate(page->arena, findings, hours),
                        reasons_text(page->arena, &which));
    }
    pool_free(out, n, sizeof *out);
}

/* ---- real rides ---- */

/* Whether the code is one of the words. */
static bool has_word(const char *words, const char *code)
{
    const size_t length = strlen(code);
    for (const char *at = strstr(words, code); at != NULL; at = strstr(at + 1, code)) {
        const bool begins = at == words || at[-1] == ' ';
        if (begins && (at[length] == ' ' || at[length] == '\0')) {
            return true;
        }
    }
    return false;
}

/* In the order of their rows. */
static const enum simulated_fault put_into_real[] = {
    SIMULATED_FAULT_POWER_SPIKE,        SIMULATED_FAULT_POWER_DROPOUT_MISSING,
    SIMULATED_FAULT_POWER_DROPOUT_ZERO, SIMULATED_FAULT_POWER_STUCK,
    SIMULATED_FAULT_HEART_DROPOUT,      SIMULATED_FAULT_HEART_FLAT,
    SIMULATED_FAULT_HEART_JUMP,         SIMULATED_FAULT_CADENCE_LOCK,
};
#define N_PUT (sizeof put_into_real / sizeof put_into_real[0])

struct real_tally {
    double hours;
    double rides;
    double found[TRUST_CODES];
    double untrue[TRUST_CODES];
    double unseen[TRUST_CODES]; /* nobody has looked at them yet */
    double put[N_PUT];
    double put_found[N_PUT];
};

struct real_trials {
    const struct trials *trials;
    const struct recording *real;
    size_t each;
};

static void try_real(size_t i, const void *context, void *result)
{
    const struct real_trials *r = context;
    *(struct trust_outcome *)result = trust_trial_in_real(
        r->real, put_into_real[i / r->each], r->trials->first + REAL + i, r->trials->limits);
}

static void put_faults(struct page *page, const struct trials *trials, const struct recording *real,
                       struct real_tally *tally)
{
    const struct real_trials r = { trials, real, page_count(page, 15, 1) };
    const size_t n = N_PUT * r.each;
    struct trust_outcome *out = pool_run(page->jobs, n, sizeof *out, try_real, &r);
    for (size_t i = 0; i < n; i++) {
        tally->put[i / r.each] += out[i].put;
        tally->put_found[i / r.each] += out[i].put && out[i].found;
    }
    pool_free(out, n, sizeof *out);
}

static bool read_real(struct page *page, const struct trials *trials, struct real_tally *tally,
                      struct error *err)
{
    size_t n_rows = 0;
    const struct real_ride *rows = real_rides(&n_rows);
    for (size_t i = 0; i < n_rows; i++) {
        struct arena *arena = arena_open();
        struct recording *real = NULL;
        if (!real_ride_read(arena, page->shared, &rows[i], trials->limits, &real, err)) {
            arena_close(arena);
            return false;
        }
        if (real->is_ride) {
            const struct rider_facts facts = facts_unknown();
            struct ride_readings readings = { 0 };
            struct trust_outcome out = { 0 };
            if (!reading_make(arena, real, &facts, trials->limits, &readings, err)) {
                arena_close(arena);
                return false;
            }
            trust_count(real, &readings, &out);
            tally->hours += (double)real->timer_s / 3600.0;
            tally->rides += 1.0;
            for (size_t c = 0; c < TRUST_CODES; c++) {
                tally->found[c] += out.findings[c];
                if (has_word(rows[i].false_codes, trust_code(c))) {
                    tally->untrue[c] += out.findings[c];
                } else if (!has_word(rows[i].codes, trust_code(c))) {
                    tally->unseen[c] += out.findings[c];
                }
            }
            const bool complete = real->value[CHANNEL_POWER] != NULL &&
                                  real->value[CHANNEL_HEART_RATE] != NULL &&
                                  real->value[CHANNEL_CADENCE] != NULL;
            if (complete) {
                put_faults(page, trials, real, tally);
            }
        }
        arena_close(arena);
    }
    return true;
}

static void write_real(struct page *page, const struct real_tally *tally)
{
    struct arena *a = page->arena;
    text_add(&page->text,
             "\n### Real rides\n\n"
             "Every finding was looked at beside its data; *false* is what isn't so. The limits "
             "were set on these very rides (in-sample): expect more on others. Heart rate above "
             "the maximum needs the rider's maximum and isn't judged here.\n\n"
             "| code | hours | findings | false | not looked at | false in 100 h |\n"
             "| --- | --- | --- | --- | --- | --- |\n");
    double sums[3] = { 0 };
    for (size_t c = 0; c < TRUST_CODES; c++) {
        text_add_format(&page->text, "| %s | %.1f | %.0f | %.0f | %.0f | %s |\n", trust_code(c),
                        tally->hours, tally->found[c], tally->untrue[c], tally->unseen[c],
                        table_rate(a, tally->untrue[c], tally->hours));
        sums[0] += tally->found[c];
        sums[1] += tally->untrue[c];
        sums[2] += tally->unseen[c];
    }
    text_add_format(&page->text, "| all | %.1f | %.0f | %.0f | %.0f | %s |\n", tally->hours,
                    sums[0], sums[1], sums[2], table_rate(a, sums[1], tally->hours));
    text_add(&page->text, "\n### Known faults in real rides\n\n"
                          "The ride is real, the fault is put in at a place and of a size by "
                          "chance, beyond what a sound sensor does.\n\n"
                          "| fault | put in | found, % |\n| --- | --- | --- |\n");
    for (size_t f = 0; f < N_PUT; f++) {
        text_add_format(&page->text, "| %s | %.0f | %s |\n", faults[put_into_real[f]].name,
                        tally->put[f], table_share(a, tally->put_found[f], tally->put[f]));
        page_aim(page,
                 arena_format(a, "trust: known fault found in real rides: %s",
                              faults[put_into_real[f]].name),
                 99.0, 100.0, tally->put_found[f], tally->put[f]);
    }
}

/* ---- what only the rider's past shows of them ---- */

struct doubt_tally {
    double hours;
    double rides;
    double by_others; /* rides held against other rides alone */
    double found[DAY_DOUBTS];
    double untrue[DAY_DOUBTS];
    double unseen[DAY_DOUBTS];
};

static bool read_doubts(struct page *page, const struct trials *trials, struct doubt_tally *tally,
                        struct error *err)
{
    size_t n_rows = 0;
    const struct real_doubt *rows = real_doubts(&n_rows);
    for (size_t i = 0; i < n_rows; i++) {
        struct arena *arena = arena_open();
        struct real_doubt_outcome out;
        if (!real_doubt_look(arena, page->shared, i, trials->limits, &out, err)) {
            arena_close(arena);
            return false;
        }
        tally->hours += out.is_looked_at ? out.hours : 0.0;
        tally->rides += out.is_looked_at;
        tally->by_others += out.is_looked_at && out.by_others;
        for (size_t f = out.n_before; f < out.recording->n_findings; f++) {
            for (int k = 0; k < DAY_DOUBTS; k++) {
                const char *code = day_doubt_code(k);
                if (strcmp(out.recording->findings[f].code, code) == 0) {
                    tally->found[k] += 1.0;
                    tally->untrue[k] += has_word(rows[i].false_codes, code);
                    tally->unseen[k] += !has_word(rows[i].codes, code);
                }
            }
        }
        arena_close(arena);
    }
    return true;
}

static void write_doubts(struct page *page, const struct doubt_tally *tally)
{
    text_add_format(
        &page->text,
        "\n### Real rides, by what only the rider's past shows\n\n"
        "%.0f rides with power and heart rate. %.0f of them are one rider's, by place and years: "
        "each is held against the response fitted to the others. Of the other riders there are one "
        "or two each: these are held against the response to quarters of those very rides, which "
        "hides what is wrong with a whole ride. Every finding was looked at beside its data.\n\n"
        "| code | hours | findings | false | not looked at | false in 100 h |\n"
        "| --- | --- | --- | --- | --- | --- |\n",
        tally->rides, tally->by_others);
    for (int k = 0; k < DAY_DOUBTS; k++) {
        text_add_format(&page->text, "| %s | %.1f | %.0f | %.0f | %.0f | %s |\n", day_doubt_code(k),
                        tally->hours, tally->found[k], tally->untrue[k], tally->unseen[k],
                        table_rate(page->arena, tally->untrue[k], tally->hours));
    }
}

bool page_trust(struct page *page, struct error *err)
{
    const struct limits limits = limits_default();
    const struct trials trials = { &limits, page->first, page_count(page, 50, 1) };
    text_add(&page->text, "\n## Trust\n");
    write_faults(page, &trials);
    write_clean(page, &trials);
    struct real_tally tally = { 0 };
    struct doubt_tally doubts = { 0 };
    if (page->shared != NULL &&
        (!read_real(page, &trials, &tally, err) || !read_doubts(page, &trials, &doubts, err))) {
        return false;
    }
    write_real(page, &tally);
    write_doubts(page, &doubts);
    return true;
}
