/* tests/simulated/test_season.c: the nine months of the example are what their stories say. */
#include "check.h"

#include "recording/fit_read.h"
#include "simulated/season.h"

#include <math.h>
#include <string.h>

static void test_season__fourteen_riders_ride_some_1500_times_in_order(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    size_t all = 0;
    for (size_t s = 0; s < simulated_story_count; s++) {
        struct season_ride *rides = NULL;
        size_t n = 0;
        season_rides(arena, &simulated_stories[s], &rides, &n);
        all += n;
        check(n >= 80 && n <= 140);
        for (size_t i = 0; i < n; i++) {
            check(i == 0 || rides[i].day > rides[i - 1].day);
            check(rides[i].day < 7 * SEASON_WEEKS);
            for (size_t k = 0; k < STORY_SPANS; k++) {
                const struct story_span *span = &simulated_stories[s].spans[k];
                check(rides[i].day < span->from_day || rides[i].day >= span->to_day);
            }
        }
    }
    check_integer("riders", (int64_t)simulated_story_count, 14);
    check(all >= 1400 && all <= 1600);
    arena_close(arena);
}

/* What is planned is what is ridden and what is missed; weeks to come change nothing before them.
 */
static void test_season__planned_rides_are_those_ridden_and_those_missed(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    for (size_t s = 0; s < simulated_story_count; s++) {
        struct season_ride *rides = NULL;
        struct season_ride *planned = NULL;
        size_t n = 0;
        size_t n_planned = 0;
        size_t at = 0;
        size_t coming = 0;
        season_rides(arena, &simulated_stories[s], &rides, &n);
        season_planned(arena, &simulated_stories[s], 0, SEASON_WEEKS + 1, &planned, &n_planned);
        for (size_t i = 0; i < n_planned; i++) {
            const bool is_past = planned[i].day < 7 * SEASON_WEEKS;
            coming += is_past ? 0 : 1;
            if (is_past && !planned[i].missed) {
                check(at < n && rides[at].day == planned[i].day &&
                      rides[at].seed == planned[i].seed && rides[at].outing == planned[i].outing &&
                      rides[at].number == planned[i].number);
                at++;
            }
        }
        check_integer("ridden", (int64_t)at, (int64_t)n);
        check(n_planned > n + coming && coming >= 1 && coming <= STORY_SLOTS);
    }
    arena_close(arena);
}

static void test_season__the_same_ride_is_the_same_bytes(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct season_ride *rides = NULL;
    struct error err = { 0 };
    size_t n = 0;
    season_rides(arena, &simulated_stories[6], &rides, &n);
    for (size_t i = 0; i < n; i += 20) {
        struct season_files first = { 0 };
        struct season_files second = { 0 };
        must(season_write(arena, &rides[i], &first, &err), &err);
        must(season_write(arena, &rides[i], &second, &err), &err);
        check_text("name", second.name, first.name);
        check(first.bytes.size == second.bytes.size &&
              memcmp(first.bytes.at, second.bytes.at, first.bytes.size) == 0);
    }
    arena_close(arena);
}

/* 0.95 of the 20 minutes is the threshold that the rider has that day, by the meter of the day;
 * riders pace within a few per cent (one sd of the plan is 1 %), the left leg varies by 1.5 %. */
static void test_season__tests_show_the_threshold_of_their_day(void **state)
{
    (void)state;
    size_t tests = 0;
    for (size_t s = 0; s < simulated_story_count; s++) {
        struct arena *arena = arena_open();
        const struct simulated_story *story = &simulated_stories[s];
        struct season_ride *rides = NULL;
        size_t n = 0;
        season_rides(arena, story, &rides, &n);
        for (size_t i = 0; i < n; i++) {
            struct season_files files = { 0 };
            struct error err = { 0 };
            if (rides[i].outing != SIMULATED_OUTING_TEST) {
                continue;
            }
            must(season_write(arena, &rides[i], &files, &err), &err);
            const bool second =
                story->meters[1].serial != 0 && rides[i].day / 7 >= story->meters[1].from_week;
            const double truth = story_value(story->threshold_w, rides[i].day / 7.0) *
                                 story->meters[second ? 1 : 0].scale;
            check_near(story->name, 0.95 * files.test_w / truth, 1.0, 0.06);
            check(isnan(files.heart_max_bpm) ||
                  files.heart_max_bpm <= story->max_heart_rate_bpm + 0.5);
            tests++;
        }
        arena_close(arena);
    }
    check(tests >= 45);
}

/* What the reader from outside the simulator finds in the files: the meter by its serial, no power
 * where there is no meter, another sport. */
static void test_season__files_say_what_recorded(void **state)
{
    (void)state;
    size_t without = 0;
    size_t runs = 0;
    for (size_t s = 6; s < simulated_story_count; s += 6) { /* trainer only; runs in winter */
        struct arena *arena = arena_open();
        const struct limits limits = limits_default();
        const struct read_options options = { .file = "season.fit" };
        struct season_ride *rides = NULL;
        size_t n = 0;
        season_rides(arena, &simulated_stories[s], &rides, &n);
        for (size_t i = 0; i < n; i += 3) {
            struct season_files files = { 0 };
            struct recordings read = { 0 };
            struct error err = { 0 };
            must(season_write(arena, &rides[i], &files, &err), &err);
            must(fit_read(arena, files.bytes, &options, &limits, &read, &err), &err);
            const struct recording *recording = read.items[0];
            const bool run = rides[i].outing == SIMULATED_OUTING_RUN;
            const bool has_power =
                !run && !(simulated_stories[s].trainer_only && rides[i].outdoors);
            check_integer("power", recording->value[CHANNEL_POWER] != NULL, has_power);
            check_integer("is a ride", recording->is_ride, !run);
            without += has_power ? 0 : 1;
            runs += run ? 1 : 0;
            bool meter = false;
            for (size_t k = 0; k < recording->n_sensors; k++) {
                meter =
                    meter || recording->sensors[k].serial == simulated_stories[s].meters[0].serial;
            }
            check_integer("meter", meter, has_power);
        }
        arena_close(arena);
    }
    check(without > 10 && runs >= 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_season__fourteen_riders_ride_some_1500_times_in_order),
        cmocka_unit_test(test_season__planned_rides_are_those_ridden_and_those_missed),
        cmocka_unit_test(test_season__the_same_ride_is_the_same_bytes),
        cmocka_unit_test(test_season__tests_show_the_threshold_of_their_day),
        cmocka_unit_test(test_season__files_say_what_recorded),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
