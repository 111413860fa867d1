/* tests/recording/test_gzip.c: gzip around a recording, whole, cut, damaged, and as a bomb. */
#include "check.h"

#include "limits/limits.h"
#include "maths/random.h"

#include <string.h>
#include <zlib.h>

static const size_t CAP = 1000000;

/* One gzip member by zlib. */
static struct bytes gzip_of(struct arena *arena, struct bytes plain)
{
    z_stream z = { 0 };
    check(deflateInit2(&z, 9, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY) == Z_OK);
    const size_t room = deflateBound(&z, plain.size) + 64;
    uint8_t *out = ARENA_ARRAY(arena, uint8_t, room);
    uint8_t *in = arena_copy(arena, plain.at, plain.size);
    z.next_in = in;
    z.avail_in = (uInt)plain.size;
    z.next_out = out;
    z.avail_out = (uInt)room;
    check(deflate(&z, Z_FINISH) == Z_STREAM_END);
    const size_t size = z.total_out;
    deflateEnd(&z);
    return (struct bytes){ out, size };
}

/* Bytes that compress somewhat, as recordings do. */
static struct bytes some_bytes(struct arena *arena, size_t size, uint64_t seed)
{
    struct random random = random_begin(seed);
    uint8_t *bytes = ARENA_ARRAY(arena, uint8_t, size);
    for (size_t i = 0; i < size; i++) {
        bytes[i] = (uint8_t)(i % 16 < 12 ? i % 7 : random_below(&random, 256));
    }
    return (struct bytes){ bytes, size };
}

static struct bytes join(struct arena *arena, struct bytes a, struct bytes b)
{
    uint8_t *both = ARENA_ARRAY(arena, uint8_t, a.size + b.size);
    memcpy(both, a.at, a.size);
    memcpy(both + a.size, b.at, b.size);
    return (struct bytes){ both, a.size + b.size };
}

static void check_same(const char *row, struct bytes got, struct bytes want)
{
    check_integer(row, (int64_t)got.size, (int64_t)want.size);
    check(want.size == 0 || memcmp(got.at, want.at, want.size) == 0);
}

static void test_gzip__gives_back_what_was_compressed(void **state)
{
    (void)state;
    static const size_t sizes[] = { 0, 1, 100, 65536, 999999, 1000000 };
    for (size_t i = 0; i < COUNT(sizes); i++) {
        struct arena *arena = arena_open();
        const struct bytes plain = some_bytes(arena, sizes[i], 1);
        struct bytes out = { 0 };
        const char *damaged = NULL;
        struct error err = { 0 };
        check(files_gunzip(arena, gzip_of(arena, plain), CAP, &out, &damaged, &err));
        check_text("damaged", damaged, NULL);
        check_same("whole", out, plain);
        /* What isn't gzip stays as it is. */
        if (plain.size > 1) {
            check(files_gunzip(arena, plain, CAP, &out, &damaged, &err));
            check(out.at == plain.at && out.size == plain.size && damaged == NULL);
        }
        arena_close(arena);
    }
}

/* RFC 1952 section 2.2: members simply follow one another. */
static void test_gzip__members_follow_one_another(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct bytes a = some_bytes(arena, 5000, 1);
    const struct bytes b = some_bytes(arena, 70000, 2);
    struct bytes out = { 0 };
    const char *damaged = NULL;
    struct error err = { 0 };
    check(files_gunzip(arena, join(arena, gzip_of(arena, a), gzip_of(arena, b)), CAP, &out,
                       &damaged, &err));
    check_text("damaged", damaged, NULL);
    check_same("both", out, join(arena, a, b));
    arena_close(arena);
}

static void test_gzip__cut_anywhere_it_gives_what_came_before_and_says_so(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct bytes plain = some_bytes(arena, 3000, 3);
    const struct bytes whole = gzip_of(arena, plain);
    size_t most = 0;
    for (size_t cut = 2; cut < whole.size; cut++) {
        struct bytes out = { 0 };
        const char *damaged = NULL;
        struct error err = { 0 };
        check(files_gunzip(arena, (struct bytes){ whole.at, cut }, CAP, &out, &damaged, &err));
        check_text("damaged", damaged, "the gzip around it ends early");
        check(out.size <= plain.size && out.size >= most);
        check(out.size == 0 || memcmp(out.at, plain.at, out.size) == 0);
        most = out.size;
    }
    /* Only the trailer was missing in the end. */
    check_integer("all but the trailer", (int64_t)most, (int64_t)plain.size);
    arena_close(arena);
}

static void test_gzip__a_changed_bit_is_told(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct bytes plain = some_bytes(arena, 3000, 4);
    const struct bytes whole = gzip_of(arena, plain);
    size_t untold = 0;
    /* From behind the header of ten bytes, whose time and system may be anything. */
    for (size_t at = 10; at < whole.size; at++) {
        uint8_t *changed = arena_copy(arena, whole.at, whole.size);
        changed[at] ^= 0x10;
        struct bytes out = { 0 };
        const char *damaged = NULL;
        struct error err = { 0 };
        check(
            files_gunzip(arena, (struct bytes){ changed, whole.size }, CAP, &out, &damaged, &err));
        /* The last byte of the data may end in bits that mean nothing. */
        if (damaged == NULL) {
            check_same("nothing changed", out, plain);
            untold++;
        }
        check(out.size <= CAP);
    }
    check(untold <= 1);
    arena_close(arena);
}

static void test_gzip__the_cap_is_exact(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct bytes plain = some_bytes(arena, 50000, 5);
    const struct bytes whole = gzip_of(arena, plain);
    struct bytes out = { 0 };
    const char *damaged = NULL;
    struct error err = { 0 };
    check(files_gunzip(arena, whole, plain.size, &out, &damaged, &err));
    check_same("as much as the cap", out, plain);
    check(!files_gunzip(arena, whole, plain.size - 1, &out, &damaged, &err));
    check_integer("kind", err.kind, ERROR_TOO_LARGE);
    arena_close(arena);
}

/* 300 MB of zeros in 300 kB, and a bomb of two members that are each under the cap. */
static struct bytes bomb(struct arena *arena, size_t size)
{
    static uint8_t zeros[1 << 20];
    z_stream z = { 0 };
    check(deflateInit2(&z, 1, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY) == Z_OK);
    const size_t room = size / 100;
    uint8_t *out = ARENA_ARRAY(arena, uint8_t, room);
    z.next_out = out;
    z.avail_out = (uInt)room;
    for (size_t done = 0; done < size; done += sizeof zeros) {
        z.next_in = zeros;
        z.avail_in = sizeof zeros;
        check(deflate(&z, Z_NO_FLUSH) == Z_OK);
    }
    check(deflate(&z, Z_FINISH) == Z_STREAM_END);
    const size_t made = z.total_out;
    deflateEnd(&z);
    return (struct bytes){ out, made };
}

static void test_gzip__a_bomb_is_refused_and_takes_no_memory(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const size_t cap = (size_t)limits.value[LIMIT_CAP_FILE_BYTES];
    const struct bytes one = bomb(arena, 300u << 20);
    const struct bytes half = bomb(arena, 150u << 20);
    const struct bytes both[] = { one, join(arena, half, half) };
    for (size_t i = 0; i < COUNT(both); i++) {
        struct bytes out = { 0 };
        const char *damaged = NULL;
        struct error err = { 0 };
        struct arena *fresh = arena_open();
        check(both[i].size < 4000000);
        check(!files_gunzip(fresh, both[i], cap, &out, &damaged, &err));
        check_integer("kind", err.kind, ERROR_TOO_LARGE);
        check_text("message", err.message, "the gzip holds more than 256 MB; is it one recording?");
        check(arena_bytes(fresh) <= 5 * both[i].size);
        arena_close(fresh);
    }
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_gzip__gives_back_what_was_compressed),
        cmocka_unit_test(test_gzip__members_follow_one_another),
        cmocka_unit_test(test_gzip__cut_anywhere_it_gives_what_came_before_and_says_so),
        cmocka_unit_test(test_gzip__a_changed_bit_is_told),
        cmocka_unit_test(test_gzip__the_cap_is_exact),
        cmocka_unit_test(test_gzip__a_bomb_is_refused_and_takes_no_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
