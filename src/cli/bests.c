/* cli/bests.c: plumbline bests: the greatest mean power of a rider over a range of days. */
#include "base/dates.h"
#include "cli/figure_out.h"
#include "cli/roster_call.h"
#include "coaching/words/meter_words.h"
#include "coaching/words/words.h"
#include "drawing/rider_page.h"
#include "server/answers/bests_figure.h"
#include "server/answers/weeks.h"

#include <math.h>
#include <string.h>

struct bests_values {
    struct roster_values common;
    const char *from;
    const char *to;
    const char *against;
    bool all;
    struct figure_values figure;
};

#define ROW(field) offsetof(struct bests_values, field), 0, 0

static const struct option_row options[] = {
    { "from", OPTION_TEXT, "DATE", "the first day", ROW(from) },
    { "to", OPTION_TEXT, "DATE", "the first day that no longer counts; else the day after today",
      ROW(to) },
    { "against", OPTION_TEXT, "RANGE",
      "beside them those of: before (as many days before --from), last-year (the same days), or "
      "FROM..TO",
      ROW(against) },
    { "all", OPTION_FLAG, NULL,
      "every duration that is kept: each second to 10 min, then steps of at most 1 %", ROW(all) },
    FIGURE_OPTIONS(offsetof(struct bests_values, figure)),
    ROSTER_OPTIONS,
};

/* ---- what is printed ---- */

static void add_line_words(struct text *out, struct arena *arena, const struct best_line *line,
                           bool compares)
{
    const struct best_told *shown = &line->one;
    const struct best_told *against = &line->two;
    text_add_format(out, "%12s  %7.0f", words_duration(arena, line->duration_s), shown->power_w);
    if (isnan(shown->w_per_kg)) {
        text_add_format(out, "  %5s", "-");
    } else {
        text_add_format(out, "  %5.2f", shown->w_per_kg);
    }
    text_add_format(out, "  %-10s %6lld", shown->day, (long long)shown->ride);
    if (compares && against->known) {
        text_add_format(out, "  %7.0f %+6.0f %+6.1f %%", against->power_w,
                        shown->power_w - against->power_w,
                        (shown->power_w / against->power_w - 1.0) * 100.0);
    } else if (compares) {
        text_add_format(out, "  %7s", "-");
    }
    const bool is_open = shown->at_least || (compares && against->known && against->at_least);
    text_add_format(out, "%s%s\n", line->meters.differ ? " m" : "", is_open ? " *" : "");
}

static void add_side_words(struct text *out, const char *before, const struct best_side *side)
{
    const bool all = strcmp(side->range.from, "0001-01-01") == 0;
    text_add_format(out, "%s%s%s before %s, of %zu %s with power", before, all ? "" : " from ",
                    all ? "" : side->range.from, side->range.to, side->n_rides,
                    side->n_rides == 1 ? "ride" : "rides");
}

static struct bests_wish wish_of(const struct bests_values *values)
{
    return (struct bests_wish){ .from = values->from,
                                .to = values->to,
                                .against = values->against,
                                .all = values->all,
                                .dashes = "--" };
}

static void add_page(struct roster_call *call, const struct bests_told *told)
{
    bool is_open = false;
    text_add_format(&call->out, "%s: bests", told->rider->name);
    add_side_words(&call->out, "", &told->side);
    if (told->compares) {
        add_side_words(&call->out, ";\nagainst those", &told->against);
    }
    text_add(&call->out, ".\n\n");
    text_add_format(&call->out, "%12s  %7s  %5s  %-10s %6s", "", "W", "W/kg", "day", "ride");
    text_add(&call->out, told->compares ? "  against      W      %\n" : "\n");
    for (size_t i = 0; i < told->n; i++) {
        const struct best_line *line = &told->lines[i];
        is_open = is_open || line->one.at_least || line->two.at_least;
        add_line_words(&call->out, call->arena, line, told->compares);
    }
    if (told->side.bests->count == 0) {
        text_add(&call->out, "No ride with power in these days.\n");
    } else if (is_open) {
        text_add(&call->out, "\n* at least: seconds without power could hide a better one.\n");
    }
    const struct meters_part *part = bests_meters_said(told);
    if (part != NULL) {
        text_add(&call->out, "\n");
        text_add_wrapped(
            &call->out,
            words_meters_bests(call->arena, part->link, part->pct, part->low, part->high), 0, 2,
            80);
    }
}

/* ---- as a figure ---- */

/* With --all every second would get a row: the page shows the usual ones. */
static bool draw_alone(struct roster_call *call, const struct rider *rider,
                       const struct bests_values *values, struct page_bests *out, struct error *err)
{
    struct bests_wish wish = wish_of(values);
    struct bests_told told;
    wish.all = false;
    if (!bests_told_take(call->roster, call->arena, rider, &wish, call->today, &told, err)) {
        return false;
    }
    struct page_best *bests = ARENA_ARRAY(call->arena, struct page_best, told.n);
    for (size_t i = 0; i < told.n; i++) {
        const struct best_told *one = &told.lines[i].one;
        if (one->known) {
            bests[out->n_bests++] = (struct page_best){ told.lines[i].duration_s, one->power_w,
                                                        dates_day_number(one->day), one->at_least };
        }
    }
    out->bests = bests;
    return true;
}

/* The ladder needs what says that a best was all-out, which only a history knows. */
static bool draw_against(struct roster_call *call, const struct bests_told *told,
                         struct rider_progress *progress, struct page_bests *out, struct error *err)
{
    struct weeks weeks;
    if (!weeks_take(call->roster, call->arena, told->rider, call->today, &weeks, err)) {
        return false;
    }
    bests_progress(call->arena, told, &weeks.history, &weeks.limits, progress);
    out->progress = progress;
    out->against = bests_curve(call->arena, &told->against);
    return true;
}

static bool draw(struct roster_call *call, const struct bests_values *values,
                 const struct bests_told *told, struct error *err)
{
    struct figure_out out;
    struct rider_progress progress;
    if (values->figure.path == NULL) {
        return true;
    }
    struct page_bests bests = { .curve = bests_curve(call->arena, &told->side) };
    if (!(told->compares ? draw_against(call, told, &progress, &bests, err)
                         : draw_alone(call, told->rider, values, &bests, err)) ||
        !figure_out_open(call->arena, &values->figure, &out, err)) {
        return false;
    }
    const struct rider_page page = { call->arena, out.fonts, told->rider->name,
                                     dates_day_number(call->today) };
    const struct scene scene = rider_page_bests(&page, &bests);
    const bool written = figure_out_write(call->arena, &out, out.path, &scene, err);
    figure_out_close(&out);
    return written;
}

static bool print(struct roster_call *call, const void *raw, struct error *err)
{
    const struct bests_wish wish = wish_of(raw);
    struct rider rider = { 0 };
    struct bests_told told;
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !bests_told_take(call->roster, call->arena, &rider, &wish, call->today, &told, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        bests_told_json(&json, &told, false);
        json_end_object(&json);
    } else {
        add_page(call, &told);
    }
    return draw(call, raw, &told, err);
}

/* Before the roster is opened. */
static bool check_options(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct bests_values *values = raw;
    const struct bests_wish wish = wish_of(values);
    struct days_range range;
    struct days_range against;
    return figure_out_check(&values->figure, err) &&
           bests_ranges(&wish, call->today, &range, &against, err);
}

static const struct roster_work work = { .command = &command_bests,
                                         .least_words = 1,
                                         .most_words = 1,
                                         .check = check_options,
                                         .run = print };

static int bests_run(int argc, char *const argv[])
{
    struct bests_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_bests = {
    .name = "bests",
    .usage = "RIDER [options]",
    .summary = "a rider's greatest mean power, over any range of days",
    .about = "Lists the greatest mean power of a rider for the usual durations, over all days up "
             "to today or a range of them, with the ride each is of, and W/kg with the weight in "
             "force that day. --against sets another range beside it. A greater best may only mean "
             "that it was tried more often.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = bests_run,
};
