/* honesty/pool.c: many trials on several processes. */
#include "honesty/pool.h"

#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

enum { JOBS_MOST = 64 };

static void *shared_room(size_t bytes)
{
    void *room = mmap(NULL, bytes, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (room == MAP_FAILED) {
        fprintf(stderr, "honesty: no memory for %zu bytes of results\n", bytes);
        exit(1);
    }
    return room;
}

static void work(atomic_size_t *next, size_t n, size_t size, pool_trial *trial, const void *context,
                 uint8_t *results)
{
    for (size_t i = atomic_fetch_add(next, 1); i < n; i = atomic_fetch_add(next, 1)) {
        trial(i, context, results + i * size);
    }
}

void *pool_run(int jobs, size_t n, size_t size, pool_trial *trial, const void *context)
{
    uint8_t *results = shared_room(n * size + 1);
    atomic_size_t *next = shared_room(sizeof *next);
    pid_t children[JOBS_MOST];
    const int others = jobs < 1 ? 0 : (jobs > JOBS_MOST ? JOBS_MOST : jobs) - 1;
    fflush(NULL);
    for (int k = 0; k < others; k++) {
        children[k] = fork();
        if (children[k] == 0) {
            work(next, n, size, trial, context, results);
            _exit(0);
        }
        if (children[k] < 0) {
            fprintf(stderr, "honesty: no process could be started\n");
            exit(1);
        }
    }
    work(next, n, size, trial, context, results);
    for (int k = 0; k < others; k++) {
        int status = 0;
        if (waitpid(children[k], &status, 0) != children[k] || status != 0) {
            fprintf(stderr, "honesty: a process died in its trials (status %d)\n", status);
            exit(1);
        }
    }
    munmap(next, sizeof *next);
    return results;
}

void pool_free(void *results, size_t n, size_t size)
{
    munmap(results, n * size + 1);
}
