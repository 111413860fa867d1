/* cli/read_figure.h: --figure: the page of each recording of a call, in a file of its own.
 *
 * The first recording of the call goes to OUT itself, the following to OUT-2, OUT-3 ... before the
 * ending: "week.pdf", "week-2.pdf".  Each file is written whole or not at all. */
#ifndef CLI_READ_FIGURE_H
#define CLI_READ_FIGURE_H

#include "cli/figure_out.h"
#include "drawing/ride_page.h"

struct read_figure {
    struct figure_out out;
    size_t count; /* written so far */
};

/* Writes the page of the next recording; nothing if no figure was asked for.
 * False (ERROR_STORAGE) names the file that can't be written. */
MUST_USE bool read_figure_write(struct read_figure *figure, const struct ride_page *page,
                                struct error *err);

#endif
