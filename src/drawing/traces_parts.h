/* drawing/traces_parts.h: what the two bodies of drawing/traces.h share.
 *
 *     traces.c         panels, scales, the traces themselves, what stands under them
 *     traces_spans.c   what lies over a panel for some of its seconds (ranges, hatching, pauses),
 *                      and where its words find room */
#ifndef DRAWING_TRACES_PARTS_H
#define DRAWING_TRACES_PARTS_H

#include "drawing/axis.h"
#include "drawing/trace_line.h"
#include "drawing/traces.h"

enum { PANELS = 3 };

struct traces_part {
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

struct traces_figure {
    struct scene *scene;
    const struct traces *traces;
    struct place place;
    struct scale x;
    struct traces_part panels[PANELS];
    struct place *taken; /* [n_taken] by words within panels */
    size_t n_taken;
    size_t capacity;
    struct text keys[PANELS][2]; /* words that found no room: hatched, tinted */
};

/* True if one second of the span at least is shown. */
bool traces_is_seen(const struct traces_figure *figure, int32_t from_s, int32_t to_s);

/* The panel's height over those seconds of the span that are shown. */
struct place traces_span_place(const struct traces_figure *figure, const struct traces_part *panel,
                               int32_t from_s, int32_t to_s);

/* Of what was asked: the tint under the trace, its ends once more over it, its words. */
void traces_draw_targets(struct traces_figure *figure, const struct traces_part *panel);
void traces_edge_targets(struct traces_figure *figure, const struct traces_part *panel);
void traces_label_targets(struct traces_figure *figure, const struct traces_part *panel);

/* Of what is left out: hatching, and its words. */
void traces_draw_masks(struct traces_figure *figure, const struct traces_part *panel);
void traces_label_masks(struct traces_figure *figure, const struct traces_part *panel);

/* The words of pauses, on the first panel there is. */
void traces_label_pauses(struct traces_figure *figure);

#endif
