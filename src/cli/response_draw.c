/* cli/response_draw.c: --figure of critical, heart and teach. */
#include "cli/response_draw.h"

#include "base/dates.h"
#include "coaching/words/caution_words.h"
#include "coaching/words/power_words.h"
#include "coaching/words/rider_words.h"
#include "drawing/response_page.h"
#include "server/answers/response_figure.h"

enum { SENTENCES_MOST = 12 };

/* A page, and what is said on it. */
struct drawn {
    struct figure_out out;
    struct rider_page page;
    struct response_said said;
    const char *sentences[SENTENCES_MOST];
};

static bool begin(const struct roster_call *call, const struct figure_values *values,
                  const struct weeks *weeks, const char *what, struct drawn *drawn,
                  struct error *err)
{
    *drawn = (struct drawn){ .said = { .what = what } };
    if (!figure_out_open(call->arena, values, &drawn->out, err)) {
        return false;
    }
    drawn->page = (struct rider_page){ call->arena, drawn->out.fonts, weeks->rider.name,
                                       weeks->history.today };
    drawn->said.under = words_day(call->arena, weeks->history.today);
    drawn->said.sentences = drawn->sentences;
    return true;
}

static void say(struct drawn *drawn, const char *words)
{
    if (drawn->said.n < SENTENCES_MOST) {
        drawn->sentences[drawn->said.n++] = words;
    }
}

static void say_cautions(struct drawn *drawn, const struct rider_cautions *cautions)
{
    for (size_t i = 0; i < cautions->count; i++) {
        say(drawn, words_rider_caution(cautions->list[i]));
    }
}

static bool end(const struct roster_call *call, struct drawn *drawn, const struct scene *scene,
                struct error *err)
{
    const bool written = figure_out_write(call->arena, &drawn->out, drawn->out.path, scene, err);
    figure_out_close(&drawn->out);
    return written;
}

bool response_draw_critical(const struct roster_call *call, const struct figure_values *values,
                            const struct critical_told *told, struct error *err)
{
    struct drawn drawn;
    if (values->path == NULL) {
        return true;
    }
    if (!begin(call, values, &told->weeks, "critical power", &drawn, err)) {
        return false;
    }
    say(&drawn, words_critical_power(call->arena, &told->power, &told->weeks.limits));
    if (told->power.curve.end == DURATION_KNOWN) {
        say(&drawn, words_critical_and_threshold(call->arena, told->facts.threshold_w));
    } else {
        say_cautions(&drawn, &told->cautions);
    }
    const struct scene scene = response_page_critical(&drawn.page, &drawn.said, &told->power);
    return end(call, &drawn, &scene, err);
}

/* ---- heart ---- */

static bool draw_ride(const struct roster_call *call, const struct heart_told *told,
                      struct drawn *drawn, struct error *err)
{
    struct heart_ride ride;
    struct left_told left;
    drawn->said.under = words_day(call->arena, dates_day_number(told->row.local_day));
    if (!response_ride_of_row(call->roster, call->arena, &told->weeks, &told->found, &told->row,
                              &ride, err) ||
        !response_left_of_row(call->roster, call->arena, &told->weeks, &told->row, &left, err)) {
        figure_out_close(&drawn->out);
        return false;
    }
    say(drawn, told->found.is_withheld ? words_heart_withheld() : heart_ride_text(told));
    const struct scene scene =
        response_page_ride(&drawn->page, &drawn->said, &ride, &left.balance, &told->weeks.limits);
    return end(call, drawn, &scene, err);
}

bool response_draw_heart(const struct roster_call *call, const struct figure_values *values,
                         const struct heart_told *told, struct error *err)
{
    struct drawn drawn;
    if (values->path == NULL) {
        return true;
    }
    if (!begin(call, values, &told->weeks, "heart rate against usual", &drawn, err)) {
        return false;
    }
    if (told->is_ride) {
        return draw_ride(call, told, &drawn, err);
    }
    say(&drawn, told->found.is_withheld ? words_heart_withheld()
                                        : words_heart_response(call->arena, &told->found.response,
                                                               &told->weeks.limits));
    const struct heart_weeks weeks = response_weeks_of(call->arena, &told->weeks, &told->found);
    const struct scene scene =
        response_page_weeks(&drawn.page, &drawn.said, &weeks, &told->weeks.limits);
    return end(call, &drawn, &scene, err);
}

/* ---- teach ---- */

bool response_draw_teach(const struct roster_call *call, const struct figure_values *values,
                         const struct teach_told *told, struct error *err)
{
    const struct teaching withheld = { .end = TEACHING_NO_RESPONSE };
    struct drawn drawn;
    if (values->path == NULL) {
        return true;
    }
    if (!begin(call, values, &told->critical.weeks, "one session in two ways", &drawn, err)) {
        return false;
    }
    say(&drawn, teach_text(call->arena, told));
    say_cautions(&drawn, &told->critical.cautions);
    const struct scene scene = response_page_teaching(
        &drawn.page, &drawn.said, told->found.is_withheld ? &withheld : &told->teaching);
    return end(call, &drawn, &scene, err);
}
