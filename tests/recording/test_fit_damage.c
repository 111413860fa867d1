/* tests/recording/test_fit_damage.c: cuts, wrong bytes, wrong sizes; nothing may crash or run away.
 * Files are built in the test; lines and findings by hand. */
#include "fit_builder.h"

/* An activity with a bit of everything, 60 records. */
static struct builder build_ride(struct arena *arena, bool summary_first)
{
    struct builder b = build_activity(arena);
    if (summary_first) {
        add_session(&b, T0, 60, 60, 2, 7);
    }
    add_event(&b, T0, 0, 0);
    define_records(&b);
    add_records(&b, T0, 30);
    add_lap(&b, T0, 30, 0);
    b.big_endian = true;
    define_records(&b);
    add_records(&b, T0 + 30, 30);
    DEFINE(&b, 6, 78, { 0, 4, 0x84 });
    put8(&b, 6);
    put(&b, 800, 2);
    put(&b, 805, 2);
    add_event(&b, T0 + 59, 0, 4);
    if (!summary_first) {
        add_session(&b, T0, 60, 60, 2, 7);
    }
    add_activity(&b, T0 + 60, T0 + 3660);
    build_end(&b);
    return b;
}

static bool read_bytes(struct arena *arena, const uint8_t *bytes, size_t size,
                       struct recordings *recordings, struct error *err)
{
    const struct limits limits = limits_default();
    const struct read_options options = { .file = "x.fit" };
    /* A copy of the exact size: a read past its end is seen by the address sanitizer. */
    const uint8_t *copy = size == 0 ? NULL : arena_copy(arena, bytes, size);
    return recording_read(arena, (struct bytes){ copy, size }, &options, &limits, recordings, err);
}

static void test_fit_damage__every_cut_gives_what_stands_before_it(void **state)
{
    (void)state;
    for (int first = 0; first < 2; first++) {
        struct arena *whole = arena_open();
        const struct builder b = build_ride(whole, first == 1);
        size_t before = 0;
        for (size_t size = 0; size <= b.size; size++) {
            struct arena *arena = arena_open();
            struct recordings recordings;
            struct error err = { 0 };
            size_t records = 0;
            if (read_bytes(arena, b.bytes, size, &recordings, &err)) {
                check_integer("recordings", (int64_t)recordings.count, 1);
                records = recordings.items[0]->samples.count;
                for (size_t i = 0; i < records; i++) {
                    check_integer("power", sample_of(recordings.items[0], CHANNEL_POWER, i),
                                  100 + (int32_t)(i % 30));
                }
                check_integer("a line", recordings.damage != NULL, size < b.size);
                check_integer("a finding",
                              find_finding(recordings.items[0], "damage", NULL) != NULL,
                              size < b.size);
            } else {
                check_integer("kind", err.kind, ERROR_INPUT);
            }
            check(records >= before);
            check(records <= before + 1);
            before = records;
            arena_close(arena);
        }
        check_integer("all", (int64_t)before, 60);
        arena_close(whole);
    }
}

/* Each byte in turn replaced: whatever comes, it comes back, with as many records as bytes allow.
 */
static void test_fit_damage__any_wrong_byte_is_survived(void **state)
{
    (void)state;
    static const uint8_t masks[] = { 0xFF, 0x80, 0x40, 0x01 };
    struct arena *whole = arena_open();
    const struct builder b = build_ride(whole, false);
    for (size_t i = 0; i < b.size; i++) {
        for (size_t m = 0; m < COUNT(masks); m++) {
            struct arena *arena = arena_open();
            struct recordings recordings;
            struct error err = { 0 };
            b.bytes[i] = (uint8_t)(b.bytes[i] ^ masks[m]);
            if (read_bytes(arena, b.bytes, b.size, &recordings, &err)) {
                /* A wrong byte never passes in silence: the checksum covers them all. */
                check(recordings.damage != NULL);
                for (size_t r = 0; r < recordings.count; r++) {
                    check(recordings.items[r]->samples.count <= b.size);
                }
            } else {
                check(err.message[0] != '\0');
            }
            b.bytes[i] = (uint8_t)(b.bytes[i] ^ masks[m]);
            arena_close(arena);
        }
    }
    arena_close(whole);
}

/* Bytes behind a header, from a written generator (Numerical Recipes' 32-bit one, from memory). */
static void test_fit_damage__bytes_without_sense_are_survived(void **state)
{
    (void)state;
    uint32_t random = 20260101;
    for (size_t round = 0; round < 400; round++) {
        struct arena *arena = arena_open();
        struct builder b = build_activity(arena);
        if (round % 2 == 0) {
            define_records(&b);
            add_records(&b, T0, 3);
        }
        for (size_t i = 0; i < 300; i++) {
            random = random * 1664525u + 1013904223u;
            /* Half of the rounds mostly use local numbers that are defined. */
            put8(&b, round % 4 < 2 && i % 9 == 0 ? 0x01 : random >> 24);
        }
        build_end(&b);
        struct recordings recordings;
        struct error err = { 0 };
        if (!build_read(&b, &recordings, &err)) {
            check(err.message[0] != '\0');
        }
        arena_close(arena);
    }
}

enum spoil {
    WRONG_CHECKSUM,
    NO_CHECKSUM,
    HALF_CHECKSUM,
    NO_SIZE,
    SIZE_TOO_LARGE,
    SIZE_TOO_SMALL,
    HEADER_CHECKSUM,
    NO_HEADER_CHECKSUM,
    ZEROS_AFTER,
    FILLED_AFTER,
    NO_SIZE_ZEROS_AFTER,
    NO_SIZE_FILLED_AFTER,
};

static void spoil_file(struct builder *b, enum spoil spoil)
{
    uint8_t *header = b->bytes;
    const bool zeros = spoil == ZEROS_AFTER || spoil == NO_SIZE_ZEROS_AFTER;
    switch (spoil) {
    case WRONG_CHECKSUM: b->bytes[b->size - 1] ^= 0x55; break;
    case NO_CHECKSUM: b->size -= 2; break;
    case HALF_CHECKSUM: b->size -= 1; break;
    case SIZE_TOO_LARGE: header[5] = (uint8_t)(header[5] + 4); break;
    case SIZE_TOO_SMALL: header[5] = (uint8_t)(header[5] - 1); break;
    case HEADER_CHECKSUM: header[12] ^= 0x10; break;
    case NO_HEADER_CHECKSUM:
        header[12] = 0;
        header[13] = 0;
        b->size -= 2;
        const uint16_t crc = build_crc(b->bytes, b->size);
        put8(b, crc & 0xFFu);
        put8(b, (uint32_t)crc >> 8);
        break;
    case NO_SIZE:
    case NO_SIZE_ZEROS_AFTER:
    case NO_SIZE_FILLED_AFTER: memset(header + 4, 0, 4); break;
    case ZEROS_AFTER:
    case FILLED_AFTER: break;
    }
    if (zeros || spoil == FILLED_AFTER || spoil == NO_SIZE_FILLED_AFTER) {
        for (int i = 0; i < 500; i++) {
            put8(b, zeros ? 0 : 0xFF);
        }
    }
}

static const struct {
    enum spoil spoil;
    const char *line;
    const char *detail;
} spoils[] = {
    { WRONG_CHECKSUM,
      "x.fit: the checksum is wrong, so a value may be too. All 60 records were read; copy the "
      "file from the device again.",
      "wrong checksum" },
    { NO_CHECKSUM, "x.fit: its checksum is missing. All 60 records were read.", "no checksum" },
    { HALF_CHECKSUM, "x.fit: its checksum is missing. All 60 records were read.", "no checksum" },
    { NO_SIZE, "x.fit: was never closed by the device. All 60 records up to its end were read.",
      "never closed" },
    { SIZE_TOO_LARGE, "x.fit: its header gives a wrong size. All 60 records were read.",
      "wrong size in the header" },
    { SIZE_TOO_SMALL, "x.fit: its header gives a wrong size. All 60 records were read.",
      "wrong size in the header" },
    { HEADER_CHECKSUM,
      "x.fit: the checksum is wrong, so a value may be too. All 60 records were read; copy the "
      "file from the device again.",
      "wrong checksum of the header" },
    { NO_HEADER_CHECKSUM, NULL, NULL },
    { ZEROS_AFTER, "x.fit: 500 bytes after its end are no recording and were left out.",
      "bytes after the end" },
    { FILLED_AFTER, "x.fit: 500 bytes after its end are no recording and were left out.",
      "bytes after the end" },
    { NO_SIZE_ZEROS_AFTER,
      "x.fit: was never closed by the device. All 60 records up to its end were read.",
      "never closed" },
    { NO_SIZE_FILLED_AFTER,
      "x.fit: was never closed by the device. All 60 records up to its end were read.",
      "never closed" },
};

static void test_fit_damage__each_harm_is_one_line_and_a_finding(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(spoils); i++) {
        struct arena *arena = arena_open();
        struct builder b = build_ride(arena, false);
        spoil_file(&b, spoils[i].spoil);
        const struct recordings recordings = read_built(&b);
        check_text("line", recordings.damage, spoils[i].line);
        check_integer("recordings", (int64_t)recordings.count, 1);
        check_integer("records", (int64_t)recordings.items[0]->samples.count, 60);
        check_integer("finding",
                      find_finding(recordings.items[0], "damage", spoils[i].detail) != NULL,
                      spoils[i].detail != NULL);
        arena_close(arena);
    }
}

static void test_fit_damage__a_torn_middle_keeps_what_stands_before(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    define_records(&b);
    add_records(&b, T0, 200);
    put8(&b, 11); /* a local number that was never defined */
    const size_t torn_at = b.size - 1;
    add_records(&b, T0 + 200, 100);
    build_end(&b);
    const struct recordings recordings = read_built(&b);
    check_text("line", recordings.damage,
               arena_format(arena,
                            "x.fit: makes no sense from byte %zu,%03zu on, after 200 records. The "
                            "first 3 min were read; copy the file from the device again.",
                            torn_at / 1000, torn_at % 1000));
    check_integer("records", (int64_t)recordings.items[0]->samples.count, 200);
    arena_close(arena);
}

static void test_fit_damage__a_summary_before_the_cut_tells_what_was_expected(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    add_session(&b, T0, 3600, 3600, 2, 7);
    define_records(&b);
    add_records(&b, T0, 3600);
    build_end(&b);
    b.size -= 2 + (3600 - 2113) * 9 - 4; /* a record takes 9 bytes: four bytes of the next stay */
    const struct recordings recordings = read_built(&b);
    check_text("line", recordings.damage,
               "x.fit: cut off after 2,113 records (expected 3,600). The first 35 min were read; "
               "copy the file from the device again.");
    arena_close(arena);
}

static void test_fit_damage__a_damaged_gzip_is_said_too(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    define_records(&b);
    add_records(&b, T0, 50);
    build_end(&b);
    const struct limits limits = limits_default();
    const struct read_options options = { .file = "x.fit.gz",
                                          .packing_damage = "the gzip around it ends early" };
    struct recordings recordings;
    struct error err = { 0 };
    check(recording_read(arena, (struct bytes){ b.bytes, b.size }, &options, &limits, &recordings,
                         &err));
    check_text("line", recordings.damage,
               "x.fit.gz: the gzip around it ends early; copy the file from the device again.");
    check(find_finding(recordings.items[0], "damage", "the gzip around it ends early") != NULL);
    check(recording_read(arena, (struct bytes){ b.bytes, b.size - 2 - 20 * 9 - 4 }, &options,
                         &limits, &recordings, &err));
    check_text("line", recordings.damage,
               "x.fit.gz: the gzip around it ends early: cut off after 29 records. The first 29 s "
               "were read; copy the file from the device again.");
    check(!recording_read(arena, (struct bytes){ b.bytes, 20 }, &options, &limits, &recordings,
                          &err));
    check_text("line", err.message,
               "x.fit.gz: the gzip around it ends early before its first record; copy the file "
               "from the device again");
    arena_close(arena);
}

/* A device that writes big-endian numbers under a little-endian flag. */
static void test_fit_damage__a_wrong_byte_order_flag_is_turned(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    b.size = 14;
    b.big_endian = true;
    const size_t flag_of_id = b.size + 2;
    add_file_id(&b, 4);
    const size_t flag_of_records = b.size + 2;
    define_records(&b);
    b.bytes[flag_of_id] = 0;
    b.bytes[flag_of_records] = 0;
    add_records(&b, T0, 30);
    build_end(&b);
    const struct recordings recordings = read_built(&b);
    check_integer("power", sample_of(recordings.items[0], CHANNEL_POWER, 29), 129);
    check_integer("start", recordings.items[0]->start_utc, 1569688159);
    check_text("maker, whose message number reads the same both ways",
               recordings.items[0]->device.maker, "255");
    check_text("line", recordings.damage,
               "x.fit: its byte-order flag is wrong. All 30 records were read the other way.");
    check(find_finding(recordings.items[0], "damage", "wrong byte-order flag") != NULL);
    arena_close(arena);
}

/* What asks for as much memory as a file of its size can. */
static void test_fit_damage__memory_stays_within_its_bound(void **state)
{
    (void)state;
    double largest = 0;
    for (int kind = 0; kind < 5; kind++) {
        struct arena *bytes = arena_open();
        struct builder b = build_activity(bytes);
        define_all(&b, 1, 20,
                   (const uint8_t[][3]){ { 253, 4, 0x86 },
                                         { 7, 2, 0x84 },
                                         { 3, 1, 2 },
                                         { 4, 1, 2 },
                                         { 6, 2, 0x84 },
                                         { 5, 4, 0x86 },
                                         { 2, 2, 0x84 },
                                         { 13, 1, 1 },
                                         { 0, 4, 0x85 },
                                         { 1, 4, 0x85 },
                                         { 30, 1, 2 } },
                   11, NULL, 0);
        put8(&b, 1);
        put(&b, T0, 4);
        for (int i = 0; i < 22; i++) {
            put8(&b, 1); /* every channel comes once */
        }
        DEFINE(&b, 0, 20, { 3, 1, 0x02 });
        DEFINE(&b, 2, 78, { 0, 254, 0x84 });
        DEFINE(&b, 3, 19, { 24, 1, 0x00 });
        for (uint32_t i = 0; i < 290000; i++) {
            put8(&b, kind == 0 ? 0x80 : kind == 1 ? 0x80 | (i & 31) : kind == 3 ? 3 : 0x80);
            put8(&b, 100);
        }
        for (uint32_t i = 0; kind == 2 && i < 4000; i++) {
            put8(&b, 2);
            for (int k = 0; k < 254; k++) {
                put8(&b, 3);
            }
        }
        for (uint32_t i = 1; kind == 4 && i < 9; i++) {
            /* each run of its own clock has a grid of nearly 12 h between two records */
            put8(&b, 1);
            put(&b, T0 + i * 90000, 4);
            for (int k = 0; k < 22; k++) {
                put8(&b, 1);
            }
            put8(&b, 1);
            put(&b, T0 + i * 90000 + 43000, 4);
            for (int k = 0; k < 22; k++) {
                put8(&b, 1);
            }
        }
        build_end(&b);
        struct arena *arena = arena_open();
        const struct limits limits = limits_default();
        const struct read_options options = { .file = "x.fit" };
        struct recordings recordings;
        struct error err = { 0 };
        const bool ok = recording_read(arena, (struct bytes){ b.bytes, b.size }, &options, &limits,
                                       &recordings, &err);
        check(ok || err.kind == ERROR_TOO_LARGE);
        check(arena_bytes(arena) <= 64u * 1000u * 1000u + 4 * b.size);
        const double share = (double)arena_bytes(arena) / (64e6 + 4.0 * (double)b.size);
        largest = share > largest ? share : largest;
        arena_close(arena);
        arena_close(bytes);
    }
    print_message("# note: largest memory of a hostile file: %.0f %% of its bound\n",
                  100 * largest);
}

static void test_fit_damage__too_many_records_are_refused(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct builder b = build_activity(arena);
    define_records(&b);
    add_record(&b, T0, 1, 1, 1);
    DEFINE(&b, 0, 20, { 3, 1, 0x02 });
    for (uint32_t i = 0; i < 400000; i++) {
        put8(&b, 0x80);
        put8(&b, 100);
    }
    build_end(&b);
    check_text("line", refuse_built(&b, ERROR_TOO_LARGE),
               "x.fit: holds more records than one file may; split it into its activities");
    arena_close(arena);
}

static void test_fit_damage__too_many_files_or_clocks_are_refused(void **state)
{
    (void)state;
    static const char *const line =
        "x.fit: holds more than 1000 recordings; split it into its activities";
    struct arena *arena = arena_open();
    struct builder chain = build_begin(arena);
    for (int i = 0; i < 1001; i++) {
        build_file(&chain, 12);
        build_end(&chain);
    }
    check_text("chain", refuse_built(&chain, ERROR_TOO_LARGE), line);
    struct builder clocks = build_activity(arena);
    define_records(&clocks);
    for (uint32_t i = 0; i < 1100; i++) {
        add_records(&clocks, T0 + i * 50000, 2);
    }
    build_end(&clocks);
    check_text("clocks", refuse_built(&clocks, ERROR_TOO_LARGE), line);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fit_damage__every_cut_gives_what_stands_before_it),
        cmocka_unit_test(test_fit_damage__any_wrong_byte_is_survived),
        cmocka_unit_test(test_fit_damage__bytes_without_sense_are_survived),
        cmocka_unit_test(test_fit_damage__each_harm_is_one_line_and_a_finding),
        cmocka_unit_test(test_fit_damage__a_torn_middle_keeps_what_stands_before),
        cmocka_unit_test(test_fit_damage__a_summary_before_the_cut_tells_what_was_expected),
        cmocka_unit_test(test_fit_damage__a_damaged_gzip_is_said_too),
        cmocka_unit_test(test_fit_damage__a_wrong_byte_order_flag_is_turned),
        cmocka_unit_test(test_fit_damage__memory_stays_within_its_bound),
        cmocka_unit_test(test_fit_damage__too_many_records_are_refused),
        cmocka_unit_test(test_fit_damage__too_many_files_or_clocks_are_refused),
    };
    return cmocka_run_group_tests_name("fit_damage", tests, NULL, NULL);
}
