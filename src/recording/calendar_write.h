/* recording/calendar_write.h: days with something on them as an iCalendar file.
 *
 * RFC 5545: lines end with CR LF and are folded at 75 octets, never within a letter; texts are
 * escaped; each entry keeps its UID for ever, and a higher SEQUENCE says that it changed, so that a
 * calendar that has it replaces it.  What is called off stays in the file, cancelled; alone, it is
 * a message that cancels (RFC 5546, METHOD 3.2.1 and 3.2.5).  Its organiser, which that asks for,
 * has an address that nobody can have (RFC 2606): nothing is ever answered to it. */
#ifndef RECORDING_CALENDAR_WRITE_H
#define RECORDING_CALENDAR_WRITE_H

#include "base/text.h"

#include <stdint.h>

struct calendar_entry {
    const char *uid; /* unlike any other's in the world */
    int64_t sequence;
    int64_t day; /* base/dates' day number: an entry lasts the day */
    const char *summary;
    const char *description; /* lines end with \n */
    bool is_cancelled;
};

/* made_utc_s: when the file was made.  name: of the whole calendar; NULL = none. */
void calendar_write(struct text *out, const char *name, const struct calendar_entry entries[],
                    size_t n, int64_t made_utc_s);

/* One entry as a message: METHOD PUBLISH, or CANCEL where it is cancelled. */
void calendar_write_entry(struct text *out, const struct calendar_entry *entry, int64_t made_utc_s);

#endif
