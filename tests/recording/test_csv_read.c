/* tests/recording/test_csv_read.c: tables as recordings, and tables that are refused. */
#include "check.h"

#include "recording/csv_read.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

static struct bytes bytes_of(const char *text)
{
    return (struct bytes){ (const uint8_t *)text, strlen(text) };
}

static bool read_text(struct arena *arena, const char *text, struct recordings *out,
                      struct error *err)
{
    static const struct read_options options = { .file = "ride.csv" };
    const struct limits limits = limits_default();
    *out = (struct recordings){ 0 };
    *err = (struct error){ 0 };
    return csv_read(arena, bytes_of(text), &options, &limits, out, err);
}

/* The only recording of a text that must be read. */
static const struct recording *read_one(struct arena *arena, const char *text)
{
    struct recordings recordings = { 0 };
    struct error err = { 0 };
    if (!read_text(arena, text, &recordings, &err)) {
        print_error("# %s\n", err.message);
        fail();
    }
    check_integer("recordings", (int64_t)recordings.count, 1);
    return recordings.items[0];
}

static const struct finding *find(const struct recording *recording, const char *code)
{
    for (size_t i = 0; i < recording->n_findings; i++) {
        if (strcmp(recording->findings[i].code, code) == 0) {
            return &recording->findings[i];
        }
    }
    return NULL;
}

static double number_of(const struct finding *finding, const char *name)
{
    for (size_t i = 0; finding != NULL && i < finding->n_numbers; i++) {
        if (strcmp(finding->numbers[i].name, name) == 0) {
            return finding->numbers[i].value;
        }
    }
    return (double)NAN;
}

/* The same ride, written in every way that a table may be written. */
static const char *const same_ride[] = {
    "seconds,power_w,heart_rate_bpm,speed_ms\n0,150,102,4.325\n1,161,103,4.336\n2,,104,\n",
    "seconds;power_w;heart_rate_bpm;speed_ms\n0;150;102;4,325\n1;161;103;4,336\n2;;104;\n",
    "seconds\tpower_w\theart_rate_bpm\tspeed_ms\r\n0\t150\t102\t4.325\r\n1\t161\t103\t4.336\r\n"
    "2\tNA\t104\tNaN",
    "\xEF\xBB\xBFSeconds,Power (W),Heart Rate [bpm],Speed (m/s)\n0,150,102,4.325\n1,161,103,4.336\n"
    "2,null,104,-\n",
    "note,speed_kmh,hr,watts,time\n\"a, b\",15.57,102.0,150.0,0:00:00\n,15.6096,103,161,0:00:01\n"
    "x,,104,,0:00:02\n\n",
    "\"seconds\",\"power\",\"heart-rate\",\"speed\"\r\n\"0\",\"150\",\"102\",\"4.325\"\r\n"
    "\"1\",\"161\",\"103\",\"4.336\"\r\n\"2\",\"\",\"104\",\"\"\r\n",
    "seconds,power,hr,speed,temp (\xB0"
    "C)\n0,150,102,4.325,\n1,161,103,4.336,\n2,,104,,\n",
    "seconds,power,hr,speed\n2,,104,\n1,161,103,4.336\n0,150,102,4.325\n",
    "unix,timestamp,power,hr,speed\n1,1000,150,102,4.325\n2,1001,161,103,4.336\n3,1002,,104,\n",
};

static void test_csv_read__one_ride_in_every_way_of_writing_it(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(same_ride); i++) {
        struct arena *arena = arena_open();
        check(csv_probe(bytes_of(same_ride[i])));
        const struct recording *ride = read_one(arena, same_ride[i]);
        static const int32_t power[3] = { 150, 161, RECORDING_MISSING };
        static const int32_t heart[3] = { 102, 103, 104 };
        static const int32_t speed[3] = { 4325, 4336, RECORDING_MISSING };
        check_integer(same_ride[i], (int64_t)ride->samples.count, 3);
        check_integer(same_ride[i], (int64_t)ride->n_seconds, 3);
        for (size_t k = 0; k < 3; k++) {
            check_integer(same_ride[i], ride->samples.time_s[k], (int64_t)k);
            check_integer(same_ride[i], ride->samples.value[CHANNEL_POWER][k], power[k]);
            check_integer(same_ride[i], ride->samples.value[CHANNEL_HEART_RATE][k], heart[k]);
            check_integer(same_ride[i], ride->samples.value[CHANNEL_SPEED][k], speed[k]);
        }
        check(ride->samples.value[CHANNEL_CADENCE] == NULL);
        check(ride->samples.value[CHANNEL_TEMPERATURE] == NULL);
        check_integer("format", ride->format, FORMAT_CSV);
        check_integer("part", (int64_t)ride->part, 1);
        check_integer("parts", (int64_t)ride->parts, 1);
        check(!ride->has_start_utc && !ride->has_utc_offset);
        check(isnan(ride->device_timer_s) && isnan(ride->effort_0_10));
        arena_close(arena);
    }
}

static void test_csv_read__what_it_says_of_the_start(void **state)
{
    (void)state;
    /* 1773480413 = 2026-03-14T09:26:53Z (date -u). */
    static const struct {
        const char *time;
        bool has_start;
        int64_t start;
        bool has_offset;
        int32_t offset;
    } rows[] = {
        { "2026-03-14T09:26:53", true, 1773480413, false, 0 },
        { "2026-03-14 09:26:53", true, 1773480413, false, 0 },
        { "2026-03-14T10:26:53+01:00", true, 1773480413, true, 3600 },
        { "1773480413", true, 1773480413, false, 0 },
        { "17", false, 0, false, 0 },
        { "09:26:53", false, 0, false, 0 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct recording *ride =
            read_one(arena, arena_format(arena, "timestamp,power\n%s,150\n", rows[i].time));
        check_integer(rows[i].time, ride->has_start_utc, rows[i].has_start);
        check_integer(rows[i].time, ride->start_utc, rows[i].start);
        check_integer(rows[i].time, ride->has_utc_offset, rows[i].has_offset);
        check_integer(rows[i].time, ride->utc_offset_s, rows[i].offset);
        check_integer(rows[i].time, (int64_t)ride->n_seconds, 1);
        arena_close(arena);
    }
}

static void test_csv_read__a_date_and_a_time_column_are_read_as_one(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct recording *ride =
        read_one(arena, "date,time,power\n2026-03-14,09:26:53,150\n2026-03-14,09:26:54,151\n");
    check(ride->has_start_utc);
    check_integer("start", ride->start_utc, 1773480413);
    check_integer("seconds", (int64_t)ride->n_seconds, 2);
    arena_close(arena);
}

static void test_csv_read__a_clock_passes_midnight(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct recording *ride =
        read_one(arena, "time,power\n23:59:58,1\n23:59:59,2\n00:00:00,3\n00:00:01,4\n");
    check_integer("seconds", (int64_t)ride->n_seconds, 4);
    check_integer("last", ride->value[CHANNEL_POWER][3], 4);
    arena_close(arena);
}

static void test_csv_read__sport_is_assumed_and_said(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct recording *ride = read_one(arena, "sec,power,hr\n0,150,120\n");
    check(ride->is_ride && ride->sport == SPORT_UNKNOWN);
    check(find(ride, "sport-assumed") != NULL);
    const struct recording *heart_only = read_one(arena, "sec,hr\n0,120\n");
    check(!heart_only->is_ride);
    check(find(heart_only, "sport-assumed") == NULL);
    arena_close(arena);
}

/* n rows at one a second from `from`, power 100. */
static void add_rows(struct text *text, int from, int n)
{
    for (int i = 0; i < n; i++) {
        text_add_format(text, "%d,100\n", from + i);
    }
}

static void test_csv_read__bad_rows_are_named_and_too_many_refused(void **state)
{
    (void)state;
    static const struct {
        const char *bad;
        const char *detail;
        size_t samples;              /* of 40 good rows and the bad one */
        const char *detail_of_three; /* where it differs when three follow one another */
    } rows[] = {
        { "40,abc\n", "power_w \"abc\"", 41, NULL },
        { "40,99999\n", "power_w \"99999\"", 41, NULL },
        { "x,100\n", "time \"x\"", 40, NULL },
        { ",100\n", "time \"\"", 40, NULL },
        { "40\n", "has too few cells", 40, NULL },
        { "40,100,7\n", "has more cells than the headers, with \"7\"", 40, NULL },
        { "40,\"100\n", "has a quote that isn't closed", 40, "has text behind a closing quote" },
        { "40,\"1\"0\n", "has text behind a closing quote", 40, NULL },
        { "2026-03-14T09:26:53,100\n", "time \"2026-03-14T09:26:53\"", 40, NULL },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct text text = text_begin(arena, 1u << 20);
        text_add(&text, "seconds,power\n");
        add_rows(&text, 0, 40);
        text_add(&text, rows[i].bad);
        const struct recording *ride = read_one(arena, text.bytes);
        const struct finding *finding = find(ride, "bad-rows");
        check(finding != NULL);
        check_near(rows[i].bad, number_of(finding, "rows"), 1, 0);
        check_near(rows[i].bad, number_of(finding, "of"), 41, 0);
        check_near(rows[i].bad, number_of(finding, "first_line"), 42, 0);
        check_text(rows[i].bad, finding->detail, rows[i].detail);
        check_integer(rows[i].bad, (int64_t)ride->samples.count, (int64_t)rows[i].samples);

        /* Three of 43 are more than 5 %. */
        struct recordings out = { 0 };
        struct error err = { 0 };
        text_add(&text, rows[i].bad);
        text_add(&text, rows[i].bad);
        check(!read_text(arena, text.bytes, &out, &err));
        check_integer(rows[i].bad, err.kind, ERROR_INPUT);
        check_text(rows[i].bad, err.message,
                   arena_format(
                       arena, "ride.csv: 3 of 43 rows can't be read; the first is line 42: %s",
                       rows[i].detail_of_three != NULL ? rows[i].detail_of_three : rows[i].detail));
        arena_close(arena);
    }
}

static const struct {
    const char *name;
    const char *text;
    const char *message;
} refused[] = {
    { "no time", "power,hr\n1,2\n",
      "ride.csv: no column of time; name one \"seconds\" or \"timestamp\" (found: power, hr)" },
    { "neither power nor heart rate", "time,speed (m/s),\"cadence\"\n0,1,2\n",
      "ride.csv: no column of power or heart rate; name it \"power_w\" or \"heart_rate_bpm\" "
      "(found: time, speed (m/s), cadence)" },
    { "power of another kind", "time,power (w/kg)\n0,1\n",
      "ride.csv: no column of power or heart rate; name it \"power_w\" or \"heart_rate_bpm\" "
      "(found: time, power (w/kg))" },
    { "no rows", "time,power\n", "ride.csv: holds headers but no rows" },
    { "nothing but blanks", " \n\n", "ride.csv: holds no row of headers" },
    { "an ambiguous date", "time,power\n03/14/2026 09:26:53,1\n",
      "ride.csv: 1 of 1 rows can't be read; the first is line 2: time \"03/14/2026 09:26:53\"" },
    { "letters beyond ASCII in Latin-1", "Zeit,Pulsfrequenz,\xD6l\n0,1,2\n",
      "ride.csv: no column of time; name one \"seconds\" or \"timestamp\" (found: Zeit, "
      "Pulsfrequenz, \xC3\x96l)" },
    { "longer than 48 h", "seconds,power\n0,1\n40000,1\n80000,1\n120000,1\n160000,1\n180000,1\n",
      "ride.csv: a recording of more than 48 h; is the time in seconds?" },
};

static void test_csv_read__refusals_say_what_is_wrong_and_where(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(refused); i++) {
        struct arena *arena = arena_open();
        struct recordings out = { 0 };
        struct error err = { 0 };
        check_integer(refused[i].name, read_text(arena, refused[i].text, &out, &err), false);
        check_text(refused[i].name, err.message, refused[i].message);
        arena_close(arena);
    }
}

static void test_csv_read__times_that_run_back(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct recordings out = { 0 };
    struct error err = { 0 };

    /* 60 s back: the row is dropped; 61 s back: another recording. */
    struct text text = text_begin(arena, 1u << 20);
    text_add(&text, "seconds,power\n");
    add_rows(&text, 0, 101);
    text_add(&text, "40,999\n41,999\n");
    add_rows(&text, 101, 10);
    const struct recording *ride = read_one(arena, text.bytes);
    check_integer("samples", (int64_t)ride->samples.count, 113);
    check_integer("seconds", (int64_t)ride->n_seconds, 111);
    check_integer("grid", ride->value[CHANNEL_POWER][40], 100);
    check_near("rows", number_of(find(ride, "clock"), "rows"), 2, 0);
    check_near("back", number_of(find(ride, "clock"), "most_back_s"), 60, 0);

    text = text_begin(arena, 1u << 20);
    text_add(&text, "seconds,power\n");
    add_rows(&text, 0, 101);
    add_rows(&text, 39, 10);
    check(read_text(arena, text.bytes, &out, &err));
    check_integer("recordings", (int64_t)out.count, 2);
    check_integer("first", (int64_t)out.items[0]->n_seconds, 101);
    check_integer("second", (int64_t)out.items[1]->n_seconds, 10);
    check_integer("part", (int64_t)out.items[1]->part, 2);
    check_integer("parts", (int64_t)out.items[1]->parts, 2);

    /* 12 h ahead is a pause of one ride still, more is another. */
    check(read_text(arena, "seconds,power\n0,1\n1,1\n43201,1\n43202,1\n", &out, &err));
    check_integer("12 h", (int64_t)out.count, 1);
    check(read_text(arena, "seconds,power\n0,1\n1,1\n43202,1\n43203,1\n", &out, &err));
    check_integer("more", (int64_t)out.count, 2);

    /* One wild time is no clock that was set. */
    const struct recording *wild =
        read_one(arena, "seconds,power\n0,1\n1,2\n90000,3\n3,4\n4,5\n5,6\n");
    check_integer("seconds", (int64_t)wild->n_seconds, 6);
    check_near("rows", number_of(find(wild, "clock"), "rows"), 1, 0);
    arena_close(arena);
}

static void test_csv_read__a_table_with_the_newest_row_first_is_turned_round(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct recording *ride = read_one(arena, "seconds,power\n3,4\n2,3\n1,2\n0,1\n");
    check_integer("seconds", (int64_t)ride->n_seconds, 4);
    for (int i = 0; i < 4; i++) {
        check_integer("power", ride->value[CHANNEL_POWER][i], i + 1);
    }
    check_near("said", number_of(find(ride, "clock"), "turned_round"), 1, 0);
    arena_close(arena);
}

static void test_csv_read__a_gap_is_a_pause_unless_the_rider_went_on(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        const char *text;
        size_t pauses;
        int32_t from_s, to_s;
    } rows[] = {
        { "10 s without rows", "sec,power\n0,1\n1,1\n2,1\n12,1\n13,1\n", 0, 0, 0 },
        { "11 s without rows", "sec,power\n0,1\n1,1\n2,1\n13,1\n14,1\n", 1, 3, 13 },
        { "distance stood", "sec,power,distance\n0,1,0\n1,1,9\n2,1,18\n62,1,30\n63,1,39\n", 1, 3,
          62 },
        { "distance went on", "sec,power,distance\n0,1,0\n1,1,9\n2,1,18\n62,1,500\n63,1,509\n", 0,
          0, 0 },
        { "a rare rhythm", "sec,power\n0,1\n20,1\n40,1\n60,1\n100,1\n120,1\n", 0, 0, 0 },
        { "a gap in a rare rhythm", "sec,power\n0,1\n20,1\n40,1\n60,1\n121,1\n141,1\n", 1, 61,
          121 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct recording *ride = read_one(arena, rows[i].text);
        check_integer(rows[i].name, (int64_t)ride->n_pauses, (int64_t)rows[i].pauses);
        if (rows[i].pauses > 0) {
            check_integer(rows[i].name, ride->pauses[0].from_s, rows[i].from_s);
            check_integer(rows[i].name, ride->pauses[0].to_s, rows[i].to_s);
        }
        arena_close(arena);
    }
}

static void test_csv_read__fractions_of_a_second_are_rounded_from_the_first_row(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct recording *ride =
        read_one(arena, "seconds,power\n0.4,1\n1.38,2\n2.41,3\n3.9,4\n4.39,5\n");
    static const int32_t want[] = { 0, 1, 2, 4, 4 };
    for (size_t i = 0; i < COUNT(want); i++) {
        check_integer("time", ride->samples.time_s[i], want[i]);
    }
    arena_close(arena);
}

/* Content decides: nothing that another reader owns, nothing that isn't text. */
static const struct {
    const char *name;
    const char *bytes;
    size_t size; /* 0: up to the zero */
    bool is_table;
} probes[] = {
    { "a table", "time,power\n0,1\n", 0, true },
    { "a table behind a byte order mark", "\xEF\xBB\xBFtime;power\n0;1\n", 0, true },
    { "Latin-1", "temps,\xE9l\xE9vation\n0,1\n", 0, true },
    { "blank lines first", "\n\ntime\tpower\n", 0, true },
    { "empty", "", 0, false },
    { "one word", "hello\n", 0, false },
    { "XML", "<?xml version=\"1.0\"?>\n<a b=\"1,2\"/>\n", 0, false },
    { "XML behind a mark", "\xEF\xBB\xBF <gpx a=\"1,2\">\n", 0, false },
    { "JSON", "{\"a\":1,\"b\":2}\n", 0, false },
    { "a FIT header", "\x0E\x10\xD9\x07\x00\x00\x00\x00.FIT,\n", 14, false },
    { "a zero in it", "time,power\n0,\0\n", 15, false },
    { "UTF-16", "t\0,\0p\0\n\0", 8, false },
    { "neither UTF-8 nor Latin-1", "time,power\n0,\x81\x90\n", 0, false },
};

static void test_csv_probe__takes_plausible_text_tables_only(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(probes); i++) {
        struct bytes bytes = bytes_of(probes[i].bytes);
        bytes.size = probes[i].size > 0 ? probes[i].size : bytes.size;
        check_integer(probes[i].name, csv_probe(bytes), probes[i].is_table);
    }
}

static void test_csv_read__caps_hold(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct recordings out = { 0 };
    struct error err = { 0 };
    /* 257 columns. */
    struct text text = text_begin(arena, 1u << 24);
    text_add(&text, "seconds,power");
    for (int i = 0; i < 255; i++) {
        text_add(&text, ",x");
    }
    text_add(&text, "\n0,1\n");
    check(!read_text(arena, text.bytes, &out, &err));
    check_text("columns", err.message, "ride.csv: line 1, the headers, has too many cells");

    /* 1000 recordings, and one more. */
    text = text_begin(arena, 1u << 24);
    text_add(&text, "seconds,power\n");
    for (int i = 0; i < 1001; i++) {
        text_add_format(&text, "%d,1\n%d,1\n", i * 50000, i * 50000 + 1);
    }
    check(!read_text(arena, text.bytes, &out, &err));
    check_integer("kind", err.kind, ERROR_TOO_LARGE);
    check_text("recordings", err.message,
               "ride.csv: the time jumps more than 1000 times; is it one recording?");

    /* Few rows that ask for many hours of grid. */
    text = text_begin(arena, 1u << 24);
    text_add(&text, "seconds,power,hr,cadence,speed,distance,altitude,temp\n");
    for (int i = 0; i < 300; i++) {
        for (int k = 0; k < 4; k++) {
            text_add_format(&text, "%d,1,1,1,1,1,1,1\n", i * 250000 + k * 43000);
        }
    }
    const size_t before = arena_bytes(arena);
    check(!read_text(arena, text.bytes, &out, &err));
    check_integer("kind", err.kind, ERROR_TOO_LARGE);
    check(arena_bytes(arena) - before < 1000000);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_csv_read__one_ride_in_every_way_of_writing_it),
        cmocka_unit_test(test_csv_read__what_it_says_of_the_start),
        cmocka_unit_test(test_csv_read__a_date_and_a_time_column_are_read_as_one),
        cmocka_unit_test(test_csv_read__a_clock_passes_midnight),
        cmocka_unit_test(test_csv_read__sport_is_assumed_and_said),
        cmocka_unit_test(test_csv_read__bad_rows_are_named_and_too_many_refused),
        cmocka_unit_test(test_csv_read__refusals_say_what_is_wrong_and_where),
        cmocka_unit_test(test_csv_read__times_that_run_back),
        cmocka_unit_test(test_csv_read__a_table_with_the_newest_row_first_is_turned_round),
        cmocka_unit_test(test_csv_read__a_gap_is_a_pause_unless_the_rider_went_on),
        cmocka_unit_test(test_csv_read__fractions_of_a_second_are_rounded_from_the_first_row),
        cmocka_unit_test(test_csv_probe__takes_plausible_text_tables_only),
        cmocka_unit_test(test_csv_read__caps_hold),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
