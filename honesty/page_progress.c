/* honesty/page_progress.c: getting better, stalled: riders of known change. */
#include "honesty/page.h"
#include "honesty/pool.h"
#include "honesty/progress_trial.h"
#include "honesty/table.h"

#include <math.h>

enum { PROGRESS = 0x9000000, KINDS = 12, STALLS_FROM = 3 };

static const int changes[] = { 0, 2, 4, 6 };
enum { CHANGES = sizeof changes / sizeof changes[0] };

/* A row of four changes: so many efforts in each window. */
struct efforts_row {
    int before;
    int recent;
    bool tests;
    bool first_test;
};

static const struct efforts_row chance_rows[] = {
    { 0, 0, false, false }, { 1, 1, false, false }, { 2, 2, false, false }, { 3, 3, false, false },
    { 4, 4, false, false }, { 5, 5, false, false }, { 6, 6, false, false }, { 0, 3, false, false },
    { 3, 0, false, false }, { 1, 3, false, false }, { 2, 6, false, false }, { 6, 2, false, false },
    { 3, 6, false, false }, { 6, 3, false, false },
};
static const struct efforts_row test_rows[] = {
    { 1, 1, true, false }, { 1, 1, true, true },  { 1, 2, true, false },
    { 2, 2, true, false }, { 3, 3, true, false },
};
static const struct efforts_row ride_rows[] = {
    { 0, 0, false, false }, { 0, 3, false, false }, { 3, 3, false, false }, { 6, 6, false, false },
    { 1, 6, false, false }, { 1, 1, true, false },  { 2, 2, true, false },
};

struct trials {
    const struct limits *limits;
    uint64_t first;
    const struct efforts_row *rows;
    size_t each; /* riders of a row and a change */
    int step;    /* of the changes: every one, or every other */
    bool whole_rides;
};

/* Twelve kinds of riders in turn: what they ride, how the change comes, how long with power. */
static struct progress_case case_of(const struct trials *trials, size_t i)
{
    const size_t cell = i / trials->each;
    const size_t kind = i % trials->each % KINDS;
    const size_t per_row = CHANGES / (size_t)trials->step;
    const struct efforts_row *row = &trials->rows[cell / per_row];
    return (struct progress_case){
        .seed = trials->first + i,
        .change_pct = changes[cell % per_row * (size_t)trials->step],
        .n_before = row->before,
        .n_recent = row->recent,
        .tests = row->tests,
        .first_test = row->first_test,
        .mix = (enum progress_mix)(kind % PROGRESS_MIXES),
        .gradual = kind / 3 % 2 == 1,
        .first_year = kind / 6 == 1,
        .whole_rides = trials->whole_rides,
    };
}

static void try_case(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const struct progress_case c = case_of(trials, i);
    *(struct progress_outcome *)result = progress_trial(&c, trials->limits);
}

struct tally {
    double riders;
    double verdict[VERDICTS];
    double stalled;
    double known;
    double holds;
    double ridden;
    double seen;
};

static void add(struct tally *t, const struct progress_case *c, const struct progress_outcome *o)
{
    t->riders += 1.0;
    t->verdict[o->joint] += 1.0;
    t->stalled += o->stalled == VERDICT_YES;
    t->ridden += o->ridden;
    t->seen += o->seen;
    if (!isnan(o->estimate_pct)) {
        t->known += 1.0;
        t->holds += o->low_pct <= c->change_pct && o->high_pct >= c->change_pct;
    }
}

static void cells(struct page *page, const struct tally *t)
{
    struct arena *a = page->arena;
    const double *v = t->verdict;
    text_add_format(&page->text, "%.0f | %s | %s | %s | %s | %s | %s | %s |", t->riders,
                    table_share(a, v[VERDICT_BETTER], t->riders),
                    table_plain_share(a, v[VERDICT_NO_CLEAR_CHANGE], t->riders),
                    table_share(a, v[VERDICT_LOWER], t->riders),
                    table_plain_share(a, v[VERDICT_NOT_TESTED], t->riders),
                    table_plain_share(a, v[VERDICT_CANNOT_TELL], t->riders),
                    table_share(a, t->holds, t->known), table_share(a, t->stalled, t->riders));
}

static void heads(struct page *page, const char *first, const char *last)
{
    text_add_format(&page->text,
                    "| %s | true change, %% | riders | better, %% | no clear change, %% | lower, "
                    "%% | not tested, %% | cannot tell, %% | range holds the change, %% | stalled, "
                    "%% |%s\n| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |%s\n",
                    first, last, last[0] == '\0' ? "" : " --- |");
}

static const char *name_of(struct page *page, const struct efforts_row *row)
{
    return arena_format(page->arena, "%d against %d%s%s", row->recent, row->before,
                        row->tests ? (row->before + row->recent > 2 ? " tests" : " test") : "",
                        row->first_test ? ", the first ones" : "");
}

/* False `better` where nothing changed; false `stalled` where it did and enough was tried. */
static void aims(struct page *page, const char *name, const struct efforts_row *row, int change,
                 const struct tally *t)
{
    if (change == 0) {
        page_aim(page, arena_format(page->arena, "progress: better, though unchanged: %s", name),
                 0.0, 5.0, t->verdict[VERDICT_BETTER], t->riders);
    } else if (row->before >= STALLS_FROM && row->recent >= STALLS_FROM) {
        page_aim(
            page,
            arena_format(page->arena, "progress: stalled, though %d %% better: %s", change, name),
            0.0, 5.0, t->stalled, t->riders);
    }
}

/* One table; the tallies of riders by kind, at each change, are added to `kinds`. */
static void table(struct page *page, const struct trials *trials, size_t n_rows, const char *note,
                  struct tally kinds[KINDS][CHANGES])
{
    const size_t per_row = CHANGES / (size_t)trials->step;
    const size_t n = n_rows * per_row * trials->each;
    struct progress_outcome *out = pool_run(page->jobs, n, sizeof *out, try_case, trials);
    heads(page, "all-out efforts, recent against before",
          trials->whole_rides ? " recognised, % |" : "");
    for (size_t cell = 0; cell < n_rows * per_row; cell++) {
        const struct efforts_row *row = &trials->rows[cell / per_row];
        const int change = changes[cell % per_row * (size_t)trials->step];
        struct tally t = { 0 };
        for (size_t i = cell * trials->each; i < (cell + 1) * trials->each; i++) {
            const struct progress_case c = case_of(trials, i);
            add(&t, &c, &out[i]);
            if (kinds != NULL && row->before == row->recent && row->before >= STALLS_FROM) {
                add(&kinds[i % trials->each % KINDS][cell % per_row], &c, &out[i]);
            }
        }
        const char *name = name_of(page, row);
        text_add_format(&page->text, "| %s | %d | ", name, change);
        cells(page, &t);
        if (trials->whole_rides) {
            text_add_format(&page->text, " %s |", table_plain_share(page->arena, t.seen, t.ridden));
        }
        text_add(&page->text, "\n");
        aims(page, arena_format(page->arena, "%s%s", name, note), row, change, &t);
    }
    pool_free(out, n, sizeof *out);
}

static void merge(struct tally *sum, const struct tally *t)
{
    sum->riders += t->riders;
    sum->stalled += t->stalled;
    sum->known += t->known;
    sum->holds += t->holds;
    for (int v = 0; v < VERDICTS; v++) {
        sum->verdict[v] += t->verdict[v];
    }
}

static void by_kind(struct page *page, struct tally kinds[KINDS][CHANGES])
{
    static const struct {
        const char *name;
        size_t every;
        size_t of;
        size_t which;
    } rows[] = { { "20 min each time", 1, 3, 0 },
                 { "5, 10 and 20 min each time", 1, 3, 1 },
                 { "5, 10 or 20 min by chance", 1, 3, 2 },
                 { "the change came in a step", 3, 2, 0 },
                 { "the change came in a straight line", 3, 2, 1 },
                 { "later years with power", 6, 2, 0 },
                 { "the first year with power", 6, 2, 1 } };
    text_add(&page->text,
             "\nThe same riders by kind, from 3 against 3 to 6 against 6 efforts:\n\n");
    heads(page, "riders", "");
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        for (size_t g = 0; g < CHANGES; g++) {
            struct tally t = { 0 };
            for (size_t k = 0; k < KINDS; k++) {
                if (k / rows[r].every % rows[r].of == rows[r].which) {
                    merge(&t, &kinds[k][g]);
                }
            }
            text_add_format(&page->text, "| %s | %d | ", rows[r].name, changes[g]);
            cells(page, &t);
            text_add(&page->text, "\n");
            if (changes[g] == 0) {
                page_aim(page,
                         arena_format(page->arena, "progress: better, though unchanged: %s",
                                      rows[r].name),
                         0.0, 5.0, t.verdict[VERDICT_BETTER], t.riders);
            }
        }
    }
}

void page_progress(struct page *page)
{
    const struct limits limits = limits_default();
    struct trials trials = { .limits = &limits,
                             .first = page->first + PROGRESS,
                             .rows = chance_rows,
                             .each = page_count(page, 4008, 12),
                             .step = 1 };
    static const struct tally none[KINDS][CHANGES];
    struct tally kinds[KINDS][CHANGES];
    for (size_t k = 0; k < KINDS; k++) {
        for (size_t g = 0; g < CHANGES; g++) {
            kinds[k][g] = none[k][g];
        }
    }
    text_add(
        &page->text,
        "\n## Progress\n\n"
        "Riders whose power changed by so much from the six weeks before to the last six. Their "
        "days, weeks, pacing and meters stray, they stop short of all they had, now and then by a "
        "lot (`honesty/progress_trial.h`); by chance of 12 kinds: what lengths they ride all-out, "
        "whether the change comes in a step or a line, their first year or later. *Better* at 0 % "
        "and *stalled* at 2 % and more are wrong; the aim is at most 5 % in each cell. *Better* at "
        "2, 4 and 6 % is what the method can see: one effort or two say little.\n\n"
        "### Efforts that were all-out, by their count\n\n");
    table(page, &trials, sizeof chance_rows / sizeof chance_rows[0], "", kinds);
    by_kind(page, kinds);
    text_add(&page->text,
             "\n### Tests, marked by the coach\n\n"
             "*The first ones*: the rider's first two tests ever; the first of them is 1 % lower "
             "for want of practice, which no change is.\n\n");
    trials.rows = test_rows;
    trials.first += 0x1000000;
    table(page, &trials, sizeof test_rows / sizeof test_rows[0], "", NULL);
    text_add(&page->text,
             "\n### Efforts recognised in whole rides\n\n"
             "Every ride is a recording; the efforts lie in rides of an hour, beside a hard "
             "session or steady work each week that is not all-out but may look so. *Recognised*: "
             "all-out efforts with evidence of it: heart rate near maximal at the end, or the "
             "coach's mark.\n\n");
    trials.rows = ride_rows;
    trials.first += 0x1000000;
    trials.each = page_count(page, 204, 1);
    trials.step = 2;
    trials.whole_rides = true;
    table(page, &trials, sizeof ride_rows / sizeof ride_rows[0], ", in whole rides", NULL);
}
