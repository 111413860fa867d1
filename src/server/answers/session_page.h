/* server/answers/session_page.h: a session's card as a file to print. */
#ifndef SERVER_ANSWERS_SESSION_PAGE_H
#define SERVER_ANSWERS_SESSION_PAGE_H

#include "base/files.h"
#include "drawing/session_card.h"
#include "roster/sessions.h"

/* As `session card` prints it: a PDF of as many pages as it needs.
 *   no_power   whatever is on file, there is no power meter on that day */
MUST_USE bool session_card_pdf(struct roster *roster, struct arena *arena,
                               const struct rider *rider, const struct rider_session *row,
                               enum card_paper paper, bool no_power, struct bytes *out,
                               struct error *err);

#endif
