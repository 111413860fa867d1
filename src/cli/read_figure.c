/* cli/read_figure.c: --figure: the page of each recording of a call. */
#include "cli/read_figure.h"

#include <string.h>

/* "week.pdf" for the first, "week-2.pdf" for the second. */
static const char *numbered(struct arena *arena, const char *path, size_t number)
{
    if (number == 1) {
        return path;
    }
    const char *ending = strrchr(path, '.');
    return arena_format(arena, "%.*s-%zu%s", (int)(ending - path), path, number, ending);
}

bool read_figure_write(struct read_figure *figure, const struct ride_page *page, struct error *err)
{
    if (figure->out.path == NULL) {
        return true;
    }
    struct arena *arena = arena_open();
    const struct scene scene = ride_page_draw(arena, figure->out.fonts, page);
    const char *path = numbered(arena, figure->out.path, figure->count + 1);
    const bool written = figure_out_write(arena, &figure->out, path, &scene, err);
    figure->count += written ? 1 : 0;
    arena_close(arena);
    return written;
}
