/* recording/fit_clock.c: runs of records on one clock. */
#include "recording/fit_clock.h"

/* Records that a wild time may be followed by before the old clock must be back. */
static const size_t LOOK_AHEAD = 2;

struct clock {
    struct fit_records *records;
    int64_t back_s;
    int64_t jump_s;
    struct fit_run run;
    size_t kept; /* records of the run that aren't dropped */
    size_t last; /* the last of them */
    size_t before_last;
};

static int64_t step(const struct clock *clock, size_t from, size_t to)
{
    return (int64_t)clock->records->time[to] - (int64_t)clock->records->time[from];
}

static bool follows(const struct clock *clock, size_t from, size_t to)
{
    const int64_t s = step(clock, from, to);
    return s >= 0 && s <= clock->jump_s;
}

/* Whether the clock is back where it was soon after record i. */
static bool returns_after(const struct clock *clock, size_t i)
{
    for (size_t k = i + 1; k <= i + LOOK_AHEAD && k < clock->records->count; k++) {
        if ((clock->records->flags[k] & FIT_NO_TIME) == 0 && follows(clock, clock->last, k)) {
            return true;
        }
    }
    return false;
}

static void drop_wild(struct clock *clock, size_t i)
{
    clock->records->flags[i] |= FIT_DROPPED;
    clock->run.wild++;
}

static void keep(struct clock *clock, size_t i)
{
    clock->before_last = clock->last;
    clock->last = i;
    clock->kept++;
}

static void run_begin(struct clock *clock, size_t i, int64_t jump_s)
{
    clock->run = (struct fit_run){ .first = i, .after_jump = i > 0, .jump_s = jump_s };
    clock->kept = 0;
    keep(clock, i);
}

/* Record i, whose time is far from the last kept one's.  True if a new run begins with it. */
static bool take_far(struct clock *clock, size_t i)
{
    if (returns_after(clock, i)) {
        drop_wild(clock, i);
        return false;
    }
    if (clock->kept == 1) {
        /* The one before stood alone: it was the wild one. */
        drop_wild(clock, clock->last);
        clock->run.jump_s =
            clock->run.after_jump ? clock->run.jump_s + step(clock, clock->last, i) : 0;
        clock->kept = 0;
        keep(clock, i);
        return false;
    }
    if (step(clock, clock->before_last, clock->last) > clock->back_s &&
        follows(clock, clock->before_last, i)) {
        /* The last one ran ahead by less than a jump, alone. */
        drop_wild(clock, clock->last);
        clock->last = clock->before_last;
        clock->kept--;
        keep(clock, i);
        return false;
    }
    return true;
}

static void fill_missing_time(struct fit_records *records)
{
    uint32_t time = 0;
    for (size_t i = 0; i < records->count && time == 0; i++) {
        time = (records->flags[i] & FIT_NO_TIME) == 0 ? records->time[i] : 0;
    }
    for (size_t i = 0; i < records->count; i++) {
        if ((records->flags[i] & FIT_NO_TIME) != 0) {
            records->time[i] = time;
        }
        time = records->time[i];
    }
}

bool fit_clock_runs(struct arena *arena, struct fit_records *records, const struct limits *limits,
                    size_t most, struct fit_run **runs, size_t *n_runs)
{
    struct clock clock = { .records = records,
                           .back_s = (int64_t)limits->value[LIMIT_CLOCK_BACK_S],
                           .jump_s = (int64_t)limits->value[LIMIT_CLOCK_JUMP_S] };
    size_t capacity = 0;
    *runs = NULL;
    *n_runs = 0;
    fill_missing_time(records);
    for (size_t i = 0; i < records->count; i++) {
        if ((records->flags[i] & FIT_NO_TIME) != 0) {
            clock.run.time_less++;
        } else if (clock.kept == 0 || follows(&clock, clock.last, i)) {
            keep(&clock, i);
        } else if (step(&clock, clock.last, i) < 0 &&
                   step(&clock, clock.last, i) >= -clock.back_s) {
            records->flags[i] |= FIT_DROPPED;
            clock.run.ran_back++;
        } else if (take_far(&clock, i)) {
            if (*n_runs + 1 >= most) {
                return false;
            }
            const int64_t jump_s = step(&clock, clock.last, i);
            clock.run.count = i - clock.run.first;
            *runs = arena_grow(arena, *runs, *n_runs, &capacity, sizeof **runs);
            (*runs)[(*n_runs)++] = clock.run;
            run_begin(&clock, i, jump_s);
        }
    }
    if (clock.kept == 0 && *n_runs == 0) {
        return true;
    }
    clock.run.count = records->count - clock.run.first;
    if (clock.kept == 1 && *n_runs > 0) {
        /* Alone at the end of the file: wild, and the run before goes on over it. */
        drop_wild(&clock, clock.last);
        struct fit_run *before = &(*runs)[*n_runs - 1];
        before->count += clock.run.count;
        before->wild += clock.run.wild;
        before->ran_back += clock.run.ran_back;
        before->time_less += clock.run.time_less;
        return true;
    }
    *runs = arena_grow(arena, *runs, *n_runs, &capacity, sizeof **runs);
    (*runs)[(*n_runs)++] = clock.run;
    return true;
}
