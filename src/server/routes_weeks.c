/* server/routes_weeks.c: a rider over weeks: readings, load, progress, rides, bests, figures. */
#include "server/routes.h"

#include "base/dates.h"
#include "coaching/words/answer_words.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/words.h"
#include "drawing/scene_json.h"
#include "roster/readings.h"
#include "server/answers/bests_figure.h"
#include "server/answers/response_figure.h"
#include "server/answers/gauges.h"
#include "server/answers/rides.h"
#include "server/answers/stored.h"
#include "server/answers/weeks.h"
#include "server/tasks.h"
#include "server/write.h"

#include <math.h>
#include <string.h>

/* ---- weeks ---- */

/* What is added to a reading of progress of one duration. */
struct duration_more {
    const struct gauges *gauges;
    const struct bests_change *changes; /* of the duration that comes next */
};

static void add_duration(struct json *json, const struct reading *reading, void *context)
{
    struct duration_more *more = context;
    const struct bests_change *change = more->changes++;
    more->gauges->more.add(json, reading, more->gauges->more.context);
    json_integer(json, "duration_s", reading->set);
    json_integer(json, "efforts_before", (int64_t)change->n_before);
    json_integer(json, "efforts_now", (int64_t)change->n_recent);
}

static void durations_json(struct json *json, const struct rider_progress *progress,
                           const struct gauges *gauges)
{
    struct duration_more context = { gauges, progress->changes };
    const struct reading_more more = { add_duration, &context };
    json_begin_array(json, "durations");
    for (size_t i = 0; i < progress->n; i++) {
        reading_json_add_with(json, &progress->each[i], &more);
    }
    json_end_array(json);
}

/* Rides whose hard work was judged within the weeks of progress, the newest first. */
static bool work_json(struct api_call *call, struct json *json, const struct weeks *weeks,
                      const struct gauges *gauges, struct error *err)
{
    const struct rider_history *history = &weeks->history;
    const int64_t first = history->today - (int64_t)weeks->limits.value[LIMIT_PROGRESS_DAYS];
    json_begin_array(json, "work");
    for (size_t i = history->n_rides; i > 0 && history->rides[i - 1].day > first; i--) {
        const struct past_ride *ride = &history->rides[i - 1];
        struct reading reading;
        bool found = false;
        char day[11];
        if (!ride->hard.is_asked || ride->hard.verdict == VERDICT_CANNOT_TELL) {
            continue;
        }
        if (!stored_reading_find(roster_db(call->roster), call->arena, ride->id, QUESTION_HARD_WORK,
                                 &weeks->limits, &reading, &found, err)) {
            return false;
        }
        if (!found) {
            continue;
        }
        dates_format_day(ride->day, day);
        json_begin_object(json, NULL);
        json_integer(json, "ride", ride->id);
        json_string(json, "day", day);
        json_string(json, "day_words", words_when(call->arena, ride->day, history->today));
        reading_json_add_under(json, "reading", &reading, &gauges->more);
        json_end_object(json);
    }
    json_end_array(json);
    return true;
}

static void base_tests_json(struct json *json, const struct weeks *weeks)
{
    const struct rider_history *history = &weeks->history;
    json_begin_array(json, "base_tests");
    for (size_t i = 0; i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        char day[11];
        if (!ride->is_base_test || !ride->base.is_asked || isnan(ride->base.estimate) ||
            ride->base.verdict == VERDICT_CANNOT_TELL) {
            continue;
        }
        dates_format_day(ride->day, day);
        json_begin_object(json, NULL);
        json_integer(json, "ride", ride->id);
        json_string(json, "day", day);
        json_string(json, "verdict", verdict_name(ride->base.verdict));
        answer_json(json, ride->base.verdict);
        json_number(json, "drift_bpm", ride->base.estimate, 2);
        json_number(json, "drift_low_bpm", ride->base.low, 2);
        json_number(json, "drift_high_bpm", ride->base.high, 2);
        json_number(json, "limit_bpm", weeks->limits.value[LIMIT_BASE_DRIFT_BPM], 2);
        json_end_object(json);
    }
    json_end_array(json);
}

static bool find_against(const struct api_call *call, enum progress_against *out, struct error *err)
{
    const char *word = api_query(call, "against");
    *out = word != NULL && strcmp(word, "last-year") == 0 ? PROGRESS_LAST_YEAR : PROGRESS_BEFORE;
    return word == NULL || *out == PROGRESS_LAST_YEAR || strcmp(word, "before") == 0 ||
           error_set(err, ERROR_USAGE, "against=%.40s: say before or last-year", word);
}

bool route_get_weeks(struct api_call *call, struct error *err)
{
    enum progress_against against;
    struct rider rider = { 0 };
    struct weeks weeks;
    struct rider_readings all;
    struct gauges gauges;
    struct weeks_came came;
    const struct reading *readings[WEEK_READINGS];
    int64_t n_weeks = 8;
    if (!api_query_number(call, "weeks", 2, 104, &n_weeks, err) ||
        !find_against(call, &against, err) || !write_rider(call, &rider, err) ||
        !weeks_take(call->roster, call->arena, &rider, call->today, &weeks, err) ||
        !weeks_came_take(call->roster, call->arena, &weeks, call->today, &came, err) ||
        !gauges_begin(call->arena, GAUGE_WIDE, &gauges, err)) {
        return false;
    }
    const struct rider_history *history = &weeks.history;
    rider_readings_make(call->arena, history, (size_t)n_weeks, &weeks.limits, &all);
    if (against != PROGRESS_BEFORE) {
        rider_progress_read(call->arena, history, against, &weeks.limits, &all.progress);
    }
    weeks_readings(&all, readings);
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    weeks_head_json(&json, &weeks, call->today);
    readings_json(&json, "readings", readings, WEEK_READINGS, &gauges.more);
    weeks_came_json(&json, &came);
    durations_json(&json, &all.progress, &gauges);
    json_string(&json, "several_durations", words_several_durations());
    json_begin_array(&json, "weeks");
    for (size_t i = 0; i < all.load.n; i++) {
        week_load_json(&json, &all.load.weeks[i]);
    }
    json_end_array(&json);
    base_tests_json(&json, &weeks);
    json_string(&json, "threshold_age",
                history->threshold_day == INT64_MIN
                    ? NULL
                    : words_threshold_age(call->arena, history->threshold_day, history->today));
    if (!work_json(call, &json, &weeks, &gauges, err)) {
        return false;
    }
    json_end_object(&json);
    return true;
}

/* ---- rides ---- */

bool route_get_rides(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct limits limits;
    struct ride_row *rows = NULL;
    size_t count = 0;
    const char *from = NULL;
    const char *to = NULL;
    if (!api_query_day(call, "from", &from, err) || !api_query_day(call, "to", &to, err) ||
        !write_rider(call, &rider, err) ||
        !readings_limits(roster_db(call->roster), call->arena, rider.id, &limits, err)) {
        return false;
    }
    const struct ride_query query = { .rider = rider.id,
                                      .from_day = from,
                                      .to_day = rides_last_day(call->arena, to, call->today),
                                      .with_same = api_query_is_true(call, "all"),
                                      .with_undated = from == NULL && to == NULL };
    if (!recordings_list(roster_db(call->roster), call->arena, &query, &rows, &count, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_integer(&json, "rider", rider.id);
    json_string(&json, "name", rider.name);
    json_begin_array(&json, "rides");
    for (size_t i = 0; i < count; i++) {
        struct ride_verdicts verdicts;
        if (!task_goes_on(call->task, i, count, NULL, err) ||
            !ride_verdicts_find(call->roster, call->arena, &rows[i], &limits, &verdicts, err)) {
            return false;
        }
        ride_row_json(&json, &rows[i], &verdicts, true);
    }
    json_end_array(&json);
    json_end_object(&json);
    return true;
}

/* ---- bests ---- */

static bool find_wish(const struct api_call *call, struct bests_wish *out, struct error *err)
{
    *out = (struct bests_wish){ .against = api_query(call, "against"),
                                .all = api_query_is_true(call, "all"),
                                .dashes = "" };
    return api_query_day(call, "from", &out->from, err) && api_query_day(call, "to", &out->to, err);
}

bool route_get_bests(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct bests_wish wish;
    struct bests_told told;
    if (!find_wish(call, &wish, err) || !write_rider(call, &rider, err)) {
        return false;
    }
    wish.finds_starts = true;
    if (!bests_told_take(call->roster, call->arena, &rider, &wish, call->today, &told, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    bests_told_json(&json, &told, true);
    json_string(&json, "at_least_words", words_at_least());
    json_end_object(&json);
    return true;
}

/* ---- figures ---- */

static bool draw_curves(struct api_call *call, const struct weeks *weeks,
                        const struct gauges *gauges, struct scene *out, struct error *err)
{
    struct bests_wish wish;
    struct bests_told told;
    if (!find_wish(call, &wish, err)) {
        return false;
    }
    if (!bests_told_take(call->roster, call->arena, &weeks->rider, &wish, call->today, &told,
                         err)) {
        return false;
    }
    const struct power_curve curve = bests_curve(call->arena, &told.side);
    if (!told.compares) {
        *out = figure_curves(&gauges->maker, &curve, NULL);
        return true;
    }
    const struct power_curve against = bests_curve(call->arena, &told.against);
    *out = figure_curves(&gauges->maker, &curve, &against);
    return true;
}

/* The last weeks against those before, unless days are named. */
static bool draw_ladder(struct api_call *call, const struct weeks *weeks,
                        const struct gauges *gauges, struct scene *out, struct error *err)
{
    struct rider_progress progress;
    struct bests_wish wish;
    struct days_range range = { { 0 }, { 0 } };
    struct days_range against = { { 0 }, { 0 } };
    if (!find_wish(call, &wish, err)) {
        return false;
    }
    if (wish.from == NULL && wish.to == NULL) {
        enum progress_against word;
        if (!find_against(call, &word, err)) {
            return false;
        }
        rider_progress_read(call->arena, &weeks->history, word, &weeks->limits, &progress);
    } else {
        wish.against = wish.against == NULL ? "before" : wish.against;
        if (!bests_ranges(&wish, call->today, &range, &against, err)) {
            return false;
        }
        const struct progress_windows windows = { dates_day_number(against.from),
                                                  dates_day_number(against.to),
                                                  dates_day_number(range.from),
                                                  dates_day_number(range.to) };
        rider_progress_between(call->arena, &weeks->history, &windows, &weeks->limits, &progress);
    }
    *out = figure_ladder(&gauges->maker, &progress);
    return true;
}

static bool draw_base_tests(struct api_call *call, const struct weeks *weeks,
                            const struct gauges *gauges, struct scene *out, struct error *err)
{
    const char *from = NULL;
    if (!api_query_day(call, "from", &from, err)) {
        return false;
    }
    *out =
        figure_base_tests(&gauges->maker, &weeks->history, dates_day_number(from), &weeks->limits);
    return true;
}

static bool draw_week_load(struct api_call *call, const struct weeks *weeks,
                           const struct gauges *gauges, struct scene *out, struct error *err)
{
    enum { WEEKS_LEAST = 2, WEEKS_MOST = 104, WEEKS = 12 };
    const char *from = NULL;
    int64_t n = WEEKS;
    struct load_weeks load;
    if (!api_query_day(call, "from", &from, err)) {
        return false;
    }
    if (from != NULL) {
        n = (weeks->history.today - dates_day_number(from)) / 7 + 1;
        n = n < WEEKS_LEAST ? WEEKS_LEAST : n > WEEKS_MOST ? WEEKS_MOST : n;
    }
    load_weeks_read(call->arena, &weeks->history, (size_t)n, &weeks->limits, &load);
    *out = figure_week_load(&gauges->maker, &load);
    return true;
}

static bool draw_heart_weeks(struct api_call *call, const struct weeks *weeks,
                             const struct gauges *gauges, struct scene *out, struct error *err)
{
    return response_figure_weeks(call->roster, weeks, &gauges->maker, out, err);
}

static bool draw_durations(struct api_call *call, const struct weeks *weeks,
                           const struct gauges *gauges, struct scene *out, struct error *err)
{
    return response_figure_durations(call->roster, weeks, &gauges->maker, out, err);
}

static bool draw_teaching(struct api_call *call, const struct weeks *weeks,
                          const struct gauges *gauges, struct scene *out, struct error *err)
{
    return response_figure_teaching(call->roster, &weeks->rider, call->today, &gauges->maker, out,
                                    err);
}

struct figure {
    const char *name;
    bool (*draw)(struct api_call *call, const struct weeks *weeks, const struct gauges *gauges,
                 struct scene *out, struct error *err);
};

/* NULL if there is none of that name. */
static const struct figure *find_figure(const char *name)
{
    static const struct figure figures[] = {
        { "ladder", draw_ladder },           { "curves", draw_curves },
        { "base-tests", draw_base_tests },   { "week-load", draw_week_load },
        { "heart-weeks", draw_heart_weeks }, { "durations", draw_durations },
        { "teaching", draw_teaching }
    };
    for (size_t i = 0; i < sizeof figures / sizeof figures[0]; i++) {
        if (strcmp(figures[i].name, name) == 0) {
            return &figures[i];
        }
    }
    return NULL;
}

bool route_get_figure(struct api_call *call, struct error *err)
{
    const char *name = api_path(call, "figure");
    const struct figure *figure = find_figure(name);
    struct rider rider = { 0 };
    struct weeks weeks;
    struct gauges gauges;
    struct scene scene;
    int64_t width = 520;
    if (figure == NULL) {
        return error_set(err, ERROR_NOT_FOUND, "%.40s: there is no such figure", name);
    }
    if (!api_query_number(call, "width", FIGURE_NARROWEST, FIGURE_WIDEST, &width, err) ||
        !write_rider(call, &rider, err) ||
        !weeks_take(call->roster, call->arena, &rider, call->today, &weeks, err) ||
        !gauges_begin(call->arena, (double)width, &gauges, err) ||
        !figure->draw(call, &weeks, &gauges, &scene, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    scene_json(&json, NULL, &scene);
    return true;
}
