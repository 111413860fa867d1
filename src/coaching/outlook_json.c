/* coaching/outlook_json.c: what a session will bring, as JSON. */
#include "coaching/outlook.h"

#include <math.h>

static void said_json(struct json *json, const char *key, const struct outlook_said said[],
                      size_t n)
{
    json_begin_array(json, key);
    for (size_t i = 0; i < n; i++) {
        json_begin_object(json, NULL);
        json_string(json, "name", said[i].name);
        json_string(json, "words", said[i].words);
        json_end_object(json);
    }
    json_end_array(json);
}

static void dose_json(struct json *json, const struct session_outlook *outlook)
{
    const struct session_dose *dose = &outlook->dose;
    json_integer(json, "seconds", dose->seconds);
    json_integer(json, "seconds_without_watts", outlook->without_w_s);
    json_integer(json, "parts_until_the_button", outlook->n_buttons);
    json_number(json, "work_kj", outlook->expected.n > 0 ? outlook->expected.work_kj : (double)NAN,
                0);
    json_integer(json, "hard_s", dose->hard_s);
    json_integer(json, "threshold_s", dose->threshold_s);
    json_integer(json, "vo2max_s", dose->vo2max_s);
    json_integer(json, "anaerobic_s", dose->anaerobic_s);
    json_bool(json, "hard_day", dose->is_hard);
    json_bool(json, "maximal", dose->is_maximal);
    json_number(json, "threshold_w", outlook->threshold_w, 1);
}

static void zones_json(struct json *json, const struct session_outlook *outlook)
{
    const struct expected *expected = &outlook->expected;
    json_begin_array(json, "zones");
    for (size_t i = 0; expected->n > 0 && i < outlook->zones.count; i++) {
        if (!isnan(expected->zone_s[i])) {
            json_begin_object(json, NULL);
            json_string(json, "name", outlook->zones.name[i]);
            json_number(json, "seconds", expected->zone_s[i], 0);
            json_end_object(json);
        }
    }
    json_end_array(json);
}

static void w_prime_json(struct json *json, const struct session_outlook *outlook)
{
    const struct w_balance *balance = &outlook->expected.balance;
    if (!balance->is_known) {
        json_null(json, "w_prime");
        return;
    }
    json_begin_object(json, "w_prime");
    json_number(json, "least_j", balance->least_j, 0);
    json_number(json, "least_low_j", balance->least_low_j, 0);
    json_number(json, "least_high_j", balance->least_high_j, 0);
    json_integer(json, "least_at_s", balance->least_at_s);
    json_number(json, "short_at_s",
                outlook->short_at_s < 0 ? (double)NAN : (double)outlook->short_at_s, 0);
    json_end_object(json);
}

static void efforts_json(struct json *json, const struct expected *expected)
{
    json_begin_array(json, "efforts");
    for (size_t i = 0; i < expected->n_reps; i++) {
        const struct expected_rep *rep = &expected->reps[i];
        json_begin_object(json, NULL);
        json_integer(json, "start_s", rep->span.from_s);
        json_integer(json, "duration_s", rep->span.to_s - rep->span.from_s);
        json_number(json, "power_w", rep->power_w, 0);
        json_number(json, "heart_end_bpm", rep->heart_end_bpm, 0);
        json_number(json, "heart_settle_bpm", rep->heart_settle_bpm, 0);
        json_number(json, "reads_low_s", rep->reads_low_s, 0);
        json_number(json, "cost_j", rep->cost_j, 0);
        json_number(json, "w_prime_left_j", rep->left_j, 0);
        json_number(json, "w_prime_left_low_j", rep->left_low_j, 0);
        json_number(json, "w_prime_left_high_j", rep->left_high_j, 0);
        json_end_object(json);
    }
    json_end_array(json);
}

static void parts_json(struct json *json, const struct session_outlook *outlook)
{
    json_begin_array(json, "parts");
    for (size_t i = 0; i < outlook->n_parts; i++) {
        const struct outlook_part *part = &outlook->parts[i];
        json_begin_object(json, NULL);
        json_integer(json, "start_s", part->from_s);
        json_integer(json, "duration_s", part->seconds);
        json_number(json, "power_w", part->power_w, 0);
        json_number(json, "heart_settled_bpm", part->settled_bpm, 0);
        json_number(json, "heart_end_bpm", part->end_bpm, 0);
        json_number(json, "heart_low_bpm", part->low_bpm, 0);
        json_number(json, "heart_high_bpm", part->high_bpm, 0);
        json_number(json, "reads_low_s", part->reads_low_s, 0);
        json_number(json, "effort_low", part->feel.low, 0);
        json_number(json, "effort_high", part->feel.high, 0);
        json_string(json, "talk", part->feel.talk_tells ? feel_talk_name(part->feel.talk) : NULL);
        json_end_object(json);
    }
    json_end_array(json);
}

void expected_minutes_json(struct json *json, const struct expected *expected)
{
    json_begin_array(json, "minutes");
    for (size_t i = 0; i < expected->n_minutes; i++) {
        const struct expected_minute *minute = &expected->minutes[i];
        json_begin_object(json, NULL);
        json_number(json, "power_w", minute->power_w, 0);
        json_number(json, "heart_rate_bpm", minute->heart_bpm, 0);
        json_number(json, "heart_rate_low_bpm", minute->heart_low_bpm, 0);
        json_number(json, "heart_rate_high_bpm", minute->heart_high_bpm, 0);
        json_end_object(json);
    }
    json_end_array(json);
}

void outlook_json(struct json *json, const char *key, const struct session_outlook *outlook)
{
    json_begin_object(json, key);
    json_string(json, "heading", outlook->heading);
    json_string(json, "verdict", outlook_verdict_name(outlook->verdict));
    json_string(json, "text", outlook->text);
    said_json(json, "warnings", outlook->warnings, outlook->n_warnings);
    said_json(json, "missing", outlook->missing, outlook->n_missing);
    dose_json(json, outlook);
    zones_json(json, outlook);
    w_prime_json(json, outlook);
    efforts_json(json, &outlook->expected);
    parts_json(json, outlook);
    json_string(json, "heart", outlook_heart_name(outlook->heart));
    expected_minutes_json(json, &outlook->expected);
    json_end_object(json);
}
