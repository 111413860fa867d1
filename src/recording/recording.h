/* recording/recording.h: what one device wrote of one session.
 *
 *   device samples (raw, in file order, any rhythm)
 *        │  grid_fill       one place a second, second 0 = first record
 *        ▼
 *   value:  100 102  -  -  - 205 207  0  0      int32 in fixed steps, RECORDING_MISSING for none
 *   mask:    .   .   A  A  A  .   .   P  P      why a second can't be used; '.' = usable
 *        │  trust_check     masks what a device got wrong, and says so as findings
 *        ▼
 *   what measures see: recording_series(): double, NAN wherever the mask says no
 *
 * Raw samples stay as the device wrote them, so that counts, means and maxima of a file can be
 * compared with any other decoder; measures read the grid only. */
#ifndef RECORDING_RECORDING_H
#define RECORDING_RECORDING_H

#include "base/arena.h"
#include "base/error.h"
#include "base/files.h"
#include "limits/limits.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define RECORDING_MISSING INT32_MIN

/* The version of reading, grid and trust: raised whenever the same bytes can give another series.
 */
#define RECORDING_METHOD "recording/3"

enum channel {
    CHANNEL_POWER,       /* 1 W */
    CHANNEL_HEART_RATE,  /* 1 bpm; 0 means absent */
    CHANNEL_CADENCE,     /* 1 rpm */
    CHANNEL_SPEED,       /* 1 mm/s */
    CHANNEL_DISTANCE,    /* 1 cm since the start */
    CHANNEL_ALTITUDE,    /* 1 dm */
    CHANNEL_TEMPERATURE, /* 0.1 degrees C */
    CHANNEL_LATITUDE,    /* semicircles: 180 / 2^31 degrees */
    CHANNEL_LONGITUDE,   /* semicircles */
    CHANNEL_BALANCE,     /* 0.1 % of power on the left side */
    CHANNEL_COUNT
};

struct channel_row {
    const char *name; /* with its unit, as in JSON and CSV: "power_w", "heart_rate_bpm", ... */
    double step;      /* one int32 step in the unit of the name */
    int decimals;     /* in JSON */
};
const struct channel_row *channel_row(enum channel channel);

enum mask_reason {
    MASK_NONE,     /* usable */
    MASK_BRIDGED,  /* usable: a short gap filled in a straight line */
    MASK_ABSENT,   /* the device wrote nothing */
    MASK_PAUSED,   /* the timer stood */
    MASK_DROPOUT,  /* the sensor fell out, or wrote 0 while the legs turned */
    MASK_SPIKE,    /* a value no rider made */
    MASK_STUCK,    /* the same value while the ride went on */
    MASK_ARTEFACT, /* not this channel at all: cadence read as heart rate, a jump of the strap */
};
const char *mask_reason_name(enum mask_reason reason);
bool mask_is_usable(uint8_t reason); /* MASK_NONE or MASK_BRIDGED */

enum recording_format { FORMAT_FIT, FORMAT_CSV, FORMAT_GPX, FORMAT_COUNT };
const char *recording_format_name(enum recording_format format); /* "fit", "csv", "gpx" */

enum sport {
    SPORT_UNKNOWN,
    SPORT_CYCLING,
    SPORT_RUNNING,
    SPORT_SWIMMING,
    SPORT_WALKING,
    SPORT_HIKING,
    SPORT_ROWING,
    SPORT_SKIING,
    SPORT_TRANSITION,
    SPORT_DIVING,
    SPORT_TRAINING,
    SPORT_OTHER,
};
const char *sport_name(enum sport sport); /* "cycling", "running", ..., "unknown", "other" */

enum ride_place { PLACE_UNKNOWN, PLACE_INDOORS, PLACE_OUTDOORS };

/* Where a weight in a file comes from: somebody set it in the device once, or a scale sent it. */
enum weight_source { WEIGHT_UNKNOWN, WEIGHT_SET, WEIGHT_WEIGHED };
const char *weight_source_name(enum weight_source source); /* "unknown", "device", "scale" */

/* Half open, in seconds from the first record. */
struct span {
    int32_t from_s;
    int32_t to_s;
};

/* The device's own samples of a session in file order, one row a record message.
 * Column c is NULL when no record of the session carried the channel. */
struct samples {
    size_t count;
    int32_t *time_s;               /* [count] seconds from the first record, as written */
    int32_t *value[CHANNEL_COUNT]; /* [count] each, RECORDING_MISSING where invalid */
    uint8_t *dropped;              /* [count] 1 = not put on the grid (its time ran back) */
};

struct lap {
    int32_t start_s; /* from the first record; may be negative by some seconds */
    int32_t end_s;
    bool by_hand;         /* trigger manual: a button was pressed */
    int32_t workout_step; /* index or -1 */
};

/* A step of the workout that was loaded in the device, as far as it speaks of time and power. */
struct workout_step {
    double duration_s;   /* NAN = until the button, or not by time */
    double target_low_w; /* NAN = none */
    double target_high_w;
    double target_low_pct; /* of threshold; NAN = none */
    double target_high_pct;
    char name[64];
};

struct device {
    char maker[48]; /* "" unknown; a number as text where the name isn't known */
    char product[48];
    uint32_t serial; /* 0 unknown */
    char kind[24];   /* "head-unit", "power", "heart-rate", ... */
};

/* A zero offset that the device recorded. */
struct calibration {
    int32_t at_s;
    int32_t value;
};

enum finding_effect { EFFECT_NOTED, EFFECT_MASKED, EFFECT_SPOILS };
const char *finding_effect_name(enum finding_effect effect);

#define FINDING_NUMBERS 6

struct number {
    const char *name; /* static text: "max_w", "seconds" */
    double value;
};

/* Something a coach must know before trusting the recording.  Its sentence is made from code and
 * numbers in coaching/words; here are facts only. */
struct finding {
    const char *code; /* static text, from the table in docs/measures.md: "power-spike" */
    int channel;      /* enum channel, or -1 for the whole recording */
    bool whole_ride;  /* spans are null */
    struct span span;
    enum finding_effect effect;
    struct number numbers[FINDING_NUMBERS];
    size_t n_numbers;
    const char *detail; /* arena or static text that came with it, already clean; or NULL */
};

struct recording {
    /* where it came from */
    enum recording_format format;
    size_t part; /* 1-based, in file order */
    size_t parts;
    struct device device;   /* what recorded */
    struct device *sensors; /* [n_sensors] */
    size_t n_sensors;

    /* what it is */
    enum sport sport;
    bool is_ride;          /* cycling, or unknown sport with power or cadence */
    enum ride_place place; /* as the file says, by sub-sport; unknown otherwise */
    bool has_start_utc;    /* false: the clock counted from power-on */
    int64_t start_utc;     /* of the first record */
    bool has_utc_offset;
    int32_t utc_offset_s;

    struct samples samples;

    /* the grid: n_seconds = last record - first record + 1 */
    size_t n_seconds;
    int32_t *value[CHANNEL_COUNT]; /* [n_seconds] each; NULL if the channel never came */
    uint8_t *mask[CHANNEL_COUNT];  /* [n_seconds] each, enum mask_reason */
    uint8_t *paused;               /* [n_seconds] 1 while the timer stood */
    struct span *pauses;           /* [n_pauses] from a timer stop to the next start, in order;
                                      empty where it lies before or after all records */
    size_t n_pauses;
    struct span after_timer; /* stopped for good, but the device wrote on: masked as paused, no
                                pause, since nothing followed; mostly empty */
    int32_t timer_s;         /* seconds of the grid that aren't paused */

    /* what the device said besides; NAN where it said nothing */
    double device_timer_s;
    double device_elapsed_s;
    double device_work_kj;
    double device_distance_m;
    double device_mean_power_w;
    double device_threshold_w; /* the threshold set in the device: shown, never used */
    double effort_0_10;        /* the rider's own rating after the ride */
    double feel_0_100;
    double weight_kg; /* of whoever the device was set to; may be years old: proposed, never used */
    enum weight_source weight_source;
    struct lap *laps; /* [n_laps] lap messages of the session */
    size_t n_laps;
    struct workout_step *steps; /* [n_steps] */
    size_t n_steps;
    struct calibration *calibrations;
    size_t n_calibrations;
    uint16_t *pulse_ms; /* [n_pulse] intervals between heart beats */
    size_t n_pulse;

    struct finding *findings; /* [n_findings], in the order found */
    size_t n_findings;
    size_t findings_capacity;
};

/* What one file gave: recordings in file order. */
struct recordings {
    struct recording **items;
    size_t count;
    const char *damage; /* NULL, or one line for stderr: "cut off after 2,113 records ..." */
};

/* A column of a table that somebody named: its meaning (enum channel, or CSV_TIME and CSV_DATE of
 * recording/csv_names.h) and its header. */
struct read_column {
    int meaning;
    const char *name;
};

struct read_options {
    const char *file;                  /* for messages */
    const char *packing_damage;        /* what is wrong with the gzip or zip around it, or NULL */
    const struct read_column *columns; /* [n_columns] used by tables only */
    size_t n_columns;
};

/* The table of formats: told from content, never from the name.  A new format is a new row. */
struct format_row {
    const char *name;
    bool (*probe)(struct bytes bytes);
    bool (*read)(struct arena *arena, struct bytes bytes, const struct read_options *options,
                 const struct limits *limits, struct recordings *out, struct error *err);
};
extern const struct format_row recording_formats[];
extern const size_t n_recording_formats;

/* Reads a file's bytes (already gunzipped) to recordings with grid and stage-1 trust done.
 * False with ERROR_INPUT or ERROR_TOO_LARGE when no recording can be had from it. */
MUST_USE bool recording_read(struct arena *arena, struct bytes bytes,
                             const struct read_options *options, const struct limits *limits,
                             struct recordings *out, struct error *err);

/* A recording of which nothing is known yet: empty, and each figure of the device NAN. */
struct recording recording_unknown(void);

/* Adds a finding and returns it to be filled further; code is static text. */
struct finding *recording_add_finding(struct arena *arena, struct recording *recording,
                                      const char *code, int channel, enum finding_effect effect);
void finding_add_number(struct finding *finding, const char *name, double value);

/* The number of that name in numbers[n]; NAN if there is none. */
double numbers_find(const struct number numbers[], size_t n, const char *name);
double finding_value(const struct finding *finding, const char *name);

/* The first finding with that code; NULL if there is none. */
const struct finding *recording_finding(const struct recording *recording, const char *code);

/* The grid of a channel as doubles in the unit of its name, [n_seconds], NAN where it is masked,
 * paused or missing.  NULL if the channel never came. */
double *recording_series(struct arena *arena, const struct recording *recording,
                         enum channel channel);

/* Usable seconds of the channel over the seconds of the grid that aren't paused; 0..1; NAN if
 * there is no such second. */
double recording_coverage(const struct recording *recording, enum channel channel);

/* The device's own valid values of a channel: plain count, mean, maximum (heart rate 0 is absent;
 * 0 W and 0 rpm count), in the unit of the channel's name; count 0 gives NAN. */
struct channel_summary {
    size_t samples;
    double mean;
    double max;
    double coverage;
};
struct channel_summary recording_summary(const struct recording *recording, enum channel channel);

/* Work in kJ, distance in m from the series; NAN without the channel. */
double recording_work_kj(const struct recording *recording);
double recording_distance_m(const struct recording *recording);

#endif
