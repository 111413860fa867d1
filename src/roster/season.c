/* roster/season.c: goals, events, blocks, and days without training. */
#include "roster/season.h"

#include "base/text.h"

#include <string.h>

/* ---- goals ---- */

static void take_goal(const struct db_rows *rows, size_t i, void *row)
{
    struct goal *goal = row;
    goal->words = db_text_at(rows, i, 2);
    goal->from_day = db_text_at(rows, i, 3);
    goal->due_day = db_text_at(rows, i, 4);
    goal->reached_day = db_text_at(rows, i, 5);
}

static const char *describe_goal(struct arena *arena, const void *row)
{
    const struct goal *goal = row;
    return arena_format(arena, "%s%s%s (set %s)%s%s", goal->words,
                        goal->due_day == NULL ? "" : ", by ",
                        goal->due_day == NULL ? "" : goal->due_day, goal->from_day,
                        goal->reached_day == NULL ? "" : ", reached ",
                        goal->reached_day == NULL ? "" : goal->reached_day);
}

static size_t edit_goal(const void *row, struct edit edits[ENTRY_EDITS_MOST])
{
    const struct goal *goal = row;
    edits[0] = (struct edit){ "words", db_text(goal->words) };
    edits[1] = (struct edit){ "from_day", db_text(goal->from_day) };
    edits[2] = (struct edit){ "due_day", db_text(goal->due_day) };
    edits[3] = (struct edit){ "reached_day", db_text(goal->reached_day) };
    return 4;
}

static bool not_before(const char *what, const char *day, const char *from_day, struct error *err)
{
    return entry_day_is_sound(what, day, false, err) &&
           (day == NULL || strcmp(day, from_day) >= 0 ||
            error_set(err, ERROR_USAGE, "%s %s: is before it was set (%s)", what, day, from_day));
}

static bool clean_goal(struct arena *arena, void *row, struct error *err)
{
    struct goal *goal = row;
    return entry_clean_words(arena, "goal", &goal->words, ENTRY_WORDS_MOST, true, err) &&
           entry_day_is_sound("from", goal->from_day, true, err) &&
           not_before("due", goal->due_day, goal->from_day, err) &&
           not_before("reached", goal->reached_day, goal->from_day, err);
}

/* True if no row came; else the line, which has %s for what is in the way. */
static bool none_or(const struct db_rows *rows, const char *before, const char *after,
                    struct error *err)
{
    return rows->count == 0 ||
           error_set(err, ERROR_CONFLICT, "%s%s%s", before, db_text_at(rows, 0, 0), after);
}

static bool goal_fits(struct db *db, struct arena *arena, const struct rider *rider,
                      const void *row, struct error *err)
{
    const struct goal *goal = row;
    struct db_rows rows = { 0 };
    return db_query(
               db, arena,
               "SELECT from_day FROM goal WHERE rider = $1 AND id <> $2 AND words = $3 AND "
               "reached_day IS NULL ORDER BY id",
               "t",
               DB_ARGS(db_integer(rider->id), db_integer(goal->entry.id), db_text(goal->words)),
               &rows, err) &&
           none_or(&rows, "that goal was set on ", " already", err);
}

const struct entry_kind goal_kind = {
    .name = "goal",
    .act = "goal",
    .table = "goal",
    .subject = "Goal",
    .columns = "words, from_day, due_day, reached_day",
    .shape = "ttTT",
    .order = "from_day",
    .size = sizeof(struct goal),
    .take = take_goal,
    .describe = describe_goal,
    .edits = edit_goal,
    .clean = clean_goal,
    .fits = goal_fits,
};

/* ---- events ---- */

static void take_event(const struct db_rows *rows, size_t i, void *row)
{
    struct event *event = row;
    event->day = db_text_at(rows, i, 2);
    event->name = db_text_at(rows, i, 3);
    event->priority = db_text_at(rows, i, 4);
    event->note = db_text_at(rows, i, 5);
}

/* "; a note", or nothing. */
static const char *noted(struct arena *arena, const char *note)
{
    return note == NULL ? "" : arena_format(arena, "; %s", note);
}

static const char *describe_event(struct arena *arena, const void *row)
{
    const struct event *event = row;
    return arena_format(arena, "%s %s (%s)%s", event->day, event->name, event->priority,
                        noted(arena, event->note));
}

static size_t edit_event(const void *row, struct edit edits[ENTRY_EDITS_MOST])
{
    const struct event *event = row;
    edits[0] = (struct edit){ "day", db_text(event->day) };
    edits[1] = (struct edit){ "name", db_text(event->name) };
    edits[2] = (struct edit){ "priority", db_text(event->priority) };
    edits[3] = (struct edit){ "note", db_text(event->note) };
    return 4;
}

static bool clean_event(struct arena *arena, void *row, struct error *err)
{
    struct event *event = row;
    if (!entry_day_is_sound("event", event->day, true, err) ||
        !entry_clean_words(arena, "event", &event->name, ENTRY_NAME_MOST, true, err) ||
        !entry_clean_words(arena, "note", &event->note, ENTRY_WORDS_MOST, false, err)) {
        return false;
    }
    static const char *const weights[] = { "A", "B", "C", "a", "b", "c" };
    for (size_t i = 0; event->priority != NULL && i < sizeof weights / sizeof weights[0]; i++) {
        if (strcmp(event->priority, weights[i]) == 0) {
            event->priority = weights[i % 3];
            return true;
        }
    }
    return error_set(err, ERROR_USAGE, "an event's weight is A (the season's aim), B or C");
}

static bool event_fits(struct db *db, struct arena *arena, const struct rider *rider,
                       const void *row, struct error *err)
{
    const struct event *event = row;
    struct db_rows rows = { 0 };
    return db_query(db, arena,
                    "SELECT name FROM event WHERE rider = $1 AND id <> $2 AND day = $3 AND name = "
                    "$4 ORDER BY id",
                    "t",
                    DB_ARGS(db_integer(rider->id), db_integer(event->entry.id), db_text(event->day),
                            db_text(event->name)),
                    &rows, err) &&
           none_or(&rows, "", arena_format(arena, " on %s is on file already", event->day), err);
}

const struct entry_kind event_kind = {
    .name = "event",
    .act = "event",
    .table = "event",
    .subject = "Event",
    .columns = "day, name, priority, note",
    .shape = "tttT",
    .order = "day",
    .size = sizeof(struct event),
    .take = take_event,
    .describe = describe_event,
    .edits = edit_event,
    .clean = clean_event,
    .fits = event_fits,
};

/* ---- blocks ---- */

static void take_block(const struct db_rows *rows, size_t i, void *row)
{
    struct block *block = row;
    block->name = db_text_at(rows, i, 2);
    block->from_day = db_text_at(rows, i, 3);
    block->to_day = db_text_at(rows, i, 4);
    block->note = db_text_at(rows, i, 5);
}

static const char *describe_block(struct arena *arena, const void *row)
{
    const struct block *block = row;
    return arena_format(arena, "%s %s%s", block->name,
                        entry_span_in_words(arena, block->from_day, block->to_day),
                        noted(arena, block->note));
}

static size_t edit_block(const void *row, struct edit edits[ENTRY_EDITS_MOST])
{
    const struct block *block = row;
    edits[0] = (struct edit){ "name", db_text(block->name) };
    edits[1] = (struct edit){ "from_day", db_text(block->from_day) };
    edits[2] = (struct edit){ "to_day", db_text(block->to_day) };
    edits[3] = (struct edit){ "note", db_text(block->note) };
    return 4;
}

static bool clean_block(struct arena *arena, void *row, struct error *err)
{
    struct block *block = row;
    return entry_clean_words(arena, "block", &block->name, ENTRY_NAME_MOST, true, err) &&
           entry_clean_words(arena, "note", &block->note, ENTRY_WORDS_MOST, false, err) &&
           entry_day_is_sound("until", block->to_day, true, err) &&
           entry_span_is_sound(block->from_day, block->to_day, err);
}

static bool block_fits(struct db *db, struct arena *arena, const struct rider *rider,
                       const void *row, struct error *err)
{
    const struct block *block = row;
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT name, from_day, to_day FROM block WHERE rider = $1 AND id <> $2 AND "
                  "from_day < $4 AND to_day > $3 ORDER BY from_day, id",
                  "ttt",
                  DB_ARGS(db_integer(rider->id), db_integer(block->entry.id),
                          db_text(block->from_day), db_text(block->to_day)),
                  &rows, err)) {
        return false;
    }
    return rows.count == 0 ||
           error_set(err, ERROR_CONFLICT,
                     "the block %s runs %s; end that one first, or begin this one later",
                     db_text_at(&rows, 0, 0),
                     entry_span_in_words(arena, db_text_at(&rows, 0, 1), db_text_at(&rows, 0, 2)));
}

const struct entry_kind block_kind = {
    .name = "block",
    .act = "block",
    .table = "block",
    .subject = "Block",
    .columns = "name, from_day, to_day, note",
    .shape = "tttT",
    .order = "from_day",
    .size = sizeof(struct block),
    .take = take_block,
    .describe = describe_block,
    .edits = edit_block,
    .clean = clean_block,
    .fits = block_fits,
};

/* ---- days without training ---- */

static const struct {
    const char *kind;
    const char *words;
} day_off_words[] = {
    { "ill", "ill" },       { "injured", "injured" },    { "away", "away" },
    { "break", "a break" }, { "other", "not training" },
};

const char *day_off_in_words(const char *kind)
{
    for (size_t i = 0; i < sizeof day_off_words / sizeof day_off_words[0]; i++) {
        if (strcmp(kind, day_off_words[i].kind) == 0) {
            return day_off_words[i].words;
        }
    }
    return kind;
}

static bool is_day_off(const char *kind)
{
    bool is = false;
    for (size_t i = 0; kind != NULL && i < sizeof day_off_words / sizeof day_off_words[0]; i++) {
        is = is || strcmp(kind, day_off_words[i].kind) == 0;
    }
    return is;
}

static void take_day_off(const struct db_rows *rows, size_t i, void *row)
{
    struct day_off *off = row;
    off->kind = db_text_at(rows, i, 2);
    off->from_day = db_text_at(rows, i, 3);
    off->to_day = db_text_at(rows, i, 4);
    off->note = db_text_at(rows, i, 5);
}

static const char *describe_day_off(struct arena *arena, const void *row)
{
    const struct day_off *off = row;
    return arena_format(arena, "%s %s%s", day_off_in_words(off->kind),
                        entry_span_in_words(arena, off->from_day, off->to_day),
                        noted(arena, off->note));
}

static size_t edit_day_off(const void *row, struct edit edits[ENTRY_EDITS_MOST])
{
    const struct day_off *off = row;
    edits[0] = (struct edit){ "kind", db_text(off->kind) };
    edits[1] = (struct edit){ "from_day", db_text(off->from_day) };
    edits[2] = (struct edit){ "to_day", db_text(off->to_day) };
    edits[3] = (struct edit){ "note", db_text(off->note) };
    return 4;
}

static bool clean_day_off(struct arena *arena, void *row, struct error *err)
{
    struct day_off *off = row;
    if (!is_day_off(off->kind)) {
        return error_set(err, ERROR_USAGE, "%.40s: ill, injured, away, break or other",
                         off->kind == NULL ? "nothing" : off->kind);
    }
    if (!entry_span_is_sound(off->from_day, off->to_day, err) ||
        !entry_clean_words(arena, "note", &off->note, ENTRY_WORDS_MOST, false, err)) {
        return false;
    }
    return off->to_day == NULL ||
           entry_days_between(off->from_day, off->to_day) <= DAY_OFF_DAYS_MOST ||
           error_set(err, ERROR_USAGE, "%s: more than two years; is a year mistyped?",
                     entry_span_in_words(arena, off->from_day, off->to_day));
}

static bool day_off_fits(struct db *db, struct arena *arena, const struct rider *rider,
                         const void *row, struct error *err)
{
    const struct day_off *off = row;
    struct db_rows rows = { 0 };
    if (!db_query(
            db, arena,
            "SELECT from_day, to_day FROM day_off WHERE rider = $1 AND id <> $2 AND kind = $3 "
            "AND from_day < $5 AND (to_day IS NULL OR to_day > $4) ORDER BY from_day, id",
            "tT",
            DB_ARGS(db_integer(rider->id), db_integer(off->entry.id), db_text(off->kind),
                    db_text(off->from_day),
                    db_text(off->to_day == NULL ? "9999-12-31" : off->to_day)),
            &rows, err)) {
        return false;
    }
    return rows.count == 0 ||
           error_set(err, ERROR_CONFLICT, "%s is %s %s already; change that entry instead",
                     rider->name, day_off_in_words(off->kind),
                     entry_span_in_words(arena, db_text_at(&rows, 0, 0), db_text_at(&rows, 0, 1)));
}

const struct entry_kind day_off_kind = {
    .name = "day off",
    .act = "off",
    .table = "day_off",
    .subject = "Days off",
    .columns = "kind, from_day, to_day, note",
    .shape = "ttTT",
    .order = "from_day",
    .size = sizeof(struct day_off),
    .take = take_day_off,
    .describe = describe_day_off,
    .edits = edit_day_off,
    .clean = clean_day_off,
    .fits = day_off_fits,
};

/* ---- training again ---- */

struct back {
    struct arena *arena;
    struct roster_now now;
    const struct rider *rider;
    const char *day;
    const char *said;
};

static bool end_all(struct db *db, void *context, struct error *err)
{
    struct back *back = context;
    struct db_rows rows = { 0 };
    struct change change = { 0 };
    if (!db_query(db, back->arena,
                  "SELECT id, version, kind, from_day, to_day, note FROM day_off WHERE rider = $1 "
                  "AND from_day < $2 AND (to_day IS NULL OR to_day > $2) ORDER BY from_day, id",
                  "iittTT", DB_ARGS(db_integer(back->rider->id), db_text(back->day)), &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return error_set(err, ERROR_NOT_FOUND, "%s was not off on the day before %s",
                         back->rider->name, back->day);
    }
    struct text words = text_begin(back->arena, 2000);
    text_add_format(&words, "%s trains again from %s; until then", back->rider->name, back->day);
    for (size_t i = 0; i < rows.count; i++) {
        text_add_format(&words, "%s %s from %s", i == 0 ? "" : ",",
                        day_off_in_words(db_text_at(&rows, i, 2)), db_text_at(&rows, i, 3));
    }
    bool done = changes_begin(db, back->arena, back->now, words.bytes, &change, err);
    for (size_t i = 0; done && i < rows.count; i++) {
        struct day_off off = {
            { db_integer_at(&rows, i, 0), db_integer_at(&rows, i, 1), NULL }, NULL, NULL, NULL, NULL
        };
        take_day_off(&rows, i, &off);
        off.to_day = back->day;
        done = entries_put(&change, &day_off_kind, back->rider, &off, err);
    }
    back->said = words.bytes;
    return done;
}

bool season_back(struct roster *roster, struct arena *arena, struct roster_now now,
                 const struct rider *rider, const char *day, const char **said, struct error *err)
{
    struct back back = { arena, now, rider, day, NULL };
    if (!entry_day_is_sound("back", day, true, err) ||
        !db_write(roster_db(roster), end_all, &back, err)) {
        return false;
    }
    *said = back.said;
    return true;
}
