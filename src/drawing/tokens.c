/* drawing/tokens.c: the colours of page and paper. */
#include "drawing/tokens.h"

#include <math.h>

static const struct {
    const char *name;
    uint32_t value[2]; /* by theme */
} colours[] = {
#define COLOUR_TOKEN(id, name, light, dark) { name, { light, dark } },
#define CONTRAST_PAIR(text, ground, least)
#include "drawing/tokens.def"
#undef COLOUR_TOKEN
#undef CONTRAST_PAIR
};

static const struct contrast_pair pairs[] = {
#define COLOUR_TOKEN(id, name, light, dark)
#define CONTRAST_PAIR(text, ground, least) { COLOUR_##text, COLOUR_##ground, least },
#include "drawing/tokens.def"
#undef COLOUR_TOKEN
#undef CONTRAST_PAIR
};

const char *colour_name(enum colour colour)
{
    return colours[colour].name;
}

uint32_t colour_value(enum colour colour, enum theme theme)
{
    return colours[colour].value[theme];
}

const struct contrast_pair *contrast_pairs(size_t *n)
{
    *n = sizeof pairs / sizeof pairs[0];
    return pairs;
}

/* WCAG 2.2, relative luminance: sRGB to linear light, weighed by the eye's response. */
static double luminance(uint32_t colour)
{
    static const double weights[] = { 0.2126, 0.7152, 0.0722 };
    double sum = 0.0;
    for (unsigned i = 0; i < 3; i++) {
        const double level = (double)((colour >> (16u - 8u * i)) & 0xffu) / 255.0;
        const double linear = level <= 0.04045 ? level / 12.92 : pow((level + 0.055) / 1.055, 2.4);
        sum += weights[i] * linear;
    }
    return sum;
}

double colour_contrast(uint32_t a, uint32_t b)
{
    const double first = luminance(a);
    const double second = luminance(b);
    return (fmax(first, second) + 0.05) / (fmin(first, second) + 0.05);
}
