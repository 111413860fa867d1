/* drawing/pages.h: pages of recordings, held against what every page must keep. */
#ifndef TESTS_DRAWING_PAGES_H
#define TESTS_DRAWING_PAGES_H

#include "check.h"

#include "base/data.h"
#include "drawing/ride_figures.h"
#include "drawing/ride_page.h"

#include <stdio.h>
#include <string.h>

static struct fonts *open_fonts(struct arena *arena)
{
    struct error err = { 0 };
    const char *folder = NULL;
    struct fonts *fonts = NULL;
    check(data_find(arena, "fonts", &folder, &err));
    check(fonts_open(folder, &fonts, &err));
    return fonts;
}

/* What may be known and asked: each changes what stands on a page. */
static struct rider_facts facts_of(int way)
{
    struct rider_facts facts = facts_unknown();
    if (way == 0) {
        return facts;
    }
    facts.threshold_w = 246.0;
    facts.threshold_known_by = "given";
    facts.max_heart_rate_bpm = 189.0;
    if (way == 1) {
        facts.kind = KIND_BASE_TEST;
    } else if (way == 2) {
        facts.kind = KIND_VO2MAX;
        facts.target.low_pct = 106.0;
        facts.target.high_pct = 120.0;
        facts.reps_asked = 4;
        facts.rep_duration_s = 240.0;
    } else if (way == 3) {
        facts.threshold_w = 150.0; /* far too low: much lies beyond every scale */
        facts.threshold_low_w = 120.0;
        facts.threshold_high_w = 190.0;
        facts.kind = KIND_EASY;
    }
    return facts;
}
enum { WAYS = 4 };

/* Its figures alone, narrow and wide: nothing collides, nothing is clipped. */
static void check_figures(struct arena *arena, struct fonts *fonts, const struct ride_page *page,
                          struct text *found)
{
    static const double widths[] = { 0.0, 215.0, 333.0, 520.0, 1200.0, 1e6 };
    for (size_t i = 0; i < sizeof widths / sizeof widths[0]; i++) {
        const struct figure_maker maker = { arena, fonts, widths[i] };
        const struct reading *hard = NULL;
        for (size_t k = 0; k < page->readings->count; k++) {
            const struct reading *reading = &page->readings->items[k];
            hard = reading->question == QUESTION_HARD_WORK && hard == NULL ? reading : hard;
        }
        const struct scene scenes[] = { figure_traces(&maker, page, i % 2 == 0 ? NULL : hard),
                                        figure_reps(&maker, page),
                                        figure_ride_bests(&maker, page) };
        for (size_t k = 0; k < sizeof scenes / sizeof scenes[0]; k++) {
            scene_faults(&scenes[k], found);
            if (scenes[k].height < 8.0 || scenes[k].count == 0) {
                text_add_format(found, "nothing in %s\n", scenes[k].title);
            }
        }
    }
}

/* Adds a line for everything that is wrong with the page of one recording. */
static void check_page(struct arena *arena, struct fonts *fonts, const char *name,
                       const struct recording *recording, int way, struct text *faults)
{
    const struct limits limits = limits_default();
    const struct rider_facts facts = facts_of(way);
    struct ride_readings readings = { 0 };
    struct error err = { 0 };
    check(reading_make(arena, recording, &facts, &limits, &readings, &err));
    const struct ride_source source = { "0", name, "" };
    const struct ride_page page = { &source, recording, &facts, &readings };
    const struct scene scene = ride_page_draw(arena, fonts, &page);
    struct text found = text_begin(arena, 100000);
    scene_faults(&scene, &found);
    check_figures(arena, fonts, &page, &found);
    struct text dump = text_begin(arena, 8u * 1000u * 1000u);
    scene_dump(&scene, &dump);
    for (size_t i = 0; i < readings.count; i++) {
        const struct reading *reading = &readings.items[i];
        if (reading->set == 0 && reading->rep == 0 && strstr(dump.bytes, reading->text) == NULL) {
            text_add_format(&found, "not said: %s\n", reading->text);
        }
    }
    for (size_t i = 0; i < readings.cautions.count; i++) {
        const char *caution = strstr(dump.bytes, readings.cautions.items[i].text);
        const char *trust = strstr(dump.bytes, "May it be trusted?");
        if (caution == NULL || trust == NULL || caution > trust) {
            text_add(&found, "a caution doesn't stand first\n");
        }
    }
    if (found.length > 0) {
        text_add_format(faults, "%s, facts %d: %s", name, way, found.bytes);
    }
}

/* Prints what was found and fails if anything was. */
static void check_no_faults(const struct text *faults)
{
    for (char *line = strtok(faults->bytes, "\n"); line != NULL; line = strtok(NULL, "\n")) {
        printf("# %s\n", line);
    }
    check_integer("bytes of faults", (int64_t)faults->length, 0);
}

#endif
