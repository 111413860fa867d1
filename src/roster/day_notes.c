/* roster/day_notes.c: what was so on a day, or on one ride of it. */
#include "roster/day_notes.h"

#include "base/dates.h"
#include "base/text.h"
#include "roster/changes.h"
#include "roster/readings.h"
#include "roster/recordings.h"

#include <math.h>
#include <string.h>

#define COLUMNS                                                                                    \
    "id, version, rider, day, recording, words, effort_0_10, legs_1_5, sleep_1_5, stress_1_5, "    \
    "soreness_1_5, sleep_h, fan, hot, temperature_c, dehydrated, drink_l, caffeine, ill, "         \
    "hard_day_before"
#define SHAPE "iiitITRRRRRRBbRbRTbb"

/* Columns before the answers, which stand in the order of enum answer. */
enum { FIRST_ANSWER = 6 };

static double answer_at(const struct db_rows *rows, size_t i, enum answer answer)
{
    const size_t column = FIRST_ANSWER + (size_t)answer;
    double value = (double)NAN;
    if (db_is_null(rows, i, column)) {
        return value;
    }
    switch (answer_row(answer)->kind) {
    case ANSWER_IS_NUMBER:
    case ANSWER_IS_WHOLE: return db_real_at(rows, i, column);
    case ANSWER_IS_TRUTH:
        /* The store has no "not said" there: no is the same as nothing said. */
        return !db_bool_at(rows, i, column) && answer_row(answer)->unsaid_is_no
                   ? (double)NAN
                   : (db_bool_at(rows, i, column) ? 1.0 : 0.0);
    case ANSWER_IS_CAFFEINE:
        return answer_caffeine_find(db_text_at(rows, i, column), &value) ? value : (double)NAN;
    }
    return value;
}

static struct day_note note_at(const struct db_rows *rows, size_t i)
{
    struct day_note note = {
        .id = db_integer_at(rows, i, 0),
        .version = db_integer_at(rows, i, 1),
        .rider = db_integer_at(rows, i, 2),
        .day = db_text_at(rows, i, 3),
        .recording = db_integer_at(rows, i, 4),
        .words = db_text_at(rows, i, 5),
        .answers = answers_none(),
    };
    for (int a = 0; a < ANSWERS; a++) {
        note.answers.value[a] = answer_at(rows, i, (enum answer)a);
    }
    return note;
}

/* ---- what is taken ---- */

const char *day_notes_words(struct arena *arena, const char *words)
{
    if (words == NULL) {
        return NULL;
    }
    struct text out = text_begin(arena, 2u * DAY_NOTE_WORDS_MOST);
    const char *line = words;
    while (*line != '\0') {
        size_t length = strcspn(line, "\n");
        const char *next = line + length + (line[length] == '\n' ? 1 : 0);
        while (length > 0 && strchr(" \t\r", line[length - 1]) != NULL) {
            length--;
        }
        if (length > 0 || out.length > 0) {
            text_add_format(&out, "%s\n", text_clean(arena, line, length));
        }
        line = next;
    }
    while (out.length > 0 && out.bytes[out.length - 1] == '\n') {
        out.bytes[--out.length] = '\0';
    }
    return out.length > 0 ? out.bytes : NULL;
}

static bool note_is_sound(struct arena *arena, struct day_note *note, struct error *err)
{
    int64_t days = 0;
    note->words = day_notes_words(arena, note->words);
    if (note->words != NULL && strlen(note->words) > DAY_NOTE_WORDS_MOST) {
        return error_set(err, ERROR_USAGE, "the words are longer than %d bytes; keep less of them",
                         DAY_NOTE_WORDS_MOST);
    }
    if (note->day != NULL && !dates_parse_day(note->day, &days)) {
        return error_set(err, ERROR_USAGE, "%s is no day; write it as 2026-03-14", note->day);
    }
    if (!answers_any(&note->answers) && note->words == NULL) {
        return error_set(err, ERROR_USAGE, "the note says nothing; give words or an answer");
    }
    for (int a = 0; a < ANSWERS; a++) {
        const struct answer_row *row = answer_row((enum answer)a);
        const double value = note->answers.value[a];
        if (!isnan(value) && !answer_is_sound((enum answer)a, value)) {
            return error_set(err, ERROR_USAGE, "%s %g: must be %s%g to %g", row->subject, value,
                             row->kind == ANSWER_IS_WHOLE ? "a whole number, " : "", row->lowest,
                             row->highest);
        }
    }
    return true;
}

/* The ride is this rider's, and of the note's day; its day is the note's where none was given. */
static bool ride_fits(struct db *db, struct arena *arena, struct day_note *note, struct error *err)
{
    struct ride_row row = { 0 };
    if (note->recording == 0) {
        return note->day != NULL || error_set(err, ERROR_USAGE, "the note has no day");
    }
    if (!recordings_row(db, arena, note->recording, &row, err)) {
        return false;
    }
    if (row.rider != note->rider) {
        return error_set(err, ERROR_CONFLICT, "ride %lld is another rider's",
                         (long long)note->recording);
    }
    if (note->day == NULL && row.local_day == NULL) {
        return error_set(err, ERROR_USAGE, "ride %lld doesn't know its day; say it",
                         (long long)note->recording);
    }
    if (note->day != NULL && row.local_day != NULL && strcmp(note->day, row.local_day) != 0) {
        return error_set(err, ERROR_CONFLICT, "ride %lld is of %s, not of %s",
                         (long long)note->recording, row.local_day, note->day);
    }
    note->day = row.local_day == NULL ? note->day : row.local_day;
    return true;
}

const char *day_note_say(struct arena *arena, const struct day_note *note)
{
    static const size_t WORDS_SHOWN = 60;
    struct text out = text_begin(arena, 2000);
    for (int a = 0; a < ANSWERS; a++) {
        if (!isnan(note->answers.value[a])) {
            text_add_format(&out, "%s%s", out.length == 0 ? "" : ", ",
                            answer_say(arena, (enum answer)a, note->answers.value[a]));
        }
    }
    if (note->words != NULL) {
        size_t length = 0;
        size_t shown = 0; /* in characters, so that none is cut in two */
        while (note->words[length] != '\0' && note->words[length] != '\n' && shown < WORDS_SHOWN) {
            length++;
            while (((unsigned char)note->words[length] & 0xC0u) == 0x80u) {
                length++;
            }
            shown++;
        }
        text_add_format(&out, "%s\"%.*s%s\"", out.length == 0 ? "" : "; ", (int)length, note->words,
                        note->words[length] == '\0' ? "" : "...");
    }
    return out.length > 0 ? out.bytes : "nothing out of the ordinary";
}

/* "Note of Ada Berg, 2026-03-14, ride 7: legs 2 of 5, fan no; "legs were heavy"". */
static const char *say(struct arena *arena, const struct rider *rider, const struct day_note *note)
{
    const char *ride =
        note->recording == 0 ? "" : arena_format(arena, ", ride %lld", (long long)note->recording);
    return arena_format(arena, "Note of %s, %s%s: %s", rider->name, note->day, ride,
                        day_note_say(arena, note));
}

#define N_EDITS ((size_t)ANSWERS + 4)

static struct db_value value_of(enum answer answer, double value)
{
    const struct answer_row *row = answer_row(answer);
    const bool unsaid = isnan(value);
    switch (row->kind) {
    case ANSWER_IS_NUMBER: return db_real(value);
    case ANSWER_IS_WHOLE: return unsaid ? db_null(DB_INTEGER) : db_integer((int64_t)value);
    case ANSWER_IS_CAFFEINE: return db_text(unsaid ? NULL : answer_caffeine_name(value));
    case ANSWER_IS_TRUTH: break;
    }
    return unsaid && !row->unsaid_is_no ? db_null(DB_BOOL) : db_bool(value > 0.0);
}

static void edits_of(const struct day_note *note, struct edit edits[])
{
    edits[0] = (struct edit){ "rider", db_integer(note->rider) };
    edits[1] = (struct edit){ "day", db_text(note->day) };
    edits[2] = (struct edit){ "recording", note->recording == 0 ? db_null(DB_INTEGER)
                                                                : db_integer(note->recording) };
    edits[3] = (struct edit){ "words", db_text(note->words) };
    for (int a = 0; a < ANSWERS; a++) {
        edits[4 + a] = (struct edit){ answer_row((enum answer)a)->name,
                                      value_of((enum answer)a, note->answers.value[a]) };
    }
}

struct work {
    struct arena *arena;
    struct roster_now now;
    const struct rider *rider;
    struct day_note *note;
    int64_t id;
};

static bool find(struct db *db, struct arena *arena, const struct rider *rider, int64_t id,
                 struct day_note *out, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, "SELECT " COLUMNS " FROM day_note WHERE id = $1 AND rider = $2", SHAPE,
                  DB_ARGS(db_integer(id), db_integer(rider->id)), &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return error_set(err, ERROR_NOT_FOUND, "%s has no note %lld", rider->name, (long long)id);
    }
    *out = note_at(&rows, 0);
    return true;
}

static bool add(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct edit edits[N_EDITS];
    struct change change = { 0 };
    if (!ride_fits(db, work->arena, work->note, err)) {
        return false;
    }
    edits_of(work->note, edits);
    work->note->said = say(work->arena, work->rider, work->note);
    work->note->version = 1;
    return changes_begin(db, work->arena, work->now, work->note->said, &change, err) &&
           changes_add(&change, "day_note", edits, N_EDITS, &work->note->id, err);
}

bool day_notes_add(struct roster *roster, struct arena *arena, struct roster_now now,
                   const struct rider *rider, struct day_note *note, struct error *err)
{
    struct work work = { arena, now, rider, note, 0 };
    note->rider = rider->id;
    return note_is_sound(arena, note, err) && db_write(roster_db(roster), add, &work, err);
}

static bool edit(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct day_note was = { 0 };
    struct edit edits[N_EDITS];
    struct change change = { 0 };
    if (!find(db, work->arena, work->rider, work->note->id, &was, err) ||
        !ride_fits(db, work->arena, work->note, err)) {
        return false;
    }
    edits_of(work->note, edits);
    work->note->said =
        arena_format(work->arena, "%s (edited)", say(work->arena, work->rider, work->note));
    return changes_begin(db, work->arena, work->now, work->note->said, &change, err) &&
           changes_edit(&change, "day_note", work->note->id, work->note->version, edits, N_EDITS,
                        err);
}

bool day_notes_edit(struct roster *roster, struct arena *arena, struct roster_now now,
                    const struct rider *rider, struct day_note *note, struct error *err)
{
    struct work work = { arena, now, rider, note, 0 };
    note->rider = rider->id;
    return note_is_sound(arena, note, err) && db_write(roster_db(roster), edit, &work, err);
}

static bool take_away(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct change change = { 0 };
    if (!find(db, work->arena, work->rider, work->id, work->note, err)) {
        return false;
    }
    work->note->said =
        arena_format(work->arena, "%s (taken away)", say(work->arena, work->rider, work->note));
    return changes_begin(db, work->arena, work->now, work->note->said, &change, err) &&
           changes_remove(&change, "day_note", work->id, work->note->version, err);
}

bool day_notes_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                      const struct rider *rider, int64_t id, struct day_note *out,
                      struct error *err)
{
    struct work work = { arena, now, rider, out, id };
    return db_write(roster_db(roster), take_away, &work, err);
}

bool day_notes_find(struct roster *roster, struct arena *arena, const struct rider *rider,
                    int64_t id, struct day_note *out, struct error *err)
{
    return find(roster_db(roster), arena, rider, id, out, err);
}

bool day_notes_list(struct roster *roster, struct arena *arena, int64_t rider, const char *from_day,
                    const char *to_day, struct day_note **out, size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(roster_db(roster), arena,
                  "SELECT " COLUMNS " FROM day_note WHERE rider = $1 AND day >= $2 AND day < $3 "
                  "ORDER BY day DESC, id DESC",
                  SHAPE,
                  DB_ARGS(db_integer(rider), db_text(from_day == NULL ? "0000" : from_day),
                          db_text(to_day == NULL ? "9999-99" : to_day)),
                  &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct day_note, rows.count);
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = note_at(&rows, i);
    }
    *count = rows.count;
    return true;
}

/* ---- what a reading may use ---- */

static bool said(const struct day_note *note, enum answer answer)
{
    return note->answers.value[answer] > 0.0;
}

static void mark(const struct day_note *note, double hot_c, struct rider_facts *out)
{
    struct day_marks *day = &out->day;
    const double caffeine = note->answers.value[ANSWER_CAFFEINE];
    const double fan = note->answers.value[ANSWER_FAN];
    day->hot =
        day->hot || said(note, ANSWER_HOT) || note->answers.value[ANSWER_TEMPERATURE] >= hot_c;
    day->dehydrated = day->dehydrated || said(note, ANSWER_DEHYDRATED);
    day->ill = day->ill || said(note, ANSWER_ILL);
    day->hard_day_before = day->hard_day_before || said(note, ANSWER_HARD_BEFORE);
    day->caffeine_out_of_habit = day->caffeine_out_of_habit || caffeine < 0.0 || caffeine > 0.0;
    if (!isnan(note->answers.value[ANSWER_EFFORT])) {
        out->effort_0_10 = note->answers.value[ANSWER_EFFORT];
    }
    if (!isnan(note->answers.value[ANSWER_EFFORT])) {
        out->effort_0_10 = note->answers.value[ANSWER_EFFORT];
    }
    if (!isnan(fan)) {
        out->fan_known = true;
        day->no_fan = !(fan > 0.0);
    }
}

bool day_notes_of_ride(struct db *db, struct arena *arena, const struct ride_facts *ride,
                       struct day_note **out, size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    /* The day's first, so that the ride's come on top. */
    if (!db_query(db, arena,
                  "SELECT " COLUMNS " FROM day_note WHERE rider = $1 AND ((day = $2 AND recording "
                  "IS NULL) OR recording IN (SELECT other.id FROM recording ride JOIN recording "
                  "other ON COALESCE(other.same_as, other.id) = COALESCE(ride.same_as, ride.id) "
                  "WHERE ride.id = $3)) ORDER BY CASE WHEN recording IS NULL THEN 0 ELSE 1 END, id",
                  SHAPE,
                  DB_ARGS(db_integer(ride->rider), db_text(ride->day == NULL ? "" : ride->day),
                          db_integer(ride->recording)),
                  &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct day_note, rows.count);
    *count = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = note_at(&rows, i);
    }
    return true;
}

bool day_notes_on(struct db *db, struct arena *arena, const struct ride_facts *ride,
                  struct rider_facts *out, struct error *err)
{
    struct day_note *notes = NULL;
    size_t count = 0;
    struct limits limits;
    if (!day_notes_of_ride(db, arena, ride, &notes, &count, err)) {
        return false;
    }
    if (count == 0) {
        return true; /* most rides: the limits needn't be asked */
    }
    if (!readings_limits(db, arena, ride->rider, &limits, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        mark(&notes[i], limits.value[LIMIT_HOT_MEAN_C], out);
    }
    return true;
}
