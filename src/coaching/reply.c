/* coaching/reply.c: what a rider wrote back, read into answers. */
#include "coaching/reply.h"

#include "coaching/reply_parts.h"

#include <math.h>
#include <string.h>

/* In the order in which they are told. */
static const struct {
    struct found (*find)(const struct clause *clause);
    enum answer answer;
    bool of_body; /* somebody else's may be meant */
} detectors[] = {
    { reply_effort, ANSWER_EFFORT, false },
    { reply_legs, ANSWER_LEGS, true },
    { reply_sleep_hours, ANSWER_SLEEP_H, true },
    { reply_sleep, ANSWER_SLEEP, true },
    { reply_stress, ANSWER_STRESS, true },
    { reply_soreness, ANSWER_SORENESS, true },
    { reply_fan, ANSWER_FAN, false },
    { reply_hot, ANSWER_HOT, false },
    { reply_temperature, ANSWER_TEMPERATURE, false },
    { reply_dehydrated, ANSWER_DEHYDRATED, true },
    { reply_drink, ANSWER_DRINK, false },
    { reply_caffeine, ANSWER_CAFFEINE, false },
    { reply_ill, ANSWER_ILL, true },
    { reply_hard_before, ANSWER_HARD_BEFORE, false },
};

/* ---- what makes a plain reading doubtful ---- */

/* Another day is meant: "sick last week".  "Heavy from yesterday" is about today. */
static bool is_another_day(const struct clause *clause)
{
    static const char days[] =
        "yesterday tomorrow ago usually often sometimes monday tuesday wednesday thursday friday "
        "saturday sunday";
    if (clause_has(clause, days) &&
        !clause_has(clause, "from after since so because considering following")) {
        return true;
    }
    const int other = clause_find(clause, 0, "last next previous");
    return other != NOWHERE && clause_is(clause, other + 1, "week weeks month year time ride");
}

static bool is_supposed(const struct clause *clause)
{
    return clause->is_question ||
           clause_has(clause, "if hope hopefully should would could might maybe will gonna wish "
                              "want plan planned unless probably almost");
}

static bool is_somebody_else(const struct clause *clause)
{
    const int who = clause_find(
        clause, 0,
        "wife husband kid kids son daughter girlfriend boyfriend partner mate friend teammate "
        "colleague colleagues coworker baby everyone he she they mum mom dad dog");
    return who != NOWHERE && !clause_is(clause, who - 1, "a"); /* "slept like a baby" */
}

static bool has_verb(const struct clause *clause)
{
    return clause_has(clause, "was were is are am im have had has got feel felt feeling slept ive");
}

/* "no cough, fever": does the "no" reach this clause as well? */
static bool denial_may_carry(const struct clause *clause, const struct clause *before)
{
    return before != NULL && clause->is_joined && clause->topic == ANSWERS &&
           clause_has_denial(before) && !clause_has_denial(clause) && !has_verb(clause);
}

static struct found with_doubts(struct found found, size_t detector, const struct clause *clause,
                                const struct clause *before)
{
    const enum answer answer = detectors[detector].answer;
    if (found.state != FOUND_VALUE) {
        return found;
    }
    if (!answer_is_sound(answer, found.value)) {
        return found_unclear("can't be: which value?");
    }
    if (is_supposed(clause)) {
        return found_unclear("so it was, or only perhaps?");
    }
    if (answer != ANSWER_HARD_BEFORE && is_another_day(clause)) {
        return found_unclear("of another day?");
    }
    if (detectors[detector].of_body && is_somebody_else(clause)) {
        return found_unclear("whose?");
    }
    const bool is_denied_kind = answer == ANSWER_ILL || answer == ANSWER_HOT ||
                                answer == ANSWER_SORENESS || answer == ANSWER_STRESS;
    if (is_denied_kind && found.value > 0.5 && denial_may_carry(clause, before)) {
        return found_unclear("does the \"no\" before it count here too?");
    }
    return found;
}

/* ---- what is collected ---- */

struct collector {
    struct arena *arena;
    struct reply *out;
    bool is_doubtful[ANSWERS]; /* some clause left it unclear */
    size_t room_understood;
    size_t room_left;
};

static void understand(struct collector *collector, enum answer answer, double value,
                       const char *quote)
{
    struct reply *out = collector->out;
    out->understood = arena_grow(collector->arena, out->understood, out->n_understood,
                                 &collector->room_understood, sizeof out->understood[0]);
    out->understood[out->n_understood++] = (struct reply_answer){ answer, value, quote };
}

static void leave(struct collector *collector, const char *quote, const char *why)
{
    struct reply *out = collector->out;
    out->left = arena_grow(collector->arena, out->left, out->n_left, &collector->room_left,
                           sizeof out->left[0]);
    out->left[out->n_left++] = (struct reply_left){ quote, why };
}

static void read_clause(struct collector *collector, const struct clause *clause,
                        const struct clause *before)
{
    size_t found_any = 0;
    for (size_t d = 0; d < sizeof detectors / sizeof detectors[0]; d++) {
        struct found found = detectors[d].find(clause);
        found = with_doubts(found, d, clause, before);
        if (found.state == FOUND_VALUE) {
            understand(collector, detectors[d].answer, found.value, clause->quote);
        } else if (found.state == FOUND_UNCLEAR) {
            leave(collector, clause->quote, found.why);
            collector->is_doubtful[detectors[d].answer] = true;
        }
        found_any += found.state == FOUND_NOTHING ? 0 : 1;
    }
    if (reply_is_alarm(clause) && collector->out->alarm == NULL) {
        collector->out->alarm = clause->quote;
    }
    if (found_any == 0) {
        leave(collector, clause->quote, NULL);
    }
}

/* What is said twice must be the same; else both are left.  Yes or no beside a doubt is a doubt; a
 * number beside one settles it ("one bottle, 750 ml"). */
static void settle(struct collector *collector)
{
    struct reply *out = collector->out;
    bool contradicts[ANSWERS] = { false };
    out->answers = answers_none();
    for (size_t i = 0; i < out->n_understood; i++) {
        const struct reply_answer *item = &out->understood[i];
        double *value = &out->answers.value[item->answer];
        contradicts[item->answer] =
            contradicts[item->answer] || (!isnan(*value) && fabs(*value - item->value) > 1e-9);
        *value = item->value;
    }
    for (int a = 0; a < ANSWERS; a++) {
        contradicts[a] = contradicts[a] || (collector->is_doubtful[a] &&
                                            answer_row((enum answer)a)->kind == ANSWER_IS_TRUTH);
    }
    size_t kept = 0;
    for (size_t i = 0; i < out->n_understood; i++) {
        const struct reply_answer item = out->understood[i];
        if (contradicts[item.answer]) {
            out->answers.value[item.answer] = (double)NAN;
            leave(collector, item.quote, "said in two ways: which?");
        } else {
            out->understood[kept++] = item;
        }
    }
    out->n_understood = kept;
}

void reply_read(struct arena *arena, const char *text, struct reply *out)
{
    struct clauses clauses = { 0 };
    *out = (struct reply){ .answers = answers_none() };
    if (strlen(text) > REPLY_BYTES_MOST) {
        return;
    }
    struct collector collector = { .arena = arena, .out = out };
    reply_cut(arena, text, &clauses);
    for (size_t i = 0; i < clauses.count; i++) {
        read_clause(&collector, &clauses.items[i], i == 0 ? NULL : &clauses.items[i - 1]);
    }
    settle(&collector);
}
