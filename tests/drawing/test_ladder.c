/* The ladder of bests: one plumb line, changes at their places, figures alone when alone. */
#include "drawing/draw_check.h"

#include "drawing/ladder.h"
#include "maths/random.h"

static const struct ladder_row three[] = {
    { "10 s", 701, (double)NAN, (double)NAN, false, NULL, (double)NAN, (double)NAN, (double)NAN,
      MARK_DOTTED, "not tested", 0 },
    { "5 min", 296, 290, 301, false, "2 Nov, a race", 3.1, -3.0, 9.2, MARK_HALF, NULL, 0 },
    { "20 min", 259, (double)NAN, (double)NAN, true, "9 Nov, test", -7.2, -13.3, -1.1, MARK_HOLLOW,
      NULL, 0 },
};

static void test_ladder__of_three_bests_is_as_it_was_looked_at(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct scene scene = scene_begin(arena, fonts, "ladder", 520.0);
    scene.height = ladder_draw(&scene, 10.0, 10.0, 500.0,
                               &(struct ladder){ .rows = three,
                                                 .n_rows = 3,
                                                 .compares = true,
                                                 .lower = "lower",
                                                 .higher = "better than before" });
    check_text("compared", draw_dump(&scene),
               "scene \"ladder\" 520.0x91.0\n"
               "begin figure Best power over 3 durations, from short to long, and how it changed.\n"
               "text 15.3,13.6 25.0x8.0 \"lasting\"\n"
               "text 80.9,13.6 28.8x8.0 \"best, W\"\n"
               "text 276.4,12.8 29.3x9.0 \"lower ◂\"\n"
               "text 315.8,12.8 79.2x9.0 \"▸ better than before\"\n"
               "path hairline 2 points 10.0,26.0 500.0x0.0\n"
               "text 21.0,31.0 19.2x9.0 \"10 s\"\n"
               "text 92.2,31.0 17.5x9.0 \"701\"\n"
               "paragraph 158.8,30.6 146.0x11.0 \"not tested\"\n"
               "path hairline 2 points 10.0,44.0 500.0x0.0\n"
               "text 16.0,49.0 24.2x9.0 \"5 min\"\n"
               "text 92.2,49.0 17.5x9.0 \"296\"\n"
               "text 423.2,49.0 86.8x9.0 \"+3.1 % (−3.0 to 9.2)\"\n"
               "text 113.7,49.8 35.1x8.0 \"290–301\"\n"
               "area likely 4 points 291.6,50.5 78.1x5.0\n"
               "mark half 330.6,46.2\n"
               "paragraph 158.8,48.6 51.4x9.7 \"2 Nov, a race\"\n"
               "path hairline 2 points 10.0,62.0 500.0x0.0\n"
               "text 10.0,67.0 30.2x9.0 \"20 min\"\n"
               "text 92.2,67.0 17.5x9.0 \"259\"\n"
               "text 50.2,67.0 26.7x9.0 \"at least\"\n"
               "text 411.4,67.0 98.6x9.0 \"−7.2 % (−13.3 to −1.1)\"\n"
               "area likely 4 points 225.6,68.5 78.1x5.0\n"
               "mark hollow 264.7,64.2\n"
               "paragraph 158.8,66.6 51.4x9.7 \"9 Nov, test\"\n"
               "path hairline 2 points 10.0,80.0 500.0x0.0\n"
               "path ink 2 points 310.8,12.0 0.0x70.0\n"
               "area ink 3 points 307.3,82.0 7.0x7.0\n"
               "end\n");
    draw_check_sound("compared", &scene);
    fonts_close(fonts);
    arena_close(arena);
}

static void test_ladder__alone_shows_watts_and_says_at_least(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct scene scene = scene_begin(arena, fonts, "ladder", 520.0);
    scene.height =
        ladder_draw(&scene, 10.0, 10.0, 500.0, &(struct ladder){ .rows = three, .n_rows = 3 });
    check_text("alone", draw_dump(&scene),
               "scene \"ladder\" 520.0x80.0\n"
               "begin figure Best power over 3 durations, from short to long.\n"
               "text 15.3,13.6 25.0x8.0 \"lasting\"\n"
               "text 80.9,13.6 28.8x8.0 \"best, W\"\n"
               "path hairline 2 points 10.0,26.0 500.0x0.0\n"
               "text 21.0,31.0 19.2x9.0 \"10 s\"\n"
               "text 92.2,31.0 17.5x9.0 \"701\"\n"
               "area ink 4 points 220.1,34.0 289.9x2.0\n"
               "paragraph 158.8,30.6 51.4x11.0 \"not tested\"\n"
               "path hairline 2 points 10.0,44.0 500.0x0.0\n"
               "text 16.0,49.0 24.2x9.0 \"5 min\"\n"
               "text 92.2,49.0 17.5x9.0 \"296\"\n"
               "text 113.7,49.8 35.1x8.0 \"290–301\"\n"
               "area likely 4 points 340.0,48.5 4.5x9.0\n"
               "area ink 4 points 220.1,52.0 122.4x2.0\n"
               "paragraph 158.8,48.6 51.4x9.7 \"2 Nov, a race\"\n"
               "path hairline 2 points 10.0,62.0 500.0x0.0\n"
               "text 10.0,67.0 30.2x9.0 \"20 min\"\n"
               "text 92.2,67.0 17.5x9.0 \"259\"\n"
               "text 50.2,67.0 26.7x9.0 \"at least\"\n"
               "path ink 4 points 220.1,68.5 107.1x5.0\n"
               "paragraph 158.8,66.6 51.4x9.7 \"9 Nov, test\"\n"
               "path hairline 2 points 10.0,80.0 500.0x0.0\n"
               "end\n");
    draw_check_sound("alone", &scene);
    fonts_close(fonts);
    arena_close(arena);
}

static void draw_row(struct random *random, struct arena *arena, struct ladder_row *row)
{
    static const char *const places[] = { NULL, "", "2 Nov, a race",
                                          "14 March 2026, the long climb on the Sunday ride" };
    static const char *const instead[] = { NULL, NULL, NULL, "not tested",
                                           "not tested: nothing near all-out in six weeks" };
    row->lasting = arena_format(arena, "%d min", (int)random_below(random, 200));
    row->best_w = random_below(random, 8) == 0 ? (double)NAN : 2000.0 * random_uniform(random);
    const bool likely = random_below(random, 2) == 0;
    row->low_w = likely ? row->best_w * 0.95 : (double)NAN;
    row->high_w = likely ? row->best_w * 1.05 : (double)NAN;
    row->at_least = random_below(random, 4) == 0;
    row->where = places[random_below(random, COUNT(places))];
    row->instead = instead[random_below(random, COUNT(instead))];
    const double size = pow(10.0, 3.0 * random_uniform(random) - 1.0);
    row->change_pct = random_below(random, 8) == 0 ? (double)NAN : size * random_normal(random);
    const bool ranged = random_below(random, 4) > 0;
    row->change_low_pct = ranged ? row->change_pct - size : (double)NAN;
    row->change_high_pct = ranged ? row->change_pct + size : (double)NAN;
    row->mark = (enum mark)random_below(random, 4);
    row->before_w = random_below(random, 3) == 0 ? (double)NAN : row->best_w * 0.97;
}

/* Besides: every mark stands on the side of the line that its change says, the zero on the line. */
static void test_ladder__nothing_collides_whatever_comes(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct random random = random_begin(31);
    for (int round = 0; round < 1500; round++) {
        struct arena *own = arena_open();
        const double width = 210.0 + 490.0 * random_uniform(&random);
        const size_t n = random_below(&random, 20);
        struct ladder_row *rows = ARENA_ARRAY(own, struct ladder_row, n);
        for (size_t i = 0; i < n; i++) {
            draw_row(&random, own, &rows[i]);
        }
        struct scene scene = scene_begin(own, fonts, "ladder", width + 20.0);
        scene.height = 5000.0;
        const bool compares = random_below(&random, 3) > 0;
        const struct ladder ladder = { rows, n, compares, "lower", "better than before", NULL };
        scene.height = ladder_draw(&scene, 10.0, 10.0, width, &ladder) + 1.0;
        draw_check_sound(arena_format(own, "round %d", round), &scene);
        double line = (double)NAN;
        for (size_t i = 0; i < scene.count; i++) {
            const struct item *item = &scene.items[i];
            if (item->kind == ITEM_PATH && item->stroke.colour == COLOUR_INK &&
                item->n_points == 2) {
                line = item->points[0].x;
            }
        }
        size_t at = 0;
        for (size_t i = 0; i < scene.count; i++) {
            const struct item *item = &scene.items[i];
            if (item->kind == ITEM_MARK && isfinite(line)) {
                while (rows[at].instead != NULL || isnan(rows[at].change_pct)) {
                    at++;
                }
                const double side = item->points[0].x - line;
                check(fabs(side) < 1e-6 || (side > 0.0) == (rows[at].change_pct > 0.0));
                at++;
            }
            if (item->kind != ITEM_BEGIN && item->kind != ITEM_END) {
                check(item->place.x >= 10.0 - 1e-6 &&
                      item->place.x + item->place.width <= width + 10.5);
            }
        }
        check(at == 0 || compares);
        arena_close(own);
    }
    fonts_close(fonts);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ladder__of_three_bests_is_as_it_was_looked_at),
        cmocka_unit_test(test_ladder__alone_shows_watts_and_says_at_least),
        cmocka_unit_test(test_ladder__nothing_collides_whatever_comes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
