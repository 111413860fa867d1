/* drawing/session_card.h: a card (coaching/session_card) as pages of paper.
 *
 * A6 for the pocket, A5 for the wall.  Light: no ground is painted, only tints, lines and letters.
 * What doesn't fit goes on to the next page, whole parts where they can be, and each says which of
 * how many it is; letters are never made smaller (LETTERS_LEAST), nothing is cut off. */
#ifndef DRAWING_SESSION_CARD_H
#define DRAWING_SESSION_CARD_H

#include "coaching/session_card.h"
#include "drawing/scene.h"

enum card_paper { CARD_A6, CARD_A5, CARD_PAPERS };

/* "a6", "a5"; false if it is neither. */
bool card_paper_find(const char *name, enum card_paper *out);

/* Points from the edge of the paper to the words. */
double card_paper_margin(enum card_paper paper);

struct card_pages {
    struct scene *pages;
    size_t n;
};

/* Adds a card's pages; scenes live in the arena, fonts must outlive them.
 *   max_heart_bpm   NAN = not known */
void session_card_draw(struct arena *arena, struct fonts *fonts, const struct session_card *card,
                       double max_heart_bpm, const struct limits *limits, enum card_paper paper,
                       struct card_pages *pages);

#endif
