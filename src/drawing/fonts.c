/* drawing/fonts.c: the shipped fonts, and no others. */
#include "drawing/fonts.h"

#include "drawing/letters.h"

#include <fontconfig/fontconfig.h>
#include <pango/pangofc-fontmap.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* DejaVu Sans comes last: letters that neither family has. */
static const char *const files[] = {
    "SourceSerif4-Regular.ttf", "SourceSerif4-It.ttf", "SourceSerif4-Semibold.ttf",
    "Inter-Regular.otf",        "Inter-SemiBold.otf",  "DejaVuSans.ttf",
};

static const struct {
    const char *family;
    PangoStyle style;
    PangoWeight weight;
} faces[] = {
    [FACE_SERIF] = { "Source Serif 4,DejaVu Sans", PANGO_STYLE_NORMAL, PANGO_WEIGHT_NORMAL },
    [FACE_SERIF_ITALIC] = { "Source Serif 4,DejaVu Sans", PANGO_STYLE_ITALIC, PANGO_WEIGHT_NORMAL },
    [FACE_SERIF_STRONG] = { "Source Serif 4,DejaVu Sans", PANGO_STYLE_NORMAL,
                            PANGO_WEIGHT_SEMIBOLD },
    [FACE_SANS] = { "Inter,DejaVu Sans", PANGO_STYLE_NORMAL, PANGO_WEIGHT_NORMAL },
    [FACE_SANS_STRONG] = { "Inter,DejaVu Sans", PANGO_STYLE_NORMAL, PANGO_WEIGHT_SEMIBOLD },
};

struct fonts {
    FcConfig *config;
    PangoFontMap *map;
    PangoContext *context;
};

static bool load(FcConfig *config, const char *folder, struct error *err)
{
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        char path[4096];
        const int length = snprintf(path, sizeof path, "%s/%s", folder, files[i]);
        if (length < 0 || (size_t)length >= sizeof path ||
            !FcConfigAppFontAddFile(config, (const FcChar8 *)path)) {
            return error_set(err, ERROR_NOT_FOUND,
                             "%s: the font %s is not there; install Plumbline again, or set "
                             "PLUMBLINE_DATA to the folder that holds fonts/",
                             folder, files[i]);
        }
    }
    return true;
}

/* Laid out alike for every output: 72 units an inch, no hinting. */
static PangoContext *context_make(PangoFontMap *map)
{
    PangoContext *context = pango_font_map_create_context(map);
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(context, options);
    pango_cairo_context_set_resolution(context, 72.0);
    pango_context_set_round_glyph_positions(context, FALSE);
    pango_context_set_language(context, pango_language_from_string("en-GB"));
    cairo_font_options_destroy(options);
    return context;
}

bool fonts_open(const char *folder, struct fonts **out, struct error *err)
{
    FcConfig *config = FcConfigCreate();
    struct fonts *fonts = calloc(1, sizeof *fonts);
    if (config == NULL || fonts == NULL) {
        abort(); /* out of memory, as in the arena */
    }
    if (!load(config, folder, err)) {
        FcConfigDestroy(config);
        free(fonts);
        return false;
    }
    fonts->config = config;
    fonts->map = pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT);
    pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(fonts->map), config);
    fonts->context = context_make(fonts->map);
    *out = fonts;
    return true;
}

void fonts_close(struct fonts *fonts)
{
    if (fonts == NULL) {
        return;
    }
    g_object_unref(fonts->context);
    /* Pango 1.50 keeps the configuration of a map that goes; and its thread may still hold it. */
    pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(fonts->map), NULL);
    g_object_unref(fonts->map);
    FcConfigDestroy(fonts->config);
    free(fonts);
}

/* ---- letters.h ---- */

static void set_range(PangoAttrList *list, PangoAttribute *attribute, size_t from, size_t to)
{
    attribute->start_index = (guint)from;
    attribute->end_index = (guint)to;
    pango_attr_list_insert(list, attribute);
}

static void set_run(PangoAttrList *list, const struct run *run, double size, size_t from, size_t to)
{
    PangoFontDescription *font = pango_font_description_new();
    pango_font_description_set_family_static(font, faces[run->face].family);
    pango_font_description_set_style(font, faces[run->face].style);
    pango_font_description_set_weight(font, faces[run->face].weight);
    pango_font_description_set_absolute_size(font, size * PANGO_SCALE);
    set_range(list, pango_attr_font_desc_new(font), from, to);
    pango_font_description_free(font);
    /* No contextual letters: they would turn the x of a file's name, "4x4", into a cross. */
    set_range(list, pango_attr_font_features_new("tnum=1,calt=0"), from, to);
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* True if the blank at i lies inside a quantity: after a number ("4 min", "10 March"), after its
 * sign ("\u00b1 9"), or between the hours, minutes and seconds of a time ("1 h 24 min"). */
static bool is_within_quantity(const char *words, size_t i)
{
    static const char *const before[] = { "\u00b1", "\u2265", " min", " h" };
    if (is_digit(words[i - 1])) {
        const size_t length = strcspn(words + i + 1, " \n");
        return length > 0 && length <= 5;
    }
    for (size_t k = 0; k < sizeof before / sizeof before[0]; k++) {
        const size_t length = strlen(before[k]);
        if (i >= length && strncmp(words + i - length, before[k], length) == 0) {
            return is_digit(words[i + 1]);
        }
    }
    return false;
}

/* The dash of "106\u2013120". */
static bool is_within_range(const char *words, size_t i)
{
    static const char dash[] = "\u2013";
    const size_t n = sizeof dash - 1;
    return is_digit(words[i - 1]) && strncmp(words + i, dash, n) == 0 && is_digit(words[i + n]);
}

/* A quantity stays on one line, and so does a range. */
static void keep_together(PangoAttrList *list, const char *words)
{
    for (size_t i = 1; words[i] != '\0'; i++) {
        if (words[i] == ' ' && is_within_quantity(words, i)) {
            set_range(list, pango_attr_allow_breaks_new(FALSE), i, i + 2);
        } else if (is_within_range(words, i)) {
            set_range(list, pango_attr_allow_breaks_new(FALSE), i, i + sizeof "\u2013");
        }
    }
}

PangoLayout *letters_layout(struct fonts *fonts, const struct run runs[], size_t n_runs,
                            double size, double width)
{
    PangoLayout *layout = pango_layout_new(fonts->context);
    PangoAttrList *list = pango_attr_list_new();
    GString *words = g_string_new(NULL);
    for (size_t i = 0; i < n_runs; i++) {
        const size_t from = words->len;
        g_string_append(words, runs[i].words);
        set_run(list, &runs[i], size, from, words->len);
    }
    pango_layout_set_text(layout, words->str, (int)words->len);
    if (width > 0.0 && words->len > 0) {
        keep_together(list, words->str);
    }
    pango_layout_set_attributes(layout, list);
    if (width > 0.0) {
        pango_layout_set_width(layout, (int)(width * PANGO_SCALE));
        pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
        pango_layout_set_line_spacing(layout, 1.2F);
    } else {
        pango_layout_set_single_paragraph_mode(layout, TRUE);
    }
    g_string_free(words, TRUE);
    pango_attr_list_unref(list);
    return layout;
}

double letters_baseline(PangoLayout *layout)
{
    return pango_units_to_double(pango_layout_get_baseline(layout));
}
