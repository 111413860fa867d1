/* drawing/session_profile.c: a session drawn over time. */
#include "drawing/session_profile.h"

#include "coaching/words/card_words.h"
#include "coaching/words/words.h"
#include "drawing/axis.h"
#include "drawing/trace_line.h"

#include <math.h>

/* Points, but what is given as lines of letters. */
static const double POWER_HIGH = 7.0; /* lines */
static const double HEART_HIGH = 4.8;
static const double HEART_ROOM_BPM = 3.0;
static const double LEFT_HIGH = 3.6;
static const double HEAD = 1.35;
static const double FOOT = 1.7;
static const double AXIS_ROOM = 4.0;
static const double LEAST_NUMBER = 2.0;  /* round a zone's number */
static const double ALL_OUT_PCT = 150.0; /* of threshold, where nothing else gives the scale */

enum unit { UNIT_W, UNIT_EFFORT };

struct block {
    const struct session_ridden *ridden;
    double low; /* NAN = no range */
    double high;
    int zone; /* from 0; -1 = none */
};

struct frame {
    struct scene *scene;
    const struct session_profile *profile;
    struct block *blocks; /* [n] */
    size_t n;
    double seconds;
    enum unit unit;
    double x;    /* of the figure */
    double left; /* of the panels */
    double right;
    double size;
    struct scale time;
    struct scale up;
    struct text_style label; /* of scales, across */
    struct text_style small;
};

/* ---- what is drawn ---- */

/* NAN = not in watts. */
static double in_watts(const struct session_profile *profile, enum session_aim aim, double level)
{
    return aim == AIM_PCT ? level * profile->threshold_w / 100.0
           : aim == AIM_W ? level
                          : (double)NAN;
}

static bool has_range(enum session_aim aim)
{
    return aim != AIM_FREE && aim != AIM_ALL_OUT;
}

static enum unit choose_unit(const struct session_profile *profile,
                             const struct session_ridden ridden[], size_t n)
{
    bool is_watts = profile->by_power;
    for (size_t i = 0; i < n; i++) {
        const enum session_aim aim = ridden[i].step->aim;
        is_watts = is_watts && (!has_range(aim) || !isnan(in_watts(profile, aim, 1.0)));
    }
    return is_watts ? UNIT_W : UNIT_EFFORT;
}

/* Of the middle of what is asked; exact on an edge, so a share of threshold stays one. */
static int zone_of(const struct session_profile *profile, const struct session_ridden *ridden)
{
    const double middle = 0.5 * ((double)ridden->low + (double)ridden->high);
    const double whole = ridden->step->aim == AIM_PCT ? 100.0 : profile->threshold_w;
    return profile->zones == NULL || !(profile->threshold_w > 0.0)
               ? -1
               : (int)zones_of(profile->zones, middle, whole);
}

static struct block block_of(const struct frame *frame, const struct session_ridden *ridden,
                             const struct session_feel *feel)
{
    const struct session_profile *profile = frame->profile;
    const enum session_aim aim = ridden->step->aim;
    struct block block = { ridden, (double)NAN, (double)NAN, -1 };
    if (!has_range(aim)) {
        return block;
    }
    if (frame->unit == UNIT_W) {
        block.low = in_watts(profile, aim, ridden->low);
        block.high = in_watts(profile, aim, ridden->high);
        block.zone = zone_of(profile, ridden);
        return block;
    }
    block.low = feel->low;
    block.high = feel->high;
    return block;
}

static double highest(const struct frame *frame)
{
    double most = 0.0;
    for (size_t i = 0; i < frame->n; i++) {
        most = frame->blocks[i].high > most ? frame->blocks[i].high : most;
    }
    if (frame->unit == UNIT_EFFORT) {
        return SESSION_EFFORT_MOST;
    }
    return most > 0.0                          ? 1.06 * most
           : frame->profile->threshold_w > 0.0 ? frame->profile->threshold_w * ALL_OUT_PCT / 100.0
                                               : 1.0;
}

static void read_blocks(struct frame *frame)
{
    size_t n = 0;
    struct arena *arena = frame->scene->arena;
    const struct session_ridden *ridden = session_unroll(arena, frame->profile->session, &n);
    frame->unit = choose_unit(frame->profile, ridden, n);
    const struct session_feel *feels =
        session_feels(arena, ridden, n, frame->profile->threshold_w, frame->profile->max_heart_bpm,
                      frame->profile->limits);
    frame->blocks = ARENA_ARRAY(arena, struct block, n + 1);
    frame->n = n;
    for (size_t i = 0; i < n; i++) {
        frame->blocks[i] = block_of(frame, &ridden[i], &feels[i]);
        frame->seconds = ridden[i].from_s + ridden[i].seconds;
    }
}

/* ---- blocks ---- */

/* One hue; tables of fewer or more zones take the nearest steps. */
static enum colour tint(const struct frame *frame, const struct block *block)
{
    double share = (double)NAN;
    if (block->zone >= 0) {
        share = (double)block->zone / (double)(frame->profile->zones->count - 1);
    } else if (block->ridden->step->aim == AIM_ALL_OUT) {
        share = 1.0;
    } else if (frame->unit == UNIT_EFFORT && !isnan(block->high)) {
        share = block->high / SESSION_EFFORT_MOST;
    }
    return isnan(share) ? COLOUR_TARGET : (enum colour)(COLOUR_ZONE_1 + (int)lround(share * 6.0));
}

static void words_on(const struct frame *frame, const struct place *column, const char *words)
{
    const struct text_style style = { FACE_SANS_STRONG, frame->size, COLOUR_INK, ANCHOR_MIDDLE };
    const double x = column->x + column->width / 2.0;
    const double baseline = column->y + column->height - 2.5;
    const struct place place = scene_measure(frame->scene, x, baseline, &style, words);
    if (place.width + LEAST_NUMBER <= column->width && place.height + 1.0 <= column->height) {
        scene_text(frame->scene, x, baseline, &style, words);
    }
}

static void draw_block(const struct frame *frame, const struct block *block)
{
    struct scene *scene = frame->scene;
    const struct session_ridden *ridden = block->ridden;
    const double left = scale_at(&frame->time, ridden->from_s);
    const double right = scale_at(&frame->time, ridden->from_s + ridden->seconds);
    const double floor_y = frame->up.from;
    const bool all_out = ridden->step->aim == AIM_ALL_OUT;
    if (ridden->seconds == 0) {
        scene_line(scene, left, frame->up.to, left, floor_y,
                   &(struct stroke){ COLOUR_INK, 0.8, 2.0 });
        return;
    }
    if (isnan(block->high) && !all_out) {
        const double top = floor_y - 0.3 * (floor_y - frame->up.to);
        scene_hatch(scene, &(struct place){ left, top, right - left, floor_y - top },
                    COLOUR_MASKED);
        return;
    }
    const double top = all_out ? frame->up.to : scale_at(&frame->up, block->high);
    const double low = all_out ? top : scale_at(&frame->up, block->low);
    const struct place column = { left, top, right - left, floor_y - top };
    scene_rectangle(scene, &column, tint(frame, block));
    if (all_out) {
        scene_line(scene, left, top, right, top, &(struct stroke){ COLOUR_INK, 1.0, 2.0 });
        words_on(frame, &column, card_profile_words(PROFILE_ALL_OUT));
        return;
    }
    /* A range is what lies between its two lines. */
    const bool is_one = low - top < 1.0;
    scene_line(scene, left, top, right, top,
               &(struct stroke){ COLOUR_INK, is_one ? 1.4 : 0.8, 0.0 });
    if (!is_one) {
        scene_line(scene, left, low, right, low, &(struct stroke){ COLOUR_INK, 0.8, 0.0 });
    }
    if (block->zone >= 0) {
        const struct place under = { left, low, right - left, floor_y - low };
        words_on(frame, &under, arena_format(scene->arena, "%d", block->zone + 1));
    }
}

/* ---- repeats ---- */

static int depth_of(const struct session_item items[], size_t n)
{
    int depth = 0;
    for (size_t i = 0; i < n; i++) {
        if (items[i].times > 1) {
            const int own = 1 + depth_of(items[i].items, items[i].n_items);
            depth = own > depth ? own : depth;
        } else if (items[i].times == 1) {
            const int own = depth_of(items[i].items, items[i].n_items);
            depth = own > depth ? own : depth;
        }
    }
    return depth;
}

static void draw_bracket(const struct frame *frame, double from_s, double to_s, double y,
                         int32_t times)
{
    struct scene *scene = frame->scene;
    const struct stroke thin = { COLOUR_QUIET, 0.7, 0.0 };
    const double left = scale_at(&frame->time, from_s) + 0.5;
    const double right = scale_at(&frame->time, to_s) - 0.5;
    const double foot = y + HEAD * frame->size - 1.0;
    const double mid = foot - 2.5;
    scene_path(
        scene,
        (const struct point[]){ { left, foot }, { left, mid }, { right, mid }, { right, foot } }, 4,
        &thin);
    for (int narrow = 0; narrow < 2; narrow++) {
        const char *words = card_profile_times(scene->arena, times, narrow == 1);
        const double width = scene_measure(scene, 0.0, 0.0, &frame->small, words).width;
        if (width <= right - left) {
            struct text_style style = frame->small;
            style.anchor = ANCHOR_MIDDLE;
            scene_text(scene, 0.5 * (left + right), mid - 1.8, &style, words);
            return;
        }
    }
}

/* Depth is at most SESSION_DEPTH_MOST.  Returns the second behind them. */
static int32_t draw_repeats(const struct frame *frame, const struct session_item items[], size_t n,
                            double y, int32_t at_s)
{
    for (size_t i = 0; i < n; i++) {
        if (items[i].times == 0) {
            at_s += items[i].step.seconds;
            continue;
        }
        const int32_t from_s = at_s;
        const double below = items[i].times > 1 ? y + HEAD * frame->size : y;
        for (int32_t k = 0; k < items[i].times; k++) {
            at_s = draw_repeats(frame, items[i].items, items[i].n_items, below, at_s);
        }
        if (items[i].times > 1 && at_s > from_s) {
            draw_bracket(frame, from_s, at_s, y, items[i].times);
        }
    }
    return at_s;
}

static int repeat_rows(const struct session *session)
{
    int rows = 0;
    for (size_t i = 0; i < session->n_lines; i++) {
        if (session->lines[i].kind == LINE_BLOCK) {
            const int own = depth_of(session->lines[i].items, session->lines[i].n_items);
            rows = own > rows ? own : rows;
        }
    }
    return rows;
}

/* ---- the panels ---- */

static const char *unit_words(const struct frame *frame)
{
    return card_profile_words(frame->unit == UNIT_W ? PROFILE_WATTS : PROFILE_EFFORT);
}

static double draw_power(struct frame *frame, double y)
{
    struct scene *scene = frame->scene;
    const struct session *session = frame->profile->session;
    const int rows = repeat_rows(session);
    /* The unit stands over the scale; a long one in a line of its own. */
    const double unit = frame->unit == UNIT_W && rows > 0 ? 0.0 : (HEAD + 0.45) * frame->size;
    struct text_style style = frame->small;
    style.anchor = frame->unit == UNIT_W ? ANCHOR_RIGHT : ANCHOR_LEFT;
    scene_text(scene, frame->unit == UNIT_W ? frame->left - AXIS_ROOM : frame->x, y + frame->size,
               &style, unit_words(frame));
    const double brackets = y + unit;
    const double top = brackets + rows * HEAD * frame->size + 2.0;
    frame->up = (struct scale){ 0.0, highest(frame), top + POWER_HIGH * frame->size, top };
    struct text_style upwards = frame->small;
    upwards.anchor = ANCHOR_RIGHT;
    const struct ticks ticks =
        axis_upwards(scene, &frame->up, AXIS_NUMBER, 4, &upwards, frame->left - AXIS_ROOM);
    axis_draw_rules(scene, &ticks, frame->left, frame->right);
    for (size_t i = 0; i < frame->n; i++) {
        draw_block(frame, &frame->blocks[i]);
    }
    scene_line(scene, frame->left, frame->up.from, frame->right, frame->up.from,
               &(struct stroke){ COLOUR_QUIET, 0.7, 0.0 });
    if (frame->unit == UNIT_W || ticks.n > 0) {
        axis_draw_labels(scene, &ticks, &upwards);
    }
    int32_t at_s = 0;
    for (size_t i = 0; i < session->n_lines; i++) {
        if (session->lines[i].kind == LINE_BLOCK) {
            at_s = draw_repeats(frame, session->lines[i].items, session->lines[i].n_items, brackets,
                                at_s);
        }
    }
    return frame->up.from;
}

static double draw_time(const struct frame *frame, double y)
{
    const struct stroke thin = { COLOUR_QUIET, 0.7, 0.0 };
    const struct ticks ticks =
        axis_across(frame->scene, &frame->time, AXIS_TIME, 7, &frame->label, y + 1.45 * frame->size,
                    frame->left - AXIS_ROOM, frame->right, frame->size);
    for (size_t i = 0; i < ticks.n; i++) {
        scene_line(frame->scene, ticks.tick[i].at, y, ticks.tick[i].at, y + 2.5, &thin);
    }
    axis_draw_labels(frame->scene, &ticks, &frame->label);
    return y + FOOT * frame->size;
}

/* The profile's seconds, the first of them as gaps. */
static const double *without_first(const struct frame *frame, const double x[], size_t first)
{
    double *out = arena_alloc(frame->scene->arena, frame->profile->n, sizeof *out);
    for (size_t i = 0; i < frame->profile->n; i++) {
        out[i] = i < first ? (double)NAN : x[i];
    }
    return out;
}

/* A band with its middle over the session's time. */
struct panel {
    enum card_profile_word word; /* its head */
    enum colour head;
    struct trace lows;
    struct trace highs;
    struct trace middle;
    double low; /* the scale's ends */
    double high;
    double height; /* in sizes of the text */
    size_t most_ticks;
    enum colour band;
    struct stroke line;
    bool with_nought; /* where it should end: a line of its own */
};

static double draw_panel(const struct frame *frame, double y, const struct panel *panel)
{
    struct scene *scene = frame->scene;
    const struct text_style head = { FACE_SANS, frame->size, panel->head, ANCHOR_LEFT };
    scene_text(scene, frame->left, y + frame->size, &head, card_profile_words(panel->word));
    const double top = y + HEAD * frame->size;
    const struct scale up = { panel->low, panel->high, top + panel->height * frame->size, top };
    struct text_style upwards = frame->small;
    upwards.anchor = ANCHOR_RIGHT;
    const struct ticks ticks =
        axis_upwards(scene, &up, AXIS_NUMBER, panel->most_ticks, &upwards, frame->left - AXIS_ROOM);
    axis_draw_rules(scene, &ticks, frame->left, frame->right);
    trace_band(scene, &panel->lows, &panel->highs, &frame->time, &up, 1.0, panel->band);
    trace_mean_line(scene, &panel->middle, &frame->time, &up, 1.0, &panel->line);
    if (panel->with_nought) {
        const double nought = scale_at(&up, 0.0);
        scene_line(scene, frame->left, nought, frame->right, nought,
                   &(struct stroke){ COLOUR_QUIET, 0.7, 0.0 });
    }
    axis_draw_labels(scene, &ticks, &upwards);
    return up.from;
}

static double draw_heart(const struct frame *frame, double y)
{
    const struct session_profile *profile = frame->profile;
    double low = 0.0;
    double high = 0.0;
    double unused = 0.0;
    /* Nobody's heart starts a session where the model does: its first minutes aren't drawn. */
    const size_t settle = (size_t)profile->limits->value[LIMIT_RESPONSE_SETTLE_S];
    const size_t n = profile->n;
    const size_t first = n > 2 * settle ? settle : 0;
    struct panel panel = { .word = PROFILE_HEART,
                           .head = COLOUR_HEART_TEXT,
                           .lows = { without_first(frame, profile->heart_low_bpm, first), n },
                           .highs = { without_first(frame, profile->heart_high_bpm, first), n },
                           .middle = { without_first(frame, profile->heart_bpm, first), n },
                           .height = HEART_HIGH,
                           .most_ticks = 5,
                           .band = COLOUR_HEART_EXPECTED,
                           .line = { COLOUR_HEART, 1.1, 3.0 } };
    if (!trace_extremes(&panel.lows, first, n, &low, &unused) ||
        !trace_extremes(&panel.highs, first, n, &unused, &high)) {
        return y;
    }
    panel.low = low - HEART_ROOM_BPM;
    panel.high = high + HEART_ROOM_BPM;
    return draw_panel(frame, y, &panel);
}

static const double *kilo(struct arena *arena, const double x[], size_t n)
{
    double *out = arena_alloc(arena, n, sizeof *out);
    for (size_t i = 0; i < n; i++) {
        out[i] = x[i] / 1000.0;
    }
    return out;
}

static double draw_left(const struct frame *frame, double y)
{
    struct arena *arena = frame->scene->arena;
    const struct w_balance *left = frame->profile->left;
    const size_t n = left->n;
    double low = 0.0;
    double high = 0.0;
    double unused = 0.0;
    struct panel panel = { .word = PROFILE_LEFT,
                           .head = COLOUR_PLUM,
                           .lows = { kilo(arena, left->low_j, n), n },
                           .highs = { kilo(arena, left->high_j, n), n },
                           .middle = { kilo(arena, left->middle_j, n), n },
                           .height = LEFT_HIGH,
                           .most_ticks = 3,
                           .band = COLOUR_LIKELY,
                           .line = { COLOUR_PLUM, 1.1, 0.0 },
                           .with_nought = true };
    if (!trace_extremes(&panel.lows, 0, n, &low, &unused) ||
        !trace_extremes(&panel.highs, 0, n, &unused, &high)) {
        return y;
    }
    panel.low = fmin(low, 0.0);
    panel.high = fmax(high, 1.0);
    return draw_panel(frame, y, &panel);
}

/* What dashes and hatching mean, where there are any. */
static double draw_legend(const struct frame *frame, double y)
{
    bool button = false;
    bool open = false;
    for (size_t i = 0; i < frame->n; i++) {
        const struct session_ridden *ridden = frame->blocks[i].ridden;
        button = button || ridden->seconds == 0;
        open = open || (ridden->seconds > 0 && ridden->step->aim == AIM_FREE);
    }
    if (!button && !open) {
        return y;
    }
    const char *words = arena_format(
        frame->scene->arena, "%s%s%s", button ? card_profile_words(PROFILE_BUTTON) : "",
        button && open ? " " : "", open ? card_profile_words(PROFILE_OPEN) : "");
    const struct run run = { words, FACE_SANS, COLOUR_QUIET };
    const struct place place = scene_paragraph(frame->scene, frame->left, y,
                                               frame->right - frame->left, frame->size, &run, 1);
    return place.y + place.height;
}

/* As wide as the widest number that can stand beside a scale. */
static double gutter(const struct frame *frame)
{
    return scene_measure(frame->scene, 0.0, 0.0, &frame->small, "2000").width + AXIS_ROOM;
}

double session_profile_draw(struct scene *scene, double x, double y, double width, double size,
                            const struct session_profile *profile)
{
    struct frame frame = { .scene = scene,
                           .profile = profile,
                           .x = x,
                           .right = x + width,
                           .size = size,
                           .label = { FACE_SANS, size, COLOUR_QUIET, ANCHOR_MIDDLE },
                           .small = { FACE_SANS, size, COLOUR_QUIET, ANCHOR_LEFT } };
    read_blocks(&frame);
    if (!(frame.seconds > 0.0)) {
        const struct run run = { card_profile_words(PROFILE_NONE), FACE_SANS, COLOUR_QUIET };
        scene_begin_part(scene, ROLE_PARAGRAPH, NULL);
        const struct place place = scene_paragraph(scene, x, y, width, size, &run, 1);
        scene_end_part(scene);
        return place.y + place.height;
    }
    frame.left = x + gutter(&frame);
    frame.time = (struct scale){ 0.0, frame.seconds, frame.left, frame.right };
    scene_begin_part(scene, ROLE_FIGURE, card_profile_label(scene->arena, profile->session));
    y = draw_power(&frame, y);
    if (profile->heart_bpm != NULL && profile->n > 0) {
        y = draw_heart(&frame, y + 0.6 * size);
    }
    if (profile->left != NULL && profile->left->n > 0) {
        y = draw_left(&frame, y + 0.6 * size);
    }
    y = draw_time(&frame, y);
    y = draw_legend(&frame, y);
    scene_end_part(scene);
    return y;
}

struct session_profile session_profile_of(const struct session_card *card, double max_heart_bpm,
                                          const struct limits *limits)
{
    return (struct session_profile){ .session = card->session,
                                     .limits = limits,
                                     .zones = card->by_power ? card->zones : NULL,
                                     .threshold_w = card->threshold_w,
                                     .max_heart_bpm = max_heart_bpm,
                                     .by_power = card->by_power,
                                     .heart_bpm = card->outlook->expected.heart_bpm,
                                     .heart_low_bpm = card->outlook->expected.heart_low_bpm,
                                     .heart_high_bpm = card->outlook->expected.heart_high_bpm,
                                     .n = card->outlook->expected.n };
}

void session_profile_add_left(struct session_profile *profile,
                              const struct session_outlook *outlook)
{
    const struct w_balance *balance = &outlook->expected.balance;
    const bool is_spent = balance->is_known && outlook->verdict != OUTLOOK_NONE_HARD;
    profile->left = is_spent && balance->middle_j != NULL ? balance : NULL;
}

/* ---- alone ---- */

static const struct scene_table *table_of(const struct scene *scene,
                                          const struct session_profile *profile)
{
    const char *const heads[] = { card_profile_words(PROFILE_WHEN),
                                  card_profile_words(PROFILE_LENGTH),
                                  card_profile_words(PROFILE_ASKED) };
    struct arena *arena = scene->arena;
    size_t n = 0;
    const struct session_ridden *ridden = session_unroll(arena, profile->session, &n);
    struct scene_table *table =
        scene_table_begin(arena, card_profile_label(arena, profile->session), heads, 3, n);
    for (size_t i = 0; i < n; i++) {
        struct session_step step = *ridden[i].step;
        const bool in_w = profile->by_power && step.aim == AIM_PCT && profile->threshold_w > 0.0;
        const double scale = in_w ? profile->threshold_w / 100.0 : 1.0;
        step.seconds = ridden[i].seconds;
        const char *asked = card_range(arena, in_w ? AIM_W : step.aim, scale * ridden[i].low,
                                       scale * ridden[i].high);
        const char **row = &table->cells[3 * i];
        row[0] = words_clock(arena, ridden[i].from_s);
        row[1] = card_length(arena, &step);
        row[2] = asked[0] == '\0' ? card_free() : asked;
    }
    return table;
}

struct scene session_profile_figure(const struct figure_maker *maker, const char *title,
                                    const struct session_profile *profile)
{
    static const double SIZE = 8.0;
    static const double EDGE = 4.0;
    struct scene scene = figure_begin(maker, title);
    scene.height =
        session_profile_draw(&scene, EDGE, EDGE, scene.width - 2.0 * EDGE, SIZE, profile) + EDGE;
    scene.table = table_of(&scene, profile);
    return scene;
}
