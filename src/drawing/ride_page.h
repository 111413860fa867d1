/* drawing/ride_page.h: the reading of one ride, as one page.
 *
 * Sentences first, one figure that proves the sentence, the doubt beside it.  In this order: what
 * the recording is; cautions; what may be trusted; each question that this ride answers, with its
 * gauge and its evidence; then the questions that it doesn't answer, in a sentence each; time in
 * zones and bests.  The two traces stand once, with the first question that has evidence in them.
 *
 * A page is calm because it leaves out what the terminal has: reasons that the sentence or the rows
 * of reps already say, findings that changed nothing, bests of neighbouring seconds. */
#ifndef DRAWING_RIDE_PAGE_H
#define DRAWING_RIDE_PAGE_H

#include "coaching/reading.h"
#include "coaching/ride_json.h"
#include "drawing/scene.h"

struct ride_page {
    const struct ride_source *source;
    const struct recording *recording;
    const struct rider_facts *facts;
    const struct ride_readings *readings;
};

/* The page as a scene as wide as A4, and as high as it needs, at least A4's height.  It lives in
 * the arena; fonts must outlive it. */
struct scene ride_page_draw(struct arena *arena, struct fonts *fonts, const struct ride_page *page);

#endif
