/* Base tests over time: every drop at its day and its beats, nothing on anything else. */
#include "drawing/draw_check.h"

#include "base/dates.h"
#include "drawing/base_tests.h"
#include "drawing/date_axis.h"
#include "maths/random.h"

/* 0 .. n - 1. */
static int64_t below(struct random *random, int64_t n)
{
    return (int64_t)random_below(random, (uint64_t)n);
}

static struct base_tests autumn(struct base_test tests[3], struct base_test_threshold thresholds[2])
{
    const int64_t day = dates_days_from_civil(2026, 8, 4);
    tests[0] = (struct base_test){ day, 15, 13, 17, MARK_HOLLOW, "not passed" };
    tests[1] = (struct base_test){ day + 40,    (double)NAN, (double)NAN,
                                   (double)NAN, MARK_DOTTED, "couldn't be judged" };
    tests[2] = (struct base_test){ day + 105, 6, 4, 8, MARK_FULL, "passed" };
    thresholds[0] = (struct base_test_threshold){ day - 30, 231 };
    thresholds[1] = (struct base_test_threshold){ day + 97, 246 };
    return (struct base_tests){ .tests = tests,
                                .n = 3,
                                .thresholds = thresholds,
                                .n_thresholds = 2,
                                .line_bpm = 10,
                                .from_day = day,
                                .to_day = day + 112,
                                .label = "3 base tests." };
}

static void test_base_tests__of_an_autumn_are_as_they_were_looked_at(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct base_test tests[3];
    struct base_test_threshold thresholds[2];
    const struct base_tests all = autumn(tests, thresholds);
    struct scene scene = scene_begin(arena, fonts, "base tests", 420.0);
    scene.height = base_tests_draw(&scene, 10.0, 10.0, 400.0, &all);
    const char *const words[] = { "\"threshold 231 W\"",
                                  "\"246 W\"",
                                  "\"15\"",
                                  "\"6\"",
                                  "\"10\"",
                                  "\"Sep 2026\"",
                                  "\"Oct\"",
                                  "\"Nov\"",
                                  "\"▴ not passed\"",
                                  "\"▾ passed\"",
                                  "\"couldn't be judged\"",
                                  "\"bar: likely range, 9 times in 10\"",
                                  "begin figure 3 base tests." };
    const char *dump = draw_dump(&scene);
    for (size_t i = 0; i < COUNT(words); i++) {
        if (strstr(dump, words[i]) == NULL) {
            check_text("dump", dump, words[i]);
        }
    }
    draw_check_sound("autumn", &scene);
    fonts_close(fonts);
    arena_close(arena);
}

static void test_base_tests__none_draw_nothing(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct scene scene = scene_begin(arena, fonts, "base tests", 420.0);
    const struct base_tests none = { .line_bpm = 10 };
    check_near("below", base_tests_draw(&scene, 10.0, 33.0, 400.0, &none), 33.0, 0.0);
    check_integer("items", (int64_t)scene.count, 0);
    fonts_close(fonts);
    arena_close(arena);
}

/* ---- whatever comes ---- */

static struct base_test random_test(struct random *random, int64_t day)
{
    static const struct {
        enum mark mark;
        const char *verdict;
    } kinds[] = { { MARK_FULL, "passed" },
                  { MARK_HALF, "on the line" },
                  { MARK_HOLLOW, "not passed" },
                  { MARK_DOTTED, "couldn't be judged" },
                  { MARK_DOTTED, "spoiled" } };
    const size_t kind = random_below(random, COUNT(kinds));
    const double drift = random_below(random, 12) == 0 ? 200.0 * random_normal(random)
                                                       : 10.0 + 6.0 * random_normal(random);
    const double half = random_below(random, 10) == 0 ? 300.0 : 4.0 * random_uniform(random);
    const bool ranged = random_below(random, 8) > 0;
    return (struct base_test){ .day = day,
                               .drift_bpm = kind < 3 ? drift : (double)NAN,
                               .low_bpm = ranged ? drift - half : (double)NAN,
                               .high_bpm = ranged ? drift + half : (double)NAN,
                               .mark = kinds[kind].mark,
                               .verdict = kinds[kind].verdict };
}

/* Drops stand at their day: those of judged tests with their belly at the beats, so the side of the
 * line that a drop shows is the side of its number. */
static void check_places(const char *row, const struct scene *scene, const struct base_tests *all)
{
    double line = (double)NAN;
    for (size_t i = 0; i < scene->count; i++) {
        const struct item *item = &scene->items[i];
        if (item->kind == ITEM_PATH && item->stroke.colour == COLOUR_INK && item->n_points == 2) {
            line = item->points[0].y;
        }
    }
    check(isfinite(line));
    size_t k = 0;
    double before = -HUGE_VAL;
    for (size_t i = 0; i < scene->count && k < all->n; i++) {
        const struct item *item = &scene->items[i];
        if (item->kind != ITEM_MARK) {
            continue;
        }
        const struct base_test *test = &all->tests[k++];
        if (item->points[0].x < before - 1e-9) {
            check_text(row, "a later test stands left of an earlier one", "in order");
        }
        before = item->points[0].x;
        const double belly = item->points[0].y + 0.65 * item->size;
        if (!isnan(test->drift_bpm) && (belly > line + 1e-6) != (test->drift_bpm < all->line_bpm) &&
            fabs(belly - line) > 1e-6) {
            check_text(row, "a drop stands on the wrong side", "on its side");
        }
    }
    check_integer(row, (int64_t)k, (int64_t)all->n);
}

/* Threshold lines are the only upright dashes. */
static void check_no_words_on_lines(const char *row, const struct scene *scene)
{
    for (size_t i = 0; i < scene->count; i++) {
        const struct item *line = &scene->items[i];
        if (line->kind != ITEM_PATH || line->stroke.dash <= 0.0) {
            continue;
        }
        for (size_t k = 0; k < scene->count; k++) {
            const struct item *words = &scene->items[k];
            const struct place thin = { line->place.x - 0.3, line->place.y, 0.6,
                                        line->place.height };
            if (words->kind == ITEM_TEXT && place_overlaps(&words->place, &thin)) {
                check_text(row, words->runs[0].words, "no words on a line");
            }
        }
    }
}

static bool is_number(const struct item *item)
{
    return item->kind == ITEM_TEXT && item->style.anchor == ANCHOR_LEFT &&
           item->runs[0].colour == COLOUR_INK && item->runs[0].face == FACE_SANS;
}

/* A drop as wide as it is painted, a number as it is set; false for all else. */
static bool place_of(const struct item *item, struct place *out)
{
    *out = item->place;
    if (item->kind == ITEM_MARK) {
        *out = (struct place){ item->points[0].x - 0.35 * item->size, item->points[0].y,
                               0.7 * item->size, item->size };
    }
    return item->kind == ITEM_MARK || is_number(item);
}

/* At one height; the boxes of letters are a little higher than their ink. */
static bool is_beside(const struct place *a, const struct place *b)
{
    return fmin(a->y + a->height, b->y + b->height) - fmax(a->y, b->y) > 2.0;
}

/* A number has its drop at one side, and at the other neither a drop nor a number so near. */
static void check_whose_numbers(const char *row, const struct scene *scene)
{
    for (size_t i = 0; i < scene->count; i++) {
        const struct place *own = &scene->items[i].place;
        bool at_left = false;
        bool at_right = false;
        struct place other;
        for (size_t k = 0; is_number(&scene->items[i]) && k < scene->count; k++) {
            if (k == i || !place_of(&scene->items[k], &other) || !is_beside(own, &other)) {
                continue;
            }
            const double left = own->x - other.x - other.width;
            const double right = other.x - own->x - own->width;
            at_left = at_left || (left >= 0.0 && left < 4.9);
            at_right = at_right || (right >= 0.0 && right < 4.9);
        }
        if (at_left && at_right) {
            check_text(row, scene->items[i].runs[0].words, "a number of one drop");
        }
    }
}

static void test_base_tests__nothing_collides_whatever_comes(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct random random = random_begin(77);
    for (int round = 0; round < 1500; round++) {
        struct arena *own = arena_open();
        const char *row = arena_format(own, "round %d", round);
        const double width = BASE_TESTS_NARROWEST + 490.0 * random_uniform(&random);
        const size_t n = 1 + random_below(&random, random_below(&random, 5) == 0 ? 80 : 8);
        const size_t n_thresholds = random_below(&random, 12);
        const int64_t from = dates_days_from_civil(2024, 1, 1) + below(&random, 800);
        const int64_t days = (int64_t)pow(10.0, 3.5 * random_uniform(&random));
        struct base_test *tests = ARENA_ARRAY(own, struct base_test, n);
        struct base_test_threshold *thresholds =
            ARENA_ARRAY(own, struct base_test_threshold, n_thresholds);
        int64_t day = from;
        for (size_t i = 0; i < n; i++) {
            tests[i] = random_test(&random, day);
            day += below(&random, days / (int64_t)n + 2);
        }
        int64_t threshold_day = from - 100;
        for (size_t i = 0; i < n_thresholds; i++) {
            threshold_day += below(&random, days / 6 + 30);
            thresholds[i] =
                (struct base_test_threshold){ threshold_day, 150.0 + (double)below(&random, 200) };
        }
        const struct base_tests all = {
            tests, n, thresholds, n_thresholds, 10.0, from, day + below(&random, 40), "tests"
        };
        struct scene scene = scene_begin(own, fonts, "tests", width + 20.0);
        scene.height = 5000.0;
        scene.height = base_tests_draw(&scene, 10.0, 10.0, width, &all) + 1.0;
        draw_check_sound(row, &scene);
        check_places(row, &scene, &all);
        check_no_words_on_lines(row, &scene);
        check_whose_numbers(row, &scene);
        arena_close(own);
    }
    fonts_close(fonts);
    arena_close(arena);
}

/* ---- the dated axis ---- */

static void test_date_axis__ticks_are_mondays_or_begin_months(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct random random = random_begin(5);
    const struct text_style style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_MIDDLE };
    const struct scene scene = scene_begin(arena, fonts, "axis", 600.0);
    for (int round = 0; round < 1000; round++) {
        const int64_t from = dates_days_from_civil(1901, 1, 1) + below(&random, 80000);
        const double days = 28.0 * pow(10.0, 2.5 * random_uniform(&random));
        const double width = 120.0 + 400.0 * random_uniform(&random);
        const struct scale scale = { (double)from, (double)from + days, 10.0, 10.0 + width };
        const struct ticks ticks =
            date_axis_across(&scene, &scale, &style, 20.0, 0.0, width + 20.0, 6.0);
        check(ticks.n >= 1 || days > 300.0 * 365.0);
        bool mondays = true;
        bool firsts = true;
        double end = -6.0;
        for (size_t i = 0; i < ticks.n; i++) {
            const int64_t day = (int64_t)ticks.tick[i].value;
            mondays = mondays && dates_iso_week(day).weekday == 1;
            firsts = firsts && dates_civil_from_utc(day * 86400).day == 1;
            check(day >= from && (double)day <= scale.high);
            check(ticks.tick[i].label.x >= end + 6.0 - 1e-6);
            end = ticks.tick[i].label.x + ticks.tick[i].label.width;
            check(end <= width + 20.0 + 1e-6);
        }
        check(mondays || firsts);
    }
    fonts_close(fonts);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_base_tests__of_an_autumn_are_as_they_were_looked_at),
        cmocka_unit_test(test_base_tests__none_draw_nothing),
        cmocka_unit_test(test_base_tests__nothing_collides_whatever_comes),
        cmocka_unit_test(test_date_axis__ticks_are_mondays_or_begin_months),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
