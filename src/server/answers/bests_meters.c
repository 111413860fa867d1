/* server/answers/bests_meters.c: what of a change between two bests is their power meters'. */
#include "server/answers/bests_meters.h"

#include "maths/distributions.h"
#include "roster/meter_checks.h"
#include "roster/readings.h"
#include "server/answers/bests.h"

#include <math.h>

static struct meters_part part_of(const struct meter_link links[], size_t n, int64_t now,
                                  int64_t then, const struct limits *limits)
{
    struct meters_part part = { .differ = now != 0 && then != 0 && now != then };
    if (!part.differ) {
        return part;
    }
    part.link = meter_link_find(links, n, now, then);
    const double ratio = part.link == NULL ? 0.0 : meter_link_ratio(part.link, now);
    const double half =
        distributions_normal_quantile(0.95) *
        (part.link == NULL ? meter_link_unchecked_sd(limits) : meter_link_sd(part.link, limits));
    part.pct = 100.0 * expm1(ratio);
    part.low = 100.0 * expm1(ratio - half);
    part.high = 100.0 * expm1(ratio + half);
    return part;
}

bool bests_meters_take(struct db *db, struct arena *arena, const char *today,
                       struct bests_told *told, struct error *err)
{
    const int64_t rider = told->rider->id;
    struct limits limits;
    struct ride_meter *rides = NULL;
    struct meter_link *links = NULL;
    size_t n_rides = 0;
    size_t n_links = 0;
    if (!told->compares) {
        return true;
    }
    if (!readings_limits(db, arena, rider, &limits, err) ||
        !meter_checks_rides(db, arena, rider, "0000-01-01", today, &rides, &n_rides, err) ||
        !meter_checks_links(db, arena, rider, today, &links, &n_links, err)) {
        return false;
    }
    for (size_t i = 0; i < told->n; i++) {
        struct best_line *line = &told->lines[i];
        if (line->one.known && line->two.known) {
            line->meters =
                part_of(links, n_links, meter_checks_ride(rides, n_rides, line->one.ride),
                        meter_checks_ride(rides, n_rides, line->two.ride), &limits);
        }
    }
    return true;
}

const struct meters_part *bests_meters_said(const struct bests_told *told)
{
    const struct meters_part *said = NULL;
    for (size_t i = 0; i < told->n; i++) {
        const struct meters_part *part = &told->lines[i].meters;
        if (part->differ && (said == NULL || part->link == NULL)) {
            said = part;
        }
    }
    return said;
}

void bests_meters_json(struct json *json, const struct meters_part *part)
{
    if (!part->differ) {
        json_null(json, "other_meter");
        return;
    }
    json_begin_object(json, "other_meter");
    json_bool(json, "checked", part->link != NULL);
    json_number(json, "change_pct", part->pct, 2);
    json_number(json, "low_pct", part->low, 2);
    json_number(json, "high_pct", part->high, 2);
    json_end_object(json);
}
