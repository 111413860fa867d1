/* cli/critical.c: plumbline critical: critical power from a rider's all-out efforts. */
#include "cli/hints.h"
#include "cli/response_draw.h"
#include "coaching/words/caution_words.h"
#include "coaching/words/power_words.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/words.h"
#include "server/answers/critical.h"

#include <math.h>

struct critical_values {
    struct roster_values common;
    struct figure_values figure;
};

static const struct option_row options[] = {
    FIGURE_OPTIONS(offsetof(struct critical_values, figure)), ROSTER_OPTIONS
};

static void print_efforts(struct roster_call *call, const struct rider_power *power)
{
    text_add(&call->out, "\n");
    for (size_t i = 0; i < power->n_efforts; i++) {
        const struct duration_effort *effort = &power->efforts[i];
        text_add_format(&call->out, "  %10s  %5.0f W  ride %lld, %s at %s\n",
                        words_duration(call->arena, effort->duration_s), effort->mean_w,
                        (long long)effort->ride, words_day(call->arena, effort->day),
                        words_clock(call->arena, effort->start_s));
    }
    if (power->n_other_meter > 0) {
        roster_call_sentence(
            call, arena_format(call->arena,
                               "%zu more ridden with another meter are left out: efforts "
                               "belong to their meter.",
                               power->n_other_meter));
    }
}

/* "224" or "224 (3)": with its standard error, where an effort was left over to judge by. */
static const char *with_error(struct arena *arena, int decimals, double value, double error)
{
    return isnan(error) ? arena_format(arena, "%.*f", decimals, value)
                        : arena_format(arena, "%.*f (%.*f)", decimals, value, decimals, error);
}

static void print_forms(struct roster_call *call, const struct power_duration *curve,
                        const struct limits *limits)
{
    text_add(&call->out, "\n");
    for (int form = 0; form < DURATION_FORMS; form++) {
        const struct duration_fit *fit = &curve->forms[form];
        if (fit->is_fitted) {
            text_add_format(
                &call->out, "  %-40s %9s W and %11s kJ\n",
                duration_form_name((enum duration_form)form),
                with_error(call->arena, 0, fit->cp_w, fit->cp_se_w),
                with_error(call->arena, 1, fit->w_prime_j / 1000.0, fit->w_prime_se_j / 1000.0));
        }
    }
    roster_call_sentence(call, "In brackets: what each form says of its own standard error.");
    for (int form = 0; form < DURATION_FORMS; form++) {
        const char *lack =
            words_form_lack(call->arena, (enum duration_form)form, &curve->forms[form], limits);
        if (lack != NULL) {
            roster_call_sentence(call, lack);
        }
    }
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    struct rider rider = { 0 };
    struct critical_told critical;
    const struct critical_values *values = raw;
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !critical_take(call->roster, call->arena, &rider, call->today, &critical, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        critical_json(&json, &critical, call->today);
        json_end_object(&json);
        return response_draw_critical(call, &values->figure, &critical, err);
    }
    text_add_format(&call->out, "%s, %s\n", critical.weeks.rider.name,
                    words_day(call->arena, critical.weeks.history.today));
    if (critical.weeks.n_waiting > 0) {
        roster_call_sentence(
            call,
            hint_after(call->arena, words_being_read_again(call->arena, critical.weeks.n_waiting),
                       HINT_WAITING));
    }
    roster_call_sentence(
        call, words_critical_power(call->arena, &critical.power, &critical.weeks.limits));
    if (critical.power.n_efforts > 0) {
        print_efforts(call, &critical.power);
    }
    if (critical.power.curve.end == DURATION_KNOWN) {
        if (!critical.power.is_all_out) {
            print_forms(call, &critical.power.curve, &critical.weeks.limits);
        }
        roster_call_sentence(call,
                             words_critical_and_threshold(call->arena, critical.facts.threshold_w));
    } else {
        for (size_t i = 0; i < critical.cautions.count; i++) {
            roster_call_sentence(call, words_rider_caution(critical.cautions.list[i]));
        }
    }
    return response_draw_critical(call, &values->figure, &critical, err);
}

/* Before the roster is opened. */
static bool check_options(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct critical_values *values = raw;
    (void)call;
    return figure_out_check(&values->figure, err);
}

static const struct roster_work work = { .command = &command_critical,
                                         .least_words = 1,
                                         .most_words = 1,
                                         .check = check_options,
                                         .run = run };

static int critical_run(int argc, char *const argv[])
{
    struct critical_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_critical = {
    .name = "critical",
    .usage = "RIDER [options]",
    .summary = "critical power and the work above it, from all-out efforts",
    .about =
        "Fits mean power against duration to the rider's all-out efforts of 2 to 20 minutes in "
        "the last eight weeks, on the meter in use: critical power, and the work that can be "
        "done above it, each with its likely range; or why they can't be told. It isn't "
        "threshold, and neither is turned into the other.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = critical_run,
};
