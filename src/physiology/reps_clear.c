/* physiology/reps_clear.c: which efforts are clear work, and which may only be the road.
 *
 * Hills, wind and company make efforts too.  A session shows in three ways: an effort is even and
 * parted from its rests; it comes again, as long and as hard; or its edges carry lap marks. */
#include "physiology/reps_parts.h"

#include <math.h>
#include <stdlib.h>

enum { EVEN_S = 30, DIP_S = 10, LAP_S = 3 };

/* The level of the harder of the two rests beside rep i, and of the easier. */
struct beside {
    double harder_w;
    double easier_w;
};

static struct beside rests_beside(const struct reps_ride *ride, const struct reps *reps, size_t i)
{
    const int32_t reach = (int32_t)ride->limits->value[LIMIT_REPS_REST_S];
    const struct span span = reps->items[i].span;
    const int32_t last = i == 0 ? 0 : reps->items[i - 1].span.to_s;
    const int32_t next = i + 1 < reps->count ? reps->items[i + 1].span.from_s : (int32_t)ride->n;
    const int32_t from = span.from_s - last > reach ? span.from_s - reach : last;
    const int32_t to = next - span.to_s > reach ? span.to_s + reach : next;
    const double before = reps_mean(ride->effort_w, from, span.from_s, NULL);
    const double after = reps_mean(ride->effort_w, span.to_s, to, NULL);
    /* fmax and fmin leave out an unknown side; nothing beside it means that it stood alone. */
    const double harder = fmax(before, after);
    const double easier = fmin(before, after);
    return (struct beside){ isnan(harder) ? 0.0 : harder, isnan(easier) ? 0.0 : easier };
}

/* Mean of the seconds with pressure on the pedals; NAN if those are fewer than half. */
static double pedalled_mean(const struct reps_ride *ride, int32_t from_s, int32_t to_s)
{
    const double least = ride->limits->value[LIMIT_REPS_COAST_RATIO] * ride->scale_w;
    double sum = 0.0;
    int32_t n = 0;
    for (int32_t t = from_s; t < to_s; t++) {
        if (ride->effort_w[t] > least) {
            sum += ride->effort_w[t];
            n++;
        }
    }
    return 2 * n >= to_s - from_s ? sum / (double)n : (double)NAN;
}

/* Standard deviation of 30-s means; 0 with fewer than two of them.  A corner or a junction is no
 * unevenness: its time counts as a dip. */
static double unevenness(const struct reps_ride *ride, struct span span)
{
    double sum = 0.0;
    double squares = 0.0;
    double n = 0.0;
    for (int32_t t = span.from_s; t + EVEN_S <= span.to_s; t += EVEN_S) {
        const double mean = pedalled_mean(ride, t, t + EVEN_S);
        if (!isnan(mean)) {
            sum += mean;
            squares += mean * mean;
            n += 1.0;
        }
    }
    return n < 2.0 ? 0.0 : sqrt(fmax((squares - sum * sum / n) / (n - 1.0), 0.0));
}

/* Share of the seconds about which power was nearer to rest than to work. */
static double dips(const struct reps_ride *ride, struct span span, double middle_w)
{
    double low = 0.0;
    for (int32_t t = span.from_s; t < span.to_s; t++) {
        const int32_t from = t - DIP_S / 2 < span.from_s ? span.from_s : t - DIP_S / 2;
        const int32_t to = t + DIP_S / 2 > span.to_s ? span.to_s : t + DIP_S / 2;
        low += reps_mean(ride->effort_w, from, to, NULL) < middle_w ? 1.0 : 0.0;
    }
    return low / (double)(span.to_s - span.from_s);
}

static bool lap_at(const struct recording *recording, int32_t t)
{
    for (size_t i = 0; i < recording->n_laps; i++) {
        const struct lap *lap = &recording->laps[i];
        if ((lap->by_hand || lap->workout_step >= 0) &&
            (abs(lap->start_s - t) <= LAP_S || abs(lap->end_s - t) <= LAP_S)) {
            return true;
        }
    }
    return false;
}

bool reps_has_laps(const struct reps_ride *ride, int32_t from_s, int32_t to_s)
{
    return lap_at(ride->recording, from_s) && lap_at(ride->recording, to_s);
}

/* What an effort shows of itself. */
struct clarity {
    bool clear;      /* even, and parted from its rests */
    bool very_clear; /* enough to stand alone */
};

static double length_of(const struct rep *rep)
{
    return (double)(rep->span.to_s - rep->span.from_s);
}

static bool is_sprint(const struct reps_ride *ride, const struct rep *rep)
{
    return length_of(rep) < ride->limits->value[LIMIT_KIND_SPRINT_LONGEST_S];
}

/* Whether most efforts of a block last as long as the middle one: nobody rides so by chance. */
static bool is_regular(const struct reps_ride *ride, const struct rep *rep)
{
    const double *v = ride->limits->value;
    double lengths[200];
    double sorted[200];
    const size_t n = rep->n_efforts < 200 ? (size_t)rep->n_efforts : 200;
    for (size_t i = 0; i < n; i++) {
        lengths[i] = (double)(rep->efforts[i].to_s - rep->efforts[i].from_s);
        sorted[i] = lengths[i];
    }
    const double middle = reps_middle(sorted, n);
    const double slack = fmax(LAP_S, v[LIMIT_REPS_CLEAR_BLOCK_RATIO] * middle);
    double regular = 0.0;
    for (size_t i = 0; i < n; i++) {
        regular += fabs(lengths[i] - middle) <= slack ? 1.0 : 0.0;
    }
    return regular >= v[LIMIT_REPS_CLEAR_BLOCK_SHARE] * (double)n;
}

static struct clarity clarity_of(const struct reps_ride *ride, const struct reps *reps, size_t i)
{
    const double *v = ride->limits->value;
    const struct rep *rep = &reps->items[i];
    if (rep->is_block) {
        const bool regular = is_regular(ride, rep);
        return (struct clarity){ regular, regular };
    }
    const struct beside rest = rests_beside(ride, reps, i);
    const double contrast = rep->mean_power_w - rest.harder_w;
    if (is_sprint(ride, rep)) {
        /* Every road holds a few seconds of hard work. */
        const bool hard = 100.0 * rep->mean_power_w >= v[LIMIT_KIND_SPRINT_LOW_PCT] * ride->scale_w;
        return (struct clarity){
            hard && contrast >= v[LIMIT_REPS_CLEAR_SPRINT_RATIO] * ride->scale_w, false
        };
    }
    const double uneven = unevenness(ride, rep->span) / contrast;
    const double low = dips(ride, rep->span, 0.5 * (rep->mean_power_w + rest.easier_w));
    const bool clear = contrast >= v[LIMIT_REPS_CONTRAST_RATIO] * ride->scale_w &&
                       uneven <= v[LIMIT_REPS_CLEAR_UNEVEN_RATIO] &&
                       low <= v[LIMIT_REPS_CLEAR_DIPS_RATIO];
    const bool alone = clear && rep->edges_sure && length_of(rep) >= v[LIMIT_REPS_CLEAR_ALONE_S] &&
                       contrast >= v[LIMIT_REPS_CLEAR_ALONE_RATIO] * ride->scale_w &&
                       uneven <= v[LIMIT_REPS_CLEAR_ALONE_UNEVEN_RATIO];
    return (struct clarity){ clear, alone };
}

/* Whether two efforts may be of one session: alike in length and level.  Sprints scatter more. */
static bool are_alike(const struct reps_ride *ride, const struct rep *a, const struct rep *b)
{
    const double *v = ride->limits->value;
    const bool sprint = is_sprint(ride, a);
    const double x = length_of(a);
    const double y = length_of(b);
    const double length =
        v[sprint ? LIMIT_REPS_CLEAR_SPRINT_FACTOR : LIMIT_REPS_CLEAR_LENGTH_FACTOR];
    const double level = v[sprint ? LIMIT_REPS_CLEAR_SPRINT_FACTOR : LIMIT_REPS_CLEAR_LEVEL_FACTOR];
    return fmax(x, y) <= length * fmin(x, y) &&
           fmax(a->mean_power_w, b->mean_power_w) <= level * fmin(a->mean_power_w, b->mean_power_w);
}

/* The run of clear efforts alike to rep i, one after the other without a long rest. */
struct likes {
    size_t *items; /* [count] in time order */
    size_t count;
    bool any_sure; /* the edges of one of them are */
};

static struct likes likes_of(struct arena *arena, const struct reps_ride *ride,
                             const struct reps *reps, const struct clarity clarity[], size_t i)
{
    const double longest = ride->limits->value[LIMIT_REPS_SET_LONG_S];
    struct likes likes = { .items = ARENA_ARRAY(arena, size_t, reps->count) };
    for (size_t j = 0; j < reps->count; j++) {
        const struct rep *rep = &reps->items[j];
        if (j != i && (!clarity[j].clear || !are_alike(ride, &reps->items[i], rep))) {
            continue;
        }
        const struct rep *last =
            likes.count == 0 ? rep : &reps->items[likes.items[likes.count - 1]];
        if ((double)(rep->span.from_s - last->span.to_s) > longest) {
            if (last >= &reps->items[i]) {
                break; /* what comes later is another session */
            }
            likes.count = 0;
            likes.any_sure = false;
        }
        likes.items[likes.count++] = j;
        likes.any_sure = likes.any_sure || rep->edges_sure;
    }
    return likes;
}

/* How many of them keep the usual distance to the one before or after. */
static double regular_count(struct arena *arena, const struct reps_ride *ride,
                            const struct reps *reps, const struct likes *likes)
{
    const double factor = ride->limits->value[LIMIT_REPS_CLEAR_PERIOD_FACTOR];
    double *periods = ARENA_ARRAY(arena, double, likes->count);
    double *sorted = ARENA_ARRAY(arena, double, likes->count);
    const size_t n = likes->count == 0 ? 0 : likes->count - 1;
    for (size_t k = 0; k < n; k++) {
        periods[k] = (double)(reps->items[likes->items[k + 1]].span.from_s -
                              reps->items[likes->items[k]].span.from_s);
        sorted[k] = periods[k];
    }
    if (n == 0) {
        return 0.0;
    }
    const double usual = reps_middle(sorted, n);
    double regular = 0.0;
    for (size_t k = 0; k <= n; k++) {
        const bool before =
            k > 0 && fmax(periods[k - 1], usual) <= factor * fmin(periods[k - 1], usual);
        const bool after = k < n && fmax(periods[k], usual) <= factor * fmin(periods[k], usual);
        regular += before || after ? 1.0 : 0.0;
    }
    return regular;
}

/* Two long efforts of the same length to the second, in one part of the ride: roads don't do that,
 * however uneven they are. */
static bool has_twin(const struct reps_ride *ride, const struct reps *reps, size_t i)
{
    const double *v = ride->limits->value;
    const struct rep *rep = &reps->items[i];
    for (size_t j = 0; j < reps->count; j++) {
        const struct rep *other = &reps->items[j];
        const int32_t away =
            j > i ? other->span.from_s - rep->span.to_s : rep->span.from_s - other->span.to_s;
        if (j != i && are_alike(ride, rep, other) && length_of(rep) >= v[LIMIT_REPS_CLEAR_TWIN_S] &&
            (double)away <= v[LIMIT_REPS_SET_LONG_S] &&
            fabs(length_of(rep) - length_of(other)) <= LAP_S) {
            return true;
        }
    }
    return false;
}

/* The rep that was given up stays alone in its length, not in its level and its place. */
static bool is_broken_off(const struct reps_ride *ride, const struct rep *rep,
                          const struct rep *beside)
{
    const double *v = ride->limits->value;
    const int32_t away = rep->span.from_s > beside->span.from_s
                             ? rep->span.from_s - beside->span.to_s
                             : beside->span.from_s - rep->span.to_s;
    const double level = fmax(rep->mean_power_w, beside->mean_power_w) /
                         fmin(rep->mean_power_w, beside->mean_power_w);
    return rep->even && beside->clear && (double)away <= v[LIMIT_REPS_SET_LONG_S] &&
           level <= v[LIMIT_REPS_CLEAR_LEVEL_FACTOR] && length_of(rep) < length_of(beside) &&
           length_of(rep) >= v[LIMIT_REPS_ASKED_TIME_LOW_RATIO] * length_of(beside);
}

/* A short effort is no session when those that it was counted with weren't clear themselves. */
static void drop_strays(const struct reps_ride *ride, struct reps *reps)
{
    const double *v = ride->limits->value;
    for (size_t i = 0; i < reps->count; i++) {
        struct rep *rep = &reps->items[i];
        double alike = 0.0;
        for (size_t j = 0; j < reps->count; j++) {
            alike += reps->items[j].clear && are_alike(ride, rep, &reps->items[j]) ? 1.0 : 0.0;
        }
        const bool brief = !rep->is_block && length_of(rep) < v[LIMIT_REPS_CLEAR_BRIEF_S];
        if (brief && alike < v[LIMIT_REPS_CLEAR_BRIEF_COUNT] &&
            !reps_has_laps(ride, rep->span.from_s, rep->span.to_s)) {
            rep->clear = false;
        }
    }
}

void reps_mark_clear(struct arena *arena, const struct reps_ride *ride, struct reps *reps)
{
    const double *v = ride->limits->value;
    struct clarity *clarity = ARENA_ARRAY(arena, struct clarity, reps->count);
    for (size_t i = 0; i < reps->count; i++) {
        clarity[i] = clarity_of(ride, reps, i);
    }
    for (size_t i = 0; i < reps->count; i++) {
        struct rep *rep = &reps->items[i];
        struct arena *scratch = arena_open();
        const struct likes likes = likes_of(scratch, ride, reps, clarity, i);
        const bool brief = length_of(rep) < v[LIMIT_REPS_CLEAR_BRIEF_S];
        const bool repeated =
            brief ? regular_count(scratch, ride, reps, &likes) >= v[LIMIT_REPS_CLEAR_BRIEF_COUNT]
                  : likes.any_sure && (double)likes.count >= v[LIMIT_REPS_CLEAR_COUNT];
        arena_close(scratch);
        rep->even = clarity[i].clear;
        rep->clear = clarity[i].very_clear || (clarity[i].clear && repeated) ||
                     (!rep->is_block && has_twin(ride, reps, i)) ||
                     reps_has_laps(ride, rep->span.from_s, rep->span.to_s);
    }
    drop_strays(ride, reps);
    for (size_t i = 0; i < reps->count; i++) {
        struct rep *rep = &reps->items[i];
        const bool after_one = i > 0 && is_broken_off(ride, rep, &reps->items[i - 1]);
        rep->clear = rep->clear || after_one;
    }
}
