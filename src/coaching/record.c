/* coaching/record.c: how often the program was borne out by what came next. */
#include "coaching/record.h"

#include "coaching/rider_progress.h"
#include "coaching/words/record_words.h"
#include "maths/distributions.h"

#include <math.h>
#include <string.h>

static const int64_t WEEK_DAYS = 7;

const char *record_claim_name(enum record_claim claim)
{
    static const char *const names[RECORD_CLAIMS] = {
        [RECORD_BASE_PASSED] = "base-passed",     [RECORD_BASE_NOT_PASSED] = "base-not-passed",
        [RECORD_BETTER] = "progress-better",      [RECORD_HARD_DONE] = "hard-done",
        [RECORD_HARD_TOO_HARD] = "hard-too-hard", [RECORD_HARD_FELT] = "hard-done-felt-hard",
        [RECORD_TODAY_UNUSUAL] = "today-unusual", [RECORD_TODAY_USUAL] = "today-usual",
    };
    return names[claim];
}

static void count(struct record_row *row, bool agreed, bool against)
{
    row->of++;
    row->agreed += agreed ? 1 : 0;
    row->against += against ? 1 : 0;
    row->between += !agreed && !against ? 1 : 0;
}

/* ---- base tests ---- */

static void add_base(struct record *record, const struct repeat_test *tests,
                     const size_t verdicts[], size_t n, const struct limits *limits)
{
    const int64_t within = (int64_t)limits->value[LIMIT_STATE_OLD_DAYS];
    for (size_t i = 0; i < n; i++) {
        const bool passed = verdicts[i] == VERDICT_PASSED;
        if (!passed && verdicts[i] != VERDICT_NOT_PASSED) {
            continue;
        }
        struct record_row *row =
            &record->rows[passed ? RECORD_BASE_PASSED : RECORD_BASE_NOT_PASSED];
        if (i + 1 == n || tests[i + 1].day - tests[i].day > within) {
            row->untold++;
            continue;
        }
        count(row, verdicts[i + 1] == verdicts[i],
              verdicts[i + 1] == (passed ? VERDICT_NOT_PASSED : VERDICT_PASSED));
    }
}

/* The tests of a history, with what was said of each; kept for how they repeat. */
static void take_tests(struct arena *arena, struct record *record, int64_t rider,
                       const struct rider_history *history, const struct limits *limits)
{
    if (record->n_tests + history->n_rides > record->room) {
        const size_t room = 2 * (record->n_tests + history->n_rides);
        struct repeat_test *tests = ARENA_ARRAY(arena, struct repeat_test, room);
        if (record->n_tests > 0) {
            memcpy(tests, record->tests, record->n_tests * sizeof tests[0]);
        }
        record->tests = tests;
        record->room = room;
    }
    record->n_tests += drift_repeat_tests(rider, history, limits, &record->tests[record->n_tests]);
}

static void add_tests(struct arena *arena, struct record *record,
                      const struct rider_history *history, const struct limits *limits)
{
    struct repeat_test *tests = ARENA_ARRAY(arena, struct repeat_test, history->n_rides);
    size_t *verdicts = ARENA_ARRAY(arena, size_t, history->n_rides);
    size_t n = 0;
    for (size_t i = 0; i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        if (ride->base.is_asked && !ride->spoiled && ride->base.verdict != VERDICT_CANNOT_TELL) {
            verdicts[n] = ride->base.verdict;
            tests[n++].day = ride->day;
        }
    }
    add_base(record, tests, verdicts, n, limits);
}

/* ---- progress ---- */

static enum verdict joint_of(const struct rider_history *history, int64_t before_from,
                             int64_t recent_from, int64_t days, const struct limits *limits)
{
    struct arena *scratch = arena_open();
    struct rider_history then = *history;
    struct rider_progress progress;
    const struct progress_windows windows = { before_from, before_from + days, recent_from,
                                              recent_from + days };
    then.today = windows.recent_to - 1;
    rider_progress_between(scratch, &then, &windows, limits, &progress);
    const enum verdict verdict = progress.joint.verdict;
    arena_close(scratch);
    return verdict;
}

/* |before|gain|after|: once the gain is called better, is `after` better than `before` too?  Looked
 * at week by week, as a coach does; each gain counts once. */
static void add_progress(struct record *record, const struct rider_history *history,
                         const struct limits *limits)
{
    const int64_t days = (int64_t)limits->value[LIMIT_PROGRESS_DAYS];
    struct record_row *row = &record->rows[RECORD_BETTER];
    int64_t from = history->rides[0].day;
    while (from + 2 * days - 1 <= history->today) {
        if (joint_of(history, from, from + days, days, limits) != VERDICT_BETTER) {
            from += WEEK_DAYS;
            continue;
        }
        const enum verdict after = from + 3 * days - 1 > history->today
                                       ? VERDICT_CANNOT_TELL
                                       : joint_of(history, from, from + 2 * days, days, limits);
        if (after == VERDICT_CANNOT_TELL || after == VERDICT_NOT_TESTED) {
            row->untold++;
        } else {
            count(row, after == VERDICT_BETTER, after == VERDICT_LOWER);
        }
        from += days;
    }
}

/* ---- hard work ---- */

static bool is_done(enum verdict verdict)
{
    return verdict == VERDICT_DONE || verdict == VERDICT_DONE_FAST_START;
}

static bool is_too_hard(enum verdict verdict)
{
    return verdict == VERDICT_STARTED_TOO_HARD || verdict == VERDICT_FADED;
}

static bool is_judged_hard(const struct past_ride *ride)
{
    return ride->is_ride && ride->hard.is_asked && ride->hard.verdict != VERDICT_CANNOT_TELL &&
           ride->hard.verdict != VERDICT_DESCRIBED;
}

static void add_hard(struct record *record, const struct rider_history *history,
                     const struct limits *limits)
{
    const int64_t within = (int64_t)limits->value[LIMIT_PROGRESS_DAYS];
    const double hard = limits->value[LIMIT_HARD_DAY_EFFORT];
    const struct past_ride *last = NULL;
    for (size_t i = 0; i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        if (!is_judged_hard(ride)) {
            continue;
        }
        if (is_done(ride->hard.verdict) && !isnan(ride->effort_0_10)) {
            count(&record->rows[RECORD_HARD_FELT], ride->effort_0_10 >= hard,
                  ride->effort_0_10 < hard);
        }
        if (last != NULL && ride->day - last->day <= within) {
            const bool clear = ride->hard.verdict != VERDICT_ON_THE_LINE;
            const bool done = is_done(ride->hard.verdict);
            const bool too_hard = is_too_hard(ride->hard.verdict);
            if (is_done(last->hard.verdict)) {
                count(&record->rows[RECORD_HARD_DONE], done, clear && !done);
            } else if (is_too_hard(last->hard.verdict)) {
                count(&record->rows[RECORD_HARD_TOO_HARD], too_hard, clear && !too_hard);
            }
        }
        last = ride;
    }
}

/* ---- days off usual ---- */

/* Scales run from 1, bad, to 5; 0 is not said. */
static bool is_bad(int scale)
{
    return scale == 1 || scale == 2;
}

static bool is_noted(const struct rider_history *history, int64_t from, int64_t to)
{
    for (size_t i = 0; i < history->n_notes; i++) {
        const struct past_note *note = &history->notes[i];
        if (note->day >= from && note->day <= to &&
            (note->ill || note->hot || is_bad(note->legs_1_5) || is_bad(note->sleep_1_5))) {
            return true;
        }
    }
    for (int64_t day = from; day <= to; day++) {
        if (history_off_on(history, day, 1u << OFF_ILL) != NULL) {
            return true;
        }
    }
    return false;
}

static void add_days(struct record *record, const struct rider_history *history,
                     const struct limits *limits)
{
    const int64_t after = (int64_t)limits->value[LIMIT_RECORD_NOTE_DAYS];
    for (size_t i = 0; i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        const bool unusual = ride->today.verdict == VERDICT_HIGHER_THAN_USUAL ||
                             ride->today.verdict == VERDICT_LOWER_THAN_USUAL;
        if (ride->today.is_asked && (unusual || ride->today.verdict == VERDICT_USUAL)) {
            const bool noted = is_noted(history, ride->day - 1, ride->day + after);
            count(&record->rows[unusual ? RECORD_TODAY_UNUSUAL : RECORD_TODAY_USUAL], noted,
                  !noted);
        }
    }
}

/* ---- all of it ---- */

void record_add(struct arena *arena, struct record *record, int64_t rider,
                const struct rider_history *history, const struct limits *limits)
{
    if (record->n_riders == 0) {
        record->first_day = INT64_MAX;
        record->last_day = INT64_MIN;
    }
    record->n_riders++;
    if (history->n_rides == 0) {
        return;
    }
    const int64_t first = history->rides[0].day;
    const int64_t last = history->rides[history->n_rides - 1].day;
    record->n_rides += history->n_rides;
    record->first_day = first < record->first_day ? first : record->first_day;
    record->last_day = last > record->last_day ? last : record->last_day;
    take_tests(arena, record, rider, history, limits);
    add_tests(arena, record, history, limits);
    add_progress(record, history, limits);
    add_hard(record, history, limits);
    add_days(record, history, limits);
}

/* Wilson 1927, J Am Stat Assoc 22:209-212 (from memory). */
static void set_range(struct record_row *row)
{
    const double z = distributions_normal_quantile(0.95);
    const double n = (double)(row->agreed + row->against);
    const double share = (double)row->agreed / n;
    const double middle = (share + z * z / (2.0 * n)) / (1.0 + z * z / n);
    const double half =
        z * sqrt(share * (1.0 - share) / n + z * z / (4.0 * n * n)) / (1.0 + z * z / n);
    row->low_pct = 100.0 * fmax(middle - half, 0.0);
    row->high_pct = 100.0 * fmin(middle + half, 1.0);
}

void record_finish(struct arena *arena, struct record *record, const struct limits *limits)
{
    for (int claim = 0; claim < RECORD_CLAIMS; claim++) {
        struct record_row *row = &record->rows[claim];
        row->low_pct = (double)NAN;
        row->high_pct = (double)NAN;
        row->is_enough = (double)(row->agreed + row->against) >= limits->value[LIMIT_RECORD_LEAST];
        if (row->is_enough) {
            set_range(row);
        }
        row->text = words_record_row(arena, (enum record_claim)claim, row, limits);
    }
    record->repeat = drift_repeat_of(arena, record->tests, record->n_tests, limits);
    record->repeat_text = words_drift_repeat(arena, &record->repeat, limits);
    record->text = words_record_worth();
}
