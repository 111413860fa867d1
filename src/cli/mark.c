/* cli/mark.c: plumbline mark: what a ride turned out to be. */
#include "roster/asked.h"

#include "cli/roster_call.h"
#include "server/answers/said.h"

struct mark_values {
    struct roster_values common;
    bool test;
    bool race;
    const char *spoiled;
    bool nothing;
};

#define ROW(field) offsetof(struct mark_values, field), 0, 0

static const struct option_row options[] = {
    { "test", OPTION_FLAG, NULL, "it was a test: its bests were ridden all-out", ROW(test) },
    { "race", OPTION_FLAG, NULL, "it was a race: the same", ROW(race) },
    { "spoiled", OPTION_TEXT, "WORDS", "what spoiled it as a test: rain, a puncture",
      ROW(spoiled) },
    { "nothing", OPTION_FLAG, NULL, "take the marks away", ROW(nothing) },
    ROSTER_LATER,
    ROSTER_OPTIONS,
};

static const struct roster_work work;

static bool check(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct mark_values *values = raw;
    (void)call;
    if (values->test && values->race) {
        return roster_usage(&work, "--test and --race: say one of them", err);
    }
    if (values->nothing && (values->test || values->race || values->spoiled != NULL)) {
        return roster_usage(&work, "--nothing: goes with no mark", err);
    }
    return true;
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct mark_values *values = raw;
    struct ride_row row = { 0 };
    struct asked marks = asked_nothing();
    const char *said = NULL;
    bool found = false;
    const bool sets = values->nothing || values->test || values->race || values->spoiled != NULL;
    if (!recordings_find(call->roster, call->arena, call->words[0], &row, err)) {
        return false;
    }
    if (sets) {
        marks.was = values->test ? "test" : values->race ? "race" : NULL;
        marks.spoiled_by = values->spoiled;
        if (!asked_mark(call->roster, call->arena, call->now, &row, &marks, &said, err)) {
            return false;
        }
    } else if (!asked_find(roster_db(call->roster), call->arena, row.id, &marks, &found, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        json_integer(&json, "ride", row.id);
        json_string(&json, "day", row.local_day);
        mark_json(&json, &marks);
        json_end_object(&json);
        return true;
    }
    text_add_wrapped(&call->out,
                     said != NULL ? said
                                  : arena_format(call->arena, "Ride %lld: %s", (long long)row.id,
                                                 asked_marks_words(call->arena, &marks)),
                     0, 2, 80);
    return true;
}

static const struct roster_work work = {
    .command = &command_mark, .least_words = 1, .most_words = 1, .check = check, .run = run
};

static int mark_run(int argc, char *const argv[])
{
    struct mark_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_mark = {
    .name = "mark",
    .usage = "RIDE [options]",
    .summary = "what a ride turned out to be: a test, a race, spoiled",
    .about = "Marks a ride as a test or a race, so that its bests count as ridden all-out, or says "
             "what spoiled it, so that it counts for no test. Each call says all of it anew; what "
             "was asked of the ride stays. Without options: what is marked. RIDE is the number "
             "that rides prints, or RIDER@2026-03-14.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = mark_run,
};
