/* drawing/ride_parts.c: the figures of a ride page, filled from recording and readings. */
#include "drawing/ride_parts.h"

#include "coaching/words/figure_words.h"
#include "coaching/words/words.h"
#include "drawing/gauge.h"
#include "drawing/ladder.h"
#include "drawing/rep_rows.h"

#include <math.h>

/* ---- the two traces ---- */

struct masks {
    struct traces_mask *items;
    size_t count;
    size_t capacity;
};

/* Why a second is left out; MASK_NONE for what is usable or was a pause. */
static enum mask_reason reason_at(const struct recording *recording, enum channel channel, size_t t)
{
    const enum mask_reason reason = (enum mask_reason)recording->mask[channel][t];
    const bool kept =
        mask_is_usable((uint8_t)reason) || reason == MASK_PAUSED || recording->paused[t] != 0;
    return kept ? MASK_NONE : reason;
}

/* One entry for every run of seconds left out for one reason.  Runs of nothing recorded that are
 * narrower than a hair at this width are gaps of the line, no hatching. */
static void add_masks(struct arena *arena, const struct recording *recording, enum channel channel,
                      enum traces_panel panel, int32_t hair_s, struct masks *out)
{
    if (recording->value[channel] == NULL) {
        return;
    }
    size_t longest[MASK_ARTEFACT + 1] = { 0 };
    bool any[MASK_ARTEFACT + 1] = { false };
    for (size_t t = 0; t < recording->n_seconds;) {
        const enum mask_reason reason = reason_at(recording, channel, t);
        size_t end = t + 1;
        while (end < recording->n_seconds && reason_at(recording, channel, end) == reason) {
            end++;
        }
        const struct traces_mask mask = { panel, (int32_t)t, (int32_t)end, NULL };
        t = end;
        if (reason == MASK_NONE || (reason == MASK_ABSENT && mask.to_s - mask.from_s <= hair_s)) {
            continue;
        }
        out->items =
            arena_grow(arena, out->items, out->count, &out->capacity, sizeof out->items[0]);
        const struct traces_mask *best = &out->items[longest[reason]];
        if (!any[reason] || mask.to_s - mask.from_s > best->to_s - best->from_s) {
            longest[reason] = out->count;
            any[reason] = true;
        }
        out->items[out->count++] = mask;
    }
    /* The longest of each reason says what it is. */
    for (int reason = MASK_ABSENT; reason <= MASK_ARTEFACT; reason++) {
        if (any[reason]) {
            out->items[longest[reason]].words = words_mask(channel, (enum mask_reason)reason);
        }
    }
}

static bool is_evidence(const struct reading *reading, const struct rep *rep)
{
    for (size_t i = 0; i < reading->n_spans; i++) {
        if (reading->spans[i].from_s == rep->span.from_s &&
            reading->spans[i].to_s == rep->span.to_s) {
            return true;
        }
    }
    return false;
}

/* The reps that are evidence: numbered brackets, and the range that each was judged by. */
static void add_reps(struct arena *arena, const struct ride_page *page,
                     const struct reading *reading, struct traces *traces)
{
    const struct reps *reps = &page->readings->reps;
    struct traces_span *brackets = ARENA_ARRAY(arena, struct traces_span, reps->count);
    struct traces_target *targets = ARENA_ARRAY(arena, struct traces_target, reps->count);
    const char *words = words_range(arena, reading);
    for (size_t i = 0; i < reps->count; i++) {
        const struct rep *rep = &reps->items[i];
        if (!is_evidence(reading, rep)) {
            continue;
        }
        brackets[traces->n_brackets++] = (struct traces_span){ rep->span.from_s, rep->span.to_s,
                                                               arena_format(arena, "%zu", i + 1) };
        if (!isnan(rep->target_low_w)) {
            const double low = rep->target_low_w > 0.0 ? rep->target_low_w : (double)NAN;
            const double high = isinf(rep->target_high_w) ? (double)NAN : rep->target_high_w;
            targets[traces->n_targets] =
                (struct traces_target){ TRACES_POWER,   rep->span.from_s,
                                        rep->span.to_s, low,
                                        high,           traces->n_targets == 0 ? words : NULL };
            traces->n_targets++;
        }
    }
    traces->brackets = brackets;
    traces->targets = targets;
}

static void add_spans(struct arena *arena, const struct reading *reading, struct traces *traces)
{
    struct traces_span *brackets = ARENA_ARRAY(arena, struct traces_span, reading->n_spans);
    for (size_t i = 0; i < reading->n_spans; i++) {
        const struct span *span = &reading->spans[i];
        brackets[i] = (struct traces_span){ span->from_s, span->to_s,
                                            words_duration(arena, span->to_s - span->from_s) };
    }
    traces->brackets = brackets;
    traces->n_brackets = reading->n_spans;
}

struct traces ride_traces_of(struct arena *arena, const struct recording *recording, double width)
{
    const int32_t hair_s = (int32_t)((double)recording->n_seconds / width * 2.0);
    struct masks masks = { 0 };
    add_masks(arena, recording, CHANNEL_POWER, TRACES_POWER, hair_s, &masks);
    add_masks(arena, recording, CHANNEL_HEART_RATE, TRACES_HEART, hair_s, &masks);
    struct traces_span *pauses = ARENA_ARRAY(arena, struct traces_span, recording->n_pauses);
    for (size_t i = 0; i < recording->n_pauses; i++) {
        pauses[i] =
            (struct traces_span){ recording->pauses[i].from_s, recording->pauses[i].to_s, NULL };
    }
    return (struct traces){
        .n_seconds = recording->n_seconds,
        .power_w = recording_series(arena, recording, CHANNEL_POWER),
        .heart_bpm = recording_series(arena, recording, CHANNEL_HEART_RATE),
        .masks = masks.items,
        .n_masks = masks.count,
        .pauses = pauses,
        .n_pauses = recording->n_pauses,
    };
}

double ride_traces_draw(struct scene *scene, double x, double y, double width,
                        const struct ride_page *page, const struct reading *reading)
{
    struct arena *arena = scene->arena;
    const struct recording *recording = page->recording;
    struct traces traces = ride_traces_of(arena, recording, width);
    /* As long as the page's first line says. */
    traces.label = words_traces(arena, recording->value[CHANNEL_POWER] != NULL,
                                recording->value[CHANNEL_HEART_RATE] != NULL,
                                fmax((double)recording->n_seconds - 1.0, 0.0));
    if (reading != NULL && reading->question == QUESTION_HARD_WORK) {
        add_reps(arena, page, reading, &traces);
    } else if (reading != NULL) {
        add_spans(arena, reading, &traces);
    }
    const struct place place = { x, y, width, 190.0 };
    return traces_draw(scene, &place, &traces);
}

/* ---- bests ---- */

/* Neighbouring seconds say the same thing: of the sprints 1, 5 and 10 s. */
static bool is_shown(const struct best *best)
{
    const int32_t s = best->duration_s;
    return s == 1 || s == 5 || s >= 10;
}

double ride_bests_draw(struct scene *scene, double x, double y, double width,
                       const struct ride_page *page)
{
    struct arena *arena = scene->arena;
    const struct bests *bests = &page->readings->bests;
    struct ladder_row *rows = ARENA_ARRAY(arena, struct ladder_row, bests->count);
    size_t n = 0;
    bool any_at_least = false;
    for (size_t i = 0; i < bests->count; i++) {
        const struct best *best = &bests->items[i];
        if (!is_shown(best)) {
            continue;
        }
        rows[n++] = (struct ladder_row){
            .lasting = words_duration(arena, best->duration_s),
            .best_w = best->power_w,
            .low_w = (double)NAN,
            .high_w = (double)NAN,
            .at_least = best->at_least,
            .where = arena_format(arena, "at %s", words_clock(arena, best->start_s)),
            .change_pct = (double)NAN,
            .change_low_pct = (double)NAN,
            .change_high_pct = (double)NAN,
        };
        any_at_least = any_at_least || best->at_least;
    }
    const struct ladder ladder = { .rows = rows, .n_rows = n };
    y = ladder_draw(scene, x, y, width, &ladder);
    if (any_at_least) {
        scene_begin_part(scene, ROLE_PARAGRAPH, NULL);
        const struct run run = { words_at_least(), FACE_SANS, COLOUR_QUIET };
        const struct place place = scene_paragraph(scene, x, y + 4.0, width, 8.0, &run, 1);
        scene_end_part(scene);
        y = place.y + place.height;
    }
    return y;
}

/* ---- reps ---- */

/* A rep's own power, second by second. */
static const double *power_of(const double *power_w, const struct rep *rep)
{
    return power_w == NULL ? NULL : power_w + rep->span.from_s;
}

static double work_seconds(const struct rep *rep)
{
    double seconds = 0.0;
    for (int e = 0; e < rep->n_efforts; e++) {
        seconds += (double)(rep->efforts[e].to_s - rep->efforts[e].from_s);
    }
    return seconds;
}

double ride_reps_draw(struct scene *scene, double x, double y, double width,
                      const struct ride_page *page)
{
    struct arena *arena = scene->arena;
    const struct reps *reps = &page->readings->reps;
    const double *power_w = recording_series(arena, page->recording, CHANNEL_POWER);
    struct rep_row *rows = ARENA_ARRAY(arena, struct rep_row, reps->count);
    for (size_t i = 0; i < reps->count; i++) {
        const struct rep *rep = &reps->items[i];
        const enum verdict verdict = page->readings->rep_verdicts == NULL
                                         ? VERDICT_DESCRIBED
                                         : page->readings->rep_verdicts[i];
        const bool judged = verdict != VERDICT_DESCRIBED;
        rows[i] = (struct rep_row){
            .number = arena_format(arena, "%zu", i + 1),
            .power_w = power_of(power_w, rep),
            .n_seconds = (size_t)(rep->span.to_s - rep->span.from_s),
            .low_w = rep->target_low_w > 0.0 ? rep->target_low_w : (double)NAN,
            .high_w = isinf(rep->target_high_w) ? (double)NAN : rep->target_high_w,
            .mean_w = rep->mean_power_w,
            .duration_s = work_seconds(rep),
            .in_range_s = judged ? rep->in_s : (double)NAN,
            .n_efforts = rep->n_efforts,
            .mark = gauge_mark(verdict_answer(verdict)),
            .verdict = judged ? words_verdict(verdict) : NULL,
        };
    }
    const struct rep_rows all = { .rows = rows, .n_rows = reps->count };
    return rep_rows_draw(scene, x, y, width, &all);
}
