/* simulated/outings.c: what riders ride between their sessions. */
#include "simulated/outings.h"

#include "simulated/random.h"

#include <math.h>

enum { STREAM_OUTING = 0x4f55, BLOCKS_MOST = 64 };

struct outing {
    const struct simulated_rider *rider;
    struct simulated_random random;
    struct simulated_block *blocks; /* [BLOCKS_MOST] */
    size_t count;
    double at_s;
};

static double between(struct outing *o, double low, double high)
{
    return simulated_random_between(&o->random, low, high);
}

static struct simulated_block *ride(struct outing *o, double duration_s, double from, double to)
{
    if (o->count == BLOCKS_MOST) {
        o->count--; /* never: the longest ride has fewer */
    }
    struct simulated_block *block = &o->blocks[o->count++];
    *block = (struct simulated_block){ .duration_s = floor(duration_s + 0.5),
                                       .power_w = from * o->rider->threshold_w,
                                       .end_power_w = to * o->rider->threshold_w,
                                       .cadence_rpm = (double)NAN };
    o->at_s += block->duration_s;
    return block;
}

static void effort(struct outing *o, double duration_s, double from, double to, bool goes_on)
{
    struct simulated_block *block = ride(o, duration_s, from, to);
    block->is_rep = true;
    block->goes_on = goes_on;
    block->cadence_rpm = (o->rider->cadence_rpm > 0.0 ? o->rider->cadence_rpm : 85.0) + 5.0;
}

static void easy(struct outing *o, bool too_hard)
{
    const double length_s = between(o, 2700.0, 5400.0);
    ride(o, between(o, 420.0, 720.0), 0.42, 0.58);
    while (o->at_s < length_s) {
        const bool hard = too_hard && simulated_random_chance(&o->random, 0.55);
        const double share = hard ? between(o, 0.80, 0.97) : between(o, 0.52, 0.66);
        ride(o, between(o, 300.0, 1100.0), share, share + between(o, -0.02, 0.02));
    }
    ride(o, between(o, 240.0, 480.0), 0.50, 0.40);
}

static void long_ride(struct outing *o, const struct simulated_habits *habits, bool outdoors)
{
    const double length_s = 3600.0 * between(o, habits->long_h[0], habits->long_h[1]);
    const double cafe_s =
        outdoors && simulated_random_chance(&o->random, 0.35) ? length_s * 0.55 : length_s * 2.0;
    bool been = false;
    ride(o, between(o, 480.0, 900.0), 0.42, 0.60);
    while (o->at_s < length_s) {
        if (!been && o->at_s > cafe_s) {
            struct simulated_block *stop = ride(o, between(o, 600.0, 1800.0), 0.0, 0.0);
            stop->is_stop = true;
            stop->timer_off = true;
            been = true;
        }
        const bool climbs = outdoors && simulated_random_chance(&o->random, 0.13);
        const double share = climbs ? between(o, 0.74, 0.88) : between(o, 0.54, 0.70);
        struct simulated_block *block =
            ride(o, climbs ? between(o, 240.0, 900.0) : between(o, 500.0, 1500.0), share, share);
        block->cadence_rpm = climbs ? between(o, 68.0, 80.0) : (double)NAN;
    }
    ride(o, between(o, 300.0, 600.0), 0.52, 0.42);
}

/* Paced as people pace it: a little too quick at first, a last minute with all that is left. */
static void test_20_min(struct outing *o)
{
    const double mean = (1.0 + 0.01 * simulated_random_normal(&o->random)) / 0.95;
    ride(o, 720.0, 0.42, 0.66);
    ride(o, 300.0, 0.55, 0.55);
    effort(o, 300.0, 1.16, 1.11, false);
    ride(o, 480.0, 0.48, 0.50);
    effort(o, 300.0, mean * 1.015, mean * 1.0, false);
    effort(o, 840.0, mean * 0.99, mean * 0.985, true);
    effort(o, 60.0, mean * 1.10, mean * 1.16, true);
    ride(o, between(o, 480.0, 720.0), 0.50, 0.40);
}

/* What she can hold for so long: the 20 minutes that her threshold stands for, and W'.  Those 20
 * have a hard effort before them, which costs some per cent (common practice, no source). */
static double most_for(const struct simulated_rider *rider, double seconds)
{
    static const double FRESH = 1.025;
    const double twenty_w = FRESH * rider->threshold_w / 0.95;
    return twenty_w + rider->w_prime_j * (1.0 / seconds - 1.0 / 1200.0);
}

/* All-out for so long: a good quarter a little too quick, and a kick at the end. */
static void all_out(struct outing *o, double seconds, double share)
{
    static const double QUICK = 1.015;
    static const double KICK = 1.08;
    const double kick_s = seconds < 300.0 ? 20.0 : 45.0;
    const double quick_s = floor(0.28 * seconds);
    const double rest_s = seconds - quick_s - kick_s;
    const double mean = share * (1.0 + 0.012 * simulated_random_normal(&o->random)) *
                        most_for(o->rider, seconds) / o->rider->threshold_w;
    const double middle = mean * (seconds - QUICK * quick_s - KICK * kick_s) / rest_s;
    effort(o, quick_s, mean * QUICK, mean * QUICK, false);
    effort(o, rest_s, middle * 1.005, middle * 0.995, true);
    effort(o, kick_s, mean * KICK, mean * KICK, true);
}

static void test_efforts(struct outing *o, double holds_back)
{
    static const double lengths_s[] = { 240.0, 720.0, 420.0 };
    ride(o, 900.0, 0.42, 0.66);
    ride(o, 300.0, 0.50, 0.50);
    for (size_t i = 0; i < sizeof lengths_s / sizeof lengths_s[0]; i++) {
        if (i > 0) {
            ride(o, 1800.0, 0.46, 0.44);
        }
        all_out(o, lengths_s[i], 1.0 - holds_back);
    }
    ride(o, between(o, 480.0, 720.0), 0.50, 0.40);
}

static void run_on_foot(struct outing *o)
{
    ride(o, 300.0, 0.55, 0.65);
    ride(o, between(o, 1500.0, 2700.0), 0.68, 0.72);
}

static enum simulated_session session_of(struct outing *o, const struct simulated_habits *habits,
                                         enum simulated_outing outing)
{
    const double luck = simulated_random_unit(&o->random);
    const int turn = simulated_random_whole(&o->random, 0, 9);
    switch (outing) {
    case SIMULATED_OUTING_BASE:
        return luck < habits->eases_off ? SIMULATED_BASE_LET_DOWN : SIMULATED_BASE_HOUR;
    case SIMULATED_OUTING_STEADY:
        return turn < 4   ? SIMULATED_SWEET_SPOT_3X12
               : turn < 7 ? SIMULATED_THRESHOLD_2X20
                          : SIMULATED_OVER_UNDERS;
    case SIMULATED_OUTING_SPRINTS: return turn < 7 ? SIMULATED_SPRINTS : SIMULATED_ANAEROBIC_8X1;
    case SIMULATED_OUTING_NONE:
    case SIMULATED_OUTING_EASY:
    case SIMULATED_OUTING_TOO_HARD:
    case SIMULATED_OUTING_LONG:
    case SIMULATED_OUTING_HARD:
    case SIMULATED_OUTING_TEST:
    case SIMULATED_OUTING_RUN:
    case SIMULATED_OUTING_EFFORTS: break;
    }
    if (turn < 2) {
        return turn == 0 ? SIMULATED_SHORT_30_30 : SIMULATED_SHORT_40_20;
    }
    return luck < habits->starts_hard                   ? SIMULATED_VO2MAX_TOO_HARD
           : luck < habits->starts_hard + habits->fades ? SIMULATED_VO2MAX_FADED
                                                        : SIMULATED_VO2MAX_DONE;
}

static bool is_own(enum simulated_outing outing)
{
    return outing == SIMULATED_OUTING_EASY || outing == SIMULATED_OUTING_TOO_HARD ||
           outing == SIMULATED_OUTING_LONG || outing == SIMULATED_OUTING_TEST ||
           outing == SIMULATED_OUTING_RUN || outing == SIMULATED_OUTING_EFFORTS;
}

static void write_own(struct outing *o, const struct simulated_habits *habits,
                      enum simulated_outing outing, bool outdoors)
{
    if (outing == SIMULATED_OUTING_LONG) {
        long_ride(o, habits, outdoors);
    } else if (outing == SIMULATED_OUTING_TEST) {
        test_20_min(o);
    } else if (outing == SIMULATED_OUTING_EFFORTS) {
        test_efforts(o, habits->holds_back);
    } else if (outing == SIMULATED_OUTING_RUN) {
        run_on_foot(o);
    } else {
        easy(o, outing == SIMULATED_OUTING_TOO_HARD ||
                    simulated_random_chance(&o->random, habits->too_hard));
    }
}

enum simulated_session simulated_outing_session(const struct simulated_habits *habits,
                                                enum simulated_outing outing, uint64_t seed)
{
    struct outing o = { .random = simulated_random_begin(seed, STREAM_OUTING) };
    return is_own(outing) || outing == SIMULATED_OUTING_NONE ? SIMULATED_SESSION_COUNT
                                                             : session_of(&o, habits, outing);
}

struct simulated_plan simulated_outing_make(struct arena *arena,
                                            const struct simulated_rider *rider,
                                            const struct simulated_habits *habits,
                                            enum simulated_outing outing, bool outdoors,
                                            double drift_bpm, uint64_t seed)
{
    struct outing o = { .rider = rider, .random = simulated_random_begin(seed, STREAM_OUTING) };
    const bool own = is_own(outing);
    const bool free_road = outing == SIMULATED_OUTING_LONG || outing == SIMULATED_OUTING_EASY ||
                           outing == SIMULATED_OUTING_TOO_HARD;
    const enum simulated_session session = !own                    ? session_of(&o, habits, outing)
                                           : free_road && outdoors ? SIMULATED_LONG_RIDE
                                                                   : SIMULATED_BASE_HOUR;
    struct simulated_plan plan = simulated_plan_make(arena, rider, session, outdoors, seed);
    if (own) {
        o.blocks = ARENA_ARRAY(arena, struct simulated_block, BLOCKS_MOST);
        write_own(&o, habits, outing, outdoors);
        plan.blocks = o.blocks;
        plan.n_blocks = o.count;
        /* Who means to ride easily goes round the steepest hills. */
        plan.hilliness *= 0.55;
        plan.drift_from_s = 600.0;
        plan.drift_to_s = 0.0;
        plan.drift_shape = SIMULATED_DRIFT_EARLY;
        plan.drift_bpm = 0.5 * drift_bpm;
    } else if (session == SIMULATED_BASE_HOUR) {
        plan.drift_bpm = drift_bpm + simulated_random_normal(&o.random);
    } else if (session != SIMULATED_BASE_LET_DOWN) {
        plan.drift_from_s = 600.0;
        plan.drift_shape = SIMULATED_DRIFT_EARLY;
        plan.drift_bpm = 0.3 * drift_bpm;
    }
    return plan;
}
