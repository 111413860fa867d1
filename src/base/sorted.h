/* base/sorted.h: places in arrays that are sorted by a number. */
#ifndef BASE_SORTED_H
#define BASE_SORTED_H

#include <stddef.h>
#include <stdint.h>

/* The first of items [n] whose key is at least `least`, or n: halving, so the keys must rise.
 *   size    of an item
 *   offset  of its key, an int64_t, within an item */
size_t sorted_from(const void *items, size_t n, size_t size, size_t offset, int64_t least);

#endif
