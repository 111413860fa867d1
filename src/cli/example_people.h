/* cli/example_people.h: who the riders of the example are: what a coach would have asked them.
 *
 * Invented, all of it.  What became of them is in simulated/stories. */
#ifndef CLI_EXAMPLE_PEOPLE_H
#define CLI_EXAMPLE_PEOPLE_H

#include <stdbool.h>
#include <stddef.h>

struct example_person {
    const char *name;
    const char *born_day;
    const char *training_since_day;
    double rest_bpm;
    bool max_is_known; /* from steps to exhaustion, before the season; else as tests show it */
    const char *meter_position;
    const char *heart_position;
    const char *note;
    const char *sex;
    const char *accepts;
    const char *goal;
    const char *event_day; /* NULL = ridden in June already */
    const char *event;
    const char *priority;
    const char *week;  /* the time there is, as availability_parse takes it */
    const char *tests; /* all-out efforts that were chosen; NULL = none */
};

/* In the order of simulated_stories. */
extern const struct example_person example_people[];

#endif
