/* tests/recording/test_csv_columns.c: headers, units, numbers, times of tables. */
#include "check.h"

#include "base/text.h"
#include "limits/limits.h"
#include "recording/csv_columns.h"
#include "recording/csv_numbers.h"
#include "recording/csv_time.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Spellings: the program's own names (JSON of a ride), and what exports of several kinds write:
 * common practice, no source.  NOTHING: another quantity. */
#define NOTHING CSV_MEANINGS
#define NO_UNIT 0.0 /* ours, but its unit isn't known or not read */
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
    { "power (w/kg)", CHANNEL_POWER, NO_UNIT },
    { "power (kW)", CHANNEL_POWER, NO_UNIT },
    { "power_kw", CHANNEL_POWER, NO_UNIT },
    { "power [?]", CHANNEL_POWER, NO_UNIT },
    { "PUISSANCE", CHANNEL_POWER, 10 },
    { "Leistung (Watt)", CHANNEL_POWER, 10 },
    { "watts_left", NOTHING, 0 },
    { "power_avg", NOTHING, 0 },
    { "heart_rate_bpm", CHANNEL_HEART_RATE, 10 },
    { "heart-rate", CHANNEL_HEART_RATE, 10 },
    { "HeartRate", CHANNEL_HEART_RATE, 10 },
    { "hr", CHANNEL_HEART_RATE, 10 },
    { " Heart Rate [bpm]", CHANNEL_HEART_RATE, 10 },
    { "hr_zone", NOTHING, 0 },
    { "hr (%)", CHANNEL_HEART_RATE, NO_UNIT },
    { "Fr\xC3\xA9quence cardiaque", CHANNEL_HEART_RATE, 10 },
    { "FRE\xCC\x81QUENCE-CARDIAQUE (bpm)", CHANNEL_HEART_RATE, 10 },
    { "cadence_rpm", CHANNEL_CADENCE, 10 },
    { "cad", CHANNEL_CADENCE, 10 },
    { "Cadence (rpm)", CHANNEL_CADENCE, 10 },
    { "speed_ms", CHANNEL_SPEED, 10 },
    { "speed (m/s)", CHANNEL_SPEED, 10 },
    { "Speed (km/h)", CHANNEL_SPEED, 10 / 3.6 },
    { "speed_kmh", CHANNEL_SPEED, 10 / 3.6 },
    { "speed mph", CHANNEL_SPEED, 4.4704 },
    { "speed (knots)", CHANNEL_SPEED, NO_UNIT },
    { "Speed km/h", CHANNEL_SPEED, 10 / 3.6 },
    { "Speed  MPH ", CHANNEL_SPEED, 4.4704 },
    { "Velocit\xC3\xA0 (km/h)", CHANNEL_SPEED, 10 / 3.6 },
    { "enhanced_speed", CHANNEL_SPEED, 10 },
    { "distance_m", CHANNEL_DISTANCE, 10 },
    { "Distance [km]", CHANNEL_DISTANCE, 10000 },
    { "dist (miles)", CHANNEL_DISTANCE, 16093.44 },
    { "altitude_m", CHANNEL_ALTITUDE, 10 },
    { "elevation", CHANNEL_ALTITUDE, 10 },
    { "ele", CHANNEL_ALTITUDE, 10 },
    { "alt (ft)", CHANNEL_ALTITUDE, 3.048 },
    { "H\xC3\xB6he [m]", CHANNEL_ALTITUDE, 10 },
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
    { "(w)", NOTHING, 0 },
    { "\xFFpower", NOTHING, 0 },
    { "a header that is much longer than any name could ever be, and then some more words", NOTHING,
      0 },
};

static void test_csv_columns__headers_are_known_by_their_common_spellings(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(headers); i++) {
        const struct csv_column column = csv_column_of(headers[i].header);
        check_integer(headers[i].header, column.meaning, headers[i].meaning);
        if (headers[i].of_ten == NO_UNIT) {
            check(column.unit == NULL);
        } else {
            check(column.unit != NULL);
            check_close(headers[i].header, 10.0 * column.unit->factor + column.unit->offset,
                        headers[i].of_ten, 1e-12);
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

/* Every row of the table can be reached: a name that another row hides would be dead. */
static void test_csv_columns__every_name_and_unit_of_the_tables_works(void **state)
{
    (void)state;
    for (size_t i = 0; i < csv_n_names; i++) {
        const struct csv_name *row = &csv_names[i];
        const struct csv_column column = csv_column_of(row->name);
        check_integer(row->name, column.meaning, row->meaning);
        check_integer(row->name, column.rank, row->rank);
        check(column.unit == csv_unit_find(row->meaning, row->unit));
    }
    struct arena *arena = arena_open();
    for (size_t i = 0; i < csv_n_units; i++) {
        const struct csv_unit *row = &csv_units[i];
        static const char *const bare[CSV_MEANINGS] = {
            "power",       "hr",  "cadence", "speed",        "distance", "altitude",
            "temperature", "lat", "lon",     "balance_left", "time",     "date",
        };
        const char *header = arena_format(arena, "%s (%s)", bare[row->meaning], row->unit);
        const struct csv_column column = csv_column_of(header);
        check_integer(header, column.meaning, row->meaning);
        check(column.unit == (row->factor > 0.0 ? row : NULL));
    }
    arena_close(arena);
}

/* ---- the table in docs/formats.md ---- */

static void add_units(struct text *text, int meaning)
{
    for (size_t i = 0; i < csv_n_units; i++) {
        const struct csv_unit *row = &csv_units[i];
        if (row->meaning != meaning) {
            continue;
        }
        text_add_format(text, "%s`%s`", row == csv_unit_find(meaning, NULL) ? "" : ", ", row->unit);
        if (row->factor == 0.0) {
            text_add(text, " (not read)");
        } else if (row->factor != 1.0 || row->offset != 0.0) {
            text_add_format(text, " x %.8g", row->factor);
            if (row->offset != 0.0) {
                text_add_format(text, " - %.8g", -row->offset);
            }
        }
        if (row->two_parts_s > 0) {
            text_add_format(text, " (`26:53` is %s)", row->two_parts_s == 1 ? "minutes" : "hours");
        }
    }
}

static void add_names(struct text *text, int meaning)
{
    bool first = true;
    for (size_t i = 0; i < csv_n_names; i++) {
        const struct csv_name *row = &csv_names[i];
        if (row->meaning == meaning) {
            const bool next_rank = !first && row->rank != csv_names[i - 1].rank;
            text_add_format(text, "%s`%s`", first ? "" : next_rank ? "; " : ", ", row->name);
            if (row->unit != NULL) {
                text_add_format(text, " (in %s)", row->unit);
            }
            first = false;
        }
    }
}

/* The program's table as docs/formats.md must show it. */
static const char *documented_table(struct arena *arena)
{
    struct text text = text_begin(arena, 1u << 16);
    text_add(&text, "| meaning | names | units |\n| --- | --- | --- |\n");
    for (int k = 0; k < CSV_MEANINGS; k++) {
        /* Time and date first. */
        const int meaning = (k + CSV_TIME) % CSV_MEANINGS;
        text_add_format(&text, "| %s | ", csv_meaning_name(meaning));
        add_names(&text, meaning);
        text_add(&text, " | ");
        add_units(&text, meaning);
        text_add(&text, " |\n");
    }
    return text.bytes;
}

static void test_csv_columns__the_documents_show_the_table_as_it_is(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    check(files_read(arena, PLUMBLINE_SOURCE "/docs/formats.md", 1u << 20, &bytes, &err));
    const char *docs = arena_format(arena, "%.*s", (int)bytes.size, (const char *)bytes.at);
    const char *want = documented_table(arena);
    if (strstr(docs, want) == NULL) {
        /* Longer than what print_error takes. */
        printf("# docs/formats.md must hold:\n%s", want);
        fflush(stdout);
    }
    check(strstr(docs, want) != NULL);
    /* And no other table of names beside it. */
    const char *title = strstr(docs, "| meaning | names |");
    check(title != NULL && strstr(title + 1, "| meaning | names |") == NULL);
    arena_close(arena);
}

static void test_csv_columns__a_column_that_is_named_keeps_its_unit(void **state)
{
    (void)state;
    static const struct {
        const char *header;
        int meaning;
        double factor; /* 0: its unit isn't known */
    } rows[] = {
        { "Meter 2", CHANNEL_POWER, 1 },         { "Meter 2 (W)", CHANNEL_POWER, 1 },
        { "Meter 2 [kW]", CHANNEL_POWER, 0 },    { "gps (km/h)", CHANNEL_SPEED, 1 / 3.6 },
        { "wheel_mph", CHANNEL_SPEED, 0.44704 }, { "wheel_bpm", CHANNEL_SPEED, 0 },
        { "clock (ms)", CSV_TIME, 0.001 },       { "power", CHANNEL_HEART_RATE, 1 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct csv_column column = csv_column_as(rows[i].header, rows[i].meaning);
        check_integer(rows[i].header, column.meaning, rows[i].meaning);
        check_near(rows[i].header, column.unit == NULL ? 0.0 : column.unit->factor, rows[i].factor,
                   1e-15);
    }
    check(csv_column_is_named("Heart Rate", "heart_rate"));
    check(csv_column_is_named("Puissance \xC3\xA9tal", "puissance etal"));
    check(!csv_column_is_named("Heart Rate", "heart"));
    check(csv_meaning_find("heart-rate") == CHANNEL_HEART_RATE);
    check(csv_meaning_find("heart") == CSV_MEANINGS);
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

static bool read_number(const char *cell, bool decimal_comma, double *value)
{
    struct csv_number number = { 0 };
    const enum csv_cell kind = csv_cell_read(cell, decimal_comma, &number);
    *value = number.value;
    return kind == CSV_CELL_NUMBER;
}

static void test_csv_columns__numbers_are_plain_decimals(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(numbers); i++) {
        double got = 0;
        check_integer(numbers[i].cell, read_number(numbers[i].cell, numbers[i].decimal_comma, &got),
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
        check_integer(missing[i], csv_cell_is_missing(missing[i]), true);
    }
    for (size_t i = 0; i < COUNT(present); i++) {
        check_integer(present[i], csv_cell_is_missing(present[i]), false);
    }
}

/* By hand.  OTHER: no number; GROUPED: digits in groups of three with a mark between. */
static const struct {
    const char *cell;
    bool decimal_comma;
    enum csv_cell kind;
    char mark;
    bool grouped;
} looks[] = {
    { "1.234", false, CSV_CELL_NUMBER, '.', true },
    { "1,234", true, CSV_CELL_NUMBER, ',', true },
    { "1.234", true, CSV_CELL_NUMBER, '.', true },
    { "0.234", false, CSV_CELL_NUMBER, '.', false },
    { "1234.567", false, CSV_CELL_NUMBER, '.', false },
    { "12.5", false, CSV_CELL_NUMBER, '.', false },
    { "-12,5", true, CSV_CELL_NUMBER, ',', false },
    { "250", false, CSV_CELL_NUMBER, 0, false },
    { "1,234", false, CSV_CELL_GROUPED, 0, false },
    { "-1,234", false, CSV_CELL_GROUPED, 0, false },
    { "1,234.5", false, CSV_CELL_GROUPED, 0, false },
    { "1.234,5", true, CSV_CELL_GROUPED, 0, false },
    { "1,234,567", true, CSV_CELL_GROUPED, 0, false },
    { "1.234.567", false, CSV_CELL_GROUPED, 0, false },
    { "1 234", false, CSV_CELL_GROUPED, 0, false },
    { "1'234", false, CSV_CELL_GROUPED, 0, false },
    { "1\xC2\xA0"
      "234",
      false, CSV_CELL_GROUPED, 0, false },
    { "1\xA0"
      "234",
      false, CSV_CELL_GROUPED, 0, false },
    { "1,23", false, CSV_CELL_OTHER, 0, false },
    { "1234,567", false, CSV_CELL_OTHER, 0, false },
    { "1,2345", false, CSV_CELL_OTHER, 0, false },
    { "14.03.2026", false, CSV_CELL_OTHER, 0, false },
    { "NA", false, CSV_CELL_MISSING, 0, false },
};

static void test_csv_columns__separators_of_thousands_are_seen(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(looks); i++) {
        struct csv_number number = { 0 };
        check_integer(looks[i].cell, csv_cell_read(looks[i].cell, looks[i].decimal_comma, &number),
                      looks[i].kind);
        if (looks[i].kind == CSV_CELL_NUMBER) {
            check_integer(looks[i].cell, number.mark, looks[i].mark);
            check_integer(looks[i].cell, number.grouped, looks[i].grouped);
        }
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
        const struct csv_scale scale = csv_scale_of(&column);
        int32_t got = 0;
        check_integer(values[i].header, csv_value(&scale, values[i].number, &got), values[i].fits);
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
    { NULL, "2026-03-14 09:26", true, CSV_TIME_INSTANT, 1773480360000, false, 0 },
    { NULL, "20260314T092653", true, CSV_TIME_INSTANT, 1773480413000, false, 0 },
    { NULL, "20260314T102653+0100", true, CSV_TIME_INSTANT, 1773480413000, true, 3600 },
    { NULL, "2026-03-14 09:26:53 AM", true, CSV_TIME_INSTANT, 1773480413000, false, 0 },
    { NULL, "14.3.2026 9:26:53", true, CSV_TIME_INSTANT, 1773480413000, false, 0 },
    { "2026-03-14", "9:26:53 am", true, CSV_TIME_INSTANT, 1773480413000, false, 0 },
    { "2026-03-14", "9:26", true, CSV_TIME_INSTANT, 1773480360000, false, 0 },
    { NULL, "9:26:53 p.m.", true, CSV_TIME_CLOCK, 77213000, false, 0 },
    { NULL, "12:00:01 AM", true, CSV_TIME_CLOCK, 1000, false, 0 },
    { NULL, "03/14/2026 09:26:53", false, 0, 0, false, 0 },
    { NULL, "13:00:00 PM", false, 0, 0, false, 0 },
    { NULL, "2026-02-30 09:26:53", false, 0, 0, false, 0 },
    { NULL, "2026-03-14", false, 0, 0, false, 0 },
    { NULL, "2026-03-14 09:26:53 garbage", false, 0, 0, false, 0 },
    { NULL, "2026-13-14T09:26:53", false, 0, 0, false, 0 },
    { NULL, "Sat Foo 14 09:26:53 CET 2026", false, 0, 0, false, 0 },
    { NULL, "1:75", false, 0, 0, false, 0 },
    { NULL, "1:2:3:4", false, 0, 0, false, 0 },
    { NULL, "", false, 0, 0, false, 0 },
    { NULL, "lap 1", false, 0, 0, false, 0 },
    { NULL, "9999999999999999", false, 0, 0, false, 0 },
};

static struct csv_time_rules plain_rules(void)
{
    return (struct csv_time_rules){ .unit_s = 1.0,
                                    .unix_from_s = limits_default().value[LIMIT_CSV_UNIX_FROM_S] };
}

static void test_csv_time__every_form_is_read(void **state)
{
    (void)state;
    const struct csv_time_rules rules = plain_rules();
    for (size_t i = 0; i < COUNT(times); i++) {
        struct csv_time time = { 0 };
        check_integer(times[i].cell, csv_time_read(times[i].date, times[i].cell, &rules, &time),
                      times[i].reads);
        if (times[i].reads) {
            check_integer(times[i].cell, time.form, times[i].form);
            check_integer(times[i].cell, time.ms, times[i].ms);
            check_integer(times[i].cell, time.has_offset, times[i].has_offset);
            check_integer(times[i].cell, time.offset_s, times[i].offset_s);
        }
    }
}

/* Instants: date -u -d 2026-03-14T09:26:53Z +%s, and 2026-04-03. */
static void test_csv_time__dates_with_strokes_are_read_in_the_order_that_is_known(void **state)
{
    (void)state;
    static const struct {
        const char *cell;
        bool needs;
        enum csv_date_order shown;
        enum csv_date_order known;
        int64_t s; /* 0: not read */
    } rows[] = {
        { "14/03/2026 09:26:53", true, CSV_ORDER_DAY_FIRST, CSV_ORDER_DAY_FIRST, 1773480413 },
        { "14-03-2026 09:26:53", true, CSV_ORDER_DAY_FIRST, CSV_ORDER_DAY_FIRST, 1773480413 },
        { "3/14/2026 9:26:53 AM", true, CSV_ORDER_MONTH_FIRST, CSV_ORDER_MONTH_FIRST, 1773480413 },
        { "3/14/2026 9:26:53 PM", true, CSV_ORDER_MONTH_FIRST, CSV_ORDER_MONTH_FIRST, 1773523613 },
        { "3/14/2026, 9:26:53 AM", true, CSV_ORDER_MONTH_FIRST, CSV_ORDER_MONTH_FIRST, 1773480413 },
        { "03/04/2026 09:26:53", true, CSV_ORDER_OPEN, CSV_ORDER_DAY_FIRST, 1775208413 },
        { "04/03/2026 09:26:53", true, CSV_ORDER_OPEN, CSV_ORDER_MONTH_FIRST, 1775208413 },
        { "03/04/2026 09:26:53", true, CSV_ORDER_OPEN, CSV_ORDER_OPEN, 0 },
        { "14/03/2026 09:26:53", true, CSV_ORDER_DAY_FIRST, CSV_ORDER_MONTH_FIRST, 0 },
        { "14/14/2026 09:26:53", true, CSV_ORDER_OPEN, CSV_ORDER_DAY_FIRST, 0 },
        { "14/03/26 09:26:53", false, CSV_ORDER_OPEN, CSV_ORDER_DAY_FIRST, 0 },
        { "14.03.2026 09:26:53", false, CSV_ORDER_OPEN, CSV_ORDER_OPEN, 1773480413 },
        { "2026/03/14 09:26:53", false, CSV_ORDER_OPEN, CSV_ORDER_OPEN, 1773480413 },
        { "0:00:01", false, CSV_ORDER_OPEN, CSV_ORDER_DAY_FIRST, -1 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        enum csv_date_order shown = CSV_ORDER_OPEN;
        struct csv_time time = { 0 };
        struct csv_time_rules rules = plain_rules();
        rules.order = rows[i].known;
        check_integer(rows[i].cell, csv_time_needs_order(rows[i].cell, &shown), rows[i].needs);
        check_integer(rows[i].cell, shown, rows[i].shown);
        check_integer(rows[i].cell, csv_time_read(NULL, rows[i].cell, &rules, &time),
                      rows[i].s != 0);
        if (rows[i].s > 0) {
            check_integer(rows[i].cell, time.ms, rows[i].s * 1000);
        }
    }
}

/* Of one column in turn: the same as each cell alone, whatever came before it. */
static void test_csv_time__cells_in_turn_are_the_same_as_alone(void **state)
{
    (void)state;
    static const char *const days[] = {
        "2026-03-14 ", "2026-03-14T", "2026-02-30 ", "2026-03-15 ", "14.03.2026 ",
        "04/03/2026 ", "2026/03/14 ", "Sat Mar 14 ", " 2026-03-14", "",
        "2026-03-1",   "3/14/2026, "
    };
    static const char *const clocks[] = { "09:26:53", "00:00:00", "23:59:59", "23:59:60",
                                          "24:00:00", "09:60:00", "09:26",    "9:26:53",
                                          "09:26:5x", "09-26:53", "100",      "1773480413" };
    static const char *const tails[] = { "", "", "", "Z", "Z", "+01:00", ".5", " PM", "Zulu", " " };
    struct csv_time_rules rules = plain_rules();
    uint32_t dice = 20260314;
    size_t read = 0;
    for (size_t round = 0; round < 3000; round++) {
        struct csv_time_day day = { 0 };
        rules.order = (enum csv_date_order)(round % 3);
        for (size_t i = 0; i < 6; i++) {
            char cell[64];
            dice = dice * 1664525 + 1013904223;
            const uint32_t side = dice >> 8;
            snprintf(cell, sizeof cell, "%s%s%s", days[side % 5 < 3 ? 0 : side / 5 % COUNT(days)],
                     clocks[side / 60 % COUNT(clocks)], tails[side / 720 % COUNT(tails)]);
            struct csv_time alone = { 0 };
            struct csv_time in_turn = { 0 };
            const bool reads = csv_time_read(NULL, cell, &rules, &alone);
            check_integer(cell, csv_time_read_next(&day, cell, &rules, &in_turn), reads);
            read += reads ? 1 : 0;
            if (reads) {
                check_integer(cell, in_turn.form, alone.form);
                check_integer(cell, in_turn.ms, alone.ms);
                check_integer(cell, in_turn.has_offset, alone.has_offset);
                check_integer(cell, in_turn.offset_s, alone.offset_s);
                check_integer(cell, in_turn.has_two_parts, alone.has_two_parts);
            }
        }
    }
    check(read > 5000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_csv_columns__headers_are_known_by_their_common_spellings),
        cmocka_unit_test(test_csv_columns__every_channel_is_known_by_its_own_name),
        cmocka_unit_test(test_csv_columns__every_name_and_unit_of_the_tables_works),
        cmocka_unit_test(test_csv_columns__the_documents_show_the_table_as_it_is),
        cmocka_unit_test(test_csv_columns__a_column_that_is_named_keeps_its_unit),
        cmocka_unit_test(test_csv_columns__numbers_are_plain_decimals),
        cmocka_unit_test(test_csv_columns__separators_of_thousands_are_seen),
        cmocka_unit_test(test_csv_columns__marks_of_missing_values_are_known),
        cmocka_unit_test(test_csv_columns__values_are_rounded_once_into_the_channels_steps),
        cmocka_unit_test(test_csv_time__every_form_is_read),
        cmocka_unit_test(test_csv_time__dates_with_strokes_are_read_in_the_order_that_is_known),
        cmocka_unit_test(test_csv_time__cells_in_turn_are_the_same_as_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
