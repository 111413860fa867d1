/* roster/readings.h: what the program said of a recording, and what that rests on.
 *
 * A reading's basis is a hash over the bytes it was read from, the versions of method and reading,
 * the limits in force, and those facts of the rider that its question reads.  A stored reading is
 * out of date if, and only if, the hash of today's facts differs: nothing else is compared. */
#ifndef ROSTER_READINGS_H
#define ROSTER_READINGS_H

#include "coaching/reading.h"
#include "coaching/rider_history.h"
#include "roster/db.h"
#include "roster/ride_sums.h"

#define BASIS_BYTES 32

/* Which bytes a reading was made of. */
struct reading_source {
    uint8_t sha256[32]; /* of the original */
    size_t part;
};

/* SHA-256 over all that an answer to the question rests on. */
void readings_basis(enum question question, const struct reading_source *source,
                    const struct rider_facts *facts, const struct limits *limits,
                    uint8_t out[BASIS_BYTES]);

/* A reading as it is stored, needing nothing of the ride_readings it came from. */
struct packed_reading {
    const char *question;
    const char *verdict;
    int set;
    int rep;
    double estimate;
    double low;
    double high;
    const char *unit;
    double limit_value;
    const char *method;
    uint8_t basis[BASIS_BYTES];
    const char *content; /* JSON */
};

struct packed_readings {
    struct packed_reading *items;
    size_t count;
    struct ride_load load;
    const char *zones; /* JSON: [["endurance", 1800], ...] */
    const char *heart_zones;
    struct effort efforts[EFFORT_DURATIONS];
    size_t n_efforts;
    unsigned cautions; /* enum past_caution, added */
    bool is_hilly;     /* the easy ride was said to be hilly */
    struct packed_sums heart;
};

struct packed_readings readings_pack(struct arena *arena, const struct ride_readings *readings,
                                     const struct reading_source *source,
                                     const struct rider_facts *facts, const struct limits *limits);

/* Puts them in the place of the recording's earlier ones, inside db_write, and asks for rides from
 * that day on to be held against usual again.
 *   day  local day of the recording; NULL = not known */
MUST_USE bool readings_store(struct db *db, int64_t rider, int64_t recording, const char *day,
                             const struct packed_readings *readings, int64_t now_utc_s,
                             struct error *err);

/* One reading in the place of its earlier one, inside db_write. */
MUST_USE bool readings_put(struct db *db, int64_t rider, int64_t recording, const char *day,
                           const struct packed_reading *reading, int64_t now_utc_s,
                           struct error *err);

/* The verdict of the whole ride on a question, as stored. */
struct stored_reading {
    const char *verdict; /* NULL = the question was not asked of it */
    bool is_current;     /* false = out of date by these facts */
};
MUST_USE bool readings_find(struct db *db, struct arena *arena, int64_t recording,
                            const struct reading_source *source, const struct rider_facts *facts,
                            const struct limits *limits, struct stored_reading out[RIDE_QUESTIONS],
                            struct error *err);

/* All of it, as JSON (reading_json_add wrote it); NULL = the question was not asked of it. */
MUST_USE bool readings_content(struct db *db, struct arena *arena, int64_t recording,
                               enum question question, const char **out, struct error *err);

/* True if everything stored of the recording rests on these facts; false too if nothing is. */
MUST_USE bool readings_are_current(struct db *db, struct arena *arena, int64_t recording,
                                   const struct reading_source *source,
                                   const struct rider_facts *facts, const struct limits *limits,
                                   bool *are_current, struct error *err);

/* What all readings of this program rest on, whatever the ride: versions of methods and of reading,
 * and the limits as they are shipped; as hexadecimal digits. */
#define READINGS_VERSION_SIZE 65
void readings_version(char out[READINGS_VERSION_SIZE]);

/* Moves what was said of a recording to another day, inside db_write. */
MUST_USE bool readings_move(struct db *db, int64_t recording, const char *day, struct error *err);

/* The limits in force for a rider: the defaults, the roster's changes, the rider's on top. */
MUST_USE bool readings_limits(struct db *db, struct arena *arena, int64_t rider, struct limits *out,
                              struct error *err);

#endif
