/* recording/csv_text.h: the characters of a table, however it was saved.
 *
 * UTF-8 with or without byte order mark, UTF-16 with one, or Windows-1252 (of which Latin-1 is the
 * part that prints). */
#ifndef RECORDING_CSV_TEXT_H
#define RECORDING_CSV_TEXT_H

#include "base/arena.h"
#include "base/files.h"

/* The bytes without their mark; UTF-16 as UTF-8 in the arena, at most 1.5 bytes for each of its
 * own, with U+FFFD for what is no character; an odd last byte is left out. */
struct bytes csv_text_plain(struct arena *arena, struct bytes bytes);

/* Whether the bytes are characters of UTF-8 or of Windows-1252, control characters but tab and
 * line ends excepted.  `bytes` without a mark. */
bool csv_text_is_text(struct bytes bytes);

/* A cell as UTF-8 that can be printed: what isn't UTF-8 is taken for Windows-1252. */
const char *csv_text_show(struct arena *arena, const char *cell);

#endif
