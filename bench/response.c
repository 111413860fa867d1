/* bench/response.c: the heart's response of one rider: boiling a ride down to sums, the fit from
 * sums that are kept, against one plain pass over the samples of the rides it rests on; and how the
 * fit grows with the number of rides. */
#include "bench.h"

#include "maths/maths.h"
#include "physiology/heart_response.h"
#include "simulated/ride.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { RIDES = 40, MOST = 160, OWN = 4, SECONDS = 5400 };

struct run {
    struct limits limits;
    double threshold_w;
    double max_heart_bpm;
    const struct recording *recordings[OWN]; /* of the rides, in turn */
    struct response_ride *rides;             /* [MOST] */
    size_t n;
    double sum;
};

static const struct recording *make_ride(struct arena *arena, const struct simulated_rider *rider,
                                         size_t number)
{
    const double w = rider->threshold_w;
    const double none = (double)NAN;
    struct simulated_block blocks[16] = { 0 };
    size_t n = 0;
    blocks[n++] = (struct simulated_block){ 900, 0.5 * w, 0.6 * w, none, .is_rep = false };
    for (size_t i = 0; i < 6; i++) {
        const double share = 0.7 + 0.1 * (double)((number + i) % 4);
        blocks[n++] = (struct simulated_block){ 420, share * w, none, none, .is_rep = true };
        blocks[n++] = (struct simulated_block){ 240, 0.5 * w, none, none, .is_rep = false };
    }
    blocks[n++] = (struct simulated_block){ 540, 0.45 * w, none, none, .is_rep = false };
    const struct simulated_plan plan = { .blocks = blocks,
                                         .n_blocks = n,
                                         .drift_bpm = 8.0,
                                         .temperature_c = none,
                                         .start_utc = 1800000000,
                                         .seed = 40 + number };
    const struct limits limits = limits_default();
    const struct simulated_ride ride = simulated_ride_make(arena, rider, &plan);
    return simulated_recording(arena, &ride, &plan, &limits);
}

/* The least that a fit which reads the rides must do: both channels of every second, once, with
 * the products of a line. */
static void by_one_pass(void *with)
{
    struct run *run = with;
    double sums[5] = { 0 };
    for (size_t r = 0; r < run->n; r++) {
        const struct recording *recording = run->recordings[r % OWN];
        const int32_t *power = recording->value[CHANNEL_POWER];
        const int32_t *heart = recording->value[CHANNEL_HEART_RATE];
        for (size_t t = 0; t < recording->n_seconds; t++) {
            if (power[t] != RECORDING_MISSING && heart[t] != RECORDING_MISSING) {
                const double x = (double)power[t];
                const double y = (double)heart[t];
                sums[0] += x;
                sums[1] += y;
                sums[2] += x * x;
                sums[3] += x * y;
                sums[4] += y * y;
            }
        }
    }
    run->sum = sums[0] + sums[1] + sums[2] + sums[3] + sums[4];
}

static void by_sums(void *with)
{
    struct run *run = with;
    struct arena *arena = arena_open();
    struct response_ride ride;
    for (size_t r = 0; r < run->n; r++) {
        if (response_ride_of(arena, run->recordings[r % OWN], run->max_heart_bpm, &run->limits,
                             &ride) != RIDE_FITS) {
            abort();
        }
    }
    run->sum = ride.mean_w;
    arena_close(arena);
}

static void by_fit(void *with)
{
    struct run *run = with;
    struct arena *arena = arena_open();
    const struct heart_response response =
        heart_response_fit(arena, run->rides, run->n, run->threshold_w, &run->limits);
    if (response.end != RESPONSE_FITTED) {
        abort();
    }
    run->sum = response.gain_bpm_per_w;
    arena_close(arena);
}

static struct run *make_run(struct arena *arena, size_t n)
{
    struct run *run = ARENA_ARRAY(arena, struct run, 1);
    const struct simulated_rider rider = simulated_rider_default();
    run->limits = limits_default();
    run->threshold_w = rider.threshold_w;
    run->max_heart_bpm = rider.max_heart_rate_bpm;
    run->rides = ARENA_ARRAY(arena, struct response_ride, MOST);
    run->n = n;
    for (size_t i = 0; i < OWN; i++) {
        run->recordings[i] = make_ride(arena, &rider, i);
    }
    for (size_t i = 0; i < MOST; i++) {
        if (i < OWN) {
            struct arena *scratch = arena_open();
            if (response_ride_of(scratch, run->recordings[i], run->max_heart_bpm, &run->limits,
                                 &run->rides[i]) != RIDE_FITS) {
                abort();
            }
            arena_close(scratch);
        } else {
            run->rides[i] = run->rides[i % OWN];
        }
        run->rides[i].id = (int64_t)i + 1;
        run->rides[i].day = (int64_t)(i / 2);
    }
    return run;
}

int main(int argc, char **argv)
{
    maths_begin();
    bench_begin();
    struct arena *arena = arena_open();
    const bool counting = argc > 3 && strcmp(argv[1], "once") == 0;
    struct run *run = make_run(arena, counting ? strtoull(argv[3], NULL, 10) : RIDES);
    if (counting) {
        if (strcmp(argv[2], "fit") == 0) {
            by_fit(run);
        }
        arena_close(arena);
        return 0;
    }
    bench_title("The heart's response of one rider");
    bench_note("%d simulated rides of %d min", RIDES, SECONDS / 60);
    const struct bench_way pass = { by_one_pass, run };
    bench_within("", "fit from kept sums, each ride left out once", "one pass over its samples",
                 bench_pair((struct bench_way){ by_fit, run }, pass), (double)NAN);
    bench_within("", "the sums of those rides, made once a ride", "one pass over its samples",
                 bench_pair((struct bench_way){ by_sums, run }, pass), (double)NAN);
    bench_counts("law", "fit of 160 rides against 40", "40 rides", bench_instructions("fit", 160),
                 bench_instructions("fit", 40), "instructions", BENCH_AT_MOST, 4.3);
    arena_close(arena);
    return 0;
}
