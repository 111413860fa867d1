/* cli/rider_days.c: plumbline rider ill, injured, away, off, back, available. */
#include "cli/rider_acts.h"

#include "roster/season.h"

#include <string.h>

#define N_ROWS(rows) (sizeof(rows) / sizeof(rows)[0])

/* ---- ill, injured, away, off ---- */

struct day_off_values {
    struct entry_values entry;
    const char *note;
    bool is_break; /* of `off` alone */
};

#define ROW(field) offsetof(struct day_off_values, field), 0, 0
#define NOTE                                                                                       \
    {                                                                                              \
        "note", OPTION_TEXT, "WORDS", "a note", ROW(note)                                          \
    }
static const struct option_row day_off_options[] = { NOTE, ROSTER_LATER, ROSTER_OPTIONS };
static const struct option_row off_options[] = {
    { "break", OPTION_FLAG, NULL, "a break from training", ROW(is_break) },
    NOTE,
    ROSTER_LATER,
    ENTRY_OPTIONS,
};
#undef ROW

/* What the act's word says: "rider ill" is of the kind ill; "rider off" is other, or a break. */
static const char *kind_of(const struct roster_call *call, const struct day_off_values *values,
                           const struct day_off *was)
{
    if (values->is_break) {
        return "break";
    }
    if (was->kind != NULL) {
        return was->kind;
    }
    return strcmp(call->act, "off") == 0 ? "other" : call->act;
}

static bool apply_day_off(const struct roster_call *call, const void *raw, void *row, bool is_new,
                          struct error *err)
{
    const struct day_off_values *values = raw;
    struct day_off *off = row;
    off->kind = kind_of(call, values, off);
    off->from_day = call->n_words > 1 ? call->words[1] : is_new ? call->today : off->from_day;
    entry_apply(values->note, &off->note);
    if (call->n_words > 2 && !entry_apply_last_day(call, "", call->words[2], &off->to_day, err)) {
        return false;
    }
    const bool is_plan = strcmp(off->kind, "ill") != 0 && strcmp(off->kind, "injured") != 0;
    return is_plan || entry_not_future(call, "", off->from_day, err);
}

static bool check_off(const struct roster_call *call, const void *values, struct error *err)
{
    return entry_check(call, &day_off_act, values, err);
}

static bool run_off(struct roster_call *call, const void *values, struct error *err)
{
    return entry_run(call, &day_off_act, values, err);
}

/* "rider ill ada" has all it needs: there is nothing to list, today is meant. */
static bool run_since_today(struct roster_call *call, const void *raw, struct error *err)
{
    if (call->n_words < 2) {
        call->words[call->n_words++] = call->today;
    }
    return entry_run(call, &day_off_act, raw, err);
}

static const struct roster_work off_work = {
    .command = &command_rider_off,
    .least_words = 1,
    .most_words = 3,
    .check = check_off,
    .run = run_off,
};
static const struct roster_work ill_work = {
    .command = &command_rider_ill,
    .least_words = 1,
    .most_words = 3,
    .run = run_since_today,
};
static const struct roster_work injured_work = {
    .command = &command_rider_injured,
    .least_words = 1,
    .most_words = 3,
    .run = run_since_today,
};
static const struct roster_work away_work = {
    .command = &command_rider_away,
    .least_words = 1,
    .most_words = 3,
    .run = run_since_today,
};

const struct entry_act day_off_act = {
    .kind = &day_off_kind,
    .work = &off_work,
    .plural = "Days off",
    .apply = apply_day_off,
};

#define RUN(which)                                                                                 \
    static int which##_run(int argc, char *const argv[])                                           \
    {                                                                                              \
        struct day_off_values values = { 0 };                                                      \
        return roster_call(&which##_work, argc, argv, &values);                                    \
    }

RUN(off)
RUN(ill)
RUN(injured)
RUN(away)

#define ABOUT_DAYS                                                                                 \
    " From today unless said, until `rider back` unless a last day is named; both days count. "    \
    "rider off lists all days off."

const struct command command_rider_ill = {
    .name = "rider ill",
    .usage = "RIDER [FROM [TO]] [options]",
    .summary = "days of illness",
    .about = "Such as: rider ill ada 2026-03-01 2026-03-04. A ride of such a day is read as ridden "
             "ill." ABOUT_DAYS,
    .options = day_off_options,
    .n_options = N_ROWS(day_off_options),
    .run = ill_run,
};

const struct command command_rider_injured = {
    .name = "rider injured",
    .usage = "RIDER [FROM [TO]] [options]",
    .summary = "days of injury",
    .about = "Such as: rider injured ada 2026-03-01 --note \"left knee\"." ABOUT_DAYS,
    .options = day_off_options,
    .n_options = N_ROWS(day_off_options),
    .run = injured_run,
};

const struct command command_rider_away = {
    .name = "rider away",
    .usage = "RIDER [FROM [TO]] [options]",
    .summary = "days away from the bike, planned or not",
    .about = "Such as: rider away ada 2026-07-01 2026-07-14." ABOUT_DAYS,
    .options = day_off_options,
    .n_options = N_ROWS(day_off_options),
    .run = away_run,
};

const struct command command_rider_off = {
    .name = "rider off",
    .usage = "RIDER [FROM [TO]] [options]",
    .summary = "other days off; lists and changes all of them",
    .about = "Such as: rider off ada 2026-12-24 2026-12-26. Without days: lists what is on file of "
             "ill, injured, away and off, with numbers. --change NUMBER takes new days and notes.",
    .options = off_options,
    .n_options = N_ROWS(off_options),
    .run = off_run,
};

/* ---- back ---- */

static const struct option_row back_options[] = { ROSTER_LATER, ROSTER_OPTIONS };

static bool run_back(struct roster_call *call, const void *values, struct error *err)
{
    struct rider rider = { 0 };
    const char *said = NULL;
    const char *day = call->n_words > 1 ? call->words[1] : call->today;
    (void)values;
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !season_back(call->roster, call->arena, call->now, &rider, day, &said, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        json_string(&json, "back", day);
        json_string(&json, "words", said);
        json_end_object(&json);
    } else {
        text_add_wrapped(&call->out, said, 0, 2, 80);
    }
    return true;
}

static const struct roster_work back_work = {
    .command = &command_rider_back,
    .least_words = 1,
    .most_words = 2,
    .run = run_back,
};

static int back_run(int argc, char *const argv[])
{
    struct roster_values values = { 0 };
    return roster_call(&back_work, argc, argv, &values);
}

const struct command command_rider_back = {
    .name = "rider back",
    .usage = "RIDER [DATE] [options]",
    .summary = "training again, from a day on",
    .about = "Ends what the rider was off for, the day before; today unless a day is named.",
    .options = back_options,
    .n_options = N_ROWS(back_options),
    .run = back_run,
};

/* ---- available ---- */

struct available_values {
    struct roster_values common;
    const char *from;
    bool remove;
};

#define ROW(field) offsetof(struct available_values, field), 0, 0
static const struct option_row available_options[] = {
    { "from", OPTION_TEXT, "DATE", "the day from which it holds; today unless said", ROW(from) },
    { "remove", OPTION_FLAG, NULL, "take away the week of the day named by --from", ROW(remove) },
    ROSTER_OPTIONS,
};
#undef ROW

static bool list_weeks(struct roster_call *call, const struct rider *rider, struct error *err)
{
    struct week *weeks = NULL;
    size_t count = 0;
    if (!availability_list(call->roster, call->arena, rider->id, NULL, &weeks, &count, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_array(&json, NULL);
        for (size_t i = 0; i < count; i++) {
            week_json(&json, NULL, &weeks[i], JSON_TO_READ);
        }
        json_end_array(&json);
        return true;
    }
    text_add_wrapped(&call->out, arena_format(call->arena, "Time of %s", rider->name), 0, 2, 80);
    for (size_t i = 0; i < count; i++) {
        text_add_format(&call->out, "  %s  ", weeks[i].from_day);
        text_add_wrapped(&call->out, availability_in_words(call->arena, &weeks[i]), 14, 14, 80);
    }
    if (count == 0) {
        text_add(&call->out, "  none yet\n");
    }
    return true;
}

static bool check_available(const struct roster_call *call, const void *raw, struct error *err);

/* What the call says of the week; false names what can't be read. */
static bool take_week(const struct roster_call *call, const struct available_values *values,
                      struct week *week, struct error *err)
{
    const char *words = entry_words(call, 1);
    week->from_day = values->from != NULL ? values->from : call->today;
    return words == NULL || availability_parse(call->arena, words, week, err);
}

static bool run_available(struct roster_call *call, const void *raw, struct error *err)
{
    const struct available_values *values = raw;
    struct rider rider = { 0 };
    struct week week = { 0 };
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !take_week(call, values, &week, err)) {
        return false;
    }
    if (call->n_words < 2 && !values->remove) {
        return list_weeks(call, &rider, err);
    }
    const bool done =
        values->remove
            ? availability_remove(call->roster, call->arena, call->now, &rider, &week, err)
            : availability_set(call->roster, call->arena, call->now, &rider, &week, err);
    if (done && call->json) {
        struct json json = json_begin(&call->out);
        week_json(&json, NULL, &week, JSON_TO_READ);
    } else if (done) {
        text_add_wrapped(&call->out, week.said, 0, 2, 80);
    }
    return done;
}

static const struct roster_work available_work = {
    .command = &command_rider_available,
    .least_words = 1,
    .most_words = 60,
    .check = check_available,
    .run = run_available,
};

static bool check_available(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct available_values *values = raw;
    struct week week = { 0 };
    if (values->remove && (call->n_words > 1 || values->from == NULL)) {
        return roster_usage(&available_work,
                            "--remove: takes away the week of --from DATE, and no words", err);
    }
    if (call->n_words < 2 && !values->remove && values->from != NULL) {
        return roster_usage(&available_work, "--from: say the week's time as well", err);
    }
    return take_week(call, values, &week, err);
}

static int available_run(int argc, char *const argv[])
{
    struct available_values values = { 0 };
    return roster_call(&available_work, argc, argv, &values);
}

const struct command command_rider_available = {
    .name = "rider available",
    .usage = "RIDER [DAY MINUTES [WHERE], ...] [options]",
    .summary = "the time there is, by weekday",
    .about = "Such as: rider available ada mon 60 indoors, tue-thu 45, sat 3h outdoors. The whole "
             "week is told at once: a day that isn't named has no time; none is a week without "
             "any. Times are minutes, or 1h, 1h30, 1:30. Without words: lists them.",
    .options = available_options,
    .n_options = N_ROWS(available_options),
    .run = available_run,
};
