/* drawing/rider_figures.c: the figures about a rider, each a scene of its own. */
#include "drawing/rider_figures.h"

#include "coaching/gauge.h"
#include "drawing/gauge.h"

#include <math.h>

static struct scene begin(const struct figure_maker *maker, const char *title)
{
    const double width =
        fmin(fmax(maker->width, RIDER_FIGURE_NARROWEST), (double)RIDER_FIGURE_WIDEST);
    return scene_begin(maker->arena, maker->fonts, title, width);
}

bool figure_gauge(const struct figure_maker *maker, const struct reading *reading,
                  bool with_bar_words, struct scene *out)
{
    struct gauge gauge;
    if (!reading_gauge(maker->arena, reading, &gauge)) {
        return false;
    }
    *out = begin(maker, gauge_in_words(maker->arena, &gauge));
    out->height = gauge_draw(out, 0.0, 2.0, out->width, &gauge, with_bar_words);
    return true;
}

struct scene figure_ladder(const struct figure_maker *maker, const struct rider_progress *progress)
{
    (void)progress;
    return begin(maker, "Bests and how they changed");
}

struct scene figure_base_tests(const struct figure_maker *maker,
                               const struct rider_history *history, int64_t from_day,
                               const struct limits *limits)
{
    (void)history;
    (void)from_day;
    (void)limits;
    return begin(maker, "Base tests");
}

struct scene figure_week_load(const struct figure_maker *maker, const struct load_weeks *load)
{
    (void)load;
    return begin(maker, "Hours, week by week");
}

struct scene figure_curves(const struct figure_maker *maker, const struct figure_curve *curve,
                           const struct figure_curve *against)
{
    (void)curve;
    (void)against;
    return begin(maker, "Mean power against duration");
}
