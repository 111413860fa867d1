/* tests/roster/test_store_jobs.c: work that waits: in order, once, and whatever goes wrong. */
#include "roster/kept_true.h"

#include "base/text.h"
#include "maths/maths.h"
#include "roster/facts.h"
#include "roster/jobs.h"

#include <math.h>
#include <signal.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

static void set_threshold(const char *day, double watts)
{
    struct error err = { 0 };
    struct fact fact = { .day = day, .value = watts, .low = (double)NAN, .high = (double)NAN };
    must(facts_set(roster, arena, now, &riders[0], FACT_THRESHOLD, &fact, &err), &err);
}

/* ---- rides read again ---- */

/* Reading stops where it is asked: what was done stays, the rest waits. */
static int rides_until_stop;

static bool stop_after(void *context)
{
    (void)context;
    return rides_until_stop-- <= 0;
}

static void test_rereading__stopped_keeps_what_is_whole(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct rereading_sum sum = { 0 };
    for (size_t i = 0; i < 4; i++) {
        import_ride(&made[i]);
    }
    set_threshold("2026-01-01", 240);
    const struct rereading_jobs jobs = look();
    check_integer("four wait", (int64_t)jobs.count, 4);
    rides_until_stop = 2;
    const struct rereading_call call = {
        .roster = roster, .place = place, .now = now, .n_threads = 1, .stopped = stop_after
    };
    must(rereading_run(arena, &call, &jobs, &sum, &err), &err);
    check(sum.was_stopped);
    check_integer("two are done", (int64_t)sum.done, 2);
    check_integer("two wait untried",
                  number("SELECT CAST(COUNT(*) AS BIGINT) FROM job WHERE tries = 0 AND lease_by IS "
                         "NULL AND kind = 'read'"),
                  2);
    keep_true(2);
    check_all_made_again();
}

static void test_rereading__a_ride_that_cannot_be_read_keeps_its_error(void **state)
{
    (void)state;
    import_ride(&made[0]);
    import_ride(&made[1]);
    store_run(roster_db(roster), "UPDATE original SET size = size + 1 WHERE id = (SELECT MIN(id) "
                                 "FROM original)");
    set_threshold("2026-01-01", 240);
    look();
    for (int tries = 1; tries <= JOBS_TRIES_MOST; tries++) {
        const struct rereading_sum sum = run_jobs(2);
        check_integer("failed", (int64_t)sum.failed, 1);
        check_integer("the other", (int64_t)sum.done, tries == 1 ? 1 : 0);
        check(strstr(sum.first_error, "damaged") != NULL);
        check_integer("tries", number("SELECT tries FROM job WHERE kind = 'read'"), tries);
    }
    struct rereading_jobs jobs = { 0 };
    struct error err = { 0 };
    must(rereading_waiting(roster, arena, false, &jobs, &err), &err);
    check_integer("given up", (int64_t)jobs.count, 0);
    store_run(roster_db(roster), "UPDATE original SET size = size - 1 WHERE id = (SELECT MIN(id) "
                                 "FROM original)");
    set_threshold("2026-01-01", 244);
    check_integer("a change asks for it again", (int64_t)look().count, 2);
    keep_true(1);
    check_all_made_again();
}

/* A result made of what was true before is dropped when the ride was asked for again meanwhile. */
static int64_t late_threshold;

static bool change_meanwhile(void *context)
{
    (void)context;
    if (late_threshold > 0) {
        set_threshold("2026-01-01", (double)late_threshold);
        late_threshold = 0;
        look();
    }
    return false;
}

static void test_rereading__a_late_change_takes_the_job_away(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct rereading_sum sum = { 0 };
    import_ride(&made[0]);
    set_threshold("2026-01-01", 240);
    const struct rereading_jobs jobs = look();
    late_threshold = 250;
    /* Asked before the first ride: claimed, not yet read.  Then once more: it is another's. */
    const struct rereading_call call = {
        .roster = roster, .place = place, .now = now, .n_threads = 1, .stopped = change_meanwhile
    };
    must(rereading_run(arena, &call, &jobs, &sum, &err), &err);
    check_integer("dropped", (int64_t)sum.done, 0);
    check_integer("elsewhere", (int64_t)sum.elsewhere, 1);
    check_integer("it waits",
                  number("SELECT CAST(COUNT(*) AS BIGINT) FROM job WHERE kind = 'read'"), 1);
    keep_true(1);
    check_all_made_again();
}

/* ---- jobs ---- */

struct claim_work {
    struct job_claim claim;
    struct job job;
    bool is_mine;
    int64_t id;
    struct arena *arena;
};

static bool claim_next(struct db *db, void *context, struct error *err)
{
    struct claim_work *work = context;
    return jobs_claim_next(db, work->arena, &work->claim, "count", &work->job, &work->is_mine, err);
}

static bool finish(struct db *db, void *context, struct error *err)
{
    struct claim_work *work = context;
    return jobs_finish(db, work->arena, &work->job, &work->is_mine, err);
}

static bool fail_job(struct db *db, void *context, struct error *err)
{
    struct claim_work *work = context;
    return jobs_fail(db, &work->job, work->claim.now_utc_s, "no luck", err);
}

static bool ask(struct db *db, void *context, struct error *err)
{
    struct claim_work *work = context;
    const struct job wish = {
        .kind = "count", .subject_kind = "number", .subject = work->id, .priority = -work->id
    };
    int64_t id = 0;
    return jobs_ask(db, work->arena, &wish, work->claim.now_utc_s, &id, err);
}

static void write_job(db_work *what, struct claim_work *work)
{
    struct error err = { 0 };
    must(db_write(roster_db(roster), what, work, &err), &err);
}

static void test_jobs__are_done_in_order_and_asked_for_once(void **state)
{
    (void)state;
    struct claim_work work = { .claim = { "me", 1000 }, .arena = arena };
    for (work.id = 1; work.id <= 3; work.id++) {
        write_job(ask, &work);
        write_job(ask, &work);
    }
    check_integer("one a subject", number("SELECT CAST(COUNT(*) AS BIGINT) FROM job"), 3);
    for (int64_t want = 3; want > 0; want--) {
        write_job(claim_next, &work);
        check(work.is_mine);
        check_integer("the first in order", work.job.subject, want);
        write_job(finish, &work);
        check(work.is_mine);
    }
    write_job(claim_next, &work);
    check(!work.is_mine);
}

static void test_jobs__of_a_dead_process_are_anyones_when_its_lease_ends(void **state)
{
    (void)state;
    struct claim_work dead = { .claim = { "dead", 1000 }, .arena = arena, .id = 7 };
    struct claim_work live = { .claim = { "live", 1000 + JOBS_LEASE_S - 1 }, .arena = arena };
    write_job(ask, &dead);
    write_job(claim_next, &dead);
    check(dead.is_mine);
    write_job(claim_next, &live);
    check(!live.is_mine);
    live.claim.now_utc_s++;
    write_job(claim_next, &live);
    check(live.is_mine);
    check_integer("the second try", live.job.tries, 2);
    write_job(finish, &dead);
    check(!dead.is_mine); /* it wakes up: too late */
    write_job(finish, &live);
    check(live.is_mine);
}

static void test_jobs__that_fail_wait_longer_and_are_given_up(void **state)
{
    (void)state;
    struct claim_work work = { .claim = { "me", 1000 }, .arena = arena, .id = 1 };
    int64_t wait_s = JOBS_WAIT_S;
    write_job(ask, &work);
    for (int tries = 1; tries <= JOBS_TRIES_MOST; tries++) {
        write_job(claim_next, &work);
        check(work.is_mine);
        write_job(fail_job, &work);
        work.claim.now_utc_s += wait_s - 1;
        write_job(claim_next, &work);
        check(!work.is_mine);
        work.claim.now_utc_s += 1;
        wait_s *= 4;
    }
    write_job(claim_next, &work);
    check(!work.is_mine);
    const struct db_rows rows = query("SELECT last_error FROM job", "T");
    check_text("kept", db_text_at(&rows, 0, 0), "no luck");
    write_job(ask, &work);
    write_job(claim_next, &work);
    check(work.is_mine); /* asked again, it is new */
}

/* Two processes claim and finish as fast as they can; what each did is written beside.  A third is
 * gone before, with a job in its hands. */
static bool note_done(struct db *db, void *context, struct error *err)
{
    struct claim_work *work = context;
    return finish(db, work, err) &&
           (!work->is_mine || db_run(db,
                                     "INSERT INTO declined (rider, what, recording) VALUES ($1, "
                                     "$2, $3)",
                                     DB_ARGS(db_integer(riders[0].id), db_text(work->claim.by),
                                             db_integer(work->job.subject)),
                                     err));
}

static int work_alone(const char *name, bool dies)
{
    struct roster *own = NULL;
    struct error err = { 0 };
    if (!roster_open(place, ROSTER_OPEN, now, &own, &err)) {
        return 1;
    }
    struct claim_work work = { .claim = { name, now.utc_s }, .arena = arena_open() };
    for (;;) {
        if (!db_write(roster_db(own), claim_next, &work, &err)) {
            return 1;
        }
        if (dies) {
            raise(SIGKILL);
        }
        if (!work.is_mine) {
            return 0;
        }
        if (!db_write(roster_db(own), note_done, &work, &err)) {
            return 1;
        }
    }
}

static void test_jobs__two_processes_never_do_one_twice(void **state)
{
    (void)state;
    enum { JOBS = 60 };
    struct claim_work work = { .claim = { "me", now.utc_s }, .arena = arena };
    for (work.id = 1; work.id <= JOBS; work.id++) {
        write_job(ask, &work);
    }
    static const char *const names[] = { "dead", "one", "two" };
    pid_t children[3];
    for (int i = 0; i < 3; i++) {
        int status = 0;
        children[i] = fork();
        if (children[i] == 0) {
            _exit(work_alone(names[i], i == 0));
        }
        if (i == 0) {
            check(waitpid(children[0], &status, 0) == children[0] && WIFSIGNALED(status));
        }
    }
    for (int i = 1; i < 3; i++) {
        int status = 0;
        check(waitpid(children[i], &status, 0) == children[i] && WIFEXITED(status));
        check_integer(names[i], WEXITSTATUS(status), 0);
    }
    check_integer("done", number("SELECT CAST(COUNT(*) AS BIGINT) FROM declined"), JOBS - 1);
    check_integer("each once",
                  number("SELECT CAST(COUNT(DISTINCT recording) AS BIGINT) FROM declined"),
                  JOBS - 1);
    check_integer("one left", number("SELECT CAST(COUNT(*) AS BIGINT) FROM job"), 1);
    work.claim.now_utc_s += JOBS_LEASE_S;
    write_job(claim_next, &work);
    check(work.is_mine);
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    maths_begin();
    const struct CMUnitTest tests[] = {
#define TEST(name) cmocka_unit_test_setup_teardown(name, kept_begin, kept_end)
        TEST(test_rereading__stopped_keeps_what_is_whole),
        TEST(test_rereading__a_ride_that_cannot_be_read_keeps_its_error),
        TEST(test_rereading__a_late_change_takes_the_job_away),
        TEST(test_jobs__are_done_in_order_and_asked_for_once),
        TEST(test_jobs__of_a_dead_process_are_anyones_when_its_lease_ends),
        TEST(test_jobs__that_fail_wait_longer_and_are_given_up),
        TEST(test_jobs__two_processes_never_do_one_twice),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
