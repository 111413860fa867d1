/* honesty/page_both.c: every verdict on the first simulator and on the second, side by side. */
#include "honesty/page_both.h"
#include "honesty/pool.h"
#include "honesty/progress_trial.h"
#include "honesty/second/random.h"
#include "honesty/second_trial.h"
#include "honesty/state_trial.h"
#include "honesty/table.h"

#include <math.h>

static const double LINE_BPM = 10.0;

struct trials {
    const struct limits *limits;
    uint64_t first;
    bool second; /* simulator */
    bool asked;
    double change_pct;
};

/* What came of trials, in the words that all verdicts share. */
struct tally {
    double n;
    double known; /* with an interval, and those that hold the truth */
    double held;
    double right;
    double line; /* on the line, or nothing said though there was something */
    double wrong;
    double cannot;
    struct reasons why;   /* it could not tell */
    struct reasons which; /* wrong verdicts */
};

enum judged { JUDGED_RIGHT, JUDGED_LINE, JUDGED_WRONG };

static void judge(struct tally *t, enum judged judged, enum verdict verdict)
{
    t->n += 1.0;
    if (verdict == VERDICT_CANNOT_TELL) {
        t->cannot += 1.0;
    } else if (judged == JUDGED_RIGHT) {
        t->right += 1.0;
    } else if (judged == JUDGED_LINE) {
        t->line += 1.0;
    } else {
        t->wrong += 1.0;
        reasons_add(&t->which, verdict_name(verdict));
    }
}

const char *page_both_simulator(bool second)
{
    return second ? "second" : "first";
}

static void head(struct page *page, const char *what)
{
    text_add_format(&page->text,
                    "\n| %s | n | range holds the truth, %% | right, %% | on the line, %% | wrong, "
                    "%% | cannot tell, %% | because | wrong ones |\n"
                    "| --- | --- | --- | --- | --- | --- | --- | --- | --- |\n",
                    what);
}

static void row(struct page *page, const char *name, const struct tally *t)
{
    struct arena *a = page->arena;
    text_add_format(&page->text, "| %s | %.0f | %s | %s | %s | %s | %s | %s | %s |\n", name, t->n,
                    table_share(a, t->held, t->known), table_plain_share(a, t->right, t->n),
                    table_plain_share(a, t->line, t->n), table_share(a, t->wrong, t->n),
                    table_plain_share(a, t->cannot, t->n), reasons_text(a, &t->why),
                    reasons_text(a, &t->which));
}

static void aim_range(struct page *page, const char *name, const struct tally *t)
{
    if (t->known > 0.0) {
        page_aim(page, arena_format(page->arena, "both: %s: likely range holds the truth", name),
                 88.0, 94.0, t->held, t->known);
    }
}

static const char *with_simulator(struct page *page, const char *verdict, bool second)
{
    return arena_format(page->arena, "%s, %s simulator", verdict, page_both_simulator(second));
}

/* The row of a verdict, and its aims. */
static void row_with_aims(struct page *page, const char *verdict, bool second,
                          const struct tally *t)
{
    const char *name = with_simulator(page, verdict, second);
    row(page, name, t);
    aim_range(page, name, t);
    page_aim(page, arena_format(page->arena, "both: %s: wrong", name), 0.0, 5.0, t->wrong, t->n);
}

/* ---- base ---- */

static struct second_base_case second_case_of(const struct trials *trials, size_t i)
{
    struct second_random r = second_random_begin(trials->first + PAGE_BOTH + i, 1);
    return (struct second_base_case){
        .seed = trials->first + PAGE_BOTH + i,
        .drift_bpm = second_between(&r, 0.0, 18.0),
        .ease = i / SECOND_QUIRKS % 3 == 0 ? second_between(&r, 0.88, 0.96) : 1.0,
        .place = (enum second_place)(i / SECOND_QUIRKS % SECOND_PLACES),
        .quirk = (enum second_quirk)(i % SECOND_QUIRKS),
    };
}

static void try_base(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    struct base_outcome *out = result;
    if (trials->second) {
        const struct second_base_case c = second_case_of(trials, i);
        *out = second_base_trial(&c, trials->limits);
    } else {
        const struct base_case c = base_case_draw(
            trials->first + PAGE_BOTH + PAGE_BOTH_APART + i, (int)(i / SIMULATED_NOISE_COUNT),
            (enum simulated_noise)(i % SIMULATED_NOISE_COUNT));
        *out = base_trial(&c, trials->limits);
    }
}

static void add_base(struct tally *t, const struct base_outcome *o)
{
    const bool over = o->truth_bpm > LINE_BPM;
    const bool line = o->verdict == VERDICT_ON_THE_LINE;
    const bool right = (o->verdict == VERDICT_NOT_PASSED) == over;
    judge(t, line ? JUDGED_LINE : (right ? JUDGED_RIGHT : JUDGED_WRONG), o->verdict);
    t->known += o->known;
    t->held += o->known && o->low_bpm <= o->truth_bpm && o->truth_bpm <= o->high_bpm;
    if (o->verdict == VERDICT_CANNOT_TELL && o->why_not != NULL) {
        reasons_add(&t->why, o->why_not);
    }
}

static void write_base(struct page *page, const struct limits *limits, struct tally quirks[],
                       struct tally places[])
{
    const size_t n = page_count(page, (size_t)SECOND_QUIRKS * SECOND_PLACES * 20, 6);
    for (int s = 0; s < PAGE_SIMULATORS; s++) {
        const struct trials trials = { .limits = limits, .first = page->first, .second = s == 1 };
        struct base_outcome *out = pool_run(page->jobs, n, sizeof *out, try_base, &trials);
        struct tally all = { 0 };
        for (size_t i = 0; i < n; i++) {
            add_base(&all, &out[i]);
            if (trials.second) {
                const struct second_base_case c = second_case_of(&trials, i);
                add_base(&quirks[c.quirk], &out[i]);
                add_base(&places[c.place], &out[i]);
            }
        }
        row_with_aims(page, "base", trials.second, &all);
        pool_free(out, n, sizeof *out);
    }
}

static void write_base_parts(struct page *page, const struct tally quirks[],
                             const struct tally places[])
{
    text_add(&page->text,
             "\n### The second simulator's base tests\n\n"
             "Each device's quirk by itself, on all roads; and each road, by all devices. The aim "
             "of each is 85 or more within the range.\n");
    head(page, "recorded with");
    for (int q = 0; q < SECOND_QUIRKS; q++) {
        const char *name = second_quirk_name((enum second_quirk)q);
        row(page, name, &quirks[q]);
        page_aim(page,
                 arena_format(page->arena,
                              "both: base, second simulator, %s: likely range holds "
                              "the truth",
                              name),
                 85.0, 100.0, quirks[q].held, quirks[q].known);
    }
    head(page, "ridden");
    for (int p = 0; p < SECOND_PLACES; p++) {
        row(page, second_place_name((enum second_place)p), &places[p]);
    }
}

/* ---- base state ---- */

static const double usual_levels[] = { 2.0, 5.0, 8.0, 12.0, 15.0, 18.0 };
#define N_LEVELS (sizeof usual_levels / sizeof usual_levels[0])

static void try_state(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const struct state_case c = { .seed =
                                      trials->first + PAGE_BOTH + 2 * (uint64_t)PAGE_BOTH_APART + i,
                                  .usual_bpm = usual_levels[i % N_LEVELS],
                                  .second = trials->second };
    *(struct state_outcome *)result = state_trial(&c, trials->limits);
}

struct states {
    struct tally level[PAGE_SIMULATORS][N_LEVELS];
    double built[PAGE_SIMULATORS][N_LEVELS];
    double pairs[PAGE_SIMULATORS];
    double agreed[PAGE_SIMULATORS];
};

static void write_state(struct page *page, const struct limits *limits, struct states *states)
{
    const size_t n = page_count(page, N_LEVELS * 60, 2);
    for (int s = 0; s < PAGE_SIMULATORS; s++) {
        const struct trials trials = { .limits = limits, .first = page->first, .second = s == 1 };
        struct state_outcome *out = pool_run(page->jobs, n, sizeof *out, try_state, &trials);
        struct tally all = { 0 };
        for (size_t i = 0; i < n; i++) {
            const size_t level = i % N_LEVELS;
            const bool has_base = usual_levels[level] < LINE_BPM;
            const bool built = out[i].verdict == VERDICT_BUILT;
            const enum judged judged = built == has_base ? JUDGED_RIGHT
                                       : built           ? JUDGED_WRONG
                                                         : JUDGED_LINE;
            judge(&all, judged, out[i].verdict);
            judge(&states->level[s][level], judged, out[i].verdict);
            states->built[s][level] += built;
            states->pairs[s] += out[i].pairs;
            states->agreed[s] += out[i].agreed;
        }
        row_with_aims(page, "base state", trials.second, &all);
        pool_free(out, n, sizeof *out);
    }
}

static void write_state_parts(struct page *page, const struct states *states)
{
    text_add(&page->text,
             "\n### Base state\n\n"
             "Riders whose usual rise is known, two to four tests each, indoors; from day to day "
             "the rise strays by 3 beats (one sd, assumed). *Built* is right under 10 beats, wrong "
             "over them; not saying so of a rider under 10 is no error but a lack.\n\n"
             "| usual rise, simulator | riders | built, % |\n| --- | --- | --- |\n");
    for (int s = 0; s < PAGE_SIMULATORS; s++) {
        for (size_t l = 0; l < N_LEVELS; l++) {
            text_add_format(&page->text, "| %.0f beats, %s simulator | %.0f | %s |\n",
                            usual_levels[l], page_both_simulator(s == 1), states->level[s][l].n,
                            table_share(page->arena, states->built[s][l], states->level[s][l].n));
        }
    }
    text_add(&page->text, "\nOf base tests that were passed, the rider's next was passed too:\n\n"
                          "| simulator | passed, with a next that could be judged | agreed, % |\n"
                          "| --- | --- | --- |\n");
    for (int s = 0; s < PAGE_SIMULATORS; s++) {
        text_add_format(&page->text, "| %s | %.0f | %s |\n", page_both_simulator(s == 1),
                        states->pairs[s],
                        table_share(page->arena, states->agreed[s], states->pairs[s]));
    }
}

/* ---- easy work ---- */

static void try_easy(size_t i, const void *context, void *result)
{
    static const enum reps_place places[] = { REPS_INDOORS_FREE, REPS_FLAT, REPS_HILLY, REPS_TOWN };
    const struct trials *trials = context;
    const uint64_t seed = trials->first + PAGE_BOTH + 3 * (uint64_t)PAGE_BOTH_APART + i;
    const struct easy_case c = { .seed = seed, .place = places[i % 4] };
    *(struct easy_outcome *)result =
        trials->second
            ? second_easy_trial(seed, (enum second_place)(i % SECOND_PLACES), trials->limits)
            : easy_trial(&c, trials->limits);
}

static void write_easy(struct page *page, const struct limits *limits)
{
    const size_t n = page_count(page, 400, 5);
    for (int s = 0; s < PAGE_SIMULATORS; s++) {
        const struct trials trials = { .limits = limits, .first = page->first, .second = s == 1 };
        struct easy_outcome *out = pool_run(page->jobs, n, sizeof *out, try_easy, &trials);
        struct tally all = { 0 };
        for (size_t i = 0; i < n; i++) {
            const enum verdict verdict = out[i].verdict;
            const bool line = verdict == VERDICT_ON_THE_LINE || out[i].truth == VERDICT_ON_THE_LINE;
            judge(&all,
                  verdict == out[i].truth ? JUDGED_RIGHT : (line ? JUDGED_LINE : JUDGED_WRONG),
                  verdict);
            if (verdict == VERDICT_CANNOT_TELL && out[i].why_not != NULL) {
                reasons_add(&all.why, out[i].why_not);
            }
        }
        row_with_aims(page, "easy work", trials.second, &all);
        pool_free(out, n, sizeof *out);
    }
}

/* ---- hard work ---- */

/* The first simulator's sessions in the order of the second's. */
static const enum simulated_session first_sessions[SECOND_EFFORTS] = {
    [SECOND_VO2MAX] = SIMULATED_VO2MAX_DONE,
    [SECOND_VO2MAX_TOO_HARD] = SIMULATED_VO2MAX_TOO_HARD,
    [SECOND_VO2MAX_FADED] = SIMULATED_VO2MAX_FADED,
    [SECOND_SHORT] = SIMULATED_SHORT_30_30,
    [SECOND_OVER_UNDERS] = SIMULATED_OVER_UNDERS,
    [SECOND_THRESHOLD] = SIMULATED_THRESHOLD_2X20,
    [SECOND_SWEET_SPOT] = SIMULATED_SWEET_SPOT_3X12,
    [SECOND_ANAEROBIC] = SIMULATED_ANAEROBIC_8X1,
    [SECOND_SPRINTS] = SIMULATED_SPRINTS,
};
static enum second_session session_of(size_t i)
{
    return (enum second_session)(i % SECOND_EFFORTS);
}

static enum second_place place_of(size_t i)
{
    return (enum second_place)(i / SECOND_EFFORTS % SECOND_PLACES);
}

static void try_hard(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const uint64_t seed =
        trials->first + PAGE_BOTH + (trials->asked ? 4 : 5) * (uint64_t)PAGE_BOTH_APART + i;
    const enum work_kind asked =
        trials->asked ? second_session_row(session_of(i))->asked : KIND_UNKNOWN;
    const struct reps_case c = { .seed = seed,
                                 .session = first_sessions[session_of(i)],
                                 .place = page_both_place(place_of(i)),
                                 .asked = asked };
    *(struct reps_outcome *)result =
        trials->second ? second_reps_trial(seed, session_of(i), place_of(i), asked, trials->limits)
                       : reps_trial(&c, trials->limits);
}

static void add_hard(struct tally *t, enum verdict verdict, enum verdict deserved)
{
    const bool line = verdict == VERDICT_ON_THE_LINE || verdict == VERDICT_DESCRIBED;
    judge(t, verdict == deserved ? JUDGED_RIGHT : (line ? JUDGED_LINE : JUDGED_WRONG), verdict);
}

/* Each effort by itself; short ones are judged by the block. */
static void add_each(struct tally *t, const struct reps_outcome *o, enum second_session session)
{
    const enum verdict deserved = second_session_row(session)->deserved;
    for (size_t k = 0; session != SECOND_SHORT && k < o->n_each; k++) {
        add_hard(t, o->each[k], k == 0 && session == SECOND_VO2MAX_FADED ? VERDICT_DONE : deserved);
    }
}

struct hard {
    struct tally session[PAGE_SIMULATORS][SECOND_EFFORTS]; /* session known */
    double edges[PAGE_SIMULATORS];
    double edges_found[PAGE_SIMULATORS];
};

static void write_hard(struct page *page, const struct limits *limits, bool asked,
                       struct hard *hard)
{
    const size_t n = SECOND_EFFORTS * page_count(page, (size_t)SECOND_PLACES * 8, 1);
    for (int s = 0; s < PAGE_SIMULATORS; s++) {
        const struct trials trials = {
            .limits = limits, .first = page->first, .second = s == 1, .asked = asked
        };
        struct reps_outcome *out = pool_run(page->jobs, n, sizeof *out, try_hard, &trials);
        struct tally rides = { 0 };
        struct tally each = { 0 };
        for (size_t i = 0; i < n; i++) {
            const enum second_session session = session_of(i);
            const enum verdict deserved = second_session_row(session)->deserved;
            add_hard(&rides, out[i].verdict, deserved);
            add_each(&each, &out[i], session);
            if (asked) {
                add_hard(&hard->session[s][session], out[i].verdict, deserved);
                hard->edges[s] += out[i].edges;
                hard->edges_found[s] += out[i].edges_found;
            }
        }
        const char *how = asked ? "session known" : "nothing asked";
        row_with_aims(page, arena_format(page->arena, "hard work, %s, the ride", how),
                      trials.second, &rides);
        row_with_aims(page, arena_format(page->arena, "hard work, %s, each effort", how),
                      trials.second, &each);
        pool_free(out, n, sizeof *out);
    }
}

static void write_hard_parts(struct page *page, const struct hard *hard)
{
    text_add(&page->text, "\n### Hard work, by session\n\nSession known, indoors and out.\n");
    head(page, "session, simulator");
    for (int s = 0; s < PAGE_SIMULATORS; s++) {
        for (int k = 0; k < SECOND_EFFORTS; k++) {
            row(page,
                arena_format(page->arena, "%s, %s simulator",
                             second_session_row((enum second_session)k)->name,
                             page_both_simulator(s == 1)),
                &hard->session[s][k]);
        }
    }
    for (int s = 0; s < PAGE_SIMULATORS; s++) {
        text_add_format(&page->text,
                        "%sOn the %s simulator %s %% of the edges were found within 3 s.\n",
                        s == 0 ? "\n" : "", page_both_simulator(s == 1),
                        table_share(page->arena, hard->edges_found[s], hard->edges[s]));
    }
}

/* ---- progress ---- */

static void try_progress(size_t i, const void *context, void *result)
{
    const struct trials *trials = context;
    const struct progress_case c = { .seed = trials->first + PAGE_BOTH +
                                             6 * (uint64_t)PAGE_BOTH_APART + i,
                                     .change_pct = trials->change_pct,
                                     .n_before = 3 + (int)(i % 3),
                                     .n_recent = 3 + (int)(i / 3 % 3),
                                     .mix = (enum progress_mix)(i / 9 % PROGRESS_MIXES),
                                     .tests = i % 4 == 0,
                                     .gradual = i % 2 == 0,
                                     .second = trials->second };
    *(struct progress_outcome *)result = progress_trial(&c, trials->limits);
}

static void add_progress(struct tally *t, const struct progress_outcome *o, double change_pct)
{
    const enum verdict deserved = change_pct > 0.0   ? VERDICT_BETTER
                                  : change_pct < 0.0 ? VERDICT_LOWER
                                                     : VERDICT_NO_CLEAR_CHANGE;
    const bool silent = o->joint == VERDICT_NO_CLEAR_CHANGE || o->joint == VERDICT_NOT_TESTED;
    judge(t, o->joint == deserved ? JUDGED_RIGHT : (silent ? JUDGED_LINE : JUDGED_WRONG), o->joint);
    t->known += !isnan(o->low_pct);
    t->held += o->low_pct <= change_pct && change_pct <= o->high_pct;
}

/* Stalled: no change is; 4 % is not. */
static void add_stalled(struct tally *t, const struct progress_outcome *o, double change_pct)
{
    const enum verdict deserved = change_pct > 0.0 ? VERDICT_NO : VERDICT_YES;
    const bool silent = o->stalled == VERDICT_NO;
    judge(t, o->stalled == deserved ? JUDGED_RIGHT : (silent ? JUDGED_LINE : JUDGED_WRONG),
          o->stalled);
}

/* Each wrong verdict has an aim of its own: a 90 % range errs 5 % of times either way. */
static void row_of_progress(struct page *page, bool second, double change_pct,
                            const struct tally *t, const double wrong[2])
{
    const char *name = with_simulator(
        page, arena_format(page->arena, "progress, truly %+.0f %%", change_pct), second);
    static const char *const words[2] = { "better", "lower" };
    row(page, name, t);
    aim_range(page, name, t);
    for (int k = 0; k < 2; k++) {
        const bool is_wrong = k == 0 ? change_pct <= 0.0 : change_pct >= 0.0;
        if (is_wrong) {
            page_aim(page, arena_format(page->arena, "both: %s: called %s", name, words[k]), 0.0,
                     5.0, wrong[k], t->n);
        }
    }
}

static void write_progress(struct page *page, const struct limits *limits)
{
    static const double changes[] = { -4.0, 0.0, 4.0 };
    const size_t n = page_count(page, 4320, 36);
    struct tally stalled[PAGE_SIMULATORS] = { 0 };
    for (size_t k = 0; k < sizeof changes / sizeof changes[0]; k++) {
        for (int s = 0; s < PAGE_SIMULATORS; s++) {
            const struct trials trials = {
                .limits = limits, .first = page->first, .second = s == 1, .change_pct = changes[k]
            };
            struct progress_outcome *out =
                pool_run(page->jobs, n, sizeof *out, try_progress, &trials);
            struct tally all = { 0 };
            double called[2] = { 0 };
            for (size_t i = 0; i < n; i++) {
                add_progress(&all, &out[i], changes[k]);
                called[0] += out[i].joint == VERDICT_BETTER;
                called[1] += out[i].joint == VERDICT_LOWER;
                if (changes[k] >= 0.0) {
                    add_stalled(&stalled[s], &out[i], changes[k]);
                }
            }
            row_of_progress(page, trials.second, changes[k], &all, called);
            pool_free(out, n, sizeof *out);
        }
    }
    for (int s = 0; s < PAGE_SIMULATORS; s++) {
        row_with_aims(page, "stalled, truly 0 or +4 %", s == 1, &stalled[s]);
    }
}

void page_both(struct page *page)
{
    const struct limits limits = limits_default();
    struct tally quirks[SECOND_QUIRKS] = { 0 };
    struct tally places[SECOND_PLACES] = { 0 };
    struct states states = { 0 };
    struct hard hard = { 0 };
    text_add(
        &page->text,
        "\n## Every verdict on two simulators\n\n"
        "The second simulator shares no code with the first nor with the estimators and is built "
        "otherwise: a heart of two compartments, quicker on than off, whose gain falls with power; "
        "drift as heat that power stores; heavy-tailed noise that shrinks near the maximum; beats "
        "counted one by one; another road, another rider's hand, and devices that repeat, round, "
        "average and drop values. *Right*: what the truth deserves. *On the line*: withheld, or "
        "too weak a word, though the truth is clear. *Wrong*: of all, and at most 5 % is meant. Of "
        "ranges 88 to 94 % are meant to hold the truth.\n");
    head(page, "verdict, simulator");
    write_base(page, &limits, quirks, places);
    write_state(page, &limits, &states);
    write_easy(page, &limits);
    write_hard(page, &limits, true, &hard);
    write_hard(page, &limits, false, &hard);
    write_progress(page, &limits);
    write_base_parts(page, quirks, places);
    write_state_parts(page, &states);
    write_hard_parts(page, &hard);
    page_both_trust(page, &limits);
}
