/* server/answers/record.c: the program's record on a roster as JSON. */
#include "server/answers/record.h"

#include "base/dates.h"
#include "coaching/words/record_words.h"

static void add_day(struct json *json, const char *key, const struct record *record, int64_t day)
{
    char text[11];
    if (record->n_rides == 0) {
        json_null(json, key);
        return;
    }
    dates_format_day(day, text);
    json_string(json, key, text);
}

static void add_row(struct json *json, enum record_claim claim, const struct record_row *row)
{
    json_begin_object(json, NULL);
    json_string(json, "claim", record_claim_name(claim));
    json_integer(json, "of", (int64_t)row->of);
    json_integer(json, "agreed", (int64_t)row->agreed);
    json_integer(json, "against", (int64_t)row->against);
    json_integer(json, "between", (int64_t)row->between);
    json_integer(json, "untold", (int64_t)row->untold);
    json_bool(json, "enough", row->is_enough);
    json_number(json, "low_pct", row->low_pct, 1);
    json_number(json, "high_pct", row->high_pct, 1);
    json_string(json, "text", row->text);
    json_end_object(json);
}

static void add_repeat(struct json *json, const struct drift_repeat *repeat, const char *text)
{
    json_begin_object(json, "base_test_repeats");
    json_bool(json, "assumed", !repeat->is_own);
    json_integer(json, "repeat_pairs", (int64_t)repeat->n_pairs);
    json_integer(json, "tests", (int64_t)repeat->n_tests);
    json_integer(json, "riders", (int64_t)repeat->n_riders);
    json_number(json, "sd_bpm", repeat->sd_bpm, 2);
    json_number(json, "low_bpm", repeat->low_bpm, 2);
    json_number(json, "high_bpm", repeat->high_bpm, 2);
    json_number(json, "trend_bpm_per_week", repeat->trend_bpm, 2);
    json_number(json, "trend_low_bpm_per_week", repeat->trend_low_bpm, 2);
    json_number(json, "trend_high_bpm_per_week", repeat->trend_high_bpm, 2);
    json_number(json, "passes_on_the_line_pct", repeat->pass_pct, 1);
    json_number(json, "passes_twice_on_the_line_pct", repeat->twice_pct, 1);
    json_string(json, "text", text);
    json_end_object(json);
}

void record_json(struct json *json, struct arena *arena, const struct record *record,
                 const struct limits *limits, const char *today)
{
    json_string(json, "today", today);
    json_integer(json, "riders", (int64_t)record->n_riders);
    json_integer(json, "activities", (int64_t)record->n_rides);
    add_day(json, "first_day", record, record->first_day);
    add_day(json, "last_day", record, record->last_day);
    json_integer(json, "least_cases", (int64_t)limits->value[LIMIT_RECORD_LEAST]);
    json_begin_array(json, "claims");
    for (int claim = 0; claim < RECORD_CLAIMS; claim++) {
        add_row(json, (enum record_claim)claim, &record->rows[claim]);
    }
    json_end_array(json);
    add_repeat(json, &record->repeat, record->repeat_text);
    json_string(json, "head", words_record_head(arena, record));
    json_string(json, "text", record->text);
}
