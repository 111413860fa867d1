/* tests/recording/test_fit_read.c: headers, types, fields, developer fields, kinds of file.
 *
 * Files are built in the test.  Expected values by hand from the open protocol's rules; where a
 * shared check of the protocol holds the value its id stands beside it. */
#include "fit_builder.h"

#include "recording/fit_bytes.h"

#include <math.h>

enum { NONE = INT32_MIN };

static void test_fit_read__headers_and_byte_orders_give_the_same(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        size_t header_size;
        bool big_endian;
    } rows[] = {
        { "14 bytes, little endian", 14, false },       { "14 bytes, big endian", 14, true },
        { "12 bytes, little endian", 12, false },       { "12 bytes, big endian", 12, true },
        { "a longer header of later days", 20, false },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct builder b = build_begin(arena);
        b.big_endian = rows[i].big_endian;
        build_file(&b, rows[i].header_size);
        add_file_id(&b, 4);
        define_records(&b);
        add_records(&b, T0, 10);
        add_session(&b, T0, 10, 10, 2, 7);
        build_end(&b);
        const struct recordings recordings = read_built(&b);
        const struct recording *ride = recordings.items[0];
        check_integer(rows[i].name, (int64_t)ride->samples.count, 10);
        check_integer(rows[i].name, sample_of(ride, CHANNEL_POWER, 9), 109);
        check_integer(rows[i].name, ride->start_utc, 1569688159); /* SD-04 */
        check_integer(rows[i].name, ride->sport, SPORT_CYCLING);
        check_integer(rows[i].name, ride->place, PLACE_OUTDOORS);
        check_text(rows[i].name, ride->device.maker, "255");
        check_integer(rows[i].name, ride->device.serial, 4711);
        check(recordings.damage == NULL);
        arena_close(arena);
    }
}

/* SD-05: what each base type writes for "not known", and a number beside it. */
static const struct {
    const char *name;
    uint8_t base;
    size_t size;
    uint64_t raw;
    bool known;
    double value;
} types[] = {
    { "enum", 0x00, 1, 0xFF, false, 0 },
    { "enum 0", 0x00, 1, 0, true, 0 },
    { "sint8", 0x01, 1, 0x7F, false, 0 },
    { "sint8 -1", 0x01, 1, 0xFF, true, -1 },
    { "sint8 lowest", 0x01, 1, 0x80, true, -128 },
    { "uint8", 0x02, 1, 0xFF, false, 0 },
    { "uint8 254", 0x02, 1, 0xFE, true, 254 },
    { "sint16", 0x83, 2, 0x7FFF, false, 0 },
    { "sint16 -2", 0x83, 2, 0xFFFE, true, -2 },
    { "uint16", 0x84, 2, 0xFFFF, false, 0 },
    { "uint16 without the top bit of its type", 0x04, 2, 0x1234, true, 0x1234 },
    { "sint32", 0x85, 4, 0x7FFFFFFF, false, 0 },
    { "sint32 lowest", 0x85, 4, 0x80000000, true, -2147483648.0 },
    { "uint32", 0x86, 4, 0xFFFFFFFF, false, 0 },
    { "uint32 largest", 0x86, 4, 0xFFFFFFFE, true, 4294967294.0 },
    { "float32", 0x88, 4, 0xFFFFFFFF, false, 0 },
    { "float32 1.5", 0x88, 4, 0x3FC00000, true, 1.5 },
    { "float32 infinite", 0x88, 4, 0x7F800000, false, 0 },
    { "float64", 0x89, 8, UINT64_MAX, false, 0 },
    { "float64 -2.25", 0x89, 8, 0xC002000000000000, true, -2.25 },
    { "uint8z", 0x0A, 1, 0, false, 0 },
    { "uint8z FF", 0x0A, 1, 0xFF, true, 255 },
    { "uint16z", 0x8B, 2, 0, false, 0 },
    { "uint16z FFFF", 0x8B, 2, 0xFFFF, true, 65535 },
    { "uint32z", 0x8C, 4, 0, false, 0 },
    { "byte", 0x0D, 1, 0xFF, false, 0 },
    { "sint64", 0x8E, 8, 0x7FFFFFFFFFFFFFFF, false, 0 },
    { "sint64 -3", 0x8E, 8, 0xFFFFFFFFFFFFFFFD, true, -3 },
    { "uint64", 0x8F, 8, UINT64_MAX, false, 0 },
    { "uint64 5", 0x8F, 8, 5, true, 5 },
    { "uint64z", 0x90, 8, 0, false, 0 },
    { "string", 0x07, 1, 'a', false, 0 },
    { "no type", 0x11, 1, 1, false, 0 },
    { "reserved bits", 0x62, 1, 1, false, 0 },
};

static void test_fit_read__each_base_type_knows_what_it_does_not_know(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(types); i++) {
        for (int big = 0; big < 2; big++) {
            struct arena *arena = arena_open();
            struct builder b = build_begin(arena);
            b.big_endian = big == 1;
            put(&b, types[i].raw, types[i].size);
            double value = 0;
            const enum fit_base base = fit_base_of(types[i].base);
            check_integer(types[i].name, fit_number(base, b.bytes, big == 1, &value),
                          types[i].known);
            if (types[i].known) {
                check_near(types[i].name, value, types[i].value, 0);
                check_integer(types[i].name, (int64_t)fit_base_size(base), (int64_t)types[i].size);
            }
            arena_close(arena);
        }
    }
}

/* One record with one field beside its time, after one plain record. */
static const struct {
    const char *name;
    uint8_t field;
    uint8_t size;
    uint8_t base;
    uint64_t raw;
    enum channel channel;
    int32_t want;
} fields[] = {
    { "power", 7, 2, 0x84, 250, CHANNEL_POWER, 250 },
    { "power as uint8", 7, 1, 0x02, 250, CHANNEL_POWER, 250 },
    { "power as uint32", 7, 4, 0x86, 250, CHANNEL_POWER, 250 },
    { "power as sint16", 7, 2, 0x83, 250, CHANNEL_POWER, 250 },
    { "power below zero", 7, 2, 0x83, 0xFFFF, CHANNEL_POWER, NONE },
    { "power as float", 7, 4, 0x88, 0x437A8000, CHANNEL_POWER, 251 }, /* 250.5, half away */
    { "power as uint64", 7, 8, 0x8F, 250, CHANNEL_POWER, 250 },
    { "power as uint64 beyond any channel", 7, 8, 0x8F, UINT64_MAX - 1, CHANNEL_POWER, NONE },
    { "power as string", 7, 2, 0x07, 0x3131, CHANNEL_POWER, NONE },
    { "power of no type", 7, 2, 0x1F, 250, CHANNEL_POWER, NONE },
    { "power of 3 bytes", 7, 3, 0x84, 250, CHANNEL_POWER, NONE },
    { "power of two values", 7, 4, 0x84, 250, CHANNEL_POWER, NONE },
    { "power of no bytes", 7, 0, 0x84, 0, CHANNEL_POWER, NONE },
    { "heart rate 0 stays in the samples", 3, 1, 0x02, 0, CHANNEL_HEART_RATE, 0 },
    { "cadence", 4, 1, 0x02, 0, CHANNEL_CADENCE, 0 },
    { "cadence in 256ths", 52, 2, 0x84, 90 * 256 + 128, CHANNEL_CADENCE, 91 },
    { "speed, mm/s", 6, 2, 0x84, 8123, CHANNEL_SPEED, 8123 },
    { "enhanced speed", 73, 4, 0x86, 70000, CHANNEL_SPEED, 70000 },
    { "speed beyond any channel", 73, 4, 0x86, 0xFFFFFFFE, CHANNEL_SPEED, NONE },
    { "altitude 0 m", 2, 2, 0x84, 2500, CHANNEL_ALTITUDE, 0 },
    { "altitude -12.4 m", 2, 2, 0x84, 2438, CHANNEL_ALTITUDE, -124 },
    { "enhanced altitude 8848.8 m", 78, 4, 0x86, 46744, CHANNEL_ALTITUDE, 88488 },
    { "distance, cm", 5, 4, 0x86, 123456, CHANNEL_DISTANCE, 123456 },
    { "temperature -5", 13, 1, 0x01, 0xFB, CHANNEL_TEMPERATURE, -50 },
    { "latitude 45 deg (SD-07)", 0, 4, 0x85, 536870912, CHANNEL_LATITUDE, 536870912 },
    { "longitude -90 deg (SD-07)", 1, 4, 0x85, 0xC0000000, CHANNEL_LONGITUDE, -1073741824 },
    { "position not known (SD-07)", 0, 4, 0x85, 0x7FFFFFFF, CHANNEL_LATITUDE, NONE },
    { "balance right 52 %", 30, 1, 0x02, 0x80 | 52, CHANNEL_BALANCE, 480 },
    { "balance left 52 %", 30, 1, 0x02, 52, CHANNEL_BALANCE, 520 },
    { "balance not known", 30, 1, 0x02, 0xFF, CHANNEL_BALANCE, NONE },
    { "balance over 100 %", 30, 1, 0x02, 0x80 | 110, CHANNEL_BALANCE, NONE },
};

static void test_fit_read__fields_become_steps_of_their_channel(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(fields); i++) {
        for (int big = 0; big < 2; big++) {
            struct arena *arena = arena_open();
            struct builder b = build_activity(arena);
            b.big_endian = big == 1;
            define_records(&b);
            add_record(&b, T0, 100, 120, 90);
            const uint8_t rows[][3] = { { fields[i].field, fields[i].size, fields[i].base },
                                        { 253, 4, 0x86 } };
            define_all(&b, 0, 20, rows, 2, NULL, 0);
            put8(&b, 0);
            put(&b, fields[i].raw, fields[i].size);
            put(&b, T0 + 1, 4);
            add_record(&b, T0 + 2, 100, 120, 90);
            build_end(&b);
            const struct recording *ride = read_built(&b).items[0];
            check_integer(fields[i].name, (int64_t)ride->samples.count, 3);
            check_integer(fields[i].name, ride->samples.time_s[1], 1);
            check_integer(fields[i].name, sample_of(ride, fields[i].channel, 1), fields[i].want);
            arena_close(arena);
        }
    }
}

static void test_fit_read__enhanced_fields_win_in_any_order(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    DEFINE(&b, 0, 20, { 73, 4, 0x86 }, { 6, 2, 0x84 }, { 2, 2, 0x84 }, { 78, 4, 0x86 },
           { 253, 4, 0x86 });
    put8(&b, 0);
    put(&b, 9001, 4);
    put(&b, 9000, 2);
    put(&b, 2500, 2);
    put(&b, 2505, 4);
    put(&b, T0, 4);
    put8(&b, 0); /* enhanced ones not known: the plain ones count */
    put(&b, UINT32_MAX, 4);
    put(&b, 9000, 2);
    put(&b, 2500, 2);
    put(&b, UINT32_MAX, 4);
    put(&b, T0 + 1, 4);
    build_end(&b);
    const struct recording *ride = read_built(&b).items[0];
    check_integer("enhanced speed", sample_of(ride, CHANNEL_SPEED, 0), 9001);
    check_integer("enhanced altitude", sample_of(ride, CHANNEL_ALTITUDE, 0), 10);
    check_integer("plain speed", sample_of(ride, CHANNEL_SPEED, 1), 9000);
    check_integer("plain altitude", sample_of(ride, CHANNEL_ALTITUDE, 1), 0);
    arena_close(arena);
}

/* 12 bits of cm/s, 12 bits of 1/16 m that roll over at 256 m. */
static void test_fit_read__compressed_distance_is_followed_round(void **state)
{
    (void)state;
    static const struct {
        uint32_t speed_cms;
        uint32_t distance_16ths;
        int32_t want_mms;
        int32_t want_cm;
    } rows[] = {
        { 350, 0, 3500, 0 },          { 355, 1600, 3550, 10000 }, { 360, 4000, 3600, 25000 },
        { 0xFFF, 64, NONE, 26000 },   { 0, 3264, 0, 46000 },      { 1, 0, 10, 51200 },
        { 0xFFF, 0xFFF, NONE, NONE }, { 2, 16, 20, 51300 },
    };
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    DEFINE(&b, 0, 20, { 253, 4, 0x86 }, { 8, 3, 0x0D });
    for (size_t i = 0; i < COUNT(rows); i++) {
        put8(&b, 0);
        put(&b, T0 + i, 4);
        put8(&b, rows[i].speed_cms & 0xFF);
        put8(&b, rows[i].speed_cms >> 8 | (rows[i].distance_16ths & 0xF) << 4);
        put8(&b, rows[i].distance_16ths >> 4);
    }
    build_end(&b);
    const struct recording *ride = read_built(&b).items[0];
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_integer("speed", sample_of(ride, CHANNEL_SPEED, i), rows[i].want_mms);
        check_integer("distance", sample_of(ride, CHANNEL_DISTANCE, i), rows[i].want_cm);
    }
    arena_close(arena);
}

/* SD-06: a full time whose low five bits are 27, then these offsets. */
static void test_fit_read__compressed_headers_count_on_from_the_last_time(void **state)
{
    (void)state;
    static const uint32_t offsets[] = { 28, 31, 0, 1, 31, 5 };
    static const int32_t want[] = { 0, 1, 4, 5, 6, 36, 42 };
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    define_records(&b);
    add_record(&b, 938622587, 210, 130, 90);
    b.big_endian = true;
    DEFINE(&b, 3, 20, { 7, 2, 0x84 }, { 3, 1, 0x02 });
    for (size_t i = 0; i < COUNT(offsets); i++) {
        put8(&b, 0x80 | 3u << 5 | offsets[i]);
        put(&b, 220 + i, 2);
        put8(&b, 131 + (uint32_t)i);
    }
    build_end(&b);
    const struct recording *ride = read_built(&b).items[0];
    check_integer("records", (int64_t)ride->samples.count, 7);
    for (size_t i = 0; i < 7; i++) {
        check_integer("time", ride->samples.time_s[i], want[i]);
        check_integer("power", sample_of(ride, CHANNEL_POWER, i), i == 0 ? 210 : 219 + (int32_t)i);
    }
    arena_close(arena);
}

static void test_fit_read__a_local_number_may_be_defined_anew(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    define_records(&b);
    add_records(&b, T0, 2);
    DEFINE(&b, 1, 20, { 3, 1, 0x02 }, { 253, 4, 0x86 });
    put8(&b, 1);
    put8(&b, 133);
    put(&b, T0 + 2, 4);
    DEFINE(&b, 1, 7777, { 3, 1, 0x02 }, { 9, 3, 0x0D }); /* a message nobody knows */
    put8(&b, 1);
    put(&b, 0x01020304, 4);
    define_records(&b);
    add_records(&b, T0 + 3, 2);
    build_end(&b);
    const struct recording *ride = read_built(&b).items[0];
    check_integer("records", (int64_t)ride->samples.count, 5);
    check_integer("heart rate", sample_of(ride, CHANNEL_HEART_RATE, 2), 133);
    check_integer("power", sample_of(ride, CHANNEL_POWER, 2), NONE);
    check_integer("power", sample_of(ride, CHANNEL_POWER, 4), 101);
    arena_close(arena);
}

static void test_fit_read__files_of_other_kinds_are_refused_by_name(void **state)
{
    (void)state;
    static const struct {
        unsigned type;
        const char *line;
    } rows[] = {
        { 2, "x.fit: is a settings file, not a ride; choose an activity file" },
        { 5, "x.fit: is a workout file, not a ride; choose an activity file" },
        { 6, "x.fit: is a course file, not a ride; choose an activity file" },
        { 8, "x.fit: is a locations file, not a ride; choose an activity file" },
        { 20, "x.fit: is an activity summary file, not a ride; choose an activity file" },
        { 77, "x.fit: is a FIT file of kind 77, not a ride; choose an activity file" },
        { 4, "x.fit: holds no records; choose the file of a ride" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct builder b = build_begin(arena);
        build_file(&b, 14);
        add_file_id(&b, rows[i].type);
        define_records(&b);
        if (rows[i].type != 4) {
            add_records(&b, T0, 5); /* a course has records too */
        }
        build_end(&b);
        check_text("line", refuse_built(&b, ERROR_INPUT), rows[i].line);
        arena_close(arena);
    }
}

static void test_fit_read__sports_decide_what_is_a_ride(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        unsigned sport;
        unsigned sub_sport;
        enum sport want;
        bool is_ride;
        bool assumed;
        enum ride_place place;
    } rows[] = {
        { "road", 2, 7, SPORT_CYCLING, true, false, PLACE_OUTDOORS },
        { "indoor cycling", 2, 6, SPORT_CYCLING, true, false, PLACE_INDOORS },
        { "virtual", 2, 58, SPORT_CYCLING, true, false, PLACE_INDOORS },
        { "mountain", 2, 8, SPORT_CYCLING, true, false, PLACE_OUTDOORS },
        { "cycling", 2, 0, SPORT_CYCLING, true, false, PLACE_UNKNOWN },
        { "spin bike", 4, 5, SPORT_CYCLING, true, false, PLACE_INDOORS },
        { "generic with power", 0, 0, SPORT_UNKNOWN, true, true, PLACE_UNKNOWN },
        { "not told, with power", 255, 255, SPORT_UNKNOWN, true, true, PLACE_UNKNOWN },
        { "running", 1, 0, SPORT_RUNNING, false, false, PLACE_UNKNOWN },
        { "swimming", 5, 17, SPORT_SWIMMING, false, false, PLACE_INDOORS },
        { "transition", 3, 0, SPORT_TRANSITION, false, false, PLACE_UNKNOWN },
        { "diving", 53, 0, SPORT_DIVING, false, false, PLACE_UNKNOWN },
        { "a sport without a name here", 33, 0, SPORT_OTHER, false, false, PLACE_UNKNOWN },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct builder b = build_activity(arena);
        define_records(&b);
        add_records(&b, T0, 5);
        add_session(&b, T0, 5, 5, rows[i].sport, rows[i].sub_sport);
        build_end(&b);
        const struct recording *ride = read_built(&b).items[0];
        check_integer(rows[i].name, ride->sport, rows[i].want);
        check_integer(rows[i].name, ride->is_ride, rows[i].is_ride);
        check_integer(rows[i].name, ride->place, rows[i].place);
        check_integer(rows[i].name, find_finding(ride, "sport-assumed", NULL) != NULL,
                      rows[i].assumed);
        check_integer(rows[i].name, sample_of(ride, CHANNEL_POWER, 4), 104);
        arena_close(arena);
    }
}

static void test_fit_read__messages_beside_the_records_are_kept(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    define_records(&b);
    add_records(&b, T0, 100);
    DEFINE(&b, 6, 78, { 0, 6, 0x84 }); /* pulse intervals, one of three not known */
    put8(&b, 6);
    put(&b, 812, 2);
    put(&b, 0xFFFF, 2);
    put(&b, 640, 2);
    DEFINE(&b, 7, 21, { 253, 4, 0x86 }, { 0, 1, 0x00 }, { 1, 1, 0x00 }, { 3, 4, 0x86 });
    put8(&b, 7);
    put(&b, T0 + 20, 4);
    put8(&b, 36);
    put8(&b, 3);
    put(&b, (uint32_t)-512, 4);
    /* a sensor, one whose name isn't ended, and one of the device itself */
    DEFINE(&b, 8, 23, { 253, 4, 0x86 }, { 0, 1, 0x02 }, { 1, 1, 0x02 }, { 2, 2, 0x84 },
           { 3, 4, 0x8C }, { 25, 1, 0x00 }, { 27, 4, 0x07 });
    static const struct {
        unsigned index, type, source;
        const char *name;
    } sensors[] = {
        { 1, 11, 1, "abc" }, { 2, 120, 1, "abcd" }, { 3, 4, 5, "bar" }, { 4, 2, 3, "" }
    };
    for (size_t i = 0; i < COUNT(sensors); i++) {
        put8(&b, 8);
        put(&b, T0, 4);
        put8(&b, sensors[i].index);
        put8(&b, sensors[i].type);
        put(&b, 99, 2);
        put(&b, 1000 + i, 4);
        put8(&b, sensors[i].source);
        put_text(&b, sensors[i].name, 4);
    }
    DEFINE(&b, 9, 27, { 254, 2, 0x84 }, { 0, 5, 0x07 }, { 1, 1, 0x00 }, { 2, 4, 0x86 },
           { 3, 1, 0x00 }, { 4, 4, 0x86 }, { 5, 4, 0x86 }, { 6, 4, 0x86 });
    static const struct {
        unsigned duration_type, duration, target_type, zone, low, high;
    } steps[] = { { 0, 240000, 4, 0, 1250, 1280 },
                  { 0, 60000, 4, 0, 50, 60 },
                  { 5, UINT32_MAX, 2, 0, UINT32_MAX, UINT32_MAX },
                  { 0, 30000, 4, 3, UINT32_MAX, UINT32_MAX } };
    for (size_t i = 0; i < COUNT(steps); i++) {
        put8(&b, 9);
        put(&b, i, 2);
        put_text(&b, "ab", 5);
        put8(&b, steps[i].duration_type);
        put(&b, steps[i].duration, 4);
        put8(&b, steps[i].target_type);
        put(&b, steps[i].zone, 4);
        put(&b, steps[i].low, 4);
        put(&b, steps[i].high, 4);
    }
    DEFINE(&b, 10, 18, { 2, 4, 0x86 }, { 7, 4, 0x86 }, { 8, 4, 0x86 }, { 9, 4, 0x86 },
           { 48, 4, 0x86 }, { 20, 2, 0x84 }, { 45, 2, 0x84 }, { 192, 1, 0x02 }, { 193, 1, 0x02 },
           { 5, 1, 0x00 });
    put8(&b, 10);
    put(&b, T0, 4);
    put(&b, 100500, 4);
    put(&b, 99500, 4);
    put(&b, 123456, 4);
    put(&b, 15000, 4);
    put(&b, 150, 2);
    put(&b, 250, 2);
    put8(&b, 75);
    put8(&b, 65);
    put8(&b, 2);
    build_end(&b);
    const struct recording *ride = read_built(&b).items[0];
    check_integer("intervals", (int64_t)ride->n_pulse, 2);
    check_integer("interval", ride->pulse_ms[1], 640);
    check_integer("zero offsets", (int64_t)ride->n_calibrations, 1);
    check_integer("zero offset", ride->calibrations[0].value, -512);
    check_integer("zero offset at", ride->calibrations[0].at_s, 20);
    check_integer("sensors", (int64_t)ride->n_sensors, 3);
    check_text("sensor", ride->sensors[0].kind, "power");
    check_text("sensor", ride->sensors[0].product, "abc");
    check_text("maker", ride->sensors[0].maker, "99");
    check_text("sensor", ride->sensors[1].kind, "heart-rate");
    check_text("a name that isn't ended", ride->sensors[1].product, "");
    check_integer("its number", ride->sensors[1].serial, 1001);
    check_text("sensor over radio", ride->sensors[2].kind, "power");
    check_integer("steps", (int64_t)ride->n_steps, 4);
    check_near("step", ride->steps[0].duration_s, 240, 0);
    check_near("step", ride->steps[0].target_low_w, 250, 0);
    check_near("step", ride->steps[0].target_high_w, 280, 0);
    check_near("step", ride->steps[0].target_low_pct, (double)NAN, 0);
    check_near("step", ride->steps[1].target_low_pct, 50, 0);
    check_near("step", ride->steps[1].target_high_pct, 60, 0);
    check_near("step until the button", ride->steps[2].duration_s, (double)NAN, 0);
    check_near("zone of the device", ride->steps[3].target_low_pct, (double)NAN, 0);
    check_text("step", ride->steps[3].name, "ab");
    check_near("elapsed", ride->device_elapsed_s, 100.5, 1e-9);
    check_near("timer", ride->device_timer_s, 99.5, 1e-9);
    check_near("distance", ride->device_distance_m, 1234.56, 1e-9);
    check_near("work", ride->device_work_kj, 15, 1e-9);
    check_near("mean power", ride->device_mean_power_w, 150, 0);
    check_near("threshold", ride->device_threshold_w, 250, 0);
    check_near("feel", ride->feel_0_100, 75, 0);
    check_near("effort", ride->effort_0_10, 6.5, 1e-9);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fit_read__headers_and_byte_orders_give_the_same),
        cmocka_unit_test(test_fit_read__each_base_type_knows_what_it_does_not_know),
        cmocka_unit_test(test_fit_read__fields_become_steps_of_their_channel),
        cmocka_unit_test(test_fit_read__enhanced_fields_win_in_any_order),
        cmocka_unit_test(test_fit_read__compressed_distance_is_followed_round),
        cmocka_unit_test(test_fit_read__compressed_headers_count_on_from_the_last_time),
        cmocka_unit_test(test_fit_read__a_local_number_may_be_defined_anew),
        cmocka_unit_test(test_fit_read__files_of_other_kinds_are_refused_by_name),
        cmocka_unit_test(test_fit_read__sports_decide_what_is_a_ride),
        cmocka_unit_test(test_fit_read__messages_beside_the_records_are_kept),
    };
    return cmocka_run_group_tests_name("fit_read", tests, NULL, NULL);
}
