/* coaching/usual_effort.h: does the rider find work harder than usual?
 *
 * The rider's own effort (0-10) of the last LIMIT_HOW_DAYS against the efforts that the same rider
 * gave for like rides of the LIMIT_HOW_RIDES_DAYS before: like in length, in work an hour and in
 * minutes above threshold.  Session-RPE is effort x minutes, so between rides of one length and
 * work it compares what the effort does (Foster et al. 2001, J Strength Cond Res 15:109).
 *
 *     difference = mean over k recent rides of (effort - mean effort of its n like rides)
 *     likely range = difference -+ t s sqrt(1/k + mean of 1/n)
 *
 * with s pooled within the like rides and drawn towards LIMIT_HOW_EFFORT_SD as if four rides had
 * shown that.  Like rides shared between recent ones are counted once by taking the mean, so the
 * range is rather wide than narrow.  Common practice, no source; false alarms are tried by the
 * test. */
#ifndef COACHING_USUAL_EFFORT_H
#define COACHING_USUAL_EFFORT_H

#include "coaching/rider_history.h"

struct usual_effort {
    bool is_known;     /* LIMIT_HOW_RIDES recent rides with LIMIT_HOW_LIKE_RIDES like ones each */
    size_t n_said;     /* recent rides with an effort */
    size_t n_compared; /* of those, with enough like ones */
    size_t n_like;     /* like rides of a compared one, on average */
    double more;       /* points; NAN unless known, as the next three */
    double low;        /* 90 % interval */
    double high;
    double mean;       /* effort of the compared rides; mean - more = the usual */
    int64_t last_ride; /* the newest compared; 0 none */
};

struct usual_effort usual_effort_of(const struct rider_history *history,
                                    const struct limits *limits);

#endif
