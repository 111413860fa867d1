/* roster/handover.h: a rider on one page: what was ridden, what is known, what can't be told.
 *
 *     months     hours, rides, kJ, share of riding with power, hard days
 *     seasons    bests of each calendar year for the usual durations, W/kg where a weight is known
 *     gaps       days without any activity, LIMIT_GAP_DAYS or more
 *     tests      thresholds on file and tests recognised, in order
 *     open       what can't be told, and why
 *
 * Other sports count for hours and hard days, never for bests.  What makes a day hard the ride's
 * stored reading says (coaching/ride_load), and a valid test does. */
#ifndef ROSTER_HANDOVER_H
#define ROSTER_HANDOVER_H

#include "roster/scan.h"

struct handover_month {
    char month[8]; /* "2026-03" */
    double hours;
    size_t rides;
    double other_hours; /* of other sports, in `hours` too */
    double work_kj;     /* NAN without power */
    double power_ratio; /* riding hours with power over riding hours; NAN without rides */
    size_t hard_days;
    bool hard_days_unknown; /* some day could not be judged: there may be more */
};

struct handover_best {
    int32_t duration_s;
    double power_w;
    double w_per_kg; /* NAN without a weight in force */
    const char *day;
    int64_t ride;
    bool at_least;
};

enum { HANDOVER_BESTS = 7 };

struct handover_season {
    char year[5];
    struct handover_best bests[HANDOVER_BESTS];
    size_t n_bests;
};

/* A stretch without activity: first and last day, both without. */
struct handover_gap {
    const char *from_day;
    const char *last_day;
    int64_t days;
    bool goes_on; /* up to today */
};

/* A threshold on file, or a test that was recognised. */
struct handover_test {
    const char *day;
    const struct fact *threshold;     /* NULL = a test that isn't on file */
    const struct protocol_test *test; /* NULL = on file, and none recognised that day */
    int64_t ride;                     /* of the test; 0 = none */
};

/* What can't be told.  Codes: no-rides, no-threshold, threshold-from (day), no-weight, weight-from
 * (day), no-max-heart-rate, max-at-least, no-power (n of all rides), no-heart-rate (n of all),
 * undated (n), meters (n in use), no-tests. */
struct handover_open {
    const char *code;
    size_t n;
    size_t of;
    const char *day;
};

enum { HANDOVER_OPEN_MOST = 12 };

struct handover {
    size_t n_rides;
    const char *first_day;
    const char *last_day;
    struct handover_month
        *months; /* [n_months] from the first ride's to the last's, none left out */
    size_t n_months;
    struct handover_season *seasons; /* [n_seasons] with bests */
    size_t n_seasons;
    struct handover_gap *gaps;
    size_t n_gaps;
    struct handover_test *tests;
    size_t n_tests;
    struct handover_open open[HANDOVER_OPEN_MOST];
    size_t n_open;
};

MUST_USE bool handover_make(struct arena *arena, const struct scan_call *call, struct handover *out,
                            struct error *err);

#endif
