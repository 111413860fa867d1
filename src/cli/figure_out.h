/* cli/figure_out.h: --figure OUT and --dark: a scene into a file, whole or not at all. */
#ifndef CLI_FIGURE_OUT_H
#define CLI_FIGURE_OUT_H

#include "cli/command.h"
#include "drawing/paint.h"

/* The two options' values; a field of a command's own struct. */
struct figure_values {
    const char *path;
    bool dark;
};

/* Rows for a table of options; offset: of the field of this type in the command's struct. */
#define FIGURE_OPTIONS(offset)                                                                     \
    { "figure",                                                                                    \
      OPTION_TEXT,                                                                                 \
      "OUT",                                                                                       \
      "the same as a page beside the words: OUT.svg, .png, .pdf, or .json",                        \
      (offset) + offsetof(struct figure_values, path),                                             \
      0,                                                                                           \
      0 },                                                                                         \
    {                                                                                              \
        "dark", OPTION_FLAG, NULL, "the figure on dark ground",                                    \
            (offset) + offsetof(struct figure_values, dark), 0, 0                                  \
    }

struct figure_out {
    const char *path; /* NULL = no figure was asked for */
    enum picture picture;
    enum theme theme;
    struct fonts *fonts;
};

/* Checks the name alone: before a roster is opened. */
MUST_USE bool figure_out_check(const struct figure_values *values, struct error *err);

/* Checks the name and loads the fonts; without --figure nothing.  The arena must outlive *out.
 * False: ERROR_USAGE for the name, ERROR_NOT_FOUND without the fonts. */
MUST_USE bool figure_out_open(struct arena *arena, const struct figure_values *values,
                              struct figure_out *out, struct error *err);

/* Writes the scene to path.  False (ERROR_STORAGE) names the file that can't be written. */
MUST_USE bool figure_out_write(struct arena *arena, const struct figure_out *out, const char *path,
                               const struct scene *scene, struct error *err);

void figure_out_close(struct figure_out *out);

#endif
