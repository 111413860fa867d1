/* physiology/protocols.h: tests that a coach's trade knows, recognised in a ride.
 *
 *     60 min            ______________________________________
 *     20 min            __5 min______20 min______________           (or without the hard effort)
 *     2 x 8 min         ______8 min____8 min_______
 *     ramp              ____.-'-.-'-.-'-.-'|___                     1-min steps until failure
 *     3 to 5 efforts    ___12 min______7 min______3 min____
 *     3 min all-out     ____|\.___.......|___
 *
 * A test is told by its shape (a beginning, an end, its own length, nothing else as hard in the
 * ride) and by what shows that it was meant (heart rate, or power against threshold); never by a
 * name.  Intervals, bunch rides and races are the false friends: when in doubt nothing is said.
 * What is recognised is then held against the protocol's own checks; it is valid if all hold, and
 * each that doesn't is a reason.  What can't be checked is a reason too.
 *
 * Nothing here is applied: a coach accepts.  Critical power isn't threshold, and neither is turned
 * into the other. */
#ifndef PHYSIOLOGY_PROTOCOLS_H
#define PHYSIOLOGY_PROTOCOLS_H

#include "physiology/facts.h"
#include "physiology/reps.h"

enum protocol {
    PROTOCOL_HOUR,
    PROTOCOL_TWENTY_AFTER, /* a hard effort */
    PROTOCOL_TWENTY,
    PROTOCOL_TWO_EIGHTS,
    PROTOCOL_RAMP,
    PROTOCOL_MANY,
    PROTOCOL_ALL_OUT,
    PROTOCOL_COUNT
};
/* "60-minute test", "20-minute test", ...: as the protocol of a threshold. */
const char *protocol_name(enum protocol protocol);

enum protocol_gives { GIVES_THRESHOLD, GIVES_CRITICAL_POWER };
enum protocol_gives protocol_gives(enum protocol protocol);

enum { TEST_EFFORTS = 5, TEST_REASONS = 6 };

struct test_effort {
    struct span span;
    double mean_w;
    double heart_end_bpm; /* NAN unknown */
};

/* Why a test isn't valid.  Codes:
 *   halves          the halves differ by `value` %, more than `limit`
 *   second-weaker   the second effort was `value` % of the first, less than `limit`
 *   not-maximal     heart rate ended at `value` % of maximal, below `limit`
 *   no-heart        nothing recorded, or not to be read: nothing shows that it was all-out
 *   no-maximal      maximal heart rate isn't known
 *   uneven          power scattered by `value` %, more than `limit`; of a ramp: r squared `value`
 *   stopped         `value` s of standing
 *   power-missing   `value` % of its power can't be used
 *   not-fitted      its efforts don't tell critical power */
struct test_reason {
    const char *code;
    double value;
    double limit;
};

struct protocol_test {
    enum protocol protocol;
    struct span span; /* from the first effort's start to the last one's end */
    struct test_effort efforts[TEST_EFFORTS];
    size_t n_efforts;
    double mean_w;            /* what the estimate is made of: mean, best minute, end power */
    struct ranged estimate_w; /* with its 90 % interval: the protocol's spread and the meter's
                                 precision, on the same meter; also of an invalid test, NAN where
                                 none is computed */
    double w_prime_kj;        /* PROTOCOL_ALL_OUT and _MANY; NAN otherwise */
    double heart_end_ratio;   /* of maximal; NAN unknown */
    bool valid;
    struct test_reason reasons[TEST_REASONS];
    size_t n_reasons;
};

struct protocol_tests {
    struct protocol_test *items; /* [count] in order of time; spans don't overlap */
    size_t count;
};

/* facts: max_heart_rate_bpm and threshold_w, where known, tell a test from steady riding; with
 * neither only PROTOCOL_ALL_OUT can be told.  Heart rate isn't read with heart medicine or in
 * pregnancy.  None of what is no ride. */
struct protocol_tests protocols_find(struct arena *arena, const struct recording *recording,
                                     const struct rider_facts *facts, const struct limits *limits);

/* The highest median of LIMIT_PEAK_HEART_S clean seconds, and whether power beside it was hard: in
 * the LIMIT_PEAK_HEART_POWER_S before it near threshold or more, or, threshold unknown, near the
 * hardest of the ride.  bpm NAN: no heart rate, no power beside any. */
struct heart_peak {
    double bpm;
    int32_t at_s;
};
struct heart_peak protocols_heart_peak(struct arena *arena, const struct recording *recording,
                                       double threshold_w, const struct limits *limits);

#endif
