/* recording/csv_time.c: the time in a cell of a table, whatever its form. */
#include "recording/csv_time.h"

#include "base/dates.h"
#include "recording/csv_columns.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

/* Longer cells hold no time. */
#define TIME_MAX 64

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Without the blanks around it; false if too long. */
static bool trim(const char *text, char out[TIME_MAX])
{
    text += strspn(text, " \t");
    size_t length = strlen(text);
    while (length > 0 && (text[length - 1] == ' ' || text[length - 1] == '\t')) {
        length--;
    }
    if (length >= TIME_MAX) {
        return false;
    }
    memcpy(out, text, length);
    out[length] = '\0';
    return true;
}

/* 2026/03/14 and 14.03.2026 as 2026-03-14; other texts stay.  A dotted date has the day first
 * wherever it is in use. */
static void to_iso_date(char text[TIME_MAX])
{
    for (size_t i = 0; i < 10; i++) {
        if (text[i] == '\0') {
            return;
        }
    }
    if (text[4] == '/' && text[7] == '/') {
        text[4] = '-';
        text[7] = '-';
    } else if (text[2] == '.' && text[5] == '.') {
        const char iso[10] = { text[6], text[7], text[8], text[9], '-',
                               text[3], text[4], '-',     text[0], text[1] };
        memcpy(text, iso, sizeof iso);
    }
}

/* "Sat Mar 14 09:26:53 CET 2026" or without zone, as ISO; false for another form. */
static bool from_date_command(char text[TIME_MAX])
{
    static const char months[] = "JanFebMarAprMayJunJulAugSepOctNovDec";
    char month[4] = { 0 };
    char clock[9] = { 0 };
    char rest[TIME_MAX] = { 0 };
    int day = 0;
    int used = 0;
    /* Widths bound every field; NOLINTNEXTLINE(cert-err34-c): two digits can't overflow */
    if (sscanf(text, "%*3[A-Za-z] %3[A-Za-z] %2d %8[0-9:] %n", month, &day, clock, &used) != 3 ||
        used == 0 || strlen(month) != 3) {
        return false;
    }
    memcpy(rest, text + used, strlen(text + used) + 1);
    const char *year = strrchr(rest, ' ');
    year = year == NULL ? rest : year + 1;
    const char *found = strstr(months, month);
    if (strlen(year) != 4 || found == NULL || (found - months) % 3 != 0) {
        return false;
    }
    snprintf(text, TIME_MAX, "%.4s-%02d-%02d %.8s", year, (int)(found - months) / 3 + 1, day,
             clock);
    return true;
}

static bool read_instant(const char *text, struct csv_time *time)
{
    int64_t utc_s = 0;
    double fraction_s = 0.0;
    if (!dates_parse_iso(text, &utc_s, &fraction_s, &time->has_offset, &time->offset_s)) {
        return false;
    }
    time->form = CSV_TIME_INSTANT;
    time->ms = utc_s * 1000 + (int64_t)(fraction_s * 1000.0 + 0.5);
    return true;
}

/* One to six digits. */
static bool take_whole(const char **at, int64_t *value)
{
    *value = 0;
    size_t n = 0;
    for (; is_digit(**at) && n < 6; n++) {
        *value = *value * 10 + (*(*at)++ - '0');
    }
    return n > 0;
}

/* h:mm:ss with a fraction, or m:ss. */
static bool read_clock(const char *text, struct csv_time *time)
{
    int64_t parts[3] = { 0 };
    size_t n = 0;
    const char *at = text;
    do {
        if (n == 3 || !take_whole(&at, &parts[n])) {
            return false;
        }
        n++;
    } while (*at == ':' && at++ != NULL);
    int64_t ms = 0;
    if (*at == '.' || *at == ',') {
        at++;
        for (int64_t place = 100; is_digit(*at); at++, place /= 10) {
            ms += place * (*at - '0');
        }
    }
    if (n < 2 || *at != '\0' || parts[n - 1] > 59 || (n == 3 && parts[1] > 59)) {
        return false;
    }
    const int64_t seconds =
        n == 3 ? parts[0] * 3600 + parts[1] * 60 + parts[2] : parts[0] * 60 + parts[1];
    *time = (struct csv_time){ .form = CSV_TIME_CLOCK, .ms = seconds * 1000 + ms };
    return true;
}

static bool read_number(const char *text, double unit_s, bool decimal_comma,
                        const struct limits *limits, struct csv_time *time)
{
    const double unix_from = limits->value[LIMIT_CSV_UNIX_FROM_S];
    double number = 0.0;
    if (!csv_number(text, decimal_comma, &number)) {
        return false;
    }
    double seconds = number * unit_s;
    if (number >= unix_from * 1000.0) {
        seconds = number / 1000.0;
    } else if (number >= unix_from) {
        seconds = number;
    }
    /* No clock of ours counts below the year 0 or beyond 9999. */
    if (!(seconds > -1e11 && seconds < 2.5e11)) {
        return false;
    }
    const double ms = seconds * 1000.0;
    *time = (struct csv_time){ .form = number >= unix_from ? CSV_TIME_INSTANT : CSV_TIME_NUMBER,
                               .ms = (int64_t)(ms < 0.0 ? ms - 0.5 : ms + 0.5) };
    return true;
}

bool csv_time_read(const char *date, const char *cell, double unit_s, bool decimal_comma,
                   const struct limits *limits, struct csv_time *time)
{
    char text[TIME_MAX] = { 0 };
    char day[TIME_MAX] = { 0 };
    *time = (struct csv_time){ 0 };
    if (!trim(cell, text)) {
        return false;
    }
    if (date != NULL && trim(date, day) && strlen(day) == 10 && read_clock(text, time)) {
        /* Day and time stand apart: read them as one. */
        char both[2 * TIME_MAX] = { 0 };
        to_iso_date(day);
        snprintf(both, sizeof both, "%sT%s%s", day, text[1] == ':' ? "0" : "", text);
        return read_instant(both, time);
    }
    if (read_number(text, unit_s, decimal_comma, limits, time) || read_clock(text, time)) {
        return true;
    }
    to_iso_date(text);
    return read_instant(text, time) || (from_date_command(text) && read_instant(text, time));
}
