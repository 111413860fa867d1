/* fuzz/seeds.c: small invented files for each target. */
#include "seeds.h"

#include "activity.h"
#include "mend.h"
#include "recording/fit_out.h"
#include "recording/fit_write.h"
#include "roster/pack.h"
#include "recording/zip_builder.h"

#include <string.h>
#include <zlib.h>

#define SEEDS_MAX 40

struct pile {
    struct arena *arena;
    struct seed *items; /* [SEEDS_MAX] */
    size_t count;
};

static void add(struct pile *pile, const char *name, struct bytes bytes)
{
    if (pile->count < SEEDS_MAX) {
        pile->items[pile->count++] = (struct seed){ name, bytes };
    }
}

static void add_text(struct pile *pile, const char *name, const char *text)
{
    add(pile, name, (struct bytes){ (const uint8_t *)text, strlen(text) });
}

/* Bytes that an activity is made of. */
static struct bytes dice(struct arena *arena, uint32_t seed, size_t size)
{
    uint8_t *bytes = ARENA_ARRAY(arena, uint8_t, size);
    for (size_t i = 0; i < size; i++) {
        seed = seed * 1664525u + 1013904223u;
        bytes[i] = (uint8_t)(seed >> 24);
    }
    return (struct bytes){ bytes, size };
}

/* A few records with every channel, written with the options that the bits of `how` ask for. */
static struct bytes small_file(struct arena *arena, unsigned how)
{
    static int32_t time_s[6] = { 0, 1, 2, 40, 41, 42 };
    static const struct fit_event events[4] = {
        { 0, true }, { 2, false }, { 40, true }, { 42, false }
    };
    static const struct lap laps[2] = { { 0, 2, true, 0 }, { 2, 42, false, 1 } };
    struct fit_activity activity = {
        .start_utc = 1773480413,
        .sport = SPORT_CYCLING,
        .big_endian = (how & 1) != 0,
        .compressed_timestamps = (how & 2) != 0,
        .old_header = (how & 4) != 0,
        .power_as_developer_field = (how & 8) != 0,
        .has_utc_offset = true,
        .utc_offset_s = 3600,
        .effort_0_10 = 7,
        .weight_kg = 61.5,
        .weighed_kg = (how & 1) != 0 ? 62.04 : 0.0,
        .serial = 1,
        .events = events,
        .n_events = 4,
        .laps = laps,
        .n_laps = 2,
    };
    activity.samples.count = 6;
    activity.samples.time_s = time_s;
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        if ((how & 16) != 0 && c > CHANNEL_CADENCE) {
            break;
        }
        activity.samples.value[c] = ARENA_ARRAY(arena, int32_t, 6);
        for (int32_t i = 0; i < 6; i++) {
            activity.samples.value[c][i] = 100 + i;
        }
    }
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    return fit_write(arena, &activity, &bytes, &err) ? bytes : (struct bytes){ 0 };
}

static struct bytes joined(struct arena *arena, struct bytes a, struct bytes b)
{
    uint8_t *both = ARENA_ARRAY(arena, uint8_t, a.size + b.size);
    memcpy(both, a.at, a.size);
    memcpy(both + a.size, b.at, b.size);
    return (struct bytes){ both, a.size + b.size };
}

/* One message of a list: global number, then fields {number, base, value} up to base 0xFF. */
struct line {
    uint8_t local;
    uint16_t global;
    struct {
        uint8_t number;
        enum fit_out_base base;
        int64_t value;
    } fields[8];
    size_t n;
};

/* What the writer doesn't write but devices do: two sessions, sensors, a zero offset, heart beats,
 * a workout, zones, names, speed and altitude in the old fields, a message nobody knows. */
static const struct line rich[] = {
    { 0, 0, { { 0, FIT_OUT_ENUM, 4 }, { 1, FIT_OUT_UINT16, 1 }, { 2, FIT_OUT_UINT16, 9 } }, 3 },
    { 1, 7, { { 3, FIT_OUT_UINT16, 250 }, { 1, FIT_OUT_UINT8, 190 } }, 2 },
    { 2, 12, { { 0, FIT_OUT_ENUM, 2 }, { 1, FIT_OUT_ENUM, 7 } }, 2 },
    { 3,
      23,
      { { 253, FIT_OUT_UINT32, 1142414813 },
        { 0, FIT_OUT_UINT8, 1 },
        { 1, FIT_OUT_UINT8, 11 },
        { 2, FIT_OUT_UINT16, 7 },
        { 25, FIT_OUT_ENUM, 1 },
        { 3, FIT_OUT_UINT32Z, 77 } },
      6 },
    { 4,
      27,
      { { 254, FIT_OUT_UINT16, 0 },
        { 1, FIT_OUT_ENUM, 0 },
        { 2, FIT_OUT_UINT32, 60000 },
        { 3, FIT_OUT_ENUM, 4 },
        { 5, FIT_OUT_UINT32, 1200 },
        { 6, FIT_OUT_UINT32, 1300 } },
      6 },
    { 5,
      21,
      { { 253, FIT_OUT_UINT32, 1142414813 },
        { 0, FIT_OUT_ENUM, 36 },
        { 1, FIT_OUT_ENUM, 3 },
        { 3, FIT_OUT_UINT32, 800 } },
      4 },
    { 6,
      20,
      { { 253, FIT_OUT_UINT32, 1142414813 },
        { 2, FIT_OUT_UINT16, 2600 },
        { 3, FIT_OUT_UINT8, 120 },
        { 6, FIT_OUT_UINT16, 8000 },
        { 7, FIT_OUT_UINT16, 200 },
        { 30, FIT_OUT_UINT8, 0xB2 } },
      6 },
    { 6,
      20,
      { { 253, FIT_OUT_UINT32, 1142414814 },
        { 2, FIT_OUT_UINT16, 2601 },
        { 3, FIT_OUT_UINT8, 121 },
        { 6, FIT_OUT_UINT16, 8001 },
        { 7, FIT_OUT_UINT16, 201 },
        { 30, FIT_OUT_UINT8, 0x32 } },
      6 },
    { 7, 78, { { 0, FIT_OUT_UINT16, 500 } }, 1 },
    { 8,
      18,
      { { 253, FIT_OUT_UINT32, 1142414813 },
        { 2, FIT_OUT_UINT32, 1142414813 },
        { 5, FIT_OUT_ENUM, 2 },
        { 7, FIT_OUT_UINT32, 1000 },
        { 8, FIT_OUT_UINT32, 1000 } },
      5 },
    { 8,
      18,
      { { 253, FIT_OUT_UINT32, 1142414814 },
        { 2, FIT_OUT_UINT32, 1142414814 },
        { 5, FIT_OUT_ENUM, 1 },
        { 7, FIT_OUT_UINT32, 1000 },
        { 8, FIT_OUT_UINT32, 1000 } },
      5 },
    { 9, 65300, { { 3, FIT_OUT_SINT32, -5 }, { 200, FIT_OUT_SINT8, 3 } }, 2 },
    { 10,
      34,
      { { 253, FIT_OUT_UINT32, 1142414814 },
        { 5, FIT_OUT_UINT32, 1142418414 },
        { 1, FIT_OUT_UINT16, 2 } },
      3 },
};

static struct bytes rich_file(struct arena *arena, bool big_endian)
{
    struct fit_out_file file = { .arena = arena,
                                 .big_endian = big_endian,
                                 .last_time = FIT_OUT_NONE };
    fit_out_put(&file, 0, 8);
    fit_out_put(&file, 0, 6);
    for (size_t i = 0; i < sizeof rich / sizeof rich[0]; i++) {
        struct fit_out_message message = { .local = rich[i].local, .global = rich[i].global };
        for (size_t k = 0; k < rich[i].n; k++) {
            fit_out_add(&message, rich[i].fields[k].number, rich[i].fields[k].base,
                        rich[i].fields[k].value);
        }
        if (rich[i].global == 27) {
            fit_out_add_raw(&message, 0, FIT_OUT_STRING, "Steady\xC3\xA4", 9);
        }
        fit_out_write(&file, &message);
    }
    fit_out_put(&file, 0, 2);
    file.bytes[0] = 14;
    file.bytes[1] = 0x20;
    fit_mend(file.bytes, file.size);
    return (struct bytes){ file.bytes, file.size };
}

static void add_fit(struct pile *pile)
{
    struct arena *arena = pile->arena;
    for (unsigned how = 0; how < 16; how++) {
        add(pile, arena_format(arena, "options-%02u", how), small_file(arena, how));
    }
    const struct bytes one = small_file(arena, 16);
    const struct bytes two = small_file(arena, 1);
    static const uint8_t zeros[40];
    add(pile, "few-channels", one);
    add(pile, "chained", joined(arena, one, two));
    add(pile, "cut", (struct bytes){ two.at, two.size * 3 / 5 });
    add(pile, "no-crc", (struct bytes){ one.at, one.size - 2 });
    add(pile, "trailing-zeros", joined(arena, one, (struct bytes){ zeros, sizeof zeros }));
    add(pile, "header-only", (struct bytes){ one.at, 14 });
    add(pile, "rich", rich_file(arena, false));
    add(pile, "rich-big-endian", rich_file(arena, true));
}

static void add_csv(struct pile *pile)
{
    add_text(pile, "plain",
             "seconds,power_w,heart_rate_bpm,cadence_rpm\n0,150,120,90\n1,151,,91\n");
    add_text(pile, "semicolon",
             "Zeit;timestamp;Power (W);HR;Speed (km/h)\n"
             "x;2026-03-14T09:26:53+01:00;150;120;31,5\nx;2026-03-14T09:26:54+01:00;NA;121;-\n");
    add_text(pile, "tab", "date\ttime\twatts\tlat\tlon\n14.03.2026\t9:26:53\t150\t45.5\t-90\n");
    add_text(pile, "quotes",
             "\"time\",\"power\",\"a \"\"b\"\"\"\r\n0:00:01,\"150\",\"x,\r\ny\"\r\n");
    add_text(pile, "marked", "\xEF\xBB\xBFunix,hr,alt (ft),temp [F]\r1773480413,120,1000,70\r");
    add_text(pile, "latin1",
             "time,temp (\xB0"
             "C),hr\n0,20,120\n");
    add_text(pile, "converter",
             "timestamp,heart_rate,position_lat,position_long\n"
             "Sun Sep 25 06:00:22 PDT 2011,161,521521093,-946874053\n");
    add_text(pile, "backwards", "seconds,power\n5,1\n4,2\n3,3\n-50,4\n900000,5\n2,5\n");
    add_text(pile, "two-rides", "seconds,power,distance\n0,1,0\n1,2,5\n100000,3,6\n100001,4,7\n");
    add_text(pile, "gaps", "seconds,power,distance_km\n0,1,0\n1,2,0.01\n100,3,1.5\n101,4,1.51\n");
    add_text(pile, "preamble",
             "A ride; of "
             "mine\n\"two\nlines\"\n\ntime;watts;speed\n[s];W;km/h\n0;150;31,5\n1;151;31,25\n");
    add_text(pile, "strokes", "date,time,hr\n03/04/2026,9:26:53 PM,120\n14/04/2026,9:26 AM,121\n");
    add_text(pile, "minutes", "time,power,distance\n59:59,150,999\n1:00:00,151,1.004\n");
    add_text(pile, "thousands", "time;power;distance\n0;150;999,5\n1;151;1.004,5\n");
    add_text(pile, "two-powers", "time,power,watts,power (kW)\n0,1,2,3\n");
    static const uint8_t utf16[] = "\xFF\xFEt\0i\0m\0e\0,\0h\0r\0\n\0000\0,\0009\0\n\0";
    add(pile, "utf16", (struct bytes){ utf16, sizeof utf16 - 1 });
    add_text(pile, "bad-rows", "seconds,power\n0,1\nx,2\n1,\"2\n2,3\n3,4,5\n4\n5,1e3\n6,1e999\n");
}

static void add_gzip(struct pile *pile)
{
    static const char text[] = "seconds,power\n0,150\n1,151\n2,152\n";
    struct arena *arena = pile->arena;
    uint8_t *made = ARENA_ARRAY(arena, uint8_t, 256);
    z_stream z = { 0 };
    if (deflateInit2(&z, 9, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY) == Z_OK) {
        z.next_in = arena_copy(arena, text, sizeof text);
        z.avail_in = sizeof text;
        z.next_out = made;
        z.avail_out = 256;
        (void)deflate(&z, Z_FINISH);
        const struct bytes one = { made, z.total_out };
        deflateEnd(&z);
        add(pile, "one", one);
        add(pile, "two-members", joined(arena, one, one));
        add(pile, "cut", (struct bytes){ made, one.size / 2 });
    }
    add_text(pile, "plain", text);
}

static void add_gpx(struct pile *pile)
{
    static const char plain[] =
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx "
        "xmlns:x=\"urn:x\"><trk><type>cycling</type>"
        "<trkseg><trkpt lat=\"45.5\" lon=\"-90\"><ele>12.3</ele><time>2026-03-14T09:26:53Z</time>"
        "<extensions><power>150</power><x:e><x:hr>120</x:hr><x:cad>90</x:cad></x:e></extensions>"
        "</trkpt>\n<trkpt><time>2026-03-14T09:26:54.6+01:00</time></trkpt></trkseg><trkseg>"
        "<trkpt><time>2026-03-14T09:30:00Z</time></trkpt></trkseg></trk>"
        "<trk><trkseg><trkpt><time>2026-03-14T19:30:00Z</time></trkpt></trkseg></trk></gpx>";
    add_text(pile, "plain", plain);
    add(pile, "cut", (struct bytes){ (const uint8_t *)plain, 400 });
    add_text(pile, "route", "<gpx><rte><rtept lat=\"1\" lon=\"2\"/></rte><wpt/></gpx>");
    add_text(pile, "latin1",
             "<?xml version='1.0' encoding='windows-1252'?><gpx><trk><name>\xFC\x80</name>"
             "<trkpt><time>2026-03-14T09:26:53Z</time><atemp>20</atemp></trkpt></trk></gpx>");
    add_text(pile, "not-utf8",
             "<gpx><trk><name>\xFC</name><trkpt><time>2026-03-14T09:26:53Z</time></trkpt></trk>"
             "</gpx>");
    add_text(pile, "doctype", "<!DOCTYPE gpx [<!ENTITY a \"b\">]><gpx>&a;</gpx>");
    add_text(pile, "clock",
             "<gpx><trk><trkpt><time>2026-03-14T09:26:53Z</time></trkpt>"
             "<trkpt><time>2026-03-14T09:26:50Z</time></trkpt><trkpt><time>x</time></trkpt>"
             "<trkpt><time>2026-03-15T09:26:50Z</time><power>9e9</power></trkpt></trk></gpx> x");
}

static void add_zip(struct pile *pile)
{
    struct arena *arena = pile->arena;
    const struct bytes ride = { (const uint8_t *)"seconds,power\n0,150\n1,151\n", 26 };
    for (unsigned how = 0; how < 8; how++) {
        struct zip_builder zip = zipped_begin(arena);
        zipped_add(&zip, &(struct zipped_entry){ .name = "june/" });
        zipped_add(&zip, &(struct zipped_entry){ .name = "june/a.csv",
                                                 .plain = ride,
                                                 .deflated = (how & 1) != 0,
                                                 .flags = how == 4 ? 1 : 0,
                                                 .method = how == 5 ? 12 : 0,
                                                 .wrong_crc = how == 6,
                                                 .wrong_size = how == 7 ? 9 : 0 });
        zipped_add(&zip, &(struct zipped_entry){ .name = how == 2 ? "june/a.csv" : "b\x82.csv",
                                                 .plain = ride });
        add(pile, arena_format(arena, "zip-%u", how), zipped_end(&zip));
    }
    struct zip_builder none = zipped_begin(arena);
    add(pile, "empty", zipped_end(&none));
    add_text(pile, "plain", "seconds,power\n0,150\n1,151\n2,152\n");
}

/* Two bytes of length, then a packed series or mask of that length. */
static void add_pack(struct pile *pile)
{
    static const size_t lengths[] = { 0, 1, 2, 127, 128, 129, 130, 1000 };
    for (size_t i = 0; i < sizeof lengths / sizeof lengths[0]; i++) {
        const size_t n = lengths[i];
        int32_t *values = ARENA_ARRAY(pile->arena, int32_t, n);
        uint8_t *mask = ARENA_ARRAY(pile->arena, uint8_t, n);
        for (size_t k = 0; k < n; k++) {
            values[k] = k % 50 < 3 ? INT32_MIN : (int32_t)((k * k) % 300);
            mask[k] = k % 50 < 3 ? 2 : 0;
        }
        for (int what = 0; what < 2; what++) {
            const struct bytes packed = what == 0 ? pack_series(pile->arena, values, n, INT32_MIN)
                                                  : pack_mask(pile->arena, mask, n);
            uint8_t *seed = ARENA_ARRAY(pile->arena, uint8_t, packed.size + 2);
            seed[0] = (uint8_t)n;
            seed[1] = (uint8_t)(n >> 8);
            memcpy(seed + 2, packed.at, packed.size);
            add(pile, arena_format(pile->arena, "pack-%d-%zu", what, n),
                (struct bytes){ seed, packed.size + 2 });
        }
    }
}

/* Stretches as ride_read.c takes them: length, power, heart rate, cadence, how. */
static void add_rides(struct pile *pile)
{
    static const uint8_t hour[] = { 60,  100, 110, 85, 1, 240, 172, 140, 90, 1,
                                    240, 172, 143, 90, 1, 240, 172, 146, 90, 1,
                                    240, 172, 149, 90, 1, 60,  90,  120, 80, 1 };
    static const uint8_t efforts[] = { 120, 120, 120, 85,  1,   16,  255, 160, 95,  1,  16,  90,
                                       130, 80,  1,   16,  255, 165, 95,  1,   16,  90, 130, 80,
                                       1,   16,  255, 168, 95,  1,   30,  90,  130, 80, 1 };
    static const uint8_t faults[] = { 60,  150, 130, 90,  1,   60, 150, 0,   90,  5,   4,   0,
                                      130, 90,  3,   60,  150, 90, 90,  33,  60,  150, 130, 90,
                                      9,   60,  150, 130, 90,  17, 60,  150, 130, 90,  65 };
    add(pile, "hour", (struct bytes){ hour, sizeof hour });
    add(pile, "efforts", (struct bytes){ efforts, sizeof efforts });
    add(pile, "faults", (struct bytes){ faults, sizeof faults });
    for (uint32_t i = 0; i < 4; i++) {
        add(pile, arena_format(pile->arena, "dice-%u", i), dice(pile->arena, i, 40u + 40u * i));
    }
}

/* Invented, in every way that the reader has a rule for. */
static void add_replies(struct pile *pile)
{
    static const char *const replies[] = {
        "legs were heavy, slept 6h badly, 2 coffees more than usual, fan on, 24 degrees, one "
        "bottle, "
        "felt ok, RPE 7/10, bit of a sore throat",
        "1) 7 2) heavy 3) badly 4) none 5) a bit",
        "Q1: 6.5\nQ2: 3\nQ3: slept 7h30\nQ4 - 2\nQ5: 1",
        "no fan, 2 x 750 ml (75F), didn't sleep well; hard day yesterday?",
        ("six and a half hours of sleep, minus 5 \xC2\xB0"
         "C, \xC2\xBD l, not sick - no cough, fever & dizzy"),
        "RPE 7-8, w/o fan, a cold, a cold morning, two 500 ml bottles / 7,5h sleep!",
    };
    for (size_t i = 0; i < sizeof replies / sizeof replies[0]; i++) {
        add_text(pile, arena_format(pile->arena, "reply-%zu", i), replies[i]);
    }
}

/* Every word that the reader of sessions has a rule for. */
static void add_sessions(struct pile *pile)
{
    static const char *const sessions[] = {
        "15 min at 50-65 %, then 5 times (4 min at 106-112 %, 4 min at 50 %), 10 min at 45 %",
        ("warm up 20 min rising from 40 to 90 %; 2 x 8 min all out with 90-100 rpm \"go\"\ncool "
         "down until the button at effort 2 of 10"),
        "3x(2 times (30 s at 400 W, rest 1 min 30 s), 5 min at 130-145 bpm)\nnote: drink: early",
        "1 h 30 min at 65-75 % of maximal heart rate\nplan B, over 26 C: 60 min freely",
        "99 times (2 times (2 times (1 s)))\n\t\r\nplan B: 12 h",
        "4 min at 112-106 %, (5 min) at 2000 mw",
    };
    for (size_t i = 0; i < sizeof sessions / sizeof sessions[0]; i++) {
        add_text(pile, arena_format(pile->arena, "session-%zu", i), sessions[i]);
    }
}

/* What a request is made of, and what the tests of the server send to harm it. */
static void add_requests(struct pile *pile)
{
    static const char *const texts[] = {
        "/api/1/riders/3/notes/7?from=2026-01-01&to=2026-02-01",
        "/api/1/riders/ada%20berg%2Fx/rides?q=a+b%2Bc&flag",
        "/assets/%2e%2e/..%2f%c0%ae/x?a=1&a=2&%61=3",
        "http://127.0.0.1:8177",
        "same-origin",
        "application/json; charset=utf-8",
        "a=b; plumbline-8177=0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef",
        "\"x\", W/\"0123456789abcdef\", *",
        "\"12\"",
        "br;q=1, gzip;q=0.5, identity;q=0",
        "password=correct+horse%21%C3%A9",
        ("{\"from\":\"2026-01-10\",\"value\":246.5,\"id\":9007199254740993,\"on\":true,\"gone\":"
         "null,\"days\":[1,[2,{\"a\":\"E\\u0301\"}]]}"),
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        add_text(pile, arena_format(pile->arena, "request-%zu", i), texts[i]);
    }
}

struct seed *seeds_of(struct arena *arena, const char *target, size_t *count)
{
    struct pile pile = { .arena = arena, .items = ARENA_ARRAY(arena, struct seed, SEEDS_MAX) };
    if (strcmp(target, "fit_read") == 0) {
        add_fit(&pile);
    } else if (strcmp(target, "csv_read") == 0) {
        add_csv(&pile);
    } else if (strcmp(target, "gzip") == 0) {
        add_gzip(&pile);
    } else if (strcmp(target, "gpx_read") == 0) {
        add_gpx(&pile);
    } else if (strcmp(target, "zip") == 0) {
        add_zip(&pile);
    } else if (strcmp(target, "pack") == 0) {
        add_pack(&pile);
    } else if (strcmp(target, "reply") == 0) {
        add_replies(&pile);
    } else if (strcmp(target, "session") == 0) {
        add_sessions(&pile);
    } else if (strcmp(target, "request") == 0) {
        add_requests(&pile);
    } else if (strcmp(target, "fit_round") == 0) {
        for (uint32_t i = 0; i < 8; i++) {
            add(&pile, arena_format(arena, "dice-%u", i), dice(arena, i, 50u << i));
        }
    } else if (strcmp(target, "ride_read") == 0) {
        add_rides(&pile);
    } else {
        return NULL;
    }
    *count = pile.count;
    return pile.items;
}
