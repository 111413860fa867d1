/* cli/rider.c: plumbline rider: the people in the roster; add, edit, list, show. */
#include "cli/acts.h"
#include "cli/rider_acts.h"
#include "server/answers/rider.h"

#include <string.h>

struct rider_values {
    struct roster_values common;
    const char *name;
    const char *born;
    const char *sex;
    const char *training_since;
    const char *power_since;
    const char *zone;
    const char *address;
    const char *accepts;
    const char *tests;
    const char *note;
    bool left;
    bool returned;
};

#define N_ROWS(rows) (sizeof(rows) / sizeof(rows)[0])
#define ROW(field)   offsetof(struct rider_values, field), 0, 0

/* What may be said of a rider, new or known. */
#define RIDER_OPTIONS                                                                              \
    { "born", OPTION_TEXT, "DATE", "day of birth", ROW(born) },                                    \
        { "sex", OPTION_TEXT, "WORD", "female or male, for published formulas that ask it",        \
          ROW(sex) },                                                                              \
        { "training-since", OPTION_TEXT, "DATE", "since when the rider trains regularly",          \
          ROW(training_since) },                                                                   \
        { "power-since", OPTION_TEXT, "DATE", "since when the rider rides with a power meter",     \
          ROW(power_since) },                                                                      \
        { "zone", OPTION_TEXT, "NAME", "time zone, such as Europe/Berlin", ROW(zone) },            \
        { "address", OPTION_TEXT, "WORDS", "for letters: \"Hill Road 3, 12345 Town\"",             \
          ROW(address) },                                                                          \
        { "accepts", OPTION_TEXT, "WORDS", "what the device takes: some of fit,calendar,card",     \
          ROW(accepts) },                                                                          \
        { "tests", OPTION_TEXT, "WORDS",                                                           \
          "all-out efforts that next may propose: some of 10s,15s,1min,5min,10min,20min",          \
          ROW(tests) },                                                                            \
    {                                                                                              \
        "note", OPTION_TEXT, "WORDS", "a note", ROW(note)                                          \
    }

static const struct option_row add_options[] = { RIDER_OPTIONS, ROSTER_OPTIONS };
static const struct option_row edit_options[] = {
    RIDER_OPTIONS,
    { "name", OPTION_TEXT, "NAME", "another name", ROW(name) },
    { "left", OPTION_FLAG, NULL, "no longer coached, left out of lists", ROW(left) },
    { "returned", OPTION_FLAG, NULL, "coached again", ROW(returned) },
    ROSTER_LATER,
    ROSTER_OPTIONS,
};

/* What the options say of a rider; "" takes a fact away. */
static void apply(const struct rider_values *values, struct rider *rider)
{
    entry_apply(values->born, &rider->born_day);
    entry_apply(values->sex, &rider->sex);
    entry_apply(values->training_since, &rider->training_since_day);
    entry_apply(values->power_since, &rider->power_since_day);
    entry_apply(values->zone, &rider->zone_name);
    entry_apply(values->address, &rider->address);
    entry_apply(values->accepts, &rider->accepts);
    entry_apply(values->tests, &rider->tests);
    entry_apply(values->note, &rider->note);
    rider->name = values->name != NULL ? values->name : rider->name;
    rider->is_away = values->left || (rider->is_away && !values->returned);
}

/* ---- add ---- */

static bool run_add(struct roster_call *call, const void *raw, struct error *err)
{
    struct rider rider = { .name = entry_words(call, 0) };
    apply(raw, &rider);
    if (!riders_add(call->roster, call->arena, call->now, &rider, err)) {
        return false;
    }
    if (!call->json) {
        text_add_wrapped(&call->out, rider.said, 0, 2, 80);
        text_add(&call->out, "\n");
    }
    return rider_show(call, &rider, err);
}

/* Only adding begins a roster: a mistyped path must not make one. */
static const struct roster_work add_work = {
    .command = &command_rider_add,
    .least_words = 1,
    .most_words = 20,
    .creates = true,
    .run = run_add,
};

static int add_run(int argc, char *const argv[])
{
    struct rider_values values = { 0 };
    return roster_call(&add_work, argc, argv, &values);
}

/* ---- edit ---- */

static bool check_edit(const struct roster_call *call, const void *raw, struct error *err);

static bool run_edit(struct roster_call *call, const void *raw, struct error *err)
{
    struct rider rider = { 0 };
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err)) {
        return false;
    }
    apply(raw, &rider);
    if (!riders_edit(call->roster, call->arena, call->now, &rider, err)) {
        return false;
    }
    if (call->json) {
        return rider_show(call, &rider, err);
    }
    text_add_wrapped(&call->out, rider.said, 0, 2, 80);
    return true;
}

static const struct roster_work edit_work = {
    .command = &command_rider_edit,
    .least_words = 1,
    .most_words = 1,
    .check = check_edit,
    .run = run_edit,
};

static bool check_edit(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct rider_values *values = raw;
    (void)call;
    return !(values->left && values->returned) ||
           roster_usage(&edit_work, "--left and --returned: say one of them", err);
}

static int edit_run(int argc, char *const argv[])
{
    struct rider_values values = { 0 };
    return roster_call(&edit_work, argc, argv, &values);
}

/* ---- list ---- */

struct list_values {
    struct roster_values common;
    bool all;
};

static const struct option_row list_options[] = {
    { "all", OPTION_FLAG, NULL, "those who are no longer coached as well",
      offsetof(struct list_values, all), 0, 0 },
    ROSTER_OPTIONS,
};

static bool run_list(struct roster_call *call, const void *raw, struct error *err)
{
    const struct list_values *values = raw;
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
            rider_json(&json, &riders[i]);
            json_end_object(&json);
        }
        json_end_array(&json);
        return true;
    }
    for (size_t i = 0; i < count; i++) {
        text_add_format(&call->out, "%5lld  ", (long long)riders[i].id);
        text_add_wrapped(&call->out,
                         arena_format(call->arena, "%s%s", riders[i].name,
                                      riders[i].is_away ? " (no longer coached)" : ""),
                         7, 7, 80);
    }
    if (count == 0) {
        text_add(&call->out, "No riders yet; plumbline rider add NAME\n");
    }
    return true;
}

static const struct roster_work list_work = {
    .command = &command_rider_list,
    .run = run_list,
};

static int list_run(int argc, char *const argv[])
{
    struct list_values values = { 0 };
    return roster_call(&list_work, argc, argv, &values);
}

/* ---- show ---- */

static const struct option_row show_options[] = { ROSTER_OPTIONS };

static bool run_show(struct roster_call *call, const void *values, struct error *err)
{
    struct rider rider = { 0 };
    (void)values;
    return riders_find(call->roster, call->arena, call->words[0], &rider, err) &&
           rider_show(call, &rider, err);
}

static const struct roster_work show_work = {
    .command = &command_rider_show,
    .least_words = 1,
    .most_words = 1,
    .run = run_show,
};

static int show_run(int argc, char *const argv[])
{
    struct roster_values values = { 0 };
    return roster_call(&show_work, argc, argv, &values);
}

/* ---- the table ---- */

const struct command command_rider_add = {
    .name = "rider add",
    .usage = "NAME... [options]",
    .summary = "a new rider",
    .about = "Adds a rider, and begins the roster if there is none yet.",
    .options = add_options,
    .n_options = N_ROWS(add_options),
    .run = add_run,
};

const struct command command_rider_edit = {
    .name = "rider edit",
    .usage = "RIDER [options]",
    .summary = "changes what is known of a rider",
    .about = "An option with empty words (--note '') takes a fact away.",
    .options = edit_options,
    .n_options = N_ROWS(edit_options),
    .run = edit_run,
};

const struct command command_rider_list = {
    .name = "rider list",
    .usage = "[options]",
    .summary = "the riders, with their numbers",
    .about = "Lists the riders by name.",
    .options = list_options,
    .n_options = N_ROWS(list_options),
    .run = list_run,
};

const struct command command_rider_show = {
    .name = "rider show",
    .usage = "RIDER [options]",
    .summary = "all that is in force today",
    .about = "What stands over everything first, then the season, figures, health and consent, the "
             "person, and the last contacts. --today shows another day.",
    .options = show_options,
    .n_options = N_ROWS(show_options),
    .run = show_run,
};

static const struct command *const acts[] = {
    &command_rider_add,     &command_rider_edit,      &command_rider_list,
    &command_rider_show,    &command_rider_goal,      &command_rider_event,
    &command_rider_block,   &command_rider_available, &command_rider_ill,
    &command_rider_injured, &command_rider_away,      &command_rider_off,
    &command_rider_back,    &command_rider_screening, &command_rider_flag,
    &command_rider_consent, &command_rider_contact,   NULL,
};

static const struct option_row options[] = { ROSTER_OPTIONS };

static int rider_run(int argc, char *const argv[])
{
    return acts_run(&command_rider, argc, argv);
}

const struct command command_rider = {
    .name = "rider",
    .usage = "ACT [RIDER] [WORDS...] [options]",
    .summary = "the people in the roster, and what is true of them",
    .about = "A rider is named by number or by the start of the name, a day as 2026-03-14. Every "
             "change can be taken back: plumbline undo.",
    .options = options,
    .n_options = N_ROWS(options),
    .acts = acts,
    .run = rider_run,
};
