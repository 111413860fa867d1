/* roster/season.h: what a rider's season is made for: goals, events, blocks, and days without
 * training.  Spans of days are half open: to_day is the first day that no longer counts. */
#ifndef ROSTER_SEASON_H
#define ROSTER_SEASON_H

#include "roster/entries.h"

struct goal {
    struct entry entry;
    const char *words;
    const char *from_day;
    const char *due_day;     /* NULL = no day set, as the next */
    const char *reached_day; /* NULL = not yet */
};

struct event {
    struct entry entry;
    const char *day;
    const char *name;
    const char *priority; /* "A" the season's aim, "B", "C" */
    const char *note;
};

/* Two of one rider don't overlap. */
struct block {
    struct entry entry;
    const char *name; /* "base" */
    const char *from_day;
    const char *to_day;
    const char *note;
};

/* Two of one kind don't overlap; ill while away is no contradiction. */
struct day_off {
    struct entry entry;
    const char *kind; /* ill, injured, away, break, other */
    const char *from_day;
    const char *to_day; /* NULL = still so */
    const char *note;
};

extern const struct entry_kind goal_kind;
extern const struct entry_kind event_kind;
extern const struct entry_kind block_kind;
extern const struct entry_kind day_off_kind;

/* "ill", "away", "not training": as a sentence says it. */
const char *day_off_in_words(const char *kind);

/* The first day of training again: every entry that held on the day before ends there, whether it
 * was open or would have gone on.  *said gets the change in words.  ERROR_NOT_FOUND if none held.
 */
MUST_USE bool season_back(struct roster *roster, struct arena *arena, struct roster_now now,
                          const struct rider *rider, const char *day, const char **said,
                          struct error *err);

#define DAY_OFF_DAYS_MOST 730 /* a longer one is a slip of the year; common practice, no source */

#endif
