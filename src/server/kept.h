/* server/kept.h: answers that are kept while they are true.
 *
 * An answer belongs to a key (the day, then method and address) and to a generation of the store.
 * In a later generation it is no more found.  Counted by hand: who gets one lets it go. */
#ifndef SERVER_KEPT_H
#define SERVER_KEPT_H

#include <stddef.h>
#include <stdint.h>

struct kept_answer {
    char *bytes;
    size_t size;
    char etag[24];    /* W/"16 hex digits", weak: equal content, not equal bytes, is promised */
    const char *type; /* of a string that lives on */
};

struct kept;

#define KEPT_BYTES_MOST   64000000u
#define KEPT_ANSWERS_MOST 1024u

struct kept *kept_open(void);
void kept_close(struct kept *kept); /* NULL is accepted */

/* NULL if there is none. */
struct kept_answer *kept_find(struct kept *kept, const char *key, uint64_t generation);

/* The same, but one asks for a key at a time: who gets NULL makes the answer, adds it, and says
 * kept_made, also when it couldn't; the others wait meanwhile, so that fifty pages that ask after a
 * change cost one answer. */
struct kept_answer *kept_find_or_make(struct kept *kept, const char *key, uint64_t generation);
void kept_made(struct kept *kept, const char *key);

/* A new answer with its ETag, held by the caller; the bytes are copied.  With a key it is also
 * kept for others. */
struct kept_answer *kept_add(struct kept *kept, const char *key, uint64_t generation,
                             const char *bytes, size_t size, const char *type);

/* Once more held, by another. */
struct kept_answer *kept_hold(struct kept_answer *answer);

void kept_let_go(struct kept_answer *answer); /* NULL is accepted */

#endif
