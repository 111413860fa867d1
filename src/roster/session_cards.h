/* roster/session_cards.h: the card of a rider's session, by what is on file on its day.
 *
 * What it foretells is the session's outlook (roster/session_outlook), the same that the page and
 * the command line tell.  Where no power meter is in use any more that day, the session is ridden
 * without power. */
#ifndef ROSTER_SESSION_CARDS_H
#define ROSTER_SESSION_CARDS_H

#include "coaching/session_card.h"
#include "roster/sessions.h"

struct card_made {
    struct session_card card;
    double max_heart_bpm; /* on its day; NAN = not known */
};

struct card_wanted {
    bool no_power; /* whatever is on file, there is none on that day */
    bool is_past;  /* its day is over, or it was ridden */
};

MUST_USE bool session_cards_make(struct roster *roster, struct arena *arena,
                                 const struct rider *rider, const struct rider_session *row,
                                 struct card_wanted wanted, const struct limits *limits,
                                 struct card_made *out, struct error *err);

#endif
