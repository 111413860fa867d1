/* coaching/rider_history.h: what a rider's stored rides and notes say, up to a day.
 *
 * Readings about a rider are made from this and nothing else: numbers and verdicts that stand in
 * the roster, never a recording.  All days are days since 1970 in the rider's zone; nothing in it
 * is later than `today`. */
#ifndef COACHING_RIDER_HISTORY_H
#define COACHING_RIDER_HISTORY_H

#include "coaching/reading.h"
#include "physiology/effort.h"

#define PAST_EFFORTS 6 /* as many as effort_durations has */

/* A stored verdict; is_asked false = the question was not put to this ride. */
struct past_reading {
    bool is_asked;
    enum verdict verdict;
    double estimate;
    double low;
    double high;
};

struct past_ride {
    int64_t id;
    int64_t day;
    bool is_ride; /* other sports count for hours and hard days only */
    bool has_power;
    bool is_base_test;        /* asked for, or a steady hour that was judged */
    bool spoiled;             /* the coach says that something spoiled it */
    bool marked;              /* a test or a race */
    int64_t meter;            /* equipment; 0 = not known */
    struct past_reading base; /* estimate: beats of drift */
    struct past_reading easy; /* estimate: % of pedalling above the line */
    struct past_reading hard;
    double hours;
    double work_kj; /* NAN = not known, as the rest */
    double session_rpe;
    double impulse_low;
    double impulse_high;
    double above_threshold_s;
    double effort_0_10;
    bool is_hard_day;
    struct effort efforts[PAST_EFFORTS];
    size_t n_efforts;
};

enum past_off { OFF_ILL, OFF_INJURED, OFF_AWAY, OFF_BREAK, OFF_OTHER };

struct past_span {
    enum past_off kind;
    int64_t from_day;
    int64_t to_day; /* half open; INT64_MAX = still so */
};

/* How somebody was on a day; NAN, 0 = not said. */
struct past_note {
    int64_t day;
    double effort_0_10;
    int legs_1_5;
    int sleep_1_5;
    int stress_1_5;
    int soreness_1_5;
    bool ill;
    bool hot;
    const char *words; /* NULL = none */
};

struct rider_history {
    int64_t today;
    int64_t power_since_day; /* INT64_MIN = not known */
    struct past_ride *rides; /* [n_rides] by day, then as ridden */
    size_t n_rides;
    struct past_span *off; /* [n_off] by from_day */
    size_t n_off;
    struct past_note *notes; /* [n_notes] by day */
    size_t n_notes;
    bool meters_checked; /* those in use were ridden against each other */
};

/* A break: no ride for LIMIT_BREAK_DAYS, or days ill.  The last day of the latest one that touches
 * [from, to], INT64_MIN if there is none.  Days before the first ride on file are none. */
int64_t history_last_break(const struct rider_history *history, int64_t from, int64_t to,
                           const struct limits *limits);

/* True if the rider's first year with a power meter isn't over. */
bool history_is_first_year(const struct rider_history *history);

#endif
