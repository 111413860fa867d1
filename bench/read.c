/* bench/read.c: the program itself, `plumbline read FILE`: its peak of memory.  This program holds
 * next to nothing when it starts it, since a child's peak begins with its parent's. */
#include "bench.h"
#include "rides.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double MOST_BYTES = 48e6;

static void print_read(const char *what, const char *path)
{
    const char *const command[] = { PLUMBLINE_BINARY, "read", path, "--threshold", "240", NULL };
    const struct bench_usage usage = bench_usage(command);
    if (!usage.ended_well) {
        bench_differs("memory", what, "plumbline read", "it didn't end well");
        return;
    }
    bench_note("%s: %.0f ms of processor time", what, usage.cpu_s * 1e3);
    bench_row(&(struct bench_row){ "memory",
                                   what,
                                   "48 MB",
                                   usage.peak_bytes,
                                   MOST_BYTES,
                                   "bytes",
                                   { usage.peak_bytes / MOST_BYTES, usage.peak_bytes / MOST_BYTES,
                                     usage.peak_bytes / MOST_BYTES },
                                   BENCH_AT_MOST,
                                   1 });
}

/* Written by a process of its own, whose memory isn't this one's. */
static const char *simulated_path(struct arena *arena)
{
    const char *path = bench_file(arena, "five-hours.fit", "", 0);
    const char *const command[] = { bench_self(), "write", path, NULL };
    return bench_usage(command).ended_well ? path : NULL;
}

static int write_simulated(const char *path)
{
    struct arena *arena = arena_open();
    struct error err = { 0 };
    const bool written = files_write(path, rides_simulated(arena, 5).bytes, &err);
    arena_close(arena);
    return written ? 0 : 1;
}

int main(int argc, char **argv)
{
    if (argc == 3 && strcmp(argv[1], "write") == 0) {
        return write_simulated(argv[2]);
    }
    struct arena *arena = arena_open();
    bench_title("The program whole: plumbline read FILE");
    const char *path = simulated_path(arena);
    if (path != NULL) {
        print_read("peak memory, simulated 5 h", path);
    }
    const char *shared = getenv("PLUMBLINE_SHARED");
    const char *real = arena_format(arena, "%s/recordings/real/long-ride-6h-power-hr-balance.fit",
                                    shared != NULL ? shared : PLUMBLINE_SOURCE "/../shared");
    FILE *there = fopen(real, "re");
    if (there != NULL) {
        fclose(there);
        print_read("peak memory, real 6 h, 18,456 records", real);
    }
    arena_close(arena);
    return 0;
}
