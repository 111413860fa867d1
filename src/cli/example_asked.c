/* cli/example_asked.c: what the coach of the example said of the rides. */
#include "cli/example_asked.h"

#include "base/dates.h"
#include "cli/example_sessions.h"
#include "roster/asked.h"
#include "roster/riders.h"

#include <string.h>

enum { ASKED_FROM_DAY = 182 }; /* 1 June 2026 */

static enum work_kind kind_of(const struct season_ride *ride)
{
    static const enum work_kind kinds[SIMULATED_SESSION_COUNT] = {
        [SIMULATED_BASE_HOUR] = KIND_BASE_TEST,        [SIMULATED_BASE_LET_DOWN] = KIND_BASE_TEST,
        [SIMULATED_VO2MAX_DONE] = KIND_VO2MAX,         [SIMULATED_VO2MAX_TOO_HARD] = KIND_VO2MAX,
        [SIMULATED_VO2MAX_FADED] = KIND_VO2MAX,        [SIMULATED_SHORT_30_30] = KIND_SHORT_VO2MAX,
        [SIMULATED_SHORT_40_20] = KIND_SHORT_VO2MAX,   [SIMULATED_OVER_UNDERS] = KIND_OVER_UNDERS,
        [SIMULATED_THRESHOLD_2X20] = KIND_THRESHOLD,   [SIMULATED_SPRINTS] = KIND_SPRINT,
        [SIMULATED_SWEET_SPOT_3X12] = KIND_SWEET_SPOT, [SIMULATED_ANAEROBIC_8X1] = KIND_ANAEROBIC,
    };
    const enum simulated_session session =
        simulated_outing_session(&ride->story->habits, ride->outing, ride->seed);
    if (session < SIMULATED_SESSION_COUNT) {
        return kinds[session];
    }
    return ride->outing == SIMULATED_OUTING_EASY || ride->outing == SIMULATED_OUTING_TOO_HARD ||
                   ride->outing == SIMULATED_OUTING_LONG
               ? KIND_EASY
               : KIND_UNKNOWN;
}

/* The ride's own recording among the rows of its day. */
static const struct ride_row *row_of(const struct ride_row rows[], size_t n, const char *day)
{
    for (size_t i = 0; i < n; i++) {
        if (rows[i].local_day != NULL && strcmp(rows[i].local_day, day) == 0 &&
            rows[i].same_as == 0 && rows[i].is_ride) {
            return &rows[i];
        }
    }
    return NULL;
}

static bool ask(struct roster *roster, struct arena *arena, struct roster_now now,
                const struct example_asked *meant, const struct ride_row *row, struct error *err)
{
    struct asked asked = asked_nothing();
    const char *said = NULL;
    asked.kind = kind_of(meant->ride);
    if (asked.kind == KIND_UNKNOWN || meant->ride->day < ASKED_FROM_DAY ||
        meant->ride->day >= 7 * EXAMPLE_PLANNED_FROM) {
        return true;
    }
    if (asked.kind > KIND_BASE_TEST && !isnan(meant->rep_s)) {
        asked.reps = (int)meant->n_reps;
        asked.rep_duration_s = meant->rep_s;
    }
    return asked_set(roster, arena, now, row, &asked, &said, err);
}

static bool mark(struct roster *roster, struct arena *arena, struct roster_now now,
                 const struct example_asked *meant, const struct ride_row *row, struct error *err)
{
    struct asked marks = asked_nothing();
    const char *said = NULL;
    marks.was = "test";
    const enum simulated_outing outing = meant->ride->outing;
    const bool is_test = outing == SIMULATED_OUTING_TEST || outing == SIMULATED_OUTING_EFFORTS;
    return !is_test || asked_mark(roster, arena, now, row, &marks, &said, err);
}

bool example_asked_add(struct roster *roster, struct arena *arena, struct roster_now now,
                       size_t story, const struct example_asked meant[], size_t n,
                       struct error *err)
{
    int64_t first = 0;
    struct rider rider = { 0 };
    struct ride_row *rows = NULL;
    size_t n_rows = 0;
    (void)dates_parse_day(SEASON_FIRST_DAY, &first);
    if (!riders_find(roster, arena, simulated_stories[story].name, &rider, err)) {
        return false;
    }
    const struct ride_query query = { .rider = rider.id };
    if (!recordings_list(roster_db(roster), arena, &query, &rows, &n_rows, err)) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        char day[11];
        dates_format_day(first + meant[i].ride->day, day);
        const struct ride_row *row = row_of(rows, n_rows, day);
        if (row != NULL && (!ask(roster, arena, now, &meant[i], row, err) ||
                            !mark(roster, arena, now, &meant[i], row, err))) {
            return false;
        }
    }
    return true;
}
