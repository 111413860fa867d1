/* drawing/response_figures.c: figures of what only a model can say.  response_tables.c has their
 * tables. */
#include "drawing/response_figures.h"

#include "coaching/words/figure_words.h"
#include "coaching/words/response_words.h"
#include "coaching/words/words.h"
#include "drawing/duration_forms.h"
#include "drawing/response_tables.h"
#include "drawing/ride_parts.h"
#include "drawing/rider_figures.h"
#include "drawing/usual_days.h"
#include "maths/distributions.h"

#include <math.h>
#include <string.h>

/* Points. */
static const double TALL = 265.0; /* three panels */
static const double MIDDLE = 200.0;
static const double LOW = 170.0;

/* Of the target watts either way: what is tinted.  Common practice, no source. */
static const double TARGET_HALF = 0.05;

static double *series(struct arena *arena, size_t n)
{
    double *out = ARENA_ARRAY(arena, double, n);
    for (size_t i = 0; i < n; i++) {
        out[i] = (double)NAN;
    }
    return out;
}

static double say_over(struct scene *scene, double x, double y, double width, const char *words)
{
    return words == NULL ? y : figure_sentence(scene, x, y, width, words) + 4.0;
}

/* ---- heart rate over a ride ---- */

/* Expected on a usual day, and the difference; nothing before the response has settled, and nothing
 * where there is no power to expect it from. */
static void expect(struct arena *arena, const struct heart_response *response,
                   const struct limits *limits, struct traces *traces)
{
    const size_t n = traces->n_seconds;
    double *middle = series(arena, n);
    double *low = series(arena, n);
    double *high = series(arena, n);
    double *against = series(arena, n);
    double *under = series(arena, n);
    double *over = series(arena, n);
    heart_response_expect(response, traces->power_w, n, middle, low, high);
    const size_t settled = (size_t)limits->value[LIMIT_RESPONSE_SETTLE_S];
    for (size_t i = 0; i < n; i++) {
        if (i < settled || isnan(traces->power_w[i])) {
            low[i] = (double)NAN;
            high[i] = (double)NAN;
            continue;
        }
        against[i] = traces->heart_bpm[i] - middle[i];
        under[i] = low[i] - middle[i];
        over[i] = high[i] - middle[i];
    }
    traces->expected_low_bpm = low;
    traces->expected_high_bpm = high;
    traces->third_kind = TRACES_AGAINST_USUAL;
    traces->third = against;
    traces->third_low = under;
    traces->third_high = over;
}

double response_heart_ride_draw(struct scene *scene, double x, double y, double width,
                                const struct heart_ride *ride, const struct limits *limits)
{
    struct arena *arena = scene->arena;
    const struct recording *recording = ride->recording;
    struct traces traces = ride_traces_of(arena, recording, width);
    if (traces.power_w == NULL || traces.heart_bpm == NULL) {
        return figure_sentence(scene, x, y, width,
                               traces.power_w == NULL ? words_no_power() : words_no_heart_rate());
    }
    const double seconds = fmax((double)recording->n_seconds - 1.0, 0.0);
    const bool is_known = ride->response->end == RESPONSE_FITTED;
    if (is_known) {
        expect(arena, ride->response, limits, &traces);
        traces.label = words_heart_figure(arena, seconds);
    } else {
        traces.label = words_traces(arena, true, true, seconds);
    }
    y = say_over(scene, x, y, width,
                 is_known                ? NULL
                 : ride->instead == NULL ? words_heart_nothing_expected()
                                         : ride->instead);
    const struct place place = { x, y + 2.0, width, is_known ? TALL : MIDDLE };
    y = traces_draw(scene, &place, &traces);
    scene->table = response_table_heart(arena, &traces);
    return is_known ? figure_sentence(scene, x, y + 4.0, width, words_heart_band()) : y;
}

struct scene figure_heart_ride(const struct figure_maker *maker, const struct heart_ride *ride,
                               const struct limits *limits)
{
    struct scene scene = figure_begin(maker, "Heart rate against what the power usually brings");
    scene.height = response_heart_ride_draw(&scene, 0.0, 0.0, scene.width, ride, limits) + 2.0;
    return scene;
}

/* ---- over weeks ---- */

/* The line is of the rider, not of the ride that it is asked for. */
static double line_of(const struct heart_weeks *weeks, const struct limits *limits)
{
    double line_bpm = (double)NAN;
    for (size_t i = weeks->n; i > 0 && isnan(line_bpm); i--) {
        line_bpm = heart_response_day(weeks->response, &weeks->rides[i - 1], true, limits).line_bpm;
    }
    return line_bpm;
}

static size_t fill_days(const struct heart_weeks *weeks, double line_bpm, struct usual_day days[])
{
    const double z = distributions_normal_quantile(0.95);
    size_t n_beyond = 0;
    for (size_t i = 0; i < weeks->n; i++) {
        const double bpm = weeks->response->day_bpm[i];
        const double half = z * weeks->response->day_se_bpm[i];
        days[i] = (struct usual_day){ weeks->rides[i].day, bpm, bpm - half, bpm + half,
                                      weeks->rides[i].mean_w };
        n_beyond += fabs(bpm) > line_bpm ? 1 : 0;
    }
    return n_beyond;
}

static bool is_off(const struct past_span *span)
{
    return span->kind == OFF_ILL || span->kind == OFF_INJURED || span->kind == OFF_BREAK;
}

static const char *off_words(enum past_off kind)
{
    return kind == OFF_ILL       ? words_day_ill()
           : kind == OFF_INJURED ? words_day_injured()
                                 : words_day_break();
}

static const char *gap_on(const struct rider_history *history, int64_t day,
                          const struct limits *limits)
{
    const unsigned kinds = 1U << OFF_ILL | 1U << OFF_INJURED | 1U << OFF_BREAK;
    const struct past_span *span = history_off_on(history, day, kinds);
    return span != NULL && is_off(span)           ? off_words(span->kind)
           : history_is_ill(history, day)         ? words_day_ill()
           : history_is_gap(history, day, limits) ? words_day_break()
                                                  : NULL;
}

/* Days in a row of one kind. */
static size_t fill_gaps(const struct heart_weeks *weeks, const struct limits *limits, int64_t from,
                        int64_t to, struct usual_gap gaps[])
{
    size_t n = 0;
    for (int64_t day = from; day <= to; day++) {
        const char *words = gap_on(weeks->history, day, limits);
        if (words == NULL) {
            continue;
        }
        if (n > 0 && gaps[n - 1].to_day == day && strcmp(gaps[n - 1].words, words) == 0) {
            gaps[n - 1].to_day = day + 1;
        } else {
            gaps[n++] = (struct usual_gap){ day, day + 1, words };
        }
    }
    return n;
}

static size_t fill_tests(const struct heart_weeks *weeks, int64_t from, struct base_test tests[])
{
    size_t n = 0;
    const struct rider_history *history = weeks->history;
    for (size_t i = history_ride_from(history, from); i < history->n_rides; i++) {
        if (history->rides[i].is_base_test) {
            tests[n++] = rider_base_test_of(&history->rides[i]);
        }
    }
    return n;
}

double response_heart_weeks_draw(struct scene *scene, double x, double y, double width,
                                 const struct heart_weeks *weeks, const struct limits *limits)
{
    struct arena *arena = scene->arena;
    const bool is_known = weeks->response->end == RESPONSE_FITTED && weeks->n > 0;
    const double line_bpm = is_known ? line_of(weeks, limits) : (double)NAN;
    if (!isfinite(line_bpm)) {
        return figure_sentence(scene, x, y, width,
                               weeks->instead == NULL ? words_usual_nothing() : weeks->instead);
    }
    const int64_t from = weeks->rides[0].day;
    const int64_t last = weeks->rides[weeks->n - 1].day;
    const int64_t to = last > weeks->history->today ? last : weeks->history->today;
    struct usual_day *days = ARENA_ARRAY(arena, struct usual_day, weeks->n);
    struct usual_gap *gaps = ARENA_ARRAY(arena, struct usual_gap, (size_t)(to - from + 1));
    struct base_test *tests = ARENA_ARRAY(arena, struct base_test, weeks->history->n_rides);
    const size_t n_beyond = fill_days(weeks, line_bpm, days);
    const struct usual_days all = { .days = days,
                                    .n = weeks->n,
                                    .gaps = gaps,
                                    .n_gaps = fill_gaps(weeks, limits, from, to, gaps),
                                    .tests = tests,
                                    .n_tests = fill_tests(weeks, from, tests),
                                    .line_bpm = line_bpm,
                                    .from_day = from,
                                    .to_day = to,
                                    .label =
                                        words_usual_days(arena, weeks->n, n_beyond, line_bpm) };
    scene->table = response_table_weeks(arena, &all);
    return usual_days_draw(scene, x, y, width, &all);
}

struct scene figure_heart_weeks(const struct figure_maker *maker, const struct heart_weeks *weeks,
                                const struct limits *limits)
{
    struct scene scene = figure_begin(maker, "Heart rate against usual over weeks");
    scene.height = response_heart_weeks_draw(&scene, 0.0, 0.0, scene.width, weeks, limits) + 2.0;
    return scene;
}

/* ---- power and duration ---- */

double response_durations_draw(struct scene *scene, double x, double y, double width,
                               const struct rider_power *power, const char *instead)
{
    const bool is_known = power->curve.end == DURATION_KNOWN;
    const struct duration_forms forms = { power->efforts, power->n_efforts, &power->curve };
    if (!is_known) {
        y = figure_sentence(scene, x, y, width, instead == NULL ? words_no_bests() : instead) + 4.0;
    }
    if (power->n_efforts > 0) {
        scene->table = response_table_durations(scene->arena, power);
    }
    return duration_forms_draw(scene, x, y, width, &forms);
}

struct scene figure_durations(const struct figure_maker *maker, const struct rider_power *power,
                              const char *instead)
{
    struct scene scene = figure_begin(maker, "Power and duration");
    scene.height = response_durations_draw(&scene, 0.0, 0.0, scene.width, power, instead) + 2.0;
    return scene;
}

/* ---- W' left ---- */

static double *kilo(struct arena *arena, const double joules[], size_t n)
{
    double *out = ARENA_ARRAY(arena, double, n);
    for (size_t i = 0; i < n; i++) {
        out[i] = joules[i] / 1000.0;
    }
    return out;
}

static void mark_reps(struct arena *arena, const struct ride_balance *balance,
                      struct traces *traces)
{
    struct traces_span *brackets = ARENA_ARRAY(arena, struct traces_span, balance->n_reps);
    for (size_t i = 0; i < balance->n_reps; i++) {
        const struct span *span = &balance->reps[i].span;
        brackets[i] =
            (struct traces_span){ span->from_s, span->to_s, arena_format(arena, "%zu", i + 1) };
    }
    traces->brackets = brackets;
    traces->n_brackets = balance->n_reps;
}

double response_left_draw(struct scene *scene, double x, double y, double width,
                          const struct recording *recording, const struct ride_balance *balance,
                          const char *instead)
{
    struct arena *arena = scene->arena;
    const struct w_balance *trace = &balance->trace;
    if (balance->end != BALANCE_KNOWN || trace->n == 0 || trace->middle_j == NULL) {
        return figure_sentence(scene, x, y, width,
                               instead == NULL ? words_left_nothing() : instead);
    }
    struct traces traces = ride_traces_of(arena, recording, width);
    const struct w_rider *rider = &balance->rider;
    const bool has_range = isfinite(rider->cp_low_w) && isfinite(rider->cp_high_w);
    const struct traces_target critical = {
        TRACES_POWER,
        0,
        (int32_t)traces.n_seconds,
        has_range ? rider->cp_low_w : rider->cp_w,
        has_range ? rider->cp_high_w : rider->cp_w,
        words_critical_target(arena, rider->cp_w),
    };
    traces.heart_bpm = NULL;
    traces.without_heart = true;
    traces.targets = &critical;
    traces.n_targets = 1;
    traces.third_kind = TRACES_LEFT;
    traces.third = kilo(arena, trace->middle_j, trace->n);
    traces.third_low = kilo(arena, trace->low_j, trace->n);
    traces.third_high = kilo(arena, trace->high_j, trace->n);
    traces.n_seconds = trace->n < traces.n_seconds ? trace->n : traces.n_seconds;
    traces.label = words_left_figure(arena, trace->least_j, trace->least_low_j, trace->least_high_j,
                                     trace->least_at_s);
    mark_reps(arena, balance, &traces);
    y = say_over(scene, x, y, width, trace->is_wrong ? words_left_wrong() : NULL);
    const struct place place = { x, y + 2.0, width, MIDDLE };
    y = traces_draw(scene, &place, &traces);
    scene->table = response_table_left(arena, balance, &traces);
    return figure_sentence(scene, x, y + 4.0, width, words_left_band());
}

struct scene figure_left(const struct figure_maker *maker, const struct recording *recording,
                         const struct ride_balance *balance, const char *instead)
{
    struct scene scene = figure_begin(maker, "W' left over the ride");
    scene.height =
        response_left_draw(&scene, 0.0, 0.0, scene.width, recording, balance, instead) + 2.0;
    return scene;
}

/* ---- the same session twice ---- */

/* Both on the same scales. */
static void hold_scales(const struct teaching *teaching, struct traces *traces)
{
    const double least_bpm = 40.0;
    double power_w = teaching->session.target_w;
    double low_bpm = teaching->session.heart_bpm;
    double high_bpm = low_bpm;
    for (int way = 0; way < TEACH_WAYS; way++) {
        const struct teaching_ride *ride = &teaching->rides[way];
        for (size_t i = 0; i < ride->n; i++) {
            power_w = fmax(power_w, ride->power_w[i]);
            low_bpm = fmin(low_bpm, ride->heart_bpm[i]);
            high_bpm = fmax(high_bpm, ride->heart_bpm[i]);
        }
    }
    traces->most[TRACES_POWER] = power_w;
    traces->least[TRACES_HEART] = fmin(low_bpm, high_bpm - least_bpm);
    traces->most[TRACES_HEART] = high_bpm;
}

/* Watts of the efforts, asked or to compare with; for who rides to heart rate the beats that were
 * asked too. */
static void add_asked(struct arena *arena, const struct teaching *teaching, enum teaching_way way,
                      struct traces *traces)
{
    const double beats = 2.0;
    const struct teaching_session *session = &teaching->session;
    const size_t n = (size_t)session->reps;
    const double half_w = TARGET_HALF * session->target_w;
    struct traces_target *targets = ARENA_ARRAY(arena, struct traces_target, 2 * n);
    for (size_t i = 0; i < n; i++) {
        const struct span *span = &teaching->rides[way].reps[i].span;
        const char *words = i > 0 ? NULL
                            : way == TEACH_POWER
                                ? words_teaching_target(arena, session->target_w, false)
                                : words_teaching_beside(arena, session->target_w);
        targets[traces->n_targets++] = (struct traces_target){ TRACES_POWER,
                                                               span->from_s,
                                                               span->to_s,
                                                               session->target_w - half_w,
                                                               session->target_w + half_w,
                                                               words };
        if (way == TEACH_HEART) {
            targets[traces->n_targets++] = (struct traces_target){
                TRACES_HEART,
                span->from_s,
                span->to_s,
                session->heart_bpm - beats,
                session->heart_bpm + beats,
                i > 0 ? NULL : words_teaching_target(arena, session->heart_bpm, true)
            };
        }
    }
    traces->targets = targets;
}

/* Seconds of the efforts in the range that is tinted. */
static double in_target_s(const struct teaching *teaching, enum teaching_way way)
{
    const struct teaching_ride *ride = &teaching->rides[way];
    const double target_w = teaching->session.target_w;
    double seconds = 0.0;
    for (int i = 0; i < teaching->session.reps; i++) {
        for (int32_t t = ride->reps[i].span.from_s; t < ride->reps[i].span.to_s; t++) {
            seconds += fabs(ride->power_w[t] - target_w) <= TARGET_HALF * target_w ? 1.0 : 0.0;
        }
    }
    return seconds;
}

static double draw_way(struct scene *scene, double x, double y, double width,
                       const struct teaching *teaching, enum teaching_way way)
{
    struct arena *arena = scene->arena;
    const struct teaching_ride *ride = &teaching->rides[way];
    const struct text_style style = { FACE_SERIF_STRONG, 10.0, COLOUR_INK, ANCHOR_LEFT };
    const size_t n_reps = (size_t)teaching->session.reps;
    struct traces_span *brackets = ARENA_ARRAY(arena, struct traces_span, n_reps);
    for (size_t i = 0; i < n_reps; i++) {
        brackets[i] = (struct traces_span){ ride->reps[i].span.from_s, ride->reps[i].span.to_s,
                                            arena_format(arena, "%zu", i + 1) };
    }
    struct traces traces = { .n_seconds = ride->n,
                             .power_w = ride->power_w,
                             .heart_bpm = ride->heart_bpm,
                             .brackets = brackets,
                             .n_brackets = n_reps,
                             .label = words_ridden_to(way == TEACH_HEART) };
    add_asked(arena, teaching, way, &traces);
    hold_scales(teaching, &traces);
    scene_begin_part(scene, ROLE_HEADING, NULL);
    scene_text(scene, x, y + 11.0, &style, words_ridden_to(way == TEACH_HEART));
    scene_end_part(scene);
    y = figure_sentence(scene, x, y + 15.0, width,
                        words_teaching_ride(arena, ride->mean_w, in_target_s(teaching, way),
                                            ride->at_90_s, ride->least_j)) +
        4.0;
    const struct place place = { x, y, width, LOW };
    return traces_draw(scene, &place, &traces);
}

double response_teaching_draw(struct scene *scene, double x, double y, double width,
                              const struct teaching *teaching, const char *instead)
{
    if (teaching->end != TEACHING_TOLD) {
        return figure_sentence(scene, x, y, width,
                               instead == NULL ? words_teaching_nothing() : instead);
    }
    y = draw_way(scene, x, y, width, teaching, TEACH_POWER);
    y = draw_way(scene, x, y + 10.0, width, teaching, TEACH_HEART);
    scene->table = response_table_teaching(scene->arena, teaching);
    return figure_sentence(scene, x, y + 4.0, width, words_teaching_simulated());
}

struct scene figure_teaching(const struct figure_maker *maker, const struct teaching *teaching,
                             const char *instead)
{
    struct scene scene = figure_begin(maker, "The same session to power and to heart rate");
    scene.height = response_teaching_draw(&scene, 0.0, 0.0, scene.width, teaching, instead) + 2.0;
    return scene;
}
