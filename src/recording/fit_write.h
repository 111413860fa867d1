/* recording/fit_write.h: a FIT activity file from samples.
 *
 * Writes what any decoder of the open protocol accepts: 14-byte header with CRC, file_id,
 * device_info, timer events, records, laps, one session, one activity, file CRC. */
#ifndef RECORDING_FIT_WRITE_H
#define RECORDING_FIT_WRITE_H

#include "recording/recording.h"

struct fit_event {
    int32_t at_s;
    bool starts; /* timer start, else stop_all */
};

/* What to write.  Zero is a sensible default everywhere but in start_utc and samples. */
struct fit_activity {
    int64_t start_utc; /* of second 0; after 1989-12-31 */
    bool has_utc_offset;
    int32_t utc_offset_s;
    enum sport sport; /* SPORT_UNKNOWN is written as generic */
    enum place place; /* indoors is written as sub-sport indoor_cycling */
    bool big_endian;
    bool compressed_timestamps; /* records carry 5-bit time offsets where they can */
    bool old_header;            /* 12 bytes, no header CRC */
    uint16_t maker;             /* FIT manufacturer number; 0 becomes 255 (development) */
    uint16_t product;
    uint32_t serial;
    struct samples samples;         /* times ascending; missing values written as invalid */
    const struct fit_event *events; /* [n_events]; none: start at first, stop at last record */
    size_t n_events;
    const struct lap *laps; /* [n_laps]; none: one lap over all */
    size_t n_laps;
    bool power_as_developer_field; /* power goes to a developer field, native power invalid */
    double effort_0_10;            /* written when > 0 */
};

/* The file's bytes in the arena.  False (ERROR_USAGE) for no samples or times that run back. */
MUST_USE bool fit_write(struct arena *arena, const struct fit_activity *activity, struct bytes *out,
                        struct error *err);

#endif
