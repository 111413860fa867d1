/* cli/rider.c: plumbline rider: the people in the roster. */
#include "base/json.h"
#include "cli/roster_call.h"
#include "roster/facts.h"

#include <math.h>
#include <string.h>

struct rider_values {
    struct roster_values common;
    const char *name;
    const char *born;
    const char *training_since;
    const char *zone;
    const char *note;
    bool away;
    bool back;
    bool all;
};

#define ROW(field) offsetof(struct rider_values, field), 0, 0

static const struct option_row options[] = {
    { "name", OPTION_TEXT, "NAME", "edit: another name", ROW(name) },
    { "born", OPTION_TEXT, "DATE", "day of birth", ROW(born) },
    { "training-since", OPTION_TEXT, "DATE", "since when the rider trains regularly",
      ROW(training_since) },
    { "zone", OPTION_TEXT, "NAME", "time zone, such as Europe/Berlin", ROW(zone) },
    { "note", OPTION_TEXT, "WORDS", "a note", ROW(note) },
    { "away", OPTION_FLAG, NULL, "edit: no longer coached, left out of lists", ROW(away) },
    { "back", OPTION_FLAG, NULL, "edit: coached again", ROW(back) },
    { "all", OPTION_FLAG, NULL, "list: those who are away as well", ROW(all) },
    ROSTER_LATER,
    ROSTER_OPTIONS,
};

static const char *or_none(const char *text)
{
    return text == NULL || text[0] == '\0' ? NULL : text;
}

/* What the options say of a rider; "" takes a fact away. */
static void apply(const struct rider_values *values, struct rider *rider)
{
    const struct {
        const char *given;
        const char **field;
    } fields[] = {
        { values->born, &rider->born_day },
        { values->training_since, &rider->training_since_day },
        { values->zone, &rider->zone_name },
        { values->note, &rider->note },
    };
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
        if (fields[i].given != NULL) {
            *fields[i].field = or_none(fields[i].given);
        }
    }
    rider->name = values->name != NULL ? values->name : rider->name;
    rider->is_away = values->away || (rider->is_away && !values->back);
}

/* ---- what is printed ---- */

static void add_json(struct json *json, const struct rider *rider)
{
    json_integer(json, "id", rider->id);
    json_string(json, "name", rider->name);
    json_string(json, "born", rider->born_day);
    json_string(json, "training_since", rider->training_since_day);
    json_string(json, "zone", rider->zone_name);
    json_string(json, "note", rider->note);
    json_bool(json, "away", rider->is_away);
}

static void add_field(struct text *out, const char *what, const char *words)
{
    if (words != NULL) {
        text_add_format(out, "  %-20s", what);
        text_add_wrapped(out, words, 22, 22, 80);
    }
}

static bool show(struct roster_call *call, const struct rider *rider, struct error *err)
{
    struct fact facts[FACT_KINDS];
    bool known[FACT_KINDS] = { false };
    for (int kind = 0; kind < FACT_KINDS; kind++) {
        struct fact *list = NULL;
        size_t count = 0;
        if (!facts_list(call->roster, call->arena, rider->id, (enum fact_kind)kind, call->today,
                        &list, &count, err)) {
            return false;
        }
        known[kind] = count > 0;
        if (count > 0) {
            facts[kind] = list[0];
        }
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_object(&json, NULL);
        add_json(&json, rider);
        json_begin_object(&json, "facts");
    } else {
        text_add_format(&call->out, "%s (rider %lld)%s\n", rider->name, (long long)rider->id,
                        rider->is_away ? ", away" : "");
        add_field(&call->out, "born", rider->born_day);
        add_field(&call->out, "training since", rider->training_since_day);
        add_field(&call->out, "time zone", rider->zone_name);
    }
    for (int kind = 0; kind < FACT_KINDS; kind++) {
        const struct fact_row *row = fact_row((enum fact_kind)kind);
        if (!known[kind]) {
            if (call->json) {
                json_null(&json, row->name);
            }
            continue;
        }
        const struct fact *fact = &facts[kind];
        if (call->json) {
            json_begin_object(&json, row->name);
            json_number(&json, "value", fact->value, 3);
            json_string(&json, "unit", row->unit);
            json_string(&json, "day", fact->day);
            json_end_object(&json);
        } else {
            add_field(&call->out, row->name,
                      arena_format(call->arena, "%s%.*f %s since %s",
                                   fact->at_least ? "at least " : "", row->decimals, fact->value,
                                   row->unit, fact->day));
        }
    }
    if (call->json) {
        json_end_object(&json);
        json_end_object(&json);
    } else {
        add_field(&call->out, "note", rider->note);
    }
    return true;
}

static bool list(struct roster_call *call, const struct rider_values *values, struct error *err)
{
    struct rider *riders = NULL;
    size_t count = 0;
    if (!riders_list(call->roster, call->arena, values->all, &riders, &count, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_array(&json, NULL);
        for (size_t i = 0; i < count; i++) {
            json_begin_object(&json, NULL);
            add_json(&json, &riders[i]);
            json_end_object(&json);
        }
        json_end_array(&json);
        return true;
    }
    for (size_t i = 0; i < count; i++) {
        text_add_format(&call->out, "%5lld  ", (long long)riders[i].id);
        text_add_wrapped(
            &call->out,
            arena_format(call->arena, "%s%s", riders[i].name, riders[i].is_away ? " (away)" : ""),
            7, 7, 80);
    }
    if (count == 0) {
        text_add(&call->out, "No riders yet; plumbline rider add NAME\n");
    }
    return true;
}

/* ---- what is done ---- */

static bool is_word(const struct roster_call *call, const char *word)
{
    return call->n_words > 0 && strcmp(call->words[0], word) == 0;
}

static const char *const verbs[] = { "add", "edit", "list", "show" };

static const struct roster_work work;

static bool check_words(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct rider_values *values = raw;
    const bool needs_name = !is_word(call, "list");
    bool known = false;
    for (size_t i = 0; i < sizeof verbs / sizeof verbs[0]; i++) {
        known = known || is_word(call, verbs[i]);
    }
    if (!known) {
        const char *nearest = text_nearest(call->words[0], verbs, sizeof verbs / sizeof verbs[0]);
        return roster_usage(&work,
                            arena_format(call->arena, "%.60s: add, edit, list or show%s%s",
                                         call->words[0], nearest == NULL ? "" : "? Perhaps ",
                                         nearest == NULL ? "" : nearest),
                            err);
    }
    if (needs_name != (call->n_words == 2)) {
        return roster_usage(&work,
                            needs_name
                                ? arena_format(call->arena, "%s: which rider?", call->words[0])
                                : "list: takes no rider",
                            err);
    }
    if (values->away && values->back) {
        return roster_usage(&work, "--away and --back: say one of them", err);
    }
    return true;
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct rider_values *values = raw;
    struct rider rider = { 0 };
    if (is_word(call, "list")) {
        return list(call, values, err);
    }
    if (is_word(call, "add")) {
        rider.name = call->words[1];
        apply(values, &rider);
        return riders_add(call->roster, call->arena, call->now, &rider, err) &&
               show(call, &rider, err);
    }
    if (!riders_find(call->roster, call->arena, call->words[1], &rider, err)) {
        return false;
    }
    if (is_word(call, "edit")) {
        apply(values, &rider);
        if (!riders_edit(call->roster, call->arena, call->now, &rider, err) ||
            !riders_find(call->roster, call->arena,
                         arena_format(call->arena, "%lld", (long long)rider.id), &rider, err)) {
            return false;
        }
    }
    return show(call, &rider, err);
}

static const struct roster_work work = {
    .command = &command_rider,
    .least_words = 1,
    .most_words = 2,
    .check = check_words,
    .run = run,
};

static int rider_run(int argc, char *const argv[])
{
    struct rider_values values = { 0 };
    struct roster_work own = work;
    /* Only adding begins a roster: a mistyped path must not make one. */
    for (int i = 1; i < argc; i++) {
        own.creates = own.creates || strcmp(argv[i], "add") == 0;
    }
    return roster_call(&own, argc, argv, &values);
}

const struct command command_rider = {
    .name = "rider",
    .usage = "add|edit|list|show [RIDER] [options]",
    .summary = "the people in the roster",
    .about = "Adds a rider, changes what is known of one, lists them, or shows one with the facts "
             "in force. A rider is named by number or by the start of the name. An option with "
             "empty words (--note '') takes a fact away. Every change can be taken back: plumbline "
             "undo.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = rider_run,
};
