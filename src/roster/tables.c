/* roster/tables.c: the rows that a coach may edit. */
#include "roster/tables.h"

#include <string.h>

#define RIDER                                                                                      \
    {                                                                                              \
        "rider", 'I'                                                                               \
    }
#define NOTE                                                                                       \
    {                                                                                              \
        "note", 'T'                                                                                \
    }
#define DAY                                                                                        \
    {                                                                                              \
        "day", 'T'                                                                                 \
    }

const struct editable_table editable_tables[] = {
    { "setting", { { "name", 'T' }, { "content", 'T' } } },
    { "rider",
      { { "name", 'T' },
        { "name_folded", 'T' },
        { "born_day", 'T' },
        { "sex", 'T' },
        { "training_since_day", 'T' },
        { "power_since_day", 'T' },
        { "zone_name", 'T' },
        { "address", 'T' },
        { "accepts", 'T' },
        { "tests", 'T' },
        NOTE,
        { "is_away", 'B' } } },
    { "equipment",
      { RIDER,
        { "kind", 'T' },
        { "name", 'T' },
        { "maker", 'T' },
        { "product", 'T' },
        { "serial", 'I' },
        { "position", 'T' },
        { "sides", 'T' },
        { "accuracy_pct", 'R' },
        { "charge_hours", 'R' },
        { "from_day", 'T' },
        { "to_day", 'T' },
        NOTE } },
    { "equipment_care", { { "equipment", 'I' }, { "kind", 'T' }, DAY, { "value", 'R' }, NOTE } },
    { "meter_check",
      { RIDER,
        DAY,
        { "first_meter", 'I' },
        { "second_meter", 'I' },
        { "first_recording", 'I' },
        { "second_recording", 'I' },
        { "minutes", 'I' },
        { "correlation", 'R' },
        { "above_pct", 'R' },
        { "above_low_pct", 'R' },
        { "above_high_pct", 'R' },
        { "mean_w", 'R' },
        { "easy_pct", 'R' },
        { "easy_low_pct", 'R' },
        { "easy_high_pct", 'R' },
        { "easy_w", 'R' },
        { "hard_pct", 'R' },
        { "hard_low_pct", 'R' },
        { "hard_high_pct", 'R' },
        { "hard_w", 'R' },
        { "method", 'T' },
        NOTE } },
    { "weight", { RIDER, DAY, { "value_kg", 'R' }, NOTE } },
    { "threshold",
      { RIDER,
        DAY,
        { "value_w", 'R' },
        { "low_w", 'R' },
        { "high_w", 'R' },
        { "protocol", 'T' },
        { "recording", 'I' },
        { "meter", 'I' },
        { "who", 'T' },
        NOTE } },
    { "max_heart_rate",
      { RIDER,
        DAY,
        { "value_bpm", 'R' },
        { "at_least", 'B' },
        { "protocol", 'T' },
        { "recording", 'I' },
        { "who", 'T' },
        NOTE } },
    { "rest_heart_rate", { RIDER, DAY, { "value_bpm", 'R' }, { "protocol", 'T' }, NOTE } },
    { "zone_table", { RIDER, DAY, { "basis", 'T' }, { "name", 'T' } } },
    { "zone_row",
      { { "zone_table", 'I' },
        { "place", 'I' },
        { "name", 'T' },
        { "low_pct", 'R' },
        { "high_pct", 'R' } } },
    { "limit_override", { RIDER, { "name", 'T' }, { "value", 'R' }, NOTE } },
    { "goal",
      { RIDER,
        { "words", 'T' },
        { "from_day", 'T' },
        { "due_day", 'T' },
        { "reached_day", 'T' } } },
    { "event", { RIDER, DAY, { "name", 'T' }, { "priority", 'T' }, NOTE } },
    { "day_off", { RIDER, { "kind", 'T' }, { "from_day", 'T' }, { "to_day", 'T' }, NOTE } },
    { "availability",
      { RIDER,
        { "from_day", 'T' },
        { "weekday", 'I' },
        { "seconds", 'I' },
        { "place", 'T' },
        NOTE } },
    { "block",
      { RIDER, { "name", 'T' }, { "kind", 'T' }, { "from_day", 'T' }, { "to_day", 'T' }, NOTE } },
    { "session",
      { RIDER,
        DAY,
        { "name", 'T' },
        { "kind", 'T' },
        { "words", 'T' },
        { "state", 'T' },
        { "why", 'T' },
        { "confirmed", 'T' } } },
    { "own_session", { { "name", 'T' }, { "kind", 'T' }, { "words", 'T' }, NOTE } },
    { "screening",
      { RIDER,
        DAY,
        { "heart_condition", 'B' },
        { "chest_pain", 'B' },
        { "fainting", 'B' },
        { "sudden_death_in_family", 'B' },
        { "medicine", 'B' },
        { "pregnancy", 'B' },
        { "new_and_over_45", 'B' },
        { "cleared_by", 'T' },
        { "cleared_day", 'T' },
        NOTE } },
    { "flag", { RIDER, { "kind", 'T' }, { "from_day", 'T' }, { "to_day", 'T' }, NOTE } },
    { "consent",
      { RIDER,
        { "kind", 'T' },
        { "words", 'T' },
        { "given_day", 'T' },
        { "given_by", 'T' },
        { "withdrawn_day", 'T' } } },
    { "contact", { RIDER, DAY, { "how", 'T' }, { "words", 'T' } } },
    { "day_note",
      { RIDER,
        DAY,
        { "recording", 'I' },
        { "effort_0_10", 'R' },
        { "legs_1_5", 'I' },
        { "sleep_1_5", 'I' },
        { "sleep_h", 'R' },
        { "stress_1_5", 'I' },
        { "soreness_1_5", 'I' },
        { "fan", 'B' },
        { "hot", 'B' },
        { "temperature_c", 'R' },
        { "dehydrated", 'B' },
        { "drink_l", 'R' },
        { "caffeine", 'T' },
        { "ill", 'B' },
        { "hard_day_before", 'B' },
        { "words", 'T' } } },
    { "recording", { { "same_as", 'I' }, { "same_by_hand", 'B' } } },
    { "asked",
      { { "recording", 'I' },
        { "kind", 'T' },
        { "low_pct", 'R' },
        { "high_pct", 'R' },
        { "low_w", 'R' },
        { "high_w", 'R' },
        { "reps", 'I' },
        { "rep_duration_s", 'R' },
        { "was", 'T' },
        { "spoiled_by", 'T' } } },
    { "folder", { { "path", 'T' }, RIDER } },
    { "attention_mark",
      { RIDER,
        { "code", 'T' },
        { "state", 'T' },
        { "evidence", 'I' },
        { "last_note", 'I' },
        { "set_day", 'T' },
        { "not_before_day", 'T' },
        { "line", 'T' } } },
    { "declined", { RIDER, { "what", 'T' }, { "recording", 'I' }, DAY } },
};
const size_t n_editable_tables = sizeof editable_tables / sizeof editable_tables[0];

const struct editable_table *tables_find(const char *name)
{
    for (size_t i = 0; i < n_editable_tables; i++) {
        if (strcmp(editable_tables[i].name, name) == 0) {
            return &editable_tables[i];
        }
    }
    return NULL;
}

size_t tables_column_count(const struct editable_table *table)
{
    size_t count = 0;
    while (table->columns[count].name != NULL) {
        count++;
    }
    return count;
}

const struct table_column *tables_column(const struct editable_table *table, const char *name)
{
    for (const struct table_column *column = table->columns; column->name != NULL; column++) {
        if (strcmp(column->name, name) == 0) {
            return column;
        }
    }
    return NULL;
}
