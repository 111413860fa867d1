/* drawing/traces.c: the two traces. */
#include "drawing/traces.h"

#include "coaching/words/figure_words.h"
#include "drawing/trace_line.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/* Points. */
static const double LABEL_SIZE = 8.0;
static const double TITLE_HEIGHT = 15.0;
static const double PANEL_GAP = 8.0;
static const double NOTE_HEIGHT = 14.0; /* of a note on one line */
static const double LANE_HEIGHT = 13.0;
static const double AXIS_HEIGHT = 14.0;
static const double MEAN_WIDTH = 1.0;     /* of a bin of what is drawn as its mean */
static const double RIBBON_SECONDS = 2.5; /* more a pixel, and power becomes a ribbon */
static const double NARROW = 1.5;         /* a hatching less wide gets a notch above it */

static const struct text_style label_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_LEFT };
static const struct text_style tick_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_RIGHT };
static const struct text_style time_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_MIDDLE };
static const struct text_style number_style = { FACE_SANS_STRONG, 8.0, COLOUR_INK, ANCHOR_MIDDLE };

enum { PANELS = 3 };

struct panel {
    bool shown;
    bool known; /* one second at least sets its scale */
    enum traces_panel kind;
    const char *name; /* "power", in sentences */
    const char *title;
    enum colour title_colour;
    struct trace trace; /* without what is masked or paused */
    double least_span;  /* of its scale: less would show noise as if it were news */
    bool from_zero;
    double share; /* of the height */
    struct place place;
    struct scale y;
    struct ticks ticks;
};

struct figure {
    struct scene *scene;
    const struct traces *traces;
    struct place place;
    struct scale x;
    struct panel panels[PANELS];
    struct place *taken; /* [n_taken] by words within panels */
    size_t n_taken;
    size_t capacity;
    struct text keys[PANELS][2]; /* words that found no room: hatched, tinted */
};

/* ---- what is drawn ---- */

static void clear(double values[], size_t n, int32_t from_s, int32_t to_s)
{
    for (int64_t i = from_s < 0 ? 0 : from_s; i < to_s && i < (int64_t)n; i++) {
        values[i] = (double)NAN;
    }
}

static struct trace usable(const struct figure *figure, const double values[],
                           enum traces_panel panel)
{
    const struct traces *traces = figure->traces;
    double *own = arena_copy(figure->scene->arena, values, traces->n_seconds * sizeof values[0]);
    for (size_t i = 0; i < traces->n_masks; i++) {
        if (traces->masks[i].panel == panel) {
            clear(own, traces->n_seconds, traces->masks[i].from_s, traces->masks[i].to_s);
        }
    }
    for (size_t i = 0; i < traces->n_pauses; i++) {
        clear(own, traces->n_seconds, traces->pauses[i].from_s, traces->pauses[i].to_s);
    }
    return (struct trace){ own, traces->n_seconds };
}

static const struct {
    const char *name;
    const char *title;
    double least_span;
    enum colour colour;
    bool from_zero;
} thirds[] = {
    [TRACES_CADENCE] = { "cadence", "cadence, turns/min", 40.0, COLOUR_CADENCE, true },
    [TRACES_TEMPERATURE] = { "temperature", "temperature, °C", 6.0, COLOUR_TEMPERATURE, false },
    [TRACES_ALTITUDE] = { "altitude", "altitude, m", 40.0, COLOUR_QUIET, false },
};

static void set_panels(struct figure *figure)
{
    const struct traces *traces = figure->traces;
    struct panel *power = &figure->panels[TRACES_POWER];
    struct panel *heart = &figure->panels[TRACES_HEART];
    struct panel *third = &figure->panels[TRACES_THIRD];
    *power = (struct panel){ .shown = traces->power_w != NULL,
                             .kind = TRACES_POWER,
                             .name = "power",
                             .title = "power, W",
                             .title_colour = COLOUR_INK,
                             .least_span = 50.0,
                             .from_zero = true,
                             .share = 1.25 };
    *heart = (struct panel){ .shown = traces->heart_bpm != NULL,
                             .kind = TRACES_HEART,
                             .name = "heart rate",
                             .title = "heart rate, beats/min",
                             .title_colour = COLOUR_HEART_TEXT,
                             .least_span = 40.0,
                             .share = 1.0 };
    *third = (struct panel){ .kind = TRACES_THIRD };
    if (traces->third_kind != TRACES_NONE && traces->third != NULL) {
        third->shown = true;
        third->name = thirds[traces->third_kind].name;
        third->title = thirds[traces->third_kind].title;
        third->title_colour = thirds[traces->third_kind].colour;
        third->least_span = thirds[traces->third_kind].least_span;
        third->from_zero = thirds[traces->third_kind].from_zero;
        third->share = 0.6;
    }
    const double *values[PANELS] = { traces->power_w, traces->heart_bpm, traces->third };
    for (int i = 0; i < PANELS; i++) {
        if (figure->panels[i].shown) {
            figure->panels[i].trace = usable(figure, values[i], (enum traces_panel)i);
        }
    }
}

/* ---- scales ---- */

static void include(double value, double *low, double *high)
{
    if (!isnan(value)) {
        *low = fmin(*low, value);
        *high = fmax(*high, value);
    }
}

static void include_trace(const struct figure *figure, const double values[], double *low,
                          double *high)
{
    double lowest = 0.0;
    double highest = 0.0;
    size_t first = 0;
    size_t end = 0;
    trace_window(figure->traces->n_seconds, &figure->x, &first, &end);
    const struct trace trace = { values, figure->traces->n_seconds };
    if (values != NULL && trace_extremes(&trace, first, end, &lowest, &highest)) {
        include(lowest, low, high);
        include(highest, low, high);
    }
}

static bool is_seen(const struct figure *figure, int32_t from_s, int32_t to_s)
{
    return to_s > from_s && (double)to_s > figure->x.low && (double)from_s < figure->x.high;
}

static void set_y(struct figure *figure, struct panel *panel)
{
    const struct traces *traces = figure->traces;
    double low = (double)INFINITY;
    double high = -(double)INFINITY;
    include_trace(figure, panel->trace.value, &low, &high);
    panel->known = high >= low;
    if (panel->kind == TRACES_HEART) {
        include_trace(figure, traces->expected_low_bpm, &low, &high);
        include_trace(figure, traces->expected_high_bpm, &low, &high);
    }
    for (size_t i = 0; i < traces->n_targets; i++) {
        const struct traces_target *target = &traces->targets[i];
        if (target->panel == panel->kind && is_seen(figure, target->from_s, target->to_s)) {
            include(target->low, &low, &high);
            include(target->high, &low, &high);
        }
    }
    if (high < low) {
        low = 0.0;
        high = panel->least_span;
    }
    if (panel->from_zero) {
        low = fmin(low, 0.0);
        high = fmax(high, low + panel->least_span);
    } else {
        const double missing = fmax(panel->least_span - (high - low), 0.0);
        low -= missing / 2.0 + 0.04 * (high - low);
        high += missing / 2.0;
    }
    high += 0.06 * (high - low);
    panel->y = (struct scale){ low, high, panel->place.y + panel->place.height, panel->place.y };
}

/* ---- the frame ---- */

static size_t count_lanes(const struct figure *figure, size_t lane_of[])
{
    const struct traces *traces = figure->traces;
    int32_t *ends = ARENA_ARRAY(figure->scene->arena, int32_t, traces->n_brackets);
    size_t n = 0;
    for (size_t i = 0; i < traces->n_brackets; i++) {
        const struct traces_span *span = &traces->brackets[i];
        if (!is_seen(figure, span->from_s, span->to_s)) {
            continue;
        }
        size_t lane = 0;
        while (lane < n && ends[lane] > span->from_s) {
            lane++;
        }
        n = lane == n ? n + 1 : n;
        ends[lane] = span->to_s;
        lane_of[i] = lane;
    }
    return n;
}

/* Panels get their places from top to bottom; notes stand in for the two that are always asked
 * for.  Returns the y below them. */
static double set_places(struct figure *figure, size_t n_lanes)
{
    double shares = 0.0;
    double fixed = (double)n_lanes * LANE_HEIGHT + AXIS_HEIGHT + 6.0;
    for (int i = 0; i < PANELS; i++) {
        shares += figure->panels[i].shown ? figure->panels[i].share : 0.0;
        fixed += figure->panels[i].shown ? TITLE_HEIGHT + PANEL_GAP
                 : i != TRACES_THIRD     ? NOTE_HEIGHT + PANEL_GAP
                                         : 0.0;
    }
    fixed -= PANEL_GAP;
    const double unit =
        shares > 0.0 ? fmax(figure->place.height - fixed, 20.0 * shares) / shares : 0.0;
    double y = figure->place.y;
    for (int i = 0; i < PANELS; i++) {
        struct panel *panel = &figure->panels[i];
        if (!panel->shown && i != TRACES_THIRD) {
            const struct run run = { i == TRACES_POWER ? words_no_power() : words_no_heart_rate(),
                                     FACE_SERIF_ITALIC, COLOUR_QUIET };
            y += scene_paragraph(figure->scene, figure->place.x, y, figure->place.width, 10.0, &run,
                                 1)
                     .height +
                 PANEL_GAP;
        }
        if (panel->shown) {
            panel->place.y = y + TITLE_HEIGHT;
            panel->place.height = panel->share * unit;
            y = panel->place.y + panel->place.height + PANEL_GAP;
        }
    }
    return y - PANEL_GAP + 6.0;
}

static size_t most_ticks(const struct panel *panel)
{
    return panel->place.height < 45.0 ? 3 : panel->place.height < 110.0 ? 5 : 7;
}

/* The widest number of any panel sets where all begin. */
static void set_columns(struct figure *figure)
{
    double widest = 0.0;
    for (int i = 0; i < PANELS; i++) {
        struct panel *panel = &figure->panels[i];
        if (panel->shown) {
            set_y(figure, panel);
            panel->ticks = axis_upwards(figure->scene, &panel->y, AXIS_NUMBER, most_ticks(panel),
                                        &tick_style, 0.0);
            for (size_t k = 0; k < panel->ticks.n; k++) {
                widest = fmax(widest, panel->ticks.tick[k].label.width);
            }
        }
    }
    const double left = figure->place.x + widest + 5.0;
    figure->x.from = left;
    figure->x.to = figure->place.x + figure->place.width;
    for (int i = 0; i < PANELS; i++) {
        struct panel *panel = &figure->panels[i];
        panel->place.x = left;
        panel->place.width = figure->x.to - left;
        for (size_t k = 0; k < panel->ticks.n; k++) {
            panel->ticks.tick[k].label_x = left - 5.0;
        }
    }
}

static void draw_frame(struct figure *figure, const struct panel *panel)
{
    struct scene *scene = figure->scene;
    const struct text_style style = { FACE_SANS_STRONG, LABEL_SIZE, panel->title_colour,
                                      ANCHOR_LEFT };
    scene_text(scene, figure->place.x, panel->place.y - 7.5, &style, panel->title);
    const double right = panel->place.x + panel->place.width;
    for (size_t i = 0; i < panel->ticks.n; i++) {
        const double y = panel->ticks.tick[i].at;
        scene_line(scene, panel->place.x, y, right, y, &(struct stroke){ COLOUR_HAIRLINE, 0.5, 0 });
    }
    axis_draw_labels(scene, &panel->ticks, &tick_style);
}

/* ---- spans on a panel ---- */

static struct place span_place(const struct figure *figure, const struct panel *panel,
                               int32_t from_s, int32_t to_s)
{
    const double left = scale_at(&figure->x, fmax(from_s, figure->x.low));
    const double right = scale_at(&figure->x, fmin(to_s, figure->x.high));
    return (struct place){ left, panel->place.y, right - left, panel->place.height };
}

static bool is_free(const struct figure *figure, const struct place *box)
{
    for (size_t i = 0; i < figure->n_taken; i++) {
        if (place_overlaps(box, &figure->taken[i])) {
            return false;
        }
    }
    return true;
}

/* Words on a ground of their own, so that no line runs through them. */
static void put_words(struct figure *figure, const struct place *box, double margin,
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

static void draw_targets(struct figure *figure, const struct panel *panel)
{
    for (size_t i = 0; i < figure->traces->n_targets; i++) {
        const struct traces_target *target = &figure->traces->targets[i];
        if (target->panel != panel->kind || !is_seen(figure, target->from_s, target->to_s)) {
            continue;
        }
        struct place place = span_place(figure, panel, target->from_s, target->to_s);
        const double top = isnan(target->high) ? panel->y.high : target->high;
        const double bottom = isnan(target->low) ? panel->y.low : target->low;
        place.y = scale_at(&panel->y, top);
        place.height = scale_at(&panel->y, bottom) - place.y;
        scene_rectangle(figure->scene, &place, COLOUR_TARGET);
    }
}

/* The ends of a range once more over the trace, which may hide its tint. */
static void edge_targets(struct figure *figure, const struct panel *panel)
{
    for (size_t i = 0; i < figure->traces->n_targets; i++) {
        const struct traces_target *target = &figure->traces->targets[i];
        if (target->panel != panel->kind || !is_seen(figure, target->from_s, target->to_s)) {
            continue;
        }
        const struct place span = span_place(figure, panel, target->from_s, target->to_s);
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
static bool is_clear(const struct figure *figure, const struct panel *panel,
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
static bool has_room(const struct figure *figure, const struct panel *panel,
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
static bool find_room(const struct figure *figure, const struct panel *panel,
                      const struct traces_target *target, struct place *box)
{
    const struct place span = span_place(figure, panel, target->from_s, target->to_s);
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

static void add_key(struct figure *figure, enum traces_panel panel, bool tinted, const char *words)
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
static void label_targets(struct figure *figure, const struct panel *panel)
{
    const struct traces *traces = figure->traces;
    bool *done = ARENA_ARRAY(figure->scene->arena, bool, traces->n_targets);
    for (size_t i = 0; i < traces->n_targets; i++) {
        const struct traces_target *target = &traces->targets[i];
        if (done[i] || target->words == NULL || target->words[0] == '\0' ||
            target->panel != panel->kind || !is_seen(figure, target->from_s, target->to_s)) {
            continue;
        }
        const struct place size =
            scene_measure(figure->scene, 0.0, 0.0, &label_style, target->words);
        bool placed = false;
        for (size_t k = i; k < traces->n_targets; k++) {
            const struct traces_target *other = &traces->targets[k];
            if (other->panel != panel->kind || !same_words(other->words, target->words) ||
                !is_seen(figure, other->from_s, other->to_s)) {
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

static void draw_masks(struct figure *figure, const struct panel *panel)
{
    const struct traces *traces = figure->traces;
    for (size_t i = 0; i < traces->n_masks; i++) {
        const struct traces_mask *mask = &traces->masks[i];
        if (mask->panel != panel->kind || !is_seen(figure, mask->from_s, mask->to_s)) {
            continue;
        }
        const struct place place = span_place(figure, panel, mask->from_s, mask->to_s);
        scene_hatch(figure->scene, &place, COLOUR_MASKED);
        if (place.width < NARROW) {
            const double middle = place.x + place.width / 2.0;
            scene_line(figure->scene, middle, place.y - 4.0, middle, place.y,
                       &(struct stroke){ COLOUR_MASKED, 1.0, 0.0 });
        }
    }
}

/* Words within a span, in the middle of its width; false if it is too narrow. */
static bool words_within(struct figure *figure, const struct place *span, double top,
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
static void label_masks(struct figure *figure, const struct panel *panel)
{
    const struct traces *traces = figure->traces;
    bool *done = ARENA_ARRAY(figure->scene->arena, bool, traces->n_masks);
    for (size_t i = 0; i < traces->n_masks; i++) {
        const struct traces_mask *mask = &traces->masks[i];
        if (done[i] || mask->words == NULL || mask->words[0] == '\0' ||
            mask->panel != panel->kind || !is_seen(figure, mask->from_s, mask->to_s)) {
            continue;
        }
        bool placed = false;
        int places = 0;
        for (size_t k = i; k < traces->n_masks; k++) {
            const struct traces_mask *other = &traces->masks[k];
            if (other->panel != panel->kind || !same_words(other->words, mask->words) ||
                !is_seen(figure, other->from_s, other->to_s)) {
                continue;
            }
            done[k] = true;
            places++;
            const struct place span = span_place(figure, panel, other->from_s, other->to_s);
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
static void label_pauses(struct figure *figure)
{
    const struct panel *panel = figure->panels;
    while (panel < &figure->panels[PANELS] && !panel->shown) {
        panel++;
    }
    if (panel == &figure->panels[PANELS]) {
        return;
    }
    static const struct text_style style = { FACE_SERIF_ITALIC, 9.0, COLOUR_QUIET, ANCHOR_LEFT };
    for (size_t i = 0; i < figure->traces->n_pauses; i++) {
        const struct traces_span *pause = &figure->traces->pauses[i];
        if (is_seen(figure, pause->from_s, pause->to_s) && pause->words != NULL &&
            pause->words[0] != '\0') {
            const struct place span = span_place(figure, panel, pause->from_s, pause->to_s);
            words_within(figure, &span, panel->place.y + panel->place.height / 2.0 - 5.0, &style,
                         pause->words);
        }
    }
}

/* ---- the traces themselves ---- */

static void draw_power(struct figure *figure, const struct panel *panel)
{
    const double seconds_per_pixel =
        (figure->x.high - figure->x.low) / (2.0 * (figure->x.to - figure->x.from));
    const bool ribbon = seconds_per_pixel > RIBBON_SECONDS;
    trace_line(figure->scene, &panel->trace, &figure->x, &panel->y,
               &(struct stroke){ ribbon ? COLOUR_POWER_RIBBON : COLOUR_POWER, 0.6, 0.0 });
    if (ribbon) {
        trace_mean_line(figure->scene, &panel->trace, &figure->x, &panel->y, MEAN_WIDTH,
                        &(struct stroke){ COLOUR_POWER, 0.7, 0.0 });
    }
}

static void draw_heart(struct figure *figure, const struct panel *panel)
{
    const struct traces *traces = figure->traces;
    if (traces->expected_low_bpm != NULL && traces->expected_high_bpm != NULL) {
        const struct trace low = { traces->expected_low_bpm, traces->n_seconds };
        const struct trace high = { traces->expected_high_bpm, traces->n_seconds };
        trace_band(figure->scene, &low, &high, &figure->x, &panel->y, MEAN_WIDTH,
                   COLOUR_HEART_EXPECTED);
    }
    trace_mean_line(figure->scene, &panel->trace, &figure->x, &panel->y, MEAN_WIDTH,
                    &(struct stroke){ COLOUR_HEART, 1.1, 2.6 });
}

static void draw_third(struct figure *figure, const struct panel *panel)
{
    const enum traces_third kind = figure->traces->third_kind;
    if (kind == TRACES_ALTITUDE) {
        double *foot = ARENA_ARRAY(figure->scene->arena, double, panel->trace.n);
        for (size_t i = 0; i < panel->trace.n; i++) {
            foot[i] = isnan(panel->trace.value[i]) ? (double)NAN : panel->y.low;
        }
        const struct trace low = { foot, panel->trace.n };
        trace_band(figure->scene, &low, &panel->trace, &figure->x, &panel->y, MEAN_WIDTH,
                   COLOUR_ALTITUDE);
        return;
    }
    trace_mean_line(figure->scene, &panel->trace, &figure->x, &panel->y, MEAN_WIDTH,
                    &(struct stroke){ thirds[kind].colour, 0.8, 0.0 });
}

static void draw_panel(struct figure *figure, const struct panel *panel)
{
    draw_targets(figure, panel);
    if (panel->kind == TRACES_THIRD && figure->traces->third_kind == TRACES_ALTITUDE) {
        draw_third(figure, panel); /* an area lies under the lines of the scale */
    }
    draw_frame(figure, panel);
    draw_masks(figure, panel);
    if (panel->kind == TRACES_POWER) {
        draw_power(figure, panel);
    } else if (panel->kind == TRACES_HEART) {
        draw_heart(figure, panel);
    } else if (figure->traces->third_kind != TRACES_ALTITUDE) {
        draw_third(figure, panel);
    }
    edge_targets(figure, panel);
    label_masks(figure, panel);
    label_targets(figure, panel);
}

/* ---- under the panels ---- */

/* The numbers of one lane: the first, the last, then whatever still has room. */
static void number_lane(struct figure *figure, const size_t lane_of[], size_t lane, double baseline)
{
    const struct traces *traces = figure->traces;
    size_t *order = ARENA_ARRAY(figure->scene->arena, size_t, traces->n_brackets + 1);
    size_t n = 0;
    for (size_t i = 0; i < traces->n_brackets; i++) {
        const struct traces_span *span = &traces->brackets[i];
        if (lane_of[i] == lane && is_seen(figure, span->from_s, span->to_s) &&
            span->words != NULL) {
            order[n++] = i;
        }
    }
    if (n > 2) {
        /* The last comes second. */
        const size_t last = order[n - 1];
        for (size_t i = n - 1; i > 1; i--) {
            order[i] = order[i - 1];
        }
        order[1] = last;
    }
    struct place *boxes = ARENA_ARRAY(figure->scene->arena, struct place, n);
    size_t n_boxes = 0;
    for (size_t i = 0; i < n; i++) {
        const struct traces_span *span = &traces->brackets[order[i]];
        const struct place at =
            span_place(figure, &figure->panels[TRACES_POWER], span->from_s, span->to_s);
        const double width =
            scene_measure(figure->scene, 0.0, 0.0, &number_style, span->words).width;
        const double middle = fmin(fmax(at.x + at.width / 2.0, figure->x.from + width / 2.0),
                                   figure->x.to - width / 2.0);
        const struct place box =
            scene_measure(figure->scene, middle, baseline, &number_style, span->words);
        const struct place wide = { box.x - 3.0, box.y, box.width + 6.0, box.height };
        bool is_taken = box.x < figure->x.from - 0.01;
        for (size_t k = 0; k < n_boxes; k++) {
            is_taken = is_taken || place_overlaps(&wide, &boxes[k]);
        }
        if (!is_taken) {
            scene_text(figure->scene, middle, baseline, &number_style, span->words);
            boxes[n_boxes++] = box;
        }
    }
}

static double draw_brackets(struct figure *figure, const size_t lane_of[], size_t n_lanes, double y)
{
    const struct traces *traces = figure->traces;
    const struct stroke stroke = { COLOUR_INK, 0.9, 0.0 };
    for (size_t i = 0; i < traces->n_brackets; i++) {
        const struct traces_span *span = &traces->brackets[i];
        if (!is_seen(figure, span->from_s, span->to_s)) {
            continue;
        }
        const struct place at =
            span_place(figure, &figure->panels[TRACES_POWER], span->from_s, span->to_s);
        const double top = y + (double)lane_of[i] * LANE_HEIGHT;
        /* An end that lies outside what is shown stays open. */
        const bool begins = span->from_s >= figure->x.low;
        const bool ends = span->to_s <= figure->x.high;
        struct point points[4];
        size_t n = 0;
        if (begins) {
            points[n++] = (struct point){ at.x, top };
        }
        points[n++] = (struct point){ at.x, top + 3.0 };
        points[n++] = (struct point){ at.x + at.width, top + 3.0 };
        if (ends) {
            points[n++] = (struct point){ at.x + at.width, top };
        }
        scene_path(figure->scene, points, n, &stroke);
    }
    for (size_t lane = 0; lane < n_lanes; lane++) {
        number_lane(figure, lane_of, lane, y + (double)lane * LANE_HEIGHT + 11.0);
    }
    return y + (double)n_lanes * LANE_HEIGHT;
}

/* The line of time, broken where the ride stood. */
static double draw_time(struct figure *figure, double y)
{
    struct scene *scene = figure->scene;
    const struct traces *traces = figure->traces;
    const struct stroke stroke = { COLOUR_QUIET, 0.6, 0.0 };
    const struct ticks ticks = axis_across(scene, &figure->x, AXIS_TIME, 13, &time_style, y + 11.0,
                                           figure->place.x, figure->x.to, 8.0);
    double at = figure->x.from;
    for (size_t i = 0; i < traces->n_pauses; i++) {
        const struct traces_span *pause = &traces->pauses[i];
        if (!is_seen(figure, pause->from_s, pause->to_s)) {
            continue;
        }
        const struct place gap =
            span_place(figure, &figure->panels[TRACES_POWER], pause->from_s, pause->to_s);
        if (gap.x > at) {
            scene_line(scene, at, y, gap.x, y, &stroke);
        }
        at = fmax(at, gap.x + gap.width);
    }
    if (at < figure->x.to) {
        scene_line(scene, at, y, figure->x.to, y, &stroke);
    }
    for (size_t i = 0; i < ticks.n; i++) {
        scene_line(scene, ticks.tick[i].at, y, ticks.tick[i].at, y + 3.0, &stroke);
    }
    axis_draw_labels(scene, &ticks, &time_style);
    return y + AXIS_HEIGHT;
}

static double draw_keys(struct figure *figure, double y)
{
    struct scene *scene = figure->scene;
    for (int panel = 0; panel < PANELS; panel++) {
        for (int tinted = 0; tinted < 2; tinted++) {
            const struct text *key = &figure->keys[panel][tinted];
            if (key->bytes == NULL || key->length == 0) {
                continue;
            }
            const char *name = figure->panels[panel].name;
            const char *head =
                tinted ? words_tinted(scene->arena, name) : words_hatched(scene->arena, name);
            const struct run runs[] = { { head, FACE_SANS_STRONG, COLOUR_QUIET },
                                        { key->bytes, FACE_SANS, COLOUR_QUIET } };
            y += 2.0 + scene_paragraph(scene, figure->place.x, y + 2.0, figure->place.width,
                                       LABEL_SIZE, runs, 2)
                           .height;
        }
    }
    return y;
}

double traces_draw(struct scene *scene, const struct place *place, const struct traces *traces)
{
    assert(place->width >= 150.0 && place->height >= 120.0);
    struct figure figure = { .scene = scene, .traces = traces, .place = *place };
    const bool whole = traces->to_s <= traces->from_s;
    figure.x.low = whole ? 0.0 : traces->from_s;
    figure.x.high = whole ? fmax((double)traces->n_seconds, 1.0) : traces->to_s;
    set_panels(&figure);

    const char *label = traces->label != NULL
                            ? traces->label
                            : words_traces(scene->arena, traces->power_w != NULL,
                                           traces->heart_bpm != NULL, figure.x.high - figure.x.low);
    scene_begin_part(scene, ROLE_FIGURE, label);
    size_t *lane_of = ARENA_ARRAY(scene->arena, size_t, traces->n_brackets + 1);
    const size_t n_lanes = count_lanes(&figure, lane_of);
    double y = set_places(&figure, n_lanes);
    set_columns(&figure);
    for (int i = 0; i < PANELS; i++) {
        if (figure.panels[i].shown) {
            draw_panel(&figure, &figure.panels[i]);
        }
    }
    label_pauses(&figure);
    y = draw_brackets(&figure, lane_of, n_lanes, y);
    y = draw_time(&figure, y);
    y = draw_keys(&figure, y);
    scene_end_part(scene);
    return y;
}
