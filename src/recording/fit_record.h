/* recording/fit_record.h: the record messages of one FIT file as columns.
 *
 * A definition of record messages is turned once into a plan (which bytes go to which column, how
 * they are scaled), and each message then only follows it.  Messages of one plan that follow each
 * other are gathered and followed step by step, so that what a step is needs asking once for many:
 *
 *     message   step 1 power   step 2 heart rate   ...
 *        1          |              |
 *        2          v              v
 *       ...        column         column
 *
 * Columns hold the steps of enum channel;
 * developer fields have columns of their own, because native values win over them. */
#ifndef RECORDING_FIT_RECORD_H
#define RECORDING_FIT_RECORD_H

#include "base/arena.h"
#include "recording/fit_message.h"
#include "recording/recording.h"

enum fit_column {
    FIT_DEVELOPER_POWER = CHANNEL_COUNT,
    FIT_DEVELOPER_HEART_RATE,
    FIT_DEVELOPER_CADENCE,
    FIT_COLUMNS,
    FIT_ZERO_OFFSET, /* no column: a power meter's offset, told in device_info messages */
};

/* What is known of a developer field that counts. */
struct fit_developer_meaning {
    uint8_t index;  /* developer_data_index */
    uint8_t number; /* of the field */
    uint8_t base;   /* enum fit_base */
    uint8_t column; /* enum fit_column */
    double scale;   /* value = raw / scale - offset */
    double offset;
};

/* More than any device writes; a further one is left out. */
#define FIT_MEANINGS   16
#define FIT_PLAN_STEPS 24

struct fit_plan_step {
    uint32_t offset;
    uint8_t kind; /* of fit_record.c */
    uint8_t size;
    uint8_t base;
    uint8_t column;
    bool is_signed;
    uint32_t unknown; /* raw pattern that means nothing */
    int32_t times;    /* step = raw * times + plus */
    int32_t plus;
    int64_t lowest; /* steps below are no values of the channel */
    double scale;   /* of a developer field: step = raw / scale - shift */
    double shift;
};

struct fit_plan {
    uint32_t version;  /* of the definition it was made from; 0 none */
    uint32_t meanings; /* version of the meanings it was made with */
    uint32_t columns;  /* bit set of those it may fill */
    bool one_by_one; /* more than one step counts distance round and round: by message, in order */
    size_t n_steps;
    struct fit_plan_step steps[FIT_PLAN_STEPS];
};

/* Messages gathered at most. */
#define FIT_GATHERED 128

/* FIT_DROPPED: the sample isn't put on the grid.  FIT_NO_TIME: the message gave none. */
enum { FIT_DROPPED = 1, FIT_NO_TIME = 2 };

struct fit_records {
    size_t count;
    bool filling;    /* columns are made: the second walk */
    size_t capacity; /* of the columns */
    uint32_t columns;
    uint32_t *time; /* [count] as the device wrote it */
    uint8_t *flags; /* [count] */
    int32_t *column[FIT_COLUMNS];

    struct fit_developer_meaning meanings[FIT_MEANINGS];
    size_t n_meanings;
    uint32_t meanings_version;
    struct fit_plan plans[FIT_LOCALS];
    /* gathered: the last n_gathered of `count`, all of one plan, not yet in the columns */
    size_t n_gathered;
    const struct fit_plan *gathered_plan;
    bool gathered_big_endian;
    const uint8_t *gathered[FIT_GATHERED]; /* their data */
    /* compressed_speed_distance counts sixteenths of a metre in 12 bits, round and round */
    bool has_distance;
    uint32_t distance_raw;
    uint64_t distance_16ths;
};

/* A first walk calls take with no columns made and gets count and columns; fit_records_make makes
 * the columns, and a second walk fills them; fit_records_end ends it. */
void fit_records_begin(struct fit_records *records);
void fit_records_make(struct arena *arena, struct fit_records *records);
void fit_records_take(struct fit_records *records, const struct fit_message *message);

/* After the last message of the second walk: the columns are whole only then. */
void fit_records_end(struct fit_records *records);

/* A field_description message: kept if the field means power, heart rate or cadence (by its native
 * numbers, else by name and unit) or a zero offset (by name). */
void fit_records_describe(struct fit_records *records, const struct fit_message *message);

/* The zero offset that a developer field of any message tells; false if none does. */
bool fit_records_zero_offset(const struct fit_records *records, const struct fit_message *message,
                             double *value);

#endif
