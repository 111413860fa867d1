/* roster/sessions.h: what a rider is to ride, by day, and the coach's own sessions by name.
 *
 *     drafted ──> given ──> done
 *        │          │
 *     taken away  withdrawn          what a rider has in a calendar is withdrawn, never taken away
 *
 * A session is kept as its words (coaching/session_text).  Saving holds it against the safe limits
 * (coaching/safe): what is refused isn't saved; what a coach may go past must be named, and the
 * names stay with the session.  All can be taken back (roster/changes). */
#ifndef ROSTER_SESSIONS_H
#define ROSTER_SESSIONS_H

#include "coaching/safe.h"
#include "recording/calendar_write.h"
#include "roster/entries.h"

struct rider_session {
    struct entry entry;
    const char *day;
    const char *name;      /* "VO2max, 4 x 4 min" */
    const char *kind;      /* one of session_kinds */
    const char *words;     /* a line a block */
    const char *state;     /* drafted, given, withdrawn, done */
    const char *why;       /* NULL = not said */
    const char *confirmed; /* names of safe limits, blanks between; NULL = none */
};

extern const struct entry_kind session_kind;

/* The rider has it, or rode it: given or done. */
bool session_is_given(const struct rider_session *row);

/* The session of a row: saved words always read.  ERROR_INTERNAL if another program changed them.
 */
MUST_USE bool sessions_steps(struct arena *arena, const struct rider_session *row,
                             struct session *out, struct error *err);

/* What it would break as it stands, with the rides and sessions around it. */
MUST_USE bool sessions_safe(struct roster *roster, struct arena *arena, const struct rider *rider,
                            const struct rider_session *row, struct safe_breach out[SAFE_BREACHES],
                            size_t *count, struct error *err);

/* Days with work on them: what was ridden hard, and sessions that are still to be ridden.
 *   threshold_w   for sessions in watts; NAN = not known */
MUST_USE bool sessions_days(struct roster *roster, struct arena *arena, const struct rider *rider,
                            double threshold_w, struct safe_day **out, size_t *count,
                            struct error *err);

/* Adds or edits; row->confirmed names what the coach goes past knowingly, and only what it really
 * breaks is kept of it.  ERROR_USAGE: words that aren't understood; ERROR_CONFLICT: a safe limit,
 * with its name; a given one becomes `given` anew. */
MUST_USE bool sessions_save(struct roster *roster, struct arena *arena, struct roster_now now,
                            const struct rider *rider, struct rider_session *row,
                            struct error *err);

/* The same; `then` is called within the change (roster/entries): what is written for the rider is
 * ready before the state says so. */
MUST_USE bool sessions_save_with(struct roster *roster, struct arena *arena, struct roster_now now,
                                 const struct rider *rider, struct rider_session *row,
                                 db_work *then, void *context, struct error *err);

/* New drafts, all in one change or none; each held against the others as well.  *said gets the
 * change in words, each row its number. */
MUST_USE bool sessions_draft_all(struct roster *roster, struct arena *arena, struct roster_now now,
                                 const struct rider *rider, struct rider_session rows[], size_t n,
                                 const char **said, struct error *err);

/* One of several, each for its own rider. */
struct session_for {
    const struct rider *rider;
    struct rider_session row;
};

/* New drafts for one rider or several, all in one change or none; each held against those before
 * it of the same rider as well.  Where there are several, what stands in the way names rider and
 * day.
 *   rows  [n], n at least 1; riders outlive the call */
MUST_USE bool sessions_draft_for(struct roster *roster, struct arena *arena, struct roster_now now,
                                 struct session_for rows[], size_t n, const char **said,
                                 struct error *err);

/* What stands from a day on is called off in one change: given sessions are withdrawn, drafts taken
 * away.  ERROR_NOT_FOUND if nothing stands there.
 *   from   ISO day
 *   then   called within the change, when all is done; NULL = nothing is */
MUST_USE bool sessions_withdraw_from(struct roster *roster, struct arena *arena,
                                     struct roster_now now, const struct rider *rider,
                                     const char *from, db_work *then, void *context, size_t *n,
                                     const char **said, struct error *err);

/* Only what is drafted; ERROR_CONFLICT says to withdraw it. */
MUST_USE bool sessions_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                              const struct rider *rider, struct rider_session *row,
                              struct error *err);

/* The entry of a calendar: its UID stays for ever, its sequence rises with every edit and undo.
 *   threshold_w  for ranges in W beside those in %; NAN = not known */
MUST_USE bool sessions_entry(struct roster *roster, struct arena *arena,
                             const struct rider_session *row, double threshold_w,
                             struct calendar_entry *out, struct error *err);

/* The last day with something given or done; INT64_MIN = nothing ever was. */
MUST_USE bool sessions_plan_until(struct db *db, struct arena *arena, int64_t rider, int64_t *day,
                                  struct error *err);

/* The first that is given or drafted from a day on; *found false = none. */
MUST_USE bool sessions_next(struct db *db, struct arena *arena, int64_t rider, const char *from,
                            struct rider_session *out, bool *found, struct error *err);

/* ---- the coach's own ---- */

struct own_session {
    int64_t id;
    int64_t version;
    const char *name;
    const char *kind;
    const char *words;
    const char *note;
};

MUST_USE bool sessions_own_list(struct roster *roster, struct arena *arena,
                                struct own_session **out, size_t *count, struct error *err);

/* By name; *found false = none. */
MUST_USE bool sessions_own_find(struct roster *roster, struct arena *arena, const char *name,
                                struct own_session *out, bool *found, struct error *err);

/* In the place of one of that name, or new; *said gets the change in words. */
MUST_USE bool sessions_own_keep(struct roster *roster, struct arena *arena, struct roster_now now,
                                struct own_session *own, const char **said, struct error *err);

MUST_USE bool sessions_own_drop(struct roster *roster, struct arena *arena, struct roster_now now,
                                const char *name, const char **said, struct error *err);

#endif
