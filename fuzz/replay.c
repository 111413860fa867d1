/* fuzz/replay.c: a fuzz target as a test program of the suite: its seeds, the files that once
 * broke it (fuzz/TARGET/crashes), and the seeds changed in hundreds of seeded ways. */
#include "check.h"

#include "maths/random.h"
#include "mend.h"
#include "seeds.h"
#include "target.h"

#include <dirent.h>
#include <string.h>

/* Rides take their time: FUZZ_CHANGES is how often each seed is changed. */
static const int CHANGES_PER_SEED = FUZZ_CHANGES;

static const struct seed *own_seeds(struct arena *arena, size_t *count)
{
    const struct seed *seeds = seeds_of(arena, FUZZ_TARGET, count);
    check(seeds != NULL && *count > 3);
    return seeds;
}

static void test_fuzz__seeds_run_through(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    size_t count = 0;
    const struct seed *seeds = own_seeds(arena, &count);
    for (size_t i = 0; i < count; i++) {
        check(seeds[i].bytes.size > 0);
        check_integer(seeds[i].name, LLVMFuzzerTestOneInput(seeds[i].bytes.at, seeds[i].bytes.size),
                      0);
    }
    arena_close(arena);
}

static void test_fuzz__past_crashes_run_through(void **state)
{
    (void)state;
    const char *folder = PLUMBLINE_SOURCE "/fuzz/" FUZZ_TARGET "/crashes";
    DIR *files = opendir(folder);
    if (files == NULL) {
        return; /* nothing broke this target yet */
    }
    const struct dirent *entry = NULL;
    while ((entry = readdir(files)) != NULL) {
        if (entry->d_name[0] == '.') {
            continue;
        }
        struct arena *arena = arena_open();
        struct bytes bytes = { 0 };
        struct error err = { 0 };
        check(files_read(arena, arena_format(arena, "%s/%s", folder, entry->d_name), 100000000,
                         &bytes, &err));
        check_integer(entry->d_name, LLVMFuzzerTestOneInput(bytes.at, bytes.size), 0);
        arena_close(arena);
    }
    closedir(files);
}

/* A few bytes changed, moved or cut, and for FIT the checksums set right half of the time. */
static size_t change(struct random *random, uint8_t *bytes, size_t size)
{
    const uint64_t times = 1 + random_below(random, 6);
    for (uint64_t i = 0; i < times && size > 4; i++) {
        const size_t at = (size_t)random_below(random, size);
        const size_t other = (size_t)random_below(random, size);
        switch (random_below(random, 5)) {
        case 0: bytes[at] = (uint8_t)random_below(random, 256); break;
        case 1: bytes[at] ^= (uint8_t)(1u << random_below(random, 8)); break;
        case 2: bytes[at] = random_below(random, 2) == 0 ? 0x00 : 0xFF; break;
        case 3: bytes[at] = bytes[other]; break;
        default:
            memmove(bytes + at, bytes + at + 1, size - at - 1);
            size--;
            break;
        }
    }
    const bool is_fit = size > 12 && memcmp(bytes + 8, ".FIT", 4) == 0;
    if (is_fit && random_below(random, 2) == 0) {
        fit_mend(bytes, size);
    }
    return size;
}

static void test_fuzz__changed_seeds_run_through(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    size_t count = 0;
    const struct seed *seeds = own_seeds(arena, &count);
    for (size_t i = 0; i < count; i++) {
        for (int k = 0; k < CHANGES_PER_SEED; k++) {
            struct random random = random_begin(i * 1000 + (uint64_t)k);
            struct arena *one = arena_open();
            uint8_t *bytes = arena_copy(one, seeds[i].bytes.at, seeds[i].bytes.size);
            const size_t size = change(&random, bytes, seeds[i].bytes.size);
            check_integer(seeds[i].name, LLVMFuzzerTestOneInput(bytes, size), 0);
            arena_close(one);
        }
    }
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fuzz__seeds_run_through),
        cmocka_unit_test(test_fuzz__past_crashes_run_through),
        cmocka_unit_test(test_fuzz__changed_seeds_run_through),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
