/* base/dates.c: the civil calendar. */
#include "base/dates.h"

#include <ctype.h>
#include <stddef.h>
#include <stdio.h>

static const int64_t DAY_S = 86400;

int64_t dates_days_from_civil(int64_t year, int month, int day)
{
    /* The year begins in March, so that the leap day is its last. */
    const int64_t y = month <= 2 ? year - 1 : year;
    const int64_t era = (y >= 0 ? y : y - 399) / 400;
    const int64_t year_of_era = y - era * 400;
    const int64_t day_of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    const int64_t day_of_era =
        year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    return era * 146097 + day_of_era - 719468;
}

struct civil dates_civil_from_utc(int64_t utc_s)
{
    int64_t days = utc_s / DAY_S;
    int64_t rest = utc_s % DAY_S;
    if (rest < 0) {
        rest += DAY_S;
        days--;
    }
    const int64_t z = days + 719468;
    const int64_t era = (z >= 0 ? z : z - 146096) / 146097;
    const int64_t doe = z - era * 146097;
    const int64_t yoe = (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365;
    const int64_t doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    const int64_t mp = (5 * doy + 2) / 153;
    struct civil civil = { 0 };
    civil.day = (int)(doy - (153 * mp + 2) / 5 + 1);
    civil.month = (int)(mp < 10 ? mp + 3 : mp - 9);
    civil.year = yoe + era * 400 + (civil.month <= 2 ? 1 : 0);
    civil.hour = (int)(rest / 3600);
    civil.minute = (int)(rest / 60 % 60);
    civil.second = (int)(rest % 60);
    return civil;
}

int64_t dates_utc_from_civil(const struct civil *civil)
{
    return dates_days_from_civil(civil->year, civil->month, civil->day) * DAY_S +
           (int64_t)civil->hour * 3600 + (int64_t)civil->minute * 60 + civil->second;
}

/* Exactly n digits at *at as a number, and *at moved behind them; -1 if they aren't there. */
static int take_digits(const char **at, int n)
{
    int value = 0;
    for (int i = 0; i < n; i++) {
        if (!isdigit((unsigned char)(*at)[i])) {
            return -1;
        }
        value = value * 10 + ((*at)[i] - '0');
    }
    *at += n;
    return value;
}

static bool take(const char **at, char wanted)
{
    if (**at != wanted) {
        return false;
    }
    (*at)++;
    return true;
}

static int days_in_month(int64_t year, int month)
{
    static const int days[] = { 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };
    const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return days[month - 1] + (month == 2 && leap ? 1 : 0);
}

/* "Z", "+hh", "+hhmm" or "+hh:mm" up to the end of the text. */
static bool take_offset(const char **at, int32_t *offset_s)
{
    if (take(at, 'Z') || take(at, 'z')) {
        *offset_s = 0;
        return true;
    }
    const int sign = **at == '-' ? -1 : 1;
    if (!take(at, '+') && !take(at, '-')) {
        return false;
    }
    const int hours = take_digits(at, 2);
    int minutes = 0;
    if (**at != '\0') {
        (void)take(at, ':');
        minutes = take_digits(at, 2);
    }
    if (hours < 0 || hours > 18 || minutes < 0 || minutes > 59) {
        return false;
    }
    *offset_s = sign * (hours * 3600 + minutes * 60);
    return true;
}

bool dates_parse_iso(const char *text, int64_t *utc_s, double *fraction_s, bool *has_offset,
                     int32_t *offset_s)
{
    const char *at = text;
    struct civil c = { 0 };
    const int year = take_digits(&at, 4);
    if (year < 0 || !take(&at, '-')) {
        return false;
    }
    c.year = year;
    c.month = take_digits(&at, 2);
    if (c.month < 1 || c.month > 12 || !take(&at, '-')) {
        return false;
    }
    c.day = take_digits(&at, 2);
    if (c.day < 1 || c.day > days_in_month(c.year, c.month) ||
        !(take(&at, 'T') || take(&at, 't') || take(&at, ' '))) {
        return false;
    }
    c.hour = take_digits(&at, 2);
    if (c.hour < 0 || c.hour > 23 || !take(&at, ':')) {
        return false;
    }
    c.minute = take_digits(&at, 2);
    if (c.minute < 0 || c.minute > 59) {
        return false;
    }
    if (take(&at, ':')) {
        c.second = take_digits(&at, 2);
        if (c.second < 0 || c.second > 60) {
            return false;
        }
    }
    double fraction = 0.0;
    if (take(&at, '.') || take(&at, ',')) {
        double scale = 0.1;
        if (!isdigit((unsigned char)*at)) {
            return false;
        }
        for (; isdigit((unsigned char)*at); at++) {
            fraction += scale * (*at - '0');
            scale /= 10.0;
        }
    }
    int32_t offset = 0;
    const bool with_offset = *at != '\0';
    if ((with_offset && !take_offset(&at, &offset)) || *at != '\0') {
        return false;
    }
    *utc_s = dates_utc_from_civil(&c) - offset;
    if (fraction_s != NULL) {
        *fraction_s = fraction;
    }
    *has_offset = with_offset;
    *offset_s = offset;
    return true;
}

void dates_format_utc(int64_t utc_s, char out[32])
{
    const struct civil c = dates_civil_from_utc(utc_s);
    snprintf(out, 32, "%04lld-%02d-%02dT%02d:%02d:%02dZ", (long long)c.year, c.month, c.day, c.hour,
             c.minute, c.second);
}

bool dates_parse_day(const char *text, int64_t *days)
{
    const char *at = text;
    const int year = take_digits(&at, 4);
    if (year < 1 || !take(&at, '-')) {
        return false;
    }
    const int month = take_digits(&at, 2);
    if (month < 1 || month > 12 || !take(&at, '-')) {
        return false;
    }
    const int day = take_digits(&at, 2);
    if (day < 1 || day > days_in_month(year, month) || *at != '\0') {
        return false;
    }
    *days = dates_days_from_civil(year, month, day);
    return true;
}

int64_t dates_day_number(const char *text)
{
    int64_t days = 0;
    return text != NULL && dates_parse_day(text, &days) ? days : INT64_MIN;
}

void dates_format_day(int64_t days, char out[11])
{
    const struct civil c = dates_civil_from_utc(days * DAY_S);
    const int64_t year = c.year < 1 ? 1 : c.year > 9999 ? 9999 : c.year;
    snprintf(out, 11, "%04u-%02u-%02u", (unsigned)year % 10000u, (unsigned)c.month % 100u,
             (unsigned)c.day % 100u);
}

struct iso_week dates_iso_week(int64_t days)
{
    /* 1970-01-01 was a Thursday. */
    const int64_t since_monday = ((days + 3) % 7 + 7) % 7;
    const int64_t thursday = days - since_monday + 3;
    const struct civil c = dates_civil_from_utc(thursday * DAY_S);
    const int64_t new_year = dates_days_from_civil(c.year, 1, 1);
    return (struct iso_week){ c.year, (int)((thursday - new_year) / 7 + 1), (int)since_monday + 1 };
}
