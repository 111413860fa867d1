/* coaching/words/answer_words.h: short lines beside a page's sentences: when, since when, how old.
 *
 * Days are days since 1970; INT64_MIN = not known. */
#ifndef COACHING_WORDS_ANSWER_WORDS_H
#define COACHING_WORDS_ANSWER_WORDS_H

#include "base/arena.h"

#include <stddef.h>
#include <stdint.h>

/* "Monday 31 August 2026". */
char *words_weekday_of(struct arena *arena, int64_t day);

/* "today", "yesterday", "last Saturday" (within a week), else "14 March 2026". */
char *words_when(struct arena *arena, int64_t day, int64_t today);

/* "yesterday, 1 h 22 min". */
char *words_last_ride(struct arena *arena, int64_t day, int64_t today, double seconds);

/* What came since the list was last looked at. */
struct since_count {
    size_t rides;
    size_t unreadable; /* files */
    size_t answers;    /* notes put down */
};

/* "since you looked yesterday: 31 new rides, 2 files could not be read, 1 answer came back". */
char *words_since(struct arena *arena, int64_t looked, int64_t today,
                  const struct since_count *count);

/* A threshold as a table has it. */
struct threshold_words {
    double value_w;
    double low_w; /* NAN = not known, as the next */
    double high_w;
    const char *known_by; /* NULL = not said */
    int64_t day;
};

/* "246 W (likely 231 to 261), 20-minute test, 9 November 2026, 16 days ago". */
char *words_threshold_told(struct arena *arena, const struct threshold_words *threshold,
                           int64_t today);

/* What stands under a rider's name. */
struct rider_head {
    int64_t power_since;
    const char *event; /* the next that matters; NULL = none */
    int64_t event_day;
    int64_t last_ride;
    double last_ride_s;
    size_t week_rides;
    double week_hours;
};

/* "riding with power since May 2026 · Three Lakes in 52 days · last ride yesterday, 36 min · this
 * week 3 rides, 4.2 h"; NULL where nothing is known. */
char *words_rider_head(struct arena *arena, const struct rider_head *head, int64_t today);

/* What says that a best was ridden all-out (enum effort_evidence, added), or that nothing does. */
char *words_evidence(struct arena *arena, unsigned evidence);

#endif
