/* The gauge: whatever its numbers are, nothing lies on anything and nothing is clipped. */
#include "check.h"

#include "base/data.h"
#include "drawing/gauge.h"
#include "drawing/scene.h"
#include "maths/random.h"

#include <math.h>
#include <stdio.h>
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

/* The line or mark lies on words: scene_faults looks only at words on words. */
static bool crosses_words(const struct scene *scene, struct text *why)
{
    for (size_t i = 0; i < scene->count; i++) {
        const struct item *mark = &scene->items[i];
        if (mark->kind != ITEM_PATH && mark->kind != ITEM_AREA && mark->kind != ITEM_MARK) {
            continue;
        }
        for (size_t k = 0; k < scene->count; k++) {
            const struct item *words = &scene->items[k];
            /* A vertical line has no width of its own. */
            const struct place place = { mark->place.x - 0.3, mark->place.y - 0.3,
                                         mark->place.width + 0.6, mark->place.height + 0.6 };
            if (words->kind == ITEM_TEXT && place_overlaps(&place, &words->place)) {
                text_add_format(why, "something drawn lies on \"%s\"\n", words->runs[0].words);
                return true;
            }
        }
    }
    return false;
}

/* 10^low .. 10^high, evenly in the exponent. */
static double magnitude(struct random *random, double low, double high)
{
    return pow(10.0, low + random_uniform(random) * (high - low));
}

static struct gauge random_gauge(struct random *random)
{
    static const char *const units[] = { "beats", "%", "W", "min" };
    static const char *const whats[] = { NULL, "% of the pedalling above 80 % of threshold",
                                         "% of threshold, last third of reps 10 to 14" };
    static const char *const sides[][3] = { { "passed", "not passed", NULL },
                                            { "easy enough", "on the line", "too hard" },
                                            { "below", "in the range", "above" } };
    struct gauge gauge = { .n_limits = random_uniform(random) < 0.5 ? 1 : 2 };
    gauge.from_zero = random_uniform(random) < 0.5;
    const double size = magnitude(random, -1.0, 3.5);
    const double sign = random_uniform(random) < 0.2 ? -1.0 : 1.0;
    gauge.limits[0] = round(sign * size * 10.0) / 10.0;
    gauge.limits[1] = gauge.limits[0] + magnitude(random, -1.0, 2.0);
    gauge.estimate =
        gauge.limits[0] + (random_uniform(random) - 0.5) * magnitude(random, -2.0, 3.5);
    const double half = magnitude(random, -2.0, 4.0);
    gauge.low = gauge.estimate - half * random_uniform(random);
    gauge.high = gauge.estimate + half * random_uniform(random);
    gauge.bar = "bar: \u00b1 2 %, what a power meter leaves open";
    if (random_uniform(random) < 0.1) {
        gauge.low = gauge.high = (double)NAN;
        gauge.bar = NULL;
    }
    if (random_uniform(random) < 0.1) {
        gauge.estimate = (double)NAN;
    }
    memcpy(gauge.sides, sides[gauge.n_limits == 1 ? 0 : 1 + (int)(random_uniform(random) * 2.0)],
           sizeof gauge.sides);
    gauge.answer = (enum verdict_answer)(random_uniform(random) * 4.0);
    gauge.unit = units[(int)(random_uniform(random) * 4.0)];
    gauge.what = whats[(int)(random_uniform(random) * 3.0)];
    return gauge;
}

static void test_gauge__nothing_collides_or_clips_whatever_the_numbers(void **state)
{
    (void)state;
    struct arena *fonts_arena = arena_open();
    struct fonts *fonts = open_fonts(fonts_arena);
    struct random random = random_begin(20260327);
    int missed = 0;
    for (int i = 0; i < 3000; i++) {
        struct arena *arena = arena_open();
        const struct gauge gauge = random_gauge(&random);
        const double width = 200.0 + 360.0 * random_uniform(&random);
        struct scene scene = scene_begin(arena, fonts, "gauge", width);
        scene.height = gauge_draw(&scene, 0.0, 0.0, width, &gauge, random_uniform(&random) < 0.5);
        struct text faults = text_begin(arena, 10000);
        scene_faults(&scene, &faults);
        if (faults.length > 0 || crosses_words(&scene, &faults)) {
            missed++;
            printf("# gauge %d, %.0f pt, limits %g %g, estimate %g, %g to %g: %s\n", i, width,
                   gauge.limits[0], gauge.n_limits == 2 ? gauge.limits[1] : (double)NAN,
                   gauge.estimate, gauge.low, gauge.high, strtok(faults.bytes, "\n"));
        }
        arena_close(arena);
    }
    check_integer("gauges with a fault", missed, 0);
    fonts_close(fonts);
    arena_close(fonts_arena);
}

static const struct gauge base = {
    .limits = { 10.0 },
    .n_limits = 1,
    .sides = { "passed", "not passed" },
    .unit = "beats",
    .estimate = 6.2,
    .low = 4.5,
    .high = 8.0,
    .answer = ANSWER_YES,
    .from_zero = true,
};

/* The x of the first item of a kind, and how many there are. */
static size_t count_items(const struct scene *scene, enum item_kind kind, enum colour colour)
{
    size_t n = 0;
    for (size_t i = 0; i < scene->count; i++) {
        const struct item *item = &scene->items[i];
        n += item->kind == kind && (kind == ITEM_MARK || item->stroke.colour == colour) ? 1 : 0;
    }
    return n;
}

static void test_gauge__a_range_within_the_scale_isnt_torn_and_one_beyond_it_is(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = open_fonts(arena);
    struct gauge gauge = base;
    struct scene scene = scene_begin(arena, fonts, "gauge", 300.0);
    gauge_draw(&scene, 0.0, 0.0, 300.0, &gauge, false);
    check_integer("torn ends", (int64_t)count_items(&scene, ITEM_AREA, COLOUR_PAPER), 0);
    gauge.low = -400.0;
    gauge.high = 500.0;
    scene = scene_begin(arena, fonts, "gauge", 300.0);
    gauge_draw(&scene, 0.0, 0.0, 300.0, &gauge, false);
    check_integer("torn ends", (int64_t)count_items(&scene, ITEM_AREA, COLOUR_PAPER), 2);
    fonts_close(fonts);
    arena_close(arena);
}

/* The limit's line is drawn after the drop, with an edge of paper where the two meet. */
static void test_gauge__the_estimate_never_hides_the_limit(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = open_fonts(arena);
    struct gauge gauge = base;
    gauge.estimate = gauge.limits[0];
    struct scene scene = scene_begin(arena, fonts, "gauge", 300.0);
    gauge_draw(&scene, 0.0, 0.0, 300.0, &gauge, false);
    size_t mark = 0;
    size_t halo = 0;
    size_t line = 0;
    for (size_t i = 0; i < scene.count; i++) {
        const struct item *item = &scene.items[i];
        if (item->kind == ITEM_MARK) {
            mark = i;
        } else if (item->kind == ITEM_PATH && item->stroke.colour == COLOUR_PAPER) {
            halo = i;
        } else if (item->kind == ITEM_PATH && item->stroke.colour == COLOUR_INK) {
            line = i;
        }
    }
    check(mark > 0 && mark < halo && halo < line);
    check_near("drop on the line", scene.items[mark].points[0].x, scene.items[line].points[0].x,
               1e-9);
    fonts_close(fonts);
    arena_close(arena);
}

static void test_gauge__unknown_is_said_in_words_and_has_no_place_on_the_scale(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = open_fonts(arena);
    struct gauge gauge = base;
    gauge.estimate = (double)NAN;
    gauge.answer = ANSWER_CANNOT_TELL;
    struct scene scene = scene_begin(arena, fonts, "gauge", 300.0);
    gauge_draw(&scene, 0.0, 0.0, 300.0, &gauge, true);
    struct text dump = text_begin(arena, 100000);
    scene_dump(&scene, &dump);
    check(strstr(dump.bytes, "mark dotted") != NULL);
    check(strstr(dump.bytes, "not known") != NULL);
    check_integer("bars", (int64_t)count_items(&scene, ITEM_AREA, COLOUR_LIKELY), 0);
    fonts_close(fonts);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_gauge__nothing_collides_or_clips_whatever_the_numbers),
        cmocka_unit_test(test_gauge__a_range_within_the_scale_isnt_torn_and_one_beyond_it_is),
        cmocka_unit_test(test_gauge__the_estimate_never_hides_the_limit),
        cmocka_unit_test(test_gauge__unknown_is_said_in_words_and_has_no_place_on_the_scale),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
