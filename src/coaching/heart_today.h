/* coaching/heart_today.h: was heart rate as usual on a ride?
 *
 *     rides before it ──fit──> response ──┐
 *     this ride's sums ───────────────────┴─> beats against usual, held against how days spread
 *     the ride before it, if it was near ──── two rides running are judged by their mean too
 *
 * The response is one that was fitted to rides of earlier days only: a day is never judged by
 * itself.  What it may say: unusual, higher or lower, and what to ask; never what it is.  Usual
 * isn't well: most of what ails a rider moves heart rate less than days do. */
#ifndef COACHING_HEART_TODAY_H
#define COACHING_HEART_TODAY_H

#include "coaching/reading.h"

/* The ride before it that could be held against usual, no more than LIMIT_TODAY_PAIR_DAYS back. */
struct heart_before {
    int64_t ride; /* 0 = none */
    int64_t day;
    double bpm; /* against its own usual */
};

struct heart_today {
    bool is_withheld; /* medicine that alters heart rate, or pregnancy: nothing is read */
    bool is_trusted;
    enum response_unfit unfit;
    const struct response_ride *ride; /* NULL unless it fits and is trusted */
    const struct heart_response *response;
    struct heart_before before;
    const struct finding *doubts; /* [n_doubts] what the response itself shows of the recording
                                     (physiology/doubt); already masked in `ride` */
    size_t n_doubts;
    struct span seconds; /* of the ride, after the response settled */
};

/*   day   NULL = not wanted; else the ride alone: USUAL_UNKNOWN where it can't be told */
struct reading heart_today_read(struct arena *arena, const struct heart_today *today,
                                const struct limits *limits, struct response_day *day);

#endif
