/* server/answers/traces.h: a ride's channels at the resolution that a screen can show, as bytes.
 *
 *     4 bytes   length of the head, little endian
 *     head      JSON: `traces_head` of api/openapi.yaml, blanks at its end
 *     arrays    little endian, each at a multiple of 8 from the beginning of the answer
 *
 *     seconds   210 214 230 | 205 190 212 | 220 ...     a bucket of 3 s
 *     .first    210           205           220         the five of each bucket, of its usable
 *     .min      210           190           ...         seconds; where there is none, `missing`
 *     .max      230           212
 *     .last     230           212
 *     .mean     218           202
 *
 * Where the span has no more seconds than points, every second is given, in one array. */
#ifndef SERVER_ANSWERS_TRACES_H
#define SERVER_ANSWERS_TRACES_H

#include "base/text.h"
#include "recording/recording.h"

struct traces_wish {
    struct span span; /* within the recording, not empty */
    int32_t points;   /* at least 1 */
};

/* Appends the answer to an empty text. */
void traces_answer(struct text *out, const struct recording *recording,
                   const struct traces_wish *wish);

#endif
