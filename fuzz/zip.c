/* fuzz/zip.c: bytes as a zip; and through a zip made of them, of which one byte is changed. */
#include "target.h"
#include "whole.h"

#include "base/text.h"
#include "recording/container.h"
#include "recording/zip_builder.h"

#include <string.h>

/* Everything in it, each entry within its bounds. */
static void take_all(struct bytes bytes)
{
    struct arena *arena = arena_open();
    struct limits limits = limits_default();
    struct container *container = NULL;
    struct error err = { 0 };
    limits.value[LIMIT_CAP_FILE_BYTES] = 1000000;
    limits.value[LIMIT_CAP_ZIP_TOTAL_BYTES] = 3000000;
    limits.value[LIMIT_CAP_ZIP_FREE_BYTES] = 1000;
    if (!container_open(arena, bytes, "fuzz", &limits, &container, &err)) {
        if (err.kind == ERROR_NONE || err.message[0] == '\0') {
            fuzz_broken("an error has a message", "container_open");
        }
        arena_close(arena);
        return;
    }
    size_t count = 0;
    bool more = true;
    while (more) {
        struct arena *own = arena_open();
        struct container_entry entry = { 0 };
        more = container_next(container, own, &entry);
        if (more && (entry.name == NULL || !text_is_utf8(entry.name, strlen(entry.name)))) {
            fuzz_broken("a name is clean text", "container_next");
        }
        if (more && (entry.error.kind != ERROR_NONE) != (entry.error.message[0] != '\0')) {
            fuzz_broken("an error has a message", "container_next");
        }
        if (entry.bytes.size > 1000000 ||
            (entry.error.kind != ERROR_NONE && entry.bytes.size > 0)) {
            fuzz_broken("no more than the cap, nothing with an error", "container_next");
        }
        if (more && ++count > 10000) {
            fuzz_broken("no more entries than the cap", "container_next");
        }
        arena_close(own);
    }
    container_close(container);
    arena_close(arena);
}

/* The first bytes say which byte of the zip is changed, and how. */
static void zip_own(const uint8_t *data, size_t size)
{
    struct arena *arena = arena_open();
    const struct bytes plain = { data + 4, size - 4 };
    struct zip_builder zip = zipped_begin(arena);
    zipped_add(&zip, &(struct zipped_entry){ .name = "a.csv", .plain = plain, .deflated = true });
    zipped_add(&zip, &(struct zipped_entry){ .name = "b/c.csv", .plain = plain });
    const struct bytes whole = zipped_end(&zip);
    uint8_t *changed = arena_copy(arena, whole.at, whole.size);
    const size_t at = ((size_t)data[0] | (size_t)data[1] << 8) % whole.size;
    changed[at] ^= data[2];
    take_all((struct bytes){ changed, whole.size });

    /* Unchanged, or changed where the packed bytes are: what comes without a word is what went in.
     */
    const struct limits limits = limits_default();
    struct container *container = NULL;
    struct error err = { 0 };
    struct container_entry entry = { 0 };
    if (container_open(arena, (struct bytes){ changed, whole.size }, "fuzz", &limits, &container,
                       &err)) {
        while (container_next(container, arena, &entry)) {
            const bool is_silent =
                entry.error.kind == ERROR_NONE && entry.damage == NULL && entry.note == NULL;
            const bool is_same =
                entry.bytes.size == plain.size &&
                (plain.size == 0 || memcmp(entry.bytes.at, plain.at, plain.size) == 0);
            const bool is_gzip = plain.size >= 2 && plain.at[0] == 0x1F && plain.at[1] == 0x8B;
            /* Without its mark it is one plain file, under its own name. */
            if (is_silent && !is_same && !is_gzip && strcmp(entry.name, "fuzz") != 0) {
                fuzz_broken("what comes without a word is what went in", "container_next");
            }
        }
        container_close(container);
    } else if (data[2] == 0 && memmem(plain.at, plain.size, "PK", 2) == NULL) {
        /* (Other zips' tables inside it may be taken for its own.) */
        fuzz_broken("a whole zip opens", "container_open");
    }
    arena_close(arena);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    take_all((struct bytes){ data, size });
    if (size >= 4) {
        zip_own(data, size);
    }
    return 0;
}
