/* cli/example_words.c: a ride of the example, as the session in which its coach asked for it. */
#include "cli/example_words.h"

#include "coaching/session.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"

#include <math.h>

/* What a ride's blocks come to, in seconds. */
struct shape {
    double all_s;     /* without stops */
    double warm_up_s; /* the first block */
    double before_s;  /* from it to the first effort */
    double after_s;   /* from the last effort on */
    double rest_s;    /* the longest between efforts */
    double rep_s;     /* the first effort, what goes on counted */
    double part_s[2]; /* its first two blocks */
    double off_s;     /* after the first effort */
    int n_reps;
    int n_sets;  /* efforts with less than a minute between are one set */
    int n_parts; /* blocks of the first effort */
};

enum { SET_GAP_S = 60 };

static void add_effort(struct shape *shape, const struct simulated_block *block, double gap_s)
{
    if (shape->n_reps == 0) {
        shape->before_s = gap_s - shape->warm_up_s;
    } else if (!block->goes_on) {
        shape->rest_s = fmax(shape->rest_s, gap_s);
        shape->off_s = shape->n_reps == 1 ? gap_s : shape->off_s;
    }
    if (!block->goes_on) {
        shape->n_sets += shape->n_reps == 0 || gap_s > SET_GAP_S ? 1 : 0;
        shape->n_reps++;
    }
    if (shape->n_reps == 1) {
        shape->rep_s += block->duration_s;
        if (shape->n_parts < 2) {
            shape->part_s[shape->n_parts] = block->duration_s;
        }
        shape->n_parts++;
    }
}

static struct shape shape_of(const struct simulated_block blocks[], size_t n)
{
    struct shape shape = { 0 };
    double gap_s = 0.0; /* since the last effort */
    for (size_t i = 0; i < n; i++) {
        if (blocks[i].is_stop) {
            continue;
        }
        shape.warm_up_s = i == 0 ? blocks[i].duration_s : shape.warm_up_s;
        shape.all_s += blocks[i].duration_s;
        if (blocks[i].is_rep) {
            add_effort(&shape, &blocks[i], gap_s);
            gap_s = 0.0;
        } else {
            gap_s += blocks[i].duration_s;
        }
    }
    shape.after_s = gap_s;
    return shape;
}

/* To the nearest so many, one of them at least. */
static int32_t nearest(double seconds, int32_t to)
{
    const double times = floor(seconds / to + 0.5);
    return (int32_t)(to * (times < 1.0 ? 1.0 : times));
}

static const char *length(struct arena *arena, double seconds, int32_t to)
{
    struct text out = text_begin(arena, 40);
    session_write_length(&out, nearest(seconds, to));
    return out.bytes;
}

enum { MINUTE_S = 60, HALF_MINUTE_S = 30, FIVE_MIN_S = 300 };

/* Ranges as the plans draw them; a coach asks for them as they are. */
#define WARM_UP "warm up %s at 45-65 %%\n"
#define TIRED   "\nplan B with bad legs: 45 min at 50-60 %%"

static const char *warm_up(struct arena *arena, const struct shape *shape)
{
    return shape->before_s < HALF_MINUTE_S
               ? arena_format(arena, WARM_UP, length(arena, shape->warm_up_s, MINUTE_S))
               : arena_format(arena, "warm up %s at 45-65 %%, %s at 50 %%\n",
                              length(arena, shape->warm_up_s, MINUTE_S),
                              length(arena, shape->before_s, HALF_MINUTE_S));
}

/* What follows the last effort begins with its rest. */
static const char *cool_down(struct arena *arena, const struct shape *shape, double rest_s)
{
    const double left_s = shape->after_s - rest_s;
    return arena_format(arena, "\ncool down %s at 45 %%",
                        length(arena, left_s < 2.0 * MINUTE_S ? 2.0 * MINUTE_S : left_s, MINUTE_S));
}

/* A set of efforts alike. */
static const char *efforts(struct arena *arena, const struct shape *shape, const char *effort)
{
    return arena_format(arena, "%s%d times (%s, rest %s at 50 %%)%s" TIRED, warm_up(arena, shape),
                        shape->n_reps, effort, length(arena, shape->rest_s, HALF_MINUTE_S),
                        cool_down(arena, shape, shape->rest_s));
}

static const char *in_percent(struct arena *arena, const struct shape *shape, const char *range)
{
    return arena_format(arena, "%s at %s %%", length(arena, shape->rep_s, 1), range);
}

static void say_even(struct arena *arena, const struct shape *shape, const char *title,
                     const char *range, struct example_session *out)
{
    out->name =
        arena_format(arena, "%s, %d x %s", title, shape->n_reps, length(arena, shape->rep_s, 1));
    out->words = efforts(arena, shape, in_percent(arena, shape, range));
}

static void say_short(struct arena *arena, const struct shape *shape, struct example_session *out)
{
    /* Efforts lie in at least one set. */
    const int count = shape->n_reps / (shape->n_sets > 1 ? shape->n_sets : 1);
    const double rest_s = shape->n_sets > 1 ? shape->rest_s - shape->off_s : shape->after_s;
    const char *rep = length(arena, shape->rep_s, 1);
    out->name = arena_format(arena, "Short VO2max, %d x %d x %s", shape->n_sets, count, rep);
    out->words = arena_format(
        arena, "%s%d times (%d times (%s at 108-120 %%, %s at 50 %%), rest %s at 50 %%)%s" TIRED,
        warm_up(arena, shape), shape->n_sets, count, rep, length(arena, shape->off_s, 1),
        length(arena, rest_s, HALF_MINUTE_S), cool_down(arena, shape, rest_s));
}

static void say_over_unders(struct arena *arena, const struct shape *shape,
                            struct example_session *out)
{
    out->name =
        arena_format(arena, "Over-unders, %d x %s", shape->n_reps, length(arena, shape->rep_s, 1));
    out->words = efforts(arena, shape,
                         arena_format(arena, "%d times (%s at 91-95 %%, %s at 104-109 %%)",
                                      shape->n_parts / 2, length(arena, shape->part_s[0], 1),
                                      length(arena, shape->part_s[1], 1)));
}

static void say_sprints(struct arena *arena, const struct shape *shape, struct example_session *out)
{
    const char *rep = length(arena, shape->rep_s, 1);
    out->name = arena_format(arena, "Sprints, %d x %s", shape->n_reps, rep);
    out->words =
        efforts(arena, shape, arena_format(arena, "%s all out \"from a rolling start\"", rep));
}

static void say_base(struct arena *arena, const struct simulated_block blocks[], size_t n,
                     struct example_session *out)
{
    double hour_s = 0.0;
    for (size_t i = 1; i + 1 < n; i++) {
        hour_s += blocks[i].duration_s;
    }
    out->name = "Base test, an hour at 70 %";
    out->words = arena_format(
        arena,
        WARM_UP "%s at 68-73 %% with 80-95 rpm \"steady, no stops, no coasting\"\n"
                "cool down %s at 45 %%\nplan B over 26 C: 60 min at 50-60 %%\n"
                "note: fan, 18 to 24 C, a bottle, your usual coffee, no hard day before",
        length(arena, blocks[0].duration_s, MINUTE_S), length(arena, hour_s, MINUTE_S),
        length(arena, blocks[n - 1].duration_s, MINUTE_S));
}

static void say_test(struct arena *arena, const struct simulated_block blocks[], size_t n,
                     struct example_session *out)
{
    /* Warm-up, easy, hard, easy, then three blocks that are one effort, and the way home. */
    out->name = "Test, 20 min all-out";
    out->words = arena_format(
        arena,
        WARM_UP "%s at 55 %%\n%s at 110-117 %% \"hard, so that the 20 min say more\"\nrest %s "
                "at 50 %%\n%s all out \"the first five minutes easier than you want to\"\n"
                "cool down %s at 45 %%",
        length(arena, blocks[0].duration_s, MINUTE_S),
        length(arena, blocks[1].duration_s, MINUTE_S),
        length(arena, blocks[2].duration_s, MINUTE_S),
        length(arena, blocks[3].duration_s, MINUTE_S),
        length(arena, blocks[4].duration_s + blocks[5].duration_s + blocks[6].duration_s, MINUTE_S),
        length(arena, blocks[n - 1].duration_s, MINUTE_S));
}

static void say_efforts_test(struct arena *arena, const struct simulated_block blocks[], size_t n,
                             struct example_session *out)
{
    /* Warm-up, easy, then each effort in three blocks with half an hour behind it. */
    enum { FIRST = 2, A_ROUND = 4, EFFORTS = 3 };
    const char *lengths[EFFORTS];
    const char *rests[EFFORTS];
    for (size_t i = 0; i < EFFORTS; i++) {
        const struct simulated_block *one = &blocks[FIRST + A_ROUND * i];
        lengths[i] =
            length(arena, one[0].duration_s + one[1].duration_s + one[2].duration_s, MINUTE_S);
        rests[i] = length(arena, one[3].duration_s, MINUTE_S);
    }
    out->name =
        arena_format(arena, "Test, efforts of %s, %s and %s", lengths[0], lengths[1], lengths[2]);
    out->words = arena_format(arena,
                              WARM_UP "%s at 50 %%\n%s all out\nrest %s at 45 %%\n%s all out \"the "
                                      "first minutes easier than you want to\"\nrest %s at 45 "
                                      "%%\n%s all out\ncool down %s at 45 %%",
                              length(arena, blocks[0].duration_s, MINUTE_S),
                              length(arena, blocks[1].duration_s, MINUTE_S), lengths[0], rests[0],
                              lengths[1], rests[1], lengths[2],
                              length(arena, blocks[n - 1].duration_s, MINUTE_S));
}

/* Without a meter out there: by feel, and what that can't do. */
static void say_easy(struct arena *arena, const struct season_ride *ride, const struct shape *shape,
                     struct example_session *out)
{
    const bool is_long = ride->outing == SIMULATED_OUTING_LONG;
    const bool by_feel = ride->story->trainer_only && ride->outdoors;
    const char *how_long = length(arena, shape->all_s, FIVE_MIN_S);
    out->name = is_long ? "Long ride" : "Easy ride";
    out->words =
        by_feel ? arena_format(arena,
                               "%s at effort %s\nnote: no power out there: whole sentences should "
                               "be easy all the time",
                               how_long, is_long ? "3-4" : "2-3")
        : is_long
            ? arena_format(arena, "%s at 54-70 %%\nnote: climbs up to 88 %%, seated", how_long)
            : arena_format(arena, "%s at 50-66 %%", how_long);
}

static void say_session(struct arena *arena, enum simulated_session session,
                        const struct simulated_block blocks[], size_t n, const struct shape *shape,
                        struct example_session *out)
{
    switch (session) {
    case SIMULATED_BASE_HOUR:
    case SIMULATED_BASE_LET_DOWN: say_base(arena, blocks, n, out); return;
    case SIMULATED_SHORT_30_30:
    case SIMULATED_SHORT_40_20: say_short(arena, shape, out); return;
    case SIMULATED_OVER_UNDERS: say_over_unders(arena, shape, out); return;
    case SIMULATED_SPRINTS: say_sprints(arena, shape, out); return;
    case SIMULATED_THRESHOLD_2X20: say_even(arena, shape, "Threshold", "95-101", out); return;
    case SIMULATED_SWEET_SPOT_3X12: say_even(arena, shape, "Sweet spot", "89-93", out); return;
    case SIMULATED_ANAEROBIC_8X1: say_even(arena, shape, "Anaerobic", "126-145", out); return;
    case SIMULATED_VO2MAX_DONE:
    case SIMULATED_VO2MAX_TOO_HARD:
    case SIMULATED_VO2MAX_FADED:
    case SIMULATED_LONG_RIDE:
    case SIMULATED_CAFE_STOP:
    case SIMULATED_SESSION_COUNT: break;
    }
    say_even(arena, shape, "VO2max", "108-118", out);
}

/* Kind and library name of what a session is; of an outing without one, of easy rides. */
static const struct {
    const char *kind;
    const char *library;
} kinds[SIMULATED_SESSION_COUNT + 1] = {
    [SIMULATED_BASE_HOUR] = { "base-test", "base-test" },
    [SIMULATED_BASE_LET_DOWN] = { "base-test", "base-test" },
    [SIMULATED_VO2MAX_DONE] = { "vo2max", "vo2max" },
    [SIMULATED_VO2MAX_TOO_HARD] = { "vo2max", "vo2max" },
    [SIMULATED_VO2MAX_FADED] = { "vo2max", "vo2max" },
    [SIMULATED_SHORT_30_30] = { "short-vo2max", "short-vo2max" },
    [SIMULATED_SHORT_40_20] = { "short-vo2max", "short-vo2max" },
    [SIMULATED_OVER_UNDERS] = { "over-unders", "over-unders" },
    [SIMULATED_THRESHOLD_2X20] = { "threshold", "threshold" },
    [SIMULATED_SPRINTS] = { "sprint", NULL },
    [SIMULATED_LONG_RIDE] = { "easy", NULL },
    [SIMULATED_CAFE_STOP] = { "easy", NULL },
    [SIMULATED_SWEET_SPOT_3X12] = { "sweet-spot", "sweet-spot" },
    [SIMULATED_ANAEROBIC_8X1] = { "anaerobic", "anaerobic" },
    [SIMULATED_SESSION_COUNT] = { "easy", NULL },
};

static const char *meant_for(const char *library)
{
    const struct library_session *named = library == NULL ? NULL : session_library_find(library);
    return named == NULL ? NULL : named->meant_for;
}

bool example_words(struct arena *arena, const struct season_ride *ride, struct example_session *out)
{
    size_t n = 0;
    if (ride->outing == SIMULATED_OUTING_RUN || ride->outing == SIMULATED_OUTING_NONE) {
        return false;
    }
    const struct simulated_block *blocks = season_blocks(arena, ride, &n);
    const struct shape shape = shape_of(blocks, n);
    const enum simulated_session session =
        simulated_outing_session(&ride->story->habits, ride->outing, ride->seed);
    const bool is_twenty = ride->outing == SIMULATED_OUTING_TEST;
    const bool is_efforts = ride->outing == SIMULATED_OUTING_EFFORTS;
    *out = (struct example_session){
        .kind = is_twenty || is_efforts ? "test" : kinds[session].kind,
        .meant_for = meant_for(is_twenty    ? "test-20-min"
                               : is_efforts ? "test-efforts"
                                            : kinds[session].library),
    };
    if (is_twenty) {
        say_test(arena, blocks, n, out);
    } else if (is_efforts) {
        say_efforts_test(arena, blocks, n, out);
    } else if (session == SIMULATED_SESSION_COUNT) {
        say_easy(arena, ride, &shape, out);
    } else {
        say_session(arena, session, blocks, n, &shape, out);
    }
    return true;
}

void example_words_easy(struct arena *arena, struct example_session *out)
{
    const struct library_session *easy = session_library_find("easy");
    *out = (struct example_session){ arena_string(arena, easy->title), easy->kind, easy->words,
                                     easy->meant_for };
}
