/* cli/options.h: one table of options a command; it parses, prints the help, and feeds the tests.
 *
 * An option is a row; values land in a struct through `offset`.  Short of what a value means
 * (a range, a list of words), nothing about an option stands anywhere else. */
#ifndef CLI_OPTIONS_H
#define CLI_OPTIONS_H

#include "base/error.h"
#include "base/text.h"

#include <stddef.h>

enum option_type {
    OPTION_FLAG,   /* bool, set true */
    OPTION_NUMBER, /* double, within lowest..highest */
    OPTION_TEXT,   /* const char *, the words as given */
    OPTION_LIST,   /* struct option_list: may be given again and again */
};

enum { OPTION_LIST_MOST = 32 };

struct option_list {
    const char *words[OPTION_LIST_MOST];
    size_t n;
};

struct option_row {
    const char *name; /* without the dashes */
    enum option_type type;
    const char *value; /* what help calls the value: "W", "LOW-HIGH"; NULL for a flag */
    const char *help;  /* one line */
    size_t offset;     /* into the command's struct */
    double lowest;     /* of a number, both included */
    double highest;
};

/* Parses argv[1..]: options in any place, "--name value" or "--name=value", "--" ends them.
 * The words that are no options are left in words[0..*n_words), which has room for argc.
 * False (ERROR_USAGE) names the option, and the nearest one where it isn't known. */
MUST_USE bool options_parse(int argc, char *const argv[], const struct option_row rows[],
                            size_t n_rows, void *values, const char *words[], size_t *n_words,
                            struct error *err);

/* The options as help prints them, 80 columns. */
void options_help(struct text *out, const struct option_row rows[], size_t n_rows);

#endif
