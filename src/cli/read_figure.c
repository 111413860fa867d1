/* cli/read_figure.c: --figure: the page of each recording of a call. */
#include "cli/read_figure.h"

#include "base/data.h"

#include <string.h>

bool read_figure_open(struct arena *arena, const char *path, bool dark, struct read_figure *out,
                      struct error *err)
{
    *out = (struct read_figure){ .path = path, .theme = dark ? THEME_DARK : THEME_LIGHT };
    if (path == NULL) {
        return !dark || error_set(err, ERROR_USAGE,
                                  "--dark: says how a figure is painted; give --figure OUT too");
    }
    const char *folder = NULL;
    return picture_of_name(path, &out->picture, err) && data_find(arena, "fonts", &folder, err) &&
           fonts_open(folder, &out->fonts, err);
}

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
    if (figure->path == NULL) {
        return true;
    }
    struct arena *arena = arena_open();
    const struct scene scene = ride_page_draw(arena, figure->fonts, page);
    const char *path = numbered(arena, figure->path, figure->count + 1);
    struct bytes bytes = { 0 };
    const bool written = paint_scene(arena, &scene, figure->picture, figure->theme, &bytes, err) &&
                         files_write(path, bytes, err);
    figure->count += written ? 1 : 0;
    arena_close(arena);
    return written;
}

void read_figure_close(struct read_figure *figure)
{
    fonts_close(figure->fonts);
    figure->fonts = NULL;
}
