/* recording/csv_columns.c: what a column of a table is, by its header. */
#include "recording/csv_columns.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

/* Longer headers are no names of ours. */
#define NAME_MAX 64

struct name_row {
    const char *name; /* small letters, words joined by one underscore */
    int meaning;
    const char *unit; /* that the name itself implies; NULL = the first of the meaning */
};

/* Earlier rows win where two columns mean the same: a date with a time tells more than seconds. */
static const struct name_row names[] = {
    { "timestamp", CSV_TIME, NULL },
    { "time_stamp", CSV_TIME, NULL },
    { "date_time", CSV_TIME, NULL },
    { "datetime", CSV_TIME, NULL },
    { "utc", CSV_TIME, NULL },
    { "time_utc", CSV_TIME, NULL },
    { "utc_time", CSV_TIME, NULL },
    { "local_time", CSV_TIME, NULL },
    { "time", CSV_TIME, NULL },
    { "seconds", CSV_TIME, NULL },
    { "secs", CSV_TIME, NULL },
    { "sec", CSV_TIME, NULL },
    { "elapsed_time", CSV_TIME, NULL },
    { "elapsed", CSV_TIME, NULL },
    { "elapsed_seconds", CSV_TIME, NULL },
    { "duration", CSV_TIME, NULL },
    { "minutes", CSV_TIME, "min" },
    { "mins", CSV_TIME, "min" },
    { "date", CSV_DATE, NULL },
    { "day", CSV_DATE, NULL },
    { "power", CHANNEL_POWER, NULL },
    { "watts", CHANNEL_POWER, NULL },
    { "watt", CHANNEL_POWER, NULL },
    { "powerinwatts", CHANNEL_POWER, NULL },
    { "pwr", CHANNEL_POWER, NULL },
    { "heart_rate", CHANNEL_HEART_RATE, NULL },
    { "heartrate", CHANNEL_HEART_RATE, NULL },
    { "hr", CHANNEL_HEART_RATE, NULL },
    { "bpm", CHANNEL_HEART_RATE, NULL },
    { "heartratebpm", CHANNEL_HEART_RATE, NULL },
    { "pulse", CHANNEL_HEART_RATE, NULL },
    { "cadence", CHANNEL_CADENCE, NULL },
    { "cad", CHANNEL_CADENCE, NULL },
    { "rpm", CHANNEL_CADENCE, NULL },
    { "speed", CHANNEL_SPEED, NULL },
    { "velocity", CHANNEL_SPEED, NULL },
    { "enhanced_speed", CHANNEL_SPEED, NULL },
    { "kph", CHANNEL_SPEED, "kph" },
    { "km/h", CHANNEL_SPEED, "kph" },
    { "kmh", CHANNEL_SPEED, "kph" },
    { "mph", CHANNEL_SPEED, "mph" },
    { "distance", CHANNEL_DISTANCE, NULL },
    { "dist", CHANNEL_DISTANCE, NULL },
    { "distancemeters", CHANNEL_DISTANCE, NULL },
    { "altitude", CHANNEL_ALTITUDE, NULL },
    { "elevation", CHANNEL_ALTITUDE, NULL },
    { "ele", CHANNEL_ALTITUDE, NULL },
    { "alt", CHANNEL_ALTITUDE, NULL },
    { "enhanced_altitude", CHANNEL_ALTITUDE, NULL },
    { "altitudemeters", CHANNEL_ALTITUDE, NULL },
    { "temperature", CHANNEL_TEMPERATURE, NULL },
    { "temp", CHANNEL_TEMPERATURE, NULL },
    { "latitude", CHANNEL_LATITUDE, NULL },
    { "lat", CHANNEL_LATITUDE, NULL },
    { "position_lat", CHANNEL_LATITUDE, "semicircles" },
    { "longitude", CHANNEL_LONGITUDE, NULL },
    { "lon", CHANNEL_LONGITUDE, NULL },
    { "lng", CHANNEL_LONGITUDE, NULL },
    { "long", CHANNEL_LONGITUDE, NULL },
    { "position_long", CHANNEL_LONGITUDE, "semicircles" },
    { "balance_left", CHANNEL_BALANCE, NULL },
    { "left_balance", CHANNEL_BALANCE, NULL },
};

struct unit_row {
    int meaning;
    const char *unit;
    double factor;
    double offset;
};

/* The first row of a meaning is the unit of a header that names none.
 * Factors: exact by definition of the foot (0.3048 m), the mile (1609.344 m) and degrees
 * Fahrenheit; semicircles are the FIT protocol's 180 / 2^31 degrees. */
static const struct unit_row units[] = {
    { CSV_TIME, "s", 1.0, 0.0 },
    { CSV_TIME, "sec", 1.0, 0.0 },
    { CSV_TIME, "secs", 1.0, 0.0 },
    { CSV_TIME, "seconds", 1.0, 0.0 },
    { CSV_TIME, "ms", 0.001, 0.0 },
    { CSV_TIME, "min", 60.0, 0.0 },
    { CSV_TIME, "minutes", 60.0, 0.0 },
    { CSV_TIME, "h", 3600.0, 0.0 },
    { CSV_TIME, "utc", 1.0, 0.0 },
    { CSV_TIME, "local", 1.0, 0.0 },
    { CSV_TIME, "iso_8601", 1.0, 0.0 },
    { CSV_TIME, "hh:mm:ss", 1.0, 0.0 },
    { CSV_TIME, "h:mm:ss", 1.0, 0.0 },
    { CSV_DATE, "yyyy_mm_dd", 1.0, 0.0 },
    { CHANNEL_POWER, "w", 1.0, 0.0 },
    { CHANNEL_POWER, "watt", 1.0, 0.0 },
    { CHANNEL_POWER, "watts", 1.0, 0.0 },
    { CHANNEL_HEART_RATE, "bpm", 1.0, 0.0 },
    { CHANNEL_HEART_RATE, "1/min", 1.0, 0.0 },
    { CHANNEL_HEART_RATE, "beats/min", 1.0, 0.0 },
    { CHANNEL_CADENCE, "rpm", 1.0, 0.0 },
    { CHANNEL_CADENCE, "1/min", 1.0, 0.0 },
    { CHANNEL_CADENCE, "rev/min", 1.0, 0.0 },
    { CHANNEL_SPEED, "ms", 1.0, 0.0 },
    { CHANNEL_SPEED, "m/s", 1.0, 0.0 },
    { CHANNEL_SPEED, "m_s", 1.0, 0.0 },
    { CHANNEL_SPEED, "mps", 1.0, 0.0 },
    { CHANNEL_SPEED, "kph", 1.0 / 3.6, 0.0 },
    { CHANNEL_SPEED, "kmh", 1.0 / 3.6, 0.0 },
    { CHANNEL_SPEED, "km/h", 1.0 / 3.6, 0.0 },
    { CHANNEL_SPEED, "km_h", 1.0 / 3.6, 0.0 },
    { CHANNEL_SPEED, "mph", 0.44704, 0.0 },
    { CHANNEL_SPEED, "mi/h", 0.44704, 0.0 },
    { CHANNEL_DISTANCE, "m", 1.0, 0.0 },
    { CHANNEL_DISTANCE, "meters", 1.0, 0.0 },
    { CHANNEL_DISTANCE, "metres", 1.0, 0.0 },
    { CHANNEL_DISTANCE, "km", 1000.0, 0.0 },
    { CHANNEL_DISTANCE, "mi", 1609.344, 0.0 },
    { CHANNEL_DISTANCE, "miles", 1609.344, 0.0 },
    { CHANNEL_ALTITUDE, "m", 1.0, 0.0 },
    { CHANNEL_ALTITUDE, "meters", 1.0, 0.0 },
    { CHANNEL_ALTITUDE, "metres", 1.0, 0.0 },
    { CHANNEL_ALTITUDE, "ft", 0.3048, 0.0 },
    { CHANNEL_ALTITUDE, "feet", 0.3048, 0.0 },
    { CHANNEL_TEMPERATURE, "c", 1.0, 0.0 },
    { CHANNEL_TEMPERATURE,
      "\xC2\xB0"
      "c",
      1.0, 0.0 },
    { CHANNEL_TEMPERATURE, "celsius", 1.0, 0.0 },
    { CHANNEL_TEMPERATURE, "f", 5.0 / 9.0, -160.0 / 9.0 },
    { CHANNEL_TEMPERATURE,
      "\xC2\xB0"
      "f",
      5.0 / 9.0, -160.0 / 9.0 },
    { CHANNEL_TEMPERATURE, "fahrenheit", 5.0 / 9.0, -160.0 / 9.0 },
    { CHANNEL_LATITUDE, "deg", 1.0, 0.0 },
    { CHANNEL_LATITUDE, "degrees", 1.0, 0.0 },
    { CHANNEL_LATITUDE, "\xC2\xB0", 1.0, 0.0 },
    { CHANNEL_LATITUDE, "semicircles", 180.0 / 2147483648.0, 0.0 },
    { CHANNEL_LONGITUDE, "deg", 1.0, 0.0 },
    { CHANNEL_LONGITUDE, "degrees", 1.0, 0.0 },
    { CHANNEL_LONGITUDE, "\xC2\xB0", 1.0, 0.0 },
    { CHANNEL_LONGITUDE, "semicircles", 180.0 / 2147483648.0, 0.0 },
    { CHANNEL_BALANCE, "pct", 1.0, 0.0 },
    { CHANNEL_BALANCE, "%", 1.0, 0.0 },
    { CHANNEL_BALANCE, "percent", 1.0, 0.0 },
};

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

bool csv_column_name(size_t i, const char **name, int *meaning)
{
    if (i >= COUNT(names)) {
        return false;
    }
    *name = names[i].name;
    *meaning = names[i].meaning;
    return true;
}

bool csv_column_unit(size_t i, const char **unit, int *meaning, double *factor, double *offset)
{
    if (i >= COUNT(units)) {
        return false;
    }
    *unit = units[i].unit;
    *meaning = units[i].meaning;
    *factor = units[i].factor;
    *offset = units[i].offset;
    return true;
}

/* Small letters, words joined by one underscore; false if it doesn't fit. */
static bool simplify(const char *text, size_t length, char out[NAME_MAX])
{
    size_t n = 0;
    bool gap = false;
    for (size_t i = 0; i < length; i++) {
        const unsigned char c = (unsigned char)text[i];
        if (c == ' ' || c == '\t' || c == '_' || c == '-' || c == '.') {
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
        out[n++] = c < 0x80 ? (char)tolower(c) : (char)c;
    }
    out[n] = '\0';
    return true;
}

static const struct unit_row *find_unit(int meaning, const char *unit)
{
    for (size_t i = 0; i < COUNT(units); i++) {
        if (units[i].meaning == meaning && (unit == NULL || strcmp(units[i].unit, unit) == 0)) {
            return &units[i];
        }
    }
    return NULL;
}

static const struct name_row *find_name(const char *name, size_t length)
{
    for (size_t i = 0; i < COUNT(names); i++) {
        if (strlen(names[i].name) == length && memcmp(names[i].name, name, length) == 0) {
            return &names[i];
        }
    }
    return NULL;
}

static struct csv_column column_from(const struct name_row *name, const struct unit_row *unit)
{
    if (name == NULL || unit == NULL) {
        return (struct csv_column){ .meaning = CSV_MEANINGS };
    }
    return (struct csv_column){ .meaning = name->meaning,
                                .rank = (int)(name - names),
                                .factor = unit->factor,
                                .offset = unit->offset };
}

/* Splits "Heart Rate [bpm]" at its bracket; *unit_length 0 without one.  False if what stands
 * behind the bracket makes it something else. */
static bool split_unit(const char *header, size_t *name_length, const char **unit,
                       size_t *unit_length)
{
    const size_t open = strcspn(header, "([");
    *name_length = open;
    *unit_length = 0;
    if (header[open] == '\0') {
        return true;
    }
    *unit = header + open + 1;
    *unit_length = strcspn(*unit, ")]");
    const char *behind = *unit + *unit_length;
    return *behind != '\0' && behind[1 + strspn(behind + 1, " \t")] == '\0';
}

struct csv_column csv_column_of(const char *header)
{
    char name[NAME_MAX] = { 0 };
    char unit[NAME_MAX] = { 0 };
    size_t name_length = 0;
    const char *unit_at = "";
    size_t unit_length = 0;
    if (!split_unit(header, &name_length, &unit_at, &unit_length) ||
        !simplify(header, name_length, name) || !simplify(unit_at, unit_length, unit)) {
        return column_from(NULL, NULL);
    }
    const size_t length = strlen(name);
    const struct name_row *row = find_name(name, length);
    if (row != NULL) {
        return column_from(row, find_unit(row->meaning, unit[0] != '\0' ? unit : row->unit));
    }
    /* The last word or words may be the unit: "speed_kmh", "power_w". */
    for (size_t i = 1; i + 1 < length && unit[0] == '\0'; i++) {
        const struct name_row *shorter = name[i] == '_' ? find_name(name, i) : NULL;
        const struct unit_row *found =
            shorter != NULL ? find_unit(shorter->meaning, name + i + 1) : NULL;
        if (found != NULL) {
            return column_from(shorter, found);
        }
    }
    return column_from(NULL, NULL);
}

static const char *skip_blanks(const char *text)
{
    return text + strspn(text, " \t");
}

bool csv_is_missing(const char *cell)
{
    static const char *const marks[] = { "", "-", "--", "na", "n/a", "nan", "null", "none" };
    const char *text = skip_blanks(cell);
    const size_t length = strcspn(text, " \t");
    if (*skip_blanks(text + length) != '\0') {
        return false;
    }
    for (size_t i = 0; i < COUNT(marks); i++) {
        size_t same = 0;
        while (same < length && tolower((unsigned char)text[same]) == marks[i][same]) {
            same++;
        }
        if (same == length && marks[i][same] == '\0') {
            return true;
        }
    }
    return false;
}

/* Digits and one point; counts how many stand behind it.  More than 18 digits that matter are no
 * measurement. */
static bool take_digits(const char **at, bool decimal_comma, int64_t *digits, int *behind)
{
    int n = 0;
    bool point = false;
    bool any = false;
    for (;; (*at)++) {
        const char c = **at;
        if (c >= '0' && c <= '9') {
            any = true;
            if (n == 18) {
                /* Further decimals can't be told apart any more; further whole digits can. */
                if (!point) {
                    return false;
                }
                continue;
            }
            *digits = *digits * 10 + (c - '0');
            n += *digits > 0 ? 1 : 0;
            *behind += point ? 1 : 0;
        } else if ((c == '.' || (decimal_comma && c == ',')) && !point) {
            point = true;
        } else {
            return any;
        }
    }
}

bool csv_number(const char *cell, bool decimal_comma, double *value)
{
    const char *at = skip_blanks(cell);
    const bool negative = *at == '-';
    at += *at == '-' || *at == '+' ? 1 : 0;
    int64_t digits = 0;
    int behind = 0;
    if (!take_digits(&at, decimal_comma, &digits, &behind)) {
        return false;
    }
    int exponent = 0;
    if (*at == 'e' || *at == 'E') {
        at++;
        const bool small = *at == '-';
        at += *at == '-' || *at == '+' ? 1 : 0;
        if (!isdigit((unsigned char)*at)) {
            return false;
        }
        for (; isdigit((unsigned char)*at); at++) {
            exponent = exponent < 1000 ? exponent * 10 + (*at - '0') : exponent;
        }
        exponent = small ? -exponent : exponent;
    }
    if (*skip_blanks(at) != '\0') {
        return false;
    }
    /* Powers of ten by repeated exact steps: the same on every machine, and nearer to the number
     * than a channel's step by far. */
    double result = (double)digits;
    for (int power = exponent - behind; power != 0 && result > 0.0 && isfinite(result);) {
        const int step = power > 22 ? 22 : power < -22 ? -22 : power;
        double ten = 1.0;
        for (int i = 0; i < (step < 0 ? -step : step); i++) {
            ten *= 10.0; /* exact up to 1e22 */
        }
        result = step < 0 ? result / ten : result * ten;
        power -= step;
    }
    *value = negative ? -result : result;
    return isfinite(result);
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

bool csv_value(const struct csv_column *column, double number, int32_t *value)
{
    const enum channel channel = (enum channel)column->meaning;
    const double in_unit = number * column->factor + column->offset;
    if (!(in_unit >= ranges[channel].lowest && in_unit <= ranges[channel].highest)) {
        return false;
    }
    /* Halves away from zero; 180 degrees would not fit, as in the protocol itself. */
    const double steps_per_unit = 1.0 / channel_row(channel)->step; /* 10, 100, 1000 exactly */
    const double steps = in_unit * steps_per_unit;
    const double rounded = steps < 0.0 ? ceil(steps - 0.5) : floor(steps + 0.5);
    *value = rounded >= (double)INT32_MAX ? INT32_MAX - 1 : (int32_t)rounded;
    return true;
}
