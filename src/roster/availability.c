/* roster/availability.c: the time a rider has, by weekday, from a day on. */
#include "roster/availability.h"

#include "base/text.h"
#include "roster/changes.h"
#include "roster/entries.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const struct {
    const char *brief;
    const char *whole;
} weekdays[WEEKDAYS] = {
    { "Mon", "monday" }, { "Tue", "tuesday" },  { "Wed", "wednesday" }, { "Thu", "thursday" },
    { "Fri", "friday" }, { "Sat", "saturday" }, { "Sun", "sunday" },
};

/* ---- from words ---- */

/* One piece being read: its words, lower case. */
struct piece {
    const char *whole; /* for the message */
    char *words[8];
    size_t n;
    size_t at;
};

static bool refuse(const struct piece *piece, const char *why, struct error *err)
{
    return error_set(err, ERROR_USAGE, "%.60s: %s; write it as: mon 60 indoors, sat 180",
                     piece->whole, why);
}

/* 0..6 of "mon", "mond", "monday"; -1 if it is none. */
static int weekday_of(const char *word, size_t length)
{
    for (int d = 0; d < WEEKDAYS; d++) {
        if (length >= 2 && length <= strlen(weekdays[d].whole) &&
            strncmp(word, weekdays[d].whole, length) == 0) {
            return d;
        }
    }
    return -1;
}

static bool take_days(struct piece *piece, int *first, int *last, struct error *err)
{
    static const struct {
        const char *word;
        int first;
        int last;
    } names[] = {
        { "weekdays", 0, 4 }, { "weekend", 5, 6 }, { "weekends", 5, 6 }, { "daily", 0, 6 }
    };
    const char *word = piece->n > 0 ? piece->words[piece->at++] : "";
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        if (strcmp(word, names[i].word) == 0) {
            *first = names[i].first;
            *last = names[i].last;
            return true;
        }
    }
    const size_t length = strcspn(word, "-");
    *first = weekday_of(word, length);
    *last = word[length] == '-' ? weekday_of(word + length + 1, strlen(word + length + 1)) : *first;
    if (*first < 0 || *last < 0) {
        return refuse(piece, "begins with no weekday", err);
    }
    return *first <= *last || refuse(piece, "the weekdays are the wrong way round", err);
}

/* A number at the start of *at, which moves behind it; -1 if there is none. */
static double take_number(const char **at)
{
    const size_t length = strspn(*at, "0123456789.");
    char digits[16] = { 0 };
    if (length == 0 || length >= sizeof digits || (*at)[0] == '.') {
        return -1;
    }
    memcpy(digits, *at, length);
    char *end = NULL;
    const double value = strtod(digits, &end);
    *at += length;
    return *end == '\0' ? value : -1;
}

static bool is_one_of(const char *word, const char *const names[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (strcmp(word, names[i]) == 0) {
            return true;
        }
    }
    return false;
}

static const char *const minute_words[] = { "", "m", "min", "mins", "minutes" };
static const char *const hour_words[] = { "h", "hr", "hour", "hours" };

/* "60", "60 min", "1h", "1.5 h", "1h30", "1:30" as minutes; -1 if it is none of them. */
static double take_minutes(struct piece *piece)
{
    const char *at = piece->at < piece->n ? piece->words[piece->at++] : "";
    const double value = take_number(&at);
    const bool apart = *at == '\0' && piece->at < piece->n &&
                       (is_one_of(piece->words[piece->at], minute_words, 5) ||
                        is_one_of(piece->words[piece->at], hour_words, 4));
    const char *unit = apart ? piece->words[piece->at++] : at;
    if (value < 0 || is_one_of(unit, minute_words, 5)) {
        return value;
    }
    if (is_one_of(unit, hour_words, 4)) {
        return 60 * value;
    }
    if (*unit == ':' || *unit == 'h') {
        const char *rest = unit + 1;
        const double minutes = take_number(&rest);
        if (minutes >= 0 && minutes < 60 && is_one_of(rest, minute_words, 5)) {
            return 60 * value + minutes;
        }
    }
    return -1;
}

static bool take_place(struct piece *piece, const char **place, struct error *err)
{
    static const char *const inside[] = { "indoors", "indoor", "in", "inside" };
    static const char *const outside[] = { "outdoors", "outdoor", "out", "outside" };
    static const char *const either[] = { "either", "anywhere" };
    *place = "either";
    if (piece->at < piece->n) {
        const char *word = piece->words[piece->at++];
        if (is_one_of(word, inside, 4)) {
            *place = "indoors";
        } else if (is_one_of(word, outside, 4)) {
            *place = "outdoors";
        } else if (!is_one_of(word, either, 2)) {
            return refuse(piece, "ends with indoors, outdoors or nothing", err);
        }
    }
    return piece->at == piece->n || refuse(piece, "too many words", err);
}

static bool take_piece(struct piece *piece, struct week *out, bool named[WEEKDAYS],
                       struct error *err)
{
    int first = 0;
    int last = 0;
    const char *place = NULL;
    if (!take_days(piece, &first, &last, err)) {
        return false;
    }
    const double minutes = take_minutes(piece);
    if (minutes < 0) {
        return refuse(piece, "no time such as 60, 90min or 1h30", err);
    }
    if (minutes > 1440 || fmod(minutes, 1.0) > 0) {
        return refuse(piece, "a day has whole minutes, 1440 at most", err);
    }
    if (!take_place(piece, &place, err)) {
        return false;
    }
    for (int d = first; d <= last; d++) {
        if (named[d]) {
            return error_set(err, ERROR_USAGE, "%s is named twice", weekdays[d].brief);
        }
        named[d] = true;
        out->minutes[d] = (int)minutes;
        out->places[d] = minutes > 0 ? place : "either";
    }
    return true;
}

static bool is_any(const bool named[WEEKDAYS])
{
    bool any = false;
    for (int d = 0; d < WEEKDAYS; d++) {
        any = any || named[d];
    }
    return any;
}

bool availability_parse(struct arena *arena, const char *words, struct week *out, struct error *err)
{
    bool named[WEEKDAYS] = { false };
    char *rest = arena_string(arena, words);
    for (char *at = rest; *at != '\0'; at++) {
        *at = *at >= 'A' && *at <= 'Z' ? (char)(*at - 'A' + 'a') : *at;
    }
    for (int d = 0; d < WEEKDAYS; d++) {
        out->minutes[d] = 0;
        out->places[d] = "either";
    }
    if (strcmp(rest, "none") == 0) {
        return true;
    }
    while (rest != NULL) {
        char *next = strpbrk(rest, ",;");
        if (next != NULL) {
            *next++ = '\0';
        }
        struct piece piece = { .whole = arena_string(arena, rest) };
        char *save = NULL;
        for (char *word = strtok_r(rest, " ", &save);
             word != NULL && piece.n < sizeof piece.words / sizeof piece.words[0];
             word = strtok_r(NULL, " ", &save)) {
            piece.words[piece.n++] = word;
        }
        if (piece.n == 0 && next == NULL && is_any(named)) {
            return true; /* a comma at the end says nothing more */
        }
        if (!take_piece(&piece, out, named, err)) {
            return false;
        }
        rest = next;
    }
    return true;
}

/* ---- in words ---- */

static const char *time_in_words(struct arena *arena, int minutes)
{
    const int hours = minutes / 60;
    return hours == 0          ? arena_format(arena, "%d min", minutes)
           : minutes % 60 == 0 ? arena_format(arena, "%d h", hours)
                               : arena_format(arena, "%d h %d min", hours, minutes % 60);
}

const char *availability_in_words(struct arena *arena, const struct week *week)
{
    struct text out = text_begin(arena, 1000);
    int total = 0;
    for (int d = 0; d < WEEKDAYS;) {
        int last = d;
        while (last + 1 < WEEKDAYS && week->minutes[last + 1] == week->minutes[d] &&
               strcmp(week->places[last + 1], week->places[d]) == 0) {
            last++;
        }
        if (week->minutes[d] > 0) {
            text_add_format(&out, "%s%s", out.length > 0 ? ", " : "", weekdays[d].brief);
            if (last > d) {
                text_add_format(&out, " %s %s", last == d + 1 ? "and" : "to", weekdays[last].brief);
            }
            text_add_format(&out, " %s%s%s", time_in_words(arena, week->minutes[d]),
                            strcmp(week->places[d], "either") == 0 ? "" : " ",
                            strcmp(week->places[d], "either") == 0 ? "" : week->places[d]);
            total += (last - d + 1) * week->minutes[d];
        }
        d = last + 1;
    }
    if (total == 0) {
        return "no time on any day";
    }
    text_add_format(&out, "; %s a week", time_in_words(arena, total));
    return out.bytes;
}

/* ---- in the roster ---- */

/* Rows of a rider by from_day (compared so with $2), the newest first. */
static bool query(struct db *db, struct arena *arena, int64_t rider, const char *compare,
                  const char *day, struct db_rows *rows, struct error *err)
{
    return db_query(
        db, arena,
        arena_format(arena,
                     "SELECT id, from_day, weekday, seconds, place, version FROM availability "
                     "WHERE rider = $1 AND from_day %s $2 ORDER BY from_day DESC, "
                     "weekday, id",
                     compare),
        "itiiti", DB_ARGS(db_integer(rider), db_text(day)), rows, err);
}

static struct week empty_week(const char *from_day)
{
    struct week week = { .from_day = from_day };
    for (int d = 0; d < WEEKDAYS; d++) {
        week.places[d] = "either";
    }
    return week;
}

/* A week's version: of its newest row, and how often all were edited.  Rows are never numbered
 * twice, so a week that was taken away and set anew has another. */
static int64_t version_with(int64_t version, const struct db_rows *rows, size_t i)
{
    const int64_t edits = 1 << 16;
    const int64_t id = db_integer_at(rows, i, 0);
    const int64_t newest = id > version / edits ? id : version / edits;
    return newest * edits + (version % edits + db_integer_at(rows, i, 5)) % edits;
}

/* The weekdays of the row on that begin on one day; *at moves behind them. */
static struct week week_at(const struct db_rows *rows, size_t *at)
{
    struct week week = empty_week(db_text_at(rows, *at, 1));
    while (*at < rows->count && strcmp(db_text_at(rows, *at, 1), week.from_day) == 0) {
        const int d = (int)db_integer_at(rows, *at, 2) - 1;
        const int64_t seconds = db_integer_at(rows, *at, 3);
        week.version = version_with(week.version, rows, *at);
        if (d >= 0 && d < WEEKDAYS && seconds >= 0 &&
            seconds <= 86400) { /* a file from elsewhere */
            week.minutes[d] = (int)(seconds / 60);
            week.places[d] = db_text_at(rows, *at, 4);
        }
        (*at)++;
    }
    return week;
}

bool availability_list(struct roster *roster, struct arena *arena, int64_t rider, const char *until,
                       struct week **out, size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!query(roster_db(roster), arena, rider, "<=", until == NULL ? "9999-12-31" : until, &rows,
               err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct week, rows.count);
    *count = 0;
    for (size_t at = 0; at < rows.count;) {
        (*out)[(*count)++] = week_at(&rows, &at);
    }
    return true;
}

struct work {
    struct arena *arena;
    struct roster_now now;
    const struct rider *rider;
    struct week *week;
};

/* The week that stands there, and that it is the one that was seen. */
static bool find_before(const struct work *work, const struct db_rows *rows, struct week *before,
                        struct error *err)
{
    size_t at = 0;
    *before = empty_week(work->week->from_day);
    if (rows->count > 0) {
        *before = week_at(rows, &at);
    }
    return work->week->version == 0 || work->week->version == before->version ||
           error_set(
               err, ERROR_CONFLICT,
               "somebody changed the time from %s meanwhile; look at it again, then change it",
               work->week->from_day);
}

static bool put_day(struct change *change, const struct work *work, const struct db_rows *rows,
                    int d, struct error *err)
{
    const struct edit edits[] = {
        { "seconds", db_integer(60 * (int64_t)work->week->minutes[d]) },
        { "place", db_text(work->week->places[d]) },
        { "rider", db_integer(work->rider->id) },
        { "from_day", db_text(work->week->from_day) },
        { "weekday", db_integer(d + 1) },
    };
    for (size_t i = 0; i < rows->count; i++) {
        if (db_integer_at(rows, i, 2) == d + 1) {
            return changes_edit(change, "availability", db_integer_at(rows, i, 0), 0, edits, 2,
                                err);
        }
    }
    int64_t row = 0;
    return changes_add(change, "availability", edits, sizeof edits / sizeof edits[0], &row, err);
}

static bool set(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct db_rows rows = { 0 };
    struct change change = { 0 };
    struct week before = { 0 };
    if (!query(db, work->arena, work->rider->id, "=", work->week->from_day, &rows, err) ||
        !find_before(work, &rows, &before, err)) {
        return false;
    }
    const char *is = availability_in_words(work->arena, work->week);
    const char *words = arena_format(work->arena, "Time of %s from %s: %s", work->rider->name,
                                     work->week->from_day, is);
    if (rows.count > 0) {
        const char *was = availability_in_words(work->arena, &before);
        if (strcmp(was, is) == 0) {
            work->week->said = arena_format(work->arena, "%s (as it was)", words);
            return true;
        }
        words = arena_format(work->arena, "%s (was: %s)", words, was);
    }
    bool done = changes_begin(db, work->arena, work->now, words, &change, err);
    for (int d = 0; done && d < WEEKDAYS; d++) {
        done = put_day(&change, work, &rows, d, err);
    }
    work->week->said = words;
    return done;
}

static bool is_sound(struct week *week, struct error *err)
{
    static const char *const places[] = { "either", "indoors", "outdoors" };
    for (int d = 0; d < WEEKDAYS; d++) {
        week->places[d] = week->places[d] == NULL ? "either" : week->places[d];
        if (!is_one_of(week->places[d], places, 3)) {
            return error_set(err, ERROR_USAGE, "%.40s: either, indoors or outdoors",
                             week->places[d]);
        }
        if (week->minutes[d] < 0 || week->minutes[d] > 1440) {
            return error_set(err, ERROR_USAGE, "%s: a day has 0 to 1440 minutes",
                             weekdays[d].brief);
        }
    }
    return entry_day_is_sound("from", week->from_day, true, err);
}

bool availability_set(struct roster *roster, struct arena *arena, struct roster_now now,
                      const struct rider *rider, struct week *week, struct error *err)
{
    struct work work = { arena, now, rider, week };
    return is_sound(week, err) && db_write(roster_db(roster), set, &work, err);
}

static bool take_away(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct db_rows rows = { 0 };
    struct change change = { 0 };
    struct week before = { 0 };
    if (!query(db, work->arena, work->rider->id, "=", work->week->from_day, &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return error_set(err, ERROR_NOT_FOUND, "no time was set for %s from %s", work->rider->name,
                         work->week->from_day);
    }
    if (!find_before(work, &rows, &before, err)) {
        return false;
    }
    const char *words =
        arena_format(work->arena, "Time of %s from %s taken away: %s", work->rider->name,
                     work->week->from_day, availability_in_words(work->arena, &before));
    bool done = changes_begin(db, work->arena, work->now, words, &change, err);
    for (size_t i = 0; done && i < rows.count; i++) {
        done = changes_remove(&change, "availability", db_integer_at(&rows, i, 0), 0, err);
    }
    work->week->said = words;
    return done;
}

bool availability_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                         const struct rider *rider, struct week *week, struct error *err)
{
    struct work work = { arena, now, rider, week };
    return is_sound(week, err) && db_write(roster_db(roster), take_away, &work, err);
}
