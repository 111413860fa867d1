/* coaching/ride_json.c: a ride with its readings as JSON. */
#include "coaching/ride_json.h"

#include "coaching/came_back.h"
#include "coaching/ride_balance.h"
#include "coaching/words/power_words.h"

#include <math.h>

/* Decimals of the numbers in a reading: a tenth of what a coach would act on. */
enum { DECIMALS_READING = 2, DECIMALS_SECONDS = 1, DECIMALS_NUMBERS = 3 };

static void add_numbers(struct json *json, const struct number numbers[], size_t n)
{
    json_begin_object(json, "numbers");
    for (size_t i = 0; i < n; i++) {
        json_number(json, numbers[i].name, numbers[i].value, DECIMALS_NUMBERS);
    }
    json_end_object(json);
}

static void add_span(struct json *json, struct span span)
{
    json_begin_array(json, NULL);
    json_integer(json, NULL, span.from_s);
    json_integer(json, NULL, span.to_s);
    json_end_array(json);
}

static void add_channels(struct json *json, const struct recording *recording)
{
    json_begin_object(json, "channels");
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        const struct channel_summary summary = recording_summary(recording, (enum channel)c);
        if (summary.samples == 0) {
            continue;
        }
        const struct channel_row *row = channel_row((enum channel)c);
        json_begin_object(json, row->name);
        json_integer(json, "samples", (int64_t)summary.samples);
        json_number(json, "mean", summary.mean, row->decimals + 2);
        json_number(json, "max", summary.max, row->decimals);
        json_number(json, "coverage", summary.coverage, 4);
        json_end_object(json);
    }
    json_end_object(json);
}

static void add_recording(struct json *json, const struct recording *recording,
                          const struct rider_facts *facts, const struct ride_readings *readings)
{
    const enum ride_place place = facts->place != PLACE_UNKNOWN ? facts->place : recording->place;
    json_begin_object(json, "recording");
    json_string(json, "format", recording_format_name(recording->format));
    json_string(json, "sport", sport_name(recording->sport));
    json_bool(json, "ride", recording->is_ride);
    if (place == PLACE_UNKNOWN) {
        json_null(json, "indoors");
    } else {
        json_bool(json, "indoors", place == PLACE_INDOORS);
    }
    if (recording->has_start_utc) {
        json_integer(json, "start_utc", recording->start_utc);
    } else {
        json_null(json, "start_utc");
    }
    if (recording->has_utc_offset) {
        json_integer(json, "utc_offset_s", recording->utc_offset_s);
    } else {
        json_null(json, "utc_offset_s");
    }
    json_integer(json, "samples", (int64_t)recording->samples.count);
    json_integer(json, "seconds",
                 recording->n_seconds == 0 ? 0 : (int64_t)recording->n_seconds - 1);
    json_integer(json, "timer_s", recording->timer_s);
    json_integer(json, "laps", (int64_t)recording->n_laps);
    json_integer(json, "pauses", (int64_t)recording->n_pauses);
    json_begin_array(json, "pause_spans");
    for (size_t i = 0; i < recording->n_pauses; i++) {
        add_span(json, recording->pauses[i]);
    }
    json_end_array(json);
    json_number(json, "work_kj", recording_work_kj(recording), 1);
    json_number(json, "distance_m", recording_distance_m(recording), 1);
    json_number(json, "weight_kg", recording->weight_kg, 2);
    json_string(json, "weight_from",
                recording->weight_source == WEIGHT_UNKNOWN
                    ? NULL
                    : weight_source_name(recording->weight_source));
    json_string(json, "text", readings->summary);
    add_channels(json, recording);
    json_end_object(json);
}

static void add_findings(struct json *json, const struct recording *recording,
                         const struct ride_readings *readings)
{
    json_begin_array(json, "findings");
    for (size_t i = 0; i < recording->n_findings; i++) {
        const struct finding *finding = &recording->findings[i];
        json_begin_object(json, NULL);
        json_string(json, "code", finding->code);
        json_string(json, "channel",
                    finding->channel < 0 ? NULL
                                         : channel_row((enum channel)finding->channel)->name);
        if (finding->whole_ride) {
            json_null(json, "from_s");
            json_null(json, "to_s");
        } else {
            json_integer(json, "from_s", finding->span.from_s);
            json_integer(json, "to_s", finding->span.to_s);
        }
        json_string(json, "effect", finding_effect_name(finding->effect));
        add_numbers(json, finding->numbers, finding->n_numbers);
        json_string(json, "text",
                    readings->finding_texts == NULL ? NULL : readings->finding_texts[i]);
        json_end_object(json);
    }
    json_end_array(json);
}

static void add_causes(struct json *json, const char *key, const struct causes *causes)
{
    json_begin_array(json, key);
    for (size_t i = 0; i < causes->count; i++) {
        const struct cause *cause = &causes->items[i];
        json_begin_object(json, NULL);
        json_string(json, "code", cause->code);
        add_numbers(json, cause->numbers, cause->n_numbers);
        json_string(json, "text", cause->text);
        json_end_object(json);
    }
    json_end_array(json);
}

static void add_basis(struct json *json, const struct reading *reading)
{
    const struct basis *basis = &reading->basis;
    json_begin_object(json, "basis");
    json_string(json, "method", basis->method);
    json_number(json, "threshold_w", basis->threshold_w, 1);
    json_string(json, "threshold_known_by", basis->threshold_known_by);
    json_begin_object(json, "limits");
    for (size_t i = 0; i < basis->n_limits; i++) {
        json_number(json, limits_row(basis->limits[i])->name, basis->limit_values[i], 6);
    }
    json_end_object(json);
    json_string(json, "intent", basis->intent);
    if (reading->question == QUESTION_BASE || reading->question == QUESTION_HARD_WORK) {
        json_string(json, "response", basis->response);
    }
    if (reading->question == QUESTION_HARD_WORK) {
        json_string(json, "efforts_by", basis->efforts_by);
    }
    json_end_object(json);
}

void reading_json_add(struct json *json, const struct reading *reading)
{
    reading_json_add_with(json, reading, NULL);
}

void reading_json_add_with(struct json *json, const struct reading *reading,
                           const struct reading_more *more)
{
    reading_json_add_under(json, NULL, reading, more);
}

void reading_json_add_under(struct json *json, const char *key, const struct reading *reading,
                            const struct reading_more *more)
{
    json_begin_object(json, key);
    json_string(json, "question", question_name(reading->question));
    if (reading->question == QUESTION_HARD_WORK) {
        json_string(json, "about", reading->rep > 0 ? "rep" : (reading->set > 0 ? "set" : "ride"));
        json_integer(json, "set", reading->set);
        json_integer(json, "rep", reading->rep);
    }
    json_string(json, "verdict", verdict_name(reading->verdict));
    json_number(json, "estimate", reading->estimate, DECIMALS_READING);
    json_number(json, "low", reading->low, DECIMALS_READING);
    json_number(json, "high", reading->high, DECIMALS_READING);
    json_string(json, "unit", reading->unit);
    if (isnan(reading->limit_value)) {
        json_null(json, "limit");
    } else {
        json_begin_object(json, "limit");
        json_number(json, "value", reading->limit_value, DECIMALS_READING);
        json_string(json, "source", reading->limit_source);
        json_end_object(json);
    }
    add_causes(json, "because", &reading->because);
    add_causes(json, "cannot_because", &reading->cannot_because);
    add_causes(json, "settle_by", &reading->settle_by);
    json_begin_array(json, "spans");
    for (size_t i = 0; i < reading->n_spans; i++) {
        add_span(json, reading->spans[i]);
    }
    json_end_array(json);
    add_basis(json, reading);
    json_string(json, "text", reading->text);
    if (more != NULL) {
        more->add(json, reading, more->context);
    }
    json_end_object(json);
}

static void add_steady(struct json *json, const struct ride_readings *readings)
{
    const struct steady *steady = &readings->steady;
    if (!steady->found) {
        json_null(json, "steady");
        return;
    }
    const struct drift *drift = &readings->drift;
    json_begin_object(json, "steady");
    json_integer(json, "from_s", steady->span.from_s);
    json_integer(json, "to_s", steady->span.to_s);
    json_number(json, "mean_power_w", steady->mean_power_w, 1);
    json_number(json, "sd_30s_w", steady->sd_30s_w, 1);
    json_number(json, "in_band_ratio", steady->in_band_ratio, 4);
    json_number(json, "coasting_ratio", steady->coasting_ratio, 4);
    json_number(json, "power_coverage", steady->power_coverage, 4);
    json_number(json, "heart_coverage", steady->heart_coverage, 4);
    const double unknown = (double)NAN;
    json_number(json, "drift_bpm", drift->known ? drift->drift_bpm : unknown, 2);
    json_number(json, "drift_low_bpm", drift->known ? drift->low_bpm : unknown, 2);
    json_number(json, "drift_high_bpm", drift->known ? drift->high_bpm : unknown, 2);
    json_string(json, "drift_unknown_because", drift->known ? NULL : drift->why_not);
    json_number(json, "drift_minutes", drift->known ? drift->minutes : unknown, 1);
    json_number(json, "heart_start_bpm", drift->known ? drift->start_bpm : unknown, 1);
    json_number(json, "heart_end_bpm", drift->known ? drift->end_bpm : unknown, 1);
    json_number(json, "plain_bpm", drift->known ? drift->plain_bpm : unknown, 1);
    json_number(json, "power_change_w", drift->known ? drift->power_change_w : unknown, 1);
    json_number(json, "power_change_low_w", drift->known ? drift->power_change_low_w : unknown, 1);
    json_number(json, "power_change_high_w", drift->known ? drift->power_change_high_w : unknown,
                1);
    json_number(json, "late_bpm_per_h", drift->known ? drift->late_bpm_per_h : unknown, 1);
    json_end_object(json);
}

/* Keys that are there only where W' is known. */
static void add_rep_balance(struct json *json, const struct rep_balance *balance)
{
    json_number(json, "w_prime_cost_j", balance->cost_j, 0);
    json_number(json, "w_prime_cost_low_j", balance->cost_low_j, 0);
    json_number(json, "w_prime_cost_high_j", balance->cost_high_j, 0);
    json_number(json, "w_prime_left_j", balance->left_j, 0);
    json_number(json, "w_prime_left_low_j", balance->left_low_j, 0);
    json_number(json, "w_prime_left_high_j", balance->left_high_j, 0);
}

static void add_rep(struct json *json, const struct rep *rep, enum verdict verdict,
                    const struct rep_balance *balance)
{
    json_begin_object(json, NULL);
    json_integer(json, "set", rep->set);
    json_integer(json, "start_s", rep->span.from_s);
    json_integer(json, "duration_s", rep->span.to_s - rep->span.from_s);
    json_bool(json, "edges_sure", rep->edges_sure);
    json_bool(json, "block", rep->is_block);
    json_integer(json, "efforts", rep->n_efforts);
    json_bool(json, "as_asked", rep->as_asked);
    json_number(json, "mean_power_w", rep->mean_power_w, 1);
    json_number(json, "pct_of_threshold", rep->pct_of_threshold, 1);
    json_number(json, "target_low_w", rep->target_low_w, 1);
    json_number(json, "target_high_w", rep->target_high_w, 1);
    json_number(json, "below_s", rep->below_s, DECIMALS_SECONDS);
    json_number(json, "in_s", rep->in_s, DECIMALS_SECONDS);
    json_number(json, "above_s", rep->above_s, DECIMALS_SECONDS);
    json_number(json, "first_third_w", rep->first_third_w, 1);
    json_number(json, "middle_third_w", rep->middle_third_w, 1);
    json_number(json, "last_third_w", rep->last_third_w, 1);
    json_number(json, "first_20s_w", rep->first_20s_w, 1);
    json_number(json, "first_to_last_w", rep->first_to_last_w.value, 1);
    json_number(json, "first_to_last_low_w", rep->first_to_last_w.low, 1);
    json_number(json, "first_to_last_high_w", rep->first_to_last_w.high, 1);
    json_number(json, "heart_start_bpm", rep->heart_start_bpm, 1);
    json_number(json, "heart_peak_bpm", rep->heart_peak_bpm, 1);
    json_number(json, "heart_to_90_s", rep->heart_to_90_s, DECIMALS_SECONDS);
    json_number(json, "heart_at_90_s", rep->heart_at_90_s, DECIMALS_SECONDS);
    json_number(json, "heart_lag_s", rep->heart_lag_s, DECIMALS_SECONDS);
    json_number(json, "recovery_60s_bpm", rep->recovery_60s_bpm, 1);
    json_string(json, "verdict", verdict_name(verdict));
    if (balance != NULL) {
        add_rep_balance(json, balance);
    }
    json_end_object(json);
}

/* Over the whole ride; a key that is there only where it was looked at. */
static void add_balance(struct json *json, const struct ride_balance *balance)
{
    const struct w_rider *rider = &balance->rider;
    const struct w_balance *trace = &balance->trace;
    json_begin_object(json, "w_prime");
    json_string(json, "end", balance_end_name(balance->end));
    json_number(json, "cp_w", rider->cp_w, 1);
    json_number(json, "cp_low_w", rider->cp_low_w, 1);
    json_number(json, "cp_high_w", rider->cp_high_w, 1);
    json_number(json, "w_prime_j", rider->w_prime_j, 0);
    json_number(json, "w_prime_low_j", rider->w_prime_low_j, 0);
    json_number(json, "w_prime_high_j", rider->w_prime_high_j, 0);
    json_number(json, "least_j", trace->least_j, 0);
    json_number(json, "least_low_j", trace->least_low_j, 0);
    json_number(json, "least_high_j", trace->least_high_j, 0);
    json_number(json, "least_at_s",
                balance->end == BALANCE_KNOWN ? (double)trace->least_at_s : (double)NAN, 0);
    json_bool(json, "numbers_wrong", trace->is_wrong);
    json_string(json, "text", words_ride_balance(json->out->arena, balance));
    json_end_object(json);
}

static void add_zones(struct json *json, const struct rider_facts *facts,
                      const struct ride_readings *readings)
{
    json_begin_array(json, "zones");
    for (size_t i = 0; i < facts->zones.count; i++) {
        if (isnan(readings->zone_s[i]) || isnan(facts->threshold_w)) {
            break;
        }
        json_begin_object(json, NULL);
        json_string(json, "name", facts->zones.name[i]);
        json_number(json, "upper_pct", facts->zones.upper_pct[i], 1);
        json_number(json, "seconds", readings->zone_s[i], 0);
        json_end_object(json);
    }
    json_end_array(json);
}

static void add_load(struct json *json, const struct ride_readings *readings)
{
    const struct ride_load *load = &readings->load;
    json_begin_object(json, "load");
    json_number(json, "hours", load->hours, 4);
    json_number(json, "work_kj", load->work_kj, 1);
    json_number(json, "impulse_low", load->impulse_low, 1);
    json_number(json, "impulse_high", load->impulse_high, 1);
    json_number(json, "session_rpe", load->session_rpe, 1);
    json_number(json, "above_threshold_s", load->above_threshold_s, 0);
    json_begin_array(json, "heart_zones");
    for (int i = 0; i < HEART_ZONES && !isnan(load->heart_zone_s[i]); i++) {
        json_begin_object(json, NULL);
        json_string(json, "name", heart_zone_name((enum heart_zone)i));
        json_number(json, "seconds", load->heart_zone_s[i], 0);
        json_end_object(json);
    }
    json_end_array(json);
    json_end_object(json);
}

static void add_efforts(struct json *json, const struct ride_readings *readings)
{
    static const struct {
        enum effort_evidence evidence;
        const char *name;
    } names[] = { { EFFORT_MARKED, "marked" },
                  { EFFORT_HEART, "heart" },
                  { EFFORT_FADED, "faded" } };
    json_begin_array(json, "efforts");
    for (size_t i = 0; i < readings->n_efforts; i++) {
        const struct effort *effort = &readings->efforts[i];
        json_begin_object(json, NULL);
        json_integer(json, "duration_s", effort->duration_s);
        json_number(json, "power_w", effort->power_w, 3);
        json_integer(json, "start_s", effort->start_s);
        json_begin_array(json, "evidence");
        for (size_t k = 0; k < sizeof names / sizeof names[0]; k++) {
            if ((effort->evidence & (unsigned)names[k].evidence) != 0) {
                json_string(json, NULL, names[k].name);
            }
        }
        json_end_array(json);
        json_number(json, "heart_end_bpm", effort->heart_end_bpm, 1);
        json_number(json, "fall_ratio", effort->fall_ratio, 3);
        json_end_object(json);
    }
    json_end_array(json);
}

void ride_json_add(struct json *json, const struct ride_source *source,
                   const struct recording *recording, const struct rider_facts *facts,
                   const struct ride_readings *readings, const struct bests *bests)
{
    ride_json_add_with(json, NULL, source, recording, facts, readings, bests, NULL);
}

void ride_json_add_with(struct json *json, const char *key, const struct ride_source *source,
                        const struct recording *recording, const struct rider_facts *facts,
                        const struct ride_readings *readings, const struct bests *bests,
                        const struct reading_more *more)
{
    json_begin_object(json, key);
    json_string(json, "plumbline", source->version);
    json_string(json, "file", source->file);
    json_integer(json, "part", (int64_t)recording->part);
    json_integer(json, "parts", (int64_t)recording->parts);
    json_string(json, "sha256", source->sha256);
    add_recording(json, recording, facts, readings);
    add_causes(json, "cautions", &readings->cautions);
    add_findings(json, recording, readings);
    json_begin_array(json, "readings");
    for (size_t i = 0; i < readings->count; i++) {
        reading_json_add_with(json, &readings->items[i], more);
    }
    json_end_array(json);
    add_steady(json, readings);
    const struct ride_balance *balance = readings->balance;
    json_begin_array(json, "reps");
    for (size_t i = 0; i < readings->reps.count; i++) {
        add_rep(json, &readings->reps.items[i],
                readings->rep_verdicts == NULL ? VERDICT_CANNOT_TELL : readings->rep_verdicts[i],
                balance != NULL && i < balance->n_reps ? &balance->reps[i] : NULL);
    }
    json_end_array(json);
    if (balance != NULL) {
        add_balance(json, balance);
    }
    if (readings->came != NULL) {
        came_line_json(json, "came_back", readings->came);
    }
    add_zones(json, facts, readings);
    add_load(json, readings);
    json_begin_array(json, "bests");
    for (size_t i = 0; i < bests->count; i++) {
        const struct best *best = &bests->items[i];
        json_begin_object(json, NULL);
        json_integer(json, "duration_s", best->duration_s);
        json_number(json, "power_w", best->power_w, 3);
        json_integer(json, "start_s", best->start_s);
        json_bool(json, "at_least", best->at_least);
        json_end_object(json);
    }
    json_end_array(json);
    add_efforts(json, readings);
    json_end_object(json);
}

void ride_json_add_error(struct json *json, const char *file, const struct error *err)
{
    json_begin_object(json, NULL);
    json_string(json, "file", file);
    json_begin_object(json, "error");
    json_string(json, "kind", error_kind_name(err->kind));
    json_string(json, "message", err->message);
    json_end_object(json);
    json_end_object(json);
}
