/* demo/make_rides.c: writes the example rides as FIT files.
 *
 *     make-rides FOLDER        the folder must be there; files of the same name are replaced
 *
 * All of them are by one invented rider, Ilva Tarn, who lives on a plain in the middle of the
 * ocean: threshold 246 W, maximal heart rate 189, in her second year of training.  Power, heart
 * rate and road come from the simulator (src/simulated), with fixed seeds and dates, so the bytes
 * are the same at every run. */
#include "base/dates.h"
#include "base/files.h"
#include "recording/fit_write.h"
#include "simulated/faults.h"
#include "simulated/random.h"
#include "simulated/ride.h"

#include <math.h>
#include <stdio.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

/* Duration, power at its start and end, and what it is. */
#define EASY(seconds, from, to)                                                                    \
    {                                                                                              \
        .duration_s = (seconds), .power_w = (from), .end_power_w = (to),                           \
        .cadence_rpm = (double)NAN                                                                 \
    }
#define EFFORT(seconds, from, to)                                                                  \
    {                                                                                              \
        .duration_s = (seconds), .power_w = (from), .end_power_w = (to), .cadence_rpm = 92.0,      \
        .is_rep = true                                                                             \
    }
#define CAFE(seconds)                                                                              \
    {                                                                                              \
        .duration_s = (seconds), .is_stop = true, .timer_off = true                                \
    }

static const struct simulated_block BASE_HOUR[] = {
    EASY(600, 110, 160),
    EASY(3720, 172, 172),
    EASY(420, 120, 95),
};

/* She watches heart rate and gives watts away to keep it down. */
static const struct simulated_block BASE_EASED_OFF[] = {
    EASY(600, 110, 165),
    EASY(900, 177, 177),
    EASY(2820, 177, 150),
    EASY(420, 115, 95),
};

static const struct simulated_block TOO_HARD[] = {
    EASY(900, 110, 165),   EASY(180, 115, 115), EFFORT(240, 326, 262), EASY(210, 108, 108),
    EFFORT(240, 324, 240), EASY(210, 105, 105), EFFORT(240, 322, 226), EASY(210, 102, 102),
    EFFORT(240, 318, 212), EASY(600, 115, 95),
};

static const struct simulated_block WELL_DONE[] = {
    EASY(900, 110, 165),   EASY(180, 115, 115), EFFORT(240, 274, 276), EASY(210, 112, 112),
    EFFORT(240, 276, 274), EASY(210, 112, 112), EFFORT(240, 276, 276), EASY(210, 110, 110),
    EFFORT(240, 274, 279), EASY(600, 120, 95),
};

#define ON_OFF     EFFORT(30, 282, 280), EASY(30, 125, 125)
#define TEN_ON_OFF ON_OFF, ON_OFF, ON_OFF, ON_OFF, ON_OFF, ON_OFF, ON_OFF, ON_OFF, ON_OFF, ON_OFF

static const struct simulated_block SHORT_EFFORTS[] = {
    EASY(900, 110, 170), EASY(180, 115, 115), TEN_ON_OFF,
    EASY(300, 105, 105), TEN_ON_OFF,          EASY(600, 115, 95),
};

static const struct simulated_block LONG_RIDE[] = {
    EASY(900, 110, 150),  EASY(1800, 158, 158), EASY(780, 205, 205), EASY(1500, 150, 150),
    EASY(1200, 165, 165), CAFE(1560),           EASY(900, 140, 140), EASY(2100, 160, 160),
    EASY(600, 210, 210),  EASY(1800, 152, 148), EASY(600, 125, 100),
};

/* Two makes of head unit, by numbers that no maker has. */
static const struct fit_activity MAKES[] = {
    { .maker = 60001, .product = 7, .serial = 410077 },
    { .maker = 60002,
      .product = 12,
      .serial = 93120045,
      .big_endian = true,
      .old_header = true,
      .power_as_developer_field = true },
};

struct example {
    const char *name;
    int month; /* of 2026 */
    int day;
    const struct simulated_block *blocks;
    size_t n_blocks;
    bool outdoors;
    double drift_bpm; /* true rise over minutes 6-60 of the base hour */
    int fault;        /* enum simulated_fault, or -1 */
    int make;         /* row of MAKES */
    double effort_0_10;
};

#define BLOCKS(blocks) (blocks), COUNT(blocks)

static const struct example EXAMPLES[] = {
    { "base-hour-passed", 3, 3, BLOCKS(BASE_HOUR), false, 4.0, -1, 0, 3 },
    { "base-hour-not-passed", 1, 13, BLOCKS(BASE_HOUR), false, 17.0, -1, 0, 4 },
    { "base-hour-eased-off", 2, 3, BLOCKS(BASE_EASED_OFF), false, 15.0, -1, 1, 3 },
    { "vo2max-4x4-started-too-hard", 3, 10, BLOCKS(TOO_HARD), false, 0.0, -1, 0, 9 },
    { "vo2max-4x4-done", 3, 17, BLOCKS(WELL_DONE), false, 0.0, -1, 0, 8 },
    { "vo2max-4x4-done-outdoors", 3, 24, BLOCKS(WELL_DONE), true, 0.0, -1, 1, 8 },
    { "short-efforts-30-30", 3, 27, BLOCKS(SHORT_EFFORTS), false, 0.0, -1, 1, 8 },
    { "long-ride-cafe", 3, 29, BLOCKS(LONG_RIDE), true, 5.0, -1, 0, 5 },
    { "fault-power-spike", 4, 2, BLOCKS(BASE_HOUR), false, 5.0, SIMULATED_FAULT_POWER_SPIKE, 0, 3 },
    { "fault-power-missing", 4, 4, BLOCKS(BASE_HOUR), false, 5.0,
      SIMULATED_FAULT_POWER_DROPOUT_MISSING, 0, 3 },
    { "fault-power-zero", 4, 6, BLOCKS(BASE_HOUR), false, 5.0, SIMULATED_FAULT_POWER_DROPOUT_ZERO,
      1, 3 },
    { "fault-power-stuck", 4, 8, BLOCKS(BASE_HOUR), false, 5.0, SIMULATED_FAULT_POWER_STUCK, 0, 3 },
    { "fault-trainer-held", 4, 10, BLOCKS(WELL_DONE), false, 0.0, SIMULATED_FAULT_TRAINER_HELD, 0,
      8 },
    { "fault-heart-missing", 4, 12, BLOCKS(BASE_HOUR), false, 5.0, SIMULATED_FAULT_HEART_DROPOUT, 1,
      3 },
    { "fault-heart-flat", 4, 14, BLOCKS(WELL_DONE), false, 0.0, SIMULATED_FAULT_HEART_FLAT, 0, 8 },
    { "fault-heart-jump", 4, 16, BLOCKS(BASE_HOUR), false, 5.0, SIMULATED_FAULT_HEART_JUMP, 0, 3 },
    { "fault-cadence-lock", 4, 18, BLOCKS(BASE_HOUR), false, 5.0, SIMULATED_FAULT_CADENCE_LOCK, 1,
      3 },
    { "fault-heart-above-max", 4, 20, BLOCKS(WELL_DONE), false, 0.0,
      SIMULATED_FAULT_HEART_ABOVE_MAX, 0, 8 },
    { "fault-balance-drift", 4, 22, BLOCKS(BASE_HOUR), false, 5.0, SIMULATED_FAULT_BALANCE_DRIFT, 0,
      3 },
    { "fault-hot", 4, 24, BLOCKS(BASE_HOUR), false, 13.0, SIMULATED_FAULT_HOT, 0, 5 },
};

/* The day as a number: 310 is 10 March. */
static uint64_t day_seed(const struct example *example)
{
    return 100U * (uint64_t)example->month + (uint64_t)example->day;
}

static struct simulated_plan plan_of(const struct example *example)
{
    const struct civil start = { .year = 2026,
                                 .month = example->month,
                                 .day = example->day,
                                 .hour = example->outdoors ? 9 : 17,
                                 .minute = 10 + example->day };
    const bool base = example->n_blocks <= COUNT(BASE_EASED_OFF);
    return (struct simulated_plan){
        .blocks = example->blocks,
        .n_blocks = example->n_blocks,
        .outdoors = example->outdoors,
        .power_cv = example->outdoors ? 0.14 : 0.065,
        .hilliness = example->outdoors ? 0.35 : 0.0,
        .coasting_ratio = example->outdoors ? 0.07 : 0.0,
        .junctions_per_h = example->outdoors ? 7.0 : 0.0,
        .drift_bpm = example->drift_bpm,
        .drift_from_s = 600.0,
        .drift_to_s = base ? 4320.0 : 0.0,
        .drift_shape = SIMULATED_DRIFT_EARLY,
        .noise = SIMULATED_NOISE_AR1_SHORT,
        .noise_bpm = 1.2,
        .temperature_c = example->outdoors ? 11.0 : 19.0,
        .temperature_rise_c = 2.5,
        .start_utc = dates_utc_from_civil(&start),
        .seed = 20260000U + day_seed(example),
        .device = { .heart_lag_s = 1, .missing_per_h = example->make == 1 ? 2.0 : 0.0 },
    };
}

/* Laps as a hand presses them: some seconds after the edges of the efforts; without efforts, after
 * those of the blocks. */
static size_t press_laps(struct arena *arena, const struct example *example,
                         const struct simulated_ride *ride, struct lap **laps)
{
    struct simulated_random random = simulated_random_begin(day_seed(example), 1);
    const int32_t end_s = ride->samples.time_s[ride->samples.count - 1] + 1;
    *laps = ARENA_ARRAY(arena, struct lap, example->n_blocks + 1);
    size_t count = 0;
    int32_t block_s = 0;
    int32_t start_s = 0;
    for (size_t b = 0; b + 1 < example->n_blocks; b++) {
        block_s += (int32_t)example->blocks[b].duration_s;
        const int32_t pressed_s = block_s + simulated_random_whole(&random, 1, 9);
        if (example->blocks[b].is_stop || example->blocks[b + 1].is_stop) {
            continue;
        }
        (*laps)[count++] = (struct lap){ start_s, pressed_s, true, -1 };
        start_s = pressed_s;
    }
    (*laps)[count++] = (struct lap){ start_s, end_s, false, -1 };
    return count;
}

static size_t list_events(struct arena *arena, const struct simulated_ride *ride,
                          struct fit_event **events)
{
    *events = ARENA_ARRAY(arena, struct fit_event, 2 * ride->n_timer_stops + 2);
    size_t count = 0;
    (*events)[count++] = (struct fit_event){ 0, true };
    for (size_t i = 0; i < ride->n_timer_stops; i++) {
        (*events)[count++] = (struct fit_event){ ride->timer_stops[i].from_s, false };
        (*events)[count++] = (struct fit_event){ ride->timer_stops[i].to_s, true };
    }
    const int32_t last_s = ride->samples.time_s[ride->samples.count - 1];
    (*events)[count++] = (struct fit_event){ last_s, false };
    return count;
}

static bool write_example(struct arena *arena, const struct example *example, const char *folder,
                          struct error *err)
{
    const struct simulated_rider rider = simulated_rider_default();
    const struct simulated_plan plan = plan_of(example);
    struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    if (example->fault >= 0) {
        (void)simulated_fault_add(arena, &ride, (enum simulated_fault)example->fault, plan.seed);
    }

    struct lap *laps = NULL;
    struct fit_event *events = NULL;
    struct fit_activity activity = MAKES[example->make];
    activity.start_utc = plan.start_utc;
    activity.has_utc_offset = true;
    activity.utc_offset_s = 3600;
    activity.sport = SPORT_CYCLING;
    activity.place = example->outdoors ? PLACE_OUTDOORS : PLACE_INDOORS;
    activity.samples = ride.samples;
    activity.n_laps = press_laps(arena, example, &ride, &laps);
    activity.laps = laps;
    activity.n_events = list_events(arena, &ride, &events);
    activity.events = events;
    activity.effort_0_10 = example->effort_0_10;

    struct bytes bytes = { 0 };
    const char *path = arena_format(arena, "%s/2026-%02d-%02d-%s.fit", folder, example->month,
                                    example->day, example->name);
    return fit_write(arena, &activity, &bytes, err) && files_write(path, bytes, err);
}

int main(int argc, char **argv)
{
    if (argc != 2) {
        fputs("usage: make-rides FOLDER\n", stderr);
        return 2;
    }
    for (size_t i = 0; i < COUNT(EXAMPLES); i++) {
        struct arena *arena = arena_open();
        struct error err = { 0 };
        const bool written = write_example(arena, &EXAMPLES[i], argv[1], &err);
        arena_close(arena);
        if (!written) {
            fprintf(stderr, "make-rides: %s\n", err.message);
            return error_exit_status(err.kind);
        }
    }
    return 0;
}
