/* tests/recording/test_fit_write.c: written activities.  What a decoder from outside reads of them
 * is tested in tests/npm. */
#include "check.h"

#include "../fuzz/activity.h"
#include "maths/random.h"
#include "recording/fit_crc.h"
#include "recording/fit_read.h"

#include <string.h>

static const struct read_options options = { .file = "written.fit" };

static int32_t times[] = { 0, 1, 2, 3, 4 };
static int32_t power[] = { 100, 110, RECORDING_MISSING, 70000, 130 };

static struct fit_activity small_activity(void)
{
    struct fit_activity activity = { .start_utc = 1773480413, .sport = SPORT_CYCLING };
    activity.samples.count = 5;
    activity.samples.time_s = times;
    activity.samples.value[CHANNEL_POWER] = power;
    return activity;
}

static struct bytes write_well(struct arena *arena, const struct fit_activity *activity)
{
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    if (!fit_write(arena, activity, &bytes, &err)) {
        print_error("# %s\n", err.message);
        fail();
    }
    return bytes;
}

static const struct recording *read_back(struct arena *arena, struct bytes bytes)
{
    struct recordings recordings = { 0 };
    struct error err = { 0 };
    const struct limits limits = limits_default();
    if (!fit_read(arena, bytes, &options, &limits, &recordings, &err)) {
        print_error("# %s\n", err.message);
        fail();
    }
    check_integer("recordings", (int64_t)recordings.count, 1);
    check_text("damage", recordings.damage, NULL);
    return recordings.items[0];
}

static void test_fit_write__container_is_as_the_protocol_says(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    for (int old = 0; old <= 1; old++) {
        struct fit_activity activity = small_activity();
        activity.old_header = old == 1;
        const struct bytes bytes = write_well(arena, &activity);
        const size_t header = old == 1 ? 12 : 14;
        check_integer("header size", bytes.at[0], (int64_t)header);
        check(memcmp(bytes.at + 8, ".FIT", 4) == 0);
        const size_t data = (size_t)bytes.at[4] | (size_t)bytes.at[5] << 8 |
                            (size_t)bytes.at[6] << 16 | (size_t)bytes.at[7] << 24;
        check_integer("data size", (int64_t)data, (int64_t)(bytes.size - header - 2));
        /* SD-02: the checksum over the whole file with its own is 0; so it is over a header of
         * 14 bytes. */
        check_integer("file CRC", fit_crc16(0, bytes.at, bytes.size), 0);
        if (old == 0) {
            check_integer("header CRC", fit_crc16(0, bytes.at, 14), 0);
        }
    }
    arena_close(arena);
}

static void test_fit_write__what_does_not_fit_is_missing_not_wrong(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fit_activity activity = small_activity();
    int32_t heart[] = { 0, 254, 255, -1, 140 };
    int32_t altitude[] = { -5000, -5001, 126000, 1233, 1234 };
    int32_t temperature[] = { -54, -55, 1270, 54, 55 };
    int32_t balance[] = { 486, 485, 1001, -1, 0 };
    activity.samples.value[CHANNEL_HEART_RATE] = heart;
    activity.samples.value[CHANNEL_ALTITUDE] = altitude;
    activity.samples.value[CHANNEL_TEMPERATURE] = temperature;
    activity.samples.value[CHANNEL_BALANCE] = balance;
    const struct recording *got = read_back(arena, write_well(arena, &activity));
    /* By hand from the fields: power 16 bits, heart rate 8, altitude in fifths of a metre above
     * -500 m, temperature in degrees, balance in per cent of the right side. */
    static const struct {
        enum channel channel;
        int32_t want[5];
    } rows[] = {
        { CHANNEL_POWER, { 100, 110, RECORDING_MISSING, RECORDING_MISSING, 130 } },
        { CHANNEL_HEART_RATE, { 0, 254, RECORDING_MISSING, RECORDING_MISSING, 140 } },
        { CHANNEL_ALTITUDE, { -5000, RECORDING_MISSING, 126000, 1234, 1234 } },
        { CHANNEL_TEMPERATURE, { -50, -60, RECORDING_MISSING, 50, 60 } },
        { CHANNEL_BALANCE, { 490, 480, RECORDING_MISSING, RECORDING_MISSING, 0 } },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        for (size_t k = 0; k < 5; k++) {
            check_integer(channel_row(rows[i].channel)->name,
                          got->samples.value[rows[i].channel][k], rows[i].want[k]);
        }
    }
    arena_close(arena);
}

static void test_fit_write__dropped_samples_are_left_out(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fit_activity activity = small_activity();
    int32_t back[] = { 0, 1, -40, 2, 3 };
    uint8_t dropped[] = { 0, 0, 1, 0, 0 };
    activity.samples.time_s = back;
    activity.samples.dropped = dropped;
    const struct recording *got = read_back(arena, write_well(arena, &activity));
    check_integer("samples", (int64_t)got->samples.count, 4);
    check_integer("last", got->samples.time_s[3], 3);
    arena_close(arena);
}

static void test_fit_write__refuses_what_no_file_can_say(void **state)
{
    (void)state;
    static int32_t back[] = { 0, 2, 1, 3, 4 };
    static int32_t long_times[] = { 0, 1, 2, 3, 4294968 };
    static const struct fit_event events[] = { { 3, true }, { 1, false } };
    static const struct {
        const char *name;
        const char *message;
        int64_t start_utc;
        size_t count;
        int32_t *time_s;
        size_t n_events;
    } rows[] = {
        { "no sample", "FIT: no sample to write; give at least one", 1773480413, 0, times, 0 },
        { "runs back", "FIT: sample 2 is earlier than the one before it; sort by time", 1773480413,
          5, back, 0 },
        { "events run back", "FIT: timer event 1 is earlier than the one before it; sort by time",
          1773480413, 5, times, 2 },
        { "before the protocol's day 0",
          "FIT: the times don't fit the format (1990 to 2126, 49 days at most)", 631065599, 5,
          times, 0 },
        { "after its last", "FIT: the times don't fit the format (1990 to 2126, 49 days at most)",
          631065600 + 4294967291, 5, times, 0 },
        { "too long", "FIT: the times don't fit the format (1990 to 2126, 49 days at most)",
          1773480413, 5, long_times, 0 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct fit_activity activity = small_activity();
        struct bytes bytes = { 0 };
        struct error err = { 0 };
        activity.start_utc = rows[i].start_utc;
        activity.samples.count = rows[i].count;
        activity.samples.time_s = rows[i].time_s;
        activity.events = events;
        activity.n_events = rows[i].n_events;
        check_integer(rows[i].name, fit_write(arena, &activity, &bytes, &err), false);
        check_integer(rows[i].name, err.kind, ERROR_USAGE);
        check_text(rows[i].name, err.message, rows[i].message);
        arena_close(arena);
    }
}

/* Numbers of the protocol's public profile: 11 power, 120 heart rate among ANT+ devices. */
static void test_fit_write__sensors_and_zero_offset_are_read_back(void **state)
{
    (void)state;
    static const struct fit_sensor sensors[] = {
        { FIT_SENSOR_POWER, 60011, 3, 310201, true, -412 },
        { FIT_SENSOR_HEART_RATE, 60021, 1, 56010, false, 0 },
        { FIT_SENSOR_TRAINER, 60031, 2, 4000000001u, false, 0 },
    };
    struct arena *arena = arena_open();
    for (int big = 0; big <= 1; big++) {
        struct fit_activity activity = small_activity();
        activity.big_endian = big == 1;
        activity.sensors = sensors;
        activity.n_sensors = COUNT(sensors);
        const struct recording *got = read_back(arena, write_well(arena, &activity));
        check_integer("sensors", (int64_t)got->n_sensors, 3);
        check_text("power", got->sensors[0].kind, "power");
        check_text("maker", got->sensors[0].maker, "60011");
        check_integer("serial", got->sensors[0].serial, 310201);
        check_text("heart rate", got->sensors[1].kind, "heart-rate");
        check_text("trainer", got->sensors[2].kind, "trainer");
        check_integer("serial", got->sensors[2].serial, 4000000001);
        check_integer("zero offsets", (int64_t)got->n_calibrations, 1);
        check_integer("zero offset", got->calibrations[0].value, -412);
    }
    arena_close(arena);
}

/* Random activities, every option: the reader gives back what was written, value by value. */
static void test_fit_write__the_reader_gives_back_what_was_written(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    for (uint64_t seed = 1; seed <= 300; seed++) {
        struct arena *arena = arena_open();
        struct random random = random_begin(seed);
        uint8_t *any = ARENA_ARRAY(arena, uint8_t, 30000);
        for (size_t i = 0; i < 30000; i++) {
            any[i] = (uint8_t)random_below(&random, 256);
        }
        const struct fit_activity activity =
            activity_from_bytes(arena, (struct bytes){ any, 30000 });
        struct recordings read = { 0 };
        struct error err = { 0 };
        const bool ok =
            fit_read(arena, write_well(arena, &activity), &options, &limits, &read, &err);
        const char *differs = ok ? activity_differs(arena, &activity, &read) : err.message;
        check_text(arena_format(arena, "seed %llu", (unsigned long long)seed), differs, NULL);
        arena_close(arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fit_write__container_is_as_the_protocol_says),
        cmocka_unit_test(test_fit_write__what_does_not_fit_is_missing_not_wrong),
        cmocka_unit_test(test_fit_write__dropped_samples_are_left_out),
        cmocka_unit_test(test_fit_write__refuses_what_no_file_can_say),
        cmocka_unit_test(test_fit_write__sensors_and_zero_offset_are_read_back),
        cmocka_unit_test(test_fit_write__the_reader_gives_back_what_was_written),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
