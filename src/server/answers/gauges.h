/* server/answers/gauges.h: what the page gets beside a reading: heading, mark, gauge.
 *
 *     struct gauges gauges;
 *     gauges_begin(arena, GAUGE_WIDE, &gauges, err)
 *     reading_json_add_with(&json, reading, &gauges.more);
 *
 * Words are measured with fonts, which are for one thread at a time: each thread that answers has
 * its own, opened when first needed and closed when it ends. */
#ifndef SERVER_ANSWERS_GAUGES_H
#define SERVER_ANSWERS_GAUGES_H

#include "coaching/ride_json.h"
#include "drawing/rider_figures.h"

/* Points: under a sentence, and in a row of a list.  The page draws a point as 1.5 px, and shrinks
 * what is wider than a telephone (328 px): from these the letters are still to be read there. */
enum { GAUGE_WIDE = 250, GAUGE_NARROW = 230 };

struct gauges {
    struct figure_maker maker;
    struct reading_more more; /* heading, lead, answer, gauge, gauge_words */
};

/* The fonts of the thread that asks, which closes them; ERROR_NOT_FOUND when they aren't there. */
MUST_USE bool gauges_fonts(struct arena *arena, struct fonts **out, struct error *err);

/* ERROR_NOT_FOUND when the fonts aren't there.  *out must not move afterwards. */
MUST_USE bool gauges_begin(struct arena *arena, double width, struct gauges *out,
                           struct error *err);

/* "gauge" and "gauge_words" of a reading, or null; reading NULL = there is none. */
void gauge_json(struct json *json, const struct gauges *gauges, const struct reading *reading);

/* "answer": the mark of a verdict. */
void answer_json(struct json *json, enum verdict verdict);

#endif
