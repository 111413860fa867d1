/* JSON bodies as plain structs.  What is JSON: RFC 8259. */
#include "check.h"

#include "base/text.h"
#include "server/body.h"

#include <math.h>
#include <string.h>

static bool read_text(struct arena *arena, const char *text, const struct body **out,
                      struct error *err)
{
    return body_read(arena, (struct bytes){ (const uint8_t *)text, strlen(text) }, out, err);
}

static void test_body__values_come_as_they_were_written(void **state)
{
    struct arena *arena = arena_open();
    const struct body *body = NULL;
    const struct body *list = NULL;
    struct error err = { 0 };
    const char *text = NULL;
    double real = (double)NAN;
    int64_t integer = 0;
    bool truth = false;
    (void)state;
    /* 2^53 + 1 is no double: integers are kept whole. */
    check(read_text(arena,
                    "{\"name\":\"E\\u0301va\",\"w\":250.5,\"id\":9007199254740993,\"on\":true,"
                    "\"gone\":null,\"days\":[1,2,3]}",
                    &body, &err));
    check(body_text(body, "name", BODY_NEEDED, &text, &err));
    check_text("composed", text, "\xC3\x89va");
    check(body_number(body, "w", BODY_NEEDED, &real, &err));
    check_near("w", real, 250.5, 0.0);
    check(body_integer(body, "id", BODY_NEEDED, &integer, &err));
    check_integer("id", integer, 9007199254740993);
    check(body_number(body, "id", BODY_NEEDED, &real, &err));
    check(body_bool(body, "on", BODY_NEEDED, &truth, &err) && truth);
    check(body_list(body, "days", BODY_NEEDED, &list, &err));
    check_integer("days", (int64_t)list->n_items, 3);
    real = 7;
    check(body_number(body, "gone", BODY_MAY_LACK, &real, &err));
    check_near("left as it was", real, 7.0, 0.0);
    arena_close(arena);
}

static void test_body__what_is_missing_or_of_another_kind_is_named(void **state)
{
    struct arena *arena = arena_open();
    const struct body *body = NULL;
    struct error err = { 0 };
    const char *text = NULL;
    double real = (double)NAN;
    int64_t integer = 0;
    static const char *const keys[] = { "value_w", "note" };
    (void)state;
    check(read_text(arena, "{\"value_v\":\"250\",\"half\":0.5}", &body, &err));
    check(!body_text(body, "note", BODY_NEEDED, &text, &err));
    check_text("missing", err.message, "note: is missing");
    check(!body_number(body, "value_v", BODY_NEEDED, &real, &err));
    check_text("kind", err.message, "value_v: is no number");
    check(!body_integer(body, "half", BODY_NEEDED, &integer, &err));
    check_text("whole", err.message, "half: is no whole number");
    check(!body_only(body, keys, 2, &err));
    check(strstr(err.message, "did you mean value_w") != NULL ||
          strstr(err.message, "half: no such key") != NULL);
    check(body_text(NULL, "note", BODY_MAY_LACK, &text, &err));
    check(!body_text(NULL, "note", BODY_NEEDED, &text, &err));
    arena_close(arena);
}

static void test_body__lines_keep_their_ends_and_nothing_else(void **state)
{
    struct arena *arena = arena_open();
    const struct body *body = NULL;
    struct error err = { 0 };
    const char *text = "as it was";
    (void)state;
    check(read_text(arena, "{\"words\":\"a\\u001b\\r\\nb\\n\\rc\",\"one\":\"x\",\"n\":1}", &body,
                    &err));
    check(body_lines(body, "words", BODY_NEEDED, &text, &err));
    check_text("each ended by a line feed", text, "a?\nb\n\nc");
    check(body_lines(body, "one", BODY_NEEDED, &text, &err));
    check_text("one", text, "x");
    check(body_lines(body, "none", BODY_MAY_LACK, &text, &err));
    check_text("left as it was", text, "x");
    check(!body_lines(body, "n", BODY_NEEDED, &text, &err));
    arena_close(arena);
}

static void test_body__what_is_no_object_of_sound_json_is_refused(void **state)
{
    static const char *const rows[] = {
        "",
        "[]",
        "\"x\"",
        "12",
        "null",
        "{",
        "{\"a\":}",
        "{\"a\":1,}",
        "{\"a\":1}{}",
        "{a:1}",
        "{'a':1}",
        "{\"a\":01}",
        "{\"a\":NaN}",
        "{\"a\":1e999}",
        "{\"a\":1,\"a\":2}",
        "{\"a\":\"\xC0\xAF\"}",
        "{\"a\":\"\\u0000\"}",
        "{\"a\":\"\\ud800\"}",
        "{\"a\":99999999999999999999}",
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct body *body = NULL;
        struct error err = { 0 };
        check_integer(rows[i], read_text(arena, rows[i], &body, &err), false);
        check_integer(rows[i], err.kind, ERROR_USAGE);
        arena_close(arena);
    }
}

static void test_body__depth_is_capped(void **state)
{
    (void)state;
    for (size_t depth = 1; depth < 3000; depth = depth < 40 ? depth + 1 : 2 * depth) {
        struct arena *arena = arena_open();
        struct text text = text_begin(arena, 10000);
        const struct body *body = NULL;
        struct error err = { 0 };
        text_add(&text, "{\"a\":");
        for (size_t i = 0; i < depth; i++) {
            text_add(&text, "[");
        }
        for (size_t i = 0; i < depth; i++) {
            text_add(&text, "]");
        }
        text_add(&text, "}");
        check_integer("depth", read_text(arena, text.bytes, &body, &err),
                      depth + 1 <= BODY_DEPTH_MOST);
        arena_close(arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_body__values_come_as_they_were_written),
        cmocka_unit_test(test_body__what_is_missing_or_of_another_kind_is_named),
        cmocka_unit_test(test_body__lines_keep_their_ends_and_nothing_else),
        cmocka_unit_test(test_body__what_is_no_object_of_sound_json_is_refused),
        cmocka_unit_test(test_body__depth_is_capped),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
