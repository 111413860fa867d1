/* coaching/reply.h: what a rider wrote back, read into answers.
 *
 *     "legs were heavy, slept 6h badly, one bottle, felt ok, RPE 7/10"
 *        │
 *        ├─ understood   legs 2 of 5, sleep 6 h, sleep 2 of 5, effort 7 of 10
 *        └─ left         "one bottle" (how large?), "felt ok"
 *
 * English, plain rules, no guessing: words of a table, negations, numbers with their units, and the
 * five questions of a card answered by number.  What could mean two things is left out and said;
 * what is said twice, differently, is left out and said.  The caller keeps the words whole.
 * How often it is right: tests/coaching/test_reply.c prints it, docs/notes.md has the figures.
 */
#ifndef COACHING_REPLY_H
#define COACHING_REPLY_H

#include "coaching/day_answers.h"

#include <stddef.h>

/* One thing understood. */
struct reply_answer {
    enum answer answer;
    double value;
    const char *quote; /* the rider's words that it came from */
};

/* Words that gave no answer. */
struct reply_left {
    const char *quote;
    const char *why; /* "how large is it? say litres"; NULL = simply not understood */
};

struct reply {
    struct day_answers answers;
    struct reply_answer *understood;
    size_t n_understood;
    struct reply_left *left;
    size_t n_left;
    const char *alarm; /* words on chest pain, fainting and the like; NULL none: for a doctor */
};

/* Replies longer than this are not read. */
#define REPLY_BYTES_MOST 8000

/* Everything in the arena.  text: UTF-8, at most REPLY_BYTES_MOST bytes. */
void reply_read(struct arena *arena, const char *text, struct reply *out);

#endif
