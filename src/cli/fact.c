/* cli/fact.c: plumbline threshold, weight, max-heart-rate, rest-heart-rate: dated facts of a rider.
 *
 * One story for four commands; each has the options that its fact has. */
#include "base/dates.h"
#include "cli/roster_call.h"
#include "server/answers/facts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct fact_values {
    struct roster_values common;
    const char *from;
    const char *range;
    const char *protocol;
    const char *note;
    const char *meter;
    bool at_least;
    bool remove;
};

#define ROW(field) offsetof(struct fact_values, field), 0, 0
#define FROM                                                                                       \
    {                                                                                              \
        "from", OPTION_TEXT, "DATE", "the day from which it holds; today unless said", ROW(from)   \
    }
#define PROTOCOL                                                                                   \
    {                                                                                              \
        "protocol", OPTION_TEXT, "WORDS", "how it is known, such as: 20-minute test",              \
            ROW(protocol)                                                                          \
    }
#define NOTE                                                                                       \
    {                                                                                              \
        "note", OPTION_TEXT, "WORDS", "a note", ROW(note)                                          \
    }
#define REMOVE                                                                                     \
    {                                                                                              \
        "remove", OPTION_FLAG, NULL, "take away the one of the day named by --from", ROW(remove)   \
    }

static const struct option_row weight_options[] = { FROM, NOTE, REMOVE, ROSTER_LATER,
                                                    ROSTER_OPTIONS };
static const struct option_row threshold_options[] = {
    FROM,
    { "range", OPTION_TEXT, "LOW-HIGH", "the likely range in W (90 %), such as 228-252",
      ROW(range) },
    { "meter", OPTION_TEXT, "WORD",
      "the power meter it was measured with: its serial, number or name", ROW(meter) },
    PROTOCOL,
    NOTE,
    REMOVE,
    ROSTER_LATER,
    ROSTER_OPTIONS,
};
static const struct option_row max_options[] = {
    FROM,
    { "at-least", OPTION_FLAG, NULL, "seen, but perhaps not the maximum", ROW(at_least) },
    PROTOCOL,
    NOTE,
    REMOVE,
    ROSTER_LATER,
    ROSTER_OPTIONS,
};
static const struct option_row rest_options[] = { FROM,   PROTOCOL,     NOTE,
                                                  REMOVE, ROSTER_LATER, ROSTER_OPTIONS };

/* ---- what is printed ---- */

static void add_line(struct roster_call *call, enum fact_kind kind, const struct fact *fact)
{
    const struct fact_row *row = fact_row(kind);
    struct text line = text_begin(call->arena, 4000);
    text_add_format(&line, "%s%.*f %s", fact->at_least ? "at least " : "", row->decimals,
                    fact->value, row->unit);
    if (!isnan(fact->low)) {
        text_add_format(&line, " (likely %.0f to %.0f)", fact->low, fact->high);
    }
    if (fact->protocol != NULL) {
        text_add_format(&line, ", %s", fact->protocol);
    }
    if (fact->meter_name != NULL) {
        text_add_format(&line, ", by the %s", fact->meter_name);
    }
    if (fact->note != NULL) {
        text_add_format(&line, "; %s", fact->note);
    }
    text_add_format(&call->out, "  %s  ", fact->day);
    text_add_wrapped(&call->out, line.bytes, 14, 14, 80);
}

static bool list(struct roster_call *call, enum fact_kind kind, const struct rider *rider,
                 struct error *err)
{
    struct fact *facts = NULL;
    size_t count = 0;
    if (!facts_list(call->roster, call->arena, rider->id, kind, call->today, &facts, &count, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_array(&json, NULL);
        for (size_t i = 0; i < count; i++) {
            fact_json(&json, kind, &facts[i], JSON_TO_READ);
        }
        json_end_array(&json);
        return true;
    }
    text_add_format(&call->out, "%s of ", fact_row(kind)->subject);
    text_add_wrapped(&call->out,
                     arena_format(call->arena, "%s%s", rider->name, count == 0 ? ": none yet" : ""),
                     20, 2, 80);
    for (size_t i = 0; i < count; i++) {
        add_line(call, kind, &facts[i]);
    }
    return true;
}

/* ---- what is done ---- */

static bool take_number(const char *word, double *out)
{
    char *end = NULL;
    const size_t length = strlen(word);
    if (length == 0 || strspn(word, "0123456789.") != length) {
        return false;
    }
    *out = strtod(word, &end);
    return *end == '\0' && isfinite(*out);
}

static bool take_range(const char *word, double *low, double *high)
{
    char first[32];
    const char *dash = word == NULL ? NULL : strchr(word, '-');
    if (dash == NULL || (size_t)(dash - word) >= sizeof first) {
        return false;
    }
    memcpy(first, word, (size_t)(dash - word));
    first[dash - word] = '\0';
    return take_number(first, low) && take_number(dash + 1, high);
}

/* The fact that the call describes, checked as far as words go. */
static bool fact_of(const struct roster_call *call, const struct roster_work *work,
                    const struct fact_values *values, struct fact *fact, struct error *err)
{
    int64_t days = 0;
    *fact = (struct fact){
        .day = values->from != NULL ? values->from : call->today,
        .low = (double)NAN,
        .high = (double)NAN,
        .at_least = values->at_least,
        .protocol = values->protocol,
        .note = values->note,
    };
    if (!dates_parse_day(fact->day, &days)) {
        return roster_usage(
            work,
            arena_format(call->arena, "--from %.60s: is no day; write it as 2026-03-14", fact->day),
            err);
    }
    if (values->remove && (call->n_words > 1 || values->from == NULL)) {
        return roster_usage(work, "--remove: takes away the one of --from DATE, with no value",
                            err);
    }
    if (call->n_words > 1 && !take_number(call->words[1], &fact->value)) {
        return roster_usage(work, arena_format(call->arena, "%.60s: not a number", call->words[1]),
                            err);
    }
    if (values->range != NULL && !take_range(values->range, &fact->low, &fact->high)) {
        return roster_usage(
            work, arena_format(call->arena, "--range %.60s: write it as 228-252", values->range),
            err);
    }
    if (call->n_words < 2 &&
        (values->range != NULL || (values->meter != NULL && !values->remove) ||
         values->protocol != NULL || values->note != NULL || values->at_least)) {
        return roster_usage(work, "the value is missing", err);
    }
    return true;
}

static const struct roster_work works[FACT_KINDS];

static bool check_kind(enum fact_kind kind, const struct roster_call *call, const void *raw,
                       struct error *err)
{
    struct fact fact;
    return fact_of(call, &works[kind], raw, &fact, err);
}

static bool run_kind(enum fact_kind kind, struct roster_call *call, const void *raw,
                     struct error *err)
{
    const struct fact_values *values = raw;
    struct rider rider = { 0 };
    struct fact fact;
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !fact_of(call, &works[kind], values, &fact, err) ||
        (values->meter != NULL &&
         !facts_find_meter(call->roster, call->arena, &rider, values->meter, &fact.meter, err))) {
        return false;
    }
    if (values->remove) {
        return facts_remove(call->roster, call->arena, call->now, &rider, kind, fact.day,
                            fact.meter, err) &&
               list(call, kind, &rider, err);
    }
    if (call->n_words < 2) {
        return list(call, kind, &rider, err);
    }
    if (!facts_set(call->roster, call->arena, call->now, &rider, kind, &fact, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        fact_json(&json, kind, &fact, JSON_TO_READ);
    } else {
        text_add_wrapped(&call->out, fact.said, 0, 2, 80);
    }
    return true;
}

/* The table of commands has one function each. */
#define KIND(which, kind)                                                                          \
    static bool check_##which(const struct roster_call *call, const void *raw, struct error *err)  \
    {                                                                                              \
        return check_kind(kind, call, raw, err);                                                   \
    }                                                                                              \
    static bool run_##which(struct roster_call *call, const void *raw, struct error *err)          \
    {                                                                                              \
        return run_kind(kind, call, raw, err);                                                     \
    }                                                                                              \
    static int which##_run(int argc, char *const argv[])                                           \
    {                                                                                              \
        struct fact_values values = { 0 };                                                         \
        return roster_call(&works[kind], argc, argv, &values);                                     \
    }

KIND(weight, FACT_WEIGHT)
KIND(threshold, FACT_THRESHOLD)
KIND(max_heart_rate, FACT_MAX_HEART_RATE)
KIND(rest_heart_rate, FACT_REST_HEART_RATE)

static const struct roster_work works[FACT_KINDS] = {
#define WORK(which)                                                                                \
    {                                                                                              \
        .command = &command_##which, .least_words = 1, .most_words = 2, .check = check_##which,    \
        .run = run_##which                                                                         \
    }
    [FACT_WEIGHT] = WORK(weight),
    [FACT_THRESHOLD] = WORK(threshold),
    [FACT_MAX_HEART_RATE] = WORK(max_heart_rate),
    [FACT_REST_HEART_RATE] = WORK(rest_heart_rate),
};

#define ABOUT                                                                                      \
    "With a value: sets it from a day on (today, or --from DATE), until the next one. Without: "   \
    "lists what was set, the newest first. A ride is read with what held on its day. Every "       \
    "change can be taken back: plumbline undo."

const struct command command_weight = {
    .name = "weight",
    .usage = "RIDER [KG] [options]",
    .summary = "body weight, from a day on",
    .about = ABOUT,
    .options = weight_options,
    .n_options = sizeof weight_options / sizeof weight_options[0],
    .run = weight_run,
};

const struct command command_threshold = {
    .name = "threshold",
    .usage = "RIDER [W] [options]",
    .summary = "threshold power, from a day on",
    .about = ABOUT,
    .options = threshold_options,
    .n_options = sizeof threshold_options / sizeof threshold_options[0],
    .run = threshold_run,
};

const struct command command_max_heart_rate = {
    .name = "max-heart-rate",
    .usage = "RIDER [BPM] [options]",
    .summary = "maximal heart rate, from a day on",
    .about = ABOUT,
    .options = max_options,
    .n_options = sizeof max_options / sizeof max_options[0],
    .run = max_heart_rate_run,
};

const struct command command_rest_heart_rate = {
    .name = "rest-heart-rate",
    .usage = "RIDER [BPM] [options]",
    .summary = "resting heart rate, from a day on",
    .about = ABOUT,
    .options = rest_options,
    .n_options = sizeof rest_options / sizeof rest_options[0],
    .run = rest_heart_rate_run,
};
