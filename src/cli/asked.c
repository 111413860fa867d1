/* cli/asked.c: plumbline asked: what a ride was meant to be. */
#include "roster/asked.h"

#include "cli/read_facts.h"
#include "cli/roster_call.h"
#include "server/answers/said.h"

#include <math.h>

struct asked_values {
    struct roster_values common;
    const char *kind;
    const char *target;
    const char *reps;
    bool nothing;
};

#define ROW(field) offsetof(struct asked_values, field), 0, 0

static const struct option_row options[] = {
    { "kind", OPTION_TEXT, "NAME",
      "easy, base-test, tempo, sweet-spot, threshold, over-unders, vo2max, short-vo2max, "
      "anaerobic, sprint",
      ROW(kind) },
    { "target", OPTION_TEXT, "LOW-HIGH", "106-120 in % of threshold, 225-245W in watts",
      ROW(target) },
    { "reps", OPTION_TEXT, "NxTIME", "efforts: 4x4min, 10x30s", ROW(reps) },
    { "nothing", OPTION_FLAG, NULL, "nothing was asked: take away what was said", ROW(nothing) },
    ROSTER_LATER,
    ROSTER_OPTIONS,
};

static const struct roster_work work;

static bool has_any(const struct asked_values *values)
{
    return values->kind != NULL || values->target != NULL || values->reps != NULL;
}

static bool take_asked(const struct asked_values *values, struct asked *asked, struct error *err)
{
    struct rider_facts facts = facts_unknown();
    if (!read_facts_asked(values->target, values->kind, values->reps, &facts, err)) {
        return false;
    }
    *asked = asked_nothing();
    asked->kind = facts.kind;
    asked->target = facts.target;
    asked->reps = facts.reps_asked;
    asked->rep_duration_s = facts.rep_duration_s;
    return true;
}

static bool check(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct asked_values *values = raw;
    struct asked asked;
    (void)call;
    if (values->nothing && has_any(values)) {
        return roster_usage(&work, "--nothing: goes with no other word on what was asked", err);
    }
    return take_asked(values, &asked, err);
}

static void add_json(struct roster_call *call, const struct ride_row *row,
                     const struct asked *asked)
{
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_integer(&json, "ride", row->id);
    json_string(&json, "day", row->local_day);
    asked_json(&json, asked);
    json_end_object(&json);
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct asked_values *values = raw;
    struct arena *arena = call->arena;
    struct ride_row row = { 0 };
    struct asked asked;
    const char *said = NULL;
    bool found = false;
    if (!recordings_find(call->roster, arena, call->words[0], &row, err) ||
        !take_asked(values, &asked, err)) {
        return false;
    }
    if (values->nothing) {
        asked = asked_nothing();
        if (!asked_remove(call->roster, arena, call->now, &row, &said, err)) {
            return false;
        }
    } else if (has_any(values)) {
        if (!asked_set(call->roster, arena, call->now, &row, &asked, &said, err)) {
            return false;
        }
    } else {
        if (!asked_find(roster_db(call->roster), arena, row.id, &asked, &found, err)) {
            return false;
        }
        said = arena_format(arena, "Asked of ride %lld: %s", (long long)row.id,
                            found ? asked_words(arena, &asked) : "nothing");
    }
    if (call->json) {
        add_json(call, &row, &asked);
    } else {
        text_add_wrapped(&call->out, said, 0, 2, 80);
    }
    return true;
}

static const struct roster_work work = {
    .command = &command_asked, .least_words = 1, .most_words = 1, .check = check, .run = run
};

static int asked_run(int argc, char *const argv[])
{
    struct asked_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_asked = {
    .name = "asked",
    .usage = "RIDE [options]",
    .summary = "what a ride was meant to be, so that it is judged by that",
    .about = "Says what was asked of a ride, in the words of read: its kind, the range, the "
             "efforts; each call says all of it anew. The ride is read again by it at once. "
             "Without options: what was asked. RIDE is the number that rides prints, or "
             "RIDER@2026-03-14.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = asked_run,
};
