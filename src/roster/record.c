/* roster/record.c: the program's record on this roster. */
#include "roster/record.h"

#include "base/dates.h"
#include "roster/past.h"
#include "roster/readings.h"

bool record_take(struct roster *roster, struct arena *arena, const char *today, struct record *out,
                 struct error *err)
{
    struct db *db = roster_db(roster);
    struct rider *riders = NULL;
    size_t n = 0;
    struct limits limits;
    *out = (struct record){ 0 };
    if (!riders_list(roster, arena, true, &riders, &n, err)) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        /* What is kept of a rider is small; years of rides are not. */
        struct arena *scratch = arena_open();
        struct rider_history history;
        size_t n_waiting = 0;
        const bool done = readings_limits(db, scratch, riders[i].id, &limits, err) &&
                          past_load(db, scratch, &riders[i], today, &history, &n_waiting, err);
        if (done) {
            record_add(arena, out, riders[i].id, &history, &limits);
        }
        arena_close(scratch);
        if (!done) {
            return false;
        }
    }
    if (!readings_limits(db, arena, 0, &limits, err)) {
        return false;
    }
    record_finish(arena, out, &limits);
    return true;
}

bool record_repeat(struct db *db, const char *today, const struct limits *limits,
                   struct drift_repeat *out, struct error *err)
{
    struct arena *scratch = arena_open();
    struct db_rows rows = { 0 };
    char since[11];
    dates_format_day(dates_day_number(today) - (int64_t)limits->value[LIMIT_REPEAT_SINCE_DAYS],
                     since);
    const bool done = db_query(
        db, scratch,
        "SELECT x.rider, x.day, x.estimate, x.low, x.high FROM rider p JOIN reading x ON x.rider = "
        "p.id AND x.question = 'base' AND x.day >= $1 AND x.day <= $2 JOIN recording r ON r.id = "
        "x.subject WHERE x.subject_kind = 'recording' AND x.set_number = 0 AND x.rep_number = 0 "
        "AND x.verdict <> 'cannot tell' AND x.estimate IS NOT NULL AND r.same_as IS NULL AND NOT "
        "EXISTS (SELECT 1 FROM asked a WHERE a.recording = r.id AND a.spoiled_by IS NOT NULL) "
        "ORDER BY x.rider, x.day, x.id",
        "itRRR", DB_ARGS(db_text(since), db_text(today)), &rows, err);
    if (done) {
        struct repeat_test *tests = ARENA_ARRAY(scratch, struct repeat_test, rows.count + 1);
        for (size_t i = 0; i < rows.count; i++) {
            tests[i] = (struct repeat_test){ .rider = db_integer_at(&rows, i, 0),
                                             .day = dates_day_number(db_text_at(&rows, i, 1)),
                                             .drift_bpm = db_real_at(&rows, i, 2),
                                             .low_bpm = db_real_at(&rows, i, 3),
                                             .high_bpm = db_real_at(&rows, i, 4) };
        }
        *out = drift_repeat_of(scratch, tests, rows.count, limits);
    }
    arena_close(scratch);
    return done;
}
