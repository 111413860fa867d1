/* cli/critical.c: plumbline critical: critical power from a rider's all-out efforts. */
#include "base/dates.h"
#include "cli/roster_call.h"
#include "coaching/rider_cautions.h"
#include "coaching/words/caution_words.h"
#include "coaching/words/power_words.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/words.h"
#include "roster/facts.h"
#include "server/answers/weeks.h"

struct critical_values {
    struct roster_values common;
};

static const struct option_row options[] = { ROSTER_OPTIONS };

struct critical {
    struct weeks weeks;
    struct rider_facts facts;
    struct rider_cautions cautions;
    struct rider_power power;
};

static bool load(struct roster_call *call, struct critical *critical, struct error *err)
{
    struct rider rider = { 0 };
    struct weeks *weeks = &critical->weeks;
    *critical = (struct critical){ .facts = facts_unknown() };
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !weeks_take(call->roster, call->arena, &rider, call->today, weeks, err) ||
        !facts_on(call->roster, call->arena, rider.id, call->today, &critical->facts, err)) {
        return false;
    }
    critical->cautions = rider_cautions_find(&critical->facts, &weeks->limits);
    rider_power_read(call->arena, &weeks->history, &weeks->limits, &critical->power);
    return true;
}

static void add_forms(struct json *json, const struct power_duration *curve)
{
    json_begin_array(json, "forms");
    for (int form = 0; form < DURATION_FORMS; form++) {
        const struct duration_fit *fit = &curve->forms[form];
        if (fit->is_fitted) {
            json_begin_object(json, NULL);
            json_string(json, "form", duration_form_name((enum duration_form)form));
            json_number(json, "cp_w", fit->cp_w, 1);
            json_number(json, "cp_se_w", fit->cp_se_w, 1);
            json_number(json, "w_prime_j", fit->w_prime_j, 0);
            json_number(json, "w_prime_se_j", fit->w_prime_se_j, 0);
            json_number(json, "peak_w", fit->peak_w, 0);
            json_end_object(json);
        }
    }
    json_end_array(json);
}

static void print_json(struct roster_call *call, const struct critical *critical)
{
    struct json json = json_begin(&call->out);
    const struct power_duration *curve = &critical->power.curve;
    json_begin_object(&json, NULL);
    weeks_head_json(&json, &critical->weeks, call->today);
    json_string(&json, "end", duration_end_name(curve->end));
    json_number(&json, "cp_w", curve->cp_w, 1);
    json_number(&json, "cp_low_w", curve->cp_low_w, 1);
    json_number(&json, "cp_high_w", curve->cp_high_w, 1);
    json_number(&json, "w_prime_j", curve->w_prime_j, 0);
    json_number(&json, "w_prime_low_j", curve->w_prime_low_j, 0);
    json_number(&json, "w_prime_high_j", curve->w_prime_high_j, 0);
    json_number(&json, "threshold_w", critical->facts.threshold_w, 1);
    add_forms(&json, curve);
    json_begin_array(&json, "efforts");
    for (size_t i = 0; i < critical->power.n_efforts; i++) {
        const struct duration_effort *effort = &critical->power.efforts[i];
        char day[11];
        dates_format_day(effort->day, day);
        json_begin_object(&json, NULL);
        json_integer(&json, "ride", effort->ride);
        json_string(&json, "day", day);
        json_integer(&json, "start_s", effort->start_s);
        json_number(&json, "duration_s", effort->duration_s, 0);
        json_number(&json, "power_w", effort->mean_w, 1);
        json_end_object(&json);
    }
    json_end_array(&json);
    json_integer(&json, "efforts_with_another_meter", (int64_t)critical->power.n_other_meter);
    json_string(&json, "text",
                words_critical_power(call->arena, &critical->power, &critical->weeks.limits));
    json_end_object(&json);
}

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

static void print_forms(struct roster_call *call, const struct power_duration *curve)
{
    text_add(&call->out, "\n");
    for (int form = 0; form < DURATION_FORMS; form++) {
        const struct duration_fit *fit = &curve->forms[form];
        if (fit->is_fitted) {
            text_add_format(&call->out, "  %-40s %4.0f W and %5.1f kJ\n",
                            duration_form_name((enum duration_form)form), fit->cp_w,
                            fit->w_prime_j / 1000.0);
        }
    }
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    struct critical critical;
    (void)raw;
    if (!load(call, &critical, err)) {
        return false;
    }
    if (call->json) {
        print_json(call, &critical);
        return true;
    }
    text_add_format(&call->out, "%s, %s\n", critical.weeks.rider.name,
                    words_day(call->arena, critical.weeks.history.today));
    if (critical.weeks.n_waiting > 0) {
        roster_call_sentence(call, words_being_read_again(call->arena, critical.weeks.n_waiting));
    }
    roster_call_sentence(
        call, words_critical_power(call->arena, &critical.power, &critical.weeks.limits));
    if (critical.power.n_efforts > 0) {
        print_efforts(call, &critical.power);
    }
    if (critical.power.curve.end == DURATION_KNOWN) {
        print_forms(call, &critical.power.curve);
        roster_call_sentence(call,
                             words_critical_and_threshold(call->arena, critical.facts.threshold_w));
    } else {
        for (size_t i = 0; i < critical.cautions.count; i++) {
            roster_call_sentence(call, words_rider_caution(critical.cautions.list[i]));
        }
    }
    return true;
}

static const struct roster_work work = {
    .command = &command_critical, .least_words = 1, .most_words = 1, .run = run
};

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
