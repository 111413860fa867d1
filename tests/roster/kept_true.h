/* tests/roster/kept_true.h: a roster of small rides, and the twin that it is compared with.
 *
 * The twin is slow and obvious: every recording is read again from the bytes of its original, and
 * every month of bests is made of all its rides. */
#ifndef TESTS_ROSTER_KEPT_TRUE_H
#define TESTS_ROSTER_KEPT_TRUE_H

#include "roster/store.h"

#include "roster/rereading.h"
#include "roster/riders.h"

extern struct arena *arena; /* of a step */
extern struct arena *kept;  /* of a test */
extern struct roster *roster;
extern const char *place;
extern struct rider riders[2];
extern struct roster_now now;

/* Before and after each test: an empty roster with two riders. */
int kept_begin(void **state);
int kept_end(void **state);

struct made_ride {
    const char *name;
    const char *day;
    int start_s; /* of the UTC day */
    int seconds;
    int watts;
    int rider;
    bool is_track;
};

#define MADE_RIDES 9
extern const struct made_ride made[MADE_RIDES];

void import_ride(const struct made_ride *ride);

struct db_rows query(const char *sql, const char *shape);
int64_t number(const char *sql); /* its first cell; 0 = no row */

/* Looks; reads what waits; or both, until nothing does. */
struct rereading_jobs look(void);
struct rereading_sum run_jobs(unsigned threads);
void keep_usual(void); /* how each ride stands to what is usual, where no ride waits */
void keep_true(unsigned threads);

/* Everything stored is as it is when made anew, byte by byte: readings, grids, curves, which
 * recording counts, months of bests. */
void check_all_made_again(void);

/* The jobs that wait are those that comparing every ride finds: no more, no less. */
void check_jobs_are_what_differs(void);

#endif
