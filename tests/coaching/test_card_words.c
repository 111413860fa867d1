/* A session's card in words: what it asks is what the session says, no heart rate is set where none
 * may be, and the answers that it asks for are those that coaching/reply understands.
 *
 * Watts: by hand from the share and the threshold.  Shares of heart rate's reserve: American
 * College of Sports Medicine, from memory. */
#include "check.h"

#include "coaching/reply.h"
#include "coaching/session_card.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"
#include "coaching/words/card_words.h"

#include <math.h>
#include <string.h>

static const struct heart_response response = { .end = RESPONSE_FITTED,
                                                .n_rides = 20,
                                                .threshold_w = 250.0,
                                                .tau_s = 55.0,
                                                .dead_s = 5.0,
                                                .node = 14,
                                                .gain_bpm_per_w = 0.35,
                                                .gain_low = 0.3,
                                                .gain_high = 0.4,
                                                .rest_bpm = 72.0,
                                                .drift_bpm_per_h = 8.0,
                                                .error_bpm = 3.0,
                                                .day_sd_bpm = 4.5 };

static struct rider_facts known(void)
{
    struct rider_facts facts = facts_unknown();
    facts.zones = zones_default();
    facts.threshold_w = 250.0;
    facts.max_heart_rate_bpm = 190.0;
    facts.rest_heart_rate_bpm = 50.0;
    facts.screened = SCREENED_ALL_NO;
    facts.age_y = 34.0;
    return facts;
}

/* w_prime: with critical power of 240 W and 15 kJ. */
static struct session_outlook *outlook_of(struct arena *arena, const struct session *session,
                                          const struct rider_facts *facts, bool with_response,
                                          bool w_prime)
{
    const struct limits limits = limits_default();
    const double none = (double)NAN;
    const struct expected_rider rider = {
        .response = with_response ? &response : NULL,
        .w = w_prime ? (struct w_rider){ 240, none, none, 15000, none, none }
                     : (struct w_rider){ none, none, none, none, none, none },
        .threshold_w = facts->threshold_w,
        .max_heart_bpm = facts->max_heart_rate_bpm,
        .zones = &facts->zones,
    };
    const struct outlook_ask ask = { session, &rider, facts, false };
    struct session_outlook *outlook = ARENA_ARRAY(arena, struct session_outlook, 1);
    *outlook = outlook_read(arena, &ask, &limits);
    return outlook;
}

static struct session_card card_of(struct arena *arena, const char *words, const char *kind,
                                   const struct rider_facts *facts, bool with_response,
                                   bool no_power)
{
    struct session *session = ARENA_ARRAY(arena, struct session, 1);
    struct session_fault fault = { 0 };
    const struct limits limits = limits_default();
    const bool read = session_read(arena, words, session, &fault);
    check_text(words, read ? "" : session_fault_words(arena, &fault), "");
    const struct card_asked asked = { .name = "Test",
                                      .kind = kind,
                                      .rider = "Ada Berg",
                                      .day = 20800,
                                      .session = session,
                                      .facts = facts,
                                      .outlook =
                                          outlook_of(arena, session, facts, with_response, false),
                                      .no_power = no_power };
    return session_card_make(arena, &asked, &limits);
}

/* Everything it says, a line each. */
static const char *all_of(struct arena *arena, const struct session_card *card)
{
    struct text out = text_begin(arena, 100000);
    text_add_format(&out, "%s\n%s\n", card->about, card->prepare == NULL ? "" : card->prepare);
    for (size_t i = 0; i < card->n_alarms; i++) {
        text_add_format(&out, "%s\n", card->alarms[i]);
    }
    for (size_t i = 0; i < card->n_parts; i++) {
        const struct card_part *part = &card->parts[i];
        text_add_format(&out, "%s. %s %s\n", part->lead, part->rest == NULL ? "" : part->rest,
                        part->heart == NULL ? "" : part->heart);
    }
    for (size_t i = 0; i < card->n_ways; i++) {
        text_add_format(&out, "%s\n", card->ways[i]);
    }
    for (size_t i = 0; i < card->n_plan_b; i++) {
        text_add_format(&out, "%s\n", card->plan_b[i]);
    }
    for (size_t i = 0; i < card->n_cautions; i++) {
        text_add_format(&out, "%s\n", card->cautions[i]);
    }
    return out.bytes;
}

static void has(const char *row, const char *all, const char *words)
{
    if (strstr(all, words) == NULL) {
        check_text(row, all, words);
    }
}

static void hasnt(const char *row, const char *all, const char *words)
{
    if (strstr(all, words) != NULL) {
        check_text(row, words, "not said");
    }
}

static const char *const vo2max =
    "warm up 15 min at 50-60 %\n4 times (4 min at 106-112 %, rest 4 min at 50 %)\nplan B with bad "
    "legs: 45 min at 50-60 %";

static void test_session_card__to_power_it_has_watts_zone_feel_and_expected_heart_rate(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct rider_facts facts = known();
    const struct session_card card = card_of(arena, vo2max, "vo2max", &facts, true, false);
    const char *all = all_of(arena, &card);
    has("watts", all, "4 min at 265\u2013280 W. 106\u2013112 %, zone 5. Effort 8\u20139, single");
    has("plan B", all, "Plan B with bad legs: 45 min at 125\u2013150 W.");
    has("late", all, "; reads low until about ");
    has("late", all, "don\u2019t chase it");
    has("stop", all, "Stop on chest pain, dizziness, faintness or unusual breathlessness");
    has("traffic", all, "away from traffic");
    has("hard", all, "hard: 16 min");
    check(card.outlook->expected.n == 15 * 60 + 4 * 8 * 60);
    check_integer("alarms", (int64_t)card.n_alarms, 0);
    arena_close(arena);
}

static void test_session_card__no_heart_rate_where_none_may_be_set(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    for (size_t i = 0; i < session_library_count + 1; i++) {
        const char *words = i < session_library_count
                                ? session_library[i].words
                                : "30 min at 130-145 bpm, 30 min at 65-75 % of maximal heart rate";
        for (int way = 0; way < 4; way++) {
            struct rider_facts facts = known();
            facts.heart_medicine = way % 2 == 0;
            facts.pregnant = way % 2 == 1;
            const struct session_card card = card_of(arena, words, "other", &facts, true, way >= 2);
            const char *all = all_of(arena, &card);
            check(card.outlook->expected.heart_bpm == NULL);
            hasnt(words, all, "beats");
            hasnt(words, all, "Heart rate");
            hasnt(words, all, "of maximal");
            hasnt(words, all, "edicine"); /* a card lies about */
            hasnt(words, all, "regnan");
            has(words, all, "sets no heart rate");
        }
    }
    arena_close(arena);
}

/* Reserve of 140 beats over 50: moderate, 40 to 60 %, is 106 to 134. */
static void test_session_card__without_power_it_leads_by_heart_rate_and_feel(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct rider_facts facts = known();
    facts.threshold_w = (double)NAN;
    const char *words = "60 min at 70 %, 3 times (4 min at 110 %, 4 min at 50 %)";
    struct session_card card = card_of(arena, words, "vo2max", &facts, false, false);
    const char *all = all_of(arena, &card);
    check(!card.by_power);
    hasnt("watts", all, " W.");
    has("range", all, "60 min. Effort 3\u20134, whole sentences. Heart rate 106\u2013134,");
    has("short", all, "4 min. Effort 8\u20139, single words. \n");
    has("says what it can't", all, "Heart rate comes late: short efforts go by feel.");
    facts.max_heart_rate_bpm = (double)NAN;
    card = card_of(arena, words, "base-test", &facts, false, false);
    all = all_of(arena, &card);
    has("feel", all, "no range of heart rate is known");
    has("no test", all, "not a base test");
    has("prepare", all, "a fan on you, 18\u201324");
    /* with a response of its own, ridden without a meter that day */
    facts = known();
    card = card_of(arena, words, "vo2max", &facts, true, true);
    all = all_of(arena, &card);
    hasnt("watts", all, " W.");
    has("own response", all, "usual days");
    arena_close(arena);
}

/* All-out parts have no watts: they are named, and the rest is told.  20 min at 70 % of 250 W, from
 * the response: 72 + 0.35 * 175 and 8 beats for each 250 Wh, 79 by its end: 136. */
static void test_session_card__heart_rate_is_told_but_for_all_out_parts(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct rider_facts facts = known();
    const char *words = "warm up 10 min at 50 %\n20 min at 70 %\n5 min all out\nrest 10 min at 50 "
                        "%\n3 times (4 min at 106 %, rest 3 min at 50 %)";
    struct session_card card = card_of(arena, words, "test", &facts, true, false);
    const char *all = all_of(arena, &card);
    has("steady", all,
        "20 min at 175 W. 70 %, zone 2. Effort 3\u20134, whole sentences. Heart rate "
        "about 136 ");
    has("effort", all, "single words. Heart rate at its end about ");
    has("which not", all, "Heart rate can\u2019t be foretold in \u201c5 min all out\u201d");
    hasnt("all of it", all, "What heart rate will do can\u2019t be told");
    card = card_of(arena, "5 min all out", "test", &facts, true, false);
    has("none", all_of(arena, &card), "What heart rate will do can\u2019t be told: no part");
    card = card_of(arena, "20 min at 70 %", "easy", &facts, false, false);
    has("no response", all_of(arena, &card), "How your heart answers power isn\u2019t known yet");
    arena_close(arena);
}

static void test_session_card__short_efforts_are_no_long_ones(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct rider_facts facts = known();
    const char *words =
        "3 times (30 s at 100 %, 90 s at 50 %)\n8 times (30 s at 110-120 %, 30 s at "
        "50 %)\nplan B: 3 times (30 s at effort 7, 2 min at 50 %)";
    struct session_card card = card_of(arena, words, "short-vo2max", &facts, true, true);
    const char *all = all_of(arena, &card);
    has("opener", all, "30 s. Effort 3\u20134. \n");
    has("no range", all, "its line above is what to expect, not what to reach");
    hasnt("no range", all, "no range of heart rate is known");
    has("block", all, "30 s. Effort 4\u20135, the last time 8\u20139, single words.");
    arena_close(arena);
}

/* 15 kJ above 240 W: 4 min at 300 W take 14.4 kJ each, so the second can't be whole. */
static void test_session_card__too_much_is_said_with_what_to_do(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider_facts facts = known();
    struct session session;
    struct session_fault fault = { 0 };
    check(session_read(arena, "2 times (4 min at 300 W, rest 1 min at 120 W)", &session, &fault));
    const struct card_asked asked = {
        .name = "Test",
        .kind = "vo2max",
        .rider = "Ada Berg",
        .session = &session,
        .facts = &facts,
        .outlook = outlook_of(arena, &session, &facts, true, true),
    };
    const struct session_card card = session_card_make(arena, &asked, &limits);
    has("which", all_of(arena, &card),
        "By the numbers on file it will likely be too much: effort 2. "
        "Where the range can\u2019t be held any more, end it there");
    arena_close(arena);
}

static void test_session_card__medical_advice_and_guardian_come_first(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct rider_facts facts = known();
    facts.screened = SCREENED_NOT;
    facts.age_y = 16.0;
    struct session_card card = card_of(arena, vo2max, "vo2max", &facts, false, false);
    check_integer("alarms", (int64_t)card.n_alarms, 2);
    has("advice", card.alarms[0], "Medical advice first");
    has("guardian", card.alarms[1], "guardian");
    card = card_of(arena, "45 min at 50 %", "easy", &facts, false, false);
    check_integer("easy", (int64_t)card.n_alarms, 1);
    arena_close(arena);
}

/* "1) 7 2) 4 ..." as the card asks for it: every answer of every scale is understood. */
static void test_session_card__its_five_questions_are_those_that_a_reply_answers(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct rider_facts facts = known();
    const struct session_card card = card_of(arena, vo2max, "vo2max", &facts, false, false);
    const char *example = strstr(card.ask, "1)");
    check(example != NULL);
    struct reply reply;
    const char *end = strstr(example, "\u201d");
    reply_read(arena, arena_format(arena, "%.*s", (int)(end - example), example), &reply);
    for (int q = 0; q < CARD_QUESTIONS; q++) {
        const struct answer_row *row = answer_row((enum answer)q);
        check(!isnan(reply.answers.value[q]));
        check(card.questions[q][0] == (char)('1' + q) && card.questions[q][1] == ')');
        has(row->name, card.questions[q], row->ends);
    }
    for (int value = 0; value <= 10; value++) {
        const int scale = value < 1 ? 1 : value > 5 ? 5 : value;
        reply_read(
            arena,
            arena_format(arena, "1) %d 2) %d 3) %d 4) %d 5) %d", value, scale, scale, scale, scale),
            &reply);
        check_near("effort", reply.answers.value[ANSWER_EFFORT], value, 1e-9);
        for (int q = 1; q < CARD_QUESTIONS; q++) {
            check_near("scale", reply.answers.value[q], scale, 1e-9);
        }
    }
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(
            test_session_card__to_power_it_has_watts_zone_feel_and_expected_heart_rate),
        cmocka_unit_test(test_session_card__no_heart_rate_where_none_may_be_set),
        cmocka_unit_test(test_session_card__without_power_it_leads_by_heart_rate_and_feel),
        cmocka_unit_test(test_session_card__heart_rate_is_told_but_for_all_out_parts),
        cmocka_unit_test(test_session_card__short_efforts_are_no_long_ones),
        cmocka_unit_test(test_session_card__too_much_is_said_with_what_to_do),
        cmocka_unit_test(test_session_card__medical_advice_and_guardian_come_first),
        cmocka_unit_test(test_session_card__its_five_questions_are_those_that_a_reply_answers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
