/* recording/fit_session.c: which record belongs to which session. */
#include "recording/fit_session.h"

#include <stdlib.h>

static int by_start(const void *a, const void *b)
{
    const struct fit_session *left = a;
    const struct fit_session *right = b;
    if (left->start != right->start) {
        return left->start < right->start ? -1 : 1;
    }
    /* qsort isn't stable; two sessions of one start differ by their length. */
    return (left->elapsed_ms > right->elapsed_ms) - (left->elapsed_ms < right->elapsed_ms);
}

/* Some devices count only moving time as elapsed, so the last session also holds what came before
 * its own message's time; between sessions the elapsed time alone tells where one ended. */
static int64_t window_end(const struct fit_windows *windows, size_t i, int64_t longest_s)
{
    const struct fit_session *session = &windows->sessions[i];
    const int64_t start = session->start;
    const bool has_end = session->has_end && session->end > start;
    if (session->elapsed_ms < 0) {
        return has_end ? (int64_t)session->end : INT64_MAX;
    }
    const int64_t end = start + (session->elapsed_ms + 999) / 1000;
    const bool is_last = i + 1 == windows->n;
    return is_last && has_end && session->end > end && session->end - start < longest_s
               ? (int64_t)session->end
               : end;
}

static void windows_make(struct arena *arena, const struct fit_part *part,
                         const struct limits *limits, struct fit_windows *windows)
{
    *windows = (struct fit_windows){
        .sessions = ARENA_ARRAY(arena, struct fit_session, part->n_sessions),
        .end = ARENA_ARRAY(arena, int64_t, part->n_sessions),
        .slack_s = (int64_t)limits->value[LIMIT_SESSION_SLACK_S],
    };
    for (size_t i = 0; i < part->n_sessions; i++) {
        if (part->sessions[i].has_start) {
            windows->sessions[windows->n++] = part->sessions[i];
        }
    }
    qsort(windows->sessions, windows->n, sizeof windows->sessions[0], by_start);
    for (size_t i = 0; i < windows->n; i++) {
        windows->end[i] = window_end(windows, i, (int64_t)limits->value[LIMIT_CAP_RECORDING_S]);
    }
}

/* The number of sessions that begin at or before time. */
static size_t begun_by(const struct fit_windows *windows, int64_t time)
{
    size_t low = 0;
    size_t high = windows->n;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (windows->sessions[middle].start <= time) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

/* Sessions may lie within one another, but no device nests them deeper than this. */
static const size_t NESTED = 16;

long fit_windows_find(const struct fit_windows *windows, int64_t time)
{
    const size_t begun = begun_by(windows, time);
    for (size_t i = begun; i > 0 && begun - i < NESTED; i--) {
        if (time <= windows->end[i - 1]) {
            return (long)i - 1;
        }
    }
    /* Just after the last end or just before the next start. */
    if (begun > 0 && time - windows->slack_s <= windows->end[begun - 1]) {
        return (long)begun - 1;
    }
    if (begun < windows->n && windows->sessions[begun].start - time <= windows->slack_s) {
        return (long)begun;
    }
    return -1;
}

/* The session that a run outside of all sessions' times most likely belongs to, or NULL. */
static const struct fit_session *nearest(const struct fit_part *part,
                                         const struct fit_windows *windows, int64_t time)
{
    if (windows->n == 0) {
        return part->n_sessions > 0 ? &part->sessions[0] : NULL;
    }
    const size_t begun = begun_by(windows, time);
    return &windows->sessions[begun > 0 ? begun - 1 : 0];
}

static size_t first_kept(const struct fit_records *records, const struct fit_run *run)
{
    size_t i = run->first;
    while (i + 1 < run->first + run->count && (records->flags[i] & FIT_DROPPED) != 0) {
        i++;
    }
    return i;
}

/* The session of each record of a run in turn: a dropped record goes with the one before it. */
struct assigner {
    const struct fit_windows *windows;
    const struct fit_records *records;
    long current;
};

static struct assigner assigner_begin(const struct fit_windows *windows,
                                      const struct fit_records *records, const struct fit_run *run)
{
    struct assigner assigner = { windows, records, -1 };
    assigner.current = fit_windows_find(windows, records->time[first_kept(records, run)]);
    return assigner;
}

static long assigner_next(struct assigner *assigner, size_t i)
{
    if ((assigner->records->flags[i] & FIT_DROPPED) == 0) {
        assigner->current = fit_windows_find(assigner->windows, assigner->records->time[i]);
    }
    return assigner->current;
}

static void add_range(struct arena *arena, struct fit_ranges *ranges, const struct fit_range *range)
{
    ranges->items =
        arena_grow(arena, ranges->items, ranges->count, &ranges->capacity, sizeof ranges->items[0]);
    ranges->items[ranges->count++] = *range;
}

/* The whole run as one recording of the session, which may be NULL. */
static void add_whole_run(struct arena *arena, const struct fit_records *records,
                          const struct fit_session *session, const struct fit_run *run,
                          struct fit_ranges *ranges)
{
    const size_t kept = first_kept(records, run);
    struct fit_range range = {
        .run = run,
        .session = session,
        .whole_session = true,
        .first = run->first,
        .last = run->first + run->count - 1,
        .count = run->count,
        .from = records->time[kept],
        .to = records->time[kept],
    };
    for (size_t i = kept; i <= range.last; i++) {
        if ((records->flags[i] & FIT_DROPPED) == 0) {
            range.to = records->time[i];
        }
    }
    add_range(arena, ranges, &range);
}

struct tally {
    size_t first;
    size_t last;
    size_t count;
    int64_t to;
};

/* Counts the records of each session in the run; returns how many lie in none. */
static size_t tally_run(const struct fit_records *records, const struct fit_windows *windows,
                        const struct fit_run *run, struct tally tallies[])
{
    size_t outside = 0;
    struct assigner assigner = assigner_begin(windows, records, run);
    for (size_t i = run->first; i < run->first + run->count; i++) {
        const long s = assigner_next(&assigner, i);
        if (s < 0) {
            outside++;
            continue;
        }
        struct tally *tally = &tallies[s];
        tally->first = tally->count == 0 ? i : tally->first;
        tally->last = i;
        tally->count++;
        if ((records->flags[i] & FIT_DROPPED) == 0) {
            tally->to = records->time[i];
        }
    }
    return outside;
}

static void add_sessions_of_run(struct arena *arena, const struct fit_windows *windows,
                                const struct fit_run *run, const struct tally tallies[],
                                size_t outside, struct fit_ranges *ranges)
{
    const size_t begin = ranges->count;
    for (size_t s = 0; s < windows->n; s++) {
        if (tallies[s].count == 0) {
            continue;
        }
        const struct fit_range range = {
            .run = run,
            .session = &windows->sessions[s],
            .whole_session = true,
            .first = tallies[s].first,
            .last = tallies[s].last,
            .count = tallies[s].count,
            .from = (int64_t)windows->sessions[s].start - windows->slack_s,
            .to = windows->end[s] < INT64_MAX ? windows->end[s] : tallies[s].to,
        };
        add_range(arena, ranges, &range);
        /* File order, by insertion: sessions are few and mostly in order already. */
        for (size_t k = ranges->count - 1;
             k > begin && ranges->items[k].first < ranges->items[k - 1].first; k--) {
            const struct fit_range earlier = ranges->items[k];
            ranges->items[k] = ranges->items[k - 1];
            ranges->items[k - 1] = earlier;
        }
    }
    ranges->items[begin].left_out = outside;
}

/* A session that several recordings share gives its totals to none of them. */
static void settle_sharing(struct fit_ranges *ranges)
{
    for (size_t i = 0; i < ranges->count; i++) {
        for (size_t k = i + 1; k < ranges->count; k++) {
            if (ranges->items[i].session == ranges->items[k].session) {
                ranges->items[i].whole_session = false;
                ranges->items[k].whole_session = false;
            }
        }
        if (i + 1 < ranges->count && ranges->items[i + 1].run != ranges->items[i].run) {
            ranges->items[i].jump_after = true;
            ranges->items[i].jump_after_s = ranges->items[i + 1].run->jump_s;
        }
    }
}

bool fit_session_ranges(struct arena *arena, struct fit_part *part, const struct limits *limits,
                        const struct fit_budget *budget, struct fit_windows *windows,
                        struct fit_ranges *ranges)
{
    struct fit_run *runs = NULL;
    size_t n_runs = 0;
    *ranges = (struct fit_ranges){ 0 };
    windows_make(arena, part, limits, windows);
    if (!fit_clock_runs(arena, &part->records, limits, budget->recordings, &runs, &n_runs)) {
        return false;
    }
    struct tally *tallies = ARENA_ARRAY(arena, struct tally, windows->n);
    for (size_t r = 0; r < n_runs; r++) {
        for (size_t s = 0; s < windows->n; s++) {
            tallies[s] = (struct tally){ 0 };
        }
        const size_t outside = tally_run(&part->records, windows, &runs[r], tallies);
        const int64_t time = part->records.time[first_kept(&part->records, &runs[r])];
        if (outside == runs[r].count) {
            add_whole_run(arena, &part->records, nearest(part, windows, time), &runs[r], ranges);
        } else {
            add_sessions_of_run(arena, windows, &runs[r], tallies, outside, ranges);
        }
        if (ranges->count > budget->recordings) {
            return false;
        }
    }
    settle_sharing(ranges);
    return true;
}

size_t fit_ranges_owner(const struct fit_ranges *ranges, int64_t time, size_t seq)
{
    size_t best = 0;
    int64_t best_away = INT64_MAX;
    bool best_read_there = false;
    for (size_t i = 0; i < ranges->count; i++) {
        const struct fit_range *range = &ranges->items[i];
        const int64_t away = time < range->from ? range->from - time
                             : time > range->to ? time - range->to
                                                : 0;
        /* Where clocks overlap, the place in the file decides; else the later range. */
        const bool read_there = seq > range->first && seq <= range->last + 1;
        if (away < best_away || (away == best_away && (read_there || !best_read_there))) {
            best = i;
            best_away = away;
            best_read_there = read_there;
        }
    }
    return best;
}
