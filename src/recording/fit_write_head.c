/* recording/fit_write_head.c: what stands before the first record of an activity.
 * Numbers of messages, fields and enumerations are those of the FIT protocol's public profile. */
#include "recording/fit_write_head.h"

static const uint16_t MAKER_DEVELOPMENT = 255;

/* Fits both fields; no rider weighs so much. */
static const double WEIGHT_MOST_KG = 600.0;

enum global {
    GLOBAL_FILE_ID = 0,
    GLOBAL_PROFILE = 3,
    GLOBAL_EVENT = 21,
    GLOBAL_DEVICE = 23,
    GLOBAL_SCALE = 30,
    GLOBAL_DESCRIPTION = 206,
    GLOBAL_DEVELOPER = 207,
};

enum { SOURCE_ANT = 1, EVENT_CALIBRATION = 36, TYPE_MARKER = 3 };

static uint16_t maker_of(uint16_t maker)
{
    return maker == 0 ? MAKER_DEVELOPMENT : maker;
}

static void write_developer_field(struct fit_out_file *writer)
{
    static const uint8_t application[16] = "plumbline-power";
    static const char name[16] = "power";
    static const char units[8] = "watts";
    struct fit_out_message id = { .local = FIT_LOCAL_DEVELOPER, .global = GLOBAL_DEVELOPER };
    fit_out_add_raw(&id, 1, FIT_OUT_BYTE, application, sizeof application);
    fit_out_add(&id, 3, FIT_OUT_UINT8, 0); /* developer data index */
    fit_out_write(writer, &id);
    struct fit_out_message what = { .local = FIT_LOCAL_DESCRIPTION, .global = GLOBAL_DESCRIPTION };
    fit_out_add(&what, 0, FIT_OUT_UINT8, 0); /* developer data index */
    fit_out_add(&what, 1, FIT_OUT_UINT8, 0); /* field number */
    fit_out_add(&what, 2, FIT_OUT_UINT8, FIT_OUT_UINT16);
    fit_out_add_raw(&what, 3, FIT_OUT_STRING, name, sizeof name);
    fit_out_add_raw(&what, 8, FIT_OUT_STRING, units, sizeof units);
    fit_out_add(&what, 14, FIT_OUT_UINT16, 20); /* what it stands for: */
    fit_out_add(&what, 15, FIT_OUT_UINT8, 7);   /* power of a record */
    fit_out_write(writer, &what);
}

/* Their numbers among the kinds of ANT+ devices. */
static int64_t type_of(enum fit_sensor_type type)
{
    switch (type) {
    case FIT_SENSOR_POWER: return 11;
    case FIT_SENSOR_TRAINER: return 17;
    case FIT_SENSOR_HEART_RATE: return 120;
    }
    return FIT_OUT_NONE;
}

static void write_sensor(struct fit_out_file *writer, const struct fit_sensor *sensor, size_t index,
                         int64_t start)
{
    struct fit_out_message m = { .local = FIT_LOCAL_SENSOR, .global = GLOBAL_DEVICE };
    fit_out_add(&m, FIT_OUT_TIME, FIT_OUT_UINT32, start);
    fit_out_add(&m, 3, FIT_OUT_UINT32Z, sensor->serial);
    fit_out_add(&m, 2, FIT_OUT_UINT16, maker_of(sensor->maker));
    fit_out_add(&m, 4, FIT_OUT_UINT16, sensor->product);
    fit_out_add(&m, 0, FIT_OUT_UINT8, (int64_t)index);
    fit_out_add(&m, 1, FIT_OUT_UINT8, type_of(sensor->type));
    fit_out_add(&m, 25, FIT_OUT_ENUM, SOURCE_ANT);
    fit_out_write(writer, &m);
    if (sensor->has_zero_offset) {
        struct fit_out_message zero = { .local = FIT_LOCAL_CALIBRATION, .global = GLOBAL_EVENT };
        fit_out_add(&zero, FIT_OUT_TIME, FIT_OUT_UINT32, start);
        /* The field has no sign: a negative number stands in its upper half. */
        fit_out_add(&zero, 3, FIT_OUT_UINT32, (int64_t)(uint32_t)sensor->zero_offset);
        fit_out_add(&zero, 0, FIT_OUT_ENUM, EVENT_CALIBRATION);
        fit_out_add(&zero, 1, FIT_OUT_ENUM, TYPE_MARKER);
        fit_out_write(writer, &zero);
    }
}

static void write_weights(struct fit_out_file *writer, const struct fit_activity *activity,
                          int64_t start)
{
    if (activity->weight_kg > 0.0 && activity->weight_kg <= WEIGHT_MOST_KG) {
        struct fit_out_message m = { .local = FIT_LOCAL_PROFILE, .global = GLOBAL_PROFILE };
        fit_out_add(&m, 4, FIT_OUT_UINT16, (int64_t)(activity->weight_kg * 10.0 + 0.5));
        fit_out_write(writer, &m);
    }
    if (activity->weighed_kg > 0.0 && activity->weighed_kg <= WEIGHT_MOST_KG) {
        struct fit_out_message m = { .local = FIT_LOCAL_SCALE, .global = GLOBAL_SCALE };
        fit_out_add(&m, FIT_OUT_TIME, FIT_OUT_UINT32, start);
        fit_out_add(&m, 0, FIT_OUT_UINT16, (int64_t)(activity->weighed_kg * 100.0 + 0.5));
        fit_out_write(writer, &m);
    }
}

void fit_write_head(struct fit_out_file *writer, const struct fit_activity *activity, int64_t start,
                    bool developer_power)
{
    const uint16_t maker = maker_of(activity->maker);
    struct fit_out_message id = { .local = FIT_LOCAL_FILE_ID, .global = GLOBAL_FILE_ID };
    fit_out_add(&id, 3, FIT_OUT_UINT32Z, activity->serial);
    fit_out_add(&id, 4, FIT_OUT_UINT32, start); /* created */
    fit_out_add(&id, 1, FIT_OUT_UINT16, maker);
    fit_out_add(&id, 2, FIT_OUT_UINT16, activity->product);
    fit_out_add(&id, 0, FIT_OUT_ENUM, 4); /* an activity */
    fit_out_write(writer, &id);
    if (developer_power) {
        write_developer_field(writer);
    }
    struct fit_out_message device = { .local = FIT_LOCAL_DEVICE, .global = GLOBAL_DEVICE };
    fit_out_add(&device, FIT_OUT_TIME, FIT_OUT_UINT32, start);
    fit_out_add(&device, 3, FIT_OUT_UINT32Z, activity->serial);
    fit_out_add(&device, 2, FIT_OUT_UINT16, maker);
    fit_out_add(&device, 4, FIT_OUT_UINT16, activity->product);
    fit_out_add(&device, 0, FIT_OUT_UINT8, 0); /* index: the recorder itself */
    fit_out_write(writer, &device);
    for (size_t i = 0; i < activity->n_sensors; i++) {
        write_sensor(writer, &activity->sensors[i], i + 1, start);
    }
    write_weights(writer, activity, start);
}
