/* cli/roster_call.c: what every command that uses the roster does alike. */
#include "cli/roster_call.h"

#include "base/clock.h"
#include "base/dates.h"
#include "cli/acts.h"
#include "cli/plain.h"
#include "cli/reread.h"
#include "cli/stop.h"
#include "roster/given_files.h"
#include "roster/settings.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* The local day of this machine, or the one that was named. */
static bool find_today(const char *named, char out[11], struct error *err)
{
    int64_t days = 0;
    if (named == NULL) {
        clock_local_day(out);
        return true;
    }
    if (!dates_parse_day(named, &days)) {
        return error_set(err, ERROR_USAGE, "--today %s: is no day; write it as 2026-03-14", named);
    }
    dates_format_day(days, out);
    return true;
}

bool roster_usage(const struct roster_work *work, const char *what, struct error *err)
{
    return error_set(err, ERROR_USAGE, "%s; plumbline %s --help", what, work->command->name);
}

static bool open_roster(struct roster_call *call, const struct roster_work *work, const char *named,
                        struct error *err)
{
    const char *place = NULL;
    const char *given = named != NULL ? named : getenv("PLUMBLINE_ROSTER");
    if (!roster_place(call->arena, given, getenv("XDG_DATA_HOME"), getenv("HOME"), &place, err)) {
        return work->may_lack && named == NULL;
    }
    call->place = place;
    if (work->opens_itself) {
        return true;
    }
    if (!roster_open(place, work->creates ? ROSTER_CREATE : ROSTER_OPEN, call->now, &call->roster,
                     err)) {
        if (work->may_lack && named == NULL && err->kind == ERROR_NOT_FOUND) {
            return true;
        }
        return err->kind != ERROR_NOT_FOUND
                   ? false
                   : error_set(err, ERROR_NOT_FOUND,
                               "%s: there is no roster; plumbline rider add NAME begins one",
                               place);
    }
    const struct schema_done *schema = roster_schema(call->roster);
    if (schema->backup[0] != '\0') {
        fprintf(stderr,
                "plumbline: the roster was brought up to date; a copy of the old one is %s\n",
                schema->backup);
    }
    return true;
}

/* Files of a program that was killed between its change and putting them in their places. */
static bool finish_given(struct roster_call *call, struct error *err)
{
    struct text said = text_begin(call->arena, 1000000);
    struct given_left left;
    if (call->roster == NULL) {
        return true;
    }
    if (!given_files_finish(call->roster, call->arena, &said, &left, err)) {
        return false;
    }
    char *save = NULL;
    for (const char *line = strtok_r(said.bytes, "\n", &save); line != NULL;
         line = strtok_r(NULL, "\n", &save)) {
        fprintf(stderr, "plumbline: %s\n", line);
    }
    return true;
}

/* An example has its own today, so that it is the same whenever it is looked at; it says so. */
static bool stand_on_its_today(struct roster_call *call, struct error *err)
{
    const char *own = NULL;
    int64_t days = 0;
    if (call->roster == NULL) {
        return true; /* the command opens none */
    }
    if (!settings_get(call->roster, call->arena, SETTING_TODAY, &own, err)) {
        return false;
    }
    if (own == NULL) {
        return true;
    }
    const bool is_day = dates_parse_day(own, &days);
    if (is_day && !call->today_was_named) {
        dates_format_day(days, call->today);
    }
    fprintf(stderr, "plumbline: an example of invented riders, with a today of its own: %s\n",
            call->today);
    return true;
}

/* A change is looked at whoever made it: here, or another process meanwhile. */
static bool run_work(struct roster_call *call, const struct roster_work *work, const void *values,
                     struct error *err)
{
    const struct roster_values *common = values;
    int64_t before = 0;
    int64_t after = 0;
    if (call->roster == NULL) {
        return work->run(call, values, err); /* it opens what it needs itself, or needs none */
    }
    if (!reread_mark(call, &before, err)) {
        return false;
    }
    const bool done = work->run(call, values, err);
    struct error unheard = { 0 };
    if (reread_mark(call, &after, done ? err : &unheard) && after != before) {
        reread_after(call, work->command->name, common->later);
    }
    return done;
}

static bool do_work(struct roster_call *call, const struct roster_work *work, const void *values,
                    struct error *err)
{
    const struct roster_values *common = values;
    if (call->n_words < work->least_words || call->n_words > work->most_words) {
        return roster_usage(
            work, call->n_words < work->least_words ? "a word is missing" : "too many words", err);
    }
    call->today_was_named = common->today != NULL;
    return find_today(common->today, call->today, err) &&
           (work->check == NULL || work->check(call, values, err)) &&
           open_roster(call, work, common->roster, err) && finish_given(call, err) &&
           stand_on_its_today(call, err) && run_work(call, work, values, err);
}

/* What is printed, as this terminal can show it. */
static struct text page_of(const struct roster_call *call)
{
    return call->json || plain_locale_is_utf8() ? call->out
                                                : plain_page(call->arena, call->out.bytes, 80);
}

void roster_call_sentence(struct roster_call *call, const char *words)
{
    text_add(&call->out, "\n  ");
    text_add_wrapped(&call->out, words, 2, 2, 80);
}

bool roster_call_flush(struct roster_call *call, struct error *err)
{
    const struct text page = page_of(call);
    if (command_print(page.bytes, page.length) != 0) {
        return error_set(err, ERROR_STORAGE, "cannot write the output; nothing was changed");
    }
    call->out = text_begin(call->arena, 64u * 1000u * 1000u);
    return true;
}

int roster_call(const struct roster_work *work, int argc, char *const argv[], void *values)
{
    const struct command *command = work->command;
    const struct roster_values *common = values;
    struct arena *arena = arena_open();
    struct error err = { 0 };
    struct roster_call call = {
        .arena = arena,
        .act = act_word(command),
        .now = { .utc_s = (int64_t)time(NULL), .who = getenv("PLUMBLINE_WHO") },
        .words = ARENA_ARRAY(arena, const char *, (size_t)argc + 1),
        .out = text_begin(arena, 64u * 1000u * 1000u),
    };
    int status = 0;
    if (!options_parse(argc, argv, command->options, command->n_options, values, call.words,
                       &call.n_words, &err)) {
        status = command_fail(command->name, &err);
    } else if (common->help) {
        status = command_help(command);
    } else {
        call.json = common->json;
        if (!do_work(&call, work, values, &err)) {
            status = command_fail(command->name, &err);
        } else {
            if (call.json) {
                text_add(&call.out, "\n");
            }
            const struct text page = page_of(&call);
            status = command_print(page.bytes, page.length);
            if (call.was_stopped) {
                status = stop_tell(command->name, "the rest waits: plumbline jobs --run");
            }
        }
    }
    roster_close(call.roster);
    arena_close(arena);
    return status;
}
