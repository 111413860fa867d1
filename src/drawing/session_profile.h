/* drawing/session_profile.h: a session drawn over time.
 *
 *   W            ┌── 4 times ──┐        repeats are bracketed
 *   300       ▁▁ ┌─┐ ┌─┐ ┌─┐ ┌─┐        a block a step, tinted by its zone, with the zone's number;
 *   200      │  │5│ │5│ │5│ │5│         its top is a band: the range, between two lines
 *   100   2  │ 1│ │1│ │1│ │1│ │ 1
 *          0 min    20 min    40 min
 *   160  expected heart rate, in a panel of its own, with the band of usual days
 *    15  for the coach: what is left of W', with its likely range
 *
 * In W where the threshold (or every range) is known in W; else in effort of 10, by
 * coaching/session_feel.  What is all-out goes to the top; what has no range is hatched; what ends
 * with the button has no length, and stands as a dashed line. */
#ifndef DRAWING_SESSION_PROFILE_H
#define DRAWING_SESSION_PROFILE_H

#include "coaching/session_card.h"
#include "drawing/figure_maker.h"

struct session_profile {
    const struct session *session;
    const struct limits *limits;
    const struct zones *zones; /* NULL = no numbers */
    double threshold_w;        /* NAN = not known */
    double max_heart_bpm;      /* NAN = not known */
    bool by_power;             /* false = in effort, whatever is known */
    /* [n] by the second from its start; NULL = no panel */
    const double *heart_bpm;
    const double *heart_low_bpm;
    const double *heart_high_bpm;
    size_t n;
    const struct w_balance *left; /* of W', by the same seconds; NULL = no panel */
};

/* Of a card: without W', whose numbers are the coach's. */
struct session_profile session_profile_of(const struct session_card *card, double max_heart_bpm,
                                          const struct limits *limits);

/* The panel of W' beside what it has, where W' is told and anything of it is spent. */
void session_profile_add_left(struct session_profile *profile,
                              const struct session_outlook *outlook);

/* Draws from x, y (top left) within width as a figure of its own; letters are `size` points high.
 * Returns the y below. */
double session_profile_draw(struct scene *scene, double x, double y, double width, double size,
                            const struct session_profile *profile);

/* Alone, with its table. */
struct scene session_profile_figure(const struct figure_maker *maker, const char *title,
                                    const struct session_profile *profile);

#endif
