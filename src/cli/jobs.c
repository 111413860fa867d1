/* cli/jobs.c: plumbline jobs: rides that wait to be read again, and what went wrong with them. */
#include "roster/jobs.h"

#include "base/dates.h"
#include "base/json.h"
#include "cli/reread.h"
#include "roster/recordings.h"

#include <string.h>

struct jobs_values {
    struct roster_values common;
    bool run;
    bool again;
};

#define ROW(field) offsetof(struct jobs_values, field), 0, 0

static const struct option_row options[] = {
    { "run", OPTION_FLAG, NULL, "read them again now, the newest rides first", ROW(run) },
    { "again", OPTION_FLAG, NULL, "with --run: also those that were given up", ROW(again) },
    ROSTER_OPTIONS,
};

static const struct roster_work work;

static bool check(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct jobs_values *values = raw;
    (void)call;
    return !values->again || values->run || roster_usage(&work, "--again: goes with --run", err);
}

/* "waits", "at work" (another process), "failed" (it is tried again), "given up". */
static const char *state_of(const struct roster_call *call, const struct job *job)
{
    if (job->lease_by != NULL && job->lease_until_utc_s > call->now.utc_s) {
        return "at work";
    }
    if (job->last_error == NULL && job->tries < JOBS_TRIES_MOST) {
        return "waits";
    }
    return job->tries < JOBS_TRIES_MOST ? "failed" : "given up";
}

static bool find_rider(struct roster_call *call, int64_t id, const char **name, struct error *err)
{
    struct rider person = { 0 };
    const bool is_there = riders_row(roster_db(call->roster), call->arena, id, &person, err);
    *name = is_there ? person.name : NULL;
    return is_there;
}

/* What a job is about; of one that isn't about a ride any more, no ride. */
static bool find_ride(struct roster_call *call, const struct job *job, struct ride_row *row,
                      const char **rider, struct error *err)
{
    struct rider person = { 0 };
    *row = (struct ride_row){ 0 };
    *rider = NULL;
    if (strcmp(job->kind, JOB_USUAL) == 0) {
        return find_rider(call, job->subject, rider, err);
    }
    if (strcmp(job->subject_kind, "recording") != 0) {
        return true;
    }
    if (!recordings_row(roster_db(call->roster), call->arena, job->subject, row, err)) {
        const bool is_gone = err->kind == ERROR_NOT_FOUND;
        *err = (struct error){ 0 };
        return is_gone;
    }
    if (!riders_row(roster_db(call->roster), call->arena, row->rider, &person, err)) {
        return false;
    }
    *rider = person.name;
    return true;
}

static bool add_json(struct roster_call *call, struct json *json, const struct job *job,
                     struct error *err)
{
    struct ride_row row;
    const char *rider = NULL;
    char asked[32];
    if (!find_ride(call, job, &row, &rider, err)) {
        return false;
    }
    dates_format_utc(job->asked_utc_s, asked);
    json_begin_object(json, NULL);
    json_integer(json, "id", job->id);
    json_string(json, "kind", job->kind);
    json_string(json, "subject_kind", job->subject_kind);
    json_integer(json, "subject", job->subject);
    json_string(json, "rider", rider);
    json_string(json, "day", row.local_day);
    json_string(json, "state", state_of(call, job));
    json_integer(json, "tries", job->tries);
    json_string(json, "error", job->last_error);
    json_string(json, "asked_utc", asked);
    json_end_object(json);
    return true;
}

static bool add_words(struct roster_call *call, const struct job *job, struct error *err)
{
    struct ride_row row;
    const char *rider = NULL;
    if (!find_ride(call, job, &row, &rider, err)) {
        return false;
    }
    struct text line = text_begin(call->arena, 4000);
    if (rider != NULL) {
        text_add_format(&line, "%s, %s: ", rider, row.local_day == NULL ? "no day" : row.local_day);
    }
    text_add(&line, state_of(call, job));
    if (strcmp(job->kind, JOB_LOOK) == 0) {
        text_add_format(&line, ", to be looked at: %s %lld", job->subject_kind,
                        (long long)job->subject);
    }
    if (job->last_error != NULL) {
        text_add_format(&line, " after %lld of %d tries: %s", (long long)job->tries,
                        JOBS_TRIES_MOST, job->last_error);
    }
    text_add_format(&call->out, "%6lld  ",
                    (long long)(strcmp(job->kind, JOB_READ) == 0 ? job->subject : 0));
    text_add_wrapped(&call->out, line.bytes, 8, 8, 80);
    return true;
}

static bool is_usual(const struct job *job)
{
    return strcmp(job->kind, JOB_USUAL) == 0;
}

static void add_head(struct roster_call *call, const struct job jobs[], size_t count)
{
    size_t n_usual = 0;
    for (size_t i = 0; i < count; i++) {
        n_usual += is_usual(&jobs[i]) ? 1 : 0;
    }
    if (count == 0) {
        text_add(&call->out, "Nothing waits: every reading rests on what is true now\n");
    } else if (n_usual < count) {
        text_add_format(&call->out, "%s to be read again: plumbline jobs --run\n",
                        reread_rides(call->arena, count - n_usual));
    }
    if (n_usual > 0) {
        text_add_format(&call->out, "Heart rate of %zu rider%s to be held against usual again%s\n",
                        n_usual, n_usual == 1 ? "" : "s",
                        n_usual < count ? "" : ": plumbline jobs --run");
    }
}

/* On a screen the first are enough, and whatever went wrong. */
static const size_t WORDS_MOST = 20;

static bool list(struct roster_call *call, struct error *err)
{
    struct job *jobs = NULL;
    size_t count = 0;
    if (!jobs_list(roster_db(call->roster), call->arena, NULL, SIZE_MAX >> 1, &jobs, &count, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_array(&json, NULL);
    } else {
        add_head(call, jobs, count);
    }
    size_t left_out = 0;
    for (size_t i = 0; i < count; i++) {
        if (!call->json && is_usual(&jobs[i]) && jobs[i].last_error == NULL) {
            continue; /* the head said it */
        }
        const bool is_shown = i < WORDS_MOST || jobs[i].last_error != NULL;
        left_out += is_shown ? 0 : 1;
        if (call->json ? !add_json(call, &json, &jobs[i], err)
                       : is_shown && !add_words(call, &jobs[i], err)) {
            return false;
        }
    }
    if (call->json) {
        json_end_array(&json);
    } else if (left_out > 0) {
        text_add_format(&call->out, "        and %zu more\n", left_out);
    }
    return true;
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct jobs_values *values = raw;
    struct rereading_jobs jobs = { 0 };
    struct rereading_sum sum = { 0 };
    bool is_newer = false;
    if (!rereading_ask_if_newer(call->roster, call->arena, call->now, &is_newer, err) ||
        !rereading_look(call->roster, call->arena, call->now, &jobs, err)) {
        return false;
    }
    if (values->run) {
        if (!rereading_waiting(call->roster, call->arena, values->again, &jobs, err) ||
            !reread_jobs(call, &jobs, &sum, err)) {
            return false;
        }
        if (!call->json && sum.done > 0) {
            text_add_format(&call->out, "%s read again\n", reread_rides(call->arena, sum.done));
        }
    }
    return list(call, err);
}

static const struct roster_work work = { .command = &command_jobs, .check = check, .run = run };

static int jobs_run(int argc, char *const argv[])
{
    struct jobs_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_jobs = {
    .name = "jobs",
    .usage = "[options]",
    .summary = "rides that wait to be read again",
    .about = "Lists the rides whose verdicts rest on what is no longer true, because --later left "
             "them, a command was interrupted, or a newer version of this program reads otherwise; "
             "and those that could not be read again, with the reason. A ride that fails is tried "
             "again later, five times at most, then given up until something changes.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = jobs_run,
};
