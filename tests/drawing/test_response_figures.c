/* Figures of what only a model can say: nothing on anything else and nothing clipped at any width,
 * for one ride and for hundreds, for refusals and for W' below nought; each with its table. */
#include "drawing/response_samples.h"

#include "drawing/duration_forms.h"
#include "drawing/response_page.h"
#include "drawing/scene_json.h"

static const double widths[] = { 0.0, 215.0, 260.0, 333.0, 400.0, 491.0, 620.0, 1200.0 };

struct bench {
    struct arena *arena;
    struct fonts *fonts;
    struct limits limits;
};

static struct bench bench_open(void)
{
    struct arena *arena = arena_open();
    return (struct bench){ arena, draw_fonts(arena), limits_default() };
}

static void bench_close(const struct bench *bench)
{
    fonts_close(bench->fonts);
    arena_close(bench->arena);
}

static bool has(const struct scene *scene, const char *words)
{
    return strstr(draw_dump(scene), words) != NULL;
}

static void check_has(const struct scene *scene, const char *words)
{
    if (!has(scene, words)) {
        check_text("dump", draw_dump(scene), words);
    }
}

/* Sound; its JSON says no "nan"; every cell of its table says something. */
static void check_scene(const char *row, const struct scene *scene, bool has_table)
{
    draw_check_sound(row, scene);
    check(scene->count > 0 && scene->height > 8.0);
    check_integer(row, scene->table != NULL, has_table);
    for (size_t i = 0; has_table && i < scene->table->n_rows * scene->table->n_columns; i++) {
        check(scene->table->cells[i] != NULL && scene->table->cells[i][0] != '\0');
        check(strstr(scene->table->cells[i], "nan") == NULL);
    }
    struct text out = text_begin(scene->arena, 50000000);
    struct json json = json_begin(&out);
    scene_json(&json, NULL, scene);
    check(strstr(out.bytes, ":nan") == NULL && strstr(out.bytes, ":null,\"height") == NULL);
    check_integer(row, strstr(out.bytes, "\"table\":{\"caption\":") != NULL, has_table);
}

/* ---- heart rate ---- */

static void test_response_figures__a_ride_has_power_heart_rate_and_their_difference(void **state)
{
    (void)state;
    const struct bench bench = bench_open();
    const struct response_ride *rides = sample_rides(bench.arena, 12, 80);
    const struct heart_response response =
        heart_response_fit(bench.arena, rides, 12, sample_threshold_w(), &bench.limits);
    check_integer("fitted", response.end, RESPONSE_FITTED);
    for (size_t i = 0; i < COUNT(widths); i++) {
        for (int kind = 0; kind < SAMPLE_KINDS; kind++) {
            const struct figure_maker maker = { bench.arena, bench.fonts, widths[i] };
            const struct heart_ride ride = { sample_recording(bench.arena, 12.0, kind, 40),
                                             &response, NULL };
            const struct scene scene = figure_heart_ride(&maker, &ride, &bench.limits);
            check_scene(arena_format(bench.arena, "%.0f", widths[i]), &scene, true);
            check_has(&scene, "\"power, W\"");
            check_has(&scene, "\"heart rate against usual, beats\"");
        }
    }
    bench_close(&bench);
}

/* No heart rate without the power beside it; what isn't known is said. */
static void test_response_figures__what_a_ride_lacks_is_said(void **state)
{
    (void)state;
    const struct bench bench = bench_open();
    const struct heart_response unknown = { .end = RESPONSE_TOO_FEW };
    const struct figure_maker maker = { bench.arena, bench.fonts, 333.0 };
    struct recording *recording = sample_recording(bench.arena, 0.0, 1, 40);
    const struct heart_ride ride = { recording, &unknown, "Can't tell what is usual." };
    struct scene scene = figure_heart_ride(&maker, &ride, &bench.limits);
    check_scene("not fitted", &scene, true);
    check_has(&scene, "Can't tell what is usual.");
    check(!has(&scene, "against usual"));
    recording->value[CHANNEL_POWER] = NULL;
    scene = figure_heart_ride(&maker, &ride, &bench.limits);
    check_scene("no power", &scene, false);
    check(!has(&scene, "beats/min"));
    bench_close(&bench);
}

static void test_response_figures__rides_against_usual_from_three_to_hundreds(void **state)
{
    (void)state;
    static const size_t counts[] = { 3, 12, 40, 300 };
    const struct bench bench = bench_open();
    const struct rider_history history = sample_history(bench.arena);
    for (size_t k = 0; k < COUNT(counts); k++) {
        const struct response_ride *rides = sample_rides(bench.arena, counts[k], 88);
        struct heart_response response =
            heart_response_fit(bench.arena, rides, counts[k], sample_threshold_w(), &bench.limits);
        check_integer("fitted", response.end, RESPONSE_FITTED);
        response.day_bpm[1] = 80.0; /* far out */
        response.day_bpm[2] = (double)NAN;
        for (size_t i = 0; i < COUNT(widths); i++) {
            const struct figure_maker maker = { bench.arena, bench.fonts, widths[i] };
            const struct heart_weeks weeks = { &response, rides, counts[k], &history, NULL };
            const struct scene scene = figure_heart_weeks(&maker, &weeks, &bench.limits);
            check_scene(arena_format(bench.arena, "%zu at %.0f", counts[k], widths[i]), &scene,
                        true);
            check_integer("rows", (int64_t)scene.table->n_rows, (int64_t)counts[k]);
            check_has(&scene, "\"power, W\"");
            check_has(&scene, "▴ unusual");
            check_has(&scene, "base test: passed");
        }
    }
    bench_close(&bench);
}

static void test_response_figures__one_ride_is_a_sentence(void **state)
{
    (void)state;
    const struct bench bench = bench_open();
    const struct rider_history history = { .today = SAMPLE_TODAY };
    const struct response_ride *rides = sample_rides(bench.arena, 1, 1);
    const struct heart_response response =
        heart_response_fit(bench.arena, rides, 1, 240.0, &bench.limits);
    const struct heart_weeks weeks = { &response, rides, 1, &history, "Too few rides." };
    const struct scene scene = figure_heart_weeks(
        &(struct figure_maker){ bench.arena, bench.fonts, 215.0 }, &weeks, &bench.limits);
    check_scene("one", &scene, false);
    check_has(&scene, "Too few rides.");
    bench_close(&bench);
}

/* ---- power and duration ---- */

static void test_response_figures__forms_stand_with_their_range(void **state)
{
    (void)state;
    const struct bench bench = bench_open();
    const struct rider_power powers[] = { sample_power(bench.arena, 3, 0.0),
                                          sample_power(bench.arena, 5, 0.01),
                                          sample_power(bench.arena, 10, 0.01) };
    for (size_t k = 0; k < COUNT(powers); k++) {
        check_integer("known", powers[k].curve.end, DURATION_KNOWN);
        for (size_t i = 0; i < COUNT(widths); i++) {
            const struct figure_maker maker = { bench.arena, bench.fonts, widths[i] };
            const struct scene scene = figure_durations(&maker, &powers[k], NULL);
            check_scene(arena_format(bench.arena, "%zu at %.0f", k, widths[i]), &scene, true);
            check_has(&scene, "critical power");
            check_has(&scene, "which decides");
        }
    }
    bench_close(&bench);
}

/* Monod and Scherrer's line, and Morton's with its third parameter, by hand: 250 W and 18 kJ hold
 * 310 W for 300 s; with a peak of 1000 W the same curve begins 24 s earlier. */
static void test_response_figures__a_form_is_drawn_as_it_was_fitted(void **state)
{
    (void)state;
    const struct duration_fit fit = {
        .is_fitted = true, .cp_w = 250.0, .w_prime_j = 18000.0, .peak_w = 1000.0
    };
    check_near("line", duration_form_power(&fit, DURATION_INVERSE, 300.0), 310.0, 1e-9);
    check_near("peak", duration_form_power(&fit, DURATION_PEAK, 300.0), 250.0 + 18000.0 / 324.0,
               1e-9);
    check_near("peak at nought", duration_form_power(&fit, DURATION_PEAK, 1e-9), 1000.0, 1e-6);
    check(isnan(duration_form_power(&(struct duration_fit){ 0 }, DURATION_WORK, 300.0)));
}

static void test_response_figures__a_refusal_is_said_over_the_efforts(void **state)
{
    (void)state;
    const struct bench bench = bench_open();
    for (size_t n = 0; n < 3; n++) {
        const struct rider_power power = sample_power(bench.arena, n, 0.0);
        check(power.curve.end != DURATION_KNOWN);
        for (size_t i = 0; i < COUNT(widths); i++) {
            const struct figure_maker maker = { bench.arena, bench.fonts, widths[i] };
            const struct scene scene = figure_durations(&maker, &power, "Can't tell: too few.");
            check_scene("refused", &scene, n > 0);
            check_has(&scene, "Can't tell: too few.");
            check(!has(&scene, "critical power 2"));
        }
    }
    bench_close(&bench);
}

/* ---- W' ---- */

static void test_response_figures__what_is_left_goes_below_nought_with_its_words(void **state)
{
    (void)state;
    const struct bench bench = bench_open();
    static const struct {
        double ratio; /* of threshold */
        double w_prime_j;
        size_t n_reps;
        bool is_wrong;
    } rows[] = { { 1.05, 20000, 4, false }, { 0.6, 3000, 4, true }, { 1.05, 20000, 0, false } };
    const struct recording *recording = sample_recording(bench.arena, 0.0, 1, 7);
    for (size_t k = 0; k < COUNT(rows); k++) {
        const struct ride_balance balance =
            sample_balance(bench.arena, recording, rows[k].ratio * sample_threshold_w(),
                           rows[k].w_prime_j, rows[k].n_reps);
        check_integer("wrong", balance.trace.is_wrong, rows[k].is_wrong);
        for (size_t i = 0; i < COUNT(widths); i++) {
            const struct figure_maker maker = { bench.arena, bench.fonts, widths[i] };
            const struct scene scene = figure_left(&maker, recording, &balance, NULL);
            check_scene(arena_format(bench.arena, "%zu at %.0f", k, widths[i]), &scene, true);
            check_has(&scene, "\"W' left, kJ\"");
            check(!has(&scene, "beats/min") && !has(&scene, "No heart rate"));
            check_integer("words", has(&scene, "is set wrong"), rows[k].is_wrong);
        }
    }
    const struct ride_balance none = { .end = BALANCE_NO_CURVE };
    const struct scene scene = figure_left(
        &(struct figure_maker){ bench.arena, bench.fonts, 215.0 }, recording, &none, NULL);
    check_scene("none", &scene, false);
    bench_close(&bench);
}

/* ---- the same session twice ---- */

static void test_response_figures__both_ways_stand_on_the_same_scales(void **state)
{
    (void)state;
    const struct bench bench = bench_open();
    static const int reps[] = { 1, 5, 20 };
    for (size_t k = 0; k < COUNT(reps); k++) {
        const struct teaching teaching = sample_teaching(bench.arena, reps[k]);
        for (size_t i = 0; i < COUNT(widths); i++) {
            const struct figure_maker maker = { bench.arena, bench.fonts, widths[i] };
            const struct scene scene = figure_teaching(&maker, &teaching, NULL);
            check_scene(arena_format(bench.arena, "%d at %.0f", reps[k], widths[i]), &scene, true);
            check_integer("rows", (int64_t)scene.table->n_rows, 2 * reps[k]);
            check_has(&scene, "\"Ridden to power\"");
            check_has(&scene, "\"Ridden to heart rate\"");
        }
    }
    const struct teaching refused = { .end = TEACHING_NO_RESPONSE };
    const struct scene scene =
        figure_teaching(&(struct figure_maker){ bench.arena, bench.fonts, 215.0 }, &refused, NULL);
    check_scene("refused", &scene, false);
    bench_close(&bench);
}

/* ---- pages ---- */

static void test_response_figures__pages_say_their_sentences(void **state)
{
    (void)state;
    const struct bench bench = bench_open();
    const char *const sentences[] = { "First what it means.", "Then the number." };
    const struct rider_page page = { bench.arena, bench.fonts, "Maren Oduya", SAMPLE_TODAY };
    const struct response_said said = { "critical power", "4 September 2026", sentences, 2 };
    const struct rider_power power = sample_power(bench.arena, 5, 0.01);
    const struct rider_power refused = sample_power(bench.arena, 1, 0.0);
    const struct rider_history history = sample_history(bench.arena);
    const struct response_ride *rides = sample_rides(bench.arena, 12, 80);
    const struct heart_response response =
        heart_response_fit(bench.arena, rides, 12, sample_threshold_w(), &bench.limits);
    const struct recording *recording = sample_recording(bench.arena, 6.0, 1, 7);
    const struct ride_balance balance =
        sample_balance(bench.arena, recording, 1.05 * sample_threshold_w(), 20000, 4);
    const struct teaching teaching = sample_teaching(bench.arena, 5);
    const struct heart_weeks weeks = { &response, rides, 12, &history, NULL };
    const struct heart_ride ride = { recording, &response, NULL };
    const struct scene scenes[] = {
        response_page_critical(&page, &said, &power),
        response_page_critical(&page, &said, &refused),
        response_page_weeks(&page, &said, &weeks, &bench.limits),
        response_page_ride(&page, &said, &ride, &balance, &bench.limits),
        response_page_teaching(&page, &said, &teaching),
    };
    for (size_t i = 0; i < COUNT(scenes); i++) {
        check_scene(arena_format(bench.arena, "page %zu", i), &scenes[i], true);
        check_has(&scenes[i], sentences[0]);
        check_has(&scenes[i], sentences[1]);
    }
    bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_response_figures__a_ride_has_power_heart_rate_and_their_difference),
        cmocka_unit_test(test_response_figures__what_a_ride_lacks_is_said),
        cmocka_unit_test(test_response_figures__rides_against_usual_from_three_to_hundreds),
        cmocka_unit_test(test_response_figures__one_ride_is_a_sentence),
        cmocka_unit_test(test_response_figures__forms_stand_with_their_range),
        cmocka_unit_test(test_response_figures__a_form_is_drawn_as_it_was_fitted),
        cmocka_unit_test(test_response_figures__a_refusal_is_said_over_the_efforts),
        cmocka_unit_test(test_response_figures__what_is_left_goes_below_nought_with_its_words),
        cmocka_unit_test(test_response_figures__both_ways_stand_on_the_same_scales),
        cmocka_unit_test(test_response_figures__pages_say_their_sentences),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
