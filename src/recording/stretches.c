/* recording/stretches.c: where tables and tracks are cut into recordings, by their clock. */
#include "recording/stretches.h"

static int64_t limit_ms(const struct limits *limits, enum limit_id id)
{
    return (int64_t)(limits->value[id] * 1000.0);
}

/* What one walk over the samples has in hand. */
struct walk {
    const struct stretch_times *times;
    int64_t back_ms;
    int64_t jump_ms;
    int64_t go_on_ms;
    int64_t first_ms;  /* of the stretch */
    int64_t newest_ms; /* of the stretch, dropped samples left out */
};

static int64_t step_ms(const struct walk *walk, size_t i)
{
    return walk->times->time_ms[i] - walk->newest_ms;
}

static enum stretch_link link_of(const struct walk *walk, size_t i)
{
    return walk->times->link == NULL ? STRETCH_INSIDE : (enum stretch_link)walk->times->link[i];
}

/* Whether sample i belongs to the stretch before it, as far as the file says. */
static bool follows(const struct walk *walk, size_t i)
{
    switch (link_of(walk, i)) {
    case STRETCH_INSIDE: return i > 0;
    case STRETCH_MAY_GO_ON:
        return i > 0 && step_ms(walk, i) >= 0 && step_ms(walk, i) <= walk->go_on_ms;
    case STRETCH_APART: break;
    }
    return false;
}

/* One sample whose time is far off while the next goes on from the one before. */
static bool is_wild(const struct walk *walk, size_t i)
{
    const int64_t step = step_ms(walk, i);
    if ((step >= -walk->back_ms && step <= walk->back_ms) || i + 1 == walk->times->count ||
        link_of(walk, i + 1) != STRETCH_INSIDE) {
        return false;
    }
    const int64_t next = step_ms(walk, i + 1);
    return next >= 0 && next <= walk->back_ms;
}

/* Milliseconds to whole seconds, halves away from zero. */
static int32_t in_seconds(int64_t ms)
{
    return (int32_t)((ms < 0 ? ms - 500 : ms + 500) / 1000);
}

static void drop(struct stretches *stretches, struct stretch *stretch, size_t i, bool wild,
                 int64_t back_ms)
{
    stretches->dropped[i] = 1;
    stretch->clock.n_wild += wild ? 1 : 0;
    stretch->clock.n_back += wild ? 0 : 1;
    stretch->most_back_ms = back_ms > stretch->most_back_ms ? back_ms : stretch->most_back_ms;
}

/* A new stretch from sample i on. */
static struct stretch *begin(struct arena *arena, struct stretches *stretches, size_t *capacity,
                             size_t i)
{
    stretches->items =
        arena_grow(arena, stretches->items, stretches->count, capacity, sizeof stretches->items[0]);
    struct stretch *stretch = &stretches->items[stretches->count++];
    *stretch = (struct stretch){ .from = i, .to = i };
    return stretch;
}

/* The clock was set by step_ms before the last stretch: said on both sides. */
static void note_set(struct stretches *stretches, int64_t step_ms)
{
    struct stretch *after = &stretches->items[stretches->count - 1];
    after->clock.set_before = after[-1].clock.set_after = true;
    after->clock.before_s = after[-1].clock.after_s = (double)step_ms / 1000.0;
}

enum stretches_result stretches_cut(struct arena *arena, const struct stretch_times *times,
                                    const struct limits *limits, struct stretches *out)
{
    const size_t most = (size_t)limits->value[LIMIT_CAP_FILE_RECORDINGS];
    const int64_t longest_ms = limit_ms(limits, LIMIT_CAP_RECORDING_S);
    struct walk walk = { .times = times,
                         .back_ms = limit_ms(limits, LIMIT_CLOCK_BACK_S),
                         .jump_ms = limit_ms(limits, LIMIT_CLOCK_JUMP_S),
                         .go_on_ms = limit_ms(limits, LIMIT_PAUSE_GAP_S) };
    struct stretch *stretch = NULL;
    size_t capacity = 0;
    *out = (struct stretches){ .time_s = ARENA_ARRAY(arena, int32_t, times->count),
                               .dropped = ARENA_ARRAY(arena, uint8_t, times->count) };
    for (size_t i = 0; i < times->count; i++) {
        const int64_t step = step_ms(&walk, i);
        const bool goes_on = follows(&walk, i);
        const bool wild = goes_on && is_wild(&walk, i);
        const bool set = goes_on && !wild && (step < -walk.back_ms || step > walk.jump_ms);
        if (stretch == NULL || !goes_on || set) {
            if (out->count == most) {
                return STRETCHES_TOO_MANY;
            }
            stretch = begin(arena, out, &capacity, i);
            if (set) {
                note_set(out, step);
            }
            walk.first_ms = walk.newest_ms = times->time_ms[i];
        }
        stretch->to = i + 1;
        out->time_s[i] = in_seconds((wild ? walk.newest_ms : times->time_ms[i]) - walk.first_ms);
        if (wild || times->time_ms[i] < walk.newest_ms) {
            drop(out, stretch, i, wild, -step);
            continue;
        }
        walk.newest_ms = times->time_ms[i];
        stretch->last_s = out->time_s[i];
        if (walk.newest_ms - walk.first_ms >= longest_ms) {
            out->longest_ms = walk.newest_ms - walk.first_ms;
            return STRETCHES_TOO_LONG;
        }
    }
    return STRETCHES_CUT;
}

size_t stretches_seconds(const struct stretches *stretches)
{
    size_t seconds = 0;
    for (size_t i = 0; i < stretches->count; i++) {
        seconds += (size_t)stretches->items[i].last_s + 1;
    }
    return seconds;
}

bool stretch_has_value(const int32_t *value, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (value[i] != RECORDING_MISSING) {
            return true;
        }
    }
    return false;
}

struct recording *stretches_recording(struct arena *arena, const struct stretches *stretches,
                                      size_t i, int32_t *const value[])
{
    const struct stretch *stretch = &stretches->items[i];
    struct recording *recording = ARENA_ARRAY(arena, struct recording, 1);
    *recording = recording_unknown();
    recording->part = i + 1;
    recording->parts = stretches->count;
    struct samples *samples = &recording->samples;
    samples->count = stretch->to - stretch->from;
    samples->time_s = stretches->time_s + stretch->from;
    samples->dropped = stretches->dropped + stretch->from;
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        int32_t *column = value[c] == NULL ? NULL : value[c] + stretch->from;
        samples->value[c] =
            column != NULL && stretch_has_value(column, samples->count) ? column : NULL;
    }
    return recording;
}

void stretch_find_pauses(struct arena *arena, struct recording *recording, int32_t longest_s,
                         stretch_stood *stood, const void *with)
{
    const struct samples *samples = &recording->samples;
    size_t capacity = 0;
    size_t before = 0; /* the first sample is never dropped */
    for (size_t i = 1; i < samples->count; i++) {
        if (samples->dropped[i] != 0) {
            continue;
        }
        if (samples->time_s[i] - samples->time_s[before] > longest_s &&
            stood(with, samples, before, i)) {
            recording->pauses = arena_grow(arena, recording->pauses, recording->n_pauses, &capacity,
                                           sizeof recording->pauses[0]);
            recording->pauses[recording->n_pauses++] =
                (struct span){ samples->time_s[before] + 1, samples->time_s[i] };
        }
        before = i;
    }
}

void stretch_clock_finding(struct arena *arena, struct recording *recording, const char *detail,
                           const char *name, double value)
{
    struct finding *finding = recording_add_finding(arena, recording, "clock", -1, EFFECT_NOTED);
    finding->detail = detail;
    finding_add_number(finding, name, value);
}

void stretch_clock_findings(struct arena *arena, const struct stretch_clock *clock,
                            struct recording *recording)
{
    if (clock->set_before) {
        stretch_clock_finding(arena, recording, "was set before this recording", "jump_s",
                              clock->before_s);
    }
    if (clock->set_after) {
        stretch_clock_finding(arena, recording, "was set after this recording", "jump_s",
                              clock->after_s);
    }
    if (clock->n_back > 0) {
        stretch_clock_finding(arena, recording, "ran back a little", "records",
                              (double)clock->n_back);
    }
    if (clock->n_wild > 0) {
        stretch_clock_finding(arena, recording, "was far off for single records", "records",
                              (double)clock->n_wild);
    }
}

bool stretch_refuse_long(const char *file, int64_t length_s, const struct limits *limits,
                         struct error *err)
{
    const long long minutes = (long long)(length_s / 60);
    return error_set(err, ERROR_TOO_LARGE,
                     "%s: a recording of %lld h %02lld min; %.0f h is the most that is read, so "
                     "split it",
                     file, minutes / 60, minutes % 60,
                     limits->value[LIMIT_CAP_RECORDING_S] / 3600.0);
}
