/* roster/facts.c: dated facts of a rider, and what was true on a day. */
#include "roster/facts.h"

#include "base/dates.h"
#include "base/text.h"
#include "roster/asked.h"
#include "roster/changes.h"
#include "roster/day_notes.h"
#include "roster/equipment.h"
#include "roster/meter_scale.h"
#include "roster/zone_tables.h"
#include "roster/health.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NO_METER "CAST(NULL AS BIGINT), CAST(NULL AS TEXT), CAST(NULL AS BIGINT)"

static const struct {
    struct fact_row row;
    const char *table;
    const char *value;   /* its column */
    const char *columns; /* id, version, day, value, low, high, at_least, protocol, who,
                            note, meter, its name, its serial */
    bool has_interval;
    bool has_at_least;
    bool has_protocol;
    bool has_who;
} kinds[FACT_KINDS] = {
    [FACT_WEIGHT] = { { "weight", "Weight", "kg", 25, 250, 1 },
                      "weight",
                      "value_kg",
                      "id, version, day, value_kg, CAST(NULL AS DOUBLE PRECISION), "
                      "CAST(NULL AS DOUBLE PRECISION), FALSE, CAST(NULL AS TEXT), "
                      "CAST(NULL AS TEXT), note, " NO_METER,
                      false,
                      false,
                      false,
                      false },
    [FACT_THRESHOLD] = { { "threshold", "Threshold", "W", 50, 600, 0 },
                         "threshold",
                         "value_w",
                         "id, version, day, value_w, low_w, high_w, FALSE, protocol, who, note, "
                         "meter, (SELECT name FROM equipment e WHERE e.id = threshold.meter), "
                         "(SELECT serial FROM equipment e WHERE e.id = threshold.meter)",
                         true,
                         false,
                         true,
                         true },
    [FACT_MAX_HEART_RATE] = { { "max-heart-rate", "Maximal heart rate", "bpm", 100, 230, 0 },
                              "max_heart_rate",
                              "value_bpm",
                              "id, version, day, value_bpm, CAST(NULL AS DOUBLE PRECISION), "
                              "CAST(NULL AS DOUBLE PRECISION), at_least, protocol, who, "
                              "note, " NO_METER,
                              false,
                              true,
                              true,
                              true },
    [FACT_REST_HEART_RATE] = { { "rest-heart-rate", "Resting heart rate", "bpm", 25, 120, 0 },
                               "rest_heart_rate",
                               "value_bpm",
                               "id, version, day, value_bpm, CAST(NULL AS DOUBLE PRECISION), "
                               "CAST(NULL AS DOUBLE PRECISION), FALSE, protocol, "
                               "CAST(NULL AS TEXT), note, " NO_METER,
                               false,
                               false,
                               true,
                               false },
};

#define FACT_SHAPE "iitrRRbTTTITI"

#define UNTIL  "day <= $2"
#define OF_DAY "day = $2"

const struct fact_row *fact_row(enum fact_kind kind)
{
    return &kinds[kind].row;
}

/* "pedals (serial 41877)"; NULL if no meter is named. */
static const char *meter_in_words(struct arena *arena, const struct db_rows *rows, size_t i,
                                  size_t column)
{
    const char *name = db_text_at(rows, i, column);
    return name == NULL || db_is_null(rows, i, column + 1)
               ? name
               : arena_format(arena, "%s (serial %lld)", name,
                              (long long)db_integer_at(rows, i, column + 1));
}

static struct fact fact_at(struct arena *arena, const struct db_rows *rows, size_t i)
{
    return (struct fact){
        .id = db_integer_at(rows, i, 0),
        .version = db_integer_at(rows, i, 1),
        .day = db_text_at(rows, i, 2),
        .value = db_real_at(rows, i, 3),
        .low = db_real_at(rows, i, 4),
        .high = db_real_at(rows, i, 5),
        .at_least = db_bool_at(rows, i, 6),
        .protocol = db_text_at(rows, i, 7),
        .who = db_text_at(rows, i, 8),
        .note = db_text_at(rows, i, 9),
        .meter = db_integer_at(rows, i, 10),
        .meter_name = meter_in_words(arena, rows, i, 11),
    };
}

/* Facts of a rider by a condition ($2 is the day), the newest first. */
static bool query(struct db *db, struct arena *arena, int64_t rider, enum fact_kind kind,
                  const char *condition, const char *day, int64_t most, struct db_rows *rows,
                  struct error *err)
{
    const char *sql = arena_format(
        arena, "SELECT %s FROM %s WHERE rider = $1 AND %s ORDER BY day DESC, id DESC LIMIT $3",
        kinds[kind].columns, kinds[kind].table, condition);
    return db_query(db, arena, sql, FACT_SHAPE,
                    DB_ARGS(db_integer(rider), db_text(day), db_integer(most)), rows, err);
}

bool facts_list(struct roster *roster, struct arena *arena, int64_t rider, enum fact_kind kind,
                const char *until, struct fact **out, size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!query(roster_db(roster), arena, rider, kind, UNTIL, until == NULL ? "9999-12-31" : until,
               100000, &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct fact, rows.count);
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = fact_at(arena, &rows, i);
    }
    *count = rows.count;
    return true;
}

/* ---- setting ---- */

static bool day_is_sound(const char *day, struct error *err)
{
    int64_t days = 0;
    return (day != NULL && dates_parse_day(day, &days)) ||
           error_set(err, ERROR_USAGE, "%s is no day; write it as 2026-03-14",
                     day == NULL ? "nothing" : day);
}

static bool fact_is_sound(enum fact_kind kind, const struct fact *fact, struct error *err)
{
    const struct fact_row *row = &kinds[kind].row;
    if (!day_is_sound(fact->day, err)) {
        return false;
    }
    if (!(fact->value >= row->lowest && fact->value <= row->highest)) {
        return error_set(err, ERROR_USAGE, "%g is out of range; %s lies between %g and %g %s",
                         fact->value, row->name, row->lowest, row->highest, row->unit);
    }
    const bool has_low = !isnan(fact->low);
    const bool has_high = !isnan(fact->high);
    if ((has_low || has_high) && !(kinds[kind].has_interval && fact->low > 0 &&
                                   fact->low <= fact->value && fact->high >= fact->value)) {
        return error_set(err, ERROR_USAGE,
                         "the likely range has two ends and holds the value between them");
    }
    return true;
}

/* "Threshold of Ada Berg: 250 W from 2026-03-14 (was 240 W)". */
static const char *say(struct arena *arena, const struct rider *rider, enum fact_kind kind,
                       const struct fact *fact, const struct fact *was)
{
    const struct fact_row *row = &kinds[kind].row;
    struct text out = text_begin(arena, 1000);
    text_add_format(&out, "%s of %s: %s%.*f %s from %s", row->subject, rider->name,
                    fact->at_least ? "at least " : "", row->decimals, fact->value, row->unit,
                    fact->day);
    if (fact->meter_name != NULL) {
        text_add_format(&out, ", by the %s", fact->meter_name);
    }
    if (was != NULL) {
        text_add_format(&out, " (was %s%.*f %s)", was->at_least ? "at least " : "", row->decimals,
                        was->value, row->unit);
    }
    return out.bytes;
}

enum { EDITS_MOST = 11, OF_A_DAY_MOST = 100, LOOKED_BACK_MOST = 1000 };

static size_t edits_of(enum fact_kind kind, const struct rider *rider, const struct fact *fact,
                       struct edit edits[EDITS_MOST])
{
    size_t n = 0;
    edits[n++] = (struct edit){ "rider", db_integer(rider->id) };
    edits[n++] = (struct edit){ "day", db_text(fact->day) };
    edits[n++] = (struct edit){ kinds[kind].value, db_real(fact->value) };
    edits[n++] = (struct edit){ "note", db_text(fact->note) };
    if (kinds[kind].has_interval) {
        edits[n++] = (struct edit){ "low_w", db_real(fact->low) };
        edits[n++] = (struct edit){ "high_w", db_real(fact->high) };
        edits[n++] = (struct edit){ "meter", fact->meter > 0 ? db_integer(fact->meter)
                                                             : db_null(DB_INTEGER) };
    }
    if (fact->recording > 0) {
        edits[n++] = (struct edit){ "recording", db_integer(fact->recording) };
    }
    if (kinds[kind].has_at_least) {
        edits[n++] = (struct edit){ "at_least", db_bool(fact->at_least) };
    }
    if (kinds[kind].has_protocol) {
        edits[n++] =
            (struct edit){ "protocol", db_text(fact->protocol == NULL ? "given" : fact->protocol) };
    }
    if (kinds[kind].has_who) {
        edits[n++] = (struct edit){ "who", db_text(fact->who) };
    }
    return n;
}

struct work {
    struct arena *arena;
    struct roster_now now;
    const struct rider *rider;
    enum fact_kind kind;
    struct fact *fact;
    const char *day;
    int64_t meter;
};

static bool meter_name(struct db *db, struct arena *arena, int64_t meter, const char **out,
                       struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT name, serial FROM equipment WHERE id = $1 AND kind = 'power-meter'", "tI",
                  DB_ARGS(db_integer(meter)), &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return error_set(err, ERROR_NOT_FOUND, "there is no power meter %lld", (long long)meter);
    }
    *out = meter_in_words(arena, &rows, 0, 0);
    return true;
}

/* The newest of the rows with that meter; how many there are. */
static size_t pick(struct arena *arena, const struct db_rows *rows, int64_t meter, struct fact *out)
{
    size_t n = 0;
    for (size_t i = 0; i < rows->count; i++) {
        if (db_integer_at(rows, i, 10) == meter && n++ == 0) {
            *out = fact_at(arena, rows, i);
        }
    }
    return n;
}

/* One fact as a part of a change: `change` is begun already, or begun here with its own words. */
static bool put(const struct work *work, struct change *change, struct error *err)
{
    struct db *db = change->db;
    struct db_rows rows = { 0 };
    struct edit edits[EDITS_MOST];
    struct fact was = { 0 };
    if (!query(db, work->arena, work->rider->id, work->kind, OF_DAY, work->fact->day, OF_A_DAY_MOST,
               &rows, err)) {
        return false;
    }
    const bool is_edit = pick(work->arena, &rows, work->fact->meter, &was) > 0;
    const size_t n = edits_of(work->kind, work->rider, work->fact, edits);
    if (work->fact->meter > 0 &&
        !meter_name(db, work->arena, work->fact->meter, &work->fact->meter_name, err)) {
        return false;
    }
    const char *words =
        say(work->arena, work->rider, work->kind, work->fact, is_edit ? &was : NULL);
    if (change->id == 0 && !changes_begin(db, work->arena, work->now, words, change, err)) {
        return false;
    }
    work->fact->said = words;
    work->fact->version = is_edit ? was.version + 1 : 1;
    work->fact->id = was.id;
    return is_edit ? changes_edit(change, kinds[work->kind].table, was.id, 0, edits, n, err)
                   : changes_add(change, kinds[work->kind].table, edits, n, &work->fact->id, err);
}

static bool set(struct db *db, void *context, struct error *err)
{
    struct change change = { .db = db };
    return put(context, &change, err);
}

bool facts_set(struct roster *roster, struct arena *arena, struct roster_now now,
               const struct rider *rider, enum fact_kind kind, struct fact *fact, struct error *err)
{
    struct work work = { arena, now, rider, kind, fact, NULL, 0 };
    return fact_is_sound(kind, fact, err) && db_write(roster_db(roster), set, &work, err);
}

bool facts_put(struct change *change, const struct rider *rider, enum fact_kind kind,
               struct fact *fact, struct error *err)
{
    const struct work work = { change->arena, { 0 }, rider, kind, fact, NULL, 0 };
    return fact_is_sound(kind, fact, err) && put(&work, change, err);
}

static const char *say_gone(const struct work *work, const struct fact *was)
{
    const struct fact_row *row = &kinds[work->kind].row;
    return arena_format(work->arena, "%s of %s: %.*f %s from %s%s%s taken away", row->subject,
                        work->rider->name, row->decimals, was->value, row->unit, was->day,
                        was->meter_name == NULL ? "" : ", by the ",
                        was->meter_name == NULL ? "" : was->meter_name);
}

static bool take_away_one(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct fact *fact = work->fact;
    struct change change = { 0 };
    fact->said = say_gone(work, fact);
    return changes_begin(db, work->arena, work->now, fact->said, &change, err) &&
           changes_remove(&change, kinds[work->kind].table, fact->id, fact->version, err);
}

bool facts_take_away(struct roster *roster, struct arena *arena, struct roster_now now,
                     const struct rider *rider, enum fact_kind kind, struct fact *fact,
                     struct error *err)
{
    struct work work = { arena, now, rider, kind, fact, NULL, 0 };
    return db_write(roster_db(roster), take_away_one, &work, err);
}

static bool take_away(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    const struct fact_row *row = &kinds[work->kind].row;
    struct db_rows rows = { 0 };
    struct change change = { 0 };
    struct fact was = { 0 };
    if (!query(db, work->arena, work->rider->id, work->kind, OF_DAY, work->day, OF_A_DAY_MOST,
               &rows, err)) {
        return false;
    }
    if (work->meter == 0 && rows.count > 1) {
        return error_set(err, ERROR_CONFLICT, "%s has several of %s, by several meters; say which",
                         work->rider->name, work->day);
    }
    if (work->meter == 0 && rows.count == 1) {
        was = fact_at(work->arena, &rows, 0);
    } else if (pick(work->arena, &rows, work->meter, &was) == 0) {
        return error_set(err, ERROR_NOT_FOUND, "%s has no %s dated %s%s", work->rider->name,
                         row->name, work->day, work->meter > 0 ? " by that meter" : "");
    }
    const char *words = say_gone(work, &was);
    return changes_begin(db, work->arena, work->now, words, &change, err) &&
           changes_remove(&change, kinds[work->kind].table, was.id, was.version, err);
}

bool facts_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                  const struct rider *rider, enum fact_kind kind, const char *day, int64_t meter,
                  struct error *err)
{
    struct work work = { arena, now, rider, kind, NULL, day, meter };
    return day_is_sound(day, err) && db_write(roster_db(roster), take_away, &work, err);
}

bool facts_find_meter(struct roster *roster, struct arena *arena, const struct rider *rider,
                      const char *word, int64_t *out, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(roster_db(roster), arena,
                  "SELECT id, name, serial FROM equipment WHERE (rider = $1 OR rider IS NULL) AND "
                  "kind = 'power-meter' ORDER BY id",
                  "itI", DB_ARGS(db_integer(rider->id)), &rows, err)) {
        return false;
    }
    const char *folded = riders_fold(arena, word);
    const bool is_number = strlen(word) < 18 && strspn(word, "0123456789") == strlen(word);
    const int64_t number = is_number ? strtoll(word, NULL, 10) : -1;
    size_t found[3] = {
        0
    }; /* by serial, by number, by name: the first way that finds one counts */
    int64_t ids[3] = { 0 };
    for (size_t i = 0; i < rows.count && word[0] != '\0'; i++) {
        const bool is[3] = {
            !db_is_null(&rows, i, 2) && db_integer_at(&rows, i, 2) == number,
            db_integer_at(&rows, i, 0) == number,
            strncmp(riders_fold(arena, db_text_at(&rows, i, 1)), folded, strlen(folded)) == 0,
        };
        for (size_t way = 0; way < 3; way++) {
            found[way] += is[way];
            ids[way] = is[way] ? db_integer_at(&rows, i, 0) : ids[way];
        }
    }
    const size_t way = found[0] > 0 ? 0 : found[1] > 0 ? 1 : 2;
    if (found[way] == 0) {
        return error_set(err, ERROR_NOT_FOUND,
                         "%s: %s has no power meter so called; equipment lists them", word,
                         rider->name);
    }
    *out = ids[way];
    return found[way] == 1 ||
           error_set(err, ERROR_CONFLICT, "%s: several power meters of %s; name it by number", word,
                     rider->name);
}

/* ---- what was true on a day ---- */

struct question {
    struct arena *arena;
    const struct ride_facts *ride;
    struct rider_facts *out;
    bool before_riding; /* nothing that a ride of the day showed */
};

static const char *held_when(const struct question *q, enum fact_kind kind)
{
    const bool may_be_seen = kind == FACT_THRESHOLD || kind == FACT_MAX_HEART_RATE;
    return q->before_riding && may_be_seen ? UNTIL " AND (day < $2 OR recording IS NULL)" : UNTIL;
}

/* The fact in force; value NAN if there is none. */
static bool in_force(struct db *db, const struct question *q, enum fact_kind kind,
                     struct fact *fact, struct error *err)
{
    struct db_rows rows = { 0 };
    *fact = (struct fact){ .value = (double)NAN, .low = (double)NAN, .high = (double)NAN };
    if (!query(db, q->arena, q->ride->rider, kind, held_when(q, kind), q->ride->day, 1, &rows,
               err)) {
        return false;
    }
    if (rows.count > 0) {
        *fact = fact_at(q->arena, &rows, 0);
    }
    return true;
}

static bool is_of_meters(const struct fact *fact, const int64_t meters[], size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (fact->meter == meters[i]) {
            return true;
        }
    }
    return fact->meter == 0;
}

/* The newest that was measured with a meter of the ride, or names none; where there is none such,
 * or the ride's meter isn't known, the newest of all.  One that was measured with another meter
 * than the ride is put on the scale of the ride's, and *how says so; else that is "". */
static bool threshold_in_force(struct db *db, const struct question *q, struct fact *fact,
                               const char **how, struct error *err)
{
    struct db_rows rows = { 0 };
    int64_t *meters = NULL;
    size_t count = 0;
    *how = "";
    if (!in_force(db, q, FACT_THRESHOLD, fact, err)) {
        return false;
    }
    if (fact->meter == 0) {
        return true;
    }
    if (!equipment_meters_of(db, q->arena, q->ride, &meters, &count, err)) {
        return false;
    }
    if (count == 0 || is_of_meters(fact, meters, count)) {
        return true;
    }
    if (!query(db, q->arena, q->ride->rider, FACT_THRESHOLD, held_when(q, FACT_THRESHOLD),
               q->ride->day, LOOKED_BACK_MOST, &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        const struct fact row = fact_at(q->arena, &rows, i);
        if (is_of_meters(&row, meters, count)) {
            *fact = row;
            return true;
        }
    }
    return meter_scale_threshold(db, q->arena, q->ride->rider, meters, count, fact, how, err);
}

/* Who the rider is, and how the rider stands. */
static bool person_on(struct db *db, const struct question *q, struct error *err)
{
    struct db_rows rows = { 0 };
    struct health health = { 0 };
    if (!db_query(db, q->arena, "SELECT born_day, sex, training_since_day FROM rider WHERE id = $1",
                  "TTT", DB_ARGS(db_integer(q->ride->rider)), &rows, err)) {
        return false;
    }
    const struct rider rider = {
        .id = q->ride->rider,
        .born_day = rows.count > 0 ? db_text_at(&rows, 0, 0) : NULL,
        .sex = rows.count > 0 ? db_text_at(&rows, 0, 1) : NULL,
    };
    const char *since = rows.count > 0 ? db_text_at(&rows, 0, 2) : NULL;
    if (!health_on(db, q->arena, &rider, q->ride->day, &health, err)) {
        return false;
    }
    struct rider_facts *out = q->out;
    out->sex = rider.sex == NULL                  ? SEX_UNSET
               : strcmp(rider.sex, "female") == 0 ? SEX_FEMALE
                                                  : SEX_MALE;
    out->age_y = health.age_y < 0 ? (double)NAN : (double)health.age_y;
    out->training_y =
        health_age(since, q->ride->day) < 0 ? (double)NAN : (double)health_age(since, q->ride->day);
    out->guardian_agreed = health.guardian_agreed;
    out->screened = !health.is_screened                    ? SCREENED_NOT
                    : health.advice_first                  ? SCREENED_YES
                    : screening_has_yes(&health.screening) ? SCREENED_CLEARED
                                                           : SCREENED_ALL_NO;
    out->screened_days = health.is_screened
                             ? (double)entry_days_between(health.screening.day, q->ride->day)
                             : (double)NAN;
    out->heart_medicine = health.heart_medicine;
    out->pregnant = health.pregnant;
    return true;
}

static bool days_off_on(struct db *db, const struct question *q, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, q->arena,
                  "SELECT id FROM day_off WHERE rider = $1 AND kind = 'ill' AND from_day <= $2 AND "
                  "(to_day IS NULL OR to_day > $2) ORDER BY id LIMIT 1",
                  "i", DB_ARGS(db_integer(q->ride->rider), db_text(q->ride->day)), &rows, err)) {
        return false;
    }
    q->out->day.ill = q->out->day.ill || rows.count > 0;
    return true;
}

static bool ask_dated(struct db *db, const struct question *q, struct error *err)
{
    struct fact facts[FACT_KINDS];
    for (int kind = 0; kind < FACT_KINDS; kind++) {
        if (kind != FACT_THRESHOLD && !in_force(db, q, (enum fact_kind)kind, &facts[kind], err)) {
            return false;
        }
    }
    struct fact *threshold = &facts[FACT_THRESHOLD];
    const char *how = NULL;
    if (!threshold_in_force(db, q, threshold, &how, err)) {
        return false;
    }
    q->out->weight_kg = facts[FACT_WEIGHT].value;
    q->out->max_heart_rate_bpm = facts[FACT_MAX_HEART_RATE].value;
    q->out->rest_heart_rate_bpm = facts[FACT_REST_HEART_RATE].value;
    q->out->threshold_w = threshold->value;
    q->out->threshold_low_w = threshold->low;
    q->out->threshold_high_w = threshold->high;
    if (!isnan(threshold->value)) {
        q->out->threshold_known_by =
            arena_format(q->arena, "%s of %s%s", threshold->protocol, threshold->day, how);
    }
    return person_on(db, q, err) && days_off_on(db, q, err) &&
           zone_tables_on(db, q->arena, q->ride->rider, q->ride->day, &q->out->zones, err) &&
           equipment_on(db, q->arena, q->ride, q->out, err);
}

static bool ask_all(struct db *db, void *context, struct error *err)
{
    struct question *q = context;
    *q->out = facts_unknown();
    return (q->ride->day == NULL ||
            (ask_dated(db, q, err) &&
             asked_given(db, q->arena, q->ride->rider, q->ride->day, q->out, err) &&
             asked_near(db, q->arena, q->ride, q->out, err))) &&
           day_notes_on(db, q->arena, q->ride, q->out, err) &&
           (q->ride->recording == 0 || asked_on(db, q->arena, q->ride->recording, q->out, err));
}

bool facts_of_ride_in(struct db *db, struct arena *arena, const struct ride_facts *ride,
                      struct rider_facts *out, struct error *err)
{
    struct question q = { arena, ride, out, false };
    return (ride->day == NULL || day_is_sound(ride->day, err)) && ask_all(db, &q, err);
}

bool facts_threshold_of_ride_in(struct db *db, struct arena *arena, const struct ride_facts *ride,
                                double *threshold_w, struct error *err)
{
    const struct question q = { arena, ride, NULL, false };
    const char *how = NULL;
    struct fact fact = { .value = (double)NAN };
    if (ride->day != NULL &&
        (!day_is_sound(ride->day, err) || !threshold_in_force(db, &q, &fact, &how, err))) {
        return false;
    }
    *threshold_w = fact.value;
    return true;
}

bool facts_of_ride(struct roster *roster, struct arena *arena, const struct ride_facts *ride,
                   struct rider_facts *out, struct error *err)
{
    struct question q = { arena, ride, out, false };
    return (ride->day == NULL || day_is_sound(ride->day, err)) &&
           db_read(roster_db(roster), ask_all, &q, err);
}

bool facts_on(struct roster *roster, struct arena *arena, int64_t rider, const char *day,
              struct rider_facts *out, struct error *err)
{
    const struct ride_facts ride = { .rider = rider, .day = day };
    return day_is_sound(day, err) && facts_of_ride(roster, arena, &ride, out, err);
}

bool facts_for_session(struct roster *roster, struct arena *arena, int64_t rider, const char *day,
                       struct rider_facts *out, struct error *err)
{
    const struct ride_facts ride = { .rider = rider, .day = day };
    struct question q = { arena, &ride, out, true };
    return day_is_sound(day, err) && db_read(roster_db(roster), ask_all, &q, err);
}
