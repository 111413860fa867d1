/* cli/entry_call.h: the acts that keep a rider's entries: listing, adding, changing, taking away.
 *
 *     plumbline rider event ada                                     lists them with their numbers
 *     plumbline rider event ada 2026-06-14 Three Lakes --weight A   adds one
 *     plumbline rider event ada --change 4 --weight B               changes number 4
 *     plumbline rider event ada --remove 4                          takes it away
 */
#ifndef CLI_ENTRY_CALL_H
#define CLI_ENTRY_CALL_H

#include "cli/roster_call.h"
#include "server/answers/entries.h"

/* The first field of such an act's values. */
struct entry_values {
    struct roster_values common;
    const char *change;
    const char *remove;
};

#define ENTRY_OPTIONS                                                                              \
    { "change",                                                                                    \
      OPTION_TEXT,                                                                                 \
      "NUMBER",                                                                                    \
      "change the one of that number: what else is said replaces what it had",                     \
      offsetof(struct entry_values, change),                                                       \
      0,                                                                                           \
      0 },                                                                                         \
        { "remove",                                                                                \
          OPTION_TEXT,                                                                             \
          "NUMBER",                                                                                \
          "take the one of that number away",                                                      \
          offsetof(struct entry_values, remove),                                                   \
          0,                                                                                       \
          0 },                                                                                     \
        ROSTER_OPTIONS

struct entry_act {
    const struct entry_kind *kind;
    const struct roster_work *work;
    const char *plural; /* "Events" */
    /* Puts what the call says into the row: a new one, or the one being changed.  ERROR_USAGE. */
    bool (*apply)(const struct roster_call *call, const void *values, void *row, bool is_new,
                  struct error *err);
    /* Without --change: the entry that the call means to change, into *row, *is_new false.
     * NULL = it always means a new one. */
    bool (*pick)(const struct roster_call *call, const struct rider *rider, const void *values,
                 void *row, bool *is_new, struct error *err);
    /* The day from which it was known; entries of days after today are left out.  NULL = all. */
    const char *(*known_day)(const void *row);
    /* Saves it otherwise than by entries_save; NULL = so. */
    bool (*save)(struct roster_call *call, const struct rider *rider, void *row, struct error *err);
    /* Says more when there is none; NULL = no more to say. */
    void (*when_none)(struct roster_call *call);
};

/* Checks --change and --remove, before the roster is opened. */
MUST_USE bool entry_check(const struct roster_call *call, const struct entry_act *act,
                          const struct entry_values *values, struct error *err);

/* All of the act; values begin with struct entry_values. */
MUST_USE bool entry_run(struct roster_call *call, const struct entry_act *act, const void *values,
                        struct error *err);

/* words[from..] of the call with one blank between; NULL if there are none. */
const char *entry_words(const struct roster_call *call, size_t from);

/* An option's words: "" takes a field away. */
void entry_apply(const char *given, const char **field);

/* The same for the last day that counts: the field gets the day after it. */
MUST_USE bool entry_apply_last_day(const struct roster_call *call, const char *what,
                                   const char *given, const char **to_day, struct error *err);

/* ERROR_USAGE if the day is after today: what is told of it can't be known yet. */
MUST_USE bool entry_not_future(const struct roster_call *call, const char *what, const char *day,
                               struct error *err);

#endif
