/* server/answers/session_page.c: the card of a session, drawn with the fonts of the thread. */
#include "server/answers/session_page.h"

#include "drawing/paint.h"
#include "roster/readings.h"
#include "roster/session_cards.h"
#include "server/answers/gauges.h"

bool session_card_pdf(struct roster *roster, struct arena *arena, const struct rider *rider,
                      const struct rider_session *row, enum card_paper paper, bool no_power,
                      struct bytes *out, struct error *err)
{
    struct limits limits;
    struct card_made made;
    struct card_pages pages = { 0 };
    struct fonts *fonts = NULL;
    if (!gauges_fonts(arena, &fonts, err) ||
        !readings_limits(roster_db(roster), arena, rider->id, &limits, err) ||
        !session_cards_make(roster, arena, rider, row, no_power, &limits, &made, err)) {
        return false;
    }
    session_card_draw(arena, fonts, &made.card, made.max_heart_bpm, &limits, paper, &pages);
    return paint_pages(arena, pages.pages, pages.n, out, err);
}
