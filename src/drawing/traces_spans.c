/* drawing/traces_spans.c: what lies over a panel for some of its seconds, and its words. */
#include "drawing/traces_parts.h"

#include "coaching/words/figure_words.h"

#include <math.h>
#include <string.h>

/* Points. */
static const double NARROW = 1.5; /* a hatching less wide gets a notch above it */

static const struct text_style label_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_LEFT };

bool traces_is_seen(const struct traces_figure *figure, int32_t from_s, int32_t to_s)
{
    return to_s > from_s && (double)to_s > figure->x.low && (double)from_s < figure->x.high;
}

struct place traces_span_place(const struct traces_figure *figure, const struct traces_part *panel,
                               int32_t from_s, int32_t to_s)
{
    const double left = scale_at(&figure->x, fmax(from_s, figure->x.low));
    const double right = scale_at(&figure->x, fmin(to_s, figure->x.high));
    return (struct place){ left, panel->place.y, right - left, panel->place.height };
}

static bool is_free(const struct traces_figure *figure, const struct place *box)
{
    for (size_t i = 0; i < figure->n_taken; i++) {
        if (place_overlaps(box, &figure->taken[i])) {
            return false;
        }
    }
    return true;
}

/* Words on a ground of their own, so that no line runs through them. */
static void put_words(struct traces_figure *figure, const struct place *box, double margin,
                      const struct text_style *style, const char *words)
{
    struct scene *scene = figure->scene;
    const struct place ground = { box->x - margin, box->y - margin, box->width + 2.0 * margin,
                                  box->height + 2.0 * margin };
    scene_rectangle(scene, &ground, COLOUR_PAPER);
    scene_text(scene, box->x, box->y + 0.8 * style->size, style, words);
    figure->taken =
        arena_grow(scene->arena, figure->taken, figure->n_taken, &figure->capacity, sizeof *box);
    figure->taken[figure->n_taken++] = ground;
}

void traces_draw_targets(struct traces_figure *figure, const struct traces_part *panel)
{
    for (size_t i = 0; i < figure->traces->n_targets; i++) {
        const struct traces_target *target = &figure->traces->targets[i];
        if (target->panel != panel->kind || !traces_is_seen(figure, target->from_s, target->to_s)) {
            continue;
        }
        struct place place = traces_span_place(figure, panel, target->from_s, target->to_s);
        const double top = isnan(target->high) ? panel->y.high : target->high;
        const double bottom = isnan(target->low) ? panel->y.low : target->low;
        place.y = scale_at(&panel->y, top);
        place.height = scale_at(&panel->y, bottom) - place.y;
        scene_rectangle(figure->scene, &place, COLOUR_TARGET);
    }
}

/* The ends of a range once more over the trace, which may hide its tint. */
void traces_edge_targets(struct traces_figure *figure, const struct traces_part *panel)
{
    for (size_t i = 0; i < figure->traces->n_targets; i++) {
        const struct traces_target *target = &figure->traces->targets[i];
        if (target->panel != panel->kind || !traces_is_seen(figure, target->from_s, target->to_s)) {
            continue;
        }
        const struct place span = traces_span_place(figure, panel, target->from_s, target->to_s);
        const double ends[] = { target->low, target->high };
        for (size_t k = 0; k < 2; k++) {
            if (!isnan(ends[k])) {
                const double y = scale_at(&panel->y, ends[k]);
                scene_line(figure->scene, span.x, y, span.x + span.width, y,
                           &(struct stroke){ COLOUR_PLUM, 0.5, 0.0 });
            }
        }
    }
}

/* True if no second of the panel's trace lies in the box, with a little air. */
static bool is_clear(const struct traces_figure *figure, const struct traces_part *panel,
                     const struct place *box)
{
    double lowest = 0.0;
    double highest = 0.0;
    const double first = floor(scale_value(&figure->x, box->x - 2.0));
    const double end = ceil(scale_value(&figure->x, box->x + box->width + 2.0));
    if (end <= 0.0 ||
        !trace_extremes(&panel->trace, (size_t)fmax(first, 0.0), (size_t)end, &lowest, &highest)) {
        return true;
    }
    /* Above all of the trace, or below it; between its ends is not clear, whatever gaps there be.
     */
    return scale_at(&panel->y, highest) > box->y + box->height + 1.0 ||
           scale_at(&panel->y, lowest) < box->y - 1.0;
}

/* True if the box lies in the panel, away from its trace and from other words. */
static bool has_room(const struct traces_figure *figure, const struct traces_part *panel,
                     const struct place *box)
{
    return box->x >= panel->place.x + 2.0 &&
           box->x + box->width <= panel->place.x + panel->place.width - 2.0 &&
           box->y >= panel->place.y &&
           box->y + box->height <= panel->place.y + panel->place.height &&
           is_clear(figure, panel, box) && is_free(figure, box);
}

/* Room for a box that wide: just above or below the range along its span, else at its height
 * right before or after it; false if there is none. */
static bool find_room(const struct traces_figure *figure, const struct traces_part *panel,
                      const struct traces_target *target, struct place *box)
{
    const struct place span = traces_span_place(figure, panel, target->from_s, target->to_s);
    const double end = fmax(span.x + span.width - box->width, span.x);
    const double top = scale_at(&panel->y, isnan(target->high) ? panel->y.high : target->high);
    const double bottom = scale_at(&panel->y, isnan(target->low) ? panel->y.low : target->low);
    const double heights[] = { top - box->height - 2.0, bottom + 2.0, top - box->height - 8.0,
                               bottom + 8.0 };
    for (size_t k = 0; k < sizeof heights / sizeof heights[0]; k++) {
        box->y = heights[k];
        for (int step = 0; step <= 40; step++) {
            box->x = end - (end - span.x) * step / 40.0;
            if (has_room(figure, panel, box)) {
                return true;
            }
        }
    }
    box->y = fmin(fmax((top + bottom - box->height) / 2.0, panel->place.y),
                  panel->place.y + panel->place.height - box->height);
    box->x = span.x - box->width - 3.0;
    if (has_room(figure, panel, box)) {
        return true;
    }
    box->x = span.x + span.width + 3.0;
    return has_room(figure, panel, box);
}

static void add_key(struct traces_figure *figure, enum traces_panel panel, bool tinted,
                    const char *words)
{
    struct text *key = &figure->keys[panel][tinted ? 1 : 0];
    if (key->bytes == NULL) {
        *key = text_begin(figure->scene->arena, 4000);
    }
    text_add(key, key->length == 0 ? ": " : "; ");
    text_add(key, words);
}

static bool same_words(const char *a, const char *b)
{
    return a != NULL && b != NULL && strcmp(a, b) == 0;
}

/* Each wording once, beside the first of its spans that has room. */
void traces_label_targets(struct traces_figure *figure, const struct traces_part *panel)
{
    const struct traces *traces = figure->traces;
    bool *done = ARENA_ARRAY(figure->scene->arena, bool, traces->n_targets);
    for (size_t i = 0; i < traces->n_targets; i++) {
        const struct traces_target *target = &traces->targets[i];
        if (done[i] || target->words == NULL || target->words[0] == '\0' ||
            target->panel != panel->kind || !traces_is_seen(figure, target->from_s, target->to_s)) {
            continue;
        }
        const struct place size =
            scene_measure(figure->scene, 0.0, 0.0, &label_style, target->words);
        bool placed = false;
        for (size_t k = i; k < traces->n_targets; k++) {
            const struct traces_target *other = &traces->targets[k];
            if (other->panel != panel->kind || !same_words(other->words, target->words) ||
                !traces_is_seen(figure, other->from_s, other->to_s)) {
                continue;
            }
            done[k] = true;
            struct place box = size;
            if (!placed && find_room(figure, panel, other, &box)) {
                put_words(figure, &box, 0.5, &label_style, target->words);
                placed = true;
            }
        }
        if (!placed) {
            add_key(figure, panel->kind, true, target->words);
        }
    }
}

void traces_draw_masks(struct traces_figure *figure, const struct traces_part *panel)
{
    const struct traces *traces = figure->traces;
    for (size_t i = 0; i < traces->n_masks; i++) {
        const struct traces_mask *mask = &traces->masks[i];
        if (mask->panel != panel->kind || !traces_is_seen(figure, mask->from_s, mask->to_s)) {
            continue;
        }
        const struct place place = traces_span_place(figure, panel, mask->from_s, mask->to_s);
        scene_hatch(figure->scene, &place, COLOUR_MASKED);
        if (place.width < NARROW) {
            const double middle = place.x + place.width / 2.0;
            scene_line(figure->scene, middle, place.y - 4.0, middle, place.y,
                       &(struct stroke){ COLOUR_MASKED, 1.0, 0.0 });
        }
    }
}

/* Words within a span, in the middle of its width; false if it is too narrow. */
static bool words_within(struct traces_figure *figure, const struct place *span, double top,
                         const struct text_style *style, const char *words)
{
    struct place box = scene_measure(figure->scene, 0.0, 0.0, style, words);
    box.x = span->x + (span->width - box.width) / 2.0;
    box.y = top;
    const double margin = 2.0;
    const struct place ground = { box.x - margin, box.y - margin, box.width + 2.0 * margin,
                                  box.height + 2.0 * margin };
    if (box.width + 2.0 * margin + 2.0 > span->width ||
        box.y + box.height + margin > span->y + span->height || !is_free(figure, &ground)) {
        return false;
    }
    put_words(figure, &box, margin, style, words);
    return true;
}

/* Each wording once: in the first of its hatchings that is wide enough, else in the key. */
void traces_label_masks(struct traces_figure *figure, const struct traces_part *panel)
{
    const struct traces *traces = figure->traces;
    bool *done = ARENA_ARRAY(figure->scene->arena, bool, traces->n_masks);
    for (size_t i = 0; i < traces->n_masks; i++) {
        const struct traces_mask *mask = &traces->masks[i];
        if (done[i] || mask->words == NULL || mask->words[0] == '\0' ||
            mask->panel != panel->kind || !traces_is_seen(figure, mask->from_s, mask->to_s)) {
            continue;
        }
        bool placed = false;
        int places = 0;
        for (size_t k = i; k < traces->n_masks; k++) {
            const struct traces_mask *other = &traces->masks[k];
            if (other->panel != panel->kind || !same_words(other->words, mask->words) ||
                !traces_is_seen(figure, other->from_s, other->to_s)) {
                continue;
            }
            done[k] = true;
            places++;
            const struct place span = traces_span_place(figure, panel, other->from_s, other->to_s);
            placed = placed ||
                     words_within(figure, &span, panel->place.y + 5.0, &label_style, mask->words);
        }
        if (!placed) {
            add_key(figure, panel->kind, false,
                    words_masked(figure->scene->arena, mask->words, mask->from_s, places));
        }
    }
}

/* Once, on the first panel there is. */
void traces_label_pauses(struct traces_figure *figure)
{
    const struct traces_part *panel = figure->panels;
    while (panel < &figure->panels[PANELS] && !panel->shown) {
        panel++;
    }
    if (panel == &figure->panels[PANELS]) {
        return;
    }
    static const struct text_style style = { FACE_SERIF_ITALIC, 9.0, COLOUR_QUIET, ANCHOR_LEFT };
    for (size_t i = 0; i < figure->traces->n_pauses; i++) {
        const struct traces_span *pause = &figure->traces->pauses[i];
        if (traces_is_seen(figure, pause->from_s, pause->to_s) && pause->words != NULL &&
            pause->words[0] != '\0') {
            const struct place span = traces_span_place(figure, panel, pause->from_s, pause->to_s);
            words_within(figure, &span, panel->place.y + panel->place.height / 2.0 - 5.0, &style,
                         pause->words);
        }
    }
}
