/* honesty/page_days.c: heart rate against usual, on half years whose days are known. */
#include "honesty/day_trial.h"
#include "honesty/page.h"
#include "honesty/pool.h"
#include "honesty/table.h"

enum { DAYS = 0xc000000, RATES = 3, STEPS = 5, SIMULATORS = 2 };

static const int rides_a_week[RATES] = { 4, 5, 6 };
static const double steps[STEPS] = { 0.85, 0.95, 1.05, 1.10, 1.20 };

struct trials {
    const struct limits *limits;
    uint64_t first;
    size_t each;
    int weeks;
};

/* Half years without a step: first simulator, second; 4, 5, 6 rides a week. */
static void try_days(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const size_t cell = i / trials->each;
    const struct day_case c = { .seed = trials->first + DAYS + i,
                                .rides_a_week = rides_a_week[cell % RATES],
                                .weeks = trials->weeks,
                                .second = cell / RATES == 1,
                                .step = 1.0 };
    *(struct day_outcome *)result = day_trial(&c, trials->limits);
}

/* With a step: 5 rides a week. */
static void try_steps(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const size_t cell = i / trials->each;
    const struct day_case c = { .seed = trials->first + DAYS + 0x100000 + i,
                                .rides_a_week = 5,
                                .weeks = trials->weeks,
                                .second = cell / STEPS == 1,
                                .step = steps[cell % STEPS] };
    *(struct day_outcome *)result = day_trial(&c, trials->limits);
}

static struct day_outcome sum(const struct day_outcome out[], size_t n)
{
    struct day_outcome all = { 0 };
    for (size_t i = 0; i < n; i++) {
        all.rides += out[i].rides;
        all.higher += out[i].higher;
        all.lower += out[i].lower;
        all.alone += out[i].alone;
        all.unknown += out[i].unknown;
        all.after += out[i].after;
        all.after_higher += out[i].after_higher;
        all.after_lower += out[i].after_lower;
        all.hours += out[i].hours;
        for (int k = 0; k < DAY_DOUBTS; k++) {
            all.doubted[k] += out[i].doubted[k];
            all.put[k] += out[i].put[k];
            all.found[k] += out[i].found[k];
        }
        for (int effect = 0; effect < DAY_EFFECTS; effect++) {
            all.tried[effect] += out[i].tried[effect];
            all.seen[effect] += out[i].seen[effect];
            all.pairs[effect] += out[i].pairs[effect];
            all.pairs_seen[effect] += out[i].pairs_seen[effect];
        }
    }
    return all;
}

static const char *simulator(size_t which)
{
    return which == 0 ? "first" : "second";
}

static void row(struct page *page, const char *name, double rides_a_half_year,
                const struct day_outcome *t)
{
    struct arena *a = page->arena;
    const double false_alarms = t->higher + t->lower;
    const double half_years = (double)t->rides / rides_a_half_year;
    text_add_format(&page->text, "| %s | %d | %s | %s | %s | %s | %s | %s |", name, t->rides,
                    table_share(a, t->higher, t->rides), table_share(a, t->lower, t->rides),
                    table_rate(a, false_alarms, t->rides), table_plain_share(a, t->alone, t->rides),
                    half_years > 0.0 ? arena_format(a, "%.1f", false_alarms / half_years) : "–",
                    table_plain_share(a, t->unknown, t->rides));
    for (int effect = 0; effect < DAY_EFFECTS; effect++) {
        text_add_format(&page->text, " %s |", table_share(a, t->seen[effect], t->tried[effect]));
    }
    for (int effect = 0; effect < DAY_EFFECTS; effect++) {
        text_add_format(&page->text, " %s |",
                        table_share(a, t->pairs_seen[effect], t->pairs[effect]));
    }
    text_add(&page->text, "\n");
}

/* Stage 2 of trust, on the same rides. */
static void write_doubts(struct page *page, const struct day_outcome all[SIMULATORS])
{
    text_add(&page->text,
             "\n### What only a rider's past shows\n\n"
             "The same ordinary rides, each looked at with the response to those before it: every "
             "finding is a false one, and fewer than one in 20 h are meant. One ride in four again "
             "with a fault put in: heart rate 45 beats low for three minutes; 45 high for nine, "
             "then down within 30 s; 50 s late, on hard days.\n\n"
             "| code, simulator | hours | false findings in 100 h | faults put in | found, % |\n"
             "| --- | --- | --- | --- | --- |\n");
    for (size_t s = 0; s < SIMULATORS; s++) {
        for (int k = 0; k < DAY_DOUBTS; k++) {
            const struct day_outcome *t = &all[s];
            const char *name =
                arena_format(page->arena, "%s, %s simulator", day_doubt_code(k), simulator(s));
            text_add_format(&page->text, "| %s | %.0f | %s | %d | %s |\n", name, t->hours,
                            table_rate(page->arena, t->doubted[k], t->hours), t->put[k],
                            table_share(page->arena, t->found[k], t->put[k]));
            page_aim(page, arena_format(page->arena, "today: hours with a false %s", name), 0.0,
                     5.0, t->doubted[k], t->hours);
        }
    }
}

static void write_days(struct page *page, const struct trials *trials)
{
    const size_t n = trials->each * SIMULATORS * RATES;
    struct day_outcome *out = pool_run(page->jobs, n, sizeof *out, try_days, trials);
    text_add(
        &page->text,
        "\n## Today: heart rate against usual\n\n"
        "Half years of riders whose ordinary days stray by 4.5 beats (one sd), 26 weeks, looked at "
        "from the 7th: on the second simulator with heavy tails, days like the day before, and a "
        "heart that gets fitter. One ride in four is tried again on a day that is 5, 8 or 12 beats "
        "higher; *running*: the ride before it as much higher too. *False alarms*: ordinary rides "
        "called unusual; one in 60 each way is meant of a ride alone, and of the mean of two. A "
        "day that was 8 beats up and wasn't seen was called usual: usual doesn't mean well.\n\n"
        "| rides a week, simulator | rides | called higher, % | called lower, % | "
        "false alarms in 100 rides | by the ride alone | in a half year | cannot tell, % | "
        "+5 seen, % | +8 seen, % | +12 seen, % | +5 running, % | +8 running, % | +12 running, % |\n"
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n");
    struct day_outcome both[SIMULATORS] = { 0 };
    for (size_t s = 0; s < SIMULATORS; s++) {
        const struct day_outcome all = both[s] =
            sum(&out[s * RATES * trials->each], RATES * trials->each);
        for (size_t k = 0; k < RATES; k++) {
            const struct day_outcome t = sum(&out[(s * RATES + k) * trials->each], trials->each);
            row(page, arena_format(page->arena, "%d, %s simulator", rides_a_week[k], simulator(s)),
                26.0 * rides_a_week[k], &t);
        }
        row(page, arena_format(page->arena, "all, %s simulator", simulator(s)), 26.0 * 5.0, &all);
        page_aim(page,
                 arena_format(page->arena, "today: ordinary rides called higher, %s simulator",
                              simulator(s)),
                 0.0, 100.0 / trials->limits->value[LIMIT_TODAY_RARITY], all.higher, all.rides);
        page_aim(page,
                 arena_format(page->arena, "today: ordinary rides called lower, %s simulator",
                              simulator(s)),
                 0.0, 100.0 / trials->limits->value[LIMIT_TODAY_RARITY], all.lower, all.rides);
    }
    write_doubts(page, both);
    pool_free(out, n, sizeof *out);
}

static void write_steps(struct page *page, const struct trials *trials)
{
    const size_t n = trials->each * SIMULATORS * STEPS;
    struct day_outcome *out = pool_run(page->jobs, n, sizeof *out, try_steps, trials);
    text_add(&page->text,
             "\n### When the meter changes\n\n"
             "From the middle of the half year another meter shows so much more or less; 5 rides a "
             "week. The four weeks after it, by heart rate against usual alone: what a new meter "
             "does to a reading that trusts it.\n\n"
             "| the new meter shows, simulator | rides after it | called higher, % | called lower, "
             "% |\n| --- | --- | --- | --- |\n");
    for (size_t cell = 0; cell < (size_t)SIMULATORS * STEPS; cell++) {
        const struct day_outcome t = sum(&out[cell * trials->each], trials->each);
        text_add_format(&page->text, "| %+.0f %%, %s simulator | %d | %s | %s |\n",
                        100.0 * (steps[cell % STEPS] - 1.0), simulator(cell / STEPS), t.after,
                        table_share(page->arena, t.after_higher, t.after),
                        table_share(page->arena, t.after_lower, t.after));
    }
    pool_free(out, n, sizeof *out);
}

void page_days(struct page *page)
{
    const struct limits limits = limits_default();
    const struct trials days = { &limits, page->first, page_count(page, 10, 1),
                                 page->quick ? 2 : DAY_WEEKS_MOST };
    const struct trials stepped = { &limits, page->first, page_count(page, 6, 1),
                                    page->quick ? 2 : DAY_WEEKS_MOST };
    write_days(page, &days);
    write_steps(page, &stepped);
}
