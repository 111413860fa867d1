/* roster/audit_parts.h: what the files of audit share; nobody else includes this. */
#ifndef ROSTER_AUDIT_PARTS_H
#define ROSTER_AUDIT_PARTS_H

#include "roster/audit.h"

struct audit {
    const struct audit_call *call;
    struct db *db;
    struct arena *arena; /* the caller's */
    struct audit_sum *sum;
    enum audit_step step; /* of now */
};

/* One more problem of this step. */
void audit_note(struct audit *audit, const char *todo, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

void audit_tell(const struct audit *audit, size_t done, size_t of);

/* What can't be asked is a problem as well: it is noted, and the next step goes on. */
void audit_note_error(struct audit *audit, const struct error *err);

/* The steps; false only when asking failed. */
MUST_USE bool audit_references(struct audit *audit, struct error *err);
MUST_USE bool audit_texts(struct audit *audit, struct error *err);
MUST_USE bool audit_read_again(struct audit *audit, struct error *err);

extern const char AUDIT_GO_BACK[]; /* what to do about damage */

#endif
