/* physiology/steady_search.c: the longest steady span, level by level, from runs of good seconds.
 *
 *   power     ▃▅▆▆▆▇█▇▆▆▂▁▂▅▆▆▆
 *   level 1    ├──────┤     ├──         a run begins or ends where power crosses an edge of the
 *   level 2     ├───────┤    ├─         band: power moves little in a second, so few levels begin
 *   level 3        ├──┤                 or end a run there, and most seconds change nothing
 *
 * Only whole runs matter where nobody coasts: a span that begins inside the band and could begin a
 * second earlier inside it is never the longest. */
#include "physiology/steady.h"

#include <math.h>
#include <stdlib.h>

/* The grid of levels: 10 W is below any pedalling worth a span, and 1 % a twelfth of the band. */
static const double LEVEL_FIRST_W = 10.0;
static const double LEVEL_STEP = 1.01;

enum {
    LEVELS = 560,     /* 10 W x 1.01^559 = 2600 W: above anything held for minutes */
    PER_MILLE = 1000, /* shares of seconds in whole thousandths, so that sums are exact */
};

static int32_t round_level(double level_w)
{
    return (int32_t)(level_w * 100.0 + 0.5);
}

int32_t steady_level_cw(size_t k)
{
    double level_w = LEVEL_FIRST_W;
    for (size_t i = 0; i < k; i++) {
        level_w *= LEVEL_STEP;
    }
    return round_level(level_w);
}

void steady_band(int32_t level_cw, double ratio, int32_t *low_cw, int32_t *high_cw)
{
    *low_cw = (int32_t)ceil((double)level_cw * (1.0 - ratio));
    *high_cw = (int32_t)floor((double)level_cw * (1.0 + ratio));
}

/* ---- runs ---- */

struct level {
    int32_t level_cw;
    int32_t low_cw; /* edges of the band */
    int32_t high_cw;
    size_t first; /* of its runs */
    size_t begun; /* runs filled so far, while they are filled */
    size_t ended;
    int64_t good; /* seconds in its runs */
};

/* The levels whose band holds a second's power: from..to-1. */
struct inside {
    uint16_t from;
    uint16_t to;
};

/* Prefix sums turn "at most a share of the seconds" into "the sum does not rise":
 *   bad(b) - bad(a) = 1000 x bad seconds of [a, b) - allowed per mille x (b - a) <= 0,
 * and the same for coasting. */
struct search {
    const struct steady_second *seconds;
    size_t n;
    int64_t bad_per_mille;   /* allowed share of seconds outside the band */
    int64_t coast_per_mille; /* and of coasting */
    struct level *levels;    /* of the range asked for */
    size_t n_levels;
    struct span *runs; /* of one level after the other, each in order of time */
    int32_t *coasted;  /* [n + 1] coasting seconds before a second */
    int32_t *stops;    /* [n + 1] stopped seconds before a second */
    int64_t
        *bad_from;   /* [longest list of runs] prefix at the begin of a run of the level at hand */
    int64_t *bad_to; /* and at its end */
    int64_t *least_to;  /* least bad_to of this run and all after it in its piece */
    int64_t *most_from; /* greatest bad_from of this run and all before it in its piece */
    size_t *stack;
    struct span best;
    int32_t level_cw; /* of best */
};

static int64_t length_of(struct span span)
{
    return (int64_t)span.to_s - (int64_t)span.from_s;
}

/* The levels in low_w..high_w; the products are those of steady_level_cw. */
static void make_levels(struct arena *arena, struct search *search, double low_w, double high_w,
                        double ratio)
{
    search->levels = ARENA_ARRAY(arena, struct level, LEVELS);
    double exact_w = LEVEL_FIRST_W;
    for (size_t k = 0; k < LEVELS; k++, exact_w *= LEVEL_STEP) {
        struct level level = { .level_cw = round_level(exact_w) };
        const double level_w = (double)level.level_cw / 100.0;
        if (level_w >= low_w && level_w <= high_w) {
            steady_band(level.level_cw, ratio, &level.low_cw, &level.high_cw);
            search->levels[search->n_levels++] = level;
        }
    }
}

/* The levels that hold each second, found from those of the second before. */
static struct inside *make_inside(struct arena *arena, const struct search *search)
{
    struct inside *inside = ARENA_ARRAY(arena, struct inside, search->n);
    const struct level *levels = search->levels;
    size_t from = 0; /* the first level whose band doesn't end below the power */
    size_t to = 0;   /* the first whose band begins above it */
    for (size_t t = 0; t < search->n; t++) {
        const struct steady_second *s = &search->seconds[t];
        if (!s->known || s->stopped) {
            continue; /* none: 0..0 */
        }
        while (from < search->n_levels && levels[from].high_cw < s->filtered_cw) {
            from++;
        }
        while (from > 0 && levels[from - 1].high_cw >= s->filtered_cw) {
            from--;
        }
        while (to < search->n_levels && levels[to].low_cw <= s->filtered_cw) {
            to++;
        }
        while (to > 0 && levels[to - 1].low_cw > s->filtered_cw) {
            to--;
        }
        inside[t] = (struct inside){ (uint16_t)from, (uint16_t)(from < to ? to : from) };
    }
    return inside;
}

/* Calls `act` for every level of `these` that isn't among `those`. */
static void for_each_new(struct search *search, struct inside these, struct inside those, size_t t,
                         void (*act)(struct search *search, struct level *level, size_t t))
{
    const size_t below = these.to < those.from ? these.to : those.from;
    const size_t above = these.from > those.to ? these.from : those.to;
    for (size_t k = these.from; k < below; k++) {
        act(search, &search->levels[k], t);
    }
    for (size_t k = above; k < these.to; k++) {
        act(search, &search->levels[k], t);
    }
}

static void count_run(struct search *search, struct level *level, size_t t)
{
    (void)search;
    (void)t;
    level->begun++;
}

static void begin_run(struct search *search, struct level *level, size_t t)
{
    search->runs[level->first + level->begun++].from_s = (int32_t)t;
}

static void end_run(struct search *search, struct level *level, size_t t)
{
    struct span *run = &search->runs[level->first + level->ended++];
    run->to_s = (int32_t)t;
    level->good += length_of(*run);
}

static bool is_same(struct inside a, struct inside b)
{
    return a.from == b.from && a.to == b.to;
}

/* Fills the runs of every level: counts them, gives each level its place, then notes both ends. */
static void make_runs(struct arena *arena, struct search *search)
{
    const struct inside *inside = make_inside(arena, search);
    struct inside before = { 0, 0 };
    for (size_t t = 0; t < search->n; before = inside[t++]) {
        if (!is_same(inside[t], before)) {
            for_each_new(search, inside[t], before, t, count_run);
        }
    }
    size_t count = 0;
    size_t most = 0;
    for (size_t k = 0; k < search->n_levels; k++) {
        struct level *level = &search->levels[k];
        most = level->begun > most ? level->begun : most;
        level->first = count;
        count += level->begun;
        level->begun = 0;
    }
    search->runs = ARENA_ARRAY(arena, struct span, count);
    before = (struct inside){ 0, 0 };
    for (size_t t = 0; t < search->n; before = inside[t++]) {
        if (!is_same(inside[t], before)) {
            for_each_new(search, before, inside[t], t, end_run);
            for_each_new(search, inside[t], before, t, begin_run);
        }
    }
    for_each_new(search, before, (struct inside){ 0, 0 }, search->n, end_run);
    search->bad_from = ARENA_ARRAY(arena, int64_t, most);
    search->bad_to = ARENA_ARRAY(arena, int64_t, most);
    search->least_to = ARENA_ARRAY(arena, int64_t, most);
    search->most_from = ARENA_ARRAY(arena, int64_t, most);
    search->stack = ARENA_ARRAY(arena, size_t, most);
}

static void count_seconds(struct arena *arena, struct search *search)
{
    search->coasted = ARENA_ARRAY(arena, int32_t, search->n + 1);
    search->stops = ARENA_ARRAY(arena, int32_t, search->n + 1);
    for (size_t t = 0; t < search->n; t++) {
        search->coasted[t + 1] = search->coasted[t] + search->seconds[t].coasting;
        search->stops[t + 1] = search->stops[t] + search->seconds[t].stopped;
    }
}

/* ---- one level ---- */

/* Takes a span if it is better: longer, else earlier, else of a lower level. */
static void offer(struct search *search, struct span span, int32_t level_cw)
{
    const int64_t more = length_of(span) - length_of(search->best);
    const bool earlier = span.from_s < search->best.from_s;
    const bool lower = span.from_s == search->best.from_s && level_cw < search->level_cw;
    if (more > 0 || (more == 0 && length_of(span) > 0 && (earlier || lower))) {
        search->best = span;
        search->level_cw = level_cw;
    }
}

/* The longest span of a piece, runs[from] to runs[to - 1], by bad seconds alone; ties: the
 * earliest.  A start is worth keeping only where the prefix is higher than at every earlier start;
 * seen from the right, the first end whose prefix isn't above a start's is the farthest of that
 * start. */
static struct span longest_by_bad(const struct search *search, const struct span runs[],
                                  size_t from, size_t to)
{
    size_t kept = 0;
    for (size_t i = from; i < to; i++) {
        if (kept == 0 || search->bad_from[i] > search->bad_from[search->stack[kept - 1]]) {
            search->stack[kept++] = i;
        }
    }
    struct span best = { 0, 0 };
    for (size_t i = to; i > from && kept > 0; i--) {
        while (kept > 0 && search->bad_to[i - 1] <= search->bad_from[search->stack[kept - 1]]) {
            const struct span span = { runs[search->stack[--kept]].from_s, runs[i - 1].to_s };
            if (length_of(span) > 0 && length_of(span) >= length_of(best)) {
                best = span;
            }
        }
    }
    return best;
}

/* qsort has no context: a key travels with its position. */
struct keyed {
    int64_t key;
    size_t position;
};

static int by_key_down(const void *a, const void *b)
{
    const struct keyed *x = a;
    const struct keyed *y = b;
    if (x->key != y->key) {
        return x->key > y->key ? -1 : 1;
    }
    return (x->position > y->position) - (x->position < y->position);
}

/* The places (from 1) that a key takes among ranks sorted downwards: how many are >= key. */
static size_t rank_of(const struct keyed ranks[], size_t n, int64_t key)
{
    size_t low = 0;
    size_t high = n;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (ranks[middle].key >= key) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

/* Starts and ends that may make a span as long as the best, of one piece of one level. */
struct events {
    struct keyed *events; /* by bad prefix; an end stands behind every start: n + 1 + its second */
    size_t n_events;
    struct keyed *ranks; /* of the starts, by coasting prefix */
    size_t n_ranks;
};

static int64_t coast_at(const struct search *search, size_t t)
{
    return (int64_t)search->coasted[t] * PER_MILLE - search->coast_per_mille * (int64_t)t;
}

/* The farthest end that a start at run i's begin reaches by bad seconds: no start in the run
 * reaches farther.  least_to rises, so halving finds the last run that is low enough. */
static int32_t reach_right(const struct search *search, const struct span runs[], size_t i,
                           size_t to)
{
    size_t low = i; /* low enough: a run's own end is */
    size_t high = to;
    while (high - low > 1) {
        const size_t middle = low + (high - low) / 2;
        if (search->least_to[middle] <= search->bad_from[i]) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return runs[low].to_s;
}

/* The same from an end: the earliest start of a span that ends at run i's end. */
static int32_t reach_left(const struct search *search, const struct span runs[], size_t from,
                          size_t i)
{
    size_t low = from; /* the first run whose most_from is high enough: i itself is */
    size_t high = i;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (search->most_from[middle] >= search->bad_to[i]) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    return runs[low].from_s;
}

/* Notes the starts and ends of a run that can't be moved outwards: its own, and those beside
 * coasting. */
static void add_events(const struct search *search, const struct span runs[], size_t from,
                       size_t to, size_t i, int64_t shortest, struct events *out)
{
    const struct span run = runs[i];
    const size_t ends = search->n + 1;
    const int64_t last = reach_right(search, runs, i, to) - shortest;
    for (int32_t t = run.from_s; t < run.to_s && t <= last; t++) {
        if (t == run.from_s || search->seconds[t - 1].coasting) {
            const int64_t bad = search->bad_from[i] - search->bad_per_mille * (t - run.from_s);
            out->events[out->n_events++] = (struct keyed){ bad, (size_t)t };
            out->ranks[out->n_ranks++] = (struct keyed){ coast_at(search, (size_t)t), (size_t)t };
        }
    }
    const int64_t first = reach_left(search, runs, from, i) + shortest;
    for (int32_t t = run.to_s; t > run.from_s && t >= first; t--) {
        if (t == run.to_s || search->seconds[t].coasting) {
            const int64_t bad = search->bad_to[i] + search->bad_per_mille * (run.to_s - t);
            out->events[out->n_events++] = (struct keyed){ bad, ends + (size_t)t };
        }
    }
}

static struct events find_events(struct arena *arena, const struct search *search,
                                 const struct span runs[], size_t from, size_t to)
{
    const int64_t shortest = length_of(search->best) > 1 ? length_of(search->best) : 1;
    size_t most = 0;
    for (size_t i = from; i < to; i++) {
        most += 1 + (size_t)(search->coasted[runs[i].to_s] - search->coasted[runs[i].from_s]);
    }
    for (size_t i = to; i > from; i--) {
        search->least_to[i - 1] = i < to && search->least_to[i] < search->bad_to[i - 1]
                                      ? search->least_to[i]
                                      : search->bad_to[i - 1];
    }
    for (size_t i = from; i < to; i++) {
        search->most_from[i] = i > from && search->most_from[i - 1] > search->bad_from[i]
                                   ? search->most_from[i - 1]
                                   : search->bad_from[i];
    }
    struct events out = { .events = ARENA_ARRAY(arena, struct keyed, 2 * most),
                          .ranks = ARENA_ARRAY(arena, struct keyed, most) };
    for (size_t i = from; i < to; i++) {
        add_events(search, runs, from, to, i, shortest, &out);
    }
    qsort(out.events, out.n_events, sizeof out.events[0], by_key_down);
    qsort(out.ranks, out.n_ranks, sizeof out.ranks[0], by_key_down);
    return out;
}

/* The longest span of the piece that obeys both shares, if it is as long as the best; ties: the
 * earliest.  Starts and ends are walked by falling bad prefix, so that every start seen so far
 * obeys the first share; a Fenwick tree over the coasting prefix then gives the earliest start that
 * obeys the second. */
static struct span longest_by_both(const struct search *search, const struct span runs[],
                                   size_t from, size_t to)
{
    struct arena *arena = arena_open();
    const struct events events = find_events(arena, search, runs, from, to);
    const size_t ends = search->n + 1;
    size_t *tree = ARENA_ARRAY(arena, size_t, events.n_ranks + 1);
    for (size_t i = 0; i <= events.n_ranks; i++) {
        tree[i] = search->n;
    }
    struct span best = { 0, 0 };
    for (size_t e = 0; e < events.n_events; e++) {
        const size_t position = events.events[e].position;
        if (position < ends) {
            const size_t rank = rank_of(events.ranks, events.n_ranks, coast_at(search, position));
            for (size_t i = rank; i <= events.n_ranks; i += i & (~i + 1)) {
                tree[i] = position < tree[i] ? position : tree[i];
            }
            continue;
        }
        const size_t b = position - ends;
        size_t a = search->n;
        for (size_t i = rank_of(events.ranks, events.n_ranks, coast_at(search, b)); i > 0;
             i &= i - 1) {
            a = tree[i] < a ? tree[i] : a;
        }
        const struct span span = { (int32_t)a, (int32_t)b };
        const int64_t more = length_of(span) - length_of(best);
        if (length_of(span) > 0 && (more > 0 || (more == 0 && span.from_s < best.from_s))) {
            best = span;
        }
    }
    arena_close(arena);
    return best;
}

/* Tries one level over every piece between stops. */
static void try_level(struct search *search, const struct level *level)
{
    const struct span *runs = search->runs + level->first;
    int64_t good = 0;
    for (size_t i = 0; i < level->ended; i++) {
        const int64_t each = PER_MILLE - search->bad_per_mille;
        search->bad_from[i] = each * runs[i].from_s - PER_MILLE * good;
        good += length_of(runs[i]);
        search->bad_to[i] = each * runs[i].to_s - PER_MILLE * good;
    }
    for (size_t from = 0; from < level->ended;) {
        size_t to = from + 1;
        while (to < level->ended &&
               search->stops[runs[to].from_s] == search->stops[runs[from].from_s]) {
            to++;
        }
        struct span span = longest_by_bad(search, runs, from, to);
        if (length_of(span) >= length_of(search->best)) {
            if (coast_at(search, (size_t)span.to_s) > coast_at(search, (size_t)span.from_s)) {
                span = longest_by_both(search, runs, from, to);
            }
            offer(search, span, level->level_cw);
        }
        from = to;
    }
}

struct span steady_longest(const struct steady_second seconds[], size_t n, double low_w,
                           double high_w, const struct limits *limits, double *level_w)
{
    struct arena *scratch = arena_open();
    struct search search = {
        .seconds = seconds,
        .n = n,
        .bad_per_mille = PER_MILLE - lround(limits->value[LIMIT_STEADY_IN_BAND_RATIO] * PER_MILLE),
        .coast_per_mille = lround(limits->value[LIMIT_STEADY_COASTING_RATIO] * PER_MILLE),
    };
    make_levels(scratch, &search, low_w, high_w, limits->value[LIMIT_STEADY_BAND_PCT] / 100.0);
    make_runs(scratch, &search);
    count_seconds(scratch, &search);
    for (size_t k = 0; k < search.n_levels; k++) {
        /* A level can't give a span longer than its good seconds allow. */
        const struct level *level = &search.levels[k];
        if (level->good * PER_MILLE >=
            (PER_MILLE - search.bad_per_mille) * length_of(search.best)) {
            try_level(&search, level);
        }
    }
    if (length_of(search.best) > 0) {
        *level_w = (double)search.level_cw / 100.0;
    }
    const struct span best = search.best;
    arena_close(scratch);
    return best;
}
