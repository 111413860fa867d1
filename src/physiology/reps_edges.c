/* physiology/reps_edges.c: the likeliest second of each edge.
 *
 * Three kinds of evidence are joined for every second that an edge may be on:
 *
 * - power: the likelihood of a step there (maths/step_edge) on log power, so that its scatter is
 *   about the same at rest and at work; seconds without pressure on the pedals are left out of it;
 * - coasting: how often riders begin to coast, and go on coasting, at work and at rest, counted in
 *   this ride;
 * - what is known of such edges: efforts of a set mostly last equally long, prescribed times are
 *   round, a lap button is mostly pressed at an edge.  Each is a mixture with "or not", so that
 *   clear power always wins.
 *
 * The edge is where most probability lies within 3 s, and it is called sure when that is most of
 * it. */
#include "physiology/reps_parts.h"

#include "maths/step_edge.h"

#include <math.h>

/* An edge counts as found within so many seconds: the aim of the method. */
enum { WITHIN_S = 3 };

/* What a second of an edge may be away from what was meant: a button, a reaction. */
static const double SLACK[5] = { 1.0 / 9, 2.0 / 9, 3.0 / 9, 2.0 / 9, 1.0 / 9 };

/* Where an edge may be, and how probable each second is. */
struct belief {
    int32_t first_s;
    size_t count;
    double *p; /* [count] sums to 1 */
};

/* How coasting begins and goes on. */
struct chain {
    double begins[2]; /* log of the chance, a second: [0] no, [1] yes */
    double goes_on[2];
};

struct edges_work {
    const struct reps_ride *ride;
    uint8_t *coasts; /* [n] */
    struct step_noise noise;
    struct chain at_work;
    struct chain at_rest;
};

static bool is_coasting(const struct reps_ride *ride, int32_t t)
{
    return ride->effort_w[t] <= ride->limits->value[LIMIT_REPS_COAST_RATIO] * ride->scale_w;
}

/* The end of the piece that begins at from_s: the next edge of a segment or of an effort. */
static int32_t piece_end(const struct reps_ride *ride, const struct levels *levels,
                         const struct efforts *efforts, int32_t from_s)
{
    int32_t end = (int32_t)ride->n;
    for (size_t i = 0; i < levels->count; i++) {
        const int32_t edge = levels->items[i].to_s;
        end = edge > from_s && edge < end ? edge : end;
    }
    for (size_t i = 0; i < efforts->count; i++) {
        const int32_t edges[2] = { efforts->items[i].from_s, efforts->items[i].to_s };
        for (int k = 0; k < 2; k++) {
            end = edges[k] > from_s && edges[k] < end ? edges[k] : end;
        }
    }
    return end;
}

/* The noise of log power about the log level of its piece; seconds without pressure are no part of
 * it, nor are those beside an edge. */
static struct step_noise fit_noise(struct arena *arena, const struct reps_ride *ride,
                                   const struct levels *levels, const struct efforts *efforts,
                                   const uint8_t coasts[])
{
    const double *v = ride->limits->value;
    double *residual = ARENA_ARRAY(arena, double, ride->n);
    for (int32_t from = 0, to = 0; from < (int32_t)ride->n; from = to) {
        to = piece_end(ride, levels, efforts, from);
        const bool even = (double)(to - from) >= v[LIMIT_REPS_NOISE_SEGMENT_S];
        double sum = 0.0;
        size_t known = 0;
        for (int32_t t = from; t < to; t++) {
            const bool usable = even && t - from >= WITHIN_S && to - t > WITHIN_S && !coasts[t] &&
                                !isnan(ride->effort_w[t]);
            residual[t] = usable ? log(ride->effort_w[t]) : (double)NAN;
            sum += usable ? residual[t] : 0.0;
            known += usable ? 1 : 0;
        }
        for (int32_t t = from; t < to; t++) {
            const double r = residual[t] - sum / (double)known;
            /* A stumble says nothing of how power scatters. */
            residual[t] = fabs(r) <= v[LIMIT_REPS_NOISE_CLIP] ? r : (double)NAN;
        }
    }
    const double floor = v[LIMIT_REPS_NOISE_FLOOR_RATIO] * v[LIMIT_REPS_NOISE_FLOOR_RATIO];
    return step_noise_fit(residual, ride->n, (size_t)v[LIMIT_REPS_NOISE_LAG_S],
                          v[LIMIT_REPS_NOISE_FAST_S], v[LIMIT_REPS_NOISE_SLOW_S], floor);
}

/* Counts of what the next second did: [coasted][coasts]. */
static struct chain chain_from(double counts[2][2])
{
    /* Before anything was seen: a coast begins once in 200 s and goes on three times in four. */
    const double begins = (counts[0][1] + 1.0) / (counts[0][0] + counts[0][1] + 200.0);
    const double goes_on = (counts[1][1] + 3.0) / (counts[1][0] + counts[1][1] + 4.0);
    return (struct chain){ { log(1.0 - begins), log(begins) },
                           { log(1.0 - goes_on), log(goes_on) } };
}

static void count_coasting(struct edges_work *w, const struct efforts *efforts)
{
    double counts[2][2][2] = { { { 0 } } }; /* [work][coasted][coasts] */
    size_t e = 0;
    for (int32_t t = 1; t < (int32_t)w->ride->n; t++) {
        while (e < efforts->count && efforts->items[e].to_s <= t) {
            e++;
        }
        const size_t work = e < efforts->count && efforts->items[e].from_s <= t ? 1 : 0;
        counts[work][w->coasts[t - 1]][w->coasts[t]] += 1.0;
    }
    w->at_rest = chain_from(counts[0]);
    w->at_work = chain_from(counts[1]);
}

static double chain_log(const struct chain *chain, const uint8_t coasts[], int32_t t)
{
    return coasts[t - 1] ? chain->goes_on[coasts[t]] : chain->begins[coasts[t]];
}

/* Log of the median power of the pedalled seconds; NAN if there are none. */
static double log_level(const struct edges_work *w, int32_t from_s, int32_t to_s)
{
    double sum = 0.0;
    size_t n = 0;
    for (int32_t t = from_s; t < to_s; t++) {
        if (!w->coasts[t] && !isnan(w->ride->effort_w[t])) {
            sum += log(w->ride->effort_w[t]);
            n++;
        }
    }
    return n == 0 ? (double)NAN : sum / (double)n;
}

/* The room of one edge. */
struct room {
    int32_t low_s; /* the window of power */
    int32_t high_s;
    int32_t first_s; /* the candidates */
    int32_t last_s;
    bool is_start;   /* rest before, work after */
    double rest_log; /* levels */
    double work_log;
};

/* The parts before and after the edge end at before_s and after_s. */
static struct room room_of(const struct edges_work *w, int32_t before_s, int32_t edge_s,
                           int32_t after_s, int32_t search, bool is_start)
{
    const double *v = w->ride->limits->value;
    const int32_t reach = (int32_t)v[LIMIT_REPS_EDGE_REACH_S];
    const int32_t rest_reach = (int32_t)v[LIMIT_REPS_REST_S];
    struct room room = { .is_start = is_start };
    const int32_t back = (edge_s - before_s) / 2;
    const int32_t forth = (after_s - edge_s) / 2;
    room.first_s = edge_s - (back < search ? back : search);
    room.last_s = edge_s + (forth < search ? forth : search);
    room.first_s = room.first_s < 1 ? 1 : room.first_s;
    room.low_s = room.first_s - reach > before_s ? room.first_s - reach : before_s;
    room.high_s = room.last_s + reach < after_s ? room.last_s + reach : after_s;
    const int32_t near_before = edge_s - rest_reach > before_s ? edge_s - rest_reach : before_s;
    const int32_t near_after = edge_s + rest_reach < after_s ? edge_s + rest_reach : after_s;
    const double earlier = log_level(w, near_before, edge_s);
    const double later = log_level(w, edge_s, near_after);
    room.rest_log = is_start ? earlier : later;
    room.work_log = is_start ? later : earlier;
    return room;
}

/* Adds what power says. */
static void add_power(struct arena *arena, const struct edges_work *w, const struct room *room,
                      double log_p[])
{
    const double *v = w->ride->limits->value;
    const size_t n = (size_t)(room->high_s - room->low_s);
    if (isnan(room->work_log) || n < 2) {
        return;
    }
    /* A rest without any pedalling has no level of its own: coasting tells all. */
    const double rest_log = isnan(room->rest_log)
                                ? room->work_log + log(v[LIMIT_REPS_EDGE_FLOOR_RATIO])
                                : room->rest_log;
    const double least = rest_log + log(v[LIMIT_REPS_EDGE_FLOOR_RATIO]);
    const double most = room->work_log + log(v[LIMIT_REPS_EDGE_CAP_RATIO]);
    double *x = ARENA_ARRAY(arena, double, n);
    for (size_t i = 0; i < n; i++) {
        const int32_t t = room->low_s + (int32_t)i;
        const double power = w->ride->effort_w[t];
        x[i] = w->coasts[t] || isnan(power) ? (double)NAN : fmin(fmax(log(power), least), most);
    }
    const double sd = v[LIMIT_REPS_EDGE_LEVEL_SD];
    const struct step_window window = {
        .x = x,
        .n = n,
        .before = room->is_start ? rest_log : room->work_log,
        .before_sd = sd,
        .after = room->is_start ? room->work_log : rest_log,
        .after_sd = sd,
        .noise = w->noise,
        .first = (size_t)(room->first_s - room->low_s),
        .last = (size_t)(room->last_s - room->low_s),
        .longest_ramp = (size_t)v[LIMIT_REPS_EDGE_RAMP_S],
    };
    step_edge_log_likelihood(arena, &window, log_p);
}

/* Adds what coasting says: seconds before the edge follow one chain, those after it the other. */
static void add_coasting(const struct edges_work *w, const struct room *room, double log_p[])
{
    const struct chain *before = room->is_start ? &w->at_rest : &w->at_work;
    const struct chain *after = room->is_start ? &w->at_work : &w->at_rest;
    double sum = 0.0;
    for (int32_t c = room->first_s; c <= room->last_s; c++) {
        log_p[c - room->first_s] += sum;
        sum += chain_log(before, w->coasts, c) - chain_log(after, w->coasts, c);
    }
}

/* Adds lap marks that a hand or a workout set. */
static void add_laps(const struct edges_work *w, const struct room *room, double log_p[])
{
    const struct recording *recording = w->ride->recording;
    const double share = w->ride->limits->value[LIMIT_REPS_LAP_SHARE];
    const double seconds = (double)(room->last_s - room->first_s + 1);
    for (int32_t c = room->first_s; c <= room->last_s; c++) {
        double hint = 0.0;
        for (size_t i = 0; i < recording->n_laps; i++) {
            const struct lap *lap = &recording->laps[i];
            if (!lap->by_hand && lap->workout_step < 0) {
                continue;
            }
            const int32_t away[2] = { c - lap->start_s, c - lap->end_s };
            for (int k = 0; k < 2; k++) {
                hint = away[k] >= -2 && away[k] <= 2 ? fmax(hint, SLACK[away[k] + 2]) : hint;
            }
        }
        log_p[c - room->first_s] += log(1.0 - share + share * seconds * hint);
    }
}

/* Divides by the sum, from logs. */
static void normalise_logs(double p[], size_t n)
{
    double highest = p[0];
    for (size_t i = 1; i < n; i++) {
        highest = fmax(highest, p[i]);
    }
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) {
        p[i] = exp(p[i] - highest);
        sum += p[i];
    }
    for (size_t i = 0; i < n; i++) {
        p[i] /= sum;
    }
}

static struct belief believe(struct arena *arena, const struct edges_work *w,
                             const struct room *room)
{
    struct belief b = { .first_s = room->first_s,
                        .count = (size_t)(room->last_s - room->first_s + 1) };
    b.p = ARENA_ARRAY(arena, double, b.count);
    struct arena *scratch = arena_open();
    add_power(scratch, w, room, b.p);
    arena_close(scratch);
    add_coasting(w, room, b.p);
    /* Riders do more than the model knows: a surge, a corner. */
    for (size_t i = 0; i < b.count; i++) {
        b.p[i] *= w->ride->limits->value[LIMIT_REPS_EDGE_TRUST];
    }
    add_laps(w, room, b.p);
    normalise_logs(b.p, b.count);
    return b;
}

/* ---- durations ---- */

/* Chances of durations shortest .. shortest + count - 1. */
struct durations {
    int32_t shortest_s;
    size_t count;
    double *p;
};

/* How long an effort lasted, from its edges, blurred by the slack of both. */
static struct durations duration_of(struct arena *arena, const struct belief *from,
                                    const struct belief *to)
{
    struct durations d = { .shortest_s =
                               to->first_s - (from->first_s + (int32_t)from->count - 1) - 2,
                           .count = from->count + to->count + 3 };
    d.p = ARENA_ARRAY(arena, double, d.count);
    for (size_t i = 0; i < from->count; i++) {
        for (size_t j = 0; j < to->count; j++) {
            const double p = from->p[i] * to->p[j];
            const size_t at = (from->count - 1 - i) + j;
            for (size_t k = 0; k < 5; k++) {
                d.p[at + k] += p * SLACK[k];
            }
        }
    }
    return d;
}

static double duration_chance(const struct durations *d, int32_t seconds)
{
    const int32_t i = seconds - d->shortest_s;
    return i < 0 || i >= (int32_t)d->count ? 0.0 : d->p[i];
}

/* Times that sessions are written in: whole half minutes, short ones in 5 s. */
static bool is_round(int32_t seconds)
{
    return seconds % (seconds >= 90 ? 30 : 5) == 0;
}

/* The chance of a duration that was meant, before looking at the efforts, up to a constant. */
static double meant_chance(const struct reps_ride *ride, int32_t seconds, bool has_peers)
{
    const double *v = ride->limits->value;
    const double round = has_peers ? v[LIMIT_REPS_ROUND_SHARE] : v[LIMIT_REPS_ROUND_ALONE_SHARE];
    const double every = seconds >= 90 ? 30.0 : 5.0;
    const double p = 1.0 - round + (is_round(seconds) ? round * every : 0.0);
    const double asked = ride->facts->rep_duration_s;
    if (isnan(asked)) {
        return p;
    }
    const double share = v[LIMIT_REPS_ASKED_SHARE];
    return (1.0 - share) * p + (fabs((double)seconds - asked) < 0.5 ? share * 100.0 : 0.0);
}

/* Whether two efforts may have been meant to last equally long. */
static bool are_peers(const struct reps_ride *ride, const struct effort *a, const struct effort *b)
{
    const double x = (double)(a->to_s - a->from_s);
    const double y = (double)(b->to_s - b->from_s);
    return fabs(x - y) <=
           fmin(ride->limits->value[LIMIT_REPS_EDGE_SEARCH_MOST_S], 0.5 * fmin(x, y));
}

/* How regular a rider is isn't known beforehand: shares of efforts that lasted as meant, all
 * equally likely until the efforts themselves have been asked. */
enum { SHARES = 4 };
static const double SHARE[SHARES] = { 0.02, 0.50, 0.85, 0.97 };

/* The chance of a duration that was not as meant: any within some fifth of its length. */
static double loose_chance(const struct effort *e)
{
    return 1.0 / fmax(0.4 * (double)(e->to_s - e->from_s), 4.0);
}

/* The peers of effort i, itself among them, and the durations that any of them may have. */
struct peers {
    size_t *items; /* [count] */
    size_t count;
    int32_t shortest_s;
    size_t n_seconds;
};

static struct peers peers_of(struct arena *arena, const struct reps_ride *ride,
                             const struct efforts *efforts, const struct durations all[], size_t i)
{
    struct peers peers = { .items = ARENA_ARRAY(arena, size_t, efforts->count) };
    int32_t shortest = all[i].shortest_s;
    int32_t longest = all[i].shortest_s + (int32_t)all[i].count;
    for (size_t j = 0; j < efforts->count; j++) {
        if (j == i || are_peers(ride, &efforts->items[i], &efforts->items[j])) {
            peers.items[peers.count++] = j;
            const int32_t end = all[j].shortest_s + (int32_t)all[j].count;
            shortest = all[j].shortest_s < shortest ? all[j].shortest_s : shortest;
            longest = end > longest ? end : longest;
        }
    }
    peers.shortest_s = shortest < 1 ? 1 : shortest;
    peers.n_seconds = (size_t)(longest - peers.shortest_s);
    return peers;
}

/* Chances of the meant duration by all peers but i, for one share of regular efforts; returns the
 * log of the evidence for that share, i among it. */
static double meant_durations(const struct reps_ride *ride, const struct efforts *efforts,
                              const struct durations all[], const struct peers *peers, size_t i,
                              double share, double meant[])
{
    double highest = -(double)INFINITY;
    double evidence = 0.0; /* sum relative to exp(highest) */
    for (size_t k = 0; k < peers->n_seconds; k++) {
        const int32_t seconds = peers->shortest_s + (int32_t)k;
        meant[k] = log(meant_chance(ride, seconds, peers->count > 1));
        double own = 0.0;
        for (size_t m = 0; m < peers->count; m++) {
            const size_t j = peers->items[m];
            const double p = log((1.0 - share) * loose_chance(&efforts->items[j]) +
                                 share * duration_chance(&all[j], seconds));
            own = j == i ? p : own;
            meant[k] += j == i ? 0.0 : p;
        }
        const double total = meant[k] + own;
        if (total > highest) {
            evidence = evidence * exp(highest - total) + 1.0;
            highest = total;
        } else {
            evidence += exp(total - highest);
        }
    }
    /* As a prior the meant chances must sum to 1. */
    double prior = 0.0;
    for (size_t k = 0; k < peers->n_seconds; k++) {
        prior += meant_chance(ride, peers->shortest_s + (int32_t)k, peers->count > 1);
    }
    normalise_logs(meant, peers->n_seconds);
    return highest + log(evidence / prior);
}

/* What custom and the others of its kind say of the duration of effort i. */
static struct durations expect(struct arena *arena, const struct reps_ride *ride,
                               const struct efforts *efforts, const struct durations all[],
                               size_t i)
{
    const struct peers peers = peers_of(arena, ride, efforts, all, i);
    double *meant[SHARES];
    double weight[SHARES];
    for (size_t h = 0; h < SHARES; h++) {
        meant[h] = ARENA_ARRAY(arena, double, peers.n_seconds);
        weight[h] = meant_durations(ride, efforts, all, &peers, i, SHARE[h], meant[h]);
    }
    normalise_logs(weight, SHARES);
    struct durations d = { .shortest_s = all[i].shortest_s, .count = all[i].count };
    d.p = ARENA_ARRAY(arena, double, d.count);
    for (size_t k = 0; k < d.count; k++) {
        const int32_t at = d.shortest_s + (int32_t)k - peers.shortest_s;
        for (size_t h = 0; h < SHARES; h++) {
            const double as_meant = at < 0 || at >= (int32_t)peers.n_seconds ? 0.0 : meant[h][at];
            d.p[k] += weight[h] *
                      ((1.0 - SHARE[h]) * loose_chance(&efforts->items[i]) + SHARE[h] * as_meant);
        }
    }
    return d;
}

/* Both edges in the light of the expected duration. */
static void join(struct arena *arena, const struct durations *d, struct belief *from,
                 struct belief *to)
{
    double *start = ARENA_ARRAY(arena, double, from->count);
    double *end = ARENA_ARRAY(arena, double, to->count);
    double sum = 0.0;
    for (size_t i = 0; i < from->count; i++) {
        for (size_t j = 0; j < to->count; j++) {
            const size_t at = (from->count - 1 - i) + j;
            double meant = 0.0;
            for (size_t k = 0; k < 5; k++) {
                meant += d->p[at + k] * SLACK[k];
            }
            const double p = from->p[i] * to->p[j] * meant;
            start[i] += p;
            end[j] += p;
            sum += p;
        }
    }
    if (sum > 0.0) {
        for (size_t i = 0; i < from->count; i++) {
            from->p[i] = start[i] / sum;
        }
        for (size_t j = 0; j < to->count; j++) {
            to->p[j] = end[j] / sum;
        }
    }
}

/* The second with most probability within 3 s (ties: nearest to the middle of them, then the
 * earliest), and whether that is enough. */
static int32_t settle(const struct reps_ride *ride, const struct belief *b, bool *sure)
{
    double best = -1.0;
    double best_at = 0.0;
    size_t at = 0;
    for (size_t i = 0; i < b->count; i++) {
        double mass = 0.0;
        for (size_t k = i < WITHIN_S ? 0 : i - WITHIN_S; k <= i + WITHIN_S && k < b->count; k++) {
            mass += b->p[k];
        }
        /* Rounding must not choose between equals. */
        if (mass > best + 1e-9 || (mass > best - 1e-9 && b->p[i] > best_at + 1e-9)) {
            best = fmax(best, mass);
            best_at = b->p[i];
            at = i;
        }
    }
    *sure = best >= ride->limits->value[LIMIT_REPS_EDGE_SURE];
    return b->first_s + (int32_t)at;
}

/* An edge beside a gap is as unknown as the gap. */
static bool gap_near(const struct reps_ride *ride, int32_t edge_s)
{
    for (int32_t t = edge_s - WITHIN_S; t < edge_s + WITHIN_S; t++) {
        if (t >= 0 && t < (int32_t)ride->n && isnan(ride->effort_w[t])) {
            return true;
        }
    }
    return false;
}

/* How far from the first cut an edge is sought: as far as another rep's duration, or the asked one,
 * would put it, when that is near enough to be meant. */
static int32_t search_of(const struct edges_work *w, const struct efforts *efforts, size_t i)
{
    const double *v = w->ride->limits->value;
    const struct effort *e = &efforts->items[i];
    const double length = (double)(e->to_s - e->from_s);
    const double near = fmin(v[LIMIT_REPS_EDGE_SEARCH_MOST_S], 0.5 * length);
    double search = fmin(v[LIMIT_REPS_EDGE_SEARCH_S], near);
    for (size_t j = 0; j <= efforts->count; j++) {
        const struct effort *other = j < efforts->count ? &efforts->items[j] : NULL;
        const double meant =
            other == NULL ? w->ride->facts->rep_duration_s : (double)(other->to_s - other->from_s);
        const double away = fabs(meant - length) + 5.0;
        if (j != i && away <= near) {
            search = fmax(search, away);
        }
    }
    return (int32_t)search;
}

static void place_once(struct arena *arena, const struct edges_work *w, struct efforts *efforts)
{
    const size_t n = efforts->count;
    struct belief *from = ARENA_ARRAY(arena, struct belief, n);
    struct belief *to = ARENA_ARRAY(arena, struct belief, n);
    struct durations *all = ARENA_ARRAY(arena, struct durations, n);
    for (size_t i = 0; i < n; i++) {
        const struct effort *e = &efforts->items[i];
        const int32_t last = i == 0 ? 0 : efforts->items[i - 1].to_s;
        const int32_t next = i + 1 < n ? efforts->items[i + 1].from_s : (int32_t)w->ride->n;
        const int32_t search = search_of(w, efforts, i);
        const struct room start = room_of(w, last, e->from_s, e->to_s, search, true);
        const struct room end = room_of(w, e->from_s, e->to_s, next, search, false);
        from[i] = believe(arena, w, &start);
        to[i] = believe(arena, w, &end);
        all[i] = duration_of(arena, &from[i], &to[i]);
    }
    struct efforts placed = *efforts;
    placed.items = ARENA_ARRAY(arena, struct effort, n);
    for (size_t i = 0; i < n; i++) {
        const struct durations d = expect(arena, w->ride, efforts, all, i);
        join(arena, &d, &from[i], &to[i]);
        struct effort e = efforts->items[i];
        e.from_s = settle(w->ride, &from[i], &e.from_sure);
        e.to_s = settle(w->ride, &to[i], &e.to_sure);
        e.from_sure = e.from_sure && !gap_near(w->ride, e.from_s);
        e.to_sure = e.to_sure && !gap_near(w->ride, e.to_s);
        placed.items[i] = e;
    }
    for (size_t i = 0; i < n; i++) {
        efforts->items[i] = placed.items[i];
    }
}

void reps_place_edges(struct arena *arena, const struct reps_ride *ride,
                      const struct levels *levels, struct efforts *efforts)
{
    struct edges_work w = { .ride = ride, .coasts = ARENA_ARRAY(arena, uint8_t, ride->n) };
    for (size_t t = 0; t < ride->n; t++) {
        w.coasts[t] = is_coasting(ride, (int32_t)t) ? 1 : 0;
    }
    /* Twice: levels, noise and coasting are known better once the edges are nearer. */
    for (int pass = 0; pass < 2 && efforts->count > 0; pass++) {
        w.noise = fit_noise(arena, ride, levels, efforts, w.coasts);
        count_coasting(&w, efforts);
        place_once(arena, &w, efforts);
    }
}
