/* cli/rider_season.c: plumbline rider goal, event, block, contact. */
#include "cli/rider_acts.h"

#include "roster/contacts.h"
#include "roster/season.h"

#include <string.h>

#define N_ROWS(rows) (sizeof(rows) / sizeof(rows)[0])

/* ---- goal ---- */

struct goal_values {
    struct entry_values entry;
    const char *from;
    const char *due;
    const char *reached;
};

#define ROW(field) offsetof(struct goal_values, field), 0, 0
static const struct option_row goal_options[] = {
    { "due", OPTION_TEXT, "DATE", "by when", ROW(due) },
    { "reached", OPTION_TEXT, "DATE", "reached on that day", ROW(reached) },
    { "from", OPTION_TEXT, "DATE", "the day it was set; today unless said", ROW(from) },
    ENTRY_OPTIONS,
};
#undef ROW

static bool apply_goal(const struct roster_call *call, const void *raw, void *row, bool is_new,
                       struct error *err)
{
    const struct goal_values *values = raw;
    struct goal *goal = row;
    const char *words = entry_words(call, 1);
    goal->words = words != NULL ? words : goal->words;
    goal->from_day = values->from != NULL ? values->from : is_new ? call->today : goal->from_day;
    entry_apply(values->due, &goal->due_day);
    entry_apply(values->reached, &goal->reached_day);
    return entry_not_future(call, "--reached ", goal->reached_day, err);
}

/* "--reached DATE" alone means the only goal that is open. */
static bool pick_goal(const struct roster_call *call, const struct rider *rider, const void *raw,
                      void *row, bool *is_new, struct error *err)
{
    const struct goal_values *values = raw;
    struct goal *goals = NULL;
    size_t count = 0;
    size_t open = 0;
    if (call->n_words > 1 || values->reached == NULL) {
        return true;
    }
    if (!entries_list(call->roster, call->arena, &goal_kind, rider->id, &goals, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (goals[i].reached_day == NULL && open++ == 0) {
            memcpy(row, &goals[i], sizeof goals[i]);
        }
    }
    *is_new = false;
    if (open == 0) {
        return error_set(err, ERROR_NOT_FOUND, "%s has no goal that is open", rider->name);
    }
    return open == 1 ||
           error_set(err, ERROR_CONFLICT, "%s has %zu goals open; say which, with --change NUMBER",
                     rider->name, open);
}

static const char *goal_day(const void *row)
{
    return ((const struct goal *)row)->from_day;
}

/* ---- event ---- */

struct event_values {
    struct entry_values entry;
    const char *weight;
    const char *note;
};

#define ROW(field) offsetof(struct event_values, field), 0, 0
static const struct option_row event_options[] = {
    { "weight", OPTION_TEXT, "A|B|C", "how much it matters: A is the season's aim", ROW(weight) },
    { "note", OPTION_TEXT, "WORDS", "a note", ROW(note) },
    ENTRY_OPTIONS,
};
#undef ROW

static bool apply_event(const struct roster_call *call, const void *raw, void *row, bool is_new,
                        struct error *err)
{
    const struct event_values *values = raw;
    struct event *event = row;
    const char *name = entry_words(call, 2);
    if (is_new && name == NULL) {
        return error_set(err, ERROR_USAGE,
                         "an event has a day and a name, such as: 2026-06-14 Three Lakes");
    }
    event->day = call->n_words > 1 ? call->words[1] : event->day;
    event->name = name != NULL ? name : event->name;
    entry_apply(values->weight, &event->priority);
    entry_apply(values->note, &event->note);
    return true;
}

/* ---- block ---- */

struct block_values {
    struct entry_values entry;
    const char *from;
    const char *until;
    const char *note;
};

#define ROW(field) offsetof(struct block_values, field), 0, 0
static const struct option_row block_options[] = {
    { "until", OPTION_TEXT, "DATE", "its last day", ROW(until) },
    { "from", OPTION_TEXT, "DATE", "its first day; today unless said", ROW(from) },
    { "note", OPTION_TEXT, "WORDS", "a note", ROW(note) },
    ENTRY_OPTIONS,
};
#undef ROW

static bool apply_block(const struct roster_call *call, const void *raw, void *row, bool is_new,
                        struct error *err)
{
    const struct block_values *values = raw;
    struct block *block = row;
    const char *name = entry_words(call, 1);
    if (is_new && values->until == NULL) {
        return error_set(err, ERROR_USAGE, "a block ends some day: --until DATE");
    }
    block->name = name != NULL ? name : block->name;
    block->from_day = values->from != NULL ? values->from : is_new ? call->today : block->from_day;
    entry_apply(values->note, &block->note);
    return entry_apply_last_day(call, "--until ", values->until, &block->to_day, err);
}

/* ---- contact ---- */

struct contact_values {
    struct entry_values entry;
    const char *on;
    const char *how;
};

#define ROW(field) offsetof(struct contact_values, field), 0, 0
static const struct option_row contact_options[] = {
    { "on", OPTION_TEXT, "DATE", "the day; today unless said", ROW(on) },
    { "how", OPTION_TEXT, "WORDS", "by phone, mail, at the track", ROW(how) },
    ENTRY_OPTIONS,
};
#undef ROW

static bool apply_contact(const struct roster_call *call, const void *raw, void *row, bool is_new,
                          struct error *err)
{
    const struct contact_values *values = raw;
    struct contact *contact = row;
    const char *words = entry_words(call, 1);
    contact->words = words != NULL ? words : contact->words;
    contact->day = values->on != NULL ? values->on : is_new ? call->today : contact->day;
    entry_apply(values->how, &contact->how);
    return entry_not_future(call, "--on ", contact->day, err);
}

static const char *contact_day(const void *row)
{
    return ((const struct contact *)row)->day;
}

/* ---- the acts ---- */

enum { WORDS_MOST = 200 };

/* An act's functions and tables, of one shape. */
#define ACT(which)                                                                                 \
    static bool check_##which(const struct roster_call *call, const void *values,                  \
                              struct error *err)                                                   \
    {                                                                                              \
        return entry_check(call, &which##_act, values, err);                                       \
    }                                                                                              \
    static bool run_##which(struct roster_call *call, const void *values, struct error *err)       \
    {                                                                                              \
        return entry_run(call, &which##_act, values, err);                                         \
    }                                                                                              \
    static const struct roster_work which##_work = { .command = &command_rider_##which,            \
                                                     .least_words = 1,                             \
                                                     .most_words = WORDS_MOST,                     \
                                                     .check = check_##which,                       \
                                                     .run = run_##which };                         \
    static int which##_run(int argc, char *const argv[])                                           \
    {                                                                                              \
        struct which##_values values = { 0 };                                                      \
        return roster_call(&which##_work, argc, argv, &values);                                    \
    }

ACT(goal)
ACT(event)
ACT(block)
ACT(contact)

const struct entry_act goal_act = {
    .kind = &goal_kind,
    .work = &goal_work,
    .plural = "Goals",
    .apply = apply_goal,
    .pick = pick_goal,
    .known_day = goal_day,
};

const struct entry_act event_act = {
    .kind = &event_kind,
    .work = &event_work,
    .plural = "Events",
    .apply = apply_event,
};

const struct entry_act block_act = {
    .kind = &block_kind,
    .work = &block_work,
    .plural = "Blocks",
    .apply = apply_block,
};

const struct entry_act contact_act = {
    .kind = &contact_kind,
    .work = &contact_work,
    .plural = "Contacts",
    .apply = apply_contact,
    .known_day = contact_day,
};

#define ABOUT_LIST " Without words: lists them with their numbers."

const struct command command_rider_goal = {
    .name = "rider goal",
    .usage = "RIDER [WORDS...] [options]",
    .summary = "what the rider is after",
    .about = "One line of what the rider wants, such as: rider goal ada finish the 120 km ride "
             "--due 2026-08-01. --reached DATE alone closes the only open one." ABOUT_LIST,
    .options = goal_options,
    .n_options = N_ROWS(goal_options),
    .run = goal_run,
};

const struct command command_rider_event = {
    .name = "rider event",
    .usage = "RIDER [DATE NAME...] [options]",
    .summary = "a race or a ride that matters",
    .about = "Such as: rider event ada 2026-06-14 Three Lakes --weight A. A is what the season is "
             "for, B is ridden rested, C out of training." ABOUT_LIST,
    .options = event_options,
    .n_options = N_ROWS(event_options),
    .run = event_run,
};

const struct command command_rider_block = {
    .name = "rider block",
    .usage = "RIDER [NAME...] [options]",
    .summary = "a stretch of training with one aim",
    .about = "Such as: rider block ada base --until 2026-01-12. Both days count. Two blocks of one "
             "rider don't overlap." ABOUT_LIST,
    .options = block_options,
    .n_options = N_ROWS(block_options),
    .run = block_run,
};

const struct command command_rider_contact = {
    .name = "rider contact",
    .usage = "RIDER [WORDS...] [options]",
    .summary = "when you spoke, and of what",
    .about = "Such as: rider contact ada knee is fine, wants hills --how phone." ABOUT_LIST,
    .options = contact_options,
    .n_options = N_ROWS(contact_options),
    .run = contact_run,
};
