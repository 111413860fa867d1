/* roster/recordings.h: what riders sent, kept.
 *
 *     bytes of a file ──> original      as they came, compressed: a better reader can read again
 *        │ recording_read
 *        ▼
 *     recording ──> recordings_pack ──> one row, a packed blob a channel, findings, laps, bests
 *        │                                 recordings_store, in one transaction
 *        ▼
 *     readings  (roster/readings)
 *
 *     recordings_load     the grid and its masks as they were stored
 *     recordings_reread   the whole recording again, from the bytes of the original
 *
 * Packing is pure and may run on any thread; storing is one writer's. */
#ifndef ROSTER_RECORDINGS_H
#define ROSTER_RECORDINGS_H

#include "recording/recording.h"
#include "roster/best_grid.h"
#include "roster/roster.h"

/* ---- originals ---- */

struct packed_original {
    uint8_t sha256[32]; /* of the bytes as they were read, out of any gzip or zip */
    const char *name;   /* as the file, or the file in the zip, was called */
    size_t size;
    const char *packing; /* "none" or "zlib" */
    struct bytes content;
    const char *columns; /* of a table, as somebody named them; NULL = as its headers say */
};

/* Columns as they are kept, a line "power=NAME" each, and back; NULL for none of them. */
const char *recordings_write_columns(struct arena *arena, const struct read_column columns[],
                                     size_t n);
MUST_USE bool recordings_read_columns(struct arena *arena, const char *text,
                                      struct read_options *options, struct error *err);

/* name: clean text; sha256 [32]: of the bytes, NULL = not worked out yet; the bytes must stay where
 * packing them gains nothing. */
void recordings_pack_original(struct arena *arena, const char *name, struct bytes bytes,
                              const uint8_t *sha256, struct packed_original *out);

/* Stores it unless these bytes are there already; *id either way. */
MUST_USE bool recordings_store_original(struct db *db, struct arena *arena,
                                        const struct packed_original *original, int64_t now_utc_s,
                                        int64_t *id, struct error *err);

/* The bytes of original `id`, checked against their SHA-256. */
MUST_USE bool recordings_original(struct db *db, struct arena *arena, int64_t id,
                                  struct bytes *bytes, struct error *err);

/* ---- recordings ---- */

/* A row of the list. */
struct ride_row {
    int64_t id;
    int64_t rider;
    int64_t original;
    size_t part;
    size_t parts;
    int64_t same_as;   /* 0 = this is the one that counts */
    bool same_by_hand; /* the coach said so */
    const char *format;
    const char *method;
    const char *sport;
    bool is_ride;
    const char *place; /* "unknown", "indoors", "outdoors" */
    bool has_start_utc;
    int64_t start_utc_s;
    bool has_utc_offset;
    int32_t utc_offset_s;
    const char *local_day; /* NULL = its clock didn't know */
    size_t n_seconds;
    int32_t timer_s;
    double work_kj; /* NAN without power, as distance_m without its channel */
    double distance_m;
    const char *device_maker; /* NULL = unknown */
    const char *device_product;
    int64_t device_serial; /* 0 = unknown */
    double effort_0_10;    /* NAN = not given */
    double feel_0_100;
    double weight_kg;        /* as the file says, NAN = it doesn't */
    const char *weight_from; /* "device", "scale"; NULL = unknown */
    const char *name;        /* of the original, as the two that follow */
    const char *columns;     /* as recordings_write_columns has them */
    uint8_t sha256[32];
};

#define PACKED_CHANNELS (CHANNEL_COUNT + 2)

struct packed_channel {
    const char *name;
    struct bytes content;
    struct bytes mask; /* at NULL = all usable */
};

/* Everything to be stored of one recording, in one arena, needing nothing of the recording. */
struct packed_recording {
    struct ride_row row; /* no id, rider, original, same_as yet */
    struct packed_channel channels[PACKED_CHANNELS];
    size_t n_channels;
    struct finding *findings;
    size_t n_findings;
    struct lap *laps;
    size_t n_laps;
    struct device *sensors;
    size_t n_sensors;
    bool has_zero_offset; /* the last that the device recorded: of its power meter */
    int32_t zero_offset;
    struct best_curve curve;
    double power_coverage; /* 0 without power */
};

/* local_day: of its start in the rider's zone; NULL = not known.  False (ERROR_INPUT) for power no
 * rider makes. */
MUST_USE bool recordings_pack(struct arena *arena, const struct recording *recording,
                              const char *local_day, struct packed_recording *out,
                              struct error *err);

/* The same without the curve of bests, which is empty. */
void recordings_pack_grid(struct arena *arena, const struct recording *recording,
                          const char *local_day, struct packed_recording *out);

/* Stores it for the rider, inside db_write; *id.  The bests of its month are not touched. */
MUST_USE bool recordings_store(struct db *db, struct arena *arena, int64_t rider, int64_t original,
                               const struct packed_recording *packed, int64_t *id,
                               struct error *err);

/* True in *same if the store holds just what is packed, but for the curve of bests. */
MUST_USE bool recordings_are_stored(struct db *db, struct arena *arena, int64_t id,
                                    const struct packed_recording *packed, bool *same,
                                    struct error *err);

/* Puts it, whole, in the place of what recording `id` held, inside db_write.  Whose it is, and what
 * it is the same ride as, stay; the bests of its month are not touched. */
MUST_USE bool recordings_replace(struct db *db, struct arena *arena, int64_t id,
                                 const struct packed_recording *packed, struct error *err);

/* The recording as stored: grid, masks, pauses, laps, findings, sensors, the row's figures.  What
 * only the device's own samples and workout say is empty: recordings_reread has it. */
MUST_USE bool recordings_load(struct db *db, struct arena *arena, int64_t id, struct recording *out,
                              struct error *err);

/* The same with power, heart rate and where the timer stood alone: for looking at many. */
MUST_USE bool recordings_load_effort(struct db *db, struct arena *arena, const struct ride_row *row,
                                     struct recording *out, struct error *err);

/* The whole recording again, from its original's bytes; `file` is the name for messages. */
MUST_USE bool recordings_reread(struct db *db, struct arena *arena, const struct ride_row *row,
                                const struct limits *limits, struct recording **out,
                                struct error *err);

/* ---- lists ---- */

MUST_USE bool recordings_row(struct db *db, struct arena *arena, int64_t id, struct ride_row *out,
                             struct error *err);

struct ride_query {
    int64_t rider;
    const char *from_day; /* NULL = from the first */
    const char *to_day;   /* the first day that no longer counts; NULL = to the last */
    bool with_same;       /* also what is another recording of the same ride */
    bool with_undated;    /* also what has no day, whatever is asked for */
};

/* By start; those without one last. */
MUST_USE bool recordings_list(struct db *db, struct arena *arena, const struct ride_query *query,
                              struct ride_row **out, size_t *count, struct error *err);

/* Whether a word that may also be a rider's name or a file's path is one for recordings_find. */
bool recordings_names_one(const char *word);

/* By the id that every list prints, or RIDER@2026-03-14 (its only ride of the day), or
 * RIDER@2026-03-14/2 (its second).  ERROR_NOT_FOUND, ERROR_CONFLICT when it has several. */
MUST_USE bool recordings_find(struct roster *roster, struct arena *arena, const char *word,
                              struct ride_row *out, struct error *err);

/* The local day of an instant: by the recording's own offset, else the rider's zone, else the
 * roster's, else UTC.  NULL where the recording has no start. */
MUST_USE bool recordings_day(struct db *db, struct arena *arena, int64_t rider,
                             const struct recording *recording, const char **out,
                             struct error *err);

#endif
