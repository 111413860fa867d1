/* physiology/zones.c: the table that cuts power into zones, and time spent in each. */
#include "physiology/zones.h"

#include "base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A typing mistake such as 1200 for 120 is told rather than taken. */
static const double EDGE_MOST_PCT = 1000.0;

struct zones zones_default(void)
{
    return (struct zones){
        .count = 7,
        .upper_pct = { 55, 75, 90, 105, 120, 150, (double)INFINITY },
        .name = { "recovery", "endurance", "tempo", "threshold", "VO2max", "anaerobic", "sprint" },
    };
}

struct zones zones_three_domains(void)
{
    return (struct zones){
        .count = 3,
        .upper_pct = { 80, 100, (double)INFINITY },
        .name = { "moderate", "heavy", "severe" },
    };
}

struct zones zones_of_reserve(void)
{
    return (struct zones){
        .count = 5,
        .upper_pct = { 30, 40, 60, 90, (double)INFINITY },
        .name = { "very light", "light", "moderate", "vigorous", "near maximal" },
    };
}

/* ---- zone files ---- */

struct piece {
    const char *at;
    size_t length;
};

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

static struct piece trimmed(struct piece piece)
{
    while (piece.length > 0 && is_blank(piece.at[0])) {
        piece.at++;
        piece.length--;
    }
    while (piece.length > 0 && is_blank(piece.at[piece.length - 1])) {
        piece.length--;
    }
    return piece;
}

/* The next line without its comment and outer blanks; false at the end. */
static bool next_line(struct piece *rest, struct piece *line)
{
    if (rest->length == 0) {
        return false;
    }
    const char *newline = memchr(rest->at, '\n', rest->length);
    const size_t taken = newline == NULL ? rest->length : (size_t)(newline - rest->at) + 1;
    size_t length = newline == NULL ? taken : taken - 1;
    const char *comment = memchr(rest->at, '#', length);
    if (comment != NULL) {
        length = (size_t)(comment - rest->at);
    }
    *line = trimmed((struct piece){ rest->at, length });
    rest->at += taken;
    rest->length -= taken;
    return true;
}

/* Digits with at most one point; no sign, no exponent, so that "inf" and "0x50" are told. */
static bool parse_edge(struct piece word, double *out)
{
    char digits[24];
    size_t points = 0;
    if (word.length == 0 || word.length >= sizeof digits) {
        return false;
    }
    for (size_t i = 0; i < word.length; i++) {
        points += word.at[i] == '.' ? 1 : 0;
        if (!(word.at[i] >= '0' && word.at[i] <= '9') && word.at[i] != '.') {
            return false;
        }
    }
    if (points > 1 || points == word.length) {
        return false;
    }
    memcpy(digits, word.at, word.length);
    digits[word.length] = '\0';
    *out = strtod(digits, NULL);
    return true;
}

static bool take_name(struct piece name, char out[32])
{
    struct arena *scratch = arena_open();
    const char *clean = text_clean(scratch, name.at, name.length);
    const size_t length = strlen(clean);
    const bool fits = length > 0 && length < 32;
    if (fits) {
        memcpy(out, clean, length + 1);
    }
    arena_close(scratch);
    return fits;
}

static bool is_named(const struct zones *zones, const char *name)
{
    for (size_t i = 0; i < zones->count; i++) {
        if (strcmp(zones->name[i], name) == 0) {
            return true;
        }
    }
    return false;
}

/* One line of a zone file onto the table so far. */
static bool add_line(struct zones *zones, struct piece line, const char *file, size_t number,
                     struct error *err)
{
    if (zones->count > 0 && isinf(zones->upper_pct[zones->count - 1])) {
        return error_set(err, ERROR_INPUT, "%s: line %zu: stands after the last zone (\"-\")", file,
                         number);
    }
    if (zones->count == ZONES_MOST) {
        return error_set(err, ERROR_INPUT, "%s: line %zu: more than %d zones", file, number,
                         ZONES_MOST);
    }
    size_t split = line.length;
    while (split > 0 && !is_blank(line.at[split - 1])) {
        split--;
    }
    const struct piece word = { line.at + split, line.length - split };
    char name[32];
    if (!take_name(trimmed((struct piece){ line.at, split }), name)) {
        return error_set(err, ERROR_INPUT,
                         "%s: line %zu: give a name of 1 to 31 bytes, then its upper edge in %% of "
                         "threshold",
                         file, number);
    }
    if (is_named(zones, name)) {
        return error_set(err, ERROR_INPUT, "%s: line %zu: a second zone named \"%s\"", file, number,
                         name);
    }
    double edge = (double)INFINITY;
    const bool is_last = word.length == 1 && word.at[0] == '-';
    if (!is_last && (!parse_edge(word, &edge) || !(edge > 0.0) || edge > EDGE_MOST_PCT)) {
        return error_set(
            err, ERROR_INPUT,
            "%s: line %zu: the upper edge \"%.*s\" is no number in %% above 0 to %.0f; "
            "the last zone has \"-\"",
            file, number, (int)(word.length < 24 ? word.length : 24), word.at, EDGE_MOST_PCT);
    }
    if (zones->count > 0 && !(edge > zones->upper_pct[zones->count - 1])) {
        return error_set(err, ERROR_INPUT,
                         "%s: line %zu: the upper edge %g isn't above the one before, %g", file,
                         number, edge, zones->upper_pct[zones->count - 1]);
    }
    memcpy(zones->name[zones->count], name, sizeof name);
    zones->upper_pct[zones->count++] = edge;
    return true;
}

bool zones_parse(struct bytes bytes, const char *file, struct zones *out, struct error *err)
{
    static const char mark[3] = "\xEF\xBB\xBF"; /* the byte order mark some editors write */
    struct zones zones = { 0 };
    struct piece rest = { (const char *)bytes.at, bytes.size };
    struct piece line = { 0 };
    size_t number = 0;
    if (rest.length >= sizeof mark && memcmp(rest.at, mark, sizeof mark) == 0) {
        rest.at += sizeof mark;
        rest.length -= sizeof mark;
    }
    while (next_line(&rest, &line)) {
        number++;
        if (line.length > 0 && !add_line(&zones, line, file, number, err)) {
            return false;
        }
    }
    if (zones.count < 2) {
        return error_set(err, ERROR_INPUT, "%s: zones found: %zu; give at least 2, one a line",
                         file, zones.count);
    }
    if (!isinf(zones.upper_pct[zones.count - 1])) {
        return error_set(err, ERROR_INPUT,
                         "%s: line %zu: the last zone needs \"-\" as its upper edge", file, number);
    }
    *out = zones;
    return true;
}

/* ---- time in zones ---- */

size_t zones_of(const struct zones *zones, double power_w, double threshold_w)
{
    size_t i = 0;
    /* Products, not quotients: 55 % of 240 W against 132 W compares whole numbers. */
    while (i + 1 < zones->count && power_w * 100.0 > zones->upper_pct[i] * threshold_w) {
        i++;
    }
    return i;
}

void zones_count(const struct zones *zones, const double power_w[], size_t n, double threshold_w,
                 double seconds[ZONES_MOST])
{
    for (size_t i = 0; i < ZONES_MOST; i++) {
        seconds[i] = 0.0;
    }
    for (size_t i = 0; i < n; i++) {
        if (!isnan(power_w[i])) {
            seconds[zones_of(zones, power_w[i], threshold_w)] += 1.0;
        }
    }
}
