/* Week load: a row a week, bars as long as their hours, the line where it was computed. */
#include "drawing/draw_check.h"

#include "base/dates.h"
#include "drawing/power_curves.h"
#include "drawing/week_load.h"
#include "maths/random.h"

/* 0 .. n - 1. */
static int64_t below(struct random *random, int64_t n)
{
    return (int64_t)random_below(random, (uint64_t)n);
}

static void test_week_load__says_every_week(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    const int64_t monday = dates_days_from_civil(2026, 12, 21);
    const double none = (double)NAN;
    const struct week_row rows[] = {
        { monday, 6.54, none, false, true, 2, 0, NULL },
        { monday + 7, 0.0, 8.0, false, true, 0, 7, "no ride" },
        { monday + 14, 9.0, 8.5, true, true, 6, 0, "no power in 2 of 5 rides" },
        { monday + 21, 1.5, 8.5, false, false, 0, 0, "so far" },
    };
    const struct week_load_rows weeks = { rows, 4, "4 weeks." };
    struct scene scene = scene_begin(arena, fonts, "weeks", 520.0);
    scene.height = week_load_draw(&scene, 10.0, 10.0, 500.0, &weeks);
    const char *dump = draw_dump(&scene);
    const char *const words[] = { "\"21 Dec 2026\"", "\"28 Dec\"",  "\"4 Jan 2027\"", "\"11 Jan\"",
                                  "\"6.5 h\"",       "\"no ride\"", "\"9.0 h\"",      "\"1.5 h\"",
                                  "\"so far\"",      "mark hollow", "hard days",      "days off",
                                  "week jump" };
    for (size_t i = 0; i < COUNT(words); i++) {
        if (strstr(dump, words[i]) == NULL) {
            check_text("dump", dump, words[i]);
        }
    }
    check(strstr(dump, "0.0 h") == NULL);
    draw_check_sound("weeks", &scene);
    fonts_close(fonts);
    arena_close(arena);
}

/* Hours as a length, from where bars begin. */
struct hours {
    double left;
    double per_hour;
};

/* The line steps to the hours of each week that has one, by the measure of the bars: so a bar goes
 * beyond the line of its own row exactly if the week is a jump. */
static void check_line(const char *row, const struct scene *scene,
                       const struct week_load_rows *weeks, const struct hours *hours)
{
    size_t i = 0;
    for (size_t k = 0; k < scene->count; k++) {
        const struct item *item = &scene->items[k];
        const bool is_line = item->kind == ITEM_PATH && item->stroke.colour == COLOUR_INK &&
                             fabs(item->stroke.width - 1.0) < 1e-9;
        for (size_t j = 0; is_line && j < item->n_points; j++) {
            while (j % 2 == 0 && i < weeks->n && isnan(weeks->rows[i].line_hours)) {
                i++;
            }
            check(i < weeks->n);
            const double line = hours->per_hour * weeks->rows[i].line_hours;
            check_near(row, item->points[j].x - hours->left, line, 1e-6 * (1.0 + line));
            i += j % 2;
        }
    }
    while (i < weeks->n && isnan(weeks->rows[i].line_hours)) {
        i++;
    }
    check_integer(row, (int64_t)i, (int64_t)weeks->n);
}

/* Bars end where their hours are: their lengths are in the ratio of the hours. */
static void check_bars(const char *row, const struct scene *scene,
                       const struct week_load_rows *weeks)
{
    double per_hour = (double)NAN;
    double left = (double)NAN;
    size_t i = 0;
    for (size_t k = 0; k < scene->count; k++) {
        const struct item *item = &scene->items[k];
        const bool whole = item->kind == ITEM_AREA && item->stroke.colour == COLOUR_QUIET;
        const bool open =
            item->kind == ITEM_PATH && item->n_points == 4 && item->stroke.colour == COLOUR_INK &&
            item->points[1].x == item->points[2].x && item->points[0].x == item->points[3].x;
        if (!whole && !open) {
            continue;
        }
        while (i < weeks->n && weeks->rows[i].hours <= 0.0) {
            i++;
        }
        if (i == weeks->n) {
            break;
        }
        if (open != !weeks->rows[i].is_over) {
            continue; /* the line's own corners */
        }
        const double hours = weeks->rows[i++].hours;
        if (isnan(per_hour)) {
            per_hour = item->place.width / hours;
            left = item->place.x;
        }
        check_near(row, item->place.width, per_hour * hours, 1e-6 * (1.0 + per_hour * hours));
    }
    if (!isnan(per_hour)) {
        check_line(row, scene, weeks, &(struct hours){ left, per_hour });
    }
}

static void test_week_load__nothing_collides_whatever_comes(void **state)
{
    (void)state;
    static const char *const words[] = {
        NULL, NULL, "so far", "no ride", "no power in 2 of 5 rides", "so far; no power in any ride"
    };
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct random random = random_begin(19);
    for (int round = 0; round < 1500; round++) {
        struct arena *own = arena_open();
        const char *name = arena_format(own, "round %d", round);
        const double width = WEEK_LOAD_NARROWEST + 490.0 * random_uniform(&random);
        const size_t n = 1 + random_below(&random, random_below(&random, 4) == 0 ? 104 : 14);
        const int64_t monday = dates_days_from_civil(2024, 1, 1) + 7 * below(&random, 100);
        const double most = pow(10.0, 2.2 * random_uniform(&random));
        struct week_row *rows = ARENA_ARRAY(own, struct week_row, n);
        for (size_t i = 0; i < n; i++) {
            const double hours =
                random_below(&random, 6) == 0 ? 0.0 : most * random_uniform(&random);
            const double line =
                random_below(&random, 5) == 0 ? (double)NAN : most * random_uniform(&random);
            rows[i] = (struct week_row){ .monday = monday + 7 * (int64_t)i,
                                         .hours = hours,
                                         .line_hours = line,
                                         .is_jump = hours > line,
                                         .is_over = i + 1 < n || random_below(&random, 2) == 0,
                                         .hard_days = (int)random_below(&random, 8),
                                         .days_off = (int)random_below(&random, 8),
                                         .words = words[random_below(&random, COUNT(words))] };
        }
        const struct week_load_rows weeks = { rows, n, "weeks" };
        struct scene scene = scene_begin(own, fonts, "weeks", width + 20.0);
        scene.height = 50000.0;
        scene.height = week_load_draw(&scene, 10.0, 10.0, width, &weeks) + 1.0;
        draw_check_sound(name, &scene);
        check_bars(name, &scene, &weeks);
        arena_close(own);
    }
    fonts_close(fonts);
    arena_close(arena);
}

/* ---- mean power against duration ---- */

static void test_power_curves__nothing_collides_whatever_comes(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct random random = random_begin(23);
    for (int round = 0; round < 500; round++) {
        struct arena *own = arena_open();
        const double width = POWER_CURVES_NARROWEST + 490.0 * random_uniform(&random);
        struct power_curve curves[2];
        for (int c = 0; c < 2; c++) {
            const size_t n = random_below(&random, 5) == 0 ? random_below(&random, 3)
                                                           : random_below(&random, 1500);
            int32_t *duration_s = ARENA_ARRAY(own, int32_t, n);
            double *power_w = ARENA_ARRAY(own, double, n);
            int32_t at = 0;
            double watts = 3000.0 * random_uniform(&random);
            for (size_t i = 0; i < n; i++) {
                at += 1 + (int32_t)below(&random, 1 + at / 50);
                watts *= 1.0 - 0.01 * random_uniform(&random);
                duration_s[i] = at;
                power_w[i] = watts;
            }
            curves[c] = (struct power_curve){ duration_s, power_w, n,
                                              "1 September 2026 to 30 September 2026" };
        }
        const bool alone = random_below(&random, 3) == 0;
        struct scene scene = scene_begin(own, fonts, "curves", width + 20.0);
        scene.height = 5000.0;
        scene.height =
            power_curves_draw(&scene, 10.0, 10.0, width, &curves[0], alone ? NULL : &curves[1]) +
            1.0;
        draw_check_sound(arena_format(own, "round %d", round), &scene);
        if (curves[0].n == 0 && (alone || curves[1].n == 0)) {
            check_integer("items", (int64_t)scene.count, 0);
        }
        arena_close(own);
    }
    fonts_close(fonts);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_week_load__says_every_week),
        cmocka_unit_test(test_week_load__nothing_collides_whatever_comes),
        cmocka_unit_test(test_power_curves__nothing_collides_whatever_comes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
