/* roster/entries.c: what a coach writes of a rider entry by entry. */
#include "roster/entries.h"

#include "base/dates.h"
#include "base/text.h"

#include <string.h>

/* ---- reading ---- */

static bool query(struct db *db, struct arena *arena, const struct entry_kind *kind, int64_t rider,
                  int64_t id, struct db_rows *rows, struct error *err)
{
    const char *sql = arena_format(arena,
                                   "SELECT id, version, %s FROM %s WHERE rider = $1 AND (id = $2 "
                                   "OR $2 = 0) ORDER BY %s, id",
                                   kind->columns, kind->table, kind->order);
    return db_query(db, arena, sql, arena_format(arena, "ii%s", kind->shape),
                    DB_ARGS(db_integer(rider), db_integer(id)), rows, err);
}

static void take(const struct entry_kind *kind, const struct db_rows *rows, size_t i, void *row)
{
    const struct entry entry = { db_integer_at(rows, i, 0), db_integer_at(rows, i, 1), NULL };
    memset(row, 0, kind->size);
    kind->take(rows, i, row);
    memcpy(row, &entry, sizeof entry);
}

bool entries_read(struct db *db, struct arena *arena, const struct entry_kind *kind, int64_t rider,
                  void *out, size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!query(db, arena, kind, rider, 0, &rows, err)) {
        return false;
    }
    char *all = arena_alloc(arena, rows.count, kind->size);
    for (size_t i = 0; i < rows.count; i++) {
        take(kind, &rows, i, all + i * kind->size);
    }
    memcpy(out, &all, sizeof all);
    *count = rows.count;
    return true;
}

bool entries_list(struct roster *roster, struct arena *arena, const struct entry_kind *kind,
                  int64_t rider, void *out, size_t *count, struct error *err)
{
    return entries_read(roster_db(roster), arena, kind, rider, out, count, err);
}

static bool find(struct db *db, struct arena *arena, const struct entry_kind *kind,
                 const struct rider *rider, int64_t id, void *row, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!query(db, arena, kind, rider->id, id, &rows, err)) {
        return false;
    }
    if (id <= 0 || rows.count == 0) {
        return error_set(err, ERROR_NOT_FOUND, "number %lld: %s has no such %s; %s%s lists them",
                         (long long)id, rider->name, kind->name,
                         kind->lists == NULL ? "rider " : "",
                         kind->lists == NULL ? kind->act : kind->lists);
    }
    take(kind, &rows, 0, row);
    return true;
}

bool entries_find(struct roster *roster, struct arena *arena, const struct entry_kind *kind,
                  const struct rider *rider, int64_t id, void *row, struct error *err)
{
    return find(roster_db(roster), arena, kind, rider, id, row, err);
}

/* ---- writing ---- */

static struct entry entry_of(const void *row)
{
    struct entry entry;
    memcpy(&entry, row, sizeof entry);
    return entry;
}

bool entries_put(struct change *change, const struct entry_kind *kind, const struct rider *rider,
                 void *row, struct error *err)
{
    struct edit edits[ENTRY_EDITS_MOST];
    struct entry entry = entry_of(row);
    if (!kind->clean(change->arena, row, err) ||
        (kind->fits != NULL && !kind->fits(change->db, change->arena, rider, row, err))) {
        return false;
    }
    size_t n = kind->edits(row, edits);
    bool done = false;
    if (entry.id > 0) {
        done = changes_edit(change, kind->table, entry.id, entry.version, edits, n, err);
        entry.version = entry.version > 0 ? entry.version + 1 : 0;
    } else {
        edits[n++] = (struct edit){ "rider", db_integer(rider->id) };
        done = changes_add(change, kind->table, edits, n, &entry.id, err);
        entry.version = 1;
    }
    if (done) {
        memcpy(row, &entry, sizeof entry);
    }
    return done;
}

struct work {
    struct arena *arena;
    struct roster_now now;
    const struct entry_kind *kind;
    const struct rider *rider;
    struct entry entry; /* as it came: work may be done again from the start */
    void *row;
    void *was; /* room for one */
    db_work *then;
    void *then_context;
};

static void say(struct work *work, const char *words)
{
    struct entry entry = entry_of(work->row);
    entry.said = words;
    memcpy(work->row, &entry, sizeof entry);
}

static bool save(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    const struct entry_kind *kind = work->kind;
    struct change change = { 0 };
    memcpy(work->row, &work->entry, sizeof work->entry);
    const bool is_edit = work->entry.id > 0;
    if (is_edit && !find(db, work->arena, kind, work->rider, work->entry.id, work->was, err)) {
        return false;
    }
    const char *is = kind->describe(work->arena, work->row);
    const char *was = is_edit ? kind->describe(work->arena, work->was) : NULL;
    const char *words =
        arena_format(work->arena, "%s of %s: %s", kind->subject, work->rider->name, is);
    if (is_edit && strcmp(is, was) == 0) {
        say(work, arena_format(work->arena, "%s (as it was)", words));
        return true;
    }
    if (is_edit) {
        words = arena_format(work->arena, "%s (was: %s)", words, was);
    }
    if (!changes_begin(db, work->arena, work->now, words, &change, err) ||
        !entries_put(&change, kind, work->rider, work->row, err)) {
        return false;
    }
    say(work, words);
    return true;
}

static bool save_then(struct db *db, void *context, struct error *err)
{
    const struct work *work = context;
    return save(db, context, err) &&
           (work->then == NULL || work->then(db, work->then_context, err));
}

bool entries_save_with(struct roster *roster, struct arena *arena, struct roster_now now,
                       const struct entry_kind *kind, const struct rider *rider, void *row,
                       db_work *then, void *context, struct error *err)
{
    struct work work = {
        arena, now,    kind, rider, entry_of(row), row, arena_alloc(arena, 1, kind->size),
        then,  context
    };
    if (!kind->clean(arena, row, err)) {
        return false;
    }
    if (!db_write(roster_db(roster), save_then, &work, err)) {
        memcpy(row, &work.entry, sizeof work.entry); /* as it came */
        return false;
    }
    return true;
}

bool entries_save(struct roster *roster, struct arena *arena, struct roster_now now,
                  const struct entry_kind *kind, const struct rider *rider, void *row,
                  struct error *err)
{
    return entries_save_with(roster, arena, now, kind, rider, row, NULL, NULL, err);
}

static bool take_away(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    const struct entry_kind *kind = work->kind;
    struct change change = { 0 };
    if (!find(db, work->arena, kind, work->rider, work->entry.id, work->was, err)) {
        return false;
    }
    const char *words = arena_format(work->arena, "%s of %s taken away: %s", kind->subject,
                                     work->rider->name, kind->describe(work->arena, work->was));
    if (!changes_begin(db, work->arena, work->now, words, &change, err) ||
        !changes_remove(&change, kind->table, work->entry.id, work->entry.version, err)) {
        return false;
    }
    say(work, words);
    return true;
}

bool entries_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                    const struct entry_kind *kind, const struct rider *rider, void *row,
                    struct error *err)
{
    struct work work = {
        arena, now, kind, rider, entry_of(row), row, arena_alloc(arena, 1, kind->size), NULL, NULL
    };
    return db_write(roster_db(roster), take_away, &work, err);
}

/* ---- for the kinds ---- */

static size_t letters(const char *words)
{
    size_t n = 0;
    for (const char *at = words; *at != '\0'; at++) {
        n += ((unsigned char)*at & 0xC0u) != 0x80u;
    }
    return n;
}

bool entry_clean_words(struct arena *arena, const char *what, const char **words, size_t most,
                       bool must, struct error *err)
{
    const char *clean = *words == NULL ? "" : text_clean(arena, *words, strlen(*words));
    clean += strspn(clean, " ");
    char *own = arena_string(arena, clean);
    size_t length = strlen(own);
    while (length > 0 && own[length - 1] == ' ') {
        own[--length] = '\0';
    }
    if (length == 0 && must) {
        return error_set(err, ERROR_USAGE, "%s: no words", what);
    }
    if (letters(own) > most) {
        return error_set(err, ERROR_USAGE, "%s: %zu letters; %zu is the most", what, letters(own),
                         most);
    }
    *words = length == 0 ? NULL : own;
    return true;
}

bool entry_day_is_sound(const char *what, const char *day, bool must, struct error *err)
{
    int64_t days = 0;
    if (day == NULL) {
        return !must || error_set(err, ERROR_USAGE, "%s: no day", what);
    }
    if (!dates_parse_day(day, &days)) {
        return error_set(err, ERROR_USAGE, "%s %.40s: is no day; write it as 2026-03-14", what,
                         day);
    }
    return (strcmp(day, "1900-01-01") >= 0 && strcmp(day, "2199-12-31") <= 0) ||
           error_set(err, ERROR_USAGE, "%s %s: that year can't be meant", what, day);
}

bool entry_span_is_sound(const char *from_day, const char *to_day, struct error *err)
{
    return entry_day_is_sound("from", from_day, true, err) &&
           entry_day_is_sound("to", to_day, false, err) &&
           (to_day == NULL || strcmp(from_day, to_day) < 0 ||
            error_set(err, ERROR_USAGE, "it ends before it begins, on %s", from_day));
}

static int64_t days_of(const char *day)
{
    int64_t days = 0;
    return dates_parse_day(day, &days) ? days : 0;
}

const char *entry_day_after(struct arena *arena, const char *day, int64_t days)
{
    char out[11];
    dates_format_day(days_of(day) + days, out);
    return arena_string(arena, out);
}

int64_t entry_days_between(const char *from_day, const char *to_day)
{
    return days_of(to_day) - days_of(from_day);
}

const char *entry_span_in_words(struct arena *arena, const char *from_day, const char *to_day)
{
    if (to_day == NULL) {
        return arena_format(arena, "from %s on", from_day);
    }
    const char *last = entry_day_after(arena, to_day, -1);
    return strcmp(last, from_day) == 0 ? arena_format(arena, "on %s", from_day)
                                       : arena_format(arena, "from %s to %s", from_day, last);
}
