/* cli/teach.c: plumbline teach: one session ridden to power and to heart rate. */
#include "cli/hints.h"
#include "cli/read_facts.h"
#include "cli/response_draw.h"
#include "coaching/words/caution_words.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/teaching_words.h"
#include "coaching/words/words.h"
#include "server/answers/teach.h"

#include <math.h>

struct teach_values {
    struct roster_values common;
    struct figure_values figure;
    const char *reps;
    const char *target;
    double rest_s;
    double heart_bpm;
};

#define ROW(field) offsetof(struct teach_values, field)

static const struct option_row options[] = {
    { "reps", OPTION_TEXT, "NxTIME", "efforts: 5x4min (the usual), 4x8min", ROW(reps), 0, 0 },
    { "target", OPTION_TEXT, "LOW-HIGH", "106-120 in % of threshold, 225-245W in watts",
      ROW(target), 0, 0 },
    { "rest", OPTION_NUMBER, "S", "seconds between efforts (180)", ROW(rest_s), 10, 1800 },
    { "heart", OPTION_NUMBER, "BPM", "what is ridden to (90 % of maximal)", ROW(heart_bpm), 60,
      230 },
    FIGURE_OPTIONS(ROW(figure)),
    ROSTER_OPTIONS,
};

static bool take_wish(const struct teach_values *values, struct teach_wish *wish, struct error *err)
{
    struct rider_facts facts = facts_unknown();
    *wish = teach_wish_none();
    if (!read_facts_asked(values->target, NULL, values->reps, &facts, err)) {
        return false;
    }
    wish->reps = facts.reps_asked;
    wish->rep_s = facts.rep_duration_s;
    wish->rest_s = values->rest_s > 0.0 ? values->rest_s : (double)NAN;
    wish->heart_bpm = values->heart_bpm > 0.0 ? values->heart_bpm : (double)NAN;
    wish->target_w = (facts.target.low_w + facts.target.high_w) / 2.0;
    wish->target_pct = (facts.target.low_pct + facts.target.high_pct) / 2.0;
    return true;
}

static bool check(const struct roster_call *call, const void *raw, struct error *err)
{
    struct teach_wish wish;
    const struct teach_values *values = raw;
    (void)call;
    return figure_out_check(&values->figure, err) && take_wish(raw, &wish, err);
}

static void add_way(struct roster_call *call, const struct teaching *teaching,
                    enum teaching_way way)
{
    const struct teaching_ride *ride = &teaching->rides[way];
    text_add_format(&call->out, "\n  To %s\n  %6s %7s %12s %11s %11s %10s %8s\n",
                    teaching_way_name(way), "effort", "mean, W", "first third", "last third",
                    "heart, end", "min >=90 %", "left, kJ");
    for (int i = 0; i < teaching->session.reps; i++) {
        const struct teaching_rep *rep = &ride->reps[i];
        text_add_format(&call->out, "  %6d %7.0f %12.0f %11.0f %11.0f %10.1f %8.1f\n", i + 1,
                        rep->mean_w, rep->first_third_w, rep->last_third_w, rep->heart_end_bpm,
                        rep->at_90_s / 60.0, fmax(rep->left_j, 0.0) / 1000.0);
    }
}

static void print_words(struct roster_call *call, const struct teach_told *told)
{
    const char *message = teach_message(call->arena, told);
    text_add_format(&call->out, "%s, %s\n", told->critical.weeks.rider.name,
                    words_day(call->arena, told->critical.weeks.history.today));
    const enum hint hint =
        told->found.is_withheld ? HINT_NONE : words_teaching_hint(&told->teaching);
    roster_call_sentence(call, hint_after(call->arena, teach_text(call->arena, told), hint));
    for (int way = 0;
         told->teaching.end == TEACHING_TOLD && !told->found.is_withheld && way < TEACH_WAYS;
         way++) {
        add_way(call, &told->teaching, (enum teaching_way)way);
    }
    for (size_t i = 0; i < told->critical.cautions.count; i++) {
        roster_call_sentence(call, words_rider_caution(told->critical.cautions.list[i]));
    }
    if (message != NULL) {
        roster_call_sentence(call, arena_format(call->arena, "To send: %s", message));
    }
    if (told->teaching.end == TEACHING_TOLD && !told->found.is_withheld) {
        roster_call_sentence(call, words_teaching_basis());
    }
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    struct rider rider = { 0 };
    struct teach_wish wish;
    struct teach_told told;
    const struct teach_values *values = raw;
    if (!take_wish(raw, &wish, err) ||
        !riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !teach_take(call->roster, call->arena, &rider, &wish, call->today, &told, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        teach_json(&json, &told, call->today);
        json_end_object(&json);
    } else {
        print_words(call, &told);
    }
    return response_draw_teach(call, &values->figure, &told, err);
}

static const struct roster_work work = {
    .command = &command_teach, .least_words = 1, .most_words = 1, .check = check, .run = run
};

static int teach_run(int argc, char *const argv[])
{
    struct teach_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_teach = {
    .name = "teach",
    .usage = "RIDER [options]",
    .summary = "one session ridden to power and to heart rate",
    .about = "Shows what chasing heart rate does: the same session (5 x 4 minutes, unless another "
             "is named) ridden to power and ridden to heart rate by a simulated rider with this "
             "rider's own numbers, and words to send. Needs a heart response and critical power; "
             "else it says what lacks.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = teach_run,
};
