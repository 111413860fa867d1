/* tests/roster/kept_true.c: a roster of small rides, and the twin that it is compared with. */
#include "roster/kept_true.h"

#include "base/text.h"
#include "roster/best_months.h"
#include "roster/came_back.h"
#include "roster/import.h"
#include "roster/pack.h"
#include "roster/readings.h"
#include "roster/recordings.h"
#include "roster/usual.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

struct arena *arena; /* of a step */
struct arena *kept;  /* of a test */
struct roster *roster;
const char *place;
const char *folder;
struct rider riders[2];
struct roster_now now = { 1773480413, "tester" };

int kept_begin(void **state)
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

int kept_end(void **state)
{
    (void)state;
    roster_close(roster);
    arena_close(arena);
    arena_close(kept);
    return 0;
}

/* ---- rides ---- */

/* Two devices on one ride, a third that overlaps with one of them only, rides about midnight and
 * the turn of a month, and the same days of another rider. */
const struct made_ride made[MADE_RIDES] = {
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

void import_ride(const struct made_ride *ride)
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

struct db_rows query(const char *sql, const char *shape)
{
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    must(db_query(roster_db(roster), arena, sql, shape, DB_NONE, &rows, &err), &err);
    return rows;
}

int64_t number(const char *sql)
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
    must(came_back_facts(roster, arena, &ride, recording, &limits, &facts, &err), &err);
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

/* What readings over weeks are made from. */
static void add_amounts(struct text *out, const double numbers[6], const char *zones,
                        const char *heart_zones, int64_t cautions, bool is_hilly)
{
    text_add(out, "load");
    for (int i = 0; i < 6; i++) {
        text_add_format(out, " %.17g", isnan(numbers[i]) ? -1e300 : numbers[i]);
    }
    text_add_format(out, " %s %s %d %d\n", zones, heart_zones, (int)cautions, is_hilly);
}

static void add_effort(struct text *out, const struct effort *effort)
{
    text_add_format(out, "effort %d %.17g %d %u %.17g %.17g\n", effort->duration_s, effort->power_w,
                    effort->start_s, effort->evidence,
                    isnan(effort->heart_end_bpm) ? -1e300 : effort->heart_end_bpm,
                    isnan(effort->fall_ratio) ? -1e300 : effort->fall_ratio);
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
    const struct ride_load *load = &twin->readings.load;
    const double amounts[6] = { load->hours,        load->work_kj,     load->impulse_low,
                                load->impulse_high, load->session_rpe, load->above_threshold_s };
    add_amounts(&out, amounts, twin->readings.zones, twin->readings.heart_zones,
                twin->readings.cautions, twin->readings.is_hilly);
    for (size_t i = 0; i < twin->readings.n_efforts; i++) {
        add_effort(&out, &twin->readings.efforts[i]);
    }
    return out.bytes;
}

static void add_stored_amounts(struct text *out, int64_t id)
{
    struct db_rows rows = query(
        arena_format(arena,
                     "SELECT hours, work_kj, impulse_low, impulse_high, session_rpe, "
                     "above_threshold_s, zones, heart_zones, cautions, is_hilly FROM ride_load "
                     "WHERE recording = %lld ORDER BY id",
                     (long long)id),
        "rRRRRRttib");
    for (size_t i = 0; i < rows.count; i++) {
        double amounts[6];
        for (size_t k = 0; k < 6; k++) {
            amounts[k] = db_real_at(&rows, i, k);
        }
        add_amounts(out, amounts, db_text_at(&rows, i, 6), db_text_at(&rows, i, 7),
                    db_integer_at(&rows, i, 8), db_bool_at(&rows, i, 9));
    }
    rows = query(arena_format(arena,
                              "SELECT duration_s, power_w, start_s, evidence, heart_end_bpm, "
                              "fall_ratio FROM effort WHERE recording = %lld ORDER BY id",
                              (long long)id),
                 "iriiRR");
    for (size_t i = 0; i < rows.count; i++) {
        const struct effort effort = { .duration_s = (int32_t)db_integer_at(&rows, i, 0),
                                       .power_w = db_real_at(&rows, i, 1),
                                       .start_s = (int32_t)db_integer_at(&rows, i, 2),
                                       .evidence = (unsigned)db_integer_at(&rows, i, 3),
                                       .heart_end_bpm = db_real_at(&rows, i, 4),
                                       .fall_ratio = db_real_at(&rows, i, 5) };
        add_effort(out, &effort);
    }
}

static const char *stored_text(int64_t id)
{
    struct text out = text_begin(arena, 50000000);
    struct db_rows rows = query(
        arena_format(arena,
                     "SELECT question, set_number, rep_number, day, verdict, estimate, low, high, "
                     "unit, limit_value, method, basis_hash, content FROM reading WHERE subject = "
                     "%lld AND question <> 'today' ORDER BY id",
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
    add_stored_amounts(&out, id);
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
    const struct twin *order[MADE_RIDES];
    int64_t same[MADE_RIDES] = { 0 };
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

static size_t read_twins(struct twin out[MADE_RIDES])
{
    const struct db_rows rows = query("SELECT id FROM recording ORDER BY id", "i");
    for (size_t i = 0; i < rows.count; i++) {
        out[i] = read_twin(db_integer_at(&rows, i, 0));
    }
    return rows.count;
}

void check_all_made_again(void)
{
    struct twin twins[MADE_RIDES];
    const size_t n = read_twins(twins);
    for (size_t i = 0; i < n; i++) {
        check_text("a ride", stored_text(twins[i].row.id), twin_text(&twins[i]));
        check(twins[i].is_current);
    }
    check_same(twins, n);
    check_months(twins, n);
}

/* The jobs that wait are those that comparing every ride finds: no more, no less. */
void check_jobs_are_what_differs(void)
{
    struct twin twins[MADE_RIDES];
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

struct rereading_jobs look(void)
{
    struct rereading_jobs jobs = { 0 };
    struct error err = { 0 };
    must(rereading_look(roster, arena, now, &jobs, &err), &err);
    return jobs;
}

struct rereading_sum run_jobs(unsigned threads)
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

void keep_usual(void)
{
    struct error err = { 0 };
    size_t n = 0;
    must(usual_keep(&(struct usual_call){ .roster = roster, .now = now }, &n, &err), &err);
}

void keep_true(unsigned threads)
{
    look();
    for (int i = 0; i < 3 && number("SELECT CAST(COUNT(*) AS BIGINT) FROM job") > 0; i++) {
        run_jobs(threads);
        look();
        keep_usual();
    }
    check_integer("nothing waits", number("SELECT CAST(COUNT(*) AS BIGINT) FROM job"), 0);
}
