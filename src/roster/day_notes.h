/* roster/day_notes.h: what was so on a day, or on one ride of it.
 *
 *     day   2026-03-14   slept badly             holds for both rides
 *       ├─ ride 7        no fan, effort 8        holds for this ride and its other recordings
 *       └─ ride 8
 *
 * Several notes may stand on one day: what any of them says was so, was so; where they contradict
 * each other (a fan, and no fan) the ride's own note wins, then the later one. */
#ifndef ROSTER_DAY_NOTES_H
#define ROSTER_DAY_NOTES_H

#include "coaching/day_answers.h"
#include "roster/facts.h"

struct day_note {
    int64_t id;
    int64_t version;
    int64_t rider;
    const char *day;   /* NULL when added for a ride: the ride's */
    int64_t recording; /* 0 = the whole day */
    struct day_answers answers;
    const char *words; /* the rider's own, lines kept; NULL = none */
    const char *said;  /* filled by add, edit and remove: the change in words */
};

/* Fills id, version, day, said.  ERROR_USAGE: nothing said, a value out of its range, no such day;
 * ERROR_CONFLICT: the ride is another rider's, or of another day. */
MUST_USE bool day_notes_add(struct roster *roster, struct arena *arena, struct roster_now now,
                            const struct rider *rider, struct day_note *note, struct error *err);

/* Writes all of the note with that id; version as last seen, 0 = whatever it is. */
MUST_USE bool day_notes_edit(struct roster *roster, struct arena *arena, struct roster_now now,
                             const struct rider *rider, struct day_note *note, struct error *err);

/* *out gets what was taken away. */
MUST_USE bool day_notes_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                               const struct rider *rider, int64_t id, struct day_note *out,
                               struct error *err);

/* One of this rider's notes; ERROR_NOT_FOUND. */
MUST_USE bool day_notes_find(struct roster *roster, struct arena *arena, const struct rider *rider,
                             int64_t id, struct day_note *out, struct error *err);

/* The newest first; from_day NULL = from the first, to_day NULL = to the last, else the first day
 * that no longer counts. */
MUST_USE bool day_notes_list(struct roster *roster, struct arena *arena, int64_t rider,
                             const char *from_day, const char *to_day, struct day_note **out,
                             size_t *count, struct error *err);

/* The notes of the ride's day, then those of the ride and of its other recordings, as they were
 * added. */
MUST_USE bool day_notes_of_ride(struct db *db, struct arena *arena, const struct ride_facts *ride,
                                struct day_note **out, size_t *count, struct error *err);

/* What they say that may be used, into out->day, out->fan_known and out->effort_0_10: a later one,
 * and the ride's own, over an earlier one.  A temperature from which on a ride counts as hot (limit
 * hot_mean_c) is heat. */
MUST_USE bool day_notes_on(struct db *db, struct arena *arena, const struct ride_facts *ride,
                           struct rider_facts *out, struct error *err);

/* What it says on one line: "legs 2 of 5, fan no; "legs were heavy..."". */
const char *day_note_say(struct arena *arena, const struct day_note *note);

#define DAY_NOTE_WORDS_MOST 8000

/* Words as they are kept: clean, with their lines, no blanks at the ends; NULL when nothing is
 * left.
 */
const char *day_notes_words(struct arena *arena, const char *words);

#endif
