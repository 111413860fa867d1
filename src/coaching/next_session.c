/* coaching/next_session.c: a session of the library with one change really made. */
#include "coaching/next_session.h"

#include "base/text.h"
#include "coaching/session_text.h"

#include <math.h>
#include <string.h>

enum {
    MINUTE_S = 60,
    ROUND_S = 300, /* lengths that people remember */
    SPLIT_S = 120, /* shorter efforts: the first third of them, not of each */
    REPS_FEW = 3,  /* from so many blocks on a block is the effort; else what is in it */
    WARM_UP_LEAST_S = 600,
    COOL_DOWN_LEAST_S = 300,
    LEFT_LEAST_S = 600, /* of the longest step, when a ride is cut */
};

static int32_t middle(const struct session_step *step)
{
    return (step->low + step->high) / 2;
}

static bool is_hard(const struct session_step *step, const struct limits *limits)
{
    return step->aim == AIM_PCT && step->low + step->high >= 2 * limits->value[LIMIT_SAFE_HARD_PCT];
}

/* ---- the efforts ---- */

static int64_t hard_seconds(const struct session_item *item, const struct limits *limits)
{
    if (item->times == 0) {
        return is_hard(&item->step, limits) ? item->step.seconds : 0;
    }
    int64_t sum = 0;
    for (size_t i = 0; i < item->n_items; i++) {
        sum += hard_seconds(&item->items[i], limits);
    }
    return sum * item->times;
}

/* The repeat with most of the hard seconds; NULL if nothing hard is repeated. */
static struct session_item *find_efforts(const struct session *session, const struct limits *limits)
{
    struct session_item *best = NULL;
    int64_t most = 0;
    for (size_t l = 0; l < session->n_lines; l++) {
        const struct session_line *line = &session->lines[l];
        for (size_t i = 0; line->kind == LINE_BLOCK && i < line->n_items; i++) {
            const int64_t seconds =
                line->items[i].times > 0 ? hard_seconds(&line->items[i], limits) : 0;
            if (seconds > most) {
                most = seconds;
                best = &line->items[i];
            }
        }
    }
    return best;
}

/* The repeat whose count says how many efforts: of two blocks of eight it is the eight. */
static struct session_item *find_count(struct session_item *efforts)
{
    for (size_t i = 0; efforts->times < REPS_FEW && i < efforts->n_items; i++) {
        if (efforts->items[i].times > 0) {
            return &efforts->items[i];
        }
    }
    return efforts;
}

typedef void step_work(struct session_step *step, const struct next_shape *shape,
                       const struct limits *limits);

static void each_hard(struct session_item *item, const struct next_shape *shape,
                      const struct limits *limits, step_work *work)
{
    if (item->times == 0) {
        if (is_hard(&item->step, limits)) {
            work(&item->step, shape, limits);
        }
        return;
    }
    for (size_t i = 0; i < item->n_items; i++) {
        each_hard(&item->items[i], shape, limits, work);
    }
}

static void as_asked(struct session_step *step, const struct next_shape *shape,
                     const struct limits *limits)
{
    (void)limits;
    step->low = shape->low_pct;
    step->high = shape->high_pct;
}

static void as_long(struct session_step *step, const struct next_shape *shape,
                    const struct limits *limits)
{
    (void)limits;
    step->seconds = shape->rep_s;
}

static int count_hard(const struct session_item *item, const struct limits *limits)
{
    int n = item->times == 0 && is_hard(&item->step, limits) ? 1 : 0;
    for (size_t i = 0; item->times > 0 && i < item->n_items; i++) {
        n += count_hard(&item->items[i], limits);
    }
    return n;
}

static int32_t one_step(const struct limits *limits)
{
    return (int32_t)lround(limits->value[LIMIT_NEXT_MORE_PCT]);
}

static void raise(struct session_step *step, const struct next_shape *shape,
                  const struct limits *limits)
{
    (void)shape;
    step->low += one_step(limits);
    step->high += one_step(limits);
}

static void lower(struct session_step *step, const struct next_shape *shape,
                  const struct limits *limits)
{
    (void)shape;
    step->low -= one_step(limits);
    step->high -= one_step(limits);
}

static void cap(struct session_step *step, const struct next_shape *shape,
                const struct limits *limits)
{
    (void)shape;
    (void)limits;
    step->high = middle(step) > step->low ? middle(step) : step->low;
}

/* ---- the start ---- */

static struct session_item copy_of(struct arena *arena, const struct session_item *item)
{
    struct session_item out = *item;
    if (item->times > 0) {
        out.items = ARENA_ARRAY(arena, struct session_item, item->n_items);
        for (size_t i = 0; i < item->n_items; i++) {
            out.items[i] = copy_of(arena, &item->items[i]);
        }
    }
    return out;
}

/* The items with room for one more at place i; those from it on move up. */
static void make_room(struct arena *arena, struct session_item **items, size_t *n, size_t i)
{
    struct session_item *grown = ARENA_ARRAY(arena, struct session_item, *n + 1);
    memcpy(grown, *items, i * sizeof grown[0]);
    memcpy(grown + i + 1, *items + i, (*n - i) * sizeof grown[0]);
    *items = grown;
    (*n)++;
}

/* Each long effort in two steps: its first third capped, then the range as it was. */
static void split_efforts(struct arena *arena, struct session_item *of, const struct limits *limits)
{
    for (size_t i = 0; i < of->n_items; i++) {
        struct session_item *item = &of->items[i];
        if (item->times > 0) {
            split_efforts(arena, item, limits);
        } else if (is_hard(&item->step, limits) && item->step.seconds >= SPLIT_S) {
            make_room(arena, &of->items, &of->n_items, i);
            struct session_step *first = &of->items[i].step;
            of->items[i] = of->items[i + 1];
            first->seconds = (first->seconds / 3 + 5) / 10 * 10;
            cap(first, NULL, limits);
            of->items[i + 1].step.seconds -= first->seconds;
            of->items[i + 1].step.words = NULL;
            i++;
        }
    }
}

static int32_t longest_hard(const struct session_item *item, const struct limits *limits)
{
    int32_t most = item->times == 0 && is_hard(&item->step, limits) ? item->step.seconds : 0;
    for (size_t i = 0; item->times > 0 && i < item->n_items; i++) {
        const int32_t one = longest_hard(&item->items[i], limits);
        most = one > most ? one : most;
    }
    return most;
}

/* The items that hold `of`, and its place in them; false if it isn't among them. */
static bool find_holder(struct session_item **items, size_t *n, const struct session_item *of,
                        struct session_item ***out, size_t **out_n, size_t *place)
{
    for (size_t i = 0; i < *n; i++) {
        struct session_item *item = &(*items)[i];
        if (item == of) {
            *out = items;
            *out_n = n;
            *place = i;
            return true;
        }
        if (item->times > 0 && find_holder(&item->items, &item->n_items, of, out, out_n, place)) {
            return true;
        }
    }
    return false;
}

/* Short efforts: the first third of a block capped, then the rest of it. */
static void split_block(struct arena *arena, struct session *session, struct session_item *block,
                        const struct limits *limits)
{
    for (size_t l = 0; l < session->n_lines; l++) {
        struct session_item **items = NULL;
        size_t *n = NULL;
        size_t i = 0;
        if (!find_holder(&session->lines[l].items, &session->lines[l].n_items, block, &items, &n,
                         &i)) {
            continue;
        }
        const int32_t first = (block->times + 2) / 3;
        if (first >= block->times) {
            each_hard(block, NULL, limits, cap);
            return;
        }
        make_room(arena, items, n, i);
        (*items)[i] = copy_of(arena, &(*items)[i + 1]);
        (*items)[i].times = first;
        (*items)[i + 1].times -= first;
        each_hard(&(*items)[i], NULL, limits, cap);
        return;
    }
}

/* The innermost repeat of the efforts: of two blocks of eight one block. */
static struct session_item *innermost(struct session_item *item)
{
    for (size_t i = 0; i < item->n_items; i++) {
        if (item->items[i].times > 0) {
            return innermost(&item->items[i]);
        }
    }
    return item;
}

static void cap_start(struct arena *arena, struct session *session, struct session_item *efforts,
                      const struct limits *limits)
{
    if (longest_hard(efforts, limits) >= SPLIT_S) {
        split_efforts(arena, efforts, limits);
    } else {
        split_block(arena, session, innermost(efforts), limits);
    }
}

/* ---- length ---- */

static int32_t seconds_of(const struct session_item *items, size_t n)
{
    int32_t sum = 0;
    for (size_t i = 0; i < n; i++) {
        sum += items[i].times == 0 ? items[i].step.seconds
                                   : items[i].times * seconds_of(items[i].items, items[i].n_items);
    }
    return sum;
}

static int32_t length_of(const struct session *session)
{
    int32_t sum = 0;
    for (size_t l = 0; l < session->n_lines; l++) {
        sum += session->lines[l].kind == LINE_BLOCK
                   ? seconds_of(session->lines[l].items, session->lines[l].n_items)
                   : 0;
    }
    return sum;
}

/* The longest step of the blocks that is no repeat; NULL if there is none. */
static struct session_step *longest_step(const struct session *session)
{
    struct session_step *longest = NULL;
    for (size_t l = 0; l < session->n_lines; l++) {
        const struct session_line *line = &session->lines[l];
        for (size_t i = 0; line->kind == LINE_BLOCK && i < line->n_items; i++) {
            struct session_step *step = &line->items[i].step;
            if (line->items[i].times == 0 &&
                (longest == NULL || step->seconds > longest->seconds)) {
                longest = step;
            }
        }
    }
    return longest;
}

/* Steps of that role no shorter than `least`, to save up to *over seconds. */
static void trim(const struct session *session, enum session_role role, int32_t least,
                 int32_t *over)
{
    for (size_t l = 0; l < session->n_lines; l++) {
        const struct session_line *line = &session->lines[l];
        for (size_t i = 0; line->kind == LINE_BLOCK && i<line->n_items && * over> 0; i++) {
            struct session_step *step = &line->items[i].step;
            if (line->items[i].times == 0 && step->role == role && step->seconds > least) {
                const int32_t most = step->seconds - least;
                const int32_t wanted = (*over + MINUTE_S - 1) / MINUTE_S * MINUTE_S;
                const int32_t cut = wanted < most ? wanted : most;
                step->seconds -= cut;
                *over -= cut;
            }
        }
    }
}

static void cut_longest(const struct session *session, int32_t wanted_s)
{
    struct session_step *step = longest_step(session);
    if (step == NULL) {
        return;
    }
    int32_t left = step->seconds - (length_of(session) - wanted_s);
    left = left > ROUND_S ? left / ROUND_S * ROUND_S : left;
    left = left < LEFT_LEAST_S ? LEFT_LEAST_S : left;
    step->seconds = left < step->seconds ? left : step->seconds;
}

/* Easy rides lose riding, sessions with efforts some of what stands about them. */
static void fit_time(const struct session *session, bool has_efforts, int32_t most_s)
{
    int32_t over = length_of(session) - most_s;
    if (most_s <= 0 || over <= 0) {
        return;
    }
    if (has_efforts) {
        trim(session, ROLE_COOL_DOWN, COOL_DOWN_LEAST_S, &over);
        trim(session, ROLE_WARM_UP, WARM_UP_LEAST_S, &over);
    } else {
        cut_longest(session, most_s);
    }
}

static void shorten(const struct session *session, struct session_item *efforts, double share)
{
    share = share > 0 ? share : 0.5;
    if (efforts != NULL) {
        const int32_t times = (int32_t)lround(efforts->times * share);
        efforts->times = times < 1 ? 1 : times;
    } else {
        cut_longest(session, (int32_t)lround(length_of(session) * share));
    }
}

/* ---- the rest ---- */

static void cap_easy(struct arena *arena, const struct session *session, bool by_feel,
                     const struct limits *limits)
{
    struct session_step *step = longest_step(session);
    if (step != NULL) {
        step->words = by_feel ? "whole sentences all the time, uphill too"
                              : arena_format(arena, "never above %.0f %%, uphill too",
                                             limits->value[LIMIT_KIND_EASY_HIGH_PCT]);
    }
}

/* Effort of 10 beside % of threshold: common practice, no source. */
static void feel(struct session_step *step)
{
    static const struct {
        int32_t under_pct;
        int32_t low;
        int32_t high;
    } rows[] = { { 61, 2, 3 },  { 76, 3, 4 },  { 91, 5, 6 },
                 { 106, 7, 8 }, { 121, 8, 9 }, { INT32_MAX, 9, 10 } };
    size_t i = 0;
    if (step->aim != AIM_PCT) {
        return;
    }
    while (middle(step) >= rows[i].under_pct) {
        i++;
    }
    step->aim = AIM_EFFORT;
    step->low = rows[i].low;
    step->high = rows[i].high;
    step->rises = false;
}

static void feel_all(struct session_item *items, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (items[i].times > 0) {
            feel_all(items[i].items, items[i].n_items);
        } else {
            feel(&items[i].step);
        }
    }
}

/* A plan B is for less: one that is as long as what is left helps nobody. */
static void drop_long_plans(struct session *session)
{
    const int32_t length = length_of(session);
    size_t kept = 0;
    for (size_t l = 0; l < session->n_lines; l++) {
        const struct session_line *line = &session->lines[l];
        if (line->kind != LINE_PLAN_B || seconds_of(line->items, line->n_items) < length) {
            session->lines[kept++] = *line;
        }
    }
    session->n_lines = kept;
}

static bool change(struct arena *arena, struct session *session, struct session_item *efforts,
                   const struct next_shape *shape, const struct limits *limits)
{
    struct session_item *count = efforts == NULL ? NULL : find_count(efforts);
    switch (shape->change) {
    case NEXT_AS_IT_IS: return true;
    case NEXT_CAP_EASY: cap_easy(arena, session, shape->by_feel, limits); return true;
    case NEXT_SHORTER: shorten(session, efforts, shape->share); return true;
    case NEXT_FEWER:
        if (count == NULL || count->times < 2) {
            return false;
        }
        count->times--;
        return true;
    case NEXT_ONE_MORE:
        if (count == NULL || count->times >= SESSION_TIMES_MOST) {
            return false;
        }
        count->times++;
        return true;
    case NEXT_CAP_START:
    case NEXT_LOWER:
    case NEXT_HARDER:
    case NEXT_CHANGES: break;
    }
    if (efforts == NULL) {
        return false;
    }
    if (shape->change == NEXT_HARDER) {
        each_hard(efforts, shape, limits, raise);
        return true;
    }
    if (shape->change == NEXT_LOWER) {
        each_hard(efforts, shape, limits, lower);
    }
    cap_start(arena, session, efforts, limits);
    return true;
}

bool next_session_make(struct arena *arena, const char *words, const struct next_shape *shape,
                       const struct limits *limits, struct session *out, const char **text)
{
    struct session_fault fault = { 0 };
    if (!session_read(arena, words, out, &fault)) {
        return false;
    }
    struct session_item *efforts = find_efforts(out, limits);
    if (efforts != NULL && shape->low_pct > 0) {
        each_hard(efforts, shape, limits, as_asked);
    }
    if (efforts != NULL && shape->rep_s > 0 && count_hard(efforts, limits) == 1) {
        each_hard(efforts, shape, limits, as_long);
    }
    if (efforts != NULL && shape->reps > 0) {
        find_count(efforts)->times = shape->reps;
    }
    if (!change(arena, out, efforts, shape, limits)) {
        return false;
    }
    fit_time(out, find_efforts(out, limits) != NULL, shape->most_s);
    drop_long_plans(out);
    for (size_t l = 0; shape->by_feel && l < out->n_lines; l++) {
        feel_all(out->lines[l].items, out->lines[l].n_items);
    }
    *text = session_write(arena, out);
    return session_read(arena, *text, out, &fault); /* as it is kept, or not at all */
}
