/* drawing/traces.h: the two traces: power above, heart rate under it, one shared time axis.
 *
 *   power, W
 *   300 |    ┌─┐    ┌─┐  106-120 %       ink; from 0; target ranges tinted, with their words
 *     0 |────┘ └────┘ └───
 *   heart rate, beats/min
 *   160 |    -- -   -- - ///////         ochre, dashed; what was expected as a pale band;
 *   120 |- -      -      ///////         what is left out is hatched over its own seconds
 *            └1┘    └2┘                  spans that are evidence, numbered as in the text
 *       0 min   10 min  20 min           time since the first record; broken where the ride paused
 *
 * Never two scales on one panel.  Heart rate is never shown without the power beside it: where
 * none was recorded, a line says so.
 *
 * Power is drawn by trace_line: no spike is lost.  Where a pixel holds more than two or three
 * seconds such a line fills to a black ribbon that hides how the ride went; then the ribbon
 * is pale and the mean of each point's width runs through it in ink.  Heart rate is drawn as the
 * mean of each point's width: dashes over a line that runs to and fro fill their own gaps, and
 * heart rate doesn't jump. */
#ifndef DRAWING_TRACES_H
#define DRAWING_TRACES_H

#include "drawing/scene.h"

enum traces_panel { TRACES_POWER, TRACES_HEART, TRACES_THIRD };
enum traces_third {
    TRACES_NONE,
    TRACES_CADENCE,
    TRACES_TEMPERATURE,
    TRACES_ALTITUDE,
    TRACES_AGAINST_USUAL, /* measured less expected heart rate; a line at 0 */
    TRACES_LEFT,          /* W' left; a line at 0 */
};

/* Seconds from_s..to_s, half open, from the first record; what lies outside is not drawn. */
struct traces_span {
    int32_t from_s;
    int32_t to_s;
    const char *words; /* of a bracket its number in the text; of a pause what it is; or NULL */
};

struct traces_mask {
    enum traces_panel panel;
    int32_t from_s;
    int32_t to_s;
    const char *words; /* what it is: "strap lost contact" */
};

/* A range that was asked for, in the unit of its panel; NAN = open on that side. */
struct traces_target {
    enum traces_panel panel;
    int32_t from_s;
    int32_t to_s;
    double low;
    double high;
    const char *words; /* "106-120 % of threshold"; may be NULL */
};

/* Zero is no panel, no span, the whole ride. */
struct traces {
    size_t n_seconds;
    const double *power_w;   /* [n_seconds], NAN = unknown; NULL = not recorded */
    const double *heart_bpm; /* the same */
    const double *expected_low_bpm;
    const double *expected_high_bpm; /* [n_seconds] each; NULL = nothing expected */
    enum traces_third third_kind;
    const double *third;     /* rpm, degrees C, m, beats or kJ */
    const double *third_low; /* [n_seconds] each: a band under its line; NULL = none */
    const double *third_high;
    bool without_heart; /* the figure isn't about heart rate: nothing is said where there is none */
    double least[3]; /* of each panel: what its scale holds at least, so that two figures can be */
    double most[3];  /* compared; both 0 = whatever its own values need */
    const struct traces_target *targets;
    size_t n_targets;
    const struct traces_span *brackets;
    size_t n_brackets;
    const struct traces_mask *masks; /* values under a mask are not drawn, and don't set a scale */
    size_t n_masks;
    const struct traces_span *pauses; /* nothing is drawn in a pause, on no panel */
    size_t n_pauses;
    int32_t from_s; /* what to show; both 0 = all */
    int32_t to_s;
    const char *label; /* a sentence for who can't see it; NULL = a plain one */
};

/* Draws within place; what words find no room beside their span follow under it, in lines of
 * their own.  Returns the y below all of it.  place.width >= 150, place.height >= 120. */
double traces_draw(struct scene *scene, const struct place *place, const struct traces *traces);

#endif
