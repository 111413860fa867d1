/* Scenes: words are measured where they stand, and what collides is said. */
#include "check.h"

#include "base/data.h"
#include "drawing/scene.h"

#include <string.h>

static struct fonts *open_fonts(struct arena *arena)
{
    struct error err = { 0 };
    const char *folder = NULL;
    struct fonts *fonts = NULL;
    check(data_find(arena, "fonts", &folder, &err));
    check(fonts_open(folder, &fonts, &err));
    return fonts;
}

static const struct text_style body = { FACE_SANS, 10.0, COLOUR_INK, ANCHOR_LEFT };

static void test_scene__words_that_touch_nothing_are_no_fault(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = open_fonts(arena);
    struct scene scene = scene_begin(arena, fonts, "two words", 200.0);
    scene.height = 100.0;
    const struct place first = scene_text(&scene, 10.0, 20.0, &body, "12 W");
    scene_text(&scene, first.x + first.width + 4.0, 20.0, &body, "at 4:00");
    struct text faults = text_begin(arena, 10000);
    scene_faults(&scene, &faults);
    check_text("faults", faults.bytes, "");
    fonts_close(fonts);
    arena_close(arena);
}

static void test_scene__collisions_and_clipping_are_told(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = open_fonts(arena);
    struct scene scene = scene_begin(arena, fonts, "faults", 100.0);
    scene.height = 100.0;
    scene_text(&scene, 10.0, 20.0, &body, "one");
    scene_text(&scene, 12.0, 22.0, &body, "two");
    scene_text(&scene, 90.0, 60.0, &body, "too far right");
    scene_text(&scene, 10.0, 80.0, &body, "\xe2\xb5\xa3"); /* a Tifinagh letter, in no font here */
    struct text faults = text_begin(arena, 10000);
    scene_faults(&scene, &faults);
    check(strstr(faults.bytes, "words on words") != NULL);
    check(strstr(faults.bytes, "off the page") != NULL);
    fonts_close(fonts);
    arena_close(arena);
}

static void test_scene__figures_have_one_width(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = open_fonts(arena);
    const struct scene scene = scene_begin(arena, fonts, "figures", 100.0);
    const enum face faces[] = { FACE_SERIF, FACE_SERIF_STRONG, FACE_SANS, FACE_SANS_STRONG };
    for (size_t i = 0; i < COUNT(faces); i++) {
        const struct text_style style = { faces[i], 12.0, COLOUR_INK, ANCHOR_LEFT };
        check_near("111 as wide as 888", scene_measure(&scene, 0, 0, &style, "111").width,
                   scene_measure(&scene, 0, 0, &style, "888").width, 1e-6);
    }
    fonts_close(fonts);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_scene__words_that_touch_nothing_are_no_fault),
        cmocka_unit_test(test_scene__collisions_and_clipping_are_told),
        cmocka_unit_test(test_scene__figures_have_one_width),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
