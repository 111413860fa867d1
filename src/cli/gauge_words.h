/* cli/gauge_words.h: the gauge on a terminal.
 *
 *                 passed < | > not passed
 *        [======o======]   |
 *     +----+----+----+-----V----+----+
 *     0    2    4    6    8    10   12
 *
 * The limit hangs over the scale like a plumb line, the estimate is the drop, the bar the likely
 * range; a range that runs off the scale ends in < or >. */
#ifndef CLI_GAUGE_WORDS_H
#define CLI_GAUGE_WORDS_H

#include "base/text.h"

struct gauge {
    double estimate;
    double low;
    double high;
    double limit;
    const char *below; /* what lies on either side of the limit */
    const char *above;
    const char *unit; /* after the scale's last number */
};

/* Four lines, indented, at most 80 columns; nothing if a number is unknown. */
void gauge_words_add(struct text *out, const struct gauge *gauge, size_t indent);

#endif
