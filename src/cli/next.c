/* cli/next.c: plumbline next: what a rider should ride in the coming days, and why. */
#include "cli/roster_call.h"
#include "coaching/words/caution_words.h"
#include "coaching/words/answer_words.h"
#include "server/answers/next.h"

#include <stdlib.h>
#include <string.h>

struct next_values {
    struct roster_values common;
    double days;
    const char *draft;
};

#define ROW(field) offsetof(struct next_values, field)

static const struct option_row options[] = {
    { "days", OPTION_NUMBER, "N", "days that are proposed for, today the first (7)", ROW(days), 1,
      NEXT_DAYS_MOST },
    { "draft", OPTION_TEXT, "N|all",
      "writes that proposal (2), those (1,3), or all of them as drafts", ROW(draft), 0, 0 },
    ROSTER_OPTIONS,
};

/* "2", "1,3", "all" (none) into numbers; false if it is none of them. */
static bool read_numbers(const char *words, size_t numbers[NEXT_MOST], size_t *n)
{
    *n = 0;
    if (strcmp(words, "all") == 0) {
        return true;
    }
    for (const char *at = words; *n < NEXT_MOST; at++) {
        char *end = NULL;
        const bool is_digit = *at >= '0' && *at <= '9';
        const unsigned long number = is_digit ? strtoul(at, &end, 10) : 0;
        if (number == 0 || number > NEXT_MOST) {
            return false;
        }
        numbers[(*n)++] = number;
        at = end;
        if (*at == '\0') {
            return true;
        }
        if (*at != ',') {
            return false;
        }
    }
    return false;
}

static bool check(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct next_values *values = raw;
    size_t numbers[NEXT_MOST];
    size_t n = 0;
    (void)call;
    return values->draft == NULL || read_numbers(values->draft, numbers, &n) ||
           error_set(err, ERROR_USAGE,
                     "--draft %.40s: a proposal's number (2), several (1,3), or all",
                     values->draft);
}

/* ---- words ---- */

static void line(struct roster_call *call, const char *words)
{
    text_add(&call->out, "     ");
    text_add_wrapped(&call->out, words, 5, 5, 80);
}

static void session_lines(struct roster_call *call, const char *words)
{
    char *save = NULL;
    for (char *at = strtok_r(arena_string(call->arena, words), "\n", &save); at != NULL;
         at = strtok_r(NULL, "\n", &save)) {
        text_add(&call->out, "       ");
        text_add_wrapped(&call->out, at, 7, 9, 80);
    }
}

static void add_item(struct roster_call *call, const struct next_item *item)
{
    const struct next_proposal *proposal = item->proposal;
    if (item->number == 0) {
        roster_call_sentence(call,
                             arena_format(call->arena, "%s (%s)", proposal->why, proposal->source));
        return;
    }
    text_add_format(&call->out, "\n%3zu  ", item->number);
    text_add_wrapped(&call->out,
                     arena_format(call->arena, "%s: %s (%d min)",
                                  words_weekday_of(call->arena, proposal->day), proposal->name,
                                  (proposal->dose.seconds + 59) / 60),
                     5, 5, 80);
    session_lines(call, proposal->words);
    line(call, proposal->how == NULL
                   ? arena_format(call->arena, "Why: %s (%s)", proposal->why, proposal->source)
                   : arena_format(call->arena, "Why: %s %s (%s)", proposal->why, proposal->how,
                                  proposal->source));
    for (size_t i = 0; i < item->outlook->n_warnings; i++) {
        line(call, item->outlook->warnings[i].words);
    }
    if (item->caution != NULL) {
        line(call, item->caution);
    }
    for (size_t i = 0; i < item->n_breaches; i++) {
        line(call, arena_format(call->arena, "Not safe as it is: %s", item->breaches[i].words));
    }
}

static void add_stands(struct roster_call *call, const struct next_answer *answer)
{
    if (answer->n_stands > 0) {
        text_add(&call->out, "\nStands already\n");
    }
    for (size_t i = 0; i < answer->n_stands; i++) {
        const struct next_stands *one = &answer->stands[i];
        text_add_format(&call->out, "%5lld  ", (long long)one->row.entry.id);
        text_add_wrapped(&call->out,
                         arena_format(call->arena, "%s  %s (%s)%s%s", one->row.day, one->row.name,
                                      one->row.state, one->code == NULL ? "" : ": no longer fits. ",
                                      one->code == NULL ? "" : one->words),
                         7, 7, 80);
    }
}

static void add_withdrawal(struct roster_call *call, const struct rider *rider,
                           const struct next_answer *answer)
{
    const char *from = NULL;
    for (size_t i = answer->n_stands; i > 0; i--) {
        from = answer->stands[i - 1].code != NULL ? answer->stands[i - 1].row.day : from;
    }
    if (answer->n_unfit == answer->n_stands && answer->n_unfit > 1) {
        roster_call_sentence(call, arena_format(call->arena,
                                                "To call all of them off: plumbline session "
                                                "withdraw %lld --from %s",
                                                (long long)rider->id, from));
    } else if (answer->n_unfit > 0) {
        roster_call_sentence(call, arena_format(call->arena,
                                                "To call one off: plumbline session withdraw %lld "
                                                "NUMBER (session remove for a draft)",
                                                (long long)rider->id));
    }
}

static void add_answer(struct roster_call *call, const struct rider *rider,
                       const struct next_answer *answer)
{
    size_t n_ridden = 0;
    text_add_wrapped(
        &call->out,
        arena_format(call->arena, "%s, %s to %s", rider->name, answer->from, answer->until), 0, 2,
        80);
    for (size_t i = 0; i < answer->cautions.count; i++) {
        roster_call_sentence(call, words_rider_caution(answer->cautions.list[i]));
    }
    for (size_t i = 0; i < answer->n_evidence; i++) {
        roster_call_sentence(call, answer->evidence[i]);
    }
    for (size_t i = 0; i < answer->n; i++) {
        add_item(call, &answer->items[i]);
        n_ridden += answer->items[i].number > 0 ? 1 : 0;
    }
    if (answer->nothing != NULL && answer->n == 0) {
        roster_call_sentence(call, answer->nothing);
    }
    for (size_t i = 0; i < answer->plan.n_left; i++) {
        roster_call_sentence(call,
                             arena_format(call->arena, "Left out: %s", answer->plan.left[i].why));
    }
    for (size_t i = 0; i < answer->n_assumed; i++) {
        roster_call_sentence(call, answer->assumed[i]);
    }
    for (size_t i = 0; i < answer->n_cannot; i++) {
        roster_call_sentence(call, arena_format(call->arena, "Can't tell: %s", answer->cannot[i]));
    }
    add_stands(call, answer);
    add_withdrawal(call, rider, answer);
    if (n_ridden > 0) {
        roster_call_sentence(call, "Proposals; nothing is written until you say so: --draft 1, or "
                                   "--draft all.");
    }
}

/* ---- drafting ---- */

static bool draft(struct roster_call *call, const char *words, const struct rider *rider,
                  const struct next_answer *answer, struct error *err)
{
    size_t numbers[NEXT_MOST];
    size_t n = 0;
    struct rider_session *rows = NULL;
    size_t n_rows = 0;
    const char *said = NULL;
    if (!read_numbers(words, numbers, &n) ||
        !next_draft(call->roster, call->arena, call->now, rider, answer, numbers, n, &rows, &n_rows,
                    &said, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        json_string(&json, "said", said);
        json_begin_array(&json, "drafted");
        for (size_t i = 0; i < n_rows; i++) {
            json_integer(&json, NULL, rows[i].entry.id);
        }
        json_end_array(&json);
        json_end_object(&json);
    } else {
        text_add_wrapped(&call->out, said, 0, 2, 80);
    }
    return true;
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct next_values *values = raw;
    struct rider rider = { 0 };
    struct next_answer *answer = ARENA_ARRAY(call->arena, struct next_answer, 1);
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !next_take(call->roster, call->arena, &rider, call->today, (int)values->days, answer,
                   err)) {
        return false;
    }
    if (values->draft != NULL) {
        return draft(call, values->draft, &rider, answer, err);
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        next_json(&json, &rider, answer);
        json_end_object(&json);
        return true;
    }
    add_answer(call, &rider, answer);
    return true;
}

static const struct roster_work work = {
    .command = &command_next, .least_words = 1, .most_words = 1, .check = check, .run = run
};

static int next_run(int argc, char *const argv[])
{
    struct next_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_next = {
    .name = "next",
    .usage = "RIDER [options]",
    .summary = "what to ride in the coming days, and why",
    .about = "Sessions of the library with at most one change, each with its reason and what to "
             "mind, around the rider's time, days off, events and what stands already. Nothing "
             "hard without the questions before hard work, in illness, or while something must be "
             "asked first. Nothing is written but by --draft, and that is one change: plumbline "
             "undo. What was given and no longer fits is said.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = next_run,
};
