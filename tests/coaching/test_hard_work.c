/* Hard work: what was ridden, and the verdict it must give, in the written order.
 *
 * The order and its lines are common practice as the design of this project writes them down, no
 * source; each row is a situation with its near misses. */
#include "check.h"

#include "coaching/hard_work.h"
#include "coaching/words/words.h"
#include "physiology/made_ride.h"

#include <math.h>
#include <string.h>

/* A rep as three thirds in % of a threshold of 250 W; 0 s = the list is at its end. */
struct third_rep {
    int seconds;
    double pct[3];
    bool stop; /* a standstill follows */
    bool lost; /* a quarter of its power is missing */
};

struct situation {
    const char *name;
    double low_pct; /* 0 = no range asked */
    double high_pct;
    enum work_kind kind;
    int reps_asked;
    double duration_s; /* 0 = not asked */
    struct third_rep reps[8];
    const char *ride;
    const char *verdicts; /* of the reps, in order */
};

#define EVEN(s, p)                                                                                 \
    {                                                                                              \
        .seconds = (s), .pct = {(p), (p), (p) }                                                    \
    }
#define SHAPE(s, a, b, c)                                                                          \
    {                                                                                              \
        .seconds = (s), .pct = {(a), (b), (c) }                                                    \
    }

static const struct situation situations[] = {
    { "in the range",
      106,
      120,
      0,
      4,
      240,
      { EVEN(240, 113), EVEN(240, 112), EVEN(240, 113), EVEN(240, 111) },
      "done",
      "done, done, done, done" },
    { "the range's edge is in",
      106,
      120,
      0,
      0,
      0,
      { EVEN(240, 107), EVEN(240, 107), EVEN(240, 107) },
      "done",
      "done, done, done" },
    { "2 % under the edge: on the line",
      106,
      120,
      0,
      0,
      0,
      { EVEN(240, 105), EVEN(240, 105), EVEN(240, 105) },
      "on the line",
      "on the line, on the line, on the line" },
    { "more than 2 % under: below",
      106,
      120,
      0,
      0,
      0,
      { EVEN(240, 102), EVEN(240, 102), EVEN(240, 102) },
      "below",
      "below, below, below" },
    { "2 % over the edge: on the line",
      106,
      120,
      0,
      0,
      0,
      { EVEN(240, 121), EVEN(240, 121) },
      "on the line",
      "on the line, on the line" },
    { "more than 2 % over: above",
      106,
      120,
      0,
      0,
      0,
      { EVEN(240, 126), EVEN(240, 126) },
      "above",
      "above, above" },
    { "first third above, last below: started too hard",
      106,
      120,
      0,
      0,
      0,
      { SHAPE(240, 134, 112, 95), SHAPE(240, 133, 111, 95), SHAPE(240, 132, 110, 94) },
      "started too hard",
      "started too hard, started too hard, started too hard" },
    { "first third above, last in: done with a fast start",
      106,
      120,
      0,
      0,
      0,
      { SHAPE(240, 126, 113, 109), SHAPE(240, 127, 113, 109) },
      "done fast start",
      "done fast start, done fast start" },
    { "first third above, last in, but a later rep below: started too hard",
      106,
      120,
      0,
      0,
      0,
      { SHAPE(240, 126, 113, 109), EVEN(240, 112), EVEN(240, 100) },
      "started too hard",
      "started too hard, done, below" },
    { "first third above, last in, and a later rep missing: started too hard",
      106,
      120,
      0,
      3,
      240,
      { SHAPE(240, 126, 113, 109), SHAPE(240, 126, 113, 109) },
      "started too hard",
      "started too hard, started too hard" },
    { "first third above, last in, and a later rep cut short: started too hard",
      106,
      120,
      0,
      3,
      240,
      { SHAPE(240, 126, 113, 109), SHAPE(240, 126, 113, 109), EVEN(150, 112) },
      "started too hard",
      "started too hard, started too hard, cut short" },
    { "an earlier rep below doesn't make a later one started too hard",
      106,
      120,
      0,
      0,
      0,
      { EVEN(240, 100), EVEN(240, 112), SHAPE(240, 126, 113, 109) },
      "below",
      "below, done, done fast start" },
    { "first third in, last below: faded",
      106,
      120,
      0,
      0,
      0,
      { SHAPE(240, 117, 110, 97), SHAPE(240, 117, 110, 97) },
      "faded",
      "faded, faded" },
    { "faded in the last of four",
      106,
      120,
      0,
      4,
      240,
      { EVEN(240, 113), EVEN(240, 113), EVEN(240, 113), SHAPE(240, 117, 110, 97) },
      "faded",
      "done, done, done, faded" },
    { "first third below, last in: mean decides",
      106,
      120,
      0,
      0,
      0,
      { SHAPE(240, 100, 114, 118), SHAPE(240, 100, 114, 118) },
      "done",
      "done, done" },
    { "all thirds falling below: below",
      106,
      120,
      0,
      0,
      0,
      { SHAPE(240, 101, 99, 96), SHAPE(240, 101, 99, 96) },
      "below",
      "below, below" },
    { "the first third 1 % over the edge starts nothing too hard",
      106,
      120,
      0,
      0,
      0,
      { SHAPE(240, 121, 112, 108), SHAPE(240, 121, 112, 108) },
      "done",
      "done, done" },
    { "the last third 1 % under the edge is on the line",
      106,
      120,
      0,
      0,
      0,
      { SHAPE(240, 118, 112, 105), SHAPE(240, 118, 112, 105) },
      "on the line",
      "on the line, on the line" },
    { "cut short under 85 % of the time",
      106,
      120,
      0,
      3,
      240,
      { EVEN(240, 113), EVEN(240, 113), EVEN(190, 113) },
      "cut short",
      "done, done, cut short" },
    { "not cut short at 90 %",
      106,
      120,
      0,
      3,
      240,
      { EVEN(240, 113), EVEN(240, 113), EVEN(217, 113) },
      "done",
      "done, done, done" },
    { "cut short by the others' time",
      106,
      120,
      0,
      0,
      0,
      { EVEN(240, 113), EVEN(240, 113), EVEN(240, 113), EVEN(150, 113) },
      "cut short",
      "done, done, done, cut short" },
    { "cut short comes before below",
      106,
      120,
      0,
      3,
      240,
      { EVEN(240, 113), EVEN(240, 113), EVEN(180, 100) },
      "cut short",
      "done, done, cut short" },
    { "ended by a standstill",
      106,
      120,
      0,
      3,
      240,
      { EVEN(240, 113),
        EVEN(240, 113),
        { .seconds = 170, .pct = { 113, 113, 113 }, .stop = true } },
      "stopped",
      "done, done, stopped" },
    { "a standstill after the whole time ended nothing",
      106,
      120,
      0,
      2,
      240,
      { EVEN(240, 113), { .seconds = 240, .pct = { 113, 113, 113 }, .stop = true } },
      "done",
      "done, done" },
    { "stopped comes before started too hard",
      106,
      120,
      0,
      2,
      240,
      { EVEN(240, 113), { .seconds = 180, .pct = { 134, 112, 95 }, .stop = true } },
      "stopped",
      "done, stopped" },
    { "reps that are missing",
      106,
      120,
      0,
      5,
      240,
      { EVEN(240, 113), EVEN(240, 113), EVEN(240, 113) },
      "cut short",
      "done, done, done" },
    { "three of four done",
      106,
      120,
      0,
      4,
      240,
      { EVEN(240, 113), EVEN(240, 113), EVEN(240, 113), EVEN(240, 102) },
      "done",
      "done, done, done, below" },
    { "two of four done",
      106,
      120,
      0,
      4,
      240,
      { EVEN(240, 113), EVEN(240, 113), EVEN(240, 102), EVEN(240, 102) },
      "below",
      "done, done, below, below" },
    { "power missing in a rep",
      106,
      120,
      0,
      2,
      240,
      { EVEN(240, 113), { .seconds = 240, .pct = { 113, 113, 113 }, .lost = true } },
      "cannot tell",
      "done, cannot tell" },
    { "threshold work by its kind",
      0,
      0,
      KIND_THRESHOLD,
      2,
      900,
      { EVEN(900, 98), EVEN(900, 97) },
      "done",
      "done, done" },
    { "sweet spot ridden as threshold work: above",
      0,
      0,
      KIND_SWEET_SPOT,
      2,
      900,
      { EVEN(900, 100), EVEN(900, 100) },
      "above",
      "above, above" },
    { "sprints have no upper edge",
      0,
      0,
      KIND_SPRINT,
      4,
      10,
      { EVEN(10, 300), EVEN(10, 320), EVEN(10, 310), EVEN(10, 290) },
      "done",
      "done, done, done, done" },
    { "nothing asked: even VO2max work",
      0,
      0,
      0,
      0,
      0,
      { EVEN(240, 113), EVEN(240, 113), EVEN(240, 113) },
      "done",
      "done, done, done" },
    { "nothing asked: only the shape is judged",
      0,
      0,
      0,
      0,
      0,
      { SHAPE(240, 134, 112, 95), SHAPE(240, 134, 112, 95) },
      "started too hard",
      "started too hard, started too hard" },
    { "nothing asked, cut short isn't said",
      0,
      0,
      0,
      0,
      0,
      { EVEN(240, 113), EVEN(240, 113), EVEN(240, 113), EVEN(160, 113) },
      "done",
      "done, done, done, done" },
    { "nothing asked, near no kind: described",
      0,
      0,
      0,
      0,
      0,
      { EVEN(1500, 135), EVEN(1500, 135) },
      "described",
      "described, described" },
    { "a number and a time asked without a range",
      0,
      0,
      0,
      3,
      240,
      { EVEN(240, 113), EVEN(240, 113), EVEN(150, 113) },
      "cut short",
      "done, done, cut short" },
};

static struct recording *ride_of(struct arena *arena, const struct third_rep reps[], size_t n)
{
    struct piece pieces[80] = { { .seconds = 600, .watts = 130 } };
    size_t k = 1;
    int at = 600;
    int lost[8][2] = { { 0 } };
    for (size_t i = 0; i < n && reps[i].seconds > 0; i++) {
        for (int third = 0; third < 3; third++) {
            const int from = reps[i].seconds * third / 3;
            const int to = reps[i].seconds * (third + 1) / 3;
            pieces[k++] = (struct piece){ .seconds = to - from, .watts = 2.5 * reps[i].pct[third] };
        }
        lost[i][0] = at + reps[i].seconds / 3;
        lost[i][1] = at + reps[i].seconds / 3 + (reps[i].lost ? reps[i].seconds / 4 : 0);
        if (reps[i].stop) {
            pieces[k++] = (struct piece){ .seconds = 60, .stands = true };
        }
        pieces[k++] = (struct piece){ .seconds = 240, .watts = 110 };
        at += reps[i].seconds + 240 + (reps[i].stop ? 60 : 0);
    }
    struct recording *ride = made_ride(arena, pieces, COUNT(pieces), 6.0);
    for (size_t i = 0; i < 8; i++) {
        by_hand_fill(arena, ride, CHANNEL_POWER, (size_t)lost[i][0], (size_t)lost[i][1],
                     (double)NAN);
    }
    return ride;
}

static struct rider_facts facts_of(const struct situation *s)
{
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 250;
    facts.threshold_known_by = "given";
    facts.kind = s->kind;
    if (s->low_pct > 0) {
        facts.target.low_pct = s->low_pct;
        facts.target.high_pct = s->high_pct;
    }
    facts.reps_asked = s->reps_asked;
    facts.rep_duration_s = s->duration_s > 0 ? s->duration_s : (double)NAN;
    return facts;
}

static struct ride_readings read(struct arena *arena, const struct recording *ride,
                                 const struct rider_facts *facts)
{
    const struct limits limits = limits_default();
    struct ride_readings out = { 0 };
    out.reps = reps_find(arena, ride, facts, &limits);
    hard_work_read(arena, ride, facts, &limits, &out);
    return out;
}

static char *verdicts_of(struct arena *arena, const struct ride_readings *out)
{
    const char *names[64];
    for (size_t i = 0; i < out->reps.count && i < 64; i++) {
        names[i] = verdict_name(out->rep_verdicts[i]);
    }
    return words_list(arena, names, out->reps.count, ", ");
}

static void test_hard_work__each_situation_gets_its_verdict(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(situations); i++) {
        struct arena *arena = arena_open();
        const struct situation *s = &situations[i];
        const struct rider_facts facts = facts_of(s);
        const struct ride_readings out = read(arena, ride_of(arena, s->reps, 8), &facts);
        check_text(s->name, verdicts_of(arena, &out), s->verdicts);
        check(out.count > 0);
        check_text(s->name, verdict_name(out.items[0].verdict), s->ride);
        /* one for the ride, one a set, one a rep; every one with its words */
        check_integer(s->name, (int64_t)out.count, 1 + out.reps.n_sets + (int64_t)out.reps.count);
        for (size_t k = 0; k < out.count; k++) {
            check(out.items[k].text != NULL && strchr(out.items[k].text, '\n') == NULL);
            check_text(s->name, out.items[k].basis.method, "hard/5");
            for (size_t c = 0; c < out.items[k].because.count; c++) {
                check(out.items[k].because.items[c].text != NULL);
            }
        }
        arena_close(arena);
    }
}

/* The efforts of situation "nothing asked: only the shape is judged", started too hard: a rider who
 * tests herself isn't told so.  Asked for something, she is held to that. */
static void test_hard_work__a_marked_ride_is_told_and_not_judged(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct third_rep reps[8] = { SHAPE(240, 134, 112, 95), SHAPE(240, 134, 112, 95) };
    const struct situation asked = { .low_pct = 106, .high_pct = 112 };
    const struct situation nothing = { .low_pct = 0 };
    struct rider_facts facts = facts_of(&nothing);
    facts.marked = true;
    struct ride_readings out = read(arena, ride_of(arena, reps, 8), &facts);
    check_text("marked", verdicts_of(arena, &out), "described, described");
    check_text("in words", out.items[0].text,
               "2 efforts of about 4 min at 114 % on average. It was marked a test or a race, so "
               "its efforts aren't judged as interval work.");
    facts = facts_of(&asked);
    facts.marked = true;
    out = read(arena, ride_of(arena, reps, 8), &facts);
    check_text("asked", verdicts_of(arena, &out), "started too hard, started too hard");
    arena_close(arena);
}

static const struct cause *cause_of(const struct causes *causes, const char *code)
{
    for (size_t i = 0; i < causes->count; i++) {
        if (strcmp(causes->items[i].code, code) == 0) {
            return &causes->items[i];
        }
    }
    return NULL;
}

static double number(const struct cause *cause, const char *name)
{
    for (size_t i = 0; cause != NULL && i < cause->n_numbers; i++) {
        if (strcmp(cause->numbers[i].name, name) == 0) {
            return cause->numbers[i].value;
        }
    }
    return (double)NAN;
}

static void test_hard_work__without_a_threshold_a_share_of_it_cannot_be_judged(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct third_rep reps[8] = { EVEN(240, 113), EVEN(240, 113) };
    struct recording *ride = ride_of(arena, reps, 8);
    struct rider_facts facts = facts_unknown();
    facts.target.low_pct = 106;
    facts.target.high_pct = 120;
    struct ride_readings out = read(arena, ride, &facts);
    check_integer("one reading", (int64_t)out.count, 1);
    check_text("verdict", verdict_name(out.items[0].verdict), "cannot tell");
    check(cause_of(&out.items[0].cannot_because, "no-threshold") != NULL);
    check(cause_of(&out.items[0].settle_by, "give-threshold") != NULL);
    /* in watts it can: 282 W lies in 265-300 */
    facts = facts_unknown();
    facts.target.low_w = 265;
    facts.target.high_w = 300;
    out = read(arena, ride, &facts);
    check_text("watts", verdict_name(out.items[0].verdict), "done");
    check_text("unit", out.items[0].unit, "W");
    check_text("intent", out.items[0].basis.intent, "asked: 265-300 W");
    check_near("estimate", out.items[0].estimate, 282.5, 1);
    check(isnan(out.items[0].basis.threshold_w));
    check(cause_of(&out.items[0].because, "range-known-to") == NULL);
    arena_close(arena);
}

static void test_hard_work__what_was_not_asked_and_not_ridden_is_not_mentioned(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    static const struct piece even[] = { { .seconds = 3000, .watts = 150 } };
    struct recording *ride = made_ride(arena, even, 1, 5.0);
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 250;
    check_integer("nothing asked", (int64_t)read(arena, ride, &facts).count, 0);
    facts.kind = KIND_EASY;
    check_integer("easy asked", (int64_t)read(arena, ride, &facts).count, 0);
    facts.kind = KIND_VO2MAX;
    struct ride_readings out = read(arena, ride, &facts);
    check_integer("hard asked", (int64_t)out.count, 1);
    check_text("verdict", verdict_name(out.items[0].verdict), "below");
    check(cause_of(&out.items[0].because, "none-found") != NULL);
    /* no power at all */
    struct recording *bare = by_hand(arena, 600);
    out = read(arena, bare, &facts);
    check_text("no power", verdict_name(out.items[0].verdict), "cannot tell");
    check(cause_of(&out.items[0].cannot_because, "no-power") != NULL);
    facts.kind = KIND_UNKNOWN;
    check_integer("no power, nothing asked", (int64_t)read(arena, bare, &facts).count, 0);
    arena_close(arena);
}

static void test_hard_work__a_held_trainer_takes_the_pacing_words_away(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct third_rep reps[8] = { SHAPE(240, 126, 113, 109), SHAPE(240, 126, 113, 109) };
    struct recording *ride = ride_of(arena, reps, 8);
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 250;
    facts.kind = KIND_VO2MAX;
    struct ride_readings out = read(arena, ride, &facts);
    check_text("free", verdicts_of(arena, &out), "done fast start, done fast start");
    for (size_t t = 760; t < 840; t++) {
        by_hand_set(arena, ride, CHANNEL_CADENCE, t, 75); /* the last third of rep 1: 13 fewer */
    }
    /* the same thirds, as a trainer holds them one after the other */
    for (size_t t = 0; t < 240; t++) {
        const double watts = 2.5 * reps[0].pct[t / 80];
        by_hand_set(arena, ride, CHANNEL_POWER, 600 + t, watts);
        by_hand_set(arena, ride, CHANNEL_POWER, 1080 + t, watts);
    }
    recording_add_finding(arena, ride, "trainer-held", CHANNEL_POWER, EFFECT_NOTED);
    out = read(arena, ride, &facts);
    check_text("held", verdicts_of(arena, &out), "done, done");
    check_near("said", number(cause_of(&out.items[0].because, "trainer-held"), "reps"), 2, 0);
    check_near("tiring", number(cause_of(&out.items[0].because, "cadence-fell"), "reps"), 1, 0);
    /* A trainer holds a target, it doesn't let it sink: power that falls all along is the rider's,
     * whatever was held in the rest of the ride. */
    for (size_t t = 600; t < 840; t++) {
        by_hand_set(arena, ride, CHANNEL_POWER, t, 296.0 - 0.25 * (double)(t - 600));
    }
    out = read(arena, ride, &facts);
    check_text("held but for rep 1", verdicts_of(arena, &out), "faded, done");
    check_near("said of the other", number(cause_of(&out.items[0].because, "trainer-held"), "reps"),
               1, 0);
    arena_close(arena);
}

/* Heart rate by hand: first order, 40 s, towards 178 in the reps and 110 between; 90 % of 190 is
 * 171. */
static void add_heart(struct arena *arena, struct recording *ride, const struct reps *reps)
{
    double bpm = 110;
    for (size_t t = 0; t < ride->n_seconds; t++) {
        bool work = false;
        for (size_t i = 0; i < reps->count; i++) {
            work = work || ((int32_t)t >= reps->items[i].span.from_s &&
                            (int32_t)t < reps->items[i].span.to_s);
        }
        bpm += ((work ? 178.0 : 110.0) - bpm) / 40.0;
        by_hand_set(arena, ride, CHANNEL_HEART_RATE, t, bpm);
    }
}

static void test_hard_work__heart_rate_alone_is_heard_beside_it(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    /* let down after a third, when heart rate is 178 - 68 e^(-80/40) = 169: within 3 of 171 */
    const struct third_rep reps[8] = { SHAPE(240, 134, 100, 98), SHAPE(240, 134, 100, 98),
                                       SHAPE(240, 134, 100, 98) };
    struct recording *ride = ride_of(arena, reps, 8);
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 250;
    facts.max_heart_rate_bpm = 190;
    facts.kind = KIND_VO2MAX;
    struct ride_readings out = read(arena, ride, &facts);
    check_text("verdict", verdict_name(out.items[0].verdict), "started too hard");
    check(cause_of(&out.items[0].because, "heart-absent") != NULL);
    add_heart(arena, ride, &out.reps);
    out = read(arena, ride, &facts);
    check_text("by power", verdict_name(out.items[0].verdict), "started too hard");
    const struct cause *alone = cause_of(&out.items[0].because, "heart-alone-done");
    /* 68 e^(-t/40) < 7 after 91 s: 149 s of each rep */
    check_near("near maximal", number(alone, "at_90_s"), 3 * 149, 15);
    check_near("reps", number(alone, "reps_done"), 3, 0);
    check_near("late", number(cause_of(&out.items[0].because, "heart-late"), "lag_s"), 40, 3);
    check_near("paced", number(cause_of(&out.items[0].because, "paced-by-heart"), "reps_paced"), 3,
               0);
    facts.max_heart_rate_bpm = (double)NAN;
    out = read(arena, ride, &facts);
    check(cause_of(&out.items[0].because, "heart-no-max") != NULL);
    check(cause_of(&out.items[0].because, "heart-alone-done") == NULL);
    facts.max_heart_rate_bpm = 190;
    facts.heart_medicine = true;
    out = read(arena, ride, &facts);
    check(cause_of(&out.items[0].because, "heart-medicine") != NULL);
    check(cause_of(&out.items[0].because, "heart-alone-done") == NULL);
    check(isnan(out.reps.items[0].heart_at_90_s));
    facts.heart_medicine = false;
    facts.kind = KIND_ANAEROBIC;
    out = read(arena, ride, &facts);
    check(cause_of(&out.items[0].because, "heart-alone-done") == NULL);
    facts.kind = KIND_THRESHOLD;
    out = read(arena, ride, &facts);
    check(cause_of(&out.items[0].because, "heart-alone-done") == NULL);
    arena_close(arena);
}

static void test_hard_work__even_reps_are_not_called_paced_by_heart_rate(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct third_rep reps[8] = { EVEN(240, 113), EVEN(240, 113), EVEN(240, 113) };
    struct recording *ride = ride_of(arena, reps, 8);
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 250;
    facts.max_heart_rate_bpm = 190;
    facts.kind = KIND_VO2MAX;
    struct ride_readings out = read(arena, ride, &facts);
    add_heart(arena, ride, &out.reps);
    out = read(arena, ride, &facts);
    check(cause_of(&out.items[0].because, "heart-alone-done") != NULL);
    check(cause_of(&out.items[0].because, "paced-by-heart") == NULL);
    arena_close(arena);
}

static void test_hard_work__the_range_is_as_good_as_its_threshold(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct third_rep reps[8] = { EVEN(240, 113), EVEN(240, 113) };
    struct recording *ride = ride_of(arena, reps, 8);
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 250;
    facts.kind = KIND_VO2MAX;
    struct ride_readings out = read(arena, ride, &facts);
    check_near("unknown", number(cause_of(&out.items[0].because, "range-known-to"), "pct"), 9, 0);
    for (size_t i = 1; i < out.count; i++) {
        check(cause_of(&out.items[i].because, "range-known-to") == NULL); /* once a session */
    }
    facts.threshold_low_w = 240;
    facts.threshold_high_w = 260;
    out = read(arena, ride, &facts);
    check_near("10 of 250 W", number(cause_of(&out.items[0].because, "range-known-to"), "pct"), 4,
               1e-9);
    arena_close(arena);
}

static void test_hard_work__blocks_are_judged_on_their_on_parts(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double on_w;
        const char *want;
    } rows[] = { { "in", 285, "done, done" }, { "below", 250, "below, below" } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct piece pieces[80] = { { .seconds = 600, .watts = 130 } };
        size_t k = 1;
        for (int block = 0; block < 2; block++) {
            for (int n = 0; n < 10; n++) {
                pieces[k++] = (struct piece){ .seconds = 30, .watts = rows[i].on_w };
                pieces[k++] = (struct piece){ .seconds = n < 9 ? 30 : 300, .watts = 120 };
            }
        }
        struct recording *ride = made_ride(arena, pieces, COUNT(pieces), 6.0);
        struct rider_facts facts = facts_unknown();
        facts.threshold_w = 250;
        facts.kind = KIND_SHORT_VO2MAX;
        const struct ride_readings out = read(arena, ride, &facts);
        check_text(rows[i].name, verdicts_of(arena, &out), rows[i].want);
        check_integer(rows[i].name, out.reps.items[0].n_efforts, 10);
        const struct rep *rep = &out.reps.items[0];
        check_near(rows[i].name, rep->below_s + rep->in_s + rep->above_s, 300, 5);
        arena_close(arena);
    }
}

/* ---- words: kept as they are until somebody means to change them ---- */

static void test_hard_work__says_it_in_plain_words(void **state)
{
    (void)state;
    static const struct {
        const char *name; /* of the situation */
        const char *words;
    } rows[] = {
        { "in the range", "Done: 4 of 4 reps. 16 min asked: 16 min in." },
        { "first third above, last below: started too hard",
          "Started too hard in reps 1 to 3: 133 % in the first third, 95 % in the last. 12 min of "
          "work: 4 min 4 s below, 3 min 52 s in, 4 min 4 s above." },
        { "faded in the last of four", "Faded in rep 4: 117 % in the first third, 97 % in the "
                                       "last. 16 min asked: 1 min 21 s below, 15 min in." },
        { "cut short under 85 % of the time",
          "Cut short: 2 of 3 reps done. 12 min asked: 11 min in." },
        { "reps that are missing",
          "Cut short: 3 of 5 reps done; 2 were not found. 20 min asked: 12 min in." },
        { "nothing asked: only the shape is judged",
          "If these were meant as VO2max work: started too hard in reps 1 and 2: 134 % in the "
          "first third, 95 % in the last. 8 min of work: 2 min 42 s below, 2 min 34 s in, 2 min 44 "
          "s above." },
        { "nothing asked, near no kind: described",
          "2 efforts of about 25 min at 135 % on average. Nothing was asked that it could be "
          "judged by." },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct situation *s = NULL;
        for (size_t k = 0; k < COUNT(situations); k++) {
            s = strcmp(situations[k].name, rows[i].name) == 0 ? &situations[k] : s;
        }
        check(s != NULL);
        const struct rider_facts facts = facts_of(s);
        const struct ride_readings out = read(arena, ride_of(arena, s->reps, 8), &facts);
        check_text(rows[i].name, out.items[0].text, rows[i].words);
        arena_close(arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_hard_work__each_situation_gets_its_verdict),
        cmocka_unit_test(test_hard_work__a_marked_ride_is_told_and_not_judged),
        cmocka_unit_test(test_hard_work__without_a_threshold_a_share_of_it_cannot_be_judged),
        cmocka_unit_test(test_hard_work__what_was_not_asked_and_not_ridden_is_not_mentioned),
        cmocka_unit_test(test_hard_work__a_held_trainer_takes_the_pacing_words_away),
        cmocka_unit_test(test_hard_work__heart_rate_alone_is_heard_beside_it),
        cmocka_unit_test(test_hard_work__even_reps_are_not_called_paced_by_heart_rate),
        cmocka_unit_test(test_hard_work__the_range_is_as_good_as_its_threshold),
        cmocka_unit_test(test_hard_work__blocks_are_judged_on_their_on_parts),
        cmocka_unit_test(test_hard_work__says_it_in_plain_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
