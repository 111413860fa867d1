/* cli/options.c: parse by table. */
#include "cli/options.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { OPTIONS_MOST = 64, HELP_COLUMN = 26, HELP_WIDTH = 80 };

static const struct option_row *row_named(const struct option_row rows[], size_t n_rows,
                                          const char *name, size_t length)
{
    for (size_t i = 0; i < n_rows; i++) {
        if (strlen(rows[i].name) == length && strncmp(rows[i].name, name, length) == 0) {
            return &rows[i];
        }
    }
    return NULL;
}

static bool refuse_unknown(const struct option_row rows[], size_t n_rows, const char *word,
                           struct error *err)
{
    const char *names[OPTIONS_MOST];
    size_t n = 0;
    for (size_t i = 0; i < n_rows && n < OPTIONS_MOST; i++) {
        names[n++] = rows[i].name;
    }
    char bare[64] = { 0 };
    const char *start = word + strspn(word, "-");
    const size_t length = strcspn(start, "=");
    memcpy(bare, start, length < sizeof bare ? length : sizeof bare - 1);
    const char *nearest = text_nearest(bare, names, n);
    if (nearest != NULL) {
        return error_set(err, ERROR_USAGE, "%s: no such option; did you mean --%s?", word, nearest);
    }
    return error_set(err, ERROR_USAGE, "%s: no such option; --help lists them", word);
}

static bool take_number(const struct option_row *row, const char *word, double *out,
                        struct error *err)
{
    char *end = NULL;
    const double value = strtod(word, &end);
    if (*word == '\0' || *end != '\0' || !isfinite(value)) {
        return error_set(err, ERROR_USAGE, "--%s %s: not a number; give it in %s", row->name, word,
                         row->value);
    }
    if (value < row->lowest || value > row->highest) {
        return error_set(err, ERROR_USAGE, "--%s %s: must be %g to %g %s", row->name, word,
                         row->lowest, row->highest, row->value);
    }
    *out = value;
    return true;
}

static bool take_one_more(const struct option_row *row, const char *word, void *place,
                          struct error *err)
{
    struct option_list list;
    memcpy(&list, place, sizeof list);
    if (list.n == OPTION_LIST_MOST) {
        return error_set(err, ERROR_USAGE, "--%s: given more than %d times", row->name,
                         (int)OPTION_LIST_MOST);
    }
    list.words[list.n++] = word;
    memcpy(place, &list, sizeof list);
    return true;
}

static bool take_value(const struct option_row *row, const char *word, void *values,
                       struct error *err)
{
    char *place = (char *)values + row->offset;
    switch (row->type) {
    case OPTION_FLAG: {
        const bool yes = true;
        memcpy(place, &yes, sizeof yes);
        return true;
    }
    case OPTION_NUMBER: {
        double number = 0.0;
        if (!take_number(row, word, &number, err)) {
            return false;
        }
        memcpy(place, &number, sizeof number);
        return true;
    }
    case OPTION_TEXT: memcpy(place, &word, sizeof word); return true;
    case OPTION_LIST: return take_one_more(row, word, place, err);
    }
    return error_set(err, ERROR_INTERNAL, "--%s: unknown type", row->name);
}

bool options_parse(int argc, char *const argv[], const struct option_row rows[], size_t n_rows,
                   void *values, const char *words[], size_t *n_words, struct error *err)
{
    *n_words = 0;
    bool ended = false;
    for (int i = 1; i < argc; i++) {
        const char *word = argv[i];
        if (ended || word[0] != '-' || word[1] == '\0') {
            words[(*n_words)++] = word;
            continue;
        }
        if (strcmp(word, "--") == 0) {
            ended = true;
            continue;
        }
        const char *name = word + 2;
        const size_t length = strncmp(word, "--", 2) == 0 ? strcspn(name, "=") : 0;
        const struct option_row *row = length > 0 ? row_named(rows, n_rows, name, length) : NULL;
        if (row == NULL) {
            return refuse_unknown(rows, n_rows, word, err);
        }
        const char *value = name[length] == '=' ? name + length + 1 : NULL;
        if (row->type == OPTION_FLAG && value != NULL) {
            return error_set(err, ERROR_USAGE, "--%s: takes no value", row->name);
        }
        if (row->type != OPTION_FLAG && value == NULL) {
            if (i + 1 >= argc) {
                return error_set(err, ERROR_USAGE, "--%s: needs a value: %s", row->name,
                                 row->value);
            }
            value = argv[++i];
        }
        if (!take_value(row, value == NULL ? "" : value, values, err)) {
            return false;
        }
    }
    return true;
}

void options_help(struct text *out, const struct option_row rows[], size_t n_rows)
{
    for (size_t i = 0; i < n_rows; i++) {
        struct text name = text_begin(out->arena, 128);
        text_add_format(&name, "  --%s%s%s", rows[i].name, rows[i].value == NULL ? "" : " ",
                        rows[i].value == NULL ? "" : rows[i].value);
        text_add(out, name.bytes);
        if (text_columns(name.bytes) + 2 > HELP_COLUMN) {
            text_add(out, "\n");
            text_add_format(out, "%*s", HELP_COLUMN, "");
        } else {
            text_add_format(out, "%*s", (int)(HELP_COLUMN - text_columns(name.bytes)), "");
        }
        text_add_wrapped(out, rows[i].help, HELP_COLUMN, HELP_COLUMN, HELP_WIDTH);
    }
}
