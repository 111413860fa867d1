/* cli/check.c: plumbline check: is everything in the roster as it was put there? */
#include "base/json.h"
#include "cli/ask.h"
#include "cli/roster_call.h"
#include "roster/audit.h"

#include <math.h>

struct check_result {
    size_t n_problems;
};

struct check_values {
    struct roster_values common;
    bool all;
    double sample;
    double seed;
    struct check_result *result;
};

#define ROW(field) offsetof(struct check_values, field)

static const struct option_row options[] = {
    { "all", OPTION_FLAG, NULL, "read every ride again, not a sample", ROW(all), 0, 0 },
    { "sample", OPTION_NUMBER, "N", "read so many rides again; else 20", ROW(sample), 0, 100000 },
    { "seed", OPTION_NUMBER, "N", "which rides are chosen; else another choice a day", ROW(seed), 0,
      999999 },
    ROSTER_OPTIONS,
};

/* Reading again takes some milliseconds a ride: a second in all. */
static const double RIDES_USUALLY = 20.0;

static const char *step_words(struct arena *arena, enum audit_step step,
                              const struct audit_sum *sum)
{
    const size_t n = sum->looked[step];
    switch (step) {
    case AUDIT_PAGES: return "every page and row of the file";
    case AUDIT_REFERENCES: return arena_format(arena, "%zu kinds of rows that name others", n);
    case AUDIT_TEXT: return arena_format(arena, "%zu texts", n);
    case AUDIT_ORIGINALS: return arena_format(arena, "%zu files against their checksums", n);
    case AUDIT_READ_AGAIN:
        return arena_format(arena, "%zu of %zu recordings from their files", n, sum->n_rides);
    case AUDIT_BESTS: return arena_format(arena, "%zu months against their rides", n);
    case AUDIT_STEPS: break;
    }
    return "";
}

static void add_words(struct roster_call *call, const struct audit_call *wanted,
                      const struct audit_sum *sum)
{
    struct text *out = &call->out;
    text_add_wrapped(out, call->place, 0, 2, 80);
    for (int i = 0; i < AUDIT_STEPS; i++) {
        const enum audit_step step = (enum audit_step)i;
        const char *state = sum->problems[step] == 0
                                ? "as it was put there"
                                : arena_format(call->arena, "%zu problem%s", sum->problems[step],
                                               sum->problems[step] == 1 ? "" : "s");
        text_add_format(out, "  %-12s", audit_step_name(step));
        text_add_wrapped(
            out, arena_format(call->arena, "%s: %s", step_words(call->arena, step, sum), state), 14,
            14, 80);
    }
    if (!wanted->all && sum->looked[AUDIT_READ_AGAIN] < sum->n_rides) {
        text_add_format(out, "  The sample has the seed %llu; --all reads every ride.\n",
                        (unsigned long long)wanted->seed);
    }
    if (sum->n_older > 0) {
        text_add_format(out, "  %zu of an older version of reading: not compared.\n", sum->n_older);
    }
    if (sum->n_out_of_date > 0) {
        text_add_format(out,
                        "  %zu readings rest on facts that have changed since: not compared.\n",
                        sum->n_out_of_date);
    }
    for (size_t i = 0; i < sum->n_listed; i++) {
        const struct audit_problem *problem = &sum->list[i];
        text_add(out, "\n");
        text_add_wrapped(
            out, arena_format(call->arena, "%s: %s", audit_step_name(problem->step), problem->what),
            0, 2, 80);
        text_add(out, "  ");
        text_add_wrapped(out, problem->todo, 2, 2, 80);
    }
    const size_t n = audit_problems(sum);
    if (n > sum->n_listed) {
        text_add_format(out, "\nand %zu more.\n", n - sum->n_listed);
    }
    text_add(out, n == 0 ? "Sound. Nothing was changed.\n" : "\nNot sound. Nothing was changed.\n");
}

static void add_json(struct roster_call *call, const struct audit_call *wanted,
                     const struct audit_sum *sum)
{
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_string(&json, "roster", db_place(roster_db(call->roster)));
    json_bool(&json, "sound", audit_problems(sum) == 0);
    json_begin_array(&json, "steps");
    for (int i = 0; i < AUDIT_STEPS; i++) {
        json_begin_object(&json, NULL);
        json_string(&json, "step", audit_step_name((enum audit_step)i));
        json_integer(&json, "looked_at", (int64_t)sum->looked[i]);
        json_integer(&json, "problems", (int64_t)sum->problems[i]);
        json_end_object(&json);
    }
    json_end_array(&json);
    json_integer(&json, "recordings", (int64_t)sum->n_rides);
    json_bool(&json, "all", wanted->all);
    json_integer(&json, "seed", (int64_t)wanted->seed);
    json_integer(&json, "of_older_version", (int64_t)sum->n_older);
    json_integer(&json, "readings_out_of_date", (int64_t)sum->n_out_of_date);
    json_begin_array(&json, "problems");
    for (size_t i = 0; i < sum->n_listed; i++) {
        json_begin_object(&json, NULL);
        json_string(&json, "step", audit_step_name(sum->list[i].step));
        json_string(&json, "text", sum->list[i].what);
        json_string(&json, "todo", sum->list[i].todo);
        json_end_object(&json);
    }
    json_end_array(&json);
    json_end_object(&json);
}

static bool check(struct roster_call *call, const void *raw, struct error *err)
{
    const struct check_values *values = raw;
    const struct audit_call wanted = {
        .roster = call->roster,
        .all = values->all,
        .n_rides = (size_t)(isnan(values->sample) ? RIDES_USUALLY : values->sample),
        .seed = isnan(values->seed) ? (uint64_t)(call->now.utc_s / 86400) : (uint64_t)values->seed,
        .tell = bar_tell,
    };
    struct audit_sum sum = { 0 };
    const bool done = audit_run(call->arena, &wanted, &sum, err);
    bar_clear();
    if (!done) {
        return false;
    }
    values->result->n_problems = audit_problems(&sum);
    if (call->json) {
        add_json(call, &wanted, &sum);
    } else {
        add_words(call, &wanted, &sum);
    }
    return true;
}

static const struct roster_work work = { .command = &command_check, .run = check };

static int check_run(int argc, char *const argv[])
{
    struct check_result result = { 0 };
    struct check_values values = { .sample = (double)NAN, .seed = (double)NAN, .result = &result };
    const int status = roster_call(&work, argc, argv, &values);
    return status == 0 && result.n_problems > 0 ? 1 : status;
}

const struct command command_check = {
    .name = "check",
    .usage = "[options]",
    .summary = "is everything in the roster as it was put there?",
    .about = "Reads the whole roster: every page and row; whether what rows name is there; whether "
             "texts are texts; the bytes of every file against their checksums; a sample of rides "
             "(--all: every one) read again from their files and compared with what is kept; and "
             "the bests of each month against its rides. It says what it looked at and what to do "
             "about a problem, and changes nothing. Exit status 1 if there is one.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = check_run,
};
