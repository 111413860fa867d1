/* tests/base/test_base.c: text, dates, JSON, files. */
#include "check.h"

#include "base/dates.h"
#include "base/json.h"
#include "base/sorted.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

/* SD-04 of the checks: 938622559 s after 1989-12-31 (631065600 Unix) is 2019-09-28T16:29:19Z.
 * The others by hand and with date(1): date -u -d @N. */
static void test_dates__utc_follows_the_calendar(void **state)
{
    (void)state;
    static const struct {
        int64_t utc_s;
        const char *want;
    } rows[] = {
        { 0, "1970-01-01T00:00:00Z" },
        { 631065600, "1989-12-31T00:00:00Z" },
        { 938622559 + 631065600LL, "2019-09-28T16:29:19Z" },
        { 951782400, "2000-02-29T00:00:00Z" },
        { -1, "1969-12-31T23:59:59Z" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char out[32];
        dates_format_utc(rows[i].utc_s, out);
        check_text(rows[i].want, out, rows[i].want);
        int64_t back = 0;
        bool has_offset = false;
        int32_t offset_s = 0;
        check(dates_parse_iso(rows[i].want, &back, NULL, &has_offset, &offset_s));
        check_integer(rows[i].want, back, rows[i].utc_s);
    }
}

static void test_dates__iso_text_with_offset_and_without(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        bool good;
        int64_t utc_s;
        bool has_offset;
        int32_t offset_s;
    } rows[] = {
        { "1970-01-01 01:00:00", true, 3600, false, 0 },
        { "1970-01-01T01:00:00.250+01:00", true, 0, true, 3600 },
        { "1970-01-01T00:00Z", true, 0, true, 0 },
        { "2023-02-29T00:00:00Z", false, 0, false, 0 },
        { "2024-02-29T00:00:00+25:00", false, 0, false, 0 },
        { "14/03/2024 10:00", false, 0, false, 0 },
        { "2024-03-14T10:00:00 and more", false, 0, false, 0 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        int64_t utc_s = 0;
        bool has_offset = false;
        int32_t offset_s = 0;
        check_integer(rows[i].text,
                      dates_parse_iso(rows[i].text, &utc_s, NULL, &has_offset, &offset_s),
                      rows[i].good);
        if (rows[i].good) {
            check_integer(rows[i].text, utc_s, rows[i].utc_s);
            check_integer(rows[i].text, has_offset, rows[i].has_offset);
            check_integer(rows[i].text, offset_s, rows[i].offset_s);
        }
    }
}

static void test_json__escapes_and_numbers_follow_rfc_8259(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct text out = text_begin(arena, 4096);
    struct json json = json_begin(&out);
    json_begin_array(&json, NULL);
    json_begin_object(&json, NULL);
    json_string(&json, "name", "a \"b\" \\ \n \x01 \xC3\xA9");
    json_number(&json, "low", 4.05, 2);
    json_number(&json, "round", 4.0, 2);
    json_number(&json, "hundred", 100.0, 0);
    json_number(&json, "zero", -0.0001, 2);
    json_number(&json, "none", (double)NAN, 2);
    json_string(&json, "null", NULL);
    json_bool(&json, "yes", true);
    json_end_object(&json);
    json_integer(&json, NULL, -3);
    json_end_array(&json);
    check_text("all", out.bytes,
               "[{\"name\":\"a \\\"b\\\" \\\\ \\n \\u0001 \xC3\xA9\",\"low\":4.05,\"round\":4,"
               "\"hundred\":100,\"zero\":0,\"none\":null,\"null\":null,\"yes\":true},-3]");
    arena_close(arena);
}

/* Digits by hand, held against the C library's. */
static void test_json__whole_numbers_are_as_printf_has_them(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct text out = text_begin(arena, 1u << 20);
    struct text want = text_begin(arena, 1u << 20);
    struct json json = json_begin(&out);
    json_begin_array(&json, NULL);
    text_add(&want, "[0");
    json_integer(&json, NULL, 0);
    int64_t power = 1;
    for (int digits = 1; digits <= 18; digits++) {
        for (int64_t off = -1; off <= 1; off++) {
            json_integer(&json, NULL, power + off);
            json_integer(&json, NULL, -(power + off));
            text_add_format(&want, ",%lld,%lld", (long long)(power + off),
                            (long long)-(power + off));
        }
        power *= 10;
    }
    json_integer(&json, NULL, INT64_MAX);
    json_integer(&json, NULL, INT64_MIN);
    text_add_format(&want, ",%lld,%lld]", (long long)INT64_MAX, (long long)INT64_MIN);
    json_end_array(&json);
    check_text("all", out.bytes, want.bytes);
    arena_close(arena);
}

static void test_text__device_names_come_out_clean(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    check_text("bad byte", text_clean(arena, "ab\xFF", 3), "ab\xEF\xBF\xBD");
    check_text("control", text_clean(arena, "a\tb", 3), "a?b");
    check_text("nfc", text_clean(arena, "e\xCC\x81", 3), "\xC3\xA9");
    check(!text_is_utf8("\xC3", 1));
    check(text_is_utf8("\xC3\xA9", 2));
    arena_close(arena);
}

static void test_text__a_cap_is_a_cap(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct text text = text_begin(arena, 5);
    text_add(&text, "1234567");
    check_text("cut", text.bytes, "12345");
    check(text.cut);
    arena_close(arena);
}

static void test_text__lines_break_at_blanks(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct text text = text_begin(arena, 1000);
    text_add_wrapped(&text, "one two three four", 0, 2, 9);
    check_text("wrapped", text.bytes, "one two\n  three\n  four\n");
    struct text unit = text_begin(arena, 1000);
    text_add_wrapped(&unit, "rose to 69 % here", 0, 0, 10);
    check_text("a number keeps its unit", unit.bytes, "rose to\n69 % here\n");
    arena_close(arena);
}

static void test_text__the_nearest_name_is_offered(void **state)
{
    (void)state;
    static const char *const names[] = { "--threshold", "--target", "--json" };
    check_text("typo", text_nearest("--treshold", names, 3), "--threshold");
    check_text("far", text_nearest("--colour", names, 3), NULL);
}

static void test_error__lines_stay_one_line(void **state)
{
    (void)state;
    struct error err = { 0 };
    check(!error_set(&err, ERROR_INPUT, "%s: bad", "a\nb"));
    check_text("line", err.message, "a?b: bad");
    check_integer("exit", error_exit_status(err.kind), 3);
}

/* FIPS 180-2 appendix B.1: SHA-256 of "abc". */
static void test_arena__memory_is_cleared_apart_from_raw(void **state)
{
    (void)state;
    enum { PIECES = 40 };
    struct arena *arena = arena_open();
    uint8_t *pieces[PIECES];
    size_t sizes[PIECES];
    for (size_t i = 0; i < PIECES; i++) {
        /* small and large, raw and cleared, after one another */
        sizes[i] = (i * 7919) % 50 * 1500 + 1;
        const bool raw = i % 3 == 0;
        pieces[i] =
            raw ? ARENA_RAW(arena, uint8_t, sizes[i]) : ARENA_ARRAY(arena, uint8_t, sizes[i]);
        check_integer("aligned", (int64_t)((uintptr_t)pieces[i] % 16), 0);
        for (size_t b = 0; !raw && b < sizes[i]; b++) {
            check(pieces[i][b] == 0);
        }
        memset(pieces[i], (int)i + 1, sizes[i]);
    }
    size_t wanted = 0;
    for (size_t i = 0; i < PIECES; i++) {
        check_integer("first byte", pieces[i][0], (int64_t)i + 1);
        check_integer("last byte", pieces[i][sizes[i] - 1], (int64_t)i + 1);
        wanted += sizes[i];
    }
    check(arena_bytes(arena) >= wanted && arena_bytes(arena) < wanted + (size_t)16 * PIECES);
    arena_close(arena);
}

static void test_files__sha256_of_abc(void **state)
{
    (void)state;
    char hex[65];
    files_sha256((struct bytes){ (const uint8_t *)"abc", 3 }, hex);
    check_text("abc", hex, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

/* Against looking at every one; keys stand more than once, and the items hold more than the key. */
static void test_sorted__the_place_is_that_of_looking_at_every_one(void **state)
{
    (void)state;
    static const struct {
        char before[3];
        int64_t key;
    } rows[] = {
        { "a", -4 }, { "b", 0 }, { "c", 0 }, { "d", 3 }, { "e", 3 }, { "f", 3 }, { "g", 9 }
    };
    for (size_t n = 0; n <= COUNT(rows); n++) {
        for (int64_t least = -6; least <= 11; least++) {
            size_t want = 0;
            while (want < n && rows[want].key < least) {
                want++;
            }
            const size_t offset = (size_t)((const char *)&rows[0].key - (const char *)&rows[0]);
            check_integer("place", (int64_t)sorted_from(rows, n, sizeof rows[0], offset, least),
                          (int64_t)want);
        }
    }
    check_integer("of none", (int64_t)sorted_from(NULL, 0, 8, 0, 1), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_dates__utc_follows_the_calendar),
        cmocka_unit_test(test_dates__iso_text_with_offset_and_without),
        cmocka_unit_test(test_json__escapes_and_numbers_follow_rfc_8259),
        cmocka_unit_test(test_json__whole_numbers_are_as_printf_has_them),
        cmocka_unit_test(test_text__device_names_come_out_clean),
        cmocka_unit_test(test_text__a_cap_is_a_cap),
        cmocka_unit_test(test_text__lines_break_at_blanks),
        cmocka_unit_test(test_text__the_nearest_name_is_offered),
        cmocka_unit_test(test_error__lines_stay_one_line),
        cmocka_unit_test(test_arena__memory_is_cleared_apart_from_raw),
        cmocka_unit_test(test_sorted__the_place_is_that_of_looking_at_every_one),
        cmocka_unit_test(test_files__sha256_of_abc),
    };
    return cmocka_run_group_tests_name("base", tests, NULL, NULL);
}
