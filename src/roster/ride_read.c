/* roster/ride_read.c: a stored ride read anew. */
#include "roster/ride_read.h"

#include "roster/facts.h"
#include "roster/past.h"
#include "roster/readings.h"
#include "roster/ride_power.h"
#include "roster/usual.h"

/* What rests on the rides before it. */
static bool add_from_before(struct roster *roster, struct arena *arena, const struct ride_row *row,
                            struct ride_read *read, struct error *err)
{
    struct rider_history history;
    size_t n_waiting = 0;
    return row->local_day == NULL || (past_load_recent(roster_db(roster), arena, &read->rider,
                                                       row->local_day, &history, &n_waiting, err) &&
                                      usual_add(roster, arena, &read->rider, &history, row,
                                                &read->limits, &read->readings, err) &&
                                      ride_power_add(roster, arena, &history, row, &read->limits,
                                                     read->recording, &read->readings, err));
}

bool ride_read_row(struct roster *roster, struct arena *arena, const struct ride_row *row,
                   struct ride_read *out, struct error *err)
{
    struct db *db = roster_db(roster);
    const struct ride_facts place = { .rider = row->rider,
                                      .day = row->local_day,
                                      .recording = row->id };
    *out = (struct ride_read){ .facts = facts_unknown() };
    return riders_row(db, arena, row->rider, &out->rider, err) &&
           readings_limits(db, arena, row->rider, &out->limits, err) &&
           facts_of_ride(roster, arena, &place, &out->facts, err) &&
           recordings_reread(db, arena, row, &out->limits, &out->recording, err) &&
           reading_make(arena, out->recording, &out->facts, &out->limits, &out->readings, err) &&
           add_from_before(roster, arena, row, out, err);
}
