/* roster/readings.c: what the program said of a recording, and what that rests on. */
#include "roster/readings.h"

#include "base/json.h"
#include "base/text.h"
#include "coaching/ride_json.h"
#include "roster/usual.h"

#include <math.h>
#include <sodium.h>
#include <string.h>

/* Facts that a question may read.  More than it reads only makes readings again for nothing; one
 * too few would keep a wrong one: tests/roster/test_store_readings.c changes each fact in turn. */
enum input {
    INPUT_THRESHOLD = 1,
    INPUT_MAX_HEART_RATE = 2,
    INPUT_HEALTH = 4, /* medicine, pregnancy */
    INPUT_PLACE = 8,
    INPUT_DAY = 16,
    INPUT_ASKED = 32,
    INPUT_EQUIPMENT = 64, /* where heart rate was taken, which legs power was */
    INPUT_LOAD = 128,     /* resting heart rate, sex, zones, effort, test or race */
};

static const unsigned inputs[] = {
    [QUESTION_TRUST] = INPUT_MAX_HEART_RATE | INPUT_HEALTH | INPUT_EQUIPMENT,
    [QUESTION_BASE] = INPUT_THRESHOLD | INPUT_MAX_HEART_RATE | INPUT_HEALTH | INPUT_PLACE |
                      INPUT_DAY | INPUT_ASKED,
    [QUESTION_EASY_WORK] = INPUT_THRESHOLD | INPUT_MAX_HEART_RATE | INPUT_HEALTH | INPUT_ASKED,
    [QUESTION_HARD_WORK] =
        INPUT_THRESHOLD | INPUT_MAX_HEART_RATE | INPUT_HEALTH | INPUT_ASKED | INPUT_EQUIPMENT,
    [QUESTION_HARD_DAY] =
        INPUT_THRESHOLD | INPUT_MAX_HEART_RATE | INPUT_HEALTH | INPUT_ASKED | INPUT_LOAD,
};

static void add_facts(struct text *out, unsigned which, const struct rider_facts *facts)
{
    if ((which & INPUT_THRESHOLD) != 0) {
        text_add_format(out, "threshold %.17g %.17g %.17g %s\n", facts->threshold_w,
                        facts->threshold_low_w, facts->threshold_high_w,
                        facts->threshold_known_by == NULL ? "" : facts->threshold_known_by);
    }
    if ((which & INPUT_MAX_HEART_RATE) != 0) {
        text_add_format(out, "max %.17g\n", facts->max_heart_rate_bpm);
    }
    if ((which & INPUT_HEALTH) != 0) {
        text_add_format(out, "health %d %d\n", facts->heart_medicine, facts->pregnant);
    }
    if ((which & INPUT_PLACE) != 0) {
        text_add_format(out, "place %d\n", (int)facts->place);
    }
    if ((which & INPUT_DAY) != 0) {
        const struct day_marks *day = &facts->day;
        text_add_format(out, "day %d %d %d %d %d %d %d\n", day->hot, day->no_fan, day->dehydrated,
                        day->ill, day->caffeine_out_of_habit, day->hard_day_before,
                        facts->fan_known);
    }
    if ((which & INPUT_EQUIPMENT) != 0) {
        text_add_format(out, "equipment %d %d\n", (int)facts->heart_at, (int)facts->meter_sides);
    }
    if ((which & INPUT_LOAD) != 0) {
        text_add_format(out, "load %.17g %d %.17g %d\n", facts->rest_heart_rate_bpm,
                        (int)facts->sex, facts->effort_0_10, facts->marked);
        for (size_t i = 0; i < facts->zones.count; i++) {
            text_add_format(out, "zone %s %.17g\n", facts->zones.name[i],
                            facts->zones.upper_pct[i]);
        }
    }
    if ((which & INPUT_ASKED) != 0) {
        text_add_format(out, "asked %s %.17g %.17g %.17g %.17g %d %.17g\n",
                        work_kind_name(facts->kind), facts->target.low_pct, facts->target.high_pct,
                        facts->target.low_w, facts->target.high_w, facts->reps_asked,
                        facts->rep_duration_s);
        for (size_t i = 0; i < facts->n_given; i++) {
            /* One that was moved is found by what is near. */
            if (!facts->given[i].is_moved) {
                text_add_format(out, "given %s %s\n", facts->given[i].kind, facts->given[i].words);
            }
        }
        text_add(out, facts->near == NULL ? "" : facts->near);
    }
}

/* All limits by name and value, once for all questions: printing their numbers took nine tenths of
 * a comparison.  The eight bytes of a double, the lowest first, whatever the machine. */
static void sum_limits(const struct limits *limits, uint8_t out[BASIS_BYTES])
{
    crypto_hash_sha256_state state;
    crypto_hash_sha256_init(&state);
    for (int id = 0; id < LIMITS_COUNT; id++) {
        const char *name = limits_row((enum limit_id)id)->name;
        uint64_t bits = 0;
        unsigned char bytes[8];
        memcpy(&bits, &limits->value[id], sizeof bits);
        for (int i = 0; i < 8; i++) {
            bytes[i] = (unsigned char)(bits >> (8 * i));
        }
        crypto_hash_sha256_update(&state, (const unsigned char *)name, strlen(name) + 1);
        crypto_hash_sha256_update(&state, bytes, sizeof bytes);
    }
    crypto_hash_sha256_final(&state, out);
}

static void sum_basis(enum question question, const struct reading_source *source,
                      const struct rider_facts *facts, const uint8_t limits[BASIS_BYTES],
                      uint8_t out[BASIS_BYTES])
{
    struct arena *scratch = arena_open();
    struct text text = text_begin(scratch, 1000000);
    text_add_format(&text, "%s\n%s\npart %zu\n", question_method(question), RECORDING_METHOD,
                    source->part);
    text_add_bytes(&text, (const char *)source->sha256, sizeof source->sha256);
    if (question == QUESTION_TRUST) {
        text_add_format(&text, "%s\n", HEART_SUMS_METHOD); /* every recording has this question */
    }
    add_facts(&text, inputs[question], facts);
    text_add_bytes(&text, (const char *)limits, BASIS_BYTES);
    crypto_hash_sha256(out, (const unsigned char *)text.bytes, text.length);
    arena_close(scratch);
}

void readings_basis(enum question question, const struct reading_source *source,
                    const struct rider_facts *facts, const struct limits *limits,
                    uint8_t out[BASIS_BYTES])
{
    uint8_t sum[BASIS_BYTES];
    sum_limits(limits, sum);
    sum_basis(question, source, facts, sum, out);
}

static void sum_all(const struct reading_source *source, const struct rider_facts *facts,
                    const struct limits *limits, uint8_t out[RIDE_QUESTIONS][BASIS_BYTES])
{
    uint8_t sum[BASIS_BYTES];
    sum_limits(limits, sum);
    for (int q = QUESTION_TRUST; q < RIDE_QUESTIONS; q++) {
        sum_basis((enum question)q, source, facts, sum, out[q]);
    }
}

void readings_version(char out[READINGS_VERSION_SIZE])
{
    struct arena *scratch = arena_open();
    struct text text = text_begin(scratch, 1000000);
    const struct limits limits = limits_default();
    text_add_format(&text, "%s\n%s\n", RECORDING_METHOD, HEART_SUMS_METHOD);
    for (int q = QUESTION_TRUST; q < RIDE_QUESTIONS; q++) {
        text_add_format(&text, "%s\n", question_method((enum question)q));
    }
    for (int id = 0; id < LIMITS_COUNT; id++) {
        text_add_format(&text, "%s %.17g\n", limits_row((enum limit_id)id)->name, limits.value[id]);
    }
    files_sha256((struct bytes){ (const uint8_t *)text.bytes, text.length }, out);
    arena_close(scratch);
}

/* One reading; far below. */
static const size_t CONTENT_MOST = 4u * 1000u * 1000u;

/* Pairs of name and seconds as JSON; nothing where the first isn't known. */
static const char *pack_zones(struct arena *arena, const char *const names[], const double s[],
                              size_t n)
{
    struct text text = text_begin(arena, CONTENT_MOST);
    struct json json = json_begin(&text);
    json_begin_array(&json, NULL);
    for (size_t i = 0; i < n && !isnan(s[i]); i++) {
        json_begin_array(&json, NULL);
        json_string(&json, NULL, names[i]);
        json_number(&json, NULL, s[i], 0);
        json_end_array(&json);
    }
    json_end_array(&json);
    return text.bytes;
}

static void pack_load(struct arena *arena, const struct ride_readings *readings,
                      const struct rider_facts *facts, struct packed_readings *out)
{
    const char *names[ZONES_MOST];
    const char *heart_names[HEART_ZONES];
    for (size_t i = 0; i < facts->zones.count; i++) {
        names[i] = facts->zones.name[i];
    }
    for (int i = 0; i < HEART_ZONES; i++) {
        heart_names[i] = heart_zone_name((enum heart_zone)i);
    }
    out->load = readings->load;
    out->zones = pack_zones(arena, names, readings->load.zone_s, facts->zones.count);
    out->heart_zones = pack_zones(arena, heart_names, readings->load.heart_zone_s, HEART_ZONES);
    out->cautions =
        (causes_find(&readings->cautions, "heart-leap") != NULL ? CAUTION_HEART_LEAP : 0u) |
        (causes_find(&readings->cautions, "heart-far-above-max") != NULL ? CAUTION_HEART_ABOVE_MAX
                                                                         : 0u);
    for (size_t i = 0; i < readings->count; i++) {
        out->is_hilly =
            out->is_hilly || (readings->items[i].question == QUESTION_EASY_WORK &&
                              causes_find(&readings->items[i].because, "hilly") != NULL);
    }
    out->n_efforts = readings->n_efforts;
    memcpy(out->efforts, readings->efforts, sizeof out->efforts);
}

struct packed_readings readings_pack(struct arena *arena, const struct ride_readings *readings,
                                     const struct reading_source *source,
                                     const struct rider_facts *facts, const struct limits *limits)
{
    uint8_t basis[RIDE_QUESTIONS][BASIS_BYTES];
    sum_all(source, facts, limits, basis);
    struct packed_readings out = { .items =
                                       ARENA_ARRAY(arena, struct packed_reading, readings->count),
                                   .count = readings->count };
    pack_load(arena, readings, facts, &out);
    out.heart = ride_sums_pack(arena, readings->heart, readings->heart_unfit);
    for (size_t i = 0; i < readings->count; i++) {
        const struct reading *reading = &readings->items[i];
        struct text content = text_begin(arena, CONTENT_MOST);
        struct json json = json_begin(&content);
        reading_json_add(&json, reading);
        out.items[i] = (struct packed_reading){
            .question = question_name(reading->question),
            .verdict = verdict_name(reading->verdict),
            .set = reading->set,
            .rep = reading->rep,
            .estimate = reading->estimate,
            .low = reading->low,
            .high = reading->high,
            .unit = arena_string(arena, reading->unit),
            .limit_value = reading->limit_value,
            .method = question_method(reading->question),
            .content = content.bytes,
        };
        memcpy(out.items[i].basis, basis[reading->question], BASIS_BYTES);
    }
    return out;
}

/* All questions, so that the index that begins with them finds a recording's rows: without them
 * every row of the table would be looked at. */
#define OF_RECORDING                                                                               \
    " WHERE question IN ($2, $3, $4, $5, $6) AND subject_kind = 'recording' AND subject = $1"
#define QUESTION_ARGS                                                                              \
    db_text(question_name(QUESTION_TRUST)), db_text(question_name(QUESTION_BASE)),                 \
        db_text(question_name(QUESTION_EASY_WORK)), db_text(question_name(QUESTION_HARD_WORK)),    \
        db_text(question_name(QUESTION_HARD_DAY))

bool readings_move(struct db *db, int64_t recording, const char *day, struct error *err)
{
    return db_run(db, "UPDATE reading SET day = $7" OF_RECORDING,
                  DB_ARGS(db_integer(recording), QUESTION_ARGS, db_text(day)), err);
}

static bool store_load(struct db *db, int64_t recording, const struct packed_readings *readings,
                       struct error *err)
{
    const struct ride_load *load = &readings->load;
    return db_run(db, "DELETE FROM ride_load WHERE recording = $1", DB_ARGS(db_integer(recording)),
                  err) &&
           db_run(db,
                  "INSERT INTO ride_load (recording, hours, work_kj, impulse_low, impulse_high, "
                  "session_rpe, above_threshold_s, zones, heart_zones, cautions, is_hilly) VALUES "
                  "($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
                  DB_ARGS(db_integer(recording), db_real(load->hours), db_real(load->work_kj),
                          db_real(load->impulse_low), db_real(load->impulse_high),
                          db_real(load->session_rpe), db_real(load->above_threshold_s),
                          db_text(readings->zones), db_text(readings->heart_zones),
                          db_integer(readings->cautions), db_bool(readings->is_hilly)),
                  err);
}

static bool store_efforts(struct db *db, int64_t recording, const struct packed_readings *readings,
                          struct error *err)
{
    if (!db_run(db, "DELETE FROM effort WHERE recording = $1", DB_ARGS(db_integer(recording)),
                err)) {
        return false;
    }
    for (size_t i = 0; i < readings->n_efforts; i++) {
        const struct effort *effort = &readings->efforts[i];
        if (!db_run(db,
                    "INSERT INTO effort (recording, duration_s, power_w, start_s, evidence, "
                    "heart_end_bpm, fall_ratio) VALUES ($1, $2, $3, $4, $5, $6, $7)",
                    DB_ARGS(db_integer(recording), db_integer(effort->duration_s),
                            db_real(effort->power_w), db_integer(effort->start_s),
                            db_integer(effort->evidence), db_real(effort->heart_end_bpm),
                            db_real(effort->fall_ratio)),
                    err)) {
            return false;
        }
    }
    return true;
}

bool readings_put(struct db *db, int64_t rider, int64_t recording, const char *day,
                  const struct packed_reading *reading, int64_t now_utc_s, struct error *err)
{
    const struct bytes basis = { reading->basis, BASIS_BYTES };
    return db_run(
        db,
        "INSERT INTO reading (rider, question, subject_kind, subject, set_number, rep_number, day, "
        "verdict, estimate, low, high, unit, limit_value, method, basis_hash, content, made_utc_s) "
        "VALUES ($1, $2, 'recording', $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, "
        "$16) ON CONFLICT (question, subject_kind, subject, set_number, rep_number) DO UPDATE SET "
        "day = excluded.day, verdict = excluded.verdict, estimate = excluded.estimate, low = "
        "excluded.low, high = excluded.high, unit = excluded.unit, limit_value = "
        "excluded.limit_value, method = excluded.method, basis_hash = excluded.basis_hash, content "
        "= excluded.content, made_utc_s = excluded.made_utc_s",
        DB_ARGS(db_integer(rider), db_text(reading->question), db_integer(recording),
                db_integer(reading->set), db_integer(reading->rep), db_text(day),
                db_text(reading->verdict), db_real(reading->estimate), db_real(reading->low),
                db_real(reading->high), db_text(reading->unit), db_real(reading->limit_value),
                db_text(reading->method), db_blob(basis), db_text(reading->content),
                db_integer(now_utc_s)),
        err);
}

/* What was made of it by the rides before it is so no more; it is told until it is made again. */
static bool forget_basis_of_today(struct db *db, int64_t recording, struct error *err)
{
    static const uint8_t none[BASIS_BYTES];
    return db_run(db,
                  "UPDATE reading SET basis_hash = $2 WHERE question = 'today' AND subject_kind = "
                  "'recording' AND subject = $1",
                  DB_ARGS(db_integer(recording), db_blob((struct bytes){ none, BASIS_BYTES })),
                  err);
}

bool readings_store(struct db *db, int64_t rider, int64_t recording, const char *day,
                    const struct packed_readings *readings, int64_t now_utc_s, struct error *err)
{
    if (!db_run(db, "DELETE FROM reading" OF_RECORDING,
                DB_ARGS(db_integer(recording), QUESTION_ARGS), err)) {
        return false;
    }
    for (size_t i = 0; i < readings->count; i++) {
        if (!readings_put(db, rider, recording, day, &readings->items[i], now_utc_s, err)) {
            return false;
        }
    }
    return store_load(db, recording, readings, err) &&
           store_efforts(db, recording, readings, err) &&
           ride_sums_store(db, recording, &readings->heart, err) &&
           forget_basis_of_today(db, recording, err) &&
           (day == NULL || usual_ask(db, rider, day, now_utc_s, err));
}

/* -1 for a question of another version. */
static int question_of(const char *name)
{
    for (int q = QUESTION_TRUST; q < RIDE_QUESTIONS; q++) {
        if (strcmp(name, question_name((enum question)q)) == 0) {
            return q;
        }
    }
    return -1;
}

static bool is_basis(struct bytes stored, const uint8_t basis[BASIS_BYTES])
{
    return stored.size == BASIS_BYTES && memcmp(stored.at, basis, BASIS_BYTES) == 0;
}

bool readings_find(struct db *db, struct arena *arena, int64_t recording,
                   const struct reading_source *source, const struct rider_facts *facts,
                   const struct limits *limits, struct stored_reading out[RIDE_QUESTIONS],
                   struct error *err)
{
    struct db_rows rows = { 0 };
    uint8_t basis[RIDE_QUESTIONS][BASIS_BYTES];
    memset(out, 0, RIDE_QUESTIONS * sizeof out[0]);
    if (!db_query(db, arena,
                  "SELECT question, verdict, basis_hash FROM reading" OF_RECORDING
                  " AND set_number = 0 AND rep_number = 0 ORDER BY question, id",
                  "ttx", DB_ARGS(db_integer(recording), QUESTION_ARGS), &rows, err)) {
        return false;
    }
    sum_all(source, facts, limits, basis);
    for (size_t i = 0; i < rows.count; i++) {
        const int q = question_of(db_text_at(&rows, i, 0));
        if (q >= 0) {
            out[q].verdict = db_text_at(&rows, i, 1);
            out[q].is_current = is_basis(db_blob_at(&rows, i, 2), basis[q]);
        }
    }
    return true;
}

bool readings_content(struct db *db, struct arena *arena, int64_t recording, enum question question,
                      const char **out, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT content FROM reading WHERE subject_kind = 'recording' AND subject = $1 "
                  "AND question = $2 AND set_number = 0 AND rep_number = 0 ORDER BY id",
                  "t", DB_ARGS(db_integer(recording), db_text(question_name(question))), &rows,
                  err)) {
        return false;
    }
    *out = rows.count == 0 ? NULL : db_text_at(&rows, 0, 0);
    return true;
}

bool readings_are_current(struct db *db, struct arena *arena, int64_t recording,
                          const struct reading_source *source, const struct rider_facts *facts,
                          const struct limits *limits, bool *are_current, struct error *err)
{
    struct db_rows rows = { 0 };
    uint8_t basis[RIDE_QUESTIONS][BASIS_BYTES];
    if (!db_query(db, arena,
                  "SELECT question, basis_hash FROM reading" OF_RECORDING " ORDER BY question, id",
                  "tx", DB_ARGS(db_integer(recording), QUESTION_ARGS), &rows, err)) {
        return false;
    }
    sum_all(source, facts, limits, basis);
    *are_current = rows.count > 0;
    for (size_t i = 0; i < rows.count; i++) {
        const int q = question_of(db_text_at(&rows, i, 0));
        *are_current = *are_current && (q < 0 || is_basis(db_blob_at(&rows, i, 1), basis[q]));
    }
    return true;
}

bool readings_limits(struct db *db, struct arena *arena, int64_t rider, struct limits *out,
                     struct error *err)
{
    struct db_rows rows = { 0 };
    *out = limits_default();
    /* The roster's first, so that the rider's come on top. */
    if (!db_query(db, arena,
                  "SELECT name, value FROM limit_override WHERE rider IS NULL OR rider = $1 ORDER "
                  "BY CASE WHEN rider IS NULL THEN 0 ELSE 1 END, id",
                  "tr", DB_ARGS(db_integer(rider)), &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        enum limit_id id = (enum limit_id)0;
        const char *name = db_text_at(&rows, i, 0);
        const double value = db_real_at(&rows, i, 1);
        if (!limits_find(name, &id) || strncmp(name, "cap_", 4) == 0) {
            continue; /* of another version */
        }
        const struct limit_row *row = limits_row(id);
        if (value >= row->lowest && value <= row->highest) {
            out->value[id] = value;
        }
    }
    return true;
}
