/* tests/roster/next_scene.c: a rider with weeks of rides on file, for tests of what is proposed. */
#include "roster/next_scene.h"

#include "base/dates.h"
#include "base/text.h"
#include "coaching/words/caution_words.h"
#include "physiology/made_ride.h"
#include "roster/readings.h"
#include "roster/recordings.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

const struct roster_now next_now = { 1773619200, "tester" };

/* ---- the model ---- */

#define MODEL_DAY "2020-01-01"

struct storing {
    struct next_scene *scene;
    const struct packed_original *original;
    const struct packed_recording *packed;
    const struct packed_readings *readings;
};

static bool store(struct db *db, void *context, struct error *err)
{
    struct storing *storing = context;
    struct next_scene *scene = storing->scene;
    int64_t original = 0;
    return recordings_store_original(db, scene->arena, storing->original, next_now.utc_s, &original,
                                     err) &&
           recordings_store(db, scene->arena, scene->rider.id, original, storing->packed,
                            &scene->model, err) &&
           readings_store(db, scene->rider.id, scene->model, MODEL_DAY, storing->readings,
                          next_now.utc_s, err);
}

static void store_model(struct next_scene *scene)
{
    const struct piece pieces[] = { { 1800, 120, 0, false } };
    const struct limits limits = limits_default();
    const struct reading_source source = { .part = 1 };
    struct rider_facts facts = facts_unknown();
    struct recording *ride = made_ride(scene->arena, pieces, 1, 4);
    struct ride_readings made;
    struct packed_original original;
    struct packed_recording packed;
    struct error err = { 0 };
    facts.threshold_w = 250;
    ride->has_start_utc = true;
    ride->start_utc = dates_day_number(MODEL_DAY) * 86400 + 36000;
    recordings_pack_original(scene->arena, "a.fit",
                             (struct bytes){ (const uint8_t *)MODEL_DAY, sizeof MODEL_DAY }, NULL,
                             &original);
    must(recordings_pack(scene->arena, ride, MODEL_DAY, &packed, &err), &err);
    must(reading_make(scene->arena, ride, &facts, &limits, &made, &err), &err);
    const struct packed_readings readings =
        readings_pack(scene->arena, &made, &source, &facts, &limits);
    struct storing storing = { scene, &original, &packed, &readings };
    must(db_write(roster_db(scene->roster), store, &storing, &err), &err);
    /* Without a day it is no part of what was ridden. */
    next_scene_run(scene, "UPDATE recording SET local_day = NULL");
}

struct next_scene next_scene_begin(struct rider rider)
{
    struct error err = { 0 };
    struct next_scene scene = { .arena = arena_open(), .today = dates_day_number(NEXT_TODAY) };
    must(roster_open(store_place(), ROSTER_CREATE, next_now, &scene.roster, &err), &err);
    next_scene_rider(&scene, rider);
    store_model(&scene);
    return scene;
}

void next_scene_rider(struct next_scene *scene, struct rider rider)
{
    struct error err = { 0 };
    scene->rider = rider;
    must(riders_add(scene->roster, scene->arena, next_now, &scene->rider, &err), &err);
}

void next_scene_end(struct next_scene *scene)
{
    roster_close(scene->roster);
    arena_close(scene->arena);
}

const char *next_scene_day(const struct next_scene *scene, int days_ago)
{
    char day[11];
    dates_format_day(scene->today - days_ago, day);
    return arena_string(scene->arena, day);
}

void next_scene_run(const struct next_scene *scene, const char *format, ...)
{
    char sql[4000];
    va_list args;
    va_start(args, format);
    const int length = vsnprintf(sql, sizeof sql, format, args);
    va_end(args);
    check(length > 0 && (size_t)length < sizeof sql);
    store_run(roster_db(scene->roster), sql);
}

int64_t next_scene_number(const struct next_scene *scene, const char *sql)
{
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    must(db_query(roster_db(scene->roster), scene->arena, sql, "i", DB_NONE, &rows, &err), &err);
    return db_integer_at(&rows, 0, 0);
}

/* ---- rides ---- */

static void add_reading(const struct next_scene *scene, int64_t id, const char *day,
                        const char *question, const char *verdict)
{
    if (verdict != NULL) {
        next_scene_run(
            scene,
            "INSERT INTO reading (rider, question, subject_kind, subject, set_number, "
            "rep_number, day, verdict, estimate, low, high, method, basis_hash, content, "
            "made_utc_s) SELECT %lld, '%s', 'recording', %lld, 0, 0, '%s', '%s', 8, 4, "
            "16, method, basis_hash, content, made_utc_s FROM reading WHERE subject = "
            "%lld AND question = 'trust'",
            (long long)scene->rider.id, question, (long long)id, day, verdict,
            (long long)scene->model);
    }
}

static const char *or_null(const struct next_scene *scene, const char *words)
{
    return words == NULL ? "NULL" : arena_format(scene->arena, "'%s'", words);
}

int64_t next_scene_ride(struct next_scene *scene, int days_ago, struct next_ride ride)
{
    const char *day = next_scene_day(scene, days_ago);
    const int64_t id = 1 + next_scene_number(scene, "SELECT MAX(id) FROM recording");
    next_scene_run(scene,
                   "INSERT INTO recording (id, rider, original, part, parts, same_by_hand, format, "
                   "method, sport, is_ride, place, start_utc_s, local_day, n_seconds, timer_s, "
                   "work_kj, effort_0_10) SELECT %lld, %lld, original, %lld, parts, same_by_hand, "
                   "format, method, sport, is_ride, place, %lld, '%s', n_seconds, %ld, %ld, %s "
                   "FROM recording WHERE id = %lld",
                   (long long)id, (long long)scene->rider.id, (long long)id,
                   (long long)((scene->today - days_ago) * 86400 + 36000), day,
                   lround(3600 * ride.hours), lround(500 * ride.hours),
                   ride.effort_0_10 > 0 ? arena_format(scene->arena, "%g", ride.effort_0_10)
                                        : "NULL",
                   (long long)scene->model);
    add_reading(scene, id, day, "trust", "usable");
    add_reading(scene, id, day, "base", ride.base);
    add_reading(scene, id, day, "easy work", ride.easy);
    add_reading(scene, id, day, "hard work", ride.hard);
    add_reading(scene, id, day, "hard day", ride.is_hard_day ? "hard day" : "no hard day");
    next_scene_run(
        scene,
        "INSERT INTO ride_load (recording, hours, work_kj, zones, heart_zones, cautions, "
        "is_hilly) VALUES (%lld, %g, %g, '[]', '[]', 0, FALSE)",
        (long long)id, ride.hours, 500 * ride.hours);
    for (int d = 0; ride.best_w > 0 && d < 3; d++) {
        static const int durations[] = { 300, 600, 1200 };
        next_scene_run(scene,
                       "INSERT INTO effort (recording, duration_s, power_w, start_s, evidence) "
                       "VALUES (%lld, %d, %d, 10, %u)",
                       (long long)id, durations[d], ride.best_w + 20 * (2 - d), ride.evidence);
    }
    if (ride.was != NULL || ride.asked != NULL) {
        next_scene_run(scene,
                       "INSERT INTO asked (recording, kind, was, reps, rep_duration_s) VALUES "
                       "(%lld, '%s', %s, %s, %s)",
                       (long long)id, ride.asked == NULL ? "unknown" : ride.asked,
                       or_null(scene, ride.was),
                       ride.reps > 0 ? arena_format(scene->arena, "%d", ride.reps) : "NULL",
                       ride.rep_s > 0 ? arena_format(scene->arena, "%d", ride.rep_s) : "NULL");
    }
    return id;
}

/* ---- what is proposed ---- */

/* Whatever a coach could have written, and what was written of it. */
static int64_t written(const struct next_scene *scene)
{
    return next_scene_number(scene, "SELECT (SELECT COUNT(*) FROM session) + 1000 * (SELECT "
                                    "COUNT(*) FROM change) + 1000000 * (SELECT COUNT(*) FROM job)");
}

struct next_answer *next_scene_ask(struct next_scene *scene, int ahead)
{
    struct error err = { 0 };
    struct next_answer *answer = ARENA_ARRAY(scene->arena, struct next_answer, 1);
    const int64_t before = written(scene);
    must(next_take(scene->roster, scene->arena, &scene->rider, NEXT_TODAY, ahead, answer, &err),
         &err);
    check_integer("written by asking", written(scene) - before, 0);
    return answer;
}

const char *next_scene_proposed(const struct next_scene *scene, const struct next_answer *answer)
{
    struct text text = text_begin(scene->arena, 4000);
    for (size_t i = 0; i < answer->n; i++) {
        const struct next_proposal *one = answer->items[i].proposal;
        text_add_format(&text, "%s%s", i > 0 ? " " : "", one->rule);
        if (one->session != NULL) {
            text_add_format(&text, ":%s+%d", one->session, (int)(one->day - scene->today));
        }
        if (one->change != NEXT_AS_IT_IS) {
            text_add_format(&text, "/%s", next_change_name(one->change));
        }
    }
    return text.bytes;
}

static void add_lines(struct text *text, const char *const lines[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        text_add_format(text, "%s\n", lines[i]);
    }
}

static void add_item(struct text *text, const struct next_item *item)
{
    const struct next_proposal *one = item->proposal;
    text_add_format(text, "%s (%s) %s\n", one->why, one->source, one->how == NULL ? "" : one->how);
    if (item->number > 0) {
        text_add_format(text, "%s: %s %s\n", one->name, one->words,
                        item->caution == NULL ? "" : item->caution);
    }
}

const char *next_scene_told(const struct next_scene *scene, const struct next_answer *answer)
{
    struct text text = text_begin(scene->arena, 100000);
    for (size_t i = 0; i < answer->cautions.count; i++) {
        text_add_format(&text, "%s\n", words_rider_caution(answer->cautions.list[i]));
    }
    for (size_t i = 0; i < answer->n; i++) {
        add_item(&text, &answer->items[i]);
    }
    for (size_t i = 0; i < answer->plan.n_left; i++) {
        text_add_format(&text, "%s\n", answer->plan.left[i].why);
    }
    for (size_t i = 0; i < answer->n_stands; i++) {
        text_add_format(&text, "%s: %s\n", answer->stands[i].row.name,
                        answer->stands[i].code == NULL ? "" : answer->stands[i].words);
    }
    add_lines(&text, answer->evidence, answer->n_evidence);
    add_lines(&text, answer->assumed, answer->n_assumed);
    add_lines(&text, answer->cannot, answer->n_cannot);
    text_add_format(&text, "%s\n", answer->nothing == NULL ? "" : answer->nothing);
    return text.bytes;
}
