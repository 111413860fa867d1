/* coaching/came_asked.c: what a session that was ridden asks of the ride's readings. */
#include "coaching/came_back.h"

#include <math.h>

/* A run of work: hard steps without a rest between, as over and under make one effort. */
struct asked_effort {
    double seconds;
    double low_w;
    double high_w;
    double low_pct; /* NAN = asked in watts, or all out */
    double high_pct;
    bool is_maximal;
};

static struct asked_effort effort_from(const struct came_step *step)
{
    const bool in_pct = step->asked->aim == AIM_PCT;
    return (struct asked_effort){
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
    const struct asked_effort more = effort_from(step);
    const bool in_pct = !isnan(effort->low_pct) && !isnan(more.low_pct);
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

/* The efforts alike that hold the most of the work: the first of them, and how many. */
static int main_efforts(struct arena *arena, const struct came_back *came, struct asked_effort *out)
{
    struct asked_effort *efforts = ARENA_ARRAY(arena, struct asked_effort, came->n_steps + 1);
    size_t n = 0;
    for (size_t j = 0; j < came->n_steps; j++) {
        if (came->steps[j].is_hard && j > 0 && came->steps[j - 1].is_hard) {
            go_on(&efforts[n - 1], &came->steps[j]);
        } else if (came->steps[j].is_hard) {
            efforts[n++] = effort_from(&came->steps[j]);
        }
    }
    int best = 0;
    double most = 0.0;
    for (size_t i = 0; i < n; i++) {
        int count = 0;
        for (size_t k = 0; k < n; k++) {
            count += is_alike(&efforts[i], &efforts[k]) ? 1 : 0;
        }
        if ((double)count * efforts[i].seconds > most) {
            most = (double)count * efforts[i].seconds;
            best = count;
            *out = efforts[i];
        }
    }
    return best;
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
                       struct rider_facts *with)
{
    struct asked_effort effort = { 0 };
    const int count = main_efforts(arena, came, &effort);
    const bool is_kind = work_kind_find(kind, &with->kind);
    if (count == 0) {
        const bool test = is_kind && with->kind == KIND_BASE_TEST;
        with->kind = test ? KIND_BASE_TEST : (asks_easy(came) ? KIND_EASY : KIND_UNKNOWN);
        return;
    }
    with->kind = is_kind && with->kind != KIND_EASY && with->kind != KIND_BASE_TEST ? with->kind
                                                                                    : KIND_UNKNOWN;
    with->reps_asked = count;
    with->rep_duration_s = effort.seconds > 0.0 ? effort.seconds : (double)NAN;
    if (effort.is_maximal) {
        return; /* as much as there is: nothing to be above or below */
    }
    if (isnan(effort.low_pct)) {
        with->target.low_w = effort.low_w;
        with->target.high_w = effort.high_w;
    } else {
        with->target.low_pct = effort.low_pct;
        with->target.high_pct = effort.high_pct;
    }
}

static bool is_asked_itself(const struct rider_facts *facts)
{
    const struct target *target = &facts->target;
    return facts->kind != KIND_UNKNOWN || facts->reps_asked > 0 || !isnan(facts->rep_duration_s) ||
           !isnan(target->low_w) || !isnan(target->high_w) || !isnan(target->low_pct) ||
           !isnan(target->high_pct);
}

const struct rider_facts *came_back_asked(const struct recording *recording,
                                          const struct rider_facts *facts,
                                          const struct limits *limits, struct rider_facts *with)
{
    const struct came_ride ride = { .recording = recording, .threshold_w = facts->threshold_w };
    const struct rider_facts *found = facts;
    if (is_asked_itself(facts) || !recording->is_ride) {
        return facts;
    }
    for (size_t i = 0; found == facts && i < facts->n_given; i++) {
        struct arena *scratch = arena_open();
        struct came_back came;
        came_back_compare(scratch, facts->given[i].session, &ride, limits, &came);
        if (came.outcome == CAME_RIDDEN && !came.by_time) {
            *with = *facts;
            take_asked(scratch, &came, facts->given[i].kind, with);
            found = with;
        }
        arena_close(scratch);
    }
    return found;
}
