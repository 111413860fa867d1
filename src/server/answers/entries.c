/* server/answers/entries.c: a rider's entries as JSON. */
#include "server/answers/entries.h"

#include "roster/contacts.h"
#include "roster/health.h"
#include "roster/season.h"

#include <string.h>

/* The last day that counts, as a person says it. */
static void until_json(struct json *json, const char *to_day)
{
    struct arena *arena = json->out->arena;
    json_string(json, "until", to_day == NULL ? NULL : entry_day_after(arena, to_day, -1));
}

static void add_goal(struct json *json, const void *row)
{
    const struct goal *goal = row;
    json_string(json, "words", goal->words);
    json_string(json, "from", goal->from_day);
    json_string(json, "due", goal->due_day);
    json_string(json, "reached", goal->reached_day);
}

static void add_event(struct json *json, const void *row)
{
    const struct event *event = row;
    json_string(json, "day", event->day);
    json_string(json, "name", event->name);
    json_string(json, "weight", event->priority);
    json_string(json, "note", event->note);
}

static void add_block(struct json *json, const void *row)
{
    const struct block *block = row;
    json_string(json, "name", block->name);
    json_string(json, "from", block->from_day);
    until_json(json, block->to_day);
    json_string(json, "note", block->note);
}

static void add_day_off(struct json *json, const void *row)
{
    const struct day_off *off = row;
    json_string(json, "kind", off->kind);
    json_string(json, "from", off->from_day);
    until_json(json, off->to_day);
    json_string(json, "note", off->note);
}

static void add_screening(struct json *json, const void *row)
{
    const struct screening *screening = row;
    json_string(json, "day", screening->day);
    json_begin_array(json, "yes");
    for (int q = 0; q < SCREENING_QUESTIONS; q++) {
        if (screening->yes[q]) {
            json_string(json, NULL, screening_row((enum screening_question)q)->name);
        }
    }
    json_end_array(json);
    json_string(json, "cleared_by", screening->cleared_by);
    json_string(json, "cleared_on", screening->cleared_day);
    json_string(json, "note", screening->note);
}

static void add_flag(struct json *json, const void *row)
{
    const struct flag *flag = row;
    json_string(json, "kind", flag->kind);
    json_string(json, "from", flag->from_day);
    until_json(json, flag->to_day);
    json_string(json, "note", flag->note);
}

static void add_consent(struct json *json, const void *row)
{
    const struct consent *consent = row;
    json_string(json, "kind", consent->kind);
    json_string(json, "words", consent->words);
    json_string(json, "given", consent->given_day);
    json_string(json, "by", consent->given_by);
    json_string(json, "withdrawn", consent->withdrawn_day);
}

static void add_contact(struct json *json, const void *row)
{
    const struct contact *contact = row;
    json_string(json, "day", contact->day);
    json_string(json, "how", contact->how);
    json_string(json, "words", contact->words);
}

static void add_fields(struct json *json, const struct entry_kind *kind, const void *row)
{
    static const struct {
        const struct entry_kind *kind;
        void (*add)(struct json *json, const void *row);
    } rows[] = {
        { &goal_kind, add_goal },           { &event_kind, add_event },
        { &block_kind, add_block },         { &day_off_kind, add_day_off },
        { &screening_kind, add_screening }, { &flag_kind, add_flag },
        { &consent_kind, add_consent },     { &contact_kind, add_contact },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (rows[i].kind == kind) {
            rows[i].add(json, row);
        }
    }
}

void entry_json(struct json *json, const char *key, const struct entry_kind *kind, const void *row,
                enum json_for whom)
{
    struct entry entry;
    memcpy(&entry, row, sizeof entry);
    json_begin_object(json, key);
    json_integer(json, "number", entry.id);
    add_fields(json, kind, row);
    if (whom == JSON_TO_EDIT) {
        json_integer(json, "version", entry.version);
        json_string(json, "text", kind->describe(json->out->arena, row));
    }
    json_end_object(json);
}

void entries_json(struct json *json, const char *key, const struct entry_kind *kind,
                  const void *rows, size_t count, enum json_for whom)
{
    json_begin_array(json, key);
    for (size_t i = 0; i < count; i++) {
        entry_json(json, NULL, kind, (const char *)rows + i * kind->size, whom);
    }
    json_end_array(json);
}

void week_json(struct json *json, const char *key, const struct week *week, enum json_for whom)
{
    json_begin_object(json, key);
    json_string(json, "from", week->from_day);
    json_begin_array(json, "days");
    for (int d = 0; d < WEEKDAYS; d++) {
        if (week->minutes[d] > 0) {
            json_begin_object(json, NULL);
            json_integer(json, "weekday", d + 1);
            json_integer(json, "minutes", week->minutes[d]);
            json_string(json, "place", week->places[d]);
            json_end_object(json);
        }
    }
    json_end_array(json);
    if (whom == JSON_TO_EDIT) {
        json_integer(json, "version", week->version);
        json_string(json, "text", availability_in_words(json->out->arena, week));
    }
    json_end_object(json);
}
