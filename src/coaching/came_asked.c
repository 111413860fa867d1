/* coaching/came_asked.c: what a session that was ridden asks of the ride's readings. */
#include "coaching/came_back.h"

#include <math.h>

/* A run of work: hard steps without a rest between, as over and under make one effort. */
struct asked_effort {
    size_t first; /* its steps */
    size_t end;
    double seconds;
    double low_w;
    double high_w;
    double low_pct; /* NAN = asked in watts, or all out */
    double high_pct;
    bool is_maximal;
};

static struct asked_effort effort_from(const struct came_step *step, size_t j)
{
    const bool in_pct = step->asked->aim == AIM_PCT;
    return (struct asked_effort){
        .first = j,
        .end = j + 1,
        .seconds = (double)step->asked_s,
        .low_w = step->low_w,
        .high_w = step->high_w,
        .low_pct = in_pct ? fmin(step->asked->low, step->asked->high) : (double)NAN,
        .high_pct = in_pct ? fmax(step->asked->low, step->asked->high) : (double)NAN,
        .is_maximal = step->asked->aim == AIM_ALL_OUT,
    };
}

static void go_on(struct asked_effort *effort, const struct came_step *step)
{
    const struct asked_effort more = effort_from(step, effort->end);
    const bool in_pct = !isnan(effort->low_pct) && !isnan(more.low_pct);
    effort->end = more.end;
    effort->seconds += more.seconds;
    effort->low_w = fmin(effort->low_w, more.low_w);
    effort->high_w = fmax(effort->high_w, more.high_w);
    effort->low_pct = in_pct ? fmin(effort->low_pct, more.low_pct) : (double)NAN;
    effort->high_pct = in_pct ? fmax(effort->high_pct, more.high_pct) : (double)NAN;
    effort->is_maximal = effort->is_maximal || more.is_maximal;
}

static bool is_alike(const struct asked_effort *a, const struct asked_effort *b)
{
    return fabs(a->seconds - b->seconds) < 0.5 && fabs(a->low_w - b->low_w) < 0.5 &&
           (fabs(a->high_w - b->high_w) < 0.5 || (isinf(a->high_w) && isinf(b->high_w)));
}

struct asked_efforts {
    struct asked_effort *items;
    size_t count;
};

static struct asked_efforts efforts_of(struct arena *arena, const struct came_back *came)
{
    struct asked_efforts all = { ARENA_ARRAY(arena, struct asked_effort, came->n_steps + 1), 0 };
    for (size_t j = 0; j < came->n_steps; j++) {
        if (came->steps[j].is_hard && j > 0 && came->steps[j - 1].is_hard) {
            go_on(&all.items[all.count - 1], &came->steps[j]);
        } else if (came->steps[j].is_hard) {
            all.items[all.count++] = effort_from(&came->steps[j], j);
        }
    }
    return all;
}

static int count_alike(const struct asked_efforts *all, const struct asked_effort *one)
{
    int count = 0;
    for (size_t k = 0; k < all->count; k++) {
        count += is_alike(one, &all->items[k]) ? 1 : 0;
    }
    return count;
}

/* The first of the efforts alike that hold the most of the work; NULL = there is no work. */
static const struct asked_effort *main_effort(const struct asked_efforts *all)
{
    const struct asked_effort *best = NULL;
    double most = 0.0;
    for (size_t i = 0; i < all->count; i++) {
        const double seconds = (double)count_alike(all, &all->items[i]) * all->items[i].seconds;
        if (seconds > most) {
            most = seconds;
            best = &all->items[i];
        }
    }
    /* All until the button. */
    return best == NULL && all->count > 0 ? &all->items[0] : best;
}

/* ---- where they are in the ride ---- */

/* From its first part that was ridden to its last; empty = it wasn't, or nobody tried. */
static struct span span_of(const struct came_back *came, const struct asked_effort *effort,
                           const struct limits *limits)
{
    struct span span = { 0, 0 };
    for (size_t j = effort->first; j < effort->end; j++) {
        const struct came_step *step = &came->steps[j];
        if (came_step_is_tried(step, limits)) {
            span = span.to_s == 0 ? step->span : (struct span){ span.from_s, step->span.to_s };
        }
    }
    return span;
}

/* The rest asked between an effort and the next; NAN = none was, or as long as one likes. */
static double rest_asked(const struct came_back *came, const struct asked_effort *effort,
                         const struct asked_effort *next)
{
    double seconds = 0.0;
    for (size_t j = effort->end; j < next->first; j++) {
        if (came->steps[j].asked_s == 0) {
            return (double)NAN;
        }
        seconds += (double)came->steps[j].asked_s;
    }
    return seconds > 0.0 ? seconds : (double)NAN;
}

static void lay_efforts(struct arena *arena, const struct came_back *came,
                        const struct asked_efforts *all, const struct asked_effort *first,
                        const struct limits *limits, struct rider_facts *with)
{
    struct laid_effort *laid = ARENA_ARRAY(arena, struct laid_effort, all->count + 1);
    const struct asked_effort *last = NULL; /* the one before, where it was found */
    size_t n = 0;
    for (size_t i = 0; i < all->count; i++) {
        const struct asked_effort *effort = &all->items[i];
        const struct span span = span_of(came, effort, limits);
        if (!(span.to_s > span.from_s)) {
            last = NULL;
            continue;
        }
        if (last != NULL) {
            laid[n - 1].rest_asked_s = rest_asked(came, last, effort);
            laid[n - 1].rest_s = (double)(span.from_s - laid[n - 1].span.to_s);
        }
        laid[n++] = (struct laid_effort){ span, is_alike(effort, first), (double)NAN, (double)NAN };
        last = effort;
    }
    with->laid = laid;
    with->n_laid = n;
}

static bool asks_easy(const struct came_back *came)
{
    for (size_t j = 0; j < came->n_steps; j++) {
        if (!isnan(came->steps[j].low_w)) {
            return true;
        }
    }
    return false;
}

static void take_asked(struct arena *arena, const struct came_back *came, const char *kind,
                       const struct limits *limits, struct rider_facts *with)
{
    const struct asked_efforts all = efforts_of(arena, came);
    const struct asked_effort *effort = main_effort(&all);
    const bool is_kind = work_kind_find(kind, &with->kind);
    if (effort == NULL) {
        const bool test = is_kind && with->kind == KIND_BASE_TEST;
        with->kind = test ? KIND_BASE_TEST : (asks_easy(came) ? KIND_EASY : KIND_UNKNOWN);
        return;
    }
    with->kind = is_kind && with->kind != KIND_EASY && with->kind != KIND_BASE_TEST ? with->kind
                                                                                    : KIND_UNKNOWN;
    lay_efforts(arena, came, &all, effort, limits, with);
    with->reps_asked = count_alike(&all, effort);
    with->rep_duration_s = effort->seconds > 0.0 ? effort->seconds : (double)NAN;
    if (effort->is_maximal) {
        return; /* as much as there is: nothing to be above or below */
    }
    if (isnan(effort->low_pct)) {
        with->target.low_w = effort->low_w;
        with->target.high_w = effort->high_w;
    } else {
        with->target.low_pct = effort->low_pct;
        with->target.high_pct = effort->high_pct;
    }
}

bool came_back_is_asked(const struct rider_facts *facts)
{
    const struct target *target = &facts->target;
    return facts->kind != KIND_UNKNOWN || facts->reps_asked > 0 || !isnan(facts->rep_duration_s) ||
           !isnan(target->low_w) || !isnan(target->high_w) || !isnan(target->low_pct) ||
           !isnan(target->high_pct);
}

const struct rider_facts *came_back_asked(struct arena *arena, const struct recording *recording,
                                          const struct rider_facts *facts,
                                          const struct limits *limits, struct rider_facts *with)
{
    const struct came_ride ride = { .recording = recording, .threshold_w = facts->threshold_w };
    if (came_back_is_asked(facts) || !recording->is_ride) {
        return facts;
    }
    for (size_t i = 0; i < facts->n_given; i++) {
        const struct given_session *given = &facts->given[i];
        struct came_back came;
        came_back_compare(arena, given->session, &ride, limits, &came);
        if (given->is_moved ? came_back_may_be_moved(&came, limits)
                            : came.outcome == CAME_RIDDEN && !came.by_time) {
            *with = *facts;
            take_asked(arena, &came, given->kind, limits, with);
            return with;
        }
    }
    return facts;
}
