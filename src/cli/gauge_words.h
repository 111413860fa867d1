/* cli/gauge_words.h: the gauge on a terminal.
 *
 *                 passed < | > not passed              below < | in the range | > above
 *        [======o======]   |                                   |     [=o=]    |
 *     +----+----+----+-----V----+----+           +----------+--V-------+------V----+
 *     0    2    4    6     8    10   12 beats    100       105       110     ...   125 %
 *
 * The limit hangs over the scale like a plumb line, the estimate is the drop, the bar the likely
 * range; a range that runs off the scale ends in < or >. */
#ifndef CLI_GAUGE_WORDS_H
#define CLI_GAUGE_WORDS_H

#include "base/text.h"
#include "coaching/gauge.h"

/* Some lines, indented by at most 8, at most 80 columns; nothing if the estimate is unknown. */
void gauge_words_add(struct text *out, const struct gauge *gauge, size_t indent);

#endif
