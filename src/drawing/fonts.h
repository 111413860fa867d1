/* drawing/fonts.h: the shipped fonts, and no others.
 *
 * Figures must look the same on every machine: the fonts come from the program's own data folder
 * through a private configuration; nothing that the machine has installed is looked at. */
#ifndef DRAWING_FONTS_H
#define DRAWING_FONTS_H

#include "base/error.h"

struct fonts;

/* Sentences are set in FACE_SERIF and its kin, numbers and labels in FACE_SANS with figures of one
 * width. */
enum face { FACE_SERIF, FACE_SERIF_ITALIC, FACE_SERIF_STRONG, FACE_SANS, FACE_SANS_STRONG };

/* Loads the font files of folder.  False (ERROR_NOT_FOUND) names the missing file. */
MUST_USE bool fonts_open(const char *folder, struct fonts **out, struct error *err);

/* Gives the fonts back; NULL is accepted. */
void fonts_close(struct fonts *fonts);

#endif
