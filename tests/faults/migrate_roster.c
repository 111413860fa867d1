/* tests/faults/migrate_roster.c: migrate-roster FILE: brings a roster to a schema that is invented,
 * as a later Plumbline would, for a test that kills it half way. */
#include "base/error.h"
#include "roster/db.h"
#include "roster/schema/schema.h"

#include <stdio.h>

static const char *const later[] = {
    "CREATE TABLE later (id {ID}, of_rider {INTEGER} NOT NULL, words {TEXT} NOT NULL) {STRICT}",
    "INSERT INTO later (of_rider, words) SELECT id, name FROM rider",
    "CREATE TABLE series_later (id {ID}, recording {INTEGER} NOT NULL, content {BLOB} NOT NULL) "
    "{STRICT}",
    "INSERT INTO series_later (recording, content) SELECT recording, content FROM series ORDER BY "
    "id",
    "UPDATE recording SET version = version + 1",
    NULL,
};

int main(int argc, char *argv[])
{
    struct migration all[32];
    struct migrations newer = { all, schema_migrations.count + 1 };
    struct schema_done done = { 0 };
    struct error err = { 0 };
    struct db *db = NULL;
    if (argc != 2 || newer.count > sizeof all / sizeof all[0]) {
        fprintf(stderr, "usage: migrate-roster FILE\n");
        return 2;
    }
    for (size_t i = 0; i < schema_migrations.count; i++) {
        all[i] = schema_migrations.items[i];
    }
    all[schema_migrations.count].statements = later;
    const bool migrated =
        db_open(argv[1], &db, &err) && schema_open(db, &newer, false, 1773480413, &done, &err);
    db_close(db);
    if (!migrated) {
        fprintf(stderr, "migrate-roster: %s\n", err.message);
    }
    return migrated ? 0 : 1;
}
