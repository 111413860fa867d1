/* cli/note.c: plumbline note: what was so on a day, or on one ride of it. */
#include "cli/note.h"

#include "base/dates.h"
#include "coaching/reply.h"
#include "coaching/words/words.h"
#include "server/answers/rides.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct note_values {
    struct roster_values common;
    const char *day;
    const char *ride;
    const char *from;
    const char *to;
    double number[ANSWERS];    /* of scales and quantities */
    const char *word[ANSWERS]; /* of truths and caffeine */
    const char *words;
    const char *edit;
    const char *clear;
    const char *remove;
    bool paste;
    bool yes;
};

#define ROW(field)              offsetof(struct note_values, field), 0, 0
#define SCALE(answer, from, to) offsetof(struct note_values, number[answer]), from, to
#define WORD(answer)            offsetof(struct note_values, word[answer]), 0, 0

static const struct option_row options[] = {
    { "day", OPTION_TEXT, "DATE", "of which day; today unless said", ROW(day) },
    { "ride", OPTION_TEXT, "RIDE", "of one ride alone, by its number or RIDER@DATE", ROW(ride) },
    { "effort", OPTION_NUMBER, "POINTS", "0-10: how hard it was, 10 = all there was",
      SCALE(ANSWER_EFFORT, 0, 10) },
    { "legs", OPTION_NUMBER, "POINTS", "1 = very heavy, 5 = fresh", SCALE(ANSWER_LEGS, 1, 5) },
    { "sleep", OPTION_NUMBER, "POINTS", "1 = very bad, 5 = very good", SCALE(ANSWER_SLEEP, 1, 5) },
    { "sleep-hours", OPTION_NUMBER, "H", "hours of sleep", SCALE(ANSWER_SLEEP_H, 0, 24) },
    { "stress", OPTION_NUMBER, "POINTS", "1 = none, 5 = very much", SCALE(ANSWER_STRESS, 1, 5) },
    { "soreness", OPTION_NUMBER, "POINTS", "1 = none, 5 = very sore",
      SCALE(ANSWER_SORENESS, 1, 5) },
    { "caffeine", OPTION_TEXT, "HOW", "usual, more or less than the habit", WORD(ANSWER_CAFFEINE) },
    { "fan", OPTION_TEXT, "yes|no", "whether a fan blew", WORD(ANSWER_FAN) },
    { "hot", OPTION_TEXT, "yes|no", "whether it was hot", WORD(ANSWER_HOT) },
    { "temperature", OPTION_NUMBER, "C", "degrees Celsius", SCALE(ANSWER_TEMPERATURE, -30, 50) },
    { "drink", OPTION_NUMBER, "L", "litres drunk on the ride", SCALE(ANSWER_DRINK, 0, 20) },
    { "dehydrated", OPTION_TEXT, "yes|no", "drank too little", WORD(ANSWER_DEHYDRATED) },
    { "ill", OPTION_TEXT, "yes|no", "ill that day", WORD(ANSWER_ILL) },
    { "hard-day-before", OPTION_TEXT, "yes|no", "the day before was hard",
      WORD(ANSWER_HARD_BEFORE) },
    { "words", OPTION_TEXT, "WORDS", "free words", ROW(words) },
    { "paste", OPTION_FLAG, NULL, "read a rider's reply from standard input", ROW(paste) },
    { "yes", OPTION_FLAG, NULL, "paste: keep it without asking", ROW(yes) },
    { "edit", OPTION_TEXT, "NOTE", "change the note of that number", ROW(edit) },
    { "clear", OPTION_TEXT, "NAMES", "edit: take answers back, such as legs,fan", ROW(clear) },
    { "remove", OPTION_TEXT, "NOTE", "take the note of that number away", ROW(remove) },
    { "from", OPTION_TEXT, "DATE", "list: the first day", ROW(from) },
    { "to", OPTION_TEXT, "DATE", "list: the first day that no longer counts", ROW(to) },
    ROSTER_OPTIONS,
};

/* The option of an answer. */
static const char *const answer_options[ANSWERS] = {
    [ANSWER_EFFORT] = "effort",
    [ANSWER_LEGS] = "legs",
    [ANSWER_SLEEP] = "sleep",
    [ANSWER_STRESS] = "stress",
    [ANSWER_SORENESS] = "soreness",
    [ANSWER_SLEEP_H] = "sleep-hours",
    [ANSWER_FAN] = "fan",
    [ANSWER_HOT] = "hot",
    [ANSWER_TEMPERATURE] = "temperature",
    [ANSWER_DEHYDRATED] = "dehydrated",
    [ANSWER_DRINK] = "drink",
    [ANSWER_CAFFEINE] = "caffeine",
    [ANSWER_ILL] = "ill",
    [ANSWER_HARD_BEFORE] = "hard-day-before",
};

/* ---- what is printed ---- */

static void add_note(struct roster_call *call, const struct day_note *note)
{
    enum { HANG = 30 };
    struct text answers = text_begin(call->arena, 2000);
    for (int a = 0; a < ANSWERS; a++) {
        if (!isnan(note->answers.value[a])) {
            text_add_format(&answers, "%s%s", answers.length > 0 ? ", " : "",
                            answer_say(call->arena, (enum answer)a, note->answers.value[a]));
        }
    }
    const char *ride = note->recording == 0
                           ? ""
                           : arena_format(call->arena, "ride %lld", (long long)note->recording);
    text_add_format(&call->out, "%6lld  %s  %-9s ", (long long)note->id, note->day, ride);
    size_t begun = HANG;
    if (answers.length > 0) {
        text_add_wrapped(&call->out, answers.bytes, HANG, HANG, 80);
        begun = 0;
    } else if (note->words == NULL) {
        text_add(&call->out, "nothing out of the ordinary\n");
    }
    /* The rider's own words, line by line. */
    for (const char *line = note->words; line != NULL && *line != '\0';) {
        const size_t length = strcspn(line, "\n");
        char *words = arena_format(call->arena, "%.*s", (int)length, line);
        text_add_format(&call->out, "%*s", begun == HANG ? 0 : HANG, "");
        text_add_wrapped(&call->out, words, HANG, HANG, 80);
        begun = 0;
        line += length + (line[length] == '\n' ? 1 : 0);
    }
    /* As long as the words stand, so does the caution. */
    struct reply reply = { 0 };
    reply_read(call->arena, note->words == NULL ? "" : note->words, &reply);
    if (reply.alarm != NULL) {
        text_add_format(&call->out, "%*s", HANG, "");
        text_add_wrapped(
            &call->out,
            arena_format(call->arena, "CAUTION: %s", words_reply_alarm(call->arena, reply.alarm)),
            HANG, HANG, 80);
    }
}

static bool list(struct roster_call *call, const struct note_values *values,
                 const struct rider *rider, struct error *err)
{
    struct day_note *notes = NULL;
    size_t count = 0;
    if (!day_notes_list(call->roster, call->arena, rider->id, values->from,
                        rides_last_day(call->arena, values->to, call->today), &notes, &count,
                        err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_array(&json, NULL);
    } else {
        text_add_wrapped(
            &call->out,
            arena_format(call->arena, "Notes of %s%s", rider->name, count == 0 ? ": none yet" : ""),
            0, 2, 80);
    }
    for (size_t i = 0; i < count; i++) {
        if (call->json) {
            note_json(&json, NULL, &notes[i], JSON_TO_READ);
        } else {
            add_note(call, &notes[i]);
        }
    }
    if (call->json) {
        json_end_array(&json);
    }
    return true;
}

/* ---- what is done ---- */

static const struct roster_work work;

static bool take_id(const char *option, const char *word, int64_t *out, struct error *err)
{
    const size_t length = strlen(word);
    if (length == 0 || length > 17 || strspn(word, "0123456789") != length || word[0] == '0') {
        return error_set(err, ERROR_USAGE, "--%s %.60s: no number of a note; note RIDER lists them",
                         option, word);
    }
    *out = strtoll(word, NULL, 10);
    return true;
}

static bool take_word(enum answer answer, const char *word, double *out, struct error *err)
{
    if (answer == ANSWER_CAFFEINE) {
        return answer_caffeine_find(word, out) ||
               error_set(err, ERROR_USAGE, "--caffeine %.60s: say usual, more or less", word);
    }
    *out = strcmp(word, "yes") == 0 ? 1.0 : 0.0;
    return strcmp(word, "yes") == 0 || strcmp(word, "no") == 0 ||
           error_set(err, ERROR_USAGE, "--%s %.60s: say yes or no", answer_options[answer], word);
}

/* What the options say, on top of what is there. */
static bool take_answers(const struct note_values *values, struct day_answers *answers,
                         struct error *err)
{
    for (int a = 0; a < ANSWERS; a++) {
        if (!isnan(values->number[a])) {
            answers->value[a] = values->number[a];
        }
        if (values->word[a] != NULL &&
            !take_word((enum answer)a, values->word[a], &answers->value[a], err)) {
            return false;
        }
        if (!isnan(answers->value[a]) && !answer_is_sound((enum answer)a, answers->value[a])) {
            return error_set(err, ERROR_USAGE, "--%s %g: must be a whole number", answer_options[a],
                             answers->value[a]);
        }
    }
    return true;
}

static bool clear(struct arena *arena, const char *names, struct day_note *note, struct error *err)
{
    char *list = arena_string(arena, names);
    char *rest = NULL;
    for (char *name = strtok_r(list, ", ", &rest); name != NULL;
         name = strtok_r(NULL, ", ", &rest)) {
        bool known = strcmp(name, "words") == 0;
        if (known) {
            note->words = NULL;
        }
        for (int a = 0; a < ANSWERS; a++) {
            if (strcmp(name, answer_options[a]) == 0) {
                note->answers.value[a] = (double)NAN;
                known = true;
            }
        }
        if (!known) {
            const char *nearest = text_nearest(name, answer_options, ANSWERS);
            return error_set(err, ERROR_USAGE, "--clear %.60s: no answer%s%s; --help lists them",
                             name, nearest == NULL ? "" : ", did you mean ",
                             nearest == NULL ? "" : nearest);
        }
    }
    return true;
}

static bool is_day(const char *option, const char *day, struct error *err)
{
    int64_t days = 0;
    return day == NULL || dates_parse_day(day, &days) ||
           error_set(err, ERROR_USAGE, "--%s %.60s: is no day; write it as 2026-03-14", option,
                     day);
}

static bool says_something(const struct note_values *values)
{
    bool any = values->words != NULL;
    for (int a = 0; a < ANSWERS; a++) {
        any = any || !isnan(values->number[a]) || values->word[a] != NULL;
    }
    return any;
}

static bool check_options(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct note_values *values = raw;
    struct day_answers answers = answers_none();
    struct day_note scratch = { 0 };
    int64_t id = 0;
    const bool says = says_something(values);
    const int ways =
        (values->paste ? 1 : 0) + (values->edit != NULL ? 1 : 0) + (values->remove != NULL ? 1 : 0);
    if (ways > 1) {
        return roster_usage(&work, "say one of --paste, --edit, --remove", err);
    }
    if ((values->remove != NULL || values->paste) && says) {
        return roster_usage(&work,
                            values->paste ? "--paste: the answers come from the reply; --edit "
                                            "changes them after"
                                          : "--remove: takes no answers",
                            err);
    }
    if (values->clear != NULL && values->edit == NULL) {
        return roster_usage(&work, "--clear: belongs to --edit", err);
    }
    if (ways == 0 && !says && (values->day != NULL || values->ride != NULL)) {
        return roster_usage(&work, "the note says nothing; give an answer or --words", err);
    }
    return is_day("day", values->day, err) && is_day("from", values->from, err) &&
           is_day("to", values->to, err) && take_answers(values, &answers, err) &&
           (values->clear == NULL || clear(call->arena, values->clear, &scratch, err)) &&
           (values->edit == NULL || take_id("edit", values->edit, &id, err)) &&
           (values->remove == NULL || take_id("remove", values->remove, &id, err));
}

/* Day and ride of the note as the options have them. */
static bool place_note(struct roster_call *call, const struct note_values *values,
                       struct day_note *note, struct error *err)
{
    struct ride_row row = { 0 };
    if (values->ride != NULL) {
        if (!recordings_find(call->roster, call->arena, values->ride, &row, err)) {
            return false;
        }
        note->recording = row.id;
        note->day = values->day != NULL ? values->day : row.local_day;
    } else if (values->day != NULL) {
        note->day = values->day;
        note->recording = 0;
    }
    note->day = note->day == NULL && note->recording == 0 ? call->today : note->day;
    return true;
}

static bool tell(struct roster_call *call, const struct day_note *note)
{
    if (call->json) {
        struct json json = json_begin(&call->out);
        note_json(&json, NULL, note, JSON_TO_READ);
    } else {
        text_add_wrapped(&call->out,
                         arena_format(call->arena, "%lld: %s", (long long)note->id, note->said), 0,
                         2, 80);
    }
    return true;
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct note_values *values = raw;
    struct rider rider = { 0 };
    struct day_note note = { .answers = answers_none() };
    int64_t id = 0;
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err)) {
        return false;
    }
    if (values->remove != NULL) {
        return take_id("remove", values->remove, &id, err) &&
               day_notes_remove(call->roster, call->arena, call->now, &rider, id, &note, err) &&
               tell(call, &note);
    }
    if (values->paste) {
        return place_note(call, values, &note, err) &&
               note_paste(call, &rider, &note, values->yes, err);
    }
    if (values->edit != NULL) {
        if (!take_id("edit", values->edit, &id, err) ||
            !day_notes_find(call->roster, call->arena, &rider, id, &note, err) ||
            (values->clear != NULL && !clear(call->arena, values->clear, &note, err))) {
            return false;
        }
    } else if (!says_something(values)) {
        return list(call, values, &rider, err);
    }
    note.words = values->words != NULL ? values->words : note.words;
    return place_note(call, values, &note, err) && take_answers(values, &note.answers, err) &&
           (values->edit != NULL
                ? day_notes_edit(call->roster, call->arena, call->now, &rider, &note, err)
                : day_notes_add(call->roster, call->arena, call->now, &rider, &note, err)) &&
           tell(call, &note);
}

static const struct roster_work work = {
    .command = &command_note, .least_words = 1, .most_words = 1, .check = check_options, .run = run
};

static int note_run(int argc, char *const argv[])
{
    struct note_values values = { 0 };
    for (int a = 0; a < ANSWERS; a++) {
        values.number[a] = (double)NAN;
    }
    return roster_call(&work, argc, argv, &values);
}

const struct command command_note = {
    .name = "note",
    .usage = "RIDER [options]",
    .summary = "how a day or a ride was: effort, legs, sleep, fan, heat, ...",
    .about =
        "Notes what was so on a day or on one ride of it; without an answer lists the notes up to "
        "today. Notes of the day hold for every ride of the day, those of a ride for that ride, "
        "and readings take heat, fan, drink, caffeine, illness and a hard day before from both. "
        "--paste reads what a rider wrote (\"slept 6h badly, no fan, RPE 7/10\", or the five "
        "questions of a card by number: 1 effort, 2 legs, 3 sleep, 4 stress, 5 soreness), shows "
        "what was understood and what was left out, and keeps the words whole; it asks first, on a "
        "terminal. Every change can be taken back: plumbline undo.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = note_run,
};
