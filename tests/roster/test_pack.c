/* tests/roster/test_pack.c: packed series against a slow, obvious twin. */
#include "check.h"

#include "roster/pack.h"

#include <stdio.h>
#include <string.h>

static struct arena *arena;
static const int32_t MISSING = INT32_MIN;

static int begin(void **state)
{
    (void)state;
    arena = arena_open();
    return 0;
}

static int end(void **state)
{
    (void)state;
    arena_close(arena);
    return 0;
}

/* ---- the twin: one bit at a time, as the header's layout says ---- */

struct bits {
    uint8_t bytes[400000];
    size_t size;
    size_t bit; /* within a block */
};

static void slow_varint(struct bits *out, uint64_t value)
{
    do {
        const uint8_t more = value >= 128 ? 128 : 0;
        out->bytes[out->size++] = (uint8_t)(value % 128) | more;
        value /= 128;
    } while (value > 0);
}

static void slow_block(struct bits *out, const int64_t zigzags[], size_t n)
{
    unsigned width = 0;
    for (size_t i = 0; i < n; i++) {
        while (zigzags[i] >> width > 0) {
            width++;
        }
    }
    out->bytes[out->size++] = (uint8_t)width;
    size_t bit = 0;
    const size_t bytes = (n * width + 7) / 8;
    memset(out->bytes + out->size, 0, bytes);
    for (size_t i = 0; i < n; i++) {
        for (unsigned b = 0; b < width; b++, bit++) {
            if (zigzags[i] >> b & 1) {
                out->bytes[out->size + bit / 8] |= (uint8_t)(1u << (bit % 8));
            }
        }
    }
    out->size += bytes;
}

static void slow_pack(struct bits *out, const int32_t values[], size_t n)
{
    static size_t runs[200000];
    static int64_t zigzags[200000];
    size_t n_runs = 0;
    size_t n_there = 0;
    int64_t last = 0;
    int32_t first = 0;
    bool there = true;
    runs[0] = 0;
    for (size_t i = 0; i < n; i++) {
        if ((values[i] != MISSING) != there) {
            there = !there;
            runs[++n_runs] = 0;
        }
        runs[n_runs]++;
        if (values[i] == MISSING) {
            continue;
        }
        /* The difference as a 32-bit number that wraps around. */
        int64_t delta = values[i] - last;
        delta = delta > INT32_MAX   ? delta - 4294967296
                : delta < INT32_MIN ? delta + 4294967296
                                    : delta;
        if (n_there == 0) {
            first = values[i];
        } else {
            zigzags[n_there - 1] = delta >= 0 ? 2 * delta : -2 * delta - 1;
        }
        n_there++;
        last = values[i];
    }
    out->size = 0;
    out->bytes[out->size++] = 1;
    slow_varint(out, n);
    slow_varint(out, n == 0 ? 0 : n_runs + 1);
    for (size_t i = 0; n > 0 && i <= n_runs; i++) {
        slow_varint(out, runs[i]);
    }
    for (unsigned b = 0; n_there > 0 && b < 4; b++) {
        out->bytes[out->size++] = (uint8_t)((uint32_t)first >> (8 * b));
    }
    for (size_t i = 0; i + 1 < n_there; i += 128) {
        slow_block(out, zigzags + i, n_there - 1 - i < 128 ? n_there - 1 - i : 128);
    }
}

static uint32_t dice(uint32_t *seed)
{
    *seed = *seed * 1664525u + 1013904223u;
    return *seed >> 4;
}

/* Series of every kind that a device or a devil writes. */
static void fill(int32_t values[], size_t n, int kind, uint32_t *seed)
{
    int32_t level = 200;
    for (size_t i = 0; i < n; i++) {
        const uint32_t roll = dice(seed);
        level += (int32_t)(roll % 9) - 4;
        switch (kind) {
        case 0: values[i] = 150; break;
        case 1: values[i] = level; break;
        case 2: values[i] = roll % 11 == 0 ? MISSING : level; break;
        case 3: values[i] = i % 2 == 0 ? INT32_MAX : INT32_MIN + 1; break;
        case 4: values[i] = MISSING; break;
        case 5: values[i] = i / 100 % 2 == 0 ? MISSING : level; break;
        default: values[i] = (int32_t)(roll << 4 ^ dice(seed)); break;
        }
    }
}

static void test_pack__writes_what_the_slow_twin_writes(void **state)
{
    (void)state;
    static struct bits slow;
    static const size_t lengths[] = { 0, 1, 2, 3, 127, 128, 129, 130, 256, 257, 1000, 10800 };
    uint32_t seed = 7;
    for (int kind = 0; kind < 7; kind++) {
        for (size_t k = 0; k < COUNT(lengths); k++) {
            const size_t n = lengths[k];
            char row[64];
            snprintf(row, sizeof row, "kind %d, %zu values", kind, n);
            int32_t *values = ARENA_ARRAY(arena, int32_t, n);
            fill(values, n, kind, &seed);
            slow_pack(&slow, values, n);
            const struct bytes packed = pack_series(arena, values, n, MISSING);
            check_integer(row, (int64_t)packed.size, (int64_t)slow.size);
            check(memcmp(packed.at, slow.bytes, slow.size) == 0);
            int32_t *back = NULL;
            struct error err = { 0 };
            check(pack_read_series(arena, packed, n, MISSING, &back, &err));
            check(n == 0 || memcmp(back, values, n * sizeof *values) == 0);
        }
    }
}

static void test_pack__masks_come_back(void **state)
{
    (void)state;
    uint32_t seed = 11;
    static const size_t lengths[] = { 0, 1, 2, 200, 10800 };
    for (size_t k = 0; k < COUNT(lengths); k++) {
        const size_t n = lengths[k];
        uint8_t *mask = ARENA_ARRAY(arena, uint8_t, n);
        for (size_t i = 0; i < n; i++) {
            mask[i] = dice(&seed) % 40 == 0 ? (uint8_t)(dice(&seed) % 8) : i > 0 ? mask[i - 1] : 0;
        }
        const struct bytes packed = pack_mask(arena, mask, n);
        uint8_t *back = NULL;
        struct error err = { 0 };
        check(pack_read_mask(arena, packed, n, &back, &err));
        check(n == 0 || memcmp(back, mask, n) == 0);
    }
}

static bool reads(struct bytes packed, size_t n)
{
    int32_t *back = NULL;
    struct error err = { 0 };
    const bool read = pack_read_series(arena, packed, n, MISSING, &back, &err);
    check(read || err.kind == ERROR_STORAGE);
    return read;
}

static void test_pack__a_damaged_series_is_refused(void **state)
{
    (void)state;
    int32_t values[300];
    uint32_t seed = 3;
    fill(values, COUNT(values), 2, &seed);
    const struct bytes packed = pack_series(arena, values, COUNT(values), MISSING);
    check(reads(packed, 300));
    check(!reads(packed, 299));
    check(!reads(packed, 301));
    for (size_t cut = 0; cut < packed.size; cut++) {
        check(!reads((struct bytes){ packed.at, cut }, 300));
    }
    uint8_t *longer = ARENA_ARRAY(arena, uint8_t, packed.size + 1);
    memcpy(longer, packed.at, packed.size);
    check(!reads((struct bytes){ longer, packed.size + 1 }, 300));
    /* By hand: a width of 33; a length of runs past the end; an empty run in the middle; a length
     * that no series has, which must not be asked of memory. */
    static const struct {
        const char *name;
        size_t n;
        size_t size;
        uint8_t bytes[16];
    } rows[] = {
        { "width 33", 2, 14, { 1, 2, 1, 2, 0, 0, 0, 0, 33, 0, 0, 0, 0, 0 } },
        { "runs past the end", 2, 8, { 1, 2, 1, 3, 0, 0, 0, 0 } },
        { "runs too short", 3, 8, { 1, 3, 1, 2, 0, 0, 0, 0 } },
        { "empty run", 2, 10, { 1, 2, 3, 1, 0, 1, 0, 0, 0, 0 } },
        { "version 2", 1, 8, { 2, 1, 1, 1, 0, 0, 0, 0 } },
        { "2^31 values", 1u << 31, 12, { 1, 128, 128, 128, 128, 8, 1, 128, 128, 128, 128, 8 } },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_integer(rows[i].name, reads((struct bytes){ rows[i].bytes, rows[i].size }, rows[i].n),
                      false);
    }
}

/* performance goal 11: the design measured 1.45 to 1.54 bytes a second for power and heart rate. */
static void test_pack__a_ride_takes_few_bytes(void **state)
{
    (void)state;
    enum { N = 10800 };
    static int32_t heart[N];
    uint32_t seed = 5;
    int32_t level = 140;
    for (int i = 0; i < N; i++) {
        const uint32_t roll = dice(&seed) % 12;
        level += roll == 0 ? 1 : roll == 1 ? -1 : 0;
        heart[i] = level;
    }
    /* Steps of -1, 0, 1 need 2 bits each: N / 4 bytes, a byte of width for 128, and the head. */
    const struct bytes packed = pack_series(arena, heart, N, MISSING);
    check(packed.size <= N / 4 + N / 128 + 16);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_pack__writes_what_the_slow_twin_writes, begin, end),
        cmocka_unit_test_setup_teardown(test_pack__masks_come_back, begin, end),
        cmocka_unit_test_setup_teardown(test_pack__a_damaged_series_is_refused, begin, end),
        cmocka_unit_test_setup_teardown(test_pack__a_ride_takes_few_bytes, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
