/* Reps as rows: one scale, whole ranges, nothing that collides, many reps in few rows. */
#include "drawing/draw_check.h"

#include "drawing/rep_rows.h"
#include "maths/random.h"

static size_t count_marks(const struct scene *scene)
{
    size_t n = 0;
    for (size_t i = 0; i < scene->count; i++) {
        n += scene->items[i].kind == ITEM_MARK ? 1 : 0;
    }
    return n;
}

static size_t count_words(const struct scene *scene, const char *words)
{
    size_t n = 0;
    for (size_t i = 0; i < scene->count; i++) {
        for (size_t k = 0; k < scene->items[i].n_runs; k++) {
            n += strcmp(scene->items[i].runs[k].words, words) == 0 ? 1 : 0;
        }
    }
    return n;
}

static void test_rep_rows__of_two_reps_are_as_they_were_looked_at(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    double falling[240];
    double even[240];
    for (int i = 0; i < 240; i++) {
        falling[i] = 330.0 - i * 0.4;
        even[i] = 275.0;
    }
    const struct rep_row rows[] = {
        { "1", falling, 240, 261, 295, 282, 240, 85, 1, MARK_HOLLOW, "started too hard" },
        { "2", even, 240, 261, 295, 275, 240, 240, 1, MARK_FULL, "as asked" },
    };
    struct scene scene = scene_begin(arena, fonts, "reps", 520.0);
    scene.height = rep_rows_draw(&scene, 10.0, 10.0, 500.0, &(struct rep_rows){ rows, 2, NULL });
    check_text("two reps", draw_dump(&scene),
               "scene \"reps\" 520.0x66.0\n"
               "begin figure 2 reps against their target range.\n"
               "path hairline 2 points 10.0,10.0 500.0x0.0\n"
               "area target 4 points 26.0,21.4 124.7x6.9\n"
               "path power 240 points 26.3,14.3 124.2x19.4\n"
               "path plum 2 points 26.0,28.3 124.7x0.0\n"
               "path plum 2 points 26.0,21.4 124.7x0.0\n"
               "text 10.0,20.0 6.0x9.0 \"1\"\n"
               "text 209.7,20.0 28.6x9.0 \"282 W\"\n"
               "text 154.7,20.8 44.9x8.0 \"261–295 W\"\n"
               "text 248.2,20.0 84.4x9.0 \"4:00 · 1:25 in range\"\n"
               "mark hollow 348.1,18.5\n"
               "paragraph 357.6,17.1 152.4x13.7 \"started too hard\"\n"
               "path hairline 2 points 10.0,38.0 500.0x0.0\n"
               "area target 4 points 26.0,49.4 124.7x6.9\n"
               "path power 240 points 26.3,53.5 124.2x0.0\n"
               "path plum 2 points 26.0,56.3 124.7x0.0\n"
               "path plum 2 points 26.0,49.4 124.7x0.0\n"
               "text 10.0,48.0 6.0x9.0 \"2\"\n"
               "text 209.7,48.0 28.6x9.0 \"275 W\"\n"
               "text 248.2,48.0 84.4x9.0 \"4:00 · 4:00 in range\"\n"
               "mark full 348.1,46.5\n"
               "paragraph 357.6,45.1 152.4x13.7 \"as asked\"\n"
               "path hairline 2 points 10.0,66.0 500.0x0.0\n"
               "end\n");
    draw_check_sound("two reps", &scene);
    fonts_close(fonts);
    arena_close(arena);
}

/* The same watts lie at the same height above the row's foot in every row. */
static void test_rep_rows__share_one_scale(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    double low[100];
    double high[100];
    for (int i = 0; i < 100; i++) {
        low[i] = i < 50 ? 200.0 : 260.0;
        high[i] = i < 50 ? 260.0 : 400.0;
    }
    const struct rep_row rows[] = {
        { "1", low, 100, (double)NAN, (double)NAN, 230, 100, (double)NAN, 1, MARK_FULL, NULL },
        { "2", high, 100, (double)NAN, (double)NAN, 330, 100, (double)NAN, 1, MARK_FULL, NULL },
    };
    struct scene scene = scene_begin(arena, fonts, "reps", 520.0);
    scene.height = rep_rows_draw(&scene, 10.0, 10.0, 500.0, &(struct rep_rows){ rows, 2, NULL });
    const struct item *traces[2] = { NULL };
    double lines[3] = { 0.0 };
    size_t n = 0;
    size_t n_lines = 0;
    for (size_t i = 0; i < scene.count; i++) {
        const struct item *item = &scene.items[i];
        if (item->kind == ITEM_PATH && item->stroke.colour == COLOUR_POWER && n < 2) {
            traces[n++] = item;
        } else if (item->kind == ITEM_PATH && n_lines < 3) {
            lines[n_lines++] = item->place.y;
        }
    }
    check_integer("traces", (int64_t)n, 2);
    check_integer("lines between rows", (int64_t)n_lines, 3);
    check_near("260 W", traces[0]->points[traces[0]->n_points - 1].y - lines[0],
               traces[1]->points[0].y - lines[1], 1e-9);
    check(traces[1]->place.y - lines[1] < traces[0]->place.y - lines[0]);
    fonts_close(fonts);
    arena_close(arena);
}

static void test_rep_rows__forty_alike_share_rows(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    double power[30];
    for (int i = 0; i < 30; i++) {
        power[i] = 300.0;
    }
    struct rep_row rows[40];
    for (int i = 0; i < 40; i++) {
        rows[i] = (struct rep_row){ arena_format(arena, "%d", i + 1),
                                    power,
                                    30,
                                    261,
                                    295,
                                    280 + i,
                                    30,
                                    20,
                                    1,
                                    i < 25 ? MARK_FULL : MARK_HOLLOW,
                                    i < 25 ? "as asked" : "faded" };
    }
    struct scene scene = scene_begin(arena, fonts, "reps", 520.0);
    scene.height = rep_rows_draw(&scene, 10.0, 10.0, 500.0, &(struct rep_rows){ rows, 40, NULL });
    draw_check_sound("forty", &scene);
    check_integer("two rows", (int64_t)count_marks(&scene), 2);
    check_integer("numbers", (int64_t)count_words(&scene, "1–25"), 1);
    check_integer("numbers", (int64_t)count_words(&scene, "26–40"), 1);
    check_integer("means", (int64_t)count_words(&scene, "280–304 W"), 1);
    check_integer("sum of times", (int64_t)count_words(&scene, "15 × 0:30 · 5:00 in range"), 1);
    check_integer("the range once", (int64_t)count_words(&scene, "261–295 W"), 1);
    fonts_close(fonts);
    arena_close(arena);
}

static void test_rep_rows__nothing_collides_whatever_comes(void **state)
{
    (void)state;
    static const char *const verdicts[] = {
        NULL, "", "as asked", "started too hard, then faded below the range that was asked for",
        "can't tell"
    };
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct random random = random_begin(21);
    for (int round = 0; round < 1000; round++) {
        struct arena *own = arena_open();
        const double width = REP_ROWS_NARROWEST + 490.0 * random_uniform(&random);
        const size_t n = random_below(&random, 41);
        struct rep_row *rows = ARENA_ARRAY(own, struct rep_row, n);
        const size_t longest = 1 + random_below(&random, 1500);
        for (size_t i = 0; i < n; i++) {
            struct rep_row *row = &rows[i];
            row->number = arena_format(own, "%zu", i + 1);
            row->n_seconds = random_below(&random, longest);
            double *power = ARENA_ARRAY(own, double, row->n_seconds);
            for (size_t k = 0; k < row->n_seconds; k++) {
                power[k] =
                    random_below(&random, 10) == 0 ? (double)NAN : 1500.0 * random_uniform(&random);
            }
            row->power_w = power;
            row->low_w = random_below(&random, 4) == 0 ? (double)NAN : 300.0;
            row->high_w = random_below(&random, 4) == 0 ? (double)NAN
                          : random_below(&random, 4) == 0
                              ? (double)INFINITY
                              : 300.0 + (double)random_below(&random, 3);
            row->mean_w =
                random_below(&random, 8) == 0 ? (double)NAN : 1500.0 * random_uniform(&random);
            row->duration_s = (double)random_below(&random, 8000);
            row->in_range_s = random_below(&random, 4) == 0 ? (double)NAN : row->duration_s / 2.0;
            row->n_efforts = (int)random_below(&random, 14);
            row->mark = (enum mark)random_below(&random, 4);
            row->verdict = verdicts[random_below(&random, COUNT(verdicts))];
        }
        struct scene scene = scene_begin(own, fonts, "reps", width + 20.0);
        scene.height = 5000.0;
        const double end =
            rep_rows_draw(&scene, 10.0, 10.0, width, &(struct rep_rows){ rows, n, NULL });
        scene.height = end + 1.0;
        check(n > 0 || scene.count == 0);
        draw_check_sound(arena_format(own, "round %d", round), &scene);
        for (size_t i = 0; i < scene.count; i++) {
            const struct place *place = &scene.items[i].place;
            if (scene.items[i].kind != ITEM_BEGIN && scene.items[i].kind != ITEM_END) {
                check(place->x >= 10.0 - 1e-6 && place->x + place->width <= width + 10.5);
            }
        }
        arena_close(own);
    }
    fonts_close(fonts);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rep_rows__of_two_reps_are_as_they_were_looked_at),
        cmocka_unit_test(test_rep_rows__share_one_scale),
        cmocka_unit_test(test_rep_rows__forty_alike_share_rows),
        cmocka_unit_test(test_rep_rows__nothing_collides_whatever_comes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
