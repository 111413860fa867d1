/* Axes: round steps, the words at them, and labels that never touch. */
#include "drawing/draw_check.h"

#include "drawing/axis.h"
#include "maths/random.h"

static const struct text_style across_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_MIDDLE };
static const struct text_style upwards_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_RIGHT };

static void test_steps__are_round_and_as_many_as_fit(void **state)
{
    (void)state;
    /* By hand from the rule. */
    static const struct {
        const char *name;
        enum axis_kind kind;
        double low, high;
        size_t most;
        double step, first;
        size_t n;
    } rows[] = {
        { "watts", AXIS_NUMBER, 0, 437, 5, 100, 0, 5 },
        { "beats", AXIS_NUMBER, 92, 181, 5, 20, 100, 5 },
        { "change", AXIS_CHANGE, -15, 15, 7, 5, -15, 7 },
        { "below one", AXIS_NUMBER, 0.15, 0.72, 4, 0.2, 0.2, 3 },
        { "one value", AXIS_NUMBER, 7, 7, 5, 0.01, 7, 1 },
        { "an hour", AXIS_TIME, 0, 3600, 7, 600, 0, 7 },
        { "an hour, less room", AXIS_TIME, 0, 3600, 4, 1200, 0, 4 },
        { "six hours", AXIS_TIME, 0, 21600, 8, 3600, 0, 7 },
        { "a sprint", AXIS_TIME, 0, 12, 4, 5, 0, 3 },
        { "a window", AXIS_TIME, 3500, 7400, 5, 1200, 3600, 4 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct steps steps =
            axis_steps(rows[i].kind, rows[i].low, rows[i].high, rows[i].most);
        if (strcmp(rows[i].name, "one value") != 0) {
            check_near(rows[i].name, steps.step, rows[i].step, 1e-12);
        }
        check_near(rows[i].name, axis_value(&steps, 0), rows[i].first, 1e-6);
        check_integer(rows[i].name, (int64_t)steps.n, (int64_t)rows[i].n);
    }
}

static void test_labels__keep_unit_and_no_false_digits(void **state)
{
    (void)state;
    static const struct {
        enum axis_kind kind;
        double value, step;
        const char *words;
    } rows[] = {
        { AXIS_NUMBER, 200, 100, "200" },
        { AXIS_NUMBER, -5, 5,
          "\xe2\x88\x92"
          "5" },
        { AXIS_NUMBER, 0.30000000000000004, 0.1, "0.3" },
        { AXIS_NUMBER, 0.25, 0.05, "0.25" },
        { AXIS_NUMBER, -1e-17, 0.1, "0.0" },
        { AXIS_CHANGE, 5, 5, "+5" },
        { AXIS_CHANGE, 0, 5, "0" },
        { AXIS_TIME, 0, 600, "0 min" },
        { AXIS_TIME, 3000, 600, "50 min" },
        { AXIS_TIME, 3600, 600, "1 h" },
        { AXIS_TIME, 5400, 1800, "1 h 30" },
        { AXIS_TIME, 3900, 300, "1 h 05" },
        { AXIS_TIME, 7200, 3600, "2 h" },
        { AXIS_TIME, 0, 3600, "0 h" },
        { AXIS_TIME, 0, 10, "0 s" },
        { AXIS_TIME, 30, 10, "30 s" },
        { AXIS_TIME, 60, 10, "1 min" },
        { AXIS_TIME, 90, 30, "1 min 30" },
        { AXIS_TIME, 3630, 30, "1 h 00:30" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char words[40];
        axis_label(rows[i].kind, rows[i].value, rows[i].step, words);
        check_text(rows[i].words, words, rows[i].words);
    }
}

static void test_scale__there_and_back(void **state)
{
    (void)state;
    const struct scale up = { 0.0, 400.0, 120.0, 20.0 };
    check_near("bottom", scale_at(&up, 0.0), 120.0, 1e-12);
    check_near("top", scale_at(&up, 400.0), 20.0, 1e-12);
    check_near("back", scale_value(&up, scale_at(&up, 137.0)), 137.0, 1e-9);
}

static void test_widen__holds_the_range_on_whole_steps(void **state)
{
    (void)state;
    struct random random = random_begin(1);
    for (int round = 0; round < 5000; round++) {
        const double size = pow(10.0, 6.0 * random_uniform(&random) - 2.0);
        const double low = size * (random_uniform(&random) - 0.5);
        const double high = low + (round % 10 == 0 ? 0.0 : size * random_uniform(&random));
        const size_t most = 3 + random_below(&random, 8);
        double wide_low = low;
        double wide_high = high;
        axis_widen(AXIS_NUMBER, most, &wide_low, &wide_high);
        const double slack = 1e-6 * fmax(fabs(low), fabs(high));
        check(wide_low <= low + slack && wide_high >= high - slack && wide_high > wide_low);
        const struct steps steps = axis_steps(AXIS_NUMBER, wide_low, wide_high, most);
        check_near("lowest tick", axis_value(&steps, 0), wide_low, slack + 1e-9);
        check_near("highest tick", axis_value(&steps, steps.n - 1), wide_high, slack + 1e-9);
        check(steps.n <= most);
    }
}

/* Any range on any width: no collision, nothing past the ends, evenly spaced, and never thinned
 * further than one step coarser than what fits. */
static void test_across__labels_never_touch_nor_stick_out(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct random random = random_begin(2);
    for (int round = 0; round < 4000; round++) {
        struct arena *own = arena_open();
        const double width = 8.0 + 600.0 * random_uniform(&random);
        struct scene scene = scene_begin(own, fonts, "axis", width);
        scene.height = 40.0;
        const enum axis_kind kind = (enum axis_kind)random_below(&random, 3);
        const double low = kind == AXIS_TIME ? (double)random_below(&random, 3) * 777.0
                                             : 1000.0 * (random_uniform(&random) - 0.5);
        const double span = pow(10.0, 5.0 * random_uniform(&random) - (kind == AXIS_TIME ? 0 : 1));
        const struct scale scale = { low, low + span, 0.0, width };
        const struct ticks ticks =
            axis_across(&scene, &scale, kind, 12, &across_style, 20.0, 0.0, width, 6.0);
        axis_draw_labels(&scene, &ticks, &across_style);
        draw_check_sound("across", &scene);
        check(ticks.n <= 12);
        for (size_t i = 0; i < ticks.n; i++) {
            check(ticks.tick[i].at >= -1e-6 && ticks.tick[i].at <= width + 1e-6);
            check(fabs(ticks.tick[i].label_x - ticks.tick[i].at) <=
                  ticks.tick[i].label.width / 2.0 + 1e-6);
            if (i > 0) {
                check_near("even steps", ticks.tick[i].value - ticks.tick[i - 1].value, ticks.step,
                           1e-9 * (fabs(low) + span) + 1e-12);
                check(ticks.tick[i].label.x - ticks.tick[i - 1].label.x -
                          ticks.tick[i - 1].label.width >=
                      6.0 - 1e-6);
            }
        }
        arena_close(own);
    }
    fonts_close(fonts);
    arena_close(arena);
}

static void test_upwards__labels_never_touch(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct random random = random_begin(3);
    for (int round = 0; round < 2000; round++) {
        struct arena *own = arena_open();
        struct scene scene = scene_begin(own, fonts, "axis", 100.0);
        const double height = 5.0 + 200.0 * random_uniform(&random);
        scene.height = height + 20.0;
        const double low = 1000.0 * (random_uniform(&random) - 0.5);
        const double span = pow(10.0, 5.0 * random_uniform(&random) - 1.0);
        const struct scale scale = { low, low + span, height + 10.0, 10.0 };
        const struct ticks ticks =
            axis_upwards(&scene, &scale, AXIS_NUMBER, 6, &upwards_style, 90.0);
        axis_draw_labels(&scene, &ticks, &upwards_style);
        draw_check_sound("upwards", &scene);
        arena_close(own);
    }
    fonts_close(fonts);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_steps__are_round_and_as_many_as_fit),
        cmocka_unit_test(test_labels__keep_unit_and_no_false_digits),
        cmocka_unit_test(test_scale__there_and_back),
        cmocka_unit_test(test_widen__holds_the_range_on_whole_steps),
        cmocka_unit_test(test_across__labels_never_touch_nor_stick_out),
        cmocka_unit_test(test_upwards__labels_never_touch),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
