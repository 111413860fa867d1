/* roster/audit.c: is everything in the roster as it was put there? */
#include "roster/audit_parts.h"

#include "roster/best_months.h"
#include "roster/recordings.h"

#include <stdarg.h>
#include <stdio.h>

const char AUDIT_GO_BACK[] =
    "Leave the file as it is, copy it away, and go back to a backup: plumbline restore.";

const char *audit_step_name(enum audit_step step)
{
    static const char *const names[] = {
        [AUDIT_PAGES] = "pages",
        [AUDIT_REFERENCES] = "references",
        [AUDIT_TEXT] = "text",
        [AUDIT_ORIGINALS] = "originals",
        [AUDIT_READ_AGAIN] = "read again",
        [AUDIT_BESTS] = "bests",
        [AUDIT_STEPS] = "",
    };
    return names[step];
}

size_t audit_problems(const struct audit_sum *sum)
{
    size_t n = 0;
    for (int step = 0; step < AUDIT_STEPS; step++) {
        n += sum->problems[step];
    }
    return n;
}

void audit_note(struct audit *audit, const char *todo, const char *format, ...)
{
    struct audit_sum *sum = audit->sum;
    sum->problems[audit->step]++;
    if (sum->n_listed == AUDIT_PROBLEMS_MOST) {
        return;
    }
    char words[512];
    va_list values;
    va_start(values, format);
    vsnprintf(words, sizeof words, format, values);
    va_end(values);
    sum->list =
        arena_grow(audit->arena, sum->list, sum->n_listed, &sum->capacity, sizeof *sum->list);
    sum->list[sum->n_listed++] =
        (struct audit_problem){ audit->step, arena_string(audit->arena, words), todo };
}

void audit_note_error(struct audit *audit, const struct error *err)
{
    audit_note(audit, AUDIT_GO_BACK, "%s", err->message);
}

void audit_tell(const struct audit *audit, size_t done, size_t of)
{
    if (audit->call->tell != NULL) {
        audit->call->tell(audit->call->context, audit->step, done, of);
    }
}

/* ---- the steps that are short ---- */

static bool look_at_pages(struct audit *audit, struct error *err)
{
    const char *problem = NULL;
    audit_tell(audit, 0, 1);
    audit->sum->looked[AUDIT_PAGES] = 1;
    if (!db_check(audit->db, audit->arena, &problem, err)) {
        return false;
    }
    if (problem != NULL) {
        audit_note(audit, AUDIT_GO_BACK, "the file is damaged: %.400s", problem);
    }
    audit_tell(audit, 1, 1);
    return true;
}

static bool list_originals(struct db *db, struct arena *arena, struct db_rows *rows,
                           struct error *err)
{
    return db_query(
        db, arena,
        "SELECT o.id, o.name, (SELECT MIN(p.name) FROM recording r JOIN rider p ON p.id "
        "= r.rider WHERE r.original = o.id) FROM original o ORDER BY o.id",
        "itT", DB_NONE, rows, err);
}

static bool original_is_whole(struct db *db, int64_t id, struct error *err)
{
    struct arena *scratch = arena_open();
    struct bytes bytes = { 0 };
    const bool whole = recordings_original(db, scratch, id, &bytes, err);
    arena_close(scratch);
    return whole;
}

static bool look_at_originals(struct audit *audit, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!list_originals(audit->db, audit->arena, &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        struct error wrong = { 0 };
        const char *rider = db_text_at(&rows, i, 2);
        audit_tell(audit, i, rows.count);
        if (!original_is_whole(audit->db, db_integer_at(&rows, i, 0), &wrong)) {
            audit_note(
                audit,
                "The file itself is lost here: take the roster back from a backup, or ask the "
                "rider for the file again and keep it beside.",
                "the bytes of %.200s (original %lld, of %.100s) are not those that came",
                db_text_at(&rows, i, 1), (long long)db_integer_at(&rows, i, 0),
                rider == NULL ? "nobody" : rider);
        }
    }
    audit->sum->looked[AUDIT_ORIGINALS] = rows.count;
    audit_tell(audit, rows.count, rows.count);
    return true;
}

/* Kept months, and those that should be. */
static bool look_at_bests(struct audit *audit, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(audit->db, audit->arena,
                  "SELECT m.rider, m.month, p.name FROM (SELECT rider, month FROM best_month UNION "
                  "SELECT r.rider, substr(r.local_day, 1, 7) FROM recording r JOIN best_curve b ON "
                  "b.recording = r.id WHERE r.same_as IS NULL AND r.local_day IS NOT NULL) m JOIN "
                  "rider p ON p.id = m.rider ORDER BY m.rider, m.month",
                  "itt", DB_NONE, &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        struct arena *scratch = arena_open();
        struct error wrong = { 0 };
        bool agrees = false;
        audit_tell(audit, i, rows.count);
        const bool asked = best_months_agree(audit->db, scratch, db_integer_at(&rows, i, 0),
                                             db_text_at(&rows, i, 1), &agrees, &wrong);
        if (!asked || !agrees) {
            audit_note(audit, AUDIT_GO_BACK, "bests of %.100s in %.7s: %s", db_text_at(&rows, i, 2),
                       db_text_at(&rows, i, 1),
                       asked ? "the kept month is not the greatest of its rides" : wrong.message);
        }
        arena_close(scratch);
    }
    audit->sum->looked[AUDIT_BESTS] = rows.count;
    audit_tell(audit, rows.count, rows.count);
    return true;
}

/* ---- all of them ---- */

static bool all_steps(struct db *db, void *context, struct error *err)
{
    static bool (*const steps[])(struct audit *, struct error *) = {
        [AUDIT_PAGES] = look_at_pages,
        [AUDIT_REFERENCES] = audit_references,
        [AUDIT_TEXT] = audit_texts,
        [AUDIT_ORIGINALS] = look_at_originals,
        [AUDIT_READ_AGAIN] = audit_read_again,
        [AUDIT_BESTS] = look_at_bests,
    };
    struct audit *audit = context;
    (void)db;
    (void)err;
    *audit->sum = (struct audit_sum){ 0 };
    for (int step = 0; step < AUDIT_STEPS; step++) {
        struct error wrong = { 0 };
        audit->step = (enum audit_step)step;
        if (!steps[step](audit, &wrong)) {
            audit_note_error(audit, &wrong);
        }
    }
    return true;
}

bool audit_run(struct arena *arena, const struct audit_call *call, struct audit_sum *sum,
               struct error *err)
{
    struct audit audit = {
        .call = call, .db = roster_db(call->roster), .arena = arena, .sum = sum
    };
    /* One state of the store: others may go on writing, and nothing then looks half done. */
    return db_read(audit.db, all_steps, &audit, err);
}

bool audit_copy(struct db *db, struct arena *arena, const char **problem,
                void (*tell)(void *context, enum audit_step step, size_t done, size_t of),
                void *context, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_check(db, arena, problem, err)) {
        return false;
    }
    if (*problem != NULL) {
        return true;
    }
    if (!list_originals(db, arena, &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count && *problem == NULL; i++) {
        struct error wrong = { 0 };
        if (tell != NULL) {
            tell(context, AUDIT_ORIGINALS, i + 1, rows.count);
        }
        if (!original_is_whole(db, db_integer_at(&rows, i, 0), &wrong)) {
            *problem = arena_format(arena,
                                    "the bytes of %.200s (original %lld) are not those that "
                                    "came",
                                    db_text_at(&rows, i, 1), (long long)db_integer_at(&rows, i, 0));
        }
    }
    return true;
}
