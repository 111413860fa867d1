/* tests/recording/test_fit_developer.c: which developer fields count, and for what.
 * Files are built in the test; expected values by hand from the rules in recording/fit_record.h. */
#include "fit_builder.h"

struct description {
    unsigned index;
    unsigned number;
    unsigned base;
    const char *name;
    const char *units;
    unsigned native_message; /* 0xFFFF not told */
    unsigned native_field;   /* 0xFF not told */
    unsigned scale;          /* 0xFF not told */
    unsigned offset;         /* 0x7F not told */
};

static void describe(struct builder *b, const struct description *row)
{
    DEFINE(b, 12, 206, { 0, 1, 0x02 }, { 1, 1, 0x02 }, { 2, 1, 0x02 }, { 3, 16, 0x07 },
           { 8, 12, 0x07 }, { 14, 2, 0x84 }, { 15, 1, 0x02 }, { 6, 1, 0x02 }, { 7, 1, 0x01 });
    put8(b, 12);
    put8(b, row->index);
    put8(b, row->number);
    put8(b, row->base);
    put_text(b, row->name, 16);
    put_text(b, row->units, 12);
    put(b, row->native_message, 2);
    put8(b, row->native_field);
    put8(b, row->scale);
    put8(b, row->offset);
}

static const struct {
    const char *name;
    struct description row;
    uint64_t raw;
    size_t size;
    enum channel channel;
    int32_t want;
} rows[] = {
    { "native power", { 0, 3, 0x84, "xyz", "", 20, 7, 0xFF, 0x7F }, 321, 2, CHANNEL_POWER, 321 },
    { "native heart rate",
      { 1, 3, 0x02, "", "", 20, 3, 0xFF, 0x7F },
      141,
      1,
      CHANNEL_HEART_RATE,
      141 },
    { "native cadence", { 2, 0, 0x02, "", "", 20, 4, 0xFF, 0x7F }, 92, 1, CHANNEL_CADENCE, 92 },
    { "native, but of a session",
      { 0, 3, 0x84, "xyz", "", 18, 7, 0xFF, 0x7F },
      321,
      2,
      CHANNEL_POWER,
      INT32_MIN },
    { "power, watts",
      { 0, 3, 0x84, "Power", "Watts", 0xFFFF, 0xFF, 0xFF, 0x7F },
      321,
      2,
      CHANNEL_POWER,
      321 },
    { "POWER, w",
      { 0, 3, 0x84, "POWER", "w", 0xFFFF, 0xFF, 0xFF, 0x7F },
      321,
      2,
      CHANNEL_POWER,
      321 },
    { "Heart Rate, BPM",
      { 0, 3, 0x84, "Heart Rate", "BPM", 0xFFFF, 0xFF, 0xFF, 0x7F },
      150,
      2,
      CHANNEL_HEART_RATE,
      150 },
    { "heart_rate, bpm",
      { 0, 3, 0x84, "heart_rate", "bpm", 0xFFFF, 0xFF, 0xFF, 0x7F },
      150,
      2,
      CHANNEL_HEART_RATE,
      150 },
    { "cadence, RPM",
      { 0, 3, 0x84, "cadence", "RPM", 0xFFFF, 0xFF, 0xFF, 0x7F },
      99,
      2,
      CHANNEL_CADENCE,
      99 },
    { "form power is another thing",
      { 0, 3, 0x84, "Form Power", "Watts", 0xFFFF, 0xFF, 0xFF, 0x7F },
      321,
      2,
      CHANNEL_POWER,
      INT32_MIN },
    { "power in kcal",
      { 0, 3, 0x84, "Power", "kcal", 0xFFFF, 0xFF, 0xFF, 0x7F },
      321,
      2,
      CHANNEL_POWER,
      INT32_MIN },
    { "a name that fills its field",
      { 0, 3, 0x84, "cadence_________", "rpm", 0xFFFF, 0xFF, 0xFF, 0x7F },
      99,
      2,
      CHANNEL_CADENCE,
      INT32_MIN },
    { "float",
      { 0, 3, 0x88, "power", "W", 0xFFFF, 0xFF, 0xFF, 0x7F },
      0x437A8000,
      4,
      CHANNEL_POWER,
      251 }, /* 250.5 */
    { "scale and offset",
      { 0, 3, 0x84, "power", "W", 0xFFFF, 0xFF, 10, 20 },
      3004,
      2,
      CHANNEL_POWER,
      280 },
    { "not known",
      { 0, 3, 0x84, "power", "W", 0xFFFF, 0xFF, 0xFF, 0x7F },
      0xFFFF,
      2,
      CHANNEL_POWER,
      INT32_MIN },
    { "a size that isn't its type's",
      { 0, 3, 0x84, "power", "W", 0xFFFF, 0xFF, 0xFF, 0x7F },
      0x01010101,
      4,
      CHANNEL_POWER,
      INT32_MIN },
};

static void test_fit_developer__a_field_counts_by_number_or_by_name_and_unit(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        for (int big = 0; big < 2; big++) {
            struct arena *arena = arena_open();
            struct builder b = build_activity(arena);
            b.big_endian = big == 1;
            const uint8_t native[][3] = { { 253, 4, 0x86 }, { 13, 1, 0x01 } };
            const uint8_t own[][3] = { { (uint8_t)rows[i].row.number, (uint8_t)rows[i].size,
                                         (uint8_t)rows[i].row.index } };
            /* The description may come after the definition that uses it. */
            define_all(&b, 0, 20, native, 2, own, 1);
            describe(&b, &rows[i].row);
            for (uint32_t k = 0; k < 3; k++) {
                put8(&b, 0);
                put(&b, T0 + k, 4);
                put8(&b, 20);
                put(&b, rows[i].raw, rows[i].size);
            }
            build_end(&b);
            const struct recording *ride = read_built(&b).items[0];
            check_integer(rows[i].name, sample_of(ride, rows[i].channel, 1), rows[i].want);
            check_integer(rows[i].name, sample_of(ride, CHANNEL_TEMPERATURE, 2), 200);
            static const char *const codes[] = { [CHANNEL_POWER] = "developer-power",
                                                 [CHANNEL_HEART_RATE] = "developer-heart-rate",
                                                 [CHANNEL_CADENCE] = "developer-cadence" };
            check_integer(rows[i].name, find_finding(ride, codes[rows[i].channel], NULL) != NULL,
                          rows[i].want != INT32_MIN);
            arena_close(arena);
        }
    }
}

/* Records with native power (0xFFFF = not known) and one or two developer fields. */
static struct recordings read_powers(struct arena *arena, const unsigned native[],
                                     const unsigned first[], const unsigned second[], size_t n)
{
    struct builder b = build_activity(arena);
    /* developer_data_id messages: none at all, so no application id either */
    const struct description one = { 5, 1, 0x84, "power", "W", 20, 7, 0xFF, 0x7F };
    const struct description two = { 6, 1, 0x84, "power", "W", 20, 7, 0xFF, 0x7F };
    describe(&b, &one);
    describe(&b, &two);
    const uint8_t fields[][3] = { { 253, 4, 0x86 }, { 7, 2, 0x84 } };
    const uint8_t own[][3] = { { 1, 2, 5 }, { 1, 2, 6 } };
    define_all(&b, 0, 20, fields, 2, own, 2);
    for (size_t i = 0; i < n; i++) {
        put8(&b, 0);
        put(&b, T0 + i, 4);
        put(&b, native[i], 2);
        put(&b, first[i], 2);
        put(&b, second[i], 2);
    }
    build_end(&b);
    return read_built(&b);
}

static void test_fit_developer__native_wins_second_by_second(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    static const unsigned native[] = { 200, 0xFFFF, 0, 200, 0xFFFF };
    static const unsigned first[] = { 202, 210, 1, 0xFFFF, 0xFFFF };
    static const unsigned second[] = { 900, 900, 900, 900, 900 };
    static const int32_t want[] = { 200, 210, 0, 200, 900 };
    const struct recording *ride = read_powers(arena, native, first, second, 5).items[0];
    for (size_t i = 0; i < 5; i++) {
        check_integer("power", sample_of(ride, CHANNEL_POWER, i), want[i]);
    }
    check_near("filled", number_of(ride, "developer-power"), 2, 0);
    arena_close(arena);
}

static void test_fit_developer__a_difference_in_the_mean_is_said(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        unsigned native;
        unsigned own;
        bool differs;
    } means[] = { { "equal", 200, 200, false },
                  { "5 % more", 200, 210, false },
                  { "beyond 5 % more", 200, 211, true },
                  { "beyond 5 % less", 200, 189, true } };
    for (size_t i = 0; i < COUNT(means); i++) {
        struct arena *arena = arena_open();
        const unsigned native[] = { means[i].native, means[i].native };
        const unsigned own[] = { means[i].own, means[i].own };
        const unsigned none[] = { 0xFFFF, 0xFFFF };
        const struct recording *ride = read_powers(arena, native, own, none, 2).items[0];
        check_integer(means[i].name, find_finding(ride, "developer-differs", NULL) != NULL,
                      means[i].differs);
        check(find_finding(ride, "developer-power", NULL) == NULL);
        arena_close(arena);
    }
}

static void test_fit_developer__device_info_tells_zero_offsets(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    const struct description row = { 0, 0, 0x85, "calibration", "adc", 0xFFFF, 0xFF, 0xFF, 0x7F };
    describe(&b, &row);
    define_records(&b);
    add_records(&b, T0, 50);
    const uint8_t native[][3] = { { 253, 4, 0x86 }, { 0, 1, 0x02 } };
    const uint8_t own[][3] = { { 0, 4, 0 } };
    define_all(&b, 0, 23, native, 2, own, 1);
    static const int offsets[] = { -161, -161, -164 };
    for (size_t i = 0; i < COUNT(offsets); i++) {
        put8(&b, 0);
        put(&b, T0 + 10 * i, 4);
        put8(&b, 2);
        put(&b, (uint32_t)offsets[i], 4);
    }
    build_end(&b);
    const struct recording *ride = read_built(&b).items[0];
    check_integer("changes", (int64_t)ride->n_calibrations, 2);
    check_integer("first", ride->calibrations[0].value, -161);
    check_integer("second", ride->calibrations[1].value, -164);
    check_integer("second at", ride->calibrations[1].at_s, 20);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fit_developer__a_field_counts_by_number_or_by_name_and_unit),
        cmocka_unit_test(test_fit_developer__native_wins_second_by_second),
        cmocka_unit_test(test_fit_developer__a_difference_in_the_mean_is_said),
        cmocka_unit_test(test_fit_developer__device_info_tells_zero_offsets),
    };
    return cmocka_run_group_tests_name("fit_developer", tests, NULL, NULL);
}
