/* cli/zones.c: plumbline zones: power and heart-rate zones of a rider, or of the whole roster. */
#include "base/dates.h"
#include "base/files.h"
#include "base/json.h"
#include "cli/roster_call.h"
#include "roster/facts.h"
#include "roster/zone_tables.h"

#include <math.h>
#include <string.h>

/* A zone table of ten lines is far below this. */
static const size_t ZONE_FILE_CAP = 65536;

struct zones_values {
    struct roster_values common;
    const char *table;
    const char *file;
    const char *set;
    const char *name;
    const char *from;
    bool heart;
    bool remove;
    bool all;
};

#define ROW(field) offsetof(struct zones_values, field), 0, 0

static const struct option_row options[] = {
    { "table", OPTION_TEXT, "NAME", "set one of the program's: seven-zones, three-domains, reserve",
      ROW(table) },
    { "file", OPTION_TEXT, "FILE", "set those of a file: a zone a line, \"name upper-edge\"",
      ROW(file) },
    { "set", OPTION_TEXT, "WORDS", "set them: \"easy 75, steady 90, hard -\"", ROW(set) },
    { "name", OPTION_TEXT, "WORDS", "what the table is called", ROW(name) },
    { "heart-rate", OPTION_FLAG, NULL, "edges are % of heart-rate reserve, not of threshold",
      ROW(heart) },
    { "from", OPTION_TEXT, "DATE", "the day from which it holds; today unless said", ROW(from) },
    { "remove", OPTION_FLAG, NULL, "take away the table of the day named by --from", ROW(remove) },
    { "all", OPTION_FLAG, NULL, "list every table, also those no longer in force", ROW(all) },
    ROSTER_OPTIONS,
};

/* ---- what is printed ---- */

/* From % to watts or beats: value = base + pct x span / 100. */
struct measure {
    double base;
    double span; /* NAN = not known */
    const char *unit;
};

static const char *edges(struct arena *arena, double low, double high, const char *unit)
{
    return isinf(high)  ? arena_format(arena, "above %.0f %s", low, unit)
           : low <= 0.0 ? arena_format(arena, "up to %.0f %s", high, unit)
                        : arena_format(arena, "%.0f to %.0f %s", low, high, unit);
}

static double at(const struct measure *measure, double pct)
{
    return measure->base + pct * measure->span / 100.0;
}

static void add_rows(struct roster_call *call, const struct zones *zones,
                     const struct measure *measure)
{
    double low_pct = 0.0;
    for (size_t i = 0; i < zones->count; i++) {
        const double high_pct = zones->upper_pct[i];
        /* The lowest heart-rate zone begins at no beat at all, not at rest. */
        const double low = low_pct > 0.0 ? at(measure, low_pct) : 0.0;
        const char *here = edges(call->arena, low,
                                 isinf(high_pct) ? high_pct : at(measure, high_pct), measure->unit);
        text_add_format(&call->out, "  %-32s %14s%s%s\n", zones->name[i],
                        edges(call->arena, low_pct, high_pct, "%"),
                        isnan(measure->span) ? "" : "  ", isnan(measure->span) ? "" : here);
        low_pct = high_pct;
    }
}

static void add_rows_json(struct json *json, const struct zones *zones,
                          const struct measure *measure)
{
    const char *const keys[2] = { strcmp(measure->unit, "W") == 0 ? "low_w" : "low_bpm",
                                  strcmp(measure->unit, "W") == 0 ? "high_w" : "high_bpm" };
    double low_pct = 0.0;
    json_begin_array(json, "zones");
    for (size_t i = 0; i < zones->count; i++) {
        const double high_pct = zones->upper_pct[i];
        json_begin_object(json, NULL);
        json_string(json, "name", zones->name[i]);
        json_number(json, "low_pct", low_pct, 1);
        json_number(json, "high_pct", high_pct, 1);
        json_number(json, keys[0], low_pct > 0.0 ? at(measure, low_pct) : 0.0 * measure->span, 1);
        json_number(json, keys[1], isinf(high_pct) ? (double)NAN : at(measure, high_pct), 1);
        json_end_object(json);
        low_pct = high_pct;
    }
    json_end_array(json);
}

static const char *whose_table(const struct zone_table *table)
{
    return table->id == 0      ? "the program's"
           : table->rider == 0 ? "the whole roster's"
                               : "the rider's own";
}

static const char *since(struct arena *arena, const struct zone_table *table)
{
    return table->day == NULL ? "" : arena_format(arena, " since %s", table->day);
}

/* "of threshold 246 W, 20-minute test of 2026-03-14", or what is missing for watts. */
static const char *basis_words(struct arena *arena, const struct zone_table *table,
                               const struct rider *rider, const struct rider_facts *facts,
                               bool max_is_at_least)
{
    if (table->basis == ZONES_OF_THRESHOLD) {
        if (rider == NULL) {
            return "of threshold";
        }
        return isnan(facts->threshold_w)
                   ? "of threshold; in watts once there is one: plumbline threshold"
                   : arena_format(arena, "of threshold %.0f W%s, %s", facts->threshold_w,
                                  isnan(facts->threshold_low_w)
                                      ? ""
                                      : arena_format(arena, " (likely %.0f to %.0f)",
                                                     facts->threshold_low_w,
                                                     facts->threshold_high_w),
                                  facts->threshold_known_by);
    }
    if (rider == NULL) {
        return "of the reserve from resting to maximal heart rate";
    }
    return isnan(facts->rest_heart_rate_bpm) || isnan(facts->max_heart_rate_bpm)
               ? "of heart-rate reserve; in beats once resting and maximal heart rate are known"
               : arena_format(arena, "of the reserve from %.0f to %s%.0f bpm",
                              facts->rest_heart_rate_bpm, max_is_at_least ? "at least " : "",
                              facts->max_heart_rate_bpm);
}

static struct measure measure_of(const struct zone_table *table, const struct rider_facts *facts)
{
    if (table->basis == ZONES_OF_THRESHOLD) {
        return (struct measure){ 0.0, facts->threshold_w, "W" };
    }
    return (struct measure){ facts->rest_heart_rate_bpm,
                             facts->max_heart_rate_bpm - facts->rest_heart_rate_bpm, "bpm" };
}

static void add_table(struct roster_call *call, struct json *json, const struct zone_table *table,
                      const struct rider *rider, const struct rider_facts *facts,
                      bool max_is_at_least)
{
    const struct measure measure = measure_of(table, facts);
    if (call->json) {
        json_begin_object(json, NULL);
        json_string(json, "basis", zone_basis_name(table->basis));
        json_string(json, "name", table->name);
        json_string(json, "of",
                    table->id == 0      ? "program"
                    : table->rider == 0 ? "roster"
                                        : "rider");
        json_string(json, "from", table->day);
        add_rows_json(json, &table->zones, &measure);
        json_end_object(json);
        return;
    }
    text_add(&call->out, call->out.length > 0 ? "\n" : "");
    text_add_wrapped(&call->out,
                     arena_format(call->arena, "%s, %s (%s%s), in %% %s",
                                  table->basis == ZONES_OF_THRESHOLD ? "Power" : "Heart rate",
                                  table->name, whose_table(table), since(call->arena, table),
                                  basis_words(call->arena, table, rider, facts, max_is_at_least)),
                     0, 2, 80);
    add_rows(call, &table->zones, &measure);
}

static bool show(struct roster_call *call, const struct rider *rider, struct error *err)
{
    struct rider_facts facts = facts_unknown();
    struct json json = json_begin(&call->out);
    struct fact *maxima = NULL;
    size_t count = 0;
    if (rider != NULL &&
        (!facts_on(call->roster, call->arena, rider->id, call->today, &facts, err) ||
         !facts_list(call->roster, call->arena, rider->id, FACT_MAX_HEART_RATE, call->today,
                     &maxima, &count, err))) {
        return false;
    }
    if (call->json) {
        json_begin_array(&json, NULL);
    } else {
        text_add_wrapped(&call->out,
                         arena_format(call->arena, "Zones of %s on %s",
                                      rider == NULL ? "the whole roster" : rider->name,
                                      call->today),
                         0, 2, 80);
    }
    for (int basis = 0; basis < ZONE_BASES; basis++) {
        struct zone_table table = { 0 };
        if (!zone_tables_in_force(roster_db(call->roster), call->arena,
                                  rider == NULL ? 0 : rider->id, (enum zone_basis)basis,
                                  call->today, &table, err)) {
            return false;
        }
        add_table(call, &json, &table, rider, &facts, count > 0 && maxima[0].at_least);
    }
    if (call->json) {
        json_end_array(&json);
    }
    return true;
}

static bool list_all(struct roster_call *call, const struct rider *rider, struct error *err)
{
    struct zone_table *tables = NULL;
    size_t count = 0;
    const struct rider_facts facts = facts_unknown();
    struct json json = json_begin(&call->out);
    if (!zone_tables_list(call->roster, call->arena, rider, call->today, &tables, &count, err)) {
        return false;
    }
    if (call->json) {
        json_begin_array(&json, NULL);
    } else if (count == 0) {
        text_add(&call->out, "No zones but the program's\n");
    }
    for (size_t i = 0; i < count; i++) {
        add_table(call, &json, &tables[i], NULL, &facts, false);
    }
    if (call->json) {
        json_end_array(&json);
    }
    return true;
}

/* ---- what is done ---- */

static const struct roster_work work;

static size_t ways_to_set(const struct zones_values *values)
{
    return (values->table != NULL ? 1u : 0u) + (values->file != NULL ? 1u : 0u) +
           (values->set != NULL ? 1u : 0u);
}

static bool check_options(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct zones_values *values = raw;
    const size_t ways = ways_to_set(values);
    int64_t days = 0;
    struct zone_table table;
    if (ways > 1 || (ways == 1 && (values->remove || values->all)) ||
        (values->remove && values->all)) {
        return roster_usage(&work, "say one of --table, --file, --set, --remove, --all", err);
    }
    if (values->remove && values->from == NULL) {
        return roster_usage(&work, "--remove: takes away the table of --from DATE", err);
    }
    if (ways == 0 && (values->name != NULL || (values->from != NULL && !values->remove))) {
        return roster_usage(&work, "which zones? say --table, --file or --set", err);
    }
    if (values->from != NULL && !dates_parse_day(values->from, &days)) {
        return roster_usage(&work,
                            arena_format(call->arena,
                                         "--from %.60s: is no day; write it as 2026-03-14",
                                         values->from),
                            err);
    }
    if (values->table != NULL && !zone_tables_offer(values->table, &table)) {
        const char *nearest = text_nearest(values->table, zone_tables_offered, 3);
        return error_set(err, ERROR_USAGE, "--table %.60s: not known%s%s; --help lists them",
                         values->table, nearest == NULL ? "" : ", did you mean ",
                         nearest == NULL ? "" : nearest);
    }
    return true;
}

/* "easy 75, hard -" as the lines of a file. */
static struct bytes lines_of(struct arena *arena, const char *words)
{
    char *lines = arena_string(arena, words);
    for (char *c = lines; *c != '\0'; c++) {
        *c = *c == ',' || *c == ';' ? '\n' : *c;
    }
    return (struct bytes){ (const uint8_t *)lines, strlen(lines) };
}

static bool table_of(struct roster_call *call, const struct zones_values *values,
                     struct zone_table *table, struct error *err)
{
    struct bytes bytes = { 0 };
    *table =
        (struct zone_table){ .basis = values->heart ? ZONES_OF_HEART_RESERVE : ZONES_OF_THRESHOLD };
    if (values->table != NULL) {
        (void)zone_tables_offer(values->table, table);
        if (values->heart && table->basis != ZONES_OF_HEART_RESERVE) {
            return error_set(err, ERROR_USAGE,
                             "--table %s: is of threshold power, not of heart rate", values->table);
        }
    } else if (values->file != NULL) {
        const char *slash = strrchr(values->file, '/');
        table->name = slash == NULL ? values->file : slash + 1;
        if (!files_read(call->arena, values->file, ZONE_FILE_CAP, &bytes, err) ||
            !zones_parse(bytes, values->file, &table->zones, err)) {
            return false;
        }
    } else {
        table->name = "own";
        if (!zones_parse(lines_of(call->arena, values->set), "--set", &table->zones, err)) {
            return false;
        }
    }
    table->name = values->name == NULL ? table->name : values->name;
    table->day = values->from == NULL ? call->today : values->from;
    return true;
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct zones_values *values = raw;
    struct rider found = { 0 };
    struct rider *rider = call->n_words == 0 ? NULL : &found;
    const char *said = NULL;
    if (rider != NULL && !riders_find(call->roster, call->arena, call->words[0], rider, err)) {
        return false;
    }
    if (values->remove) {
        if (!zone_tables_remove(call->roster, call->arena, call->now, rider,
                                values->heart ? ZONES_OF_HEART_RESERVE : ZONES_OF_THRESHOLD,
                                values->from, &said, err)) {
            return false;
        }
    } else if (ways_to_set(values) > 0) {
        struct zone_table table;
        if (!table_of(call, values, &table, err) ||
            !zone_tables_set(call->roster, call->arena, call->now, rider, &table, err)) {
            return false;
        }
        said = table.said;
    } else if (values->all) {
        return list_all(call, rider, err);
    }
    if (said != NULL && !call->json) {
        text_add_wrapped(&call->out, said, 0, 2, 80);
        return true;
    }
    return show(call, rider, err);
}

static const struct roster_work work = {
    .command = &command_zones, .most_words = 1, .check = check_options, .run = run
};

static int zones_run(int argc, char *const argv[])
{
    struct zones_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_zones = {
    .name = "zones",
    .usage = "[RIDER] [options]",
    .summary = "power and heart-rate zones, in watts and beats",
    .about = "Shows the zones in force, in watts and beats by the facts of today, or sets them for "
             "a rider, or without one for the whole roster: a rider's own win. A zone goes up to "
             "its edge, the edge included; the last has \"-\". Edges are % of threshold, or % of "
             "the reserve between resting and maximal heart rate. A ride is shown with the zones "
             "of its day. Every change can be taken back: plumbline undo.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = zones_run,
};
