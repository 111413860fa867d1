/* tests/recording/zip_builder.h: zip files by hand, so that any field of them may lie.
 *
 * Stored or deflated entries, local headers, central directory, end record (PKWARE APPNOTE 4.3 and
 * 4.4), written with no library that reads zips. */
#ifndef TESTS_ZIP_BUILDER_H
#define TESTS_ZIP_BUILDER_H

#include "base/arena.h"
#include "base/files.h"

#include <stdbool.h>
#include <string.h>
#include <zlib.h>

#define ZIP_BUILDER_ENTRIES 64

struct zip_builder {
    struct arena *arena;
    uint8_t *bytes;
    size_t size;
    size_t capacity;
    uint8_t central[ZIP_BUILDER_ENTRIES * 400];
    size_t central_size;
    unsigned count;
};

/* What to write of an entry; zero is an honest stored one. */
struct zipped_entry {
    const char *name;
    struct bytes plain;
    bool deflated;
    unsigned flags;  /* 1 = says that it is encrypted */
    unsigned method; /* nonzero: says this method */
    bool wrong_crc;
    int wrong_size; /* added to the unpacked size that it says */
    size_t cut;     /* bytes taken from the end of what was packed, sizes not told */
    size_t spoilt;  /* 1 + place of a packed byte that is changed */
};

static inline struct zip_builder zipped_begin(struct arena *arena)
{
    struct zip_builder zip = { .arena = arena, .capacity = 1u << 16 };
    zip.bytes = arena_alloc(arena, zip.capacity, 1);
    return zip;
}

static inline void zipped_put(struct zip_builder *zip, const void *bytes, size_t size)
{
    while (zip->size + size > zip->capacity) {
        uint8_t *wider = arena_alloc(zip->arena, zip->capacity * 2, 1);
        memcpy(wider, zip->bytes, zip->size);
        zip->bytes = wider;
        zip->capacity *= 2;
    }
    if (size > 0) {
        memcpy(zip->bytes + zip->size, bytes, size);
    }
    zip->size += size;
}

static inline size_t zipped_store(uint8_t *at, uint64_t value, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        at[i] = (uint8_t)(value >> (8 * i));
    }
    return n;
}

static inline struct bytes zipped_pack(struct arena *arena, const struct zipped_entry *entry)
{
    uint8_t *out = arena_copy(arena, entry->plain.at, entry->plain.size);
    size_t size = entry->plain.size;
    if (entry->deflated) {
        z_stream z = { 0 };
        (void)deflateInit2(&z, 9, Z_DEFLATED, -15, 8, Z_DEFAULT_STRATEGY);
        const size_t room = deflateBound(&z, size) + 64;
        z.next_in = out;
        z.avail_in = (uInt)size;
        out = arena_alloc(arena, room, 1);
        z.next_out = out;
        z.avail_out = (uInt)room;
        (void)deflate(&z, Z_FINISH);
        size = z.total_out;
        deflateEnd(&z);
    }
    if (entry->spoilt > 0 && entry->spoilt <= size) {
        out[entry->spoilt - 1] ^= 0xFF;
    }
    return (struct bytes){ out, size };
}

static inline void zipped_add(struct zip_builder *zip, const struct zipped_entry *entry)
{
    const struct bytes packed = zipped_pack(zip->arena, entry);
    const size_t name = strlen(entry->name);
    const unsigned method = entry->method != 0 ? entry->method : entry->deflated ? 8 : 0;
    const uint32_t sum =
        (uint32_t)crc32(crc32(0, NULL, 0), entry->plain.at, (uInt)entry->plain.size);
    const uint32_t crc = entry->wrong_crc ? ~sum : sum;
    const uint64_t stated = entry->plain.size + (uint64_t)(int64_t)entry->wrong_size;
    uint8_t common[26];
    size_t n = zipped_store(common, 20, 2);
    n += zipped_store(common + n, entry->flags, 2);
    n += zipped_store(common + n, method, 2);
    n += zipped_store(common + n, 0x5CC60000, 4); /* 2026-06-06, midnight */
    n += zipped_store(common + n, crc, 4);
    n += zipped_store(common + n, packed.size, 4);
    n += zipped_store(common + n, stated, 4);
    n += zipped_store(common + n, name, 2);
    n += zipped_store(common + n, 0, 2);
    uint8_t *c = zip->central + zip->central_size;
    memcpy(c, "PK\x01\x02\x14\x00", 6);
    memcpy(c + 6, common, n);
    memset(c + 32, 0, 10);
    (void)zipped_store(c + 42, zip->size, 4);
    memcpy(c + 46, entry->name, name);
    zip->central_size += 46 + name;
    zip->count++;
    zipped_put(zip, "PK\x03\x04", 4);
    zipped_put(zip, common, n);
    zipped_put(zip, entry->name, name);
    zipped_put(zip, packed.at, packed.size - entry->cut);
}

static inline struct bytes zipped_end(struct zip_builder *zip)
{
    uint8_t end[22] = { 'P', 'K', 5, 6 };
    const size_t at = zip->size;
    (void)zipped_store(end + 8, zip->count, 2);
    (void)zipped_store(end + 10, zip->count, 2);
    (void)zipped_store(end + 12, zip->central_size, 4);
    (void)zipped_store(end + 16, at, 4);
    zipped_put(zip, zip->central, zip->central_size);
    zipped_put(zip, end, sizeof end);
    return (struct bytes){ zip->bytes, zip->size };
}

#endif
