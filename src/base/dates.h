/* base/dates.h: the civil calendar (proleptic Gregorian), in UTC; no time zones here. */
#ifndef BASE_DATES_H
#define BASE_DATES_H

#include <stdbool.h>
#include <stdint.h>

struct civil {
    int64_t year;
    int month;  /* 1..12 */
    int day;    /* 1..31 */
    int hour;   /* 0..23 */
    int minute; /* 0..59 */
    int second; /* 0..59 */
};

/* Days since 1970-01-01.  Source: Hinnant, chrono-compatible low-level date algorithms
 * (public note, from memory). */
int64_t dates_days_from_civil(int64_t year, int month, int day);

struct civil dates_civil_from_utc(int64_t utc_s);
int64_t dates_utc_from_civil(const struct civil *civil);

/* ISO 8601: "2026-03-14T09:26:53" with 'T' or a blank, optional fraction (returned apart, may be
 * NULL), optional "Z" or "+hh:mm", "+hhmm", "+hh".  *has_offset says whether one stood there and
 * *offset_s what it said; *utc_s then has it taken off.  False if the text isn't such an instant.
 */
bool dates_parse_iso(const char *text, int64_t *utc_s, double *fraction_s, bool *has_offset,
                     int32_t *offset_s);

/* "2026-03-14T09:26:53Z"; out has room for 32 bytes. */
void dates_format_utc(int64_t utc_s, char out[32]);

/* "2026-03-14" to days since 1970-01-01 and back; years 0001 to 9999.  False if the text is no such
 * day, or more than one. */
bool dates_parse_day(const char *text, int64_t *days);
void dates_format_day(int64_t days, char out[11]);

/* The same for a day that may be none: INT64_MIN for NULL and for what is no day. */
int64_t dates_day_number(const char *text);

/* The week of a day by ISO 8601: it begins on Monday, and week 1 holds the year's first Thursday.
 */
struct iso_week {
    int64_t year; /* the week's, not always the day's */
    int week;     /* 1..53 */
    int weekday;  /* 1 = Monday .. 7 */
};
struct iso_week dates_iso_week(int64_t days);

#endif
