/* recording/csv_columns.c: what a column of a table is, by its header. */
#include "recording/csv_columns.h"

#include "base/text.h"

#include <string.h>

/* Longer headers are no names of ours. */
#define NAME_MAX 64

/* Small letters without accents, words joined by one underscore; false if it doesn't fit. */
static bool simplify(const char *text, size_t length, char out[NAME_MAX])
{
    char folded[2 * NAME_MAX] = { 0 };
    size_t n = 0;
    bool gap = false;
    out[0] = '\0';
    if (!text_fold(text, length, folded, sizeof folded)) {
        return false;
    }
    for (const char *at = folded; *at != '\0'; at++) {
        if (strchr(" \t\r\n_-.", *at) != NULL) {
            gap = n > 0;
            continue;
        }
        if (n + 2 >= NAME_MAX) {
            return false;
        }
        if (gap) {
            out[n++] = '_';
            gap = false;
        }
        out[n++] = *at;
    }
    out[n] = '\0';
    return true;
}

static const struct csv_name *find_name(const char *name, size_t length)
{
    for (size_t i = 0; i < csv_n_names; i++) {
        if (strncmp(csv_names[i].name, name, length) == 0 && csv_names[i].name[length] == '\0') {
            return &csv_names[i];
        }
    }
    return NULL;
}

static bool is_any_unit(const char *text)
{
    for (int meaning = 0; meaning < CSV_MEANINGS; meaning++) {
        if (csv_unit_find(meaning, text) != NULL) {
            return true;
        }
    }
    return false;
}

/* A unit of another quantity is known by its text only to be refused. */
static const struct csv_unit *readable(const struct csv_unit *unit)
{
    return unit != NULL && unit->factor > 0.0 ? unit : NULL;
}

static struct csv_column column_from(const struct csv_name *name, const char *unit)
{
    return (struct csv_column){ .meaning = name->meaning,
                                .rank = name->rank,
                                .unit = readable(csv_unit_find(
                                    name->meaning, unit[0] != '\0' ? unit : name->unit)) };
}

/* A header in its two parts. */
struct parts {
    char name[NAME_MAX];
    char unit[NAME_MAX]; /* "" without brackets */
};

/* Splits "Heart Rate [bpm]" at its bracket.  False if what stands behind the bracket makes it
 * something else, or if a part is too long. */
static bool split(const char *header, struct parts *parts)
{
    const size_t open = strcspn(header, "([");
    size_t unit_length = 0;
    if (header[open] != '\0') {
        unit_length = strcspn(header + open + 1, ")]");
        const char *behind = header + open + 1 + unit_length;
        if (*behind == '\0' || behind[1 + strspn(behind + 1, " \t")] != '\0') {
            return false;
        }
    }
    return simplify(header, open, parts->name) &&
           simplify(unit_length > 0 ? header + open + 1 : "", unit_length, parts->unit);
}

struct csv_column csv_column_of(const char *header)
{
    const struct csv_column none = { .meaning = CSV_MEANINGS };
    struct parts parts = { 0 };
    if (!split(header, &parts)) {
        return none;
    }
    const char *name = parts.name;
    const struct csv_name *row = find_name(name, strlen(name));
    if (row != NULL && name[0] != '\0') {
        return column_from(row, parts.unit);
    }
    /* The last word or words may be the unit: "speed_kmh", "power_w". */
    for (size_t i = 1; name[0] != '\0' && name[i] != '\0' && parts.unit[0] == '\0'; i++) {
        const struct csv_name *shorter = name[i] == '_' ? find_name(name, i) : NULL;
        if (shorter != NULL && is_any_unit(name + i + 1)) {
            return column_from(shorter, name + i + 1);
        }
    }
    return none;
}

struct csv_column csv_column_as(const char *header, int meaning)
{
    struct csv_column column = csv_column_of(header);
    if (column.meaning == meaning) {
        return column;
    }
    column = (struct csv_column){ .meaning = meaning, .unit = csv_unit_find(meaning, NULL) };
    struct parts parts = { 0 };
    if (!split(header, &parts)) {
        return column;
    }
    if (parts.unit[0] != '\0') {
        column.unit = readable(csv_unit_find(meaning, parts.unit));
        return column;
    }
    for (const char *at = strchr(parts.name, '_'); at != NULL; at = strchr(at + 1, '_')) {
        if (is_any_unit(at + 1)) {
            column.unit = readable(csv_unit_find(meaning, at + 1));
            return column;
        }
    }
    return column;
}

bool csv_column_is_named(const char *header, const char *name)
{
    char a[NAME_MAX] = { 0 };
    char b[NAME_MAX] = { 0 };
    return strcmp(header, name) == 0 || (simplify(header, strlen(header), a) &&
                                         simplify(name, strlen(name), b) && strcmp(a, b) == 0);
}

const struct csv_unit *csv_column_unit_in(const char *cell, int meaning)
{
    struct parts parts = { 0 };
    if (!split(cell, &parts) || (parts.name[0] != '\0') == (parts.unit[0] != '\0')) {
        return NULL;
    }
    return readable(csv_unit_find(meaning, parts.name[0] != '\0' ? parts.name : parts.unit));
}

/* In the unit of the channel's name: what the FIT field of the channel holds. */
static const struct {
    double lowest;
    double highest;
} ranges[CHANNEL_COUNT] = {
    [CHANNEL_POWER] = { 0.0, 65534.0 },       [CHANNEL_HEART_RATE] = { 0.0, 254.0 },
    [CHANNEL_CADENCE] = { 0.0, 254.0 },       [CHANNEL_SPEED] = { 0.0, 65.534 },
    [CHANNEL_DISTANCE] = { 0.0, 21474836.0 }, /* int32 centimetres */
    [CHANNEL_ALTITUDE] = { -500.0, 12606.8 }, [CHANNEL_TEMPERATURE] = { -128.0, 126.0 },
    [CHANNEL_LATITUDE] = { -90.0, 90.0 },     [CHANNEL_LONGITUDE] = { -180.0, 180.0 },
    [CHANNEL_BALANCE] = { 0.0, 100.0 },
};

struct csv_scale csv_scale_of(const struct csv_column *column)
{
    const enum channel channel = (enum channel)column->meaning;
    return (struct csv_scale){
        .factor = column->unit->factor,
        .offset = column->unit->offset,
        .lowest = ranges[channel].lowest,
        .highest = ranges[channel].highest,
        .steps_per_unit = 1.0 / channel_row(channel)->step, /* 10, 100, 1000 exactly */
    };
}

bool csv_value(const struct csv_scale *scale, double number, int32_t *value)
{
    const double in_unit = number * scale->factor + scale->offset;
    if (!(in_unit >= scale->lowest && in_unit <= scale->highest)) {
        return false;
    }
    /* Halves away from zero; 180 degrees would not fit, as in the protocol itself. */
    const double steps = in_unit * scale->steps_per_unit;
    const double rounded = steps < 0.0 ? steps - 0.5 : steps + 0.5; /* but for what is cut off */
    *value = rounded >= (double)INT32_MAX ? INT32_MAX - 1 : (int32_t)rounded;
    return true;
}
