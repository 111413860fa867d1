/* tests/recording/test_csv_columns.c: headers, units, numbers, times of tables. */
#include "check.h"

#include "recording/csv_columns.h"
#include "recording/csv_time.h"

#include <math.h>
#include <string.h>

/* Spellings: the program's own names (JSON of a ride), and what exports of several kinds write:
 * common practice, no source.  NOTHING: another quantity. */
#define NOTHING CSV_MEANINGS
static const struct {
    const char *header;
    int meaning;
    double of_ten; /* what 10 in this column is in the channel's unit */
} headers[] = {
    { "seconds", CSV_TIME, 10 },
    { "timestamp", CSV_TIME, 10 },
    { "Time", CSV_TIME, 10 },
    { "date_time", CSV_TIME, 10 },
    { "Date Time", CSV_TIME, 10 },
    { "time (ms)", CSV_TIME, 0.01 },
    { "Time [min]", CSV_TIME, 600 },
    { "time_s", CSV_TIME, 10 },
    { "elapsed_time", CSV_TIME, 10 },
    { "date", CSV_DATE, 10 },
    { "power_w", CHANNEL_POWER, 10 },
    { "power", CHANNEL_POWER, 10 },
    { "Power (W)", CHANNEL_POWER, 10 },
    { "watts", CHANNEL_POWER, 10 },
    { "Power [watts]", CHANNEL_POWER, 10 },
    { "power (w/kg)", NOTHING, 0 },
    { "power_avg", NOTHING, 0 },
    { "heart_rate_bpm", CHANNEL_HEART_RATE, 10 },
    { "heart-rate", CHANNEL_HEART_RATE, 10 },
    { "HeartRate", CHANNEL_HEART_RATE, 10 },
    { "hr", CHANNEL_HEART_RATE, 10 },
    { " Heart Rate [bpm]", CHANNEL_HEART_RATE, 10 },
    { "hr_zone", NOTHING, 0 },
    { "cadence_rpm", CHANNEL_CADENCE, 10 },
    { "cad", CHANNEL_CADENCE, 10 },
    { "Cadence (rpm)", CHANNEL_CADENCE, 10 },
    { "speed_ms", CHANNEL_SPEED, 10 },
    { "speed (m/s)", CHANNEL_SPEED, 10 },
    { "Speed (km/h)", CHANNEL_SPEED, 10 / 3.6 },
    { "speed_kmh", CHANNEL_SPEED, 10 / 3.6 },
    { "speed mph", CHANNEL_SPEED, 4.4704 },
    { "speed (knots)", NOTHING, 0 },
    { "distance_m", CHANNEL_DISTANCE, 10 },
    { "Distance [km]", CHANNEL_DISTANCE, 10000 },
    { "dist (miles)", CHANNEL_DISTANCE, 16093.44 },
    { "altitude_m", CHANNEL_ALTITUDE, 10 },
    { "elevation", CHANNEL_ALTITUDE, 10 },
    { "ele", CHANNEL_ALTITUDE, 10 },
    { "alt (ft)", CHANNEL_ALTITUDE, 3.048 },
    { "temperature_c", CHANNEL_TEMPERATURE, 10 },
    { "temp (\xC2\xB0"
      "C)",
      CHANNEL_TEMPERATURE, 10 },
    { "temp [F]", CHANNEL_TEMPERATURE, -12.222222222222221 },
    { "latitude_deg", CHANNEL_LATITUDE, 10 },
    { "lat", CHANNEL_LATITUDE, 10 },
    { "position_lat", CHANNEL_LATITUDE, 8.381903171539307e-07 }, /* SD-07 */
    { "longitude_deg", CHANNEL_LONGITUDE, 10 },
    { "Lon", CHANNEL_LONGITUDE, 10 },
    { "balance_left_pct", CHANNEL_BALANCE, 10 },
    { "acceleration", NOTHING, 0 },
    { "slope", NOTHING, 0 },
    { "", NOTHING, 0 },
    { "power (", NOTHING, 0 },
    { "power (w) smoothed", NOTHING, 0 },
    { "a header that is much longer than any name could ever be, and then some more words", NOTHING,
      0 },
};

static void test_csv_columns__headers_are_known_by_their_common_spellings(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(headers); i++) {
        const struct csv_column column = csv_column_of(headers[i].header);
        check_integer(headers[i].header, column.meaning, headers[i].meaning);
        if (headers[i].meaning != NOTHING) {
            check_close(headers[i].header, 10.0 * column.factor + column.offset, headers[i].of_ten,
                        1e-12);
        }
    }
}

static void test_csv_columns__every_channel_is_known_by_its_own_name(void **state)
{
    (void)state;
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        const char *name = channel_row((enum channel)c)->name;
        check_integer(name, csv_column_of(name).meaning, c);
    }
}

/* Every row of the tables can be reached: a name that another row hides would be dead. */
static void test_csv_columns__every_name_and_unit_of_the_tables_works(void **state)
{
    (void)state;
    const char *name = NULL;
    const char *unit = NULL;
    int meaning = 0;
    double factor = 0;
    double offset = 0;
    size_t n = 0;
    for (; csv_column_name(n, &name, &meaning); n++) {
        check_integer(name, csv_column_of(name).meaning, meaning);
        check_integer(name, csv_column_of(name).rank, (int64_t)n);
    }
    check(n > 40);
    static const char *const bare[CSV_MEANINGS] = {
        [CHANNEL_POWER] = "power",
        [CHANNEL_HEART_RATE] = "hr",
        [CHANNEL_CADENCE] = "cadence",
        [CHANNEL_SPEED] = "speed",
        [CHANNEL_DISTANCE] = "distance",
        [CHANNEL_ALTITUDE] = "altitude",
        [CHANNEL_TEMPERATURE] = "temp",
        [CHANNEL_LATITUDE] = "lat",
        [CHANNEL_LONGITUDE] = "lon",
        [CHANNEL_BALANCE] = "left_balance",
        [CSV_TIME] = "time",
        [CSV_DATE] = "date",
    };
    struct arena *arena = arena_open();
    for (n = 0; csv_column_unit(n, &unit, &meaning, &factor, &offset); n++) {
        const struct csv_column column =
            csv_column_of(arena_format(arena, "%s (%s)", bare[meaning], unit));
        check_integer(unit, column.meaning, meaning);
        check_near(unit, column.factor, factor, 0);
        check_near(unit, column.offset, offset, 0);
    }
    check(n > 40);
    arena_close(arena);
}

/* By hand; FALSE: not a number. */
static const struct {
    const char *cell;
    bool decimal_comma;
    bool is_number;
    double want;
} numbers[] = {
    { "0", false, true, 0 },
    { "-0", false, true, 0 },
    { "150.0", false, true, 150 },
    { " 12.5 ", false, true, 12.5 },
    { "+7", false, true, 7 },
    { "-3.25", false, true, -3.25 },
    { ".5", false, true, 0.5 },
    { "5.", false, true, 5 },
    { "1e3", false, true, 1000 },
    { "2.5E-1", false, true, 0.25 },
    { "0.30599999999999999", false, true, 0.306 },
    { "0.0000000000000000000000001", false, true, 1e-25 },
    { "007", false, true, 7 },
    { "12,5", true, true, 12.5 },
    { "12,5", false, false, 0 },
    { "1,234.5", true, false, 0 },
    { "", false, false, 0 },
    { "-", false, false, 0 },
    { ".", false, false, 0 },
    { "1e", false, false, 0 },
    { "1e999", false, false, 0 },
    { "0x10", false, false, 0 },
    { "inf", false, false, 0 },
    { "12 W", false, false, 0 },
    { "1234567890123456789012", false, false, 0 },
};

static void test_csv_columns__numbers_are_plain_decimals(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(numbers); i++) {
        double got = 0;
        check_integer(numbers[i].cell, csv_number(numbers[i].cell, numbers[i].decimal_comma, &got),
                      numbers[i].is_number);
        if (numbers[i].is_number) {
            check_close(numbers[i].cell, got, numbers[i].want, 1e-15);
        }
    }
}

static void test_csv_columns__marks_of_missing_values_are_known(void **state)
{
    (void)state;
    static const char *const missing[] = { "",     "  ",   "-",      "NA",  "na", "NaN", "nan",
                                           "null", "NULL", " null ", "N/A", "--", "None" };
    static const char *const present[] = { "0", "-1", "nane", "n", "nullx", "- 5", "naN 1" };
    for (size_t i = 0; i < COUNT(missing); i++) {
        check_integer(missing[i], csv_is_missing(missing[i]), true);
    }
    for (size_t i = 0; i < COUNT(present); i++) {
        check_integer(present[i], csv_is_missing(present[i]), false);
    }
}

/* By hand: steps of the channels, halves away from zero; the ends of FIT's fields. */
static const struct {
    const char *header;
    double number;
    bool fits;
    int32_t want;
} values[] = {
    { "power", 149.5, true, 150 },
    { "power", 149.4, true, 149 },
    { "power", -1, false, 0 },
    { "power", 65534, true, 65534 },
    { "power", 65535, false, 0 },
    { "hr", 254, true, 254 },
    { "hr", 255, false, 0 },
    { "speed (km/h)", 36, true, 10000 },
    { "distance", 123.456, true, 12346 },
    { "altitude", -12.34, true, -123 },
    { "altitude", -12.35, true, -124 },
    { "temp", -5.25, true, -53 },
    { "temp (F)", 32, true, 0 },
    { "lat", 45, true, 536870912 }, /* SD-07 */
    { "lon", -90, true, -1073741824 },
    { "position_lat", 495280428, true, 495280428 },
    { "lon", 180, true, INT32_MAX - 1 }, /* 2^31 - 1 is the protocol's mark of nothing */
    { "lat", 90.1, false, 0 },
    { "balance_left_pct", 48.66, true, 487 },
    { "balance_left_pct", 101, false, 0 },
    { "power", (double)NAN, false, 0 },
};

static void test_csv_columns__values_are_rounded_once_into_the_channels_steps(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(values); i++) {
        const struct csv_column column = csv_column_of(values[i].header);
        int32_t got = 0;
        check_integer(values[i].header, csv_value(&column, values[i].number, &got), values[i].fits);
        if (values[i].fits) {
            check_integer(values[i].header, got, values[i].want);
        }
    }
}

/* Instants: computed with date -u -d; 1773480413 is 2026-03-14T09:26:53Z. */
static const struct {
    const char *date;
    const char *cell;
    bool reads;
    enum csv_time_form form;
    int64_t ms;
    bool has_offset;
    int32_t offset_s;
} times[] = {
    { NULL, "2026-03-14T09:26:53", true, CSV_TIME_INSTANT, 1773480413000, false, 0 },
    { NULL, "2026-03-14 09:26:53", true, CSV_TIME_INSTANT, 1773480413000, false, 0 },
    { NULL, "2026-03-14T09:26:53Z", true, CSV_TIME_INSTANT, 1773480413000, true, 0 },
    { NULL, "2026-03-14T10:26:53.250+01:00", true, CSV_TIME_INSTANT, 1773480413250, true, 3600 },
    { NULL, "2026/03/14 09:26:53", true, CSV_TIME_INSTANT, 1773480413000, false, 0 },
    { NULL, "14.03.2026 09:26:53", true, CSV_TIME_INSTANT, 1773480413000, false, 0 },
    { NULL, "Sat Mar 14 09:26:53 CET 2026", true, CSV_TIME_INSTANT, 1773480413000, false, 0 },
    { NULL, "Sun Sep 25 06:00:22 PDT 2011", true, CSV_TIME_INSTANT, 1316930422000, false, 0 },
    { NULL, "Sat Mar  7 09:26:53 2026", true, CSV_TIME_INSTANT, 1772875613000, false, 0 },
    { "2026-03-14", "09:26:53", true, CSV_TIME_INSTANT, 1773480413000, false, 0 },
    { "2026-03-14", "9:26:53", true, CSV_TIME_INSTANT, 1773480413000, false, 0 },
    { "14.03.2026", "09:26:53", true, CSV_TIME_INSTANT, 1773480413000, false, 0 },
    { NULL, "1773480413", true, CSV_TIME_INSTANT, 1773480413000, false, 0 },
    { NULL, "1773480413250", true, CSV_TIME_INSTANT, 1773480413250, false, 0 },
    { NULL, "0", true, CSV_TIME_NUMBER, 0, false, 0 },
    { NULL, "12.5", true, CSV_TIME_NUMBER, 12500, false, 0 },
    { NULL, "17217869", true, CSV_TIME_NUMBER, 17217869000, false, 0 },
    { NULL, "0:00:01", true, CSV_TIME_CLOCK, 1000, false, 0 },
    { NULL, "1:02:03.5", true, CSV_TIME_CLOCK, 3723500, false, 0 },
    { NULL, "26:53", true, CSV_TIME_CLOCK, 1613000, false, 0 },
    { NULL, "03/14/2026 09:26:53", false, 0, 0, false, 0 },
    { NULL, "2026-13-14T09:26:53", false, 0, 0, false, 0 },
    { NULL, "Sat Foo 14 09:26:53 CET 2026", false, 0, 0, false, 0 },
    { NULL, "1:75", false, 0, 0, false, 0 },
    { NULL, "1:2:3:4", false, 0, 0, false, 0 },
    { NULL, "", false, 0, 0, false, 0 },
    { NULL, "lap 1", false, 0, 0, false, 0 },
    { NULL, "9999999999999999", false, 0, 0, false, 0 },
};

static void test_csv_time__every_form_is_read(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(times); i++) {
        struct csv_time time = { 0 };
        check_integer(times[i].cell,
                      csv_time_read(times[i].date, times[i].cell, 1.0, false, &limits, &time),
                      times[i].reads);
        if (times[i].reads) {
            check_integer(times[i].cell, time.form, times[i].form);
            check_integer(times[i].cell, time.ms, times[i].ms);
            check_integer(times[i].cell, time.has_offset, times[i].has_offset);
            check_integer(times[i].cell, time.offset_s, times[i].offset_s);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_csv_columns__headers_are_known_by_their_common_spellings),
        cmocka_unit_test(test_csv_columns__every_channel_is_known_by_its_own_name),
        cmocka_unit_test(test_csv_columns__every_name_and_unit_of_the_tables_works),
        cmocka_unit_test(test_csv_columns__numbers_are_plain_decimals),
        cmocka_unit_test(test_csv_columns__marks_of_missing_values_are_known),
        cmocka_unit_test(test_csv_columns__values_are_rounded_once_into_the_channels_steps),
        cmocka_unit_test(test_csv_time__every_form_is_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
