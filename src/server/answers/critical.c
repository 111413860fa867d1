/* server/answers/critical.c: a rider's critical power as JSON. */
#include "server/answers/critical.h"

#include "base/dates.h"
#include "coaching/words/power_words.h"
#include "roster/facts.h"
#include "roster/ride_power.h"
#include "server/answers/rider.h"

bool critical_take(struct roster *roster, struct arena *arena, const struct rider *rider,
                   const char *today, struct critical_told *out, struct error *err)
{
    *out = (struct critical_told){ .facts = facts_unknown() };
    if (!weeks_take(roster, arena, rider, today, &out->weeks, err) ||
        !facts_on(roster, arena, rider->id, today, &out->facts, err)) {
        return false;
    }
    out->cautions = rider_cautions_find(&out->facts, &out->weeks.limits);
    return ride_power_of_rider(roster, arena, &out->weeks.history, &out->weeks.limits, &out->power,
                               err);
}

static void forms_json(struct json *json, const struct power_duration *curve)
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
            json_number(json, "peak_se_w", fit->peak_se_w, 0);
            json_end_object(json);
        }
    }
    json_end_array(json);
}

static void lacking_json(struct json *json, const struct critical_told *told)
{
    const struct power_duration *curve = &told->power.curve;
    const bool is_told = curve->end == DURATION_KNOWN && !told->power.is_all_out;
    json_begin_array(json, "forms_missing");
    for (int form = 0; is_told && form < DURATION_FORMS; form++) {
        const struct duration_fit *fit = &curve->forms[form];
        if (!fit->is_fitted) {
            json_begin_object(json, NULL);
            json_string(json, "form", duration_form_name((enum duration_form)form));
            json_string(json, "lack", duration_lack_name(fit->lack));
            json_string(json, "text",
                        words_form_lack(json->out->arena, (enum duration_form)form, fit,
                                        &told->weeks.limits));
            json_end_object(json);
        }
    }
    json_end_array(json);
}

static void efforts_json(struct json *json, const struct rider_power *power)
{
    json_begin_array(json, "efforts");
    for (size_t i = 0; i < power->n_efforts; i++) {
        const struct duration_effort *effort = &power->efforts[i];
        char day[11];
        dates_format_day(effort->day, day);
        json_begin_object(json, NULL);
        json_integer(json, "ride", effort->ride);
        json_string(json, "day", day);
        json_integer(json, "start_s", effort->start_s);
        json_number(json, "duration_s", effort->duration_s, 0);
        json_number(json, "power_w", effort->mean_w, 1);
        json_string(json, "all_out_by",
                    effort->is_maximal ? duration_said_name(effort->said_by) : NULL);
        json_end_object(json);
    }
    json_end_array(json);
}

void critical_json(struct json *json, const struct critical_told *told, const char *today)
{
    struct arena *arena = json->out->arena;
    const struct power_duration *curve = &told->power.curve;
    weeks_head_json(json, &told->weeks, today);
    json_string(json, "end", duration_end_name(curve->end));
    json_number(json, "cp_w", curve->cp_w, 1);
    json_number(json, "cp_low_w", curve->cp_low_w, 1);
    json_number(json, "cp_high_w", curve->cp_high_w, 1);
    json_number(json, "w_prime_j", curve->w_prime_j, 0);
    json_number(json, "w_prime_low_j", curve->w_prime_low_j, 0);
    json_number(json, "w_prime_high_j", curve->w_prime_high_j, 0);
    json_number(json, "threshold_w", told->facts.threshold_w, 1);
    forms_json(json, curve);
    lacking_json(json, told);
    efforts_json(json, &told->power);
    json_bool(json, "from_all_out_test", told->power.is_all_out);
    json_integer(json, "efforts_with_another_meter", (int64_t)told->power.n_other_meter);
    rider_cautions_json(json, &told->cautions);
    json_string(json, "text", words_critical_power(arena, &told->power, &told->weeks.limits));
    json_string(json, "threshold_text",
                curve->end == DURATION_KNOWN
                    ? words_critical_and_threshold(arena, told->facts.threshold_w)
                    : NULL);
}
