/* server/answers/sessions.c: what a rider is to ride, as JSON, workout and calendar. */
#include "server/answers/sessions.h"

#include "coaching/session_device.h"
#include "coaching/words/kind_words.h"

#include <math.h>
#include <string.h>

void session_fields_json(struct json *json, const struct rider_session *row)
{
    json_integer(json, "number", row->entry.id);
    json_string(json, "day", row->day);
    json_string(json, "name", row->name);
    json_string(json, "kind", row->kind);
    json_string(json, "state", row->state);
    json_string(json, "words", row->words);
    json_string(json, "why", row->why);
    json_string(json, "confirmed", row->confirmed);
    json_integer(json, "version", row->entry.version);
}

void session_json(struct json *json, const char *key, const struct rider_session *row)
{
    json_begin_object(json, key);
    session_fields_json(json, row);
    json_end_object(json);
}

void library_session_json(struct json *json, const struct library_session *session)
{
    json_begin_object(json, NULL);
    json_string(json, "name", session->name);
    json_string(json, "title", session->title);
    json_string(json, "kind", session->kind);
    json_string(json, "words", session->words);
    json_string(json, "meant_for", session->meant_for);
    json_string(json, "dose", session->dose);
    json_string(json, "cautions", session->cautions);
    json_string(json, "source", session->source);
    json_end_object(json);
}

void own_session_json(struct json *json, const struct own_session *own, bool with_version)
{
    json_begin_object(json, NULL);
    json_string(json, "name", own->name);
    json_string(json, "title", own->name);
    json_string(json, "kind", own->kind);
    json_string(json, "words", own->words);
    json_string(json, "meant_for", own->note);
    json_string(json, "dose", NULL);
    json_string(json, "cautions", NULL);
    json_string(json, "source", "the coach's own");
    if (with_version) {
        json_integer(json, "version", own->version);
    }
    json_end_object(json);
}

void session_kinds_json(struct json *json)
{
    json_begin_array(json, "kinds");
    for (size_t i = 0; session_kinds[i] != NULL; i++) {
        enum work_kind kind = KIND_UNKNOWN;
        json_begin_object(json, NULL);
        json_string(json, "name", session_kinds[i]);
        json_string(json, "words", words_kind(session_kinds[i]));
        json_bool(json, "of_work", work_kind_find(session_kinds[i], &kind));
        json_end_object(json);
    }
    json_end_array(json);
}

void session_fault_json(struct json *json, const struct session_fault *fault)
{
    if (fault == NULL) {
        json_null(json, "fault");
        return;
    }
    json_begin_object(json, "fault");
    json_integer(json, "line", (int64_t)fault->line);
    json_integer(json, "column", (int64_t)fault->column);
    json_integer(json, "letters", (int64_t)fault->letters);
    json_string(json, "why", fault->why);
    json_string(json, "instead", fault->instead);
    json_string(json, "text", session_fault_words(json->out->arena, fault));
    json_end_object(json);
}

/* ---- lines and steps ---- */

static const char *role_name(enum session_role role)
{
    static const char *const names[ROLES] = { NULL, "warm up", "rest", "cool down" };
    return names[role];
}

static const char *aim_name(enum session_aim aim)
{
    static const char *const names[AIMS] = { "free",           "% of threshold", "W",      "bpm",
                                             "% of max heart", "effort",         "all out" };
    return names[aim];
}

/* A line alone, as it is written. */
static const char *line_text(struct arena *arena, const struct session_line *line)
{
    struct session_line copy = *line;
    const struct session one = { &copy, 1 };
    return session_write(arena, &one);
}

static void line_json(struct json *json, const struct session_line *line)
{
    static const char *const kinds[] = {
        [LINE_BLOCK] = "block", [LINE_PLAN_B] = "plan B", [LINE_NOTE] = "note"
    };
    json_begin_object(json, NULL);
    json_string(json, "kind", kinds[line->kind]);
    json_string(json, "when", line->kind == LINE_PLAN_B ? line->words : NULL);
    json_string(json, "text", line_text(json->out->arena, line));
    json_end_object(json);
}

/* The range in watts; NAN where nothing tells. */
static double in_watts(const struct session_ridden *ridden, int32_t value, double threshold_w)
{
    const enum session_aim aim = ridden->step->aim;
    return aim == AIM_PCT ? value * threshold_w / 100.0 : aim == AIM_W ? value : (double)NAN;
}

static void step_json(struct json *json, const struct session_ridden *ridden, double threshold_w)
{
    const struct session_step *step = ridden->step;
    struct text text = text_begin(json->out->arena, 4 * SESSION_BYTES_MOST);
    session_write_step(&text, step);
    const bool has_numbers = step->aim != AIM_FREE && step->aim != AIM_ALL_OUT;
    json_begin_object(json, NULL);
    json_string(json, "text", text.bytes);
    json_string(json, "role", role_name(step->role));
    json_integer(json, "from_s", ridden->from_s);
    json_integer(json, "duration_s", ridden->seconds);
    json_string(json, "aim", aim_name(step->aim));
    json_number(json, "low", has_numbers ? ridden->low : (double)NAN, 0);
    json_number(json, "high", has_numbers ? ridden->high : (double)NAN, 0);
    json_number(json, "low_w", in_watts(ridden, ridden->low, threshold_w), 0);
    json_number(json, "high_w", in_watts(ridden, ridden->high, threshold_w), 0);
    json_number(json, "low_rpm", step->rpm_low > 0 ? step->rpm_low : (double)NAN, 0);
    json_number(json, "high_rpm", step->rpm_low > 0 ? step->rpm_high : (double)NAN, 0);
    json_string(json, "words", step->words);
    json_end_object(json);
}

static void dose_json(struct json *json, const struct session_dose *dose)
{
    json_begin_object(json, "dose");
    json_integer(json, "duration_s", dose->seconds);
    json_integer(json, "threshold_s", dose->threshold_s);
    json_integer(json, "vo2max_s", dose->vo2max_s);
    json_integer(json, "anaerobic_s", dose->anaerobic_s);
    json_integer(json, "hard_s", dose->hard_s);
    json_bool(json, "maximal", dose->is_maximal);
    json_bool(json, "hard", dose->is_hard);
    json_number(json, "highest_pct", dose->highest_pct, 0);
    json_end_object(json);
}

void session_steps_json(struct json *json, const struct session *session, double threshold_w,
                        const struct limits *limits)
{
    struct arena *arena = json->out->arena;
    size_t count = 0;
    const struct session_ridden *ridden = session_unroll(arena, session, &count);
    const struct session_dose dose = session_dose_of(arena, session, threshold_w, limits);
    json_begin_array(json, "lines");
    for (size_t i = 0; i < session->n_lines; i++) {
        line_json(json, &session->lines[i]);
    }
    json_end_array(json);
    json_begin_array(json, "steps");
    for (size_t i = 0; i < count; i++) {
        step_json(json, &ridden[i], threshold_w);
    }
    json_end_array(json);
    dose_json(json, &dose);
}

void session_breaches_json(struct json *json, const struct safe_breach breaches[], size_t n)
{
    json_begin_array(json, "breaches");
    for (size_t i = 0; i < n; i++) {
        json_begin_object(json, NULL);
        json_string(json, "name", breaches[i].name);
        json_bool(json, "refused", breaches[i].is_refused);
        json_string(json, "text", breaches[i].words);
        json_end_object(json);
    }
    json_end_array(json);
}

/* ---- for the rider's device and calendar ---- */

bool session_workout(struct arena *arena, const struct rider_session *row, double threshold_w,
                     int64_t made_utc_s, struct bytes *out, struct error *err)
{
    struct session session;
    struct fit_workout workout = { .name = row->name,
                                   .made_utc = made_utc_s,
                                   .serial = (uint32_t)(row->entry.id & 0x7FFFFFFF) };
    return sessions_steps(arena, row, &session, err) &&
           session_for_device(arena, &session, threshold_w, &workout.steps, &workout.n_steps,
                              err) &&
           fit_workout_write(arena, &workout, out, err);
}

bool session_calendar(struct roster *roster, struct text *out, const struct rider *rider,
                      const struct rider_session rows[], size_t n, int64_t made_utc_s,
                      struct error *err)
{
    struct arena *arena = out->arena;
    struct calendar_entry *entries = ARENA_ARRAY(arena, struct calendar_entry, n + 1);
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        struct rider_facts facts;
        if (strcmp(rows[i].state, "drafted") == 0) {
            continue;
        }
        if (!facts_on(roster, arena, rider->id, rows[i].day, &facts, err) ||
            !sessions_entry(roster, arena, &rows[i], facts.threshold_w, &entries[count++], err)) {
            return false;
        }
    }
    calendar_write(out, arena_format(arena, "Training of %s", rider->name), entries, count,
                   made_utc_s);
    return true;
}

bool session_calendar_entry(struct roster *roster, struct text *out, const struct rider *rider,
                            const struct rider_session *row, int64_t made_utc_s, struct error *err)
{
    struct rider_facts facts;
    struct calendar_entry entry;
    if (!facts_on(roster, out->arena, rider->id, row->day, &facts, err) ||
        !sessions_entry(roster, out->arena, row, facts.threshold_w, &entry, err)) {
        return false;
    }
    calendar_write_entry(out, &entry, made_utc_s);
    return true;
}
