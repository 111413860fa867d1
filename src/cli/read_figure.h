/* cli/read_figure.h: --figure: the page of each recording of a call, in a file of its own.
 *
 * The first recording of the call goes to OUT itself, the following to OUT-2, OUT-3 ... before the
 * ending: "week.pdf", "week-2.pdf".  Each file is written whole or not at all. */
#ifndef CLI_READ_FIGURE_H
#define CLI_READ_FIGURE_H

#include "drawing/paint.h"
#include "drawing/ride_page.h"

struct read_figure {
    const char *path; /* NULL = no figure was asked for */
    enum picture picture;
    enum theme theme;
    struct fonts *fonts;
    size_t count; /* written so far */
};

/* Checks the name and loads the fonts; path NULL is accepted.  The arena must outlive *out.
 * False: ERROR_USAGE for the name, ERROR_NOT_FOUND without the fonts. */
MUST_USE bool read_figure_open(struct arena *arena, const char *path, bool dark,
                               struct read_figure *out, struct error *err);

/* Writes the page of the next recording; nothing if no figure was asked for.
 * False (ERROR_STORAGE) names the file that can't be written. */
MUST_USE bool read_figure_write(struct read_figure *figure, const struct ride_page *page,
                                struct error *err);

void read_figure_close(struct read_figure *figure);

#endif
