/* One scene, four formats: bytes that other programs take, the same each time. */
#include "check.h"

#include "base/data.h"
#include "drawing/paint.h"

#include <string.h>

static struct bytes paint(struct arena *arena, enum picture picture)
{
    struct error err = { 0 };
    const char *folder = NULL;
    struct fonts *fonts = NULL;
    check(data_find(arena, "fonts", &folder, &err));
    check(fonts_open(folder, &fonts, &err));
    struct scene scene = scene_begin(arena, fonts, "A <title> & more", 200.0);
    scene.height = 100.0;
    scene_begin_part(&scene, ROLE_TITLE, NULL);
    const struct text_style style = { FACE_SERIF, 12.0, COLOUR_INK, ANCHOR_LEFT };
    scene_text(&scene, 10.0, 20.0, &style, "Plumb");
    scene_end_part(&scene);
    for (int mark = MARK_FULL; mark <= MARK_DOTTED; mark++) {
        scene_mark(&scene, 20.0 + 20.0 * mark, 40.0, 16.0, (enum mark)mark);
    }
    scene_hatch(&scene, &(struct place){ 100.0, 40.0, 50.0, 30.0 }, COLOUR_MASKED);
    struct bytes out = { 0 };
    check(paint_scene(arena, &scene, picture, THEME_LIGHT, &out, &err));
    fonts_close(fonts);
    return out;
}

static void test_paint__every_format_begins_as_its_standard_says(void **state)
{
    (void)state;
    /* PNG: W3C PNG (third edition) 5.2; PDF: ISO 32000-1, 7.5.2. */
    struct arena *arena = arena_open();
    const struct bytes png = paint(arena, PICTURE_PNG);
    check(png.size > 8 && memcmp(png.at, "\x89PNG\r\n\x1a\n", 8) == 0);
    const struct bytes pdf = paint(arena, PICTURE_PDF);
    check(pdf.size > 8 && memcmp(pdf.at, "%PDF-1.", 7) == 0);
    const struct bytes svg = paint(arena, PICTURE_SVG);
    check(svg.size > 8 &&
          strstr((const char *)svg.at, "<title>A &lt;title&gt; &amp; more</title>"));
    arena_close(arena);
}

static void test_paint__the_same_scene_gives_the_same_bytes(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    for (int picture = PICTURE_SVG; picture <= PICTURE_JSON; picture++) {
        const struct bytes first = paint(arena, (enum picture)picture);
        const struct bytes second = paint(arena, (enum picture)picture);
        check_integer("size", (int64_t)second.size, (int64_t)first.size);
        check(memcmp(first.at, second.at, first.size) == 0);
    }
    arena_close(arena);
}

static void test_picture__is_told_by_the_name(void **state)
{
    (void)state;
    struct error err = { 0 };
    enum picture picture = PICTURE_SVG;
    check(picture_of_name("a/b.PDF", &picture, &err) && picture == PICTURE_PDF);
    check(!picture_of_name("a/b.gif", &picture, &err));
    check_text("message", err.message,
               "a/b.gif: a figure's name ends in .svg, .png, .pdf or .json");
    check(!picture_of_name(".svg", &picture, &err));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_paint__every_format_begins_as_its_standard_says),
        cmocka_unit_test(test_paint__the_same_scene_gives_the_same_bytes),
        cmocka_unit_test(test_picture__is_told_by_the_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
