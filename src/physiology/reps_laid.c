/* physiology/reps_laid.c: efforts where a session was laid along the ride.
 *
 * What was asked and ridden is where its steps lie: work with shallow rests, over and under, an
 * effort that sank halfway need not show as pieces of power.  What power alone found beside it
 * stays: an effort more than asked, a hill on the way home. */
#include "physiology/reps_parts.h"

#include <stdlib.h>

static int by_start(const void *a, const void *b)
{
    const struct effort *x = a;
    const struct effort *y = b;
    return (x->from_s > y->from_s) - (x->from_s < y->from_s);
}

/* Cuts off what belongs to a laid effort; false = nothing of its own is left: most of it does, or
 * it holds one whole. */
static bool keep_outside(const struct rider_facts *facts, struct effort *effort)
{
    int32_t shared = 0;
    const int32_t length = effort->to_s - effort->from_s;
    for (size_t i = 0; i < facts->n_laid; i++) {
        const struct span span = facts->laid[i].span;
        if (effort->from_s <= span.from_s && effort->to_s >= span.to_s) {
            return false;
        }
        if (effort->from_s >= span.to_s || effort->to_s <= span.from_s) {
            continue;
        }
        const int32_t from = effort->from_s > span.from_s ? effort->from_s : span.from_s;
        const int32_t to = effort->to_s < span.to_s ? effort->to_s : span.to_s;
        shared += to - from;
        if (effort->from_s >= span.from_s) {
            effort->from_s = to;
        } else {
            effort->to_s = from;
        }
    }
    return effort->to_s > effort->from_s && 2 * shared < length;
}

struct efforts reps_take_laid(struct arena *arena, const struct reps_ride *ride,
                              const struct efforts *found)
{
    const struct rider_facts *facts = ride->facts;
    struct efforts all = { 0 };
    for (size_t i = 0; i < found->count; i++) {
        struct effort effort = found->items[i];
        if (keep_outside(facts, &effort)) {
            reps_add_effort(arena, &all, effort.from_s, effort.to_s);
            all.items[all.count - 1].micro = effort.micro;
        }
    }
    for (size_t i = 0; i < facts->n_laid; i++) {
        reps_add_effort(arena, &all, facts->laid[i].span.from_s, facts->laid[i].span.to_s);
        all.items[all.count - 1].laid = facts->laid[i].as_asked ? LAID_AS_ASKED : LAID;
    }
    if (all.count > 0) {
        qsort(all.items, all.count, sizeof all.items[0], by_start);
    }
    return all;
}
