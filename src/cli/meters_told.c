/* cli/meters_told.c: meter checks as words and JSON. */
#include "cli/meters.h"

#include "base/dates.h"
#include "cli/read_words.h"
#include "coaching/ride_json.h"
#include "coaching/words/meter_words.h"
#include "coaching/words/words.h"
#include "maths/distributions.h"
#include "roster/readings.h"

#include <math.h>

enum { HANG = 7, WIDTH = 80 };

static void add_line(struct roster_call *call, const char *words)
{
    text_add_format(&call->out, "%*s", HANG, "");
    text_add_wrapped(&call->out, words, HANG, HANG + 2, WIDTH);
}

/* ---- JSON ---- */

static void add_id(struct json *json, const char *key, int64_t id)
{
    if (id == 0) {
        json_null(json, key);
    } else {
        json_integer(json, key, id);
    }
}

static void add_offset(struct json *json, const char *key, const struct meter_offset *offset)
{
    json_begin_object(json, key);
    json_number(json, "above_pct", offset->pct, 3);
    json_number(json, "low_pct", offset->low, 3);
    json_number(json, "high_pct", offset->high, 3);
    json_number(json, "mean_w", offset->mean_w, 1);
    json_end_object(json);
}

static void add_check(struct json *json, const struct meter_check *check)
{
    json_integer(json, "minutes", (int64_t)check->all.minutes);
    json_number(json, "correlation", check->correlation, 4);
    add_offset(json, "all", &check->all);
    add_offset(json, "easy", &check->gentle);
    add_offset(json, "hard", &check->hard);
}

static void add_side(struct json *json, const char *key, const struct meter_side *side)
{
    json_begin_object(json, key);
    add_id(json, "ride", side->is_stored ? side->row.id : 0);
    json_string(json, "file", side->is_stored ? side->row.name : side->name);
    add_id(json, "meter", side->meter.id);
    json_string(json, "name", side->meter.name);
    add_id(json, "serial", side->serial);
    json_end_object(json);
}

static void found_json(struct roster_call *call, const struct meter_found *found)
{
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    add_id(&json, "rider", found->rider == NULL ? 0 : found->rider->id);
    json_string(&json, "name", found->rider == NULL ? NULL : found->rider->name);
    add_side(&json, "first", &found->sides[0]);
    add_side(&json, "second", &found->sides[1]);
    json_begin_array(&json, "readings");
    reading_json_add(&json, &found->reading);
    json_end_array(&json);
    if (found->check.state == METER_CHECK_KNOWN && !isnan(found->check.all.pct)) {
        json_begin_object(&json, "check");
        json_integer(&json, "lag_s", found->check.lag_s);
        add_check(&json, &found->check);
        json_end_object(&json);
    } else {
        json_null(&json, "check");
    }
    add_id(&json, "kept", found->kept.id);
    json_string(&json, "said", found->said);
    json_string(&json, "not_kept_because", found->not_kept);
    json_end_object(&json);
}

/* ---- what was found ---- */

static void found_words(struct roster_call *call, const struct meter_found *found)
{
    struct arena *arena = call->arena;
    static const char *const places[] = { "first", "second" };
    for (size_t i = 0; i < 2; i++) {
        const struct meter_side *side = &found->sides[i];
        const char *meter = side->meter.id != 0 || side->serial != 0
                                ? arena_format(arena, ", %s", side->meter_words)
                                : "";
        text_add_format(&call->out, "  %-7s ", places[i]);
        text_add_wrapped(
            &call->out,
            side->is_stored
                ? arena_format(arena, "recording %lld of %s%s", (long long)side->row.id,
                               side->row.local_day == NULL ? "an unknown day" : side->row.local_day,
                               meter)
                : arena_format(arena, "%s%s", side->name, meter),
            10, 10, WIDTH);
    }
    read_words_add_reading(&call->out, words_question(QUESTION_METERS), &found->reading);
    roster_call_sentence(call, found->said != NULL
                                   ? arena_format(arena, "Kept, check %lld. %s.",
                                                  (long long)found->kept.id, found->said)
                                   : arena_format(arena, "Not kept: %s.", found->not_kept));
}

void meters_told_found(struct roster_call *call, const struct meter_found *found)
{
    if (call->json) {
        found_json(call, found);
    } else {
        found_words(call, found);
    }
}

/* ---- the list ---- */

static void add_kept_json(struct json *json, const struct kept_check *kept)
{
    json_begin_object(json, NULL);
    json_integer(json, "check", kept->id);
    json_integer(json, "version", kept->version);
    json_string(json, "day", kept->day);
    json_begin_array(json, "meters");
    for (size_t i = 0; i < 2; i++) {
        json_begin_object(json, NULL);
        json_integer(json, "meter", kept->meters[i]);
        json_string(json, "name", kept->names[i]);
        json_integer(json, "ride", kept->recordings[i]);
        json_end_object(json);
    }
    json_end_array(json);
    add_check(json, &kept->check);
    json_string(json, "method", kept->method);
    json_string(json, "note", kept->note);
    json_string(json, "changed", kept->changed_day);
    json_end_object(json);
}

static void add_kept_words(struct roster_call *call, const struct kept_check *kept,
                           const struct limits *limits)
{
    struct arena *arena = call->arena;
    const int64_t day = dates_day_number(kept->day);
    struct meter_link link = meters_link(&kept->check, kept->meters[0], kept->meters[1], day);
    const double half = distributions_normal_quantile(0.95) * meter_link_sd(&link, limits);
    const bool is_half = meters_offset(&kept->check) == &kept->check.hard;
    link.changed_day = kept->changed_day == NULL ? INT64_MIN : dates_day_number(kept->changed_day);
    text_add_format(&call->out, "%5lld  ", (long long)kept->id);
    text_add_wrapped(&call->out,
                     arena_format(arena, "%s, %lld days ago: %s", kept->day,
                                  (long long)(dates_day_number(call->today) - day),
                                  words_meters_apart(arena, kept->names[0], kept->names[1],
                                                     meters_offset(&kept->check)->pct,
                                                     100.0 * expm1(link.log_ratio - half),
                                                     100.0 * expm1(link.log_ratio + half))),
                     HANG, HANG + 2, WIDTH);
    add_line(call,
             arena_format(arena, "%zu min of recordings %lld and %lld, %s", kept->check.all.minutes,
                          (long long)kept->recordings[0], (long long)kept->recordings[1],
                          is_half ? "the harder half of them" : "all of them"));
    const char *changed = words_meters_changed(arena, &link);
    if (changed != NULL) {
        add_line(call, arena_format(arena, "It still counts, but %s: check them anew.", changed));
    }
    if (kept->note != NULL) {
        add_line(call, kept->note);
    }
}

static void add_possible(struct roster_call *call, struct json *json,
                         const struct possible_check *possible)
{
    if (call->json) {
        json_begin_object(json, NULL);
        json_string(json, "day", possible->day);
        json_begin_array(json, "meters");
        for (size_t i = 0; i < 2; i++) {
            json_begin_object(json, NULL);
            json_string(json, "name", possible->names[i]);
            json_integer(json, "ride", possible->recordings[i]);
            json_end_object(json);
        }
        json_end_array(json);
        json_end_object(json);
        return;
    }
    add_line(call,
             arena_format(call->arena, "%s, %s and %s: plumbline meters %lld %lld", possible->day,
                          possible->names[0], possible->names[1],
                          (long long)possible->recordings[0], (long long)possible->recordings[1]));
}

bool meters_told_list(struct roster_call *call, const struct rider *rider, struct error *err)
{
    struct db *db = roster_db(call->roster);
    struct kept_check *checks = NULL;
    struct possible_check *possible = NULL;
    struct limits limits;
    size_t n = 0;
    size_t n_possible = 0;
    if (!readings_limits(db, call->arena, rider->id, &limits, err) ||
        !meter_checks_list(db, call->arena, rider->id, call->today, &checks, &n, err) ||
        !meter_checks_possible(db, call->arena, rider->id, call->today, &possible, &n_possible,
                               err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_object(&json, NULL);
        json_integer(&json, "rider", rider->id);
        json_string(&json, "name", rider->name);
        json_string(&json, "today", call->today);
        json_begin_array(&json, "checks");
    } else {
        text_add_wrapped(
            &call->out,
            arena_format(call->arena, "Meter checks of %s on %s", rider->name, call->today), 0, 2,
            WIDTH);
        text_add(&call->out, n == 0 ? "  none yet; plumbline meters A B compares two recordings of "
                                      "one ride\n"
                                    : "");
    }
    for (size_t i = n; i > 0; i--) {
        if (call->json) {
            add_kept_json(&json, &checks[i - 1]);
        } else {
            add_kept_words(call, &checks[i - 1], &limits);
        }
    }
    if (call->json) {
        json_end_array(&json);
        json_begin_array(&json, "possible");
    } else if (n_possible > 0) {
        text_add(&call->out, "Ridden with both, and not checked yet\n");
    }
    for (size_t i = 0; i < n_possible; i++) {
        add_possible(call, &json, &possible[i]);
    }
    if (call->json) {
        json_end_array(&json);
        json_end_object(&json);
    }
    return true;
}
