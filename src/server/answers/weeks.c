/* server/answers/weeks.c: a rider's weeks as JSON. */
#include "server/answers/weeks.h"

#include "base/dates.h"
#include "coaching/drift_repeat.h"
#include "coaching/words/came_words.h"
#include "roster/past.h"
#include "roster/readings.h"
#include "roster/record.h"
#include "roster/usual.h"

bool weeks_take(struct roster *roster, struct arena *arena, const struct rider *rider,
                const char *today, struct weeks *out, struct error *err)
{
    struct db *db = roster_db(roster);
    struct drift_repeat *repeat = ARENA_ARRAY(arena, struct drift_repeat, 1);
    *out = (struct weeks){ .rider = *rider };
    if (!readings_limits(db, arena, rider->id, &out->limits, err) ||
        !past_load(db, arena, rider, today, &out->history, &out->n_waiting, err) ||
        !usual_waiting(db, arena, rider->id, today, &out->n_unheld, err) ||
        !record_repeat(db, today, &out->limits, repeat, err)) {
        return false;
    }
    out->history.repeat = repeat;
    return true;
}

bool weeks_came_take(struct roster *roster, struct arena *arena, const struct weeks *weeks,
                     const char *today, struct weeks_came *out, struct error *err)
{
    enum { DAYS = 7 };
    struct came_session *all = NULL;
    size_t count = 0;
    const char *end = entry_day_after(arena, today, 1);
    *out = (struct weeks_came){ 0 };
    if (!came_back_list(roster, arena, weeks->rider.id, entry_day_after(arena, end, -DAYS), end,
                        today, &all, &count, &out->weeks, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (all[i].came.outcome != CAME_NOT_YET) {
            all[out->n++] = all[i];
        }
    }
    out->sessions = all;
    return true;
}

void weeks_came_json(struct json *json, const struct weeks_came *came)
{
    json_begin_object(json, "came_back");
    json_begin_array(json, "sessions");
    for (size_t i = 0; i < came->n; i++) {
        const struct came_line line = came_back_line_of(&came->sessions[i]);
        came_line_json(json, NULL, &line);
    }
    json_end_array(json);
    json_string(json, "weeks",
                came->weeks.counts.given == 0
                    ? NULL
                    : came_words_counts(json->out->arena, &came->weeks.counts, came->weeks.weeks));
    json_end_object(json);
}

void weeks_readings(const struct rider_readings *all, const struct reading *out[WEEK_READINGS])
{
    const struct reading *const readings[WEEK_READINGS] = {
        &all->how,        &all->comeback.reading, &all->base_state,       &all->base_trend.reading,
        &all->easy_weeks, &all->progress.joint,   &all->progress.stalled, &all->load.last,
        &all->load.now,
    };
    for (size_t i = 0; i < WEEK_READINGS; i++) {
        out[i] = readings[i];
    }
}

void weeks_head_json(struct json *json, const struct weeks *weeks, const char *today)
{
    json_integer(json, "rider", weeks->rider.id);
    json_string(json, "name", weeks->rider.name);
    json_string(json, "today", today);
    json_integer(json, "rides_being_read_again", (int64_t)weeks->n_waiting);
    json_integer(json, "rides_waiting_for_usual", (int64_t)weeks->n_unheld);
}

void readings_json(struct json *json, const char *key, const struct reading *const readings[],
                   size_t n, const struct reading_more *more)
{
    json_begin_array(json, key);
    for (size_t i = 0; i < n; i++) {
        reading_json_add_with(json, readings[i], more);
    }
    json_end_array(json);
}

static void add_amount(struct json *json, const char *name, const struct week_amount *amount)
{
    json_begin_object(json, name);
    json_number(json, "sum", amount->sum, 1);
    json_integer(json, "rides", (int64_t)amount->known);
    json_end_object(json);
}

void week_load_json(struct json *json, const struct week_load *week)
{
    char monday[11];
    dates_format_day(week->monday, monday);
    json_begin_object(json, NULL);
    json_string(json, "monday", monday);
    json_integer(json, "iso_year", week->iso.year);
    json_integer(json, "iso_week", week->iso.week);
    json_integer(json, "rides", (int64_t)week->n_rides);
    json_number(json, "hours", week->hours, 3);
    add_amount(json, "work_kj", &week->work_kj);
    add_amount(json, "impulse_low", &week->impulse_low);
    add_amount(json, "impulse_high", &week->impulse_high);
    add_amount(json, "session_rpe", &week->session_rpe);
    json_begin_array(json, "zone_s");
    for (size_t i = 0; i < ZONES_MOST; i++) {
        json_number(json, NULL, week->zone_s[i].sum, 0);
    }
    json_end_array(json);
    json_begin_array(json, "heart_zone_s");
    for (size_t i = 0; i < HEART_ZONES; i++) {
        json_number(json, NULL, week->heart_zone_s[i].sum, 0);
    }
    json_end_array(json);
    json_number(json, "monotony", week->by_effort.monotony, 3);
    json_number(json, "strain", week->by_effort.strain, 1);
    json_integer(json, "hard_days", (int64_t)week->n_hard_days);
    json_integer(json, "days_off", (int64_t)week->off_days);
    json_bool(json, "over", week->is_over);
    json_end_object(json);
}
