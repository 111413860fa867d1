/* tests/recording/test_gpx_read.c: tracks as recordings, and what is refused.
 *
 * What elements mean is from the GPX 1.1 schema (trkType, trksegType, wptType); values by hand. */
#include "check.h"

#include "recording/gpx_fields.h"
#include "recording/gpx_read.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define HEAD "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"x\">\n"
#define TAIL "</gpx>\n"

/* 2026-03-14T09:26:53Z = 1773480413 (date -u). */
static const int64_t START_UTC = 1773480413;

static struct bytes bytes_of(const char *text)
{
    return (struct bytes){ (const uint8_t *)text, strlen(text) };
}

static bool read_bytes(struct arena *arena, struct bytes bytes, const struct limits *limits,
                       struct recordings *out, struct error *err)
{
    static const struct read_options options = { .file = "ride.gpx" };
    *out = (struct recordings){ 0 };
    *err = (struct error){ 0 };
    return recording_read(arena, bytes, &options, limits, out, err);
}

static struct recordings read_whole(struct arena *arena, struct bytes bytes)
{
    const struct limits limits = limits_default();
    struct recordings out = { 0 };
    struct error err = { 0 };
    if (!read_bytes(arena, bytes, &limits, &out, &err)) {
        print_error("# %s\n", err.message);
        fail();
    }
    return out;
}

static const struct recording *read_one(struct arena *arena, const char *text)
{
    const struct recordings out = read_whole(arena, bytes_of(text));
    check_integer("recordings", (int64_t)out.count, 1);
    return out.items[0];
}

/* A point at `second` after 09:26:53, with what stands in it besides. */
static char *point(struct arena *arena, int second, const char *more)
{
    const int s = 9 * 3600 + 26 * 60 + 53 + second;
    return arena_format(arena,
                        "<trkpt lat=\"45.5\" lon=\"-90\"><time>2026-03-%02dT%02d:%02d:%02dZ</time>"
                        "%s</trkpt>\n",
                        14 + s / 86400, s / 3600 % 24, s / 60 % 60, s % 60, more);
}

/* Tracks of segments of points by their seconds; -1 = end of a segment, -2 = of a track, -3 = of
 * all.  Each point carries its place as its power. */
static char *tracks(struct arena *arena, const int seconds[])
{
    char *text = arena_string(arena, HEAD "<trk><trkseg>\n");
    for (size_t i = 0; seconds[i] != -3; i++) {
        const char *more = seconds[i] == -1   ? "</trkseg><trkseg>\n"
                           : seconds[i] == -2 ? "</trkseg></trk><trk><trkseg>\n"
                                              : point(arena, seconds[i] - 100,
                                                      arena_format(arena, "<power>%zu</power>", i));
        text = arena_format(arena, "%s%s", text, more);
    }
    return arena_format(arena, "%s</trkseg></trk>" TAIL, text);
}

/* ---- ways of writing ---- */

static const char *const same_ride[] = {
    HEAD "<trk><trkseg>"
         "<trkpt lat=\"45.5\" lon=\"-90\"><ele>12.3</ele><time>2026-03-14T09:26:53Z</time>"
         "<extensions><power>150</power><a:x xmlns:a=\"urn:a\"><a:hr>120</a:hr><a:cad>90</a:cad>"
         "<a:atemp>21.4</a:atemp><a:speed>7.25</a:speed></a:x></extensions></trkpt>"
         "<trkpt lat=\"45.5001\" lon=\"-90\"><time>2026-03-14T09:26:54Z</time></trkpt>"
         "</trkseg></trk>" TAIL,
    /* No declaration, a blank first line, a prefix that nobody declared, other names and cases. */
    "\n \n<gpx><trk><trkseg>"
    "<trkpt lon=\"-90.0\" lat=\"+4.55e1\"><time> 2026-03-14T09:26:53.000Z </time>"
    "<extensions><q:PowerInWatts>150.4</q:PowerInWatts><q:HeartRate> 120 </q:HeartRate>"
    "<q:Cadence>89.6</q:Cadence><q:Temp>21.42</q:Temp><q:SPEED>7.2501</q:SPEED></extensions>"
    "<ele>12.31</ele></trkpt>"
    "<trkpt lat=\"45.5001\" lon=\"-90\"><time>2026-03-14T09:26:54.4Z</time></trkpt>"
    "</trkseg></trk></gpx>",
    /* A byte-order mark, the whole under a prefix, offsets, values inside further elements, CDATA,
     * comments, an entity of XML's own, points without a segment. */
    "\xEF\xBB\xBF<?xml version='1.0'?><g:gpx xmlns:g='urn:g'><g:trk>"
    "<g:trkpt lat='45.5' lon='-90'><g:time>2026-03-14T10:26:53+01:00</g:time><g:ele>12.3</g:ele>"
    "<heart_rate_bpm><value>12<!-- x -->0</value></heart_rate_bpm><watts><![CDATA[150]]></watts>"
    "<cad>9&#48;</cad><temperature>21.4</temperature><velocity>7.25</velocity></g:trkpt>"
    "<g:trkpt lat='45.5001' lon='-90'><g:time>2026-03-14T10:26:54+01:00</g:time></g:trkpt>"
    "</g:trk></g:gpx>",
};

static void check_same_ride(const char *row, const struct recording *ride)
{
    static const int32_t want[CHANNEL_COUNT] = {
        [CHANNEL_POWER] = 150,
        [CHANNEL_HEART_RATE] = 120,
        [CHANNEL_CADENCE] = 90,
        [CHANNEL_SPEED] = 7250,
        [CHANNEL_ALTITUDE] = 123,
        [CHANNEL_TEMPERATURE] = 214,
        /* 45.5 / 180 x 2^31 and -90 / 180 x 2^31 */
        [CHANNEL_LATITUDE] = 542836144,
        [CHANNEL_LONGITUDE] = -1073741824,
    };
    check_integer(row, (int64_t)ride->samples.count, 2);
    check_integer(row, ride->samples.time_s[1], 1);
    check_integer(row, ride->start_utc, START_UTC);
    check_integer(row, ride->format, FORMAT_GPX);
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        const bool came = c != CHANNEL_DISTANCE && c != CHANNEL_BALANCE;
        check_integer(row, ride->samples.value[c] != NULL, came);
        if (came) {
            check_integer(channel_row((enum channel)c)->name, ride->samples.value[c][0], want[c]);
            const bool twice = c == CHANNEL_LATITUDE || c == CHANNEL_LONGITUDE;
            check_integer(row, ride->samples.value[c][1] != RECORDING_MISSING, twice);
        }
    }
    check(isnan(ride->device_timer_s) && ride->n_laps == 0 && ride->n_pauses == 0);
}

static void test_gpx_read__one_ride_in_every_way_of_writing_it(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(same_ride); i++) {
        struct arena *arena = arena_open();
        check(gpx_probe(bytes_of(same_ride[i])));
        check_same_ride(arena_format(arena, "way %zu", i), read_one(arena, same_ride[i]));
        arena_close(arena);
    }
}

/* Two bytes a character; all of the text is ASCII. */
static struct bytes utf16_of(struct arena *arena, const char *text, bool big_endian, bool marked)
{
    const size_t n = strlen(text);
    uint8_t *bytes = ARENA_ARRAY(arena, uint8_t, 2 * n + 2);
    size_t size = 0;
    if (marked) {
        bytes[size++] = big_endian ? 0xFE : 0xFF;
        bytes[size++] = big_endian ? 0xFF : 0xFE;
    }
    for (size_t i = 0; i < n; i++) {
        bytes[size + (big_endian ? 1 : 0)] = (uint8_t)text[i];
        size += 2;
    }
    return (struct bytes){ bytes, size };
}

static void test_gpx_read__encodings(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    /* The first ride without its head and tail, behind another declaration and a name. */
    const char *from = strstr(same_ride[0], "<trkseg>");
    const char *body = arena_format(arena, "%.*s", (int)(strlen(from) - strlen(TAIL)), from);
    const struct {
        const char *encoding;
        const char *name;
        bool finding;
    } rows[] = {
        { "UTF-8", "H\xC3\xBCgel", false },
        { "utf-8", "Hugel", false },
        { "ISO-8859-1", "H\xFCgel", false },
        { "US-ASCII", "Hugel", false },
        { "windows-1252", "H\xFCgel \x80", false },
        { "Windows-1252", "\x93x\x94", false },
        { "cp1252", "H\xFCgel", false },
        { "ISO-8859-15", "\xA4", false },
        /* What is no UTF-8 although the file says so. */
        { "UTF-8", "H\xFCgel", true },
        /* What is no UTF-16 although the file says so. */
        { "UTF-16", "Hugel", true },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *text = arena_format(
            arena, "<?xml version=\"1.0\" encoding=\"%s\"?><gpx><trk><name>%s</name>%s</gpx>",
            rows[i].encoding, rows[i].name, body);
        const struct recordings out = read_whole(arena, bytes_of(text));
        check_same_ride(rows[i].encoding, out.items[0]);
        const struct finding *finding = recording_finding(out.items[0], "damage");
        check_integer(rows[i].encoding, finding != NULL, rows[i].finding);
        if (finding != NULL) {
            check_text("detail", finding->detail, "letters in another encoding than it names");
        }
        check_text(rows[i].encoding, out.damage, NULL);
    }
    const char *utf16 =
        arena_format(arena, "<?xml version=\"1.0\" encoding=\"UTF-16\"?><gpx><trk>%s</gpx>", body);
    for (int k = 0; k < 4; k++) {
        const struct bytes wide = utf16_of(arena, utf16, (k & 1) != 0, (k & 2) != 0);
        check_same_ride("UTF-16", read_whole(arena, wide).items[0]);
    }
    arena_close(arena);
}

/* ---- time ---- */

static void test_gpx_read__what_it_says_of_the_start(void **state)
{
    (void)state;
    static const struct {
        const char *time;
        int64_t start;
        bool has_offset;
        int32_t offset;
    } rows[] = {
        /* GPX has UTC: Z, +00:00 and no offset say nothing about the clock on the wall. */
        { "2026-03-14T09:26:53Z", 1773480413, false, 0 },
        { "2026-03-14T09:26:53", 1773480413, false, 0 },
        { "2026-03-14T09:26:53+00:00", 1773480413, false, 0 },
        { "2026-03-14T10:26:53+01:00", 1773480413, true, 3600 },
        { "2026-03-14T05:56:53.4-0330", 1773480413, true, -12600 },
        { "2026-03-14T09:26:52.6Z", 1773480413, false, 0 },
        { "2026-03-14T09:26:52.6000001Z", 1773480413, false, 0 },
        { "1901-12-13T20:45:52Z", -2147483648, false, 0 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct recording *ride =
            read_one(arena, arena_format(arena,
                                         HEAD "<trk><trkseg><trkpt><time>%s</time></trkpt></trkseg>"
                                              "</trk>" TAIL,
                                         rows[i].time));
        check(ride->has_start_utc);
        check_integer(rows[i].time, ride->start_utc, rows[i].start);
        check_integer(rows[i].time, ride->has_utc_offset, rows[i].has_offset);
        check_integer(rows[i].time, ride->utc_offset_s, rows[i].offset);
        check_integer(rows[i].time, (int64_t)ride->n_seconds, 1);
        arena_close(arena);
    }
}

static void test_gpx_read__fractions_are_rounded_from_the_first_point(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    static const char *const times[] = { "53.300", "54.294", "55.310", "56.799", "56.801" };
    static const int32_t want[] = { 0, 1, 2, 3, 4 };
    char *text = arena_string(arena, HEAD "<trk><trkseg>");
    for (size_t i = 0; i < COUNT(times); i++) {
        text = arena_format(arena, "%s<trkpt><time>2026-03-14T09:26:%sZ</time></trkpt>", text,
                            times[i]);
    }
    const struct recording *ride =
        read_one(arena, arena_format(arena, "%s</trkseg></trk>" TAIL, text));
    for (size_t i = 0; i < COUNT(want); i++) {
        check_integer(times[i], ride->samples.time_s[i], want[i]);
    }
    arena_close(arena);
}

/* ---- segments and tracks ---- */

static void test_gpx_read__only_segments_more_than_10_s_apart_make_a_pause(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    /*                           11 s apart    10 s apart     60 s inside a segment */
    static const int seconds[] = { 100, 101, -1, 112, 113, -1, 123, 183, 184, -3 };
    const struct recording *ride = read_one(arena, tracks(arena, seconds));
    check_integer("pauses", (int64_t)ride->n_pauses, 1);
    check_integer("from", ride->pauses[0].from_s, 2);
    check_integer("to", ride->pauses[0].to_s, 12);
    check_integer("seconds", (int64_t)ride->n_seconds, 85);
    check_integer("timer", ride->timer_s, 75);
    check_integer("paused", ride->mask[CHANNEL_POWER][11], MASK_PAUSED);
    check_integer("missing", ride->mask[CHANNEL_POWER][50], MASK_ABSENT);
    arena_close(arena);
}

static void test_gpx_read__tracks_are_recordings_unless_they_go_on(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int seconds[12];
        size_t n;
        size_t samples[4];
    } rows[] = {
        { "an hour apart", { 100, 101, -2, 3700, 3701, 3702, -3 }, 2, { 2, 3 } },
        { "at once", { 100, 101, -2, 102, 103, -3 }, 1, { 4 } },
        { "10 s apart", { 100, 101, -2, 111, 112, -3 }, 1, { 4 } },
        { "11 s apart", { 100, 101, -2, 112, 113, -3 }, 2, { 2, 2 } },
        { "the other way round", { 3700, 3701, -2, 100, 101, -3 }, 2, { 2, 2 } },
        { "a little back", { 100, 101, -2, 99, 102, -3 }, 2, { 2, 2 } },
        { "empty ones", { -2, -2, 100, 101, -1, -1, -2, -3 }, 1, { 2 } },
        { "13 h inside one", { 100, 101, 46901, 46902, -3 }, 2, { 2, 2 } },
        { "3 min back inside one", { 400, 401, 200, 201, -3 }, 2, { 2, 2 } },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct recordings out = read_whole(arena, bytes_of(tracks(arena, rows[i].seconds)));
        check_integer(rows[i].name, (int64_t)out.count, (int64_t)rows[i].n);
        for (size_t k = 0; k < out.count; k++) {
            check_integer(rows[i].name, (int64_t)out.items[k]->samples.count,
                          (int64_t)rows[i].samples[k]);
            check_integer(rows[i].name, (int64_t)out.items[k]->part, (int64_t)k + 1);
            check_integer(rows[i].name, (int64_t)out.items[k]->parts, (int64_t)rows[i].n);
            check_integer(rows[i].name, out.items[k]->samples.time_s[0], 0);
        }
        const bool set = i >= 7;
        check_integer(rows[i].name, recording_finding(out.items[0], "clock") != NULL, set);
        arena_close(arena);
    }
    struct arena *arena = arena_open();
    const char *other = arena_format(arena,
                                     HEAD "<trk><trkseg>%s</trkseg><type>cycling</type></trk>"
                                          "<trk><type>running</type><trkseg>%s</trkseg></trk>" TAIL,
                                     point(arena, 0, ""), point(arena, 1, ""));
    const struct recordings out = read_whole(arena, bytes_of(other));
    check_integer("another sport", (int64_t)out.count, 2);
    check_integer("first", out.items[0]->sport, SPORT_CYCLING);
    check_integer("second", out.items[1]->sport, SPORT_RUNNING);
    check(out.items[0]->is_ride && !out.items[1]->is_ride);
    arena_close(arena);
}

static void test_gpx_read__times_that_repeat_or_run_back(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    /* The second 102 wins; 101 ran back and is dropped; 99000 stands alone and is wild. */
    static const int seconds[] = { 100, 101, 102, 102, 101, 103, 20000, 104, -3 };
    const struct recording *ride = read_one(arena, tracks(arena, seconds));
    check_integer("samples", (int64_t)ride->samples.count, 8);
    check_integer("seconds", (int64_t)ride->n_seconds, 5);
    static const int32_t power[] = { 0, 1, 3, 5, 7 };
    for (size_t i = 0; i < COUNT(power); i++) {
        check_integer("power", ride->value[CHANNEL_POWER][i], power[i]);
    }
    check_integer("findings", (int64_t)ride->n_findings, 3); /* and sport-assumed */
    check_near("back", finding_value(recording_finding(ride, "clock"), "records"), 1, 0);
    check_text("back", recording_finding(ride, "clock")->detail, "ran back a little");
    arena_close(arena);
}

/* ---- values and sports ---- */

static void test_gpx_read__values_that_can_not_be_are_counted(void **state)
{
    (void)state;
    static const struct {
        const char *more;
        enum channel channel;
        int32_t want;
        double bad;
    } rows[] = {
        { "<power>0</power>", CHANNEL_POWER, 0, 0 },
        { "<power>-5</power>", CHANNEL_POWER, RECORDING_MISSING, 1 },
        { "<power>99999</power>", CHANNEL_POWER, RECORDING_MISSING, 1 },
        { "<power>1e999</power>", CHANNEL_POWER, RECORDING_MISSING, 1 },
        { "<power>0x10</power>", CHANNEL_POWER, RECORDING_MISSING, 1 },
        { "<power>12 13</power>", CHANNEL_POWER, RECORDING_MISSING, 1 },
        { "<power>NaN</power>", CHANNEL_POWER, RECORDING_MISSING, 0 },
        { "<power>--</power>", CHANNEL_POWER, RECORDING_MISSING, 0 },
        { "<power/>", CHANNEL_POWER, RECORDING_MISSING, 0 },
        { "<power>x</power><power>5</power>", CHANNEL_POWER, 5, 1 },
        { "<power>4</power><watts>5</watts>", CHANNEL_POWER, 4, 0 },
        { "<powers>5</powers>", CHANNEL_POWER, RECORDING_MISSING, 0 },
        { "<hr>255</hr>", CHANNEL_HEART_RATE, RECORDING_MISSING, 1 },
        { "<hr>0</hr>", CHANNEL_HEART_RATE, 0, 0 },
        { "<ele>-32768</ele>", CHANNEL_ALTITUDE, RECORDING_MISSING, 1 },
        { "<extensions><ele>5</ele></extensions>", CHANNEL_ALTITUDE, RECORDING_MISSING, 0 },
        { "<extensions><time>2020-01-01T00:00:00Z</time></extensions>", CHANNEL_POWER,
          RECORDING_MISSING, 0 },
        { "<temp>-12.34</temp>", CHANNEL_TEMPERATURE, -123, 0 },
        { "<distance>5</distance>", CHANNEL_DISTANCE, RECORDING_MISSING, 0 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct recording *ride =
            read_one(arena, arena_format(arena, HEAD "<trk><trkseg>%s</trkseg></trk>" TAIL,
                                         point(arena, 0, rows[i].more)));
        const int32_t *value = ride->samples.value[rows[i].channel];
        check_integer(rows[i].more, value == NULL ? RECORDING_MISSING : value[0], rows[i].want);
        const struct finding *finding = recording_finding(ride, "bad-points");
        check_near(rows[i].more, finding == NULL ? 0 : finding_value(finding, "values"),
                   rows[i].bad, 0);
        check_integer(rows[i].more, ride->start_utc, START_UTC);
        arena_close(arena);
    }
    /* Both ends of the scale of longitude are one step past what 32 bits hold. */
    int32_t steps = 0;
    check(gpx_field_value("180", CHANNEL_LONGITUDE, &steps) == GPX_VALUE && steps == INT32_MAX);
    check(gpx_field_value("-180", CHANNEL_LONGITUDE, &steps) == GPX_VALUE && steps == -INT32_MAX);
    check(gpx_field_value("90.001", CHANNEL_LATITUDE, &steps) == GPX_VALUE_BAD);
}

static void test_gpx_read__the_tracks_type_says_the_sport(void **state)
{
    (void)state;
    static const struct {
        const char *type;
        enum sport sport;
        bool is_ride;
        enum ride_place place;
    } rows[] = {
        { "cycling", SPORT_CYCLING, true, PLACE_OUTDOORS },
        { "Biking", SPORT_CYCLING, true, PLACE_OUTDOORS },
        { "road_biking", SPORT_CYCLING, true, PLACE_OUTDOORS },
        { "VirtualRide", SPORT_CYCLING, true, PLACE_INDOORS },
        { "indoor cycling", SPORT_CYCLING, true, PLACE_INDOORS },
        { "run", SPORT_RUNNING, false, PLACE_OUTDOORS },
        { "trail running", SPORT_RUNNING, false, PLACE_OUTDOORS },
        { "Hiking", SPORT_HIKING, false, PLACE_OUTDOORS },
        { "motorcycling", SPORT_OTHER, false, PLACE_OUTDOORS },
        { "kayaking", SPORT_OTHER, false, PLACE_OUTDOORS },
        { "9", SPORT_UNKNOWN, true, PLACE_OUTDOORS },
        { "", SPORT_UNKNOWN, true, PLACE_OUTDOORS },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct recording *ride = read_one(
            arena, arena_format(arena, HEAD "<trk><type>%s</type><trkseg>%s</trkseg></trk>" TAIL,
                                rows[i].type, point(arena, 0, "<power>5</power>")));
        check_integer(rows[i].type, ride->sport, rows[i].sport);
        check_integer(rows[i].type, ride->is_ride, rows[i].is_ride);
        check_integer(rows[i].type, ride->place, rows[i].place);
        const struct finding *assumed = recording_finding(ride, "sport-assumed");
        check_integer(rows[i].type, assumed != NULL, rows[i].sport == SPORT_UNKNOWN);
        if (assumed != NULL) {
            check_text(rows[i].type, assumed->detail,
                       rows[i].type[0] == '\0' ? NULL : rows[i].type);
        }
        arena_close(arena);
    }
    /* Nothing says that it was a ride. */
    struct arena *arena = arena_open();
    const struct recording *walk =
        read_one(arena, arena_format(arena, HEAD "<trk><trkseg>%s</trkseg></trk>" TAIL,
                                     point(arena, 0, "")));
    check(!walk->is_ride && walk->sport == SPORT_UNKNOWN);
    arena_close(arena);
}

/* ---- refusals ---- */

static void check_line(const char *text, const char *line)
{
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct recordings out;
    struct error err;
    check_integer(text, read_bytes(arena, bytes_of(text), &limits, &out, &err), false);
    check_text(text, err.message, line);
    arena_close(arena);
}

static void test_gpx_read__refusals_say_what_and_what_to_do(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        const char *line;
    } rows[] = {
        { HEAD "<rte><name>x</name><rtept lat=\"1\" lon=\"2\"/><rtept lat=\"1\" lon=\"2\"/></rte>"
               "<wpt lat=\"1\" lon=\"2\"/>" TAIL,
          "ride.gpx: is a planned route (2 points), not a recording; export the ride itself" },
        { HEAD "<wpt lat=\"1\" lon=\"2\"><time>2026-03-14T09:26:53Z</time></wpt>" TAIL,
          "ride.gpx: holds 1 waypoint and no track, so no recording; export the ride itself" },
        { HEAD "<metadata/>" TAIL, "ride.gpx: holds no track; choose the file of a ride" },
        { HEAD "<trk><trkseg/></trk>" TAIL, "ride.gpx: holds no track; choose the file of a ride" },
        { HEAD "<trk><trkseg><trkpt lat=\"1\" lon=\"2\"/><trkpt lat=\"1\" lon=\"2\"/></trkseg>"
               "</trk>" TAIL,
          "ride.gpx: none of its 2 track points has a time: a plan, not a recording; export the "
          "ride itself" },
        { HEAD "<trk><trkseg><trkpt lat=\"1\" lon=\"2\"/></trkseg></trk>" TAIL,
          "ride.gpx: its 1 track point has no time: a plan, not a recording; export the ride "
          "itself" },
        { HEAD "<trk><trkseg><trkpt><time>2026-03-14T09:26:53Z</time></trkpt><trkpt/></trkseg>"
               "</trk>" TAIL,
          "ride.gpx: 1 of its 2 track points have no time that can be read; export it again" },
        { HEAD "<trk><trkseg><trkpt><time>yesterday</time></trkpt></trkseg></trk>" TAIL,
          "ride.gpx: 1 of its 1 track points have no time that can be read; export it again" },
        { "<!DOCTYPE gpx [<!ENTITY a \"b\">]><gpx/>",
          "ride.gpx: has a document type (<!DOCTYPE gpx>), which no recording needs; export it "
          "again" },
        { "<!DOCTYPE html>\n<html><body>",
          "ride.gpx: is a web page, not a recording; log in where it came from and download the "
          "ride again" },
        { "<html><head><meta charset=utf-8></head>",
          "ride.gpx: is a web page, not a recording; log in where it came from and download the "
          "ride again" },
        { "<?xml version=\"1.0\"?><k:kml xmlns:k=\"urn:k\"><k:Document/></k:kml>",
          "ride.gpx: is XML of another kind (<kml>), not GPX; export the ride as FIT or GPX" },
        { "<?xml version=\"1.0\" encoding=\"KOI8-R\"?><gpx/>",
          "ride.gpx: its letters are coded as \"KOI8-R\", which isn't known here; export it as "
          "UTF-8" },
        { "<gpx><trk><trkseg><trkpt lat=\"1\" lon=\"2\"><time>2026-",
          "ride.gpx: cut off before its first track point; copy the file from the device again" },
        { "<gpx>\n<trk>\n  <trkseg></trk>",
          "ride.gpx: is no XML from line 3, column 13 on, before its first track point; export it "
          "again" },
        { "<", "ride.gpx: cut off before its first track point; copy the file from the device "
               "again" },
        { "<<", "ride.gpx: is no XML from line 1, column 2 on, before its first track point; "
                "export it again" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_line(rows[i].text, rows[i].line);
    }
}

static void test_gpx_read__a_few_points_without_time_are_left_out_and_told(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    char *text = arena_string(arena, HEAD "<trk><trkseg>");
    for (int i = 0; i < 40; i++) {
        text = arena_format(arena, "%s%s", text,
                            i == 7    ? "<trkpt lat=\"1\" lon=\"2\"/>"
                            : i == 30 ? "<trkpt><time>?</time></trkpt>"
                                      : point(arena, i, "<power>5</power>"));
    }
    const struct recording *ride =
        read_one(arena, arena_format(arena, "%s</trkseg></trk>" TAIL, text));
    check_integer("samples", (int64_t)ride->samples.count, 38);
    const struct finding *finding = recording_finding(ride, "bad-points");
    check_near("timeless", finding_value(finding, "timeless"), 2, 0);
    check_near("of", finding_value(finding, "of"), 40, 0);
    arena_close(arena);
}

static void test_gpx_read__caps_are_told(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct limits limits = limits_default();
    struct recordings out;
    struct error err;
    char *deep = ARENA_ARRAY(arena, char, 3 * 100 + 16);
    strcpy(deep, "<gpx>");
    for (int i = 0; i < 100; i++) {
        strcat(deep, "<a>");
    }
    check_line(deep, "ride.gpx: has elements inside one another 65 deep; export it again");

    char *names = ARENA_ARRAY(arena, char, 40000);
    size_t size = (size_t)sprintf(names, "<gpx>");
    for (int i = 0; i < 2000; i++) {
        size += (size_t)sprintf(names + size, "<a a%d=\"\"/>", i);
    }
    check_line(names, "ride.gpx: has more than 1000 kinds of elements; is it a recording?");

    static char tag[3000000];
    memset(tag, ' ', sizeof tag - 1);
    memcpy(tag, "<gpx>\n<a b=\"", 12);
    check_line(tag, "ride.gpx: line 2 begins an element of more than 1000000 bytes; export it "
                    "again");

    limits.value[LIMIT_CAP_GPX_POINTS] = 2;
    static const int seconds[] = { 100, 101, 102, -3 };
    check(!read_bytes(arena, bytes_of(tracks(arena, seconds)), &limits, &out, &err));
    check_text("points", err.message,
               "ride.gpx: holds more than 2 track points; split it into its rides");

    char *long_text = ARENA_ARRAY(arena, char, 2000);
    memset(long_text, '1', 1999);
    const struct recording *ride = read_one(
        arena, arena_format(arena, HEAD "<trk><trkseg>%s</trkseg></trk>" TAIL,
                            point(arena, 0, arena_format(arena, "<power>%s</power>", long_text))));
    check_near("long text", finding_value(recording_finding(ride, "bad-points"), "values"), 1, 0);

    /* Half a day between points of one track, again and again, in a small file. */
    char *rare = arena_string(arena, HEAD "<trk><trkseg>");
    for (int i = 0; i < 40; i++) {
        rare = arena_format(arena,
                            "%s<trkpt><time>20%02d-03-14T01:00:00Z</time></trkpt>"
                            "<trkpt><time>20%02d-03-14T12:59:00Z</time></trkpt>",
                            rare, i, i);
    }
    check_line(arena_format(arena, "%s</trkseg></trk>" TAIL, rare),
               "ride.gpx: holds more hours than one file may; split it into its rides");
    char *longest = arena_string(arena, HEAD "<trk><trkseg>");
    for (int day = 1; day < 8; day++) {
        longest = arena_format(arena,
                               "%s<trkpt><time>2026-03-%02dT00:00:00Z</time></trkpt>"
                               "<trkpt><time>2026-03-%02dT12:00:00Z</time></trkpt>",
                               longest, day, day);
    }
    check_line(arena_format(arena, "%s</trkseg></trk>" TAIL, longest),
               "ride.gpx: a recording of 48 h 00 min; 48 h is the most that is read, so split it");
    arena_close(arena);
}

/* ---- damage ---- */

/* Ends of track points in the first `size` bytes. */
static size_t whole_points(const char *text, size_t size)
{
    size_t n = 0;
    for (const char *at = text; (at = memmem(at, size - (size_t)(at - text), "</trkpt>", 8)); n++) {
        at += 8;
    }
    return n;
}

static void test_gpx_read__a_cut_anywhere_keeps_the_points_before_it(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    static const int seconds[] = { 100, 101, 102, -1, 120, 121, 122, -3 };
    const char *text = tracks(arena, seconds);
    const size_t whole = strlen(text);
    const size_t end = (size_t)(strstr(text, "</gpx>") + 6 - text);
    const struct limits limits = limits_default();
    for (size_t size = 1; size < whole; size++) {
        struct arena *own = arena_open();
        struct recordings out;
        struct error err;
        const size_t want = whole_points(text, size);
        const struct bytes cut = { arena_copy(own, text, size), size };
        const bool read = read_bytes(own, cut, &limits, &out, &err);
        check_integer("read", read, want > 0);
        if (read) {
            check_integer("points", (int64_t)out.items[0]->samples.count, (int64_t)want);
            check_integer("told", out.damage != NULL, size < end);
            check_integer("found", recording_finding(out.items[0], "damage") != NULL, size < end);
        }
        arena_close(own);
    }
    arena_close(arena);
}

static void test_gpx_read__damage_is_one_line(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const char *two = arena_format(arena, "%s%s", point(arena, 0, ""), point(arena, 1, ""));
    const struct {
        const char *text;
        const char *line;
        const char *detail;
    } rows[] = {
        { arena_format(arena, HEAD "<trk><trkseg>%s", two),
          "ride.gpx: cut off after 2 points. The first 2 s were read; copy the file from the "
          "device "
          "again.",
          "cut off" },
        { arena_format(arena, HEAD "<trk><trkseg>\n%s<trkpt </trkseg></trk>" TAIL, two),
          "ride.gpx: is no XML from line 6, column 8 on, after 2 points. The first 2 s were read; "
          "copy the file from the device again.",
          "bytes that make no sense" },
        { arena_format(arena, "\n" HEAD "<trk><trkseg>\n%s</trk></trkseg>" TAIL, two),
          "ride.gpx: is no XML from line 7, column 3 on, after 2 points. The first 2 s were read; "
          "copy the file from the device again.",
          "bytes that make no sense" },
        { arena_format(arena, HEAD "<trk><trkseg>%s</trkseg></trk></gpx>\n<x/>", two),
          "ride.gpx: 4 bytes after its end are no part of it and were left out.",
          "bytes after the end" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct recordings out = read_whole(arena, bytes_of(rows[i].text));
        check_text("line", out.damage, rows[i].line);
        check_integer("samples", (int64_t)out.items[0]->samples.count, 2);
        check_text("detail", recording_finding(out.items[0], "damage")->detail, rows[i].detail);
    }
    /* A device that lost its power: zeros where the rest should be. */
    const size_t size = strlen(rows[0].text);
    uint8_t *zeros = ARENA_ARRAY(arena, uint8_t, size + 5000);
    memcpy(zeros, rows[0].text, size);
    check_text("zeros", read_whole(arena, (struct bytes){ zeros, size + 5000 }).damage,
               rows[0].line);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_gpx_read__one_ride_in_every_way_of_writing_it),
        cmocka_unit_test(test_gpx_read__encodings),
        cmocka_unit_test(test_gpx_read__what_it_says_of_the_start),
        cmocka_unit_test(test_gpx_read__fractions_are_rounded_from_the_first_point),
        cmocka_unit_test(test_gpx_read__only_segments_more_than_10_s_apart_make_a_pause),
        cmocka_unit_test(test_gpx_read__tracks_are_recordings_unless_they_go_on),
        cmocka_unit_test(test_gpx_read__times_that_repeat_or_run_back),
        cmocka_unit_test(test_gpx_read__values_that_can_not_be_are_counted),
        cmocka_unit_test(test_gpx_read__the_tracks_type_says_the_sport),
        cmocka_unit_test(test_gpx_read__refusals_say_what_and_what_to_do),
        cmocka_unit_test(test_gpx_read__a_few_points_without_time_are_left_out_and_told),
        cmocka_unit_test(test_gpx_read__caps_are_told),
        cmocka_unit_test(test_gpx_read__a_cut_anywhere_keeps_the_points_before_it),
        cmocka_unit_test(test_gpx_read__damage_is_one_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
