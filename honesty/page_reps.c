/* honesty/page_reps.c: efforts, against known edges and sessions. */
#include "honesty/page.h"
#include "honesty/pool.h"
#include "honesty/reps_trial.h"
#include "honesty/table.h"

#include <math.h>
#include <string.h>

enum {
    ASKED = 0x4000000,
    NOT_ASKED = 0x5000000,
    LOOSE = 0x6000000,
    NO_EFFORTS = 0x7000000,
};

/* Sessions, what they ask for, and the verdict that they deserve. */
static const struct session {
    const char *name;
    enum simulated_session session;
    enum work_kind asked;
    enum verdict verdict;
} sessions[] = {
    { "VO2max, done", SIMULATED_VO2MAX_DONE, KIND_VO2MAX, VERDICT_DONE },
    { "VO2max, started too hard", SIMULATED_VO2MAX_TOO_HARD, KIND_VO2MAX,
      VERDICT_STARTED_TOO_HARD },
    { "VO2max, faded", SIMULATED_VO2MAX_FADED, KIND_VO2MAX, VERDICT_FADED },
    { "30/30", SIMULATED_SHORT_30_30, KIND_SHORT_VO2MAX, VERDICT_DONE },
    { "40/20", SIMULATED_SHORT_40_20, KIND_SHORT_VO2MAX, VERDICT_DONE },
    { "over-unders", SIMULATED_OVER_UNDERS, KIND_OVER_UNDERS, VERDICT_DONE },
    { "2 × 20 threshold", SIMULATED_THRESHOLD_2X20, KIND_THRESHOLD, VERDICT_DONE },
    { "3 × 12 sweet spot", SIMULATED_SWEET_SPOT_3X12, KIND_SWEET_SPOT, VERDICT_DONE },
    { "8 × 1 anaerobic", SIMULATED_ANAEROBIC_8X1, KIND_ANAEROBIC, VERDICT_DONE },
    { "sprints", SIMULATED_SPRINTS, KIND_SPRINT, VERDICT_DONE },
};
#define N_SESSIONS (sizeof sessions / sizeof sessions[0])

static const enum reps_place places[] = { REPS_INDOORS_HELD, REPS_INDOORS_FREE,
                                          REPS_FLAT,         REPS_HILLY,
                                          REPS_TOWN,         REPS_TOWN_AUTO_PAUSE,
                                          REPS_FLAT_SMART };
#define N_PLACES (sizeof places / sizeof places[0])

struct tally {
    double rides;
    double hours;
    double right_number;
    double sets;
    double sets_found;
    double edges;
    double edges_found;
    double sure;
    double sure_found;
    double extra;
    double right; /* verdicts */
    double line;
    double described;
    double cannot;
    double wrong;
    struct reasons which; /* the wrong ones */
};

static void add(struct tally *t, const struct reps_outcome *o, enum verdict deserved)
{
    t->rides += 1.0;
    t->hours += o->hours;
    t->right_number += o->right_number;
    t->sets += o->sets;
    t->sets_found += o->sets_found;
    t->edges += o->edges;
    t->edges_found += o->edges_found;
    t->sure += o->sure;
    t->sure_found += o->sure_found;
    t->extra += o->extra;
    if (o->verdict == deserved) {
        t->right += 1.0;
    } else if (o->verdict == VERDICT_ON_THE_LINE) {
        t->line += 1.0;
    } else if (o->verdict == VERDICT_DESCRIBED) {
        t->described += 1.0;
    } else if (o->verdict == VERDICT_CANNOT_TELL) {
        t->cannot += 1.0;
    } else {
        t->wrong += 1.0;
        reasons_add(&t->which, verdict_name(o->verdict));
    }
}

static void head(struct page *page, const char *what)
{
    text_add_format(
        &page->text,
        "\n| %s | rides | sets | sets within 3 s, %% | edges within 3 s, %% | edges called sure | "
        "of them within 3 s, %% | right number, %% | false efforts in 100 h | verdict right, %% | "
        "on "
        "the line, %% | described, %% | cannot tell, %% | wrong, %% | called |\n"
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- "
        "|\n",
        what);
}

static void row(struct page *page, const char *name, const struct tally *t)
{
    struct arena *a = page->arena;
    text_add_format(
        &page->text,
        "| %s | %.0f | %.0f | %s | %s | %s | %s | %s | %s | %s | %s | %s | %s | %s | %s |\n", name,
        t->rides, t->sets, table_share(a, t->sets_found, t->sets),
        table_plain_share(a, t->edges_found, t->edges), table_plain_share(a, t->sure, t->edges),
        table_share(a, t->sure_found, t->sure), table_plain_share(a, t->right_number, t->rides),
        table_rate(a, t->extra, t->hours), table_share(a, t->right, t->rides),
        table_plain_share(a, t->line, t->rides), table_plain_share(a, t->described, t->rides),
        table_plain_share(a, t->cannot, t->rides), table_plain_share(a, t->wrong, t->rides),
        reasons_text(a, &t->which));
}

/* ---- the trials ---- */

struct trials {
    const struct limits *limits;
    uint64_t first;
    bool asked;
    bool loose;
};

static const struct session *session_of(size_t i)
{
    return &sessions[i % N_SESSIONS];
}

static enum reps_place place_of(size_t i)
{
    return places[i / N_SESSIONS % N_PLACES];
}

static void try_case(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const struct reps_case c = {
        .seed = trials->first + i,
        .session = session_of(i)->session,
        .place = place_of(i),
        .asked = trials->asked ? session_of(i)->asked : KIND_UNKNOWN,
        .loose = trials->loose,
    };
    *(struct reps_outcome *)result = reps_trial(&c, trials->limits);
}

static bool is_plain_outdoors(enum reps_place place)
{
    return reps_place_is_outdoors(place) && place != REPS_FLAT_SMART;
}

static void add_aims(struct page *page, const char *words, const struct tally by_place[N_PLACES],
                     const struct tally all[2], const struct tally outside[N_SESSIONS])
{
    for (size_t p = 0; p < N_PLACES; p++) {
        page_aim(page,
                 arena_format(page->arena, "efforts: sets within 3 s, %s: %s", words,
                              reps_place_name(places[p])),
                 95.0, 100.0, by_place[p].sets_found, by_place[p].sets);
    }
    page_aim(page, arena_format(page->arena, "efforts: edges called sure within 3 s, %s", words),
             95.0, 100.0, all[0].sure_found + all[1].sure_found, all[0].sure + all[1].sure);
    for (size_t s = 0; s < N_SESSIONS; s++) {
        page_aim(page,
                 arena_format(page->arena, "efforts: wrong verdict outdoors, %s: %s", words,
                              sessions[s].name),
                 0.0, 5.0, outside[s].wrong, outside[s].rides);
    }
}

static void write_grid(struct page *page, const struct trials *trials, const char *words,
                       size_t rounds)
{
    const size_t n = N_SESSIONS * N_PLACES * rounds;
    struct reps_outcome *out = pool_run(page->jobs, n, sizeof *out, try_case, trials);
    struct tally by_place[N_PLACES] = { 0 };
    struct tally inside[N_SESSIONS] = { 0 };
    struct tally outside[N_SESSIONS] = { 0 };
    struct tally all[2] = { 0 };
    for (size_t i = 0; i < n; i++) {
        const enum verdict deserved = session_of(i)->verdict;
        add(&by_place[i / N_SESSIONS % N_PLACES], &out[i], deserved);
        if (is_plain_outdoors(place_of(i))) {
            add(&outside[i % N_SESSIONS], &out[i], deserved);
            add(&all[1], &out[i], deserved);
        } else if (!reps_place_is_outdoors(place_of(i))) {
            add(&inside[i % N_SESSIONS], &out[i], deserved);
            add(&all[0], &out[i], deserved);
        }
    }
    text_add_format(&page->text, "\n### Efforts, %s\n", words);
    head(page, "where");
    for (size_t p = 0; p < N_PLACES; p++) {
        row(page, reps_place_name(places[p]), &by_place[p]);
    }
    head(page, "session");
    for (size_t s = 0; s < N_SESSIONS; s++) {
        row(page, arena_format(page->arena, "%s, indoors", sessions[s].name), &inside[s]);
    }
    row(page, "all, indoors", &all[0]);
    for (size_t s = 0; s < N_SESSIONS; s++) {
        row(page, arena_format(page->arena, "%s, outdoors", sessions[s].name), &outside[s]);
    }
    row(page, "all, outdoors", &all[1]);
    add_aims(page, words, by_place, all, outside);
    pool_free(out, n, sizeof *out);
}

/* ---- rides without efforts ---- */

static const struct {
    const char *name;
    enum simulated_session session;
    enum reps_place place;
} empty[] = {
    { "base hour, indoors", SIMULATED_BASE_HOUR, REPS_INDOORS_FREE },
    { "base hour, flat", SIMULATED_BASE_HOUR, REPS_FLAT },
    { "base hour, town", SIMULATED_BASE_HOUR, REPS_TOWN },
    { "long ride, flat", SIMULATED_LONG_RIDE, REPS_FLAT },
    { "long ride, hilly", SIMULATED_LONG_RIDE, REPS_HILLY },
    { "long ride, town", SIMULATED_LONG_RIDE, REPS_TOWN },
    { "long ride, town, auto-pause", SIMULATED_LONG_RIDE, REPS_TOWN_AUTO_PAUSE },
    { "long ride with a cafe stop, as drawn", SIMULATED_CAFE_STOP, REPS_AS_DRAWN_OUTDOORS },
};
#define N_EMPTY (sizeof empty / sizeof empty[0])

static void try_empty(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const struct reps_case c = {
        .seed = trials->first + NO_EFFORTS + i,
        .session = empty[i % N_EMPTY].session,
        .place = empty[i % N_EMPTY].place,
        .asked = KIND_UNKNOWN,
    };
    *(struct reps_outcome *)result = reps_trial(&c, trials->limits);
}

static void write_empty(struct page *page, const struct trials *trials)
{
    const size_t n = N_EMPTY * page_count(page, 24, 1);
    struct reps_outcome *out = pool_run(page->jobs, n, sizeof *out, try_empty, trials);
    struct tally tallies[N_EMPTY] = { 0 };
    struct tally all = { 0 };
    for (size_t i = 0; i < n; i++) {
        add(&tallies[i % N_EMPTY], &out[i], VERDICT_DESCRIBED);
        add(&all, &out[i], VERDICT_DESCRIBED);
    }
    text_add(&page->text,
             "\n### Rides without efforts, nothing asked\n\n"
             "Climbs, surges after corners and junctions, but no effort that was set "
             "out to be one.\n\n"
             "| ride | rides | hours | rides without a false effort, % | false efforts "
             "| in 100 h |\n| --- | --- | --- | --- | --- | --- |\n");
    for (size_t k = 0; k <= N_EMPTY; k++) {
        const struct tally *t = k < N_EMPTY ? &tallies[k] : &all;
        text_add_format(&page->text, "| %s | %.0f | %.0f | %s | %.0f | %s |\n",
                        k < N_EMPTY ? empty[k].name : "all", t->rides, t->hours,
                        table_share(page->arena, t->right_number, t->rides), t->extra,
                        table_rate(page->arena, t->extra, t->hours));
    }
    pool_free(out, n, sizeof *out);
}

void page_reps(struct page *page)
{
    const struct limits limits = limits_default();
    struct trials trials = { .limits = &limits, .first = page->first + ASKED, .asked = true };
    text_add(
        &page->text,
        "\n## Hard work: efforts found and judged\n\n"
        "A set is *within 3 s* when every effort of it is found with both edges within 3 s of "
        "the truth and none too many; the aim is 95. *Verdict right*: the ride is called what "
        "its session was written to be; *called*: the wrong ones. Rows over all outdoor rides "
        "leave out the device that "
        "writes a row every 2–5 s. *Not round*: every effort lasts up to 10 % more or less.\n");
    write_grid(page, &trials, "session known", page_count(page, 24, 1));
    trials.first = page->first + NOT_ASKED;
    trials.asked = false;
    write_grid(page, &trials, "nothing asked", page_count(page, 16, 1));
    trials.first = page->first + LOOSE;
    trials.asked = true;
    trials.loose = true;
    write_grid(page, &trials, "session known, durations not round", page_count(page, 16, 1));
    trials.first = page->first;
    write_empty(page, &trials);
}
