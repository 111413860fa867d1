/* roster/attention_marks.c: what the coach did about a rider on the list. */
#include "roster/attention_marks.h"

#include "base/dates.h"
#include "base/text.h"
#include "roster/changes.h"

#include <string.h>

static const struct {
    const char *name; /* in the store */
    enum attention_state state;
} states[] = { { "done", MARK_DONE }, { "asked", MARK_ASKED }, { "not-before", MARK_NOT_BEFORE } };

static const char *store_name(enum attention_state state)
{
    for (size_t i = 0; i < sizeof states / sizeof states[0]; i++) {
        if (states[i].state == state) {
            return states[i].name;
        }
    }
    return states[0].name;
}

bool attention_marks_list(struct db *db, struct arena *arena, const char *today,
                          struct attention_mark **out, size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT rider, code, state, evidence, last_note, set_day, not_before_day, line "
                  "FROM attention_mark WHERE set_day <= $1 ORDER BY id",
                  "ittiitTT", DB_ARGS(db_text(today)), &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct attention_mark, rows.count);
    *count = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        struct attention_mark *mark = &(*out)[i];
        *mark =
            (struct attention_mark){ .rider = db_integer_at(&rows, i, 0),
                                     .code = db_text_at(&rows, i, 1),
                                     .evidence = db_integer_at(&rows, i, 3),
                                     .last_note = db_integer_at(&rows, i, 4),
                                     .set_day = dates_day_number(db_text_at(&rows, i, 5)),
                                     .not_before_day = dates_day_number(db_text_at(&rows, i, 6)),
                                     .line = db_text_at(&rows, i, 7) };
        for (size_t k = 0; k < sizeof states / sizeof states[0]; k++) {
            if (strcmp(db_text_at(&rows, i, 2), states[k].name) == 0) {
                mark->state = states[k].state;
            }
        }
    }
    return true;
}

bool attention_marks_last_contact(struct db *db, struct arena *arena, int64_t rider,
                                  const char *today, int64_t *day, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, "SELECT MAX(day) FROM contact WHERE rider = $1 AND day <= $2", "T",
                  DB_ARGS(db_integer(rider), db_text(today)), &rows, err)) {
        return false;
    }
    *day = rows.count == 0 ? INT64_MIN : dates_day_number(db_text_at(&rows, 0, 0));
    return true;
}

struct work {
    struct arena *arena;
    struct roster_now now;
    const struct rider *rider;
    const struct attention_mark *mark;
    const char **said;
};

/* "Ada Berg, easy-too-hard: asked, waiting (by phone)". */
static const char *say(const struct work *work)
{
    const struct attention_mark *mark = work->mark;
    struct text out = text_begin(work->arena, 2000);
    char day[11];
    text_add_format(&out, "%s, %s: ", work->rider->name, mark->code);
    if (mark->state == MARK_NOT_BEFORE) {
        dates_format_day(mark->not_before_day, day);
        text_add_format(&out, "not before %s", day);
    } else {
        text_add(&out, mark->state == MARK_DONE ? "done" : "asked, waiting");
    }
    if (mark->line != NULL) {
        text_add_format(&out, " (%s)", mark->line);
    }
    return out.bytes;
}

static bool set(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    const struct attention_mark *mark = work->mark;
    struct db_rows rows = { 0 };
    struct change change = { 0 };
    char set_day[11];
    char not_before[11];
    if (!db_query(db, work->arena,
                  "SELECT id FROM attention_mark WHERE rider = $1 AND code = $2 ORDER BY id DESC "
                  "LIMIT 1",
                  "i", DB_ARGS(db_integer(work->rider->id), db_text(mark->code)), &rows, err)) {
        return false;
    }
    *work->said = say(work);
    dates_format_day(mark->set_day, set_day);
    if (mark->state == MARK_NOT_BEFORE) {
        dates_format_day(mark->not_before_day, not_before);
    }
    const struct edit edits[] = {
        { "rider", db_integer(work->rider->id) },
        { "code", db_text(mark->code) },
        { "state", db_text(store_name(mark->state)) },
        { "evidence", db_integer(mark->evidence) },
        { "last_note", db_integer(mark->last_note) },
        { "set_day", db_text(set_day) },
        { "not_before_day", db_text(mark->state == MARK_NOT_BEFORE ? not_before : NULL) },
        { "line", db_text(mark->line) },
    };
    const size_t n = sizeof edits / sizeof edits[0];
    int64_t id = 0;
    if (!changes_begin(db, work->arena, work->now, *work->said, &change, err)) {
        return false;
    }
    return rows.count > 0 ? changes_edit(&change, "attention_mark", db_integer_at(&rows, 0, 0), 0,
                                         edits, n, err)
                          : changes_add(&change, "attention_mark", edits, n, &id, err);
}

bool attention_marks_set(struct roster *roster, struct arena *arena, struct roster_now now,
                         const struct rider *rider, const struct attention_mark *mark,
                         const char **said, struct error *err)
{
    struct work work = { arena, now, rider, mark, said };
    return db_write(roster_db(roster), set, &work, err);
}
