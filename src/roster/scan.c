/* roster/scan.c: all rides of a rider looked at once. */
#include "roster/scan.h"

#include "base/dates.h"
#include "maths/best_means.h"
#include "coaching/reading.h"

#include <math.h>
#include <string.h>

enum { TWENTY_MINUTES = 1200 };

const struct fact *scan_fact_on(const struct fact facts[], size_t n, const char *day)
{
    for (size_t i = 0; i < n; i++) {
        if (strcmp(facts[i].day, day) <= 0) {
            return &facts[i];
        }
    }
    return NULL;
}

void scan_peak_on(const struct scan *scan, int64_t days, const struct limits *limits,
                  struct scan_peak *out)
{
    const int64_t reach = (int64_t)limits->value[LIMIT_PEAK_HEART_DAYS];
    const double near_bpm = limits->value[LIMIT_PEAK_HEART_NEAR_BPM];
    struct scan_peak peak = { scan->count, (double)NAN, false };
    for (int pass = 0; pass < 2; pass++) {
        for (size_t i = 0; i < scan->count; i++) {
            const struct scanned_ride *ride = &scan->rides[i];
            if (ride->is_declined || isnan(ride->heart_peak_bpm) || ride->days > days ||
                ride->days < days - reach) {
                continue;
            }
            if (pass == 0 && !(ride->heart_peak_bpm <= peak.bpm)) {
                peak = (struct scan_peak){ i, ride->heart_peak_bpm, false };
            }
            peak.is_seen_twice =
                peak.is_seen_twice ||
                (pass == 1 && i != peak.ride && ride->heart_peak_bpm >= peak.bpm - near_bpm);
        }
    }
    *out = peak;
}

/* ---- one ride ---- */

static double highest(const struct recording *recording)
{
    const int32_t *value = recording->value[CHANNEL_HEART_RATE];
    double most = (double)NAN;
    for (size_t t = 0; value != NULL && t < recording->n_seconds; t++) {
        if (mask_is_usable(recording->mask[CHANNEL_HEART_RATE][t]) && !(value[t] <= most)) {
            most = value[t];
        }
    }
    return most;
}

static double best_20_min(struct arena *arena, const struct recording *recording)
{
    const size_t n = recording->n_seconds;
    const size_t length = TWENTY_MINUTES;
    int64_t sum = 0;
    if (recording->value[CHANNEL_POWER] == NULL || n < length || !recording->is_ride) {
        return (double)NAN;
    }
    int32_t *power = ARENA_ARRAY(arena, int32_t, n);
    for (size_t t = 0; t < n; t++) {
        const bool known =
            mask_is_usable(recording->mask[CHANNEL_POWER][t]) && recording->paused[t] == 0;
        power[t] = known ? recording->value[CHANNEL_POWER][t] : 0;
    }
    best_means_few(arena, power, n, &length, 1, &sum, NULL);
    return (double)sum / TWENTY_MINUTES;
}

static double watts_a_beat(const struct recording *recording, const double v[LIMITS_COUNT])
{
    const int32_t *power = recording->value[CHANNEL_POWER];
    const int32_t *heart = recording->value[CHANNEL_HEART_RATE];
    double watts = 0.0;
    double beats = 0.0;
    size_t n = 0;
    for (size_t t = 0; power != NULL && heart != NULL && t < recording->n_seconds; t++) {
        if (mask_is_usable(recording->mask[CHANNEL_POWER][t]) &&
            mask_is_usable(recording->mask[CHANNEL_HEART_RATE][t]) && power[t] > 0) {
            watts += power[t];
            beats += heart[t] - v[LIMIT_OTHERS_REST_BPM];
            n++;
        }
    }
    return (double)n >= v[LIMIT_OTHERS_LEAST_S] && beats > 0.0 ? watts / beats : (double)NAN;
}

/* What needs nothing of other rides. */
static bool look_alone(struct db *db, const struct scan_call *call, const struct scan *scan,
                       struct scanned_ride *ride, struct error *err)
{
    struct arena *scratch = arena_open();
    struct recording recording;
    const bool loaded = recordings_load_effort(db, scratch, &ride->row, &recording, err);
    if (loaded) {
        const struct fact *threshold =
            scan_fact_on(scan->thresholds, scan->n_thresholds, ride->row.local_day);
        ride->threshold_w = threshold == NULL ? (double)NAN : threshold->value;
        ride->heart_highest_bpm = highest(&recording);
        ride->best_20_min_w = best_20_min(scratch, &recording);
        ride->watts_a_beat =
            ride->row.is_ride ? watts_a_beat(&recording, call->limits->value) : (double)NAN;
    }
    arena_close(scratch);
    return loaded;
}

/* The peak, against threshold, or what stands in for it where none is known. */
static bool look_for_peak(struct db *db, const struct scan_call *call, double stand_in_w,
                          struct scanned_ride *ride, struct error *err)
{
    struct arena *scratch = arena_open();
    struct recording recording;
    bool done = true;
    if (ride->row.is_ride && !isnan(ride->heart_highest_bpm)) {
        done = recordings_load_effort(db, scratch, &ride->row, &recording, err);
        if (done) {
            const double line_w = isnan(ride->threshold_w) ? stand_in_w : ride->threshold_w;
            ride->heart_peak_bpm =
                protocols_heart_peak(scratch, &recording, line_w, call->limits).bpm;
        }
    }
    arena_close(scratch);
    return done;
}

/* The maximal heart rate to hold a test against: the coach's of that day, or the highest peak
 * within reach before and after, whichever is more; NAN when one ride alone would say it. */
static double maximal_for(const struct scan *scan, const struct scanned_ride *ride,
                          const struct limits *limits)
{
    const struct fact *fact = scan_fact_on(scan->maxima, scan->n_maxima, ride->row.local_day);
    const int64_t reach = (int64_t)limits->value[LIMIT_PEAK_HEART_DAYS];
    double most = (double)NAN;
    size_t n = 0;
    for (size_t i = 0; i < scan->count; i++) {
        const struct scanned_ride *one = &scan->rides[i];
        if (!one->is_declined && !isnan(one->heart_peak_bpm) && one->days >= ride->days - reach &&
            one->days <= ride->days + reach) {
            n++;
            most = fmax(most, one->heart_peak_bpm);
        }
    }
    most = n < 2 ? (double)NAN : most;
    return fact == NULL ? most : fmax(most, fact->value);
}

static bool look_for_tests(struct db *db, struct arena *arena, const struct scan_call *call,
                           const struct scan *scan, struct scanned_ride *ride, struct error *err)
{
    const double max_bpm = maximal_for(scan, ride, call->limits);
    const double seen = call->limits->value[LIMIT_TEST_HEART_SEEN_RATIO];
    struct rider_facts facts = facts_unknown();
    struct recording recording;
    if (!ride->row.is_ride || isnan(ride->row.work_kj) ||
        ride->heart_highest_bpm < seen * max_bpm) {
        return true;
    }
    struct arena *scratch = arena_open();
    const struct ride_facts of = { ride->row.rider, ride->row.local_day, ride->row.id, NULL, 0 };
    const bool done = facts_of_ride_in(db, scratch, &of, &facts, err) &&
                      recordings_load_effort(db, scratch, &ride->row, &recording, err);
    if (done) {
        facts.max_heart_rate_bpm = max_bpm;
        const struct protocol_tests tests =
            protocols_find(scratch, &recording, &facts, call->limits);
        ride->tests.count = tests.count;
        ride->tests.items = arena_copy(arena, tests.items, tests.count * sizeof tests.items[0]);
        for (size_t i = 0; i < tests.count && ride->is_spoiled; i++) {
            struct protocol_test *test = &ride->tests.items[i];
            test->valid = false;
            test->n_reasons = test->n_reasons < TEST_REASONS ? test->n_reasons + 1 : TEST_REASONS;
            test->reasons[test->n_reasons - 1] =
                (struct test_reason){ "spoiled", (double)NAN, (double)NAN };
        }
    }
    arena_close(scratch);
    return done;
}

/* ---- all of them ---- */

static bool list_rides(struct db *db, struct arena *arena, const struct scan_call *call,
                       struct scan *out, struct error *err)
{
    const struct ride_query query = { .rider = call->rider->id,
                                      .with_same = true,
                                      .with_undated = true };
    struct ride_row *rows = NULL;
    size_t count = 0;
    if (!recordings_list(db, arena, &query, &rows, &count, err)) {
        return false;
    }
    out->rides = ARENA_ARRAY(arena, struct scanned_ride, count);
    out->others = ARENA_ARRAY(arena, struct ride_row, count);
    for (size_t i = 0; i < count; i++) {
        int64_t days = 0;
        if (rows[i].same_as != 0 || rows[i].local_day == NULL ||
            strcmp(rows[i].local_day, call->today) > 0 ||
            !dates_parse_day(rows[i].local_day, &days)) {
            out->others[out->n_others++] = rows[i];
            continue;
        }
        out->rides[out->count++] = (struct scanned_ride){ .row = rows[i],
                                                          .days = days,
                                                          .heart_peak_bpm = (double)NAN,
                                                          .heart_highest_bpm = (double)NAN,
                                                          .threshold_w = (double)NAN,
                                                          .hard = SCAN_HARD_UNKNOWN,
                                                          .best_20_min_w = (double)NAN,
                                                          .watts_a_beat = (double)NAN };
    }
    return true;
}

static bool mark_declined(struct db *db, struct arena *arena, struct scan *scan, int64_t rider,
                          struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT recording FROM declined WHERE rider = $1 AND what = 'max-heart-rate' AND "
                  "recording IS NOT NULL ORDER BY id",
                  "i", DB_ARGS(db_integer(rider)), &rows, err)) {
        return false;
    }
    for (size_t k = 0; k < rows.count; k++) {
        for (size_t i = 0; i < scan->count; i++) {
            scan->rides[i].is_declined =
                scan->rides[i].is_declined || scan->rides[i].row.id == db_integer_at(&rows, k, 0);
        }
    }
    return true;
}

static bool mark_spoiled(struct db *db, struct arena *arena, struct scan *scan, int64_t rider,
                         struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT a.recording FROM asked a JOIN recording r ON r.id = a.recording WHERE "
                  "r.rider = $1 AND a.spoiled_by IS NOT NULL ORDER BY a.id",
                  "i", DB_ARGS(db_integer(rider)), &rows, err)) {
        return false;
    }
    for (size_t k = 0; k < rows.count; k++) {
        for (size_t i = 0; i < scan->count; i++) {
            struct scanned_ride *ride = &scan->rides[i];
            ride->is_spoiled = ride->is_spoiled || ride->row.id == db_integer_at(&rows, k, 0);
        }
    }
    return true;
}

/* With medicine that alters it, and while pregnant, no heart rate is a maximum. */
static bool mark_unread(struct db *db, struct arena *arena, struct scan *scan, int64_t rider,
                        struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT from_day, to_day FROM flag WHERE rider = $1 AND kind IN "
                  "('heart-medicine', 'pregnant') ORDER BY id",
                  "tT", DB_ARGS(db_integer(rider)), &rows, err)) {
        return false;
    }
    for (size_t k = 0; k < rows.count; k++) {
        const char *to = db_text_at(&rows, k, 1);
        for (size_t i = 0; i < scan->count; i++) {
            const char *day = scan->rides[i].row.local_day;
            scan->rides[i].is_declined =
                scan->rides[i].is_declined ||
                (strcmp(day, db_text_at(&rows, k, 0)) >= 0 && (to == NULL || strcmp(day, to) < 0));
        }
    }
    return true;
}

static bool mark_hard(struct db *db, struct arena *arena, struct scan *scan, int64_t rider,
                      struct error *err)
{
    struct db_rows rows = { 0 };
    size_t at = 0;
    if (!db_query(db, arena,
                  "SELECT subject, verdict FROM reading WHERE rider = $1 AND question = $2 AND "
                  "subject_kind = 'recording' AND set_number = 0 AND rep_number = 0 ORDER BY "
                  "subject, id",
                  "it", DB_ARGS(db_integer(rider), db_text(question_name(QUESTION_HARD_DAY))),
                  &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < scan->count; i++) {
        struct scanned_ride *ride = &scan->rides[i];
        /* Mostly in the order of the list: the search goes on where it stood. */
        for (size_t k = 0; k < rows.count; k++, at = (at + 1) % rows.count) {
            if (db_integer_at(&rows, at, 0) != ride->row.id) {
                continue;
            }
            const char *verdict = db_text_at(&rows, at, 1);
            ride->hard = strcmp(verdict, verdict_name(VERDICT_HARD_DAY)) == 0 ? SCAN_HARD
                         : strcmp(verdict, verdict_name(VERDICT_NO_HARD_DAY)) == 0
                             ? SCAN_NOT_HARD
                             : SCAN_HARD_UNKNOWN;
            break;
        }
    }
    return true;
}

/* 95 % of the hardest 20 min of all: a stand-in for this only. */
static double stand_in(const struct scan *scan, const struct limits *limits)
{
    double most = (double)NAN;
    for (size_t i = 0; i < scan->count; i++) {
        most = fmax(most, scan->rides[i].best_20_min_w);
    }
    return most * limits->value[LIMIT_TEST_TWENTY_FACTOR];
}

struct scan_work {
    struct arena *arena;
    const struct scan_call *call;
    struct scan *out;
};

static bool scan_all(struct db *db, void *context, struct error *err)
{
    const struct scan_work *work = context;
    const struct scan_call *call = work->call;
    struct arena *arena = work->arena;
    struct scan *out = work->out;
    *out = (struct scan){ 0 };
    if (!list_rides(db, arena, call, out, err) ||
        !mark_declined(db, arena, out, call->rider->id, err) ||
        !mark_unread(db, arena, out, call->rider->id, err) ||
        !mark_spoiled(db, arena, out, call->rider->id, err) ||
        !mark_hard(db, arena, out, call->rider->id, err) ||
        !facts_list(call->roster, arena, call->rider->id, FACT_THRESHOLD, call->today,
                    &out->thresholds, &out->n_thresholds, err) ||
        !facts_list(call->roster, arena, call->rider->id, FACT_MAX_HEART_RATE, call->today,
                    &out->maxima, &out->n_maxima, err) ||
        !facts_list(call->roster, arena, call->rider->id, FACT_WEIGHT, call->today, &out->weights,
                    &out->n_weights, err)) {
        return false;
    }
    const size_t n = out->count;
    double line_w = (double)NAN;
    for (size_t step = 0; step < 3 * n; step++) {
        struct scanned_ride *ride = &out->rides[step % n];
        line_w = step == n ? stand_in(out, call->limits) : line_w;
        const bool done = step < n       ? look_alone(db, call, out, ride, err)
                          : step < 2 * n ? look_for_peak(db, call, line_w, ride, err)
                                         : look_for_tests(db, arena, call, out, ride, err);
        if (!done) {
            return false;
        }
        if (call->tell != NULL) {
            call->tell(call->context, step / 3 + 1, out->count);
        }
    }
    return true;
}

bool scan_rides(struct arena *arena, const struct scan_call *call, struct scan *out,
                struct error *err)
{
    struct scan_work work = { arena, call, out };
    return db_read(roster_db(call->roster), scan_all, &work, err);
}
