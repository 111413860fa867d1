/* drawing/response_tables.h: the numbers of response_figures.h as tables.  For that body alone. */
#ifndef DRAWING_RESPONSE_TABLES_H
#define DRAWING_RESPONSE_TABLES_H

#include "coaching/ride_balance.h"
#include "coaching/rider_power.h"
#include "coaching/teaching.h"
#include "drawing/scene.h"
#include "drawing/traces.h"
#include "drawing/usual_days.h"

/* Rows of so many minutes that there are at most 60. */
const struct scene_table *response_table_heart(struct arena *arena, const struct traces *traces);

const struct scene_table *response_table_weeks(struct arena *arena, const struct usual_days *days);

const struct scene_table *response_table_durations(struct arena *arena,
                                                   const struct rider_power *power);

/* A row a rep; of a ride without reps as response_table_heart has rows. */
const struct scene_table *response_table_left(struct arena *arena,
                                              const struct ride_balance *balance,
                                              const struct traces *traces);

const struct scene_table *response_table_teaching(struct arena *arena,
                                                  const struct teaching *teaching);

#endif
