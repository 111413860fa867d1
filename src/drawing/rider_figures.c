/* drawing/rider_figures.c: the figures about a rider, each a scene of its own. */
#include "drawing/rider_figures.h"

#include "base/dates.h"
#include "coaching/gauge.h"
#include "coaching/words/figure_words.h"
#include "coaching/words/words.h"
#include "drawing/base_tests.h"
#include "drawing/date_axis.h"
#include "drawing/gauge.h"
#include "drawing/ladder.h"
#include "drawing/legend.h"
#include "drawing/week_load.h"

#include <math.h>

bool figure_gauge(const struct figure_maker *maker, const struct reading *reading,
                  bool with_bar_words, struct scene *out)
{
    struct gauge gauge;
    if (!reading_gauge(maker->arena, reading, &gauge)) {
        return false;
    }
    *out = figure_begin(maker, gauge_in_words(maker->arena, &gauge));
    out->height = gauge_draw(out, 0.0, 2.0, out->width, &gauge, with_bar_words);
    return true;
}

/* ---- the ladder ---- */

static const char *day_words(struct arena *arena, int64_t day, int64_t last_day)
{
    const int64_t year = dates_civil_from_utc(day * 86400).year;
    return date_axis_day(arena, day, year != dates_civil_from_utc(last_day * 86400).year);
}

static const char *instead_of(struct arena *arena, const struct rider_progress *progress, size_t i,
                              bool *said)
{
    const struct bests_change *change = &progress->changes[i];
    if (change->state == CHANGE_KNOWN) {
        return NULL;
    }
    if (!progress->recent[i].known) {
        return words_none_so_long();
    }
    if (change->state == CHANGE_TOO_FEW) {
        return words_few_all_out(arena, change->n_before, change->n_recent);
    }
    const bool whole = !*said;
    *said = true;
    return words_not_tested(whole);
}

static struct ladder_row ladder_row_of(struct arena *arena, const struct rider_progress *progress,
                                       size_t i, bool *said)
{
    const double none = (double)NAN;
    const struct reading *each = &progress->each[i];
    const struct progress_best *best = &progress->recent[i];
    const struct progress_best *before = &progress->before[i];
    const bool known = progress->changes[i].state == CHANGE_KNOWN;
    const char *day = best->known ? day_words(arena, best->day, progress->recent_to - 1) : NULL;
    return (struct ladder_row){
        .lasting = words_duration(arena, each->set),
        .best_w = best->known ? best->power_w : none,
        .low_w = none,
        .high_w = none,
        .where = best->known ? words_best_place(arena, day, best->race, best->evidence) : NULL,
        .change_pct = known ? each->estimate : none,
        .change_low_pct = known ? each->low : none,
        .change_high_pct = known ? each->high : none,
        .mark = gauge_mark(verdict_answer(each->verdict)),
        .instead = instead_of(arena, progress, i, said),
        .before_w = before->known ? before->power_w : none,
    };
}

/* The marks that stand on it, and what the bars are. */
static double ladder_legend(struct scene *scene, double x, double y, double width,
                            const struct rider_progress *progress, bool with_bar)
{
    static const enum verdict verdicts[] = { VERDICT_BETTER, VERDICT_NO_CLEAR_CHANGE,
                                             VERDICT_LOWER };
    enum { MOST = 4 };
    struct legend_entry entries[MOST];
    size_t n = 0;
    for (size_t v = 0; v < sizeof verdicts / sizeof verdicts[0]; v++) {
        bool is_there = false;
        for (size_t i = 0; i < progress->n; i++) {
            is_there = is_there || progress->each[i].verdict == verdicts[v];
        }
        if (is_there) {
            entries[n++] = (struct legend_entry){ true, gauge_mark(verdict_answer(verdicts[v])),
                                                  words_verdict(verdicts[v]) };
        }
    }
    if (n > 0) {
        entries[n++] = (struct legend_entry){ .words = words_likely_change(with_bar) };
    }
    return legend_draw(scene, x, y, width, entries, n);
}

double rider_ladder_draw(struct scene *scene, double x, double y, double width,
                         const struct rider_progress *progress)
{
    struct arena *arena = scene->arena;
    struct ladder_row *rows = ARENA_ARRAY(arena, struct ladder_row, progress->n);
    bool any = false;
    bool said = false;
    for (size_t i = 0; i < progress->n; i++) {
        rows[i] = ladder_row_of(arena, progress, i, &said);
        any = any || progress->recent[i].known || progress->before[i].known;
    }
    if (!any) {
        return figure_sentence(scene, x, y, width, words_no_bests());
    }
    y = figure_sentence(scene, x, y, width,
                        words_ranges(arena, progress->recent_from, progress->recent_to,
                                     progress->before_from, progress->before_to)) +
        4.0;
    const struct ladder ladder = {
        .rows = rows, .n_rows = progress->n, .compares = true, .lower = "lower", .higher = "better"
    };
    y = ladder_draw(scene, x, y, width, &ladder);
    return ladder_legend(scene, x, y + 1.0, width, progress,
                         ladder_has_gauges(scene, width, &ladder));
}

struct scene figure_ladder(const struct figure_maker *maker, const struct rider_progress *progress)
{
    struct scene scene = figure_begin(maker, "Bests, and how they changed");
    scene.height = rider_ladder_draw(&scene, 0.0, 0.0, scene.width, progress) + 2.0;
    return scene;
}

/* ---- base tests ---- */

static bool is_judged(const struct past_ride *ride)
{
    return ride->base.is_asked && !ride->spoiled && ride->base.verdict != VERDICT_CANNOT_TELL;
}

struct base_test rider_base_test_of(const struct past_ride *ride)
{
    const double none = (double)NAN;
    const bool judged = is_judged(ride);
    return (struct base_test){
        .day = ride->day,
        .drift_bpm = judged ? ride->base.estimate : none,
        .low_bpm = judged ? ride->base.low : none,
        .high_bpm = judged ? ride->base.high : none,
        .mark = judged ? gauge_mark(verdict_answer(ride->base.verdict)) : MARK_DOTTED,
        .verdict = judged          ? words_verdict(ride->base.verdict)
                   : ride->spoiled ? words_spoiled()
                                   : words_not_judged(),
    };
}

static struct base_test_threshold *thresholds_of(struct arena *arena,
                                                 const struct rider_history *history)
{
    struct base_test_threshold *out =
        ARENA_ARRAY(arena, struct base_test_threshold, history->n_thresholds);
    for (size_t i = 0; i < history->n_thresholds; i++) {
        out[i] = (struct base_test_threshold){ history->thresholds[i].day,
                                               history->thresholds[i].power_w };
    }
    return out;
}

double rider_base_tests_draw(struct scene *scene, double x, double y, double width,
                             const struct rider_history *history, int64_t from_day,
                             const struct limits *limits)
{
    struct arena *arena = scene->arena;
    struct base_test *tests = ARENA_ARRAY(arena, struct base_test, history->n_rides);
    size_t n = 0;
    size_t judged = 0;
    for (size_t i = history_ride_from(history, from_day); i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        if (ride->is_base_test) {
            judged += is_judged(ride) ? 1 : 0;
            tests[n++] = rider_base_test_of(ride);
        }
    }
    if (n == 0) {
        return figure_sentence(scene, x, y, width, words_no_base_tests());
    }
    const double line_bpm = limits->value[LIMIT_BASE_DRIFT_BPM];
    const struct base_tests all = { .tests = tests,
                                    .n = n,
                                    .thresholds = thresholds_of(arena, history),
                                    .n_thresholds = history->n_thresholds,
                                    .line_bpm = line_bpm,
                                    .from_day = from_day == INT64_MIN ? tests[0].day : from_day,
                                    .to_day = history->today,
                                    .label = words_base_tests(arena, n, judged, line_bpm) };
    return base_tests_draw(scene, x, y, width, &all);
}

struct scene figure_base_tests(const struct figure_maker *maker,
                               const struct rider_history *history, int64_t from_day,
                               const struct limits *limits)
{
    struct scene scene = figure_begin(maker, "Base tests over time");
    scene.height =
        rider_base_tests_draw(&scene, 0.0, 0.0, scene.width, history, from_day, limits) + 2.0;
    return scene;
}

/* ---- week load ---- */

double rider_week_load_draw(struct scene *scene, double x, double y, double width,
                            const struct load_weeks *load)
{
    struct arena *arena = scene->arena;
    struct week_row *rows = ARENA_ARRAY(arena, struct week_row, load->n);
    size_t n_rides = 0;
    for (size_t i = 0; i < load->n; i++) {
        const struct week_load *week = &load->weeks[i];
        n_rides += week->n_rides;
        rows[i] = (struct week_row){
            .monday = week->monday,
            .hours = week->hours,
            .line_hours = week->jump.line_hours,
            .is_jump = week->jump.is_jump,
            .is_over = week->is_over,
            .hard_days = (int)week->n_hard_days,
            .days_off = (int)week->off_days,
            .words = words_week(arena, week->is_over, week->n_rides, week->work_kj.known),
        };
    }
    if (n_rides == 0) {
        return figure_sentence(scene, x, y, width, words_no_rides());
    }
    const struct week_load_rows weeks = { .rows = rows,
                                          .n = load->n,
                                          .label = words_week_load(arena, load->n) };
    return week_load_draw(scene, x, y, width, &weeks);
}

struct scene figure_week_load(const struct figure_maker *maker, const struct load_weeks *load)
{
    struct scene scene = figure_begin(maker, "Hours, week by week");
    scene.height = rider_week_load_draw(&scene, 0.0, 0.0, scene.width, load) + 2.0;
    return scene;
}

/* ---- mean power against duration ---- */

struct scene figure_curves(const struct figure_maker *maker, const struct power_curve *curve,
                           const struct power_curve *against)
{
    struct scene scene = figure_begin(maker, "Mean power against duration");
    const double end = power_curves_draw(&scene, 0.0, 0.0, scene.width, curve, against);
    scene.height =
        (end > 0.0 ? end : figure_sentence(&scene, 0.0, 0.0, scene.width, words_no_bests())) + 2.0;
    return scene;
}
