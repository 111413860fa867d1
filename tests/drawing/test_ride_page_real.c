/* The page of every real recording: nothing collides or is clipped, whatever the device wrote. */
#include "pages.h"

#include <dirent.h>
#include <stdlib.h>

/* Unzipped and gunzipped as `read` does it is not needed here: such files hold the same rides. */
static void check_file(struct fonts *fonts, const char *folder, const char *name,
                       struct text *faults, int *pages)
{
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct bytes bytes =
        check_shared_file(arena, arena_format(arena, "recordings/%s/%s", folder, name));
    struct recordings recordings = { 0 };
    struct error err = { 0 };
    if (recording_read(arena, bytes, &(struct read_options){ .file = name }, &limits, &recordings,
                       &err)) {
        for (size_t i = 0; i < recordings.count; i++) {
            check_page(arena, fonts, name, recordings.items[i], *pages % WAYS, faults);
            check_page(arena, fonts, name, recordings.items[i], (*pages + 2) % WAYS, faults);
            (*pages)++;
        }
    }
    arena_close(arena);
}

static void test_ride_page__every_real_recording_is_whole_and_nothing_collides(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fonts *fonts = open_fonts(arena);
    struct text faults = text_begin(arena, 1000000);
    int pages = 0;
    static const char *const folders[] = { "real", "odd" };
    for (size_t f = 0; f < COUNT(folders); f++) {
        struct dirent **names = NULL;
        const char *path = arena_format(arena, "%s/recordings/%s", check_shared(), folders[f]);
        const int count = scandir(path, &names, NULL, alphasort);
        check(count > 2);
        for (int i = 0; i < count; i++) {
            if (names[i]->d_name[0] != '.') {
                check_file(fonts, folders[f], names[i]->d_name, &faults, &pages);
            }
            free(names[i]);
        }
        free(names);
    }
    check(pages > 40);
    check_no_faults(&faults);
    fonts_close(fonts);
    arena_close(arena);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ride_page__every_real_recording_is_whole_and_nothing_collides),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
