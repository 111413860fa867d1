/* roster/about.c: what is in a roster, and what is set for all of it. */
#include "roster/about.h"

#include "roster/settings.h"

#include <string.h>
#include <sys/stat.h>

static int64_t size_of(const char *path)
{
    struct stat status = { 0 };
    return stat(path, &status) == 0 ? (int64_t)status.st_size : 0;
}

static bool find_bytes(struct db *db, struct arena *arena, int64_t *bytes, struct error *err)
{
    struct db_rows rows = { 0 };
    if (db_kind(db) == DB_SQLITE) {
        *bytes = size_of(db_place(db)) + size_of(arena_format(arena, "%s-wal", db_place(db)));
        return true;
    }
    if (!db_query(db, arena, "SELECT pg_database_size(current_database())", "i", DB_NONE, &rows,
                  err)) {
        return false;
    }
    *bytes = db_integer_at(&rows, 0, 0);
    return true;
}

struct asking {
    struct arena *arena;
    struct about *out;
};

static bool ask(struct db *db, void *context, struct error *err)
{
    struct asking *asking = context;
    struct about *out = asking->out;
    struct db_rows rows = { 0 };
    const struct {
        const char *sql;
        int64_t *into;
    } counts[] = {
        { "SELECT schema_number FROM roster_state WHERE id = 1", &out->schema },
        { "SELECT made_utc_s FROM roster_state WHERE id = 1", &out->made_utc_s },
        { "SELECT COUNT(*) FROM rider", &out->riders },
        { "SELECT COUNT(*) FROM rider WHERE is_away = TRUE", &out->riders_away },
        { "SELECT COUNT(*) FROM recording", &out->recordings },
        { "SELECT COUNT(*) FROM recording WHERE is_ride = TRUE AND same_as IS NULL", &out->rides },
        { "SELECT COUNT(*) FROM recording WHERE same_as IS NOT NULL", &out->same },
        { "SELECT COUNT(*) FROM original", &out->originals },
        { "SELECT CAST(COALESCE(SUM(size), 0) AS BIGINT) FROM original", &out->original_bytes },
        { "SELECT COUNT(*) FROM reading", &out->readings },
        { "SELECT COUNT(*) FROM change", &out->changes },
        { "SELECT COUNT(*) FROM job", &out->jobs },
        { "SELECT COUNT(*) FROM failed_file", &out->failed },
    };
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++) {
        if (!db_query(db, asking->arena, counts[i].sql, "i", DB_NONE, &rows, err)) {
            return false;
        }
        *counts[i].into = rows.count > 0 ? db_integer_at(&rows, 0, 0) : 0;
    }
    if (!db_query(db, asking->arena, "SELECT MIN(local_day), MAX(local_day) FROM recording", "TT",
                  DB_NONE, &rows, err)) {
        return false;
    }
    out->first_day = db_text_at(&rows, 0, 0);
    out->last_day = db_text_at(&rows, 0, 1);
    return settings_read(db, asking->arena, SETTING_ZONE, &out->zone_name, err) &&
           find_bytes(db, asking->arena, &out->bytes, err);
}

bool about_read(struct roster *roster, struct arena *arena, struct about *out, struct error *err)
{
    struct asking asking = { arena, out };
    *out = (struct about){ 0 };
    return db_read(roster_db(roster), ask, &asking, err);
}
