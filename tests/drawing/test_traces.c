/* The two traces: lines that lose nothing, spans over their own seconds, words that fit. */
#include "drawing/draw_check.h"

#include "drawing/trace_line.h"
#include "drawing/traces.h"
#include "maths/random.h"

static size_t count_items(const struct scene *scene, enum item_kind kind, enum colour colour)
{
    size_t n = 0;
    for (size_t i = 0; i < scene->count; i++) {
        n += scene->items[i].kind == kind && scene->items[i].stroke.colour == colour ? 1 : 0;
    }
    return n;
}

static bool has_words(const struct scene *scene, const char *words)
{
    for (size_t i = 0; i < scene->count; i++) {
        for (size_t k = 0; k < scene->items[i].n_runs; k++) {
            if (strstr(scene->items[i].runs[k].words, words) != NULL) {
                return true;
            }
        }
    }
    return false;
}

/* A power-like series: levels, scatter, spikes, gaps. */
static double *draw_series(struct arena *arena, struct random *random, size_t n, double base,
                           double gaps)
{
    double *values = ARENA_ARRAY(arena, double, n);
    double level = base;
    for (size_t i = 0; i < n; i++) {
        level = random_uniform(random) < 0.01 ? base * 2.0 * random_uniform(random) : level;
        values[i] = fmax(level + 0.1 * base * random_normal(random), 0.0);
        values[i] = random_uniform(random) < 0.002 ? values[i] + 5.0 * base : values[i];
    }
    for (size_t i = 0; i < n; i++) {
        if (random_uniform(random) < gaps) {
            for (size_t k = random_below(random, 40); k > 0 && i < n; k--) {
                values[i++] = (double)NAN;
            }
        }
    }
    return values;
}

/* The obvious version: of each bin by itself, its first, lowest, highest and last. */
static void test_trace_line__shows_first_lowest_highest_and_last_of_each_bin(void **state)
{
    (void)state;
    struct random random = random_begin(11);
    for (int round = 0; round < 400; round++) {
        struct arena *arena = arena_open();
        const size_t n = 1 + random_below(&random, 4000);
        const double *values = draw_series(arena, &random, n, 200.0, 0.0);
        const struct trace trace = { values, n };
        const double width = 10.0 + 200.0 * random_uniform(&random);
        const struct scale x = { 0.0, (double)n, 5.0, 5.0 + width };
        const struct scale y = { 0.0, 3000.0, 3000.0, 0.0 };
        const double bin = 0.5;
        struct point *points = ARENA_ARRAY(arena, struct point, n + 2);
        const size_t got = trace_run_points(&trace, 0, n, &x, &y, bin, points);
        check(got <= n + 2);
        if (n == 1) {
            check_integer("a second alone is a dash", (int64_t)got, 2);
            arena_close(arena);
            continue;
        }
        size_t at = 0;
        for (size_t b = 0; b <= (size_t)(width / bin); b++) {
            double first = (double)NAN, last = (double)NAN, lowest = (double)INFINITY,
                   highest = -(double)INFINITY;
            size_t held = 0;
            for (size_t i = 0; i < n; i++) {
                const double place = scale_at(&x, (double)i + 0.5);
                if ((size_t)floor((place - x.from) / bin) == b) {
                    first = held == 0 ? values[i] : first;
                    last = values[i];
                    lowest = fmin(lowest, values[i]);
                    highest = fmax(highest, values[i]);
                    held++;
                }
            }
            if (held == 0) {
                continue;
            }
            const size_t begin = at;
            double got_lowest = (double)INFINITY, got_highest = -(double)INFINITY;
            while (at < got && (size_t)floor((points[at].x - x.from) / bin) == b) {
                const double value = 3000.0 - points[at].y;
                got_lowest = fmin(got_lowest, value);
                got_highest = fmax(got_highest, value);
                check(at == begin || points[at].x > points[at - 1].x);
                at++;
            }
            check(at - begin <= 4 && at > begin);
            check(held > 4 || at - begin == held);
            check_near("first", 3000.0 - points[begin].y, first, 1e-9);
            check_near("last", 3000.0 - points[at - 1].y, last, 1e-9);
            check_near("lowest", got_lowest, lowest, 1e-9);
            check_near("highest", got_highest, highest, 1e-9);
        }
        check_integer("no point outside a bin", (int64_t)at, (int64_t)got);
        arena_close(arena);
    }
}

/* Every stretch between two points of a path, against the seconds: none over a gap that a pixel
 * could show, and every known second lies under a path. */
static void test_trace_line__never_crosses_a_gap_that_can_be_shown(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct random random = random_begin(12);
    for (int round = 0; round < 600; round++) {
        struct arena *own = arena_open();
        struct scene scene = scene_begin(own, fonts, "line", 700.0);
        const size_t n = 1 + random_below(&random, 3000);
        const double *values = draw_series(own, &random, n, 200.0, 0.02);
        const struct trace trace = { values, n };
        const struct scale x = { 0.0, (double)n, 0.0, 20.0 + 600.0 * random_uniform(&random) };
        const struct scale y = { 0.0, 3000.0, 100.0, 0.0 };
        const double second = x.to / (double)n;
        bool *covered = ARENA_ARRAY(own, bool, n);
        const bool mean = round % 2 == 0;
        const double bin = mean ? 1.0 : 0.5;
        const struct stroke stroke = { COLOUR_POWER, 0.6, 0.0 };
        if (mean) {
            trace_mean_line(&scene, &trace, &x, &y, bin, &stroke);
        } else {
            trace_line(&scene, &trace, &x, &y, &stroke);
        }
        for (size_t i = 0; i < scene.count; i++) {
            const struct item *item = &scene.items[i];
            const size_t from = (size_t)fmax(floor(item->points[0].x / second + 1e-6), 0.0);
            const size_t to = (size_t)ceil(item->points[item->n_points - 1].x / second - 1e-6);
            size_t missing = 0;
            for (size_t k = from; k < to && k < n; k++) {
                covered[k] = true;
                missing = isnan(values[k]) ? missing + 1 : 0;
                check((double)missing * second < bin + 1e-9);
            }
        }
        for (size_t i = 0; i < n; i++) {
            check(covered[i] || isnan(values[i]));
        }
        arena_close(own);
    }
    fonts_close(fonts);
    arena_close(arena);
}

static void test_traces__of_a_small_ride_are_as_they_were_looked_at(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    double power[60];
    double heart[60];
    for (int i = 0; i < 60; i++) {
        power[i] = i < 20 || i >= 40 ? 100.0 : 300.0;
        heart[i] = 120.0 + i / 2.0;
    }
    const struct traces_target target = { TRACES_POWER, 20, 40, 260.0, 295.0, "asked" };
    const struct traces_span bracket = { 20, 40, "1" };
    const struct traces_mask mask = { TRACES_HEART, 45, 60, "no contact" };
    const struct traces_span pause = { 5, 10, "paused" };
    struct scene scene = scene_begin(arena, fonts, "small", 300.0);
    scene.height = 200.0;
    const struct place place = { 10.0, 10.0, 280.0, 180.0 };
    const double end = traces_draw(&scene, &place,
                                   &(struct traces){ .n_seconds = 60,
                                                     .power_w = power,
                                                     .heart_bpm = heart,
                                                     .targets = &target,
                                                     .n_targets = 1,
                                                     .brackets = &bracket,
                                                     .n_brackets = 1,
                                                     .masks = &mask,
                                                     .n_masks = 1,
                                                     .pauses = &pause,
                                                     .n_pauses = 1 });
    check_near("within its place", end, 190.0, 0.1);
    check_text("scene", draw_dump(&scene),
               "scene \"small\" 300.0x200.0\n"
               "begin figure Power, and heart rate under it, over 1 min.\n"
               "area target 4 points 117.0,29.4 86.5x6.7\n"
               "text 10.0,11.1 36.6x8.0 \"power, W\"\n"
               "path hairline 2 points 30.5,85.6 259.5x0.0\n"
               "path hairline 2 points 30.5,66.5 259.5x0.0\n"
               "path hairline 2 points 30.5,47.5 259.5x0.0\n"
               "path hairline 2 points 30.5,28.4 259.5x0.0\n"
               "text 20.4,82.0 5.2x8.0 \"0\"\n"
               "text 10.0,63.0 15.5x8.0 \"100\"\n"
               "text 10.0,44.0 15.5x8.0 \"200\"\n"
               "text 10.0,24.9 15.5x8.0 \"300\"\n"
               "path power 5 points 32.7,66.5 17.3x0.0\n"
               "path power 50 points 75.9,28.4 211.9x38.1\n"
               "path plum 2 points 117.0,36.0 86.5x0.0\n"
               "path plum 2 points 117.0,29.4 86.5x0.0\n"
               "area paper 4 points 177.3,37.5 23.5x9.0\n"
               "text 177.8,38.0 22.5x8.0 \"asked\"\n"
               "text 10.0,94.7 81.3x8.0 \"heart rate, beats/min\"\n"
               "path hairline 2 points 30.5,146.0 259.5x0.0\n"
               "path hairline 2 points 30.5,134.8 259.5x0.0\n"
               "path hairline 2 points 30.5,123.6 259.5x0.0\n"
               "path hairline 2 points 30.5,112.4 259.5x0.0\n"
               "text 10.0,142.4 15.5x8.0 \"120\"\n"
               "text 10.0,131.3 15.5x8.0 \"130\"\n"
               "text 10.0,120.1 15.5x8.0 \"140\"\n"
               "text 10.0,108.9 15.5x8.0 \"150\"\n"
               "hatch 225.1,108.6 64.9x48.4\n"
               "path heart 7 points 30.5,143.7 21.6x2.2\n"
               "path heart 37 points 73.8,121.4 151.3x19.0\n"
               "area paper 4 points 235.4,111.6 44.4x12.0\n"
               "text 237.4,113.6 40.4x8.0 \"no contact\"\n"
               "path ink 4 points 117.0,163.0 86.5x3.0\n"
               "text 157.6,167.6 5.4x8.0 \"1\"\n"
               "path quiet 2 points 30.5,176.0 21.6x0.0\n"
               "path quiet 2 points 73.8,176.0 216.2x0.0\n"
               "path quiet 2 points 30.5,176.0 0.0x3.0\n"
               "path quiet 2 points 73.8,176.0 0.0x3.0\n"
               "path quiet 2 points 117.0,176.0 0.0x3.0\n"
               "path quiet 2 points 160.3,176.0 0.0x3.0\n"
               "path quiet 2 points 203.5,176.0 0.0x3.0\n"
               "path quiet 2 points 246.8,176.0 0.0x3.0\n"
               "path quiet 2 points 290.0,176.0 0.0x3.0\n"
               "text 24.7,180.6 11.6x8.0 \"0 s\"\n"
               "text 65.4,180.6 16.8x8.0 \"10 s\"\n"
               "text 108.6,180.6 16.8x8.0 \"20 s\"\n"
               "text 151.9,180.6 16.8x8.0 \"30 s\"\n"
               "text 195.1,180.6 16.8x8.0 \"40 s\"\n"
               "text 238.4,180.6 16.8x8.0 \"50 s\"\n"
               "text 269.0,180.6 21.0x8.0 \"1 min\"\n"
               "end\n");
    draw_check_sound("small", &scene);
    fonts_close(fonts);
    arena_close(arena);
}

static void test_traces__say_what_was_not_recorded(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    double some[100];
    for (int i = 0; i < 100; i++) {
        some[i] = 150.0;
    }
    static const struct {
        const char *name;
        bool power, heart;
    } rows[] = { { "no heart rate", true, false },
                 { "no power", false, true },
                 { "neither", false, false } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct scene scene = scene_begin(arena, fonts, "missing", 300.0);
        scene.height = 250.0;
        const struct place place = { 10.0, 10.0, 280.0, 180.0 };
        traces_draw(&scene, &place,
                    &(struct traces){ .n_seconds = 100,
                                      .power_w = rows[i].power ? some : NULL,
                                      .heart_bpm = rows[i].heart ? some : NULL });
        draw_check_sound(rows[i].name, &scene);
        check(has_words(&scene, "No power was recorded") == !rows[i].power);
        check(has_words(&scene, "No heart rate was recorded") == !rows[i].heart);
        check(has_words(&scene, "power, W") == rows[i].power);
    }
    fonts_close(fonts);
    arena_close(arena);
}

/* A spike that is masked sets no scale; the same spike unmasked does. */
static void test_traces__a_masked_spike_sets_no_scale(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    double power[600];
    for (int i = 0; i < 600; i++) {
        power[i] = 200.0;
    }
    power[300] = 20000.0;
    const struct traces_mask mask = { TRACES_POWER, 300, 301, "spike" };
    for (size_t n_masks = 0; n_masks < 2; n_masks++) {
        struct scene scene = scene_begin(arena, fonts, "spike", 300.0);
        scene.height = 250.0;
        const struct place place = { 10.0, 10.0, 280.0, 180.0 };
        traces_draw(&scene, &place,
                    &(struct traces){
                        .n_seconds = 600, .power_w = power, .masks = &mask, .n_masks = n_masks });
        check(has_words(&scene, "20000") == (n_masks == 0));
        check(has_words(&scene, "200") == (n_masks == 1) || n_masks == 0);
        check(has_words(&scene, "spike at 5:00") == (n_masks == 1));
    }
    fonts_close(fonts);
    arena_close(arena);
}

/* The seconds that an item covers, of a figure whose plot runs from left to right. */
static void check_hatches(const struct scene *scene, const struct traces *traces, double left,
                          double right)
{
    const double low = traces->to_s > traces->from_s ? traces->from_s : 0.0;
    const double high = traces->to_s > traces->from_s ? traces->to_s : (double)traces->n_seconds;
    size_t seen = 0;
    for (size_t i = 0; i < traces->n_masks; i++) {
        const struct traces_mask *mask = &traces->masks[i];
        const double from = fmax(mask->from_s, low);
        const double to = fmin(mask->to_s, high);
        const bool has_panel = mask->panel == TRACES_POWER   ? traces->power_w != NULL
                               : mask->panel == TRACES_HEART ? traces->heart_bpm != NULL
                                                             : traces->third != NULL;
        if (to <= from || !has_panel) {
            continue;
        }
        seen++;
        bool found = false;
        for (size_t k = 0; k < scene->count && !found; k++) {
            const struct item *item = &scene->items[k];
            if (item->kind == ITEM_HATCH) {
                const double per = (right - left) / (high - low);
                found = fabs(item->place.x - left - (from - low) * per) < 1e-6 &&
                        fabs(item->place.width - (to - from) * per) < 1e-6;
            }
        }
        check(found);
    }
    check_integer("hatches", (int64_t)count_items(scene, ITEM_HATCH, COLOUR_MASKED), (int64_t)seen);
}

static const char *const some_words[] = { NULL,
                                          "",
                                          "spike",
                                          "strap lost contact",
                                          "106\xe2\x80\x93"
                                          "120 % of threshold",
                                          "a long wording that has no room beside anything here" };

static void draw_spans(struct random *random, size_t n_seconds, int32_t *from_s, int32_t *to_s)
{
    *from_s = (int32_t)random_below(random, n_seconds + 10) - 5;
    const size_t most = random_below(random, 2) == 0 ? 10 : n_seconds;
    *to_s = *from_s + 1 + (int32_t)random_below(random, most);
}

static void test_traces__nothing_collides_whatever_comes(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    struct random random = random_begin(13);
    for (int round = 0; round < 1200; round++) {
        struct arena *own = arena_open();
        const double width = 170.0 + 600.0 * random_uniform(&random);
        struct scene scene = scene_begin(own, fonts, "any", width);
        scene.height = 5000.0;
        const size_t n = random_below(&random, 4) == 0 ? 1 + random_below(&random, 30)
                                                       : 1 + random_below(&random, 8000);
        struct traces traces = { .n_seconds = n };
        const double gaps = random_below(&random, 3) == 0 ? 0.2 : 0.001;
        traces.power_w =
            random_below(&random, 6) > 0
                ? draw_series(own, &random, n, 5.0 + 300.0 * random_uniform(&random), gaps)
                : NULL;
        traces.heart_bpm =
            random_below(&random, 6) > 0 ? draw_series(own, &random, n, 140.0, gaps) : NULL;
        if (random_below(&random, 3) == 0) {
            traces.expected_low_bpm = draw_series(own, &random, n, 130.0, gaps);
            traces.expected_high_bpm = draw_series(own, &random, n, 150.0, gaps);
        }
        if (random_below(&random, 2) == 0) {
            traces.third_kind = (enum traces_third)(1 + random_below(&random, 3));
            traces.third = draw_series(own, &random, n, 30.0, gaps);
        }
        const size_t most = random_below(&random, 8) == 0 ? 60 : 6;
        struct traces_target *targets = ARENA_ARRAY(own, struct traces_target, most);
        struct traces_mask *masks = ARENA_ARRAY(own, struct traces_mask, most);
        struct traces_span *brackets = ARENA_ARRAY(own, struct traces_span, most);
        struct traces_span *pauses = ARENA_ARRAY(own, struct traces_span, most);
        for (size_t i = random_below(&random, most); i > 0; i--) {
            struct traces_target *target = &targets[traces.n_targets++];
            target->panel = (enum traces_panel)random_below(&random, 3);
            draw_spans(&random, n, &target->from_s, &target->to_s);
            target->low =
                random_below(&random, 5) == 0 ? (double)NAN : 400.0 * random_uniform(&random);
            target->high =
                random_below(&random, 5) == 0
                    ? (double)NAN
                    : (isnan(target->low) ? 0.0 : target->low) + 100.0 * random_uniform(&random);
            target->words = some_words[random_below(&random, COUNT(some_words))];
        }
        for (size_t i = random_below(&random, most); i > 0; i--) {
            struct traces_mask *mask = &masks[traces.n_masks++];
            mask->panel = (enum traces_panel)random_below(&random, 3);
            draw_spans(&random, n, &mask->from_s, &mask->to_s);
            mask->words = some_words[random_below(&random, COUNT(some_words))];
        }
        for (size_t i = random_below(&random, most); i > 0; i--) {
            struct traces_span *bracket = &brackets[traces.n_brackets++];
            draw_spans(&random, n, &bracket->from_s, &bracket->to_s);
            bracket->words = arena_format(own, "%zu", traces.n_brackets);
        }
        for (size_t i = random_below(&random, most); i > 0; i--) {
            struct traces_span *pause = &pauses[traces.n_pauses++];
            draw_spans(&random, n, &pause->from_s, &pause->to_s);
            pause->words = some_words[random_below(&random, COUNT(some_words))];
        }
        traces.targets = targets;
        traces.masks = masks;
        traces.brackets = brackets;
        traces.pauses = pauses;
        if (random_below(&random, 4) == 0) {
            draw_spans(&random, n, &traces.from_s, &traces.to_s);
            traces.from_s = traces.from_s < 0 ? 0 : traces.from_s;
            traces.to_s = traces.to_s <= traces.from_s ? traces.from_s + 1 : traces.to_s;
        }
        const struct place place = { 10.0, 10.0, width - 20.0,
                                     120.0 + 300.0 * random_uniform(&random) };
        scene.height = traces_draw(&scene, &place, &traces) + 1.0;
        draw_check_sound(arena_format(own, "round %d", round), &scene);

        /* The line of time is the last horizontal stroke's home: its ticks lie within the plot. */
        double left = (double)INFINITY;
        const double right = place.x + place.width;
        for (size_t i = 0; i < scene.count; i++) {
            const struct item *item = &scene.items[i];
            if (item->kind == ITEM_PATH && item->stroke.colour == COLOUR_HAIRLINE) {
                left = fmin(left, item->place.x);
            }
        }
        if (isfinite(left)) {
            check_hatches(&scene, &traces, left, right);
        }
        for (size_t i = 0; i < scene.count; i++) {
            const struct item *item = &scene.items[i];
            if (item->kind == ITEM_PATH && isfinite(left)) {
                check(item->place.x >= left - 1e-6 &&
                      item->place.x + item->place.width <= right + 1e-6);
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
        cmocka_unit_test(test_trace_line__shows_first_lowest_highest_and_last_of_each_bin),
        cmocka_unit_test(test_trace_line__never_crosses_a_gap_that_can_be_shown),
        cmocka_unit_test(test_traces__of_a_small_ride_are_as_they_were_looked_at),
        cmocka_unit_test(test_traces__say_what_was_not_recorded),
        cmocka_unit_test(test_traces__a_masked_spike_sets_no_scale),
        cmocka_unit_test(test_traces__nothing_collides_whatever_comes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
