/* tests/recording/test_csv_read.c: tables as recordings, and tables that are refused. */
#include "check.h"

#include "recording/csv_read.h"
#include "base/text.h"
#include "maths/random.h"
#include "recording/csv_names.h"

#include <math.h>
#include <string.h>

static struct bytes bytes_of(const char *text)
{
    return (struct bytes){ (const uint8_t *)text, strlen(text) };
}

static bool read_bytes(struct arena *arena, struct bytes bytes, struct recordings *out,
                       struct error *err)
{
    static const struct read_options options = { .file = "ride.csv" };
    const struct limits limits = limits_default();
    *out = (struct recordings){ 0 };
    *err = (struct error){ 0 };
    return csv_read(arena, bytes, &options, &limits, out, err);
}

static bool read_text(struct arena *arena, const char *text, struct recordings *out,
                      struct error *err)
{
    return read_bytes(arena, bytes_of(text), out, err);
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
    /* lines above the headers, a row of units below them */
    "Ride;of a Sunday\n\"two\nlines\"\n\nTime;Power;Heart Rate;Speed\n[s];W;bpm;km/h\n"
    "0;150;102;15,57\n1;161;103;15,6096\n2;;104;\n",
    /* accents, other languages, an empty header at the end and cells below it */
    "TEMPS (s)\tPuissance\tFr\xC3\xA9quence cardiaque\tVitesse (m/s)\t\n"
    "0\t150\t102\t4.325\t\n1\t161\t103\t4.336\t\n2\t\t104\t\t\n",
    /* the same in Windows-1252, with a euro sign, CR alone */
    "temps,puissance,fr\xE9quence cardiaque,vitesse,\x80\r0,150,102,4.325,\r1,161,103,4.336,\r"
    "2,,104,,\r",
    /* two times, the more telling first; the wider speed; another power in another unit */
    "seconds,power (w/kg),power (W),hr,speed,enhanced_speed,time\n7,2,150,102,9,4.325,0:00:00\n"
    "8,3,161,103,9,4.336,0:00:01\n9,2,,104,9,,0:00:02\n",
    /* clocks of two parts that can only be minutes and seconds, and those that the header says */
    "time,power,hr,speed\n59:58,150,102,4.325\n59:59,161,103,4.336\n1:00:00,,104,\n",
    "time (mm:ss),power,hr,speed\n09:58,150,102,4.325\n09:59,161,103,4.336\n10:00,,104,\n",
    "time (ms),power,hr,speed\n4000,150,102,4.325\n5000,161,103,4.336\n6000,,104,\n",
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
        { "40\n", "has fewer cells than the headers", 40, NULL },
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
      "ride.csv: no column of time; name it with --column time=NAME (found: power, hr)" },
    { "neither power nor heart rate", "time,speed (m/s),\"cadence\"\n0,1,2\n",
      "ride.csv: no column of power or heart rate; name it with --column power=NAME or --column "
      "heart-rate=NAME (found: time, speed (m/s), cadence)" },
    { "a unit of power that isn't read", "time,power (kW)\n0,1\n",
      "ride.csv: column \"power (kW)\": this unit of power isn't read; write it in one of w, watt, "
      "watts" },
    { "the same as a last word, beside a heart rate", "time,power_kW,hr\n0,1,100\n",
      "ride.csv: column \"power_kW\": this unit of power isn't read; write it in one of w, watt, "
      "watts" },
    { "a unit of time that isn't known", "time (days),power\n0,1\n",
      "ride.csv: column \"time (days)\": this unit of time isn't read; write it in one of s, sec, "
      "secs, seconds, utc, local, iso_8601, h:mm:ss, hh:mm:ss, mm:ss, m:ss, hh:mm, h:mm, ms, msec, "
      "min, minutes, h" },
    { "two columns of power", "time,power,watts,hr\n0,1,2,3\n",
      "ride.csv: two columns of power, \"power\" and \"watts\"; say which with --column power=NAME "
      "(found: time, power, watts, hr)" },
    { "two of one name", "time,Power,power\n0,1,2\n",
      "ride.csv: two columns are named \"Power\"; rename the one that isn't the power (found: "
      "time, "
      "Power, power)" },
    { "two speeds", "time,hr,speed (km/h),speed (mph)\n0,1,2,3\n",
      "ride.csv: two columns of speed, \"speed (km/h)\" and \"speed (mph)\"; say which with "
      "--column speed=NAME (found: time, hr, speed (km/h), speed (mph))" },
    { "two times that tell the same", "seconds,elapsed,power\n0,0,1\n",
      "ride.csv: two columns of time, \"seconds\" and \"elapsed\"; say which with --column "
      "time=NAME (found: seconds, elapsed, power)" },
    { "two dates", "date,day,time,power\n2026-03-14,2026-03-14,9:26:53,1\n",
      "ride.csv: two columns of date, \"date\" and \"day\"; say which with --column date=NAME "
      "(found: date, day, time, power)" },
    { "no rows", "time,power\n", "ride.csv: holds headers but no rows" },
    { "nothing but blanks", " \n\n", "ride.csv: holds no row of headers" },
    { "nothing", "", "ride.csv: holds no row of headers" },
    { "a day that may be the month", "time,power\n03/04/2026 09:26:53,1\n03/04/2026 09:26:54,1\n",
      "ride.csv: line 2: \"03/04/2026 09:26:53\": day or month first? no row says; write dates as "
      "2026-03-14" },
    { "the same in a column of dates", "date;time;power\n03/04/2026;09:26:53;1\n",
      "ride.csv: line 2: \"03/04/2026\": day or month first? no row says; write dates as "
      "2026-03-14" },
    { "hours or minutes", "time,power\n0:00,1\n0:01,1\n0:02,1\n",
      "ride.csv: line 2: hours or minutes first? write times as 0:26:53, or name the column \"time "
      "(mm:ss)\" or \"time (hh:mm)\"" },
    { "thousands in quotes", "time,power,distance\n0,1,999\n1,1,\"1,004\"\n",
      "ride.csv: line 3: distance_m \"1,004\" may have a separator of thousands; write numbers "
      "without" },
    { "thousands with decimals", "time;power;distance\n0;1;999,5\n1;1;1.004,5\n",
      "ride.csv: line 3: distance_m \"1.004,5\" may have a separator of thousands; write numbers "
      "without" },
    { "thousands with a point", "time;power;distance\n0;1;991\n1;1;999\n2;1;1.004\n3;1;1.011\n",
      "ride.csv: line 4: distance_m may have a separator of thousands; write numbers without" },
    { "thousands in the time", "time,power\n998,1\n999,1\n1.000,1\n1.001,1\n",
      "ride.csv: line 4: time may have a separator of thousands; write numbers without" },
    { "thousands in the time, in quotes", "time,power\n999,1\n\"1,000\",1\n\"1,001\",1\n",
      "ride.csv: line 3: time \"1,000\" may have a separator of thousands; write numbers without" },
    { "a comma and a point", "time;power;speed\n0;1;4,325\n1;1;4.336\n",
      "ride.csv: a comma in a number on line 2, a point on line 3: which one is the decimal mark? "
      "write numbers without separators of thousands" },
    { "letters beyond ASCII in Latin-1", "Stand,Pulsfrequenz,\xD6l\n0,1,2\n",
      "ride.csv: no column of time; name it with --column time=NAME (found: Stand, Pulsfrequenz, "
      "\xC3\x96l)" },
    { "longer than 48 h", "seconds,power\n0,1\n40000,1\n80000,1\n120000,1\n160000,1\n180000,1\n",
      "ride.csv: a recording of more than 48 h; is the time in seconds?" },
    { "headers too far down",
      "1\n2\n3\n4\n5\n6\n7\n8\n9\n10\n11\n12\n13\n14\n15\n16\n17\n18\n19\n20\n21\n22\n23\n24\n25\n2"
      "6"
      "\n27\n28\n29\n30\n31\nseconds,power\n0,1\n",
      "ride.csv: no column of time; name it with --column time=NAME (found: 1)" },
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

static void test_csv_read__headers_may_stand_below_thirty_lines(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct text text = text_begin(arena, 1u << 16);
    for (int i = 0; i < 30; i++) {
        text_add_format(&text, "about; line %d\n", i);
    }
    text_add(&text, "seconds,power\n0,150\n1,151\n");
    const struct recording *ride = read_one(arena, text.bytes);
    check_integer("seconds", (int64_t)ride->n_seconds, 2);
    check_integer("power", ride->value[CHANNEL_POWER][1], 151);
    arena_close(arena);
}

/* The order of a date is settled by any row; the file with hours and minutes by its header. */
static void test_csv_read__the_file_settles_what_a_cell_leaves_open(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int64_t start_utc; /* 0: none */
        size_t seconds;
    } rows[] = {
        /* 1773446399 = 2026-03-13T23:59:59Z, 1773359999 = 2026-03-12T23:59:59Z (date -u) */
        { "time,power\n13/03/2026 23:59:59,1\n14/03/2026 00:00:00,1\n", 1773446399, 2 },
        { "time,power\n03/12/2026 11:59:59 PM,1\n03/13/2026 12:00:00 AM,1\n", 1773359999, 2 },
        { "time,power\n12/03/2026 23:59:59,1\n13/03/2026 00:00:00,1\n", 1773359999, 2 },
        { "date,time,power\n12/03/2026,23:59:59,1\n13/03/2026,00:00:00,1\n", 1773359999, 2 },
        { "date,time,hr\n3/13/2026,11:59:59 PM,9\n3/14/2026,12:00:00 AM,9\n", 1773446399, 2 },
        { "time (hh:mm),power\n09:58,1\n09:59,1\n10:00,1\n", 0, 121 },
        { "time,power\n23:58,1\n23:59,1\n24:00,1\n", 0, 3 },
        { "time,power\n0:01.0,1\n0:01.9,1\n0:03.1,1\n", 0, 3 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct recording *ride = read_one(arena, rows[i].text);
        check_integer(rows[i].text, ride->start_utc, rows[i].start_utc);
        check_integer(rows[i].text, (int64_t)ride->n_seconds, (int64_t)rows[i].seconds);
        check(find(ride, "bad-rows") == NULL);
        arena_close(arena);
    }
}

/* Numbers that might be thousands elsewhere, but aren't. */
static void test_csv_read__decimals_are_not_taken_for_thousands(void **state)
{
    (void)state;
    static const char *const rows[] = {
        "seconds;power;speed\n0;150;4.325\n1;151;4.336\n",
        "seconds;power;speed\n0;150;4,325\n1;151;4,336\n",
        "seconds,power,altitude\n0,150,112.125\n1,151,112.5\n2,152,113\n",
        "seconds,power,distance\n0.000,150,0.000\n1.001,151,5.125\n2.002,150,105.125\n",
        "seconds,power,distance\n998,150,999.125\n999,151,1003.125\n1000,150,1010\n",
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        check_integer(rows[i], read_one(arena, rows[i])->samples.value[CHANNEL_POWER][1], 151);
        arena_close(arena);
    }
}

static void test_csv_read__an_unknown_unit_of_another_channel_leaves_it_out_and_says_so(
    void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct recording *ride = read_one(arena, "seconds,power,speed (knots)\n0,150,9\n1,1,9\n");
    check(ride->samples.value[CHANNEL_SPEED] == NULL);
    check(find(ride, "unit-unknown") != NULL);
    check_text("header", find(ride, "unit-unknown")->detail, "speed (knots)");
    arena_close(arena);
}

/* ---- columns that somebody named ---- */

static const struct {
    const char *name;
    const char *text;
    struct read_column columns[2];
    const char *message; /* NULL: read, with power 150 and heart rate 102 in the first second */
} named[] = {
    { "a power of two",
      "time,power,watts,hr\n0,150,1,102\n",
      { { CHANNEL_POWER, "power" } },
      NULL },
    { "the other one, letters in any case",
      "time,power,watts,hr\n0,1,150,102\n",
      { { CHANNEL_POWER, "Watts" } },
      NULL },
    { "a header that nobody knows",
      "time,Left Pedal,hr\n0,150,102\n",
      { { CHANNEL_POWER, "left pedal" } },
      NULL },
    { "two of them, one with a comma in it",
      "about\n\nstamp;\"pedal, left\";hr\n0;150;102\n",
      { { CSV_TIME, "stamp" }, { CHANNEL_POWER, "pedal, left" } },
      NULL },
    { "against its name",
      "time,hr,power\n0,150,102\n",
      { { CHANNEL_POWER, "hr" }, { CHANNEL_HEART_RATE, "power" } },
      NULL },
    { "with its unit", "t,power,hr\n0,150,102\n1000,150,102\n", { { CSV_TIME, "t" } }, NULL },
    { "not there",
      "time,power,hr\n0,150,102\n",
      { { CHANNEL_POWER, "pedal" } },
      "ride.csv: --column power=pedal: no column of that name (found: time, power, hr)" },
    { "in a unit that isn't read",
      "time,pedal (kW),hr\n0,1,1\n",
      { { CHANNEL_POWER, "pedal (kW)" } },
      "ride.csv: column \"pedal (kW)\": this unit of power isn't read; write it in one of w, watt, "
      "watts" },
    { "there twice",
      "time,pedal,pedal\n0,1,1\n",
      { { CHANNEL_POWER, "pedal" } },
      "ride.csv: two columns are named \"pedal\"; rename the one that isn't the power (found: "
      "time, "
      "pedal, pedal)" },
};

static void test_csv_read__columns_that_are_named_are_taken(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(named); i++) {
        struct arena *arena = arena_open();
        struct recordings out = { 0 };
        struct error err = { 0 };
        const struct read_options options = { .file = "ride.csv",
                                              .columns = named[i].columns,
                                              .n_columns =
                                                  named[i].columns[1].name == NULL ? 1 : 2 };
        const bool read = csv_read(arena, bytes_of(named[i].text), &options, &limits, &out, &err);
        check_text(named[i].name, read ? NULL : err.message, named[i].message);
        if (read) {
            check_integer(named[i].name, out.items[0]->value[CHANNEL_POWER][0], 150);
            check_integer(named[i].name, out.items[0]->value[CHANNEL_HEART_RATE][0], 102);
        }
        arena_close(arena);
    }
}

/* ---- UTF-16 ---- */

/* ASCII and Latin-1 characters as UTF-16 with its mark. */
static struct bytes as_utf16(struct arena *arena, const char *text, bool big_endian)
{
    const size_t n = strlen(text);
    uint8_t *out = arena_alloc(arena, 2 * n + 2, 1);
    out[0] = big_endian ? 0xFE : 0xFF;
    out[1] = big_endian ? 0xFF : 0xFE;
    for (size_t i = 0; i < n; i++) {
        out[2 * i + 2 + (big_endian ? 1 : 0)] = (uint8_t)text[i];
    }
    return (struct bytes){ out, 2 * n + 2 };
}

static void test_csv_read__utf16_with_its_mark_is_text(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    for (int big = 0; big < 2; big++) {
        struct recordings out = { 0 };
        struct error err = { 0 };
        const struct bytes bytes =
            as_utf16(arena, "temps;fr\xE9quence cardiaque;puissance\n0;102;150\n", big != 0);
        check(csv_probe(bytes));
        check(read_bytes(arena, bytes, &out, &err));
        check_integer("power", out.items[0]->value[CHANNEL_POWER][0], 150);
        check_integer("heart", out.items[0]->value[CHANNEL_HEART_RATE][0], 102);
        /* Half a character at the end is left out. */
        check(read_bytes(arena, (struct bytes){ bytes.at, bytes.size - 1 }, &out, &err));
        check_integer("power", out.items[0]->value[CHANNEL_POWER][0], 150);
    }
    /* A pair of surrogates, one alone, and a header that shows both. */
    static const uint8_t odd[] = "\xFF\xFE"
                                 "t\0i\0m\0e\0,\0\x3D\xD8\xB4\xDE\x3D\xD8,\0x\0\n\0";
    struct recordings out = { 0 };
    struct error err = { 0 };
    check(!read_bytes(arena, (struct bytes){ odd, sizeof odd - 1 }, &out, &err));
    check_text("surrogates", err.message,
               "ride.csv: no column of power or heart rate; name it with --column power=NAME or "
               "--column heart-rate=NAME (found: time, \xF0\x9F\x9A\xB4\xEF\xBF\xBD, x)");
    arena_close(arena);
}

/* ---- one recording in many dialects ---- */

enum { ROWS = 240 };
/* 2026-03-14T09:00:00Z */
static const int64_t START = 1773478800;

/* In the channels' steps; RECORDING_MISSING = missing. */
struct truth {
    int32_t time_s[ROWS];
    int32_t value[CHANNEL_TEMPERATURE + 1][ROWS];
};

static struct truth make_truth(struct random *random)
{
    struct truth truth;
    static const int32_t lowest[] = { 0, 60, 0, 0, 0, -1000, -100 };
    static const uint64_t span[] = { 1200, 140, 130, 25000, 0, 3000, 450 };
    int32_t time = 0;
    int32_t distance = 0;
    for (size_t i = 0; i < ROWS; i++) {
        truth.time_s[i] = time;
        for (size_t c = 0; c <= CHANNEL_TEMPERATURE; c++) {
            truth.value[c][i] = lowest[c] + (int32_t)random_below(random, span[c] + 1);
            if (random_below(random, 20) == 0) {
                truth.value[c][i] = RECORDING_MISSING;
            }
        }
        distance += (int32_t)random_below(random, 1200);
        truth.value[CHANNEL_DISTANCE][i] = distance;
        /* Now and then rows are left out, also for long enough to be a pause. */
        time += random_below(random, 30) == 0 ? 2 + (int32_t)random_below(random, 40) : 1;
    }
    return truth;
}

/* A way to write a channel: number = value / per_unit * times + plus. */
struct column_style {
    enum channel channel;
    const char *header;
    double times;
    double plus;
    int decimals;
};

static const struct column_style column_styles[] = {
    { CHANNEL_POWER, "power", 1, 0, 0 },
    { CHANNEL_POWER, "Power (W)", 1, 0, 1 },
    { CHANNEL_POWER, "WATTS", 1, 0, 0 },
    { CHANNEL_POWER, "Leistung [Watt]", 1, 0, 0 },
    { CHANNEL_HEART_RATE, "heart_rate_bpm", 1, 0, 0 },
    { CHANNEL_HEART_RATE, "HR", 1, 0, 0 },
    { CHANNEL_HEART_RATE, "Fr\xE9quence Cardiaque", 1, 0, 1 },
    { CHANNEL_CADENCE, "cadence", 1, 0, 0 },
    { CHANNEL_CADENCE, "Cad. (rpm)", 1, 0, 2 },
    { CHANNEL_SPEED, "speed", 0.001, 0, 3 },
    { CHANNEL_SPEED, "Speed (km/h)", 0.0036, 0, 5 },
    { CHANNEL_SPEED, "speed_mph", 0.001 / 0.44704, 0, 6 },
    { CHANNEL_SPEED, "enhanced speed m/s", 0.001, 0, 4 },
    { CHANNEL_DISTANCE, "distance", 0.01, 0, 2 },
    { CHANNEL_DISTANCE, "Dist [km]", 0.00001, 0, 6 },
    { CHANNEL_DISTANCE, "distance_mi", 0.01 / 1609.344, 0, 8 },
    { CHANNEL_ALTITUDE, "altitude_m", 0.1, 0, 1 },
    { CHANNEL_ALTITUDE, "Elevation (ft)", 0.1 / 0.3048, 0, 4 },
    { CHANNEL_ALTITUDE, "H\xF6he", 0.1, 0, 2 },
    { CHANNEL_TEMPERATURE, "temp", 0.1, 0, 1 },
    { CHANNEL_TEMPERATURE,
      "Temperature (\xB0"
      "F)",
      0.18, 32, 3 },
    { CHANNEL_TEMPERATURE,
      "temperature [\xB0"
      "C]",
      0.1, 0, 2 },
};

enum time_style {
    TIME_ISO,
    TIME_ISO_BLANK,
    TIME_ISO_OFFSET,
    TIME_UNIX,
    TIME_UNIX_MS,
    TIME_SECONDS,
    TIME_SECONDS_LATE,
    TIME_MS,
    TIME_CLOCK,
    TIME_MINUTES_SECONDS,
    TIME_DAY_FIRST,
    TIME_MONTH_FIRST,
    TIME_DOTTED,
    TIME_DATE_APART,
    TIME_STYLES
};

static const char *const time_headers[TIME_STYLES] = {
    [TIME_ISO] = "timestamp",
    [TIME_ISO_BLANK] = "Date Time",
    [TIME_ISO_OFFSET] = "local_time",
    [TIME_UNIX] = "time",
    [TIME_UNIX_MS] = "utc",
    [TIME_SECONDS] = "SECONDS",
    [TIME_SECONDS_LATE] = "Zeit (s)",
    [TIME_MS] = "elapsed (ms)",
    [TIME_CLOCK] = "Time",
    [TIME_MINUTES_SECONDS] = "time [mm:ss]",
    [TIME_DAY_FIRST] = "datetime",
    [TIME_MONTH_FIRST] = "time stamp",
    [TIME_DOTTED] = "Zeitstempel",
    [TIME_DATE_APART] = "time",
};

/* A dialect, and the text that is written in it: Latin-1. */
struct dialect {
    char delimiter;
    bool decimal_comma;
    bool quotes;
    const char *line_end;
    const char *missing;
    enum time_style time;
    const struct column_style *columns[CHANNEL_TEMPERATURE + 1];
    struct text text;
};

static void add_cell(struct dialect *dialect, const char *cell, bool is_last)
{
    const char *quote = dialect->quotes ? "\"" : "";
    text_add_format(&dialect->text, "%s%s%s", quote, cell, quote);
    if (is_last) {
        text_add(&dialect->text, dialect->line_end);
    } else {
        text_add_bytes(&dialect->text, &dialect->delimiter, 1);
    }
}

/* By hand: the ride is over before noon. */
static void add_time_cell(struct arena *arena, struct dialect *dialect, int32_t s)
{
    const int64_t utc = START + s;
    const int m = s / 60 % 60;
    const int h = 9 + s / 3600;
    const char *cell = "";
    switch (dialect->time) {
    case TIME_ISO: cell = arena_format(arena, "2026-03-14T%02d:%02d:%02dZ", h, m, s % 60); break;
    case TIME_ISO_BLANK:
        cell = arena_format(arena, "2026-03-14 %02d:%02d:%02d.000", h, m, s % 60);
        break;
    case TIME_ISO_OFFSET:
        cell = arena_format(arena, "2026-03-14T%02d:%02d:%02d+05:30", h + 5 + (m + 30) / 60,
                            (m + 30) % 60, s % 60);
        break;
    case TIME_UNIX: cell = arena_format(arena, "%lld", (long long)utc); break;
    case TIME_UNIX_MS: cell = arena_format(arena, "%lld000", (long long)utc); break;
    case TIME_SECONDS: cell = arena_format(arena, "%d", s); break;
    case TIME_SECONDS_LATE: cell = arena_format(arena, "%d", 5000 + s); break;
    case TIME_MS: cell = arena_format(arena, "%d", s * 1000); break;
    case TIME_CLOCK: cell = arena_format(arena, "%d:%02d:%02d", s / 3600, m, s % 60); break;
    case TIME_MINUTES_SECONDS: cell = arena_format(arena, "%d:%02d", s / 60, s % 60); break;
    case TIME_DAY_FIRST:
        cell = arena_format(arena, "14/03/2026 %02d:%02d:%02d", h, m, s % 60);
        break;
    case TIME_MONTH_FIRST:
        cell = arena_format(arena, "03/14/2026 %d:%02d:%02d AM", h, m, s % 60);
        break;
    case TIME_DOTTED: cell = arena_format(arena, "14.03.2026 %02d:%02d:%02d", h, m, s % 60); break;
    case TIME_DATE_APART:
        add_cell(dialect, "2026-03-14", false);
        cell = arena_format(arena, "%02d:%02d:%02d", h, m, s % 60);
        break;
    case TIME_STYLES: fail();
    }
    add_cell(dialect, cell, false);
}

static void add_value_cell(struct arena *arena, struct dialect *dialect, size_t k, int32_t value)
{
    const struct column_style *style = dialect->columns[k];
    char *cell = arena_string(arena, dialect->missing);
    if (value != RECORDING_MISSING) {
        cell = arena_format(arena, "%.*f", style->decimals, value * style->times + style->plus);
        char *point = strchr(cell, '.');
        if (point != NULL && dialect->decimal_comma) {
            *point = ',';
        }
    }
    add_cell(dialect, cell, k == CHANNEL_TEMPERATURE);
}

/* One way of writing each channel, in any order. */
static void choose_columns(struct random *random, struct dialect *dialect)
{
    size_t n = 0;
    for (size_t c = 0; c <= CHANNEL_TEMPERATURE; c++) {
        const struct column_style *chosen = NULL;
        uint64_t seen = 0;
        for (size_t i = 0; i < COUNT(column_styles); i++) {
            if (column_styles[i].channel == (enum channel)c && random_below(random, ++seen) == 0) {
                chosen = &column_styles[i];
            }
        }
        dialect->columns[n++] = chosen;
        const size_t other = (size_t)random_below(random, n);
        dialect->columns[n - 1] = dialect->columns[other];
        dialect->columns[other] = chosen;
    }
}

/* Latin-1 as UTF-8, with or without mark. */
static struct bytes as_utf8(struct arena *arena, const char *text, bool with_mark)
{
    struct text out = text_begin(arena, 1u << 22);
    text_add(&out, with_mark ? "\xEF\xBB\xBF" : "");
    for (const char *at = text; *at != '\0'; at++) {
        const unsigned char c = (unsigned char)*at;
        const char wide[2] = { (char)(0xC0 | c >> 6), (char)(0x80 | (c & 0x3F)) };
        text_add_bytes(&out, c < 0x80 ? at : wide, c < 0x80 ? 1 : 2);
    }
    return (struct bytes){ (const uint8_t *)out.bytes, out.length };
}

static struct bytes write_dialect(struct arena *arena, struct random *random,
                                  const struct truth *truth, struct dialect *dialect)
{
    static const char delimiters[] = { ',', ';', '\t' };
    static const char *const line_ends[] = { "\n", "\r\n", "\r" };
    static const char *const missing[] = { "", "NA", "null", "-", "NaN" };
    *dialect = (struct dialect){ .delimiter = delimiters[random_below(random, 3)],
                                 .quotes = random_below(random, 4) == 0,
                                 .line_end = line_ends[random_below(random, 3)],
                                 .missing = missing[random_below(random, COUNT(missing))],
                                 .time = (enum time_style)random_below(random, TIME_STYLES),
                                 .text = text_begin(arena, 1u << 22) };
    dialect->decimal_comma = dialect->delimiter != ',' && random_below(random, 2) == 0;
    choose_columns(random, dialect);
    for (uint64_t n = random_below(random, 31); n > 0; n--) {
        text_add_format(&dialect->text, "%s%s",
                        n % 5 == 0   ? "Rider; somebody, somewhere"
                        : n % 5 == 1 ? "Date: 2026-03-14"
                        : n % 5 == 2 ? ""
                        : n % 5 == 3 ? "Power"
                                     : "made by; a program",
                        dialect->line_end);
    }
    if (dialect->time == TIME_DATE_APART) {
        add_cell(dialect, "Date", false);
    }
    add_cell(dialect, time_headers[dialect->time], false);
    for (size_t k = 0; k <= CHANNEL_TEMPERATURE; k++) {
        add_cell(dialect, dialect->columns[k]->header, k == CHANNEL_TEMPERATURE);
    }
    for (size_t i = 0; i < ROWS; i++) {
        add_time_cell(arena, dialect, truth->time_s[i]);
        for (size_t k = 0; k <= CHANNEL_TEMPERATURE; k++) {
            add_value_cell(arena, dialect, k, truth->value[dialect->columns[k]->channel][i]);
        }
    }
    const char *text = dialect->text.bytes;
    switch (random_below(random, 5)) {
    case 0: return as_utf8(arena, text, false);
    case 1: return as_utf8(arena, text, true);
    case 2: return as_utf16(arena, text, false);
    case 3: return as_utf16(arena, text, true);
    default: return bytes_of(text);
    }
}

/* Every sample is the one that was written, and the grid the one of the dialect before. */
static void check_dialect(const char *row, const struct recording *ride, const struct truth *truth,
                          const struct recording *before)
{
    check_integer(row, (int64_t)ride->samples.count, ROWS);
    check_integer(row, (int64_t)ride->n_seconds, truth->time_s[ROWS - 1] + 1);
    check(find(ride, "bad-rows") == NULL && find(ride, "clock") == NULL);
    for (size_t i = 0; i < ROWS; i++) {
        check_integer(row, ride->samples.time_s[i], truth->time_s[i]);
        for (size_t c = 0; c <= CHANNEL_TEMPERATURE; c++) {
            check_integer(row, ride->samples.value[c][i], truth->value[c][i]);
        }
    }
    if (before == NULL) {
        return;
    }
    const size_t n = ride->n_seconds;
    check_integer(row, (int64_t)before->n_seconds, (int64_t)n);
    check_integer(row, memcmp(ride->paused, before->paused, n), 0);
    for (size_t c = 0; c <= CHANNEL_TEMPERATURE; c++) {
        check_integer(row, memcmp(ride->value[c], before->value[c], n * sizeof(int32_t)), 0);
        check_integer(row, memcmp(ride->mask[c], before->mask[c], n), 0);
    }
}

static void test_csv_read__one_recording_in_many_dialects_is_one_grid(void **state)
{
    (void)state;
    struct random random = random_begin(20260314);
    size_t styles[TIME_STYLES] = { 0 };
    for (int round = 0; round < 40; round++) {
        struct arena *arena = arena_open();
        const struct truth truth = make_truth(&random);
        const struct recording *before = NULL;
        for (int way = 0; way < 8; way++) {
            struct dialect dialect = { 0 };
            const struct bytes bytes = write_dialect(arena, &random, &truth, &dialect);
            struct recordings out = { 0 };
            struct error err = { 0 };
            const char *row =
                arena_format(arena, "%d, %d: %.1500s", round, way, dialect.text.bytes);
            check_integer(row, csv_probe(bytes), true);
            const bool read = read_bytes(arena, bytes, &out, &err);
            check_text(row, read ? "" : err.message, "");
            check_integer(row, (int64_t)out.count, 1);
            check_dialect(row, out.items[0], &truth, before);
            const bool is_instant = dialect.time != TIME_SECONDS &&
                                    dialect.time != TIME_SECONDS_LATE && dialect.time != TIME_MS &&
                                    dialect.time != TIME_CLOCK &&
                                    dialect.time != TIME_MINUTES_SECONDS;
            check_integer(row, out.items[0]->start_utc, is_instant ? START : 0);
            before = out.items[0];
            styles[dialect.time]++;
        }
        arena_close(arena);
    }
    for (size_t i = 0; i < TIME_STYLES; i++) {
        check(styles[i] > 5);
    }
}

/* ---- damage ---- */

/* What is read or refused: never silence, never more than the bytes. */
static void read_anything(const uint8_t *bytes, size_t size)
{
    struct arena *arena = arena_open();
    struct recordings out = { 0 };
    struct error err = { 0 };
    /* A block of its own, so that a byte beyond it is seen. */
    uint8_t *copy = malloc(size > 0 ? size : 1);
    check(copy != NULL);
    memcpy(copy, bytes, size);
    const struct bytes one = { copy, size };
    (void)csv_probe(one);
    if (!read_bytes(arena, one, &out, &err)) {
        check(err.message[0] != '\0');
    }
    free(copy);
    arena_close(arena);
}

static void test_csv_read__every_prefix_and_every_changed_byte_is_read_or_refused(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "\xEF\xBB\xBF"
        "about; x\n\ntime;Power (W);\"HR\r\n\"\n[s];W;\n0;150,5;102\n\"1\";1.234;-\n2;NA;104\n",
        "date,time,hr,fr\xE9q,lat\r\n14/03/2026,9:26:53 "
        "PM,102,x,45.5\r\n13/03/2026,9:26,1e3,,-90\r",
        "time\twatts\tspeed_kmh\n26:53\t150\t1\n1:26:53\t150\t31.5\n",
    };
    static const uint8_t others[] = {
        0, '\n', '\r', '"', ',', ';', '\t', '9', '/', ':', '.', 0xFF
    };
    struct arena *arena = arena_open();
    for (size_t t = 0; t < 2 * COUNT(texts); t++) {
        const char *text = texts[t % COUNT(texts)];
        struct bytes bytes = bytes_of(text);
        if (t >= COUNT(texts)) {
            bytes = as_utf16(arena, text, t % 2 == 0);
        }
        uint8_t *changed = arena_copy(arena, bytes.at, bytes.size);
        for (size_t i = 0; i <= bytes.size; i++) {
            read_anything(bytes.at, i);
        }
        for (size_t i = 0; i < bytes.size; i++) {
            for (size_t k = 0; k < COUNT(others); k++) {
                changed[i] = others[k];
                read_anything(changed, bytes.size);
            }
            changed[i] = bytes.at[i];
        }
    }
    arena_close(arena);
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
    { "UTF-16 without its mark", "t\0,\0p\0\n\0", 8, false },
    { "UTF-16 with its mark", "\xFF\xFEt\0,\0p\0\n\0", 10, true },
    { "XML in UTF-16", "\xFF\xFE<\0a\0,\0b\0>\0", 12, false },
    { "Windows-1252", "time,power \x80\n0,1\n", 0, true },
    { "lines of words first", "A ride\nof mine\ntime,power\n0,1\n", 0, true },
    { "one delimiter far down", "A ride\nof mine, too\n", 0, false },
    { "neither UTF-8 nor Windows-1252", "time,power\n0,\x81\x90\n", 0, false },
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
    check_text("columns", err.message,
               "ride.csv: holds no row of headers; line 1 has too many cells");

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
        cmocka_unit_test(test_csv_read__headers_may_stand_below_thirty_lines),
        cmocka_unit_test(test_csv_read__the_file_settles_what_a_cell_leaves_open),
        cmocka_unit_test(test_csv_read__decimals_are_not_taken_for_thousands),
        cmocka_unit_test(
            test_csv_read__an_unknown_unit_of_another_channel_leaves_it_out_and_says_so),
        cmocka_unit_test(test_csv_read__columns_that_are_named_are_taken),
        cmocka_unit_test(test_csv_read__utf16_with_its_mark_is_text),
        cmocka_unit_test(test_csv_read__one_recording_in_many_dialects_is_one_grid),
        cmocka_unit_test(test_csv_read__every_prefix_and_every_changed_byte_is_read_or_refused),
        cmocka_unit_test(test_csv_read__times_that_run_back),
        cmocka_unit_test(test_csv_read__a_table_with_the_newest_row_first_is_turned_round),
        cmocka_unit_test(test_csv_read__a_gap_is_a_pause_unless_the_rider_went_on),
        cmocka_unit_test(test_csv_read__fractions_of_a_second_are_rounded_from_the_first_row),
        cmocka_unit_test(test_csv_probe__takes_plausible_text_tables_only),
        cmocka_unit_test(test_csv_read__caps_hold),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
