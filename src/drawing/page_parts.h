/* drawing/page_parts.h: what pages are made of: headings, verdicts, gauges, notes.  For the pages
 * of this room alone.
 *
 *   Is the base built?                          heading, with a hairline over it
 *   ◆ To confirm: the base test of ...          the verdict's mark hangs in the margin
 *       [gauge]
 *      | Because ...                            notes, small, with a hairline at the left
 */
#ifndef DRAWING_PAGE_PARTS_H
#define DRAWING_PAGE_PARTS_H

#include "coaching/reading.h"
#include "drawing/scene.h"

/* Points. */
enum {
    PAGE_WIDTH = 595, /* A4 */
    PAGE_HEIGHT = 842,
    PAGE_MARGIN = 52,
    PAGE_MEASURE = 400, /* at most 70 letters a line of sentences */
    PAGE_HANG = 16,     /* a mark hangs in the margin of its sentence */
    PAGE_BODY = 11,     /* sizes of letters */
    PAGE_SMALL = 9,
};

struct page_hand {
    struct scene *scene;
    double y;            /* where the next part begins */
    bool bar_words_said; /* what a gauge's bar is, said under the first */
};

void page_heading(struct page_hand *hand, const char *words);

/* The title, and under it small lines (may hold '\n'). */
void page_title(struct page_hand *hand, const char *title, const char *under);

/* The mark, the verdict in strong letters, and the rest of the reading's own sentences. */
void page_verdict(struct page_hand *hand, const struct reading *reading);

/* The gauge of a reading, if it has one. */
void page_gauge(struct page_hand *hand, const struct reading *reading);

/* The causes' sentences in a row, without those that `said` holds or the page shows elsewhere; NULL
 * if none is left. */
const char *page_reasons(struct arena *arena, const struct causes *causes, const char *said);

/* A label and words each; those without words are left out. */
struct page_note {
    const char *label;
    const char *words;
};
void page_notes(struct page_hand *hand, const struct page_note notes[], size_t n);

/* Because, can't tell, to settle it. */
void page_reading_notes(struct page_hand *hand, const struct reading *reading);

#endif
