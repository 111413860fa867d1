/* drawing/rider_page.c: readings about a rider as one page. */
#include "drawing/rider_page.h"

#include "base/dates.h"
#include "coaching/words/figure_words.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/words.h"
#include "drawing/date_axis.h"
#include "drawing/ladder.h"
#include "drawing/page_parts.h"
#include "drawing/rider_figures.h"

#include <math.h>

static const double LEFT = PAGE_MARGIN + PAGE_HANG;
static const double WIDTH = PAGE_WIDTH - 2.0 * PAGE_MARGIN - PAGE_HANG;

static struct page_hand begin(const struct rider_page *page, struct scene *scene, const char *what,
                              const char *under)
{
    const char *title = arena_format(page->arena, "%s: %s", page->name, what);
    *scene = scene_begin(page->arena, page->fonts, title, PAGE_WIDTH);
    scene->date_utc = page->today * 86400;
    struct page_hand hand = { .scene = scene };
    page_title(&hand, title, under);
    return hand;
}

static void end(const struct page_hand *hand)
{
    hand->scene->height = hand->y + PAGE_MARGIN - 10.0;
}

/* Heading, sentence and gauge; what follows proves it. */
static void add_answer(struct page_hand *hand, const struct reading *reading, bool with_gauge)
{
    page_heading(hand, words_question(reading->question));
    page_verdict(hand, reading);
    if (with_gauge) {
        page_gauge(hand, reading);
    }
}

static void add_question(struct page_hand *hand, const struct reading *reading)
{
    add_answer(hand, reading, true);
    page_reading_notes(hand, reading);
}

static void add_base(struct page_hand *hand, const struct rider_history *history,
                     const struct reading *reading, const struct limits *limits)
{
    add_answer(hand, reading, false);
    hand->y =
        rider_base_tests_draw(hand->scene, LEFT, hand->y + 4.0, WIDTH, history, INT64_MIN, limits) +
        4.0;
    page_reading_notes(hand, reading);
}

static void add_progress(struct page_hand *hand, const struct rider_progress *progress)
{
    add_answer(hand, &progress->joint, true);
    hand->y = rider_ladder_draw(hand->scene, LEFT, hand->y + 6.0, WIDTH, progress) + 4.0;
    page_reading_notes(hand, &progress->joint);
    add_question(hand, &progress->stalled);
}

static void add_load(struct page_hand *hand, const struct load_weeks *load)
{
    add_answer(hand, &load->last, false);
    page_verdict(hand, &load->now);
    hand->y = rider_week_load_draw(hand->scene, LEFT, hand->y + 4.0, WIDTH, load) + 4.0;
    page_reading_notes(hand, &load->last);
}

struct scene rider_page_week(const struct rider_page *page, const struct rider_history *history,
                             const struct rider_readings *readings, const struct limits *limits)
{
    struct scene scene;
    struct page_hand hand = begin(page, &scene, "this week", words_day(page->arena, page->today));
    add_question(&hand, &readings->how);
    if (readings->comeback.reading.verdict != VERDICT_NO_BREAK) {
        add_question(&hand, &readings->comeback.reading);
    }
    add_base(&hand, history, &readings->base_state, limits);
    add_question(&hand, &readings->base_trend.reading);
    add_question(&hand, &readings->easy_weeks);
    add_progress(&hand, &readings->progress);
    add_load(&hand, &readings->load);
    end(&hand);
    return scene;
}

struct scene rider_page_progress(const struct rider_page *page,
                                 const struct rider_progress *progress)
{
    struct scene scene;
    struct page_hand hand = begin(page, &scene, "progress", words_day(page->arena, page->today));
    add_progress(&hand, progress);
    end(&hand);
    return scene;
}

struct scene rider_page_load(const struct rider_page *page, const struct load_weeks *load)
{
    struct scene scene;
    struct page_hand hand = begin(page, &scene, "load", words_day(page->arena, page->today));
    add_load(&hand, load);
    end(&hand);
    return scene;
}

/* ---- bests ---- */

/* Neighbouring seconds say the same thing: of the sprints 1, 5 and 10 s. */
static bool is_shown(const struct page_best *best)
{
    return best->duration_s == 1 || best->duration_s == 5 || best->duration_s >= 10;
}

static void add_bests_alone(struct page_hand *hand, const struct page_bests *bests)
{
    struct arena *arena = hand->scene->arena;
    const double none = (double)NAN;
    struct ladder_row *rows = ARENA_ARRAY(arena, struct ladder_row, bests->n_bests);
    size_t n = 0;
    for (size_t i = 0; i < bests->n_bests; i++) {
        const struct page_best *best = &bests->bests[i];
        if (is_shown(best)) {
            rows[n++] = (struct ladder_row){
                .lasting = words_duration(arena, best->duration_s),
                .best_w = best->power_w,
                .low_w = none,
                .high_w = none,
                .at_least = best->at_least,
                .where = best->day == INT64_MIN ? NULL : date_axis_day(arena, best->day, true),
                .change_pct = none,
                .change_low_pct = none,
                .change_high_pct = none,
            };
        }
    }
    const struct ladder ladder = { .rows = rows, .n_rows = n };
    hand->y = ladder_draw(hand->scene, LEFT, hand->y, WIDTH, &ladder);
}

struct scene rider_page_bests(const struct rider_page *page, const struct page_bests *bests)
{
    struct scene scene;
    struct page_hand hand = begin(page, &scene, "bests", bests->curve.words);
    hand.y += 8.0;
    if (bests->progress != NULL) {
        hand.y = rider_ladder_draw(&scene, LEFT, hand.y, WIDTH, bests->progress);
    } else {
        add_bests_alone(&hand, bests);
    }
    const double top = hand.y + 16.0;
    hand.y = power_curves_draw(&scene, LEFT, top, WIDTH, &bests->curve,
                               bests->progress == NULL ? NULL : &bests->against);
    if (bests->curve.n == 0 && (bests->progress == NULL || bests->against.n == 0)) {
        const struct run run = { words_no_bests(), FACE_SERIF, COLOUR_INK };
        scene_begin_part(&scene, ROLE_PARAGRAPH, NULL);
        const struct place place = scene_paragraph(&scene, LEFT, top, WIDTH, PAGE_BODY, &run, 1);
        scene_end_part(&scene);
        hand.y = place.y + place.height;
    }
    end(&hand);
    return scene;
}
