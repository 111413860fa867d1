/* cli/who.c: plumbline who: whom to see first, and why. */
#include "base/dates.h"
#include "cli/roster_call.h"
#include "coaching/words/attention_words.h"
#include "coaching/words/rider_words.h"
#include "server/answers/who.h"

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
            json_begin_object(&json, NULL);
            who_item_json(&json, &attention->items[i]);
            json_end_object(&json);
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

static bool set_mark(struct roster_call *call, const struct who_values *values,
                     const struct roll *roll, const struct rider *rider, struct error *err)
{
    const char *said = NULL;
    const char *code = NULL;
    const struct mark_wish wish = { .rider = rider,
                                    .code = values->about,
                                    .state = values->done    ? MARK_DONE
                                             : values->asked ? MARK_ASKED
                                                             : MARK_NOT_BEFORE,
                                    .not_before = values->not_before,
                                    .line = values->line };
    if (!roll_mark(call->roster, call->arena, call->now, call->today, roll, &wish, &code, &said,
                   err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        json_integer(&json, "rider", rider->id);
        json_string(&json, "code", code);
        json_string(&json, "mark", attention_state_name(wish.state));
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
    return roll_take(call->roster, call->arena, call->today, NULL, &roll, err) &&
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
