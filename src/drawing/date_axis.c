/* drawing/date_axis.c: days along an axis. */
#include "drawing/date_axis.h"

#include "base/dates.h"

#include <math.h>

static const char *const months[] = { "Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                      "Jul", "Aug", "Sep", "Oct", "Nov", "Dec" };

/* Weeks or months; years are twelve months. */
static const struct date_step {
    int weeks;
    int months;
} date_steps[] = { { 1, 0 },   { 2, 0 },   { 0, 1 },    { 0, 2 },   { 0, 3 },
                   { 0, 6 },   { 0, 12 },  { 0, 24 },   { 0, 60 },  { 0, 120 },
                   { 0, 240 }, { 0, 600 }, { 0, 1200 }, { 0, 2400 } };

enum { TICKS_MOST = 60 };

char *date_axis_day(struct arena *arena, int64_t day, bool with_year)
{
    const struct civil civil = dates_civil_from_utc(day * 86400);
    const char *month = months[civil.month - 1];
    return with_year ? arena_format(arena, "%d %s %lld", civil.day, month, (long long)civil.year)
                     : arena_format(arena, "%d %s", civil.day, month);
}

static const char *label_of(struct arena *arena, const struct date_step *step, int64_t day,
                            bool with_year)
{
    if (step->weeks > 0) {
        return date_axis_day(arena, day, with_year);
    }
    const struct civil civil = dates_civil_from_utc(day * 86400);
    if (step->months >= 12) {
        return arena_format(arena, "%lld", (long long)civil.year);
    }
    return with_year
               ? arena_format(arena, "%s %lld", months[civil.month - 1], (long long)civil.year)
               : months[civil.month - 1];
}

/* Rounded down, also below zero. */
static int64_t floor_to(int64_t value, int64_t step)
{
    const int64_t rest = value % step;
    return value - (rest < 0 ? rest + step : rest);
}

/* The first tick that is not before day; months count from year 0, Mondays from 5 January 1970. */
static int64_t first_tick(const struct date_step *step, int64_t day)
{
    if (step->weeks > 0) {
        const int64_t days = 7 * step->weeks;
        return floor_to(day - 4 + days - 1, days) + 4;
    }
    const struct civil civil = dates_civil_from_utc(day * 86400);
    int64_t month = floor_to(civil.year * 12 + civil.month - 1, step->months);
    int64_t found = dates_days_from_civil(floor_to(month, 12) / 12, (int)(month % 12) + 1, 1);
    while (found < day) {
        month += step->months;
        found = dates_days_from_civil(month / 12, (int)(month % 12) + 1, 1);
    }
    return found;
}

static int64_t year_of(int64_t day)
{
    return dates_civil_from_utc(day * 86400).year;
}

/* False if there are more than an axis could carry. */
static bool make(const struct scene *scene, const struct scale *scale, const struct date_step *step,
                 struct ticks *ticks)
{
    ticks->n = 0;
    int64_t day = first_tick(step, (int64_t)ceil(scale->low));
    int64_t year = INT64_MIN;
    while ((double)day <= scale->high) {
        if (ticks->n == TICKS_MOST) {
            return false;
        }
        ticks->tick[ticks->n++] =
            (struct tick){ .value = (double)day,
                           .at = scale_at(scale, (double)day),
                           .words = label_of(scene->arena, step, day, year_of(day) != year) };
        year = year_of(day);
        day = first_tick(step, day + 1);
    }
    return true;
}

static bool place_labels(const struct scene *scene, struct ticks *ticks,
                         const struct text_style *style, double baseline_y, double left,
                         double right, double gap)
{
    double end = left - gap;
    for (size_t i = 0; i < ticks->n; i++) {
        struct tick *tick = &ticks->tick[i];
        const double half = scene_measure(scene, 0.0, 0.0, style, tick->words).width / 2.0;
        tick->label_x = fmin(fmax(tick->at, left + half), fmax(right - half, left + half));
        tick->label = scene_measure(scene, tick->label_x, baseline_y, style, tick->words);
        if (tick->label.x < end + gap - 1e-6 || tick->label.x + tick->label.width > right + 1e-6) {
            return false;
        }
        end = tick->label.x + tick->label.width;
    }
    return true;
}

struct ticks date_axis_across(const struct scene *scene, const struct scale *scale,
                              const struct text_style *style, double baseline_y, double left,
                              double right, double gap)
{
    struct ticks ticks = { ARENA_ARRAY(scene->arena, struct tick, TICKS_MOST), 0, 0.0 };
    for (size_t i = 0; i < sizeof date_steps / sizeof date_steps[0]; i++) {
        if (make(scene, scale, &date_steps[i], &ticks) &&
            place_labels(scene, &ticks, style, baseline_y, left, right, gap)) {
            return ticks;
        }
    }
    ticks.n = 0;
    return ticks;
}
