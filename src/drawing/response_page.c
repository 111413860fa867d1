/* drawing/response_page.c: a figure of response and power as one page. */
#include "drawing/response_page.h"

#include "drawing/page_parts.h"

static const double LEFT = PAGE_MARGIN + PAGE_HANG;
static const double WIDTH = PAGE_WIDTH - 2.0 * PAGE_MARGIN - PAGE_HANG;

static struct page_hand begin(const struct rider_page *page, const struct response_said *said,
                              struct scene *scene)
{
    const char *title = arena_format(page->arena, "%s: %s", page->name, said->what);
    *scene = scene_begin(page->arena, page->fonts, title, PAGE_WIDTH);
    scene->date_utc = page->today * 86400;
    struct page_hand hand = { .scene = scene };
    page_title(&hand, title, said->under);
    hand.y += 8.0;
    for (size_t i = 0; i < said->n; i++) {
        const struct run run = { said->sentences[i], FACE_SERIF, COLOUR_INK };
        scene_begin_part(scene, ROLE_PARAGRAPH, NULL);
        const struct place place =
            scene_paragraph(scene, LEFT, hand.y, PAGE_MEASURE, PAGE_BODY, &run, 1);
        scene_end_part(scene);
        hand.y = place.y + place.height + 5.0;
    }
    hand.y += 6.0;
    return hand;
}

static struct scene end(const struct page_hand *hand, double y)
{
    hand->scene->height = y + PAGE_MARGIN - 10.0;
    return *hand->scene;
}

/* The page has said why already. */
static const char *already_said(const struct response_said *said, const char *otherwise)
{
    return said->n > 0 ? "Nothing is drawn for that reason." : otherwise;
}

struct scene response_page_critical(const struct rider_page *page, const struct response_said *said,
                                    const struct rider_power *power)
{
    struct scene scene;
    const struct page_hand hand = begin(page, said, &scene);
    return end(&hand, response_durations_draw(&scene, LEFT, hand.y, WIDTH, power,
                                              power->n_efforts > 0 ? "The efforts alone:"
                                                                   : already_said(said, NULL)));
}

struct scene response_page_weeks(const struct rider_page *page, const struct response_said *said,
                                 const struct heart_weeks *weeks, const struct limits *limits)
{
    struct scene scene;
    const struct page_hand hand = begin(page, said, &scene);
    struct heart_weeks own = *weeks;
    own.instead = already_said(said, weeks->instead);
    return end(&hand, response_heart_weeks_draw(&scene, LEFT, hand.y, WIDTH, &own, limits));
}

struct scene response_page_ride(const struct rider_page *page, const struct response_said *said,
                                const struct heart_ride *ride, const struct ride_balance *balance,
                                const struct limits *limits)
{
    struct scene scene;
    const struct page_hand hand = begin(page, said, &scene);
    double y = response_heart_ride_draw(&scene, LEFT, hand.y, WIDTH, ride, limits);
    if (balance != NULL && balance->end == BALANCE_KNOWN) {
        y = response_left_draw(&scene, LEFT, y + 16.0, WIDTH, ride->recording, balance, NULL);
    }
    return end(&hand, y);
}

struct scene response_page_teaching(const struct rider_page *page, const struct response_said *said,
                                    const struct teaching *teaching)
{
    struct scene scene;
    const struct page_hand hand = begin(page, said, &scene);
    return end(&hand, response_teaching_draw(&scene, LEFT, hand.y, WIDTH, teaching,
                                             already_said(said, NULL)));
}
