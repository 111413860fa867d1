/* server/routes_riders.c: the riders' table, and one rider's page of facts. */
#include "server/routes.h"

#include "base/dates.h"
#include "coaching/gauge.h"
#include "coaching/words/answer_words.h"
#include "coaching/words/words.h"
#include "roster/day_notes.h"
#include "roster/equipment.h"
#include "roster/sessions.h"
#include "server/answers/gauges.h"
#include "server/answers/notes.h"
#include "server/answers/rider.h"
#include "server/answers/since.h"
#include "server/answers/weeks.h"
#include "server/tasks.h"
#include "server/write.h"

#include <math.h>
#include <string.h>

/* What both answers tell of a rider's rides. */
struct told {
    struct weeks weeks;
    struct rider_readings readings;
    struct fact *thresholds; /* the newest first */
    size_t n_thresholds;
};

static bool take(struct api_call *call, const struct rider *rider, struct told *out,
                 struct error *err)
{
    *out = (struct told){ 0 };
    if (!weeks_take(call->roster, call->arena, rider, call->today, &out->weeks, err) ||
        !facts_list(call->roster, call->arena, rider->id, FACT_THRESHOLD, call->today,
                    &out->thresholds, &out->n_thresholds, err)) {
        return false;
    }
    rider_readings_make(call->arena, &out->weeks.history, 2, &out->weeks.limits, &out->readings);
    return true;
}

static void threshold_json(struct json *json, const struct told *told)
{
    if (told->n_thresholds == 0) {
        json_null(json, "threshold");
        return;
    }
    const struct fact *fact = &told->thresholds[0];
    const int64_t day = dates_day_number(fact->day);
    const int64_t age = told->weeks.history.today - day;
    const struct threshold_words words = { fact->value, fact->low, fact->high, fact->protocol,
                                           day };
    json_begin_object(json, "threshold");
    json_number(json, "value", fact->value, 3);
    json_number(json, "low", fact->low, 3);
    json_number(json, "high", fact->high, 3);
    json_string(json, "day", fact->day);
    json_integer(json, "age_days", age);
    json_bool(json, "out_of_date",
              (double)age > told->weeks.limits.value[history_is_first_year(&told->weeks.history)
                                                         ? LIMIT_THRESHOLD_OLD_FIRST_DAYS
                                                         : LIMIT_THRESHOLD_OLD_DAYS]);
    json_string(json, "known_by", fact->protocol);
    json_string(json, "text",
                words_threshold_told(json->out->arena, &words, told->weeks.history.today));
    json_end_object(json);
}

/* ---- the table ---- */

static void mark_of(struct json *json, enum question question, enum verdict verdict)
{
    json_begin_object(json, NULL);
    json_string(json, "question", question_name(question));
    json_string(json, "heading", words_question(question));
    json_string(json, "verdict", verdict_name(verdict));
    answer_json(json, verdict);
    json_string(json, "verdict_words", words_verdict(verdict));
    json_end_object(json);
}

/* The newest hard work that was judged. */
static enum verdict hard_verdict(const struct rider_history *history)
{
    for (size_t i = history->n_rides; i > 0; i--) {
        const struct past_reading *hard = &history->rides[i - 1].hard;
        if (hard->is_asked && hard->verdict != VERDICT_CANNOT_TELL &&
            hard->verdict != VERDICT_DESCRIBED) {
            return hard->verdict;
        }
    }
    return VERDICT_CANNOT_TELL;
}

/* What is to be ridden next, drafted or given; null = nothing is. */
static bool next_session_json(struct api_call *call, struct json *json, const struct rider *rider,
                              struct error *err)
{
    struct rider_session next;
    bool found = false;
    if (!sessions_next(roster_db(call->roster), call->arena, rider->id, call->today, &next, &found,
                       err)) {
        return false;
    }
    if (!found) {
        json_null(json, "next_session");
        return true;
    }
    json_begin_object(json, "next_session");
    json_integer(json, "number", next.entry.id);
    json_string(json, "day", next.day);
    json_string(json, "name", next.name);
    json_string(json, "state", next.state);
    json_end_object(json);
    return true;
}

static bool row_json(struct api_call *call, struct json *json, const struct rider *rider,
                     const struct told *told, struct error *err)
{
    const struct rider_readings *readings = &told->readings;
    json_begin_object(json, NULL);
    json_integer(json, "id", rider->id);
    json_string(json, "name", rider->name);
    json_bool(json, "coached", !rider->is_away);
    json_string(json, "since", rider->power_since_day);
    threshold_json(json, told);
    json_begin_array(json, "marks");
    mark_of(json, QUESTION_HOW, readings->how.verdict);
    mark_of(json, QUESTION_BASE_STATE, readings->base_state.verdict);
    mark_of(json, QUESTION_EASY_WEEKS, readings->easy_weeks.verdict);
    mark_of(json, QUESTION_HARD_WORK, hard_verdict(&told->weeks.history));
    mark_of(json, QUESTION_PROGRESS, readings->progress.joint.verdict);
    json_end_array(json);
    last_ride_json(json, &told->weeks.history);
    if (!next_session_json(call, json, rider, err)) {
        return false;
    }
    json_integer(json, "rides_being_read_again", (int64_t)told->weeks.n_waiting);
    json_end_object(json);
    return true;
}

bool route_get_riders(struct api_call *call, struct error *err)
{
    struct rider *riders = NULL;
    size_t count = 0;
    if (!riders_list(call->roster, call->arena, api_query_is_true(call, "all"), &riders, &count,
                     err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_string(&json, "today", call->today);
    json_begin_array(&json, "riders");
    for (size_t i = 0; i < count; i++) {
        struct told told;
        if (!task_goes_on(call->task, i, count, riders[i].name, err) ||
            !take(call, &riders[i], &told, err) || !row_json(call, &json, &riders[i], &told, err)) {
            return false;
        }
    }
    json_end_array(&json);
    json_end_object(&json);
    return true;
}

/* ---- one rider ---- */

static bool fact_lists_json(struct api_call *call, struct json *json, int64_t rider,
                            struct error *err)
{
    static const struct {
        enum fact_kind kind;
        const char *key;
    } lists[] = { { FACT_THRESHOLD, "thresholds" },
                  { FACT_WEIGHT, "weights" },
                  { FACT_MAX_HEART_RATE, "max_heart_rates" },
                  { FACT_REST_HEART_RATE, "rest_heart_rates" } };
    for (size_t i = 0; i < sizeof lists / sizeof lists[0]; i++) {
        struct fact *facts = NULL;
        size_t count = 0;
        if (!facts_list(call->roster, call->arena, rider, lists[i].kind, call->today, &facts,
                        &count, err)) {
            return false;
        }
        json_begin_array(json, lists[i].key);
        for (size_t k = 0; k < count; k++) {
            fact_json(json, lists[i].kind, &facts[k], JSON_TO_EDIT);
        }
        json_end_array(json);
    }
    return true;
}

static void facts_in_words_json(struct json *json, const struct rider_told *told)
{
    static const struct {
        enum fact_kind kind;
        const char *key;
    } facts[] = { { FACT_THRESHOLD, "threshold" },
                  { FACT_WEIGHT, "weight" },
                  { FACT_MAX_HEART_RATE, "max_heart_rate" },
                  { FACT_REST_HEART_RATE, "rest_heart_rate" } };
    json_begin_object(json, "facts");
    for (size_t i = 0; i < sizeof facts / sizeof facts[0]; i++) {
        const enum fact_kind kind = facts[i].kind;
        json_string(json, facts[i].key,
                    told->has_fact[kind]
                        ? figure_in_words(json->out->arena, kind, &told->fact[kind])
                        : NULL);
    }
    json_end_object(json);
}

/* The newest first, as a page shows them. */
static void contacts_json(struct json *json, const struct rider_told *told)
{
    json_begin_array(json, "contacts");
    for (size_t i = told->n_contacts; i > 0; i--) {
        entry_json(json, NULL, &contact_kind, &told->contacts[i - 1], JSON_TO_EDIT);
    }
    json_end_array(json);
}

static bool notes_json(struct api_call *call, struct json *json, int64_t rider, int64_t today,
                       int64_t n_days, struct error *err)
{
    struct day_note *notes = NULL;
    size_t count = 0;
    char from[11];
    char to[11];
    dates_format_day(today - n_days, from);
    dates_format_day(today + 1, to);
    if (!day_notes_list(call->roster, call->arena, rider, from, to, &notes, &count, err)) {
        return false;
    }
    json_begin_array(json, "notes");
    for (size_t i = 0; i < count; i++) {
        note_json(json, NULL, &notes[i], JSON_TO_EDIT);
    }
    json_end_array(json);
    return true;
}

/* "pedals, both sides", "chest": where it sits. */
static const char *place_of(struct arena *arena, const struct equipment *item)
{
    if (item->position == NULL && item->sides == NULL) {
        return NULL;
    }
    const char *sides = item->sides == NULL ? NULL
                        : strcmp(item->sides, "both") == 0
                            ? "both sides"
                            : arena_format(arena, "%s side", item->sides);
    return arena_format(arena, "%s%s%s", item->position == NULL ? "" : item->position,
                        item->position != NULL && sides != NULL ? ", " : "",
                        sides == NULL ? "" : sides);
}

/* The last zero offset of a meter, by hand or by its device. */
static bool equipment_text(struct api_call *call, const struct equipment *item, const char **out,
                           struct error *err)
{
    struct care *care = NULL;
    size_t count = 0;
    const char *place = place_of(call->arena, item);
    *out = place == NULL ? item->name : arena_format(call->arena, "%s: %s", item->name, place);
    if (!equipment_care_list(roster_db(call->roster), call->arena, item, call->today, &care, &count,
                             err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (strcmp(care[i].kind, "zero-offset") == 0) {
            *out = arena_format(call->arena, "%s; zero offset %s", *out,
                                words_when(call->arena, dates_day_number(care[i].day),
                                           dates_day_number(call->today)));
            break;
        }
    }
    return true;
}

static bool equipment_json(struct api_call *call, struct json *json, const struct rider *rider,
                           struct error *err)
{
    struct equipment *items = NULL;
    size_t count = 0;
    if (!equipment_list(roster_db(call->roster), call->arena, rider, &items, &count, err)) {
        return false;
    }
    json_begin_array(json, "equipment");
    for (size_t i = 0; i < count; i++) {
        const char *text = NULL;
        if (!equipment_is_in_use(&items[i], call->today)) {
            continue;
        }
        if (!equipment_text(call, &items[i], &text, err)) {
            return false;
        }
        json_begin_object(json, NULL);
        json_integer(json, "id", items[i].id);
        json_string(json, "kind", items[i].kind);
        json_string(json, "name", items[i].name);
        json_bool(json, "shared", items[i].is_shared);
        json_string(json, "text", text);
        json_end_object(json);
    }
    json_end_array(json);
    return true;
}

/* The next event that matters most: the season's aim before others, then the nearest. */
static const struct event *next_event(const struct rider_told *told)
{
    const struct event *next = NULL;
    for (size_t i = 0; i < told->n_events; i++) {
        const struct event *event = &told->events[i];
        const int order = next == NULL ? -1 : strcmp(event->priority, next->priority);
        if (order < 0 || (order == 0 && strcmp(event->day, next->day) < 0)) {
            next = event;
        }
    }
    return next;
}

static const char *head_of(struct api_call *call, const struct rider_told *facts,
                           const struct told *told)
{
    const struct event *event = next_event(facts);
    const struct past_ride *last = last_ride_of(&told->weeks.history);
    const struct load_weeks *load = &told->readings.load;
    const struct week_load *week = load->n > 0 ? &load->weeks[load->n - 1] : NULL;
    const struct rider_head head = {
        .power_since = dates_day_number(facts->rider->power_since_day),
        .event = event == NULL ? NULL : event->name,
        .event_day = event == NULL ? INT64_MIN : dates_day_number(event->day),
        .last_ride = last == NULL ? INT64_MIN : last->day,
        .last_ride_s = last == NULL ? 0.0 : last->hours * 3600.0,
        .week_rides = week == NULL ? 0 : week->n_rides,
        .week_hours = week == NULL ? 0.0 : week->hours,
    };
    return words_rider_head(call->arena, &head, told->weeks.history.today);
}

bool route_get_rider(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct rider_told facts;
    struct told told;
    if (!write_rider(call, &rider, err) ||
        !rider_told_take(call->roster, call->arena, &rider, call->today, &facts, err) ||
        !take(call, &rider, &told, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_string(&json, "today", call->today);
    json_begin_object(&json, "person");
    rider_json(&json, &rider);
    json_integer(&json, "version", rider.version);
    json_end_object(&json);
    json_string(&json, "head", head_of(call, &facts, &told));
    json_number(&json, "age_y", facts.facts.age_y, 0);
    rider_cautions_json(&json, &facts.cautions);
    threshold_json(&json, &told);
    facts_in_words_json(&json, &facts);
    rider_entries_json(&json, &facts, JSON_TO_EDIT);
    contacts_json(&json, &facts);
    last_ride_json(&json, &told.weeks.history);
    json_integer(&json, "rides_being_read_again", (int64_t)told.weeks.n_waiting);
    if (!fact_lists_json(call, &json, rider.id, err) ||
        !notes_json(call, &json, rider.id, told.weeks.history.today,
                    (int64_t)told.weeks.limits.value[LIMIT_HOW_NOTES_DAYS], err) ||
        !equipment_json(call, &json, &rider, err)) {
        return false;
    }
    json_end_object(&json);
    return true;
}

/* ---- adding and editing ---- */

/* A list of words as the store has it: "fit calendar".
 *   some   those that it may hold, for the error */
static bool find_words(struct api_call *call, const char *key, const char *some, const char **out,
                       struct error *err)
{
    const struct body *list = NULL;
    struct text words = text_begin(call->arena, 1000);
    if (body_find(call->body, key) == NULL) {
        return true;
    }
    if (!body_list(call->body, key, BODY_NEEDED, &list, err)) {
        return false;
    }
    for (size_t i = 0; i < list->n_items; i++) {
        if (list->items[i].kind != BODY_TEXT) {
            return error_set(err, ERROR_USAGE, "%s: a list of %s", key, some);
        }
        text_add_format(&words, "%s%.20s", i > 0 ? " " : "", list->items[i].text);
    }
    *out = words.length > 0 ? words.bytes : NULL;
    return true;
}

/* All fields: what isn't there is taken away. */
static bool read_person(struct api_call *call, struct rider *rider, struct error *err)
{
    static const char *const keys[] = { "name",        "born", "sex",     "training_since",
                                        "power_since", "zone", "address", "accepts",
                                        "tests",       "note", "coached" };
    const struct {
        const char *key;
        const char **field;
    } texts[] = { { "born", &rider->born_day },
                  { "sex", &rider->sex },
                  { "training_since", &rider->training_since_day },
                  { "power_since", &rider->power_since_day },
                  { "zone", &rider->zone_name },
                  { "address", &rider->address },
                  { "note", &rider->note } };
    bool is_coached = true;
    if (!body_only(call->body, keys, sizeof keys / sizeof keys[0], err) ||
        !body_text(call->body, "name", BODY_NEEDED, &rider->name, err) ||
        !body_bool(call->body, "coached", BODY_MAY_LACK, &is_coached, err) ||
        !find_words(call, "accepts", "fit, calendar, card", &rider->accepts, err) ||
        !find_words(call, "tests", "10s, 15s, 1min, 5min, 10min, 20min", &rider->tests, err)) {
        return false;
    }
    rider->is_away = !is_coached;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        if (!write_text(call, texts[i].key, texts[i].field, err)) {
            return false;
        }
    }
    return true;
}

static bool end(struct api_call *call, struct write_done *done, const struct rider *rider,
                struct error *err)
{
    struct rider now = { 0 };
    if (!riders_row(roster_db(call->roster), call->arena, rider->id, &now, err)) {
        return false;
    }
    done->words = rider->said;
    done->number = now.id;
    done->version = now.version;
    return write_end(call, done, err);
}

bool route_post_rider(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct write_done done = { 0 };
    if (!read_person(call, &rider, err) || !write_begin(call, &done, err) ||
        !riders_add(call->roster, call->arena, call->now, &rider, err)) {
        return false;
    }
    call->location = arena_format(call->arena, "/api/1/riders/%lld", (long long)rider.id);
    return end(call, &done, &rider, err);
}

bool route_put_rider(struct api_call *call, struct error *err)
{
    struct rider old = { 0 };
    struct write_done done = { 0 };
    if (!write_rider(call, &old, err)) {
        return false;
    }
    struct rider rider = { .id = old.id, .version = call->version };
    return read_person(call, &rider, err) && write_begin(call, &done, err) &&
           riders_edit(call->roster, call->arena, call->now, &rider, err) &&
           end(call, &done, &rider, err);
}
