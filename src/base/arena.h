/* base/arena.h: memory that is given back all at once.
 *
 * Whoever passes the arena owns the result; nobody frees a part.
 *
 *     arena ──> block ──> block ──> block        arena_close gives all of them back
 *                         [used | free]
 *
 * Running out of memory aborts in arena.c and nowhere else; so no size that came from a file, a
 * request or a database may reach arena_alloc before it met its reader's cap. */
#ifndef BASE_ARENA_H
#define BASE_ARENA_H

#include <stddef.h>

struct arena;

/* A new, empty arena.  Never NULL. */
struct arena *arena_open(void);

/* Gives back everything that came from the arena.  NULL is accepted. */
void arena_close(struct arena *arena);

/* count x size bytes, zeroed, aligned for any type; never NULL, also for 0 bytes.
 * Aborts when the product overflows or memory is out. */
void *arena_alloc(struct arena *arena, size_t count, size_t size);

/* The same, but a large one isn't cleared: for arrays that are filled whole before they are read.
 */
void *arena_raw(struct arena *arena, size_t count, size_t size);

/* A copy of `size` bytes. */
void *arena_copy(struct arena *arena, const void *bytes, size_t size);

/* A copy of a string of the arena's own; NULL gives NULL. */
char *arena_string(struct arena *arena, const char *text);

/* A formatted string of the arena's own. */
char *arena_format(struct arena *arena, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* An array of n zeroed elements of a type. */
#define ARENA_ARRAY(arena, type, n) ((type *)arena_alloc((arena), (n), sizeof(type)))

/* An array of n elements that are filled before they are read. */
#define ARENA_RAW(arena, type, n) ((type *)arena_raw((arena), (n), sizeof(type)))

/* Room for one more element in a growing array: returns the array, perhaps moved, with space for
 * at least count + 1 elements.  *capacity starts at 0 with array NULL.  The old array stays in
 * the arena until it is closed, so the waste is at most the final size.
 * The caller has checked count against its cap. */
void *arena_grow(struct arena *arena, void *array, size_t count, size_t *capacity, size_t size);

/* Bytes handed out so far: tests guard cost with it. */
size_t arena_bytes(const struct arena *arena);

#endif
