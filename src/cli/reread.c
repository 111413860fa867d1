/* cli/reread.c: rides read again at the end of a command, and what is said of it. */
#include "cli/reread.h"

#include "cli/stop.h"
#include "roster/changes.h"
#include "roster/usual.h"

#include <stdio.h>
#include <unistd.h>

bool reread_mark(struct roster_call *call, int64_t *mark, struct error *err)
{
    struct change_line *lines = NULL;
    size_t count = 0;
    if (!changes_list(call->roster, call->arena, 1, &lines, &count, err)) {
        return false;
    }
    *mark = count > 0 ? lines[0].id : 0;
    return true;
}

const char *reread_rides(struct arena *arena, size_t n)
{
    return arena_format(arena, "%zu %s", n, n == 1 ? "ride" : "rides");
}

static void draw_bar(void *context, size_t done, size_t all)
{
    enum { WIDE = 30 };
    const size_t full = done * WIDE / all;
    (void)context;
    fprintf(stderr, "\r[%.*s%*s] %zu of %zu read again", (int)full,
            "##############################", (int)(WIDE - full), "", done, all);
}

static void add_sum(struct rereading_sum *sum, const struct rereading_sum *more)
{
    sum->done += more->done;
    sum->failed += more->failed;
    sum->elsewhere += more->elsewhere;
    sum->was_stopped = more->was_stopped;
    sum->first_error = sum->first_error == NULL ? more->first_error : sum->first_error;
}

bool reread_jobs(struct roster_call *call, const struct rereading_jobs *jobs,
                 struct rereading_sum *sum, struct error *err)
{
    /* What is found new in the second round is settled by then. */
    enum { ROUNDS_MOST = 3 };
    struct rereading_jobs next = *jobs;
    bool done = true;
    *sum = (struct rereading_sum){ 0 };
    stop_begin();
    for (int i = 0; i < ROUNDS_MOST && next.count > 0 && done && !sum->was_stopped; i++) {
        const bool has_bar = isatty(STDERR_FILENO) == 1 && next.count > 1;
        const struct rereading_call wanted = { .roster = call->roster,
                                               .place = call->place,
                                               .now = call->now,
                                               .stopped = stop_is_asked,
                                               .tell = has_bar ? draw_bar : NULL };
        struct rereading_sum more = { 0 };
        done = rereading_run(call->arena, &wanted, &next, &more, err) &&
               rereading_look(call->roster, call->arena, call->now, &next, err);
        add_sum(sum, &more);
        if (has_bar) {
            fprintf(stderr, "\r%*s\r", 79, "");
        }
    }
    /* With every ride read, how each stands to what is usual; where nothing changed, nothing is
     * done. */
    const struct usual_call usual = { call->roster, call->now, stop_is_asked, NULL };
    size_t n_held = 0;
    done = done && (sum->was_stopped || usual_keep(&usual, &n_held, err));
    stop_end();
    call->was_stopped = sum->was_stopped;
    return done;
}

void reread_after(struct roster_call *call, const char *command, bool later)
{
    struct error err = { 0 };
    struct rereading_jobs jobs = { 0 };
    struct rereading_sum sum = { 0 };
    if (!rereading_look(call->roster, call->arena, call->now, &jobs, &err) ||
        (!later && !reread_jobs(call, &jobs, &sum, &err))) {
        fprintf(stderr,
                "plumbline %s: done, but rides wait to be read again: %s; plumbline jobs --run\n",
                command, err.message);
        return;
    }
    if (later && jobs.count > 0) {
        fprintf(stderr, "plumbline %s: %s left to be read again: plumbline jobs --run\n", command,
                reread_rides(call->arena, jobs.count));
    }
    if (sum.done > 0) {
        fprintf(stderr, "plumbline %s: %s read again\n", command,
                reread_rides(call->arena, sum.done));
    }
    if (sum.failed > 0) {
        fprintf(stderr, "plumbline %s: %s could not be read again: plumbline jobs\n", command,
                reread_rides(call->arena, sum.failed));
    }
}
