/* cli/limits.c: plumbline limits: every choice the program makes, with its source, and what a coach
 * set otherwise. */
#include "base/dates.h"
#include "base/json.h"
#include "cli/read_facts.h"
#include "cli/roster_call.h"
#include "roster/overrides.h"

#include <stdlib.h>
#include <string.h>

struct limits_values {
    struct roster_values common;
    const char *rider;
    const char *note;
    bool changed;
    bool remove;
};

#define ROW(field) offsetof(struct limits_values, field), 0, 0

static const struct option_row options[] = {
    { "rider", OPTION_TEXT, "RIDER", "for this rider; else for the whole roster", ROW(rider) },
    { "note", OPTION_TEXT, "WORDS", "set: why", ROW(note) },
    { "changed", OPTION_FLAG, NULL, "list only what is not as the program has it", ROW(changed) },
    { "remove", OPTION_FLAG, NULL, "back to the roster's value, or to the default", ROW(remove) },
    ROSTER_OPTIONS,
};

/* What is in force, and where it was set. */
struct in_force {
    double value;
    const struct override *set[2]; /* for the roster, for the rider; NULL = not */
};

static const struct override *last_set(const struct in_force *in_force)
{
    return in_force->set[1] != NULL ? in_force->set[1] : in_force->set[0];
}

/* ---- what is printed ---- */

static void add_set_json(struct json *json, const char *key, const struct override *set)
{
    char day[11];
    if (set == NULL) {
        json_null(json, key);
        return;
    }
    json_begin_object(json, key);
    json_number(json, "value", set->value, 6);
    json_string(json, "note", set->note);
    json_string(json, "who", set->who);
    dates_format_day(set->set_utc_s / 86400, day);
    json_string(json, "day_utc", set->set_utc_s == 0 ? NULL : day);
    json_end_object(json);
}

static void add_json(struct json *json, const struct limit_row *row,
                     const struct in_force *in_force)
{
    json_begin_object(json, NULL);
    json_string(json, "name", row->name);
    json_number(json, "value", in_force->value, 6);
    json_number(json, "default", row->value, 6);
    json_string(json, "unit", row->unit);
    json_number(json, "lowest", row->lowest, 6);
    json_number(json, "highest", row->highest, 6);
    json_string(json, "source", row->source);
    json_string(json, "check", row->check[0] == '\0' ? NULL : row->check);
    add_set_json(json, "roster", in_force->set[0]);
    add_set_json(json, "rider", in_force->set[1]);
    json_end_object(json);
}

/* "12 for Ada Berg since 2026-03-14, by Kim: she starts cold". */
static void add_set_words(struct roster_call *call, const struct override *set,
                          const struct rider *rider)
{
    struct text line = text_begin(call->arena, 4000);
    text_add_format(&line, "SET %.9g for %s", set->value,
                    set->rider == 0 || rider == NULL ? "the whole roster" : rider->name);
    if (set->set_utc_s != 0) {
        char day[11];
        dates_format_day(set->set_utc_s / 86400, day);
        text_add_format(&line, " on %s", day);
    }
    if (set->who != NULL) {
        text_add_format(&line, " by %s", set->who);
    }
    if (set->note != NULL) {
        text_add_format(&line, ": %s", set->note);
    }
    text_add(&call->out, "    ");
    text_add_wrapped(&call->out, line.bytes, 4, 6, 80);
}

static void add_words(struct roster_call *call, const struct limit_row *row,
                      const struct in_force *in_force, const struct rider *rider)
{
    struct text *out = &call->out;
    text_add_format(out, "%s = %.9g%s%s", row->name, in_force->value,
                    row->unit[0] == '\0' ? "" : " ", row->unit);
    if (row->highest > row->lowest) {
        text_add_format(out, "  (%.9g to %.9g)", row->lowest, row->highest);
    }
    if (last_set(in_force) != NULL) {
        text_add_format(out, "  default %.9g", row->value);
    }
    text_add(out, "\n");
    for (size_t i = 0; i < 2; i++) {
        if (in_force->set[i] != NULL) {
            add_set_words(call, in_force->set[i], rider);
        }
    }
    text_add(out, "    ");
    text_add_wrapped(out, row->source, 4, 4, 80);
}

/* ---- what is done ---- */

static bool find_in_force(struct roster_call *call, const struct rider *rider,
                          struct in_force in_force[LIMITS_COUNT], struct error *err)
{
    struct override *sets = NULL;
    size_t count = 0;
    for (int id = 0; id < LIMITS_COUNT; id++) {
        in_force[id] = (struct in_force){ .value = limits_row((enum limit_id)id)->value };
    }
    if (call->roster == NULL) {
        return true;
    }
    if (!overrides_list(roster_db(call->roster), call->arena, rider == NULL ? 0 : rider->id, &sets,
                        &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) { /* the roster's first */
        if (sets[i].is_in_range) {
            struct in_force *its = &in_force[sets[i].limit];
            its->value = sets[i].value;
            its->set[sets[i].rider == 0 ? 0 : 1] = &sets[i];
        }
    }
    return true;
}

static bool list(struct roster_call *call, const struct limits_values *values,
                 const struct rider *rider, const char *only, struct error *err)
{
    struct in_force in_force[LIMITS_COUNT];
    size_t told = 0;
    if (!find_in_force(call, rider, in_force, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_array(&json, NULL);
    }
    for (int id = 0; id < LIMITS_COUNT; id++) {
        const struct limit_row *row = limits_row((enum limit_id)id);
        if ((only != NULL && strcmp(only, row->name) != 0) ||
            (values->changed && last_set(&in_force[id]) == NULL)) {
            continue;
        }
        told++;
        if (call->json) {
            add_json(&json, row, &in_force[id]);
        } else {
            add_words(call, row, &in_force[id], rider);
        }
    }
    if (call->json) {
        json_end_array(&json);
    } else if (told == 0) {
        text_add(&call->out, "Every limit is as the program has it.\n");
    }
    return true;
}

static const struct roster_work work;

/* A name that is a limit's, and a value that is a number. */
/* Digits, so that "inf" and "0x50" are told. */
static bool is_number(const char *word)
{
    char *end = NULL;
    const double value = strtod(word, &end);
    (void)value;
    return word[strspn(word, "-+.0123456789e")] == '\0' && end != word && *end == '\0';
}

static bool check_words(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct limits_values *values = raw;
    enum limit_id id = (enum limit_id)0;
    const char *name = call->n_words > 0 ? call->words[0] : NULL;
    if (name != NULL && !limits_find(name, &id)) {
        const char *nearest = read_facts_nearest_limit(name);
        return error_set(err, ERROR_USAGE, "%.60s: no such limit%s%s; plumbline limits lists them",
                         name, nearest == NULL ? "" : ", did you mean ",
                         nearest == NULL ? "" : nearest);
    }
    if (values->remove && call->n_words != 1) {
        return roster_usage(&work, "--remove: takes the name of a limit and no value", err);
    }
    if (values->note != NULL && call->n_words != 2) {
        return roster_usage(&work, "--note: belongs to a limit that is set", err);
    }
    if (values->changed && call->n_words > 0) {
        return roster_usage(&work, "--changed: lists all that are, it takes no name", err);
    }
    if (call->n_words == 2 && !is_number(call->words[1])) {
        return roster_usage(&work, arena_format(call->arena, "%.60s: not a number", call->words[1]),
                            err);
    }
    return true;
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct limits_values *values = raw;
    const bool changes = values->remove || call->n_words == 2;
    struct rider rider = { 0 };
    struct rider *whose = values->rider == NULL ? NULL : &rider;
    enum limit_id id = (enum limit_id)0;
    const char *said = NULL;
    if (call->roster == NULL && (changes || values->rider != NULL)) {
        return error_set(err, ERROR_NOT_FOUND,
                         "there is no roster; plumbline rider add NAME begins one");
    }
    if (whose != NULL && !riders_find(call->roster, call->arena, values->rider, whose, err)) {
        return false;
    }
    const char *name = call->n_words > 0 ? call->words[0] : NULL;
    if (!changes) {
        return list(call, values, whose, name, err);
    }
    (void)limits_find(name, &id);
    const bool done =
        values->remove
            ? overrides_remove(call->roster, call->arena, call->now, whose, id, &said, err)
            : overrides_set(call->roster, call->arena, call->now, whose, id,
                            strtod(call->words[1], NULL), values->note, &said, err);
    if (!done) {
        return false;
    }
    if (call->json) {
        return list(call, values, whose, name, err);
    }
    text_add_wrapped(&call->out, said, 0, 2, 80);
    return true;
}

static const struct roster_work work = {
    .command = &command_limits, .most_words = 2, .may_lack = true, .check = check_words, .run = run
};

static int limits_run(int argc, char *const argv[])
{
    struct limits_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_limits = {
    .name = "limits",
    .usage = "[NAME [VALUE]] [options]",
    .summary = "every line, cut-off and smoothing length, with its source",
    .about =
        "Lists every choice that the program makes: name, value in force, the range a coach may "
        "set it to, and where it comes from; needs no roster. With a value it is set otherwise, "
        "for the whole roster or for one rider, whose own wins; rides are then read again. What "
        "guards a reader (cap_...) can't be changed. read --limit NAME=VALUE tries one out.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = limits_run,
};
