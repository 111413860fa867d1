/* cli/entry_call.c: the acts that keep a rider's entries. */
#include "cli/entry_call.h"

#include "base/dates.h"

#include <stdlib.h>
#include <string.h>

const char *entry_words(const struct roster_call *call, size_t from)
{
    struct text out = text_begin(call->arena, 65536);
    for (size_t i = from; i < call->n_words; i++) {
        text_add_format(&out, "%s%s", i > from ? " " : "", call->words[i]);
    }
    return from < call->n_words ? out.bytes : NULL;
}

void entry_apply(const char *given, const char **field)
{
    if (given != NULL) {
        *field = given[0] == '\0' ? NULL : given;
    }
}

bool entry_apply_last_day(const struct roster_call *call, const char *what, const char *given,
                          const char **to_day, struct error *err)
{
    int64_t days = 0;
    if (given == NULL || given[0] == '\0') {
        entry_apply(given, to_day);
        return true;
    }
    if (!dates_parse_day(given, &days) || strcmp(given, "9999-12-31") == 0) {
        return error_set(err, ERROR_USAGE, "%s%.40s: is no day; write it as 2026-03-14", what,
                         given);
    }
    *to_day = entry_day_after(call->arena, given, 1);
    return true;
}

bool entry_not_future(const struct roster_call *call, const char *what, const char *day,
                      struct error *err)
{
    return day == NULL || strcmp(day, call->today) <= 0 ||
           error_set(err, ERROR_USAGE, "%s%.40s: is after today (%s)", what, day, call->today);
}

static bool is_number(const char *word)
{
    return word[0] > '0' && word[0] <= '9' && strlen(word) < 18 &&
           strspn(word, "0123456789") == strlen(word);
}

/* True if an option of the act's own was given: all of them are words or flags. */
static bool has_own_option(const struct entry_act *act, const void *values)
{
    const struct command *command = act->work->command;
    for (size_t i = 0; i < command->n_options; i++) {
        const struct option_row *row = &command->options[i];
        const char *at = (const char *)values + row->offset;
        const char *text = NULL;
        bool flag = false;
        if (row->offset < sizeof(struct entry_values)) {
            continue;
        }
        if (row->type == OPTION_FLAG) {
            memcpy(&flag, at, sizeof flag);
        } else {
            memcpy(&text, at, sizeof text);
        }
        if (flag || text != NULL) {
            return true;
        }
    }
    return false;
}

bool entry_check(const struct roster_call *call, const struct entry_act *act,
                 const struct entry_values *values, struct error *err)
{
    const char *number = values->change != NULL ? values->change : values->remove;
    const char *option = values->change != NULL ? "--change" : "--remove";
    if (values->change != NULL && values->remove != NULL) {
        return roster_usage(act->work, "--change and --remove: say one of them", err);
    }
    if (number != NULL && !is_number(number)) {
        return roster_usage(
            act->work, arena_format(call->arena, "%s %.40s: no number of the list", option, number),
            err);
    }
    const bool says_more = call->n_words > 1 || has_own_option(act, values);
    if (values->remove != NULL && says_more) {
        return roster_usage(act->work, "--remove: takes no more than the number", err);
    }
    if (values->change != NULL && !says_more) {
        return roster_usage(act->work, "--change: say what is to change", err);
    }
    return true;
}

static bool list(struct roster_call *call, const struct entry_act *act, const struct rider *rider,
                 struct error *err)
{
    char *rows = NULL;
    size_t count = 0;
    size_t shown = 0;
    if (!entries_list(call->roster, call->arena, act->kind, rider->id, &rows, &count, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_array(&json, NULL);
    } else {
        text_add_format(&call->out, "%s of ", act->plural);
        text_add_wrapped(&call->out, rider->name, strlen(act->plural) + 4, 2, 80);
    }
    for (size_t i = 0; i < count; i++) {
        const void *row = rows + i * act->kind->size;
        struct entry entry;
        memcpy(&entry, row, sizeof entry);
        if (act->known_day != NULL && strcmp(act->known_day(row), call->today) > 0) {
            continue;
        }
        shown++;
        if (call->json) {
            entry_json(&json, NULL, act->kind, row, JSON_TO_READ);
        } else {
            text_add_format(&call->out, "%5lld  ", (long long)entry.id);
            text_add_wrapped(&call->out, act->kind->describe(call->arena, row), 7, 7, 80);
        }
    }
    if (call->json) {
        json_end_array(&json);
    } else if (shown == 0) {
        text_add(&call->out, "  none yet\n");
        if (act->when_none != NULL) {
            act->when_none(call);
        }
    }
    return true;
}

/* What was done: the sentence, or the entry as it is now. */
static void print_done(struct roster_call *call, const struct entry_act *act, const void *row)
{
    struct entry entry;
    memcpy(&entry, row, sizeof entry);
    if (call->json) {
        struct json json = json_begin(&call->out);
        entry_json(&json, NULL, act->kind, row, JSON_TO_READ);
    } else {
        text_add_wrapped(&call->out, entry.said, 0, 2, 80);
    }
}

bool entry_run(struct roster_call *call, const struct entry_act *act, const void *raw,
               struct error *err)
{
    const struct entry_values *values = raw;
    const char *number = values->change != NULL ? values->change : values->remove;
    struct rider rider = { 0 };
    void *row = arena_alloc(call->arena, 1, act->kind->size);
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err)) {
        return false;
    }
    if (number != NULL && !entries_find(call->roster, call->arena, act->kind, &rider,
                                        strtoll(number, NULL, 10), row, err)) {
        return false;
    }
    if (values->remove != NULL) {
        if (!entries_remove(call->roster, call->arena, call->now, act->kind, &rider, row, err)) {
            return false;
        }
        print_done(call, act, row);
        return true;
    }
    if (number == NULL && call->n_words < 2 && !has_own_option(act, values)) {
        return list(call, act, &rider, err);
    }
    bool is_new = number == NULL;
    if ((is_new && act->pick != NULL && !act->pick(call, &rider, values, row, &is_new, err)) ||
        !act->apply(call, values, row, is_new, err)) {
        return false;
    }
    const bool done = act->save != NULL ? act->save(call, &rider, row, err)
                                        : entries_save(call->roster, call->arena, call->now,
                                                       act->kind, &rider, row, err);
    if (done) {
        print_done(call, act, row);
    }
    return done;
}
