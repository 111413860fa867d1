/* recording/fit_write.h: a FIT activity file from samples.
 *
 * Writes what any decoder of the open protocol accepts, in the order in which devices write it:
 * header with CRC, file_id, developer field descriptions if any, device_info (what recorded, then
 * its sensors), the rider's weight if any, then timer events, records and laps by time, one
 * session, one activity, file CRC.
 *
 * Records carry only the channels that samples has a column for.  Values are rounded to what the
 * protocol's fields hold: temperature to 1 degree, altitude to 0.2 m, balance to 1 % (written as
 * the right side's share), the rest as they are; what doesn't fit (heart rate and cadence above
 * 254, power above 65534) is written as invalid.
 *
 * Lap and session hold sums over the records that they span: work is each record's power times the
 * seconds to the next record, at most limit bridge_other_s; distance is last minus first; means
 * are plain, without heart rate 0. */
#ifndef RECORDING_FIT_WRITE_H
#define RECORDING_FIT_WRITE_H

#include "recording/recording.h"

struct fit_event {
    int32_t at_s;
    bool starts; /* timer start, else stop_all */
};

enum fit_sensor_type { FIT_SENSOR_POWER, FIT_SENSOR_TRAINER, FIT_SENSOR_HEART_RATE };

/* A sensor that was connected. */
struct fit_sensor {
    enum fit_sensor_type type;
    uint16_t maker; /* as fit_activity's */
    uint16_t product;
    uint32_t serial;
    bool has_zero_offset; /* set at the start of the ride, and to what */
    int32_t zero_offset;
};

/* What to write.  Zero is a sensible default everywhere but in start_utc and samples. */
struct fit_activity {
    int64_t start_utc; /* of second 0; after 1989-12-31 */
    bool has_utc_offset;
    int32_t utc_offset_s;
    enum sport sport;      /* SPORT_UNKNOWN is written as generic, SPORT_OTHER as golf */
    enum ride_place place; /* as sub-sport: cycling indoors is indoor_cycling, outdoors road;
                         none for an unknown sport */
    bool big_endian;
    bool compressed_timestamps; /* records carry 5-bit time offsets where they can */
    bool old_header;            /* 12 bytes, no header CRC */
    uint16_t maker;             /* FIT manufacturer number; 0 becomes 255 (development) */
    uint16_t product;
    uint32_t serial;
    const struct fit_sensor *sensors; /* [n_sensors] */
    size_t n_sensors;
    struct samples samples;         /* times ascending; dropped ones are left out, dropped may be
                                       NULL; missing values are written as invalid */
    const struct fit_event *events; /* [n_events] ascending; none: start at the first record, stop
                                       at the last */
    size_t n_events;
    const struct lap *laps; /* [n_laps]; none: one lap over all */
    size_t n_laps;
    bool power_as_developer_field; /* power goes to a developer field, native power invalid */
    double effort_0_10;            /* written when > 0 */
    double weight_kg;              /* as set in the device, to 0.1 kg; written when > 0 */
    double weighed_kg;             /* by a scale at the start, to 0.01 kg; written when > 0 */
};

/* The file's bytes in the arena.  False (ERROR_USAGE) for no samples, for samples or events whose
 * times run back, and for times that the protocol's fields can't hold (before 1989-12-31, after
 * 2126, more than 49 days in all). */
MUST_USE bool fit_write(struct arena *arena, const struct fit_activity *activity, struct bytes *out,
                        struct error *err);

#endif
