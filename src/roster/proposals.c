/* roster/proposals.c: what a rider's stored rides let propose. */
#include "roster/proposals.h"

#include "base/text.h"
#include "roster/changes.h"

#include <math.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

const char *proposal_kind_name(enum proposal_kind kind)
{
    static const char *const names[] = {
        [PROPOSAL_THRESHOLD] = "threshold",
        [PROPOSAL_MAX_HEART_RATE] = "max-heart-rate",
        [PROPOSAL_WEIGHT] = "weight",
        [PROPOSAL_EQUIPMENT] = "equipment",
        [PROPOSAL_TEST] = "test",
        [PROPOSAL_OTHER] = "other-rider",
        [PROPOSAL_DAY] = "day",
        [PROPOSAL_KINDS] = "",
    };
    return names[kind];
}

struct proposal *proposals_add(struct arena *arena, struct proposals *page, enum proposal_kind kind)
{
    page->items =
        arena_grow(arena, page->items, page->count, &page->capacity, sizeof page->items[0]);
    struct proposal *proposal = &page->items[page->count++];
    *proposal = (struct proposal){ .kind = kind, .what = proposal_kind_name(kind) };
    return proposal;
}

/* ---- thresholds and tests ---- */

/* The serial of the power meter of a ride; 0 when it isn't known, or there were two. */
static bool find_meter(struct db *db, struct arena *arena, int64_t recording, int64_t *serial,
                       struct error *err)
{
    struct db_rows rows = { 0 };
    *serial = 0;
    if (!db_query(db, arena,
                  "SELECT DISTINCT serial FROM sensor WHERE recording = $1 AND kind = 'power' AND "
                  "serial IS NOT NULL ORDER BY serial",
                  "i", DB_ARGS(db_integer(recording)), &rows, err)) {
        return false;
    }
    *serial = rows.count == 1 ? db_integer_at(&rows, 0, 0) : 0;
    return true;
}

/* A test of which the coach made a threshold already, or set one on that very day. */
static bool is_on_file(const struct scan *scan, const char *day)
{
    for (size_t i = 0; i < scan->n_thresholds; i++) {
        if (strcmp(scan->thresholds[i].day, day) == 0) {
            return true;
        }
    }
    return false;
}

static bool add_test(struct db *db, struct arena *arena, const struct scanned_ride *ride,
                     const struct protocol_test *test, const struct scan *scan,
                     struct proposals *page, struct error *err)
{
    const struct fact_row *range = fact_row(FACT_THRESHOLD);
    const double value = round(test->estimate_w.value);
    const bool gives = test->valid && protocol_gives(test->protocol) == GIVES_THRESHOLD &&
                       value >= range->lowest && value <= range->highest;
    if (gives && is_on_file(scan, ride->row.local_day)) {
        return true;
    }
    struct proposal *one = proposals_add(arena, page, gives ? PROPOSAL_THRESHOLD : PROPOSAL_TEST);
    one->can_accept = gives;
    one->what =
        arena_format(arena, "%s: %s", proposal_kind_name(one->kind), protocol_name(test->protocol));
    one->recording = ride->row.id;
    one->day = ride->row.local_day;
    one->test = *test;
    one->fact = (struct fact){ .day = one->day,
                               .value = value,
                               .low = round(test->estimate_w.low),
                               .high = round(test->estimate_w.high),
                               .protocol = protocol_name(test->protocol),
                               .recording = one->recording };
    return find_meter(db, arena, ride->row.id, &one->meter_serial, err);
}

static bool add_tests(struct db *db, struct arena *arena, const struct scan *scan, bool valid,
                      struct proposals *page, struct error *err)
{
    for (size_t i = 0; i < scan->count; i++) {
        const struct scanned_ride *ride = &scan->rides[i];
        for (size_t k = 0; k < ride->tests.count; k++) {
            const struct protocol_test *test = &ride->tests.items[k];
            const bool gives = test->valid && protocol_gives(test->protocol) == GIVES_THRESHOLD;
            if (gives == valid && !add_test(db, arena, ride, test, scan, page, err)) {
                return false;
            }
        }
    }
    return true;
}

/* ---- maximal heart rates ---- */

/* The coach knows as much on that day already. */
static bool is_known_max(const struct scan *scan, const struct fact *seen)
{
    const char *day = seen->day;
    const struct fact *fact = scan_fact_on(scan->maxima, scan->n_maxima, day);
    const bool same_day = fact != NULL && strcmp(fact->day, day) == 0;
    return same_day ||
           (fact != NULL && fact->value >= seen->value && (!fact->at_least || seen->at_least));
}

/* What is known from a ride on, if that is more than before: a higher peak, or a second near it. */
static void add_maxima(struct arena *arena, const struct scan *scan, const struct limits *limits,
                       struct proposals *page)
{
    enum { SETTLES_DAYS = 28 }; /* of two within four weeks the later says it better */
    const struct fact_row *range = fact_row(FACT_MAX_HEART_RATE);
    struct scan_peak last = { 0, 0.0, false };
    int64_t last_days = INT64_MIN;
    const size_t first = page->count;
    for (size_t i = 0; i < scan->count; i++) {
        const struct scanned_ride *ride = &scan->rides[i];
        struct scan_peak peak = { 0 };
        scan_peak_on(scan, ride->days, limits, &peak);
        const bool rises = peak.ride == i && peak.bpm > last.bpm;
        const bool settles = peak.is_seen_twice && !last.is_seen_twice && peak.bpm >= last.bpm;
        const double bpm = round(peak.bpm);
        if (isnan(ride->heart_peak_bpm) || peak.ride == scan->count || (!rises && !settles)) {
            continue;
        }
        last = peak;
        if (bpm < range->lowest || bpm > range->highest) {
            continue;
        }
        const bool replaces = page->count > first && ride->days - last_days < SETTLES_DAYS;
        struct proposal *one = replaces ? &page->items[page->count - 1]
                                        : proposals_add(arena, page, PROPOSAL_MAX_HEART_RATE);
        const struct scanned_ride *top = &scan->rides[peak.ride];
        one->can_accept = true;
        one->recording = top->row.id;
        one->day = ride->row.local_day;
        one->agrees = peak.ride == i ? 0 : ride->row.id;
        one->fact = (struct fact){ .day = one->day,
                                   .value = bpm,
                                   .low = (double)NAN,
                                   .high = (double)NAN,
                                   .at_least = !peak.is_seen_twice,
                                   .protocol = "seen in hard rides",
                                   .recording = one->recording };
        last_days = ride->days;
    }
    size_t kept = first;
    for (size_t i = first; i < page->count; i++) {
        if (!is_known_max(scan, &page->items[i].fact)) {
            page->items[kept++] = page->items[i];
        }
    }
    page->count = kept;
}

/* ---- meters ---- */

static bool add_equipment(struct db *db, struct arena *arena, const struct scan_call *call,
                          struct proposals *page, struct error *err)
{
    struct seen_sensor *seen = NULL;
    size_t count = 0;
    if (!equipment_seen(db, arena, call->rider->id, call->today, &seen, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (seen[i].serial == UINT32_MAX) {
            continue; /* what a device writes that doesn't know: FIT's mark of an invalid uint32 */
        }
        struct proposal *one = proposals_add(arena, page, PROPOSAL_EQUIPMENT);
        one->can_accept = true;
        one->sensor = seen[i];
        one->what =
            arena_format(arena, "equipment: %s %lld", seen[i].kind, (long long)seen[i].serial);
    }
    return true;
}

/* ---- the page ---- */

bool proposals_is_declined(const struct db_rows *declined, const struct proposal *one)
{
    for (size_t i = 0; i < declined->count; i++) {
        const char *day = db_text_at(declined, i, 2);
        const bool same_day =
            day == NULL || one->day == NULL ? day == one->day : strcmp(day, one->day) == 0;
        /* What a maximal heart rate rests on is a ride, whatever day it is dated from. */
        const bool any_day = one->kind == PROPOSAL_MAX_HEART_RATE;
        if (strcmp(db_text_at(declined, i, 0), one->what) == 0 &&
            db_integer_at(declined, i, 1) == one->recording && (same_day || any_day)) {
            return true;
        }
    }
    return false;
}

static bool find_declined(struct db *db, struct arena *arena, int64_t rider, struct db_rows *out,
                          struct error *err)
{
    return db_query(db, arena,
                    "SELECT what, recording, day FROM declined WHERE rider = $1 ORDER BY id", "tIT",
                    DB_ARGS(db_integer(rider)), out, err);
}

static void leave_out_declined(const struct db_rows *declined, struct proposals *page)
{
    size_t kept = 0;
    for (size_t i = 0; i < page->count; i++) {
        if (!proposals_is_declined(declined, &page->items[i])) {
            page->items[kept] = page->items[i];
            page->items[kept].number = kept + 1;
            kept++;
        }
    }
    page->count = kept;
}

static void append(struct arena *arena, const struct proposals *more, struct proposals *page)
{
    for (size_t i = 0; i < more->count; i++) {
        *proposals_add(arena, page, more->items[i].kind) = more->items[i];
    }
}

static void list_doubles(struct arena *arena, const struct scan *scan, struct proposals *page)
{
    page->doubles = ARENA_ARRAY(arena, struct double_ride, scan->n_others);
    for (size_t i = 0; i < scan->n_others; i++) {
        const struct ride_row *row = &scan->others[i];
        if (row->same_as != 0) {
            page->doubles[page->n_doubles++] =
                (struct double_ride){ row->id, row->same_as, row->local_day };
        }
    }
}

/* Over all that the numbers stand for. */
static void set_mark(struct arena *arena, struct proposals *page)
{
    struct text all = text_begin(arena, 10000000);
    uint8_t sum[32];
    for (size_t i = 0; i < page->count; i++) {
        const struct proposal *one = &page->items[i];
        text_add_format(&all, "%s|%lld|%s|%.1f|%.0f|%.0f|%d|%lld|%lld|%s|%s\n", one->what,
                        (long long)one->recording, one->day == NULL ? "" : one->day,
                        one->fact.value, one->fact.low, one->fact.high, one->fact.at_least,
                        (long long)one->meter_serial, (long long)one->sensor.rides,
                        one->sensor.first_day == NULL ? "" : one->sensor.first_day,
                        one->sensor.last_day == NULL ? "" : one->sensor.last_day);
    }
    crypto_hash_sha256(sum, (const unsigned char *)all.bytes, all.length);
    sodium_bin2hex(page->mark, sizeof page->mark, sum, (sizeof page->mark - 1) / 2);
}

bool proposals_make(struct arena *arena, const struct scan_call *call, struct proposals *out,
                    struct error *err)
{
    struct db *db = roster_db(call->roster);
    struct scan scan = { 0 };
    struct db_rows declined = { 0 };
    struct proposals doubts = { 0 };
    *out = (struct proposals){ 0 };
    if (!scan_rides(arena, call, &scan, err) ||
        !find_declined(db, arena, call->rider->id, &declined, err) ||
        !proposals_doubt_rides(db, arena, call, &scan, &doubts, err) ||
        !add_tests(db, arena, &scan, true, out, err)) {
        return false;
    }
    leave_out_declined(&declined, &doubts);
    add_maxima(arena, &scan, call->limits, out);
    if (!proposals_add_weights(db, arena, call, &scan, &doubts, &declined, out, err) ||
        !add_equipment(db, arena, call, out, err) ||
        !add_tests(db, arena, &scan, false, out, err)) {
        return false;
    }
    append(arena, &doubts, out);
    leave_out_declined(&declined, out);
    list_doubles(arena, &scan, out);
    set_mark(arena, out);
    out->n_rides = scan.count;
    out->first_day = scan.count == 0 ? NULL : scan.rides[0].row.local_day;
    out->last_day = scan.count == 0 ? NULL : scan.rides[scan.count - 1].row.local_day;
    return true;
}

/* ---- accepting and declining ---- */

struct work {
    struct arena *arena;
    const struct rider *rider;
    struct roster_now now;
    const struct proposal **chosen; /* [n] in the page's order */
    size_t n;
    const char *words;
};

bool proposal_fact(enum proposal_kind kind, enum fact_kind *out)
{
    *out = kind == PROPOSAL_THRESHOLD        ? FACT_THRESHOLD
           : kind == PROPOSAL_MAX_HEART_RATE ? FACT_MAX_HEART_RATE
           : kind == PROPOSAL_WEIGHT         ? FACT_WEIGHT
                                             : FACT_KINDS;
    return *out != FACT_KINDS;
}

static const char *fact_words(enum fact_kind kind)
{
    return kind == FACT_THRESHOLD ? "threshold"
           : kind == FACT_WEIGHT  ? "weight"
                                  : "maximal heart rate";
}

/* "Of the rides of Ada Berg accepted: threshold 251 W from 2026-03-14; 2 pieces of equipment". */
static const char *say(struct arena *arena, const struct work *work, const char *did)
{
    struct text out = text_begin(arena, 2000);
    size_t more[PROPOSAL_KINDS] = { 0 };
    size_t shown = 0;
    text_add_format(&out, "%s of what %s's rides show: ", did, work->rider->name);
    for (size_t i = 0; i < work->n; i++) {
        const struct proposal *one = work->chosen[i];
        enum fact_kind kind = FACT_KINDS;
        if (!proposal_fact(one->kind, &kind) || shown >= 4) {
            more[one->kind]++;
            continue;
        }
        const struct fact_row *row = fact_row(kind);
        text_add_format(&out, "%s%s %s%.*f %s from %s", shown > 0 ? "; " : "", fact_words(kind),
                        one->fact.at_least ? "at least " : "", row->decimals, one->fact.value,
                        row->unit, one->day);
        shown++;
    }
    for (int k = 0; k < PROPOSAL_KINDS; k++) {
        if (more[k] > 0) {
            text_add_format(&out, "%s%zu %s", shown > 0 ? "; " : "", more[k],
                            k == PROPOSAL_THRESHOLD        ? "more thresholds"
                            : k == PROPOSAL_MAX_HEART_RATE ? "more maximal heart rates"
                            : k == PROPOSAL_WEIGHT         ? "more weights"
                            : k == PROPOSAL_EQUIPMENT      ? "of equipment"
                            : k == PROPOSAL_TEST           ? "tests"
                            : k == PROPOSAL_OTHER          ? "rides like someone else's"
                                                           : "dates of rides");
            shown++;
        }
    }
    return out.bytes;
}

/* The meter of a threshold: by now it may be on file. */
static bool meter_of_serial(struct db *db, struct arena *arena, int64_t rider, int64_t serial,
                            int64_t *out, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT id FROM equipment WHERE kind = 'power-meter' AND serial = $1 AND (rider "
                  "IS NULL OR rider = $2) ORDER BY rider NULLS LAST, id",
                  "i", DB_ARGS(db_integer(serial), db_integer(rider)), &rows, err)) {
        return false;
    }
    *out = serial != 0 && rows.count > 0 ? db_integer_at(&rows, 0, 0) : 0;
    return true;
}

static bool is_name(const char *text)
{
    return text != NULL && text[strspn(text, "0123456789 ")] != '\0';
}

static bool put_equipment(struct change *change, const struct work *work,
                          const struct seen_sensor *sensor, struct error *err)
{
    int64_t row = 0;
    /* Makers whose name isn't known are numbers: no name for a thing. */
    const char *name = is_name(sensor->product)                   ? sensor->product
                       : is_name(sensor->maker)                   ? sensor->maker
                       : strcmp(sensor->kind, "power-meter") == 0 ? "power meter"
                                                                  : "heart sensor";
    const struct edit edits[] = {
        { "rider", db_integer(work->rider->id) },
        { "kind", db_text(sensor->kind) },
        { "name", db_text(name) },
        { "maker", db_text(sensor->maker) },
        { "product", db_text(sensor->product) },
        { "serial", db_integer(sensor->serial) },
        { "from_day", db_text(sensor->first_day) },
    };
    return changes_add(change, "equipment", edits, sizeof edits / sizeof edits[0], &row, err);
}

static bool put(struct change *change, const struct work *work, const struct proposal *one,
                struct error *err)
{
    struct fact fact = one->fact;
    fact.who = work->now.who;
    switch (one->kind) {
    case PROPOSAL_EQUIPMENT: return put_equipment(change, work, &one->sensor, err);
    case PROPOSAL_THRESHOLD:
        return meter_of_serial(change->db, work->arena, work->rider->id, one->meter_serial,
                               &fact.meter, err) &&
               facts_put(change, work->rider, FACT_THRESHOLD, &fact, err);
    case PROPOSAL_MAX_HEART_RATE:
        return facts_put(change, work->rider, FACT_MAX_HEART_RATE, &fact, err);
    case PROPOSAL_WEIGHT: return facts_put(change, work->rider, FACT_WEIGHT, &fact, err);
    case PROPOSAL_TEST:
    case PROPOSAL_OTHER:
    case PROPOSAL_DAY:
    case PROPOSAL_KINDS: break;
    }
    return error_set(err, ERROR_INTERNAL, "a proposal that can't be accepted was");
}

static bool accept_all(struct db *db, void *context, struct error *err)
{
    const struct work *work = context;
    struct change change = { 0 };
    if (!changes_begin(db, work->arena, work->now, work->words, &change, err)) {
        return false;
    }
    /* Meters first: a threshold names its own. */
    for (int pass = 0; pass < 2; pass++) {
        for (size_t i = 0; i < work->n; i++) {
            const bool is_meter = work->chosen[i]->kind == PROPOSAL_EQUIPMENT;
            if (is_meter == (pass == 0) && !put(&change, work, work->chosen[i], err)) {
                return false;
            }
        }
    }
    return true;
}

static bool decline_all(struct db *db, void *context, struct error *err)
{
    const struct work *work = context;
    struct change change = { 0 };
    if (!changes_begin(db, work->arena, work->now, work->words, &change, err)) {
        return false;
    }
    for (size_t i = 0; i < work->n; i++) {
        const struct proposal *one = work->chosen[i];
        int64_t row = 0;
        const struct edit edits[] = {
            { "rider", db_integer(work->rider->id) },
            { "what", db_text(one->what) },
            { "recording", one->recording == 0 ? db_null(DB_INTEGER) : db_integer(one->recording) },
            { "day", db_text(one->day) },
        };
        if (!changes_add(&change, "declined", edits, sizeof edits / sizeof edits[0], &row, err)) {
            return false;
        }
    }
    return true;
}

static bool is_named(size_t number, const size_t numbers[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (numbers[i] == number) {
            return true;
        }
    }
    return false;
}

static bool choose(const struct proposals *page, const size_t numbers[], size_t n, bool accepts,
                   struct work *work, struct error *err)
{
    work->chosen = ARENA_ARRAY(work->arena, const struct proposal *, page->count);
    for (size_t i = 0; i < n; i++) {
        if (numbers[i] < 1 || numbers[i] > page->count) {
            return error_set(err, ERROR_USAGE, "%zu: the page has %zu %s", numbers[i], page->count,
                             page->count == 1 ? "entry" : "entries");
        }
    }
    for (size_t i = 0; i < page->count; i++) {
        const struct proposal *one = &page->items[i];
        const bool wanted =
            n == 0 ? one->can_accept || !accepts : is_named(one->number, numbers, n);
        if (wanted && accepts && !one->can_accept) {
            return error_set(err, ERROR_USAGE,
                             "%zu: is there to be looked at, with nothing to accept; --decline %zu "
                             "shows it no more",
                             one->number, one->number);
        }
        if (wanted) {
            work->chosen[work->n++] = one;
        }
    }
    return work->n > 0 || error_set(err, ERROR_USAGE, "nothing on the page can be accepted");
}

bool proposals_accept(struct arena *arena, const struct scan_call *call, struct roster_now now,
                      const struct proposals *page, const size_t numbers[], size_t n,
                      const char **said, struct error *err)
{
    struct work work = { .arena = arena, .rider = call->rider, .now = now };
    if (!choose(page, numbers, n, true, &work, err)) {
        return false;
    }
    *said = work.words = say(arena, &work, "Accepted");
    return db_write(roster_db(call->roster), accept_all, &work, err);
}

bool proposals_decline(struct arena *arena, const struct scan_call *call, struct roster_now now,
                       const struct proposals *page, const size_t numbers[], size_t n,
                       const char **said, struct error *err)
{
    struct work work = { .arena = arena, .rider = call->rider, .now = now };
    if (!choose(page, numbers, n, false, &work, err)) {
        return false;
    }
    *said = work.words = say(arena, &work, "Declined");
    return db_write(roster_db(call->roster), decline_all, &work, err);
}
