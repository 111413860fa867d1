/* The page of every example ride: its sentences are there, nothing collides, nothing is clipped. */
#include "pages.h"

#include <dirent.h>
#include <spawn.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

extern char **environ;

static char folder[] = "/tmp/plumbline-pages-XXXXXX";

/* The rides that ./do demo makes. */
static int make_rides(void)
{
    char program[1024];
    (void)snprintf(program, sizeof program, "%s", PLUMBLINE_BINARY);
    (void)snprintf(strrchr(program, '/'), 32, "/demo/make-rides");
    char *const words[] = { program, folder, NULL };
    pid_t child = 0;
    int status = -1;
    const bool ran = mkdtemp(folder) != NULL &&
                     posix_spawn(&child, program, NULL, NULL, words, environ) == 0 &&
                     waitpid(child, &status, 0) == child;
    return ran ? status : -1;
}

/* The n-th file of the folder; NULL past the last. */
static const char *nth_ride(struct arena *arena, size_t n)
{
    struct dirent **names = NULL;
    const int count = scandir(folder, &names, NULL, alphasort);
    const char *path = NULL;
    size_t seen = 0;
    for (int i = 0; i < count; i++) {
        const size_t length = strlen(names[i]->d_name);
        if (length > 4 && strcmp(names[i]->d_name + length - 4, ".fit") == 0 && seen++ == n) {
            path = arena_format(arena, "%s/%s", folder, names[i]->d_name);
        }
        free(names[i]);
    }
    free(names);
    return path;
}

static const struct recording *read_ride(struct arena *arena, const char *path)
{
    struct error err = { 0 };
    struct bytes bytes = { 0 };
    const struct limits limits = limits_default();
    struct recordings recordings = { 0 };
    check(files_read(arena, path, 100u * 1000u * 1000u, &bytes, &err));
    check(recording_read(arena, bytes, &(struct read_options){ .file = path }, &limits, &recordings,
                         &err));
    return recordings.items[0];
}

static void test_ride_page__every_example_ride_is_whole_and_nothing_collides(void **state)
{
    (void)state;
    struct arena *outer = arena_open();
    struct fonts *fonts = open_fonts(outer);
    struct text faults = text_begin(outer, 100000);
    size_t n = 0;
    for (; nth_ride(outer, n) != NULL; n++) {
        struct arena *arena = arena_open();
        const char *path = nth_ride(arena, n);
        const struct recording *recording = read_ride(arena, path);
        for (int way = 0; way < WAYS; way++) {
            check_page(arena, fonts, path, recording, way, &faults);
        }
        arena_close(arena);
    }
    check_integer("rides", (int64_t)n, 20);
    check_no_faults(&faults);
    fonts_close(fonts);
    arena_close(outer);
}

static int count_words(const char *text, const char *words)
{
    int n = 0;
    for (const char *at = strstr(text, words); at != NULL; at = strstr(at + 1, words)) {
        n++;
    }
    return n;
}

/* What the page looks like to a reader: roles, words and figures in their order. */
static void test_ride_page__hard_work_stands_in_its_order(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = open_fonts(arena);
    const struct recording *recording = read_ride(
        arena, arena_format(arena, "%s/2026-03-10-vo2max-4x4-started-too-hard.fit", folder));
    const struct limits limits = limits_default();
    const struct rider_facts facts = facts_of(2);
    struct ride_readings readings = { 0 };
    struct error err = { 0 };
    check(reading_make(arena, recording, &facts, &limits, &readings, &err));
    const struct ride_source source = { "0", "rides/a.fit", "" };
    const struct ride_page page = { &source, recording, &facts, &readings };
    const struct scene scene = ride_page_draw(arena, fonts, &page);
    struct text dump = text_begin(arena, 8u * 1000u * 1000u);
    scene_dump(&scene, &dump);
    static const char *const order[] = {
        "begin title",
        "\"Indoor ride, 10 March 2026\"",
        "a.fit\"",
        "\"May it be trusted?\"",
        "mark full",
        "\"Was the hard work done as asked?\"",
        "mark hollow",
        "Started too hard in rep 3: 124 % in the first third",
        "begin figure 97 (likely 95 to 99) % of threshold, last third of rep 3.",
        "mark hollow",
        "begin figure Power, and heart rate under it, over 54 min.",
        "\"106\u2013120 % of threshold\"",
        "\"started too hard\"",
        "Because From the first rep to the last power fell by 30",
        "\"Is the base there?\"",
        "mark dotted",
        "No base test in this ride.",
        "Time in zones, by a threshold of 246 W",
        "begin figure",
        "\"384\"",
    };
    const char *at = dump.bytes;
    for (size_t i = 0; i < COUNT(order); i++) {
        const char *found = strstr(at, order[i]);
        if (found == NULL) {
            printf("# not there, or not in its place: %s; after %.300s\n", order[i], at);
        }
        check(found != NULL);
        at = found;
    }
    check_integer("the traces stand once", count_words(dump.bytes, "heart rate under it"), 1);
    check(scene.width >= 594.0 && scene.width <= 596.0 && scene.height >= 842.0);
    fonts_close(fonts);
    arena_close(arena);
}

static int take_away(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    for (const char *path = nth_ride(arena, 0); path != NULL; path = nth_ride(arena, 0)) {
        (void)unlink(path);
    }
    (void)rmdir(folder);
    arena_close(arena);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ride_page__every_example_ride_is_whole_and_nothing_collides),
        cmocka_unit_test(test_ride_page__hard_work_stands_in_its_order),
    };
    if (make_rides() != 0) {
        printf("Bail out! the example rides can't be made\n");
        return 1;
    }
    return cmocka_run_group_tests(tests, NULL, take_away);
}
