/* drawing/traces.c: the two traces: panels, scales, lines.  traces_spans.c has what lies over a
 * panel for some of its seconds. */
#include "drawing/traces.h"

#include "coaching/words/figure_words.h"
#include "drawing/traces_parts.h"

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

static const struct text_style tick_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_RIGHT };
static const struct text_style time_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_MIDDLE };
static const struct text_style number_style = { FACE_SANS_STRONG, 8.0, COLOUR_INK, ANCHOR_MIDDLE };

/* ---- what is drawn ---- */

static void clear(double values[], size_t n, int32_t from_s, int32_t to_s)
{
    for (int64_t i = from_s < 0 ? 0 : from_s; i < to_s && i < (int64_t)n; i++) {
        values[i] = (double)NAN;
    }
}

static struct trace usable(const struct traces_figure *figure, const double values[],
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
    [TRACES_AGAINST_USUAL] = { "heart rate against usual", "heart rate against usual, beats", 20.0,
                               COLOUR_HEART_TEXT, false },
    [TRACES_LEFT] = { "W' left", "W' left, kJ", 5.0, COLOUR_PLUM, true },
};

/* Kinds whose 0 says something. */
static bool has_zero(enum traces_third kind)
{
    return kind == TRACES_AGAINST_USUAL || kind == TRACES_LEFT;
}

static void set_panels(struct traces_figure *figure)
{
    const struct traces *traces = figure->traces;
    struct traces_part *power = &figure->panels[TRACES_POWER];
    struct traces_part *heart = &figure->panels[TRACES_HEART];
    struct traces_part *third = &figure->panels[TRACES_THIRD];
    *power = (struct traces_part){ .shown = traces->power_w != NULL,
                                   .kind = TRACES_POWER,
                                   .name = "power",
                                   .title = "power, W",
                                   .title_colour = COLOUR_INK,
                                   .least_span = 50.0,
                                   .from_zero = true,
                                   .share = 1.25 };
    *heart = (struct traces_part){ .shown = traces->heart_bpm != NULL,
                                   .kind = TRACES_HEART,
                                   .name = "heart rate",
                                   .title = "heart rate, beats/min",
                                   .title_colour = COLOUR_HEART_TEXT,
                                   .least_span = 40.0,
                                   .share = 1.0 };
    *third = (struct traces_part){ .kind = TRACES_THIRD };
    if (traces->third_kind != TRACES_NONE && traces->third != NULL) {
        third->shown = true;
        third->name = thirds[traces->third_kind].name;
        third->title = thirds[traces->third_kind].title;
        third->title_colour = thirds[traces->third_kind].colour;
        third->least_span = thirds[traces->third_kind].least_span;
        third->from_zero = thirds[traces->third_kind].from_zero;
        third->share = has_zero(traces->third_kind) ? 0.9 : 0.6;
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

static void include_trace(const struct traces_figure *figure, const double values[], double *low,
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

static void set_y(struct traces_figure *figure, struct traces_part *panel)
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
    if (panel->kind == TRACES_THIRD) {
        include_trace(figure, traces->third_low, &low, &high);
        include_trace(figure, traces->third_high, &low, &high);
        if (has_zero(traces->third_kind)) {
            include(0.0, &low, &high);
        }
    }
    if (traces->most[panel->kind] > traces->least[panel->kind]) {
        include(traces->least[panel->kind], &low, &high);
        include(traces->most[panel->kind], &low, &high);
    }
    for (size_t i = 0; i < traces->n_targets; i++) {
        const struct traces_target *target = &traces->targets[i];
        if (target->panel == panel->kind && traces_is_seen(figure, target->from_s, target->to_s)) {
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

static size_t count_lanes(const struct traces_figure *figure, size_t lane_of[])
{
    const struct traces *traces = figure->traces;
    int32_t *ends = ARENA_ARRAY(figure->scene->arena, int32_t, traces->n_brackets);
    size_t n = 0;
    for (size_t i = 0; i < traces->n_brackets; i++) {
        const struct traces_span *span = &traces->brackets[i];
        if (!traces_is_seen(figure, span->from_s, span->to_s)) {
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

/* A panel that would be looked for. */
static bool is_missed(const struct traces_figure *figure, int panel)
{
    return !figure->panels[panel].shown &&
           (panel == TRACES_POWER || (panel == TRACES_HEART && !figure->traces->without_heart));
}

/* Panels get their places from top to bottom; notes stand in for the two that are always asked
 * for.  Returns the y below them. */
static double set_places(struct traces_figure *figure, size_t n_lanes)
{
    double shares = 0.0;
    double fixed = (double)n_lanes * LANE_HEIGHT + AXIS_HEIGHT + 6.0;
    for (int i = 0; i < PANELS; i++) {
        shares += figure->panels[i].shown ? figure->panels[i].share : 0.0;
        fixed += figure->panels[i].shown ? TITLE_HEIGHT + PANEL_GAP
                 : is_missed(figure, i)  ? NOTE_HEIGHT + PANEL_GAP
                                         : 0.0;
    }
    fixed -= PANEL_GAP;
    const double unit =
        shares > 0.0 ? fmax(figure->place.height - fixed, 20.0 * shares) / shares : 0.0;
    double y = figure->place.y;
    for (int i = 0; i < PANELS; i++) {
        struct traces_part *panel = &figure->panels[i];
        if (is_missed(figure, i)) {
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

static size_t most_ticks(const struct traces_part *panel)
{
    return panel->place.height < 45.0 ? 3 : panel->place.height < 110.0 ? 5 : 7;
}

/* The widest number of any panel sets where all begin. */
static void set_columns(struct traces_figure *figure)
{
    double widest = 0.0;
    for (int i = 0; i < PANELS; i++) {
        struct traces_part *panel = &figure->panels[i];
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
        struct traces_part *panel = &figure->panels[i];
        panel->place.x = left;
        panel->place.width = figure->x.to - left;
        for (size_t k = 0; k < panel->ticks.n; k++) {
            panel->ticks.tick[k].label_x = left - 5.0;
        }
    }
}

static void draw_frame(struct traces_figure *figure, const struct traces_part *panel)
{
    struct scene *scene = figure->scene;
    const struct text_style style = { FACE_SANS_STRONG, LABEL_SIZE, panel->title_colour,
                                      ANCHOR_LEFT };
    scene_text(scene, figure->place.x, panel->place.y - 7.5, &style, panel->title);
    axis_draw_rules(scene, &panel->ticks, panel->place.x, panel->place.x + panel->place.width);
    axis_draw_labels(scene, &panel->ticks, &tick_style);
}

/* ---- the traces themselves ---- */

static void draw_power(struct traces_figure *figure, const struct traces_part *panel)
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

static void draw_heart(struct traces_figure *figure, const struct traces_part *panel)
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

static void draw_third(struct traces_figure *figure, const struct traces_part *panel)
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
    if (figure->traces->third_low != NULL && figure->traces->third_high != NULL) {
        const struct trace low = { figure->traces->third_low, figure->traces->n_seconds };
        const struct trace high = { figure->traces->third_high, figure->traces->n_seconds };
        trace_band(figure->scene, &low, &high, &figure->x, &panel->y, MEAN_WIDTH,
                   kind == TRACES_AGAINST_USUAL ? COLOUR_HEART_EXPECTED : COLOUR_LIKELY);
    }
    if (has_zero(kind)) {
        const double zero = scale_at(&panel->y, 0.0);
        scene_line(figure->scene, figure->x.from, zero, figure->x.to, zero,
                   &(struct stroke){ COLOUR_INK, 0.9, 0.0 });
    }
    trace_mean_line(figure->scene, &panel->trace, &figure->x, &panel->y, MEAN_WIDTH,
                    kind == TRACES_AGAINST_USUAL
                        ? &(struct stroke){ COLOUR_HEART, 1.1, 2.6 }
                        : &(struct stroke){ thirds[kind].colour, 0.8, 0.0 });
}

static void draw_panel(struct traces_figure *figure, const struct traces_part *panel)
{
    traces_draw_targets(figure, panel);
    if (panel->kind == TRACES_THIRD && figure->traces->third_kind == TRACES_ALTITUDE) {
        draw_third(figure, panel); /* an area lies under the lines of the scale */
    }
    draw_frame(figure, panel);
    traces_draw_masks(figure, panel);
    if (panel->kind == TRACES_POWER) {
        draw_power(figure, panel);
    } else if (panel->kind == TRACES_HEART) {
        draw_heart(figure, panel);
    } else if (figure->traces->third_kind != TRACES_ALTITUDE) {
        draw_third(figure, panel);
    }
    traces_edge_targets(figure, panel);
    traces_label_masks(figure, panel);
    traces_label_targets(figure, panel);
}

/* ---- under the panels ---- */

/* The numbers of one lane: the first, the last, then whatever still has room. */
static void number_lane(struct traces_figure *figure, const size_t lane_of[], size_t lane,
                        double baseline)
{
    const struct traces *traces = figure->traces;
    size_t *order = ARENA_ARRAY(figure->scene->arena, size_t, traces->n_brackets + 1);
    size_t n = 0;
    for (size_t i = 0; i < traces->n_brackets; i++) {
        const struct traces_span *span = &traces->brackets[i];
        if (lane_of[i] == lane && traces_is_seen(figure, span->from_s, span->to_s) &&
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
            traces_span_place(figure, &figure->panels[TRACES_POWER], span->from_s, span->to_s);
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

static double draw_brackets(struct traces_figure *figure, const size_t lane_of[], size_t n_lanes,
                            double y)
{
    const struct traces *traces = figure->traces;
    const struct stroke stroke = { COLOUR_INK, 0.9, 0.0 };
    for (size_t i = 0; i < traces->n_brackets; i++) {
        const struct traces_span *span = &traces->brackets[i];
        if (!traces_is_seen(figure, span->from_s, span->to_s)) {
            continue;
        }
        const struct place at =
            traces_span_place(figure, &figure->panels[TRACES_POWER], span->from_s, span->to_s);
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
static double draw_time(struct traces_figure *figure, double y)
{
    struct scene *scene = figure->scene;
    const struct traces *traces = figure->traces;
    const struct stroke stroke = { COLOUR_QUIET, 0.6, 0.0 };
    const struct ticks ticks = axis_across(scene, &figure->x, AXIS_TIME, 13, &time_style, y + 11.0,
                                           figure->place.x, figure->x.to, 8.0);
    double at = figure->x.from;
    for (size_t i = 0; i < traces->n_pauses; i++) {
        const struct traces_span *pause = &traces->pauses[i];
        if (!traces_is_seen(figure, pause->from_s, pause->to_s)) {
            continue;
        }
        const struct place gap =
            traces_span_place(figure, &figure->panels[TRACES_POWER], pause->from_s, pause->to_s);
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

static double draw_keys(struct traces_figure *figure, double y)
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
    struct traces_figure figure = { .scene = scene, .traces = traces, .place = *place };
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
    traces_label_pauses(&figure);
    y = draw_brackets(&figure, lane_of, n_lanes, y);
    y = draw_time(&figure, y);
    y = draw_keys(&figure, y);
    scene_end_part(scene);
    return y;
}
