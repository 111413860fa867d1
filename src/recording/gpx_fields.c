/* recording/gpx_fields.c: names, numbers, times and sports of a track. */
#include "recording/gpx_fields.h"

#include "base/dates.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* Longer names are no field's; longer texts hold no number and no time. */
#define NAME_MAX_BYTES 24
#define TEXT_MAX_BYTES 64

const char *gpx_local_name(const char *name)
{
    const char *colon = strrchr(name, ':');
    return colon == NULL ? name : colon + 1;
}

bool gpx_field_channel(const char *local_name, enum channel *channel)
{
    static const struct {
        const char *name;
        enum channel channel;
    } rows[] = {
        { "power", CHANNEL_POWER },
        { "powerinwatts", CHANNEL_POWER },
        { "watts", CHANNEL_POWER },
        { "pwr", CHANNEL_POWER },
        { "hr", CHANNEL_HEART_RATE },
        { "heartrate", CHANNEL_HEART_RATE },
        { "heartratebpm", CHANNEL_HEART_RATE },
        { "bpm", CHANNEL_HEART_RATE },
        { "pulse", CHANNEL_HEART_RATE },
        { "cad", CHANNEL_CADENCE },
        { "cadence", CHANNEL_CADENCE },
        { "rpm", CHANNEL_CADENCE },
        { "atemp", CHANNEL_TEMPERATURE },
        { "temp", CHANNEL_TEMPERATURE },
        { "temperature", CHANNEL_TEMPERATURE },
        { "airtemp", CHANNEL_TEMPERATURE },
        { "speed", CHANNEL_SPEED },
        { "velocity", CHANNEL_SPEED },
    };
    char name[NAME_MAX_BYTES] = { 0 };
    size_t n = 0;
    for (const char *at = local_name; *at != '\0'; at++) {
        if (strchr("_-.", *at) != NULL) {
            continue;
        }
        if (n + 1 == sizeof name) {
            return false;
        }
        name[n++] = (char)tolower((unsigned char)*at);
    }
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(name, rows[i].name) == 0) {
            *channel = rows[i].channel;
            return true;
        }
    }
    return false;
}

/* Without the blanks around it; false if too long. */
static bool trim(const char *text, char out[TEXT_MAX_BYTES])
{
    static const char *const blanks = " \t\r\n";
    text += strspn(text, blanks);
    size_t length = strlen(text);
    while (length > 0 && strchr(blanks, text[length - 1]) != NULL) {
        length--;
    }
    if (length >= TEXT_MAX_BYTES) {
        return false;
    }
    memcpy(out, text, length);
    out[length] = '\0';
    return true;
}

static bool says_nothing(const char *text)
{
    static const char *const words[] = { "", "-", "--", "nan", "null", "none", "na", "n/a" };
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (strcasecmp(text, words[i]) == 0) {
            return true;
        }
    }
    return false;
}

/* A decimal number and nothing else: no hexadecimal, no infinity, whatever strtod would take. */
static bool read_number(const char *text, double *number)
{
    if (text[strspn(text, "0123456789+-.eE")] != '\0') {
        return false;
    }
    char *end = NULL;
    *number = strtod(text, &end);
    return end != text && *end == '\0' && isfinite(*number);
}

enum gpx_value gpx_field_value(const char *text, enum channel channel, int32_t *value)
{
    /* What FIT fields of the same quantity can hold; degrees by what they are. */
    static const struct {
        double lowest;
        double highest;
    } ranges[CHANNEL_COUNT] = {
        [CHANNEL_POWER] = { 0.0, 65534.0 },       [CHANNEL_HEART_RATE] = { 0.0, 254.0 },
        [CHANNEL_CADENCE] = { 0.0, 254.0 },       [CHANNEL_SPEED] = { 0.0, 65.534 },
        [CHANNEL_ALTITUDE] = { -500.0, 12606.8 }, [CHANNEL_TEMPERATURE] = { -127.0, 126.0 },
        [CHANNEL_LATITUDE] = { -90.0, 90.0 },     [CHANNEL_LONGITUDE] = { -180.0, 180.0 },
    };
    char trimmed[TEXT_MAX_BYTES];
    double number = 0.0;
    if (!trim(text, trimmed)) {
        return GPX_VALUE_BAD;
    }
    if (says_nothing(trimmed)) {
        return GPX_VALUE_NONE;
    }
    if (!read_number(trimmed, &number) ||
        !(number >= ranges[channel].lowest && number <= ranges[channel].highest)) {
        return GPX_VALUE_BAD;
    }
    const double steps = round(number / channel_row(channel)->step);
    /* The meridian of 180 degrees is one step past what 32 bits hold, on both sides. */
    *value = steps >= (double)INT32_MAX    ? INT32_MAX
             : steps <= (double)-INT32_MAX ? -INT32_MAX
                                           : (int32_t)steps;
    return GPX_VALUE;
}

bool gpx_field_time(const char *text, int64_t *utc_ms, bool *has_offset, int32_t *offset_s)
{
    char trimmed[TEXT_MAX_BYTES];
    int64_t utc_s = 0;
    double fraction_s = 0.0;
    bool stated = false;
    if (!trim(text, trimmed) || !dates_parse_iso(trimmed, &utc_s, &fraction_s, &stated, offset_s)) {
        return false;
    }
    *utc_ms = utc_s * 1000 + (int64_t)(fraction_s * 1000.0 + 0.5);
    *has_offset = stated && *offset_s != 0;
    return true;
}

/* The first part that the type holds decides; so what looks like another stands before it. */
static bool holds_part(const char *type, const char *part)
{
    const size_t length = strlen(part);
    for (; *type != '\0'; type++) {
        if (strncasecmp(type, part, length) == 0) {
            return true;
        }
    }
    return false;
}

enum sport gpx_field_sport(const char *type)
{
    static const struct {
        const char *part;
        enum sport sport;
    } rows[] = {
        { "motor", SPORT_OTHER },
        { "horse", SPORT_OTHER },
        { "skat", SPORT_OTHER },
        { "driv", SPORT_OTHER },
        { "kayak", SPORT_OTHER },
        { "sail", SPORT_OTHER },
        { "transition", SPORT_TRANSITION },
        { "cycl", SPORT_CYCLING },
        { "bik", SPORT_CYCLING },
        { "ride", SPORT_CYCLING },
        { "run", SPORT_RUNNING },
        { "jog", SPORT_RUNNING },
        { "walk", SPORT_WALKING },
        { "hik", SPORT_HIKING },
        { "swim", SPORT_SWIMMING },
        { "rowing", SPORT_ROWING },
        { "ski", SPORT_SKIING },
        { "diving", SPORT_DIVING },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (holds_part(type, rows[i].part)) {
            return rows[i].sport;
        }
    }
    return SPORT_UNKNOWN;
}

enum ride_place gpx_field_place(const char *type)
{
    return holds_part(type, "indoor") || holds_part(type, "virtual") ? PLACE_INDOORS
                                                                     : PLACE_UNKNOWN;
}
