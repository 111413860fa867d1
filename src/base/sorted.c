/* base/sorted.c: places in arrays that are sorted by a number. */
#include "base/sorted.h"

#include <string.h>

size_t sorted_from(const void *items, size_t n, size_t size, size_t offset, int64_t least)
{
    size_t low = 0;
    size_t high = n;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        int64_t key = 0;
        memcpy(&key, (const char *)items + middle * size + offset, sizeof key);
        if (key < least) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}
