/* roster/past.c: a rider's stored rides, notes and days off, up to a day. */
#include "roster/past.h"

#include "base/dates.h"
#include "roster/meter_checks.h"
#include "roster/same_ride.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct loading {
    struct db *db;
    struct arena *arena;
    struct arena *scratch; /* of rows as they come */
    int64_t rider;
    const char *today;
    const char *since; /* of what is loaded of recent rides alone, the first day */
    struct rider_history *out;
    int64_t *ids;     /* [n_rides] pairs of id and place, ascending */
    int64_t *doubles; /* [n_doubles] pairs of id and the ride that it is a double of, ascending */
    size_t n_doubles;
    struct ride_row *when; /* [n_rides] start and length alone */
};

static bool ask(const struct loading *loading, const char *sql, const char *shape,
                struct db_rows *rows, struct error *err)
{
    return db_query(loading->db, loading->scratch, sql, shape,
                    DB_ARGS(db_integer(loading->rider), db_text(loading->today)), rows, err);
}

/* $3 is the first day. */
static bool ask_since(const struct loading *loading, const char *sql, const char *shape,
                      struct db_rows *rows, struct error *err)
{
    return db_query(
        loading->db, loading->scratch, sql, shape,
        DB_ARGS(db_integer(loading->rider), db_text(loading->today), db_text(loading->since)), rows,
        err);
}

/* ---- rides, and finding one by its id ---- */

/* Doubles are among them: whose ride isn't found is left out.  With the columns of the index alone
 * no row of a recording is read again. */
#define RECENT_JOIN                                                                                \
    " recording r ON r.id = x.recording WHERE r.rider = $1 AND r.local_day <= $2 AND r.local_day " \
    ">= $3"

static int by_value(const void *a, const void *b)
{
    const int64_t x = *(const int64_t *)a;
    const int64_t y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

static void take_ride(struct loading *loading, const struct db_rows *rows, size_t i)
{
    struct rider_history *out = loading->out;
    const int64_t id = db_integer_at(rows, i, 0);
    if (!db_is_null(rows, i, 6)) {
        loading->doubles[2 * loading->n_doubles] = id;
        loading->doubles[2 * loading->n_doubles++ + 1] = db_integer_at(rows, i, 6);
        return;
    }
    struct past_ride *ride = &out->rides[out->n_rides];
    *ride = past_ride_begin(id, dates_day_number(db_text_at(rows, i, 1)));
    ride->is_ride = db_bool_at(rows, i, 2);
    ride->has_power = !db_is_null(rows, i, 3);
    ride->hours = (double)db_integer_at(rows, i, 4) / 3600.0;
    ride->effort_0_10 = db_real_at(rows, i, 5);
    loading->when[out->n_rides] =
        (struct ride_row){ .has_start_utc = !db_is_null(rows, i, 7),
                           .start_utc_s = db_integer_at(rows, i, 7),
                           .n_seconds = (size_t)db_integer_at(rows, i, 8) };
    loading->ids[2 * out->n_rides] = id;
    loading->ids[2 * out->n_rides + 1] = (int64_t)out->n_rides;
    out->n_rides++;
}

static bool load_rides(struct loading *loading, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!ask(loading,
             "SELECT r.id, r.local_day, r.is_ride, r.work_kj, r.timer_s, r.effort_0_10, r.same_as, "
             "r.start_utc_s, r.n_seconds FROM recording r WHERE r.rider = $1 AND r.local_day <= $2 "
             "AND r.local_day IS NOT NULL ORDER BY r.local_day, r.start_utc_s NULLS LAST, r.id",
             "itbRiRIIi", &rows, err)) {
        return false;
    }
    loading->out->rides = ARENA_ARRAY(loading->arena, struct past_ride, rows.count);
    loading->when = ARENA_ARRAY(loading->scratch, struct ride_row, rows.count);
    loading->ids = ARENA_ARRAY(loading->scratch, int64_t, 2 * rows.count);
    loading->doubles = ARENA_ARRAY(loading->scratch, int64_t, 2 * rows.count);
    for (size_t i = 0; i < rows.count; i++) {
        take_ride(loading, &rows, i);
    }
    qsort(loading->ids, loading->out->n_rides, 2 * sizeof loading->ids[0], by_value);
    qsort(loading->doubles, loading->n_doubles, 2 * sizeof loading->doubles[0], by_value);
    return true;
}

/* NULL if it isn't among those asked for. */
static struct past_ride *ride_of(const struct loading *loading, int64_t id)
{
    const int64_t *found =
        bsearch(&id, loading->ids, loading->out->n_rides, 2 * sizeof loading->ids[0], by_value);
    return found == NULL ? NULL : &loading->out->rides[found[1]];
}

/* The ride that the recording is of, itself or as another one's double. */
static struct past_ride *ride_with(const struct loading *loading, int64_t recording)
{
    const int64_t *found = bsearch(&recording, loading->doubles, loading->n_doubles,
                                   2 * sizeof loading->doubles[0], by_value);
    return ride_of(loading, found == NULL ? recording : found[1]);
}

/* ---- what was said of them ---- */

static struct past_reading *place_of(struct past_ride *ride, const char *question)
{
    const struct {
        enum question question;
        struct past_reading *place;
    } places[] = { { QUESTION_TRUST, &ride->trust },
                   { QUESTION_BASE, &ride->base },
                   { QUESTION_EASY_WORK, &ride->easy },
                   { QUESTION_HARD_WORK, &ride->hard },
                   { QUESTION_TODAY, &ride->today } };
    for (size_t i = 0; i < sizeof places / sizeof places[0]; i++) {
        if (strcmp(question, question_name(places[i].question)) == 0) {
            return places[i].place;
        }
    }
    return NULL;
}

static void take_reading(const struct loading *loading, const struct db_rows *rows, size_t i)
{
    struct past_ride *ride = ride_of(loading, db_integer_at(rows, i, 0));
    enum verdict verdict = VERDICT_CANNOT_TELL;
    if (ride == NULL || !verdict_find(db_text_at(rows, i, 2), &verdict)) {
        return; /* of another version */
    }
    struct past_reading *place = place_of(ride, db_text_at(rows, i, 1));
    if (place != NULL) {
        *place = (struct past_reading){ .is_asked = true,
                                        .verdict = verdict,
                                        .estimate = db_real_at(rows, i, 3),
                                        .low = db_real_at(rows, i, 4),
                                        .high = db_real_at(rows, i, 5) };
    } else if (strcmp(db_text_at(rows, i, 1), question_name(QUESTION_HARD_DAY)) == 0) {
        ride->is_hard_day = verdict == VERDICT_HARD_DAY;
    }
}

static bool is_judged(const struct past_ride *ride)
{
    return ride->hard.is_asked && ride->hard.verdict != VERDICT_CANNOT_TELL &&
           ride->hard.verdict != VERDICT_DESCRIBED;
}

static bool is_done(const struct past_ride *ride)
{
    return ride->hard.verdict == VERDICT_DONE || ride->hard.verdict == VERDICT_DONE_FAST_START;
}

/* Hard work that two recordings have parts of is done once: the one that found it done counts, or
 * else the longer. */
static void count_parts_once(const struct loading *loading)
{
    struct rider_history *out = loading->out;
    const struct past_reading none = past_ride_begin(0, 0).hard;
    for (size_t i = 1; i < out->n_rides; i++) {
        for (size_t k = i; k > 0 && out->rides[k - 1].day == out->rides[i].day; k--) {
            struct past_ride *a = &out->rides[k - 1];
            struct past_ride *b = &out->rides[i];
            if (!is_judged(a) || !is_judged(b) ||
                same_ride_common_s(&loading->when[k - 1], &loading->when[i]) == 0) {
                continue;
            }
            const bool keeps_a = is_done(a) != is_done(b) ? is_done(a) : a->hours >= b->hours;
            (keeps_a ? b : a)->hard = none;
        }
    }
}

/* Base tests of all years: the newest may be old, and its age is said. */
static bool load_readings(const struct loading *loading, struct error *err)
{
#define READINGS                                                                                   \
    "SELECT x.subject, x.question, x.verdict, x.estimate, x.low, x.high FROM reading x WHERE "     \
    "x.rider = $1 AND x.day <= $2 AND x.subject_kind = 'recording' AND x.set_number = 0 AND "      \
    "x.rep_number = 0 AND x.question "
    struct db_rows base = { 0 };
    struct db_rows rest = { 0 };
    if (!ask(loading, READINGS "= 'base' ORDER BY x.id", "ittRRR", &base, err) ||
        !ask_since(loading,
                   READINGS "IN ('trust', 'easy work', 'hard work', 'hard day', 'today') AND x.day "
                            ">= $3 ORDER BY x.id",
                   "ittRRR", &rest, err)) {
        return false;
    }
#undef READINGS
    for (size_t i = 0; i < base.count; i++) {
        take_reading(loading, &base, i);
    }
    for (size_t i = 0; i < rest.count; i++) {
        take_reading(loading, &rest, i);
    }
    count_parts_once(loading);
    return true;
}

/* What waits to be held against usual again is not known. */
static bool forget_waiting(const struct loading *loading, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(loading->db, loading->scratch,
                  "SELECT priority FROM job WHERE kind = 'usual' AND subject_kind = 'rider' AND "
                  "subject = $1",
                  "i", DB_ARGS(db_integer(loading->rider)), &rows, err)) {
        return false;
    }
    struct rider_history *out = loading->out;
    const struct past_ride none = past_ride_begin(0, 0);
    for (size_t i = rows.count == 0 ? out->n_rides
                                    : history_ride_from(out, db_integer_at(&rows, 0, 0));
         i < out->n_rides; i++) {
        out->rides[i].today = none.today;
        out->rides[i].against_bpm = (double)NAN;
        out->rides[i].day_sd_bpm = (double)NAN;
    }
    return true;
}

static bool load_heart(const struct loading *loading, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!ask_since(
            loading,
            "SELECT x.recording, x.against_bpm, x.day_sd_bpm FROM heart_day x JOIN" RECENT_JOIN
            " ORDER BY x.id",
            "irr", &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        struct past_ride *ride = ride_of(loading, db_integer_at(&rows, i, 0));
        if (ride != NULL) {
            ride->against_bpm = db_real_at(&rows, i, 1);
            ride->day_sd_bpm = db_real_at(&rows, i, 2);
        }
    }
    return forget_waiting(loading, err);
}

/* The number after a key, in JSON that this program wrote; NAN where it is null or isn't there. */
static double number_after(const char *text, const char *key)
{
    const char *at = strstr(text, key);
    char *end = NULL;
    if (at == NULL) {
        return (double)NAN;
    }
    at += strlen(key);
    at += strspn(at, " :");
    const double value = strtod(at, &end);
    return end == at ? (double)NAN : value;
}

/* The newest response's own rides: how each lay against it. */
static void take_days(const struct loading *loading, const char *content)
{
    const char *at = strstr(content, "\"rides\": [");
    at = at == NULL ? strstr(content, "\"rides\":[") : at;
    while (at != NULL && (at = strstr(at, "\"ride\"")) != NULL) {
        struct past_ride *ride = ride_of(loading, (int64_t)number_after(at, "\"ride\""));
        if (ride != NULL) {
            ride->felt_w = number_after(at, "\"power_w\"");
            ride->day_bpm = number_after(at, "\"against_usual_bpm\"");
        }
        at += strlen("\"ride\"");
    }
}

static bool load_response(const struct loading *loading, struct error *err)
{
    struct db_rows rows = { 0 };
    struct db_rows warm = { 0 };
    if (!db_query(loading->db, loading->scratch,
                  "SELECT threshold_w, gain_bpm_per_w, rest_bpm, day_sd_bpm, content FROM "
                  "heart_response WHERE rider = $1 AND outcome = 'fitted'",
                  "RRRRt", DB_ARGS(db_integer(loading->rider)), &rows, err) ||
        !ask(loading,
             "SELECT day, temperature_c FROM day_note WHERE rider = $1 AND day <= $2 AND "
             "temperature_c IS NOT NULL ORDER BY day, id",
             "tr", &warm, err)) {
        return false;
    }
    struct rider_history *out = loading->out;
    if (rows.count > 0) {
        out->heart = (struct past_heart){ .threshold_w = db_real_at(&rows, 0, 0),
                                          .gain_bpm_per_w = db_real_at(&rows, 0, 1),
                                          .rest_bpm = db_real_at(&rows, 0, 2),
                                          .day_sd_bpm = db_real_at(&rows, 0, 3) };
        out->heart.is_known = out->heart.threshold_w > 0.0 && out->heart.gain_bpm_per_w > 0.0;
        take_days(loading, db_text_at(&rows, 0, 4));
    }
    for (size_t i = 0; i < warm.count; i++) {
        const int64_t day = dates_day_number(db_text_at(&warm, i, 0));
        for (size_t k = history_ride_from(out, day); k < out->n_rides && out->rides[k].day == day;
             k++) {
            out->rides[k].temperature_c = db_real_at(&warm, i, 1);
        }
    }
    return true;
}

/* The numbers of [["endurance", 1800], ...], which this program wrote: a name may hold anything but
 * an unescaped quote. */
static void read_zones(const char *text, double out[], size_t most)
{
    size_t n = 0;
    bool in_name = false;
    for (const char *at = text; *at != '\0' && n < most; at++) {
        if (in_name) {
            at += *at == '\\' && at[1] != '\0' ? 1 : 0;
            in_name = *at != '"';
        } else if (*at == '"') {
            in_name = true;
        } else if (*at == ',' && at[1] != '[' && at[1] != ' ') {
            out[n++] = strtod(at + 1, NULL);
        }
    }
}

static bool load_loads(const struct loading *loading, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!ask_since(
            loading,
            "SELECT x.recording, x.hours, x.work_kj, x.impulse_low, x.impulse_high, "
            "x.session_rpe, x.above_threshold_s, x.zones, x.heart_zones, x.cautions, x.is_hilly "
            "FROM ride_load x JOIN" RECENT_JOIN " ORDER BY x.id",
            "irRRRRRttib", &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        struct past_ride *ride = ride_of(loading, db_integer_at(&rows, i, 0));
        if (ride == NULL) {
            continue;
        }
        ride->hours = db_real_at(&rows, i, 1);
        ride->work_kj = db_real_at(&rows, i, 2);
        ride->impulse_low = db_real_at(&rows, i, 3);
        ride->impulse_high = db_real_at(&rows, i, 4);
        ride->session_rpe = db_real_at(&rows, i, 5);
        ride->above_threshold_s = db_real_at(&rows, i, 6);
        read_zones(db_text_at(&rows, i, 7), ride->zone_s, ZONES_MOST);
        read_zones(db_text_at(&rows, i, 8), ride->heart_zone_s, HEART_ZONES);
        ride->cautions = (unsigned)db_integer_at(&rows, i, 9);
        ride->hilly = db_bool_at(&rows, i, 10);
        if (!isnan(ride->session_rpe) && ride->hours > 0.0) {
            /* The word that counted: a note's wins over the recording's own. */
            ride->effort_0_10 = ride->session_rpe / (60.0 * ride->hours);
        }
    }
    return true;
}

static void take_efforts(const struct loading *loading, const struct db_rows *rows)
{
    for (size_t i = 0; i < rows->count; i++) {
        struct past_ride *ride = ride_of(loading, db_integer_at(rows, i, 0));
        if (ride != NULL && ride->n_efforts < EFFORT_DURATIONS) {
            ride->efforts[ride->n_efforts++] =
                (struct effort){ .duration_s = (int32_t)db_integer_at(rows, i, 1),
                                 .power_w = db_real_at(rows, i, 2),
                                 .start_s = (int32_t)db_integer_at(rows, i, 3),
                                 .evidence = (unsigned)db_integer_at(rows, i, 4),
                                 .heart_end_bpm = db_real_at(rows, i, 5),
                                 .fall_ratio = db_real_at(rows, i, 6) };
        }
    }
}

static bool has_old_tests(const struct loading *loading)
{
    const int64_t since = dates_day_number(loading->since);
    bool any = false;
    for (size_t i = 0; i < loading->out->n_rides && loading->out->rides[i].day < since; i++) {
        any = any || loading->out->rides[i].marked;
    }
    return any;
}

/* And those of marked tests of all years: how many there were tells a first retest. */
static bool load_efforts(const struct loading *loading, struct error *err)
{
#define EFFORTS                                                                                    \
    "SELECT x.recording, x.duration_s, x.power_w, x.start_s, x.evidence, x.heart_end_bpm, "        \
    "x.fall_ratio FROM effort x JOIN"
    struct db_rows rows = { 0 };
    struct db_rows old = { 0 };
    if (!ask_since(loading, EFFORTS RECENT_JOIN " ORDER BY x.recording, x.duration_s", "iiriiRR",
                   &rows, err) ||
        (has_old_tests(loading) &&
         !ask_since(loading,
                    EFFORTS " recording r ON r.id = x.recording WHERE r.local_day <= $2 AND "
                            "r.local_day < $3 AND x.recording IN (SELECT COALESCE(d.same_as, d.id) "
                            "FROM recording d JOIN asked a ON a.recording = d.id WHERE d.rider = "
                            "$1 AND a.was IS NOT NULL) ORDER BY x.recording, x.duration_s",
                    "iiriiRR", &old, err))) {
        return false;
    }
#undef EFFORTS
    take_efforts(loading, &rows);
    take_efforts(loading, &old);
    return true;
}

/* ---- what the coach said of them ---- */

static bool load_asked(const struct loading *loading, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!ask(
            loading,
            "SELECT a.recording, a.kind, a.was, a.spoiled_by FROM asked a JOIN recording r ON r.id "
            "= a.recording WHERE r.rider = $1 AND r.local_day <= $2 ORDER BY "
            "a.id",
            "itTT", &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        struct past_ride *ride = ride_with(loading, db_integer_at(&rows, i, 0));
        if (ride != NULL) {
            ride->is_base_test =
                strcmp(db_text_at(&rows, i, 1), work_kind_name(KIND_BASE_TEST)) == 0;
            ride->marked = !db_is_null(&rows, i, 2);
            ride->race = ride->marked && strcmp(db_text_at(&rows, i, 2), "race") == 0;
            ride->spoiled = !db_is_null(&rows, i, 3);
        }
    }
    /* Without rides there is no array either. */
    for (size_t i = 0; loading->out->rides != NULL && i < loading->out->n_rides; i++) {
        struct past_ride *ride = &loading->out->rides[i];
        ride->is_base_test = ride->is_base_test ||
                             (ride->base.is_asked && ride->base.verdict != VERDICT_CANNOT_TELL);
    }
    return true;
}

/* The last ride before that place with the same meter; NULL if there is none. */
static const struct past_ride *ride_with_meter(const struct rider_history *history, size_t place)
{
    const int64_t meter = history->rides[place].meter;
    while (place-- > 0) {
        if (history->rides[place].meter == meter) {
            return &history->rides[place];
        }
    }
    return NULL;
}

/* A zero offset holds until the next one of its meter, by the device or by hand; what the device
 * recorded of a ride goes before what was noted on its day. */
static void carry_offsets(const struct loading *loading, const struct noted_offset noted[],
                          size_t n_noted)
{
    struct rider_history *out = loading->out;
    for (size_t i = 0; i < out->n_rides; i++) {
        struct past_ride *ride = &out->rides[i];
        if (ride->meter == 0 || !isnan(ride->zero_offset)) {
            continue;
        }
        const struct past_ride *last = ride_with_meter(out, i);
        const int64_t since = last == NULL ? INT64_MIN : last->day;
        ride->zero_offset = last == NULL ? (double)NAN : last->zero_offset;
        for (size_t k = 0; k < n_noted && noted[k].day <= ride->day; k++) {
            if (noted[k].equipment == ride->meter && noted[k].day > since) {
                ride->zero_offset = noted[k].value;
            }
        }
    }
}

static bool load_meters(const struct loading *loading, struct error *err)
{
    struct ride_meter *meters = NULL;
    struct noted_offset *noted = NULL;
    size_t n = 0;
    size_t n_noted = 0;
    if (!meter_checks_rides(loading->db, loading->scratch, loading->rider, loading->since,
                            loading->today, &meters, &n, err) ||
        !equipment_offsets(loading->db, loading->scratch, loading->rider, loading->today, &noted,
                           &n_noted, err)) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        struct past_ride *ride = ride_of(loading, meters[i].recording);
        if (ride != NULL) {
            ride->meter = meters[i].meter;
            ride->zero_offset = meters[i].zero_offset;
        }
    }
    carry_offsets(loading, noted, n_noted);
    return true;
}

/* ---- days ---- */

static bool load_off(const struct loading *loading, struct error *err)
{
    static const char *const names[] = { [OFF_ILL] = "ill",
                                         [OFF_INJURED] = "injured",
                                         [OFF_AWAY] = "away",
                                         [OFF_BREAK] = "break",
                                         [OFF_OTHER] = "other" };
    struct rider_history *out = loading->out;
    struct db_rows rows = { 0 };
    if (!ask(loading,
             "SELECT kind, from_day, to_day FROM day_off WHERE rider = $1 AND from_day <= $2 ORDER "
             "BY from_day, id",
             "ttT", &rows, err)) {
        return false;
    }
    out->off = ARENA_ARRAY(loading->arena, struct past_span, rows.count);
    for (size_t i = 0; i < rows.count; i++) {
        const int64_t to = dates_day_number(db_text_at(&rows, i, 2));
        enum past_off kind = OFF_OTHER;
        for (int k = 0; k <= OFF_OTHER; k++) {
            kind = strcmp(db_text_at(&rows, i, 0), names[k]) == 0 ? (enum past_off)k : kind;
        }
        /* What is planned for later days isn't known to the past. */
        out->off[out->n_off++] =
            (struct past_span){ kind, dates_day_number(db_text_at(&rows, i, 1)),
                                to == INT64_MIN ? INT64_MAX : to };
    }
    return true;
}

static bool load_notes(const struct loading *loading, struct error *err)
{
    struct rider_history *out = loading->out;
    struct db_rows rows = { 0 };
    if (!ask(
            loading,
            "SELECT id, day, effort_0_10, legs_1_5, sleep_1_5, stress_1_5, soreness_1_5, ill, hot, "
            "words FROM day_note WHERE rider = $1 AND day <= $2 ORDER BY day, id",
            "itRIIIIbbT", &rows, err)) {
        return false;
    }
    out->notes = ARENA_ARRAY(loading->arena, struct past_note, rows.count);
    out->n_notes = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        out->notes[i] = (struct past_note){
            .id = db_integer_at(&rows, i, 0),
            .day = dates_day_number(db_text_at(&rows, i, 1)),
            .effort_0_10 = db_real_at(&rows, i, 2),
            .legs_1_5 = (int)db_integer_at(&rows, i, 3),
            .sleep_1_5 = (int)db_integer_at(&rows, i, 4),
            .stress_1_5 = (int)db_integer_at(&rows, i, 5),
            .soreness_1_5 = (int)db_integer_at(&rows, i, 6),
            .ill = db_bool_at(&rows, i, 7),
            .hot = db_bool_at(&rows, i, 8),
            .words = db_is_null(&rows, i, 9) ? NULL
                                             : arena_string(loading->arena, db_text_at(&rows, i, 9))
        };
    }
    return true;
}

static bool load_links(const struct loading *loading, struct error *err)
{
    struct rider_history *out = loading->out;
    return meter_checks_links(loading->db, loading->arena, loading->rider, loading->today,
                              &out->links, &out->n_links, err);
}

/* The rider's own row with every threshold, or with none beside it. */
static bool load_rider(const struct loading *loading, struct error *err)
{
    struct rider_history *out = loading->out;
    struct db_rows rows = { 0 };
    if (!ask(loading,
             "SELECT p.power_since_day, t.day, t.value_w FROM rider p LEFT JOIN threshold t ON "
             "t.rider = p.id AND t.day <= $2 WHERE p.id = $1 ORDER BY t.day, t.id",
             "TTR", &rows, err)) {
        return false;
    }
    out->power_since_day = INT64_MIN;
    out->threshold_day = INT64_MIN;
    out->thresholds = ARENA_ARRAY(loading->arena, struct past_threshold, rows.count);
    for (size_t i = 0; i < rows.count; i++) {
        out->power_since_day = dates_day_number(db_text_at(&rows, i, 0));
        if (!db_is_null(&rows, i, 1)) {
            out->threshold_day = dates_day_number(db_text_at(&rows, i, 1));
            out->thresholds[out->n_thresholds++] =
                (struct past_threshold){ out->threshold_day, db_real_at(&rows, i, 2) };
        }
    }
    return true;
}

static bool count_waiting(const struct loading *loading, size_t *n_waiting, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!ask(
            loading,
            "SELECT CAST(COUNT(*) AS BIGINT) FROM job j JOIN recording r ON r.id = j.subject WHERE "
            "j.kind = 'read' AND j.subject_kind = 'recording' AND r.rider = $1 AND r.local_day <= "
            "$2",
            "i", &rows, err)) {
        return false;
    }
    *n_waiting = (size_t)db_integer_at(&rows, 0, 0);
    return true;
}

static bool load_all(struct loading *loading, size_t *n_waiting, struct error *err)
{
    return load_rides(loading, err) && load_readings(loading, err) && load_heart(loading, err) &&
           load_response(loading, err) && load_loads(loading, err) && load_asked(loading, err) &&
           load_efforts(loading, err) && load_meters(loading, err) && load_links(loading, err) &&
           load_off(loading, err) && load_notes(loading, err) && load_rider(loading, err) &&
           count_waiting(loading, n_waiting, err);
}

static bool load(struct loading *loading, size_t *n_waiting, struct error *err)
{
    loading->scratch = arena_open();
    const bool done = load_all(loading, n_waiting, err);
    arena_close(loading->scratch);
    return done;
}

bool past_load(struct db *db, struct arena *arena, const struct rider *rider, const char *today,
               struct rider_history *out, size_t *n_waiting, struct error *err)
{
    struct loading loading = { .db = db,
                               .arena = arena,
                               .rider = rider->id,
                               .today = today,
                               .since = "0000-01-01",
                               .out = out };
    *out = (struct rider_history){ .today = dates_day_number(today) };
    return load(&loading, n_waiting, err);
}

bool past_load_recent(struct db *db, struct arena *arena, const struct rider *rider,
                      const char *today, struct rider_history *out, size_t *n_waiting,
                      struct error *err)
{
    char since[11];
    struct loading loading = {
        .db = db, .arena = arena, .rider = rider->id, .today = today, .since = since, .out = out
    };
    *out = (struct rider_history){ .today = dates_day_number(today) };
    dates_format_day(out->today - HISTORY_DAYS, since);
    return load(&loading, n_waiting, err);
}
