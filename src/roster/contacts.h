/* roster/contacts.h: when coach and rider spoke, and of what. */
#ifndef ROSTER_CONTACTS_H
#define ROSTER_CONTACTS_H

#include "roster/entries.h"

struct contact {
    struct entry entry;
    const char *day;
    const char *how; /* "phone", "at the track"; NULL = not said */
    const char *words;
};

extern const struct entry_kind contact_kind;

#endif
