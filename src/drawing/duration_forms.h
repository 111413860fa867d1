/* drawing/duration_forms.h: mean power of all-out efforts against duration, the forms fitted to
 * them, and critical power.
 *
 *   W
 *   400 |•░                      dots: efforts; lines: forms, the one that decides in ink
 *   300 |  `•░__                 tinted: what forms and likely ranges span, paler beyond the
 * efforts 250 |-------•▒▒▒▒▒- ┃        critical power: a drop at the right, with its likely range
 *       1 min   5 min  20 min    equal steps are equal ratios of time
 *
 * Where nothing could be fitted the efforts stand alone. */
#ifndef DRAWING_DURATION_FORMS_H
#define DRAWING_DURATION_FORMS_H

#include "drawing/scene.h"
#include "physiology/power_duration.h"

enum { DURATION_FORMS_NARROWEST = 210 }; /* points */

struct duration_forms {
    const struct duration_effort *efforts; /* [n] */
    size_t n;
    const struct power_duration *curve;
};

/* Power that a fitted form holds for so many seconds; NAN where it isn't fitted. */
double duration_form_power(const struct duration_fit *fit, enum duration_form form,
                           double duration_s);

/* Draws from x, y (top left) within width as a figure of its own; returns the y below.  Without an
 * effort nothing is drawn: y. */
double duration_forms_draw(struct scene *scene, double x, double y, double width,
                           const struct duration_forms *forms);

#endif
