/* bench/bench.c: time two ways of doing one thing and print their ratio. */
#include "bench.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { MOST_ROUNDS = 101 };

/* Time of this thread on a processor: others may be busy on the same machine. */
static double now_ms(void)
{
    struct timespec now = { 0 };
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return x < y ? -1 : x > y ? 1 : 0;
}

double bench_ms(void (*call)(void *with), void *with, size_t rounds)
{
    double times[MOST_ROUNDS];
    const size_t count = rounds < MOST_ROUNDS ? rounds : MOST_ROUNDS;
    for (size_t i = 0; i < count; i++) {
        const double begun = now_ms();
        call(with);
        times[i] = now_ms() - begun;
    }
    qsort(times, count, sizeof times[0], by_value);
    return times[count / 2];
}

void bench_title(const char *title, const char *ours, const char *peer)
{
    printf("\n%s\n%-34s %12s %12s %8s %8s\n", title, "", ours, peer, "ratio", "goal");
}

void bench_row(const char *name, double ours_ms, double peer_ms, double goal)
{
    const double ratio = peer_ms / ours_ms;
    printf("%-34s %9.3f ms %9.3f ms %8.2f", name, ours_ms, peer_ms, ratio);
    if (!isnan(goal)) {
        printf(" >=%6.2f %s", goal, ratio >= goal ? "met" : "MISSED");
    }
    printf("\n");
}

void bench_most(const char *name, double ratio, double most)
{
    printf("%-60s %8.2f <=%6.2f %s\n", name, ratio, most, ratio <= most ? "met" : "MISSED");
}

void bench_equal(const char *name, bool equal)
{
    if (!equal) {
        printf("%s: the answers differ; no figure is worth printing\n", name);
        exit(1);
    }
}
