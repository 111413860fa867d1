/* roster/riders.c: the people in the roster. */
#include "roster/riders.h"

#include "base/dates.h"
#include "base/text.h"
#include "roster/changes.h"
#include "roster/zone.h"

#include <stdlib.h>
#include <string.h>

#include <utf8proc.h>

const char *riders_fold(struct arena *arena, const char *name)
{
    utf8proc_uint8_t *folded = NULL;
    const utf8proc_ssize_t length =
        utf8proc_map((const utf8proc_uint8_t *)name, 0, &folded,
                     UTF8PROC_NULLTERM | UTF8PROC_STABLE | UTF8PROC_CASEFOLD | UTF8PROC_DECOMPOSE |
                         UTF8PROC_COMPAT | UTF8PROC_STRIPMARK);
    const char *out =
        length < 0 ? arena_string(arena, name) : arena_string(arena, (const char *)folded);
    free(folded);
    return out;
}

static bool is_day(const char *what, const char *day, struct error *err)
{
    int64_t days = 0;
    return day == NULL || dates_parse_day(day, &days) ||
           error_set(err, ERROR_USAGE, "%s: %s is no day; write it as 2001-05-31", what, day);
}

/* The cleaned name, or NULL with err. */
static const char *clean_name(struct arena *arena, const char *name, struct error *err)
{
    const char *clean =
        text_clean(arena, name == NULL ? "" : name, name == NULL ? 0 : strlen(name));
    while (*clean == ' ') {
        clean++;
    }
    char *own = arena_string(arena, clean);
    size_t length = strlen(own);
    while (length > 0 && own[length - 1] == ' ') {
        own[--length] = '\0';
    }
    if (length == 0 || length > RIDERS_NAME_MOST) {
        error_set(err, ERROR_USAGE, "a rider's name has 1 to %d letters", RIDERS_NAME_MOST);
        return NULL;
    }
    if (strspn(own, "0123456789") == length) {
        error_set(err, ERROR_USAGE, "%s: a name of digits alone reads as a rider's number", own);
        return NULL;
    }
    return own;
}

static bool order_is_sound(const char *what, const char *day, const char *born_day,
                           struct error *err)
{
    return day == NULL || born_day == NULL || strcmp(day, born_day) >= 0 ||
           error_set(err, ERROR_USAGE, "%s %s: is before the day of birth (%s)", what, day,
                     born_day);
}

/* A day of birth is known on that day: local days may be one ahead of UTC's. */
static bool born_is_sound(const char *born_day, struct roster_now now, struct error *err)
{
    char tomorrow[11];
    char oldest[11];
    dates_format_day(now.utc_s / 86400 + 1, tomorrow);
    dates_format_day(now.utc_s / 86400 - (int64_t)(365.25 * RIDERS_AGE_MOST_Y), oldest);
    return born_day == NULL || (strcmp(born_day, tomorrow) <= 0 && strcmp(born_day, oldest) >= 0) ||
           error_set(err, ERROR_USAGE, "born %s: no rider's day of birth; is a digit mistyped?",
                     born_day);
}

static bool days_are_sound(const struct rider *rider, struct roster_now now, struct error *err)
{
    return is_day("born", rider->born_day, err) &&
           is_day("training since", rider->training_since_day, err) &&
           is_day("power since", rider->power_since_day, err) &&
           born_is_sound(rider->born_day, now, err) &&
           order_is_sound("training since", rider->training_since_day, rider->born_day, err) &&
           order_is_sound("power since", rider->power_since_day, rider->born_day, err);
}

/* Words that may be said of a rider in any order, kept in this one. */
struct known_words {
    const char *const *words; /* [n] */
    size_t n;
    const char *name;
    const char *may; /* "a device takes ...": for the error */
};

static const char *const devices[] = { "fit", "calendar", "card" };
static const struct known_words known_accepts = { devices, sizeof devices / sizeof devices[0],
                                                  "accepts",
                                                  "a device takes fit, calendar or card" };

/* As effort_durations has them. */
static const char *const durations[EFFORT_DURATIONS] = { "10s",  "15s",   "1min",
                                                         "5min", "10min", "20min" };
static const struct known_words known_tests = {
    durations, EFFORT_DURATIONS, "tests", "efforts last 10s, 15s, 1min, 5min, 10min or 20min"
};

static size_t place_of(const char *word, const struct known_words *known)
{
    size_t i = 0;
    while (i < known->n && strcmp(word, known->words[i]) != 0) {
        i++;
    }
    return i;
}

/* "calendar,FIT" as "fit calendar"; none as NULL. */
static bool clean_known(struct arena *arena, const struct known_words *known, const char **words,
                        struct error *err)
{
    enum { KNOWN_MOST = 8 };
    bool has[KNOWN_MOST] = { false };
    if (*words == NULL) {
        return true;
    }
    char *save = NULL;
    for (char *word = strtok_r(arena_string(arena, riders_fold(arena, *words)), ", ", &save);
         word != NULL; word = strtok_r(NULL, ", ", &save)) {
        const size_t i = place_of(word, known);
        if (i == known->n) {
            return error_set(err, ERROR_USAGE, "%s %.40s: %s", known->name, word, known->may);
        }
        has[i] = true;
    }
    struct text out = text_begin(arena, 100);
    for (size_t i = 0; i < known->n; i++) {
        if (has[i]) {
            text_add_format(&out, "%s%s", out.length > 0 ? " " : "", known->words[i]);
        }
    }
    *words = out.length == 0 ? NULL : out.bytes;
    return true;
}

size_t riders_tests(const struct rider *rider, int32_t out[EFFORT_DURATIONS])
{
    size_t count = 0;
    size_t n = 0;
    const int32_t *seconds = effort_durations(&count);
    const char *at = rider->tests == NULL ? "" : rider->tests;
    while (*at != '\0') {
        const size_t length = strcspn(at, " ");
        for (size_t i = 0; i < count; i++) {
            if (strlen(durations[i]) == length && strncmp(at, durations[i], length) == 0) {
                out[n++] = seconds[i];
            }
        }
        at += length + (at[length] == ' ' ? 1 : 0);
    }
    return n;
}

/* Lines of an address become one, with commas. */
static bool clean_address(struct arena *arena, const char **address, struct error *err)
{
    if (*address == NULL) {
        return true;
    }
    struct text out = text_begin(arena, 4096);
    char *save = NULL;
    for (char *line = strtok_r(arena_string(arena, *address), "\r\n", &save); line != NULL;
         line = strtok_r(NULL, "\r\n", &save)) {
        text_add_format(&out, "%s%s", out.length > 0 ? ", " : "", line);
    }
    *address = text_clean(arena, out.bytes, out.length);
    return strlen(*address) <= RIDERS_ADDRESS_MOST ||
           error_set(err, ERROR_USAGE, "address: %d letters is the most", RIDERS_ADDRESS_MOST);
}

static bool fields_are_sound(struct arena *arena, struct roster_now now, struct rider *rider,
                             struct error *err)
{
    rider->name = clean_name(arena, rider->name, err);
    if (rider->name == NULL || !days_are_sound(rider, now, err) ||
        !clean_known(arena, &known_accepts, &rider->accepts, err) ||
        !clean_known(arena, &known_tests, &rider->tests, err) ||
        !clean_address(arena, &rider->address, err)) {
        return false;
    }
    if (rider->sex != NULL && strcmp(rider->sex, "female") != 0 &&
        strcmp(rider->sex, "male") != 0) {
        return error_set(err, ERROR_USAGE,
                         "sex %.40s: female or male, for published formulas that ask it; or none",
                         rider->sex);
    }
    struct zone *zone = NULL;
    if (rider->zone_name != NULL && !zone_open(rider->zone_name, &zone, err)) {
        return false;
    }
    zone_close(zone);
    if (rider->note != NULL) {
        rider->note = text_clean(arena, rider->note, strlen(rider->note));
    }
    return true;
}

#define N_EDITS 12

static void edits_of(struct arena *arena, const struct rider *rider, struct edit edits[N_EDITS])
{
    edits[0] = (struct edit){ "name", db_text(rider->name) };
    edits[1] = (struct edit){ "name_folded", db_text(riders_fold(arena, rider->name)) };
    edits[2] = (struct edit){ "born_day", db_text(rider->born_day) };
    edits[3] = (struct edit){ "training_since_day", db_text(rider->training_since_day) };
    edits[4] = (struct edit){ "zone_name", db_text(rider->zone_name) };
    edits[5] = (struct edit){ "note", db_text(rider->note) };
    edits[6] = (struct edit){ "is_away", db_bool(rider->is_away) };
    edits[7] = (struct edit){ "sex", db_text(rider->sex) };
    edits[8] = (struct edit){ "power_since_day", db_text(rider->power_since_day) };
    edits[9] = (struct edit){ "address", db_text(rider->address) };
    edits[10] = (struct edit){ "accepts", db_text(rider->accepts) };
    edits[11] = (struct edit){ "tests", db_text(rider->tests) };
}

#define COLUMNS                                                                                    \
    "id, version, name, born_day, training_since_day, zone_name, note, is_away, sex, "             \
    "power_since_day, address, accepts, tests"
#define SHAPE "iitTTTTbTTTTT"

static struct rider rider_at(const struct db_rows *rows, size_t i)
{
    return (struct rider){
        .id = db_integer_at(rows, i, 0),
        .version = db_integer_at(rows, i, 1),
        .name = db_text_at(rows, i, 2),
        .born_day = db_text_at(rows, i, 3),
        .training_since_day = db_text_at(rows, i, 4),
        .zone_name = db_text_at(rows, i, 5),
        .note = db_text_at(rows, i, 6),
        .is_away = db_bool_at(rows, i, 7),
        .sex = db_text_at(rows, i, 8),
        .power_since_day = db_text_at(rows, i, 9),
        .address = db_text_at(rows, i, 10),
        .accepts = db_text_at(rows, i, 11),
        .tests = db_text_at(rows, i, 12),
    };
}

struct work {
    struct arena *arena;
    struct roster_now now;
    struct rider *rider;
};

/* The store would refuse it too, but could not say it so. */
static bool name_is_free(struct db *db, struct arena *arena, const struct rider *rider,
                         struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, "SELECT name FROM rider WHERE name_folded = $1 AND id <> $2", "t",
                  DB_ARGS(db_text(riders_fold(arena, rider->name)), db_integer(rider->id)), &rows,
                  err)) {
        return false;
    }
    return rows.count == 0 ||
           error_set(err, ERROR_CONFLICT,
                     "%s is in the roster already; add a word that tells the two apart",
                     db_text_at(&rows, 0, 0));
}

static bool add(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct edit edits[N_EDITS];
    struct change change = { 0 };
    edits_of(work->arena, work->rider, edits);
    work->rider->id = 0;
    work->rider->version = 1;
    work->rider->said = arena_format(work->arena, "Added the rider %s", work->rider->name);
    return name_is_free(db, work->arena, work->rider, err) &&
           changes_begin(db, work->arena, work->now, work->rider->said, &change, err) &&
           changes_add(&change, "rider", edits, N_EDITS, &work->rider->id, err);
}

bool riders_add(struct roster *roster, struct arena *arena, struct roster_now now,
                struct rider *rider, struct error *err)
{
    struct work work = { arena, now, rider };
    return fields_are_sound(arena, now, rider, err) && db_write(roster_db(roster), add, &work, err);
}

static const char *or_none(const char *text)
{
    return text == NULL ? "none" : text;
}

/* "Rider Ada Berg: born 2001-05-31 (was none)", or NULL when nothing differs. */
static const char *say_edit(struct arena *arena, const struct rider *was, const struct rider *is)
{
    const struct {
        const char *what;
        const char *before;
        const char *after;
    } fields[] = {
        { "name", was->name, is->name },
        { "born", was->born_day, is->born_day },
        { "sex", was->sex, is->sex },
        { "training since", was->training_since_day, is->training_since_day },
        { "power since", was->power_since_day, is->power_since_day },
        { "time zone", was->zone_name, is->zone_name },
        { "address", was->address, is->address },
        { "device takes", was->accepts, is->accepts },
        { "tests chosen", was->tests, is->tests },
        { "note", was->note, is->note },
        { "coached", was->is_away ? "no more" : "yes", is->is_away ? "no more" : "yes" },
    };
    struct text out = text_begin(arena, 4096);
    text_add_format(&out, "Rider %s:", was->name);
    size_t said = 0;
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
        if (strcmp(or_none(fields[i].before), or_none(fields[i].after)) != 0) {
            text_add_format(&out, "%s %s %s (was %s)", said++ > 0 ? "," : "", fields[i].what,
                            or_none(fields[i].after), or_none(fields[i].before));
        }
    }
    return said > 0 ? out.bytes : NULL;
}

bool riders_row(struct db *db, struct arena *arena, int64_t id, struct rider *out,
                struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, "SELECT " COLUMNS " FROM rider WHERE id = $1", SHAPE,
                  DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return error_set(err, ERROR_NOT_FOUND, "rider %lld: there is none; rider list shows them",
                         (long long)id);
    }
    *out = rider_at(&rows, 0);
    return true;
}

static bool edit(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct rider was = { 0 };
    struct change change = { 0 };
    struct edit edits[N_EDITS];
    if (!riders_row(db, work->arena, work->rider->id, &was, err) ||
        !name_is_free(db, work->arena, work->rider, err)) {
        return false;
    }
    const char *words = say_edit(work->arena, &was, work->rider);
    work->rider->said = words;
    if (words == NULL) {
        work->rider->said = arena_format(work->arena, "Rider %s: as it was", was.name);
        return true;
    }
    edits_of(work->arena, work->rider, edits);
    return changes_begin(db, work->arena, work->now, words, &change, err) &&
           changes_edit(&change, "rider", work->rider->id, work->rider->version, edits, N_EDITS,
                        err);
}

bool riders_edit(struct roster *roster, struct arena *arena, struct roster_now now,
                 struct rider *rider, struct error *err)
{
    struct work work = { arena, now, rider };
    return fields_are_sound(arena, now, rider, err) &&
           db_write(roster_db(roster), edit, &work, err);
}

bool riders_list(struct roster *roster, struct arena *arena, bool with_away, struct rider **out,
                 size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(roster_db(roster), arena,
                  "SELECT " COLUMNS " FROM rider WHERE NOT is_away OR $1 ORDER BY name_folded, id",
                  SHAPE, DB_ARGS(db_bool(with_away)), &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct rider, rows.count);
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = rider_at(&rows, i);
    }
    *count = rows.count;
    return true;
}

bool riders_find(struct roster *roster, struct arena *arena, const char *word, struct rider *out,
                 struct error *err)
{
    const size_t length = strlen(word);
    if (length > 0 && length < 18 && strspn(word, "0123456789") == length) {
        return riders_row(roster_db(roster), arena, strtoll(word, NULL, 10), out, err);
    }
    struct rider *riders = NULL;
    size_t count = 0;
    if (!riders_list(roster, arena, true, &riders, &count, err)) {
        return false;
    }
    const char *folded = riders_fold(arena, word);
    const struct rider *found = NULL;
    struct text names = text_begin(arena, 200);
    size_t n = 0;
    for (size_t i = 0; i < count; i++) {
        const char *name = riders_fold(arena, riders[i].name);
        if (strcmp(name, folded) == 0) {
            *out = riders[i];
            return true;
        }
        if (length > 0 && strncmp(name, folded, strlen(folded)) == 0) {
            found = &riders[i];
            text_add_format(&names, "%s%s", n++ > 0 ? ", " : "", riders[i].name);
        }
    }
    if (n == 0) {
        return error_set(err, ERROR_NOT_FOUND,
                         "%s: no rider's name begins so; rider list shows "
                         "them",
                         word);
    }
    if (n > 1) {
        return error_set(err, ERROR_CONFLICT, "%s: which of them? %s", word, names.bytes);
    }
    *out = *found;
    return true;
}
