/* cli/read_columns.c: --column to columns. */
#include "cli/read_columns.h"

#include "base/text.h"
#include "recording/csv_names.h"

#include <string.h>

static bool refuse_meaning(const char *word, struct error *err)
{
    const char *names[CSV_MEANINGS];
    for (int m = 0; m < CSV_MEANINGS; m++) {
        names[m] = csv_meaning_name(m);
    }
    const char *nearest = text_nearest(word, names, CSV_MEANINGS);
    if (nearest != NULL) {
        return error_set(err, ERROR_USAGE, "--column %s=...: not known; did you mean %s?", word,
                         nearest);
    }
    return error_set(err, ERROR_USAGE, "--column %s=...: not known; --help lists the meanings",
                     word);
}

/* The comma before the next "word="; NULL if there is none. */
static char *next_comma(char *name)
{
    static const char letters[] = "abcdefghijklmnopqrstuvwxyz-";
    for (char *comma = strchr(name, ','); comma != NULL; comma = strchr(comma + 1, ',')) {
        const size_t length = strspn(comma + 1, letters);
        if (length > 0 && comma[1 + length] == '=') {
            return comma;
        }
    }
    return NULL;
}

/* One "meaning=NAME" into columns[*n]. */
static bool take_one(char *word, struct read_column columns[], size_t *n, struct error *err)
{
    char *name = strchr(word, '=');
    if (name == NULL || name == word || name[1] == '\0') {
        return error_set(err, ERROR_USAGE,
                         "--column %s: write MEANING=NAME, as in power=\"Watts left\"", word);
    }
    *name++ = '\0';
    const int meaning = csv_meaning_find(word);
    if (meaning == CSV_MEANINGS) {
        return refuse_meaning(word, err);
    }
    for (size_t i = 0; i < *n; i++) {
        if (columns[i].meaning == meaning) {
            return error_set(err, ERROR_USAGE, "--column %s: said twice, \"%s\" and \"%s\"", word,
                             columns[i].name, name);
        }
        if (strcmp(columns[i].name, name) == 0) {
            return error_set(err, ERROR_USAGE, "--column %s=%s: that column is the %s already",
                             word, name, csv_meaning_name(columns[i].meaning));
        }
    }
    columns[*n] = (struct read_column){ .meaning = meaning, .name = name };
    *n += 1;
    return true;
}

bool read_columns_make(struct arena *arena, const struct option_list *list,
                       struct read_options *options, struct error *err)
{
    /* A meaning may be said once: there can be no more. */
    struct read_column *columns = ARENA_ARRAY(arena, struct read_column, CSV_MEANINGS);
    size_t n = 0;
    for (size_t i = 0; i < list->n; i++) {
        char *word = arena_string(arena, list->words[i]);
        while (word != NULL) {
            char *comma = next_comma(word);
            if (comma != NULL) {
                *comma++ = '\0';
            }
            if (!take_one(word, columns, &n, err)) {
                return false;
            }
            word = comma;
        }
    }
    options->columns = columns;
    options->n_columns = n;
    return true;
}
