/* recording/fit_part.h: everything that is used of one FIT file.
 *
 * A chain of FIT files in one stream has one part a file; nothing is carried from one to the next.
 * Each thing read keeps how many records came before it (`seq`), because a clock that was set can
 * make its time say nothing. */
#ifndef RECORDING_FIT_PART_H
#define RECORDING_FIT_PART_H

#include "recording/fit_message.h"
#include "recording/fit_record.h"

/* What a file may still ask for; a part takes from it.  See fit_read.c for the sums. */
struct fit_budget {
    size_t records;
    size_t seconds; /* of grids */
    size_t recordings;
    size_t items; /* laps, events and the like, each under 128 bytes */
    size_t pulses;
};

/* -1 and false: the file doesn't say. */
struct fit_session {
    bool has_start;
    uint32_t start;
    bool has_end; /* the message's own time */
    uint32_t end;
    int64_t elapsed_ms;
    int64_t timer_ms;
    int64_t sport;
    int64_t sub_sport;
    int64_t distance_cm;
    int64_t work_j;
    int64_t mean_power_w;
    int64_t threshold_w;
    int64_t rpe_tenths;
    int64_t feel;
};

struct fit_lap {
    bool has_start;
    uint32_t start;
    bool has_end;
    uint32_t end;
    int64_t elapsed_ms;
    bool by_hand;
    int32_t workout_step;
    uint32_t seq;
    /* once ranges are known: its ends in device time and the range that it belongs to */
    int64_t from;
    int64_t to;
    size_t owner;
};

struct fit_timer {
    uint32_t time;
    bool starts;
    uint32_t seq;
};

struct fit_zero_offset {
    uint32_t time;
    int32_t value;
    uint32_t seq;
    size_t owner; /* the range that it belongs to, once ranges are known */
};

#define FIT_SENSORS 64

struct fit_part {
    bool has_type;
    int64_t type; /* of the file */
    struct device device;
    struct fit_records records;

    struct fit_session *sessions; /* [n_sessions] as the file has them */
    size_t n_sessions;
    struct fit_lap *laps;
    size_t n_laps;
    struct fit_timer *timers;
    size_t n_timers;
    struct fit_zero_offset *zero_offsets;
    size_t n_zero_offsets;
    struct workout_step *steps;
    size_t n_steps;
    struct device *sensors;
    int64_t sensor_index[FIT_SENSORS];
    size_t n_sensors;
    uint16_t *pulse_ms;
    uint32_t *pulse_seq;
    size_t n_pulse;

    bool is_finished; /* the message that closes a file came after its last record */
    bool has_utc_offset;
    int32_t utc_offset_s;
    int64_t sport; /* of a sport message, else of a lap; -1 */
    int64_t sub_sport;
    int64_t threshold_w;   /* as set in the device; -1 */
    int64_t weight_hg;     /* of whoever the device was set to, 0.1 kg; -1 */
    int64_t weighed_dag;   /* by a scale, 0.01 kg; -1 */
    uint32_t weighed_time; /* of that */
    bool records_absolute; /* the first record's time is a date */
    size_t session_capacity;
    size_t lap_capacity;
    size_t timer_capacity;
    size_t zero_capacity;
    size_t step_capacity;
};

/* Where a part's messages stand, as fit_walk_begin takes it. */
struct fit_extent {
    const uint8_t *bytes;
    size_t at;
    size_t end;
    size_t trusted_end;
    int64_t widest_step;
};

/* Walks the part twice: counting, then filling columns of the right size.  walk tells afterwards
 * where and why it ended.  False when the budget has no room for the part's records. */
bool fit_part_read(struct arena *arena, struct fit_walk *walk, const struct fit_extent *extent,
                   struct fit_budget *budget, struct fit_part *part);

#endif
