/* fuzz/gzip.c: any bytes as a gzip, and any bytes through a gzip that is cut somewhere. */
#include "target.h"
#include "whole.h"

#include <string.h>
#include <zlib.h>

static const size_t CAP = 100000;

static void gunzip_any(struct bytes bytes)
{
    struct arena *arena = arena_open();
    struct bytes out = { 0 };
    const char *damaged = NULL;
    struct error err = { 0 };
    if (files_gunzip(arena, bytes, CAP, &out, &damaged, &err)) {
        if (out.at != bytes.at && out.size > CAP) {
            fuzz_broken("no more than the cap comes out", "files_gunzip");
        }
    } else if (err.kind != ERROR_TOO_LARGE || err.message[0] == '\0') {
        fuzz_broken("only too much is refused", "files_gunzip");
    }
    arena_close(arena);
}

/* The first two bytes say where to cut what zlib makes of the rest. */
static void gunzip_own(const uint8_t *data, size_t size)
{
    static const uint8_t magic[2] = { 0x1F, 0x8B };
    struct arena *arena = arena_open();
    const struct bytes plain = { data + 2, size - 2 };
    z_stream z = { 0 };
    if (deflateInit2(&z, 6, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY) != Z_OK) {
        arena_close(arena);
        return;
    }
    const size_t room = deflateBound(&z, plain.size) + 64;
    uint8_t *made = ARENA_ARRAY(arena, uint8_t, room);
    z.next_in = arena_copy(arena, plain.at, plain.size);
    z.avail_in = (uInt)plain.size;
    z.next_out = made;
    z.avail_out = (uInt)room;
    (void)deflate(&z, Z_FINISH);
    const size_t whole = z.total_out;
    deflateEnd(&z);
    const size_t cut = ((size_t)data[0] | (size_t)data[1] << 8) % (whole + 1);
    const struct bytes in = { made, cut };
    struct bytes out = { 0 };
    const char *damaged = NULL;
    struct error err = { 0 };
    const bool is_gzip = cut >= sizeof magic && memcmp(made, magic, sizeof magic) == 0;
    if (is_gzip && files_gunzip(arena, in, CAP, &out, &damaged, &err)) {
        if ((cut == whole) != (damaged == NULL)) {
            fuzz_broken("a cut is told, and only a cut", "files_gunzip");
        }
        if (out.size > plain.size || (cut == whole && out.size != plain.size) ||
            (out.size > 0 && memcmp(out.at, plain.at, out.size) != 0)) {
            fuzz_broken("what comes out is what went in", "files_gunzip");
        }
    }
    arena_close(arena);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    gunzip_any((struct bytes){ data, size });
    if (size >= 2 && size <= CAP) {
        gunzip_own(data, size);
    }
    return 0;
}
