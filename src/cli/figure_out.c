/* cli/figure_out.c: --figure OUT and --dark: a scene into a file. */
#include "cli/figure_out.h"

#include "base/data.h"

bool figure_out_check(const struct figure_values *values, struct error *err)
{
    enum picture picture;
    if (values->path == NULL) {
        return !values->dark ||
               error_set(err, ERROR_USAGE,
                         "--dark: says how a figure is painted; give --figure OUT too");
    }
    return picture_of_name(values->path, &picture, err);
}

bool figure_out_open(struct arena *arena, const struct figure_values *values,
                     struct figure_out *out, struct error *err)
{
    *out = (struct figure_out){ .path = values->path,
                                .theme = values->dark ? THEME_DARK : THEME_LIGHT };
    const char *folder = NULL;
    return figure_out_check(values, err) &&
           (values->path == NULL ||
            (picture_of_name(values->path, &out->picture, err) &&
             data_find(arena, "fonts", &folder, err) && fonts_open(folder, &out->fonts, err)));
}

bool figure_out_write(struct arena *arena, const struct figure_out *out, const char *path,
                      const struct scene *scene, struct error *err)
{
    struct bytes bytes = { 0 };
    return paint_scene(arena, scene, out->picture, out->theme, &bytes, err) &&
           files_write(path, bytes, err);
}

void figure_out_close(struct figure_out *out)
{
    fonts_close(out->fonts);
    out->fonts = NULL;
}
