/* cli/read_facts.h: what the options of `read` say of rider, day and session. */
#ifndef CLI_READ_FACTS_H
#define CLI_READ_FACTS_H

#include "base/arena.h"
#include "base/error.h"
#include "cli/figure_out.h"
#include "cli/options.h"
#include "limits/limits.h"
#include "physiology/facts.h"

/* The options as they were given. */
struct read_values {
    double threshold_w; /* NAN = not given, as the other numbers */
    double max_heart_rate_bpm;
    double rest_heart_rate_bpm;
    double weight_kg;
    const char *target; /* NULL = not given, as the other words */
    const char *kind;
    const char *reps;
    const char *day;
    const char *zones;
    const char *limit;
    const char *bests;
    struct figure_values figure;
    struct option_list columns; /* "power=NAME", several by commas */
    bool heart_medicine;
    bool pregnant;
    bool indoors;
    bool outdoors;
    bool json;
    bool help;
};

struct read_values read_values_unknown(void);

/* Checks the options against one another and turns them into facts and limits.
 * False (ERROR_USAGE, or the zone file's own error) with one line. */
MUST_USE bool read_facts_make(struct arena *arena, const struct read_values *values,
                              struct rider_facts *facts, struct limits *limits, struct error *err);

/* What was asked of a session (target, kind, reps; NULL = not given), into the facts. */
MUST_USE bool read_facts_asked(const char *target, const char *kind, const char *reps,
                               struct rider_facts *facts, struct error *err);

/* The name of the limit that was probably meant, of those that a coach may change; NULL if none is
 * near. */
const char *read_facts_nearest_limit(const char *name);

#endif
