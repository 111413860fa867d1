/* tests/published/test_fit_standards.c: small files whose every value is known (SD-01 to SD-07).
 *
 * Built byte by byte outside of this project from the protocol's text, and read there with an
 * independent decoder (fitdecode, checksum on). */
#include "check.h"

#include "recording/fit_crc.h"
#include "recording/recording.h"

#include <math.h>
#include <string.h>

static const struct recording *read_only_one(struct arena *arena, const char *path)
{
    const struct limits limits = limits_default();
    const struct read_options options = { .file = path };
    struct recordings recordings;
    struct error err = { 0 };
    if (!recording_read(arena, check_shared_file(arena, path), &options, &limits, &recordings,
                        &err)) {
        print_error("# %s\n", err.message);
        fail();
    }
    check_integer("recordings", (int64_t)recordings.count, 1);
    check_text("damage", recordings.damage, NULL);
    return recordings.items[0];
}

/* SD-02, SD-03: checksums of header, of the file, and over everything. */
static void test_fit_standards__checksums_of_the_tiny_file(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct bytes bytes = check_shared_file(arena, "checks/standards/tiny14.fit");
    check_integer("bytes", (int64_t)bytes.size, 119);
    check_integer("header", fit_crc16(0, bytes.at, 12), 0xEB23);
    check_integer("file", fit_crc16(0, bytes.at, bytes.size - 2), 0x9430);
    check_integer("everything", fit_crc16(0, bytes.at, bytes.size), 0);
    arena_close(arena);
}

/* SD-02, SD-04, SD-05, SD-07. */
static void test_fit_standards__values_of_the_tiny_file(void **state)
{
    (void)state;
    static const int32_t missing = RECORDING_MISSING;
    static const struct {
        enum channel channel;
        int32_t want[3];
    } rows[] = {
        { CHANNEL_POWER, { 200, RECORDING_MISSING, 0 } },
        { CHANNEL_HEART_RATE, { 120, 121, RECORDING_MISSING } },
        { CHANNEL_CADENCE, { 90, RECORDING_MISSING, 0 } },
        { CHANNEL_LATITUDE, { 536870912, 536871000, RECORDING_MISSING } },
        { CHANNEL_LONGITUDE, { -1073741824, -1073741000, RECORDING_MISSING } },
    };
    struct arena *arena = arena_open();
    const struct recording *ride = read_only_one(arena, "checks/standards/tiny14.fit");
    check_integer("records", (int64_t)ride->samples.count, 3);
    check_integer("2019-09-28T16:29:19Z", ride->start_utc, 1569688159);
    for (size_t i = 0; i < 3; i++) {
        check_integer("time", ride->samples.time_s[i], (int32_t)i);
        for (size_t c = 0; c < COUNT(rows); c++) {
            const int32_t *value = ride->samples.value[rows[c].channel];
            check_integer(channel_row(rows[c].channel)->name, value == NULL ? missing : value[i],
                          rows[c].want[i]);
        }
    }
    arena_close(arena);
}

/* SD-07: degrees = semicircles * 180 / 2^31. */
static void test_fit_standards__semicircles_become_degrees(void **state)
{
    (void)state;
    static const struct {
        int32_t semicircles;
        double degrees;
    } rows[] = { { 536870912, 45 },
                 { -1073741824, -90 },
                 { 2147483647, 179.99999991618097 },
                 { 1, 8.381903171539307e-08 },
                 { 495280428, 41.51392590254545 } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_close("latitude", rows[i].semicircles * channel_row(CHANNEL_LATITUDE)->step,
                    rows[i].degrees, 1e-12);
        check_close("longitude", rows[i].semicircles * channel_row(CHANNEL_LONGITUDE)->step,
                    rows[i].degrees, 1e-12);
    }
}

/* SD-06: a full time, then compressed headers of a big-endian local type. */
static void test_fit_standards__compressed_time_stamps(void **state)
{
    (void)state;
    static const int32_t times[] = { 0, 1, 4, 5, 6, 36, 42 };
    struct arena *arena = arena_open();
    const struct recording *ride = read_only_one(arena, "checks/standards/compressed.fit");
    check_integer("records", (int64_t)ride->samples.count, 7);
    check_integer("start", ride->start_utc, 938622587 + INT64_C(631065600));
    for (size_t i = 0; i < 7; i++) {
        check_integer("time", ride->samples.time_s[i], times[i]);
        check_integer("power", ride->samples.value[CHANNEL_POWER][i],
                      i == 0 ? 210 : 219 + (int32_t)i);
        check_integer("heart rate", ride->samples.value[CHANNEL_HEART_RATE][i], 130 + (int32_t)i);
    }
    arena_close(arena);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fit_standards__checksums_of_the_tiny_file),
        cmocka_unit_test(test_fit_standards__values_of_the_tiny_file),
        cmocka_unit_test(test_fit_standards__semicircles_become_degrees),
        cmocka_unit_test(test_fit_standards__compressed_time_stamps),
    };
    return cmocka_run_group_tests_name("fit_standards", tests, NULL, NULL);
}
