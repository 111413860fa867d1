/* cli/who.c: plumbline who: whom to see first, and why. */
#include "base/dates.h"
#include "base/json.h"
#include "cli/roster_call.h"
#include "coaching/words/attention_words.h"
#include "coaching/words/rider_words.h"
#include "roster/attention_marks.h"
#include "roster/health.h"
#include "roster/past.h"
#include "roster/readings.h"

#include <string.h>

struct who_values {
    struct roster_values common;
    const char *about;
    bool done;
    bool asked;
    const char *not_before;
    const char *line;
    bool all;
};

#define ROW(field) offsetof(struct who_values, field), 0, 0

static const struct option_row options[] = {
    { "all", OPTION_FLAG, NULL, "every situation of every rider, not the first alone", ROW(all) },
    { "done", OPTION_FLAG, NULL, "RIDER: done; back only on new evidence", ROW(done) },
    { "asked", OPTION_FLAG, NULL, "RIDER: asked, waiting for an answer", ROW(asked) },
    { "not-before", OPTION_TEXT, "DATE", "RIDER: not before that day", ROW(not_before) },
    { "about", OPTION_TEXT, "CODE", "of several situations this one; else the first", ROW(about) },
    { "note", OPTION_TEXT, "WORDS", "one line beside the mark", ROW(line) },
    ROSTER_OPTIONS,
};

static const struct roster_work work;

static bool marks(const struct who_values *values)
{
    return values->done || values->asked || values->not_before != NULL;
}

static bool check(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct who_values *values = raw;
    int64_t day = 0;
    const int n = values->done + values->asked + (values->not_before != NULL ? 1 : 0);
    if (n > 1) {
        return roster_usage(&work, "--done, --asked, --not-before: say one of them", err);
    }
    if (n == 1 && call->n_words == 0) {
        return roster_usage(&work, "of which rider? who RIDER --done", err);
    }
    if (n == 0 && (values->about != NULL || values->line != NULL)) {
        return roster_usage(&work, "--about and --note go with --done, --asked or --not-before",
                            err);
    }
    return values->not_before == NULL || dates_parse_day(values->not_before, &day) ||
           error_set(err, ERROR_USAGE, "--not-before %s: is no day; write it as 2026-03-14",
                     values->not_before);
}

/* ---- the list ---- */

struct roll {
    struct attention_rider *riders; /* [n] */
    struct rider *people;           /* [n] */
    size_t n;
    struct attention_mark *marks;
    size_t n_marks;
    struct attention attention;
    size_t n_waiting; /* rides being read again */
};

static bool take_rider(struct roster_call *call, const struct rider *person,
                       struct attention_rider *out, size_t *n_waiting, struct error *err)
{
    struct db *db = roster_db(call->roster);
    struct arena *arena = call->arena;
    struct rider_history *history = ARENA_ARRAY(arena, struct rider_history, 1);
    struct rider_readings *readings = ARENA_ARRAY(arena, struct rider_readings, 1);
    struct limits limits;
    struct health health = { 0 };
    size_t waiting = 0;
    if (!readings_limits(db, arena, person->id, &limits, err) ||
        !past_load(db, arena, person, call->today, history, &waiting, err) ||
        !health_on(db, arena, person, call->today, &health, err)) {
        return false;
    }
    rider_readings_make(arena, history, 2, &limits, readings);
    *n_waiting += waiting;
    *out = (struct attention_rider){ .id = person->id,
                                     .name = person->name,
                                     .history = history,
                                     .readings = readings,
                                     .has_plan_until_day = INT64_MIN,
                                     .advice_first = health.advice_first };
    return attention_marks_last_contact(db, arena, person->id, call->today, &out->last_contact_day,
                                        err);
}

static bool take_roll(struct roster_call *call, struct roll *roll, struct error *err)
{
    struct rider *people = NULL;
    size_t count = 0;
    struct limits limits;
    *roll = (struct roll){ 0 };
    if (!riders_list(call->roster, call->arena, false, &people, &count, err) ||
        !readings_limits(roster_db(call->roster), call->arena, 0, &limits, err) ||
        !attention_marks_list(roster_db(call->roster), call->arena, call->today, &roll->marks,
                              &roll->n_marks, err)) {
        return false;
    }
    roll->people = people;
    roll->n = count;
    roll->riders = ARENA_ARRAY(call->arena, struct attention_rider, count);
    for (size_t i = 0; i < count; i++) {
        if (!take_rider(call, &people[i], &roll->riders[i], &roll->n_waiting, err)) {
            return false;
        }
    }
    attention_read(call->arena, roll->riders, count, roll->marks, roll->n_marks, &limits,
                   &roll->attention);
    return true;
}

/* ---- printing ---- */

static void add_item_json(struct json *json, const struct attention_item *item)
{
    json_begin_object(json, NULL);
    json_integer(json, "rider", item->rider);
    json_string(json, "name", item->name);
    json_string(json, "group", attention_group_name(item->group));
    json_string(json, "code", item->why.code);
    json_string(json, "text", item->why.text);
    json_string(json, "act", attention_act_name(item->act));
    if (item->ride == 0) {
        json_null(json, "ride");
    } else {
        json_integer(json, "ride", item->ride);
    }
    json_begin_object(json, "numbers");
    for (size_t i = 0; i < item->why.n_numbers; i++) {
        json_number(json, item->why.numbers[i].name, item->why.numbers[i].value, 3);
    }
    json_end_object(json);
    json_bool(json, "first", item->is_first);
    json_bool(json, "again", item->is_again);
    json_string(json, "mark", item->mark == NULL ? NULL : attention_state_name(item->mark->state));
    json_string(json, "mark_line", item->mark == NULL ? NULL : item->mark->line);
    json_end_object(json);
}

static void add_item(struct roster_call *call, const struct attention_item *item)
{
    struct arena *arena = call->arena;
    text_add_format(&call->out, "\n  %s\n    ", item->name);
    text_add_wrapped(&call->out, item->why.text, 4, 4, 80);
    if (item->mark != NULL && item->mark->line != NULL) {
        text_add(&call->out, "    ");
        text_add_wrapped(&call->out, item->mark->line, 4, 4, 80);
    }
    const char *ride =
        item->ride == 0 ? "" : arena_format(arena, ": plumbline show %lld", (long long)item->ride);
    text_add_format(&call->out, "    next: %s%s\n", words_attention_act(item->act), ride);
}

/* only: a rider's number, 0 = all riders. */
static bool list(struct roster_call *call, const struct who_values *values, struct roll *roll,
                 int64_t only)
{
    struct attention *attention = &roll->attention;
    size_t kept = 0;
    for (size_t i = 0; i < attention->count; i++) {
        if (only == 0 || attention->items[i].rider == only) {
            attention->items[kept++] = attention->items[i];
        }
    }
    attention->count = kept;
    const bool shows_all = values->all || only != 0;
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        json_string(&json, "today", call->today);
        json_integer(&json, "riders", (int64_t)roll->n);
        json_integer(&json, "rides_being_read_again", (int64_t)roll->n_waiting);
        json_begin_array(&json, "items");
        for (size_t i = 0; i < attention->count; i++) {
            add_item_json(&json, &attention->items[i]);
        }
        json_end_array(&json);
        json_end_object(&json);
        return true;
    }
    int group = -1;
    size_t more = 0;
    for (size_t i = 0; i < attention->count; i++) {
        const struct attention_item *item = &attention->items[i];
        if (!item->is_first && !shows_all) {
            more++;
            continue;
        }
        if ((int)item->group != group) {
            group = (int)item->group;
            text_add_format(&call->out, "%s%s\n", call->out.length > 0 ? "\n" : "",
                            words_attention_group(item->group));
        }
        add_item(call, item);
    }
    if (attention->count == 0) {
        text_add(&call->out, roll->n == 0 ? "No riders yet; plumbline rider add NAME\n"
                                          : "Nothing asks for you today.\n");
    }
    if (more > 0) {
        text_add_format(&call->out, "\n%zu more situations of the same riders: --all\n", more);
    }
    if (roll->n_waiting > 0) {
        text_add_format(&call->out, "\n%zu rides are being read again: plumbline jobs\n",
                        roll->n_waiting);
    }
    return true;
}

/* ---- marking ---- */

static const struct attention_item *find_item(const struct roll *roll, int64_t rider,
                                              const char *about)
{
    for (size_t i = 0; i < roll->attention.count; i++) {
        const struct attention_item *item = &roll->attention.items[i];
        if (item->rider == rider &&
            (about == NULL ? item->is_first : strcmp(item->why.code, about) == 0)) {
            return item;
        }
    }
    return NULL;
}

static int64_t newest_note(const struct roll *roll, int64_t rider)
{
    int64_t newest = 0;
    for (size_t i = 0; i < roll->n; i++) {
        const struct rider_history *history = roll->riders[i].history;
        for (size_t k = 0; roll->riders[i].id == rider && k < history->n_notes; k++) {
            newest = history->notes[k].id > newest ? history->notes[k].id : newest;
        }
    }
    return newest;
}

static bool set_mark(struct roster_call *call, const struct who_values *values,
                     const struct roll *roll, const struct rider *rider, struct error *err)
{
    const char *said = NULL;
    const struct attention_item *item = find_item(roll, rider->id, values->about);
    if (item == NULL) {
        return values->about == NULL
                   ? error_set(err, ERROR_NOT_FOUND, "%s isn't on the list today", rider->name)
                   : error_set(err, ERROR_NOT_FOUND,
                               "%s isn't on the list for %s; who --all --json has the codes",
                               rider->name, values->about);
    }
    struct attention_mark mark = { .rider = rider->id,
                                   .code = item->why.code,
                                   .state = values->done    ? MARK_DONE
                                            : values->asked ? MARK_ASKED
                                                            : MARK_NOT_BEFORE,
                                   .evidence = item->evidence,
                                   .last_note = newest_note(roll, rider->id),
                                   .not_before_day = INT64_MIN,
                                   .line = values->line };
    if (!dates_parse_day(call->today, &mark.set_day) ||
        (values->not_before != NULL &&
         !dates_parse_day(values->not_before, &mark.not_before_day))) {
        return error_set(err, ERROR_INTERNAL, "a day that was checked is none");
    }
    if (!attention_marks_set(call->roster, call->arena, call->now, rider, &mark, &said, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        json_integer(&json, "rider", rider->id);
        json_string(&json, "code", mark.code);
        json_string(&json, "mark", attention_state_name(mark.state));
        json_string(&json, "said", said);
        json_end_object(&json);
    } else {
        text_add_wrapped(&call->out, said, 0, 2, 80);
    }
    return true;
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct who_values *values = raw;
    struct roll roll;
    struct rider rider = { 0 };
    if (call->n_words > 0 && !riders_find(call->roster, call->arena, call->words[0], &rider, err)) {
        return false;
    }
    return take_roll(call, &roll, err) &&
           (marks(values) ? set_mark(call, values, &roll, &rider, err)
                          : list(call, values, &roll, rider.id));
}

static const struct roster_work work = {
    .command = &command_who, .least_words = 0, .most_words = 1, .check = check, .run = run
};

static int who_run(int argc, char *const argv[])
{
    struct who_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_who = {
    .name = "who",
    .usage = "[RIDER] [options]",
    .summary = "whom to see first, and why",
    .about = "Lists the riders who need the coach, the most urgent first: one sentence why, and "
             "the one next act; with RIDER all situations of that one. Marks what was done about "
             "it: done, asked and waiting, "
             "or not before a day; a situation comes back only on new evidence. The same on two "
             "days with the same --today.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = who_run,
};
