/* cli/equipment_told.c: a rider's equipment, how it was cared for and how long it ran. */
#include "cli/equipment.h"

#include "base/json.h"

#include <math.h>
#include <string.h>

/* Zero offsets shown unless all are asked for. */
enum { OFFSETS_SHOWN = 3, HANG = 7 };

struct told {
    struct equipment item;
    struct wear wear;
    struct care *care;
    size_t n_care;
};

static void add_line(struct roster_call *call, const char *words)
{
    text_add_format(&call->out, "%*s", HANG, "");
    text_add_wrapped(&call->out, words, HANG, HANG + 2, 80);
}

/* ---- words ---- */

static const char *describe(struct arena *arena, const struct equipment *item)
{
    struct text out = text_begin(arena, 2000);
    const bool is_meter = strcmp(item->kind, "power-meter") == 0;
    const char *parts[3] = { item->maker, item->product, NULL };
    for (size_t i = 0; parts[i] != NULL || i < 2; i++) {
        if (parts[i] != NULL) {
            text_add_format(&out, "%s%s", out.length > 0 ? " " : "", parts[i]);
        }
    }
    if (item->position != NULL) {
        text_add_format(&out, "%s%s", out.length > 0 ? ", " : "", item->position);
    }
    if (item->sides != NULL) {
        const bool both = strcmp(item->sides, "both") == 0;
        text_add_format(&out, "%s%s", out.length > 0 ? ", " : "",
                        both ? "both legs" : arena_format(arena, "%s leg alone", item->sides));
    } else if (is_meter) {
        text_add_format(&out, "%slegs measured not said", out.length > 0 ? ", " : "");
    }
    if (!isnan(item->accuracy_pct)) {
        text_add_format(&out, "%smaker's accuracy %.3g %%", out.length > 0 ? ", " : "",
                        item->accuracy_pct);
    }
    if (item->serial != 0) {
        text_add_format(&out, "%sserial %lld", out.length > 0 ? ", " : "", (long long)item->serial);
    }
    return out.length > 0 ? out.bytes : NULL;
}

static const char *use_words(struct arena *arena, const struct told *told)
{
    const struct equipment *item = &told->item;
    struct text out = text_begin(arena, 400);
    if (item->from_day != NULL) {
        text_add_format(&out, "in use from %s", item->from_day);
    }
    if (item->to_day != NULL) {
        text_add_format(&out, "%s%s", out.length > 0 ? " until " : "in use until ", item->to_day);
    }
    if (told->wear.first_day != NULL) {
        text_add_format(&out, "%srecorded %s to %s", out.length > 0 ? "; " : "",
                        told->wear.first_day, told->wear.last_day);
    }
    return out.length > 0 ? out.bytes : NULL;
}

static bool has_battery(const struct equipment *item)
{
    return strcmp(item->kind, "bike") != 0 && strcmp(item->kind, "other") != 0;
}

/* "charged 2026-02-01; 14.2 h ridden since in 6 rides, of 100 h promised: about 86 h left". */
static const char *charge_words(struct arena *arena, const struct told *told)
{
    const struct equipment *item = &told->item;
    const struct wear *wear = &told->wear;
    struct text out = text_begin(arena, 400);
    if (!has_battery(item) && wear->charge_day == NULL) {
        return NULL;
    }
    if (wear->charge_day != NULL) {
        text_add_format(&out, "charged %s", wear->charge_day);
    } else if (!isnan(item->charge_hours) || wear->rides > 0) {
        text_add(&out, "no charge noted");
    } else {
        return NULL;
    }
    if (!wear->known) {
        text_add(&out, "; hours since then need its serial (edit N --serial SERIAL)");
        return out.bytes;
    }
    if (wear->first_day == NULL) {
        text_add(&out, "; no ride was recorded with that serial: hours not known");
        return out.bytes;
    }
    text_add_format(&out, "; %.1f h ridden %s in %lld ride%s", wear->hours,
                    wear->charge_day != NULL ? "since" : "in all", (long long)wear->rides,
                    wear->rides == 1 ? "" : "s");
    if (!isnan(item->charge_hours)) {
        text_add_format(&out, ", of %.4g h promised", item->charge_hours);
        if (wear->hours >= item->charge_hours) {
            text_add(&out,
                     wear->charge_day != NULL ? ": CHARGE IT" : ": past it, if never charged");
        } else if (wear->charge_day != NULL) {
            text_add_format(&out, ": about %.0f h left", item->charge_hours - wear->hours);
        }
    }
    return out.bytes;
}

static const char *source_words(struct arena *arena, const struct care *care)
{
    return care->recording != 0
               ? arena_format(arena, "by the device, ride %lld", (long long)care->recording)
               : arena_format(arena, "by hand, entry %lld", (long long)care->id);
}

static void add_care(struct roster_call *call, const struct told *told, bool all)
{
    size_t offsets = 0;
    for (size_t i = 0; i < told->n_care; i++) {
        const struct care *care = &told->care[i];
        const bool is_offset = strcmp(care->kind, "zero-offset") == 0;
        if (!all && (!is_offset || offsets++ >= OFFSETS_SHOWN)) {
            continue;
        }
        struct text line = text_begin(call->arena, 2000);
        text_add_format(&line, "%s  %s", care->day, is_offset ? "zero offset" : care->kind);
        if (!isnan(care->value)) {
            text_add_format(&line, " %.9g", care->value);
        }
        text_add_format(&line, " (%s)", source_words(call->arena, care));
        if (care->note != NULL) {
            text_add_format(&line, ": %s", care->note);
        }
        add_line(call, line.bytes);
    }
    if (!all && offsets > OFFSETS_SHOWN) {
        add_line(call, arena_format(call->arena, "and %zu earlier zero offsets (--care)",
                                    offsets - OFFSETS_SHOWN));
    }
}

static bool is_word(const char *word, const char *wanted)
{
    return word != NULL && strcmp(word, wanted) == 0;
}

static void add_words(struct roster_call *call, const struct told *told, bool with_care)
{
    const struct equipment *item = &told->item;
    const char *const lines[] = { describe(call->arena, item), use_words(call->arena, told),
                                  charge_words(call->arena, told) };
    text_add_format(&call->out, "%5lld  ", (long long)item->id);
    text_add_wrapped(&call->out,
                     arena_format(call->arena, "%s: %s%s%s", item->kind, item->name,
                                  item->is_shared ? " (shared)" : "",
                                  equipment_is_in_use(item, call->today) ? "" : " (not in use)"),
                     HANG, HANG + 2, 80);
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        if (lines[i] != NULL) {
            add_line(call, lines[i]);
        }
    }
    if (is_word(item->sides, "left") || is_word(item->sides, "right")) {
        add_line(call, "One leg is doubled: watts may read high or low, and a change between the "
                       "legs looks like a change of power.");
    }
    if (is_word(item->position, "wrist")) {
        add_line(call, "At the wrist heart rate comes late: not read beside intervals.");
    }
    add_care(call, told, with_care);
    if (item->note != NULL) {
        add_line(call, item->note);
    }
}

/* ---- JSON ---- */

static void add_json(struct json *json, const struct told *told, const char *today)
{
    const struct equipment *item = &told->item;
    json_begin_object(json, NULL);
    json_integer(json, "id", item->id);
    json_string(json, "kind", item->kind);
    json_string(json, "name", item->name);
    json_bool(json, "shared", item->is_shared);
    json_bool(json, "in_use", equipment_is_in_use(item, today));
    json_string(json, "maker", item->maker);
    json_string(json, "product", item->product);
    if (item->serial == 0) {
        json_null(json, "serial");
    } else {
        json_integer(json, "serial", item->serial);
    }
    json_string(json, "position", item->position);
    json_string(json, "sides", item->sides);
    json_number(json, "accuracy_pct", item->accuracy_pct, 2);
    json_number(json, "charge_promised_h", item->charge_hours, 1);
    json_string(json, "from", item->from_day);
    json_string(json, "to", item->to_day);
    json_string(json, "charged", told->wear.charge_day);
    json_number(json, "since_charge_h",
                told->wear.first_day != NULL ? told->wear.hours : (double)NAN, 2);
    json_string(json, "recorded_first", told->wear.first_day);
    json_string(json, "recorded_last", told->wear.last_day);
    json_string(json, "note", item->note);
    json_begin_array(json, "care");
    for (size_t i = 0; i < told->n_care; i++) {
        const struct care *care = &told->care[i];
        json_begin_object(json, NULL);
        json_string(json, "day", care->day);
        json_string(json, "kind", care->kind);
        json_number(json, "value", care->value, 3);
        if (care->recording == 0) {
            json_integer(json, "entry", care->id);
            json_null(json, "ride");
        } else {
            json_null(json, "entry");
            json_integer(json, "ride", care->recording);
        }
        json_string(json, "note", care->note);
        json_end_object(json);
    }
    json_end_array(json);
    json_end_object(json);
}

/* ---- what devices recorded that no entry has ---- */

static bool add_seen(struct roster_call *call, struct json *json, const struct rider *rider,
                     struct error *err)
{
    struct seen_sensor *seen = NULL;
    size_t count = 0;
    if (!equipment_seen(roster_db(call->roster), call->arena, rider->id, call->today, &seen, &count,
                        err)) {
        return false;
    }
    if (!call->json && count > 0) {
        text_add(&call->out, "Recorded, but not listed here\n");
    }
    for (size_t i = 0; i < count; i++) {
        const struct seen_sensor *item = &seen[i];
        if (call->json) {
            json_begin_object(json, NULL);
            json_string(json, "kind", item->kind);
            json_string(json, "maker", item->maker);
            json_string(json, "product", item->product);
            json_integer(json, "serial", item->serial);
            json_string(json, "recorded_first", item->first_day);
            json_string(json, "recorded_last", item->last_day);
            json_integer(json, "rides", item->rides);
            json_end_object(json);
            continue;
        }
        add_line(call, arena_format(call->arena, "%s%s%s%s%s, serial %lld: %lld ride%s, %s to %s",
                                    item->kind, item->maker == NULL ? "" : ", ",
                                    item->maker == NULL ? "" : item->maker,
                                    item->product == NULL ? "" : " ",
                                    item->product == NULL ? "" : item->product,
                                    (long long)item->serial, (long long)item->rides,
                                    item->rides == 1 ? "" : "s", item->first_day, item->last_day));
    }
    return true;
}

static bool take_told(struct roster_call *call, const struct equipment *item, struct told *told,
                      struct error *err)
{
    struct db *db = roster_db(call->roster);
    *told = (struct told){ .item = *item };
    return equipment_wear(db, call->arena, item, call->today, &told->wear, err) &&
           equipment_care_list(db, call->arena, item, call->today, &told->care, &told->n_care, err);
}

bool equipment_told(struct roster_call *call, const struct rider *rider, bool with_care,
                    bool with_old, struct error *err)
{
    struct equipment *items = NULL;
    size_t count = 0;
    size_t shown = 0;
    struct json json = json_begin(&call->out);
    if (!equipment_list(roster_db(call->roster), call->arena, rider, &items, &count, err)) {
        return false;
    }
    if (call->json) {
        json_begin_object(&json, NULL);
        json_begin_array(&json, "equipment");
    } else {
        text_add_wrapped(
            &call->out,
            arena_format(call->arena, "Equipment of %s on %s", rider->name, call->today), 0, 2, 80);
    }
    for (size_t i = 0; i < count; i++) {
        struct told told;
        if (!call->json && !with_old && !equipment_is_in_use(&items[i], call->today)) {
            continue;
        }
        if (!take_told(call, &items[i], &told, err)) {
            return false;
        }
        shown++;
        if (call->json) {
            add_json(&json, &told, call->today);
        } else {
            add_words(call, &told, with_care);
        }
    }
    if (call->json) {
        json_end_array(&json);
        json_begin_array(&json, "seen");
    } else if (shown < count) {
        text_add_format(&call->out, "  and %zu not in use that day (--all)\n", count - shown);
    } else if (count == 0) {
        text_add(&call->out, "  none yet; equipment RIDER add power-meter --name WORDS\n");
    }
    if (!add_seen(call, &json, rider, err)) {
        return false;
    }
    if (call->json) {
        json_end_array(&json);
        json_end_object(&json);
    }
    return true;
}
