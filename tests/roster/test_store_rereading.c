/* tests/roster/test_store_rereading.c: readings kept true, whatever was changed and taken back.
 *
 * The twin that they are compared with is slow and obvious: after each step every recording is read
 * again from the bytes of its original, and every month of bests is made of all its rides. */
#include "roster/store.h"

#include "base/text.h"
#include "maths/maths.h"
#include "roster/asked.h"
#include "roster/best_months.h"
#include "roster/changes.h"
#include "roster/facts.h"
#include "roster/import.h"
#include "roster/jobs.h"
#include "roster/pack.h"
#include "roster/readings.h"
#include "roster/rereading.h"
#include "roster/same_ride.h"
#include "roster/tables.h"
#include "roster/touched.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static struct arena *arena; /* of a step */
static struct arena *kept;  /* of a test */
static struct roster *roster;
static const char *place;
static const char *folder;
static struct rider riders[2];
static struct roster_now now = { 1773480413, "tester" };

static void must(bool done, const struct error *err)
{
    check_text("error", done ? "" : err->message, "");
}

static int begin(void **state)
{
    static int n;
    char name[32];
    struct error err = { 0 };
    (void)state;
    snprintf(name, sizeof name, "rides-%d", n++);
    arena = arena_open();
    kept = arena_open();
    folder = store_path(name);
    check(mkdir(folder, 0700) == 0);
    place = store_place();
    must(roster_open(place, ROSTER_CREATE, now, &roster, &err), &err);
    for (int i = 0; i < 2; i++) {
        riders[i] = (struct rider){ .name = i == 0 ? "Ada Berg" : "Ben Lind",
                                    .zone_name = "Europe/Berlin" };
        must(riders_add(roster, kept, now, &riders[i], &err), &err);
    }
    struct rereading_jobs none = { 0 };
    must(rereading_look(roster, kept, now, &none, &err), &err);
    return 0;
}

static int end(void **state)
{
    (void)state;
    roster_close(roster);
    arena_close(arena);
    arena_close(kept);
    return 0;
}

/* ---- rides ---- */

struct made_ride {
    const char *name;
    const char *day;
    int start_s; /* of the UTC day */
    int seconds;
    int watts;
    int rider;
    bool is_track;
};

/* Two devices on one ride, a third that overlaps with one of them only, rides about midnight and
 * the turn of a month, and the same days of another rider. */
static const struct made_ride made[] = {
    { "a", "2026-02-10", 30000, 700, 180, 0, false },
    { "b", "2026-02-28", 84000, 900, 210, 0, true },
    { "c", "2026-03-05", 36000, 800, 240, 0, false },
    { "c2", "2026-03-05", 36060, 800, 241, 0, false },
    { "d", "2026-02-10", 30000, 600, 200, 1, true },
    { "c3", "2026-03-05", 36190, 800, 239, 0, false },
    { "e", "2026-03-20", 82900, 650, 260, 0, true },
    { "f", "2026-03-05", 36000, 700, 190, 1, false },
    { "g", "2026-04-02", 40000, 900, 230, 0, false },
};

/* A track's clock is UTC without an offset, so its day is its rider's zone's; a table's says one.
 */
static void add_second(struct text *out, const struct made_ride *ride, int at, int watts, int beats)
{
    if (ride->is_track) {
        text_add_format(out,
                        "<trkpt lat=\"52.5%04d\" lon=\"13.4\"><time>%sT%02d:%02d:%02dZ</time>"
                        "<extensions><power>%d</power><heartrate>%d</heartrate></extensions>"
                        "</trkpt>\n",
                        at % 10000, ride->day, at / 3600, at / 60 % 60, at % 60, watts, beats);
    } else {
        text_add_format(out, "%sT%02d:%02d:%02dZ,%d,%d,88\n", ride->day, at / 3600, at / 60 % 60,
                        at % 60, watts, beats);
    }
}

static const char *write_ride(const struct made_ride *ride)
{
    struct text out = text_begin(arena, 10000000);
    const char *path =
        arena_format(kept, "%s/%s.%s", folder, ride->name, ride->is_track ? "gpx" : "csv");
    struct error err = { 0 };
    uint32_t noise = (uint32_t)(ride->watts + ride->start_s);
    text_add(&out, ride->is_track
                       ? "<?xml version=\"1.0\"?><gpx version=\"1.1\"><trk><type>cycling</type>"
                         "<trkseg>\n"
                       : "time,power,heart_rate,cadence\n");
    for (int i = 0; i < ride->seconds; i++) {
        noise = noise * 1664525u + 1013904223u;
        const int spike = i % 250 == 200 ? 600 : 0; /* a limit decides whether that is believed */
        add_second(&out, ride, ride->start_s + i, ride->watts + (int)(noise >> 27) + spike,
                   125 + i / 60);
    }
    if (ride->is_track) {
        text_add(&out, "</trkseg></trk></gpx>\n");
    }
    must(files_write(path, (struct bytes){ (const uint8_t *)out.bytes, out.length }, &err), &err);
    return path;
}

static void import_ride(const struct made_ride *ride)
{
    const char *path = write_ride(ride);
    struct import_sum sum = { 0 };
    struct error err = { 0 };
    const struct import_call call = {
        .roster = roster, .place = place, .now = now, .rider = &riders[ride->rider], .n_threads = 1
    };
    must(import_paths(arena, &call, &path, 1, &sum, &err), &err);
}

/* ---- queries ---- */

static struct db_rows query(const char *sql, const char *shape)
{
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    must(db_query(roster_db(roster), arena, sql, shape, DB_NONE, &rows, &err), &err);
    return rows;
}

static int64_t number(const char *sql)
{
    const struct db_rows rows = query(sql, "I");
    return rows.count > 0 ? db_integer_at(&rows, 0, 0) : 0;
}

static void add_hex(struct text *out, struct bytes bytes)
{
    char sum[65];
    files_sha256(bytes, sum);
    text_add_format(out, " %.16s", sum);
}

/* ---- the twin ---- */

struct twin {
    struct ride_row row;
    struct packed_recording packed;
    struct packed_readings readings;
    bool is_current; /* as stored, by hash */
};

static struct twin read_twin(int64_t id)
{
    struct db *db = roster_db(roster);
    struct twin twin = { 0 };
    struct error err = { 0 };
    struct limits limits;
    struct rider_facts facts;
    struct recording *recording = NULL;
    struct ride_readings readings = { 0 };
    const char *day = NULL;
    must(recordings_row(db, arena, id, &twin.row, &err), &err);
    must(readings_limits(db, arena, twin.row.rider, &limits, &err), &err);
    must(recordings_reread(db, arena, &twin.row, &limits, &recording, &err), &err);
    must(recordings_day(db, arena, twin.row.rider, recording, &day, &err), &err);
    const struct ride_facts ride = { .rider = twin.row.rider, .day = day, .recording = id };
    must(facts_of_ride(roster, arena, &ride, &facts, &err), &err);
    must(reading_make(arena, recording, &facts, &limits, &readings, &err), &err);
    struct reading_source source = { .part = twin.row.part };
    memcpy(source.sha256, twin.row.sha256, sizeof source.sha256);
    twin.readings = readings_pack(arena, &readings, &source, &facts, &limits);
    must(recordings_pack(arena, recording, day, &twin.packed, &err), &err);
    must(readings_are_current(db, arena, id, &source, &facts, &limits, &twin.is_current, &err),
         &err);
    return twin;
}

static void add_reading(struct text *out, const char *question, int64_t set, int64_t rep,
                        const char *day, const char *verdict, const double numbers[4],
                        const char *unit, const char *method, struct bytes basis,
                        const char *content)
{
    text_add_format(out, "%s %d %d %s %s", question, (int)set, (int)rep, day == NULL ? "-" : day,
                    verdict);
    for (int i = 0; i < 4; i++) {
        text_add_format(out, " %.17g", isnan(numbers[i]) ? -1e300 : numbers[i]);
    }
    text_add_format(out, " %s %s %s", unit == NULL ? "-" : unit, method, content);
    add_hex(out, basis);
    text_add(out, "\n");
}

static const char *twin_text(const struct twin *twin)
{
    struct text out = text_begin(arena, 50000000);
    for (size_t i = 0; i < twin->readings.count; i++) {
        const struct packed_reading *one = &twin->readings.items[i];
        const double numbers[4] = { one->estimate, one->low, one->high, one->limit_value };
        add_reading(&out, one->question, one->set, one->rep, twin->packed.row.local_day,
                    one->verdict, numbers, one->unit, one->method,
                    (struct bytes){ one->basis, BASIS_BYTES }, one->content);
    }
    for (size_t i = 0; i < twin->packed.n_channels; i++) {
        text_add_format(&out, "%s", twin->packed.channels[i].name);
        add_hex(&out, twin->packed.channels[i].content);
        add_hex(&out, twin->packed.channels[i].mask);
    }
    const struct best_curve *curve = &twin->packed.curve;
    text_add_format(&out, "\n%s", twin->packed.row.local_day);
    add_hex(&out, pack_series(arena, curve->work_j, curve->count, INT32_MIN));
    add_hex(&out, pack_mask(arena, curve->marks, curve->count));
    text_add_format(&out, "\n%zu findings\n", twin->packed.n_findings);
    return out.bytes;
}

static const char *stored_text(int64_t id)
{
    struct text out = text_begin(arena, 50000000);
    struct db_rows rows = query(
        arena_format(arena,
                     "SELECT question, set_number, rep_number, day, verdict, estimate, low, high, "
                     "unit, limit_value, method, basis_hash, content FROM reading WHERE subject = "
                     "%lld ORDER BY id",
                     (long long)id),
        "tiiTtRRRTRtxt");
    for (size_t i = 0; i < rows.count; i++) {
        const double numbers[4] = { db_real_at(&rows, i, 5), db_real_at(&rows, i, 6),
                                    db_real_at(&rows, i, 7), db_real_at(&rows, i, 9) };
        add_reading(&out, db_text_at(&rows, i, 0), db_integer_at(&rows, i, 1),
                    db_integer_at(&rows, i, 2), db_text_at(&rows, i, 3), db_text_at(&rows, i, 4),
                    numbers, db_text_at(&rows, i, 8), db_text_at(&rows, i, 10),
                    db_blob_at(&rows, i, 11), db_text_at(&rows, i, 12));
    }
    rows = query(arena_format(arena,
                              "SELECT channel, content, mask FROM series WHERE recording = %lld "
                              "ORDER BY id",
                              (long long)id),
                 "txX");
    for (size_t i = 0; i < rows.count; i++) {
        text_add_format(&out, "%s", db_text_at(&rows, i, 0));
        add_hex(&out, db_blob_at(&rows, i, 1));
        add_hex(&out, db_blob_at(&rows, i, 2));
    }
    rows = query(arena_format(arena,
                              "SELECT r.local_day, b.work_j, b.at_least, (SELECT CAST(COUNT(*) AS "
                              "BIGINT) FROM finding f WHERE f.recording = r.id) FROM recording r "
                              "JOIN best_curve b ON b.recording = r.id WHERE r.id = %lld",
                              (long long)id),
                 "txxi");
    check_integer("a curve", (int64_t)rows.count, 1);
    text_add_format(&out, "\n%s", db_text_at(&rows, 0, 0));
    add_hex(&out, db_blob_at(&rows, 0, 1));
    add_hex(&out, db_blob_at(&rows, 0, 2));
    text_add_format(&out, "\n%lld findings\n", (long long)db_integer_at(&rows, 0, 3));
    return out.bytes;
}

/* All rides of a month one after another, whatever the store says of it. */
static void check_months(const struct twin twins[], size_t n)
{
    const struct db_rows rows = query("SELECT rider, month, work_j, recordings FROM best_month "
                                      "ORDER BY rider, month",
                                      "itxx");
    size_t found = 0;
    for (size_t i = 0; i < n; i++) {
        const struct ride_row *row = &twins[i].row;
        const char *month = arena_format(arena, "%.7s", row->local_day);
        struct best_envelope *envelope = arena_alloc(arena, 1, sizeof *envelope);
        bool is_first = row->same_as == 0;
        for (size_t k = 0; k < n; k++) {
            const struct ride_row *other = &twins[k].row;
            if (other->same_as == 0 && other->rider == row->rider &&
                strncmp(other->local_day, month, 7) == 0) {
                is_first = is_first && k >= i;
                best_envelope_add(envelope, &twins[k].packed.curve, other->id, other->start_utc_s);
            }
        }
        if (!is_first) {
            continue;
        }
        int32_t *ids = ARENA_ARRAY(arena, int32_t, envelope->count);
        for (size_t k = 0; k < envelope->count; k++) {
            ids[k] = (int32_t)envelope->recording[k];
        }
        struct text want = text_begin(arena, 1000);
        struct text got = text_begin(arena, 1000);
        text_add(&want, month);
        add_hex(&want, pack_series(arena, envelope->work_j, envelope->count, INT32_MIN));
        add_hex(&want, pack_series(arena, ids, envelope->count, INT32_MIN));
        for (size_t r = 0; r < rows.count; r++) {
            if (db_integer_at(&rows, r, 0) == row->rider &&
                strcmp(db_text_at(&rows, r, 1), month) == 0) {
                text_add(&got, month);
                add_hex(&got, db_blob_at(&rows, r, 2));
                add_hex(&got, db_blob_at(&rows, r, 3));
            }
        }
        check_text("a month", got.bytes, want.bytes);
        found++;
    }
    check_integer("months", (int64_t)rows.count, (int64_t)found);
}

/* Which recording counts, by the written rule: the coach's word, then cover of power, format,
 * length, start, bytes; settled one after another. */
static bool is_better(const struct twin *a, const struct twin *b)
{
    const bool a_hand = a->row.same_by_hand && a->row.same_as == 0;
    const bool b_hand = b->row.same_by_hand && b->row.same_as == 0;
    const long a_cover = lround(a->packed.power_coverage * 100.0);
    const long b_cover = lround(b->packed.power_coverage * 100.0);
    if (a_hand != b_hand) {
        return a_hand;
    }
    if (a_cover != b_cover) {
        return a_cover > b_cover;
    }
    if (strcmp(a->row.format, b->row.format) != 0) {
        return strcmp(a->row.format, b->row.format) > 0; /* "gpx" before "csv" */
    }
    if (a->row.n_seconds != b->row.n_seconds) {
        return a->row.n_seconds > b->row.n_seconds;
    }
    if (a->row.start_utc_s != b->row.start_utc_s) {
        return a->row.start_utc_s < b->row.start_utc_s;
    }
    return memcmp(a->row.sha256, b->row.sha256, 32) < 0;
}

static bool overlap(const struct ride_row *a, const struct ride_row *b)
{
    struct limits limits;
    struct error err = { 0 };
    must(readings_limits(roster_db(roster), arena, a->rider, &limits, &err), &err);
    const int64_t from = a->start_utc_s > b->start_utc_s ? a->start_utc_s : b->start_utc_s;
    const int64_t a_end = a->start_utc_s + (int64_t)a->n_seconds;
    const int64_t b_end = b->start_utc_s + (int64_t)b->n_seconds;
    const int64_t common = (a_end < b_end ? a_end : b_end) - from;
    const size_t shorter = a->n_seconds < b->n_seconds ? a->n_seconds : b->n_seconds;
    return a->rider == b->rider && common > 0 &&
           (double)common * 100.0 >= limits.value[LIMIT_SAME_RIDE_OVERLAP_PCT] * (double)shorter;
}

static void check_same(const struct twin twins[], size_t n)
{
    const struct twin *order[COUNT(made)];
    int64_t same[COUNT(made)] = { 0 };
    for (size_t i = 0; i < n; i++) {
        size_t at = i;
        for (; at > 0 && is_better(&twins[i], order[at - 1]); at--) {
            order[at] = order[at - 1];
        }
        order[at] = &twins[i];
    }
    for (size_t i = 0; i < n; i++) {
        if (order[i]->row.same_by_hand) {
            same[i] = order[i]->row.same_as;
            continue;
        }
        for (size_t k = 0; k < i && same[i] == 0; k++) {
            if (same[k] == 0 && overlap(&order[k]->row, &order[i]->row)) {
                same[i] = order[k]->row.id;
            }
        }
    }
    for (size_t i = 0; i < n; i++) {
        check_integer("same as", order[i]->row.same_as, same[i]);
    }
}

static size_t read_twins(struct twin out[COUNT(made)])
{
    const struct db_rows rows = query("SELECT id FROM recording ORDER BY id", "i");
    for (size_t i = 0; i < rows.count; i++) {
        out[i] = read_twin(db_integer_at(&rows, i, 0));
    }
    return rows.count;
}

static void check_all_made_again(void)
{
    struct twin twins[COUNT(made)];
    const size_t n = read_twins(twins);
    for (size_t i = 0; i < n; i++) {
        check_text("a ride", stored_text(twins[i].row.id), twin_text(&twins[i]));
        check(twins[i].is_current);
    }
    check_same(twins, n);
    check_months(twins, n);
}

/* The jobs that wait are those that comparing every ride finds: no more, no less. */
static void check_jobs_are_what_differs(void)
{
    struct twin twins[COUNT(made)];
    const size_t n = read_twins(twins);
    struct text want = text_begin(arena, 1000);
    struct text got = text_begin(arena, 1000);
    for (size_t i = 0; i < n; i++) {
        if (!twins[i].is_current) {
            text_add_format(&want, " %lld", (long long)twins[i].row.id);
        }
    }
    const struct db_rows rows = query("SELECT subject FROM job WHERE kind = 'read' ORDER BY "
                                      "subject",
                                      "i");
    for (size_t i = 0; i < rows.count; i++) {
        text_add_format(&got, " %lld", (long long)db_integer_at(&rows, i, 0));
    }
    check_text("jobs", got.bytes, want.bytes);
}

/* ---- keeping true ---- */

static struct rereading_jobs look(void)
{
    struct rereading_jobs jobs = { 0 };
    struct error err = { 0 };
    must(rereading_look(roster, arena, now, &jobs, &err), &err);
    return jobs;
}

static struct rereading_sum run_jobs(unsigned threads)
{
    struct rereading_jobs jobs = { 0 };
    struct rereading_sum sum = { 0 };
    struct error err = { 0 };
    const struct rereading_call call = {
        .roster = roster, .place = place, .now = now, .n_threads = threads
    };
    must(rereading_waiting(roster, arena, true, &jobs, &err), &err);
    must(rereading_run(arena, &call, &jobs, &sum, &err), &err);
    return sum;
}

static void keep_true(unsigned threads)
{
    look();
    for (int i = 0; i < 3 && number("SELECT CAST(COUNT(*) AS BIGINT) FROM job") > 0; i++) {
        run_jobs(threads);
        look();
    }
    check_integer("nothing waits", number("SELECT CAST(COUNT(*) AS BIGINT) FROM job"), 0);
}

/* ---- random histories ---- */

static uint32_t seed;

static uint32_t below(uint32_t n)
{
    seed = seed * 1664525u + 1013904223u;
    return (seed >> 8) % n;
}

static const char *const days[] = { "2026-02-01", "2026-02-10", "2026-02-28", "2026-03-01",
                                    "2026-03-05", "2026-03-06", "2026-03-21", "2026-05-01" };

static const char *a_day(void)
{
    return days[below(COUNT(days))];
}

static int64_t a_ride(void)
{
    const struct db_rows rows = query("SELECT id FROM recording ORDER BY id", "i");
    return rows.count == 0 ? 0 : db_integer_at(&rows, below((uint32_t)rows.count), 0);
}

/* An entry of a table, as random as its columns allow. */
struct entry {
    const char *table;
    struct edit edits[8];
    size_t n;
};

static struct entry an_entry(uint32_t which)
{
    static const struct {
        const char *name;
        double values[3];
    } limits[] = { { "spike_above_w", { 300, 600, 900 } },
                   { "same_ride_overlap_pct", { 60, 80, 95 } },
                   { "base_drift_bpm", { 8, 10, 12 } },
                   { "drift_settle_s", { 200, 360, 600 } } };
    const struct db_value rider = db_integer(riders[below(2)].id);
    const struct db_value who = below(3) == 0 ? db_null(DB_INTEGER) : rider;
    const size_t limit = below(COUNT(limits));
    const int from = (int)below(6);
    const struct db_value to =
        below(2) == 0 ? db_null(DB_TEXT) : db_text(days[from + 1 + (int)below(2)]);
    switch (which) {
    case 0:
        return (struct entry){ "limit_override",
                               { { "rider", who },
                                 { "name", db_text(limits[limit].name) },
                                 { "value", db_real(limits[limit].values[below(3)]) } },
                               3 };
    case 1:
        return (struct entry){ "flag",
                               { { "rider", rider },
                                 { "kind", db_text(below(2) == 0 ? "heart-medicine" : "pregnant") },
                                 { "from_day", db_text(days[from]) },
                                 { "to_day", to } },
                               4 };
    case 2:
        return (struct entry){ "day_off",
                               { { "rider", rider },
                                 { "kind", db_text(below(2) == 0 ? "ill" : "away") },
                                 { "from_day", db_text(days[from]) },
                                 { "to_day", to } },
                               4 };
    case 3:
        return (struct entry){ "day_note",
                               { { "rider", rider },
                                 { "day", db_text(a_day()) },
                                 { "fan", db_bool(below(2) == 0) },
                                 { "hot", db_bool(below(2) == 0) },
                                 { "dehydrated", db_bool(below(2) == 0) },
                                 { "ill", db_bool(below(3) == 0) },
                                 { "hard_day_before", db_bool(below(2) == 0) } },
                               7 };
    case 4:
        return (
            struct entry){ "equipment",
                           { { "rider", who },
                             { "kind", db_text(below(2) == 0 ? "power-meter" : "heart-sensor") },
                             { "name", db_text("one") },
                             { "position", db_text(below(2) == 0 ? "crank" : "wrist") },
                             { "sides", db_text(below(2) == 0 ? "both" : "left") },
                             { "from_day", db_text(a_day()) } },
                           6 };
    default:
        return (struct entry){ "goal",
                               { { "rider", rider },
                                 { "words", db_text("get fitter") },
                                 { "from_day", db_text(a_day()) } },
                               3 };
    }
}

enum { ENTRIES = 6 };

struct entry_work {
    struct entry entry;
    int64_t row; /* 0 = a new one */
    bool is_removal;
};

static bool write_entry(struct db *db, void *context, struct error *err)
{
    struct entry_work *work = context;
    const struct entry *entry = &work->entry;
    struct change change = { 0 };
    int64_t id = 0;
    if (!changes_begin(db, arena, now, entry->table, &change, err)) {
        return false;
    }
    if (work->is_removal) {
        return changes_remove(&change, entry->table, work->row, 0, err);
    }
    return work->row > 0
               ? changes_edit(&change, entry->table, work->row, 0, entry->edits, entry->n, err)
               : changes_add(&change, entry->table, entry->edits, entry->n, &id, err);
}

static bool change_entry(struct error *err)
{
    struct entry_work work = { .entry = an_entry(below(ENTRIES)) };
    const struct db_rows rows =
        query(arena_format(arena, "SELECT id FROM %s ORDER BY id", work.entry.table), "i");
    const uint32_t way = below(4);
    if (way > 1 && rows.count > 0) {
        work.row = db_integer_at(&rows, below((uint32_t)rows.count), 0);
        work.is_removal = way == 3;
    }
    return db_write(roster_db(roster), write_entry, &work, err);
}

static bool change_fact(struct error *err)
{
    static const double values[FACT_KINDS][3] = { [FACT_WEIGHT] = { 60, 61, 62 },
                                                  [FACT_THRESHOLD] = { 220, 240, 260 },
                                                  [FACT_MAX_HEART_RATE] = { 180, 186, 192 },
                                                  [FACT_REST_HEART_RATE] = { 44, 48, 52 } };
    const enum fact_kind kind = (enum fact_kind)below(FACT_KINDS);
    const struct rider *rider = &riders[below(2)];
    struct fact fact = {
        .day = a_day(), .value = values[kind][below(3)], .low = (double)NAN, .high = (double)NAN
    };
    return below(4) == 0 ? facts_remove(roster, arena, now, rider, kind, fact.day, 0, err)
                         : facts_set(roster, arena, now, rider, kind, &fact, err);
}

static bool change_asked(struct error *err)
{
    struct ride_row row = { 0 };
    struct asked asked = asked_nothing();
    const char *said = NULL;
    const int64_t ride = a_ride();
    if (ride == 0) {
        return true;
    }
    must(recordings_row(roster_db(roster), arena, ride, &row, err), err);
    if (below(4) == 0) {
        return asked_remove(roster, arena, now, &row, &said, err);
    }
    asked.kind = (enum work_kind)(1 + below(KIND_COUNT - 1));
    if (below(2) == 0) {
        asked.target.low_pct = 100;
        asked.target.high_pct = 110 + below(2);
    }
    if (below(2) == 0) {
        asked.reps = 4;
        asked.rep_duration_s = 60;
    }
    return asked_set(roster, arena, now, &row, &asked, &said, err);
}

static bool change_same(struct error *err)
{
    struct ride_row row = { 0 };
    const char *said = NULL;
    const int64_t ride = a_ride();
    if (ride == 0) {
        return true;
    }
    must(recordings_row(roster_db(roster), arena, ride, &row, err), err);
    return below(2) == 0 ? same_ride_choose(roster, arena, now, &row, &said, err)
                         : same_ride_split(roster, arena, now, &row, &said, err);
}

static bool change_zone(struct error *err)
{
    static const char *const zones[] = { "Europe/Berlin", "UTC", "America/New_York", "Asia/Tokyo" };
    struct rider rider = { 0 };
    const char *word = arena_format(arena, "%lld", (long long)riders[below(2)].id);
    must(riders_find(roster, arena, word, &rider, err), err);
    rider.zone_name = zones[below(COUNT(zones))];
    rider.version = 0;
    return riders_edit(roster, arena, now, &rider, err);
}

static bool take_back(struct error *err)
{
    struct change_line undone = { 0 };
    const int64_t last = number("SELECT COALESCE(MAX(id), 0) FROM change");
    /* The riders were added by the first two. */
    const int64_t id = below(3) > 0 || last < 3 ? 0 : 3 + (int64_t)below((uint32_t)last - 2);
    if (id == 0 && last < 3) {
        return true;
    }
    return changes_undo(roster, arena, now, id, &undone, err);
}

static size_t n_imported;

static void step(void)
{
    struct error err = { 0 };
    bool done = true;
    const uint32_t what = below(16);
    if (what < 3 && n_imported < COUNT(made)) {
        import_ride(&made[n_imported++]);
    } else if (what < 6) {
        done = change_fact(&err);
    } else if (what < 9) {
        done = change_entry(&err);
    } else if (what < 11) {
        done = change_asked(&err);
    } else if (what < 12) {
        done = change_same(&err);
    } else if (what < 13) {
        done = change_zone(&err);
    } else {
        done = take_back(&err);
    }
    /* What is refused has changed nothing. */
    if (!done && err.kind != ERROR_CONFLICT && err.kind != ERROR_NOT_FOUND) {
        must(done, &err);
    }
    now.utc_s += 60;
}

/* PLUMBLINE_SEED and PLUMBLINE_STEPS look further than the suite does. */
static uint32_t wanted(const char *name, uint32_t otherwise)
{
    const char *text = getenv(name);
    return text == NULL ? otherwise : (uint32_t)strtoul(text, NULL, 10);
}

static void test_rereading__after_any_history_all_is_as_if_made_anew(void **state)
{
    (void)state;
    seed = wanted("PLUMBLINE_SEED", 2);
    n_imported = 0;
    for (uint32_t i = 0; i < 4; i++) {
        import_ride(&made[n_imported++]);
    }
    keep_true(1);
    const uint32_t steps = wanted("PLUMBLINE_STEPS", 60);
    for (uint32_t i = 0; i < steps; i++) {
        struct arena *whole = arena;
        arena = arena_open();
        step();
        look();
        check_jobs_are_what_differs();
        if (below(3) > 0 || i + 1 == steps) {
            keep_true(1 + below(2));
            check_all_made_again();
        }
        arena_close(arena);
        arena = whole;
    }
}

/* ---- what a change reaches ---- */

static void test_touched__every_table_that_can_be_edited_has_its_reach(void **state)
{
    (void)state;
    static const char *const unread[] = { "goal",   "event",    "availability",
                                          "block",  "consent",  "contact",
                                          "folder", "declined", "equipment_care" };
    for (size_t i = 0; i < n_editable_tables; i++) {
        bool is_unread = false;
        for (size_t k = 0; k < COUNT(unread); k++) {
            is_unread = is_unread || strcmp(unread[k], editable_tables[i].name) == 0;
        }
        check_integer(editable_tables[i].name, touched_matters(editable_tables[i].name),
                      !is_unread);
    }
}

static void set_threshold(const char *day, double watts)
{
    struct error err = { 0 };
    struct fact fact = { .day = day, .value = watts, .low = (double)NAN, .high = (double)NAN };
    must(facts_set(roster, arena, now, &riders[0], FACT_THRESHOLD, &fact, &err), &err);
}

static void test_rereading__a_threshold_reaches_from_its_day_to_the_next(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(made); i++) {
        import_ride(&made[i]);
    }
    keep_true(1);
    set_threshold("2026-01-01", 240);
    set_threshold("2026-03-10", 250);
    keep_true(2);
    set_threshold("2026-03-01", 245);
    const struct rereading_jobs jobs = look();
    check_integer("the rides of 1 to 5 March", (int64_t)jobs.count, 4);
    check_integer("all done", (int64_t)run_jobs(2).done, 4);
    set_threshold("2026-03-01", 245);
    check_integer("the same again is nothing", (int64_t)look().count, 0);
    check_all_made_again();
}

static void test_rereading__another_version_is_noticed_once(void **state)
{
    (void)state;
    struct error err = { 0 };
    bool is_newer = false;
    import_ride(&made[0]);
    import_ride(&made[1]);
    must(rereading_ask_if_newer(roster, arena, now, &is_newer, &err), &err);
    check(is_newer);
    check_integer("read by this version", (int64_t)look().count, 0);
    must(rereading_ask_if_newer(roster, arena, now, &is_newer, &err), &err);
    check(!is_newer);
    /* As an older program would have left them. */
    store_run(roster_db(roster), "UPDATE setting SET content = 'older' WHERE name = 'readings "
                                 "version'");
    store_run(roster_db(roster), "UPDATE reading SET method = 'base/0', basis_hash = (SELECT "
                                 "o.sha256 FROM original o ORDER BY o.id LIMIT 1)");
    must(rereading_ask_if_newer(roster, arena, now, &is_newer, &err), &err);
    check(is_newer);
    check_integer("both wait", (int64_t)look().count, 2);
    keep_true(2);
    check_all_made_again();
}

/* ---- doubles ---- */

static int64_t same_as(const char *name)
{
    return number(arena_format(arena,
                               "SELECT r.same_as FROM recording r JOIN original o ON o.id = "
                               "r.original WHERE o.name LIKE '%%/%s.csv'",
                               name));
}

static struct ride_row ride_named(const char *name)
{
    struct ride_row row = { 0 };
    struct error err = { 0 };
    const int64_t id = number(arena_format(arena,
                                           "SELECT r.id FROM recording r JOIN original o ON o.id "
                                           "= r.original WHERE o.name LIKE '%%/%s.csv'",
                                           name));
    must(recordings_row(roster_db(roster), arena, id, &row, &err), &err);
    return row;
}

static void take_back_last(void)
{
    struct change_line undone = { 0 };
    struct error err = { 0 };
    must(changes_undo(roster, arena, now, 0, &undone, &err), &err);
    keep_true(1);
    check_all_made_again();
}

static void test_doubles__the_coach_chooses_and_no_import_overrides(void **state)
{
    (void)state;
    struct error err = { 0 };
    const char *said = NULL;
    import_ride(&made[2]); /* c */
    import_ride(&made[3]); /* c2 */
    const int64_t first = ride_named("c").id;
    const int64_t second = ride_named("c2").id;
    check_integer("c counts", same_as("c"), 0);
    check_integer("c2 is the same", same_as("c2"), first);
    struct ride_row row = ride_named("c2");
    must(same_ride_choose(roster, arena, now, &row, &said, &err), &err);
    check_text("said", said,
               arena_format(arena, "Ride %lld of 2026-03-05 stands for its ride (was %lld)",
                            (long long)second, (long long)first));
    check_integer("c2 counts", same_as("c2"), 0);
    check_integer("c is the same", same_as("c"), second);
    keep_true(1);
    check_all_made_again();
    import_ride(&made[5]); /* c3 would have joined c or c2, and joins the chosen one */
    check_integer("c3 joins", same_as("c3"), second);
    check_integer("c2 still counts", same_as("c2"), 0);
    keep_true(1);
    check_all_made_again();
    take_back_last();
    check_integer("c counts again", same_as("c"), 0);
}

static void test_doubles__a_split_ride_is_its_own(void **state)
{
    (void)state;
    struct error err = { 0 };
    const char *said = NULL;
    import_ride(&made[2]);
    import_ride(&made[3]);
    struct ride_row row = ride_named("c2");
    must(same_ride_split(roster, arena, now, &row, &said, &err), &err);
    check_integer("c counts", same_as("c"), 0);
    check_integer("c2 counts", same_as("c2"), 0);
    keep_true(1);
    check_all_made_again();
    row = ride_named("c");
    check(!same_ride_split(roster, arena, now, &row, &said, &err));
    check_integer("alone now", err.kind, ERROR_NOT_FOUND);
    take_back_last();
    check_integer("c2 is the same again", same_as("c2"), ride_named("c").id);
}

static void test_doubles__what_was_asked_is_asked_of_the_ride(void **state)
{
    (void)state;
    struct error err = { 0 };
    const char *said = NULL;
    struct asked asked = asked_nothing();
    bool found = false;
    import_ride(&made[2]);
    struct ride_row row = ride_named("c");
    asked.kind = KIND_TEMPO;
    must(asked_set(roster, arena, now, &row, &asked, &said, &err), &err);
    keep_true(1);
    import_ride(&made[3]);
    keep_true(1);
    row = ride_named("c2");
    must(asked_find(roster_db(roster), arena, row.id, &asked, &found, &err), &err);
    check(found && asked.kind == KIND_TEMPO);
    check_all_made_again();
    must(same_ride_split(roster, arena, now, &row, &said, &err), &err);
    keep_true(1);
    must(asked_find(roster_db(roster), arena, row.id, &asked, &found, &err), &err);
    check(!found);
    check_all_made_again();
}

/* ---- when things go wrong ---- */

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
                         "NULL"),
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
        check_integer("tries", number("SELECT tries FROM job"), tries);
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
    check_integer("it waits", number("SELECT CAST(COUNT(*) AS BIGINT) FROM job"), 1);
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

/* Two processes claim and finish as fast as they can; what each did is written beside.  One of them
 * is killed, by itself, with a job in its hands. */
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

static int work_alone(const char *name, int die_at)
{
    struct roster *own = NULL;
    struct error err = { 0 };
    if (!roster_open(place, ROSTER_OPEN, now, &own, &err)) {
        return 1;
    }
    struct claim_work work = { .claim = { name, now.utc_s }, .arena = arena_open() };
    for (int n = 0;; n++) {
        if (!db_write(roster_db(own), claim_next, &work, &err)) {
            return 1;
        }
        if (n == die_at) {
            _exit(9);
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
    pid_t children[2];
    for (int i = 0; i < 2; i++) {
        children[i] = fork();
        if (children[i] == 0) {
            _exit(work_alone(i == 0 ? "one" : "two", i == 0 ? 10 : -1));
        }
    }
    for (int i = 0; i < 2; i++) {
        int status = 0;
        check(waitpid(children[i], &status, 0) == children[i]);
        check(WIFEXITED(status));
        check_integer("its end", WEXITSTATUS(status), i == 0 ? 9 : 0);
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
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
        TEST(test_rereading__after_any_history_all_is_as_if_made_anew),
        TEST(test_touched__every_table_that_can_be_edited_has_its_reach),
        TEST(test_rereading__a_threshold_reaches_from_its_day_to_the_next),
        TEST(test_rereading__another_version_is_noticed_once),
        TEST(test_doubles__the_coach_chooses_and_no_import_overrides),
        TEST(test_doubles__a_split_ride_is_its_own),
        TEST(test_doubles__what_was_asked_is_asked_of_the_ride),
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
