/* server/answers/session_page.c: a session drawn with the fonts of the thread. */
#include "server/answers/session_page.h"

#include "coaching/words/card_words.h"
#include "drawing/paint.h"
#include "drawing/session_profile.h"
#include "roster/readings.h"
#include "roster/session_cards.h"
#include "server/answers/gauges.h"

bool session_figure(struct arena *arena, double width, const struct session *session,
                    const struct rider_facts *facts, const struct session_outlook *outlook,
                    const struct limits *limits, struct scene *out, struct error *err)
{
    struct gauges gauges;
    const struct expected *expected = &outlook->expected;
    struct session_profile profile = { .session = session,
                                       .limits = limits,
                                       .zones = facts->zones.count == 0 ? NULL : &facts->zones,
                                       .threshold_w = facts->threshold_w,
                                       .max_heart_bpm = facts->max_heart_rate_bpm,
                                       .by_power = true,
                                       .heart_bpm = expected->heart_bpm,
                                       .heart_low_bpm = expected->heart_low_bpm,
                                       .heart_high_bpm = expected->heart_high_bpm,
                                       .n = expected->n };
    if (!gauges_begin(arena, width, &gauges, err)) {
        return false;
    }
    session_profile_add_left(&profile, outlook);
    *out = session_profile_figure(&gauges.maker, card_profile_label(arena, session), &profile);
    return true;
}

bool session_card_pdf(struct roster *roster, struct arena *arena, const struct rider *rider,
                      const struct rider_session *row, enum card_paper paper,
                      struct card_wanted wanted, struct bytes *out, struct error *err)
{
    struct limits limits;
    struct card_made made;
    struct card_pages pages = { 0 };
    struct fonts *fonts = NULL;
    if (!gauges_fonts(arena, &fonts, err) ||
        !readings_limits(roster_db(roster), arena, rider->id, &limits, err) ||
        !session_cards_make(roster, arena, rider, row, wanted, &limits, &made, err)) {
        return false;
    }
    session_card_draw(arena, fonts, &made.card, made.max_heart_bpm, &limits, paper, &pages);
    return paint_pages(arena, pages.pages, pages.n, out, err);
}
