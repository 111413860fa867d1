/* coaching/words/hint.h: where to look next, beside a sentence that can't say it itself.
 *
 * The same sentence stands on a page, in a letter and on a terminal.  Only the last has a command
 * to type: its text of a hint is in cli/hints. */
#ifndef COACHING_WORDS_HINT_H
#define COACHING_WORDS_HINT_H

enum hint {
    HINT_NONE,
    HINT_HEART,          /* why a rider's heart response isn't known */
    HINT_CRITICAL_POWER, /* why critical power isn't */
    HINT_WAITING,        /* what waits to be done */
    HINTS
};

#endif
