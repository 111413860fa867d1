/* roster/rereading.c: rides read again, a handful at a time.
 *
 *     claim up to 32 ─> read on every thread ─> store those still ours, claim the next ─> ...
 */
#include "roster/rereading.h"

#include "base/clock.h"
#include "roster/came_back.h"
#include "roster/readings.h"
#include "roster/same_ride.h"

#include <pthread.h>
#include <string.h>
#include <unistd.h>

enum { THREADS_MOST = 64 };

/* A ride on its way. */
struct reread {
    struct arena *arena;
    struct job job;
    bool is_gone; /* there is no such recording any more */
    bool is_read;
    bool is_new; /* more than the readings differs from what is stored */
    const char *day;
    int64_t rider;
    struct packed_readings readings;
    struct packed_recording packed;
    struct error error;
    bool was_mine; /* when it was to be stored */
};

struct run {
    const struct rereading_call *call;
    struct arena *arena;
    const char *name;
    int64_t began_s; /* by the clock that only goes forward */
    const struct rereading_jobs *jobs;
    size_t n_claimed; /* tried to */
    struct reread items[JOBS_AT_ONCE_MOST];
    size_t count;
    struct roster *rosters[THREADS_MOST]; /* the first is the caller's */
    unsigned n_rosters;
    struct rereading_sum *sum;

    pthread_mutex_t lock; /* both below */
    size_t next;
    bool is_stopped;
};

static int64_t now_of(const struct run *run)
{
    return run->call->now.utc_s + clock_steady_s() - run->began_s;
}

/* ---- reading ---- */

struct basis_of {
    struct arena *arena;
    const struct ride_row *row;
    struct rider_facts facts;
    struct limits limits;
};

static bool find_limits(struct db *db, void *context, struct error *err)
{
    struct basis_of *basis = context;
    return readings_limits(db, basis->arena, basis->row->rider, &basis->limits, err);
}

/* Everything is made from the original's bytes: what the device's samples and its workout say is
 * nowhere else, and decoding is the small part of it. */
static bool read_ride(struct roster *roster, struct reread *item, struct arena *scratch,
                      struct error *err)
{
    struct db *db = roster_db(roster);
    struct ride_row row = { 0 };
    struct recording *recording = NULL;
    struct ride_readings readings = { 0 };
    struct reading_source source = { 0 };
    struct basis_of basis = { .arena = scratch, .row = &row };
    bool is_stored = false;
    if (!recordings_row(db, scratch, item->job.subject, &row, err)) {
        item->is_gone = err->kind == ERROR_NOT_FOUND;
        return item->is_gone;
    }
    source.part = row.part;
    memcpy(source.sha256, row.sha256, sizeof source.sha256);
    item->rider = row.rider;
    if (!db_read(db, find_limits, &basis, err) ||
        !recordings_reread(db, scratch, &row, &basis.limits, &recording, err) ||
        !recordings_day(db, item->arena, row.rider, recording, &item->day, err)) {
        return false;
    }
    /* By the day as it is read now, and the sensors that are read now. */
    const struct ride_facts ride = { .rider = row.rider,
                                     .day = item->day,
                                     .recording = row.id,
                                     .sensors = recording->sensors,
                                     .n_sensors = recording->n_sensors };
    if (!came_back_facts(roster, scratch, &ride, recording, &basis.limits, &basis.facts, err) ||
        !reading_make(scratch, recording, &basis.facts, &basis.limits, &readings, err)) {
        return false;
    }
    item->readings = readings_pack(item->arena, &readings, &source, &basis.facts, &basis.limits);
    recordings_pack_grid(item->arena, recording, item->day, &item->packed);
    if (!recordings_are_stored(db, scratch, row.id, &item->packed, &is_stored, err)) {
        return false;
    }
    item->is_new = !is_stored;
    item->is_read =
        is_stored || recordings_pack(item->arena, recording, item->day, &item->packed, err);
    return item->is_read;
}

static struct reread *next_item(struct run *run)
{
    struct reread *item = NULL;
    pthread_mutex_lock(&run->lock);
    const struct rereading_call *call = run->call;
    run->is_stopped = run->is_stopped || (call->stopped != NULL && call->stopped(call->context));
    if (!run->is_stopped && run->next < run->count) {
        item = &run->items[run->next++];
    }
    pthread_mutex_unlock(&run->lock);
    return item;
}

static void read_rides(struct run *run, struct roster *roster)
{
    for (struct reread *item = next_item(run); item != NULL; item = next_item(run)) {
        struct arena *scratch = arena_open();
        struct error err = { 0 };
        if (!read_ride(roster, item, scratch, &err)) {
            item->error = err;
        }
        arena_close(scratch);
    }
}

struct reader {
    struct run *run;
    struct roster *roster;
};

static void *reader(void *context)
{
    const struct reader *reader = context;
    read_rides(reader->run, reader->roster);
    return NULL;
}

static void read_all(struct run *run)
{
    pthread_t threads[THREADS_MOST];
    struct reader readers[THREADS_MOST];
    unsigned begun = 0;
    if (run->count == 0) {
        return; /* nothing is claimed yet */
    }
    run->next = 0;
    for (unsigned i = 1; i < run->n_rosters && i < run->count; i++) {
        readers[begun] = (struct reader){ run, run->rosters[i] };
        if (pthread_create(&threads[begun], NULL, reader, &readers[begun]) != 0) {
            break;
        }
        begun++;
    }
    read_rides(run, run->rosters[0]);
    for (unsigned i = 0; i < begun; i++) {
        pthread_join(threads[i], NULL);
    }
}

/* ---- storing, and claiming the next ---- */

/* What differs now from when its facts were asked for, such as its sensors, is worth another look.
 */
static bool store_ride(struct run *run, struct db *db, struct reread *item, struct error *err)
{
    const int64_t recording = item->job.subject;
    const int64_t now_utc_s = now_of(run);
    struct limits limits;
    return readings_store(db, item->rider, recording, item->day, &item->readings, now_utc_s, err) &&
           (!item->is_new || (recordings_replace(db, item->arena, recording, &item->packed, err) &&
                              rereading_ask_look(db, "recording", recording, now_utc_s, err))) &&
           readings_limits(db, item->arena, item->rider, &limits, err) &&
           same_ride_settle_again(db, item->arena, recording, &limits, item->is_new, now_utc_s,
                                  err);
}

static bool finish_ride(struct run *run, struct db *db, struct reread *item, struct error *err)
{
    item->was_mine = true;
    if (item->error.kind != ERROR_NONE) {
        return jobs_fail(db, &item->job, now_of(run), item->error.message, err);
    }
    if (!item->is_read && !item->is_gone) {
        return jobs_release(db, &item->job, err); /* stopped before it was begun */
    }
    return jobs_finish(db, item->arena, &item->job, &item->was_mine, err) &&
           (!item->was_mine || item->is_gone || store_ride(run, db, item, err));
}

struct batch {
    struct run *run;
    struct reread claimed[JOBS_AT_ONCE_MOST];
    size_t n_claimed;
    size_t n_tried;
    size_t only; /* of the run's items, when they are stored one by one */
};

static bool claim(struct batch *batch, struct db *db, struct error *err)
{
    struct run *run = batch->run;
    const struct job_claim by = { run->name, now_of(run) };
    size_t at = run->n_claimed;
    batch->n_claimed = 0;
    while (!run->is_stopped && batch->n_claimed < JOBS_AT_ONCE_MOST && at < run->jobs->count) {
        struct reread *item = &batch->claimed[batch->n_claimed];
        bool is_mine = false;
        *item = (struct reread){ 0 };
        if (!jobs_claim(db, run->arena, &by, run->jobs->ids[at++], &item->job, &is_mine, err)) {
            return false;
        }
        batch->n_claimed += is_mine ? 1 : 0;
    }
    batch->n_tried = at - run->n_claimed;
    return true;
}

static bool store_batch(struct db *db, void *context, struct error *err)
{
    struct batch *batch = context;
    struct run *run = batch->run;
    for (size_t i = 0; i < run->count; i++) {
        if (!finish_ride(run, db, &run->items[i], err)) {
            return false;
        }
    }
    return claim(batch, db, err);
}

/* When the whole batch can't be stored, one of its rides is to blame: that one fails alone. */
static bool finish_one(struct db *db, void *context, struct error *err)
{
    struct batch *batch = context;
    return finish_ride(batch->run, db, &batch->run->items[batch->only], err);
}

static bool claim_next(struct db *db, void *context, struct error *err)
{
    return claim(context, db, err);
}

static bool store_singly(struct batch *batch, struct error *err)
{
    struct run *run = batch->run;
    struct db *db = roster_db(run->call->roster);
    for (batch->only = 0; batch->only < run->count; batch->only++) {
        struct reread *item = &run->items[batch->only];
        struct error failed = { 0 };
        if (!db_write(db, finish_one, batch, &failed)) {
            item->error = failed;
            item->is_read = false;
            if (failed.kind == ERROR_BUSY || !db_write(db, finish_one, batch, err)) {
                *err = failed;
                return false;
            }
        }
    }
    return db_write(db, claim_next, batch, err);
}

static bool store(struct batch *batch, struct error *err)
{
    struct error failed = { 0 };
    if (db_write(roster_db(batch->run->call->roster), store_batch, batch, &failed)) {
        return true;
    }
    if (failed.kind == ERROR_BUSY || batch->run->count == 0) {
        *err = failed;
        return false;
    }
    return store_singly(batch, err);
}

static void count_batch(struct run *run, const struct batch *batch)
{
    struct rereading_sum *sum = run->sum;
    for (size_t i = 0; i < run->count; i++) {
        struct reread *item = &run->items[i];
        if (item->error.kind != ERROR_NONE) {
            sum->failed++;
            if (sum->first_error == NULL) {
                sum->first_error = arena_string(run->arena, item->error.message);
            }
        } else if (item->is_read || item->is_gone) {
            sum->done += item->is_read && item->was_mine ? 1 : 0;
            sum->elsewhere += item->is_read && item->was_mine ? 0 : 1;
        }
        arena_close(item->arena);
    }
    sum->elsewhere += batch->n_tried - batch->n_claimed;
    run->n_claimed += batch->n_tried;
    run->count = batch->n_claimed;
    memcpy(run->items, batch->claimed, batch->n_claimed * sizeof run->items[0]);
    for (size_t i = 0; i < run->count; i++) {
        run->items[i].arena = arena_open();
    }
    const struct rereading_call *call = run->call;
    if (call->tell != NULL) {
        call->tell(call->context, sum->done + sum->failed + sum->elsewhere, run->jobs->count);
    }
}

static bool run_all(struct run *run, struct error *err)
{
    struct batch *batch = arena_alloc(run->arena, 1, sizeof *batch);
    bool done = true;
    for (bool more = true; more && done;) {
        batch->run = run;
        read_all(run);
        done = store(batch, err);
        if (done) {
            count_batch(run, batch);
        }
        more = run->count > 0;
    }
    for (size_t i = 0; i < run->count; i++) {
        arena_close(run->items[i].arena);
    }
    return done;
}

/* ---- the call ---- */

static unsigned threads_wanted(const struct rereading_call *call, size_t n)
{
    const long cores = sysconf(_SC_NPROCESSORS_ONLN);
    unsigned wanted = call->n_threads > 0 ? call->n_threads : (unsigned)(cores > 0 ? cores : 1);
    wanted = wanted > THREADS_MOST ? THREADS_MOST : wanted;
    return n < wanted ? (unsigned)n : wanted;
}

static bool open_rosters(struct run *run, unsigned wanted, struct error *err)
{
    run->rosters[run->n_rosters++] = run->call->roster;
    while (run->n_rosters < wanted) {
        if (!roster_open(run->call->place, ROSTER_OPEN, run->call->now,
                         &run->rosters[run->n_rosters], err)) {
            return false;
        }
        run->n_rosters++;
    }
    return true;
}

bool rereading_run(struct arena *arena, const struct rereading_call *call,
                   const struct rereading_jobs *jobs, struct rereading_sum *sum, struct error *err)
{
    *sum = (struct rereading_sum){ 0 };
    if (jobs->count == 0) {
        return true;
    }
    struct run *run = arena_alloc(arena, 1, sizeof *run);
    *run = (struct run){ .call = call,
                         .arena = arena,
                         .name = jobs_name(arena),
                         .began_s = clock_steady_s(),
                         .jobs = jobs,
                         .sum = sum };
    pthread_mutex_init(&run->lock, NULL);
    const bool done =
        open_rosters(run, threads_wanted(call, jobs->count), err) && run_all(run, err);
    for (unsigned i = 1; i < run->n_rosters; i++) {
        roster_close(run->rosters[i]);
    }
    pthread_mutex_destroy(&run->lock);
    sum->was_stopped = run->is_stopped && sum->done + sum->failed + sum->elsewhere < jobs->count;
    return done;
}
