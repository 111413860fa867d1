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

/* Points: the measure of a page, and a row of a list. */
enum { GAUGE_WIDE = 390, GAUGE_NARROW = 280 };

struct gauges {
    struct figure_maker maker;
    struct reading_more more; /* heading, lead, answer, gauge, gauge_words */
};

/* ERROR_NOT_FOUND when the fonts aren't there.  *out must not move afterwards. */
MUST_USE bool gauges_begin(struct arena *arena, double width, struct gauges *out,
                           struct error *err);

/* "gauge" and "gauge_words" of a reading, or null; reading NULL = there is none. */
void gauge_json(struct json *json, const struct gauges *gauges, const struct reading *reading);

/* "answer": the mark of a verdict. */
void answer_json(struct json *json, enum verdict verdict);

#endif
