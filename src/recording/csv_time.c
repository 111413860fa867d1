/* recording/csv_time.c: the time in a cell of a table, whatever its form. */
#include "recording/csv_time.h"

#include "base/dates.h"

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

/* One to `most` digits; their count, 0 for none. */
static size_t take_whole(const char **at, size_t most, int64_t *value)
{
    *value = 0;
    size_t n = 0;
    for (; is_digit(**at) && n < most; n++) {
        *value = *value * 10 + (*(*at)++ - '0');
    }
    return n;
}

/* ---- dates ---- */

struct date {
    int64_t year;
    int64_t month;
    int64_t day;
};

/* The three numbers of a date and what stands between them; *at moves behind it. */
static bool take_parts(const char **at, int64_t parts[3], size_t widths[3], char *between)
{
    const char *from = *at;
    for (size_t i = 0; i < 3; i++) {
        widths[i] = take_whole(&from, 4, &parts[i]);
        if (widths[i] == 0 || (i < 2 && strchr("-/.", *from) == NULL)) {
            return false;
        }
        if (i < 2 && (*from == '\0' || (i == 1 && *from != *between))) {
            return false;
        }
        if (i < 2) {
            *between = *from++;
        }
    }
    *at = from;
    return !is_digit(*from);
}

/* 14/03/2026 and 14-03-2026: two numbers of at most two digits before a year of four. */
static bool is_open(const size_t widths[3], char between)
{
    return widths[0] <= 2 && widths[1] <= 2 && widths[2] == 4 && between != '.';
}

bool csv_time_needs_order(const char *cell, enum csv_date_order *shown)
{
    int64_t parts[3] = { 0 };
    size_t widths[3] = { 0 };
    char between = '\0';
    const char *at = cell + strspn(cell, " \t");
    *shown = CSV_ORDER_OPEN;
    if (!take_parts(&at, parts, widths, &between) || !is_open(widths, between)) {
        return false;
    }
    if (parts[0] > 12 && parts[0] <= 31 && parts[1] <= 12) {
        *shown = CSV_ORDER_DAY_FIRST;
    } else if (parts[1] > 12 && parts[1] <= 31 && parts[0] <= 12) {
        *shown = CSV_ORDER_MONTH_FIRST;
    }
    return true;
}

/* Any of the dates; *at moves behind it. */
static bool take_date(const char **at, enum csv_date_order order, struct date *date)
{
    int64_t parts[3] = { 0 };
    size_t widths[3] = { 0 };
    char between = '\0';
    if (take_parts(at, parts, widths, &between)) {
        if (widths[0] == 4 && widths[1] <= 2 && widths[2] <= 2) {
            *date = (struct date){ parts[0], parts[1], parts[2] };
            return true;
        }
        /* A dotted date has the day first wherever it is in use. */
        const bool is_dotted = between == '.' && widths[0] <= 2 && widths[1] <= 2 && widths[2] == 4;
        if (is_dotted || (is_open(widths, between) && order == CSV_ORDER_DAY_FIRST)) {
            *date = (struct date){ parts[2], parts[1], parts[0] };
            return true;
        }
        if (is_open(widths, between) && order == CSV_ORDER_MONTH_FIRST) {
            *date = (struct date){ parts[2], parts[0], parts[1] };
            return true;
        }
        return false;
    }
    int64_t whole = 0;
    if (take_whole(at, 8, &whole) == 8 && (**at == 'T' || **at == 't')) {
        *date = (struct date){ whole / 10000, whole / 100 % 100, whole % 100 };
        return true;
    }
    return false;
}

/* ---- clocks ---- */

struct clock {
    int64_t parts[3];
    size_t n_parts;
    int64_t ms;
    bool has_fraction;
    bool has_half; /* AM or PM stood there and is counted in */
};

/* "AM", "PM", "a.m.", "p.m." behind a clock; *at moves behind it.  'a', 'p' or 0. */
static char take_half(const char **at)
{
    static const char *const words[] = { "am", "a.m.", "pm", "p.m." };
    const char *from = *at + strspn(*at, " ");
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        size_t n = 0;
        while (words[i][n] != '\0' && (from[n] | 0x20) == (words[i][n] | 0x20)) {
            n++;
        }
        if (words[i][n] == '\0') {
            *at = from + n;
            return words[i][0];
        }
    }
    return '\0';
}

/* 9:26:53, 26:53, 9:26:53.5, 9:26 PM; *at moves behind it. */
static bool take_clock(const char **at, struct clock *clock)
{
    *clock = (struct clock){ 0 };
    do {
        if (clock->n_parts == 3 || take_whole(at, 6, &clock->parts[clock->n_parts]) == 0) {
            return false;
        }
        clock->n_parts++;
    } while (**at == ':' && (*at)++ != NULL);
    if ((**at == '.' || **at == ',') && is_digit((*at)[1])) {
        (*at)++;
        for (int64_t place = 100; is_digit(**at); (*at)++, place /= 10) {
            clock->ms += place * (**at - '0');
        }
        clock->has_fraction = true;
    }
    const size_t n = clock->n_parts;
    if (n < 2 || clock->parts[n - 1] > 59 || (n == 3 && clock->parts[1] > 59)) {
        return false;
    }
    const char half = take_half(at);
    if (half != '\0') {
        if (clock->parts[0] < 1 || clock->parts[0] > 12) {
            return false;
        }
        clock->parts[0] = clock->parts[0] % 12 + (half == 'p' ? 12 : 0);
        clock->has_half = true;
    }
    return true;
}

static bool read_clock(const char *text, const struct csv_time_rules *rules, struct csv_time *time)
{
    struct clock clock = { 0 };
    const char *at = text;
    if (!take_clock(&at, &clock) || *at != '\0') {
        return false;
    }
    const int64_t *parts = clock.parts;
    const bool hours_first =
        clock.n_parts == 3 || clock.has_half || (rules->two_parts_s == 60 && !clock.has_fraction);
    const int64_t seconds =
        hours_first ? parts[0] * 3600 + parts[1] * 60 + parts[2] : parts[0] * 60 + parts[1];
    *time = (struct csv_time){
        .form = CSV_TIME_CLOCK,
        .ms = seconds * 1000 + clock.ms,
        .has_two_parts = !hours_first && rules->two_parts_s == 0,
        /* No day has more than 24 hours, and no clock shows parts of a minute. */
        .shows_seconds = clock.n_parts == 3 || parts[0] > 23 || clock.has_fraction,
    };
    return true;
}

/* ---- instants ---- */

static bool read_iso(const char *text, struct csv_time *time)
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

/* Of 20260314T092653: the colons that its clock lacks. */
static const char *with_colons(const char *clock, char out[TIME_MAX])
{
    int64_t digits = 0;
    const char *at = clock;
    if (take_whole(&at, 6, &digits) != 6 || is_digit(*at) || *at == ':') {
        return clock;
    }
    snprintf(out, TIME_MAX, "%.2s:%.2s:%.2s%.40s", clock, clock + 2, clock + 4, at);
    return out;
}

/* A date, a clock behind it, and perhaps an offset. */
static bool read_date_and_clock(const char *text, enum csv_date_order order, struct csv_time *time)
{
    struct date date = { 0 };
    struct clock clock = { 0 };
    char spelt[TIME_MAX] = { 0 };
    char iso[2 * TIME_MAX] = { 0 };
    const char *at = text;
    if (!take_date(&at, order, &date) || strchr("Tt ,", *at) == NULL || *at == '\0') {
        return false;
    }
    at += strspn(at, "Tt ,");
    at = with_colons(at, spelt);
    if (!take_clock(&at, &clock) || clock.parts[0] > 23) {
        return false;
    }
    at += strspn(at, " ");
    snprintf(iso, sizeof iso, "%04d-%02d-%02dT%02d:%02d:%02d.%03d%.16s", (int)date.year,
             (int)date.month, (int)date.day, (int)clock.parts[0], (int)clock.parts[1],
             (int)clock.parts[2], (int)clock.ms, at);
    return read_iso(iso, time);
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

/* ---- numbers ---- */

static bool read_number(const char *text, const struct csv_time_rules *rules, struct csv_time *time)
{
    struct csv_number number = { 0 };
    if (csv_cell_read(text, rules->decimal_comma, &number) != CSV_CELL_NUMBER) {
        return false;
    }
    const double unix_from = rules->unix_from_s;
    double seconds = number.value * rules->unit_s;
    if (number.value >= unix_from * 1000.0) {
        seconds = number.value / 1000.0;
    } else if (number.value >= unix_from) {
        seconds = number.value;
    }
    /* No clock of ours counts below the year 0 or beyond 9999. */
    if (!(seconds > -1e11 && seconds < 2.5e11)) {
        return false;
    }
    const double ms = seconds * 1000.0;
    *time =
        (struct csv_time){ .form = number.value >= unix_from ? CSV_TIME_INSTANT : CSV_TIME_NUMBER,
                           .ms = (int64_t)(ms < 0.0 ? ms - 0.5 : ms + 0.5),
                           .number = number };
    return true;
}

bool csv_time_read(const char *date, const char *cell, const struct csv_time_rules *rules,
                   struct csv_time *time)
{
    char text[TIME_MAX] = { 0 };
    char day[TIME_MAX] = { 0 };
    *time = (struct csv_time){ 0 };
    /* What most tables hold needs no copy. */
    if (date == NULL && ((is_digit(cell[0]) && cell[1] != '\0' && cell[2] != '\0' &&
                          cell[3] != '\0' && cell[4] == '-' && read_iso(cell, time)) ||
                         read_number(cell, rules, time))) {
        return true;
    }
    if (!trim(cell, text)) {
        return false;
    }
    struct clock clock = { 0 };
    const char *at = text;
    if (date != NULL && trim(date, day) && take_clock(&at, &clock)) {
        /* Day and time stand apart: read them as one, if the day is none but a day. */
        struct date parsed = { 0 };
        const char *end = day;
        char both[2 * TIME_MAX] = { 0 };
        if (take_date(&end, rules->order, &parsed) && *end == '\0') {
            snprintf(both, sizeof both, "%s %s", day, text);
            return read_date_and_clock(both, rules->order, time);
        }
    }
    return read_number(text, rules, time) || read_clock(text, rules, time) ||
           read_iso(text, time) || read_date_and_clock(text, rules->order, time) ||
           (from_date_command(text) && read_iso(text, time));
}

/* ---- cells in turn ---- */

enum { DAY_LENGTH = 11, CLOCK_LENGTH = 8 };

/* Two digits as a number below that; -1 for anything else. */
static int take_two(const char *at, int below)
{
    if (!is_digit(at[0]) || !is_digit(at[1])) {
        return -1;
    }
    const int value = (at[0] - '0') * 10 + (at[1] - '0');
    return value < below ? value : -1;
}

/* Milliseconds of "09:26:53", perhaps with Z behind it, and nothing else; -1 for anything else. */
static int64_t plain_clock_ms(const char *at, bool *has_z)
{
    const int hours = take_two(at, 24);
    const int minutes = hours < 0 || at[2] != ':' ? -1 : take_two(at + 3, 60);
    const int seconds = minutes < 0 || at[5] != ':' ? -1 : take_two(at + 6, 60);
    if (seconds < 0) {
        return -1;
    }
    const char *behind = at + CLOCK_LENGTH;
    *has_z = *behind == 'Z';
    behind += *has_z ? 1 : 0;
    return *behind == '\0' ? ((hours * 60 + minutes) * 60 + seconds) * 1000 : -1;
}

bool csv_time_read_next(struct csv_time_day *day, const char *cell,
                        const struct csv_time_rules *rules, struct csv_time *time)
{
    bool has_z = false;
    if (day->text[0] != '\0' && strncmp(cell, day->text, DAY_LENGTH) == 0) {
        const int64_t clock_ms = plain_clock_ms(cell + DAY_LENGTH, &has_z);
        if (clock_ms >= 0) {
            *time = (struct csv_time){ .form = CSV_TIME_INSTANT,
                                       .ms = day->ms + clock_ms,
                                       .has_offset = has_z };
            return true;
        }
    }
    if (!csv_time_read(NULL, cell, rules, time)) {
        return false;
    }
    if (time->form == CSV_TIME_INSTANT && strnlen(cell, DAY_LENGTH) == DAY_LENGTH) {
        const int64_t clock_ms = plain_clock_ms(cell + DAY_LENGTH, &has_z);
        if (clock_ms >= 0) {
            memcpy(day->text, cell, DAY_LENGTH);
            day->ms = time->ms - clock_ms;
        }
    }
    return true;
}
