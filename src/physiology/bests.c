/* physiology/bests.c: the greatest mean power for every whole second. */
#include "physiology/bests.h"

#include "maths/best_means.h"

/* What is shown unless every second is asked for.  Common practice, no source. */
static const size_t shown_s[] = { 1,  2,  3,   4,   5,   6,   7,   8,    9,    10,   15,   20,
                                  30, 60, 120, 180, 300, 480, 600, 1200, 1800, 3600, 7200, 10800 };
enum { SHOWN = sizeof shown_s / sizeof shown_s[0] };

const size_t *bests_shown_durations(size_t *count)
{
    *count = SHOWN;
    return shown_s;
}

/* The power of a recording as the bests count it. */
struct counted {
    size_t n;
    int32_t *power;      /* [n] watts; paused and unknown seconds 0 */
    int32_t *most;       /* [n] unknown seconds as hard as they may have been; NULL if none is */
    uint32_t *n_unknown; /* [n + 1] unknown seconds before i */
};

/* False where no second of power is usable. */
static bool count_power(struct arena *arena, const struct recording *recording,
                        struct counted *counted)
{
    const int32_t *value = recording->value[CHANNEL_POWER];
    const uint8_t *mask = recording->mask[CHANNEL_POWER];
    const size_t n = recording->n_seconds;
    if (value == NULL || n == 0) {
        return false;
    }
    *counted = (struct counted){ .n = n,
                                 .power = ARENA_ARRAY(arena, int32_t, n),
                                 .n_unknown = ARENA_ARRAY(arena, uint32_t, n + 1) };
    bool any_known = false;
    int32_t hardest = 0;
    for (size_t i = 0; i < n; i++) {
        const bool known = mask_is_usable(mask[i]) && value[i] != RECORDING_MISSING;
        const bool paused = recording->paused[i] != 0;
        counted->n_unknown[i + 1] = counted->n_unknown[i] + (!known && !paused ? 1 : 0);
        if (known && !paused) {
            counted->power[i] = value[i];
            hardest = !any_known || value[i] > hardest ? value[i] : hardest;
            any_known = true;
        }
    }
    if (any_known && counted->n_unknown[n] > 0) {
        counted->most = arena_copy(arena, counted->power, n * sizeof counted->power[0]);
        for (size_t i = 0; i < n; i++) {
            if (counted->n_unknown[i + 1] > counted->n_unknown[i]) {
                counted->most[i] = hardest < INT32_MAX ? hardest + 1 : hardest;
            }
        }
    }
    return any_known;
}

/* One best from its sum; most is the sum with unknown seconds at their hardest. */
static struct best best_of(const struct counted *counted, size_t duration, int64_t sum,
                           size_t start, int64_t most)
{
    return (struct best){
        .duration_s = (int32_t)duration,
        .power_w = (double)sum * channel_row(CHANNEL_POWER)->step / (double)duration,
        .start_s = (int32_t)start,
        .at_least = most > sum,
        .touches_mask = counted->n_unknown[start + duration] > counted->n_unknown[start],
    };
}

struct bests bests_shown(struct arena *arena, const struct recording *recording)
{
    struct counted counted = { 0 };
    int64_t sums[SHOWN];
    int64_t most[SHOWN];
    size_t starts[SHOWN];
    size_t count = 0;
    if (!count_power(arena, recording, &counted)) {
        return (struct bests){ 0 };
    }
    while (count < SHOWN && shown_s[count] <= counted.n) {
        count++;
    }
    best_means_few(arena, counted.power, counted.n, shown_s, count, sums, starts);
    if (counted.most != NULL) {
        best_means_few(arena, counted.most, counted.n, shown_s, count, most, NULL);
    }
    struct bests bests = { ARENA_ARRAY(arena, struct best, count), count };
    for (size_t i = 0; i < count; i++) {
        bests.items[i] = best_of(&counted, shown_s[i], sums[i], starts[i],
                                 counted.most != NULL ? most[i] : sums[i]);
    }
    return bests;
}

struct bests bests_all(struct arena *arena, const struct recording *recording)
{
    struct counted counted = { 0 };
    if (!count_power(arena, recording, &counted)) {
        return (struct bests){ 0 };
    }
    const size_t n = counted.n;
    int64_t *sums = ARENA_ARRAY(arena, int64_t, n);
    size_t *starts = ARENA_ARRAY(arena, size_t, n);
    int64_t *most = sums;
    best_means_all(arena, counted.power, n, sums, starts);
    if (counted.most != NULL) {
        most = ARENA_ARRAY(arena, int64_t, n);
        best_means_all(arena, counted.most, n, most, NULL);
    }
    struct bests bests = { ARENA_ARRAY(arena, struct best, n), n };
    for (size_t i = 0; i < n; i++) {
        bests.items[i] = best_of(&counted, i + 1, sums[i], starts[i], most[i]);
    }
    return bests;
}
