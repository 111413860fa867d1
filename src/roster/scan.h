/* roster/scan.h: all rides of a rider looked at once, for pages about months and years.
 *
 *     rides that count ──> power and heart rate as stored ──> peak of heart rate ──> tests
 *                          recognised, with the maximal heart rate of then
 *
 * Nothing is written.  Dated after today: not looked at. */
#ifndef ROSTER_SCAN_H
#define ROSTER_SCAN_H

#include "physiology/protocols.h"
#include "roster/facts.h"
#include "roster/recordings.h"

enum scan_hard { SCAN_NOT_HARD, SCAN_HARD_UNKNOWN, SCAN_HARD };

struct scanned_ride {
    struct ride_row row;
    int64_t days;             /* of its local day, since 1970 */
    double heart_peak_bpm;    /* behind hard riding; NAN none */
    double heart_highest_bpm; /* of all clean seconds */
    double threshold_w;       /* in force that day; NAN none */
    enum scan_hard hard;      /* as its stored reading says */
    double best_20_min_w;     /* NAN: shorter, or without power; masked seconds count as 0 */
    double watts_a_beat;      /* mean power over mean heart rate above LIMIT_OTHERS_REST_BPM, where
                                 both are known and power isn't 0; NAN: too little of it */
    bool is_declined;         /* no ground for a maximal heart rate: declined, or not to be read */
    bool is_spoiled;          /* the coach says so: then its tests have the reason "spoiled" */
    struct protocol_tests tests;
};

struct scan {
    struct scanned_ride *rides; /* [count] of those that count: cycling or other, by start */
    size_t count;
    struct ride_row *others; /* [n_others] same_as, without a day, or dated after today */
    size_t n_others;
    struct fact *thresholds; /* [n_thresholds] up to today, the newest first, as those below */
    size_t n_thresholds;
    struct fact *maxima;
    size_t n_maxima;
    struct fact *weights;
    size_t n_weights;
};

struct scan_call {
    struct roster *roster;
    const struct rider *rider;
    const char *today;
    const struct limits *limits;
    void (*tell)(void *context, size_t done, size_t all); /* NULL = nobody listens */
    void *context;
};

MUST_USE bool scan_rides(struct arena *arena, const struct scan_call *call, struct scan *out,
                         struct error *err);

/* The highest peak of heart rate of LIMIT_PEAK_HEART_DAYS up to a day, of which ride, and whether a
 * second ride comes near it; ride = count: none. */
struct scan_peak {
    size_t ride;
    double bpm;
    bool is_seen_twice;
};
void scan_peak_on(const struct scan *scan, int64_t days, const struct limits *limits,
                  struct scan_peak *out);

/* The fact in force on a day; NULL if there is none. */
const struct fact *scan_fact_on(const struct fact facts[], size_t n, const char *day);

#endif
