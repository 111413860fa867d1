/* honesty/page_base.c: the base test, against known rises of heart rate. */
#include "honesty/base_trial.h"
#include "honesty/page.h"
#include "honesty/pool.h"
#include "honesty/table.h"

#include <math.h>

enum {
    LEVELS = 41,      /* true rises 0, 0.5 ... 20 beats */
    LEVELS_A_ROW = 4, /* of the table by true rise: 2 beats */
    ROAD = 0x1000000, /* trials of other kinds are numbered apart */
    AUTO_PAUSE = 0x2000000,
    SMART = 0x3000000,
};

static const double LEVEL_BPM = 0.5;
static const double LINE_BPM = 10.0;

struct tally {
    double rides;
    double known;
    double held;
    double width;
    double error;
    double over; /* rides whose rise was truly over 10 beats, with a rise fitted */
    double under;
    double wrong_pass;
    double wrong_fail;
    double verdicts[VERDICT_DESCRIBED + 1];
    double whole;
    struct reasons why;
};

static void add(struct tally *t, const struct base_outcome *o)
{
    t->rides += 1.0;
    t->whole += o->whole;
    t->verdicts[o->verdict] += 1.0;
    if (o->verdict == VERDICT_CANNOT_TELL && o->why_not != NULL) {
        reasons_add(&t->why, o->why_not);
    }
    if (!o->known) {
        return;
    }
    t->known += 1.0;
    t->held += o->low_bpm <= o->truth_bpm && o->truth_bpm <= o->high_bpm;
    t->width += o->high_bpm - o->low_bpm;
    t->error += o->estimate_bpm - o->truth_bpm;
    t->over += o->truth_bpm > LINE_BPM;
    t->under += o->truth_bpm < LINE_BPM;
    t->wrong_pass += o->verdict == VERDICT_PASSED && o->truth_bpm > LINE_BPM;
    t->wrong_fail += o->verdict == VERDICT_NOT_PASSED && o->truth_bpm < LINE_BPM;
}

static void head(struct page *page, const char *what)
{
    text_add_format(
        &page->text,
        "| %s | rides | held the truth, %% | width, beats | bias, beats | passed, truly "
        "over 10, %% | not passed, truly under 10, %% | on the line, %% | cannot tell, "
        "%% | because |\n| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- "
        "|\n",
        what);
}

static void row(struct page *page, const char *name, const struct tally *t)
{
    struct arena *a = page->arena;
    const char *width = t->known > 0.0 ? arena_format(a, "%.1f", t->width / t->known) : "–";
    const char *bias = t->known > 0.0 ? arena_format(a, "%+.2f", t->error / t->known) : "–";
    text_add_format(&page->text, "| %s | %.0f | %s | %s | %s | %s | %s | %s | %s | %s |\n", name,
                    t->rides, table_share(a, t->held, t->known), width, bias,
                    table_share(a, t->wrong_pass, t->over), table_share(a, t->wrong_fail, t->under),
                    table_plain_share(a, t->verdicts[VERDICT_ON_THE_LINE], t->rides),
                    table_plain_share(a, t->verdicts[VERDICT_CANNOT_TELL], t->rides),
                    reasons_text(a, &t->why));
}

/* ---- the trials ---- */

struct trials {
    const struct limits *limits;
    uint64_t first;
    size_t rides_a_level;
};

/* Trial i: its level of drift turns slowest, its kind of noise quickest. */
static struct base_case case_of(const struct trials *trials, size_t i)
{
    const int turn = (int)(i / SIMULATED_NOISE_COUNT);
    const enum simulated_noise noise = (enum simulated_noise)(i % SIMULATED_NOISE_COUNT);
    struct base_case c = base_case_draw(trials->first + i, turn, noise);
    const size_t level = i / trials->rides_a_level;
    c.drift_bpm = LEVEL_BPM * (double)level;
    return c;
}

static void try_case(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const struct base_case c = case_of(trials, i);
    *(struct base_outcome *)result = base_trial(&c, trials->limits);
}

static void try_road(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    *(struct base_outcome *)result =
        base_trial_on_the_road(trials->first + ROAD + i, trials->limits);
}

static struct base_case device_case(const struct trials *trials, size_t i, size_t apart)
{
    struct base_case c = base_case_draw(trials->first + apart + i, (int)i,
                                        (enum simulated_noise)(i % SIMULATED_NOISE_COUNT));
    c.outdoors = true;
    return c;
}

static void try_auto_pause(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    struct base_case c = device_case(trials, i, AUTO_PAUSE);
    c.auto_pause = true;
    *(struct base_outcome *)result = base_trial(&c, trials->limits);
}

static void try_smart(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    struct base_case c = device_case(trials, i, SMART);
    c.smart_interval_s = 2.0 + 0.5 * (double)(i % 7);
    *(struct base_outcome *)result = base_trial(&c, trials->limits);
}

/* ---- the tables ---- */

static void write_curve(struct page *page, const struct tally levels[LEVELS])
{
    text_add(&page->text,
             "\n### The 10-beat line: what a rise of heart rate is called\n\n"
             "Of the rides above with a verdict, by true rise (minute 6 to 60, at constant "
             "power). In the picture one letter is 2 %: p passed, - on the line, n not passed.\n\n"
             "| true rise, beats | rides | passed, % | on the line, % | not passed, % |\n"
             "| --- | --- | --- | --- | --- |\n");
    for (size_t l = 0; l < LEVELS; l++) {
        const double *v = levels[l].verdicts;
        const double told = v[VERDICT_PASSED] + v[VERDICT_ON_THE_LINE] + v[VERDICT_NOT_PASSED];
        text_add_format(&page->text, "| %.1f | %.0f | %s | %s | %s |\n", LEVEL_BPM * (double)l,
                        told, table_share(page->arena, v[VERDICT_PASSED], told),
                        table_share(page->arena, v[VERDICT_ON_THE_LINE], told),
                        table_share(page->arena, v[VERDICT_NOT_PASSED], told));
    }
    text_add(&page->text, "\n```text\n");
    for (size_t l = 0; l < LEVELS; l++) {
        const double *v = levels[l].verdicts;
        const double told = v[VERDICT_PASSED] + v[VERDICT_ON_THE_LINE] + v[VERDICT_NOT_PASSED];
        const int p = told > 0.0 ? (int)lround(50.0 * v[VERDICT_PASSED] / told) : 0;
        const int n = told > 0.0 ? (int)lround(50.0 * v[VERDICT_NOT_PASSED] / told) : 0;
        text_add_format(&page->text, "%5.1f |", LEVEL_BPM * (double)l);
        for (int i = 0; i < 50; i++) {
            text_add(&page->text, i < p ? "p" : (i < 50 - n ? "-" : "n"));
        }
        text_add(&page->text, "|\n");
    }
    text_add(&page->text, "```\n");
}

static void add_aims(struct page *page, const struct tally noise[SIMULATED_NOISE_COUNT],
                     const struct tally *all)
{
    for (int k = 0; k < SIMULATED_NOISE_COUNT; k++) {
        const char *name = simulated_noise_name((enum simulated_noise)k);
        page_aim(
            page,
            arena_format(page->arena, "base: likely range holds the true rise, noise: %s", name),
            88.0, 94.0, noise[k].held, noise[k].known);
    }
    page_aim(page, "base: likely range holds the true rise, all rides", 88.0, 94.0, all->held,
             all->known);
    page_aim(page, "base: passed though truly over 10 beats", 0.0, 5.0, all->wrong_pass, all->over);
    page_aim(page, "base: not passed though truly under 10 beats", 0.0, 5.0, all->wrong_fail,
             all->under);
}

static void write_grid(struct page *page, const struct trials *trials)
{
    const size_t n = LEVELS * trials->rides_a_level;
    struct base_outcome *out = pool_run(page->jobs, n, sizeof *out, try_case, trials);
    struct tally all = { 0 };
    struct tally noise[SIMULATED_NOISE_COUNT] = { 0 };
    struct tally level[LEVELS] = { 0 };
    struct tally rise[(LEVELS + LEVELS_A_ROW - 1) / LEVELS_A_ROW] = { 0 };
    struct tally place[2] = { 0 };
    struct tally shape[SIMULATED_DRIFT_SHAPE_COUNT] = { 0 };
    struct tally eases = { 0 };
    struct tally gaps = { 0 };
    for (size_t i = 0; i < n; i++) {
        const struct base_case c = case_of(trials, i);
        const size_t l = (size_t)lround(c.drift_bpm / LEVEL_BPM);
        add(&all, &out[i]);
        add(&noise[c.noise], &out[i]);
        add(&level[l], &out[i]);
        add(&rise[l / LEVELS_A_ROW], &out[i]);
        add(&place[c.outdoors], &out[i]);
        add(&shape[c.shape], &out[i]);
        if (c.eases_off) {
            add(&eases, &out[i]);
        }
        if (c.missing) {
            add(&gaps, &out[i]);
        }
    }
    head(page, "kind of noise of heart rate");
    for (int k = 0; k < SIMULATED_NOISE_COUNT; k++) {
        row(page, simulated_noise_name((enum simulated_noise)k), &noise[k]);
    }
    row(page, "all", &all);
    add_aims(page, noise, &all);
    text_add(&page->text, "\n");
    head(page, "the same rides by true rise, beats");
    for (size_t k = 0; k < sizeof rise / sizeof rise[0]; k++) {
        const double from = LEVEL_BPM * LEVELS_A_ROW * (double)k;
        const char *name = k + 1 < sizeof rise / sizeof rise[0]
                               ? arena_format(page->arena, "%.0f to %.1f", from, from + 1.5)
                               : arena_format(page->arena, "%.0f", from);
        row(page, name, &rise[k]);
    }
    text_add(&page->text, "\n");
    head(page, "the same rides by kind");
    row(page, "indoors", &place[0]);
    row(page, "outdoors, a quiet road", &place[1]);
    row(page, "heart rate rises in a straight line", &shape[SIMULATED_DRIFT_STRAIGHT]);
    row(page, "it rises early, then flattens", &shape[SIMULATED_DRIFT_EARLY]);
    row(page, "it rises late", &shape[SIMULATED_DRIFT_LATE]);
    row(page, "the rider eases off", &eases);
    row(page, "two gaps of heart rate", &gaps);
    write_curve(page, level);
    pool_free(out, n, sizeof *out);
}

static void write_device(struct page *page, const char *name, pool_trial *trial, size_t n,
                         const struct trials *trials, struct tally *tally)
{
    struct base_outcome *out = pool_run(page->jobs, n, sizeof *out, trial, trials);
    for (size_t i = 0; i < n; i++) {
        add(tally, &out[i]);
    }
    row(page, name, tally);
    pool_free(out, n, sizeof *out);
}

void page_base(struct page *page)
{
    const struct limits limits = limits_default();
    const struct trials trials = { &limits, page->first,
                                   page_count(page, (size_t)SIMULATED_NOISE_COUNT * 20, 1) };
    text_add(
        &page->text,
        "\n## Base test and rise of heart rate\n\n"
        "An hour at 66–74 % of threshold with a warm-up and a cool-down, the true rise set. "
        "*Held the truth*: share of the 90 % intervals that hold the true rise over the fitted "
        "minutes; the aim is 88–94 of each kind. *Passed, truly over 10* is of the rides "
        "truly over 10 beats, and so on; the aim is at most 5.\n\n");
    write_grid(page, &trials);
    text_add(&page->text, "\n### As devices and roads have it\n\n"
                          "True rise drawn from −1 to 18 beats (the road: 0 to 18).\n\n");
    head(page, "outdoors");
    struct tally pause = { 0 };
    struct tally smart = { 0 };
    struct tally road = { 0 };
    const size_t n = page_count(page, 240, 2);
    write_device(page, "a quiet road, the timer pausing itself", try_auto_pause, n, &trials,
                 &pause);
    write_device(page, "a quiet road, a row every 2–5 s", try_smart, n, &trials, &smart);
    write_device(page, "any road: hills, junctions, coasting", try_road, n, &trials, &road);
    text_add_format(&page->text,
                    "\nOn any road the hour was steady for long enough (55 min within 15 %%) on "
                    "%s %% of the rides; the others are told to look for a quieter road.\n",
                    table_share(page->arena, road.whole, road.rides));
}
