/* honesty/page_numbers.c: heart response and critical power, fitted against what was put in. */
#include "honesty/numbers_trial.h"
#include "honesty/page.h"
#include "honesty/pool.h"
#include "honesty/table.h"

#include <math.h>

enum { NUMBERS = 0xe000000, APART = 0x10000, SIMULATORS = 2 };

struct trials {
    const struct limits *limits;
    uint64_t first;
    size_t each;
};

/* ---- a mean and how sure it is ---- */

struct moments {
    double n;
    double sum;
    double squares;
};

static void add(struct moments *m, double x)
{
    m->n += 1.0;
    m->sum += x;
    m->squares += x * x;
}

static double mean_of(const struct moments *m)
{
    return m->sum / m->n;
}

/* "+1.2 ± 0.3, sd 2.5": the mean with twice its standard error, and how single ones scatter. */
static const char *bias(struct arena *a, const struct moments *m, double scale, int decimals)
{
    if (m->n < 2.0) {
        return "–";
    }
    const double variance = fmax(m->squares / m->n - pow(mean_of(m), 2), 0.0) * m->n / (m->n - 1.0);
    return arena_format(a, "%+.*f ± %.*f, sd %.*f", decimals, scale * mean_of(m), decimals,
                        scale * 2.0 * sqrt(variance / m->n), decimals, scale * sqrt(variance));
}

static const char *plain(struct arena *a, const struct moments *m)
{
    return m->n > 0.0 ? arena_format(a, "%.1f", mean_of(m)) : "–";
}

/* ---- heart response ---- */

static void try_response(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const bool second = i / trials->each == 1;
    *(struct responses_recovered *)result = response_recover(
        trials->first + NUMBERS + (second ? APART : 0) + i % trials->each, second, trials->limits);
}

static void write_response(struct page *page, const struct responses_recovered out[], size_t n,
                           int window, bool second)
{
    struct arena *a = page->arena;
    struct moments fitted = { 0 };
    double held = 0.0;
    struct moments gain = { 0 };
    struct moments lag = { 0 };
    struct moments level = { 0 };
    struct moments days = { 0 };
    struct moments said = { 0 };
    struct moments was = { 0 };
    for (size_t i = 0; i < n; i++) {
        const struct response_recovered *one = &out[i].at[window];
        if (one->is_fitted) {
            add(&fitted, 1.0);
            held += one->gain_held;
            add(&gain, one->gain_ratio);
            add(&lag, one->lag_s);
            add(&level, one->level_bpm);
            add(&days, one->days_bpm);
            add(&said, one->error_bpm);
            add(&was, one->new_ride_bpm);
        }
    }
    const char *name = arena_format(a, "%d rides, %s simulator", numbers_window(window),
                                    second ? "second" : "first");
    text_add_format(&page->text, "| %s | %s | %s | %s | %s | %s | %s | %s | %s |\n", name,
                    table_plain_share(a, fitted.n, (double)n), bias(a, &gain, 100.0, 1),
                    table_share(a, held, fitted.n), bias(a, &lag, 1.0, 0), bias(a, &level, 1.0, 1),
                    plain(a, &days), plain(a, &said), plain(a, &was));
    page_aim(page, arena_format(a, "numbers: likely range holds the gain: %s", name), 88.0, 100.0,
             held, fitted.n);
}

static void write_responses(struct page *page, const struct limits *limits)
{
    const struct trials trials = { limits, page->first, page_count(page, 60, 1) };
    struct responses_recovered *out =
        pool_run(page->jobs, SIMULATORS * trials.each, sizeof *out, try_response, &trials);
    text_add(
        &page->text,
        "\n## Numbers that are fitted, against what was put in\n\n"
        "### Heart response\n\n"
        "Riders and days of *Today*, four rides a week, the newest 6, 12 or 36 rides of a "
        "rider. Truth by steps of power without heat: *gain* from 50 to 90 % of threshold, "
        "*lag* (tau with dead time) the time to 63 % of a step, up and down, *level* at 70 %. "
        "The second simulator's hearts have two compartments and a gain that bends: none of "
        "these is a number of theirs. *Off* is found less true: mean with twice its standard "
        "error, and how riders scatter (sd). *Error* is what is left within a ride after its "
        "own day: what the fit says of rides not seen, and what it was on the next one. Drift "
        "of the first simulator is laid over single rides, that of the second is heat: the "
        "fit's one number for it has no truth in either, and isn't judged here.\n\n"
        "| rides, simulator | fitted, % | gain off, % | range holds the gain, % | lag off, s | "
        "level off, beats | a day off, beats | error said, beats | error found, beats |\n"
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |\n");
    for (size_t s = 0; s < SIMULATORS; s++) {
        for (int w = 0; w < NUMBERS_WINDOWS; w++) {
            write_response(page, &out[s * trials.each], trials.each, w, s == 1);
        }
    }
    pool_free(out, SIMULATORS * trials.each, sizeof *out);
}

/* ---- critical power ---- */

static void try_power(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    *(struct power_recovered *)result =
        power_recover(trials->first + NUMBERS + 2 * APART + i,
                      power_case_of((int)(i / trials->each)), trials->limits);
}

static void write_power(struct page *page, const struct power_case *c,
                        const struct power_recovered out[], size_t n)
{
    struct arena *a = page->arena;
    struct moments cp = { 0 };
    struct moments w = { 0 };
    double cp_held = 0.0;
    double w_held = 0.0;
    for (size_t i = 0; i < n; i++) {
        if (out[i].is_known) {
            add(&cp, out[i].cp_ratio);
            add(&w, out[i].w_ratio);
            cp_held += out[i].cp_held;
            w_held += out[i].w_held;
        }
    }
    const char *name = arena_format(a, "%d efforts, error %.3g %%%s", c->efforts, 100.0 * c->error,
                                    c->with_peak ? ", curve with a highest power" : "");
    text_add_format(&page->text, "| %s | %s | %s | %s | %s | %s |\n", name,
                    table_plain_share(a, cp.n, (double)n), bias(a, &cp, 100.0, 1),
                    table_share(a, cp_held, cp.n), bias(a, &w, 100.0, 1),
                    table_share(a, w_held, w.n));
    page_aim(page, arena_format(a, "numbers: likely range holds critical power: %s", name), 88.0,
             100.0, cp_held, cp.n);
    page_aim(page, arena_format(a, "numbers: likely range holds W': %s", name), 88.0, 100.0, w_held,
             w.n);
}

static void write_powers(struct page *page, const struct limits *limits)
{
    const struct trials trials = { limits, page->first, page_count(page, 2000, 2) };
    struct power_recovered *out =
        pool_run(page->jobs, POWER_CASES * trials.each, sizeof *out, try_power, &trials);
    text_add(&page->text,
             "\n### Critical power\n\n"
             "Efforts of 3 to 20 min by drawn riders, each off by so much (one sd: 2.25 % is what "
             "the program takes an effort for; bests from riding scatter by 3.5 %, efforts on days "
             "of their own by 6.5 %, F-50). By the hyperbola that is fitted, and by a curve with a "
             "highest power, 2.5 to 4.5 times critical power (Morton 1996), which isn't.\n\n"
             "| efforts, error of each | known, % | CP off, % | range holds CP, % | W' off, % | "
             "range holds W', % |\n| --- | --- | --- | --- | --- | --- |\n");
    for (int c = 0; c < POWER_CASES; c++) {
        write_power(page, power_case_of(c), &out[(size_t)c * trials.each], trials.each);
    }
    pool_free(out, POWER_CASES * trials.each, sizeof *out);
}

void page_numbers(struct page *page)
{
    const struct limits limits = limits_default();
    write_responses(page, &limits);
    write_powers(page, &limits);
}
