/* coaching/attention_health.c: situations of health, and of hard work that must wait. */
#include "coaching/attention_rules.h"

#include <math.h>

/* ---- look now ---- */

/* A cause of "how is the rider?" that rests on notes: evidence is the note put down last. */
bool attention_find_how_note(const struct attention_look *look, const struct attention_rule *rule,
                             struct attention_found *found, struct cause *why)
{
    const struct reading *how = &look->rider->readings->how;
    if (!attention_by_cause(&how->because, rule->code, why)) {
        return false;
    }
    found->evidence = (int64_t)cause_value(why, "note");
    found->order = -(int64_t)cause_value(why, "day");
    return true;
}

/* Evidence: the ride put in last of those with a caution. */
bool attention_find_cautions(const struct attention_look *look, const struct attention_rule *rule,
                             struct attention_found *found, struct cause *why)
{
    (void)rule;
    const struct rider_history *history = attention_history(look);
    const int64_t from = history->today - attention_days(look, LIMIT_CAUTION_TWICE_DAYS);
    double count = 0.0;
    const struct past_ride *last = NULL;
    int64_t evidence = 0;
    for (size_t i = history_ride_from(history, from + 1); i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        if (ride->cautions != 0) {
            count += 1.0;
            last = ride;
            evidence = ride->id > evidence ? ride->id : evidence;
        }
    }
    if (last == NULL || count < 1.5) {
        return false;
    }
    attention_about(last, found, why);
    found->evidence = evidence;
    cause_number(why, "count", count);
    cause_number(why, "cautions", (double)last->cautions);
    return true;
}

/* Evidence: the first day of the illness. */
bool attention_find_unwell_long(const struct attention_look *look,
                                const struct attention_rule *rule, struct attention_found *found,
                                struct cause *why)
{
    (void)rule;
    const struct comeback *back = &look->rider->readings->comeback;
    if (back->ill_days <= attention_days(look, LIMIT_COMEBACK_DOCTOR_DAYS) ||
        (back->reading.verdict != VERDICT_OFF && back->reading.verdict != VERDICT_COMING_BACK)) {
        return false;
    }
    cause_number(why, "days", (double)back->ill_days);
    found->evidence = back->ill_from;
    found->order = back->ill_from;
    return true;
}

/* After illness or injury; after days without a ride it is only said what holds.  Evidence: the
 * hard ride. */
bool attention_find_hard_too_soon(const struct attention_look *look,
                                  const struct attention_rule *rule, struct attention_found *found,
                                  struct cause *why)
{
    (void)rule;
    const struct comeback *back = &look->rider->readings->comeback;
    const struct past_ride *ride = attention_newest(attention_history(look), attention_is_hard_day);
    const bool harms = back->kind == COMEBACK_ILL || back->kind == COMEBACK_INJURY;
    if (!harms || ride == NULL || ride->day < back->from_day || ride->day >= back->hard_from ||
        !attention_is_recent(look, ride)) {
        return false;
    }
    attention_about(ride, found, why);
    cause_number(why, "ill", back->kind == COMEBACK_ILL ? 1.0 : 0.0);
    cause_number(why, "hard_from",
                 back->hard_from == INT64_MAX ? (double)NAN : (double)back->hard_from);
    return true;
}

/* Evidence: the first day of the illness. */
bool attention_find_ill(const struct attention_look *look, const struct attention_rule *rule,
                        struct attention_found *found, struct cause *why)
{
    (void)rule;
    const struct comeback *back = &look->rider->readings->comeback;
    const struct reading *how = &look->rider->readings->how;
    const bool noted = causes_find(&how->because, "ill-now") != NULL ||
                       causes_find(&how->because, "ill-noted") != NULL;
    if (!noted || back->kind != COMEBACK_ILL) {
        return false;
    }
    cause_number(why, "day", (double)back->ill_from);
    cause_number(why, "days", (double)back->ill_days);
    cause_number(why, "now", back->to_day == INT64_MAX ? 1.0 : 0.0);
    found->evidence = back->ill_from;
    found->order = -back->ill_from;
    return true;
}

/* Words of illness, where nobody has noted an illness yet. */
bool attention_find_ill_words(const struct attention_look *look, const struct attention_rule *rule,
                              struct attention_found *found, struct cause *why)
{
    const struct comeback *back = &look->rider->readings->comeback;
    const bool is_noted =
        back->kind == COMEBACK_ILL &&
        (back->reading.verdict == VERDICT_OFF || back->reading.verdict == VERDICT_COMING_BACK);
    return !is_noted && attention_find_how_note(look, rule, found, why);
}

/* Evidence: the ride put in last of those compared. */
bool attention_find_effort(const struct attention_look *look, const struct attention_rule *rule,
                           struct attention_found *found, struct cause *why)
{
    const struct reading *how = &look->rider->readings->how;
    if (!attention_by_cause(&how->because, rule->code, why)) {
        return false;
    }
    found->evidence = (int64_t)cause_value(why, "ride");
    found->ride = found->evidence;
    found->order = -found->evidence;
    found->reading = how;
    return true;
}

/* ---- heart rate against usual ---- */

static bool is_held_against_usual(const struct past_ride *ride)
{
    return !isnan(ride->against_bpm) && ride->day_sd_bpm > 0.0;
}

/* How far off it was, by how this rider's days spread. */
static double against_sd(const struct past_ride *ride)
{
    return ride->against_bpm / ride->day_sd_bpm;
}

static bool has_hard_day_near(const struct attention_look *look, int64_t day)
{
    const struct rider_history *history = attention_history(look);
    const int64_t near = attention_days(look, LIMIT_TODAY_HARD_DAYS);
    for (size_t i = history_ride_from(history, day - near);
         i < history->n_rides && history->rides[i].day <= day + near; i++) {
        if (history->rides[i].is_hard_day) {
            return true;
        }
    }
    return false;
}

/* The one before it of an earlier day, near enough to be running with it; NULL if there is none. */
static const struct past_ride *running_with(const struct attention_look *look,
                                            const struct past_ride *ride)
{
    const struct rider_history *history = attention_history(look);
    const int64_t most = attention_days(look, LIMIT_TODAY_PAIR_DAYS);
    for (size_t i = history_ride_from(history, ride->day); i > 0; i--) {
        const struct past_ride *before = &history->rides[i - 1];
        if (ride->day - before->day > most) {
            break;
        }
        if (is_held_against_usual(before)) {
            return before;
        }
    }
    return NULL;
}

/* Once far off with a hard day near, or twice running.  Evidence: the newest ride that was held
 * against usual: one that is as usual again takes it away. */
bool attention_find_heart(const struct attention_look *look, const struct attention_rule *rule,
                          struct attention_found *found, struct cause *why)
{
    (void)rule;
    const struct past_ride *ride = attention_newest(attention_history(look), is_held_against_usual);
    if (ride == NULL || !attention_is_recent(look, ride)) {
        return false;
    }
    const double off = against_sd(ride);
    const double twice = look->limits->value[LIMIT_TODAY_TWICE_SD];
    const bool is_once =
        fabs(off) >= look->limits->value[LIMIT_TODAY_ONCE_SD] && has_hard_day_near(look, ride->day);
    const struct past_ride *before = running_with(look, ride);
    const bool is_twice = before != NULL && fabs(off) >= twice &&
                          fabs(against_sd(before)) >= twice && off * against_sd(before) > 0.0;
    if (!is_once && !is_twice) {
        return false;
    }
    attention_about(ride, found, why);
    cause_number(why, "bpm", ride->against_bpm);
    cause_number(why, "before_bpm", is_twice ? before->against_bpm : (double)NAN);
    found->reading = &look->rider->readings->how;
    return true;
}

/* Legs, sleep, stress, soreness, where they are what decided.  Evidence: the last answer. */
bool attention_find_feels_worse(const struct attention_look *look,
                                const struct attention_rule *rule, struct attention_found *found,
                                struct cause *why)
{
    (void)rule;
    static const char *const codes[] = { "legs-worse", "sleep-worse", "stress-worse",
                                         "soreness-worse" };
    static const char *const names[] = { "legs", "sleep", "stress", "soreness" };
    const struct reading *how = &look->rider->readings->how;
    if (how->verdict != VERDICT_LOOK && how->verdict != VERDICT_ASK_FIRST) {
        return false;
    }
    double far = 0.0;
    for (size_t i = 0; i < 4; i++) {
        const struct cause *cause = causes_find(&how->because, codes[i]);
        if (cause != NULL) {
            const double points = fabs(cause_value(cause, "now") - cause_value(cause, "usual"));
            far = fmax(far, points);
            cause_number(why, names[i], cause_value(cause, "now"));
            const int64_t note = (int64_t)cause_value(cause, "note");
            found->evidence = note > found->evidence ? note : found->evidence;
        }
    }
    found->order = -found->evidence;
    return why->n_numbers > 1 ||
           (why->n_numbers == 1 && far >= look->limits->value[LIMIT_HOW_SCALE_FAR_POINTS]);
}

/* Evidence: the first day off. */
bool attention_find_coming_back(const struct attention_look *look,
                                const struct attention_rule *rule, struct attention_found *found,
                                struct cause *why)
{
    (void)rule;
    const struct comeback *back = &look->rider->readings->comeback;
    const int64_t today = attention_history(look)->today;
    /* What is left then is a hard session and a test, both of which can wait. */
    if (back->reading.verdict != VERDICT_COMING_BACK || today >= back->hard_from) {
        return false;
    }
    cause_number(why, "to_day", (double)back->to_day);
    cause_number(why, "hard_from", (double)back->hard_from);
    cause_number(why, "ill", back->kind == COMEBACK_ILL ? 1.0 : 0.0);
    found->evidence = back->from_day;
    found->order = -back->to_day;
    return true;
}

bool attention_find_caution(const struct attention_look *look, const struct attention_rule *rule,
                            struct attention_found *found, struct cause *why)
{
    struct cause twice = { 0 };
    struct attention_found unused = { 0 };
    const struct rider_history *history = attention_history(look);
    const struct past_ride *last = NULL;
    const int64_t from = history->today + 1 - attention_days(look, LIMIT_ATTENTION_RIDE_DAYS);
    for (size_t i = history_ride_from(history, from); i < history->n_rides; i++) {
        last = history->rides[i].cautions != 0 ? &history->rides[i] : last;
    }
    if (last == NULL || attention_find_cautions(look, rule, &unused, &twice)) {
        return false;
    }
    attention_about(last, found, why);
    cause_number(why, "cautions", (double)last->cautions);
    return true;
}

/* Rides hard, and the questions before hard work aren't answered. */
bool attention_find_screening(const struct attention_look *look, const struct attention_rule *rule,
                              struct attention_found *found, struct cause *why)
{
    (void)rule;
    const struct past_ride *ride = attention_newest(attention_history(look), attention_is_hard_day);
    if (!look->rider->advice_first || ride == NULL || !attention_is_recent(look, ride)) {
        return false;
    }
    attention_about(ride, found, why);
    return true;
}
