/* drawing/rider_page.h: readings about a rider as one page: the sentence, its gauge, the figure
 * that proves it, because and what would settle it.
 *
 * As wide as A4 and as high as it needs.  Scenes live in the arena; fonts must outlive them. */
#ifndef DRAWING_RIDER_PAGE_H
#define DRAWING_RIDER_PAGE_H

#include "coaching/rider_readings.h"
#include "drawing/power_curves.h"
#include "drawing/scene.h"

struct rider_page {
    struct arena *arena;
    struct fonts *fonts;
    const char *name;
    int64_t today;
};

/* All questions of a week; base tests, the ladder and the weeks' hours under theirs. */
struct scene rider_page_week(const struct rider_page *page, const struct rider_history *history,
                             const struct rider_readings *readings, const struct limits *limits);

struct scene rider_page_progress(const struct rider_page *page,
                                 const struct rider_progress *progress);

struct scene rider_page_load(const struct rider_page *page, const struct load_weeks *load);

/* A best of a range that is shown alone. */
struct page_best {
    int32_t duration_s;
    double power_w;
    int64_t day; /* INT64_MIN = not known */
    bool at_least;
};

/* Bests of a range: alone, or where progress isn't NULL the ladder against another range. */
struct page_bests {
    const struct page_best *bests; /* [n_bests] short to long */
    size_t n_bests;
    const struct rider_progress *progress;
    struct power_curve curve;
    struct power_curve against; /* used where progress isn't NULL */
};
struct scene rider_page_bests(const struct rider_page *page, const struct page_bests *bests);

#endif
