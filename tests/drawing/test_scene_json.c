/* A scene as JSON: each kind of item as the schema has it, words whole, lines as they were
 * measured. That whole figures are valid by api/scene.schema.json, tests/cli/figures.py sees to. */
#include "drawing/draw_check.h"

#include "drawing/scene_json.h"

#include <stdio.h>

static const struct text_style quiet_right = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_RIGHT };

static char *json_of(const struct scene *scene)
{
    struct text out = text_begin(scene->arena, 1000000);
    struct json json = json_begin(&out);
    scene_json(&json, NULL, scene);
    return out.bytes;
}

static void test_scene_json__every_kind_has_its_keys(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct scene scene = scene_begin(arena, fonts, "a \"title\"", 300.0);
    scene.height = 100.25;
    scene_begin_part(&scene, ROLE_FIGURE, "What it is.");
    scene_text(&scene, 100.0, 20.0, &quiet_right, "beats");
    scene_line(&scene, 10.0, 10.04, 50.06, 10.0, &(struct stroke){ COLOUR_HEART, 0.75, 3.0 });
    scene_rectangle(&scene, &(struct place){ 1, 2, 3, 4 }, COLOUR_POWER_RIBBON);
    scene_hatch(&scene, &(struct place){ 5, 6, 7, 8 }, COLOUR_MASKED);
    scene_mark(&scene, 50.0, 40.0, 10.0, MARK_DOTTED);
    scene_mark(&scene, 50.0, 40.0, 22.0, MARK_FULL);
    scene_end_part(&scene);
    scene_begin_part(&scene, ROLE_PARAGRAPH, NULL);
    scene_end_part(&scene);
    const double width = scene.items[1].place.width;
    check_text(
        "json", json_of(&scene),
        arena_format(arena,
                     "{\"title\":\"a \\\"title\\\"\",\"width\":300,\"height\":100.2,\"items\":["
                     "{\"kind\":\"begin\",\"role\":\"figure\",\"label\":\"What it is.\"},"
                     "{\"kind\":\"text\",\"x\":100,\"y\":20,\"anchor\":\"end\",\"size\":8,"
                     "\"face\":\"sans\",\"colour\":\"quiet\",\"words\":\"beats\",\"width\":%.1f},"
                     "{\"kind\":\"path\",\"colour\":\"heart\",\"stroke_width\":0.75,\"dash\":3,"
                     "\"points\":[10,10,50.1,10]},"
                     "{\"kind\":\"area\",\"colour\":\"power-ribbon\","
                     "\"points\":[1,2,4,2,4,6,1,6]},"
                     "{\"kind\":\"hatch\",\"colour\":\"masked\",\"x\":5,\"y\":6,\"width\":7,"
                     "\"height\":8},"
                     "{\"kind\":\"mark\",\"x\":50,\"y\":40,\"size\":10,\"mark\":\"dotted\","
                     "\"outline\":\"M50.00 40.90C51.20 42.60 53.00 44.64 53.00 46.50"
                     "A3.00 3.00 0 0 1 47.00 46.50C47.00 44.64 48.80 42.60 50.00 40.90Z\","
                     "\"left_half\":null,\"stroke_width\":1,\"dash\":1.25},"
                     "{\"kind\":\"mark\",\"x\":50,\"y\":40,\"size\":22,\"mark\":\"full\","
                     "\"outline\":\"M50.00 40.00C52.64 45.72 57.70 49.53 57.70 54.30"
                     "A7.70 7.70 0 0 1 42.30 54.30C42.30 49.53 47.36 45.72 50.00 40.00Z\","
                     "\"left_half\":null,\"stroke_width\":0,\"dash\":0},"
                     "{\"kind\":\"end\",\"role\":\"figure\"},"
                     "{\"kind\":\"begin\",\"role\":\"paragraph\",\"label\":null},"
                     "{\"kind\":\"end\",\"role\":\"paragraph\"}]}",
                     width));
    fonts_close(fonts);
    arena_close(arena);
}

/* The words of all lines put together again are the paragraph's, whatever its runs and its width;
 * the lines come down evenly and stay within it. */
static void test_scene_json__lines_hold_all_words(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    const struct run runs[] = {
        { "Better at 20 minutes, ", FACE_SERIF_STRONG, COLOUR_INK },
        { "not clear at 5 and 10; sprints not tested: ", FACE_SERIF, COLOUR_INK },
        { "Ærøskøbing–Übersee ±\u00a05 ≥ 10", FACE_SERIF_ITALIC, COLOUR_QUIET },
        { "", FACE_SANS, COLOUR_QUIET },
    };
    const char whole[] = "Betterat20minutes,notclearat5and10;sprintsnottested:"
                         "Ærøskøbing–Übersee±\u00a05≥10";
    for (double width = 40.0; width < 500.0; width += 13.0) {
        struct scene scene = scene_begin(arena, fonts, "paragraph", width);
        const struct place place = scene_paragraph(&scene, 0.0, 5.0, width, 9.0, runs, 4);
        scene.height = place.y + place.height;
        struct text words = text_begin(arena, 10000);
        double last_y = 0.0;
        for (const char *at = json_of(&scene); (at = strstr(at, "\"words\":\"")) != NULL;) {
            at += strlen("\"words\":\"");
            for (; *at != '"'; at++) {
                text_add_bytes(&words, at, *at == ' ' ? 0 : 1);
            }
        }
        check_text("words", words.bytes, whole);
        for (const char *at = json_of(&scene); (at = strstr(at, "{\"x\":")) != NULL; at++) {
            double x = -1.0;
            double y = -1.0;
            check_integer("a line's place", sscanf(at, "{\"x\":%lf,\"y\":%lf", &x, &y), 2);
            check(x >= 0.0 && x < 1.0 && y > last_y && y < scene.height);
            last_y = y;
        }
    }
    fonts_close(fonts);
    arena_close(arena);
}

static void test_scene_json__a_half_drop_is_filled_on_its_left(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct scene scene = scene_begin(arena, fonts, "half", 100.0);
    scene_mark(&scene, 50.0, 40.0, 10.0, MARK_HALF);
    check(strstr(json_of(&scene), "\"left_half\":\"M50.00 40.90L50.00 49.50"
                                  "A3.00 3.00 0 0 1 47.00 46.50C47.00 44.64 48.80 42.60 50.00 "
                                  "40.90Z\"") != NULL);
    fonts_close(fonts);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_scene_json__every_kind_has_its_keys),
        cmocka_unit_test(test_scene_json__lines_hold_all_words),
        cmocka_unit_test(test_scene_json__a_half_drop_is_filled_on_its_left),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
