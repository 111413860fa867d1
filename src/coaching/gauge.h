/* coaching/gauge.h: a verdict as a place on a scale.
 *
 *          passed <│> not passed       the limit hangs over the scale like a plumb line,
 *        [====o===]│                   the estimate is a drop, the bar its likely range
 *     +----+----+--V-+----+
 *
 * What stands on a gauge is decided here, for terminal, page and paper alike; who draws it decides
 * only how. */
#ifndef COACHING_GAUGE_H
#define COACHING_GAUGE_H

#include "coaching/reading.h"

/* The four answers that a verdict comes down to, each with a mark of its own. */
enum verdict_answer { ANSWER_YES, ANSWER_NO, ANSWER_ON_THE_LINE, ANSWER_CANNOT_TELL };
enum verdict_answer verdict_answer(enum verdict verdict);
const char *verdict_answer_name(enum verdict_answer answer); /* "yes", "no", "on the line", ... */

struct gauge {
    double limits[2];     /* ascending */
    size_t n_limits;      /* 1, or 2 where the limit is a range */
    const char *sides[3]; /* [n_limits + 1] what each side is called, from left to right */
    double estimate;      /* NAN = unknown */
    double low;           /* likely range; NAN = none */
    double high;
    enum verdict_answer answer;
    const char *unit; /* short, after the scale's last number: "beats", "%" */
    const char *what; /* what the scale counts, with its unit; NULL = the unit says enough */
    const char *bar;  /* what the bar is; NULL without a bar */
    bool from_zero;   /* a count or a share: the scale begins at 0, or below */
};

/* The gauge of a reading; false if its verdict is no place on a scale (trust, a comeback, what is
 * only described, work of several kinds) or its limit isn't known.
 *   base, base state    the drift (of the last test) against its line
 *   easy work           the share of pedalling above, between the lines of easy and of hard; where
 *                       short hard efforts decided, their minutes against what is allowed
 *   hard work           what decided: the mean of the reps in question, the third that left the
 *                       target range, or the minutes ridden of those asked
 *   progress, stalled   the change of bests against none, or the gain that would be progress
 *   easy weeks          the share of easy rides that were too hard
 *   how                 effort against the usual, unless something else decided
 *   load                a week's hours against the line of a jump
 *   today               beats against usual, between the lines of unusual */
bool reading_gauge(struct arena *arena, const struct reading *reading, struct gauge *out);

/* The gauge in words, for who can't see it: "6 beats, likely 4 to 8. Line: 10 (passed, not
 * passed)." */
char *gauge_in_words(struct arena *arena, const struct gauge *gauge);

/* A scale on round steps (1, 2 or 5 times a power of ten), at most `most` >= 2 of them. */
struct gauge_scale {
    double from;
    double step;
    int steps;
};

/* Holds the limits and the estimate, and the likely range as long as that doesn't crush them: an
 * end that lies further off than the rest of the scale is wide stays outside. Every limit must be
 * finite. */
struct gauge_scale gauge_scale_choose(const struct gauge *gauge, int most);

/* The last value on the scale. */
double gauge_scale_to(const struct gauge_scale *scale);

#endif
