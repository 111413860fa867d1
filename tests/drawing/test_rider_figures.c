/* Figures about a rider, from a history to a scene: what they say is what was computed, and nothing
 * collides at any width whatever the history is. */
#include "drawing/draw_check.h"

#include "base/dates.h"
#include "coaching/words/figure_words.h"
#include "drawing/rider_figures.h"
#include "drawing/rider_page.h"
#include "maths/random.h"

enum { TODAY = 20700, MOST = 400 };

static int64_t below(struct random *random, int64_t n)
{
    return (int64_t)random_below(random, (uint64_t)n);
}

static void add_efforts(struct random *random, struct past_ride *ride)
{
    size_t n = 0;
    const int32_t *durations = effort_durations(&n);
    for (size_t i = 0; i < n && below(random, 3) > 0; i++) {
        ride->efforts[ride->n_efforts++] =
            (struct effort){ .duration_s = durations[i],
                             .power_w = 200.0 + 100.0 * random_uniform(random),
                             .start_s = (int32_t)below(random, 3000),
                             .evidence = (unsigned)below(random, 8) };
    }
}

static struct past_ride random_ride(struct random *random, int64_t id, int64_t day)
{
    static const enum verdict verdicts[] = { VERDICT_PASSED, VERDICT_ON_THE_LINE,
                                             VERDICT_NOT_PASSED, VERDICT_CANNOT_TELL };
    struct past_ride ride = past_ride_begin(id, day);
    ride.hours = 4.0 * random_uniform(random);
    ride.work_kj = below(random, 4) == 0 ? (double)NAN : 600.0 * ride.hours;
    ride.is_hard_day = below(random, 3) == 0;
    ride.is_base_test = below(random, 6) == 0;
    ride.spoiled = below(random, 12) == 0;
    ride.marked = below(random, 10) == 0;
    ride.race = ride.marked && below(random, 2) == 0;
    if (ride.is_base_test) {
        const double drift = 10.0 + 5.0 * random_normal(random);
        ride.base = (struct past_reading){ true,        verdicts[below(random, 4)],
                                           drift,       drift - 3.0,
                                           drift + 3.0, NULL };
    }
    add_efforts(random, &ride);
    return ride;
}

static struct rider_history random_history(struct random *random, struct arena *arena)
{
    struct rider_history history = { .today = TODAY,
                                     .power_since_day = INT64_MIN,
                                     .threshold_day = INT64_MIN,
                                     .rides = ARENA_ARRAY(arena, struct past_ride, MOST),
                                     .thresholds = ARENA_ARRAY(arena, struct past_threshold, 20),
                                     .off = ARENA_ARRAY(arena, struct past_span, 2) };
    const int64_t n = below(random, 5) == 0 ? below(random, 3) : below(random, MOST);
    int64_t day = TODAY - below(random, 700);
    for (int64_t i = 0; i < n && day <= TODAY; i++) {
        history.rides[history.n_rides++] = random_ride(random, i + 1, day);
        day += below(random, 5);
    }
    for (int64_t since = TODAY - 800; since <= TODAY && history.n_thresholds < 20;
         since += 10 + below(random, 200)) {
        history.thresholds[history.n_thresholds++] =
            (struct past_threshold){ since, 150.0 + (double)below(random, 200) };
    }
    if (below(random, 2) == 0) {
        const int64_t from = TODAY - below(random, 200);
        history.off[history.n_off++] = (struct past_span){ OFF_ILL, from, from + 12 };
    }
    return history;
}

static bool has(const struct scene *scene, const char *words)
{
    return strstr(draw_dump(scene), words) != NULL;
}

/* A column for changes, and words for their bars, only where there are such. */
static void check_ladder_words(const char *row, const struct scene *scene,
                               const struct rider_progress *progress)
{
    bool any_change = false;
    bool any_bar = false;
    for (size_t i = 0; i < progress->n; i++) {
        any_change = any_change || progress->changes[i].state == CHANGE_KNOWN;
    }
    for (size_t i = 0; i < scene->count; i++) {
        const struct item *item = &scene->items[i];
        any_bar = any_bar || (item->kind == ITEM_AREA && item->stroke.colour == COLOUR_LIKELY);
    }
    check_integer(row, has(scene, "\"bar, and in brackets"), any_bar);
    check_integer(row, has(scene, "\"in brackets"), any_change && !any_bar);
    check_integer(row, has(scene, "\"change\""), any_change && !any_bar);
}

static void test_rider_figures__are_sound_whatever_the_history(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    const struct limits limits = limits_default();
    struct random random = random_begin(101);
    for (int round = 0; round < 300; round++) {
        struct arena *own = arena_open();
        const char *row = arena_format(own, "round %d", round);
        const struct rider_history history = random_history(&random, own);
        const double width = 200.0 + 500.0 * random_uniform(&random);
        const struct figure_maker maker = { own, fonts, width };
        struct rider_readings readings;
        const size_t n_weeks = (size_t)(2 + below(&random, 60));
        rider_readings_make(own, &history, n_weeks, &limits, &readings);
        struct scene scene = figure_ladder(&maker, &readings.progress);
        draw_check_sound(row, &scene);
        check_ladder_words(row, &scene, &readings.progress);
        scene = figure_base_tests(&maker, &history,
                                  below(&random, 2) == 0 ? INT64_MIN : TODAY - below(&random, 300),
                                  &limits);
        draw_check_sound(row, &scene);
        scene = figure_week_load(&maker, &readings.load);
        draw_check_sound(row, &scene);
        const struct rider_page page = { own, fonts, "Maren Oduya", TODAY };
        scene = rider_page_week(&page, &history, &readings, &limits);
        draw_check_sound(row, &scene);
        const struct reading *said[] = { &readings.how, &readings.base_state, &readings.easy_weeks,
                                         &readings.progress.joint, &readings.load.last };
        for (size_t i = 0; i < COUNT(said); i++) {
            check(has(&scene, said[i]->text));
            if (figure_gauge(&maker, said[i], true, &scene)) {
                draw_check_sound(row, &scene);
            }
            scene = rider_page_week(&page, &history, &readings, &limits);
        }
        arena_close(own);
    }
    fonts_close(fonts);
    arena_close(arena);
}

/* ---- the ladder says what was compared ---- */

static struct past_ride with_best(int64_t day, double power_w, unsigned evidence, bool race)
{
    struct past_ride ride = past_ride_begin(day, day);
    ride.marked = (evidence & EFFORT_MARKED) != 0;
    ride.race = race;
    ride.efforts[0] =
        (struct effort){ .duration_s = 1200, .power_w = power_w, .evidence = evidence };
    ride.n_efforts = 1;
    return ride;
}

static void check_ladder(struct fonts *fonts, struct past_ride rides[], size_t n,
                         const char *const words[], size_t n_words, size_t n_marks)
{
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct rider_history history = {
        .today = TODAY, .power_since_day = INT64_MIN, .rides = rides, .n_rides = n
    };
    struct rider_progress progress;
    rider_progress_read(arena, &history, PROGRESS_BEFORE, &limits, &progress);
    const struct scene scene =
        figure_ladder(&(struct figure_maker){ arena, fonts, 520.0 }, &progress);
    draw_check_sound("ladder", &scene);
    for (size_t i = 0; i < n_words; i++) {
        if (!has(&scene, words[i])) {
            check_text("ladder", draw_dump(&scene), words[i]);
        }
    }
    size_t marks = 0;
    for (size_t i = 0; i < scene.count; i++) {
        marks += scene.items[i].kind == ITEM_MARK ? 1 : 0;
    }
    check_integer("marks", (int64_t)marks, (int64_t)n_marks);
    arena_close(arena);
}

static void test_rider_figures__the_ladder_names_ranges_bests_and_why_not(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = draw_fonts(arena);
    const char *ranges = words_ranges(arena, TODAY - 41, TODAY + 1, TODAY - 83, TODAY - 41);
    /* 4 September 2026 is day 20700. */
    struct past_ride tested[] = { with_best(TODAY - 60, 240, EFFORT_MARKED, false),
                                  with_best(TODAY, 264, EFFORT_MARKED, true) };
    const char *const better[] = {
        ranges, "\"240\"", "\"264\"", "4 Sep, a race", "+1", "\"better\"", "none ridden so long"
    };
    check_ladder(fonts, tested, 2, better, COUNT(better), 2); /* its drop, and in the legend */
    struct past_ride tried[] = { with_best(TODAY - 60, 240, EFFORT_HEART, false),
                                 with_best(TODAY, 264, EFFORT_HEART, false) };
    const char *const few[] = { "4 Sep, all-out by heart rate",
                                "can't tell: 1 all-out before, 1 now" };
    check_ladder(fonts, tried, 2, few, COUNT(few), 0);
    struct past_ride ridden[] = { with_best(TODAY, 264, 0, false) };
    const char *const not_tested[] = { "\"264\"", "4 Sep",
                                       "not tested: nothing near all-out in these days" };
    check_ladder(fonts, ridden, 1, not_tested, COUNT(not_tested), 0);
    const char *const nothing[] = { "No ride with power in these days." };
    check_ladder(fonts, ridden, 0, nothing, 1, 0);
    fonts_close(fonts);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rider_figures__are_sound_whatever_the_history),
        cmocka_unit_test(test_rider_figures__the_ladder_names_ranges_bests_and_why_not),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
