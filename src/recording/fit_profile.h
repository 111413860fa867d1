/* recording/fit_profile.h: the numbers of the open FIT protocol that are used here.
 *
 * Messages and their fields, kinds of file, sports and sensors.  Numbers are the protocol's own
 * (its public profile); what isn't listed is skipped by the reader.  Numbers were compared with
 * several public decoders of the protocol. */
#ifndef RECORDING_FIT_PROFILE_H
#define RECORDING_FIT_PROFILE_H

#include "recording/recording.h"

#include <stdint.h>

/* Seconds from 1970-01-01 to the protocol's epoch, 1989-12-31T00:00:00Z.
 * Source: protocol cookbook, date-time page (check SD-04). */
#define FIT_EPOCH_UTC_S INT64_C(631065600)

/* Time stamps below this count from when the device was switched on (same source). */
#define FIT_POWER_ON_BELOW UINT32_C(0x10000000)

enum fit_message_number {
    FIT_FILE_ID = 0,
    FIT_USER_PROFILE = 3,
    FIT_ZONES_TARGET = 7,
    FIT_SPORT = 12,
    FIT_SESSION = 18,
    FIT_LAP = 19,
    FIT_RECORD = 20,
    FIT_EVENT = 21,
    FIT_DEVICE_INFO = 23,
    FIT_WORKOUT_STEP = 27,
    FIT_WEIGHT_SCALE = 30,
    FIT_ACTIVITY = 34,
    FIT_HRV = 78,
    FIT_FIELD_DESCRIPTION = 206,
    FIT_DEVELOPER_DATA_ID = 207,
    FIT_MAKERS_OWN = 0xFF00, /* from here on a maker's own messages */
};

/* Of any message. */
enum { FIT_TIMESTAMP = 253, FIT_MESSAGE_INDEX = 254 };

enum {
    FIT_FILE_ID_TYPE = 0,
    FIT_FILE_ID_MAKER = 1,
    FIT_FILE_ID_PRODUCT = 2,
    FIT_FILE_ID_SERIAL = 3,
    FIT_FILE_ID_PRODUCT_NAME = 8,
    FIT_FILE_TYPE_ACTIVITY = 4,
};

enum { FIT_USER_PROFILE_WEIGHT = 4 }; /* 0.1 kg */
enum {
    FIT_WEIGHT_SCALE_WEIGHT = 0,       /* 0.01 kg */
    FIT_WEIGHT_SCALE_NOT_YET = 0xFFFE, /* the scale was still at it */
};
enum { FIT_ZONES_TARGET_THRESHOLD_POWER = 3 };
enum { FIT_SPORT_SPORT = 0, FIT_SPORT_SUB_SPORT = 1 };

enum {
    FIT_SESSION_START_TIME = 2,
    FIT_SESSION_SPORT = 5,
    FIT_SESSION_SUB_SPORT = 6,
    FIT_SESSION_ELAPSED = 7,  /* ms */
    FIT_SESSION_TIMER = 8,    /* ms */
    FIT_SESSION_DISTANCE = 9, /* cm */
    FIT_SESSION_MEAN_POWER = 20,
    FIT_SESSION_THRESHOLD_POWER = 45,
    FIT_SESSION_WORK = 48,  /* J */
    FIT_SESSION_FEEL = 192, /* 0..100 */
    FIT_SESSION_RPE = 193,  /* ten times the rating of 0..10 */
};

enum {
    FIT_LAP_START_TIME = 2,
    FIT_LAP_ELAPSED = 7, /* ms */
    FIT_LAP_TRIGGER = 24,
    FIT_LAP_SPORT = 25,
    FIT_LAP_SUB_SPORT = 39,
    FIT_LAP_WORKOUT_STEP = 71,
    FIT_LAP_BY_HAND = 0,
};

enum {
    FIT_RECORD_LATITUDE = 0,
    FIT_RECORD_LONGITUDE = 1,
    FIT_RECORD_ALTITUDE = 2,
    FIT_RECORD_HEART_RATE = 3,
    FIT_RECORD_CADENCE = 4,
    FIT_RECORD_DISTANCE = 5,
    FIT_RECORD_SPEED = 6,
    FIT_RECORD_POWER = 7,
    FIT_RECORD_COMPRESSED_SPEED_DISTANCE = 8,
    FIT_RECORD_TEMPERATURE = 13,
    FIT_RECORD_BALANCE = 30,
    FIT_RECORD_CADENCE256 = 52,
    FIT_RECORD_ENHANCED_SPEED = 73,
    FIT_RECORD_ENHANCED_ALTITUDE = 78,
};

enum {
    FIT_EVENT_EVENT = 0,
    FIT_EVENT_TYPE = 1,
    FIT_EVENT_DATA16 = 2,
    FIT_EVENT_DATA = 3,
    FIT_EVENT_TIMER = 0,
    FIT_EVENT_CALIBRATION = 36,
    FIT_EVENT_START = 0,
    FIT_EVENT_STOP = 1,
    FIT_EVENT_STOP_ALL = 4,
    FIT_EVENT_STOP_DISABLE = 8,
    FIT_EVENT_STOP_DISABLE_ALL = 9,
};

enum {
    FIT_DEVICE_INDEX = 0, /* 0 is what recorded */
    FIT_DEVICE_TYPE = 1,
    FIT_DEVICE_MAKER = 2,
    FIT_DEVICE_SERIAL = 3,
    FIT_DEVICE_PRODUCT = 4,
    FIT_DEVICE_SOURCE = 25,
    FIT_DEVICE_PRODUCT_NAME = 27,
    FIT_SOURCE_BLUETOOTH_LOW_ENERGY = 3,
    FIT_SOURCE_LOCAL = 5,
};

enum {
    FIT_STEP_NAME = 0,
    FIT_STEP_DURATION_TYPE = 1,
    FIT_STEP_DURATION = 2, /* ms, when the type is time */
    FIT_STEP_TARGET_TYPE = 3,
    FIT_STEP_TARGET = 4, /* 0 = a custom range follows, else a zone */
    FIT_STEP_TARGET_LOW = 5,
    FIT_STEP_TARGET_HIGH = 6,
    FIT_STEP_BY_TIME = 0,
    /* Power targets: % of threshold up to 1000, above it watts + 1000. */
    FIT_STEP_POWER_WATTS_FROM = 1000,
};
bool fit_step_target_is_power(int64_t target_type);

enum { FIT_ACTIVITY_LOCAL_TIMESTAMP = 5 };
enum { FIT_HRV_TIME = 0 }; /* array of ms */

enum {
    FIT_DESCRIPTION_DEVELOPER_INDEX = 0,
    FIT_DESCRIPTION_NUMBER = 1,
    FIT_DESCRIPTION_BASE_TYPE = 2,
    FIT_DESCRIPTION_NAME = 3,
    FIT_DESCRIPTION_SCALE = 6,
    FIT_DESCRIPTION_OFFSET = 7,
    FIT_DESCRIPTION_UNITS = 8,
    FIT_DESCRIPTION_NATIVE_MESSAGE = 14,
    FIT_DESCRIPTION_NATIVE_FIELD = 15,
};

/* How a number of a record becomes a channel's step: step = raw * times + plus. */
struct fit_record_row {
    uint8_t field;
    enum channel channel;
    int32_t times;
    int32_t plus;
};

/* Sorted so that of two fields of one channel the better comes later and wins. */
extern const struct fit_record_row fit_record_rows[];
extern const size_t n_fit_record_rows;

/* "settings", "workout", ...; NULL for a number without a name here.  Never for an activity. */
const char *fit_file_kind(int64_t type);

/* The sport of a session; its sub-sport decides where the sport is only "fitness equipment". */
enum sport fit_sport(int64_t sport, int64_t sub_sport);

/* Indoors or outdoors as far as the sub-sport says. */
enum ride_place fit_place(int64_t sub_sport);

/* "power", "heart-rate", ...; "" where the type says nothing.  Local sensors give "". */
const char *fit_sensor_kind(int64_t source, int64_t device_type);

#endif
