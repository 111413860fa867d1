/* roster/settings.c: what holds for the whole roster. */
#include "roster/settings.h"

#include "base/dates.h"
#include "roster/changes.h"
#include "roster/zone.h"

#include <string.h>

static bool find(struct db *db, struct arena *arena, const char *name, struct db_rows *rows,
                 struct error *err)
{
    return db_query(db, arena, "SELECT id, content FROM setting WHERE name = $1", "iT",
                    DB_ARGS(db_text(name)), rows, err);
}

bool settings_read(struct db *db, struct arena *arena, const char *name, const char **out,
                   struct error *err)
{
    struct db_rows rows = { 0 };
    if (!find(db, arena, name, &rows, err)) {
        return false;
    }
    *out = rows.count > 0 ? db_text_at(&rows, 0, 1) : NULL;
    return true;
}

bool settings_get(struct roster *roster, struct arena *arena, const char *name, const char **out,
                  struct error *err)
{
    return settings_read(roster_db(roster), arena, name, out, err);
}

static bool is_sound(const char *name, const char *content, struct error *err)
{
    int64_t days = 0;
    if (strcmp(name, SETTING_TODAY) == 0) {
        return content == NULL || dates_parse_day(content, &days) ||
               error_set(err, ERROR_USAGE, "%s is no day; write it as 2026-03-14", content);
    }
    if (strcmp(name, SETTING_ZONE) == 0) {
        struct zone *zone = NULL;
        const bool known = content == NULL || zone_open(content, &zone, err);
        zone_close(zone);
        return known;
    }
    return error_set(err, ERROR_USAGE, "%s: there is no such setting; there are %s and %s", name,
                     SETTING_ZONE, SETTING_TODAY);
}

struct setting_work {
    struct arena *arena;
    struct roster_now now;
    const char *name;
    const char *content;
};

static const char *or_none(const char *content)
{
    return content == NULL ? "none" : content;
}

/* Of the zone also what it was: rides were put on days by it. */
static const char *say(const struct setting_work *work, const char *before)
{
    return strcmp(work->name, SETTING_ZONE) == 0
               ? arena_format(work->arena, "Time zone of the roster: %s (was %s)",
                              or_none(work->content), or_none(before))
               : arena_format(work->arena, "Setting %s of the roster: %s", work->name,
                              or_none(work->content));
}

static bool set(struct db *db, void *context, struct error *err)
{
    const struct setting_work *work = context;
    struct db_rows rows = { 0 };
    struct change change = { 0 };
    int64_t id = 0;
    if (!find(db, work->arena, work->name, &rows, err)) {
        return false;
    }
    const char *before = rows.count > 0 ? db_text_at(&rows, 0, 1) : NULL;
    const bool same = before == NULL || work->content == NULL ? before == work->content
                                                              : strcmp(before, work->content) == 0;
    if (same) {
        return true;
    }
    const struct edit edits[] = { { "name", db_text(work->name) },
                                  { "content", db_text(work->content) } };
    if (!changes_begin(db, work->arena, work->now, say(work, before), &change, err)) {
        return false;
    }
    return rows.count > 0
               ? changes_edit(&change, "setting", db_integer_at(&rows, 0, 0), 0, edits, 2, err)
               : changes_add(&change, "setting", edits, 2, &id, err);
}

bool settings_set(struct roster *roster, struct arena *arena, struct roster_now now,
                  const char *name, const char *content, struct error *err)
{
    struct setting_work work = { arena, now, name, content };
    return is_sound(name, content, err) && db_write(roster_db(roster), set, &work, err);
}
