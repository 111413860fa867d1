/* cli/weeks.c: plumbline week, progress, load: what a rider's weeks say. */
#include "cli/figure_out.h"
#include "cli/hints.h"
#include "cli/read_words.h"
#include "cli/roster_call.h"
#include "coaching/words/came_words.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/words.h"
#include "drawing/rider_page.h"
#include "server/answers/weeks.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct weeks_values {
    struct roster_values common;
    const char *against;
    const char *weeks;
    struct figure_values figure;
};

/* Weeks of load that are shown where none are asked for. */
enum { WEEKS_SHOWN = 8 };

#define ROW(field) offsetof(struct weeks_values, field), 0, 0

/* What is printed, and where. */
struct page {
    struct weeks weeks;
    struct json json;
};

static bool begin(struct roster_call *call, struct page *page, struct error *err)
{
    struct weeks *weeks = &page->weeks;
    struct rider rider = { 0 };
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !weeks_take(call->roster, call->arena, &rider, call->today, weeks, err)) {
        return false;
    }
    if (call->json) {
        page->json = json_begin(&call->out);
        json_begin_object(&page->json, NULL);
        weeks_head_json(&page->json, weeks, call->today);
        return true;
    }
    text_add_format(&call->out, "%s, %s\n", weeks->rider.name,
                    words_day(call->arena, weeks->history.today));
    if (weeks->n_waiting > 0) {
        text_add(&call->out, "  ");
        text_add_wrapped(&call->out,
                         hint_after(call->arena,
                                    words_being_read_again(call->arena, weeks->n_waiting),
                                    HINT_WAITING),
                         2, 2, 80);
    }
    if (weeks->n_unheld > 0) {
        text_add(&call->out, "  ");
        text_add_wrapped(&call->out,
                         hint_after(call->arena,
                                    words_usual_being_made(call->arena, weeks->n_unheld),
                                    HINT_WAITING),
                         2, 2, 80);
    }
    return true;
}

static void finish(struct roster_call *call, struct page *page)
{
    if (call->json) {
        json_end_object(&page->json);
    }
}

static void add(struct roster_call *call, struct page *page, const struct reading *const readings[],
                size_t n)
{
    if (call->json) {
        readings_json(&page->json, "readings", readings, n, NULL);
        return;
    }
    for (size_t i = 0; i < n; i++) {
        /* Who has had no break needn't be told of coming back. */
        if (readings[i]->verdict != VERDICT_NO_BREAK) {
            read_words_add_reading(&call->out, words_question(readings[i]->question), readings[i]);
        }
    }
}

/* ---- figures ---- */

static bool check_figure(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct weeks_values *values = raw;
    (void)call;
    return figure_out_check(&values->figure, err);
}

/* The page to draw on; out->path is NULL if no figure was asked for. */
static bool open_figure(const struct roster_call *call, const struct page *page, const void *raw,
                        struct figure_out *out, struct rider_page *drawn, struct error *err)
{
    const struct weeks_values *values = raw;
    const bool opened = figure_out_open(call->arena, &values->figure, out, err);
    *drawn = (struct rider_page){ call->arena, out->fonts, page->weeks.rider.name,
                                  page->weeks.history.today };
    return opened;
}

static bool close_figure(const struct roster_call *call, struct figure_out *out,
                         const struct scene *scene, struct error *err)
{
    const bool written = figure_out_write(call->arena, out, out->path, scene, err);
    figure_out_close(out);
    return written;
}

/* ---- week ---- */

static const struct option_row week_options[] = {
    FIGURE_OPTIONS(offsetof(struct weeks_values, figure)), ROSTER_OPTIONS
};

static bool draw_week(const struct roster_call *call, const struct page *page, const void *raw,
                      const struct rider_readings *readings, struct error *err)
{
    struct figure_out out;
    struct rider_page drawn;
    if (!open_figure(call, page, raw, &out, &drawn, err) || out.path == NULL) {
        return out.path == NULL;
    }
    const struct scene scene =
        rider_page_week(&drawn, &page->weeks.history, readings, &page->weeks.limits);
    return close_figure(call, &out, &scene, err);
}

/* What came back of the last seven days, a line a session, and of the weeks before. */
static void add_came(struct roster_call *call, struct page *page, const struct weeks_came *came)
{
    if (call->json) {
        weeks_came_json(&page->json, came);
        return;
    }
    if (came->weeks.counts.given == 0) {
        return;
    }
    text_add(&call->out, "\n  What came back\n");
    for (size_t i = 0; i < came->n; i++) {
        const struct came_line line = came_back_line_of(&came->sessions[i]);
        text_add(&call->out, "    ");
        text_add_wrapped(&call->out, came_words_line(call->arena, &line), 4, 6, 80);
    }
    text_add(&call->out, "    ");
    text_add_wrapped(&call->out,
                     came_words_counts(call->arena, &came->weeks.counts, came->weeks.weeks), 4, 4,
                     80);
}

static bool week(struct roster_call *call, const void *raw, struct error *err)
{
    struct arena *arena = call->arena;
    struct page page;
    struct weeks_came came;
    struct rider_readings all;
    const struct reading *readings[WEEK_READINGS];
    if (!begin(call, &page, err) ||
        !weeks_came_take(call->roster, arena, &page.weeks, call->today, &came, err)) {
        return false;
    }
    const struct rider_history *history = &page.weeks.history;
    rider_readings_make(arena, history, WEEKS_SHOWN, &page.weeks.limits, &all);
    weeks_readings(&all, readings);
    add(call, &page, readings, WEEK_READINGS);
    add_came(call, &page, &came);
    if (!call->json && history->threshold_day != INT64_MIN) {
        text_add_format(&call->out, "\n  %s\n",
                        words_threshold_age(arena, history->threshold_day, history->today));
    }
    finish(call, &page);
    return draw_week(call, &page, raw, &all, err);
}

/* ---- progress ---- */

static const struct option_row progress_options[] = {
    { "against", OPTION_TEXT, "WHEN", "before (the six weeks before these), or last-year",
      ROW(against) },
    FIGURE_OPTIONS(offsetof(struct weeks_values, figure)),
    ROSTER_OPTIONS,
};

static const struct roster_work progress_work;

static bool take_against(const struct weeks_values *values, enum progress_against *out,
                         struct error *err)
{
    const char *word = values->against == NULL ? "before" : values->against;
    *out = strcmp(word, "last-year") == 0 ? PROGRESS_LAST_YEAR : PROGRESS_BEFORE;
    if (*out == PROGRESS_BEFORE && strcmp(word, "before") != 0) {
        return roster_usage(&progress_work, "--against: say before or last-year", err);
    }
    return true;
}

static bool progress_check(const struct roster_call *call, const void *raw, struct error *err)
{
    enum progress_against against;
    return take_against(raw, &against, err) && check_figure(call, raw, err);
}

/* The windows, for people: both ends included. */
static const char *span_words(struct arena *arena, int64_t from, int64_t to)
{
    return arena_format(arena, "%s to %s", words_day(arena, from), words_day(arena, to - 1));
}

static void add_durations(struct roster_call *call, struct page *page,
                          const struct rider_progress *progress)
{
    struct arena *arena = call->arena;
    if (call->json) {
        json_begin_array(&page->json, "durations");
        for (size_t i = 0; i < progress->n; i++) {
            reading_json_add(&page->json, &progress->each[i]);
        }
        json_end_array(&page->json);
        return;
    }
    text_add_format(&call->out, "\n  %8s  %-15s %10s %17s  %s\n", "over", "", "change", "likely",
                    "all-out efforts");
    for (size_t i = 0; i < progress->n; i++) {
        const struct reading *each = &progress->each[i];
        const struct bests_change *change = &progress->changes[i];
        const bool known = change->state == CHANGE_KNOWN;
        text_add_format(&call->out, "  %8s  %-15s %10s %17s  %zu before, %zu now\n",
                        words_duration(arena, each->set), words_verdict(each->verdict),
                        known ? arena_format(arena, "%+.1f %%", each->estimate) : "-",
                        known ? arena_format(arena, "%+.1f to %+.1f", each->low, each->high) : "-",
                        change->n_before, change->n_recent);
    }
    roster_call_sentence(call, words_several_durations());
}

static bool draw_progress(const struct roster_call *call, const struct page *page, const void *raw,
                          const struct rider_progress *progress, struct error *err)
{
    struct figure_out out;
    struct rider_page drawn;
    if (!open_figure(call, page, raw, &out, &drawn, err) || out.path == NULL) {
        return out.path == NULL;
    }
    const struct scene scene = rider_page_progress(&drawn, progress);
    return close_figure(call, &out, &scene, err);
}

static bool progress(struct roster_call *call, const void *raw, struct error *err)
{
    struct page page;
    struct rider_progress progress;
    enum progress_against against;
    if (!take_against(raw, &against, err) || !begin(call, &page, err)) {
        return false;
    }
    rider_progress_read(call->arena, &page.weeks.history, against, &page.weeks.limits, &progress);
    if (!call->json) {
        text_add_format(&call->out, "  %s\n  against %s\n",
                        span_words(call->arena, progress.recent_from, progress.recent_to),
                        span_words(call->arena, progress.before_from, progress.before_to));
    }
    const struct reading *const readings[] = { &progress.joint, &progress.stalled };
    add(call, &page, readings, 2);
    add_durations(call, &page, &progress);
    finish(call, &page);
    return draw_progress(call, &page, raw, &progress, err);
}

/* ---- load ---- */

static const struct option_row load_options[] = {
    { "weeks", OPTION_TEXT, "N", "how many weeks, 2 to 104; 8 unless said", ROW(weeks) },
    FIGURE_OPTIONS(offsetof(struct weeks_values, figure)),
    ROSTER_OPTIONS,
};

static const struct roster_work load_work;

static bool take_weeks(const struct weeks_values *values, size_t *n, struct error *err)
{
    const char *word = values->weeks == NULL ? "" : values->weeks;
    const size_t length = strlen(word);
    *n = values->weeks == NULL ? WEEKS_SHOWN
         : length > 0 && length < 4 && strspn(word, "0123456789") == length
             ? (size_t)strtoul(word, NULL, 10)
             : 0;
    return (*n >= 2 && *n <= 104) ||
           roster_usage(&load_work, "--weeks: a whole number from 2 to 104", err);
}

static bool load_check(const struct roster_call *call, const void *raw, struct error *err)
{
    size_t n = 0;
    return take_weeks(raw, &n, err) && check_figure(call, raw, err);
}

/* "1,598", "> 1,598" where some rides don't tell it, "-" where none does. */
static const char *amount(struct arena *arena, const struct week_amount *amount, size_t n_rides,
                          double unit)
{
    return isnan(amount->sum) ? "-"
                              : arena_format(arena, "%s%s", amount->known < n_rides ? "> " : "",
                                             words_whole(arena, amount->sum / unit));
}

static const char *impulse(struct arena *arena, const struct week_load *week)
{
    const char *low = amount(arena, &week->impulse_low, week->n_rides, 1.0);
    const bool one =
        isnan(week->impulse_low.sum) || week->impulse_high.sum - week->impulse_low.sum < 0.5;
    return one ? low
               : arena_format(arena, "%s-%s", low, words_whole(arena, week->impulse_high.sum));
}

static void add_week_row(struct roster_call *call, const struct week_load *week)
{
    struct arena *arena = call->arena;
    char monday[11];
    dates_format_day(week->monday, monday);
    text_add_format(
        &call->out, "  %-10s %5zu %6.1f %8s %9s %8s %5zu  %5s %6s%s\n", monday, week->n_rides,
        week->hours, amount(arena, &week->work_kj, week->n_rides, 1.0), impulse(arena, week),
        amount(arena, &week->session_rpe, week->n_rides, 1.0), week->n_hard_days,
        isnan(week->by_effort.monotony) ? "-"
                                        : arena_format(arena, "%.1f", week->by_effort.monotony),
        isnan(week->by_effort.strain) ? "-" : words_whole(arena, week->by_effort.strain),
        week->is_over ? "" : " so far");
}

static bool draw_load(const struct roster_call *call, const struct page *page, const void *raw,
                      const struct load_weeks *load, struct error *err)
{
    struct figure_out out;
    struct rider_page drawn;
    if (!open_figure(call, page, raw, &out, &drawn, err) || out.path == NULL) {
        return out.path == NULL;
    }
    const struct scene scene = rider_page_load(&drawn, load);
    return close_figure(call, &out, &scene, err);
}

static bool load(struct roster_call *call, const void *raw, struct error *err)
{
    struct page page;
    struct load_weeks load;
    size_t n = 0;
    if (!take_weeks(raw, &n, err) || !begin(call, &page, err)) {
        return false;
    }
    load_weeks_read(call->arena, &page.weeks.history, n, &page.weeks.limits, &load);
    if (call->json) {
        json_begin_array(&page.json, "weeks");
        for (size_t i = 0; i < load.n; i++) {
            week_load_json(&page.json, &load.weeks[i]);
        }
        json_end_array(&page.json);
    } else {
        text_add_format(&call->out, "\n  %-10s %5s %6s %8s %9s %8s %5s  %5s %6s\n", "week of",
                        "rides", "hours", "kJ", "impulse", "effort", "hard", "mono-", "strain");
        text_add_format(&call->out, "  %-10s %5s %6s %8s %9s %8s %5s  %5s\n", "", "", "", "", "",
                        "x min", "days", "tony");
        for (size_t i = 0; i < load.n; i++) {
            add_week_row(call, &load.weeks[i]);
        }
    }
    const struct reading *const readings[] = { &load.last, &load.now };
    add(call, &page, readings, 2);
    finish(call, &page);
    return draw_load(call, &page, raw, &load, err);
}

/* ---- the commands ---- */

static const struct roster_work week_work = {
    .command = &command_week, .least_words = 1, .most_words = 1, .check = check_figure, .run = week
};
static const struct roster_work progress_work = { .command = &command_progress,
                                                  .least_words = 1,
                                                  .most_words = 1,
                                                  .check = progress_check,
                                                  .run = progress };
static const struct roster_work load_work = {
    .command = &command_load, .least_words = 1, .most_words = 1, .check = load_check, .run = load
};

static int week_run(int argc, char *const argv[])
{
    struct weeks_values values = { 0 };
    return roster_call(&week_work, argc, argv, &values);
}

static int progress_run(int argc, char *const argv[])
{
    struct weeks_values values = { 0 };
    return roster_call(&progress_work, argc, argv, &values);
}

static int load_run(int argc, char *const argv[])
{
    struct weeks_values values = { 0 };
    return roster_call(&load_work, argc, argv, &values);
}

const struct command command_week = {
    .name = "week",
    .usage = "RIDER [options]",
    .summary = "how a rider is, base, easy work, progress and load, this week",
    .about = "Says how the rider is, whether the base is built, whether easy rides were easy, "
             "whether bests got better or stalled, and how much was ridden, each with its "
             "evidence and what would settle it. Nothing later than --today is used.",
    .options = week_options,
    .n_options = sizeof week_options / sizeof week_options[0],
    .run = week_run,
};

const struct command command_progress = {
    .name = "progress",
    .usage = "RIDER [options]",
    .summary = "is the rider getting better, over each duration and together",
    .about = "Compares the bests of the last six weeks with those of the six before, or with the "
             "same weeks a year ago: only those with evidence of being all-out, corrected for how "
             "often each was tried. Also says whether progress has stalled.",
    .options = progress_options,
    .n_options = sizeof progress_options / sizeof progress_options[0],
    .run = progress_run,
};

const struct command command_load = {
    .name = "load",
    .usage = "RIDER [options]",
    .summary = "hours, work, training impulse and hard days, week by week",
    .about = "Lists weeks by ISO 8601, from Monday: rides of any sport, hours, work, training "
             "impulse (two figures where the rider's sex is not set), effort times minutes, hard "
             "days, monotony and strain. No score is made of them. \"> \" means that some rides of "
             "the week don't tell it.",
    .options = load_options,
    .n_options = sizeof load_options / sizeof load_options[0],
    .run = load_run,
};
