/* coaching/session_device.c: a session as a device leads through it. */
#include "coaching/session_device.h"

#include "coaching/session_text.h"

#include <math.h>

struct list {
    struct arena *arena;
    struct fit_step *steps;
    size_t count;
    size_t capacity;
    double threshold_w;
};

static void add(struct list *list, struct fit_step step)
{
    list->steps = arena_grow(list->arena, list->steps, list->count, &list->capacity, sizeof step);
    list->steps[list->count++] = step;
}

static uint32_t in_watts(double pct, double threshold_w)
{
    return (uint32_t)lround(pct * threshold_w / 100.0);
}

static void set_aim(const struct list *list, const struct session_ridden *ridden,
                    struct fit_step *out)
{
    static const enum fit_aim aims[AIMS] = { [AIM_PCT] = FIT_AIM_PCT,
                                             [AIM_W] = FIT_AIM_W,
                                             [AIM_BPM] = FIT_AIM_BPM,
                                             [AIM_MAX_PCT] = FIT_AIM_MAX_PCT };
    out->aim = aims[ridden->step->aim]; /* the others are open */
    out->low = (uint32_t)ridden->low;
    out->high = (uint32_t)ridden->high;
    if (out->aim == FIT_AIM_PCT && list->threshold_w > 0) {
        out->aim = FIT_AIM_W;
        out->low = in_watts(ridden->low, list->threshold_w);
        out->high = in_watts(ridden->high, list->threshold_w);
    }
}

/* "4 min at 106-112 %", as it was written; a rung names its own level. */
static const char *name_of(struct arena *arena, const struct session_ridden *ridden)
{
    struct text out = text_begin(arena, SESSION_BYTES_MOST);
    struct session_step step = *ridden->step;
    step.words = NULL;
    step.rpm_low = 0;
    step.rpm_high = 0;
    step.seconds = ridden->seconds;
    step.low = ridden->low;
    step.high = ridden->high;
    step.rises = false;
    session_write_step(&out, &step);
    return out.bytes;
}

static void add_step(struct list *list, const struct session_step *step)
{
    static const enum fit_intensity intensities[ROLES] = { FIT_ACTIVE, FIT_WARM_UP, FIT_REST,
                                                           FIT_COOL_DOWN };
    for (int32_t r = 0; r < session_rungs(step); r++) {
        struct session_ridden ridden;
        session_rung(step, r, &ridden);
        struct fit_step out = { .seconds = (uint32_t)ridden.seconds,
                                .rpm_low = (uint32_t)step->rpm_low,
                                .rpm_high = (uint32_t)step->rpm_high,
                                .intensity = intensities[step->role],
                                .name = name_of(list->arena, &ridden),
                                .words = step->words };
        set_aim(list, &ridden, &out);
        add(list, out);
    }
}

/* Depth is at most SESSION_DEPTH_MOST. */
static void add_items(struct list *list, const struct session_item items[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (items[i].times == 0) {
            add_step(list, &items[i].step);
            continue;
        }
        const uint32_t first = (uint32_t)list->count;
        add_items(list, items[i].items, items[i].n_items);
        if (items[i].times > 1) {
            add(list, (struct fit_step){ .times = (uint32_t)items[i].times, .first = first });
        }
    }
}

bool session_for_device(struct arena *arena, const struct session *session, double threshold_w,
                        const struct fit_step **steps, size_t *n, struct error *err)
{
    struct list list = { .arena = arena, .threshold_w = threshold_w };
    for (size_t i = 0; i < session->n_lines; i++) {
        if (session->lines[i].kind == LINE_BLOCK) {
            add_items(&list, session->lines[i].items, session->lines[i].n_items);
        }
    }
    *steps = list.steps;
    *n = list.count;
    return list.count <= FIT_WORKOUT_STEPS_MOST ||
           error_set(err, ERROR_USAGE,
                     "the session has %zu steps as a device counts them; it takes %d: use repeats",
                     list.count, FIT_WORKOUT_STEPS_MOST);
}
