/* coaching/session.c: steps as they are ridden, and what they add up to. */
#include "coaching/session.h"

#include "physiology/facts.h"

#include <math.h>
#include <string.h>

enum { RUNG_S = 60 };

int32_t session_rungs(const struct session_step *step)
{
    return step->rises && step->seconds > RUNG_S ? (step->seconds + RUNG_S - 1) / RUNG_S : 1;
}

void session_rung(const struct session_step *step, int32_t r, struct session_ridden *out)
{
    const int32_t n = session_rungs(step);
    *out = (struct session_ridden){
        .step = step, .low = step->low, .high = step->high, .seconds = step->seconds
    };
    if (n > 1) {
        /* Rounded to the nearest; both are small, so nothing overflows. */
        out->low = step->low + ((step->high - step->low) * r * 2 + n - 1) / (2 * (n - 1));
        out->high = out->low;
        out->seconds = r + 1 < n ? RUNG_S : step->seconds - (n - 1) * RUNG_S;
    }
}

struct unroll {
    struct arena *arena;
    struct session_ridden *steps;
    size_t count;
    size_t capacity;
    int32_t at_s;
};

static void unroll_step(struct unroll *unroll, const struct session_step *step)
{
    for (int32_t r = 0; r < session_rungs(step); r++) {
        unroll->steps = arena_grow(unroll->arena, unroll->steps, unroll->count, &unroll->capacity,
                                   sizeof *unroll->steps);
        struct session_ridden *ridden = &unroll->steps[unroll->count++];
        session_rung(step, r, ridden);
        ridden->from_s = unroll->at_s;
        unroll->at_s += ridden->seconds;
    }
}

/* Depth is at most SESSION_DEPTH_MOST. */
static void unroll_items(struct unroll *unroll, const struct session_item items[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (items[i].times == 0) {
            unroll_step(unroll, &items[i].step);
        }
        for (int32_t k = 0; k < items[i].times; k++) {
            unroll_items(unroll, items[i].items, items[i].n_items);
        }
    }
}

const struct session_ridden *session_unroll(struct arena *arena, const struct session *session,
                                            size_t *count)
{
    struct unroll unroll = { .arena = arena };
    for (size_t i = 0; i < session->n_lines; i++) {
        if (session->lines[i].kind == LINE_BLOCK) {
            unroll_items(&unroll, session->lines[i].items, session->lines[i].n_items);
        }
    }
    *count = unroll.count;
    return unroll.steps;
}

double session_asked_pct(const struct session_ridden *ridden, double threshold_w)
{
    const double middle = 0.5 * ((double)ridden->low + (double)ridden->high);
    if (ridden->step->aim == AIM_PCT) {
        return middle;
    }
    return ridden->step->aim == AIM_W && threshold_w > 0 ? 100.0 * middle / threshold_w
                                                         : (double)NAN;
}

enum { MAXIMAL_S = 60 };

static void add_ridden(struct session_dose *dose, const struct session_ridden *ridden,
                       double threshold_w, const struct limits *limits)
{
    const double pct = session_asked_pct(ridden, threshold_w);
    const int32_t s = ridden->seconds;
    const enum session_aim aim = ridden->step->aim;
    const bool all_out = aim == AIM_ALL_OUT;
    dose->seconds += s;
    if (!isnan(pct) && !(pct <= dose->highest_pct)) {
        dose->highest_pct = pct;
    }
    dose->is_maximal = dose->is_maximal || (all_out && (s == 0 || s >= MAXIMAL_S));
    if ((all_out && s < MAXIMAL_S) || pct > limits->value[LIMIT_KIND_VO2MAX_HIGH_PCT]) {
        dose->anaerobic_s += s;
    } else if (pct > limits->value[LIMIT_KIND_THRESHOLD_HIGH_PCT]) {
        dose->vo2max_s += s;
    } else if (pct >= limits->value[LIMIT_SAFE_HARD_PCT]) {
        dose->threshold_s += s;
    } else if (all_out ||
               (aim == AIM_EFFORT && ridden->high >= limits->value[LIMIT_HARD_DAY_EFFORT])) {
        dose->hard_s += s; /* by feel: in no range that could be named */
    }
}

struct session_dose session_dose_of(struct arena *arena, const struct session *session,
                                    double threshold_w, const struct limits *limits)
{
    struct session_dose dose = { .highest_pct = (double)NAN };
    size_t count = 0;
    int anaerobic = 0;
    const struct session_ridden *ridden = session_unroll(arena, session, &count);
    for (size_t i = 0; ridden != NULL && i < count; i++) {
        const int32_t before = dose.anaerobic_s;
        add_ridden(&dose, &ridden[i], threshold_w, limits);
        anaerobic += dose.anaerobic_s > before ? 1 : 0;
    }
    dose.hard_s += dose.threshold_s + dose.vo2max_s + dose.anaerobic_s;
    dose.is_hard = dose.is_maximal || dose.hard_s >= limits->value[LIMIT_SAFE_HARD_S] ||
                   anaerobic >= limits->value[LIMIT_HARD_DAY_ANAEROBIC];
    return dose;
}

double *session_seconds_w(struct arena *arena, const struct session *session, double threshold_w,
                          size_t *n)
{
    size_t count = 0;
    const struct session_ridden *ridden = session_unroll(arena, session, &count);
    const struct session_ridden *last = ridden != NULL && count > 0 ? &ridden[count - 1] : NULL;
    *n = last == NULL ? 0 : (size_t)(last->from_s + last->seconds);
    double *watts = ARENA_ARRAY(arena, double, *n + 1);
    for (size_t i = 0; last != NULL && i < count; i++) {
        const double pct = session_asked_pct(&ridden[i], threshold_w);
        const double middle = 0.5 * ((double)ridden[i].low + (double)ridden[i].high);
        const double w = ridden[i].step->aim == AIM_W ? middle : pct * threshold_w / 100.0;
        for (int32_t s = 0; s < ridden[i].seconds; s++) {
            watts[ridden[i].from_s + s] = w;
        }
    }
    return watts;
}

static bool same_words(const char *a, const char *b)
{
    return a == NULL || b == NULL ? a == b : strcmp(a, b) == 0;
}

static bool same_step(const struct session_step *a, const struct session_step *b)
{
    return a->role == b->role && a->seconds == b->seconds && a->aim == b->aim && a->low == b->low &&
           a->high == b->high && a->rises == b->rises && a->rpm_low == b->rpm_low &&
           a->rpm_high == b->rpm_high && same_words(a->words, b->words);
}

static bool same_items(const struct session_item a[], const struct session_item b[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (a[i].times != b[i].times ||
            (a[i].times == 0 ? !same_step(&a[i].step, &b[i].step)
                             : a[i].n_items != b[i].n_items ||
                                   !same_items(a[i].items, b[i].items, a[i].n_items))) {
            return false;
        }
    }
    return true;
}

bool session_is_same(const struct session *a, const struct session *b)
{
    bool same = a->n_lines == b->n_lines;
    for (size_t i = 0; same && i < a->n_lines; i++) {
        const struct session_line *x = &a->lines[i];
        const struct session_line *y = &b->lines[i];
        same = x->kind == y->kind && same_words(x->words, y->words) && x->n_items == y->n_items &&
               same_items(x->items, y->items, x->n_items);
    }
    return same;
}
