/* roster/entries.h: what a coach writes of a rider entry by entry: goals, events, days off, flags.
 *
 *     struct event race = { .day = "2026-06-14", .name = "Three Lakes", .priority = "A" };
 *     entries_save(roster, arena, now, &event_kind, &rider, &race, &err)
 *
 *     race.note = "hilly";
 *     entries_save(...)
 *
 * The first adds it and fills race.entry; the second edits it, unless somebody else did meanwhile.
 *
 * A kind of entry is a table, its struct (whose first field is struct entry), and what may stand in
 * it.  Adding, editing and taking away are changes in one plain sentence, and can be taken back. */
#ifndef ROSTER_ENTRIES_H
#define ROSTER_ENTRIES_H

#include "roster/changes.h"
#include "roster/riders.h"

/* The first field of every kind's struct. */
struct entry {
    int64_t id;       /* 0 = not in the roster yet */
    int64_t version;  /* as last seen; 0 = whatever it is */
    const char *said; /* saving and removing fill it: the change in words */
};

#define ENTRY_EDITS_MOST 16

struct entry_kind {
    const char *name;  /* "event" */
    const char *act;   /* the command line's word for it, after `rider` */
    const char *lists; /* the command that lists them; NULL = "rider" and the act */
    const char *table;
    const char *subject; /* "Event", as a sentence begins */
    const char *columns; /* those after id and version */
    const char *shape;   /* of the same, as db_query takes it */
    const char *order;   /* of a list; the id is added */
    size_t size;         /* of the struct */
    /* From a row of a result, whose columns 2.. are `columns`. */
    void (*take)(const struct db_rows *rows, size_t i, void *row);
    /* What it says, without the rider: "2026-06-14 Three Lakes (A)".  All columns show in it. */
    const char *(*describe)(struct arena *arena, const void *row);
    size_t (*edits)(const void *row, struct edit edits[ENTRY_EDITS_MOST]);
    /* Cleans words; ERROR_USAGE if they are none, or days are no days or in no order. */
    bool (*clean)(struct arena *arena, void *row, struct error *err);
    /* Against the rider and the other entries, inside the transaction; NULL = always. */
    bool (*fits)(struct db *db, struct arena *arena, const struct rider *rider, const void *row,
                 struct error *err);
};

/* All of a rider, in the kind's order; *out is an array of the kind's struct. */
MUST_USE bool entries_list(struct roster *roster, struct arena *arena,
                           const struct entry_kind *kind, int64_t rider, void *out, size_t *count,
                           struct error *err);

/* The same within a db_read or db_write. */
MUST_USE bool entries_read(struct db *db, struct arena *arena, const struct entry_kind *kind,
                           int64_t rider, void *out, size_t *count, struct error *err);

/* The one of that number into *row; ERROR_NOT_FOUND if the rider has none such. */
MUST_USE bool entries_find(struct roster *roster, struct arena *arena,
                           const struct entry_kind *kind, const struct rider *rider, int64_t id,
                           void *row, struct error *err);

/* Adds (id 0) or edits.  Nothing changed = no change recorded, and `said` says so.
 * ERROR_USAGE, ERROR_CONFLICT (another entry contradicts it, or somebody edited it since). */
MUST_USE bool entries_save(struct roster *roster, struct arena *arena, struct roster_now now,
                           const struct entry_kind *kind, const struct rider *rider, void *row,
                           struct error *err);

/* The same; `then` (NULL = nothing) is called within the change, the entry as it will be already
 * readable: if it fails, nothing is saved.  It may be called again, as any db_work. */
MUST_USE bool entries_save_with(struct roster *roster, struct arena *arena, struct roster_now now,
                                const struct entry_kind *kind, const struct rider *rider, void *row,
                                db_work *then, void *context, struct error *err);

/* Takes *row (its id and version) away. */
MUST_USE bool entries_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                             const struct entry_kind *kind, const struct rider *rider, void *row,
                             struct error *err);

/* Within a db_write of several: the same checks, as a part of that change. */
MUST_USE bool entries_put(struct change *change, const struct entry_kind *kind,
                          const struct rider *rider, void *row, struct error *err);

/* ---- for the kinds ---- */

/* NULL and "" become NULL; else cleaned (NFC, no control characters, no blanks at the ends).
 * False (ERROR_USAGE) if longer than `most` letters, or if there is nothing and `must`. */
MUST_USE bool entry_clean_words(struct arena *arena, const char *what, const char **words,
                                size_t most, bool must, struct error *err);

/* A day from 1900 to 2199, or NULL where `must` is false. */
MUST_USE bool entry_day_is_sound(const char *what, const char *day, bool must, struct error *err);

/* Both sound, and to, if there is one, after from. */
MUST_USE bool entry_span_is_sound(const char *from_day, const char *to_day, struct error *err);

/* The day so many days later; in the arena. */
const char *entry_day_after(struct arena *arena, const char *day, int64_t days);

/* Days from one day to another; both are sound. */
int64_t entry_days_between(const char *from_day, const char *to_day);

/* "from 2026-03-01 to 2026-03-05" (the last day that counts), "on 2026-03-01", "from 2026-03-01
 * on". */
const char *entry_span_in_words(struct arena *arena, const char *from_day, const char *to_day);

#define ENTRY_WORDS_MOST 500
#define ENTRY_NAME_MOST  80

#endif
