/* roster/facts.h: dated facts of a rider, and what was true on a day.
 *
 *     threshold   240 W          255 W
 *                 |──────────────|───────────────────>
 *                 2026-01-10     2026-03-14             a fact holds until the next one
 *
 * A reading of a ride uses the facts of its day, never later ones. */
#ifndef ROSTER_FACTS_H
#define ROSTER_FACTS_H

#include "physiology/facts.h"
#include "roster/changes.h"
#include "roster/riders.h"

enum fact_kind {
    FACT_WEIGHT,
    FACT_THRESHOLD,
    FACT_MAX_HEART_RATE,
    FACT_REST_HEART_RATE,
    FACT_KINDS
};

struct fact_row {
    const char *name;    /* "threshold": also the command's */
    const char *subject; /* "Threshold", as a sentence begins */
    const char *unit;    /* "W" */
    double lowest;       /* what is taken, both ends included; common practice, no source */
    double highest;
    int decimals;
};
const struct fact_row *fact_row(enum fact_kind kind);

struct fact {
    int64_t id;
    int64_t version;
    const char *day; /* from which it holds */
    double value;
    double low; /* threshold: 90 % interval, NAN = not known */
    double high;
    bool at_least;        /* maximal heart rate: seen, but perhaps not the maximum */
    const char *protocol; /* how it is known: "20-minute test"; NULL = "given"; none for weight */
    const char *who;      /* threshold, maximal heart rate; NULL = not said */
    const char *note;
    int64_t meter; /* threshold: the power meter (equipment) it was measured with; 0 = none */
    const char *meter_name; /* of a list: "pedals (serial 41877)"; NULL = none */
    int64_t recording; /* set: threshold, maximal heart rate: the ride it was seen in; 0 = none, or
                          as it was */
    const char *said;  /* facts_set fills it: the change in words */
};

/* Sets a fact from its day on; the fact of that same day (and meter), if there is one, is edited.
 * fills id and version.  ERROR_USAGE: no such day, a value out of range, an interval that doesn't
 * hold the value. */
MUST_USE bool facts_set(struct roster *roster, struct arena *arena, struct roster_now now,
                        const struct rider *rider, enum fact_kind kind, struct fact *fact,
                        struct error *err);

/* The same within a db_write of several, as a part of that change. */
MUST_USE bool facts_put(struct change *change, const struct rider *rider, enum fact_kind kind,
                        struct fact *fact, struct error *err);

/* Takes the fact of that day away; ERROR_NOT_FOUND if there is none.
 *   meter  which of several thresholds; 0 = the only one, else ERROR_CONFLICT */
MUST_USE bool facts_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                           const struct rider *rider, enum fact_kind kind, const char *day,
                           int64_t meter, struct error *err);

/* The same by its number: fact->id, at fact->version (0 = whatever it is); said gets the change in
 * words.  ERROR_NOT_FOUND, ERROR_CONFLICT. */
MUST_USE bool facts_take_away(struct roster *roster, struct arena *arena, struct roster_now now,
                              const struct rider *rider, enum fact_kind kind, struct fact *fact,
                              struct error *err);

/* A power meter of the rider, or a shared one, by serial, number, or the start of its name.
 * ERROR_NOT_FOUND, or ERROR_CONFLICT when several are meant. */
MUST_USE bool facts_find_meter(struct roster *roster, struct arena *arena,
                               const struct rider *rider, const char *word, int64_t *out,
                               struct error *err);

/* The newest first.  until: nothing dated later; NULL = all. */
MUST_USE bool facts_list(struct roster *roster, struct arena *arena, int64_t rider,
                         enum fact_kind kind, const char *until, struct fact **out, size_t *count,
                         struct error *err);

/* What was true of the rider on that day, for reading_make: facts in force, the zone table in
 * force, age, flags, screening, days off for illness, the notes of the day, and the equipment where
 * there is no doubt which it was.  What isn't known stays as facts_unknown() has it; a maximal
 * heart rate that is only "at least" is used, since it is the best known. */
MUST_USE bool facts_on(struct roster *roster, struct arena *arena, int64_t rider, const char *day,
                       struct rider_facts *out, struct error *err);

/* What is known of the rider when a session of that day is begun: as facts_on, but without the
 * thresholds and maximal heart rates that were seen in a ride of that day itself, so that a session
 * that was ridden is foretold by what was known before it. */
MUST_USE bool facts_for_session(struct roster *roster, struct arena *arena, int64_t rider,
                                const char *day, struct rider_facts *out, struct error *err);

/* One ride, for what is true of it alone. */
struct ride_facts {
    int64_t rider;
    const char *day;   /* local; NULL = its clock didn't know, and then no dated fact holds */
    int64_t recording; /* 0 = not stored yet, and then its sensors are given */
    const struct device *sensors;
    size_t n_sensors;
};

/* facts_on the ride's day, with the notes of this ride on top of the day's, the equipment by the
 * serials that it was recorded with, and the threshold of its own power meter where that is known
 * (else the newest, put on the scale of the ride's meter by roster/meter_scale, and
 * threshold_known_by says so).  What is true of a ride is
 * the same before it is stored and after, but for what was asked of it (roster/asked), which is
 * said of stored rides. */
MUST_USE bool facts_of_ride(struct roster *roster, struct arena *arena,
                            const struct ride_facts *ride, struct rider_facts *out,
                            struct error *err);

/* The same inside db_read or db_write. */
MUST_USE bool facts_of_ride_in(struct db *db, struct arena *arena, const struct ride_facts *ride,
                               struct rider_facts *out, struct error *err);

/* Its threshold alone, NAN = not known; inside db_read or db_write. */
MUST_USE bool facts_threshold_of_ride_in(struct db *db, struct arena *arena,
                                         const struct ride_facts *ride, double *threshold_w,
                                         struct error *err);

#endif
