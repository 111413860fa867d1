/* honesty/page_easy.c: easy work, against a known share of hard riding. */
#include "honesty/easy_trial.h"
#include "honesty/page.h"
#include "honesty/pool.h"
#include "honesty/table.h"

#include <math.h>

enum { EASY = 0x8000000 };

static const enum reps_place places[] = { REPS_INDOORS_FREE,    REPS_FLAT,
                                          REPS_HILLY,           REPS_TOWN,
                                          REPS_TOWN_AUTO_PAUSE, REPS_FLAT_SMART };

#define N_PLACES (sizeof places / sizeof places[0])

struct trials {
    const struct limits *limits;
    uint64_t first;
};

static struct easy_case case_of(const struct trials *trials, size_t i)
{
    return (struct easy_case){
        .seed = trials->first + EASY + i,
        .place = places[i % N_PLACES],
        .threshold_known = i / N_PLACES % 2 == 0,
    };
}

static void try_case(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const struct easy_case c = case_of(trials, i);
    *(struct easy_outcome *)result = easy_trial(&c, trials->limits);
}

struct tally {
    double rides;
    double right;
    double line;   /* on the line though the truth is clear */
    double over;   /* a clear verdict though the truth is on the line */
    double wrong;  /* easy enough for too hard, or the other way */
    double cannot; /* cannot tell */
    struct reasons why;
};

static void add(struct tally *t, const struct easy_outcome *o)
{
    t->rides += 1.0;
    if (o->verdict == VERDICT_CANNOT_TELL) {
        t->cannot += 1.0;
        if (o->why_not != NULL) {
            reasons_add(&t->why, o->why_not);
        }
    } else if (o->verdict == o->truth) {
        t->right += 1.0;
    } else if (o->verdict == VERDICT_ON_THE_LINE) {
        t->line += 1.0;
    } else if (o->truth == VERDICT_ON_THE_LINE) {
        t->over += 1.0;
    } else {
        t->wrong += 1.0;
    }
}

static void row(struct page *page, const char *name, const struct tally *t)
{
    struct arena *a = page->arena;
    text_add_format(&page->text, "| %s | %.0f | %s | %s | %s | %s | %s | %s |\n", name, t->rides,
                    table_share(a, t->right, t->rides), table_plain_share(a, t->line, t->rides),
                    table_plain_share(a, t->over, t->rides), table_share(a, t->wrong, t->rides),
                    table_plain_share(a, t->cannot, t->rides), reasons_text(a, &t->why));
}

void page_easy(struct page *page)
{
    const struct limits limits = limits_default();
    const struct trials trials = { &limits, page->first };
    const size_t n = 2 * N_PLACES * page_count(page, 100, 1);
    struct easy_outcome *out = pool_run(page->jobs, n, sizeof *out, try_case, &trials);
    struct tally known[N_PLACES] = { 0 };
    struct tally rough[N_PLACES] = { 0 };
    struct tally all[2] = { 0 };
    for (size_t i = 0; i < n; i++) {
        const struct easy_case c = case_of(&trials, i);
        add(c.threshold_known ? &known[i % N_PLACES] : &rough[i % N_PLACES], &out[i]);
        add(&all[c.threshold_known], &out[i]);
    }
    text_add(
        &page->text,
        "\n## Easy work\n\n"
        "Rides of 1 to 2.5 h asked as easy, with none to half of the time in harder blocks. "
        "Truth: the rule on the true power of every second with the true threshold. *Given to "
        "± 5 %*: the coach's threshold is off by 3.2 % (one sd) and comes with its 90 % "
        "range.\n\n"
        "| ride | rides | right, % | on the line, truly clear, % | clear, truly on the line, % "
        "| wrong, % | cannot tell, % | because |\n"
        "| --- | --- | --- | --- | --- | --- | --- | --- |\n");
    for (size_t p = 0; p < N_PLACES; p++) {
        row(page, reps_place_name(places[p]), &known[p]);
    }
    row(page, "all, threshold known", &all[1]);
    for (size_t p = 0; p < N_PLACES; p++) {
        row(page,
            arena_format(page->arena, "%s, threshold given to ± 5 %%", reps_place_name(places[p])),
            &rough[p]);
    }
    row(page, "all, threshold given to ± 5 %", &all[0]);
    page_aim(page, "easy work: wrong, threshold known", 0.0, 5.0, all[1].wrong, all[1].rides);
    page_aim(page, "easy work: wrong, threshold given to ± 5 %", 0.0, 5.0, all[0].wrong,
             all[0].rides);
    pool_free(out, n, sizeof *out);
}
