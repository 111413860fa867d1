/* tests/recording/test_container.c: what comes out of gzip and zip, and the line of each fault. */
#include "check.h"

#include "base/text.h"
#include "maths/random.h"
#include "recording/container.h"
#include "zip_builder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <zip.h>

static const char RIDE[] = "seconds,power\n0,150\n1,151\n2,152\n";

static struct bytes text(const char *words)
{
    return (struct bytes){ (const uint8_t *)words, strlen(words) };
}

static struct bytes gzip_of(struct arena *arena, struct bytes plain)
{
    z_stream z = { 0 };
    check(deflateInit2(&z, 9, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY) == Z_OK);
    const size_t room = deflateBound(&z, plain.size) + 64;
    uint8_t *out = ARENA_ARRAY(arena, uint8_t, room);
    z.next_in = arena_copy(arena, plain.at, plain.size);
    z.avail_in = (uInt)plain.size;
    z.next_out = out;
    z.avail_out = (uInt)room;
    check(deflate(&z, Z_FINISH) == Z_STREAM_END);
    const size_t size = z.total_out;
    deflateEnd(&z);
    return (struct bytes){ out, size };
}

static struct container *open_bytes(struct arena *arena, struct bytes bytes,
                                    const struct limits *limits)
{
    struct container *container = NULL;
    struct error err = { 0 };
    if (!container_open(arena, bytes, "rides.zip", limits, &container, &err)) {
        print_error("# %s\n", err.message);
        fail();
    }
    return container;
}

/* The whole refused: its line. */
static void check_refused(const char *row, struct bytes bytes, const char *line)
{
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct container *container = NULL;
    struct error err = { 0 };
    check_integer(row, container_open(arena, bytes, "rides.zip", &limits, &container, &err), false);
    check_text(row, err.message, line);
    check(container == NULL);
    arena_close(arena);
}

static void check_bytes(const char *row, struct bytes got, struct bytes want)
{
    check_integer(row, (int64_t)got.size, (int64_t)want.size);
    check(want.size == 0 || memcmp(got.at, want.at, want.size) == 0);
}

static void test_container__a_plain_file_and_a_gzip_are_one_entry(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct bytes packed = gzip_of(arena, text(RIDE));
    const struct bytes rows[] = { text(RIDE), packed };
    struct container_entry entry = { 0 };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct container *container = open_bytes(arena, rows[i], &limits);
        check(container_next(container, arena, &entry));
        check_text("name", entry.name, "rides.zip");
        check_bytes("bytes", entry.bytes, text(RIDE));
        check(entry.damage == NULL && entry.note == NULL && entry.error.kind == ERROR_NONE);
        check(!container_next(container, arena, &entry));
        container_close(container);
    }
    struct container *cut =
        open_bytes(arena, (struct bytes){ packed.at, packed.size - 9 }, &limits);
    check(container_next(cut, arena, &entry));
    check_text("damage", entry.damage, "the gzip around it ends early");
    container_close(cut);
    container_close(NULL);
    arena_close(arena);
}

static void test_container__a_zip_gives_each_of_its_files(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct zip_builder zip = zipped_begin(arena);
    zipped_add(&zip, &(struct zipped_entry){ .name = "june/" });
    zipped_add(&zip, &(struct zipped_entry){ .name = "june/a.csv", .plain = text(RIDE) });
    zipped_add(&zip, &(struct zipped_entry){ .name = ".hidden", .plain = text("x") });
    zipped_add(&zip, &(struct zipped_entry){ .name = "june/._a.csv", .plain = text("x") });
    zipped_add(&zip,
               &(struct zipped_entry){ .name = "b.csv", .plain = text(RIDE), .deflated = true });
    zipped_add(&zip,
               &(struct zipped_entry){ .name = "c.csv.gz", .plain = gzip_of(arena, text(RIDE)) });
    zipped_add(&zip, &(struct zipped_entry){ .name = "empty.fit" });
    zipped_add(&zip, &(struct zipped_entry){ .name = "", .plain = text(RIDE) });
    const struct bytes whole = zipped_end(&zip);
    static const char *const names[] = { "rides.zip: june/a.csv", "rides.zip: b.csv",
                                         "rides.zip: c.csv.gz", "rides.zip: empty.fit",
                                         "rides.zip: file 8" };
    const struct bytes packings[] = { whole, gzip_of(arena, whole) };
    for (size_t p = 0; p < COUNT(packings); p++) {
        struct container *container = open_bytes(arena, packings[p], &limits);
        struct container_entry entry = { 0 };
        for (size_t i = 0; i < COUNT(names); i++) {
            check(container_next(container, arena, &entry));
            check_text("name", entry.name, names[i]);
            check_text("error", entry.error.message, "");
            check_bytes(names[i], entry.bytes, i == 3 ? text("") : text(RIDE));
            check(entry.damage == NULL && entry.note == NULL);
        }
        check(!container_next(container, arena, &entry));
        container_close(container);
    }
    arena_close(arena);
}

/* One entry that is off stands between two that are whole: the line of the one, and the others
 * still come.  What is read in spite of its fault has a clause instead. */
static void test_container__one_bad_entry_does_not_stop_the_others(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct {
        struct zipped_entry bad;
        const char *line;   /* NULL = none */
        const char *damage; /* NULL = none */
    } rows[] = {
        { { .name = "x.csv", .plain = text(RIDE), .flags = 1 },
          "rides.zip: x.csv: is locked with a password; unpack it and give the file itself",
          NULL },
        { { .name = "x.csv", .plain = text(RIDE), .method = 12 },
          "rides.zip: x.csv: is packed by a method that isn't read (12); unpack it and give the "
          "file itself",
          NULL },
        { { .name = "x.csv", .plain = text(RIDE), .wrong_crc = true },
          NULL,
          "its checksum in the zip is wrong" },
        { { .name = "x.csv", .plain = text(RIDE), .deflated = true, .wrong_size = 5 },
          NULL,
          "its size in the zip is wrong" },
        { { .name = "x.csv", .plain = text(RIDE), .deflated = true, .wrong_size = -5 },
          NULL,
          "its size in the zip is wrong" },
        { { .name = "x.csv", .plain = text(RIDE), .deflated = true, .spoilt = 1 },
          NULL,
          "its packed bytes are damaged" },
        { { .name = "x.csv", .plain = text(RIDE), .spoilt = 3 },
          NULL,
          "its checksum in the zip is wrong" },
        { { .name = "x.csv", .plain = text(RIDE), .deflated = true, .wrong_size = 200000000 },
          "rides.zip: x.csv: unpacks to more than 1 MB, far more than its packed bytes warrant; is "
          "it a recording?",
          NULL },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct zip_builder zip = zipped_begin(arena);
        zipped_add(&zip, &(struct zipped_entry){ .name = "first.csv", .plain = text(RIDE) });
        zipped_add(&zip, &rows[i].bad);
        zipped_add(&zip, &(struct zipped_entry){ .name = "last.csv", .plain = text(RIDE) });
        struct container *container = open_bytes(arena, zipped_end(&zip), &limits);
        struct container_entry entry = { 0 };
        const char *row = arena_format(arena, "row %zu", i);
        check(container_next(container, arena, &entry));
        check_bytes(row, entry.bytes, text(RIDE));
        check(container_next(container, arena, &entry));
        check_text(row, entry.error.message, rows[i].line == NULL ? "" : rows[i].line);
        check_text(row, entry.damage, rows[i].damage);
        check(container_next(container, arena, &entry));
        check_text(row, entry.name, "rides.zip: last.csv");
        check_bytes(row, entry.bytes, text(RIDE));
        check(!container_next(container, arena, &entry));
        container_close(container);
    }
    arena_close(arena);
}

static void test_container__a_zip_inside_a_zip_is_refused(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct zip_builder inner = zipped_begin(arena);
    zipped_add(&inner, &(struct zipped_entry){ .name = "a.csv", .plain = text(RIDE) });
    const struct bytes nested = zipped_end(&inner);
    struct zip_builder zip = zipped_begin(arena);
    zipped_add(&zip, &(struct zipped_entry){ .name = "in.zip", .plain = nested });
    zipped_add(&zip, &(struct zipped_entry){ .name = "in.gz", .plain = gzip_of(arena, nested) });
    struct container *container = open_bytes(arena, zipped_end(&zip), &limits);
    struct container_entry entry = { 0 };
    check(container_next(container, arena, &entry));
    check_text("line", entry.error.message,
               "rides.zip: in.zip: is a zip inside the zip; unpack it and give it alone");
    check(container_next(container, arena, &entry));
    check_text("line", entry.error.message,
               "rides.zip: in.gz: is a zip inside the zip; unpack it and give it alone");
    check_integer("bytes", (int64_t)entry.bytes.size, 0);
    container_close(container);
    arena_close(arena);
}

static void test_container__a_name_that_stands_twice_is_told_and_both_are_read(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct zip_builder zip = zipped_begin(arena);
    zipped_add(&zip, &(struct zipped_entry){ .name = "a.csv", .plain = text(RIDE) });
    zipped_add(&zip, &(struct zipped_entry){ .name = "a.csv", .plain = text("other") });
    struct container *container = open_bytes(arena, zipped_end(&zip), &limits);
    struct container_entry entry = { 0 };
    check(container_next(container, arena, &entry));
    check(entry.note == NULL);
    check_bytes("first", entry.bytes, text(RIDE));
    check(container_next(container, arena, &entry));
    check_text("note", entry.note,
               "rides.zip: a.csv: stands more than once in the zip; each is read.");
    check_bytes("second", entry.bytes, text("other"));
    container_close(container);
    arena_close(arena);
}

static void test_container__names_are_cleaned_and_never_paths(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    static char longest[301];
    memset(longest, 'n', 300);
    memcpy(longest + 296, ".fit", 4);
    static const struct {
        const char *raw;
        const char *shown;
    } rows[] = {
        { "../../etc/x.csv", "rides.zip: ../../etc/x.csv" },
        { "/x.csv", "rides.zip: /x.csv" },
        { "C:\\x.csv", "rides.zip: C:\\x.csv" },
        /* 0x82 is an e with an acute in code page 437, which zips use where no flag says UTF-8. */
        { "caf\x82.csv", "rides.zip: caf\xC3\xA9.csv" },
    };
    struct zip_builder zip = zipped_begin(arena);
    for (size_t i = 0; i < COUNT(rows); i++) {
        zipped_add(&zip, &(struct zipped_entry){ .name = rows[i].raw, .plain = text(RIDE) });
    }
    zipped_add(&zip, &(struct zipped_entry){ .name = "a\x1B[2J\n.csv", .plain = text(RIDE) });
    zipped_add(&zip, &(struct zipped_entry){ .name = longest, .plain = text(RIDE) });
    struct container *container = open_bytes(arena, zipped_end(&zip), &limits);
    struct container_entry entry = { 0 };
    for (size_t i = 0; i < COUNT(rows); i++) {
        check(container_next(container, arena, &entry));
        check_text(rows[i].raw, entry.name, rows[i].shown);
    }
    check(container_next(container, arena, &entry));
    for (const char *at = entry.name; *at != '\0'; at++) {
        check((unsigned char)*at >= 0x20);
    }
    check(container_next(container, arena, &entry));
    check(text_is_utf8(entry.name, strlen(entry.name)));
    check(strlen(entry.name) < 200 && strstr(entry.name, "nnn.fit") != NULL);
    container_close(container);
    arena_close(arena);
}

static void test_container__what_is_no_zip_of_recordings_is_refused_as_a_whole(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct zip_builder none = zipped_begin(arena);
    check_refused("empty", zipped_end(&none), "rides.zip: is an empty zip; put recordings into it");
    struct zip_builder folders = zipped_begin(arena);
    zipped_add(&folders, &(struct zipped_entry){ .name = "june/" });
    zipped_add(&folders, &(struct zipped_entry){ .name = "june/.DS" });
    check_refused("folders", zipped_end(&folders),
                  "rides.zip: holds only folders and hidden files; put recordings into it");
    struct zip_builder sheet = zipped_begin(arena);
    zipped_add(&sheet,
               &(struct zipped_entry){ .name = "[Content_Types].xml", .plain = text("<a/>") });
    check_refused("sheet", zipped_end(&sheet),
                  "rides.zip: is a document of an office program; save its table as CSV");
    struct zip_builder cut = zipped_begin(arena);
    zipped_add(&cut, &(struct zipped_entry){ .name = "a.csv", .plain = text(RIDE) });
    const struct bytes whole = zipped_end(&cut);
    check_refused("cut", (struct bytes){ whole.at, whole.size - 30 },
                  "rides.zip: is a zip that was cut off: its table of contents is missing; copy it "
                  "again");
    /* The place of the table of contents, off by some bytes. */
    uint8_t *moved = arena_copy(arena, whole.at, whole.size);
    moved[whole.size - 22 + 16] ^= 0x05;
    check_refused("moved", (struct bytes){ moved, whole.size },
                  "rides.zip: is a zip whose table of contents is damaged; pack it again");
    /* A zip64 end record that claims four thousand million entries, and its locator. */
    uint8_t record[56] = { 'P', 'K', 6, 6, 44 };
    uint8_t locator[20] = { 'P', 'K', 6, 7 };
    record[28] = record[36] = 1;
    struct zip_builder claims = zipped_begin(arena);
    zipped_add(&claims, &(struct zipped_entry){ .name = "a.csv", .plain = text(RIDE) });
    (void)zipped_store(locator + 8, claims.size, 8);
    zipped_put(&claims, record, sizeof record);
    memcpy(claims.central + claims.central_size, locator, sizeof locator);
    claims.central_size += sizeof locator;
    check_refused("claims", zipped_end(&claims),
                  "rides.zip: holds more than 10000 files; pack them into several");
    /* The same record inside a stored file is only its content. */
    const struct limits limits = limits_default();
    struct zip_builder holds = zipped_begin(arena);
    zipped_add(&holds, &(struct zipped_entry){ .name = "a", .plain = { record, sizeof record } });
    container_close(open_bytes(arena, zipped_end(&holds), &limits));
    arena_close(arena);
}

/* Zeros pack by a thousand to one: the most that deflate can do. */
static void test_container__a_bomb_is_stopped_by_its_ratio_and_by_the_total(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    static uint8_t zeros[8000000];
    const struct bytes plain = { zeros, sizeof zeros };
    struct container_entry entry = { 0 };

    /* Honest about its size: refused before a byte is unpacked. */
    struct zip_builder honest = zipped_begin(arena);
    zipped_add(&honest, &(struct zipped_entry){ .name = "a", .plain = plain, .deflated = true });
    struct container *container = open_bytes(arena, zipped_end(&honest), &limits);
    size_t before = arena_bytes(arena);
    check(container_next(container, arena, &entry));
    check_integer("kind", entry.error.kind, ERROR_TOO_LARGE);
    check(arena_bytes(arena) - before < 10000);
    container_close(container);

    /* Says that it is small: stopped on the way, at its packed bytes times 200 and 1 MB. */
    struct zip_builder liar = zipped_begin(arena);
    zipped_add(&liar, &(struct zipped_entry){
                          .name = "a", .plain = plain, .deflated = true, .wrong_size = -7999000 });
    container = open_bytes(arena, zipped_end(&liar), &limits);
    struct arena *own = arena_open();
    check(container_next(container, own, &entry));
    check_integer("kind", entry.error.kind, ERROR_TOO_LARGE);
    check(arena_bytes(own) < 8000000);
    arena_close(own);
    container_close(container);

    /* Many that are each within bounds. */
    struct limits tight = limits_default();
    tight.value[LIMIT_CAP_ZIP_TOTAL_BYTES] = 1000000;
    struct zip_builder many = zipped_begin(arena);
    for (int i = 0; i < 5; i++) {
        zipped_add(&many, &(struct zipped_entry){ .name = arena_format(arena, "%d", i),
                                                  .plain = { zeros, 600000 },
                                                  .deflated = true });
    }
    container = open_bytes(arena, zipped_end(&many), &tight);
    check(container_next(container, arena, &entry) && entry.error.kind == ERROR_NONE);
    check(container_next(container, arena, &entry) && entry.error.kind == ERROR_NONE);
    check(container_next(container, arena, &entry));
    check_text("line", entry.error.message,
               "rides.zip: 2: and what follows was not read: the zip unpacks to more than 1 MB");
    check(!container_next(container, arena, &entry));
    container_close(container);
    arena_close(arena);
}

/* Zips by another writer (libzip's own), read back. */
static void test_container__what_a_library_packed_comes_back(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct random random = random_begin(7);
    enum { N = 20 };
    struct bytes plain[N];
    zip_error_t error;
    zip_error_init(&error);
    zip_source_t *target = zip_source_buffer_create(NULL, 0, 0, &error);
    zip_t *zip = zip_open_from_source(target, ZIP_TRUNCATE, &error);
    check(zip != NULL);
    zip_source_keep(target);
    for (size_t i = 0; i < N; i++) {
        uint8_t *bytes = ARENA_ARRAY(arena, uint8_t, 20000);
        const size_t size = (size_t)random_below(&random, 20000);
        for (size_t k = 0; k < size; k++) {
            bytes[k] = (uint8_t)(1 + random_below(&random, 9));
        }
        plain[i] = (struct bytes){ bytes, size };
        check(zip_file_add(zip, arena_format(arena, "\xC3\xA4-%zu", i),
                           zip_source_buffer(zip, bytes, size, 0), ZIP_FL_ENC_UTF_8) >= 0);
    }
    check(zip_close(zip) == 0 && zip_source_open(target) == 0);
    uint8_t *made = ARENA_ARRAY(arena, uint8_t, 1000000);
    const zip_int64_t size = zip_source_read(target, made, 1000000);
    check(size > 0);
    zip_source_close(target);
    zip_source_free(target);
    struct container *container = open_bytes(arena, (struct bytes){ made, (size_t)size }, &limits);
    struct container_entry entry = { 0 };
    for (size_t i = 0; i < N; i++) {
        check(container_next(container, arena, &entry));
        check_text("name", entry.name, arena_format(arena, "rides.zip: \xC3\xA4-%zu", i));
        check_text("error", entry.error.message, "");
        check_bytes(entry.name, entry.bytes, plain[i]);
        check(entry.damage == NULL && entry.note == NULL);
    }
    check(!container_next(container, arena, &entry));
    container_close(container);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_container__a_plain_file_and_a_gzip_are_one_entry),
        cmocka_unit_test(test_container__a_zip_gives_each_of_its_files),
        cmocka_unit_test(test_container__one_bad_entry_does_not_stop_the_others),
        cmocka_unit_test(test_container__a_zip_inside_a_zip_is_refused),
        cmocka_unit_test(test_container__a_name_that_stands_twice_is_told_and_both_are_read),
        cmocka_unit_test(test_container__names_are_cleaned_and_never_paths),
        cmocka_unit_test(test_container__what_is_no_zip_of_recordings_is_refused_as_a_whole),
        cmocka_unit_test(test_container__a_bomb_is_stopped_by_its_ratio_and_by_the_total),
        cmocka_unit_test(test_container__what_a_library_packed_comes_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
