/* cli/rider_health.c: plumbline rider screening, flag, consent. */
#include "cli/rider_acts.h"

#include "roster/health.h"

#include <string.h>

#define N_ROWS(rows) (sizeof(rows) / sizeof(rows)[0])

/* ---- screening ---- */

struct screening_values {
    struct entry_values entry;
    bool no_to_all;
    const char *yes;
    const char *on;
    const char *cleared_by;
    const char *cleared_on;
    const char *note;
};

#define ROW(field) offsetof(struct screening_values, field), 0, 0
static const struct option_row screening_options[] = {
    { "no-to-all", OPTION_FLAG, NULL, "all seven were answered no", ROW(no_to_all) },
    { "yes", OPTION_TEXT, "WORDS",
      "those answered yes, with commas: heart-condition, chest-pain, fainting, "
      "sudden-death-in-family, medicine, pregnancy, new-and-over-45",
      ROW(yes) },
    { "on", OPTION_TEXT, "DATE", "the day they were asked; today unless said", ROW(on) },
    { "cleared-by", OPTION_TEXT, "NAME", "the doctor who cleared it", ROW(cleared_by) },
    { "cleared-on", OPTION_TEXT, "DATE", "when; today unless said", ROW(cleared_on) },
    { "note", OPTION_TEXT, "WORDS", "a note", ROW(note) },
    ROSTER_LATER,
    ENTRY_OPTIONS,
};
#undef ROW

/* Answers from "chest-pain, medicine"; the others are no. */
static bool take_answers(struct arena *arena, const char *words, struct screening *screening,
                         struct error *err)
{
    const char *names[SCREENING_QUESTIONS];
    char *save = NULL;
    bool any = false;
    for (int q = 0; q < SCREENING_QUESTIONS; q++) {
        names[q] = screening_row((enum screening_question)q)->name;
        screening->yes[q] = false;
    }
    for (char *word = strtok_r(arena_string(arena, words), ", ", &save); word != NULL;
         word = strtok_r(NULL, ", ", &save)) {
        int q = 0;
        while (q < SCREENING_QUESTIONS && strcmp(names[q], word) != 0) {
            q++;
        }
        if (q == SCREENING_QUESTIONS) {
            const char *nearest = text_nearest(word, names, SCREENING_QUESTIONS);
            return error_set(err, ERROR_USAGE, "--yes %.40s: none of the questions%s%s", word,
                             nearest == NULL ? "; --help names them" : "; did you mean ",
                             nearest == NULL ? "" : arena_format(arena, "%s?", nearest));
        }
        screening->yes[q] = any = true;
    }
    return any || error_set(err, ERROR_USAGE, "--yes: names no question; --help names them");
}

static bool says_answers(const struct screening_values *values)
{
    return values->no_to_all || values->yes != NULL;
}

static bool apply_screening(const struct roster_call *call, const void *raw, void *row, bool is_new,
                            struct error *err)
{
    const struct screening_values *values = raw;
    struct screening *screening = row;
    if (is_new && !says_answers(values)) {
        return error_set(err, ERROR_USAGE,
                         "say the answers: --no-to-all, or --yes with those answered yes");
    }
    screening->day = values->on != NULL ? values->on : is_new ? call->today : screening->day;
    if (values->no_to_all) {
        memset(screening->yes, 0, sizeof screening->yes);
    }
    if (values->yes != NULL && !take_answers(call->arena, values->yes, screening, err)) {
        return false;
    }
    entry_apply(values->cleared_by, &screening->cleared_by);
    entry_apply(values->cleared_on, &screening->cleared_day);
    if (screening->cleared_by != NULL && screening->cleared_day == NULL &&
        values->cleared_on == NULL) {
        screening->cleared_day = call->today;
    }
    if (screening->cleared_by == NULL && values->cleared_by != NULL) {
        screening->cleared_day = NULL; /* --cleared-by '' takes the clearance away */
    }
    entry_apply(values->note, &screening->note);
    return entry_not_future(call, "--on ", screening->day, err) &&
           entry_not_future(call, "--cleared-on ", screening->cleared_day, err);
}

/* A clearance alone is one of the newest screening. */
static bool pick_screening(const struct roster_call *call, const struct rider *rider,
                           const void *raw, void *row, bool *is_new, struct error *err)
{
    const struct screening_values *values = raw;
    struct screening *all = NULL;
    size_t count = 0;
    size_t until = 0;
    if (says_answers(values) || values->on != NULL || values->cleared_by == NULL) {
        return true;
    }
    if (!entries_list(call->roster, call->arena, &screening_kind, rider->id, &all, &count, err)) {
        return false;
    }
    while (until < count && strcmp(all[until].day, call->today) <= 0) {
        until++;
    }
    if (until == 0) {
        return error_set(err, ERROR_NOT_FOUND,
                         "%s has no screening to clear; say the answers first: --yes, --no-to-all",
                         rider->name);
    }
    memcpy(row, &all[until - 1], sizeof *all);
    *is_new = false;
    return true;
}

static bool save_screening(struct roster_call *call, const struct rider *rider, void *row,
                           struct error *err)
{
    return health_screen(call->roster, call->arena, call->now, rider, row, err);
}

static const char *screening_day(const void *row)
{
    return ((const struct screening *)row)->day;
}

static void ask_questions(struct roster_call *call)
{
    text_add(&call->out, "\nAsk before hard or maximal work:\n");
    for (int q = 0; q < SCREENING_QUESTIONS; q++) {
        const struct screening_row *row = screening_row((enum screening_question)q);
        text_add_format(&call->out, "  %-24s", row->name);
        text_add_wrapped(&call->out, row->asks, 26, 26, 80);
    }
    text_add_wrapped(&call->out,
                     "Then: --no-to-all, or --yes with the names of those answered yes.", 0, 0, 80);
}

/* ---- flag ---- */

struct flag_values {
    struct entry_values entry;
    const char *from;
    const char *until;
    const char *note;
};

#define ROW(field) offsetof(struct flag_values, field), 0, 0
static const struct option_row flag_options[] = {
    { "from", OPTION_TEXT, "DATE", "its first day; today unless said", ROW(from) },
    { "until", OPTION_TEXT, "DATE", "its last day; ends the one that is open", ROW(until) },
    { "note", OPTION_TEXT, "WORDS", "a note, such as who agreed", ROW(note) },
    ROSTER_LATER,
    ENTRY_OPTIONS,
};
#undef ROW

static bool apply_flag(const struct roster_call *call, const void *raw, void *row, bool is_new,
                       struct error *err)
{
    const struct flag_values *values = raw;
    struct flag *flag = row;
    if (is_new && call->n_words < 2) {
        return error_set(err, ERROR_USAGE,
                         "say which flag: heart-medicine, pregnant or guardian-agreed");
    }
    flag->kind = call->n_words > 1 ? call->words[1] : flag->kind;
    flag->from_day = values->from != NULL ? values->from : is_new ? call->today : flag->from_day;
    entry_apply(values->note, &flag->note);
    return entry_apply_last_day(call, "--until ", values->until, &flag->to_day, err);
}

/* "flag ada pregnant --until DATE" ends the one that is open. */
static bool pick_flag(const struct roster_call *call, const struct rider *rider, const void *raw,
                      void *row, bool *is_new, struct error *err)
{
    const struct flag_values *values = raw;
    struct flag *flags = NULL;
    size_t count = 0;
    if (values->until == NULL || values->from != NULL || call->n_words < 2) {
        return true;
    }
    if (!entries_list(call->roster, call->arena, &flag_kind, rider->id, &flags, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (strcmp(flags[i].kind, call->words[1]) == 0 && flags[i].to_day == NULL) {
            memcpy(row, &flags[i], sizeof flags[i]);
            *is_new = false;
        }
    }
    return true;
}

static const char *flag_day(const void *row)
{
    return ((const struct flag *)row)->from_day;
}

/* ---- consent ---- */

struct consent_values {
    struct entry_values entry;
    const char *given;
    const char *by;
    const char *withdrawn;
};

#define ROW(field) offsetof(struct consent_values, field), 0, 0
static const struct option_row consent_options[] = {
    { "given", OPTION_TEXT, "DATE", "the day; today unless said", ROW(given) },
    { "by", OPTION_TEXT, "NAME", "who gave it; under 18 the guardian", ROW(by) },
    { "withdrawn", OPTION_TEXT, "DATE", "from this day on it holds no more", ROW(withdrawn) },
    ENTRY_OPTIONS,
};
#undef ROW

static bool apply_consent(const struct roster_call *call, const void *raw, void *row, bool is_new,
                          struct error *err)
{
    const struct consent_values *values = raw;
    struct consent *consent = row;
    const char *words = entry_words(call, 2);
    if (is_new && call->n_words < 2) {
        return error_set(err, ERROR_USAGE, "say to what: letters, handouts or studies");
    }
    consent->kind = call->n_words > 1 ? call->words[1] : consent->kind;
    consent->words = words != NULL ? words : consent->words;
    consent->given_day = values->given != NULL ? values->given
                         : is_new              ? call->today
                                               : consent->given_day;
    entry_apply(values->by, &consent->given_by);
    entry_apply(values->withdrawn, &consent->withdrawn_day);
    return entry_not_future(call, "--given ", consent->given_day, err) &&
           entry_not_future(call, "--withdrawn ", consent->withdrawn_day, err);
}

/* "consent ada letters --withdrawn DATE" ends the one that holds. */
static bool pick_consent(const struct roster_call *call, const struct rider *rider, const void *raw,
                         void *row, bool *is_new, struct error *err)
{
    const struct consent_values *values = raw;
    struct consent *all = NULL;
    size_t count = 0;
    if (values->withdrawn == NULL || values->given != NULL || call->n_words != 2) {
        return true;
    }
    if (!entries_list(call->roster, call->arena, &consent_kind, rider->id, &all, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (strcmp(all[i].kind, call->words[1]) == 0 && all[i].withdrawn_day == NULL) {
            memcpy(row, &all[i], sizeof all[i]);
            *is_new = false;
        }
    }
    return !*is_new || error_set(err, ERROR_NOT_FOUND, "%s has given no consent to %.40s",
                                 rider->name, call->words[1]);
}

static const char *consent_day(const void *row)
{
    return ((const struct consent *)row)->given_day;
}

/* ---- the acts ---- */

enum { WORDS_MOST = 200 };

#define ACT(which, most)                                                                           \
    static bool run_##which(struct roster_call *call, const void *values, struct error *err)       \
    {                                                                                              \
        return entry_run(call, &which##_act, values, err);                                         \
    }                                                                                              \
    static const struct roster_work which##_work = { .command = &command_rider_##which,            \
                                                     .least_words = 1,                             \
                                                     .most_words = (most),                         \
                                                     .check = check_##which,                       \
                                                     .run = run_##which };                         \
    static int which##_run(int argc, char *const argv[])                                           \
    {                                                                                              \
        struct which##_values values = { 0 };                                                      \
        return roster_call(&which##_work, argc, argv, &values);                                    \
    }

static bool check_screening(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct screening_values *values = raw;
    if (values->no_to_all && values->yes != NULL) {
        return roster_usage(screening_act.work, "--no-to-all and --yes: say one of them", err);
    }
    if (values->cleared_on != NULL && values->cleared_by == NULL && values->entry.change == NULL) {
        return roster_usage(screening_act.work, "--cleared-on: say who, with --cleared-by", err);
    }
    return entry_check(call, &screening_act, raw, err);
}

static bool check_flag(const struct roster_call *call, const void *values, struct error *err)
{
    return entry_check(call, &flag_act, values, err);
}

static bool check_consent(const struct roster_call *call, const void *values, struct error *err)
{
    return entry_check(call, &consent_act, values, err);
}

ACT(screening, 1)
ACT(flag, 2)
ACT(consent, WORDS_MOST)

const struct entry_act screening_act = {
    .kind = &screening_kind,
    .work = &screening_work,
    .plural = "Screenings",
    .apply = apply_screening,
    .pick = pick_screening,
    .save = save_screening,
    .known_day = screening_day,
    .when_none = ask_questions,
};

const struct entry_act flag_act = {
    .kind = &flag_kind,
    .work = &flag_work,
    .plural = "Flags",
    .apply = apply_flag,
    .pick = pick_flag,
    .known_day = flag_day,
};

const struct entry_act consent_act = {
    .kind = &consent_kind,
    .work = &consent_work,
    .plural = "Consents",
    .apply = apply_consent,
    .pick = pick_consent,
    .known_day = consent_day,
};

const struct command command_rider_screening = {
    .name = "rider screening",
    .usage = "RIDER [options]",
    .summary = "the seven questions before hard work, and who cleared a yes",
    .about = "Records the answers, dated. Any yes, or no answers on file, is shown as: medical "
             "advice first. A doctor's clearance is recorded with name and day; --cleared-by alone "
             "clears the newest screening. A yes to medicine or pregnancy also raises that flag. "
             "Without options: lists them, or prints the questions.",
    .options = screening_options,
    .n_options = N_ROWS(screening_options),
    .run = screening_run,
};

const struct command command_rider_flag = {
    .name = "rider flag",
    .usage = "RIDER [KIND] [options]",
    .summary = "what switches readings off: medicine, pregnancy; a guardian",
    .about = "KIND is heart-medicine (nothing is read as a share of the maximal heart rate), "
             "pregnant (verdicts from heart rate are off) or guardian-agreed (under 18). Without "
             "KIND: lists them with their numbers.",
    .options = flag_options,
    .n_options = N_ROWS(flag_options),
    .run = flag_run,
};

const struct command command_rider_consent = {
    .name = "rider consent",
    .usage = "RIDER [KIND [WORDS...]] [options]",
    .summary = "what the rider agreed to: letters, handouts, studies",
    .about = "Such as: rider consent ada studies drift study, by mail. KIND is letters, handouts "
             "or studies. --withdrawn DATE ends the one that holds. Without KIND: lists them with "
             "their numbers.",
    .options = consent_options,
    .n_options = N_ROWS(consent_options),
    .run = consent_run,
};
