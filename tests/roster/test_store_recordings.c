/* tests/roster/test_store_recordings.c: recordings kept and had back, whole; bests by month; two
 * devices on one ride; what a reading rests on. */
#include "roster/store.h"

#include "base/dates.h"
#include "base/text.h"
#include "coaching/ride_json.h"
#include "coaching/session_text.h"
#include "roster/best_months.h"
#include "roster/facts.h"
#include "roster/finding_numbers.h"
#include "roster/readings.h"
#include "roster/recordings.h"
#include "roster/riders.h"
#include "roster/same_ride.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static struct arena *arena;
static struct roster *roster;
static struct rider ada;
static const struct roster_now now = { 1773480413, "tester" };

static int begin(void **state)
{
    (void)state;
    struct error err = { 0 };
    arena = arena_open();
    must(roster_open(store_place(), ROSTER_CREATE, now, &roster, &err), &err);
    ada = (struct rider){ .name = "Ada Berg" };
    must(riders_add(roster, arena, now, &ada, &err), &err);
    return 0;
}

static int end(void **state)
{
    (void)state;
    roster_close(roster);
    arena_close(arena);
    return 0;
}

/* ---- storing ---- */

struct taking {
    const char *name;
    struct bytes bytes;
    const struct recording *recording;
    int64_t id;
    int64_t same_as;
};

static bool take(struct db *db, void *context, struct error *err)
{
    struct taking *taking = context;
    const struct limits limits = limits_default();
    struct packed_original original;
    struct packed_recording packed;
    const char *day = NULL;
    int64_t id = 0;
    recordings_pack_original(arena, taking->name, taking->bytes, NULL, &original);
    return recordings_day(db, arena, ada.id, taking->recording, &day, err) &&
           recordings_pack(arena, taking->recording, day, &packed, err) &&
           recordings_store_original(db, arena, &original, now.utc_s, &id, err) &&
           recordings_store(db, arena, ada.id, id, &packed, &taking->id, err) &&
           same_ride_settle(db, arena, taking->id, &limits, 0, &taking->same_as, err);
}

static struct taking taken(const char *name, struct bytes bytes, const struct recording *recording)
{
    struct taking taking = { name, bytes, recording, 0, 0 };
    struct error err = { 0 };
    must(db_write(roster_db(roster), take, &taking, &err), &err);
    return taking;
}

/* ---- had back ---- */

static void check_array(const char *row, const void *got, const void *want, size_t size)
{
    check_integer(row, got == NULL, want == NULL);
    check(want == NULL || memcmp(got, want, size) == 0);
}

static void check_same(const char *file, const struct recording *got, const struct recording *want)
{
    const size_t n = want->n_seconds;
    check_integer(file, (int64_t)got->n_seconds, (int64_t)n);
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        check_array(file, got->value[c], want->value[c], n * sizeof(int32_t));
        check_array(file, got->mask[c], want->mask[c], n);
    }
    check_array(file, got->paused, n == 0 ? got->paused : want->paused, n);
    check_integer(file, (int64_t)got->n_pauses, (int64_t)want->n_pauses);
    for (size_t i = 0; i < want->n_pauses; i++) {
        check_integer(file, got->pauses[i].from_s, want->pauses[i].from_s);
        check_integer(file, got->pauses[i].to_s, want->pauses[i].to_s);
    }
    check_integer(file, got->after_timer.from_s, want->after_timer.from_s);
    check_integer(file, got->after_timer.to_s, want->after_timer.to_s);
    check_integer(file, (int64_t)got->n_laps, (int64_t)want->n_laps);
    for (size_t i = 0; i < want->n_laps; i++) {
        check_integer(file, got->laps[i].start_s, want->laps[i].start_s);
        check_integer(file, got->laps[i].end_s, want->laps[i].end_s);
        check_integer(file, got->laps[i].by_hand, want->laps[i].by_hand);
    }
    check_integer(file, (int64_t)got->n_findings, (int64_t)want->n_findings);
    for (size_t i = 0; i < want->n_findings; i++) {
        const struct finding *a = &got->findings[i];
        const struct finding *b = &want->findings[i];
        check_text(file, a->code, b->code);
        check_text(file, a->detail, b->detail);
        check_integer(file, a->channel, b->channel);
        check_integer(file, a->whole_ride, b->whole_ride);
        check(b->whole_ride || (a->span.from_s == b->span.from_s && a->span.to_s == b->span.to_s));
        check_integer(file, (int64_t)a->effect, (int64_t)b->effect);
        check_integer(file, (int64_t)a->n_numbers, (int64_t)b->n_numbers);
        for (size_t k = 0; k < b->n_numbers; k++) {
            check_text(file, a->numbers[k].name, b->numbers[k].name);
            check(isnan(b->numbers[k].value) ? isnan(a->numbers[k].value)
                                             : a->numbers[k].value == b->numbers[k].value);
        }
    }
    check_integer(file, got->timer_s, want->timer_s);
    check_integer(file, got->is_ride, want->is_ride);
    check_integer(file, (int64_t)got->sport, (int64_t)want->sport);
    check_integer(file, (int64_t)got->place, (int64_t)want->place);
    check_integer(file, got->has_start_utc, want->has_start_utc);
    check_integer(file, want->has_start_utc ? got->start_utc : 0,
                  want->has_start_utc ? want->start_utc : 0);
    check_integer(file, got->has_utc_offset, want->has_utc_offset);
    check_text(file, got->device.maker, want->device.maker);
    check_text(file, got->device.product, want->device.product);
}

/* What `read --json` would print of it. */
static const char *as_json(struct arena *own, const struct recording *recording,
                           const struct rider_facts *facts)
{
    const struct limits limits = limits_default();
    struct ride_readings readings = { 0 };
    struct error err = { 0 };
    must(reading_make(own, recording, facts, &limits, &readings, &err), &err);
    struct text out = text_begin(own, 64u * 1000u * 1000u);
    struct json json = json_begin(&out);
    const struct ride_source source = { "test", "file", "sha" };
    const struct bests bests = recording->is_ride ? bests_all(own, recording) : (struct bests){ 0 };
    ride_json_add(&json, &source, recording, facts, &readings, &bests);
    return out.bytes;
}

static void check_one(const char *name, struct bytes bytes, const char *damage, size_t counts[3])
{
    struct arena *own = arena_open();
    const struct limits limits = limits_default();
    const struct read_options options = { .file = name, .packing_damage = damage };
    struct recordings all = { 0 };
    struct error err = { 0 };
    if (!recording_read(own, bytes, &options, &limits, &all, &err)) {
        arena_close(own);
        return;
    }
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 246;
    facts.threshold_known_by = "given";
    facts.max_heart_rate_bpm = 189;
    for (size_t i = 0; i < all.count; i++) {
        const struct taking taking = taken(name, bytes, all.items[i]);
        struct recording loaded;
        struct recording *again = NULL;
        struct ride_row row = { 0 };
        struct db *db = roster_db(roster);
        must(recordings_load(db, own, taking.id, &loaded, &err), &err);
        check_same(name, &loaded, all.items[i]);
        must(recordings_row(db, own, taking.id, &row, &err), &err);
        must(recordings_reread(db, own, &row, &limits, &again, &err), &err);
        check_text(name, as_json(own, again, &facts), as_json(own, all.items[i], &facts));
        counts[0]++;
        counts[1] += all.items[i]->n_seconds;
    }
    struct db_rows rows = { 0 };
    must(db_query(roster_db(roster), own, "SELECT CAST(SUM(length(content)) AS BIGINT) FROM series",
                  "I", DB_NONE, &rows, &err),
         &err);
    counts[2] = (size_t)db_integer_at(&rows, 0, 0);
    arena_close(own);
}

static void test_recordings__of_real_files_come_back_as_they_went_in(void **state)
{
    (void)state;
    static const char *const folders[] = { "real", "odd", "lab" };
    size_t counts[3] = { 0 };
    if (check_shared() == NULL) {
        printf("# note: no shared recordings: round trips of real files not tried\n");
        return;
    }
    for (size_t f = 0; f < COUNT(folders); f++) {
        const char *folder = arena_format(arena, "%s/recordings/%s", check_shared(), folders[f]);
        DIR *dir = opendir(folder);
        for (const struct dirent *one; dir != NULL && (one = readdir(dir)) != NULL;) {
            struct arena *own = arena_open();
            struct bytes bytes = { 0 };
            struct error err = { 0 };
            const char *path = arena_format(own, "%s/%s", folder, one->d_name);
            if (one->d_name[0] != '.' && files_read(own, path, 256000000, &bytes, &err)) {
                check_one(one->d_name, bytes, NULL, counts);
            }
            arena_close(own);
        }
        if (dir != NULL) {
            closedir(dir);
        }
    }
    printf("# note: %zu recordings of %zu s went in and came back, %.2f bytes a second\n",
           counts[0], counts[1], (double)counts[2] / (double)counts[1]);
    check(counts[0] > 40);
}

/* ---- made rides ---- */

struct made {
    enum recording_format format;
    int64_t start_utc;
    size_t n;
    int32_t power_w;  /* about; -1 = none */
    size_t unknown_s; /* of power, from second 10 on */
    bool is_ride;
};

static uint32_t seed = 12345;

static uint32_t rolled(uint32_t below)
{
    seed = seed * 1664525u + 1013904223u;
    return (uint32_t)(((uint64_t)seed * below) >> 32);
}

static struct recording make(const struct made *made)
{
    struct recording r = recording_unknown();
    r.format = made->format;
    r.part = 1;
    r.parts = 1;
    r.sport = made->is_ride ? SPORT_CYCLING : SPORT_RUNNING;
    r.is_ride = made->is_ride;
    r.has_start_utc = true;
    r.start_utc = made->start_utc;
    r.n_seconds = made->n;
    r.timer_s = (int32_t)made->n;
    r.paused = ARENA_ARRAY(arena, uint8_t, made->n);
    if (made->power_w >= 0) {
        r.value[CHANNEL_POWER] = ARENA_ARRAY(arena, int32_t, made->n);
        r.mask[CHANNEL_POWER] = ARENA_ARRAY(arena, uint8_t, made->n);
        for (size_t i = 0; i < made->n; i++) {
            const bool unknown = i >= 10 && i < 10 + made->unknown_s;
            r.value[CHANNEL_POWER][i] =
                unknown ? RECORDING_MISSING : made->power_w + (int32_t)rolled(60);
            r.mask[CHANNEL_POWER][i] = unknown ? MASK_ABSENT : MASK_NONE;
        }
    }
    return r;
}

static int64_t utc_of(const char *day, int hour)
{
    int64_t days = 0;
    check(dates_parse_day(day, &days));
    return days * 86400 + hour * 3600;
}

static struct taking take_made(const struct made *made)
{
    struct recording *recording = arena_alloc(arena, 1, sizeof *recording);
    *recording = make(made);
    const char *bytes = arena_format(arena, "%d %lld %zu %d", (int)made->format,
                                     (long long)made->start_utc, made->n, made->power_w);
    return taken("made.csv", (struct bytes){ (const uint8_t *)bytes, strlen(bytes) }, recording);
}

/* The slow twin: every ride that counts, every second, from the recordings themselves. */
static void check_range(const char *from, const char *to, const struct taking rides[], size_t n)
{
    struct error err = { 0 };
    struct best_envelope *got = arena_alloc(arena, 1, sizeof *got);
    int32_t durations[BEST_GRID_MOST];
    must(best_months_range(roster_db(roster), arena, ada.id, from, to, got, &err), &err);
    const size_t n_durations = best_grid_durations(got->count == 0 ? 0 : 200000, durations);
    check(n_durations >= got->count);
    struct bests bests[10] = { { 0 } };
    bool counts[10] = { false };
    check(n <= COUNT(bests));
    for (size_t i = 0; i < n; i++) {
        char day[11];
        struct ride_row row = { 0 };
        dates_format_day(rides[i].recording->start_utc / 86400, day);
        must(recordings_row(roster_db(roster), arena, rides[i].id, &row, &err), &err);
        counts[i] =
            row.same_as == 0 && row.is_ride && strcmp(day, from) >= 0 && strcmp(day, to) < 0;
        if (counts[i]) {
            bests[i] = bests_all(arena, rides[i].recording);
        }
    }
    for (size_t d = 0; d < n_durations; d++) {
        double most = -1;
        int64_t whose = 0;
        bool at_least = false;
        for (size_t i = 0; i < n; i++) {
            if (!counts[i] || (size_t)durations[d] > bests[i].count) {
                continue;
            }
            const struct best *best = &bests[i].items[durations[d] - 1];
            if (best->power_w > most) {
                most = best->power_w;
                at_least = best->at_least;
                whose = rides[i].id;
            }
        }
        check_integer(from, d < got->count, whose != 0);
        if (whose != 0) {
            check_near(from, (double)got->work_j[d] / durations[d], most, 0);
            check_integer(from, got->recording[d], whose);
            check_integer(from, (got->marks[d] & BEST_AT_LEAST) != 0, at_least);
        }
    }
}

static struct db_rows months(void)
{
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    must(db_query(roster_db(roster), arena,
                  "SELECT month, work_j, recordings FROM best_month ORDER BY month, id", "txx",
                  DB_NONE, &rows, &err),
         &err);
    return rows;
}

static bool rebuild_all(struct db *db, void *context, struct error *err)
{
    const struct db_rows *rows = context;
    for (size_t i = 0; i < rows->count; i++) {
        if (!best_months_rebuild(db, arena, ada.id, db_text_at(rows, i, 0), err)) {
            return false;
        }
    }
    return true;
}

static void check_months_as_rebuilt(void)
{
    struct error err = { 0 };
    struct db_rows kept = months();
    must(db_write(roster_db(roster), rebuild_all, &kept, &err), &err);
    const struct db_rows again = months();
    check_integer("months", (int64_t)again.count, (int64_t)kept.count);
    for (size_t i = 0; i < kept.count; i++) {
        for (size_t c = 1; c < 3; c++) {
            const struct bytes a = db_blob_at(&kept, i, c);
            const struct bytes b = db_blob_at(&again, i, c);
            check(a.size == b.size && memcmp(a.at, b.at, a.size) == 0);
        }
    }
}

static void test_bests__of_any_range_equal_every_second_of_every_ride(void **state)
{
    (void)state;
    const struct made rides[] = {
        { FORMAT_FIT, utc_of("2025-12-31", 9), 1500, 150, 0, true },
        { FORMAT_FIT, utc_of("2026-01-01", 9), 900, 220, 30, true },
        { FORMAT_CSV, utc_of("2026-01-15", 9), 2400, 180, 0, true },
        { FORMAT_FIT, utc_of("2026-01-31", 9), 700, 260, 0, true },
        { FORMAT_FIT, utc_of("2026-02-10", 9), 1300, 240, 5, true },
        { FORMAT_FIT, utc_of("2026-02-11", 9), 3000, 400, 0, false }, /* a run: no bests */
        { FORMAT_GPX, utc_of("2026-02-28", 9), 5000, -1, 0, true },   /* no power */
        { FORMAT_FIT, utc_of("2026-03-14", 9), 4000, 170, 0, true },
        { FORMAT_FIT, utc_of("2026-03-14", 15), 60, 700, 0, true },
    };
    struct taking takings[COUNT(rides)];
    for (size_t i = 0; i < COUNT(rides); i++) {
        /* not in the order of their days */
        const size_t k = i * 4 % COUNT(rides);
        takings[k] = take_made(&rides[k]);
        check_months_as_rebuilt();
    }
    static const struct {
        const char *from;
        const char *to;
    } ranges[] = {
        { "2025-01-01", "2027-01-01" }, { "2026-01-01", "2026-02-01" },
        { "2026-01-01", "2026-01-02" }, { "2026-01-02", "2026-01-31" },
        { "2026-01-15", "2026-03-14" }, { "2026-01-15", "2026-03-15" },
        { "2025-12-31", "2026-03-01" }, { "2026-02-02", "2026-02-10" },
        { "2026-03-01", "2026-03-01" }, { "2026-02-12", "2026-03-14" },
    };
    for (size_t i = 0; i < COUNT(ranges); i++) {
        check_range(ranges[i].from, ranges[i].to, takings, COUNT(rides));
    }
    check_integer("months", (int64_t)months().count, 4);
}

/* ---- one ride, two devices ---- */

static void test_same_ride__the_result_does_not_depend_on_the_order(void **state)
{
    (void)state;
    const int64_t t = utc_of("2026-03-14", 9);
    /* Which of them counts, worked by hand from the rules in roster/same_ride.h. */
    const struct {
        const char *name;
        struct made rides[3];
        int same_as[3]; /* index, -1 = counts */
    } rows[] = {
        { "better cover of power wins over the format",
          { { FORMAT_FIT, t, 1000, -1, 0, true }, { FORMAT_CSV, t + 50, 1000, 200, 0, true } },
          { 1, -1, -1 } },
        { "FIT before GPX before CSV",
          { { FORMAT_CSV, t, 1000, 200, 0, true },
            { FORMAT_GPX, t, 1001, 200, 0, true },
            { FORMAT_FIT, t, 999, 200, 0, true } },
          { 2, 2, -1 } },
        { "then the longer",
          { { FORMAT_FIT, t, 1000, 200, 0, true }, { FORMAT_FIT, t, 1100, 200, 0, true } },
          { 1, -1, -1 } },
        { "79.9 % of the shorter is another ride",
          { { FORMAT_FIT, t, 1000, 200, 0, true }, { FORMAT_FIT, t + 201, 1000, 200, 0, true } },
          { -1, -1, -1 } },
        { "80 % is the same",
          { { FORMAT_FIT, t, 1000, 200, 0, true }, { FORMAT_CSV, t + 200, 1000, 200, 0, true } },
          { -1, 0, -1 } },
        { "a run in the same hour is no ride",
          { { FORMAT_FIT, t, 1000, 200, 0, true }, { FORMAT_CSV, t, 1000, 200, 0, false } },
          { -1, -1, -1 } },
        { "two halves beside the whole",
          { { FORMAT_CSV, t, 500, 200, 0, true },
            { FORMAT_FIT, t, 1000, 200, 0, true },
            { FORMAT_CSV, t + 500, 500, 200, 0, true } },
          { 1, -1, 1 } },
        { "a half with power beside the whole without: the other half counts again",
          { { FORMAT_CSV, t, 500, 200, 0, true },
            { FORMAT_FIT, t, 1000, -1, 0, true },
            { FORMAT_GPX, t + 500, 500, -1, 0, true } },
          { -1, 0, -1 } },
    };
    static const int orders[6][3] = { { 0, 1, 2 }, { 0, 2, 1 }, { 1, 0, 2 },
                                      { 1, 2, 0 }, { 2, 0, 1 }, { 2, 1, 0 } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        for (size_t o = 0; o < COUNT(orders); o++) {
            struct taking takings[3] = { { 0 } };
            for (int k = 0; k < 3; k++) {
                const int which = orders[o][k];
                if (rows[i].rides[which].n > 0) {
                    takings[which] = take_made(&rows[i].rides[which]);
                    check_months_as_rebuilt();
                }
            }
            for (int k = 0; k < 3 && rows[i].rides[k].n > 0; k++) {
                struct ride_row row = { 0 };
                struct error err = { 0 };
                must(recordings_row(roster_db(roster), arena, takings[k].id, &row, &err), &err);
                const int64_t want = rows[i].same_as[k] < 0 ? 0 : takings[rows[i].same_as[k]].id;
                check_integer(rows[i].name, row.same_as, want);
            }
            check_range("2026-03-01", "2026-03-15", takings, rows[i].rides[2].n > 0 ? 3 : 2);
            store_run(roster_db(roster), "DELETE FROM series");
            store_run(roster_db(roster), "DELETE FROM best_curve");
            store_run(roster_db(roster), "DELETE FROM best_month");
            store_run(roster_db(roster), "UPDATE recording SET same_as = NULL");
            store_run(roster_db(roster), "DELETE FROM recording");
            store_run(roster_db(roster), "DELETE FROM original");
        }
    }
}

/* ---- finding numbers ---- */

static void test_finding_numbers__damaged_text_is_refused(void **state)
{
    (void)state;
    static const char *const refused[] = { "",        "{",           "}",          "{\"a\":1",
                                           "{\"a\"}", "{\"a\":}",    "{\"a\":1,}", "{\"a\":1}x",
                                           "[1]",     "{\"a\":nan}", "{a:1}" };
    struct finding finding = {
        .n_numbers = 3, .numbers = { { "a_w", 0.1 }, { "b", -1e300 }, { "c", (double)NAN } }
    };
    struct finding back = { 0 };
    const char *text = finding_numbers_write(arena, &finding);
    check_text("text", text,
               "{\"a_w\":0.10000000000000001,\"b\":-1.0000000000000001e+300,"
               "\"c\":null}");
    check(finding_numbers_read(arena, text, &back) && back.n_numbers == 3);
    check(back.numbers[0].value == 0.1 && back.numbers[1].value == -1e300);
    for (size_t i = 0; i < COUNT(refused); i++) {
        check_integer(refused[i], finding_numbers_read(arena, refused[i], &back), false);
    }
}

/* ---- what a reading rests on ---- */

static struct given_session *give(struct rider_facts *facts, const char *kind, const char *words)
{
    struct session *session = arena_alloc(arena, 1, sizeof *session);
    struct given_session *given = ARENA_ARRAY(arena, struct given_session, 1);
    struct session_fault fault = { 0 };
    check(session_read(arena, words, session, &fault));
    *given = (struct given_session){ .session = session, .kind = kind, .words = words };
    facts->given = given;
    facts->n_given = 1;
    return given;
}

static void change(struct rider_facts *facts, struct limits *limits, int which)
{
    switch (which) {
    case 0: facts->threshold_w += 10; break;
    case 1: facts->threshold_low_w = 230; break;
    case 2: facts->threshold_high_w = 260; break;
    case 3: facts->threshold_known_by = "20-minute test of 2026-03-01"; break;
    case 4: facts->max_heart_rate_bpm -= 12; break;
    case 5: facts->rest_heart_rate_bpm = 48; break;
    case 6: facts->weight_kg = 62; break;
    case 7: facts->heart_medicine = true; break;
    case 8: facts->pregnant = true; break;
    case 9: facts->place = PLACE_OUTDOORS; break;
    case 10: facts->place = PLACE_INDOORS; break;
    case 11: facts->fan_known = true; break;
    case 12: facts->day.hot = true; break;
    case 13: facts->day.no_fan = true; break;
    case 14: facts->day.dehydrated = true; break;
    case 15: facts->day.ill = true; break;
    case 16: facts->day.caffeine_out_of_habit = true; break;
    case 17: facts->day.hard_day_before = true; break;
    case 18: facts->kind = KIND_VO2MAX; break;
    case 19: facts->kind = KIND_BASE_TEST; break;
    case 20:
        facts->target.low_pct = 106;
        facts->target.high_pct = 120;
        break;
    case 21:
        facts->target.low_w = 200;
        facts->target.high_w = 230;
        break;
    case 22: facts->reps_asked = 4; break;
    case 23: facts->rep_duration_s = 240; break;
    case 24: limits->value[LIMIT_BASE_DRIFT_BPM] = 3; break;
    case 25: limits->value[LIMIT_HARD_PACED_SHARE] = 0; break;
    case 26: (void)give(facts, "easy", "60 min at 50-75 %"); break;
    case 27: (void)give(facts, "vo2max", "3 times (3 min at 95-120 %, 3 min)"); break;
    case 28: /* one that was moved is known by what is near */
        give(facts, "vo2max", "3 times (3 min at 95-120 %, 3 min)")->is_moved = true;
        facts->near = "session 2026-03-02 vo2max 3 times (3 min at 95-120 %, 3 min)\n";
        break;
    default: break;
    }
}

#define CHANGES 29

/* The safe direction of the rule: wherever the answer differs, the hash does. */
static size_t check_basis(const struct recording *recording, struct rider_facts facts)
{
    const struct reading_source source = { { 1 }, 1 };
    const struct limits limits = limits_default();
    struct error err = { 0 };
    struct ride_readings before = { 0 };
    size_t differing = 0;
    must(reading_make(arena, recording, &facts, &limits, &before, &err), &err);
    const struct packed_readings was = readings_pack(arena, &before, &source, &facts, &limits);
    for (int which = 0; which < CHANGES; which++) {
        struct rider_facts changed = facts;
        struct limits other = limits;
        struct ride_readings after = { 0 };
        change(&changed, &other, which);
        must(reading_make(arena, recording, &changed, &other, &after, &err), &err);
        const struct packed_readings is = readings_pack(arena, &after, &source, &changed, &other);
        for (int q = QUESTION_TRUST; q < RIDE_QUESTIONS; q++) {
            uint8_t one[BASIS_BYTES];
            uint8_t two[BASIS_BYTES];
            struct text texts[2] = { text_begin(arena, 10000000), text_begin(arena, 10000000) };
            const struct packed_readings *both[2] = { &was, &is };
            for (int k = 0; k < 2; k++) {
                for (size_t i = 0; i < both[k]->count; i++) {
                    if (strcmp(both[k]->items[i].question, question_name((enum question)q)) == 0) {
                        text_add(&texts[k], both[k]->items[i].content);
                    }
                }
            }
            readings_basis((enum question)q, &source, &facts, &limits, one);
            readings_basis((enum question)q, &source, &changed, &other, two);
            if (strcmp(texts[0].bytes, texts[1].bytes) != 0) {
                differing++;
                if (memcmp(one, two, BASIS_BYTES) == 0) {
                    check_text(question_name((enum question)q), texts[0].bytes, texts[1].bytes);
                }
            }
        }
    }
    return differing;
}

static void test_readings__a_fact_that_changes_an_answer_changes_its_basis(void **state)
{
    (void)state;
    static const char *const files[] = {
        "ride-79min-power-hr.fit",
        "indoor-intervals-38min-power-hr.fit",
        "steady-76min-power-hr-spikes.fit",
    };
    size_t differing = 0;
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 246;
    facts.threshold_known_by = "given";
    facts.max_heart_rate_bpm = 189;
    const struct made made = { FORMAT_FIT, utc_of("2026-03-14", 9), 4000, 170, 0, true };
    const struct recording ride = make(&made);
    differing += check_basis(&ride, facts);
    for (size_t i = 0; i < COUNT(files) && check_shared() != NULL; i++) {
        const struct bytes bytes =
            check_shared_file(arena, arena_format(arena, "recordings/real/%s", files[i]));
        const struct read_options options = { .file = files[i] };
        const struct limits limits = limits_default();
        struct recordings out = { 0 };
        struct error err = { 0 };
        must(recording_read(arena, bytes, &options, &limits, &out, &err), &err);
        differing += check_basis(out.items[0], facts);
    }
    printf("# note: %zu answers differed after a fact did\n", differing);
    check(differing >= 10);
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(test_recordings__of_real_files_come_back_as_they_went_in),
        TEST(test_bests__of_any_range_equal_every_second_of_every_ride),
        TEST(test_same_ride__the_result_does_not_depend_on_the_order),
        TEST(test_finding_numbers__damaged_text_is_refused),
        TEST(test_readings__a_fact_that_changes_an_answer_changes_its_basis),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
