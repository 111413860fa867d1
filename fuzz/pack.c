/* fuzz/pack.c: any bytes as a packed series or mask of the roster, and any numbers packed and read
 * again. */
#include "target.h"
#include "whole.h"

#include "roster/pack.h"

#include <string.h>

/* What is read can be packed, and gives the same when it is read again. */
static void read_any(struct bytes bytes, size_t n)
{
    struct arena *arena = arena_open();
    struct error err = { 0 };
    int32_t *values = NULL;
    int32_t *again = NULL;
    uint8_t *mask = NULL;
    uint8_t *mask_again = NULL;
    if (pack_read_series(arena, bytes, n, INT32_MIN, &values, &err)) {
        const struct bytes packed = pack_series(arena, values, n, INT32_MIN);
        if (!pack_read_series(arena, packed, n, INT32_MIN, &again, &err) ||
            (n > 0 && memcmp(values, again, n * sizeof *values) != 0)) {
            fuzz_broken("a series read is a series packed", "pack_series");
        }
    } else if (err.message[0] == '\0') {
        fuzz_broken("an error has a message", "pack_read_series");
    }
    if (pack_read_mask(arena, bytes, n, &mask, &err)) {
        const struct bytes packed = pack_mask(arena, mask, n);
        if (!pack_read_mask(arena, packed, n, &mask_again, &err) ||
            (n > 0 && memcmp(mask, mask_again, n) != 0)) {
            fuzz_broken("a mask read is a mask packed", "pack_mask");
        }
    }
    arena_close(arena);
}

static void pack_any(const uint8_t *data, size_t size)
{
    struct arena *arena = arena_open();
    struct error err = { 0 };
    const size_t n = size / sizeof(int32_t);
    int32_t *values = ARENA_ARRAY(arena, int32_t, n);
    int32_t *again = NULL;
    if (n > 0) {
        memcpy(values, data, n * sizeof *values);
    }
    const struct bytes packed = pack_series(arena, values, n, 0);
    if (!pack_read_series(arena, packed, n, 0, &again, &err) ||
        (n > 0 && memcmp(values, again, n * sizeof *values) != 0)) {
        fuzz_broken("what is packed comes back", "pack_series");
    }
    arena_close(arena);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 2) {
        return 0;
    }
    const size_t n = (size_t)data[0] | (size_t)data[1] << 8;
    read_any((struct bytes){ data + 2, size - 2 }, n);
    pack_any(data + 2, size - 2);
    return 0;
}
