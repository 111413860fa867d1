/* roster/looked.c: when the coach last looked at the list, and what came since. */
#include "roster/looked.h"

#include "base/dates.h"
#include "roster/settings.h"
#include "roster/zone.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

/* The row of `setting`: the last look of an earlier day (0 = none) and the last look. */
static const char NAME[] = "looked";

struct looks {
    int64_t before;
    int64_t last; /* 0 = never */
};

/* What isn't two instants was written by somebody else: as if there were none. */
static struct looks looks_of(const char *content)
{
    char *end = NULL;
    errno = 0;
    const int64_t before = strtoll(content, &end, 10);
    if (end == content || *end != ' ' || before < 0) {
        return (struct looks){ 0 };
    }
    const char *second = end + 1;
    const int64_t last = strtoll(second, &end, 10);
    const bool is_ours = errno == 0 && end != second && *end == '\0' && last >= before;
    return is_ours ? (struct looks){ before, last } : (struct looks){ 0 };
}

static bool find_looks(struct db *db, struct arena *arena, struct looks *out, struct error *err)
{
    const char *content = NULL;
    if (!settings_read(db, arena, NAME, &content, err)) {
        return false;
    }
    *out = (struct looks){ 0 };
    if (content != NULL) {
        *out = looks_of(content);
    }
    return true;
}

static bool find_days(struct db *db, struct arena *arena, const int64_t instants[], char days[][11],
                      size_t n, struct error *err)
{
    const char *name = NULL;
    struct zone *zone = NULL;
    if (!settings_read(db, arena, SETTING_ZONE, &name, err) ||
        !zone_open(name == NULL ? "UTC" : name, &zone, err)) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        zone_day(zone, instants[i], days[i]);
    }
    zone_close(zone);
    return true;
}

/* From when on what comes is new; 0 = from the beginning. */
static int64_t since_of(const struct looks *looks, char days[][11])
{
    return strcmp(days[0], days[1]) < 0 ? looks->last : looks->before;
}

static bool count(struct db *db, struct arena *arena, const char *sql, int64_t since, size_t *out,
                  struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, sql, "i", DB_ARGS(db_integer(since)), &rows, err)) {
        return false;
    }
    *out = rows.count == 0 ? 0 : (size_t)db_integer_at(&rows, 0, 0);
    return true;
}

bool looked_read(struct db *db, struct arena *arena, struct roster_now now, struct looked *out,
                 struct error *err)
{
    struct looks looks;
    char days[3][11];
    *out = (struct looked){ 0 };
    if (!find_looks(db, arena, &looks, err)) {
        return false;
    }
    const int64_t instants[] = { looks.last, now.utc_s, looks.before };
    if (!find_days(db, arena, instants, days, 3, err)) {
        return false;
    }
    out->since_utc_s = since_of(&looks, days);
    out->is_known = out->since_utc_s > 0;
    memcpy(out->day, out->since_utc_s == looks.last ? days[0] : days[2], sizeof out->day);
    memcpy(out->now_day, days[1], sizeof out->now_day);
    return count(db, arena,
                 /* A join would look into each original by its id, past its bytes. */
                 "SELECT COUNT(*) FROM recording r WHERE r.is_ride = TRUE AND r.same_as IS NULL "
                 "AND r.original IN (SELECT o.id FROM original o WHERE o.taken_utc_s > $1)",
                 out->since_utc_s, &out->rides, err) &&
           count(db, arena,
                 "SELECT COUNT(*) FROM failed_file WHERE seen_utc_s > $1 AND error_kind <> "
                 "'not-a-recording'",
                 out->since_utc_s, &out->unreadable, err) &&
           count(db, arena,
                 "SELECT COUNT(*) FROM day_note n WHERE n.id IN (SELECT r.row_id FROM change_row r "
                 "JOIN change c ON c.id = r.change WHERE r.table_name = 'day_note' AND r.kind = "
                 "'add' AND c.made_utc_s > $1)",
                 out->since_utc_s, &out->answers, err);
}

struct work {
    struct arena *arena;
    struct roster_now now;
};

static bool write_down(struct db *db, void *context, struct error *err)
{
    const struct work *work = context;
    struct looks looks;
    char days[2][11];
    if (!find_looks(db, work->arena, &looks, err)) {
        return false;
    }
    const int64_t instants[] = { looks.last, work->now.utc_s };
    if (!find_days(db, work->arena, instants, days, 2, err)) {
        return false;
    }
    const bool is_later_day = strcmp(days[0], days[1]) < 0;
    if (!is_later_day && work->now.utc_s - looks.last < LOOKED_AGAIN_S) {
        return true;
    }
    const char *content = arena_format(work->arena, "%lld %lld", (long long)since_of(&looks, days),
                                       (long long)work->now.utc_s);
    return db_run(db,
                  "INSERT INTO setting (name, content) VALUES ($1, $2) ON CONFLICT (name) DO "
                  "UPDATE SET content = excluded.content, version = setting.version + 1",
                  DB_ARGS(db_text(NAME), db_text(content)), err);
}

bool looked_now(struct roster *roster, struct arena *arena, struct roster_now now,
                struct error *err)
{
    struct work work = { arena, now };
    return db_write(roster_db(roster), write_down, &work, err);
}
