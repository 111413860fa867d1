/* drawing/tokens.h: the colours of page and paper, from tokens.def.
 *
 * Shape carries a verdict, never colour; see the verdict marks in scene.h. */
#ifndef DRAWING_TOKENS_H
#define DRAWING_TOKENS_H

#include <stddef.h>
#include <stdint.h>

/* Points: no letter that is printed is smaller. */
#define LETTERS_LEAST 7.5

enum theme { THEME_LIGHT, THEME_DARK };

enum colour {
#define COLOUR_TOKEN(id, name, light, dark) COLOUR_##id,
#define CONTRAST_PAIR(text, ground, least)
#include "drawing/tokens.def"
#undef COLOUR_TOKEN
#undef CONTRAST_PAIR
    COLOUR_COUNT
};

const char *colour_name(enum colour colour); /* "paper", "heart-text" */

/* 0xRRGGBB, sRGB. */
uint32_t colour_value(enum colour colour, enum theme theme);

struct contrast_pair {
    enum colour text;
    enum colour ground;
    double least;
};
const struct contrast_pair *contrast_pairs(size_t *n);

/* Contrast ratio of two sRGB colours, 1..21 (WCAG 2.2, definitions of contrast ratio and of
 * relative luminance). */
double colour_contrast(uint32_t a, uint32_t b);

#endif
