/* cli/session_card.c: plumbline session card: sessions on paper. */
#include "cli/session.h"

#include "base/data.h"
#include "base/dates.h"
#include "base/files_set.h"
#include "cli/figure_out.h"
#include "drawing/session_card.h"
#include "drawing/session_profile.h"
#include "roster/readings.h"
#include "roster/session_cards.h"
#include "server/answers/sessions.h"

#include <stdlib.h>
#include <string.h>

#define N_ROWS(rows) (sizeof(rows) / sizeof(rows)[0])

enum { WEEK = 7 };

struct card_values {
    struct roster_values common;
    const char *page;
    const char *out;
    const char *week;
    bool no_power;
    struct figure_values figure;
};

#define ROW(field) offsetof(struct card_values, field), 0, 0
static const struct option_row card_options[] = {
    { "out", OPTION_TEXT, "FILE",
      "where the card goes: FILE.pdf; or FILE.png, FILE-2.png ..., a page each", ROW(out) },
    { "page", OPTION_TEXT, "SIZE", "a6 (as it is without), or a5", ROW(page) },
    { "week", OPTION_TEXT, "DATE", "in place of NUMBER: all sessions of the seven days from DATE",
      ROW(week) },
    { "no-power", OPTION_FLAG, NULL, "without a power meter that day: by heart rate and feel",
      ROW(no_power) },
    { "profile", OPTION_TEXT, "OUT", "the profile alone: OUT.svg, .png, .pdf, or .json",
      offsetof(struct card_values, figure) + offsetof(struct figure_values, path), 0, 0 },
    ROSTER_OPTIONS,
};
#undef ROW

static bool check_card(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct card_values *values = raw;
    enum card_paper paper;
    enum picture picture;
    int64_t day = 0;
    char *end = NULL;
    if (values->page != NULL && !card_paper_find(values->page, &paper)) {
        return error_set(err, ERROR_USAGE, "--page %.20s: a6 or a5", values->page);
    }
    if (values->out == NULL && values->figure.path == NULL) {
        return error_set(err, ERROR_USAGE, "where to? give --out FILE.pdf or FILE.png; see --help");
    }
    if (values->out != NULL && (!picture_of_name(values->out, &picture, err) ||
                                (picture != PICTURE_PDF && picture != PICTURE_PNG))) {
        return error_set(err, ERROR_USAGE, "%s: a card's name ends in .pdf or .png", values->out);
    }
    if (values->out != NULL && picture == PICTURE_PNG && values->week != NULL) {
        return error_set(err, ERROR_USAGE, "%s: a week of cards is one FILE.pdf", values->out);
    }
    if (!figure_out_check(&values->figure, err)) {
        return false;
    }
    if (values->week != NULL && !dates_parse_day(values->week, &day)) {
        return error_set(err, ERROR_USAGE, "--week %.20s: no such day; 2026-03-14", values->week);
    }
    if ((values->week == NULL) != (call->n_words == 2)) {
        return error_set(err, ERROR_USAGE, "give a number of session list, or --week DATE");
    }
    if (values->week != NULL && values->figure.path != NULL) {
        return error_set(err, ERROR_USAGE, "--profile is of one session: give its number");
    }
    return values->week != NULL || (strtoll(call->words[1], &end, 10) > 0 && *end == '\0') ||
           error_set(err, ERROR_USAGE, "%.40s: no number of session list; see --help",
                     call->words[1]);
}

/* Drafted, given or done; what is withdrawn isn't ridden. */
static bool find_rows(struct roster_call *call, const struct card_values *values,
                      const struct rider *rider, struct rider_session **out, size_t *n,
                      struct error *err)
{
    struct rider_session *rows = NULL;
    size_t count = 0;
    *n = 0;
    if (values->week == NULL) {
        *out = ARENA_ARRAY(call->arena, struct rider_session, 1);
        *n = 1;
        return entries_find(call->roster, call->arena, &session_kind, rider,
                            strtoll(call->words[1], NULL, 10), *out, err);
    }
    if (!entries_list(call->roster, call->arena, &session_kind, rider->id, &rows, &count, err)) {
        return false;
    }
    const int64_t from = dates_day_number(values->week);
    *out = ARENA_ARRAY(call->arena, struct rider_session, count + 1);
    for (int64_t day = from; day < from + WEEK; day++) {
        for (size_t i = 0; i < count; i++) {
            if (dates_day_number(rows[i].day) == day && strcmp(rows[i].state, "withdrawn") != 0) {
                (*out)[(*n)++] = rows[i];
            }
        }
    }
    return *n > 0 || error_set(err, ERROR_NOT_FOUND, "%s: no session in the seven days from %s",
                               rider->name, values->week);
}

static bool draw_profile(struct roster_call *call, const struct card_values *values,
                         const struct card_made *made, const struct limits *limits,
                         struct error *err)
{
    static const double WIDTH = 520.0;
    struct figure_out out;
    if (values->figure.path == NULL) {
        return true;
    }
    if (!figure_out_open(call->arena, &values->figure, &out, err)) {
        return false;
    }
    const struct figure_maker maker = { call->arena, out.fonts, WIDTH };
    struct session_profile profile = session_profile_of(&made->card, made->max_heart_bpm, limits);
    session_profile_add_left(&profile, made->card.outlook);
    struct scene scene = session_profile_figure(&maker, made->card.title, &profile);
    scene.date_utc = made->card.day * 86400;
    const bool written = figure_out_write(call->arena, &out, out.path, &scene, err);
    figure_out_close(&out);
    return written;
}

/* "card.png", "card-2.png", ... */
static const char *page_name(struct arena *arena, const char *path, size_t page)
{
    const char *ending = strrchr(path, '.');
    return page == 0
               ? path
               : arena_format(arena, "%.*s-%zu%s", (int)(ending - path), path, page + 1, ending);
}

/* For a screen: the ground that paper has by itself is painted. */
static bool add_picture(struct arena *arena, struct files_set *files, const char *path,
                        const struct scene *page, struct error *err)
{
    struct scene whole = *page;
    struct bytes bytes = { 0 };
    whole.is_bare = false;
    return paint_scene(arena, &whole, PICTURE_PNG, THEME_LIGHT, &bytes, err) &&
           files_set_add(files, path, bytes, err);
}

/* All pages or none. */
static bool write_pictures(struct arena *arena, const char *path, const struct card_pages *pages,
                           struct error *err)
{
    struct files_set *files = ARENA_ARRAY(arena, struct files_set, 1);
    if (pages->n > FILES_SET_MOST) {
        return error_set(err, ERROR_USAGE,
                         "%s: it has %zu pages, too many for pictures; FILE.pdf "
                         "holds them",
                         path, pages->n);
    }
    files_set_begin(files);
    for (size_t i = 0; i < pages->n; i++) {
        if (!add_picture(arena, files, page_name(arena, path, i), &pages->pages[i], err)) {
            files_set_drop(files);
            return false;
        }
    }
    return files_set_keep(files, err);
}

static bool write_cards(struct arena *arena, const char *path, const struct card_pages *pages,
                        struct error *err)
{
    struct bytes bytes = { 0 };
    enum picture picture = PICTURE_PDF;
    if (!picture_of_name(path, &picture, err)) {
        return false;
    }
    return picture == PICTURE_PNG ? write_pictures(arena, path, pages, err)
                                  : paint_pages(arena, pages->pages, pages->n, &bytes, err) &&
                                        files_write(path, bytes, err);
}

static bool draw_cards(struct roster_call *call, const struct card_values *values,
                       const struct card_made made[], size_t n, const struct limits *limits,
                       size_t *n_pages, struct error *err)
{
    enum card_paper paper = CARD_A6;
    struct card_pages pages = { 0 };
    struct fonts *fonts = NULL;
    const char *folder = NULL;
    if (values->out == NULL) {
        return true;
    }
    if ((values->page != NULL && !card_paper_find(values->page, &paper)) ||
        !data_find(call->arena, "fonts", &folder, err) || !fonts_open(folder, &fonts, err)) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        session_card_draw(call->arena, fonts, &made[i].card, made[i].max_heart_bpm, limits, paper,
                          &pages);
    }
    const bool written = write_cards(call->arena, values->out, &pages, err);
    fonts_close(fonts);
    *n_pages = pages.n;
    return written;
}

static void tell(struct roster_call *call, const struct card_values *values,
                 const struct rider_session rows[], size_t n, size_t n_pages)
{
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        json_string(&json, "file", values->out);
        json_string(&json, "profile", values->figure.path);
        json_integer(&json, "pages", (int64_t)n_pages);
        json_begin_array(&json, "sessions");
        for (size_t i = 0; i < n; i++) {
            session_json(&json, NULL, &rows[i]);
        }
        json_end_array(&json);
        json_end_object(&json);
        return;
    }
    for (size_t i = 0; i < n; i++) {
        text_add_wrapped(
            &call->out,
            arena_format(call->arena, "%s  %s (%s)", rows[i].day, rows[i].name, rows[i].state), 0,
            2, 80);
    }
    if (values->out != NULL) {
        text_add_wrapped(&call->out,
                         arena_format(call->arena, "%s: %zu page%s", values->out, n_pages,
                                      n_pages == 1 ? "" : "s"),
                         0, 2, 80);
    }
}

static bool run_card(struct roster_call *call, const void *raw, struct error *err)
{
    const struct card_values *values = raw;
    struct rider rider = { 0 };
    struct limits limits;
    struct rider_session *rows = NULL;
    size_t n = 0;
    size_t n_pages = 0;
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !find_rows(call, values, &rider, &rows, &n, err) ||
        !readings_limits(roster_db(call->roster), call->arena, rider.id, &limits, err)) {
        return false;
    }
    struct card_made *made = ARENA_ARRAY(call->arena, struct card_made, n);
    for (size_t i = 0; i < n; i++) {
        const struct card_wanted wanted = { values->no_power,
                                            strcmp(rows[i].day, call->today) < 0 };
        if (!session_cards_make(call->roster, call->arena, &rider, &rows[i], wanted, &limits,
                                &made[i], err)) {
            return false;
        }
    }
    if (!draw_profile(call, values, &made[0], &limits, err) ||
        !draw_cards(call, values, made, n, &limits, &n_pages, err)) {
        return false;
    }
    tell(call, values, rows, n, n_pages);
    return true;
}

static const struct roster_work card_work = { .command = &command_session_card,
                                              .least_words = 1,
                                              .most_words = 2,
                                              .check = check_card,
                                              .run = run_card };

static int card_run(int argc, char *const argv[])
{
    struct card_values values = { 0 };
    return roster_call(&card_work, argc, argv, &values);
}

const struct command command_session_card = {
    .name = "session card",
    .usage = "RIDER [NUMBER] --out FILE.pdf [options]",
    .summary = "a session on paper, for the rider's pocket",
    .about = "Its profile and parts with ranges in W, what heart rate to expect, talk and effort, "
             "cautions, plan B, and the five questions to answer afterwards, by number: note "
             "--paste reads them. A long one goes on to a second page. Without power it leads by "
             "heart rate and feel, and says what that can't do.",
    .options = card_options,
    .n_options = N_ROWS(card_options),
    .run = card_run,
};
