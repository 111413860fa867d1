/* The example rides: the same bytes at every run, read back as what they were made to be; and a
 * simulated ride that goes through the bytes of a file is the one that doesn't. */
#include "check.h"

#include "recording/fit_write.h"
#include "recording/recording.h"
#include "simulated/plans.h"

#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

extern char **environ;

static const struct {
    const char *name;
    const char *finding; /* NULL = none that masks, spoils or notes power and heart rate */
} FILES[] = {
    { "2026-01-13-base-hour-not-passed", NULL },
    { "2026-02-03-base-hour-eased-off", NULL },
    { "2026-03-03-base-hour-passed", NULL },
    { "2026-03-10-vo2max-4x4-started-too-hard", NULL },
    { "2026-03-17-vo2max-4x4-done", NULL },
    { "2026-03-24-vo2max-4x4-done-outdoors", NULL },
    { "2026-03-27-short-efforts-30-30", NULL },
    { "2026-03-29-long-ride-cafe", NULL },
    { "2026-04-02-fault-power-spike", "power-spike" },
    { "2026-04-04-fault-power-missing", "power-dropout" },
    { "2026-04-06-fault-power-zero", "power-dropout" },
    { "2026-04-08-fault-power-stuck", "power-stuck" },
    { "2026-04-10-fault-trainer-held", "trainer-held" },
    { "2026-04-12-fault-heart-missing", "heart-dropout" },
    { "2026-04-14-fault-heart-flat", "heart-flat" },
    { "2026-04-16-fault-heart-jump", "heart-jump" },
    { "2026-04-18-fault-cadence-lock", "cadence-lock" },
    /* only the rider's facts show heart rate above maximal: no finding of the recording's own */
    { "2026-04-20-fault-heart-above-max", NULL },
    { "2026-04-22-fault-balance-drift", "balance-drift" },
    { "2026-04-24-fault-hot", "hot" },
};

static char folder[2][64];

static int make_rides_in(char *where)
{
    char program[1024];
    (void)snprintf(program, sizeof program, "%s", PLUMBLINE_BINARY);
    (void)snprintf(strrchr(program, '/'), 32, "/demo/make-rides");
    char *const words[] = { program, where, NULL };
    pid_t child = 0;
    int status = -1;
    if (posix_spawn(&child, program, NULL, NULL, words, environ) != 0 ||
        waitpid(child, &status, 0) != child) {
        return -1;
    }
    return status;
}

static int make_folders(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        (void)snprintf(folder[i], sizeof folder[i], "/tmp/plumbline-demo-XXXXXX");
        if (mkdtemp(folder[i]) == NULL || make_rides_in(folder[i]) != 0) {
            return -1;
        }
    }
    return 0;
}

static int remove_folders(void **state)
{
    (void)state;
    char path[512];
    for (int i = 0; i < 2; i++) {
        for (size_t k = 0; k < COUNT(FILES); k++) {
            (void)snprintf(path, sizeof path, "%s/%s.fit", folder[i], FILES[k].name);
            (void)unlink(path);
        }
        (void)rmdir(folder[i]);
    }
    return 0;
}

static struct bytes read_ride(struct arena *arena, int i, const char *name)
{
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    const char *path = arena_format(arena, "%s/%s.fit", folder[i], name);
    const bool read = files_read(arena, path, 10000000, &bytes, &err);
    check_text(name, read ? "" : err.message, "");
    return bytes;
}

static struct recording *decode(struct arena *arena, struct bytes bytes, const char *name)
{
    const struct limits limits = limits_default();
    const struct read_options options = { .file = name };
    struct recordings got = { 0 };
    struct error err = { 0 };
    const bool read = recording_read(arena, bytes, &options, &limits, &got, &err);
    check_text(name, read ? "" : err.message, "");
    check_text(name, got.damage, NULL);
    check_integer(name, (int64_t)got.count, 1);
    return got.items[0];
}

static void test_demo__writes_the_same_bytes_at_every_run(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    for (size_t i = 0; i < COUNT(FILES); i++) {
        const struct bytes a = read_ride(arena, 0, FILES[i].name);
        const struct bytes b = read_ride(arena, 1, FILES[i].name);
        check_integer(FILES[i].name, (int64_t)a.size, (int64_t)b.size);
        check(memcmp(a.at, b.at, a.size) == 0);
    }
    arena_close(arena);
}

static bool has_finding(const struct recording *recording, const char *code)
{
    for (size_t i = 0; i < recording->n_findings; i++) {
        if (strcmp(recording->findings[i].code, code) == 0) {
            return true;
        }
    }
    return false;
}

static void test_demo__each_ride_shows_its_own_fault_and_no_other(void **state)
{
    (void)state;
    static const char *const codes[] = { "power-spike",  "power-dropout", "power-stuck",
                                         "trainer-held", "heart-dropout", "heart-flat",
                                         "heart-jump",   "cadence-lock",  "balance-drift",
                                         "hot" };
    for (size_t i = 0; i < COUNT(FILES); i++) {
        struct arena *arena = arena_open();
        const struct recording *recording =
            decode(arena, read_ride(arena, 0, FILES[i].name), FILES[i].name);
        check(recording->is_ride);
        for (size_t k = 0; k < COUNT(codes); k++) {
            const bool wanted = FILES[i].finding != NULL && strcmp(FILES[i].finding, codes[k]) == 0;
            check_text(FILES[i].name, has_finding(recording, codes[k]) ? codes[k] : "none",
                       wanted ? codes[k] : "none");
        }
        arena_close(arena);
    }
}

static void test_demo__long_ride_stops_at_a_cafe_and_laps_are_pressed(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const char *name = "2026-03-29-long-ride-cafe";
    const struct recording *recording = decode(arena, read_ride(arena, 0, name), name);
    check_integer("pauses", (int64_t)recording->n_pauses, 1);
    check_near("26 min", recording->pauses[0].to_s - recording->pauses[0].from_s, 1560, 2);
    check_integer("laps", (int64_t)recording->n_laps, 9);
    check(recording->place == PLACE_OUTDOORS);
    check(recording->value[CHANNEL_TEMPERATURE] != NULL);
    check(recording->value[CHANNEL_LATITUDE] != NULL);
    arena_close(arena);
}

/* Through a file and back: the grid of the short way and of the long way are the same. */
static void test_recording__equals_the_ride_that_went_through_bytes(void **state)
{
    (void)state;
    static const enum channel channels[] = { CHANNEL_POWER, CHANNEL_HEART_RATE, CHANNEL_CADENCE };
    const struct limits limits = limits_default();
    for (uint64_t seed = 0; seed < 4; seed++) {
        struct arena *arena = arena_open();
        const struct simulated_rider rider = simulated_rider_draw(seed);
        struct simulated_plan plan = simulated_plan_make(
            arena, &rider, seed % 2 == 0 ? SIMULATED_BASE_HOUR : SIMULATED_VO2MAX_DONE, seed >= 2,
            seed);
        plan.device.without_cadence = false;
        const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
        const struct recording *near = simulated_recording(arena, &ride, &plan, &limits);
        const struct fit_activity activity = {
            .start_utc = plan.start_utc,
            .sport = SPORT_CYCLING,
            .place = near->place,
            .samples = ride.samples,
        };
        struct bytes bytes = { 0 };
        struct error err = { 0 };
        check(fit_write(arena, &activity, &bytes, &err));
        const struct recording *far = decode(arena, bytes, "simulated");
        check_integer("seconds", (int64_t)far->n_seconds, (int64_t)near->n_seconds);
        check(far->place == near->place && far->start_utc == near->start_utc);
        for (size_t c = 0; c < COUNT(channels); c++) {
            check(memcmp(far->value[channels[c]], near->value[channels[c]],
                         near->n_seconds * sizeof(int32_t)) == 0);
            check(memcmp(far->mask[channels[c]], near->mask[channels[c]], near->n_seconds) == 0);
        }
        arena_close(arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_demo__writes_the_same_bytes_at_every_run),
        cmocka_unit_test(test_demo__each_ride_shows_its_own_fault_and_no_other),
        cmocka_unit_test(test_demo__long_ride_stops_at_a_cafe_and_laps_are_pressed),
        cmocka_unit_test(test_recording__equals_the_ride_that_went_through_bytes),
    };
    return cmocka_run_group_tests(tests, make_folders, remove_folders);
}
