/* server/answers/session_page.h: a session drawn: its profile on the page, its card as
 * a file to print. */
#ifndef SERVER_ANSWERS_SESSION_PAGE_H
#define SERVER_ANSWERS_SESSION_PAGE_H

#include "base/files.h"
#include "coaching/outlook.h"
#include "drawing/session_card.h"
#include "roster/session_cards.h"

/* Its profile with what it would bring this rider, for a page.
 *   width    points
 *   facts    in force on its day */
MUST_USE bool session_figure(struct arena *arena, double width, const struct session *session,
                             const struct rider_facts *facts, const struct session_outlook *outlook,
                             const struct limits *limits, struct scene *out, struct error *err);

/* As `session card` prints it: a PDF of as many pages as it needs. */
MUST_USE bool session_card_pdf(struct roster *roster, struct arena *arena,
                               const struct rider *rider, const struct rider_session *row,
                               enum card_paper paper, struct card_wanted wanted, struct bytes *out,
                               struct error *err);

#endif
