/* server/answers/response_figure.c: what the figures of response and power are drawn from. */
#include "server/answers/response_figure.h"

#include "base/dates.h"
#include "coaching/words/power_words.h"

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

void response_figure_durations(const struct weeks *weeks, const struct figure_maker *maker,
                               struct scene *out)
{
    struct rider_power power;
    rider_power_read(maker->arena, &weeks->history, &weeks->limits, &power);
    *out =
        figure_durations(maker, &power, words_critical_power(maker->arena, &power, &weeks->limits));
}

bool response_figure_ride(struct roster *roster, const struct ride_row *row, const char *today,
                          const struct figure_maker *maker, struct scene *out, struct error *err)
{
    struct rider rider = { 0 };
    struct weeks weeks;
    struct response_found found;
    struct heart_ride drawn;
    if (row->local_day == NULL) {
        return error_set(err, ERROR_INPUT,
                         "ride %lld: its clock didn't know the day, so nothing is usual before it",
                         (long long)row->id);
    }
    if (!riders_row(roster_db(roster), maker->arena, row->rider, &rider, err) ||
        !weeks_take(roster, maker->arena, &rider, today, &weeks, err) ||
        !responses_fit(roster, maker->arena, &weeks.rider, &weeks.history, &weeks.limits,
                       dates_day_number(row->local_day), &found, err) ||
        !response_ride_of_row(roster, maker->arena, &weeks, &found, row, &drawn, err)) {
        return false;
    }
    *out = figure_heart_ride(maker, &drawn, &weeks.limits);
    return true;
}
