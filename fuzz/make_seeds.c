/* fuzz/make_seeds.c: writes a target's seeds into a folder.
 *
 * usage: make_seeds TARGET FOLDER */
#include "seeds.h"

#include <stdio.h>

int main(int argc, char **argv)
{
    if (argc != 3) {
        fprintf(stderr, "usage: make_seeds TARGET FOLDER\n");
        return 2;
    }
    struct arena *arena = arena_open();
    size_t count = 0;
    const struct seed *seeds = seeds_of(arena, argv[1], &count);
    bool ok = seeds != NULL;
    struct error err = { .message = "no such target" };
    for (size_t i = 0; ok && i < count; i++) {
        ok = files_write(arena_format(arena, "%s/seed-%s", argv[2], seeds[i].name), seeds[i].bytes,
                         &err);
    }
    if (!ok) {
        fprintf(stderr, "make_seeds: %s: %s\n", argv[1], err.message);
    }
    arena_close(arena);
    return ok ? 0 : 1;
}
