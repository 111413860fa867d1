/* roster/ride_read.c: a stored ride read anew. */
#include "roster/ride_read.h"

#include "base/dates.h"
#include "roster/came_back.h"
#include "roster/past.h"
#include "roster/readings.h"
#include "roster/record.h"
#include "roster/ride_power.h"
#include "roster/usual.h"

/* How base tests repeat in this roster by that day, beside the verdict of this one. */
static bool add_repeat(struct roster *roster, struct arena *arena, const struct ride_row *row,
                       struct ride_read *read, struct error *err)
{
    for (size_t i = 0; i < read->readings.count; i++) {
        struct reading *reading = &read->readings.items[i];
        struct drift_repeat repeat;
        if (reading->question != QUESTION_BASE || reading->verdict == VERDICT_CANNOT_TELL) {
            continue;
        }
        if (!record_repeat(roster_db(roster), row->local_day, &read->limits, &repeat, err)) {
            return false;
        }
        drift_repeat_beside(arena, &repeat, &read->limits, reading);
    }
    return true;
}

/* What rests on the rides before it. */
static bool add_from_before(struct roster *roster, struct arena *arena, const struct ride_row *row,
                            const struct ride_before *before, struct ride_read *read,
                            struct error *err)
{
    return row->local_day == NULL ||
           (usual_add(roster, arena, &read->rider, &before->history, row, &read->limits,
                      &before->found, read->recording, &read->readings, err) &&
            add_repeat(roster, arena, row, read, err) &&
            ride_power_add(roster, arena, &before->history, row, &read->limits, read->recording,
                           &read->readings, err));
}

bool ride_read_before(struct roster *roster, struct arena *arena, const struct ride_row *row,
                      const struct limits *limits, struct ride_before *out,
                      struct rider_facts *facts, struct error *err)
{
    struct rider rider;
    size_t n_waiting = 0;
    *out = (struct ride_before){ 0 };
    if (row->local_day == NULL) {
        return true;
    }
    if (!riders_row(roster_db(roster), arena, row->rider, &rider, err) ||
        !past_load_recent(roster_db(roster), arena, &rider, row->local_day, &out->history,
                          &n_waiting, err) ||
        !responses_fit(roster, arena, &rider, &out->history, limits,
                       dates_day_number(row->local_day), &out->found, err)) {
        return false;
    }
    /* Only what counts as a ride is held against others. */
    if (row->is_ride && row->same_as == 0) {
        facts->response = &out->found.response;
    }
    return true;
}

bool ride_read_row(struct roster *roster, struct arena *arena, const struct ride_row *row,
                   struct ride_read *out, struct error *err)
{
    struct db *db = roster_db(roster);
    const struct ride_facts place = { .rider = row->rider,
                                      .day = row->local_day,
                                      .recording = row->id };
    struct ride_before *before = arena_alloc(arena, 1, sizeof *before);
    *out = (struct ride_read){ .facts = facts_unknown() };
    return riders_row(db, arena, row->rider, &out->rider, err) &&
           readings_limits(db, arena, row->rider, &out->limits, err) &&
           recordings_reread(db, arena, row, &out->limits, &out->recording, err) &&
           came_back_facts(roster, arena, &place, out->recording, &out->limits, &out->facts, err) &&
           ride_read_before(roster, arena, row, &out->limits, before, &out->facts, err) &&
           reading_make(arena, out->recording, &out->facts, &out->limits, &out->readings, err) &&
           add_from_before(roster, arena, row, before, out, err);
}
