/* coaching/rider_history.h: what a rider's stored rides and notes say, up to a day.
 *
 * Readings about a rider are made from this and nothing else: numbers and verdicts that stand in
 * the roster, never a recording.  All days are days since 1970 in the rider's zone; nothing in it
 * is later than `today`. */
#ifndef COACHING_RIDER_HISTORY_H
#define COACHING_RIDER_HISTORY_H

#include "coaching/reading.h"
#include "physiology/effort.h"
#include "physiology/load.h"
#include "physiology/meter_link.h"

/* Readings against the weeks before look no further back than so many days, whatever the limits
 * (the longest are progress, twice 182 days, and how, 365 and 28): but for base tests, marked tests
 * and the days of rides, older rides need not be loaded. */
enum { HISTORY_DAYS = 400 };

/* A stored verdict; is_asked false = the question was not put to this ride. */
struct past_reading {
    bool is_asked;
    enum verdict verdict;
    double estimate;
    double low;
    double high;
    const char *text; /* its sentence(s); NULL = not at hand */
};

/* What stood at the top of a ride (coaching/cautions), added. */
enum past_caution { CAUTION_HEART_LEAP = 1, CAUTION_HEART_ABOVE_MAX = 2 };

struct past_ride {
    int64_t id;
    int64_t day;
    bool is_ride; /* other sports count for hours and hard days only */
    bool has_power;
    bool is_base_test; /* asked for, or a steady hour that was judged */
    bool spoiled;      /* the coach says that something spoiled it */
    bool marked;       /* a test or a race */
    bool race;         /* of these: a race */
    bool hilly;        /* the easy ride was said to be hilly */
    bool is_hard_day;
    unsigned cautions;  /* enum past_caution */
    int64_t meter;      /* equipment; 0 = not known */
    double zero_offset; /* in force on it, in its own counts; NAN = not known */
    struct past_reading trust;
    struct past_reading base; /* estimate: beats of drift */
    struct past_reading easy; /* estimate: % of pedalling above the line */
    struct past_reading hard; /* of the whole ride */
    /* Heart rate against usual.  Estimate: beats; the mean of two rides where these decided. */
    struct past_reading today;
    double against_bpm; /* of this ride alone; NAN = not known, as the next */
    double day_sd_bpm;  /* how days spread with this rider, by the rides before it */
    double day_bpm;     /* against usual by history's heart, fitted without this ride; NAN = not
                           known, as the next two */
    double felt_w;      /* mean power of those seconds */
    double temperature_c;
    double hours;
    double work_kj; /* NAN = not known, as the rest */
    double zone_s[ZONES_MOST];
    double heart_zone_s[HEART_ZONES];
    double session_rpe;
    double impulse_low;
    double impulse_high;
    double above_threshold_s;
    double effort_0_10;
    struct effort efforts[EFFORT_DURATIONS];
    size_t n_efforts;
};

/* A ride of that day of which nothing else is known: every number NAN but 0 hours. */
struct past_ride past_ride_begin(int64_t id, int64_t day);

enum past_off { OFF_ILL, OFF_INJURED, OFF_AWAY, OFF_BREAK, OFF_OTHER };

struct past_span {
    enum past_off kind;
    int64_t from_day;
    int64_t to_day; /* half open; INT64_MAX = still so */
};

/* How somebody was on a day; NAN, 0 = not said. */
struct past_note {
    int64_t id; /* later notes have greater ones; so have rides */
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

/* A threshold as it was entered. */
struct past_threshold {
    int64_t day;
    double power_w;
};

/* The newest response of the rider's heart to power (physiology/heart_response), by all rides of
 * its window. */
struct past_heart {
    double threshold_w;
    double gain_bpm_per_w;
    double rest_bpm;
    double day_sd_bpm; /* how days spread */
    bool is_known;
};

struct drift_repeat; /* coaching/drift_repeat.h */

struct rider_history {
    int64_t today;
    struct past_heart heart;
    int64_t power_since_day; /* INT64_MIN = not known, as below */
    int64_t threshold_day;   /* of the threshold in force; its test, not when it was entered */
    struct past_ride *rides; /* [n_rides] by day, then as ridden */
    size_t n_rides;
    struct past_span *off; /* [n_off] by from_day */
    size_t n_off;
    struct past_note *notes; /* [n_notes] by day */
    size_t n_notes;
    struct past_threshold *thresholds; /* [n_thresholds] by day, then as entered */
    size_t n_thresholds;
    struct meter_link *links; /* [n_links] meters that were ridden against each other, by age */
    size_t n_links;
    const struct drift_repeat *repeat; /* how base tests repeat in the roster; NULL = assumed */
};

/* A break: no ride for LIMIT_BREAK_DAYS, or days ill.  The last day of the latest one that touches
 * [from, to], INT64_MIN if there is none.  Days before the first ride on file are none. */
int64_t history_last_break(const struct rider_history *history, int64_t from, int64_t to,
                           const struct limits *limits);

/* The place of the first ride on that day or later; n_rides if there is none.  Readings look at
 * weeks of what may be years. */
size_t history_ride_from(const struct rider_history *history, int64_t day);

/* A day in a break: no ride on it, and none for LIMIT_BREAK_DAYS days about it.  The days from the
 * last ride to `today` count; days before the first ride on file are none. */
bool history_is_gap(const struct rider_history *history, int64_t day, const struct limits *limits);

/* The span of that kind or kinds (bits: 1 << OFF_ILL, ...) that holds the day; NULL if none does.
 */
const struct past_span *history_off_on(const struct rider_history *history, int64_t day,
                                       unsigned kinds);

/* Said to be ill: by a span, or by a note of that day. */
bool history_is_ill(const struct rider_history *history, int64_t day);

/* Hours ridden, of any sport, in [from, to). */
double history_hours(const struct rider_history *history, int64_t from, int64_t to);

/* True if the rider's first year with a power meter isn't over. */
bool history_is_first_year(const struct rider_history *history);

#endif
