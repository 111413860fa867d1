/* honesty/page_trend.c: heart rate at base-test power over weeks, and power that steps. */
#include "honesty/page.h"
#include "honesty/pool.h"
#include "honesty/table.h"
#include "honesty/trend_trial.h"

#include <math.h>

enum { TRENDS = 0xd000000, APART = 0x10000, SIMULATORS = 2, QUICK_WEEKS = 5 };

struct trials {
    const struct limits *limits;
    uint64_t first;
    int weeks;
    bool second;
};

static void try_weeks(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const struct trend_case c = {
        .seed = trials->first + TRENDS + (trials->second ? APART : 0) + i,
        .weeks = trials->weeks,
        .second = trials->second,
    };
    *(struct trend_outcomes *)result = trend_trial(&c, trials->limits);
}

enum { FALLING, FLAT, RISING };

struct tally {
    double n;
    double said[3]; /* falling, flat, rising */
    double cannot;
    double known;
    double held;
    double found;
    double may;
    double tried;
    double step_held;
    struct reasons why;
};

static void add(struct tally *t, const struct trend_outcome *o)
{
    t->n += 1.0;
    t->said[FALLING] += o->verdict == VERDICT_FALLING;
    t->said[FLAT] += o->verdict == VERDICT_FLAT;
    t->said[RISING] += o->verdict == VERDICT_RISING;
    t->cannot += o->verdict == VERDICT_CANNOT_TELL;
    t->known += o->is_known;
    t->held += o->is_known && o->is_held;
    t->found += o->shift == SHIFT_FOUND;
    t->may += o->shift == SHIFT_MAY;
    t->tried += o->is_tried;
    t->step_held += o->is_tried && o->is_step_held;
    if (o->verdict == VERDICT_CANNOT_TELL && o->why_not != NULL) {
        reasons_add(&t->why, o->why_not);
    }
}

static const char *simulator(int which)
{
    return which == 1 ? "second" : "first";
}

static bool is_of_trend(const struct trend_cell *cell)
{
    return cell->done == TREND_NOTHING && fabs(cell->step - 1.0) < 1e-9;
}

/* ---- rows ---- */

static void write_change(struct page *page, const struct trend_cell *cell, const struct tally *t,
                         int s)
{
    struct arena *a = page->arena;
    const char *name = arena_format(a, "%+.0f beats, %s simulator", cell->bpm, simulator(s));
    text_add_format(&page->text, "| %s | %.0f | %s | %s | %s | %s | %s | %s |\n", name, t->n,
                    table_share(a, t->said[FALLING], t->n),
                    table_plain_share(a, t->said[FLAT], t->n),
                    table_share(a, t->said[RISING], t->n), table_plain_share(a, t->cannot, t->n),
                    reasons_text(a, &t->why), table_share(a, t->held, t->known));
    if (cell->bpm >= 0.0) {
        page_aim(page, arena_format(a, "base trend: called falling, truly %s", name), 0.0, 5.0,
                 t->said[FALLING], t->n);
    }
    if (cell->bpm <= 0.0) {
        page_aim(page, arena_format(a, "base trend: called rising, truly %s", name), 0.0, 5.0,
                 t->said[RISING], t->n);
    }
}

static void write_step(struct page *page, const struct trend_cell *cell, const struct tally *t,
                       int s)
{
    struct arena *a = page->arena;
    const char *name = arena_format(a, "%s, %+.0f %%, %s simulator", trend_done_name(cell->done),
                                    100.0 * (cell->step - 1.0), simulator(s));
    text_add_format(&page->text, "| %s | %.0f | %s | %s | %s | %s | %s | %s |\n", name, t->n,
                    table_plain_share(a, t->tried, t->n), table_share(a, t->found, t->n),
                    table_plain_share(a, t->may, t->n), table_share(a, t->step_held, t->tried),
                    table_plain_share(a, t->said[FALLING], t->n),
                    table_plain_share(a, t->said[RISING], t->n));
    if (cell->done != TREND_NOTHING && fabs(cell->step - 1.0) < 1e-9) {
        page_aim(page, arena_format(a, "base trend: a step is said, and there is none: %s", name),
                 0.0, 5.0, t->found + t->may, t->n);
    }
    if (cell->done != TREND_NOTHING) {
        page_aim(page, arena_format(a, "base trend: called falling or rising, and stays: %s", name),
                 0.0, 10.0, t->said[FALLING] + t->said[RISING], t->n);
    }
    if (cell->done != TREND_NOTHING && cell->step >= 1.3) {
        page_aim(page, arena_format(a, "base trend: a step is found: %s", name), 80.0, 100.0,
                 t->found, t->n);
    }
}

static void write_rows(struct page *page, struct tally tallies[SIMULATORS][TREND_CELLS],
                       bool of_trend)
{
    for (int s = 0; s < SIMULATORS; s++) {
        for (int k = 0; k < TREND_CELLS; k++) {
            const struct trend_cell *cell = trend_cell(k);
            if (is_of_trend(cell) && of_trend) {
                write_change(page, cell, &tallies[s][k], s);
            } else if (!is_of_trend(cell) && !of_trend) {
                write_step(page, cell, &tallies[s][k], s);
            }
        }
    }
}

void page_trend(struct page *page)
{
    const struct limits limits = limits_default();
    const size_t n = page_count(page, 60, 1);
    struct tally tallies[SIMULATORS][TREND_CELLS] = { { { 0 } } };
    for (int s = 0; s < SIMULATORS; s++) {
        const struct trials trials = { &limits, page->first,
                                       page->quick ? QUICK_WEEKS : TREND_WEEKS_MOST, s == 1 };
        struct trend_outcomes *out = pool_run(page->jobs, n, sizeof *out, try_weeks, &trials);
        for (size_t i = 0; i < n; i++) {
            for (int k = 0; k < TREND_CELLS; k++) {
                add(&tallies[s][k], &out[i].of[k]);
            }
        }
        pool_free(out, n, sizeof *out);
    }
    text_add(&page->text,
             "\n## Base trend: heart rate at base-test power, over weeks\n\n"
             "Twelve weeks of four rides, by the riders and days of *Today*; the rider's heart "
             "goes by so many beats over all of them, and bests hold. The response is fitted to "
             "these very rides, as in a roster. One rider's rides serve every row. Wrong is "
             "falling or rising where it doesn't, at most 5 % each way.\n\n"
             "### Falling, flat or rising\n\n"
             "| true change over the weeks, simulator | riders | called falling, % | flat, % | "
             "rising, % | cannot tell, % | because | range holds the truth, % |\n"
             "| --- | --- | --- | --- | --- | --- | --- | --- |\n");
    write_rows(page, tallies, true);
    text_add(&page->text,
             "\n### Power that steps\n\n"
             "Heart rate stays; from the middle of the weeks on the meter shows so much more or "
             "less. A step is looked for where another meter or another zero offset is on file "
             "(offsets stray by 10 counts, a new one is 300 more), and claimed as `power-shift` "
             "beyond 14 % alone: one of 10 % isn't meant to be. What nothing dates has no "
             "row of its own to look at: it is told from a line by the rides alone.\n\n"
             "| done to the meter, step, simulator | riders | looked at, % | power-shift, % | may "
             "read, % | range holds the step, % | called falling, % | rising, % |\n"
             "| --- | --- | --- | --- | --- | --- | --- | --- |\n");
    write_rows(page, tallies, false);
}
