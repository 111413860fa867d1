/* server/answers/response_figure.c: what the figures of response and power are drawn from. */
#include "server/answers/response_figure.h"

#include "base/dates.h"
#include "coaching/words/power_words.h"
#include "coaching/words/response_words.h"
#include "roster/came_back.h"
#include "roster/ride_power.h"
#include "server/answers/teach.h"

#include <string.h>

static const struct heart_response none = { .end = RESPONSE_TOO_FEW };

/* What may be shown of it. */
static const struct heart_response *shown(const struct response_found *found)
{
    return found->is_withheld ? &none : &found->response;
}

static const char *why_not(struct arena *arena, const struct weeks *weeks,
                           const struct response_found *found)
{
    return found->is_withheld ? words_heart_withheld()
                              : words_heart_response(arena, &found->response, &weeks->limits);
}

struct heart_weeks response_weeks_of(struct arena *arena, const struct weeks *weeks,
                                     const struct response_found *found)
{
    return (struct heart_weeks){ shown(found), found->rides, found->n, &weeks->history,
                                 why_not(arena, weeks, found) };
}

bool response_ride_of_row(struct roster *roster, struct arena *arena, const struct weeks *weeks,
                          const struct response_found *found, const struct ride_row *row,
                          struct heart_ride *out, struct error *err)
{
    struct recording *recording = ARENA_ARRAY(arena, struct recording, 1);
    *out = (struct heart_ride){ recording, shown(found), why_not(arena, weeks, found) };
    return recordings_load(roster_db(roster), arena, row->id, recording, err);
}

bool response_figure_weeks(struct roster *roster, const struct weeks *weeks,
                           const struct figure_maker *maker, struct scene *out, struct error *err)
{
    struct response_found found;
    if (!responses_fit(roster, maker->arena, &weeks->rider, &weeks->history, &weeks->limits,
                       weeks->history.today + 1, &found, err)) {
        return false;
    }
    const struct heart_weeks drawn = response_weeks_of(maker->arena, weeks, &found);
    *out = figure_heart_weeks(maker, &drawn, &weeks->limits);
    return true;
}

bool response_figure_durations(struct roster *roster, const struct weeks *weeks,
                               const struct figure_maker *maker, struct scene *out,
                               struct error *err)
{
    struct rider_power power;
    if (!ride_power_of_rider(roster, maker->arena, &weeks->history, &weeks->limits, &power, err)) {
        return false;
    }
    *out =
        figure_durations(maker, &power, words_critical_power(maker->arena, &power, &weeks->limits));
    return true;
}

bool response_figure_teaching(struct roster *roster, const struct rider *rider, const char *today,
                              const struct figure_maker *maker, struct scene *out,
                              struct error *err)
{
    const struct teach_wish wish = teach_wish_none();
    struct teach_told told;
    if (!teach_take(roster, maker->arena, rider, &wish, today, &told, err)) {
        return false;
    }
    const struct teaching withheld = { .end = TEACHING_NO_RESPONSE };
    *out = figure_teaching(maker, told.found.is_withheld ? &withheld : &told.teaching,
                           teach_text(maker->arena, &told));
    return true;
}

/* ---- a ride ---- */

static bool check_day(const struct ride_row *row, struct error *err)
{
    return row->local_day != NULL ||
           error_set(err, ERROR_INPUT,
                     "ride %lld: its clock didn't know the day, so nothing is known from before it",
                     (long long)row->id);
}

bool response_left_of_row(struct roster *roster, struct arena *arena, const struct weeks *weeks,
                          const struct ride_row *row, struct left_told *out, struct error *err)
{
    const struct ride_facts place = { .rider = row->rider,
                                      .day = row->local_day,
                                      .recording = row->id };
    struct rider_facts facts = facts_unknown();
    struct recording *recording = NULL;
    struct ride_readings readings;
    struct rider_power power;
    if (!check_day(row, err) ||
        !recordings_reread(roster_db(roster), arena, row, &weeks->limits, &recording, err) ||
        !came_back_facts(roster, arena, &place, recording, &weeks->limits, &facts, err) ||
        !reading_make(arena, recording, &facts, &weeks->limits, &readings, err) ||
        !ride_power_before(roster, arena, &weeks->history, dates_day_number(row->local_day),
                           &weeks->limits, &power, err)) {
        return false;
    }
    *out = (struct left_told){ .recording = recording,
                               .balance = ride_balance_read(arena, recording, &readings.reps,
                                                            &power.curve, &weeks->limits) };
    out->instead = words_left_why(out->balance.end);
    return true;
}

static bool draw_heart(struct roster *roster, const struct weeks *weeks, const struct ride_row *row,
                       const struct figure_maker *maker, struct scene *out, struct error *err)
{
    struct response_found found;
    struct heart_ride drawn;
    if (!responses_fit(roster, maker->arena, &weeks->rider, &weeks->history, &weeks->limits,
                       dates_day_number(row->local_day), &found, err) ||
        !response_ride_of_row(roster, maker->arena, weeks, &found, row, &drawn, err)) {
        return false;
    }
    *out = figure_heart_ride(maker, &drawn, &weeks->limits);
    return true;
}

static bool draw_left(struct roster *roster, const struct weeks *weeks, const struct ride_row *row,
                      const struct figure_maker *maker, struct scene *out, struct error *err)
{
    struct left_told told;
    if (!response_left_of_row(roster, maker->arena, weeks, row, &told, err)) {
        return false;
    }
    *out = figure_left(maker, told.recording, &told.balance, told.instead);
    return true;
}

bool response_figure_ride(struct roster *roster, const struct ride_row *row, const char *name,
                          const char *today, const struct figure_maker *maker, struct scene *out,
                          struct error *err)
{
    const bool is_heart = strcmp(name, "heart") == 0;
    struct rider rider = { 0 };
    struct weeks weeks;
    if (!is_heart && strcmp(name, "left") != 0) {
        return error_set(err, ERROR_NOT_FOUND, "%.40s: there is no such figure", name);
    }
    return check_day(row, err) &&
           riders_row(roster_db(roster), maker->arena, row->rider, &rider, err) &&
           weeks_take(roster, maker->arena, &rider, today, &weeks, err) &&
           (is_heart ? draw_heart(roster, &weeks, row, maker, out, err)
                     : draw_left(roster, &weeks, row, maker, out, err));
}
