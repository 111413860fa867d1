/* roster/session_cards.c: the card of a rider's session, by what is on file on its day. */
#include "roster/session_cards.h"

#include "base/dates.h"
#include "roster/equipment.h"
#include "roster/facts.h"
#include "roster/session_outlook.h"

#include <string.h>

/* Meters are on file, but none is in use that day. */
static bool is_without_meter(struct db *db, struct arena *arena, const struct rider *rider,
                             const char *day, bool *out, struct error *err)
{
    struct equipment *items = NULL;
    size_t count = 0;
    size_t meters = 0;
    size_t in_use = 0;
    if (!equipment_list(db, arena, rider, &items, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (strcmp(items[i].kind, "power-meter") == 0) {
            meters++;
            in_use += equipment_is_in_use(&items[i], day) ? 1 : 0;
        }
    }
    *out = meters > 0 && in_use == 0;
    return true;
}

bool session_cards_make(struct roster *roster, struct arena *arena, const struct rider *rider,
                        const struct rider_session *row, struct card_wanted wanted,
                        const struct limits *limits, struct card_made *out, struct error *err)
{
    /* The card points to them. */
    struct session *session = ARENA_ARRAY(arena, struct session, 1);
    struct rider_facts *facts = ARENA_ARRAY(arena, struct rider_facts, 1);
    struct session_outlook *outlook = ARENA_ARRAY(arena, struct session_outlook, 1);
    bool is_without = false;
    if (!sessions_steps(arena, row, session, err) ||
        !facts_for_session(roster, arena, rider->id, row->day, facts, err) ||
        !is_without_meter(roster_db(roster), arena, rider, row->day, &is_without, err) ||
        !session_outlook_of(roster, arena, rider, row->day, wanted.is_past, session, limits,
                            outlook, err)) {
        return false;
    }
    const struct card_asked asked = { .name = row->name,
                                      .kind = row->kind,
                                      .why = row->why,
                                      .rider = rider->name,
                                      .day = dates_day_number(row->day),
                                      .session = session,
                                      .facts = facts,
                                      .outlook = outlook,
                                      .no_power = wanted.no_power || is_without };
    *out =
        (struct card_made){ session_card_make(arena, &asked, limits), facts->max_heart_rate_bpm };
    return true;
}
