/* honesty/second/sessions.c: what riders of the second simulator set out to do. */
#include "honesty/second/sessions.h"

#include "honesty/second/random.h"

#include <math.h>

enum { SESSION = 0x61, BLOCKS_MOST = 128, WARM_S = 720, COOL_S = 420 };

const struct second_session_row *second_session_row(enum second_session session)
{
    static const struct second_session_row rows[SECOND_SESSIONS] = {
        [SECOND_VO2MAX] = { "VO2max, done", KIND_VO2MAX, VERDICT_DONE },
        [SECOND_VO2MAX_TOO_HARD] = { "VO2max, started too hard", KIND_VO2MAX,
                                     VERDICT_STARTED_TOO_HARD },
        [SECOND_VO2MAX_FADED] = { "VO2max, faded", KIND_VO2MAX, VERDICT_FADED },
        [SECOND_SHORT] = { "30/30", KIND_SHORT_VO2MAX, VERDICT_DONE },
        [SECOND_OVER_UNDERS] = { "over-unders", KIND_OVER_UNDERS, VERDICT_DONE },
        [SECOND_THRESHOLD] = { "threshold", KIND_THRESHOLD, VERDICT_DONE },
        [SECOND_SWEET_SPOT] = { "sweet spot", KIND_SWEET_SPOT, VERDICT_DONE },
        [SECOND_ANAEROBIC] = { "1 min anaerobic", KIND_ANAEROBIC, VERDICT_DONE },
        [SECOND_SPRINTS] = { "sprints", KIND_SPRINT, VERDICT_DONE },
        [SECOND_BASE_HOUR] = { "base hour", KIND_BASE_TEST, VERDICT_CANNOT_TELL },
        [SECOND_EASY_RIDE] = { "easy ride", KIND_EASY, VERDICT_CANNOT_TELL },
    };
    return &rows[session];
}

struct writer {
    struct second_random random;
    double threshold_w;
    struct second_block *blocks; /* [BLOCKS_MOST] */
    size_t n;
};

static void add(struct writer *writer, double duration_s, double from, double to)
{
    if (writer->n < BLOCKS_MOST) {
        writer->blocks[writer->n++] = (struct second_block){ .duration_s = floor(duration_s),
                                                             .from_w = from * writer->threshold_w,
                                                             .to_w = to * writer->threshold_w };
    }
}

static struct second_block *add_effort(struct writer *writer, double duration_s, double from,
                                       double to)
{
    add(writer, duration_s, from, to);
    struct second_block *block = &writer->blocks[writer->n - 1];
    block->is_rep = true;
    return block;
}

static double between(struct writer *writer, double low, double high)
{
    return second_between(&writer->random, low, high);
}

static int some(struct writer *writer, int low, int high)
{
    return low + (int)((high - low + 1) * second_unit(&writer->random));
}

static double rounded(double x, double step)
{
    return step * round(x / step);
}

/* `n` efforts of one length, with rests. */
static void add_set(struct writer *writer, int n, double duration_s, double rest_s, double low,
                    double high)
{
    const double at = between(writer, low, high);
    for (int i = 0; i < n; i++) {
        add_effort(writer, duration_s, at, at);
        add(writer, rest_s, 0.5, 0.5);
    }
}

static void add_vo2max(struct writer *writer, enum second_session session)
{
    const int n = some(writer, 4, 6);
    const double duration_s = rounded(between(writer, 165.0, 255.0), 30.0);
    for (int i = 0; i < n; i++) {
        if (session == SECOND_VO2MAX_TOO_HARD) {
            add_effort(writer, duration_s, between(writer, 1.5, 1.65), between(writer, 0.86, 0.94))
                ->decays = true;
        } else if (i > 0 && session == SECOND_VO2MAX_FADED) {
            add_effort(writer, duration_s, between(writer, 1.12, 1.17),
                       between(writer, 0.86, 0.95));
        } else {
            const double at = between(writer, 1.09, 1.17);
            add_effort(writer, duration_s, at, at);
        }
        add(writer, duration_s, 0.5, 0.5);
    }
}

static void add_short(struct writer *writer)
{
    const int n = some(writer, 8, 12);
    for (int block = some(writer, 2, 3); block > 0; block--) {
        add_set(writer, n, 30.0, 30.0, 1.10, 1.18);
        add(writer, 270.0, 0.5, 0.5);
    }
}

static void add_over_unders(struct writer *writer)
{
    const int turns = some(writer, 3, 4);
    for (int rep = 0; rep < 3; rep++) {
        for (int i = 0; i < turns; i++) {
            const double under = between(writer, 0.92, 0.95);
            const double over = between(writer, 1.04, 1.08);
            add_effort(writer, 120.0, under, under)->goes_on = i > 0;
            add_effort(writer, 60.0, over, over)->goes_on = true;
        }
        add(writer, 300.0, 0.5, 0.5);
    }
}

static void add_easy(struct writer *writer)
{
    const double length_s = between(writer, 3600.0, 9000.0);
    const double often = second_unit(&writer->random) * second_unit(&writer->random);
    const double most = between(writer, 0.82, 0.96);
    for (double at_s = 0.0; at_s < length_s && writer->n + 1 < BLOCKS_MOST;) {
        const bool hard = second_chance(&writer->random, often);
        const double duration_s =
            hard ? between(writer, 90.0, 420.0) : between(writer, 120.0, 900.0);
        const double power = hard ? between(writer, 0.76, most) : between(writer, 0.52, 0.74);
        add(writer, duration_s, power, power);
        at_s += duration_s;
    }
}

static void add_session(struct writer *writer, enum second_session session)
{
    switch (session) {
    case SECOND_VO2MAX:
    case SECOND_VO2MAX_TOO_HARD:
    case SECOND_VO2MAX_FADED: add_vo2max(writer, session); break;
    case SECOND_SHORT: add_short(writer); break;
    case SECOND_OVER_UNDERS: add_over_unders(writer); break;
    case SECOND_THRESHOLD:
        add_set(writer, some(writer, 2, 3), rounded(between(writer, 900.0, 1200.0), 300.0), 360.0,
                0.95, 1.01);
        break;
    case SECOND_SWEET_SPOT:
        add_set(writer, some(writer, 3, 4), rounded(between(writer, 600.0, 900.0), 60.0), 270.0,
                0.895, 0.925);
        break;
    case SECOND_ANAEROBIC: add_set(writer, some(writer, 6, 8), 60.0, 150.0, 1.28, 1.43); break;
    case SECOND_SPRINTS: add_set(writer, some(writer, 6, 8), 10.0, 240.0, 2.5, 3.5); break;
    case SECOND_BASE_HOUR: {
        const double at = between(writer, 0.67, 0.73);
        add(writer, between(writer, 3600.0, 3900.0), at, at);
        break;
    }
    case SECOND_EASY_RIDE: add_easy(writer); break;
    case SECOND_SESSIONS: break;
    }
}

static struct writer begin(struct arena *arena, const struct second_rider *rider, uint64_t seed)
{
    return (struct writer){ .random = second_random_begin(seed, SESSION),
                            .threshold_w = rider->threshold_w,
                            .blocks = ARENA_ARRAY(arena, struct second_block, BLOCKS_MOST) };
}

static struct second_plan end(const struct writer *writer, enum second_place place, uint64_t seed)
{
    return (struct second_plan){ .blocks = writer->blocks,
                                 .n_blocks = writer->n,
                                 .place = place,
                                 .device = second_device_draw(seed),
                                 .temperature_c = 19.0,
                                 .seed = seed };
}

struct second_plan second_plan_make(struct arena *arena, const struct second_rider *rider,
                                    enum second_session session, enum second_place place,
                                    uint64_t seed)
{
    struct writer writer = begin(arena, rider, seed);
    add(&writer, WARM_S, 0.45, 0.62);
    if (session < SECOND_EFFORTS) {
        add(&writer, 150.0, 0.5, 0.5);
    }
    add_session(&writer, session);
    add(&writer, COOL_S, 0.5, 0.42);
    return end(&writer, place, seed);
}

/* The rise that heat of one beat an hour at threshold gives from minute 6 to 60. */
static double rise_of_one(struct arena *arena, const struct second_rider *rider, double base_w,
                          double warm_w)
{
    enum { HOUR_S = 3600, SETTLE_S = 360, ALL_S = WARM_S + HOUR_S };
    struct second_rider one = *rider;
    one.heat_bpm_per_h = 1.0;
    double *power_w = ARENA_ARRAY(arena, double, ALL_S);
    double *heart = ARENA_ARRAY(arena, double, ALL_S);
    double *heat = ARENA_ARRAY(arena, double, ALL_S);
    for (size_t t = 0; t < ALL_S; t++) {
        power_w[t] = t < WARM_S ? warm_w : base_w;
    }
    second_heart_follow(&one, power_w, ALL_S, heart, heat);
    return heat[ALL_S - 1] - heat[WARM_S + SETTLE_S];
}

struct second_plan second_base_make(struct arena *arena, struct second_rider *rider,
                                    enum second_place place, double drift_bpm, double ease,
                                    uint64_t seed)
{
    struct writer writer = begin(arena, rider, seed);
    const double at = between(&writer, 0.67, 0.73);
    const double base_w = at * (0.5 + 0.5 * ease) * rider->threshold_w;
    add(&writer, WARM_S, 0.45, 0.6);
    add(&writer, 3600.0, at, at * ease);
    add(&writer, COOL_S, 0.45, 0.42);
    rider->heat_bpm_per_h =
        drift_bpm / rise_of_one(arena, rider, base_w, 0.525 * rider->threshold_w);
    return end(&writer, place, seed);
}
