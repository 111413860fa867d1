/* tests/recording/test_fit_weight.c: the weight in a FIT file, set in the device or by a scale. */
#include "fit_builder.h"

#include "recording/fit_write.h"

/* A message of one weight; a scale's has a time. */
static void add_weight(struct builder *b, unsigned message, uint32_t time, unsigned field,
                       unsigned base, size_t size, uint64_t value)
{
    const uint8_t timed[][3] = { { 253, 4, 0x86 },
                                 { (uint8_t)field, (uint8_t)size, (uint8_t)base } };
    const size_t without = time == 0 ? 1 : 0;
    define_all(b, 6, message, timed + without, 2 - without, NULL, 0);
    put8(b, 6);
    if (time != 0) {
        put(b, time, 4);
    }
    put(b, value, size);
}

/* Numbers and scales: the protocol's public profile, as two decoders from outside have it (npm
 * fit-file-parser 6.1.2, @garmin/fitsdk 21.217.0): user_profile 3, field 4, uint16, 0.1 kg;
 * weight_scale 30, field 0, uint16, 0.01 kg, 65534 = calculating. */
static void test_fit_weight__a_weight_is_read_where_it_can_be_one(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        unsigned message;
        uint32_t time;
        unsigned base;
        unsigned size;
        uint64_t value;
        double kg;
        enum weight_source source;
    } rows[] = {
        { "set in the device", 3, 0, 0x84, 2, 705, 70.5, WEIGHT_SET },
        { "unknown", 3, 0, 0x84, 2, 0xFFFF, (double)NAN, WEIGHT_UNKNOWN },
        { "nothing", 3, 0, 0x84, 2, 0, (double)NAN, WEIGHT_UNKNOWN },
        { "the lightest", 3, 0, 0x84, 2, 300, 30.0, WEIGHT_SET },
        { "lighter", 3, 0, 0x84, 2, 299, (double)NAN, WEIGHT_UNKNOWN },
        { "the heaviest", 3, 0, 0x84, 2, 2000, 200.0, WEIGHT_SET },
        { "heavier", 3, 0, 0x84, 2, 2001, (double)NAN, WEIGHT_UNKNOWN },
        { "most that isn't unknown", 3, 0, 0x84, 2, 0xFFFE, (double)NAN, WEIGHT_UNKNOWN },
        { "wider than it should be", 3, 0, 0x86, 4, 705, 70.5, WEIGHT_SET },
        { "two of them", 3, 0, 0x84, 4, 705 | 710u << 16, (double)NAN, WEIGHT_UNKNOWN },
        { "a text", 3, 0, 0x07, 2, 0x3037, (double)NAN, WEIGHT_UNKNOWN },
        { "by a scale", 30, T0 + 5, 0x84, 2, 7054, 70.54, WEIGHT_WEIGHED },
        { "unknown to it", 30, T0 + 5, 0x84, 2, 0xFFFF, (double)NAN, WEIGHT_UNKNOWN },
        { "still at it", 30, T0 + 5, 0x84, 2, 0xFFFE, (double)NAN, WEIGHT_UNKNOWN },
        { "by a scale, too light", 30, T0 + 5, 0x84, 2, 705, (double)NAN, WEIGHT_UNKNOWN },
        { "the day before", 30, T0 - 86400, 0x84, 2, 7054, 70.54, WEIGHT_WEIGHED },
        { "earlier", 30, T0 - 86401, 0x84, 2, 7054, (double)NAN, WEIGHT_UNKNOWN },
        { "much later", 30, T0 + 400000, 0x84, 2, 7054, (double)NAN, WEIGHT_UNKNOWN },
        { "on another clock", 30, 4711, 0x84, 2, 7054, (double)NAN, WEIGHT_UNKNOWN },
        { "at no time", 30, 0, 0x84, 2, 7054, (double)NAN, WEIGHT_UNKNOWN },
    };
    for (size_t i = 0; i < 2 * COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const size_t k = i / 2;
        struct builder b = build_begin(arena);
        b.big_endian = i % 2 == 1;
        build_file(&b, 14);
        add_file_id(&b, 4);
        add_weight(&b, rows[k].message, rows[k].time, rows[k].message == 3 ? 4 : 0, rows[k].base,
                   rows[k].size, rows[k].value);
        define_records(&b);
        add_records(&b, T0, 20);
        build_end(&b);
        const struct recording *ride = read_built(&b).items[0];
        check_near(rows[k].name, ride->weight_kg, rows[k].kg, 1e-9);
        check_integer(rows[k].name, ride->weight_source, rows[k].source);
        arena_close(arena);
    }
}

/* The scale's counts before what was set, the later of two before the earlier, what isn't known
 * before nothing; no other file's is taken. */
static void test_fit_weight__of_several_weights_one_counts(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    add_weight(&b, 3, 0, 4, 0x84, 2, 700);
    add_weight(&b, 3, 0, 4, 0x84, 2, 712);
    add_weight(&b, 3, 0, 4, 0x84, 2, 0xFFFF);
    define_records(&b);
    add_records(&b, T0, 20);
    build_end(&b);
    build_file(&b, 14);
    add_file_id(&b, 4);
    define_records(&b);
    add_records(&b, T0 + 3600, 20);
    build_end(&b);
    build_file(&b, 14);
    add_file_id(&b, 4);
    add_weight(&b, 30, T0 + 7200, 0, 0x84, 2, 6990);
    add_weight(&b, 3, 0, 4, 0x84, 2, 712);
    define_records(&b);
    add_records(&b, T0 + 7300, 20);
    build_end(&b);
    const struct recordings read = read_built(&b);
    check_integer("recordings", (int64_t)read.count, 3);
    check_near("the later", read.items[0]->weight_kg, 71.2, 1e-9);
    check_near("of no other file", read.items[1]->weight_kg, (double)NAN, 0);
    check_near("the scale's", read.items[2]->weight_kg, 69.9, 1e-9);
    arena_close(arena);
}

/* To the steps of the fields, and nothing where nothing was asked. */
static void test_fit_weight__what_was_written_is_read(void **state)
{
    (void)state;
    static const struct {
        double set_kg;
        double weighed_kg;
        double kg;
        enum weight_source source;
    } rows[] = {
        { 0.0, 0.0, (double)NAN, WEIGHT_UNKNOWN },
        { 61.5, 0.0, 61.5, WEIGHT_SET },
        { 61.46, 0.0, 61.5, WEIGHT_SET },
        { 61.5, 62.037, 62.04, WEIGHT_WEIGHED },
        { 0.0, 99.99, 99.99, WEIGHT_WEIGHED },
        { -4.0, 601.0, (double)NAN, WEIGHT_UNKNOWN },
        { 655.4, (double)NAN, (double)NAN, WEIGHT_UNKNOWN },
    };
    int32_t times[] = { 0, 1, 2 };
    int32_t watts[] = { 100, 101, 102 };
    const struct limits limits = limits_default();
    const struct read_options options = { .file = "x.fit" };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct bytes bytes = { 0 };
        struct recordings read = { 0 };
        struct error err = { 0 };
        struct fit_activity activity = { .start_utc = 1773480413,
                                         .sport = SPORT_CYCLING,
                                         .weight_kg = rows[i].set_kg,
                                         .weighed_kg = rows[i].weighed_kg };
        activity.samples.count = 3;
        activity.samples.time_s = times;
        activity.samples.value[CHANNEL_POWER] = watts;
        check(fit_write(arena, &activity, &bytes, &err));
        check(recording_read(arena, bytes, &options, &limits, &read, &err));
        check_near("weight", read.items[0]->weight_kg, rows[i].kg, 1e-9);
        check_integer("source", read.items[0]->weight_source, rows[i].source);
        arena_close(arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fit_weight__a_weight_is_read_where_it_can_be_one),
        cmocka_unit_test(test_fit_weight__of_several_weights_one_counts),
        cmocka_unit_test(test_fit_weight__what_was_written_is_read),
    };
    return cmocka_run_group_tests_name("fit_weight", tests, NULL, NULL);
}
