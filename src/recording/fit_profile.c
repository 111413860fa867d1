/* recording/fit_profile.c: the tables behind the numbers. */
#include "recording/fit_profile.h"

/* Altitude is metres * 5 + 2500 in the file and decimetres here; speed is mm/s and distance cm in
 * both; temperature is whole degrees in the file. */
const struct fit_record_row fit_record_rows[] = {
    { FIT_RECORD_POWER, CHANNEL_POWER, 1, 0 },
    { FIT_RECORD_HEART_RATE, CHANNEL_HEART_RATE, 1, 0 },
    { FIT_RECORD_CADENCE, CHANNEL_CADENCE, 1, 0 },
    { FIT_RECORD_SPEED, CHANNEL_SPEED, 1, 0 },
    { FIT_RECORD_ENHANCED_SPEED, CHANNEL_SPEED, 1, 0 },
    { FIT_RECORD_DISTANCE, CHANNEL_DISTANCE, 1, 0 },
    { FIT_RECORD_ALTITUDE, CHANNEL_ALTITUDE, 2, -5000 },
    { FIT_RECORD_ENHANCED_ALTITUDE, CHANNEL_ALTITUDE, 2, -5000 },
    { FIT_RECORD_TEMPERATURE, CHANNEL_TEMPERATURE, 10, 0 },
    { FIT_RECORD_LATITUDE, CHANNEL_LATITUDE, 1, 0 },
    { FIT_RECORD_LONGITUDE, CHANNEL_LONGITUDE, 1, 0 },
};
const size_t n_fit_record_rows = sizeof fit_record_rows / sizeof fit_record_rows[0];

bool fit_step_target_is_power(int64_t target_type)
{
    enum { POWER = 4, POWER_3S = 7, POWER_10S = 8, POWER_30S = 9, POWER_LAP = 10 };
    return target_type == POWER || (target_type >= POWER_3S && target_type <= POWER_LAP);
}

const char *fit_file_kind(int64_t type)
{
    switch (type) {
    case 1: return "device";
    case 2: return "settings";
    case 3: return "sport settings";
    case 5: return "workout";
    case 6: return "course";
    case 7: return "schedule";
    case 8: return "locations";
    case 9: return "weight";
    case 10: return "totals";
    case 11: return "goals";
    case 14: return "blood pressure";
    case 15:
    case 28:
    case 32: return "monitoring";
    case 20: return "activity summary";
    case 34: return "segment";
    case 35: return "segment list";
    case 40: return "display settings";
    default: return NULL;
    }
}

/* Sub-sports that tell more than the sport. */
static enum sport sport_of_equipment(int64_t sub_sport)
{
    switch (sub_sport) {
    case 1: /* treadmill */
    case 45: /* indoor running */ return SPORT_RUNNING;
    case 5: /* spin */
    case 6: /* indoor cycling */ return SPORT_CYCLING;
    case 14: /* indoor rowing */ return SPORT_ROWING;
    case 15: /* elliptical */
    case 16: /* stair climbing */
    case 68: /* stair climbing indoors, newer number */ return SPORT_OTHER;
    case 27: /* indoor walking */ return SPORT_WALKING;
    default: return SPORT_UNKNOWN;
    }
}

enum sport fit_sport(int64_t sport, int64_t sub_sport)
{
    switch (sport) {
    case -1:
    case 0: /* generic */
    case 4: /* fitness equipment */ return sport_of_equipment(sub_sport);
    case 1: return SPORT_RUNNING;
    case 2:
    case 21: /* cycling with a motor's help: still ridden */ return SPORT_CYCLING;
    case 3: return SPORT_TRANSITION;
    case 5: return SPORT_SWIMMING;
    case 10:
    case 62: /* interval training */ return SPORT_TRAINING;
    case 11: return SPORT_WALKING;
    case 12:
    case 13: return SPORT_SKIING;
    case 15: return SPORT_ROWING;
    case 16: /* mountaineering */
    case 17: return SPORT_HIKING;
    case 53: return SPORT_DIVING;
    default: return SPORT_OTHER;
    }
}

enum ride_place fit_place(int64_t sub_sport)
{
    switch (sub_sport) {
    case 1:  /* treadmill */
    case 5:  /* spin */
    case 6:  /* indoor cycling */
    case 14: /* indoor rowing */
    case 15: /* elliptical */
    case 16: /* stair climbing */
    case 17: /* lap swimming */
    case 27: /* indoor walking */
    case 45: /* indoor running */
    case 58: /* virtual: its positions are drawn, not measured */ return PLACE_INDOORS;
    case 2:  /* street */
    case 3:  /* trail */
    case 7:  /* road */
    case 8:  /* mountain */
    case 9:  /* downhill */
    case 10: /* recumbent */
    case 11: /* cyclocross */
    case 12: /* hand cycling */
    case 18: /* open water */
    case 46: /* gravel */
    case 47: /* mountain with a motor */
    case 48: /* commuting */
    case 49: /* mixed surface */ return PLACE_OUTDOORS;
    default: return PLACE_UNKNOWN;
    }
}

static const char *sensor_kind_of_bluetooth(int64_t type)
{
    switch (type) {
    case 1: return "heart-rate";
    case 2: return "power";
    case 3: return "speed-cadence";
    case 4: return "speed";
    case 5: return "cadence";
    case 6: return "footpod";
    case 7: return "trainer";
    default: return "";
    }
}

const char *fit_sensor_kind(int64_t source, int64_t device_type)
{
    if (source == FIT_SOURCE_LOCAL) {
        return "";
    }
    if (source == FIT_SOURCE_BLUETOOTH_LOW_ENERGY) {
        return sensor_kind_of_bluetooth(device_type);
    }
    switch (device_type) {
    case 11: return "power";
    case 16: return "remote";
    case 17: return "trainer";
    case 25: return "temperature";
    case 30: return "running";
    case 31: return "muscle-oxygen";
    case 34: return "gears";
    case 35:
    case 36: return "light";
    case 40: return "radar";
    case 119: return "scale";
    case 120: return "heart-rate";
    case 121: return "speed-cadence";
    case 122: return "cadence";
    case 123: return "speed";
    case 124: return "footpod";
    default: return "";
    }
}
