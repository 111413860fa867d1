/* drawing/ride_figures.c: the figures of a ride, each a scene of its own. */
#include "drawing/ride_figures.h"

#include "coaching/words/figure_words.h"
#include "drawing/ride_parts.h"

static void say(struct scene *scene, const char *words)
{
    scene->height = figure_sentence(scene, 0.0, 0.0, scene->width, words) + 2.0;
}

struct scene figure_traces(const struct figure_maker *maker, const struct ride_page *page,
                           const struct reading *reading)
{
    struct scene scene = figure_begin(maker, "Power and heart rate");
    const struct recording *recording = page->recording;
    if (recording->value[CHANNEL_POWER] == NULL && recording->value[CHANNEL_HEART_RATE] == NULL) {
        say(&scene, words_no_traces());
        return scene;
    }
    scene.height = ride_traces_draw(&scene, 0.0, 2.0, scene.width, page, reading) + 2.0;
    return scene;
}

struct scene figure_reps(const struct figure_maker *maker, const struct ride_page *page)
{
    struct scene scene = figure_begin(maker, "Reps");
    if (page->readings->reps.count == 0) {
        say(&scene, words_no_reps());
        return scene;
    }
    scene.height = ride_reps_draw(&scene, 0.0, 2.0, scene.width, page) + 2.0;
    return scene;
}

struct scene figure_ride_bests(const struct figure_maker *maker, const struct ride_page *page)
{
    struct scene scene = figure_begin(maker, "Bests of the ride");
    if (page->readings->bests.count == 0) {
        say(&scene, words_no_power());
        return scene;
    }
    scene.height = ride_bests_draw(&scene, 0.0, 2.0, scene.width, page) + 2.0;
    return scene;
}
